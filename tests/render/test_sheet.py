"""The workshop sheet: what is on it, and how it comes out on A4 and on Letter."""

from __future__ import annotations

import base64
import re
from pathlib import Path
from typing import Any

import pytest

from buildlog.kinds.hazards import HAZARDS
from buildlog.proof.overview import Overview
from buildlog.render.sheet import has_sheet, sheet_path, workshop_sheet
from tests.jobs import FILES, FIRST
from tests.parsed_html import Tag, parse
from tests.samples import open_site

KEY = "episodes/final"


def sheet(folder: Path, text: str = FIRST) -> str:
    overview = Overview(open_site(folder, {**FILES, f"{KEY}.md": text}))
    return workshop_sheet(overview.book, KEY, overview.places.get(KEY), "final.html")


def read(folder: Path, text: str = FIRST) -> Tag:
    html = sheet(folder, text)
    assert html.startswith('<!doctype html>\n<html lang="en">')
    return parse(html.partition("\n")[2])


def section(tree: Tag, title: str) -> Tag:
    (found,) = (one for one in tree.all("section") if one.all("h2") and one.all("h2")[0].words == title)
    return found


def rows(tag: Tag) -> list[list[str]]:
    return [
        [cell.words for cell in row.children if isinstance(cell, Tag)] for row in tag.one("tbody").all("tr")
    ]


def test_only_a_job_has_a_sheet(tmp_path: Path) -> None:
    book = open_site(tmp_path, FILES)
    assert has_sheet(book, KEY)
    assert has_sheet(book, "episodes/duct"), "it says how long it takes"
    assert not has_sheet(book, "about")
    assert not has_sheet(book, "no/such/page")
    assert sheet_path(KEY) == "episodes/final-sheet.html"


def test_the_head(tmp_path: Path) -> None:
    tree = read(tmp_path)
    assert tree.one("h1").words == "A shorter final drive"
    assert "The Test Car, episode 1" in tree.one("p", "kicker").words
    facts = {one.one("dt").words: one.one("dd").words for one in tree.one("dl", "facts").all("div")}
    assert facts == {
        "Time": "14 h",
        "Skill": "somebody who has set up a gear pair before",
        "Way back": "Can be put back to what it was",
    }
    assert [one.one("dt").words for one in tree.one("dl", "blanks").all("div")] == [
        "Car",
        "Date",
        "Done by",
        "Checked by",
    ]
    assert all(one.words == "" for one in tree.one("dl", "blanks").all("dd"))


def test_every_caution_of_the_page_once_and_before_the_work(tmp_path: Path) -> None:
    tree = read(tmp_path)
    titles = [one.words.rstrip(".") for one in section(tree, "Cautions").all("strong")]
    assert titles[:3] == ["Working under a raised car", "Driveline work", "Friction dust"]
    known = {hazard.title: hazard.text for hazard in HAZARDS.values()}
    for title in titles:
        assert tree.text.count(known[title]) == 1
    headings = [one.words for one in tree.all("h2")]
    assert headings[0] == "Cautions"


def test_what_is_measured_has_room_to_write(tmp_path: Path) -> None:
    assert rows(section(read(tmp_path), "Measure before you start")) == [
        ["Backlash of the old pair", "mm", "mm"],
        ["Photograph of the contact pattern", "done", "done"],
    ]


MEASURED = """\
measure:
    - Backlash, at four places: mm
    - "Wheelbase": {unit: mm, readings: [left, right]}
    - Noise: {unit: dB(A), readings: 3}
    - Level, at two places
  """


def test_every_reading_has_a_cell_with_its_unit(tmp_path: Path) -> None:
    text = FIRST.replace(FIRST[FIRST.index("measure:") : FIRST.index("undo:")], MEASURED)
    table = section(read(tmp_path, text), "Measure before you start").one("tbody")
    cells = [[one.words for one in row.all("td")[0].all("span", "cell")] for row in table.all("tr")]
    assert cells == [
        ["1 · mm", "2 · mm", "3 · mm", "4 · mm"],
        ["left · mm", "right · mm"],
        ["1 · dB(A)", "2 · dB(A)", "3 · dB(A)"],
        [],
    ]


STEPS = """\
## How it goes in

1. Mind [its weight](caution:driveline), and [](caution:friction-dust). **Two** people.
    - *Check:* nothing <b>hangs</b>, see [there](about.md).
2. Bolts to no more than
   [78 N·m](cite:axle-sheet.crown "for the crown wheel bolts").

    Another paragraph.

"""


