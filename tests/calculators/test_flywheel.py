"""The kind `flywheel`: inertia by three ways, and what follows from it."""

from __future__ import annotations

from math import cos, pi, sin, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from buildlog.calculators import flywheel
from buildlog.diagnostics import InputsConflict, MissingInput, Refused
from buildlog.kinds.declaration import BarSpec, ChartSpec, Outputs, Working
from tests.calculators.seen import Seen, seen

RPM = pi / 30
BASE = {"rev_limit": 7000 * RPM, "gravity": 9.80665, "steps": "one-side"}
RINGS = [
    {"outer_diameter": 0.280, "inner_diameter": 0.060, "width": 0.014, "density": 7200.0},
    {"outer_diameter": 0.280, "inner_diameter": 0.210, "width": 0.012, "density": 7200.0},
]
SWING = {"swinging_mass": 8.0, "swing_period": 2.0, "wire_radius": 0.100, "wire_length": 1.20}
GEARS = {"gears": [3.6, 2.0, 1.0], "final_drive": 4.1, "rolling_radius": 0.310}
STRESS = {"bore": 0.060, "poisson_ratio": 0.26}


def ran(**changes: Any) -> tuple[Outputs, Working]:
    given = {name: value for name, value in (BASE | changes).items() if value is not None}
    working = Working()
    return flywheel.compute(given, working), working


def outputs(**changes: Any) -> Any:
    return ran(**changes)[0]


def test_ring_of_a_table() -> None:
    # Any mechanics text: m (r_o² + r_i²) / 2; a ring of 8 kg, 140 and 60 mm: 0.0928 kg·m².
    width = 8 / (7200 * pi * (0.14**2 - 0.06**2))
    out = outputs(rings=[{"outer_diameter": 0.28, "inner_diameter": 0.12, "width": width, "density": 7200.0}])
    assert out["mass"] == pytest.approx(8, rel=1e-12)
    assert out["inertia"] == pytest.approx(0.0928, rel=1e-12)
    assert out["ring_mass"] == {"1": pytest.approx(8)}
    assert out["radius_of_gyration"] == pytest.approx(sqrt(0.0928 / 8), rel=1e-12)


def test_profile_is_the_sum_of_its_rings() -> None:
    out = outputs(rings=RINGS)
    assert out["inertia"] == pytest.approx(sum(out["ring_inertia"].values()), rel=1e-12)
    assert out["mass"] == pytest.approx(sum(out["ring_mass"].values()), rel=1e-12)
    assert set(out["ring_mass"]) == {"1", "2"}


def test_a_groove_is_taken_away_and_a_full_disc_has_no_inner_diameter() -> None:
    """A disc less its middle is the ring around it."""
    disc = {"outer_diameter": 0.28, "width": 0.02, "density": 7200.0}
    middle = {"outer_diameter": 0.10, "width": 0.02, "density": 7200.0, "removed": True}
    ring = outputs(rings=[disc | {"inner_diameter": 0.10}])
    cut = outputs(rings=[disc, middle])
    assert cut["inertia"] == pytest.approx(ring["inertia"], rel=1e-12)
    assert cut["mass"] == pytest.approx(ring["mass"], rel=1e-12)
    kept = outputs(rings=[disc, middle | {"removed": False}])
    assert kept["mass"] > outputs(rings=[disc])["mass"]


def test_rings_of_different_metals_are_said_to_make_no_plain_disc() -> None:
    """Aluminium with a steel ring gear: masses by their own density, the stress with a remark."""
    aluminium = {"outer_diameter": 0.26, "inner_diameter": 0.06, "width": 0.016, "density": 2700.0}
    gear = {"outer_diameter": 0.275, "inner_diameter": 0.26, "width": 0.012, "density": 7850.0}
    out, working = ran(rings=[aluminium, gear], **STRESS)
    # By hand: π/4 × 2700 × 0.016 × (0.26² − 0.06²) and π/4 × 7850 × 0.012 × (0.275² − 0.26²) kg.
    assert out["ring_mass"] == pytest.approx({"1": 2.17147, "2": 0.59373}, abs=1e-5)
    assert any("7850 kg/m³ throughout" in remark for remark in working.remarks)
    _, plain = ran(rings=RINGS, **STRESS)
    assert not any("throughout" in remark for remark in plain.remarks)


