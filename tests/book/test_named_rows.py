"""Rows of a card by their names, and addresses into a decision that leave its option or quantity out."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.decisions import in_full, word_of
from buildlog.kinds.results import BlockResult
from buildlog.reading.addresses import read_address
from tests.samples import calc, open_site


def gearing(folder: Path, show: str) -> BlockResult:
    inputs = "{gears: [2.0, 1.0], rolling_circumference: 1.8 m, rev_limit: 6000 rpm, final_drive: 4}"
    block = (
        f"id: a\nkind: gearing\ninputs: {inputs}\nshow: {{table: {show}}}\ncases: {{one: {{}}, two: {{}}}}"
    )
    result = open_site(folder, {"a.md": calc(block)}).result("a", "a")
    assert result is not None
    return result


@pytest.mark.parametrize(
    ("show", "rows"),
    [
        ("[speed_at_limit.2]", [("speed_at_limit", "2")]),
        ("[speed_at_limit]", [("speed_at_limit", "1"), ("speed_at_limit", "2")]),
        ("[rolling_circumference]", [("rolling_circumference", "")]),
        (
            "[speed_at_limit.2, rolling_circumference, speed_at_limit]",
            [("speed_at_limit", "2"), ("rolling_circumference", ""), ("speed_at_limit", "1")],
        ),
        ("[rolling_circumference, rolling_circumference]", [("rolling_circumference", "")]),
    ],
)
def test_rows_in_sight_each_once_and_in_the_authors_order(
    tmp_path: Path, show: str, rows: list[tuple[str, str]]
) -> None:
    result = gearing(tmp_path, show)
    assert result.faults == ()
    assert list(result.named) == rows


@pytest.mark.parametrize(
    ("show", "found", "expected", "help"),
    [
        ("[speed_at_limit.3]", "“speed_at_limit.3”", "speed_at_limit and one of 1, 2", None),
        (
            "[rolling_circumference.1]",
            "“rolling_circumference.1”",
            "rolling_circumference, which has a single value",
            None,
        ),
        ("[sped_at_limit.2]", "the result “sped_at_limit.2”", "one of ", "did you mean “speed_at_limit”"),
        (
            "[rpm_at]",
            "“rpm_at”, which this block does not compute",
            "the inputs it needs: cruise_speed",
            None,
        ),
        (
            "[one.speed_at_limit.2]",
            "the result “one.speed_at_limit.2”",
            "one of ",
            "a row has all cases: write speed_at_limit.2",
        ),
    ],
)
def test_what_is_no_row(tmp_path: Path, show: str, found: str, expected: str, help: str | None) -> None:
    (fault,) = gearing(tmp_path, show).faults
    assert (fault.code.name, fault.found) == ("unknown-key", found)
    assert fault.expected.startswith(expected)
    assert fault.length == len(show) - 2
    if help is not None:
        assert fault.help.startswith(help)


DECISION = """
id: choice
kind: decision
requires:
  - {name: saves mass, key: mass, value: {steel: 0 g, light: 200 g}, at_least: 150 g}
  - {name: is within the budget, key: cost, value: {steel: 10 EUR, light: 90 EUR}, at_most: 100 EUR}
options: [steel, light]
"""


@pytest.mark.parametrize(
    ("chosen", "address", "rest"),
    [
        ("chosen: light\n", "mass", ("light", "margin", "mass")),
        ("chosen: light\n", "steel.mass", ("steel", "margin", "mass")),
        ("chosen: light\n", "steel", ("steel", "overall")),
        ("chosen: light\n", "overall", ("light", "overall")),
        ("chosen: light\n", "verdict.mass", ("light", "verdict", "mass")),
        ("chosen: light\n", "steel.verdict.cost", ("steel", "verdict", "cost")),
        ("", "mass", ("mass",)),  # which option is meant cannot be told, and is asked for
        ("", "steel.mass", ("steel", "margin", "mass")),
    ],
)
def test_what_an_address_into_a_decision_leaves_out(
    tmp_path: Path, chosen: str, address: str, rest: tuple[str, ...]
) -> None:
    block = open_site(tmp_path, {"a.md": calc(DECISION.strip() + "\n" + chosen)}).result("a", "choice")
    assert block is not None
    assert block.faults == ()
    assert in_full(block, read_address(f"calc:choice.{address}")).rest == rest


def test_the_word_on_a_margin(tmp_path: Path) -> None:
    """200 g save the 150 g that are asked, and nothing saves none; 90 EUR are within 100."""
    block = open_site(tmp_path, {"a.md": calc(DECISION)}).result("a", "choice")
    assert block is not None
    words = {
        (case, key): word_of(block, case, "margin", key) for case in block.cases for key in ("mass", "cost")
    }
    assert words == {
        ("steel", "mass"): "fails",
        ("steel", "cost"): "holds",
        ("light", "mass"): "holds",
        ("light", "cost"): "holds",
    }
    assert word_of(block, "light", "verdict", "mass") == ""
    other = gearing(tmp_path, "[speed_at_limit]")
    assert word_of(other, "one", "margin", "") == ""
    assert in_full(other, read_address("calc:a.speed_at_limit.2")).rest == ("speed_at_limit", "2")
