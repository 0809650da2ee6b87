"""One block evaluated: where each input comes from, what is said of what is missing or unknown and where,
which addresses a block names, and that two cases tell a fault of the block once.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.book import read_page
from buildlog.book.evaluation import car_in_words, references, source_text
from buildlog.diagnostics import Diagnostic
from buildlog.kinds.results import BlockResult
from buildlog.reading.nodes import read_yaml, whole_file
from tests.samples import calc, open_site

CAR = """\
name: Test car
about: Invented for the tests.
state: standard
inputs:
  gears: [2.0, 1.0]
  tyre: 195/50R15
  rev_limit: 6000 rpm
  final_drive: 4.10
  vehicle_mass: 700 kg
changes:
  - state: shorter
    since: the shorter final drive
    inputs: {final_drive: 4.50}
"""


def result_of(folder: Path, block: str, **files: str) -> BlockResult:
    book = open_site(folder, {"a.md": calc(block), "cars/test.yml": CAR, **files})
    result = book.result("a", "a")
    assert result is not None
    return result


def faults_of(folder: Path, block: str) -> list[Diagnostic]:
    return list(result_of(folder, block).faults)


ORIGINS = """
    id: a
    kind: gearing
    car: test
    find: final_drive
    so_that: {speed_at_limit.2: 40 m/s}
    between: [3, 6]
    inputs:
      tyre: none
      rolling_circumference: calc:b.rolling_circumference
      shift_revs: [5500 rpm,  5800 rpm]
    cases:
      short: {gears: [2.5, 1.0]}
      old: {state: standard}
"""
OTHER = """
    id: b
    kind: gearing
    inputs: {gears: [1.0], rolling_circumference: 1.8 m, rev_limit: 6000 rpm, final_drive: 4}
"""


def test_where_each_input_comes_from(tmp_path: Path) -> None:
    """The case over the block over the car's sheet; `none` leaves a value of the car out."""
    block = ORIGINS.replace(
        "    find: final_drive\n    so_that: {speed_at_limit.2: 40 m/s}\n    between: [3, 6]\n", ""
    )
    block = block.replace("      shift_revs: [5500 rpm,  5800 rpm]\n", "")
    page = calc(block) + "\n" + calc(OTHER)
    book = open_site(tmp_path, {"a.md": page, "cars/test.yml": CAR})
    result = book.result("a", "a")
    assert result is not None
    assert result.faults == ()
    told = {
        case: {name: (one.origin, one.written, one.reference) for name, one in found.given.items()}
        for case, found in result.cases.items()
    }
    circumference = ("calc", "calc:b.rolling_circumference", "calc:b.rolling_circumference")
    assert told["short"]["gears"] == ("case", "[2.5, 1.0]", "")
    assert told["old"]["gears"] == ("car", "[2.0, 1.0]", "test, standard")
    assert told["short"]["final_drive"] == ("car", "4.50", "test")
    assert told["old"]["final_drive"] == ("car", "4.10", "test, standard")
    for case in ("short", "old"):
        assert told[case]["rolling_circumference"] == circumference
        assert told[case]["rev_limit"][:2] == ("car", "6000 rpm")
        assert not {"tyre", "vehicle_mass"} & told[case].keys()  # left out; of no use to this kind
    default = {name: one for name, one in told["old"].items() if one[0] == "default"}
    for name, (_, written, reference) in default.items():
        declared = next(one for one in result.calculator.inputs if one.name == name)  # type: ignore[union-attr]
        assert (written, reference) == (declared.default, declared.default_source)
        assert result.cases["old"].given[name].position is None


def test_what_is_sought_comes_from_the_goal(tmp_path: Path) -> None:
    """v = n U / i: for 40 m/s with 1.8 m and 6000 rpm, i = 100 · 1.8 / 40 = 4.5."""
    block = """
        id: a
        kind: gearing
        find: final_drive
        so_that: {speed_at_limit.2: 40 m/s}
        between: [3, 6]
        inputs: {gears: [2.0, 1.0], rolling_circumference: 1.8 m, rev_limit: 6000 rpm}
    """
    (case,) = result_of(tmp_path, block).cases.values()
    found = case.given["final_drive"]
    assert (found.origin, found.written, found.reference) == ("found", "", "speed_at_limit.2 = 40 m/s")
    assert next(iter(case.values)) == "final_drive"
    assert found.numbers == {}
    assert found.value == pytest.approx(4.5)


