"""The form for a reader's own numbers in a browser, with answers computed beforehand."""

from __future__ import annotations

import gzip
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from buildlog.render import render_card
from buildlog.render.own_numbers import OwnNumbers
from buildlog.render.pieces import own_numbers_script
from tests.parsed_html import parse
from tests.render.blocks import GEARING, compute
from tests.render.own_numbers_page import SCRIPTS, write_page
from tests.render.test_card import href

ROW = "#calc-shorter-final\\.speed_at_limit\\.3"
Open = Callable[..., Any]


@pytest.fixture
def page(browser: Any, tmp_path: Path) -> Open:
    """Opens the page from its folder."""

    def open_page(width: int = 1280, scheme: str = "light", fragment: str = "") -> Any:
        file = tmp_path / "page.html"
        if not file.exists():
            write_page(tmp_path, scheme)
        size = {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": False}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        browser.get(file.as_uri() + fragment)
        return browser

    return open_page


def wait_for(browser: Any, what: str) -> None:
    """Until an expression is true."""
    for _ in range(200):
        if browser.execute_script(f"return Boolean({what})"):
            return
        time.sleep(0.05)
    raise AssertionError(f"never: {what}")


def settle(browser: Any) -> None:
    """Until nothing is being computed."""
    wait_for(browser, "!document.querySelector('.buildlog-yours-status').textContent.startsWith('Computing')")


def open_form(browser: Any) -> None:
    browser.find_element("css selector", ".buildlog-yours > summary").click()
    wait_for(browser, "document.querySelector('.buildlog-yours-form')")


def write(browser: Any, name: str, text: str) -> None:
    """Type into the field of a label and leave it."""
    from selenium.webdriver.common.keys import Keys

    (control,) = [
        one
        for one in browser.find_elements("css selector", ".buildlog-yours-field :is(input, select)")
        if one.accessible_name == name
    ][-1:]
    control.send_keys(Keys.CONTROL, "a")
    control.send_keys(text, Keys.TAB)
    settle(browser)


def words(browser: Any, css: str) -> list[str]:
    """What is seen of the elements."""
    found: list[str] = browser.execute_script(
        "return [...document.querySelectorAll(arguments[0])].filter(one => one.checkVisibility())"
        ".map(one => one.innerText)",
        css,
    )
    return [" ".join(text.split()) for text in found]


def of_page(browser: Any) -> str:
    """The page without the form."""
    html: str = browser.execute_script(
        "const copy = document.querySelector('main').cloneNode(true);"
        "copy.querySelector('.buildlog-yours-box').remove(); return copy.innerHTML"
    )
    return html


def status(browser: Any) -> str:
    return words(browser, ".buildlog-yours-status")[0]


def test_a_changed_value_changes_the_card_the_figures_and_the_address(page: Open) -> None:
    browser = page()
    open_form(browser)
    before = of_page(browser)
    write(browser, "Engine speed at the limiter", "4100 rpm")
    # Half the limiter is half the speed: see tests/browser/test_restated.py.
    assert words(browser, f"{ROW} td:nth-of-type(2) .buildlog-mine") == ["66.2 ± 0.2"]
    assert words(browser, f"{ROW} td:nth-of-type(2) .buildlog-authors") == ["132.3"]
    assert words(browser, ".buildlog-would") == ["yours: 66.2 km/h", "yours: 4100 rpm"]
    assert words(browser, ".buildlog-yours-banner strong") == ["With your own numbers, not the author’s."]
    assert "Road speed at the rev limit, gear 3, after: 66.2" in status(browser).replace("-", " ")
    assert len(status(browser)) < 600, "what changed, not everything"
    assert browser.current_url.endswith("#yours=shorter-final&rev_limit=4100+rpm")
    write(browser, "Engine speed at the limiter", "8200 rpm")
    assert of_page(browser) == before
    assert browser.current_url.endswith("page.html")


def test_a_change_that_turns_round_says_so(page: Open) -> None:
    browser = page()
    open_form(browser)
    write(browser, "Final drive", "39/20")
    assert words(browser, ".buildlog-would") == ["yours: 309.1 km/h", "yours: 100.0 % more"]


def test_what_the_proof_says_stands_beside_the_field_and_nothing_is_computed(page: Open) -> None:
    browser = page()
    open_form(browser)
    before = of_page(browser)
    write(browser, "Engine speed at the limiter", "4100 rpm")
    write(browser, "Engine speed at the limiter", "4100")
    assert of_page(browser) == before
    (fault,) = words(browser, ".buildlog-yours-fault")
    assert "without a unit" in fault
    control = browser.find_element("css selector", ".buildlog-yours-field [aria-invalid=true]")
    described = control.get_attribute("aria-describedby").split()
    assert any("without a unit" in browser.find_element("id", name).text for name in described)
    assert status(browser).startswith("One value cannot be used")


def test_what_is_typed_is_only_ever_text(page: Open) -> None:
    browser = page()
    open_form(browser)
    write(browser, "Engine speed at the limiter", "<img src=x onerror=alert(1)>")
    assert words(browser, ".buildlog-yours-fault")
    assert browser.find_elements("css selector", "main img") == []
    assert "<img" not in browser.current_url


def test_a_field_goes_back_alone_and_all_of_them_together(page: Open) -> None:
    browser = page()
    open_form(browser)
    before = of_page(browser)
    write(browser, "Engine speed at the limiter", "4100 rpm")
    (back,) = [
        one for one in browser.find_elements("css selector", ".buildlog-yours-back") if one.is_displayed()
    ]
    assert back.accessible_name == "Back to the author’s 8200 rpm: Engine speed at the limiter"
    back.click()
    settle(browser)
    assert of_page(browser) == before
    write(browser, "Engine speed at the limiter", "4100 rpm")
    browser.find_element("css selector", ".buildlog-yours-banner button").click()
    assert of_page(browser) == before
    assert status(browser) == "The author’s numbers again."
    assert browser.switch_to.active_element.tag_name == "summary"


def test_a_link_opens_the_form_with_its_numbers(page: Open) -> None:
    browser = page(fragment="#yours=shorter-final&rev_limit=4100+rpm&gone=1")
    wait_for(browser, "document.querySelector('.buildlog-would')")
    settle(browser)
    assert words(browser, ".buildlog-would")[0] == "yours: 66.2 km/h"
    assert "what is not here, which were left out: gone" in status(browser)
    control = browser.find_element("css selector", ".buildlog-yours-field input")
    assert control.get_attribute("value") == "4100 rpm"
    browser.find_element("css selector", ".buildlog-yours-buttons button").click()
    shown = browser.find_element("css selector", ".buildlog-yours-link input").get_attribute("value")
    assert shown.endswith("page.html#yours=shorter-final&rev_limit=4100+rpm")


def test_rows_that_the_card_does_not_have_stand_in_the_form(page: Open) -> None:
    browser = page()
    open_form(browser)
    write(browser, "Gear ratios", "[3.32, 2.04, 1.43, 1.13, 1.00, 0.80]")
    assert words(browser, ".buildlog-yours-box caption") == ["Results that the author’s card does not have"]
    assert any("gear 6" in row for row in words(browser, ".buildlog-yours-box tbody th"))


def test_the_keyboard_alone_does_it(page: Open) -> None:
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    browser = page()

    def press(*keys: str, with_control: bool = False) -> None:
        chain = ActionChains(browser)
        if with_control:
            chain.key_down(Keys.CONTROL).send_keys(*keys).key_up(Keys.CONTROL).perform()
        else:
            chain.send_keys(*keys).perform()

    summary = browser.find_element("css selector", ".buildlog-yours > summary")
    browser.execute_script("arguments[0].focus()", summary)
    press(Keys.ENTER)
    wait_for(browser, "document.querySelector('.buildlog-yours-form')")
    press(Keys.TAB)
    assert browser.switch_to.active_element.accessible_name == "Engine speed at the limiter"
    press("a", with_control=True)
    press("4100 rpm", Keys.ENTER)
    wait_for(browser, "document.querySelector('.buildlog-would')")
    assert words(browser, ".buildlog-would")[0] == "yours: 66.2 km/h"
    press(Keys.TAB)
    assert browser.switch_to.active_element.accessible_name.startswith("Back to the author’s")
    press(Keys.ENTER)
    wait_for(browser, "!document.querySelector('.buildlog-would')")
    assert browser.switch_to.active_element.accessible_name == "Engine speed at the limiter"


@pytest.mark.parametrize("width", [320, 360, 1280])
def test_nothing_overflows(page: Open, width: int) -> None:
    browser = page(width)
    open_form(browser)
    write(browser, "Gear ratios", "[3.32, 2.04, 1.43, 1.13, 1.00, 0.80]")
    write(browser, "Gear ratios", "[3.32, 2.04, 1.43, 1.13, 1.00]")
    write(browser, "Engine speed at the limiter", "4100 rpm")
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width


def test_on_paper_the_author_s_numbers_stand(page: Open) -> None:
    browser = page()
    open_form(browser)
    paper = {"media": "print"}
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", paper)
    before = words(browser, "main p, main td, main figcaption")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    write(browser, "Engine speed at the limiter", "4100 rpm")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", paper)
    assert words(browser, "main p, main td, main figcaption") == before
    (drawn,) = browser.execute_script(
        "return [...document.querySelectorAll('.buildlog-drawn svg')].filter(one => one.checkVisibility())"
        ".map(one => one.id)"
    )
    assert drawn == "calc-shorter-final_chart"
    said = browser.execute_script(
        "return getComputedStyle(document.querySelector('.buildlog-head'), '::after').content"
    )
    assert "the author’s are printed" in said
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


def test_a_chart_is_drawn_anew_in_its_place(page: Open) -> None:
    browser = page()
    open_form(browser)
    write(browser, "Engine speed at the limiter", "4100 rpm")
    drawn = browser.execute_script(
        "return [...document.querySelectorAll('.buildlog-drawn svg')].filter(one => one.checkVisibility())"
        ".map(one => [one.getAttribute('aria-label'), one.querySelectorAll('path').length])"
    )
    assert drawn[0][0].startswith("With your own numbers, not the author’s.")
    assert drawn[0][1] > 10


def test_a_row_that_stands_twice_is_recomputed_in_both_places(page: Open) -> None:
    browser = page()
    open_form(browser)
    write(browser, "Engine speed at the limiter", "4100 rpm")
    twice = browser.execute_script(
        """return [...document.querySelectorAll('.buildlog-card [data-row]')].map(row =>
          [row, document.getElementById(row.dataset.row)].map(one => [...one.cells].slice(1)
            .map(cell => cell.textContent.trim()).join('|')))"""
    )
    assert twice
    assert all(one == other for one, other in twice)


def test_what_is_not_computed_again_says_whose_it_is(page: Open) -> None:
    browser = page()
    open_form(browser)
    after = (
        "return [...document.querySelectorAll("
        "'.buildlog-changed > details:not(.buildlog-yours, .buildlog-all) > summary')]"
        ".map(one => getComputedStyle(one, '::after').content)"
    )
    assert browser.execute_script(after) == []
    write(browser, "Engine speed at the limiter", "4100 rpm")
    said = browser.execute_script(after)
    assert len(said) > 2
    assert all("with the author’s numbers" in one for one in said)


@pytest.mark.parametrize("gone", ["answers.js", "shorter-final.js"])
def test_a_script_that_is_missing_is_said_and_can_be_tried_again(
    page: Open, tmp_path: Path, gone: str
) -> None:
    write_page(tmp_path)
    file = tmp_path / "buildlog" / "own" / gone
    kept = file.read_text(encoding="utf-8")
    file.unlink()
    browser = page()
    browser.find_element("css selector", ".buildlog-yours > summary").click()
    wait_for(browser, "document.querySelector('.buildlog-yours [role=alert]')")
    assert "could not be loaded" in words(browser, ".buildlog-yours [role=alert]")[0]
    file.write_text(kept, encoding="utf-8")
    browser.find_element("css selector", ".buildlog-yours button").click()
    wait_for(browser, "document.querySelector('.buildlog-yours-form')")


def test_a_browser_that_computes_something_else_offers_nothing(page: Open, tmp_path: Path) -> None:
    write_page(tmp_path)
    file = tmp_path / "buildlog" / "own" / "answers.js"
    wrong = file.read_text(encoding="utf-8").replace('"number": "132.3"', '"number": "132.4"')
    file.write_text(wrong, encoding="utf-8")
    browser = page()
    browser.find_element("css selector", ".buildlog-yours > summary").click()
    wait_for(browser, "document.querySelector('.buildlog-yours [role=alert]')")
    assert "computes another number than the page shows" in words(browser, ".buildlog-yours [role=alert]")[0]


def test_without_a_script_there_is_no_fold(page: Open, browser: Any) -> None:
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    page()
    assert not browser.find_element("css selector", ".buildlog-yours").is_displayed()
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})


