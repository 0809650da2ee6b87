"""What charts draw: coordinates by hand or in closed form, from the inputs of the manual's examples."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from math import asin, pi, sqrt, tan

import numpy as np
import pytest
from scipy.stats import nct, t

from buildlog.kinds.chart import BarSpec, ChartSpec
from buildlog.kinds.results import BlockResult, Value
from tests.calculators.test_all_kinds import block_of, run

RPM = pi / 30
INCH = 0.0254


@cache
def example(kind: str) -> BlockResult:
    return run(block_of(kind))


def chart(kind: str, number: int = 0) -> ChartSpec:
    spec = example(kind).charts[number]
    assert isinstance(spec, ChartSpec)
    return spec


def curve(kind: str, label: str, number: int = 0) -> tuple[Sequence[float], Sequence[float]]:
    (series,) = (one for one in chart(kind, number).series if one.label == label)
    return series.x, series.y


def value(kind: str, case: str, output: str, key: str = "") -> float:
    found = example(kind).value(case, output, key)
    assert isinstance(found, Value)
    return found.si


# --- plans and sections ---------------------------------------------------------------------


def test_the_wheels_stand_at_their_tracks_and_axles() -> None:
    """Front axle at zero and 1.38 m wide, rear axle at 2.28 m and 1.40 m wide; right is up."""
    x, y = curve("weight_balance", "wheels")
    corners = {(0.0, -0.69), (0.0, 0.69), (2.28, 0.70), (2.28, -0.70)}
    assert {(round(at, 9), round(up, 9)) for at, up in zip(x, y, strict=True)} == corners
    assert (x[0], y[0]) == (x[-1], y[-1])
    assert all((x1 == x2) != (y1 * y2 > 0) for (x1, y1), (x2, y2) in pairwise(zip(x, y, strict=True)))
    assert chart("weight_balance").equal_scale


def test_the_centre_of_gravity_of_four_scales_lies_in_the_plan_where_moments_say() -> None:
    """339 of 668.5 kg stand on the rear axle: 2.28 · 339/668.5 m. To the right: (0.69 · (161.5 − 168) +
    0.70 · (166 − 173))/668.5 m; then without 14.2 kg at −0.25, 0.40 and with 4.1 kg at 2.05, 0.10 m."""
    x, y = curve("weight_balance", "centre of gravity, before and after")
    before = 2.28 * 339 / 668.5, (0.69 * (161.5 - 168) + 0.70 * (166 - 173)) / 668.5
    mass = 668.5 - 14.2 + 4.1
    after = (
        (668.5 * before[0] + 14.2 * 0.25 + 4.1 * 2.05) / mass,
        (668.5 * before[1] - 14.2 * 0.40 + 4.1 * 0.10) / mass,
    )
    assert (x[0], y[0]) == pytest.approx(before)
    assert (x[1], y[1]) == pytest.approx(after)


def test_a_kilogram_misread_by_the_lift() -> None:
    """Δh = l / (m tan(asin(H/l))): the height formula of the two-axle weighing, differentiated by hand."""
    (series,) = chart("weight_balance", 2).series
    assert (series.x[0], series.x[-1]) == pytest.approx((0.1, 0.45 * 2.28), abs=0.11)
    for height, error in zip(series.x, series.y, strict=True):
        assert error == pytest.approx(2.28 / (668.5 * tan(asin(height / 2.28))))


@pytest.mark.parametrize(
    ("label", "rim_width", "offset", "section", "diameter", "seat"),
    # S + 0.4 (R − R_t), UN Regulation No. 30, 6.1.1.1, with a theoretical rim of 0.70 S for the 55 series and
    # 0.85 S for the 45 one (ETRTO Standards Manual, from memory); overall 2 · 0.55 · 205 mm + 16 in
    [
        ("standard", 7, 0.048, 205 + 0.4 * (177.8 - 0.70 * 205), 2 * 0.55 * 0.205 + 16 * INCH, 16),
        ("new", 8, 0.035, 225 + 0.4 * (203.2 - 0.85 * 225), 2 * 0.45 * 0.225 + 17 * INCH, 17),
    ],
)
def test_the_outline_of_wheel_and_tyre(
    label: str, rim_width: float, offset: float, section: float, diameter: float, seat: float
) -> None:
    """From inner lip over inner sidewall, tread and outer sidewall to the outer lip, and back; the middle of
    the wheel lies inboard of the hub face by the offset (ISO 3911)."""
    x, y = curve("wheel_fit", label, 1)
    half = section / 2000
    lip, low, high = rim_width * INCH / 2, seat * INCH / 2, diameter / 2
    middle = (low + high) / 2
    points = [
        (-lip, low), (-half, middle), (-lip, high), (lip, high), (half, middle), (lip, low), (-lip, low),
    ]  # fmt: skip
    assert list(x) == pytest.approx([across - offset for across, _ in points])
    assert list(y) == pytest.approx([up for _, up in points])


def test_the_survey_shows_where_points_belong_and_where_they_are() -> None:
    """Moved by the mean deviation, (2.375, −0.875) mm by hand, the measured points are on the drawing but for
    the rest; the drawing's own places are drawn as they are."""
    spec = chart("survey")
    (series,) = spec.series
    assert list(series.x) == pytest.approx([0.150, 0.150, 0.480, 0.480])
    assert list(series.y) == pytest.approx([-0.310, 0.310, -0.335, 0.335])
    assert len(spec.arrows) == 4
    assert [arrow.start for arrow in spec.arrows] == pytest.approx(
        [pytest.approx(point) for point in zip(series.x, series.y, strict=True)]
    )


