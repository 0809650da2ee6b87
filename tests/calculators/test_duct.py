"""The kind `duct`, whole: rows, air, flow, losses, paths and bores."""

from __future__ import annotations

from math import atan, degrees, hypot, pi, radians, sin
from types import SimpleNamespace
from typing import Any

import fluids
import pytest
from fluids import fittings as theirs
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.calculators import duct
from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange, Refused
from buildlog.kinds.declaration import Doubt, Output, Working
from buildlog.kinds.models import ducts
from buildlog.physics import fittings
from tests.examples import with_examples

Row = dict[str, Any]
INLET: Row = {"kind": "inlet", "name": "mouth", "diameter": 0.07, "edge": "sharp"}
HOSE: Row = {"kind": "hose", "name": "hose", "diameter": 0.07, "length": 1.0, "roughness": 0.0035}
BEND: Row = {
    "kind": "bend",
    "name": "bend",
    "diameter": 0.07,
    "bend_radius": 0.105,
    "angle": pi / 2,
    "roughness": 0.0,
}
CONE: Row = {"kind": "expansion", "name": "cone", "diameter": 0.07, "diameter_after": 0.08, "length": 0.06}
EXIT: Row = {"kind": "exit", "name": "dump", "diameter": 0.07}
FILTER: Row = {
    "kind": "filter", "name": "panel", "rated_pressure": 500.0, "rated_flow": 0.12, "exponent": 1.5,
    "area": 0.05,
}  # fmt: skip
# Dry air of 1.18431848 kg/m³ and the viscosity of the standard atmosphere at 25 °C.
AIR: Row = {"bend_rule": "ito", "air_temperature": 298.15, "ambient_pressure": 101_360.0, "volume_flow": 0.11}
DENSITY = 101_360 / (287.05287 * 298.15)


def run(
    *rows: Row, working: Working | None = None, without: tuple[str, ...] = (), **changes: Any
) -> dict[str, Any]:
    inputs = AIR | {"segments": list(rows)} | changes
    for name in without:
        del inputs[name]
    return dict(duct.compute(inputs, working or Working()))


def head(flow: float, bore: float) -> float:
    return DENSITY * (flow / (pi * bore**2 / 4)) ** 2 / 2


def refused(
    kind: type[Refused], *rows: Row, without: tuple[str, ...] = (), **changes: Any
) -> tuple[str, str, str]:
    with pytest.raises(kind) as caught:
        run(*rows, without=without, **changes)
    return caught.value.name, caught.value.found, caught.value.expected


# --- checked outside ---------------------------------------------------------------------


# fluids 1.3.1, one_phase_dP(..., roughness=0.0035), 1 m of 70 mm, 0.11 m³/s, 1.18431848 kg/m³: 495.74118 Pa.
def test_rough_hose() -> None:
    found = run(HOSE)
    assert found["air_density"] == pytest.approx(1.18431848, rel=1e-4)
    assert found["loss"]["hose"] == pytest.approx(495.74118, rel=1e-3)
    assert found["velocity"]["hose"] == pytest.approx(28.5829, rel=1e-4)  # 0.11/(π 0.07²/4)
    assert found["mass_flow"] == pytest.approx(0.11 * DENSITY, rel=1e-9)


# The whole duct written out with fluids 1.3.1: Crane for mouth and cone, Colebrook, Ito, exit; the power law
# of the filter by hand.
def test_a_duct_against_fluids() -> None:
    found = run(INLET, HOSE, BEND, CONE, EXIT | {"diameter": 0.08}, FILTER)
    viscosity = 1.458e-6 * 298.15**1.5 / (298.15 + 110.4)  # U.S. Standard Atmosphere 1976, eq. 51
    reynolds = fluids.Reynolds(V=0.11 / (pi * 0.07**2 / 4), D=0.07, rho=DENSITY, mu=viscosity)
    friction = fluids.friction_factor(reynolds, 0.05, Method="Colebrook")
    expected = {
        "mouth": theirs.entrance_sharp(method="Crane") * head(0.11, 0.07),
        "hose": friction * 1.0 / 0.07 * head(0.11, 0.07),
        "bend": theirs.bend_rounded(Di=0.07, angle=90, fd=0.02, Re=reynolds, bend_diameters=1.5, method="Ito")
        * head(0.11, 0.07),
        "cone": theirs.diffuser_conical(Di1=0.07, Di2=0.08, l=0.06, method="Crane") * head(0.11, 0.07),
        "dump": theirs.exit_normal() * head(0.11, 0.08),
        "panel": 500 * (0.11 / 0.12) ** 1.5,
    }
    assert found["loss"] == pytest.approx(expected, rel=1e-6)
    assert found["total_loss"] == pytest.approx(sum(expected.values()), rel=1e-6)
    assert found["reynolds_number"]["hose"] == pytest.approx(reynolds, rel=1e-9)
    assert found["loss_share"] == pytest.approx(sum(expected.values()) / 101_360, rel=1e-6)
    for key, loss in expected.items():
        assert found["share"][key] == pytest.approx(loss / sum(expected.values()), rel=1e-6)


