"""Text that comes into a page from other files by ``--8<-- "file"``, as pymdownx.snippets puts it in.

A page is published with its snippets in it, so it is read with them: figures in a snippet are judged on the
page that it comes into, at their places in the snippet's own file. What else of ours a snippet brings or
takes, a calculation, a list, a figure that it hides, is a finding at the line that asks for it: a page's
blocks are what others rest on, and have to stand in it.
"""

from __future__ import annotations

import os
import re
import textwrap
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from buildlog.diagnostics import Diagnostic, Position, declare, shorten
from buildlog.files.file_names import as_listed, how_they_differ
from buildlog.files.text import LARGEST_FILE, Lines
from buildlog.reading.markdown.page import ScannedPage
from buildlog.reading.markdown.scanner import scan
from buildlog.reading.markdown.slips import slips_of
from buildlog.reading.markers import read_markers
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar

EXTENSION = "pymdownx.snippets"
MOST_LINES = 200_000  # of a page with its snippets: they can double it at every level
DEEPEST = 30
LONGEST_MARK = 1000  # patterns go over a line more than once, and nobody writes such a path

PAGE_NOT_VOUCHED = declare(
    "page-not-vouched",
    "a snippet, or an included file, for which the proof cannot vouch",
    why="A snippet may have figures, and so may a file that include-markdown brings in. What else it "
    "changes, a calculation or a list more, a figure that it hides, would be published otherwise "
    "than the page says.",
    mend="Write calculations and lists into the page itself, and only words and figures into what comes in.",
    example='--8<-- "gears.md"        # which holds a calculation',
)

_LINE = re.compile(
    r"[ \t]*(;*)(?:"
    r"""-+8<-+[ \t]+("(?:\\"|[^"\n\r])+?"|'(?:\\'|[^'\n\r])+?')|"""  # one snippet
    r"(-+8<-+)"  # the begin or end of a block of paths
    r")\r?"
)
_SECTION = re.compile(
    r"(.*?)(?<!;)(?!(?<=-)-)(;*)-+8<-+[ \t]+\[[ \t]*(start|end)[ \t]*:[ \t]*([a-z][\w-]*)[ \t]*\].*",
    re.IGNORECASE | re.ASCII,
)
_PART = re.compile(
    r"(?P<path>.*?)(?:(?P<lines>(?::-?[0-9]*){1,2}(?:,(?=[-0-9:])-?[0-9]*(?::-?[0-9]*)?)*)|:(?P<section>[a-z][\w-]*))?",
    re.IGNORECASE | re.ASCII,
)
_FIGURE = "figure"
_ON = frozenset(("true", "yes", "on"))


@dataclass(frozen=True, kw_only=True)
class SnippetSettings:
    """What a site says to the extension. A base of "" is the folder of the page."""

    bases: tuple[str, ...] = (".",)
    restricted: bool = True
    downloads: bool = False
    dedents: bool = False
    encoding: str = "utf-8"
    appended: tuple[str, ...] = ()


def read_snippet_settings(site: YamlMapping, root: Path, content: Path) -> SnippetSettings | None:
    """The settings in a site's mkdocs.yml, or None where the extension is not used.

    `!relative` of MkDocs comes without its tag: nothing, or a path that begins with $docs_dir or $config_dir.
    """
    options = _options(site.get("markdown_extensions"))
    if options is None:
        return None
    places = {"$docs_dir": str(content), "$config_dir": str(root)}

    def base(written: str) -> str:
        head, _, tail = written.partition("/")
        if not written:
            return ""
        return os.path.abspath(root / places.get(head, head or "/") / tail)

    bases = tuple(base(text) for text in _texts(options.get("base_path"))) or (str(root),)
    encoding = options.get("encoding")
    return SnippetSettings(
        bases=bases,
        restricted=_flag(options, "restrict_base_path", True),
        downloads=_flag(options, "url_download", False),
        dedents=_flag(options, "dedent_subsections", False),
        encoding=encoding.text if isinstance(encoding, YamlScalar) else "utf-8",
        appended=tuple(_texts(options.get("auto_append"))),
    )


