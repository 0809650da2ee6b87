"""Raw HTML in a page: what Python-Markdown takes out of it before it looks for containers.

A block-level tag, a comment or a declaration that begins a line (up to three blanks before it) is raw
HTML up to its end; nothing inside is Markdown, unless the tag has a `markdown` attribute. Then its
content is read like a page of its own. All other tags stay in the text.

This follows Python-Markdown's HTMLExtractor and md_in_html, with a scanner of our own, since those
know no positions and take quadratic time on hostile text. A tag longer than `LONGEST_TAG` is none.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass, field

from buildlog.reading.markdown.tree import FENCE_MARK, RAW_MARK, SourceRow, element_mark

LONGEST_TAG = 500  # a limit on what the pattern of a tag can go over again; real tags are shorter
_LOOK_AHEAD = 4000  # how far an inline tag's end is looked for after a comment

BLOCK_TAGS = frozenset(
    "address article aside blockquote body canvas center colgroup dd details div dl dt fieldset figcaption "
    "figure footer form group h1 h2 h3 h4 h5 h6 header hgroup hr html iframe legend li main map math menu "
    "nav noscript object ol option output p pre progress script section style summary table tbody td "
    "textarea tfoot th thead tr ul video".split()
)
_SPAN_TAGS = frozenset("address dd dt h1 h2 h3 h4 h5 h6 legend li p summary td th".split())
_RAW_TAGS = frozenset("canvas math option pre script style textarea".split())
_VOID_TAGS = frozenset("area base br col embed hr img input link meta param source track wbr".split())

# Any white space, as Python-Markdown has it: a form feed and U+2028 too.
_LINE_STARTS_HTML = re.compile(r"\s{0,3}<[A-Za-z!?/]")
_START_TAG = re.compile(
    r"<([a-zA-Z][^`\s/>\x00]*+)"
    r"(?:(?:\s|/(?!>))*+(?:(?<=['\"\s/])[^`\s/>][^\s/=>]*+(?:\s*+=++\s*+(?:'[^']*+'|\"[^\"]*+\"|(?!['\"])[^`>\s]*+)(?:\s*+,)*+)?+"
    r"(?:\s|/(?!>))*+)*+)?+\s*+(/?>)"
)
_ATTRIBUTE = re.compile(r"([^\s/>=]++)(?:\s*+=++\s*+('[^']*+'|\"[^\"]*+\"|[^>\s]*+))?")
_END_TAG = re.compile(r"</([a-zA-Z][^\t\n\r\f />\x00]*+)")
_COMMENT_END = re.compile(r"--!?>")
_BLANK_FOLLOWS = re.compile(r"[ ]*\n[ ]*\n")
_BLANK_WITHIN = re.compile(r"\n[ \t]*\n")


@dataclass(kw_only=True)
class Element:
    """An HTML element with a `markdown` attribute, and the elements inside it.

    `content` says how what is inside is read: as "block" (a page of its own), as "span" (running text) or
    "off" (not at all). `pieces` are stretches of the page and marks; `rows` are made of them at its end.
    """

    tag: str
    content: str
    pieces: list[tuple[int, int] | str] = field(default_factory=list)
    rows: list[SourceRow] = field(default_factory=list)
    just_opened: bool = True


@dataclass
class Extracted:
    rows: list[SourceRow]
    elements: list[Element]
    hidden_fences: set[int]
    raw: list[SourceRow] = field(default_factory=list)  # what was taken out: HTML, comments, tags


def extract_html(rows: list[SourceRow]) -> Extracted:
    """Rows of a page → rows with marks in place of raw HTML, and the elements to read as Markdown."""
    if not any("<" in row[0] and _LINE_STARTS_HTML.match(row[0]) for row in rows):
        return Extracted(rows, [], set())
    return _Extractor(rows).run()


class _Extractor:
    def __init__(self, rows: list[SourceRow]) -> None:
        self.rows = rows
        self.data = "\n".join(row[0] for row in rows)
        self.starts: list[int] = []
        offset = 0
        for row in rows:
            self.starts.append(offset)
            offset += len(row[0]) + 1
        self.out: list[tuple[int, int] | str] = []
        self.elements: list[Element] = []
        self.hidden: set[int] = set()
        # Beside each stack a count of its tags, so that an end tag of nothing open is told without a search.
        self.in_raw = False
        self.raw_stack: list[str] = []
        self.raw_open: Counter[str] = Counter()
        self.open: list[Element] = []
        self.open_tags: Counter[str] = Counter()
        self.inline: list[str] = []
        self.inline_tags: Counter[str] = Counter()
        self.in_tail = False  # on the rest of a line, behind something that was taken out
        self.no_comment_end = False  # known, so that not every "<!--" is followed to the end of the page

    def run(self) -> Extracted:
        data = self.data
        at = 0
        while at < len(data):
            mark = data.find("<", at)
            if mark < 0:
                mark = len(data)
            if mark > at:
                self._text(at, mark)
            if mark == len(data):
                break
            at = self._markup(mark)
        if self.open:
            self._close_elements(self.open[0].tag, len(data))
        for element in self.open:
            # Where elements of one tag stand open inside each other, Python-Markdown loses the outer ones.
            for piece in element.pieces:
                text = piece if isinstance(piece, str) else data[piece[0] : piece[1]]
                self._hide(text)
        return Extracted(self._rows(self.out), self.elements, self.hidden, self._rows_taken_out())

    def _rows_taken_out(self) -> list[SourceRow]:
        """All that stands neither in the text nor in an element whose content is Markdown."""
        kept = [piece for piece in self.out if not isinstance(piece, str)]
        for element in self.elements:
            if element.content != "off":
                kept += [piece for piece in element.pieces if not isinstance(piece, str)]
        rows: list[SourceRow] = []
        at = 0
        for begin, end in [*sorted(kept), (len(self.data), len(self.data))]:
            if self.data[at:begin].strip():
                rows += [row for row in self._rows([(at, begin)]) if row[0]]
            at = max(at, end)
        return rows

    # Where things go.

    def _text(self, begin: int, end: int) -> None:
        if self.in_tail and self.data.find("\n", begin, end) >= 0:
            self.in_tail = False
        if self.in_raw:
            return
        if self.open:
            self.open[-1].just_opened = False
            self.open[-1].pieces.append((begin, end))
        else:
            if self.inline and _BLANK_WITHIN.search(self.data, begin, end):
                self.inline.clear()
                self.inline_tags.clear()
            self.out.append((begin, end))

    def _at_line_start(self, at: int) -> bool:
        start = self.data.rfind("\n", max(0, at - 4), at) + 1
        if start == 0 and at > 3:
            return False
        return at - start <= 3 and not self.data[start:at].strip()

    def _blank_line_before(self, pieces: list[tuple[int, int] | str]) -> None:
        """Python-Markdown adds a line end where only one stands before what it takes out."""
        last = pieces[-1] if pieces else ""
        text = last if isinstance(last, str) else self.data[max(last[0], last[1] - 2) : last[1]]
        if text.endswith("\n") and not text.endswith("\n\n"):
            pieces.append("\n")

    # Reading one piece of markup; each returns where to go on.

    def _markup(self, at: int) -> int:
        data = self.data
        following = data[at + 1 : at + 2]
        if following.isascii() and following.isalpha():
            return self._start_tag(at)
        if following == "/":
            return self._end_tag(at)
        if data.startswith("<!--", at):
            return self._comment(at)
        if following in ("!", "?") and (
            self._at_line_start(at) or self.in_tail or bool(self.open) or self.in_raw
        ):
            return self._declaration(at)
        self._text(at, at + 1)
        return at + 1

    def _comment(self, at: int) -> int:
        match = None if self.no_comment_end else _COMMENT_END.search(self.data, at + 4)
        if match is None:
            self.no_comment_end = True
            self._text(at, at + 1)
            return at + 1
        inside = self.data[at + 4 : match.start()]
        is_block = bool(_BLANK_WITHIN.search(inside)) or not self._inline_closes_after(match.end())
        if self._empty_tag(at, match.end(), is_block):
            self._hide(inside)
        return match.end()

    def _hide(self, text: str) -> None:
        self.hidden.update(int(number) for number in FENCE_MARK.findall(text))

    def _inline_closes_after(self, at: int) -> bool:
        if not self.inline:
            return False
        blank = _BLANK_WITHIN.search(self.data, at, at + _LOOK_AHEAD)
        end = blank.start() if blank else at + _LOOK_AHEAD
        rest = self.data[at:end].lower()
        return any(f"</{tag}" in rest for tag in set(self.inline[-8:]))

    def _declaration(self, at: int) -> int:
        closer = "?>" if self.data.startswith("<?", at) else ">"
        if self.data.startswith("<![CDATA[", at):
            closer = "]]>"
        end = self.data.find(closer, at + 2)
        if end < 0:
            self._text(at, at + 1)
            return at + 1
        end += len(closer)
        self._empty_tag(at, end, closer != ">" or self.data[at : at + 9].lower() == "<!doctype")
        return end

    def _empty_tag(self, at: int, end: int, is_block: bool) -> bool:
        """Something without content. True where it was taken out of the text."""
        if self.in_raw:
            return True
        if self.open:
            if self._at_line_start(at) and is_block:
                self.open[-1].pieces.append(f"\n{RAW_MARK}\n\n")
                return True
            self._text(at, end)
            return False
        if self.in_tail:
            return True
        if not (self._at_line_start(at) and is_block):
            self.out.append((at, end))
            return False
        if not _BLANK_FOLLOWS.match(self.data, end):
            self.in_tail = True
        self._blank_line_before(self.out)
        self.out.append(RAW_MARK)
        self.out.append("\n\n")
        return True

    def _start_tag(self, at: int) -> int:
        match = self._match_start_tag(at)
        if match is None:
            self._text(at, at + 1)
            return at + 1
        tag = match.group(1).lower()
        end = match.end()
        if match.group(2) == "/>":
            self._empty_tag(at, end, tag in BLOCK_TAGS)
            return end
        line_start = self._at_line_start(at)
        if tag == "hr" and (line_start or self.in_tail):
            self._empty_tag(at, end, True)
            return end
        if tag in BLOCK_TAGS and not self.in_raw:
            starting = line_start or self.in_tail or self._just_opened()
            if starting and self._begin_block(tag, match.group()):
                return end
        if self.in_raw:
            return self._start_raw_tag(tag, end)
        self._text(at, end)
        if tag not in BLOCK_TAGS and tag not in _VOID_TAGS:
            self.inline.append(tag)
            self.inline_tags[tag] += 1
        return end

    def _match_start_tag(self, at: int) -> re.Match[str] | None:
        limit = at + LONGEST_TAG
        if self.data.find(">", at, limit) < 0:
            return None
        return _START_TAG.match(self.data, at, min(len(self.data), limit))

    def _just_opened(self) -> bool:
        """Whether nothing stands in the innermost element yet: then a tag need not begin a line."""
        return bool(self.open and self.open[-1].just_opened)

    def _begin_block(self, tag: str, text: str) -> bool:
        """Begin an element with Markdown in it, which is True, or else raw HTML up to the tag's end."""
        content = self._content_of(tag, text)
        if content != "off" or self.open:
            self._open_element(tag, content)
            return True
        self.in_raw = True
        self.raw_stack.clear()
        self.raw_open.clear()
        self.out.append("\n")
        return False

    def _start_raw_tag(self, tag: str, end: int) -> int:
        self.raw_stack.append(tag)
        self.raw_open[tag] += 1
        if tag in ("script", "style"):
            return self._skip_script(tag, end)
        return end

    def _skip_script(self, tag: str, at: int) -> int:
        """No markup is looked for in a script or a style sheet, nor is a fence in it rendered."""
        closing = re.compile(rf"</{tag}(?=[\s/>])", re.IGNORECASE).search(self.data, at)
        end = closing.start() if closing else len(self.data)
        self._hide(self.data[at:end])
        return end

    def _content_of(self, tag: str, text: str) -> str:
        """How the content of a tag is to be read: block, span, or off (MarkdownInHtmlExtractor.get_state).

        ``markdown="1"`` leaves it to the tag; "block" and "span" ask for the one or the other, which an
        element inside running text does not get.
        """
        wanted = "0"
        for match in _ATTRIBUTE.finditer(text, len(tag) + 1):
            if match.group(1).lower() == "markdown":
                wanted = (match.group(2) or "1").strip("'\"")
                break
        if wanted == "markdown":
            wanted = "1"
        outer = self.open[-1].content if self.open else None
        if outer == "off" or (outer == "span" and wanted != "0"):
            wanted = outer
        spans = tag in _SPAN_TAGS
        blocks = not spans and tag not in _RAW_TAGS and tag != "hr"
        if (wanted == "1" and blocks) or (wanted == "block" and (spans or blocks)):
            return "block"
        if (wanted == "1" and spans) or (wanted == "span" and (spans or blocks)):
            return "span"
        return "off"

    def _open_element(self, tag: str, content: str) -> None:
        # As in HTML, a paragraph ends where the next block begins.
        if self.open_tags["p"]:
            self._close_elements("p", None)
        self.open.append(Element(tag=tag, content=content))
        self.open_tags[tag] += 1

    def _end_tag(self, at: int) -> int:
        match = _END_TAG.match(self.data, at)
        end = self.data.find(">", at + 1)
        if match is None or end < 0:
            self._text(at, min(at + 2, len(self.data)))
            return at + 2
        end += 1
        tag = match.group(1).lower()
        if self.in_raw:
            self._end_raw_tag(tag, end)
            return end
        if tag in BLOCK_TAGS and self.open_tags[tag]:
            self._close_elements(tag, end)
            return end
        self._text(at, end)
        if self.inline_tags[tag]:
            _pop_through(tag, self.inline, self.inline_tags)
        return end

    def _end_raw_tag(self, tag: str, end: int) -> None:
        """Raw HTML goes on until all that it opened is closed; an end tag of nothing open is part of it."""
        if self.raw_open[tag]:
            _pop_through(tag, self.raw_stack, self.raw_open)
        if not self.raw_stack:
            self.in_raw = False
            self.in_tail = not _BLANK_FOLLOWS.match(self.data, end)
            self.out.append(RAW_MARK)
            self.out.append("\n\n")

    def _close_elements(self, tag: str, end: int | None) -> None:
        """Close an element and all inside it that are still open."""
        while self.open:
            element = self.open.pop()
            self.open_tags[element.tag] -= 1
            number = len(self.elements)
            self.elements.append(element)
            element.rows = self._rows(element.pieces)
            while element.rows and not element.rows[-1][0]:
                element.rows.pop()
            target = self.open[-1].pieces if self.open else self.out
            if self.open:
                # A blank line before it, and what follows on a line of its own.
                target += ["\n\n", element_mark(number), "\n"]
            else:
                self._blank_line_before(target)
                target += [element_mark(number), "\n\n"]
                if end is None or not _BLANK_FOLLOWS.match(self.data, end):
                    self.in_tail = True
            if element.tag == tag:
                break

    # Back to rows.

    def _rows(self, pieces: list[tuple[int, int] | str]) -> list[SourceRow]:
        rows: list[SourceRow] = []
        text = ""
        line, column = 0, 0
        for piece in pieces:
            if isinstance(piece, str):
                first, *others = piece.split("\n")
                text += first
                for other in others:
                    rows.append((text, line, column))
                    text = other
                continue
            begin, end = piece
            index = bisect_right(self.starts, begin) - 1
            while True:
                row_text, row_line, row_column = self.rows[index]
                start = self.starts[index]
                stop = start + len(row_text)
                if not text:
                    line, column = row_line, row_column + begin - start
                text += self.data[begin : min(end, stop)]
                if end <= stop:
                    break
                rows.append((text, line, column))
                text = ""
                index += 1
                begin = self.starts[index] if index < len(self.starts) else end
                if begin >= end:
                    break
        rows.append((text, line, column))
        return rows


def _pop_through(tag: str, stack: list[str], counts: Counter[str]) -> None:
    """Close the innermost such tag and all that was opened after it."""
    while True:
        popped = stack.pop()
        counts[popped] -= 1
        if popped == tag:
            return
