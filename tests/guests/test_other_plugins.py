"""Beside the plugins that other sites use, each the real one."""

from __future__ import annotations

import logging
import posixpath
import re
from pathlib import Path
from typing import Any

import pytest

from tests.guests.small_sites import (
    OUR_PAGE,
    PLUGIN,
    SOURCES,
    Files,
    build_both,
    build_site,
    different,
    searched,
    write,
)

MODULE = '''\
"""A module.

## A heading of a docstring

See [`Gear`][shed.Gear] and `calc`.
"""


class Gear:
    """A gear.

    ## Another heading

    ```python
    Gear(3)
    ```

    Attributes:
        ratio: As [`double`][shed.double] has it.
    """

    ratio: float


def double(ratio: float) -> float:
    """Twice the [ratio][shed.Gear.ratio].

    Parameters:
        ratio: A ratio.

    Returns:
        Twice of it.
    """
    return 2 * ratio
'''
BASE = f"""\
site_name: Other people
site_url: https://other.example/
theme: {{name: material}}
markdown_extensions: [admonition, attr_list, {{toc: {{permalink: true}}}}, pymdownx.superfences]
plugins:
  - search
{PLUGIN}"""


@pytest.fixture(autouse=True)
def _same_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")


@pytest.mark.parametrize("last", [False, True], ids=["ours first", "ours last"])
@pytest.mark.parametrize("figures", [False, True], ids=["no figures", "figures"])
def test_pages_of_docstrings_are_the_same(tmp_path: Path, last: bool, figures: bool) -> None:
    """It holds on to the list of extensions that it was given: it has to stay that list."""
    theirs = "  - autorefs\n  - mkdocstrings: {handlers: {python: {paths: [src]}}}\n"
    settings = BASE.replace(PLUGIN, theirs + PLUGIN if last else PLUGIN + theirs)
    pages: dict[str, str] = {
        "mkdocs.yml": settings,
        "src/shed.py": MODULE,
        "docs/index.md": "# Home\n\nSee [a gear][shed.Gear] and [the heading][a-heading-of-a-docstring].\n",
        "docs/api.md": "# The shed\n\n::: shed\n",
    }
    if figures:
        pages |= {
            "docs/z-ours.md": OUR_PAGE + "\nSee [`double`][shed.double].\n",
            "docs/sources.yml": SOURCES,
        }
    ours, bare = build_both(tmp_path, pages)
    of_ours = ("z-", "assets/buildlog", "sitemap", "search/search_index.json") if figures else ()
    assert different(ours, bare, of_ours) == []
    assert searched(ours, "z-") == searched(bare, "z-")
    page = (ours / "api/index.html").read_text("utf-8")
    assert 'id="shed--a-heading-of-a-docstring"' in page
    assert '<a class="autorefs autorefs-internal"' in (ours / "index.html").read_text("utf-8")
    assert (ours / "objects.inv").read_bytes() == (bare / "objects.inv").read_bytes()
    if figures:
        text = (ours / "z-ours/index.html").read_text("utf-8")
        assert "buildlog-card" in text
        assert "../api/#shed.double" in text


LANGUAGES = """\
      languages:
        - {locale: en, name: English, default: true}
        - {locale: de, name: Deutsch}
"""
JOB = OUR_PAGE.replace("# Ours", "---\nbuildlog:\n  time: 2 h\n---\n\n# Ours")
GERMAN = JOB.replace("# Ours", "# Unser").replace("and on", "und weiter")


def links(folder: Path, page: str) -> set[str]:
    """The files of ours that a page leads to, as paths in the site; each is there."""
    text = (folder / page).read_text("utf-8")
    found = set()
    for address in re.findall(
        r'(?:href|src)="?([^"#:\s<>]*(?:-sheet\.html|assets/buildlog[^"#\s<>]*))', text
    ):
        path = posixpath.normpath(posixpath.join(posixpath.dirname(page), address))
        assert (folder / path).is_file(), (page, address)
        found.add(path)
    return found


