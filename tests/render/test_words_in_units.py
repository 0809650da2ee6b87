"""Figures in sentences of our own, in the other system. Factors: NIST SP 811 (2008), Appendix B.8."""

from __future__ import annotations

import pytest

from buildlog.render.words_in_units import in_both_systems


def both(text: str) -> str:
    return "".join(part.text + (f" [{part.other}]" if part.other else "") for part in in_both_systems(text))


@pytest.mark.parametrize(
    "text,told",
    [
        # 1 mile = 1609.344 m
        ("At 158 km/h in gear 4", "At 158 km/h [98 mph] in gear 4"),
        ("tyres 58 to 67 km/h; engine", "tyres 58 to 67 km/h [36 to 42 mph]; engine"),
        ("engine 0 to 65 km/h", "engine 0 to 65 km/h [0 to 40 mph]"),
        # 1 in = 25.4 mm
        ("known to ± 280 mm: do not", "known to ± 280 mm [± 11.0 in]: do not"),
        ("by 1 mm for each", "by 1 mm [0.039 in] for each"),
        ("5 to 6.5 in (the maker's card)", "5 to 6.5 in [127 to 165 mm] (the maker's card)"),
        # 1 K = 1.8 °F of difference
        ("a fall of 21.4 ± 2.2 K.", "a fall of 21.4 ± 2.2 K [38.5 ± 4.0 °F]."),
        ("± 2 °C", "± 2 °C [± 4 °F]"),
        ("to 25 °C of dry air", "to 25 °C [77 °F] of dry air"),
        # 1 lbf = 4.448 221 615 N, 1 ft = 0.3048 m: 78 / 1.355 818 = 57.5, 9 / 0.112 985 = 79.7
        ("first 78 N·m, then 9 N·m", "first 78 N·m [58 lbf·ft], then 9 N·m [80 lbf·in]"),
        ("a torque of 47 ± 9 N·m", "a torque of 47 ± 9 N·m [34.7 ± 6.6 lbf·ft]"),
        ("It is −10\u00a0mm there", "It is −10\u00a0mm [−0.39\u00a0in] there"),
    ],
)  # fmt: skip
def test_a_figure_is_told_in_both_systems(text: str, told: str) -> None:
    assert both(text) == told


@pytest.mark.parametrize(
    "text",
    [
        "",
        "no figure at all",
        "8100 rpm and 42 %, for 0.59 s",
        "12 °C warmer than before",
        "warmer by 12 °C",
        "195/50R15 on a 10 mm socket",
        "an unknown 5 quux",
    ],
)
def test_what_both_systems_have_alike_or_cannot_be_told_stays(text: str) -> None:
    assert both(text) == text


def test_nothing_of_a_sentence_is_lost() -> None:
    text = "From 58 to 67 km/h <b>it</b> is 1 mm & 25 °C, then 9.8 Pa."
    assert "".join(part.text for part in in_both_systems(text)) == text
