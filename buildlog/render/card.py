"""The result card of one block: what was computed, from what, how, by whose formulae, and what can hurt."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from buildlog.calculator import ChartSpec
from buildlog.chart_data import System
from buildlog.diagnostics import Diagnostic, Refused, Severity
from buildlog.hazards import HAZARDS, Hazard
from buildlog.render.chart import ChartTable, chart_table, other_systems
from buildlog.render.download import downloads
from buildlog.render.inputs import input_rows
from buildlog.render.pieces import Rendered, ready, render
from buildlog.render.sweep import sweep_table
from buildlog.render.table import tables
from buildlog.render.working import references, working
from buildlog.results import BlockResult, card_anchor

Draw = Callable[[ChartSpec, str, System], str]
"""Draws a chart as SVG; the second argument makes its ids unique on the page, the third chooses the units."""


@dataclass(frozen=True)
class View:
    """A chart in one system of units. `shown_for` are the classes that say which readers get it."""

    svg: Markup
    table: ChartTable
    shown_for: str = ""


@dataclass(frozen=True)
class Drawn:
    """A chart ready for the page, or `refusal`: why it was not drawn."""

    chart: ChartSpec
    views: tuple[View, ...] = ()
    refusal: Refused | None = None


def _drawn(block: BlockResult, draw: Draw | None) -> list[Drawn]:
    """Every chart of the block, or why it is not drawn."""
    if draw is None or "chart" not in block.show:
        return []
    drawn = []
    for number, chart in enumerate(block.charts):
        anchor = f"{card_anchor(block.id)}_chart" + (f"{number + 1}" if number else "")
        try:
            drawn.append(Drawn(chart, tuple(_views(chart, draw, anchor))))
        except Refused as refusal:
            drawn.append(Drawn(chart, refusal=refusal))
    return drawn


def _views(chart: ChartSpec, draw: Draw, anchor: str) -> Iterator[View]:
    """The chart as its calculator has it, and in each system of units in which it looks different."""
    others = other_systems(chart)
    hidden = "".join(f" buildlog-not-{system}" for system in others)
    yield View(ready(draw(chart, anchor, "author")), chart_table(chart), hidden)
    for system in others:
        svg = draw(chart, f"{anchor}_{system}", system)
        yield View(ready(svg), chart_table(chart, system), f" buildlog-only-{system}")


def caution_anchor(hazard: str) -> str:
    """The id of a caution, at the place where its text stands in the page."""
    return f"caution-{hazard}"


def render_card(
    block: BlockResult,
    *,
    draw: Draw | None = None,
    cautioned: Mapping[str, str] | None = None,
) -> Rendered:
    """The card of a block.

    `show` of the block says what is in it: the table (folded away rather than left out, because figures
    lead to its rows), the chart, the working, the inputs. `cautioned` are the cautions whose text already
    stands in the page: they are named and linked to, not repeated. The names of all stand above the results,
    so that nobody misses them; a text that is new stands below, so that the results are not far down.
    """
    errors = [fault for fault in block.faults if fault.severity is Severity.ERROR]
    said = cautioned or {}
    hazards = [HAZARDS[name] for name in (block.calculator.HAZARDS if block.calculator else ())]
    fresh: list[Hazard] = [] if errors else [hazard for hazard in hazards if hazard.id not in said]
    computed = bool(block.cases) and not errors
    return render(
        "card.html.j2",
        block=block,
        anchor=card_anchor(block.id) if block.id else "",
        computed=computed,
        faults=block.faults,
        tables=tables(block) if computed else None,
        remarks=_remarks(block),
        charts=_drawn(block, draw) if computed else [],
        downloads=downloads(block) if computed else [],
        sweep=sweep_table(block.sweep) if computed and block.sweep else None,
        inputs=input_rows(block) if computed and "inputs" in block.show else [],
        working=working(block) if computed and "working" in block.show else [],
        references=references(block) if computed else [],
        cautions=fresh,
        cautions_named=[]
        if errors
        else [(hazard, said.get(hazard.id, caution_anchor(hazard.id))) for hazard in hazards],
        caution_anchor=caution_anchor,
    )


def _remarks(block: BlockResult) -> list[tuple[str, tuple[str, ...]]]:
    """Each remark once, with the cases that it is about ("()" where it is about all)."""
    found: dict[str, list[str]] = {}
    for case in block.cases.values():
        for remark in case.remarks:
            found.setdefault(remark, []).append(case.name)
    return [
        (remark, () if len(cases) == len(block.cases) else tuple(cases)) for remark, cases in found.items()
    ]


def cautions_of(block: BlockResult) -> dict[str, str]:
    """Caution id → anchor, of the cautions that the card of this block shows or names."""
    names = block.calculator.HAZARDS if block.calculator and block.cases else ()
    return {name: caution_anchor(name) for name in names}


__all__ = ["Diagnostic", "Draw", "caution_anchor", "cautions_of", "render_card"]
