"""From a block as written to a computed block: inputs gathered, formulae run, uncertainty propagated."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from math import isfinite
from typing import Any, TypeVar
from zlib import crc32

from buildlog.book.calculator_fault import calculator_fault, check_outputs
from buildlog.book.goals import sweep_charts
from buildlog.book.limits import remarks_of_limits, remarks_of_sureness
from buildlog.book.named_rows import Row, named_rows
from buildlog.book.origins import origins_in_words, stated_doubts
from buildlog.book.propagation import Propagated, propagate
from buildlog.book.runs import BlockRun, not_sought, swept
from buildlog.book.uncertainty import InputPath, Model, leaves
from buildlog.diagnostics import (
    CALCULATION_REFUSED,
    INPUTS_CONFLICT,
    MISSING_INPUT,
    NO_SOLUTION,
    Diagnostic,
    Position,
    Refused,
    declare,
    did_you_mean,
    shorten,
)
from buildlog.figures import units
from buildlog.figures.values import parse_value
from buildlog.kinds import catalogue
from buildlog.kinds.blank_sheet import BlankSheet
from buildlog.kinds.chart import Chart
from buildlog.kinds.declaration import CaseView, Input, InputForm, Measure, Output, Outputs, Working
from buildlog.kinds.kind import Kind
from buildlog.kinds.money import CURRENCY, inputs_in, output_in
from buildlog.kinds.pattern import Pattern
from buildlog.kinds.results import (
    BlockResult,
    CaseResult,
    CommonDoubt,
    GivenInput,
    InsidePath,
    SweepResult,
    Value,
    carried_interval,
)
from buildlog.reading.blocks import GOAL_SHAPE, Block, CarSheet
from buildlog.reading.common_errors import share
from buildlog.reading.inputs import UNKNOWN_INPUT, InputReader, ReadData, typed_log
from buildlog.reading.log_file import ReadLog
from buildlog.reading.log_rules import names_of_files
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, cut_key

NOT_FINITE = declare(
    "not-finite",
    "the result is not a finite number",
    why="What is too large to be written, or no number at all, is no result.",
    mend="Check the inputs' units and sizes.",
    example="two values so large that their product overflows",
)

_TOLD = 1e-3
"""Relative: to how many digits a calculator tells a value."""

Single = TypeVar("Single")
_Made = TypeVar("_Made", BlankSheet, Pattern)
Named = Mapping[str, tuple[YamlScalar, YamlNode]]
Resolve = Callable[[str, Position, str], Value]
Results = dict[str, Value | str | dict[str, Value] | dict[str, str]]


def references(block: Block) -> list[tuple[str, Position]]:
    """Every ``calc:`` address in a block's inputs and cases, and what it seeks or sweeps, with its place."""
    found: list[tuple[str, Position]] = []
    waiting: list[YamlNode] = [node for _, node in block.inputs.values()]
    waiting += [node for case in block.cases.values() for _, node in case.values()]
    if block.goal is not None:
        waiting += block.goal.target, block.goal.low, block.goal.high
    if block.sweep is not None:
        waiting += block.sweep.start, block.sweep.stop, block.sweep.step
    while waiting:
        node = waiting.pop()
        if isinstance(node, YamlScalar) and node.text.strip().startswith("calc:"):
            found.append((node.text.strip(), node.position))
        elif isinstance(node, YamlList):
            waiting.extend(node.items)
        elif isinstance(node, YamlMapping):
            waiting.extend(value for _, value in node.entries)
    return found


