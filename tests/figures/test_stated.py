"""The figure grammar: what each label states, what is refused and where, and how figures are written."""

from __future__ import annotations

import re
import time
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import CODES
from buildlog.figures import units
from buildlog.figures.labels import plain
from buildlog.figures.numbers import Unreadable, parse_number
from buildlog.figures.stated import LONGEST_LABEL, Stated, parse

NARROW, NO_BREAK = "\u202f", "\u00a0"


def stated_or_refused(label: str) -> Stated | Unreadable:
    try:
        return parse(label)
    except Unreadable as refused:
        return refused


# label, low, unit, hedge or comparator
ONE_NUMBER = [
    ("124.8 km/h", "124.8", "km/h", None),
    ("124.8km/h", "124.8", "km/h", None),
    ("8,200 rpm", "8200", "rpm", None),
    (f"12{NARROW}500{NO_BREAK}rpm", "12500", "rpm", None),
    ("−4.7 %", "-4.7", "%", None),
    ("+5 %", "5", "%", None),
    ("39 N·m", "39", "N·m", None),
    ("39 N*m", "39", "N*m", None),
    ("39 lb-ft", "39", "lb-ft", None),
    ("1 1/2 in", "3/2", "in", None),
    ("1-1/2 in", "3/2", "in", None),
    ("⅜ in", "3/8", "in", None),
    ('3/8"', "3/8", '"', None),
    ("5 ft 6 in", "66", "in", None),
    ("5′ 6″", "66", "in", None),
    ("1 min 23.4 s", "83.4", "s", None),
    ("4.56:1", "4.56", "", None),
    ("41/9", "41/9", "", None),
    ("12°", "12", "°", None),
    ("-40 °C", "-40", "°C", None),
    ("8200/min", "8200", "/min", None),
    ("£450", "450", "£", None),
    ("−£1,200", "-1200", "£", None),
    ("€ 12.50", "12.5", "€", None),
    ("USD 450", "450", "USD", None),
    ("450 euros", "450", "euros", None),
    ("£12.50/kg", "12.5", "£/kg", None),
    ("£4.20 per metre", "4.2", "£/m", None),
    ("$3 per foot", "3", "$/ft", None),
    ("Fr. 450", "450", "Fr.", None),
    ("ca 10 %", "10", "%", "about"),
    ("∼10 %", "10", "%", "about"),
    ("6 lb 3 oz", "99", "oz", None),
    ("17", "17", "", None),
    ("about 10 %", "10", "%", "about"),
    ("Around 10 %", "10", "%", "about"),
    ("roughly 10 %", "10", "%", "about"),
    ("approximately 10 %", "10", "%", "about"),
    ("approx. 10 %", "10", "%", "about"),
    ("some 400 hp", "400", "hp", "about"),
    ("circa 400 hp", "400", "hp", "about"),
    ("c. 400 hp", "400", "hp", "about"),
    ("~400 hp", "400", "hp", "about"),
    ("≈ 400 hp", "400", "hp", "about"),
    ("about −5 °C", "-5", "°C", "about"),
    ("nearly 125 km/h", "125", "km/h", "nearly"),
    ("almost 125 km/h", "125", "km/h", "nearly"),
    ("just under 125 km/h", "125", "km/h", "nearly"),
    ("a little under 125 km/h", "125", "km/h", "nearly"),
    ("slightly less than 125 km/h", "125", "km/h", "nearly"),
    ("just over 125 km/h", "125", "km/h", "just over"),
    ("a shade over 125 km/h", "125", "km/h", "just over"),
    ("a little  more\nthan 125 km/h", "125", "km/h", "just over"),
    ("less than 5 mm", "5", "mm", "<"),
    ("under 5 mm", "5", "mm", "<"),
    ("below 5 mm", "5", "mm", "<"),
    ("< 5 mm", "5", "mm", "<"),
    ("at most 5 mm", "5", "mm", "≤"),
    ("up to 5 mm", "5", "mm", "≤"),
    ("no more than 5 mm", "5", "mm", "≤"),
    ("≤5 mm", "5", "mm", "≤"),
    ("<= 5 mm", "5", "mm", "≤"),
    ("more than 5 mm", "5", "mm", ">"),
    ("over 5 mm", "5", "mm", ">"),
    ("above 5 mm", "5", "mm", ">"),
    ("> 5 mm", "5", "mm", ">"),
    ("at least 5 mm", "5", "mm", "≥"),
    ("not less than 5 mm", "5", "mm", "≥"),
    ("no less than 5 mm", "5", "mm", "≥"),
    (">= 5 mm", "5", "mm", "≥"),
    ("≥ 5 mm", "5", "mm", "≥"),
]


@pytest.mark.parametrize("label, value, unit, lead", ONE_NUMBER)
def test_one_number(label: str, value: str, unit: str, lead: str | None) -> None:
    stated = parse(label)
    assert stated.low == stated.high
    assert (stated.low.value, stated.unit) == (Fraction(value), unit)
    assert (stated.hedge or stated.comparator) == lead
    assert stated.form == ("comparison" if stated.comparator else "plain")
    assert stated.label == label


