"""Units where they stand in running text: the longest spelling, its end, and linear time."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.figures import units
from buildlog.figures.units import UNITS, find, longest_at, spelt
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
