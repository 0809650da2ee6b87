"""A kind of calculation as its file declares it, read once and checked as it is read.

Whoever works with a calculator gets a `Kind`, so that mypy knows what it has, and a declaration that does
not hold together fails where it is loaded and not in front of an author.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import isnan
from types import ModuleType
from typing import Any, Protocol, cast

from buildlog.diagnostics import Refused, did_you_mean
from buildlog.figures import units
from buildlog.kinds.blank_sheet import BlankSheet
from buildlog.kinds.chart import Chart
from buildlog.kinds.declaration import (
    OWN_DIMENSION,
    STANDINGS,
    CaseView,
    Doubt,
    Input,
    InputForm,
    Output,
    Outputs,
    Source,
    Working,
)
from buildlog.kinds.hazards import HAZARDS
from buildlog.kinds.money import CURRENCY, inputs_in, output_in
from buildlog.kinds.pattern import Pattern
from buildlog.kinds.titles import title_faults

Charts = Chart | tuple[Chart, ...] | None
Conclude = Callable[[Mapping[str, Any], Mapping[str, Any]], Mapping[str, str | dict[str, str]]]
Sheets = Callable[[Mapping[str, CaseView]], tuple[BlankSheet, ...]]
Patterns = Callable[[Mapping[str, CaseView]], tuple[Pattern, ...]]

RESERVED = frozenset(
    "id kind title car state part inputs common cases show find so_that between sweep of predicts options "
    "chosen data none".split()
)
"""What an input may not be called: the keys of a block, and what stands for a value."""

MOST_DRAWS = 1000
FEWEST_DRAWS = 100
"""How often a calculation is run for one uncertainty where it is not nearly linear (a Monte Carlo). One that
is to be run less often than the most is run only for the moves of each error."""

_NAME = re.compile(r"[a-z][a-z0-9]*(?:_[a-z0-9]+)*")
_EXAMPLE = re.compile(r"^```yaml\n(.*?)^```", re.MULTILINE | re.DOTALL)
# Any currency will do to look whether amounts of money have units.
_SOME_CURRENCY = "EUR"


class Calculator(Protocol):
    """What a file of ``buildlog/calculators`` exposes, less what begins with an underscore. `compute` gets
    validated SI inputs; optional inputs that were not given are absent from the mapping. A kind with models
    has `DOUBTS` after `SOURCES`: every `Doubt` that its working asks for. One whose `compute` takes more than
    about a millisecond says after that, as `DRAWS`, how often it may be run for one uncertainty (100 to
    1000).

    A kind whose words rest on how sure its numbers are has `conclude` as well: it gets the inputs and the
    outputs as `Value`s, with their uncertainties, and gives outputs of dimension "text". One that plans what
    is written down by hand has `sheets`, and one of parts that are cut from flat stock has `patterns`; both
    get what `chart` gets."""

    __doc__: str | None
    KIND: str
    INPUTS: tuple[Input, ...]
    OUTPUTS: tuple[Output, ...]
    SOURCES: tuple[Source, ...]
    HAZARDS: tuple[str, ...]

    def compute(self, given: Mapping[str, Any], working: Working) -> Outputs: ...

    def chart(self, cases: Mapping[str, CaseView]) -> Charts: ...


# Compared by identity: the catalogue makes each kind once, and caches ask for it by itself.
@dataclass(frozen=True, kw_only=True, eq=False)
class Kind:
    """One kind of calculation. `docstring` is its manual page, `title` the first line of it without the full
    stop, `examples` the blocks in it. `file` is where it is declared, for people."""

    name: str
    file: str
    title: str
    docstring: str
    examples: tuple[str, ...]
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    sources: tuple[Source, ...]
    hazards: tuple[str, ...]
    compute: Callable[[Mapping[str, Any], Working], Outputs]
    chart: Callable[[Mapping[str, CaseView]], Charts]
    doubts: tuple[Doubt, ...] = ()
    draws: int = MOST_DRAWS
    conclude: Conclude | None = None
    sheets: Sheets | None = None
    patterns: Patterns | None = None


class KindError(Exception):
    """A calculator's file does not declare a kind that holds together. For programmers; it lists all that is
    wrong, so that one run is enough to mend it."""

    def __init__(self, file: str, faults: Iterable[str]) -> None:
        self.file = file
        self.faults = tuple(faults)
        super().__init__(f"{file} declares no kind that can be used:\n" + "\n".join(self.faults))


def read_kind(module: ModuleType, name: str, file: str) -> Kind:
    """The kind that a module of ``buildlog/calculators`` declares. Raises `KindError`."""
    # Only what has the right types can be looked at any further.
    if wrong := list(_module_faults(module)):
        raise KindError(file, wrong)
    kind = as_declared(module, name, file)
    faults = list(kind_faults(kind))
    if name != module.KIND:
        faults.insert(0, f"KIND: “{module.KIND}”, expected the file's name, “{name}”")
    if faults:
        raise KindError(file, faults)
    return kind


def as_declared(module: ModuleType, name: str, file: str) -> Kind:
    """The kind that a module declares, unchecked: in a reader's browser, after `read_kind` has seen it."""
    calculator = cast(Calculator, module)
    docstring = (calculator.__doc__ or "").strip()
    return Kind(
        name=name,
        file=file,
        title=docstring.partition("\n")[0].rstrip("."),
        docstring=docstring,
        examples=tuple(_EXAMPLE.findall(docstring + "\n")),
        inputs=calculator.INPUTS,
        outputs=calculator.OUTPUTS,
        sources=calculator.SOURCES,
        hazards=calculator.HAZARDS,
        compute=calculator.compute,
        chart=calculator.chart,
        doubts=getattr(module, "DOUBTS", ()),
        draws=getattr(module, "DRAWS", MOST_DRAWS),
        conclude=getattr(module, "conclude", None),
        sheets=getattr(module, "sheets", None),
        patterns=getattr(module, "patterns", None),
    )


