"""Sentences made from all that the demo computes: the true ones pass, the same made false are caught.

Each class makes pairs, a true sentence and a false one, from the site's own results: the words that say which
way a change goes, the gear or the case that a sentence names, the two cases of a change the wrong way round.
All true ones stand on one page, all false ones on another, so that a class is two proofs. The share that has
to be caught is said beside each class; `least` keeps a class from passing by making nothing.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.kinds.catalogue import kind_names, load_kind
from buildlog.proof.judging import Judged
from buildlog.proof.proof import Report, proof_book

ROOT = Path(__file__).resolve().parents[2]
PAGE = "index"

# Words of opposite directions by what is measured, the one for more first (common practice, no source).
ANY_QUANTITY = (("more", "less"), ("higher", "lower"))
OF_ONE = {
    "mass": ("heavier", "lighter"),
    "time": ("slower", "quicker"),
    "speed": ("faster", "slower"),
    "rotational speed": ("faster", "slower"),
    "length": ("longer", "shorter"),
    "temperature": ("warmer", "cooler"),
    "temperature difference": ("warmer", "cooler"),
    "money": ("dearer", "cheaper"),
}
LEADING = (("gains", "loses"), ("adds", "saves"), ("rose by", "fell by"), ("is up by", "is down by"))
PHRASES = (
    ("higher by {}", "lower by {}"),
    ("up {} on last year", "down {} on last year"),
    ("a rise of {}", "a drop of {}"),
    ("has risen by some {}", "has fallen by some {}"),
    ("now {} or so more", "now {} or so less"),
    ("about {} more than it was", "about {} less than it was"),
    ("**{}** more", "**{}** less"),
    ("an increase of nearly {}", "a decrease of nearly {}"),
    ("which is {} more, all told", "which is {} less, all told"),
    ("{} higher, give or take", "{} lower, give or take"),
    ("gaining {} in the bargain", "losing {} in the bargain"),
    ("another {} added", "another {} shed"),
    ("a gain of {}", "a loss of {}"),
    ("it was raised by {}", "it was cut by {}"),
)
NUMBER = re.compile(r"[0-9]+(?:[.,\u00a0\u202f ][0-9]+)*")
PARTS = {
    "twice": 2,
    "half": 1 / 2,
    "a third more": 4 / 3,
    "a third less": 2 / 3,
    "a quarter more": 5 / 4,
    "a quarter less": 3 / 4,
    "three times": 3,
    "a third": 1 / 3,
    "a quarter": 1 / 4,
    "one and a half times": 3 / 2,
    "a fifth more": 6 / 5,
    "a fifth less": 4 / 5,
    "a tenth less": 9 / 10,
    "a tenth more": 11 / 10,
    "one sixth less": 5 / 6,
    "one sixth more": 7 / 6,
}
GEARS = {"1": "first", "2": "second", "3": "third", "4": "fourth", "5": "fifth"}


@dataclass(frozen=True, kw_only=True)
class Pair:
    right: str
    wrong: str


@dataclass(frozen=True, kw_only=True)
class Result:
    """One value of the demo, by its address, and the label that the page would fill in."""

    page: str
    block: str
    case: str
    output: str
    key: str
    si: float = 0.0
    dimension: str = ""
    label: str = ""

    @property
    def address(self) -> str:
        return f"calc:{self.page}#" + ".".join(filter(None, (self.block, self.case, self.output, self.key)))


@dataclass(frozen=True, kw_only=True)
class Change:
    """How one case differs from another, and the label that the page would fill in."""

    value: Result
    base: Result
    label: str
    dimension: str
    rises: bool

    @property
    def size(self) -> str:
        return self.label.lstrip("+−-")

    def linked(self, label: str) -> str:
        return f'[{label}]({self.value.address} "vs {self.base.case}")'

    def linked_backwards(self, label: str) -> str:
        return f'[{label}]({self.base.address} "vs {self.value.case}")'


@cache
def book() -> Book:
    return Book.open(root=ROOT)


def proofed(sentences: list[str]) -> Report:
    """The proof of a page that holds these sentences, one a paragraph, and nothing else."""
    return proof_book(book().with_page(PAGE, "\n\n".join(sentences) + "\n"), [PAGE])


def judged_in_order(sentences: list[str]) -> list[Judged]:
    entries = [entry.judged for entry in proofed(sentences).entries]
    judged = [entry for entry in entries if entry is not None]
    assert len(judged) == len(sentences)
    return judged


@cache
def results() -> tuple[Result, ...]:
    """All values of the demo's episodes that have cases."""
    bare = [
        Result(page=page.key, block=block.id, case=case, output=output, key=key)
        for page in book().pages.values()
        if page.key.startswith("episodes/")
        for block in (book().by_place[source.position] for source in page.blocks)
        for case, computed in block.cases.items()
        if case
        for output, value in computed.values.items()
        for key in (value if isinstance(value, dict) else [""])
    ]
    filled = judged_in_order([f"[]({result.address})" for result in bare])
    return tuple(
        replace(result, label=judged.text, si=judged.value.si, dimension=judged.value.dimension)
        for result, judged in zip(bare, filled, strict=True)
        if judged.agrees and judged.value is not None and NUMBER.search(judged.text)
    )