def _options(extensions: YamlNode | None) -> YamlMapping | None:
    """The options of the extension in a list or mapping of extensions, or None where it is not named."""
    items = extensions.items if isinstance(extensions, YamlList) else (extensions,)
    for item in items:
        if isinstance(item, YamlMapping):
            for key, value in item.entries:
                if key.text.partition(":")[0] == EXTENSION:
                    return value if isinstance(value, YamlMapping) else YamlMapping(key.position)
        elif isinstance(item, YamlScalar) and item.text.partition(":")[0] == EXTENSION:
            return YamlMapping(item.position)
    return None


def _texts(node: YamlNode | None) -> Iterator[str]:
    items = node.items if isinstance(node, YamlList) else (node,)
    for item in items:
        if isinstance(item, YamlScalar):
            yield item.text


def _flag(options: YamlMapping, name: str, otherwise: bool) -> bool:
    node = options.get(name)
    return node.text.lower() in _ON if isinstance(node, YamlScalar) and node.text else otherwise


class Piece(NamedTuple):
    """Where a line comes from, from a column of it on: the file, None for the page's own, its line there, and
    how many columns more stand in front of it here than there."""

    begin: int
    file: str | None
    number: int
    shift: int


class Brought(str):
    """A line of a page with what comes into it. Most have one piece; included files can share a line."""

    pieces: tuple[Piece, ...]


def brought(text: str, *pieces: Piece) -> Brought:
    line = Brought(text)
    line.pieces = pieces
    return line


def lines_of_file(lines: Sequence[str], file: str | None = None) -> list[Brought]:
    """Lines as they stand in a file."""
    return [brought(line, Piece(1, file, number, 0)) for number, line in enumerate(lines, start=1)]


def _changed(text: str, line: str, shift: int = 0) -> str:
    """A line that has changed, with where it comes from."""
    if not isinstance(line, Brought):
        return text
    moved = (piece._replace(begin=piece.begin + shift, shift=piece.shift + shift) for piece in line.pieces)
    return brought(text, *moved)


class WholeLines(Lines):
    """The lines of a page with its snippets; a position is one in the file that a line comes from."""

    __slots__ = ("origins",)

    def __init__(self, lines: Sequence[str], shown: Callable[[Path], str]) -> None:
        super().__init__("\n".join(lines))
        self.origins = [
            [piece._replace(file=shown(Path(piece.file)) if piece.file else None) for piece in line.pieces]
            if isinstance(line, Brought)
            else [Piece(1, None, 1, 0)]
            for line in lines
        ]

    def position(self, offset: int, path: str) -> Position:
        return self.place(super().position(offset, path))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, WholeLines) and (self.text, self.origins) == (other.text, other.origins)

    def __hash__(self) -> int:
        return hash(self.text)

    def place(self, position: Position) -> Position:
        """Where a place of the whole stands in its file."""
        pieces = self.origins[min(position.line, len(self.origins)) - 1]
        piece = next((one for one in reversed(pieces) if one.begin <= position.column), pieces[0])
        return Position(piece.file or position.path, piece.number, max(1, position.column - piece.shift))


@dataclass(kw_only=True)
class Include:
    """One place that asks for a snippet: its line in the page, what is asked for and what comes of it."""

    line: int
    name: str
    files: list[Path] = field(default_factory=list)
    text: list[str] = field(default_factory=list)
    unread: str = ""  # why the snippet, or one in it, cannot be read


class _CannotRead(Exception):
    """Why a snippet cannot be read."""


def _see_that_it_is_spelled_so(base: str, path: str) -> None:
    """Refuse a path that leads to a file only where capital letters do not count."""
    listed = None if os.path.isabs(path) else as_listed(Path(base), path)
    if listed is not None and listed != "/".join(PurePosixPath(path).parts):
        raise _CannotRead(f"there is {shorten(listed)}, which differs {how_they_differ(listed, path)}")


