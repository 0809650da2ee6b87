"""What every kind declares, held to the manual's pages and to tables kept by hand.

The pages are what an author reads: a number at the end of a range that a page names is taken, one beyond it
is refused in the page's words, and a default that is left out is as if it had been written. What no page
says, how finely a card shows a quantity, what stands beside what, and how many rows there may be, is in
tables here. No outside source says those: they are the house's own choice (regression).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from buildlog.diagnostics import OUT_OF_RANGE, VALUE_UNREADABLE, Position
from buildlog.figures import units
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import Input, InputForm, Listed, Logged, Number, Output, Table, Text, Whole
from buildlog.reading.inputs import FAILED, InputReader
from buildlog.reading.nodes import YamlList, YamlScalar

KINDS = catalogue.kind_names()
PAGES = Path(__file__).resolve().parents[2] / "content" / "manual" / "kinds"
HERE = Position("p.md")


def _inputs(inputs: tuple[Input, ...], within: str = "") -> Iterator[tuple[str, Input]]:
    for declared in inputs:
        yield within + declared.name, declared
        yield from _inputs(declared.form.row, f"{within}{declared.name}.")


def inputs_of(kind: str) -> dict[str, Input]:
    return dict(_inputs(catalogue.load_kind(kind).inputs))


def outputs() -> Iterator[tuple[str, Output]]:
    for kind in KINDS:
        for output in catalogue.load_kind(kind).outputs:
            yield f"{kind}.{output.name}", output


def reader() -> InputReader:
    return InputReader(
        resolve=lambda text, position: pytest.fail(text), data=lambda name, *_: pytest.fail(name)
    )


# --- ranges and defaults, as the manual's pages have them ---------------------------------------

_ROW = re.compile(r"\| (?P<within>– )?`(?P<name>[a-z_0-9]+)` \| (?P<form>[^|]*) \| (?P<given>[^|]*) \|")
_NUMBER = r"-?[0-9.]+(?:e[+-]?[0-9]+)?"
_RANGE = re.compile(rf"(?P<low>{_NUMBER}) to (?P<high>{_NUMBER})(?P<unit> \S.*)?")
_LIST = re.compile(r"list of (?P<fewest>\d+) to (?P<most>\d+), each: (?P<item>.*)")
_DEFAULT = re.compile(r"default (?P<text>[^;]*)")


def told(kind: str) -> dict[str, re.Match[str]]:
    """By input, the row of the kind's page."""
    page = (PAGES / f"{kind}.md").read_text("utf-8").partition("## Inputs")[2].partition("\n## ")[0]
    rows: dict[str, re.Match[str]] = {}
    above = ""
    for row in _ROW.finditer(page):
        within = above if row["within"] and not row["within"].isspace() else ""
        if not row["within"]:
            above = f"{row['name']}."
        if row["form"].strip():  # a word of a choice has no form
            rows[within + row["name"]] = row
    return rows


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_has_a_row_for_every_input(kind: str) -> None:
    assert set(told(kind)) == set(inputs_of(kind))


def _beyond(end: float, away: float) -> str:
    return f"{end + away:.18f}".rstrip("0")


@pytest.mark.parametrize("kind", KINDS)
def test_a_range_ends_where_the_page_says(kind: str) -> None:
    """At both ends a number is taken; a little beyond them it is refused, in the words of the page."""
    declared, seen = inputs_of(kind), 0
    for name, row in told(kind).items():
        form = declared[name].form
        words = row["form"]
        if listed := _LIST.match(words):
            assert isinstance(form, Listed)
            form, words = form.of, listed["item"]
        if not isinstance(form, (Number, Whole)) or not (ends := _RANGE.search(words)):
            continue
        if isinstance(form, Number) and form.dimension.startswith("money"):
            continue  # its unit is the block's currency
        seen += 1
        unit = ends["unit"] or ""
        low, high = float(ends["low"]), float(ends["high"])
        is_short = len(ends["high"].replace(".", "")) < 6  # pages tell six digits: π ends between two of them
        for end, away, text in ((low, -1, ends["low"]), (high, 1, ends["high"])):
            if not is_short and end == high:
                continue
            taken = reader()
            value = taken.read(YamlScalar(HERE, f"{_plain(text)}{unit}"), form, (name,))
            assert not taken.faults, (name, text, taken.faults)
            if isinstance(form, Number):
                assert value == pytest.approx(units.find(unit.strip(), form.dimension).to_si(end))
            else:
                assert value == end
            refused = reader()
            beyond = (
                str(int(end) + away)
                if isinstance(form, Whole)
                else _beyond(end, away * 1e-9 * max(abs(low), abs(high)))
            )
            assert refused.read(YamlScalar(HERE, f"{beyond}{unit}"), form, (name,)) is FAILED, (name, beyond)
            (fault,) = refused.faults
            if not (isinstance(form, Whole) and end == 0):  # −1 is not a whole number that can be read
                assert fault.code in (OUT_OF_RANGE, VALUE_UNREADABLE)
                assert f"{ends['low']} to {ends['high']}" in f"{fault.expected}", (name, fault)
    assert seen or not any(isinstance(one.form, (Number, Whole)) for one in declared.values())


