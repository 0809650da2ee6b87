"""Addresses of what a block was given: inputs, items of lists, values of tables and what their rows reach."""

from math import pi
from pathlib import Path

import pytest

from buildlog.book.addresses import Target, change
from buildlog.book.affected import affected_pages
from buildlog.book.book import Book
from buildlog.proof.proof import proof_book
from buildlog.reading.addresses import read_address
from tests.samples import GEARING, calc, open_site

RPM = 2 * pi / 60

HILL = """
id: hill
kind: acceleration
inputs:
  torque_curve:
    - {engine_speed: 2000 rpm, torque: 140 ± 2 N·m}
    - {engine_speed: 4000 rpm, torque: 168 ± 2 N·m}
    - {engine_speed: 7000 rpm, torque: 120 ± 2 N·m}
  rev_limit: 7000 rpm
  gears: [2.846, 1.875, 1.423, 1.143, 1.000]
  final_drive: 41/9
  rolling_circumference: 1.776 m
  driveline_efficiency: 90 %
  vehicle_mass: 742 kg
  drag_area: 0.58 m²
  rolling_coefficient: 0.013
  air_density: 1.19 kg/m³
  engine_inertia: 0.07 kg·m²
  flywheel_inertia: 0.06 kg·m²
  wheel_inertia: 0.7 kg·m²
  wheelbase: 2.28 m
  centre_of_gravity_height: 0.44 m
  drive_axle_share: 53 %
  tyre_friction: 0.95
  launch_speed: 5000 rpm
  shift_time: 0.25 s
  distance: 640 m
"""


def target(book: Book, address: str, page: str = "a") -> Target:
    return book.target(page, read_address(address))


def found_in(tmp_path: Path, text: str, **files: str | bytes) -> list[tuple[str, str]]:
    book = open_site(tmp_path, {"a.md": text, **files})
    return told(book)


def told(book: Book) -> list[tuple[str, str]]:
    """Code and what was found, of all findings but that a block has no figure."""
    findings = proof_book(book).findings
    return [(one.code.name, one.found) for one in findings if one.code.name != "unused-block"]


def test_inputs_are_addresses_with_their_authors_unit_and_decimals(tmp_path: Path) -> None:
    text = GEARING.replace("cruise_speed: 100 km/h", "cruise_speed: 62.5 mph")
    text = text.replace("tyre: 195/50R15", "rolling_circumference: 1.800 ± 0.009 m")
    book = open_site(tmp_path, {"a.md": text})
    cruise = target(book, "calc:shorter-final.after.cruise_speed").number
    # 1 mile is 1609.344 m exactly (NIST SP 811, Appendix B)
    assert cruise.si == pytest.approx(62.5 * 1609.344 / 3600)
    assert (cruise.unit, cruise.decimals, cruise.dimension) == ("mph", 1, "speed")
    rolling = target(book, "calc:shorter-final.after.rolling_circumference").number
    assert rolling.standard_uncertainty == pytest.approx(0.009)
    assert target(book, "calc:shorter-final.before.gears.2").number.si == 2.0
    assert target(book, "calc:shorter-final.before.gears.greatest").number.si == 3.3
    assert target(book, "calc:shorter-final.before.gears.mean").number.si == pytest.approx(8.8 / 5)
    final = target(book, "calc:shorter-final.after.final_drive").number
    assert final.si == pytest.approx(41 / 9)


def test_an_input_that_all_cases_share_needs_no_case(tmp_path: Path) -> None:
    prose = "[100 km/h](calc:shorter-final.cruise_speed), [4.1](calc:shorter-final.final_drive)\n\n"
    assert found_in(tmp_path, prose + GEARING) == [
        ("unknown-address", "the input “final_drive”, which the cases differ in")
    ]


