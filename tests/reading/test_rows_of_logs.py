"""Rows of a log at the ends of each rule: which are kept, what is counted, and where each slip is told."""

from __future__ import annotations

from math import isnan
from pathlib import Path

import pytest

from buildlog.reading import log_rows
from tests.reading.test_logs import BOTH, PLAIN, bad, good, read, rpm

CLOCK = PLAIN.replace("unit: s", "as: clock")
LONG = (
    "{data: log.csv, time: {heading: Time, unit: s}, long: {name: What, value: Value}, "
    "columns: {engine_speed: {heading: RPM, unit: rpm}, road_speed: {heading: Speed, unit: km/h}}}"
)


def ruled(block: str, rule: str) -> str:
    return f"{block.rstrip()[:-1]}, {rule}}}" if block.startswith("{") else f"{block}{rule}\n"


# --- which rows are kept ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "times", "left_out"),
    [
        ("from: 2 s", [2, 3, 4], 2),  # both ends are of the stretch
        ("to: 2 s", [0, 1, 2], 2),
        ("from: 1.5 s, to: 3 s", [2, 3], 3),
    ],
)
def test_a_stretch_has_its_ends(tmp_path: Path, rule: str, times: list[float], left_out: int) -> None:
    content = "Time,RPM\n" + "\n".join(f"{time},{2000 + time}" for time in range(5))
    log = good(tmp_path, ruled(PLAIN, rule), content)
    assert list(log.times) == times
    assert rpm(log) == [2000 + time for time in times]
    assert log.account.dropped == {"outside of from and to": left_out}
    assert (log.account.rows, log.account.kept) == (5, len(times))


def test_lines_without_anything_are_no_rows(tmp_path: Path) -> None:
    log = good(tmp_path, PLAIN, "Time,RPM\n0,2000\n\n , \n,\n1,2001\n")
    assert (list(log.times), log.account.rows, log.account.dropped) == ([0, 1], 2, {})


def test_rows_by_a_rate_count_from_the_first(tmp_path: Path) -> None:
    block = "{data: log.csv, time: {rate: 4 Hz}, columns: {engine_speed: {heading: RPM, unit: rpm}}}"
    log = good(tmp_path, block, "RPM\n2000\n2001\n2002\n")
    assert list(log.times) == [0, 0.25, 0.5]


def test_a_column_of_seconds_keeps_its_times_and_a_clock_begins_at_nothing(tmp_path: Path) -> None:
    assert list(good(tmp_path, PLAIN, "Time,RPM\n7,1\n8,2\n").times) == [7, 8]
    minutes = PLAIN.replace("unit: s", "unit: min")
    assert list(good(tmp_path, minutes, "Time,RPM\n1,1\n2,2\n").times) == [60, 120]
    assert list(good(tmp_path, CLOCK, "Time,RPM\n14:00:07.5,1\n14:00:08,2\n").times) == [0, 0.5]
    epoch = PLAIN.replace("unit: s", "as: epoch, unit: ms")
    assert list(good(tmp_path, epoch, "Time,RPM\n1782000000500,1\n1782000002000,2\n").times) == [0, 1.5]


@pytest.mark.parametrize(
    ("rule", "kept", "dropped"),
    [
        ("repeated: first", [(0, 2000), (1, 2001), (2, 2004)], {"with a repeated time": 2}),
        ("repeated: last", [(0, 2000), (1, 2003), (2, 2004)], {"with a repeated time": 2}),
        ("repeated: spread", [(0, 2000), (1, 2001), (4 / 3, 2002), (5 / 3, 2003), (2, 2004)], {}),
    ],
)
def test_a_time_that_is_repeated(
    tmp_path: Path, rule: str, kept: list[tuple[float, float]], dropped: dict[str, int]
) -> None:
    content = "Time,RPM\n0,2000\n1,2001\n1,2002\n1,2003\n2,2004\n"
    log = good(tmp_path, ruled(PLAIN, rule), content)
    assert list(log.times) == pytest.approx([time for time, _ in kept])
    assert rpm(log) == [speed for _, speed in kept]
    assert log.account.dropped == dropped


def test_of_a_repeated_time_every_channel_is_the_last(tmp_path: Path) -> None:
    log = good(tmp_path, ruled(BOTH, "repeated: last"), "Time,RPM,Speed\n0,1,36\n0,2,72\n1,3,36\n")
    assert rpm(log) == [2, 3]
    assert list(log.values["road_speed"]) == pytest.approx([20, 10])


def test_rows_that_go_back_are_left_out_until_time_goes_on(tmp_path: Path) -> None:
    content = "Time,RPM\n0,2000\n2,2001\n1,9\n1.5,9\n2.5,2002\n"
    log = good(tmp_path, ruled(PLAIN, "backwards: drop"), content)
    assert (list(log.times), rpm(log)) == ([0, 2, 2.5], [2000, 2001, 2002])
    assert log.account.dropped == {"with a time before that of an earlier row": 2}
    told = bad(tmp_path, PLAIN, content)
    assert told.startswith("log-unclear log.csv:4:1: a time 1 s before that of the row above; 1 more like it")


