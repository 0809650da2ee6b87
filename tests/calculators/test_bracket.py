"""The kind `bracket`: sections, stress, sag, frequency, stress raisers, by textbooks and other ways."""

from __future__ import annotations

from math import cos, cosh, log, pi, sin, sinh, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy import integrate, optimize

from buildlog.calculators import bracket
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import Working
from buildlog.kinds.duty import LICENSED_PRACTICE, REFUSED
from buildlog.physics import brackets
from tests.calculators.seen import seen

G = 9.80665
GIVEN: dict[str, Any] = {
    "duty": "sensor",
    "section": "channel",
    "width": 0.04,
    "height": 0.015,
    "thickness": 0.002,
    "length": 0.09,
    "mass": 0.6,
    "acceleration": 10 * G,
    "elastic_modulus": 70e9,
    "density": 2660.0,
    "yield_strength": 130e6,
}


def run(working: Working | None = None, /, without: tuple[str, ...] = (), **changes: Any) -> dict[str, Any]:
    inputs = {name: value for name, value in GIVEN.items() if name not in without} | changes
    return dict(bracket.compute(inputs, working or Working()))


def strip(**changes: Any) -> dict[str, Any]:
    return run(without=("height",), section="strip", **changes)


# --- sections -----------------------------------------------------------------------------------

Polygon = list[tuple[float, float]]


def outlines(section: str, width: float, height: float, thickness: float) -> tuple[Polygon, Polygon]:
    """Outer and inner outline, y along the load from the lying flat's outer face."""
    b, h, t = width, height, thickness
    box = [(0.0, 0.0), (b, 0.0), (b, h), (0.0, h)]
    if section == "angle":
        return [(0, 0), (b, 0), (b, t), (t, t), (t, h), (0, h)], []
    if section == "channel":
        return [(0, 0), (b, 0), (b, h), (b - t, h), (b - t, t), (t, t), (t, h), (0, h)], []
    if section == "square_tube":
        return box, [(t, t), (b - t, t), (b - t, h - t), (t, h - t)]
    if section == "strip":
        return [(0, 0), (b, 0), (b, t), (0, t)], []
    if section == "blade":
        return [(0, 0), (t, 0), (t, h), (0, h)], []
    turns = np.linspace(0, 2 * pi, 4001)[:-1]
    circles = [[(r * cos(a), h / 2 + r * sin(a)) for a in turns] for r in (h / 2, h / 2 - t)]
    return circles[0], circles[1]


def moments(outline: Polygon) -> np.ndarray[Any, Any]:
    """A, ∫x, ∫y, ∫x², ∫y², ∫xy of a polygon, by its edges (Green's theorem)."""
    if not outline:
        return np.zeros(6)
    x, y = np.array(outline, dtype=float).T
    u, v = np.roll(x, -1), np.roll(y, -1)
    cross = x * v - u * y
    return np.array(
        [
            cross.sum() / 2,
            ((x + u) * cross).sum() / 6,
            ((y + v) * cross).sum() / 6,
            ((x * x + x * u + u * u) * cross).sum() / 12,
            ((y * y + y * v + v * v) * cross).sum() / 12,
            ((x * v + 2 * x * y + 2 * u * v + u * y) * cross).sum() / 24,
        ]
    )


_SIZES = (st.floats(0.012, 0.1), st.floats(0.012, 0.1), st.floats(0.0005, 0.005))


