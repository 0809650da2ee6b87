"""A calculation block, a car sheet and the list of sources: their shape, before any value is read.

What a block may ask beyond its inputs is a part of its shape: `find … so_that … between …`, and
`sweep … of …`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from buildlog.diagnostics import Code, Diagnostic, Position, Severity, declare, did_you_mean, shorten
from buildlog.reading import decisions
from buildlog.reading.common_errors import CommonError, read_common
from buildlog.reading.facts import Fact, read_facts
from buildlog.reading.nodes import (
    Place,
    YamlList,
    YamlMapping,
    YamlNode,
    YamlScalar,
    cut_key,
    cut_number,
    describe,
    read_yaml,
    whole_file,
)
from buildlog.reading.predictions import KEY as PREDICTS
from buildlog.reading.predictions import Prediction, read_predictions

TABLE = "table"
WHOLE = "all"
"""Of the table: that all of its rows stay in sight."""
SHOWABLE = (TABLE, "chart", "working", "inputs")
_GOAL_KEYS = ("find", "so_that", "between")
_SWEEP_KEYS = ("sweep", "of")
BLOCK_KEYS = (
    "id",
    "kind",
    "title",
    "car",
    "state",
    "part",
    "inputs",
    "common",
    "cases",
    "show",
    *_GOAL_KEYS,
    *_SWEEP_KEYS,
    PREDICTS,
)
MOST_BLOCKS = 1000
"""Of a page, which is a hundred times what a long one has."""
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_CASE = re.compile(r"[A-Za-z0-9_\-]+")
_QUANTITY = re.compile(r"[A-Za-z0-9_\-]+(?:\.\S.*)?")
_SWEEP = re.compile(r"(?P<name>[a-z0-9_]+) from (?P<start>.+?) to (?P<stop>.+?) by (?P<step>.+)")
_SHEET = re.compile(r"[a-z0-9\-]+")
_CAR = re.compile(rf"({_SHEET.pattern})(?:@(\d{{1,4}}))?")

SOURCES = "sources.yml"
"""The list of a site's sources, beside its pages."""

BLOCK_SHAPE = declare(
    "block-shape",
    "the block is not laid out as a calculation block",
    why="buildlog has to know which calculation is meant and what its parts are.",
    mend="A block has id, kind and inputs, and may have title, car, state, cases and show.",
    example="kind: gearing        # without an id",
)
GOAL_SHAPE = declare(
    "goal-shape",
    "what is to be found, or swept, is not said fully",
    why="A search needs one input to change, one quantity to meet and the bounds to look in.",
    mend="Write find: input, so_that: {quantity.key: value}, between: [low, high]; or sweep: input from "
    "low to high by step, with of: [quantity.key].",
    example="find: final_drive        # without so_that and between",
)
UNKNOWN_KEY = declare(
    "unknown-key",
    "a key that is not known here",
    why="A mistyped key would be left out of the calculation without anybody noticing.",
    mend="Correct the spelling, or take the key out.",
    example="imputs: {final_drive: 4.10}",
)
DUPLICATE_BLOCK = declare(
    "duplicate-block",
    "two blocks of a page share an id",
    why="A figure that rests on this id could mean either block.",
    mend="Give one of them another id.",
    example="id: shorter-final        # for the second time on a page",
)
TOO_MANY_BLOCKS = declare(
    "too-many-blocks",
    "the page has more calculation blocks than are read",
    why="A limit keeps the proof quick whatever is given to it. The blocks beyond it are not computed, and "
    "no card of theirs is put into the page.",
    mend="Split the page.",
    example="a page of 1,001 blocks",
    always_counts=True,
)
CAR_SHAPE = declare(
    "car-shape",
    "the car's sheet is not laid out as one",
    why="Blocks take the inputs that they leave out from the car's sheet.",
    mend="A sheet has name, about, state and inputs, and may have a list of changes, each with state, since "
    "and inputs.",
    example="- gears: [3.3, 2.0]        # a list where name, about and inputs belong",
)
STATE_WITHOUT_NAME = declare(
    "state-without-name",
    "a state of the car has no name",
    why="A state that goes by its number is another one as soon as one is added before it.",
    mend="Give it a name in the car's sheet, state: NAME, which blocks then hold on to.",
    severity=Severity.WARNING,
    example="- since: the shorter final drive        # and no state: shorter-final",
)
SOURCE_SHAPE = declare(
    "source-shape",
    "an entry of sources.yml does not say enough",
    why="A reader must be able to find the source, or know whose word it is.",
    mend="A document has title and, where there are any, publisher, edition and page; a person's word has "
    "who and when. Either may have facts: {name: figure}.",
    example="last-owner: {who: the last owner}        # and not when",
)


