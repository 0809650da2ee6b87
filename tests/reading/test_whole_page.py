"""Whether a page has something of ours, which the proof and the site ask alike."""

from __future__ import annotations

import pytest

from buildlog.reading.whole_page import read_page
from tests.samples import calc


@pytest.mark.parametrize(
    "text",
    [
        calc("id: a\nkind: parts"),
        "```yaml calc\nnever closed\n",
        "In third [150 km/h](calc:then.speed_at_limit.3).\n",
        "About [12 N·m](cite:sheet), or [14 N·m](told:owner).\n",
        "Mind [its weight](caution:driveline).\n",
        'Text.\n\n<div data-buildlog="ledger"></div>\n',
        "---\nbuildlog: {loose: warn}\n---\n\nText.\n",
    ],
)
def test_what_makes_a_page_ours(text: str) -> None:
    assert read_page("one", "content/one.md", text).is_ours


@pytest.mark.parametrize(
    "text",
    [
        "",
        "# A page\n\nIt weighs 12 kg.\n",
        "---\ntitle: A page\nseries: A podcast\nepisode: 3\ntime: 20:15\ndate: 2024-05-31\n---\n\nText.\n",
        "See [the site](site:page), `[9 rpm](calc:a.b)` and [a call](call:them).\n",
        "```yaml\nid: a\nkind: parts\n```\n",
        '```html\n<div data-buildlog="ledger"></div>\n```\n',
    ],
)
def test_what_does_not(text: str) -> None:
    assert not read_page("one", "content/one.md", text).is_ours
