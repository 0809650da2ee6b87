"""Fit of wheels and tyres: hand geometry, printed measuring rims, a published speedometer example."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.calculator import Working
from buildlog.calculators import wheel_fit
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
from buildlog.physics import wheels
from buildlog.physics.tyres import read_tyre

INCH, MM = 0.0254, 0.001
GIVEN = {
    "standard_rim_width": 7 * INCH, "standard_offset": 48 * MM, "standard_tyre": read_tyre("205/55R16 91V"),
    "rim_width": 8 * INCH, "offset": 35 * MM, "tyre": read_tyre("225/45R17 91W"), "rolling_factor": 3.05,
}  # fmt: skip


def run(**changed: object) -> tuple[dict, Working]:
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
        standard_tyre=read_tyre("185/70R14"), tyre=read_tyre("195/50R15"), standard_rim_width=5.5 * INCH,
        rim_width=6 * INCH,
    )  # fmt: skip
    assert outputs["indicated_over_true"] == pytest.approx(1.067014, abs=1e-6)


@pytest.mark.parametrize(
    ("size", "inches"),
    # Measuring rims as tyre makers' data books print them (from memory, sure)
    [
        ("155/80R13", 4.5), ("175/65R14", 5.0), ("185/60R14", 5.5), ("185/70R14", 5.5), ("185/55R15", 6.0),
        ("195/50R15", 6.0), ("205/55R16", 6.5), ("205/45R17", 7.0), ("215/45R17", 7.0), ("225/45R17", 7.5),
        ("225/40R18", 8.0), ("235/35R19", 8.5),
    ],
)  # fmt: skip
def test_measuring_rims(size: str, inches: float) -> None:
    tyre = read_tyre(size)
    assert wheels.measuring_rim(tyre.section_width, tyre.aspect_ratio) / INCH == pytest.approx(inches)


def test_half_an_inch_of_rim_is_five_millimetres_of_tyre() -> None:
    """0.4 × 12.7 mm = 5.08 mm; the trade says 5 mm for half an inch (common practice, no source)."""
    wide = wheels.mounted_section_width(0.205, 7 * INCH, 6.5 * INCH)
    assert (wide - 0.205) / MM == pytest.approx(5.08)


def test_clearances_left() -> None:
    outputs, working = run(
        rim_clearance_inside=22 * MM, tyre_clearance_outside=31 * MM, arch_clearance=60 * MM
    )
    assert outputs["rim_clearance_inside_left"] / MM == pytest.approx(22.3)
    moved = outputs["outer_sidewall_movement"]
    assert outputs["tyre_clearance_outside_left"] == pytest.approx(0.031 - moved)
    assert outputs["arch_clearance_left"] / MM == pytest.approx(60 - (634.3 - 631.9) / 2)
    assert not any("touches" in remark for remark in working.remarks)
    _, tight = run(tyre_clearance_outside=10 * MM)
    assert any("touches" in remark for remark in tight.remarks)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({}, "allowed: 8 in lies within 7 to 8.5 in (ETRTO (from memory))"),
        ({"rim_width": 9 * INCH}, "not allowed: 9 in"),
        (
            {"narrowest_rim": 7 * INCH, "widest_rim": 7.5 * INCH},
            "not allowed: 8 in lies outside 7 to 7.5 in (the",
        ),
        ({"tyre": read_tyre("245/40R17")}, "not known here"),
    ],
)
def test_rim_and_tyre(changed: dict, words: str) -> None:
    outputs, _ = run(**changed)
    assert str(outputs["rim_and_tyre"]).startswith(words)


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
        ({"rim_width": 12 * INCH}, OutOfRange, "rim_width"),
    ],
)
def test_refusals(changed: dict, error: type, name: str) -> None:
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