def kind_faults(kind: Kind) -> Iterator[str]:
    """All that does not hold together in a kind: what was found where, and what was expected."""
    yield from _docstring_faults(kind)
    yield from _inputs_faults("input", kind.inputs)
    for name in sorted(RESERVED & {declared.name for declared in kind.inputs}):
        yield f"input {name}: a word that blocks use themselves, expected another name"
    yield from _currency_faults(kind)
    yield from _repeated("output", [output.name for output in kind.outputs])
    yield from _repeated(
        "title", {output.name: output.title for output in kind.outputs if output.title}.values()
    )
    for output in kind.outputs:
        yield from _output_faults(output, kind.inputs)
    yield from _repeated("source", [source.id for source in kind.sources])
    for source in kind.sources:
        if source.standing not in STANDINGS:
            yield f"source {source.id}: the standing {_not_one_of(source.standing, STANDINGS)}"
    yield from _doubts_faults(kind)
    if not FEWEST_DRAWS <= kind.draws <= MOST_DRAWS:
        yield f"DRAWS: {kind.draws}, expected {FEWEST_DRAWS} to {MOST_DRAWS}"
    yield from _repeated("hazard", kind.hazards)
    for hazard in kind.hazards:
        if hazard not in HAZARDS:
            yield f"HAZARDS: {_not_one_of(hazard, HAZARDS)}"


# --- the file ------------------------------------------------------------------------------


_RECORDS = {"INPUTS": Input, "OUTPUTS": Output, "SOURCES": Source, "HAZARDS": str}
_OPTIONAL_RECORDS = {"DOUBTS": Doubt}
_PARAMETERS = {"compute": ["given", "working"], "chart": ["cases"]}
_OPTIONAL_PARAMETERS = {"conclude": ["given", "values"], "sheets": ["cases"], "patterns": ["cases"]}


def _module_faults(module: ModuleType) -> Iterator[str]:
    for name in ("KIND", *_RECORDS, *_PARAMETERS):
        if not hasattr(module, name):
            yield f"{name}: missing, expected after the docstring, as in gearing.py"
    for name, record in {**_RECORDS, **_OPTIONAL_RECORDS}.items():
        given = getattr(module, name, ())
        # A tuple of one is easily written without its comma, and a string is a sequence of strings.
        if not isinstance(given, tuple) or not all(isinstance(item, record) for item in given):
            yield f"{name}: {type(given).__name__}, expected a tuple of {record.__name__}"
    for name, wanted in {**_PARAMETERS, **_OPTIONAL_PARAMETERS}.items():
        function = getattr(module, name, None)
        if callable(function) and (taken := list(inspect.signature(function).parameters)) != wanted:
            yield f"{name}: takes {', '.join(taken)}, expected {', '.join(wanted)}"


def _docstring_faults(kind: Kind) -> Iterator[str]:
    if not kind.docstring:
        yield "no docstring, which is the kind's page in the manual"
    elif not kind.examples:
        yield "docstring: no example, expected a block that begins with ```yaml"
    for example in kind.examples[:1]:
        if not re.search(rf"^kind: {re.escape(kind.name)}$", example, re.MULTILINE):
            yield f"docstring: the example is of another kind, expected “kind: {kind.name}”"
    if not kind.sources:
        yield "SOURCES: none, expected where the formulae come from"
    if not kind.hazards:
        yield "HAZARDS: none, expected ids of buildlog/kinds/hazards.py"


# --- inputs --------------------------------------------------------------------------------


def _inputs_faults(what: str, inputs: tuple[Input, ...]) -> Iterator[str]:
    """Of inputs, or of the columns of one."""
    yield from _repeated(what, [declared.name for declared in inputs])
    for declared in inputs_in(inputs, _SOME_CURRENCY):
        place = f"{what} {declared.name}"
        yield from _name_faults(place, declared.name)
        yield from (f"{place}: {fault}" for fault in title_faults(declared.label, _dimension(declared)))
        if declared.default is not None and not declared.default_source:
            yield f"{place}: a default without default_source, expected where it comes from"
        yield from _form_faults(place, declared.form)


