"""What was made of a site's pages, on disk from one run to the next: found by what it was made of.

While a site is served, identity tells what is still the same (`IdentityCache`). Between runs content does:
each thing that something was made of has a digest, a result that of all it rests on.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from typing import Any

from buildlog.book.book import Book, Page
from buildlog.book.kept_pages import program_of
from buildlog.diagnostics import Position
from buildlog.kept.packing import Unpackable, fingerprint, pack, unpack
from buildlog.kept.program import version_of
from buildlog.kept.store import Store, key_for
from buildlog.kinds.results import BlockResult
from buildlog.reading.decisions import KIND as DECISION
from buildlog.reading.words import Words
from buildlog.render.program import locked_versions

_PACKAGES = ("brython", "ezdxf", "jinja2", "markupsafe", "reportlab")
_KEPT = frozenset(
    (
        "bundle",
        "card",
        "files",
        "needs",
        "own numbers",
        "part pack",
        "patterns",
        "rendered",
        "rows",
        "scripts",
        "series",
        "sheet",
    )
)
"""What takes longer to make than to find, and is made of nothing but what it is said to be made of."""

Name = tuple[Any, ...]


class KeptMade:
    """The made things of one build."""

    def __init__(self, store: Store, book: Book) -> None:
        self._store = store
        self._book = book
        settings = book.settings
        self._site = key_for(
            program_of(settings.own_units),
            *map(version_of, (*_PACKAGES, *locked_versions())),  # bundles name those that are locked
            fingerprint(
                (
                    settings.units,
                    settings.report,
                    settings.bundles,
                    settings.language,
                    settings.loose,
                    settings.nominal_nouns,
                    settings.levels,
                    settings.drafts,
                )
            ),
        )
        # By identity: the things are held, so that no other can be given it.
        self._digests: dict[int, tuple[object, str]] = {}

    def key(self, name: Name, of: Iterable[object], like: object) -> str:
        """What a thing of this name is kept under; "" where it is not kept."""
        if name[0] not in _KEPT:
            return ""
        try:
            made_of = [self._digest(thing) for thing in of]
            return key_for("made", self._site, repr(name), *made_of, self._of_like(like))
        except Unpackable:
            return ""

    def get(self, key: str) -> Any:
        """What was kept under a key; None where nothing was, or nothing that can be read."""
        content = self._store.get(key) if key else None
        if content is not None:
            with suppress(Unpackable):
                return unpack(content)
        return None

    def put(self, key: str, made: object) -> None:
        """Keep a thing, where it can be."""
        if key:
            with suppress(Unpackable):
                self._store.put(key, pack(made))

    def _of_like(self, like: object) -> str:
        if isinstance(like, tuple):
            return key_for("several", *map(self._of_like, like))
        if isinstance(like, Words | frozenset):  # the same object for many pages
            return self._digest(like)
        return fingerprint(_in_order(like), self._known)

    def _digest(self, thing: object) -> str:
        """The digest of a thing that something is made of."""
        found = self._digests.get(id(thing))
        if found is None:
            made = self._known(thing) or fingerprint(_in_order(thing), self._known)
            found = self._digests[id(thing)] = thing, made
        return found[1]

    def _known(self, thing: object) -> str | None:
        """The digest of a thing that need not be looked at whole; None where it need be."""
        if isinstance(thing, BlockResult):
            return self._of_result(thing)
        if isinstance(thing, Page):
            return _of_page(thing)
        return None

    def _of_result(self, result: BlockResult) -> str | None:
        """By its key, and where it stands. What a decision calls its doubts rests on more."""
        name = (result.page, result.id)
        if result.kind == DECISION or result.faults or self._book.results.get(name) is not result:
            return None
        key = self._book.keys.get(name)
        return key_for("result", key, _words_of(result.position)) if key else None


def _of_page(page: Page) -> str | None:
    """A page follows from its text, where no other file brings something into it."""
    if page.snippets or page.whole is not None or not page.is_read_whole:
        return None
    return key_for("page", page.key, page.path, page.text, str(page.published))


def _in_order(like: object) -> object:
    """Sets as lists in an order that does not hang on the run."""
    if isinstance(like, set | frozenset):
        return sorted(map(repr, like))
    if isinstance(like, list):
        return [_in_order(one) for one in like]
    if isinstance(like, dict):
        return {name: _in_order(one) for name, one in like.items()}
    return like


def _words_of(position: Position) -> str:
    return f"{position.path}:{position.line}:{position.column}"
