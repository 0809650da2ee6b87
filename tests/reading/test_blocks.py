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
