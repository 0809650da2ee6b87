"""What is doubtful besides an author's ±: how good a model is, and what a result has to keep to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt

from buildlog.figures.units import Unit
from buildlog.said import Said, said, worded

METHOD = "method:"
"""How the origin of a contribution begins that no input makes, but the method."""
UNCERTAINTY, DIGIT = "{uncertainty}", "{digit}"
"""What stands in a text for the expanded uncertainty of a result until that is known, and for the place of
its first digit."""


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """How far a formula that is a model may be off in its range, or how well a guessed input is known.

    `relative` is a share of the quantity, `absolute` an amount of it in SI; both are half-widths. They are
    expanded uncertainties (k = 2), or, where `limits` is set, the limits of a rectangular distribution
    (JCGM 100:2008, 4.3.7). `source` is the id in the kind's SOURCES of what says so, `formula` that of the
    formula where it is another. `unit` is the SI unit of `absolute`. `range` says in words where it holds.
    Doubts of one name are one error, whichever kinds have it; those with different `part`s, made by `of`, are
    independent of each other. `own` is the origin of what is no error of a method: of the scatter of
    readings, and of an instrument. `words` say how large such an error is, where somebody wrote it.
    """

    name: str
    about: str
    source: str
    relative: float = 0.0
    absolute: float = 0.0
    limits: bool = False
    unit: str = ""
    range: str = ""
    formula: str = ""
    part: str = ""
    own: str = ""
    words: str = ""

    @property
    def coverage(self) -> float:
        """How many standard uncertainties the half-widths are."""
        return sqrt(3) if self.limits else 2.0

    @property
    def origin(self) -> str:
        """The origin of what it contributes to an uncertainty."""
        return self.own or f"{METHOD}{self.name}" + (f".{self.part}" if self.part else "")

    def standard(self, size: float) -> float:
        """The standard uncertainty of a quantity of this size, SI."""
        return (abs(size) * self.relative + self.absolute) / self.coverage

    def size(self, unit: Unit | None = None) -> str:
        """Its half-width in words, ``± 20 % (k = 2)``; an amount in a unit of its dimension, or in SI."""
        if self.words:
            return self.words
        sizes = [f"± {100 * self.relative:.3g} %"] if self.relative else []
        if self.absolute or not sizes:  # one whose size an author gave as nothing has none
            amount = unit.from_si_difference(self.absolute) if unit else self.absolute
            sizes.append(f"± {amount:.3g} {unit.difference_symbol() if unit else self.unit}".rstrip())
        size = said("{first} and {second}", first=sizes[0], second=sizes[1]) if sizes[1:] else sizes[0]
        return said("{size} (limits)", size=size) if self.limits else said("{size} (k = 2)", size=size)

    def of(self, part: str) -> Doubt:
        """The same doubt of another thing, independent of the others: of the loss of the second bend, say."""
        return replace(self, part=part)


@dataclass(frozen=True, kw_only=True)
class Limit:
    """What a result has to keep to, SI: not less than `least`, not more than `most`. Where it may not, by its
    expanded uncertainty, `says` is what a reader is told, a sentence. Where it does not, however the value
    lies within its uncertainty, the second of two wordings holds: “the clutch [may slip|slips].” Of those
    that have a name `together`, one is told: that of the value that reaches furthest beyond. Of one that is
    `surely` to be passed nothing is told as long as the value may keep to it: what two values are to agree in
    is a limit of one point, which no uncertainty lies within."""

    output: str
    key: str = ""
    least: float | None = None
    most: float | None = None
    says: Said
    together: str = ""
    surely: bool = False

    def is_met(self, value: float, uncertainty: float) -> bool:
        """Whether a value keeps to it with all of its expanded uncertainty."""
        return self.holds(value - uncertainty, value + uncertainty)

    def holds(self, low: float, high: float) -> bool:
        """Whether all between these two keeps to it."""
        return (self.least is None or low >= self.least) and (self.most is None or high <= self.most)

    def beyond(self, low: float, high: float) -> float:
        """How far what lies between these two reaches beyond it; 0 or less where all keeps to it."""
        ends = [self.least - low] if self.least is not None else []
        return max([*ends, high - self.most] if self.most is not None else ends, default=0.0)

    def is_broken(self, low: float, high: float) -> bool:
        """Whether nothing between these two keeps to it."""
        return (self.least is not None and high < self.least) or (self.most is not None and low > self.most)

    def sentence(self, low: float, high: float) -> Said:
        """What is told of a value that lies between these two."""
        return worded(self.says, 2 if self.is_broken(low, high) else 1)


@dataclass(frozen=True, kw_only=True)
class Sureness:
    """What a reader is told of how well a result is known: `says` is a sentence with `UNCERTAINTY` for its
    expanded uncertainty and `DIGIT` for the place of that one's first digit among its values."""

    output: str
    key: str = ""
    says: Said
