"""All that a page shows of a block's results, for a script to put into the card: by the card's own code."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from buildlog.browser.restated import FigureThere, restate
from buildlog.charts.bars import lay_out_bars
from buildlog.charts.data import System, other_systems
from buildlog.charts.layout import lay_out
from buildlog.charts.shapes import shapes, view_box
from buildlog.diagnostics import Refused
from buildlog.kinds.chart import BarSpec, Chart
from buildlog.kinds.quantities import Change, Shown
from buildlog.kinds.results import BlockResult
from buildlog.render.table import RowGroup, TableCell, TableRow, Tables, tables


def shown(block: BlockResult, figures: Iterable[Mapping[str, str]] = ()) -> dict[str, Any]:
    """The results as JSON has them: `rows` and `words` by the ids of their elements, the remarks with their
    cases, what each figure would be (null where it does not rest on them alone), the charts as shapes."""
    found = tables(block)
    return {
        "cases": list(block.cases),
        "rows": {row.anchor: _row(row, group) for group, row in _rows(found)},
        "words": {word.anchor: [list(text) for text in word.texts] for word in found.words},
        "remarks": [[remark, list(cases)] for remark, cases in block.remarks()],
        "figures": [_figure(block, figure) for figure in figures],
        "charts": [_chart(chart) for chart in block.charts],
    }


def _rows(found: Tables) -> Iterator[tuple[RowGroup, TableRow]]:
    for group in found.groups:
        for one in (group, *group.columns):
            for row in one.rows:
                yield one, row


def _row(row: TableRow, group: RowGroup) -> dict[str, Any]:
    label = f"{group.caption}, {group.key} {row.label}" if group.key else row.label
    said: dict[str, Any] = {
        "label": label,
        "unit": row.unit,
        "cells": {cell.case: _cell(cell) for cell in row.cells},
    }
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


def _chart(chart: Chart) -> dict[str, Any]:
    """A chart in every system of units in which it looks different, or why it is not drawn."""
    said: dict[str, Any] = {"title": chart.title, "description": chart.description}
    try:
        said["views"] = [_view(chart, system) for system in ("author", *other_systems(chart))]
    except Refused as refused:
        said["refusal"] = f"{refused.found}; expected {refused.expected}."
    return said


def _view(chart: Chart, system: System) -> dict[str, Any]:
    layout = lay_out_bars(chart, system) if isinstance(chart, BarSpec) else lay_out(chart, system)
    drawn = [[shape.tag, shape.attributes, shape.text] for shape in shapes(layout)]
    return {"system": system, "box": view_box(layout), "shapes": drawn}
