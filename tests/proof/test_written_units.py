"""Units where they stand in running text: the longest spelling, its end, and linear time."""

from __future__ import annotations

import time
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.figures import units
from buildlog.figures.numbers import read
from buildlog.figures.units import UNITS, find, longest_at, spelt
from buildlog.proof.written_units import NumberThere, Units
from tests.examples import with_examples


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("km/h.", "km/h"),
        ("ft lb of torque", "ft lb"),
        ("lb in total", "lb"),
        ("lb-in of torque", "lb-in"),
        ("cu in of air", "cu in"),
        ("per cent sooner", "per cent"),
        ("kgf m)", "kgf m"),
        ("N m, hot", "N m"),
        ("N\u202fm", "N\u202fm"),
        ("mm-thick", "mm"),
        ("mm² of", "mm²"),
        ("mm^2 of", "mm^2"),
        ("mm2", "mm2"),
        ("mm (0.5 in)", "mm"),
        ("m/s² and", "m/s²"),
        ("°C|", "°C"),
        ("°", "°"),
        ('" hose', '"'),
        ('"x5"', '"'),
        ("'6\"", "'"),
        ("%.", "%"),
        ("rpm** and", "rpm"),
        ("psi/2 bar", "psi"),
        ("€5", "€"),
        ("m-10 m", "m"),
        ("mph per 1000 rpm", "mph per 1000 rpm"),
        ("W/(m K) for steel", "W/(m K)"),
        ("ft    lb", "ft"),
        ("min 1 s", "min"),
        ("min-1", "min-1"),
        ("kmx", None),
        ("km/day", None),
        ("m⁵", None),
        ("m^5", None),
        ("m_1", None),
        ("mm5", None),
        ("psig", None),
        ("dB(C)", None),
        ("Nmx", None),
        ("gal", None),
        ("revs", None),
        ("’s", None),
        ("°x", None),
        ("", None),
        (" km", None),
        ("KW", None),
    ],
)
def test_the_longest_unit_at_a_place(text: str, written: str | None) -> None:
    before = "at 5"
    found = longest_at(before + text, len(before))
    assert found == (None if written is None else (written, len(before) + len(written)))


@with_examples(60)
@given(
    st.sampled_from([(unit, spelling) for unit in UNITS for spelling in unit.spellings if spelling]),
    st.sampled_from(["", " ", ".", ",", ")", "; ", "\n", "|", " — so", " and more", "]"]),
)
def test_every_spelling_is_found_in_text(pair: tuple[units.Unit, str], after: str) -> None:
    unit, spelling = pair
    found = longest_at(f"5 {spelling}{after}", 2)
    assert found is not None
    written, end = found
    assert end >= 2 + len(spelling) or spelling.endswith(".")
    assert find(written) in spelt(spelling)
    assert unit in spelt(written)


@given(st.text(max_size=60), st.integers(0, 60))
def test_never_raises_and_slices_back(text: str, start: int) -> None:
    found = longest_at(text, start)
    if found is not None:
        written, end = found
        assert text[start:end] == written
        assert spelt(written)


