"""What an author writes gives no orders: to a terminal, a CI runner, a page, or a reader of Markdown."""

from __future__ import annotations

import html.parser
import json
import re
import unicodedata
from collections import Counter
from dataclasses import replace
from pathlib import Path

import markdown
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.commands.proof import FORMATS
from buildlog.diagnostics import Diagnostic, Position, Severity, shorten
from buildlog.proof.proof import LOOSE_FIGURE, proof_book
from buildlog.report.json_text import json_text
from buildlog.report.printable import printable
from buildlog.report.summary_markdown import summary_markdown
from tests.samples import GEARING, calc, write_site

ADDRESS = "calc:shorter-final.after.speed_at_limit.3"
NASTY = (
    "\x1b[31m",
    "\x9b2J",
    "\u202e",
    "\u2028",
    "%0A::error::x",
    "::error::x",
    "::add-mask::1",
    "##[error]x",
    "###[set-env name=A]b",
    "##vso[task.complete]",
    "</script><script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "|a|b|",
    "`x`",
    "**x**",
    "$x^2$",
    "&lt;",
    "javascript:alert(1)",
    "{0}",
    "\\",
)
PAGES: dict[str, str | bytes] = {
    "a.md": "\n\n".join(f"[9 {bad}]({ADDRESS}) then [{bad} 9]({ADDRESS})" for bad in NASTY)
    + f"\n\n{GEARING}",
    "b.md": "\n\n".join(f'[9 km/h]({ADDRESS} "{bad}") and [9](calc:x.{bad}.y)' for bad in NASTY),
    "c.md": "\n".join(
        calc(f"id: b{at}\nkind: {bad}\ntitle: {bad}\ninputs: {{{bad}: {bad}}}")
        for at, bad in enumerate(map(json.dumps, NASTY))
    ),
    "::error::%0A##[error]d/e\x1b[31m,f|g<b>.md": f"[9]({ADDRESS}) and 39 N·m.\n\n```yaml calc\n",
}
COMMAND = re.compile(r"::(error|warning|notice) ([^:]*)::(.*)")


def orders(line: str) -> bool:
    """Whether a runner takes a line for a command: ``::`` at its start, spaces aside, or ``##[`` anywhere.

    After the runner's own reader (actions/runner, src/Runner.Common/ActionCommand.cs, TryParseV2 and
    TryParse); ``##vso[`` is the same of a second runner.
    """
    return line.lstrip().startswith("::") or "##[" in line or bool(re.search(r"##\w+\[", line))


def unescaped(text: str, signs: str) -> str:
    for sign in signs:
        text = text.replace(f"%{ord(sign):02X}", sign)
    return text


def output(folder: Path, form: str, *more: str) -> str:
    write_site(folder, PAGES)
    result = CliRunner().invoke(main, ["proof", "--format", form, "--site", str(folder), *more])
    assert result.exit_code == 1, result.output
    return result.output


def steering(text: str) -> set[str]:
    """Characters that a terminal or a reader's eye obeys."""
    return {char for char in text if char != "\n" and unicodedata.category(char) in ("Cc", "Cf", "Zl", "Zp")}


def test_the_site_would_give_orders_if_it_were_let() -> None:
    every = "\n".join(text if isinstance(text, str) else "" for text in PAGES.values())
    assert {"\x1b", "\x9b", "\u202e", "\u2028"} <= steering(every)
    assert any(orders(line) for line in every.splitlines())
    assert {bad for bad in NASTY if orders(bad)} == set(NASTY[5:10])


@pytest.mark.parametrize("form", FORMATS)
def test_no_format_steers_a_terminal_or_a_runner(tmp_path: Path, form: str) -> None:
    text = output(tmp_path, form)
    assert steering(text) == set()
    given_orders = [line for line in text.split("\n") if orders(line)]
    assert all(COMMAND.fullmatch(line) for line in given_orders)
    kinds = Counter(line.split(" ")[0] for line in given_orders)
    # The warnings are about two names that Windows cannot hold.
    expected = {"::error": 10, "::warning": 2, "::notice": 1}
    assert kinds == (expected if form == "annotations" else {})
    assert re.search(r"content/a\.md", text)


@pytest.mark.parametrize(
    "command",
    [
        ["ledger"],
        ["ledger", "--format", "csv"],
        ["ledger", "--format", "json"],
        ["working", "a#no-such"],
        ["working", "a#shorter-final"],
        ["amend"],
        ["amend", "--write"],
        ["rename", "a#shorter-final", "\x1b[31m::error::x"],
        ["proof", "no\x1b[31m-such\u202e.md"],
        ["kinds", "\x1b[31m::error::x"],
        ["findings", "##[error]\x9b2J"],
    ],
    ids=lambda command: ascii(" ".join(command))[1:30],
)
def test_nor_does_another_command(tmp_path: Path, command: list[str]) -> None:
    write_site(tmp_path, PAGES)
    where = [] if command[0] in ("kinds", "findings") else ["--site", str(tmp_path)]
    text = CliRunner().invoke(main, [*command, *where]).output
    assert "a" in text
    assert steering(text) == set()
    assert not [line for line in text.split("\n") if orders(line)]


