"""Figures in the cells of a table whose unit stands in its heading: ``110`` under ``claimed, mph``.

A heading gives a unit where it is one (``rpm``), ends with one after a comma, a slash, a dash or “in”
(``torque / N·m``), has one in brackets (``mass (kg)``), or has one for its first or last word (``km/h at the
limit``). The unit of the column comes first; the first cell of a row gives the unit of the rest of it where
the heading of the column has none; and a unit in the corner is that of all cells where neither of the two
holds numbers itself. Counts, hours and the like are no units here, as in the text, and words
that are a unit only by chance (``min``, ``second``, ``in``) have to stand in one of the first two ways.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator

from buildlog.figures import units
from buildlog.figures.numbers import Unreadable, read
from buildlog.reading.markdown.page import MASK, Cell, ProseSpan

_BLANK = "[ \u00a0\u202f\u2009]"
_BRACKETED = re.compile(r"[(\[]([^()\[\]]{1,16})[)\]]")
_PARTED = re.compile(r"(?:[,:]|\s[/–—-]|\sin)\s+|(?<=\w)/(?=\s)|(?<=[^\W\d]{3})/(?=\w)")
_AFTER_UNIT = re.compile(r" (?:[a-z]+ ?){1,3}", re.IGNORECASE)
_MARKS = re.compile(r"[*_`]+")
# Spelt as a unit and read as a word where nothing sets them apart.
_WORDS = frozenset(
    """
    bar bars in ins min mins second seconds foot feet pound pounds knot knots mil mils mole moles slug slugs
    grain grains ounce ounces yard yards mile miles amp amps degree degrees ch us pp um gr kn ms mi
    h d t a c f m g k l s r n v w j
    """.split()
)
_NO_UNIT = frozenset("minute hour day".split())

_HEDGE = rf"(?:[~≈<>≤≥]{_BLANK}?|(?:about|approx\.?|ca\.?|circa|over|under|around|nearly|est\.?){_BLANK})?"
_START = re.compile(rf"{_BLANK}*{_HEDGE}(?P<figure>[+−±-]?{_BLANK}?(?=[.0-9½¼¾⅓⅔⅛⅜⅝⅞]))", re.IGNORECASE)
_NEXT = re.compile(rf"{_BLANK}?(?:[-‐‑–−…±]|\+/[-−]|to(?={_BLANK})){_BLANK}?(?=[.0-9])")
_SPACED = re.compile(r"[0-9]{1,3}(?: [0-9]{3}(?![0-9,])){1,4}(?:[.][0-9]{1,10}(?![0-9]))?")
_AFTER = re.compile(rf"{_BLANK}*(?:$|[*†‡§(+;,?]|\[\^|{MASK})|{_BLANK}(?:or so|approx|est|max|min|at|when)\b")
_PART_NUMBER = re.compile(r"[0-9]{3,}-[0-9]{1,2}(?![0-9])")
_ASIDE = re.compile(rf"\((?:[a-z]+{_BLANK}){{0,2}}", re.IGNORECASE)


class TableUnits:
    """The units that the headings of a page's tables give to their cells."""

    def __init__(self, spans: Iterable[ProseSpan]) -> None:
        self.of_column: dict[tuple[int, int], str] = {}
        self.of_row: dict[tuple[int, int], str] = {}
        with_numbers: set[int] = set()
        for span in spans:
            cell = span.cell
            if cell is None or not (cell.row == 0 or cell.column == 0):
                continue
            if any(bare_figures(span.text)):
                with_numbers.add(cell.table)
            unit = unit_of_heading(span.text)
            if unit and cell.row == 0:
                self.of_column[cell.table, cell.column] = unit
            if unit and cell.column == 0:
                self.of_row[cell.table, cell.row] = unit
        tables = Counter(table for table, _ in self.of_column)
        self.of_table = {
            table: unit
            for (table, column), unit in self.of_column.items()
            if column == 0 and tables[table] == 1 and table not in with_numbers
        }

    def of(self, cell: Cell) -> str:
        """The unit of what stands in a cell, or nothing."""
        above = self.of_column.get((cell.table, cell.column), "") if cell.row else ""
        beside = self.of_row.get((cell.table, cell.row), "") if cell.column else ""
        return above or beside or (self.of_table.get(cell.table, "") if cell.row and cell.column else "")


def unit_of_heading(heading: str) -> str:
    """The unit that a heading gives, as it is spelt there, or nothing."""
    text = _MARKS.sub("", heading).strip()
    for bracketed in _BRACKETED.finditer(text):
        if _is_unit(bracketed[1].strip()):
            return bracketed[1].strip()
    for parting in _PARTED.finditer(text):
        if unit := _leading(text[parting.end() :]):
            return unit
    if _is_word_free(text):
        return text
    first, _, rest = text.partition(" ")
    if rest and _is_word_free(first) and not rest[0].isdigit():
        return first
    before, _, last = text.rpartition(" ")
    number_before = before[-1:].isdigit()
    return last if before and not number_before and _is_word_free(last) else ""


def _leading(text: str) -> str:
    """The unit that a text is or begins with: ``psi``, ``psi cold``."""
    text = text.strip()
    if _is_unit(text):
        return text
    first, _, rest = text.partition(" ")
    return first if rest and _is_word_free(first) and _AFTER_UNIT.fullmatch(f" {rest}") else ""


def _is_word_free(text: str) -> bool:
    """Whether a text is a unit and could be nothing else."""
    return text.casefold() not in _WORDS and _is_unit(text)


def _is_unit(text: str) -> bool:
    """Whether a text is a unit of measure. What counts or waits is none."""
    spelt = units.spelt(text)
    return bool(spelt) and spelt[0].dimension != "count" and spelt[0].name not in _NO_UNIT


def bare_figures(text: str) -> Iterator[tuple[int, int]]:
    """Where the figures of a cell stand that has its unit from a heading: one, or one more in brackets."""
    start = _START.match(text)
    if start is None:
        return
    begin, end = start.start("figure"), _end_of_number(text, start.end())
    following = _NEXT.match(text, end) if end else None
    if following and not _PART_NUMBER.match(text, start.end()):
        end = _end_of_number(text, following.end()) or end
    if not end or not _AFTER.match(text, end):
        return
    yield begin, end
    aside = _ASIDE.search(text, end)
    inside = _end_of_number(text, aside.end()) if aside else 0
    if aside and inside and text[inside : inside + 1] == ")":
        yield aside.end(), inside


def _end_of_number(text: str, start: int) -> int:
    """Where the number ends that begins at `start`, or 0 where none does that can have a heading's unit."""
    if spaced := _SPACED.match(text, start):
        return spaced.end()
    try:
        number = read(text, start + (text[start : start + 1] == "."))
    except Unreadable:
        return 0
    return number.end if number and number.form != "ratio" and not number.unit else 0
