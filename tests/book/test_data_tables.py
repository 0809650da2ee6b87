"""Tables from data files, through the whole book: any kind's rows may stand in one."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import unquote

import pytest
from click.testing import CliRunner

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.diagnostics import Position
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import Table
from buildlog.kinds.money import CURRENCY, inputs_in
from buildlog.kinds.results import CaseResult
from buildlog.proof.proof import proof_book
from buildlog.reading.data import Heading, read_data
from buildlog.reading.inputs import InputReader
from buildlog.reading.nodes import YamlMapping, YamlScalar
from buildlog.render.download import downloads, table_csv
from tests.samples import calc, open_site

ROOT = Path(__file__).resolve().parents[2]
IN_BLOCK = calc(
    """
    id: written
    kind: parts
    inputs:
      currency: EUR
      parts:
        - {name: Header, mass: 4.1 ± 0.1 kg, price: 210 EUR, origin: made, quantity: 2}
        - {name: Manifold, mass: 9 lb, action: removed, reversible: no}
    """
)
IN_FILE = calc("id: measured\nkind: parts\ninputs: {currency: EUR, parts: {data: bill.csv}}")
BILL = (
    "name;quantity;mass [kg];price [EUR];action;origin;reversible\n"
    "Header;2;4.1 ± 0.1;210;;made;\n"
    "Manifold;;9 lb;;removed;;no\n"
)


def test_a_bill_in_a_file_gives_what_the_same_lines_in_the_block_give(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.md": f"{IN_BLOCK}\n{IN_FILE}", "bill.csv": BILL})
    assert proof_book(book).errors == ()
    written, measured = (book.results["a", name].cases[""] for name in ("written", "measured"))
    assert measured.inputs == written.inputs
    assert measured.outputs == written.outputs
    assert "Manifold" in str(measured.outputs["reversibility"])

    def doubts(case: CaseResult) -> list[float]:
        return [case.values[name].expanded_uncertainty for name in ("mass_fitted", "mass_change")]  # type: ignore[union-attr]

    # Two headers of 4.1 ± 0.1 kg each: U = k · 2 · 0.1 kg (JCGM 100:2008, 5.1.2 and 6.2.1)
    assert doubts(measured) == doubts(written) == pytest.approx([0.4, 0.4])


def test_a_bad_cell_is_a_finding_at_its_place_in_the_file(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.md": IN_FILE, "bill.csv": BILL.replace("removed", "remvoed")})
    (finding,) = proof_book(book).errors
    assert finding.position == Position("content/bill.csv", 3, 17)
    assert finding.second == Position("content/a.md", 4, 39)
    assert "did you mean “removed”?" in finding.help
    shown = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)]).output
    assert "content/bill.csv:3:17" in shown
    assert "Manifold;;9 lb;;›remvoed‹;;no" in shown
    assert "content/a.md:4:39" in shown


def test_a_file_mended_is_read_again(tmp_path: Path) -> None:
    before = open_site(tmp_path, {"a.md": IN_FILE, "bill.csv": BILL.replace("2;4.1", "0;4.1")})
    assert not before.results["a", "measured"].cases
    (tmp_path / "content" / "bill.csv").write_text(BILL, "utf-8")
    after = Book.open(tmp_path / "content", root=tmp_path, earlier=before)
    assert after.results["a", "measured"].cases


def tables() -> list[tuple[str, Table]]:
    return [
        (f"{kind}.{declared.name}", declared.form)
        for kind in catalogue.kind_names()
        for declared in inputs_in(catalogue.load_kind(kind).inputs, "EUR")
        if isinstance(declared.form, Table)
    ]


def test_a_separator_is_not_looked_for_in_quotes(tmp_path: Path) -> None:
    """RFC 4180, 2.6: what stands in quotes may hold separators and line ends."""
    text = '"Item; as ordered","Weight\n[g]",quantity\nHeader,4100,2\n'
    block = calc(
        """
        id: quoted
        kind: parts
        inputs:
          currency: EUR
          parts: {data: shop.csv, columns: {name: "Item; as ordered", mass: weight}}
        """
    )
    book = open_site(tmp_path, {"a.md": block, "shop.csv": text})
    assert proof_book(book).errors == ()
    (case,) = book.results["a", "quoted"].cases.values()
    assert case.outputs["line_mass"] == {"Header": pytest.approx(8.2)}


@pytest.mark.parametrize(("name", "form"), tables(), ids=[name for name, _ in tables()])
def test_every_table_of_every_kind_has_cells_that_a_file_can_hold(name: str, form: Table) -> None:
    assert [column.name for column in form.columns if column.form.row or column.form.item is not None] == []


def test_what_a_reader_takes_away_can_be_put_into_a_block(tmp_path: Path) -> None:
    """Every table of the demonstration, written as its card offers it and read as data."""
    book = Book.open(ROOT / "content", root=ROOT)
    read_back = 0
    for block in book.results.values():
        for case in block.cases.values():
            declared = block.calculator.inputs if block.calculator else ()
            for table in inputs_in(declared, str(case.inputs.get(CURRENCY, "EUR"))):
                rows = case.inputs.get(table.name)
                if not isinstance(table.form, Table) or not rows:
                    continue
                text = table_csv(table.form.columns, rows)
                assert any(text == unquote(file.address.partition(",")[2]) for file in downloads(block))
                (tmp_path / "taken.csv").write_text(text, "utf-8")
                data = read_data(tmp_path, "taken.csv", table.form, lambda path: path.name)
                reader = InputReader(
                    resolve=lambda text, position: pytest.fail(text),
                    data=lambda name, *_: pytest.fail(name),
                )
                assert data.rows is not None
                again = reader.read(data.rows, table.form, (table.name,))
                assert reader.faults == []
                assert len(again) == len(rows)
                for row, was in zip(again, rows, strict=True):
                    assert row.keys() == was.keys()
                    for column, value in row.items():
                        # Numbers are written with 12 significant digits.
                        number = isinstance(value, float)
                        assert value == (pytest.approx(was[column], rel=1e-11) if number else was[column])
                read_back += 1
    assert read_back > 0


SHOP = (
    "Pos.;Item (as ordered);Weight [g];Qty;Unit price;Ordered on;Remarks?\n"
    "1;Header;4100 ± 100;2;210;3 March;by post\n"
    "2;Manifold;4082.33133;1;;;goes back\n"
)
MAPPED = """
id: mapped
kind: parts
inputs:
  currency: EUR
  parts:
    data: shop.csv
    columns:
      name: Item (as ordered)
      mass: weight
      quantity: Qty
      price: {heading: Unit price, unit: EUR}
