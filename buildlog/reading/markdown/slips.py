"""Addresses that are nearly those of figures: after a slip of the pen nobody would check the figure."""

from __future__ import annotations

import difflib
import re

from buildlog.diagnostics import Diagnostic, Position, Severity, declare, shorten

NEARLY_A_FIGURE = declare(
    "nearly-a-figure",
    "a link's address is nearly that of a figure",
    why="As it stands it leads nowhere, and what it says is compared with nothing.",
    mend="Write it as expected, in small letters, or set this code to off if other addresses begin so.",
    severity=Severity.WARNING,
    example="[125 km/h](clac:shorter-final.speed_at_limit.3)",
)
_NAMES = ("calc", "cite", "told", "caution")
_NAME = re.compile(r"([A-Za-z]{3,9}):(?!//)")
_NEAR = 0.75


def slip(address: str, position: Position) -> Diagnostic | None:
    """The finding on an ordinary link whose address begins nearly as a figure's or a caution's does."""
    match = _NAME.match(address)
    near = difflib.get_close_matches(match[1].lower(), _NAMES, n=1, cutoff=_NEAR) if match else []
    if match is None or not near or address.startswith(f"{near[0]}:"):
        return None
    return NEARLY_A_FIGURE.at(
        position,
        found=f"“{shorten(match[0])}”",
        expected=f"“{near[0]}:”",
        help=f"did you mean “{near[0]}:”?",
        length=len(match[0]),
    )
