"""Branches: against Crane's method as the package fluids has it, and Crane's worked examples by way of it."""

from __future__ import annotations

from math import cos, radians

import pytest
from fluids.fittings import (
    K_branch_converging_Crane,
    K_branch_diverging_Crane,
    K_run_converging_Crane,
    K_run_diverging_Crane,
)

from buildlog.diagnostics import OutOfRange
from buildlog.physics import junctions

SHARES = [0.05, 0.2, 0.39, 0.5, 0.65, 0.9]


@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("bore", [0.5, 0.75, 1.0])
@pytest.mark.parametrize("angle", [30, 45, 60, 90])
def test_against_fluids(share: float, bore: float, angle: int) -> None:
    """fluids 1.3.1; flows of 1 in all, bores of 1 and less."""
    ratio, turned = bore**2, radians(angle)
    factor = junctions.meeting_factor(turned)
    flows = {"D_run": 1.0, "D_branch": bore, "Q_run": 1 - share, "Q_branch": share, "angle": angle}
    for found, formula in (
        (junctions.parting_branch(share, ratio, turned), K_branch_diverging_Crane),
        (junctions.parting_run(share, ratio), K_run_diverging_Crane),
        (junctions.meeting_branch(share, ratio, factor), K_branch_converging_Crane),
        (junctions.meeting_run(share, ratio, factor), K_run_converging_Crane),
    ):
        assert found == pytest.approx(formula(**flows), rel=1e-9, abs=1e-9)


def test_cranes_examples() -> None:
    """Crane TP-410 (2009), examples 7-35 (a 90° tee that meets) and 7-36 (a 45° wye that parts), with the
    values that the book gets, as printed in the documentation of fluids 1.3.1: -0.04026 and 0.3258;
    -0.06809."""
    share = 0.00633 / (0.018917 + 0.00633)
    assert junctions.meeting_branch(share, 1.0, junctions.meeting_factor(radians(90))) == pytest.approx(
        -0.04026, abs=2e-4
    )
    assert junctions.meeting_run(share, 1.0, 0.0) == pytest.approx(0.3258, abs=2e-4)
    assert junctions.parting_run(0.01583 / (0.02525 + 0.01583), 1.0) == pytest.approx(-0.06809, abs=2e-5)


def test_pressure_and_sizes() -> None:
    assert junctions.area_ratio(0.04, 0.05) == pytest.approx(0.64)
    # ideal gas: 40 kg/(m²·s) at 290 · 900/1e5 m³/kg: 1600 · 2.61/2 Pa
    head = junctions.head_of_flux(40.0, 290.0, 900.0, 1e5)
    assert head == pytest.approx(2088)
    assert junctions.pressure_before_junction(1e5, -0.5, 100.0) == 99_950


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: junctions.parting_branch(1.2, 1.0, 1.0), "flow_share"),
        (lambda: junctions.parting_run(0.5, 2.0), "area_ratio"),
        (lambda: junctions.parting_branch(0.5, 1.0, 2.0), "angle"),
        (lambda: junctions.meeting_factor(0.1), "angle"),
        (lambda: junctions.meeting_branch(0.5, 1.0, 3.0), "meeting_factor"),
        (lambda: junctions.head_of_flux(0.0, 290.0, 900.0, 1e5), "mass_flux"),
    ],
)
def test_ranges(call: object, name: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        call()  # type: ignore[operator]
    assert refused.value.name == name


# --- at the ends of each case, which belong to it as Crane's tables have them (“≤”) ------------------


@pytest.mark.parametrize(
    ("share", "area", "angle", "factor"),
    # the factor G before 1 + H (x/m)² − J (x/m) cos θ
    [
        (0.40, 0.35, 45, 1.1 - 0.7 * 0.40),
        (0.41, 0.35, 45, 0.85),
        (0.40, 0.36, 45, 1 - 0.6 * 0.40),
        (0.60, 0.36, 45, 1 - 0.6 * 0.60),
        (0.61, 0.36, 45, 0.6),
        (0.60, 2 / 3, 80, 1.0),
        (0.60, 0.67, 80, 1 + 0.3 * 0.36),
        (0.60, 0.40, 75.0001, 1.0),
        (0.60, 0.40, 74.9999, 1 - 0.6 * 0.60),
    ],
)
def test_the_cases_of_a_parting_branch(share: float, area: float, angle: float, factor: float) -> None:
    steep = angle >= 60 and area > 4 / 9
    h, j = (0.3, 0.0) if steep else (1.0, 2.0)
    shape = 1 + h * (share / area) ** 2 - j * share / area * cos(radians(angle))
    assert junctions.parting_branch(share, area, radians(angle)) == pytest.approx(factor * shape, rel=1e-9)


@pytest.mark.parametrize(
    ("area", "angle", "h", "j"),
    [
        (4 / 9, 60.0001, 1.0, 2.0),
        (0.45, 60.0001, 0.3, 0.0),
        (0.45, 59.9999, 1.0, 2.0),
        (4 / 9, 59.9999, 1.0, 2.0),
    ],
)
def test_a_wide_branch_at_a_steep_angle(area: float, angle: float, h: float, j: float) -> None:
    shape = 1 + h * (0.5 / area) ** 2 - j * 0.5 / area * cos(radians(angle))
    assert junctions.parting_branch(0.5, area, radians(angle)) == pytest.approx(0.7 * shape, rel=1e-9)


@pytest.mark.parametrize(
    ("share", "area", "factor"),
    [
        (0.3, 0.4, 0.4),
        (0.9, 0.4, 0.4),
        (0.5, 0.41, 0.0),
        (0.4, 0.41, -0.4),
        (0.6, 0.41, 0.06),
        (0.501, 0.41, 0.0006),
    ],
)
def test_the_cases_of_a_parting_run(share: float, area: float, factor: float) -> None:
    assert junctions.parting_run(share, area) == pytest.approx(factor * share**2)


@pytest.mark.parametrize(
    ("degrees", "factor"),
    # Crane's table: 1.74 up to 30°, 1.41 at 45°, 1 at 60°, 0 at 90°; straight lines between
    [(15, 1.74), (30, 1.74), (36, 1.608), (45, 1.41), (51, 1.246), (60, 1.0), (75, 0.5), (90, 0.0)],
)
def test_the_factor_of_the_angle(degrees: float, factor: float) -> None:
    assert junctions.meeting_factor(radians(degrees)) == pytest.approx(factor, abs=1e-9)


@pytest.mark.parametrize(
    ("share", "area", "factor"),
    [(0.4, 0.35, 1.0), (0.4, 0.36, 0.9 * 0.6), (0.41, 0.36, 0.55), (0.9, 0.35, 1.0)],
)
def test_the_cases_of_a_meeting_branch(share: float, area: float, factor: float) -> None:
    shape = 1 + (share / area) ** 2 - 2 * (1 - share) ** 2 - 1.41 * share**2 / area
    assert junctions.meeting_branch(share, area, 1.41) == pytest.approx(factor * shape)


@pytest.mark.parametrize(
    ("factor", "loss"),
    [(0.5, 1.55 * 0.4 - 0.16), (0.0, 1.55 * 0.4 - 0.16), (0.51, 1 - 0.36 - 0.51 * 0.16 / 0.5)],
)
def test_the_cases_of_a_meeting_run(factor: float, loss: float) -> None:
    assert junctions.meeting_run(0.4, 0.5, factor) == pytest.approx(loss)
