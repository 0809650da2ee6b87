"""The record of computed figures as a file: written and read it is the same; a line that is none is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.reading.record import NAME, Hashes, Record, read_record, record_text

HASHES = Hashes(inputs="a1", calculator="b2", data="-")
RECORD = Record(
    blocks={("episodes/two", "b"): HASHES, ("episodes/one", "a"): HASHES},
    values={
        ("episodes/two", "b", "", "mass", ""): 3.5,
        ("episodes/one", "a", "after", "speed", "3"): 37.64568965,
        ("episodes/one", "a", "after", "loss", "old\those\n%"): -1e-300,
    },
)


def read(folder: Path, text: str) -> tuple[Record | None, list[tuple[str, int, str]]]:
    path = folder / NAME
    path.write_text(text, "utf-8")
    record, faults = read_record(path, NAME)
    return record, [(fault.code.name, fault.position.line, fault.found) for fault in faults]


def test_a_record_is_written_and_read_alike(tmp_path: Path) -> None:
    text = record_text(RECORD)
    assert read(tmp_path, text) == (RECORD, [])
    assert read(tmp_path, text.replace("\n", "\r\n")) == (RECORD, [])
    assert read_record(tmp_path / "none", NAME) == (None, [])


def test_the_same_record_is_the_same_text() -> None:
    """A block, then its figures, page by page."""
    turned = Record(dict(reversed(list(RECORD.blocks.items()))), dict(reversed(list(RECORD.values.items()))))
    assert record_text(turned) == record_text(RECORD)
    lines = [line.split("\t") for line in record_text(RECORD).splitlines()[2:]]
    assert [line[:3] for line in lines] == [
        ["block", "episodes/one", "a"], ["figure", "episodes/one", "a"], ["figure", "episodes/one", "a"],
        ["block", "episodes/two", "b"], ["figure", "episodes/two", "b"],
    ]  # fmt: skip
    assert lines[0][3:] == ["inputs a1", "calculator b2", "data -"]


@pytest.mark.parametrize(
    "line",
    [
        "block\tp\ta\tinputs a1\tcalculator b2",
        "block\tp\ta\tinputs a1\tcalculator b2\tdata",
        "block\tp\ta\tcalculator b2\tinputs a1\tdata -",
        "block\tepisodes/one\ta\tinputs a1\tcalculator b2\tdata -",  # twice
        "figure\tp\ta\t\tmass\t\tmany",
        "figure\tp\ta\t\tmass\t\tnan",
        "figure\tp\ta\t\tmass\t\tinf",
        "figure\tp\ta\t\tmass\t3.5",
        "figure\tepisodes/two\tb\t\tmass\t\t3.5",  # twice
        "figures\tp\ta\t\tmass\t\t3.5",
        "<<<<<<< HEAD",
    ],
)
def test_a_line_that_is_none_is_told_and_the_others_are_read(tmp_path: Path, line: str) -> None:
    record, faults = read(tmp_path, f"{record_text(RECORD)}# a remark\n\n{line}\n")
    assert record == RECORD
    ((code, number, found),) = faults
    assert (code, number) == ("record-unreadable", len(record_text(RECORD).splitlines()) + 3)
    assert found.startswith("“" + line.partition("\t")[0][:8])


def test_a_record_of_another_format_is_none(tmp_path: Path) -> None:
    record, faults = read(tmp_path, "buildlog 999\n")
    assert record is None
    assert faults == [("record-unreadable", 1, "“buildlog 999”")]
