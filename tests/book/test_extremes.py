"""What the rows of a table reach, worked out by hand from the rows themselves."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.book.extremes import extremes
from buildlog.figures import units
from buildlog.proof.proof import proof_book
from tests.samples import calc, open_site

CURVE = """
id: a
kind: gearing
inputs:
  gears: [3.3, 2.0, 1.4, 1.1, 1.0]
  rolling_circumference: 1.800 m
  rev_limit: 8200 rpm
  final_drive: 4.0
"""


def codes(folder: Path, *figures: str, block: str = CURVE) -> list[list[str]]:
    """The codes of findings on each figure."""
    text = "\n\n".join([*figures, calc(block)])
    book: Book = open_site(folder, {"a.md": text})
    assert proof_book(book).findings is not None
    return [
        [one.code.name for one in proof_book(book).findings if one.position.line == 1 + 2 * number]
        for number in range(len(figures))
    ]


@pytest.mark.parametrize(
    "figure",
    [
        "[1.0](calc:a.gears.least)",
        "[3.3](calc:a.gears.greatest)",
        "[1.76](calc:a.gears.mean)",  # (3.3 + 2.0 + 1.4 + 1.1 + 1.0)/5 = 8.8/5
    ],
)
def test_a_list_has_its_least_its_greatest_and_its_mean(tmp_path: Path, figure: str) -> None:
    wrong = figure.replace("[", "[9", 1)
    assert codes(tmp_path, figure, wrong) == [[], ["figure-disagrees"]]


@pytest.mark.parametrize("name", ["least_1", "greatest_gear", "middle", "mean_", "greatest_power"])
def test_what_a_list_has_not(tmp_path: Path, name: str) -> None:
    assert codes(tmp_path, f"[1.0](calc:a.gears.{name})") == [["unknown-address"]]


LAUNCH = """
id: launch
kind: acceleration
inputs:
  torque_curve: {curve}
  rev_limit: 8200 rpm
  gears: [3.3, 2.0, 1.4, 1.1, 1.0]
  final_drive: 41/9
  rolling_circumference: 1.757 m
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


def reached(folder: Path, *rows: str) -> dict[str, tuple[float, str] | str]:
    """What a curve of torque reaches: values with their units, and words."""
    curve = "[" + ", ".join(f"{{engine_speed: {row}}}" for row in rows) + "]"
    book = open_site(folder, {"a.md": calc(LAUNCH.replace("{curve}", curve))})
    result = book.result("a", "launch")
    assert result is not None
    assert result.faults == ()
    found: dict[str, tuple[float, str] | str] = {}
    for name, (value, word) in extremes(result.cases[""].given["torque_curve"]).items():
        if value is None:
            found[name] = word
        else:
            unit = units.find(value.unit, value.dimension)
            found[name] = (round(unit.from_si(value.si), 3), value.unit)
    return found


def test_a_curve_of_torque_has_a_greatest_power_between_its_rows(tmp_path: Path) -> None:
    """From 160 N·m at 4000 rpm straight to 76 N·m at 8200 rpm: T = 240 − n/50, so that T·n is greatest at
    6000 rpm, with 120 N·m, which is 120 · 6000 · 2π/60 = 75.398 kW."""
    found = reached(
        tmp_path, "2000 rpm, torque: 150 N·m", "4000 rpm, torque: 160 N·m", "8200 rpm, torque: 76 N·m"
    )
    assert found == {
        "least_engine_speed": (2000.0, "rpm"),
        "greatest_engine_speed": (8200.0, "rpm"),
        "mean_engine_speed": (4733.333, "rpm"),  # 14,200 / 3
        "least_torque": (76.0, "N·m"),
        "greatest_torque": (160.0, "N·m"),
        "mean_torque": (128.667, "N·m"),  # 386 / 3
        "engine_speed_at_least_torque": (8200.0, "rpm"),
        "engine_speed_at_greatest_torque": (4000.0, "rpm"),
        "greatest_power": (75.398, "kW"),
        "engine_speed_at_greatest_power": (6000.0, "rpm"),
    }


def test_power_is_told_in_the_system_of_the_torque(tmp_path: Path) -> None:
    """118 lb-ft at 6000 rpm are 118 · 6000 / 5252.11 = 134.80 hp."""
    found = reached(
        tmp_path, "2000 rpm, torque: 100 lb-ft", "6000 rpm, torque: 118 lb-ft", "8200 rpm, torque: 40 lb-ft"
    )
    power = found["greatest_power"]
    assert isinstance(power, tuple)
    assert power[1] == "hp"
    assert power[0] == pytest.approx(134.80, abs=0.01)


def test_what_several_rows_share_has_no_one_place(tmp_path: Path) -> None:
    found = reached(
        tmp_path, "2000 rpm, torque: 150 N·m", "4000 rpm, torque: 150 N·m", "8200 rpm, torque: 80 N·m"
    )
    assert "engine_speed_at_greatest_torque" not in found
    assert found["engine_speed_at_least_torque"] == (8200.0, "rpm")
    assert found["greatest_torque"] == (150.0, "N·m")
