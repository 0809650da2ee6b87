"""Plugins that write the HTML of a page anew: smaller, or with pictures to enlarge."""

from __future__ import annotations

from pathlib import Path

import html5lib

from tests.guests.log_site import picture
from tests.guests.small_sites import build_site, write
from tests.samples import GEARING

FILES: dict[str, str | bytes] = {
    "mkdocs.yml": (
        "site_name: Test\ntheme: {name: material, font: false}\nplugins:\n  - search\n  - glightbox\n"
        "  - buildlog\n  - minify: {minify_html: true, htmlmin_opts: {remove_comments: true}}\n"
        "markdown_extensions: [md_in_html]\n"
    ),
    "docs/picture.png": picture(),
    "docs/index.md": (
        "# Gearing\n\nThird ends at [150.6 km/h](calc:shorter-final.before.speed_at_limit.3).\n\n"
        f"![Alone](picture.png)\n\n<figure markdown>\n![In a figure](picture.png)\n</figure>\n\n{GEARING}"
    ),
}


def test_a_minified_page_has_its_cards_formulae_drawings_and_lines(tmp_path: Path) -> None:
    write(tmp_path, FILES)
    page = (build_site(tmp_path) / "index.html").read_text("utf-8")
    tree = html5lib.HTMLParser(namespaceHTMLElements=False).parse(page)
    (card,) = (one for one in tree.iter("section") if "buildlog-card" in one.get("class", ""))
    assert [row for row in card.iter("tr") if row.get("id") == "calc-shorter-final.speed_at_limit.3"]
    assert list(card.iter("{http://www.w3.org/1998/Math/MathML}math"))
    drawing = next(card.iter("{http://www.w3.org/2000/svg}svg"))
    assert {one.get("id") for one in card.iter()}.issuperset(drawing.get("aria-labelledby").split())
    lines = next(one for one in tree.iter("pre") if "buildlog proof" in "".join(one.itertext()))
    assert len("".join(lines.itertext()).splitlines()) > 2
    links = {
        one.find("img").get("alt"): one.get("class") for one in tree.iter("a") if one.find("img") is not None
    }
    assert links["Alone"] == "glightbox"
    assert links["In a figure"] == "buildlog-enlarge"  # it has a link of its own
