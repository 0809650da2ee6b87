"""Pages that an earlier run has read and left on disk, found by their text."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from buildlog.figures.units import OwnUnits
from buildlog.kept.once import kept_or_made
from buildlog.kept.packing import fingerprint
from buildlog.kept.program import program_digest
from buildlog.kept.store import Store, key_for
from buildlog.reading.whole_page import Page, read_page


def program_of(units: OwnUnits) -> str:
    """The program that reads and computes a site: ours, and the units of the site's own."""
    return key_for(program_digest(), fingerprint(units)) if units.units else program_digest()


def kept_page(store: Store | None, program: Callable[[], str], key: str, path: str, text: str) -> Page:
    """A page as `read_page` reads it, or has read it: without what other files bring into it."""
    place = "" if store is None else key_for("page", program(), key, path, text)
    return kept_or_made(store, place, Page, partial(read_page, key, path, text))
