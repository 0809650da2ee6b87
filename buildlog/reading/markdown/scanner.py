"""A page's Markdown → its calculation blocks, its figures and its running text, with positions.

Python-Markdown keeps no positions, so the proof reads pages itself. What it sees is held to what
Python-Markdown, with the extensions that buildlog's sites use, renders: the rules are its rules, in
its order (front matter, fences, raw HTML, containers, inlines), and a test compares the two on
generated pages. It takes time in proportion to the length of the page, whatever stands in it.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Sequence
from typing import NamedTuple

import yaml

from buildlog.diagnostics import Diagnostic, Position, Severity, declare, shorten
from buildlog.files.text import Lines, columns_of, expand
from buildlog.reading.markdown.chunks import Chunk, SourceOrigin, chunks_of
from buildlog.reading.markdown.containers import DEEPEST, read_containers
from buildlog.reading.markdown.definitions import LinkDefinition, Structure
from buildlog.reading.markdown.fences import FoundFence, find_fences, means_calculation
from buildlog.reading.markdown.html_blocks import extract_html
from buildlog.reading.markdown.inline import FoundLink, Inlines, Span, read_inlines, unescape
from buildlog.reading.markdown.page import CAUTION as CAUTION
from buildlog.reading.markdown.page import (
    LINE_TOO_LONG,
    MASK,
    Definition,
    Fence,
    FrontMatter,
    Link,
    OtherLink,
    ProseSpan,
    ScannedPage,
    Surroundings,
    UndefinedReference,
)
from buildlog.reading.markdown.page import SCHEMES as SCHEMES
from buildlog.reading.markdown.slips import find_slip, unknown_scheme
from buildlog.reading.markdown.tree import FENCE_MARK, SourceRow, fence_mark

LONGEST_LINE = 20_000  # beyond it Python-Markdown's patterns, some of them quadratic, take minutes
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_READ = (*SCHEMES, CAUTION)

_FRONT_START = re.compile(r"-{3}[ \t]*")
_FRONT_END = re.compile(r"(?:-{3}|\.{3})[ \t]*")
_ATTRIBUTES = re.compile(r"\{:[^{}\n]*\}|\{ *[.#][^{}\n]*\}|\{ *[\w\-]+=[^{}\n]*\}")
_LIST_BEHIND = re.compile(r"\{:?[ ]*([^}\n]*)\}")  # attr_list's, behind a link
_SETS = re.compile(r"(?:^|(?<=\s))(href|title)=(\"[^\"]*\"|'[^']*'|[^\s=]*)")
_MARKS = re.compile("\x02[fer][0-9]*\x03")
_NESTED = re.compile(r"\]\(\s*<?\s*(?:calc|cite|told):")
_OPENING = re.compile(r"(?:`{3,}|~{3,})(?P<info>[^`~\n]*)")
_EXPANDED = re.compile("[\t\x02\x03]")
_NO_PROSE = MASK + " \t"
_TITLE_BLANK = re.compile(r"\s")

LINKS_TANGLED = declare(
    "links-tangled",
    "a paragraph holds so many unclosed links that it is not read to its end",
    why="Python-Markdown would take minutes over it.",
    mend="Close the brackets after each address, or put a backslash before those that open no link.",
    example="[[[[[[[[ … with none of them closed",
)
BLOCK_UNCLOSED = declare(
    "block-unclosed",
    "a calculation block is opened and never closed",
    why="Without its end it is no block, and its lines are ordinary text on the page.",
    mend="Close it with the same marker at the same indent, and keep every line between at least as deep.",
    example="```yaml calc\nid: shorter-final        # and no closing ``` before the page ends",
)
BLOCK_NOT_READ = declare(
    "block-not-read",
    "a line looks like the opening of a calculation block, but opens none",
    why="The calculation would be missing, and its lines would stand on the page as text.",
    mend="Write ```yaml calc and nothing more, on a line of its own.",
    severity=Severity.WARNING,
    example="```yml calc",
)
ADDRESS_UNCLOSED = declare(
    "address-unclosed",
    "a link's address opens a quote and a bracket and closes neither",
    why="Python-Markdown drops the rest of the paragraph after it.",
    mend="Close them, or write ( in an address as %28 and quotes only around a title.",
    example='[3 m](calc:"a(b)',
)
LINK_IN_LABEL = declare(
    "link-in-label",
    "a link stands in the label of another link",
    why="A link has one address. Which of the two a reader gets hangs on accidents of the text.",
    mend="Close the label before the next link, or put a backslash before a bracket that opens none.",
    example="[[3 m](calc:a.b)](calc:c.d)",
)
FOOTNOTE_TWICE = declare(
    "footnote-twice",
    "a footnote of this name is defined again below",
    why="A page shows only the last one. The text of the others is lost, with the figures and blocks in it.",
    mend="Give each footnote a name of its own.",
    severity=Severity.WARNING,
    example="[^1]: From the data sheet.\n[^1]: From memory.",
)
HTML_IN_LABEL = declare(
    "html-in-label",
    "an HTML tag stands in the label of a figure",
    why="What a browser makes of the label is not what is compared.",
    mend="Write the label without tags; emphasis is written with asterisks.",
    example="[39 <b>N·m</b>](cite:manual)",
)
FOOTNOTE_IN_FOOTNOTE = declare(
    "footnote-in-footnote",
    "a footnote is defined in the text of another",
    why="Python-Markdown breaks down over it, and where it does not, the page lacks the inner one.",
    mend="Define it outside, at the left margin.",
    example="[^1]: The data sheet.\n\n    [^2]: Third edition.",
)
ATTRIBUTE_OF_FIGURE = declare(
    "attribute-of-figure",
    "an attribute list changes the title of a figure, or where it leads",
    why="The page would show another address or title than the one that is compared.",
    mend="Write the address and the title in the link itself.",
    example='[39 N·m](cite:manual){title="for the drain plug"}',
)
NESTED_TOO_DEEP = declare(
    "nested-too-deep",
    "lists, quotes and the like stand too deep inside each other",
    why=f"Beyond {DEEPEST} of them the page is taken apart no further: what stands there is not proofed, "
    "and no card and no figure is put into the page.",
    mend="Nest less deeply.",
    example="> > > > > … fifty quotes in each other",
    always_counts=True,
)


def scan(text: str, path: str) -> ScannedPage:
    """Take a page apart. `path` is the page as people see it; it only goes into positions."""
    lines = Lines(text)
    front, first = _read_front_matter(lines)
    expanded, tabbed = _expand_lines(lines, first)
    found_fences = find_fences(expanded, first)
    diagnostics: list[Diagnostic] = []
    rows = _rows(expanded, first, fences=found_fences, path=path, diagnostics=diagnostics)
    extracted = extract_html(rows)

    def rows_of(number: int) -> list[SourceRow]:
        """A fence as it was before one row took its place."""
        fence = found_fences[number]
        body = expanded[fence.start : fence.end + 1]
        return [(text, line, 0) for line, text in enumerate(body, fence.start)]

    structure = read_containers(extracted.rows, extracted.elements, rows_of)
    structure.hidden_fences |= extracted.hidden_fences
    if structure.too_deep is not None:
        place = Position(path, structure.too_deep + 1)
        found, expected = f"more than {DEEPEST} inside each other", f"at most {DEEPEST}"
        diagnostics.append(NESTED_TOO_DEEP.at(place, found=found, expected=expected))
    for lost, kept in structure.lost_footnotes:
        place, second = Position(path, lost[1] + 1), Position(path, kept[1] + 1)
        diagnostics.append(FOOTNOTE_TWICE.at(place, second=second, second_label="the one that is shown"))
    reader = _Inliner(lines, tabbed, path, structure, diagnostics)
    reader.read()
    for row, line, column in structure.nested_footnotes:
        start = reader.origin.offset(line, column + len(row) - len(row.lstrip()))
        diagnostics.append(FOOTNOTE_IN_FOOTNOTE.at(lines.position(start, path)))
    fences = [
        _fence(fence, lines, expanded)
        for number, fence in enumerate(found_fences)
        # An unclosed one is text; that it is none in a comment or in code shows only where text is read.
        if number not in structure.hidden_fences and (fence.closed or fence.start in reader.openings)
    ]
    diagnostics += _fence_faults(fences, reader.openings, lines, path)
    return ScannedPage(
        path=path,
        text=text,
        front_matter=front,
        fences=tuple(fences),
        links=tuple(sorted(reader.links, key=lambda link: (link.start, link.end))),
        prose=tuple(sorted(reader.prose, key=lambda span: (span.line, span.column))),
        diagnostics=tuple(sorted(diagnostics, key=lambda diagnostic: diagnostic.sort_key)),
        lines=lines,
        cautions=tuple(sorted(reader.cautions, key=lambda link: (link.start, link.end))),
        surroundings=reader.surroundings(found_fences, extracted.raw),
    )


def _expand_lines(lines: Lines, first: int) -> tuple[list[str], set[int]]:
    """The lines as Python-Markdown reads them, and which of them are not read as they are written."""
    tabbed: set[int] = set()
    if _EXPANDED.search(lines.text):
        tabbed = {index for index, line in enumerate(lines.raw) if _EXPANDED.search(line)}
        expanded = [expand(line) if index in tabbed else line for index, line in enumerate(lines.raw)]
    else:
        expanded = list(lines.raw)
    for index in range(first + 1, len(expanded)):
        # The first line keeps its blanks: so it is with Python-Markdown.
        if expanded[index][:1] == " " and not expanded[index].strip(" "):
            expanded[index] = ""
    return expanded, tabbed


def _fence_faults(
    fences: list[Fence], openings: dict[int, Position], lines: Lines, path: str
) -> Iterator[Diagnostic]:
    """Blocks that were never closed, and lines that look like the opening of a block and open none."""
    opened: set[int] = set()
    for fence in fences:
        place = Position(path, fence.line, fence.column)
        if fence.is_calc and not fence.closed:
            last = Position(path, fence.end_line)
            opened.add(fence.line - 1)
            yield BLOCK_UNCLOSED.at(place, second=last, second_label="given up after this line")
        elif fence.is_mistyped:
            opened.add(fence.line - 1)
            yield BLOCK_NOT_READ.at(place, found=fence.marker + fence.info, expected="```yaml calc")
    for line, place in openings.items():
        if line not in opened:
            shown = lines.raw[line][place.column - 1 :].strip()
            yield BLOCK_NOT_READ.at(place, found=shown, expected="```yaml calc")


def _read_front_matter(lines: Lines) -> tuple[FrontMatter | None, int]:
    """Front matter and the first line after it. As in MkDocs, blank lines after it do not count."""
    raw = lines.raw
    if not _FRONT_START.fullmatch(raw[0]):
        return None, 0
    # MkDocs' own pattern wants a line between the two and a line end after the closing one.
    for index in range(2, len(raw) - 1):
        if _FRONT_END.fullmatch(raw[index]):
            front = FrontMatter("\n".join(raw[1:index]) + "\n", 2, index + 1)
            if not _is_mapping(front.text):
                return None, 0
            first = index + 1
            while first < len(raw) - 1 and not raw[first]:
                first += 1
            return front, first
    return None, 0


def _is_mapping(text: str) -> bool:
    """MkDocs takes front matter off only where it is a YAML mapping; other text stays on the page."""
    try:
        return isinstance(yaml.compose(text, Loader=_LOADER), yaml.MappingNode)
    except (yaml.YAMLError, ValueError, RecursionError):
        return False


def _rows(
    expanded: list[str], first: int, fences: list[FoundFence], path: str, diagnostics: list[Diagnostic]
) -> list[SourceRow]:
    """Lines → rows, each closed fence one row, and each overlong line a single sign."""
    rows: list[SourceRow] = []
    at = first
    for number, fence in enumerate(fences):
        if fence.closed:
            rows += [(text, line, 0) for line, text in enumerate(expanded[at : fence.start], at)]
            rows.append((expanded[fence.start][: fence.prefix_length] + fence_mark(number), fence.start, 0))
            at = fence.end + 1
    rows += [(text, line, 0) for line, text in enumerate(expanded[at:], at)]
    for index, (text, line, _) in enumerate(rows):
        if len(text) > LONGEST_LINE:
            rows[index] = (MASK, line, 0)
            diagnostics.append(
                LINE_TOO_LONG.at(
                    Position(path, line + 1, LONGEST_LINE + 1),
                    found=f"{len(text)} characters",
                    expected=f"at most {LONGEST_LINE}",
                )
            )
    return rows


def _fence(fence: FoundFence, lines: Lines, expanded: list[str]) -> Fence:
    body: list[str] = []
    columns: list[int] = []
    width = fence.prefix_length
    after = fence.end if fence.closed else fence.end + 1
    for index in range(fence.start + 1, after):
        raw = lines.raw[index]
        origin = columns_of(raw)
        if origin is None:
            body.append(raw[width:])
            columns.append(min(width, len(raw)) + 1)
            continue
        # A tab that straddles the prefix leaves blanks of its own.
        at = min(width, len(origin) - 1)
        blanks = 0
        while 0 < at + blanks < len(origin) - 1 and origin[at + blanks] == origin[at + blanks - 1]:
            blanks += 1
        start = origin[at + blanks]
        body.append(" " * blanks + raw[start:])
        columns.append(start + 1 - blanks)
    opening = lines.raw[fence.start]
    origin = columns_of(opening)
    column = width if origin is None else origin[width]
    return Fence(
        info=fence.info,
        language=fence.language,
        words=tuple(fence.info.split()[1:]),
        is_calc=fence.is_calc,
        is_mistyped=fence.is_mistyped,
        marker=fence.marker,
        body_lines=tuple(body),
        body_columns=tuple(columns),
        line=fence.start + 1,
        column=column + 1,
        end_line=fence.end + 1,
        prefix=opening[:column],
        closed=fence.closed,
    )


class _Target(NamedTuple):
    """Where a link leads, with offsets of the page."""

    address: str
    address_span: Span
    title: str | None = None
    title_start: int | None = None


class _Inliner:
    """Reads the texts of the tree."""

    def __init__(
        self,
        lines: Lines,
        tabbed: Container[int],
        path: str,
        structure: Structure,
        diagnostics: list[Diagnostic],
    ) -> None:
        self.lines = lines
        self.path = path
        self.structure = structure
        self.diagnostics = diagnostics
        self.origin = SourceOrigin(lines, tabbed)
        self.links: list[Link] = []
        self.cautions: list[Link] = []
        self.prose: list[ProseSpan] = []
        self.openings: dict[int, Position] = {}  # of lines that look like the opening of a block
        self.code: list[Span] = []
        self.tags: list[Span] = []
        self.images: list[Span] = []
        self.undefined: list[UndefinedReference] = []
        self.others: list[OtherLink] = []

    def read(self) -> None:
        structure = self.structure
        for chunk in chunks_of(structure.root):
            inlines = read_inlines(chunk.text, structure.references, structure.footnotes)
            if inlines.budget_spent:
                self.diagnostics.append(LINKS_TANGLED.at(self._place_in(chunk, 0)))
            if inlines.unclosed >= 0:
                self.diagnostics.append(ADDRESS_UNCLOSED.at(self._place_in(chunk, inlines.unclosed)))
            for start, end in inlines.comments:
                # A fence in a comment is not rendered, so no block in it counts.
                structure.hidden_fences.update(
                    int(number) for number in FENCE_MARK.findall(chunk.text, start, end)
                )
            self._take_surroundings(chunk, inlines)
            for link in inlines.links:
                self._take_link(chunk, link, inlines)
            self.prose += self._prose(chunk, inlines)
            if "```" in chunk.text or "~~~" in chunk.text:
                self._look_for_openings(chunk, inlines)

    def _take_surroundings(self, chunk: Chunk, inlines: Inlines) -> None:
        """Keep where code, tags and images stand, and references that lead nowhere."""
        for kept, spans in (
            (self.code, inlines.code),
            (self.code, inlines.comments),
            (self.tags, inlines.tags),
            (self.images, inlines.images),
        ):
            kept += [
                (self.origin.in_chunk(chunk, start), self.origin.in_chunk(chunk, end)) for start, end in spans
            ]
        self.undefined += [
            UndefinedReference(
                label=self.origin.slice(chunk, *label),
                name=self.origin.slice(chunk, *name),
                start=self.origin.in_chunk(chunk, label[0] - 1),
                end=self.origin.in_chunk(chunk, name[1] + 1),
            )
            for label, name in inlines.undefined
            if not chunk.text.startswith("(", name[1] + 1)  # what seems the name is the label of a link
        ]

    def surroundings(self, fences: Sequence[FoundFence], raw: Sequence[SourceRow]) -> Surroundings:
        """What stands around the page's running text. `raw` are the rows of its raw HTML."""
        starts, ends = self.lines.starts, [*self.lines.starts[1:], len(self.lines.text)]
        fenced = [(starts[fence.start], ends[fence.end]) for fence in fences if fence.closed]
        indented = [self._row_span(row) for row in self.structure.code]
        html: list[Span] = []
        for start, end in map(self._row_span, raw):
            if html and not self.lines.text[html[-1][1] : start].strip():
                start = html.pop()[0]  # so that a comment of several lines is seen whole
            html.append((start, end))
        return Surroundings(
            code=tuple(sorted([*fenced, *indented, *self.code])),
            html=tuple(sorted([*html, *self.tags])),
            images=tuple(sorted(self.images)),
            definitions=tuple(map(self._definition, self.structure.definitions)),
            undefined=tuple(sorted(self.undefined, key=lambda reference: reference.start)),
            others=tuple(self.others),
        )

    def _row_span(self, row: SourceRow) -> Span:
        text, line, column = row
        return self.origin.offset(line, column), self.origin.offset(line, column + len(text))

    def _definition(self, definition: LinkDefinition) -> Definition:
        start, _ = self._row_span(definition.head)
        address_start, _ = self._row_span(definition.address_row)
        last = self._row_span(definition.title_row or definition.address_row)[1]
        return Definition(
            name=definition.name,
            address=definition.address,
            start=start,
            end=last,
            address_start=address_start
            + len(definition.address_row[0])
            - len(definition.address_row[0].lstrip("<")),
        )

    def _take_link(self, chunk: Chunk, found: FoundLink, inlines: Inlines) -> None:
        """Keep a link that is ours. The label of a figure is no prose; that of a caution stays one."""
        nested = _NESTED.search(chunk.text, *found.label)
        if nested is not None:
            place = self._place_in(chunk, nested.start())
            around = self._place_in(chunk, found.start)
            self.diagnostics.append(
                LINK_IN_LABEL.at(place, second=around, second_label="the label begins here")
            )
        link = self._link(chunk, found)
        if link is None:
            self._look_for_slip(chunk, found)
        elif link.address.startswith(CAUTION):
            self.cautions.append(link)
        else:
            self.links.append(link)
            self._look_at_attributes(chunk, found)
            for start, end in inlines.tags:
                if found.label[0] <= start < found.label[1]:
                    tag = shorten(chunk.text[start:end])
                    place = self._place_in(chunk, start)
                    self.diagnostics.append(HTML_IN_LABEL.at(place, found=tag, expected="no tag"))
            inlines.masked.append(found.label)

    def _look_at_attributes(self, chunk: Chunk, figure: FoundLink) -> None:
        """An attribute list behind a figure may give it another title or address. An address of ours in it
        is found by `slips_of`."""
        attributes = _LIST_BEHIND.match(chunk.text, figure.end)
        if attributes is None:
            return
        for match in _SETS.finditer(attributes[1]):
            if match[1] == "href" and match[2].strip("'\"").lower().startswith(SCHEMES):
                continue
            self.diagnostics.append(
                ATTRIBUTE_OF_FIGURE.at(
                    self._place_in(chunk, attributes.start(1) + match.start()),
                    found=shorten(match[0]),
                    expected=f"no {match[1]} in the list",
                    length=len(match[0]),
                )
            )

    def _look_for_slip(self, chunk: Chunk, link: FoundLink) -> None:
        """Another's address, which an author may have meant for a figure."""
        if link.definition is not None:
            address, (text, line, column) = link.definition.address, link.definition.address_row
            start = self.origin.offset(line, column + len(text) - len(text.lstrip("<")))
        else:
            low, high = _trim(chunk.text, link.address)
            address, start = unescape(chunk.text[low:high]), self.origin.in_chunk(chunk, low)
        slip = find_slip(address, chunk.text[slice(*link.label)], self._place(start))
        if slip is not None:
            self.diagnostics.append(slip)
        if unknown := unknown_scheme(address):
            self.others.append(OtherLink(*unknown, self.origin.slice(chunk, *link.label)))

    def _look_for_openings(self, chunk: Chunk, inlines: Inlines) -> None:
        """Lines of running text that an author may have meant to open a block."""
        for (text, line, column), start in zip(chunk.rows, chunk.starts, strict=True):
            rest = text.lstrip("> ")
            match = _OPENING.match(rest)
            at = len(text) - len(rest)
            if not match or not means_calculation(match["info"]):
                continue
            if not any(low < start + at < high for low, high in inlines.comments):
                self.openings[line] = self._place(self.origin.offset(line, column + at))

    def _place(self, offset: int) -> Position:
        return self.lines.position(offset, self.path)

    def _place_in(self, chunk: Chunk, at: int) -> Position:
        return self._place(self.origin.in_chunk(chunk, at))

    def _link(self, chunk: Chunk, link: FoundLink) -> Link | None:
        """A link of ours with its positions, or None where its address is another."""
        definition = link.definition
        origin = self.origin
        definition_start = None
        if definition is not None:
            target = self._defined_target(definition)
            _, line, column = definition.head
            definition_start = origin.offset(line, column)
        else:
            target = self._inline_target(chunk, link)
        if target is None:
            return None
        return Link(
            form=link.form,
            label=origin.slice(chunk, *link.label),
            address=target.address,
            title=target.title,
            start=origin.in_chunk(chunk, link.start),
            end=origin.in_chunk(chunk, link.end),
            label_start=origin.in_chunk(chunk, link.label[0]),
            label_end=origin.in_chunk(chunk, link.label[1]),
            address_start=target.address_span[0],
            address_end=target.address_span[1],
            title_start=target.title_start,
            definition_start=definition_start,
            path=self.path,
            lines=self.lines,
        )

    def _defined_target(self, definition: LinkDefinition) -> _Target | None:
        """Where a link leads whose address stands in a definition."""
        if not definition.address.startswith(_READ):
            return None
        text, line, column = definition.address_row
        column += len(text) - len(text.lstrip("<"))  # the definition's address is without its brackets
        start = self.origin.offset(line, column)
        end = self.origin.offset(line, column + len(definition.address))
        if definition.title_row is None or not definition.title:
            return _Target(definition.address, (start, end))
        _, line, column = definition.title_row
        return _Target(definition.address, (start, end), definition.title, self.origin.offset(line, column))

    def _inline_target(self, chunk: Chunk, link: FoundLink) -> _Target | None:
        """Where a link leads that has its address behind its label."""
        origin = self.origin
        start, end = _trim(chunk.text, link.address)
        # Most addresses are not ours, and an escape can make one a few signs longer than the scheme is.
        if not unescape(chunk.text[start : min(end, start + 16)]).startswith(_READ):
            return None
        address = unescape(chunk.text[start:end])
        address_span = origin.in_chunk(chunk, start), origin.in_chunk(chunk, end)
        if link.title is None:
            return _Target(address, address_span)
        # RE_TITLE_CLEAN: white space in a title is one blank, line ends too.
        title = _TITLE_BLANK.sub(" ", unescape(origin.slice(chunk, *_trim(chunk.text, link.title))))
        return _Target(address, address_span, title, origin.in_chunk(chunk, link.title[0]))

    def _prose(self, chunk: Chunk, inlines: Inlines) -> Iterator[ProseSpan]:
        """The rows of a chunk with `MASK` over what is no prose: code, addresses, figures, attributes."""
        masked = inlines.masked
        if "{" in chunk.text:
            masked += [match.span() for match in _ATTRIBUTES.finditer(chunk.text)]
        if "\x02" in chunk.text:
            masked += [match.span() for match in _MARKS.finditer(chunk.text)]
        masked.sort()
        at = 0
        for index, row in enumerate(chunk.rows):
            text = row[0]
            if "\x02" in text:
                continue  # a fence or raw HTML has the row to itself
            if not masked:
                if text.strip(_NO_PROSE):
                    yield self._span(chunk, row, self.origin.row(row, 0, len(text)))
                continue
            start = chunk.starts[index]
            # Spans may lie within each other, so that an earlier one can reach further.
            while at < len(masked) and masked[at][1] <= start:
                at += 1
            shown = self.origin.masked(row, _spans_within(masked, at, start, start + len(text)))
            if shown.strip(_NO_PROSE):
                yield self._span(chunk, row, shown)

    def _span(self, chunk: Chunk, row: SourceRow, shown: str) -> ProseSpan:
        _, line, column = row
        column = self.origin.offset(line, column) - self.lines.starts[line] + 1
        return ProseSpan(
            line=line + 1, column=column, text=shown, is_heading=chunk.is_heading, cell=chunk.cell
        )


def _spans_within(spans: list[Span], at: int, start: int, end: int) -> list[Span]:
    """What lies in a row from `start` to `end` of the spans from number `at` on, counted in the row."""
    within: list[Span] = []
    while at < len(spans) and spans[at][0] < end:
        low, high = spans[at]
        if high > start:
            within.append((max(low, start) - start, min(high, end) - start))
        at += 1
    return within


def _trim(text: str, span: Span) -> Span:
    """A span without the blanks at its ends."""
    part = text[span[0] : span[1]]
    start = span[0] + len(part) - len(part.lstrip())
    return start, max(start, span[0] + len(part.rstrip()))
