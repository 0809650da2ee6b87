# ruff: noqa: F811  (the fixture of another file)
"""What the plugin writes for those that link to pages: addresses, previews, the feed, the sitemap."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from mkdocs.exceptions import Abort

from tests.parsed_html import Tag, parse
from tests.plugins.test_plugin import Site, run, site  # noqa: F401  (the fixture)
from tests.render.test_feed import ATOM, check_atom

ADDRESS = "https://build.example/log/"
SAYS: dict[str, Any] = {"site_url": ADDRESS, "site_author": "Tansy Yard"}
DATED = (
    "---\ntitle: A “second” & <third>\nbuildlog: {{date: 2024-03-09}}\n{}---\n\n# Two\n\n"
    "Bolts at [39 N·m](cite:manual.nut), *no* more. Then home.\n\n![The axle](axle.png)\n"
)
PAGES = {
    "one.md": "---\ndescription: 'Fish & \"chips\"'\n"
    "buildlog: {date: 2024-01-20, updated: 2025-09-01}\n---\n\n# One\n",
    "two.md": DATED.format(""),
    "axle.png": "",
    "undated.md": "---\nbuildlog: {loose: note}\n---\n\n# Three\n\nNo day.\n",
    "draft.md": "---\nbuildlog: {date: 2024-05-05}\n---\n\n# Draft\n",
}


def built(site: Site, pages: dict[str, str] = PAGES, **given: Any) -> Path:
    return run(site(pages, "plugins: [buildlog]\ndraft_docs: draft.md", **given))


def head(folder: Path, name: str) -> list[Tag]:
    return parse((folder / name / "index.html").read_text("utf-8")).one("head").all()


def said(folder: Path, name: str) -> dict[str, str]:
    """The tags of a page's head with a name or a property."""
    tags = [tag.attributes for tag in head(folder, name)]
    by_property = {tag["property"]: tag["content"] for tag in tags if "property" in tag}
    return by_property | {tag["rel"]: tag["href"] for tag in tags if "rel" in tag}


def test_a_page_says_where_it_is_and_what_it_is_about(site: Site) -> None:
    folder = built(site, **SAYS)
    found = said(folder, "two")
    assert found["canonical"] == found["og:url"] == f"{ADDRESS}two/"
    assert found["og:title"] == "A “second” & <third>"
    assert found["og:description"] == "Bolts at 39 N·m, no more."
    assert found["og:image"] == f"{ADDRESS}axle.png"
    assert found["og:image:alt"] == "The axle"
    assert (found["og:type"], found["article:published_time"]) == ("article", "2024-03-09")
    assert found["alternate"] == "../feed.xml"
    assert said(folder, "one")["og:description"] == 'Fish & "chips"'
    assert said(folder, "one")["article:modified_time"] == "2025-09-01"
    assert said(folder, "undated")["og:type"] == "website"


def test_the_feed_has_the_pages_that_state_a_day_and_no_others(site: Site) -> None:
    root = check_atom((built(site, **SAYS) / "feed.xml").read_text("utf-8"))
    titles = [entry.findtext(f"{ATOM}title") for entry in root.findall(f"{ATOM}entry")]
    assert titles == ["One", "A “second” & <third>"]
    assert root.findtext(f"{ATOM}author/{ATOM}name") == "Tansy Yard"
    assert root.findtext(f"{ATOM}updated") == "2025-09-01T00:00:00Z"
    assert root.findtext(f"{ATOM}entry/{ATOM}summary") == 'Fish & "chips"'


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"site_author": "Tansy Yard"}, "site_url is not set"),
        ({"site_url": ADDRESS}, "site_author is not set"),
    ],
    ids=["no address", "no author"],
)
def test_what_cannot_be_said_is_left_out_and_the_log_says_so(
    site: Site, caplog: pytest.LogCaptureFixture, given: dict[str, Any], words: str
) -> None:
    with caplog.at_level(logging.INFO, logger="mkdocs"):
        folder = built(site, **given)
    assert sum(words in record.getMessage() for record in caplog.records) == 1
    assert not (folder / "feed.xml").exists()
    found = said(folder, "two")
    assert "alternate" not in found
    assert ("canonical" in found) is ("site_url" in given)


def test_without_days_there_is_no_feed_and_no_word_about_it(
    site: Site, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.INFO, logger="mkdocs"):
        folder = built(site, {}, site_url=ADDRESS)
    assert not (folder / "feed.xml").exists()
    assert not any("site_" in record.getMessage() for record in caplog.records)


def test_a_file_in_the_way_of_the_feed_stops_the_build(site: Site, caplog: pytest.LogCaptureFixture) -> None:
    with pytest.raises(Abort):
        built(site, {**PAGES, "feed.xml": "<feed/>"}, **SAYS)
    assert "feed.xml is in the way of the feed" in caplog.text


SITEMAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"


def test_the_sitemap_names_every_page_and_the_days_that_pages_state(site: Site) -> None:
    config = site(PAGES, "plugins: [buildlog]\ndraft_docs: draft.md", **SAYS)
    config.theme.static_templates.add("sitemap.xml")
    root = ElementTree.fromstring((run(config) / "sitemap.xml").read_text("utf-8"))
    urls = {one.findtext(f"{SITEMAP}loc"): one.findtext(f"{SITEMAP}lastmod") for one in root}
    built_on = urls.pop(ADDRESS)
    assert built_on, "a page that has nothing of ours keeps what MkDocs says of it"
    assert urls == {
        f"{ADDRESS}one/": "2025-09-01",
        f"{ADDRESS}two/": "2024-03-09",
        f"{ADDRESS}undated/": None,
        f"{ADDRESS}gearbox/final/": None,
        f"{ADDRESS}pipe/": None,
    }


def test_the_sitemap_of_a_site_without_an_address_is_empty(site: Site) -> None:
    config = site(PAGES, "plugins: [buildlog]")
    config.theme.static_templates.add("sitemap.xml")
    root = ElementTree.fromstring((run(config) / "sitemap.xml").read_text("utf-8"))
    assert list(root) == []
