"""All that a page shows of a block's results, for a script to put into the card: by the card's own code."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any

from buildlog.browser.restated import FigureThere, restate
from buildlog.charts.bars import lay_out_bars
from buildlog.charts.data import System, other_systems
from buildlog.charts.layout import lay_out
from buildlog.charts.shapes import shapes, view_box
from buildlog.diagnostics import Refused
from buildlog.kinds.chart import BarSpec, Chart
from buildlog.kinds.quantities import Change, Shown
from buildlog.kinds.results import BlockResult, row_anchor
from buildlog.render.table import RowGroup, TableCell, TableRow, Tables, tables

SYSTEMS = ("author", "metric", "us")


def shown(
    block: BlockResult, figures: Iterable[Mapping[str, str]] = (), systems: Collection[str] = SYSTEMS
) -> dict[str, Any]:
    """The results as JSON has them: `rows` and `words` by the ids of their elements, the remarks with their
    cases, what each figure would be (null where it does not rest on them alone), the charts as shapes.

    Charts are drawn for readers of these systems of units; laying one out takes a browser a second.
    """
    found = tables(block)
    uncertain = {
        (case.name, row_anchor(block.id, *leaf)) for case in block.cases.values() for leaf in case.bent
    }
    return {
        "cases": list(block.cases),
        "rows": {row.anchor: _row(row, group, uncertain) for group, row in _rows(found)},
        "words": {word.anchor: [list(text) for text in word.texts] for word in found.words},
        "remarks": [[remark, list(cases)] for remark, cases in block.remarks()],
        "figures": [_figure(block, figure) for figure in figures],
        "charts": [_chart(chart, systems) for chart in block.charts],
    }


def _rows(found: Tables) -> Iterator[tuple[RowGroup, TableRow]]:
    for group in found.groups:
        for one in (group, *group.columns):
            for row in one.rows:
                yield one, row


def _row(row: TableRow, group: RowGroup, bent: Collection[tuple[str, str]]) -> dict[str, Any]:
    label = f"{group.caption}, {group.key} {row.label}" if group.key else row.label
    said: dict[str, Any] = {
        "label": label,
        "unit": row.unit,
        "cells": {cell.case: _cell(cell) for cell in row.cells},
    }
    for case, cell in said["cells"].items():
        if (case, row.anchor) in bent:  # its author's uncertainty was drawn, this one is to first order
            cell["bent"] = True
    if row.system:
        said.update(system=row.system, other_unit=row.other_unit)
    return said


def _cell(cell: TableCell) -> dict[str, Any]:
    said: dict[str, Any] = {"number": cell.number, "margin": cell.margin}
    if cell.near or cell.beyond:
        said["limit"] = "beyond" if cell.beyond else "near"
    if cell.other is not None:
        said["other"] = _both(cell.other)
    if cell.change is not None:
        said["change"] = _change(cell.change)
    return said


def _change(change: Change) -> dict[str, Any]:
    if change.same:
        return {"same": True}
    said: dict[str, Any] = {"number": change.difference, "margin": change.margin}
    said.update(unit=change.unit, percent=change.percent)
    if change.other is not None:
        said["other"] = _both(change.other)
    return said


def _both(shown: Shown) -> dict[str, str]:
    return {"number": shown.number, "margin": shown.margin}


def _figure(block: BlockResult, figure: Mapping[str, str]) -> dict[str, Any] | None:
    said = restate(block, FigureThere.read(figure))
    if said is None:
        return None
    return {
        "text": said.text,
        "other": said.other,
        "system": said.system,
        "way": said.way,
        "holds": said.holds,
    }


def _chart(chart: Chart, wanted: Collection[str]) -> dict[str, Any]:
    """A chart in every wanted system of units in which it looks different, or why it is not drawn."""
    said: dict[str, Any] = {"title": chart.title, "description": chart.description}
    try:
        said["views"] = [_view(chart, system) for system in _systems(chart) if system in wanted]
    except Refused as refused:
        said["refusal"] = f"{refused.found}; expected {refused.expected}."
    return said


def _systems(chart: Chart) -> list[System]:
    return ["author", *other_systems(chart)]


def _view(chart: Chart, system: System) -> dict[str, Any]:
    layout = lay_out_bars(chart, system) if isinstance(chart, BarSpec) else lay_out(chart, system)
    drawn = [[shape.tag, shape.attributes, shape.text] for shape in shapes(layout)]
    return {"system": system, "box": view_box(layout), "shapes": drawn}
