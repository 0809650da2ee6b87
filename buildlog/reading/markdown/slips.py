"""Addresses of figures that ended up in no link: slips of Markdown that a page would publish as they are.

A figure is proofed because it is a link that the scanner found. So every ``calc:``, ``cite:`` and ``told:``
of a page that stands in no such link, and in no code and no comment, was proofed by nobody. The page's text
itself is searched for them, not what the scanner made of it: what it passed over is found all the same.
"""

from __future__ import annotations

import difflib
import html
import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from urllib.parse import unquote

from buildlog.diagnostics import Diagnostic, Position, declare, did_you_mean, shorten
from buildlog.figures.numbers import Unreadable
from buildlog.figures.stated import parse
from buildlog.reading.markdown.page import (
    CAUTION,
    LINE_TOO_LONG,
    SCHEMES,
    Definition,
    ScannedPage,
    UndefinedReference,
)

ADDRESS_OUTSIDE_LINK = declare(
    "address-outside-link",
    "the address of a figure stands outside a link",
    why="It would be published as text, and the figure that it belongs to is compared with nothing.",
    mend="Write the figure and its address as one link; where it is to be shown as it is, write it as code.",
    example="It does [125 km/h] (calc:shorter-final.speed_at_limit.3) now.",
)
NEARLY_A_FIGURE = declare(
    "nearly-a-figure",
    "a link's address is nearly that of a figure",
    why="As it stands it leads nowhere, and what it says is compared with nothing. Another program's scheme "
    "is not told: one that the site uses in a link whose label has no number and whose address names no "
    "block, source or caution, as “call us” with call:workshop.",
    mend="Write calc:, cite: or told:, in small letters and without escapes.",
    example="[125 km/h](clac:shorter-final.speed_at_limit.3)",
)
REFERENCE_UNDEFINED = declare(
    "reference-undefined",
    "a figure's reference is defined nowhere on the page",
    why="It would be published with its brackets, and the figure is compared with nothing.",
    mend="Define the name on a line of its own, or write the address in round brackets in its place.",
    example="It does [125 km/h][third] now.        # and no line [third]: calc:…",
)
DEFINITION_UNUSED = declare(
    "definition-unused",
    "an address of a figure is defined that no link of the page uses",
    why="The figure that it was written for has another name by now, or none, and is compared with nothing.",
    mend="Give the link that was meant this name in its second brackets, or take the definition out.",
    example="[third]: calc:shorter-final.speed_at_limit.3        # and [125 km/h][fourth] in the text",
)
FIGURE_IN_HTML = declare(
    "figure-in-html",
    "the address of a figure stands in raw HTML",
    why="Markdown does not look into raw HTML: the page would show the address or lead to it, unproofed.",
    mend="Write the figure as a link of Markdown; an element takes them with the attribute markdown.",
    example="<figcaption>[125 km/h](calc:shorter-final.speed_at_limit.3)</figcaption>",
)
FIGURE_IN_IMAGE = declare(
    "figure-in-image",
    "the address of a figure stands in an image",
    why="An image's text, title and address take no figures: they would be published unproofed.",
    mend="Write the figure in the text around the image.",
    example="![the pair, [41:9](calc:shorter-final.new.final_drive)](pair.jpg)",
)

_NAMES = tuple(scheme.removesuffix(":") for scheme in (*SCHEMES, CAUTION))
_NEAR = 0.6  # of difflib's ratio, as where buildlog asks “did you mean”: "clac" and "calculate" are near
_LONG_FORMS = {"calc": "calculat", "cite": "citat", "told": "told", "caution": "caution"}
# Schemes that people do use. An address with one of them leads somewhere, whatever it is like.
_KNOWN = frozenset(
    "about blob callto cid data doi facetime facetime-audio feed file ftp ftps geo git gopher http https im "
    "irc ircs javascript jabber ldap magnet mailto maps market matrix message mid mms news nntp obsidian "
    "rtsp rsync sftp sip sips skype slack sms smsto spotify ssh steam svn tel telnet tg urn view-source "
    "vscode web webcal whatsapp ws wss xmpp zotero".split()
)
_SCHEME = re.compile(r"([A-Za-z][A-Za-z0-9+-]{2,15}):(?!//)")
_LIKE_AN_ADDRESS = re.compile(r"(?:[\w/.-]+#)?[\w-]+(?:\.[\w-]+){1,3}")
_NOT_LETTERS = re.compile("[\\s\\\\\u00ad\u200b-\u200f\u2060\ufeff]+")


