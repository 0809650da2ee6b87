"""What a page as a whole carries: its findings at the top, its sources at the end."""

from __future__ import annotations

from collections.abc import Sequence

from buildlog.diagnostics import Diagnostic
from buildlog.reading.blocks import SourceEntry
from buildlog.render.figure import source_anchor
from buildlog.render.pieces import Rendered, render


def render_findings(findings: Sequence[Diagnostic]) -> Rendered:
    """The list of a page's findings, which an author must not be able to overlook."""
    return render("page-findings.html.j2", findings=findings)


def render_sources(sources: Sequence[SourceEntry]) -> Rendered:
    """The sources that the page's figures name, in order of first use."""
    return render("sources.html.j2", sources=sources, source_anchor=source_anchor)
