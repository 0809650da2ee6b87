"""buildlog: build write-ups in which every figure is computed, cited or marked as somebody's word.

What other programs may use is listed in ``__all__``, and keeps its meaning within a minor version. All else
is the program's own. A site is opened, computed and proofed like this:

    >>> from pathlib import Path
    >>> from buildlog import Book, Severity, proof_book
    >>> report = proof_book(Book.open(root=Path("my-site")))  # doctest: +SKIP
    >>> [str(finding.position) for finding in report.findings]  # doctest: +SKIP
    ['content/index.md:10:20']
    >>> Severity.ERROR.word
    'error'
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from buildlog.version import __version__

if TYPE_CHECKING:
    from buildlog.book.book import Book
    from buildlog.diagnostics import Code, Diagnostic, Position, Severity
    from buildlog.kinds.results import BlockResult, Value
    from buildlog.page.extension import BuildlogExtension
    from buildlog.proof.judging import Entry
    from buildlog.proof.proof import Report, proof_book
    from buildlog.reading.settings import Settings

__all__ = [
    "BlockResult",
    "Book",
    "BuildlogExtension",
    "Code",
    "Diagnostic",
    "Entry",
    "Position",
    "Report",
    "Settings",
    "Severity",
    "Value",
    "__version__",
    "proof_book",
]

# Loaded when they are first asked for: every module of ours imports this one on its way, and the command line
# that only prints a version should not wait for YAML, Markdown and the units.
_HOMES = {
    "BlockResult": "buildlog.kinds.results",
    "Book": "buildlog.book.book",
    "BuildlogExtension": "buildlog.page.extension",
    "Code": "buildlog.diagnostics",
    "Diagnostic": "buildlog.diagnostics",
    "Entry": "buildlog.proof.judging",
    "Position": "buildlog.diagnostics",
    "Report": "buildlog.proof.proof",
    "Settings": "buildlog.reading.settings",
    "Severity": "buildlog.diagnostics",
    "Value": "buildlog.kinds.results",
    "proof_book": "buildlog.proof.proof",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
