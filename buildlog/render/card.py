"""The result card of one block: what was computed, from what, how, by whose formulae, and what can hurt."""

from __future__ import annotations

from collections.abc import Mapping

from buildlog.diagnostics import Diagnostic, Severity
from buildlog.kinds.hazards import HAZARDS, Hazard
from buildlog.kinds.results import BlockResult, card_anchor
from buildlog.render.download import downloads
from buildlog.render.drawn import Draw, Drawn, drawn_charts
from buildlog.render.inputs import input_rows
from buildlog.render.pieces import Rendered, render
from buildlog.render.sweep import sweep_table
from buildlog.render.table import tables
from buildlog.render.working import references, working


def _drawn(block: BlockResult, draw: Draw | None) -> list[Drawn]:
    """Every chart of the block, or why it is not drawn."""
    if draw is None or "chart" not in block.show:
        return []
    return drawn_charts(block.charts, draw, f"{card_anchor(block.id)}_chart")


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
