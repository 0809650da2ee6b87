"""Logs: every trap that was seen in public logs, with data of our own making."""

from __future__ import annotations

from math import isnan
from pathlib import Path

import pytest

from buildlog.kinds.forms import LogChannel, Logged
from buildlog.kinds.logs import Log
from buildlog.reading.inputs import FAILED, InputReader
from buildlog.reading.log_file import LogRead, read_log, read_typed
from buildlog.reading.log_rules import LogRules
from buildlog.reading.nodes import YamlScalar, read_yaml, whole_file

FORM = Logged(
    channels=(
        LogChannel(name="engine_speed", dimension="rotational speed", unit="rpm", about="of the crankshaft"),
        LogChannel(name="road_speed", dimension="speed", unit="km/h", about="of the car", required=False),
        LogChannel(name="inlet", dimension="temperature", unit="°C", about="of the air", required=False),
    )
)
RPM = 0.10471975511965977  # rad/s: 2π/60


def reader_in(folder: Path) -> InputReader:
    def logs(written: YamlScalar, rules: LogRules, typed: bool) -> LogRead:
        if typed:
            return read_typed(written, rules, typed)
        return read_log(folder, written, rules, lambda path: path.name)

    def nothing(*_: object) -> object:
        raise AssertionError

    return InputReader(resolve=nothing, data=nothing, logs=logs)  # type: ignore[arg-type]


def read(folder: Path, block: str, content: str | bytes | None = None) -> tuple[tuple[Log, ...], list[str]]:
    """The logs of an input that is written so, and what is told: code, line, column, found, help."""
    if content is not None:
        data = content if isinstance(content, bytes) else content.encode()
        (folder / "log.csv").write_bytes(data)
    node, faults = read_yaml(block, whole_file("page.md"))
    assert node is not None
    assert not faults
    reader = reader_in(folder)
    value = reader.read(node, FORM, ("log",))
    told = [
        f"{fault.code.name} {fault.position}: {fault.found} | {fault.expected} | {fault.help}"
        for fault in reader.faults
    ]
    assert (value is FAILED) == bool(told)
    return (() if value is FAILED else value), told


def good(folder: Path, block: str, content: str | bytes | None = None) -> Log:
    logs, told = read(folder, block, content)
    assert told == []
    (log,) = logs
    return log


def bad(folder: Path, block: str, content: str | bytes | None = None) -> str:
    logs, told = read(folder, block, content)
    assert not logs
    (only,) = told
    return only


PLAIN = "{data: log.csv, time: {heading: Time, unit: s}, columns: {engine_speed: {heading: RPM, unit: rpm}}}"
BOTH = """
data: log.csv
time: {heading: Time, unit: s}
columns: {engine_speed: {heading: RPM, unit: rpm}, road_speed: {heading: Speed, unit: km/h}}
"""


def rpm(log: Log) -> list[float]:
    return [round(value / RPM, 6) for value in log.values["engine_speed"]]


# --- forms of files ---------------------------------------------------------------------------


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_separators_line_ends_and_byte_order_marks(
    tmp_path: Path, separator: str, end: str, mark: bytes
) -> None:
    rows = [["Time", "RPM", "Speed"], ["0", "2000", "36"], ["0.5", "2100.5", "72"]]
    content = mark + end.join(separator.join(row) for row in rows).encode()
    log = good(tmp_path, BOTH, content)
    assert list(log.times) == [0, 0.5]
    assert rpm(log) == [2000, 2100.5]
    assert list(log.values["road_speed"]) == pytest.approx([10, 20])
    assert log.rate == 2


def test_a_decimal_comma_is_stated(tmp_path: Path) -> None:
    content = "Time;RPM\n0,0;2000,5\n0,5;2100\n"
    told = bad(tmp_path, PLAIN, content)
    assert told.startswith("value-unreadable log.csv:2:1: “0,0” under “Time”; 1 more")
    assert "write decimal: comma" in told
    log = good(tmp_path, PLAIN[:-1] + ", decimal: comma}", content)
    assert list(log.times) == [0, 0.5]
    assert rpm(log) == [2000.5, 2100]