# Independent of the closed forms: area and moments by the outline's edges, then principal axes by numpy,
# along which the moment is taken apart; the stress at every corner, and the sag along the load.
@pytest.mark.parametrize("section", ["strip", "blade", "angle", "channel", "square_tube", "round_tube"])
@for_all(*_SIZES)
def test_sections(section: str, width: float, height: float, thickness: float) -> None:
    sizes = {"width": width, "height": height}
    taken = {name: sizes[name] for name in bracket._SIZES[section]}
    told = run(without=("width", "height"), section=section, thickness=thickness, **taken)
    outer, inner = outlines(section, width, height, thickness)
    area, sx, sy, xx, yy, xy = moments(outer) - moments(inner)
    cx, cy = sx / area, sy / area
    tensor = np.array([[xx - area * cx**2, xy - area * cx * cy], [xy - area * cx * cy, yy - area * cy**2]])
    assert told["section_area"] == pytest.approx(area, rel=1e-5)
    assert told["second_moment"] == pytest.approx(tensor[1, 1], rel=1e-5)
    principal, axes = np.linalg.eigh(tensor)
    parts = axes.T @ np.array([0.0, 1.0])  # of the load's plane along each principal direction
    corners = (np.array(outer) - [cx, cy]) @ axes
    stress = told["moment"] * np.abs(corners @ (parts / principal)).max()
    assert told["stress"] == pytest.approx(stress, rel=1e-5)
    softness = float(parts @ (parts / principal))
    whole = told["force"] / 3 + told["bracket_mass"] * 10 * G / 8
    assert told["shock_sag"] == pytest.approx(whole * 0.09**3 / 70e9 * softness, rel=1e-5)


# --- stress and sag -----------------------------------------------------------------------------


def test_moment_and_sag_by_integration() -> None:
    """Virtual work: the end goes by ∫ M(x) x/(E I) dx from the load on; the moment is integrated as well."""
    told = run()
    line = told["section_area"] * 2660 * 10 * G
    force = 0.6 * 10 * G

    def moment(x: float) -> float:
        weight, _ = integrate.quad(lambda away: line * (x - away), 0, x)
        return force * x + float(weight)

    assert told["moment"] == pytest.approx(moment(0.09))
    sag, _ = integrate.quad(lambda x: moment(x) * x / (70e9 * told["second_moment"]), 0, 0.09)
    assert told["shock_sag"] == pytest.approx(sag)
    assert told["sag"] == pytest.approx(sag / 10)
    assert told["bracket_mass"] == pytest.approx(told["section_area"] * 0.09 * 2660)


def test_the_chart_is_the_elastic_line() -> None:
    """E I y'' = M, integrated by scipy from the foot on."""
    case = seen(bracket.compute, GIVEN)
    (series,) = bracket.chart({"": case}).series
    line, force = case.outputs["section_area"] * 2660 * 10 * G, 0.6 * 10 * G
    stiff = 70e9 * case.outputs["second_moment"]

    def bent(x: float, state: Any) -> list[float]:
        away = 0.09 - x
        return [state[1], (force * away + line * away**2 / 2) / stiff]

    solved = integrate.solve_ivp(
        bent, (0, 0.09), [0, 0], t_eval=np.minimum(series.x, 0.09), rtol=1e-10, atol=1e-14
    )
    assert list(series.y) == pytest.approx(list(solved.y[0]), rel=1e-6, abs=1e-12)


def test_shear_of_a_rectangle_and_of_a_thin_tube() -> None:
    """A course's sheet of formulae: 3 V/(2 A) of a rectangle, 2 V/A of a thin tube (a public page has it)."""
    flat = strip()
    load = flat["force"] + flat["bracket_mass"] * 10 * G
    assert flat["shear_stress"] == pytest.approx(1.5 * load / (0.04 * 0.002))
    tube = run(without=("width",), section="round_tube", height=0.02, thickness=0.001)
    load = tube["force"] + tube["bracket_mass"] * 10 * G
    assert tube["shear_stress"] == pytest.approx(2 * load / tube["section_area"])
    assert flat["equivalent_stress"] == pytest.approx(
        sqrt(flat["stress"] ** 2 + 3 * flat["shear_stress"] ** 2)
    )
    assert flat["yield_use"] == pytest.approx(flat["equivalent_stress"] / 130e6)


# --- frequency ----------------------------------------------------------------------------------


def root_of_frequency_equation(ratio: float) -> float:
    """βL of a cantilever with a point mass of `ratio` times its own: textbooks on vibration."""

    def equation(x: float) -> float:
        return 1 + cos(x) * cosh(x) + ratio * x * (cos(x) * sinh(x) - sin(x) * cosh(x))

    return float(optimize.brentq(equation, 1e-3, 1.8752))