@pytest.mark.parametrize(
    ("block", "found"),
    [
        (
            # one finding for the block; at its inputs
            "id: a\nkind: gearing\ninputs: {gears: [2.0], tyre: 195/50R15, rev_limit: 6000 rpm}",
            [("missing-input", "no final_drive", "4:9")],
        ),
        (
            # one for each case, at the case that misses it
            "id: a\nkind: gearing\ninputs: {gears: [2.0], tyre: 195/50R15}\n"
            "cases: {x: {rev_limit: 6000 rpm}, y: {final_drive: 4.1}}",
            [
                ("missing-input", "no final_drive in case x", "5:13"),
                ("missing-input", "no rev_limit in case y", "5:39"),
            ],
        ),
        (
            # what cases share is told once
            "id: a\nkind: gearing\n"
            "inputs: {gears: [2.0], tyre: 195/50R15, rev_limit: 6000 rpm, final_drvie: 4}\n"
            "cases: {x: {final_drive: 4}, y: {final_drive: 4.1}}",
            [("unknown-input", "“final_drvie”", "4:62")],
        ),
        (
            "id: a\nkind: gearing\ncar: test\ncases: {x: {gear: [2.0]}, y: {gear: [3.0]}}",
            [("unknown-input", "“gear”", "5:13"), ("unknown-input", "“gear”", "5:31")],
        ),
        (
            "id: a\nkind: gearing\ncar: test\ninputs: {tyre: none, final_drive: none}",
            [("missing-input", "no final_drive", "5:9")],
        ),
        (
            # “none” in quotes is a word, and no leaving out
            "id: a\nkind: gearing\ncar: test\ninputs: {tyre: 'none'}",
            [("value-unreadable", "“none”", "5:16")],
        ),
        ("id: a\nkind: gaering\ncar: test", [("unknown-kind", "“gaering”", "3:7")]),
    ],
)
def test_what_is_missing_or_unknown(tmp_path: Path, block: str, found: list[tuple[str, str, str]]) -> None:
    result = result_of(tmp_path, block)
    told = [(one.code.name, one.found, f"{one.position.line}:{one.position.column}") for one in result.faults]
    assert told == found
    assert result.cases == {}  # nothing rests on half a block


def test_a_missing_input_says_what_it_is_and_where_it_may_stand(tmp_path: Path) -> None:
    (fault,) = faults_of(
        tmp_path, "id: a\nkind: gearing\ninputs: {gears: [2.0], tyre: 195/50R15, final_drive: 4}"
    )
    assert fault.expected.startswith("rev_limit: rotational speed, ")
    assert fault.help.endswith("; give it in the block, in the case, or in the car's sheet")


def test_what_the_car_has_and_the_block_has_no_use_for_can_be_left_out(tmp_path: Path) -> None:
    """A plate's mass alone says nothing: where the sheet gives it, it says how to leave it out."""
    clutch = """
        id: a
        kind: clutch
        {car}
        inputs:
          outer_diameter: 200 mm
          inner_diameter: 134 mm
          sliding_friction_low: 0.27
          sliding_friction_high: 0.38
          engine_torque: 168 N·m
          {own}
    """
    sheet = "name: Test car\nabout: Invented.\ninputs: {plate_mass: 2 kg}\n"
    for car, own in (("car: plate", ""), ("", "plate_mass: 2 kg")):
        block = calc(clutch.format(car=car, own=own))
        result = open_site(tmp_path, {"a.md": block, "cars/plate.yml": sheet}).result("a", "a")
        assert result is not None
        (fault,) = result.faults
        assert (fault.code.name, fault.found) == ("missing-input", "plate_mass without plate_faces")
        advice = "to leave out what the car's sheet has, write plate_mass: none in the block"
        assert (advice in fault.help) is bool(car)


def test_every_address_that_a_block_names() -> None:
    text = calc(
        """
            id: a
            kind: gearing
            find: final_drive
            so_that: {rpm_at.2: calc:goal.x}
            between: [calc:low.x, calc:high.x]
            sweep: tyre from calc:start.x to calc:stop.x by calc:step.x
            of: [rpm_at.2]
            inputs:
              one: calc:one.x
              list: [1 m, calc:two.x, {deep: calc:three.x}]
              text: recalc:no.x
            cases:
              c: {four: "calc:four.x", five: {in: [calc:five.x]}}
            """
    )
    (block,) = read_page("a", "a.md", text).blocks
    named = {text: str(place) for text, place in references(block)}
    assert set(named) == {
        f"calc:{name}.x"
        for name in ("goal", "low", "high", "start", "stop", "step", "one", "two", "three", "four", "five")
    }
    assert named["calc:two.x"] == "a.md:11:15"


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("12 kg", "12 kg"),
        ("'12   kg'", "12 kg"),
        ("[1 m,   2 m]", "[1 m, 2 m]"),
        ("[]", "[]"),
        ("{a: 1 m, b: [2, {c: 3}]}", "{a: 1 m, b: [2, {c: 3}]}"),
        ("{}", "{}"),
    ],
)
def test_a_value_is_shown_on_one_line_as_it_was_written(written: str, told: str) -> None:
    node, faults = read_yaml(written, whole_file("a.yml"))
    assert not faults
    assert node is not None
    assert source_text(node) == told


def test_a_car_and_its_state_in_words() -> None:
    assert car_in_words("brindle", None) == "brindle"
    assert car_in_words("brindle", 2) == "brindle, state 2"
    assert car_in_words("brindle", "standard") == "brindle, standard"


def test_a_title_and_what_is_shown_have_their_defaults(tmp_path: Path) -> None:
    plain = result_of(tmp_path, "id: a\nkind: gearing\ncar: test")
    assert plain.calculator is not None
    assert plain.title == plain.calculator.title
    assert plain.show == ("table", "chart", "working", "inputs")
    own = result_of(tmp_path, "id: a\nkind: gearing\ncar: test\ntitle: Mine\nshow: [table]")
    assert (own.title, own.show, own.car) == ("Mine", ("table",), "test")
    unknown = result_of(tmp_path, "id: a\nkind: gaering")
    assert (unknown.title, unknown.calculator) == ("a", None)


def test_none_is_a_word_where_an_input_has_it(tmp_path: Path) -> None:
    block = calc(
        """
        id: clip
        kind: printed_part
        inputs: {duty: holder, material: ASA, place_temperature: 60 °C, load: none}
        """
    )
    book = open_site(tmp_path, {"index.md": f"# Clip\n\n{block}\n"})
    assert not book.results["index", "clip"].faults