def test_windows_1252_is_stated(tmp_path: Path) -> None:
    content = "Zeit,RPM,Temp °C\n0,2000,20\n1,2001,21\n".encode("cp1252")
    block = PLAIN.replace("Time", "Zeit")
    told = bad(tmp_path, block, content)
    assert told.startswith("not-utf-8 log.csv:1:15: byte B0")
    assert "encoding: windows-1252" in told
    assert rpm(good(tmp_path, block[:-1] + ", encoding: windows-1252}", content)) == [2000, 2001]


def test_utf_16_is_stated(tmp_path: Path) -> None:
    content = "Time,RPM\n0,2000\n1,2001\n".encode("utf-16")
    assert "not-utf-8" in bad(tmp_path, PLAIN, content)
    assert rpm(good(tmp_path, PLAIN[:-1] + ", encoding: utf-16}", content)) == [2000, 2001]


def test_lines_before_the_headings_and_a_row_of_units(tmp_path: Path) -> None:
    content = 'Logger "A"\nmade, up\n\nTime,RPM,Speed\ns,rpm,km/h\n0,2000,36\n1,2001,72\n'
    block = """{data: log.csv, time: {heading: Time, unit: s}, units: row,
      columns: {engine_speed: RPM, road_speed: Speed}}"""
    log = good(tmp_path, block, content)
    assert rpm(log) == [2000, 2001]
    assert log.units["road_speed"] == "km/h"
    told = bad(tmp_path, PLAIN, content)  # the row of units is no row of numbers
    assert "log.csv:5:1: “s” under “Time”" in told


def test_units_in_headings(tmp_path: Path) -> None:
    content = "Time,RPM [1/min],Speed (km/h),Air [°C]\n0,2000,36,20\n1,2001,72,21\n"
    block = """{data: log.csv, time: {heading: Time, unit: s},
      columns: {engine_speed: "RPM", road_speed: "Speed (km/h)", inlet: Air}}"""
    log = good(tmp_path, block, content)
    assert rpm(log) == [2000, 2001]
    assert list(log.values["road_speed"]) == pytest.approx([10, 20])
    assert list(log.values["inlet"]) == pytest.approx([293.15, 294.15])
    told = bad(tmp_path, block.replace('"Speed (km/h)"', '{heading: "Speed (km/h)", unit: m/s}'), content)
    assert "which the file has in km/h" in told


def test_a_unit_that_nobody_says_is_asked_for(tmp_path: Path) -> None:
    told = bad(tmp_path, PLAIN.replace(", unit: rpm", ""), "Time,RPM\n0,2000\n1,2001\n")
    assert told.startswith("missing-input page.md:")
    assert "no unit of engine_speed" in told


def test_columns_that_nobody_uses_never_hinder(tmp_path: Path) -> None:
    content = 'Time,RPM,RPM2,,Größe?,"a,b\nc",Time2\n0,2000,x,(),--,#,\n1,2001,,,,,\n'
    assert rpm(good(tmp_path, PLAIN, content)) == [2000, 2001]


def test_a_long_table(tmp_path: Path) -> None:
    rows = ["t;what;val", "0;rpm;2000", "0;speed;36", "0.4;speed;50.4", "0.5;rpm;2100", "0.9;oil;3"]
    content = "\n".join([*rows, "1;rpm;2200", "1;speed;72", ""])
    block = """{data: log.csv, time: {heading: t, unit: s}, long: {name: what, value: val},
      columns: {engine_speed: {heading: rpm, unit: rpm}, road_speed: {heading: speed, unit: km/h}}}"""
    log = good(tmp_path, block, content)
    assert list(log.times) == [0, 0.5, 1]
    assert rpm(log) == [2000, 2100, 2200]
    # 36 at 0, 50.4 at 0.4 and 72 at 1 lie on one line: 54 at 0.5.
    assert list(log.values["road_speed"]) == pytest.approx([10, 15, 20])
    assert log.account.dropped == {"of other things": 1}


