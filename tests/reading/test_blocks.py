"""Blocks, car sheets and sources: what is said of a shape that is none."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from buildlog.diagnostics import Diagnostic, Position
from buildlog.reading.blocks import Block, read_block, read_car, read_sources
from buildlog.reading.nodes import whole_file


def block(body: str) -> Block:
    return read_block(body, whole_file("a.md"), "a", Position("a.md", 1, 1))


def told(faults: Iterable[Diagnostic]) -> list[tuple[str, str, str, str]]:
    """Code, line and column, what was found and what was expected."""
    return [
        (fault.code.name, f"{fault.position.line}:{fault.position.column}", fault.found, fault.expected)
        for fault in faults
    ]


@pytest.mark.parametrize(
    ("title", "found"),
    [("", "nothing"), ("'  '", "“”"), ("{a: b}", "a mapping"), ("[a]", "a list")],
)
def test_a_word_is_a_text_that_says_something(title: str, found: str) -> None:
    read = block(f"id: a\nkind: gearing\ntitle: {title}\n")
    assert [(code, what, wanted) for code, _, what, wanted in told(read.faults)] == [
        ("block-shape", found, "a title")
    ]
    assert read.title == ""


@pytest.mark.parametrize(
    ("sheet", "found"), [("- a\n", "a list"), ("a\n", "“a”"), ("", "nothing"), ("# none\n", "nothing")]
)
def test_a_car_sheet_is_a_mapping(sheet: str, found: str) -> None:
    car = read_car(sheet, "content/cars/a.yml", "a")
    assert told(car.faults) == [("car-shape", "1:1", found, "name, about and inputs")]


def test_a_car_sheet_that_no_block_can_name_is_told() -> None:
    car = read_car("name: A\n", "content/cars/käuzchen.yml", "käuzchen")
    expected = "a file name of a–z, 0–9 and -, by which blocks call it"
    assert told(car.faults) == [("car-shape", "1:1", "a sheet called “käuzchen”", expected)]


def test_a_car_sheet_that_cannot_be_read_is_said_to_be_so_once() -> None:
    assert [code for code, *_ in told(read_car("name: [a", "content/cars/a.yml", "a").faults)] == [
        "yaml-unreadable"
    ]


@pytest.mark.parametrize(
    ("entry", "found", "expected"),
    [
        ("{title: A handbook, who: the owner, when: May}", "both title and who", "one of them"),
        ("{publisher: A press}", "neither title nor who", "one of them"),
        ("{who: the owner}", "who without when", "when it was said"),
        ("a handbook", "“a handbook”", "title, or who and when"),
    ],
)
def test_a_source_is_a_document_or_a_word(entry: str, found: str, expected: str) -> None:
    _, faults = read_sources(f"one: {entry}\n", "content/sources.yml")
    assert told(faults) == [("source-shape", "1:1", found, expected)]


@pytest.mark.parametrize(
    "entry", ["{title: A handbook, edition: 3rd, page: 12}", "{who: the owner, when: May}"]
)
def test_a_source_that_says_enough(entry: str) -> None:
    entries, faults = read_sources(f"one: {entry}\n", "content/sources.yml")
    assert not faults
    assert list(entries) == ["one"]


def test_an_empty_word_in_a_source_is_said() -> None:
    _, faults = read_sources("one: {title: A handbook, edition: }\n", "content/sources.yml")
    assert [(code, found) for code, _, found, _ in told(faults)] == [("block-shape", "nothing")]


@pytest.mark.parametrize(
    ("goal", "help"),
    [
        (
            "so_that: {rpm_at.5: 3,600 rpm}\nbetween: [3.0, 5.0]",
            "in brackets a comma ends a value: write 3600 rpm, or quotes around “3,600 rpm”",
        ),
        (
            "so_that: {rpm_at.5: 3600 rpm}\nbetween: [1,500 rpm, 2500 rpm]",
            "in brackets a comma ends a value: write 1500 rpm, or quotes around “1,500 rpm”",
        ),
    ],
)
def test_thousands_in_braces_are_told_how_to_be_written(goal: str, help: str) -> None:
    read = block(f"id: a\nkind: gearing\nfind: final_drive\n{goal}\n")
    (fault,) = read.faults
    assert (fault.code.name, fault.help) == ("goal-shape", help)
    assert read.sought == "final_drive"


def test_a_goal_of_another_shape_is_told_nothing_of_thousands() -> None:
    read = block("id: a\nkind: gearing\nfind: final_drive\nso_that: {a: 3, b: 4}\nbetween: [3, 4, 5]\n")
    assert not any("comma" in fault.help for fault in read.faults)


# --- all that can be wrong with the shape of a block: what is added to one that is well, and what is said

PARTS = "one of table, chart, working, inputs"
SHAPES = [
    ("titel: A", "unknown-key", "3:1", "“titel”", None, "did you mean “title” or “state”?"),
    ("inputs: 5", "block-shape", "3:9", "“5”", "inputs as “name: value” lines", None),
    ("inputs: [a]", "block-shape", "3:9", "a list", "inputs as “name: value” lines", None),
    ("cases: {a: 5}", "block-shape", "3:12", "“5”", "the changed inputs as “name: value” lines", None),
    (
        "cases: {a b: {x: 1}}",
        "block-shape",
        "3:9",
        "a case named “a b”",
        "a name of letters, digits, - and _",
        None,
    ),
    (
        "cases: {a: {state: s}}",
        "block-shape",
        "3:20",
        "a state without a car",
        "car: the name of a sheet",
        None,
    ),
    ("state: s", "block-shape", "3:8", "a state without a car", "car: the name of a sheet", None),
    (
        "car: a@2\nstate: s",
        "block-shape",
        "4:8",
        "state: s beside car: a@2",
        "car: a",
        None,
    ),
    (
        "car: a\nstate: The first",
        "block-shape",
        "4:8",
        "a state named “The first”",
        "a name of letters, digits, - and _, and no bare number",
        "write state: the-first",
    ),
    (
        "car: a\nstate: 12",
        "block-shape",
        "4:8",
        "a state named “12”",
        "a name of letters, digits, - and _, and no bare number",
        None,
    ),
    (
        "car: A car.yml",
        "block-shape",
        "3:6",
        "“A car.yml”",
        "a sheet's name of a–z, 0–9 and -; its state is a key of its own, state: NAME",
        "a sheet's name is that of its file in the folder cars, without .yml",
    ),
    ("show: [tabel]", "unknown-key", "3:8", "“tabel”", PARTS, "did you mean “table”?"),
    ("show: [[table]]", "unknown-key", "3:8", "“a list”", PARTS, None),
    (
        "show: {chart: all}",
        "unknown-key",
        "3:8",
        "“chart”",
        "table, with the results that stay in sight",
        "write show: [{table: [QUANTITY]}, chart]",
    ),
    (
        "show: {tabel: all}",
        "unknown-key",
        "3:8",
        "“tabel”",
        "table, with the results that stay in sight",
        "did you mean “table”?",
    ),
    (
        "show: {table: [a, b c]}",
        "block-shape",
        "3:19",
        "“b c”",
        "table: all, or table: [QUANTITY, QUANTITY.KEY]",
        None,
    ),
    (
        "show: {table: {a: b}}",
        "block-shape",
        "3:15",
        "a mapping",
        "table: all, or table: [QUANTITY, QUANTITY.KEY]",
        None,
    ),
    (
        "show: {table: []}",
        "block-shape",
        "3:15",
        "a list",
        "table: all, or table: [QUANTITY, QUANTITY.KEY]",
        None,
    ),
    ("find: a", "goal-shape", "3:7", "no so_that and no between", "all three", None),
    ("between: [1, 2]\nso_that: {a: 3}", "goal-shape", "4:10", "no find", "all three", None),
    (
        "find: [a]\nso_that: {b: 3}\nbetween: [1, 2]",
        "goal-shape",
        "3:7",
        "a list",
        "find: the name of an input",
        None,
    ),
    (
        "find: a\nso_that: {b: 3, c: 4}\nbetween: [1, 2]",
        "goal-shape",
        "4:10",
        "a mapping",
        "so_that: {quantity.key: value}, one quantity",
        None,
    ),
    (
        "find: a\nso_that: {b: [3]}\nbetween: [1, 2]",
        "goal-shape",
        "4:14",
        "a list",
        "so_that: {quantity.key: value}",
        None,
    ),
    (
        "find: a\nso_that: {b c: 3}\nbetween: [1, 2]",
        "goal-shape",
        "4:16",
        "“3”",
        "so_that: {quantity.key: value}",
        None,
    ),
    (
        "find: a\nso_that: {b: 3}\nbetween: [1, 2, 3]",
        "goal-shape",
        "5:10",
        "a list",
        "between: [low, high]",
        None,
    ),
    ("find: a\nso_that: {b: 3}\nbetween: 1–2", "goal-shape", "5:10", "“1–2”", "between: [low, high]", None),
    (
        "sweep: a from 1 to 2 by 1",
        "goal-shape",
        "3:8",
        "“a from 1 to 2 by 1”",
        "sweep: input from low to high by step, and of: [quantity.key]",
        None,
    ),
    (
        "of: [a]",
        "goal-shape",
        "3:5",
        "a list",
        "sweep: input from low to high by step, and of: [quantity.key]",
        None,
    ),
    (
        "sweep: a 1 to 2\nof: [a]",
        "goal-shape",
        "3:8",
        "“a 1 to 2”",
        "sweep: input from low to high by step",
        None,
    ),
    (
        "sweep: a from 1 to 2 by 1\nof: []",
        "goal-shape",
        "4:5",
        "a list",
        "of: [quantity.key, …], one to twelve",
        None,
    ),
    (
        "sweep: a from 1 to 2 by 1\nof: [a, b c]",
        "goal-shape",
        "4:5",
        "a list",
        "of: [quantity.key, …], one to twelve",
        None,
    ),
    (
        "sweep: a from 1 to 2 by 1\nof: [a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13]",
        "goal-shape",
        "4:5",
        "a list",
        "of: [quantity.key, …], one to twelve",
        None,
    ),
]


@pytest.mark.parametrize(("added", "code", "place", "found", "expected", "help"), SHAPES)
def test_what_is_wrong_with_the_shape_of_a_block(
    added: str, code: str, place: str, found: str, expected: str | None, help: str | None
) -> None:
    read = block(f"id: a\nkind: gearing\n{added}\n")
    (fault,) = read.faults
    ((name, where, what, wanted),) = told([fault])
    assert (name, where, what) == (code, place, found)
    if expected is not None:
        assert wanted == expected
    if help is not None:
        assert fault.help == help
    assert (read.id, read.kind, read.goal, read.sweep) == ("a", "gearing", None, None)


@pytest.mark.parametrize(
    ("body", "faults"),
    [
        ("", [("block-shape", "1:1", "an empty block", "id, kind and inputs")]),
        ("- a", [("block-shape", "1:1", "a list", "id, kind and inputs")]),
        ("a", [("block-shape", "1:1", "“a”", "id, kind and inputs")]),
        (
            "title: A",
            [
                ("block-shape", "1:1", "no id", "id: a name of a–z, 0–9 and -"),
                ("block-shape", "1:1", "no kind", "kind: the name of a calculator"),
            ],
        ),
        ("id: A b\nkind: k", [("block-shape", "1:5", "the id “A b”", "a name of a–z, 0–9 and -")]),
    ],
)
def test_a_block_without_its_name_or_kind(body: str, faults: list[tuple[str, str, str, str]]) -> None:
    read = block(body)
    assert told(read.faults) == faults
    assert read.id == ""


def test_a_block_that_is_well() -> None:
    read = block(
        "id: a\nkind: gearing\ntitle: A title\ncar: brindle\nstate: old\ninputs: {x: 1}\n"
        "cases: {b: {state: new, y: 2}, c: {}}\nshow: [chart, {table: [speed, rpm.2]}]\n"
        "find: x\nso_that: {rpm.2: 3}\nbetween: [1, 2]\nsweep: y from 1 to 2 by 0.5\nof: [rpm.2, speed]\n"
    )
    assert read.faults == ()
    assert (read.title, read.car, read.car_state, read.show) == (
        "A title",
        "brindle",
        "old",
        ("chart", "table"),
    )
    assert [row.text for row in read.rows] == ["speed", "rpm.2"]
    assert read.whole_table is False
    assert list(read.inputs) == ["x"]
    assert {name: list(changed) for name, changed in read.cases.items()} == {"b": ["y"], "c": []}
    assert {name: node.text for name, node in read.case_states.items()} == {"b": "new"}
    assert [read.state_in(case) for case in ("b", "c", "")] == ["new", "old", "old"]
    assert read.goal is not None
    assert (read.goal.name, read.goal.quantity, read.goal.target.text) == ("x", "rpm.2", "3")
    assert (read.goal.low.text, read.goal.high.text, read.sought) == ("1", "2", "x")
    assert read.sweep is not None
    assert (read.sweep.name, read.sweep.start.text, read.sweep.stop.text) == ("y", "1", "2")
    assert (read.sweep.step.text, [name.text for name in read.sweep.of]) == ("0.5", ["rpm.2", "speed"])
    assert str(read.place("inputs")) == "a.md:6:9"


@pytest.mark.parametrize(
    ("show", "parts", "rows", "whole"),
    [
        ("chart", ("chart",), [], False),
        ("[]", (), [], False),
        ("{table: all}", None, [], True),
        ("{table: speed}", None, ["speed"], False),
        ("{table: [all]}", None, ["all"], False),
        ("[{table: all}, chart]", ("table", "chart"), [], True),
    ],
)
def test_what_a_block_shows(show: str, parts: tuple[str, ...] | None, rows: list[str], whole: bool) -> None:
    read = block(f"id: a\nkind: gearing\nshow: {show}\n")
    assert read.faults == ()
    assert (read.show, [row.text for row in read.rows], read.whole_table) == (parts, rows, whole)


@pytest.mark.parametrize(
    ("sheet", "faults"),
    [
        (
            "name: A\ncolour: red\n",
            [("unknown-key", "2:1", "“colour”", "one of name, about, state, inputs, changes")],
        ),
        ("name: A\nchanges: 5\n", [("car-shape", "2:10", "“5”", "a list of changes")]),
        (
            "name: A\nstate: s\nchanges: [new tyres]\n",
            [("car-shape", "3:11", "“new tyres”", "state, since and inputs")],
        ),
        (
            "name: A\nstate: s\nchanges: [{state: t, since: x, when: y}]\n",
            [("unknown-key", "3:32", "“when”", "one of state, since, inputs")],
        ),
        (
            "name: A\ninputs: {}\nchanges: [{since: New tyres!}]\n",
            [
                ("state-without-name", "2:1", "the first state", "state: standard, say"),
                ("state-without-name", "3:11", "since: New tyres!", "state: new-tyres, say"),
            ],
        ),
        (
            "name: A\nchanges: [{inputs: {}}]\n",
            [
                ("state-without-name", "1:1", "the first state", "state: standard, say"),
                ("state-without-name", "2:11", "a change", "state: NAME, say"),
            ],
        ),
        (
            "name: A\nstate: s\nchanges: [{state: t}, {state: t}, {state: t}]\n",
            [
                ("car-shape", "3:31", "two states named “t”", "a name for each"),
                ("car-shape", "3:43", "two states named “t”", "a name for each"),
            ],
        ),
    ],
)
def test_what_is_wrong_with_a_sheet(sheet: str, faults: list[tuple[str, str, str, str]]) -> None:
    read = read_car(sheet, "content/cars/a.yml", "a")
    assert sorted(told(read.faults)) == sorted(faults)
    seconds = {str(fault.second) for fault in read.faults if fault.second}
    assert seconds <= {"content/cars/a.yml:3:19"}  # the first of that name, each time


def test_the_states_of_a_car() -> None:
    """Each change is laid over those before it; without a name the last state is meant."""
    sheet = read_car(
        "name: A\nstate: old\ninputs: {x: 1, y: 1}\n"
        "changes:\n- {state: mid, since: May, inputs: {x: 2}}\n"
        "- {state: new, since: June, inputs: {y: 3, z: 3}}\n",
        "a.yml",
        "a",
    )
    assert sheet.faults == ()

    def at(state: str | int | None) -> dict[str, str]:
        return {name: getattr(node, "text", "") for name, (_, node) in sheet.at(state).items()}

    assert sheet.states == ("old", "mid", "new")
    assert at("old") == at(1) == {"x": "1", "y": "1"}
    assert at("mid") == at(2) == {"x": "2", "y": "1"}
    assert at("new") == at(3) == at(None) == {"x": "2", "y": "3", "z": "3"}
    assert [sheet.number(state) for state in (None, 0, 1, 3, 4, "", "mid", "none")] == [
        3, None, 1, 3, None, None, 2, None,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("entry", "particulars"),
    [
        ("title: A", ()),
        ("title: A, publisher: P, edition: 2nd, page: 12", ("P", "2nd", "p.\u00a012")),
        ("title: A, page: 12-14", ("pp.\u00a012-14",)),
        ("title: A, page: '12, 15'", ("pp.\u00a012, 15",)),
        ("title: A, page: 12–14", ("pp.\u00a012–14",)),
        ("title: A, page: clause 5.2", ("clause 5.2",)),
        ("title: A, page: A-12", ("A-12",)),
        ("title: A, edition: 2nd", ("2nd",)),
    ],
)
def test_the_particulars_of_a_document(entry: str, particulars: tuple[str, ...]) -> None:
    entries, faults = read_sources(f"one: {{{entry}}}\n", "content/sources.yml")
    assert not faults
    assert entries["one"].particulars == particulars
    assert entries["one"].hearsay is False


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("", []),
        ("''", []),
        ("- a", [("source-shape", "1:1", "a list", "a mapping of ids")]),
        ("a b: {title: A}", [("source-shape", "1:1", "the id “a b”", "letters, digits, - and _")]),
        ("a: {title: A, colour: red}", [("unknown-key", "1:15", "“colour”", None)]),
        (
            "a: {title: A, url: example.org}",
            [("source-shape", "1:1", "url “example.org”", "an address that starts with https://")],
        ),
        ("a: {title: A, url: 'http://example.org'}", []),
        ("a: {title: A, url: 'https://example.org'}", []),
    ],
)
def test_what_is_wrong_with_sources(text: str, faults: list[tuple[str, str, str, str | None]]) -> None:
    entries, found = read_sources(text, "content/sources.yml")
    assert [one[:3] for one in told(found)] == [one[:3] for one in faults]
    assert all(wanted in (None, one[3]) for one, (*_, wanted) in zip(told(found), faults, strict=True))
    if "example.org" in text:
        assert entries["a"].url == ("" if faults else text.split("'")[1])


def test_a_doubt_goes_by_its_place_in_its_block() -> None:
    """So that no result changes with the lines above the block; what stands elsewhere goes by its place."""
    read = read_block("id: a\nkind: gearing\n", whole_file("a.md"), "a", Position("a.md", 10, 1))
    assert read.origin_at(Position("a.md", 10, 5)) == "a.md#a:0:5"
    assert read.origin_at(Position("a.md", 14, 7)) == "a.md#a:4:7"
    assert read.origin_at(Position("a.md", 9, 7)) == "a.md:9:7"
    assert read.origin_at(Position("cars/b.yml", 14, 7)) == "cars/b.yml:14:7"


def test_a_decision_has_keys_of_its_own() -> None:
    common = "common: {gauge: {of: [x, y], by: ± 0.5 %}}\n"
    plain = block(f"id: a\nkind: gearing\ninputs: {{x: 1, y: 2}}\n{common}")
    assert [one.name for one in plain.common] == ["gauge"]
    deciding = block(f"id: a\nkind: decision\n{common}")
    assert deciding.common == ()
    assert ("unknown-key", "3:1") in [(code, place) for code, place, *_ in told(deciding.faults)]
