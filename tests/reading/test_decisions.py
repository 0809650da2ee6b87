"""A decision as its block says it: options, what each has of every row, and every slip at its place."""

from __future__ import annotations

import pytest

from buildlog.diagnostics import Diagnostic
from buildlog.reading.decisions import Decision, read_decision
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, read_yaml, whole_file


def read(text: str) -> tuple[Decision, list[Diagnostic]]:
    node, faults = read_yaml(text, whole_file("page.md"))
    assert isinstance(node, YamlMapping)
    assert not faults
    told: list[Diagnostic] = []
    return read_decision(node, told), told


def plain(node: YamlNode) -> object:
    """A node as what it is written as."""
    if isinstance(node, YamlMapping):
        return {key.text: plain(value) for key, value in node.entries}
    if isinstance(node, YamlList):
        return [plain(item) for item in node.items]
    assert isinstance(node, YamlScalar)
    return node.text


ROWS = """requires:
  - {name: light, value: {old: 1210 kg, new: 1195 kg}, at_most: 1200 kg}
  - {name: cheap, value: 300 EUR, at_most: {old: 200 EUR, new: 400 EUR}}
"""


def rows_by_case(decision: Decision) -> dict[str, object]:
    return {case: plain(named["requires"][1]) for case, named in decision.cases.items()}


def test_each_option_has_its_own_values_and_those_that_all_share() -> None:
    decision, told = read(ROWS + "options: {old: before, new: after}\nchosen: new\n")
    assert told == []
    assert decision.options == {"old": "before", "new": "after"}
    assert decision.chosen == "new"
    assert decision.inputs == {}
    assert rows_by_case(decision) == {
        "old": [
            {"name": "light", "value": "1210 kg", "at_most": "1200 kg"},
            {"name": "cheap", "value": "300 EUR", "at_most": "200 EUR"},
        ],
        "new": [
            {"name": "light", "value": "1195 kg", "at_most": "1200 kg"},
            {"name": "cheap", "value": "300 EUR", "at_most": "400 EUR"},
        ],
    }
    (key, _), *_ = (named["requires"] for named in decision.cases.values())
    assert (key.text, key.position.line) == ("requires", 1)


def test_a_list_of_options_is_of_cases_with_the_same_names() -> None:
    decision, told = read(ROWS + "options: [old, new]\n")
    assert (decision.options, decision.chosen, told) == ({"old": "old", "new": "new"}, "", [])


def test_without_options_the_rows_are_the_inputs() -> None:
    decision, told = read("requires: [{name: light, value: 5 kg, at_most: 6 kg}]")
    assert told == []
    assert (decision.options, decision.cases) == ({}, {})
    assert plain(decision.inputs["requires"][1]) == [{"name": "light", "value": "5 kg", "at_most": "6 kg"}]


@pytest.mark.parametrize("text", ["options: [old, new]", "requires:\noptions: [old, new]"])
def test_without_rows_each_option_has_nothing(text: str) -> None:
    decision, told = read(text)
    assert told == []
    assert list(decision.cases) == ["old", "new"]


def test_what_is_no_list_of_rows_is_left_as_it_is() -> None:
    decision, told = read("requires: five\noptions: [old]")
    assert (rows_by_case(decision), told) == ({"old": "five"}, [])
    decision, told = read("requires: [five, [1]]\noptions: [old]")
    assert (rows_by_case(decision), told) == ({"old": ["five", ["1"]]}, [])


@pytest.mark.parametrize(
    ("text", "where", "found", "expected", "help", "length"),
    [
        ("options: old", "1:10", "“old”", "options: {OPTION: CASE, …} or [OPTION, …]", "", 1),
        ("options: []", "1:10", "a list", "options: {OPTION: CASE, …} or [OPTION, …]", "", 1),
        ("options: [a, b, a]", "1:17", "“a” twice", "each option once", "", 1),
        ("options: [a, b.c]", "1:14", "“b.c”", "a name of letters, digits, - and _", "", 1),
        ("options: {a: [x]}", "1:14", "a list", "a name of letters, digits, - and _", "", 1),
        (
            "options: [old, newest]\nchosen: newst",
            "2:9",
            "“newst”",
            "one of the options: old, newest",
            "did you mean “newest”?",
            5,
        ),
        ("options: [old]\nchosen: [old]", "2:9", "a list", "one of the options: old", "", 1),
        ("chosen: old", "1:9", "“old”", "options as well, to choose from", "", 3),
        (
            "requires:\n  - value: {old: 1, newst: 2, newest: 3}\noptions: [old, newest]",
            "2:21",
            "“newst”",
            "an option: old, newest",
            "did you mean “newest”?",
            5,
        ),
        (
            "requires:\n  - value: {old: 1}\noptions: [old, new]",
            "2:12",
            "no value for new",
            "one for each option",
            "",
            1,
        ),
    ],
)
def test_a_slip_is_told_where_it_stands(
    text: str, where: str, found: str, expected: str, help: str, length: int
) -> None:
    _, told = read(text)
    first = told[0]
    assert first.code.name == "decision-shape"
    assert str(first.position) == f"page.md:{where}"
    assert (first.found, first.expected) == (found, expected)
    assert help in first.help
    assert first.length == length


def test_a_slip_leaves_the_other_options_as_they_are() -> None:
    decision, told = read("options: {a: x, b.c: y, d: z, e: '?'}")
    assert decision.options == {"a": "x", "d": "z"}
    assert len(told) == 2
    decision, told = read("options: [a, a, b]\nchosen: b")
    assert (decision.options, decision.chosen, len(told)) == ({"a": "a", "b": "b"}, "b", 1)
    decision, told = read("requires:\n  - value: {old: 1}\noptions: [old, new]")
    assert rows_by_case(decision) == {"old": [{"value": "1"}], "new": [{"value": "1"}]}
    decision, told = read("requires:\n  - value: {}\noptions: [old]")
    assert rows_by_case(decision) == {"old": [{"value": {}}]}
    assert len(told) == 1
