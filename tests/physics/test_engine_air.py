"""What an engine draws and what its power does: against definitions and published correction forms."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import compressible, engine_air

RPM = pi / 30


# Heywood (1988), 2.10, by hand: 2.0 l, 7000 rpm, 95 %: 0.95 · 0.002 · 7000/60/2 = 0.1108333 m³/s, 234.84
# ft³/min (NIST SP 811: 1 ft³/min = 4.719474e-4 m³/s).
def test_air_demand() -> None:
    flow = engine_air.air_demand(0.002, 7000 * RPM, 0.95)
    assert flow == pytest.approx(0.110833333333, rel=1e-9)
    assert flow / 4.719474e-4 == pytest.approx(234.8425, rel=1e-6)


# Heywood (1988), eq. 2.9, by hand: 86 mm, 7000 rpm: 2 · 0.086 · 7000/60 = 20.0666667 m/s
def test_mean_piston_speed() -> None:
    assert engine_air.mean_piston_speed(0.086, 7000 * RPM) == pytest.approx(20.0666666667, rel=1e-9)


def test_mass_flow_is_density_times_flow() -> None:
    assert engine_air.mass_flow(1.2, 0.11) == pytest.approx(0.132)


# Ideal gas law: +10 K from 298.15 K at constant pressure: 298.15/308.15 − 1 = −3.245173 %
def test_density_change_with_temperature() -> None:
    assert engine_air.density_gain(1e5, 298.15, 0, 10) == pytest.approx(-0.0324517280545, rel=1e-9)


# Gas brought to rest without loss is an isentrope: ρ_t/ρ = (1 + 0.2 M²)^2.5 (NACA 1135, eq. 45, γ = 1.4).
# A textbook's table for k = 1.4 prints ρ/ρ_t = 0.9950 at Mach 0.10 (read).
@pytest.mark.parametrize("mach", [0.05, 0.1, 0.3])
def test_density_gain_of_full_ram_is_isentropic(mach: float) -> None:
    rise = compressible.stagnation_pressure_rise(1e5, mach, 1.4)
    warming = compressible.stagnation_temperature_rise(290, mach, 1.4)
    gain = engine_air.density_gain(1e5, 290, rise, warming)
    assert gain == pytest.approx((1 + 0.2 * mach**2) ** 2.5 - 1, rel=1e-9)
    if mach == 0.1:
        assert 1 / (1 + gain) == pytest.approx(0.9950, abs=5e-5)


# SAE J1349 (June 1990): corrected power = power (1.18 c − 0.18), η_m = 85 % (from secondary quotes). Its
# slope in c is 1.18, printed to 0.01.
def test_bound_has_the_slope_of_j1349() -> None:
    assert (engine_air.power_bound(1000, 100_000, 0.85) - 1) / 0.01 == pytest.approx(1.18, abs=0.005)


@given(st.floats(0.02, 0.36), st.floats(0.05, 1), st.floats(0, 0.02))
def test_bound_lies_above_the_published_rules(mach: float, recovery: float, loss: float) -> None:
    """Above ISO 1585 / UN R85, (p_2/p)^1.2 (T/T_2)^0.6, and above density, for air warmed by the ram."""
    p, t = 1e5, 295.0
    rise = recovery * compressible.stagnation_pressure_rise(p, mach, 1.4) - loss * p
    warming = compressible.stagnation_temperature_rise(t, mach, 1.4)
    if rise <= 0:
        return  # a bound on what is gained; below ambient friction makes a loss of more
    bound = engine_air.power_bound(rise, p, 0.85) - 1
    assert bound >= (1 + rise / p) ** 1.2 * (t / (t + warming)) ** 0.6 - 1
    assert bound >= engine_air.density_gain(p, t, rise, warming) - 1e-12


@given(st.floats(-0.4, 0.2), st.floats(0.5, 0.98))
def test_bound_goes_further_from_one_the_more_friction_there_is(rise: float, efficiency: float) -> None:
    bound = engine_air.power_bound(rise * 1e5, 1e5, efficiency)
    less = engine_air.power_bound(rise * 1e5, 1e5, efficiency + 0.02)
    assert abs(bound - 1) >= abs(less - 1)
    assert (bound > 1) == (rise > 0) or abs(rise) < 1e-12


# Form of SAE J1349 and DIN 70020, √(T_1/T_2) − 1, and ideal gas, T_1/T_2 − 1, from 298.15 to 308.15 K.
def test_rules_for_temperature() -> None:
    root = engine_air.power_change_square_root_rule(298.15, 308.15)
    assert root == pytest.approx(-0.0163596836519, rel=1e-9)
    density = engine_air.density_change_with_temperature(298.15, 308.15)
    assert density == pytest.approx(-0.0324517280545, rel=1e-9)
    assert engine_air.power_change_density_rule(density) == density


def test_range_errors_name_the_parameter() -> None:
    with pytest.raises(OutOfRange, match="displacement: found 0, expected more than 0"):
        engine_air.air_demand(0, 100, 1)
    with pytest.raises(OutOfRange, match=r"volumetric_efficiency: found 2, expected 0.1 to 1.5"):
        engine_air.air_demand(0.002, 100, 2)
    with pytest.raises(OutOfRange, match="engine_speed: found -1"):
        engine_air.mean_piston_speed(0.08, -1)
    with pytest.raises(OutOfRange, match="volume_flow: found -1"):
        engine_air.mass_flow(1.2, -1)
    with pytest.raises(OutOfRange, match="temperature_rise"):
        engine_air.density_gain(1e5, 300, 0, -299)
    with pytest.raises(OutOfRange, match="pressure_rise"):
        engine_air.density_gain(1e5, 300, -2e5, 0)
    with pytest.raises(OutOfRange, match=r"mechanical_efficiency: found 1.1, expected 0.5 to 1"):
        engine_air.power_bound(1000, 1e5, 1.1)
    with pytest.raises(OutOfRange, match="temperature_after: found 0"):
        engine_air.power_change_square_root_rule(300, 0)
    with pytest.raises(OutOfRange, match="temperature_before: found -1"):
        engine_air.density_change_with_temperature(-1, 300)
    with pytest.raises(OutOfRange, match="density_change: found -2"):
        engine_air.power_change_density_rule(-2)
