"""Numbers in words, and words in a label that say what a number would (common English, no source)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from buildlog.figures.words import COUNTS, in_words, meaning, number_at

PARTS = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fourth": 4, "fifth": 5,
    "fifths": 5, "sixth": 6, "seventh": 7, "eighth": 8, "eighths": 8, "ninth": 9, "tenth": 10, "tenths": 10,
    "twelfth": 12, "sixteenth": 16, "sixteenths": 16, "twentieth": 20,
}  # fmt: skip


@pytest.mark.parametrize(("part", "below"), PARTS.items())
def test_parts(part: str, below: int) -> None:
    found = number_at(f"three {part} of it", 0)
    assert found is not None
    assert (found.value, found.below, found.kind) == (Fraction(3, below), below, "fraction")
    assert found.end == len(f"three {part}")


def test_counts_to_twenty() -> None:
    words = (
        "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
        "seventeen eighteen nineteen twenty"
    )
    assert list(COUNTS) == words.split()
    for number, word in enumerate(words.split(), start=1):
        found = number_at(word, 0)
        assert found is not None
        assert (found.value, found.kind, found.end) == (Fraction(number), "count", len(word))
        assert in_words(Fraction(number)) == word
    assert [in_words(value) for value in (Fraction(0), Fraction(21), Fraction(1, 2))] == ["", "", ""]


@pytest.mark.parametrize(
    ("text", "value", "kind", "read"),
    [
        ("dozen", 12, "count", "dozen"),
        ("a dozen bolts", 12, "count", "a dozen"),
        ("half a dozen", 6, "count", "half a dozen"),
        ("two dozen", 24, "count", "two dozen"),
        ("twice the mass", 2, "multiple", "twice"),
        ("doubled", 2, "multiple", "doubled"),
        ("trebles", 3, "multiple", "trebles"),
        ("thrice", 3, "multiple", "thrice"),
        ("quadrupled", 4, "multiple", "quadrupled"),
        ("fivefold", 5, "multiple", "fivefold"),
        ("five-fold", 5, "multiple", "five-fold"),
        ("two and a half litres", Fraction(5, 2), "fraction", "two and a half"),
        ("one and three quarters", Fraction(7, 4), "fraction", "one and three quarters"),
        ("a third of it", Fraction(1, 3), "fraction", "a third"),
        ("an eighth", Fraction(1, 8), "fraction", "an eighth"),
        ("half", Fraction(1, 2), "fraction", "half"),
        ("quarter", Fraction(1, 4), "fraction", "quarter"),
        ("Two Thirds", Fraction(2, 3), "fraction", "Two Thirds"),
    ],
)
def test_numbers_in_words(text: str, value: Fraction, kind: str, read: str) -> None:
    found = number_at(text, 0)
    assert found is not None
    assert (found.value, found.kind, text[: found.end]) == (value, kind, read)


@pytest.mark.parametrize("text", ["third", "thirds of it", "ton", "halfway", "", "zero", "five-speed"])
def test_what_is_no_number(text: str) -> None:
    """A bare “third” is a gear; “five-speed” is a name."""
    assert number_at(text, 0) is None


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("no measurable difference", "same"), ("Unchanged", "same"), ("as  before", "same"),
        ("equal", "same"),
        ("enough", "holds"), ("is met", "holds"), ("yes", "holds"), ("stiff enough", "holds"),
        ("quite enough", "holds"), ("not enough", "fails"), ("not stiff enough", "fails"), ("no", "fails"),
        ("falls short", "fails"), ("too heavy", "fails"), ("too close to call", "close"),
        ("borderline", "close"),
    ],
)  # fmt: skip
def test_words_that_stand_for_a_verdict(words: str, said: str) -> None:
    found = meaning(words)
    assert found is not None
    assert (found.said, found.word) == (said, "")


@pytest.mark.parametrize(
    ("words", "word", "denied"),
    [("lighter", "lighter", False), ("no slower", "slower", True), ("Not less", "less", True)],
)
def test_words_of_direction(words: str, word: str, denied: bool) -> None:
    found = meaning(words)
    assert found is not None
    assert (found.said, found.word, found.denied) == ("direction", word, denied)


@pytest.mark.parametrize("words", ["nearly enough", "fine", "", "green", "no green"])
def test_words_that_cannot_be_rested_on(words: str) -> None:
    assert meaning(words) is None
