"""A site built with what an earlier run has kept is to the byte the one that is built afresh, whatever has
changed in between; and what rests on no change is not made again."""

from __future__ import annotations

import logging
import os
import random
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config

import buildlog.page.extension
import buildlog.render
import mkdocs_buildlog.rendered
from buildlog.kept.store import FOLDER
from mkdocs_buildlog.memory import BuildMemory
from tests.jobs import FILES
from tests.plugins.test_serving import LISTS, LOOKING
from tests.samples import GEARING, calc, write_site


def drawing(width: int, height: int) -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}"></svg>'.encode()


GLOSSARY = """\
---
buildlog:
  glossary: yes
---

# Words

crown wheel
:   The large wheel of a final drive.
"""
PICTURED = (
    "# Pictured\n\n![before](photo.svg)\n\nThird ends at [](calc:about.after.speed_at_limit.3).\n\n"
    + (GEARING.replace("shorter-final", "about"))
)
DECIDED = "# Which\n\n" + calc(
    """
    id: which
    kind: decision
    title: Which pair
    requires:
      - name: fast enough
        key: fast
        value: {new: calc:pictured#about.after.speed_at_limit.3}
        at_least: 100 km/h
    options: [new]
    """
)
SETTINGS = """\
site_name: Test
site_url: https://example.com/
docs_dir: content
theme: {name: material}
plugins: [search, buildlog]
markdown_extensions: [admonition, footnotes, tables]
"""
SITE: dict[str, str | bytes] = {
    **FILES,
    "lists.md": LISTS,
    "index.md": LOOKING,
    "words.md": GLOSSARY,
    "pictured.md": PICTURED,
    "which.md": DECIDED,
    "photo.svg": drawing(640, 480),
}
_BUILT_AT = re.compile(rb"Build Date UTC : [^\n]*")


@pytest.fixture(autouse=True)
def _a_secret(tmp_path: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch) -> None:
    caplog.set_level(logging.CRITICAL, "mkdocs")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1790000000")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@pytest.fixture
def site(tmp_path: Path) -> Path:
    folder = tmp_path / "site"
    folder.mkdir()
    write_site(folder, SITE)
    (folder / "mkdocs.yml").write_text(SETTINGS)
    return folder


@pytest.fixture
def rendered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The pages that MkDocs rendered, and the blocks whose cards were."""
    names: list[str] = []
    page, card = mkdocs_buildlog.rendered._render_page, buildlog.render.render_card

    def render_page(one: Any, *given: Any) -> Any:
        names.append(one.file.src_uri)
        return page(one, *given)

    def render_card(result: Any, *given: Any, **options: Any) -> Any:
        names.append(f"#{result.id}")
        return card(result, *given, **options)

    monkeypatch.setattr(mkdocs_buildlog.rendered, "_render_page", render_page)
    monkeypatch.setattr(buildlog.page.extension, "render_card", render_card)
    return names


def built(folder: Path, *, afresh: bool = False) -> dict[str, bytes]:
    """Every file of the site, by a plugin that remembers nothing but what lies on disk."""
    before = os.environ["XDG_STATE_HOME"]
    to = folder.parent / ("afresh" if afresh else "kept")
    try:
        if afresh:
            os.environ["XDG_STATE_HOME"] = os.devnull
        config = load_config(str(folder / "mkdocs.yml"), site_dir=str(to))
        plugin: Any = config.plugins["buildlog"]
        plugin.memory = BuildMemory()
        config.plugins.on_startup(command="build", dirty=False)
        build(config)
    finally:
        os.environ["XDG_STATE_HOME"] = before
    return {
        path.relative_to(to).as_posix(): _BUILT_AT.sub(b"", path.read_bytes())
        for path in to.rglob("*")
        if path.is_file()
    }


def differing(folder: Path) -> list[str]:
    """The files of the site that are not as they are when it is built afresh."""
    kept, fresh = built(folder), built(folder, afresh=True)
    return sorted(name for name in kept.keys() | fresh.keys() if kept.get(name) != fresh.get(name))


def change(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text("utf-8")
    assert old in text, name
    path.write_text(text.replace(old, new), "utf-8")


def test_of_an_unchanged_site_only_the_lists_of_all_its_pages_are_rendered(
    site: Path, rendered: list[str]
) -> None:
    first = built(site)
    assert {"index.md", "episodes/final.md", "pictured.md", "#then", "#about"} <= set(rendered)
    rendered.clear()
    assert built(site) == first
    assert not {name for name in rendered if name in SITE and name not in ("lists.md", "about.md")}
    assert not [name for name in rendered if name.startswith("#")]


CHANGES: dict[str, tuple[str, str, str, set[str]]] = {
    "a sentence": (
        "content/episodes/duct.md",
        "# A cold-air duct",
        "# A cold-air duct\n\nMore.",
        {"episodes/duct.md"},
    ),
    "lines above blocks": (
        "content/episodes/final.md",
        "# A shorter",
        "\n\n\n# A shorter",
        {"episodes/final.md", "index.md"},
    ),
    "the title of a neighbour": (
        "content/episodes/duct.md",
        "title: A cold-air duct",
        "title: The duct",
        {"episodes/duct.md", "episodes/final.md"},
    ),
    "the title of a page that others rest on": (
        "content/episodes/final.md",
        "title: A shorter final drive",
        "title: The final drive",
        {"episodes/duct.md", "episodes/final.md"},
    ),
    "what a block rests on": (
        "content/cars/test.yml",
        "tyre: 195/50R15",
        "tyre: 195/50R15 # the same",
        set(),
    ),
    "a source": ("content/sources.yml", "Axle sheet", "Sheet of the axle", {"episodes/final.md"}),
    "a term": ("content/words.md", "crown wheel\n", "torque wrench\n", {"words.md"}),
    "the units": ("mkdocs.yml", "search, buildlog", "search, buildlog: {units: us}", {"index.md"}),
    "the language": ("mkdocs.yml", "{name: material}", "{name: material, language: de}", {"index.md"}),
    "where reports go": (
        "mkdocs.yml",
        "search, buildlog",
        "search, buildlog: {report: 'https://example.com/report'}",
        {"index.md"},
    ),
    "no bundles": ("mkdocs.yml", "search, buildlog", "search, buildlog: {bundles: false}", {"index.md"}),
    "a Markdown extension": ("mkdocs.yml", "[admonition,", "[smarty, admonition,", {"index.md"}),
    "the site's address": ("mkdocs.yml", "https://example.com/", "https://example.org/log/", set()),
    "addresses of files": ("mkdocs.yml", "site_name", "use_directory_urls: false\nsite_name", {"index.md"}),
    "a block's heading": (
        "content/pictured.md",
        "id: about",
        "id: about\ntitle: Another",
        {"pictured.md", "#about"},
    ),
    "a page's language": (
        "content/pictured.md",
        "# Pictured",
        "---\nbuildlog: {lang: de}\n---\n\n# Pictured",
        {"pictured.md", "#about"},
    ),
}


@pytest.mark.parametrize("what", CHANGES)
def test_what_rests_on_a_change_is_rendered(site: Path, rendered: list[str], what: str) -> None:
    built(site)
    name, old, new, anew = CHANGES[what]
    change(site, name, old, new)
    rendered.clear()
    built(site)
    assert set(rendered) >= anew
    assert differing(site) == []


def test_a_picture_of_another_size_and_a_page_that_is_new_or_gone(site: Path) -> None:
    built(site)
    (site / "content" / "photo.svg").write_bytes(drawing(320, 200))
    assert differing(site) == []
    (site / "content" / "new.md").write_text("# New\n\n[78 N·m](cite:axle-sheet.crown)\n", "utf-8")
    assert differing(site) == []
    (site / "content" / "new.md").unlink()
    (site / "content" / "about.md").unlink()
    assert differing(site) == []


def test_a_page_that_another_plugin_changes_is_rendered_each_time(site: Path, rendered: list[str]) -> None:
    (site / "hook.py").write_text(
        "def on_page_markdown(markdown, page, **given):\n"
        "    return markdown.replace('kind: gearing', 'kind: gearing # one')\n",
        "utf-8",
    )
    change(site, "mkdocs.yml", "site_name", "hooks: [hook.py]\nsite_name")
    first = built(site)
    rendered.clear()
    assert built(site) == first
    assert "pictured.md" in rendered
    assert differing(site) == []


SLUGS = """\
  - toc: {slugify: !!python/object/apply:pymdownx.slugs.slugify {kwds: {case: CASE}}}
  - pymdownx.emoji:
      emoji_index: !!python/name:material.extensions.emoji.twemoji
      emoji_generator: !!python/name:material.extensions.emoji.to_svg
