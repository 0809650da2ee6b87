"""How long things take, as ratios of times of one run. Run by `make bench`; nothing here can fail a test.

A time says little on another machine; a ratio of two times that were taken in turns says much. Of several
ratios the median is printed, with the least and the greatest.
"""

from __future__ import annotations

import gc
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import markdown

from buildlog.book.book import Book
from buildlog.proof.loose_figures import loose_spans
from buildlog.proof.proof import proof_book
from buildlog.reading.markdown.scanner import scan
from tests.bench import pages, without_figures
from tests.bench.serving import BUILT, CHANGED_INPUT, SAVED, Process
from tests.bench.site_of_copies import EPISODES, write_site
from tests.proof.labelled import sentences

SAVES = 7
INPUTS = 3
EXTENSIONS = ["tables", "admonition", "attr_list", "def_list", "footnotes", "pymdownx.superfences"]


def main() -> None:
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        _proof_and_scanner(folder / "read")
        _loose_finder()
        _served(folder)
    without_figures.main()
    pages.main()


def timed(work: Callable[[], object]) -> float:
    gc.collect()
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _told(what: str, ours: Sequence[float], theirs: Sequence[float]) -> None:
    """A line with the median of the ratios."""
    ratios = sorted(first / second for first, second in zip(ours, theirs, strict=True))
    print(
        f"  {what}: {statistics.median(ours):.2f} s over {statistics.median(theirs):.2f} s, "
        f"ratio {statistics.median(ratios):.2f} ({ratios[0]:.2f} to {ratios[-1]:.2f})",
        flush=True,
    )


def _served(folder: Path) -> None:
    print(
        f"\nmkdocs serve, {EPISODES} episodes and the lists of the whole site, with buildlog over bare.\n"
        "  The bare site has the same text, theme, extensions, search and style sheet without the plugin:\n"
        "  its blocks are code coloured as YAML, its figures ordinary links. Each site has a process of its\n"
        "  own and does what mkdocs serve does at a save; the two take turns.",
        flush=True,
    )
    ours, bare = Process(folder / "ours", plugin=True), Process(folder / "bare", plugin=False)
    for what, name, times in (
        ("first build", BUILT, 1),
        ("one saved change of prose", SAVED, SAVES),
        ("one changed input that blocks of other pages rest on", CHANGED_INPUT, INPUTS),
    ):
        pairs = [(ours.seconds(name, number), bare.seconds(name, number)) for number in range(times)]
        for which, unit in enumerate(("by the clock", "of the processor")):
            _told(f"{what}, {unit}", [one[which] for one, _ in pairs], [one[which] for _, one in pairs])
    ours.end()
    bare.end()


def _proof_and_scanner(folder: Path) -> None:
    write_site(folder, plugin=True)
    read = timed(lambda: Book.open(root=folder))
    book = Book.open(root=folder)
    judged = timed(lambda: proof_book(book))
    report = proof_book(book)
    print(
        f"Proof of {len(book.pages)} pages, {report.blocks} blocks, {len(report.entries)} figures: "
        f"{read + judged:.2f} s ({read:.2f} s to read and compute, {judged:.2f} s to judge)"
    )
    page = folder / "content" / "set-00" / "clutch.md"
    page.write_text(page.read_text("utf-8") + "\nOne line more.\n", "utf-8")
    again = [
        timed(lambda: proof_book(Book.open(root=folder, earlier=book), earlier=report)) for _ in range(3)
    ]
    _told("after one saved change of prose, over afresh", again, [read + judged] * 3)
    texts = [path.read_text("utf-8") for path in sorted((folder / "content").rglob("*.md"))]
    print(f"\nReading {len(texts)} pages")
    scanned, converted = [], []
    for _ in range(3):
        scanned.append(timed(lambda: [scan(text, "-") for text in texts]))
        converted.append(timed(lambda: [markdown.markdown(text, extensions=EXTENSIONS) for text in texts]))
    _told("our scanner over Python-Markdown", scanned, converted)


def _loose_finder() -> None:
    from quantulum3 import parser as quantulum  # not in the sites' processes

    texts = [case.text for case in sentences("sentences.tsv")][:150]
    print(f"\nFinding figures in {len(texts)} sentences of the trade")
    for finder in (loose_spans, quantulum.parse):
        finder(texts[0])  # so that neither reads its lists in the time that is taken
    found, theirs = [], []
    for _ in range(3):
        found.append(timed(lambda: [loose_spans(text) for text in texts]))
        theirs.append(timed(lambda: [quantulum.parse(text) for text in texts]))
    _told("our finder over quantulum3", found, theirs)


if __name__ == "__main__":
    main()
