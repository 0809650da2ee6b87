"""The record of computed figures, and what is said when one has moved: by an input, data or the program."""

from __future__ import annotations

import inspect
import random
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book import provenance
from buildlog.cli import main
from buildlog.diagnostics import Diagnostic, Severity
from buildlog.kinds import catalogue
from buildlog.physics import drivetrain, tyres
from buildlog.proof.drift import record_of
from buildlog.proof.proof import proof_book
from buildlog.reading.record import Hashes, Record, read_record, record_text
from tests.samples import GEARING, calc, open_site, write_site
from tests.systems import link

CAR = "name: Brindle\nabout: invented\ninputs: {rev_limit: 8200 rpm, tyre: 195/50R15}\n"
A = "# A\n\nThird: [135.5 km/h](calc:shorter-final.after.speed_at_limit.3).\n\n" + GEARING.replace(
    "inputs:\n", "car: brindle\ninputs:\n"
).replace("  tyre: 195/50R15\n  rev_limit: 8200 rpm\n", "")
B = "# B\n\n[](calc:launch.time_to_100)\n\n" + calc(
    """
    id: launch
    kind: acceleration
    inputs:
      torque_curve: {data: runs/before.csv}
      rev_limit: 8200 rpm
      gears: [3.3, 2.0, 1.4, 1.1, 1.0]
      final_drive: 41/9
      rolling_circumference: calc:a#shorter-final.after.rolling_circumference
      engine_inertia: 0.2 kg·m²
      wheel_inertia: 0.72 kg·m²
      driveline_efficiency: 90 %
      vehicle_mass: 700 kg
      drag_area: 0.58 m²
      rolling_coefficient: 0.014
      air_density: 1.2 kg/m³
      wheelbase: 2.28 m
      centre_of_gravity_height: 0.43 m
      drive_axle_share: 53 %
      tyre_friction: 1.25
      launch_speed: 5500 rpm
      shift_time: 0.25 s
    """
)
CSV = "engine_speed [rpm],torque [N·m]\n1500,112\n4000,157\n6000,167\n8300,136\n"
FILES: dict[str, str | bytes] = {"a.md": A, "b.md": B, "cars/brindle.yml": CAR, "runs/before.csv": CSV}


def command(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, [*arguments, "--site", str(folder)], catch_exceptions=False)


def recorded(folder: Path, **changed: str) -> Path:
    """A site with a record, and then changed files."""
    write_site(folder, FILES)
    result = command(folder, "ledger", "--record")
    assert result.exit_code == 0, result.output
    return folder


def found(folder: Path, files: dict[str, str | bytes]) -> list[Diagnostic]:
    report = proof_book(open_site(folder, files))
    return [one for one in report.findings if one.code.name.startswith(("moved-", "record-"))]


def lock(folder: Path) -> Path:
    return folder / "content" / "figures.lock"


# --- the record ---------------------------------------------------------------------------


def test_recording_says_what_is_new_and_what_has_moved(tmp_path: Path) -> None:
    write_site(tmp_path, FILES)
    assert (
        "2 values of 2 blocks in content/figures.lock: 0 moved, 2 new, 0 gone"
        in command(tmp_path, "ledger", "--record").output
    )
    write_site(
        tmp_path,
        {
            "a.md": A.replace("135.5", "124.2").replace(
                "after: {final_drive: 41/9}", "after: {final_drive: 4.97}"
            )
        },
    )
    assert "1 moved, 0 new, 0 gone" in command(tmp_path, "ledger", "--record").output
    assert found(tmp_path, {}) == []


def test_the_record_is_the_same_whenever_it_is_made(tmp_path: Path) -> None:
    first = lock(recorded(tmp_path)).read_bytes()
    command(tmp_path, "ledger", "--record")
    assert lock(tmp_path).read_bytes() == first


def test_the_record_is_lines_that_a_person_can_compare(tmp_path: Path) -> None:
    lines = lock(recorded(tmp_path)).read_text("utf-8").splitlines()
    assert [line.split("\t")[:3] for line in lines[2:]] == [
        ["block", "a", "shorter-final"],
        ["figure", "a", "shorter-final"],
        ["block", "b", "launch"],
        ["figure", "b", "launch"],
    ]
    name, value = lines[3].split("\t")[3:6], float(lines[3].split("\t")[6])
    assert name == ["after", "speed_at_limit", "3"]
    # All 17 digits: what was computed comes back to the last bit.
    book = open_site(tmp_path, {})
    assert book.results["a", "shorter-final"].value("after", "speed_at_limit", "3").si == value  # type: ignore[union-attr]


