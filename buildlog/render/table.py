"""The results of a block as tables: cases side by side, the change, one row for each figure."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buildlog.figures import units
from buildlog.kinds.declaration import Output
from buildlog.kinds.key_texts import KeyText, key_text, result_in_words
from buildlog.kinds.quantities import Change, OtherUnit, Shown, change, other_of, shown
from buildlog.kinds.results import BlockResult, Value, row_anchor


@dataclass(frozen=True)
class TableCell:
    """One case's value: number, and what stands behind it of its uncertainty, both "" where it has none.
    `change` is against the first case, None in its own column. `other` is the value in the other system of
    units. `near` marks a value that may be beyond what it has to keep to, `beyond` one that is, with all of
    its uncertainty. `case` is the name of the case."""

    number: str = ""
    margin: str = ""
    near: bool = False
    beyond: bool = False
    change: Change | None = None
    other: Shown | None = None
    case: str = ""


@dataclass(frozen=True, kw_only=True)
class TableRow:
    """One row, and the anchor that figures lead to. `label` is the quantity, or in a group the key.

    `system` is that of `unit`, with `other_unit` in the other system, both "" where one unit serves both.
    One that is `repeated` stands in the card before, and has its id there. `gloss` says what the label does
    not.
    """

    anchor: str
    label: str
    unit: str
    cells: tuple[TableCell, ...]
    key: KeyText | None = None
    other_unit: str = ""
    system: str = ""
    repeated: bool = False
    gloss: str = ""


@dataclass(frozen=True, kw_only=True)
class RowGroup:
    """The rows of one quantity listed by a key ("gear"), or with `key` "" all quantities of one value.

    Several quantities of one key that stand beside each other are the `columns` of a group without rows.
    """

    caption: str
    key: str
    unit: str
    rows: tuple[TableRow, ...]
    other_unit: str = ""
    system: str = ""
    columns: tuple[RowGroup, ...] = ()
    gloss: str = ""

    @property
    def lines(self) -> list[tuple[TableRow, list[TableRow | None]]]:
        """The columns by line: a row that has its key, and the row of each column, None where it has none."""
        named: dict[str, TableRow] = {}
        for column in self.columns or (self,):
            for row in column.rows:
                named.setdefault(row.label, row)
        found = [{row.label: row for row in column.rows} for column in self.columns]
        return [(row, [rows.get(label) for rows in found]) for label, row in named.items()]

    @property
    def cells(self) -> list[TableCell]:
        return [cell for group in (self, *self.columns) for row in group.rows for cell in row.cells]

    @property
    def same(self) -> bool:
        """Whether several cases have it and none changes any row: one column says it then."""
        changes = [cell.change for row in self.rows for cell in row.cells[1:]]
        return bool(self.key and changes) and all(change is not None and change.same for change in changes)


@dataclass(frozen=True)
class ResultInWords:
    """A result in words: the text of each case, said once where all cases say the same. What is `leading`
    stands over the tables."""

    anchor: str
    label: str
    texts: tuple[tuple[str, str], ...]
    leading: bool = False
    gloss: str = ""


@dataclass(frozen=True)
class Tables:
    """All tables of a card. `uncertain` says whether any value has an uncertainty."""

    cases: tuple[str, ...]
    groups: tuple[RowGroup, ...]
    words: tuple[ResultInWords, ...]

    @property
    def _cells(self) -> list[TableCell]:
        return [cell for group in self.groups for cell in group.cells]

    @property
    def anchors(self) -> list[str]:
        """The ids of all rows, but for those that are repeated."""
        parts = [part for group in self.groups for part in (group, *group.columns)]
        rows = [row.anchor for part in parts for row in part.rows if not row.repeated]
        return rows + [word.anchor for word in self.words]

    @property
    def uncertain(self) -> bool:
        return any(cell.margin for cell in self._cells)

    @property
    def lopsided(self) -> bool:
        """Whether any value has an interval instead of ± U."""
        return any(cell.margin.startswith("(") for cell in self._cells)

    @property
    def near(self) -> bool:
        return any(cell.near for cell in self._cells)

    @property
    def beyond(self) -> bool:
        return any(cell.beyond for cell in self._cells)

    @property
    def spacious(self) -> bool:
        """Whether each table needs the card's whole width; otherwise they stand two abreast."""
        return len(self.cases) > 2

    @property
    def compared(self) -> bool:
        """Two cases have a column for the change; more have it under each value."""
        return len(self.cases) == 2


def in_words(name: str) -> str:
    """A name as it stands in addresses, for reading: ``sliding_low`` is sliding low."""
    return name.replace("_", " ")