@dataclass(frozen=True, kw_only=True)
class Goal:
    """Find the input `name` so that `quantity` meets `target`, looking from `low` to `high`."""

    name: str
    quantity: str
    target: YamlScalar
    low: YamlScalar
    high: YamlScalar
    position: Position


@dataclass(frozen=True, kw_only=True)
class Sweep:
    """Change the input `name` from `start` to `stop` by `step` and list the quantities `of`."""

    name: str
    start: YamlScalar
    stop: YamlScalar
    step: YamlScalar
    of: tuple[YamlScalar, ...]
    position: Position


@dataclass(frozen=True, kw_only=True)
class Block:
    """A block as written. `inputs` and each of `cases` map an input's name to (key, value) nodes.

    `car_state` is the state's name, or in the old form ``car: name@2`` its number; None is the last one.
    `sought` is the input that `find` names, also where the rest of the goal cannot be read.
    `case_states` are the names of the states that cases have of their own.
    `predicts` are what foretold results of the block, which it is set beside and never computed with.
    `rows` are the results that its author wants in sight, `quantity` or `quantity.key`, beside those that the
    text rests on; `whole_table` says that all of them are.
    `part` names the part that its pattern shows.
    `options` and `chosen` are a decision's: each option with the case that it stands for, and the one that
    was taken.
    """

    page: str
    id: str
    kind: str
    position: Position
    title: str = ""
    car: str = ""
    car_state: str | int | None = None
    inputs: Mapping[str, tuple[YamlScalar, YamlNode]] = field(default_factory=dict)
    common: tuple[CommonError, ...] = ()
    cases: Mapping[str, Mapping[str, tuple[YamlScalar, YamlNode]]] = field(default_factory=dict)
    case_states: Mapping[str, YamlScalar] = field(default_factory=dict)
    show: tuple[str, ...] | None = None
    rows: tuple[YamlScalar, ...] = ()
    whole_table: bool = False
    places: Mapping[str, Position] = field(default_factory=dict)
    goal: Goal | None = None
    sought: str = ""
    sweep: Sweep | None = None
    predicts: tuple[Prediction, ...] = ()
    options: Mapping[str, str] = field(default_factory=dict)
    chosen: str = ""
    part: YamlScalar | None = None
    faults: tuple[Diagnostic, ...] = ()

    def place(self, key: str) -> Position:
        """Where a top-level key's value was written; the block itself where it was not."""
        return self.places.get(key, self.position)

    def origin_at(self, position: Position) -> str:
        """The origin of a doubt that was written at a place. It counts from the block's own place, so that no
        result changes with the lines above."""
        here = self.position
        if position.path != here.path or position.line < here.line:
            return f"{position}"
        return f"{here.path}#{self.id}:{position.line - here.line}:{position.column}"

    def state_in(self, case: str) -> str | int | None:
        """The state of the car that a case computes with."""
        if case in self.case_states:
            return self.case_states[case].text.strip()
        return self.car_state

    @property
    def states(self) -> tuple[str | int | None, ...]:
        """The states of the car that its cases compute with, each once."""
        return tuple(dict.fromkeys(self.state_in(case) for case in self.cases or ("",)))


