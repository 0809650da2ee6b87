"""Units of a site's own: ``own-units.txt`` in the content folder, in the form of our own list.

    == length
    furlong = 220 yard | furlong | us | km | furlongs
    == damper setting | click | how far a damper's screw is turned
    click = [click] | click | both | | clicks | from fully closed

A definition is a product of numbers and of units that are known by then, of ours or from above. It is read by
the grammar here and written anew from what was read: pint, which works it out, never sees the text, and no
definition can grow beyond what is bounded here.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import NoReturn

from buildlog.diagnostics import Code, Diagnostic, Position, declare, did_you_mean, shorten
from buildlog.figures import units
from buildlog.figures.spellings import forms
from buildlog.figures.units import LONGEST_SPELLING, DimensionRow, OwnUnits, UnitRow
from buildlog.figures.worked_out import WorkedOut
from buildlog.files.text import Lines, read_text

NAME = "own-units.txt"
"""The file, in the content folder."""
MOST_LINES = 500
"""Of units and headings."""
LONGEST_LINE = 1000
MOST_FACTORS = 12
MOST_POWER = 6
MOST_DIGITS = 300
"""Of a definition written out in numbers, so that it is a number of the machine. Each unit of ours counts for
`_DIGITS_OF_OURS`."""
_DIGITS_OF_OURS = 40
_LEAST, _MOST = 1e-30, 1e30
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,59}")
_DIMENSION = re.compile(r"[a-z]+(?: [a-z]+){0,5}")
# A letter or one of the signs that units begin with, then what stands in the spellings of our own list.
_SPELLING = re.compile(r"(?:[^\W\d_]|[°%‰])(?:[^\W_]|[ °%‰·./^()'’″⁻-])*")
_TOKEN = re.compile(r"(?P<number>[0-9]{1,30}(?:\.[0-9]{1,30})?)|(?P<name>[A-Za-z][A-Za-z0-9_]*)|\*\*|\*|/")
_FACTOR = r"(?:0?a(?:\^0)?|0)"
_PRODUCT = re.compile(rf"{_FACTOR}(?:[*/]{_FACTOR})*")
_NUMBERS = re.compile(r"0(?:[*/]0)*")
_BASE = re.compile(r"\[[A-Za-z_ ]{1,60}\]")
_COUNTERPART = re.compile(r"(?:(?P<small>.+?) to [0-9]+(?:\.[0-9]+)?, *)?(?P<usual>.+)")
_TAKEN = ("text", "its own")  # of outputs without a dimension: `kinds.declaration`

OWN_UNIT = declare(
    "own-unit",
    "a line of own-units.txt that defines no unit",
    why="A unit with a wrong size would be wrong in every figure that has it, and one that is passed over "
    "would be missing.",
    mend="Correct the line; the manual shows the form.",
    example="furlong = 220 yards | furlong | us | km        # the unit is called yard",
    comes_first=True,
)
OWN_UNIT_CLASH = declare(
    "own-unit-clash",
    "a unit of the site's own is written as another one",
    why="A figure in it would be read as one or the other.",
    mend="Give it a spelling of its own.",
    example="drum = 200 litre | l | metric | US gal",
    comes_first=True,
)


@dataclass(frozen=True)
class _Cell:
    """A part of a line, with the column that it begins at."""

    text: str
    column: int


@dataclass(frozen=True, kw_only=True)
class _Defined:
    """A unit as its line defines it. `definition` is what pint is told, in which names of own units are
    numbered; `digits` is how long its number may be."""

    line: int
    name: _Cell
    definition: str
    digits: int
    dimension: str
    symbol: _Cell
    system: str
    counterpart: _Cell
    spellings: tuple[str, ...]
    about: str


class _Fault(Exception):
    def __init__(self, code: Code, cell: _Cell, found: str, expected: str, help: str) -> None:
        self.code, self.cell = code, cell
        self.found, self.expected, self.help = found, expected, help
        super().__init__(found)


def _refuse(cell: _Cell, found: str, expected: str, help: str = "", code: Code = OWN_UNIT) -> NoReturn:
    raise _Fault(code, cell, found, expected, help)


Definitions = tuple[tuple[str, str], ...]
WorkOut = Callable[[Definitions, tuple[str, ...]], WorkedOut]
"""What `work_out` does."""


def own_units_in(
    content: Path, shown: str, work_out: WorkOut | None = None
) -> tuple[OwnUnits, tuple[Diagnostic, ...]]:
    """The own units of a site with this content folder, none where it has no file of them, and what is wrong
    with that. `shown` is its path as people see it. A link out of the folder is not followed. A `work_out`
    that is given is asked in place of ours."""
    path = content / NAME
    if not path.is_file() or not Path(os.path.realpath(path)).is_relative_to(os.path.realpath(content)):
        return OwnUnits(), ()
    text, faults = read_text(path, shown)
    own, found = read_own_units(text, shown, work_out)
    return own, (*faults, *found)


@lru_cache(maxsize=8)
def read_own_units(
    text: str, path: str, ask: WorkOut | None = None
) -> tuple[OwnUnits, tuple[Diagnostic, ...]]:
    """The units that the text of ``own-units.txt`` defines, and what is wrong with it. Our own list alone is
    in force afterwards."""
    units.use(OwnUnits())
    reader = _Reader(path)
    reader.read(text)
    if not reader.defined:
        return OwnUnits(), tuple(reader.faults)
    asked = {units.units_of(row.dimension)[0] for row in reader.defined if row.dimension in units.DIMENSIONS}
    worked = (ask or work_out)(reader.definitions(), tuple(sorted(_our_name(unit.name) for unit in asked)))
    return reader.finished(worked), tuple(sorted(reader.faults, key=lambda fault: fault.position))


def work_out(definitions: Definitions, asked: tuple[str, ...]) -> WorkedOut:
    """What pint makes of definitions that were read here: a pure function of them and of our list."""
    from buildlog.figures.factors import Definition, work_out_beside_ours

    own: tuple[Definition, ...] = tuple(
        Definition(name=name, definition=definition) for name, definition in definitions
    )
    return work_out_beside_ours(own, asked)


def _our_name(name: str) -> str:
    return name.replace(" ", "_")


class _Reader:
    """Reads line by line; a line with a fault defines nothing."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.faults: list[Diagnostic] = []
        self.dimensions: dict[str, DimensionRow] = {}
        self.defined: list[_Defined] = []
        self.dimension = ""
        self.by_name: dict[str, int] = {}
        self.by_form: dict[str, str] = {}
        self.faulty: set[str] = set()
        self.ours = frozenset(_our_name(unit.name) for unit in units.UNITS)

    def read(self, text: str) -> None:
        lines = [
            (number, line)
            for number, line in enumerate(Lines(text).raw, 1)
            if line.strip() and not line.startswith("#")
        ]
        for number, line in lines[:MOST_LINES]:
            try:
                self._read_line(number, line)
            except _Fault as fault:
                self._tell(number, fault)
        for number, _ in lines[MOST_LINES : MOST_LINES + 1]:
            found, expected = f"{len(lines)} lines of units", f"at most {MOST_LINES}"
            self._tell(number, _Fault(OWN_UNIT, _Cell("", 1), found, expected, ""))

    def _tell(self, line: int, fault: _Fault) -> None:
        position = Position(self.path, line, fault.cell.column)
        self.faults.append(
            fault.code.at(
                position,
                found=fault.found,
                expected=fault.expected,
                help=fault.help,
                length=len(fault.cell.text),
            )
        )

    def _read_line(self, number: int, line: str) -> None:
        whole = _Cell(line.strip(), len(line) - len(line.lstrip()) + 1)
        if len(line) > LONGEST_LINE:
            _refuse(_Cell("", 1), f"a line of {len(line)} characters", f"at most {LONGEST_LINE}")
        if line.startswith("=="):
            self.dimension = ""
            self.dimension = self._heading(_cells(line, 2))
        elif not self.defined and not self.dimension and not self.faults:
            _refuse(whole, "a unit under no dimension", "a line such as “== length” above it")
        elif self.dimension:  # what stands under a heading with a fault is told with it
            self._unit(number, _cells(line, 0))

    # --- headings --------------------------------------------------------------------------

    def _heading(self, cells: list[_Cell]) -> str:
        name, *more = cells
        if name.text in units.DIMENSIONS or name.text in self.dimensions:
            if more:
                _refuse(more[0], f"“{shorten(more[0].text)}”", "the name alone: this dimension is known")
            return name.text
        if name.text.startswith("money"):
            help = "a currency has its coins and its prices by mass and length, and comes with buildlog"
            _refuse(name, f"the dimension “{shorten(name.text)}”", "no money", help)
        if not _DIMENSION.fullmatch(name.text) or name.text in _TAKEN or len(name.text) > LONGEST_SPELLING:
            _refuse(name, f"the dimension “{shorten(name.text)}”", "words of small letters")
        if len(more) != 2 or not more[1].text:
            near = did_you_mean(name.text, units.DIMENSIONS)
            expected = "a dimension of the list, or “== name | symbol of its first unit | what it is”"
            _refuse(name, f"the dimension “{name.text}”", expected, near)
        self._see_spelling(more[0], more[0].text)
        self.dimensions[name.text] = (name.text, more[0].text, more[1].text)
        return name.text

    # --- units -----------------------------------------------------------------------------

    def _unit(self, number: int, cells: list[_Cell]) -> None:
        name, definition = _sides(cells[0])
        if not _NAME.fullmatch(name.text):
            _refuse(name, f"the name “{shorten(name.text)}”", "letters, digits and _, a letter first")
        if name.text in self.ours or name.text in self.by_name or name.text in self.faulty:
            what = "buildlog's list" if name.text in self.ours else "this file"
            _refuse(name, f"“{name.text}” again", f"a name that is not in {what} yet", code=OWN_UNIT_CLASH)
        try:
            self._keep(number, name, definition, cells)
        except _Fault:
            self.faulty.add(name.text)
            raise

    def _keep(self, number: int, name: _Cell, definition: _Cell, cells: list[_Cell]) -> None:
        if len(cells) > 6:
            _refuse(cells[6], f"{len(cells)} parts", "name = definition and five parts at most")
        end = _Cell("", cells[-1].column + len(cells[-1].text))
        symbol, system, counterpart, spellings, about = [*cells[1:], *[end] * (6 - len(cells))]
        text, digits = self._definition(definition)
        if not symbol.text:
            _refuse(symbol, "no symbol", "how pages show the unit, after a |")
        if system.text not in ("metric", "us", "both"):
            _refuse(system, f"“{shorten(system.text)}”", "metric, us or both")
        if counterpart.text and system.text == "both":
            _refuse(counterpart, f"“{shorten(counterpart.text)}”", "nothing: the unit serves both systems")
        written = tuple(dict.fromkeys((symbol.text, *_listed(spellings.text))))
        for spelling in written:
            cell = symbol if spelling == symbol.text else spellings
            self._see_spelling(cell, spelling)
            self._see_clash(cell, spelling)
        for spelling in written:
            self.by_form.update(dict.fromkeys(forms(spelling), name.text))
        self.by_name[name.text] = len(self.defined)
        self.defined.append(
            _Defined(
                line=number,
                name=name,
                definition=text,
                digits=digits,
                dimension=self.dimension,
                symbol=symbol,
                system=system.text,
                counterpart=counterpart,
                spellings=written,
                about=about.text,
            )
        )

    def _see_spelling(self, cell: _Cell, spelling: str) -> None:
        if len(spelling) > LONGEST_SPELLING or not _SPELLING.fullmatch(spelling):
            expected = "letters, ° or % first, then digits, spaces and · . / ^ ( ) ' - too"
            _refuse(cell, f"the spelling “{shorten(spelling)}”", expected)

    def _see_clash(self, cell: _Cell, spelling: str) -> None:
        for form in forms(spelling):
            if known := units.spelt(form):
                found = f"“{spelling}”, which is the {known[0].name}, a unit of {known[0].dimension}"
                _refuse(cell, found, "a spelling that is not on buildlog's list", code=OWN_UNIT_CLASH)
            if advice := units.refused(form):
                expected = "a spelling that says which is meant"
                _refuse(cell, f"“{spelling}”, which is refused", expected, advice, OWN_UNIT_CLASH)
            if form in self.by_form:
                found = f"“{spelling}”, which is the {self.by_form[form]} of this file"
                _refuse(cell, found, "a spelling of its own", code=OWN_UNIT_CLASH)

    # --- definitions -----------------------------------------------------------------------

    def _definition(self, cell: _Cell) -> tuple[str, int]:
        """What pint is told, and how many digits its number may have."""
        if cell.text.startswith("["):
            return self._base(cell), 1
        product, semicolon, offset = cell.text.partition(";")
        text, digits = self._product(_Cell(product.rstrip(), cell.column), _PRODUCT)
        if not semicolon:
            return text, digits
        key, _, zero = offset.partition(":")
        at = _Cell(offset.strip(), cell.column + len(product) + 1)
        if key.strip() != "offset" or self.dimension != "temperature":
            _refuse(at, f"“; {shorten(at.text)}”", "an offset, which only a temperature has")
        sign = "-" if zero.strip().startswith("-") else ""
        number, more = self._product(_Cell(zero.strip().removeprefix("-"), at.column), _NUMBERS)
        return f"{text}; offset: {sign}{number}", digits + more

    def _base(self, cell: _Cell) -> str:
        if not _BASE.fullmatch(cell.text):
            _refuse(cell, f"“{shorten(cell.text)}”", "a word in square brackets")
        if self.dimension not in self.dimensions or self._units_here():
            expected = "a size in other units: only the first unit of a dimension of your own is its base"
            _refuse(cell, f"“{shorten(cell.text)}”", expected)
        return f"[own_{_our_name(self.dimension)}]"

    def _units_here(self) -> bool:
        return any(row.dimension == self.dimension for row in self.defined)

    def _product(self, cell: _Cell, grammar: re.Pattern[str]) -> tuple[str, int]:
        tokens = list(_tokens(cell))
        kinds = "".join(kind for kind, _ in tokens)
        if not grammar.fullmatch(kinds):
            expected = "numbers and names of units with * and / between, as “25.4 * millimetre / 2”"
            _refuse(cell, f"“{shorten(cell.text)}”", expected)
        if len(re.findall(_FACTOR, kinds)) > MOST_FACTORS:
            _refuse(cell, f"“{shorten(cell.text)}”", f"at most {MOST_FACTORS} factors")
        parts: list[str] = []
        digits, before, length = 0, "", 0
        for kind, token in tokens:
            if before == "^":
                digits += length * (self._power(token) - 1)
            elif kind == "0":
                length = self._digits_of_number(token)
                digits += length
            elif kind == "a":
                parts += ["*"] if before == "0" else []
                length, token = self._known(token)
                digits += length
            parts.append(token.text)
            before = kind
        if digits > MOST_DIGITS:
            expected = f"a number of at most {MOST_DIGITS} digits"
            _refuse(cell, f"“{shorten(cell.text)}”, which may have {digits}", expected)
        return " ".join(parts), digits

    def _power(self, token: _Cell) -> int:
        if token.text not in map(str, range(1, MOST_POWER + 1)):
            _refuse(token, f"the power “{token.text}”", f"1 to {MOST_POWER}")
        return int(token.text)

    def _digits_of_number(self, token: _Cell) -> int:
        if not float(token.text):
            _refuse(token, f"“{token.text}”", "a number that is not zero")
        return len(token.text)

    def _known(self, token: _Cell) -> tuple[int, _Cell]:
        """The digits of a unit's number, and the name that pint knows it by."""
        if self.dimension == "temperature" and self._has_offset(token.text):
            help = "make it of kelvin, with an offset of its own"
            _refuse(token, f"“{token.text}”, whose zero would be lost", "a unit that counts from 0 K", help)
        if token.text in self.ours:
            return _DIGITS_OF_OURS, token
        if token.text in self.by_name:
            index = self.by_name[token.text]
            return self.defined[index].digits, _Cell(_own_name(index), token.column)
        if token.text in self.faulty:
            _refuse(token, f"“{token.text}”, which is not defined: its line has a fault", "a unit")
        meant = units.spelt(token.text)
        help = f"by its name it is {_our_name(meant[0].name)}" if meant else ""
        help = help or did_you_mean(token.text, [*self.ours, *self.by_name])
        _refuse(token, f"“{token.text}”", "the name of a unit of the list, or of one above", help)

    def _has_offset(self, name: str) -> bool:
        if name in self.by_name:
            return "offset" in self.defined[self.by_name[name]].definition
        return any(unit.offset and _our_name(unit.name) == name for unit in units.units_of("temperature"))

    # --- with what pint has worked out --------------------------------------------------------

    def definitions(self) -> tuple[tuple[str, str], ...]:
        return tuple((_own_name(index), row.definition) for index, row in enumerate(self.defined))

    def finished(self, worked: WorkedOut) -> OwnUnits:
        rows = []
        for index, row in enumerate(self.defined):
            try:
                factor, offset = worked.factors[_own_name(index)]
                self._see_size(index, row, factor, worked.bases)
                self._see_counterpart(row)
            except _Fault as fault:
                self._tell(row.line, fault)
            else:
                rows.append(_unit_row(row, factor, offset))
        used = {row[2] for row in rows}
        bare = [name for name, (_, symbol, _) in self.dimensions.items() if not _has(rows, name, symbol)]
        return OwnUnits(
            dimensions=tuple(row for name, row in self.dimensions.items() if name in used - set(bare)),
            units=tuple(row for row in rows if row[2] not in bare),
        )

    def _see_size(self, index: int, row: _Defined, factor: float, bases: Mapping[str, str]) -> None:
        if not _LEAST <= factor <= _MOST:
            _refuse(row.name, f"{factor:g} of the SI unit", f"{_LEAST:g} to {_MOST:g}")
        first = next(one for one, other in enumerate(self.defined) if other.dimension == row.dimension)
        like = _own_name(first)
        if row.dimension in units.DIMENSIONS:
            like = _our_name(units.units_of(row.dimension)[0].name)
        elif index == first:
            self._see_first(row, factor)
        if bases[_own_name(index)] != bases[like]:
            help = "" if row.dimension in self.dimensions else f"make it of {like}, or of a unit beside that"
            expected = f"what {row.dimension} is made of: {bases[like]}"
            _refuse(row.name, f"a unit of {bases[_own_name(index)]}", expected, help)

    def _see_first(self, row: _Defined, factor: float) -> None:
        symbol = self.dimensions[row.dimension][1]
        if row.symbol.text != symbol:
            _refuse(row.symbol, f"“{row.symbol.text}” first", f"“{symbol}” first, as the heading says")
        if factor != 1.0 or "offset" in row.definition:
            found = f"a first unit of {factor:g}"
            help = "the first unit of a dimension is the one that buildlog computes in"
            _refuse(row.name, found, "one that is made of SI units or of a base, without a number", help)

    def _see_counterpart(self, row: _Defined) -> None:
        if not row.counterpart.text:
            return
        systems = {
            other.symbol.text: other.system for other in self.defined if other.dimension == row.dimension
        }
        if row.dimension in units.DIMENSIONS:
            systems |= {unit.symbol: unit.system for unit in units.units_of(row.dimension)}
        named = _COUNTERPART.fullmatch(row.counterpart.text)
        assert named is not None
        for symbol in filter(None, named.groups()):
            if systems.get(symbol, row.system) == row.system:
                near = "" if symbol in systems else did_you_mean(symbol, systems)
                expected = f"the symbol of a unit of {row.dimension} in the other system, or nothing"
                _refuse(row.counterpart, f"the counterpart “{shorten(symbol)}”", expected, near)


