"""The kind `side_chamber`, whole: chamber, branch, orders and revs."""

from __future__ import annotations

from math import pi, sqrt, tan
from typing import Any

import CoolProp.CoolProp as coolprop
import numpy as np
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy.optimize import brentq

from buildlog.calculators import side_chamber
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import ChartSpec, Working
from tests.calculators.seen import seen
from tests.examples import with_examples

# 343.2 m/s, as in the worked checks: T = a²/(γ R).
TEMPERATURE = 343.2**2 / (1.4 * 287.05287)
RPM = pi / 30
ENGINE: dict[str, Any] = {
    "air_temperature": TEMPERATURE,
    "necks": 1,
    "cylinders": 4,
    "idle_speed": 900 * RPM,
    "rev_limit": 8000 * RPM,
}
CHAMBER: dict[str, Any] = {
    "chamber_volume": 0.003, "neck_diameter": 0.05, "neck_length": 0.1, "inner_end": "flanged",
    "outer_end": "free",
}  # fmt: skip
BRANCH: dict[str, Any] = {"branch_length": 0.40, "branch_diameter": 0.05, "branch_end": "free"}
DUCT: dict[str, Any] = {"duct_diameter": 0.08, "duct_air_speed": 20.0}


def run(working: Working | None = None, **changes: Any) -> dict[str, Any]:
    return dict(side_chamber.compute(ENGINE | changes, working or Working()))


def refused(kind: type[Refused], **inputs: Any) -> tuple[str, str, str]:
    with pytest.raises(kind) as caught:
        side_chamber.compute(ENGINE | inputs, Working())
    return caught.value.name, caught.value.found, caught.value.expected


# Rayleigh; Kinsler and Frey, ch. 10, at 343.2 m/s: 139.740318404 Hz without end corrections; with a flanged
# and a free end (Levine and Schwinger) 119.583387738 Hz.
def test_helmholtz() -> None:
    def plug(**changes: Any) -> float:
        working = Working()
        run(working, **CHAMBER | changes)
        return next(step.result for step in working.steps if step.name == "plug_frequency")

    bare = run(**CHAMBER | {"inner_end": "none", "outer_end": "none"})
    assert bare["speed_of_sound"] == pytest.approx(343.2, rel=1e-12)
    assert plug(inner_end="none", outer_end="none") == pytest.approx(139.740318404, rel=1e-9)
    ended = run(**CHAMBER)
    assert plug() == pytest.approx(119.583387738, rel=1e-5)
    # 100 mm + (8/3π + 0.6133) · 25 mm
    assert ended["neck_acoustic_length"] == pytest.approx(0.1 + 25e-3 * (8 / (3 * pi) + 0.6133), rel=1e-12)


# Kinsler and Frey, ch. 10, with Levine and Schwinger's end: 206.581473879 Hz, and three times that.
def test_quarter_wave() -> None:
    found = run(**BRANCH)
    assert found["quarter_wave_frequency"] == pytest.approx(206.581473879, rel=1e-9)
    assert found["quarter_wave_overtone"] == pytest.approx(3 * 206.581473879, rel=1e-9)


# Speed of sound: 331.45 m/s at 0 °C, 343.4 at 20 °C (handbook values for dry air; CRC Handbook, from memory).
@pytest.mark.parametrize(("celsius", "expected"), [(0, 331.45), (20, 343.4)])
def test_speed_of_sound(celsius: float, expected: float) -> None:
    found = run(**BRANCH, air_temperature=celsius + 273.15)
    assert found["speed_of_sound"] == pytest.approx(expected, rel=0.001)


