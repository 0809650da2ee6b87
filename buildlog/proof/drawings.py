"""Drawings of parts among the site's files: whether they still show what their blocks give.

A drawing that was saved from a page carries the digest of what it shows, as SVG in its metadata, as DXF in a
comment; its values, and those that an author draws as links, are figures like those of a page. A file that
has nothing of this is nobody's to judge here.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from xml.parsers import expat

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Position, declare
from buildlog.files.text import LARGEST_FILE, read_text, split_lines
from buildlog.kinds.results import BlockResult
from buildlog.patterns.identity import MARK, Origin, origin_of, read_origin
from buildlog.proof.judging import Places, judge_figure

DRAWING_STALE = declare(
    "drawing-stale",
    "a drawing shows another part than its block gives now",
    why="Whoever cuts by it makes a part that the page no longer describes.",
    mend="Save the drawing from the page again; or, where the drawing is right, mend the block’s inputs.",
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
_MARKS = (MARK.encode(), *(f'href="{scheme}'.encode() for scheme in _SCHEMES))
_METADATA, _LINK = "metadata", "a"


def drawing_findings(book: Book) -> Iterator[Diagnostic]:
    """What is wrong with the drawings among the site's files."""
    for path in book.drawings:
        if not _is_ours(path):
            continue
        shown = book.shown(path)
        text, faults = read_text(path, shown)
        yield from faults
        if not faults:
            yield from (_of_dxf if path.suffix.lower() == ".dxf" else _of_svg)(book, text, shown)


def _is_ours(path: Path) -> bool:
    """Whether a file has anything to be judged, as far as a file is read."""
    try:
        with open(path, "rb") as file:
            start = file.read(LARGEST_FILE + 1)
    except OSError:
        return False  # it was there when the folder was listed, and a folder that changes is listed again
    return any(mark in start for mark in _MARKS)


def _of_dxf(book: Book, text: str, shown: str) -> Iterator[Diagnostic]:
    """A comment is the line after a group code 999."""
    lines = split_lines(text)
    for number, line in enumerate(lines[1:], start=2):
        if MARK in line and lines[number - 2].strip() == "999":
            yield from _of_origin(book, line, Position(shown, number))
            return


def _of_svg(book: Book, text: str, shown: str) -> Iterator[Diagnostic]:
    read = _Svg(shown)
    try:
        read.parser.Parse(text.encode("utf-8", "surrogatepass"), True)
    except (expat.ExpatError, _Refused) as error:
        place = Position(shown, read.parser.ErrorLineNumber or 1, read.parser.ErrorColumnNumber + 1)
        found = str(error) if isinstance(error, _Refused) else expat.ErrorString(error.code)
        yield DRAWING_UNREADABLE.at(
            place, found=found, expected="well-formed SVG without entities of its own"
        )
        return
    for written, place in read.metadata:
        if MARK in written:
            yield from _of_origin(book, written.strip(), place)
    for label, address, place in read.links:
        if address.startswith("calc:") and "#" not in address:
            yield PAGE_NOT_NAMED.at(place, found=f"“{address}”", expected="calc:page#block…, page and all")
            continue
        judged = judge_figure(book, "", label, address, "", Places.all_at(place))
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
    return None if pattern is None else origin_of(block, pattern)


class _Refused(Exception):
    """What no drawing needs and a reader could choke on."""


class _Svg:
    """Metadata and links of an SVG, each with its place. Entities are refused, whatever they are."""

    def __init__(self, shown: str) -> None:
        self.shown = shown
        self.metadata: list[tuple[str, Position]] = []
        self.links: list[tuple[str, str, Position]] = []
        self.parser = expat.ParserCreate()
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._words
        self.parser.EntityDeclHandler = self._entity
        self._open: list[tuple[str, str, Position]] = []
        self._text: list[str] = []

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        tag = tag.rpartition(":")[2]
        address = attributes.get("href") or attributes.get("xlink:href") or ""
        if tag == _METADATA or (tag == _LINK and address.startswith(_SCHEMES)):
            place = Position(self.shown, self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1)
            self._open.append((tag, address, place))
            self._text.append("")

    def _end(self, tag: str) -> None:
        if not self._open or tag.rpartition(":")[2] != self._open[-1][0]:
            return
        opened, address, place = self._open.pop()
        text = self._text.pop()
        if opened == _METADATA:
            self.metadata.append((text, place))
        else:
            self.links.append((text.strip(), address, place))

    def _words(self, text: str) -> None:
        if self._text:
            self._text[-1] += text

    def _entity(self, name: str, *rest: object) -> None:
        raise _Refused(f"an entity of its own, “{name}”")
