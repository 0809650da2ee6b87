"""Data files: what is read of a table, and what is said of a bad one."""

from __future__ import annotations

import csv
import io
import re
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import Diagnostic, Position
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import Choice, Flag, Input, Number, Table, Text, Whole
from buildlog.kinds.money import inputs_in
from buildlog.reading.data import NO_HEADINGS, read_data
from buildlog.reading.inputs import FAILED, InputReader
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, read_yaml, whole_file

FORM = Table(
    (
        Input(
            name="engine_speed",
            form=Number(dimension="rotational speed", unit="rpm", low=0, high=20000),
            about="revs",
        ),
        Input(
            name="torque",
            form=Number(dimension="torque", unit="N·m", low=0, high=2000, why="car engines"),
            about="torque",
        ),
    ),
    2,
    20,
)
HEADER = "engine_speed [rpm],torque [N·m]\n"


PLACE = Position("p.md", 4, 22)


def read(
    folder: Path, data: str | bytes, form: Table = FORM, columns: Mapping[str, str] | None = None
) -> tuple[Any, InputReader]:
    """The rows of a data file as a calculator gets them, and the reader with its faults. `columns` are what
    the file calls ours."""
    (folder / "run.csv").write_bytes(data if isinstance(data, bytes) else data.encode())
    reader = InputReader(
        resolve=lambda text, position: pytest.fail(text),
        data=lambda name, table, mapped=NO_HEADINGS: read_data(
            folder, name, table, lambda path: path.name, mapped
        ),
    )
    key = YamlScalar(Position("p.md", 4, 16), "data")
    entries: list[tuple[YamlScalar, YamlNode]] = [(key, YamlScalar(PLACE, "run.csv"))]
    if columns:
        place = Position("p.md", 5, 22)
        called = tuple((YamlScalar(place, name), YamlScalar(place, text)) for name, text in columns.items())
        entries.append((YamlScalar(place, "columns"), YamlMapping(place, called)))
    node = YamlMapping(Position("p.md", 4, 15), tuple(entries))
    return reader.read(node, form, ("x",)), reader


def rows(folder: Path, data: str | bytes, form: Table = FORM) -> Any:
    values, reader = read(folder, data, form)
    assert reader.faults == []
    return values


def faults(folder: Path, data: str | bytes, form: Table = FORM) -> list[Diagnostic]:
    values, reader = read(folder, data, form)
    assert values is FAILED
    assert all(fault.second == PLACE for fault in reader.faults)
    return reader.faults


@pytest.mark.parametrize(
    "data",
    [
        HEADER + "2000,150\n3000,160\n",
        HEADER + "2000,150\n\n3000,160",
        (HEADER + "2000,150\n3000,160\n").replace(",", ";"),
        (HEADER + "2000,150\n3000,160\n").replace(",", "\t"),
        (HEADER + "2000,150\n3000,160\n").replace("\n", "\r\n"),
        (HEADER + "2000,150\n3000,160\n").replace("\n", "\r"),
        HEADER + "\n\n\n2000,150\r\n\r\n\r3000,160\n\n\n",
        "\ufeff" + HEADER + "2000,150\n3000,160\n",
        " engine speed [ rpm ] , torque [N·m] ,note\n 2000 , 150 ,x\n 3000 ,160,\n",
        'time,"torque [N·m]","engine_speed [rpm]"\n0,"150","2000"\n1,"160","3000"\n',
    ],
)
def test_a_table_is_read(tmp_path: Path, data: str) -> None:
    first, second = rows(tmp_path, data)
    assert first["torque"] == 150.0
    assert second["torque"] == 160.0
    # NIST SP 811 (2008), B.8: 1 r/min = 1.047198 E-01 rad/s
    assert first["engine_speed"] == pytest.approx(2000 * 0.1047198, rel=1e-6)


