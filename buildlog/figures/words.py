"""Figures in words: “four”, “twice”, “a third”, “slower”, “no measurable difference”, “enough”.

Numbers go as far as the trade writes them in words: to twenty and the dozen, fractions to the twentieth. A
count in words is exact. A fraction or a multiple in words is rounded, as `numbers.fraction_half` has it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from buildlog.figures import directions

COUNTS = {
    word: number
    for number, word in enumerate(
        "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
        "seventeen eighteen nineteen twenty".split(),
        start=1,
    )
}
_PARTS = {
    "half": 2, "halves": 2, "third": 3, "quarter": 4, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7,
    "eighth": 8, "ninth": 9, "tenth": 10, "twelfth": 12, "sixteenth": 16, "twentieth": 20,
}  # fmt: skip
_MULTIPLES = {
    **dict.fromkeys(("twice", "double", "doubled", "doubles"), 2),
    **dict.fromkeys(("thrice", "triple", "triples", "tripled", "treble", "trebles", "trebled"), 3),
    **dict.fromkeys(("quadruple", "quadruples", "quadrupled"), 4),
}
_COUNT = "|".join(sorted(COUNTS, key=len, reverse=True))
_PART = "|".join(f"{part}s?" for part in sorted(_PARTS, key=len, reverse=True))
_NUMBER = re.compile(
    rf"(?P<dozens>(?:(?P<of_dozens>a|half a|{_COUNT}) )?dozen)\b"
    rf"|(?P<fold>{_COUNT})-?fold\b"
    rf"|(?P<whole>{_COUNT})[ -]and[ -](?P<some>a|{_COUNT})[ -](?P<rest>{_PART})\b"
    # A bare “third” is the gear.
    rf"|(?P<above>an?|{_COUNT})[ -](?P<part>{_PART})\b"
    rf"|(?P<bare>half|quarter)\b"
    rf"|(?P<multiple>{'|'.join(_MULTIPLES)})\b"
    rf"|(?P<count>{_COUNT})\b(?!-)",
    re.IGNORECASE,
)


@dataclass(frozen=True, kw_only=True)
class NumberInWords:
    """A number in words, and where it ends. `kind` is "count", "fraction" or "multiple" (“twice”)."""

    value: Fraction
    below: int
    kind: Literal["count", "fraction", "multiple"]
    end: int


def number_at(text: str, at: int) -> NumberInWords | None:
    """The number in words that begins at `at`, or None."""
    match = _NUMBER.match(text, at)
    if match is None:
        return None
    said = {name: part.lower() for name, part in match.groupdict().items() if part}
    if "dozens" in said:
        dozens = {"": Fraction(1), "a": Fraction(1), "half a": Fraction(1, 2)}.get(said.get("of_dozens", ""))
        value = 12 * (dozens or Fraction(COUNTS.get(said.get("of_dozens", ""), 1)))
        return NumberInWords(value=value, below=1, kind="count", end=match.end())
    if "count" in said:
        return NumberInWords(value=Fraction(COUNTS[said["count"]]), below=1, kind="count", end=match.end())
    if "multiple" in said or "fold" in said:
        times = _MULTIPLES.get(said.get("multiple", "")) or COUNTS[said["fold"]]
        return NumberInWords(value=Fraction(times), below=1, kind="multiple", end=match.end())
    below = _below(said.get("part") or said.get("bare") or said["rest"])
    above = COUNTS.get(said.get("above") or said.get("some", ""), 1)
    value = COUNTS.get(said.get("whole", ""), 0) + Fraction(above, below)
    return NumberInWords(value=value, below=below, kind="fraction", end=match.end())


def _below(part: str) -> int:
    return _PARTS.get(part) or _PARTS[part.removesuffix("s")]


def in_words(value: Fraction) -> str:
    """A whole number to twenty in words, else ""."""
    for word, number in COUNTS.items():
        if value == number:
            return word
    return ""


# --- words without a number -----------------------------------------------------------

Said = Literal["direction", "same", "holds", "fails", "close"]

_SAME = (
    "no measurable difference", "no measurable change", "no difference", "no change", "not different",
    "no different", "unchanged", "the same", "same", "equal", "as before",
)  # fmt: skip
_HOLDS = (
    "enough", "good enough", "sufficient", "holds", "hold", "held", "it holds", "met", "is met", "meets",
    "passes", "passed", "pass", "yes",
)  # fmt: skip
_FAILS = (
    "not enough", "insufficient", "fails", "failed", "fail", "does not hold", "not met", "is not met",
    "misses", "missed", "falls short", "too little", "too much", "too slow", "too low", "too high",
    "too heavy", "no",
)  # fmt: skip
# “Nearly enough” is none of them.
_ENOUGH = re.compile(
    r"(?P<denied>not )?(?:quite|well|good|quick|fast|light|strong|stiff|low|high|long|short|cool|quiet|cheap|"
    r"wide|far|big|small|near) enough"
)
_CLOSE = ("too close to call", "close", "borderline", "undecided")
_KNOWN: dict[str, Said] = {
    **dict.fromkeys(_SAME, "same"),
    **dict.fromkeys(_HOLDS, "holds"),
    **dict.fromkeys(_FAILS, "fails"),
    **dict.fromkeys(_CLOSE, "close"),
}


@dataclass(frozen=True)
class Meaning:
    """What words without a number say. Of a direction, `word` is the one to give to `directions.sense`;
    where it is `denied` (“no slower”), the value must not go that way."""

    said: Said
    word: str = ""
    denied: bool = False


def meaning(words: str) -> Meaning | None:
    """What words say that stand alone in a label, or None where they are none that can be rested on."""
    plainly = " ".join(words.lower().split())
    if plainly in _KNOWN:
        return Meaning(_KNOWN[plainly])
    if enough := _ENOUGH.fullmatch(plainly):
        return Meaning("fails" if enough["denied"] else "holds")
    denied = plainly.startswith(("no ", "not "))
    word = plainly.partition(" ")[2] if denied else plainly
    if word in directions.WORDS:
        return Meaning("direction", word, denied)
    return None
