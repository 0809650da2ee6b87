"""Every page of the built demo: valid HTML, unique ids, links that lead somewhere, nothing from outside."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from urllib.parse import unquote, urldefrag
from xml.etree.ElementTree import Element

import html5lib
import pytest

from buildlog.render import page_scripts

# HTML allows two hyphens in a comment (13.1.6 of the standard); html5lib is older than that.
ALLOWED = {"unexpected-char-in-comment"}
# What makes a browser ask for something when it shows the page; a link that a reader may follow does not.
FETCHING = {
    "script": ("src",), "img": ("src", "srcset"), "source": ("src", "srcset"), "iframe": ("src",),
    "video": ("src", "poster"), "audio": ("src",), "embed": ("src",), "object": ("data",), "image": ("href",),
    "use": ("href",), "input": ("src",), "track": ("src",),
}  # fmt: skip
LINKS_THAT_FETCH = {
    "stylesheet",
    "icon",
    "preload",
    "modulepreload",
    "prefetch",
    "preconnect",
    "dns-prefetch",
    "manifest",
}
THEMES_OWN = {"__toc"}
"""What the theme names on pages without a table of contents."""
OUTSIDE = re.compile(r"(?:[a-z][a-z0-9+.-]*:)?//", re.IGNORECASE)


@cache
def _parsed(path: Path) -> tuple[Element, tuple[str, ...]]:
    parser = html5lib.HTMLParser(tree=html5lib.getTreeBuilder("etree"), namespaceHTMLElements=False)
    tree = parser.parse(path.read_text(encoding="utf-8"))
    found = (f"{place}: {code} {data}" for place, code, data in parser.errors if code not in ALLOWED)
    return tree, tuple(found)


def pages(folder: Path) -> list[Path]:
    found = sorted(folder.rglob("*.html"))
    assert len(found) > 20
    return found


def name_of(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]


def elements(path: Path) -> Iterator[Element]:
    # html5lib gives comments as elements whose tag is a function, which the types of ElementTree leave out.
    return (element for element in _parsed(path)[0].iter() if not callable(element.tag))


@cache
def ids(path: Path) -> frozenset[str]:
    return frozenset(one.get("id", "") for one in elements(path)) - {""}


def test_every_page_is_parsed_without_an_error(demo: Path) -> None:
    wrong = {path.relative_to(demo).as_posix(): _parsed(path)[1] for path in pages(demo)}
    assert {path: errors for path, errors in wrong.items() if errors} == {}


def test_no_id_stands_twice_in_a_page(demo: Path) -> None:
    for path in pages(demo):
        counted = Counter(one.get("id") for one in elements(path) if one.get("id"))
        assert [name for name, count in counted.items() if count > 1] == [], path.name


def test_whatever_names_an_id_finds_it(demo: Path) -> None:
    for path in pages(demo):
        for one in elements(path):
            for attribute in ("aria-describedby", "aria-labelledby", "aria-controls", "for"):
                missing = set((one.get(attribute) or "").split()) - ids(path) - THEMES_OWN
                assert not missing, f"{path.name}: {attribute} {missing}"


def test_every_link_of_the_site_leads_to_a_page_and_a_place_in_it(demo: Path) -> None:
    seen = 0
    for path in pages(demo):
        if path.name == "404.html":  # its addresses are those of a server's root
            continue
        for one in elements(path):
            address = one.get("href") if name_of(one) == "a" else None
            if not address or OUTSIDE.match(address) or address.startswith(("data:", "mailto:")):
                continue
            file, anchor = urldefrag(address)
            target = (path.parent / unquote(file)).resolve() if file else path
            target = target / "index.html" if target.is_dir() else target
            assert target.is_file(), f"{path.name}: {address}"
            if anchor and target.suffix == ".html" and anchor != "__skip":
                assert unquote(anchor) in ids(target), f"{path.name}: {address}"
            seen += 1
    assert seen > 2000


def _fetched(one: Element) -> Iterator[str]:
    name = name_of(one)
    for key, value in one.attrib.items():
        if name_of_key(key) in FETCHING.get(name, ()):
            yield value
        if name_of_key(key) == "style":
            yield from re.findall(r"url\(([^)]*)\)", value)
    if name == "link" and set((one.get("rel") or "").split()) & LINKS_THAT_FETCH:
        yield one.get("href", "")
    if name == "style":
        yield from re.findall(r"(?:url\(|@import\s*[\"'])([^)\"']*)", one.text or "")


def name_of_key(key: object) -> str:
    """An attribute's own name; html5lib gives those of SVG as a pair with their namespace."""
    return str(key[-1] if isinstance(key, tuple) else key).rpartition("}")[2].rpartition(":")[2]


def test_no_page_asks_anybody_outside(demo: Path) -> None:
    for path in pages(demo):
        for one in elements(path):
            for address in _fetched(one):
                assert not OUTSIDE.match(address.strip("\"' ")), f"{path.name}: {address}"
    for path in demo.rglob("*.css"):
        text = path.read_text(encoding="utf-8")
        for address in re.findall(r"url\(([^)]*)\)|@import\s*[\"']([^\"']*)", text):
            for one_address in address:
                assert not OUTSIDE.match(one_address.strip("\"' ")), f"{path.name}: {one_address}"


def test_what_pages_load_for_what_is_ours_they_load_before_it_and_nowhere_else(demo: Path) -> None:
    """The units are the reader's from the first figure on; nothing holds a page up; other pages are left
    alone."""
    with_ours = 0
    for path in pages(demo):
        if path.name.endswith("-sheet.html"):  # which is for paper
            continue
        in_order = list(elements(path))
        statements = [
            place
            for place, one in enumerate(in_order)
            if name_of(one) == "script" and "buildlog-units" in (one.text or "")
        ]
        scripts = [
            one
            for one in in_order
            if name_of(one) == "script" and "assets/buildlog" in (one.get("src") or "")
        ]
        ours = [
            place
            for place, one in enumerate(in_order)
            if any(
                part.startswith("buildlog")
                for part in set((one.get("class") or "").split()) - {"buildlog-term"}
            )
        ]
        head = next(one for one in in_order if name_of(one) == "head")
        sheets = [one.get("href", "") for one in head.iter("link") if one.get("rel") == "stylesheet"]
        of_ours = [place for place, sheet in enumerate(sheets) if sheet.endswith("assets/buildlog.css")]
        terms = [one for one in in_order if "buildlog-term" in (one.get("class") or "").split()]
        assert len(of_ours) == bool(ours or terms), path.name
        assert len(statements) == bool(scripts) == bool(ours), path.name
        if ours:
            with_ours += 1
            assert statements[0] < ours[0]
            assert all(one.get("defer") is not None for one in scripts)
            assert all((path.parent / (one.get("src") or "")).is_file() for one in scripts)
            assert sheets[of_ours[0] + 1].endswith("assets/site.css"), "the site's own rules win"
    assert with_ours > 10


@pytest.mark.parametrize("name", [*page_scripts(), "buildlog-ledger.js"])
def test_the_script_is_small_and_fetches_nothing(demo: Path, name: str) -> None:
    text = (demo / "assets" / name).read_text(encoding="utf-8")
    assert len(text.encode()) <= 4096
    for word in (
        "fetch",
        "XMLHttpRequest",
        "import(",
        "eval",
        "innerHTML",
        "http",
        "sendBeacon",
        "WebSocket",
    ):
        assert word not in text.replace("fetches nothing", ""), word
