"""What a calculator file declares, and what it gives back.

One kind is one file in ``buildlog/calculators`` that exposes, in this order:
its docstring (the manual page), ``KIND``, ``INPUTS``, ``OUTPUTS``, ``SOURCES``,
``HAZARDS``, ``compute`` and ``chart``. This module holds the records those
names are made of; those of the inputs and their forms are made in `buildlog.kinds.forms`,
those of charts in `buildlog.kinds.chart` and those of doubt in `buildlog.kinds.doubt`, and handed on here,
so that a calculator imports all of them from one place. Everything a calculator computes with is in SI
units.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

from buildlog.diagnostics import MissingInput
from buildlog.kinds.chart import Arrow, Axis, Bar, BarSpec, ChartSpec, Marker, Series, Zone
from buildlog.kinds.doubt import Doubt, Limit, Sureness
from buildlog.kinds.forms import (
    Choice,
    Flag,
    Input,
    InputForm,
    Listed,
    LogChannel,
    Logged,
    Measure,
    Number,
    Quantity,
    Ratio,
    Table,
    Text,
    Tyre,
    Whole,
)
from buildlog.kinds.titles import words_of
from buildlog.said import Said, said

__all__ = (
    "OWN_DIMENSION",
    "STANDINGS",
    "Arrow",
    "Axis",
    "Bar",
    "BarSpec",
    "CaseView",
    "ChartSpec",
    "Choice",
    "Doubt",
    "Flag",
    "Input",
    "InputForm",
    "Limit",
    "Listed",
    "LogChannel",
    "Logged",
    "Marker",
    "Measure",
    "Number",
    "Output",
    "Outputs",
    "Quantity",
    "Ratio",
    "Series",
    "Source",
    "Step",
    "Table",
    "Text",
    "Tyre",
    "Whole",
    "Working",
    "Zone",
    "given_together",
)

# --- what a block gives ---------------------------------------------------------

OWN_DIMENSION = "its own"
"""The dimension of an output whose values are `Measure`s: each brings its dimension and its unit along."""


@dataclass(frozen=True, kw_only=True)
class Output:
    """One quantity that figures can rest on.

    `name` is the identifier: authors' addresses rest on it, and it is never changed for its looks. `title` is
    what readers see of it, the trade's own noun phrase, which has to be read alone: “road speed at the rev
    limit”. `about` is its gloss, which says more where there is room for it; "" where there
    is no more to say.
    `unit` is what the card shows it in; `decimals` is how many are shown there.
    `key` names what the values are listed by ("gear", "segment"); "" is a single value.
    An output of dimension "text" is a word for the card, not a figure. `needs` names the
    optional inputs without which `compute` leaves the output out. Where the keys 1, 2, 3 number the
    items of an input, `of` names it, so that a reader sees what each stands for: a `Listed` one, or a
    `Table` with a column "name". Left empty, it is the input of the key's own name, if there is one.
    Where the dimension is `OWN_DIMENSION`, every value says itself what it measures.
    `is_change` marks a value that is itself a change, whose sign says which way: “7.9 kg lighter” is −7.9 kg.
    Listed outputs that are `beside` others stand in one table with those of the same key, a column each; a
    word that is `leading` stands over the numbers.
    """

    name: str
    title: str
    dimension: str
    unit: str
    about: str = ""
    decimals: int = 1
    key: str = ""
    needs: tuple[str, ...] = ()
    of: str = ""
    is_change: bool = False
    beside: bool = False
    leading: bool = False

    @property
    def gloss(self) -> str:
        """What `about` says besides the title; "" where every word of it stands there."""
        return self.about if words_of(self.about) - words_of(self.title) else ""


STANDINGS = ("published", "from memory", "derived", "common practice, no source")


@dataclass(frozen=True, kw_only=True)
class Source:
    """Where a formula or a value comes from. `where` is the clause, equation, table or page.

    `standing` is one of `STANDINGS`: "published" (read), "from memory" (published, but not read for this
    work), "derived" (follows from definitions) or "common practice, no source".
    """

    id: str
    title: str
    publisher: str = ""
    edition: str = ""
    where: str = ""
    standing: str = "published"

    @property
    def basis(self) -> str:
        """What a reader of a result has to know of it; whether we read it ourselves is for the manual."""
        return "" if self.standing in ("published", "from memory") else self.standing


@dataclass(slots=True, kw_only=True)
class Step:
    """One line of the working: which function ran, with what, giving what. Nobody changes one; it is not
    frozen since a block that is computed again and again makes thousands, and frozen ones take longer."""

    name: str
    function: Callable[..., float]
    arguments: Mapping[str, float]
    result: float
    source: str


@dataclass
class Working:
    """Runs the formulae of a calculation and keeps the steps, the remarks and the limits for the reader.

    `shifts` says by how many of its standard uncertainties each doubt is moved: none in the ordinary run,
    one at a time where the uncertainty of the results is worked out. `doubted` is every doubt that was asked
    for, by its origin. `place` is the address of the case, which its readings belong to. One that is not
    `noted` is nobody's to read: it keeps no step, remark, limit or doubt, since the calculation is made again
    and again for its results alone.
    """

    steps: list[Step] = field(default_factory=list)
    remarks: list[Said] = field(default_factory=list)
    limits: list[Limit] = field(default_factory=list)
    sureness: list[Sureness] = field(default_factory=list)
    shifts: Mapping[str, float] = field(default_factory=dict)
    doubted: dict[str, Doubt] = field(default_factory=dict)
    place: str = ""
    noted: bool = True

    def step(
        self,
        name: str,
        function: Callable[..., float],
        /,
        *records: object,
        source: str | Doubt,
        **arguments: float,
    ) -> float:
        """Compute ``function(**arguments)``, note it as `name` (an output's address or a plain name).

        Records that are no numbers (a curve, a run) go first and are not noted: the working then says in
        words how the result was found, with the numbers among the arguments. `source` is the id of the
        formula's source or, where the formula is a model, the doubt of its result.
        """
        result = function(*records, **arguments)
        if isinstance(source, Doubt):
            result = result * self.factor(source) + self.offset(source)
            source = source.formula or source.source
        if self.noted:
            self.steps.append(
                Step(name=name, function=function, arguments=arguments, result=result, source=source)
            )
        return result

    def factor(self, doubt: Doubt) -> float:
        """What to multiply a doubted quantity by inside of a model: 1 in the ordinary run."""
        return 1 + self._shift(doubt) * doubt.relative / doubt.coverage

    def offset(self, doubt: Doubt) -> float:
        """What to add to a doubted quantity inside of a model, SI: 0 in the ordinary run."""
        return self._shift(doubt) * doubt.absolute / doubt.coverage

    def scatter(self, name: str, standard: float, *, about: str, source: str, of: str = "") -> float:
        """What to add to a result of readings that scatter, SI: 0 in the ordinary run. `standard` is its
        standard uncertainty, widened by Student's t where readings are few; `name` is unique in the case.
        Readings that several cases or blocks may rest on say what they are `of`: theirs is one error."""
        if not standard:
            return 0.0
        own = f"{of or self.place}:{name}"
        if not self.noted:
            return self.shifts.get(own, 0.0) * (2 * standard) / 2.0
        doubt = Doubt(
            name="readings",
            about=about,
            source=source,
            absolute=2 * standard,
            own=own,
            words=said("by the readings"),
        )
        return self.offset(doubt)

    def _shift(self, doubt: Doubt) -> float:
        if not self.noted:
            return self.shifts.get(doubt.origin, 0.0) if self.shifts else 0.0
        self.doubted[doubt.origin] = doubt
        return self.shifts.get(doubt.origin, 0.0)

    def chain(self, values: dict[str, float], source: str, /, **formulae: Callable[..., float]) -> float:
        """Compute formulae in order: each takes its parameters from `values` and leaves its result there."""
        for name, formula in formulae.items():
            taken = {part: values[part] for part in formula.__annotations__ if part != "return"}
            values[name] = self.step(name, formula, source=source, **taken)
        return values[name]

    def remark(self, text: Said) -> None:
        """Something the reader must know of this result (what a model leaves out, say)."""
        if self.noted and text not in self.remarks:
            self.remarks.append(text)

    def limit(
        self,
        output: str,
        key: str = "",
        *,
        says: Said,
        least: float | None = None,
        most: float | None = None,
        together: str = "",
        surely: bool = False,
    ) -> None:
        """What a result has to keep to, SI; where it may not, by its uncertainty, `says` is a remark. In
        “it [may slip|slips]” the first holds while it only may, the second where it surely does not keep to
        it. Of limits with one name `together` only the one that is passed furthest is told; one that is
        `surely` to be passed is told where it is, and not where it only may be."""
        if not self.noted:
            return
        self.limits.append(
            Limit(output=output, key=key, least=least, most=most, says=says, together=together, surely=surely)
        )

    def how_sure(self, output: str, key: str = "", *, says: Said) -> None:
        """A remark with the uncertainty of a result in it: `UNCERTAINTY` and `DIGIT` stand for it."""
        self.sureness.append(Sureness(output=output, key=key, says=says))


Outputs = dict[str, "float | str | dict[str, float]"]


def given_together(given: Mapping[str, Any], names: Sequence[str], why: str = "", upon: str = "") -> bool:
    """Whether a group of inputs is given. A part of it, or it without what it builds `upon`, is refused."""
    there = [name for name in names if name in given]
    for name in (*names, upon):
        if there and name and name not in given:
            raise MissingInput(name, f"{there[0]} without {name}", f"{name} as well", help=why)
    return bool(there)


# --- what a chart gets -------------------------------------------------------------


class CaseView(Protocol):
    """What `chart` gets for each case: the inputs it ran with and the outputs it gave, SI."""

    @property
    def inputs(self) -> Mapping[str, Any]: ...

    @property
    def outputs(self) -> Mapping[str, Any]: ...

    @property
    def limits(self) -> tuple[Limit, ...]:
        """What its results have to keep to."""
        ...

    def uncertainty(self, output: str, key: str = "") -> float:
        """Expanded uncertainty of one output, SI; 0 where it has none."""
        ...

    def covariance(self, first: str, second: str) -> float:
        """Covariance of two single outputs, SI, by what moves both (JCGM 100:2008, 5.2.2)."""
        ...

    def uncertainty_of_change(self, base: CaseView, output: str, key: str = "") -> float:
        """Expanded uncertainty of what an output differs by from that of another case, SI: what both have in
        common cancels."""
        ...