def test_nothing_is_recorded_while_something_disagrees(tmp_path: Path) -> None:
    write_site(tmp_path, {**FILES, "a.md": A.replace("135.5", "153.5")})
    result = command(tmp_path, "ledger", "--record")
    assert result.exit_code == 1
    assert "Nothing was recorded: 1 error" in result.output
    assert not lock(tmp_path).exists()


def test_only_the_whole_site_is_recorded(tmp_path: Path) -> None:
    content = write_site(tmp_path, FILES)
    assert command(tmp_path, "ledger", "--record", str(content / "a.md")).exit_code == 2


def test_a_link_in_the_records_place_is_neither_followed_nor_written(tmp_path: Path) -> None:
    write_site(tmp_path, FILES)
    outside = tmp_path / "outside"
    outside.write_text("a secret\n")
    link(lock(tmp_path), outside)
    (one,) = found(tmp_path, {})
    assert one.code.name == "record-unreadable"
    assert "secret" not in f"{one}"
    refused = command(tmp_path, "ledger", "--record")
    assert refused.exit_code == 1  # since a site would publish what the link leads to
    assert "outside-content" in command(tmp_path, "proof").output
    assert outside.read_text() == "a secret\n"


def test_a_link_within_the_site_in_the_records_place_is_not_written(tmp_path: Path) -> None:
    content = write_site(tmp_path, FILES)
    other = content / "kept.txt"
    other.write_text("something else\n")
    link(lock(tmp_path), other)
    assert command(tmp_path, "ledger", "--record").exit_code == 2
    assert other.read_text() == "something else\n"


_names = st.tuples(*[st.text(max_size=12)] * 5)
_hash = st.text("0123456789abcdef", min_size=1, max_size=16)
_records = st.builds(
    Record,
    st.dictionaries(
        st.tuples(st.text(max_size=8), st.text(max_size=8)), st.builds(Hashes, _hash, _hash, _hash)
    ),
    st.dictionaries(_names, st.floats(allow_nan=False, allow_infinity=False)),
)


@given(_records)
def test_any_record_reads_back_as_it_was(tmp_path_factory: pytest.TempPathFactory, record: Record) -> None:
    path = tmp_path_factory.mktemp("record") / "figures.lock"
    path.write_bytes(record_text(record).encode())
    assert read_record(path, "figures.lock") == (record, [])


@pytest.mark.parametrize(
    "line",
    [
        "<<<<<<< HEAD",
        "figure\ta\tb\t\tspeed\t\tfast",
        "figure\ta\tb\t\tspeed\t\tnan",
        "figure\ta\tb\t\tspeed\t\t1e999",
        "figure\ta\tb\tspeed\t1.0",
        "block\ta\tb\tinputs 1\tcalculator 2",
        "block\ta\tb\tinputs 1\tdata 2\tcalculator 3",
    ],
)
def test_a_line_that_cannot_be_read_is_told_with_its_place(tmp_path: Path, line: str) -> None:
    recorded(tmp_path)
    with lock(tmp_path).open("a") as file:
        file.write(line + "\n")
    (one,) = found(tmp_path, {})
    assert (one.code.name, one.severity) == ("record-unreadable", Severity.WARNING)
    assert str(one.position) == "content/figures.lock:7:1"


def test_noise_in_the_record_never_raises(tmp_path: Path) -> None:
    recorded(tmp_path)
    good = lock(tmp_path).read_bytes()
    chance = random.Random(20240611)
    for _ in range(60):
        bad = bytearray(good)
        for _ in range(chance.randint(1, 6)):
            bad[chance.randrange(len(bad))] = chance.randrange(256)
        lock(tmp_path).write_bytes(bytes(bad))
        read_record(lock(tmp_path), "figures.lock")


# --- what has moved, and why ------------------------------------------------------------


def test_without_a_record_nothing_is_said(tmp_path: Path) -> None:
    assert found(tmp_path, FILES) == []


def test_a_changed_input_is_a_note_at_the_figure_and_at_what_rests_on_it(tmp_path: Path) -> None:
    recorded(tmp_path)
    car = CAR.replace("195/50R15", "185/60R15")
    notes = found(tmp_path, {"cars/brindle.yml": car})
    assert [(one.code.name, one.severity, one.position.path) for one in notes] == [
        ("moved-by-input", Severity.NOTE, "content/a.md"),
        ("moved-by-input", Severity.NOTE, "content/b.md"),
    ]
    assert "an input was changed" in notes[0].found
    assert "135.5\u00a0km/h, as recorded" in notes[0].expected
    assert "an input of a#shorter-final was changed" in notes[1].found


def test_a_changed_data_file_is_a_note(tmp_path: Path) -> None:
    recorded(tmp_path)
    (one,) = found(tmp_path, {"runs/before.csv": CSV.replace("6000,167", "6000,168")})
    assert (one.code.name, one.severity) == ("moved-by-data", Severity.NOTE)
    assert "a data file was changed" in one.found


