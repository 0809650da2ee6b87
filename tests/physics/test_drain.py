"""A drain hole: against Torricelli by hand, Unwin's table and fluids."""

from __future__ import annotations

from math import pi
from typing import Any

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from buildlog.diagnostics import OutOfRange
from buildlog.physics import drain


# Torricelli by hand: √(2 · 9.80665 · 0.1) = 1.400475 m/s; 5 mm: 19.63495 mm²; times 0.61: 1.67739e-5 m³/s.
def test_flow_by_hand() -> None:
    assert drain.drain_flow(0.61, 0.005, 0.1) == pytest.approx(1.677394e-5, rel=1e-6)


# Encyclopædia Britannica, 11th ed. (1911), vol. 14, Hydraulics, § 17: Q = c ω √(2 g h). Its table for a
# round sharp orifice of 0.196 sq. in. under 1 ft has c = 0.620: 0.620 · 0.196/144 · √(64.352) = 6.770e-3
# ft³/s with g = 32.176 ft/s².
def test_flow_of_unwins_orifice() -> None:
    diameter = (4 * 0.196 / pi) ** 0.5 * 0.0254
    flow = drain.drain_flow(0.620, diameter, 0.3048)
    assert flow / 0.3048**3 == pytest.approx(6.770e-3, rel=5e-4)


# fluids 1.3.1: an orifice plate (Reader-Harris/Gallagher, ISO 5167-2) of 12 mm in a 100 mm pipe passes, at
# the coefficient that fluids works out, what Torricelli gives with it; and that coefficient lies in the
# manual's 0.60–0.62.
def test_flow_against_an_orifice_plate() -> None:
    head, density = 0.5, 998.2
    drop = density * 9.80665 * head
    common: dict[str, Any] = {
        "D": 0.1,
        "D2": 0.0125,
        "rho": density,
        "mu": 1.0e-3,
        "k": 1.3,
        "taps": "corner",
    }
    mass = fluids.differential_pressure_meter_solver(
        P1=2e5 + drop, P2=2e5, meter_type="ISO 5167 orifice", epsilon_specified=1.0, **common
    )
    coefficient = fluids.C_Reader_Harris_Gallagher(
        D=0.1, Do=0.0125, rho=density, mu=1.0e-3, m=mass, taps="corner"
    )
    assert 0.60 <= coefficient <= 0.62
    assert drain.drain_flow(coefficient, 0.0125, head) == pytest.approx(mass / density, rel=5e-4)


# A vessel that empties: the time of Q ∝ √h is twice the volume over the first flow (Torricelli). scipy
# 1.17.1.
def test_emptying_time() -> None:
    area, head = 0.04, 0.1
    run = solve_ivp(
        lambda _, h: -drain.drain_flow(0.61, 0.006, max(h[0], 1e-9)) / area,
        (0, 2 * area * head / drain.drain_flow(0.61, 0.006, head) / 2),
        [head],
        rtol=1e-9,
        atol=1e-12,
    )
    assert float(run.y[0, -1]) == pytest.approx(head / 4, rel=1e-5)


# Hydrostatics by hand: 500 Pa over 998.2 kg/m³ hold up 51.08 mm; of 90 mm 38.92 mm are left.
def test_suction_holds_water_up() -> None:
    assert drain.head_left(0.090, 500, 998.2) == pytest.approx(0.03892, abs=5e-6)
    assert drain.head_left(0.090, 0, 998.2) == 0.090


# Laplace, 4 σ/(ρ g d), by hand: 72.74 mN/m, 3 mm: 4 · 0.07274/(998.2 · 9.80665 · 0.003) = 9.908 mm.
def test_skin_over_a_small_hole() -> None:
    assert drain.capillary_head(0.07274, 998.2, 0.003) == pytest.approx(9.908e-3, abs=1e-6)


@given(st.floats(0.3, 1), st.floats(0.001, 0.06), st.floats(0.001, 1), st.floats(1.01, 3))
def test_diameter_undoes_flow_and_scales(c: float, diameter: float, head: float, factor: float) -> None:
    flow = drain.drain_flow(c, diameter, head)
    assert drain.drain_diameter(flow, c, head) == pytest.approx(diameter, rel=1e-12)
    assert drain.drain_flow(c, diameter * factor, head) == pytest.approx(flow * factor**2, rel=1e-12)
    assert drain.drain_flow(c, diameter, head * factor) == pytest.approx(flow * factor**0.5, rel=1e-12)
    assert drain.drain_diameter(flow * factor, c, head) > diameter


# Hydrostatics by hand: a box 489.5 Pa above the air outside pushes like 50 mm of water more.
def test_pressure_in_the_box_helps() -> None:
    assert drain.head_left(0.05, -0.05 * 998.2 * 9.80665, 998.2) == pytest.approx(0.1, rel=1e-12)


# Hydrostatics by hand: 500 Pa hold up 51.08 mm; against 50 mm nothing is left, and nothing runs out.
def test_suction_beyond_the_head() -> None:
    assert drain.head_left(0.05, 500, 998.2) == pytest.approx(0.05 - 0.05108, abs=5e-6)
    assert drain.drain_flow(0.61, 0.006, -0.001) == 0
    assert drain.drain_flow(0.61, 0.006, 0) == 0


def test_range_errors_name_the_parameter() -> None:
    with pytest.raises(OutOfRange, match="chamber_suction: found nan"):
        drain.head_left(0.05, float("nan"), 998.2)
    with pytest.raises(OutOfRange, match=r"discharge_coefficient: found 1\.1, expected 0 to 1"):
        drain.drain_flow(1.1, 0.005, 0.1)
    with pytest.raises(OutOfRange, match="discharge_coefficient: found 0"):
        drain.drain_diameter(1e-5, 0, 0.1)
    with pytest.raises(OutOfRange, match="head: found 0"):
        drain.drain_diameter(1e-5, 0.6, 0)
    with pytest.raises(OutOfRange, match="volume_flow: found 0"):
        drain.drain_diameter(0, 0.6, 0.1)
    with pytest.raises(OutOfRange, match="diameter: found 0"):
        drain.capillary_head(0.07, 998, 0)