# Crane's cone and Rennels's friction of its wall by fluids 1.3.1, at the friction factor of Colebrook in the
# narrower bore: 3.8° from 70 to 80 mm over 150 mm.
def test_a_slender_cone_loses_by_its_wall() -> None:
    found = run(CONE | {"length": 0.15, "roughness": 5e-5})
    angle = degrees(2 * atan(0.005 / 0.15))
    factor = fluids.friction_factor(Re=found["reynolds_number"]["cone"], eD=5e-5 / 0.07, Method="Colebrook")
    rough, none = (
        theirs.diffuser_conical(Di1=0.07, Di2=0.08, angle=angle, fd=fd, method="Rennels")
        for fd in (factor, 0.0)
    )
    crane = 2.6 * sin(radians(angle) / 2) * (1 - (7 / 8) ** 2) ** 2
    assert found["loss_coefficient"]["cone"] == pytest.approx(crane + rough - none, rel=1e-9)
    assert found["total_loss"] == pytest.approx((crane + rough - none) * head(0.11, 0.07), rel=1e-9)
    # A bore for a loss keeps the cone's shape, and so nearly its coefficient.
    half = run(CONE | {"length": 0.15, "roughness": 5e-5}, allowed_loss=found["total_loss"] / 2)
    assert half["bore_factor"] == pytest.approx(2**0.25, rel=0.01)


# Crane's cone by fluids 1.3.1 counts on the velocity after it, in the narrower bore.
def test_a_contraction() -> None:
    bores = {"diameter": 0.08, "diameter_after": 0.06}
    cone = {"kind": "contraction", "name": "cone", "angle": radians(30)} | bores
    found = run(cone, volume_flow=0.08)
    coefficient = theirs.contraction_conical(Di1=0.08, Di2=0.06, angle=30, method="Crane")
    assert found["loss"]["cone"] == pytest.approx(coefficient * head(0.08, 0.06), rel=1e-9)
    after = found["total_pressure_after"]["cone"] - head(0.08, 0.06)
    assert found["static_pressure_after"]["cone"] == pytest.approx(after, rel=1e-9)


# Miller's ratio for a rough wall, 9.2.4, with the friction factors of fluids 1.3.1.
def test_a_rough_bend() -> None:
    rough, smooth = run(BEND | {"roughness": 0.002}), run(BEND)
    reynolds = smooth["reynolds_number"]["bend"]
    factors = [fluids.friction_factor(reynolds, eD, Method="Colebrook") for eD in (0.002 / 0.07, 0)]
    ratio = rough["loss"]["bend"] / smooth["loss"]["bend"]
    assert ratio == pytest.approx(factors[0] / factors[1], rel=1e-8)


# Continuity by hand: 0.1108333 m³/s over 0.05 m² is 2.21666666667 m/s.
def test_face_velocity() -> None:
    found = run(FILTER, volume_flow=0.1108333)
    assert found["face_velocity"]["panel"] == pytest.approx(2.216666, rel=1e-6)
    bare = run({name: value for name, value in FILTER.items() if name != "area"})
    assert "face_velocity" not in bare