def with_steps() -> str:
    first = FIRST.index("1. Mind")
    return (FIRST[:first] + STEPS + FIRST[FIRST.index("```yaml calc", first) :]).replace(
        "undo:", "steps: How it goes in\n  undo:", 1
    )


def test_steps_and_checks_with_boxes(tmp_path: Path) -> None:
    steps = section(read(tmp_path, with_steps()), "Steps")
    one, two = (item for item in steps.one("ol").children if isinstance(item, Tag))
    assert one.one("span", "step").words == "Mind its weight, and Friction dust. Two people."
    assert [check.words for check in one.one("ul").all("li")] == ["Check: nothing hangs, see there."]
    assert two.words == "Bolts to no more than 78 N·m (58 lbf·ft). (more in the page)"
    assert len(steps.all("span", "box")) == 3
    assert one.attributes["value"] == "1"


def test_a_limit_is_stated_as_in_the_page(tmp_path: Path) -> None:
    (row,) = rows(section(read(tmp_path, with_steps()), "Torques and settings"))
    assert row[:2] == ["the crown wheel bolts", "no more than 78 N·m (58 lbf·ft)"]
    behind = with_steps().replace("no more than\n   ", "").replace('bolts").', 'bolts") or less.')
    (row,) = rows(section(read(tmp_path, behind), "Torques and settings"))
    assert row[1] == "78 N·m (58 lbf·ft) or less"


def test_a_figure_that_does_not_hold_is_in_no_step(tmp_path: Path) -> None:
    wrong = with_steps().replace("[78 N·m](cite:axle-sheet.crown", "[87 N·m](cite:axle-sheet.crown")
    words = section(read(tmp_path, wrong), "Steps").words
    assert "87" not in words
    assert "(does not hold: see the page)" in words


def test_the_address_of_the_page_is_on_it(tmp_path: Path) -> None:
    overview = Overview(open_site(tmp_path, FILES))
    html = workshop_sheet(overview.book, KEY, None, "final.html", "https://a.example/final.html")
    tree = parse(html.partition("\n")[2])
    assert [one.words for one in tree.all("span", "address")] == ["https://a.example/final.html"] * 2
    assert [one.words for one in read(tmp_path).all("span", "address")] == [KEY] * 2


def test_notes_stand_beside_the_way_back(tmp_path: Path) -> None:
    """So that no page is for notes alone."""
    last = read(tmp_path).one("div", "last")
    assert [one.words for one in last.all("h2")] == ["To undo it", "Notes"]
    without = re.sub(r"  undo: .*\n", "", FIRST)
    assert [one.words for one in read(tmp_path, without).one("div", "last").all("h2")] == ["Notes"]
    assert len(last.all("footer")) == 1, "nor one for where the sheet is from"


def test_parts_and_tools_to_tick(tmp_path: Path) -> None:
    tree = read(tmp_path)
    fitted, removed = section(tree, "Parts").all("ul")
    assert [one.words for one in fitted.all("li")] == ["crown wheel and pinion", "8 × crown wheel bolt"]
    assert [one.words for one in removed.all("li")] == ["old pair"]
    assert [one.words for one in section(tree, "Used up").all("li")] == ["1.1 l (1.2 US qt) of axle oil"]
    assert [one.words for one in section(tree, "Tools").all("li")] == ["dial gauge", "torque wrench"]
    assert len(section(tree, "Tools").all("span", "box")) == 2


def test_a_torque_with_its_source_and_room_for_what_was_set(tmp_path: Path) -> None:
    tree = read(tmp_path)
    assert rows(section(tree, "Torques and settings")) == [
        ["the crown wheel bolts", "78 N·m (58 lbf·ft)", "", "Axle sheet, Test Axles, 2nd edition, p. 7"]
    ]
    assert "The maker’s manual for your car comes first" in section(tree, "Torques and settings").words


def test_a_torque_that_does_not_hold_is_not_on_the_sheet(tmp_path: Path) -> None:
    tree = read(
        tmp_path, FIRST.replace('[78 N·m](cite:axle-sheet.crown "for', '[78 N·m](told:last-owner "for')
    )
    (row,) = rows(section(tree, "Torques and settings"))
    assert row[1] == "does not hold: see the page"
    assert "78" not in row[1]


