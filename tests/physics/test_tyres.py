"""Tyre sizes and circumferences against printed tables and certified vehicle data."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange, Refused
from buildlog.physics import tyres

RPM_PER_MPH = 2 * pi / 60 / 0.44704  # (rad/s)/(m/s)


@pytest.mark.parametrize(
    ("size", "millimetres"),
    # ISO 4000-1 / ETRTO size code, overall diameter; tables print 632 and 634 mm (from memory)
    [("205/55R16", 631.9), ("225/45R17", 634.3)],
)
def test_overall_diameter_of_the_size_code(size: str, millimetres: float) -> None:
    tyre = tyres.read_tyre(size)
    diameter = tyres.overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter)
    assert diameter * 1000 == pytest.approx(millimetres, abs=0.05)


@pytest.mark.parametrize(
    ("size", "inches"),
    # a public encyclopaedia's text on speedometers: inches = T A / 1270 + W, printed to 6 decimals
    [("185/70R14", 24.19685), ("195/50R15", 22.677165)],
)
def test_overall_diameter_in_inches(size: str, inches: float) -> None:
    tyre = tyres.read_tyre(size)
    diameter = tyres.overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter)
    assert diameter / 0.0254 == pytest.approx(inches, abs=1e-6)


@pytest.mark.parametrize(
    ("n_over_v", "axle", "top_gear", "size"),
    [
        # EPA test car data, N/V and axle ratio columns; top gear and tyre size from memory.
        (44.2, 4.1, 0.767, "215/45R17"),  # DBF-MP52, 2013
        (40.9, 2.87, 1.0, "205/45R17"),  # 7EBPE32-022, configuration 1, 2017
    ],
)
def test_rolling_factor_of_certified_cars(n_over_v: float, axle: float, top_gear: float, size: str) -> None:
    """Within 1 %: N/V is printed to 0.1, and load and pressure spread."""
    tyre = tyres.read_tyre(size)
    diameter = tyres.overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter)
    measured = 2 * pi * axle * top_gear / (n_over_v * RPM_PER_MPH)
    assert tyres.rolling_circumference(diameter, 3.05) == pytest.approx(measured, rel=0.01)
    assert pi * diameter != pytest.approx(measured, rel=0.02), "the free circumference is the wrong one"


@pytest.mark.parametrize(
    "text",
    [
        "195/50R15",
        "195/50 R15",
        "195/50ZR15",
        "195/50r15 82v",
        "P195/50R15",
        "195/50 R 15 82V XL",
        "195/50-15",
    ],
)
def test_designations_that_are_read(text: str) -> None:
    tyre = tyres.read_tyre(text)
    assert (tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter) == pytest.approx((0.195, 0.50, 0.381))


def test_load_index_and_speed_symbol() -> None:
    """82 is 475 kg and V 240 km/h: UN Regulation 30, Annex 4 and 2.29 (from memory)."""
    tyre = tyres.read_tyre("195/50R15 82V")
    assert tyre.load == 475
    assert tyre.speed_limit == pytest.approx(240 / 3.6)


@pytest.mark.parametrize(
    ("index", "load"),
    # UN Regulation 30, Annex 4 (from memory, sure)
    [(60, 250), (70, 335), (75, 387), (80, 450), (88, 560), (91, 615), (95, 690), (100, 800), (110, 1060)],
)
def test_load_indices(index: int, load: int) -> None:
    assert tyres.LOAD_INDEX[index] == load


@pytest.mark.parametrize(
    "text", ["", "195", "195/50", "195/50R", "6.50-16", "195/50R15 82", "195/50R15V", "1e3/50R15"]
)
def test_designations_that_are_refused(text: str) -> None:
    with pytest.raises(Refused) as refused:
        tyres.read_tyre(text)
    assert "195/50R15" in refused.value.expected


@pytest.mark.parametrize(
    ("size", "listed"),
    # Overall diameter in mm of 155R13, 165R13, 175R14 and 185R14: ETRTO Standards Manual (from memory).
    [("155/80R13", 578), ("165/80R13", 596), ("175/80R14", 634), ("185/80R14", 650)],
)
def test_a_size_without_a_series_is_about_the_80_series(size: str, listed: float) -> None:
    with pytest.raises(Refused) as refused:
        tyres.read_tyre(size.replace("/80", ""))
    assert "165R13, is about 165/80R13" in refused.value.help
    tyre = tyres.read_tyre(size)
    diameter = tyres.overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter)
    assert diameter * 1000 == pytest.approx(listed, rel=0.005)


@pytest.mark.parametrize(
    "text", ["197/50R15", "100/50R15", "195/52R15", "195/90R15", "195/50R25", "195/50R15 59V"]
)
def test_designations_out_of_range(text: str) -> None:
    with pytest.raises(OutOfRange):
        tyres.read_tyre(text)


@given(st.floats(0.3, 1.0), st.floats(2.9, pi))
def test_rolling_radius_lies_below_the_overall_radius(diameter: float, factor: float) -> None:
    circumference = tyres.rolling_circumference(diameter, factor)
    assert tyres.rolling_radius(circumference) <= tyres.overall_radius(diameter) * (1 + 1e-12)


@pytest.mark.parametrize("factor", [2.89, 3.1416])
def test_rolling_factor_has_limits(factor: float) -> None:
    with pytest.raises(OutOfRange):
        tyres.rolling_circumference(0.6, factor)
