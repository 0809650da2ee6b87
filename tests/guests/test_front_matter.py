"""Front matter that other programs read: what stands at the top of it is theirs, with our plugin and without.

Real ones: the blog, the tags and the meta plugin of Material for MkDocs, and mkdocs-rss-plugin.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from buildlog.book.book import Book
from buildlog.commands.amend import amend_command
from buildlog.proof.proof import proof_book
from tests.guests.small_sites import CALC, PLUGIN, SOURCES, build_both, build_site, write
from tests.parsed_html import Tag, parse

SETTINGS = f"""\
site_name: A club
site_url: https://club.example/
site_author: The club
theme: {{name: material, font: false}}
plugins:
  - search
  - meta
  - tags
  - blog: {{authors_profiles: true}}
  - rss:
      use_git: false
      match_path: (blog/posts|notes)/.*
      date_from_meta: {{as_creation: date.created, as_update: date.updated}}
{PLUGIN}markdown_extensions: [attr_list, md_in_html, pymdownx.superfences]
"""
POST = """\
---
date: {{created: {day}, updated: 2025-01-01}}
authors: [ines]
categories: [{category}]
tags: [gearbox, {category}]
slug: {slug}
{more}---

# {title}

An evening in the workshop.

<!-- more -->

{body}"""


def post(slug: str, day: str, body: str, more: str = "", category: str = "Axles") -> str:
    title = slug.capitalize()
    return POST.format(slug=slug, day=day, title=title, body=body, more=more, category=category)


ONE = post("one", "2024-05-31", "It holds.\n", "time: '19:00'\nepisode: 3\nsteps: 2\nloose: ends\n")
# What was ours before, as other programs have it, on a page with a block.
TWO = post(
    "two",
    "2024-06-01",
    CALC,
    "series: [Another]\ntime: '20:15'\ntools: {wrench: yes}\nlang: [de]\nepisode: S01E02\n",
)
THREE = post(
    "three",
    "2024-07-01",
    f"Bolts at [39 N·m](cite:manual.nut).\n\n{CALC}",
    "buildlog:\n  series: The Brindle\n  episode: 1\n  date: 2024-07-02\n  time: 3 h\n",
    "Gears",
)
FILES = {
    "mkdocs.yml": SETTINGS,
    "docs/index.md": "---\ntitle: Home\ndate: {created: 2023-01-01, updated: 2023-01-02}\n---\n\nWelcome.\n",
    "docs/tags.md": "# Tags\n\n<!-- material/tags -->\n",
    "docs/sources.yml": SOURCES,
    "docs/notes/plain.md": f"---\ndate: {{created: 2023-02-03}}\nserie: x\ntool: y\n---\n\n# Plain\n\n{CALC}",
    "docs/blog/index.md": "# Blog\n",
    "docs/blog/.authors.yml": "authors: {ines: {name: Ines, description: drives, avatar: a.png}}\n",
    "docs/blog/posts/.meta.yml": "series: [A podcast]\nstatus: new\n",
    "docs/blog/posts/one.md": ONE,
    "docs/blog/posts/two.md": TWO,
    "docs/blog/posts/three.md": THREE,
}


@pytest.fixture(scope="module")
def sites(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    return build_both(tmp_path_factory.mktemp("club"), FILES)


def page(folder: Path, name: str) -> Tag:
    return parse((folder / name / "index.html").read_text("utf-8"))


def feed(folder: Path) -> list[tuple[str, str, str, Any]]:
    items = json.loads((folder / "feed_json_created.json").read_text("utf-8"))["items"]
    return [
        (item["title"], item["date_published"][:10], item["date_modified"][:10], item["authors"])
        for item in items
    ]


def test_the_other_feed_has_the_days_that_stand_at_the_top(sites: tuple[Path, Path]) -> None:
    ines = [{"name": "Ines"}]
    assert feed(sites[0]) == feed(sites[1])
    assert feed(sites[0])[:3] == [
        ("Three", "2024-07-01", "2025-01-01", ines),
        ("Two", "2024-06-01", "2025-01-01", ines),
        ("One", "2024-05-31", "2025-01-01", ines),
    ]


def test_our_own_feed_has_the_pages_that_tell_us_a_day(sites: tuple[Path, Path]) -> None:
    entries = ElementTree.parse(sites[0] / "feed.xml").getroot().findall("{*}entry")
    assert [(one.findtext("{*}title"), (one.findtext("{*}published") or "")[:10]) for one in entries] == [
        ("Three", "2024-07-02")
    ]


def test_the_list_of_tags_is_the_same(sites: tuple[Path, Path]) -> None:
    ours, bare = (page(folder, "tags").one("article").words for folder in sites)
    assert ours == bare
    assert "Three" in ours
    assert (sites[0] / "tags.json").read_bytes() == (sites[1] / "tags.json").read_bytes()


@pytest.mark.parametrize("name", ["blog", "blog/archive/2024", "blog/category/axles"])
def test_lists_of_the_blog_are_the_same(sites: tuple[Path, Path], name: str) -> None:
    ours, bare = (
        [tag.words for tag in page(folder, name).walk() if tag.name in ("h2", "time") or _is_told(tag)]
        for folder in sites
    )
    assert [words for words in ours if words != "2024-07-02"] == bare  # the day in our own panel
    assert "Two" in bare


def _is_told(tag: Tag) -> bool:
    """What the blog says of a post: its day, its categories, how long it takes to read."""
    return "md-meta" in tag.attributes.get("class", "").split()


def test_a_page_with_what_others_call_so_has_nothing_of_a_job(sites: tuple[Path, Path]) -> None:
    two, three = (page(sites[0], f"blog/2024/{name}") for name in ("06/01/two", "07/01/three"))
    assert not two.all("section", "buildlog-panel")
    assert "2024-07-02" in three.one("section", "buildlog-panel").words
    assert [path.name for path in sites[0].rglob("*-sheet.html")] == ["three-sheet.html"]
    assert two.one("html").attributes["lang"] == "en"


def test_the_proof_asks_for_nothing(sites: tuple[Path, Path]) -> None:
    report = proof_book(Book.open(root=sites[0].parent))
    assert [
        (one.code.name, str(one.position)) for one in report.findings if one.code.name != "unused-block"
    ] == []


def test_a_moved_page_still_has_the_day_that_its_blog_reads(tmp_path: Path) -> None:
    day = "date: 2024-07-01\n"
    before = f"---\n{day}authors: [ines]\nreversible: yes\ntime: 3 h\n---\n\n# Three\n\n{CALC}"
    settings = "site_name: A club\ntheme: {name: material, font: false}\nplugins: [blog, buildlog]\n"
    authors = "docs/blog/.authors.yml"
    write(
        tmp_path,
        {
            "mkdocs.yml": settings,
            "docs/index.md": "# Home\n",
            "docs/blog/index.md": "# Blog\n",
            authors: FILES[authors],
            "docs/blog/posts/three.md": before,
        },
    )
    assert CliRunner().invoke(amend_command, ["--site", str(tmp_path), "--write"]).exit_code == 0
    moved = (tmp_path / "docs/blog/posts/three.md").read_text("utf-8")
    assert moved == before.replace(
        f"---\n{day}", f"---\nbuildlog:\n  {day}  reversible: yes\n  time: 3 h\n{day}"
    ).replace("]\nreversible: yes\ntime: 3 h\n", "]\n")
    assert "Three" in page(build_site(tmp_path), "blog").one("h2").words
