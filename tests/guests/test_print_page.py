# ruff: noqa: F811  (the fixture of another file)
"""A page that has all pages: ids are unique, and links lead to their places on it."""

from __future__ import annotations

import re
from pathlib import Path

import html5lib

from tests.guests.log_site import dead_links, log  # noqa: F401  (the fixture)

PAGE = "print_page/index.html"
_ID = re.compile(r"""\sid=["']([^"']+)["']""")


def test_no_id_twice_no_comment_and_no_link_that_leads_nowhere(log: Path) -> None:
    html = (log / PAGE).read_text("utf-8")
    html5lib.HTMLParser(strict=False).parse(html)
    assert "<!--" not in html.partition('id="print-site-page"')[2]
    ids = _ID.findall(html)
    assert len(ids) == len(set(ids)) > 50
    assert dead_links(log, PAGE) == set()


def test_figures_lead_to_rows_on_the_page_and_files_to_the_files(log: Path) -> None:
    html = (log / PAGE).read_text("utf-8")
    row = "episodes-gearing-calc-shorter-final.speed_at_limit.3"
    assert html.count(f"id='{row}'") == 1
    assert html.count(f"href='#{row}'") >= 4  # figures of both episodes, and their notes
    assert "id='episodes-gearing-source-owner'" in html
    assert "id='episodes-driven-source-owner'" in html
    assert re.search(r"href='(\.\./assets/buildlog/[^']+\.zip)'", html)
    assert 'buildlog-yours"' not in html  # the form is the page's own
    assert 'href="data:' not in html


def test_it_loads_what_it_shows_and_switches_units(log: Path) -> None:
    html = (log / PAGE).read_text("utf-8")
    loaded = re.findall(r'<(?:script|link)[^<>]*(?:src|href)="([^"]*buildlog[^"]*)"', html)
    assert "../assets/buildlog.css" in loaded
    assert "../assets/buildlog.js" in loaded
    assert len(loaded) == len(set(loaded))
    assert all((log / "print_page" / address).is_file() for address in loaded)