def _plain(text: str) -> str:
    """A number of a page as an author would write it: 1e+06 is a million."""
    return f"{float(text):.15f}".rstrip("0").rstrip(".") if "e" in text else text


@pytest.mark.parametrize("kind", KINDS)
def test_a_default_left_out_is_the_one_that_the_page_tells(kind: str) -> None:
    """Written out, it is read as what is computed with where nothing is written."""
    declared = {one.name: one for one in catalogue.load_kind(kind).inputs}
    optional = {name: one for name, one in declared.items() if not one.required}
    left_out = reader().read_all({}, tuple(optional.values()), (), HERE)
    for name, row in told(kind).items():
        if name not in optional:
            continue
        default = _DEFAULT.match(row["given"])
        assert (name in left_out) == bool(default), name
        if default:
            text = default["text"].strip()
            written = reader().read(YamlScalar(HERE, text), optional[name].form, (name,))
            assert written == left_out[name], name


@pytest.mark.parametrize("kind", KINDS)
def test_a_list_is_as_long_as_the_page_says(kind: str) -> None:
    for name, row in told(kind).items():
        if not (listed := _LIST.match(row["form"])):
            continue
        form = inputs_of(kind)[name].form
        fewest, most = int(listed["fewest"]), int(listed["most"])
        for count, is_taken in ((fewest, True), (most, True), (fewest - 1, False), (most + 1, False)):
            assert _is_counted_in(form, count) == is_taken, (name, count)


def _is_counted_in(form: InputForm, count: int) -> bool:
    """Whether a list of so many items is taken; what they are is another question."""
    read = reader()
    read.read(YamlList(HERE, (YamlScalar(HERE, ""),) * count), form, ("list",))
    return not any(fault.found == _counted(count) for fault in read.faults)


def _counted(count: int) -> str:
    return "1 entry" if count == 1 else f"{count} entries"


# --- rows and texts ---------------------------------------------------------------------------------

ROWS = {
    "acceleration.torque_curve": (2, 400), "cooler.fan_curve": (2, 40), "fan.curve": (2, 40),
    "fan.parts": (1, 20), "heat_shield.shields": (1, 2), "course.torque_curve": (2, 400),
    "course.legs": (1, 200),
    "clutch.friction_by_temperature": (2, 30), "decision.requires": (1, 40), "duct.segments": (1, 40),
    "exhaust.segments": (1, 40), "ram_air.segments": (1, 40), "flywheel.rings": (1, 60),
    "header.sections": (1, 12), "measured.readings": (1, 400), "parts.rates": (1, 200),
    "parts.parts": (1, 200), "power_run.pulls": (4, 4000), "printed_part.inserts": (1, 40),
    "rivet_line.places": (1, 60), "rivet_line.sheets": (2, 2), "sheet_bend.bends": (1, 6),
    "sheet_bend.rivet_rows": (1, 8), "development.rivet_rows": (1, 8),
    "sheet_bend.flanges": (2, 7), "sheet_bend.holes": (1, 40),
    "sheet_bend.sides": (1, 2), "survey.points": (1, 60),
    "survey.gaps": (1, 60),
    "timed_run.stopwatch": (1, 400), "timed_run.spans": (1, 8), "weight_balance.changes": (1, 200),
    "tube_set.stock": (1, 24), "tube_set.tubes": (1, 24), "tube_set.pieces": (1, 120),
    "wheel_fit.points": (1, 20),
}  # fmt: skip
"""How few and how many rows each table takes: a curve needs two points, a run of power four rows."""


