"""Text that comes into a page by ``{% include-markdown "file" %}`` or ``{% include "file" %}``, as
mkdocs-include-markdown-plugin 7 puts it in.

A page is read with it, as with its snippets. Each character keeps where it was written, since a directive
may bring a part of a line into the midst of another. Left as they are, because they change no figure: the
level of headings and relative addresses. What only a build can read stays a directive in the page, with a
note; a figure that comes in there stops the build. Files outside the content folder are not read.
"""

from __future__ import annotations

import fnmatch
import html
import os
import re
import textwrap
from array import array
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from buildlog.diagnostics import Diagnostic, Position, Severity, declare, shorten
from buildlog.files.text import LARGEST_FILE, Lines
from buildlog.reading.configuration import Scalar, is_null, text_of
from buildlog.reading.markdown.page import ScannedPage
from buildlog.reading.markdown.scanner import scan
from buildlog.reading.nodes import YamlMapping, YamlNode
from buildlog.reading.snippets import (
    DEEPEST,
    PAGE_NOT_VOUCHED,
    Brought,
    Piece,
    WholeLines,
    beyond_figures,
    brought,
    lines_of_file,
    ours_of,
)

INCLUDE_PLUGIN = "include-markdown"
MOST_DIRECTIVES = 1000  # of a page, with those in what comes in
MOST_TEXT = 4 * LARGEST_FILE
KINDS = ("include-markdown", "include")  # in the order in which they are put in

INCLUDE_NOT_READ = declare(
    "include-not-read",
    "a directive of include-markdown that only a build can read",
    severity=Severity.NOTE,
    why="The proof reads files of the content folder, and of the plugin what it can read with certainty. A "
    "figure that comes in otherwise is in no ledger, and stops the build, right or not.",
    mend="Nothing, where only words come in. Figures belong into a file under the content folder, brought in "
    "by its name.",
    example='{% include-markdown "https://example.org/notes.md" %}',
)

_SWITCHES = {
    "preserve-includer-indent": True,
    "dedent": False,
    "trailing-newlines": True,
    "comments": False,
    "rewrite-relative-urls": True,
    "recursive": True,
}
_TEXTS = ("start", "end", "encoding", "order", "exclude")
_OF_MARKDOWN_ALONE = frozenset(("comments", "rewrite-relative-urls", "heading-offset"))
_BEFORE = re.compile(r"[ \t\w\\.]")
# Of escapes only these are read; a backslash before a quotation mark the plugin itself reads in two ways.
_TEXT = r"""(?:"((?:[^"\\]|\\[nrt])+)"|'((?:[^'\\]|\\[nrt])+)')"""
_FILE = re.compile(r"""(?:"([^"\\]+)"|'([^'\\]+)')(?!["'])""")
_ARGUMENT = re.compile(rf"\s+([a-z-]+)=(?:{_TEXT}|([\w-]+))(?=\s|$)")
_ESCAPES = {r"\n": "\n", r"\r": "\r", r"\t": "\t"}
_URL = re.compile(r"[A-Za-z0-9+.-]{2,}:")
_BEYOND_PATTERNS = re.compile(r"[\[\]{}!|()~\\]|//|/$")
_ORDER = re.compile(r"(-?)(?:(alpha|natural)(?:-(path|name|extension))?|(path|name|extension))")
_MOVED_LINES = re.compile(r"^ {4}[^\S\n]*$", re.MULTILINE)


@dataclass(frozen=True, kw_only=True)
class IncludeSettings:
    """What a site says to the plugin. `names` are its directives by kind, `unread` why none can be read."""

    opening: str = "{%"
    closing: str = "%}"
    names: dict[str, str] = field(default_factory=lambda: {kind: kind for kind in KINDS})
    defaults: dict[str, str | bool] = field(default_factory=lambda: dict(_SWITCHES))
    unread: str = ""