def test_the_script_is_small_and_asks_nobody() -> None:
    text = own_numbers_script()
    assert len(gzip.compress(text.encode())) <= 9 * 1024
    for word in ("fetch", "XMLHttpRequest", "import(", "eval", "innerHTML", "http", "Storage", "WebSocket"):
        assert word not in text, word


def test_a_card_that_takes_no_numbers_says_why_or_nothing() -> None:
    block = compute(GEARING)
    plain = parse(render_card(block).html(href))
    assert plain.all(css="buildlog-yours") == []
    refused = parse(render_card(block, yours=OwnNumbers(refused="Not here: <b>.")).html(href))
    assert "Not here: <b>." in refused.words
    assert refused.all(css="buildlog-yours") == []
    offered = parse(render_card(block, yours=OwnNumbers("a.js")).html(href))
    assert offered.one(css="buildlog-yours").attributes["data-own"] == "a.js"


def severe(browser: Any) -> list[str]:
    return [one["message"] for one in browser.get_log("browser") if one["level"] == "SEVERE"]


# What Material does with `navigation.instant`: other content is put in place, and its scripts run once more.
BROUGHT_IN = """
const [html, scripts, done] = arguments;
document.querySelector('main').innerHTML = html;
history.pushState(null, '', location.pathname);
const inline = document.createElement('script');
inline.textContent = scripts;
const loaded = document.createElement('script');
loaded.src = 'buildlog-yours.js';
loaded.onload = done;
document.querySelector('main').append(inline, loaded);
"""


