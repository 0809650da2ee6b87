"""What a block's results came from, as three short hashes: the inputs as written, the calculator, the data.

Two runs with the same three hashes give the same results, unless the program around the calculator changed.
"""

from __future__ import annotations

import ast
import dataclasses
import hashlib
import inspect
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from types import CodeType, FunctionType, ModuleType
from typing import Any

from buildlog.book.book import Book
from buildlog.diagnostics import Refused
from buildlog.figures.spellings import forms, one_form
from buildlog.files.text import digest_of
from buildlog.kinds import catalogue
from buildlog.kinds.kind import Kind
from buildlog.reading.blocks import Block
from buildlog.reading.data import data_path
from buildlog.reading.log_rules import names_of_files
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar
from buildlog.reading.record import Hashes

NOTHING = "-"
_OF_NOTHING = hashlib.sha256(b"").hexdigest()


def provenance(book: Book, block: Block) -> Hashes:
    """The three hashes of a block. Values that other blocks give are theirs: here only the address counts."""
    try:
        kind = catalogue.load_kind(block.kind)
    except Refused:
        return Hashes(_hash(_written(book, block, None)), NOTHING, NOTHING)
    files = sorted(set(_files(book, block, kind)))
    data = [(name, book.data_used.get(name, _OF_NOTHING)) for name in files]
    written = _with_own_units(book, _written(book, block, kind), data)
    return Hashes(_hash(written), calculator_hash(kind), _hash(data) if data else NOTHING)


def sheet_provenance(book: Book, name: str) -> Hashes:
    """The hashes of a car's sheet with all of its states, for figures and blocks that name its values."""
    sheet = book.cars[name]
    states = (sheet.inputs, *(change.inputs for change in sheet.changes))
    values = [sorted((key, _plain(node)) for key, (_, node) in state.items()) for state in states]
    data = []
    for file in sorted(files_of_sheet(book, name)):
        try:
            data.append((file, digest_of(data_path(book.content, file))))
        except (Refused, OSError):
            data.append((file, _OF_NOTHING))
    written = _with_own_units(book, (sheet.states, values), data)
    return Hashes(_hash(written), NOTHING, _hash(data) if data else NOTHING)


def part_provenance(book: Book, name: str) -> Hashes:
    """The hashes of what figures and blocks can take from a part."""
    part = book.parts[name]
    values = sorted((key, _plain(node)) for key, node in part.values.items())
    written = _with_own_units(book, (part.name, part.number, part.revision, part.supplier, values), [])
    return Hashes(_hash(written), NOTHING, NOTHING)


def files_of_sheet(book: Book, name: str) -> set[str]:
    """Names of the data files of all states of a car's sheet, as written."""
    if name not in book.cars:
        return set()
    sheet = book.cars[name]
    states = (sheet.inputs, *(change.inputs for change in sheet.changes))
    nodes = (node for state in states for _, node in state.values())
    return {file for node in nodes if isinstance(node, YamlMapping) for file in names_of_files(node)}


def _with_own_units(book: Book, written: object, data: list[tuple[str, str]]) -> object:
    """What is written, with the sizes of the site's own units that may be in it; a file may have any. Where
    there are none it is as it was, so that the hashes of other sites stay what they are."""
    if not book.settings.own_units.units:
        return written
    text = one_form(repr(written))
    used = [
        (symbol, dimension, factor, offset)
        for _, symbol, dimension, factor, offset, _, spellings, *_ in book.settings.own_units.units
        if data or any(form in text for spelling in spellings for form in forms(spelling))
    ]
    return (written, used) if used else written


def _hash(value: object) -> str:
    return hashlib.sha256(repr(value).encode("utf-8", "surrogatepass")).hexdigest()[:16]


# --- inputs -------------------------------------------------------------------------------


def _taken(book: Book, block: Block, kind: Kind, state: str | int | None) -> dict[str, YamlNode]:
    """The values of a state of the car's sheet that a block can take."""
    sheet = book.cars.get(block.car)
    if sheet is None:
        return {}
    known = {declared.name for declared in kind.inputs}
    return {name: node for name, (_, node) in sheet.at(state).items() if name in known}


def _written(book: Book, block: Block, kind: Kind | None) -> object:
    """All that an author decides about a block's results, without places, titles and what is shown."""
    given = {**(_taken(book, block, kind, block.car_state) if kind else {})}
    given.update({name: node for name, (_, node) in block.inputs.items()})
    cases = {}
    for name, changed in block.cases.items():
        own = {key: node for key, (_, node) in changed.items()}
        if kind and name in block.case_states:
            taken = _taken(book, block, kind, block.state_in(name))
            own = {**{key: node for key, node in taken.items() if key not in block.inputs}, **own}
        cases[name] = sorted((key, _plain(node)) for key, node in own.items())
    goal = block.goal
    sought = (
        (goal.name, goal.quantity, *(_plain(part) for part in (goal.target, goal.low, goal.high)))
        if goal
        else ()
    )
    shared = sorted((name, _plain(node)) for name, node in given.items())
    # Of a decision alone, so that the hashes of all other blocks stay what they are.
    options = (sorted(block.options.items()),) if block.options else ()
    common = [(one.name, [_plain(name) for name in one.of], one.at.text.strip()) for one in block.common]
    return (block.kind, shared, sorted(cases.items()), sought, *options, *((common,) if common else ()))


def _plain(node: YamlNode) -> object:
    if isinstance(node, YamlScalar):
        return (node.text.strip(), node.quoted)
    if isinstance(node, YamlList):
        return [_plain(item) for item in node.items]
    if isinstance(node, YamlMapping):
        return {key.text: _plain(value) for key, value in node.entries}
    return None