# By definition: four cylinders fire twice a turn: 117.831 Hz (k L tan(k L) = A L / V by scipy) is order 2 at
# 3534.9 rpm, and order ½ at 14140 rpm.
def test_revs_of_the_orders() -> None:
    found = run(**CHAMBER)
    assert found["firing_order"] == 2
    assert found["helmholtz_firing_revs"] / RPM == pytest.approx(60 * 117.831 / 2, rel=1e-4)
    assert set(found["helmholtz_revs"]) == {"1", "1.5", "2", "4"}
    assert found["helmholtz_revs"]["1.5"] / RPM == pytest.approx(60 * 117.831 / 1.5, rel=1e-4)
    assert found["helmholtz_revs"]["2"] == found["helmholtz_firing_revs"]
    # Order ½ would be met at 14140 rpm, beyond the limiter: not listed until the engine turns as fast.
    faster = run(**CHAMBER, rev_limit=14_400 * RPM)
    assert faster["helmholtz_revs"]["0.5"] / RPM == pytest.approx(60 * 117.831 / 0.5, rel=1e-4)


@pytest.mark.parametrize(("cylinders", "order"), [(1, 0.5), (3, 1.5), (6, 3), (8, 4), (12, 6)])
def test_firing_order(cylinders: int, order: float) -> None:
    found = run(**CHAMBER, cylinders=cylinders)
    assert found["firing_order"] == order
    every = run(**CHAMBER, cylinders=cylinders, rev_limit=15_000 * RPM)["helmholtz_revs"]
    assert list(every) == [*(f"{n / 2:g}" for n in range(1, cylinders + 1)), str(cylinders)]
    assert found["helmholtz_firing_revs"] * order == pytest.approx(2 * pi * found["helmholtz_frequency"])


# By hand from 117.83 Hz: order 4 at 1767 rpm, 2 at 3535, 1½ at 4713, 1 at 7070; ½ at 14140 is out of reach.
def test_words_on_what_is_met() -> None:
    assert run(**CHAMBER)["met"] == (
        "twice firing (order 4) at 1767 rpm: chamber; firing (order 2) at 3535 rpm: chamber; "
        "order 1.5 at 4713 rpm: chamber; order 1 at 7070 rpm: chamber"
    )
    quiet = run(**CHAMBER, idle_speed=3600 * RPM, rev_limit=4700 * RPM)
    assert quiet["met"] == "none of these orders is met between idle and the limiter"


def test_chamber_and_branch_together() -> None:
    found = run(**CHAMBER, **BRANCH)
    assert found["met"].count("chamber") == 4
    assert "firing (order 2) at 6197 rpm: branch" in found["met"]
    assert found["quarter_wave_firing_revs"] / RPM == pytest.approx(30 * 206.581473879, rel=1e-9)
    assert found["overtone_revs"] == {}, "twice firing meets the overtone at 9296 rpm, beyond the limiter"
    high = run(**CHAMBER, **BRANCH, rev_limit=9300 * RPM)
    assert high["overtone_revs"]["4"] / RPM == pytest.approx(15 * 3 * 206.581473879, rel=1e-9)
    whole = run(**CHAMBER, **BRANCH, **DUCT, distance_to_mouth=0.5, engine_speed=6000 * RPM)
    assert set(whole) == {output.name for output in side_chamber.OUTPUTS}


# Two necks are one of twice the area: √2 higher, but for the necks being pipes.
def test_necks() -> None:
    two, one = run(**CHAMBER, necks=2), run(**CHAMBER)
    plugs = [found["helmholtz_frequency"] * (1 + found["lumping_error"]) for found in (one, two)]
    assert plugs[1] == pytest.approx(plugs[0] * 2**0.5, rel=1e-12)
    assert 0.97 < two["helmholtz_frequency"] / one["helmholtz_frequency"] / 2**0.5 < 1


# The square root of the temperature: 10 K on 293 K are 1.7 % (the manual's words).
def test_temperature() -> None:
    cold, warm = run(**CHAMBER, air_temperature=293.15), run(**CHAMBER, air_temperature=303.15)
    ratio = warm["helmholtz_frequency"] / cold["helmholtz_frequency"]
    assert ratio == pytest.approx((303.15 / 293.15) ** 0.5)
    assert ratio - 1 == pytest.approx(0.017, abs=0.0005)


