"""A part's file: what is read of it, and what is a finding."""

from __future__ import annotations

import random

import jsonschema
import pytest
import yaml

from buildlog.reading.part_keys import KEYS
from buildlog.reading.parts import read_part
from buildlog.report.schemas import part_schema
from tests.parts import BOX_B, PARTS

PATH = "content/parts/box.yml"
TOP = "name: box\nstandard: no\n"


def found(text: str, name: str = "box") -> list[str]:
    """The findings on a file: place, code and what was found."""
    faults = read_part(text, PATH, name).faults
    return [
        f"{fault.position.line}:{fault.position.column} {fault.code.name}: {fault.found}" for fault in faults
    ]


def test_all_that_a_file_says_is_read() -> None:
    part = read_part(BOX_B, PATH, "box-b")
    assert part.faults == ()
    assert (part.name, part.number, part.revision, part.standard) == ("box", "BR-1", "B", False)
    assert (part.replaces, part.copying, part.licence) == (("box-a",), "allowed", "CC BY 4.0")
    assert part.drawings[0].block == ("second", "side", "")
    assert [(event.what, event.day, event.by) for event in part.history] == [
        ("fitted", "2024-05-04", "second")
    ]
    assert part.is_on


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "1:1 part-shape: nothing"),
        ("- name: box\n", "1:1 part-shape: a list"),
        ("name: box\n", "1:1 part-shape: no standard"),
        ("standard: no\n", "1:1 part-shape: no name"),
        (TOP + "nmae: box\n", "3:1 unknown-key: “nmae”"),
        ("name: box\nstandard: maybe\n", "2:11 part-shape: standard: “maybe”"),
        ("name: [box]\nstandard: no\n", "1:7 part-shape: name: a list"),
        (f"name: {'x' * 301}\nstandard: no\n", "part-shape: name: “xxx"),
        (TOP + "name: twice\n", "3:1 duplicate-key: "),
        (TOP + "mass: 1 kg\n", "3:1 part-shape: mass without weighed"),
        (TOP + "weighed: 2024-01-01\n", "3:1 part-shape: weighed without mass"),
        (TOP + "mass: 1\nweighed: 2024-01-01\n", "3:7 missing-unit: “1” without a unit"),
        (TOP + "mass: 1 m\nweighed: 2024-01-01\n", "3:7 wrong-dimension: "),
        (TOP + "mass: -1 kg\nweighed: 2024-01-01\n", "3:7 out-of-range: -1 kg"),
        (TOP + "mass: calc:a.b\nweighed: 2024-01-01\n", "3:7 part-shape: “calc:a.b”"),
        (TOP + "mass: {data: x.csv}\nweighed: 2024-01-01\n", "3:7 part-shape: mass: a mapping"),
        (TOP + "mass: 1 kg\nweighed: 2023-02-29\n", "4:10 part-shape: weighed: “2023-02-29”"),
        (TOP + "mass: 1 kg\nweighed: 1.2.2023\n", "4:10 part-shape: weighed: “1.2.2023”"),
        (TOP + "price: 12 kg\npriced: 2024-01-01\n", "3:8 part-shape: mass, as price"),
        (TOP + "price: 12\npriced: 2024-01-01\n", "3:8 "),
        (TOP + "price: 12 EUR\n", "3:1 part-shape: price without priced"),
        (TOP + "replaces: [../../etc/passwd]\n", "3:12 part-shape: replaces: “../../etc/passwd”"),
        (TOP + "replaces: {a: b}\n", "3:11 part-shape: replaces: a mapping"),
        (TOP + "copying: allowed\n", "3:1 part-shape: copying without licence"),
        (TOP + "copying: sure\n", "3:10 part-shape: copying: “sure”"),
        (TOP + "licence: MIT\n", "3:1 part-shape: licence without copying"),
        (TOP + "drawing: {of: a#b, digest: xyz}\n", "3:28 part-shape: digest: “xyz”"),
        (TOP + "drawing: {digest: 0123456789ab}\n", "3:10 part-shape: drawing: a mapping"),
        (TOP + "history: [fitted]\n", "3:11 part-shape: history: “fitted”"),
        (TOP + "history: [{by: a}]\n", "3:11 part-shape: an entry that does not say what happened"),
        (TOP + "history: [{fitted: 2024-01-01, gone: 2024-01-02}]\n", "part-shape: fitted and gone"),
        (TOP + "history: [{gone: 2024-01-01}]\n", "part-shape: gone without why"),
        (TOP + "history: [{fitted: 2024-01-01, lies: here}]\n", "part-shape: lies with fitted"),
        (TOP + "history: [{taken_off: as built}]\n", "part-shape: taken_off: “as built”"),
        (TOP + "history: [{fitted: 2024-13-01}]\n", "part-shape: fitted: “2024-13-01”"),
        (TOP + "history: &a [*a]\n", "yaml-refused"),
    ],
)
def test_what_is_wrong_is_told_where_it_stands(text: str, says: str) -> None:
    assert any(says in told for told in found(text)), found(text)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (["taken_off: 2024-01-01"], "taken_off 2024-01-01, and it is not on the car"),
        (["fitted: 2024-01-01", "fitted: 2024-01-02"], "fitted 2024-01-02, and it is on the car already"),
        (["fitted: as built", "fitted: 2024-01-02"], "fitted 2024-01-02, and it is on the car already"),
        (["fitted: as built", "gone: 2024-01-02, why: x"], "gone 2024-01-02, and it is on the car"),
        (["fitted: as built", "stored: 2024-01-02, lies: x"], "stored 2024-01-02, and it is on the car"),
        (["gone: 2024-01-02, why: x", "fitted: 2024-01-03"], "fitted 2024-01-03 after gone 2024-01-02"),
    ],
)
def test_what_cannot_have_happened_is_told(lines: list[str], says: str) -> None:
    history = "".join(f"  - {{{line}}}\n" for line in lines)
    assert [told for told in found(f"{TOP}history:\n{history}") if f"part-history: {says}" in told]