"""


def test_settings_that_are_made_by_functions_count(site: Path, rendered: list[str]) -> None:
    settings = SETTINGS.replace("[admonition, footnotes, tables]", "\n  - admonition\n" + SLUGS)
    (site / "mkdocs.yml").write_text(settings.replace("CASE", "none"))
    built(site)
    rendered.clear()
    built(site)
    assert "pictured.md" not in rendered
    (site / "mkdocs.yml").write_text(settings.replace("CASE", "lower"))
    assert differing(site) == []


def test_icons_of_a_site_are_files_that_pages_rest_on(site: Path, rendered: list[str]) -> None:
    icons = site / "icons"
    icons.mkdir()
    settings = SETTINGS.replace("[admonition, footnotes, tables]", "\n  - admonition\n" + SLUGS)
    settings += f"      options: {{custom_icons: [{icons.as_posix()}]}}\n"
    (site / "mkdocs.yml").write_text(settings.replace("CASE", "none"))
    change(site, "content/pictured.md", "# Pictured", "# Pictured\n\n:axle:")
    (icons / "axle.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0"/></svg>')
    assert b'd="M0 0"' in built(site)["pictured/index.html"]
    rendered.clear()
    built(site)  # another icon would not show here: the theme remembers those that it has read
    assert "pictured.md" in rendered


def test_damaged_entries_are_made_anew(site: Path) -> None:
    first = built(site)
    for entry in (site / FOLDER).glob("??/*"):
        entry.write_bytes(entry.read_bytes()[:-3] + b"xyz")
    assert built(site) == first


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_any_row_of_changes_gives_the_site_that_is_built_afresh(site: Path, seed: int) -> None:
    rng = random.Random(seed)

    def toggle(name: str, old: str, new: str) -> Callable[[], object]:
        def turn() -> None:
            path = site / name
            text = path.read_text("utf-8")
            path.write_text(text.replace(new, old) if new in text else text.replace(old, new), "utf-8")

        return turn

    # Of those that change one line of the settings, one.
    apart = ("no bundles", "where reports go")
    changes = [toggle(*one[:3]) for name, one in CHANGES.items() if name not in apart]
    for _ in range(6):
        for turn in rng.sample(changes, 2):
            turn()
        assert differing(site) == []
