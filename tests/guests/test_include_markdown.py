"""What mkdocs-include-markdown-plugin brings into a page is what the proof reads, or the proof says so."""

from __future__ import annotations

import random
import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner
from mkdocs.exceptions import Abort
from mkdocs_include_markdown_plugin.config import PluginConfig
from mkdocs_include_markdown_plugin.event import on_page_markdown

from buildlog.book.affected import affected_pages
from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.diagnostics import Position
from buildlog.proof.proof import proof_book
from buildlog.reading.configuration import read_configuration
from buildlog.reading.included_files import IncludeReader, IncludeSettings, read_include_settings
from buildlog.reading.markdown.scanner import scan
from buildlog.reading.nodes import YamlMapping
from buildlog.reading.snippets import WholeLines
from tests.guests.small_sites import build_site, write
from tests.samples import GEARING
from tests.systems import link

FILES: dict[str, str | bytes] = {
    "sub/page.md": "",
    "parts/words.md": "Some words.\n\nAnd more.\n",
    "parts/figure.txt": "It is [9 km/h](calc:a.b).\n",
    "parts/indented.md": "    One.\n      Two.\n\t\n    Three.\n",
    "parts/marks.md": "Zero.\n<!--start-->\nOne.\n<!--end-->\nTwo.\n<!--start-->Three.<!--end-->\nFour.\n",
    "parts/nested.md": "Above.\n\n  {% include-markdown './deep/one.md' %}\n\n"
    "Below {% include 'parts/deep/two.md' %}\n",
    "parts/deep/one.md": "## One\n\n{% include \"../words.md\" dedent=true %} "
    "{% include-markdown './two.md' %}\n",
    "parts/deep/two.md": "Two\u2028and half.\n\n\n",
    "parts/deep/.hidden.md": "Hidden.\n",
    "parts/latin.md": "Gr\u00fc\u00dfe.\n".encode("latin-1"),
    "parts/windows.md": b"One.\r\nTwo.\r\n<!--start-->\r\nThree.\r\n",
    "parts/fence.md": "```\n# Code\n{% include 'parts/words.md' %}\n```\n\n# Title\n#Tag\n",
    "parts/empty.md": "",
    "parts/n10.md": "Ten.",
    "parts/n9.md": "Nine.\n",
    "parts/quote.md": "\"Quoted\" & 'so' <b>.\n",
}  # fmt: skip


class Plugin:
    _files_watcher = None
    _cache = None

    def __init__(self, options: dict[str, Any]) -> None:
        self.config = PluginConfig()
        self.config.load_dict(options)
        self.config.validate()


class Page:
    def __init__(self, file: Path) -> None:
        self.file = self
        self.abs_src_path = str(file)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site") / "docs"
    write(folder, FILES)
    return folder


def settings(folder: Path, options: dict[str, Any]) -> IncludeSettings:
    (folder.parent / "mkdocs.yml").write_text(yaml.safe_dump({"options": options}))
    node = read_configuration(folder.parent / "mkdocs.yml", folder.parent).root.get("options")
    assert isinstance(node, YamlMapping)
    found = read_include_settings([node])
    assert found is not None
    return found


def theirs(folder: Path, text: str, options: dict[str, Any]) -> str:
    plugin: Any = Plugin(options)
    page: Any = Page(folder / "sub" / "page.md")
    return on_page_markdown(text, page, str(folder), plugin)


def alike(text: str) -> str:
    """Levels of headings change no figure."""
    return re.sub("#+", "#", text)


def compared(folder: Path, text: str, options: dict[str, Any]) -> list[str]:
    """The lines that come of a page, which are those of the plugin; why directives were not read."""
    file = folder / "sub" / "page.md"
    reader = IncludeReader(settings(folder, options), file, folder)
    lines = reader.lines_with(scan(text, "page.md"))
    if not reader.unread:
        assert alike("\n".join(lines)) == alike(theirs(folder, text, options)), (text, options)
    whole = WholeLines(lines, Path.as_posix)
    for number, line in enumerate(lines, start=1):
        if not line.isascii() or "<!-- BEGIN" in line or "<!-- END" in line:
            continue
        for word in re.finditer(
            "[A-Za-z]{3,}", line
        ):  # begins where it is said to; a cut may end it elsewhere
            place = whole.place(Position("", number, word.start() + 1))
            written = Path(place.path).read_text("latin-1") if place.path else text
            assert written.split("\n")[place.line - 1][place.column - 1 :].startswith(word[0][0]), (
                line,
                place,
            )
    return [why for _, why in reader.unread.values()]


