"""From a block as written to a computed block: inputs gathered, formulae run, uncertainty propagated."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import isfinite
from types import ModuleType
from typing import Any

from buildlog import catalogue, units
from buildlog.calculator import ChartSpec, Output, Outputs, Table, Working
from buildlog.diagnostics import CODES, Diagnostic, Position, Refused, declare, did_you_mean
from buildlog.money import CURRENCY, inputs_in, output_in
from buildlog.reading.blocks import Block, CarSheet
from buildlog.reading.inputs import MISSING_INPUT, UNKNOWN_INPUT, InputReader, Path, wanted
from buildlog.reading.nodes import Mapping as MappingNode
from buildlog.reading.nodes import Node, Scalar, Sequence, shorten
from buildlog.results import BlockResult, CaseResult, GivenInput, Value

CALCULATION_REFUSED = declare(
    "calculation-refused",
    "the calculation cannot be made with these inputs",
    why="A figure from inputs that do not fit together would mean nothing.",
    mend="Change the inputs as described.",
)
INPUTS_CONFLICT = declare(
    "inputs-conflict",
    "inputs that exclude or contradict each other",
    why="One of them is wrong, and buildlog does not choose.",
    mend="Leave one of them out, or correct it.",
)
NO_SOLUTION = declare(
    "no-solution",
    "the equation has no single solution for these inputs",
    why="A number that solves nothing must not be published.",
    mend="Change the inputs as described.",
)
UNKNOWN_KIND = declare(
    "unknown-kind",
    "no calculator of this kind",
    why="Without a calculator nothing can be computed.",
    mend="`buildlog kinds` lists the kinds.",
    example="kind: gearin",
)
NOT_FINITE = declare(
    "not-finite",
    "the result is not a finite number",
    why="An overflow or a division by nearly nothing is no result.",
    mend="Check the inputs' units and sizes.",
)

Named = Mapping[str, tuple[Scalar, Node]]


def references(block: Block) -> list[tuple[str, Position]]:
    """Every ``calc:`` address in a block's inputs and cases, with its place."""
    found: list[tuple[str, Position]] = []
    waiting: list[Node] = [node for _, node in block.inputs.values()]
    waiting += [node for case in block.cases.values() for _, node in case.values()]
    while waiting:
        node = waiting.pop()
        if isinstance(node, Scalar) and node.text.startswith("calc:"):
            found.append((node.text.strip(), node.position))
        elif isinstance(node, Sequence):
            waiting.extend(node.items)
        elif isinstance(node, MappingNode):
            waiting.extend(value for _, value in node.entries)
    return found