def _check_keys(node: YamlMapping, known: tuple[str, ...], faults: list[Diagnostic]) -> None:
    for key, _ in node.entries:
        if key.text not in known:
            hint = did_you_mean(key.text, known)
            faults.append(
                UNKNOWN_KEY.at(
                    key.position,
                    found=f"“{shorten(key.text)}”",
                    expected="one of " + ", ".join(known),
                    help=hint,
                    length=len(key.text),
                )
            )


def _read_word(node: YamlNode | None, faults: list[Diagnostic], what: str) -> str:
    """A plain text value, or "" with a fault."""
    if node is None:
        return ""
    if not isinstance(node, YamlScalar) or not node.text.strip():
        faults.append(BLOCK_SHAPE.at(node.position, found=describe(node), expected=what))
        return ""
    return node.text.strip()


def _read_named(
    node: YamlNode | None, faults: list[Diagnostic], what: str
) -> dict[str, tuple[YamlScalar, YamlNode]]:
    if node is None or (isinstance(node, YamlScalar) and not node.text):
        return {}
    if not isinstance(node, YamlMapping):
        faults.append(
            BLOCK_SHAPE.at(node.position, found=describe(node), expected=f"{what} as “name: value” lines")
        )
        return {}
    return {key.text: (key, value) for key, value in node.entries}


def read_block(body: str, place: Place, page: str, position: Position) -> Block:
    """Read the body of a ``yaml calc`` fence; all faults of its shape are on the block."""
    root, faults = read_yaml(body, place)
    if not isinstance(root, YamlMapping):
        if not faults:
            found = "an empty block" if root is None else describe(root)
            faults.append(BLOCK_SHAPE.at(position, found=found, expected="id, kind and inputs"))
        return Block(page=page, id="", kind="", position=position, faults=tuple(faults))
    named = root.get("kind")
    decides = isinstance(named, YamlScalar) and named.text.strip() == decisions.KIND
    _check_keys(root, decisions.KEYS if decides else BLOCK_KEYS, faults)
    block_id = _read_word(root.get("id"), faults, "a name")
    if not block_id:
        faults.append(BLOCK_SHAPE.at(position, found="no id", expected="id: a name of a–z, 0–9 and -"))
    elif not _ID.fullmatch(block_id):
        node = root.get("id")
        assert node is not None
        faults.append(
            BLOCK_SHAPE.at(
                node.position,
                found=f"the id “{shorten(block_id)}”",
                expected="a name of a–z, 0–9 and -",
                length=len(block_id),
            )
        )
        block_id = ""
    kind = _read_word(root.get("kind"), faults, "the name of a calculator")
    if root.get("kind") is None:
        faults.append(BLOCK_SHAPE.at(position, found="no kind", expected="kind: the name of a calculator"))
    car, state = _read_car(root, faults)
    cases, case_states = _read_cases(root.get("cases"), car, faults)
    shown = _read_show(root.get("show"), faults)
    block = Block(
        page=page,
        id=block_id,
        kind=kind,
        position=position,
        title=_read_word(root.get("title"), faults, "a title"),
        car=car,
        car_state=state,
        inputs=_read_named(root.get("inputs"), faults, "inputs"),
        common=() if decides else read_common(root.get("common"), faults),
        cases=cases,
        case_states=case_states,
        show=shown.parts,
        rows=shown.rows,
        whole_table=shown.whole_table,
        places={key.text: value.position for key, value in root.entries},
        goal=read_goal(root, faults),
        sought=_sought(root),
        sweep=read_sweep(root, faults),
        predicts=() if decides else read_predictions(root.get(PREDICTS), faults),
        part=None if decides else _read_part(root.get("part"), faults),
    )
    if decides:
        block = _deciding(block, decisions.read_decision(root, faults))
    return replace(block, faults=tuple(faults))


