"""Tables as CSV. A cell that a spreadsheet would run as a formula is led by an apostrophe."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
# With a unit behind it, or none; what could call a function or a program has signs that no unit has.
_NEGATIVE = re.compile(r"-[0-9]+(?:\.[0-9]+)?(?:e[+-][0-9]+)?(?: [A-Za-zµ°Ω%²³·/]+)?")


def csv_text(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Header and rows as CSV with LF ends; None is an empty cell, yes and no stand for booleans."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([_cell(name) for name in header])
    writer.writerows([_cell(value) for value in row] for row in rows)
    return out.getvalue()


def _cell(value: object) -> object:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    # A negative number is no formula, and with an apostrophe it would be no number to whoever reads it.
    if isinstance(value, str) and value[:1] in _FORMULA and not _NEGATIVE.fullmatch(value):
        return "'" + value
    return value
