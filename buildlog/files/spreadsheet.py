"""Tables as CSV, by RFC 4180 but for LF ends; a text that a spreadsheet would run as a formula is led by an
apostrophe.

Which texts those are follows the OWASP page on CSV injection: what begins with ``=``, ``+``, ``-`` or ``@``,
their full-width forms, a tab or a line end, or has one of these where a program with another separator begins
a cell of its own. A number is none, with its unit or without: with an apostrophe it would be no number to
whoever reads it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence

_STARTERS = frozenset("=+-@")
_FIRST = frozenset("\t\n\r\0")
# Where German spreadsheets, and readers that know no quotes, begin a cell or a record.
_CELL_WITHIN = re.compile(r"([;\t\n\r]+)")
# With a unit behind it, or none. What could call a function or a program has signs that no unit has: a name
# before a bracket, a comparison, a mark of another sheet.
_NUMBER = re.compile(
    r"[+-][0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?"
    r"(?: (?:[A-Za-z0-9µ°Ω%‰²³⁴·/ ]|/\([A-Za-z0-9µ°Ω²³⁴·/ ]+\))+)?"
)
_LINE_ENDS = "\n\r\v\f\x1c\x1d\x1e\x85\u2028\u2029"
_TO_BE_QUOTED = re.compile(f'[",{_LINE_ENDS}]')
_UNSEEN = frozenset(("Cc", "Cf", "Zl", "Zp", "Zs"))


def csv_text(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Header and rows as CSV with LF ends; None is an empty cell, yes and no stand for booleans."""
    return "".join(f"{_record(row)}\n" for row in (header, *rows))


def _record(row: Sequence[object]) -> str:
    # A lone empty cell would be an empty line, which readers pass over.
    return ",".join(map(_cell, row)) or ('""' if row else "")


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = _guarded(value) if isinstance(value, str) else str(value)
    if _TO_BE_QUOTED.search(text):
        return '"' + text.replace('"', '""') + '"'
    return text


def _guarded(text: str) -> str:
    """A text of which no spreadsheet makes a formula."""
    if _NUMBER.fullmatch(text):
        return text
    parts = _CELL_WITHIN.split(text)
    guarded = "".join(f"'{part}" if _begins_formula(part) else part for part in parts)
    if text[:1] in _FIRST and not guarded.startswith("'"):
        return f"'{guarded}"
    return guarded


def _begins_formula(part: str) -> bool:
    """Whether a text begins, behind whatever is not seen, as a formula does, in whichever width. A quote is
    not seen either: doubled here, behind another separator it is a cell's opening and closing one."""
    seen = next((sign for sign in part if sign != '"' and unicodedata.category(sign) not in _UNSEEN), "")
    return unicodedata.normalize("NFKC", seen) in _STARTERS and not _NUMBER.fullmatch(part.strip())