# Bernoulli and Borda–Carnot by hand: a step from 50 to 70 mm loses (1 − (5/7)²)² = 0.2399000 of the head, and
# the wall's pressure rises by the two heads' difference less that.
def test_static_pressure_recovers_after_a_step() -> None:
    step = {"kind": "expansion", "name": "step", "diameter": 0.05, "diameter_after": 0.07, "angle": pi}
    found = run(HOSE | {"name": "before", "diameter": 0.05, "roughness": 0.0}, step, volume_flow=0.05)
    small, large = head(0.05, 0.05), head(0.05, 0.07)
    assert found["loss"]["step"] == pytest.approx(0.239900041649 * small, rel=1e-9)
    rise = found["static_pressure_after"]["step"] - found["static_pressure_after"]["before"]
    assert rise == pytest.approx(small - large - 0.239900041649 * small, rel=1e-9)


# By hand, from still air through a lossless trumpet: the wall feels −q, and in the box all of q is lost.
def test_pressures_along_the_duct() -> None:
    found = run({"kind": "fitting", "name": "horn", "diameter": 0.07, "loss_coefficient": 0.0}, EXIT)
    q = head(0.11, 0.07)
    assert found["total_pressure_after"] == {"horn": 0.0, "dump": pytest.approx(-q)}
    assert found["static_pressure_after"] == {"horn": pytest.approx(-q), "dump": pytest.approx(-q)}
    assert found["total_loss"] == pytest.approx(q)


# Heywood's draw by hand: 1998 cm³, 7400 rpm, 96 %: 0.96 · 1.998e-3 · 61.6667 = 0.1182816 m³/s.
def test_flow_of_the_engine() -> None:
    engine: dict[str, Any] = {
        "engine_displacement": 1.998e-3,
        "engine_speed": 7400 * pi / 30,
        "volumetric_efficiency": 0.96,
    }
    found = run(HOSE, without=("volume_flow",), **engine)
    assert found["volume_flow"] == pytest.approx(0.1182816, rel=1e-9)


# U.S. Standard Atmosphere 1976, Table I: 500 m geometric, 95 461 Pa.
def test_air_at_an_altitude() -> None:
    found = run(HOSE, without=("ambient_pressure",), altitude=500.0)
    assert found["air_density"] == pytest.approx(95_461 / (287.05287 * 298.15), rel=1e-5)


# fluids 1.3.1, bend_rounded(..., method='Crane'): within the 5 % by which Crane's friction factor differs.
@pytest.mark.parametrize("angle", [90, 180])
def test_crane_rule(angle: float) -> None:
    found = run(BEND | {"angle": radians(angle)}, bend_rule="crane")
    expected = theirs.bend_rounded(Di=0.07, angle=angle, bend_diameters=1.5, method="Crane")
    assert found["loss_coefficient"]["bend"] == pytest.approx(expected, rel=0.05)
    coefficient = found["loss_coefficient"]["bend"]
    assert found["loss"]["bend"] == pytest.approx(coefficient * head(0.11, 0.07), rel=1e-9)


@pytest.mark.parametrize(
    ("edge", "more", "expected"),
    [
        ("sharp", {}, 0.5),
        ("bellmouth", {}, 0.04),
        ("projecting", {}, 0.78),
        ("rounded", {"edge_radius": 0.0042}, 0.15),
    ],
)
def test_edges_of_the_inlet(edge: str, more: Row, expected: float) -> None:  # Crane TP-410, p. A-29
    found = run(INLET | {"edge": edge} | more, EXIT)
    assert found["loss_coefficient"]["mouth"] == pytest.approx(expected, abs=1e-9)


# --- paths -------------------------------------------------------------------------------


def path(letter: str, *rows: Row) -> list[Row]:
    return [row | {"path": letter, "name": f"{row['name']}-{letter}"} for row in rows]


OLD, NEW = path("a", INLET, EXIT), path("b", INLET, EXIT)


# By symmetry two like paths take half each, and lose a quarter of what one would.
def test_like_paths() -> None:
    found, one = run(*OLD, *NEW, FILTER), run(INLET, EXIT, FILTER)
    assert found["path_share"] == pytest.approx({"a": 0.5, "b": 0.5}, rel=1e-10)
    assert found["loss"]["dump-a"] == pytest.approx(one["loss"]["dump"] / 4, rel=1e-10)
    assert found["loss"]["panel"] == one["loss"]["panel"]
    assert found["total_loss"] == pytest.approx(found["loss"]["panel"] + 1.5 * head(0.055, 0.07), rel=1e-10)


