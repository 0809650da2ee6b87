"""Coasting: how long a car takes from one speed down to another, with nothing but resistance on it."""

from __future__ import annotations

from math import atan, atanh, log, sqrt
from typing import Annotated

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.physics.limits import not_negative, positive


def coast_down_time(
    rolling_mass: Annotated[float, "m_w", "kg"],
    constant_resistance: Annotated[float, "A", "N"],
    linear_resistance: Annotated[float, "B", "N·s/m"],
    quadratic_resistance: Annotated[float, "C", "N·s²/m²"],
    first_speed: Annotated[float, "v_1", "m/s"],
    last_speed: Annotated[float, "v_2", "m/s"],
) -> Annotated[float, "t", "s"]:
    """Time of coasting in neutral from one speed down to another.

    Formula: t = m_w ∫ dv / (A + B v + C v²) from v_2 to v_1. With D = 4 A C - B² above 0 that is
    t = 2 m_w / √D · atan(√D (v_1 - v_2) / (2 A + B (v_1 + v_2) + 2 C v_1 v_2)), with D below 0 the same with
    atanh and √(-D), and with D = 0 its limit. Symbols: m_w mass with rolling wheels (kg), A, B and C
    coefficients of the resistance, slope counted, in N, (N·s/m) and (N·s²/m²), v_1 and v_2 road speed (m/s),
    D (N²·s²/m²), t time (s).
    In words: the integral in closed form.
    Range: v_1 above v_2, resistance above 0 from one to the other. Errors: `OutOfRange`, `NoSolution`.
    Source: Newton's second law; table of integrals.
    """
    positive("rolling_mass", rolling_mass)
    not_negative("last_speed", last_speed)
    if not last_speed < first_speed:
        raise OutOfRange("last_speed", f"{last_speed:g} m/s", f"less than {first_speed:g} m/s")
    if not _resists(constant_resistance, linear_resistance, quadratic_resistance, first_speed, last_speed):
        raise NoSolution(
            "coast_to",
            "a car that does not slow down on this slope",
            "a speed that it coasts down to",
            help="the slope drives it as much as the resistance holds it",
        )
    determinant = 4 * constant_resistance * quadratic_resistance - linear_resistance**2
    gap = first_speed - last_speed
    below = (
        2 * constant_resistance
        + linear_resistance * (first_speed + last_speed)
        + 2 * quadratic_resistance * first_speed * last_speed
    )
    width = sqrt(abs(determinant))
    if width * gap < 1e-9 * abs(below):
        return 2 * rolling_mass * gap / below
    if determinant > 0:
        angle = atan(width * gap / below)
        if below < 0:
            angle += _HALF_TURN
        return 2 * rolling_mass / width * angle
    ratio = width * gap / below
    # Near the speed that the slope holds the car at atanh loses its digits; its logarithm does not.
    wide = atanh(ratio) if ratio < 0.9 else log((below + width * gap) / (below - width * gap)) / 2
    return 2 * rolling_mass / width * wide


_HALF_TURN = 3.141592653589793


def _resists(constant: float, linear: float, quadratic: float, first: float, last: float) -> bool:
    """Whether the resistance is above 0 at both speeds and at the bottom of the parabola between them."""
    speeds = [first, last]
    if quadratic > 0 and last < -linear / (2 * quadratic) < first:
        speeds.append(-linear / (2 * quadratic))
    return all(constant + linear * speed + quadratic * speed**2 > 0 for speed in speeds)
