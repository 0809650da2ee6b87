# ruff: noqa: F811  (the fixture of another file)
"""What a site's search has of our pages, beside other plugins and where one of them has changed a page."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.plugins import BasePlugin

from tests.guests.log_site import log, picture  # noqa: F401  (the fixture)
from tests.guests.small_sites import build_site, write
from tests.samples import GEARING

PAGE = f"# Gearing\n\nThird ends at [150.6 km/h](calc:shorter-final.before.speed_at_limit.3).\n\n{GEARING}"
FILES: dict[str, str | bytes] = {
    "docs/index.md": f"{PAGE}\n![The car](picture.png)\n\n## Bolts\n\nTo [78 N·m](cite:sheet.crown).\n",
    "docs/sources.yml": "sheet: {title: Axle sheet, facts: {crown: 78 N·m}}\n",
    "docs/picture.png": picture(),
}


def entries(site: Path) -> dict[str, str]:
    index = json.loads((site / "search" / "search_index.json").read_text("utf-8"))
    return {one["location"]: one["text"] for one in index["docs"]}


def test_it_finds_figures_as_typed_and_no_comments_and_no_glued_words(log: Path) -> None:
    found = entries(log)
    gearing = " ".join(text for place, text in found.items() if place.startswith("episodes/gearing/"))
    assert "78 Nm" in gearing
    assert "Road speed at the rev limit, gear 3" in gearing
    assert "Working, step by step" not in gearing
    for text in found.values():
        assert "<!--" not in text
        assert "4.10Computed" not in text
        assert "toldUnverified" not in text
    assert found["blog/"].strip() == ""  # a list is searched by its posts


@pytest.mark.parametrize("theme", ["material", "mkdocs"])
@pytest.mark.parametrize("more", ["", "  - glightbox\n"])
def test_it_is_the_same_where_another_plugin_has_changed_the_page(
    tmp_path: Path, theme: str, more: str
) -> None:
    write(tmp_path, FILES)
    settings = f"site_name: Test\ntheme: {theme}\nplugins:\n  - search\n{{}}  - buildlog\n"
    (tmp_path / "plain.yml").write_text(settings.format(""), "utf-8")
    (tmp_path / "mkdocs.yml").write_text(settings.format(more), "utf-8")
    plain = build_site(tmp_path, "plain", settings="plain.yml")
    other = build_site(tmp_path, "other")
    assert {place or "#gearing": text for place, text in entries(plain).items()} == {
        place or "#gearing": text for place, text in entries(other).items() if place or text
    }
    assert any("150.6" in text for text in entries(plain).values())
    page = (other / "index.html").read_text("utf-8")
    assert "buildlog-card" in page
    assert "<!--" not in page.partition("<article")[2].partition("</article>")[0]


class _Reader(BasePlugin):  # type: ignore[type-arg, no-untyped-call]
    """Looks at a page wherever MkDocs shows it one."""

    def __init__(self) -> None:
        self.seen: dict[str, str] = {}

    def on_page_content(self, html: str, *, page: object, **given: object) -> None:
        self.seen["given"], self.seen["content"] = html, page.content  # type: ignore[attr-defined]

    def on_page_context(self, context: object, *, page: object, **given: object) -> None:
        self.seen["context"] = page.content  # type: ignore[attr-defined]


def test_a_plugin_that_nobody_knows_has_the_whole_page_at_every_event(tmp_path: Path) -> None:
    write(tmp_path, FILES)
    (tmp_path / "mkdocs.yml").write_text(
        "site_name: Test\ntheme: {name: material}\nplugins: [search, buildlog]\n", "utf-8"
    )
    config = load_config(str(tmp_path / "mkdocs.yml"), site_dir=str(tmp_path / "site"))
    reader = _Reader()
    config.plugins["reader"] = reader
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    for content in reader.seen.values():
        assert "<!--" not in content
        assert "Working, step by step" in content
        text = re.sub(r"<[^<>]*>", "", content)
        assert re.search(
            r"150\.6\skm/h \(93\.57\smph\) Road speed at the rev limit", text
        )  # a label, its note
        assert not re.search(r"\d[A-Z][a-z]", text)
    assert len(reader.seen) == 3