def _own_name(index: int) -> str:
    return f"own_{index}"


def _has(rows: Iterable[UnitRow], dimension: str, symbol: str) -> bool:
    return any(row[2] == dimension and row[1] == symbol for row in rows)


def _unit_row(row: _Defined, factor: float, offset: float) -> UnitRow:
    name = row.name.text.replace("_", " ")
    symbol, spellings = row.symbol.text, row.spellings
    return (
        name, symbol, row.dimension, factor, offset, row.system, spellings, row.about, row.counterpart.text
    )  # fmt: skip


def _cells(line: str, at: int) -> list[_Cell]:
    """The parts of a line from a place on, those at the end that are empty left out."""
    cells = []
    for part in line[at:].split("|"):
        cells.append(_Cell(part.strip(), at + len(part) - len(part.lstrip()) + 1))
        at += len(part) + 1
    while len(cells) > 1 and not cells[-1].text:
        cells.pop()
    return cells


def _sides(cell: _Cell) -> tuple[_Cell, _Cell]:
    name, equals, definition = cell.text.partition("=")
    if not equals or not definition.strip():
        _refuse(cell, f"“{shorten(cell.text)}”", "name = definition | symbol | system | …")
    column = cell.column + len(name) + 1 + len(definition) - len(definition.lstrip())
    return _Cell(name.strip(), cell.column), _Cell(definition.strip(), column)


def _listed(text: str) -> Iterator[str]:
    return (part.strip() for part in text.split(",") if part.strip())


def _tokens(cell: _Cell) -> Iterator[tuple[str, _Cell]]:
    """Each number as 0, name as a, power as ^, and * and /."""
    at = 0
    while at < len(cell.text):
        if cell.text[at] == " ":
            at += 1
            continue
        match = _TOKEN.match(cell.text, at)
        if match is None:
            wrong = _Cell(cell.text[at], cell.column + at)
            _refuse(wrong, f"“{cell.text[at]}” in a definition", "numbers, names of units, *, / and **")
        kind = {"number": "0", "name": "a"}.get(match.lastgroup or "", match[0].replace("**", "^"))
        yield kind, _Cell(match[0], cell.column + at)
        at = match.end()
