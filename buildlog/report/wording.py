"""A finding in sentences, for the formats that take one text: what it is, found, expected, to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.diagnostics import Diagnostic
from buildlog.report.codes import sentence

if TYPE_CHECKING:
    from buildlog.kinds.declaration import Source


def wording(finding: Diagnostic, following: str = "", *, help: bool = True) -> str:
    """Sentences on one line, the last one about what follows from it. What the message tells already is not
    said again."""
    parts = [finding.message]
    if finding.found and finding.found not in finding.message:
        parts.append(f"Found {finding.found}")
    if finding.expected:
        parts.append(f"Expected {finding.expected}")
    if help and finding.help:
        parts.append(finding.help)
    if following:
        parts.append(following)
    return " ".join(sentence(part) for part in parts)


def cell(text: str) -> str:
    """Text as it stands in a table of Markdown."""
    return text.replace("|", "\\|").replace("<", "&lt;")


def plural(count: int, singular: str, many: str = "") -> str:
    """``1 figure``, ``2 figures``."""
    if count == 1:
        return f"1 {singular}"
    return f"{count} {many or singular + 's'}"


def source_text(source: Source, standing: str) -> str:
    """One source as a reference, with what it rests on where that is to be said."""
    parts = [source.title, source.publisher, source.edition, source.where]
    text = ", ".join(part for part in parts if part)
    return f"{text} ({standing})" if standing and standing != "published" else text