# Closed form: mouth and exit only, K 1.5 in both, bores 60 and 80 mm: the flows go with the areas, 9 to 16.
def test_paths_of_two_bores() -> None:
    small = path("a", INLET | {"diameter": 0.06}, EXIT | {"diameter": 0.06})
    large = path("b", INLET | {"diameter": 0.08}, EXIT | {"diameter": 0.08})
    found = run(*small, *large)
    assert found["path_flow"] == pytest.approx({"a": 0.11 * 9 / 25, "b": 0.11 * 16 / 25}, rel=1e-10)


# The two roads through a network end at one pressure, and the network's loss is that of the steps shown.
def test_paths_meet_at_one_pressure() -> None:
    old = path("a", INLET | {"edge": "projecting"}, HOSE | {"roughness": 0.0005}, EXIT)
    new = path("b", INLET | {"edge": "bellmouth"}, BEND, CONE, EXIT | {"diameter": 0.08})
    found = run(FILTER, *old, *new, INLET | {"name": "to-throttle"}, HOSE | {"name": "last"})
    total = found["total_pressure_after"]
    assert total["dump-a"] == pytest.approx(total["dump-b"], rel=1e-10)
    assert sum(found["path_flow"].values()) == pytest.approx(0.11, rel=1e-11)
    assert total["to-throttle"] == pytest.approx(total["dump-a"] - found["loss"]["to-throttle"], rel=1e-10)
    assert found["total_loss"] == -total["last"]
    ways = [row["name"] for row in old]
    along = found["share"]["panel"] + found["share"]["to-throttle"] + found["share"]["last"]
    assert along + sum(found["share"][name] for name in ways) == pytest.approx(1, rel=1e-9)


# --- bores -------------------------------------------------------------------------------


# Closed form: with mouth and exit only, loss goes with d⁻⁴.
def test_bores_for_a_loss() -> None:
    found = run(INLET, EXIT, allowed_loss=400.0)
    expected = (found["total_loss"] / 400) ** 0.25
    assert found["bore_factor"] == pytest.approx(expected, rel=1e-9)
    bores = {"mouth": 0.07 * expected, "dump": 0.07 * expected}
    assert found["required_bore"] == pytest.approx(bores, rel=1e-9)


@pytest.mark.parametrize("rule", ["ito", "crane"])
def test_the_bores_found_lose_what_is_allowed(rule: str) -> None:
    rows = [INLET, HOSE | {"roughness": 1e-4}, BEND, CONE, EXIT | {"diameter": 0.08}, FILTER]
    found = run(*rows, allowed_loss=1000.0, bend_rule=rule)
    factor = found["bore_factor"]
    assert factor > 1
    grown = [
        {
            key: value * factor if key in ("diameter", "diameter_after", "bend_radius") else value
            for key, value in row.items()
        }
        for row in rows
    ]
    grown[3]["length"] *= factor  # a cone keeps its angle
    assert run(*grown, bend_rule=rule)["total_loss"] == pytest.approx(1000, rel=1e-8)


def test_no_bore_helps_a_filter() -> None:
    name, found, expected = refused(NoSolution, INLET, EXIT, FILTER, allowed_loss=300.0)
    assert (name, found, expected) == ("allowed_loss", "300.0 Pa", "more than 438.8 Pa, the filter's loss")
    name, found, _ = refused(NoSolution, FILTER, allowed_loss=600.0)
    assert (name, found) == ("allowed_loss", "a duct without a bore")


def test_bores_beyond_the_formulae() -> None:
    name, found, expected = refused(OutOfRange, INLET, EXIT, allowed_loss=12_000.0)
    assert (name, expected) == ("allowed_loss", "at most Mach 0.3")
    assert found.endswith("m/s in segment mouth at its bores")


# --- properties --------------------------------------------------------------------------


@with_examples(50)
@for_all(st.floats(0.03, 0.13), st.floats(1.01, 1.4), st.floats(1.01, 1.4))
def test_more_air_or_hose_loses_more_and_a_wider_bore_less(flow: float, more: float, wider: float) -> None:
    rows = [INLET, HOSE | {"roughness": 1e-4}, BEND, EXIT]
    base = run(*rows, volume_flow=flow)["total_loss"]
    assert run(*rows, volume_flow=min(flow * more, 0.135))["total_loss"] > base
    longer = [INLET, HOSE | {"roughness": 1e-4, "length": 1.0 * more}, BEND, EXIT]
    assert run(*longer, volume_flow=flow)["total_loss"] > base
    wide = [row | {"diameter": row["diameter"] * wider} for row in rows]
    wide[2]["bend_radius"] = 0.105 * wider
    assert run(*wide, volume_flow=flow)["total_loss"] < base


