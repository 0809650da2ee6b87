"""Addresses of figures (`calc:page#block.case.quantity.key`) and the options in a link's title."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from fractions import Fraction

from buildlog.diagnostics import Refused, declare, did_you_mean
from buildlog.figures.numbers import Unreadable
from buildlog.figures.values import parse_value
from buildlog.files.page_names import without_ending

ADDRESS_UNREADABLE = declare(
    "address-unreadable",
    "the address cannot be read",
    why="What a figure rests on must be plain.",
    mend="Write calc:[page#]block[.case].quantity[.key], cite:source[.fact] or told:source.",
    example="[124.8 km/h](calc:shorter-final)",
)
OPTION_UNREADABLE = declare(
    "option-unreadable",
    "the title of a figure holds something that is not an option",
    why="An option that is not understood would be passed over and the figure judged by another rule.",
    mend="Options are “± 2 %”, “vs CASE” or “vs BLOCK.QUANTITY”, “against ADDRESS”, “in UNIT”, “for WHAT” "
    "and, for somebody's word, “of ADDRESS”, separated by “;”.",
    example='[125 km/h](calc:… "plus 2 %")',
)

SCHEMES = ("calc", "cite", "told")
CARS = "cars/"
"""What the name of a car's sheet begins with, where a block's id stands in others' addresses."""
PARTS = "parts/"
"""The same of a part's file."""
_NAME = re.compile(r"[A-Za-z0-9_\-]+")
# A key has what an author called a row, which Markdown lets stand in an address.
_KEY = re.compile(r"[\w\-−–+,%‰°/′″·×± \u00a0\u202f]+")
_OPTION_HELP = "write “± 2 %” or “± 0.5 km/h”, “vs CASE”, “in UNIT”, “for WHAT”, separated by “;”"
_LONGEST_PURPOSE = 120  # it is a line of the workshop sheet


@dataclass(frozen=True, kw_only=True)
class Address:
    """`scheme` is calc, cite or told. For calc, `block` and `rest` are the dotted parts after the page; the
    `block` of a car's sheet is “cars/” and its name, that of a part “parts/” and its name, and `at` names a
    row of the block's sweep, as in calc:block.quantity@3600rpm. For the others `block` is the id of an entry
    of sources.yml, and `rest` the name of a fact."""

    scheme: str
    text: str
    page: str | None
    block: str
    rest: tuple[str, ...] = ()
    at: str = ""


NO_NAME = "@"
"""What stands, with a number, for the name of a case that has none: a state of a car's sheet."""


def called(case: str) -> str:
    """A case as people call it, who have no name for one without."""
    return "" if case.startswith(NO_NAME) else case


def read_address(text: str) -> Address:
    """Read ``calc:[page#]block[.case].quantity[.key]``, ``cite:source[.fact]`` or ``told:source``."""
    scheme, colon, body = text.partition(":")
    if not colon or scheme not in SCHEMES:
        raise Refused("address", f"“{text}”", "calc:, cite: or told:", code=ADDRESS_UNREADABLE)
    if scheme != "calc":
        source, dot, fact = body.partition(".")
        if not _NAME.fullmatch(source) or (dot and not _NAME.fullmatch(fact)):
            raise Refused(
                "address",
                f"“{text}”",
                f"{scheme}: and the id of an entry of sources.yml, with .fact where it names one",
                help="ids are made of letters, digits, - and _",
                code=ADDRESS_UNREADABLE,
            )
        return Address(scheme=scheme, text=text, page=None, block=source, rest=(fact,) if dot else ())
    page, hash_mark, path = body.rpartition("#")
    path, at_mark, at = path.partition("@")
    parts = _parts(path)
    if (
        not _readable(parts)
        or (hash_mark and not page)
        or (at_mark and not _KEY.fullmatch(at.replace(".", "")))
    ):
        raise Refused(
            "address",
            f"“{text}”",
            "calc:[page#]block[.case].quantity[.key]",
            help="page is the path under content without .md; names are made of letters, digits, - and _, "
            "and blanks in them are written as hyphens",
            code=ADDRESS_UNREADABLE,
        )
    if len(parts) < 2:
        raise Refused(
            "address",
            f"“{text}”",
            "a block and a quantity, as in calc:block.quantity or calc:block.case.quantity.key",
            code=ADDRESS_UNREADABLE,
        )
    return Address(
        scheme=scheme,
        text=text,
        page=without_ending(page) if hash_mark else None,
        block=parts[0],
        rest=tuple(parts[1:]),
        at=at,
    )


def _parts(path: str) -> list[str]:
    return unicodedata.normalize("NFC", path).split(".")