@dataclass(frozen=True)
class Snippets:
    """The snippets of a page: the files they come from, what is wrong with them, and the page with them, with
    its lines, where they bring anything."""

    files: tuple[Path, ...] = ()
    faults: tuple[Diagnostic, ...] = ()
    whole: ScannedPage | None = None
    lines: WholeLines | None = None


def asks_for_snippets(text: str, settings: SnippetSettings) -> bool:
    """Whether anything can come into a page, told at a glance."""
    return "8<" in text or bool(settings.appended)


def read_snippets(
    scanned: ScannedPage,
    settings: SnippetSettings,
    folder: Path,
    shown: Callable[[Path], str] = Path.as_posix,
    lines_before: Sequence[Brought] | None = None,
) -> Snippets:
    """The snippets of a page that stands in `folder`, the findings on those that change what is ours, and the
    page as it is with them. Paths are as they are `shown` to people. `lines_before` are those of the page,
    where something has come into it already."""
    reader = SnippetReader(settings, folder)
    own = lines_of_file(scanned.lines.raw) if lines_before is None else lines_before
    pieces = list(reader.pieces_of(scanned, own))
    includes = [piece for piece in pieces if isinstance(piece, Include)]
    faults = [_unread(scanned, include) for include in includes if include.unread]
    if not faults:
        faults = list(_differences(scanned, pieces, includes))
    if faults and lines_before is not None:
        place = WholeLines(own, shown).place
        faults = [replace(fault, position=place(fault.position)) for fault in faults]
    files = tuple(dict.fromkeys(file for include in includes for file in include.files))
    if faults or not files:
        return Snippets(files, tuple(faults))
    whole = [line for piece in pieces for line in ([piece] if isinstance(piece, str) else piece.text)]
    lines = WholeLines(whole, shown)
    read = scan(lines.text, scanned.path)
    links = tuple(replace(link, lines=lines) for link in read.links)
    return Snippets(files, (), replace(read, links=links), lines)


def _unread(scanned: ScannedPage, include: Include) -> Diagnostic:
    return PAGE_NOT_VOUCHED.at(
        Position(scanned.path, include.line),
        found=f"“{shorten(include.name)}”: {include.unread}",
        expected="a file that can be read",
        help="write the path as it stands under base_path in the settings of the site, or take the line out",
    )


def _differences(
    scanned: ScannedPage, pieces: Sequence[str | Include], includes: Sequence[Include]
) -> Iterator[Diagnostic]:
    """A finding on each snippet that brings or takes anything of ours; on the first where only all do."""
    written = ours_of(scanned)
    if not includes or not any(beyond_figures(ours_of(_scan_with(scanned, pieces, includes)), written)):
        return
    alone = {id(include): ours_of(_scan_with(scanned, pieces, [include])) for include in includes}
    changing = [include for include in includes if any(beyond_figures(alone[id(include)], written))]
    for include in changing or includes[:1]:
        more, fewer = beyond_figures(alone[id(include)], written)
        found = "text that changes how the page is read"
        if more:
            found = f"it brings {next(iter(more))[-1]}"
        elif fewer:
            found = f"it hides {next(iter(fewer))[-1]}"
        yield PAGE_NOT_VOUCHED.at(
            Position(scanned.path, include.line),
            found=f"“{shorten(include.name)}”: {shorten(found)}",
            expected="a snippet of words",
        )


Ours = Counter[tuple[str, ...]]


def beyond_figures(now: Ours, before: Ours) -> tuple[Ours, Ours]:
    """What there is more, but for figures, and what fewer."""
    more = Counter({name: count for name, count in (now - before).items() if name[0] != _FIGURE})
    return more, before - now


def _scan_with(
    scanned: ScannedPage, pieces: Sequence[str | Include], chosen: Sequence[Include]
) -> ScannedPage:
    lines: list[str] = []
    for piece in pieces:
        if isinstance(piece, str):
            lines.append(piece)
        elif any(piece is include for include in chosen):
            lines += piece.text
    return scan("\n".join(lines), scanned.path)


