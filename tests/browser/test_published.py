"""The scripts that a site publishes for a reader's own numbers, and where a page looks for them."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import unquote, urljoin, urlsplit

import pytest

from buildlog.book.book import Book
from buildlog.browser.published import describe_page, files_of
from buildlog.render.own_numbers import FOLDER
from tests.render.blocks import GEARING, fence

SITE = f"https://example.org/{FOLDER}/"


@pytest.mark.parametrize("page", ["plain", "what? #1", "50%41 off", "deep/Größe & 'q' \"r\"", "a+b;c"])
def test_a_page_finds_its_scripts_however_its_file_is_called(tmp_path: Path, page: str) -> None:
    file = tmp_path / "content" / f"{page}.md"
    file.parent.mkdir(parents=True)
    file.write_text(fence(GEARING), encoding="utf-8")
    (described,) = describe_page(Book.open(root=tmp_path), page)
    address = urlsplit(urljoin(SITE, described.offer.script))
    assert (address.netloc, address.fragment) == ("example.org", "")
    assert unquote(address.path).removeprefix("/") in files_of([described])