def test_a_table_takes_so_many_rows() -> None:
    tables = {
        f"{kind}.{name}": declared.form
        for kind in KINDS
        for name, declared in inputs_of(kind).items()
        if isinstance(declared.form, Table)
    }
    assert set(tables) == set(ROWS)
    for name, (fewest, most) in ROWS.items():
        wanted = f"{fewest} to {most}" if fewest < most else f"{most}, neither more nor fewer"
        for count, is_taken in ((fewest, True), (most, True), (fewest - 1, False), (most + 1, False)):
            read = reader()
            rows = (YamlScalar(HERE, ""),) * count
            read.read(YamlList(HERE, rows), tables[name], ("rows",))
            found = [fault.expected for fault in read.faults if fault.found == _counted(count)]
            assert found == ([] if is_taken else [wanted]), (name, count)


def test_a_block_takes_twenty_logs_of_one_sort() -> None:
    logged = [one.form for kind in KINDS for one in inputs_of(kind).values() if isinstance(one.form, Logged)]
    assert len(logged) == 9
    assert {form.bounds for form in logged} == {(1, 20)}


TEXTS = {
    "bolted_joint.thread": 20, "course.legs.name": 80, "decision.requires.name": 80,
    "decision.requires.key": 40, "development.material": 60, "development.revision": 20,
    "development.rivet_rows.name": 24, "development.rivet_rows.piece": 24,
    "duct.segments.name": 24, "exhaust.segments.name": 24,
    "exhaust.segments.path": 24, "exhaust.branch_at": 24, "fan.parts.name": 60,
    "heat_shield.shields.name": 60, "flywheel.rings.name": 80,
    "header.sections.name": 80, "measured.readings.condition": 40, "measured.readings.run": 20,
    "measured.readings.note": 200, "measured.condition": 40, "parts.parts.name": 80, "parts.parts.part": 80,
    "parts.parts.part_number": 60, "parts.parts.supplier": 80, "parts.parts.link": 500,
    "power_run.pulls.pull": 40, "power_run.dynamometer": 60,
    "printed_part.inserts.name": 24, "ram_air.segments.name": 24,
    "rivet_line.places.name": 24, "rivet_line.sheets.name": 24,
    "sheet_bend.bends.name": 24, "sheet_bend.flanges.name": 24, "sheet_bend.holes.name": 24,
    "sheet_bend.rivet_rows.name": 24, "sheet_bend.rivet_rows.flange": 24,
    "sheet_bend.holes.flange": 24, "sheet_bend.revision": 24, "sheet_bend.sides.name": 24,
    "sheet_bend.sides_on": 24,
    "survey.points.name": 40, "survey.points.mirror_of": 40, "survey.gaps.name": 40,
    "timed_run.stopwatch.condition": 40, "timed_run.stopwatch.direction": 20,
    "timed_run.stopwatch.note": 200, "timed_run.spans.name": 40, "timed_run.condition": 40,
    "tube_set.stock.name": 40, "tube_set.tubes.name": 40, "tube_set.pieces.name": 40,
    "tube_set.pieces.tube": 40, "tube_set.pieces.cut_from": 40, "tube_set.pieces.section": 40,
    "weight_balance.changes.name": 80, "wheel_fit.points.name": 80,
}  # fmt: skip
"""The characters of each text. A name is short where a chart has it beside a curve."""


def test_a_text_may_be_so_long() -> None:
    forms = {
        f"{kind}.{name}": declared.form
        for kind in KINDS
        for name, declared in inputs_of(kind).items()
        if isinstance(declared.form, Text) and declared.form.of != "date"
    }
    assert set(forms) == set(TEXTS)
    for name, most in TEXTS.items():
        start = "https://example.org/" if forms[name].is_link else ""
        longest = start + "x" * (most - len(start))
        assert reader().read(YamlScalar(HERE, longest), forms[name], (name,)) == longest
        refused = reader()
        assert refused.read(YamlScalar(HERE, f"{longest}x"), forms[name], (name,)) is FAILED, name


# --- how finely a card shows a quantity -----------------------------------------------------------------

