"""Files that a reader takes from a card: what is in them, and that nothing in them can run."""

from __future__ import annotations

import csv
import io
from math import hypot
from pathlib import Path
from urllib.parse import unquote

import pytest

from buildlog.files.spreadsheet import csv_text
from buildlog.render.download import downloads, results_csv
from tests.samples import GEARING, calc, open_site

BILL = calc(
    """
    id: bill
    kind: parts
    inputs:
      currency: EUR
      parts:
        - {name: "=1+1", quantity: 2, mass: 1.5 ± 0.1 kg, price: 3 EUR}
        - {name: "+cmd|calc", action: removed, mass: 4 lb}
    """
)


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_results_have_every_case_and_full_digits(tmp_path: Path) -> None:
    block = open_site(tmp_path, {"a.md": GEARING}).result("a", "shorter-final")
    assert block is not None
    third = next(
        row for row in rows(results_csv(block)) if (row["quantity"], row["key"]) == ("speed_at_limit", "3")
    )
    # 1.7568 m · 8200/60 / (1.4 · 41/9) · 3.6 by hand
    assert float(third["after"]) == pytest.approx(1.7568 * 8200 / 60 / (1.4 * 41 / 9) * 3.6, rel=1e-11)
    assert third["unit"] == "km/h"
    # The whole is the root of the sum of the squares of its parts (JCGM 100:2008, 5.1.2).
    whole, *parts = (
        float(third[f"after {what}"]) for what in ("expanded uncertainty", "of the inputs", "of the method")
    )
    assert whole == pytest.approx(hypot(*parts), rel=0.01)
    # The title reads alone, with the words of its row; the name is what addresses have.
    assert third["title"] == "road speed at the rev limit, gear 3"
    ratio = next(row for row in rows(results_csv(block)) if row["quantity"] == "overall_ratio")
    assert ratio["after expanded uncertainty"] == ""


def test_a_bill_can_be_taken_away(tmp_path: Path) -> None:
    block = open_site(tmp_path, {"a.md": BILL}).result("a", "bill")
    assert block is not None
    results, lines = downloads(block)
    assert (results.name, lines.name) == ("bill.csv", "bill-parts.csv")
    first, second = rows(unquote(lines.address.partition(",")[2]))
    assert first["price [EUR]"] == "3"
    assert float(second["mass [kg]"]) == pytest.approx(4 * 0.45359237)  # NIST SP 811, B.8
    assert first["reversible"] == "yes"
    total = next(row for row in rows(results_csv(block)) if row["quantity"] == "mass_fitted")
    assert float(total["value"]) == pytest.approx(3.0)
    assert float(total["value expanded uncertainty"]) == pytest.approx(0.4)  # U = 2 · 2 · 0.1 kg


def test_no_cell_starts_a_formula(tmp_path: Path) -> None:
    block = open_site(tmp_path, {"a.md": BILL}).result("a", "bill")
    assert block is not None
    first, second = rows(unquote(downloads(block)[1].address.partition(",")[2]))
    assert first["name"] == "'=1+1"
    assert second["name"] == "'+cmd|calc"


def test_a_negative_number_stays_one() -> None:
    """It runs nothing, and with an apostrophe no program would read it as a number."""
    text = csv_text(["x"], [["-0.85"], ["-1e-05"], ["-1+1"], ["-x"], [-2.5]])
    assert [row["x"] for row in rows(text)] == ["-0.85", "-1e-05", "'-1+1", "'-x", "-2.5"]
