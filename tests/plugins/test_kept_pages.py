"""A site built with what an earlier run has kept is to the byte the one that is built afresh, whatever has
changed in between; and what rests on no change is not made again."""

from __future__ import annotations

import importlib
import importlib.metadata
import logging
import os
import random
import re
import sys
from collections.abc import Callable
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

import pytest
import yaml
from mkdocs.commands.build import build
from mkdocs.config import load_config

import buildlog.page.extension
import buildlog.render
import mkdocs_buildlog.rendered
from buildlog.kept import key_of_user
from buildlog.kept.store import FOLDER
from buildlog.render.program import running_program
from mkdocs_buildlog.memory import BuildMemory
from tests.jobs import FILES
from tests.plugins.test_serving import LISTS, LOOKING, Served
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


def test_a_change_that_is_undone_takes_nothing_over_from_between(tmp_path: Path) -> None:
    """A page with a figure that disagrees is not kept on disk; the one before it is, and comes back."""
    content = write_site(tmp_path, {"index.md": f"# One\n\n{GEARING}"})
    site = Served(tmp_path, theme="mkdocs")
    first = site.built()
    path = content / "index.md"
    text = path.read_text("utf-8")
    for between in (
        f"{text}\n[3 km/h](calc:shorter-final.after.speed_at_limit.3)\n",
        f'{text}\n<div data-buildlog="ledger"></div>\n',
    ):
        path.write_text(between, "utf-8")
        assert site.built() != first
        path.write_text(text, "utf-8")
        assert site.built() == first


def test_damaged_entries_are_made_anew(site: Path) -> None:
    first = built(site)
    for entry in (site / FOLDER).glob("??/*"):
        entry.write_bytes(entry.read_bytes()[:-3] + b"xyz")
    assert built(site) == first


def test_words_of_the_site_are_in_what_is_kept(site: Path) -> None:
    """Also in the files beside the pages, which are made while no page is."""
    change(site, "mkdocs.yml", "{name: material}", "{name: material, language: fr}")
    words = site / "content" / "words" / "fr.yml"
    words.parent.mkdir()
    languages = Path(buildlog.page.extension.__file__).parents[1] / "reading" / "languages"
    german = yaml.safe_load((languages / "de.yml").read_text("utf-8"))
    words.write_text(yaml.safe_dump(german, allow_unicode=True, width=9999), "utf-8")
    first = built(site)
    others = {text: f"{said} X" if isinstance(said, str) else said for text, said in german.items()}
    words.write_text(yaml.safe_dump(others, allow_unicode=True, width=9999), "utf-8")
    assert differing(site) == []
    now = built(site)
    changed = {name for name in now if now[name] != first.get(name)}
    assert {
        "pictured/index.html",
        "episodes/final-sheet.html",
        "assets/buildlog/own/pictured/about.js",
    } <= changed


