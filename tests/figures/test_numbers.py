"""The number grammar and the values of a block: what is read, what it is worth, what is refused and where."""

from __future__ import annotations

import time
import unicodedata
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.figures.numbers import VULGAR, Unreadable, parse_number, read
from buildlog.figures.values import parse_value
from tests.examples import with_examples
from tests.house import ROOT

THIN, NARROW, NO_BREAK = "\u2009", "\u202f", "\u00a0"

# (text, value, step of the last digit written, form); values by hand from the decimal notation
READ = [
    ("0", "0", "1", "integer"),
    ("400", "400", "1", "integer"),
    ("+5", "5", "1", "integer"),
    ("-40", "-40", "1", "integer"),
    ("−40", "-40", "1", "integer"),
    ("8,200", "8200", "1", "integer"),
    (f"12{THIN}500", "12500", "1", "integer"),
    (f"12{NARROW}500", "12500", "1", "integer"),
    (f"12{NO_BREAK}500", "12500", "1", "integer"),
    ("1,234,567.80", "1234567.8", "0.01", "decimal"),
    ("124.8", "124.8", "0.1", "decimal"),
    ("124.80", "124.8", "0.01", "decimal"),
    ("0.0005", "0.0005", "0.0001", "decimal"),
    ("1.2e-3", "0.0012", "0.0001", "scientific"),
    ("1.2E+3", "1200", "100", "scientific"),
    ("1e3", "1000", "1000", "scientific"),
    ("1.2×10⁻³", "0.0012", "0.0001", "scientific"),
    ("1.22 × 10³", "1220", "10", "scientific"),
    ("1.2×10^-3", "0.0012", "0.0001", "scientific"),
    ("3/8", "3/8", "1/8", "fraction"),
    ("3⁄8", "3/8", "1/8", "fraction"),
    ("½", "1/2", "1/2", "fraction"),
    ("41/9", "41/9", "1/9", "fraction"),
    ("1 1/2", "3/2", "1/2", "mixed"),
    (f"1{NO_BREAK}1/2", "3/2", "1/2", "mixed"),
    ("1-1/2", "3/2", "1/2", "mixed"),
    ("1½", "3/2", "1/2", "mixed"),
    ("-1 ⅜", "-11/8", "1/8", "mixed"),
    ("4.56:1", "4.56", "0.01", "ratio"),
    ("10 : 1", "10", "1", "ratio"),
    ("5 ft 6 in", "66", "1", "compound"),
    ("5′ 6″", "66", "1", "compound"),
    ("5'6\"", "66", "1", "compound"),
    ("5 ft 6 1/2 in", "66.5", "1/2", "compound"),
    ("5' 6½\"", "66.5", "1/2", "compound"),
    ("6 ft 0.25 in", "72.25", "0.01", "compound"),
    ("-1 ft 3 in", "-15", "1", "compound"),
    ("1 min 23.4 s", "83.4", "0.1", "compound"),
    ("5’6”", "66", "1", "compound"),
    ("5' 6''", "66", "1", "compound"),
    ("5 ft. 6 in.", "66", "1", "compound"),
    ("2 mins 5 secs", "125", "1", "compound"),
    ("1 h 30 min", "90", "1", "compound"),
    ("6 lb 3 oz", "99", "1", "compound"),  # NIST SP 811 (2008), B.8: 16 oz to the pound
]


@pytest.mark.parametrize("text, value, step, form", READ)
def test_reads_exactly(text: str, value: str, step: str, form: str) -> None:
    number = parse_number(text)
    assert (number.value, number.step, number.form) == (Fraction(value), Fraction(step), form)
    assert (number.text, number.start, number.end) == (text, 0, len(text))
    last = number.parts[1] if number.parts else number
    if last.form not in ("fraction", "mixed"):
        assert number.half() == Fraction(step) / 2


@pytest.mark.parametrize(
    "text, length, half",
    [
        # By hand, from the rule that the manual states (house rule).
        ("1/2", True, "1/32"),
        ("1 1/2", True, "1/32"),
        ("3/16", True, "1/32"),
        ("5/32", True, "1/64"),
        ("5 ft 6 1/2 in", True, "1/32"),
        ("1/2", False, "1/20"),  # half way to 2/5 and 3/5
        ("1/3", False, "1/30"),  # half way to 2/5
        ("1/6", False, "1/84"),  # half way to 1/7
        ("6½", False, "1/20"),
    ],
)
def test_fractions_are_rounded_as_the_trade_has_it(text: str, length: bool, half: str) -> None:
    assert parse_number(text).half(length=length) == Fraction(half)


