"""Headings of logs: in which line they are found, which column each is, and what its numbers are in."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.reading import log_head
from tests.reading.test_logs import BOTH, PLAIN, bad, good, read, rpm

ROWS = "0,2000\n1,2001\n"


def ruled(block: str, rule: str) -> str:
    return f"{block[:-1]}, {rule}}}"


# --- where the headings stand ----------------------------------------------------------------------------


def test_the_first_line_that_has_all_that_is_wanted_is_that_of_the_headings(tmp_path: Path) -> None:
    log = good(tmp_path, PLAIN, "device,RPM\nTime of export,today\n\nTime,RPM\n" + ROWS)
    assert rpm(log) == [2000, 2001]
    log = good(tmp_path, PLAIN, "Time,RPM\nTime,RPM\n0,1\n1,2\n".replace("Time,RPM\n", "", 1))
    assert rpm(log) == [1, 2]


def test_a_line_that_is_stated_is_that_of_the_headings(tmp_path: Path) -> None:
    two = "Time,RPM\nTime,RPM\n" + ROWS
    assert rpm(good(tmp_path, ruled(PLAIN, "headings: 2"), two)) == [2000, 2001]
    told = bad(tmp_path, PLAIN, two)  # the second is no row of numbers
    assert told.startswith("log-unclear log.csv:2:1: “Time” under “Time”")
    _, missing = read(tmp_path, ruled(PLAIN, "headings: 3"), two)
    assert len(missing) == 2
    assert all("which log.csv has not | a heading of the file: 0, 2000" in one for one in missing)
    _, beyond = read(tmp_path, ruled(PLAIN, "headings: 9"), two)
    assert all("a file with headings" in one for one in beyond)


@pytest.mark.parametrize(("before", "found"), [(199, True), (200, False)])
def test_headings_are_looked_for_in_two_hundred_lines(tmp_path: Path, before: int, found: bool) -> None:
    content = "note\n" * before + "Time,RPM\n" + ROWS
    logs, told = read(tmp_path, PLAIN, content)
    assert bool(logs) is found
    assert bool(told) is not found


def test_a_line_too_long_to_be_headings_is_passed_over(tmp_path: Path) -> None:
    long = "x" * log_head._LONGEST_HEADINGS
    assert rpm(good(tmp_path, PLAIN, f"{long}y\nTime,RPM\n{ROWS}")) == [2000, 2001]


def test_a_heading_in_quotes_may_go_over_lines(tmp_path: Path) -> None:
    content = 'Time,"Engine\nspeed, RPM"\n' + ROWS
    block = PLAIN.replace("heading: RPM", "heading: 'Engine speed, RPM'")
    assert rpm(good(tmp_path, block, content)) == [2000, 2001]


@pytest.mark.parametrize(("separator", "mark"), [("comma", ","), ("semicolon", ";"), ("tab", "\t")])
def test_without_headings_places_and_separator_are_stated(tmp_path: Path, separator: str, mark: str) -> None:
    placed = (
        "{data: log.csv, time: {position: 2, unit: s}, "
        "columns: {engine_speed: {position: 1, unit: rpm}}, headings: none}"
    )
    content = f"2000{mark}0\n2001{mark}1\n"
    log = good(tmp_path, ruled(placed, f"separator: {separator}"), content)
    assert (rpm(log), list(log.times)) == ([2000, 2001], [0, 1])
    told = bad(tmp_path, placed, content)
    assert "no headings to show the separator | separator: comma, semicolon or tab" in told
    assert told.startswith("log-unclear page.md:1:")
    named = ruled(PLAIN, "headings: none, separator: comma")
    assert "heading: Time, of a file with headings: none | position: the place of each column" in bad(
        tmp_path, named, content
    )


def test_a_block_that_names_no_heading_says_where_they_are(tmp_path: Path) -> None:
    placed = (
        "{data: log.csv, time: {position: 1, unit: s}, columns: {engine_speed: {position: 2, unit: rpm}}}"
    )
    told = bad(tmp_path, placed, "Time,RPM\n" + ROWS)
    assert "no heading is named | headings: the number of their line, or none" in told
    assert rpm(good(tmp_path, ruled(placed, "headings: 1"), "Time,RPM\n" + ROWS)) == [2000, 2001]


def test_the_separator_is_the_one_that_shows_most_headings(tmp_path: Path) -> None:
    assert rpm(good(tmp_path, PLAIN, "Time;RPM;a,b,c\n0;1;x\n1;2;x\n")) == [1, 2]
    assert rpm(good(tmp_path, PLAIN, "Time,RPM,a;b;c\n0,1,x\n1,2,x\n")) == [1, 2]
    stated = ruled(PLAIN, "separator: semicolon")
    _, told = read(tmp_path, stated, "Time,RPM\n" + ROWS)
    assert len(told) == 2


# --- which column is which ---------------------------------------------------------------------------------


def test_a_heading_stands_over_one_column(tmp_path: Path) -> None:
    content = "Time,RPM,RPM,RPM\n0,1,2,3\n1,1,2,3\n"
    told = bad(tmp_path, PLAIN, content)
    assert told.startswith("log-unclear page.md:1:")
    assert "“RPM”, which stands over 3 columns | position: 2 or 3 or 4, in place of heading" in told
    assert rpm(good(tmp_path, PLAIN.replace("heading: RPM", "position: 3"), content)) == [2, 2]
    assert rpm(good(tmp_path, PLAIN.replace("heading: RPM", "position: 4"), content)) == [3, 3]
    _, beyond = read(tmp_path, PLAIN.replace("heading: RPM", "position: 5"), content)
    assert beyond[0].startswith("data-unreadable page.md:1:")
    assert "position 5, in a table of 4 columns | a column that is there" in beyond[0]


def test_a_whole_heading_comes_before_one_without_its_unit(tmp_path: Path) -> None:
    content = "Time,RPM (rpm),RPM\n0,1,2\n1,1,2\n"
    assert rpm(good(tmp_path, PLAIN, content)) == [2, 2]
    assert rpm(good(tmp_path, PLAIN, content.replace(",RPM\n", ",other\n"))) == [1, 1]


@pytest.mark.parametrize(
    ("heading", "expected"),
    [
        ("Tim", "did you mean “Time”?"),
        ("Uhrzeit", "write it as the file has it, with its unit or without, or give position: in its place"),
    ],
)
def test_a_heading_that_is_not_there(tmp_path: Path, heading: str, expected: str) -> None:
    block = PLAIN.replace("heading: Time", f"heading: {heading}")
    told = bad(tmp_path, block, "Time,RPM\n" + ROWS)
    column = block.index(heading) + 1
    assert told.startswith(f"data-unreadable page.md:1:{column}: “{heading}”, which log.csv has not")
    assert "a heading of the file: Time, RPM" in told
    assert expected in told


def test_of_lines_without_any_heading_that_with_most_words_is_shown(tmp_path: Path) -> None:
    block = PLAIN.replace("heading: Time", "heading: Uhr").replace("heading: RPM", "heading: Drehzahl")
    _, told = read(tmp_path, block, "1,2,3,4\nt,n,p\nx\n0,1,2\n")
    assert all("a heading of the file: t, n, p |" in one for one in told)
    _, nearer = read(tmp_path, PLAIN, "a,b,c,d\nTime,n\n0,1\n")
    assert len(nearer) == 1
    assert "a heading of the file: Time, n |" in nearer[0]


# --- in which unit ------------------------------------------------------------------------------------


@pytest.mark.parametrize("heading", ["Speed [km/h]", "Speed (km/h)", "Speed ( km/h )"])
def test_the_file_says_a_unit_in_its_heading(tmp_path: Path, heading: str) -> None:
    block = BOTH.replace(", unit: km/h", "")
    log = good(tmp_path, block, f"Time,RPM,{heading}\n0,1,36\n1,2,72\n")
    assert list(log.values["road_speed"]) == pytest.approx([10, 20])
    assert log.units["road_speed"] == "km/h"


def test_a_unit_that_nobody_says_is_asked_for_at_its_rule(tmp_path: Path) -> None:
    block = BOTH.replace(", unit: km/h", "")
    told = bad(tmp_path, block, "Time,RPM,Speed\n0,1,36\n1,2,72\n")
    assert told.startswith("missing-input page.md:4:")
    assert "no unit of road_speed | {heading: Speed, unit: km/h} | the file does not say it" in told
    placed = block.replace("{heading: Speed}", "{position: 3}")
    assert "{heading: …, unit: km/h}" in bad(tmp_path, placed, "Time,RPM,Speed\n0,1,36\n1,2,72\n")


def test_two_units_of_one_column_are_refused(tmp_path: Path) -> None:
    told = bad(tmp_path, BOTH, "Time,RPM,Speed [mph]\n0,1,36\n1,2,72\n")
    assert told.startswith("data-unreadable page.md:4:")
    assert "unit: km/h for “Speed [mph]”, which the file has in mph | one unit | correct the unit" in told
    for same in ("Speed [km/h]", "Speed [bananas]", "Speed"):  # the second is no unit that is known
        log = good(tmp_path, BOTH, f"Time,RPM,{same}\n0,1,36\n1,2,72\n")
        assert list(log.values["road_speed"]) == pytest.approx([10, 20])


def test_a_unit_of_another_dimension_is_refused(tmp_path: Path) -> None:
    told = bad(tmp_path, BOTH.replace("unit: km/h", "unit: kg"), "Time,RPM,Speed\n0,1,36\n1,2,72\n")
    assert "kg" in told
    assert "page.md:4:" in told
