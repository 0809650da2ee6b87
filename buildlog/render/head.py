"""What a page says of itself to those that link to it: its own address, and the tags of a preview.

The tags are those of the Open Graph protocol (ogp.me), which previews read; each needs the page's whole
address, so that a site that does not say where it is has none. Everything is escaped.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from buildlog.render.pieces import clean

_TEXT = re.compile(r"<(?:article|main)\b|<div\b(?=[^>]*\srole=[\"']main[\"'])")
_HEAD = re.compile(r"<head\b[^>]*>(.*?)</head\s*>", re.DOTALL | re.IGNORECASE)


@dataclass(frozen=True, kw_only=True)
class PageHead:
    """`address` is the page's own, whole; `image` that of a picture in it, with its words. `feed` is where
    the feed is, from this page. What is not known is "". Days are written as 2024-05-31."""

    title: str
    site: str
    description: str = ""
    address: str = ""
    published: str = ""
    updated: str = ""
    image: str = ""
    image_words: str = ""
    feed: str = ""


def add_to_head(page: str, head: PageHead) -> str:
    """A finished page with what its head does not say yet; a page without a head is left alone."""
    found = _HEAD.search(page)
    if found is None:
        return page
    said = found[1]
    tags = "".join(f"{tag}\n" for name, tag in _tags(head) if name not in said)
    return f"{page[: found.end(1)]}{tags}{page[found.end(1) :]}"


def say_language(page: str, language: str) -> str:
    """A finished page whose text says its language; what stands around the text is in that of the theme."""
    found = _TEXT.search(page)
    if not language or found is None:
        return page
    return f"{page[: found.end()]}{_attribute('lang', language)}{page[found.end() :]}"


def _tags(head: PageHead) -> Iterator[tuple[str, str]]:
    """What a tag is known by where a theme or another plugin has written it already, and the tag."""
    if head.feed:
        title = _attribute("title", head.site)
        link = f'<link rel="alternate" type="application/atom+xml"{title}{_attribute("href", head.feed)}>'
        yield "application/atom+xml", link
    if not head.address:
        return
    yield 'rel="canonical"', f'<link rel="canonical"{_attribute("href", head.address)}>'
    properties = {
        "og:title": head.title,
        "og:type": "article" if head.published else "website",
        "og:url": head.address,
        "og:site_name": head.site,
        "og:description": head.description,
        "og:image": head.image,
        "og:image:alt": head.image and head.image_words,
        "article:published_time": head.published,
        "article:modified_time": head.updated,
    }
    for name, value in properties.items():
        if value:
            yield f'property="{name}"', f'<meta property="{name}"{_attribute("content", value)}>'


def _attribute(name: str, value: str) -> str:
    return f' {name}="{escape(str(clean(value)))}"'
