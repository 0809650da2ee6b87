"""Containers: which text is a paragraph, a list item, a quote, a table cell … and which is code.

The rules are those of Python-Markdown 3.11's block processors, asked in the order of their priorities
(`_Reader.rules`), since what a row means there hangs on the order. In place of elements with text they
make regions with rows, so that every character keeps its line and column. Nothing here calls itself:
rules are generators that hand (parent, blocks) to the loop in `read` where they need inner blocks read
first.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence

from buildlog.reading.markdown.definitions import Structure, take_footnotes, take_link_definitions
from buildlog.reading.markdown.html_blocks import Element
from buildlog.reading.markdown.page import Cell
from buildlog.reading.markdown.tables import read_table
from buildlog.reading.markdown.tree import (
    ADMONITION,
    DEFINITION_ITEM,
    DETAILS,
    ELEMENT_MARK,
    FENCE_MARK,
    FOOTNOTE,
    HEADING,
    INDENT,
    LINK_DEFINITION,
    QUOTE,
    RULE,
    TAB,
    Region,
    RowBlock,
    SourceRow,
    as_one_block,
    cut,
    definition_item_start,
    detab,
    heading_text,
    loose_detab,
    put_back,
    split_blocks,
    strip_left,
    title_of,
)

# Containers within containers, for the proof and for the page: beyond that, text is a plain paragraph, the
# page a finding, and nothing is put into it. Python-Markdown calls itself for each of them, and what it does
# near Python's recursion limit (some 250 lists) hangs on who called it.
DEEPEST = 40

Steps = Iterable[tuple[Region, list[RowBlock]]]
"""What a rule wants read before it goes on: blocks, and the region that they go into."""
Rule = Callable[[Region, RowBlock, int, list[RowBlock]], Steps | None]
"""Reads a block, or gives None where it does not apply. What it leaves of the block it puts back."""
DONE: Steps = ()

_UNDERLINE = re.compile(r"(?:=+|-+)[ ]*")
_ITEM = re.compile(r"[ ]{0,3}(\d+\.|[*+-])[ ]+")
_NESTED_ITEM = re.compile(r"[ ]{4,7}(?:\d+\.|[*+-])[ ]+")
_QUOTED = re.compile(r"[ ]{0,3}>[ ]?")
_NOT_INDENTED = re.compile(r"[ ]{0,3}[^ :]")
_LISTS = ("ul", "ol")
_ITEMS = ("li",)
# def_list reads its definitions as items, and what is indented below them as Python-Markdown does items'.
_LISTS_AND_DEFINITIONS = ("dl", *_LISTS)
_ITEMS_AND_DEFINITIONS = ("dd", *_ITEMS)
_CALLOUTS = {ADMONITION: "admonition", DETAILS: "details", TAB: "tabs"}


def read_containers(
    rows: list[SourceRow], elements: Sequence[Element], fences: Callable[[int], list[SourceRow]]
) -> Structure:
    """All rows of a page → its tree. `fences` gives the rows of a fence as they were."""
    reader = _Reader(elements, fences)
    reader.read(reader.structure.root, rows)
    # Footnotes that stand in the text of a footnote are defined too late to be rendered.
    reader.in_footnotes = True
    for text in list(reader.structure.footnotes.values()):
        reader.read(reader.structure.root.add("li"), text, surrogate=True)
    return reader.structure


class _Reader:
    def __init__(self, elements: Sequence[Element], fences: Callable[[int], list[SourceRow]]) -> None:
        self.structure = Structure()
        self.in_footnotes = False
        self.elements = elements
        self.fences = fences
        # What is being read, the innermost last: the same text reads otherwise in a list than below one.
        self.state: list[str] = []
        # In the order of Python-Markdown's priorities. A rule with an opener is asked about blocks that hold
        # such a row, and given the first; the others are asked about every block, with its own first row.
        self.rules: tuple[tuple[int | None, Rule], ...] = (
            (None, self._callout_or_element),  # 105: admonition, md_in_html, details, tabbed
            (None, self._indented),  # 90, 85 and 80: items of lists, definitions, code
            (None, self._table),  # 75
            (HEADING, self._heading),  # 70: #
            (None, self._underlined_heading),  # 60
            (RULE, self._rule),  # 50
            (None, self._list),  # 40 and 30
            (DEFINITION_ITEM, self._definition_item),  # 25: def_list
            (QUOTE, self._quote),  # 20
            (FOOTNOTE, self._footnote),  # 17
            (LINK_DEFINITION, self._link_definitions),  # 15
        )

    def read(self, parent: Region, rows: list[SourceRow], surrogate: bool = False) -> None:
        if surrogate:
            # Inside a list item lists behave otherwise; a footnote is read as if it were a page.
            parent = parent.add("div")
        stack: list[Iterator[tuple[Region, list[RowBlock]]]] = [self._blocks(parent, split_blocks(rows))]
        while stack:
            step = next(stack[-1], None)
            if step is None:
                stack.pop()
            elif step[0].depth > DEEPEST:
                self._give_up(*step)
            else:
                stack.append(self._blocks(*step))

    def _give_up(self, parent: Region, blocks: list[RowBlock]) -> None:
        while blocks:
            rows = blocks.pop().rows
            if rows and self.structure.too_deep is None:
                self.structure.too_deep = rows[0][1]
            parent.add("p", text=rows)

    def _blocks(self, parent: Region, blocks: list[RowBlock]) -> Iterator[tuple[Region, list[RowBlock]]]:
        while blocks:
            block = blocks.pop()
            rows = block.index.rows
            while block.low < block.high and not rows[block.low][0]:
                block.low += 1
            if block.low < block.high:
                yield from self._block(parent, block, blocks)

    def _block(self, parent: Region, block: RowBlock, blocks: list[RowBlock]) -> Steps:
        """Read a block by the first rule that applies; one to which none applies is a paragraph."""
        if not self._is_plain(block):
            openers = block.index.openers
            for opener, rule in self.rules:
                at = block.low
                if opener is not None:
                    at = block.find(opener) if opener in openers else -1
                    if at < 0:
                        continue
                steps = rule(parent, block, at, blocks)
                if steps is not None:
                    return steps
        self._paragraph(parent, block.rows)
        return DONE

    def _is_plain(self, block: RowBlock) -> bool:
        """Most blocks are plain paragraphs, so these are told first, by what no rule could begin with."""
        rows, low = block.index.rows, block.low
        first = rows[low][0]
        return (
            first[0].isalpha()
            and not block.index.openers
            and "|" not in first
            and (block.high - low == 1 or rows[low + 1][0][:1] not in ("=", "-"))
        )

    def _within(self, state: str) -> bool:
        return bool(self.state) and self.state[-1] == state

    # Admonitions, details, tabs; HTML elements whose content is Markdown.

    def _callout_or_element(
        self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]
    ) -> Steps | None:
        """Callouts take what is indented below their first row, and later blocks may go on with them."""
        first = block.first
        openers = block.index.openers
        last = parent.last
        going_on = last.callout if last is not None and first.startswith(INDENT) else ""
        for opener, name in _CALLOUTS.items():
            if opener in openers and (at := block.find(opener)) >= 0:
                return self._open_callout(parent, opener, block, at, blocks)
            if going_on == name and (continued := _continued(parent, opener, block)):
                return self._continue(*continued, block, blocks)
            # md_in_html was registered after admonition and before the other two.
            if opener == ADMONITION and (mark := ELEMENT_MARK.match(first)):
                return self._element(parent, self.elements[int(mark[1])], block, blocks)
        return None

    def _open_callout(
        self, parent: Region, opener: int, block: RowBlock, at: int, blocks: list[RowBlock]
    ) -> Steps:
        if at > block.low:
            yield parent, [block.before(at)]
        region = _add_callout(parent, opener, block.index.rows[at])
        inner, rest = detab(block.after(at), len(INDENT))
        if inner:
            yield region, split_blocks(inner)
        put_back(blocks, block, rest)

    def _continue(self, region: Region, width: int, block: RowBlock, blocks: list[RowBlock]) -> Steps:
        inner, rest = detab(block, width)
        if region.tag in _ITEMS_AND_DEFINITIONS:
            region.wrap_text(first=False)
        yield region, split_blocks(inner)
        put_back(blocks, block, rest)

    def _element(self, parent: Region, element: Element, block: RowBlock, blocks: list[RowBlock]) -> Steps:
        put_back(blocks, block, block.low + 1)
        # What pymdownx.details looks for is the tag: an indented block goes on with such an element too.
        region = parent.add(element.tag, "details" if element.tag == "details" else "")
        if element.content == "block":
            yield region, split_blocks(element.rows)
        else:
            self._spans(region, element)

    def _spans(self, region: Region, element: Element) -> None:
        """An element whose content is running text, with such elements inside it."""
        stack = [(region, element)]
        while stack:
            region, element = stack.pop()
            rows = region.text
            for row in element.rows if element.content == "span" else ():
                mark = ELEMENT_MARK.match(row[0])
                if mark:
                    inner = self.elements[int(mark.group(1))]
                    child = region.add(inner.tag)
                    stack.append((child, inner))
                    rows = child.tail
                else:
                    rows.append(row)

    # What is indented: items of lists, definitions, code.

    def _indented(self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]) -> Steps | None:
        if not block.first.startswith(INDENT):
            return None
        if self._in_list(parent, _ITEMS, _LISTS):
            return self._in_item(parent, block, _ITEMS, _LISTS)
        if self._in_list(parent, _ITEMS_AND_DEFINITIONS, _LISTS_AND_DEFINITIONS):
            return self._in_item(parent, block, _ITEMS_AND_DEFINITIONS, _LISTS_AND_DEFINITIONS)
        self._code(parent, block, blocks)
        return DONE

    def _in_list(self, parent: Region, items: Sequence[str], lists: Sequence[str]) -> bool:
        # A block whose indent was just taken off is not asked again: what is left of it is code.
        if self._within("detabbed"):
            return False
        last = parent.last
        return parent.tag in items or (last is not None and last.tag in lists)

    def _in_item(self, parent: Region, block: RowBlock, items: Sequence[str], lists: Sequence[str]) -> Steps:
        """An indented block below a list belongs to the item at its depth."""
        target, level = self._item_at_depth(parent, block.first, items, lists)
        inner = as_one_block(loose_detab(block.rows, level))
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

    def _item_at_depth(
        self, parent: Region, text: str, items: Sequence[str], lists: Sequence[str]
    ) -> tuple[Region, int]:
        """The item or list that an indented row belongs to, and how many indents that takes."""
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
        return target, level

    def _code(self, parent: Region, block: RowBlock, blocks: list[RowBlock]) -> None:
        if any("\x02" in row[0] for row in block.rows):
            block = as_one_block(self._without_fences(block.rows))[0]
        _, rest = detab(block, len(INDENT))
        self.structure.code += block.index.rows[block.low : rest]
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

    # Tables, headings, rules.

    def _table(self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]) -> Steps | None:
        if block.high - block.low < 2 or "|" not in block.first:
            return None
        table = read_table(block)
        if table is None:
            return None
        region = parent.add("table")
        first_line = block.index.rows[block.low][1]
        for row, cells in enumerate(table):
            for column, cell in enumerate(cells):
                region.add("td", text=[cell]).cell = Cell(first_line, row, column)
        return DONE

    def _heading(self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]) -> Steps:
        if at > block.low:
            yield parent, [block.before(at)]
        text, line, column = block.index.rows[at]
        span = heading_text(text)
        assert span is not None
        parent.add("h1", text=[strip_left((text[span[0] : span[1]], line, column + span[0]))])
        if at + 1 < block.high:
            if self._within("looselist"):
                # Below a heading in a loose item Python-Markdown takes one more indent off.
                blocks += as_one_block(loose_detab(block.index.rows[at + 1 : block.high], 1))
            else:
                put_back(blocks, block, at + 1)

    def _underlined_heading(
        self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]
    ) -> Steps | None:
        rows = block.index.rows
        if block.high - at < 2 or not _UNDERLINE.fullmatch(rows[at + 1][0]):
            return None
        parent.add("h1", text=[strip_left(rows[at])])
        put_back(blocks, block, at + 2)
        return DONE

    def _rule(self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]) -> Steps:
        if at > block.low:
            yield parent, [block.before(at)]
        parent.add("hr")
        put_back(blocks, block, at + 1)

    # Lists.

    def _list(self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]) -> Steps | None:
        item = _ITEM.match(block.first)
        if item is None:
            return None
        return self._read_list(parent, block, "ul" if item[1] in "*+-" else "ol")

    def _read_list(self, parent: Region, block: RowBlock, tag: str) -> Steps:
        items = _items(block.rows)
        last = parent.last
        if last is not None and last.tag in _LISTS:
            # A list after a list goes on with it, and is loose: its items' texts are paragraphs.
            region = last
            _loosen_last_item(region)
            self.state.append("looselist")
            yield region.add("li"), as_one_block(items.pop(0))
            self.state.pop()
        elif parent.tag in _LISTS:
            region = parent
        else:
            region = parent.add(tag)
        self.state.append("list")
        for rows in items:
            item = region.last
            if item is None or not rows[0][0].startswith(INDENT):
                item = region.add("li")
            yield item, as_one_block(rows)
        self.state.pop()

    def _definition_item(
        self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]
    ) -> Steps | None:
        # With no term above it, in the block or before it, a colon is just a sign.
        if at == block.low and not parent.children:
            return None
        return self._read_definition_item(parent, block, at, blocks)

    def _read_definition_item(
        self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]
    ) -> Steps:
        rows = block.index.rows
        terms = [strip_left(row) for row in rows[block.low : at] if row[0].strip()]
        start = cut(rows[at], definition_item_start(rows[at][0]))
        if at + 1 < block.high and _NOT_INDENTED.match(rows[at + 1][0]):
            inner, rest = rows[at + 1 : block.high], block.high
        else:
            inner, rest = detab(block.after(at), len(INDENT))
        state = "list"
        last = parent.last
        if not terms and last is not None and last.tag == "p":
            # The paragraph before is the term. The blank line between makes the definition a loose one.
            state = "looselist"
            terms = last.text
            parent.children.pop()
            last = parent.last
        if last is not None and last.tag == "dl":
            region = last
            if not terms and region.last is not None and region.last.tag == "dd" and region.last.children:
                state = "looselist"
        else:
            region = parent.add("dl")
        for term in terms:
            region.add("dt", text=[term])
        self.state.append(state)
        yield region.add("dd"), as_one_block([start, *inner])
        self.state.pop()
        put_back(blocks, block, rest)

    # Quotes, footnotes, link definitions, paragraphs.

    def _quote(self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]) -> Steps:
        if at > block.low:
            yield parent, [block.before(at)]
        rows: list[SourceRow] = []
        for row in block.index.rows[at : block.high]:
            match = _QUOTED.match(row[0])
            if row[0].strip() == ">":
                rows.append(("", row[1], row[2]))
            else:
                # A row without the mark stays in the quote: what the original Markdown calls lazy.
                rows.append(cut(row, match.end()) if match else row)
        region = parent.last
        if region is None or region.tag != "blockquote":
            region = parent.add("blockquote")
        self.state.append("blockquote")
        yield region, split_blocks(rows)
        self.state.pop()

    def _footnote(self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]) -> Steps:
        if self.in_footnotes:
            self.structure.nested_footnotes.append(block.index.rows[at])
        take_footnotes(self.structure, block, at, blocks)
        return DONE

    def _link_definitions(
        self, parent: Region, block: RowBlock, at: int, blocks: list[RowBlock]
    ) -> Steps | None:
        return DONE if take_link_definitions(self.structure, block, at, blocks) else None

    def _paragraph(self, parent: Region, rows: list[SourceRow]) -> None:
        if not rows[0][0].strip() and not any(row[0].strip() for row in rows):
            return
        if self._within("list"):
            # In a tight list the text is the item's own, without a paragraph around it.
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


def _loosen_last_item(region: Region) -> None:
    """Put what the last item of a list holds as text of its own into paragraphs."""
    item = region.last
    if item is None:
        return
    item.wrap_text(first=True)
    inner = item.last
    if inner is not None and inner.tail:
        item.add("p", text=inner.tail)
        inner.tail = []


def _add_callout(parent: Region, opener: int, row: SourceRow) -> Region:
    """The region for what a row opens, with its title as text."""
    span = title_of(opener, row[0])
    title: list[SourceRow] = []
    if span is not None and span[1] > span[0]:
        title = [cut((row[0][: span[1]], row[1], row[2]), span[0])]
    if opener == TAB:
        return _add_tab(parent, row[0], title)
    is_details = opener == DETAILS
    region = parent.add("details" if is_details else "div", _CALLOUTS[opener])
    if title:
        region.add("summary" if is_details else "p", text=title)
    return region


def _add_tab(parent: Region, text: str, title: list[SourceRow]) -> Region:
    """A tab joins the set before it, unless its ``===!`` begins a new one."""
    group = parent.last
    if group is None or group.callout != "tabs" or "!" in text[: text.index('"')]:
        group = parent.add("div", "tabs")
    if title:
        # The labels stand in a list of their own; what matters is that the block comes last.
        group.add("label", text=title)
    return group.add("div", "tab")


def _continued(parent: Region, opener: int, block: RowBlock) -> tuple[Region, int] | None:
    """The region that an indented block goes on with, and how deep it is indented; or None.

    That is the last admonition (details, tab), and where the last thing inside is a list and the block is
    indented deeper, the last item of that list, and so on inwards.
    """
    sibling: Region | None = parent.last
    text = block.first
    if sibling is None or sibling.callout != _CALLOUTS[opener] or not text.startswith(INDENT):
        return None
    width = len(INDENT)
    depth = 0
    inner = sibling.last
    while inner is not None and sibling is not None and text.startswith(INDENT * 2):
        deeper = _list_within(inner, opener)
        if deeper is None:
            break
        sibling = deeper.last
        inner = sibling.last if sibling is not None else None
        text = text[width:]
        depth += width
    if sibling is None:
        return None
    # A set of tabs goes on in its last tab.
    target = sibling.last if sibling.callout == "tabs" else None
    return target or sibling, depth + width


def _list_within(region: Region, opener: int) -> Region | None:
    """The list that a region is, or that ends a tab."""
    inner = region.last if opener == TAB and region.callout == "tab" else region
    return inner if inner is not None and inner.tag in _LISTS_AND_DEFINITIONS else None