def test_swing_test() -> None:
    # J = m g R² T² / (4 π² L), by hand: 8 × 9.80665 × 0.01 × 4 / (39.4784176 × 1.2) = 0.0662414 kg·m².
    out = outputs(**SWING)
    assert out["inertia"] == pytest.approx(0.0662414, abs=5e-8)
    assert "mass" not in out


@given(st.floats(0.3, 5), st.floats(0.02, 0.2), st.floats(0.05, 0.2))
def test_swing_with_a_platform_gives_back_the_flywheel(
    board: float, flywheels: float, gyration: float
) -> None:
    """Periods from T = 2 π √(J L / (m g R²)) of the board alone and with the flywheel on it."""
    own = board * gyration**2

    def period(inertia: float, mass: float) -> float:
        return 2 * pi * sqrt(inertia * 1.2 / (mass * 9.80665 * 0.1**2))

    out = outputs(
        **SWING | {"swing_period": period(own + flywheels, 8 + board)},
        platform_mass=board,
        platform_period=period(own, board),
    )
    assert out["inertia"] == pytest.approx(flywheels, rel=1e-9)


def test_energy_and_free_revving() -> None:
    # Khurmi and Gupta, Theory of Machines, example 16.2, as published with its answers: 2500 kg·m², 1500 N·m:
    # α = 0.6 rad/s², 45.0 kN·m after ten seconds. Here a thousandth of it, half of it in the other parts.
    out = outputs(
        inertia=1.25, other_inertia=1.25, free_torque=1.5, rev_limit=6.0, from_speed=3.0, outer_diameter=None
    )
    assert out["total_inertia"] == pytest.approx(2.5)
    assert out["free_revving_rate"] == pytest.approx(0.6)
    assert out["run_up_time"] == pytest.approx(5.0)
    assert out["stored_energy"] == pytest.approx(45.0 / 2)


def test_effective_mass() -> None:
    # Kinetic energy: 0.15 kg·m² through 3.6 × 4.1 on 0.310 m: 340.05 kg, or 1581.672 kg less the 1200 kg
    # of the car and the 41.62 kg of wheels of 4.0 kg·m².
    out = outputs(inertia=0.15, **GEARS)
    assert out["effective_mass"]["1"] == pytest.approx(1581.672 - 1200 - 4 / 0.310**2, abs=0.0005)
    assert out["effective_mass"]["3"] == pytest.approx(out["effective_mass"]["1"] / 3.6**2)


@given(st.floats(0.02, 0.5), st.floats(1.01, 3))
def test_a_heavier_flywheel_stores_more_and_revs_slower(inertia: float, more: float) -> None:
    parts = GEARS | {"free_torque": 90.0, "other_inertia": 0.05, "from_speed": 100.0}
    light, heavy = (outputs(inertia=at, **parts) for at in (inertia, inertia * more))
    assert heavy["stored_energy"] > light["stored_energy"]
    assert heavy["free_revving_rate"] < light["free_revving_rate"]
    assert heavy["run_up_time"] > light["run_up_time"]
    assert all(heavy["effective_mass"][gear] > mass for gear, mass in light["effective_mass"].items())