def test_several_files_with_one_map(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("Time,RPM\n0,2000\n1,2001\n")
    (tmp_path / "b.csv").write_text("Time,RPM\n0,3000\n1,3001\n")
    logs, told = read(tmp_path, PLAIN.replace("log.csv", "[a.csv, b.csv]"))
    assert told == []
    assert [rpm(log)[0] for log in logs] == [2000, 3000]


def test_a_table_that_is_typed_into_the_block(tmp_path: Path) -> None:
    block = "text: |\n  Time,RPM\n  0,2000\n  1,x\n" + "\n".join(
        ["time: {heading: Time, unit: s}", "columns: {engine_speed: {heading: RPM, unit: rpm}}"]
    )
    told = bad(tmp_path, block)
    assert told.startswith("log-unclear page.md:4:")
    assert rpm(good(tmp_path, block.replace("1,x", "1,2001"))) == [2000, 2001]


def test_a_table_without_headings(tmp_path: Path) -> None:
    block = """{data: log.csv, headings: none, separator: comma, time: {position: 1, unit: s},
      columns: {engine_speed: {position: 3, unit: rpm}}}"""
    assert rpm(good(tmp_path, block, "0,9,2000\n1,9,2001\n")) == [2000, 2001]


def test_an_inch_mark_before_the_headings_opens_no_quote(tmp_path: Path) -> None:
    content = 'Wheel 15" rim\n"a note\nover two lines",x\nTime,RPM\n0,2000\n1,2001\n'
    assert rpm(good(tmp_path, PLAIN, content)) == [2000, 2001]


# --- times ------------------------------------------------------------------------------------


def test_a_clock_that_claims_1_hz_and_is_2_hz(tmp_path: Path) -> None:
    """Times repeat in most rows. Spread, the rate is what it was."""
    rows = [f"12:00:{second:02}, {2000 + second}" for second in range(30) for _ in (0, 1)]
    content = "Time,RPM\n" + "\n".join(rows)
    block = PLAIN.replace("unit: s", "as: clock")
    told = bad(tmp_path, block, content)
    assert told.startswith("log-unclear log.csv:3:1: the time of the row above once more")
    assert "29 more like it" in told
    assert "repeated: first, last or spread" in told
    log = good(tmp_path, block[:-1] + ", repeated: spread}", content)
    assert log.rate == pytest.approx(2)
    assert len(log.times) == 60
    assert log.times[-1] == pytest.approx(29.5)
    log = good(tmp_path, block[:-1] + ", repeated: first}", content)
    assert log.rate == pytest.approx(1)
    assert log.account.dropped == {"with a repeated time": 30}
    changed = content.replace("12:00:29, 2029\n12:00:29, 2029", "12:00:29, 2029\n12:00:29, 3000")
    assert rpm(good(tmp_path, block[:-1] + ", repeated: last}", changed))[-1] == 3000


def test_times_that_a_spreadsheet_rounded(tmp_path: Path) -> None:
    """1,51354E+12 ms since an epoch: six digits are left, a step of 10 000 s."""
    content = "Time;RPM\n1,51354E+12;2000\n1,51354E+12;2001\n1,51355E+12;2002\n"
    block = PLAIN.replace("unit: s", "as: epoch, unit: ms")[:-1] + ", decimal: comma}"
    told = bad(tmp_path, block, content)
    assert "log.csv:3:1" in told
    assert "exponent form, as a spreadsheet rounds them" in told
    log = good(tmp_path, block[:-1] + ", repeated: first}", content)
    assert list(log.times) == pytest.approx([0, 10_000])
    rate = "{data: log.csv, time: {rate: 10 Hz}, columns: {engine_speed: {heading: RPM, unit: rpm}}}"
    assert list(good(tmp_path, rate, content).times) == pytest.approx([0, 0.1, 0.2])


def test_an_epoch_in_full(tmp_path: Path) -> None:
    content = "Time,RPM\n1513540000123,2000\n1513540000623,2001\n"
    log = good(tmp_path, PLAIN.replace("unit: s", "as: epoch, unit: ms"), content)
    assert list(log.times) == pytest.approx([0, 0.5])


def test_two_clocks_five_hours_less_a_second_apart(tmp_path: Path) -> None:
    """Either can be named; they tell the same stretches of time."""
    content = (
        "Device,GPS,RPM\n2026-05-01 14:00:01.0,2026-05-01T19:00:00Z,2000\n"
        "2026-05-01 14:00:03.5,2026-05-01T19:00:02.5Z,2001\n"
    )
    for name in ("Device", "GPS"):
        block = PLAIN.replace("heading: Time, unit: s", f"heading: {name}, as: clock")
        assert list(good(tmp_path, block, content).times) == [0, 2.5]


@pytest.mark.parametrize(
    "word", ["25:00:00", "12:61:00", "12:30", "01/02/2026 12:00:00", "2026-02-30 12:00:00"]
)
def test_what_is_no_clock(tmp_path: Path, word: str) -> None:
    told = bad(tmp_path, PLAIN.replace("unit: s", "as: clock"), f"Time,RPM\n12:00:00,1\n{word},2000\n")
    assert "value-unreadable log.csv:3:1" in told
    assert "2026-05-01 14:03:22" in told


@pytest.mark.parametrize(
    ("words", "rule"),
    [
        (("18-Dec-2026 08:01:22.450", "18-Dec-2026 08:01:23.700"), ""),
        (("18.12.2026 08:01:22,450", "18.12.2026 08:01:23,700"), ", date: day first"),
        (("12/18/2026 8:01:22.450 AM", "12/18/2026 8:01:23.700 AM"), ", date: month first"),
        (("11:59:59.5 AM", "12:00:00.75 PM"), ""),
        (("31-Dec-2026 23:59:59.5", "01-Jan-2027 00:00:00.75"), ""),
    ],
)
def test_other_ways_to_write_a_clock(tmp_path: Path, words: tuple[str, str], rule: str) -> None:
    content = f"Time;RPM\n{words[0]};1\n{words[1]};2\n"
    block = PLAIN.replace("unit: s", f"as: clock{rule}")
    assert list(good(tmp_path, block, content).times) == pytest.approx([0, 1.25], abs=1e-5)
    if rule:
        assert "write date: day first, or month first" in bad(
            tmp_path, PLAIN.replace("unit: s", "as: clock"), content.replace(".12.", "/12/")
        )


def test_offsets_of_zones_count(tmp_path: Path) -> None:
    content = "Time,RPM\n2026-05-01T12:00:00+02:00,1\n2026-05-01T10:00:05Z,2\n"
    assert list(good(tmp_path, PLAIN.replace("unit: s", "as: clock"), content).times) == [0, 5]


def test_times_that_go_back(tmp_path: Path) -> None:
    content = "Time,RPM\n0,2000\n1,2001\n0.5,9\n2,2002\n"
    told = bad(tmp_path, PLAIN, content)
    assert told.startswith("log-unclear log.csv:4:1: a time 0.5 s before")
    assert "backwards: drop" in told
    log = good(tmp_path, PLAIN[:-1] + ", backwards: drop}", content)
    assert rpm(log) == [2000, 2001, 2002]
    assert log.account.dropped == {"with a time before that of an earlier row": 1}


def test_a_file_with_no_time(tmp_path: Path) -> None:
    block = "{data: log.csv, columns: {engine_speed: {heading: RPM, unit: rpm}}}"
    told = bad(tmp_path, block, "RPM\n2000\n2001\n")
    assert told.startswith("missing-input page.md:1:")
    assert "{rate: 10 Hz}" in told
    log = good(tmp_path, block[:-1] + ", time: {rate: 5 Hz}}", "RPM\n2000\n2001\n")
    assert list(log.times) == pytest.approx([0, 0.2])


def test_gaps_are_stated(tmp_path: Path) -> None:
    times = [*range(10), *range(30, 35)]
    content = "Time,RPM\n" + "\n".join(f"{time},{2000 + time}" for time in times)
    told = bad(tmp_path, PLAIN, content)
    assert told.startswith("log-unclear log.csv:12:1: a step of 21 s among rows 1 s apart")
    log = good(tmp_path, PLAIN[:-1] + ", gap: 2 s}", content)
    assert log.spans == (range(10), range(10, 15))
    assert log.duration == 13
    assert log.rate == 1


def test_a_gap_that_every_step_is(tmp_path: Path) -> None:
    content = "Time,RPM\n0,2000\n1,2001\n2,2002\n"
    assert "no two rows within a gap of 0.5 s" in bad(tmp_path, PLAIN[:-1] + ", gap: 0.5 s}", content)


def test_rows_that_all_have_one_time(tmp_path: Path) -> None:
    content = "Time,RPM\n7,2000\n7,2001\n7,2002\n"
    assert "rows that all have one time" in bad(tmp_path, PLAIN[:-1] + ", repeated: spread}", content)


def test_a_stretch_of_a_log(tmp_path: Path) -> None:
    content = "Time,RPM\n" + "\n".join(f"{time},{2000 + time}" for time in range(100))
    log = good(tmp_path, PLAIN[:-1] + ", from: 20 s, to: 30 s}", content)
    assert list(log.times) == list(range(20, 31))
    assert log.account.dropped == {"outside of from and to": 89}
    assert log.account.rows == 100


# --- readings ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "cell", ["2124RPM", "-58.321.307", "()", "1_000", "nan", "inf", "---", "2 000", "0x10"]
)
def test_cells_that_are_no_numbers(tmp_path: Path, cell: str) -> None:
    content = f"Time,RPM\n0,2000\n1, {cell}\n2,2002\n"
    told = bad(tmp_path, PLAIN, content)
    assert told.startswith(f"log-unclear log.csv:3:4: “{cell}” under “RPM”")
    assert "no_number: drop" in told
    log = good(tmp_path, PLAIN[:-1] + ", no_number: drop}", content)
    assert isnan(log.values["engine_speed"][1])
    assert list(log.rows_with("engine_speed")) == [0, 2]
    assert log.account.cells == {"engine speed: no number": 1}