@dataclass(frozen=True)
class Included:
    """What a page includes: its files, what is wrong with it, the directives that were not read, and the page
    with it, its lines with where they come from, raw and joined."""

    files: tuple[Path, ...] = ()
    faults: tuple[Diagnostic, ...] = ()
    unread: tuple[Diagnostic, ...] = ()
    whole: ScannedPage | None = None
    lines: WholeLines | None = None
    raw: tuple[Brought, ...] = ()


def read_include_settings(named: Sequence[YamlNode]) -> IncludeSettings | None:
    """The settings of the plugin where it is named; None where it is not."""
    if not named:
        return None
    options = named[0]
    if not isinstance(options, YamlMapping):
        return IncludeSettings(unread="" if len(named) == 1 else "the site names the plugin twice")
    defaults: dict[str, str | bool] = {}
    for name, otherwise in _SWITCHES.items():
        node = options.get(name.replace("-", "_"))
        switch = node.switch if isinstance(node, Scalar) else None
        defaults[name] = otherwise if switch is None else switch
    for name in _TEXTS:
        text = text_of(options.get(name))
        if text is not None and name != "exclude":
            defaults[name] = text
    directives = options.get("directives")
    names = {
        kind: (text_of(directives.get(kind)) if isinstance(directives, YamlMapping) else None) or kind
        for kind in KINDS
    }
    opening = text_of(options.get("opening_tag")) or "{%"
    unread = ""
    excluded = options.get("exclude")
    if len(named) > 1:
        unread = "the site names the plugin twice"
    elif not is_null(excluded) and getattr(excluded, "items", True):
        unread = "the settings of the plugin exclude files"
    elif _BEFORE.match(opening):
        unread = "its opening tag begins as a word does"
    return IncludeSettings(
        opening=opening,
        closing=text_of(options.get("closing_tag")) or "%}",
        names=names,
        defaults=defaults,
        unread=unread,
    )


def asks_for_files(text: str, settings: IncludeSettings) -> bool:
    """Whether a text includes anything, told at a glance."""
    return settings.opening in text and any(name in text for name in settings.names.values())


def read_included(
    scanned: ScannedPage,
    settings: IncludeSettings,
    file: Path,
    content: Path,
    shown: Callable[[Path], str] = Path.as_posix,
) -> Included:
    """What the page that stands in `file` includes. Paths are as they are `shown` to people."""
    reader = IncludeReader(settings, file, content)
    raw = reader.lines_with(scanned)
    lines = WholeLines(raw, shown)
    unread = tuple(
        INCLUDE_NOT_READ.at(
            Position(shown(Path(path)) if path else scanned.path, line, column),
            found=f"“{shorten(name)}”: {why}",
            expected="a file that the proof can read",
        )
        for (path, line, column), (name, why) in reader.unread.items()
    )
    files = tuple(dict.fromkeys(Path(os.path.realpath(path)) for path in reader.files))
    if not files:
        return Included(unread=unread)
    read = scan(lines.text, scanned.path)
    if any(beyond_figures(ours_of(read), ours_of(scanned))):
        return Included(files, tuple(_changes(scanned, reader, settings, file, content)), unread)
    links = tuple(replace(link, lines=lines) for link in read.links)
    return Included(files, (), unread, replace(read, links=links), lines, tuple(raw))


def _changes(
    scanned: ScannedPage, whole: IncludeReader, settings: IncludeSettings, file: Path, content: Path
) -> Iterator[Diagnostic]:
    """A finding on each directive that brings or takes what is no figure; on the first where only all do."""
    written = ours_of(scanned)
    told = []
    for begin in whole.directives:
        alone = IncludeReader(settings, file, content, only=begin)
        more, fewer = beyond_figures(
            ours_of(scan("\n".join(alone.lines_with(scanned)), scanned.path)), written
        )
        if more:
            told.append((begin, f"it brings {next(iter(more))[-1]}"))
        elif fewer:
            told.append((begin, f"it hides {next(iter(fewer))[-1]}"))
    for begin, found in told or [(whole.directives[0], "text that changes how the page is read")]:
        _, line, column = whole.place(begin)
        yield PAGE_NOT_VOUCHED.at(
            Position(scanned.path, line, column), found=shorten(found), expected="a file of words and figures"
        )


