"""Lists of the whole site: every figure, coverage, sources, the series, the cautions."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildlog.charts.data import System
from buildlog.kinds.chart import Chart
from buildlog.kinds.hazards import HAZARDS
from buildlog.kinds.results import row_anchor
from buildlog.proof.overview import Overview
from buildlog.proof.proof import proof_book
from buildlog.reading.markers import LISTS
from buildlog.render import LinkPiece, ledger_script, stylesheet
from buildlog.render.lists import render_list
from tests.jobs import FILES, FIRST, SECOND
from tests.parsed_html import Tag, parse
from tests.samples import calc, open_site

# What has nothing of ours asks for its loose figures.
ASKS = "---\nbuildlog:\n  loose: note\n---\n"
HOSTILE = '<script>alert("x")</script>&amp;**{{ 7 }}'


def draw(spec: Chart, anchor: str, system: System) -> str:
    return f'<svg role="img" id="{anchor}"></svg>'


def href(link: LinkPiece) -> str:
    return f"{link.page or ''}#{link.anchor}"


def shown(folder: Path, name: str, **files: str) -> Tag:
    changed = {f"{path.replace('__', '/')}.md": text for path, text in files.items()}
    overview = Overview(open_site(folder, {**FILES, **changed}))
    tree = parse(render_list(name, overview, draw).html(href))
    assert len(tree.ids) == len(set(tree.ids))
    return tree


def cells(row: Tag) -> list[str]:
    return [one.words for one in row.children if isinstance(one, Tag)]


def body(table: Tag) -> list[list[str]]:
    return [cells(row) for row in table.one("tbody").all("tr")]


def test_the_ledger_has_every_figure_of_the_proof(tmp_path: Path) -> None:
    about = f"{ASKS}# About\n\nIt weighs 650 kg.\n"
    tree = shown(tmp_path, "ledger", about=about)
    report = proof_book(open_site(tmp_path, {**FILES, "about.md": about}))
    rows = body(tree.one("table"))
    assert len(rows) == len(report.entries) == 5
    assert rows[0] == ["About", "7", "650 kg", "loose", "nothing", "–"]
    third = next(row for row in rows if row[3] == "computed")
    assert third[0] == "A shorter final drive"
    assert third[2] == "150.6 km/h (93.57 mph)"
    assert third[4].endswith(": Road speed at the rev limit, gear 3"), "as the card has it"
    own, other = third[5].removesuffix(")").split(" (")
    assert own.startswith(("150.5", "150.6"))
    # / 1.609344 (NIST SP 811, B.8)
    assert float(other.removesuffix(" mph")) == pytest.approx(
        float(own.removesuffix(" km/h")) / 1.609344, abs=0.02
    )
    assert [row[4] for row in rows if row[3] == "cited"] == ["Axle sheet"] * 3


def test_the_ledger_leads_to_the_figure_and_to_the_row_of_the_card(tmp_path: Path) -> None:
    links = {one.attributes["href"] for one in shown(tmp_path, "ledger").one("tbody").all("a")}
    figures = {
        "",
        "figure.then.speed_at_limit.3",
        "figure.front.cite-axle-sheet",
        "figure.cite-axle-sheet.crown",
    }
    anchors = {*figures, row_anchor("then", "speed_at_limit", "3")}
    assert links == {f"episodes/final#{anchor}" for anchor in anchors}


def test_the_episodes_of_a_series_stand_in_their_order(tmp_path: Path) -> None:
    second = SECOND.replace("# A cold-air duct\n", "# A cold-air duct\n\n[0.84 kg](cite:axle-sheet).\n")
    about = "# About\n\n[650 kg](cite:axle-sheet).\n"
    pages = ["About", "A shorter final drive", "A cold-air duct"]  # whose path comes before the first's
    files = {"episodes__duct": second, "about": about}
    rows = body(shown(tmp_path, "ledger", **files).one("table"))
    assert list(dict.fromkeys(row[0] for row in rows)) == pages
    assert [row[0] for row in body(shown(tmp_path, "coverage", **files).one("table"))] == pages
    used = shown(tmp_path, "sources", **files).by_id("all-sources-axle-sheet").all("a")
    assert [one.words for one in used] == pages


def test_a_choice_of_standings_with_their_counts(tmp_path: Path) -> None:
    choice = shown(tmp_path, "ledger").all("fieldset")[0]
    assert [one.words for one in choice.all("label")] == ["all 4", "computed 1", "cited 3"]


def test_what_disagrees_says_so_in_words(tmp_path: Path) -> None:
    tree = shown(tmp_path, "ledger", episodes__final=FIRST.replace("150.6 km/h", "170.6 km/h"))
    (row,) = (one for one in tree.one("tbody").all("tr") if "data-wrong" in one.attributes)
    assert cells(row)[3] == "computed, disagrees"
    assert [one.words for one in tree.all("fieldset")[0].all("label")][-1] == "disagreeing 1"


def test_coverage_adds_up_and_is_never_rounded_up(tmp_path: Path) -> None:
    many = "# About\n\n" + "[39 mm](cite:axle-sheet)\n" * 1999 + "and 650 kg.\n"
    table = shown(tmp_path, "coverage", about=many).one("table")
    rows = {row[0]: row[1:] for row in body(table)}
    assert rows["About"] == ["2000", "0", "1999", "0", "1", "99.9 %"]
    assert rows["A shorter final drive"] == ["4", "1", "3", "0", "0", "100 %"]
    assert cells(table.one("tfoot").one("tr")) == ["All pages", "2004", "1", "2002", "0", "1", "99.9 %"]


def test_sources_and_who_names_them(tmp_path: Path) -> None:
    cited, told = shown(tmp_path, "sources").all("section")
    assert cited.one("li").words == "Axle sheet, Test Axles, 2nd edition, p. 7 A shorter final drive (3)"
    assert told.one("li").words == "the last owner, at the sale no figure names it"


def test_the_series_tells_what_each_episode_took_and_changed(tmp_path: Path) -> None:
    tree = shown(tmp_path, "series")
    table = tree.all("table")[0]
    first, second = body(table)
    assert first[:4] == ["1", "A shorter final drive", "2024-03-09", "14 h"]
    assert first[4].startswith("+1.20 ± 0.10 kg (+2.6")  # 1.20 / 0.45359237 lb = 2.646 lb
    assert first[6] == "420.00 EUR"
    assert first[7] == "test, standard"
    assert second[:4] == ["2", "A cold-air duct", "–", "1.5 h"]
    assert second[5].startswith("+0.08 ± 0.10 kg")
    assert cells(table.one("tfoot").one("tr"))[3] == "15.5 h"
    assert "How the sheet of test changed" in tree.words
    assert "final drive: 41/9" in tree.words
    assert len(tree.all("figure")) == 3


def test_an_episode_says_with_which_states_of_the_car_it_computes(tmp_path: Path) -> None:
    now = calc("id: now\nkind: gearing\ncar: test")
    tree = shown(tmp_path, "series", episodes__final=FIRST + now, episodes__duct=SECOND + now)
    assert [row[7] for row in body(tree.all("table")[0])] == ["test, standard and the latest", "test"]


def test_a_sum_over_some_of_the_episodes_says_so(tmp_path: Path) -> None:
    tree = shown(tmp_path, "series", episodes__duct=SECOND.partition("```")[0])
    assert "The mass is that of 1 of 2 episodes." in tree.words
    assert "The cost is that of 1 of 2 episodes." in tree.words
    assert "The time is that of" not in tree.words


def test_a_site_without_a_series_says_so(tmp_path: Path) -> None:
    plain = {"episodes__final": "# A\n", "episodes__duct": "# B\n"}
    assert (
        shown(tmp_path, "series", **plain).words == "No page of this site says that it belongs to a series."
    )


def test_every_caution_with_its_id(tmp_path: Path) -> None:
    tree = shown(tmp_path, "cautions")
    assert [one.words for one in tree.all("dd")] == [hazard.text for hazard in HAZARDS.values()]
    assert [one.one("code").words for one in tree.all("dt")] == list(HAZARDS)


@pytest.mark.parametrize("name", LISTS)
def test_authors_texts_are_text(tmp_path: Path, name: str) -> None:
    front = (
        f"---\ntitle: '{HOSTILE}'\nbuildlog:\n  series: '{HOSTILE}'\n  episode: 3\n  time: '{HOSTILE}'\n---\n"
    )
    tree = shown(
        tmp_path, name, about=f"{front}\n# A\n\n[{HOSTILE} 3 kg](cite:axle-sheet) and 4 kg {HOSTILE}\n"
    )
    assert tree.all("script") == []
    if name not in ("cautions", "parts", "predictions"):  # tests of their own have hostile ones of these
        assert HOSTILE in tree.words


# --- in a browser -----------------------------------------------------------------------------


def listed(browser: Any, folder: Path, name: str, *, script_runs: bool = True) -> Any:
    about = f"{ASKS}# About\n\nIt weighs 650 kg, or 40 kg.\n"
    overview = Overview(open_site(folder, {**FILES, "about.md": about}))
    html = render_list(name, overview, draw).html(href)
    file = folder / "page.html"
    file.write_text(
        f"<!doctype html><html lang=en><meta charset=utf-8><title>A</title><style>{stylesheet()}</style>"
        f"{html}<script>{ledger_script()}</script>",
        encoding="utf-8",
    )
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": not script_runs})
    browser.get(file.as_uri())
    return browser


def figures(browser: Any) -> list[str]:
    """The figures that are seen, from top to bottom."""
    rows = browser.find_elements("css selector", ".buildlog-ledger tbody tr")
    seen = sorted((one for one in rows if one.is_displayed()), key=lambda one: one.location["y"])
    return [one.find_elements("tag name", "td")[2].text.split("(")[0].strip() for one in seen]


@pytest.mark.parametrize("script_runs", [False, True])
def test_the_ledger_is_filtered_by_standing_without_a_script(
    browser: Any, tmp_path: Path, script_runs: bool
) -> None:
    listed(browser, tmp_path, "ledger", script_runs=script_runs)
    assert len(figures(browser)) == 6
    for value, count in (("loose", 2), ("cited", 3), ("computed", 1), ("all", 6)):
        browser.find_element("css selector", f"[value={value}]").click()
        assert len(figures(browser)) == count, value
    assert len(browser.find_elements("css selector", ".buildlog-sort")) == (6 if script_runs else 0)


def test_what_is_cited_stays_as_its_source_has_it_in_the_ledger_too(browser: Any, tmp_path: Path) -> None:
    listed(browser, tmp_path, "ledger")
    browser.execute_script("document.documentElement.dataset.buildlogUnits = 'us'")
    rows = browser.find_elements("css selector", ".buildlog-ledger tbody tr")
    seen = {row.find_elements("tag name", "td")[2].text.replace("\u00a0", " ") for row in rows}
    assert {"78 N·m (58 lbf·ft)", "93.57 mph"} <= seen


def test_without_a_script_the_rows_are_laid_out_in_another_order(browser: Any, tmp_path: Path) -> None:
    listed(browser, tmp_path, "ledger", script_runs=False)
    written = figures(browser)
    browser.find_element("css selector", "[value=by-figure]").click()
    assert figures(browser) == ["1.1 l", "14 h", "40 kg", "78 N·m", "150.6 km/h", "650 kg"]
    browser.find_element("css selector", "[value=loose]").click()
    assert figures(browser) == ["40 kg", "650 kg"]
    browser.find_element("css selector", "[value=by-ground]").click()
    browser.find_element("css selector", "[value=all]").click()
    assert figures(browser)[:3] == [one for one in written if one in ("14 h", "1.1 l", "78 N·m")]
    browser.find_element("css selector", "[value=by-page]").click()
    assert figures(browser) == written
    # the columns stay under their headings
    browser.find_element("css selector", "[value=by-figure]").click()
    for number in range(1, 7):
        head = browser.find_element("css selector", f".buildlog-ledger th:nth-child({number})").rect
        cell = browser.find_element("css selector", f".buildlog-ledger td:nth-child({number})").rect
        assert (head["x"], head["width"]) == pytest.approx((cell["x"], cell["width"]), abs=1)


def test_with_a_script_the_headings_sort(browser: Any, tmp_path: Path) -> None:
    listed(browser, tmp_path, "ledger")
    assert browser.find_elements("css selector", "[name=buildlog-order]") == []


def test_the_ledger_is_sorted_by_number_and_back(browser: Any, tmp_path: Path) -> None:
    listed(browser, tmp_path, "ledger")
    written = figures(browser)
    heading = browser.find_elements("css selector", ".buildlog-ledger thead button")[2]
    heading.click()
    up = figures(browser)
    assert up == ["1.1 l", "14 h", "40 kg", "78 N·m", "150.6 km/h", "650 kg"]
    assert heading.find_element("xpath", "..").get_attribute("aria-sort") == "ascending"
    heading.click()
    assert figures(browser) == up[::-1]
    heading.click()
    assert figures(browser) == written
    assert heading.find_element("xpath", "..").get_attribute("aria-sort") is None


def test_words_are_looked_for_and_the_count_is_said(browser: Any, tmp_path: Path) -> None:
    listed(browser, tmp_path, "ledger")
    box = browser.find_element("css selector", "input[type=search]")
    box.send_keys("axle SHEET")
    assert len(figures(browser)) == 3
    assert browser.find_element("tag name", "output").text == "3 found"
    browser.find_element("css selector", "[value=computed]").click()
    assert figures(browser) == []
    assert browser.find_element("tag name", "output").text == "0 found", "of what is shown"
    browser.find_element("css selector", "[value=all]").click()
    box.clear()
    box.send_keys("no such thing")
    assert figures(browser) == []
    assert browser.find_element("tag name", "output").text == "0 found"