@pytest.mark.parametrize(
    ("data", "place", "code", "found", "help"),
    [
        ("", "1:1", "data-unreadable", "no column engine_speed, torque", ""),
        ("engine_speed [rpm]\n", "1:1", "data-unreadable", "no column torque", ""),
        (HEADER, "1:1", "out-of-range", "0 entries", ""),
        (HEADER + "2000,150\n", "1:1", "out-of-range", "1 entry", ""),
        (HEADER + "2000,abc\n3000,160\n", "2:6", "value-unreadable", "abc", "8200 rpm"),
        (HEADER + "2000, -1\n3000,160\n", "2:7", "out-of-range", "-1 N·m", ""),
        (HEADER + "2000,150\n3000,\n", "3:6", "missing-input", "nothing", ""),
        (HEADER + "2000,150\n3000\n", "3:1", "missing-input", "no torque", ""),
        (HEADER.replace(",", ";") + "2000;1,5\n3000;160\n", "2:6", "value-unreadable", "1,5", "1.5"),
        (HEADER.replace(",", ";") + "2000;1,500\n3000;160\n", "2:6", "value-unreadable", "“1,500”", "1.500"),
        (HEADER + "2000,1,5\n3000,160\n", "2:8", "data-unreadable", "3 cells under 2 headings", "comma"),
        (HEADER + "2000,1e400\n3000,160\n", "2:6", "value-unreadable", "1e400", "larger unit"),
        (HEADER + "010,150\n3000,160\n", "2:1", "value-unreadable", "010", "write 10"),
        (HEADER + '2000,"010"\n3000,160\n', "2:6", "value-unreadable", "010", "write 10"),
        (HEADER + "2000 km/h,150\n3000,160\n", "2:1", "wrong-dimension", "“km/h”, a unit of speed", ""),
        (HEADER + "calc:a.b,150\n3000,160\n", "2:1", "value-unreadable", "“calc:a.b”", "the block itself"),
        (HEADER + '2000,"150\n', "2:6", "data-unreadable", "a quote that is never closed", ""),
        (HEADER + '2000,"150"x\n', "2:11", "data-unreadable", "“x” after a closing quote", ""),
        (b"torque\r2\r\xfc", "3:1", "not-utf-8", "byte FC", "UTF-8"),
        (b"torque\n2\0", "2:2", "nul-character", "a NUL character", "UTF-8"),
        (HEADER.replace("[rpm]", "[km/h]"), "1:1", "wrong-dimension", "engine_speed [km/h]", "rpm"),
        (HEADER.replace("[rpm]", "[rmp]"), "1:1", "unknown-unit", "engine_speed [rmp]", ""),
        (HEADER.replace("[rpm]", "[]"), "1:1", "data-unreadable", "the heading “engine_speed []”", ""),
        (
            HEADER.replace("torque", "engine speed"),
            "1:20",
            "data-unreadable",
            "the column engine_speed twice",
            "",
        ),
    ],
)
def test_a_bad_table_says_where_it_is_bad(
    tmp_path: Path, data: str | bytes, place: str, code: str, found: str, help: str
) -> None:
    (fault,) = faults(tmp_path, data)
    assert (str(fault.position), fault.code.name) == (f"run.csv:{place}", code)
    assert fault.found == found
    assert help in fault.help


def test_every_bad_cell_is_told_of(tmp_path: Path) -> None:
    told = faults(tmp_path, HEADER + "2000,-1\nx,\n")
    assert [str(fault.position) for fault in told] == ["run.csv:2:6", "run.csv:3:1", "run.csv:3:3"]


def test_what_is_wrong_alike_in_a_column_is_told_once(tmp_path: Path) -> None:
    speed, torque = faults(tmp_path, HEADER + "x,y\n" * 12)
    assert (str(speed.position), str(torque.position)) == ("run.csv:2:1", "run.csv:2:3")
    assert speed.found.endswith("; 11 more like it, in lines 3, 4, 5, 6, 7 …")
    assert torque.found.startswith("y")


