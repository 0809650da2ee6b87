"""The proof: every figure of a book against what it rests on. Findings and the ledger come from here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from buildlog.book.book import Book, Page
from buildlog.diagnostics import Diagnostic, Severity, declare
from buildlog.proof.causes import trace_causes
from buildlog.proof.cross_checks import crosscheck, purposes_given_twice
from buildlog.proof.deciding import decision_findings
from buildlog.proof.drawings import drawing_findings, pattern_findings
from buildlog.proof.drift import drift
from buildlog.proof.figure_anchors import anchors_of
from buildlog.proof.judging import Entry, judge_link, still_holds
from buildlog.proof.loose_figures import find_loose
from buildlog.proof.own_schemes import faults_of, own_schemes
from buildlog.proof.part_findings import part_findings, stated_findings
from buildlog.proof.portable_names import name_findings
from buildlog.proof.predicting import Claim, Foretold, compared_in_text, predictions_of
from buildlog.proof.sentences import Sentences
from buildlog.proof.sheet_names import sheet_name_findings
from buildlog.reading.markdown.slips import (
    ADDRESS_OUTSIDE_LINK,
    FIGURE_IN_HTML,
    FIGURE_IN_IMAGE,
    NEARLY_A_FIGURE,
    REFERENCE_UNDEFINED,
)

LOOSE_FIGURE = declare(
    "loose-figure",
    "a figure that rests on nothing",
    why="Nobody can tell whether it was measured, looked up, computed or remembered.",
    mend="Link it to a calculation (calc:), a source (cite:) or somebody's word (told:).",
    severity=Severity.NOTE,
    example="The flywheel weighs 4.2 kg.",
)
# Findings on figures that were meant to rest on something.
_SLIPS = frozenset(
    (ADDRESS_OUTSIDE_LINK, NEARLY_A_FIGURE, REFERENCE_UNDEFINED, FIGURE_IN_HTML, FIGURE_IN_IMAGE)
)
_SO_NEAR = 3  # an address begins so many characters after its label: the two brackets and a blank
_LEVELS = {"note": Severity.NOTE, "warn": Severity.WARNING, "fail": Severity.ERROR}


@dataclass(frozen=True, kw_only=True)
class Report:
    """What a proof found. `entries` is the ledger, in order of pages and places.

    `known` are findings that a site has set aside as known; they are not in `findings`. `predictions` are
    what was foretold beside what was found, by blocks and in the text, in the same order.
    """

    book: Book
    pages: tuple[str, ...]
    findings: tuple[Diagnostic, ...]
    entries: tuple[Entry, ...]
    known: tuple[Diagnostic, ...] = ()
    predictions: tuple[Foretold | Claim, ...] = ()

    @property
    def errors(self) -> tuple[Diagnostic, ...]:
        return tuple(finding for finding in self.findings if finding.severity is Severity.ERROR)

    @property
    def warnings(self) -> tuple[Diagnostic, ...]:
        return tuple(finding for finding in self.findings if finding.severity is Severity.WARNING)

    @property
    def blocks(self) -> int:
        return sum(len(self.book.pages[page].blocks) for page in self.pages)

    def count(self, standing: str) -> int:
        return sum(entry.standing == standing for entry in self.entries)

    @property
    def coverage(self) -> float:
        """Figures that rest on something over all figures; 1 where there are none."""
        return 1 - self.count("loose") / len(self.entries) if self.entries else 1.0


def _level(book: Book, page: Page) -> str:
    """How bad a loose figure is on a page: the page's own word, or the site's. They are looked for on pages
    that have something of ours, a word on them in the front matter among it; others' are their own affair."""
    if not page.is_ours:
        return "off"
    return page.howto.loose or book.settings.levels.get(LOOSE_FIGURE.name) or book.settings.loose


def judge_page(book: Book, page: Page) -> list[Entry]:
    """Every figure of one page, judged; loose ones too."""
    standings = {"calc": "computed", "cite": "cited", "told": "told"}
    entries = []
    sentences = Sentences(page.read)
    anchors = anchors_of(page)
    for link in page.read.links:
        judged = judge_link(book, page.key, link, sentences)
        standing = standings[link.scheme]
        entries.append(
            Entry(
                page=page.key,
                position=link.label_position,
                label=link.label,
                standing=standing,
                address=link.address,
                judged=judged,
                anchor=anchors.get(link.start, ""),
            )
        )
    if _level(book, page) != "off":
        entries += [
            Entry(
                page=page.key,
                position=page.place(loose.position),
                label=loose.text,
                standing="loose",
                address="",
                unit=loose.unit,
            )
            for loose in find_loose(page.read, book.settings.nominal_nouns)
        ]
    return sorted(entries, key=lambda entry: entry.position)


