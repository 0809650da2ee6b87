"""Fit of wheels and tyres: hand geometry, printed measuring rims, a published speedometer example."""

from __future__ import annotations

from math import cos, pi, radians, sin
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.calculators import wheel_fit
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import Working
from buildlog.physics import wheels
from buildlog.physics.tyre_sizes import read_tyre

INCH, MM = 0.0254, 0.001
GIVEN = {
    "standard_rim_width": 7 * INCH,
    "standard_offset": 48 * MM,
    "standard_tyre": read_tyre("205/55R16 91V"),
    "rim_width": 8 * INCH,
    "offset": 35 * MM,
    "tyre": read_tyre("225/45R17 91W"),
    "rolling_factor": 3.05,
}


def run(**changed: object) -> tuple[dict[str, Any], Working]:
    working = Working()
    values = {name: value for name, value in {**GIVEN, **changed}.items() if value is not None}
    return wheel_fit.compute(values, working), working


def test_lips_by_hand() -> None:
    """7.0J ET48 to 8.0J ET35: outer lip 25.7 mm out, inner −0.3 mm in (ΔW/2 ∓ ΔE, geometry of ISO 3911)."""
    outputs, _ = run()
    assert outputs["outer_lip_movement"] / MM == pytest.approx(25.7, abs=1e-9)
    assert outputs["inner_lip_movement"] / MM == pytest.approx(-0.3, abs=1e-9)
    assert outputs["track_change"] / MM == pytest.approx(26)


def test_offset_alone() -> None:
    """The same width, ET45 to ET35: 10 mm out, −10 mm in (geometry)."""
    outputs, _ = run(standard_rim_width=7.5 * INCH, rim_width=7.5 * INCH, standard_offset=45 * MM)
    assert outputs["outer_lip_movement"] / MM == pytest.approx(10)
    assert outputs["inner_lip_movement"] / MM == pytest.approx(-10)


def test_speed_after_the_change() -> None:
    """205/55R16 to 225/45R17: true speed at an indicated 100 km/h is 100.3798 km/h (D2/D1, by hand)."""
    outputs, working = run(cruise_speed=100 / 3.6)
    assert 100 / outputs["indicated_over_true"] == pytest.approx(100.3798, abs=1e-4)
    assert outputs["indicated_speed"] * 3.6 == pytest.approx(100 * 631.9 / 634.3)
    assert "reads low" in working.remarks[0]


def test_a_published_speedometer_example() -> None:
    """185/70R14 to 195/50R15: 1.067014 (a public encyclopaedia's example, recomputed)."""
    outputs, _ = run(
        standard_tyre=read_tyre("185/70R14"),
        tyre=read_tyre("195/50R15"),
        standard_rim_width=5.5 * INCH,
        rim_width=6 * INCH,
    )
    assert outputs["indicated_over_true"] == pytest.approx(1.067014, abs=1e-6)


@pytest.mark.parametrize(
    ("size", "inches"),
    # Measuring rims as tyre makers' data books print them (from memory, sure)
    [
        ("155/80R13", 4.5),
        ("175/65R14", 5.0),
        ("185/60R14", 5.5),
        ("185/70R14", 5.5),
        ("185/55R15", 6.0),
        ("195/50R15", 6.0),
        ("205/55R16", 6.5),
        ("205/45R17", 7.0),
        ("215/45R17", 7.0),
        ("225/45R17", 7.5),
        ("225/40R18", 8.0),
        ("235/35R19", 8.5),
    ],
)
def test_measuring_rims(size: str, inches: float) -> None:
    tyre = read_tyre(size)
    assert wheels.measuring_rim(tyre.section_width, tyre.aspect_ratio) / INCH == pytest.approx(inches)


@pytest.mark.parametrize(
    ("size", "inches"),
    # A tyre trade's public list of measuring rims (read; a stored public page), P-metric sizes
    [
        ("175/75R14", 5.0),
        ("195/75R15", 5.5),
        ("215/75R15", 6.0),
        ("235/75R15", 6.5),
        ("225/75R15", 6.0),
        ("225/70R15", 6.5),
        ("225/65R16", 6.5),
        ("225/60R15", 6.5),
        ("225/55R15", 7.0),
        ("225/50R15", 7.0),
        ("225/45R17", 7.5),
        ("225/40R18", 8.0),
    ],
)
def test_measuring_rims_of_a_printed_list(size: str, inches: float) -> None:
    tyre = read_tyre(size)
    assert wheels.measuring_rim(tyre.section_width, tyre.aspect_ratio) / INCH == pytest.approx(inches)


