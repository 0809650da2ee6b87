"""What a note says of a figure: both numbers, whether they agree, and in a few words why. By hand: 8200/60 ·
1.7568 m / (1.43 · 41/9) is 132.68 km/h, 82.44 mph, and 14.4 % less than with a final drive of 3.9."""

from __future__ import annotations

import re
from math import hypot

import pytest

from buildlog.kinds.results import Value
from buildlog.render.note_lines import computed_line, verdict_line
from tests.render.blocks import uncertain
from tests.render.test_figure import ADDRESS, judged

NB = "\u00a0"


@pytest.mark.parametrize(
    ("label", "title", "said"),
    [
        ("132.7 km/h", "", f"132.7 and 132.68{NB}km/h: agrees, it rounds to it"),
        ("82.4 mph", "", f"82.4 and 82.44{NB}mph: agrees, it rounds to it"),
        ("132.7", "in km/h", f"132.7 and 132.68{NB}km/h: agrees, it rounds to it"),
        ("about 130 km/h", "", f"about 130 and 132.7{NB}km/h: agrees, within the 5{NB}% of “about”"),
        ("about 132.7 km/h", "", f"about 132.7 and 132.68{NB}km/h: agrees, it rounds to it"),
        (
            "nearly 135 km/h",
            "",
            f"nearly 135 and 132.7{NB}km/h: agrees, by no more than the 5{NB}% of “nearly”",
        ),
        (
            "just over 130 km/h",
            "",
            f"just over 130 and 132.7{NB}km/h: agrees, by no more than the 5{NB}% of “just over”",
        ),
        ("130–140 km/h", "", f"130–140 and 132.7{NB}km/h: agrees, it is between them"),
        ("under 140 km/h", "", f"140 > 132.7{NB}km/h: agrees"),
        ("at least 130 km/h", "", f"130 ≤ 132.7{NB}km/h: agrees"),
        ("well over 120 km/h", "", f"120 < 132.7{NB}km/h, by more than 5{NB}%: agrees"),
        ("14.4 %", "vs before", f"14.4 and 14.39{NB}%: agrees, it rounds to it"),
        # and where it does not agree
        ("135.5 km/h", "", f"135.5 and 132.68{NB}km/h: does not agree"),
        ("over 140 km/h", "", f"132.7 ≤ 140{NB}km/h: does not agree"),
        ("at least 135 km/h", "", f"132.7 < 135{NB}km/h: does not agree"),
        ("well over 130 km/h", "", f"130 < 132.7{NB}km/h, not by more than 5{NB}%: does not agree"),
        ("140–150 km/h", "", f"140–150 and 132.7{NB}km/h: does not agree"),
        ("+14.4 %", "vs before", f"+14.4 and −14.39{NB}%: does not agree"),
    ],
)
def test_a_verdict_in_a_line(label: str, title: str, said: str) -> None:
    line = verdict_line(judged(label, ADDRESS, title))
    assert line is not None
    assert line.before + line.text + line.after == said


def test_a_verdict_has_both_systems() -> None:
    line = verdict_line(judged("about 130 km/h", ADDRESS))
    assert line is not None
    assert (line.other, line.system) == (f"about 81 and 82.4{NB}mph", "metric")


def test_the_computed_value_has_the_parts_of_its_uncertainty() -> None:
    """One origin in the inputs and one in the model: they add in squares (JCGM 100:2008, 5.1.2)."""
    figure = judged("132.7 km/h", ADDRESS)
    assert figure.value is not None
    line = computed_line(figure.value, figure)
    assert line.before == "Computed: "
    pattern = r"132\.7 ± ([\d.]+).km/h \(k.=.2; from inputs ([\d.]+).km/h, of the method ([\d.]+).km/h\)"
    match = re.fullmatch(pattern, line.text)
    assert match is not None, line.text
    whole, inputs, method = map(float, match.groups())
    assert whole == pytest.approx(hypot(inputs, method), abs=0.1)
    # the same in the other system, by 1.609344
    match = re.match(r"82\.4 ± ([\d.]+).mph \(k.=.2; from inputs ([\d.]+).mph", line.other)
    assert match is not None, line.other
    assert float(match[1]) == pytest.approx(whole / 1.609344, abs=0.07)


def test_an_uncertainty_says_its_coverage_factor() -> None:
    """8200/60 · 1.752 m / 6.5144 are 132.32 km/h; of a standard uncertainty of 3 mm U is 2 · 0.003/1.752 of
    it, 0.45."""
    value = uncertain().value("after", "speed_at_limit", "3")
    assert isinstance(value, Value)
    assert computed_line(value, judged("132.7 km/h", ADDRESS)).text == f"132.32 ± 0.45{NB}km/h (k{NB}={NB}2)"
