"""A finding keeps its fingerprint while it is the same finding, and no two findings share one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.book import Book
from buildlog.proof.proof import Report, proof_book
from buildlog.report.fingerprints import fingerprints
from buildlog.report.sarif import sarif
from tests.samples import GEARING, write_site

FIGURE = "[153.5 km/h](calc:shorter-final.after.speed_at_limit.3)"
FOURTH = "[153.5 km/h](calc:shorter-final.after.speed_at_limit.4)"
FAULTY = f"""\
# A

Third: {FIGURE}, again {FIGURE}, fourth {FOURTH}, and 39 N·m.

[9](calc:no-such.x) then [9 km](calc:shorter-final.after.speed_at_limit.3), [5 m](cite:none) [7 m](cite:none)

[9 km/h](calc:shorter-final.after.speed_at_limit.3 "plus 2 %") and [9 km/h](calc:bad.speed_at_limit.3)

{GEARING}
```yaml calc
id: bad
kind: gearing
inputs: {{rev_limit: 8200, tyre: 195/50R15, gear: [3.3], final_drive: 90}}
```

```yaml calc
id: bad
kind: gearin
inputs: {{}}
```

```yaml calc
kind: gearing
```
"""
PARAGRAPH = "A paragraph more, with nothing in it that counts.\n\n"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    folder = tmp_path_factory.mktemp("site")
    return Book.open(write_site(folder, {"a.md": FAULTY}), root=folder)


def names(report: Report) -> dict[str, str]:
    found = dict(zip(fingerprints(report), (one.code.name for one in report.findings), strict=True))
    assert len(found) == len(report.findings), "all differ"
    return found


def test_the_page_has_findings_of_many_kinds(book: Book) -> None:
    assert len(set(names(proof_book(book)).values())) >= 9


@given(st.sets(st.integers(0, FAULTY.count("\n\n") - 1)))
def test_they_outlive_paragraphs_put_in_anywhere(book: Book, after: set[int]) -> None:
    parts = FAULTY.split("\n\n")
    text = "\n\n".join(PARAGRAPH + part if at in after else part for at, part in enumerate(parts))
    assert names(proof_book(book.with_page("a", text))) == names(proof_book(book))


def test_they_outlive_a_change_of_what_is_computed(book: Book) -> None:
    before, after = (
        {name for name, code in names(proof_book(one)).items() if code == "figure-disagrees"}
        for one in (book, book.with_page("a", FAULTY.replace("8200 rpm", "7200 rpm")))
    )
    assert before == after
    assert len(before) == 3


def test_one_mended_figure_takes_only_its_own_away(book: Book) -> None:
    """Third and fourth are stated alike; each keeps its name when the other is mended."""
    before = proof_book(book)
    third, fourth = (
        {
            name
            for name, one in zip(fingerprints(before), before.findings, strict=True)
            if one.code.name == "figure-disagrees" and f"speed_at_limit.{gear})" in one.expected
        }
        for gear in (3, 4)
    )
    assert (len(third), len(fourth)) == (2, 1)
    for figure, gone in ((FIGURE, third), (FOURTH, fourth)):
        mended = FAULTY.replace(figure, figure.replace("153.5", "135.5" if gone is third else "172.5"))
        after = names(proof_book(book.with_page("a", mended)))
        assert names(before).keys() - after.keys() == gone
        assert after.keys() <= names(before).keys()


def test_a_level_set_by_the_site_leaves_them_as_they_are(tmp_path: Path) -> None:
    content = write_site(tmp_path, {"a.md": FAULTY})
    first = names(proof_book(Book.open(root=tmp_path)))
    (tmp_path / "mkdocs.yml").write_text(
        f"docs_dir: {content.name}\nplugins:\n  - buildlog:\n      loose: fail\n", "utf-8"
    )
    report = proof_book(Book.open(root=tmp_path))
    assert any(one.code.name == "loose-figure" and one.severity == 0 for one in report.findings)
    assert names(report) == first


def test_hosts_get_them_under_the_name_they_look_for(book: Book) -> None:
    report = proof_book(book)
    results = json.loads(sarif(report))["runs"][0]["results"]
    prints = [one["partialFingerprints"] for one in results]
    named = zip(report.findings, fingerprints(report), strict=True)
    leading = {name for finding, name in named if finding.follows is None}
    assert 1 < len(leading) < len(report.findings)
    assert {one["primaryLocationLineHash"] for one in prints} == leading
    assert {one["buildlogFinding/v1"] for one in prints} == leading
