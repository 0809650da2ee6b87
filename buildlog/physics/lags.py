"""Lags between the channels of a log, as the working shows them."""

from __future__ import annotations

from typing import Annotated, Protocol

from buildlog.physics.declared import Variable, product_of
from buildlog.physics.limits import positive

shift_time = product_of(
    "shift_time",
    "A shift in time from a shift in rows.",
    rows=Variable("n", "1", "shift in rows, at the highest correlation; between two rows interpolated"),
    row_spacing=Variable("T", "s", "time from row to row", positive),
    gives=Variable("Δt", "s", "shift in time"),
    source="the definition of a rate",
)


class Correlated(Protocol):
    """Correlations of two channels, by the shift of one of them."""

    def correlation_at(self, shift: float) -> float: ...


def correlation(found: Correlated, shift: Annotated[float, "Δt", "s"]) -> Annotated[float, "r", "1"]:
    """Correlation of the follower with the leader as it was a shift earlier.

    Formula: r = Σ (x(t_i − Δt) − m) (y(t_i) − n) / √(Σ (x(t_i − Δt) − m)² Σ (y(t_i) − n)²). Symbols: x
    leader, y follower, t_i times of the rows of the follower, the same for every shift (s), Δt shift (s), m
    and n the means of x and y over these rows, r correlation (1).
    In words: worked out over the rows.
    Range: a shift within the search. Errors: none. Source: Pearson's product-moment correlation.
    """
    return found.correlation_at(shift)