def test_empty_cells_are_no_readings(tmp_path: Path) -> None:
    log = good(tmp_path, BOTH, "Time,RPM,Speed\n0,2000,\n1,,72\n,2001,36\n2,2002\n\n,,\n")
    assert list(log.rows_with("engine_speed", "road_speed")) == []
    assert log.account.cells == {"road speed: empty": 2, "engine speed: empty": 1}
    assert log.account.dropped == {"without a time": 1}
    assert log.account.rows == 4


def test_28_cells_under_27_headings(tmp_path: Path) -> None:
    names = ["Time", "RPM", *(f"c{number}" for number in range(25))]
    row = ["{}", "2000", *("1" for _ in range(26))]
    content = ",".join(names) + "\n" + "\n".join(",".join(row).format(time) for time in range(5))
    told = bad(tmp_path, PLAIN, content)
    assert told.startswith("log-unclear log.csv:2:")
    assert "28 cells under 27 headings; 4 more" in told
    log = good(tmp_path, PLAIN[:-1] + ", extra: drop}", content)
    assert log.account.kept == 5
    assert sum(log.account.dropped.values()) == 5
    assert rpm(good(tmp_path, PLAIN, "Time,RPM\n0,2000,,\n1,2001,\n")) == [2000, 2001]  # empty ones are none


