"""What is wrong with the rules of a log, by a table: the page Logs of the manual says which keys there are.
Each is told once, at its place in the block, with what was found and what is expected there.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.kinds.results import BlockResult
from tests.samples import calc, write_site

LOG = """\
id: a
kind: log_gearing
inputs:
  log:
    data: run.csv
    time: {heading: Time, unit: s}
    columns:
      engine_speed: {heading: RPM, unit: rpm}
      road_speed: {heading: Speed, unit: km/h}
  final_drive: 4.10
  gears: [3.3, 2.0]
  rolling_circumference: 1800 mm
"""
ROWS = "Time,RPM,Speed\n" + "".join(f"{n / 10},{3000 + 20 * n},{39.5 + n / 4}\n" for n in range(60))
TIME, RPM = "time: {heading: Time, unit: s}", "engine_speed: {heading: RPM, unit: rpm}"
COLUMNS = f"columns:\n      {RPM}\n      road_speed: {{heading: Speed, unit: km/h}}"


def result_of(folder: Path, block: str) -> BlockResult:
    content = write_site(folder, {"a.md": calc(block), "run.csv": ROWS})
    result = Book.open(content, root=folder).result("a", "a")
    assert result is not None
    return result


RULES = [
    (TIME, "time: {heading: Time}", "no unit of the times", "unit: s, ms or another unit of time"),
    (TIME, "time: {heading: Time, unit: ''}", "no unit of the times", "unit: s, ms or another unit of time"),
    (TIME, "time: Time", "“Time”", "time: "),
    (f"    {TIME}\n", "", "no time", "time: "),
    (TIME, "time: {unit: s}", "neither for time", "heading: what the file calls it, or position: its place"),
    (
        TIME,
        "time: {heading: Time, position: 1, unit: s}",
        "both for time",
        "heading: what the file calls it, or position: its place",
    ),
    (TIME, "time: {position: 0, unit: s}", "“0”", "position: a number from 1 on"),
    (TIME, "time: {position: first, unit: s}", "“first”", "position: a number from 1 on"),
    (TIME, "time: {heading: [Time], unit: s}", "a list", "the column of time"),
    (TIME, "time: {heading: Time, unit: s, as: clok}", "“clok”", "as: clock, or as: epoch"),
    (
        TIME,
        "time: {heading: Time, unit: s, as: clock}",
        "“s”",
        "no unit: a clock has hours, minutes and seconds",
    ),
    (TIME, "time: {heading: Time, as: clock, date: year first}", "“year first”", "as: clock, with date: "),
    (TIME, "time: {heading: Time, unit: s, date: day first}", "“day first”", "as: clock, with date: "),
    (TIME, "time: {rate: 10 Hz, unit: s}", "“unit” beside rate", "rate alone: rows are evenly spaced"),
    (TIME, "time: {heading: Time, unit: s, zone: UTC}", "“zone”", "time takes heading, position, unit, as, "),
    (
        TIME,
        "time: {heading: RPM, unit: s}",
        "“RPM” for the times and for engine_speed",
        "a column of its own",
    ),
    (f"    {COLUMNS}\n", "", "no columns", "columns: {"),
    (COLUMNS, "columns: [RPM]", "a list", "columns: {"),
    (f"      {RPM}\n", "", "no engine_speed", "engine_speed: {heading: its heading, unit: rpm}"),
    (RPM, f"{RPM}\n      boost: MAP", "“boost”", "the columns are "),
    (
        RPM,
        "engine_speed: {heading: Speed, unit: rpm}",
        "“Speed” for engine_speed and for road_speed",
        "a column",
    ),
    (
        RPM,
        "engine_speed: {heading: RPM, units: rpm}",
        "“units”",
        "a column takes heading, position, unit, lag",
    ),
    (RPM, "engine_speed: {unit: rpm}", "neither for engine_speed", "heading: what the file calls it, or "),
    (
        RPM,
        "engine_speed: ''",
        "nothing for engine_speed",
        "heading: what the file calls it, or position: its place",
    ),
    (
        RPM,
        "engine_speed: {heading: RPM, unit: [rpm]}",
        "a list",
        "what its numbers are in, where the heading",
    ),
    (RPM, "engine_speed: {heading: RPM, unit: rpm, quantum: ten}", "“ten”", ""),
    (RPM, "engine_speed: {heading: RPM, unit: rpm, by: some}", "“some”", ""),
    (
        RPM,
        "engine_speed: {heading: RPM, unit: rpm, by: 1 %, instrument: ':x'}",
        "“:x”",
        "instrument: its name",
    ),
    ("data: run.csv", "data: run.csv\n    decimal: dot", "“dot”", "decimal: comma or point"),
    ("data: run.csv", "data: run.csv\n    repeated: frist", "“frist”", "repeated: first or last or spread"),
    ("data: run.csv", "data: run.csv\n    backwards: [drop]", "a list", "backwards: drop"),
    (
        "data: run.csv",
        "data: run.csv\n    headings: first",
        "“first”",
        "headings: the number of their line, or ",
    ),
    ("data: run.csv", "data: run.csv\n    headings: 0", "“0”", "headings: the number of their line, or none"),
    ("data: run.csv", "data: run.csv\n    seperator: tab", "“seperator”", "a log takes "),
    ("data: run.csv", "data: run.csv\n    long: {name: Name}", "a mapping", "long: {name: heading, value: "),
    ("data: run.csv", "data: run.csv\n    long: Name", "“Name”", "long: {name: heading, value: heading}"),
    ("data: run.csv", "data: run.csv\n    gap: 1 kg", "“kg”", ""),
]


@pytest.mark.parametrize(("old", "new", "found", "expected"), RULES)
def test_what_is_wrong_with_a_rule(tmp_path: Path, old: str, new: str, found: str, expected: str) -> None:
    assert old in LOG
    block = LOG.replace(old, new, 1)
    result = result_of(tmp_path, block)
    told = [(fault.found, fault.expected) for fault in result.faults]
    assert len(told) == 1, told
    (fault,) = result.faults
    assert fault.found.startswith(found)
    assert fault.expected.startswith(expected)
    # at the line of the block that has it, or of the log where it is missing
    missing = fault.code.name == "missing-input"
    written = calc(block).splitlines()[fault.position.line - 1]
    assert missing or fault.position.column > 1
    quoted = found.partition("“")[2].partition("”")[0]
    parts = [quoted] if quoted else [line.strip() for line in new.splitlines()]
    assert missing or any(part in written for part in parts)
    assert fault.help


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (TIME, "time: {position: 1, unit: s}"),
        (TIME, "time: {rate: 10 Hz}"),
        (RPM, "engine_speed: RPM"),
        (RPM, "engine_speed: {position: 2, unit: rpm}"),
        (RPM, "engine_speed: {heading: RPM, unit: rpm, lag: 0.1 s, quantum: 10 rpm, by: ± 1 %}"),
        (RPM, "engine_speed: {heading: RPM, unit: rpm, by: ± 20 rpm, instrument: the tachometer}"),
        ("data: run.csv", "data: run.csv\n    headings: 1\n    decimal: point\n    separator: comma"),
        ("data: run.csv", "data: run.csv\n    from: 1 s\n    to: 5 s\n    gap: 2 s\n    repeated: first"),
    ],
)
def test_rules_that_hold(tmp_path: Path, old: str, new: str) -> None:
    result = result_of(tmp_path, LOG.replace(old, new, 1))
    unit = [fault for fault in result.faults if "RPM" not in new or fault.found != "no unit"]
    if new == "engine_speed: RPM":  # its heading does not say a unit, and that is told of the file
        assert len(unit) == 1
        return
    assert unit == []
    assert result.cases