NAMES = [
    "parts/words.md",
    "../parts/figure.txt",
    "parts/indented.md",
    "parts/marks.md",
    "../parts/nested.md",
    "parts/deep/one.md",
    "parts/windows.md",
    "parts/fence.md",
    "parts/empty.md",
    "parts/quote.md",
    "parts/n*.md",
    "../parts/**/*.md",
    "parts/**",
    "parts/?9.md",
    "parts/*/t*.md",
    "**/two.md",
    "./../parts/n1?.md",
]
VALUES: dict[str, list[str]] = {
    "start": ["'<!--start-->'", '"<!--start-->\\n"', "'nowhere'", '"o"'],
    "end": ["'<!--end-->'", '"\\n"', "'.'"],
    "dedent": ["true", "false"],
    "comments": ["true", "false"],
    "preserve-includer-indent": ["true", "false"],
    "trailing-newlines": ["true", "false"],
    "rewrite-relative-urls": ["true", "false"],
    "recursive": ["true", "false"],
    "heading-offset": ["1", "-1"],
    "encoding": ["'latin-1'", '"utf-8"'],
    "order": ["'natural-path'", "'-alpha'", "'natural-name'", "'-path'"],
}
PLACES = [
    "{}",
    "Text.\n\n{}\n\nMore.",
    "- Item\n\n    {}\n",
    "Words {} and more.",
    "\t{}",
    "> {}",
    "`{}`",
    "x.y\\{}{}",
]
OPTIONS: list[dict[str, Any]] = [
    {},
    {"dedent": True, "trailing_newlines": False, "comments": True},
    {"preserve_includer_indent": False, "recursive": False, "rewrite_relative_urls": False},
    {"start": "<!--start-->", "heading_offset": 2, "order": "natural", "encoding": "latin-1"},
    {
        "opening_tag": "<<",
        "closing_tag": ">>",
        "directives": {"include": "take", "include-markdown": "take-in"},
    },
]


SEED = 14


def test_lines_are_those_of_the_plugin(folder: Path) -> None:
    chance = random.Random(SEED)
    read = 0
    for _ in range(300):
        options: dict[str, Any] = chance.choice(OPTIONS)
        kind = chance.choice(["include", "include-markdown"])
        allowed = [
            name
            for name in VALUES
            if kind == "include-markdown"
            or name not in ("comments", "rewrite-relative-urls", "heading-offset")
        ]
        chosen = chance.sample(allowed, chance.choice([0, 1, 1, 2, 3]))
        arguments = "".join(
            chance.choice([" ", "\n  "]) + f"{name}={chance.choice(VALUES[name])}" for name in chosen
        )
        quote = chance.choice(["'", '"'])
        name = options.get("directives", {}).get(kind, kind)
        opening, closing = options.get("opening_tag", "{%"), options.get("closing_tag", "%}")
        directive = f"{opening} {name} {quote}{chance.choice(NAMES)}{quote}{arguments} {closing}"
        text = chance.choice(PLACES).replace("{}", directive)
        unread = compared(folder, text, options)
        read += not unread
    assert read > 150