def mounted(size: str, rim: float) -> float:
    tyre = read_tyre(size)
    theoretical = wheels.theoretical_rim(tyre.section_width, tyre.aspect_ratio)
    return wheels.mounted_section_width(tyre.section_width, rim * INCH, theoretical)


@pytest.mark.parametrize(("rim", "inches"), [(5.5, 8.03), (6.0, 8.23), (6.5, 8.43), (7.0, 8.63), (7.5, 8.83)])
def test_section_width_of_a_printed_example(rim: float, inches: float) -> None:
    """205/60R15 on five rims, a tyre trade's public text (read; a stored public page), printed to 0.01 in.

    8.23 in is 209 mm rounded; the rows beside it go by 0.2 in, here 0.4 × 0.5 in: 0.03 in in all.
    """
    assert mounted("205/60R15", rim) / INCH == pytest.approx(inches, abs=0.03)


@pytest.mark.parametrize(
    ("size", "rim", "millimetres"),
    # Design section widths on the measuring rim, ETRTO Standards Manual (from memory, sure), to 1 mm
    [
        ("205/60R15", 6.0, 209),
        ("195/65R15", 6.0, 201),
        ("195/50R15", 6.0, 201),
        ("185/60R14", 5.5, 189),
        ("205/55R16", 6.5, 214),
        ("225/50R16", 7.0, 233),
        ("225/45R17", 7.5, 225),
        ("225/40R18", 8.0, 230),
    ],
)
def test_design_section_widths(size: str, rim: float, millimetres: float) -> None:
    assert mounted(size, rim) / MM == pytest.approx(millimetres, abs=0.6)


def test_half_an_inch_of_rim_is_five_millimetres_of_tyre() -> None:
    """UN Regulation No. 30, 6.1.1.1 (read): K = 0.4, so that 12.7 mm of rim are 5.08 mm of tyre."""
    wide = mounted("205/55R16", 7.0)
    assert (wide - mounted("205/55R16", 6.5)) / MM == pytest.approx(5.08)
    outputs, _ = run()
    assert outputs["section_width"] == pytest.approx(mounted("225/45R17", 8.0))
    assert outputs["standard_section_width"] == pytest.approx(wide)


def test_a_measured_width_goes_before_the_rule() -> None:
    """207 to 230 mm, with 13 mm of offset: sidewalls 24.5 mm out and −1.5 mm in (by hand)."""
    outputs, _ = run(standard_section_width=207 * MM, section_width=230 * MM)
    assert outputs["outer_sidewall_movement"] / MM == pytest.approx(24.5)
    assert outputs["inner_sidewall_movement"] / MM == pytest.approx(-1.5)


@pytest.mark.parametrize(
    ("size", "narrowest"),
    # ETRTO Standards Manual, rims for the 80 series, narrowest contour (read, in a stored public copy)
    [
        ("125/80R13", 3.0),
        ("135/80R13", 3.5),
        ("145/80R13", 3.5),
        ("155/80R13", 4.0),
        ("165/80R13", 4.0),
        ("175/80R14", 4.5),
        ("185/80R14", 4.5),
        ("195/80R15", 5.0),
        ("205/80R16", 5.0),
        ("215/80R15", 5.5),
        ("235/80R16", 6.0),
    ],
)
def test_narrowest_rims_of_the_printed_table(size: str, narrowest: float) -> None:
    tyre = read_tyre(size)
    assert wheels.narrowest_rim(tyre.section_width, tyre.aspect_ratio) / INCH == pytest.approx(narrowest)


