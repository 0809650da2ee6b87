"""Bills of materials against sums made by hand with `fractions`, and their refusals."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import pi
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from buildlog.calculators import parts
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import Bar, Measure, Working
from buildlog.kinds.results import Value
from buildlog.physics import bill
from buildlog.proof.proof import proof_book
from buildlog.render.needs import needs_of
from tests.calculators.seen import Seen, seen
from tests.samples import calc, open_site

ROW = {"quantity": 1, "action": "fitted", "origin": "bought", "reversible": True}


def run(*rows: dict[str, Any]) -> tuple[dict[str, Any], Working]:
    working = Working()
    named = [{**ROW, "name": f"part {number}", **row} for number, row in enumerate(rows, start=1)]
    return parts.compute({"currency": "EUR", "parts": named}, working), working


def bill_of(*rows: dict[str, Any], **changed: Any) -> Seen:
    named = [{**ROW, "name": f"part {number}", **row} for number, row in enumerate(rows, start=1)]
    return seen(parts.compute, {"currency": "EUR", "parts": named, **changed})


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


def test_hose_by_the_metre() -> None:
    """Hose of 60 mm inside and 66 mm outside of rubber of 1150 kg/m³, 0.9 m of it: the volume of a hollow
    cylinder, π/4 (D² − d²) L (definition); 0.9 m at 14.00 a metre are 12.60 (Python decimal)."""
    per_metre = 1150 * pi / 4 * (0.066**2 - 0.060**2)
    case = bill_of({"length": 0.9, "mass_per_metre": per_metre, "price_per_metre": 14.0, "quantity": 2})
    assert case.outputs["mass_fitted"] == pytest.approx(2 * 1150 * pi * 0.9 * (0.033**2 - 0.030**2))
    assert case.outputs["cost_total"] == pytest.approx(float(2 * Decimal("0.9") * Decimal("14.00")))


@pytest.mark.parametrize(
    "outside, wall, printed",
    [
        # EN 10255:2004, table 2, plain tube of the medium series: outside diameter, wall (mm), kg/m
        # (from memory). Steel of 7850 kg/m³ (notes to section tables to EN 10210, read).
        (21.3, 2.6, 1.21),
        (26.9, 2.6, 1.56),
        (33.7, 3.2, 2.41),
        (42.4, 3.2, 3.10),
    ],
)
def test_tube_of_a_standard(outside: float, wall: float, printed: float) -> None:
    bore = outside - 2 * wall
    per_metre = 7850 * pi / 4 * (outside**2 - bore**2) * 1e-6
    case = bill_of({"length": 6.0, "mass_per_metre": per_metre})
    assert case.outputs["mass_fitted"] / 6 == pytest.approx(printed, abs=0.011)


def test_litres_are_no_whole_numbers() -> None:
    """1.5 l of oil at 11.90 a litre are 17.85 (Python decimal)."""
    case = bill_of({"quantity": 1.5, "price": 11.90})
    assert case.outputs["cost_total"] == pytest.approx(float(Decimal("1.5") * Decimal("11.90")))


def abroad(price: float, code: str) -> dict[str, Any]:
    return {"foreign_price": Measure(price, f"money in {code}", code, 2)}


def test_a_price_in_another_currency() -> None:
    """EUR 1 = DEM 1.95583, fixed for good by Council Regulation (EC) No 2866/98, article 1 (read):
    here with the franc as what another currency was worth. 210 of it at 1/1.95583 are 107.37."""
    rates = [{"currency": "CHF", "worth": 1 / 1.95583, "date": "1999-01-01"}]
    case = bill_of(abroad(210.0, "CHF"), rates=rates)
    assert case.outputs["cost_total"] == pytest.approx(float(Decimal(210) / Decimal("1.95583")))
    assert f"{case.outputs['cost_total']:.2f}" == "107.37"


def test_the_doubt_of_a_rate_is_one_error(tmp_path: Path) -> None:
    """uncertainties 3.2.3: two prices at one rate of 1.17 ± 0.01."""
    text = calc(
        """
        id: a
        kind: parts
        inputs:
          currency: EUR
          rates: [{currency: GBP, worth: 1.17 ± 0.01 EUR, date: 2025-03-14}]
          parts:
            - {name: one, foreign_price: 20 ± 0.50 GBP}
            - {name: two, foreign_price: 30 GBP}
        """
    )
    book = open_site(tmp_path, {"a.md": text})
    assert not proof_book(book).errors
    value = book.results["a", "a"].value("", "cost_total")
    assert isinstance(value, Value)
    rate, one = ufloat(1.17, 0.01), ufloat(20, 0.5)
    total = rate * one + rate * 30
    assert (value.si, value.standard_uncertainty) == pytest.approx((total.n, total.s), rel=1e-6)
    assert value.dimension == "money in EUR"


def test_hours_add_up() -> None:
    """2 h 30 min and 45 min are 3 h 15 min."""
    case = bill_of({"working_time": 2.5 * 3600}, {"working_time": 0.75 * 3600, "action": "removed"}, {})
    assert case.outputs["working_time"] == pytest.approx(3.25 * 3600)
    assert set(case.outputs["line_working_time"]) == {"part-1", "part-2"}
    assert "working_time" not in bill_of({}).outputs


GBP = [{"currency": "GBP", "worth": 1.17, "date": "2025-03-14"}]


@pytest.mark.parametrize(
    "rows, rates, error, at",
    [
        ([abroad(5.0, "GBP")], [], InputsConflict, (0, "foreign_price")),
        ([abroad(5.0, "EUR")], GBP, InputsConflict, (0, "foreign_price")),
        ([{"foreign_price": Measure(5.0, "mass", "kg", 1)}], GBP, InputsConflict, (0, "foreign_price")),
        ([{**abroad(5.0, "GBP"), "price": 4.0}], GBP, InputsConflict, (0, "foreign_price")),
        ([{}], [*GBP, *GBP], InputsConflict, (1, "currency")),
        ([{}], [{**GBP[0], "currency": "EUR"}], InputsConflict, (0, "currency")),
        ([{"mass": 1.0, "length": 1.0, "mass_per_metre": 1.0}], [], InputsConflict, (0, "mass_per_metre")),
        ([{"mass_per_metre": 1.0}], [], MissingInput, (0, "mass_per_metre")),
        ([{"length": 1.0, "mass": 1.0}], [], MissingInput, (0, "length")),
        ([{"price_per_metre": 1.0, "action": "removed"}], [], InputsConflict, (0, "price_per_metre")),
    ],
)
def test_refused_rows(
    rows: list[dict[str, Any]], rates: list[dict[str, Any]], error: type[Refused], at: tuple[int, str]
) -> None:
    with pytest.raises(error) as refused:
        bill_of(*rows, rates=rates)
    assert refused.value.at == at


def ends(bars: tuple[Bar, ...]) -> list[float]:
    return [bar.start + bar.value for bar in bars]


def test_waterfalls_end_where_the_bill_does() -> None:
    """A running sum (itertools.accumulate) of the bill by hand above; the last bar is the whole."""
    case = bill_of(
        {"mass": 0.84, "price": 31.0},
        {"mass": 2.10, "action": "removed"},
        {"quantity": 4, "mass": 0.035, "price": 2.40},
    )
    masses, costs = parts.chart({"": case})
    assert ends(masses.bars) == pytest.approx([0.84, -1.26, -1.12, -1.12])
    assert [bar.label for bar in masses.bars] == ["part 1", "part 2", "part 3", "in all"]
    assert [bar.start for bar in masses.bars] == pytest.approx([0, 0.84, -1.26, 0])
    assert ends(costs.bars) == pytest.approx([31.0, 40.6, 40.6])


def test_a_long_bill_is_drawn_with_its_small_lines_together() -> None:
    case = bill_of(*({"mass": 0.1 * number, "price": 1.0 * number} for number in range(1, 61)))
    for spec in parts.chart({"": case}):
        assert len(spec.bars) <= 25
        assert ends(spec.bars)[-1] == pytest.approx(ends(spec.bars)[-2])


@pytest.mark.parametrize(
    "link, fine",
    [
        ("https://example.org/part?id=5", True),
        ("http://example.org/a_b", True),
        ("javascript:alert(1)", False),
        ("https://a.example/<script>", False),
        ("ftp://example.org/x", False),
        ("//example.org", False),
    ],
)
def test_links_are_web_addresses(tmp_path: Path, link: str, fine: bool) -> None:
    row = f'{{name: bolt, link: "{link}", date: 2025-03-14, part_number: 10-5, supplier: A & B}}'
    text = calc(f"id: a\nkind: parts\ninputs:\n  currency: EUR\n  parts:\n    - {row}")
    errors = proof_book(open_site(tmp_path, {"a.md": text})).errors
    assert [error.code.name for error in errors] == ([] if fine else ["value-unreadable"])


@pytest.mark.parametrize("day", ["2025-02-30", "14.3.2025", "2025-3-14", "20250314"])
def test_days_of_the_calendar(tmp_path: Path, day: str) -> None:
    text = calc(f"id: a\nkind: parts\ninputs:\n  currency: EUR\n  parts:\n    - {{name: bolt, date: {day}}}")
    (error,) = proof_book(open_site(tmp_path, {"a.md": text})).errors
    assert "2025-03-14" in error.expected


def test_what_you_need_says_how_much_and_where(tmp_path: Path) -> None:
    text = calc(
        """
        id: bill
        kind: parts
        inputs:
          currency: EUR
          parts:
            - {name: hose, quantity: 2, length: 0.45 m, price_per_metre: 14 EUR/m}
            - {name: oil, quantity: 1.5, price: 11.90 EUR, supplier: the corner shop}
            - {name: clamp, part_number: HC-60, link: "https://example.org/?a=1&b=2"}
        """
    )
    book = open_site(tmp_path, {"a.md": f"---\nbill: bill\n---\n\n{text}"})
    assert not proof_book(book).errors
    (bill_,) = needs_of(book, book.pages["a"]).bills
    assert [(part.amount, part.name, part.where) for part in bill_.parts] == [
        ("2 × 0.45 m", "hose", ""),
        ("1.5 ×", "oil", "the corner shop"),
        ("", "clamp", "HC-60"),
    ]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_whole_bills_added_up_otherwise(seed: int, tmp_path: Path) -> None:
    """Bills of twelve lines with quantities, lengths, a currency and one scale, by uncertainties 3.2.3:
    the scale's half per cent is one error of all masses, so that it nearly cancels in the change."""
    draw = Random(seed)
    rate, scale = ufloat(1.17, 0.01), ufloat(1, 0.005)
    lines, fitted, removed, cost = [], 0 * scale, 0 * scale, 0 * rate
    for number in range(12):
        many, mass, price = draw.randint(1, 6), draw.randint(40, 3000), draw.randint(100, 9000) / 100
        if number % 4 == 0:
            lines.append(f"{{name: p{number}, action: removed, quantity: {many}, mass: {mass} g}}")
            removed += many * mass / 1000 * scale
        elif number % 4 == 1:
            length = draw.randint(10, 300) / 100
            lines.append(
                f"{{name: p{number}, quantity: {many}, length: {length} m, mass_per_metre: {mass} g/m, "
                f"price_per_metre: {price} EUR/m}}"
            )
            fitted += many * length * mass / 1000
            cost += many * length * price
        else:
            abroad_too = number % 4 == 2
            word = f"foreign_price: {price} GBP" if abroad_too else f"price: {price} EUR"
            lines.append(f"{{name: p{number}, quantity: {many}, mass: {mass} g, {word}}}")
            fitted += many * mass / 1000 * scale
            cost += many * price * (rate if abroad_too else 1)
    rows = "".join(f"\n    - {line}" for line in lines)
    text = calc(
        """
        id: a
        kind: parts
        inputs:
          currency: EUR
          rates: [{currency: GBP, worth: 1.17 ± 0.01 EUR, date: 2025-03-14}]
          parts:ROWS
        common:
          scale: {of: [parts.mass], by: ± 0.5 %}
        """
    ).replace("ROWS", rows)
    book = open_site(tmp_path, {"a.md": text})
    assert not proof_book(book).errors
    for name, own in (
        ("mass_fitted", fitted),
        ("mass_removed", removed),
        ("mass_change", fitted - removed),
        ("cost_total", cost),
    ):
        value = book.results["a", "a"].value("", name)
        assert isinstance(value, Value)
        assert (value.si, value.standard_uncertainty) == pytest.approx((own.n, own.s), rel=1e-6), name
