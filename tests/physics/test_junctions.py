"""Branches: against Crane's method as the package fluids has it, and Crane's worked examples by way of it."""

from __future__ import annotations

from math import radians

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
