"""The kind `printed_part`: softening, mass by infill, size and inserts, against integrals and data sheets."""

from __future__ import annotations

from array import array
from math import pi
from typing import Any

import numpy as np
import pytest
from scipy import integrate

from buildlog.calculators import printed_part
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import Working
from buildlog.kinds.duty import LICENSED_PRACTICE
from buildlog.kinds.logs import Log, LogAccount
from buildlog.physics import plastics, printing

GIVEN: dict[str, Any] = {
    "duty": "cover",
    "material": "ASA",
    "place_temperature": 343.15,
    "load": "none",
}
SHELL: dict[str, Any] = {
    "perimeters": 3,
    "line_width": 0.45e-3,
    "layer_height": 0.2e-3,
    "bottom_layers": 4,
    "top_layers": 5,
    "infill": 0.2,
}
BOX: dict[str, Any] = SHELL | {"shape": "box", "length": 0.06, "width": 0.024, "height": 0.018}
CYLINDER: dict[str, Any] = SHELL | {"shape": "cylinder", "diameter": 0.05, "height": 0.04}
LOADED: dict[str, Any] = {"load": "sustained", "stress": 0.4e6, "tensile_strength": 38.6e6}
INSERT: dict[str, Any] = {"name": "screw", "thread": "M4", "wall": 0.004, "length": 0.008}


def run(working: Working | None = None, **changes: Any) -> dict[str, Any]:
    return dict(printed_part.compute(GIVEN | changes, working or Working()))


def told(**changes: Any) -> list[str]:
    working = Working()
    run(working, **changes)
    return list(working.remarks)


def log(*values: float, step: float = 10.0) -> Log:
    times = array("d", [step * row for row in range(len(values))])
    return Log(
        file="x.csv",
        times=times,
        values={"temperature": array("d", values)},
        spans=(range(len(values)),),
        account=LogAccount(rows=len(values), kept=len(values)),
    )


# --- what is refused -------------------------------------------------------------------------------


@pytest.mark.parametrize("duty", ["person", "wheel", "brake", "steering", "fuel"])
def test_what_lives_hang_on_is_refused(duty: str) -> None:
    with pytest.raises(Refused) as raised:
        run(duty=duty)
    assert raised.value.code is LICENSED_PRACTICE


@pytest.mark.parametrize(
    ("changes", "name", "kind"),
    [
        ({"log": (log(300.0, 300.0),), "hold_time": 5.0}, "place_temperature", InputsConflict),
        ({"material": "other"}, "deflection_temperature_b", MissingInput),
        ({"stress": 1e6}, "stress", InputsConflict),
        ({"load_direction": "across"}, "load_direction", InputsConflict),
        ({"load": "passing"}, "stress", MissingInput),
        ({"load": "passing", "stress": 2e6}, "stress", OutOfRange),
        (LOADED, "load_direction", MissingInput),
        (SHELL, "shape", MissingInput),
        ({"shape": "box"}, "perimeters", MissingInput),
        ({name: one for name, one in BOX.items() if name != "width"}, "width", MissingInput),
        (BOX | {"diameter": 0.05}, "diameter", InputsConflict),
        (BOX | {"filament_price": 28.0}, "currency", MissingInput),
        ({"shrinkage": 0.005}, "critical_length", MissingInput),
    ],
)
def test_refusals(changes: dict[str, Any], name: str, kind: type[Refused]) -> None:
    with pytest.raises(kind) as raised:
        run(**changes)
    assert raised.value.name == name


def test_another_plastic_says_all_that_no_table_has() -> None:
    own: dict[str, Any] = {
        "material": "other",
        "deflection_temperature_b": 400.0,
        "deflection_temperature_a": 380.0,
        "glass_transition": 350.0,
    }
    assert run(**own)["softening_margin"] == pytest.approx(400 - 343.15)
    assert "vicat_margin" not in run(**own)
    across = LOADED | {"load_direction": "across"}
    with pytest.raises(MissingInput, match="layer_strength"):
        run(**own, **across)
    assert run(**own, **across, layer_strength=20e6)["usable_strength"] == 20e6
    with pytest.raises(MissingInput, match="density"):
        run(**own, **BOX)


def test_a_place_is_stated_or_logged() -> None:
    without = {name: one for name, one in GIVEN.items() if name != "place_temperature"}
    with pytest.raises(MissingInput, match="place_temperature"):
        printed_part.compute(without, Working())
    with pytest.raises(MissingInput, match="hold_time"):
        printed_part.compute(without | {"log": (log(300.0, 310.0),)}, Working())
    logged = without | {"log": (log(300.0, 340.0, 341.0, 342.0, 380.0, 300.0),), "hold_time": 20.0}
    outputs = printed_part.compute(logged, Working())
    # By hand: T is passed 10 (T - 341) s after 341 K was read and (380 - T) / 8 s after 380 K, 20 s later.
    assert outputs["temperature_held"] == pytest.approx(27660 / 81)
    nan = float("nan")
    gap = without | {"log": (log(300.0, 340.0, nan, 342.0, 380.0, 300.0),), "hold_time": 20.0}
    held = printed_part.compute(gap, Working())["temperature_held"]
    assert held == pytest.approx(27660 / 81)  # 341 K lay on the line from 340 to 342 K


