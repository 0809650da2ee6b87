"""Snippets: what comes into a page from other files is what pymdownx.snippets puts in, and the proof says
where it cannot vouch for that."""

from __future__ import annotations

from pathlib import Path

import markdown
import pytest
from markdown.preprocessors import Preprocessor

from buildlog.book.affected import affected_pages
from buildlog.book.book import Book
from buildlog.proof.proof import proof_book
from buildlog.reading.markdown.scanner import scan
from buildlog.reading.nodes import YamlMapping, read_yaml, whole_file
from buildlog.reading.snippets import (
    Include,
    SnippetReader,
    SnippetSettings,
    read_snippet_settings,
    read_snippets,
)
from tests.samples import GEARING

FILES = {
    "words.md": "Some words.\n\nAnd more.\n",
    "figure.md": "It does [999 km/h](calc:shorter-final.after.speed_at_limit.3).\n",
    "nested.md": 'Above.\n\n--8<-- "figure.md"\n',
    "loop.md": 'Once.\n--8<-- "loop.md"\n',
    "parts.md": (
        "One.\n<!-- --8<-- [start:words] -->\nTwo words.\n<!-- --8<-- [end:words] -->\n"
        "<!-- --8<-- [start:figure] -->\nThree [3 mm](cite:x).\n<!-- --8<-- [end:figure] -->\nFour.\n"
    ),
    "fence.md": "```text\n",
    "comment.md": "<!-- an open comment\n",
    "slip.md": "It does [9 km/h] (calc:a.b).\n",
    "misspelt.md": "It does [9 km/h](clac:a.b).\n",
    "block.md": GEARING,
    "list.md": '<div data-buildlog="ledger"></div>\n',
    "code.md": "It is written `[9 km/h](calc:a.b)`.\n",
    "two lines.md": "first\nsecond\nthird\nfourth\n",
    "escaped.md": ';--8<-- "figure.md"\n',
    "empty.md": "",
}  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in FILES.items():
        (tmp_path / name).write_text(text)
    return tmp_path


def faults(folder: Path, text: str, **options: object) -> list[tuple[int, str]]:
    settings = SnippetSettings(bases=(str(folder),), **options)  # type: ignore[arg-type]
    found = read_snippets(scan(text, "a.md"), settings, folder).faults
    assert {fault.code.name for fault in found} <= {"page-not-vouched"}
    return [(fault.position.line, fault.found) for fault in found]


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("slip.md", "it brings [9 km/h] (calc:a.b) (address-outside-link)"),
        ("misspelt.md", "it brings “clac:” (nearly-a-figure)"),
        ("block.md", "it brings a calculation"),
        ("list.md", "it brings the list “ledger”"),
        ("missing.md", "there is no such file"),
        ("Slip.md", "there is slip.md, which differs in capital letters"),
        ("../outside.md", "there is no such file"),
        ("parts.md:missing", "it has no section “missing”"),
        ("https://a.example/b.md", "there is no such file"),
        (":3", "a path is missing"),
    ],
)
@pytest.mark.parametrize(
    "form", ['Text.\n\n--8<-- "{}"\n', "Text.\n\n  -8<- '{}'\n", "Text.\n--8<--\n{}\n--8<--\n"]
)
def test_a_page_is_not_vouched_for(folder: Path, name: str, found: str, form: str) -> None:
    (folder.parent / "outside.md").write_text("words\n")
    ((line, shown),) = faults(folder, form.format(name))
    assert line == 3
    assert shown.startswith(f"“{name}”: {found[:50]}")


@pytest.mark.parametrize(
    "name",
    [
        "figure.md",
        "nested.md",
        "parts.md",
        "parts.md:figure",
        "words.md",
        "loop.md",
        "parts.md:words",
        "parts.md:1:3",
        "code.md",
        "escaped.md",
        "empty.md",
    ],
)
def test_words_and_figures_come_in_unhindered(folder: Path, name: str) -> None:
    assert faults(folder, f'---\ntitle: A\n---\n\nText [9 mm](cite:x).\n\n--8<-- "{name}"\n\nMore.\n') == []


