"""Where findings stand, as CI hosts want it: paths from the repository's root, columns inside the line."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from buildlog.diagnostics import Diagnostic
from buildlog.files.text import split_lines
from buildlog.proof.proof import Report


def folder_in_repository(root: Path) -> str:
    """The site's folder as a prefix of its paths, ``docs/`` or ``""``; without a repository ``""``."""
    for parent in (root, *root.parents):
        if (parent / ".git").exists():
            inside = root.relative_to(parent).as_posix()
            if inside == ".":
                return ""
            return inside + "/"
    return ""


class RepositoryPlaces:
    """Paths and columns of a report's findings."""

    def __init__(self, report: Report) -> None:
        self._folder = folder_in_repository(report.book.root)
        pages = {page.path: page.text for page in report.book.pages.values()}

        @cache
        def lines(path: str) -> list[str]:
            return split_lines(pages.get(path, ""))

        self._lines = lines

    def path(self, path: str) -> str:
        """The path from the repository's root; one that leads out of the site stays as it is."""
        if path.startswith("/"):
            return path
        return self._folder + path

    def end_column(self, finding: Diagnostic) -> int:
        """The column after the last that a finding is about, on its own line."""
        place = finding.position
        lines = self._lines(place.path)
        end = place.column + finding.length
        if place.line <= len(lines) and len(lines[place.line - 1]) >= place.column:
            end = min(end, len(lines[place.line - 1]) + 1)
        return end