def test_versions_that_run_are_in_what_is_kept(
    site: Path, rendered: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A bundle names the versions that it is proofed with; a page is made by a version of Markdown."""
    real = importlib.metadata.version
    for package in ("click", "markdown", "pygments", "brython"):
        built(site)
        rendered.clear()
        monkeypatch.setattr(
            importlib.metadata, "version", lambda name, new=package: "9.9" if name == new else real(name)
        )
        monkeypatch.setattr("buildlog.kept.program.version", importlib.metadata.version)
        running_program.cache_clear()
        mkdocs_buildlog.rendered._programs.cache_clear()
        assert differing(site) == []
        assert "pictured.md" in rendered
        running_program.cache_clear()
    monkeypatch.undo()
    mkdocs_buildlog.rendered._programs.cache_clear()


LATE = """\
from pathlib import Path

HERE = Path(__file__).parent


def on_nav(nav, config, files):
    config.mdx_configs["toc"] = {"permalink": (HERE / "mark.txt").read_text()}


def on_page_markdown(markdown, page, config, **given):
    config.mdx_configs["toc"]["title"] = page.file.src_uri  # of this page alone
    name = (HERE / "mark.txt").read_text()
    return markdown.replace("# Pictured", f"# Pictured\\n\\n![by a plugin]({name}.svg)\\n\\n[TOC]\\n")


def on_page_content(html, page, **given):
    active = [getattr(one, "active", None) for one in page.toc]
    return f"{html}<p>{active} {page.title} {sorted(page.present_anchor_ids)}</p>"


def on_post_page(output, page, **given):
    return output + "<!--" + (HERE / "mark.txt").read_text() + "-->"
"""


def test_hooks_get_what_they_get_in_a_site_that_is_built_afresh(site: Path, rendered: list[str]) -> None:
    """What they change of the settings, the text and the page, at any of MkDocs' events."""
    (site / "hook.py").write_text(LATE, "utf-8")
    (site / "mark.txt").write_text("a")
    (site / "content" / "a.svg").write_bytes(drawing(64, 48))
    change(site, "mkdocs.yml", "site_name", "hooks: [hook.py]\nsite_name")
    change(site, "mkdocs.yml", "tables]", "tables, toc]")
    assert differing(site) == []
    (site / "mark.txt").write_text("b")
    assert differing(site) == []
    (site / "content" / "b.svg").write_bytes(drawing(64, 48))
    assert differing(site) == []
    (site / "content" / "b.svg").write_bytes(drawing(32, 24))
    assert differing(site) == []
    rendered.clear()
    change(site, "hook.py", "by a plugin", "by another")
    assert differing(site) == []


def test_a_page_that_a_plugin_renders_in_its_own_way_is_left_to_it(site: Path) -> None:
    (site / "hook.py").write_text(
        "from pathlib import Path\n"
        "def on_pre_page(page, **given):\n"
        "    render = page.render\n"
        "    def more(config, files):\n"
        "        render(config, files)\n"
        "        page.content += Path(__file__).with_name('mark.txt').read_text()\n"
        "    page.render = more\n",
        "utf-8",
    )
    change(site, "mkdocs.yml", "site_name", "hooks: [hook.py]\nsite_name")
    for mark in ("one", "two"):
        (site / "mark.txt").write_text(mark)
        assert differing(site) == []
        assert mark.encode() in built(site)["pictured/index.html"]


def test_a_picture_that_is_written_by_reference_counts(site: Path) -> None:
    change(site, "content/pictured.md", "![before](photo.svg)", "![before][one]\n\n[one]: photo.svg")
    built(site)
    (site / "content" / "photo.svg").write_bytes(drawing(320, 200))
    assert differing(site) == []
    assert b'width="320"' in built(site)["pictured/index.html"]


@pytest.mark.parametrize("level", [logging.ERROR, logging.DEBUG])
def test_what_is_said_of_a_page_is_said_again(
    site: Path, caplog: pytest.LogCaptureFixture, level: int
) -> None:
    """Also where the first run was quiet, or told more: MkDocs then looks for no anchors."""
    text = "# New\n\n[78 N·m](cite:axle-sheet.crown) [gone](gone.md) [there](pictured.md#nowhere)\n"
    (site / "content" / "new.md").write_text(text, "utf-8")
    change(site, "content/about.md", "\n", "\n\n[there](pictured.md#nowhere)\n")
    change(site, "mkdocs.yml", "site_name", "validation: {links: {anchors: info}}\nsite_name")
    caplog.set_level(level, "mkdocs")
    built(site)
    assert not [one for one in caplog.records if one.levelno < level]
    caplog.set_level(logging.INFO, "mkdocs")
    said = []
    for afresh in (False, True):
        caplog.clear()
        built(site, afresh=afresh)
        said.append(
            [
                one.getMessage()
                for one in caplog.records
                if "#nowhere" in one.getMessage() or "gone" in one.getMessage()
            ]
        )
    assert said[0] == said[1]
    assert len(said[0]) >= 3


def test_a_build_tells_once_why_nothing_is_kept(
    site: Path, tmp_path: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "state" / "buildlog" / "key"
    own.parent.mkdir(parents=True, mode=0o700)
    own.write_bytes(b"short")
    own.chmod(0o600)
    monkeypatch.setattr(key_of_user, "secret_file", lambda: own)
    caplog.set_level(logging.INFO, "mkdocs")
    served = Served(site, theme="mkdocs")
    for _ in range(2):
        served.built()
    told = [one for one in caplog.records if "nothing is kept" in one.getMessage()]
    assert [one.levelname for one in told] == ["INFO"]  # strict builds go on
    assert f"{own}: it is damaged; take it away" in told[0].getMessage()
    assert not (site / FOLDER).exists()


LEXER = """\
from pygments.lexer import RegexLexer
from pygments.token import Keyword

class Mine(RegexLexer):
    name = "Mine"
    aliases = ["mine"]
    tokens = {"root": [("WORD", Keyword), (".|\\n", Keyword.Type)]}
"""


def test_a_lexer_of_the_users_own_is_in_what_is_kept(
    site: Path, tmp_path: Path, rendered: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    packages = tmp_path / "packages"
    about = packages / "mine-1.0.dist-info"
    about.mkdir(parents=True)
    (about / "METADATA").write_text("Metadata-Version: 2.1\nName: mine\nVersion: 1.0\n")
    (about / "entry_points.txt").write_text("[pygments.lexers]\nmine = mine_lexer:Mine\n")
    monkeypatch.syspath_prepend(packages)
    change(site, "mkdocs.yml", "[admonition,", "[pymdownx.superfences, pymdownx.highlight, admonition,")
    change(site, "content/pictured.md", "# Pictured", "# Pictured\n\n```mine\na b\n```\n")
    for word in ("a", "b"):
        (packages / "mine_lexer.py").write_text(LEXER.replace("WORD", word))
        sys.modules.pop("mine_lexer", None)
        importlib.invalidate_caches()
        mkdocs_buildlog.rendered._programs.cache_clear()
        assert differing(site) == []
        assert f'<span class="k">{word}</span>'.encode() in built(site)["pictured/index.html"]
    rendered.clear()
    built(site)
    assert "pictured.md" not in rendered


def test_an_extension_under_a_known_name_may_be_another_ones(
    site: Path, tmp_path: Path, rendered: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    shadowing = EntryPoint("smarty", "textwrap:dedent", "markdown.extensions")
    monkeypatch.setattr(mkdocs_buildlog.rendered, "get_installed_extensions", lambda: [shadowing])
    change(site, "mkdocs.yml", "[admonition,", "[smarty, admonition,")
    mkdocs_buildlog.rendered._is_alone.cache_clear()
    try:
        built(site)
        rendered.clear()
        built(site)
        assert "pictured.md" in rendered
    finally:
        mkdocs_buildlog.rendered._is_alone.cache_clear()


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
