"""The template engine, and HTML in pieces: text between the links whose addresses the site decides."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from html.parser import HTMLParser
from importlib import resources
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from buildlog.render.words_in_units import in_both_systems

# C0 and C1 controls but tab and line feed: no page holds them, and Python-Markdown gives two of them
# a meaning of its own, so that one in an author's YAML could stand for other parts of the page.
_CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f]")
_TOKEN = re.compile("\x02link:([0-9]+)\x03")
BRACKETS = (" (", ")")
"""Round a value in the other system of units, where no script has chosen one."""
_UNSEARCHED = re.compile(r"\s*<(?:section|div)\b[^<>]*\sdata-search-exclude\b")
# What is left out of it, cut away before the rest is parsed: most of a card is its charts and its working.
_CUT = re.compile(
    r"<svg\b[^<]*(?:<(?!/?svg\b)[^<]*)*</svg>"
    r"|<details\b[^<>]*\sdata-search-exclude\b[^<>]*>[^<]*(?:<(?!/?details\b)[^<]*)*</details>"
)
_ID = re.compile(r'\sid="([^"]*)"')


@dataclass(frozen=True, kw_only=True)
class LinkPiece:
    """A link to an anchor: of another page (its path under content, without ``.md``) or of this one (None).

    `label` marks the link that is a figure's own, whose text a page may have set with emphasis. `other`
    is the text in the other system of units, "" where there is none. `file` is a path under content that the
    link leads to instead of a page.
    """

    page: str | None
    anchor: str
    text: str
    attributes: Mapping[str, str] = field(default_factory=dict)
    label: bool = False
    other: str = ""
    file: str = ""

    def html(self, href: str) -> str:
        """The link as HTML, everything escaped."""
        pairs = {"href": href, **self.attributes}
        written = "".join(f' {name}="{html.escape(str(clean(value)))}"' for name, value in pairs.items())
        text = html.escape(str(clean(self.text)), quote=False)
        if self.other:
            first, second = (f'<span class="buildlog-bracket">{bracket}</span>' for bracket in BRACKETS)
            other = html.escape(str(clean(self.other)), quote=False)
            text = (
                f'<span class="buildlog-own">{text}</span>'
                f'<span class="buildlog-other">{first}{other}{second}</span>'
            )
        return f"<a{written}>{text}</a>"


@dataclass(frozen=True)
class Rendered:
    """HTML in pieces; `href` of `html` writes the address of a link. A part that was rendered before, and put
    in, stays a piece of its own, with what is known of it."""

    parts: tuple[str | LinkPiece | Rendered, ...]

    def html(self, href: Callable[[LinkPiece], str]) -> str:
        """The whole as one string."""
        return "".join(piece if isinstance(piece, str) else piece.html(href(piece)) for piece in self.pieces)

    @cached_property
    def pieces(self) -> tuple[str | LinkPiece, ...]:
        """The pieces, with those of parts that were put in."""
        pieces: list[str | LinkPiece] = []
        for part in self.parts:
            if isinstance(part, Rendered):
                pieces += part.pieces
            else:
                pieces.append(part)
        return tuple(pieces)

    @cached_property
    def after_label(self) -> tuple[tuple[str | LinkPiece, ...], Rendered] | None:
        """A figure's pieces up to the link that is its label, and the rest; None where there is none."""
        for number, piece in enumerate(self.pieces, start=1):
            if isinstance(piece, LinkPiece) and piece.label:
                return self.pieces[:number], Rendered(self.pieces[number:])
        return None

    @cached_property
    def searched(self) -> str:
        """What a search of the site finds in it: the text, with the elements that matter to a search. Where
        the first element is left out, all is."""
        first = next(iter(self.parts), "")
        if isinstance(first, str) and _UNSEARCHED.match(first):
            return ""
        # Of a part that stands in many pages the words are found once; here a token holds its place.
        known: list[str] = []
        texts: list[str] = []
        for part in self.parts:
            if isinstance(part, Rendered):
                texts.append(f"\x02link:{len(known)}\x03")
                known.append(part.searched)
            elif isinstance(part, LinkPiece):
                texts.append(part.html(""))
            else:
                texts.append(part)
        searched = _Searched()
        searched.feed(_CUT.sub("", "".join(texts)))
        searched.close()
        return _TOKEN.sub(lambda token: known[int(token[1])], "".join(searched.kept))

    @cached_property
    def ids(self) -> tuple[str, ...]:
        """The ids in it, in order."""
        return tuple(
            html.unescape(name)
            for piece in self.pieces
            if isinstance(piece, str)
            for name in _ID.findall(piece)
        )


