"""The pictures of a page: what each shows in words, and whether its words and its caption are read.

A photograph with a caption is a ``<figure markdown>`` with a picture, or a pair of them, and a ``<figcaption
markdown>``. The caption is prose like any other. A picture's own words and its label are shown and read
aloud, so loose figures are looked for in them too.
"""

from __future__ import annotations

import posixpath
import re
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import unquote, urlsplit

from buildlog.diagnostics import Diagnostic, Severity, declare, shorten
from buildlog.files.text import split_lines
from buildlog.reading.markdown.destinations import Budget, read_destination
from buildlog.reading.markdown.page import CAUTION, SCHEMES, ProseSpan, ScannedPage

PICTURE_WITHOUT_WORDS = declare(
    "picture-without-words",
    "a picture has no words for who does not see it",
    why="Who has the page read aloud, or whose connection fails, is told a file's name or nothing.",
    mend="Say in the square brackets what is to be seen; decoration is an img element with an empty alt.",
    severity=Severity.WARNING,
    example="![](duct.jpg)",
)
CAPTION_NOT_READ = declare(
    "caption-not-read",
    "a caption stands in raw HTML, and its figures are not proofed",
    why="Markdown does not look into raw HTML: a figure there is compared with nothing.",
    mend="Give the figcaption the attribute markdown, so that it is read like the text.",
    severity=Severity.WARNING,
    example="<figcaption>The scoop clears the road by 78 mm.</figcaption>",
)

_OPENING = re.compile(r"<figcaption\b[^<>]{0,300}>", re.IGNORECASE)
_CLOSING = re.compile("</figcaption>", re.IGNORECASE)


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A picture of Markdown. `words` are its alternative text, `label` its title; offsets are of the page."""

    words: str
    label: str
    address: str
    start: int
    end: int
    words_start: int
    label_start: int


def read_pictures(scanned: ScannedPage) -> list[Picture]:
    """The pictures that stand in a page's text, in its order."""
    return [_read_picture(scanned, start, end) for start, end in sorted(scanned.surroundings.images)]


def picture_name(address: str, key: str) -> str:
    """The path under content that a picture's address on a page leads to; "" where it leads elsewhere."""
    try:
        parts = urlsplit(address.strip("<>"))
    except ValueError:
        return ""
    if parts.scheme or parts.netloc or not parts.path or parts.path.startswith("/"):
        return ""
    inside = posixpath.normpath(posixpath.join(posixpath.dirname(key), unquote(parts.path)))
    return "" if inside.startswith("..") or "\x00" in inside else inside


def picture_faults(scanned: ScannedPage) -> list[Diagnostic]:
    """Findings on pictures without words and on captions that nobody reads."""
    return [*_without_words(scanned), *_unread_captions(scanned)]


def words_of_pictures(scanned: ScannedPage) -> tuple[ProseSpan, ...]:
    """The words and labels of a page's pictures, line by line, for who looks for loose figures."""
    spans: list[ProseSpan] = []
    for picture in read_pictures(scanned):
        for text, start in ((picture.words, picture.words_start), (picture.label, picture.label_start)):
            for line in split_lines(text, keepends=True):
                if line.strip():
                    place = scanned.offset_to_position(start)
                    spans.append(ProseSpan(line=place.line, column=place.column, text=line.rstrip("\r\n")))
                start += len(line)
    return tuple(spans)


def _read_picture(scanned: ScannedPage, start: int, end: int) -> Picture:
    """The parts of ``![words](address "label")``, or of a reference, which has no parts of its own."""
    written = scanned.text[start:end]
    address = label = ""
    close, label_start = _end_of_words(written), start
    destination = read_destination(written, close + 1, Budget(len(written)))
    if destination is not None:
        address = written[slice(*destination.address)].strip()
        if destination.title is not None:
            label = written[slice(*destination.title)]
            label_start = start + destination.title[0]
    return Picture(
        words=written[2:close],
        label=label,
        address=address,
        start=start,
        end=end,
        words_start=start + 2,
        label_start=label_start,
    )


def _end_of_words(written: str) -> int:
    """Where the bracket stands that closes a picture's words; brackets among them pair up."""
    depth = 0
    for at, sign in enumerate(written):
        depth += (sign == "[") - (sign == "]")
        if at and sign == "]" and not depth:
            return at
    return len(written)


def _without_words(scanned: ScannedPage) -> Iterator[Diagnostic]:
    for picture in read_pictures(scanned):
        if not picture.words.strip():
            yield PICTURE_WITHOUT_WORDS.at(
                scanned.offset_to_position(picture.start),
                found=shorten(scanned.text[picture.start : picture.end]),
                expected="what is to be seen, ![the duct from below](…)",
                length=picture.end - picture.start,
            )


def _unread_captions(scanned: ScannedPage) -> Iterator[Diagnostic]:
    """Captions with figures of which no word is among the prose; with addresses they are findings already."""
    text, starts = scanned.text, scanned.lines.starts
    read = sorted(starts[span.line - 1] + span.column - 1 for span in scanned.prose)
    at = 0
    while opening := _OPENING.search(text, at):
        closing = _CLOSING.search(text, opening.end())
        if closing is None:
            return
        at = closing.end()
        caption = text[opening.end() : closing.start()]
        is_code = any(low <= opening.start() < high for low, high in scanned.surroundings.code)
        is_read = bisect_left(read, opening.end()) < bisect_left(read, closing.start())
        is_told = any(scheme in caption for scheme in (*SCHEMES, CAUTION))
        if not (is_code or is_read or is_told) and any(sign.isdigit() for sign in caption):
            yield CAPTION_NOT_READ.at(
                scanned.offset_to_position(opening.start()),
                found=shorten(opening[0] + caption.strip()),
                expected="<figcaption markdown>",
                length=len(opening[0]),
            )
