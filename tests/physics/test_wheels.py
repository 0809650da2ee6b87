"""Rims and sections of tyres: the shares that the docstrings tell, at the ends of each, and geometry."""

from __future__ import annotations

from math import radians, sin

import pytest

from buildlog.diagnostics import OutOfRange
from buildlog.physics import wheels

INCH = 0.0254


@pytest.mark.parametrize(
    ("aspect", "measuring", "theoretical"),
    # ISO 4000-1 and the ETRTO Standards Manual (from memory): rim over section width by aspect ratio
    [
        (0.80, 0.70, 0.70), (0.75, 0.70, 0.70), (0.70, 0.75, 0.70), (0.60, 0.75, 0.70), (0.55, 0.80, 0.70),
        (0.50, 0.80, 0.70), (0.45, 0.85, 0.85), (0.40, 0.90, 0.85), (0.30, 0.90, 0.85),
    ],
)  # fmt: skip
def test_rims_by_aspect_ratio(aspect: float, measuring: float, theoretical: float) -> None:
    for width in (0.165, 0.205, 0.255):
        half_inches = round(measuring * width / (INCH / 2))
        assert wheels.measuring_rim(width, aspect) == pytest.approx(half_inches * INCH / 2)
        assert wheels.theoretical_rim(width, aspect) == pytest.approx(theoretical * width)


def test_lips_and_track() -> None:
    """8 J ET 35 for 7 J ET 48: outer lip 12.7 + 13 mm out, inner one 12.7 − 13 mm in, track 26 mm more."""
    assert wheels.outer_lip_movement(INCH, -0.013) == pytest.approx(0.0257)
    assert wheels.inner_lip_movement(INCH, -0.013) == pytest.approx(-0.0003)
    assert wheels.track_change(-0.013) == pytest.approx(0.026)


@pytest.mark.parametrize("way", [-1, 1])
def test_cambers_up_to_ten_degrees_either_way(way: int) -> None:
    moved = wheels.outward_by_camber(0.3, radians(10 * way), radians(-10 * way))
    assert moved == pytest.approx(2 * way * 0.3 * sin(radians(10)))
    for now, before in ((10.1, 0), (0, 10.1)):
        with pytest.raises(OutOfRange):
            wheels.outward_by_camber(0.3, radians(now * way), radians(before * way))
    with pytest.raises(OutOfRange):
        wheels.outward_by_camber(0.51 * way, 0.0, 0.0)
