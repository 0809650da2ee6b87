"""The units that a build log may use, and their one table of factors.

Authors' units meet SI here and nowhere else: a value is taken to SI at a block's
edge with `Unit.to_si`, computed with as a plain float, and brought back with
`Unit.from_si`. The list is ``units.txt`` beside this file; what it does not list
is not a unit. Their factors stand in ``factor_table.py``, which `buildlog.figures.factors`
has worked out; text of an author is only ever looked up here. Units of a site's own
come beside them, one site's at a time (`use`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from math import inf
from typing import TYPE_CHECKING, Any, Literal, TypeVar, cast

from buildlog.diagnostics import Refused, declare, did_you_mean
from buildlog.figures import factor_table
from buildlog.figures.spellings import SPACES, forms, may_end, one_form, read

System = Literal["metric", "us", "both"]

DimensionRow = tuple[str, str, str]
"""Name, symbol of the SI unit, about."""
UnitRow = tuple[str, str, str, float, float, str, tuple[str, ...], str, str]
"""Name, symbol, dimension, factor, offset, system, spellings, about, counterpart of a unit."""

LONGEST_SPELLING = 60
"""No spelling is longer; a longer text is refused unread."""


@dataclass(frozen=True)
class Dimension:
    """A kind of quantity. `si` is the symbol of its SI unit, in which buildlog computes."""

    name: str
    si: str
    about: str


@dataclass(frozen=True, kw_only=True)
class Unit:
    """A unit: ``si = value · factor + offset``. `offset` is 0 but for °C and °F as temperatures."""

    name: str
    symbol: str
    dimension: str
    factor: float
    offset: float
    system: System
    spellings: tuple[str, ...]
    about: str = ""
    counterpart: str = ""

    def to_si(self, value: float) -> float:
        """The value in the SI unit of the dimension."""
        return value * self.factor + self.offset

    def from_si(self, value: float) -> float:
        """The SI value in this unit."""
        return (value - self.offset) / self.factor

    def to_si_difference(self, value: float) -> float:
        """A difference or an uncertainty in the SI unit: the factor without the offset."""
        return value * self.factor

    def from_si_difference(self, value: float) -> float:
        """An SI difference or uncertainty in this unit."""
        return value / self.factor

    def difference_symbol(self, number: str = "") -> str:
        """What stands after a difference, written `number`: two percentages are percentage points apart."""
        if self.symbol not in ("%", "percentage points"):
            return self.symbol
        return "percentage point" if number == "1" else "percentage points"


UNKNOWN_UNIT = declare(
    "unknown-unit",
    "not a unit that buildlog knows",
    why="A spelling that is not on the list could mean anything.",
    mend="Use a unit of the list in the manual.",
    example="mass: 742 kgs.",
)
WRONG_DIMENSION = declare(
    "wrong-dimension",
    "the unit does not measure this kind of quantity",
    why="A value in a unit of another kind is a slip: the wrong line, or the wrong name.",
    mend="Use a unit of the right kind.",
    example="rev_limit: 8200 N·m",
)


class UnknownUnit(Refused):
    """A spelling that is not on the list."""

    code = UNKNOWN_UNIT


class WrongDimension(Refused):
    """A spelling that is on the list, but measures something else than is wanted here."""

    code = WRONG_DIMENSION

    def __init__(
        self,
        name: str,
        found: str,
        expected: str,
        *,
        help: str = "",
        found_dimensions: tuple[str, ...] = (),
        expected_dimension: str = "",
    ) -> None:
        super().__init__(name, found, expected, help=help)
        self.found_dimensions = found_dimensions
        self.expected_dimension = expected_dimension


# --- the table ------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class OwnUnits:
    """What a site has beside our list: dimensions and units, read and checked by `reading.own_units`."""

    dimensions: tuple[DimensionRow, ...] = ()
    units: tuple[UnitRow, ...] = ()


_own = OwnUnits()
_made_of_units: list[Any] = []
_Made = TypeVar("_Made", bound=Callable[..., Any])


def use(own: OwnUnits) -> None:
    """Bring a site's own units into force beside ours, in place of those of another site."""
    global _own
    if own is not _own and own != _own:
        for kept in _made_of_units:
            kept.cache_clear()
    _own = own


def own_units() -> OwnUnits:
    """The site's own units in force."""
    return _own