def _read_part(node: YamlNode | None, faults: list[Diagnostic]) -> YamlScalar | None:
    """The name of the part that the block's pattern shows, or None."""
    return node if isinstance(node, YamlScalar) and _read_word(node, faults, "the name of a part") else None


def _deciding(block: Block, decision: decisions.Decision) -> Block:
    """A block of the kind decision: its options are its cases."""
    return replace(
        block,
        inputs=decision.inputs,
        cases=decision.cases,
        options=decision.options,
        chosen=decision.chosen,
        show=decisions.SHOWN if block.show is None else block.show,
    )


def _read_cases(
    node: YamlNode | None, car: str, faults: list[Diagnostic]
) -> tuple[dict[str, dict[str, tuple[YamlScalar, YamlNode]]], dict[str, YamlScalar]]:
    """The inputs that each case changes, and the states of the car that cases have of their own."""
    cases: dict[str, dict[str, tuple[YamlScalar, YamlNode]]] = {}
    states: dict[str, YamlScalar] = {}
    for name, (key, value) in _read_named(node, faults, "cases").items():
        if not _CASE.fullmatch(name):
            faults.append(
                BLOCK_SHAPE.at(
                    key.position,
                    found=f"a case named “{shorten(name)}”",
                    expected="a name of letters, digits, - and _",
                    length=len(name),
                )
            )
            continue
        cases[name] = _read_named(value, faults, "the changed inputs")
        if "state" in cases[name]:
            _, state = cases[name].pop("state")
            if _read_state(state, faults) and isinstance(state, YamlScalar):
                states[name] = state
                _needs_car(state, car, faults)
    return cases, states


def _read_car(root: YamlMapping, faults: list[Diagnostic]) -> tuple[str, str | int | None]:
    """A block's car and its state: its name, the number of the old form, or None."""
    car, number = _read_car_name(root.get("car"), faults)
    node = root.get("state")
    state = _read_state(node, faults)
    if node is None or not state:
        return car, number
    if number is not None:
        faults.append(
            BLOCK_SHAPE.at(
                node.position,
                found=f"state: {shorten(state)} beside car: {car}@{number}",
                expected=f"car: {car}",
                length=len(state),
            )
        )
    elif "car" not in [key.text for key, _ in root.entries]:
        _needs_car(node, car, faults)
    return car, state


def _needs_car(state: YamlNode, car: str, faults: list[Diagnostic]) -> None:
    if not car:
        faults.append(
            BLOCK_SHAPE.at(state.position, found="a state without a car", expected="car: the name of a sheet")
        )


def _read_state(node: YamlNode | None, faults: list[Diagnostic], shape: Code = BLOCK_SHAPE) -> str:
    """The name of a car's state, or ""; `shape` is the code of what no name can be."""
    name = _read_word(node, faults, "the name of a state of the car's sheet")
    if node is None or not name or (_CASE.fullmatch(name) and not name.isdecimal()):
        return name
    faults.append(
        shape.at(
            node.position,
            found=f"a state named “{shorten(name)}”",
            expected="a name of letters, digits, - and _, and no bare number",
            help=f"write state: {suggested_name(name)}" if suggested_name(name) else "",
            length=len(name),
        )
    )
    return ""


def suggested_name(words: str) -> str:
    """A name that can stand in blocks, made of an author's words; "" where nothing is left of them."""
    name = "-".join(re.findall(r"[a-z0-9]+", words.lower()))
    return "" if name.isdecimal() else name


def _read_car_name(node: YamlNode | None, faults: list[Diagnostic]) -> tuple[str, int | None]:
    text = _read_word(node, faults, "the name of a sheet in the folder cars")
    if not text or node is None:
        return "", None
    match = _CAR.fullmatch(text)
    if match is None:
        faults.append(
            BLOCK_SHAPE.at(
                node.position,
                found=f"“{shorten(text)}”",
                expected="a sheet's name of a–z, 0–9 and -; its state is a key of its own, state: NAME",
                help="a sheet's name is that of its file in the folder cars, without .yml",
                length=len(text),
            )
        )
        return "", None
    return match[1], int(match[2]) if match[2] else None


