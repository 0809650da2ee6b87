"""Attack: text of an author that a spreadsheet would run as a formula, or that breaks a table apart."""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Sequence
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from buildlog.cli import main
from buildlog.figures import units
from buildlog.files.spreadsheet import csv_text
from tests.samples import write_site

# OWASP, “CSV Injection” (owasp.org/www-community/attacks/CSV_Injection): what a cell is not to begin with.
# The small and raised forms are those that compatibility decomposition makes of the same signs (Unicode,
# UnicodeData.txt).
STARTERS = ["=", "+", "-", "@", "＝", "＋", "－", "＠", "﹦", "﹢", "﹣", "﹫", "⁼", "₌"]
UNSEEN = [
    "",
    " ",
    "\u00a0",
    "\u3000",
    "\u200b",
    "\ufeff",
    "\t",
    "\r",
    "\n",
    "\v",
    "\f",
    "\x1b",
    "\u2028",
    "\u0085",
]
PAYLOADS = ["1+1", "cmd|' /C calc'!A0", 'HYPERLINK("http://x.example","y")', "SUM(A1:A9)*1"]


def read(text: str) -> list[list[str]]:
    """The records of a table, as Python's own reader has them."""
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def one(cell: str | float) -> str:
    """A cell as it is read again, beside others."""
    _, record, following = read(csv_text(["x", "y", "z"], [["a", cell, "b"], ["next", 1, None]]))
    assert (record[0], record[2], following) == ("a", "b", ["next", "1", ""])
    return record[1]


@pytest.mark.parametrize("payload", PAYLOADS)
@pytest.mark.parametrize("starter", STARTERS)
def test_a_formula_is_led_by_an_apostrophe_behind_whatever_is_not_seen(starter: str, payload: str) -> None:
    for before in UNSEEN:
        text = f"{before}{starter}{payload}"
        assert one(text).startswith("'")
        assert one(text).replace("'", "") == text.replace("'", "")


@pytest.mark.parametrize("separator", [";", "\t", "\r", "\n", "\r\n"])
def test_a_formula_is_disarmed_where_another_program_begins_a_cell(separator: str) -> None:
    assert one(f"x{separator}=1+1{separator}y") == f"x{separator}'=1+1{separator}y"
    assert one(f"x{separator} -0.5{separator}y") == f"x{separator} -0.5{separator}y"


@pytest.mark.parametrize("text", ['a;"=1+1;b', 'a\t"=1+1\tb', 'a;""=1+1', 'a; "=1+1"'])
def test_a_formula_is_disarmed_behind_a_quote_too(text: str) -> None:
    """Doubled in ours, a quote is a cell's first sign to a reader with another separator."""
    line = csv_text(["x", "y"], [["x", text]]).splitlines()[1]
    for separator in ";\t":
        (cells,) = csv.reader([line], delimiter=separator)
        assert not any(cell.lstrip(" \"'").startswith("=") and "'" not in cell for cell in cells)


@pytest.mark.parametrize("first", ["\t", "\r", "\n", "\0"])
def test_a_cell_begins_with_no_sign_that_readers_throw_away(first: str) -> None:
    assert one(f"{first}x") == f"'{first}x"


@pytest.mark.parametrize(
    "number", ["-0.85", "-1e-05", "-2.5E+3", "+5", "-12 km/h", "-3 %", "-4 W/(m²·K)", "-5 percentage points"]
)
def test_a_number_stays_a_number(number: str) -> None:
    assert one(number) == number
    assert one(float(number.split()[0])) == str(float(number.split()[0]))


def test_a_negative_value_is_a_number_in_every_unit() -> None:
    listed = [unit.symbol for name in units.DIMENSIONS for unit in units.units_of(name)]
    guarded = {symbol for symbol in listed if one(f"-2.5 {symbol}".strip()).startswith("'")}
    assert guarded == {"dB(A)"}  # which to a spreadsheet is the call of a function
    assert len(listed) > 100


@pytest.mark.parametrize(
    "text", ["-1+1", "-x", "-1 cmd|x", "-1 SUM(A1)", "-1 =2", "-1 'x'!A1", "--1", "-", "-1,5 x(y)"]
)
def test_what_only_begins_as_a_number_is_text(text: str) -> None:
    assert one(text) == f"'{text}"


@given(st.lists(st.lists(st.text(), min_size=2, max_size=2), max_size=4))
def test_whatever_the_text_no_cell_is_added_and_none_begins_a_formula(rows: Sequence[Sequence[str]]) -> None:
    records = read(csv_text(["one", "two"], rows))
    assert [len(record) for record in records] == [2] * (len(rows) + 1)
    for written, record in zip(rows, records[1:], strict=True):
        for text, cell in zip(written, record, strict=True):
            assert cell.replace("'", "") == text.replace("'", "")
            seen = "".join(sign for sign in cell if unicodedata.category(sign)[0] not in "CZ")
            if seen and seen[0] in "=@":
                pytest.fail(f"{cell!r} begins a formula")
            if seen and seen[0] in "+-":
                assert seen[1:2].isascii()
                assert seen[1:2].isdigit()


@pytest.mark.parametrize(
    "name", ["=1+1", "a\r=1+1", "a\n=1+1", "\t@x", "a\v-x", "a\u2028+x", "a;=1+1;b", 'a","=1+1']
)
def test_the_name_of_a_file_makes_no_record_and_no_formula(tmp_path: Path, name: str) -> None:
    page = "It took [3 h](told:x).\n\nA second page is [4 h](told:x).\n"
    try:
        write_site(tmp_path, {f"{name}.md": page, "sources.yml": "x: {who: somebody, when: once}\n"})
    except OSError:
        pytest.skip("this file system takes no such name")
    result = CliRunner().invoke(
        main, ["ledger", "--format", "csv", "--site", str(tmp_path)], catch_exceptions=False
    )
    records = read(result.output)
    assert [len(record) for record in records] == [len(records[0])] * 3
    assert [record[3] for record in records[1:]] == ["3 h", "4 h"]
    for record in records:
        assert all(cell.strip()[:1] not in ("=", "+", "-", "@") for cell in record)