@pytest.mark.parametrize(
    ("size", "low", "high"),
    [
        # A tyre trade's public text (read)
        ("205/60R15", 5.5, 7.5),
        # Approved rims, ETRTO Standards Manual (from memory, sure)
        ("175/70R13", 4.5, 6.0),
        ("185/70R14", 4.5, 6.0),
        ("205/70R15", 5.0, 7.0),
        ("175/65R14", 5.0, 6.0),
        ("185/65R15", 5.0, 6.5),
        ("195/65R15", 5.5, 7.0),
        ("185/60R14", 5.0, 6.5),
        ("195/60R15", 5.5, 7.0),
        ("185/55R15", 5.0, 6.5),
        ("205/55R16", 5.5, 7.5),
        ("195/50R15", 5.5, 7.0),
        ("205/50R16", 5.5, 7.5),
        ("225/50R16", 6.0, 8.0),
        ("205/45R17", 6.5, 7.5),
        ("215/45R17", 7.0, 8.0),
        ("225/45R17", 7.0, 8.5),
        ("235/45R17", 7.5, 9.0),
        ("215/40R17", 7.0, 8.5),
        ("225/40R18", 7.5, 9.0),
        ("235/40R17", 8.0, 9.5),
        ("255/35R18", 8.5, 10.0),
    ],
)
def test_approved_rims(size: str, low: float, high: float) -> None:
    tyre = read_tyre(size)
    assert wheels.narrowest_rim(tyre.section_width, tyre.aspect_ratio) / INCH == pytest.approx(low)
    assert wheels.widest_rim(tyre.section_width, tyre.aspect_ratio) / INCH == pytest.approx(high)


@given(
    st.integers(25, 71).map(lambda fives: fives * 0.005), st.integers(7, 16).map(lambda fives: fives * 0.05)
)
def test_rims_lie_in_order(width: float, aspect: float) -> None:
    """Narrowest, measuring and widest rim; a wider tyre never has narrower ones."""
    rims = (wheels.narrowest_rim, wheels.measuring_rim, wheels.widest_rim)
    found = [rim(width, aspect) for rim in rims]
    assert found == sorted(found)
    assert all(rim(width + 0.01, aspect) >= one for rim, one in zip(rims, found, strict=True))


def test_clearances_left() -> None:
    outputs, working = run(
        rim_clearance_inside=22 * MM, tyre_clearance_outside=31 * MM, arch_clearance=60 * MM
    )
    assert outputs["rim_clearance_inside_left"] / MM == pytest.approx(22.3)
    outside, _ = run(rim_clearance_outside=40 * MM, tyre_clearance_inside=20 * MM)
    assert outside["rim_clearance_outside_left"] / MM == pytest.approx(14.3)
    assert outside["tyre_clearance_inside_left"] == pytest.approx(0.020 - outside["inner_sidewall_movement"])
    moved = outputs["outer_sidewall_movement"]
    assert outputs["tyre_clearance_outside_left"] == pytest.approx(0.031 - moved)
    assert outputs["arch_clearance_left"] / MM == pytest.approx(60 - (634.3 - 631.9) / 2)
    assert not any("touches" in remark for remark in working.remarks)
    _, tight = run(tyre_clearance_outside=10 * MM)
    assert any("touches" in remark for remark in tight.remarks)
    _, near = run(rim_clearance_outside=27 * MM)
    assert "Rim clearance outside: less than 5 mm is left. Do not drive it so." in near.remarks


ACROSS = {"name": "arm", "part": "inner_sidewall", "clearance": 20 * MM}


def test_points_at_an_angle() -> None:
    """Along the axle a gap loses the side's movement, along a radius the tyre's growth (by hand)."""
    rows = [
        ACROSS | {"name": "arm, along the axle", "angle": 0.0},
        ACROSS | {"name": "arm, along a radius", "angle": pi / 2},
        {"name": "arch", "part": "outer_lip", "clearance": 40 * MM, "angle": pi / 3},
    ]
    outputs, working = run(points=rows)
    left = outputs["clearance_left"]
    assert left["arm,-along-the-axle"] == pytest.approx(20 * MM - outputs["inner_sidewall_movement"])
    assert left["arm,-along-a-radius"] / MM == pytest.approx(20 - (634.3 - 631.9) / 2)
    # the rim grows by half an inch of radius: 25.7 cos 60° + 12.7 sin 60° = 23.849 mm
    assert left["arch"] / MM == pytest.approx(40 - 23.849, abs=0.001)
    assert not any(remark.startswith(("arm", "arch")) for remark in working.remarks)
    _, tight = run(points=[ACROSS | {"clearance": 1 * MM, "angle": pi / 2}])
    assert "arm: it touches. Do not drive it so." in tight.remarks


