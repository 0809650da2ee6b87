"""Values as they are shown: two digits of the uncertainty at most and the value to the same place (JCGM
100:2008, 7.2.6), in the output's unit and in the other system, each by hand."""

from __future__ import annotations

import pytest

from buildlog.figures import units
from buildlog.kinds.quantities import Shown, change, other_of, shown, shown_in
from buildlog.kinds.results import Value

NB = "\u00a0"
KMH = 1 / 3.6


def speed(kmh: float, expanded: float = 0.0, *, decimals: int = 1, origin: str = "a") -> Value:
    return Value(
        si=kmh * KMH,
        dimension="speed",
        unit="km/h",
        decimals=decimals,
        contributions={origin: expanded * KMH / 2} if expanded else {},
    )


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (speed(124.84), "124.8"),
        (speed(124.84, 0.92), "124.8 ± 0.9"),  # no more digits than the output has
        (speed(124.84, 0.92, decimals=2), "124.84 ± 0.92"),
        (speed(124.84, 3.98), "124.8 ± 4.0"),
        (speed(124.84, 12.3), "125 ± 12"),
        (speed(124.84, 9.96), "125 ± 10"),
        (speed(1248.4, 123.0), "1250 ± 120"),
        (speed(124.84, 0.04), "124.8"),  # does not reach the digits shown
        (speed(124.84, 0.06), "124.8 ± 0.1"),
        (speed(-124.84, 0.92), "−124.8 ± 0.9"),
    ],
)
def test_value_and_uncertainty(value: Value, text: str) -> None:
    assert shown(value).text == f"{text}{NB}km/h"


def test_one_decimal_more_on_demand() -> None:
    assert shown(speed(124.84), more=1).text == f"124.84{NB}km/h"


def test_in_another_unit_with_as_many_digits() -> None:
    """124.8 km/h are 77.5 mph, and four digits 77.55 (1 mph is 1.609344 km/h)."""
    assert shown_in(speed(124.8), units.find("mph")).text == f"77.55{NB}mph"
    assert shown_in(speed(124.8), units.find("km/h")).text == f"124.8{NB}km/h"


@pytest.mark.parametrize(
    ("low", "high", "text"),
    # U is 2: ends that are off by up to 0.4 are told by ± U, one that is off by more is told
    [(9.0, 13.0, "11.0 ± 2.0"), (9.3, 13.0, "11.0 ± 2.0"), (9.5, 13.0, "11.0 (9.5 to 13.0)")],
)
def test_an_interval_stands_where_the_uncertainty_would_not_tell_it(
    low: float, high: float, text: str
) -> None:
    value = Value(
        si=11.0, dimension="length", unit="m", decimals=1, contributions={"a": 1.0}, low=low, high=high
    )
    assert shown(value).text == f"{text}{NB}m"


def test_a_count_is_whole_and_may_be_one_of_some() -> None:
    value = Value(si=7.0, dimension="count", unit="", decimals=0, contributions={"a": 0.4}, low=6.0, high=8.0)
    assert shown(value).text == "7 (6 to 8)"
    alike = Value(si=7.0, dimension="count", unit="", decimals=0, contributions={"a": 0.4}, low=7.0, high=7.0)
    assert shown(alike).text == "7"


def test_what_stands_behind_a_number() -> None:
    assert Shown("1", "0.2", "m").margin == "± 0.2"
    assert Shown("1", "0.2", "m", "0.9 to 1.5").margin == "(0.9 to 1.5)"
    assert Shown("1").margin == ""
    assert Shown("1").text == "1"


def test_the_other_system_has_one_unit_for_a_column() -> None:
    """Of 201.3 and 90.0 km/h the larger says the digits: 125.1 mph has four, 55.9 as many decimals."""
    other = other_of([speed(90.0), speed(201.3)])
    assert other is not None
    assert (other.unit.symbol, other.system) == ("mph", "metric")
    assert [other.shown(value).number for value in (speed(90.0), speed(201.3))] == ["55.9", "125.1"]
    assert other_of([]) is None
    assert other_of([Value(si=1.0, dimension="time", unit="s", decimals=1)]) is None


def test_the_other_system_of_nothing_but_zero() -> None:
    """As fine as one of the author's units would be: 1.0 km/h are 0.62 mph."""
    other = other_of([speed(0.0)])
    assert other is not None
    assert other.shown(speed(0.0)).number == "0.00"


def test_a_change_has_its_sign_and_its_share() -> None:
    """150.6 to 135.5 km/h: −15.1, −10.0 % (by hand)."""
    found = change(speed(150.6), speed(135.5))
    assert (found.difference, found.percent, found.unit) == ("−15.1", f"−10.0{NB}%", "")
    back = change(speed(135.5), speed(150.6))
    assert (back.difference, back.percent) == ("+15.1", f"+11.1{NB}%")
    assert change(speed(135.5), speed(135.5)).same
    assert not found.same


def test_a_change_too_small_to_show_has_no_sign() -> None:
    assert change(speed(100.0), speed(100.01)).difference == "0.0"


def test_what_two_values_share_does_not_blur_their_change() -> None:
    """The same origin cancels, two origins add in squares: √(2² + 2²) = 2.8 (JCGM 100:2008, F.1.2)."""
    assert change(speed(150.0, 2.0), speed(135.0, 2.0)).margin == ""
    assert change(speed(150.0, 2.0), speed(135.0, 2.0, origin="b")).margin == "± 2.8"


def test_a_change_of_a_percentage_is_told_in_points() -> None:
    first, second = (Value(si=si, dimension="ratio", unit="%", decimals=1) for si in (0.04, 0.05))
    found = change(first, second)
    assert (found.difference, found.unit, found.percent) == ("+1.0", "points", "")


def test_a_change_of_a_temperature_has_no_share_and_no_zero() -> None:
    """10 K are 18 °F of difference, not 50 °F."""
    first, second = (
        Value(si=273.15 + at, dimension="temperature", unit="°C", decimals=1) for at in (20.0, 30.0)
    )
    found = change(first, second, other_of([first, second]))
    assert (found.difference, found.percent) == ("+10.0", "")
    assert found.other is not None
    assert found.other.number == "+18.0"
