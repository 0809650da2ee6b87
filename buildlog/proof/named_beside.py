"""What the words of a sentence name beside a figure: the gear and the case it is said to be of.

“third ends at [118 km/h](calc:gears.after.speed_at_limit.2)” copies its figure rightly and is false. The
words of a sentence are read only so far as they can be read in one way; what is found is a warning, because
English names gears and cases in more ways than any list holds.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise

from buildlog.proof.sentences import Sentence
from buildlog.reading.markdown.page import MASK

_ORDINALS = {
    "first": "1",
    "second": "2",
    "third": "3",
    "fourth": "4",
    "fifth": "5",
    "sixth": "6",
    "seventh": "7",
    "eighth": "8",
}
_GEAR = re.compile(
    r"\bgear (?P<number>[1-9])\b|\b(?P<short>[1-9])(?:st|nd|rd|th)\b|(?<!-)\b(?P<word>"
    + "|".join(_ORDINALS)
    + r")\b",
    re.IGNORECASE,
)
# After these an ordinal counts something else, unless “gear” follows: a second, the first time, one third.
_OTHER_COUNT = re.compile(
    r"\b(?:a|an|the|one|two|per|each|every|our|my|his|her|their|your|at|half a|this|that|from the)\s+$",
    re.IGNORECASE,
)
_IN_A_GEAR = re.compile(r"\b(?:in|into|to|from|of|with|than|and|or|through|for)\s+$", re.IGNORECASE)
_SOMETHING_ELSE = re.compile(
    # As whole words: “second runs out at” is said of a gear.
    r"\s*(?:of all|times?|places?|half|points?|steps?|try|day|week|lap|run|session|part|more|less|"
    r"we|you|they|i|he|she|it|there|this|that|a|an|the|take|check|measure|fit|drain|loosen|remove|set)\b",
    re.IGNORECASE,
)
# A change up is a gear's highest speed as well: “the shift into second” ends first.
_SHIFT_INTO = re.compile(
    r"\b(?:shift|chang)(?:s|e|es|ed|ing)?\s+(?:up\s+|on\s+)?(?:into|to)\s+(?:gear\s+)?$", re.IGNORECASE
)
_GEAR_FOLLOWS = re.compile(r"[\s-]+(?:gear|speed|ratio)\b", re.IGNORECASE)
_LIST = re.compile(r"(?:,|\band\b|\bor\b|\bto\b)", re.IGNORECASE)
_CLAUSE_END = re.compile(
    rf"[,;:()–—]|\band\b|\bbut\b|\bwhile\b|\bwhereas\b|\bagainst\b|\bthan\b|{MASK}", re.IGNORECASE
)

_BESIDE_ANOTHER = re.compile(
    rf"(?:{MASK}|\w)[,\s]+(?:than|against|instead of|in place of|compared with|compared to|versus|vs|"
    rf"rather than|from)[^,;:{MASK}]*$",
    re.IGNORECASE,
)
# Words for the car as it was and as it is now (common practice, no source): a case whose name is one of them
# is also meant by the others.
_OLD = frozenset("old before stock standard original factory previous unmodified".split())
_NEW = frozenset("new after modified fitted replacement upgraded".split())
_WORDS = re.compile(r"[^\W_]+")
# What is compared with is no claim about the figure: “more than the old one”.
_COMPARED = re.compile(
    rf"\b(?:than|against|instead of|in place of|compared|versus|vs|unlike|rather than|over|from|where)\b"
    rf"[^,;:{MASK}]*",
    re.IGNORECASE,
)
# “before the bend” tells when; “before” at the end of a clause, or beside a figure, names the case.
_IN_TIME = re.compile(
    rf"\s*(?:$|[,.;:!?)]|{MASK}|and\b|or\b|but\b|to\b|than\b|fitting\b|it was\b|"
    r"the (?:swap|conversion|modification|upgrade)\b)",
    re.IGNORECASE,
)


def other_gear(sentence: Sentence, key: str) -> str:
    """The gear that the words name where it is not the figure's own, or "". `key` is a gear, or two of them
    where it is a shift (“2-3”)."""
    own = set(key.split("-"))
    if _has_list(sentence.words):
        return ""
    near = _gears_in(_clause(sentence), key) or _gears_in(_so_far(sentence), key)
    return "" if not near or own & near else " or ".join(sorted(near))


def _gears_in(text: str, key: str) -> set[str]:
    """The gears that a text names; the one that the gear `key` is left for counts as that one."""
    gears = set()
    for number, start, _ in _gears(text):
        is_left = key.isdecimal() and int(number) == int(key) + 1 and _SHIFT_INTO.search(text[:start])
        gears.add(key if is_left else number)
    return gears


def other_case(sentence: Sentence, own: Iterable[str], cases: Iterable[str]) -> str:
    """The case of the block that the words name where it is none of the figure's `own` ones, or ""."""
    mine = set(filter(None, own))
    names = _told_apart(tuple(case for case in cases if case))

    def named_in(text: str) -> set[str]:
        said = set(_case_words(text))
        return {case for case, words in names.items() if said & words}

    own_clause = named_in(_clause(sentence))
    if own_clause or _BESIDE_ANOTHER.search(sentence.before):
        return "" if not own_clause or own_clause & mine else min(own_clause)
    if named_in(sentence.words) & mine:
        return ""
    # What follows the clause may be about anything: “31.5 bar, so the old hose went”.
    named = named_in(_COMPARED.sub(" ", _so_far(sentence)))
    return min(named, default="")