@cache
def changes() -> tuple[Change, ...]:
    """All differences between two cases that show in the digits of their label."""
    by_place: dict[tuple[str, ...], list[Result]] = {}
    for result in results():
        by_place.setdefault((result.page, result.block, result.output, result.key), []).append(result)
    pairs = [pair for same in by_place.values() for pair in itertools.permutations(same, 2)]
    filled = judged_in_order([f'[]({value.address} "vs {base.case}")' for value, base in pairs])
    return tuple(
        Change(
            value=value,
            base=base,
            label=judged.text,
            dimension=judged.value.dimension,
            rises=judged.value.si > 0,
        )
        for (value, base), judged in zip(pairs, filled, strict=True)
        if judged.agrees and judged.value is not None and any(digit in judged.text for digit in "123456789")
    )


@cache
def given() -> tuple[Result, ...]:
    """All inputs of the demo's blocks that are numbers."""
    bare = [
        Result(page=page.key, block=block.id, case=case, output=name, key="")
        for page in book().pages.values()
        if page.key.startswith("episodes/")
        for block in (book().by_place[source.position] for source in page.blocks)
        for case, computed in block.cases.items()
        for name in computed.given
    ]
    filled = judged_in_order([f"[]({result.address})" for result in bare])
    return tuple(
        replace(result, label=judged.text, si=judged.value.si, dimension=judged.value.dimension)
        for result, judged in zip(bare, filled, strict=True)
        if judged.agrees and judged.text and judged.value is not None
    )


@cache
def by_gear() -> frozenset[str]:
    """The outputs that are listed by gear."""
    kinds = map(load_kind, kind_names())
    return frozenset(output.name for kind in kinds for output in kind.outputs if output.key == "gear")


# --- the classes ------------------------------------------------------------------------


def direction_after() -> Iterator[Pair]:
    """“It is 17 kg lighter.”"""
    for number, change in enumerate(changes()):
        own = OF_ONE.get(change.dimension)
        words = own if own and number % 2 else ANY_QUANTITY[number % len(ANY_QUANTITY)]
        right, wrong = words if change.rises else words[::-1]
        yield Pair(
            right=f"It is {change.linked(change.size)} {right} now.",
            wrong=f"It is {change.linked(change.size)} {wrong} now.",
        )


def direction_phrases() -> Iterator[Pair]:
    """The same in the phrases of several writers."""
    for number, change in enumerate(changes()):
        if change.dimension == "time":
            continue
        phrases = PHRASES[number % len(PHRASES)]
        right, wrong = phrases if change.rises else phrases[::-1]
        link = change.linked(change.size)
        yield Pair(right=f"The figure: {right.format(link)}.", wrong=f"The figure: {wrong.format(link)}.")


def direction_before() -> Iterator[Pair]:
    """“It rose by 17 kg.” Of a time these say nothing, since a gain of half a second may be either."""
    for number, change in enumerate(changes()):
        if change.dimension == "time":
            continue
        words = LEADING[number % len(LEADING)]
        right, wrong = words if change.rises else words[::-1]
        yield Pair(
            right=f"It {right} {change.linked(change.size)}.",
            wrong=f"It {wrong} {change.linked(change.size)}.",
        )


def sign_turned() -> Iterator[Pair]:
    """“By −17 kg.”"""
    for change in changes():
        right, wrong = ("+", "−") if change.rises else ("−", "+")
        yield Pair(
            right=f"By {change.linked(right + change.size)}.",
            wrong=f"By {change.linked(wrong + change.size)}.",
        )


def cases_swapped() -> Iterator[Pair]:
    """The change of the old case against the new one, in a sentence about the new one."""
    for change in changes():
        word = "more" if change.rises else "less"
        yield Pair(
            right=f"The change is {change.linked(change.size)} {word}.",
            wrong=f"The change is {change.linked_backwards(change.size)} {word}.",
        )


def ends_swapped() -> Iterator[Pair]:
    """“It went from 3,375 to 3,933 rpm”: both ends in that order."""
    for change in changes():
        first, last = change.base.label, change.value.label
        if first != last:  # nothing goes from 2.54 s to 2.54 s
            yield Pair(
                right=f"It went {change.linked(f'from {first} to {last}')}.",
                wrong=f"It went {change.linked(f'from {last} to {first}')}.",
            )


