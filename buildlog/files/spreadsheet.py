"""Tables as CSV. A cell that a spreadsheet would run as a formula is led by an apostrophe."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence


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
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r"):
        return "'" + value
    return value