def test_keys_are_names_or_numbers() -> None:
    bare = [{key: value for key, value in row.items() if key != "name"} for row in (INLET, EXIT)]
    assert list(run(*bare)["loss"]) == ["1", "2"]


def test_remarks() -> None:
    working = Working()
    run(HOSE, working=working)
    assert any("loss of entry into hose is not counted" in remark for remark in working.remarks)
    assert any("After hose the air still has its velocity" in remark for remark in working.remarks)
    working = Working()
    run(INLET, HOSE, EXIT, working=working)
    assert working.remarks == []
    run(INLET, HOSE, EXIT, working=working, volume_flow=0.0027)
    assert working.remarks == [
        "In hose the Reynolds number is 3166, below the 4000 from which its loss is known: "
        "it has a wider doubt."
    ]


def test_words_on_where_most_is_lost() -> None:
    assert run(INLET, EXIT)["most_lost"] == "dump 67 %, mouth 33 %"
    # By symmetry: two like ways carry half the air each, so that each piece costs half of what it did.
    twins = [{**row, "path": path, "name": f"{row['name']}-{path}"} for path in "ab" for row in (INLET, EXIT)]
    assert run(*twins)["most_lost"] == "dump-a 33 %, dump-b 33 %, mouth-a 17 %"
    # A narrow way that takes next to no air is not where most is lost.
    narrow = [{**row, "path": "b", "name": f"{row['name']}-b", "diameter": 0.01} for row in (INLET, EXIT)]
    words = run(*(row for row in twins if row["path"] == "a"), *narrow)["most_lost"]
    assert words.startswith("dump-a 6")
    assert ", mouth-a 3" in words


# --- refusals ----------------------------------------------------------------------------


# A filter rated from hose to hose stands on a bore.
def test_filter_between_hoses() -> None:
    found = run(HOSE, FILTER | {"diameter": 0.07}, EXIT)
    after = found["total_pressure_after"]["panel"]
    assert found["static_pressure_after"]["panel"] == pytest.approx(after - head(0.11, 0.07))


@pytest.mark.parametrize(
    ("row", "found", "expected"),
    [
        (HOSE | {"roughness": 0.004}, "segment hose (hose): relative roughness 0.0571429", "0 to 0.05"),
        (BEND | {"bend_radius": 0.06}, "segment bend (bend): radius ratio 0.857143", "1 to 7"),
        (FILTER | {"rated_flow": 0.01}, "segment panel (filter): volume flow 0.11", "0 to 0.03"),
        (CONE | {"length": 1.5}, "segment cone (expansion): angle 0.4°", "5° or more, or 2° with roughness"),
        (
            HOSE | {"diameter": 0.03, "roughness": 0.0},
            "segment hose (hose): velocity 156 m/s",
            "at most Mach 0.3, 104 m/s",
        ),
    ],
)
def test_rows_out_of_range(row: Row, found: str, expected: str) -> None:
    assert refused(OutOfRange, row) == ("segments", found, expected)


def test_crane_has_no_small_bends() -> None:
    name, found, expected = refused(OutOfRange, BEND | {"angle": pi / 4}, bend_rule="crane")
    assert (name, found) == ("segments", "segment bend (bend): angle 45.0°")
    assert expected == "90° to 180° with bend_rule: crane"


def test_a_duct_that_chokes_is_refused() -> None:
    fitting = {"kind": "fitting", "name": "mesh", "diameter": 0.07, "loss_coefficient": 40.0}
    name, found, expected = refused(OutOfRange, fitting)
    assert (name, expected) == ("segments", "at most a tenth of 101.4 kPa")
    assert found == f"a loss of {40 * head(0.11, 0.07) / 1000:.2f} kPa"


