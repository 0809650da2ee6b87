"""Author text made safe for a terminal or a log: no escapes, no bidirectional tricks, one line.

A CI runner takes orders from a log: a line that begins with ``::``, and ``##[`` wherever it stands. Neither
is left in what an author wrote.
"""

from __future__ import annotations

import re
import unicodedata

_NAMES = {"\t": "\\t", "\n": "\\n", "\r": "\\r"}
# At the end of the text too, since what is printed after it may begin with the bracket.
_ORDER = re.compile(r"##(?=\w*(?:\[|\Z))")


def sendable(char: str) -> bool:
    """Whether a character shows itself and steers nothing: no control, format or surrogate character."""
    return unicodedata.category(char) not in ("Cc", "Cf", "Cs", "Zl", "Zp")


def printable(text: str) -> str:
    """Text with control, format and surrogate characters shown as escapes instead of being sent."""
    shown = text
    if not text.isprintable():  # it seldom is not, and asking for each character takes long
        shown = "".join(char if sendable(char) else _escaped(char) for char in text)
    return _ORDER.sub(r"#\\u0023", shown)


def printable_path(path: str) -> str:
    """A path, or a page's key, that may begin a line."""
    shown = printable(path)
    if shown.lstrip().startswith("::"):
        return "./" + shown
    return shown


def printable_line(line: str) -> str:
    """A line, printable already, that begins with an author's words: a runner passes over its indent."""
    if line.lstrip().startswith("::"):
        return line.replace(":", "\\u003a", 1)
    return line


def _escaped(char: str) -> str:
    return _NAMES.get(char) or f"\\u{ord(char):04x}"


PLAINER = "plainer"
"""Name of the way in which signs are written that the encoding of a console lacks; see `plainer`."""
_PLAIN_SIGNS = {
    "“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "›": ">", "‹": "<", "…": "...", "–": "-", "—": "-",
    "−": "-", "‑": "-", "×": "x", "⋅": "*", "≈": "~", "≤": "<=", "≥": ">=", "≠": "!=", "→": "->", "′": "'",
    "″": '"', "\u00a0": " ", "\u2009": " ", "\u202f": " ",
}  # fmt: skip


def plainer(error: UnicodeError) -> tuple[str, int]:
    """Signs that an encoding lacks, in ones that all have; what has no likeness is escaped. For
    `codecs.register_error`: a console of Windows may have neither quotation marks nor a minus."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    signs = error.object[error.start : error.end]
    written = (_PLAIN_SIGNS.get(sign) or sign.encode("ascii", "backslashreplace").decode() for sign in signs)
    return "".join(written), error.end
