"""Addresses that are nearly those of figures, and those that only look a little like them."""

from __future__ import annotations

import pytest

from buildlog.reading.markdown.scanner import scan


def found(text: str) -> list[tuple[str, str, str]]:
    page = scan(text, "a.md")
    return [
        (f"{one.position.line}:{one.position.column}+{one.length}", one.found, one.expected)
        for one in page.diagnostics
        if one.code.name == "nearly-a-figure"
    ]


@pytest.mark.parametrize(
    ("text", "place", "written", "meant"),
    [
        ("It does [125 km/h](clac:a.b).", "1:20+5", "“clac:”", "“calc:”"),
        ("It does [125 km/h](Calc:a.b).", "1:20+5", "“Calc:”", "“calc:”"),
        ('It does [125 km/h](clc:a.b "vs c").', "1:20+4", "“clc:”", "“calc:”"),
        ("- an item\n- [39 N·m](cites:manual)", "2:12+6", "“cites:”", "“cite:”"),
        ("[240 hp](tolld:owner)", "1:10+6", "“tolld:”", "“told:”"),
        ("[hot](causion:hot-parts)", "1:7+8", "“causion:”", "“caution:”"),
        ("[3 m][a] long\n\n[a]: <CALC:x.y>", "3:7+5", "“CALC:”", "“calc:”"),
    ],
)
def test_a_slip_is_said_with_its_place(text: str, place: str, written: str, meant: str) -> None:
    assert found(text) == [(place, written, meant)]


@pytest.mark.parametrize(
    "address",
    [
        "calc:a.b",
        "cite:a",
        "told:a",
        "caution:lifting",
        "https://a.example/calc:b",
        "mailto:calc@b.c",
        "tel:+441234",
        "other.md",
        "folder/calc.md#calc",
        "data:text/csv,a",
        "calc",
        "#calc:a",
        "urn:isbn:0",
        "calc://a",
    ],
)
def test_other_addresses_are_no_slips(address: str) -> None:
    assert found(f"See [this]({address}).") == []


def test_code_and_comments_hold_no_slips() -> None:
    assert found("`[3 m](clac:a)`\n\n<!-- [3 m](clac:a) -->\n\n```\n[3 m](clac:a)\n```\n") == []