def test_air_and_flow_are_given_once() -> None:
    both = refused(InputsConflict, HOSE, altitude=100.0)
    assert both == ("ambient_pressure", "altitude as well", "one of the two")
    none = refused(MissingInput, HOSE, without=("ambient_pressure",))
    assert none == ("altitude", "neither altitude nor ambient_pressure", "one of them")
    assert refused(InputsConflict, HOSE, engine_speed=500.0)[0] == "volume_flow"
    assert refused(MissingInput, HOSE, without=("volume_flow",))[0] == "volume_flow"
    part = refused(MissingInput, HOSE, without=("volume_flow",), engine_speed=500.0)
    assert part[:2] == ("engine_displacement", "engine_speed without engine_displacement")


# A car's sheet brings the engine along; with a stated flow it is not used.
def test_a_stated_flow_with_the_cars_engine() -> None:
    found = run(HOSE, engine_displacement=1.6e-3, volumetric_efficiency=0.9)
    assert found["volume_flow"] == 0.11


# --- chart -------------------------------------------------------------------------------


def case(*rows: Row) -> SimpleNamespace:
    return SimpleNamespace(inputs=AIR | {"segments": list(rows)}, outputs=run(*rows))


def test_chart_of_one_case_has_both_pressures() -> None:
    spec = duct.chart({"": case(INLET, HOSE, BEND, EXIT)})
    assert spec is not None
    total, wall = spec.series
    assert (total.label, wall.label) == ("total", "at the wall")
    assert total.x[-1] == pytest.approx(1.0 + 0.105 * pi / 2)
    assert total.y[0] == 0
    assert list(total.y) == sorted(total.y, reverse=True)
    assert all(low <= high + 1e-9 for low, high in zip(wall.y, total.y, strict=True))


def test_chart_of_paths_and_of_no_length() -> None:
    spec = duct.chart({"both": case(*OLD, *path("b", INLET, HOSE, EXIT), FILTER)})
    assert spec is not None
    assert [line.label for line in spec.series] == ["both, path a", "both, path b"]
    assert spec.series[0].y[-1] == spec.series[1].y[-1]
    assert duct.chart({"": case(INLET, EXIT)}) is None


def test_outputs_are_declared() -> None:
    declared = {output.name: output for output in duct.OUTPUTS}
    found = run(*OLD, *NEW, FILTER, allowed_loss=1000.0)
    assert set(found) <= set(declared)
    for name, value in found.items():
        output: Output = declared[name]
        assert isinstance(value, dict) == bool(output.key)


def test_segments_are_listed_in_the_order_of_the_rows() -> None:
    found = run(INLET, HOSE, BEND, CONE, EXIT | {"diameter": 0.08}, FILTER)
    assert list(found["loss"]) == ["mouth", "hose", "bend", "cone", "dump", "panel"]
    assert list(found["loss_coefficient"]) == ["mouth", "hose", "bend", "cone", "dump"]


# --- doubts ------------------------------------------------------------------------------


# fluids 1.3.1: the published methods for one smooth bend at Re 100 000 (f 0.0175), from 1.5 bores: Ito's
# value differs from each of Rennels's, Miller's and Crane's by no more than the doubt of the bend.
@pytest.mark.parametrize("method", ["Rennels", "Miller", "Crane"])
@pytest.mark.parametrize(
    ("angle", "doubt"),
    [(90, ducts.BEND), (45, ducts.OTHER_BEND), (180, ducts.OTHER_BEND)],
)
@pytest.mark.parametrize("radius", [1.5, 2, 3])
def test_the_doubt_of_a_bend_covers_the_methods(
    method: str, angle: float, doubt: Doubt, radius: float
) -> None:
    other = theirs.bend_rounded(
        Di=0.07, angle=angle, fd=0.0175, Re=1e5, bend_diameters=radius, roughness=0, method=method
    )
    shape = fittings.bend_shape_factor(radius, radians(angle))
    ours = fittings.bend_loss_coefficient(fittings.bend_constant(shape, radians(angle), radius), 1e5, 1.0)
    assert abs(other / ours - 1) < doubt.relative
    assert abs(other / ours - 1) > 0.0  # another method, not the same one twice