@dataclass(frozen=True)
class _Shown:
    """What `show` says: parts of the card, None where it says nothing of them, and rows of the table."""

    parts: tuple[str, ...] | None = None
    rows: tuple[YamlScalar, ...] = ()
    whole_table: bool = False


def _read_show(node: YamlNode | None, faults: list[Diagnostic]) -> _Shown:
    """A list of parts, one of which may be ``{table: [results]}``; or that alone, of all parts."""
    if node is None:
        return _Shown()
    if isinstance(node, YamlMapping):
        return _read_table(node, faults)
    shown = _Shown(())
    for item in node.items if isinstance(node, YamlList) else (node,):
        if isinstance(item, YamlMapping):
            shown = replace(_read_table(item, faults), parts=(*(shown.parts or ()), TABLE))
            continue
        word = item.text if isinstance(item, YamlScalar) else describe(item)
        if word in SHOWABLE:
            shown = replace(shown, parts=(*(shown.parts or ()), word))
        else:
            faults.append(
                UNKNOWN_KEY.at(
                    item.position,
                    found=f"“{shorten(word)}”",
                    expected="one of " + ", ".join(SHOWABLE),
                    help=did_you_mean(word, SHOWABLE),
                    length=len(word),
                )
            )
    return shown


def _read_table(node: YamlMapping, faults: list[Diagnostic]) -> _Shown:
    """Which rows of the table stay in sight: ``{table: all}``, or ``{table: [quantity, quantity.key]}``."""
    for key, _ in node.entries:
        if key.text != TABLE:
            listed = f"write show: [{{{TABLE}: [QUANTITY]}}, {key.text}]" if key.text in SHOWABLE else ""
            faults.append(
                UNKNOWN_KEY.at(
                    key.position,
                    found=f"“{shorten(key.text)}”",
                    expected=f"{TABLE}, with the results that stay in sight",
                    help=listed or did_you_mean(key.text, (TABLE,)),
                    length=len(key.text),
                )
            )
    said = node.get(TABLE)
    if said is None:
        return _Shown()
    names = said.items if isinstance(said, YamlList) else (said,)
    rows = tuple(name for name in names if isinstance(name, YamlScalar) and _QUANTITY.fullmatch(name.text))
    if not rows or len(rows) != len(names):
        wrong = next((name for name in names if name not in rows), said)
        found = f"“{shorten(wrong.text)}”" if isinstance(wrong, YamlScalar) else describe(wrong)
        faults.append(
            BLOCK_SHAPE.at(
                wrong.position, found=found, expected=f"{TABLE}: all, or {TABLE}: [QUANTITY, QUANTITY.KEY]"
            )
        )
        return _Shown()
    if not isinstance(said, YamlList) and rows[0].text == WHOLE:
        return _Shown(whole_table=True)
    return _Shown(rows=rows)


def _sought(root: YamlMapping) -> str:
    node = root.get("find")
    return node.text.strip() if isinstance(node, YamlScalar) else ""


