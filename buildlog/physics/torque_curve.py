"""A measured torque curve: rows of engine speed and torque, joined by straight lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import pi
from typing import Annotated

from buildlog.diagnostics import InputsConflict, OutOfRange, as_written
from buildlog.physics.drivetrain import road_speed
from buildlog.physics.traction import torque_between, wheel_force

MOST_ROWS = 400
"""More rows than this are noise, and slow to follow."""


_ROUNDING = 1e-9
"""Relative: what the conversion of units may put between two speeds that were written as one."""


def _rpm(speed: float) -> str:
    return as_written(speed, f"{speed * 30 / pi:.0f} rpm")


@dataclass(frozen=True)
class TorqueCurve:
    """Rows (engine speed in rad/s, torque in N·m), rising in speed, the last one at the limiter."""

    rows: tuple[tuple[float, float], ...]

    @staticmethod
    def read(table: Sequence[Mapping[str, float]], rev_limit: float) -> TorqueCurve:
        """From rows of `engine_speed` and `torque`, cut off at the limiter. Faults name the input."""
        rows = [(float(row["engine_speed"]), float(row["torque"])) for row in table]
        if len(rows) > MOST_ROWS:
            raise OutOfRange(
                "torque_curve",
                f"{len(rows)} rows",
                f"at most {MOST_ROWS}",
                help="smooth it, then thin it out",
            )
        speeds = [row["engine_speed"] for row in table]  # with their authors' words
        for number, (first, second) in enumerate(pairwise(speeds), start=2):
            if second <= first:
                raise InputsConflict(
                    "torque_curve",
                    f"row {number} ({_rpm(second)}) not above row {number - 1} ({_rpm(first)})",
                    "rows that rise in engine_speed",
                    at=(number - 1, "engine_speed"),
                )
        if rows[-1][0] < rev_limit <= rows[-1][0] * (1 + _ROUNDING):
            rev_limit = rows[-1][0]
        if rows[-1][0] < rev_limit:
            raise InputsConflict(
                "torque_curve",
                f"an end at {_rpm(speeds[-1])}",
                f"rows up to rev_limit, {_rpm(rev_limit)}",
                help="measure up to the limiter, or state a lower rev_limit",
                at=(len(rows) - 1, "engine_speed"),
            )
        if rows[0][0] >= rev_limit:
            raise InputsConflict(
                "rev_limit", _rpm(rev_limit), f"more than the curve's first row, {_rpm(rows[0][0])}"
            )
        below = [row for row in rows if row[0] < rev_limit]
        above = rows[len(below)]
        last = torque_between(rev_limit, *below[-1], *above)
        return TorqueCurve((*below, (float(rev_limit), last)))

    def around(self, speed: float, name: str) -> dict[str, float]:
        """The arguments of `torque_between` for a speed inside the curve; else `name` is at fault."""
        first, last = self.rows[0][0], self.rows[-1][0]
        for end in (first, last):
            if abs(speed - end) <= _ROUNDING * end:
                speed = end
        if not first <= speed <= last:
            raise OutOfRange(name, _rpm(speed), f"{_rpm(first)} to {_rpm(last)}, where the torque is known")
        below, above = next(pair for pair in pairwise(self.rows) if speed <= pair[1][0])
        return {
            "engine_speed": float(speed),
            "lower_speed": below[0],
            "lower_torque": below[1],
            "upper_speed": above[0],
            "upper_torque": above[1],
        }

    @property
    def peak(self) -> float:
        """The greatest torque up to the limiter."""
        return max(torque for _, torque in self.rows)

    def forces(
        self, overall_ratio: float, rolling_circumference: float, driveline_efficiency: float
    ) -> tuple[tuple[float, float], ...]:
        """Road speed and wheel force of every row in a gear."""
        radius = rolling_circumference / (2 * pi)
        return tuple(
            (
                road_speed(speed, overall_ratio, rolling_circumference),
                wheel_force(torque, overall_ratio, driveline_efficiency, radius),
            )
            for speed, torque in self.rows
        )


def speed_of_peak_torque(curve: TorqueCurve) -> Annotated[float, "ω_T", "rad/s"]:
    """Engine speed at which a torque curve is highest.

    Formula: ω_T is the lowest speed with T(ω_T) = max T(ω). Symbols: ω engine speed (rad/s), T torque (N·m),
    ω_T engine speed there (rad/s).
    In words: looked up among the curve's rows.
    Range: any curve. Errors: none. Source: definition.
    """
    return max(curve.rows, key=lambda row: row[1])[0]