def test_a_clock_that_goes_back_by_half_a_day_has_gone_past_midnight(tmp_path: Path) -> None:
    for before, after, midnight in (("23:00:00", "01:00:00", True), ("13:00:00", "01:00:00", False)):
        told = bad(tmp_path, CLOCK, f"Time,RPM\n{before},1\n{after},2\n")
        assert ("past midnight" in told) is midnight
        assert ("backwards: drop" in told) is not midnight


# --- what a cell says -------------------------------------------------------------------------


def test_temperatures_have_an_offset(tmp_path: Path) -> None:
    block = BOTH + "  "
    block = block.replace("road_speed: {heading: Speed, unit: km/h}", "inlet: {heading: Air, unit: °F}")
    log = good(tmp_path, block, "Time,RPM,Air\n0,1,32\n1,1,212\n")
    assert list(log.values["inlet"]) == pytest.approx([273.15, 373.15])
    assert log.units == {"engine_speed": "rpm", "inlet": "°F"}
    assert log.dimensions["inlet"] == "temperature"


@pytest.mark.parametrize(
    ("block", "content", "start", "help"),
    [
        (
            PLAIN,
            "Time,RPM\n0,1\n1, x1\n2,x2\n",
            "log-unclear log.csv:3:4: “x1” under “RPM”; 1 more like it",
            "no_number: drop",
        ),
        (
            PLAIN,
            'Time,RPM\n0,1\n1,"2,5"\n',
            "value-unreadable log.csv:3:3: “2,5” under “RPM”",
            "decimal: comma if that is a decimal comma",
        ),
        (
            PLAIN,
            'Time,RPM\n0,1\n1,"1,234,5"\n',
            "log-unclear log.csv:3:3: “1,234,5”",
            "write no_number: drop",
        ),
        (
            PLAIN,
            'Time,RPM\n0,1\n1,"1,234.5"\n',
            "log-unclear log.csv:3:3: “1,234.5”",
            "write no_number: drop",
        ),
        (PLAIN, 'Time,RPM\n0,1\n1,"a,b"\n', "log-unclear log.csv:3:3: “a,b”", "write no_number: drop"),
        (
            ruled(PLAIN, "decimal: comma"),
            "Time;RPM\n0;1\n1;2.5\n",
            "log-unclear log.csv:3:3: “2.5” under “RPM”",
            "the block says decimal: comma. Else write no_number: drop",
        ),
        (
            PLAIN,
            "Time,RPM\n0,1\nx,2\n1,3\n",
            "log-unclear log.csv:3:1: “x” under “Time”",
            "no_number: drop",
        ),
        (
            CLOCK,
            "Time,RPM\n14:00:00,1\nnoon,2\n14:00:01,3\n",
            "value-unreadable log.csv:3:1: “noon” | a time like 14:03:22.5",
            "no_number: drop to leave out rows without a time",
        ),
        (
            CLOCK.replace("as: clock", "as: clock, date: day first"),
            "Time,RPM\n01.02.2026 14:00:00,1\n31.31.2026 14:00:00,2\n",
            "value-unreadable log.csv:3:1: “31.31.2026 14:00:00”",
            "no_number: drop to leave out rows without a time",
        ),
        (
            PLAIN,
            "Time,RPM\n0,1\n1,2,3\n2,3,4\n",
            "log-unclear log.csv:3:5: 3 cells under 2 headings; 1 more like it, the last in line 4 | ",
            "decimal commas? Then the file needs another separator, or quotes. Else write extra: drop",
        ),
        (
            PLAIN,
            "Time;RPM\n0;1\n1;2;;4\n",
            "log-unclear log.csv:3:6: 4 cells under 2 headings",
            " | write extra: drop",
        ),
        (
            PLAIN,
            "Time,RPM\n1,1\n1,2\n2,3\n",
            "log-unclear log.csv:3:1: the time of the row above once more: “1” | a time of its own",
            "write repeated: first, last or spread, or time: {rate: …}",
        ),
    ],
)
def test_a_slip_is_told_at_its_cell(tmp_path: Path, block: str, content: str, start: str, help: str) -> None:
    told = bad(tmp_path, block, content)
    assert told.startswith(start)
    assert help in told


def test_no_number_at_a_time_leaves_out_the_row(tmp_path: Path) -> None:
    log = good(tmp_path, ruled(PLAIN, "no_number: drop"), "Time,RPM\n0,1\nx,2\n1,x\n2,3\n")
    assert list(log.times) == [0, 1, 2]
    assert log.account.dropped == {"without a time": 1}
    assert log.account.cells == {"engine speed: no number": 1}
    clock = good(tmp_path, ruled(CLOCK, "no_number: drop"), "Time,RPM\n14:00:00,1\nnoon,2\n14:00:01,3\n")
    assert clock.account.dropped == {"without a time": 1}