def an_end_wrong() -> Iterator[Pair]:
    """The same with the first end of another result."""
    for change, other in itertools.pairwise(changes()):
        first, last, wrong = change.base.label, change.value.label, other.base.label
        same_unit = wrong.split()[1:] == first.split()[1:]
        far = abs(other.base.si - change.base.si) > 0.1 * abs(change.base.si)  # 6.5 in may be told as 6 in
        if same_unit and far and len({first, last, wrong}) == 3:
            yield Pair(
                right=f"It went {change.linked(f'from {first} to {last}')}.",
                wrong=f"It went {change.linked(f'from {wrong} to {last}')}.",
            )


def multiples() -> Iterator[Pair]:
    """“2.1 times as much”; the false one says a third more than is true."""
    for change in changes():
        if not _says_how_many_times(change):
            continue
        times = change.value.si / change.base.si
        if times < 0.001:  # “0.000 times” is as true of a third more: the rivet in the middle bears no moment
            continue
        yield Pair(
            right=f"It is {change.linked(f'{times:.3f} times')} as much.",
            wrong=f"It is {change.linked(f'{times * 4 / 3:.3f} times')} as much.",
        )


def _says_how_many_times(change: Change) -> bool:
    """Nothing is twice as hot, or twice as many decibels: their zeros are where somebody put them."""
    without = ("temperature", "temperature difference", "sound level", "level difference")
    return change.value.dimension not in without and change.value.si * change.base.si > 0


def multiples_in_words() -> Iterator[Pair]:
    """“a third more”, “half”, for every change by which that is nearly so; the false one is another part."""
    for change in changes():
        if not _says_how_many_times(change):
            continue
        times = change.value.si / change.base.si
        near = min(PARTS, key=lambda words: abs(PARTS[words] - times))
        if abs(PARTS[near] - times) < 0.005 * times:
            far = next(words for words in PARTS if abs(PARTS[words] / PARTS[near] - 1) > 0.3)
            yield Pair(right=f"It is {change.linked(near)}.", wrong=f"It is {change.linked(far)}.")


def digits_of_results() -> Iterator[Pair]:
    yield from _digits(results())


def digits_of_inputs() -> Iterator[Pair]:
    yield from _digits(given())


def _digits(stated: Sequence[Result]) -> Iterator[Pair]:
    """The last digit of the number is another one."""
    for result in stated:
        if number := NUMBER.search(result.label):
            last = number.end() - 1
            # Not 0: to the tens, that is how a value of which the tens are uncertain is shown, and no fault.
            digit = str((int(result.label[last]) + 5) % 10 or 4)
            wrong = result.label[:last] + digit + result.label[last + 1 :]
            yield Pair(
                right=f"It is [{result.label}]({result.address}).",
                wrong=f"It is [{wrong}]({result.address}).",
            )


def _facts() -> Iterator[tuple[str, str, str]]:
    """All facts of the demo's sources: the source, the name of the fact, and how it is written there."""
    for source in book().sources.values():
        for fact in source.facts.values():
            yield source.id, fact.name, fact.text


def digits_of_facts() -> Iterator[Pair]:
    """“39 N·m” of a fact that says 38."""
    for source, name, text in _facts():
        number = NUMBER.search(text)
        if number:
            last = number.end() - 1
            wrong = text[:last] + str((int(text[last]) + 1) % 10) + text[last + 1 :]
            for template in ("We set {}.", "The sheet says {}, and so it is.", "- {} for the bolts"):
                right_link, wrong_link = (f"[{label}](cite:{source}.{name})" for label in (text, wrong))
                yield Pair(right=template.format(right_link), wrong=template.format(wrong_link))


def facts_swapped() -> Iterator[Pair]:
    """The figure of one fact under the name of another."""
    for (source, name, text), (_, _, other) in itertools.permutations(_facts(), 2):
        if text != other:
            yield Pair(
                right=f"We set [{text}](cite:{source}.{name}).",
                wrong=f"We set [{other}](cite:{source}.{name}).",
            )


def torques_without_a_fact() -> Iterator[Pair]:
    """A torque under the right source, where nothing says that the source gives it."""
    for source, name, text in _facts():
        if text.endswith("N·m"):
            yield Pair(
                right=f"We set [{text}](cite:{source}.{name}).", wrong=f"We set [{text}](cite:{source})."
            )


def gear_words() -> Iterator[Pair]:
    """“Third gives 118 km/h.”"""
    for result in results():
        if result.key in GEARS and result.output in by_gear():
            other = GEARS[str(int(result.key) % 5 + 1)]
            for template in ("In {} it is {}.", "With {} gear in, we get {}."):
                link = f"[{result.label}]({result.address})"
                yield Pair(right=template.format(GEARS[result.key], link), wrong=template.format(other, link))