# --- softening ---------------------------------------------------------------------------------------


def test_the_middle_of_the_data_sheets_or_the_authors_own() -> None:
    """ASA: 90 to 103 °C at 0.45 MPa, 78 to 100.2 °C at 1.8 MPa, as tests/physics/test_plastics.py has it."""
    assert run()["softening_temperature"] == pytest.approx(96.5 + 273.15)
    assert run(load="passing", stress=1e6)["softening_temperature"] == pytest.approx(89.1 + 273.15)
    assert run(deflection_temperature_b=380.0)["softening_margin"] == pytest.approx(380 - 343.15)


def test_the_spread_of_the_sheets_is_the_doubt() -> None:
    """Moved by one standard uncertainty, half of the spread over √3 (JCGM 100:2008, 4.3.7)."""
    moved = run(Working(shifts={"method:family_of_plastic": 1.0}))
    assert moved["softening_temperature"] - run()["softening_temperature"] == pytest.approx(6.5 / 3**0.5)


def test_a_parked_car() -> None:
    """Grundstein et al. (2009): 68 °C on average, 76 °C at most; dashboards 192 °F and near 100 °C."""
    assert run(sun="cabin")["sun_temperature"] == pytest.approx(72 + 273.15)
    assert run(sun="dashboard")["sun_temperature"] == pytest.approx(94.5 + 273.15)
    assert run(sun="dashboard", material="PLA")["sun_margin"] < -30
    assert pytest.approx(1.8 * 89, abs=0.5) == 192 - 32


def test_a_load_that_stays_is_told_to_creep() -> None:
    along = LOADED | {"load_direction": "along"}
    assert any("PLA crept the most" in one for one in told(material="PLA", **along))
    assert any("creep" in one for one in told(**along))
    assert not any("creep" in one for one in told())
    limits = Working()
    run(limits, **along)
    assert [(one.output, one.least, one.most) for one in limits.limits] == [
        ("softening_margin", 0.0, None),
        ("softening_margin", 20.0, None),
        ("glass_margin", 0.0, None),
        ("strength_used", None, 0.25),
    ]


@pytest.mark.parametrize(
    ("direction", "material", "share"),
    [("along", "PLA", 1.0), ("across", "PLA", (0.3 + 0.79) / 2), ("across", "PA-CF", (0.18 + 0.65) / 2)],
)
def test_strength_by_direction(direction: str, material: str, share: float) -> None:
    outputs = run(material=material, load_direction=direction, **LOADED)
    assert outputs["usable_strength"] == pytest.approx(38.6e6 * share)
    assert outputs["strength_used"] == pytest.approx(0.4 / (38.6 * share))


def test_what_the_engine_breathes_and_damp_polyamide() -> None:
    assert any("swallowed" in one for one in told(duty="intake"))
    assert any("dry" in one for one in told(material="PA"))
    assert all("fuel line" in told(duty=duty)[-1] for duty in ("cover", "holder"))


# --- mass --------------------------------------------------------------------------------------------


def _filled(inside: bool) -> float:
    return 0.2 if inside else 1.0


def test_mass_of_a_cylinder_by_integration() -> None:
    """Density over radius and height, by scipy.integrate: walls of 1.35 mm, 0.8 mm below, 1 mm above."""
    radius, height, wall = 0.025, 0.04, 1.35e-3
    below, above = 0.8e-3, height - 1e-3
    volume, _ = integrate.dblquad(
        lambda r, z: 2 * pi * r * _filled(r < radius - wall and below < z < above), 0, height, 0, radius,
        epsabs=1e-10,
    )  # fmt: skip
    outputs = run(**CYLINDER, density=1090.0)
    assert outputs["mass"] == pytest.approx(1090 * volume, rel=2e-3)
    core = pi * (radius - wall) ** 2 * (above - below)
    assert outputs["core_volume"] == pytest.approx(core)


def test_mass_of_a_box_by_counting_points() -> None:
    """Points of a fine grid, each full or by the infill: independent of the product of three lengths."""
    sizes, wall, below, above = (0.06, 0.024, 0.018), 1.35e-3, 0.8e-3, 1e-3
    axes = [(np.arange(200) + 0.5) / 200 * size for size in sizes]
    x, y, z = np.meshgrid(*axes, indexing="ij", sparse=True)
    inside = (
        (np.minimum(x, sizes[0] - x) > wall)
        & (np.minimum(y, sizes[1] - y) > wall)
        & (z > below)
        & (z < sizes[2] - above)
    )
    share = inside.mean()
    plastic = np.prod(sizes) * (1 - share + 0.2 * share)
    assert run(**BOX, density=1090.0)["mass"] == pytest.approx(1090 * plastic, rel=5e-3)


