"""A scoop in the wind: against continuity, Bernoulli and fluids."""

from __future__ import annotations

from math import pi, sqrt

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize
from scipy.integrate import quad

from buildlog.diagnostics import OutOfRange
from buildlog.physics import scoop


# π (0.1016 m)²/4 by hand: a 4 in circle is 12.566 in², 81.073 cm² (1 in² = 6.4516 cm² exactly, NIST SP 811).
def test_four_inch_circle() -> None:
    assert scoop.circle_area(0.1016) == pytest.approx(12.56637 * 6.4516e-4, rel=1e-6)


# Continuity by hand: 0.01 m² at 30 m/s meets 0.3 m³/s, three times 0.1 m³/s; 0.1 m³/s is met at 10 m/s.
def test_catch_by_hand() -> None:
    assert scoop.flow_caught(0.01, 30) == pytest.approx(0.3)
    assert scoop.mean_velocity(0.1, 0.01) == pytest.approx(10)
    assert scoop.capture_ratio(0.3, 0.1) == pytest.approx(3)


# fluids 1.3.1, dP_from_K: K ρ v²/2
def test_loss_against_fluids() -> None:
    head = 1.2 * 25**2 / 2
    assert scoop.pressure_loss(1.8, head) == pytest.approx(fluids.dP_from_K(K=1.8, rho=1.2, V=25), rel=1e-12)


@given(st.floats(0.01, 1), st.floats(0, 5000), st.floats(0, 5000))
def test_break_even_rise_gives_a_box_at_ambient(recovery: float, loss: float, ram: float) -> None:
    needed = scoop.stagnation_rise_needed(loss, recovery)
    assert scoop.box_pressure_rise(recovery, needed, loss) == pytest.approx(0, abs=1e-9)
    # More ram, more pressure; never more than the whole ram pressure.
    assert scoop.box_pressure_rise(recovery, ram + 1, loss) > scoop.box_pressure_rise(recovery, ram, loss)
    assert scoop.box_pressure_rise(recovery, ram, loss) <= ram


# By hand: 0.75 · 1229 − 500 = 421.75 Pa, above 101 325 Pa.
def test_box_by_hand() -> None:
    assert scoop.box_pressure_rise(0.75, 1229, 500) == pytest.approx(421.75)


# Continuity by hand: 0.1108333 m³/s through 0.03 m² is 3.6944 m/s; half as fast again in a jet, 5.5417 m/s.
# A drop that falls at 4.03 m/s (Gunn and Kinzer 1949, 1 mm) wants 5.5417/4.03 of the area.
def test_chamber_by_hand() -> None:
    mean = scoop.mean_velocity(0.1108333, 0.03)
    assert mean == pytest.approx(3.69444, rel=1e-5)
    highest = scoop.highest_velocity(mean, 1.5)
    assert highest == pytest.approx(5.54167, rel=1e-5)
    ratio = scoop.velocity_ratio(highest, 4.03)
    assert scoop.area_scaled(0.03, ratio) == pytest.approx(0.0412530, rel=1e-5)


# Idelchik, diagram 3-4 (bellmouth without end wall), as printed in ASHRAE, Fitting Loss Coefficients (2021),
# 1-2: the table, of which ours keeps half the points and goes straight between.
@pytest.mark.parametrize(
    ("ratio", "coefficient"),
    [
        (0, 1.0), (0.01, 0.87), (0.02, 0.74), (0.03, 0.61), (0.04, 0.51), (0.05, 0.40), (0.06, 0.32),
        (0.08, 0.20),
        (0.10, 0.15), (0.12, 0.10), (0.16, 0.06), (0.20, 0.03), (0.5, 0.03),
    ],
)  # fmt: skip
def test_free_lip_against_idelchik(ratio: float, coefficient: float) -> None:
    assert scoop.free_lip_loss_coefficient(ratio) == pytest.approx(coefficient, abs=0.04)


