"""Cards with their script in a browser: one stop of the Tab key, arrows within, names as they are heard, and
folds that open for what leads into them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildlog.render.pieces import page_scripts, stylesheet
from tests.page.test_extension import render
from tests.render.blocks import GEARING, fence

SCRIPTS = "".join(page_scripts().values())

PAGE = "\n\n".join(
    (
        "# A page",
        "It does [133.1 km/h](calc:shorter-final.after.speed_at_limit.3), by [the rules](caution:lifting).",
        fence(GEARING),
        fence(GEARING.replace("shorter-final", "other") + "  longest: {final_drive: 3.54}\n"),
    )
)


@pytest.fixture
def page(browser: Any, tmp_path: Path) -> Any:
    """Opens the page at a width and at a part of it, with its script or without."""

    def open_page(width: int = 1280, fragment: str = "", scripted: bool = True) -> Any:
        file = tmp_path / "page.html"
        ours = f"<script>{SCRIPTS}</script>" if scripted else ""
        file.write_text(
            "<!doctype html><html lang='en'><meta charset='utf-8'><title>A page</title>"
            "<meta name='viewport' content='width=device-width'>"
            f"<style>body {{ margin: 1rem; font: 16px/1.5 sans-serif }} {stylesheet()}</style>{ours}"
            f"<main>{render(PAGE)}</main>",
            encoding="utf-8",
        )
        size = {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": False}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        browser.get("about:blank")
        browser.get(file.as_uri() + fragment)
        # What scrolls, and which folds are open, the page learns with a frame; under load that is later.
        browser.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")
        return browser

    return open_page


STOPS = """return [...document.querySelectorAll('.buildlog-card')].map(card =>
  [...card.querySelectorAll('a[href], summary, button, input, [tabindex]')]
    .filter(one => one.tabIndex >= 0 && one.checkVisibility()).length)"""


def test_a_card_is_one_stop_of_the_tab_key(page: Any) -> None:
    from selenium.webdriver.support.wait import WebDriverWait

    browser = page()
    WebDriverWait(browser, 20).until(lambda _: browser.execute_script(STOPS) == [1, 1], "one way into each")
    without = page(scripted=False).execute_script(STOPS)
    assert min(without) > 3, "without a script each link and fold is reached by itself"


def test_what_scrolls_is_a_stop_and_what_does_not_is_none(page: Any) -> None:
    regions = """return [...document.querySelectorAll('.buildlog-scroll')]
      .filter(one => one.checkVisibility())
      .map(one => [one.scrollWidth > one.clientWidth, one.tabIndex >= 0,
                   one.hasAttribute('aria-label')])"""
    browser = page(320)
    browser.execute_script("document.querySelectorAll('details').forEach(one => { one.open = true })")
    browser.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")
    found = browser.execute_script(regions)
    assert {tuple(one) for one in found} == {(True, True, True), (False, False, False)}


def test_the_arrows_lead_through_a_card_and_tab_out_of_it(page: Any) -> None:
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    browser = page()
    where = "return [document.activeElement.tagName, document.activeElement.closest('.buildlog-card')?.id]"
    browser.execute_script("document.querySelector('.buildlog-card [tabindex=\"0\"]').focus()")
    seen = []
    for _ in range(40):
        ActionChains(browser).send_keys(Keys.ARROW_DOWN).perform()
        seen.append(browser.execute_script(where))
    assert {card for _, card in seen} == {"calc-shorter-final"}
    assert {"A", "SUMMARY"} <= {tag for tag, _ in seen}
    assert browser.execute_script(STOPS) == [1, 1]
    ActionChains(browser).send_keys(Keys.TAB).perform()
    assert browser.execute_script(where)[1] == "calc-other"
    ActionChains(browser).key_down(Keys.SHIFT).send_keys(Keys.TAB).key_up(Keys.SHIFT).perform()
    assert browser.execute_script(where) == seen[-1], "and back to where it was left"
    ActionChains(browser).send_keys(Keys.HOME).perform()
    assert browser.execute_script("return document.activeElement.tabIndex") == 0


def heard(browser: Any, role: str) -> list[str]:
    """The names of a role in Chromium's accessibility tree."""
    browser.execute_cdp_cmd("Accessibility.enable", {})
    nodes = browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    return [one["name"]["value"] for one in nodes if one.get("role", {}).get("value") == role]


def test_headings_of_rows_and_titles_of_cards_are_heard_alone(page: Any) -> None:
    browser = page()
    rows, tables = heard(browser, "rowheader"), heard(browser, "table")
    assert "Road speed at the rev limit, gear 3 km/h" in rows
    assert not [name for name in (*rows, *tables) if "Link to this row" in name or "worked out" in name]
    assert heard(browser, "heading").count("A shorter final drive") == 2


@pytest.mark.parametrize("scripted", [True, False])
@pytest.mark.parametrize("fragment", ["#calc-shorter-final.step.2-3", "#calc-other.overall_ratio.4"])
@pytest.mark.parametrize("width", [360, 1280])
def test_what_leads_into_a_fold_opens_it_with_the_headings_in_sight(
    page: Any, width: int, fragment: str, scripted: bool
) -> None:
    browser = page(width, fragment, scripted)
    wait = "const done = arguments[0]; setTimeout(done, 300)"
    browser.execute_async_script(wait)
    opened, row, heading, height = browser.execute_script(
        """const row = document.getElementById(arguments[0]), table = row.closest('table');
        return [row.closest('details').open, row.getBoundingClientRect().bottom,
          table.tHead.getBoundingClientRect().top, innerHeight]""",
        fragment[1:],
    )
    assert opened
    assert 0 <= heading < row <= height


def test_printing_opens_cautions_and_leaves_the_other_results_folded(page: Any) -> None:
    browser = page()
    state = """return ['.buildlog-caution', '.buildlog-all'].map(css =>
      [...document.querySelectorAll(css)].map(one => one.open))"""
    browser.execute_script("dispatchEvent(new Event('beforeprint'))")
    cautions, results = browser.execute_script(state)
    assert cautions
    assert all(cautions)
    assert not any(results)
    browser.execute_script("dispatchEvent(new Event('afterprint'))")
    assert not any(browser.execute_script(state)[0])


def test_a_caution_is_on_paper_without_a_script(page: Any) -> None:
    browser = page(scripted=False)
    text = "document.querySelector('.buildlog-caution > p')"
    assert not browser.execute_script(f"return {text}.checkVisibility()")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    shown = browser.execute_script(f"return {text}.checkVisibility()")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert shown
