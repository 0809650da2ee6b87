"""Fit of wheels and tyres: hand geometry, printed measuring rims, a published speedometer example."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, sin
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.limits import remarks_of_limits
from buildlog.calculators import wheel_fit
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import BarSpec, ChartSpec, Working
from buildlog.kinds.results import Value
from buildlog.physics import wheels
from buildlog.physics.tyre_sizes import read_tyre
from buildlog.physics.tyres import overall_diameter
from tests.calculators.seen import seen

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


def cautions(outputs: dict[str, Any], working: Working) -> list[str]:
    """What a card would say of limits, were nothing uncertain."""
    return list(
        remarks_of_limits(
            working.limits,
            {
                name: {key: _value(one) for key, one in value.items()}
                if isinstance(value, dict)
                else _value(value)
                for name, value in outputs.items()
                if not isinstance(value, str)
            },
        )
    )


def _value(si: float) -> Value:
    return Value(si=si, dimension="length", unit="mm", decimals=1)


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
    assert "reads less" in working.remarks[0]


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
    assert not any("touches" in one for one in cautions(outputs, working))
    assert any("touches" in one for one in cautions(*run(tyre_clearance_outside=10 * MM)))
    near = cautions(*run(rim_clearance_outside=27 * MM))
    assert near == ["Rim clearance outside: less than 5 mm is left. Do not drive it so."]


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
    assert cautions(outputs, working) == []
    tight = run(points=[ACROSS | {"clearance": 1 * MM, "angle": pi / 2}])
    assert cautions(*tight) == ["arm: it touches. Do not drive it so."]


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
    ("standard", "tyre", "is_told"),
    [
        ("205/55R16 91V", "225/45R17", True),
        ("205/55R16", "225/45R17 91W", True),
        ("205/55R16", "225/45R17", False),
        ("205/55R16 91V", "225/45R17 91W", False),
    ],
)
def test_indices_that_one_tyre_alone_has_are_told_of(standard: str, tyre: str, is_told: bool) -> None:
    """Where neither has them, nobody expects a comparison."""
    outputs, working = run(standard_tyre=read_tyre(standard), tyre=read_tyre(tyre))
    told = any(one.startswith("Load index and speed symbol are not compared") for one in working.remarks)
    assert told == is_told
    assert str(outputs["indices"]).startswith("not compared") == ("91V" not in standard or "91W" not in tyre)


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


# --- spacers, camber, strut and wing as they stand ------------------------------------------


def test_reach_from_the_hub_face() -> None:
    """An offset of +20 mm puts the middle of the wheel 20 mm inboard of the hub face (read; a public page
    of the trade on offsets): of 230 mm, 135 mm lie inboard and 95 mm outboard. A spacer of 15 mm
    moves both."""
    measured = {"section_width": 230 * MM, "offset": 20 * MM}
    outputs, _ = run(hub_face_to_strut=150 * MM, hub_face_to_wing=120 * MM, **measured)
    assert outputs["strut_clearance_left"] / MM == pytest.approx(15)
    assert outputs["wing_clearance_left"] / MM == pytest.approx(25)
    spaced, _ = run(hub_face_to_strut=150 * MM, hub_face_to_wing=120 * MM, spacer=15 * MM, **measured)
    assert spaced["strut_clearance_left"] / MM == pytest.approx(30)
    assert spaced["wing_clearance_left"] / MM == pytest.approx(10)
    assert spaced["track_change"] / MM == pytest.approx(2 * (48 - 20 + 15))


@given(st.floats(0, 40), st.floats(-20, 60), st.floats(150, 240))
def test_two_ways_to_the_same_gap(spacer: float, offset: float, reach: float) -> None:
    """A gap measured at the standard wheel and one from the hub face are the same gap (plane geometry)."""
    standard, _ = run()
    before = standard["standard_section_width"] / 2 + GIVEN["standard_offset"]
    outputs, _ = run(
        hub_face_to_strut=reach * MM + before,
        tyre_clearance_inside=reach * MM,
        offset=offset * MM,
        spacer=spacer * MM,
    )
    assert outputs["strut_clearance_left"] == pytest.approx(outputs["tyre_clearance_inside_left"], abs=1e-12)


@given(st.floats(-4, 1), st.floats(-4, 1), st.floats(-250, 250))
def test_camber_turns_the_wheel_as_a_body(new: float, old: float, height: float) -> None:
    """A point 135 mm inboard and `height` over the hub, turned with the whole wheel about the line through
    the hub (rotation of a rigid body): what the formula leaves out is 135 mm times the change of
    the cosines."""

    def outboard(degrees: float) -> float:
        angle = radians(degrees)
        return -135 * MM * cos(angle) + height * MM * sin(angle)

    moved = wheels.outward_by_camber(height * MM, radians(new), radians(old))
    left_out = 135 * MM * abs(cos(radians(new)) - cos(radians(old)))
    assert abs(moved - (outboard(new) - outboard(old))) <= left_out + 1e-15
    assert left_out < 0.35 * MM


def test_camber_at_the_strut_and_at_the_wing() -> None:
    """−1° to −3°, 200 mm over the hub: sin 3° − sin 1° is 0.034884, 6.98 mm nearer to the strut and farther
    from the wing (by hand)."""
    gaps = {"tyre_clearance_inside": 30 * MM, "tyre_clearance_outside": 30 * MM}
    camber = {
        "standard_camber": radians(-1),
        "camber": radians(-3),
        "inside_height": 200 * MM,
        "outside_height": 200 * MM,
    }
    straight, leaning = run(**gaps)[0], run(**gaps, **camber)[0]
    inside = straight["tyre_clearance_inside_left"] - leaning["tyre_clearance_inside_left"]
    outside = straight["tyre_clearance_outside_left"] - leaning["tyre_clearance_outside_left"]
    assert (inside / MM, outside / MM) == pytest.approx((6.977, -6.977), abs=1e-3)


def test_full_lock_is_the_point_of_that_angle() -> None:
    """The same gap as `lock_clearance` and as a point (regression)."""
    outputs, _ = run(lock_clearance=20 * MM, full_lock=radians(34), points=[ACROSS | {"angle": radians(34)}])
    assert outputs["lock_clearance_left"] == pytest.approx(outputs["clearance_left"]["arm"])


# --- slicks -----------------------------------------------------------------------------------

SLICK = {"tyre": None, "overall_diameter": 580 * MM, "section_width": 248 * MM, "rim_diameter": 13 * INCH}


def test_a_slick_as_measured() -> None:
    """580 mm against 631.9 mm: 25.95 mm off the radius; 248 mm at ET35 against 220 mm at ET48 (by hand)."""
    outputs, working = run(**SLICK, arch_clearance=40 * MM, standard_section_width=220 * MM)
    assert outputs["arch_clearance_left"] / MM == pytest.approx(40 + 25.95)
    assert outputs["outer_sidewall_movement"] / MM == pytest.approx(28 / 2 + 13)
    assert "indicated_over_true" not in outputs
    assert str(outputs["indices"]).startswith("not compared")
    assert str(outputs["rim_and_tyre"]).startswith("not known here")
    assert any("speedometer" in remark for remark in working.remarks)
    rolled, _ = run(**SLICK, measured_circumference=1.78, standard_measured_circumference=1.925)
    assert rolled["indicated_over_true"] == pytest.approx(1.925 / 1.78)


def test_a_diagonal_tyre_as_measured() -> None:
    """6.00-13 says no height: by what was measured the gaps are known, its reading is not."""
    measured = {"tyre": read_tyre("6.00-13"), "overall_diameter": 600 * MM}
    outputs, _ = run(**measured, section_width=155 * MM, arch_clearance=40 * MM)
    assert outputs["arch_clearance_left"] / MM == pytest.approx(40 + (631.9 - 600) / 2)
    assert "indicated_over_true" not in outputs
    card, _ = run(**measured, section_width=155 * MM, narrowest_rim=4 * INCH, widest_rim=5.5 * INCH)
    assert str(card["rim_and_tyre"]).startswith("not allowed: 8 in")
    with pytest.raises(MissingInput) as refused:
        run(**measured)
    assert refused.value.name == "section_width"


def test_a_measured_diameter_goes_before_the_size() -> None:
    outputs, _ = run(overall_diameter=640 * MM)
    assert outputs["radius_change"] / MM == pytest.approx((640 - 631.9) / 2)


@pytest.mark.parametrize(
    ("size", "rim", "diameters", "width"),
    # Two of a tyre maker's public sheets of light-truck sizes (read; stored public pages), in inches:
    # measuring rim, diameters, and the width in the road pattern (the mud
    # pattern of the 315 is 4.6 % over its size)
    [
        ("LT235/85R16", 6.5, (31.7, 32.0), 9.3),
        ("LT245/75R16", 7.0, (30.5, 30.7), 9.8),
        ("LT265/75R16", 7.5, (31.7, 31.9), 10.5),
        ("LT285/75R16", 8.0, (32.8, 33.1), 11.3),
        ("LT305/70R16", 9.0, (32.8, 33.0), 12.2),
        ("LT315/75R16", 8.5, (34.6, 34.9), 12.3),
    ],
)
def test_light_truck_sizes_of_a_printed_sheet(
    size: str, rim: float, diameters: tuple[float, ...], width: float
) -> None:
    """Each within the doubts: 3.5 % of the sidewall's height on both sides, and 4 % of the width."""
    tyre = read_tyre(size)
    assert wheels.measuring_rim(tyre.section_width, tyre.aspect_ratio) / INCH == pytest.approx(rim)
    nominal = overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter)
    spread = 2 * 0.035 * tyre.section_width * tyre.aspect_ratio
    for diameter in diameters:
        assert abs(diameter * INCH - nominal) <= spread
    assert mounted(size, rim) / INCH == pytest.approx(width, rel=0.04)


