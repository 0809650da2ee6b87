"""Tube of exhausts: against geometry, gauge tables and data sheets."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import tube

CELSIUS = 273.15


def by_metre(material: str, diameter: float, wall: float) -> float:
    return tube.mass_per_metre(tube.wall_section(diameter, wall), tube.MATERIALS[material].density)


def growth(material: str, length: float, cold: float, hot: float) -> float:
    low, high, first, second = tube.MATERIALS[material].expansion_about(hot + CELSIUS)
    expansion = tube.mean_expansion(hot + CELSIUS, low, high, first, second)
    return tube.thermal_growth(expansion, length, hot + CELSIUS, cold + CELSIUS)


def test_mass_by_length() -> None:
    # π/4 (D² − d²) ρ, 50.8 × 1.2 mm: 8000 kg/m³ gives 1.49590075793 kg/m, 4510 gives 0.843314052285
    assert by_metre("stainless-304", 0.0508, 0.0012) == pytest.approx(1.49590075793, rel=1e-9)
    assert by_metre("titanium-2", 0.0508, 0.0012) == pytest.approx(0.843314052285, rel=1e-9)
    # EN 10217-7 practice, kg/m = (D − s) s × 0.02491 for austenitic tube of 7.93 kg/dm³ (from memory)
    assert by_metre("stainless-304", 0.060, 0.0015) == pytest.approx(58.5 * 1.5 * 0.02491, rel=0.01)


def test_densities_of_data_sheets() -> None:
    sheets = {
        "stainless-304": (8000, 40),  # ASM data sheet 8.00; others 7.90 to 8.03
        "stainless-321": (7970, 50),  # ASM 8.00, tube maker 7.92, another 8.027
        "stainless-409": (7775, 40),  # two sheets 7.80, another 7.75
        "titanium-2": (4510, 10),  # ASM, Titanium Grade 2, annealed
        "mild-steel": (7860, 15),  # EN 1993-1-2, 7850 (as a handbook has it, read); SAE 1010 7872
    }
    for name, (density, spread) in sheets.items():
        assert tube.MATERIALS[name].density == pytest.approx(density, abs=spread)
    assert set(sheets) == set(tube.MATERIALS)


def test_growth_by_the_data_sheets() -> None:
    # ASM data sheets, mean from 0 to 315 °C: 304 17.8e-6, titanium 9.2e-6; 1.2 m from 20 to 315 °C
    assert growth("stainless-304", 1.2, 20, 315) == pytest.approx(6.3012e-3, rel=1e-9)
    assert growth("titanium-2", 1.2, 20, 315) == pytest.approx(3.2568e-3, rel=1e-9)
    # 0–100 °C: 304 17.3e-6 (16.5 to 17.3 across sheets), titanium 8.6e-6 to 93 °C
    assert growth("stainless-304", 1.0, 0, 100) == pytest.approx(1.73e-3, rel=1e-9)
    assert growth("titanium-2", 1.0, 20, 93) == pytest.approx(8.6e-6 * 73, rel=1e-9)
    # 321, tube maker's sheet: 16.6e-6 to 100 °C, 18.9e-6 from 20 to 600 °C, 20.5e-6 to 1000 °C
    assert growth("stainless-321", 1.0, 20, 600) == pytest.approx(18.9e-6 * 580, rel=0.02)
    # 304, another sheet: 10.2e-6/°F from 0 to 538 °C
    assert growth("stainless-304", 1.0, 0, 538) == pytest.approx(10.2e-6 * 1.8 * 538, rel=0.005)


@pytest.mark.parametrize("hot", [100, 200, 300, 400, 500, 600, 700])
def test_mild_steel_against_eurocode(hot: float) -> None:
    """EN 1993-1-2:2005, 3.4.1.1 (as OpenSees has it, read): Δl/l = 1.2e-5 θ + 0.4e-8 θ² − 2.416e-4, to
    750 °C."""
    code = 1.2e-5 * hot + 0.4e-8 * hot**2 - 2.416e-4
    assert growth("mild-steel", 1.0, 20, hot) == pytest.approx(code, rel=0.006)


def test_mild_steel_has_the_mean_coefficients_of_eurocode() -> None:
    """The same expansion over the step from 20 °C, to the 0.1e-6 that the table is printed to."""
    for celsius, coefficient in tube.MATERIALS["mild-steel"].expansion:
        code = 1.2e-5 * celsius + 0.4e-8 * celsius**2 - 2.416e-4
        assert coefficient == pytest.approx(code / (celsius - 20), abs=0.05e-6)
    assert [celsius for celsius, _ in tube.MATERIALS["mild-steel"].expansion] == [100, 300, 500, 700]


@pytest.mark.parametrize(
    ("material", "sheet"),
    # Mean coefficients from 0 or 20 °C, 1e-6/K, by the upper temperature: the makers' and ASM's data sheets
    # that the kind `exhaust` names (304, 409 and titanium from memory too)
    [
        ("stainless-304", {100: 17.3, 315: 17.8, 538: 18.4, 650: 18.7}),
        ("stainless-321", {100: 16.7, 315: 17.1, 540: 18.5, 925: 20.5}),
        ("stainless-409", {100: 11.0, 315: 11.7, 538: 12.4}),
        ("titanium-2", {93: 8.6, 315: 9.2, 540: 9.7}),
    ],
)
def test_expansion_of_the_data_sheets(material: str, sheet: dict[int, float]) -> None:
    """At a printed temperature its own coefficient holds, and half way between two their mean."""
    printed = [(celsius, coefficient * 1e-6) for celsius, coefficient in sheet.items()]
    for celsius, coefficient in printed:
        assert growth(material, 1.0, 0, celsius) == pytest.approx(coefficient * celsius, rel=1e-9)
    for (low, first), (high, second) in pairwise(printed):
        middle = (low + high) / 2
        assert growth(material, 1.0, 0, middle) == pytest.approx((first + second) / 2 * middle, rel=1e-9)
    with pytest.raises(OutOfRange) as refused:
        growth(material, 1.0, 0, printed[-1][0] + 1)
    assert refused.value.expected == f"at most {printed[-1][0]} °C for {tube.MATERIALS[material].name}"


def test_gauges() -> None:
    # Public tables of wire gauges beside each other (read): SWG of BS 3737:1964, BWG as for tubes
    swg = {14: 0.080, 16: 0.064, 17: 0.056, 18: 0.048, 19: 0.040, 20: 0.036, 22: 0.028}
    bwg = {14: 0.083, 16: 0.065, 17: 0.058, 18: 0.049, 19: 0.042, 20: 0.035, 22: 0.028}
    table = {f"{number}-SWG": inches for number, inches in swg.items()}
    table |= {f"{number}-BWG": inches for number, inches in bwg.items()}
    assert set(tube.GAUGES) == set(table)
    for name, inches in table.items():
        assert tube.GAUGES[name] == pytest.approx(inches * 0.0254, rel=1e-9)
    for system in ("SWG", "BWG"):
        walls = [wall for name, wall in tube.GAUGES.items() if name.endswith(system)]
        assert walls == sorted(walls, reverse=True)


@for_all(st.floats(0.02, 0.15), st.floats(0.0005, 0.004))
def test_wall_is_a_ring(diameter: float, wall: float) -> None:
    bore = tube.bore_of_tube(diameter, wall)
    assert tube.wall_section(diameter, wall) == pytest.approx(pi / 4 * (diameter**2 - bore**2), rel=1e-9)


@for_all(st.sampled_from(list(tube.MATERIALS)), st.floats(20, 500), st.floats(1, 40))
def test_hotter_is_longer(material: str, hot: float, more: float) -> None:
    assert growth(material, 1.0, 20, hot + more) > growth(material, 1.0, 20, hot)
    assert growth(material, 2.0, 20, hot) == pytest.approx(2 * growth(material, 1.0, 20, hot))


def test_sums() -> None:
    assert tube.mass_of_length(1.5, 2.0, 3.0) == 9
    assert tube.mass_of_pieces(2.5, 2.0) == 5
    assert tube.mass_with(2.0, 3.0) == 5
    assert tube.total_growth(0.002, 0.001) == pytest.approx(0.003)
    assert tube.bend_length(0.12, pi / 2) == pytest.approx(0.1884956, rel=1e-6)  # a quarter of 2 π 0.12 m


def test_there_are_no_data_above_the_last() -> None:
    with pytest.raises(OutOfRange, match="wall_temperature: found 600 °C, expected at most 540 °C for titan"):
        growth("titanium-2", 1.0, 20, 600)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: tube.bore_of_tube(0.05, 0.024), "wall_thickness"),
        (lambda: tube.wall_section(0.05, 0.0), "wall_thickness"),
        (lambda: tube.mass_per_metre(1e-4, 0.0), "density"),
        (lambda: tube.mass_of_length(1.0, 0.0, 1.0), "length"),
        (lambda: tube.mass_of_pieces(0.0, 1.0), "mass"),
        (lambda: tube.mass_with(-1.0, 1.0), "mass"),
        (lambda: tube.bend_length(0.1, 0.0), "angle"),
        (lambda: tube.mean_expansion(900.0, 373.0, 588.0, 1e-5, 1e-5), "temperature"),
        (lambda: tube.thermal_growth(1e-5, 1.0, 290.0, 300.0), "temperature"),
        (lambda: tube.total_growth(-1.0, 0.0), "growth"),
    ],
)
def test_ranges(call: object, name: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        call()  # type: ignore[operator]
    assert refused.value.name == name