class _Searched(HTMLParser):
    """Keeps text and the few elements that show in what a search finds; leaves out what is marked so."""

    _KEPT = frozenset(("p", "code", "pre", "li", "ol", "ul", "sub", "sup"))
    _LEFT_OUT = frozenset(("style", "script", "object", "svg"))
    _VOID = frozenset(("br", "col", "hr", "img", "input", "link", "meta", "source", "track", "wbr"))

    def __init__(self) -> None:
        super().__init__()
        self.kept: list[str] = []
        self.open: list[tuple[str, bool]] = []  # with whether it, or one around it, is left out

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in self._VOID:
            return
        out = self._out or tag in self._LEFT_OUT or any(name == "data-search-exclude" for name, _ in attrs)
        self.open.append((tag, out))
        if tag in self._KEPT and not out:
            self.kept.append(f"<{tag}>")

    def handle_endtag(self, tag: str) -> None:
        if not self.open:  # it ends what began before these pieces
            self.kept.append(f"</{tag}>")
        elif self.open[-1][0] == tag:
            _, out = self.open.pop()
            if tag in self._KEPT and not out:
                self.kept.append(f"</{tag}>")

    def handle_data(self, data: str) -> None:
        if not self._out:
            self.kept.append(html.escape(data, quote=False))

    @property
    def _out(self) -> bool:
        return bool(self.open) and self.open[-1][1]


def clean(value: object) -> object:
    """A value as templates may show it: HTML of ours as it is, anything else as text without controls."""
    if isinstance(value, Markup):
        return value
    return _CONTROLS.sub("", str(value))


def ready(markup: str) -> Markup:
    """HTML that our own code made (a chart, a formula), for a template to insert as it is."""
    return Markup(_CONTROLS.sub("", markup))


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("buildlog.render"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=clean,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["in_both_systems"] = in_both_systems
    return environment


def render(template: str, **values: Any) -> Rendered:
    """Fill a template; `link(...)` in it makes a `LinkPiece`, `put(...)` puts in what is already rendered."""
    # The template gets a token for each, which no text can contain: controls are cleaned out of all of it.
    put_in: list[LinkPiece | Rendered] = []

    def put(part: LinkPiece | Rendered) -> Markup:
        put_in.append(part)
        return Markup(f"\x02link:{len(put_in) - 1}\x03")

    def link(to: LinkPiece) -> Markup:
        return put(replace(to, text=str(clean(to.text)), other=str(clean(to.other))))

    text = _environment().get_template(template).render(**values, link=link, put=put)
    parts: list[str | LinkPiece | Rendered] = []
    for place, part in enumerate(_TOKEN.split(text)):
        if place % 2:
            parts.append(put_in[int(part)])
        elif part:
            parts.append(part)
    return Rendered(tuple(parts))


_STYLES = (
    "colours.css",
    "card.css",
    "working.css",
    "table.css",
    "decision.css",
    "figure.css",
    "units.css",
    "yours.css",
    "page.css",
    "picture.css",
    "print.css",
)


def stylesheet() -> str:
    """The style sheet that every page with cards or figures wants."""
    return _assets(_STYLES)


def script() -> str:
    """The script that lets a reader choose the units and enlarge pictures. A page is complete without it."""
    return _assets(["buildlog.js", "pictures.js"])


def ledger_script() -> str:
    """The script that sorts long tables and looks for words in them; for pages that have any."""
    return _assets(["ledger.js"])


def own_numbers_script() -> str:
    """The script that takes a reader's own numbers into cards; for pages whose cards take them."""
    return _assets(["yours.js"])


def _assets(names: Iterable[str]) -> str:
    folder = resources.files("buildlog.render") / "assets"
    return "\n".join((folder / name).read_text(encoding="utf-8") for name in names)
