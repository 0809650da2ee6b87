"""Bills of materials against sums made by hand with `fractions`, and their refusals."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.calculators import parts
from buildlog.diagnostics import InputsConflict, OutOfRange
from buildlog.kinds.declaration import Working
from buildlog.physics import bill
from buildlog.proof.proof import proof_book
from tests.samples import calc, open_site

ROW = {"quantity": 1, "action": "fitted", "origin": "bought", "reversible": True}


def run(*rows: dict[str, Any]) -> tuple[dict[str, Any], Working]:
    working = Working()
    named = [{**ROW, "name": f"part {number}", **row} for number, row in enumerate(rows, start=1)]
    return parts.compute({"currency": "EUR", "parts": named}, working), working


def test_a_bill_by_hand() -> None:
    """0.84 + 4 × 0.035 = 0.98 kg on, 2.10 kg off: −1.12 kg; 31 + 4 × 2.40 = 40.60, by 1.12 is 36.25."""
    outputs, _ = run(
        {"mass": 0.84, "price": 31.0, "origin": "made"},
        {"quantity": 4, "mass": 0.035, "price": 2.40},
        {"mass": 2.10, "action": "removed"},
    )
    assert outputs["mass_fitted"] == pytest.approx(0.98)
    assert outputs["mass_change"] == pytest.approx(-1.12)
    assert outputs["cost_made"] == pytest.approx(31)
    assert outputs["cost_bought"] == pytest.approx(9.60)
    assert outputs["cost_total"] == pytest.approx(40.60)
    assert outputs["cost_per_kilogram_saved"] == pytest.approx(36.25)
    assert outputs["line_cost"]["part-2"] == pytest.approx(9.60)


def test_no_price_of_a_kilogram_when_nothing_is_saved() -> None:
    outputs, _ = run({"mass": 1.0, "price": 10.0})
    assert "cost_per_kilogram_saved" not in outputs
    assert outputs["mass_change"] == 1.0


def test_what_is_not_weighed_is_said() -> None:
    outputs, working = run({"name": "tape", "price": 3.0}, {"mass": 2.0, "action": "removed"})
    assert "mass_change" not in outputs
    assert working.remarks == ["Not weighed, and not in the masses: tape."]


def test_reversibility_names_what_stays() -> None:
    outputs, _ = run({"mass": 1.0}, {"name": "bracket", "mass": 0.1, "reversible": False})
    assert outputs["reversibility"] == "cannot be undone: bracket"


def test_a_removed_part_has_no_price() -> None:
    with pytest.raises(InputsConflict) as refused:
        run({"name": "old box", "action": "removed", "price": 5.0})
    assert refused.value.name == "parts"


def test_cost_per_mass_needs_a_saving() -> None:
    with pytest.raises(OutOfRange):
        bill.cost_per_mass_saved(10.0, 0.0)


@given(st.lists(st.tuples(st.integers(1, 50), st.floats(0, 100), st.booleans()), min_size=1, max_size=20))
def test_totals_are_exact_sums(rows: list[tuple[int, float, bool]]) -> None:
    """Against exact rational arithmetic (Python fractions)."""
    outputs, _ = run(
        *({"quantity": n, "mass": m, "action": "fitted" if on else "removed"} for n, m, on in rows)
    )
    exact = sum((n * Fraction(m) * (1 if on else -1) for n, m, on in rows), Fraction(0))
    size = sum(n * m for n, m, _ in rows)
    assert outputs["mass_change"] == pytest.approx(float(exact), abs=1e-12 * (size + 1))


def test_currencies_do_not_mix(tmp_path: Path) -> None:
    text = calc(
        """
        id: a
        kind: parts
        inputs:
          currency: GBP
          parts:
            - {name: bolt, mass: 10 g, price: 1 GBP}
            - {name: nut, mass: 5 g, price: 1 EUR}
        """
    )
    (finding,) = proof_book(open_site(tmp_path, {"a.md": text})).errors
    assert (finding.code.name, finding.position.line, finding.position.column) == ("wrong-dimension", 8, 37)
    assert "GBP" in finding.expected


def test_money_reaches_the_prose(tmp_path: Path) -> None:
    block = calc(
        """
        id: a
        kind: parts
        inputs:
          currency: EUR
          parts:
            - {name: bolt, quantity: 3, mass: 10 g, price: 1.25 EUR}
        """
    )
    prose = "[3.75 EUR](calc:a.cost_total) and [€3.75](calc:a.cost_total), not [£3.75](calc:a.cost_total)."
    (finding,) = proof_book(open_site(tmp_path, {"a.md": f"{prose}\n\n{block}"})).errors
    assert finding.code.name == "wrong-dimension"