@pytest.mark.parametrize(
    ("directive", "why"),
    [
        ("'https://a.example/b.md'", "fetched from elsewhere"),
        ("'parts/gone.md'", "no such file"),
        ("'parts/gone*.md'", "no such files"),
        ("'parts'", "no such file"),
        ("'../../outside.md'", "outside the content folder"),
        ("'./../../outside.md'", "outside the content folder"),
        ("'parts/leads-out.md'", "outside the content folder"),
        ("'../../*.md'", "outside the content folder"),
        ("'/etc/passwd'", "outside the content folder"),
        ("'parts/{words,nested}.md'", "patterns of"),
        ("'parts/[a-n]*.md'", "patterns of"),
        ("'parts/*.md' exclude='./words.md'", "exclude"),
        ("'parts/n*.md' order='random'", "the order"),
        ("'parts/**/*.md' order='extension'", "which of two files comes first"),
        ("'parts/latin.md'", "cannot be read"),
        ("'parts/words.md' encoding='of nobody'", "cannot be read"),
        ("'parts/words.md' start=''", "arguments cannot be read"),
        ("'parts/words.md' start='\\d'", "arguments cannot be read"),
        ("'parts/words.md' dedent='true'", "“dedent” cannot be read"),
        ("'parts/words.md' dedents=true", "“dedents” cannot be read"),
        ("'parts/words.md' start=\"a end='x'\" end='y'", "stands in it twice"),
        ("parts/words.md", "no path in quotation marks"),
        ("'parts/circle.md'", "stand in each other"),
        ("'parts/many.md'", "stand in each other"),
        ("'parts/spaces.md'", "four spaces"),
    ],
)
def test_what_is_not_read_is_told_and_left_in_the_page(folder: Path, directive: str, why: str) -> None:
    (folder.parent / "outside.md").write_text("Words.\n")
    more = {
        "parts/circle.md": "Round {% include 'parts/circle.md' %}\n",
        "parts/many.md": "{% include 'parts/many.md' %}\n" * 40,
        "parts/spaces.md": "Words\n     \n    code\n```\n```\n",
    }
    write(folder, more)
    link(folder / "parts" / "leads-out.md", folder.parent / "outside.md")
    try:
        text = f"Text.\n\n{{% include-markdown {directive} %}} {{% include 'parts/n9.md' %}}\n"
        file = folder / "sub" / "page.md"
        reader = IncludeReader(IncludeSettings(), file, folder)
        lines = reader.lines_with(scan(text, "page.md"))
        ((place, (_, told)),) = [item for item in reader.unread.items() if item[0][0] is None]
        assert place[1:] == (3, 1)
        assert why in told
        assert lines[2] == f"{{% include-markdown {directive} %}} Nine."
    finally:
        for name in (*more, "parts/leads-out.md"):
            (folder / name).unlink()


@pytest.mark.parametrize(
    "options", [{"exclude": ["parts/words.md"]}, {"opening_tag": "include_"}], ids=["exclude", "opening_tag"]
)
def test_settings_by_which_nothing_is_read(folder: Path, options: dict[str, Any]) -> None:
    opening = options.get("opening_tag", "{%")
    assert compared(folder, f"{opening} include 'parts/words.md' %}}\n", options)


def test_settings_that_exclude_nothing(folder: Path) -> None:
    assert compared(folder, "{% include 'parts/words.md' %}\n", {"exclude": []}) == []


RIGHT = "[105.4 km/h](calc:gears#shorter-final.before.speed_at_limit.2)"
WRONG = RIGHT.replace("105.4", "150.4")
HEAD = "site_name: A\ntheme: {name: mkdocs}\nuse_directory_urls: false\nexclude_docs: parts/\n"
PAGE = "---\ntitle: A\n---\n\n# A\n\n- Item\n\n    {% include-markdown 'parts/outer.md' start='<!--s-->' %}\n"


def site(folder: Path, figure: str, page: str = PAGE, settings: str = "") -> Path:
    write(
        folder,
        {
            "mkdocs.yml": f"{HEAD}plugins: [include-markdown, buildlog]\n{settings}",
            "docs/index.md": "# Home\n",
            "docs/gears.md": f"# Gears\n\n{GEARING}",
            "docs/page.md": page,
            "docs/parts/outer.md": "Not this.\n<!--s-->\n> {% include './inner.txt' dedent=true %}\n",
            "docs/parts/inner.txt": f"\n  See [there](../other.md): it runs to {figure} with 4.2 kg.\n",
            "docs/parts/block.md": GEARING.replace("shorter-final", "another"),
            "docs/parts/comment.md": "<!-- open\n",
            "outside.md": f"It runs to {figure}.\n",
        },
    )
    return folder


def proofed(folder: Path) -> str:
    return CliRunner().invoke(main, ["proof", "--site", str(folder)]).output