DECIMALS = {
    "": 1, "%": 1, "count": 0, "N": 0, "kN": 1, "N·m": 1, "W": 0, "kW": 1, "kJ": 1, "rpm": 0, "rpm/s": 0,
    "km/h": 1, "km/h/1000 rpm": 2, "m/s": 1, "rad/s²": 0, "kg": 1, "kg·m²": 4, "kg/m": 3, "kg/m³": 4,
    "kg/s": 4, "g/s": 1, "m³/s": 4, "l/min": 2, "mm": 1, "in": 1, "m": 3, "km": 0, "mm²": 1, "cm²": 0,
    "s": 2, "ms": 3, "µs": 4, "h": 1, "°": 0, "°C": 1, "K": 0, "Pa": 0, "hPa": 1, "kPa": 2, "bar": 0,
    "MPa": 0, "Hz": 1, "dB": 1, "W/(m²·K)": 1, "J/mm²": 3, "W/mm²": 2, "N·s²/m²": 3,
    "mm⁴": 0, "m²": 4, "cm³": 1, "g": 0, "W/K": 0, "W/m²": 0, "A": 1,
}  # fmt: skip
"""The decimals that a quantity is shown with, by its unit: about the last digit that a workshop can know."""
FINER_OR_COARSER = {
    # torques that are estimates, and shares that are compared with a whole
    "N·m 0": "acceleration.peak_torque bolted_joint.slip_torque forced_induction.boosted_torque "
    "forced_induction.clutch_margin forced_induction.gearbox_margin rattle.torque_swing rattle.firing_torque",
    "% 0": "bracket.yield_use bolted_joint.proof_share bolted_joint.yield_share bolted_joint.stripping_share "
    "bolted_joint.rivet_shear_share bolted_joint.rivet_tension_share clutch.pressure_share "
    "clutch.energy_share clutch.power_share course.full_throttle_share course.tyre_limited_share "
    "course.braking_share course.limiter_share exhaust.branch_pressure_at_place fan.efficiency "
    "fan.free_flow_share flywheel.stress_share "
    "log_compare.share_compared rivet_line.greatest_use rivet_line.shear_use rivet_line.tension_use "
    "rivet_line.combined_use rivet_line.bearing_use rivet_line.bearing_use_aircraft rivet_line.edge_use "
    "rivet_line.net_use side_chamber.helmholtz_pressure_at_place "
    "side_chamber.quarter_wave_pressure_at_place sheet_bend.bending_strength_left sheet_bend.score_strain "
    "test_plan.power_planned "
    "tube_set.waste_share",
    # changes of a per cent or less
    "% 2": "charge_temperature.density_change charge_temperature.power_change_density_rule "
    "charge_temperature.power_change_square_root_rule charge_temperature.duct_power_change_density_rule "
    "charge_temperature.duct_power_change_square_root_rule duct.loss_share gearing.odometer_error "
    "log_gearing.difference log_gearing.among_gears printed_part.scale power_run.repeatability "
    "ram_air.density_gain ram_air.power_bound side_chamber.lumping_error",
    # numbers: whole ones, reserves, coefficients, and those near one
    " 0": "charge_temperature.reynolds_number duct.reynolds_number course.cost_of_a_second "
    "parts.cost_per_kilogram_saved",
    " 2": "bolted_joint.preload_scatter bolted_joint.slip_reserve bolted_joint.rivet_reserve "
    "bracket.stress_raiser clutch.reserve "
    "clutch.shock_reserve clutch.worn_reserve clutch.linkage_ratio clutch.hot_reserve_at "
    "exhaust.excess_air_ratio exhaust.drone_order header.excess_air_ratio log_compare.speed_correlation "
    "ram_air.capture_ratio rattle.rattle_ratio splash_trap.carrying_ratio test_plan.effect_size "
    "parts.line_cost printed_part.filament_cost parts.cost_bought parts.cost_made parts.cost_total",
    " 3": "acceleration.mass_factor clutch.rating_friction clutch.slip_friction clutch.hot_friction_at "
    "duct.bore_factor duct.loss_coefficient exhaust.mach_number exhaust.loss_coefficient "
    "forced_induction.density_ratio gearing.overall_ratio gearing.step log_gearing.overall_ratio "
    "log_gearing.final_drive sheet_bend.correction_factor sheet_bend.k_factor_used "
    "side_chamber.chamber_in_wavelengths",
    " 4": "charge_temperature.transfer_units gearing.indicated_over_true header.heat_capacity_ratio "
    "instrument_lag.correlation instrument_lag.correlation_unshifted power_run.correction_factor "
    "side_chamber.helmholtz_loss_resistance side_chamber.quarter_wave_loss_resistance "
    "wheel_fit.indicated_over_true",
    # an effective number is no whole one
    "count 1": "log_compare.independent_readings log_compare.bin_independent_before "
    "log_compare.bin_independent_after",
    # light parts are weighed on kitchen scales
    "kg 2": "exhaust.segment_mass exhaust.mass flywheel.mass flywheel.ring_mass parts.line_mass "
    "parts.mass_fitted parts.mass_removed parts.mass_change tube_set.mass",
    # a thread's diameters as its standard has them; pipes, pedals and plans to the millimetre
    "mm 3": "bolted_joint.pitch_diameter bolted_joint.root_diameter",
    # what goes into a bend is a length that three of them add up to; ends of tubes are marked by a vernier
    "mm 2": "bracket.sag bracket.shock_sag development.wrap_length development.rolled_length "
    "development.cut_height "
    "development.cut_height_outside development.cut_height_inside development.segment_height "
    "development.cut_depth rivet_line.hole_clearance rivet_line.least_thickness "
    "splash_trap.largest_drop_carried sheet_bend.bend_allowance sheet_bend.bend_allowance_din "
    "sheet_bend.allowance_difference sheet_bend.bend_deduction sheet_bend.bend_deduction_din "
    "sheet_bend.setback sheet_bend.least_inside_radius sheet_bend.radius_reserve sheet_bend.tool_radius "
    "sheet_bend.side_radius_reserve sheet_bend.thickness_left tube_set.outside_wall printed_part.length_lost",
    "° 1": "development.bend_angle sheet_bend.fold_angle sheet_bend.overbend sheet_bend.side_fold_angle "
    "tube_set.bend_angle tube_set.end_heading tube_set.end_pitch tube_set.kink_at_end",
    "mm 0": "tube_set.waste "
    "clutch.pedal_travel exhaust.branch_length header.primary_length header.effective_length "
    "header.equivalent_length heat_shield.shadow_width heat_shield.shadow_overlap "
    "weight_balance.right_of_centre weight_balance.height_error_per_kilogram "
    "weight_balance.right_of_centre_after",
    "m 1": "course.radius printed_part.filament_length",
    "MPa 1": "printed_part.usable_strength",
    "g 1": "printed_part.mass",
    "m 0": "course.course_length",
    # parts of sheet are weighed in grams
    "kg 3": "bracket.bracket_mass development.mass sheet_bend.mass tube_set.tube_mass",
    "cm² 1": "clutch.friction_area development.surface_area development.sheet_area",
    "° 2": "development.sector_angle development.mitre_angle",
    # slow, fast and short
    "m/s 2": "cooler.face_speed duct.face_velocity splash_trap.mean_updraught splash_trap.updraught "
    "splash_trap.terminal_velocity",
    "km/h 2": "log_gearing.offset",
    "km/h/1000 rpm 3": "log_gearing.speed_per_1000",
    "s 1": "acceleration.coast_down_time",
    "s 3": "course.time_for_added_mass instrument_lag.lag instrument_lag.dead_time "
    "instrument_lag.time_constant",
    "Hz 0": "bracket.natural_frequency exhaust.branch_bandwidth header.pipe_frequency",
    "dB 0": "exhaust.branch_transmission_loss",
    # heat, air that was guessed, and pressure
    "kg/s 3": "cooler.air_mass_flow fan.mass_flow",
    "m³/s 3": "fan.volume_flow",
    "°C 0": "clutch.face_temperature_at cooler.covered_air_temperature heat_shield.shield_temperature",
    "K 1": "charge_temperature.temperature_change charge_temperature.above_ambient clutch.plate_rise "
    "cooler.temperature_margin heat_shield.limit_margin printed_part.softening_margin "
    "printed_part.vicat_margin printed_part.glass_margin printed_part.sun_margin",
    "K 2": "charge_temperature.duct_warming ram_air.ram_heating",
    "kPa 0": "clutch.mean_pressure clutch.greatest_pressure",
    "kPa 1": "forced_induction.charge_pressure forced_induction.boost",
    "bar 1": "clutch.line_pressure",
    "kW 2": "forced_induction.compressor_power forced_induction.cooler_heat",
    "kg/m³ 3": "fan.air_density forced_induction.charge_density",
}


