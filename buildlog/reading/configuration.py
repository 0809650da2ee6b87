"""A site's configuration as MkDocs reads it, with a position on every value.

MkDocs reads it with PyYAML: anchors and merge keys are followed, of equal keys the last wins, ``!ENV`` gives
a variable of the environment, and ``INHERIT`` takes over another file, mapping by mapping. The proof has to
read the same, or it would judge another site than the one that is built; the tests hold this file to MkDocs
itself. Most of a configuration belongs to others: what they write there is no finding of ours, but for what
MkDocs refuses as well.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import yaml

from buildlog.diagnostics import Diagnostic, Position, declare, shorten
from buildlog.files.text import Lines, read_text
from buildlog.reading.nodes import Unread, YamlList, YamlMapping, YamlNode, YamlScalar, refused_character

_LINE_ENDS_OF_YAML = re.compile("[\x85\u2028\u2029]")
NAMES = ("mkdocs.yml", "mkdocs.yaml")
"""What MkDocs looks for, in this order."""
MOST_NODES = 200_000  # merge keys can stand for each other: a few lines of them for billions of values

_YAML = "tag:yaml.org,2002:"
_TEXT, _NULL, _BOOL, _MERGE = (_YAML + name for name in ("str", "null", "bool", "merge"))
_TRUE = frozenset(("yes", "true", "on"))
_PlaceOf = Callable[[int], Position]

CONFIGURATION = declare(
    "configuration",
    "settings of the site that MkDocs refuses",
    why="No site can be built with them, so there is none that the proof could speak of.",
    mend="Correct it at this place.",
    example="INHERIT: ../base.yml        # where there is no such file",
)


@dataclass(frozen=True)
class Scalar(YamlScalar):
    """A value with the type that YAML gives it, as a tag."""

    tag: str = _TEXT

    @property
    def is_null(self) -> bool:
        return self.tag == _NULL

    @property
    def is_text(self) -> bool:
        return self.tag == _TEXT

    @property
    def switch(self) -> bool | None:
        """True or false where it is a truth value in YAML, which has more words for them."""
        return self.text.lower() in _TRUE if self.tag == _BOOL else None


@dataclass(frozen=True, kw_only=True)
class Configuration:
    """What a file of settings says, with all that it takes over. `files` are those that were read; `repeated`
    are keys that stand twice in one mapping, by the place of the mapping."""

    root: YamlMapping
    shown: str
    files: tuple[Path, ...] = ()
    faults: tuple[Diagnostic, ...] = ()
    repeated: dict[Position, list[tuple[YamlScalar, Position]]] = field(default_factory=dict, compare=False)

    def text(self, name: str) -> str | None:
        """The text of a setting, None where it is none."""
        return text_of(self.root.get(name))


def text_of(node: YamlNode | None) -> str | None:
    return node.text if isinstance(node, Scalar) and node.is_text else None


def is_null(node: YamlNode | None) -> bool:
    return node is None or (isinstance(node, Scalar) and node.is_null)


def find_configuration(folder: Path) -> Path | None:
    """The file of settings in a folder, as MkDocs looks for it; None where there is none."""
    return next((path for name in NAMES if (path := folder / name).is_file()), None)


def shown_from(folder: Path, path: Path) -> str:
    """A path as people see it: from a folder, or whole where that is shorter."""
    try:
        near = Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # another drive
        return path.as_posix()
    return min(near, path.as_posix(), key=len)


def read_configuration(file: Path, folder: Path) -> Configuration:
    """Read a file of settings, and those that it takes over. Paths are shown from `folder`."""
    reader = _Reader(folder)
    shown = shown_from(folder, file)
    try:
        root = reader.read(file)
    except _Refused as refused:
        return Configuration(
            root=YamlMapping(Position(shown)),
            shown=shown,
            files=tuple(reader.files),
            faults=refused.faults,
        )
    return Configuration(root=root, shown=shown, files=tuple(reader.files), repeated=reader.repeated)


class _Refused(Exception):
    """MkDocs would refuse the configuration, for these reasons."""

    def __init__(self, *faults: Diagnostic) -> None:
        super().__init__()
        self.faults = faults


class _Reader:
    """Reads files that take over each other."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.files: list[Path] = []
        self.repeated: dict[Position, list[tuple[YamlScalar, Position]]] = {}

    def read(self, file: Path) -> YamlMapping:
        shown = shown_from(self.folder, file)
        self.files.append(file)
        text, faults = read_text(file, shown)
        if faults:
            raise _Refused(*faults)
        lines = Lines(text)
        # Not by PyYAML's lines, which end at NEL and U+2028 too.
        root = self._node(text, lambda offset: lines.position(offset, shown))
        if root is None:
            return YamlMapping(Position(shown))
        if not isinstance(root, YamlMapping):
            raise _Refused(
                CONFIGURATION.at(root.position, found="no mapping", expected="settings, name: value")
            )
        parent = root.get("INHERIT")
        if parent is None:
            return root
        own = YamlMapping(root.position, tuple(pair for pair in root.entries if pair[0].text != "INHERIT"))
        return merged(self._parent(parent, file), own)

    def _parent(self, named: YamlNode, file: Path) -> YamlMapping:
        """The settings that a file takes over."""
        name = text_of(named)
        found, expected = f"INHERIT: {shorten(getattr(named, 'text', ''))}", "the path of a file of settings"
        if not name:
            raise _Refused(CONFIGURATION.at(named.position, found=found, expected=expected))
        path = Path(os.path.normpath(file.parent / name))
        if path in self.files:
            found += ", which takes over this file in turn"
        elif not path.exists():
            found += ", where there is no file"
        else:
            return self.read(path)
        raise _Refused(CONFIGURATION.at(named.position, found=found, expected=expected))

    def _node(self, text: str, place: _PlaceOf) -> YamlNode | None:
        try:
            # The parser in Python, as MkDocs has it: libyaml reads a few texts in another way.
            root = yaml.compose(text, Loader=yaml.SafeLoader)
            return None if root is None else _Nodes(place, self.repeated).of(root)
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            where = place(mark.index) if mark is not None else place(0)
            problem = " ".join((error.problem or "unreadable").split()).removeprefix("found ")
            found, help = _plainly(problem, text, mark.index if mark is not None else 0)
            fault = CONFIGURATION.at(where, found=found, expected="YAML", help=help)
        except (yaml.YAMLError, ValueError) as error:
            offset, found = refused_character(text) or (0, shorten(" ".join(str(error).split()), 120))
            fault = CONFIGURATION.at(place(offset), found=found, expected="YAML")
        except RecursionError:
            fault = CONFIGURATION.at(place(0), found="values deeper in each other than can be read")
        raise _Refused(fault)


