"""Gears found in a log: the line of a gear, the ratio that it means, and what was driven in which."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi
from operator import mul
from typing import Annotated, Protocol

from buildlog.physics.declared import Variable, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive


class Fitted(Protocol):
    """A line of road speed on engine speed."""

    slope: float


def fitted_slope(line: Fitted, readings: Annotated[float, "n", "1"]) -> Annotated[float, "v_ω", "m/rad"]:
    """Road speed by engine speed in a gear, by a least-squares line through readings of both.

    Formula: v_ω = Σ (ω_i − p) (v_i − q) / Σ (ω_i − p)². Symbols: ω_i engine speed (rad/s) and v_i road speed
    (m/s) of the reading i, p and q their means over the n readings, n readings (1), v_ω road speed by engine
    speed (m/rad).
    In words: worked out over the rows in that gear.
    Range: engine speeds that differ. Errors: `OutOfRange`. Source: JCGM 100:2008, H.3.2.
    """
    positive("readings", readings)
    return line.slope


def offset_of_line(
    mean_speed: Annotated[float, "q", "m/s"],
    mean_engine_speed: Annotated[float, "p", "rad/s"],
    speed_per_engine_speed: Annotated[float, "v_ω", "m/rad"],
) -> Annotated[float, "a", "m/s"]:
    """Road speed that a line through readings has where the engine stands.

    Formula: a = q − v_ω p. Symbols: q mean road speed (m/s), p mean engine speed (rad/s), v_ω slope of the
    line (m/rad), a offset (m/s).
    Range: v_ω positive. Errors: `OutOfRange`. Source: JCGM 100:2008, H.3.2.
    """
    positive("speed_per_engine_speed", speed_per_engine_speed)
    return mean_speed - speed_per_engine_speed * mean_engine_speed


def ratio_of_line(
    rolling_circumference: Annotated[float, "U", "m"],
    speed_per_engine_speed: Annotated[float, "v_ω", "m/rad"],
) -> Annotated[float, "i", "1"]:
    """Turns of the engine for one turn of the driven wheels, by the slope of a line through readings.

    Formula: i = U / (2 π v_ω). Symbols: U rolling circumference (m), v_ω road speed by engine speed (m/rad),
    i overall ratio (1).
    Range: U, v_ω positive. Errors: `OutOfRange`. Source: kinematics.
    """
    positive("rolling_circumference", rolling_circumference)
    positive("speed_per_engine_speed", speed_per_engine_speed)
    return rolling_circumference / (2 * pi * speed_per_engine_speed)


def difference_of_ratios(
    found: Annotated[float, "i", "1"], declared: Annotated[float, "i_0", "1"]
) -> Annotated[float, "δ", "1"]:
    """By how much a ratio that was found is more than the one it is held against, as a share of that.

    Formula: δ = i / i_0 − 1. Symbols: i ratio found (1), i_0 ratio it is held against (1), δ difference (1).
    Range: i_0 positive. Errors: `OutOfRange`. Source: arithmetic.
    """
    positive("declared", declared)
    return found / declared - 1


@dataclass(frozen=True)
class FoundRatios:
    """Of each gear the overall ratio found, its gearbox ratio, and the relative standard uncertainty that the
    first has by its readings."""

    gears: Sequence[tuple[float, float, float]]

    def mean_reduction(self) -> float:
        weights = [1 / relative**2 for _, _, relative in self.gears]
        reductions = [overall / gear for overall, gear, _ in self.gears]
        return float(sum(map(mul, weights, reductions)) / sum(weights))


def common_reduction(found: FoundRatios, gears: Annotated[float, "m", "1"]) -> Annotated[float, "i_r", "1"]:
    """All that reduces behind the gearbox, as all gears together have it.

    Formula: i_r = Σ w_k i_k / i_gk / Σ w_k, w_k = 1 / u_k². Symbols: i_k overall ratio found in the gear k
    (1), i_gk gearbox ratio of the gear k (1), w_k its weight, u_k relative standard uncertainty of i_k by its
    readings (1), m gears with a line (1), i_r reduction (1).
    In words: the mean over the gears, weighted by how well each is known.
    Range: one gear or more. Errors: `OutOfRange`. Source: weighted mean of least variance.
    """
    positive("gears", gears)
    return found.mean_reduction()


without_second = ratio_of(
    "without_second",
    "Final drive, where both reductions behind the gearbox and the second of them are known.",
    both=Variable("i_r", "1", "both reductions", positive),
    second=Variable("i_2", "1", "second reduction", positive),
    gives=Variable("i_f", "1", "final drive"),
    source="kinematics",
)

share_of_rows = ratio_of(
    "share_of_rows",
    "Share of the rows in which the car moves.",
    rows=Variable("n_k", "1", "rows of this kind", not_negative),
    moving=Variable("n", "1", "rows in which the car moves", positive),
    gives=Variable("s", "1", "share"),
    source="arithmetic",
)

independent_readings = product_of(
    "independent_readings",
    "As many independent readings as rows in a row are worth, which know of each other.",
    rows=Variable("n", "1", "rows that the line goes through", not_negative),
    worth=Variable("g", "1", "what a row is worth, by the autocorrelation about the line", not_negative),
    gives=Variable("n_e", "1", "independent readings"),
    source="N. F. Zhang, Metrologia 43 (2006), S276, as the source code of suncal has it",
)
