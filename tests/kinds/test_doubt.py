"""Doubt of the method: how a model's own uncertainty gets into results, and what limits say."""

from __future__ import annotations

from math import isclose, sqrt
from typing import Annotated

import pytest

from buildlog.book.limits import remarks_of_limits
from buildlog.book.propagation import propagate
from buildlog.book.uncertainty import Model
from buildlog.kinds.declaration import Doubt, Limit, Outputs, Working
from buildlog.kinds.results import Value
from buildlog.said import said

LOSS = Doubt(name="loss", about="loss of a bend", source="idelchik", relative=0.2)
LENGTH = Doubt(name="length", about="end correction", source="levine", absolute=0.002, limits=True)


def double(length: Annotated[float, "l", "m"]) -> Annotated[float, "d", "m"]:
    return 2 * length


def compute(working: Working) -> Outputs:
    drop = 100 * working.factor(LOSS.of("first")) + 50 * working.factor(LOSS.of("second"))
    return {"drop": drop, "length": working.step("length", double, source=LENGTH, length=1.0)}


def test_an_ordinary_run_is_not_moved_and_says_what_it_doubts() -> None:
    working = Working()
    assert compute(working) == {"drop": 150.0, "length": 2.0}
    assert list(working.doubted) == ["method:loss.first", "method:loss.second", "method:length"]


def test_independent_errors_of_one_doubt_add_in_squares() -> None:
    """JCGM 100:2008, 5.1.2, by hand: 20 % with k = 2 of 100 and of 50 are 10 and 5."""
    working = Working()
    outputs = compute(working)
    model = Model(
        compute=lambda _, shifts: compute(Working(shifts=shifts)), values={}, doubted=working.doubted
    )
    parts = propagate(model, outputs, seed=1, draws=1000, rest="rest").parts
    drop = parts["drop"][""]
    assert isclose(drop["method:loss.first"], 10.0)
    assert isclose(drop["method:loss.second"], 5.0)
    assert isclose(parts["length"][""]["method:length"], 0.002 / sqrt(3))  # 4.3.7: a rectangular distribution


@pytest.mark.parametrize(
    ("si", "spread", "times"),
    [(0.0051, 0.0, 0), (0.0049, 0.0, 1), (0.0051, 0.003, 1), (0.0111, 0.003, 0)],
)
def test_a_limit_counts_the_uncertainty(si: float, spread: float, times: int) -> None:
    limit = Limit(output="gap", least=0.005, says=said("Less than 5 mm may be left."))
    value = Value(si=si, dimension="length", unit="mm", decimals=1, contributions={"x": spread})
    told = list(remarks_of_limits([limit], {"gap": value}))
    assert len(told) == times
    if spread and times:
        assert "5.1 mm with ± 6.0 mm" in told[0].replace("\u00a0", " ")


def test_a_limit_counts_the_nearer_end_of_a_lopsided_interval() -> None:
    """U would be 6 mm to both sides; what is left is never less than nothing."""
    limit = Limit(output="gap", least=0.0, says=said("It may touch."))
    value = Value(
        si=0.001,
        dimension="length",
        unit="mm",
        decimals=1,
        contributions={"x": 0.003},
        low=0.0002,
        high=0.012,
    )
    assert not list(remarks_of_limits([limit], {"gap": value}))
    near = Limit(output="gap", least=0.0005, says=said("It may touch."))
    (told,) = remarks_of_limits([near], {"gap": value})
    assert "1.0 mm, somewhere from 0.2 mm to 12.0 mm" in told.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("si", "spread", "words"),
    [(0.96, 0.01, "slips"), (0.96, 0.03, "may slip"), (1.01, 0.01, "may slip"), (0.9, 0.0, "slips")],
)
def test_a_limit_is_told_as_sure_as_it_is(si: float, spread: float, words: str) -> None:
    """0.96 ± 0.02 is below 1 with all of its uncertainty (k = 2), 0.96 ± 0.06 need not be."""
    limit = Limit(output="reserve", least=1.0, says=said("Worn, it [may slip|slips] under the torque."))
    value = Value(si=si, dimension="ratio", unit="", decimals=2, contributions={"x": spread})
    (told,) = remarks_of_limits([limit], {"reserve": value})
    assert told.startswith(f"Worn, it {words} under the torque.")


def test_of_limits_told_together_the_one_that_is_passed_furthest_is_told() -> None:
    """50 ± 10 Pa keeps to 0, 60 ± 100 Pa may not, and 5 ± 20 Pa may not by less: the second is told, though
    it is the greatest."""

    def pressure(pascal: float, standard: float) -> Value:
        return Value(si=pascal, dimension="pressure", unit="Pa", decimals=0, contributions={"x": standard})

    values = {"rise": {"1": pressure(50, 5), "2": pressure(60, 50), "3": pressure(5, 10)}}
    limits = [
        Limit(
            output="rise",
            key=key,
            least=0.0,
            says=said("At {key} it may be below.", key=key),
            together="rise",
        )
        for key in "123"
    ]
    (told,) = remarks_of_limits(limits, values)
    assert told.replace("\u00a0", " ").startswith("At 2 it may be below. It is 60 Pa with ± 100 Pa")
    apart = [Limit(output=one.output, key=one.key, least=0.0, says=one.says) for one in limits]
    assert len(list(remarks_of_limits(apart, values))) == 2
    above = Limit(output="rise", key="1", most=45.0, says=said("Too much."))
    assert above.beyond(40, 60) == 15.0


def test_the_parts_of_an_uncertainty_are_told_apart() -> None:
    value = Value(
        si=1.0, dimension="length", unit="m", decimals=3, contributions={"a.md:1:1": 0.3, "method:loss": 0.4}
    )
    assert isclose(value.expanded_of_inputs, 0.6)
    assert isclose(value.expanded_of_method, 0.8)
    assert isclose(value.expanded_uncertainty, 1.0)