# --- cautions by value − U ----------------------------------------------------------------------


def test_a_caution_counts_the_uncertainty() -> None:
    """11 ± 6 mm beside rubber may be less than 10 mm, 17 ± 6 mm is not (JCGM 100:2008, 6.2.1, k = 2)."""
    _, working = run(tyre_clearance_outside=31 * MM)
    for value, said in ((11, True), (17, False)):
        left = Value(
            si=value * MM, dimension="length", unit="mm", decimals=1, contributions={"width": 3 * MM}
        )
        limits = [one for one in working.limits if one.output == "tyre_clearance_outside_left"]
        assert bool(list(remarks_of_limits(limits, {"tyre_clearance_outside_left": left}))) is said


def test_rubber_wants_more_than_metal() -> None:
    """The limits of the manual page: 5 mm beside a lip, 10 mm beside rubber (common practice, no source)."""
    _, working = run(rim_clearance_inside=30 * MM, tyre_clearance_inside=30 * MM, arch_clearance=30 * MM)
    least = {limit.output: limit.least for limit in working.limits}
    assert least == {
        "rim_clearance_inside_left": 0.005,
        "tyre_clearance_inside_left": 0.010,
        "arch_clearance_left": 0.010,
    }


def test_the_chart_is_coloured_by_caution() -> None:
    given = GIVEN | {
        "rim_clearance_inside": 22 * MM,
        "tyre_clearance_outside": 31 * MM,
        "arch_clearance": 5 * MM,
    }
    case = seen(wheel_fit.compute, given)
    unsure = replace(case, uncertainties={("tyre_clearance_outside_left", ""): 6 * MM})
    left, sections = wheel_fit.chart({"": unsure})
    assert isinstance(left, BarSpec)
    assert [(bar.label, bar.tone) for bar in left.bars] == [
        ("inner lip", "good"),
        ("outer sidewall", "near"),
        ("arch", "bad"),
    ]
    assert left.bars[1].low == pytest.approx(left.bars[1].value - 6 * MM)
    assert len(wheel_fit.chart({"": seen(wheel_fit.compute, GIVEN)})) == 1
    assert isinstance(sections, ChartSpec)
    # the outermost point of the standard tyre: half its width less its offset, outboard of the hub face
    assert max(sections.series[0].x) == pytest.approx(case.outputs["standard_section_width"] / 2 - 48 * MM)


