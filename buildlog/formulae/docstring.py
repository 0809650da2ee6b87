"""What a formula's docstring says under its heading words: ``Formula:``, ``Symbols:``, ``In words:``."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass

_HEADINGS = ("Formula:", "Symbols:", "In words:", "Range:", "Errors:", "Source:")
_IN_WORDS = re.compile(r"\bIn words: ([^.]+)\.")
_UNIT = re.compile(r"\(((?:[^()]|\([^()]*\))*)\)")
_BEFORE_A_SYMBOL = r"(?:(?<=^)|(?<=, )|(?<= and )|(?<=; ))"
_AFTER_A_SYMBOL = r"(?=[ ,;]|$)"


@dataclass(frozen=True)
class Described:
    """What a symbol stands for, and its unit as the docstring has it, "" where it has none."""

    about: str
    unit: str


def declared_words(docstring: str) -> str:
    """What the docstring says after "In words:", on one line."""
    match = _IN_WORDS.search(" ".join(docstring.split()))
    return match[1] if match else ""


def section(docstring: str, heading: str) -> str:
    """What stands after a heading word, up to the next one or the end of the paragraph, on one line."""
    _, label, after = docstring.partition(heading)
    if not label:
        return ""
    paragraph = " ".join(after.partition("\n\n")[0].split())
    for other in _HEADINGS:
        paragraph = paragraph.partition(other)[0]
    return paragraph.strip().rstrip(".")


def described(docstring: str, symbols: Collection[str]) -> Mapping[str, Described]:
    """What the symbols stand for, as ``Symbols: v road speed (m/s), i_1 and i_2 ratio (1)`` tells it.

    A symbol begins what is said of it, at the start or after a comma, a semicolon or “and”. Symbols with
    nothing of their own share what the next one has; what stands after the unit is not for the name.
    """
    text = section(docstring, "Symbols:")
    if not text or not symbols:
        return {}
    longest_first = sorted(symbols, key=len, reverse=True)
    named = re.compile(_BEFORE_A_SYMBOL + f"({'|'.join(map(re.escape, longest_first))})" + _AFTER_A_SYMBOL)
    places = list(named.finditer(text))
    found: dict[str, Described] = {}
    waiting: list[tuple[str, str]] = []
    unnamed_unit: list[str] = []
    for place, following in zip(places, [*places[1:], None], strict=True):
        said = text[place.end() : following.start() if following else len(text)].strip()
        about, unit = _parted(said)
        waiting.append((place[1], unit))
        if about:
            for symbol, own in waiting:
                found.setdefault(symbol, Described(about, own or unit))
            unnamed_unit = [*unnamed_unit, *(symbol for symbol, own in waiting if not (own or unit))]
            waiting = []
        if unit:  # “φ_1 angle before and φ_2 after (rad)”: the unit is that of both
            for symbol in unnamed_unit:
                found[symbol] = Described(found[symbol].about, unit)
            unnamed_unit = []
    return found


def _parted(said: str) -> tuple[str, str]:
    """What a symbol stands for, and its unit."""
    about, bracket, _ = said.partition("(")
    unit = ""
    if bracket and (match := _UNIT.match(said, len(about))):
        unit = match[1].partition(";")[0].strip()
    about = re.sub(r"(?:^|\s)and$", "", about.strip(" ,;.")).strip(" ,;.")
    return about, unit
