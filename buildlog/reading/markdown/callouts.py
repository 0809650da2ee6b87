"""Admonitions, details and content tabs: what opens them, and which block goes on with one.

All three take what is indented below their first row. A later block goes on with the last one when
it is indented, and then, where the last thing inside is a list, with the last item of that list.
"""

from __future__ import annotations

from buildlog.reading.markdown.tree import (
    ADMONITION,
    DETAILS,
    INDENT,
    TAB,
    Region,
    RowBlock,
    SourceRow,
    cut,
    title_of,
)

LIST_TAGS = ("ul", "ol", "dl")
# In the order in which Python-Markdown asks them, with the HTML elements between the first two.
CALLOUTS = (ADMONITION, DETAILS, TAB)
_KINDS = {ADMONITION: "admonition", DETAILS: "details", TAB: "tabs"}


def open_callout(parent: Region, kind: int, row: SourceRow) -> Region:
    """The node for what a row opens, with its title as text."""
    span = title_of(kind, row[0])
    title: list[SourceRow] = []
    if span is not None and span[1] > span[0]:
        title = [cut((row[0][: span[1]], row[1], row[2]), span[0])]
    if kind == TAB:
        last = parent.last
        new_set = "!" in row[0][: row[0].index('"')]
        going_on = last is not None and last.kind == "tabs" and not new_set
        group = last if last is not None and going_on else parent.add("div", "tabs")
        if title:
            # The labels stand in a list of their own; what matters is that the block comes last.
            group.add("label", text=title)
        return group.add("div", "tab")
    node = parent.add("details" if kind == DETAILS else "div", _KINDS[kind])
    if title:
        node.add("summary" if kind == DETAILS else "p", text=title)
    return node


def continued(parent: Region, kind: int, block: RowBlock) -> tuple[Region, int] | None:
    """The node that an indented block goes on with, and how deep it is indented; or None."""
    sibling: Region | None = parent.last
    if sibling is None or sibling.kind != _KINDS[kind]:
        return None
    text = block.sheet.rows[block.low][0]
    if not text.startswith(INDENT):
        return None
    width = len(INDENT)
    depth = 0
    inner = sibling.last
    while inner is not None:
        if sibling is None or not text.startswith(INDENT * 2):
            break
        if kind == TAB and inner.kind == "tab":
            deeper = inner.last
            if deeper is None or deeper.tag not in LIST_TAGS:
                break
            inner = deeper
        elif inner.tag not in LIST_TAGS:
            break
        sibling = inner.last
        inner = sibling.last if sibling is not None else None
        text = text[width:]
        depth += width
    if sibling is None:
        return None
    # A set of tabs goes on in its last tab.
    target = sibling.last if sibling.kind == "tabs" else None
    return target or sibling, depth + width
