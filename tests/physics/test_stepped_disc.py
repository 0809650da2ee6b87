"""Discs of rings against a solver of boundary value problems and against finite elements."""

from __future__ import annotations

from itertools import pairwise
from math import pi
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_bvp

from buildlog.diagnostics import OutOfRange
from buildlog.physics import rotation
from buildlog.physics.stepped_disc import (
    Band,
    SteppedDisc,
    stepped_average_stress,
    stepped_hoop_stress,
    stepped_radial_stress,
)
from tests.physics.finite_elements import spun

SPEED = 8100 * pi / 30
RIM = ((0.031, 0.109, 0.015), (0.109, 0.136, 0.026))
HOLLOW = ((0.031, 0.056, 0.011), (0.056, 0.118, 0.006), (0.118, 0.136, 0.011))
STOUT = ((0.025, 0.060, 0.022), (0.060, 0.125, 0.012), (0.125, 0.140, 0.030))


def disc(steps: tuple[tuple[float, float, float], ...], one_sided: bool = True) -> SteppedDisc:
    return SteppedDisc(tuple(Band(*step) for step in steps), one_sided)


def by_bvp(steps: tuple[tuple[float, float, float], ...], nu: float) -> tuple[float, float]:
    """Hoop stress at the bore and greatest radial stress of ρ ω² = 1, by scipy's solve_bvp.

    Equilibrium d(h r σ_r)/dr = h σ_t - h r², Hooke's law du/dr = σ_r - ν σ_t, u/r = σ_t - ν σ_r
    (Timoshenko and Goodier, rotating discs; E = 1), of force F = h σ_r and u, on every ring at once: x
    from 0 to 1 in each.
    """
    count = len(steps)

    def rates(x: Any, y: Any) -> Any:
        out = []
        for number, (inner, outer, h) in enumerate(steps):
            force, moved = y[2 * number], y[2 * number + 1]
            r = inner + (outer - inner) * x
            radial = force / h
            hoop = moved / r + nu * radial
            out.append((outer - inner) * (h * (hoop - radial) / r - h * r))
            out.append((outer - inner) * (radial - nu * hoop))
        return np.array(out)

    def ends(a: Any, b: Any) -> Any:
        joined = [b[2 * n + i] - a[2 * n + 2 + i] for n in range(count - 1) for i in (0, 1)]
        return np.array([a[0], *joined, b[2 * count - 2]])

    run = solve_bvp(
        rates, ends, np.linspace(0, 1, 60), np.full((2 * count, 60), 0.01), tol=1e-9, max_nodes=9999
    )
    assert run.success
    grid = run.sol(np.linspace(0, 1, 400))
    radial = max(float((grid[2 * n] / step[2]).max()) for n, step in enumerate(steps))
    return float(run.sol(0)[1] / steps[0][0]), radial


@pytest.mark.parametrize("nu", [0.26, 0.30])
@pytest.mark.parametrize("steps", [RIM, HOLLOW, STOUT])
def test_steps_on_both_sides_solve_the_disc(steps: tuple[tuple[float, float, float], ...], nu: float) -> None:
    """scipy's solve_bvp on the equations of a spinning disc, width by width."""
    hoop, radial = by_bvp(steps, nu)
    found = disc(steps, one_sided=False)
    assert stepped_hoop_stress(found, 1.0, 1.0, nu) == pytest.approx(hoop, rel=1e-6)
    assert stepped_radial_stress(found, 1.0, 1.0, nu) == pytest.approx(radial, rel=1e-4)


def on_one_side(steps: tuple[tuple[float, float, float], ...]) -> list[tuple[float, float, float, float]]:
    levels = sorted({0.0, *(h for _, _, h in steps)})
    return [
        (inner, outer, low, high)
        for low, high in pairwise(levels)
        for inner, outer, h in steps
        if h >= high - 1e-12
    ]


def test_finite_elements_of_the_even_disc() -> None:
    """What the other test of finite elements is worth: Shigley's closed solution, 79.01 MPa, to 0.1 %."""
    found = spun([(0.031, 0.136, 0.0, 0.015)], density=7200, poisson=0.26, speed=SPEED)
    even = rotation.hoop_stress(7200, SPEED * 0.136, 31 / 136, 0.26)
    assert found[:, 3].max() == pytest.approx(even, rel=1e-3)


