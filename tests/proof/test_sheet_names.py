"""Pages and files that are called as the workshop sheet of another page."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.proof.proof import proof_book
from tests.samples import GEARING, open_site

JOB = "---\nbuildlog:\n  time: 3 h\n---\n\n"


@pytest.mark.parametrize(
    ("files", "told"),
    [
        ({"a/x.md": JOB + GEARING, "a/x-sheet.md": "# Mine"}, ["content/a/x-sheet.md"]),
        ({"a/x.md": JOB + GEARING, "a/x-sheet.html": "<p>Mine</p>"}, ["content/a/x-sheet.html"]),
        ({"a/x.md": GEARING, "a/x-sheet.md": "# x has no sheet"}, []),
        ({"a/x.md": JOB + GEARING, "x-sheet.md": "# In another folder"}, []),
    ],
)
def test_what_takes_the_place_of_a_sheet_is_told(
    tmp_path: Path, files: dict[str, str | bytes], told: list[str]
) -> None:
    findings = proof_book(open_site(tmp_path, files)).findings
    named = [one for one in findings if one.code.name == "sheet-name-taken"]
    assert [one.position.path for one in named] == told
    for one in named:
        assert one.second is not None
        assert (one.severity.word, one.second.path) == ("warning", "content/a/x.md")