@pytest.fixture
def another_formula(monkeypatch: pytest.MonkeyPatch) -> Any:
    """The calculator as another version of it might be."""

    def put(function: Any) -> None:
        monkeypatch.setattr(tyres, "rolling_radius", function)
        provenance.calculator_hash.cache_clear()

    yield put
    monkeypatch.undo()
    provenance.calculator_hash.cache_clear()


def test_a_changed_formula_is_a_warning(tmp_path: Path, another_formula: Any) -> None:
    recorded(tmp_path)
    before = tyres.rolling_radius

    def wider(*arguments: Any, **named: Any) -> float:
        return 1.001 * before(*arguments, **named)

    wider.__annotations__ = before.__annotations__
    another_formula(wider)
    warnings = found(tmp_path, {})
    assert {one.code.name for one in warnings} == {"moved-by-calculator"}
    assert {one.severity for one in warnings} == {Severity.WARNING}
    assert "the calculator gearing" in warnings[-1].found


def test_what_nothing_explains_is_a_warning_too(tmp_path: Path) -> None:
    path = lock(recorded(tmp_path))
    text = path.read_text("utf-8").splitlines()
    text[3] = text[3].rsplit("\t", 1)[0] + "\t37.0"
    path.write_text("\n".join(text), "utf-8")
    (one,) = found(tmp_path, {})
    assert (one.code.name, one.severity) == ("moved-by-calculator", Severity.WARNING)
    assert "buildlog itself" in one.found
    assert "133.2\u00a0km/h, as recorded" in one.expected  # 37 m/s


@pytest.mark.parametrize(("factor", "moves"), [(1 + 1e-12, False), (1 + 1e-6, True)])
def test_the_last_bits_are_no_move(tmp_path: Path, factor: float, moves: bool) -> None:
    path = lock(recorded(tmp_path))
    text = path.read_text("utf-8").splitlines()
    start, value = text[3].rsplit("\t", 1)
    text[3] = f"{start}\t{float(value) * factor!r}"
    path.write_text("\n".join(text), "utf-8")
    assert bool(found(tmp_path, {})) is moves


def test_new_figures_and_gone_ones_are_passed_over(tmp_path: Path) -> None:
    recorded(tmp_path)
    more = A.replace("Third:", "Second: [](calc:shorter-final.after.speed_at_limit.2). Third:")
    assert found(tmp_path, {"a.md": more, "b.md": "# B\n"}) == []


def test_what_does_not_move_a_figure_is_passed_over(tmp_path: Path) -> None:
    recorded(tmp_path)
    changed = A.replace("id: shorter-final", "title: Another\nid: shorter-final").replace(
        "cruise_speed: 100 km/h", "cruise_speed: 90 km/h"
    )
    assert found(tmp_path, {"a.md": changed}) == []


def test_recording_accepts(tmp_path: Path) -> None:
    recorded(tmp_path)
    write_site(tmp_path, {"runs/before.csv": CSV.replace("6000,167", "6000,168")})
    assert found(tmp_path, {})
    command(tmp_path, "ledger", "--record")
    assert found(tmp_path, {}) == []


def test_a_change_against_a_case_keeps_both_values(tmp_path: Path) -> None:
    page = A.replace(
        "[135.5 km/h](calc:shorter-final.after.speed_at_limit.3)",
        '[](calc:shorter-final.after.speed_at_limit.3 "vs before")',
    )
    book = open_site(tmp_path, {**FILES, "a.md": page, "b.md": "# B\n"})
    record = record_of(book, proof_book(book).entries)
    assert {name[2] for name in record.values} == {"before", "after"}


# --- what the calculator's hash is made of --------------------------------------------------


@pytest.mark.parametrize("kind", catalogue.kind_names())
def test_every_formula_of_a_working_is_in_the_calculators_hash(kind: str) -> None:
    from tests.calculators.test_all_kinds import block_of, run

    known = catalogue.load_kind(kind)
    followed = provenance.Followed()
    followed.thing(known.compute, kind)
    steps = {step.function for case in run(block_of(kind)).cases.values() for step in case.steps}
    names = {f"{one.__module__}.{one.__qualname__}" for one in map(inspect.unwrap, steps)}
    assert {name for name in names if "<locals>" not in name} <= followed.found.keys()
    assert f"{known.compute.__module__}.compute" in followed.found
    assert not any(" at 0x" in text for text in followed.found.values())


def test_the_hash_passes_over_words_and_sees_numbers() -> None:
    text = provenance._definitions(drivetrain.__name__)["road_speed"]
    assert "Formula:" not in text
    assert "return" in text
