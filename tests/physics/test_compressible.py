"""Compressible flow: against printed tables, fluids and closed forms."""

from __future__ import annotations

from math import sqrt

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import compressible

MPH = 0.44704  # NIST SP 811 (2008), Appendix B, exact


# Compressible flow table for an ideal gas, k = 1.4 (as in NACA Report 1135, Table I), printed to 4 decimals:
# p/p_t 0.9930 at Mach 0.10, 0.9844 at 0.15, 0.5283 at 1; T/T_t 0.9980 at 0.10, 0.8333 at 1.
@pytest.mark.parametrize(("mach", "ratio"), [(0.1, 0.9930), (0.15, 0.9844), (1.0, 0.5283)])
def test_pressure_ratio_table(mach: float, ratio: float) -> None:
    rise = compressible.stagnation_pressure_rise(1.0, mach, 1.4)
    assert 1 / (1 + rise) == pytest.approx(ratio, abs=5e-5)


@pytest.mark.parametrize(("mach", "ratio"), [(0.1, 0.9980), (1.0, 0.8333)])
def test_temperature_ratio_table(mach: float, ratio: float) -> None:
    rise = compressible.stagnation_temperature_rise(1.0, mach, 1.4)
    assert 1 / (1 + rise) == pytest.approx(ratio, abs=5e-5)


# NACA Report 1135 (1953), eq. 44, worked with γ = 1.4, R = 287.05287: 1229.339 Pa at 100 mph, sea level.
def test_ram_pressure_at_100_mph() -> None:
    sound = compressible.speed_of_sound(1.4, 287.05287, 288.15)
    mach = compressible.mach_number(100 * MPH, sound)
    assert compressible.stagnation_pressure_rise(101_325, mach, 1.4) == pytest.approx(1229.339, rel=1e-6)
    # Bernoulli, exact: 1.225 (44.704)² / 2
    assert compressible.dynamic_pressure(1.225, 100 * MPH) == pytest.approx(1224.0491648, rel=1e-9)


# U.S. Standard Atmosphere 1976, Table I: 340.29 m/s at sea level (from memory); CoolProp agrees to 0.1 %.
def test_speed_of_sound_at_sea_level() -> None:
    assert compressible.speed_of_sound(1.4, 287.05287, 288.15) == pytest.approx(340.29, abs=0.005)


# fluids 1.3.1, P_stagnation and T_stagnation_ideal
@pytest.mark.parametrize("speed", [10.0, 44.704, 90.0])
def test_against_fluids(speed: float) -> None:
    sound = compressible.speed_of_sound(1.4, 287.05287, 288.15)
    warming = compressible.stagnation_temperature_rise(288.15, speed / sound, 1.4)
    ideal = fluids.T_stagnation_ideal(T=288.15, V=speed, Cp=3.5 * 287.05287) - 288.15
    assert warming == pytest.approx(ideal, rel=1e-9)
    stagnation = fluids.P_stagnation(P=101_325, T=288.15, Tst=288.15 + warming, k=1.4)
    rise = compressible.stagnation_pressure_rise(101_325, speed / sound, 1.4)
    assert rise == pytest.approx(stagnation - 101_325, rel=1e-7)


@given(st.floats(0.01, 1), st.floats(1.1, 1.6))
def test_stagnation_rise_exceeds_the_dynamic_pressure_by_the_series(mach: float, gamma: float) -> None:
    """p_t − p = q (1 + M²/4 + (2 − γ) M⁴/24 + …): the series of the isentropic relation, q = γ p M²/2."""
    q = gamma * 1e5 * mach**2 / 2
    rise = compressible.stagnation_pressure_rise(1e5, mach, gamma)
    assert rise > q
    if mach < 0.3:
        assert rise / q == pytest.approx(1 + mach**2 / 4 + (2 - gamma) * mach**4 / 24, rel=1e-5)


@given(st.floats(0.01, 0.99))
def test_speed_for_rise_undoes_the_rise(mach: float) -> None:
    rise = compressible.stagnation_pressure_rise(9e4, mach, 1.4)
    if rise < 0.85 * 9e4:
        speed = compressible.speed_for_stagnation_rise(rise, 9e4, 1.4, 340.0)
        assert speed == pytest.approx(mach * 340, rel=1e-8)


# Incompressible limit, Bernoulli: v = √(2 Δp/ρ) as Δp becomes small.
def test_speed_for_small_rise_is_bernoulli() -> None:
    sound = sqrt(1.4 * 101_325 / 1.225)
    assert compressible.speed_for_stagnation_rise(10, 101_325, 1.4, sound) == pytest.approx(
        sqrt(2 * 10 / 1.225), rel=1e-4
    )


