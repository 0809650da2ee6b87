"""Positioned YAML: what is refused, and where. Checked against the YAML 1.2.2 specification's terms."""

from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from buildlog.reading.nodes import YamlList, YamlMapping, YamlScalar, read_yaml, whole_file

PLACE = whole_file("page.md")


@pytest.mark.parametrize(
    ("text", "code", "line", "column", "found"),
    [
        ("a: &x 1\nb: 2", "yaml-refused", 1, 4, "the anchor &x"),
        ("a: 1\nb: *x", "yaml-refused", 2, 4, "the alias *x"),
        ("a: {<<: 3}", "yaml-refused", 1, 5, "the merge key <<"),
        (
            "a: !!python/name:os.system x",
            "yaml-refused",
            1,
            4,
            "the tag tag:yaml.org,2002:python/name:os.system",
        ),
        ("a: !!str 1", "yaml-refused", 1, 4, "the tag tag:yaml.org,2002:str"),
        ("---\na: 1\n---\nb: 2", "yaml-refused", 3, 1, "a second document (---)"),
        ("a: 1\nbb: 2\n\na: 3", "duplicate-key", 4, 1, "“a” twice"),
        ("? [a]\n: b", "yaml-refused", 1, 3, "a list as a key"),
        ("a: [1,\n b", "yaml-unreadable", 3, 1, "did not find expected ',' or ']'"),
        ("a:\n\t- b", "yaml-unreadable", 2, 1, "a tab"),
        ("a: 1\nb: @x", "yaml-unreadable", 2, 4, "“@” where a value begins"),
        ("a: [1,\n  `x`]", "yaml-unreadable", 2, 3, "“`” where a value begins"),
        ("# one\u2028line\x85 of\u2029four\nb: &x 1", "yaml-refused", 2, 4, "the anchor &x"),
        ("\ufeffa: &x 1", "yaml-refused", 1, 5, "the anchor &x"),
        ("\ufeffa: 1\nb: &x 1", "yaml-refused", 2, 4, "the anchor &x"),
        ("a: \x07", "yaml-unreadable", 1, 4, "the control character U+0007"),
        ("a: 1\nb: \ud800", "yaml-unreadable", 2, 4, "the character U+D800"),
        ("x: " + "[" * 500 + "]" * 500, "yaml-refused", 1, 16, "more than can be meant"),
    ],
)
def test_refused_with_position(text: str, code: str, line: int, column: int, found: str | None) -> None:
    _, findings = read_yaml(text, PLACE)
    first = findings[0]
    assert (first.code.name, first.position.line, first.position.column) == (code, line, column)
    if found is not None:
        assert first.found == found


def test_alias_bomb_ends_at_once() -> None:
    bomb = "a0: &a0 x\n" + "".join(
        f"a{n}: &a{n} [{', '.join(['*a' + str(n - 1)] * 9)}]\n" for n in range(1, 9)
    )
    root, findings = read_yaml(bomb, PLACE)
    assert isinstance(root, YamlMapping)
    assert sum(len(value.items) for _, value in root.entries if isinstance(value, YamlList)) == 8 * 9
    assert any(finding.found.startswith("the alias") for finding in findings)


@pytest.mark.parametrize(
    "text", ["12:30", "010", "1_000", "on", "1e3", "2026-13-45", "0x1F", "~", "null", "3.10"]
)
def test_yaml_guesses_nothing(text: str) -> None:
    """Types that YAML 1.1 resolvers would turn into numbers, dates or booleans stay as written."""
    root, findings = read_yaml(f"a: {text}", PLACE)
    assert not findings
    assert isinstance(root, YamlMapping)
    assert root.get("a") == YamlScalar(root.get("a").position, text, False)  # type: ignore[union-attr]


def test_positions_are_code_points() -> None:
    root, _ = read_yaml('"é̈😀": [α, β]', PLACE)
    assert isinstance(root, YamlMapping)
    items = root.entries[0][1]
    assert isinstance(items, YamlList)
    assert [item.position.column for item in items.items] == [9, 12]


@given(st.text(max_size=200))
def test_never_raises(text: str) -> None:
    read_yaml(text, PLACE)


_plain = st.recursive(
    st.text("abc xyz019.,-", max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.text("abcdef", min_size=1, max_size=4), inner, max_size=4)
    ),
    max_leaves=12,
)


@given(st.dictionaries(st.text("abcdef", min_size=1, max_size=4), _plain, max_size=5), st.booleans())
def test_agrees_with_pyyaml(data: dict[str, Any], flow: bool) -> None:
    """What PyYAML 6 writes with everything quoted, this reads back the same."""
    text = yaml.safe_dump(data, default_style='"', default_flow_style=flow, width=1000)
    root, findings = read_yaml(text, PLACE)
    assert [one for one in findings if one.code.name != "yaml-refused"] == findings

    def plain(node: object) -> object:
        if isinstance(node, YamlMapping):
            return {key.text: plain(value) for key, value in node.entries}
        if isinstance(node, YamlList):
            return [plain(item) for item in node.items]
        assert isinstance(node, YamlScalar)
        return node.text

    assert plain(root) == data