class Evaluation:
    """Evaluates one block. `resolve` and `data` are the book's; see `InputReader`."""

    def __init__(
        self,
        block: Block,
        car: CarSheet | None,
        resolve: Callable[[str, Position], Value],
        data: Callable[[str, Table, Position], list[dict[str, Any]]],
    ) -> None:
        self.block = block
        self.car = car
        self.resolve = resolve
        self.data = data
        self.faults: list[Diagnostic] = list(block.faults)

    def run(self) -> BlockResult:
        """Compute every case. With any fault there are no results, so that nothing rests on half a block."""
        block = self.block
        module: ModuleType | None = None
        if block.kind:
            try:
                module = catalogue.calculator(block.kind)
            except Refused as error:
                self._report(error, block.place("kind"), len(block.kind))
        cases: dict[str, CaseResult] = {}
        if module is not None:
            for name, changed in (block.cases or {"": {}}).items():
                case = self._case(module, name, changed)
                if case is not None:
                    cases[name] = case
        faults = _unique(self.faults)
        chart: ChartSpec | None = None
        if faults or module is None:
            cases = {}
        else:
            try:
                chart = module.chart(cases)
            except Refused as error:
                faults = [
                    CODES.get(error.code, CALCULATION_REFUSED).at(
                        block.position, found=error.found, expected=error.expected, help=error.help
                    )
                ]
        title = block.title or (catalogue.title(module) if module else block.id)
        show = block.show if block.show is not None else ("table", "chart", "working", "inputs")
        return BlockResult(
            block.page,
            block.id,
            block.kind,
            title,
            block.position,
            module,
            cases,
            show,
            chart,
            _car_name(block),
            tuple(faults),
        )

    def _report(self, error: Refused, position: Position, length: int = 1) -> None:
        code = CODES.get(error.code, CALCULATION_REFUSED)
        found = f"{error.name}: {error.found}" if error.name and code is CALCULATION_REFUSED else error.found
        self.faults.append(
            code.at(position, found=found, expected=error.expected, help=error.help, length=length)
        )

    def _gather(self, module: ModuleType, changed: Named) -> dict[str, tuple[str, Scalar, Node]]:
        """Input name → (origin, key, node), the case over the block over the car's sheet."""
        known = {one.name for one in module.INPUTS}
        gathered: dict[str, tuple[str, Scalar, Node]] = {}
        if self.car is not None:
            for name, (key, node) in self.car.at(self.block.car_state).items():
                if name in known:
                    gathered[name] = ("car", key, node)
        for origin, source in (("block", self.block.inputs), ("case", changed)):
            for name, (key, node) in source.items():
                gathered[name] = (origin, key, node)
        return {
            name: entry
            for name, entry in gathered.items()
            if not (isinstance(entry[2], Scalar) and entry[2].text == "none" and not entry[2].quoted)
        }

    def _case(self, module: ModuleType, name: str, changed: Named) -> CaseResult | None:
        gathered = self._gather(module, changed)
        reader = InputReader(self.resolve, self.data)
        values = self._read(module, gathered, reader, name)
        if reader.faults:
            self.faults.extend(reader.faults)
            return None
        working = Working()
        try:
            outputs = module.compute(values, working)
        except Refused as error:
            entry = gathered.get(error.name)
            place = entry[2].position if entry else self._case_place(name)
            self._report(error, place)
            return None
        except (ArithmeticError, ValueError) as error:
            self.faults.append(
                NOT_FINITE.at(
                    self._case_place(name),
                    found=f"{type(error).__name__}: {error}",
                    expected="a finite result",
                )
            )
            return None
        code = str(values.get(CURRENCY, ""))
        declared = {output.name: output_in(output, code) for output in module.OUTPUTS}
        parts = self._contributions(module, values, reader.uncertain, outputs, name)
        results = {
            key: _value(declared[key], value, parts.get(key, {}))
            for key, value in outputs.items()
            if key in declared
        }
        for key, value in _leaves(outputs):
            if not isfinite(value):
                self.faults.append(
                    NOT_FINITE.at(
                        self._case_place(name), found=f"{key} = {value}", expected="a finite result"
                    )
                )
                return None
        given = {one.name: self._given(one, gathered, values) for one in module.INPUTS if one.name in values}
        return CaseResult(name, given, results, tuple(working.steps), tuple(working.remarks))

    def _case_place(self, name: str) -> Position:
        changed = self.block.cases.get(name)
        if changed:
            return next(iter(changed.values()))[0].position
        return self.block.place("inputs")

    def _read(
        self,
        module: ModuleType,
        gathered: dict[str, tuple[str, Scalar, Node]],
        reader: InputReader,
        case: str,
    ) -> dict[str, Any]:
        inputs = inputs_in(module.INPUTS, _currency(gathered))
        declared = {one.name: one for one in inputs}
        given = {name: (key, node) for name, (_, key, node) in gathered.items()}
        for one in inputs:  # a missing input may be given in three places: say so
            if one.name not in given and one.required:
                where = self._case_place(case)
                reader.faults.append(
                    MISSING_INPUT.at(
                        where,
                        found=f"no {one.name}" + (f" in case {case}" if case else ""),
                        expected=f"{one.name}: {wanted(one.form)}",
                        help=f"{one.about}; give it in the block, in the case, or in the car's sheet",
                    )
                )
        optional = tuple(one for one in inputs if one.name in given or not one.required)
        unknown = {name: pair for name, pair in given.items() if name not in declared}
        for name, (key, _) in unknown.items():
            reader.faults.append(_unknown(name, key, module))
        return reader.read_all(
            {name: pair for name, pair in given.items() if name in declared},
            optional,
            (),
            self.block.position,
        )

    def _given(
        self, one: Any, gathered: dict[str, tuple[str, Scalar, Node]], values: dict[str, Any]
    ) -> GivenInput:
        entry = gathered.get(one.name)
        if entry is None:
            return GivenInput(one, values[one.name], one.default or "", "default", None, one.default_source)
        origin, _, node = entry
        written = source_text(node)
        reference = ""
        if isinstance(node, Scalar) and node.text.startswith("calc:"):
            origin, reference = "calc", node.text.strip()
        elif isinstance(node, MappingNode) and isinstance(data := node.get("data"), Scalar):
            origin, reference = "data", data.text
        elif origin == "car" and self.car is not None:
            reference = _car_name(self.block)
        return GivenInput(one, values[one.name], written, origin, node.position, reference)

    def _contributions(
        self,
        module: ModuleType,
        values: dict[str, Any],
        uncertain: Mapping[Path, Mapping[str, float]],
        outputs: Outputs,
        case: str,
    ) -> dict[str, dict[str, dict[str, float]]]:
        """Signed contribution of each origin to each output (JCGM 100:2008, 5.1.3 note 2).

        Half the change of the output when the inputs move from −u to +u together; everything that
        shares an origin moves together, which keeps correlations (F.1.2).
        """
        origins: dict[str, dict[Path, float]] = {}
        for path, parts in uncertain.items():
            for origin, step in parts.items():
                origins.setdefault(origin, {})[path] = step
        found: dict[str, dict[str, dict[str, float]]] = {}
        for origin, steps in origins.items():
            try:
                high = module.compute(_moved(values, steps, 1.0), Working())
                low = module.compute(_moved(values, steps, -1.0), Working())
            except (Refused, ArithmeticError, ValueError) as error:
                self.faults.append(
                    CALCULATION_REFUSED.at(
                        self._case_place(case),
                        found=f"no result within one standard uncertainty of the value at {origin}: {error}",
                        expected="inputs that hold over their uncertainty",
                        help="state a smaller uncertainty, or an input further from its limit",
                    )
                )
                continue
            for name, value in outputs.items():
                if isinstance(value, str):
                    continue
                for key, _ in _items(value):
                    above, below = _item(high.get(name), key), _item(low.get(name), key)
                    if above is not None and below is not None:
                        found.setdefault(name, {}).setdefault(key, {})[origin] = (above - below) / 2
        return found


