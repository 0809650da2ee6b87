"""HTML as a tree, strictly: a tag left open, closed twice or closed out of turn is an error.

An own reader on the standard library's tokenizer, so that nothing of the code under test is trusted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

_VOID = frozenset("area base br col embed hr img input link meta source track wbr".split())


@dataclass(eq=False)
class Tag:
    """An element: `children` are elements and texts in order."""

    name: str
    attributes: dict[str, str]
    parent: Tag | None = None
    children: list[Tag | str] = field(default_factory=list)

    def walk(self) -> Iterator[Tag]:
        for child in self.children:
            if isinstance(child, Tag):
                yield child
                yield from child.walk()

    def all(self, name: str = "", css: str = "") -> list[Tag]:
        """Elements below with this name and this class."""
        return [
            tag
            for tag in self.walk()
            if (not name or tag.name == name) and (not css or css in tag.attributes.get("class", "").split())
        ]

    def one(self, name: str = "", css: str = "") -> Tag:
        found = self.all(name, css)
        assert len(found) == 1, f"{len(found)} × {name}.{css}"
        return found[0]

    def by_id(self, name: str) -> Tag:
        found = [tag for tag in self.walk() if tag.attributes.get("id") == name]
        assert len(found) == 1, f"{len(found)} elements with the id {name!r}"
        return found[0]

    def without(self, css: str) -> Tag:
        """A copy without the elements of a class."""
        copy = Tag(self.name, self.attributes, self.parent)
        for child in self.children:
            if isinstance(child, str):
                copy.children.append(child)
            elif css not in child.attributes.get("class", "").split():
                copy.children.append(child.without(css))
        return copy

    @property
    def text(self) -> str:
        return "".join(child if isinstance(child, str) else child.text for child in self.children)

    @property
    def words(self) -> str:
        """The text with its white space drawn together."""
        return " ".join(self.text.split())

    @property
    def ids(self) -> list[str]:
        return [tag.attributes["id"] for tag in self.walk() if "id" in tag.attributes]

    @property
    def ancestors(self) -> list[str]:
        return [] if self.parent is None else [self.parent.name, *self.parent.ancestors]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Tag("", {})
        self.open = self.root

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"<{tag}> repeats an attribute: {names}"
        made = Tag(tag, {name: value or "" for name, value in attrs}, self.open)
        self.open.children.append(made)
        if tag not in _VOID:
            self.open = made

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in _VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.name == tag, f"</{tag}> closes <{self.open.name}>"
        assert self.open.parent is not None
        self.open = self.open.parent

    def handle_data(self, data: str) -> None:
        self.open.children.append(data)


def parse(html: str) -> Tag:
    """The tree of a piece of HTML. A paragraph that holds a block is an error too."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    assert reader.open is reader.root, f"<{reader.open.name}> is never closed"
    blocks = {"div", "section", "table", "details", "ul", "ol", "p", "figure", "blockquote"}
    for paragraph in reader.root.all("p"):
        inside = [tag.name for tag in paragraph.walk() if tag.name in blocks]
        assert not inside, f"a paragraph holds {inside}: {paragraph.words[:80]}"
    return reader.root


def shape(html: str) -> list[tuple[str, tuple[str, ...]]]:
    """Every element with the names of its attributes: what text alone must never change."""
    return [(tag.name, tuple(sorted(tag.attributes))) for tag in parse(html).walk()]
