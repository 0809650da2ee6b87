"""The workshop sheet of an episode: one page of HTML for paper, with room for what is measured.

It stands alone: no navigation, no script, nothing fetched. It sets no paper size, so that it prints on A4 and
on Letter.
"""

from __future__ import annotations

from importlib import resources

from markupsafe import Markup

from buildlog.book.book import Book
from buildlog.book.repeating import input_hash
from buildlog.proof.series import Place
from buildlog.reading.howto import SHEET
from buildlog.render.needs import needs_of
from buildlog.render.pieces import Rendered, render
from buildlog.render.words import spoken
from buildlog.version import __version__


def has_sheet(book: Book, key: str) -> bool:
    """Whether a page tells of a job, so that it has a sheet."""
    return key in book.pages and book.pages[key].howto.is_job


def sheet_path(key: str) -> str:
    """Where the sheet of a page is published, under content."""
    return f"{key}{SHEET}.html"


def workshop_sheet(
    book: Book, key: str, place: Place | None = None, page_address: str = "", site_address: str = ""
) -> str:
    """The sheet of a page as an HTML document. `place` is the page's in its series, `page_address` where its
    link to the page leads, `site_address` what stands on paper: where the page is found, whole."""
    page = book.pages[key]
    style = (resources.files("buildlog.render") / "assets" / "sheet.css").read_text(encoding="utf-8")
    sheet: Rendered = render(
        "sheet.html.j2",
        language=spoken().language,
        style=Markup(f"\n{style}"),
        title=page.title,
        key=key,
        date=page.howto.date,
        place=place,
        needs=needs_of(book, page),
        page_address=page_address,
        site_address=site_address,
        version=__version__,
        inputs=input_hash(book, key),
    )
    return sheet.html(lambda link: link.file)