def forgotten_with_units(kept: _Made) -> _Made:
    """Of a function that keeps what it makes of the list: it forgets when other units come into force."""
    _made_of_units.append(kept)
    return kept


@dataclass(kw_only=True)
class _Table:
    dimensions: dict[str, Dimension] = field(default_factory=dict)
    units: tuple[Unit, ...] = ()
    by_form: dict[str, tuple[Unit, ...]] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)
    by_symbol: dict[tuple[str, str], Unit] = field(default_factory=dict)


def _is_preposition(form: str) -> bool:
    """Whether a reader may take the end for the word "in": "a saving of 5 lb in all"."""
    return form.endswith(" in")


def _made(rows: Iterable[UnitRow]) -> tuple[Unit, ...]:
    return tuple(
        Unit(
            name=name,
            symbol=symbol,
            dimension=dimension,
            factor=factor,
            offset=offset,
            system=cast(System, system),
            spellings=spellings,
            about=about,
            counterpart=counterpart,
        )
        for name, symbol, dimension, factor, offset, system, spellings, about, counterpart in rows
    )


@cache
def _ours() -> tuple[Unit, ...]:
    """The units of our list: the same objects, whichever site's are beside them."""
    return _made(factor_table.UNITS)


@forgotten_with_units
@cache
def _table() -> _Table:
    """The table, built when it is first wanted."""
    dimensions = factor_table.DIMENSIONS + _own.dimensions
    table = _Table(dimensions={name: Dimension(name, si, about) for name, si, about in dimensions})
    table.units = _ours() + _made(_own.units)
    for unit in table.units:
        table.by_symbol[unit.dimension, unit.symbol] = unit
        for spelling in unit.spellings:
            for form in forms(spelling):
                known = table.by_form.get(form, ())
                if unit not in known:
                    table.by_form[form] = (*known, unit)
    for spelling, advice in factor_table.REFUSED:
        for form in forms(spelling):
            table.refused[form] = advice
    return table


@forgotten_with_units
@cache
def _trie() -> dict[str, Any]:
    """Every spelling, sign by sign, for what is looked for in running text."""
    trie: dict[str, Any] = {}
    for unit in _table().units:
        for spelling in unit.spellings:
            own = one_form(spelling)
            for form in forms(spelling):
                if form == own or not _is_preposition(form):
                    _plant(trie, form)
    return trie


def _plant(trie: dict[str, Any], form: str) -> None:
    node = trie
    for char in form:
        node = node.setdefault(char, {})
    if form:
        node["end"] = True


DIMENSIONS: Mapping[str, Dimension]
"""All dimensions by name, those of the site in force among them."""

UNITS: tuple[Unit, ...]
"""All units, in the order of the list; then those of the site in force."""


if not TYPE_CHECKING:  # or the type checker would take any name for one of ours

    def __getattr__(name):
        if name == "UNITS":
            return _table().units
        if name == "DIMENSIONS":
            return _table().dimensions
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


# --- looking up ------------------------------------------------------------------------


def spelt(text: str) -> tuple[Unit, ...]:
    """All units that this spelling can mean, one a dimension, the commonest first; () if none."""
    if len(text) > LONGEST_SPELLING:
        return ()
    return _table().by_form.get(one_form(text), ())


def refused(spelling: str) -> str:
    """What to write in place of a spelling that the list refuses, "" where it does not."""
    return _table().refused.get(one_form(spelling), "")


def units_of(dimension: str) -> tuple[Unit, ...]:
    """The units of a dimension, in the order of the list."""
    _known_dimension(dimension)
    return tuple(unit for unit in _table().units if unit.dimension == dimension)


def si_unit(dimension: str) -> Unit:
    """The unit in which buildlog computes this dimension."""
    _known_dimension(dimension)
    table = _table()
    return table.by_symbol[dimension, table.dimensions[dimension].si]


def counterpart(unit: Unit, largest: float = inf) -> Unit | None:
    """The unit of a like size that a reader of the other system wants, or None. Where small numbers have a
    unit of their own, `largest` says which they are: the largest number that is to be written, in `unit`."""
    if not unit.counterpart:
        return None
    small, _, usual = unit.counterpart.rpartition(", ")
    symbol, _, bound = small.partition(" to ")
    if small and abs(largest) <= float(bound):
        usual = symbol
    return _table().by_symbol[unit.dimension, usual]