@pytest.mark.parametrize("addresses", ["true", "false"])
def test_a_site_of_two_languages_by_suffix(tmp_path: Path, addresses: str) -> None:
    theirs = f"  - i18n:\n      docs_structure: suffix\n{LANGUAGES}"
    pages: Files = {
        "mkdocs.yml": BASE.replace(PLUGIN, PLUGIN + theirs) + f"use_directory_urls: {addresses}\n",
        "docs/index.md": "# Home\n\n[Ours](ours.md)\n",
        "docs/index.de.md": "# Anfang\n\n[Unser](ours.md)\n",
        "docs/ours.md": JOB,
        "docs/ours.de.md": GERMAN,
        "docs/only.md": JOB.replace("# Ours", "# English only"),
        "docs/sources.yml": SOURCES,
    }
    ours, bare = build_both(tmp_path, pages)
    home = "index.html"
    assert (ours / home).read_bytes() == (bare / home).read_bytes()
    assert (ours / "de" / home).read_bytes() == (bare / "de" / home).read_bytes()
    page = "ours/index.html" if addresses == "true" else "ours.html"
    only = "only/index.html" if addresses == "true" else "only.html"
    assert "ours-sheet.html" in links(ours, page)
    assert "assets/buildlog/ours.json" in links(ours, page)
    assert "de/ours-sheet.html" in links(ours, f"de/{page}")
    assert {"assets/buildlog/ours.de.json", "assets/buildlog/ours.de.zip"} <= links(ours, f"de/{page}")
    assert "only-sheet.html" in links(ours, only)
    assert "de/only-sheet.html" in links(ours, f"de/{only}")
    assert "Unser" in (ours / "de/ours-sheet.html").read_text("utf-8")
    assert "Unser" not in (ours / "ours-sheet.html").read_text("utf-8")
    assert "Result" in (ours / page).read_text("utf-8")
    assert "Ergebnis" in (ours / "de" / page).read_text("utf-8")
    assert "assets/buildlog-words-de.js" in links(ours, f"de/{page}")
    assert "assets/buildlog-words-de.js" not in links(ours, page)


def test_each_language_has_its_feed(tmp_path: Path) -> None:
    theirs = f"  - i18n:\n      docs_structure: suffix\n{LANGUAGES}"
    dated = JOB.replace("time: 2 h", "date: 2024-01-31")
    write(
        tmp_path,
        {
            "mkdocs.yml": BASE.replace(PLUGIN, PLUGIN + theirs) + "site_author: Somebody\n",
            "docs/index.md": "# Home\n",
            "docs/ours.md": dated,
            "docs/ours.de.md": dated.replace("# Ours", "# Unser"),
            "docs/sources.yml": SOURCES,
        },
    )
    folder = build_site(tmp_path)
    titles = [
        re.findall("<title>(.*?)</title>", (folder / name).read_text("utf-8"))
        for name in ("feed.xml", "de/feed.xml")
    ]
    assert titles == [["Other people", "Ours"], ["Other people", "Unser"]]
    assert 'href="../feed.xml"' in (folder / "de/ours/index.html").read_text("utf-8")
    assert 'href="../feed.xml"' in (folder / "ours/index.html").read_text("utf-8")


def test_a_site_of_two_languages_by_folder(tmp_path: Path) -> None:
    theirs = f"  - i18n:\n      docs_structure: folder\n{LANGUAGES}"
    pages: Files = {
        "mkdocs.yml": BASE.replace(PLUGIN, PLUGIN + theirs),
        "docs/en/index.md": "# Home\n",
        "docs/de/index.md": "# Anfang\n",
        "docs/en/ours.md": JOB,
        "docs/de/ours.md": GERMAN,
        "docs/sources.yml": SOURCES,
    }
    ours, bare = build_both(tmp_path, pages)
    for home in ("index.html", "de/index.html"):
        assert (ours / home).read_bytes() == (bare / home).read_bytes()
    assert {"ours-sheet.html", "assets/buildlog/en/ours.json"} <= links(ours, "ours/index.html")
    assert {"de/ours-sheet.html", "assets/buildlog/de/ours.json"} <= links(ours, "de/ours/index.html")


def _files(*more: str) -> dict[str, str]:
    return {
        "mkdocs.yml": BASE.replace(PLUGIN, PLUGIN + "".join(more)),
        "docs/index.md": "# Home\n\n12 mm of words.\n",
        "docs/ours/z-ours.md": JOB,
        "docs/sources.yml": SOURCES,
    }


OF_OURS = ("ours/z-", "assets/buildlog", "sitemap", "search/search_index")


