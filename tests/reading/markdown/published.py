"""Addresses of figures that a page would publish unproofed: the outside check on slips.

The page is rendered by Python-Markdown and its HTML read by the standard library's parser, which resolves
entities as a browser does. What there is of ``calc:``, ``cite:`` and ``told:`` in it, in text or in
attributes, beside the addresses of the links that the proof has, nobody has proofed.
"""

from __future__ import annotations

import re
from collections import Counter
from html import unescape
from html.parser import HTMLParser

from buildlog.reading.markdown.scanner import scan
from tests.reading.markdown.rendered import SCHEMES, render

_CODE = frozenset(("code", "pre", "kbd", "samp", "script", "style", "textarea"))
_ADDRESS = re.compile(r"(?<![\w/.?&=#@:-])(?:calc|cite|told):[\w-]+", re.IGNORECASE)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.code: list[str] = []
        self.texts: list[str] = []
        self.addresses: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _CODE:
            self.code.append(tag)
        for name, value in attrs:
            if tag == "a" and name == "href" and (value or "").startswith(SCHEMES):
                self.addresses.append(value or "")
            elif name != "title" or tag != "a":  # the title of a figure holds its options
                self.texts.append(value or "")

    def handle_endtag(self, tag: str) -> None:
        if tag in self.code:
            self.code = self.code[: len(self.code) - 1 - self.code[::-1].index(tag)]

    def handle_data(self, data: str) -> None:
        if not self.code:
            self.texts.append(data)


def published(text: str) -> list[str]:
    """What the page of a text would publish."""
    reader = _Reader()
    reader.feed(render(text).html)
    reader.close()
    links = Counter(unescape(link.address) for link in scan(text, "a.md").links)
    outside = Counter(reader.addresses) - links
    found = [match[0] for words in reader.texts for match in _ADDRESS.finditer(words)]
    return [*outside.elements(), *found]
