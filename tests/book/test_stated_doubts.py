"""What makes a result uncertain, in words: which input, and how far its author said that it is off."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from buildlog.book.evaluation import source_text
from buildlog.book.monte_carlo import coverage_interval
from buildlog.book.uncertainty import leaf, leaves, moved, number_at
from buildlog.kinds.declaration import Outputs
from buildlog.kinds.results import CaseResult
from buildlog.reading.nodes import read_yaml, whole_file
from tests.samples import calc, open_site

BLOCK = """\
id: a
kind: gearing
inputs:
  gears: [3.300 ± 0.003, 2.0]
  final_drive: 4.0
  rev_limit: 8000 rpm
  rolling_circumference: 1.800   ± 0.009 m
"""
RESTING = """\
id: b
kind: gearing
inputs:
  gears: [3.0]
  final_drive: 4.0
  rev_limit: 8000 rpm
  rolling_circumference: calc:a.rolling_circumference
"""


def case(folder: Path, name: str) -> CaseResult:
    book = open_site(folder, {"p.md": calc(BLOCK) + calc(RESTING)})
    result = book.result("p", name)
    assert result is not None
    assert result.faults == ()
    return result.cases[""]


def plain(texts: dict[str, str]) -> list[tuple[str, str]]:
    return [(origin, text.replace("\u00a0", " ")) for origin, text in texts.items()]


def test_an_origin_goes_by_its_input_and_is_stated_as_it_was_written(tmp_path: Path) -> None:
    found = case(tmp_path, "a")
    words = dict(plain(dict(found.origins)))
    stated = dict(plain(dict(found.stated)))
    assert sorted(words.values()) == ["gears, 1", "rolling circumference", "rolling factor"]
    by_words = {words[origin]: text for origin, text in stated.items() if origin in words}
    assert by_words["rolling circumference"] == "1.800 ± 0.009 m"
    assert by_words["gears, 1"] == "3.300 ± 0.003"
    assert by_words["rolling factor"].endswith(
        ", assumed"
    )  # nobody wrote it: the kind knows how far it is off


def test_what_came_from_another_block_is_stated_by_its_expanded_uncertainty(tmp_path: Path) -> None:
    """Two standard uncertainties of 0.009 m."""
    found = case(tmp_path, "b")
    stated = {found.origins[origin]: text for origin, text in plain(dict(found.stated))}
    assert sorted(stated) == ["rolling circumference", "rolling factor"]
    assert stated["rolling circumference"] == "± 0.018 m (k = 2)"
    assert stated["rolling factor"].endswith(", assumed")
    own = case(tmp_path, "a").origins
    (shared,) = (origin for origin, words in own.items() if words == "rolling circumference")
    assert shared in found.origins


@pytest.mark.parametrize(
    ("written", "text"),
    [
        ("1.8   m", "1.8 m"),
        ("[1, 2,   3]", "[1, 2, 3]"),
        ("{a: 1 m, b: [2, 3]}", "{a: 1 m, b: [2, 3]}"),
        ("- {a: 1}\n- {a: 2}", "[{a: 1}, {a: 2}]"),
        ("|\n  a\n  b", "a b"),
        ("[]", "[]"),
    ],
)
def test_an_input_on_one_line(written: str, text: str) -> None:
    node, faults = read_yaml(written, whole_file("a.md"))
    assert node is not None
    assert not faults
    assert source_text(node) == text


# --- numbers of inputs and outputs ---------------------------------------------------------------


def test_leaves_are_the_numbers_of_outputs() -> None:
    outputs: Outputs = {"speed": 2.0, "gears": {"1": 3.0, "2": 4.0}, "word": "locked"}
    assert list(leaves(outputs)) == [("speed", "", 2.0), ("gears", "1", 3.0), ("gears", "2", 4.0)]
    asked = [
        ("speed", ""),
        ("speed", "1"),
        ("gears", "2"),
        ("gears", "3"),
        ("gears", ""),
        ("word", ""),
        ("x", ""),
    ]
    assert [leaf(outputs, *one) for one in asked] == [2.0, None, 4.0, None, None, None, None]


def test_what_is_moved_is_a_copy() -> None:
    values = {"a": 1.0, "rows": [{"x": 2.0, "y": 3.0}, {"x": 4.0, "y": 5.0}], "other": {"z": 6.0}}
    steps = {("a",): 0.5, ("rows", 1, "x"): 0.25, ("rows", 1, "y"): 1.0}
    up, down = (moved(values, steps, sign) for sign in (1.0, -2.0))
    assert up == {"a": 1.5, "rows": [{"x": 2.0, "y": 3.0}, {"x": 4.25, "y": 6.0}], "other": {"z": 6.0}}
    assert down["rows"][1] == {"x": 3.5, "y": 3.0}
    assert down["a"] == 0.0
    assert values["rows"] == [{"x": 2.0, "y": 3.0}, {"x": 4.0, "y": 5.0}]
    assert up["other"] is values["other"]  # what stays as it is, is shared
    assert number_at(values, ("rows", 1, "x")) == 4.0


@pytest.mark.parametrize(
    ("value", "low", "high"), [(500.0, 22.75, 977.25), (-5.0, -5.0, 977.25), (1001.0, 22.75, 1001.0)]
)
def test_a_coverage_interval_has_the_value_in_it(value: float, low: float, high: float) -> None:
    """Of 0, 1 … 1000, the middle 95.45 % lie from 22.75 to 977.25 (by hand)."""
    assert coverage_interval(np.arange(1001.0), value) == pytest.approx((low, high))