def sentence(text: str) -> str:
    """A calculator's phrase as a heading: with a capital, unless it begins with a symbol such as ρ."""
    first, rest = text[:1], in_words(text[1:])
    return (first.upper() if first.isascii() else first) + rest


def _row(block: BlockResult, output: Output, key: str, other: OtherUnit | None) -> TableRow:
    cells: list[TableCell] = []
    first: Value | None = None
    says: Value | None = None
    for place, case in enumerate(block.cases):
        value = block.value(case, output.name, key)
        if not isinstance(value, Value):
            cells.append(TableCell(case=case))
            continue
        limits = [
            limit for limit in block.cases[case].limits if limit.output == output.name and limit.key == key
        ]
        beyond = any(limit.is_broken(*value.ends) for limit in limits)
        near = not beyond and any(not limit.surely and not limit.holds(*value.ends) for limit in limits)
        cells.append(replace(_cell(value, first, other), near=near, beyond=beyond, case=case))
        if not place:
            first = value
        says = says or value
    unit = says or output  # a value of a dimension of its own brings its unit along
    row = TableRow(
        anchor=row_anchor(block.id, output.name, key),
        label=sentence(output.title),
        gloss=in_words(output.gloss),
        unit=units.find(unit.unit, unit.dimension).symbol,
        cells=tuple(cells),
    )
    if key:
        named = key_text(block, output, key)
        row = replace(row, key=named, label=named.text, gloss="")
    if other is not None:
        row = replace(row, other_unit=other.unit.symbol, system=other.system)
    return row


def _cell(value: Value, first: Value | None, other: OtherUnit | None) -> TableCell:
    """The cell of a value; `first` is the first case's, where that is another one."""
    text = shown(value)
    cell = TableCell(text.number, text.margin)
    if first is not None:
        cell = replace(cell, change=change(first, value, other))
    if other is not None:
        cell = replace(cell, other=other.shown(value))
    return cell


def _word(block: BlockResult, output: Output, key: str) -> ResultInWords:
    """What a block says in words; of a listed quantity, of one key."""
    found = ((case, block.value(case, output.name, key)) for case in block.cases)
    texts = [(case, text) for case, text in found if isinstance(text, str)]
    if len(texts) == len(block.cases) and len({text for _, text in texts}) == 1:
        texts = [("", texts[0][1])]
    label = result_in_words(block, output, key)
    return ResultInWords(
        row_anchor(block.id, output.name, key),
        sentence(label),
        tuple(texts),
        output.leading,
        "" if key else in_words(output.gloss),
    )


def tables(block: BlockResult) -> Tables:
    """The tables of a computed block: the quantities of one value first, then one table a listed quantity."""
    single: list[TableRow] = []
    listed: dict[str, tuple[Output, list[TableRow]]] = {}
    words: list[ResultInWords] = []
    columns: dict[str, list[Value]] = {}
    for output, key in block.rows():
        for case in block.cases:
            if isinstance(value := block.value(case, output.name, key), Value):
                columns.setdefault(output.name, []).append(value)
    for output, key in block.rows():
        if output.dimension == "text":
            words.append(_word(block, output, key))
            continue
        row = _row(block, output, key, other_of(columns.get(output.name, [])))
        if key:
            listed.setdefault(output.name, (output, []))[1].append(row)
        else:
            single.append(row)
    groups = []
    if single:
        groups.append(RowGroup(caption="", key="", unit="", rows=tuple(single)))
    groups += _abreast(list(listed.values()), len(block.cases) == 1)
    return Tables(tuple(block.cases), tuple(groups), tuple(words))


def _abreast(listed: list[tuple[Output, list[TableRow]]], one_case: bool) -> list[RowGroup]:
    """A group for each listed quantity. Those that are to stand beside others of their key are columns of one
    group, where there is one case: of several, each has its columns already."""
    found: list[RowGroup] = []
    places: dict[str, int] = {}
    for output, rows in listed:
        group = RowGroup(
            caption=sentence(output.title),
            gloss=in_words(output.gloss),
            key=output.key,
            unit=rows[0].unit,
            rows=tuple(rows),
            other_unit=rows[0].other_unit,
            system=rows[0].system,
        )
        if not (one_case and output.beside):
            found.append(group)
        elif output.key in places:
            beside = found[places[output.key]]
            found[places[output.key]] = replace(beside, columns=(*beside.columns, group))
        else:
            places[output.key] = len(found)
            caption = f"Results by {output.key}"
            found.append(RowGroup(caption=caption, key=output.key, unit="", rows=(), columns=(group,)))
    return found