# --- curves -----------------------------------------------------------------------------------


def test_the_resistance_of_the_road() -> None:
    """m g (f_r cos α + sin α) + ½ ρ A v², with 9 % upwards: tan α = 0.09 (mechanics)."""
    x, y = curve("acceleration", "resistance")
    slope = sqrt(1 + 0.09**2)
    for speed, force in zip(x, y, strict=True):
        rolling = 742 * 9.80665 * (0.013 + 0.09) / slope
        assert force == pytest.approx(rolling + 0.5 * 1.19 * 0.58 * speed**2, rel=1e-6)
    # fifth gear at the limit: 8100/min · 1.776 m / (41/9)
    assert x[-1] == pytest.approx(8100 / 60 * 1.776 / (39 / 10))


@pytest.mark.parametrize(("case", "final_drive"), [("before", 39 / 10), ("after", 41 / 9)])
def test_the_best_wheel_force_and_acceleration_of_a_case(case: str, final_drive: float) -> None:
    """F = η T i / r of the gear that gives most, T linear between the points of the curve (kinematics)."""
    speeds, torques = [1500, 3000, 5500, 7000, 8100], [118, 146, 168, 157, 131]
    gears = [2.846, 1.875, 1.423, 1.143, 1.000]
    radius = 1.776 / 2 / pi
    x, y = curve("acceleration", case)
    for speed, force in zip(x, y, strict=True):
        found = []
        for gear in gears:
            revs = speed / radius * gear * final_drive / RPM
            if 1500 - 1e-6 <= revs <= 8100 + 1e-6:
                found.append(0.9 * np.interp(revs, speeds, torques) * gear * final_drive / radius)
        assert force == pytest.approx(max(found), rel=1e-9)


def test_speed_and_time_end_at_the_mark_and_gain_what_the_times_say() -> None:
    ends = {}
    for case in ("before", "after"):
        x, y = curve("acceleration", case, 2)
        assert (x[0], y[0]) == (0.0, 0.0)
        ends[case] = x[-1]
        assert x[-1] == pytest.approx(value("acceleration", case, "course_time"), rel=1e-3)
        # the way is the area under the speed
        assert np.trapezoid(y, x) == pytest.approx(640.0, rel=5e-3)
    x, y = curve("acceleration", "after", 3)
    assert (x[0], y[0], x[-1]) == pytest.approx((0.0, 0.0, 640.0))
    assert y[-1] == pytest.approx(ends["before"] - ends["after"], abs=1e-4)  # in coarse steps


@pytest.mark.parametrize("case", ["oiled", "dry"])
@pytest.mark.parametrize("end", ["low_friction", "high_friction"])
def test_preload_is_a_straight_line_through_what_the_torque_given_makes(case: str, end: str) -> None:
    x, y = curve("bolted_joint", f"{case}, {end.replace('_', ' ')}")
    at_65 = value("bolted_joint", case, "preload", end)
    assert (x[0], x[-1]) == pytest.approx((0.0, 1.25 * 65))
    assert list(y) == pytest.approx([at_65 * torque / 65 for torque in x])


def test_the_lines_of_a_bolts_limits() -> None:
    """M10x1.25 of class 10.9: d2 9.188, d3 8.466 mm (ISO 724), 61.2 mm² (ISO 898-1): 830 MPa of it; and the
    preload at which pull and twist are 90 % of 940 MPa."""
    markers = {(one.label, one.x): one.y for one in chart("bolted_joint").markers}
    assert markers["proof load", None] == pytest.approx(61.2e-6 * 830e6, rel=1e-3)
    assert ("the torque given", 65.0) in markers
    tightened = [one.y for one in chart("bolted_joint").markers if "90 %" in one.label]
    for friction, load in zip((0.14, 0.10), tightened, strict=True):
        assert load is not None
        twist = load * (0.00125 / (2 * pi) + friction * 0.009188 / 2 / (sqrt(3) / 2))
        stress_diameter = (9.188e-3 + 8.466e-3) / 2
        tau = twist / (pi * stress_diameter**3 / 12)  # yielding all over, as VDI 2230 has it
        assert sqrt((load / 61.2e-6) ** 2 + 3 * tau**2) == pytest.approx(0.9 * 940e6, rel=0.01)


