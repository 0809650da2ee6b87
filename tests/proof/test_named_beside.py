"""A gear or a case that the words beside a figure name and it is not of (common English, no source)."""

from __future__ import annotations

import pytest

from buildlog.proof.named_beside import other_case, other_gear
from buildlog.proof.sentences import Sentence


def sentence(text: str) -> Sentence:
    """A text with # in place of the figure."""
    before, _, after = text.partition("#")
    return Sentence(before=before, after=after)


@pytest.mark.parametrize(
    ("text", "key", "other"),
    [
        ("It does # in third.", "3", ""),
        ("It does # in third.", "2", "3"),
        ("It does # in 3rd.", "2", "3"),
        ("It does # in gear 3.", "2", "3"),
        ("In second, it does #.", "3", "2"),
        ("In second it does #.", "2", ""),
        ("It does #.", "2", ""),
        ("In second, third and fourth it does #.", "5", ""),  # a list
        ("It falls to # from second to third.", "2-3", ""),
        ("First, it does #.", "3", ""),  # no gear
        ("The second car does #.", "3", ""),
        ("It does # in fifth gear.", "4", "5"),
        ("It drops to # when it shifts into third.", "2", ""),  # the gear that is left for it
        ("It drops to # when it shifts into fourth.", "2", "4"),
    ],
)
def test_the_gear_that_is_named(text: str, key: str, other: str) -> None:
    assert other_gear(sentence(text), key) == other


@pytest.mark.parametrize(
    ("text", "own", "other"),
    [
        ("The short drive gives #.", "short", ""),
        ("The long drive gives #.", "short", "long"),
        ("The short drive gives #, the long one more.", "short", ""),
        ("The long drive gives #, the short one more.", "short", "long"),
        ("It gives #.", "short", ""),
        ("It gives more than the long drive: #.", "short", ""),  # what is compared with
        ("With the long drive, it gives #.", "short", "long"),
        ("It gives #, so the long drive went.", "short", ""),  # what follows may be about anything
        ("Neither drive, short or long, gives #.", "short", ""),
    ],
)
def test_the_case_that_is_named(text: str, own: str, other: str) -> None:
    assert other_case(sentence(text), [own], ["short", "long"]) == other


@pytest.mark.parametrize(
    ("text", "own", "other"),
    [
        ("Before, it gave #.", "after", "before"),
        ("After the swap it gives #.", "before", "after"),
        ("The old one gave #.", "after", "before"),
        ("The new one gives #.", "before", "after"),
        ("The standard one gave #.", "before", ""),
        ("Before the bend it gave #.", "after", ""),  # which tells when
    ],
)
def test_words_for_what_was_and_what_is(text: str, own: str, other: str) -> None:
    assert other_case(sentence(text), [own], ["before", "after"]) == other


def test_words_that_all_cases_share_name_none_of_them() -> None:
    cases = ["short_drive", "long_drive", ""]
    assert other_case(sentence("The drive gives #."), ["short_drive"], cases) == ""
    assert other_case(sentence("The long drive gives #."), ["short_drive"], cases) == "long_drive"


def test_the_row_and_the_column_of_a_table_name_them_too() -> None:
    assert other_gear(Sentence(row="third", column="speed"), "2") == "3"
    assert other_case(Sentence(row="speed", column="long"), ["short"], ["short", "long"]) == "long"
    assert other_case(Sentence(row="short", column="speed"), ["short"], ["short", "long"]) == ""