def ours_of(scanned: ScannedPage) -> Ours:
    """All of a page that the proof reads, wherever it stands; the last of each is what people are shown."""
    ours: Ours = Counter()
    for link in scanned.links:
        ours[_FIGURE, link.title or "", f"[{link.label}]({link.address})"] += 1
    for link in scanned.cautions:
        ours["caution", link.title or "", f"[{link.label}]({link.address})"] += 1
    for fence in scanned.fences:
        if fence.is_calc:
            ours[fence.body, "a calculation"] += 1
    for marker in read_markers(scanned):
        ours["list", f"the list “{marker.name}”"] += 1
    for finding in (*scanned.diagnostics, *slips_of(scanned)):
        ours[finding.code.name, f"{finding.found or finding.message} ({finding.code.name})"] += 1
    return ours


class SnippetReader:
    """Reads snippets by the rules of pymdownx.snippets."""

    def __init__(self, settings: SnippetSettings, folder: Path) -> None:
        self.settings = settings
        self.bases = [base or str(folder) for base in settings.bases]
        self.lines = 0

    def pieces_of(self, scanned: ScannedPage, own: Sequence[Brought] = ()) -> Iterator[str | Include]:
        """The lines of a page, and in place of those that ask for a snippet what comes of them."""
        front = scanned.front_matter.end_line if scanned.front_matter else 0
        own = own or lines_of_file(scanned.lines.raw)
        yield from own[:front]
        appended: list[str] = []
        if self.settings.appended:
            appended = ["", "", "-8<-", *"\n\n".join(self.settings.appended).split("\n"), "-8<-", ""]
        for number, asked in self._asked([*own[front:], *appended], in_section=False):
            if isinstance(asked, str):
                yield asked
                continue
            line = min(front + number + 1, len(own))
            include = Include(line=line, name=asked[1])
            try:
                include.text = self._read(asked, [], include.files)
            except _CannotRead as error:
                include.unread = str(error)
            yield include

    def _asked(self, lines: Sequence[str], in_section: bool) -> Iterator[tuple[int, str | tuple[str, str]]]:
        """Each line that stays, or (indent, path) where it asks for a snippet, with its number."""
        in_block = False
        for number, line in enumerate(lines):
            match = _LINE.fullmatch(line)
            indent = line[: len(line) - len(line.lstrip(" \t"))].expandtabs(4)
            if match is not None and match[1]:
                yield number, _changed(line.replace(";", "", 1), line)
            elif match is not None and match[3]:
                in_block = not in_block
            elif match is not None:
                if not in_block:
                    yield from _path(number, indent, match[2][1:-1].strip())
            elif in_block:
                stripped = line.strip()
                yield from _path(number, indent, stripped) if stripped else [(number, "")]
            else:
                kept = line if in_section else _without_section_mark(line)
                if kept is not None:
                    yield number, kept

    def _read(self, asked: tuple[str, str], outer: Sequence[str], files: list[Path]) -> list[str]:
        """The lines of a snippet with those that it asks for itself."""
        indent, name = asked
        part = _PART.fullmatch(name) if len(name) <= LONGEST_MARK else None
        if part is None or not part["path"].strip():
            raise _CannotRead("a path is missing, or is too long")
        path = part["path"].strip()
        if path.lower().startswith(("http://", "https://")):
            if self.settings.downloads:
                raise _CannotRead("it is fetched from elsewhere when the site is built")
            raise _CannotRead("there is no such file")
        file = self._find(path)
        files.append(Path(os.path.realpath(file)))
        if file in outer:
            return []
        if len(outer) >= DEEPEST:
            raise _CannotRead(f"more than {DEEPEST} snippets stand in each other")
        selected = self._select(self._lines_of(file), part)
        lines: list[str] = []
        for _, inner in self._asked(selected, in_section=bool(part["section"])):
            lines += [inner] if isinstance(inner, str) else self._read(inner, [*outer, file], files)
        self.lines += len(lines)
        if self.lines > MOST_LINES:
            raise _CannotRead(f"it makes the page longer than {MOST_LINES} lines")
        return [_changed(indent + line, line, len(indent)) for line in lines]

    def _find(self, path: str) -> str:
        for base in self.bases:
            if os.path.isdir(base):
                file = os.path.abspath(os.path.join(base, path))
                is_under = file.startswith(base.rstrip(os.sep) + os.sep)
                if is_under or not self.settings.restricted:
                    _see_that_it_is_spelled_so(base, path)
                    if os.path.isfile(file):
                        self._see_that_it_is_inside(file, base)
                        return file
            elif os.path.isfile(base) and os.path.abspath(os.path.join(os.path.dirname(base), path)) == base:
                return base
        raise _CannotRead("there is no such file")

    def _see_that_it_is_inside(self, file: str, base: str) -> None:
        """The extension looks at the path alone, and would follow a link to any file of the machine."""
        if self.settings.restricted and not Path(os.path.realpath(file)).is_relative_to(
            os.path.realpath(base)
        ):
            raise _CannotRead("it is a link that leads out of the folder of snippets")

    def _lines_of(self, file: str) -> list[str]:
        try:
            if os.path.getsize(file) > LARGEST_FILE:
                raise _CannotRead(f"it is larger than {LARGEST_FILE // 1024**2} MiB")
            text = Path(file).read_text(self.settings.encoding)
        except (OSError, ValueError, LookupError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            raise _CannotRead(f"it cannot be read: {shorten(reason)}") from error
        lines = text.split("\n") if text else []
        return list(lines_of_file(lines, file))

    def _select(self, lines: list[str], part: re.Match[str]) -> list[str]:
        """The lines or the section of a file that are asked for; all of it where nothing is said."""
        if part["lines"]:
            selected = list(_numbered(lines, part["lines"]))
        elif part["section"]:
            selected = _section(lines, part["section"])
        else:
            return lines
        if not self.settings.dedents:
            return selected
        dedented = textwrap.dedent("\n".join(selected)).split("\n")
        if not selected:
            return dedented
        return [_changed(new, old, len(new) - len(old)) for new, old in zip(dedented, selected, strict=True)]


def _path(number: int, indent: str, path: str) -> list[tuple[int, str | tuple[str, str]]]:
    """A path that is asked for; one behind a semicolon is commented out."""
    return [] if path.startswith(";") else [(number, (indent, path))]


def _section_mark(line: str) -> re.Match[str] | None:
    return _SECTION.fullmatch(line) if "8<-" in line and len(line) <= LONGEST_MARK else None


def _without_section_mark(line: str) -> str | None:
    """A line outside a section: None where it only marks one."""
    match = _section_mark(line)
    if match is None:
        return line
    return _unescaped(line, match) if match[2] else None


def _numbered(lines: list[str], ranges: str) -> Iterator[str]:
    """Lines by number from 1, ``:2:5,8``; a negative number counts from the end."""
    count = len(lines)
    for written in ranges[1:].split(","):
        first, _, last = written.partition(":")
        start = int(first) if first not in ("", "-") else None
        end = int(last) if last not in ("", "-") else None
        if start is not None:
            start = max(0, min(count + start, count)) if start < 0 else max(0, start - 1)
        if end is not None and end < 0:
            end = max(0, min(count + 1 + end, count))
        yield from lines[start:end]


def _section(lines: list[str], name: str) -> list[str]:
    """The lines between a section's two marks, without the marks of others."""
    selected: list[str] = []
    inside = False
    for line in lines:
        match = _section_mark(line)
        if match is not None and not match[2]:
            if match[4] == name:
                if match[3].lower() == "end":
                    break
                inside = True
                continue
            if inside:
                continue
        if inside:
            is_escaped = match is not None and match[2]
            selected.append(_unescaped(line, match) if is_escaped and match else line)
    if not inside and not selected:
        raise _CannotRead(f"it has no section “{name}”")
    return selected


def _unescaped(line: str, match: re.Match[str]) -> str:
    return _changed(line[: match.start(2)] + line[match.start(2) + 1 :], line)