def test_a_figure_is_judged_where_it_stands(tmp_path: Path, capsys: Any, caplog: Any) -> None:
    site(tmp_path, WRONG)
    assert "docs/parts/inner.txt:2:41  error  figure-disagrees" in proofed(tmp_path)
    with pytest.raises(Abort):
        build_site(tmp_path)
    assert "docs/parts/inner.txt:2:41  error  figure-disagrees" in capsys.readouterr().err + caplog.text
    site(tmp_path, RIGHT)
    assert "include-markdown" not in proofed(tmp_path)
    html = (build_site(tmp_path, strict=False) / "page.html").read_text()
    assert html.count('class="buildlog-figure buildlog-computed') == 1
    report = proof_book(Book.open(root=tmp_path))
    places = {entry.label: str(entry.position) for entry in report.entries if entry.page == "page"}
    loose = len("  See [there](../other.md): it runs to ") + len(RIGHT) + len(" with ") + 1
    assert places == {"105.4 km/h": "docs/parts/inner.txt:2:41", "4.2 kg": f"docs/parts/inner.txt:2:{loose}"}


def test_a_changed_file_is_seen(tmp_path: Path) -> None:
    book = Book.open(root=site(tmp_path, RIGHT))
    assert affected_pages(book, {(tmp_path / "docs" / "parts" / "inner.txt").resolve()}) == ["page"]
    site(tmp_path, WRONG)
    again = Book.open(root=tmp_path, earlier=book)
    assert [error.code.name for error in proof_book(again).errors] == ["figure-disagrees"]


def test_snippets_come_after_it(tmp_path: Path) -> None:
    page = "# A\n\n{% include 'parts/asks.md' %}\n"
    settings = f"markdown_extensions: [{{pymdownx.snippets: {{base_path: ['{tmp_path}/docs']}}}}]\n"
    site(tmp_path, WRONG, page, settings)
    write(tmp_path, {"docs/parts/asks.md": f"Words.\n--8<-- 'parts/inner.txt'\n\nAnd {RIGHT}.\n"})
    report = proof_book(Book.open(root=tmp_path))
    places = {
        str(entry.position) for entry in report.entries if entry.page == "page" and "km/h" in entry.label
    }
    assert places == {"docs/parts/inner.txt:2:41", "docs/parts/asks.md:4:6"}
    write(tmp_path, {"docs/parts/asks.md": "Words.\n  --8<-- 'parts/gone.txt'\n"})
    (error,) = proof_book(Book.open(root=tmp_path)).errors
    assert (error.code.name, str(error.position)) == ("page-not-vouched", "docs/parts/asks.md:2:1")


@pytest.mark.parametrize(("name", "found"), [("block", "a calculation")])
def test_what_else_comes_in_is_an_error(tmp_path: Path, name: str, found: str) -> None:
    page = f"# A\n\n{{% include 'parts/inner.txt' %}}\n{{% include 'parts/{name}.md' %}}\n\nAnd {RIGHT}.\n"
    (error,) = proof_book(Book.open(root=site(tmp_path, RIGHT, page))).errors
    assert (error.code.name, str(error.position)) == ("page-not-vouched", "docs/page.md:4:1")
    assert found in error.found


def test_a_note_where_the_page_is_ours(tmp_path: Path, capsys: Any, caplog: Any) -> None:
    """Elsewhere nothing is said of the page; the last line of the proof names the plugin either way."""
    page = "# A\n\nWords {% include-markdown '../outside.md' %}\n"
    last = "What makes or changes pages in the build: include-markdown. "
    site(tmp_path, "words", page)
    output = proofed(tmp_path)
    assert "include-not-read" not in output
    assert output.splitlines()[-1].startswith(last)
    site(tmp_path, "words", f"{page}\n{RIGHT}\n")
    output = proofed(tmp_path)
    assert "docs/page.md:3:7  note  include-not-read" in output
    assert output.splitlines()[-1].startswith(last)
    assert "Words It runs to words." in (build_site(tmp_path) / "page.html").read_text()
    site(tmp_path, RIGHT, f"{page}\n{RIGHT}\n")
    with pytest.raises(Abort):  # the build is the gate there
        build_site(tmp_path)
    assert "figure-not-proofed" in capsys.readouterr().err + caplog.text
