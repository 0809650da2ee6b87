"""Figures in the other system of units, against factors of the standards and the author's own words."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import Position
from buildlog.figures import units
from buildlog.figures.agreement import Computed, Tolerance, judge
from buildlog.figures.stated import parse
from buildlog.figures.systems import decimals_of, write_rounded
from buildlog.kinds.key_texts import key_text, key_words
from buildlog.kinds.quantities import other_of
from buildlog.kinds.results import Value
from buildlog.proof.citing import compare_with_fact
from buildlog.proof.judging import Judged
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.facts import Fact
from buildlog.render.conversion import other_label
from tests.render.blocks import GEARING, compute
from tests.render.test_card import card

SOURCE = SourceEntry(id="manual", position=Position(Path("sources.yml").as_posix()), title="Manual")


def cited(label: str) -> Judged:
    stated = None
    try:
        stated = parse(label)
    except Exception:
        stated = None
    return Judged(
        kind="cite", label=label, address="cite:manual", text=label, agrees=True, stated=stated, source=SOURCE
    )


def computed(label: str, si: float, dimension: str, unit: str, *, change: bool = False) -> Judged:
    """A figure that rests on a value, judged by the rule."""
    stated = parse(label)
    own = units.find(stated.unit or unit, dimension)
    verdict = judge(stated, Computed(si, dimension), own, change=change)
    assert verdict.agrees, "the test's own figure must be right"
    return Judged(
        kind="calc",
        label=label,
        address="calc:x.y",
        text=label,
        agrees=True,
        stated=stated,
        value=Value(si=si, dimension=dimension, unit=unit, decimals=1),
        verdict=verdict,
        versus="before" if change else "",
    )


def other(judged: Judged) -> str:
    found = other_label(judged)
    return found.text.replace("\u00a0", " ") if found else ""


@pytest.mark.parametrize(
    "label,converted",
    [
        # NIST SP 811 (2008), Appendix B.8 (factors) with B.7 (rounding); arithmetic by hand.
        ("78 N·m", "58 lbf·ft"),  # / 1.355818 = 57.53
        ("35 N·m", "26 lbf·ft"),  # 25.81
        ("22–26 N·m", "16–19 lbf·ft"),  # 16.23, 19.18
        ("from 3 to 5 mm", "from 0.12 to 0.20 in"),  # / 25.4 = 0.118, 0.197
        ("0.8 to 1.4 kg", "1.8 to 3.1 lb"),  # / 0.45359237 = 1.764, 3.086: the lower end keeps two digits
        ("158 km/h", "98.2 mph"),  # / 1.609344 = 98.18
        # / 0.45359237 = 1459.5; to three digits, 1460, the last would be worth 4.5 of the author's.
        ("662 kg", "1459 lb"),
        ("6.5 in", "165 mm"),  # 165.1; likewise
        ("36.2 kN", "8140 lbf"),  # / 4.448222 N = 8138.1
        ("1.1 bar", "16 psi"),  # / 6894.757 Pa = 15.95
        ("100 mph", "161 km/h"),  # 160.93
        ("3/8 in", "9.52 mm"),  # 9.525, a tie: a fraction has no last digit, so three digits
        ("5 ft 6 in", "1680 mm"),  # 66 · 25.4 = 1676.4
        ("about 350 N·m", "about 260 lbf·ft"),  # 258.1; the nought of a hedged 350 does not count
        ("less than 2 mm", "less than 0.079 in"),  # 0.0787; one digit becomes two
        ("+12 kg", "+26 lb"),  # 26.46
        ("−40 °C", "−40 °F"),  # the one temperature that is the same in both: −40 · 1.8 + 32
        ("20 °C", "68 °F"),
        ("6.9 lb lighter", "3.1 kg lighter"),  # 3.130
        ("half an inch", "13 mm"),  # 12.7; one digit becomes two
        ("4 in or so", "100 mm or so"),  # 101.6, likewise
        ("39 ± 3 N·m", ""),  # its tolerance would stay behind
        ("110 mph (177 km/h)", ""),  # both are there
        ("minus 5 °C", ""),
        ("twice", ""),
        ("slower", ""),
        ("12,500 km", "7,767.1 mile"),  # a plain integer's noughts count, and its separator stays
    ],
)
def test_a_figure_in_the_other_system_keeps_its_words_and_digits(label: str, converted: str) -> None:
    assert other(cited(label)) == converted


@pytest.mark.parametrize(
    "label", ["11 %", "8200 rpm", "4.56:1", "41/9", "1.3 s", "12°", "€419.60", "two tenths", ""]
)
def test_what_both_systems_share_stays_as_it_is(label: str) -> None:
    assert other(cited(label)) == ""


def test_a_difference_of_temperatures_has_no_offset() -> None:
    # −27.8 K · 1.8 = −50.0 °F of difference; with an offset it would be −509.7.
    assert other(computed("−27.8 K", -27.77, "temperature difference", "K")) == "−50.0 °F"


def test_a_label_without_a_unit_gets_one() -> None:
    judged = computed("77.8 km/h", 77.76 / 3.6, "speed", "km/h")
    bare = replace(judged, label="77.8", text="77.8", stated=parse("77.8"))
    assert other(bare) == "48.3 mph"  # 77.8 / 1.609344 = 48.34


def test_a_limit_that_rounding_would_break_takes_more_digits() -> None:
    # 5.99 mm is less than 6.0 mm; 6.0 mm is 0.2362 in, and 0.24 in would do, but "more than 6.0 mm" of
    # 6.05 mm (0.2382 in) is not more than 0.24 in.
    assert other(computed("less than 6.0 mm", 5.99e-3, "length", "mm")) == "less than 0.24 in"
    assert other(computed("more than 6.0 mm", 6.05e-3, "length", "mm")) == "more than 0.236 in"


def test_a_range_keeps_the_digits_that_it_was_written_with() -> None:
    """1.0 and 1.4 N·m are 8.851 and 12.39 lbf·in (0.112 984 8 N·m). Copied from a source, each end is
    rounded; where a value lies on an end, it stays in the range."""
    text = "1.0 to 1.4 N·m"
    stated = parse(text)
    fact = Fact(name="torque", text=text, position=Position("sources.yml", 1, 1), stated=stated)
    copied = replace(computed(text, 1.0, "torque", "N·m"), kind="cite", source=SOURCE, fact=fact)
    assert other(copied) == "8.9 to 12 lbf·in"
    assert other(computed(text, 1.0, "torque", "N·m")) == "8.8 to 13 lbf·in"
    assert other(computed(text, 1.2, "torque", "N·m")) == "8.9 to 12 lbf·in"
    assert other(computed("−1.4 to −1.0 kg", -1.4, "mass", "kg")) == "−3.1 to −2.2 lb"


def test_a_plain_figure_on_the_edge_of_its_last_digit_is_the_computed_one() -> None:
    # 124.8 km/h is 77.547 mph, so 77.55; but 77.55 ± 0.005 does not hold 124.84 km/h, which is 77.572 mph.
    assert other(computed("124.8 km/h", 124.84 / 3.6, "speed", "km/h")) == "77.57 mph"
    # 125 km/h is 77.67 mph, so 77.7, which does not hold it either; 125.1 km/h is 77.73 and fits.
    assert other(computed("125 km/h", 124.84 / 3.6, "speed", "km/h")) == "77.6 mph"
    assert other(computed("125 km/h", 125.1 / 3.6, "speed", "km/h")) == "77.7 mph"


def test_what_agrees_by_a_tolerance_only_stays_what_its_author_stated() -> None:
    # 143 N is 32.15 lbf, 141 N would be 31.7.
    judged = computed("141 N", 141.0, "force", "N")
    assert other(replace(judged, label="143 N", text="143 N", stated=parse("143 N"))) == "32.1 lbf"


def test_a_disagreeing_figure_is_left_as_its_author_wrote_it() -> None:
    assert other_label(replace(cited("78 N·m"), agrees=False)) is None


LEADS = ["", "about ", "less than ", "more than ", "at least "]
UNITS = [
    ("km/h", "speed"), ("N·m", "torque"), ("mm", "length"), ("lb", "mass"), ("psi", "pressure"),
    ("°C", "temperature"), ("K", "temperature difference"),
]  # fmt: skip


@given(st.floats(0.001, 9e6), st.integers(0, 3), st.sampled_from(LEADS), st.sampled_from(UNITS))
def test_a_converted_figure_never_disagrees_with_what_it_rests_on(
    value: float, decimals: int, lead: str, unit: tuple[str, str]
) -> None:
    symbol, dimension = unit
    number = f"{value:.{decimals}f}"
    if float(number) == 0:
        return
    own = units.find(symbol, dimension)
    si = own.to_si(value)
    stated = parse(f"{lead}{number} {symbol}")
    verdict = judge(stated, Computed(si, dimension), own)
    if not verdict.agrees:
        return
    label = other_label(computed(f"{lead}{number} {symbol}", si, dimension, symbol))
    assert label is not None
    assert label.text.startswith(lead.strip())
    again = parse(label.text)
    # An integer may have been rounded to tens or hundreds: its noughts are no digits then.
    digits = "".join(filter(str.isdigit, again.low.text))  # without the separators of thousands
    noughts = len(digits) - len(digits.rstrip("0")) if again.low.form == "integer" else 0
    rounding = Tolerance((Fraction(10) ** min(noughts, 6) - 1) / 2) if noughts and not lead else None
    assert judge(again, Computed(si, dimension), units.find(again.unit, dimension), rounding).agrees
    # And it is what the author wrote: off by no more than either's last digit.
    other_unit = units.find(again.unit, dimension)
    stated_there = other_unit.from_si(own.to_si(float(stated.low.value)))
    reach = float(again.low.step) * (10**noughts if again.low.form == "integer" else 1)
    step = other_unit.from_si_difference(own.to_si_difference(float(stated.low.step)))
    assert abs(float(again.low.value) - stated_there) <= (reach + step) / 2 * (1 + 1e-9)


@given(st.floats(1e-6, 1e6), st.integers(2, 6))
def test_significant_digits_are_as_many_as_asked(value: float, digits: int) -> None:
    written = write_rounded(value, decimals_of(value, digits))
    kept = written.replace(".", "").replace("\u202f", "").lstrip("0")
    assert abs(float(written.replace("\u202f", "")) - value) <= 0.5001 * 10 ** -decimals_of(value, digits)
    # An integer ends in noughts that are no digits of it.
    assert len(kept) == digits or ("." not in written and len(kept) > digits and not int(kept) % 10)


def test_a_column_has_one_number_of_decimals() -> None:
    # 57.0, 132.7 and 189.5 km/h are 35.4, 82.5 and 117.7 mph: four digits of the largest.
    values = [Value(si=kmh / 3.6, dimension="speed", unit="km/h", decimals=1) for kmh in (57.0, 132.7, 189.5)]
    found = other_of(values)
    assert found is not None
    assert [found.shown(value).number for value in values] == ["35.4", "82.5", "117.7"]
    assert other_of([Value(si=1.0, dimension="ratio", unit="%", decimals=1)]) is None


def test_a_row_says_what_its_key_stands_for() -> None:
    block = compute(
        "id: trap\nkind: splash_trap\ninputs:\n  air_flow: 0.1 m³/s\n  chamber_area: 430 cm²\n"
        "  peak_over_mean: 1.6\n  air_temperature: 17 °C\n  air_pressure: 976 hPa\n  drop: [0.5 mm, 2 mm]\n"
    )
    assert not [fault for fault in block.faults if fault.severity.word == "error"]
    output = block.outputs["terminal_velocity"]
    text = key_text(block, output, "2-mm")
    assert (text.key, text.meaning, text.other) == ("", "2 mm", "0.079\u00a0in")
    row = card(block).by_id("calc-trap.terminal_velocity.2-mm")
    assert row.one("th").without("buildlog-here").words == "2 mm (0.079 in)"


def test_a_row_says_what_its_author_called_it() -> None:
    block = compute(
        "id: bill\nkind: parts\ninputs: {currency: EUR}\ncases:\n"
        "  old: {parts: [{name: iron cover, mass: 3 kg}, {name: bolt, mass: 1 g}]}\n"
        "  new: {parts: [{name: steel cover, mass: 2 kg}, {name: bolt, mass: 1 g}]}\n"
    )
    output = block.outputs["line_mass"]
    assert key_text(block, output, "iron-cover").text == "iron cover"
    assert key_text(block, output, "steel-cover").text == "steel cover"
    assert [key for output, key in block.rows() if output.name == "line_mass"] == [
        "iron-cover",
        "bolt",
        "steel-cover",
    ]


def test_keys_that_say_it_themselves_are_put_into_words() -> None:
    assert key_words("sliding_low") == "sliding, low"
    assert key_words("1-2") == "1-2"
    assert key_words("30-60-mph") == "30-60 mph"
    assert key_words("new-dump") == "new-dump"
    block = compute(GEARING)
    assert key_text(block, block.outputs["speed_at_limit"], "3").text == "3"


def test_units_that_both_use_are_written_once() -> None:
    tree = card(compute(GEARING))
    ratio = tree.by_id("calc-shorter-final.overall_ratio.1")
    assert not ratio.all(css="buildlog-other")
    row = tree.by_id("calc-shorter-final.speed_at_limit.1")
    assert row.attributes["class"] == "buildlog-row-metric"
    speed = row.all("td")[1]
    assert re.fullmatch(r"57\.1 ± \d\.\d \(35\.5 ± \d\.\d\)", speed.words)  # 57.1 / 1.609344 = 35.48


# --- the unit that the trade takes --------------------------------------------------------------


@pytest.mark.parametrize(
    "label,title,other",
    [
        # 1 US gal = 231 in³ (NIST Handbook 44, Appendix C); which of its parts is common practice, no source.
        ("1.1 l", "for the filling of axle oil", "1.2 US qt"),
        ("0.35 l", "", "0.74 US pt"),
        ("45 l", "", "11.9 US gal"),
        ("1.6 l", "for the displacement", "98 cu in"),
        ("1600 cm³", "", "97.64 cu in"),
        # 1 lbf·in = 0.112 984 8 N·m; from where on a foot is the arm is common practice, no source.
        ("9 N·m", "", "80 lbf·in"),
        ("15 N·m", "", "130 lbf·in"),
        ("16 N·m", "", "12 lbf·ft"),
        ("78 N·m", "", "58 lbf·ft"),
        ("8 to 20 N·m", "", "5.9 to 15 lbf·ft"),
    ],
)
def test_fillings_and_small_torques_have_the_trades_units(label: str, title: str, other: str) -> None:
    made = other_label(replace(cited(label), title=title))
    assert made is not None
    assert made.text.replace("\u00a0", " ") == other


@pytest.mark.parametrize(
    ("label", "other"), [("0.05–0.08 mm", "0.0020–0.0031 in"), ("22 to 26 N·m", "16 to 19 lbf·ft")]
)
def test_a_range_of_a_source_keeps_its_digits(label: str, other: str) -> None:
    stated = parse(label)  # 1 in = 25.4 mm, 1 lbf·ft = 1.3558 N·m (NIST SP 811, B.8); arithmetic by hand
    fact = Fact(name="gap", text=label, position=Position("sources.yml"), stated=stated)
    found = compare_with_fact(stated, fact)
    made = other_label(replace(cited(label), fact=fact, value=found.value, verdict=found.verdict))
    assert made is not None
    assert made.text.replace("\u00a0", " ") == other


def test_what_was_computed_in_litres_is_a_room() -> None:
    made = other_label(computed("2.4 l", 0.0024, "volume", "l"))
    assert made is not None
    assert made.text.endswith("cu in")
