"""Addresses of figures (`calc:page#block.case.quantity.key`) and the options in a link's title."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from buildlog.diagnostics import Refused, declare, did_you_mean
from buildlog.figures.numbers import Unreadable
from buildlog.figures.values import parse_value

ADDRESS_UNREADABLE = declare(
    "address-unreadable",
    "the address cannot be read",
    why="What a figure rests on must be plain.",
    mend="Write calc:[page#]block[.case].quantity[.key], cite:source or told:source.",
    example="[124.8 km/h](calc:shorter-final)",
)
OPTION_UNREADABLE = declare(
    "option-unreadable",
    "the title of a figure holds something that is not an option",
    why="An option that is not understood would be passed over and the figure judged by another rule.",
    mend="Options are “± 2 %”, “vs CASE”, “in UNIT” and “for WHAT”, separated by “;”.",
    example='[125 km/h](calc:… "plus 2 %")',
)

SCHEMES = ("calc", "cite", "told")
_NAME = re.compile(r"[A-Za-z0-9_\-]+")
_OPTION_HELP = "write “± 2 %” or “± 0.5 km/h”, “vs CASE”, “in UNIT”, “for WHAT”, separated by “;”"
_LONGEST_PURPOSE = 120


@dataclass(frozen=True, kw_only=True)
class Address:
    """`scheme` is calc, cite or told. For calc, `block` and `rest` are the dotted parts after the page;
    for the others `block` is the id of an entry of content/sources.yml."""

    scheme: str
    text: str
    page: str | None
    block: str
    rest: tuple[str, ...] = ()


def read_address(text: str) -> Address:
    """Read ``calc:[page#]block[.case].quantity[.key]``, ``cite:source`` or ``told:source``."""
    scheme, colon, body = text.partition(":")
    if not colon or scheme not in SCHEMES:
        raise Refused("address", f"“{text}”", "calc:, cite: or told:", code=ADDRESS_UNREADABLE)
    if scheme != "calc":
        if not _NAME.fullmatch(body):
            raise Refused(
                "address",
                f"“{text}”",
                f"{scheme}: and the id of an entry of sources.yml",
                help="ids are made of letters, digits, - and _",
                code=ADDRESS_UNREADABLE,
            )
        return Address(scheme=scheme, text=text, page=None, block=body)
    page, hash_mark, path = body.rpartition("#")
    parts = path.split(".")
    if not all(_NAME.fullmatch(part) for part in parts) or (hash_mark and not page):
        raise Refused(
            "address",
            f"“{text}”",
            "calc:[page#]block[.case].quantity[.key]",
            help="page is the path under content without .md; names are made of letters, digits, - and _",
            code=ADDRESS_UNREADABLE,
        )
    if not 2 <= len(parts) <= 4:
        raise Refused(
            "address",
            f"“{text}”",
            "a block and a quantity, as in calc:block.quantity or calc:block.case.quantity.key",
            code=ADDRESS_UNREADABLE,
        )
    return Address(
        scheme=scheme,
        text=text,
        page=page.removesuffix(".md") if hash_mark else None,
        block=parts[0],
        rest=tuple(parts[1:]),
    )


@dataclass(frozen=True, kw_only=True)
class Options:
    """What a link's title asks for: a tolerance (in `tolerance_unit`, "%" is of the stated figure),
    the case to compare with, the unit of a label that carries none, what the figure is for (which puts it on
    the workshop sheet)."""

    tolerance: Fraction | None = None
    tolerance_unit: str = ""
    versus: str = ""
    unit: str = ""
    purpose: str = ""


def read_options(title: str) -> Options:
    """Read the options of a link's title; an empty title has none. Each option at most once."""
    found: dict[str, object] = {}
    for piece in title.split(";"):
        option = piece.strip()
        if not option:
            if title.strip():
                raise Refused(
                    "title",
                    f"“{title}”",
                    "an option before and after each “;”",
                    help=_OPTION_HELP,
                    code=OPTION_UNREADABLE,
                )
            continue
        word = option.split(None, 1)[0]
        rest = option[len(word) :].strip()
        if option.startswith("±") or option.startswith("+-"):
            name = "tolerance"
            text = option.removeprefix("±").removeprefix("+-").strip()
            try:
                written = parse_value(text)
            except Unreadable as error:
                raise Refused(
                    "title",
                    f"“{option}”",
                    error.expected,
                    help=error.help or _OPTION_HELP,
                    code=OPTION_UNREADABLE,
                ) from error
            if written.number.value < 0 or written.uncertainty is not None:
                raise Refused(
                    "title",
                    f"“{option}”",
                    "a tolerance of 0 or more",
                    help=_OPTION_HELP,
                    code=OPTION_UNREADABLE,
                )
            values: dict[str, object] = {"tolerance": written.number.value, "tolerance_unit": written.unit}
        elif word == "vs" and _NAME.fullmatch(rest):
            name, values = "vs", {"versus": rest}
        elif word == "in" and rest:
            name, values = "in", {"unit": rest}
        elif word == "for" and rest and len(rest) <= _LONGEST_PURPOSE:
            name, values = "for", {"purpose": rest}
        else:
            hint = did_you_mean(word, ("vs", "in", "for", "±"))
            raise Refused(
                "title",
                f"“{option}”",
                "an option buildlog knows",
                help=hint or _OPTION_HELP,
                code=OPTION_UNREADABLE,
            )
        if any(key in found for key in values):
            raise Refused(
                "title",
                f"“{name}” twice in “{title}”",
                "each option once",
                help=_OPTION_HELP,
                code=OPTION_UNREADABLE,
            )
        found.update(values)
    return Options(**found)  # type: ignore[arg-type]