@pytest.mark.parametrize("name", ["Box", "a b", "-box", "box.", "ä", "a--b", ".."])
def test_a_file_whose_name_nobody_can_say_is_told(name: str) -> None:
    assert any("part-shape: a part called" in told for told in found(TOP, name))


def test_the_lines_of_a_history_may_stand_in_any_order() -> None:
    lines = [
        "{fitted: as built}",
        "{taken_off: 2024-01-01, lies: a}",
        "{stored: 2024-02-01, lies: b}",
        "{fitted: 2024-03-01}",
        "{taken_off: 2024-04-01, lies: c}",
    ]
    told = set()
    for seed in range(10):
        random.Random(seed).shuffle(lines)
        part = read_part(TOP + "history:\n" + "".join(f"  - {line}\n" for line in lines), PATH, "box")
        assert part.faults == ()
        told.add(tuple((event.what, event.day) for event in part.history))
        assert part.lies == "c"
    assert len(told) == 1


@pytest.mark.parametrize("name", PARTS)
def test_what_is_read_is_valid_by_the_schema(name: str) -> None:
    class Plain(yaml.SafeLoader):
        """As YAML 1.2 reads it, without days and yes."""

    Plain.yaml_implicit_resolvers = {}
    assert read_part(PARTS[name], PATH, name).faults == ()
    jsonschema.validate(yaml.load(PARTS[name], Plain), part_schema())  # noqa: S506 - a safe loader


@pytest.mark.parametrize(
    "given",
    [
        {"name": "box"},
        {"name": "box", "standard": "perhaps"},
        {"name": "box", "standard": "no", "mass": "1 kg"},
        {"name": "box", "standard": "no", "mass": "1 m", "weighed": "2024-01-01"},
        {"name": "box", "standard": "no", "price": "1 kg", "priced": "2024-01-01"},
        {"name": "box", "standard": "no", "history": [{"gone": "2024-01-01"}]},
        {"name": "box", "standard": "no", "histroy": []},
    ],
)
def test_what_is_a_finding_is_not_valid_by_the_schema(given: dict[str, object]) -> None:
    text = yaml.safe_dump(given)
    assert read_part(text, PATH, "box").faults
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(given, part_schema())


def test_the_schema_knows_every_key() -> None:
    assert part_schema()["properties"].keys() == KEYS.keys()


@pytest.mark.parametrize(
    ("text", "help"),
    [
        (TOP + "price: 6.50\npriced: 2024-01-01\n", "6.50 EUR"),
        (TOP + "price: €6.50\npriced: 2024-01-01\n", "6.50 EUR"),
        (TOP + "price: 6,50 EUR\npriced: 2024-01-01\n", "decimal comma, write 6.50"),
        (TOP + "price: 6.50 EUR\n", "write priced"),
        (TOP + "history: [{fitted: 31.05.2024}]\n", "write 2024-05-31"),
        (TOP + "history: [{fitted: 31.02.2024}]\n", ""),
        (TOP + "history: [{fitted: as-built}]\n", "“as built”"),
    ],
)
def test_a_finding_says_what_to_write(text: str, help: str) -> None:
    faults = read_part(text, PATH, "box").faults
    assert len(faults) == 1
    assert help in faults[0].help


def test_a_name_is_no_longer_than_a_bill_takes() -> None:
    assert found(f"name: {'x' * 80}\nstandard: no\n") == []
    assert found(f"name: {'x' * 81}\nstandard: no\n")


def test_a_history_that_is_not_read_is_not_judged() -> None:
    text = TOP + "history:\n  - {fitted: 31.05.2024}\n  - {taken_off: 2024-06-01}\n"
    assert found(text) == ["4:14 part-shape: fitted: “31.05.2024”"]
