"""What a computed block holds: inputs with their origin, outputs with their uncertainty, the working."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from math import sqrt
from typing import Any

from buildlog.diagnostics import Diagnostic, Position
from buildlog.figures import units
from buildlog.kinds.blank_sheet import BlankSheet
from buildlog.kinds.chart import Chart
from buildlog.kinds.declaration import CaseView, Input, Output, Step
from buildlog.kinds.doubt import METHOD, Doubt, Limit
from buildlog.kinds.kind import Kind
from buildlog.kinds.money import CURRENCY, output_in
from buildlog.kinds.pattern import Pattern
from buildlog.said import Said, listed, said

BENT = "²"
"""How the origin of a contribution ends that goes with the square of an error, where a result is curved."""


@dataclass(frozen=True, kw_only=True)
class Value:
    """One computed number, SI, with what each uncertain input contributes to it.

    `contributions` maps an origin (the place where an uncertain value was written) to its signed
    standard uncertainty, ∂f/∂x · u(x). Two values that share an origin are correlated through it
    (JCGM 100:2008, 5.2 and F.1.2). Where it was found by a Monte Carlo, `low` and `high` are the ends of its
    coverage interval, SI; what is made of several values has none.
    """

    si: float
    dimension: str
    unit: str
    decimals: int
    contributions: Mapping[str, float] = field(default_factory=dict)
    low: float | None = None
    high: float | None = None

    @property
    def is_whole(self) -> bool:
        """Whether it is a count of whole things, a gear or the changes of it."""
        return self.dimension == "count" and self.decimals == 0

    @property
    def standard_uncertainty(self) -> float:
        """Combined standard uncertainty, SI (JCGM 100:2008, 5.1.2)."""
        return sqrt(sum(part * part for part in self.contributions.values()))

    @property
    def expanded_uncertainty(self) -> float:
        """Expanded uncertainty with k = 2, SI (JCGM 100:2008, 6.2.1)."""
        return 2 * self.standard_uncertainty

    @property
    def interval(self) -> tuple[float, float] | None:
        """The coverage interval, SI, where value ± U would not tell it: an end is off by a fifth of U. A
        count is never so much and a half: its interval tells what it may be."""
        if self.low is None or self.high is None:
            return None
        if self.is_whole:
            return (self.low, self.high) if self.low < self.high else None
        expanded = self.expanded_uncertainty
        off = max(abs(self.high - self.si - expanded), abs(self.si - self.low - expanded))
        return (self.low, self.high) if off > 0.2 * expanded else None

    @property
    def ends(self) -> tuple[float, float]:
        """How far down and up the quantity may be, SI: its interval, or value ∓ U."""
        if self.is_whole and self.low is not None and self.high is not None:
            return self.low, self.high
        expanded = self.expanded_uncertainty
        return self.interval or (self.si - expanded, self.si + expanded)

    @property
    def expanded_of_inputs(self) -> float:
        """The part of the expanded uncertainty that comes from the inputs, SI."""
        return 2 * sqrt(sum(part**2 for origin, part in self._parts() if not origin.startswith(METHOD)))

    @property
    def expanded_of_method(self) -> float:
        """The part of the expanded uncertainty that comes from the models, SI."""
        return 2 * sqrt(sum(part**2 for origin, part in self._parts() if origin.startswith(METHOD)))

    def _parts(self) -> list[tuple[str, float]]:
        return list(self.contributions.items())


def carried_interval(
    si: float, contributions: Mapping[str, float], numbers: Iterable[Value]
) -> tuple[float, float] | tuple[None, None]:
    """The coverage interval of a result that is in doubt by one number alone and goes along a straight line
    with it, like the margin of a value that a Monte Carlo found: it is as lopsided as the number."""
    for number in numbers:
        theirs = number.contributions
        if number.interval is None or not theirs or theirs.keys() != contributions.keys():
            continue
        origin = max(theirs, key=lambda name: abs(theirs[name]))
        slope = contributions[origin] / theirs[origin]
        size = abs(slope) * number.standard_uncertainty
        if all(abs(contributions[name] - slope * part) <= 1e-6 * size for name, part in theirs.items()):
            ends = sorted(si + slope * (end - number.si) for end in number.interval)
            return ends[0], ends[1]
    return None, None


def change_between(base: Value, value: Value, *, relative: bool = False) -> Value:
    """The change from one value to another: a difference, or a share of the first, which then is not 0.

    Contributions are combined origin by origin before they are squared, so that an input which both
    values share cancels as it should (JCGM 100:2008, F.1.2).
    """
    if relative:
        # x / b − 1 has the derivatives of x / b.
        share = (value.si - base.si) / base.si
        return replace(multiple_of(base, value), si=share, unit="%", decimals=1)
    pairs = _by_origin(base, value)
    parts = {origin: own - of_base for origin, (own, of_base) in pairs.items()}
    dimension, unit = of_differences(value.dimension, value.unit)
    return Value(
        si=value.si - base.si, dimension=dimension, unit=unit, decimals=value.decimals, contributions=parts
    )


_WITHOUT_SHARES = ("temperature", "sound level", "level difference")
"""Dimensions whose zero is where somebody put it: 71.5 °C is not 18 % more than 20 °C."""


def has_shares(value: Value) -> bool:
    """Whether “5 % more” of such a value says anything."""
    return value.dimension not in _WITHOUT_SHARES


def share_means_something(base: Value, value: Value) -> bool:
    """Whether a change is a share of what it starts from: not from 0, nor across it, as a pressure against
    ambient goes from −2000 to 57 Pa."""
    return has_shares(value) and base.si != 0 and base.si * value.si >= 0


def of_differences(dimension: str, unit: str) -> tuple[str, str]:
    """The dimension and the unit of differences between values of a dimension that are shown in a unit."""
    if dimension == "temperature":  # whose scale begins somewhere; its differences do not
        return "temperature difference", "K"
    return dimension, "percentage points" if unit == "%" else unit


def multiple_of(base: Value, value: Value) -> Value:
    """How many times the base a value is; the base is not 0.

    Contributions are combined origin by origin, as those of a change are.
    """
    # x / b, whose derivatives are 1 / b by x and −x / b² by b.
    ratio = value.si / base.si
    parts = {
        origin: (own - ratio * of_base) / base.si
        for origin, (own, of_base) in _by_origin(base, value).items()
    }
    return Value(si=ratio, dimension="ratio", unit="", decimals=2, contributions=parts)


def _by_origin(base: Value, value: Value) -> dict[str, tuple[float, float]]:
    """By origin, what it contributes to the value and to the base; in one order, for the same sum always."""
    return {
        origin: (value.contributions.get(origin, 0.0), base.contributions.get(origin, 0.0))
        for origin in sorted(value.contributions.keys() | base.contributions.keys())
    }


InsidePath = tuple[str | int, ...]
"""Where a single value stands inside an input: (), (index,) of a list, (index, column) of a table."""


@dataclass(frozen=True, kw_only=True)
class GivenInput:
    """One input as a case ran with it.

    `written` is the author's own text. `origin` is "block", "case", "car", "calc", "data" or "default" or
    "found"; `position` is where it was written (None for a default); `reference` is the `calc:` address or
    the data file it came from, or the default's source; `files` are all that it came from. `numbers` and
    `words` have every single value of it by its path inside: () where it is one, (row, column) in a table.
    Numbers are in their author's own unit and decimals. `assumed` has by the same paths the doubt of those
    whose author did not say how sure they are, where their declaration does.
    """

    declared: Input
    value: Any
    written: str
    origin: str
    position: Position | None = None
    reference: str = ""
    numbers: Mapping[InsidePath, Value] = field(default_factory=dict)
    words: Mapping[InsidePath, str] = field(default_factory=dict)
    assumed: Mapping[InsidePath, Doubt] = field(default_factory=dict)
    files: tuple[str, ...] = ()

    @property
    def assumptions(self) -> dict[str, Doubt]:
        """What is assumed of it in words, ``± 50 % (k = 2)``, each once."""
        found = {}
        for inside, doubt in self.assumed.items():
            value = self.numbers[inside]
            found[doubt.size(units.find(value.unit, value.dimension))] = doubt
        return found


@dataclass(frozen=True, kw_only=True)
class Simulation:
    """How a Monte Carlo was made (JCGM 101:2008): how many draws, from which seed, whether between moves of
    each error alone, how many of them had no result, and the inputs whose distribution was cut at what they
    may be."""

    draws: int
    seed: int
    interpolated: bool = False
    without_result: int = 0
    cut: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """How it was made, for a reader who wants to repeat it."""
        made = said(
            "Where a result is not straight enough over its uncertainty, it was found by a Monte Carlo of "
            "{draws} stratified draws from the seed {seed} (JCGM 101:2008); an end of an interval is itself "
            "uncertain by about {share} of U.",
            draws=self.draws,
            seed=self.seed,
            share=f"{100 * self.tail:.0f}\u00a0%",
        )
        if not self.interpolated:
            return made
        return listed([made, said("The draws lie between moves of each error alone.")], " ")

    @property
    def tail(self) -> float:
        """The standard error of an end of the 95.45 % interval of a normal distribution, as a share of U:
        √(p (1 − p) / n) / φ(2) of 2, p = 2.275 %."""
        return sqrt(0.02275 * 0.97725 / self.draws) / 0.05399 / 2

    @property
    def remarks(self) -> tuple[Said, ...]:
        """What a reader has to know of it."""
        told = [
            said(
                "The uncertainty of {name} reaches beyond what it can be; it was cut there.",
                name=said(name.replace("_", " ")),
            )
            for name in self.cut
        ]
        if self.without_result:
            told.append(
                said(
                    "In {without} of {draws} draws of the inputs from their uncertainty the calculation has "
                    "no result: it would refuse such inputs, so near are they to where it ends. The "
                    "uncertainty is that of the other draws.",
                    without=self.without_result,
                    draws=self.draws,
                )
            )
        return tuple(told)


@dataclass(frozen=True, kw_only=True)
class CaseResult:
    """One case of a block: `values` maps a name to a `Value` or a word, or to a dict of them by key.
    `doubted` has by its origin every doubt of the method that went into them, `origins` by theirs the words
    for the inputs that did, `stated` how far those are off as it was written. `unkept` are those of the
    remarks that say of a result that it does not keep to its limit, or may not. `simulation` says how the
    uncertainty of some of them was found by drawing; `bent` are those, as (name, key), that it would be found
    so for where nothing is drawn."""

    name: str
    given: Mapping[str, GivenInput]
    values: Mapping[str, Value | str | dict[str, Value] | dict[str, str]]
    steps: tuple[Step, ...]
    remarks: tuple[str, ...] = ()
    limits: tuple[Limit, ...] = ()
    unkept: tuple[str, ...] = ()
    doubted: Mapping[str, Doubt] = field(default_factory=dict)
    origins: Mapping[str, str] = field(default_factory=dict)
    stated: Mapping[str, str] = field(default_factory=dict)
    simulation: Simulation | None = None
    bent: frozenset[tuple[str, str]] = frozenset()

    @property
    def inputs(self) -> dict[str, Any]:
        """The SI inputs by name, as `chart` wants them."""
        return {name: given.value for name, given in self.given.items()}

    @property
    def outputs(self) -> dict[str, Any]:
        """The SI outputs by name, as `chart` wants them."""
        return {
            name: {key: _plain(single) for key, single in value.items()}
            if isinstance(value, dict)
            else _plain(value)
            for name, value in self.values.items()
        }

    def uncertainty(self, output: str, key: str = "") -> float:
        """Expanded uncertainty of one output, SI; 0 where it has none."""
        single = self._single(output, key)
        return single.expanded_uncertainty if single is not None else 0.0

    def covariance(self, first: str, second: str) -> float:
        """Covariance of two single outputs, SI, by what moves both (JCGM 100:2008, 5.2.2 and F.1.2)."""
        one, other = self.values.get(first), self.values.get(second)
        if not isinstance(one, Value) or not isinstance(other, Value):
            return 0.0
        shared = one.contributions.keys() & other.contributions.keys()
        return sum(one.contributions[origin] * other.contributions[origin] for origin in sorted(shared))

    def uncertainty_of_change(self, base: CaseView, output: str, key: str = "") -> float:
        """Expanded uncertainty of what an output differs by from that of another case, SI; 0 where one of
        the two has no such value."""
        own = self._single(output, key)
        other = base._single(output, key) if isinstance(base, CaseResult) else None
        if own is None or other is None:
            return 0.0
        return change_between(other, own).expanded_uncertainty

    def _single(self, output: str, key: str) -> Value | None:
        value = self.values.get(output)
        single = value.get(key) if isinstance(value, dict) else value
        return single if isinstance(single, Value) else None


def _plain(value: Value | str) -> float | str:
    return value if isinstance(value, str) else value.si


@dataclass(frozen=True, kw_only=True)
class SweepResult:
    """Results over a range of one input. `points` are SI values of the input `name`; `values` has for each
    column (case, output, key) one SI value a point, None where the calculation refused the point."""

    name: str
    label: str
    dimension: str
    unit: str
    points: tuple[float, ...]
    columns: tuple[tuple[str, Output, str], ...]
    values: Mapping[tuple[str, Output, str], tuple[float | None, ...]]
    refusal: str = ""


@dataclass(frozen=True, kw_only=True)
class CommonDoubt:
    """An error that several inputs share, as its author wrote it: its name, which inputs, and how far."""

    name: str
    of: tuple[str, ...]
    by: str
    position: Position

    @property
    def words(self) -> str:
        """How far, and of what."""
        size = self.by if self.by.startswith("±") else f"± {self.by}"
        return f"{size}, together: {', '.join(self.of)}"


@dataclass(frozen=True, kw_only=True)
class BlockResult:
    """A block that was read and, unless `faults` has errors, computed.

    `page` is the path under content without ``.md``; `case` "" is the only case of a block without
    cases. `title` is the author's, or the first line of the calculator's manual page. `found` declares
    the input that the block was asked to find, as an output. `chosen` is the option that the author of a
    decision went for. `named` are the rows, (output, key), that its author wants in sight, `whole_table`
    says that all of them are. `part` is the part that its pattern shows; `shown_on` is the page that shows
    what is on none of its own, as a part is.
    """

    page: str
    id: str
    kind: str
    title: str
    position: Position
    calculator: Kind | None
    cases: Mapping[str, CaseResult]
    show: tuple[str, ...]
    named: tuple[tuple[str, str], ...] = ()
    whole_table: bool = False
    charts: tuple[Chart, ...] = ()
    sheets: tuple[BlankSheet, ...] = ()
    patterns: tuple[Pattern, ...] = ()
    car: str = ""
    faults: tuple[Diagnostic, ...] = ()
    found: Output | None = None
    sweep: SweepResult | None = None
    chosen: str = ""
    common: tuple[CommonDoubt, ...] = ()
    part: str = ""
    shown_on: str = ""

    @property
    def address(self) -> str:
        return f"{self.page}#{self.id}"

    @property
    def called(self) -> str:
        """The title that its author gave it, or its id: that of its kind is a sentence."""
        titled = self.calculator is None or self.title != self.calculator.title
        return self.title if titled or not self.id else self.id

    @property
    def outputs(self) -> dict[str, Output]:
        """The calculator's declared outputs by name."""
        declared = self.calculator.outputs if self.calculator else ()
        code = next(
            (str(case.inputs[CURRENCY]) for case in self.cases.values() if CURRENCY in case.inputs), ""
        )
        outputs = {output.name: output_in(output, code) for output in declared}
        return {self.found.name: self.found, **outputs} if self.found else outputs

    def rows(self) -> list[tuple[Output, str]]:
        """(output, key) of every row of the card, in the calculator's order; key "" for a single value."""
        found: list[tuple[Output, str]] = []
        for name, output in self.outputs.items():
            keys: dict[str, None] = {}
            for case in self.cases.values():
                value = case.values.get(name)
                if isinstance(value, dict):
                    keys.update(dict.fromkeys(value))
                elif value is not None:
                    keys[""] = None
            found.extend((output, key) for key in keys)
        return found

    def remarks(self) -> list[tuple[str, tuple[str, ...]]]:
        """Each remark once, with the cases that it is about (none where it is about all)."""
        cases_of: dict[str, dict[str, None]] = {}
        for case in self.cases.values():
            for remark in case.remarks:
                cases_of.setdefault(remark, {})[case.name] = None
        return [
            (remark, () if len(cases) == len(self.cases) else tuple(cases))
            for remark, cases in cases_of.items()
        ]

    def value(self, case: str, name: str, key: str = "") -> Value | str | None:
        """The value of one cell, or None where that case has none."""
        value = self.cases[case].values.get(name)
        if isinstance(value, dict):
            return value.get(key)
        return value if not key else None