class _CannotRead(Exception):
    """Why a directive cannot be read."""


class _TooMuch(_CannotRead):
    """Why nothing of what a directive of the page brings can be read."""


class Text:
    """A text and for each character its origin: its place in all that was read, -1 where nobody wrote it."""

    __slots__ = ("origins", "text")

    def __init__(self, text: str, origins: array[int] | None = None) -> None:
        self.text = text
        self.origins = array("q", [-1]) * len(text) if origins is None else origins

    def part(self, begin: int, end: int | None = None) -> Text:
        return Text(self.text[begin:end], self.origins[begin:end])

    @classmethod
    def joined(cls, parts: Iterable[Text]) -> Text:
        texts, origins = [], array("q")
        for part in parts:
            texts.append(part.text)
            origins += part.origins
        return cls("".join(texts), origins)

    def parted(self, mark: str, most: int = -1) -> list[Text]:
        """As ``str.split``."""
        parts, at = [], 0
        for written in self.text.split(mark, most):
            parts.append(self.part(at, at + len(written)))
            at += len(written) + len(mark)
        return parts

    def lines(self) -> list[Text]:
        """As ``str.splitlines`` with the ends kept."""
        lines, at = [], 0
        for line in self.text.splitlines(keepends=True):
            lines.append(self.part(at, at + len(line)))
            at += len(line)
        return lines

    def dedented(self) -> Text:
        parts = []
        lines = self.parted("\n")
        for number, (old, new) in enumerate(zip(lines, textwrap.dedent(self.text).split("\n"), strict=True)):
            parts.append(old.part(len(old.text) - len(new)))
            if number + 1 < len(lines):
                parts.append(Text("\n"))
        return Text.joined(parts)


@dataclass(frozen=True)
class Directive:
    kind: str
    name: str
    arguments: dict[str, str | bool]