@with_examples(60)
@for_all(st.floats(0.001, 0.02), st.floats(0.02, 0.08), st.floats(0.03, 0.15), st.floats(1.05, 3))
def test_larger_and_longer_is_lower(volume: float, bore: float, length: float, factor: float) -> None:
    chamber = CHAMBER | {"chamber_volume": volume, "neck_diameter": bore, "neck_length": length}
    if (pi * bore**2 / 4) * (length + 2 * bore) / volume > 0.5:
        return
    base = run(**chamber)
    larger = run(**chamber | {"chamber_volume": volume * factor})
    assert larger["helmholtz_frequency"] < base["helmholtz_frequency"]
    assert larger["helmholtz_firing_revs"] < base["helmholtz_firing_revs"]
    assert larger["lumping_error"] < base["lumping_error"]
    flanged = run(**chamber | {"outer_end": "flanged"})
    assert flanged["helmholtz_frequency"] < base["helmholtz_frequency"]
    blind = BRANCH | {"branch_diameter": 0.03}
    longer = run(**blind | {"branch_length": length * factor})["quarter_wave_frequency"]
    assert longer < run(**blind | {"branch_length": length})["quarter_wave_frequency"]


def told(**changes: Any) -> list[str]:
    """Which limits the results of these inputs do not keep to."""
    working = Working()
    found = run(working, **changes)
    return [limit.output for limit in working.limits if not limit.is_met(found[limit.output], 0)]


# The manual's limits: 2 % of the frequency, an eighth of a wavelength.
def test_limits() -> None:
    assert told(**CHAMBER) == []
    assert told(**CHAMBER | {"neck_length": 0.25}) == ["lumping_error"]
    wide = {"chamber_volume": 0.0003, "neck_length": 0.001, "inner_end": "none", "outer_end": "free"}
    assert told(**CHAMBER | wide) == ["chamber_in_wavelengths"]


def test_a_band_wider_than_its_frequency() -> None:
    """Plug on a spring, by hand: the half-power frequencies f1 f2 = f0² are B apart. With the neck as wide as
    the duct B is more than f0 and f2 beyond 1.6 f0; at half of the duct's bore it is not."""
    assert "helmholtz_bandwidth" in told(**CHAMBER, **DUCT | {"duct_diameter": 0.05})
    assert "helmholtz_bandwidth" not in told(**CHAMBER, **DUCT | {"duct_diameter": 0.1})


# scipy 1.17.1, brentq: a pipe of the neck's acoustic length before a spring (a line closed by a compliance),
# k L tan(k L) = A L / V.
@pytest.mark.parametrize(
    ("volume", "bore", "length"),
    [(0.003, 0.05, 0.1), (0.003, 0.05, 0.25), (0.001, 0.05, 0.15), (0.001, 0.05, 0.25), (0.0005, 0.03, 0.3)],
)
def test_the_neck_is_a_pipe(volume: float, bore: float, length: float) -> None:
    shape = {"chamber_volume": volume, "neck_diameter": bore, "neck_length": length}
    found = run(**CHAMBER | shape | {"inner_end": "none", "outer_end": "none"})
    ratio = pi * bore**2 / 4 * length / volume
    phase = float(brentq(lambda x: x * tan(x) - ratio, 1e-6, pi / 2 - 1e-9))
    assert found["helmholtz_frequency"] == pytest.approx(phase * 343.2 / (2 * pi * length), rel=2e-3)


# --- transmission loss -------------------------------------------------------------------


def by_matrices(impedance: complex, duct_area: float) -> float:
    """Beranek and Vér (1992), eqs. 10.10 and 10.20, in units of ρ a."""
    matrix = np.array([[1, 0], [1 / impedance, 1]])
    terms = matrix[0, 0] + matrix[0, 1] * duct_area + matrix[1, 0] / duct_area + matrix[1, 1]
    return float(20 * np.log10(abs(terms) / 2))