def test_many_faults_are_told_by_their_lines(tmp_path: Path) -> None:
    """Whole numbers of another range each time have other causes."""
    several = Table(
        tuple(
            Input(name=f"c{n}", form=Number(dimension="mass", unit="kg", high=n), about="")
            for n in range(1, 13)
        )
    )
    heading = ",".join(f"c{n} [kg]" for n in range(1, 13))
    *first, more = faults(tmp_path, heading + "\n" + ",".join(["99"] * 12) + "\n", several)
    assert len(first) == 10
    assert more.found == "2 more faults, in line 2"


def test_a_percent_sign_at_the_end_of_a_heading_is_its_unit(tmp_path: Path) -> None:
    form = Table(
        (
            Input(
                name="gradient",
                form=Number(dimension="ratio", unit="%", low=-30, high=50),
                about="",
            ),
        )
    )
    for heading in ("gradient %", "gradient (%)", "gradient [%]", "gradient%"):
        assert rows(tmp_path, f"{heading}\n8\n9\n", form) == [{"gradient": 0.08}, {"gradient": 0.09}]
    for called in ("Steigung %", "Steigung"):
        told, _ = read(tmp_path, "Steigung %,R\n8,1\n", form, {"gradient": called})
        assert told == [{"gradient": 0.08}]


def test_a_number_that_can_only_be_meant_in_percent_is_led_there(tmp_path: Path) -> None:
    form = Table(
        (
            Input(
                name="gradient",
                form=Number(dimension="ratio", unit="%", low=-30, high=50),
                about="",
            ),
        )
    )
    (fault,) = faults(tmp_path, "gradient\n8\n", form)
    assert fault.found == "8, which is 800 %"
    assert fault.help.startswith("write it as 8 %")


def test_a_file_with_headings_of_its_own_is_led_to_columns(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, "Drehzahl [rpm],Moment [N·m]\n2000,150\n")
    assert 'columns: {engine_speed: "Drehzahl [rpm]"}' in fault.help
    assert read_yaml(fault.help.partition("columns: ")[2], whole_file("p.md"))[1] == [], (
        "what it says can be read"
    )


def test_a_mapped_column_without_a_unit_is_given_it_where_it_is_mapped(tmp_path: Path) -> None:
    _, reader = read(tmp_path, "engine_speed [rpm],M\n2000,150\n3000,160\n", columns={"torque": "M"})
    (fault,) = reader.faults
    assert "columns: {torque: {heading: M, unit: N·m}}" in fault.help


def test_a_heading_without_unit_is_one_fault_whatever_stands_under_it(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, " engine_speed,torque [N·m]\n" + "2000,150\n" * 12)
    assert (str(fault.position), fault.code.name) == ("run.csv:1:2", "missing-unit")
    assert fault.found == "engine_speed without a unit"
    assert "engine_speed [rpm]" in fault.help


def test_a_cell_may_have_a_unit_of_its_own_and_a_doubt(tmp_path: Path) -> None:
    data = "engine_speed,torque [N·m]\n2000 rpm,100 lbf·ft\n50 rev/s,150 ± 4 (k=2)\n"
    values, reader = read(tmp_path, data)
    assert reader.faults == []
    # NIST SP 811 (2008), B.8: 1 lbf·ft = 1.355818 N·m
    assert values[0]["torque"] == pytest.approx(135.5818, rel=1e-6)
    assert values[1]["engine_speed"] == pytest.approx(314.159265, rel=1e-8)  # 2π × 50 rev/s
    assert reader.uncertain == {("x", 1, "torque"): {"run.csv:3:10": 2.0}}


RATIOS = Table((Input(name="ratio", form=Number(dimension="ratio", unit="", low=0, high=9), about=""),), 1, 9)


def test_a_ratio_needs_no_unit_and_keeps_its_teeth(tmp_path: Path) -> None:
    first, second = rows(tmp_path, "ratio\n41/9\n4.56:1\n", RATIOS)
    assert first["ratio"].teeth == (41, 9)
    assert second["ratio"] == 4.56


def test_under_a_heading_in_percent_nothing_else_is_taken_for_a_share(tmp_path: Path) -> None:
    assert rows(tmp_path, "ratio [%]\n85\n", RATIOS) == [{"ratio": 0.85}]
    assert [fault.found for fault in faults(tmp_path, "ratio [%]\n4.56:1\n", RATIOS)] == ["“4.56:1”"]


