"""Whether a page read by us is the page that Python-Markdown makes: its blocks and links, where each word of
it ends up, and where names lead. `rendered.py` says which versions and extensions.

A page is written in one line, with `¶` for a line end and `%` for a word of its own each time.
"""

from __future__ import annotations

from xml.etree.ElementTree import Element

from buildlog.reading.markdown.page import MASK, ScannedPage
from buildlog.reading.markdown.scanner import scan
from tests.reading.markdown import test_words_differential as words
from tests.reading.markdown.places import every_place_slices_back
from tests.reading.markdown.rendered import render
from tests.reading.markdown.test_scanner_differential import assert_same as assert_same_blocks_and_links


def page_of(line: str) -> str:
    return words.numbered(line.split("¶"))


Cell = tuple[int, int, int]


def cells_here(page: ScannedPage) -> dict[Cell, str]:
    """The texts of cells by table, row and column, those that are nothing but text."""
    tables = sorted({span.cell.table for span in page.prose if span.cell is not None})
    return {
        (tables.index(span.cell.table), span.cell.row, span.cell.column): span.text
        for span in page.prose
        if span.cell is not None and not set(span.text) & set(f"{MASK}\\`*<&{{")
    }


def cells_there(tree: Element, wanted: dict[Cell, str]) -> dict[Cell, str]:
    return {
        (number, row, column): cell.text or ""
        for number, table in enumerate(tree.iter("table"))
        for row, cells in enumerate(table.iter("tr"))
        for column, cell in enumerate(cells)
        if (number, row, column) in wanted
    }


def alike(line: str) -> ScannedPage:
    """The page, read; raises AssertionError where the two differ."""
    text = page_of(line)
    page = scan(text, "page.md")
    assert_same_blocks_and_links(text, page)
    seen = render(text)
    there, here = words.roles_there(seen), words.roles_here(page)
    figures = {word for link in page.links for word in words._WORD.findall(link.label)}
    for word in words._WORD.findall(text):
        if word in figures:
            continue  # a figure's label is no loose text; that it is there the links have said
        if word in there:
            assert (word, here.get(word, words.NOT_SHOWN)) == (word, there[word])
        else:
            assert here.get(word, words.NOT_SHOWN) in (words.NOT_SHOWN, words.CODE, words.HTML), word
    every_place_slices_back(page)
    assert cells_here(page) == cells_there(seen.tree, cells_here(page))
    ours = {name.name: name.address for name in page.surroundings.definitions}
    assert ours == {name: address for name, (address, _) in seen.definitions.items()}
    return page