# What follows a number: the text, its unit and what that measures; nothing where the list does not have it.
AFTER_A_NUMBER = [
    ("5 kg", "kg", ("mass",)),
    ("5kg", "kg", ("mass",)),
    ("5-kg", "kg", ("mass",)),
    ("5 -kg", None, ()),  # a hyphen takes the place of the space
    ("5-3 kg", None, ()),
    ("5   kg", "kg", ("mass",)),
    ("5    kg", None, ()),  # that far off it is something else
    ("5 g", "g", ("mass", "acceleration")),
    ("5/kg", None, ()),
    ("1e3/min", "/min", ("rotational speed",)),
    # off the list, and meant for a unit
    ("3 psig", "psig", ()),
    ("3 psi g", "psi g", ()),
    ("3 gallons", "gallons", ()),
    ("2 tons", "tons", ("mass",)),
    ("5 kg/lap", "kg/lap", ()),
    ("5 kg/m", "kg/m", ("mass per length",)),
    ("5 kg/blob", "kg/blob", ()),
    ("5 blob/kg", None, ()),
    ("18 mph per 1,000 rpm", "mph per 1,000 rpm", ()),
    ("18 mph", "mph", ("speed",)),
    ("18 kg per 1,000 rpm", "kg", ("mass",)),
    ("13 lb in", "lb in", ("torque",)),
    ("13 lb in a box", "lb", ("mass", "force")),
    ("13 kg in", "kg", ("mass",)),
    ("25mmx10mm", "mm", ("length",)),
    ("25blobx10mm", None, ()),
    # in other letters, small or large
    ("5 KG", "KG", ("mass",)),
    ("5 Km/H", "Km/H", ("speed",)),
    ("12 US", None, ()),
    ("5 X", None, ()),
    # volts and watts by their small letters
    ("13.8v", "v", ("voltage",)),
    ("12v", "v", ("voltage",)),
    ("16v", None, ()),  # valves
    ("55w", "w", ("power",)),
    ("55 w", None, ()),
    ("5V-12", None, ()),
    # a letter that is a part of a name
    ("2 G-clamps", None, ()),
    ("2 m-long", "m", ("length",)),
    ("2 m-3", "m", ("length",)),
    ("2m-3", None, ()),
    ("2m-3 m", "m", ("length",)),
    ("2kg-lumps", "kg", ("mass",)),
    ("5W-30", None, ()),
    ("5 W", "W", ("power",)),
    ("6J x 15", None, ()),
    ("6 J", "J", ("energy",)),
    ("1970s", None, ()),
    ("1970 s", "s", ("time",)),
    ("1975s", "s", ("time",)),
    ("1970.5s", "s", ("time",)),
    ("2 bars", None, ()),
    ("2.5 bars", "bars", ("pressure",)),
    ("4 revs", None, ()),
    # the inch and the foot
    ("5 in", "in", ("length",)),
    ("5 in total", None, ()),
    ("5in total", "in", ("length",)),
    ("5 in-built", None, ()),
    ("5 in-wide", "in", ("length",)),
    ('5" wide', '"', ("length",)),
    ('5 " wide', None, ()),
    ("5' wide", "'", ("length",)),
    ("5' fence", None, ()),
    ("5 in \ufffc", None, ()),  # in something that is no prose
]


@pytest.mark.parametrize(("text", "written", "dimensions"), AFTER_A_NUMBER)
def test_the_unit_that_follows_a_number(text: str, written: str | None, dimensions: tuple[str, ...]) -> None:
    number = read(text, 0)
    assert number is not None
    there = NumberThere(start=0, end=number.end, value=Fraction(number.value), form=number.form)
    found = Units(text, frozenset()).after(there)
    if found is None:
        assert written is None
        return
    assert (found.spelling, found.dimensions) == (written, dimensions)
    assert text[found.start : found.end] == (written if "x10" not in text else "mm")


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("It is ½ in \ufffc", "in"),
        ("It is ½ in the box", None),
        ("It is ½ in bolts", "in"),
        ("It is ½ in 3 places", None),
        ("It is 1½ in all of it", None),
    ],
)
def test_a_fraction_is_of_an_inch_but_before_an_article(text: str, found: str | None) -> None:
    number = read(text, 6)
    assert number is not None
    there = NumberThere(start=6, end=number.end, value=Fraction(number.value), form=number.form)
    unit = Units(text, frozenset()).after(there)
    assert (unit and unit.spelling) == found


@pytest.mark.bench
@pytest.mark.parametrize("filler", [" ", "m", "N·", "*", "^", "-", "/", "5 km/h ", "(", "°"])
def test_scanning_is_linear(filler: str) -> None:
    def seconds(length: int) -> float:
        text = filler * (length // len(filler))
        began = time.process_time()
        for start in range(len(text)):
            longest_at(text, start)
        return time.process_time() - began

    seconds(2_000)
    short, long = min(seconds(10_000) for _ in range(3)), min(seconds(40_000) for _ in range(3))
    assert long < 8 * short + 0.05  # four times the text; a quadratic scan takes sixteen times as long


# --- what it costs ---------------------------------------------------------------------
