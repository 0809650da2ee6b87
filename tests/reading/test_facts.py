"""Facts of a source: figures by name, and what is said of what is none."""

from __future__ import annotations

import pytest

from buildlog.reading.blocks import read_sources
from buildlog.reading.facts import Fact


def read(facts: str) -> tuple[dict[str, Fact], list[tuple[str, str]]]:
    entries, faults = read_sources(f"manual:\n  title: A manual\n  facts: {facts}\n", "content/sources.yml")
    return dict(entries["manual"].facts), [(fault.found, fault.expected) for fault in faults]


def test_facts_by_name() -> None:
    facts, faults = read("{plug: 39 N·m, nut: ' 22–26 N·m ', pre-load_2: 39 ± 3 N·m, cylinders: 4}")
    assert faults == []
    assert {name: fact.text for name, fact in facts.items()} == {
        "plug": "39 N·m", "nut": "22–26 N·m", "pre-load_2": "39 ± 3 N·m", "cylinders": "4",
    }  # fmt: skip
    assert facts["plug"].dimensions[0] in ("torque", "energy")
    assert "torque" in facts["plug"].dimensions
    assert facts["plug"].position.line == 3
    assert all(fact.name == name for name, fact in facts.items())


@pytest.mark.parametrize(
    ("facts", "found", "expected"),
    [
        ("39 N·m", "“39 N·m”", "facts: {name: figure}"),
        ("[39 N·m]", "a list", "facts: {name: figure}"),
        ("{Plug: 39 N·m}", "a fact named “Plug”", "a name of a–z, 0–9, - and _"),
        ("{the plug: 39 N·m}", "a fact named “the plug”", "a name of a–z, 0–9, - and _"),
        ("{plug: }", "nothing", "a figure, like 39 ± 3 N·m"),
        ("{plug: [39]}", "a list", "a figure, like 39 ± 3 N·m"),
        ("{plug: at most 39 N·m}", "“at most 39 N·m”", "a figure, like 39 ± 3 N·m or 22–26 N·m"),
        ("{plug: about 39 N·m}", "“about 39 N·m”", "a figure, like 39 ± 3 N·m or 22–26 N·m"),
        ("{plug: 39 N·m more}", "“39 N·m more”", "a figure, like 39 ± 3 N·m or 22–26 N·m"),
    ],
)
def test_what_is_no_fact(facts: str, found: str, expected: str) -> None:
    assert read(facts) == ({}, [(found, expected)])


def test_a_fact_in_an_unknown_unit_is_told_and_the_others_are_kept() -> None:
    facts, faults = read("{plug: 39 foo, nut: 22 N·m}")
    assert list(facts) == ["nut"]
    ((found, _),) = faults
    assert "foo" in found
