"""Pages and files that stand where the workshop sheet of another page is published."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Position, Severity, declare
from buildlog.reading.howto import SHEET

SHEET_NAME_TAKEN = declare(
    "sheet-name-taken",
    "a page or a file that is called as the workshop sheet of another page",
    why="Where pages are files, both have one address: the site has the one, and the link to the sheet leads "
    "to it. With a folder for each page (use_directory_urls) they are apart.",
    mend="Give it another name.",
    severity=Severity.WARNING,
    example="exhaust-sheet.md beside exhaust.md, which tells of a job",
)


def sheet_name_findings(book: Book, pages: Iterable[str]) -> Iterator[Diagnostic]:
    """Findings on what takes the place of the sheets of these pages."""
    for key in pages:
        page = book.pages[key]
        if not page.howto.is_job:
            continue
        other, file = book.pages.get(key + SHEET), book.content / f"{key}{SHEET}.html"
        if other is not None:
            path = other.path
        elif file.is_file():
            path = book.shown(file)
        else:
            continue
        yield SHEET_NAME_TAKEN.at(
            Position(path),
            found=f"“{path.rpartition('/')[2]}”, and the workshop sheet of {key} is {key}{SHEET}.html",
            expected="another name",
            second=Position(page.path),
            second_label="the page whose sheet it is",
        )
