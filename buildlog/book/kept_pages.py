"""Pages that an earlier run has read and left on disk, found by their text."""

from __future__ import annotations

from contextlib import suppress

from buildlog.kept.packing import Unpackable, pack, unpack
from buildlog.kept.program import program_digest
from buildlog.kept.store import Store, key_for
from buildlog.reading.whole_page import Page, read_page


def kept_page(store: Store | None, key: str, path: str, text: str) -> Page:
    """A page as `read_page` reads it, or has read it: without what other files bring into it."""
    if store is None:
        return read_page(key, path, text)
    place = key_for("page", program_digest(), key, path, text)
    content = store.get(place)
    if content is not None:
        with suppress(Unpackable):
            found = unpack(content)
            if isinstance(found, Page):
                return found
    page = read_page(key, path, text)
    with suppress(Unpackable):
        store.put(place, pack(page))
    return page
