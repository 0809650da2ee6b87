"""What Python-Markdown makes of a page: the outside check that the scanner is held to.

Python-Markdown 3.11 and pymdown-extensions 13.1, with the extensions that a buildlog site uses. The
calculation blocks are those that come out in the HTML (not in a comment), as the formatter of a
custom fence got them; the links are those in the tree when all inlines have been read.
"""

from __future__ import annotations

import re
from copy import deepcopy
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from xml.etree.ElementTree import Element

import markdown
from markdown.extensions import Extension
from markdown.treeprocessors import Treeprocessor

SCHEMES = ("calc:", "cite:", "told:")
_ESCAPED = re.compile("\x02([0-9]+)\x03")


@dataclass
class Rendered:
    """Bodies of blocks, and (address, title, label's text) of links.

    `tree` is what Markdown made, its texts read and no escape undone, and `beside` what was kept out of it:
    raw HTML and code. `definitions` says where names lead, as (address, title).
    """

    bodies: list[str] = field(default_factory=list)
    links: list[tuple[str, str | None, str]] = field(default_factory=list)
    html: str = ""
    tree: Element = field(default_factory=lambda: Element("div"))
    beside: list[str] = field(default_factory=list)
    definitions: dict[str, tuple[str, str | None]] = field(default_factory=dict)


class _Collect(Treeprocessor):
    def __init__(self, md: markdown.Markdown, into: Rendered) -> None:
        super().__init__(md)
        self.into = into

    def run(self, root: Element) -> None:
        for link in root.iter("a"):
            address = self._plain(link.get("href", ""))
            if address.startswith(SCHEMES):
                title = link.get("title")
                label = self._plain("".join(link.itertext()))
                self.into.links.append((address, None if title is None else self._plain(title), label))

    @staticmethod
    def _plain(text: str) -> str:
        return _ESCAPED.sub(lambda match: chr(int(match.group(1))), text)


class _CollectTree(Treeprocessor):
    """Before escapes are undone, which makes plain text of what is not to be read for Markdown."""

    def __init__(self, md: markdown.Markdown, into: Rendered) -> None:
        super().__init__(md)
        self.into = into

    def run(self, root: Element) -> None:
        self.into.tree = deepcopy(root)


class _CollectExtension(Extension):
    def __init__(self, into: Rendered) -> None:
        super().__init__()
        self.into = into

    def extendMarkdown(self, md: markdown.Markdown) -> None:
        md.treeprocessors.register(_Collect(md, self.into), "collect", -10)
        md.treeprocessors.register(_CollectTree(md, self.into), "collect-tree", 9)


class _Markers(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.numbers: list[int] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        if tag == "div" and values.get("class") == "calc-block":
            self.numbers.append(int(values["data-n"] or ""))


def render(text: str) -> Rendered:
    """A page → what Python-Markdown sees in it."""
    rendered = Rendered()
    bodies: list[str] = []

    def take(language: str, inputs: dict[str, str], options: Any, attrs: Any, md: Any) -> bool:
        return inputs == {"calc": "calc"}

    def put(source: str, language: str, css_class: str, options: Any, md: Any, **kwargs: Any) -> str:
        bodies.append(source)
        return f'<div class="calc-block" data-n="{len(bodies) - 1}"></div>'

    md = markdown.Markdown(
        extensions=[
            "tables",
            "admonition",
            "attr_list",
            "md_in_html",
            "def_list",
            "footnotes",
            "pymdownx.highlight",
            "pymdownx.superfences",
            "pymdownx.details",
            "pymdownx.tabbed",
            _CollectExtension(rendered),
        ],
        extension_configs={
            "pymdownx.superfences": {
                "custom_fences": [{"name": "yaml", "class": "calc", "validator": take, "format": put}]
            },
            "pymdownx.tabbed": {"alternate_style": True},
        },
    )
    rendered.html = md.convert(text)
    rendered.beside = [kept for kept in md.htmlStash.rawHtmlBlocks if isinstance(kept, str)]
    rendered.definitions = dict(md.references)
    markers = _Markers()
    markers.feed(rendered.html)
    markers.close()
    rendered.bodies = [bodies[number] for number in markers.numbers]
    return rendered