# fluids 1.3.1: handbooks on one mouth. Crane's table is what is used; the others lie within the doubt.
@pytest.mark.parametrize("method", ["Rennels", "Miller", "Idelchik", "Harris"])
@pytest.mark.parametrize("ratio", [0.02, 0.06, 0.1, 0.15])
def test_the_doubt_of_a_rounded_mouth_covers_the_handbooks(method: str, ratio: float) -> None:
    other = theirs.entrance_rounded(Di=0.07, rc=0.07 * ratio, method=method)
    assert abs(other - fittings.entrance_loss_coefficient(ratio)) < ducts.ROUNDED_MOUTH.absolute * 1.25


@pytest.mark.parametrize("method", ["Rennels", "Miller", "Idelchik", "Hooper"])
@pytest.mark.parametrize("angle", [15, 30, 60])
def test_the_doubt_of_a_widening_cone_covers_the_handbooks(method: str, angle: float) -> None:
    other = theirs.diffuser_conical(Di1=0.07, Di2=0.1, angle=angle, fd=0.018, Re=1e5, method=method)
    ours = fittings.expansion_loss_coefficient(0.07, 0.1, radians(angle))
    assert abs(other / ours - 1) < ducts.STEP.relative


def uncertain(*rows: Row, **changes: Any) -> float:
    """Expanded uncertainty that the method alone has on the whole loss, by the shifts that a book makes."""
    base = Working()
    total = run(*rows, working=base, **changes)["total_loss"]
    moved = [
        run(*rows, working=Working(shifts={origin: 1.0}), **changes)["total_loss"] - total
        for origin in base.doubted
    ]
    return 2 * hypot(*moved)


# By hand: the losses of mouth and exit are independent, 25 % and 10 % of theirs.
def test_the_doubt_of_a_duct_is_that_of_its_pieces() -> None:
    found = run(INLET, EXIT)["loss"]
    expected = hypot(0.25 * found["mouth"], 0.10 * found["dump"])
    assert uncertain(INLET, EXIT) == pytest.approx(expected, rel=1e-6)
    # Friction is one error: of two hoses it adds up, of two mouths it would not.
    smooth = HOSE | {"roughness": 1e-4}
    two = [smooth, smooth | {"name": "second"}]
    assert uncertain(*two) == pytest.approx(2 * uncertain(smooth), rel=1e-6)


# The same errors in the network as in its segments: two like ways share the air evenly, so that all bends
# of one way moved together move the split; the loss of both stays that of each.
def test_doubts_move_the_split() -> None:
    twins = [{**row, "path": path, "name": f"{row['name']}-{path}"} for path in "ab" for row in (INLET, EXIT)]
    moved = run(*twins, working=Working(shifts={"method:mouth_loss.mouth-a": 1.0}))
    even = run(*twins)
    assert moved["path_flow"]["a"] < even["path_flow"]["a"] < moved["path_flow"]["b"]
    # By hand: 1 + 0.5 · 1.125 against 1.5 on the same flow; flows as 1/√K, K on both together
    share = 1 / (1 + (1.5625 / 1.5) ** 0.5)
    assert moved["path_share"]["a"] == pytest.approx(share, rel=1e-9)


# At 800 rpm a 2.0 l engine draws 0.0128 m³/s: the pieces answer, with a wider doubt, and are named.
def test_slow_air_is_answered_with_a_wider_doubt() -> None:
    working = Working()
    bend = BEND | {"diameter": 0.09, "bend_radius": 0.135}
    found = run(bend, working=working, volume_flow=0.0128)
    assert found["reynolds_number"]["bend"] < 1.2e4
    slow = run(bend, working=working, volume_flow=0.009)
    assert slow["reynolds_number"]["bend"] < 1e4
    assert any("In bend the Reynolds number is" in remark for remark in working.remarks)
    fast = uncertain(bend, volume_flow=0.05) / run(bend, volume_flow=0.05)["total_loss"]
    assert fast == pytest.approx(0.25, rel=1e-6)
    # By hand: √(0.25² + 0.6²)
    share = uncertain(bend, volume_flow=0.009) / slow["total_loss"]
    assert share == pytest.approx(0.65, rel=0.001)


# The manual: below a fifth of a filter's rating the doubt is wider, and the piece is named.
def test_a_filter_far_below_its_rating_is_named() -> None:
    panel = {"name": "panel", "kind": "filter", "rated_pressure": 500.0, "rated_flow": 0.12, "exponent": 1.5}
    slow, fast = Working(), Working()
    run(panel, working=slow, volume_flow=0.0239)
    run(panel, working=fast, volume_flow=0.0241)
    assert any("Through panel goes less than a fifth" in remark for remark in slow.remarks)
    assert fast.remarks == []
    # By hand: √(0.15² + 0.4²)
    share = uncertain(panel, volume_flow=0.0239) / run(panel, volume_flow=0.0239)["total_loss"]
    assert share == pytest.approx(0.4272, rel=0.01)


