"""The settings of mkdocs-include-markdown-plugin: its defaults as its documentation has them, what a site
changes, and where none of its directives can be read.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.reading.configuration import read_configuration
from buildlog.reading.included_files import IncludeSettings, Text, asks_for_files, read_include_settings

DEFAULTS = {
    "preserve-includer-indent": True,
    "dedent": False,
    "trailing-newlines": True,
    "comments": False,
    "rewrite-relative-urls": True,
    "recursive": True,
}


def read(folder: Path, *options: str) -> IncludeSettings | None:
    named = []
    for text in options:
        (folder / "options.yml").write_text(text, "utf-8")
        named.append(read_configuration(folder / "options.yml", folder).root)
    return read_include_settings(named)


def test_where_the_plugin_is_not_named_there_are_no_settings(tmp_path: Path) -> None:
    assert read_include_settings([]) is None


def test_what_holds_where_a_site_says_nothing(tmp_path: Path) -> None:
    found = read(tmp_path, "")
    assert found == IncludeSettings()
    assert found is not None
    assert found.defaults == DEFAULTS
    assert (found.opening, found.closing, found.unread) == ("{%", "%}", "")
    assert found.names == {"include-markdown": "include-markdown", "include": "include"}


@pytest.mark.parametrize(
    ("options", "changed"),
    [
        ("dedent: true", {"dedent": True}),
        ("comments: on\nrecursive: no", {"comments": True, "recursive": False}),
        ("preserve_includer_indent: false", {"preserve-includer-indent": False}),
        ("trailing_newlines: false\nrewrite_relative_urls: false",
         {"trailing-newlines": False, "rewrite-relative-urls": False}),
        ("dedent: 'true'", {}),  # a text is no switch
        ("start: <!--a-->\nend: <!--b-->", {"start": "<!--a-->", "end": "<!--b-->"}),
        ("encoding: latin-1\norder: -alpha-path", {"encoding": "latin-1", "order": "-alpha-path"}),
    ],
)  # fmt: skip
def test_what_a_site_changes(tmp_path: Path, options: str, changed: dict[str, str | bool]) -> None:
    found = read(tmp_path, options)
    assert found is not None
    assert found.defaults == DEFAULTS | changed
    assert found.unread == ""


@pytest.mark.parametrize(
    ("options", "unread"),
    [
        (("", ""), "the site names the plugin twice"),
        (("exclude: '*.txt'",), "the settings of the plugin exclude files"),
        (("exclude: ['*.txt']",), "the settings of the plugin exclude files"),
        (("exclude: []",), ""),
        (("exclude:",), ""),
        (("opening_tag: 'x{'",), "its opening tag begins as a word does"),
        (("opening_tag: '\\{'",), "its opening tag begins as a word does"),
        (("opening_tag: '{{'\nclosing_tag: '}}'",), ""),
    ],
)
def test_what_is_not_read_at_all(tmp_path: Path, options: tuple[str, ...], unread: str) -> None:
    found = read(tmp_path, *options)
    assert found is not None
    assert found.unread == unread


def test_own_tags_and_names(tmp_path: Path) -> None:
    found = read(tmp_path, "opening_tag: '{!'\nclosing_tag: '!}'\ndirectives: {include: take}")
    assert found is not None
    assert (found.opening, found.closing) == ("{!", "!}")
    assert found.names == {"include-markdown": "include-markdown", "include": "take"}
    assert asks_for_files("x {! take 'a.md' !}", found)
    assert asks_for_files("x {! include-markdown 'a.md' !}", found)
    assert not asks_for_files("x {% take 'a.md' %}", found)
    assert not asks_for_files("x {! bring 'a.md' !}", found)


def test_a_text_with_its_origins_is_cut_as_a_text_is() -> None:
    """Against what str.split, str.splitlines and textwrap.dedent of the standard library do."""
    import textwrap
    from array import array

    for written in ("a,b,,c", "", "  a\n    b\n\n  c", "a\u2028b\r\nc\n", "\ta\n\tb"):
        text = Text(written, array("q", range(100, 100 + len(written))))

        def back(part: Text, written: str = written) -> str:
            return "".join(written[origin - 100] for origin in part.origins if origin >= 0)

        for mark in (",", "\n"):
            for most in (-1, 0, 1):
                parts = text.parted(mark, most)
                assert [part.text for part in parts] == written.split(mark, most)
                assert [back(part) for part in parts] == [part.text for part in parts]
        lines = text.lines()
        assert [line.text for line in lines] == written.splitlines(keepends=True)
        assert [back(line) for line in lines] == [line.text for line in lines]
        plain = text.dedented()
        assert plain.text == textwrap.dedent(written)
        assert back(plain) == plain.text.replace("\n", "")
        assert list(Text("ab").origins) == [-1, -1]