TEETH = Table((Input(name="teeth", form=Whole(1, 100), about="teeth"),), 1, 5)


@pytest.mark.parametrize("text", ["1e999", "010", "9.0", "+9", "9 teeth", "101", "９"])
def test_a_whole_number_is_written_as_in_a_block(tmp_path: Path, text: str) -> None:
    assert faults(tmp_path, f"teeth\n{text}\n", TEETH)
    assert rows(tmp_path, "teeth\n9\n", TEETH) == [{"teeth": 9}]


def test_a_column_without_unit_takes_none(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, "teeth [1]\n9\n", TEETH)
    assert (fault.found, fault.expected) == ("teeth [1]", "teeth, which has no unit")


def test_no_more_rows_are_read_than_the_kind_takes(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, "teeth\n" + "9\n" * 100_000, TEETH)
    assert (str(fault.position), fault.found) == ("run.csv:7:1", "more than 5 rows")
    assert rows(tmp_path, "teeth\n" + "9\n" * 5 + "\n , \n", TEETH) == [{"teeth": 9}] * 5


def test_a_file_has_no_more_columns_than_anybody_names(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, "teeth" + ",x" * 1000 + "\n9\n", TEETH)
    assert (fault.position.line, fault.found) == (1, "1001 columns")
    assert rows(tmp_path, "teeth" + ",x" * 999 + "\n9\n", TEETH) == [{"teeth": 9}]


def bill() -> Table:
    (form,) = (
        one.form for one in inputs_in(catalogue.load_kind("parts").inputs, "EUR") if one.name == "parts"
    )
    assert isinstance(form, Table)
    return form


def test_words_flags_counts_and_defaults_are_read_from_cells(tmp_path: Path) -> None:
    data = (
        "name,quantity,mass [kg],price [EUR],action,reversible\n"
        '"Bracket, ""left""",2,0.4,12,,no\n'
        "Old bracket,,,,removed,\n"
    )
    assert rows(tmp_path, data, bill()) == [
        {
            "name": 'Bracket, "left"', "quantity": 2, "mass": 0.4, "price": 12.0,
            "action": "fitted", "origin": "bought", "reversible": False,
        },
        {
            "name": "Old bracket", "quantity": 1,
            "action": "removed", "origin": "bought", "reversible": True,
        },
    ]  # fmt: skip


def test_a_heading_that_is_nearly_a_columns_is_not_passed_over(tmp_path: Path) -> None:
    """Its rows would all get the default."""
    (fault,) = faults(tmp_path, "name,note,actoin\nBracket,old,removed\n", bill())
    assert (str(fault.position), fault.found) == ("run.csv:1:11", "“actoin”")
    assert "action" in fault.help


def test_a_file_without_any_column_of_the_table_is_none_of_its_rows(tmp_path: Path) -> None:
    form = Table((Input(name="mass", form=Number(dimension="mass", unit="kg"), about="", required=False),))
    (fault,) = faults(tmp_path, "volume [l]\n2\n", form)
    assert fault.found == "no column mass"


# --- the same rows in a block and in a file ---------------------------------------------------------

