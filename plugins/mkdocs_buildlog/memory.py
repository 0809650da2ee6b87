"""What the plugin holds from one build to the next while a site is served, and when it lets go of it."""

from __future__ import annotations

from pathlib import Path

from mkdocs.structure.files import Files

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic
from buildlog.kept.store import Store
from buildlog.page.insertion import DeferredHtml
from buildlog.proof.overview import Overview
from buildlog.proof.proof import Report, proof_book
from buildlog.reading.settings import Settings
from buildlog.render.identity_cache import OF_THE_SITE, IdentityCache
from buildlog.render.kept_made import KeptMade
from buildlog.report.baseline import of_site
from buildlog.report.secret import told_of_secret
from mkdocs_buildlog.messages import Told, log
from mkdocs_buildlog.progress import BuildProgress
from mkdocs_buildlog.published import file_of
from mkdocs_buildlog.rendered import RenderedPages


class BuildMemory:
    """All that outlives an event of MkDocs. A build without serving begins with an empty one.

    ============ ======================================= ===============================================
    what         made of                                 forgotten when
    ============ ======================================= ===============================================
    book         the files under the content folder      at the next build, which takes over each page
                                                         and result of it that rests on nothing new
    report       the book                                likewise, for the judgements on figures
    overview     the book, and the report as the site    at the next build
                 is held to it: without known findings
    known        the findings that the site's list of    at the next build
                 known ones names
    told         the findings that the log has told      at the next build, which tells only what is new
    cache        for each made thing, the objects that   one of those is another object; its page is gone
                 it was made of: cards, notes, lists,
                 sheets, files to take away
    files        the files of the site, as MkDocs has    at the next build
                 them
    deferred     cards and notes, for the pages to have  the page is rendered again, or is gone
                 once they are rendered
    rendered     in the cache, pages as MkDocs rendered  the page, what it rests on or the site's settings
                 them                                    are others; never kept where it may rest on more
    progress     what a build has done so far            the build ends
    why_not_kept what the log has told of why nothing    at the next build, which tells only what is new
                 is kept on disk
    ============ ======================================= ===============================================

    The book, the report and the cache are why a save is answered at once: identity tells what is still the
    same (see `IdentityCache`), so nothing has to be compared.
    """

    def __init__(self) -> None:
        self.book: Book | None = None
        self.report: Report | None = None
        self.overview: Overview | None = None
        self.known: frozenset[tuple[str, ...]] = frozenset()
        self.told: frozenset[Told] = frozenset()
        self.files = Files([])
        self.cache = IdentityCache()
        self.deferred = DeferredHtml()
        self.rendered = RenderedPages(self.cache, self.deferred)
        self.progress = BuildProgress()
        self.why_not_kept = ""

    def read_site(self, root: Path, settings: Settings) -> Overview:
        """Compute the book and proof it: only what rests on a change since the last time."""
        store = Store(root) if settings.cache else None
        why = told_of_secret(store)
        if why and why != self.why_not_kept:
            log.info(why)
        self.why_not_kept = why
        self.book = Book.open(
            root=root, settings=settings, earlier=self.book, progress=self.progress, store=store
        )
        self.cache.kept = None if store is None else KeptMade(store, self.book)
        self.report = proof_book(self.book, earlier=self.report)
        report = of_site(self.report)
        self.known = frozenset(map(describe_without_place, report.known))
        self.overview = Overview(self.book, report)
        return self.overview

    def is_known(self, finding: Diagnostic) -> bool:
        """Whether the site's list of known findings names it."""
        return describe_without_place(finding) in self.known

    def take_in(self, files: Files) -> None:
        """Keep the files of this build; let go of the HTML put by for pages that are no longer among them."""
        self.files = files
        for key in self.deferred.pages:
            if file_of(files, key) is None:
                self.deferred.begin(key)

    def end_build(self) -> None:
        """Let go of what belongs to no page any more."""
        self.progress.end()
        if self.book is not None and self.book.store is not None:
            self.book.store.end()
        self.cache.sweep({*(self.book.pages if self.book is not None else ()), OF_THE_SITE})


def describe_without_place(finding: Diagnostic) -> tuple[str, ...]:
    """A finding but for its place, which rendering does not know exactly."""
    return finding.position.path, finding.code.name, finding.found, finding.expected