# (text, what the refusal must say of it)
REFUSED = [
    ("1,35", "write 1.35"),
    ("0,350", "write 0.350"),
    ("8200,5", "write 8200.5"),
    ("12,3456", "write 12.3456"),
    ("1,350,00", "without separators"),
    (f"1,350{THIN}000", "without separators"),
    (f"1200{THIN}500", "without separators"),
    ("010", "write 10"),
    ("00", "write 0"),
    (".5", "write 0.5"),
    ("-.5", "write 0.5"),
    ("12:30", "ratio to 1"),
    ("4.56:10", "ratio to 1"),
    ("1:4.5", "ratio to 1"),
    ("1:1:1", "ratio to 1"),
    ("1_000", "1_000"),
    ("0x10", "0x10"),
    ("0b1", "0b1"),
    ("1.2.3", "1.2.3"),
    ("3/8/2", "3/8/2"),
    ("3/0", "3/0"),
    ("03/8", "leading zero"),
    ("3/08", "whole numbers"),
    ("3/8.5", "whole numbers"),
    ("10²", "10²"),
    ("2½½", "one number"),
    ("5×10", "power of ten"),
    ("1e100", "exponent within"),
    ("1e999999999", "exponent within"),
    ("1" * 41, "at most 40 digits"),
    ("0." + "1" * 41, "at most 40 digits"),
    ("1/" + "1" * 41, "at most 40 digits"),
    ("5 ft 12 in", "less than 12"),
    ("1 min 60 s", "less than 60"),
    ("٥", "a number"),
    ("５", "a number"),
    ("5٥", "one number"),
    ("inf", "a number"),
    ("nan", "a number"),
    ("on", "a number"),
    ("", "a number"),
    ("-", "a number"),
    ("--5", "a number"),
    ("- 5", "a number"),
    ("±5", "a number"),
    ("1 3/2", "nothing after it"),
    ("12 500", "nothing after it"),
    ("5.", "nothing after it"),
    ("9**9", "nothing after it"),
]


@pytest.mark.parametrize("text, said", REFUSED)
def test_refuses_and_says_what_to_write(text: str, said: str) -> None:
    with pytest.raises(Unreadable) as caught:
        parse_number(text)
    refused = caught.value
    assert said in f"{refused.found} {refused.expected} {refused.help}"
    assert 0 <= refused.offset <= len(text)
    assert refused.length >= 1
    assert refused.offset + refused.length <= max(1, len(text))
    assert refused.code.name == "number-unreadable"


def test_a_number_ends_where_another_thing_begins() -> None:
    # What follows is left for the unit or the next number: nothing of it is swallowed.
    ends = {
        "20mm": 2, "5, 6": 1, "400-450": 3, "195/50R15": 6, "8200/min": 4, "1-3/2": 1, "1-½": 1,
        "5 ft 6 mm": 1, "5 min 3 rpm": 1, "5 × 105": 1,
    }  # fmt: skip
    for text, end in ends.items():
        number = read(text)
        assert number is not None
        assert number.end == end, text


def test_nothing_begins_here() -> None:
    assert [read(text) for text in ("", "rpm", " 5", "+", "−x", "·5")] == [None] * 6


# Outside check: Python's own number formatting and `decimal` (standard library) as the other reader.
@given(st.integers(0, 10**15), st.integers(0, 6), st.sampled_from(["", ",", THIN, NARROW, NO_BREAK]))
@with_examples(200)
def test_reads_what_python_writes(whole: int, decimals: int, separator: str) -> None:
    exact = Decimal(whole).scaleb(-decimals)
    text = f"{exact:,f}".replace(",", separator)
    number = parse_number(text)
    assert number.value == Fraction(exact)
    assert number.step == Fraction(Decimal(1).scaleb(-decimals))
    assert number.decimals == decimals


@given(st.integers(0, 99), st.integers(1, 63), st.integers(2, 64))
@with_examples(200)
def test_reads_fractions_as_python_does(whole: int, above: int, below: int) -> None:
    assert parse_number(f"{above}/{below}").value == Fraction(f"{above}/{below}")
    assert parse_number(f"{above}/{below}").teeth == (above, below)
    if above < below:
        assert parse_number(f"{whole} {above}/{below}").value == whole + Fraction(above, below)


@pytest.mark.parametrize("mark", sorted(VULGAR))
def test_vulgar_fractions_are_what_unicode_says(mark: str) -> None:
    # Unicode Character Database, Numeric_Value, by the standard library's unicodedata.
    assert float(parse_number(mark).value) == pytest.approx(unicodedata.numeric(mark), abs=1e-12)


def refusals(text: str) -> list[Unreadable]:
    """What the three readers refuse of a text. Anything else that they raise fails the test."""
    found = []
    for reader in (read, parse_number, parse_value):
        try:
            reader(text)
        except Unreadable as refused:
            found.append(refused)
    return found


NUMERIC = st.sampled_from("0123456789.,/:-+−±×eE^½⁻³ ftinms'\"′″_kx%()=\u2009\u202f\u00a0")


@given(st.text(alphabet=NUMERIC) | st.text())
@with_examples(200)
def test_raises_nothing_but_refusals_with_a_place(text: str) -> None:
    for refused in refusals(text):
        assert 0 <= refused.offset <= len(text)
        assert refused.length >= 1
        assert refused.expected


LONG = [
    "1",
    "1,",
    "1,000",
    f"1{THIN}000",
    "1/",
    "1 1/",
    "1:",
    "1e",
    "×10",
    "(",
    "(k=",
    "±",
    "+-",
    " ",
    "½",
    "1′",
]


