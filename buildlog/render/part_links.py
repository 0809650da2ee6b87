"""The parts that a block names, as links to their entries in the site's list of parts."""

from __future__ import annotations

from buildlog.book.parts import COLUMN, part_anchor
from buildlog.kinds.results import BlockResult, GivenInput
from buildlog.reading.addresses import PARTS
from buildlog.render.pieces import LinkPiece


def part_links(block: BlockResult, page: str) -> tuple[LinkPiece, ...]:
    """A link for each part that a block's pattern, rows and inputs name, in their order; those of rows go by
    the row's name. `page` is the one with the list, "" for none: then there is nothing to lead to."""
    if not page:
        return ()
    found: dict[str, str] = {block.part: block.part} if block.part else {}
    for case in block.cases.values():
        for given in case.given.values():
            found |= {name: words for name, words in _named(given).items() if name not in found}
    return tuple(
        LinkPiece(page=page if page != block.page else None, anchor=part_anchor(name), text=words)
        for name, words in found.items()
    )


def _named(given: GivenInput) -> dict[str, str]:
    """The parts of an input: of its rows, or of the address that it was taken from."""
    if given.reference.startswith(f"calc:{PARTS}"):
        name = given.reference.removeprefix(f"calc:{PARTS}").partition(".")[0]
        return {name: name}
    if not any(column.form.is_part for column in given.declared.form.row):
        return {}
    return {
        name: given.words.get((path[0], "name"), name)
        for path, name in given.words.items()
        if len(path) == 2 and path[1] == COLUMN
    }