def test_a_lag_is_taken_out(tmp_path: Path) -> None:
    """A satellite speed that comes 2.3 s late, of a car that gains 1 m/s every second."""
    rows = [f"{time / 2},{2000},{3.6 * max(0, time / 2 - 2.3):.6f}" for time in range(41)]
    block = BOTH.replace("unit: km/h}", "unit: km/h, lag: 2.3 s ± 0.1 s}")
    log = good(tmp_path, block, "Time,RPM,Speed\n" + "\n".join(rows))
    for time, speed in zip(log.times, log.values["road_speed"], strict=True):
        if time > 20 - 2.3:
            assert isnan(speed)  # what came later is not in the log
        elif time >= 0.5:
            assert speed == pytest.approx(time, abs=1e-6)
    assert log.lag_doubts == {"road_speed": pytest.approx(0.1)}
    assert "road speed came 2.3 s late, which was taken out" in log.account.rules


def test_no_reading_is_joined_over_a_gap(tmp_path: Path) -> None:
    rows = [f"{time},2000,{time}" for time in (0, 1, 2, 12, 13)]
    block = BOTH.replace("unit: km/h}", "unit: km/h, lag: 0.5 s}") + "gap: 2 s\n"
    log = good(tmp_path, block, "Time,RPM,Speed\n" + "\n".join(rows))
    assert [isnan(value) for value in log.values["road_speed"]] == [False, False, True, False, True]