@pytest.mark.parametrize(("case", "clamp_load"), [("standard", 4600), ("uprated", 6100)])
def test_a_clutch_holds_in_proportion_to_its_friction(case: str, clamp_load: float) -> None:
    """Run in: T = 2 μ F (r_o + r_i)/2 of two faces, uniform wear (a standard result of friction clutches)."""
    x, y = curve("clutch", case)
    assert (x[0], x[-1]) == pytest.approx((0.27, 0.38))
    for friction, torque in zip(x, y, strict=True):
        assert torque == pytest.approx(2 * friction * clamp_load * (0.215 + 0.145) / 4, rel=1e-6)
    markers = {one.label: one.y for one in chart("clutch").markers}
    assert markers == {"engine torque": 205.0, "peak of a shock": pytest.approx(1.5 * 205)}


@pytest.mark.parametrize("case", ["standard", "lighter"])
def test_the_energy_of_a_flywheel_goes_with_the_square(case: str) -> None:
    x, y = curve("flywheel", case)
    inertia = value("flywheel", case, "inertia")
    assert (x[0], x[-1]) == pytest.approx((0.0, 8200 * RPM))
    assert list(y) == pytest.approx([inertia * speed**2 / 2 for speed in x])


def test_orders_are_straight_lines_from_zero() -> None:
    """Order n sounds n times a turn; a four-stroke four fires twice a turn."""
    for label, order in (
        ("twice firing (order 4)", 4), ("firing (order 2)", 2), ("order 1.5", 1.5), ("order 1", 1),
        ("order 0.5", 0.5),
    ):  # fmt: skip
        x, y = curve("side_chamber", label)
        assert (x[0], x[-1]) == pytest.approx((0.0, 8000 * RPM))
        assert list(y) == pytest.approx([order * speed / (2 * pi) for speed in x])
    markers = {one.label: one.x for one in chart("side_chamber").markers if one.x is not None}
    assert markers == pytest.approx({"where it is heard": 6000 * RPM, "limiter": 8000 * RPM})


@pytest.mark.parametrize(("case", "final_drive"), [("before", 39 / 10), ("after", 41 / 9)])
def test_engine_speed_over_road_speed_in_each_gear(case: str, final_drive: float) -> None:
    """n = v i / U, from the lowest revs to the limiter (kinematics), U = 3.05 (0.381 + 2 · 0.195 · 0.5) m."""
    lines = [one for one in chart("gearing").series if one.label == case]
    around, lowest = 3.05 * (0.381 + 0.195), 2500
    for line, gear in zip(lines, [3.32, 2.04, 1.43, 1.13, 1.00], strict=True):
        for speed, revs, turns in zip(line.x, line.y, (lowest, 8200), strict=True):
            assert revs == pytest.approx(turns * RPM)
            assert speed == pytest.approx(turns / 60 * around / (gear * final_drive))


def test_margins_are_drawn_as_shares_of_their_limits() -> None:
    """(950 − 905)/950, 3410 g over 2.5 kg, (400 − 389)/400 (by hand); the steel wheel saves nothing."""
    x, y = curve("decision", "light")
    assert list(x) == [1.0, 2.0, 3.0]
    assert list(y) == pytest.approx([45 / 950, 0.91 / 2.5, 11 / 400])
    _, y = curve("decision", "steel")
    assert list(y) == pytest.approx([170 / 950, -1.0, 1.0])


def test_how_often_a_change_shows() -> None:
    """Two samples of six, two-sided at 5 %: the noncentral t distribution (scipy)."""
    spec = chart("test_plan")
    (series,) = spec.series
    free, critical = 10, t.ppf(0.975, 10)
    for size, share in zip(series.x, series.y, strict=True):
        away = size / 0.22 * sqrt(6 / 2)
        shows = nct.sf(critical, free, away) + nct.cdf(-critical, free, away)
        assert share == pytest.approx(shows, abs=2e-3)
    assert (series.x[0], series.x[-1]) == pytest.approx((0.35 / 20, 2.5 * 0.35))
    assert [(one.x, one.y) for one in spec.markers] == [(0.35, None), (None, 0.8)]


def test_each_line_of_a_bill() -> None:
    """Cost and mass by hand from the example's rows; “in all” is their sum."""
    mass, cost = example("parts").charts
    assert isinstance(mass, BarSpec)
    assert isinstance(cost, BarSpec)
    for spec, end in ((mass, -0.562), (cost, 53.428)):
        *lines, whole = [bar.value for bar in spec.bars]
        assert whole == pytest.approx(sum(lines)) == pytest.approx(end)


def test_the_updraught_is_the_peak_flow_over_the_area() -> None:
    """1.5 · 0.11 m³/s through 300 and 520 cm² (continuity)."""
    markers = {one.label: one.y for one in chart("splash_trap").markers}
    expected = {"updraught, small": 1.5 * 0.11 / 0.03, "updraught, large": 1.5 * 0.11 / 0.052}
    assert markers == pytest.approx(expected)