def _plainly(problem: str, text: str, offset: int) -> tuple[str, str]:
    """What a parser stumbled over in words of its user, and what to do about it."""
    for sign in _LINE_ENDS_OF_YAML.findall(text, text.rfind("\n", 0, offset) + 1, offset):
        return f"U+{ord(sign):04X}, which ends a line for YAML, and a comment too", "Take that sign out."
    if "<block end>" in problem or "indentation" in problem:
        return (
            "a line that continues nothing above it",
            "Look at the indents of this line and of those above it.",
        )
    return shorten(problem, 120), ""


def merged(below: YamlMapping, above: YamlMapping) -> YamlMapping:
    """Settings over those that they take over: mappings are merged, all else is replaced."""
    entries = {(_tag(key), key.text): (key, value) for key, value in below.entries}
    for key, value in above.entries:
        name = (_tag(key), key.text)
        old = entries[name][1] if name in entries else None
        if isinstance(old, YamlMapping) and isinstance(value, YamlMapping):
            value = merged(old, value)
        entries[name] = (key, value)
    return YamlMapping(above.position, tuple(entries.values()))


def _tag(node: YamlNode) -> str:
    return node.tag if isinstance(node, Scalar) else _TEXT


class _Nodes:
    """Makes our nodes of PyYAML's. An anchor's node is made once, however often it is named."""

    def __init__(self, place: _PlaceOf, repeated: dict[Position, list[tuple[YamlScalar, Position]]]) -> None:
        self.place = place
        self.repeated = repeated
        self.loader = yaml.SafeLoader("")
        self.sizes: dict[int, int] = {}
        self.made: dict[int, YamlNode | None] = {}
        self.count = 0

    def of(self, node: yaml.Node) -> YamlNode:
        known = self.made.get(id(node))
        if known is not None:
            return known
        here = self._place(node)
        if id(node) in self.made:  # it is being made: it holds itself
            return Unread(here)
        self.made[id(node)] = None
        self._count(node)
        made = self._made(node, here)
        self.made[id(node)] = made
        return made

    def _made(self, node: yaml.Node, here: Position) -> YamlNode:
        if node.tag == "!ENV":
            return self._from_environment(node, here)
        if isinstance(node, yaml.ScalarNode):
            return Scalar(here, node.value, node.style not in (None, ""), node.tag)
        if isinstance(node, yaml.SequenceNode):
            return YamlList(here, tuple(map(self.of, node.value)))
        assert isinstance(node, yaml.MappingNode)
        return self._mapping(node, here)

    def _mapping(self, node: yaml.MappingNode, here: Position) -> YamlMapping:
        self._find_repeated(node, here)
        self._merge_in(node)
        entries: dict[tuple[str, str], tuple[YamlScalar, YamlNode]] = {}
        for written, value in node.value:
            key = self.of(written)
            if isinstance(key, YamlScalar):
                entries[_tag(key), key.text] = (key, self.of(value))
        return YamlMapping(here, tuple(entries.values()))

    def _find_repeated(self, node: yaml.MappingNode, here: Position) -> None:
        """Note the keys that are written twice, before others are merged in."""
        seen: dict[str, Position] = {}
        for written, _ in node.value:
            key = self.of(written)
            if isinstance(key, YamlScalar) and _tag(key) != _MERGE:
                if key.text in seen:
                    self.repeated.setdefault(here, []).append((key, seen[key.text]))
                seen.setdefault(key.text, key.position)

    def _merge_in(self, node: yaml.MappingNode) -> None:
        """Put what a mapping merges in before its own keys. PyYAML does it, whose versions differ."""
        if any(key.tag == _MERGE for key, _ in node.value):
            self._size(node, ())
            self.loader.flatten_mapping(node)

    def _size(self, node: yaml.Node, outer: tuple[int, ...]) -> int:
        """How many keys a mapping has with those that it merges in; too many of them are refused."""
        if not isinstance(node, yaml.MappingNode):
            return 0
        if id(node) in outer:
            raise _wrong("a mapping that is merged into itself", node)
        if id(node) not in self.sizes:
            size = len(node.value)
            for key, value in node.value:
                if key.tag == _MERGE:
                    sources = value.value if isinstance(value, yaml.SequenceNode) else [value]
                    size += sum(self._size(source, (*outer, id(node))) for source in sources)
            if size > MOST_NODES:
                raise _wrong(f"more than {MOST_NODES} values", node)
            self.sizes[id(node)] = size
        return self.sizes[id(node)]

    def _from_environment(self, node: yaml.Node, here: Position) -> YamlNode:
        """The first of some variables that is set, read as a value of YAML; else the default, or nothing."""
        if isinstance(node, yaml.ScalarNode):
            names, default = [node], None
        elif isinstance(node, yaml.SequenceNode):
            names = node.value[:-1] if len(node.value) > 1 else node.value
            default = node.value[-1] if len(node.value) > 1 else None
        else:
            raise _wrong("a mapping where !ENV takes the name of a variable, or a list of them", node)
        for name in names:
            if not isinstance(name, yaml.ScalarNode):
                raise _wrong("a value that is no name of a variable", name)
            value = os.environ.get(name.value)
            if value is not None:
                tag = self.loader.resolve(yaml.ScalarNode, value, (True, False))  # type: ignore[no-untyped-call]
                return Scalar(here, value, False, str(tag))
        return Scalar(here, "", False, _NULL) if default is None else self.of(default)

    def _place(self, node: yaml.Node) -> Position:
        return self.place(node.start_mark.index)

    def _count(self, node: yaml.Node) -> None:
        self.count += 1
        if self.count > MOST_NODES:
            raise _wrong(f"more than {MOST_NODES} values", node)


def _wrong(problem: str, node: yaml.Node) -> yaml.MarkedYAMLError:
    return yaml.constructor.ConstructorError(None, None, problem, node.start_mark)
