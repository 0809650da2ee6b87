"""Pages that a site does not publish, on the built site: nothing lists them and nothing leads to them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, Literal, cast

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.structure.files import get_files

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.proof.proof import proof_book
from tests.parsed_html import parse
from tests.samples import GEARING
from tests.systems import link

RESTS = "Second runs to [105.4 km/h](calc:{0}#shorter-final.before.speed_at_limit.2).\n"
OWN = "Second runs to [105.4 km/h](calc:shorter-final.before.speed_at_limit.2).\n"
OF_SERIES = "buildlog: {series: Gears, episode: 2}"
DRAFT = f"---\ntitle: The draft\n{OF_SERIES}\n---\n\n# Draft\n\n{OWN}\n[9 mm](cite:gone)\n\n{GEARING}"
PAGES = {
    "index.md": '# Home\n\n<div data-buildlog="ledger"></div>\n\n<div data-buildlog="series"></div>\n\n'
    '<div data-buildlog="coverage"></div>\n\n<div data-buildlog="predictions"></div>\n',
    "one.md": f"---\nbuildlog: {{series: Gears, episode: 1}}\n---\n\n# One\n\n{RESTS.format('off/draft')}",
    "off/draft.md": DRAFT,
}
HEAD = "site_name: A\ntheme: {name: mkdocs}\nuse_directory_urls: false\n"


def site(folder: Path, options: str, pages: dict[str, str] | None = None) -> Path:
    for name, text in {**PAGES, **(pages or {})}.items():
        path = folder / "docs" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    (folder / "mkdocs.yml").write_text(f"{HEAD}{options}\n")
    return folder


def built(folder: Path, *, command: str = "build") -> Path:
    config: Any = load_config(str(folder / "mkdocs.yml"))
    config.plugins.on_startup(command=cast(Literal["build", "serve"], command), dirty=False)
    build(config, serve_url="http://localhost/" if command == "serve" else None)
    return folder / "site"


def proof(folder: Path, *options: str) -> str:
    return CliRunner().invoke(main, ["proof", "--site", str(folder), *options]).output


def dead_links(folder: Path) -> list[str]:
    """Links of our HTML in a built site that lead to no file of it, or to no id in it."""
    dead = []
    for path in set(folder.rglob("*.html")) - {folder / "404.html"}:
        for element in parse(path.read_text()).all("a"):
            address = element.attributes.get("href") or ""
            name, _, anchor = address.partition("#")
            if not address or ":" in name:
                continue
            target = (path.parent / name).resolve() if name else path
            if not target.is_file() or (anchor and f'id="{anchor}"' not in target.read_text()):
                dead.append(f"{path.name}: {address}")
    return dead


@pytest.mark.parametrize("option", ["exclude_docs: off/", "draft_docs: 'off/*.md'"])
def test_a_page_that_is_not_published(tmp_path: Path, option: str) -> None:
    site(tmp_path, f"{option}\nplugins: [buildlog]")
    output = proof(tmp_path)
    assert ("unknown-source" in output, "1 page" in output) == (False, False)
    assert output.startswith("2 pages, 0 calculation blocks, 1 figure: 1 computed")
    out = built(tmp_path)
    assert not list(out.glob("off*")) + list(out.rglob("*shorter-final*"))
    assert dead_links(out) == []
    home, one = (out / "index.html").read_text(), (out / "one.html").read_text()
    assert "The draft" not in home + one
    assert "off/draft" not in home
    figure = parse(one).one(css="buildlog-figure")
    assert (figure.name, figure.attributes["tabindex"], "href" in figure.attributes) == ("span", "0", False)
    assert figure.text.startswith("105.4 km/h")
    assert "buildlog-to-row" not in one


def test_asked_for_drafts_are_judged(tmp_path: Path) -> None:
    site(tmp_path, "exclude_docs: off/\nplugins: [buildlog]")
    assert "docs/off/draft.md:10:8  error  unknown-source" in proof(tmp_path, "--drafts")
    named = proof(tmp_path, str(tmp_path / "docs" / "off" / "draft.md"))
    assert "docs/off/draft.md:10:8  error  unknown-source" in named


def test_serving_shows_drafts_as_mkdocs_does(tmp_path: Path) -> None:
    site(tmp_path, "draft_docs: off/\nplugins: [buildlog]")
    config: Any = load_config(str(tmp_path / "mkdocs.yml"), site_dir=str(tmp_path / "site"))
    config.plugins.on_startup(command="serve", dirty=False)
    build(config, serve_url="http://localhost/")
    one = (tmp_path / "site" / "one.html").read_text()
    assert 'href="off/draft.html#' in one
    assert "unknown-source" in (tmp_path / "site" / "off" / "draft.html").read_text()
    assert "The draft" in (tmp_path / "site" / "index.html").read_text()
    site(tmp_path, "exclude_docs: off/\nplugins: [buildlog]")
    config = load_config(str(tmp_path / "mkdocs.yml"), site_dir=str(tmp_path / "site"))
    config.plugins.on_startup(command="serve", dirty=False)
    build(config, serve_url="http://localhost/")
    assert not (tmp_path / "site" / "off").exists()
    assert dead_links(tmp_path / "site") == []


def test_a_draft_of_a_blog(tmp_path: Path) -> None:
    """Material's blog leaves out posts that say so, and shows them while serving."""
    post = "---\ndate: 2026-01-0{0}\n{1}---\n\n# Post {0}\n\nText.\n\n<!-- more -->\n\n{2}\n\n{3}"
    pages = {
        "blog/index.md": "# Blog\n",
        "blog/posts/first.md": post.format(1, "", RESTS.format("blog/posts/second"), ""),
        "blog/posts/second.md": post.format(2, "draft: true\n", OWN + "\n[9 mm](cite:gone)\n", GEARING),
        "one.md": "# One\n\n" + RESTS.format("blog/posts/second"),
        "off/draft.md": "# Off\n",
    }
    site(tmp_path, "plugins: [buildlog, blog]", pages)
    (tmp_path / "mkdocs.yml").write_text(
        (tmp_path / "mkdocs.yml").read_text().replace("{name: mkdocs}", "material")
    )
    assert "unknown-source" not in proof(tmp_path)
    assert "unknown-source" in proof(tmp_path, "--drafts")
    out = built(tmp_path)
    assert dead_links(out) == []
    assert 'tabindex="0"' in (out / "one.html").read_text()
    served = built(tmp_path, command="serve")
    assert re.search(
        r'href="blog/2026/01/02/post-2.html#[^"]*"[^>]*><span[^>]*>105.4 km/h',
        (served / "one.html").read_text(),
    )


