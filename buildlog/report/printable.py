"""Author text made safe for a terminal or a log: no escapes, no bidirectional tricks, one line."""

from __future__ import annotations

import unicodedata

_NAMES = {"\t": "\\t", "\n": "\\n", "\r": "\\r"}


def printable(text: str) -> str:
    """Text with control, format and surrogate characters shown as escapes instead of being sent."""
    return "".join(
        char if unicodedata.category(char) not in ("Cc", "Cf", "Cs", "Zl", "Zp") else _escaped(char)
        for char in text
    )


def _escaped(char: str) -> str:
    return _NAMES.get(char) or f"\\u{ord(char):04x}"
