"""Tyre sizes and circumferences against printed tables and certified vehicle data."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange, Refused
from buildlog.kinds.models import tyre_model
from buildlog.physics import tyre_sizes, tyres
from tests.examples import with_examples

RPM_PER_MPH = 2 * pi / 60 / 0.44704  # (rad/s)/(m/s)


@pytest.mark.parametrize(
    ("size", "millimetres"),
    # ISO 4000-1 / ETRTO size code, overall diameter; tables print 632 and 634 mm (from memory)
    [("205/55R16", 631.9), ("225/45R17", 634.3)],
)
def test_overall_diameter_of_the_size_code(size: str, millimetres: float) -> None:
    tyre = tyre_sizes.read_tyre(size)
    diameter = tyres.overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter)
    assert diameter * 1000 == pytest.approx(millimetres, abs=0.05)


@pytest.mark.parametrize(
    ("size", "inches"),
    # a public encyclopaedia's text on speedometers: inches = T A / 1270 + W, printed to 6 decimals
    [("185/70R14", 24.19685), ("195/50R15", 22.677165)],
)
def test_overall_diameter_in_inches(size: str, inches: float) -> None:
    tyre = tyre_sizes.read_tyre(size)
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
    tyre = tyre_sizes.read_tyre(size)
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
    tyre = tyre_sizes.read_tyre(text)
    assert (tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter) == pytest.approx((0.195, 0.50, 0.381))


# Load indices from 60 in kg, as two public lists of the trade print them whole (both read; each has misprints
# of its own, 62 here and 61 and 83 there, where the other and two more agree): those of UN Regulations No. 30
# and No. 54, Annex 4. 120 and more: two other public lists (read).
LOADS = """
    250 257 265 272 280 290 300 307 315 325  335 345 355 365 375 387 400 412 425 437
    450 462 475 487 500 515 530 545 560 580  600 615 630 650 670 690 710 730 750 775
    800 825 850 875 900 925 950 975 1000 1030  1060 1090 1120 1150 1180 1215 1250 1285 1320 1360
    1400 1450 1500 1550 1600 1650 1700