def case_words() -> Iterator[Pair]:
    """“The titanium one gives 7.6 mm.”"""
    cases: dict[tuple[str, str], set[str]] = {}
    for result in results():
        cases.setdefault((result.page, result.block), set()).add(result.case)
    for result in results():
        for other in sorted(cases[result.page, result.block] - {result.case}):
            if not (_own_words(result, cases) and _own_words(replace(result, case=other), cases)):
                continue
            link = f"[{result.label}]({result.address})"
            yield Pair(
                right=f"The {_said(result.case)} one gives {link}.",
                wrong=f"The {_said(other)} one gives {link}.",
            )


def _own_words(result: Result, cases: dict[tuple[str, str], set[str]]) -> set[str]:
    """The words of a case's name that no other case of the block has, and that are no gears."""
    others = cases[result.page, result.block] - {result.case}
    words = set(re.split("[-_]", result.case)) - set(GEARS.values())
    return words - {word for other in others for word in re.split("[-_]", other)}


def _said(case: str) -> str:
    """What a sentence calls a case: nobody writes “the after one”."""
    return {"before": "old", "after": "new"}.get(case, case.replace("_", " "))


@dataclass(frozen=True, kw_only=True)
class SeededClass:
    """`caught` is the share of the false sentences that have to be found with one of the `codes`; `passed`
    that of the true ones that have to go without any finding; `least` how many pairs there have to be."""

    make: Callable[[], Iterator[Pair]]
    codes: tuple[str, ...]
    least: int
    caught: float = 1.0
    passed: float = 1.0


CLASSES = {
    "direction word after": SeededClass(make=direction_after, codes=("direction-contradicts",), least=300),
    "direction word before": SeededClass(make=direction_before, codes=("direction-contradicts",), least=300),
    "phrases of direction": SeededClass(make=direction_phrases, codes=("direction-contradicts",), least=300),
    "sign turned": SeededClass(make=sign_turned, codes=("figure-disagrees",), least=300),
    "cases of a change swapped": SeededClass(
        make=cases_swapped, codes=("direction-contradicts", "figure-disagrees"), least=300
    ),
    "ends of a change swapped": SeededClass(make=ends_swapped, codes=("figure-disagrees",), least=300),
    "an end of a change wrong": SeededClass(make=an_end_wrong, codes=("figure-disagrees",), least=50),
    "multiple": SeededClass(make=multiples, codes=("figure-disagrees",), least=300),
    "multiple in words": SeededClass(make=multiples_in_words, codes=("figure-disagrees",), least=50),
    "digit of a result": SeededClass(make=digits_of_results, codes=("figure-disagrees",), least=500),
    "digit of an input": SeededClass(make=digits_of_inputs, codes=("figure-disagrees",), least=150),
    "digit of a cited fact": SeededClass(
        make=digits_of_facts, codes=("cited-differently", "figure-unreadable"), least=30
    ),
    "cited facts swapped": SeededClass(
        make=facts_swapped, codes=("cited-differently", "wrong-dimension"), least=100
    ),
    "cited torque without a fact": SeededClass(
        make=torques_without_a_fact, codes=("torque-without-fact",), least=10
    ),
    "gear word": SeededClass(make=gear_words, codes=("other-gear",), least=50),
    "case word": SeededClass(make=case_words, codes=("other-case",), least=100),
}


@pytest.mark.parametrize("name", CLASSES)
def test_what_is_false_is_caught_and_what_is_true_passes(name: str) -> None:
    seeded = CLASSES[name]
    pairs = list(seeded.make())
    right = _codes_by_sentence([pair.right for pair in pairs])
    wrong = _codes_by_sentence([pair.wrong for pair in pairs])
    alarms = [f"{pair.right}: {codes}" for pair, codes in zip(pairs, right, strict=True) if codes]
    missed = [
        f"{pair.wrong}: {codes}"
        for pair, codes in zip(pairs, wrong, strict=True)
        if not codes & set(seeded.codes)
    ]
    print(f"\n{name}: {len(pairs) - len(missed)} of {len(pairs)} caught, {len(alarms)} false alarms")
    assert len(pairs) >= seeded.least
    assert len(missed) <= (1 - seeded.caught) * len(pairs), "\n".join(missed[:20])
    assert len(alarms) <= (1 - seeded.passed) * len(pairs), "\n".join(alarms[:20])


def _codes_by_sentence(sentences: list[str]) -> list[set[str]]:
    """What the proof finds in each sentence: they stand on every other line."""
    codes: list[set[str]] = [set() for _ in sentences]
    for finding in proofed(sentences).findings:
        if finding.position.path.endswith(f"{PAGE}.md"):
            codes[finding.position.line // 2].add(finding.code.name)
    return codes
