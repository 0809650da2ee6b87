"""The units that a build log may use, and their one table of factors.

Authors' units meet SI here and nowhere else: a value is taken to SI at a block's
edge with `Unit.to_si`, computed with as a plain float, and brought back with
`Unit.from_si`. The list is ``units.txt`` beside this file; what it does not list
is not a unit. Its definitions are worked out by pint in exact fractions, from
that file alone. Text of an author is only ever looked up, never given to pint.

Source of the factors: NIST Special Publication 811 (2008), Appendix B.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from importlib import resources
from typing import Any, Literal, cast

from buildlog.diagnostics import Refused, did_you_mean

System = Literal["metric", "us", "both"]

LONGEST_SPELLING = 60
"""No spelling is longer; a longer text is refused unread."""


@dataclass(frozen=True)
class Dimension:
    """A kind of quantity. `si` is the symbol of its SI unit, in which buildlog computes."""

    name: str
    si: str
    about: str


@dataclass(frozen=True)
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


@dataclass
class UnknownUnit(Refused):
    """A spelling that is not on the list."""

    code: str = field(default="unknown-unit")


@dataclass
class WrongDimension(Refused):
    """A spelling that is on the list, but measures something else than is wanted here."""

    code: str = field(default="wrong-dimension")
    found_dimensions: tuple[str, ...] = ()
    expected_dimension: str = ""


# --- one form for look-alike spellings ---------------------------------------------

_SPACES = frozenset(" \t\n\r\u00a0\u2007\u2009\u200a\u202f\u2002\u2003\u2004\u2005\u2006\u2008")
_DOTS = frozenset("·⋅•∙×*‧・")
_HYPHENS = frozenset("-‐‑–−")
_SUPERSCRIPTS = {"⁰": "0", "¹": "1", "²": "2", "³": "3", "⁴": "4", "⁵": "5", "⁶": "6", "⁻": "-"}
_ALIKE = _SUPERSCRIPTS | {
    "₂": "2",
    "μ": "µ",  # Greek mu for the micro sign
    "Ω": "Ω",  # ohm sign for Greek omega
    "K": "K",  # kelvin sign for K
    "º": "°",
    "˚": "°",
    "℃": "°C",
    "℉": "°F",
    "′": "'",
    "’": "'",
    "″": '"',
    "”": '"',
    "∆": "Δ",
}
_MOST_SPACES = 3


def _read(text: str, start: int) -> Iterator[tuple[str, int]]:
    """The text from `start` on in one form, a character at a time, with where each one ends.

    A space is " ", any mark that multiplies is "·", powers are plain digits. A hyphen
    multiplies too (lb-ft) unless a digit follows (min⁻¹).
    """
    at, length = start, len(text)

    def past_spaces(place: int) -> int:
        end = place
        while end < length and end - place < _MOST_SPACES and text[end] in _SPACES:
            end += 1
        return end

    while at < length:
        char = text[at]
        if char == "^" or text.startswith("**", at):
            at += 1 if char == "^" else 2
            continue
        mark_at = past_spaces(at)
        mark = text[mark_at] if mark_at < length else ""
        if mark in _DOTS or mark == "/" or (mark in _HYPHENS and mark):
            after = text[mark_at + 1 : mark_at + 2]
            if mark in _HYPHENS and after and _ALIKE.get(after, after).isdigit() and mark_at == at:
                at += 1
                yield "-", at
                continue
            if not text.startswith("**", mark_at):
                at = past_spaces(mark_at + 1)
                yield ("/" if mark == "/" else "·"), at
                continue
        if mark_at > at:
            at = mark_at
            yield " ", at
            continue
        at += 1
        for one in _ALIKE.get(char, char):
            yield one, at


def _one_form(text: str) -> str:
    return "".join(char for char, _ in _read(text.strip(), 0))


def _forms(spelling: str) -> tuple[str, ...]:
    """The one form, and the same with every separator a space and with every one a dot."""
    form = _one_form(spelling)
    return tuple(dict.fromkeys((form, form.replace("·", " "), form.replace(" ", "·"))))


# --- the table ------------------------------------------------------------------------


@dataclass(frozen=True)
class _Row:
    name: str
    definition: str
    symbol: str
    dimension: str
    system: System
    counterpart: str
    spellings: tuple[str, ...]
    about: str


@dataclass
class _Table:
    dimensions: dict[str, Dimension] = field(default_factory=dict)
    units: tuple[Unit, ...] = ()
    by_form: dict[str, tuple[Unit, ...]] = field(default_factory=dict)
    refused: dict[str, tuple[str, str]] = field(default_factory=dict)
    trie: dict[str, Any] = field(default_factory=dict)


def _split(line: str, parts: int) -> list[str]:
    cells = [cell.strip() for cell in line.split("|")]
    return cells + [""] * (parts - len(cells))


def _listed(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(",") if part.strip())


def _parse(text: str) -> tuple[dict[str, Dimension], list[_Row], dict[str, str]]:
    """The lines of ``units.txt`` as dimensions, rows and refused spellings with what to write."""
    dimensions: dict[str, Dimension] = {}
    rows: list[_Row] = []
    refused: dict[str, str] = {}
    dimension = ""
    for line in text.splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        if line.startswith("!!"):
            spellings, advice = _split(line[2:], 2)
            refused.update(dict.fromkeys(_listed(spellings), advice))
        elif line.startswith("=="):
            dimension, si, about = _split(line[2:], 3)
            dimensions[dimension] = Dimension(dimension, si, about)
        else:
            defined, symbol, system, counterpart, spellings, about = _split(line, 6)
            name, _, definition = (part.strip() for part in defined.partition("="))
            every = tuple(dict.fromkeys((symbol, *_listed(spellings))))
            rows.append(
                _Row(name, definition, symbol, dimension, cast(System, system), counterpart, every, about)
            )
    return dimensions, rows, refused


def _work_out(rows: Iterable[_Row]) -> dict[str, tuple[float, float, str]]:
    """Factor, offset and base dimensions of each row, by pint in exact fractions.

    The registry is started empty, so that it knows our definitions and nothing else.
    """
    import pint

    registry: Any = pint.UnitRegistry(None, non_int_type=Fraction)
    registry.load_definitions([f"{row.name} = {row.definition}" for row in rows])
    worked: dict[str, tuple[float, float, str]] = {}
    for row in rows:
        powers = sorted(registry.get_dimensionality(row.name).items())
        dimensions = " ".join(f"{base}^{power}" for base, power in powers)
        if "offset:" in row.definition:
            zero = registry.Quantity(Fraction(0), row.name).to_root_units().magnitude
            one = registry.Quantity(Fraction(1), row.name).to_root_units().magnitude
            worked[row.name] = (float(one - zero), float(zero), dimensions)
        else:
            worked[row.name] = (float(registry.get_root_units(row.name)[0]), 0.0, dimensions)
    return worked


def _is_preposition(form: str) -> bool:
    """Whether a reader may take the end for the word "in": "a saving of 5 lb in all"."""
    return form.endswith(" in")


def _build() -> _Table:
    text = resources.files("buildlog").joinpath("units.txt").read_text(encoding="utf-8")
    dimensions, rows, refused = _parse(text)
    worked = _work_out(rows)
    table = _Table(dimensions)
    table.units = tuple(
        Unit(
            name=row.name.replace("_", " "),
            symbol=row.symbol,
            dimension=row.dimension,
            factor=worked[row.name][0],
            offset=worked[row.name][1],
            system=row.system,
            spellings=row.spellings,
            about=row.about,
            counterpart=row.counterpart,
        )
        for row in rows
    )
    for unit in table.units:
        for spelling in unit.spellings:
            own = _one_form(spelling)
            for form in _forms(spelling):
                known = table.by_form.get(form, ())
                if unit not in known:
                    table.by_form[form] = (*known, unit)
                if form == own or not _is_preposition(form):
                    _plant(table.trie, form)
    for spelling, advice in refused.items():
        for form in _forms(spelling):
            table.refused[form] = (spelling, advice)
    return table


def _plant(trie: dict[str, Any], form: str) -> None:
    node = trie
    for char in form:
        node = node.setdefault(char, {})
    if form:
        node["end"] = True


_TABLE = _build()

DIMENSIONS: Mapping[str, Dimension] = _TABLE.dimensions
UNITS: tuple[Unit, ...] = _TABLE.units

# --- looking up ------------------------------------------------------------------------


def spelt(text: str) -> tuple[Unit, ...]:
    """All units that this spelling can mean, one a dimension, the commonest first; () if none."""
    if len(text) > LONGEST_SPELLING:
        return ()
    return _TABLE.by_form.get(_one_form(text), ())


def units_of(dimension: str) -> tuple[Unit, ...]:
    """The units of a dimension, in the order of the list."""
    _known_dimension(dimension)
    return tuple(unit for unit in UNITS if unit.dimension == dimension)


def counterpart(unit: Unit) -> Unit | None:
    """The unit of a like size that a reader of the other system wants, or None."""
    if not unit.counterpart:
        return None
    return next(
        other
        for other in UNITS
        if other.dimension == unit.dimension and other.symbol == unit.counterpart
    )


def find(spelling: str, dimension: str | None = None, *, name: str = "") -> Unit:
    """The unit of this spelling; `dimension` settles what an ambiguous one means.

    Without a dimension the commonest meaning holds: ``°C`` is a temperature. `name`
    is the input at fault, for the message. Raises `UnknownUnit` or `WrongDimension`.
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
    found = tuple(unit.dimension for unit in meanings)
    raise WrongDimension(
        name,
        found=f"“{spelling}”, a unit of {' or '.join(found)}",
        expected=f"a unit of {dimension}: {_some_symbols(dimension)}",
        help=f"give it in one of {_some_symbols(dimension)}, or use the input that takes {found[0]}",
        found_dimensions=found,
        expected_dimension=dimension,
    )