class Evaluation:
    """Evaluates one block. `resolve` and `data` are the book's; see `InputReader`. `resolve` is told the case
    that an address of several means where it names none, "" where it has to name one. `draws` says whether
    an uncertainty may be drawn: in a browser it is not."""

    def __init__(
        self,
        block: Block,
        car: CarSheet | None,
        resolve: Resolve,
        data: ReadData,
        logs: ReadLog = typed_log,
        *,
        draws: bool = True,
    ) -> None:
        self.block = block
        self.car = car
        self.resolve = resolve
        self.data = data
        self.logs = logs
        self.draws = draws
        self.faults: list[Diagnostic] = list(block.faults)
        self.typed: dict[tuple[str | int, ...], str] = {}

    def run(self) -> BlockResult:
        """Compute every case. With any fault there are no results, so that nothing rests on half a block."""
        block = self.block
        kind: Kind | None = None
        if block.kind:
            try:
                kind = catalogue.load_kind(block.kind)
            except Refused as error:
                self._report(error, block.place("kind"), length=len(block.kind))
        cases: dict[str, CaseResult] = {}
        runs: dict[str, BlockRun] = {}
        if kind is not None:
            for name, changed in (block.cases or {"": {}}).items():
                case = self._case(kind, name, changed, runs)
                if case is not None:
                    cases[name] = case
        named = self._named_rows(kind, cases) if kind is not None and not self.faults else ()
        sweep: SweepResult | None = None
        charts: tuple[Chart, ...] = ()
        sheets: tuple[BlankSheet, ...] = ()
        patterns: tuple[Pattern, ...] = ()
        if kind is not None and not self.faults:
            sweep, charts = self._drawn(kind, cases, runs)
            sheets = self._made(kind, kind.sheets, cases)
            patterns = tuple(
                replace(one, case=name)
                for name, case in cases.items()
                for one in self._made(kind, kind.patterns, {name: case})
            )
        faults = _unique(self.faults)
        title = block.title or (kind.title if kind else block.id)
        show = block.show if block.show is not None else ("table", "chart", "working", "inputs")
        return BlockResult(
            page=block.page,
            id=block.id,
            kind=block.kind,
            title=title,
            position=block.position,
            calculator=kind,
            cases={} if faults else cases,
            show=show,
            named=named,
            whole_table=block.whole_table,
            charts=charts,
            sheets=sheets,
            patterns=patterns,
            car=block.car,
            part=block.part.text.strip() if block.part is not None else "",
            faults=tuple(faults),
            found=next((run.found for run in runs.values()), None),
            sweep=sweep,
            chosen=block.chosen,
            common=tuple(
                CommonDoubt(
                    name=one.name,
                    of=tuple(name.text.strip() for name in one.of),
                    by=one.at.text.strip(),
                    position=one.at.position,
                )
                for one in block.common
            ),
        )

    def _named_rows(self, kind: Kind, cases: dict[str, CaseResult]) -> tuple[Row, ...]:
        """The rows that the author wants in sight."""
        declared = {output.name: output for output in kind.outputs}
        found = list(named_rows(self.block.rows, declared, cases))
        self.faults += [one for one in found if isinstance(one, Diagnostic)]
        return tuple(dict.fromkeys(one for one in found if not isinstance(one, Diagnostic)))

    def _drawn(
        self, kind: Kind, cases: dict[str, CaseResult], runs: dict[str, BlockRun]
    ) -> tuple[SweepResult | None, tuple[Chart, ...]]:
        """The block's sweep and its charts."""
        try:
            made = kind.chart(cases)
            charts: tuple[Chart, ...] = made if isinstance(made, tuple) else tuple(filter(None, (made,)))
            if self.block.sweep is None:
                return None, charts
            sweep, form = swept(self.block.sweep, runs)
            return sweep, (*sweep_charts(sweep, form, cases), *charts)
        except Refused as error:
            place = self.block.sweep.position if self.block.sweep else self.block.position
            self._report(error, place)
        except Exception as error:
            self.faults.append(calculator_fault(kind, error, self.block.position))
        return None, ()

    def _made(
        self,
        kind: Kind,
        make: Callable[[Mapping[str, CaseView]], tuple[_Made, ...]] | None,
        cases: Mapping[str, CaseResult],
    ) -> tuple[_Made, ...]:
        """What the block gives to be filled in by hand, or to be cut out."""
        try:
            return make(cases) if make else ()
        except Exception as error:
            self.faults.append(calculator_fault(kind, error, self.block.position))
            return ()

    def _report(
        self, error: Refused, position: Position, second: Position | None = None, length: int = 1
    ) -> None:
        found = error.found
        if error.name and error.code == CALCULATION_REFUSED:  # of the other kinds the place says which input
            found = f"{error.name}: {found}"
        self.faults.append(
            error.code.at(
                position,
                found=found,
                expected=error.expected,
                help=error.help,
                length=length,
                second=second,
                second_label="read for this input" if second else "",
            )
        )

    def _gather(self, kind: Kind, name: str, changed: Named) -> dict[str, tuple[str, YamlScalar, YamlNode]]:
        """Input name → (origin, key, node), the case over the block over the car's sheet."""
        known = {declared.name: declared.form for declared in kind.inputs}
        gathered: dict[str, tuple[str, YamlScalar, YamlNode]] = {}
        if self.car is not None:
            for given, (key, node) in self.car.at(self.block.state_in(name)).items():
                if given in known:
                    gathered[given] = ("car", key, node)
        for origin, source in (("block", self.block.inputs), ("case", changed)):
            for given, (key, node) in source.items():
                gathered[given] = (origin, key, node)
        return {
            given: entry
            for given, entry in gathered.items()
            if not _left_out(entry[2]) or _has_none(known.get(given))
        }

    def _case(self, kind: Kind, name: str, changed: Named, runs: dict[str, BlockRun]) -> CaseResult | None:
        gathered = self._gather(kind, name, changed)
        goal = self.block.goal
        if goal is not None:
            if error := not_sought(goal, kind.inputs):
                self._report(error, goal.position, length=len(goal.name))
                return None
            gathered[goal.name] = ("found", goal.low, goal.low)
        meant = self.block.options.get(name, "")
        reader = InputReader(
            resolve=lambda address, place: self.resolve(address, place, meant),
            data=self.data,
            logs=self.logs,
            origin_at=self.block.origin_at,
            typed=self.typed,
        )
        inputs = inputs_in(kind.inputs, _currency(gathered))
        values = self._read(kind, inputs, gathered, reader, name)
        share(reader, self.block.common, {declared.name: declared for declared in inputs}, self._all_given())
        if reader.faults:
            self.faults.extend(reader.faults)
            return None
        if goal is None and self.block.sought:
            return None  # what it is to achieve could not be read, and that has been told
        code = str(values.get(CURRENCY, ""))
        declared = {output.name: output_in(output, code) for output in kind.outputs}
        place = f"{self.block.page}#{self.block.id}.{name}".rstrip(".")
        run = runs[name] = BlockRun(
            kind=kind, inputs=inputs, declared=declared, values=values, reader=reader, place=place
        )
        working = Working(place=place)
        try:
            results = self._results(run, working)
        except Refused as error:
            error.found = _in_own_words(error, gathered, reader)
            _name_what_is_missing(error)
            _lead_from_the_car(error, gathered)
            self._report(error, *self._places_of(error, reader, gathered, name))
            return None
        except OverflowError as error:
            found = f"OverflowError: {error}"
            self.faults.append(NOT_FINITE.at(self._case_place(name), found=found, expected="a finite result"))
            return None
        except Exception as error:  # whatever it is, it is a mistake of ours: a guard that is missing, say
            self.faults.append(calculator_fault(kind, error, self.block.position))
            return None
        if reader.faults:  # of data that only computing asked for
            self.faults.extend(reader.faults)
            return None
        given = {
            declared.name: self._given(declared, name, gathered, run.values)
            for declared in inputs
            if declared.name in run.values
        }
        given = _with_single_values(given, reader)
        near = tuple(remarks_of_limits(working.limits, results))
        sure = remarks_of_sureness(working.sureness, results)
        simulation = run.spread.simulation if run.spread else None
        drawn = simulation.remarks if simulation else ()
        return CaseResult(
            name=name,
            given=given,
            values=results,
            steps=tuple(working.steps),
            remarks=tuple(dict.fromkeys((*working.remarks, *sure, *near, *drawn))),
            limits=tuple(working.limits),
            unkept=near,
            doubted=working.doubted,
            origins=origins_in_words(given, reader, self.block.common),
            stated=stated_doubts(reader, self.block.common),
            simulation=simulation,
            bent=run.spread.bent if run.spread else frozenset(),
        )

    def _spread(self, run: BlockRun, working: Working, outputs: Outputs) -> Propagated:
        """The uncertainty of a case's outputs. What is drawn for it follows from the block's address."""
        address = f"{self.block.page}#{self.block.id}"
        return propagate(
            Model(
                compute=run.compute,
                values=run.values,
                uncertain=run.reader.uncertain,
                ranges=run.reader.ranges,
                shapes=run.reader.shapes,
                doubted=working.doubted,
                seen={name: _least_seen(output) for name, output in run.declared.items()},
            ),
            outputs,
            draws=run.kind.draws if self.draws else 0,
            rest=address,
            seed=crc32(address.encode("utf-8", "surrogatepass")),
        )

    def _results(self, run: BlockRun, working: Working) -> Results:
        """Outputs of a case with their uncertainty, the sought input first where there is one."""
        goal = self.block.goal
        slopes: dict[str, float] = {}
        if goal is not None:
            slopes = run.seek(goal)
        outputs = run.kind.compute(run.values, working)
        check_outputs(outputs, run.declared)
        for output, key, value in leaves(outputs):
            if not isfinite(value):
                raise Refused("", f"{output}.{key} = {value}", "a finite result", code=NOT_FINITE)
        spread = run.spread = self._spread(run, working, outputs)
        parts = spread.parts
        lopsided = [number for number in run.reader.numbers.values() if number.interval is not None]
        results: Results = {
            name: _value(run.declared[name], value, spread, lopsided) for name, value in outputs.items()
        }
        if run.kind.conclude is not None:
            results.update(run.kind.conclude(run.values, results))
        if goal is not None and run.found is not None:
            return {goal.name: run.found_value(goal, parts, slopes), **results}
        return results

    def _places_of(
        self,
        error: Refused,
        reader: InputReader,
        gathered: Mapping[str, tuple[str, YamlScalar, YamlNode]],
        case: str,
    ) -> tuple[Position, Position | None]:
        """Where a refusal belongs: at the goal, at the input that it names and the row and column of it, or
        at its case. Of a row in a data file, the place in the block that names the file as well. What is
        missing has no place: an input that asked for it has, if the refusal names one."""
        if self.block.goal is not None and error.code in (NO_SOLUTION, GOAL_SHAPE):
            return self.block.goal.position, None
        if error.name not in gathered:
            asked = next((word for word in error.found.split() if word in gathered), None)
            return (gathered[asked][1].position if asked else self._case_place(case)), None
        place = gathered[error.name][2].position
        path = (error.name, *error.at)
        inside = reader.places.get(path, reader.places.get(path[:2], place))
        return inside, place if inside.path != place.path else None

    def _all_given(self) -> set[str]:
        """The inputs that the block has, from wherever, in any of its cases."""
        names = {name for changed in self.block.cases.values() for name in changed} | set(self.block.inputs)
        if self.car is not None:
            for state in self.block.states:
                names |= set(self.car.at(state))
        return names

    def _case_place(self, name: str) -> Position:
        changed = self.block.cases.get(name)
        if changed:
            return next(iter(changed.values()))[0].position
        return self.block.place("inputs")

    def _read(
        self,
        kind: Kind,
        inputs: tuple[Input, ...],
        gathered: dict[str, tuple[str, YamlScalar, YamlNode]],
        reader: InputReader,
        case: str,
    ) -> dict[str, Any]:
        known = {declared.name for declared in inputs}
        given = {name: (key, node) for name, (_, key, node) in gathered.items()}
        for declared in inputs:  # a missing input may be given in three places: say so
            if declared.name not in given and declared.required and declared.name != self.block.sought:
                in_case = f" in case {case}" if case else ""
                reader.faults.append(
                    MISSING_INPUT.at(
                        self._case_place(case),
                        found=f"no {declared.name}{in_case}",
                        expected=f"{declared.name}: {declared.form.wanted}",
                        help=f"{declared.about}; give it in the block, in the case, or in the car's sheet",
                    )
                )
        optional = tuple(declared for declared in inputs if declared.name in given or not declared.required)
        unknown = {name: pair for name, pair in given.items() if name not in known}
        for name, (key, _) in unknown.items():
            changed = self.block.cases.get(case, {})
            hint = cut_key(self.block.inputs, name) or cut_key(changed, name)
            reader.faults.append(_unknown(name, key, kind, hint))
        return reader.read_all(
            {name: pair for name, pair in given.items() if name in known},
            optional,
            (),
            self.block.position,
        )

    def _given(
        self,
        declared: Input,
        case: str,
        gathered: dict[str, tuple[str, YamlScalar, YamlNode]],
        values: dict[str, Any],
    ) -> GivenInput:
        entry = gathered.get(declared.name)
        if entry is None:
            return GivenInput(
                declared=declared,
                value=values[declared.name],
                written=declared.default or "",
                origin="default",
                position=None,
                reference=declared.default_source,
            )
        origin, _, node = entry
        written = source_text(node)
        reference = ""
        files: list[str] = []
        goal = self.block.goal
        if origin == "found" and goal is not None:
            written, reference = "", f"{goal.quantity} = {goal.target.text}"
        elif isinstance(node, YamlScalar) and node.text.strip().startswith("calc:"):
            origin, reference = "calc", node.text.strip()
        elif isinstance(node, YamlMapping) and (files := names_of_files(node)):
            origin, reference = "data", ", ".join(files)
        elif origin == "car" and self.car is not None:
            reference = car_in_words(self.block.car, self.block.state_in(case))
        return GivenInput(
            declared=declared,
            value=values[declared.name],
            written=written,
            origin=origin,
            position=node.position,
            reference=reference,
            files=tuple(files),
        )


