"""The page of the manual that is in German, as MkDocs builds it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.parsed_html import Tag, parse
from tests.render.test_words import still_english

pytestmark = pytest.mark.slow


def _article(demo: Path, page: str) -> Tag:
    text = (demo / page).read_text(encoding="utf-8")
    return parse(text[text.index("<article") : text.index("</article>") + len("</article>")]).one("article")


def test_a_page_in_german_has_no_word_of_ours_in_english(demo: Path) -> None:
    article = _article(demo, "manual/german.html")
    assert re.search('<main[^>]* lang="de"', (demo / "manual" / "german.html").read_text("utf-8"))
    assert len(article.all(css="buildlog-card")) == 2
    assert still_english(article) == []
    assert not [box for box in article.all("div", "buildlog") if "lang" in box.attributes]
    assert article.by_id("caution-spinning-parts").text.startswith("Riemen, Lüfter, Schwungräder")


def test_a_page_in_english_is_found_to_be(demo: Path) -> None:
    article = _article(demo, "episodes/flywheel.html")
    assert {"Computed", "Link to this row", "Working, step by step"} <= set(still_english(article))
    assert not [tag for tag in article.walk() if "lang" in tag.attributes]


def test_only_pages_in_german_load_its_words(demo: Path) -> None:
    script = "buildlog-words-de.js"
    assert (demo / "assets" / script).is_file()
    loading = [path.name for path in sorted(demo.rglob("*.html")) if script in path.read_text("utf-8")]
    assert loading == ["german.html"]
