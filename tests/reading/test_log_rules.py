"""What the rules of a log say of themselves, by hand from what each promises."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from buildlog.diagnostics import Position, Refused
from buildlog.kinds.forms import LogChannel
from buildlog.reading.log_rules import ColumnRule, LogRules, TimeRule
from buildlog.reading.nodes import YamlScalar

WRITTEN = YamlScalar(position=Position("a.md", 1, 1), text="x")
SPEED = LogChannel(name="road_speed", dimension="speed", unit="km/h", about="of the car")
COLUMN = ColumnRule(channel=SPEED, written=WRITTEN, origin="a.md#speed")
TIME = TimeRule(form="seconds", written=WRITTEN)
RULES = LogRules(time=TIME, columns=(COLUMN,))


@pytest.mark.parametrize(
    ("rules", "words"),
    [
        (RULES, ()),
        (replace(RULES, gap=0.5), ("steps above 0.5 s are gaps",)),
        (replace(RULES, gap=1.23456), ("steps above 1.235 s are gaps",)),
        (
            replace(RULES, columns=(COLUMN, replace(COLUMN, lag=0.1234))),
            ("road speed came 0.123 s late, which was taken out",),
        ),
        (replace(RULES, words={"repeated": "first"}), ("of rows with one time the first is kept",)),
        (
            replace(RULES, words={"repeated": "spread"}),
            ("rows with one time share the time up to the next",),
        ),
        (replace(RULES, words={"decimal": "comma"}), ()),
        (replace(RULES, time=replace(TIME, scale=0.001)), ()),
        (
            replace(RULES, time=replace(TIME, form="rate", scale=0.05)),
            ("rows are 0.05 s apart, as stated",),
        ),
    ],
)
def test_a_reader_is_told_how_a_log_was_read(rules: LogRules, words: tuple[str, ...]) -> None:
    assert rules.in_words == words


@pytest.mark.parametrize(
    "change",
    [
        {"gap": 1.0}, {"start": 1.0}, {"stop": 1.0}, {"headings": 2}, {"long": ("a", "b")},
        {"words": {"repeated": "first"}}, {"columns": (replace(COLUMN, lag=0.1),)},
        {"time": replace(TIME, scale=2.0)},
    ],
)  # fmt: skip
def test_rules_that_read_otherwise_are_told_apart(change: dict[str, Any]) -> None:
    assert replace(RULES, **change).key != RULES.key
    assert replace(RULES).key == RULES.key


@pytest.mark.parametrize(
    ("quantum", "si"),
    [
        ("", 0.0),
        ("± 3.6 km/h", 1.0),
        ("± 1 m/s", 1.0),
        ("± 0 km/h", None),
        ("± 2 %", None),
        ("3.6 km/h", 1.0),
    ],
)
def test_the_step_of_readings(quantum: str, si: float | None) -> None:
    rule = replace(COLUMN, quantum=quantum)
    if si is None:
        with pytest.raises(Refused):
            rule.quantum_in("speed")
    else:
        assert rule.quantum_in("speed") == pytest.approx(si)


@pytest.mark.parametrize(
    ("doubt", "relative", "absolute"),
    [
        ("± 2 %", 0.04, 0.0),
        ("± 2 % (k=2)", 0.02, 0.0),
        ("± 3.6 km/h", 0.0, 2.0),
        ("±  3.6   km/h (k=2)", 0.0, 1.0),
        ("± 3.6 km/h limits", 0.0, 2 / 3**0.5),
    ],
)
def test_how_far_an_instrument_may_be_off(doubt: str, relative: float, absolute: float) -> None:
    """A plain ± is a standard uncertainty, limits are √3 of them (the manual, “Inputs”); a doubt is told as
    two of them (k = 2)."""
    found = replace(COLUMN, doubt=doubt).doubt_in("speed")
    assert found is not None
    assert found.relative == pytest.approx(relative)
    assert found.absolute == pytest.approx(absolute)
    assert found.words == " ".join(doubt.split())
    assert found.origin == "a.md#speed"
    named = replace(COLUMN, doubt=doubt, instrument="GPS").doubt_in("speed")
    assert named is not None
    assert named.origin == "instrument:GPS"
    assert named.about == "GPS, road speed"


def test_an_instrument_that_is_off_by_nothing_and_one_that_cannot_be_meant() -> None:
    assert COLUMN.doubt_in("speed") is None
    assert replace(COLUMN, doubt="± 0 km/h").doubt_in("speed") is None
    with pytest.raises(Refused):
        replace(COLUMN, doubt="± 2 %").doubt_in("temperature")
