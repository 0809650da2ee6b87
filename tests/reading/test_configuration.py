"""Settings of a site with their places: what YAML's own rules make of them (PyYAML 6 reads the same text),
what is taken over, what comes of the environment, and what is said of what cannot be read.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from buildlog.reading import configuration
from buildlog.reading.configuration import (
    Configuration,
    Scalar,
    find_configuration,
    is_null,
    read_configuration,
    shown_from,
    text_of,
)
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode


def read(folder: Path, text: str, **files: str) -> Configuration:
    for name, written in files.items():
        (folder / f"{name}.yml").write_text(written, "utf-8")
    (folder / "mkdocs.yml").write_text(text, "utf-8")
    return read_configuration(folder / "mkdocs.yml", folder)


def plain(node: YamlNode) -> Any:
    """What PyYAML makes of the same value; numbers and the like are left as they are written."""
    if isinstance(node, YamlMapping):
        return {key.text: plain(value) for key, value in node.entries}
    if isinstance(node, YamlList):
        return [plain(item) for item in node.items]
    assert isinstance(node, Scalar)
    if node.is_null:
        return None
    switch = node.switch
    return node.text if switch is None else switch


@pytest.mark.parametrize(
    "text",
    [
        "a: b\nc: [d, 'e', \"f\"]\ng: {h: i}",
        "a: yes\nb: no\nc: On\nd: OFF\ne: true\nf: 'true'\ng: !!str true",
        "a:\nb: ~\nc: null\nd: ''\ne: 'null'",
        "a: b\na: c",
        "a: &x {b: c}\nd: *x",
        "a: &x {b: c, d: e}\nf: {<<: *x, d: g}",
        "a: &x {b: c}\nf: {d: g, <<: *x, b: h}",
        "a: &x {b: c, d: e}\ny: &y {b: f, g: h}\nf: {<<: [*x, *y]}",
        "a: &x {b: c}\ny: &y {<<: *x, d: e}\nf: {<<: *y}",
        "<<: {a: b}\nc: d",
        "a: >-\n  b\n  c\nd: |\n  e\n  f",
        "",
        "---\na: b\n...",
    ],
)
def test_values_are_those_of_yaml(tmp_path: Path, text: str) -> None:
    found = read(tmp_path, text)
    assert found.faults == ()
    assert plain(found.root) == (yaml.safe_load(text) or {})


def test_where_a_value_stands(tmp_path: Path) -> None:
    found = read(tmp_path, "a: &x {b: c}\nd:\n  - *x\n  - [e, f]\n")
    inner = found.root.get("d")
    assert isinstance(inner, YamlList)
    assert [str(item.position) for item in inner.items] == ["mkdocs.yml:1:4", "mkdocs.yml:4:5"]
    assert found.files == (tmp_path / "mkdocs.yml",)
    assert found.shown == "mkdocs.yml"


@pytest.mark.parametrize(
    ("text", "repeated"),
    [
        ("a: 1\nb: 2", {}),
        ("a: 1\nb: 2\na: 3", {"1:1": [("a", "3:1", "1:1")]}),
        ("a: 1\na: 2\na: 3", {"1:1": [("a", "2:1", "1:1"), ("a", "3:1", "1:1")]}),
        ("x: {a: 1, a: 2}\ny: {a: 3}", {"1:4": [("a", "1:11", "1:5")]}),
        ("x: &x {a: 1}\ny: {<<: *x, a: 2}", {}),  # what is merged in may be said otherwise
        ("x: &x {a: 1}\ny: {<<: *x, <<: *x}", {}),
    ],
)
def test_keys_that_stand_twice(
    tmp_path: Path, text: str, repeated: dict[str, list[tuple[str, str, str]]]
) -> None:
    found = read(tmp_path, text).repeated
    assert {
        f"{place.line}:{place.column}": [
            (key.text, f"{key.position.line}:{key.position.column}", f"{first.line}:{first.column}")
            for key, first in pairs
        ]
        for place, pairs in found.items()
    } == repeated


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("INHERIT: base.yml\na: {own: 1}", {"a": {"below": "2", "own": "1"}, "b": ["3"], "c": "4"}),
        ("INHERIT: base.yml\nb: [own]", {"a": {"below": "2"}, "b": ["own"], "c": "4"}),
        ("INHERIT: base.yml\na: own", {"a": "own", "b": ["3"], "c": "4"}),
        ("INHERIT: base.yml\nc: {own: 1}", {"a": {"below": "2"}, "b": ["3"], "c": {"own": "1"}}),
        ("INHERIT: base.yml", {"a": {"below": "2"}, "b": ["3"], "c": "4"}),
        ("INHERIT: ./x/../base.yml\nc:", {"a": {"below": "2"}, "b": ["3"], "c": None}),
    ],
)
def test_what_is_taken_over(tmp_path: Path, text: str, expected: dict[str, Any]) -> None:
    """Mapping by mapping; all else is replaced (MkDocs, “Configuration inheritance”)."""
    found = read(tmp_path, text, base="a: {below: 2}\nb: [3]\nc: 4\n")
    assert found.faults == ()
    assert plain(found.root) == expected
    assert [file.name for file in found.files] == ["mkdocs.yml", "base.yml"]


@pytest.mark.parametrize(
    ("text", "found", "place"),
    [
        ("a: b\nINHERIT: none.yml", "INHERIT: none.yml, where there is no file", "mkdocs.yml:2:10"),
        ("INHERIT: 5", "INHERIT: 5", "mkdocs.yml:1:10"),
        ("INHERIT: [base.yml]", "INHERIT: ", "mkdocs.yml:1:10"),
        ("INHERIT: ''", "INHERIT: ", "mkdocs.yml:1:10"),
        (
            "INHERIT: mkdocs.yml",
            "INHERIT: mkdocs.yml, which takes over this file in turn",
            "mkdocs.yml:1:10",
        ),
        ("INHERIT: back.yml", "INHERIT: mkdocs.yml, which takes over this file in turn", "back.yml:2:10"),
        ("- a", "no mapping", "mkdocs.yml:1:1"),
        ("INHERIT: list.yml", "no mapping", "list.yml:1:1"),
        ("a", "no mapping", "mkdocs.yml:1:1"),
        ("a: [b", None, "mkdocs.yml:1:6"),
        ("a: b\nc: *d", None, "mkdocs.yml:2:4"),
        ("a: !ENV {b: c}", "a mapping where !ENV takes the name of a variable, or a list of them", None),
        ("a: !ENV [[b], c]", "a value that is no name of a variable", "mkdocs.yml:1:10"),
        ("a: &a {<<: *a}", "a mapping that is merged into itself", "mkdocs.yml:1:4"),
        ("a: b\n c: d", "mapping values are not allowed here", "mkdocs.yml:2:3"),
        ("a:\n  b: c\n d: e", "a line that continues nothing above it", "mkdocs.yml:3:2"),
        ("a: b # c\u2028 d: e", "U+2028, which ends a line for YAML, and a comment too", None),
        ("a: \x07", None, "mkdocs.yml:1:4"),
    ],
)
def test_what_cannot_be_read(tmp_path: Path, text: str, found: str | None, place: str | None) -> None:
    result = read(tmp_path, text, back="# back\nINHERIT: mkdocs.yml\n", list="- a\n", base="a: b\n")
    (fault,) = result.faults
    assert fault.code.name == "configuration"
    assert plain(result.root) == {}
    if found is not None:
        assert fault.found == found
    if place is not None:
        assert str(fault.position) == place
    assert fault.help


def test_a_value_that_holds_itself_is_read_by_nobody(tmp_path: Path) -> None:
    """An anchor in itself, which YAML allows: what is beside it is read all the same."""
    found = read(tmp_path, "a: &a [b, *a]\nc: d")
    assert found.faults == ()
    held = found.root.get("a")
    assert isinstance(held, YamlList)
    assert text_of(held.items[0]) == "b"
    assert not isinstance(held.items[1], (Scalar, YamlList, YamlMapping))
    assert found.text("c") == "d"


def test_values_of_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """MkDocs, “Environment variables”: the first that is set, or the last of the list as it is; with one name
    and no variable it is nothing. A value is read as YAML reads it."""
    monkeypatch.setenv("B_ONE", "one")
    monkeypatch.setenv("B_TRUE", "true")
    monkeypatch.delenv("B_NONE", raising=False)
    text = (
        "a: !ENV B_ONE\nb: !ENV [B_NONE, B_ONE, x]\nc: !ENV [B_NONE, {x: y}]\nd: !ENV B_NONE\n"
        "e: !ENV [B_NONE]\nf: !ENV B_TRUE\ng: !ENV [B_ONE]\nh: !ENV [B_ONE, B_TRUE]\n"
    )
    found = plain(read(tmp_path, text).root)
    assert found == {
        "a": "one", "b": "one", "c": {"x": "y"}, "d": None, "e": None, "f": True, "g": "one", "h": "one",
    }  # fmt: skip


def test_few_lines_for_many_values_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Mappings that merge in each other ten times over: of the fifth there are a hundred thousand keys."""
    lines = ["a0: &a0 {" + ", ".join(f"k{n}: v" for n in range(10)) + "}"]
    for level in range(1, 6):
        lines.append(f"a{level}: &a{level} {{<<: [" + ", ".join([f"*a{level - 1}"] * 10) + "]}")
    (fault,) = read(tmp_path, "\n".join(lines)).faults
    assert fault.found == "more than 200000 values"
    monkeypatch.setattr(configuration, "MOST_NODES", 12)
    assert (
        read(tmp_path, "a: [" + ", ".join("x" * 9) + "]").faults == ()
    )  # with the mapping, key and list: 12
    (fault,) = read(tmp_path, "a: [" + ", ".join("x" * 10) + "]").faults
    assert fault.found == "more than 12 values"