# A branch of 50 mm on a duct of 80 mm, by the transfer matrix of a line with Kirchhoff's losses and air of
# CoolProp 8.0.0, plus 0.7 of the Mach number (Bies and others, eq. 8.34) at its mouth.
@pytest.mark.parametrize(("rpm", "air"), [(6197.0, 0.0), (6197.0, 20.0), (5600.0, 20.0), (7000.0, 5.0)])
def test_branch_by_a_lossy_line(rpm: float, air: float) -> None:
    found = run(**BRANCH, **DUCT | {"duct_air_speed": air}, engine_speed=rpm * RPM)
    density, viscosity, prandtl = (
        coolprop.PropsSI(one, "T", TEMPERATURE, "P", 101_325, "Air") for one in ("D", "V", "PRANDTL")
    )
    frequency, length, area = rpm / 30, found["branch_acoustic_length"], pi * 0.05**2 / 4
    alpha = 2 * sqrt(pi * frequency * viscosity / density) / (0.05 * 343.2) * (1 + 0.4 / sqrt(prandtl))
    mouth = 1 / np.tanh((alpha + 2j * pi * frequency / 343.2) * length) + 0.7 * air / 343.2
    expected = by_matrices(mouth / area, pi * 0.08**2 / 4)
    assert found["quarter_wave_loss_at_engine_speed"] == pytest.approx(expected, rel=0.02)
    if rpm == 6197:
        assert found["quarter_wave_transmission_loss"] == pytest.approx(expected, rel=0.02)


# A chamber: a line of the neck's acoustic length, the chamber's spring behind it, Bies and others' resistance
# of the neck's wall at its mouth; by matrices. A plug of air has a band that is
# somewhat narrower, and does up to 6 % less beside it.
@pytest.mark.parametrize("rpm", [2500.0, 3000.0, 3587.5, 4200.0, 5000.0])
def test_chamber_by_a_line_before_a_spring(rpm: float) -> None:
    found = run(**CHAMBER, **DUCT, engine_speed=rpm * RPM)
    omega, length, area = 2 * pi * rpm / 30, found["neck_acoustic_length"], pi * 0.05**2 / 4
    angle, spring = omega * length / 343.2, -1j * 343.2 * area / (omega * 0.003)
    mouth = (spring + 1j * tan(angle)) / (1 + 1j * spring * tan(angle)) + found["helmholtz_loss_resistance"]
    expected = by_matrices(mouth / area, pi * 0.08**2 / 4)
    assert found["helmholtz_loss_at_engine_speed"] == pytest.approx(expected, rel=0.06)


# By hand: the air alone, 0.7 · 20/343.2 = 0.0408, and the wall at 170 Hz some 0.008 of α L: 11 to 12 dB.
def test_loss_resistance_by_hand() -> None:
    found = run(**BRANCH, **DUCT)
    assert found["quarter_wave_loss_resistance"] == pytest.approx(0.0408 + 0.008, abs=0.002)
    ratio = (50 / 80) ** 2
    peak = 20 * np.log10(1 + ratio / (2 * found["quarter_wave_loss_resistance"]))
    assert found["quarter_wave_transmission_loss"] == pytest.approx(peak, rel=1e-12)


# Within the band firing loses half of its power or more, at its edges half, by definition 10 log10 2 dB.
def test_firing_band() -> None:
    found = run(**BRANCH, **DUCT)
    middle, width = found["quarter_wave_firing_revs"], found["quarter_wave_firing_band"]
    for edge in (middle - width / 2, middle + width / 2):
        at_edge = run(**BRANCH, **DUCT, engine_speed=edge)["quarter_wave_loss_at_engine_speed"]
        assert at_edge == pytest.approx(10 * np.log10(2), rel=1e-9)
    assert width * 2 / (2 * pi) == pytest.approx(found["quarter_wave_bandwidth"], rel=1e-12)


