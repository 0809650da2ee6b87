"""The page of the site that tells how long proof and build take, written from what was measured."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from pathlib import Path

from tests.bench.measurements import (
    BARE,
    BLOCKS_COLD,
    BLOCKS_WARM,
    CODE,
    OVER_BARE,
    PAGE_BARE,
    PROOF_COLD,
    PROOF_WARM,
    SITE_CHANGED,
    SITE_COLD,
    SITE_WARM,
    Measurements,
)
from tests.bench.shares import OURS
from tests.bench.site_of_copies import ROOT

PAGE = ROOT / "content" / "speed.md"
MOST_GROWTH = 1.02
MOST_MEMORY = 0.3
_WORDS = Path(__file__).with_name("speed_page.md")
LEAST_SHARE = 0.005
"""Of the bare build; what takes less has no row of its own."""


def page(measured: Measurements) -> str:
    return _WORDS.read_text("utf-8").format(
        date=measured.date,
        table=table(measured),
        spread=_spread(measured),
        shares_of=measured.shares_of,
        shares=_shares(measured),
        others=_of_others(measured),
        machine="\n".join(f"- **{name}:** {value}" for name, value in measured.machine.items()),
    )


def table(measured: Measurements) -> str:
    """A row for what was measured, a column for each size."""
    sizes = measured.sizes
    lines = [
        f"| episodes | {' | '.join(f'{size:,}' for size in sizes)} | growth | asked for |",
        "|---|" + "---:|" * len(sizes) + "---:|---|",
        _seconds(measured, "bare site, seconds of the processor", BARE),
        _ratios(measured, "proof, cold, of the processor", PROOF_COLD, at_most=0.6),
        _ratios(measured, "proof, warm, of the processor", PROOF_WARM, at_most=0.10),
        _ratios(measured, "site, cold, by the clock", SITE_COLD, at_most=2.5, unit="clock"),
        _ratios(measured, "site, cold, of the processor", SITE_COLD),
        _ratios(measured, "site, warm, of the processor", SITE_WARM, at_most=1.15),
        _ratios(measured, "site, one changed page, warm, of the processor", SITE_CHANGED, at_most=1.05),
        _row(
            "bare site, memory in MB", [_number(measured.median(size, BARE, "megabytes")) for size in sizes]
        ),
        _memory(measured, "proof, cold, memory beyond it in MB", PROOF_COLD),
        _memory(measured, "site, cold, memory beyond it in MB", SITE_COLD),
        _memory(measured, "site, warm, memory beyond it in MB", SITE_WARM),
        _seconds(measured, "bare page, seconds of the processor", PAGE_BARE),
        _ratios(measured, "page with blocks, cold, of the processor", BLOCKS_COLD),
        _ratios(measured, "page with blocks, warm, of the processor", BLOCKS_WARM),
        _ratios(measured, "page with code that is run (`markdown-exec`), of the processor", CODE),
    ]
    return "\n".join(lines)


def _ratios(
    measured: Measurements, title: str, what: str, *, at_most: float = math.inf, unit: str = "processor"
) -> str:
    ratios = [statistics.median(measured.ratios(size, what, unit)) for size in measured.sizes]
    exponent = measured.exponent(what)
    asked = [] if math.isinf(at_most) else [_asked(at_most, max(ratios))]
    if what in (PROOF_COLD, SITE_COLD) and unit == "processor" and exponent is not None:
        asked.append(f"growth {_asked(MOST_GROWTH, exponent)}")
    growth = _growth(measured, what) if unit == "processor" else ""
    return _row(title, map(_number, ratios), growth, "; ".join(asked))


def _seconds(measured: Measurements, title: str, what: str) -> str:
    seconds = [_number(measured.median(size, what)) for size in measured.sizes]
    return _row(title, seconds, _growth(measured, what))


def _memory(measured: Measurements, title: str, what: str) -> str:
    values = [measured.memory_beyond(size, what) for size in measured.sizes]
    slope = measured.memory_an_episode(what)
    if slope is None:
        return _row(title, map(_number, values))
    verdict = "met" if float(_number(slope)) <= MOST_MEMORY else "missed"
    return _row(
        title, map(_number, values), f"{_number(slope)} MB each", f"≤ {MOST_MEMORY:.2f} MB each: {verdict}"
    )


def _asked(at_most: float, reached: float) -> str:
    """Compared as it is shown, so that nobody reads 1.15 beside a miss of 1.15."""
    verdict = "met" if float(_number(reached)) <= at_most else "missed"
    return f"≤ {at_most:.2f}: {verdict}"


def _growth(measured: Measurements, what: str) -> str:
    exponent, of_the_last = measured.exponent(what), measured.exponent(what, measured.sizes[-2:])
    if exponent is None or of_the_last is None:
        return ""
    return f"{exponent:.2f}" if len(measured.sizes) == 2 else f"{exponent:.2f} ({of_the_last:.2f})"


def _row(title: str, cells: Sequence[str] | map[str], growth: str = "", asked: str = "") -> str:
    return f"| {' | '.join([title, *cells, growth, asked])} |"


def _number(value: float) -> str:
    """Three digits, or two behind the point at least below ten: what can be told apart in a table."""
    if abs(value) >= 100:
        return f"{value:.0f}"
    return f"{value:.1f}" if abs(value) >= 10 else f"{value:.2f}"


def _spread(measured: Measurements) -> str:
    """How far the rounds of one size and row lie apart, as a share of their median."""
    rounds = {size: len(measured.rounds[size][BARE]) for size in measured.sizes}
    told = ", ".join(f"{number} of {size:,} episodes" for size, number in rounds.items())
    widest: tuple[float, int, str] = (0, 0, "")
    for size in measured.sizes:
        for what in OVER_BARE:
            ratios = measured.ratios(size, what)
            apart = (max(ratios) - min(ratios)) / statistics.median(ratios)
            widest = max(widest, (apart, size, what))
    text = f"Each number is the median of its rounds, {told}."
    if not widest[0]:
        return text
    share, size, what = widest
    return (
        f"{text} From the least ratio to the greatest it is at most {share:.0%} of their median, for "
        f"“{what}” of {size:,} episodes."
    )


def _shares(measured: Measurements) -> str:
    """Percent of the bare build, the largest of the warm build first, ours at the top."""
    whole = sum(measured.shares[BARE].values())
    columns = [measured.shares[what] for what in (BARE, SITE_WARM, SITE_COLD)]
    names = sorted(
        {name for column in columns for name in column},
        key=lambda name: (name != OURS, -columns[1].get(name, 0), name),
    )
    shown = [
        name
        for name in names
        if name == OURS or max(column.get(name, 0) for column in columns) / whole >= LEAST_SHARE
    ]
    rows = [[name, *(_percent(column.get(name, 0) / whole) for column in columns)] for name in shown]
    rest = [
        sum(seconds for name, seconds in column.items() if name not in shown) / whole for column in columns
    ]
    if any(rest):
        rows.append(["less than half a percent each", *map(_percent, rest)])
    rows.append(["**together**", *(_percent(sum(column.values()) / whole) for column in columns)])
    head = "| program | bare | with buildlog, warm | with buildlog, cold |\n|---|---:|---:|---:|\n"
    return head + "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _percent(share: float) -> str:
    return f"{100 * share:.1f}"


def _of_others(measured: Measurements) -> str:
    warm = measured.shares[SITE_WARM]
    return f"{1 - warm[OURS] / sum(warm.values()):.0%}"