def _gears(text: str) -> Iterator[tuple[str, int, int]]:
    """The gears that a text names, each with where its word begins and ends."""
    for match in _GEAR.finditer(text):
        number = match["number"] or match["short"] or _ORDINALS[match["word"].lower()]
        follows = _GEAR_FOLLOWS.match(text, match.end())
        if not (match["number"] or follows):
            before = text[: match.start()]
            begins = not before.strip() and text[match.end() :].startswith(",")  # “First, …”
            if begins or _OTHER_COUNT.search(before):
                continue
            if not _IN_A_GEAR.search(before) and _SOMETHING_ELSE.match(text, match.end()):
                continue
        yield number, match.start(), match.end()


def _has_list(text: str) -> bool:
    """Whether gears are listed one after the other: “in second, third and fourth”."""
    places = [(start, end) for _, start, end in _gears(text)]
    return any(_LIST.fullmatch(text[end:start].strip()) for (_, end), (start, _) in pairwise(places))


def _so_far(sentence: Sentence) -> str:
    """What is said up to the figure."""
    return f"{sentence.row} {sentence.column} {sentence.before}"


def _clause(sentence: Sentence) -> str:
    """The clause that the figure stands in: as far as the next figure, comma or joining word."""
    start = 0
    for end in _CLAUSE_END.finditer(sentence.before):
        start = end.end()
    own = sentence.before[start:]
    rest = _CLAUSE_END.split(sentence.after, maxsplit=1)[0]
    return f"{own} {rest}" if not sentence.row else f"{sentence.row} {sentence.column} {own} {rest}"


@lru_cache(maxsize=64)  # many figures are of one block
def _told_apart(cases: tuple[str, ...]) -> dict[str, set[str]]:
    """The words by which each case is told from the others: those of its name but for gears, and where it is
    the old or the new state, their like."""
    names: dict[str, set[str]] = {}
    for case in cases:
        words = {word.lower() for word in _WORDS.findall(case.replace("_", " "))}
        words -= _ORDINALS.keys()  # in a sentence they are gears
        for like in (_OLD, _NEW):
            if words & like:
                words |= like
        names[case] = words
    return {
        case: words.difference(*(theirs for other, theirs in names.items() if other != case))
        for case, words in names.items()
    }


def _case_words(text: str) -> Iterator[str]:
    """The words of a text that can name a case."""
    for match in _WORDS.finditer(text):
        word = match[0].lower()
        if word in ("before", "after") and not _IN_TIME.match(text, match.end()):
            continue
        yield word