@pytest.mark.parametrize(
    ("address", "found", "help"),
    [
        ("calc:hill.gears.6", "gears.6", ""),
        ("calc:hill.gears", "“gears”, which has several values", ""),
        ("calc:hill.vehicle_mass.1", "“vehicle_mass.1”", ""),
        ("calc:hill.torque_curve.gretest_torque", "torque_curve.gretest_torque", "“greatest_torque”"),
        ("calc:hill.altitude", "the input “altitude”, which this block leaves out", ""),
        ("calc:hill.vehicle_mas", "the quantity “vehicle_mas”", "“vehicle_mass”"),
    ],
)
def test_inputs_that_are_not_there(tmp_path: Path, address: str, found: str, help: str) -> None:
    book = open_site(tmp_path, {"a.md": f"[1 km/h]({address})\n\n{calc(HILL)}"})
    reported = proof_book(book).findings
    assert [(finding.code.name, finding.found) for finding in reported] == [("unknown-address", found)]
    assert help in reported[0].help


def test_a_changed_input_leaves_no_sentence_behind(tmp_path: Path) -> None:
    prose = "At [100 km/h](calc:shorter-final.after.cruise_speed)\n\n"
    assert found_in(tmp_path, prose + GEARING) == []
    changed = GEARING.replace("cruise_speed: 100 km/h", "cruise_speed: 110 km/h")
    assert [code for code, _ in found_in(tmp_path, prose + changed)] == ["figure-disagrees"]


# --- what the rows of a table reach ---------------------------------------------------------