# The limits that the manual states: 3 m/s through a face, and what the author allows.
def test_limits() -> None:
    working = Working()
    run(INLET, EXIT, FILTER, working=working, allowed_loss=1000.0)
    face, whole = working.limits
    assert (face.output, face.key, face.most) == ("face_velocity", "panel", 3.0)
    assert (whole.output, whole.most) == ("total_loss", 1000.0)
    assert not whole.is_met(990.0, 62.0)  # by its uncertainty it may lose more
    assert whole.is_met(900.0, 62.0)


# --- sections ----------------------------------------------------------------------------


# fluids 1.3.1: hydraulic diameter 4 A/P of a rectangle, Colebrook at its Reynolds number, the velocity of
# its area.
def test_a_rectangular_duct_against_fluids() -> None:
    row = {key: value for key, value in HOSE.items() if key != "diameter"} | {"roughness": 1e-4}
    found = run(row | {"section": "rectangular", "width": 0.12, "height": 0.04})
    hydraulic = 4 * 0.12 * 0.04 / (2 * (0.12 + 0.04))
    velocity = 0.11 / (0.12 * 0.04)
    viscosity = 1.458e-6 * 298.15**1.5 / (298.15 + 110.4)
    reynolds = fluids.Reynolds(V=velocity, D=hydraulic, rho=DENSITY, mu=viscosity)
    friction = fluids.friction_factor(reynolds, 1e-4 / hydraulic, Method="Colebrook")
    assert found["reynolds_number"]["hose"] == pytest.approx(reynolds, rel=1e-9)
    assert found["velocity"]["hose"] == pytest.approx(velocity, rel=1e-9)
    assert found["loss"]["hose"] == pytest.approx(friction / hydraulic * DENSITY * velocity**2 / 2, rel=1e-6)


# Geometry: an oval as wide as it is high is a circle; a flat oval 100 × 40 mm has π 20² + 60 · 40 mm².
def test_oval_sections() -> None:
    bare = {key: value for key, value in HOSE.items() if key != "diameter"}
    oval = run(bare | {"section": "oval", "width": 0.07, "height": 0.07})
    assert oval["loss"] == pytest.approx(run(HOSE)["loss"], rel=1e-12)
    flat = run(bare | {"section": "oval", "width": 0.1, "height": 0.04, "roughness": 1e-4})
    area = pi * 0.02**2 + 0.06 * 0.04
    assert flat["velocity"]["hose"] == pytest.approx(0.11 / area, rel=1e-9)
    hydraulic = 4 * area / (pi * 0.04 + 2 * 0.06)
    assert flat["loss_coefficient"]["hose"] == pytest.approx(
        fluids.friction_factor(flat["reynolds_number"]["hose"], 1e-4 / hydraulic, Method="Colebrook")
        / hydraulic,
        rel=1e-6,
    )
    # A section that is not round has the doubt of its hydraulic diameter besides: √(0.15² + 0.1²).
    share = uncertain(bare | {"section": "oval", "width": 0.1, "height": 0.04, "roughness": 1e-5})
    assert share / run(bare | {"section": "oval", "width": 0.1, "height": 0.04, "roughness": 1e-5})[
        "total_loss"
    ] == pytest.approx(hypot(0.15, 0.1), rel=1e-6)


def test_sections_are_given_one_way() -> None:
    both = refused(InputsConflict, HOSE | {"section": "oval", "width": 0.1, "height": 0.04})
    assert both[1] == "segment hose (hose) with diameter and section"
    bare = {key: value for key, value in HOSE.items() if key != "diameter"}
    assert refused(MissingInput, bare | {"width": 0.1, "height": 0.04})[1] == (
        "segment hose (hose) without section"
    )
    upright = refused(InputsConflict, bare | {"section": "oval", "width": 0.04, "height": 0.1})
    assert upright == ("segments", "a height of 100 mm", "up to the width, 40 mm")