def test_an_open_fence_or_comment_that_hides_a_figure_is_told(folder: Path) -> None:
    for name in ("fence.md", "comment.md"):
        text = f'Text.\n\n--8<-- "{name}"\n\n[9 mm](cite:x)\n\n```\n-->\n'
        ((line, found),) = faults(folder, text)
        assert (line, found) == (3, f"“{name}”: it hides [9 mm](cite:x)")


def test_a_figure_in_code_stays_code_with_its_snippet(folder: Path) -> None:
    assert faults(folder, 'Text.\n\n```text\n--8<-- "figure.md"\n```\n') == []
    ((line, _),) = faults(folder, '```yaml calc\nid: a\n--8<-- "words.md"\n```\n')
    assert line == 3


def test_only_the_snippet_at_fault_is_told(folder: Path) -> None:
    text = '--8<-- "words.md"\n\n--8<-- "block.md"\n\n--8<-- "figure.md"\n'
    assert [line for line, _ in faults(folder, text)] == [3]


def test_what_is_appended_to_every_page_is_read(folder: Path) -> None:
    assert faults(folder, "Text.\nMore.", appended=("words.md",)) == []
    assert [line for line, _ in faults(folder, "Text.\nMore.", appended=("words.md", "block.md"))] == [2]


def test_what_is_fetched_from_elsewhere_is_not_vouched_for(folder: Path) -> None:
    ((_, found),) = faults(folder, '--8<-- "https://a.example/b.md"\n', downloads=True)
    assert "fetched from elsewhere" in found


class _Kept(Preprocessor):
    def run(self, lines: list[str]) -> list[str]:
        self.lines = list(lines)
        return lines


LIKE_THE_EXTENSION = [
    '--8<-- "words.md"',
    '  --8<-- "two lines.md:2"',
    '--8<-- "two lines.md:2:3"',
    '--8<-- "two lines.md::2"',
    '--8<-- "two lines.md:-2"',
    '--8<-- "two lines.md:1,3:4"',
    '--8<-- "two lines.md:9"',
    '--8<-- "parts.md"',
    '--8<-- "parts.md:words"',
    '--8<-- "loop.md"',
    '--8<-- "nested.md"',
    '--8<-- "escaped.md"',
    '--8<-- "empty.md"',
    ';--8<-- "words.md"',
    ';;--8<-- "words.md"',
    '--8<-- "words.md" and more',
    "--8<-- words.md",
    "text --8<-- 'words.md'",
    "---8<--- 'words.md'",
    "-8<- 'words.md'",
    "--8<--\nwords.md\n\n  figure.md\n; code.md\n--8<--",
    "--8<--\nwords.md",
    "--8<-- ",
    "a <!-- --8<-- [start:x] -->\nb\n;--8<-- [end:x]",
    '--8<-- "; words.md"',
    "\t--8<-- 'words.md'",
    "",
]


@pytest.mark.parametrize("text", LIKE_THE_EXTENSION)
def test_the_text_is_that_of_the_extension(folder: Path, text: str) -> None:
    """The outside check: pymdown-extensions itself, before anything else looks at the page."""
    md = markdown.Markdown(
        extensions=["pymdownx.snippets"],
        extension_configs={"pymdownx.snippets": {"base_path": [str(folder)]}},
    )
    kept = _Kept(md)
    md.preprocessors.register(kept, "kept", 31)
    md.convert(f"above\n\n{text}\n\nbelow")
    page = scan(f"above\n\n{text}\n\nbelow", "a.md")
    ours: list[str] = []
    for piece in SnippetReader(SnippetSettings(bases=(str(folder),)), folder).pieces_of(page):
        ours += piece.text if isinstance(piece, Include) else [piece]
    assert ours == kept.lines


def settings(text: str) -> SnippetSettings | None:
    node, _ = read_yaml(text, whole_file("mkdocs.yml"), lenient=True)
    assert isinstance(node, YamlMapping)
    return read_snippet_settings(node, Path("/site"), Path("/site/docs"))


