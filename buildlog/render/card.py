"""The result card of one block: what was computed, from what, how, by whose formulae, and what can hurt."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence

from buildlog.diagnostics import Severity
from buildlog.kinds.hazards import HAZARDS, Hazard
from buildlog.kinds.results import BlockResult, card_anchor, sweep_anchor
from buildlog.proof.predicting import Foretold
from buildlog.render.answer import Row, results_of
from buildlog.render.chart import Draw, DrawnChart, draw_charts
from buildlog.render.decision import decision_table
from buildlog.render.download import downloads
from buildlog.render.foretold import render_foretold
from buildlog.render.inputs import input_rows
from buildlog.render.own_numbers import NO_OWN_NUMBERS, OwnNumbers
from buildlog.render.part_links import part_links
from buildlog.render.pattern import shown_patterns
from buildlog.render.pieces import HEADING, Rendered, render
from buildlog.render.sureness import NOT_UNCERTAIN, sureness
from buildlog.render.sweep import sweep_table
from buildlog.render.translated import translated
from buildlog.render.working import references, working


def _drawn(block: BlockResult, draw: Draw | None) -> list[DrawnChart]:
    """Every chart of the block, or why it is not drawn."""
    if draw is None or "chart" not in block.show:
        return []
    return draw_charts(block.charts, draw, f"{card_anchor(block.id)}_chart")


def caution_anchor(hazard: str) -> str:
    """The id of a caution, at the place where its text stands in the page."""
    return f"caution-{hazard}"


def render_card(
    block: BlockResult,
    *,
    draw: Draw | None = None,
    cautioned: Mapping[str, str] | None = None,
    foretold: Sequence[Foretold] = (),
    yours: OwnNumbers = NO_OWN_NUMBERS,
    in_use: Collection[Row] = (),
    published: Collection[str] = (),
    parts_page: str = "",
) -> Rendered:
    """The card of a block. `foretold` are the predictions that its results are set beside; `yours` says
    whether it takes a reader's own numbers; `published` are the paths of files that the site
    has; `parts_page` is the page with the list of parts, "" for none.

    `show` of the block says what is in it: the table (folded away rather than left out, because figures
    lead to its rows), the chart, the working, the inputs. Of the table, the rows `in_use` and those that the
    author names are in sight. `cautioned` are the cautions whose text already
    stands in the page, and is not repeated. New ones stand above the results, a line each, so that nobody
    misses them.
    """
    block = translated(block)
    failed = any(fault.severity is Severity.ERROR for fault in block.faults)
    computed = bool(block.cases) and not failed
    # A block at fault computes nothing that could hurt anybody: only its faults stand in the card.
    hazards = [] if failed else _hazards_of(block)
    said = cautioned or {}
    return render(
        "card.html.j2",
        block=block,
        level=HEADING,
        anchor=card_anchor(block.id) if block.id else "",
        computed=computed,
        faults=block.faults,
        remarks=block.remarks(),
        cautions=[hazard for hazard in hazards if hazard.id not in said],
        caution_anchor=caution_anchor,
        sweep_anchor=sweep_anchor,
        yours=yours if computed else NO_OWN_NUMBERS,
        foretold=render_foretold(block, foretold, draw) if computed else None,
        **(_results_in(block, draw, in_use) if computed else _NO_RESULTS),
        patterns=shown_patterns(block, published) if computed and draw is not None else (),
        parts=part_links(block, parts_page),
    )


_NO_RESULTS: Mapping[str, object] = {
    "results": None,
    "decision": None,
    "charts": (),
    "downloads": (),
    "sheets": (),
    "sureness": NOT_UNCERTAIN,
    "sweep": None,
    "inputs": (),
    "working": (),
    "ways": defaultdict(str),
    "references": (),
}


def _results_in(block: BlockResult, draw: Draw | None, in_use: Collection[Row]) -> dict[str, object]:
    """What the template shows of a block that was computed, as its author wants it shown."""
    decision = decision_table(block)
    results: dict[str, object] = {
        **_NO_RESULTS,
        "results": None if decision else results_of(block, in_use),
        "decision": decision,
        "charts": _drawn(block, draw),
        "downloads": downloads(block),
        "sheets": block.sheets if "table" in block.show else (),
        "references": references(block),
        # What a decision compares comes from other blocks: its own fold says what decides.
        "sureness": NOT_UNCERTAIN if decision else sureness(block),
    }
    if block.sweep:
        results["sweep"] = sweep_table(block.sweep)
    if "inputs" in block.show:
        results["inputs"] = input_rows(block)
    if "working" in block.show:
        shown = working(block)
        results["working"] = shown.steps
        results["ways"] = defaultdict(str, shown.ways)
    return results


def _hazards_of(block: BlockResult) -> list[Hazard]:
    if block.calculator is None:
        return []
    return [HAZARDS[name] for name in block.calculator.hazards]


def cautions_of(block: BlockResult) -> dict[str, str]:
    """Caution id → anchor, of the cautions that the card of this block shows or names."""
    if not block.cases:
        return {}
    return {hazard.id: caution_anchor(hazard.id) for hazard in _hazards_of(block)}