def _encoded(letter: str) -> str:
    """A pattern of a sign, and of all that a browser or Python-Markdown reads as it."""
    codes = {ord(letter), ord(letter.upper())}
    decimal = "|".join(str(code) for code in codes)
    hexadecimal = "|".join(f"{code:x}" for code in codes)
    return rf"(?:{letter}|&\#0*(?:{decimal});?|&\#x0*(?:{hexadecimal});?|%(?:{hexadecimal}))"


_COLON = rf"(?:{_encoded(':')}|&colon;|\uff1a)"
_WORDS = "|".join("".join(map(_encoded, name.removesuffix(":"))) for name in SCHEMES)
# A name has to follow, since "as I was told: yes" is a sentence.
_ADDRESS = re.compile(rf"(?<![\w./@$:-])(?:{_WORDS}){_COLON}(?=\\?[\w-])", re.IGNORECASE)
# Behind brackets it can be meant for nothing else, even with a blank before its name.
_BRACKETED = re.compile(
    rf"(?:(?<=\])[ ]*\([ ]*|(?<=\))[ ]*\[[ ]*)(?P<address>(?:{_WORDS}){_COLON}[ ]+)(?=[\w-])", re.IGNORECASE
)
# An address and what stands before and behind it are looked at so far, or time would grow with their square.
_BEFORE = 300
_REST = re.compile(r"[^\s()\[\]<>\"'|`]{0,300}(?P<title>[ ]{1,9}\"[^\"\n]{0,300}\")?")
_ENDS_A_WORD = re.compile(r"[\s\"'<>()\[\]{}|]")
_MOST_NAMES = 30  # of definitions that a reference may be nearly; each pair of names is compared
_OF_AN_URL = re.compile(r"://|[?/]|.#|\A#\Z")
_BLANK_AFTER_COLON = re.compile(r":\s+")
# What may stand before an address: the shape, how it is shown, and what to do about it.
_SHAPES = (
    (
        re.compile(r"\[([^\[\]\n]+)\]\s+\(<?\s*\Z"),
        "[{}] ({})",
        "take out what stands between the two brackets",
    ),
    (
        re.compile(r"\[([^\[\]\n]+)\]\s?\[\s*\Z"),
        "[{}][{}]",
        "an address stands in round brackets, a name in square ones",
    ),
    (
        re.compile(r"\(([^()\n]+)\)\s*\[\s*\Z"),
        "({})[{}]",
        "the figure stands in square brackets, its address in round ones",
    ),
)
_CLOSED = re.compile(r"""\s*(?:"[^"\n]*"|'[^'\n]*')?\s*>?\)""")
_NOT_READ = (
    "as it stands it is dropped or taken for text: look before it for a bracket, quote or tag that is not "
    "closed, a note or a name that is defined twice, a cell too many"
)
_LINK_BEGUN = re.compile(r"(\\?)\[([^\[\]]+)\]\(<?\s*\Z")
_SHOWN_AS_WRITTEN = re.compile(r"<!--|<(script|style|pre|code|kbd|samp|textarea)\b[^<>]*>", re.IGNORECASE)
_NOT_SHOWN = ("script", "style")
_TAG = re.compile(r"<[A-Za-z][^<>]*>")
_LINK_IN_HTML = re.compile(
    r"\[(?P<label>[^\[\]\n]*)\]\(\s*(?P<address>[^\s()<>\"']+)|\bhref\s*=\s*[\"']?(?P<href>[^\s\"'<>]+)",
    re.IGNORECASE,
)