def test_stress_and_its_caution() -> None:
    # Mechanical Engineer's Data Handbook, 1.2.7: 7200 kg/m³ at 100 m/s: 72 MPa in a thin ring, and in a solid
    # disc ρ v² (3 + ν) / 8, which a small bore doubles.
    out, working = ran(
        inertia=0.09,
        outer_diameter=0.280,
        density=7200.0,
        rev_limit=100 / 0.140,
        bore=0.0028,
        poisson_ratio=0.3,
        strength=250e6,
    )
    assert out["rim_speed"] == pytest.approx(100)
    assert out["free_ring_stress"] == pytest.approx(72e6)
    assert out["hoop_stress"] == pytest.approx(2 * 72e6 * 3.3 / 8, rel=1e-4)
    assert out["stress_share"] == pytest.approx(out["hoop_stress"] / 250e6)  # type: ignore[operator]
    assert out["speed_at_strength"] == pytest.approx(100 / 0.140 * sqrt(250e6 / out["hoop_stress"]))  # type: ignore[operator]
    assert any("certified" in remark for remark in working.remarks)
    third, whole = sorted(working.limits, key=lambda limit: limit.most or 0.0)
    assert third.most == pytest.approx(1 / 3)  # Kirsch: a hole trebles the stress beside it
    assert third.is_met(float(out["stress_share"]), 0.0)  # type: ignore[arg-type]
    burst, _ = ran(rings=RINGS, rev_limit=12_500 * RPM, strength=150e6, **STRESS)
    assert "burst" in whole.says
    assert not whole.is_met(float(burst["stress_share"]), 0.0)  # type: ignore[arg-type]


def test_average_stress_of_a_rotating_ring() -> None:
    """Engineering ToolBox, Rotating bodies, stress, eq. 2 (read): ω² ρ (r_1² + r_1 r_2 + r_2²) / 3; and by
    scipy, the elastic hoop stress of Shigley's formula averaged over the section, which balance makes the
    same."""
    out = outputs(rings=RINGS[:1], **STRESS)
    omega, inner, outer, nu = 7000 * RPM, 0.030, 0.140, 0.26
    toolbox = omega**2 * 7200 * (inner**2 + inner * outer + outer**2) / 3
    assert out["average_hoop_stress"] == pytest.approx(toolbox, rel=1e-12)

    def hoop(radius: float) -> float:
        return float(
            7200
            * omega**2
            * (3 + nu)
            / 8
            * (inner**2 + outer**2 + inner**2 * outer**2 / radius**2 - (1 + 3 * nu) / (3 + nu) * radius**2)
        )

    assert quad(hoop, inner, outer)[0] / (outer - inner) == pytest.approx(toolbox, rel=1e-9)
    assert hoop(inner) == pytest.approx(out["hoop_stress"], rel=1e-9)


def test_a_profile_by_integration() -> None:
    """The manual's lighter flywheel as one function of the radius, by scipy: m = ∫ 2 π r b ρ dr and
    J = ∫ 2 π r³ b ρ dr."""
    rings: list[dict[str, Any]] = [
        {"outer_diameter": 0.275, "inner_diameter": 0.060, "width": 0.012, "density": 7850.0},
        {
            "outer_diameter": 0.255,
            "inner_diameter": 0.130,
            "width": 0.005,
            "density": 7850.0,
            "removed": True,
        },
    ]

    def width(radius: float) -> float:
        return 0.007 if 0.065 < radius < 0.1275 else 0.012

    out = outputs(rings=rings)
    cuts = {"points": [0.065, 0.1275]}
    mass = quad(lambda r: 2 * pi * r * width(r) * 7850, 0.030, 0.1375, **cuts)[0]
    inertia = quad(lambda r: 2 * pi * r**3 * width(r) * 7850, 0.030, 0.1375, **cuts)[0]
    assert out["mass"] == pytest.approx(mass, rel=1e-9)
    assert out["inertia"] == pytest.approx(inertia, rel=1e-9)


