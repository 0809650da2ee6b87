"""What a site publishes so that its readers can put in their own numbers: for each block that takes them a
script that describes it, and the scripts that compute its kind."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from urllib.parse import quote

from buildlog.book.book import Book
from buildlog.book.repeating import computed_blocks
from buildlog.browser.description import describe
from buildlog.browser.packing import Packed, packed, runs_in_browser
from buildlog.kinds.results import BlockResult
from buildlog.reading.decisions import KIND as DECISION
from buildlog.render.own_numbers import FOLDER, NO_OWN_NUMBERS, OwnNumbers
from buildlog.said import said

_NEEDS_MORE = said(
    "This card takes no numbers of yours: what computes its kind needs a package that browsers do not have."
)
TOO_LONG = frozenset(("course",))
"""Kinds of which one block takes a browser up to a minute, in which the page stands still."""
_TAKES_LONG = said(
    "This card takes no numbers of yours: a browser would stand still over its course for a minute."
)
_READS_FILES = said("This card takes no numbers of yours: it reads files that are not sent to a browser.")


@dataclass(frozen=True, kw_only=True)
class Described:
    """A block of a page: what its card offers, and for one that takes numbers the description as JSON."""

    page: str
    id: str
    kind: str
    offer: OwnNumbers
    description: str = ""


def describe_page(book: Book, key: str) -> tuple[Described, ...]:
    """The blocks of a page with what their cards offer; those that offer and say nothing are left out."""
    found = (_described(book, result) for _, result in computed_blocks(book, key))
    return tuple(one for one in found if one.offer != NO_OWN_NUMBERS)


def _described(book: Book, result: BlockResult) -> Described:
    offer, text = NO_OWN_NUMBERS, ""
    if result.kind == DECISION or not _has_numbers(result):
        pass  # what it compares are other cards' numbers
    elif not runs_in_browser(result.kind, book.store):
        offer = OwnNumbers(refused=_NEEDS_MORE)
    elif result.kind in TOO_LONG:
        offer = OwnNumbers(refused=_TAKES_LONG)
    elif (made := describe(book, result)) is not None:
        text = json.dumps(made)
        version = hashlib.sha256(text.encode()).hexdigest()[:12]
        offer = OwnNumbers(f"{quote(_path(result.page, result.id))}?{version}")
    elif not result.faults:
        offer = OwnNumbers(refused=_READS_FILES)
    return Described(page=result.page, id=result.id, kind=result.kind, offer=offer, description=text)


def _path(page: str, block: str) -> str:
    return f"{page}/{block}.js"


def _has_numbers(result: BlockResult) -> bool:
    """Whether its author has written a number that a reader might want to change."""
    return any(given.numbers for case in result.cases.values() for given in case.given.values())


def files_of(
    described: Iterable[Described], pack: Callable[[tuple[str, ...]], Packed] = packed
) -> dict[str, str]:
    """The scripts of a site by their path under content: those of these blocks, and what they need, as `pack`
    gives it for some kinds."""
    taking = [one for one in described if one.offer.script]
    if not taking:
        return {}
    scripts = pack(tuple(sorted({one.kind for one in taking})))
    made = {f"{FOLDER}/{script.name}": script.text for script in scripts.scripts}
    for one in taking:
        needed = json.dumps(list(scripts.of(one.kind)))
        # JSON is JavaScript but for the end of a script element, which no text may hold.
        description = one.description.replace("</", "<\\/")
        made[f"{FOLDER}/{_path(one.page, one.id)}"] = (
            f"buildlogOwn.take({json.dumps(one.id)},{{scripts:{needed},description:{description}}});\n"
        )
    return made