RANGES = [
    ("400–450 hp", "400", "450", "hp"),
    ("400-450 hp", "400", "450", "hp"),
    ("400‑450 hp", "400", "450", "hp"),
    ("400 – 450 hp", "400", "450", "hp"),
    ("400 to 450 hp", "400", "450", "hp"),
    ("400 hp to 450 hp", "400", "450", "hp"),
    ("between 400 and 450 hp", "400", "450", "hp"),
    ("between 400 hp and 450 hp", "400", "450", "hp"),
    ("−5 to −3 °C", "-5", "-3", "°C"),
    ("-5–+3 °C", "-5", "3", "°C"),
    ("1 1/2–2 in", "3/2", "2", "in"),
    ("5 to 6 in", "5", "6", "in"),
    ("5 ft 6 in to 5 ft 9 in", "66", "69", "in"),
    ("3.9:1–4.1:1", "3.9", "4.1", ""),
    ("1,200–1,350 rpm", "1200", "1350", "rpm"),
    ("£400–£450", "400", "450", "£"),
    ("£400–450", "400", "450", "£"),
    ("1–2", "1", "2", ""),
]


@pytest.mark.parametrize("label, low, high, unit", RANGES)
def test_ranges(label: str, low: str, high: str, unit: str) -> None:
    stated = parse(label)
    assert stated.form == "range"
    assert (stated.low.value, stated.high.value, stated.unit) == (Fraction(low), Fraction(high), unit)
    assert len(stated.number_spans) == 2


REFUSED = [
    # label, code, what is marked, what the message says
    ("", "figure-unreadable", "", "a number"),
    ("   ", "figure-unreadable", "", "a number"),
    ("two gears", "figure-unreadable", "gears", "write [two](…) gears"),
    ("a hundred gears", "figure-unreadable", "a hundred gears", "a number"),
    ("hundred gears", "figure-unreadable", "hundred gears", "in digits"),
    ("a 5 mm", "figure-unreadable", "a 5 mm", "a number"),
    ("just 5 mm", "figure-unreadable", "just 5 mm", "a number"),
    ("within 5 mm", "figure-unreadable", "within 5 mm", "a number"),
    ("124.8 km/h in third", "figure-unreadable", "in third", "nothing after “124.8 km/h”"),
    ("2 bar g", "figure-unreadable", "g", "nothing after"),
    ("4.56:1 rpm", "figure-unreadable", "rpm", "nothing after"),
    ("±5 mm", "figure-unreadable", "±5 mm", "write 5 ± 1 mm"),
    ("nearly 0 mm", "figure-unreadable", "nearly 0 mm", "other than 0"),
    ("about at least 5 mm", "figure-unreadable", "about at least 5 mm", "one of"),
    ("about 400–450 hp", "figure-unreadable", "400–450 hp", "one number"),
    ("–3 %", "figure-unreadable", "–3", "write −3"),
    ("- 3 %", "figure-unreadable", "- 3", "write −3"),
    ("1.2 x 10^3 Pa", "figure-unreadable", "x 10^3 Pa", "× 10⁻³"),
    ("1.2·10³ Pa", "figure-unreadable", "·10³ Pa", "× 10⁻³"),
    ("CHF 1'200", "figure-two-numbers", "'200", "8,200"),
    ("450–400 hp", "figure-unreadable", "450–400 hp", "low to high"),
    ("400–400 hp", "figure-unreadable", "400–400 hp", "low to high"),
    ("400 and 450 hp", "figure-unreadable", " and 450 hp", "between"),
    ("between 400 to 450 hp", "figure-unreadable", " to 450 hp", "between"),
    ("from 400 and 450 hp", "figure-unreadable", " and 450 hp", "between"),
    ("between 400 hp", "figure-unreadable", "", "second number"),
    ("400 hp to 450 kW", "figure-unreadable", "400 hp to 450 kW", "one unit"),
    ("400 hp to 450", "figure-unreadable", "400 hp to 450", "one unit"),
    ("£400–450 kg", "figure-unreadable", "£400–450 kg"[1:], "one unit"),
    ("3.9:1–4.1", "figure-unreadable", "3.9:1–4.1", "ratio on both sides"),
    ("−£−5", "figure-unreadable", "−£−5", "one sign"),
    ("5 mm 6", "figure-two-numbers", "6", "one number"),
    ("5 mm, 6 mm", "figure-unreadable", ", 6 mm", "nothing after"),
    ("124.8 kmj", "unknown-unit", "kmj", "did you mean"),
    ("5 psig", "unknown-unit", "psig", "gauge or absolute"),
    ("400 to", "unknown-unit", "to", ""),
    ("1,35 bar", "number-unreadable", "1,35", "write 1.35"),
    ("about 010 mm", "number-unreadable", "010", "write 10"),
    (".5 in", "number-unreadable", ".5", "write 0.5"),
    ("12:30", "number-unreadable", "12:30", "ratio to 1"),
    ("**1\\_000 mm**", "number-unreadable", "1\\_000", "plain number"),
    ("nan", "figure-unreadable", "nan", "a number"),
]


