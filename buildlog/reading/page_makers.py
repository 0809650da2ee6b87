"""What makes or changes pages only when the site is built, as far as a site's settings tell."""

from __future__ import annotations

from buildlog.reading.settings import Settings

_MAKERS = frozenset(
    (
        "api-autonav",
        "gen-files",
        "include-markdown",
        "macros",
        "markdown-exec",
        "mkdocs-jupyter",
        "mkdocstrings",
        "monorepo",
        "multirepo",
        "table-reader",
    )
)
"""Plugins of other people, by the names that sites give them, that write text into pages or add pages."""


def page_makers(settings: Settings) -> tuple[str, ...]:
    """The plugins of a site that are known to make or change pages, and its hooks, which may."""
    named = dict.fromkeys(name for name in settings.plugins if name in _MAKERS)
    return (*named, *(["hooks"] if settings.hooks else []))