def data_files(book: Book, block: Block) -> set[str]:
    """Names of the data files that a block reads, as written; none where its kind is not known."""
    try:
        return set(_files(book, block, catalogue.load_kind(block.kind)))
    except Refused:
        return set()


def _files(book: Book, block: Block, kind: Kind) -> Iterator[str]:
    nodes = [node for _, node in block.inputs.values()]
    nodes += [node for case in block.cases.values() for _, node in case.values()]
    for state in block.states:
        nodes += _taken(book, block, kind, state).values()
    for node in nodes:
        if isinstance(node, YamlMapping):
            yield from names_of_files(node)


# --- the calculator -----------------------------------------------------------------------


_OURS = "buildlog."
_WORDS = ("buildlog.diagnostics",)
_DECLARED = ("KIND", "INPUTS", "OUTPUTS", "SOURCES", "HAZARDS")


@cache
def calculator_hash(kind: Kind) -> str:
    """Of the source that can run in a calculator's ``compute``: its functions, the formulae they call and
    the constants they name, followed through our own files; comments and docstrings do not count."""
    followed = Followed()
    followed.thing(kind.compute, kind.name)
    taken = [(declared.name, declared.default) for declared in kind.inputs]
    given = [(output.name, output.dimension, output.key) for output in kind.outputs]
    return _hash((taken, given, sorted(followed.found.items())))


class Followed:
    """Collects what a function can reach: `found` maps a name to its source, or to a constant's value."""

    def __init__(self) -> None:
        self.found: dict[str, str] = {}

    def thing(self, value: Any, name: str) -> None:
        """Note a thing that code names, and whatever it names in turn."""
        value = inspect.unwrap(value) if hasattr(value, "__wrapped__") else value
        if isinstance(value, FunctionType | type):
            if value.__module__.startswith(_OURS) and not value.__module__.startswith(_WORDS):
                self._defined(value)
        elif not isinstance(value, ModuleType):
            label = f"= {name}"
            if str(getattr(value, "__module__", "")).startswith(_OURS) and hasattr(value, "__qualname__"):
                label = f"{value.__module__}.{value.__qualname__}"  # a declared formula, like a function
            if label not in self.found:
                self.found[label] = ""  # so that what names itself is noted once
                self.found[label] = repr(self._constant(value))

    def _defined(self, value: FunctionType | type) -> None:
        label = f"{value.__module__}.{value.__qualname__}"
        source = _definitions(value.__module__).get(value.__qualname__)
        if label in self.found or source is None:  # methods that are made at run time have no source
            return
        self.found[label] = source
        if isinstance(value, FunctionType):
            self._names_of(value)
            return
        for base in value.__bases__:
            self.thing(base, base.__qualname__)
        for part in vars(value).values():
            method = getattr(part, "fget", None) or getattr(part, "func", getattr(part, "__func__", part))
            if isinstance(method, FunctionType):
                self.thing(method, method.__qualname__)

    def _names_of(self, function: FunctionType) -> None:
        names = set(_names(function.__code__))
        scope = function.__globals__
        for name in sorted(names & scope.keys() - set(_DECLARED)):
            value = scope[name]
            if isinstance(value, ModuleType) and value.__name__.startswith(_OURS):
                for part in sorted(names & vars(value).keys()):
                    self.thing(getattr(value, part), f"{value.__name__}.{part}")
            else:
                self.thing(value, f"{function.__module__}.{name}")

    def _constant(self, value: Any) -> object:
        """A constant's value without anything that differs from run to run."""
        if value is None or isinstance(value, str | int | float | bytes):
            return repr(value)
        if isinstance(value, Mapping):
            return [(self._constant(key), self._constant(part)) for key, part in value.items()]
        if isinstance(value, list | tuple):
            return [self._constant(part) for part in value]
        if isinstance(value, set | frozenset):
            return sorted(repr(self._constant(part)) for part in value)
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            if callable(value):  # a declared formula or range: what it does with its fields counts too
                self.thing(type(value), type(value).__qualname__)
            # What takes no part in comparisons is words, as docstrings are.
            parts = [getattr(value, part.name) for part in dataclasses.fields(value) if part.compare]
            return [type(value).__qualname__, *(self._constant(part) for part in parts)]
        if isinstance(value, FunctionType | type):
            self.thing(value, value.__qualname__)
        return getattr(value, "__qualname__", type(value).__qualname__)


def _names(code: CodeType) -> Iterator[str]:
    yield from code.co_names
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _names(constant)


@cache
def _definitions(module: str) -> dict[str, str]:
    """Every function and class of one of our files by its qualified name: its lines, less docstrings,
    empty lines and lines that are comments."""
    text = inspect.getsource(sys.modules[module])
    lines: list[str] = [line.rstrip() for line in text.splitlines()]
    found: dict[str, tuple[int, int]] = {}
    waiting: list[tuple[str, ast.AST]] = [("", ast.parse(text))]
    while waiting:
        prefix, node = waiting.pop()
        for part in ast.iter_child_nodes(node):
            if isinstance(part, ast.FunctionDef | ast.ClassDef):
                first = min([part.lineno, *(decorator.lineno for decorator in part.decorator_list)])
                found[prefix + part.name] = (first - 1, part.end_lineno or first)
                if ast.get_docstring(part, clean=False) is not None:
                    words = part.body[0]
                    for number in range(words.lineno - 1, words.end_lineno or words.lineno):
                        lines[number] = ""
                if isinstance(part, ast.ClassDef):
                    waiting.append((f"{prefix}{part.name}.", part))
    return {
        name: "\n".join(line for line in lines[first:last] if line and not line.lstrip().startswith("#"))
        for name, (first, last) in found.items()
    }
