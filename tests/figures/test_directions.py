"""Words of direction: what each says of which quantity (common English, no source)."""

from __future__ import annotations

import pytest

from buildlog.figures.directions import WORDS, opposite, sense
from buildlog.figures.units import DIMENSIONS

GREW = {
    "heavier": "mass", "hotter": "temperature", "warmer": "temperature difference", "longer": "time",
    "taller": "length", "deeper": "length", "wider": "angle", "thicker": "length", "stiffer": "stiffness",
    "stronger": "torque", "dearer": "money in EUR", "later": "time", "louder": "sound level",
}  # fmt: skip
FELL = {
    "lighter": "moment of inertia", "cooler": "temperature", "colder": "temperature difference",
    "shorter": "length", "narrower": "area", "thinner": "length", "softer": "torsional stiffness",
    "weaker": "power", "cheaper": "money in EUR", "sooner": "time", "earlier": "time",
    "quieter": "level difference",
}  # fmt: skip


@pytest.mark.parametrize(("words", "said"), [(GREW, 1), (FELL, -1)])
def test_a_word_of_one_quantity(words: dict[str, str], said: int) -> None:
    for word, dimension in words.items():
        assert sense(word, dimension) == said, word
        assert sense(word.upper(), dimension) == said, "capitals begin a sentence"
        assert sense(word, "volume") == 0, f"no volume is {word}"


def test_every_dimension_of_a_word_is_one_that_there_is() -> None:
    known = "\n".join(DIMENSIONS)
    assert all(dimension in known for dimension in (*GREW.values(), *FELL.values()))


@pytest.mark.parametrize(
    ("word", "dimension", "said"),
    [
        # any quantity
        ("more", "volume", 1), ("gains", "power", 1), ("risen", "pressure", 1), ("up", "speed", 1),
        ("less", "volume", -1), ("saves", "mass", -1), ("dropped", "speed", -1), ("down", "torque", -1),
        # quick is much speed and little time
        ("faster", "speed", 1), ("quicker", "acceleration", 1), ("slower", "rotational speed", -1),
        ("faster", "time", -1), ("quicker", "time", -1), ("slower", "time", 1),
        ("faster", "mass", 0), ("slower", "length", 0),
        # “gains half a second” is said of both
        ("gains", "time", 0), ("lost", "time", 0), ("up", "time", 0), ("down", "time", 0),
        ("saves", "time", -1),
        ("better", "mass", 0), ("", "mass", 0),
    ],
)  # fmt: skip
def test_what_a_word_says(word: str, dimension: str, said: int) -> None:
    assert sense(word, dimension) == said


def test_opposites_are_mutual_and_say_the_other_direction() -> None:
    for word, dimension in (GREW | FELL).items():
        other = opposite(word)
        if other:
            assert other in WORDS
            assert sense(other, dimension) in (-sense(word, dimension), 0)
            assert opposite(other) in WORDS
    assert [opposite(word) for word in ("more", "less", "up", "down", "gains")] == [
        "less",
        "more",
        "down",
        "up",
        "",
    ]
