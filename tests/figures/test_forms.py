"""Every form of a label that first drafts had: read, or refused with the exact words to write instead.

The rows are those of tests/data/forms.tsv, which was collected from first drafts; what is not about the form
of a label is shown elsewhere. What a label is held against is in its own unit, by hand from the row.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import pytest

from buildlog.figures.agreement import Computed, judge, judge_pair, unit_of
from buildlog.figures.labels import plain
from buildlog.figures.numbers import Unreadable
from buildlog.figures.stated import Stated, parse
from buildlog.figures.words import meaning

TABLE = Path(__file__).parents[1] / "data" / "forms.tsv"


@dataclass(frozen=True, kw_only=True)
class Held:
    """A label with a value that it states and one that it does not, both in its own unit; of a pair, the
    values before and after. `change` marks a value against another one, `of` what has changed."""

    label: str
    dimension: str
    right: tuple[float, ...]
    wrong: tuple[float, ...]
    change: bool = False
    of: str = ""


def held(
    label: str, dimension: str, right: float, wrong: float, *, change: bool = False, of: str = ""
) -> Held:
    return Held(label=label, dimension=dimension, right=(right,), wrong=(wrong,), change=change, of=of)


def pair(label: str, dimension: str, right: tuple[float, float], wrong: tuple[float, float]) -> Held:
    return Held(label=label, dimension=dimension, right=right, wrong=wrong)


REVS = "rotational speed"
READ: dict[str, list[Held]] = {
    "twice": [held("twice", "ratio", 2.02, 2.3)],
    "half": [held("half", "ratio", 0.51, 0.6)],
    "a third more": [held("a third more", "ratio", 33, -33, change=True, of="power")],
    "a quarter less": [held("a quarter less", "ratio", -25, 25, change=True, of="mass")],
    "one sixth of": [held("one sixth", "ratio", 0.17, 0.2), held("one sixth of", "ratio", 0.17, 0.2)],
    "n times": [held("2.1 times", "ratio", 2.12, 2.2)],
    "n×": [held("2×", "ratio", 2.05, 2.4)],
    "6½ times": [held("6½ times", "ratio", 6.52, 6.6)],
    "number in words": [held("four", "count", 4, 5)],
    "dozen": [held("a dozen", "count", 12, 13)],
    "direction inside": [
        held("560 rpm more", REVS, 560.2, -560.2, change=True),
        held("6.9 lb lighter", "mass", -6.91, 6.91),
    ],
    "from to, two cases": [
        pair("from 3,375 to 3,933 rpm", REVS, (3375.3, 3932.8), (900, 3932.8)),
        pair("from 3,375 to 3,933 rpm", REVS, (3375.3, 3932.8), (3932.8, 3375.3)),
    ],
    "from to, falling": [pair("from 152 to 151 mph", "speed", (152.3, 150.9), (150.9, 152.3))],
    "plus-minus in label": [held("3,900 ± 50 rpm", REVS, 3949, 3951)],
    "plus": [held("3,900+ rpm", REVS, 3901, 3899)],
    "getting on for": [held("getting on for 4,000 rpm", REVS, 3900, 4010)],
    "well over": [held("well over 3,000 rpm", REVS, 3400, 3010)],
    "in excess of": [held("in excess of 3,000 rpm", REVS, 3010, 2990)],
    "not quite": [held("not quite 4,000 rpm", REVS, 3950, 4010)],
    "close to": [held("close to 4,000 rpm", REVS, 4080, 4300)],
    "maximum": [
        held("max. 4,000 rpm", REVS, 3999, 4001),
        held("4,000 rpm at most", REVS, 3999, 4001),
        held("no higher than 4,000 rpm", REVS, 3999, 4001),
    ],
    "trailing hedge": [
        held("4,000 rpm or so", REVS, 4080, 4300),
        held("4,000-ish rpm", REVS, 3920, 3700),
    ],
    "an extra": [held("an extra 500 rpm", REVS, 500.3, -500.3, change=True)],
    "up by": [
        held("up 17 %", "ratio", 17.2, -17.2, change=True, of="power"),
        held("down by 17 %", "ratio", -17.2, 17.2, change=True, of="power"),
    ],
    "ratio to one": [held("4.56 to 1", "ratio", 41 / 9, 4.1), held("14.7 to 1.", "ratio", 14.71, 14.8)],
    "ratio colon": [held("41:9", "ratio", 41 / 9, 42 / 9)],
    "was": [pair("3,933 rpm (was 3,375)", REVS, (3375.3, 3932.8), (3932.8, 3375.3))],
    "arrow": [pair("3,375 → 3,933 rpm", REVS, (3375.3, 3932.8), (3932.8, 3375.3))],
    "two units": [held("110 mph (177 km/h)", "speed", 110.2, 111)],
    "full stop inside": [held("3,933 rpm.", REVS, 3932.8, 3934)],
    "plain-space thousands": [held("6 800 rpm", REVS, 6800.3, 680)],
    "thin-space thousands, slash": [
        held("6\u2009800/min", REVS, 6800.3, 680),
        held("€2\u2009485/kg", "money in EUR per mass", 2485.3, 485),
    ],
    "line break in a number": [
        held("5 ft\n9.4 in", "length", 69.42, 9.4),
        held("2.95 ×\n10⁶ µs", "time", 2.952e6, 2.95),
    ],
    "minus and below": [held("just below −6 °C", "temperature", -6.4, -5.8)],
    "fraction, too coarse": [held("1/2 in", "length", 0.49, 0.315), held("1 1/2 in", "length", 1.51, 1.26)],
    "fraction of a ratio": [held("1/6", "ratio", 0.17, 0.2)],
    "zero": [held("0 MJ", "energy", 0.0, 0.0207)],
    "pound as force": [held("1,250 lb", "force", 1250.3, 1252)],
    "speed per engine speed": [held("18.1 mph per 1000 rpm", "speed per rotational speed", 18.12, 18.2)],
}

REFUSED: dict[str, list[tuple[str, str]]] = {
    # the label, and what its help says to write
    "range, unit once": [("10 to 11 ft 3 in", "10 ft 0 in to 11 ft 3 in")],
    "range, exponent once": [("1.2–1.4 × 10³ rpm", "1.2 × 10³ to 1.4 × 10³ rpm")],
    "range, mass once": [("15–16 lb 14 oz", "15 lb 0 oz to 16 lb 14 oz")],
    "range, minutes": [("1–2 min 30 s", "1 min 0 s to 2 min 30 s")],
    "range, minus once": [("−3–5 %", "−3 to +5 %"), ("−3–5 %", "−5 to −3 %")],
    "range, descending": [("20–15 %", "15–20 %"), ("20–15 %", "from 20 to 15 %")],
    "range, hedged": [("about 15 to 20 kW", "15 to 20 kW")],
    "range, em dash": [("15—20 kW", "15–20 kW")],
    "k suffix": [("3.9k rpm", "3,900 rpm"), ("3.9k rpm", "3.9 × 10³ rpm")],
    "two figures": [("14.6 s at 100 mph", "14.6 s"), ("14.6 s at 100 mph", "100 mph")],
    "code inside": [("`3,933 rpm`", "3,933 rpm")],
}
ALSO_READ = {"range, price": ("€30–35/kg", 30, 35)}

ELSEWHERE = {
    "direction beside": "tests/proof/test_judging.py",
    "direction beside, wrong": "tests/proof/test_judging.py",
    "gear word, wrong": "tests/proof/test_judging.py",
    "case word, wrong": "tests/proof/test_judging.py",
    "tolerance with two meanings": "tests/figures/test_agreement.py",
}
"""Rows on words beside a figure, and on a tolerance in a title: they are about labels only in part."""
NOT_OF_LABELS = frozenset(
    {
        "dollar in a block", "braces and thousands", "vs another block", "input", "data", "cited value",
        "space before address", "brackets swapped", "unclosed", "no definition", "scheme misspelt",
        "raw HTML", "alt text", "front matter", "snippet", "table cell", "ordinal keys", "state by number",
    }
)  # fmt: skip
"""Rows on blocks, addresses, markup and names, which have their tests in those rooms."""


def rows() -> list[list[str]]:
    return [line.split("\t") for line in TABLE.read_text(encoding="utf-8").splitlines()[1:]]


def test_every_row_is_shown_somewhere() -> None:
    forms = {row[0] for row in rows()}
    ours = READ.keys() | REFUSED.keys() | ALSO_READ.keys()
    assert forms == ours | ELSEWHERE.keys() | NOT_OF_LABELS
    root = Path(__file__).parents[2]
    assert all((root / place).exists() for place in ELSEWHERE.values())


@pytest.mark.parametrize("form", sorted(READ.keys() | REFUSED.keys() | ALSO_READ.keys()))
def test_the_labels_are_those_of_the_row(form: str) -> None:
    examples = [row[1].replace("⏎", "\n").replace("\u2009", " ") for row in rows() if row[0] == form]
    labels = [each.label for each in READ.get(form, ())] + [label for label, _ in REFUSED.get(form, ())]
    labels += [ALSO_READ[form][0]] if form in ALSO_READ else []
    for example in examples:
        shown = [label for label in labels if label.replace("\u2009", " ") in example]
        # A row that says its result and its label in words is held by label alone.
        assert shown, (example, labels)


def verdict(case: Held, values: tuple[float, ...]) -> bool:
    stated = parse(case.label)
    unit = unit_of(stated, case.dimension)
    to_si = unit.to_si_difference if case.change else unit.to_si
    computed = [Computed(to_si(value), case.dimension) for value in values]
    if stated.form == "pair":
        return judge_pair(stated, computed[0], computed[1], unit).agrees
    return judge(stated, computed[0], unit, change=case.change, of=case.of).agrees


@pytest.mark.parametrize(
    "case", [each for cases in READ.values() for each in cases], ids=lambda case: case.label
)
def test_a_form_that_is_read_agrees_with_its_value_and_with_no_other(case: Held) -> None:
    assert verdict(case, case.right)
    assert not verdict(case, case.wrong)


@pytest.mark.parametrize("label, words", [each for cases in REFUSED.values() for each in cases])
def test_a_form_that_is_refused_shows_words_that_are_read(label: str, words: str) -> None:
    with pytest.raises(Unreadable) as caught:
        parse(label)
    assert words in caught.value.help
    stated = parse(words)
    assert stated.number_spans


def test_a_price_by_mass_has_its_unit_once() -> None:
    label, low, high = ALSO_READ["range, price"]
    stated = parse(label)
    assert (int(stated.low.value), int(stated.high.value), stated.unit) == (low, high, "€/kg")


# --- what more the parts of the grammar have -----------------------------------------------

MORE = [
    # label, value of the first and second number, unit
    ("half a second", "1/2", "second"),
    ("three quarters of an inch", "3/4", "inch"),
    ("ten percent", "10", "percent"),
    ("10 per cent", "10", "per cent"),
    ("10 pct", "10", "pct"),
    ("half a dozen", "6", ""),
    ("two thirds", "2/3", ""),
    ("one and a half times", "3/2", ""),
    ("thrice", "3", ""),
    ("tenfold", "10", ""),
    ("minus 5 °C", "-5", "°C"),
    ("4,000 rpm max", "4000", "rpm"),
    ("400 rpm more or less", "400", "rpm"),
    ("3,900 rpm ± 50 rpm", "3900", "rpm"),
    ("39 ± 3 N·m", "39", "N·m"),
    ("85 ± 2 %", "85", "%"),
    ("a saving of 142 g", "142", "g"),
    ("saves 142 g", "142", "g"),
    ("lighter by 142 g", "142", "g"),
    ("another 500 rpm", "500", "rpm"),
    ("about 17 % up", "17", "%"),
    ("0.3 of a second", "3/10", "second"),
    ("an inch", "1", "inch"),
    ("a pound lighter", "1", "pound"),
    ("one-and-a-half times", "3/2", ""),
    ("two to three times", "2", ""),
    ("a third to a half more", "100/3", "%"),
    ("3,933 (was 3,375) rpm", "3375", "rpm"),
    ("5 °C (9 °F) cooler", "5", "°C"),
    ("20 °C (68 °F)", "20", "°C"),
    ("1/2 in (13 mm)", "1/2", "in"),
    ("at least four", "4", ""),
    ("nearly twice", "2", ""),
]


@pytest.mark.parametrize("label, value, unit", MORE)
def test_more_of_the_same(label: str, value: str, unit: str) -> None:
    stated = parse(label)
    assert (stated.low.value, stated.unit) == (Fraction(value), unit)


REFUSED_TOO = [
    ("−17 lb lighter", "17 lb lighter"),
    ("2.1 times more", "2.1 times"),
    ("twice as fast", "[twice]"),
    ("four bolts", "[four]"),
    ("5 mm clear", "[5 mm]"),
    ("down to 5 mm", "[5 mm]"),
    ("quicker lap", "[quicker]"),
    ("110 mph (187 km/h)", "110 mph (177 km/h)"),
    ("10 ft to 11 ft 3 in", "10 ft 0 in to 11 ft 3 in"),
    ("85 % ± 2 %", "85 ± 2 %"),
    ("£3.5k", "£3,500"),
    ("minus −5 °C", "−5"),
    ("only 4 kg", "[4 kg]"),
    ("20 °C (58 °F)", "20 °C (68 °F)"),
    ("£42 ($55)", "[£42]"),
    ("3,900 or 4,000 rpm", "[3,900]"),
]


@pytest.mark.parametrize("label, words", REFUSED_TOO)
def test_more_that_is_refused_with_words(label: str, words: str) -> None:
    with pytest.raises(Unreadable) as caught:
        parse(label)
    assert words in caught.value.help
    parse(words.strip("[]"))


WORDS = [
    ("slower", "direction", "slower", False),
    ("No slower", "direction", "slower", True),
    ("**lighter**", "direction", "lighter", False),
    ("no measurable difference", "same", "", False),
    ("unchanged.", "same", "", False),
    ("enough", "holds", "", False),
    ("not enough", "fails", "", False),
    ("too close to call", "close", "", False),
]


@pytest.mark.parametrize("label, said, word, denied", WORDS)
def test_words_alone(label: str, said: str, word: str, denied: bool) -> None:
    stated: Stated = parse(label)
    assert (stated.form, stated.number_spans) == ("words", ())
    meant = meaning(stated.words)
    assert meant is not None
    assert (meant.said, meant.word, meant.denied) == (said, word, denied)


@pytest.mark.parametrize("label", ["quick", "good", "third", "the red one", "nearly"])
def test_other_words_are_refused(label: str) -> None:
    assert plain(label).text == label
    with pytest.raises(Unreadable):
        parse(label)


def test_a_pair_that_ends_with_one_is_no_ratio() -> None:
    """“From second to first”: 2 to 1 behind “from” are the ends of a change, elsewhere a ratio to one."""
    assert parse("from 2 to 1").form == "pair"
    assert parse("2 to 1").low.form == "ratio"