def test_the_frequency_equation_itself() -> None:
    """Mathematical Problems in Engineering 2017, 1568019, table 1: 1.557298 for a mass as heavy as the beam,
    as the square of βL; without one 1.8751 (a strain gauge maker's guide)."""
    assert root_of_frequency_equation(1.0) ** 2 == pytest.approx(1.557298, abs=2e-6)
    assert root_of_frequency_equation(0.0) == pytest.approx(1.8751, abs=5e-5)


@for_all(st.floats(0.1, 10))
def test_natural_frequency(mass: float) -> None:
    """Rayleigh's is never below the true one, and at most 1 % above it where the mass is a tenth."""
    told = strip(mass=mass * 0.04 * 0.002 * 0.09 * 2660)
    root = root_of_frequency_equation(mass)
    per_length = 0.04 * 0.002 * 2660
    true = root**2 / 0.09**2 * sqrt(70e9 * told["second_moment"] / per_length) / (2 * pi)
    assert true <= told["natural_frequency"] * (1 + 1e-9)
    assert told["natural_frequency"] == pytest.approx(true, rel=0.01)


@for_all(
    st.sampled_from(["strip", "blade", "angle", "channel", "square_tube", "round_tube"]),
    st.floats(0.012, 0.1),
    st.floats(0.012, 0.1),
    st.floats(0.05, 0.4),
)
def test_the_first_frequency_is_of_the_softest_way(
    section: str, width: float, height: float, share: float
) -> None:
    """The least eigenvalue of the second moments by the outline, and the frequency equation."""
    thickness = share * min(width, height)
    sizes = {"strip": ("width",), "blade": ("height",), "round_tube": ("height",)}
    without = tuple({"width", "height"} - set(sizes.get(section, ("width", "height"))))
    given = {"width": width, "height": height, "thickness": thickness}
    changes = {name: value for name, value in given.items() if name not in without}
    told = run(without=without, section=section, mass=2.0, **changes)
    outer, inner = outlines(section, width, height, thickness)
    area, x, y, xx, yy, xy = moments(outer) - moments(inner)
    about = np.array([[yy - y * y / area, x * y / area - xy], [x * y / area - xy, xx - x * x / area]])
    per_length = area * 2660
    root = root_of_frequency_equation(2.0 / (per_length * 0.09))
    true = root**2 / 0.09**2 * sqrt(70e9 * np.linalg.eigvalsh(about)[0] / per_length) / (2 * pi)
    assert told["natural_frequency"] == pytest.approx(true, rel=0.015)


def test_that_it_is_softer_another_way_is_told() -> None:
    def softer(**changes: Any) -> bool:
        working = Working()
        run(working, **changes)
        return any("another way than along the load" in str(remark) for remark in working.remarks)

    assert not softer()
    assert softer(width=0.012, height=0.04)
    assert softer(without=("width",), section="blade", height=0.03)
    assert not softer(without=("width",), section="round_tube", height=0.02)
    assert softer(section="angle")


def test_the_speed_that_shakes_it() -> None:
    told = run(engine_order=2.0, rev_limit=7000 * pi / 30)
    assert told["resonant_speed"] * 30 / pi == pytest.approx(told["natural_frequency"] * 60 / 2)


# --- stress raisers -----------------------------------------------------------------------------


def test_a_hole_in_a_strip_that_is_bent() -> None:
    """Thick beside the hole it is the 3 of a hole that is pulled; thin, (5 + 3 ν)/(3 + ν) of plates (Goodier,
    1936, from memory), 1.788 with ν = 0.3."""
    assert brackets.hole_factor_bent(1e-4, 1.0, 0.1) == pytest.approx(3, rel=0.01)
    assert brackets.hole_factor_bent(0.1, 100.0, 1e-5) == pytest.approx((5 + 3 * 0.3) / (3 + 0.3), rel=0.005)


@pytest.mark.parametrize("share", [0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6])
def test_a_hole_in_a_flat_that_is_pulled(share: float) -> None:
    """Heywood, Designing by Photoelasticity (1952): 2 + (1 − d/b)³ of the net stress, as public
    programs have it."""
    assert brackets.hole_factor_pulled(share, 1.0) == pytest.approx(2 + (1 - share) ** 3, rel=0.025)


