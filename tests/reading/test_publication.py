"""Which files of a site are published. MkDocs 1.6: files and folders with a point in front and `/templates/`
are excluded, `exclude_docs` adds to that and brings in again with a `!`; of index.md and README.md in one
folder the latter is left out. Material 9: a blog's posts are in `{blog}/posts`, its `blog_dir` is `blog`, and
drafts are shown while serving unless `draft_on_serve: false`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.diagnostics import Diagnostic
from buildlog.reading.configuration import read_configuration
from buildlog.reading.nodes import YamlMapping, YamlNode
from buildlog.reading.publication import Posts, Publication, Standing, dropped, read_publication

P, D, E = Standing.PUBLISHED, Standing.DRAFT, Standing.EXCLUDED


def read(folder: Path, text: str, **plugins: str) -> tuple[Publication, list[Diagnostic]]:
    def root_of(name: str, text: str) -> YamlMapping:
        file = folder / name
        file.write_text(text, "utf-8")
        return read_configuration(file, folder).root

    named: list[tuple[str, YamlNode]] = [
        (name, root_of(f"{name}.yml", options)) for name, options in plugins.items()
    ]
    faults: list[Diagnostic] = []
    return read_publication(root_of("mkdocs.yml", text), named, faults), faults


@pytest.mark.parametrize(
    ("settings", "standings"),
    [
        ("", {"a.md": P, "b/a.md": P, ".a.md": E, ".b/a.md": E, "templates/a.md": E, "b/templates/a.md": P}),
        ("exclude_docs: |\n  /private/\n  *.tmp.md", {"private/a.md": E, "b/private/a.md": P, "a.tmp.md": E}),
        ("exclude_docs: '!/templates/'", {"templates/a.md": P, ".a.md": E}),
        ("draft_docs: |\n  drafts/", {"drafts/a.md": D, "b/drafts/a.md": D, "a.md": P, ".drafts/a.md": E}),
        ("draft_docs: a.md\nexclude_docs: a.md", {"a.md": E, "b.md": P}),
        ("exclude_docs: ''\ndraft_docs: ~", {"a.md": P, ".a.md": E}),
    ],
)
def test_the_standing_of_files(tmp_path: Path, settings: str, standings: dict[str, Standing]) -> None:
    publication, faults = read(tmp_path, settings)
    assert faults == []
    assert {path: publication.standing(path) for path in standings} == standings


def test_what_is_not_in_the_navigation_is_published(tmp_path: Path) -> None:
    publication, _ = read(tmp_path, "not_in_nav: /side/")
    assert publication.hidden is not None
    assert publication.hidden.match_file("side/a.md")
    assert publication.standing("side/a.md") is P
    assert read(tmp_path, "")[0].hidden is None


@pytest.mark.parametrize(
    ("settings", "found", "expected"),
    [
        ("exclude_docs: [a.md]", "exclude_docs: a list", "patterns of files, a line for each"),
        ("draft_docs: {a: b}", "draft_docs: a mapping", "patterns of files, a line for each"),
        ("not_in_nav: 5", "not_in_nav: “5”", "patterns of files, a line for each"),
        ("exclude_docs: '!'", None, "patterns as in .gitignore"),
    ],
)
def test_patterns_that_are_none(tmp_path: Path, settings: str, found: str | None, expected: str) -> None:
    publication, (fault,) = read(tmp_path, f"site_name: A\n{settings}")
    assert (fault.code.name, fault.expected, fault.position.line) == ("configuration", expected, 2)
    if found is not None:
        assert fault.found == found
    assert publication.standing("a.md") is P
    assert publication.standing(".a.md") is E


@pytest.mark.parametrize(
    ("options", "posts"),
    [
        ("", (Posts(folder="blog/posts"),)),
        ("blog_dir: news", (Posts(folder="news/posts"),)),
        ("blog_dir: .", (Posts(folder="posts"),)),
        ("post_dir: '{blog}/articles'", (Posts(folder="blog/articles"),)),
        ("blog_dir: news\npost_dir: writing", (Posts(folder="writing"),)),
        ("draft_on_serve: false", (Posts(folder="blog/posts", on_serve=False),)),
        ("draft_on_serve: true", (Posts(folder="blog/posts"),)),
        ("draft: false", (Posts(folder="blog/posts"),)),
        ("draft: true", ()),  # then they are published like others
    ],
)
def test_the_posts_of_a_blog(tmp_path: Path, options: str, posts: tuple[Posts, ...]) -> None:
    publication, faults = read(tmp_path, "", blog=options, search="draft: false")
    assert (publication.posts, faults) == (posts, [])
    assert all(one.on_serve is ("draft_on_serve: false" not in options) for one in publication.posts)
    for one in posts:
        assert publication.posts_with(f"{one.folder}/a.md") == one
        assert publication.posts_with(f"{one.folder}.md") is None
        assert publication.posts_with(f"x/{one.folder}/a.md") is None


def test_serving_shows_drafts_unless_it_is_told_not_to() -> None:
    assert Posts(folder="a").on_serve is True
    assert Publication().posts == ()
    assert Publication().standing(".a/b.md") is E


@pytest.mark.parametrize(
    ("found", "out"),
    [
        ({"a/README.md": P, "a/index.md": P}, ["a/README.md"]),
        ({"a/README.md": P}, []),
        ({"README.md": P, "a/index.md": P}, []),
        ({"a/index.md": P, "a/README.md": E}, ["a/README.md"]),
        ({"a/index.md": E, "a/README.md": P}, ["a/index.md"]),
        ({"a.md": P, "b.md": P}, []),
        ({"a.md": P, "a.markdown": P}, []),  # of one name: another finding
    ],
)
def test_of_two_files_for_one_page_one_is_left_out(found: dict[str, Standing], out: list[str]) -> None:
    assert list(dropped(found)) == out
