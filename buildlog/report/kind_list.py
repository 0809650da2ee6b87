"""The kinds of calculation, for the command line."""

from __future__ import annotations

from buildlog.report.wording import plural


def kinds_text(catalogue: list[tuple[str, str]]) -> str:
    """All kinds, a line each."""
    width = max(len(kind) for kind, _ in catalogue)
    lines = [f"  {kind:<{width}}  {title}" for kind, title in catalogue]
    return "\n".join(
        [plural(len(lines), "kind") + " of calculation:", *lines, "", "buildlog kinds KIND shows one.", ""]
    )