def _known_dimension(dimension: str) -> None:
    if dimension not in DIMENSIONS:
        near = did_you_mean(dimension, DIMENSIONS)
        raise KeyError(f"no dimension {dimension!r} in units.txt {near}")


def _some_symbols(dimension: str, most: int = 6) -> str:
    symbols = [unit.symbol or "a bare number" for unit in units_of(dimension)]
    return ", ".join(symbols[:most]) + (" …" if len(symbols) > most else "")


def _unknown(spelling: str, dimension: str | None, name: str) -> UnknownUnit:
    shown = spelling if len(spelling) <= LONGEST_SPELLING else spelling[:LONGEST_SPELLING] + "…"
    help = ""
    if len(spelling) <= LONGEST_SPELLING:
        _, help = _TABLE.refused.get(_one_form(spelling), ("", ""))
        if not help:
            among = UNITS if dimension is None else units_of(dimension)
            help = did_you_mean(
                spelling.strip(), [s for unit in among for s in unit.spellings if s]
            ) or did_you_mean(spelling.strip(), [s for unit in UNITS for s in unit.spellings if s])
    expected = "a unit of the list" if dimension is None else f"a unit of {dimension}"
    if dimension is not None:
        expected += f": {_some_symbols(dimension)}"
    return UnknownUnit(
        name, found=f"“{shown}”", expected=expected, help=help or "the manual lists the units"
    )


# --- in running text ----------------------------------------------------------------


def longest_at(text: str, start: int) -> tuple[str, int] | None:
    """The longest allowed spelling that starts at ``text[start]``, as written, and where it ends.

    None where there is none, or where it would end inside a word or before what makes
    another unit of it (``km/day``, ``m⁵``). Looks at no more of the text than the longest
    spelling needs, so that a scan of a page is linear.
    """
    node = _TABLE.trie
    found: tuple[str, int] | None = None
    if start >= len(text) or text[start] in _SPACES:
        return None
    for char, end in _read(text, start):
        step = node.get(char)
        if step is None:
            break
        node = step
        if "end" in node and _ends(text, end):
            found = (text[start:end], end)
    return found


def _ends(text: str, end: int) -> bool:
    """Whether a unit may end before ``text[end]``."""
    if end >= len(text):
        return True
    last, after, second = text[end - 1], text[end], text[end + 1 : end + 2]
    if after in _SUPERSCRIPTS or after == "^" or after == "_":
        return False
    if after.isalpha():
        return last in "\"″”" and after in "x×"
    if after.isdigit():
        return not last.isalnum()
    return not (after in "/·⋅∙*×(" and second.isalpha())
