"""Numbers that overflow, vanish, are none, or take minutes to read: refused where they stand."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.attacks.proofing import proof
from tests.samples import GEARING

DIGITS = 5000  # past Python's own limit of 4300 for turning a text into an integer
THIRD = "calc:shorter-final.after.speed_at_limit.3"
NONE = [
    "9" * DIGITS,
    "0." + "0" * DIGITS + "1",
    "0." + "9" * DIGITS,
    "1e999",
    "-1e999",
    "1e-999",
    "1e" + "9" * DIGITS,
    "1×10⁹⁹⁹",
    "NaN",
    "nan",
    ".nan",
    "inf",
    "-inf",
    ".inf",
    "Infinity",
    "∞",
    "0x1F",
    "0b1",
    "0o17",
    "010",
    "1_000",
    "1__0",
    "１２",
    "٣",
    "𝟗",
    "9**9**9",
    "1/0",
    "0/0",
    "1//2",
    "--1",
    "+-1",
    "1" + "/1" * 200,
    "1 2/0",
    "½½",
    "4.56:0",
    "0:1",
]


@pytest.mark.parametrize("number", NONE, ids=lambda text: text[:12])
@pytest.mark.parametrize("input", ["rev_limit: 8200 rpm", "final_drive: 41/9"])
def test_an_input(tmp_path: Path, number: str, input: str) -> None:
    name, _, value = input.partition(": ")
    unit = value.partition(" ")[2]
    told = proof(tmp_path, {"a.md": GEARING.replace(input, f'{name}: "{number} {unit}"')})
    assert told.exit_code == 1
    assert all(finding["line"] in (1, 7, 11) for finding in told.findings)


@pytest.mark.parametrize("number", NONE, ids=lambda text: text[:12])
@pytest.mark.parametrize("label", ["{} km/h", "about {} km/h", "{}–200 km/h", "{} ± 1 km/h", "1 ± {} km/h"])
def test_a_label(tmp_path: Path, number: str, label: str) -> None:
    told = proof(tmp_path, {"a.md": f"[{label.format(number)}]({THIRD})\n\n{GEARING}"})
    assert told.exit_code == 1
    assert told.findings[0]["line"] == 1


@pytest.mark.parametrize("number", NONE, ids=lambda text: text[:12])
def test_a_tolerance_and_a_cell_of_data(tmp_path: Path, number: str) -> None:
    block = (
        "```yaml calc\nid: pull\nkind: gearing\ninputs:\n  gears: {data: gears.csv}\n```\n"
        f'\n[1 km/h]({THIRD} "± {number} %")\n\n'
    )
    told = proof(tmp_path, {"a.md": block + GEARING, "gears.csv": f"gear,ratio\n1,{number}\n"})
    assert told.exit_code == 1
    assert told.codes


ZERO = ["0", "-0", "−0", "0.0", "0e0", "1e-300"]


@pytest.mark.parametrize("zero", ZERO)
@pytest.mark.parametrize("input", ["rev_limit: 8200 rpm", "final_drive: 41/9", "cruise_speed: 100 km/h"])
def test_what_is_divided_by(tmp_path: Path, zero: str, input: str) -> None:
    """A quotient by nothing is the input's fault, told at the input."""
    name, _, value = input.partition(": ")
    unit = value.partition(" ")[2]
    told = proof(tmp_path, {"a.md": GEARING.replace(input, f'{name}: "{zero} {unit}"')})
    assert told.exit_code == 1
    assert told.codes <= {"out-of-range", "value-unreadable", "number-unreadable", "unused-block"}
