"""A site's configuration in Zensical's own form, TOML, as the same nodes as MkDocs' form.

The standard library's reader knows no positions, so a key is looked for in the text: a finding on it stands
at the first line that names it.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

from buildlog.diagnostics import Position, shorten
from buildlog.files.text import Lines, read_text, split_lines
from buildlog.reading.configuration import CONFIGURATION, Configuration, Scalar, shown_from
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode

NAME = "zensical.toml"
_TABLE = "project"
_NESTED = ("markdown_extensions", "pymdownx")
_PLACE = re.compile(r"\(at (?:line ([0-9]+), column ([0-9]+)|end of document)\)")
_TAGS = {bool: "tag:yaml.org,2002:bool", int: "tag:yaml.org,2002:int", float: "tag:yaml.org,2002:float"}


def find_toml(folder: Path) -> Path | None:
    """The file of settings in a folder, read where there is none of MkDocs; None where there is none."""
    path = folder / NAME
    return path if path.is_file() else None


def read_toml(file: Path, folder: Path) -> Configuration:
    """Read a file of settings. Paths are shown from `folder`."""
    shown = shown_from(folder, file)
    empty = YamlMapping(Position(shown))
    text, faults = read_text(file, shown)
    if faults:
        return Configuration(root=empty, shown=shown, files=(file,), faults=tuple(faults))
    try:
        table = tomllib.loads(text).get(_TABLE, {})
    except tomllib.TOMLDecodeError as error:
        reason = shorten(_PLACE.sub("", str(error)).strip(), 120)
        fault = CONFIGURATION.at(_place_of(str(error), text, shown), found=reason, expected="TOML")
        return Configuration(root=empty, shown=shown, files=(file,), faults=(fault,))
    root = _Nodes(shown, text).of(table, Position(shown))
    if not isinstance(root, YamlMapping):
        fault = CONFIGURATION.at(Position(shown), found=f"{_TABLE} is no table", expected=f"[{_TABLE}]")
        return Configuration(root=empty, shown=shown, files=(file,), faults=(fault,))
    return Configuration(root=_unnested(root), shown=shown, files=(file,))


def _place_of(message: str, text: str, shown: str) -> Position:
    """Where the library found a fault. For it, lines end at LF and CR LF alone; CR LF is one sign."""
    text = text.replace("\r\n", "\n")
    found = _PLACE.search(message)
    if found is None:
        return Position(shown)
    offset = len(text)
    if found[1]:
        above = text.split("\n")[: int(found[1]) - 1]
        offset = sum(len(line) + 1 for line in above) + int(found[2]) - 1
    return Lines(text).position(offset, shown)


class _Nodes:
    """Makes nodes of values."""

    def __init__(self, shown: str, text: str) -> None:
        self.shown = shown
        self.lines = split_lines(text)

    def of(self, value: object, position: Position) -> YamlNode:
        if isinstance(value, dict):
            return YamlMapping(position, tuple(self._entries(value)))
        if isinstance(value, list):
            return YamlList(position, tuple(self.of(one, position) for one in value))
        if isinstance(value, bool):
            return Scalar(position, str(value).lower(), tag=_TAGS[bool])
        if isinstance(value, int | float):
            return Scalar(position, str(value), tag=_TAGS[type(value)])
        return Scalar(position, str(value), quoted=True)

    def _entries(self, table: dict[str, object]) -> Iterator[tuple[Scalar, YamlNode]]:
        for name, value in table.items():
            position = self._place(name)
            yield Scalar(position, name), self.of(value, position)

    def _place(self, name: str) -> Position:
        named = re.compile(rf"""^\s*(?:\[.*?)?(?<![\w-])["']?{re.escape(name)}(?![\w-])""")
        for number, line in enumerate(self.lines, start=1):
            if found := named.search(line):
                return Position(self.shown, number, found.end() - len(name) + 1)
        return Position(self.shown)


def _unnested(root: YamlMapping) -> YamlMapping:
    """The settings with extensions called as MkDocs has it: TOML makes tables in tables of their names."""
    outer, inner = _NESTED
    entries: list[tuple[Scalar, YamlNode]] = []
    for name, value in root.entries:
        assert isinstance(name, Scalar)
        if name.text == outer and isinstance(value, YamlMapping):
            value = YamlMapping(value.position, tuple(_named_whole(value, inner)))
        entries.append((name, value))
    return YamlMapping(root.position, tuple(entries))


def _named_whole(extensions: YamlMapping, family: str) -> Iterator[tuple[Scalar, YamlNode]]:
    for name, value in extensions.entries:
        assert isinstance(name, Scalar)
        if name.text == family and isinstance(value, YamlMapping):
            for member, options in value.entries:
                yield Scalar(member.position, f"{family}.{member.text}"), options
        else:
            yield name, value
