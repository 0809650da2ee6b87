"""Which pieces to cut from which length of stock, so that as few as can be are bought."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import ceil
from typing import Annotated

_ROUNDING = 1e-9
"""Relative to the stock: pieces that add up to it to the last digit fit."""
_MOST_TRIALS = 20_000
"""Placements that the search tries before it lets the best so far stand."""
_BOTH_ENDS = 2


@dataclass(frozen=True, kw_only=True)
class CutPlan:
    """Pieces by their number, one tuple for each length of stock. `least` is how few there must be: where it
    is their number, nobody can do with fewer."""

    stocks: tuple[tuple[int, ...], ...]
    least: int

    @property
    def is_proven(self) -> bool:
        return len(self.stocks) == self.least


@dataclass
class _Search:
    """Piece after piece, from the largest down, into each length that has room, and into a new one."""

    room: float
    slack: float
    order: tuple[int, ...]
    sizes: tuple[float, ...]
    ends: tuple[int, ...]
    least: int
    best: list[list[int]]
    trials: int = 0
    filled: list[float] = field(default_factory=list)
    ends_used: list[int] = field(default_factory=list)
    stocks: list[list[int]] = field(default_factory=list)

    def run(self, at: int = 0) -> bool:
        """Whether all was tried, or nothing better can be found."""
        if len(self.stocks) >= len(self.best) or not self._has_room(at):
            return True
        if at == len(self.order):
            self.best = [list(stock) for stock in self.stocks]
            return True
        piece = self.order[at]
        seen: set[tuple[float, int]] = set()
        for stock in range(len(self.stocks)):
            alike = (self.filled[stock], self.ends_used[stock])
            if alike in seen or not self._fits(piece, stock):
                continue
            seen.add(alike)
            if not self._tried(piece, stock, at):
                return False
            if len(self.best) == self.least:
                return True
        if len(self.stocks) + 1 >= len(self.best):
            return True
        self.stocks.append([])
        self.filled.append(0.0)
        self.ends_used.append(0)
        done = self._tried(piece, len(self.stocks) - 1, at)
        for kept in (self.stocks, self.filled, self.ends_used):
            kept.pop()
        return done

    def _has_room(self, at: int) -> bool:
        """Whether the pieces that are left could go into one length less than the best so far has: what is
        too short for the smallest of them is lost."""
        left = [self.sizes[piece] for piece in self.order[at:]]
        rests = (self.room - filled for filled in self.filled)
        usable = sum(rest for rest in rests if rest + self.slack >= min(left, default=0.0))
        new = len(self.best) - 1 - len(self.stocks)
        return sum(left) <= usable + new * self.room + self.slack * len(self.best)

    def _fits(self, piece: int, stock: int) -> bool:
        return (
            self.filled[stock] + self.sizes[piece] <= self.room + self.slack
            and self.ends_used[stock] + self.ends[piece] <= _BOTH_ENDS
        )

    def _tried(self, piece: int, stock: int, at: int) -> bool:
        self.trials += 1
        if self.trials > _MOST_TRIALS:
            return False
        before = self.filled[stock]
        self.stocks[stock].append(piece)
        self.filled[stock] = before + self.sizes[piece]
        self.ends_used[stock] += self.ends[piece]
        done = self.run(at + 1)
        self.stocks[stock].pop()
        self.filled[stock] = before
        self.ends_used[stock] -= self.ends[piece]
        return done


@lru_cache(maxsize=256)  # a calculation that is made again and again cuts the same pieces
def cut_plan(stock: float, kerf: float, pieces: tuple[float, ...], ends: tuple[int, ...] = ()) -> CutPlan:
    """Which of `pieces` come from one length of `stock`, with `kerf` lost between two; all of one unit.

    `ends` says how many ends of the stock each piece takes with it: the leg of a bend is at its end. First
    fit decreasing, then a search for less, which is exact where it ends within its trials. No piece may be
    longer than the stock.
    """
    taken = ends or (0,) * len(pieces)
    room, sizes = stock + kerf, tuple(piece + kerf for piece in pieces)
    slack = _ROUNDING * room
    order = tuple(sorted(range(len(pieces)), key=lambda piece: (-sizes[piece], -taken[piece], piece)))
    least = _least(room, sizes, taken)
    search = _Search(
        room=room,
        slack=slack,
        order=order,
        sizes=sizes,
        ends=taken,
        least=least,
        best=_first_fit(room + slack, sizes, taken, order),
    )
    if len(search.best) > least and search.run():
        least = len(search.best)
    stocks = sorted(tuple(sorted(stock)) for stock in search.best)
    return CutPlan(stocks=tuple(stocks), least=least)


def _first_fit(
    room: float, sizes: Sequence[float], ends: Sequence[int], order: Sequence[int]
) -> list[list[int]]:
    """Each piece, from the largest down, into the first length that has room for it."""
    stocks: list[list[int]] = []
    for piece in order:
        for stock in stocks:
            filled = sum(sizes[other] for other in stock) + sizes[piece]
            used = sum(ends[other] for other in stock) + ends[piece]
            if filled <= room and used <= _BOTH_ENDS:
                stock.append(piece)
                break
        else:
            stocks.append([piece])
    return stocks


def _least(room: float, sizes: Sequence[float], ends: Sequence[int]) -> int:
    """Fewer cannot do: by what all pieces need, by their ends, and by those of which no two go together."""
    large = sum(size > (room + _ROUNDING * room) / 2 for size in sizes)
    return max(1, ceil(sum(sizes) / room - _ROUNDING), ceil(sum(ends) / _BOTH_ENDS), large)


def number_bought(plan: CutPlan) -> Annotated[float, "N", "1"]:
    """How many lengths of stock the pieces are cut from.

    Formula: N = number of lengths. Symbols: N lengths of stock (1).
    In words: found by search, from the largest piece down. Range: any. Source: bin packing.
    """
    return float(len(plan.stocks))


def least_number(plan: CutPlan) -> Annotated[float, "N_min", "1"]:
    """How few lengths of stock could do.

    Formula: N_min = ⌈Σ l / L⌉, or the number that a search of all placements found. Symbols: l pieces with
    their cuts (m), L length of stock (m), N_min fewest lengths (1).
    In words: found by search, or by what all pieces need together. Range: any. Source: bin packing.
    """
    return float(plan.least)