def test_a_folder_that_is_named_like_a_command_begins_no_line(tmp_path: Path) -> None:
    """The name of the content folder is the author's too, and paths are shown first on the line."""
    folder = tmp_path / "::error::x"
    folder.mkdir()
    (folder / "a.md").write_text(f"[9 km/h]({ADDRESS})\n", "utf-8")
    (tmp_path / "mkdocs.yml").write_text('docs_dir: "::error::x"\n', "utf-8")
    text = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)]).output
    assert text.startswith("./::error::x/a.md:1:10  error  ")
    assert not [line for line in text.split("\n") if orders(line)]


def test_an_annotation_says_what_was_meant(tmp_path: Path) -> None:
    """Read as the runner reads it: properties by commas, then unescaped, the percent sign last."""
    text = output(
        tmp_path, "annotations", str(tmp_path / "content" / next(name for name in PAGES if "e\x1b" in name))
    )
    commands = [found for line in text.split("\n") if (found := COMMAND.fullmatch(line))]
    assert len(commands) >= 2
    for found in commands:
        properties = dict(pair.split("=", 1) for pair in found[2].split(","))
        assert list(properties) == ["file", "line", "col", "endColumn", "title"]
        path = unescaped(properties["file"], "\r\n:,%")
        assert path == "content/::error::%0A#\\u0023[error]d/e\\u001b[31m,f|g<b>.md"
        assert "\n" not in unescaped(found[3], "\r\n%")


@pytest.mark.parametrize("form", FORMATS)
def test_json_does_not_end_a_script(tmp_path: Path, form: str) -> None:
    text = output(tmp_path, form)
    is_json = text.startswith(("{", "["))
    assert is_json or form not in ("json", "sarif", "code-quality")
    if is_json:
        assert "<" not in text
        assert json.loads(text)


def test_json_keeps_the_authors_text(tmp_path: Path) -> None:
    labels = [
        one["figure"]["label"] for one in json.loads(output(tmp_path, "json"))["findings"] if "figure" in one
    ]
    assert "9 \x9b2J" in labels
    assert "9 \u202e" in labels
    assert "9 </script><script>alert(1)</script>" in labels


class Elements(html.parser.HTMLParser):
    """The elements of a page, and the text of each cell of each row."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.names: set[str] = set()
        self.attributes: set[str] = set()
        self.rows: list[list[str]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.add(tag)
        self.attributes |= {name for name, _ in attrs}
        if tag == "tr":
            self.rows.append([])
        elif tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_data(self, data: str) -> None:
        if self.rows and self.rows[-1]:
            self.rows[-1][-1] += data


def test_markdown_makes_a_table_and_nothing_else(tmp_path: Path) -> None:
    book = Book.open(write_site(tmp_path, {"a.md": "# A\n"}), root=tmp_path)
    place = Position("a|b<i>_c_.md", 1, 2)
    found = tuple(
        Diagnostic(code=LOOSE_FIGURE, severity=Severity.NOTE, position=place, message=bad, expected=bad)
        for bad in NASTY
    )
    summary = summary_markdown(replace(proof_book(book), findings=found))
    page = Elements(markdown.markdown(summary, extensions=["tables"]))
    assert page.names == {"h2", "p", "br", "table", "thead", "tbody", "tr", "th", "td"}
    assert page.attributes == set()
    (_, *rows) = ([cell.strip() for cell in row] for row in page.rows)
    shown = [printable(shorten(bad, 300)) for bad in NASTY]
    assert rows == [["a|b<i>_c_.md:1:2", f"note: {bad}".strip(), bad, "loose-figure"] for bad in shown]


@given(st.text(st.characters(codec="utf-8")) | st.lists(st.sampled_from(NASTY)).map("".join))
def test_printable_text_and_json_give_no_orders(text: str) -> None:
    shown = printable(text)
    assert steering(shown) == set()
    assert not re.search(r"##\w*\[", shown + "[")
    written = json_text({"text": text})
    assert steering(written) == set()
    assert not re.search(r"##\w*\[", written)
    assert json.loads(written) == {"text": text}


def test_half_a_character_is_written_as_an_escape() -> None:
    """A file name that is not UTF-8 comes with lone surrogates, which no output can encode."""
    assert json_text("\udc80") == '"\\udc80"\n'
    assert printable("\udc80") == "\\udc80"