def test_which_file_it_is(tmp_path: Path) -> None:
    assert find_configuration(tmp_path) is None
    (tmp_path / "mkdocs.yaml").write_text("")
    assert find_configuration(tmp_path) == tmp_path / "mkdocs.yaml"
    (tmp_path / "mkdocs.yml").mkdir()  # no file
    assert find_configuration(tmp_path) == tmp_path / "mkdocs.yaml"
    (tmp_path / "mkdocs.yml").rmdir()
    (tmp_path / "mkdocs.yml").write_text("")
    assert find_configuration(tmp_path) == tmp_path / "mkdocs.yml"


def test_a_path_is_shown_the_short_way() -> None:
    assert shown_from(Path("/a/b"), Path("/a/b/c/d.yml")) == "c/d.yml"
    assert shown_from(Path("/a/b"), Path("/a/d.yml")) == "../d.yml"
    assert shown_from(Path("/a/b/c/d/e"), Path("/x.yml")) == "/x.yml"


def test_what_is_nothing_and_what_is_text(tmp_path: Path) -> None:
    root = read(tmp_path, "a:\nb: ''\nc: 5\nd: text\ne: [x]\nf: '5'").root
    told = {key.text: (is_null(value), text_of(value)) for key, value in root.entries}
    assert told == {
        "a": (True, None), "b": (False, ""), "c": (False, None), "d": (False, "text"), "e": (False, None),
        "f": (False, "5"),
    }  # fmt: skip
    assert (is_null(None), text_of(None)) == (True, None)
