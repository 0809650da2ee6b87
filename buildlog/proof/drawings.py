"""Drawings of parts among the site's files: whether they still show what their blocks give.

A drawing that was saved from a page carries the digest of what it shows, as SVG in its metadata, as DXF in a
comment; its values, and those that an author draws as links, are figures like those of a page. A file that
has nothing of this is nobody's to judge here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Position, Refused, declare
from buildlog.files.text import LARGEST_FILE, read_data, read_text, split_lines
from buildlog.kinds.results import BlockResult
from buildlog.patterns.identity import MARK, Origin, origin_of, read_origin, tell_of
from buildlog.patterns.layout import lay_out
from buildlog.proof.judging import Places, judge_figure

DRAWING_STALE = declare(
    "drawing-stale",
    "a drawing shows another part than its block gives now",
    why="Whoever cuts by it makes a part that the page no longer describes.",
    mend="Save the drawing again from the page, which “mkdocs serve” shows; or, where the drawing is right, "
    "mend the block’s inputs.",
    example="bracket.dxf, saved before the block’s thickness was changed",
)
DRAWING_OF_NOTHING = declare(
    "drawing-of-nothing",
    "a drawing of a pattern that no block gives",
    why="Nothing says any more whether what it shows is right.",
    mend="Save the drawing from the page that has the pattern now, or take the file out.",
    example="bracket.dxf, whose block has another id now",
)
DRAWING_UNREADABLE = declare(
    "drawing-unreadable",
    "a drawing of a pattern that cannot be read",
    why="Its values cannot be compared with the block that they come from.",
    mend="Save the drawing from the page again, or from the program that changed it as plain SVG.",
    example="an SVG that declares entities of its own",
)
PAGE_NOT_NAMED = declare(
    "page-not-named",
    "a figure in a drawing whose address names no page",
    why="A drawing is no page, so that nothing says on which one the block is.",
    mend="Write the page in front of the block, as its path under the content folder without .md.",
    example="calc:side.flat_length in a drawing, for calc:episodes/box#side.flat_length",
)
_SCHEMES = ("calc:", "cite:", "told:")
_LINKED = re.compile(rb"""href\s*=\s*["']\s*(?:calc|cite|told):""")
_WIDE = tuple(MARK.encode(encoding) for encoding in ("utf-16-le", "utf-16-be"))
_METADATA, _LINK = "metadata", "a"
_UNSHOWN = ("title", "desc", "style", "script")
"""What a link may hold that is no part of its text."""
_SPACES = re.compile(r"[ \t\r\n]+")


def drawing_findings(book: Book) -> Iterator[Diagnostic]:
    """What is wrong with the drawings among the site's files."""
    for path in book.drawings:
        try:
            data = read_data(path)
        except OSError:
            continue  # it was there when the folder was listed, and a folder that changes is listed again
        if not _is_ours(data):
            continue
        shown = book.shown(path)
        if path.suffix.lower() == ".dxf" and len(data) <= LARGEST_FILE:
            # Before release 2007 a DXF has the code page of whoever wrote it; the comment is ASCII in all.
            yield from _of_dxf(book, data.decode("latin-1"), shown)
            continue
        text, faults = read_text(path, shown)
        yield from faults
        if not faults:
            yield from _of_svg(book, text, shown)


def pattern_findings(block: BlockResult) -> Iterator[Diagnostic]:
    """Where a pattern of a block cannot be drawn, one of whose dimensions is not as long as its value say."""
    for pattern in block.patterns:
        try:
            lay_out(pattern, tell_of(block, pattern.case))
        except Refused as refusal:
            called = ", ".join(filter(None, (pattern.case, pattern.name)))
            found = f"{called}: {refusal.found}" if called else refusal.found
            yield refusal.code.at(block.position, found=found, expected=refusal.expected, help=refusal.help)


def _is_ours(data: bytes) -> bool:
    """Whether a file has anything to be judged, as far as a file is read."""
    return MARK.encode() in data or bool(_LINKED.search(data)) or any(mark in data for mark in _WIDE)


def _of_dxf(book: Book, text: str, shown: str) -> Iterator[Diagnostic]:
    """A comment is the line after a group code 999. A file that was put together has several."""
    lines = split_lines(text)
    marked = [number for number, line in enumerate(lines, start=1) if MARK in line]
    comments = [number for number in marked if number > 1 and lines[number - 2].strip() == "999"]
    for number in comments:
        yield from _of_origin(book, lines[number - 1].strip(), Position(shown, number))
    if marked and not comments:
        yield DRAWING_UNREADABLE.at(
            Position(shown, marked[0]),
            found="the digest in another place than it was saved",
            expected="a comment, after a line with 999",
        )