def read_goal(root: YamlMapping, faults: list[Diagnostic]) -> Goal | None:
    """The block's `find`, or None; half a goal is a fault."""
    asked = {key: root.get(key) for key in _GOAL_KEYS}
    if not any(asked.values()):
        return None
    position = next(node.position for node in asked.values() if node is not None)
    missing = [key for key, node in asked.items() if node is None]
    if missing:
        faults.append(GOAL_SHAPE.at(position, found="no " + " and no ".join(missing), expected="all three"))
        return None
    find, so_that, between = asked["find"], asked["so_that"], asked["between"]
    if not isinstance(find, YamlScalar) or not find.text:
        _goal_fault(find, "find: the name of an input", faults)
        return None
    if not (isinstance(so_that, YamlMapping) and len(so_that.entries) == 1):
        _goal_fault(so_that, "so_that: {quantity.key: value}, one quantity", faults, _cut_target(so_that))
        return None
    key, value = so_that.entries[0]
    if not isinstance(value, YamlScalar) or not _QUANTITY.fullmatch(key.text):
        _goal_fault(value, "so_that: {quantity.key: value}", faults)
        return None
    ends = between.items if isinstance(between, YamlList) else ()
    if len(ends) != 2 or not all(isinstance(end, YamlScalar) for end in ends):
        _goal_fault(between, "between: [low, high]", faults, _cut_bound(ends))
        return None
    low, high = ends
    assert isinstance(low, YamlScalar)
    assert isinstance(high, YamlScalar)
    return Goal(name=find.text, quantity=key.text, target=value, low=low, high=high, position=find.position)


def read_sweep(root: YamlMapping, faults: list[Diagnostic]) -> Sweep | None:
    """The block's `sweep`, or None; a sweep of nothing is a fault."""
    sweep, of = root.get("sweep"), root.get("of")
    if sweep is None and of is None:
        return None
    if sweep is None or of is None:
        node = of if sweep is None else sweep
        _goal_fault(node, "sweep: input from low to high by step, and of: [quantity.key]", faults)
        return None
    match = None
    if isinstance(sweep, YamlScalar):
        match = _SWEEP.fullmatch(sweep.text.strip())
    if match is None:
        _goal_fault(sweep, "sweep: input from low to high by step", faults)
        return None
    items = of.items if isinstance(of, YamlList) else (of,)
    names = tuple(item for item in items if isinstance(item, YamlScalar) and _QUANTITY.fullmatch(item.text))
    if not names or len(names) != len(items) or len(names) > 12:
        _goal_fault(of, "of: [quantity.key, …], one to twelve", faults)
        return None

    def end_or_step(name: str) -> YamlScalar:
        return YamlScalar(sweep.position, match[name].strip())

    return Sweep(
        name=match["name"],
        start=end_or_step("start"),
        stop=end_or_step("stop"),
        step=end_or_step("step"),
        of=names,
        position=sweep.position,
    )


def _cut_target(so_that: YamlNode | None) -> str:
    """What to write where the target's thousands are parted by a comma."""
    if not isinstance(so_that, YamlMapping):
        return ""
    named = {key.text: (key, value) for key, value in so_that.entries}
    return next(filter(None, (cut_key(named, name) for name in named)), "")


def _cut_bound(ends: Sequence[YamlNode]) -> str:
    """The same for the bounds of a search."""
    hints = (
        cut_number(before, after.text) for before, after in pairwise(ends) if isinstance(after, YamlScalar)
    )
    return next(filter(None, hints), "")


def _goal_fault(node: YamlNode | None, expected: str, faults: list[Diagnostic], help: str = "") -> None:
    assert node is not None
    found = describe(node) if not isinstance(node, YamlScalar) else f"“{shorten(node.text)}”"
    faults.append(GOAL_SHAPE.at(node.position, found=found, expected=expected, help=help))


@dataclass(frozen=True, kw_only=True)
class CarChange:
    """An entry of a sheet's changes: the name of the state that it makes ("" where it has none), since when,
    and the inputs that it changed."""

    state: str
    since: str
    inputs: Mapping[str, tuple[YamlScalar, YamlNode]]