# The issue: bore and place matter. Twice the area is a wider band and more loss.
def test_bore_matters() -> None:
    thin, wide = (run(**BRANCH | {"branch_diameter": bore}, **DUCT) for bore in (0.02, 0.05))
    assert thin["quarter_wave_firing_band"] < wide["quarter_wave_firing_band"] / 3
    assert thin["quarter_wave_transmission_loss"] < wide["quarter_wave_transmission_loss"]


# A standing wave: all of the pressure a quarter of a wave from the opening, half of it at a third of that.
def test_place_matters() -> None:
    quarter = 343.2 / (4 * 206.581473879)
    opening = 0.6133 * 0.04
    for share, distance in ((1, quarter), (0.5, quarter / 3), (0, 2 * quarter)):
        working = Working()
        found = run(working, **BRANCH, **DUCT, distance_to_mouth=distance - opening)
        assert found["quarter_wave_pressure_at_place"] == pytest.approx(share, abs=1e-6)
        (limit,) = [one for one in working.limits if one.output == "quarter_wave_pressure_at_place"]
        assert limit.is_met(found[limit.output], 0) == (share == 1)


def test_every_doubt_is_declared() -> None:
    working = Working()
    run(working, **CHAMBER, **BRANCH, **DUCT, distance_to_mouth=0.4, engine_speed=5000 * RPM)
    assert {doubt.name for doubt in working.doubted.values()} == {
        doubt.name for doubt in side_chamber.DOUBTS if doubt.name != "bay_air_temperature"
    }
    # The mouth of the branch and both ends of the neck are independent of each other.
    assert sum(doubt.name == "flanged_end_correction" for doubt in working.doubted.values()) == 1
    assert sum(doubt.name == "free_end_correction" for doubt in working.doubted.values()) == 3


# From nominal down to half, evenly: mean square of the deviation 0.5²/3, a rectangle's of ± 50 % (JCGM
# 100:2008, 4.3.7). One standard uncertainty of the flanged end moves the length by 0.289 of it.
def test_doubt_of_a_flanged_end() -> None:
    flanged = BRANCH | {"branch_end": "flanged"}
    plain = run(**flanged)["branch_acoustic_length"]
    moved = run(Working(shifts={"method:flanged_end_correction.branch_end_correction": 1}), **flanged)
    correction = 8 / (3 * pi) * 0.025
    assert moved["branch_acoustic_length"] - plain == pytest.approx(correction * 0.5 / sqrt(3), rel=1e-9)


# --- refusals ----------------------------------------------------------------------------


@pytest.mark.parametrize(("group", "other"), [(CHAMBER, BRANCH), (BRANCH, CHAMBER)])
def test_a_group_is_given_whole(group: dict[str, Any], other: dict[str, Any]) -> None:
    for name in group:
        part = {key: value for key, value in group.items() if key != name}
        missing, found, expected = refused(MissingInput, **part, **other)
        assert missing == name
        assert found == f"{next(iter(part))} without {name}"
        assert expected == f"{name} as well"


def test_something_has_to_sound() -> None:
    assert refused(MissingInput) == (
        "chamber_volume",
        "neither a chamber nor a branch",
        "chamber_volume or branch_length",
    )


def test_a_branch_is_longer_than_it_is_wide() -> None:
    name, found, expected = refused(OutOfRange, **BRANCH | {"branch_length": 0.04})
    assert (name, found, expected) == ("branch_length", "40 mm", "at least its bore, 50 mm")


def test_idle_is_below_the_limiter() -> None:
    assert refused(InputsConflict, **BRANCH, idle_speed=8000 * RPM) == (
        "idle_speed",
        "not below rev_limit",
        "less than rev_limit",
    )


def test_a_neck_that_is_a_pipe() -> None:
    name, found, expected = refused(OutOfRange, **CHAMBER | {"neck_length": 1.5, "chamber_volume": 0.002})
    assert (name, expected) == ("neck_length", "at most 10 %")
    assert found == "1537 mm with its ends: 25 % in frequency"