@given(st.floats(-0.03, 0.03), st.floats(-0.02, 0.02), st.floats(0, 45))
def test_a_gap_across_the_car_at_full_lock(side: float, growth: float, lock: float) -> None:
    """The wheel from above, its corner turned about the steering axis point by point (plane geometry)."""
    angle = radians(lock)

    def across(inner: float, radius: float) -> float:
        """How far inboard the rear inner corner of a turned wheel lies; 100 mm and 300 mm unturned."""
        return inner * cos(angle) + radius * sin(angle)

    nearer = across(0.1 + side, 0.3 + growth) - across(0.1, 0.3)
    assert wheels.movement_across(side, growth, angle) == pytest.approx(nearer, abs=1e-15)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({}, "allowed: 8 in lies within 7 to 8.5 in (usual for the size; the maker's card rules)"),
        ({"rim_width": 7 * INCH}, "allowed: 7 in"),
        ({"rim_width": 8.5 * INCH}, "allowed: 8.5 in"),
        ({"rim_width": 9 * INCH}, "not allowed: 9 in"),
        ({"rim_width": 6.5 * INCH}, "not allowed: 6.5 in"),
        (
            {"narrowest_rim": 7 * INCH, "widest_rim": 7.5 * INCH},
            "not allowed: 8 in lies outside 7 to 7.5 in (the",
        ),
        ({"tyre": read_tyre("245/40R17")}, "allowed: 8 in lies within 8 to 9.5 in"),
        ({"tyre": read_tyre("245/30R19")}, "not known here"),
    ],
)
def test_rim_and_tyre(changed: dict[str, Any], words: str) -> None:
    outputs, working = run(**changed)
    assert str(outputs["rim_and_tyre"]).startswith(words)
    said = any("rim is too" in remark or "not known here" in remark for remark in working.remarks)
    assert said is not words.startswith("allowed")
    assert ("widest_rim" in outputs) is not words.startswith("not known")


def test_which_way_a_rim_is_wrong_is_said() -> None:
    for inches, word in ((6.5, "narrow"), (9.0, "wide")):
        _, working = run(rim_width=inches * INCH)
        assert f"The rim is too {word} for this tyre: 7 to 8.5 in" in " ".join(working.remarks)


@pytest.mark.parametrize(
    ("tyre", "words"),
    [
        ("225/45R17 91W", "not below"),
        ("225/45R17 90W", "lower load"),
        ("225/45R17 91H", "lower speed"),
        ("225/45R17", "not compared"),
    ],
)
def test_indices(tyre: str, words: str) -> None:
    outputs, _ = run(tyre=read_tyre(tyre))
    assert str(outputs["indices"]).startswith(words)


@pytest.mark.parametrize(
    ("changed", "error", "name"),
    [
        ({"widest_rim": 8 * INCH}, MissingInput, "narrowest_rim"),
        ({"narrowest_rim": 8 * INCH, "widest_rim": 7 * INCH}, InputsConflict, "narrowest_rim"),
        ({"narrowest_rim": 7 * INCH}, MissingInput, "widest_rim"),
        ({"rim_width": 12.5 * INCH}, OutOfRange, "rim_width"),
        ({"rim_width": 5 * INCH}, OutOfRange, "rim_width"),
    ],
)
def test_refusals(changed: dict[str, Any], error: type[Refused], name: str) -> None:
    with pytest.raises(error) as refused:
        run(**changed)
    assert refused.value.name == name


@given(st.floats(-0.1, 0.1), st.floats(-0.1, 0.1))
def test_lips_part_by_the_width(width: float, offset: float) -> None:
    """Outer and inner movement add up to the change of width, and differ by twice the offset (geometry)."""
    outer, inner = wheels.outer_lip_movement(width, offset), wheels.inner_lip_movement(width, offset)
    assert outer + inner == pytest.approx(width, abs=1e-15)
    assert inner - outer == pytest.approx(2 * offset, abs=1e-15)


def test_nothing_changes_when_nothing_changes() -> None:
    outputs, _ = run(rim_width=7 * INCH, offset=48 * MM, tyre=read_tyre("205/55R16 91V"))
    for name in ("outer_lip_movement", "inner_lip_movement", "outer_sidewall_movement", "track_change"):
        assert outputs[name] == pytest.approx(0, abs=1e-15)
    assert outputs["indicated_over_true"] == 1


def test_a_rim_far_off_is_refused_in_words() -> None:
    with pytest.raises(
        OutOfRange, match="found -64 mm against the theoretical rim, expected from 50 mm narrower"
    ):
        run(rim_width=5 * INCH)