@pytest.mark.parametrize(
    ("shape", "volume", "side", "flat"),
    [
        (BOX, 0.06 * 0.024 * 0.018, 2 * (0.06 + 0.024) * 0.018, 2 * 0.06 * 0.024),
        (CYLINDER, pi * 0.025**2 * 0.04, pi * 0.05 * 0.04, 2 * pi * 0.025**2),
    ],
)
def test_by_volume_and_surface_it_is_within_its_doubt(
    shape: dict[str, Any], volume: float, side: float, flat: float
) -> None:
    given = SHELL | {"shape": "given", "volume": volume, "side_area": side, "flat_area": flat}
    exact, told = run(**shape)["core_volume"], run(**given)["core_volume"]
    assert told < exact
    assert told == pytest.approx(exact, rel=0.05)


def test_full_and_thin_parts_are_solid() -> None:
    assert run(**BOX | {"infill": 1.0})["solid_share"] == pytest.approx(1)
    thin = run(**BOX | {"width": 0.0025})
    assert thin["core_volume"] == 0
    assert thin["solid_share"] == pytest.approx(1)
    assert any("fill the part" in one for one in told(**BOX | {"width": 0.0025}))


def test_a_spool_has_as_many_metres_as_are_printed_on_it() -> None:
    """1 kg of filament of 1.75 mm is some 335 m of PLA at 1240 kg/m³: 1 / (1240 · π/4 · 0.00175²)."""
    metres = printing.filament_length(1 / 1240, 0.00175)
    assert metres == pytest.approx(335, abs=1)
    outputs = run(**BOX, filament_diameter=0.00175, density=1240.0, filament_price=28.0, currency="EUR")
    assert outputs["filament_length"] == pytest.approx(metres * outputs["mass"])
    assert outputs["filament_cost"] == pytest.approx(28 * outputs["mass"])


# --- size and inserts ----------------------------------------------------------------------------------


def test_shrinkage_and_scale() -> None:
    """A printers' rule: shrunk by 1.2 %, a model is scaled to 101.2 %; exactly, 1 / 0.988."""
    outputs = run(critical_length=0.1, shrinkage=0.012)
    assert outputs["scale"] == pytest.approx(1.012, abs=2e-4)
    assert outputs["length_lost"] == pytest.approx(1.2e-3)
    assert outputs["scale"] * (1 - 0.012) == pytest.approx(1)
    assert run(critical_length=0.1)["length_lost"] == pytest.approx(0.55e-3)  # ASA, 0.4 to 0.7 %


# A supplier's chart of heat-set inserts: thread, pilot hole, outer diameter, mm.
@pytest.mark.parametrize(
    ("thread", "hole", "outer"), [("M3", 4.0, 4.4), ("M4", 5.6, 6.1), ("M5", 6.4, 7.1), ("M6", 8.0, 8.5)]
)
def test_holes_for_inserts(thread: str, hole: float, outer: float) -> None:
    outputs = run(inserts=[INSERT | {"thread": thread}])
    assert outputs["insert_hole"]["screw"] == pytest.approx(hole / 1000)
    assert outputs["hole_depth"]["screw"] == pytest.approx(0.009)
    assert outputs["wall_reserve"]["screw"] == pytest.approx(0.004 - outer / 2000)


def test_a_thin_boss_is_told_and_no_pull_is() -> None:
    working = Working()
    run(working, inserts=[INSERT | {"wall": 0.002}])
    (limit,) = [one for one in working.limits if one.output == "wall_reserve"]
    assert not limit.is_met(0.002 - 0.00305, 0)
    assert any("pulled out is not told" in one for one in working.remarks)


def test_a_thread_that_no_chart_has() -> None:
    with pytest.raises(OutOfRange, match="M3, M4, M5 or M6"):
        printing.insert_hole(0.0035)


def test_the_manuals_tables_are_the_ones_computed_with() -> None:
    text = (printed_part.__doc__ or "").replace("−", "-").replace(" to ", "–")
    for name, plastic in plastics.PLASTICS.items():
        row = next(line for line in text.splitlines() if line.startswith(f"| {name}"))
        cells = [cell.strip() for cell in row.strip("|").split("|")][1:]
        spreads = (plastic.glass, plastic.deflection_b, plastic.deflection_a, plastic.vicat)
        for cell, spread in zip(cells, spreads, strict=False):
            assert cell == f"{spread.low - 273.15:.4g}–{spread.high - 273.15:.4g}", name
        assert cells[-1] == f"{plastic.density.low:.0f}–{plastic.density.high:.0f}"
    for word, pick in (("least", "low"), ("most", "high")):
        row = next(line for line in text.splitlines() if line.startswith(f"| {word} |"))
        shares = [float(cell) for cell in row.strip("|").split("|")[1:]]
        assert shares == [getattr(one.layer_share, pick) for one in plastics.PLASTICS.values()]