def test_a_page_that_is_brought_in_without_being_loaded_takes_numbers_once_more(page: Open) -> None:
    browser = page()
    html = browser.execute_script("return document.querySelector('main').innerHTML")
    open_form(browser)
    write(browser, "Engine speed at the limiter", "4100 rpm")
    browser.execute_async_script(BROUGHT_IN, html, SCRIPTS)
    time.sleep(0.2)
    assert "#" not in browser.current_url, "the numbers of the page before are no part of this one's address"
    open_form(browser)
    write(browser, "Engine speed at the limiter", "4100 rpm")
    assert words(browser, f"{ROW} td:nth-of-type(2) .buildlog-mine") == ["66.2 ± 0.2"]
    assert severe(browser) == []
    figure = browser.find_element("css selector", "p a.buildlog-figure")
    browser.execute_script("arguments[0].focus()", figure)
    figure.send_keys("\ue015")
    focused = browser.execute_script("return document.activeElement.textContent")
    assert focused == "To its row", "a key leads one stop on, not one for each page that was brought in"


def test_a_page_that_is_brought_in_in_another_language_has_its_words(page: Open) -> None:
    browser = page()
    html = browser.execute_script("return document.querySelector('main').innerHTML")
    browser.execute_script(
        "globalThis.buildlogSay = (text) => text.startsWith('Reset') ? 'Die Zahlen des Autors' : text"
    )
    browser.execute_async_script(BROUGHT_IN, html, SCRIPTS)
    open_form(browser)
    assert "Die Zahlen des Autors" in words(browser, ".buildlog-yours-buttons button")


def test_what_a_link_says_in_vain_is_told(page: Open) -> None:
    link = "#yours=shorter-final&no_such=1&rev_limit=4100+rpm&rev_limit=9&yours=%3Cb%3Ex%3C%2Fb%3E&a=%"
    browser = page(fragment=link)
    wait_for(browser, "document.querySelector('.buildlog-changed')")
    wait_for(browser, "document.querySelector('.buildlog-yours-status').textContent.includes('link')")
    not_here = "The link has numbers twice, or for what is not here, which were left out: "
    assert words(browser, ".buildlog-yours-unknown") == [f"{not_here}<b>x</b>."]
    assert f"{not_here}no_such, rev_limit." in status(browser)
    assert severe(browser) == []


def test_an_uncertainty_that_the_proof_would_draw_is_said_to_be_of_first_order(page: Open) -> None:
    browser = page()
    open_form(browser)
    write(browser, "Final drive", "39/20")
    assert "to first order here" not in status(browser)
    write(browser, "Final drive", "4.5 ± 0.7")
    assert "Some ± that the proof finds by drawing are to first order here" in status(browser)