# Timoshenko and Goodier, Theory of Elasticity, a curved bar in pure bending (exact), at its inside. Their
# table (from memory) has 7.755 M/a² for an outer radius of twice the inner, where the hyperbola has 7.725 and
# the straight bar 6.
@for_all(st.floats(0.3, 20))
def test_the_inside_of_a_bend(radius: float) -> None:
    inner, outer = radius, radius + 1
    n = (outer**2 - inner**2) ** 2 - 4 * inner**2 * outer**2 * log(outer / inner) ** 2
    # σ = (4 M/n) (a² b²/r² ln(b/a) − b² ln(r/b) − a² ln(a/r) − b² + a²) at r = a, the moment opening it
    exact = 4 / n * (2 * outer**2 * log(outer / inner) - outer**2 + inner**2)
    assert brackets.bend_factor(radius, 1.0) == pytest.approx(exact / 6, rel=0.02)


def test_the_inside_of_a_bend_by_the_table() -> None:
    assert brackets.bend_factor(1.0, 1.0) == pytest.approx(7.725 / 6, abs=0.001)
    # what the manual's table says
    assert brackets.bend_factor(0.5, 1.0) == pytest.approx(1.5, abs=0.05)
    assert brackets.bend_factor(2.5, 1.0) == pytest.approx(1.1, abs=0.05)


def test_the_peak_is_at_the_hole_or_in_the_bend() -> None:
    plain = strip()
    assert plain["peak_stress"] == plain["stress"]
    bent = strip(bend_radius=0.003)
    assert bent["stress_raiser"] == pytest.approx(brackets.bend_factor(0.003, 0.002))
    both = strip(bend_radius=0.003, hole_diameter=0.0066)
    factor = brackets.hole_factor_bent(0.0066, 0.04, 0.002)
    assert both["peak_stress"] == pytest.approx(factor * both["stress"] / (1 - 6.6 / 40))
    flat = run(hole_diameter=0.0066)
    assert flat["stress_raiser"] == pytest.approx(brackets.hole_factor_pulled(0.0066, 0.04) / (1 - 6.6 / 40))


# --- free edge, fatigue, foot -------------------------------------------------------------------


def test_the_free_edge_of_a_leg() -> None:
    """EN 1993-1-5, 4.4 and table 4.2, as a public program has them (K. Mela, en1993_1_5.py): σ_cr = f_y/λ_p²
    with λ_p = (c/t)/(28.4 ε √k) and k = 0.43; EN 1993-1-1, table 5.2, as others have it: 14 ε."""
    told = run(elastic_modulus=210e9, yield_strength=235e6)
    across = 13 / 2
    buckles = 235e6 / (across / (28.4 * sqrt(0.43))) ** 2
    assert told["slenderness"] == pytest.approx(across)
    assert told["buckling_reserve"] * told["stress"] == pytest.approx(buckles, rel=0.002)
    assert told["slenderness_limit"] == pytest.approx(14)
    # EN 1999-1-1, table 6.2 (from memory): 6 √(250/f_o) for aluminium, about three quarters of it
    aluminium = run(elastic_modulus=70e9, yield_strength=250e6)["slenderness_limit"]
    assert 6 / aluminium == pytest.approx(0.75, abs=0.03)
    assert "slenderness" not in strip()
    # a shock goes both ways: of an angle the wider leg counts, whichever lies
    assert run(section="angle", width=0.05, height=0.015)["slenderness"] == pytest.approx(24)
    assert run(section="angle", width=0.015, height=0.05)["slenderness"] == pytest.approx(24)


def test_fatigue_by_goodman() -> None:
    """By hand: at the peak P for 10 g, 2 g of vibration is P/5, standing P/10."""
    told = run(vibration=2 * G, fatigue_strength=80e6, tensile_strength=220e6)
    peak = told["peak_stress"]
    assert told["stress_amplitude"] == pytest.approx(peak / 5)
    assert told["mean_stress"] == pytest.approx(peak / 10)
    assert told["fatigue_reserve"] == pytest.approx(1 / (peak / 5 / 80e6 + peak / 10 / 220e6))