def _with_single_values(given: Mapping[str, GivenInput], reader: InputReader) -> dict[str, GivenInput]:
    """The inputs of a case with every number and word that was read of them, and what was assumed of it."""
    numbers, words, assumed = _by_input(reader.numbers), _by_input(reader.words), _by_input(reader.assumed)
    return {
        name: one
        if one.origin == "found"  # what was read of it is the low bound; its value is a result
        else replace(
            one,
            numbers=numbers.get(name, {}),
            words=words.get(name, {}),
            assumed=assumed.get(name, {}),
        )
        for name, one in given.items()
    }


def _by_input(singles: Mapping[InputPath, Single]) -> dict[str, dict[InsidePath, Single]]:
    """What is known of single values, by input and then by the path inside of it."""
    found: dict[str, dict[InsidePath, Single]] = {}
    for (name, *inside), single in singles.items():
        found.setdefault(str(name), {})[tuple(inside)] = single
    return found


def _name_what_is_missing(error: Refused) -> None:
    """“loss_coefficient without it” has the name only in the refusal, which no reader sees."""
    if error.code == MISSING_INPUT and error.name:
        error.found = re.sub(r"\bwithout it\b", f"without {error.name}", error.found)
        if error.expected == "it":
            error.expected = f"{error.name} as well"