def test_a_source_and_a_block_that_only_a_draft_uses_are_used(tmp_path: Path) -> None:
    pages = {
        "off/draft.md": f"# D\n\n{RESTS.format('two')}\n[9 mm](cite:book)\n",
        "one.md": "# One\n",
        "two.md": f"# Two\n\n{GEARING}",
        "sources.yml": "book: {title: A book}\n",
    }
    site(tmp_path, "exclude_docs: off/\nplugins: [buildlog]", pages)
    assert proof_book(Book.open(root=tmp_path)).findings == ()


def test_pages_beside_the_navigation_are_published_and_judged(tmp_path: Path) -> None:
    """Who has their address reads them."""
    site(
        tmp_path,
        "not_in_nav: off/\nplugins: [buildlog]",
        {"off/draft.md": DRAFT.replace("title: ", "hide: [toc]\ntitle: ")},
    )
    assert "unknown-source" in proof(tmp_path)


@pytest.mark.parametrize(
    ("names", "published"),
    [
        (["index.md", "README.md"], ["index.md"]),
        (["README.md"], ["README.md"]),
        (["a/README.md", "a/index.markdown", "index.md"], ["a/index.markdown", "index.md"]),
        ([".a.md", ".b/a.md", "templates/a.md", "a/templates/b.md", "b.md"], ["a/templates/b.md", "b.md"]),
        (["a.markdown", "b.mdown", "c.mkdn", "d.mkd", "e.MD"], ["a.markdown", "b.mdown", "c.mkdn", "d.mkd"]),
    ],
)  # fmt: skip
def test_what_is_a_page(tmp_path: Path, names: list[str], published: list[str]) -> None:
    for name in names:
        path = tmp_path / "docs" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"# A\n\n{GEARING}")
    (tmp_path / "mkdocs.yml").write_text(HEAD + "plugins: [buildlog]\n")
    book = Book.open(root=tmp_path)
    assert sorted(page.file for page in book.published.values()) == published
    assert of_mkdocs(tmp_path) == published


def of_mkdocs(folder: Path) -> list[str]:
    config = load_config(str(folder / "mkdocs.yml"))
    return sorted(file.src_uri for file in get_files(config).documentation_pages())


_NAMES = st.sampled_from(
    ["index.md", "README.md", "a.md", "b.markdown", "a/index.md", "a/README.md", "a/b/c.md", "a/.d.md",
     ".e/f.md", "templates/g.md", "a/templates/h.md", "drafts/i.md", "a/drafts/j.md", "k l.md", "é.md"]
)  # fmt: skip
_LINES = st.lists(
    st.sampled_from(
        ["*.md", "!a.md", "/a/", "a/*", "!a/b/", "drafts/", "/drafts", "**/c.md", "!.e", "!/templates/",
         "!.d.md", "README.md", "index.md", "!index.md", "k*", "é.md", "# a.md", "\\!a.md",
         "a/**", "!a/b/c.md", "[a-b].*"]
    ),
    max_size=5,
).map("\n".join)  # fmt: skip


@given(st.lists(_NAMES, min_size=1, max_size=10, unique=True), _LINES, _LINES)
@settings(max_examples=150, deadline=None)
def test_any_patterns_are_what_they_are_to_mkdocs(
    tmp_path_factory: pytest.TempPathFactory, names: list[str], excluded: str, drafts: str
) -> None:
    folder = tmp_path_factory.mktemp("site")
    for name in names:
        path = folder / "docs" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("# A\n")
    (folder / "docs").mkdir(exist_ok=True)
    indented = ("".join(f"\n  {line}" for line in lines.split("\n")) for lines in (excluded, drafts))
    (folder / "mkdocs.yml").write_text(HEAD + "exclude_docs: |{}\ndraft_docs: |{}\n".format(*indented))
    book = Book.open(root=folder)
    assert sorted(page.file for page in book.published.values()) == of_mkdocs(folder)


def test_folders_that_are_links(tmp_path: Path) -> None:
    """MkDocs follows them. Those that lead out of the content are not read: the build is their gate."""
    (tmp_path / "docs" / "a").mkdir(parents=True)
    (tmp_path / "out").mkdir()
    (tmp_path / "docs" / "a" / "one.md").write_text("# A\n")
    (tmp_path / "out" / "two.md").write_text("# B\n")
    link(tmp_path / "docs" / "b", "a")
    link(tmp_path / "docs" / "c", "../out")
    link(tmp_path / "docs" / "a" / "round", "..")
    (tmp_path / "mkdocs.yml").write_text(HEAD)
    assert sorted(Book.open(root=tmp_path).pages) == ["a/one", "b/one"]