def card_anchor(block: str) -> str:
    """The id of a block's card in the page."""
    return f"calc-{block}"


def input_anchor(block: str, name: str) -> str:
    """The id of an input's row in its card. No result is called “inputs”, so that it is no result's id."""
    return f"calc-{block}.inputs.{name}"


def step_anchor(block: str, step: str, number: int = 1) -> str:
    """The id of a step of a card's working, where a name has several the second, third and so on. No result
    is called “working”, which `show` has a word for."""
    return f"calc-{block}.working.{step}" + (f".{number}" if number > 1 else "")


def sweep_anchor(block: str) -> str:
    """The id of a card's sweep. No result is called “sweep”, which is a key of blocks."""
    return f"calc-{block}.sweep"


def prediction_anchor(block: str) -> str:
    """The id of what foretold a card's results. No result is called “predicts”, which is a key of blocks."""
    return f"calc-{block}.predicts"


def row_anchor(block: str, output: str, key: str = "") -> str:
    """The id of one row of a card: every figure in the prose leads to one.

    Neither block ids nor output names hold a full stop, so no two rows of a page share an id. A key
    may be an author's word: what an id or an address cannot hold is written as its code point.
    """
    safe = "".join(sign if sign.isalnum() or sign in "-_." else f"~{ord(sign):x}~" for sign in key)
    return f"calc-{block}.{output}" + (f".{safe}" if key else "")
