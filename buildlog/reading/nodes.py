"""Positioned YAML: a tree of nodes that know where they were written, and nothing YAML would guess.

Only the parser's events are used, so no value is ever turned into a date, a boolean or an octal
number, and no alias is ever followed. Anchors, aliases, tags, merge keys, duplicate keys and second
documents are findings with positions.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NoReturn

import yaml

from buildlog.diagnostics import Diagnostic, Position, declare, shorten
from buildlog.files.text import Lines, split_lines

# No block, sheet or list of sources comes near these. They bound what one hostile file can cost.
DEEPEST = 12
MOST_NODES = 50_000
# What YAML 1.1 (clause 5.4) takes for line breaks, and no editor does: positions would come out wrong.
_NO_LINE_BREAKS = str.maketrans("\x85\u2028\u2029", "   ")
_MARK = "\ufeff"
# What YAML takes (clause 5.1), the other way round.
_REFUSED = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_DELETE = "Delete it: it came in with a copy or an export, and editors may not show it."

YAML_UNREADABLE = declare(
    "yaml-unreadable",
    "this is not readable as YAML",
    why="A block that cannot be read cannot be computed, and what rests on it would be unproofed.",
    mend="Check the indentation, colons and brackets at this place.",
    example="inputs: {final_drive: 4.10",
)
YAML_REFUSED = declare(
    "yaml-refused",
    "a YAML feature that buildlog does not read",
    why="Anchors, aliases, merge keys and tags make a value come from somewhere other than where it is "
    "read, so a reader of the source could not check it.",
    mend="Write the value out where it is used.",
    example="before: &base {final_drive: 4.10}",
)
DUPLICATE_KEY = declare(
    "duplicate-key",
    "the same key stands twice",
    why="YAML readers keep the last of two equal keys without a word; one of the two values would be lost.",
    mend="Remove one of the two.",
    example="{tyre: 195/50R15, tyre: 185/60R14}",
)


@dataclass(frozen=True)
class YamlNode:
    position: Position


@dataclass(frozen=True)
class YamlScalar(YamlNode):
    """A value as written. `quoted` is true for quoted and block scalars. `begins` is where the text of a
    literal one (``|``) does, whose lines follow each other as those of the file."""

    text: str = ""
    quoted: bool = False
    begins: Position | None = field(default=None, kw_only=True)


@dataclass(frozen=True)
class Unread(YamlNode):
    """Stands for an alias, which is a finding and is never followed."""

    anchor: str = ""

    @property
    def finding(self) -> Diagnostic:
        return YAML_REFUSED.at(self.position, found=f"the alias *{self.anchor}", expected="the value itself")


@dataclass(frozen=True)
class YamlList(YamlNode):
    items: tuple[YamlNode, ...] = ()


@dataclass(frozen=True)
class YamlMapping(YamlNode):
    entries: tuple[tuple[YamlScalar, YamlNode], ...] = ()

    def get(self, key: str) -> YamlNode | None:
        return next((value for name, value in self.entries if name.text == key), None)

    def key(self, key: str) -> YamlScalar | None:
        return next((name for name, _ in self.entries if name.text == key), None)


_START_OF_NUMBER = re.compile(r"[^0-9]{0,4}[0-9]{1,3}")
_CUT_DECIMAL = re.compile(r"[0-9]{1,2}(?![0-9])")
_CUT_NUMBER = re.compile(r"[0-9]{3}(?![0-9])")


def cut_number(before: YamlNode | None, after: str) -> str:
    """What to write where a comma within a number, 3,600 rpm, ended a value in brackets or braces: the parts
    are the value before and the words after it. "" where that is not what happened."""
    if not isinstance(before, YamlScalar) or before.quoted:
        return ""
    start = before.text.strip()
    if not _START_OF_NUMBER.fullmatch(start) or not _CUT_NUMBER.match(after):
        return ""
    return f"in brackets a comma ends a value: write {start}{after}, or quotes around “{start},{after}”"


def _cut_decimal(before: YamlNode | None, after: str) -> str:
    """What to write where a decimal comma, 2,5 m, ended a value in braces; "" where that did not happen."""
    if not isinstance(before, YamlScalar) or before.quoted:
        return ""
    start = before.text.strip()
    if not _START_OF_NUMBER.fullmatch(start) or not _CUT_DECIMAL.match(after):
        return ""
    return f"in braces a comma ends a value, and the decimal sign is a point: write {start}.{after}"


def cut_key(named: Mapping[str, tuple[YamlScalar, YamlNode]], name: str) -> str:
    """The same for a key that is the end of a number; the keys are in their order."""
    before: YamlNode | None = None
    for key, (_, node) in named.items():
        if key == name:
            return cut_number(before, name) or _cut_decimal(before, name)
        before = node
    return ""


Place = Callable[[int, int], Position]


def describe(node: YamlNode) -> str:
    """What a node is, for messages."""
    if isinstance(node, YamlScalar):
        return f"“{shorten(node.text)}”" if node.text else "nothing"
    if isinstance(node, Unread):
        return "an alias"
    if isinstance(node, YamlList):
        return "a list"
    return "a mapping"


@dataclass
class _Open:
    """A collection that is being read: items of a sequence, or keys and values in turn."""

    position: Position
    is_mapping: bool
    items: list[YamlNode] = field(default_factory=list)


def whole_file(path: str) -> Place:
    """Positions for a YAML file that starts at line 1, column 1."""
    return lambda line, column: Position(path, line + 1, column + 1)


def read_yaml(text: str, place: Place, *, lenient: bool = False) -> tuple[YamlNode | None, list[Diagnostic]]:
    """Read one YAML document into nodes.

    `place` turns the parser's 0-based line and column into a position in the author's file. Returns
    the root (None where there is none or it cannot be read at all) and the findings; where a feature is
    refused the rest is read on, so that all faults show at once. `lenient` passes over tags and anchors,
    for configuration files that other programs own.
    """
    findings: list[Diagnostic] = []
    text = text.translate(_NO_LINE_BREAKS)
    if text.startswith(_MARK):  # the parser drops it, and does not count it
        return read_yaml(text[1:], lambda line, column: place(line, column + (not line)), lenient=lenient)
    try:
        root = _Builder(text, place, findings, lenient).build(_events(text))
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = place(mark.line, mark.column) if mark is not None else place(0, 0)
        problem = " ".join((error.problem or "unreadable").split()).removeprefix("found ")
        if problem == "character that cannot start any token" and mark is not None:
            return None, [*findings, _no_start(_char_at(text, mark.line, mark.column), where)]
        help = ""
        if problem.startswith("did not find expected ',' or") and mark is not None:
            help = 'Put a text with brackets, braces or colons into quotes: "Length [m]".'
        return None, [*findings, YAML_UNREADABLE.at(where, found=problem, expected="YAML", help=help)]
    except (yaml.YAMLError, ValueError) as error:  # the reader's own: control characters, lone surrogates
        offset, found = refused_character(text) or (0, shorten(" ".join(str(error).split()), 120))
        here = Lines(text).position(offset, "")
        where = place(here.line - 1, here.column - 1)
        return None, [*findings, YAML_UNREADABLE.at(where, found=found, expected="plain text", help=_DELETE)]
    return root, findings


def refused_character(text: str) -> tuple[int, str] | None:
    """Where the first character is that no YAML may hold, and which it is."""
    refused = _REFUSED.search(text)
    if refused is None:
        return None
    what = "control character" if unicodedata.category(refused[0]) == "Cc" else "character"
    return refused.start(), f"the {what} U+{ord(refused[0]):04X}"


def _char_at(text: str, line: int, column: int) -> str:
    return split_lines(text)[line][column : column + 1]


def _no_start(char: str, where: Position) -> Diagnostic:
    if char == "\t":
        return YAML_UNREADABLE.at(where, found="a tab", expected="spaces", help="YAML takes no tabs here.")
    return YAML_UNREADABLE.at(
        where, found=f"“{char}” where a value begins", expected="YAML", help="Put the value into quotes."
    )


def _events(text: str) -> Iterator[yaml.Event]:
    # libyaml is some ten times as fast as the parser in Python; PyYAML can be built without it.
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return iter(yaml.parse(text, Loader=loader))


class _Stop(Exception):
    """The text is more than a document of values, and the finding says so."""


class _Builder:
    """Makes nodes of the parser's events."""

    def __init__(self, text: str, place: Place, findings: list[Diagnostic], lenient: bool) -> None:
        self.text = text
        self.lines: list[str] = []
        self.place = place
        self.findings = findings
        self.lenient = lenient
        self.root: YamlNode | None = None
        self.open: list[_Open] = []
        self.documents = 0
        self.count = 0

    def build(self, events: Iterator[yaml.Event]) -> YamlNode | None:
        try:
            for event in events:
                self._take(event)
        except _Stop:
            return None
        return self.root

    def _take(self, event: yaml.Event) -> None:
        mark = event.start_mark
        here = self.place(mark.line, mark.column) if mark is not None else self.place(0, 0)
        if isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                self._stop(here, "a second document (---)", "one document")
        elif isinstance(event, yaml.NodeEvent):
            self._begin_node(event, here)
        elif isinstance(event, yaml.CollectionEndEvent):
            self._add(self._closed(self.open.pop()))

    def _begin_node(self, event: yaml.NodeEvent, here: Position) -> None:
        self.count += 1
        if self.count > MOST_NODES or len(self.open) > DEEPEST:
            self._stop(here, "more than can be meant", f"at most {MOST_NODES} values, {DEEPEST} levels deep")
        if isinstance(event, yaml.AliasEvent):
            self._add(self._alias(event, here))
            return
        if not self.lenient:
            self._refuse_dressing(event, here)
        if isinstance(event, yaml.ScalarEvent):
            mark = event.start_mark
            begins = (
                self._begin_of_text(event, mark.line + 1) if mark is not None and event.style == "|" else None
            )
            self._add(YamlScalar(here, event.value, event.style not in (None, ""), begins=begins))
        else:
            self.open.append(_Open(here, isinstance(event, yaml.MappingStartEvent)))

    def _begin_of_text(self, event: yaml.ScalarEvent, first: int) -> Position:
        """Of a literal scalar, below its indicator: as far in as its first line with something on it."""
        self.lines = self.lines or split_lines(self.text)
        written = next((line for line in self.lines[first:] if line.strip(" ")), "")
        text = next((line for line in event.value.split("\n") if line.strip(" ")), "")
        return self.place(first, len(written) - len(text))

    def _stop(self, here: Position, found: str, expected: str) -> NoReturn:
        self.findings.append(YAML_REFUSED.at(here, found=found, expected=expected))
        raise _Stop

    def _alias(self, event: yaml.AliasEvent, here: Position) -> YamlNode:
        """An alias is never followed: a few lines of them can stand for billions of values."""
        if self.lenient:
            return YamlScalar(here)
        node = Unread(here, event.anchor or "")
        self.findings.append(node.finding)
        return node

    def _refuse_dressing(self, event: yaml.NodeEvent, here: Position) -> None:
        """Anchors and tags. A lone "!" says that a value is text, as all of ours are."""
        if event.anchor:
            anchor = f"the anchor &{event.anchor}"
            self.findings.append(YAML_REFUSED.at(here, found=anchor, expected="a plain value"))
        tag = getattr(event, "tag", None)
        if tag is not None and tag != "!":
            self.findings.append(
                YAML_REFUSED.at(here, found=f"the tag {shorten(tag)}", expected="a plain value")
            )

    def _closed(self, collection: _Open) -> YamlNode:
        if collection.is_mapping:
            return _mapping(collection, self.findings, self.lenient)
        return YamlList(collection.position, tuple(collection.items))

    def _add(self, node: YamlNode) -> None:
        if self.open:
            self.open[-1].items.append(node)
        else:
            self.root = node


def _mapping(collection: _Open, findings: list[Diagnostic], lenient: bool) -> YamlMapping:
    entries: list[tuple[YamlScalar, YamlNode]] = []
    seen: dict[str, Position] = {}
    for key, value in zip(collection.items[::2], collection.items[1::2], strict=True):
        if not isinstance(key, YamlScalar):
            if not lenient:
                findings.append(
                    YAML_REFUSED.at(key.position, found=f"{describe(key)} as a key", expected="a word")
                )
            continue
        if key.text == "<<" and not key.quoted and not lenient:
            findings.append(
                YAML_REFUSED.at(key.position, found="the merge key <<", expected="the values themselves")
            )
            continue
        if key.text in seen:
            findings.append(
                DUPLICATE_KEY.at(
                    key.position,
                    found=f"“{shorten(key.text)}” twice",
                    expected="each key once",
                    second=seen[key.text],
                    second_label="first written here",
                    length=len(key.text),
                )
            )
            continue
        seen[key.text] = key.position
        entries.append((key, value))
    return YamlMapping(collection.position, tuple(entries))