def _dimension(declared: Input) -> str:
    return "" if declared.form.number is None else declared.form.number.dimension


def _form_faults(place: str, form: InputForm) -> Iterator[str]:
    if form.number is not None:
        yield from _unit_faults(place, form.number.dimension, form.number.unit)
    yield from _bounds_faults(place, *form.bounds)
    if form.item is not None:
        yield from _form_faults(f"{place}, each", form.item)
    yield from _inputs_faults(f"{place}, column", form.row)


def _unit_faults(place: str, dimension: str, unit: str) -> Iterator[str]:
    if dimension not in units.DIMENSIONS:
        yield f"{place}: the dimension {_not_one_of(dimension, units.DIMENSIONS, 'a dimension of units.txt')}"
        return
    try:
        units.find(unit, dimension)
    except Refused as error:
        yield f"{place}: the unit {error.found}, expected {error.expected}"


def _bounds_faults(place: str, low: float | None, high: float | None) -> Iterator[str]:
    if any(bound is not None and isnan(bound) for bound in (low, high)):
        yield f"{place}: a bound that is no number"
    if low is not None and high is not None and low > high:
        yield f"{place}: from {low:g} to {high:g}, expected the lower bound first"


def _currency_faults(kind: Kind) -> Iterator[str]:
    """Who has prices asks which currency they are in."""
    dimensions = [number.dimension for declared in kind.inputs for number in declared.form.numbers]
    dimensions += [output.dimension for output in kind.outputs]
    money = [dimension for dimension in dimensions if dimension.startswith("money")]
    if money and CURRENCY not in [declared.name for declared in kind.inputs]:
        yield f"inputs: {money[0]} without a currency, expected an input {CURRENCY}"


# --- outputs -------------------------------------------------------------------------------


def _output_faults(output: Output, inputs: tuple[Input, ...]) -> Iterator[str]:
    place = f"output {output.name}"
    known = {declared.name: declared.form for declared in inputs}
    yield from _name_faults(place, output.name)
    yield from (f"{place}: {fault}" for fault in title_faults(output.title, output.dimension))
    if output.dimension in ("text", OWN_DIMENSION):
        if output.unit:
            what = "words" if output.dimension == "text" else "values of any dimension"
            yield f"{place}: {what} with the unit “{output.unit}”, expected none"
    else:
        shown = output_in(output, _SOME_CURRENCY)
        yield from _unit_faults(place, shown.dimension, shown.unit)
    if output.decimals < 0:
        yield f"{place}: {output.decimals} decimals, expected 0 or more"
    for name in output.needs:
        if name not in known:
            yield f"{place}: needs {_not_one_of(name, known, 'an input')}"
    if not output.of:
        return
    if not output.key:
        yield f"{place}: of without key, expected what its values are listed by"
    if output.of not in known:
        yield f"{place}: of {_not_one_of(output.of, known, 'an input')}"
    elif not _has_items(known[output.of]):
        yield f"{place}: of “{output.of}”, expected a list, or a table with a column “name”"


def _has_items(form: InputForm) -> bool:
    return form.item is not None or "name" in [column.name for column in form.row]


# --- doubts --------------------------------------------------------------------------------


def _doubts_faults(kind: Kind) -> Iterator[str]:
    yield from _repeated("doubt", [doubt.name for doubt in kind.doubts])
    known = [source.id for source in kind.sources]
    for place, doubt in (
        *((f"doubt {doubt.name}", doubt) for doubt in kind.doubts),
        *((f"input {name}: doubt {doubt.name}", doubt) for name, doubt in _doubts_of(kind.inputs)),
    ):
        yield from _name_faults(place, doubt.name)
        if not doubt.relative and not doubt.absolute:
            yield f"{place}: nothing, expected relative or absolute"
        for source in filter(None, (doubt.source, doubt.formula)):
            if source not in known:
                yield f"{place}: the source {_not_one_of(source, known)}"


def _doubts_of(inputs: tuple[Input, ...]) -> Iterator[tuple[str, Doubt]]:
    """The doubts that inputs and columns have where their author says nothing."""
    for declared in inputs:
        if declared.doubt is not None:
            yield declared.name, declared.doubt
        yield from _doubts_of(declared.form.row)


# --- words ---------------------------------------------------------------------------------


def _name_faults(place: str, name: str) -> Iterator[str]:
    if not _NAME.fullmatch(name):
        yield f"{place}: the name “{name}”, expected snake_case of a–z and 0–9"


def _repeated(what: str, names: Iterable[str]) -> Iterator[str]:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            yield f"{what} {name}: declared twice, expected once"
        seen.add(name)


def _not_one_of(word: str, known: Iterable[str], expected: str = "") -> str:
    known = list(known)
    wanted = expected or "one of " + ", ".join(known)
    hint = did_you_mean(word, known)
    return f"“{word}”, expected {wanted}" + (f"; {hint}" if hint else "")
