"""Attack: data files that are large, wide, empty for miles, or bad in every cell."""

from __future__ import annotations

import tracemalloc
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import buildlog.book.book as book_module
import buildlog.reading.data_files as data_files
from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import Table
from buildlog.reading import data, log_file, log_reading
from tests.samples import calc, open_site

HEADER = "engine_speed [rpm],torque [N·m]\n"
GOOD = "".join(f"{1000 + 20 * row},{150 + row % 30}\n" for row in range(300))
SIZE = 2**20


def block(name: str, cases: int = 0) -> str:
    changed = "".join(f"      c{number}: {{vehicle_mass: {1000 + number} kg}}\n" for number in range(cases))
    return calc(
        f"""
    id: {name}
    kind: acceleration
    inputs:
      torque_curve: {{data: run.csv}}
      ambient_temperature: 20 °C
      ambient_pressure: 1013 mbar
      relative_humidity: 40 %
      vehicle_mass: 1100 kg
      driven_axle: front
      gears: [3.2, 1.9, 1.3, 1.0]
      final_drive: 4.1
      rolling_circumference: 1.85 m
      rev_limit: 6900 rpm
      drag_area: 0.6 m²
      rolling_coefficient: 0.012
      driveline_efficiency: 0.9
"""
        + (f"    cases:\n{changed}" if cases else "")
    )


def site(folder: Path, text: str, *blocks: str) -> Book:
    return open_site(folder, {"a.md": "\n\n".join(blocks or (block("run"),)), "run.csv": text})


def faults(book: Book) -> list[Diagnostic]:
    return [
        fault
        for result in book.results.values()
        for fault in result.faults
        if "run.csv" in fault.position.path
    ]


def counted(monkeypatch: pytest.MonkeyPatch, module: ModuleType, name: str) -> list[str]:
    """Grows by one with each call of a function of a module."""
    calls: list[str] = []
    function = getattr(module, name)

    def counting(*given: Any) -> Any:
        calls.append(name)
        return function(*given)

    monkeypatch.setattr(module, name, counting)
    return calls


def test_a_file_is_read_once_for_all_blocks_and_cases(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = counted(monkeypatch, data_files, "read_data_text")
    taken = counted(monkeypatch, data_files, "read_columns")
    book = site(tmp_path, HEADER + GOOD, block("one", 5), block("two"), block("three", 2))
    assert (len(read), len(taken)) == (1, 1)
    assert {len(result.faults) for result in book.results.values()} == {0}
    assert list(book.data_used) == ["run.csv"]
    book.tried("a", "two", {"vehicle_mass": "900 kg"})
    assert len(read) == 1
    (tmp_path / "content" / "run.csv").write_text(HEADER + GOOD + "7100,90\n", "utf-8")
    book.tried("a", "two", {"vehicle_mass": "900 kg"})
    assert len(read) == 2


def test_a_bad_log_is_read_once_for_all_cases(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read = counted(monkeypatch, book_module, "read_log")
    page = calc(
        """
    id: run
    kind: log_gearing
    inputs:
      log:
        data: run.csv
        time: {heading: t, unit: s}
        columns:
          road_speed: {heading: v, unit: km/h}
          engine_speed: {heading: n, unit: rpm}
      gears: [3.2, 1.9]
      final_drive: 4.1
      rolling_circumference: 1.85 m
    cases:
      a: {final_drive: 4.2}
      b: {final_drive: 4.3}
      c: {final_drive: 4.4}
    """
    )
    book = site(tmp_path, "t,v,n\n0,10,x\n1,11,y\n2,12,z\n", page)
    (result,) = book.results.values()
    assert "2 more like it, the last in line 4" in result.faults[0].found
    assert len(read) == 1


@pytest.mark.parametrize(
    "rest",
    [
        ",\n" * (SIZE // 2),
        "\n" * SIZE,
        "\r" * SIZE,
        "," * SIZE,
        '"' + '""' * (SIZE // 2) + '",2\n',
        '"' + "\n" * SIZE + '",2\n',
        ",x" * (SIZE // 2),
        "1,2\n" * (SIZE // 4),
        " " * SIZE,
        "\n" * SIZE + "\udcff",
        "\n" * SIZE + "\0",
    ],
    ids=lambda rest: repr(rest[:4]),
)
def test_what_a_file_takes_is_a_small_multiple_of_it(tmp_path: Path, rest: str) -> None:
    """Objects for each cell or line would be fifty times the file, or more."""
    path = tmp_path / "run.csv"
    path.write_bytes((HEADER + GOOD + rest).encode("utf-8", "surrogateescape"))
    form = catalogue_form()
    tracemalloc.start()
    try:
        data.read_data(tmp_path, "run.csv", form, lambda shown: shown.name)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 8 * path.stat().st_size


def catalogue_form() -> Table:
    kind = catalogue.load_kind("acceleration")
    form = next(declared.form for declared in kind.inputs if declared.name == "torque_curve")
    assert isinstance(form, Table)
    return form


@pytest.mark.parametrize(
    "text, place, found, expected",
    [
        (HEADER + GOOD * 2, "402:1", "more than 400 rows", "2 to 400"),
        (HEADER[:-1] + ",x" * 999 + "\n" + GOOD, "1:2029", "1001 columns", "at most 1000"),
        (HEADER + GOOD + "x" + "," * 3000 + "\n", "302:1", "3001 cells in a line", "at most 2000"),
        (
            HEADER + '"1000"' + "," * 3000 + "\n" + GOOD,
            "2:2006",
            "more than 2000 cells in a line",
            "at most 2000",
        ),
    ],
)
def test_a_file_that_is_too_much_says_of_what(
    tmp_path: Path, text: str, place: str, found: str, expected: str
) -> None:
    (fault,) = faults(site(tmp_path, text))
    assert str(fault.position) == f"content/run.csv:{place}"
    assert (fault.code.name, fault.found, fault.expected) == ("data-unreadable", found, expected)


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(data, "LARGEST", 1000)
    (result,) = site(tmp_path, HEADER + GOOD).results.values()
    assert [(fault.code.name, fault.expected) for fault in result.faults] == [
        ("data-unreadable", "at most 1000 bytes")
    ]


def test_bad_cells_are_counted_and_not_listed(tmp_path: Path) -> None:
    bad = faults(site(tmp_path, HEADER + "x,y\n" * 400))
    assert [fault.position.line for fault in bad] == [2, 2]
    assert all("399 more" in fault.found for fault in bad), [fault.found for fault in bad]


def test_a_long_line_of_a_log_is_never_whole_in_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(log_file, "LONGEST_LINE", 10_000)
    monkeypatch.setattr(log_reading, "LONGEST_LINE", 10_000)
    page = calc(
        """
    id: run
    kind: log_gearing
    inputs:
      log:
        data: run.csv
        time: {heading: t, unit: s}
        columns: {road_speed: {heading: v, unit: km/h}, engine_speed: {heading: w, unit: rpm}}
    """
    )
    tracemalloc.start()
    try:
        book = site(tmp_path, "t,v,w\n" + "1" * 4 * SIZE, page)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    (result,) = book.results.values()
    assert "a line of more than 10000 characters" in [fault.found for fault in result.faults]
    assert peak < 20 * SIZE