def _lead_from_the_car(error: Refused, gathered: Mapping[str, tuple[str, YamlScalar, YamlNode]]) -> None:
    """Where the car's sheet gives what a block has no use for, that the block can leave it out."""
    if error.code not in (MISSING_INPUT, INPUTS_CONFLICT):
        return
    words = (error.name, *error.found.split())
    names = dict.fromkeys(word for word in words if word in gathered and gathered[word][0] == "car")
    if names:
        leave = " and ".join(f"{name}: none" for name in names)
        advice = f"to leave out what the car's sheet has, write {leave} in the block"
        error.help = f"{error.help.rstrip('.')}; {advice}" if error.help else advice


def _in_own_words(
    error: Refused, gathered: Mapping[str, tuple[str, YamlScalar, YamlNode]], reader: InputReader
) -> str:
    """What was found, with the author's words for it where it is an input as it stands: formulae and
    calculators know only what it is in their units."""
    value = reader.numbers.get((error.name,))
    node = gathered[error.name][2] if error.name in gathered else None
    if value is None or not isinstance(node, YamlScalar):
        return error.found
    text = node.text.strip()
    try:
        told = parse_value(error.found)
        unit = units.find(told.unit, value.dimension) if told.unit else units.si_unit(value.dimension)
    except Refused:
        return error.found
    same = abs(unit.to_si(float(told.number.value)) - value.si) <= _TOLD * abs(value.si)
    if not same or unit.symbol == value.unit or text.startswith("calc:"):
        return error.found
    return f"{shorten(text)}, which is {error.found}"


