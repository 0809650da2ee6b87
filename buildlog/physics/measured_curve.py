"""What is read off a measured curve, and off a coast-down: peaks, means over a band, scatter, coefficients.

The curves are records of points that `buildlog.kinds.models.pulls` makes; what is done with them is said in
words.
"""

from __future__ import annotations

from math import fsum, sqrt
from typing import Annotated, Protocol

from buildlog.physics.declared import Variable, product_of
from buildlog.physics.limits import not_negative, positive


class Top(Protocol):
    """A place of a curve."""

    @property
    def speed(self) -> float: ...

    @property
    def value(self) -> float: ...


class Points(Protocol):
    """Points of a curve, rising in speed."""

    @property
    def speeds(self) -> tuple[float, ...]: ...

    @property
    def values(self) -> tuple[float, ...]: ...


def greatest_torque(top: Top) -> Annotated[float, "T_max", "N·m"]:
    """Torque at the top of a torque curve.

    Formula: T_max = max T(ω). Symbols: ω engine speed (rad/s), T torque (N·m), T_max greatest torque (N·m).
    In words: the top of a parabola of least squares through the points about the highest one.
    Range: any curve. Errors: none. Source: least squares.
    """
    return top.value


def speed_of_greatest_torque(top: Top) -> Annotated[float, "ω_T", "rad/s"]:
    """Engine speed at the top of a torque curve.

    Formula: T(ω_T) = max T(ω). Symbols: ω engine speed (rad/s), T torque (N·m), ω_T engine speed there
    (rad/s).
    In words: the place of that parabola's top.
    Range: any curve. Errors: none. Source: least squares.
    """
    return top.speed


def greatest_power(top: Top) -> Annotated[float, "P_max", "W"]:
    """Power at the top of a power curve.

    Formula: P_max = max P(ω). Symbols: ω engine speed (rad/s), P power (W), P_max greatest power (W).
    In words: the top of a parabola of least squares through the points about the highest one.
    Range: any curve. Errors: none. Source: least squares.
    """
    return top.value


def speed_of_its_peak(top: Top) -> Annotated[float, "ω_P", "rad/s"]:
    """Engine speed at the top of a power curve.

    Formula: P(ω_P) = max P(ω). Symbols: ω engine speed (rad/s), P power (W), ω_P engine speed there (rad/s).
    In words: the place of that parabola's top.
    Range: any curve. Errors: none. Source: least squares.
    """
    return top.speed


def _mean(curve: Points) -> float:
    pairs = zip(curve.speeds, curve.values, curve.speeds[1:], curve.values[1:], strict=False)
    area = fsum((high - low) * (first + last) / 2 for low, first, high, last in pairs)
    return area / (curve.speeds[-1] - curve.speeds[0])


def mean_torque(
    curve: Points, band_from: Annotated[float, "ω_1", "rad/s"], band_to: Annotated[float, "ω_2", "rad/s"]
) -> Annotated[float, "T_mean", "N·m"]:
    """Mean torque over a band of engine speeds.

    Formula: T_mean = ∫ T dω / (ω_2 - ω_1). Symbols: T torque (N·m), ω engine speed (rad/s), ω_1 lower end of
    the band (rad/s), ω_2 upper end of the band (rad/s), T_mean mean (N·m).
    In words: the area under the curve, by trapezes, over the width of the band.
    Range: ω_1 below ω_2. Errors: none. Source: definition of a mean.
    """
    return _mean(curve)


def mean_power(
    curve: Points, band_from: Annotated[float, "ω_1", "rad/s"], band_to: Annotated[float, "ω_2", "rad/s"]
) -> Annotated[float, "P_mean", "W"]:
    """Mean power over a band of engine speeds.

    Formula: P_mean = ∫ P dω / (ω_2 - ω_1). Symbols: P power (W), ω engine speed (rad/s), ω_1 lower end of the
    band (rad/s), ω_2 upper end of the band (rad/s), P_mean mean (W).
    In words: the area under the curve, by trapezes, over the width of the band.
    Range: ω_1 below ω_2. Errors: none. Source: definition of a mean.
    """
    return _mean(curve)


def pooled_deviation(curve: Points) -> Annotated[float, "s_r", "1"]:
    """Standard deviation between single pulls, as a share of the torque.

    Formula: s_r = √(mean s²). Symbols: s standard deviation between pulls over their mean, at one row (1),
    s_r that of all rows (1).
    In words: the root of the mean, over the rows of the curve, of the variance between the pulls.
    Range: any. Errors: none.
    Source: JCGM 100:2008, 4.2.2; pooled over the rows.
    """
    return sqrt(fsum(curve.values) / len(curve.values))


_MASS = Variable("m", "kg", "mass", positive)
_TURNING = Variable("γ", "1", "mass with turning parts over mass", positive)

coast_down_force = product_of(
    "coast_down_force",
    "The part of a coast-down's resistance that does not depend on speed.",
    vehicle_mass=_MASS,
    mass_factor=_TURNING,
    deceleration=Variable("d_0", "m/s²", "deceleration, extended to standing"),
    gives=Variable("A", "N", "force"),
    source="Newton's second law",
)

coast_down_square = product_of(
    "coast_down_square",
    "The part of a coast-down's resistance that goes with the square of the speed.",
    vehicle_mass=_MASS,
    mass_factor=_TURNING,
    slope=Variable("d_2", "1/m", "deceleration by the square of the speed"),
    gives=Variable("C", "N·s²/m²", "force by the square of the speed"),
    source="Newton's second law",
)


def noise_of_power(
    vehicle_mass: Annotated[float, "m", "kg"],
    mass_factor: Annotated[float, "γ", "1"],
    acceleration_uncertainty: Annotated[float, "u_a", "m/s²"],
    road_speed: Annotated[float, "v", "m/s"],
) -> Annotated[float, "U_P", "W"]:
    """What the scatter of a speed's readings makes of the power that is found from its slope (k = 2).

    Formula: U_P = 2 γ m u_a v. Symbols: γ mass with turning parts over mass (1), m mass (kg), u_a standard
    uncertainty of the acceleration (m/s²), v road speed (m/s), U_P expanded uncertainty of the power (W).
    Range: m, v positive. Errors: `OutOfRange`. Source: Newton's second law.
    """
    positive("vehicle_mass", vehicle_mass)
    not_negative("acceleration_uncertainty", acceleration_uncertainty)
    positive("road_speed", road_speed)
    return 2 * mass_factor * vehicle_mass * acceleration_uncertainty * road_speed
