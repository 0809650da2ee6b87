"""The template engine, and HTML in pieces: text between the links whose addresses the site decides."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from importlib import resources
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from buildlog.reading.words import Words
from buildlog.render.searched import UNSEARCHED, find_text
from buildlog.render.words import english, foreign, say, say_count, units_in_words
from buildlog.render.words_in_units import in_both_systems
from buildlog.said import Said

# C0 and C1 controls but tab and line feed: no page holds them, and Python-Markdown gives two of them
# a meaning of its own, so that one in an author's YAML could stand for other parts of the page.
_CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f]")
_TOKEN = re.compile("\x02link:([0-9]+)\x03")
BRACKETS = (" (", ")")
"""Round a value in the other system of units, where no script has chosen one."""
NOWHERE = {"tabindex": "0"}
"""The attributes of a figure's label that leads nowhere."""
HEADING = Markup("\x05")
"""Stands for the level of a heading in `h3`, which is known where it is put in. No text can contain it."""
_ID = re.compile(r'\sid="([^"]*)"')


@dataclass(frozen=True, kw_only=True)
class LinkPiece:
    """A link to an anchor: of another page (its path under content, without ``.md``) or of this one (None).

    `label` marks the link that is a figure's own, whose text a page may have set with emphasis. `other`
    is the text in the other system of units, "" where there is none. `file` is a path under content that the
    link leads to instead of a page. A link may `only` lead: of that nothing is left where its page is not
    published.
    """

    page: str | None
    anchor: str
    text: str
    attributes: Mapping[str, str] = field(default_factory=dict)
    label: bool = False
    other: str = ""
    file: str = ""
    only: bool = False

    def html(self, href: str) -> str:
        """The link as HTML, everything escaped. Without an address, since its page is not published, the text
        alone; but a figure is still reached by the keyboard, since its note has more to say."""
        if not href and self.only:
            return ""
        pairs = {"href": href, **self.attributes}
        if not href:
            pairs = {**self.attributes, **(NOWHERE if self.label else {})}
        written = "".join(f' {name}="{html.escape(str(clean(value)))}"' for name, value in pairs.items())
        text = html.escape(str(clean(self.text)), quote=False)
        if self.other:
            first, second = (f"<span>{bracket}</span>" for bracket in BRACKETS)
            other = html.escape(str(clean(self.other)), quote=False)
            text = (
                f'<span class="buildlog-own">{text}</span>'
                f'<span class="buildlog-other">{first}{other}{second}</span>'
            )
        tag = "a" if href else "span"
        return f"<{tag}{written}>{text}</{tag}>"


@dataclass(frozen=True)
class Rendered:
    """HTML in pieces; `href` of `html` writes the address of a link. A part that was rendered before, and put
    in, stays a piece of its own, with what is known of it. `level` is that of its headings."""

    parts: tuple[str | LinkPiece | Rendered, ...]
    level: int = 3

    def at_level(self, level: int) -> Rendered:
        """The same with its headings on a level."""
        return self if level == self.level else replace(self, level=level)

    def html(self, href: Callable[[LinkPiece], str]) -> str:
        """The whole as one string."""
        return "".join(piece if isinstance(piece, str) else piece.html(href(piece)) for piece in self.pieces)

    @cached_property
    def pieces(self) -> tuple[str | LinkPiece, ...]:
        """The pieces, with those of parts that were put in."""
        pieces: list[str | LinkPiece] = []
        for part in self.parts:
            if isinstance(part, Rendered):
                pieces += part.at_level(self.level).pieces
            else:
                pieces.append(part.replace(HEADING, str(self.level)) if isinstance(part, str) else part)
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
        if isinstance(first, str) and UNSEARCHED.match(first):
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
        return _TOKEN.sub(lambda token: known[int(token[1])], find_text("".join(texts)))

    @cached_property
    def ids(self) -> tuple[str, ...]:
        """The ids in it, in order."""
        return tuple(
            html.unescape(name)
            for piece in self.pieces
            if isinstance(piece, str)
            for name in _ID.findall(piece)
        )


def clean(value: object) -> object:
    """A value as templates may show it: HTML of ours as it is, anything else as text without controls."""
    if isinstance(value, Said):
        value = say(value)
    if isinstance(value, Markup):
        return value
    return _CONTROLS.sub("", units_in_words(str(value)))


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
    environment.globals.update(_=say, _count=say_count, english=english, foreign=foreign)
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
    "lists.css",
    "parts.css",
    "picture.css",
    "reproduce.css",
    "print.css",
)


def stylesheet() -> str:
    """The style sheet that every page with cards or figures wants."""
    return _assets(_STYLES)


_SCRIPTS = {
    "buildlog.js": "units.js",
    "buildlog-copy.js": "copy.js",
    "buildlog-notes.js": "notes.js",
    "buildlog-tables.js": "tables.js",
    "buildlog-cards.js": "card.js",
    "buildlog-pictures.js": "pictures.js",
}


def page_scripts() -> dict[str, str]:
    """The scripts of every page that has anything of ours, by the name of their file, in order. The first,
    with the reader's units, has to run before the page is drawn. A page is complete without any."""
    return {name: _script(asset) for name, asset in _SCRIPTS.items()}


def ledger_script() -> str:
    """The script that sorts long tables and looks for words in them; for pages that have any."""
    return _script("ledger.js")


def own_numbers_script() -> str:
    """The script that takes a reader's own numbers into cards; for pages whose cards take them."""
    return _script("yours.js")


def _script(name: str) -> str:
    """A script without its lines of comment: those are for who changes it, and no reader has to load them."""
    return _COMMENT_LINES.sub("", _assets([name]))


_COMMENT_LINES = re.compile(r"^ *//.*\n", re.MULTILINE)
_SAYS = re.compile(r"\bsay\(((?:[^()]|\([^()]*\))*)\)")
_TEXT = re.compile(r'"((?:[^"\\]|\\.)*)"(?:\s*\+\s*"((?:[^"\\]|\\.)*)")?')


def script_texts() -> frozenset[str]:
    """The texts that scripts say."""
    found = (
        json.loads(f'"{first}{rest}"')
        for name in (*_SCRIPTS.values(), "yours.js")
        for said in _SAYS.findall(_assets([name]))
        for first, rest in _TEXT.findall(said)
    )
    return frozenset(filter(None, found))


def words_script(words: Words) -> str:
    """The script that gives the others their words in a language, for pages in it."""
    texts = {text: words.texts[text] for text in sorted(script_texts()) if text in words.texts}
    script = _assets(["words.js"])
    for name, value in (("LANGUAGE", words.language), ("TEXTS", texts)):
        script = script.replace(f" {name};", f" {json.dumps(value, ensure_ascii=False)};", 1)
    return script


def search_script() -> str:
    """The script that says where the site's search cannot run; for sites that have one."""
    return _script("search.js")


def _assets(names: Iterable[str]) -> str:
    folder = resources.files("buildlog.render") / "assets"
    return "\n".join((folder / name).read_text(encoding="utf-8") for name in names)