def test_the_step_and_the_instrument(tmp_path: Path) -> None:
    block = BOTH.replace(
        "unit: km/h}", "unit: km/h, quantum: 1 km/h, by: ± 0.9 km/h limits, instrument: receiver}"
    )
    log = good(tmp_path, block, "Time,RPM,Speed\n0,2000,36\n1,2001,36\n2,2003,38\n3,2004,39\n")
    assert log.quantum == {"road_speed": pytest.approx(1 / 3.6)}
    assert log.steps["road_speed"] == pytest.approx(1 / 3.6)
    assert log.steps["engine_speed"] == pytest.approx(RPM)
    doubt = log.doubt("road_speed")
    assert doubt is not None
    assert doubt.origin == "instrument:receiver"
    # Limits of a rectangle: u = a/√3 (JCGM 100:2008, 4.3.7).
    assert doubt.standard(30.0) == pytest.approx(0.9 / 3.6 / 3**0.5)
    assert log.doubt("engine_speed") is None


def test_engine_speed_0_while_moving_is_read_as_it_is(tmp_path: Path) -> None:
    log = good(tmp_path, BOTH, "Time,RPM,Speed\n0,0,36\n1,0,36\n")
    assert rpm(log) == [0, 0]
    assert list(log.values["road_speed"]) == pytest.approx([10, 10])


# --- what is wrong with a block or a file -------------------------------------------------------

CONTENT = "Time,RPM\n0,2000\n1,2001\n"
WRONG = [
    (
        PLAIN.replace("Time", "Tme"),
        "“Tme”, which log.csv has not | a heading of the file: Time, RPM | did you mean",
    ),
    (PLAIN.replace("log.csv", "lg.csv"), "“lg.csv”, which is not there"),
    (PLAIN.replace("log.csv", "../log.csv"), "a path inside the content folder"),
    (PLAIN.replace("data: log.csv, ", ""), "a log without its table"),
    (PLAIN.replace("unit: rpm", "unit: km/h"), "km/h"),
    (PLAIN.replace("unit: rpm", "units: rpm"), "“units” | a column takes heading"),
    (PLAIN.replace("engine_speed", "engine_sped"), "did you mean “engine_speed”"),
    (PLAIN[:-1] + ", repeat: first}", "did you mean “repeated”"),
    (PLAIN[:-1] + ", repeated: firs}", "did you mean “first”"),
    (PLAIN[:-1] + ", gap: 2 m}", "m"),
    (PLAIN[:-1] + ", gap: 0 s}", "a step between two rows"),
    (PLAIN.replace("log.csv", "[log.csv, ./log.csv]"), "“log.csv” twice | each file once"),
    (PLAIN.replace("heading: RPM", "heading: time"), "“time” for the times and for engine_speed"),
    (
        PLAIN.replace("unit: rpm", "unit: rpm, lag: 900 s"),
        "no reading of engine_speed at the times of the rows with its lag of 900 s taken out",
    ),
    (PLAIN[:-1] + ", encoding: latin-1}", "the page Logs of the manual lists"),
    (PLAIN[:-1] + ", encoding: utf-16}", "leave encoding: out if the file is UTF-8"),
    (PLAIN[:-1] + ", headings: 2}", "“Time”, which log.csv has not"),
    (PLAIN[:-1] + ", headings: none}", "position: the place of each column"),
    (PLAIN[:-1] + ", long: x}", "long: {name: heading, value: heading}"),
    (PLAIN.replace("unit: s", "unit: kg"), "kg"),
    (PLAIN.replace(", unit: s", ""), "no unit of the times"),
    (PLAIN.replace("unit: s", "as: sundial"), "as: clock, or as: epoch"),
    (PLAIN.replace("unit: s", "as: clock, date: year first"), "date: day first or month first"),
    (PLAIN.replace("unit: s", "unit: s, date: day first"), "as: clock, with date"),
    (PLAIN.replace("unit: s", "as: clock, unit: s"), "no unit: a clock has"),
    (PLAIN.replace("heading: Time, unit: s", "rate: 10 Hz, unit: s"), "rate alone"),
    (PLAIN.replace("heading: RPM", "position: 7"), "position 7, in a table of 2 columns"),
    (PLAIN.replace("heading: RPM", "position: x"), "position: a number from 1 on"),
    (PLAIN.replace("heading: RPM", "heading: RPM, position: 2"), "both for engine_speed"),
    (PLAIN.replace("unit: rpm", "unit: rpm, by: some"), "“some”"),
    (PLAIN.replace("unit: rpm", "unit: rpm, quantum: 5 %"), "a step with its unit"),
    (PLAIN.replace("unit: rpm", "unit: rpm, lag: 2 h"), "an hour late"),
    (PLAIN[:-1] + ", from: 5 s}", "0 rows to read of 2 (2 outside of from and to)"),
    ("log.csv", "a log: data:"),
]


