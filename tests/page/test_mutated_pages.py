"""What a page shows is what was judged, on pages that nobody would write on purpose.

Each page is proofed, and rendered with the extensions of a site. Where neither the proof nor the comparison
stops it, its HTML is read by the standard library's parser, and the figures in it have to be the ones that
were judged: the same labels, each once, each leading where its own address says and with its own verdict.
"""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from tempfile import TemporaryDirectory

import markdown
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.book import Book, read_page
from buildlog.page.extension import BuildlogExtension
from buildlog.proof.overview import Overview
from buildlog.proof.proof import Report, proof_book
from tests.examples import with_examples
from tests.page.mutated import PageMaker
from tests.page.test_extension import BLOCK
from tests.page.test_identity import SITE, SOURCES, TABS
from tests.samples import open_site

_VOID = frozenset("area base br col embed hr img input link meta source track wbr".split())
_VERDICTS = {"calc": "computed", "cite": "cited", "told": "told"}
_ADDRESSED = re.compile(r"(?:calc|cite|told):", re.IGNORECASE)

Shown = Counter[tuple[str, str, str]]


class FigureReader(HTMLParser):
    """Labels, targets and verdicts of the figures of a page, and all its addresses."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.figures: Shown = Counter()
        self.addresses: list[str] = []
        self.depth = 0
        self.other = 0  # how deep in the same value in other units
        self.label = ""
        self.leads_to = ""
        self.verdict = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        classes = given.get("class", "").split()
        self.addresses += [given[name] for name in ("href", "src") if name in given]
        if tag in _VOID:
            return
        if self.depth:
            self.depth += 1
            if "buildlog-other" in classes or self.other:
                self.other += 1
        elif "buildlog-figure" in classes:
            self.depth, self.label = 1, ""
            self.leads_to = given.get("href", "")
            kinds = ("buildlog-computed", "buildlog-cited", "buildlog-told", "buildlog-wrong")
            self.verdict = next(name for name in kinds if name in classes)[len("buildlog-") :]

    def handle_endtag(self, tag: str) -> None:
        if self.depth and tag not in _VOID:
            self.depth -= 1
            self.other = max(0, self.other - 1)
            if not self.depth:
                self.figures[simple(self.label), self.leads_to, self.verdict] += 1

    def handle_data(self, data: str) -> None:
        if self.depth and not self.other:
            self.label += data


def simple(label: str) -> str:
    """Letters and digits of a label, its signs of minus and range among them."""
    return re.sub(r"[^0-9A-Za-z.-]", "", re.sub("[–—−-]+", "-", unescape(label)))


@cache
def site() -> Book:
    """A book with a page whose block the figures of the others rest on."""
    with TemporaryDirectory() as folder:
        return open_site(
            Path(folder), {"base.md": f"# Base\n\n{BLOCK}", "page.md": "", "sources.yml": SOURCES}
        )


def judged(report: Report) -> Shown:
    """What the page has to show."""
    figures: Shown = Counter()
    for entry in report.entries:
        if entry.judged is None:
            continue
        scheme, _, name = entry.address.partition(":")
        leads_to = f"#source-{name}" if scheme != "calc" else "base.md#calc-" + name.partition("#")[2]
        verdict = _VERDICTS[scheme] if entry.agrees else "wrong"
        figures[simple(entry.label), leads_to, verdict] += 1
    return figures


def render(text: str) -> tuple[Report, BuildlogExtension, str]:
    """A page as it is proofed, and as a site renders it then."""
    book = site().with_page("page", text)
    report = proof_book(book, ("page",))
    own = BuildlogExtension(style=False, findings=False)
    own.book, own.page, own.overview = book, "page", Overview(book, report)
    md = markdown.Markdown(
        extensions=[*SITE, "toc", *TABS, own],
        extension_configs={"pymdownx.tabbed": {"alternate_style": True}, "toc": {"permalink": True}},
    )
    return report, own, md.convert(text)


def is_stopped(report: Report) -> bool:
    """Whether the proof stops the page. What disagrees is shown as such, so it does not count here."""
    codes = {finding.code.name for finding in report.errors}
    return bool(codes - {"figure-disagrees"})


def check(text: str) -> str:
    """“same”, “stopped” by the proof, or “refused” by the comparison, whose findings have their places."""
    try:
        report, own, html = render(text)
    except RuntimeError:
        # Python-Markdown's own footnotes fail so on one in another, which the proof stops.
        assert "footnote-in-footnote" in {
            fault.code.name for fault in read_page("page", "page.md", text).faults
        }
        return "stopped"
    met = [finding for finding in own.unexpected if finding.code.name != "figure-disagrees"]
    if is_stopped(report):
        return "stopped"
    if met:
        assert all(finding.position.line <= text.count("\n") + 1 for finding in met)
        return "refused"
    reader = FigureReader()
    reader.feed(html)
    reader.close()
    assert reader.figures == judged(report)
    assert not any(_ADDRESSED.match(address.strip()) for address in reader.addresses)
    return "same"


@with_examples(60)
@given(st.integers(0, 10**9), st.integers(0, 4))
def test_a_page_shows_what_was_judged_or_is_stopped(seed: int, mutations: int) -> None:
    check(PageMaker(seed).page(mutations))


def test_pages_without_mutations_reach_the_comparison() -> None:
    """So that it is the comparison that passes, and not pages that are all stopped before."""
    seen = Counter(check(PageMaker(seed).page(0)) for seed in range(12))
    assert seen["same"] > seen["stopped"]
    assert not seen["refused"]


def test_the_comparison_can_fail() -> None:
    """A figure that a page lacks, has twice, or has under another label, address or verdict."""
    text = "Set [3 mm](cite:sheet), [4 mm](cite:manual), [5 mm](told:owner).\n"
    report, _, html = render(text)
    for changed in (
        html,
        html.replace("4 mm", "6 mm"),
        html.replace("#source-manual", "#source-sheet"),
        html.replace("buildlog-told", "buildlog-cited"),
        html.replace("</p>", html, 1),
    ):
        reader = FigureReader()
        reader.feed(changed)
        assert (reader.figures == judged(report)) is (changed is html)
