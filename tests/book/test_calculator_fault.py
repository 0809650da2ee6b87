"""A calculator that breaks down is a bug report; a result too large to be written is a finding of its own."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from buildlog.diagnostics import Diagnostic
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import CaseView, Outputs, Working
from buildlog.kinds.kind import Kind
from buildlog.physics import drivetrain
from buildlog.proof.proof import proof_book
from tests.samples import GEARING, open_site

Compute = Callable[[Mapping[str, Any], Working], Outputs]


def broken(monkeypatch: pytest.MonkeyPatch, **changed: object) -> None:
    """The kind `gearing` with something else in its place."""
    gearing = catalogue.load_kind("gearing")
    other: Kind = replace(gearing, **changed)  # type: ignore[arg-type]
    monkeypatch.setattr(catalogue, "load_kind", lambda name: other)


def findings(tmp_path: Path, text: str = GEARING) -> list[Diagnostic]:
    report = proof_book(open_site(tmp_path, {"a.md": f"# Gears\n\n{text}"}))
    return [finding for finding in report.findings if finding.code.name != "unused-block"]


def key_error(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": given["no_such_input"]}


def square_root_of_less_than_nothing(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": math.sqrt(-given["rev_limit"])}


def division_by_nothing(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": 1 / (given["rev_limit"] - given["rev_limit"])}


def wrong_type(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": given["gears"] + 1}


def value_error(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": float("none")}


def complex_number(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": (-given["rev_limit"]) ** 0.5}


def undeclared(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radios": 0.3}


def words_for_a_number(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": "0.3"}


def without_its_key(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"speed_at_limit": 30.0}


def in_a_formula(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": drivetrain.turns_until_same_teeth_meet("9", 41)}  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "compute,said",
    [
        (key_error, "KeyError: 'no_such_input', raised in key_error ("),
        (square_root_of_less_than_nothing, "ValueError: math domain error, raised in square_root"),
        (division_by_nothing, "ZeroDivisionError: float division by zero, raised in division_by_nothing ("),
        (wrong_type, "TypeError: "),
        (value_error, "ValueError: could not convert string to float: 'none', raised in value_error ("),
        (complex_number, "which is no real number"),
        (undeclared, "compute gives rolling_radios, which OUTPUTS does not declare"),
        (words_for_a_number, "rolling_radius is '0.3', and its dimension is length"),
        (without_its_key, "speed_at_limit is 30.0, and its key is gear"),
    ],
)
def test_a_calculator_that_breaks_down(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, compute: Compute, said: str
) -> None:
    broken(monkeypatch, compute=compute)
    (finding,) = findings(tmp_path)
    assert finding.code.name == "calculator-fault"
    assert (finding.position.path, finding.position.line) == ("content/a.md", 3), "the block's fence"
    assert "fault of buildlog, not of the page" in finding.message
    assert finding.found.startswith("gearing: ")
    assert said in finding.found
    assert "Report it" in finding.help
    assert "block as it stands" in finding.help


def test_the_place_in_our_source_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    broken(monkeypatch, compute=in_a_formula)
    (finding,) = findings(tmp_path)
    line = drivetrain.turns_until_same_teeth_meet.__code__.co_firstlineno
    place = finding.found.partition("raised in turns_until_same_teeth_meet (buildlog/physics/drivetrain.py:")[
        2
    ]
    assert line < int(place.partition(")")[0]) < line + 40


def test_the_calculator_that_called_is_told_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_radius(*_: object, **__: object) -> float:
        raise KeyError("radius")

    monkeypatch.setattr("buildlog.physics.tyres.rolling_radius", no_radius)
    (finding,) = findings(tmp_path)
    assert finding.code.name == "calculator-fault"
    assert "called from _circumference (buildlog/calculators/gearing.py:" in finding.found


def test_a_chart_that_breaks_down(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def chart(cases: Mapping[str, CaseView]) -> None:
        raise IndexError("list index out of range")

    broken(monkeypatch, chart=chart)
    (finding,) = findings(tmp_path)
    assert finding.code.name == "calculator-fault"
    assert "IndexError: list index out of range" in finding.found


SEARCH = """\
```yaml calc
id: a
kind: gearing
find: final_drive
so_that: {rpm_at.4: 3500 rpm}
between: [3.0, 5.0]
inputs:
  gears: [3.3, 2.0, 1.4, 1.1, 1.0]
  rolling_circumference: 1.800 m
  rev_limit: 8200 rpm
  cruise_speed: 90 km/h
```
"""
SWEEP = GEARING.replace(
    "kind: gearing\n", "kind: gearing\nsweep: cruise_speed from 80 km/h to 120 km/h by 10 km/h\n"
)
SWEEP = SWEEP.replace("\ncases:", "\nof: [rpm_at.4]\ncases:")
UNCERTAIN = GEARING.replace("100 km/h", "100 ± 1 km/h")


def breaks_below(name: str, value: float) -> Compute:
    """The real calculation, but for a guard that is missing where an input is below a value."""
    compute = catalogue.load_kind("gearing").compute

    def sometimes(given: Mapping[str, Any], working: Working) -> Outputs:
        if given[name] < value:
            raise ZeroDivisionError("float division by zero")
        return compute(given, working)

    return sometimes


@pytest.mark.parametrize(
    "text,name,value",
    [(SEARCH, "final_drive", 3.5), (SWEEP, "cruise_speed", 25.0), (UNCERTAIN, "cruise_speed", 27.7)],
)
def test_it_is_not_passed_over_in_a_search_a_sweep_or_an_uncertainty(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, name: str, value: float
) -> None:
    assert findings(tmp_path, text) == []
    broken(monkeypatch, compute=breaks_below(name, value))
    assert {finding.code.name for finding in findings(tmp_path, text)} == {"calculator-fault"}


def overflow(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": (given["rev_limit"] * 1e300) ** 2}


def infinite(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": given["rev_limit"] * 1e300 * 1e300}


def no_number(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"rolling_radius": math.nan}


@pytest.mark.parametrize("compute", [overflow, infinite, no_number])
def test_a_result_that_is_not_finite_keeps_its_finding(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, compute: Compute
) -> None:
    broken(monkeypatch, compute=compute)
    assert {finding.code.name for finding in findings(tmp_path)} == {"not-finite"}