@pytest.mark.parametrize(
    ("changed", "error", "name"),
    [
        ({"tyre": None}, MissingInput, "overall_diameter"),
        (SLICK | {"rim_diameter": None}, MissingInput, "rim_diameter"),
        (SLICK | {"overall_diameter": 0.33}, InputsConflict, "overall_diameter"),
        ({"tyre": read_tyre("6.00-13")}, MissingInput, "tyre"),
        ({"measured_circumference": 1.9}, MissingInput, "standard_measured_circumference"),
        ({"standard_measured_circumference": 1.9}, MissingInput, "measured_circumference"),
        ({"camber": -0.02}, MissingInput, "standard_camber"),
        ({"lock_clearance": 0.02}, MissingInput, "full_lock"),
        (
            {"camber": -0.02, "standard_camber": -0.01, "tyre_clearance_inside": 0.02},
            MissingInput,
            "inside_height",
        ),
        (
            {"camber": -0.02, "standard_camber": -0.01, "points": [ACROSS | {"angle": 0.0}]},
            MissingInput,
            "points",
        ),
    ],
)
def test_refusals_of_what_is_half_given(changed: dict[str, Any], error: type[Refused], name: str) -> None:
    with pytest.raises(error) as refused:
        run(**changed)
    assert refused.value.name == name
    assert refused.value.expected