_Span = tuple[int, int]


def find_slip(address: str, label: str, position: Position) -> Diagnostic | None:
    """The finding on an ordinary link whose address was meant for a figure's or a caution's.

    Its scheme is near one of ours, or ours in another spelling; or nobody's, where the rest is like an
    address of ours and the label is a figure.
    """
    meant = _meant_scheme(address, label)
    if meant is None:
        return None
    written = address[: address.find(":") + 1] or address
    return NEARLY_A_FIGURE.at(
        position,
        found=f"“{shorten(written)}”",
        expected=f"“{meant}:”" if meant else "“calc:”, “cite:” or “told:”",
        help=f"did you mean “{meant}:”?" if meant else "",
        length=len(written),
    )


def scheme_and_rest(address: str) -> tuple[str, str]:
    """An address at its colon, without escapes, the scheme in small letters; ("", "") where there is none."""
    plain = _NOT_LETTERS.sub("", unquote(html.unescape(address))).replace("\uff1a", ":")
    scheme, colon, rest = plain.partition(":")
    return (scheme.lower(), rest) if colon else ("", "")


def unknown_scheme(address: str) -> tuple[str, str] | None:
    """The scheme and the rest of an address whose scheme is neither ours nor well known, or None."""
    if ":" not in address or address.startswith((*SCHEMES, CAUTION)):
        return None
    scheme, rest = scheme_and_rest(address)
    is_one = _SCHEME.match(f"{scheme}:{rest}") is not None
    return (scheme, rest) if is_one and scheme not in _KNOWN and scheme not in _NAMES else None


def _meant_scheme(address: str, label: str) -> str | None:
    """The scheme that an address was meant to have: "" where it may be any of them, None where none."""
    if address.startswith((*SCHEMES, CAUTION)):
        return None
    plain = _NOT_LETTERS.sub("", unquote(html.unescape(address))).replace("\uff1a", ":")
    match = _SCHEME.match(plain)
    if match is None:
        return None
    scheme = match[1].lower()
    if scheme in _KNOWN:
        return None
    if scheme in _NAMES:
        return scheme
    near = difflib.get_close_matches(scheme, _NAMES, n=1, cutoff=_NEAR)
    begun = [name for name in _NAMES if scheme.startswith((name, _LONG_FORMS[name]))]
    if near or begun:
        return (begun or near)[0]
    if _LIKE_AN_ADDRESS.fullmatch(plain, match.end()) and is_figure(label):
        return ""
    return None


def is_figure(label: str) -> bool:
    """Whether a label states a figure."""
    try:
        parse(label)
    except Unreadable:
        return False
    return True


def addresses_in(text: str) -> Iterator[_Span]:
    """Where in a text an address of a figure stands, whatever letters it is written with."""
    begun = [match.span() for match in _ADDRESS.finditer(text)]
    begun += [match.span("address") for match in _BRACKETED.finditer(text)]
    done = 0
    for start, name in sorted(begun):
        if start < done or _OF_AN_URL.search(_word_before(text, start)):
            continue
        rest = _REST.match(text, name)
        assert rest is not None
        if rest["title"]:
            done = rest.end()  # an address in the title of a slip is no slip of its own
        end = rest.start("title") if rest["title"] else rest.end()
        yield start, start + len(text[start:end].rstrip("*_~}.,;:!?…"))


def _word_before(text: str, start: int) -> str:
    """What stands right before an address; nothing where it is the mark of a heading."""
    word = _ENDS_A_WORD.split(text[max(0, start - _BEFORE) : start])[-1]
    sign = text[max(0, start - len(word) - 1) : start - len(word)]
    begins_line = not sign or sign.isspace()
    return "" if begins_line and not word.strip("#") else word


def slips_of(page: ScannedPage, links: Sequence[_Span] = ()) -> list[Diagnostic]:
    """All findings on addresses that ended up in no link. `links` are spans of more links than the page's."""
    return _Slips(page, links).find()


