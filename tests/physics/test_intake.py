"""The box of an intake: closed forms for ways whose loss goes with the square of the flow."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Any, cast

import pytest

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.physics import intake
from buildlog.physics.intake import Intake, Stream
from buildlog.physics.network import FlowPath

AMBIENT = 100_000.0


@dataclass(frozen=True)
class Squared:
    """A way that loses `constant` Q² ρ, Pa."""

    constant: float

    def loss(self, flow: float, density: float, viscosity: float) -> float:
        assert flow >= 0
        assert viscosity > 0
        return self.constant * flow**2 * density


def way(constant: float) -> FlowPath:
    return cast(FlowPath, Squared(constant))


def stream(constant: float, **changes: Any) -> Stream:
    usual: dict[str, Any] = {"area": 0.004, "temperature": 300.0, "density": 1.2, "viscosity": 1.8e-5}
    return Stream(name="", path=way(constant), **usual | changes)


def box(*streams: Stream, drawn: float = 0.1, behind: float = 0.0) -> tuple[Intake, float]:
    made = Intake(streams=streams, behind=way(behind), drawn=drawn)
    return made, intake.box_pressure(made, drawn, AMBIENT)


RAM = 500.0
"""Pa; of the wind at 25 m/s, as far as these tests care."""


def facing(constant: float, recovery: float, stopped: float, **changes: Any) -> Stream:
    return stream(constant, speed=25.0, ram=RAM, recovery=recovery, recovery_stopped=stopped, **changes)


def test_one_way_brings_all() -> None:
    made, pressure = box(stream(20_000.0))
    assert pressure == pytest.approx(-20_000 * 0.01 * 1.2)
    assert intake.mass_flow_in(made, 1, pressure) == pytest.approx(0.12)
    with_filter, pressure = box(stream(20_000.0), behind=5_000.0)
    assert intake.inlet_pressure(with_filter, pressure) == pytest.approx(-25_000 * 0.01 * 1.2)


def test_two_ways_share_by_the_roots_of_their_losses() -> None:
    """c₁ Q₁² = c₂ Q₂² and Q₁ + Q₂ = Q: of 10 000 and 40 000 the first brings two thirds."""
    made, pressure = box(stream(10_000.0), stream(40_000.0))
    assert pressure == pytest.approx(-10_000 * (0.2 / 3) ** 2 * 1.2, rel=1e-8)
    first, second = (intake.mass_flow_in(made, number, pressure) for number in (1, 2))
    assert (first, second) == pytest.approx((0.08, 0.04), rel=1e-8)


def test_the_mixture_is_weighed_by_mass() -> None:
    """Alike but for their air: at one loss Q goes with 1/√ρ, so that masses go with √ρ (by hand)."""
    cold, hot = stream(10_000.0), stream(10_000.0, temperature=360.0, density=1.0)
    made, pressure = box(cold, hot)
    masses = sqrt(1.2), 1.0
    mean = (masses[0] * 300 + masses[1] * 360) / sum(masses)
    assert intake.mixed_temperature(made, pressure) == pytest.approx(mean, rel=1e-8)
    brought = [intake.mass_flow_in(made, number, pressure) for number in (1, 2)]
    assert brought[0] / brought[1] == pytest.approx(sqrt(1.2), rel=1e-8)
    # what the engine draws is a volume of the mixture: all mass over the volumes at ambient pressure
    density = sum(brought) / (brought[0] / 1.2 + brought[1] / 1.0)
    assert sum(brought) == pytest.approx(0.1 * density, rel=1e-8)


def test_a_mouth_out_of_the_wind_blows_out_what_the_other_brings_too_much() -> None:
    """With little drawn, ram drives air through the box: c Q₁² ρ = r p_d − Δp, c Q₂² ρ = Δp outwards."""
    made, pressure = box(facing(10_000.0, 0.8, 0.8), stream(10_000.0), drawn=0.01)
    assert pressure > 0
    first, second = (intake.mass_flow_in(made, number, pressure) for number in (1, 2))
    assert first == pytest.approx(1.2 * sqrt((0.8 * RAM - pressure) / 10_000 / 1.2), rel=1e-7)
    assert second == pytest.approx(-1.2 * sqrt(pressure / 10_000 / 1.2), rel=1e-7)
    assert first + second == pytest.approx(0.012, rel=1e-7)


# Recovery rises from 0.2 stopped to 0.9 where the mouth meets what it draws, 0.1 m³/s at 25 m/s: the pressure
# it brings is 100 + 3500 Q − 24 000 Q² Pa, greatest at 3500/48 000 m³/s (by hand).
RISING = facing(20_000.0, 0.9, 0.2)


def test_the_flow_at_which_a_mouth_brings_most() -> None:
    assert RISING.best_flow == pytest.approx(3500 / 48_000, rel=1e-6)
    assert RISING.in_box(0.05) == pytest.approx(100 + 175 - 60)
    assert RISING.in_box(0.0) == pytest.approx(100)
    assert RISING.in_box(-0.05) == pytest.approx(100 + 60), "what flows out loses in the other direction"
    assert facing(20_000.0, 0.5, 0.9).best_flow == 0.0
    assert stream(20_000.0).best_flow == 0.0


@pytest.mark.parametrize("pressure", [-300.0, 0.0, 99.0, 101.0, 200.0, 227.0])
def test_the_greater_of_two_flows(pressure: float) -> None:
    """24 000 Q² − 3500 Q + Δp − 100 = 0."""
    flow = (3500 + sqrt(3500**2 - 4 * 24_000 * (pressure - 100))) / 48_000
    found = RISING.flow_at(pressure, 0.05)
    if flow <= 0.1:
        assert found == pytest.approx(flow, rel=1e-6)
    else:  # beyond what it meets the recovery stays: 450 − 24 000 Q²
        assert found == pytest.approx(sqrt((450 - pressure) / 24_000), rel=1e-6)


def test_against_more_pressure_than_it_can_bring_a_mouth_blows_out() -> None:
    """100 + 24 000 Q² outwards."""
    assert RISING.flow_at(400.0, 0.05) == pytest.approx(-sqrt(300 / 24_000), rel=1e-6)
    assert stream(20_000.0).flow_at(0.0, 0.05) == pytest.approx(0.0, abs=1e-9)


def test_a_duct_that_chokes_the_engine_is_refused() -> None:
    for ways in ([stream(1e8)], [stream(1e8), stream(1e8)]):
        with pytest.raises(NoSolution) as refused:
            box(*ways)
        assert "less than half the ambient pressure" in refused.value.found
    with pytest.raises(OutOfRange):
        box(stream(1.0), drawn=0.0)


def test_two_mouths_that_rise_have_no_steady_flow() -> None:
    """Each brings more the more it takes, up to 0.073 m³/s: of 0.05 one takes all from the other."""
    with pytest.raises(NoSolution) as refused:
        box(RISING, facing(20_000.0, 0.9, 0.2), drawn=0.05)
    assert "no steady flow" in refused.value.found