def test_range_errors_name_the_parameter() -> None:
    with pytest.raises(OutOfRange, match=r"mach_number: found 1.2, expected 0 to 1"):
        compressible.stagnation_pressure_rise(1e5, 1.2, 1.4)
    with pytest.raises(OutOfRange, match="mach_number"):
        compressible.stagnation_temperature_rise(300, -0.1, 1.4)
    with pytest.raises(OutOfRange, match="heat_capacity_ratio: found 2"):
        compressible.speed_of_sound(2, 287, 300)
    with pytest.raises(OutOfRange, match=r"heat_capacity_ratio: found 1, expected 1\.01"):
        compressible.stagnation_pressure_rise(1e5, 0.1, 1)
    with pytest.raises(OutOfRange, match="speed_of_sound: found 0"):
        compressible.mach_number(10, 0)
    with pytest.raises(OutOfRange, match="density: found 0"):
        compressible.dynamic_pressure(0, 10)
    with pytest.raises(OutOfRange, match="pressure_rise: found -1"):
        compressible.speed_for_stagnation_rise(-1, 1e5, 1.4, 340)


# --- a pipe with friction --------------------------------------------------------------------


def test_fanno_against_a_table() -> None:
    """The open-source package pygasflow, tests/solvers/test_fanno.py (values it took from a course's
    calculator at Virginia Tech; read): γ 1.4, Mach 0.5: 4 f L*/D 1.06906031, p_0/p_0* 1.33984375."""
    assert compressible.friction_to_choking(0.5, 1.4) == pytest.approx(1.06906031, abs=1e-8)
    half, choked = (compressible.total_pressure_of_flux(100.0, m, 287.0, 300.0, 1.4) for m in (0.5, 1.0))
    assert half / choked == pytest.approx(1.33984375, rel=1e-9)
    assert compressible.mach_number_before_friction(1.0, 1.06906031, 1.4) == pytest.approx(0.5, abs=1e-8)


@given(st.floats(0.02, 1.0), st.floats(0, 60), st.floats(1.2, 1.6))
def test_friction_adds_up(mach: float, coefficient: float, ratio: float) -> None:
    before = compressible.mach_number_before_friction(mach, coefficient, ratio)
    left = compressible.friction_to_choking(before, ratio) - compressible.friction_to_choking(mach, ratio)
    assert left == pytest.approx(coefficient, rel=1e-6, abs=1e-6)
    assert before <= mach


@given(st.floats(0.01, 0.99), st.floats(5, 500), st.floats(1.2, 1.6))
def test_mach_number_and_total_pressure_undo_each_other(mach: float, flux: float, ratio: float) -> None:
    total = compressible.total_pressure_of_flux(flux, mach, 290.0, 900.0, ratio)
    found = compressible.mach_number_at_total_pressure(total, flux, 290.0, 900.0, ratio)
    assert found == pytest.approx(mach, rel=1e-9)
    # half of what choking asks for does not go through
    choked = compressible.total_pressure_of_flux(flux, 1.0, 290.0, 900.0, ratio)
    assert compressible.mach_number_at_total_pressure(choked / 2, flux, 290.0, 900.0, ratio) == 1


def test_mach_number_at_an_open_end() -> None:
    """Ideal gas by hand: 0.5 · √(1.3 · 290 · T) at T = 900/(1 + 0.15 · 0.25) K and 1e5 Pa is a flux of
    113.648 kg/(m²·s); more than Mach 1 there is none."""
    t = 900 / (1 + 0.15 * 0.25)
    flux = 1e5 / (290 * t) * 0.5 * sqrt(1.3 * 290 * t)
    assert compressible.mach_number_at_pressure(flux, 1e5, 290.0, 900.0, 1.3) == pytest.approx(0.5, rel=1e-12)
    assert compressible.mach_number_at_pressure(10 * flux, 1e5, 290.0, 900.0, 1.3) == 1
    assert compressible.static_temperature(900.0, 0.5, 1.3) == pytest.approx(t, rel=1e-12)
    assert compressible.sound_at_temperature(600.0, 900.0, 225.0) == 300


def test_a_strong_front() -> None:
    """Normal shock by hand, γ 1.4: Mach 2 has p_2/p_1 4.5 (Wikipedia, Normal shock tables, read)."""
    assert compressible.front_speed_ratio(4.5, 1.4) == pytest.approx(2, rel=1e-12)
    assert compressible.front_speed_ratio(1.0, 1.3) == 1
