"""Units that headings give to the cells of a table, by hand from the rules that the module states."""

from __future__ import annotations

import pytest

from buildlog.proof.table_cells import TableUnits, bare_figures, unit_of_heading
from buildlog.reading.markdown.page import Cell, ProseSpan
from buildlog.reading.markdown.scanner import scan


@pytest.mark.parametrize(
    ("heading", "unit"),
    [
        ("rpm", "rpm"),
        ("**rpm**", "rpm"),
        (" km/h ", "km/h"),
        ("claimed, mph", "mph"),
        ("torque / N·m", "N·m"),
        ("torque/ N·m", "N·m"),
        ("torque/N·m", "N·m"),
        ("torque – N·m", "N·m"),
        ("length in mm", "mm"),
        ("length: mm", "mm"),
        ("length, in", "in"),  # a word, but parted off
        ("time, s", "s"),
        ("mass (kg)", "kg"),
        ("mass [kg]", "kg"),
        ("gap (in)", "in"),
        ("mass (dry) (kg)", "kg"),
        ("km/h at the limit", "km/h"),
        ("pressure, psi cold", "psi"),
        ("speed km/h", "km/h"),
        # none
        ("speed", ""),
        ("in", ""),
        ("min", ""),
        ("second gear", ""),
        ("what is in", ""),
        ("time (h)", ""),
        ("time, min", ""),
        ("count, bolts", ""),
        ("5 mm", ""),
        ("at 5 mm", ""),
        ("", ""),
        ("V 8", ""),
        ("a/b", ""),
        ("rpm 2", ""),
        ("mass (as it stood there, kg)", ""),
    ],
)
def test_the_unit_of_a_heading(heading: str, unit: str) -> None:
    assert unit_of_heading(heading) == unit


@pytest.mark.parametrize(
    "cell",
    [
        "‹110›", " ‹110› ", "‹1.5›", "‹.5›", "‹-5›", "‹−5›", "‹+5›", "about ‹110›", "~‹110›", "≈ ‹110›",
        "‹110–120›", "‹110 to 120›", "‹110 ± 2›", "‹8 200›", "‹8,200›", "‹½›", "‹1½›", "‹110› (‹120›)",
        "‹110› (dry ‹120›)", "‹110›*", "‹110› or so", "‹110› max", "‹110›, at most", "‹110›;",
        "110 bolts", "110 mm", "fast", "", "M8", "v110", "see 110", "110x", "1234-5", "12:30",
    ],
)  # fmt: skip
def test_where_a_cell_has_figures(cell: str) -> None:
    text = cell.replace("‹", "").replace("›", "")
    for start, end in reversed(list(bare_figures(text))):
        text = f"{text[:start]}‹{text[start:end]}›{text[end:]}"
    assert text == cell


def units_in(table: str) -> dict[tuple[int, int], str]:
    """The unit of each cell but the corner, by row and column."""
    spans = scan(table, "a.md").prose
    units = TableUnits(spans)
    return {(span.cell.row, span.cell.column): units.of(span.cell) for span in spans if span.cell}


def test_a_column_has_the_unit_of_its_heading() -> None:
    found = units_in(
        "| car | speed, mph | mass (kg) |\n|---|---|---|\n| a | 110 | 900 |\n| b | 120 | 950 |\n"
    )
    assert found == {
        (0, 0): "", (0, 1): "", (0, 2): "",
        (1, 0): "", (1, 1): "mph", (1, 2): "kg",
        (2, 0): "", (2, 1): "mph", (2, 2): "kg",
    }  # fmt: skip


def test_a_row_has_the_unit_of_its_first_cell_where_the_column_has_none() -> None:
    found = units_in(
        "| | before | after (lb) |\n|---|---|---|\n| mass, kg | 900 | 1900 |\n| size | 3 | 4 |\n"
    )
    assert found[1, 1] == "kg"
    assert found[1, 2] == found[2, 2] == "lb"
    assert found[2, 1] == found[1, 0] == ""


def test_a_corner_has_the_unit_of_all_cells_where_neither_side_has_numbers() -> None:
    assert units_in("| N·m | a | b |\n|---|---|---|\n| x | 5 | 6 |\n")[1, 2] == "N·m"
    assert units_in("| N·m | 10 | b |\n|---|---|---|\n| x | 5 | 6 |\n")[1, 2] == ""
    assert units_in("| N·m | a | b |\n|---|---|---|\n| 7 | 5 | 6 |\n")[1, 2] == ""
    two = units_in("| N·m | a | b, mm |\n|---|---|---|\n| x | 5 | 6 |\n")  # then it is that of its own column
    assert (two[1, 0], two[1, 1], two[1, 2]) == ("N·m", "", "mm")


def test_tables_of_a_page_have_units_of_their_own() -> None:
    spans = [
        ProseSpan(line=1, column=1, text="mass, kg", cell=Cell(0, 0, 1)),
        ProseSpan(line=3, column=1, text="5", cell=Cell(0, 1, 1)),
        ProseSpan(line=9, column=1, text="5", cell=Cell(7, 1, 1)),
        ProseSpan(line=12, column=1, text="rpm"),
    ]
    units = TableUnits(spans)
    assert units.of(Cell(0, 1, 1)) == "kg"
    assert units.of(Cell(7, 1, 1)) == ""
    assert units.of(Cell(0, 0, 1)) == ""