@pytest.mark.parametrize(
    ("changes", "name", "found"),
    [
        ({"duct_diameter": 0.08}, "duct_air_speed", "duct_diameter without duct_air_speed"),
        ({"duct_air_speed": 20.0}, "duct_diameter", "duct_air_speed without duct_diameter"),
        ({"engine_speed": 500.0}, "duct_diameter", "engine_speed without duct_diameter"),
        ({"distance_to_mouth": 0.3}, "duct_diameter", "distance_to_mouth without duct_diameter"),
    ],
)
def test_the_duct_is_given_whole(changes: dict[str, Any], name: str, found: str) -> None:
    assert refused(MissingInput, **BRANCH, **changes)[:2] == (name, found)


def test_a_mouth_that_does_nothing() -> None:
    name, found, _ = refused(OutOfRange, **BRANCH | {"branch_diameter": 0.005}, **DUCT)
    assert (name, found) == ("duct_diameter", "a mouth of 0.39 % of its area")


# --- chart -------------------------------------------------------------------------------


def drawn(**cases: dict[str, Any]) -> tuple[ChartSpec, ...]:
    views = {name: seen(side_chamber.compute, ENGINE | changes) for name, changes in cases.items()}
    return side_chamber.chart(views)


def test_chart_of_the_orders() -> None:
    (spec,) = drawn(cold=CHAMBER, hot=CHAMBER | {"air_temperature": 340.0})
    assert [line.label for line in spec.series] == [
        "twice firing (order 4)",
        "firing (order 2)",
        "order 1.5",
        "order 1",
        "order 0.5",
    ]
    assert [marker.label for marker in spec.markers] == ["limiter", "chamber, cold", "chamber, hot"]
    (alike,) = drawn(one=CHAMBER, other=CHAMBER)
    assert [marker.label for marker in alike.markers] == ["limiter", "chamber, one; chamber, other"]
    # Firing at 8000 rpm is 8000/60 · 2 a second.
    assert spec.series[1].y[-1] == pytest.approx(8000 / 60 * 2)
    (eight,) = drawn(eight=BRANCH | {"cylinders": 8})
    assert [line.label for line in eight.series] == [
        "twice firing (order 8)",
        "firing (order 4)",
        "order 3",
        "order 2",
        "order 1",
    ]


# The curve's top is the loss at the branch's own frequency, and it stands where firing meets it.
def test_chart_of_the_loss() -> None:
    one = CHAMBER | BRANCH | DUCT | {"engine_speed": 6000 * RPM}
    _, spec = drawn(one=one)
    assert [line.label for line in spec.series] == ["chamber, one", "branch, one"]
    assert [(marker.label, marker.x) for marker in spec.markers] == [
        ("where it is heard", 6000 * RPM),
        ("limiter", 8000 * RPM),
    ]
    found = run(**one)
    for line, prefix in zip(spec.series, ("helmholtz", "quarter_wave"), strict=True):
        top = max(range(len(line.y)), key=lambda index: line.y[index])
        assert line.y[top] == pytest.approx(found[f"{prefix}_transmission_loss"], rel=1e-9)
        assert line.x[top] == pytest.approx(found[f"{prefix}_firing_revs"], rel=1e-9)
        # The band at the top: what the declared doubts make of the loss there, in squares.
        moved = [
            run(Working(shifts={f"method:{doubt}": 1.0}), **one)[f"{prefix}_transmission_loss"] - line.y[top]
            for doubt in ("side_branch_resistance", "plane_wave_transmission_loss")
        ]
        assert line.high[top] - line.y[top] == pytest.approx(2 * np.hypot(*moved), rel=0.2)
        assert line.high[top] - line.y[top] == pytest.approx(line.y[top] - line.low[top])


# The ends of what is declared are computed: −40 and 150 °C.
@pytest.mark.parametrize("celsius", [-40.0, 150.0])
def test_the_ends_of_the_range_are_not_refused(celsius: float) -> None:
    assert run(**BRANCH, **DUCT, air_temperature=celsius + 273.15)["quarter_wave_transmission_loss"] > 0