MIXED = Table(
    (
        Input(name="name", form=Text(8), about=""),
        Input(name="teeth", form=Whole(1, 90), about="", default="9"),
        Input(name="kind", form=Choice({"spur": "", "helical": ""}), about="", default="spur"),
        Input(name="hardened", form=Flag(), about="", default="no"),
        Input(name="bore", form=Number(dimension="length", unit="mm", low=5, high=90, why="hubs"), about=""),
        Input(
            name="ratio", form=Number(dimension="ratio", unit="", low=0.2, high=9), about="", required=False
        ),
    ),
    1,
    6,
)
CELLS = {
    "name": st.sampled_from(["a", "Gear 1", "b;c", 'say "b"', "much too long", "x,y"]),
    "teeth": st.sampled_from(["1", "41", "010", "0", "91", "9.0", "-3", "nine", "1e1"]),
    "kind": st.sampled_from(["spur", "helical", "Spur", "spurr", "yes", "calc:a.b"]),
    "hardened": st.sampled_from(["yes", "no", "true", "1", "on"]),
    "bore": st.sampled_from(
        [
            "20 mm",
            "1 1/2 in",
            "3 ± 1 cm",
            "(20 ± 1) mm",
            "2 ft",
            "010 mm",
            "20 kg",
            "20 mmm",
            "x",
            ".5 in",
        ]
    ),
    "ratio": st.sampled_from(["41/9", "4.56:1", "85 %", "0.5", "010", "1/0", "12", "(85 ± 2) %"]),
}
ROWS = st.lists(
    st.fixed_dictionaries(
        {name: CELLS[name] for name in ("name", "bore")},
        optional={name: CELLS[name] for name in ("teeth", "kind", "hardened", "ratio")},
    ),
    max_size=6,
)


def as_yaml(table: Sequence[Mapping[str, str]]) -> YamlNode:
    place = Position("p.md")
    return YamlList(
        place,
        tuple(
            YamlMapping(
                place,
                tuple((YamlScalar(place, name), YamlScalar(place, cell, True)) for name, cell in row.items()),
            )
            for row in table
        ),
    )


def as_csv(table: Sequence[Mapping[str, str]], separator: str) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, [column.name for column in MIXED.columns], delimiter=separator, restval="")
    writer.writeheader()
    writer.writerows(table)
    return out.getvalue()


@given(table=ROWS, separator=st.sampled_from(",;\t"))
def test_rows_in_a_file_are_read_as_rows_in_a_block(table: list[dict[str, str]], separator: str) -> None:
    """Where every cell has its unit, as in a block, values, doubts and findings are the same."""
    in_block = InputReader(
        resolve=lambda text, position: pytest.fail(text), data=lambda name, *_: pytest.fail(name)
    )
    values = in_block.read(as_yaml(table), MIXED, ("x",))
    with tempfile.TemporaryDirectory() as folder:
        from_file, reader = read(Path(folder), as_csv(table, separator), MIXED)
    assert (from_file is FAILED) == (values is FAILED)
    if values is not FAILED:
        assert from_file == values
    assert reader.uncertain.keys() == in_block.uncertain.keys()
    expected = {(fault.code.name, fault.expected) for fault in in_block.faults}
    told = {(fault.code.name, fault.expected) for fault in reader.faults}
    if len(in_block.faults) <= 10:
        assert told == expected
        # What is wrong alike in a column is told once, with how often.
        more = [re.search(r"; ([0-9]+) more like it", fault.found) for fault in reader.faults]
        assert sum(1 + int(one[1]) if one else 1 for one in more) == len(in_block.faults)
    else:  # the others are told by their lines
        assert len(reader.faults) <= 11


@given(
    numbers=st.lists(st.decimals(5, 90, places=3), min_size=1, max_size=6),
    unit=st.sampled_from(["mm", "in", "m"]),
)
def test_a_unit_in_the_heading_is_a_unit_behind_each_cell(numbers: list[object], unit: str) -> None:
    form = Table((Input(name="bore", form=Number(dimension="length", unit="mm"), about=""),), 1, 6)
    with tempfile.TemporaryDirectory() as folder:
        in_heading = rows(
            Path(folder), f"bore [{unit}]\n" + "".join(f"{number}\n" for number in numbers), form
        )
        in_cells = rows(Path(folder), "bore\n" + "".join(f"{number} {unit}\n" for number in numbers), form)
    assert in_heading == in_cells


def test_a_heading_with_brackets_in_braces_is_led_to_quotes() -> None:
    """YAML 1.2.2, 7.3.3: a plain scalar inside of a flow collection has none of [ ] { } and commas."""
    _, (fault,) = read_yaml("{mass: Weight [g]}", whole_file("p.md"))
    assert "into quotes" in fault.help
    assert read_yaml('{mass: "Weight [g]"}', whole_file("p.md"))[1] == []
