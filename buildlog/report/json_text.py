"""JSON as it may be printed into a log or a page: the same values, and no character that steers either."""

from __future__ import annotations

import json
import re

from buildlog.report.printable import sendable

_DOUBTFUL = re.compile(r"[^\n -~]")
_ORDER = re.compile(r"##(?=\w*\[)")


def json_text(document: object) -> str:
    """Indented JSON with a newline at its end.

    Characters that a terminal obeys, ``<`` (which could end a script) and ``##[`` (which a CI runner
    obeys) are written as JSON escapes, so that a reader of the JSON gets the author's text unchanged.
    """
    text = json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False)
    text = _DOUBTFUL.sub(lambda found: found[0] if sendable(found[0]) else _escaped(found[0]), text)
    return _ORDER.sub(r"#\\u0023", text.replace("<", "\\u003c")) + "\n"


def _escaped(char: str) -> str:
    units = char.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[at]:02x}{units[at + 1]:02x}" for at in range(0, len(units), 2))