def _of_svg(book: Book, text: str, shown: str) -> Iterator[Diagnostic]:
    data = text.encode()
    read = _Svg(shown, data)
    try:
        read.parser.Parse(data, True)
    except (expat.ExpatError, _Refused) as error:
        place = Position(shown, read.parser.ErrorLineNumber or 1, read.parser.ErrorColumnNumber + 1)
        found = str(error) if isinstance(error, _Refused) else expat.ErrorString(error.code)
        yield DRAWING_UNREADABLE.at(
            place, found=found, expected="well-formed SVG without entities of its own"
        )
        return
    for one in read.metadata:
        if MARK in one.text:
            yield from _of_origin(book, one.text, one.place)
    for one in read.links:
        if one.address.startswith("calc:") and "#" not in one.address:
            found, place = f"“{one.address}”", one.place_of(one.address)
            yield PAGE_NOT_NAMED.at(place, found=found, expected="calc:page#block…, page and all")
            continue
        places = Places(one.place_of(one.text, after=one.address), one.place_of(one.address), one.place)
        judged = judge_figure(book, "", one.text, one.address, "", places)
        yield from judged.diagnostics


def _of_origin(book: Book, written: str, place: Position) -> Iterator[Diagnostic]:
    """Whether the digest that a drawing carries is that of its pattern now."""
    told = read_origin(written)
    if told is None:
        yield DRAWING_UNREADABLE.at(
            place, found="a digest that is cut or changed", expected="one as it was saved"
        )
        return
    page, _, name = told.block.partition("#")
    block = book.results.get((page, name))
    if block is not None and not block.cases:
        return  # the block is at fault, and says so
    now = None if block is None else _origin_now(block, told)
    called = ", ".join(filter(None, (told.block, told.case, told.name)))
    if now is None:
        yield DRAWING_OF_NOTHING.at(place, found=called, expected="a pattern of a block of this site")
    elif now.digest != told.digest:
        found, expected = f"drawing {told.digest} of {called}", f"drawing {now.digest}"
        yield DRAWING_STALE.at(place, found=found, expected=expected)


def _origin_now(block: BlockResult, told: Origin) -> Origin | None:
    """What the pattern that a drawing shows says of itself now."""
    named = (one for one in block.patterns if (one.case, one.name) == (told.case, told.name))
    pattern = next(named, None)
    try:
        return None if pattern is None else origin_of(block, pattern)
    except Refused:
        return None  # nothing is drawn of it, as its card says


class _Refused(Exception):
    """What no drawing needs and a reader could choke on."""


@dataclass(kw_only=True)
class _Open:
    """A link or metadata that is read, with the parts of its text."""

    address: str
    place: Position
    begins: int
    written: str = ""
    """The element as it stands in the file, from its byte `begins` on."""
    parts: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        return _SPACES.sub(" ", "".join(self.parts)).strip()

    def place_of(self, wanted: str, *, after: str = "") -> Position:
        """Where words of the element stand; where it begins, if they are written in parts or in entities."""
        begins = self.written.find(after) + len(after)
        at = self.written.find(wanted, begins) if wanted else -1
        if at < 0:
            return self.place
        *lines, last = split_lines(self.written[:at] + ".")
        column = len(last) + (0 if lines else self.place.column - 1)
        return Position(self.place.path, self.place.line + len(lines), column)


class _Svg:
    """Metadata and links of an SVG, each with its place. Entities are refused, whatever they are."""

    def __init__(self, shown: str, data: bytes) -> None:
        self.shown = shown
        self.data = data
        self.metadata: list[_Open] = []
        self.links: list[_Open] = []
        # The text was UTF-8, whatever it declares.
        self.parser = expat.ParserCreate("utf-8")
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._words
        self.parser.EntityDeclHandler = self._entity
        self.parser.SkippedEntityHandler = self._entity
        self._reading: list[_Open | None] = []
        """For each element that is open what its text goes to; None where it is not shown."""

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        tag, address = _local(tag), _address(attributes)
        within = self._reading[-1] if self._reading else None
        is_link = tag == _LINK and address.startswith(_SCHEMES)
        if is_link or tag == _METADATA:
            place = Position(self.shown, self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1)
            within = _Open(address=address, place=place, begins=self.parser.CurrentByteIndex)
            (self.links if is_link else self.metadata).append(within)
        elif tag in _UNSHOWN:
            within = None
        self._reading.append(within)

    def _end(self, tag: str) -> None:
        ended = self._reading.pop()
        if ended is not None and not any(one is ended for one in self._reading[-1:]):
            ended.written = self.data[ended.begins : self.parser.CurrentByteIndex].decode()

    def _words(self, text: str) -> None:
        if self._reading and (within := self._reading[-1]) is not None:
            within.parts.append(text)

    def _entity(self, name: str, *rest: object) -> None:
        raise _Refused(f"an entity of its own, “{name}”")


def _local(name: str) -> str:
    """A name without the prefix of its namespace, which is whatever a program likes."""
    return name.rpartition(":")[2]


def _address(attributes: dict[str, str]) -> str:
    """Where an element leads: `href`, or that of XLink by any prefix."""
    others = (value for name, value in attributes.items() if _local(name) == "href")
    return (attributes.get("href") or next(others, "")).strip()
