"""Positioned YAML: a tree of nodes that know where they were written, and nothing YAML would guess.

Only the parser's events are used, so no value is ever turned into a date, a boolean or an octal
number, and no alias is ever followed. Anchors, aliases, tags, merge keys, duplicate keys and second
documents are findings with positions.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import yaml

from buildlog.diagnostics import Diagnostic, Position, declare, shorten

DEEPEST = 12
MOST_NODES = 50_000
# What YAML 1.1 (clause 5.4) takes for line breaks, and no editor does: positions would come out wrong.
_NO_LINE_BREAKS = str.maketrans("\x85\u2028\u2029", "   ")

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
    """A value as written. `quoted` is true for quoted and block scalars."""

    text: str = ""
    quoted: bool = False


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


Place = Callable[[int, int], Position]


def describe(node: YamlNode) -> str:
    """What a node is, for messages."""
    if isinstance(node, YamlScalar):
        return f"“{shorten(node.text)}”" if node.text else "nothing"
    if isinstance(node, Unread):
        return "an alias"
    return "a list" if isinstance(node, YamlList) else "a mapping"


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
    try:
        root = _build(_events(text), place, findings, lenient)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = place(mark.line, mark.column) if mark is not None else place(0, 0)
        problem = " ".join((error.problem or "unreadable").split()).removeprefix("found ")
        if problem == "character that cannot start any token" and mark is not None:
            return None, [*findings, _no_start(_char_at(text, mark.line, mark.column), where)]
        return None, [*findings, YAML_UNREADABLE.at(where, found=problem, expected="YAML")]
    except (yaml.YAMLError, ValueError) as error:  # the reader's own: control characters, lone surrogates
        reason = " ".join(str(error).split())
        return None, [YAML_UNREADABLE.at(place(0, 0), found=shorten(reason, 120), expected="plain text")]
    return root, findings


def _char_at(text: str, line: int, column: int) -> str:
    return re.split("\r\n?|\n", text)[line][column : column + 1]


def _no_start(char: str, where: Position) -> Diagnostic:
    if char == "\t":
        return YAML_UNREADABLE.at(where, found="a tab", expected="spaces", help="YAML takes no tabs here.")
    return YAML_UNREADABLE.at(
        where, found=f"“{char}” where a value begins", expected="YAML", help="Put the value into quotes."
    )


def _events(text: str) -> Iterator[yaml.Event]:
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return iter(yaml.parse(text, Loader=loader))


def _build(
    events: Iterator[yaml.Event], place: Place, findings: list[Diagnostic], lenient: bool
) -> YamlNode | None:
    root: YamlNode | None = None
    stack: list[_Open] = []
    documents = count = 0
    for event in events:
        mark = event.start_mark
        here = place(mark.line, mark.column) if mark is not None else place(0, 0)
        if isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            if documents > 1:
                findings.append(
                    YAML_REFUSED.at(here, found="a second document (---)", expected="one document")
                )
                return None
            continue
        if isinstance(event, yaml.NodeEvent):
            count += 1
            if count > MOST_NODES or len(stack) > DEEPEST:
                limit = f"{MOST_NODES} values, {DEEPEST} levels deep"
                findings.append(
                    YAML_REFUSED.at(here, found="more than can be meant", expected=f"at most {limit}")
                )
                return None
            if not lenient and not isinstance(event, yaml.AliasEvent):
                _refuse_dressing(event, here, findings)
        node: YamlNode
        if isinstance(event, yaml.AliasEvent):
            node = YamlScalar(here)
            if not lenient:
                node = Unread(here, event.anchor or "")
                findings.append(node.finding)
        elif isinstance(event, yaml.ScalarEvent):
            node = YamlScalar(here, event.value, event.style not in (None, ""))
        elif isinstance(event, yaml.SequenceStartEvent | yaml.MappingStartEvent):
            stack.append(_Open(here, isinstance(event, yaml.MappingStartEvent)))
            continue
        elif isinstance(event, yaml.SequenceEndEvent | yaml.MappingEndEvent):
            done = stack.pop()
            node = (
                _mapping(done, findings, lenient)
                if done.is_mapping
                else YamlList(done.position, tuple(done.items))
            )
        else:
            continue
        if stack:
            stack[-1].items.append(node)
        else:
            root = node
    return root


def _refuse_dressing(event: yaml.NodeEvent, here: Position, findings: list[Diagnostic]) -> None:
    if event.anchor:
        findings.append(YAML_REFUSED.at(here, found=f"the anchor &{event.anchor}", expected="a plain value"))
    tag = getattr(event, "tag", None)
    if tag is not None and tag != "!":
        findings.append(YAML_REFUSED.at(here, found=f"the tag {shorten(tag)}", expected="a plain value"))


def _mapping(done: _Open, findings: list[Diagnostic], lenient: bool) -> YamlMapping:
    entries: list[tuple[YamlScalar, YamlNode]] = []
    seen: dict[str, Position] = {}
    for key, value in zip(done.items[::2], done.items[1::2], strict=True):
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
    return YamlMapping(done.position, tuple(entries))
