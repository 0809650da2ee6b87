"""Errors that readings share, and parts that cases share, against the package uncertainties."""

from __future__ import annotations

import json
from math import sqrt
from pathlib import Path

import pytest
from uncertainties import ufloat

from buildlog.book.book import Book
from buildlog.kinds.results import Value, change_between
from buildlog.proof.proof import proof_book
from buildlog.render.inputs import input_rows
from buildlog.render.reproduce import page_record
from buildlog.report.working import working_text
from tests.samples import calc, open_site

SCALES = """
id: scales
kind: weight_balance
inputs:
  left_front: 160 ± 0.4 kg
  right_front: 150 ± 0.4 kg
  left_rear: 180 ± 0.4 kg
  right_rear: 170 ± 0.4 kg
  wheelbase: 2.2 m
  front_track: 1.4 m
  rear_track: 1.5 m
"""
CORNERS = "[left_front, right_front, left_rear, right_rear]"


def result(book: Book, name: str, case: str = "", key: str = "") -> Value:
    assert not proof_book(book).errors
    block = book.result("a", book.pages["a"].blocks[0].id)
    assert block is not None
    value = block.value(case, name, key)
    assert isinstance(value, Value)
    return value


def scales(folder: Path, common: str) -> Book:
    return open_site(folder, {"a.md": calc(SCALES + common)})


def test_a_common_share_cancels_in_a_share_and_not_in_the_whole(tmp_path: Path) -> None:
    """uncertainties 3.2.3: readings of their own times one indicator factor of 1 ± 0.005."""
    book = scales(tmp_path, f"common:\n  indicator: {{of: {CORNERS}, by: ± 0.5 %}}\n")
    factor = ufloat(1, 0.005)
    corners = [ufloat(mass, 0.4) * factor for mass in (160, 150, 180, 170)]
    whole = sum(corners)
    share = (corners[0] + corners[1]) / whole
    assert result(book, "total_mass").standard_uncertainty == pytest.approx(whole.s, rel=1e-6)
    assert result(book, "total_mass").standard_uncertainty > 3.3  # 0.5 % of 660 kg, not of four apart
    assert result(book, "front_share").standard_uncertainty == pytest.approx(share.s, rel=1e-4)
    alone = scales(tmp_path, "")
    assert result(alone, "front_share").standard_uncertainty == pytest.approx(share.s, rel=1e-4)


def test_a_common_amount_is_one_error(tmp_path: Path) -> None:
    """uncertainties 3.2.3: readings with one zero error of ± 1 kg (k=2)."""
    book = scales(tmp_path, f"common:\n  zero: {{of: {CORNERS}, by: ± 1 kg (k=2)}}\n")
    zero = ufloat(0, 0.5)
    corners = [ufloat(mass, 0.4) + zero for mass in (160, 150, 180, 170)]
    whole = sum(corners)
    assert result(book, "total_mass").standard_uncertainty == pytest.approx(whole.s, rel=1e-6)
    assert result(book, "front_share").standard_uncertainty == pytest.approx(
        ((corners[0] + corners[1]) / whole).s, rel=1e-4
    )


def test_ten_resistors_of_the_guide(tmp_path: Path) -> None:
    """JCGM 100:2008, 5.2.2 example: ten resistors compared with one standard of u = 100 mΩ have a sum with
    1 Ω, not 0.32 Ω (from memory, sure): here ten parts weighed on one scale, ± 10 g each, ± 100 g in all."""
    rows = "".join(f"    - {{name: part {number}, mass: 1 kg}}\n" for number in range(10))
    text = f"id: b\nkind: parts\ninputs:\n  currency: EUR\n  parts:\n{rows}common:\n" + (
        "  scale: {of: parts.mass, by: ± 10 g}\n"
    )
    value = result(open_site(tmp_path, {"a.md": calc(text)}), "mass_fitted")
    assert value.standard_uncertainty == pytest.approx(0.1, rel=1e-9)


def test_limits_of_what_is_shared(tmp_path: Path) -> None:
    """JCGM 100:2008, 4.3.7: a/√3."""
    book = scales(tmp_path, "common:\n  zero: {of: [left_front], by: ± 0.5 kg limits}\n")
    own = 4 * 0.4**2
    assert result(book, "total_mass").standard_uncertainty == pytest.approx(sqrt(own + 0.25 / 3), rel=1e-9)