def _currency(gathered: Mapping[str, tuple[str, YamlScalar, YamlNode]]) -> str:
    """The currency that the block's prices are in. Where it is missing or unknown that is a fault of its
    own; prices are then read as euro, and nothing comes of it."""
    if CURRENCY in gathered and isinstance(node := gathered[CURRENCY][2], YamlScalar):
        code = node.text.strip()
        if f"money in {code}" in units.DIMENSIONS:
            return code
    return "EUR"


def _unknown(name: str, key: YamlScalar, kind: Kind, hint: str) -> Diagnostic:
    known = [declared.name for declared in kind.inputs]
    return UNKNOWN_INPUT.at(
        key.position,
        found=f"“{shorten(name)}”",
        expected="one of " + ", ".join(known),
        help=did_you_mean(name, known) or hint,
        length=len(name),
    )


def car_in_words(car: str, state: str | int | None) -> str:
    """A car with its state, where one is named."""
    if state is None:
        return car
    return f"{car}, state {state}" if isinstance(state, int) else f"{car}, {state}"


def _value(
    output: Output,
    value: float | str | dict[str, float],
    spread: Propagated,
    lopsided: list[Value],
) -> Value | dict[str, Value] | str:
    if isinstance(value, str):
        return value

    def made(number: float, key: str) -> Value:
        says: Output | Measure = number if isinstance(number, Measure) else output
        parts = dict(spread.parts.get(output.name, {}).get(key, {}))
        low, high = spread.intervals.get((output.name, key)) or carried_interval(number, parts, lopsided)
        made = Value(
            si=float(number),
            dimension=says.dimension,
            unit=says.unit,
            decimals=says.decimals,
            contributions=parts,
            low=low,
            high=high,
        )
        if not made.is_whole or low is None or high is None:
            return made
        return replace(made, low=float(round(low)), high=float(round(high)))

    if isinstance(value, dict):
        return {key: made(number, key) for key, number in value.items()}
    return made(value, "")