def test_cells_beyond_the_headings_that_are_left_out_are_counted(tmp_path: Path) -> None:
    log = good(tmp_path, ruled(PLAIN, "extra: drop"), "Time,RPM\n0,1,9\n1,2\n2,3, \n3,4,9,9\n")
    assert rpm(log) == [1, 2, 3, 4]
    assert log.account.dropped == {"with cells beyond the headings, which were left out": 2}


# --- a table with a row for each reading ------------------------------------------------------


def test_a_long_table_has_the_times_of_its_first_channel(tmp_path: Path) -> None:
    rows = [
        "0,RPM,2000",
        "0.5,Speed,36",
        "1,RPM,2001",
        "1,Fuel,9",
        "1.5,speed,72",
        "2,RPM,2002",
        "2.5,Speed,36",
    ]
    log = good(tmp_path, LONG, "Time,What,Value\n" + "\n".join(rows))
    assert list(log.times) == [0, 1, 2]
    assert rpm(log) == [2000, 2001, 2002]
    assert isnan(log.values["road_speed"][0])
    assert list(log.values["road_speed"][1:]) == pytest.approx([15, 15])  # half way from reading to reading
    assert log.account.dropped == {"of other things": 1}


def test_of_a_long_table_each_channel_has_times_that_go_on(tmp_path: Path) -> None:
    twice = "Time,What,Value\n0,RPM,1\n0,Speed,36\n1,RPM,2\n1,Speed,36\n1,Speed,72\n2,RPM,3\n2,Speed,36\n"
    assert bad(tmp_path, LONG, twice).startswith(
        "log-unclear log.csv:6:1: the time of the row above once more"
    )
    for rule, speed in (("first", 10), ("last", 20)):
        log = good(tmp_path, ruled(LONG, f"repeated: {rule}"), twice)
        assert list(log.values["road_speed"]) == pytest.approx([10, speed, 10])
        assert list(log.times) == [0, 1, 2]
        assert log.account.dropped == {"with a repeated time": 1}
    back = "Time,What,Value\n0,RPM,1\n5,Speed,36\n1,RPM,2\n4,Speed,36\n2,RPM,3\n6,Speed,36\n"
    assert bad(tmp_path, LONG, back).startswith("log-unclear log.csv:5:1: a time 1 s before")


def test_a_cell_of_a_long_table_that_is_empty_is_no_reading(tmp_path: Path) -> None:
    rows = "Time,What,Value\n0,RPM,1\n0,Speed,36\n1,RPM,\n2,RPM,3\n2,Speed,72\n3,RPM\n"
    log = good(tmp_path, LONG, rows)
    assert list(log.times) == [0, 2]
    assert log.account.cells == {"engine speed: empty": 2}


# --- the whole --------------------------------------------------------------------------------


@pytest.mark.parametrize(("last", "asked"), [(8, False), (8.01, True)])
def test_a_step_of_more_than_five_usual_ones_is_asked_about(tmp_path: Path, last: float, asked: bool) -> None:
    content = f"Time,RPM\n0,1\n1,1\n2,1\n3,1\n{last},1\n{last + 1},1\n"
    if not asked:
        assert len(good(tmp_path, PLAIN, content).times) == 6
        return
    told = bad(tmp_path, PLAIN, content)
    assert told.startswith("log-unclear log.csv:6:1: a step of 5.01 s among rows 1 s apart")
    assert "such as gap: 2 s | nothing is joined over a gap" in told


def test_two_rows_are_a_log(tmp_path: Path) -> None:
    assert len(good(tmp_path, PLAIN, "Time,RPM\n0,1\n1,2\n").times) == 2
    told = bad(tmp_path, ruled(PLAIN, "from: 1 s, repeated: first"), "Time,RPM\n0,1\n1,2\n1,3\n")
    assert "1 rows to read of 3 (1 outside of from and to, 1 with a repeated time)" in told
    assert told.startswith("data-unreadable page.md:1:")


def test_a_channel_without_a_reading_is_told_at_its_rule(tmp_path: Path) -> None:
    told = bad(tmp_path, BOTH, "Time,RPM,Speed\n0,1,\n1,2,\n")
    assert told.startswith("data-unreadable page.md:4:")
    assert "no reading of road_speed in 2 rows | readings" in told
    _, both = read(tmp_path, BOTH, "Time,RPM,Speed\n0,,\n1,,\n")
    assert len(both) == 2


def test_more_rows_than_are_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(log_rows, "MOST_ROWS", 3)
    assert len(good(tmp_path, PLAIN, "Time,RPM\n0,1\n1,1\n2,1\n").times) == 3
    told = bad(tmp_path, PLAIN, "Time,RPM\n0,1\n1,1\n2,1\n3,1\n")
    assert told.startswith("data-unreadable log.csv:5")
    assert "more than 3 rows | a shorter log, or several" in told
