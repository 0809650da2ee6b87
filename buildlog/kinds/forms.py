"""The forms that an input can take, and what each answers for itself.

A new form is a class here and a name in `InputForm`. Two places on higher floors then fail mypy until they
know it: `buildlog.reading.inputs` (how it is read) and `buildlog.report.schemas` (its JSON Schema).
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Literal, Self

from buildlog.kinds.doubt import Doubt
from buildlog.kinds.titles import words_of


class Form(ABC):
    """What a value of an input can be. What most forms answer alike is answered here."""

    @property
    @abstractmethod
    def words(self) -> str:
        """The form in words, with its range: ``speed, 1 to 450 km/h``."""

    @property
    def reason(self) -> str:
        """Where its range comes from, or ""."""
        return ""

    @property
    def wanted(self) -> str:
        """What an author is asked for: its words, with the reason of its range."""
        if not self.reason:
            return self.words
        return f"{self.words} ({self.reason})"

    @property
    def bounds(self) -> tuple[float | None, float | None]:
        """The least and the most that a value is, or how few and how many it holds; None for no bound."""
        return None, None

    @property
    def number(self) -> Number | None:
        """The form itself where a value is one number with a unit: it can then be sought, swept and
        written in another unit."""
        return None

    @property
    def has_unit(self) -> bool:
        """Whether a value is one number with a unit, of whichever dimension."""
        return self.number is not None

    @property
    def item(self) -> InputForm | None:
        """The form of each item of a list."""
        return None

    @property
    def is_counted(self) -> bool:
        """Whether the trade counts the items of a list, so that they go by their place."""
        return False

    @property
    def row(self) -> tuple[Input, ...]:
        """What a row of a table consists of; nothing where values have no rows."""
        return ()

    @property
    def meanings(self) -> Mapping[str, str]:
        """The words that may be written, each with its meaning."""
        return {}

    @property
    def numbers(self) -> tuple[Number, ...]:
        """Every number with a unit that a value holds, at whatever depth."""
        return ()

    def with_numbers(self, change: Callable[[Number], Number]) -> Self:
        """The same form with each of its `numbers` changed."""
        return self

    @property
    def is_link(self) -> bool:
        """Whether a value is a link to follow."""
        return False

    @property
    def is_part(self) -> bool:
        """Whether a value names a part."""
        return False

    @property
    def sibling(self) -> str:
        """The column of a row whose dimension a value shares, which is read first; or ""."""
        return ""

    def in_dimension(self, dimension: str) -> Self:
        """The same form where the dimension of its `sibling` is known."""
        return self


@dataclass(frozen=True, kw_only=True)
class Number(Form):
    """A number with a dimension of `buildlog.figures.units` ("ratio" is the dimensionless one).

    `low` and `high` are inclusive, in `unit`; `why` says where the range comes from.
    `calculators` receive the SI float; of a value written as tooth counts (``41/9``)
    they receive a `Ratio`, a float that still knows its teeth.
    """

    dimension: str
    unit: str
    low: float | None = None
    high: float | None = None
    why: str = ""

    @property
    def bounds(self) -> tuple[float | None, float | None]:
        return self.low, self.high

    @property
    def words(self) -> str:
        name = "number" if self.dimension == "ratio" else self.dimension
        unit = f" {self.unit}" if self.unit else ""
        if self.low is not None and self.high is not None:
            return f"{name}, {self.low:g} to {self.high:g}{unit}"
        if self.low is not None:
            return f"{name}, {self.low:g}{unit} or more"
        if self.high is not None:
            return f"{name}, {self.high:g}{unit} or less"
        if unit:
            return f"{name}, in{unit}"
        return name

    @property
    def reason(self) -> str:
        return self.why

    @property
    def bare(self) -> bool:
        """Whether it may be written without a unit."""
        return self.dimension in ("ratio", "count")

    @property
    def number(self) -> Number:
        return self

    @property
    def numbers(self) -> tuple[Number, ...]:
        return (self,)

    def with_numbers(self, change: Callable[[Number], Number]) -> Number:
        return change(self)


@dataclass(frozen=True)
class Whole(Form):
    """A count: an integer from `low` to `high`."""

    low: int = 0
    high: int = 1_000_000
    why: str = ""

    @property
    def bounds(self) -> tuple[float | None, float | None]:
        return self.low, self.high

    @property
    def words(self) -> str:
        return f"whole number, {self.low} to {self.high}"

    @property
    def reason(self) -> str:
        return self.why


@dataclass(frozen=True)
class Choice(Form):
    """One word of a list; each word with its meaning for the manual."""

    options: Mapping[str, str]

    @property
    def words(self) -> str:
        return "one of " + ", ".join(self.options)

    @property
    def meanings(self) -> Mapping[str, str]:
        return self.options


@dataclass(frozen=True)
class Text(Form):
    """Text, shown escaped, never computed with: free, a link to follow, a date (ISO 8601), or the name of a
    part's file."""

    longest: int = 200
    of: Literal["words", "link", "date", "part"] = "words"

    @property
    def is_link(self) -> bool:
        return self.of == "link"

    @property
    def is_part(self) -> bool:
        """Whether a value names a part."""
        return self.of == "part"

    @property
    def words(self) -> str:
        if self.of == "link":
            return "link that begins with https:// or http://"
        if self.of == "date":
            return "date, like 2025-03-14"
        if self.of == "part":
            return "name of a file in parts, without .yml"
        return f"text of up to {self.longest} characters"