def _currency(gathered: Mapping[str, tuple[str, Scalar, Node]]) -> str:
    """The currency that the block's prices are in. Where it is missing or unknown that is a fault of its
    own; prices are then read as euro, and nothing comes of it."""
    node = gathered[CURRENCY][2] if CURRENCY in gathered else None
    code = node.text.strip() if isinstance(node, Scalar) else ""
    return code if f"money in {code}" in units.DIMENSIONS else "EUR"


def _unknown(name: str, key: Scalar, module: ModuleType) -> Diagnostic:
    known = [one.name for one in module.INPUTS]
    return UNKNOWN_INPUT.at(
        key.position,
        found=f"“{shorten(name)}”",
        expected="one of " + ", ".join(known),
        help=did_you_mean(name, known),
        length=len(name),
    )


def _car_name(block: Block) -> str:
    return block.car + (f"@{block.car_state}" if block.car_state is not None else "")


def _items(value: float | dict[str, float]) -> list[tuple[str, float]]:
    return list(value.items()) if isinstance(value, dict) else [("", value)]


def _item(value: float | str | dict[str, float] | None, key: str) -> float | None:
    if isinstance(value, dict):
        return value.get(key)
    return value if isinstance(value, float | int) and not key else None


def _leaves(outputs: Outputs) -> list[tuple[str, float]]:
    return [
        (f"{name}.{key}" if key else name, number)
        for name, value in outputs.items()
        if not isinstance(value, str)
        for key, number in _items(value)
    ]


def _value(
    output: Output, value: float | str | dict[str, float], parts: Mapping[str, Mapping[str, float]]
) -> Value | dict[str, Value] | str:
    if isinstance(value, str):
        return value
    made = {
        key: Value(float(number), output.dimension, output.unit, output.decimals, dict(parts.get(key, {})))
        for key, number in _items(value)
    }
    return made if isinstance(value, dict) else made[""]


def _moved(values: Any, steps: Mapping[Path, float], sign: float, path: Path = ()) -> Any:
    """A copy of the inputs with every uncertain number moved by its step."""
    if path in steps:
        return float(values) + sign * steps[path]
    if isinstance(values, dict):
        return {key: _moved(value, steps, sign, (*path, key)) for key, value in values.items()}
    if isinstance(values, list):
        return [_moved(value, steps, sign, (*path, index)) for index, value in enumerate(values)]
    return values


def source_text(node: Node, most: int = 400) -> str:
    """A node's own text on one line, for the table of inputs."""
    if isinstance(node, Scalar):
        text = node.text
    elif isinstance(node, Sequence):
        text = "[" + ", ".join(source_text(item, most) for item in node.items[:60]) + "]"
    elif isinstance(node, MappingNode):
        text = (
            "{"
            + ", ".join(f"{key.text}: {source_text(value, most)}" for key, value in node.entries[:60])
            + "}"
        )
    else:
        text = ""
    return shorten(text, most)


def _unique(faults: list[Diagnostic]) -> list[Diagnostic]:
    """Faults in order of their place, each once: two cases share the block's inputs."""
    return sorted(dict.fromkeys(faults), key=lambda fault: fault.sort_key)
