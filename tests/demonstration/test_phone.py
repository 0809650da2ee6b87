"""On a phone: the site's lists are lists, and what has to be scrolled sideways shows that it goes on."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.demonstration.test_browser import CLUTCH, LISTS, look, seen, unfold

# Everything that scrolls by itself and holds more than it shows; with whether its edge has a shadow.
_SCROLLED = """
return [...document.querySelectorAll('.md-content *')].filter(one => one.checkVisibility()
    && ['auto', 'scroll'].includes(getComputedStyle(one).overflowX) && one.scrollWidth > one.clientWidth + 1)
  .map(one => [one.getAttribute('aria-label') || one.className || one.tagName,
    getComputedStyle(one).backgroundImage.includes('gradient'),
    one.tabIndex >= 0 || !!one.querySelector('a[href]')]);
"""


@pytest.mark.parametrize("page", [*LISTS, "predictions.html", "sources.html"])
def test_nothing_of_a_list_is_off_the_screen(browser: Any, demo: Path, page: str) -> None:
    look(browser, demo / page, 360)
    assert browser.execute_script(_SCROLLED) == []
    assert browser.execute_script("return document.documentElement.scrollWidth") <= 360


@pytest.mark.parametrize("page", [CLUTCH, "index.html", "manual/figures.html", "manual/kinds/clutch.html"])
def test_what_scrolls_sideways_says_so_and_is_reached_by_the_keyboard(
    browser: Any, demo: Path, page: str
) -> None:
    look(browser, demo / page, 360)
    unfold(browser)
    browser.execute_script("dispatchEvent(new Event('resize'))")
    scrolled = browser.execute_script(_SCROLLED)
    assert scrolled, "this page has nothing to look at"
    assert [one for one in scrolled if not (one[1] and one[2])] == []


def test_the_ledger_on_a_phone_can_be_sorted_and_names_its_cells(browser: Any, demo: Path) -> None:
    look(browser, demo / "ledger.html", 360)
    assert seen(browser, ".buildlog-ledger thead .buildlog-sort")[:3] == ["Page", "Line", "Figure"]
    browser.execute_script("document.querySelectorAll('.buildlog-ledger thead .buildlog-sort')[1].click()")
    lines = [int(text.split()[-1]) for text in seen(browser, ".buildlog-ledger tbody td:nth-child(2)")]
    assert lines == sorted(lines)
    shown = browser.execute_script(
        """const line = document.querySelector('.buildlog-ledger tbody td:nth-child(2)');
        return getComputedStyle(line, '::before').content"""
    )
    assert shown.startswith('"line')


def test_rows_of_a_list_are_still_rows_to_be_heard(browser: Any, demo: Path) -> None:
    look(browser, demo / "series.html", 360)
    tree = browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    roles = [node["role"]["value"] for node in tree if not node.get("ignored") and "role" in node]
    assert {"table", "row", "rowheader", "cell"} <= set(roles)