def test_a_quantity_is_shown_as_finely_as_others_of_its_unit_but_for_those_named() -> None:
    named = {
        name: (key.rpartition(" ")[0], int(key.rpartition(" ")[2]))
        for key, names in FINER_OR_COARSER.items()
        for name in names.split()
    }
    numbers = {name: output for name, output in outputs() if output.dimension not in ("text", "its own")}
    assert set(named) <= set(numbers)
    for name, output in numbers.items():
        unit = output.unit or ("count" if output.dimension == "count" else "")
        assert (unit, output.decimals) == named.get(name, (unit, DECIMALS[unit])), name


# --- changes, columns, words that lead ------------------------------------------------------------------

CHANGES = {
    "charge_temperature": "temperature_change density_change power_change_density_rule "
    "power_change_square_root_rule duct_power_change_density_rule duct_power_change_square_root_rule",
    "forced_induction": "gain_by_charge torque_change",
    "log_compare": "difference plain_difference speed_effect drive_offset largest_outlier bin_difference",
    "log_gearing": "offset difference among_gears",
    "measured": "off off_of change",
    "parts": "mass_change",
    "ram_air": "density_gain",
    "sheet_bend": "flat_length_difference allowance_difference",
    "survey": "shift_x shift_y shift_z off_x off_y off_z mirror_shift_x mirror_shift_y mirror_shift_z "
    "mirror_x mirror_y mirror_z gap_off",
    "timed_run": "direction_difference",
    "tube_set": "length_off_mean",
    "weight_balance": "weighbridge_closure low_axle_gain front_axle_change rear_axle_change",
    "wheel_fit": "track_change radius_change",
}
"""What is a change by itself, so that “7.9 kg lighter” is −7.9 kg."""
BESIDE = {
    "fan": "clearance spare_clearance",
    "development": "line_length bend_angle station_mark cut_height cut_height_outside cut_height_inside "
    "segment_height",
    "heat_shield": "shield_temperature shadow_width shadow_overlap",
    "log_compare": "level drives share_compared readings independent_readings speed_correlation "
    "drive_offset outliers largest_outlier bin_difference bin_weight bin_readings_before "
    "bin_readings_after bin_independent_before bin_independent_after",
    "measured": "mean_of deviation_of lowest_of highest_of off_of over_least_of under_most_of change",
    "printed_part": "insert_hole hole_depth wall_reserve",
    "tube_set": "cut_length tube_length length_off_mean straight_length bend_angle tube_mass end_x end_y "
    "end_z end_heading end_pitch gap_at_end kink_at_end centre_length outside_mark inside_mark chord "
    "rotation_mark cut_begins cut_ends piece_mass stock_needed least_possible waste waste_share outside_wall "
    "mean_section_length section_bore",
    "timed_run": "mean_time deviation direction_difference level_time best_time runs direction_mean "
    "direction_deviation",
}
"""What stands in one table with others of its key."""
LEADING = {
    "log_compare": "finding",
    "measured": "verdict verdict_of shown",
    "rivet_line": "governs",
    "sheet_bend": "bend_order",
}
"""The words that are the answer, which stand over the numbers."""


def _named(table: dict[str, str]) -> set[str]:
    return {f"{kind}.{name}" for kind, names in table.items() for name in names.split()}


def test_what_is_a_change_what_stands_beside_and_what_leads() -> None:
    assert {name for name, output in outputs() if output.is_change} == _named(CHANGES)
    assert {name for name, output in outputs() if output.beside} == _named(BESIDE)
    assert {name for name, output in outputs() if output.leading} == _named(LEADING)


def test_what_the_trade_counts_goes_by_numbers() -> None:
    """Gears and cylinders; what an author names or asks for goes by its name."""
    counted = {
        f"{kind}.{name}"
        for kind in KINDS
        for name, declared in inputs_of(kind).items()
        if declared.form.is_counted
    }
    gears = {f"{kind}.gears" for kind in KINDS if "gears" in inputs_of(kind)}
    assert counted == gears | {
        "header.firing_order",
        "header.firing_intervals",
        "header.collector_cylinders",
    }
