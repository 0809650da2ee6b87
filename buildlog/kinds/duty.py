"""What a part of one's own making carries, and what none is computed for here.

A strength, a margin or a mass says nothing of a part that a life hangs on: how it was made does. So an author
says what the part is for, and some answers are refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import Refused, declare
from buildlog.kinds.forms import Choice, Input

DUTY = "duty"
"""The name of the input that a calculator of such parts asks for."""

REFUSED = {
    "person": "refused: what holds a person: seat, belt, harness, cage, step, child seat",
    "wheel": "refused: wheel, hub, suspension, and what holds the car up",
    "brake": "refused: brake, its pedal, its lines",
    "steering": "refused: steering, from the wheel to the hubs",
    "fuel": "refused: fuel or hot fluid, and whatever stands under pressure",
    "lifting": "refused: points to lift, jack, tow or tie down by, and mounts of engine and axles",
}
"""What it is refused for, whatever the part is made of."""

LICENSED_PRACTICE = declare(
    "licensed-practice",
    "a part that lives hang on is not computed here",
    why="A sum on a page says nothing of how such a part was made, and whoever trusts it can die of it.",
    mend="Fit the maker's part, or one that is approved for this, by licensed practice. If the part does "
    "something else, say so in duty.",
    example="duty: brake",
)


def duty_input(allowed: Mapping[str, str]) -> Input:
    """The input that asks for it; `allowed` are the kind's own answers, each with its meaning."""
    return Input(
        name=DUTY,
        title="duty of the part",
        form=Choice({**allowed, **REFUSED}),
        about="what hangs on it if it gives way",
    )


def refuse_duty(given: Mapping[str, Any]) -> None:
    """Refuse a part that lives hang on; to be called before anything is computed."""
    duty = given[DUTY]
    if duty in REFUSED:
        raise Refused(
            DUTY,
            f"“{duty}”: {REFUSED[duty].removeprefix('refused: ')}",
            "a part whose failure hurts nobody",
            help=LICENSED_PRACTICE.mend,
            code=LICENSED_PRACTICE,
        )
