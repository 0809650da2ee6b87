"""Front matter moved under our key: every other byte stays, and the page is read as before."""

from __future__ import annotations

import textwrap
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from buildlog.commands.amend import amend_command
from buildlog.diagnostics import Refused
from buildlog.proof.moving import moved_text
from buildlog.proof.proof import proof_book
from buildlog.reading.front_matter_keys import KEY
from buildlog.reading.whole_page import Page, read_page
from tests.examples import with_examples
from tests.jobs import FILES, FIRST
from tests.samples import GEARING, calc, open_site, write_site

BILL = calc("id: pair\nkind: parts\ninputs: {currency: EUR, parts: [{name: a bolt}]}")
THIRD = "calc:shorter-final.after.speed_at_limit.3"


def page(front: str) -> Page:
    return read_page(
        "a", "content/a.md", f"---\n{front}---\n\n# A\n\n## How it goes in\n\n1. Lift.\n\n{BILL}"
    )


def moved(front: str) -> str:
    """The front matter as it is moved, between its fences."""
    before = page(front)
    text = moved_text(before)
    after, rest = text.removeprefix("---\n").split("---\n", 1)
    assert rest == before.text.removeprefix("---\n").split("---\n", 1)[1]
    return after


def test_lines_move_in_their_order_with_comments_and_all_else_stays() -> None:
    before = """\
# The page.
title:   A  # as it was
# Which one.
series: The Brindle
episode: 1   # the first

tags: [a,
  b]
# - in the workshop -

# What it takes.
tools:
- a jack
-   'a hoist'
undo: |
  Lift.

    Then lower.
hide: [toc]
time: >-
  a day
  or two
# the end
"""
    assert (
        moved(before)
        == """\
# The page.
title:   A  # as it was
buildlog:
  # Which one.
  series: The Brindle
  episode: 1   # the first

  # What it takes.
  tools:
  - a jack
  -   'a hoist'
  undo: |
    Lift.

      Then lower.
  time: >-
    a day
    or two
  # the end
tags: [a,
  b]
# - in the workshop -

hide: [toc]
"""
    )


def test_a_blogs_date_stays_where_the_blog_reads_it_too() -> None:
    front = "date: 2024-05-31\nauthors: [me]\nreversible: yes\n"
    assert moved(front) == (
        "buildlog:\n  date: 2024-05-31\n  reversible: yes\ndate: 2024-05-31\nauthors: [me]\n"
    )
    assert moved("date: 2024-05-31\nreversible: yes\n") == (
        "buildlog:\n  date: 2024-05-31\n  reversible: yes\n"
    )
    assert moved("date: 2024-05-31 10:00\nreversible: yes\n") == (
        "date: 2024-05-31 10:00\nbuildlog:\n  reversible: yes\n"
    )


@pytest.mark.parametrize(
    ("front", "why"),
    [
        ("reversible: yes\ntools: &t [a]\nx: *t\n", "it has anchors, aliases or tags"),
        ("undo: !!seq [a]\n", "it has anchors, aliases or tags"),
        ("{reversible: yes, title: A}\n", "it is not written as a key on each line"),
        ("? reversible\n: yes\n", "it is not written as a key on each line"),
        ("title: 'A\n# no comment'\nreversible: yes\n", "moved, it would be read otherwise"),
        ("reversible: yes\ntime: 2 h\nx: 1\ntime: 3 h\n", "moved, it would be read otherwise"),
    ],
)
def test_what_would_be_read_otherwise_is_left_to_the_author(front: str, why: str) -> None:
    with pytest.raises(Refused) as refused:
        moved_text(page(front))
    assert refused.value.found == why


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_amend_moves_it_and_brings_its_figures_into_line(tmp_path: Path, mark: bytes, ending: str) -> None:
    front = f"---\ntitle: A\ntime: '[153.5 km/h]({THIRD})'  # soon\n\ntools:\n- a jack\n---\n\n# A\n\n"
    after = front.replace("153.5", "135.5").replace("title: A\n", "title: A\nbuildlog:\n")
    for line in ("time:", "tools:", "- a jack"):
        after = after.replace(f"\n{line}", f"\n  {line}")
    files = [(mark + (text + GEARING).replace("\n", ending).encode()) for text in (front, after)]
    content = write_site(tmp_path, {"a.md": files[0]})
    shown = CliRunner().invoke(amend_command, ["--site", str(tmp_path)])
    assert "1 figure and the front matter of 1 page to change (nothing was written" in shown.output
    assert "+buildlog:" in shown.output
    assert (content / "a.md").read_bytes() == files[0]
    done = CliRunner().invoke(amend_command, ["--site", str(tmp_path), "--write"])
    assert (done.exit_code, done.output.splitlines()[-1]) == (
        0,
        "1 figure and the front matter of 1 page changed, 0 left to you.",
    )
    assert (content / "a.md").read_bytes() == files[1]
    again = CliRunner().invoke(amend_command, ["--site", str(tmp_path)])
    assert again.output == "Every computed figure is in line.\n"


