"""Pages that have nothing of ours: the same bytes with the plugin and without it."""

from __future__ import annotations

import logging
from pathlib import Path

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

SETTINGS = f"""\
site_name: Other people
site_url: https://other.example/
site_author: Somebody
theme:
  name: material
  language: de
  features: [navigation.instant, navigation.instant.prefetch, navigation.tabs, navigation.top,
    content.code.copy, content.code.annotate, content.tooltips, content.tabs.link, search.suggest,
    search.highlight, toc.follow]
extra_css: [extra.css]
extra_javascript: [extra.js]
plugins:
  - search
  - tags
{PLUGIN}markdown_extensions:
  - abbr
  - admonition
  - attr_list
  - def_list
  - footnotes
  - md_in_html
  - tables
  - meta
  - toc: {{permalink: true}}
  - pymdownx.arithmatex: {{generic: true}}
  - pymdownx.details
  - pymdownx.highlight: {{anchor_linenums: true}}
  - pymdownx.inlinehilite
  - pymdownx.keys
  - pymdownx.mark
  - pymdownx.smartsymbols
  - pymdownx.superfences
  - pymdownx.tabbed: {{alternate_style: true}}
  - pymdownx.tasklist
"""
PLAIN = """\
---
title: A page
description: What it says
tags: [one, two]
series: A series
episode: 3
time: 2 h
tools: [a spanner]
lang: fr
date: 2024-03-09
---

# A page

The flywheel weighs 4.2 kg, it costs $1$ and 10 %, about 30 mm (1.2 in). We calculate;
see the glossary: a camber.

!!! note "Note"
    With a `code` and ++ctrl+alt+del++.

=== "One"

    ```yaml title="calc.yml" linenums="1"
    id: x
    kind: gearing # (1)!
    ```

    1. Noted.

=== "Two"

    ``` py
    print("calc")
    ```

Camber
:   the lean of a wheel

| a | b |
|---|--:|
| 1 | 2.50 kg |

- [x] done ==marked== (c) 1/2 [a link](other.md#part){title="a title" .md-button}[^1]

![A picture](picture.png){width="20"}

<details markdown><summary>More</summary>
HTML with *emphasis*.
</details>

$$ 2 \\times 3 $$

[^1]: A note of 5 mm.
"""
OTHERS: Files = {
    "docs/index.md": "# Home\n\nWords, 12 mm of them.\n",
    "docs/plain.md": PLAIN,
    "docs/other.md": "# Other\n\n## Part\n\n```\n  indented\n\ttabbed\n```\n\n"
    "    calc\n\nTrailing  \nbreak. caution\n",
    "docs/speaks-of-us.md": "# About\n\nA `calc:` of buildlog.\n\n```\n[3 m](calc:a.b)\n```\n\n"
    "<!-- ```yaml calc -->\n",
    "docs/extra.css": "p { color: red }\n",
    "docs/extra.js": "// nothing\n",
    "docs/picture.png": b"\x89PNG",
    "docs/cars/one.yml": "a: [1\n",
    "docs/sources.yml": "- not ours\n",
}
GLOSSARY = (
    "---\nbuildlog:\n  glossary: yes\n---\n\n# Words\n\n"
    "Camber\n:   the lean of a wheel\n\n[39 N·m](cite:manual.nut)\n"
)


@pytest.mark.parametrize("theme", ["material", "mkdocs", "readthedocs"])
@pytest.mark.parametrize("addresses", ["true", "false"])
def test_a_site_that_has_nothing_of_ours_is_the_same_site(
    tmp_path: Path, theme: str, addresses: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    settings = SETTINGS + f"use_directory_urls: {addresses}\n"
    if theme != "material":
        settings = settings.replace("  name: material\n  language: de\n", f"  name: {theme}\n")
        settings = settings.replace("  - tags\n", "")
    ours, bare = build_both(tmp_path, {"mkdocs.yml": settings, **OTHERS}, strict=True)
    assert different(ours, bare) == []


@pytest.mark.parametrize("theme", ["material", "mkdocs"])
def test_beside_pages_of_ours_other_pages_are_the_same(
    tmp_path: Path, theme: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    settings = SETTINGS
    if theme != "material":
        settings = settings.replace("  name: material\n  language: de\n", f"  name: {theme}\n")
        settings = settings.replace("  - tags\n", "")
    pages: Files = {
        **OTHERS,
        "mkdocs.yml": settings,
        "docs/sources.yml": SOURCES,
        "docs/cars/one.yml": "name: One\n",
        "docs/z-ours.md": OUR_PAGE,
        "docs/z-words.md": GLOSSARY,
    }
    ours, bare = build_both(tmp_path, pages)
    of_ours = ("z-", "assets/buildlog", "feed.xml", "sitemap", "search/search_index.json")
    assert different(ours, bare, of_ours) == []
    assert searched(ours, "z-") == searched(bare, "z-")
    page = (ours / "z-ours/index.html").read_text("utf-8")
    assert '<link rel="stylesheet" href="../assets/buildlog.css">' in page
    assert page.index("buildlog.css") < page.index("extra.css")
    lines = [(folder / "sitemap.xml").read_text("utf-8").split("<url>") for folder in (ours, bare)]
    kept = [[line for line in each if "/z-" not in line] for each in lines]
    assert kept[0] == kept[1]


def test_switched_off_it_does_nothing_at_all(tmp_path: Path) -> None:
    """With a page of ours on it, and an error in that."""
    wrong = {**OTHERS, "docs/ours.md": OUR_PAGE.replace("39 N", "41 N"), "docs/sources.yml": SOURCES}
    settings = SETTINGS.replace(PLUGIN, "  - buildlog: {enabled: !ENV [ASKED_FOR, false]}\n")
    write(tmp_path, {**wrong, "mkdocs.yml": settings, "bare.yml": SETTINGS.replace(PLUGIN, "")})
    ours, bare = build_site(tmp_path, "ours"), build_site(tmp_path, "bare", settings="bare.yml")
    assert different(ours, bare, ("sitemap",)) == []


def test_a_strict_build_does_not_fail_over_pages_of_others(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """Where loose figures are to warn, and one page is ours."""
    settings = SETTINGS.replace(PLUGIN, "  - buildlog: {loose: warn}\n")
    pages = {
        **OTHERS,
        "docs/sources.yml": SOURCES,
        "docs/cars/one.yml": "name: One\n",
        "docs/ours.md": OUR_PAGE,
    }
    write(tmp_path, {**pages, "mkdocs.yml": settings})
    with caplog.at_level(logging.INFO, "mkdocs"):
        build_site(tmp_path, strict=True)
    told = [record.getMessage() for record in caplog.records if record.levelno >= logging.WARNING]
    assert not told