"""


def test_load_indices_of_the_whole_printed_table() -> None:
    printed = dict(enumerate(map(int, LOADS.split()), start=60))
    assert printed == tyre_sizes.LOAD_INDEX
    for index, load in printed.items():
        assert tyre_sizes.read_tyre(f"195/50R15 {index}V").load == load


# A tyre trade's public table (read), from N on; J to M: another public list (read). UN Regulations
# No. 30, 2.29, and No. 54. km/h.
SPEEDS = {
    "J": 100, "K": 110, "L": 120, "M": 130, "N": 140, "P": 150, "Q": 160, "R": 170, "S": 180, "T": 190,
    "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}  # fmt: skip


def test_speed_symbols_of_the_whole_printed_table() -> None:
    assert set(tyre_sizes.SPEED_SYMBOLS) == set(SPEEDS)
    for symbol, speed in SPEEDS.items():
        assert tyre_sizes.read_tyre(f"195/50R15 82{symbol}").speed_limit == pytest.approx(speed / 3.6)


@pytest.mark.parametrize(
    ("diameter", "turns"),
    # Two of a tyre maker's public sheets of radial light-truck sizes (read; stored public pages): overall
    # diameter in inches, turns for a mile
    [
        (31.7, 655), (32.0, 648), (30.5, 682), (30.7, 676), (30.7, 674), (31.8, 651), (31.7, 656),
        (33.0, 628), (33.1, 628), (32.8, 633), (34.6, 601), (34.9, 595), (33.5, 620),
    ],
)  # fmt: skip
def test_rolling_factor_of_printed_turns_for_a_mile(diameter: float, turns: float) -> None:
    """All within the doubt of the factor, 3.05 ± 0.02: a mile is 1609.344 m."""
    assert 3.03 <= 1609.344 / turns / (diameter * 0.0254) <= 3.07


@pytest.mark.parametrize(
    "text", ["", "195", "195/50", "195/50R", "6,5,0-16", "195/50R15 82", "195/50R15V", "1e3/50R15"]
)
def test_designations_that_are_refused(text: str) -> None:
    with pytest.raises(Refused) as refused:
        tyre_sizes.read_tyre(text)
    assert "195/50R15" in refused.value.expected


@pytest.mark.parametrize(
    ("size", "listed"),
    # Overall diameter in mm of 155R13, 165R13, 175R14 and 185R14: ETRTO Standards Manual (from memory).
    [("155/80R13", 578), ("165/80R13", 596), ("175/80R14", 634), ("185/80R14", 650)],
)
def test_a_size_without_a_series_is_about_the_80_series(size: str, listed: float) -> None:
    stamped = tyre_sizes.read_tyre(size.replace("/80", ""))
    tyre = tyre_sizes.read_tyre(size)
    assert stamped.series_assumed
    assert stamped.measures == tyre.measures
    diameter = tyres.overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter)
    assert diameter * 1000 == pytest.approx(listed, rel=0.005)


@pytest.mark.parametrize(
    ("text", "width", "series", "rim", "construction"),
    [
        ("205/60VR13", 0.205, 0.60, 13 * 0.0254, "radial"),
        ("195/70HR14", 0.195, 0.70, 14 * 0.0254, "radial"),
        ("195/70 HR 14", 0.195, 0.70, 14 * 0.0254, "radial"),
        ("165R13", 0.165, 0.80, 13 * 0.0254, "radial"),
        ("165 SR 13", 0.165, 0.80, 13 * 0.0254, "radial"),
        ("175/65R14C", 0.175, 0.65, 14 * 0.0254, "radial"),
        ("175/65 R14C 90/88T", 0.175, 0.65, 14 * 0.0254, "radial"),
        ("195R14C 8PR", 0.195, 0.80, 14 * 0.0254, "radial"),
        ("LT245/75R16", 0.245, 0.75, 16 * 0.0254, "radial"),
        ("LT245/75R16 120/116S M+S", 0.245, 0.75, 16 * 0.0254, "radial"),
        ("190/65R390", 0.190, 0.65, 0.390, "radial"),
        ("190/65 HR 390", 0.190, 0.65, 0.390, "radial"),
        ("6.00-13", 6 * 0.0254, None, 13 * 0.0254, "diagonal"),
        ("6,00-13 4PR", 6 * 0.0254, None, 13 * 0.0254, "diagonal"),
        ("185/70-14", 0.185, 0.70, 14 * 0.0254, "diagonal"),
        ("185/70B14", 0.185, 0.70, 14 * 0.0254, "bias-belted"),
        ("195/50ZR15 (82W) XL", 0.195, 0.50, 15 * 0.0254, "radial"),
        ("205/55 R16 91H M+S 3PMSF", 0.205, 0.55, 16 * 0.0254, "radial"),
    ],
)
def test_sizes_as_stamped(
    text: str, width: float, series: float | None, rim: float, construction: str
) -> None:
    """Width in mm, height in percent, rim in inches or, of three digits, in mm: UN Regulation No. 30, 2.17.1
    (from memory)."""
    tyre = tyre_sizes.read_tyre(text)
    assert (tyre.section_width, tyre.rim_diameter) == pytest.approx((width, rim))
    assert tyre.series == (None if series is None else pytest.approx(series))
    assert tyre.construction == construction


def test_a_flotation_size_begins_with_its_diameter() -> None:
    """31x10.50R15: 31 in overall, 10.5 in wide (an owner's manual of 2020, tire sizing chart, read)."""
    tyre = tyre_sizes.read_tyre("31x10.50R15LT")
    assert tyre.stamped_diameter == pytest.approx(31 * 0.0254)
    assert tyres.overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter) == pytest.approx(
        31 * 0.0254
    )
    with pytest.raises(OutOfRange):
        tyre_sizes.read_tyre("26x10.50R24")


@pytest.mark.parametrize(
    ("text", "speed"),
    # UN Regulation No. 30, 2.29.3 (from memory): V, Z in a size are over 210 and 240 km/h, no end.
    [
        ("195/70HR14", 210),
        ("165SR13", 180),
        ("205/60VR13", None),
        ("205/60VR13 87V", 240),
        ("195/50R15", None),
    ],
)
def test_speed_of_a_size(text: str, speed: float | None) -> None:
    limit = tyre_sizes.read_tyre(text).speed_limit
    assert limit == (None if speed is None else pytest.approx(speed / 3.6))