class _Spans:
    """Stretches of a page, to be asked whether one of them holds an offset."""

    def __init__(self, spans: Iterable[_Span]) -> None:
        self.starts: list[int] = []
        self.reach: list[int] = []
        for start, end in sorted(spans):
            self.starts.append(start)
            self.reach.append(max(end, self.reach[-1] if self.reach else 0))

    def holds(self, offset: int) -> bool:
        at = bisect_right(self.starts, offset) - 1
        return at >= 0 and offset < self.reach[at]


class _Slips:
    def __init__(self, page: ScannedPage, links: Sequence[_Span]) -> None:
        self.page = page
        around = page.surroundings
        self.used = {link.definition_start for link in page.links}
        of_definitions = [(each.start, each.end) for each in around.definitions if _is_ours(each)]
        of_links = [(link.start, link.end) for link in page.links]
        self.links = _Spans([*links, *of_links, *of_definitions])
        self.code = _Spans(around.code)
        self.images = _Spans(around.images)
        self.html = _Spans(around.html)
        self.shown = _Spans(_shown_as_written(page.text, around.html))
        self.first = page.front_matter.end_line if page.front_matter else 0
        # What is a finding already is not told a second time.
        self.told = {(finding.position.line, finding.position.column) for finding in page.diagnostics}
        self.unread_lines = {
            finding.position.line for finding in page.diagnostics if finding.code == LINE_TOO_LONG
        }

    def find(self) -> list[Diagnostic]:
        unused = list(self._unused_definitions())
        findings = [*self._references(unused), *self._in_html()]
        findings += [slip for definition in unused if (slip := self._unused(definition)) is not None]
        self.told |= {(finding.position.line, finding.position.column) for finding in findings}
        return [*findings, *self._addresses()]

    def _place(self, offset: int) -> Position:
        return self.page.offset_to_position(offset)

    def _is_news(self, offset: int) -> bool:
        place = self._place(offset)
        is_told = (place.line, place.column) in self.told
        return place.line > self.first and place.line not in self.unread_lines and not is_told

    def _addresses(self) -> Iterator[Diagnostic]:
        """Every address that no link, no code and no other finding holds."""
        text = self.page.text
        for start, end in sorted(set(addresses_in(text))):
            if self.links.holds(start) or self.code.holds(start) or self.shown.holds(start):
                continue
            if not self._is_news(start):
                continue
            place = self._place(start)
            shown = shorten(text[start:end])
            if self.images.holds(start):
                yield FIGURE_IN_IMAGE.at(place, found=shown, expected="words", length=end - start)
            elif self.html.holds(start):
                yield FIGURE_IN_HTML.at(place, found=shown, expected="a link of Markdown", length=end - start)
            else:
                found, expected, help = _explain(text, start, end)
                yield ADDRESS_OUTSIDE_LINK.at(
                    place, found=found, expected=expected, help=help, length=end - start
                )

    def _unused_definitions(self) -> Iterator[Definition]:
        """Definitions that no link of ours uses, where their address is ours or nearly so."""
        for definition in self.page.surroundings.definitions:
            place = self._place(definition.address_start)
            is_meant = _is_ours(definition) or find_slip(definition.address, "", place) is not None
            if is_meant and definition.start not in self.used and self._is_news(definition.address_start):
                yield definition

    def _unused(self, definition: Definition) -> Diagnostic | None:
        if not _is_ours(definition):
            return find_slip(definition.address, "", self._place(definition.address_start))
        return DEFINITION_UNUSED.at(
            self._place(definition.start),
            found=f"[{shorten(definition.name)}]: {shorten(definition.address)}",
            expected=f"a link with the name, [125 km/h][{shorten(definition.name)}]",
            length=definition.end - definition.start,
        )

    def _references(self, unused: list[Definition]) -> Iterator[Diagnostic]:
        """References without a definition that were meant for figures.

        An unused definition is told with the reference that was perhaps meant for it, and taken off the list.
        """
        names = [each.name for each in self.page.surroundings.definitions if _is_ours(each)][:_MOST_NAMES]
        for reference in self.page.surroundings.undefined:
            if any(True for _ in addresses_in(reference.name)):
                continue  # [3 m][calc:a.b]: told with the address
            hint = did_you_mean(_folded(reference.name), names)
            if not (hint or _means_a_figure(self.page.text, reference)):
                continue
            near = next((each for each in unused if f"“{each.name}”" in hint), unused[0] if unused else None)
            if near is not None:
                unused.remove(near)
            name = shorten(reference.name or reference.label)
            yield REFERENCE_UNDEFINED.at(
                self._place(reference.start),
                found=shorten(self.page.text[reference.start : reference.end]),
                expected=f"a line [{name}]: with its address",
                help=hint,
                second=self._place(near.start) if near is not None else None,
                second_label="this definition is used by no link" if near is not None else "",
                length=reference.end - reference.start,
            )

    def _in_html(self) -> Iterator[Diagnostic]:
        """Misspelt addresses in raw HTML, where the scanner sees no links."""
        for low, high in self.page.surroundings.html:
            for match in _LINK_IN_HTML.finditer(self.page.text, low, high):
                group = "address" if match["address"] else "href"
                at = match.start(group)
                if self.shown.holds(at) or self.code.holds(at) or _ADDRESS.match(self.page.text, at):
                    continue
                slip = find_slip(match[group], match["label"] or "", self._place(at))
                if slip is not None:
                    yield slip