@pytest.mark.parametrize(
    ("label", "signed"),
    [
        ("5 °C", False), ("-5 °C", True), ("−5 °C", True), ("+5 °C", True), ("-5 to 3 °C", True),
        ("from 5 to -3 °C", True), ("from 5 to 3 °C", False), ("5 ± 1 °C", False), ("−5 to −3 °C", True),
    ],
)  # fmt: skip
def test_a_sign_of_either_number_is_one(label: str, signed: bool) -> None:
    assert parse(label).signed == signed


@pytest.mark.parametrize(
    ("label", "value", "unit", "direction"),
    [
        # A part by itself, with “more” or “less”, is a share of the whole.
        ("a third more", Fraction(100, 3), "%", 1), ("1/3 less", Fraction(100, 3), "%", -1),
        ("a half less", Fraction(50), "%", -1), ("1 1/2 more", Fraction(150), "%", 1),
        ("two and a half more", Fraction(250), "%", 1),
        ("two thirds less", Fraction(200, 3), "%", -1),
        # A whole number, or a part of a unit, is an amount.
        ("two more", Fraction(2), "", 1), ("twenty less", Fraction(20), "", -1),
        ("5 more", Fraction(5), "", 1),
        ("0.5 more", Fraction(1, 2), "", 1), ("1/3 kg more", Fraction(1, 3), "kg", 1),
        ("half a kg less", Fraction(1, 2), "kg", -1), ("5 % more", Fraction(5), "%", 1),
    ],
)  # fmt: skip
def test_what_is_a_share_and_what_an_amount(label: str, value: Fraction, unit: str, direction: int) -> None:
    stated = parse(label)
    assert (stated.low.value, stated.unit, stated.direction) == (value, unit, direction)


@pytest.mark.parametrize("label, code, marked, said", REFUSED)
def test_refused_with_its_place(label: str, code: str, marked: str, said: str) -> None:
    with pytest.raises(Unreadable) as caught:
        parse(label)
    refused = caught.value
    assert refused.code.name == code
    if marked:
        assert label[refused.offset : refused.offset + refused.length] == marked
    assert said in f"{refused.expected} {refused.help}"
    assert refused.expected
    assert refused.help


def test_codes_are_declared_for_the_manual() -> None:
    for code in ("figure-unreadable", "figure-two-numbers", "number-unreadable"):
        assert CODES[code].meaning
        assert CODES[code].mend


# --- properties -------------------------------------------------------------------------

WORDS = "about nearly just over under between and to from at least up km/h hp % in ft £ € more lighter"
NUMBERS = "4 10 124.8 1,200 1/2 ½ 3/8 41/9 4.56:1 e9 ×10 ⁻³"
MARKS = "′ ″ ' \" ± − + – - < > ≤ * ** _ & &nbsp; &#0; &#x110000; \\ [ ] ( ) . , : ; \n \u00a0"
SNIPPETS = st.sampled_from(f"{WORDS} {NUMBERS} {MARKS}".split(" "))
SPACED = st.lists(SNIPPETS, max_size=12).map(" ".join)
JOINED = st.lists(SNIPPETS, max_size=12).map("".join)
CODES_OF_LABELS = {"figure-unreadable", "figure-two-numbers", "number-unreadable", "unknown-unit"}


@given(st.text() | SPACED | JOINED)
def test_raises_only_what_is_declared_and_spans_slice_back(label: str) -> None:
    stated = stated_or_refused(label)
    if isinstance(stated, Unreadable):
        assert 0 <= stated.offset <= len(label)
        assert stated.length >= 1
        assert stated.code.name in CODES_OF_LABELS
        return
    if stated.form == "words":
        assert not stated.number_spans
        return
    assert len(stated.number_spans) == (2 if stated.form in ("range", "pair") else 1)
    for number, (start, end) in zip((stated.low, stated.high), stated.number_spans, strict=False):
        written = re.sub(r"[ \t]*[\r\n]\s*", " ", plain(label[start:end]).text)
        written = re.sub(" to 1$|-to-1$", ":1", written)
        shares = (
            100
            if stated.unit == "%" and number.form in ("fraction", "mixed") and stated.direction_word
            else 1
        )
        assert abs(parse_number(written, spaced=True).value) * shares == abs(number.value)
    if stated.unit:
        assert units.spelt(stated.unit)


@pytest.mark.bench
@pytest.mark.parametrize(
    "piece", ["1", "about ", "*", "_ ", "**a", "\\", "&", "&nbsp;", "–1", "£", "1 ft ", "(", "[", "½"]
)
def test_long_labels_take_linear_time(piece: str) -> None:
    label = piece * (100_000 // len(piece))
    start = time.perf_counter()
    with pytest.raises(Unreadable):
        parse(label)
    plain(label)
    assert time.perf_counter() - start < 1.0


def test_a_label_has_a_longest_length() -> None:
    assert parse("5 mm" + " " * (LONGEST_LABEL - 4)).unit == "mm"
    with pytest.raises(Unreadable, match="301 characters"):
        parse("5 mm" + " " * (LONGEST_LABEL - 3))
