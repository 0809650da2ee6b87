"""The digest of a drawing: the same for the same part, another for every change that a maker would see."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildlog.kinds.pattern import Pattern
from buildlog.patterns.identity import DIGITS, Origin, digest_of, read_origin
from tests.patterns.plates import ORIGIN, PLATE, VALUES, tell


def _moved(pattern: Pattern, by: float) -> Pattern:
    line = pattern.lines[1]
    points = tuple((x + by, y) for x, y in line.points)
    return replace(pattern, lines=(pattern.lines[0], replace(line, points=points), *pattern.lines[2:]))


CHANGES = {
    "a line moved by a micrometre": _moved(PLATE, 1e-6),
    "a line of another kind": replace(PLATE, lines=(replace(PLATE.lines[0], kind="mark"), *PLATE.lines[1:])),
    "an open outline": replace(PLATE, lines=(replace(PLATE.lines[0], closed=False), *PLATE.lines[1:])),
    "a line less": replace(PLATE, lines=PLATE.lines[:-1]),
    "a hole moved": replace(PLATE, holes=(replace(PLATE.holes[0], centre=(0.1, 0.101)),)),
    "a larger hole": replace(PLATE, holes=(replace(PLATE.holes[0], diameter=0.026),)),
    "a dimension less": replace(PLATE, dimensions=PLATE.dimensions[:1]),
    "a dimension elsewhere": replace(
        PLATE, dimensions=(replace(PLATE.dimensions[0], away=0.1), *PLATE.dimensions[1:])
    ),
    "other words": replace(PLATE, notes=(replace(PLATE.notes[0], text="down {value}"),)),
    "words elsewhere": replace(PLATE, notes=(replace(PLATE.notes[0], place=(0.2, 0.1)),)),
    "another title": replace(PLATE, title="lid"),
    "another material": replace(PLATE, material="sheet of 2 mm"),
    "another revision": replace(PLATE, revision="C"),
    "another use": replace(PLATE, use="wrapped round"),
}


def test_the_same_part_has_the_same_digest() -> None:
    digest = digest_of(PLATE, tell)
    assert len(digest) == DIGITS
    assert digest == digest_of(_moved(PLATE, 1e-13), tell)  # a rounding error is no other part


@pytest.mark.parametrize("change", CHANGES)
def test_every_change_has_another(change: str) -> None:
    assert digest_of(CHANGES[change], tell) != digest_of(PLATE, tell)


@pytest.mark.parametrize("output", VALUES)
def test_so_has_another_figure(output: str) -> None:
    def other(name: str, key: str) -> object:
        return replace(VALUES[name], text="other") if name == output else VALUES[name]

    assert digest_of(PLATE, other) != digest_of(PLATE, tell)  # type: ignore[arg-type]


def test_an_origin_is_read_as_it_was_written() -> None:
    for one in (ORIGIN, Origin(block="a/ä#b", case="wide <&>", name="“left”\n", digest="0" * 12)):
        assert read_origin(one.written()) == one
        assert "\n" not in one.written()


@pytest.mark.parametrize(
    "line",
    ["", "[]", "{}", "null", '{"buildlog_pattern": 1}', '{"buildlog_pattern": {"block": 1}}', "[" * 9999],
)
def test_another_line_is_none(line: str) -> None:
    assert read_origin(line) is None