@dataclass(frozen=True, kw_only=True)
class CarSheet:
    """A car's values. Its first state, named `first`, is `inputs`; each entry of `changes` is the next one,
    laid over the ones before. A block that says ``car: name`` takes the last state; with ``state: name``
    that one, whatever is added around it."""

    id: str
    path: str
    name: str
    about: str
    inputs: Mapping[str, tuple[YamlScalar, YamlNode]]
    first: str = ""
    changes: tuple[CarChange, ...] = ()
    faults: tuple[Diagnostic, ...] = ()

    @property
    def states(self) -> tuple[str, ...]:
        """The names of all states in their order, "" for one that has none."""
        return (self.first, *(change.state for change in self.changes))

    def number(self, state: str | int | None) -> int | None:
        """A state's place, the first is 1; None where there is no such state."""
        if state is None:
            return len(self.states)
        if isinstance(state, int):
            return state if 1 <= state <= len(self.states) else None
        return self.states.index(state) + 1 if state and state in self.states else None

    def at(self, state: str | int | None) -> dict[str, tuple[YamlScalar, YamlNode]]:
        """The car's inputs in a state that it has; None is the last one."""
        values = dict(self.inputs)
        for change in self.changes[: (self.number(state) or 1) - 1]:
            values.update(change.inputs)
        return values


def read_car(text: str, path: str, name: str) -> CarSheet:
    """Read a sheet of ``content/cars``."""
    root, faults = read_yaml(text, whole_file(path))
    top = Position(path)
    if not isinstance(root, YamlMapping):
        if not faults:
            faults.append(
                CAR_SHAPE.at(
                    top,
                    found="nothing" if root is None else describe(root),
                    expected="name, about and inputs",
                )
            )
        return CarSheet(id=name, path=path, name=name, about="", inputs={}, faults=tuple(faults))
    _check_keys(root, ("name", "about", "state", "inputs", "changes"), faults)
    if not _SHEET.fullmatch(name):
        expected = "a file name of a–z, 0–9 and -, by which blocks call it"
        faults.append(CAR_SHAPE.at(top, found=f"a sheet called “{shorten(name)}”", expected=expected))
    first = _read_state(root.get("state"), faults, CAR_SHAPE)
    changes = _read_changes(root.get("changes"), faults)
    if changes and root.get("state") is None:
        inputs = root.key("inputs")
        faults.append(
            STATE_WITHOUT_NAME.at(
                inputs.position if inputs else top, found="the first state", expected="state: standard, say"
            )
        )
    _named_once([root, *_changes_of(root)], faults)
    return CarSheet(
        id=name,
        path=path,
        name=_read_word(root.get("name"), faults, "a name") or name,
        about=_read_word(root.get("about"), faults, "a sentence"),
        inputs=_read_named(root.get("inputs"), faults, "inputs"),
        first=first,
        changes=changes,
        faults=tuple(faults),
    )


def _changes_of(root: YamlMapping) -> list[YamlMapping]:
    listed = root.get("changes")
    items = listed.items if isinstance(listed, YamlList) else ()
    return [item for item in items if isinstance(item, YamlMapping)]


def _read_changes(node: YamlNode | None, faults: list[Diagnostic]) -> tuple[CarChange, ...]:
    if node is not None and not isinstance(node, YamlList):
        faults.append(CAR_SHAPE.at(node.position, found=describe(node), expected="a list of changes"))
        return ()
    changes = []
    for item in node.items if node is not None else ():
        if not isinstance(item, YamlMapping):
            expected = "state, since and inputs"
            faults.append(CAR_SHAPE.at(item.position, found=describe(item), expected=expected))
            continue
        _check_keys(item, ("state", "since", "inputs"), faults)
        since = _read_word(item.get("since"), faults, "when, or in which episode")
        if item.get("state") is None:
            name = suggested_name(since) or "NAME"
            faults.append(
                STATE_WITHOUT_NAME.at(
                    item.position,
                    found=f"since: {shorten(since)}" if since else "a change",
                    expected=f"state: {name}, say",
                )
            )
        changes.append(
            CarChange(
                state=_read_state(item.get("state"), faults, CAR_SHAPE),
                since=since,
                inputs=_read_named(item.get("inputs"), faults, "the changed inputs"),
            )
        )
    return tuple(changes)


