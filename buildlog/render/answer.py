"""What a card answers first: the rows that the page rests on or its author names; the rest is folded."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from buildlog.kinds.results import BlockResult, row_anchor
from buildlog.render.table import ResultInWords, RowGroup, TableRow, Tables, tables
from buildlog.render.words import say_count
from buildlog.said import said

Row = tuple[str, str]
"""An output and its key, "" for one that has a single value."""

MOST_WHOLE = 6
"""A list of so many rows is shown as a table of its own where half of it is wanted."""
_HARDLY_ANY = 3
"""So few other rows are not worth a fold."""


@dataclass(frozen=True)
class Results:
    """A card's results: those in sight and the others, which are folded; None where there are none."""

    answer: Tables | None
    others: Tables | None

    @property
    def count(self) -> str:
        """How many rows are folded, in words: each has an address, and a figure may lead to it."""
        rows = self.others.anchors if self.others else []
        if self.answer:
            return say_count(len(rows), "{count} more row", "{count} more rows")
        return say_count(len(rows), "{count} row", "{count} rows")


def results_of(block: BlockResult, in_use: Collection[Row] = ()) -> Results:
    """The results of a computed block. `in_use` are the rows that the page rests on. Where neither it nor the
    author names any, the first ones of the kind's own order stand for the answer."""
    whole = tables(block)
    if "table" not in block.show:
        return Results(None, whole)
    if block.whole_table:
        return Results(whole, None)
    wanted = {*block.named, *in_use}
    if block.found is not None:
        wanted.add((block.found.name, ""))
    anchors = {row_anchor(block.id, *row) for row in wanted}.intersection(whole.anchors)
    return _divided(whole, anchors or _first(whole))


def _divided(whole: Tables, anchors: set[str]) -> Results:
    """In sight is one table of all wanted rows, and a table for each list that most is wanted of."""
    rows: list[TableRow] = []
    lists: list[RowGroup] = []
    others: list[RowGroup] = []
    for group in whole.groups:
        wanted = {row.anchor for row in _rows_of(group)} & anchors
        if not wanted:
            others.append(group)
        elif not group.key:
            rows += [row for row in group.rows if row.anchor in wanted]
            others.append(replace(group, rows=tuple(row for row in group.rows if row.anchor not in wanted)))
        elif _is_of_most(group, wanted):
            lists.append(group)
        else:
            rows += _in_full(group, wanted)
            others.append(_repeated(group, wanted))
    first = [RowGroup(caption="", key="", unit="", rows=tuple(rows))] if rows else []
    answer = replace(
        whole,
        groups=(*first, *lists),
        words=tuple(word for word in whole.words if _leads(word, anchors)),
    )
    rest = replace(
        whole,
        groups=tuple(group for group in others if _rows_of(group)),
        words=tuple(word for word in whole.words if not _leads(word, anchors)),
    )
    if len(rest.anchors) <= _HARDLY_ANY:
        return Results(whole, None)
    return Results(answer, rest)


def _rows_of(group: RowGroup) -> list[TableRow]:
    return [row for part in (group, *group.columns) for row in part.rows]


def _leads(word: ResultInWords, anchors: set[str]) -> bool:
    return word.leading or word.anchor in anchors


def _is_of_most(group: RowGroup, wanted: set[str]) -> bool:
    """Whether a list is wanted as such: all of it, or half of a short one and more than a row."""
    lines = len(group.lines)
    keys = {row.label for row in _rows_of(group) if row.anchor in wanted}
    return len(keys) == lines or (lines <= MOST_WHOLE and 2 <= len(keys) >= lines / 2)


def _in_full(group: RowGroup, wanted: set[str]) -> list[TableRow]:
    """Rows of a list for a table of others: each says what it is of."""
    return [
        replace(
            row, label=said("{title}, {key} {row}", title=part.caption, key=part.key, row=row.label), key=None
        )
        for part in (group, *group.columns)
        for row in part.rows
        if row.anchor in wanted
    ]


def _repeated(group: RowGroup, anchors: set[str]) -> RowGroup:
    """A list with those of its rows marked that stand above already: the fold has all of a list, so that it
    has no hole, and each row has its id once."""
    return replace(
        group,
        rows=tuple(replace(row, repeated=row.anchor in anchors) for row in group.rows),
        columns=tuple(_repeated(column, anchors) for column in group.columns),
    )


def _first(whole: Tables) -> set[str]:
    """The first rows of a card, as many as a list may have that is shown whole."""
    for group in whole.groups:
        rows = group.rows or group.columns[0].rows
        return {row.anchor for row in rows[:MOST_WHOLE]}
    return {word.anchor for word in whole.words[:MOST_WHOLE]}