@pytest.mark.parametrize(("block", "says"), WRONG, ids=[says[:30] for _, says in WRONG])
def test_what_is_wrong_is_said_where_it_is(tmp_path: Path, block: str, says: str) -> None:
    (tmp_path / "log.csv").write_text(CONTENT)
    _, told = read(tmp_path, block)
    assert any(says in one for one in told), told


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "“Time”, which log.csv has not"),
        ("Time,RPM\n", "0 rows to read of 0"),
        ("Time,RPM\n0,2000\n", "1 rows to read of 1"),
        ("Time,RPM\n0,\n1,\n", "no reading of engine_speed in 2 rows"),
        ("Time,RPM,RPM\n0,1,2\n1,1,2\n", "“RPM”, which stands over 2 columns | position: 2 or 3"),
        ('Time,RPM\n0,"2000\n1,2001\n', "a quote that is never closed"),
        ("Time,RPM\n0,20\0" + "00\n1,2001\n", "nul-character log.csv:2"),
    ],
)
def test_what_is_wrong_in_a_file(tmp_path: Path, content: str, says: str) -> None:
    _, told = read(tmp_path, PLAIN, content)
    assert any(says in one for one in told), told


@pytest.mark.parametrize("heading", ["Speed", "Speed (km/h)", "speed"])
def test_a_heading_goes_without_its_unit_in_either_brackets(tmp_path: Path, heading: str) -> None:
    block = BOTH.replace("Time", "t").replace("{heading: Speed, unit: km/h}", f"{{heading: {heading}}}")
    for more in ("", ",Speed (filtered)"):
        log = good(tmp_path, block, f"t (s),RPM,Speed (km/h){more}\n0,1,36\n1,1,36\n")
        assert list(log.values["road_speed"]) == pytest.approx([10, 10])


@pytest.mark.parametrize(
    ("block", "content", "says"),
    [
        (  # A line of somebody's own stands above the headings, and none of them is meant.
            PLAIN.replace("Time", "Uhr").replace("RPM", "Drehzahl"),
            "# device 12\n\nt,n,,sat\n0,2000,,9\n1,2001,,9\n",
            "a heading of the file: t, n, sat | write it as the file has it, with its unit or without",
        ),
        (
            PLAIN.replace("unit: s", "as: clock"),
            "Time,RPM\n12.06.2026 14:00:00,2000\n12.06.2026 14:00:01,2001\n",
            "write date: day first, or month first",
        ),
        (
            PLAIN.replace("unit: s", "as: clock"),
            "Time,RPM\n23:59:59,2000\n00:00:00,2001\n",
            "a clock without a date that goes past midnight",
        ),
        (PLAIN, "Time,RPM\n0,2000\n", "correct the file, or what the block says of it"),
    ],
)
def test_what_to_do_is_said(tmp_path: Path, block: str, content: str, says: str) -> None:
    _, told = read(tmp_path, block, content)
    assert any(says in one for one in told), told


def test_utf_16_that_is_not_said_is_known_by_its_mark(tmp_path: Path) -> None:
    assert "write encoding: utf-16" in bad(tmp_path, PLAIN, CONTENT.encode("utf-16"))


def test_an_uncertain_lag_comes_from_another_block(tmp_path: Path) -> None:
    """The result of `instrument_lag` is what `lag:` takes."""
    from buildlog.kinds.results import Value

    (tmp_path / "log.csv").write_text("Time,RPM,Speed\n0,1,1\n1,2,2\n2,3,3\n")
    node, _ = read_yaml(BOTH.replace("unit: km/h}", "unit: km/h, lag: calc:lags.lag}"), whole_file("page.md"))
    assert node is not None
    reader = reader_in(tmp_path)
    reader.resolve = lambda text, place: Value(
        si=0.5, dimension="time", unit="s", decimals=2, contributions={"there": 0.05}
    )
    (log,) = reader.read(node, FORM, ("log",))
    assert log.lag_doubts == {"road_speed": 0.05}
    assert reader.uncertain == {}
    assert log.values["road_speed"][0] == pytest.approx(1.5 / 3.6)
