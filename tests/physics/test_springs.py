"""Diaphragm springs against the disc springs of DIN 2093."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import springs


def load(
    outer: float, inner: float, thickness: float, height: float, deflection: float, **at: float
) -> float:
    return springs.diaphragm_load(
        outer,
        inner,
        thickness,
        height,
        at.get("pressing", outer),
        at.get("fulcrum", inner),
        deflection,
        springs.SPRING_STEEL_MODULUS,
        springs.SPRING_STEEL_POISSON,
    )


@pytest.mark.parametrize(
    "outer,inner,thickness,height,listed,tolerance",
    [
        # DIN 2093, load at s = 0.75 h0, springs of 50 mm: series A 12 000 N (calculated 11 976), B 4760, C
        # 1550 N (from memory, sure to the third digit).
        (50, 25.4, 3.0, 1.1, 11_976, 0.001),
        (50, 25.4, 2.0, 1.4, 4760, 0.002),
        (50, 25.4, 1.25, 1.6, 1550, 0.005),
        # The same standard as listed in a published catalogue page (rounded there): 8 mm 210 N; 25 mm 2900 N.
        (8, 4.2, 0.4, 0.2, 210, 0.01),
        (25, 12.2, 1.5, 0.55, 2900, 0.015),
    ],
)
def test_loads_of_din_2093(
    outer: float, inner: float, thickness: float, height: float, listed: float, tolerance: float
) -> None:
    mm = 1e-3
    ours = load(
        outer * mm, inner * mm, thickness=thickness * mm, height=height * mm, deflection=0.75 * height * mm
    )
    assert ours == pytest.approx(listed, rel=tolerance)


def test_load_at_flat_is_the_known_closed_form() -> None:
    # At s = h0 the bracket is 1, so the load is 4 E t³ h0 / ((1 - ν²) K1 De²), K1 = 0.694 at De/Di = 2 (DIN
    # 2092, table of coefficients; from memory).
    ours = load(0.2, 0.1, thickness=0.003, height=0.003, deflection=0.003)
    expected = 4 * 206e9 * 0.003**3 * 0.003 / (0.91 * 0.694 * 0.2**2)
    assert ours == pytest.approx(expected, rel=0.001)


@given(st.floats(0.05, 1.9), st.floats(0.05, 0.45), st.floats(0.05, 0.45))
def test_shorter_arms_press_harder_and_move_less_for_the_same_work(
    share: float, fro: float, to: float
) -> None:
    """Virtual work: F dλ is the same whether counted at the edges or at the shortened arms."""
    outer, inner, thickness, height = 0.2, 0.16, 0.0024, 0.004
    width = outer - inner
    k = 1 / (1 - fro - to)
    edge = load(outer, inner, thickness=thickness, height=height, deflection=share * height)
    short = load(
        outer,
        inner,
        thickness=thickness,
        height=height,
        deflection=share * height / k,
        pressing=outer - to * width,
        fulcrum=inner + fro * width,
    )
    assert short == pytest.approx(edge * k, rel=1e-9)


def test_a_tall_cone_has_a_falling_stretch_and_a_low_one_has_not() -> None:
    # Almen and Laszlo (1936): the load falls somewhere exactly when h0/t exceeds √2.
    def falls(ratio: float) -> bool:
        thickness = 0.0025
        height = ratio * thickness
        loads = [
            load(0.2, 0.16, thickness=thickness, height=height, deflection=height * part / 500)
            for part in range(1, 1000)
        ]
        return any(after < before for before, after in pairwise(loads))

    assert not falls(1.40)
    assert falls(1.43)


def test_fingers_and_wear() -> None:
    # Lever: fulcrum at 85 mm, finger tips at 22 mm, pressing at 99 mm radius.
    assert springs.finger_ratio(0.198, 0.170, 0.044) == pytest.approx((85 - 22) / (99 - 85), rel=1e-12)
    assert springs.worn_deflection(0.004, 0.0015) == pytest.approx(0.0025)


@pytest.mark.parametrize(
    "call,name",
    [
        (lambda: load(0.2, 0.16, thickness=0.0024, height=0.004, deflection=0.0081), "spring_deflection"),
        (lambda: load(0.2, 0.16, thickness=0.0024, height=0.004, deflection=-0.001), "spring_deflection"),
        (
            lambda: load(0.2, 0.16, thickness=0.0024, height=0.004, deflection=0.004, pressing=0.21),
            "fulcrum_diameter",
        ),
        (
            lambda: load(0.2, 0.16, thickness=0.0024, height=0.004, deflection=0.004, fulcrum=0.15),
            "fulcrum_diameter",
        ),
        (lambda: load(0.2, 0.03, thickness=0.0024, height=0.004, deflection=0.004), "spring_outer_diameter"),
        (lambda: load(0.2, 0.16, thickness=0, height=0.004, deflection=0.004), "spring_thickness"),
        (lambda: springs.finger_ratio(0.198, 0.170, 0.18), "finger_diameter"),
        (lambda: springs.worn_deflection(0.004, 0.005), "facing_wear"),
    ],
)
def test_what_is_out_of_range_is_refused_by_name(call, name: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange) as refused:
        call()
    assert refused.value.name == name


def work_stored(outer: float, inner: float, thickness: float, height: float, deflection: float) -> float:
    """Strain energy of a cone whose section turns as a rigid body, by Gauss points (numpy): no series, no
    small angles. The section shifts outwards by what makes the energy least."""
    width = np.hypot((outer - inner) / 2, height)
    free = np.arcsin(height / width)
    bent = np.arcsin((height - deflection) / width)
    along, weight_along = np.polynomial.legendre.leggauss(24)
    across, weight_across = np.polynomial.legendre.leggauss(6)
    x, z = np.meshgrid((along + 1) / 2 * width, across * thickness / 2, indexing="ij")
    area = np.outer(weight_along * width / 2, weight_across * thickness / 2)
    radius = inner / 2 + x * np.cos(free) - z * np.sin(free)
    moved = x * (np.cos(bent) - np.cos(free)) - z * (np.sin(bent) - np.sin(free))
    shift = -(area * moved / radius).sum() / (area / radius).sum()
    strain = (moved + shift) / radius
    return float(206e9 / (1 - 0.3**2) / 2 * (area * strain**2 * 2 * np.pi * radius).sum())


@pytest.mark.parametrize("part", [0.3, 0.7, 1.0, 1.4])
@pytest.mark.parametrize(
    "outer,inner,thickness,height",
    [(0.200, 0.165, 0.0024, 0.0038), (0.220, 0.170, 0.0026, 0.0045), (0.180, 0.150, 0.0022, 0.0020)],
)
def test_the_load_is_the_slope_of_the_stored_work(
    outer: float, inner: float, thickness: float, height: float, part: float
) -> None:
    """Three diaphragms by energy, of which DIN EN 16984's closed form is the first terms: within 3 %, where
    the kind's doubt of an unpressed diaphragm is 10 %. Source: derived, Castigliano."""
    deflection, step = part * height, 1e-7
    ahead, behind = (work_stored(outer, inner, thickness, height, deflection + at) for at in (step, -step))
    ours = load(outer, inner, thickness=thickness, height=height, deflection=deflection)
    assert ours == pytest.approx((ahead - behind) / (2 * step), rel=0.031)