def test_a_swing_of_ten_degrees_by_scipy() -> None:
    """What the small-swing formula costs: the full equation of two or three wires, J φ'' = - m g R² sin φ / h
    with h = √(L² - 2 R² (1 - cos φ)) the height (the lifting's own inertia left out), by scipy: at ten
    degrees the period is 0.2 % longer, as the manual says, so that the inertia comes out 0.4 % large: within
    the doubt."""
    mass, radius, length, inertia = 8.0, 0.1, 1.2, 0.0662414

    def rates(_: float, y: Any) -> list[float]:
        height = sqrt(length**2 - 2 * radius**2 * (1 - cos(y[0])))
        return [y[1], -mass * 9.80665 * radius**2 * sin(y[0]) / height / inertia]

    def through_the_middle(_: float, y: Any) -> float:
        return float(y[0])

    solved = solve_ivp(rates, (0, 3), [10 * pi / 180, 0.0], events=through_the_middle, rtol=1e-10, atol=1e-12)
    first, second = solved.t_events[0][:2]
    period = 2 * (second - first)
    assert period / 2.0 == pytest.approx(1.0019, abs=0.0002)
    found = outputs(**SWING | {"swing_period": float(period)})["inertia"]
    assert found / inertia == pytest.approx(1.0038, abs=0.0004)


def test_run_up_by_integration() -> None:
    """Work and energy: a constant torque from one speed to the other does T Δφ = J (ω_2² - ω_1²) / 2, with Δφ
    the mean speed times the time."""
    out = outputs(inertia=0.08, other_inertia=0.05, free_torque=90.0, from_speed=2000 * RPM)
    turned = (2000 + 7000) / 2 * RPM * out["run_up_time"]
    gained = 0.13 * ((7000 * RPM) ** 2 - (2000 * RPM) ** 2) / 2
    assert 90.0 * turned == pytest.approx(gained, rel=1e-12)


def test_effective_mass_by_power() -> None:
    """A car that gathers speed at a: the flywheel's torque J i a / r at the wheel is the force of a mass J i²
    / r²; counted by the power that goes into it, d/dt (J ω² / 2) = m_e a v."""
    out = outputs(inertia=0.08, **GEARS)
    speed, acceleration, ratio, radius = 20.0, 3.0, 2.0 * 4.1, 0.310
    power = 0.08 * (ratio / radius) ** 2 * speed * acceleration
    assert out["effective_mass"]["2"] * acceleration * speed == pytest.approx(power, rel=1e-12)


def test_rings_tell_diameter_and_density() -> None:
    out = outputs(rings=RINGS, **STRESS)
    assert out["rim_speed"] == pytest.approx(0.140 * 7000 * RPM)
    assert out["free_ring_stress"] == pytest.approx(7200 * out["rim_speed"] ** 2)
    gear_ring = outputs(rings=RINGS, outer_diameter=0.300, density=7850.0, **STRESS)
    assert gear_ring["rim_speed"] == pytest.approx(0.150 * 7000 * RPM)
    assert gear_ring["free_ring_stress"] == pytest.approx(7850 * gear_ring["rim_speed"] ** 2)