def _loose(entry: Entry, severity: Severity) -> Diagnostic:
    found = f"“{entry.label}”"
    if entry.unit:
        found += f", in {entry.unit} by its heading"
    return LOOSE_FIGURE.at(
        entry.position,
        found=found,
        expected="a figure that rests on something",
        length=len(entry.label),
        severity=severity,
    )


def _is_told_already(entry: Entry, faults: Iterable[Diagnostic]) -> bool:
    """Whether a slip of Markdown is the cause that a figure is loose: ``[9 N·m] (cite:doc)``."""
    first = entry.position.column - 1
    last = entry.position.column + len(entry.label) + _SO_NEAR
    return any(
        fault.code in _SLIPS
        and fault.position.line == entry.position.line
        and (first <= fault.position.column <= last or f"[{entry.label}]" in fault.found)
        for fault in faults
    )


class _Earlier:
    """What an earlier proof found of each page, for pages where nothing has changed since."""

    def __init__(self, report: Report | None, book: Book) -> None:
        self.book = book
        self.pages: dict[str, Page] = {}
        self.entries: dict[str, list[Entry]] = {}
        if report is not None:
            self.pages = report.book.pages
        if report is not None and report.book.settings == book.settings:
            self.entries = {page: [] for page in report.pages}
            for entry in report.entries:
                self.entries[entry.page].append(entry)

    def of(self, page: Page) -> list[Entry] | None:
        """The entries of a page, where its text and all that its figures rest on are what they were."""
        entries = self.entries.get(page.key)
        if entries is None or self.pages.get(page.key) is not page:
            return None
        if all(entry.judged is None or still_holds(self.book, entry.judged) for entry in entries):
            return entries
        return None


def proof_book(book: Book, pages: Iterable[str] | None = None, *, earlier: Report | None = None) -> Report:
    """Proof a book, or some of its pages. All of it is computed either way; what only shows over the whole
    site is looked for only when all pages are proofed. With an `earlier` report on the book that this one
    was made from, figures that rest on nothing new are not judged again."""
    book.use_units()
    chosen = tuple(book.published if pages is None else pages)
    before = _Earlier(earlier, book)
    findings: list[Diagnostic] = list(book.faults)
    entries: list[Entry] = []
    foretold: list[Foretold] = []
    own = own_schemes(book)
    for key in chosen:
        page = book.pages[key]
        faults = faults_of(page, own)
        findings.extend(faults)
        for block in page.blocks:
            findings.extend(book.by_place[block.position].faults)
            findings.extend(decision_findings(block, book.by_place[block.position]))
            findings.extend(pattern_findings(book.by_place[block.position]))
            findings.extend(stated_findings(book, block, book.by_place[block.position]))
            held, wrong = predictions_of(book, block)
            foretold.extend(held)
            findings.extend(wrong)
        for entry in before.of(page) or judge_page(book, page):
            entries.append(entry)
            if entry.judged is not None:
                findings.extend(entry.judged.diagnostics)
            elif entry.standing == "loose" and not _is_told_already(entry, faults):
                findings.append(_loose(entry, _LEVELS[_level(book, page)]))
    findings.extend(name_findings(book, chosen))
    findings.extend(sheet_name_findings(book, chosen))
    findings.extend(drift(book, entries))
    findings.extend(purposes_given_twice(entries))
    if pages is None:
        findings.extend(crosscheck(book, entries))
        findings.extend(drawing_findings(book))
        findings.extend(part_findings(book))
    kept = sorted(dict.fromkeys(levelled(findings, book)), key=lambda finding: finding.sort_key)
    return Report(
        book=book,
        pages=chosen,
        findings=tuple(trace_causes(book, entries, kept)),
        entries=tuple(entries),
        predictions=_in_order(chosen, [*foretold, *compared_in_text(book, entries, foretold)]),
    )


def _in_order(pages: Sequence[str], predictions: Sequence[Foretold | Claim]) -> tuple[Foretold | Claim, ...]:
    """Predictions in the order of pages and places."""
    number = {page: place for place, page in enumerate(pages)}
    return tuple(sorted(predictions, key=lambda one: (number[one.page], one.position)))


def levelled(findings: Iterable[Diagnostic], book: Book) -> list[Diagnostic]:
    """Findings with the site's own levels; those set to off are left out."""
    kept = []
    for finding in findings:
        level = book.settings.levels.get(finding.code.name)
        if level is None or finding.code == LOOSE_FIGURE:  # a page has its own say on those
            kept.append(finding)
        elif level != "off":
            kept.append(finding.with_severity(_LEVELS[level]))
    return kept
