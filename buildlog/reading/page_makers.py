"""What makes or changes pages only when the site is built, as far as a site's settings tell."""

from __future__ import annotations

from buildlog.reading.included_files import INCLUDE_PLUGIN
from buildlog.reading.settings import Settings

_MAKERS = frozenset(
    (
        "api-autonav",
        "gen-files",
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


def page_makers(settings: Settings, *, reads_includes: bool) -> tuple[str, ...]:
    """The plugins of a site that are known to make or change pages, and its hooks, which may. Of
    include-markdown the proof reads what it can; it is one of them where that was not all."""
    makers = _MAKERS if reads_includes else _MAKERS | {INCLUDE_PLUGIN}
    named = dict.fromkeys(name for name in settings.plugins if name in makers)
    return (*named, *(["hooks"] if settings.hooks else []))