@pytest.mark.parametrize(
    "kind,name,changes",
    [
        (MissingInput, "rings", {}),
        (MissingInput, "wire_length", SWING | {"wire_length": None}),
        (MissingInput, "platform_period", SWING | {"platform_mass": 2.0}),
        (MissingInput, "swing_period", {"inertia": 0.1, "platform_mass": 2.0}),
        (MissingInput, "other_inertia", {"inertia": 0.1, "free_torque": 90.0}),
        (MissingInput, "free_torque", {"inertia": 0.1, "other_inertia": 0.1, "from_speed": 90.0}),
        (MissingInput, "final_drive", {"inertia": 0.1, "gears": [3.0], "rolling_radius": 0.3}),
        (MissingInput, "poisson_ratio", {"inertia": 0.1, "bore": 0.06}),
        (MissingInput, "outer_diameter", {"inertia": 0.1, "density": 7200.0} | STRESS),
        (MissingInput, "density", {"inertia": 0.1, "outer_diameter": 0.28} | STRESS),
        (MissingInput, "bore", {"inertia": 0.1, "strength": 250e6}),
        (InputsConflict, "swing_period", {"rings": RINGS} | SWING),
        (InputsConflict, "inertia", {"rings": RINGS, "inertia": 0.1}),
        (InputsConflict, "rings", {"rings": [RINGS[0] | {"inner_diameter": 0.280}]}),
        (InputsConflict, "rings", {"rings": [RINGS[0] | {"removed": True}]}),
        (InputsConflict, "rings", {"rings": [RINGS[1], RINGS[0] | {"removed": True}]}),
        (InputsConflict, "outer_diameter", {"rings": RINGS, "outer_diameter": 0.2}),
        (InputsConflict, "bore", {"rings": RINGS} | STRESS | {"bore": 0.28}),
        (
            InputsConflict,
            "from_speed",
            {"inertia": 0.1, "other_inertia": 0.1, "free_torque": 90.0, "from_speed": 7000 * RPM},
        ),
    ],
)
def test_faults_name_the_input(kind: type[Refused], name: str, changes: dict[str, Any]) -> None:
    with pytest.raises(kind) as refused:
        ran(**changes)
    assert refused.value.name == name
    assert refused.value.found
    assert refused.value.expected


def test_messages_say_what_is_wrong() -> None:
    with pytest.raises(
        InputsConflict, match="found ring 1: 280 mm inside, 280 mm outside, expected an inner diameter below"
    ):
        ran(rings=[RINGS[0] | {"inner_diameter": 0.280}])
    with pytest.raises(
        MissingInput, match="found nothing to take the inertia from, expected one of rings, a swing"
    ):
        ran()


@pytest.mark.parametrize("way", [{"rings": RINGS}, SWING | {"platform_mass": 1.0, "platform_period": 1.0}])
def test_every_output_is_declared_and_has_a_step_with_a_named_source(way: dict[str, Any]) -> None:
    out, working = ran(
        **way,
        **GEARS,
        **STRESS,
        outer_diameter=0.28,
        density=7200.0,
        strength=250e6,
        free_torque=90.0,
        other_inertia=0.05,
        from_speed=100.0,
    )
    declared = {output.name for output in flywheel.OUTPUTS}
    ringless = {"mass", "ring_mass", "ring_inertia", "radius_of_gyration", "radial_stress"}
    assert set(out) == (declared if "rings" in way else declared - ringless)
    assert {step.source for step in working.steps} <= {source.id for source in flywheel.SOURCES}
    results = {step.name: step.result for step in working.steps}
    for name, value in out.items():
        parts = (
            {f"{name}.{key}": at for key, at in value.items()} if isinstance(value, dict) else {name: value}
        )
        for address, figure in parts.items():
            assert results[address] == figure, address


def test_chart_is_the_energy_up_to_the_limit() -> None:
    def case(inertia: float) -> Seen:
        return seen(flywheel.compute, BASE | {"inertia": inertia})

    cases = {"before": case(0.09), "after": case(0.05)}
    (drawn,) = flywheel.chart(cases)
    assert isinstance(drawn, ChartSpec)
    for series, drawn_of in zip(drawn.series, cases.values(), strict=True):
        assert series.x[-1] == pytest.approx(7000 * RPM)
        assert series.y[-1] == pytest.approx(drawn_of.outputs["stored_energy"])
        assert series.y[20] == pytest.approx(series.y[-1] / 4)


def test_bars_of_effective_mass_by_gear() -> None:
    cases = {
        name: seen(flywheel.compute, BASE | GEARS | {"inertia": one})
        for name, one in (("a", 0.09), ("b", 0.05))
    }
    _, bars = flywheel.chart(cases)
    assert isinstance(bars, BarSpec)
    assert [bar.label for bar in bars.bars][:3] == ["gear 1, a", "gear 1, b", "gear 2, a"]
    assert bars.bars[0].value == cases["a"].outputs["effective_mass"]["1"]