@pytest.mark.bench
@pytest.mark.parametrize("piece", LONG)
def test_long_text_takes_linear_time(piece: str) -> None:
    start = time.perf_counter()
    for refused in refusals("1" + piece * (100_000 // len(piece))):
        assert len(refused.found) < 100
    assert time.perf_counter() - start < 1.0


# --- values of a block ------------------------------------------------------------------

VALUES = [
    # text, value, unit, standard uncertainty in that unit
    ("8200 rpm", "8200", "rpm", None),
    ("  8200   rpm ", "8200", "rpm", None),
    ("20mm", "20", "mm", None),
    ("1 1/2 in", "3/2", "in", None),
    ("41/9", "41/9", "", None),
    ("4.56:1", "4.56", "", None),
    ("5 ft 6 in", "66", "in", None),
    ("-40 °C", "-40", "°C", None),
    ("8200 1/min", "8200", "1/min", None),
    ("195/50R15", "39/10", "R15", None),
    ("0.289 ± 0.003 m", "0.289", "m", "0.003"),
    ("0.289 m ± 0.003 m", "0.289", "m", "0.003"),
    ("(0.289 ± 0.003) m", "0.289", "m", "0.003"),
    ("0.289+-0.003 m", "0.289", "m", "0.003"),
    ("0.289 +/- 0.003 m", "0.289", "m", "0.003"),
    ("0.289 ± 0.003 m (k=2)", "0.289", "m", "0.0015"),
    ("0.289 ± 0.003 m (k = 2)", "0.289", "m", "0.0015"),
    ("90 N·m ± 2 %", "90", "N·m", "1.8"),
    ("90 N·m ± 2 % (k=2)", "90", "N·m", "0.9"),
    ("(85 ± 2) %", "85", "%", "2"),
    ("0.85 ± 0.02", "0.85", "", "0.02"),
    ("5 ft 6 in ± 1/4 in", "66", "in", "1/4"),
]


@pytest.mark.parametrize("text, value, unit, uncertainty", VALUES)
def test_values(text: str, value: str, unit: str, uncertainty: str | None) -> None:
    written = parse_value(text)
    assert (written.number.value, written.unit) == (Fraction(value), unit)
    assert written.standard_uncertainty == (None if uncertainty is None else Fraction(uncertainty))
    assert text[slice(*written.number_span)] == written.number.text
    if written.unit_span:
        assert text[slice(*written.unit_span)] == unit


def test_tooth_counts_are_kept() -> None:
    assert parse_value("41/9").teeth == (41, 9)
    assert parse_value("4.56:1").teeth is None


def test_expanded_uncertainty_of_the_gum() -> None:
    # JCGM 100:2008, 7.2.4: m = (100.021 47 ± 0.000 79) g with k = 2.26, from u = 0.35 mg (mass and u as in
    # NIST's examples of uncertainty statements, read; U and k from memory). The tolerance is half a unit of
    # the last digit printed for u.
    written = parse_value("(100.02147 ± 0.00079) g (k=2.26)")
    assert written.coverage == Fraction("2.26")
    assert written.standard_uncertainty is not None
    assert float(written.standard_uncertainty) * 1000 == pytest.approx(0.35, abs=0.005)


@pytest.mark.parametrize("text", ["5 ± -1 m", "5 m ± 1", "85 % ± 2 %", "5 m ± 1 m (of 5)", "5 m ± 1 m (k=0)"])
def test_what_is_wrong_with_an_uncertainty_leads_to_its_forms(text: str) -> None:
    with pytest.raises(Unreadable) as caught:
        parse_value(text)
    assert "“Forms of ±”" in caught.value.help
    assert "### Forms of ±" in (ROOT / "content/manual/index.md").read_text("utf-8")


@pytest.mark.parametrize(
    "text, said",
    [
        ("", "a number"),
        ("rpm", "a number"),
        ("inf m", "a number"),
        ("±5 mm", "a number"),
        ("12 34 rpm", "one number"),
        ("5 -3 mm", "one number"),
        ("1,35 bar", "write 1.35"),
        ("12:30", "ratio to 1"),
        ("4.56:1 rpm", "nothing after"),
        ("5 ft 6 in mm", "nothing after"),
        ("85 % ± 2 %", "(85 ± 2) %"),
        ("0.85 ± 2 %", "(85 ± 2) %"),
        ("0.289 m ± 0.003", "write 0.289 m ± 0.003 m"),
        ("0.289 m ± 3 mm (5 readings)", "(s of 5 readings)"),
        ("5 ± -1 m", "without a sign"),
        ("5 ± m", "a number"),
        ("5 m (k=2)", "an uncertainty"),
        ("(5) m", "an uncertainty"),
        ("(5 ± 1 m", "unit"),
        ("(5 m ± 1 m)", "unit"),
        ("5 m ± 1 m (k=0)", "coverage factor"),
        ("5 m ± 1 m (k=99)", "coverage factor"),
        ("5 " + "m" * 41, "a unit"),
    ],
)
def test_values_refused(text: str, said: str) -> None:
    with pytest.raises(Unreadable) as caught:
        parse_value(text)
    assert said in f"{caught.value.expected} {caught.value.help}"