class IncludeReader:
    """Reads what a page includes by the rules of the plugin. `only` is the one directive of the page that is
    followed, by its place in the page's text; `directives` are all that were."""

    def __init__(self, settings: IncludeSettings, file: Path, content: Path, only: int | None = None) -> None:
        self.settings = settings
        self.file = str(file)
        self.content = str(content)
        self.only = only
        self.directives: list[int] = []
        self.files: list[str] = []
        self.unread: dict[tuple[str | None, int, int], tuple[str, str]] = {}
        self.starts: list[int] = []
        self.sources: list[tuple[str | None, Lines, int]] = []
        self.followed = 0
        self.size = 0

    def lines_with(self, scanned: ScannedPage) -> list[Brought]:
        """The lines of a page with what it includes, which its front matter does not."""
        front = scanned.front_matter.end_line if scanned.front_matter else 0
        raw = scanned.lines.raw
        text = self._take("\n".join(raw[front:]), None, front)
        return [*lines_of_file(raw)[:front], *self._lines(self._with_files(text, self.file, 0))]

    def place(self, origin: int) -> tuple[str | None, int, int]:
        """The file, line and column that an origin stands for."""
        source = bisect_right(self.starts, origin) - 1
        file, lines, above = self.sources[source]
        position = lines.position(origin - self.starts[source], "")
        return file, above + position.line, position.column

    def _take(self, text: str, file: str | None, above: int = 0) -> Text:
        """A text that was read, with an origin for each character of it."""
        begin = self.starts[-1] + len(self.sources[-1][1].text) + 2 if self.starts else 0
        self.starts.append(begin)
        self.sources.append((file, Lines(text), above))
        return Text(text, array("q", range(begin, begin + len(text))))

    def _lines(self, text: Text) -> Iterator[Brought]:
        begin = 0
        last = Piece(1, None, 1, 0)
        for line in text.text.split("\n"):
            end = begin + len(line)
            pieces, expected = [], -2
            for column, origin in enumerate(text.origins[begin : end + 1], start=1):
                if origin >= 0 and origin != expected:
                    file, number, there = self.place(origin)
                    pieces.append(Piece(column, file, number, column - there))
                expected = origin + 1 if origin >= 0 else -2
            pieces = pieces or [last]
            last = pieces[-1]
            yield brought(line, *pieces)
            begin = end + 1

    def _with_files(self, text: Text, file: str, depth: int) -> Text:
        """A text with what it includes, which stands in a file."""
        if not asks_for_files(text.text, self.settings):
            return text
        if "\x02" in text.text or "\x03" in text.text:
            if depth:
                raise _CannotRead("it has control characters")
            begin = text.text.index(self.settings.opening)
            self.unread[self.place(text.origins[begin])] = ("directives", "the page has control characters")
            return text
        found: list[Text] = []
        for kind in KINDS:
            text = self._with_marks(text, kind, file, depth, found)
        # What was put in for one kind is no text for the other to look into.
        parts: list[Text] = []
        at = 0
        for mark in re.finditer("\x02([0-9]+)\x03", text.text):
            parts += [text.part(at, mark.start()), found[int(mark[1])]]
            at = mark.end()
        return Text.joined([*parts, text.part(at)])

    def _with_marks(self, text: Text, kind: str, file: str, depth: int, found: list[Text]) -> Text:
        """A text with a mark in place of each directive of a kind, whose text is put with those `found`."""
        parts: list[Text] = []
        at = done = 0
        opening, closing = self.settings.opening, self.settings.closing
        head = re.compile(rf"{re.escape(opening)}\s*{re.escape(self.settings.names[kind])}\s+")
        while (begin := text.text.find(opening, at)) >= 0:
            at = begin + len(opening)
            match = head.match(text.text, begin)
            end = text.text.find(closing, match.end()) if match else -1
            if match is None or end < 0:
                continue
            origin = text.origins[begin]
            if self.only is not None and depth == 0 and origin != self.only:
                continue
            first = begin
            while first > done and _BEFORE.match(text.text[first - 1]):
                first -= 1
            written = text.text[match.end() : end]
            try:
                brings = self._brought_by(kind, written, text.part(first, begin), file, depth)
            except _CannotRead as error:
                if depth and isinstance(error, _TooMuch):
                    raise
                name = _FILE.match(written)
                self.unread[self.place(origin)] = ((name and (name[1] or name[2])) or written, str(error))
                continue
            if depth == 0:
                self.directives.append(origin)
            parts += [text.part(done, first), Text(f"\x02{len(found)}\x03")]
            found.append(brings)
            at = done = end + len(closing)
        return Text.joined([*parts, text.part(done)])

    def _brought_by(self, kind: str, written: str, before: Text, file: str, depth: int) -> Text:
        """The text that a directive brings, with what of its line stands `before` it."""
        self.followed += 1
        if self.settings.unread:
            raise _CannotRead(self.settings.unread)
        if self.followed > MOST_DIRECTIVES:
            raise _TooMuch(f"more than {MOST_DIRECTIVES} directives come together")
        if depth >= DEEPEST:
            raise _TooMuch(f"more than {DEEPEST} files stand in each other")
        directive = _directive(kind, written)
        options = {**self.settings.defaults, **directive.arguments}
        texts = []
        for found in self._files(directive.name, file, str(options.get("order", "alpha-path"))):
            text = _selected(self._read(found, str(options.get("encoding", "utf-8"))), options)
            if options["recursive"]:
                text = self._with_files(text, found, depth + 1)
            if not options["trailing-newlines"]:
                text = text.part(0, len(text.text.rstrip("\r\n")))
            put = _as_markdown if kind == INCLUDE_PLUGIN else _as_text
            texts.append(put(text, before, options, directive.name))
        return Text.joined(texts)

    def _read(self, file: str, encoding: str) -> Text:
        try:
            if os.path.getsize(file) > LARGEST_FILE:
                raise _CannotRead(f"it is larger than {LARGEST_FILE // 1024**2} MiB")
            text = Path(file).read_text(encoding)
        except (OSError, ValueError, LookupError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            raise _CannotRead(f"it cannot be read: {shorten(reason)}") from error
        self.size += len(text)
        if self.size > MOST_TEXT:
            raise _TooMuch(f"more than {MOST_TEXT // 1024**2} MiB of text come together")
        self.files.append(file)
        return self._take(text, file)

    def _files(self, name: str, includer: str, order: str) -> list[str]:
        """The files of a name or pattern, in their order."""
        if "\0" in name:
            raise _CannotRead("its path has a control character")
        if _URL.match(name):
            raise _CannotRead("it is fetched from elsewhere when the site is built")
        folder = self.content
        if name.startswith(("./", "../")):
            folder = os.path.abspath(os.path.dirname(includer))
        path = os.path.join(folder, name)
        files = [path]
        if not os.path.isfile(path):
            if not re.search(r"[*?\[{!|(]", name):
                self._inside(path)
                raise _CannotRead("there is no such file")
            if _BEYOND_PATTERNS.search(name) or os.path.isabs(name):
                raise _CannotRead("the proof reads patterns of *, ** and ? alone")
            files = _in_order(list(dict.fromkeys(_matching(folder, name.split("/")))), order)
            if not files:
                raise _CannotRead("there are no such files")
        for file in files:
            self._inside(file)
        return files

    def _inside(self, file: str) -> None:
        if not Path(os.path.realpath(file)).is_relative_to(os.path.realpath(self.content)):
            raise _CannotRead("it lies outside the content folder, of which alone the proof reads files")


def _directive(kind: str, written: str) -> Directive:
    """A directive, where the plugin can read it in one way only."""
    file = _FILE.match(written)
    if file is None:
        raise _CannotRead("it begins with no path in quotation marks, or with one that has a backslash")
    arguments: dict[str, str | bool] = {}
    at = file.end()
    written = written.rstrip()
    while at < len(written):
        match = _ARGUMENT.match(written, at)
        if match is None:
            raise _CannotRead(f"its arguments cannot be read from “{shorten(written[at:].strip())}” on")
        name, text, bare = match[1], match[2] or match[3], match[4]
        if written.count(f"{name}=") > 1:
            raise _CannotRead(f"“{name}=” stands in it twice")
        arguments[name] = _value(kind, name, text, bare)
        at = match.end()
    return Directive(kind, file[1] or file[2], arguments)


def _value(kind: str, name: str, text: str | None, bare: str | None) -> str | bool:
    if kind != INCLUDE_PLUGIN and name in _OF_MARKDOWN_ALONE:
        raise _CannotRead(f"“{name}” is for {INCLUDE_PLUGIN} alone")
    if name == "exclude":
        raise _CannotRead("the proof does not follow “exclude”")
    if name in _SWITCHES and bare in ("true", "false"):
        return bare == "true"
    if name == "heading-offset" and bare and re.fullmatch(r"-?[0-9]+", bare):
        return bare
    if name in _TEXTS and text is not None:
        return text
    raise _CannotRead(f"the argument “{name}” cannot be read")


def _selected(text: Text, options: dict[str, str | bool]) -> Text:
    """What stands between `start` and `end`."""
    start, end = _mark(options.get("start")), _mark(options.get("end"))
    if start is None and end is None:
        return text
    if end is None:
        assert start is not None
        return text.parted(start, 1)[1] if start in text.text else Text("")
    if start is None:
        return text.parted(end, 1)[0]
    parts = text.parted(start)
    return Text.joined(inner for part in parts[1:] or parts for inner in part.parted(end)[::2])


def _mark(written: str | bool | None) -> str | None:
    """A text to look for, its escapes read."""
    if written is None:
        return None
    if not written or re.search(r"\\(?![nrt])", str(written)):
        raise _CannotRead("its start or end is empty, or has a backslash")
    return re.sub(r"\\[nrt]", lambda match: _ESCAPES[match[0]], str(written))


def _as_text(text: Text, before: Text, options: dict[str, str | bool], name: str) -> Text:
    if options["dedent"]:
        text = text.dedented()
    if not options["preserve-includer-indent"]:
        return Text.joined((before, text))
    return Text.joined(part for line in text.lines() or [Text("")] for part in (before, line))


def _as_markdown(text: Text, before: Text, options: dict[str, str | bool], name: str) -> Text:
    if options["rewrite-relative-urls"] and _MOVED_LINES.search(text.text):
        # The plugin takes it for indented code and may then put a fence before lines that it follows.
        raise _CannotRead("it has a line of four spaces or more and nothing else")
    parts = [before, text]
    if options["comments"]:
        separator = "\n" if options["trailing-newlines"] else ""
        marks = [html.escape(str(options.get(mark) or "")) for mark in ("start", "end")]
        about = "".join(f"'{mark}' " for mark in marks) if any(marks) else ""
        parts = [
            before,
            Text(f"<!-- BEGIN INCLUDE {html.escape(name)} {about}-->{separator}"),
            text,
            Text(f"{separator}<!-- END INCLUDE -->"),
        ]
    whole = Text.joined(parts)
    if options["dedent"]:
        whole = whole.dedented()
    if options["preserve-includer-indent"]:
        indent = Text(" " * len(before.text))
        first, *others = whole.lines() or [whole]
        whole = Text.joined([first, *(part for line in others for part in (indent, line))])
    return whole


def _matching(folder: str, parts: Sequence[str]) -> Iterator[str]:
    """The files under a folder that match a pattern, part by part, in no order. Names that begin with a dot
    match only what is written with one."""
    part, *rest = parts
    if part == "**":
        if rest:
            yield from _matching(folder, rest)
        else:
            yield from _matching(folder, ["*"])
        for name in _names(folder):
            inner = os.path.join(folder, name)
            if not name.startswith(".") and os.path.isdir(inner) and not os.path.islink(inner):
                yield from _matching(inner, parts)
        return
    names = [part]
    if "*" in part or "?" in part:
        like = re.compile(fnmatch.translate(part))
        names = [
            name
            for name in _names(folder)
            if like.match(name) and (part.startswith(".") or not name.startswith("."))
        ]
    for name in names:
        path = os.path.join(folder, name)
        if rest and os.path.isdir(path):
            yield from _matching(path, rest)
        elif not rest and os.path.isfile(path):
            yield path


def _names(folder: str) -> list[str]:
    try:
        return os.listdir(folder)
    except OSError:
        return []


def _in_order(files: list[str], order: str) -> list[str]:
    """Files in an order that their names settle."""
    match = _ORDER.fullmatch(order)
    if match is None:
        if len(files) > 1:
            raise _CannotRead(f"only the build knows the order “{shorten(order)}”")
        return files
    by, is_natural = match[3] or match[4] or "path", match[2] == "natural"

    def key(path: str) -> tuple[object, ...]:
        name = os.path.basename(path)
        extension = os.path.splitext(path)[1]
        if not is_natural:
            return ({"path": path, "name": name, "extension": extension}[by],)
        if by == "extension":
            return _natural(extension), _natural(name)
        return (_natural(name if by == "name" else path),)

    keys = [key(path) for path in files]
    if any(keys.count(one) > 1 for one in keys):
        raise _CannotRead(f"the order “{shorten(order)}” does not say which of two files comes first")
    return sorted(files, key=key, reverse=bool(match[1]))


def _natural(name: str) -> tuple[object, ...]:
    return tuple(int(part) if part.isdigit() else part.lower() for part in re.split(r"(\d+)", name))
