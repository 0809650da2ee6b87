"""What the HTML of a finished page tells: its addresses of ours, and words as a reader takes them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from html import unescape

from buildlog.reading.markdown.scanner import SCHEMES

_TAG = re.compile(r"<[^<>]*>")
_COMMENT = re.compile(r"<!--.*?-->", re.DOTALL)
_LEADS_TO = re.compile(
    r"<[a-z][^<>]*?\s(?:href|src)\s*=\s*(?:\"([^\"]*)\"|'([^']*)'|([^\s\"'<>]+))", re.IGNORECASE
)
# Typography that extensions write in place of what an author typed: it says the same.
_SAME = str.maketrans(
    {
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212", "-"),
        **dict.fromkeys('“”„«»"″', "'"),
        **dict.fromkeys("‘’‚′", "'"),
        "\u2044": "/",
        "±": "+/-",
        "→": "->",
    }
)
_NO_MATTER = re.compile(r"[\s*_`^~\\]+")
_HYPHENS = re.compile(r"-{2,}")


def fold(text: str) -> str:
    """A label without what typography changes, and without marks of emphasis."""
    text = unicodedata.normalize("NFKC", text.translate(_SAME)).translate(_SAME)
    return _HYPHENS.sub("-", _NO_MATTER.sub("", _TAG.sub("", text)))


def bears_scheme(address: str) -> bool:
    """Whether a browser, or a reader, would take an address for one of ours."""
    return unescape(address).strip().lower().startswith(SCHEMES)


def find_addresses(html: str) -> Iterator[str]:
    """The addresses of ours that a finished page still leads to, but for comments."""
    for match in _LEADS_TO.finditer(_COMMENT.sub("", html)):
        address = next(filter(None, match.groups()), "")
        if bears_scheme(address):
            yield address
