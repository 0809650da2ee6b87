"""Words without a number as a figure: “slower”, “no measurable difference”, “enough”.

A word of direction says that a change goes its way by more than its expanded uncertainty; within it there is
no measurable difference, and that is then what the page has to say. A word of a decision says what the
requirement came to. Any other word must be the one that the block gives.
"""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.diagnostics import Refused, declare
from buildlog.figures import units
from buildlog.figures.directions import opposite, sense
from buildlog.figures.labels import write_figure
from buildlog.figures.stated import FIGURE_UNREADABLE
from buildlog.figures.words import meaning
from buildlog.kinds.results import Value

WORDS_DISAGREE = declare(
    "words-disagree",
    "the words do not agree with what they rest on",
    why="A conclusion that the numbers do not bear misleads more than a wrong digit.",
    mend="Write what was computed, or mend the block if the words are right.",
    example='The new axle is [faster](calc:shorter-final.after.speed_at_limit.3 "vs before").',
)
HOLDS, FAILS, CLOSE = "holds", "fails", "too close to call"
_OF_DECISION = {"holds": HOLDS, "fails": FAILS, "close": CLOSE}
NO_DIFFERENCE = "no measurable difference"
_NOISE = 1e-9


@dataclass(frozen=True)
class Spoken:
    """What words say and what was computed, both in words; `instead` are words that would agree."""

    agrees: bool
    computed: str
    instead: str


def judge_word(words: str, word: str) -> Spoken:
    """Words against the word that a block gives: a decision's verdict by its meaning, any other as it is."""
    meant = meaning(words)
    if word in _OF_DECISION.values() and meant is not None:
        return Spoken(_OF_DECISION.get(meant.said) == word, word, word)
    return Spoken(words.casefold() == word.casefold(), word, word)


def judge_direction(words: str, change: Value, dimension: str, scale: float) -> Spoken:
    """Words against a change of a quantity of `dimension`. `scale` is the size of what has changed: a
    thousand millionth of it is no change.

    Raises `Refused` for words that say nothing of a change.
    """
    meant = meaning(words)
    if meant is None or meant.said not in ("direction", "same"):
        raise Refused(
            "",
            f"“{words}”",
            "a figure, or a word that says how it has changed",
            help="write a number with its unit, or more, less, “no measurable difference” and the like",
            code=FIGURE_UNREADABLE,
        )
    uncertainty = change.expanded_uncertainty
    none = abs(change.si) <= max(uncertainty, _NOISE * abs(scale))
    computed = _in_words(change, none=none)
    instead = NO_DIFFERENCE if none else "more" if change.si > 0 else "less"
    if meant.said == "same":
        return Spoken(none, computed, instead)
    way = sense(meant.word, dimension)
    if not way:
        raise Refused(
            "",
            f"“{words}” of a {dimension}, which does not tell whether it grew",
            "a word that does: more, less, higher, lower",
            help=f"write “{instead}”",
            code=FIGURE_UNREADABLE,
        )
    goes_so = not none and change.si * way > 0
    if not (none or goes_so or meant.denied):
        instead = opposite(meant.word) or instead
    return Spoken(goes_so != meant.denied, computed, instead)


def _in_words(change: Value, *, none: bool) -> str:
    """The change with its uncertainty, and whether that leaves anything of it."""
    unit = units.find(change.unit, change.dimension)
    text = write_figure(unit.from_si_difference(change.si), change.decimals + 1, unit.symbol)
    if change.expanded_uncertainty:
        spread = write_figure(
            unit.from_si_difference(change.expanded_uncertainty), change.decimals + 1, unit.symbol
        )
        text += f" ± {spread}"
    return f"{text}, which is no measurable difference" if none and change.si else text