@dataclass(frozen=True)
class Flag(Form):
    """`yes` or `no`."""

    @property
    def words(self) -> str:
        return "yes or no"


@dataclass(frozen=True)
class Tyre(Form):
    """A tyre size designation; the calculator receives a `buildlog.physics.tyre_sizes.TyreSize`."""

    @property
    def words(self) -> str:
        return "tyre size as it is stamped, like 195/50R15 82V or 165R13"


@dataclass(frozen=True)
class Listed(Form):
    """A list of one form. Its items go by how they are written; where the trade counts them, as gears and
    cylinders, by their place, the first is 1."""

    of: Number | Whole | Text
    shortest: int = 1
    longest: int = 100
    counted: bool = False

    @property
    def bounds(self) -> tuple[float | None, float | None]:
        return self.shortest, self.longest

    @property
    def words(self) -> str:
        return f"list of {self.shortest} to {self.longest}, each: {self.of.words}"

    @property
    def item(self) -> InputForm:
        return self.of

    @property
    def is_counted(self) -> bool:
        return self.counted

    @property
    def numbers(self) -> tuple[Number, ...]:
        return self.of.numbers

    def with_numbers(self, change: Callable[[Number], Number]) -> Self:
        return replace(self, of=self.of.with_numbers(change))


@dataclass(frozen=True)
class Table(Form):
    """Rows with named columns, written as a list of mappings, or as ``{data: path.csv}``.

    The calculator receives a list of dicts; a column that a row leaves out is absent. The header of
    the CSV file names the columns, with units in brackets: ``engine_speed [rpm]``. Where `plain` names a
    column, a list of its values alone will do as well, and where `grouped` names another, such lists by its
    words: ``{before: [9.8 s, 9.9 s], after: [9.6 s, 9.7 s]}``.
    """

    columns: tuple[Input, ...]
    shortest: int = 1
    longest: int = 200
    plain: str = ""
    grouped: str = ""

    @property
    def bounds(self) -> tuple[float | None, float | None]:
        return self.shortest, self.longest

    @property
    def words(self) -> str:
        columns = ", ".join(column.name for column in self.columns)
        lists = f"a list of {self.plain}s, such lists by {self.grouped}, " if self.grouped else ""
        return f"{lists}rows with {columns}, or data: and a CSV file"

    @property
    def row(self) -> tuple[Input, ...]:
        return self.columns

    @property
    def numbers(self) -> tuple[Number, ...]:
        return tuple(number for column in self.columns for number in column.form.numbers)

    def with_numbers(self, change: Callable[[Number], Number]) -> Self:
        return replace(self, columns=tuple(column.with_numbers(change) for column in self.columns))