def _is_ours(definition: Definition) -> bool:
    return definition.address.startswith(SCHEMES)


def _folded(name: str) -> str:
    return " ".join(name.lower().split())


def _means_a_figure(text: str, reference: UndefinedReference) -> bool:
    """Whether a reference is one to a figure, and not an index, ``a[1][b]``, or two remarks side by side."""
    before = text[max(0, reference.start - 1) : reference.start]
    if before.isalnum() or reference.name.startswith("^") or not is_figure(reference.label):
        return False
    if not any(sign.isdigit() for sign in reference.label):
        return False  # figures in words are words first: told only where the name is nearly a defined one
    has_unit = any(sign.isalpha() or sign in "%°€$£" for sign in reference.label)
    return has_unit or reference.name[:1].isalpha()


def _shown_as_written(text: str, stretches: Iterable[_Span]) -> Iterator[_Span]:
    """Of raw HTML, comments and the text of code elements. A tag among that text still is a tag."""
    for low, high in stretches:
        at = low
        while match := _SHOWN_AS_WRITTEN.search(text, at, high):
            name, at = match[1], match.end()
            if name is None:
                end = text.find("-->", at, high)
                if end >= 0:
                    yield match.start(), end
                    at = end
                continue
            closing = re.compile(rf"</{name}\s*>", re.IGNORECASE).search(text, at, high)
            end = closing.start() if closing else high
            yield from _between_tags(text, at, end) if name.lower() not in _NOT_SHOWN else [(at, end)]
            at = end


def _between_tags(text: str, low: int, high: int) -> Iterator[_Span]:
    for tag in _TAG.finditer(text, low, high):
        yield low, tag.start()
        low = tag.end()
    yield low, high


def _explain(text: str, start: int, end: int) -> tuple[str, str, str]:
    """What was found, what was expected and what to do about an address in running text."""
    before = text[max(0, start - _BEFORE) : start]
    address = shorten(text[start:end], 120)
    corrected = _BLANK_AFTER_COLON.sub(":", address)
    for shape, written, help in _SHAPES:
        match = shape.search(before)
        if match is not None:
            label = shorten(match[1])
            return written.format(label, address), f"[{label}]({corrected})", help
    match = _LINK_BEGUN.search(before)
    if match is None:
        return address, f"a link, [125 km/h]({corrected})", ""
    label = shorten(match[2])
    expected = f"[{label}]({corrected})"
    if match[1]:
        return f"\\{expected}", expected, "take the backslash out"
    if _CLOSED.match(text, end):
        return expected, "a link that is read as one", _NOT_READ
    return f"[{label}]({address}", expected, "close the bracket after the address"