@pytest.mark.parametrize(
    ("name", "settings", "files"),
    [
        ("minify", "  - minify: {minify_html: true, minify_js: true, minify_css: true}\n", {}),
        ("redirects", "  - redirects: {redirect_maps: {old.md: ours/z-ours.md}}\n", {}),
        ("section-index", "  - section-index\n", {"docs/ours/index.md": "# Section\n"}),
        ("awesome-nav", "  - awesome-nav\n", {"docs/.nav.yml": "nav: [index.md, ours]\n"}),
        (
            "literate-nav",
            "  - literate-nav: {nav_file: NAV.md}\n",
            {"docs/NAV.md": "* [Home](index.md)\n* [Ours](ours/)\n"},
        ),
        (
            "glightbox",
            "  - glightbox\n",
            {"docs/index.md": "# Home\n\n![A picture](a.png)\n", "docs/a.png": "x"},
        ),
        ("macros", "  - macros\n", {"docs/index.md": "# Home\n\n{{ config.site_name }}\n"}),
        ("tags", "  - tags\n", {"docs/index.md": "---\ntags: [a]\n---\n\n# Home\n"}),
        ("offline", "  - offline\n", {}),
        ("privacy", "  - privacy: {assets_fetch: false}\n", {}),
    ],
    ids=lambda value: value if isinstance(value, str) and "\n" not in value else "",
)
def test_beside(tmp_path: Path, name: str, settings: str, files: dict[str, str]) -> None:
    """Pages that are not ours are the same; ours have their cards, and all that they load and lead to."""
    ours, bare = build_both(tmp_path, {**_files(settings), **files})
    assert different(ours, bare, OF_OURS) == []
    page = "ours/z-ours.html" if name == "offline" else "ours/z-ours/index.html"
    led_to = links(ours, page)
    assert {"assets/buildlog.css", "assets/buildlog.js", "ours/z-ours-sheet.html"} <= led_to
    assert "buildlog-card" in (ours / page).read_text("utf-8")


def test_a_page_that_is_generated_wakes_the_plugin(tmp_path: Path) -> None:
    script = (
        "import mkdocs_gen_files\n"
        f"with mkdocs_gen_files.open('made.md', 'w') as file:\n    file.write({OUR_PAGE!r})\n"
    )
    pages = _files("  - gen-files: {scripts: [make.py]}\n") | {"make.py": script}
    del pages["docs/ours/z-ours.md"]
    ours, bare = build_both(tmp_path, pages)
    assert different(ours, bare, ("made", *OF_OURS)) == []
    page = (ours / "made/index.html").read_text("utf-8")
    assert "buildlog-card" in page
    assert '<link rel="stylesheet" href="../assets/buildlog.css">' in page
    assert (ours / "assets/buildlog.css").is_file()


def test_an_excerpt_of_a_blog_loads_what_it_needs(tmp_path: Path) -> None:
    post = OUR_PAGE.replace("# Ours", "---\ndate: 2024-01-31\n---\n\n# Ours").replace(
        "```yaml", "<!-- more -->\n\n```yaml", 1
    )
    pages = _files("  - blog\n") | {"docs/blog/index.md": "# Blog\n", "docs/blog/posts/one.md": post}
    del pages["docs/ours/z-ours.md"]
    ours, bare = build_both(tmp_path, pages)
    assert different(ours, bare, ("blog", *OF_OURS)) == []
    view = (ours / "blog/index.html").read_text("utf-8")
    assert "buildlog-figure" in view
    assert "../assets/buildlog.css" in view
    assert view.index("localStorage.getItem") < view.index('buildlog-figure-place"')


HOOK = """\
from pathlib import Path

def on_env(env, config, files):
    seen = {}
    for file in files:
        path = Path(file.abs_src_path)
        seen[file.src_uri] = path.read_bytes() == file.content_bytes
        assert not (file.generated_by and path.is_relative_to(config.docs_dir))
    Path(config.config_file_path).with_name("seen.txt").write_text(repr(seen))
"""


def test_a_generated_file_has_a_path_for_whoever_asks(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """Some plugins read files from a disk, or compare their paths with the content folder's."""
    write(tmp_path, _files())
    (tmp_path / "hook.py").write_text(HOOK)
    text = (tmp_path / "mkdocs.yml").read_text("utf-8") + "hooks: [hook.py]\n"
    (tmp_path / "mkdocs.yml").write_text(text)
    with caplog.at_level(logging.CRITICAL):
        build_site(tmp_path)
    seen: dict[str, Any] = eval((tmp_path / "seen.txt").read_text())  # noqa: S307  (our own, just written)
    assert "ours/z-ours-sheet.html" in seen
    assert all(seen.values())
