"""A whole episode on paper: what keeps together, by the rules that Chromium has computed for it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.demonstration.test_browser import look

_TORN = """
const torn = (css, name, wanted) => [...document.querySelectorAll(css)]
  .filter(one => one.checkVisibility() && getComputedStyle(one)[name] !== wanted)
  .map(one => name + ': ' + one.tagName + ' ' + one.className + ' ' + one.textContent.trim().slice(0, 40));
return [
  ...torn('article :is(h1, h2, h3, h4)', 'breakAfter', 'avoid'),
  ...torn('.buildlog-head, .buildlog-title, .buildlog-table :is(caption, thead)', 'breakAfter', 'avoid'),
  ...torn('.buildlog-table tr, .buildlog-chart, article figure, article img', 'breakInside', 'avoid'),
];
"""


@pytest.mark.parametrize("page", ["episodes/final-drive.html", "episodes/exhaust.html"])
def test_headings_stay_with_their_text_and_rows_and_pictures_whole(
    browser: Any, demo: Path, page: str
) -> None:
    look(browser, demo / page)
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    assert browser.execute_script(_TORN) == []
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


def test_no_table_is_wider_than_the_paper(browser: Any, demo: Path) -> None:
    # ISO 216:2007, table 1: A4 is 210 mm wide; less margins of 10 mm at 96 pixels an inch
    look(browser, demo / "episodes/final-drive.html", int(190 / 25.4 * 96))
    browser.execute_script("dispatchEvent(new Event('beforeprint'))")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    wide = browser.execute_script(
        """return [...document.querySelectorAll('.buildlog-scroll')].filter(one => one.checkVisibility()
        && one.scrollWidth > one.clientWidth + 1).map(one => one.getAttribute('aria-label'))"""
    )
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert wide == []