def test_what_amend_leaves_it_tells(tmp_path: Path) -> None:
    text = f"---\n{{reversible: yes, title: A}}\n---\n\n# A\n\n{BILL}"
    content = write_site(tmp_path, {"a.md": text})
    done = CliRunner().invoke(amend_command, ["--site", str(tmp_path), "--write"])
    assert done.exit_code == 1
    assert "content/a.md:2:2: front matter left as it is: it is not written as a key on each" in done.output
    assert (content / "a.md").read_text() == text


def test_the_proof_is_the_same_but_for_the_note(tmp_path: Path) -> None:
    own = FIRST.partition("buildlog:\n")[2].partition("---\n")[0]
    old = FIRST.replace(f"buildlog:\n{own}", textwrap.dedent(own))
    before = proof_book(open_site(tmp_path, {**FILES, "episodes/final.md": old}))
    assert CliRunner().invoke(amend_command, ["--site", str(tmp_path), "--write"]).exit_code == 0
    assert (tmp_path / "content/episodes/final.md").read_text("utf-8") == FIRST
    after = proof_book(open_site(tmp_path, {}))
    told = [
        [(entry.label, entry.address, entry.standing) for entry in one.entries] for one in (before, after)
    ]
    assert told[0] == told[1]
    codes = [[finding.code.name for finding in one.findings] for one in (before, after)]
    assert sorted(codes[0]) == sorted([*codes[1], "front-matter-moved"])


OURS = {
    "series": "series: The Brindle\nepisode: 3",
    "reversible": "reversible:   'yes'  # it can",
    "date": "date: 2024-03-09",
    "tools": "tools:\n- a jack\n-  'a: b'",
    "undo": "undo:\n    - >\n      Lower\n      it.\n    - |2-\n        then\n\n       go",
    "measure": "measure: [Gap: mm,\n  Photograph]",
    "time": 'time: "a day\n\n  or\ttwo"',
    "hazards": "hazards: [lifting]",
    "steps": "steps: How it goes in",
    "bill": "bill: pair",
    "loose": "loose: off",
}
OTHERS = [
    "title: A",
    "tags:\n- a\n- b",
    "hide: [toc]",
    "x:\n  series: B\n  deep: {tools: [c]}",
    "description: >\n  One\n  # two",
    "status: new",
]
BETWEEN = ["", "\n", "# A comment.\n", "\n# One.\n# Two.\n", "# - no: value\n\n", "  # indented\n", " \n"]


@st.composite
def fronts(draw: st.DrawFn) -> str:
    parts = [OURS[name] for name in draw(st.lists(st.sampled_from(sorted(OURS)), min_size=1, unique=True))]
    parts += draw(st.lists(st.sampled_from(OTHERS), unique=True))
    return "".join(
        draw(st.sampled_from(BETWEEN)) + part + "\n" for part in draw(st.permutations(parts))
    ) + draw(st.sampled_from(BETWEEN))


@with_examples(200)
@given(fronts())
def test_what_is_moved_is_what_the_generator_no_longer_sees(front: str) -> None:
    """PyYAML reads both: under our key is what stood at the top, and all else is where it was."""
    before = page(front)
    if not before.howto.moved:
        return
    names = {key.text for key in before.howto.moved}
    after = yaml.safe_load(moved(front))
    told = yaml.safe_load(front)
    assert after.pop(KEY) == {name: told.pop(name) for name in list(told) if name in names}
    assert after == told
    assert sorted(moved(front).split()) == sorted([*front.split(), f"{KEY}:"])
