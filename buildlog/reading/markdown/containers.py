"""Containers: which text is a paragraph, a list item, a quote, a table cell … and which is code.

The rules are those of Python-Markdown's block processors, asked in the same order, since what a row
means there hangs on the order. In place of elements with text it makes nodes with rows, so that
every character keeps its line and column. Nothing here calls itself: rules are generators that hand
(parent, blocks) to the loop in `read` where they need inner blocks read first.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

from buildlog.reading.markdown import callouts
from buildlog.reading.markdown.definitions import Structure, take_footnotes, take_references
from buildlog.reading.markdown.html_blocks import Element
from buildlog.reading.markdown.tables import read_table
from buildlog.reading.markdown.tree import (
    ADMONITION,
    DEFINITION,
    DETAILS,
    ELEMENT_MARK,
    FENCE_MARK,
    FOOTNOTE,
    HEADING,
    INDENT,
    QUOTE,
    RULE,
    TAB,
    Region,
    RowBlock,
    SourceRow,
    cut,
    definition_start,
    detab,
    heading_text,
    loose_detab,
    put_back,
    split,
    strip_left,
    whole,
)

DEEPEST = 40  # containers within containers; beyond that, text is a plain paragraph

Steps = Iterator[tuple[Region, list[RowBlock]]]

_UNDERLINE = re.compile(r"(?:=+|-+)[ ]*")
_ORDERED = re.compile(r"[ ]{0,3}\d+\.[ ]+")
_BULLET = re.compile(r"[ ]{0,3}[*+-][ ]+")
_ITEM = re.compile(r"[ ]{0,3}(?:\d+\.|[*+-])[ ]+")
_NESTED_ITEM = re.compile(r"[ ]{4,7}(?:\d+\.|[*+-])[ ]+")
_QUOTED = re.compile(r"[ ]{0,3}>[ ]?")
_NOT_INDENTED = re.compile(r"[ ]{0,3}[^ :]")
_LISTS = ("ul", "ol")


def read_containers(
    rows: list[SourceRow], elements: Sequence[Element], fences: Callable[[int], list[SourceRow]]
) -> Structure:
    """All rows of a page → its tree. `fences` gives the rows of a fence as they were."""
    reader = _Reader(elements, fences)
    reader.read(reader.structure.root, rows)
    # Footnotes that stand in the text of a footnote are defined too late to be rendered.
    for text in list(reader.structure.footnotes.values()):
        reader.read(reader.structure.root.add("li"), text, surrogate=True)
    return reader.structure


class _Reader:
    def __init__(self, elements: Sequence[Element], fences: Callable[[int], list[SourceRow]]) -> None:
        self.structure = Structure()
        self.elements = elements
        self.fences = fences
        self.state: list[str] = []

    def read(self, parent: Region, rows: list[SourceRow], surrogate: bool = False) -> None:
        if surrogate:
            # Inside a list item lists behave otherwise; a footnote is read as if it were a page.
            parent = parent.add("div")
        stack: list[Steps] = [self._blocks(parent, split(rows))]
        while stack:
            step = next(stack[-1], None)
            if step is None:
                stack.pop()
            elif len(stack) >= DEEPEST:
                self._give_up(*step)
            else:
                stack.append(self._blocks(*step))

    def _give_up(self, parent: Region, blocks: list[RowBlock]) -> None:
        while blocks:
            rows = blocks.pop().rows
            if rows and self.structure.too_deep is None:
                self.structure.too_deep = rows[0][1]
            parent.add("p", text=rows)

    def _blocks(self, parent: Region, blocks: list[RowBlock]) -> Steps:
        while blocks:
            block = blocks.pop()
            rows = block.sheet.rows
            while block.low < block.high and not rows[block.low][0]:
                block.low += 1
            if block.low < block.high:
                yield from self._block(parent, block, blocks)

    def _block(self, parent: Region, block: RowBlock, blocks: list[RowBlock]) -> Steps:
        sheet, low, high = block.sheet, block.low, block.high
        first = sheet.rows[low][0]
        openers = sheet.openers
        if (
            first[0].isalpha()
            and not openers
            and "|" not in first
            and (high - low == 1 or sheet.rows[low + 1][0][:1] not in ("=", "-"))
        ):
            # Most blocks are plain paragraphs, so they are told first.
            self._paragraph(parent, block.rows)
            return
        indented = first.startswith(INDENT)
        last = parent.last
        if openers or first[0] == "\x02" or (indented and last is not None and last.kind):
            for kind in (ADMONITION, DETAILS, TAB):
                at = sheet.find(kind, low, high)
                if at >= 0:
                    yield from self._callout(parent, kind, block, at, blocks)
                    return
                going_on = callouts.continued(parent, kind, block) if indented else None
                if going_on is not None:
                    yield from self._continue(going_on[0], going_on[1], block, blocks)
                    return
                if kind == ADMONITION:
                    mark = ELEMENT_MARK.match(first)
                    if mark:
                        yield from self._element(parent, self.elements[int(mark.group(1))], block, blocks)
                        return
        if indented:
            if self._in_list(parent, ("li",), _LISTS):
                yield from self._indented(parent, block, ("li",), _LISTS)
                return
            if self._in_list(parent, ("dd", "li"), ("dl", *_LISTS)):
                yield from self._indented(parent, block, ("dd", "li"), ("dl", *_LISTS))
                return
            self._code(parent, block, blocks)
            return
        if high - low > 1 and "|" in first:
            table = read_table(block)
            if table is not None:
                node = parent.add("table")
                for cells in table:
                    for cell in cells:
                        node.add("td", text=[cell])
                return
        if openers and (at := sheet.find(HEADING, low, high)) >= 0:
            yield from self._heading(parent, block, at, blocks)
            return
        if high - low > 1 and _UNDERLINE.fullmatch(sheet.rows[low + 1][0]):
            parent.add("h1", text=[strip_left(sheet.rows[low])])
            put_back(blocks, block, low + 2)
            return
        if openers and (at := sheet.find(RULE, low, high)) >= 0:
            if at > low:
                yield parent, [RowBlock(sheet, low, at)]
            parent.add("hr")
            put_back(blocks, block, at + 1)
            return
        if _ORDERED.match(first):
            yield from self._list(parent, block, "ol")
            return
        if _BULLET.match(first):
            yield from self._list(parent, block, "ul")
            return
        if openers:
            if (at := sheet.find(DEFINITION, low, high)) >= 0 and (at > low or parent.children):
                yield from self._definition(parent, block, at, blocks)
                return
            if (at := sheet.find(QUOTE, low, high)) >= 0:
                yield from self._quote(parent, block, at)
                return
            if (at := sheet.find(FOOTNOTE, low, high)) >= 0:
                take_footnotes(self.structure, block, at, blocks)
                return
            if take_references(self.structure, block, blocks):
                return
        self._paragraph(parent, block.rows)

    def _within(self, state: str) -> bool:
        return bool(self.state) and self.state[-1] == state

    # Admonitions, details, tabs; HTML elements whose content is Markdown.

    def _callout(self, parent: Region, kind: int, block: RowBlock, at: int, blocks: list[RowBlock]) -> Steps:
        if at > block.low:
            yield parent, [RowBlock(block.sheet, block.low, at)]
        node = callouts.open_callout(parent, kind, block.sheet.rows[at])
        inner, rest = detab(RowBlock(block.sheet, at + 1, block.high), len(INDENT))
        if inner:
            yield node, split(inner)
        put_back(blocks, block, rest)

    def _continue(self, node: Region, width: int, block: RowBlock, blocks: list[RowBlock]) -> Steps:
        inner, rest = detab(block, width)
        if node.tag in ("li", "dd"):
            node.wrap_text(first=False)
        yield node, split(inner)
        put_back(blocks, block, rest)

    def _element(self, parent: Region, element: Element, block: RowBlock, blocks: list[RowBlock]) -> Steps:
        put_back(blocks, block, block.low + 1)
        node = parent.add(element.tag, "details" if element.tag == "details" else "")
        if element.state == "block":
            yield node, split(element.rows)
        else:
            self._spans(node, element)

    def _spans(self, node: Region, element: Element) -> None:
        """An element whose content is running text, with such elements inside it."""
        stack = [(node, element)]
        while stack:
            node, element = stack.pop()
            rows = node.text
            for row in element.rows if element.state == "span" else ():
                mark = ELEMENT_MARK.match(row[0])
                if mark:
                    inner = self.elements[int(mark.group(1))]
                    child = node.add(inner.tag)
                    stack.append((child, inner))
                    rows = child.tail
                else:
                    rows.append(row)

    # Lists.

    def _in_list(self, parent: Region, items: Sequence[str], lists: Sequence[str]) -> bool:
        last = parent.last
        return not self._within("detabbed") and (
            parent.tag in items or (last is not None and last.tag in lists)
        )

    def _indented(self, parent: Region, block: RowBlock, items: Sequence[str], lists: Sequence[str]) -> Steps:
        """An indented block below a list belongs to the item at its depth."""
        text = block.sheet.rows[block.low][0]
        wanted = (len(text) - len(text.lstrip(" "))) // len(INDENT)
        level = 1 if self._within("list") else 0
        target = parent
        while wanted > level:
            child = target.last
            if child is None or (child.tag not in lists and child.tag not in items):
                break
            if child.tag in lists:
                level += 1
            target = child
        inner = whole(loose_detab(block.rows, level))
        self.state.append("detabbed")
        last = parent.last
        if parent.tag in items:
            yield (last if last is not None and last.tag in lists else parent), inner
        elif target.tag in items:
            yield target, inner
        elif target.last is not None and target.last.tag in items:
            target.last.wrap_text(first=True)
            yield target.last, inner
        else:
            yield target.add("dd" if "dl" in lists else "li"), inner
        self.state.pop()

    def _list(self, parent: Region, block: RowBlock, tag: str) -> Steps:
        items = _items(block.rows)
        last = parent.last
        if last is not None and last.tag in _LISTS:
            node = last
            item = node.last
            if item is not None:
                item.wrap_text(first=True)
                inner = item.last
                if inner is not None and inner.tail:
                    item.add("p", text=inner.tail)
                    inner.tail = []
            self.state.append("looselist")
            yield node.add("li"), whole(items.pop(0))
            self.state.pop()
        elif parent.tag in _LISTS:
            node = parent
        else:
            node = parent.add(tag)
        self.state.append("list")
        for rows in items:
            item = node.last
            if item is None or not rows[0][0].startswith(INDENT):
                item = node.add("li")
            yield item, whole(rows)
        self.state.pop()

    def _definition(self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]) -> Steps:
        rows = block.sheet.rows
        terms = [strip_left(row) for row in rows[block.low : at] if row[0].strip()]
        start = cut(rows[at], definition_start(rows[at][0]))
        if at + 1 < block.high and _NOT_INDENTED.match(rows[at + 1][0]):
            inner, rest = rows[at + 1 : block.high], block.high
        else:
            inner, rest = detab(RowBlock(block.sheet, at + 1, block.high), len(INDENT))
        state = "list"
        last = parent.last
        if not terms and last is not None and last.tag == "p":
            state = "looselist"
            terms = last.text
            parent.children.pop()
            last = parent.last
        if last is not None and last.tag == "dl":
            node = last
            if not terms and node.last is not None and node.last.tag == "dd" and node.last.children:
                state = "looselist"
        else:
            node = parent.add("dl")
        for term in terms:
            node.add("dt", text=[term])
        self.state.append(state)
        yield node.add("dd"), whole([start, *inner])
        self.state.pop()
        put_back(blocks, block, rest)

    # Everything else.

    def _code(self, parent: Region, block: RowBlock, blocks: list[RowBlock]) -> None:
        if any("\x02" in row[0] for row in block.rows):
            block = whole(self._without_fences(block.rows))[0]
        _, rest = detab(block, len(INDENT))
        parent.add("pre")
        put_back(blocks, block, rest)

    def _without_fences(self, rows: list[SourceRow]) -> list[SourceRow]:
        """In a block that begins as indented code no fence counts, not even below the code."""
        plain: list[SourceRow] = []
        for row in rows:
            mark = FENCE_MARK.search(row[0])
            if mark is None:
                plain.append(row)
                continue
            number = int(mark.group(1))
            self.structure.hidden_fences.add(number)
            original = self.fences(number)
            # The containers around it have taken this much of each of its rows already.
            text = original[0][0]
            already = len(text) - len(text.lstrip("> ")) - mark.start()
            plain += [cut(line, already) for line in original]
        return plain

    def _heading(self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]) -> Steps:
        if at > block.low:
            yield parent, [RowBlock(block.sheet, block.low, at)]
        text, line, column = block.sheet.rows[at]
        span = heading_text(text)
        assert span is not None
        parent.add("h1", text=[strip_left((text[span[0] : span[1]], line, column + span[0]))])
        if at + 1 < block.high:
            if self._within("looselist"):
                blocks += whole(loose_detab(block.sheet.rows[at + 1 : block.high], 1))
            else:
                put_back(blocks, block, at + 1)

    def _quote(self, parent: Region, block: RowBlock, at: int) -> Steps:
        if at > block.low:
            yield parent, [RowBlock(block.sheet, block.low, at)]
        rows: list[SourceRow] = []
        for row in block.sheet.rows[at : block.high]:
            match = _QUOTED.match(row[0])
            if row[0].strip() == ">":
                rows.append(("", row[1], row[2]))
            else:
                rows.append(cut(row, match.end()) if match else row)
        last = parent.last
        node = last if last is not None and last.tag == "blockquote" else parent.add("blockquote")
        self.state.append("blockquote")
        yield node, split(rows)
        self.state.pop()

    def _paragraph(self, parent: Region, rows: list[SourceRow]) -> None:
        if not rows[0][0].strip() and not any(row[0].strip() for row in rows):
            return
        if self._within("list"):
            last = parent.last
            if last is not None:
                last.tail += rows
            elif parent.text:
                parent.text += rows
            else:
                parent.text = [strip_left(rows[0]), *rows[1:]]
        else:
            parent.add("p", text=[strip_left(rows[0]), *rows[1:]])


def _items(rows: list[SourceRow]) -> list[list[SourceRow]]:
    """The rows of a list → those of its items; deeper items stay with their indent."""
    items: list[list[SourceRow]] = []
    for row in rows:
        match = _ITEM.match(row[0])
        if match:
            items.append([cut(row, match.end())])
        elif _NESTED_ITEM.match(row[0]) and not items[-1][0][0].startswith(INDENT):
            items.append([row])
        else:
            items[-1].append(row)
    return items
