"""The direction that the words right beside a figure say (common English, no source)."""

from __future__ import annotations

import pytest

from buildlog.proof.direction import direction_beside, directions_in, recorded_change
from buildlog.proof.sentences import Sentence


@pytest.mark.parametrize(
    ("before", "after", "dimension", "word", "direction"),
    [
        ("It saves ", "", "mass", "saves", -1),
        ("It went up by ", ".", "pressure", "up", 1),
        ("a rise of about ", "", "temperature", "rise", 1),
        ("It is ", " lighter", "mass", "lighter", -1),
        ("It is ", " or so less", "power", "less", -1),
        ("In all ", " is saved", "mass", "saved", -1),
        ("It is Heavier by ", "", "mass", "heavier", 1),
        ("We took ", " off the car", "mass", "less", -1),
        ("taking about ", " out of it", "mass", "less", -1),
        # both sides say the same: the one behind is told
        ("It gains ", " more", "power", "more", 1),
    ],
)
def test_a_word_beside_a_figure(before: str, after: str, dimension: str, word: str, direction: int) -> None:
    found = direction_beside(Sentence(before=before, after=after), dimension)
    assert found is not None
    assert (found.word, found.direction) == (word, direction)


@pytest.mark.parametrize(
    ("before", "after", "dimension"),
    [
        ("It is ", ".", "mass"),
        ("It drops, then gains ", " less", "mass"),  # two that differ
        ("It does not save ", "", "mass"),
        ("It isn’t down by ", "", "mass"),
        ("It gains ", "", "time"),  # said of both
        ("It is ", " more or less", "mass"),
        ("It is ", " up the road", "length"),
        ("It saves a lot, and weighs ", "", "mass"),  # not right beside it
        ("It took ", " to do", "mass"),
        ("", " off the car", "mass"),
    ],
)
def test_where_no_word_tells(before: str, after: str, dimension: str) -> None:
    assert direction_beside(Sentence(before=before, after=after), dimension) is None


def test_a_not_that_is_far_away_is_not_meant_for_the_figure() -> None:
    far = Sentence(before="It does not rub, and all in all the new one saves ")
    found = direction_beside(far, "mass")
    assert found is not None
    assert found.direction == -1


@pytest.mark.parametrize(
    ("sentence", "dimension", "directions"),
    [
        (Sentence(before="It went down by "), "mass", {-1}),
        (Sentence(before="It went up by "), "mass", {1}),
        (
            Sentence(before="We put it up, and it is ", after=" lighter"),
            "mass",
            {-1},
        ),  # up says nothing alone
        (Sentence(before="It falls and rises by "), "pressure", {1, -1}),
        (Sentence(before="It is ", after=" long"), "length", set()),
        (Sentence(before="", row="saved", column="more"), "mass", {1, -1}),
    ],
)
def test_all_directions_of_a_sentence(sentence: Sentence, dimension: str, directions: set[int]) -> None:
    assert directions_in(sentence, dimension) == directions


def test_the_change_that_the_record_holds() -> None:
    own, other = (("a", "b", case, "mass", "") for case in ("after", "before"))
    assert recorded_change({own: 3.0, other: 5.0}, own, other) == -2.0
    assert recorded_change({own: 3.0}, own, other) is None
    assert recorded_change({other: 3.0}, own, other) is None