def _readable(parts: list[str]) -> bool:
    """Whether the first part can be a block's, and the others names or keys."""
    return bool(_NAME.fullmatch(parts[0].removeprefix(CARS).removeprefix(PARTS))) and all(
        _KEY.fullmatch(part) for part in parts[1:]
    )


@dataclass(frozen=True, kw_only=True)
class Options:
    """What a link's title asks for: a tolerance (in `tolerance_unit`, "%" is of the stated figure), what to
    compare with (a case, or the address of another value), the unit of a label that carries none, what the
    figure is for (which puts it on the workshop sheet), the value that was found independently of it, and of
    somebody's word what it is about."""

    tolerance: Fraction | None = None
    tolerance_unit: str = ""
    versus: str = ""
    unit: str = ""
    purpose: str = ""
    against: str = ""
    about: str = ""
    about_versus: str = ""


def read_options(title: str) -> Options:
    """Read the options of a link's title; an empty title has none. Each option at most once."""
    options = Options()
    if not title.strip():
        return options
    seen: set[str] = set()
    for piece in title.split(";"):
        option = piece.strip()
        if not option:
            raise _unreadable(f"“{title}”", "an option before and after each “;”")
        name, options = _read_option(option, options)
        if name in seen:
            raise _unreadable(f"“{name}” twice in “{title}”", "each option once")
        seen.add(name)
    return options


def _read_option(option: str, options: Options) -> tuple[str, Options]:
    """The name of one option, and the options with it."""
    if option.startswith(("±", "+-")):
        amount, unit = _read_tolerance(option)
        return "tolerance", replace(options, tolerance=amount, tolerance_unit=unit)
    word = option.split(None, 1)[0]
    rest = option[len(word) :].strip()
    if word == "vs" and rest:
        read_other(rest)
        return word, replace(options, versus=rest)
    if word == "against" and rest:
        return word, replace(options, against=_calc(rest).text)
    if word == "of" and rest:
        address, _, other = rest.partition(" vs ")
        if other:
            read_other(other.strip())
        return word, replace(options, about=_calc(address.strip()).text, about_versus=other.strip())
    if word == "in" and rest:
        return word, replace(options, unit=rest)
    if word == "for" and rest and len(rest) <= _LONGEST_PURPOSE:
        return word, replace(options, purpose=rest)
    hint = did_you_mean(word, ("vs", "in", "for", "against", "of", "±"))
    raise _unreadable(f"“{option}”", "an option buildlog knows", hint)


def _calc(text: str) -> Address:
    """The calc: address of an option."""
    try:
        return read_address(text if text.startswith("calc:") else f"calc:{text}")
    except Refused as error:
        help = "write calc:block.quantity, or to compare with a case “vs CASE”"
        raise _unreadable(f"“{text}”", "the address of a value", help) from error


def read_other(text: str) -> Address | None:
    """The address behind “vs”, relative to the figure's page: a block or a part alone, a block and a case, or
    a value. None for a single name, which may be that of a case. Raises `Refused`."""
    page, hash_mark, path = text.removeprefix("calc:").rpartition("#")
    parts = _parts(path)
    if not _readable(parts) or (hash_mark and not page):
        raise _unreadable(
            f"“vs {text}”", "a case, or an address without calc:", "write “vs CASE” or “vs BLOCK.QUANTITY”"
        )
    if len(parts) == 1 and not hash_mark and not parts[0].startswith(PARTS):
        return None
    return Address(
        scheme="calc",
        text=text,
        page=page.removesuffix(".md") if hash_mark else None,
        block=parts[0],
        rest=tuple(parts[1:]),
    )


def addressed(options: Options) -> list[Address]:
    """The addresses that a title's options name, relative to the figure's page."""
    addresses = [read_address(text) for text in (options.against, options.about) if text]
    for versus in filter(None, (options.versus, options.about_versus)):
        # A single name is a case, or else a block of the page.
        addresses.append(read_other(versus) or Address(scheme="calc", text=versus, page=None, block=versus))
    return addresses


def _read_tolerance(option: str) -> tuple[Fraction, str]:
    """The amount behind “±”, and its unit as it is spelt."""
    text = option.removeprefix("±").removeprefix("+-").strip()
    try:
        written = parse_value(text)
    except Unreadable as error:
        raise _unreadable(f"“{option}”", error.expected, error.help) from error
    if written.number.value < 0 or written.uncertainty is not None:
        raise _unreadable(f"“{option}”", "a tolerance of 0 or more")
    return written.number.value, written.unit


def _unreadable(found: str, expected: str, help: str = "") -> Refused:
    return Refused("title", found, expected, help=help or _OPTION_HELP, code=OPTION_UNREADABLE)
