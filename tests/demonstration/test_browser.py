"""The built demo in a browser, opened from its folder: units, notes, paper, and what axe-core finds."""

from __future__ import annotations

import base64
import re
import subprocess
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

from buildlog.book.book import Book
from buildlog.render.sheet import has_sheet, sheet_path

CONTENT = Path(__file__).resolve().parents[2] / "content"
EPISODES = sorted(page.stem for page in (CONTENT / "episodes").glob("*.md"))
LISTS = ("series.html", "ledger.html")
# One of each sort of the manual's pages.
MANUAL = (
    "manual/figures.html",
    "manual/how-to.html",
    "manual/kinds/clutch.html",
    "manual/findings/index.html",
)
PAGES = (
    "index.html",
    *(f"episodes/{name}.html" for name in EPISODES),
    "sources.html",
    "glossary.html",
    "manual/index.html",
    *LISTS,
    *MANUAL,
)
CLUTCH = "episodes/clutch.html"


def look(browser: Any, page: Path, width: int = 1280, scheme: str = "light", height: int = 900) -> Any:
    """Open a page as a reader with that window and that scheme would."""
    size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    wanted = {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", wanted)
    browser.get(page.as_uri())
    return browser


def unfold(browser: Any) -> None:
    """Open all folds but those for the reader's own numbers, which compute as soon as they are open."""
    browser.execute_script(
        "document.querySelectorAll('details:not(.buildlog-yours)').forEach(one => { one.open = true })"
    )


def choose(browser: Any, units: str) -> None:
    from selenium.webdriver.support.ui import Select

    Select(browser.find_element("css selector", ".buildlog-units select")).select_by_value(units)


def seen(browser: Any, css: str) -> list[str]:
    """The text of the elements that are drawn, as drawn."""
    found: list[str] = browser.execute_script(
        """return [...document.querySelectorAll(arguments[0])].filter(one => one.checkVisibility())
        .map(one => one.innerText === undefined ? one.textContent : one.innerText)""",
        css,
    )
    return [" ".join(text.split()) for text in found]


# --- quality -----------------------------------------------------------------------------------

AXE = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
# Rows of a table, steps of a working and tables of a chart's data are alike, and axe looks at the paint of
# every one of them: a few stand for all.
FEWER = """
for (const one of document.querySelectorAll('details:not(.buildlog-yours)')) one.open = true;
for (const [within, alike, most] of [['table', 'tbody tr', 6], ['.buildlog-working', '.buildlog-step', 3],
    ['.buildlog-data', '.buildlog-scroll', 1]])
  for (const one of document.querySelectorAll(within))
    [...one.querySelectorAll(alike)].slice(most).forEach(other => other.remove());
"""
RUN = """
const done = arguments[arguments.length - 1];
axe.run({include: [['body']], exclude: [['math']]}, {resultTypes: ['violations']}).then(
  found => done(found.violations.flatMap(one => one.nodes.map(node => one.id + ' ' + node.target))),
  error => done([String(error)]));
"""


@pytest.mark.parametrize("width,scheme", [(1280, "light"), (1280, "dark"), (360, "light"), (360, "dark")])
def test_axe_finds_nothing(browser: Any, demo: Path, width: int, scheme: str) -> None:
    """axe-core with all its rules, those of mere good practice too; the bare theme has four violations."""
    browser.set_script_timeout(120)
    # The colours are those of the wide page, and axe takes seconds for each episode.
    pages = PAGES if width == 1280 and scheme == "light" else ("index.html", CLUTCH, *LISTS, *MANUAL[1:])
    for page in pages:
        look(browser, demo / page, width, scheme)
        browser.execute_script(FEWER)
        browser.execute_script("dispatchEvent(new Event('resize'))")
        browser.execute_script(AXE)
        assert browser.execute_async_script(RUN) == [], f"{page}, {width} px, {scheme}"


@pytest.mark.parametrize("width,scheme", [(1280, "light"), (1280, "dark"), (360, "light"), (360, "dark")])
def test_axe_finds_nothing_in_open_notes(browser: Any, demo: Path, width: int, scheme: str) -> None:
    look(browser, demo / CLUTCH, width, scheme)
    browser.execute_script(AXE)
    for sort in ("computed", "cited", "told"):
        figure = browser.find_element("css selector", f"p a.buildlog-figure.buildlog-{sort}")
        browser.execute_script("arguments[0].focus()", figure)
        assert len(seen(browser, ".buildlog-note")) == 1
        run = RUN.replace("['body']", "['.buildlog-mark:focus-within']")
        assert browser.execute_async_script(run) == [], sort


@pytest.mark.parametrize("width,scheme", [(1280, "light"), (360, "dark")])
def test_axe_finds_nothing_where_there_is_no_page(browser: Any, demo: Path, width: int, scheme: str) -> None:
    """The page of a wrong address names its files from the site's root, so that it needs a server."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(demo)))
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        size = {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": False}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        wanted = {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", wanted)
        browser.get(f"http://127.0.0.1:{server.server_port}/404.html")
        browser.execute_script(AXE)
        assert browser.execute_async_script(RUN) == []
    finally:
        server.shutdown()
        server.server_close()


class _Quiet(SimpleHTTPRequestHandler):
    """Serves a folder, and says nothing."""

    def log_message(self, format: str, *args: object) -> None:
        return


@pytest.mark.parametrize("width", [360, 1280])
def test_workshop_sheets_have_no_violation_and_ask_nobody(browser: Any, demo: Path, width: int) -> None:
    sheets = sorted(demo.rglob("*-sheet.html"))
    book = Book.open(root=CONTENT.parent)
    expected = {sheet_path(key) for key in book.pages if has_sheet(book, key)}
    assert {sheet.relative_to(demo).as_posix() for sheet in sheets} == expected != set()
    for sheet in sheets:
        look(browser, sheet, width)
        assert browser.execute_script("return document.documentElement.scrollWidth") <= width, sheet.name
        assert browser.execute_script("return performance.getEntriesByType('resource').length") == 0
    browser.execute_script(AXE)
    assert browser.execute_async_script(RUN) == []


# ANSI/ASME Y14.1, size A, and ISO 216:2007, table 1, in inches.
PAPERS = {"Letter": (8.5, 11.0), "A4": (210 / 25.4, 297 / 25.4)}


@pytest.mark.parametrize("paper", PAPERS)
def test_a_workshop_sheet_is_one_sheet_of_paper_and_no_page_is_for_notes_alone(
    browser: Any, demo: Path, tmp_path: Path, paper: str
) -> None:
    """Both sides of one sheet; what stands last on it, how to undo the work and the notes, has company."""
    width, height = PAPERS[paper]
    options = {"paperWidth": width, "paperHeight": height, "preferCSSPageSize": True}
    file = tmp_path / "sheet.pdf"
    for sheet in sorted(demo.rglob("*-sheet.html")):
        browser.get(sheet.as_uri())
        file.write_bytes(base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", options)["data"]))
        text = subprocess.run(["pdftotext", file, "-"], check=True, capture_output=True, text=True).stdout
        pages = text.rstrip("\f").split("\f")
        assert 1 <= len(pages) <= 2, sheet.name
        first = re.search("To undo it|Notes", pages[-1])
        assert first is not None, sheet.name
        assert first.start() > 20, f"{sheet.name}: a page of its own for what stands last"


STOPS = """const stops = [...document.querySelectorAll('a[href], button, input, summary, [tabindex]')]
  .filter(one => one.tabIndex >= 0 && one.checkVisibility({visibilityProperty: true}));
const rest = stops.filter(one => one.closest('article') && !one.matches('.buildlog-figure'));
const within = css => rest.filter(one => one.closest(css)).length;
return [within('.headerlink'), within('.buildlog-panel'), rest.length, stops.filter(one => {
  const box = one.getBoundingClientRect(); return box.width && box.right <= 0 && !one.matches('.md-skip');
}).length]"""


@pytest.mark.parametrize("width", [360, 1280])
def test_besides_its_figures_an_episode_has_few_stops_of_the_tab_key(
    browser: Any, demo: Path, width: int
) -> None:
    """Each figure opens its note and has to be one; all else is forty at the most (house rule), and nothing
    that the window does not show is one."""
    for name in EPISODES:
        look(browser, demo / f"episodes/{name}.html", width)
        browser.execute_async_script("requestAnimationFrame(() => setTimeout(arguments[0], 200))")
        permalinks, panel, rest, outside = browser.execute_script(STOPS)
        assert permalinks == 0, name
        assert panel <= 1, name
        assert rest <= 40, name
        assert outside == 0, name


TALLER = """const rows = [...document.querySelectorAll('.buildlog-card .buildlog-table :is(tr, caption)')]
  .filter(one => one.querySelector('.buildlog-here') && one.getClientRects().length);
const heights = () => rows.map(one => one.getBoundingClientRect().height), before = heights();
for (const link of document.querySelectorAll('.buildlog-here')) link.remove();
const after = heights();
return [rows.length, rows.filter((one, at) => before[at] > after[at] + 1).map(one => one.innerText)]"""


@pytest.mark.parametrize("width", [768, 1280])
def test_links_that_do_not_show_make_no_row_taller(browser: Any, demo: Path, width: int) -> None:
    """Its own address and the way to its working took a line where a name filled the first."""
    look(browser, demo / CLUTCH, width)
    unfold(browser)
    browser.execute_async_script("requestAnimationFrame(() => setTimeout(arguments[0], 200))")
    rows, taller = browser.execute_script(TALLER)
    assert rows > 50
    assert taller == []


def test_the_arrows_lead_through_the_panel_at_the_head(browser: Any, demo: Path) -> None:
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    look(browser, demo / CLUTCH)
    browser.execute_async_script("requestAnimationFrame(() => setTimeout(arguments[0], 200))")
    browser.execute_script("document.querySelector('.buildlog-panel [tabindex=\"0\"]').focus()")
    seen_stops = set()
    for _ in range(15):
        ActionChains(browser).send_keys(Keys.ARROW_DOWN).perform()
        seen_stops.add(browser.switch_to.active_element.text)
    cautions = browser.find_elements("css selector", ".buildlog-panel .buildlog-caution > summary")
    assert len(cautions) > 1
    assert {one.text for one in cautions} <= seen_stops
    hint = browser.find_element("css selector", ".buildlog-panel .buildlog-keys")
    assert hint.is_displayed(), "who gets there by keyboard is told"


@pytest.mark.parametrize("width", [360, 1280])
def test_no_page_is_wider_than_the_window_in_any_units(browser: Any, demo: Path, width: int) -> None:
    from selenium.webdriver.support.ui import WebDriverWait

    for page in PAGES:
        look(browser, demo / page, width)
        unfold(browser)
        for units in ("written", "metric", "us", None):
            browser.execute_script(
                "const root = document.documentElement.dataset;"
                "if (arguments[0]) root.buildlogUnits = arguments[0]; else delete root.buildlogUnits",
                units,
            )
            # What has become wide is made a box that scrolls when the next frame is drawn.
            WebDriverWait(browser, 30).until(
                lambda driver: driver.execute_script("return document.documentElement.scrollWidth") <= width,
                f"{page} in {units} is wider than {width} px",
            )


def test_bills_show_their_changes_on_a_phone(browser: Any, demo: Path) -> None:
    for name in ("clutch", "exhaust"):
        look(browser, demo / f"episodes/{name}.html", 360)
        hidden = browser.execute_script(
            """return [...document.querySelectorAll('.buildlog-scroll[aria-label="Mass of the line"]')]
            .map(one => one.scrollWidth - one.clientWidth)"""
        )
        assert hidden == [0], name


def test_pages_load_from_their_folder_and_ask_nobody(browser: Any, demo: Path) -> None:
    for page in PAGES:
        look(browser, demo / page)
        asked = browser.execute_script("return performance.getEntriesByType('resource').map(one => one.name)")
        chosen, ours = browser.execute_script(
            "return [Boolean(document.documentElement.dataset.buildlogUnits),"
            " Boolean(document.querySelector('[class^=buildlog]:not(.buildlog-term, .buildlog-no-search)'))]"
        )
        assert chosen == ours, page  # a page without what needs the script does not load it
        assert [name for name in asked if not name.startswith("file:")] == []
    severe = [line["message"] for line in browser.get_log("browser") if line["level"] == "SEVERE"]
    assert severe == []


# --- units --------------------------------------------------------------------------------------


def test_a_reader_chooses_the_units_of_the_whole_site_once(browser: Any, demo: Path) -> None:
    look(browser, demo / CLUTCH)
    link = "a.buildlog-figure[href='#calc-covers.clamp_load']"
    heading = "#calc-covers .buildlog-wide tbody tr:first-child th"
    row = "#calc-covers\\\\.clamp_load td:nth-child(3)".replace("\\\\", "\\")
    assert "141 N" in seen(browser, "p a.buildlog-figure")
    assert seen(browser, link)[0] == "4180"
    assert seen(browser, heading)[0].startswith("Clamp load with new facings N")
    assert seen(browser, row) == ["5600 ± 240"]
    assert "torque capacity, N·m" in seen(browser, "#calc-covers .buildlog-drawn text")
    choose(browser, "us")
    # 141 / 4.448222 = 31.70; 4180 / 4.448222 = 939.7; 5600 and 240 likewise (NIST SP 811, B.8).
    assert "31.7 lbf" in seen(browser, "p a.buildlog-figure")
    assert seen(browser, link)[0] == "939.7 lbf"
    assert seen(browser, heading)[0].startswith("Clamp load with new facings lbf")
    assert seen(browser, row) == ["1259 ± 54"]
    drawn = seen(browser, "#calc-covers .buildlog-drawn text")
    assert "torque capacity, lbf·ft" in drawn
    assert "torque capacity, N·m" not in drawn
    look(browser, demo / "episodes/final-drive.html")
    assert browser.execute_script("return document.documentElement.dataset.buildlogUnits") == "us"
    assert not [text for text in seen(browser, "a.buildlog-computed") if "km/h" in text]
    choose(browser, "written")
    browser.refresh()
    assert [text for text in seen(browser, "a.buildlog-figure") if "km/h" in text]
    assert not seen(browser, ".buildlog-other")


def test_what_the_author_wrote_is_told_in_the_note_of_a_converted_figure(browser: Any, demo: Path) -> None:
    look(browser, demo / CLUTCH)
    choose(browser, "us")
    figure = next(
        one for one in browser.find_elements("css selector", "p a.buildlog-figure") if one.text == "31.7 lbf"
    )
    browser.execute_script("arguments[0].focus()", figure)
    (note,) = seen(browser, ".buildlog-note")
    assert "As written: 141 N" in note
    assert "Computed: 31.7" in note
    choose(browser, "metric")
    browser.execute_script("arguments[0].focus()", figure)
    (note,) = seen(browser, ".buildlog-note")
    assert "As written" not in note
    assert "lbf" not in note


def test_without_a_script_the_other_system_stands_in_brackets(browser: Any, demo: Path) -> None:
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    look(browser, demo / CLUTCH)
    assert browser.execute_script("return document.documentElement.dataset.buildlogUnits") is None
    assert "141 N (31.7 lbf)" in seen(browser, "p a.buildlog-figure")
    assert "80 %" in seen(browser, "p a.buildlog-figure")
    assert seen(browser, "#calc-covers\\.clamp_load td:nth-child(3)") == ["5600 ± 240 (1259 ± 54)"]
    assert not seen(browser, ".buildlog-units")
    assert "torque capacity, N·m" in seen(browser, "#calc-covers .buildlog-drawn text")


# --- notes ---------------------------------------------------------------------------------------


def test_esc_closes_a_note_until_the_figure_is_left(browser: Any, demo: Path) -> None:
    from selenium.webdriver.common.keys import Keys

    look(browser, demo / CLUTCH)
    figure, other = browser.find_elements("css selector", "p a.buildlog-figure")[:2]
    browser.execute_script("arguments[0].focus()", figure)
    assert len(seen(browser, ".buildlog-note")) == 1
    figure.send_keys(Keys.ESCAPE)
    assert seen(browser, ".buildlog-note") == []
    browser.execute_script("arguments[0].focus()", other)
    assert len(seen(browser, ".buildlog-note")) == 1
    browser.execute_script("arguments[0].focus()", figure)
    assert len(seen(browser, ".buildlog-note")) == 1


def test_a_tap_shows_the_note_and_its_link_leads_to_the_row(browser: Any, demo: Path) -> None:
    from selenium.webdriver.common.actions.action_builder import ActionBuilder
    from selenium.webdriver.common.actions.pointer_input import PointerInput

    look(browser, demo / CLUTCH, 360)
    browser.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": True})
    figure = browser.find_element("css selector", "p a.buildlog-figure.buildlog-computed")

    browser.execute_script("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", figure)
    pointer = ActionBuilder(browser, mouse=PointerInput("touch", "finger"))  # type: ignore[no-untyped-call]
    pointer.pointer_action.move_to(figure).pointer_down().pointer_up()  # type: ignore[no-untyped-call]
    pointer.perform()
    assert "#" not in browser.current_url
    (note,) = seen(browser, ".buildlog-note")
    assert "Computed" in note
    browser.find_element("css selector", ".buildlog-open a.buildlog-to-row").click()
    anchor = figure.get_attribute("href").partition("#")[2]
    assert browser.current_url.endswith("#" + anchor)


def test_who_hears_a_figure_hears_one_system_of_units_and_no_controls(browser: Any, demo: Path) -> None:
    look(browser, demo / CLUTCH)
    browser.execute_cdp_cmd("Accessibility.enable", {})
    for units, there, not_there in (
        ("written", "N·m", "lbf"),
        ("us", "lbf·ft", "N·m"),
        ("metric", "N·m", "lbf"),
    ):
        choose(browser, units)
        nodes = browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
        told = [node["description"]["value"] for node in nodes if node.get("description", {}).get("value")]
        notes = [words for words in told if "Computed:" in words or "Cited" in words]
        assert len(notes) > 40
        assert any(there in words for words in notes)
        for words in notes:
            for control in ("To its", "Link to", "looks wrong"):
                assert control not in words
            # What a source gives, and what somebody named, is in the author's words.
            if "Computed:" in words and "Compared" not in words:
                assert not_there not in words, units
            assert words.count("Computed:") <= 1
    choose(browser, "written")


def test_a_note_closes_when_it_leads_away_and_marks_the_cell_of_its_case(browser: Any, demo: Path) -> None:
    look(browser, demo / CLUTCH)
    link = "p a.buildlog-figure[href='#calc-covers.pedal_force']"
    figure = next(one for one in browser.find_elements("css selector", link) if one.text == "141 N")
    browser.execute_script("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", figure)
    from selenium.webdriver.common.action_chains import ActionChains

    ActionChains(browser).move_to_element(figure).perform()
    note = browser.execute_script("return arguments[0].closest('.buildlog-mark')", figure)
    note.find_element("css selector", "a.buildlog-to-row").click()
    assert browser.current_url.endswith("#calc-covers.pedal_force")
    assert seen(browser, ".buildlog-note") == []
    assert seen(browser, "td.buildlog-case-marked") == ["141 ± 6"]
    assert seen(browser, "[aria-current=true]") == ["141 ± 6"]
    headings, row, header, window = browser.execute_script(
        """const row = document.getElementById('calc-covers.pedal_force');
        const box = (one) => one.getBoundingClientRect();
        return [box(row.closest('table').tHead).top, box(row).bottom,
                box(document.querySelector('.md-header')).bottom, innerHeight]"""
    )
    assert header <= headings < row <= window
    # From another page the cell is marked too.
    look(browser, demo / "index.html")
    figure = browser.find_element("css selector", "a[href='episodes/flywheel.html#calc-flywheel.inertia']")
    case = browser.execute_script("return arguments[0].closest('.buildlog-mark').dataset.case", figure)
    browser.execute_script("arguments[0].click()", figure)
    marked = browser.find_element("css selector", "td.buildlog-case-marked")
    assert marked.get_attribute("data-case") == case


def test_arrows_lead_from_a_figure_into_its_note_and_back(browser: Any, demo: Path) -> None:
    from selenium.webdriver.common.keys import Keys

    look(browser, demo / CLUTCH)
    figure = browser.find_element("css selector", "p a.buildlog-figure.buildlog-computed")
    browser.execute_script("arguments[0].focus()", figure)
    stops = []
    for key in (Keys.ARROW_DOWN, Keys.ARROW_DOWN, Keys.ARROW_DOWN, Keys.ARROW_DOWN, Keys.ARROW_UP):
        browser.switch_to.active_element.send_keys(key)
        stops.append(browser.switch_to.active_element.text)
    assert stops == ["To its row", "Link to this figure", *["This looks wrong"] * 2, "Link to this figure"]
    figure.send_keys(Keys.TAB)
    inside = "return Boolean(document.activeElement.closest('.buildlog-leads'))"
    assert not browser.execute_script(inside), "the links of a note are no stops of the tab key"


def test_the_list_of_all_figures_leads_to_the_figure_itself(browser: Any, demo: Path) -> None:
    look(browser, demo / "ledger.html")
    links = browser.execute_script(
        """return [...document.querySelectorAll('.buildlog-ledger tbody td:first-child a')]
        .map(one => one.getAttribute('href'))"""
    )
    by_page: dict[str, list[str]] = {}
    for link in links:
        page, _, anchor = link.partition("#")
        by_page.setdefault(page, []).append(anchor)
    assert sum(map(len, by_page.values())) > 400
    for page, anchors in by_page.items():
        look(browser, demo / page)
        missing = browser.execute_script(
            "return arguments[0].filter(one => !document.getElementById(one)?.matches('.buildlog-mark'))",
            anchors,
        )
        # What stands in front matter only is in lists and on the sheet.
        assert [one for one in missing if one] == []


def test_every_row_has_a_link_that_the_keyboard_reaches_and_sees(browser: Any, demo: Path) -> None:
    look(browser, demo / CLUTCH)
    here = browser.find_element("css selector", "#calc-covers\\.pedal_force .buildlog-here")
    faint = "return getComputedStyle(arguments[0]).opacity"
    assert float(browser.execute_script(faint, here)) == 0
    browser.execute_script("arguments[0].focus()", here)
    assert float(browser.execute_script(faint, here)) > 0.5
    assert here.accessible_name


def test_what_comes_after_stands_at_the_right(browser: Any, demo: Path) -> None:
    look(browser, demo / "episodes/final-drive.html")
    after = browser.find_element("css selector", ".buildlog-neighbours p")
    line = browser.find_element("css selector", ".buildlog-neighbours")
    assert after.rect["x"] + after.rect["width"] == pytest.approx(line.rect["x"] + line.rect["width"], abs=1)


def test_what_is_unfolded_is_named_without_its_sign(browser: Any, demo: Path) -> None:
    look(browser, demo / "episodes/final-drive.html")
    section = browser.find_element("css selector", ".buildlog-reproduce")
    assert section.accessible_name == "To repeat the figures of this page"


def test_what_the_keyboard_comes_to_has_a_ring_and_is_not_under_the_header(browser: Any, demo: Path) -> None:
    # WCAG 2.2, success criteria 2.4.7 (focus visible) and 2.4.11 (focus not obscured)
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    look(browser, demo / "ledger.html")
    browser.execute_script(
        "const one = document.querySelectorAll('article h2')[1]; one.tabIndex = -1; one.focus()"
    )
    stops = []
    for _ in range(12):
        ActionChains(browser).send_keys(Keys.TAB).perform()
        name, top, ring = browser.execute_script(
            """const one = document.activeElement, style = getComputedStyle(one);
            const header = document.querySelector('.md-header').getBoundingClientRect().bottom;
            return [one.tagName, one.getBoundingClientRect().top - header,
                    style.outlineStyle === 'none' ? 0 : parseFloat(style.outlineWidth)]"""
        )
        stops.append(name)
        assert top >= 0, stops
        assert ring > 0, stops
    assert {"INPUT", "DIV", "BUTTON", "A"} <= set(stops)


def test_the_keyboard_comes_to_the_start_of_a_table_that_is_out_of_sight(browser: Any, demo: Path) -> None:
    # Chromium brings the middle of what was out of sight into the middle of the window: of a table of 18,000
    # px that begins just below the window, a row 8,000 px below its start. Whether it begins there hangs on
    # a pixel of the fonts, so the window here ends where the table begins.
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    table = "document.querySelector('[aria-label=\"Table of all figures\"]')"
    look(browser, demo / "ledger.html")
    begins = browser.execute_script(f"return Math.floor({table}.getBoundingClientRect().top + scrollY)")
    look(browser, demo / "ledger.html", height=begins - 1)
    browser.execute_script(
        "document.querySelector('article input[type=search]').focus({preventScroll: true})"
    )
    assert browser.execute_script(f"return {table}.getBoundingClientRect().top >= innerHeight")
    ActionChains(browser).send_keys(Keys.TAB).perform()
    focused, top, window = browser.execute_script(
        f"""const table = {table}, top = table.getBoundingClientRect().top;
        const header = document.querySelector('.md-header').getBoundingClientRect().bottom;
        return [document.activeElement === table, top - header, innerHeight]"""
    )
    assert focused
    assert 0 <= top < window


# --- paper ---------------------------------------------------------------------------------------


def test_on_paper_there_is_no_navigation_and_what_is_folded_stands_open(browser: Any, demo: Path) -> None:
    look(browser, demo / CLUTCH)
    browser.execute_script("dispatchEvent(new Event('beforeprint'))")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    for hidden in (".md-header", ".md-sidebar", ".buildlog-units", ".buildlog-note", ".buildlog-here"):
        assert not browser.execute_script(
            "return [...document.querySelectorAll(arguments[0])].some(one => one.getClientRects().length)",
            hidden,
        ), hidden
    assert seen(browser, ".buildlog-references li")
    assert seen(browser, ".buildlog-inputs td")
    assert not seen(browser, ".buildlog-step")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    browser.execute_script("dispatchEvent(new Event('afterprint'))")
    assert not seen(browser, ".buildlog-inputs td")


@pytest.mark.parametrize("page", ["series.html", "ledger.html"])
def test_on_paper_a_list_keeps_all_its_columns(browser: Any, demo: Path, page: str) -> None:
    # ISO 216:2007, table 1: A4 is 210 mm wide; less margins of 10 mm at 96 pixels an inch
    look(browser, demo / page, int(190 / 25.4 * 96))
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    cut = browser.execute_script(
        """return [...document.querySelectorAll('.buildlog-list')].filter(one =>
          one.scrollWidth > one.parentElement.clientWidth
          || getComputedStyle(one.parentElement).overflowX !== 'visible').length"""
    )
    assert cut == 0
    assert seen(browser, ".buildlog-list td")
    assert not seen(browser, ".buildlog-choice *")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


def test_on_paper_there_are_no_ways_to_other_episodes(browser: Any, demo: Path) -> None:
    look(browser, demo / CLUTCH)
    assert seen(browser, ".buildlog-neighbours")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    assert not seen(browser, ".buildlog-neighbours")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


LINES = """
for (const one of document.querySelectorAll('details:has(.buildlog-step), .buildlog-step')) one.open = true;
const box = one => {
  const all = [one, ...one.querySelectorAll('*')].map(part => part.getBoundingClientRect())
    .filter(part => part.width && part.height);
  return {left: Math.min(...all.map(part => part.left)), right: Math.max(...all.map(part => part.right)),
    top: Math.min(...all.map(part => part.top)), bottom: Math.max(...all.map(part => part.bottom))};
};
const lines = [...document.querySelectorAll(
  '.buildlog-working :is(math, .buildlog-symbols, .buildlog-filled, .buildlog-uses)')]
  .filter(one => one.checkVisibility()).map(one => [one, box(one)]);
const over = [];
lines.forEach(([one, mine], place) => {
  for (const [other, theirs] of lines.slice(place + 1, place + 9))
    if (Math.min(mine.right, theirs.right) - Math.max(mine.left, theirs.left) > 1
        && Math.min(mine.bottom, theirs.bottom) - Math.max(mine.top, theirs.top) > -1)
      over.push(one.textContent.slice(0, 60) + ' / ' + other.textContent.slice(0, 60));
});
const wide = [...document.querySelectorAll('.buildlog-step > div')].filter(one =>
  [...one.children].some(part => part.getBoundingClientRect().right > innerWidth + 1));
return [lines.length, over, wide.map(one => one.id)];
"""


@pytest.mark.parametrize("name", EPISODES)
def test_no_line_of_a_working_is_over_another(browser: Any, demo: Path, name: str) -> None:
    """Every formula with all of its parts a pixel from the next, and nothing out of the window that does not
    scroll in a box of its own: 669 of 2,559 lines touched another before."""
    page = demo / f"episodes/{name}.html"
    for width in (1280, 768, 360):
        for scheme in ("light", "dark"):
            count, over, wide = look(browser, page, width, scheme).execute_script(LINES)
            assert count
            assert (over, wide) == ([], []), (width, scheme)


def test_a_row_leads_to_its_step_and_the_step_stands_open(browser: Any, demo: Path) -> None:
    """Without a script: what a link leads to inside of a fold is unfolded by the browser."""
    from selenium.webdriver.support.wait import WebDriverWait

    look(browser, demo / "episodes/final-drive.html")
    target = browser.execute_script("""
        const way = document.querySelector('.buildlog-how');
        way.click();
        return way.hash.slice(1);""")
    WebDriverWait(browser, 10).until(
        lambda _: browser.execute_script(
            "return document.getElementById(arguments[0]).checkVisibility()", target
        )
    )


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_on_paper_curves_and_text_are_made_for_white(browser: Any, demo: Path, scheme: str) -> None:
    # WCAG 2.2, success criteria 1.4.3 (text, 4.5 : 1) and 1.4.11 (graphics, 3 : 1)
    look(browser, demo / CLUTCH, scheme=scheme)
    browser.execute_cdp_cmd(
        "Emulation.setEmulatedMedia",
        {"media": "print", "features": [{"name": "prefers-color-scheme", "value": scheme}]},
    )
    contrasts = browser.execute_script(
        """const probe = document.body.appendChild(document.createElement('i'));
        const canvas = document.createElement('canvas').getContext('2d', {willReadFrequently: true});
        const contrast = (colour) => {
          probe.style.color = colour;
          canvas.fillStyle = '#fff'; canvas.fillRect(0, 0, 1, 1);
          canvas.fillStyle = getComputedStyle(probe).color; canvas.fillRect(0, 0, 1, 1);
          const [r, g, b] = [...canvas.getImageData(0, 0, 1, 1).data].map(one => one / 255)
            .map(one => one <= 0.04045 ? one / 12.92 : ((one + 0.055) / 1.055) ** 2.4);
          return 1.05 / (0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05);
        };
        const curves = [1, 2, 3, 4, 5, 6].map(one => contrast(`var(--buildlog-c${one})`));
        const text = ['.md-typeset', '.buildlog-caution > summary', '.buildlog-table td']
          .map(one => contrast(getComputedStyle(document.querySelector(one)).color));
        probe.remove();
        return [Math.min(...curves), Math.min(...text)];"""
    )
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert contrasts[0] >= 2.99
    assert contrasts[1] >= 4.5


# --- pictures ----------------------------------------------------------------------------------

DUCT = "episodes/cold-air-duct.html"


@pytest.mark.parametrize("width", [1280, 360])
def test_a_picture_is_enlarged_and_closed_again(browser: Any, demo: Path, width: int) -> None:
    look(browser, demo / DUCT, width)
    first = browser.find_element("css selector", ".buildlog-enlarge")
    first.send_keys("\ue007")  # Enter
    dialog = browser.find_element("css selector", "dialog.buildlog-enlarged")
    assert dialog.is_displayed()
    assert dialog.find_element("css selector", "p").text == "Before (1 of 2)"
    large = dialog.find_element("css selector", "img")
    assert large.rect["width"] > 0.9 * min(width, 900 * 440 / 316 * 0.88)
    assert browser.execute_script("return document.documentElement.scrollWidth <= innerWidth")
    browser.switch_to.active_element.send_keys("\ue014")  # right
    assert dialog.find_element("css selector", "p").text == "After (2 of 2)"
    browser.switch_to.active_element.send_keys("\ue00c")  # Esc
    assert not dialog.is_displayed()
    assert browser.switch_to.active_element == first


def test_nothing_moves_when_a_picture_has_come(browser: Any, demo: Path) -> None:
    for page in (DUCT, CLUTCH):
        look(browser, demo / page)
        sizes = browser.execute_script(
            """return [...document.querySelectorAll('.buildlog-sized, .md-content img')].map(
            one => [one.getAttribute('width'), one.getAttribute('height'), one.width / one.height])"""
        )
        assert sizes
        for wide, high, shown in sizes:
            assert shown == pytest.approx(int(wide) / int(high), rel=0.02)


def test_a_cited_figure_stays_as_its_source_has_it(browser: Any, demo: Path) -> None:
    """The maker's figure goes on the wrench: the conversion stands beside it, never instead."""
    look(browser, demo / "episodes/final-drive.html")
    choose(browser, "us")
    cited = [text for text in seen(browser, "a.buildlog-cited.buildlog-in-metric") if "N·m" in text]
    assert cited
    assert all("(" in text and "lbf·" in text.partition("(")[2] for text in cited), cited
    computed = [text for text in seen(browser, "a.buildlog-computed.buildlog-in-metric") if "mph" in text]
    assert computed
    assert not any("km/h" in text for text in computed)
    browser.execute_script("for (const one of document.querySelectorAll('.buildlog-all')) one.open = true")
    assert any(
        "mph" in text and "km/h" not in text for text in seen(browser, ".buildlog-remark, .buildlog-word")
    )
    choose(browser, "written")
