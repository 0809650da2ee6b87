"""The change between two values and its uncertainty, held to the package uncertainties 3.2.3."""

from __future__ import annotations

from math import floor, log10

import pytest
import uncertainties
from uncertainties import ufloat

from buildlog.figures import units
from buildlog.kinds.quantities import change, other_of
from buildlog.kinds.results import Value, change_between, share_means_something

# Inputs of two cases, of which each may enter one case, the other or both, in one direction or in two.
LOAD, ARM, GAP = ufloat(310.0, 4.0), ufloat(0.25, 0.003), ufloat(12.0, 0.6)
PAIRS = {
    "all shared, the same way": (LOAD * ARM + GAP, 1.2 * LOAD * ARM + 3 * GAP),
    "shared, one of them against the other": (LOAD * ARM + GAP, LOAD * ARM - 2 * GAP),
    "one shared, one in either": (LOAD * ARM, LOAD / GAP),
    "none shared": (ARM * 40, GAP / 2),
    "the same factor of both": (GAP * 4.1, GAP * 3.9),
    "below zero": (LOAD * ARM - 100, GAP - 40),
}


def value_of(quantity: uncertainties.UFloat, dimension: str = "speed", unit: str = "m/s") -> Value:
    """As a block has it: each origin's signed contribution, ∂f/∂x · u(x)."""
    names = {LOAD: "load", ARM: "arm", GAP: "gap"}
    parts = {names[x]: slope * x.std_dev for x, slope in quantity.derivatives.items()}
    return Value(si=quantity.nominal_value, dimension=dimension, unit=unit, decimals=3, contributions=parts)


@pytest.mark.parametrize("name", PAIRS)
def test_a_difference_is_as_uncertain_as_independent_propagation_says(name: str) -> None:
    base, value = PAIRS[name]
    changed = change_between(value_of(base), value_of(value))
    expected = value - base
    assert changed.si == pytest.approx(expected.nominal_value, rel=1e-12)
    assert changed.standard_uncertainty == pytest.approx(expected.std_dev, rel=1e-12)
    assert changed.expanded_uncertainty == pytest.approx(2 * expected.std_dev, rel=1e-12)  # JCGM 100, 6.2.1


@pytest.mark.parametrize("name", PAIRS)
def test_a_share_is_as_uncertain_as_independent_propagation_says(name: str) -> None:
    base, value = PAIRS[name]
    changed = change_between(value_of(base), value_of(value), relative=True)
    expected = value / base - 1
    assert changed.si == pytest.approx(expected.nominal_value, rel=1e-12)
    assert changed.standard_uncertainty == pytest.approx(expected.std_dev, rel=1e-10, abs=1e-15)
    assert (changed.dimension, changed.unit) == ("ratio", "%")


@pytest.mark.parametrize("name", PAIRS)
def test_a_card_shows_the_same_change(name: str) -> None:
    """Signed, with U = 2 u (k = 2) to two digits and the value to the same place (JCGM 100:2008, 7.2.6), or
    to the row's three decimals; in ft/s by the foot of 0.3048 m."""
    base, value = PAIRS[name]
    expected = value - base
    first, second = value_of(base), value_of(value)
    shown = change(first, second, other_of([first, second]))
    expanded = 2 * expected.std_dev
    place = max(1e-3, 10 ** (floor(log10(expanded)) - 1))
    assert float(shown.difference.replace("\u2212", "-")) == pytest.approx(
        expected.nominal_value, abs=place / 2
    )
    assert float(shown.margin.removeprefix("± ")) == pytest.approx(expanded, rel=0.05, abs=5e-4)
    relative = value / base - 1
    share, _, spread = shown.percent.removesuffix("\u00a0%").partition(" ± ")
    assert float(share.replace("\u2212", "-")) == pytest.approx(100 * relative.nominal_value, abs=0.5)
    assert float(spread or 0) == pytest.approx(200 * relative.std_dev, rel=0.05, abs=0.05)
    assert shown.other is not None
    assert units.find("m/s").counterpart == "ft/s"
    assert float(shown.other.uncertainty) == pytest.approx(expanded / 0.3048, rel=0.05)


def test_what_a_difference_is_in() -> None:
    def of(si: float, dimension: str, unit: str) -> Value:
        return Value(si=si, dimension=dimension, unit=unit, decimals=1)

    warmer = change_between(of(293.15, "temperature", "°C"), of(303.15, "temperature", "°C"))
    assert (warmer.si, warmer.dimension, warmer.unit) == (10, "temperature difference", "K")
    nearer = change_between(of(0.52, "ratio", "%"), of(0.50, "ratio", "%"))
    assert nearer.si == pytest.approx(-0.02)
    assert nearer.unit == "percentage points"
    longer = change_between(of(2.0, "length", "mm"), of(2.5, "length", "mm"))
    assert (longer.si, longer.dimension, longer.unit, longer.decimals) == (0.5, "length", "mm", 1)


def test_a_share_of_hardly_anything_is_no_fault_of_ours() -> None:
    tiny = Value(si=1e-200, dimension="length", unit="mm", decimals=1, contributions={"a": 1e-202})
    changed = change_between(tiny, Value(si=3e-200, dimension="length", unit="mm", decimals=1), relative=True)
    assert changed.si == pytest.approx(2)
    assert changed.standard_uncertainty == pytest.approx(0.03)  # 3 · 1 %
    assert change(tiny, Value(si=1e200, dimension="length", unit="mm", decimals=1)).percent == ""


@pytest.mark.parametrize(
    ("dimension", "unit", "before", "after", "meant"),
    [
        ("power", "kW", 100e3, 103e3, True),
        ("temperature difference", "K", 20.0, 25.0, True),
        ("temperature", "°C", 293.15, 344.65, False),  # 71.5 °C is not 18 % more than 20 °C, nor 258 %
        ("temperature", "K", 293.15, 344.65, False),
        ("sound level", "dB(A)", 80.0, 88.0, False),  # a logarithm: 8 dB are 6.3 times the power
        ("level difference", "dB", 10.0, 12.0, False),
        ("pressure", "Pa", -2000.0, 57.0, False),
    ],
)
def test_where_a_share_means_something(
    dimension: str, unit: str, before: float, after: float, meant: bool
) -> None:
    base, value = (Value(si=si, dimension=dimension, unit=unit, decimals=1) for si in (before, after))
    assert share_means_something(base, value) == meant
    assert bool(change(base, value).percent) == (meant and dimension != "temperature difference")
