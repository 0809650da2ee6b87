"""Cards and figures in a browser: nothing overflows a phone, the keyboard reaches notes, dark is readable."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from buildlog.render import stylesheet
from tests.page.test_extension import render
from tests.render.blocks import GEARING, fence

MEASURED = GEARING.replace("cruise_speed:", "rolling_circumference: 1.752 ± 0.003 m\n  cruise_speed:")
FORETOLD = "predicts: {speed_at_limit.3: calc:shorter-final.speed_at_limit.3}"
PAGE = "\n\n".join(
    (
        "# A page",
        "A [132.3 km/h](calc:shorter-final.after.speed_at_limit.3) and at the far right end of the line of "
        "text [57.0 km/h](calc:shorter-final.after.speed_at_limit.1), or "
        "[3 km/h](calc:shorter-final.after.speed_at_limit.1).",
        fence(MEASURED),
        fence(MEASURED.replace("shorter-final", "three") + "  longest: {final_drive: 3.54}\n"),
        fence(MEASURED.replace("shorter-final", "watched").replace("cases:", f"{FORETOLD}\ncases:")),
        fence(GEARING.replace("shorter-final", "bad").replace("8200 rpm", "8200" + "x" * 200)),
        "- item\n\n" + re.sub("(?m)^", "    ", fence(GEARING.replace("shorter-final", "nested"))),
    )
)


@pytest.fixture
def page(browser: Any, tmp_path: Path) -> Any:
    """Opens the page at a width; `scheme` is the page's own, as a theme would set it."""

    def open_page(width: int, scheme: str = "light") -> Any:
        file = tmp_path / "page.html"
        file.write_text(
            f"<!doctype html><html lang='en' style='color-scheme: {scheme}'><meta charset='utf-8'>"
            "<title>A page</title><meta name='viewport' content='width=device-width'>"
            f"<style>body {{ margin: 1rem; font: 16px/1.5 sans-serif }} {stylesheet()}</style>{render(PAGE)}",
            encoding="utf-8",
        )
        size = {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": False}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        browser.get(file.as_uri())
        return browser

    return open_page


def shown_notes(browser: Any) -> list[list[float]]:
    """Left, top, right and bottom of every note that can be seen."""
    found: list[list[float]] = browser.execute_script(
        """return [...document.querySelectorAll('.buildlog-note')]
        .filter(one => getComputedStyle(one).display != 'none').map(one => one.getBoundingClientRect())
        .map(box => [box.left, box.top, box.right, box.bottom])"""
    )
    return found


@pytest.mark.parametrize("width", [360, 320, 768, 1280])
def test_nothing_overflows(page: Any, width: int) -> None:
    browser = page(width)
    for opened in (False, True):
        browser.execute_script(
            "document.querySelectorAll('details').forEach(one => { one.open = arguments[0] })", opened
        )
        assert browser.execute_script("return document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("width", [360, 1280])
def test_a_note_appears_on_keyboard_focus_inside_the_window(page: Any, width: int) -> None:
    from selenium.webdriver.common.keys import Keys

    browser = page(width)
    assert shown_notes(browser) == []
    browser.find_element("tag name", "body").send_keys(Keys.TAB)
    assert "buildlog-figure" in browser.switch_to.active_element.get_attribute("class")
    assert len(shown_notes(browser)) == 1
    for align in ("left", "right"):
        browser.execute_script("document.body.style.textAlign = arguments[0]", align)
        for figure in browser.find_elements("css selector", "p a.buildlog-figure"):
            browser.execute_script("arguments[0].focus()", figure)
            ((left, top, right, bottom),) = shown_notes(browser)
            assert left >= 0
            assert top >= 0
            assert right <= width
            assert bottom <= 800
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width


def test_the_row_that_a_figure_leads_to_is_marked(page: Any) -> None:
    browser = page(1280)
    row = "document.getElementById('calc-shorter-final.speed_at_limit.3')"
    background = f"return getComputedStyle({row}.cells[0]).backgroundColor"
    before = browser.execute_script(background)
    browser.find_element("css selector", "a.buildlog-computed").click()
    assert browser.execute_script(background) != before


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_and_lines_keep_their_contrast(page: Any, scheme: str) -> None:
    """WCAG 2.2, 1.4.3 (4.5:1 for text) and 1.4.11 (3:1 for what a chart is drawn with)."""
    browser = page(1280, scheme)
    ratios = browser.execute_script(CONTRAST, 6)
    assert len(ratios["text"]) > 5
    assert {name: ratio for name, ratio in ratios["text"].items() if ratio < 4.5} == {}
    assert {name: ratio for name, ratio in ratios["drawn"].items() if ratio < 3} == {}


CONTRAST = """
const canvas = document.createElement('canvas'); canvas.width = canvas.height = 1;
const pen = canvas.getContext('2d', {willReadFrequently: true});
const paper = document.createElement('div');
paper.style.background = 'Canvas'; document.body.append(paper);
function pixel(colour) {
  pen.fillStyle = getComputedStyle(paper).backgroundColor; pen.fillRect(0, 0, 1, 1);
  pen.fillStyle = colour; pen.fillRect(0, 0, 1, 1);
  return [...pen.getImageData(0, 0, 1, 1).data].slice(0, 3);
}
function luminance(colour) {
  const parts = pixel(colour).map(part => part / 255)
    .map(part => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
  return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2];
}
function ratio(colour) {
  const [low, high] = [luminance(colour), luminance('transparent')].sort((a, b) => a - b);
  return (high + 0.05) / (low + 0.05);
}
const text = {}, drawn = {};
for (const name of ['kicker', 'title', 'unit', 'margin', 'percent', 'none', 'note-line', 'verdict',
                    'use-name', 'standing', 'below', 'finding-place']) {
  const one = document.querySelector('.buildlog-' + name);
  if (one) text[name] = ratio(getComputedStyle(one).color);
}
const probe = document.createElement('span'); document.querySelector('.buildlog-card').append(probe);
for (let number = 1; number <= arguments[0]; number++) {
  probe.style.color = `var(--buildlog-c${number})`;
  drawn['c' + number] = ratio(getComputedStyle(probe).color);
}
return {text, drawn};
"""


def test_the_page_asks_nobody_outside(page: Any) -> None:
    browser = page(1280)
    assert (
        browser.execute_script("return performance.getEntriesByType('resource').map(one => one.name)") == []
    )
    assert [line for line in browser.get_log("browser") if line["level"] == "SEVERE"] == []
