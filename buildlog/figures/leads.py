"""What stands round the number of a label: hedges, limits, words of direction, before it and after it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from buildlog.figures import directions

Hedge = Literal["about", "nearly", "just over"]
Comparator = Literal["<", "≤", ">", "≥"]
Kind = Literal["hedge", "comparator", "range", "direction"]


@dataclass(frozen=True)
class Lead:
    """`meant` is the hedge, the comparator, the word before the second number of a range, or the word of
    direction. `well` is a limit that is passed clearly: well over."""

    kind: Kind
    meant: str
    well: bool = False


def _each(listed: str, lead: Lead) -> dict[str, Lead]:
    return dict.fromkeys(listed.split("|"), lead)


_BELOW = ("under", "below", "less than", "short of")
_ABOVE = ("over", "above", "more than")
_PHRASES: dict[str, Lead] = {
    **_each("less than|fewer than|under|below", Lead("comparator", "<")),
    **_each(
        "at most|at the most|up to|no more than|not more than|not over|not above", Lead("comparator", "≤")
    ),
    **_each("no higher than|no greater than|max|max.|maximum|a maximum of", Lead("comparator", "≤")),
    **_each("more than|greater than|over|above|in excess of", Lead("comparator", ">")),
    **_each("at least|no less than|not less than|no fewer than|not under|not below", Lead("comparator", "≥")),
    **_each("no lower than|min.|minimum|a minimum of", Lead("comparator", "≥")),
    **_each("about|around|roughly|approximately|approx|approx.|some", Lead("hedge", "about")),
    **_each("circa|c.|ca.|ca|close to|in the region of", Lead("hedge", "about")),
    **_each("nearly|almost|not quite|getting on for|approaching", Lead("hedge", "nearly")),
    "between": Lead("range", "and"),
    "from": Lead("range", "to"),
}
for _degree in ("just", "slightly", "a little", "a bit", "a shade", "a touch"):
    _PHRASES |= {f"{_degree} {word}": Lead("hedge", "nearly") for word in _BELOW}
    _PHRASES |= {f"{_degree} {word}": Lead("hedge", "just over") for word in _ABOVE}
_PHRASES |= {f"well {word}": Lead("comparator", "<", well=True) for word in _BELOW}
_PHRASES |= {f"well {word}": Lead("comparator", ">", well=True) for word in _ABOVE}
# What is also an adjective goes before a number only with “by”: lighter by 3 kg.
for _word in directions.WORDS:
    _way = Lead("direction", _word)
    _PHRASES[f"{_word} by"] = _way
    if not _word.endswith("er") and _word not in ("more", "less"):
        _PHRASES |= _each(f"{_word} of|a {_word} of|an {_word} of", _way)
        _PHRASES.setdefault(_word, _way)
_PHRASES |= {f"an {word}": Lead("direction", word) for word in ("extra", "additional")}
_PHRASES |= {word: Lead("direction", "more") for word in ("another", "a further")}
_SIGNS = {
    "<=": Lead("comparator", "≤"),
    ">=": Lead("comparator", "≥"),
    "≤": Lead("comparator", "≤"),
    "≥": Lead("comparator", "≥"),
    "<": Lead("comparator", "<"),
    ">": Lead("comparator", ">"),
    "~": Lead("hedge", "about"),
    "≈": Lead("hedge", "about"),
    "∼": Lead("hedge", "about"),
}
_BEHIND: dict[str, Lead] = {
    **{word: Lead("direction", word) for word in directions.WORDS},
    **_each(
        "or so|more or less|or thereabouts|ish|-ish|roughly|approximately|approx|approx.",
        Lead("hedge", "about"),
    ),
    **_each(
        "at most|at the most|max|max.|maximum|or less|or fewer|or under|or below", Lead("comparator", "≤")
    ),
    **_each("at least|min|min.|minimum|or more|or over|or above|+", Lead("comparator", "≥")),
}
_MOST_WORDS = max(len(phrase.split()) for phrase in (*_PHRASES, *_BEHIND))
_WORD = re.compile(r"-?[A-Za-z]+\.?|\+")


def before(text: str, at: int) -> tuple[Lead | None, int]:
    """The longest lead that begins at `at`, and where it ends."""
    for sign, meant in _SIGNS.items():
        if text.startswith(sign, at):
            return meant, at + len(sign)
    return _longest(_PHRASES, text, at)


def behind(text: str, at: int) -> tuple[Lead | None, int]:
    """The longest phrase that may stand behind a figure and begins at `at`, and where it ends."""
    return _longest(_BEHIND, text, at)


def _longest(phrases: dict[str, Lead], text: str, at: int) -> tuple[Lead | None, int]:
    words: list[str] = []
    best: tuple[Lead | None, int] = (None, at)
    while len(words) < _MOST_WORDS and (word := _WORD.match(text, at)):
        words.append(word[0].lower())
        spelt, end = " ".join(words), word.end()
        if spelt not in phrases and spelt.endswith("."):  # it is that of the sentence
            spelt, end = spelt[:-1], end - 1
        if longer := phrases.get(spelt):
            best = (longer, end)
        at = word.end()
        while at < len(text) and text[at].isspace():
            at += 1
    return best


_LIMITS = ("≤", "≥")
"""What is said of a limit whatever stands before it: “over” may be that of “no light over”."""


def limit_at_the_end(text: str) -> str:
    """The words of a limit that a text ends with, “no more than”; "" where it ends with none."""
    words = text.split()[-_MOST_WORDS:]
    for first in range(len(words)):
        phrase = " ".join(words[first:])
        lead = _PHRASES.get(phrase.lower()) or _SIGNS.get(phrase)
        if lead is not None and lead.meant in _LIMITS:
            return phrase
    return ""


def limit_at_the_start(text: str) -> str:
    """The words of a limit that a text begins with, “or less”; "" where it begins with none."""
    start = len(text) - len(text.lstrip())
    lead, end = behind(text, start)
    return " ".join(text[start:end].split()) if lead is not None and lead.meant in _LIMITS else ""