@pytest.mark.parametrize("seed", range(8))
def test_wheels_set_up_point_by_point(seed: int) -> None:
    """Each wheel as points from the hub face, turned by its camber about the middle of the hub (numpy), held
    against a wall and a wing that stand still. Source: geometry; offset is from the hub face to the middle of
    the rim (ISO 3911), a spacer takes its thickness off it."""
    random = np.random.default_rng(seed)
    widths = random.choice([5.5, 6.0, 6.5, 7.0, 7.5, 8.0], 2) * INCH
    offsets = random.uniform(15, 50, 2) * MM
    sections, cambers = random.uniform(180, 230, 2) * MM, np.radians(random.uniform(-3, 1, 2))
    spacers = np.array([0.0, random.choice([0.0, 5.0, 12.0])]) * MM
    inside, outside = random.uniform(-0.05, 0.28, 2)

    def across(wheel: int, half: float, height: float) -> float:
        """How far outboard a point of the wheel is that was at this height when it stood upright, as the
        block has it: moved by the sine of the camber."""
        middle = spacers[wheel] - offsets[wheel]
        turn = np.array(
            [[cos(cambers[wheel]), sin(cambers[wheel])], [-sin(cambers[wheel]), cos(cambers[wheel])]]
        )
        return float(middle + half + (turn @ np.array([0.0, height]))[0])

    outputs, _ = run(
        standard_rim_width=widths[0],
        rim_width=widths[1],
        standard_offset=offsets[0],
        offset=offsets[1],
        spacer=spacers[1],
        standard_section_width=sections[0],
        section_width=sections[1],
        standard_camber=cambers[0],
        camber=cambers[1],
        inside_height=inside,
        outside_height=outside,
        rim_clearance_inside=35 * MM,
        tyre_clearance_inside=40 * MM,
        tyre_clearance_outside=50 * MM,
    )
    rim = 35 * MM + across(1, -widths[1] / 2, inside) - across(0, -widths[0] / 2, inside)
    inner = 40 * MM + across(1, -sections[1] / 2, inside) - across(0, -sections[0] / 2, inside)
    outer = 50 * MM - across(1, sections[1] / 2, outside) + across(0, sections[0] / 2, outside)
    assert outputs["rim_clearance_inside_left"] == pytest.approx(rim, abs=1e-9)
    assert outputs["tyre_clearance_inside_left"] == pytest.approx(inner, abs=1e-9)
    assert outputs["tyre_clearance_outside_left"] == pytest.approx(outer, abs=1e-9)
    new, old = (across(wheel, 0, 0) for wheel in (1, 0))
    assert outputs["track_change"] == pytest.approx(2 * (new - old), abs=1e-9)