def _least_seen(output: Output) -> float:
    """What shows of an output at the least: half of a digit more than the card has, as in a note, SI."""
    if output.dimension not in units.DIMENSIONS:  # words, values with a dimension of their own, no currency
        return 0.0
    unit = units.find(output.unit, output.dimension)
    return abs(unit.to_si_difference(0.5 * 10.0 ** -(output.decimals + 1)))


def source_text(node: YamlNode) -> str:
    """A node's own text on one line, whole, for the table of inputs."""
    if isinstance(node, YamlScalar):
        return " ".join(node.text.split())
    if isinstance(node, YamlList):
        return "[" + ", ".join(map(source_text, node.items)) + "]"
    if isinstance(node, YamlMapping):
        return "{" + ", ".join(f"{key.text}: {source_text(value)}" for key, value in node.entries) + "}"
    return ""


def _unique(faults: list[Diagnostic]) -> list[Diagnostic]:
    """Faults in order of their place, each once: two cases share the block's inputs."""
    return sorted(dict.fromkeys(faults), key=lambda fault: fault.sort_key)


def _left_out(node: YamlNode) -> bool:
    """Whether an input is taken out again by the word for it."""
    return isinstance(node, YamlScalar) and node.text == "none" and not node.quoted


def _has_none(form: InputForm | None) -> bool:
    """Whether “none” is one of the words that an input takes, as the load of a part that bears none."""
    return form is not None and "none" in form.meanings
