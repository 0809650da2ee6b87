"""Plugins that write a part of a page when the site is built: included files, docstrings, run code."""

from __future__ import annotations

from pathlib import Path

from tests.guests.small_sites import OUR_PAGE, PLUGIN, SOURCES, build_both, different
from tests.guests.test_other_plugins import MODULE

SETTINGS = (
    "site_name: Others\ntheme: {{name: material, font: false}}\n"
    "markdown_extensions: [tables, pymdownx.superfences]\n"
    "plugins:\n  - search\n{theirs}{ours}exclude_docs: parts/\n"
)
OF_OURS = ("ours/", "assets/buildlog", "sitemap", "search/search_index")
RUN = "```python exec=\"on\"\nprint('| a | b |\\n|---|---|\\n| 12 mm | **two** |')\n```\n"


def test_included_files(tmp_path: Path) -> None:
    """A page that includes others' text is as it was, and one of ours keeps its own figures and cards beside
    it. Figures in included files are the matter of test_made_pages.py."""
    ours, bare = build_both(
        tmp_path,
        {
            "mkdocs.yml": SETTINGS.format(theirs="  - include-markdown\n", ours=PLUGIN),
            "docs/index.md": "# Home\n\n{% include-markdown 'parts/theirs.md' %}\n",
            "docs/parts/theirs.md": "Some 12 mm of [words](https://other.example/).\n",
            "docs/ours.md": OUR_PAGE + "\n{% include-markdown 'parts/theirs.md' %}\n",
            "docs/sources.yml": SOURCES,
        },
    )
    assert different(ours, bare, OF_OURS) == []
    page = (ours / "ours" / "index.html").read_text("utf-8")
    assert 'class="buildlog-card' in page
    assert "buildlog-cited" in page
    assert "Some 12 mm of" in page


def test_docstrings_on_a_page_of_ours(tmp_path: Path) -> None:
    """They are rendered with the site's extensions while the page is: they are not the page, which has its
    own figures and cards, all of them and once."""
    theirs = "  - autorefs\n  - mkdocstrings: {handlers: {python: {paths: [src]}}}\n"
    ours, bare = build_both(
        tmp_path,
        {
            "mkdocs.yml": SETTINGS.format(theirs=theirs, ours=PLUGIN),
            "src/shed.py": MODULE,
            "docs/index.md": "# Home\n\n::: shed\n",
            "docs/ours.md": f"::: shed.double\n\n{OUR_PAGE}\n::: shed.Gear\n",
            "docs/sources.yml": SOURCES,
        },
    )
    assert different(ours, bare, (*OF_OURS, "objects.inv")) == []
    page = (ours / "ours" / "index.html").read_text("utf-8")
    assert page.count('id="calc-cruise"') == 1
    assert page.count('class="buildlog-figure ') == 1
    assert "Twice of it." in page


def test_code_that_is_run(tmp_path: Path) -> None:
    """What its output becomes is the same, and figures and a card beside it are there."""
    ours, bare = build_both(
        tmp_path,
        {
            "mkdocs.yml": SETTINGS.format(theirs="  - markdown-exec\n", ours=PLUGIN),
            "docs/index.md": f"# Home\n\n{RUN}",
            "docs/ours.md": f"{OUR_PAGE}\n{RUN}",
            "docs/sources.yml": SOURCES,
        },
    )
    assert different(ours, bare, OF_OURS) == []
    assert "<strong>two</strong>" in (ours / "index.html").read_text("utf-8")
    page = (ours / "ours" / "index.html").read_text("utf-8")
    assert "<strong>two</strong>" in page
    assert 'class="buildlog-card' in page
    assert "buildlog-cited" in page