# The balance of momentum of NACA TN 3004 at low speed, solved here with scipy 1.17.1 from its two equations:
# p_1 + ρu² = p_0 + ρuv (no force on a lip without thickness), and H_1 = p_1 + ρu²/2.
@pytest.mark.parametrize(("u", "v"), [(20.0, 0.0), (20.0, 10.0), (30.0, 25.0)])
def test_sharp_lip_by_momentum(u: float, v: float) -> None:
    density = 1.2
    static = optimize.brentq(lambda p: p + density * u**2 - density * u * v, -1e4, 1e4)
    recovered = static + density * u**2 / 2
    lost = density * v**2 / 2 - recovered
    assert scoop.lip_loss(1.0, density, u, v) == pytest.approx(lost, rel=1e-9)


# Geometry: the perimeter and area of a flat oval by scipy 1.17.1 along its outline and over its height.
def test_oval_against_integration() -> None:
    width, height = 0.11, 0.06
    radius = height / 2
    area, _ = quad(lambda y: width - height + 2 * sqrt(radius**2 - y**2), -radius, radius)
    assert scoop.oval_area(width, height) == pytest.approx(area, rel=1e-8)
    round_part, _ = quad(lambda t: radius, 0, 2 * pi)
    assert scoop.oval_perimeter(width, height) == pytest.approx(round_part + 2 * (width - height), rel=1e-9)


def test_recovery_by_two_readings() -> None:
    assert scoop.recovery_at(0.6, 0.9, 0.0) == 0.9
    assert scoop.recovery_at(0.6, 0.9, 1.0) == 0.6
    assert scoop.recovery_at(0.6, 0.9, 2.0) == 0.6
    with pytest.raises(OutOfRange, match="recovery_stopped"):
        scoop.recovery_at(0.6, 1.1, 0.5)


def test_range_errors_name_the_parameter() -> None:
    with pytest.raises(OutOfRange, match=r"recovery: found 1.01, expected 0 to 1") as caught:
        scoop.box_pressure_rise(1.01, 1000, 0)
    assert caught.value.help == "more than the full ram pressure cannot arrive"
    with pytest.raises(OutOfRange, match="recovery: found 0, expected more than 0"):
        scoop.stagnation_rise_needed(100, 0)
    with pytest.raises(OutOfRange, match="diameter: found 0"):
        scoop.circle_area(0)
    with pytest.raises(OutOfRange, match="area: found -1"):
        scoop.flow_caught(-1, 10)
    with pytest.raises(OutOfRange, match="air_drawn: found 0"):
        scoop.capture_ratio(1, 0)
    with pytest.raises(OutOfRange, match="loss_coefficient: found -1"):
        scoop.pressure_loss(-1, 10)
    with pytest.raises(OutOfRange, match="volume_flow: found -1"):
        scoop.mean_velocity(-1, 1)
    with pytest.raises(OutOfRange, match=r"peak_over_mean: found 0\.9"):
        scoop.highest_velocity(1, 0.9)
    with pytest.raises(OutOfRange, match="reference_velocity: found 0"):
        scoop.velocity_ratio(1, 0)
    with pytest.raises(OutOfRange, match="velocity_ratio: found -1"):
        scoop.area_scaled(1, -1)


@pytest.mark.parametrize(
    ("ratio", "coefficient"),
    # Idelchik's diagram 3-4 as ASHRAE prints it, whole, and half way between (straight lines)
    [
        (0.0, 1.0), (0.02, 0.74), (0.04, 0.51), (0.06, 0.32), (0.10, 0.15), (0.20, 0.03), (0.5, 0.03),
        (0.01, 0.87), (0.03, 0.625), (0.05, 0.415), (0.08, 0.235), (0.15, 0.09),
    ],
)  # fmt: skip
def test_the_lip_of_a_free_mouth_by_the_whole_table(ratio: float, coefficient: float) -> None:
    assert scoop.free_lip_loss_coefficient(ratio) == pytest.approx(coefficient, abs=1e-12)