def test_a_size_without_a_height_says_so() -> None:
    with pytest.raises(Refused) as refused:
        _ = tyre_sizes.read_tyre("6.00-13").aspect_ratio
    assert refused.value.found == "6.00-13, which says no height"


@pytest.mark.parametrize(
    "text", ["197/50R15", "100/50R15", "195/52R15", "195/105R15", "195/50R25", "195/50R15 59V"]
)
def test_designations_out_of_range(text: str) -> None:
    with pytest.raises(OutOfRange):
        tyre_sizes.read_tyre(text)


@pytest.mark.parametrize(
    "text",
    [
        "95/50R15",  # 195/50R15 without its first digit: no tyre is 95 in high
        "25/45R17",
        "15x0R15",  # no width at all, which was a division by zero
        "10x5R10",
        "31x21R15",
        "185R14C 102/00Q",
        "195/50R15 82/999V",
    ],
)
def test_a_size_with_a_slip_is_no_other_size(text: str) -> None:
    with pytest.raises(OutOfRange):
        tyre_sizes.read_tyre(text)


@pytest.mark.parametrize("text", ["19\u0665/50R15", "195/50\u017fR15", "195/50R15" + " C" * 500])
def test_a_size_is_written_in_the_signs_of_a_sidewall(text: str) -> None:
    with pytest.raises(Refused):
        tyre_sizes.read_tyre(text)


@st.composite
def _slips(draw: st.DrawFn) -> str:
    size = draw(st.sampled_from(["195/50ZR15 82V", "LT245/75R16C 90/88T", "31x10.50R15 109Q", "6.00-13 4PR"]))
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(size)))
        size = (
            size[:at] + draw(st.text("0159/.RXBDVHC -+&", max_size=2)) + size[at + draw(st.integers(0, 2)) :]
        )
    return size


@with_examples(300)
@given(_slips())
def test_whatever_is_written_is_a_tyre_of_this_world_or_refused(text: str) -> None:
    try:
        tyre = tyre_sizes.read_tyre(text)
    except Refused:
        return
    assert 0.07 < tyre.section_width < 0.52
    assert 0.2 < tyre.rim_diameter < 0.62
    assert tyre.series is None or 0.19 < tyre.series < 1.11


@given(st.floats(0.3, 1.0), st.floats(2.9, pi))
def test_rolling_radius_lies_below_the_overall_radius(diameter: float, factor: float) -> None:
    circumference = tyres.rolling_circumference(diameter, factor)
    assert tyres.rolling_radius(circumference) <= tyres.overall_radius(diameter) * (1 + 1e-12)


@pytest.mark.parametrize("factor", [2.89, 3.1416])
def test_rolling_factor_has_limits(factor: float) -> None:
    with pytest.raises(OutOfRange):
        tyres.rolling_circumference(0.6, factor)


@pytest.mark.parametrize(
    "series",
    # What a size without a series is taken for: 82 % by a public encyclopaedia's text on tyre codes, 80 % by
    # a public page of the trade that follows the European standards (both read)
    [0.82, 0.80],
)
def test_what_is_said_of_sizes_without_a_series_lies_in_its_doubt(series: float) -> None:
    tyre = tyre_sizes.read_tyre("165R13")
    assert tyre.series_assumed
    assert abs(series / tyre.aspect_ratio - 1) <= tyre_model.NO_SERIES.relative + 1e-12


@pytest.mark.parametrize(
    ("size", "overall"),
    # Overall diameters, a trade's list for small cars (read; a stored public page), in whole mm
    [("145/80R10", 486), ("145/70R12", 508), ("165/60R12", 502), ("175/50R13", 506)],
)
def test_overall_diameters_of_a_printed_list(size: str, overall: float) -> None:
    tyre = tyre_sizes.read_tyre(size)
    diameter = tyres.overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter)
    assert diameter * 1000 == pytest.approx(overall, abs=1.0)


def test_the_size_on_a_slick_is_no_size_of_a_road_tyre() -> None:
    """Racing slicks are marked width / overall diameter R rim, mm and inches (the trade's marking)."""
    with pytest.raises(OutOfRange) as refused:
        tyre_sizes.read_tyre("200/540R13")
    assert "overall diameter in millimetres" in refused.value.help
    with pytest.raises(OutOfRange) as refused:
        tyre_sizes.read_tyre("200/110R13")
    assert refused.value.help == ""
