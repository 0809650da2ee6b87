"""A page's HTML as one run leaves it on disk for the next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buildlog.page.photographs import Sizes
from buildlog.render import Rendered

Heading: TypeAlias = tuple[str, str, int, tuple["Heading", ...]]
"""Of a table of contents: title, id, level, and the headings below."""


@dataclass(frozen=True, kw_only=True)
class KeptPage:
    """What a generator's rendering makes of a page. `parts` are put in where `content` says: see
    `DeferredHtml.take_apart`. `links` are the anchors that it leads to, by the files that have them, with
    the addresses as they are written, `pictures` those that it shows."""

    content: str
    parts: tuple[Rendered, ...]
    headings: tuple[Heading, ...]
    title: str | None
    anchors: tuple[str, ...]
    links: dict[str, dict[str, str]] | None
    pictures: Sizes