def find(spelling: str, dimension: str | None = None, *, name: str = "") -> Unit:
    """The unit of this spelling; `dimension` settles what an ambiguous one means.

    Without a dimension the commonest meaning holds: ``°C`` is a temperature. `name`
    is the input at fault, for the message. Raises `UnknownUnit` or `WrongDimension`.

    >>> find("ft-lb", "torque").symbol
    'lbf·ft'
    >>> find("ft-lb", "energy").symbol
    'ft·lbf'
    """
    if dimension is not None:
        _known_dimension(dimension)
    meanings = spelt(spelling)
    if not meanings:
        raise _unknown(spelling, dimension, name)
    if dimension is None:
        return meanings[0]
    for unit in meanings:
        if unit.dimension == dimension:
            return unit
    measured = tuple(unit.dimension for unit in meanings)
    near = _like(spelling.strip(), units_of(dimension))
    found = "no unit"
    if spelling.strip():
        found = f"“{spelling.strip()}”, a unit of {' or '.join(measured)}"
    raise WrongDimension(
        name,
        found=found,
        expected=_a_unit_of(dimension),
        help=near or f"write it in {_some_symbols(dimension)}",
        found_dimensions=measured,
        expected_dimension=dimension,
    )


def _known_dimension(dimension: str) -> None:
    known = _table().dimensions
    if dimension not in known:
        raise KeyError(f"no dimension {dimension!r} in units.txt {did_you_mean(dimension, known)}")


def _all_spellings(units: Iterable[Unit]) -> list[str]:
    return [spelling for unit in units for spelling in unit.spellings if spelling]


def _near(spelling: str, known: list[str]) -> str:
    return did_you_mean(spelling, reversed(known))  # of hp and HP the one listed first is offered


def _like(spelling: str, units: Iterable[Unit]) -> str:
    """Of a unit that is none of these: what begins alike. lb may mean lbf, and rpm means no fpm."""
    return _near(spelling, [known for known in _all_spellings(units) if known[:1] == spelling[:1]])


def _some_symbols(dimension: str, most: int = 6) -> str:
    symbols = [unit.symbol or "a bare number" for unit in units_of(dimension)]
    listed = ", ".join(symbols[:most])
    return listed + " …" if len(symbols) > most else listed


def _a_unit_of(dimension: str | None) -> str:
    if dimension is None:
        return "a unit on buildlog's list"
    return f"a unit of {dimension}: {_some_symbols(dimension)}"


def _unknown(spelling: str, dimension: str | None, name: str) -> UnknownUnit:
    shown = spelling.strip()
    if len(spelling) > LONGEST_SPELLING:
        return UnknownUnit(
            name, f"“{shown[:LONGEST_SPELLING]}…”", _a_unit_of(dimension), help="give one unit"
        )
    advice = refused(spelling) or _nearest(shown, dimension)
    return UnknownUnit(name, f"“{shown}”", _a_unit_of(dimension), help=advice or "the manual lists all units")


def _nearest(spelling: str, dimension: str | None) -> str:
    """The unit that differs in nothing but capitals, else the nearest ones of the dimension wanted."""
    every = _all_spellings(_table().units)
    wanted = _all_spellings(units_of(dimension)) if dimension else every
    folded = one_form(spelling).casefold()
    for some in (wanted, every):
        same = [known for known in some if one_form(known).casefold() == folded]
        if same:
            return f"did you mean “{same[0]}”? Capitals matter"
        if some is wanted and (near := _near(spelling, some)):
            return near
    return f"write it in {_some_symbols(dimension)}" if dimension else ""


# --- in running text ----------------------------------------------------------------


def longest_at(text: str, start: int) -> tuple[str, int] | None:
    """The longest allowed spelling that starts at ``text[start]``, as written, and where it ends.

    None where there is none, or where it would end inside a word or before what makes
    another unit of it (``km/day``, ``m⁵``). Looks at no more of the text than the longest
    spelling needs, so that a scan of a page is linear.
    """
    node = _trie()
    longest: tuple[str, int] | None = None
    if start >= len(text) or text[start] in SPACES:
        return None
    for char, end in read(text, start):
        step = node.get(char)
        if step is None:
            break
        node = step
        if "end" in node and may_end(text, end):
            longest = (text[start:end], end)
    return longest