def test_settings_of_a_site() -> None:
    assert settings("site_name: A") is None
    assert settings("markdown_extensions: [tables]") is None
    assert settings("markdown_extensions: [tables, pymdownx.snippets]") == SnippetSettings(bases=("/site",))
    assert settings("markdown_extensions: {tables: , pymdownx.snippets: }") == SnippetSettings(
        bases=("/site",)
    )
    options = "markdown_extensions:\n  - pymdownx.snippets:\n      "
    for base, expected in (
        ("base_path: parts", ("/site/parts",)),
        ("base_path: [., docs/parts]", ("/site", "/site/docs/parts")),
        ("base_path: !relative", ("",)),
        ("base_path: !relative $docs_dir/parts", ("/site/docs/parts",)),
        ("base_path: [!relative $config_dir]", ("/site",)),
        ("base_path: /else/where", ("/else/where",)),
    ):
        assert settings(options + base) == SnippetSettings(bases=expected)
    assert settings(options + "{url_download: true, auto_append: [a.md], restrict_base_path: no}") == (
        SnippetSettings(bases=("/site",), downloads=True, appended=("a.md",), restricted=False)
    )


def site(folder: Path, text: str) -> Path:
    (folder / "content").mkdir()
    (folder / "mkdocs.yml").write_text(
        "docs_dir: content\nmarkdown_extensions:\n  - pymdownx.snippets\n"
        "  - toc: {slugify: !!python/object/apply:os.getcwd []}\n"
    )
    (folder / "content" / "a.md").write_text(text)
    return folder


def test_the_proof_of_a_site_reads_its_snippets(folder: Path) -> None:
    """A figure is judged on the page that it comes into, at its place in its own file."""
    site(folder, f'{GEARING}\nText.\n\n  --8<-- "nested.md"\n\nIt is [9 km/h](calc:shorter-final.gone).\n')
    report = proof_book(Book.open(root=folder))
    assert [(error.code.name, str(error.position)) for error in report.errors] == [
        ("unknown-address", "content/a.md:18:16"),
        ("figure-disagrees", "figure.md:1:10"),
    ]
    assert {entry.page for entry in report.entries} == {"a"}


@pytest.mark.parametrize(
    "asked",
    [
        '--8<-- "parts.md"',
        '    --8<-- "parts.md:figure"',
        '--8<-- "parts.md:5:6"',
        "--8<--\nwords.md\n\nparts.md:6\n--8<--",
    ],
)
def test_a_place_in_a_snippet_is_the_one_in_its_file(folder: Path, asked: str) -> None:
    site(folder, f"- Item\n\n{asked}\n\nIt weighs 4.2 kg.\n")
    text = FILES["parts.md"].replace("[3 mm](cite:x)", "[3 mm](cite:x) 7.7 kg")
    (folder / "parts.md").write_text(text)
    report = proof_book(Book.open(root=folder))
    assert [str(error.position) for error in report.errors] == ["parts.md:6:14"]
    places = {entry.label: str(entry.position) for entry in report.entries}
    last = asked.count("\n") + 5
    assert places == {"3 mm": "parts.md:6:8", "7.7 kg": "parts.md:6:22", "4.2 kg": f"content/a.md:{last}:11"}


def test_without_the_extension_it_is_a_text_like_another(folder: Path) -> None:
    site(folder, '--8<-- "figure.md"\n')
    (folder / "mkdocs.yml").write_text("docs_dir: content\n")
    assert proof_book(Book.open(root=folder)).errors == ()


def test_a_changed_snippet_is_seen(folder: Path) -> None:
    site(folder, '--8<-- "words.md"\n')
    (folder / "content" / "b.md").write_text("# Other\n")
    book = Book.open(root=folder)
    assert proof_book(book).errors == ()
    assert affected_pages(book, {(folder / "words.md").resolve()}) == ["a"]
    again = Book.open(root=folder, earlier=book)
    assert again.pages["a"] is book.pages["a"]
    (folder / "words.md").write_text(FILES["block.md"])
    later = Book.open(root=folder, earlier=again)
    assert [fault.code.name for fault in proof_book(later).errors] == ["page-not-vouched"]
    assert later.pages["b"] is book.pages["b"]


def test_the_extension_is_seen_where_another_file_of_settings_names_it(folder: Path) -> None:
    site(folder, '--8<-- "block.md"\n')
    (folder / "base.yml").write_text("markdown_extensions: [pymdownx.snippets]\n")
    (folder / "mkdocs.yml").write_text("INHERIT: base.yml\ndocs_dir: content\n")
    (error,) = proof_book(Book.open(root=folder)).errors
    assert (error.code.name, str(error.position)) == ("page-not-vouched", "content/a.md:1:1")