def test_extremes_of_a_curve_and_where_they_are(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.md": calc(HILL)})
    assert told(book) == []
    peak = target(book, "calc:hill.torque_curve.greatest_torque").number
    assert (peak.si, peak.expanded_uncertainty) == (168, 4)
    speed = target(book, "calc:hill.torque_curve.engine_speed_at_greatest_torque").number
    assert speed.si == pytest.approx(4000 * RPM)
    assert target(book, "calc:hill.torque_curve.least_torque").number.si == 120
    # (140 + 168 + 120) / 3, and three equal, independent u of 2 N·m: 2 / √3 (JCGM 100:2008, 5.1.2)
    mean = target(book, "calc:hill.torque_curve.mean_torque").number
    assert mean.si == pytest.approx(428 / 3)
    assert mean.standard_uncertainty == pytest.approx(2 / 3**0.5)


def test_greatest_power_lies_between_the_rows(tmp_path: Path) -> None:
    """T falls from 168 to 120 N·m over 3000 rpm, 0.016 N·m per rpm: T = 232 − 0.016 n, so that T·n is
    greatest at n = 232 / 0.032 = 7250 rpm, beyond the last row; with 100 N·m there T = 258.667 − 0.022667 n
    and it is at 5705.9 rpm, with T = 129.333 N·m (the vertex of a parabola; by hand)."""
    book = open_site(tmp_path, {"a.md": calc(HILL)})
    assert target(book, "calc:hill.torque_curve.greatest_power").number.si == pytest.approx(120 * 7000 * RPM)
    book = open_site(tmp_path, {"a.md": calc(HILL.replace("torque: 120", "torque: 100"))})
    power = target(book, "calc:hill.torque_curve.greatest_power").number
    assert power.si == pytest.approx(388 / 3 * 97000 / 17 * RPM)
    assert (power.dimension, power.unit) == ("power", "kW")
    speed = target(book, "calc:hill.torque_curve.engine_speed_at_greatest_power").number
    assert speed.si == pytest.approx(97000 / 17 * RPM)
    # By T₁ and T₂ at the place of the vertex, s of the way along: u² = (ω·2·(1 − s))² + (ω·2·s)².
    along = (97000 / 17 - 4000) / 3000
    spread = 2 * 97000 / 17 * RPM * ((1 - along) ** 2 + along**2) ** 0.5
    assert power.standard_uncertainty == pytest.approx(spread, rel=0.01)


# --- against another value ------------------------------------------------------------------

TWO = calc(
    """
    id: fitted
    kind: gearing
    inputs: {gears: [3.0, 2.0], final_drive: 4.0, rolling_circumference: 1.800 m, rev_limit: 6000 rpm}
    """
) + calc(
    """
    id: found
    kind: gearing
    inputs: {gears: [3.0, 2.0], final_drive: 5.0, rolling_circumference: 1.800 m, rev_limit: 6000 rpm}
    """
)


@pytest.mark.parametrize(
    "title",
    [
        "vs fitted.speed_at_limit.2",
        "vs fitted",
        "vs b#other.speed_at_limit.2",
        "vs b#other",
        "vs calc:fitted.speed_at_limit.2",
    ],
)
def test_vs_reaches_other_blocks_and_pages(tmp_path: Path, title: str) -> None:
    """Speed goes as one over the final drive: 4 / 5 is 20 % less."""
    other = TWO.split("```yaml calc\nid: found")[0].replace("id: fitted", "id: other")
    prose = f'[20.0 %](calc:found.speed_at_limit.2 "{title}") less\n\n'
    assert found_in(tmp_path, prose + TWO, **{"b.md": other}) == []
    wrong = prose.replace("20.0", "25.0")
    assert [code for code, _ in found_in(tmp_path, wrong + TWO, **{"b.md": other})] == ["figure-disagrees"]


@pytest.mark.parametrize(
    ("title", "code", "found"),
    [
        ("vs fitted.overall_ratio.2", "option-unreadable", "vs fitted.overall_ratio.2, a ratio"),
        ("vs fited.speed_at_limit.2", "unknown-address", "the block “fited”"),
        ("vs found", "option-unreadable", "vs found"),
        ("vs nowhere#other", "unknown-address", "the page “nowhere”"),
        ("vs a b.c", "option-unreadable", "“vs a b.c”"),
    ],
)
def test_what_vs_cannot_reach_is_told_at_the_title(tmp_path: Path, title: str, code: str, found: str) -> None:
    link = f'[20.0 %](calc:found.speed_at_limit.2 "{title}") less\n\n'
    book = open_site(tmp_path, {"a.md": link + TWO})
    assert told(book) == [(code, found)]
    assert proof_book(book).errors[0].position.column == link.index(title) + 1


def test_a_multiple_keeps_what_both_values_share(tmp_path: Path) -> None:
    """One circumference for both, so that it cancels in the ratio (JCGM 100:2008, F.1.2.3)."""
    text = GEARING.replace("tyre: 195/50R15", "rolling_circumference: 1.800 ± 0.009 m")
    book = open_site(tmp_path, {"a.md": text})
    own = target(book, "calc:shorter-final.before.speed_at_limit.3")
    times = change(own, book.other("a", own, "after"), "times")
    assert times.dimension == "ratio"
    assert times.si == pytest.approx(41 / 9 / 4.10)
    assert times.standard_uncertainty == pytest.approx(0, abs=1e-12)


# --- the car's sheet ------------------------------------------------------------------------

CAR = """\
name: Test car
about: Invented for the tests.
state: standard
inputs:
  gears: [3.3, 2.0]
  rev_limit: 8200 rpm
  final_drive: 4.10
  tyre: 195/50R15
changes:
  - state: shorter
    since: the shorter final drive
    inputs: {final_drive: 41/9}
"""
USING = calc("id: now\nkind: gearing\ncar: test")


@pytest.mark.parametrize(
    "figure",
    [
        "[8200 rpm](calc:cars/test.rev_limit)",
        "[41/9](calc:cars/test.final_drive)",
        "[4.10](calc:cars/test.standard.final_drive)",
        "[3.3](calc:cars/test.gears.1)",
        '[11 %](calc:cars/test.final_drive "vs standard") more',
        '[11 %](calc:now.overall_ratio.1 "vs b#then.overall_ratio.1") more',
    ],
)
def test_values_of_a_cars_sheet(tmp_path: Path, figure: str) -> None:
    then = calc("id: then\nkind: gearing\ncar: test\nstate: standard")
    files = {"cars/test.yml": CAR, "b.md": then}
    assert found_in(tmp_path, f"{figure}\n\n{USING}", **files) == []
    wrong = figure.replace("[", "[9", 1)
    assert [code for code, _ in found_in(tmp_path, f"{wrong}\n\n{USING}", **files)] == ["figure-disagrees"]


@pytest.mark.parametrize(
    ("address", "found"),
    [
        ("calc:cars/tset.rev_limit", "the car “tset”"),
        ("calc:cars/test.stock.rev_limit", "the quantity “stock”"),
        ("calc:cars/test.rev_limt", "the quantity “rev_limt”"),
        ("calc:cars/test.tyre.1", "“tyre.1”"),
    ],
)
def test_values_that_a_sheet_has_not(tmp_path: Path, address: str, found: str) -> None:
    text = f"[1 rpm]({address})\n\n{USING}"
    assert found_in(tmp_path, text, **{"cars/test.yml": CAR}) == [("unknown-address", found)]


def test_a_changed_sheet_bears_on_the_pages_that_rest_on_it(tmp_path: Path) -> None:
    files: dict[str, str | bytes] = {
        "a.md": "[8200 rpm](calc:cars/test.rev_limit)\n",
        "b.md": "Nothing.\n",
        "cars/test.yml": CAR,
    }
    book = open_site(tmp_path, files)
    sheet = (book.content / "cars" / "test.yml").resolve()
    assert affected_pages(book, {sheet}) == ["a"]
    before = book.target("a", read_address("calc:cars/test.rev_limit"))
    again = Book.open(book.content, root=tmp_path, earlier=book)
    assert again.result("", "cars/test") is before.block
    (book.content / "cars" / "test.yml").write_text(CAR.replace("8200", "8000"))
    changed = Book.open(book.content, root=tmp_path, earlier=book)
    assert changed.result("", "cars/test") is not before.block


# --- rows of a sweep ------------------------------------------------------------------------

SWEPT = calc(
    """
    id: swept
    kind: gearing
    inputs: {gears: [1.0], rolling_circumference: 1.800 ± 0.009 m, rev_limit: 6000 rpm}
    cases:
      low: {final_drive: 4.0}
      high: {final_drive: 5.0}
    sweep: rev_limit from 5000 rpm to 7000 rpm by 500 rpm
    of: [speed_at_limit.1]
    """
)


def test_a_row_of_a_sweep_has_its_uncertainty(tmp_path: Path) -> None:
    """v = n · U / i: 5500 rpm / 60 · 1.8 m / 4.0 is 41.25 m/s, with 0.5 % of it as u."""
    book = open_site(tmp_path, {"a.md": SWEPT})
    value = target(book, "calc:swept.low.speed_at_limit.1@5500rpm").number
    assert value.si == pytest.approx(41.25)
    assert value.standard_uncertainty == pytest.approx(0.005 * 41.25)


@pytest.mark.parametrize(
    ("figure", "codes"),
    [
        ("[148.5 km/h](calc:swept.low.speed_at_limit.1@5500rpm)", []),
        ('[20.0 %](calc:swept.high.speed_at_limit.1@5500rpm "vs low") less', []),
        ("[149.5 km/h](calc:swept.low.speed_at_limit.1@5500rpm)", ["figure-disagrees"]),
        ("[148.5 km/h](calc:swept.low.speed_at_limit.1@5600rpm)", ["unknown-address"]),
        ("[148.5 km/h](calc:swept.low.speed_at_limit.1@5500)", ["unknown-address"]),
        ("[148.5 km/h](calc:swept.low.overall_ratio.1@5500rpm)", ["unknown-address"]),
        ("[148.5 km/h](calc:swept.low.speed_at_limit.1@)", ["address-unreadable"]),
    ],
)
def test_rows_of_a_sweep(tmp_path: Path, figure: str, codes: list[str]) -> None:
    assert [code for code, _ in found_in(tmp_path, f"{figure}\n\n{SWEPT}")] == codes


def test_a_row_of_what_is_not_swept(tmp_path: Path) -> None:
    text = f"[1 km/h](calc:fitted.speed_at_limit.1@5500rpm)\n\n{TWO}"
    assert found_in(tmp_path, text) == [("unknown-address", "“@5500rpm”, a row of a sweep")]
