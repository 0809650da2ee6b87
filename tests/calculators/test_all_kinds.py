"""What every kind keeps: its manual's example computes, its working is whole, and units do not matter.

The unit check is an outside one in the sense that the factors are those held to NIST SP 811 in
tests/test_units_factors.py: the same inputs written in any other unit must give the same results.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import cycle
from pathlib import Path
from typing import NoReturn

import pytest

from buildlog.book.book import Book
from buildlog.book.evaluation import Evaluation
from buildlog.charts.data import check
from buildlog.diagnostics import Position
from buildlog.figures import units
from buildlog.figures.values import parse_value
from buildlog.formulae.formula import formula_of
from buildlog.formulae.function_source import reading_fault
from buildlog.kinds import catalogue
from buildlog.kinds.chain import origins_of_steps
from buildlog.kinds.declaration import Input, InputForm, Listed, Measure, Number, Quantity, Table, Working
from buildlog.kinds.kind import Kind
from buildlog.kinds.money import inputs_in
from buildlog.kinds.results import BlockResult, Value
from buildlog.kinds.symbols import formulae_of, shown_symbols
from buildlog.reading.blocks import Block, read_block
from buildlog.reading.inputs import InputReader
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, whole_file
from buildlog.report.manual import manual_markdown, manual_text

KINDS = catalogue.kind_names()
ROOT = Path(__file__).resolve().parents[2]


@cache
def block_of(kind: str) -> Block:
    return read_block(
        catalogue.load_kind(kind).examples[0], whole_file("example.md"), "example", Position("e.md")
    )


def nothing(*_: object) -> NoReturn:
    raise AssertionError("an example rests on itself alone")


def run(block: Block) -> BlockResult:
    return Evaluation(block, None, nothing, nothing).run()


def _doubted(inputs: tuple[Input, ...]) -> Iterator[Input]:
    for declared in inputs:
        if declared.doubt is not None:
            yield declared
        yield from _doubted(declared.form.row)


@pytest.mark.parametrize("kind", KINDS)
def test_the_manual_says_every_doubt(kind: str) -> None:
    """How far a model may be off, and how far an input is taken to be that says nothing of it."""
    declared = catalogue.load_kind(kind)
    for page in (manual_text(declared), manual_markdown(declared)):
        assert page.count("without ± it counts with ±") == len(list(_doubted(declared.inputs)))
        beside = [one.doubt for one in declared.inputs]
        for doubt in declared.doubts:
            assert doubt in beside or (doubt.size() in page and doubt.about in page)


@pytest.mark.parametrize("kind", KINDS)
def test_the_example_of_the_manual_computes(kind: str) -> None:
    result = run(block_of(kind))
    assert result.faults == ()
    assert result.cases
    assert result.kind == kind
    assert result.charts, "a kind has a chart"
    for spec in result.charts:
        assert spec.description.endswith(".")
        check(spec)


@pytest.mark.parametrize("kind", KINDS)
def test_every_output_has_its_step_and_every_step_its_source(kind: str) -> None:
    result = run(block_of(kind))
    sources = {source.id for source in catalogue.load_kind(kind).sources}
    for case in result.cases.values():
        names = {step.name for step in case.steps}
        assert {step.source for step in case.steps} <= sources
        for name, value in case.values.items():
            singles: dict[str, Value | str] = {name: value} if not isinstance(value, dict) else {}
            if isinstance(value, dict):
                singles = {f"{name}.{key}": single for key, single in value.items()}
            for address, single in singles.items():
                repeated = isinstance(single, str) or _is_input(list(case.inputs.values()), single)
                assert address in names or repeated, f"{kind}: {address} has no step"


def _is_input(inputs: list[object], value: Value) -> bool:
    """Whether a value is one of the inputs, or stands in a row of one that holds values of any dimension."""
    rows = [row for given in inputs if isinstance(given, list) for row in given if isinstance(row, dict)]
    measures = [cell for row in rows for cell in row.values() if isinstance(cell, Measure)]
    return any(isinstance(given, float) and given == value.si for given in [*inputs, *measures])


@cache
def demonstration() -> Book:
    return Book.open(root=ROOT)


@pytest.mark.parametrize("kind", KINDS)
def test_every_step_is_read_as_a_formula_or_says_how_its_value_is_found(kind: str) -> None:
    """In the example of the manual and in every block of the demonstration."""
    blocks = [
        run(block_of(kind)),
        *(block for block in demonstration().results.values() if block.kind == kind),
    ]
    functions = {step.function for block in blocks for case in block.cases.values() for step in case.steps}
    assert functions
    faults = sorted(filter(None, map(reading_fault, functions)))
    assert not faults, "\n".join([f"{kind}:", *faults])


def _blocks_of(kind: str) -> list[BlockResult]:
    """The example of the manual and every block of the demonstration."""
    shown = [block for block in demonstration().results.values() if block.kind == kind and block.cases]
    return [run(block_of(kind)), *shown]


@pytest.mark.parametrize("kind", KINDS)
def test_a_working_that_notes_nothing_gives_the_same_outputs(kind: str) -> None:
    """A case is computed with it again and again for its uncertainty: with no doubt moved, and with all."""
    compute = catalogue.load_kind(kind).compute
    for case in run(block_of(kind)).cases.values():
        noted = Working(place="a#b")
        compute(case.inputs, noted)
        assert noted.steps
        for shifts in ({}, dict.fromkeys(noted.doubted, 0.5)):
            told = Working(place="a#b", shifts=shifts)
            silent = Working(place="a#b", shifts=shifts, noted=False)
            assert compute(case.inputs, silent) == compute(case.inputs, told)
            assert not any((silent.steps, silent.remarks, silent.limits, silent.doubted))


@pytest.mark.parametrize("kind", KINDS)
def test_every_symbol_of_a_working_says_what_it_stands_for_and_its_unit(kind: str) -> None:
    unsaid = set()
    for block in _blocks_of(kind):
        taken = {
            (step.function, name)
            for case in block.cases.values()
            for step in case.steps
            for name in step.arguments
        }
        for function, formula in formulae_of(block).items():
            for row in formula.symbols:
                seen = row.kind == "result" or (not formula.in_words and row.kind != "given")
                if (seen or (function, row.name) in taken) and not (row.about and row.unit):
                    unsaid.add(f"{function.__module__}.{formula.name}: {row.symbol}: {row.about}, {row.unit}")
    assert not unsaid, "\n".join(sorted(unsaid))


@pytest.mark.parametrize("kind", KINDS)
def test_no_symbol_of_a_card_stands_for_quantities_of_two_units(kind: str) -> None:
    """And what one formula tells apart, no other mixes up: a speed and an area are not one “a”."""
    for block in _blocks_of(kind):
        units_of: dict[str, set[str]] = {}
        for formula in formulae_of(block).values():
            rows = shown_symbols(formula)
            for row in rows:
                units_of.setdefault(row.symbol, set()).add(row.unit)
            others = [row.symbol for row in rows if row.kind != "result"]
            assert len(set(others)) == len(others), formula.name
        assert [symbol for symbol, found in units_of.items() if len(found) > 1] == [], block.id


def test_a_symbol_that_two_formulae_use_for_two_things_is_told_apart() -> None:
    """In the header's card the field writes a for the speed of sound and for a coefficient of Cp, z for
    cylinders and for the oxygen of the fuel."""
    block = next(block for block in demonstration().results.values() if block.kind == "header")
    said: dict[str, set[str]] = {}
    for formula in formulae_of(block).values():
        for row in shown_symbols(formula):
            said.setdefault(row.symbol, set()).add(row.about)
    assert "speed of sound" in said["a"]
    assert said["a′"] == {"constant part without nitrogen"}
    assert said["z"] == {"cylinders"}
    assert said["z′"] == {"oxygen atoms per carbon atom"}


@pytest.mark.parametrize("kind", KINDS)
def test_what_leads_to_a_step_is_the_very_number_that_it_took(kind: str) -> None:
    for block in _blocks_of(kind):
        for case in block.cases.values():
            for place, (step, origins) in enumerate(zip(case.steps, origins_of_steps(case), strict=True)):
                for name, origin in origins.items():
                    for earlier in origin.steps:
                        assert earlier < place
                        assert case.steps[earlier].result == step.arguments[name]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_loads(kind: str) -> None:
    known = catalogue.load_kind(kind)
    assert known.name == kind
    assert catalogue.load_kind(kind) is known, "it is made once, so that caches can ask for it"


@pytest.mark.parametrize("kind", KINDS)
def test_every_step_of_the_example_shows_its_formula(kind: str) -> None:
    for case in run(block_of(kind)).cases.values():
        for step in case.steps:
            assert formula_of(step.function).text(step.arguments)


def _defaults(inputs: tuple[Input, ...]) -> Iterator[Input]:
    for declared in inputs:
        if declared.default is not None:
            yield declared
        yield from _defaults(declared.form.row)


@pytest.mark.parametrize("kind", KINDS)
def test_every_default_can_be_read_by_its_form(kind: str) -> None:
    """Of a column too. The reader stands on a higher floor than the check of a `Kind`, so this is a test."""
    for declared in _defaults(inputs_in(catalogue.load_kind(kind).inputs, "EUR")):
        reader = InputReader(resolve=nothing, data=nothing)
        reader.read(YamlScalar(Position(kind), declared.default or ""), declared.form, (declared.name,))
        assert not reader.faults, f"{kind}: the default of {declared.name}: {reader.faults}"


@pytest.mark.parametrize("kind", KINDS)
def test_units_do_not_matter(kind: str) -> None:
    """Every number of the example in each other unit of its dimension: the same results to 1e-9."""
    block, known = block_of(kind), catalogue.load_kind(kind)
    first = run(block)
    lists = {one.name for one in known.inputs if one.form.number is None and one.form.item is not None}
    by_value = {output.name for output in known.outputs if (output.of or output.key) in lists}
    tried = 0
    for turn in range(3):
        changed = Block(
            page=block.page,
            id=block.id,
            kind=block.kind,
            position=block.position,
            inputs=_rewritten(block.inputs, known, turn),
            cases={name: _rewritten(case, known, turn) for name, case in block.cases.items()},
        )
        second = run(changed)
        assert second.faults == ()
        for name, case in first.cases.items():
            for output, value in case.outputs.items():
                other = second.cases[name].outputs[output]
                if isinstance(value, str) or any(isinstance(single, str) for single in _singles(value)):
                    assert other == value or isinstance(value, str), f"{kind}: {name} {output}"
                    continue
                if isinstance(value, dict) and output in by_value:  # which goes by how it is written
                    value, other = list(value.values()), list(other.values())
                assert other == pytest.approx(value, rel=1e-9, abs=1e-12), f"{kind}: {name} {output}"
                tried += 1
    assert tried


def _singles(value: object) -> list[object]:
    return list(value.values()) if isinstance(value, dict) else [value]


def _rewritten(named: object, known: Kind, turn: int) -> dict[str, tuple[YamlScalar, YamlNode]]:
    forms = {one.name: one.form for one in known.inputs}
    return {
        name: (key, _other(node, forms[name], turn))
        for name, (key, node) in named.items()  # type: ignore[attr-defined]
    }


def _other(node: YamlNode, form: InputForm, turn: int) -> YamlNode:
    """A node with its number in another unit; tooth counts and ratios stay."""
    if isinstance(form, Listed) and isinstance(node, YamlList):
        return YamlList(node.position, tuple(_other(item, form.of, turn) for item in node.items))
    if isinstance(form, Table) and form.plain and isinstance(node, YamlMapping):
        return YamlMapping(node.position, tuple((key, _other(one, form, turn)) for key, one in node.entries))
    if isinstance(form, Table) and form.plain and isinstance(node, YamlList):
        plain = next(column.form for column in form.columns if column.name == form.plain)
        return YamlList(node.position, tuple(_other(item, plain, turn) for item in node.items))
    if isinstance(form, Table) and isinstance(node, YamlList):
        return YamlList(node.position, tuple(_row(item, form.columns, turn) for item in node.items))
    if not isinstance(form, Number | Quantity) or not isinstance(node, YamlScalar):
        return node
    if isinstance(form, Quantity):
        form = Number(dimension=units.find(parse_value(node.text).unit).dimension, unit="")
    if form.dimension in ("ratio", "count") or form.dimension.startswith("money"):
        return node  # they have one unit
    if node.text in ("none",) or "±" in node.text:
        return node
    written = parse_value(node.text)
    si = units.find(written.unit, form.dimension).to_si(float(written.number.value))
    others = [unit for unit in units.units_of(form.dimension) if unit.symbol]
    unit = next(one for index, one in enumerate(cycle(others)) if index >= turn)
    text = f"{unit.from_si(si):.17g}".replace("e", "e")
    return YamlScalar(node.position, f"{text} {unit.symbol}")


def _row(node: YamlNode, columns: tuple[Input, ...], turn: int) -> YamlNode:
    forms = {column.name: column.form for column in columns}
    assert isinstance(node, YamlMapping)
    entries = tuple((key, _other(value, forms[key.text], turn)) for key, value in node.entries)
    return YamlMapping(node.position, entries)


# --- how sure a model is ---------------------------------------------------------------------

DEFINITIONS = {
    "instrument_lag": "what a log leaves open is in the scatter of its blocks",
    "parts": "sums of what was weighed and paid",
    "decision": "differences of values that bring their uncertainty along",
    "survey": "differences of places as they were measured",
    "measured": "means and differences of readings, whose scatter is theirs",
    "log_compare": "means and differences of what was logged, in doubt by their scatter",
}
"""Kinds without a doubt of the method, with the reason: none of their formulae is a model."""

NOT_YET: frozenset[str] = frozenset()
"""Kinds whose models do not say yet how far they may be off."""

EXACT = {
    # Read off the curve as it was given, or an input once more.
    "acceleration": "peak_torque peak_torque_revs peak_power_revs peak_power launch_torque lock_up_speed",
    # A core by the walls as told; holes of a chart, and a wall as its author measured it.
    "printed_part": "core_volume insert_hole hole_depth wall_reserve",
    # A thread's dimensions by its standard; the same doubt at both ends of the friction.
    "bolted_joint": "pitch_diameter root_diameter stress_area proof_load preload_scatter",
    # Newton's law, factors by given sizes, and what the metal's own strengths make.
    "bracket": "force slenderness_limit",
    # The first reading as it is, the gas law, and a definition.
    "charge_temperature": "true_temperature_before density_before reynolds_number",
    # Loads as measured, levers and areas; torque times speed; the two ends of a rule of thumb.
    "clutch": "clamp_load friction_area mean_pressure greatest_pressure pressure_share release_load "
    "crank_thrust linkage_ratio pedal_force line_pressure pedal_travel slip_power power_per_area power_share "
    "lock_up_speed break_in_distance",
    # Of a tube's outside and inside as given; a seam between flat walls, and what goes by angles.
    "development": "wrap_length mitre_angle middle_length cut_height cut_height_outside cut_height_inside "
    "cut_depth cut_length hole_length hole_width seam_length slant_height sector_angle",
    # Of given legs; a count of intervals on the limiter.
    "course": "course_length limiter_share",
    # The gas law, and swept volume by revs and filling as they were given.
    "duct": "air_density volume_flow mass_flow",
    # Lengths and sections as given; a tone as it was heard; expansion by a coefficient as given.
    "exhaust": "mass total_growth mass_per_metre segment_mass thermal_growth engine_order tone_frequency "
    "drone_order",
    # Of rings as they were measured.
    "flywheel": "ring_mass ring_inertia radius_of_gyration rim_speed free_ring_stress average_hoop_stress",
    "forced_induction": "charge_pressure boost",
    "gearing": "overall_ratio step rpm_after rpm_drop",
    # Angles of the crank.
    "header": "firing_angle pair_interval exhaust_duration valve_overlap collector_interval step_reflection",
    # The gas law and the stagnation state of a perfect gas; revs by the gear; swept volume.
    "ram_air": "ambient_pressure ambient_density air_drawn engine_speed dynamic_pressure ram_pressure "
    "ram_heating inlet_temperature air_mass_drawn air_caught capture_ratio",
    # Places, rules and strengths as they were given.
    "rivet_line": "centroid_along centroid_across shear_resistance bearing_resistance_aircraft "
    "edge_resistance net_resistance edge_in_diameters pitch_in_diameters row_pitch_in_diameters "
    "diameter_in_thicknesses least_edge least_pitch most_pitch grip hole_clearance",
    # What the pulls scattered by, which is itself what tells of doubt.
    "power_run": "repeatability",
    # Counts of rows.
    "log_gearing": "share share_in_none share_stopped readings",
    # A count by definition.
    "rattle": "firing_events",
    # By the thickness's row of a handbook, or as given.
    "sheet_bend": "relief_hole_diameter",
    "side_chamber": "firing_order",
    "splash_trap": "mean_updraught head_left",
    # What the order makes of it; the runs as they were given.
    "test_plan": "runs_planned changeovers session_time drift_in_difference",
    # Counted.
    "timed_run": "runs",
    # Of rims and offsets as they are stamped; the measuring rim and the range of rims by their standard.
    "wheel_fit": "outer_lip_movement inner_lip_movement track_change measuring_rim narrowest_rim widest_rim "
    "rim_clearance_inside_left",
    # What is to be marked and bought, by the lengths and angles as they are given.
    "tube_set": "centre_length outside_mark inside_mark chord rotation_mark cut_begins cut_ends stock_needed "
    "least_possible waste waste_share straight_length bend_angle",
}
"""Results that are definitions: with inputs that are exact, as in the example, they are exact too."""


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_says_how_far_its_models_may_be_off(kind: str) -> None:
    without = kind in DEFINITIONS or kind in NOT_YET
    assert bool(catalogue.load_kind(kind).doubts) != without


@pytest.mark.parametrize("kind", sorted(set(KINDS) - set(DEFINITIONS) - NOT_YET))
def test_no_result_of_a_model_is_without_uncertainty(kind: str) -> None:
    """In the example of the manual; what is a definition is named above, and nothing else."""
    certain: set[str] = set()
    uncertain: set[str] = set()
    for case in run(block_of(kind)).cases.values():
        for name, value in case.values.items():
            for single in value.values() if isinstance(value, dict) else [value]:
                if isinstance(single, Value):
                    seen = single.expanded_uncertainty > 1e-9 * abs(single.si)
                    (uncertain if seen else certain).add(name)
    assert certain - uncertain <= set(EXACT.get(kind, "").split())


# A decision has none: those that its values bring along are their own blocks'.
@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"decision"}))
def test_every_doubt_that_a_working_asks_for_is_declared(kind: str) -> None:
    """A decision declares none: it hands on those of the blocks that its values come from."""
    declared = KINDS if kind == "decision" else (kind,)
    known = {doubt.name for one in declared for doubt in catalogue.load_kind(one).doubts}
    blocks = [run(block_of(kind)), *(one for one in demonstration().results.values() if one.kind == kind)]
    doubted = [doubt for one in blocks for case in one.cases.values() for doubt in case.doubted.values()]
    # The scatter of readings and the doubt of an instrument are a log's own.
    asked = {doubt.name for doubt in doubted if not doubt.own}
    assert asked <= known


def test_every_kind_is_used_in_the_demo() -> None:
    used = {
        line.split(":", 1)[1].strip()
        for page in (ROOT / "content" / "episodes").glob("*.md")
        for line in page.read_text("utf-8").splitlines()
        if line.strip().startswith("kind:")
    }
    assert used == set(KINDS)
