"""What an author is told of an input that another one needs, whoever gave that."""

from __future__ import annotations

from pathlib import Path

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic
from tests.samples import write_site

CAR = "name: Wren\nabout: invented\ninputs: {wheelbase: 2.1 m, altitude: 100 m, air_density: 1.2 kg/m³}\n"
PULL = """\
# A

```yaml calc
id: pull
kind: acceleration
car: wren
inputs:
  torque_curve:
    - {engine_speed: 1500 rpm, torque: 80 N·m}
    - {engine_speed: 6000 rpm, torque: 99 N·m}
  rev_limit: 6000 rpm
  gears: [3.62, 2.19]
  final_drive: 4.1
  rolling_circumference: 1.66 m
  vehicle_mass: 700 kg
  driveline_efficiency: 90 %
  drag_area: 0.6 m²
  rolling_coefficient: 0.014
  altitude: none
```
"""


def fault(folder: Path, page: str) -> Diagnostic:
    write_site(folder, {"a.md": page, "cars/wren.yml": CAR})
    result = Book.open(root=folder).result("a", "pull")
    assert result is not None
    (told,) = result.faults
    return told


def test_what_the_cars_sheet_gives_can_be_left_out(tmp_path: Path) -> None:
    """A sheet serves several kinds: its wheelbase is there for the scales."""
    told = fault(tmp_path, PULL)
    assert told.code.name == "missing-input"
    assert "wheelbase without" in told.found
    assert told.help.endswith("write wheelbase: none in the block")
    left = PULL.replace("altitude: none", "altitude: none\n  wheelbase: none")
    write_site(tmp_path, {"a.md": left})
    result = Book.open(root=tmp_path).result("a", "pull")
    assert result is not None
    assert not any("wheelbase" in one.found for one in result.faults)


def test_a_conflict_with_the_cars_sheet_says_so_too(tmp_path: Path) -> None:
    page = PULL.replace("altitude: none", "ambient_temperature: 15 °C\n  altitude: none\n  wheelbase: none")
    told = fault(tmp_path, page)
    assert told.code.name == "inputs-conflict"
    assert "Leave out".lower() in told.help
    assert told.help.endswith("write air_density: none in the block")


def test_it_goes_by_its_name(tmp_path: Path) -> None:
    scoop = """\
# A

```yaml calc
id: pull
kind: splash_trap
inputs:
  {air_flow: 60 l/s, chamber_diameter: 150 mm, drop: [1 mm], air_temperature: 15 °C, air_pressure: 1000 hPa,
   peak_over_mean: 2, drain_diameter: 6 mm}
```
"""
    told = fault(tmp_path, scoop)
    assert told.found == "drain_diameter without discharge_coefficient"
    assert told.expected == "discharge_coefficient as well"
    alone = scoop.replace("drain_diameter: 6 mm", "drain_head: 0.1 m")
    assert fault(tmp_path, alone).found == "drain_head without water_flow"


def test_one_value_where_a_list_is_wanted_is_led_to_brackets(tmp_path: Path) -> None:
    page = PULL.replace("altitude: none", "altitude: none\n  wheelbase: none\n  speed_to: 100 km/h")
    assert fault(tmp_path, page).help == "write [100 km/h]"
