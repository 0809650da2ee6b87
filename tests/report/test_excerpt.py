"""The words around a place, as a message quotes them."""

from __future__ import annotations

from buildlog.report.excerpt import excerpt


def test_an_empty_label_is_seen() -> None:
    """Its address is hidden like any other, but not that a figure stands there."""
    line = "See [](calc:a.b) and [9 mm](cite:c) and 12 mm."
    found = excerpt(line, line.index("12") + 1, 5, 200)
    assert found is not None
    assert (found.before, found.marked, found.after) == ("See [](calc:…) and 9 mm and ", "12 mm", ".")