def test_what_the_foot_asks_for() -> None:
    told = run(foot_fasteners=4, foot_pulled=2, foot_lever=0.024)
    assert told["foot_pull"] == pytest.approx(told["moment"] / 0.048)
    assert told["foot_shear"] == pytest.approx((told["force"] + told["bracket_mass"] * 10 * G) / 4)


def _passed(**changes: Any) -> set[str]:
    working = Working()
    told = run(working, **changes)
    return {
        limit.output
        for limit in working.limits
        if (limit.least is not None and told[limit.output] < limit.least)
        or (limit.most is not None and told[limit.output] > limit.most)
    }


def test_what_is_told() -> None:
    assert _passed() == set()
    assert _passed(mass=4.0) == {"yield_use"}
    assert _passed(engine_order=2.0, rev_limit=7000 * pi / 30) == {"resonant_speed"}
    assert _passed(engine_order=1.0, rev_limit=7000 * pi / 30) == set()
    assert _passed(vibration=8 * G, fatigue_strength=80e6, tensile_strength=220e6, hole_diameter=0.0066) == {
        "fatigue_reserve"
    }
    wide = _passed(height=0.03)
    assert wide == {"slenderness"}
    assert _passed(height=0.15, length=0.9, thickness=0.0005, mass=4.0) >= {"buckling_reserve"}
    assert "shock_sag" in _passed(length=0.9, mass=5.0, height=0.006)


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize("answer", REFUSED)
def test_what_lives_depend_on_is_sent_to_licensed_practice(answer: str) -> None:
    with pytest.raises(Refused) as refused:
        run(duty=answer)
    assert refused.value.code is LICENSED_PRACTICE
    assert "licensed practice" in refused.value.help


def test_what_the_part_is_for_has_no_default() -> None:
    (duty,) = (one for one in bracket.INPUTS if one.name == "duty")
    assert duty.required
    assert duty.default is None


@pytest.mark.parametrize(
    ("changes", "without", "name", "error"),
    [
        ({}, ("height",), "height", MissingInput),
        ({"section": "strip"}, (), "height", InputsConflict),
        ({"section": "round_tube"}, (), "width", InputsConflict),
        ({"thickness": 0.015}, (), "thickness", OutOfRange),
        ({"section": "square_tube", "thickness": 0.0075}, (), "thickness", OutOfRange),
        ({"engine_order": 2.0}, (), "rev_limit", MissingInput),
        ({"vibration": 2.0}, (), "fatigue_strength", MissingInput),
        ({"fatigue_strength": 8e7}, (), "vibration", MissingInput),
        ({"foot_lever": 0.02}, (), "foot_fasteners", MissingInput),
        ({"foot_lever": 0.02, "foot_fasteners": 2, "foot_pulled": 3}, (), "foot_pulled", InputsConflict),
        ({"yield_strength": 300e6, "tensile_strength": 220e6}, (), "yield_strength", InputsConflict),
        (
            {"vibration": 2.0, "fatigue_strength": 300e6, "tensile_strength": 220e6},
            (),
            "fatigue_strength",
            InputsConflict,
        ),
        ({"section": "round_tube", "hole_diameter": 0.003}, ("width",), "hole_diameter", InputsConflict),
        ({"hole_diameter": 0.0365}, (), "hole_diameter", OutOfRange),
        ({"bend_radius": 0.003}, (), "bend_radius", InputsConflict),
        ({"section": "strip", "bend_radius": 0.0001}, ("height",), "bend_radius", OutOfRange),
    ],
)
def test_what_does_not_fit_is_refused(
    changes: dict[str, Any], without: tuple[str, ...], name: str, error: type[Refused]
) -> None:
    with pytest.raises(error) as refused:
        run(without=without, **changes)
    assert refused.value.name == name


def test_a_section_is_told_with_its_article() -> None:
    with pytest.raises(InputsConflict) as refused:
        run(section="angle", bend_radius=0.003)
    assert refused.value.found == "a bend of an angle"
