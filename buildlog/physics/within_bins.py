"""Two conditions compared bin by bin: weights, levels and changes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import sqrt
from typing import Annotated, Any

from buildlog.diagnostics import OutOfRange
from buildlog.formulae.made_once import made_once
from buildlog.physics.declared import DeclaredFormula, Variable, difference_of, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive


@made_once
def change_of(unit: str) -> DeclaredFormula:
    """The formula of a change, for values in a coherent SI unit."""
    return difference_of(
        "change_of",
        "What came after less what was before: negative where it fell.",
        before=Variable("x_1", unit, "before"),
        after=Variable("x_2", unit, "after"),
        gives=Variable("Δx", unit, "change"),
        order=("after", "before"),
        source="definition",
    )


@made_once
def speed_effect(unit: str) -> DeclaredFormula:
    """The formula of what speeds that differ inside of the bins make, for values in a coherent SI unit."""
    return product_of(
        "speed_effect",
        "What a difference of speeds makes of a value that goes with speed along a line.",
        slope=Variable("b", f"{unit}·s/m", "slope of the readings with speed inside of the bins"),
        faster=Variable("Δv", "m/s", "mean speed after less that before, in the same bins"),
        gives=Variable("Δx_v", unit, "part of the difference that speed makes"),
        source="least squares through the bins' own middles",
    )


@made_once
def weighted_level(unit: str) -> Callable[..., float]:
    """The formula of a mean over bins by their weights, for values in a coherent SI unit."""

    def weighted_level(means: Sequence[tuple[float, float]], bins: float) -> float:
        """Mean over bins, each by its weight.

        Formula: x = Σ w_i x_i. Symbols: w_i weight of the bin i (1), x_i mean of the readings in it, n bins
        (1), x level.
        In words: worked out over the bins.
        Range: weights that add up to 1. Errors: `OutOfRange`. Source: definition.
        """
        if abs(sum(weight for weight, _ in means) - 1) > 1e-9:
            raise OutOfRange("means", "weights that do not add up to 1", "shares of the whole")
        return sum(weight * mean for weight, mean in means)

    hints: dict[str, Any] = {
        "means": Sequence[tuple[float, float]],
        "bins": Annotated[float, "n", "1"],
        "return": Annotated[float, "x", unit],
    }
    weighted_level.__annotations__ = hints
    return weighted_level


def share_of_bin(
    time_before: Annotated[float, "t_1", "s"],
    time_after: Annotated[float, "t_2", "s"],
    total: Annotated[float, "T", "s"],
) -> Annotated[float, "w", "1"]:
    """Weight of a bin: by the time that both sides have been in it, and the side with less of it counts most.

    Formula: w = t_1 t_2 / (t_1 + t_2) / T. Symbols: t_1 time in the bin before (s), t_2 after (s), T the sum
    of t_1 t_2 / (t_1 + t_2) over the bins (s), w weight (1).
    Range: all positive. Errors: `OutOfRange`. Source: the weights with which a difference is surest where
    readings scatter alike in all bins: the inverse of 1/t_1 + 1/t_2 (derived).
    """
    positive("time_before", time_before)
    positive("time_after", time_after)
    positive("total", total)
    return time_before * time_after / (time_before + time_after) / total


share_compared = ratio_of(
    "share_compared",
    "Share of the rows of a condition's logs that are compared.",
    compared=Variable("n", "1", "rows that are compared", not_negative),
    rows=Variable("N", "1", "rows in the logs", positive),
    gives=Variable("s", "1", "share"),
    source="definition",
)


def counted(items: Annotated[Sequence[object], "x_i", "1"]) -> Annotated[float, "n", "1"]:
    """How many there are of what is listed.

    Formula: n = how many x_i there are. Symbols: x_i what is counted (1), n count (1).
    In words: counted.
    Range: any. Errors: none. Source: counting.
    """
    return float(len(items))


def independent_readings(
    rows_and_memories: Annotated[Sequence[tuple[float, float]], "n_d", "1"],
    rows: Annotated[float, "n", "1"],
) -> Annotated[float, "n_e", "1"]:
    """How many independent readings the rows of a condition are worth, of which neighbours are much alike.

    Formula: n_e = Σ n_d / (1 + 2 Σ (1 − k/n_d) r_k), over the drives d. Symbols: n rows that are compared
    (1), n_d those of one drive (1), r_k correlation of readings k rows apart (1), n_e independent readings
    (1).
    In words: found from the autocorrelation of each drive, about the means of its bins.
    Range: any. Errors: none. Source: N. F. Zhang, Metrologia 43 (2006) S276, as in suncal.
    """
    return sum(rows / memory for rows, memory in rows_and_memories)


def correlation_with_speed(
    products: Annotated[float, "S_vx", "1"],
    speed_squares: Annotated[float, "S_vv", "1"],
    squares: Annotated[float, "S_xx", "1"],
) -> Annotated[float, "r", "1"]:
    """Pearson's correlation of the readings of a drive with its speed: −1 or 1 where they lie on a line.

    Formula: r = S_vx / √(S_vv S_xx). Symbols: S_vx sum of the products of both deviations from their means,
    S_vv sum of the squares of the speed's deviations, S_xx sum of the squares of the readings' deviations, r
    correlation (1). The sums are in SI units.
    Range: S_vv and S_xx positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("speed_squares", speed_squares)
    positive("squares", squares)
    return products / sqrt(speed_squares * squares)


@made_once
def furthest_of(unit: str) -> Callable[..., float]:
    """The formula of the largest deviation, for values in a coherent SI unit."""

    def furthest_of(deviations: Sequence[float]) -> float:
        """The largest deviation of a reading from the middle of its bin, with its sign.

        Formula: d is that x − median with the largest amount. Symbols: x reading, d its deviation.
        In words: looked up.
        Range: one deviation at least. Errors: `OutOfRange`. Source: definition.
        """
        if not deviations:
            raise OutOfRange("deviations", "none", "one at least")
        return max(deviations, key=abs)

    hints: dict[str, Any] = {"deviations": Sequence[float], "return": Annotated[float, "d", unit]}
    furthest_of.__annotations__ = hints
    return furthest_of


@made_once
def offset_of_drive(unit: str) -> Callable[..., float]:
    """The formula of how far a drive lies off the others of its side, for values in a coherent SI unit."""

    def offset_of_drive(offsets: Sequence[float], number: float) -> float:
        """By how much a drive lies above the mean of the drives of its side, in the bins that they share.

        Formula: the d of x = b_i + d by least squares over time. Symbols: n number of the drive (1), d by how
        much it lies off, in the unit of the readings (1); x reading, b_i of the bin i.
        In words: found by least squares.
        Range: a drive of the side. Errors: none. Source: least squares.
        """
        return offsets[int(number) - 1]

    hints: dict[str, Any] = {
        "offsets": Sequence[float],
        "number": Annotated[float, "n", "1"],
        "return": Annotated[float, "d", unit],
    }
    offset_of_drive.__annotations__ = hints
    return offset_of_drive