@pytest.mark.parametrize(
    "steps,density,nu", [(RIM, 7200.0, 0.26), (HOLLOW, 7850.0, 0.30), (STOUT, 7850.0, 0.30)]
)
def test_steps_on_one_side_bend_the_disc_as_finite_elements_have_it(
    steps: tuple[tuple[float, float, float], ...], density: float, nu: float
) -> None:
    """Axisymmetric finite elements, solved by scipy's spsolve: a body without any theory of plates. The doubt
    of the joined rings is 10 %; of the flat disc 40 %."""
    found = spun(on_one_side(steps), density=density, poisson=nu, speed=SPEED)
    greatest = found[np.isclose(found[:, 0], steps[0][0]), 3].max()
    assert stepped_hoop_stress(disc(steps), density, SPEED, nu) == pytest.approx(greatest, rel=0.05)
    flat = rotation.hoop_stress(density, SPEED * steps[-1][1], steps[0][0] / steps[-1][1], nu)
    assert flat == pytest.approx(greatest, rel=0.4)


@given(
    st.floats(0.01, 0.05), st.floats(0.08, 0.2), st.floats(0.005, 0.03), st.floats(0.2, 0.4), st.booleans()
)
def test_an_even_disc_is_shigleys_however_it_is_cut(
    inner: float, outer: float, width: float, nu: float, one_sided: bool
) -> None:
    """Shigley and Mischke, 5th ed., stresses in rotating rings: hoop stress at the bore, radial stress
    (3 + ν)/8 ρ ω² (R - r)²."""
    middle = (inner + outer) / 2
    cut = disc(((inner, middle, width), (middle, outer, width)), one_sided)
    even = rotation.hoop_stress(7800, 800 * outer, inner / outer, nu)
    assert stepped_hoop_stress(cut, 7800, 800, nu) == pytest.approx(even, rel=1e-6)
    radial = (3 + nu) / 8 * 7800 * 800**2 * (outer - inner) ** 2
    assert stepped_radial_stress(cut, 7800, 800, nu) == pytest.approx(radial, rel=1e-6)


@given(st.floats(1.01, 3), st.floats(0.2, 5))
def test_stress_goes_with_the_square_of_speed_and_of_size(more: float, wide: float) -> None:
    """Dimensions: σ ∝ ρ ω² L²; and a width that is changed everywhere alike changes nothing."""
    own = stepped_hoop_stress(disc(RIM), 7200, 500, 0.26)
    assert stepped_hoop_stress(disc(RIM), 7200, 500 * more, 0.26) == pytest.approx(own * more**2, rel=1e-6)
    larger = disc(tuple((a * more, b * more, h * more) for a, b, h in RIM))
    assert stepped_hoop_stress(larger, 7200, 500, 0.26) == pytest.approx(own * more**2, rel=1e-6)
    both = disc(RIM, one_sided=False)
    wider = disc(tuple((a, b, h * wide) for a, b, h in RIM), one_sided=False)
    assert stepped_hoop_stress(wider, 7200, 500, 0.26) == pytest.approx(
        stepped_hoop_stress(both, 7200, 500, 0.26), rel=1e-6
    )


def test_the_average_is_the_pull_of_half_a_disc() -> None:
    """Balance: what pulls at a cut through the axis, ∫ ρ ω² h r² dr by scipy, over the section."""

    def width(r: float) -> float:
        return next(h for inner, outer, h in HOLLOW if inner <= r <= outer)

    cuts = {"points": [0.056, 0.118]}
    pull = quad(lambda r: 7850 * SPEED**2 * width(r) * r**2, 0.031, 0.136, **cuts)[0]
    section = quad(width, 0.031, 0.136, **cuts)[0]
    assert stepped_average_stress(disc(HOLLOW), 7850, SPEED) == pytest.approx(pull / section, rel=1e-7)


def test_rings_become_bands() -> None:
    hollowed = [(0.272, 0.062, 0.011), (0.236, 0.112, -0.005)]
    assert [band for step in SteppedDisc.bands_of(hollowed, 0.062) for band in step] == pytest.approx(
        [value for step in HOLLOW for value in step]
    )
    # A slit that a calliper makes is none; a gap is; and so is nothing around the bore.
    assert len(SteppedDisc.bands_of([(0.218, 0.062, 0.015), (0.272, 0.2184, 0.026)], 0.062)) == 2
    assert SteppedDisc.bands_of([(0.218, 0.062, 0.015), (0.272, 0.230, 0.026)], 0.062) == ()
    assert SteppedDisc.bands_of([(0.272, 0.100, 0.015)], 0.062) == ()
    # What lies within the bore is not there.
    assert SteppedDisc.bands_of([(0.272, 0.0, 0.015)], 0.062) == (Band(0.031, 0.136, 0.015),)


def test_what_is_out_of_range_is_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="bore"):
        stepped_hoop_stress(SteppedDisc(()), 7800, 500, 0.3)
    with pytest.raises(OutOfRange, match="poisson_ratio"):
        stepped_radial_stress(disc(RIM), 7800, 500, 0.7)
    with pytest.raises(OutOfRange, match="density"):
        stepped_average_stress(disc(RIM), 0, 500)