"""


def test_columns_go_by_what_the_file_calls_them(tmp_path: Path) -> None:
    """A shop's own list, with columns that nobody asked for, gives the bill that is written in the block:
    8.2 kg and 9 lb (4.082 331 33 kg, NIST SP 811, B.8), 420 EUR."""
    book = open_site(tmp_path, {"a.md": calc(MAPPED), "shop.csv": SHOP})
    assert proof_book(book).errors == ()
    (case,) = book.results["a", "mapped"].cases.values()
    assert case.outputs["line_mass"] == {
        "Header": pytest.approx(8.2),
        "Manifold": pytest.approx(9 * 0.45359237),
    }
    assert case.outputs["cost_total"] == pytest.approx(420)


@pytest.mark.parametrize(
    "was, now, place, said",
    [
        ("mass: weight", "mass: wait", ("content/a.md", 10), "“wait”, which content/shop.csv has not"),
        ("mass: weight", "mas: weight", ("content/a.md", 10), "did you mean “mass”?"),
        ("mass: weight", "mass: [weight]", ("content/a.md", 10), 'columns: {mass: "Weight [g]"}'),
        ("unit: EUR", "unit: kg", ("content/shop.csv", 1), "EUR"),
        ("price: {heading: Unit price, unit: EUR}", "price: Unit price", ("content/shop.csv", 1), "unit"),
        (
            "data: shop.csv",
            "data: shop.csv\n    file: x",
            ("content/a.md", 8),
            "columns: {name: its heading}",
        ),
        ("mass: weight", "price: weight", ("content/a.md", 11), "twice"),
        ("unit: EUR", "units: EUR", ("content/a.md", 12), "“units”"),
        ("unit: EUR", "unit: [EUR]", ("content/a.md", 12), 'columns: {mass: "Weight [g]"}'),
        ("mass: weight", "mass: qty", ("content/a.md", 11), "“Qty” for mass and for quantity"),
        (
            "mass: weight",
            "mass: {heading: weight, unit: kg}",
            ("content/a.md", 10),
            "unit: kg for mass, headed in g",
        ),
    ],
)
def test_columns_that_are_not_there(
    tmp_path: Path, was: str, now: str, place: tuple[str, int], said: str
) -> None:
    book = open_site(tmp_path, {"a.md": calc(MAPPED.replace(was, now)), "shop.csv": SHOP})
    errors = proof_book(book).errors
    assert errors
    assert any(said in f"{one.found} {one.expected} {one.help}" for one in errors)
    assert place[0] in {one.position.path for one in errors}


@pytest.mark.parametrize(("name", "form"), tables(), ids=[name for name, _ in tables()])
def test_every_table_of_every_kind_can_be_mapped(tmp_path: Path, name: str, form: Table) -> None:
    """Every column under a heading of the author's own, beside columns that are nobody's."""
    heads = [f"Spalte {number} (x?)" for number, _ in enumerate(form.columns)]
    (tmp_path / "own.csv").write_text(
        "Pos.;" + ";".join(heads) + ";%&\n" + "1;" + ";".join("?" for _ in heads) + ";2\n", "utf-8"
    )
    mapped = {
        column.name: Heading(text=head, written=YamlScalar(Position("a.md"), head))
        for column, head in zip(form.columns, heads, strict=True)
    }
    data = read_data(tmp_path, "own.csv", form, lambda path: path.name, mapped)
    assert data.findings == ()
    assert data.rows is not None
    (row,) = data.rows.items
    assert isinstance(row, YamlMapping)
    assert [key.text for key, _ in row.entries] == [column.name for column in form.columns]