def test_a_figure_twice_for_the_same_stands_once(tmp_path: Path) -> None:
    line = '2. Bolts to [78 N·m](cite:axle-sheet.crown "for the crown wheel bolts").\n'
    assert len(rows(section(read(tmp_path, FIRST.replace(line, line + line)), "Torques and settings"))) == 1


def test_the_way_back_and_where_the_sheet_is_from(tmp_path: Path) -> None:
    tree = read(tmp_path)
    assert [one.words for one in section(tree, "To undo it").all("li")] == [
        "Fit the old pair.",
        "Recalibrate the speedometer.",
    ]
    footer = tree.one("footer")
    assert footer.one("a").attributes["href"] == "final.html"
    assert re.search(r"buildlog [0-9.]+, inputs [0-9a-f]{16}\.$", footer.words)


def test_it_stands_alone(tmp_path: Path) -> None:
    tree = read(tmp_path)
    for name in ("nav", "script", "link", "img", "iframe"):
        assert tree.all(name) == [], name
    assert "url(" not in sheet(tmp_path)
    assert "@import" not in sheet(tmp_path)


def test_authors_words_are_text(tmp_path: Path) -> None:
    hostile = FIRST.replace("somebody who", "<script>alert(1)</script> {{ 7 }} who")
    tree = read(tmp_path, hostile.replace("old pair, action", "<b>old</b>, action"))
    assert tree.all("script") == []
    assert tree.all("b") == []
    assert "<script>alert(1)</script> {{ 7 }} who has" in tree.one("dl", "facts").words


# --- on paper ---------------------------------------------------------------------------------

# ISO 216:2007, table 1: A4 is 210 mm × 297 mm. ANSI/ASME Y14.1: size A is 8.5 in × 11 in. 72 points an inch.
PAPERS = {"A4": (210 / 25.4, 297 / 25.4), "Letter": (8.5, 11.0)}


def printed(browser: Any, folder: Path, text: str, paper: str) -> list[tuple[float, float]]:
    """The pages of the sheet as PDF: width and height of each in points."""
    file = folder / "sheet.html"
    file.write_text(sheet(folder, text), encoding="utf-8")
    browser.get(file.as_uri())
    width, height = PAPERS[paper]
    options = {"paperWidth": width, "paperHeight": height, "preferCSSPageSize": True}
    pdf = base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", options)["data"])
    assert pdf.startswith(b"%PDF-")
    pages = re.findall(
        rb"/Type\s*/Page\b[^s].*?/MediaBox\s*\[\s*0 0 ([0-9.]+) ([0-9.]+)\s*\]", pdf, re.DOTALL
    )
    return [(float(width), float(height)) for width, height in pages]


@pytest.mark.parametrize("paper", PAPERS)
def test_a_common_job_is_one_sheet_of_paper_both_sides_at_most(
    browser: Any, tmp_path: Path, paper: str
) -> None:
    pages = printed(browser, tmp_path, FIRST, paper)
    assert 1 <= len(pages) <= 2
    for page in pages:
        assert page == pytest.approx([72 * side for side in PAPERS[paper]], abs=1)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_long_job_goes_on_over_pages(browser: Any, tmp_path: Path, paper: str) -> None:
    tools = ", ".join(f"tool number {number} of a long list with a long name" for number in range(90))
    long = FIRST.replace("[dial gauge, torque wrench]", f"[{tools}]")
    assert 3 <= len(printed(browser, tmp_path, long, paper)) <= 5


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_is_cut_off_at_the_side(browser: Any, tmp_path: Path, paper: str) -> None:
    file = tmp_path / "sheet.html"
    wide = FIRST.replace("A shorter final drive", "A" + "w" * 80)
    wide = wide.replace("dial gauge", "W" * 100).replace("the crown wheel bolts", "W" * 100)
    file.write_text(sheet(tmp_path, wide.replace("Backlash of the old pair", "M" * 100)), encoding="utf-8")
    # as wide as the paper within the margins of 14 mm, at 96 pixels an inch
    width = int((PAPERS[paper][0] - 28 / 25.4) * 96)
    size = {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    browser.get(file.as_uri())
    beyond = browser.execute_script(
        """return [...document.querySelectorAll('body *')].filter(one => {
          const range = document.createRange(); range.selectNodeContents(one);
          return one.children.length === 0 && range.getBoundingClientRect().right > innerWidth + 1;
        }).map(one => one.outerHTML)"""
    )
    assert beyond == []
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width
