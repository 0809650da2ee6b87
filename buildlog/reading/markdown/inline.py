"""The inside of a paragraph: code spans, links, images and HTML, in Python-Markdown's order.

Python-Markdown applies one pattern after the other to the whole text and puts a mark in place of
each thing it finds, so that later patterns do not see it. Here each thing is overwritten with as many
filler characters, which has the same effect and keeps every position. Each pattern goes over the
text once from left to right.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Container, Mapping
from dataclasses import dataclass, field

from buildlog.reading.markdown.definitions import LinkDefinition
from buildlog.reading.markdown.destinations import Budget, read_destination
from buildlog.reading.markdown.html_blocks import LONGEST_TAG
from buildlog.reading.markdown.page import LinkForm

FILLER = "\x02"
ESCAPABLE = frozenset("\\`*_{}[]()>#+-.!|")

_TICKS = re.compile("`+")
_ESCAPE = re.compile(r"\\(.)", re.DOTALL)
_ESCAPED = re.compile(r"\\([\\`*_{}\[\]()>#+\-.!|])")
_LINK = re.compile(r"(?<!\!)\[")
_IMAGE = re.compile(r"\!\[")
_BRACKET = re.compile(r"[\[\]]")
_BLANKS = re.compile(r"\s+")
_AUTOLINK = re.compile(r"<([A-Za-z][A-Za-z0-9+.\-]*+://[^<>]*+)>")
_MAIL = re.compile(r"<[^<> !]+@[^@<> ]+>")
_TAG = re.compile(
    r"""</?+[a-zA-Z][^\s"'<>@]*+(?:\s++[^\s"'=<>]++(?:\s*+=\s*+(?:"[^"]*+"|'[^']*+'|[^\s"'=<>]++))?+)*+\s*+/?>"""
)
# Python-Markdown writes `--!>`, which ends a comment in HTML, as `-->` before it reads the text.
_COMMENT = re.compile(r"<!--(?:(?!<!--|--!?>).)*+--!?>|<[?](?:(?!<[?]|[?]>).)*+[?]>", re.DOTALL)
_CDATA = re.compile(r"<!\[CDATA\[(?:(?!<!\[CDATA\[|\]\]>).)*+\]\]>", re.DOTALL)
_ENTITY = re.compile(r"&(?:\#[0-9]+|\#x[0-9a-fA-F]+|[a-zA-Z0-9]+);")
_ANY = re.compile(r"[`\\\[<&]")
_HARD = re.compile(r"[`\\<&!]|\[\^")
_SIMPLE = re.compile(r"""\[([^\[\]]*+)\]\(([^\s()'"]*+)(?:[ ]++(?:"([^"'()]*+)"|'([^"'()]*+)'))?\)""")

Span = tuple[int, int]


@dataclass(frozen=True, kw_only=True)
class FoundLink:
    """A link in offsets of the text. `definition` is set where the address stands elsewhere."""

    form: LinkForm
    start: int
    end: int
    label: Span
    address: Span
    title: Span | None
    definition: LinkDefinition | None = None


@dataclass(kw_only=True)
class Inlines:
    """What a text holds, in offsets of that text."""

    links: list[FoundLink] = field(default_factory=list)
    masked: list[Span] = field(default_factory=list)
    hidden: list[Span] = field(default_factory=list)
    comments: list[Span] = field(default_factory=list)
    code: list[Span] = field(default_factory=list)
    tags: list[Span] = field(default_factory=list)
    images: list[Span] = field(default_factory=list)
    undefined: list[tuple[Span, Span]] = field(default_factory=list)  # labels and names, of no definition
    unclosed: int = -1  # the first address that opens a quote and a bracket and closes neither
    budget_spent: bool = False


def read_inlines(text: str, references: Mapping[str, LinkDefinition], footnotes: Container[str]) -> Inlines:
    """All links of a text, and which of its spans are no prose."""
    inlines = Inlines()
    if _ANY.search(text) is None or (_HARD.search(text) is None and _read_simple(text, inlines)):
        return inlines
    reader = _Reader(text, references, footnotes, inlines)
    reader.read()
    inlines.budget_spent = reader.budget.spent
    _drop_hidden(inlines)
    return inlines


def _read_simple(text: str, inlines: Inlines) -> bool:
    """Read a text in which every bracket belongs to a plain link, as most do; False where one does not."""
    matches = list(_SIMPLE.finditer(text))
    count = len(matches)
    if text.count("[") != count or text.count("]") != count:
        return False
    for match in matches:
        start, end = match.span()
        label = match.span(1)
        title = match.span(3) if match.start(3) >= 0 else match.span(4)
        inlines.links.append(
            FoundLink(
                form=LinkForm.INLINE,
                start=start,
                end=end,
                label=label,
                address=match.span(2),
                title=title if title[0] >= 0 else None,
            )
        )
        inlines.masked.append((start, label[0]))
        inlines.masked.append((label[1], end))
    return True


def unescape(text: str) -> str:
    """A text without the backslashes that only kept Markdown off."""
    return _ESCAPED.sub(r"\1", text) if "\\" in text else text


def _drop_hidden(inlines: Inlines) -> None:
    """Take out the links that stand in an address, in a tag or in an image's text."""
    if not inlines.hidden or not inlines.links:
        return
    spans = sorted(inlines.hidden)
    starts = [span[0] for span in spans]
    reach: list[int] = []
    far = -1
    for _, end in spans:
        far = max(far, end)
        reach.append(far)
    kept = []
    for link in inlines.links:
        at = bisect_right(starts, link.start) - 1
        if at < 0 or reach[at] < link.end:
            kept.append(link)
    inlines.links = kept


class _Reader:
    def __init__(
        self, text: str, references: Mapping[str, LinkDefinition], footnotes: Container[str], inlines: Inlines
    ) -> None:
        self.text = text
        self.references = references
        self.footnotes = footnotes
        self.inlines = inlines
        self.budget = Budget(len(text))
        self.data = text
        self.shift = 0
        self.taken: list[Span] = []
        self.later: list[tuple[Span, int, str]] = []

    def read(self) -> None:
        # What must stand in a text for a pattern to find anything, and the pattern.
        passes = (
            # The numbers of Python-Markdown's inline patterns are in this order, from 190 downwards.
            ("`", self._code),
            ("\\", self._escapes),
            ("[^", self._footnote_marks),
            ("[", self._reference_links),
            ("](", self._links),
            ("![", self._images),
            ("![", self._reference_images),
            ("[", self._short_references),
            ("![", self._short_images),
            ("<", self._automatic),
            ("<", self._html),
            ("&", self._entities),
        )
        # The inside of a link is read with the patterns that come after the one that found it.
        self.later.append(((0, len(self.text)), 0, self.text))
        while self.later:
            (self.shift, _), first, self.data = self.later.pop()
            for number in range(first, len(passes)):
                sign, find = passes[number]
                if sign in self.data:
                    self.taken = []
                    self.current = number
                    find()
                    self._overwrite()

    def _overwrite(self) -> None:
        if not self.taken:
            return
        pieces: list[str] = []
        at = 0
        for start, end in self.taken:
            pieces.append(self.data[at:start])
            pieces.append(FILLER * (end - start))
            at = end
        pieces.append(self.data[at:])
        self.data = "".join(pieces)

    def _take(self, start: int, end: int) -> None:
        self.taken.append((start, end))

    def _mask(self, start: int, end: int) -> None:
        self.inlines.masked.append((self.shift + start, self.shift + end))

    def _hide(self, start: int, end: int) -> None:
        self._mask(start, end)
        self.inlines.hidden.append((self.shift + start, self.shift + end))

    def _at(self, span: Span) -> Span:
        return span[0] + self.shift, span[1] + self.shift

    def _add_link(
        self,
        form: LinkForm,
        span: Span,
        *,
        label: Span,
        address: Span | None = None,
        title: Span | None = None,
        definition: LinkDefinition | None = None,
    ) -> None:
        """Note a link. Without an address of its own it has that of the definition."""
        start, end = self._at(span)
        self.inlines.links.append(
            FoundLink(
                form=form,
                start=start,
                end=end,
                label=self._at(label),
                address=self._at(address) if address else (0, 0),
                title=self._at(title) if title else None,
                definition=definition,
            )
        )

    # Code spans and escapes.

    def _code(self) -> None:
        data = self.data
        runs = [match.span() for match in _TICKS.finditer(data)]
        by_length: dict[int, list[int]] = {}
        longest: list[int] = [-1] * (len(runs) + 1)  # the longest run from here on, the first of them
        for index in range(len(runs) - 1, -1, -1):
            length = runs[index][1] - runs[index][0]
            by_length.setdefault(length, []).append(index)
            best = longest[index + 1]
            if best < 0 or length >= runs[best][1] - runs[best][0]:
                best = index
            longest[index] = best
        index = 0
        floor = 0
        while index < len(runs):
            start, end = runs[index]
            before = len(data[floor:start]) - len(data[floor:start].rstrip("\\"))
            floor = end
            index += 1
            # An odd backslash escapes the first tick; those after it may still open a span.
            if before % 2:
                start += 1
            elif before:
                self._take(start - before, start)
            length = end - start
            if not length:
                continue
            places = by_length.get(length, [])
            while places and places[-1] < index:
                places.pop()
            if places:
                closing = places.pop()
            else:
                closing = longest[index]
                if closing < 0 or runs[closing][1] - runs[closing][0] > length:
                    continue
            self._take(start, runs[closing][1])
            self._mask(start, runs[closing][1])
            self.inlines.code.append(self._at((start, runs[closing][1])))
            floor = runs[closing][1]
            index = closing + 1

    def _escapes(self) -> None:
        for match in _ESCAPE.finditer(self.data):
            if match.group(1) in ESCAPABLE:
                self._take(*match.span())

    def _footnote_marks(self) -> None:
        data = self.data
        at = data.find("[^")
        while at >= 0:
            end = data.find("]", at + 2)
            if end < 0:
                return
            if data[at + 2 : end] in self.footnotes:
                self._take(at, end + 1)
                self._mask(at, end + 1)
            at = data.find("[^", end + 1)

    # Links and images.

    def _pairs(self) -> dict[int, int]:
        """Each opening square bracket → its closing one."""
        pairs: dict[int, int] = {}
        stack: list[int] = []
        for match in _BRACKET.finditer(self.data):
            at = match.start()
            if self.data[at] == "[":
                stack.append(at)
            elif stack:
                pairs[stack.pop()] = at
        return pairs

    def _reference_links(self) -> None:
        self._references(_LINK, LinkForm.REFERENCE)

    def _short_references(self) -> None:
        if self.references:
            self._references(_LINK, LinkForm.SHORTCUT)

    def _reference_images(self) -> None:
        if self.references:
            self._references(_IMAGE, LinkForm.REFERENCE)

    def _short_images(self) -> None:
        if self.references:
            self._references(_IMAGE, LinkForm.SHORTCUT)

    def _references(self, opener: re.Pattern[str], form: LinkForm) -> None:
        data = self.data
        pairs = self._pairs()
        at = 0
        while match := opener.search(data, at):
            at = match.end()
            close = pairs.get(at - 1)
            if close is None:
                continue
            end = close + 1
            name, begin, stop = "", 0, 0
            if form is LinkForm.REFERENCE:
                begin = end
                if data[begin : begin + 1].isspace():
                    begin += 1
                if not data.startswith("[", begin):
                    continue
                stop = data.find("]", begin)
                if stop < 0:
                    continue
                name = data[begin + 1 : stop].lower()
                end = stop + 1
            name = _BLANKS.sub(" ", name or data[at:close].lower())
            definition = self.references.get(name)
            if definition is None:
                if form is LinkForm.REFERENCE and opener is _LINK:
                    self.inlines.undefined.append((self._at((at, close)), self._at((begin + 1, stop))))
                at = end
                continue
            self._take(match.start(), end)
            if opener is _IMAGE:
                self._hide(match.start(), end)
                self.inlines.images.append(self._at((match.start(), end)))
            else:
                label = (at, close)
                self._add_link(form, (match.start(), end), label=label, definition=definition)
                self._mask(match.start(), at)
                self._hide(close, end)
                self._read_later(label)
            at = end

    def _read_later(self, label: Span) -> None:
        text = self.data[label[0] : label[1]]
        if _ANY.search(text):
            self.later.append((self._at(label), self.current + 1, text))

    def _links(self) -> None:
        self._inline_links(_LINK)

    def _images(self) -> None:
        self._inline_links(_IMAGE)

    def _inline_links(self, opener: re.Pattern[str]) -> None:
        data = self.data
        pairs = self._pairs()
        at = 0
        while match := opener.search(data, at):
            at = match.end()
            close = pairs.get(at - 1)
            if close is None:
                continue
            destination = read_destination(data, close + 1, self.budget)
            if destination is None:
                if self.budget.unclosed >= 0 > self.inlines.unclosed:
                    self.inlines.unclosed = self.shift + self.budget.unclosed
                continue
            label = (at, close)
            at = destination.end
            self._take(match.start(), at)
            if opener is _IMAGE:
                self._hide(match.start(), at)
                self.inlines.images.append(self._at((match.start(), at)))
                continue
            self._add_link(
                LinkForm.INLINE,
                (match.start(), at),
                label=label,
                address=destination.address,
                title=destination.title,
            )
            self._mask(match.start(), label[0])
            self._hide(close, at)
            self._read_later(label)

    # What stands in angle brackets, and entities.

    def _automatic(self) -> None:
        for match in _AUTOLINK.finditer(self.data):
            self._take(*match.span())
            self._mask(*match.span())
            self._hide(match.start(1), match.end())  # so that nothing inside counts, but it does itself
            self._add_link(LinkForm.AUTOMATIC, match.span(), label=match.span(1), address=match.span(1))
        self._overwrite()
        self.taken = []
        for match in _MAIL.finditer(self.data):
            self._take(*match.span())
            self._hide(match.start(), match.end())

    def _html(self) -> None:
        data = self.data
        at = data.find("<")
        while at >= 0:
            match = (
                _TAG.match(data, at, min(len(data), at + LONGEST_TAG))
                or _COMMENT.match(data, at)
                or _CDATA.match(data, at)
            )
            end = at + 1
            if match:
                end = match.end()
                self._take(at, end)
                self._hide(at, end)
                kind = self.inlines.comments if data.startswith("<!--", at) else self.inlines.tags
                kind.append(self._at((at, end)))
            at = data.find("<", end)

    def _entities(self) -> None:
        for match in _ENTITY.finditer(self.data):
            self._mask(*match.span())
