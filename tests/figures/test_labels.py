"""Labels: Markdown looked through with offsets kept, figures written, labels restated."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from html import unescape

import markdown
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.figures import units
from buildlog.figures.labels import plain, write_figure, write_number
from buildlog.figures.stated import instead_of, parse, restated, restated_pair

NARROW, NO_BREAK = "\u202f", "\u00a0"

# --- Markdown round the figure --------------------------------------------------------

MARKDOWN = [
    ("**124.8 km/h**", "124.8", "124.8", "km/h"),
    ("*about* **124.8** km/h", "124.8", "124.8", "km/h"),
    ("***124.8 km/h***", "124.8", "124.8", "km/h"),
    ("__124.8__ _km/h_", "124.8", "124.8", "km/h"),
    ("124.8&nbsp;km/h", "124.8", "124.8", "km/h"),
    ("124.8&#160;km/h", "124.8", "124.8", "km/h"),
    ("124.8&#xA0;km/h", "124.8", "124.8", "km/h"),
    ("12&thinsp;500&nbsp;rpm", "12500", "12&thinsp;500", "rpm"),
    ("&minus;40&nbsp;&deg;C", "-40", "&minus;40", "&deg;C"),
    ("&frac12;&nbsp;in", "1/2", "&frac12;", "in"),
    (r"39 N\*m", "39", "39", r"N\*m"),
    (r"\~400 hp", "400", "400", "hp"),
    (r"\< 5 mm", "5", "5", "mm"),
    ("&lt; 5 mm", "5", "5", "mm"),
    ("&#8776;5 mm", "5", "5", "mm"),
]


@pytest.mark.parametrize("label, value, number, unit", MARKDOWN)
def test_markdown_is_looked_through_and_spans_are_of_the_label(
    label: str, value: str, number: str, unit: str
) -> None:
    stated = parse(label)
    assert stated.low.value == Fraction(value)
    assert [label[slice(*span)] for span in stated.number_spans] == [number]
    assert [label[slice(*span)] for span in stated.unit_spans] == [unit]


# Python-Markdown alone leaves these two backslashes, which CommonMark and its own extensions take off.
OTHER_ESCAPES = (r"\~400 hp", r"\< 5 mm")
LITERAL = [
    "39 N*m",
    "1_000 mm",
    "5 * 3",
    "**5",
    r"\\5",
    "\\5 mm",
    "5 &nosuch; mm",
    "5 & mm",
    "_5_ mm",
    "_5_6_ mm",
    "5_6_ mm",
    "_5_6 mm",
    "1_000_000 mm",
    "5 _mm",
]


@pytest.mark.parametrize("label", [row[0] for row in MARKDOWN if row[0] not in OTHER_ESCAPES] + LITERAL)
def test_reads_what_python_markdown_shows(label: str) -> None:
    # Outside check: Python-Markdown renders the label in a link; its text is what a reader sees.
    page = markdown.markdown(f"[{label}](x)")
    assert plain(label).text == unescape(re.sub(r"<[^>]*>", "", page))


# --- figures written ----------------------------------------------------------------------


@pytest.mark.parametrize(
    "value, decimals, symbol, written",
    [
        (124.849, 1, "km/h", f"124.8{NO_BREAK}km/h"),
        (8200.0, 0, "rpm", f"8200{NO_BREAK}rpm"),
        (12500.0, 0, "rpm", f"12{NARROW}500{NO_BREAK}rpm"),
        (1234567.891, 2, "N", f"1{NARROW}234{NARROW}567.89{NO_BREAK}N"),
        (-4.7, 1, "%", f"−4.7{NO_BREAK}%"),
        (-0.04, 1, "mm", f"−0.04{NO_BREAK}mm"),  # what is not 0 is not written 0
        (-0.00004, 1, "mm", f"0.0{NO_BREAK}mm"),  # a thousandth of the last digit is
        (0.0207, 0, "MJ", f"0.02{NO_BREAK}MJ"),
        (-0.00001, 2, "mm", f"0.00{NO_BREAK}mm"),  # just that
        (-0.000011, 2, "mm", f"−0.00001{NO_BREAK}mm"),
        (9999.0, 0, "rpm", f"9999{NO_BREAK}rpm"),  # four digits are read at a glance
        (10000.0, 0, "rpm", f"10{NARROW}000{NO_BREAK}rpm"),
        (
            10**15 - 1,
            0,
            "",
            f"999{NARROW}999{NARROW}999{NARROW}999{NARROW}999",
        ),  # all digits that a float has
        (1e15, 0, "", "1.000×10¹⁵"),
        (-2.5e16, 0, "kg", f"−2.500×10¹⁶{NO_BREAK}kg"),
        (12.0, 0, "°", "12°"),
        (12.5, 1, "′", "12.5′"),
        (12.0, 0, "″", "12″"),
        (12.0, 0, "°C", f"12{NO_BREAK}°C"),
        (4.5556, 2, "", "4.56"),
        # ISO 80000-1:2009, B.3, rule A, the even multiple (from memory, sure)
        (12.25, 1, "m", f"12.2{NO_BREAK}m"),
        (12.35, 1, "m", f"12.4{NO_BREAK}m"),
        (2.675, 2, "m", f"2.68{NO_BREAK}m"),
    ],
)
def test_written_figures(value: float, decimals: int, symbol: str, written: str) -> None:
    assert write_figure(value, decimals, symbol) == written


@given(st.floats(-1e12, 1e12), st.integers(0, 6))
def test_written_numbers_are_what_decimal_rounds_to(value: float, decimals: int) -> None:
    # Outside check: Python's decimal, ROUND_HALF_EVEN, on the number the float prints as, or, where that is a
    # tie, on its first 15 digits, which are all that a float can be sure of (IEEE 754, binary64).
    printed = Decimal(f"{value:.15g}")
    is_tie = (printed.scaleb(decimals) % 1).copy_abs() == Decimal("0.5")
    rounded = (printed if is_tie else Decimal(repr(value))).quantize(
        Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_EVEN
    )
    expected = f"{abs(rounded) if rounded == 0 else rounded:f}"
    assert write_number(value, decimals).replace(NARROW, "").replace("−", "-") == expected


# A value that was halfway in the author's unit before it went to SI and came back. Both are by the rule that
# the manual states, ISO 80000-1:2009, Annex B, rule A: the even last digit.
TIES = [
    (0.25, 1, "0.2"), (0.35, 1, "0.4"), (1.05, 1, "1.0"), (1.15, 1, "1.2"), (2.45, 1, "2.4"),
    (2.55, 1, "2.6"), (11.35, 1, "11.4"), (11.45, 1, "11.4"), (24.85, 1, "24.8"), (48.15, 1, "48.2"),
    (99.95, 1, "100.0"), (0.125, 2, "0.12"), (0.135, 2, "0.14"), (1.005, 2, "1.00"), (2.675, 2, "2.68"),
    (8.325, 2, "8.32"), (17.495, 2, "17.50"), (64.005, 2, "64.00"), (0.5, 0, "0"), (1.5, 0, "2"),
    (142.5, 0, "142"), (8201.5, 0, "8202"),
]  # fmt: skip


@pytest.mark.parametrize("value, decimals, written", TIES)
def test_a_tie_stays_one_through_every_unit(value: float, decimals: int, written: str) -> None:
    for unit in units.UNITS:
        if not unit.offset:
            there_and_back = unit.from_si(unit.to_si(value))
            assert write_number(there_and_back, decimals) == written, unit.symbol
            assert write_number(Fraction(there_and_back), decimals) == written, unit.symbol


@given(
    st.floats(-1e30, 1e30),
    st.integers(0, 6),
    st.sampled_from([unit for unit in units.UNITS if unit.symbol]),
)
def test_a_written_figure_reads_back(value: float, decimals: int, unit: units.Unit) -> None:
    stated = parse(write_figure(value, decimals, unit.symbol))
    assert abs(stated.low.value - Fraction(repr(value))) <= stated.half_unit
    assert unit in units.spelt(stated.unit) or stated.low.unit


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_not_written(value: float) -> None:
    with pytest.raises(OutOfRange):
        write_number(value, 1)


@pytest.mark.parametrize(
    "label, value, changed",
    [
        ("124.8 km/h", 131.26, "131.3 km/h"),
        ("**124.8&nbsp;km/h**", 131.0, "**131.0&nbsp;km/h**"),
        ("about 1,200 N", 12345.6, "about 12,346 N"),
        ("8200 rpm", 12345.0, f"12{NARROW}345 rpm"),
        ("12500 rpm", 13000.0, "13000 rpm"),
        ("−4.7 %", -5.21, "−5.2 %"),
        ("-4.7 %", -5.21, "-5.2 %"),
        ("+4.7 %", 5.21, "+5.2 %"),
        ("+4.7 %", -5.21, "−5.2 %"),
        ("1.2×10⁻³ m", 0.00151, "1.5×10⁻³ m"),
        ("4.56:1", 4.1, "4.10:1"),
        ("3/8 in", 0.49, "1/2 in"),
        ("3/8 in", 1.26, "1 1/4 in"),
        ("3/8 in", 2.01, "2 in"),
        ("1-1/2 in", 2.51, "2-1/2 in"),
        ("1-1/2 in", 2.6, "2-5/8 in"),
        ("1½ in", 2.51, "2½ in"),
        ("1½ in", 2.6, "2⅝ in"),
        ("5 ft 6 in", 70.4, "5 ft 10 in"),
        ("5 ft 6 in", 72.1, "6 ft 0 in"),
        ("5′ 6½″", 70.48, "5′ 10½″"),
        ("5′ 6½″", 70.45, "5′ 10 7/16″"),
        ("½ s", 0.6, "⅗ s"),
        ("four", 5.0, "five"),
        ("four", 4.5, None),
        ("twice", 3.0, None),
        ("6 800 rpm", 7012.0, "7 012 rpm"),
        ("4.56 to 1", 4.1, "4.10 to 1"),
        ("minus 5 °C", -7.2, "minus 7 °C"),
        ("minus 5 °C", 7.2, None),
        ("560 rpm more", 498.0, "498 rpm more"),
        ("3,900 ± 50 rpm", 3821.0, "3,821 ± 50 rpm"),
        ("110 mph (177 km/h)", 112.0, None),
        ("slower", 1.0, None),
        ("1 min 23.4 s", 79.96, "1 min 20.0 s"),
        ("£450", 512.3, "£512"),
        ("−£450", -512.3, "−£512"),
        ("−£450", 512.3, None),
        ("400–450 hp", 460.0, None),
        ("under 5 mm", 6.0, None),
        ("nearly 5 mm", 6.0, None),
        ("41/9", 4.1, None),
    ],
)
def test_a_label_restated(label: str, value: float, changed: str | None) -> None:
    assert restated(parse(label), value) == changed


@pytest.mark.parametrize(
    "label, instead",
    [
        ("twice", "2.5 times"),
        ("a tenth more", "2.5 more"),
        ("10 % quicker", "2.5 quicker"),
        ("saves 142 g", "2.5 less"),
        ("under 2 mm", "2.5"),
    ],
)
def test_what_to_write_where_a_number_alone_would_not_do(label: str, instead: str) -> None:
    assert instead_of(parse(label), "2.5") == instead


@pytest.mark.parametrize(
    "label, mended",
    [
        ("from 3,375 to 3,933 rpm", "from 3,190 to 3,544 rpm"),
        ("**3,933 rpm** (was 3,375)", "**3,544 rpm** (was 3,190)"),
        ("3375 → 3933.0 rpm", "3190 → 3544.1 rpm"),
    ],
)
def test_a_pair_restated(label: str, mended: str) -> None:
    assert restated_pair(parse(label), 3189.6, 3544.1) == mended


FORMS = [
    "124.8 mm",
    "8,200 mm",
    "about 7 mm",
    "3/8 in",
    "1 1/2 in",
    "1½ in",
    "1-1/16 in",
    "5 ft 6 in",
    "−2 mm",
    "1.2e-1 m",
]


@given(st.sampled_from(FORMS), st.fractions(-(10**6), 10**6))
def test_a_restated_label_states_the_value(label: str, value: Fraction) -> None:
    before = parse(label)
    changed = restated(before, value)
    if changed is None:  # it would be 0, which hides what is not
        assert 0 < abs(value) <= before.half_unit
        return
    after = parse(changed)
    assert abs(after.low.value - value) <= before.half_unit
    assert (after.unit, after.hedge, after.form) == (before.unit, before.hedge, before.form)


@given(st.floats(-1e14, 1e14), st.integers(0, 9))
@example(2.675, 2)  # a tie as it is printed, and just below one in binary
@example(11.350000000000001, 1)  # a tie on 15 digits
@example(-0.5, 0)
@example(1e-7, 6)
def test_a_float_is_written_as_the_fraction_that_it_prints_as(value: float, decimals: int) -> None:
    printed = Fraction(Decimal(f"{value:.15g}"))
    as_printed = Fraction(Decimal(repr(value)))
    # What is a tie on 15 digits alone is none as a fraction.
    assert write_number(value, decimals) in (
        write_number(as_printed, decimals),
        write_number(printed, decimals),
    )
    if printed == as_printed:
        assert write_number(value, decimals) == write_number(as_printed, decimals)