@dataclass(frozen=True)
class Quantity(Form):
    """A value of whatever dimension its unit or its address has; the calculator receives a `Measure`.

    In a row, `like` names the column whose dimension it shares; beside a table of values it names that. What
    `differs` is a difference of such values: of temperatures, whose scales begin somewhere, in kelvins.
    `dimension` is that one, once it is known. Without `like` a unit of temperature is one of a difference.
    """

    like: str = ""
    dimension: str = ""
    differs: bool = False

    @property
    def words(self) -> str:
        if self.like and self.differs:
            return f"a difference of {self.like}, with its unit, or calc: and an address"
        if self.differs:
            return "a difference, with its unit, or calc: and an address"
        if self.like:
            return f"a value of the dimension of {self.like}, or calc: and an address"
        return "a value with its unit, or calc: and an address"

    @property
    def has_unit(self) -> bool:
        return True

    @property
    def sibling(self) -> str:
        return self.like

    def in_dimension(self, dimension: str) -> Self:
        if self.differs and dimension == "temperature":
            dimension = "temperature difference"
        return replace(self, dimension=dimension)


@dataclass(frozen=True, kw_only=True)
class LogChannel:
    """One thing that a log has readings of. `dimension` "" is that of the unit which its author names."""

    name: str
    dimension: str
    unit: str
    about: str
    required: bool = True


@dataclass(frozen=True, kw_only=True)
class Logged(Form):
    """One or several logs of measured values, with a map of their columns; see `buildlog.reading.log_rules`.

    The calculator receives a tuple of `buildlog.kinds.logs.Log`, one for each file.
    """

    channels: tuple[LogChannel, ...]
    longest: int = 20

    @property
    def bounds(self) -> tuple[float | None, float | None]:
        return 1, self.longest

    @property
    def words(self) -> str:
        names = ", ".join(
            channel.name if channel.required else f"{channel.name} (may be left out)"
            for channel in self.channels
        )
        return f"a log: data: a CSV file, time: and columns: with {names}"


InputForm = Number | Whole | Choice | Text | Flag | Tyre | Listed | Table | Quantity | Logged
"""Every form there is, so that mypy sees whether a `match` over a form is complete."""


@dataclass(frozen=True, kw_only=True)
class Input:
    """One input, or one column of a table's rows.

    `name` is what authors write; `label` is what readers see of it, the name in words, or a `title` where
    those would be no noun phrase that can be read alone.
    `default` is written as an author would write it and is always shown as a default. `doubt` is how well
    such a value is known where its author says nothing: of roughness, friction and whatever else is guessed.
    """

    name: str
    form: InputForm
    about: str
    required: bool = True
    default: str | None = None
    default_source: str = ""
    doubt: Doubt | None = None
    title: str = ""

    @property
    def label(self) -> str:
        """What it is called in a sentence, a form or a note."""
        return self.title or self.name.replace("_", " ")

    @property
    def gloss(self) -> str:
        """What `about` says besides the label; "" where every word of it stands there."""
        return self.about if words_of(self.about) - words_of(self.label) else ""

    def __post_init__(self) -> None:
        # A default makes an input optional whatever its declaration says.
        if self.default is not None and self.required:
            object.__setattr__(self, "required", False)

    def with_numbers(self, change: Callable[[Number], Number]) -> Input:
        """The same input with each number of its form changed."""
        return replace(self, form=self.form.with_numbers(change))


class Ratio(float):
    """A ratio written as tooth counts: behaves as its value and remembers the teeth (driven, driving)."""

    teeth: tuple[int, int]

    def __new__(cls, driven: int, driving: int) -> Ratio:
        ratio = super().__new__(cls, driven / driving)
        ratio.teeth = (driven, driving)
        return ratio


class Measure(float):
    """An SI number that knows what it measures: behaves as its value and remembers dimension, unit and the
    decimals that it is shown with."""

    dimension: str
    unit: str
    decimals: int

    def __new__(cls, si: float, dimension: str, unit: str, decimals: int) -> Measure:
        measure = super().__new__(cls, si)
        measure.dimension, measure.unit, measure.decimals = dimension, unit, decimals
        return measure

    def moved_to(self, value: float) -> Measure:
        """Another value of the same kind: to find an uncertainty, inputs are moved a little."""
        return Measure(value, self.dimension, self.unit, self.decimals)
