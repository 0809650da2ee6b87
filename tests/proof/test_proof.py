"""A report as a whole: how bad a loose figure is and who says so, what is counted, what is told once, and
that figures which rest on nothing new are not judged again.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buildlog.book.book import Book, Page
from buildlog.diagnostics import Severity
from buildlog.proof import proof
from buildlog.proof.judging import Entry
from buildlog.proof.proof import Report, proof_book
from tests.samples import GEARING, open_site, write_site

THIRD = "calc:shorter-final.after.speed_at_limit.3"
SOURCES = "manual: {title: A manual}\nowner: {who: the owner, when: May}\n"
PAGE = (
    f"It weighs 700 kg and does [135.5 km/h]({THIRD}), [1 m](cite:manual), [2 m](cite:manual) and\n"
    f"[3 m](told:owner).\n\n{GEARING}"
)


def opened(folder: Path, levels: str = "", **pages: str) -> Book:
    """A site whose settings are those of the plugin in its mkdocs.yml."""
    files: dict[str, str | bytes] = {f"{name}.md": text for name, text in pages.items()}
    write_site(folder, {**files, "sources.yml": SOURCES})
    (folder / "mkdocs.yml").write_text(
        f"site_name: A\ndocs_dir: content\nplugins:\n  - buildlog: {{{levels}}}\n", "utf-8"
    )
    return Book.open(root=folder)


def loose(report: Report) -> list[tuple[str, Severity]]:
    return [(one.found, one.severity) for one in report.findings if one.code.name == "loose-figure"]


FOUND = "“700 kg”"


@pytest.mark.parametrize(
    ("levels", "front", "told"),
    [
        ("loose: warn", "", [(FOUND, Severity.WARNING)]),
        ("loose: fail", "", [(FOUND, Severity.ERROR)]),
        ("loose: off", "", []),
        # the page has its own say
        ("loose: warn", "fail", [(FOUND, Severity.ERROR)]),
        ("loose: fail", "warn", [(FOUND, Severity.WARNING)]),
        ("loose: fail", "off", []),
        ("loose: off", "warn", [(FOUND, Severity.WARNING)]),
        # and the levels of findings go before the general word
        ("loose: warn, findings: {loose-figure: fail}", "", [(FOUND, Severity.ERROR)]),
        ("loose: fail, findings: {loose-figure: off}", "", []),
        ("loose: fail, findings: {loose-figure: off}", "warn", [(FOUND, Severity.WARNING)]),
    ],
)
def test_who_says_how_bad_a_loose_figure_is(
    tmp_path: Path, levels: str, front: str, told: list[tuple[str, Severity]]
) -> None:
    head = f"---\nbuildlog: {{loose: {front}}}\n---\n\n" if front else ""
    report = proof_book(opened(tmp_path, levels, a=head + PAGE, other="It weighs 5 kg.\n"))
    assert loose(report) == told  # a page that has nothing of ours is its author's own affair
    assert report.count("loose") == len(told)


def test_what_is_counted(tmp_path: Path) -> None:
    report = proof_book(opened(tmp_path, "loose: warn", a=PAGE, b=GEARING.replace("shorter-final", "b")))
    counts = {standing: report.count(standing) for standing in ("computed", "cited", "told", "loose")}
    assert counts == {"computed": 1, "cited": 2, "told": 1, "loose": 1}
    assert report.coverage == pytest.approx(4 / 5)
    assert report.blocks == 2
    assert report.pages == ("a", "b")
    assert [entry.label for entry in report.entries] == ["700 kg", "135.5 km/h", "1 m", "2 m", "3 m"]
    assert [entry.address for entry in report.entries][:2] == ["", THIRD]
    assert [bool(entry.anchor) for entry in report.entries] == [False, True, True, True, True]
    assert [entry.page for entry in report.entries] == ["a"] * 5
    one = proof_book(report.book, ["b"])
    assert (one.blocks, one.pages, one.entries, one.coverage) == (1, ("b",), (), 1.0)


def test_errors_and_warnings_are_told_apart(tmp_path: Path) -> None:
    page = PAGE.replace("135.5", "153.5")
    report = proof_book(opened(tmp_path, "loose: warn", a=page))
    assert [one.code.name for one in report.errors] == ["figure-disagrees"]
    assert "loose-figure" in [one.code.name for one in report.warnings]
    assert not {one.severity for one in report.warnings} - {Severity.WARNING}


@pytest.mark.parametrize(
    ("level", "severities"),
    [
        ("fail", [Severity.ERROR]),
        ("warn", [Severity.WARNING]),
        ("off", []),
    ],
)
def test_the_sites_own_levels_of_findings(tmp_path: Path, level: str, severities: list[Severity]) -> None:
    page = f"third ends at [94.9 km/h]({THIRD.removesuffix('3')}2)\n\n{GEARING}"
    report = proof_book(opened(tmp_path, f"findings: {{other-gear: {level}}}", a=page))
    assert [one.severity for one in report.findings if one.code.name == "other-gear"] == severities


def test_a_slip_that_makes_a_figure_loose_is_told_once(tmp_path: Path) -> None:
    """A blank between the brackets: the slip is told, and not that its label rests on nothing. Another figure
    of that line is told all the same."""
    page = f"It is [9 kg] (cite:manual), and it weighs far more than that: 700 kg.\n\n{PAGE.split('.', 1)[1]}"
    report = proof_book(opened(tmp_path, "loose: warn", a=page))
    assert loose(report) == [(FOUND, Severity.WARNING)]
    slips = [one for one in report.findings if one.position.line == 1 and one.code.name != "loose-figure"]
    assert len(slips) == 1


def test_the_unit_of_a_heading_is_told(tmp_path: Path) -> None:
    page = f"| part | mass [kg] |\n|---|---|\n| duct | 0.84 |\n\n{GEARING}"
    report = proof_book(opened(tmp_path, "loose: warn", a=page))
    assert loose(report) == [("“0.84”, in kg by its heading", Severity.WARNING)]


def test_figures_that_rest_on_nothing_new_are_not_judged_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = open_site(
        tmp_path,
        {
            "a.md": f"[135.5 km/h]({THIRD})\n\n{GEARING}",
            "b.md": f"[135.5 km/h]({THIRD.replace('calc:', 'calc:a#')}) and [1 m](cite:manual)\n",
            "c.md": "[3 m](told:owner)\n",
            "sources.yml": SOURCES,
        },
    )
    before = proof_book(first)
    judged: list[str] = []
    judge = proof.judge_page

    def noting(book: Book, page: Page) -> list[Entry]:
        judged.append(page.key)
        return judge(book, page)

    monkeypatch.setattr(proof, "judge_page", noting)

    def again(**changed: str) -> list[str]:
        content = write_site(tmp_path, {name.replace("_", "."): text for name, text in changed.items()})
        judged.clear()
        book = Book.open(content, root=tmp_path, earlier=first)
        after = proof_book(book, earlier=before)
        noted = list(judged)
        afresh = proof_book(Book.open(content, root=tmp_path))
        assert after.findings == afresh.findings
        assert [replace(one, judged=None) for one in after.entries] == [
            replace(one, judged=None) for one in afresh.entries
        ]
        return noted

    assert again() == []
    assert again(c_md="[4 m](told:owner)\n") == ["c"]
    text = f"[135.5 km/h]({THIRD})\n\n{GEARING.replace('41/9', '4.5')}"
    assert again(c_md="[3 m](told:owner)\n", a_md=text) == ["a", "b"]
    assert again(a_md=f"[135.5 km/h]({THIRD})\n\n{GEARING}") == []
    assert again(sources_yml=SOURCES.replace("A manual", "The manual")) == ["b"]