@pytest.mark.parametrize(
    "common, code, said",
    [
        ("common: 3", "common-shape", "by: ± 0.5 %"),
        ("common: {zero: 3}", "common-shape", "by: ± 0.5 %"),
        ("common: {zero: {of: [left_front]}}", "common-shape", "no by"),
        ("common: {zero: {by: ± 1 kg}}", "common-shape", "no list"),
        ("common: {zero: {of: [left_front], by: some}}", "common-shape", "how far"),
        ("common: {zero: {of: [left_front], by: ± 1 kg, to: 3}}", "common-shape", "of and by"),
        ("common: {zero: {of: [left_frnt], by: ± 1 kg}}", "common-shape", "left_front"),
        ("common: {zero: {of: [raised_height], by: ± 1 mm}}", "common-shape", "an input that the block has"),
        ("common: {zero: {of: [left_front], by: ± 1 mm}}", "wrong-dimension", "mass"),
        ("common: {zero: {of: [left_front.mass], by: ± 1 kg}}", "common-shape", "a number"),
    ],
)
def test_what_is_not_said_fully(tmp_path: Path, common: str, code: str, said: str) -> None:
    findings = proof_book(scales(tmp_path, common + "\n")).errors
    assert code in [finding.code.name for finding in findings]
    assert any(said in f"{one.found} {one.expected} {one.help}" for one in findings)


def test_a_value_of_another_block_brings_its_own(tmp_path: Path) -> None:
    other = SCALES.replace("id: scales", "id: again").replace("160 ± 0.4 kg", "calc:scales.axle_load.front")
    text = calc(SCALES) + calc(other + "common: {zero: {of: [left_front], by: ± 1 kg}}\n")
    (error,) = proof_book(open_site(tmp_path, {"a.md": text})).errors
    assert "left_front, which another block gives" in error.found


def bill(folder: Path, old: str, new: str) -> tuple[Value, Value]:
    text = f"""
id: bill
kind: parts
inputs: {{currency: EUR}}
cases:
  dear:
    parts:
      - {{name: small battery, mass: 3.9 ± 0.1 kg}}
      - {{name: old battery, mass: {old}, action: removed}}
  cheap:
    parts:
      - {{name: larger battery, mass: 5.2 ± 0.1 kg}}
      - {{name: old battery, mass: {new}, action: removed}}
"""
    book = open_site(folder, {"a.md": calc(text)})
    return result(book, "mass_change", "dear"), result(book, "mass_change", "cheap")


def test_a_part_that_both_cases_have_cancels(tmp_path: Path) -> None:
    """uncertainties 3.2.3: (5.2 − old) − (3.9 − old) has the doubt of two batteries, not of four."""
    old, small, larger = ufloat(13.8, 0.1), ufloat(3.9, 0.1), ufloat(5.2, 0.1)
    apart = change_between(*bill(tmp_path, "13.8 ± 0.1 kg", "13.8 ± 0.1 kg"))
    assert apart.standard_uncertainty == pytest.approx(((larger - old) - (small - old)).s, rel=1e-9)
    assert apart.standard_uncertainty == pytest.approx(0.1 * sqrt(2), rel=1e-9)


def test_a_part_weighed_again_does_not_cancel(tmp_path: Path) -> None:
    apart = change_between(*bill(tmp_path, "13.8 ± 0.1 kg", "13.9 ± 0.1 kg"))
    assert apart.standard_uncertainty == pytest.approx(0.2, rel=1e-9)


def test_what_is_shared_is_shown(tmp_path: Path) -> None:
    """In the card's inputs and in the working: what moves a result is never silent."""
    book = scales(tmp_path, f"common:\n  indicator: {{of: {CORNERS}, by: 0.5 %}}\n")
    block = book.results["a", "scales"]
    (row,) = [row for row in input_rows(block) if row.label == "Indicator"]
    words = "± 0.5 %, together: left_front, right_front, left_rear, right_rear"
    assert row.values[0].text == words
    assert words[:30] in working_text(block)
    assert json.loads(page_record(book, "a"))["blocks"][0]["common"] == [
        {"name": "indicator", "of": CORNERS.strip("[]").split(", "), "by": "0.5 %"}
    ]
