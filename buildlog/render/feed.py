"""The site's feed: pages that state a day, the newest first, as Atom (RFC 4287)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree import ElementTree
from xml.etree.ElementTree import Element, SubElement

from buildlog.render.pieces import clean
from buildlog.version import __version__

_ATOM = "http://www.w3.org/2005/Atom"
ElementTree.register_namespace("", _ATOM)


@dataclass(frozen=True, kw_only=True)
class FeedEntry:
    """A page in the feed. `address` is its own, whole; days are written as 2024-05-31; `updated` is "" where
    the page states no other day than that of its publication."""

    title: str
    address: str
    published: str
    updated: str = ""
    summary: str = ""

    @property
    def newest(self) -> str:
        """The day of the last change that the page states."""
        return self.updated or self.published


@dataclass(frozen=True, kw_only=True)
class Feed:
    """`site` is the address of the site, `address` that of the feed itself."""

    title: str
    author: str
    site: str
    address: str
    entries: Sequence[FeedEntry]


def render_feed(feed: Feed) -> str:
    """The feed as XML. It has one entry at least, since a feed has to say when it was updated."""
    entries = sorted(feed.entries, key=lambda one: (one.newest, one.published, one.address), reverse=True)
    root = Element(_name("feed"))
    _add(root, "id", feed.address)
    _add(root, "title", feed.title)
    _add(root, "updated", _moment(entries[0].newest))
    _add(SubElement(root, _name("author")), "name", feed.author)
    SubElement(root, _name("link"), rel="self", type="application/atom+xml", href=feed.address)
    SubElement(root, _name("link"), rel="alternate", type="text/html", href=feed.site)
    _add(root, "generator", "buildlog").set("version", __version__)
    for entry in entries:
        _add_entry(root, entry)
    ElementTree.indent(root)
    text: str = ElementTree.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="utf-8"?>\n{text}\n'


def _add_entry(root: Element, entry: FeedEntry) -> None:
    element = SubElement(root, _name("entry"))
    _add(element, "id", entry.address)
    _add(element, "title", entry.title)
    _add(element, "published", _moment(entry.published))
    _add(element, "updated", _moment(entry.newest))
    SubElement(element, _name("link"), rel="alternate", type="text/html", href=entry.address)
    if entry.summary:
        _add(element, "summary", entry.summary)


def _add(parent: Element, name: str, text: str) -> Element:
    element = SubElement(parent, _name(name))
    element.text = str(clean(text))
    return element


def _name(name: str) -> str:
    return f"{{{_ATOM}}}{name}"


def _moment(day: str) -> str:
    """A day as the moment that a feed wants: its beginning, by universal time."""
    return f"{day}T00:00:00Z"
