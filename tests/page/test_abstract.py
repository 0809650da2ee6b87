"""A page's Markdown without what only our extension reads."""

from __future__ import annotations

import pytest

from buildlog.page.abstract import without_ours
from tests.samples import GEARING


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[1 m](calc:a.b) and **[2 m](cite:c.d)**.", "1 m and **2 m**."),
        ("[](calc:a.b), [x](page.md)", "filled in, [x](page.md)"),
        ("[3 m][r]\n\n[r]: told:owner", "3 m\n\n[r]: told:owner"),
        (f"a\n\n{GEARING}\nb", "a\n\n\n\nb"),
        ('a\n\n<div data-buildlog="ledger"></div>\n\nb', "a\n\n\n\nb"),
        ("Mind [](caution:driveline), and [this](caution:lifting).", "Mind Driveline work, and this."),
        ("`[1 m](calc:a.b)`", "`[1 m](calc:a.b)`"),
        ("--- \na", "--- \na"),
        ("", ""),
    ],
)
def test_words_and_figures_stay(text: str, expected: str) -> None:
    assert without_ours(text, lambda link: "filled in") == expected
