"""What a figure of the prose would be: held to what the proof says of every figure of the demonstration, and
to changes worked out by hand."""

from __future__ import annotations

import pytest

from buildlog.browser.restated import FigureThere, restate
from buildlog.proof.judging import Judged
from buildlog.proof.overview import Overview
from buildlog.render.conversion import other_label
from buildlog.render.grounds import ground_of
from tests.render.blocks import GEARING, compute

SPEED = "shorter-final.speed_at_limit.3"


def figure(label: str, of: str = SPEED, case: str = "after", **more: str) -> FigureThere:
    written = {"label": label, "of": of, "case": case, "versus": "", "versus_case": "", "unit": ""}
    return FigureThere.read(written | more)


def against(label: str, **more: str) -> FigureThere:
    return figure(label, versus=SPEED, versus_case="before", **more)


# By hand: 8200 / 60 / (1.43 · 41/9) turns of the wheel in 1 s, of 1.752 m each, are 36.755 m/s (132.32 km/h).
# Half the limiter is half of that, 66.16; 8500 rpm are 137.16. A change goes as the final drives alone.
MEASURED = GEARING.replace("cruise_speed:", "rolling_circumference: 1.752 m\n  cruise_speed:")
SLOWER = MEASURED.replace("8200 rpm", "4100 rpm")
LONGER = MEASURED.replace("41/9", "39/20")


@pytest.mark.parametrize(
    "body,stated,text,holds",
    [
        (MEASURED, figure("132.3 km/h"), "132.3 km/h", True),
        (SLOWER, figure("132.3 km/h"), "66.2 km/h", True),
        (SLOWER, figure("132 km/h"), "66 km/h", True),
        (SLOWER, figure("about 130 km/h"), "about 66 km/h", True),
        (SLOWER, figure("under 135 km/h"), "66.2 km/h", True),
        (MEASURED.replace("8200 rpm", "8500 rpm"), figure("under 135 km/h"), "137.2 km/h", False),
        (SLOWER, figure("130–135 km/h"), "66.2 km/h", False),
        # 39/10 over 41/9 is 0.8561, whatever the limiter.
        (SLOWER, against("14.4 %"), "14.4 %", True),
        # 39/10 over 39/20 is 2.
        (LONGER, against("14.4 %"), "100.0 %", True),
        (LONGER, against("14 % less"), "100.0 % more", True),
        (LONGER, figure("41/9", of="shorter-final.final_drive"), "1.95", True),
    ],
)
def test_a_figure_takes_the_new_value_in_its_own_form(
    body: str, stated: FigureThere, text: str, holds: bool
) -> None:
    found = restate(compute(body), stated)
    assert found is not None
    assert (found.text.replace("\u00a0", " "), found.holds) == (text, holds)


def test_a_change_says_which_way_it_goes() -> None:
    before, after = (restate(compute(body), against("14.4 %")) for body in (MEASURED, LONGER))
    assert before is not None
    assert after is not None
    assert (before.way, after.way) == ("less", "more")
    alone = restate(compute(GEARING), figure("132.3 km/h"))
    assert alone is not None
    assert alone.way == ""


def test_words_of_direction_hold_or_do_not() -> None:
    holds = [restate(compute(body), against("slower")) for body in (MEASURED, LONGER)]
    assert [one.holds for one in holds if one] == [True, False]


def test_what_rests_on_another_block_or_on_nothing_is_left_alone() -> None:
    block = compute(GEARING)
    assert restate(block, figure("132.3 km/h", of="other.speed_at_limit.3")) is None
    assert restate(block, figure("132.3 km/h", versus="other.speed_at_limit.3")) is None
    assert restate(block, figure("132.3 km/h", of="shorter-final.speed_at_limit.9")) is None
    assert restate(block, figure("132.3 km/h", case="never")) is None
    assert restate(block, figure("as fast as you like")) is None


def test_with_the_author_s_numbers_every_figure_of_the_demonstration_stays_as_it_is(site: Overview) -> None:
    seen, converted = 0, 0
    for page, entries in site.entries.items():
        for judged in (entry.judged for entry in entries if entry.judged is not None):
            if (stated := _there(judged, page)) is None:
                continue
            assert judged.block is not None
            found = restate(judged.block, stated)
            assert found is not None, f"{page}: {judged.text} of {judged.address}"
            assert found.holds, f"{page}: {judged.text} of {judged.address}"
            seen += 1
            if found.text == judged.text and (label := other_label(judged)) is not None:
                assert (found.other, found.system) == (label.text, label.system)
                converted += 1
    assert seen > 100
    assert converted > 30


def _there(judged: Judged, page: str) -> FigureThere | None:
    """The figure as a script reads it in the page; None where it rests on other blocks too."""
    ground = ground_of(judged, page)
    if not ground or "data-at" in ground or "#" in ground["data-of"]:
        return None
    if judged.block is None or (judged.other is not None and judged.other.block is not judged.block):
        return None
    if judged.title.startswith(("±", "+-")) or "; ±" in judged.title:
        return None  # agrees by its author's tolerance
    return FigureThere(
        label=judged.text,
        of=ground["data-of"],
        case=ground["data-case"],
        versus=ground.get("data-versus", ""),
        versus_case=ground.get("data-versus-case", ""),
        unit=ground.get("data-unit", ""),
    )
