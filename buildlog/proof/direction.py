"""Which way a figure goes, as the words beside it say: “10 % less”, “saves 142 g”, “up by 3 mm”.

Without a sign the figure alone does not tell, and a word that contradicts the computed sign is as wrong as a
digit. Only words right beside the figure are read, and none where “not” or “no” stands before them. For
`amend` the site's record of computed figures tells too, where it has both values.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from buildlog.figures.directions import sense
from buildlog.proof.sentences import Sentence
from buildlog.reading.record import ValueName

_WORD = re.compile(r"[A-Za-z]+")
_JOINED = (
    r"(?:\s+(?:by|of|about|some|around|roughly|nearly|almost|only|just|exactly|another|a|an|the|further|is|was|"
    r"good|up to))*"
)
_BEFORE = re.compile(rf"([A-Za-z]+)({_JOINED})\s*$")
_AFTER = re.compile(
    r"^\s+(?!more or less\b)(?!(?:up|down) (?:the|a|to|in|on to|with)\b)"
    r"(?:or so\s+|(?:is|are|was|were|has been|have been)\s+|of (?:it|mass|weight)\s+)?([A-Za-z]+)"
)
_TAKEN = re.compile(rf"\b(?:takes?|took|taken|taking){_JOINED}\s*$", re.IGNORECASE)
_OFF = re.compile(r"^\s+(?:off|out of)\b", re.IGNORECASE)
_BY = re.compile(r"\b(up|down) by\b", re.IGNORECASE)
_NOT = re.compile(r"\b(?:no|not|never|neither|nor|hardly|without)\b|n['’]t\b", re.IGNORECASE)
_NEAR = 30
"""So many characters before the words, a “not” is taken to be meant for them."""


@dataclass(frozen=True)
class Beside:
    """The word beside a figure that says which way it goes; `after` tells on which side."""

    word: str
    direction: int


def direction_beside(sentence: Sentence, dimension: str) -> Beside | None:
    """The direction that stands right beside a figure, or None where none does or two differ."""
    found = [
        Beside(word, direction)
        for word in (_before(sentence.before), _after(sentence.after))
        if word and (direction := sense(word, dimension))
    ]
    if _TAKEN.search(sentence.before) and _OFF.match(sentence.after):  # “took 2 kg off the car”
        found.append(Beside("less", -1))
    if not found or _NOT.search(sentence.before[-_NEAR:]):
        return None
    if any(beside.direction != found[0].direction for beside in found):
        return None
    return found[-1]


def _before(text: str) -> str:
    """The word that leads to the figure: “saves”, “up by”, “a rise of about”."""
    match = _BEFORE.search(text)
    if match is None:
        return ""
    return match[1].lower()


def _after(text: str) -> str:
    """The word that the figure leads to: “lighter”, “or so less”, “is saved”."""
    match = _AFTER.match(text)
    return match[1].lower() if match else ""


def directions_in(sentence: Sentence, dimension: str) -> set[int]:
    """The directions that all words of a sentence say of a quantity: 1 for more, −1 for less."""
    words = (word.lower() for word in _WORD.findall(sentence.words))
    senses = {sense(word, dimension) for word in words if word not in ("up", "down")}
    by = {sense(match[1], dimension) for match in _BY.finditer(sentence.words)}
    return (senses | by) - {0}


def recorded_change(recorded: Mapping[ValueName, float], own: ValueName, other: ValueName) -> float | None:
    """The change that the site's record holds, or None where it lacks a value."""
    value, base = recorded.get(own), recorded.get(other)
    return None if value is None or base is None else value - base