def _named_once(entries: list[YamlMapping], faults: list[Diagnostic]) -> None:
    """Refuse two states of one name: a block could mean either."""
    seen: dict[str, Position] = {}
    for entry in entries:
        node = entry.get("state")
        if not isinstance(node, YamlScalar) or not (name := node.text.strip()):
            continue
        if name in seen:
            faults.append(
                CAR_SHAPE.at(
                    node.position,
                    found=f"two states named “{shorten(name)}”",
                    expected="a name for each",
                    second=seen[name],
                    second_label="the first is here",
                    length=len(name),
                )
            )
        seen.setdefault(name, node.position)


@dataclass(frozen=True, kw_only=True)
class SourceEntry:
    """One entry of sources.yml: a document (`title` …) or somebody's word (`who`, `when`), with the figures
    that it gives by name."""

    id: str
    position: Position
    title: str = ""
    publisher: str = ""
    edition: str = ""
    page: str = ""
    url: str = ""
    who: str = ""
    when: str = ""
    about: str = ""
    facts: Mapping[str, Fact] = field(default_factory=dict)

    @property
    def hearsay(self) -> bool:
        return bool(self.who)

    @property
    def particulars(self) -> tuple[str, ...]:
        """Who published the document, which edition of it, and where in it. A bare number is a page's."""
        pages = re.split("[-–,]", self.page)
        where = self.page
        if all(page.strip().isdecimal() for page in pages):
            abbreviation = "pp." if len(pages) > 1 else "p."
            where = f"{abbreviation}\u00a0{self.page}"
        return tuple(part for part in (self.publisher, self.edition, where) if part)


_SOURCE_KEYS = ("title", "publisher", "edition", "page", "url", "who", "when", "about")


def read_sources(text: str, path: str) -> tuple[dict[str, SourceEntry], list[Diagnostic]]:
    """Read a site's `SOURCES`."""
    root, faults = read_yaml(text, whole_file(path))
    entries: dict[str, SourceEntry] = {}
    if root is None or (isinstance(root, YamlScalar) and not root.text):
        return entries, faults
    if not isinstance(root, YamlMapping):
        return entries, [
            *faults,
            SOURCE_SHAPE.at(root.position, found=describe(root), expected="a mapping of ids"),
        ]
    for key, node in root.entries:
        if not isinstance(node, YamlMapping):
            faults.append(
                SOURCE_SHAPE.at(key.position, found=describe(node), expected="title, or who and when")
            )
            continue
        _check_keys(node, (*_SOURCE_KEYS, "facts"), faults)
        values = {name: _read_word(node.get(name), faults, "text") for name in _SOURCE_KEYS}
        if not re.fullmatch(r"[A-Za-z0-9_\-]+", key.text):
            faults.append(
                SOURCE_SHAPE.at(
                    key.position,
                    found=f"the id “{shorten(key.text)}”",
                    expected="letters, digits, - and _",
                    length=len(key.text),
                )
            )
        if bool(values["title"]) == bool(values["who"]):
            found = "both title and who" if values["title"] else "neither title nor who"
            faults.append(
                SOURCE_SHAPE.at(key.position, found=found, expected="one of them", length=len(key.text))
            )
        elif values["who"] and not values["when"]:
            faults.append(
                SOURCE_SHAPE.at(
                    key.position, found="who without when", expected="when it was said", length=len(key.text)
                )
            )
        if values["url"] and not values["url"].startswith(("https://", "http://")):
            faults.append(
                SOURCE_SHAPE.at(
                    key.position,
                    found=f"url “{shorten(values['url'])}”",
                    expected="an address that starts with https://",
                )
            )
            values["url"] = ""
        facts = read_facts(node.get("facts"), SOURCE_SHAPE, faults)
        entries[key.text] = SourceEntry(id=key.text, position=key.position, facts=facts, **values)
    return entries, faults
