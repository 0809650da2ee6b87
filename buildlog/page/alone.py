"""What the extension does for itself where no plugin of the generator tells it: finds the site, proofs it
once, puts style sheet and scripts into the pages, and knows which files will stand beside them.

A generator of this sort makes a new extension for every page; the site is read again only when a file of it
has changed.
"""

from __future__ import annotations

import posixpath
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Lock
from xml.etree.ElementTree import Element

from markdown import Markdown

from buildlog.book.book import Book
from buildlog.book.book import Page as BookPage
from buildlog.built.files import OWN_NUMBERS_SCRIPT, described_blocks, linked_files
from buildlog.diagnostics import Diagnostic
from buildlog.files.page_names import ending_of, without_ending
from buildlog.kept.store import Store
from buildlog.proof.overview import Overview
from buildlog.proof.proof import proof_book
from buildlog.reading.configuration import NAMES
from buildlog.reading.markers import read_markers
from buildlog.reading.own_units import NAME as OWN_UNITS
from buildlog.reading.settings import Settings, read_settings
from buildlog.reading.toml_configuration import NAME as TOML
from buildlog.reading.words import Words
from buildlog.render import Rendered, ledger_script, page_scripts, stylesheet
from buildlog.render.own_numbers import OwnNumbers
from buildlog.render.pieces import words_script
from buildlog.report.one_line import findings_lines

_SORTED = frozenset(("ledger", "coverage"))
_CONFIGURATIONS = (*NAMES, TOML)
_READ = (".yml", ".yaml", ".csv")


class SiteRefused(Exception):
    """The proof has found errors, and the site is not to be built with any."""


@dataclass
class Site:
    """A site as it was read and proofed. `linked` and `offered` are worked out of each page once."""

    overview: Overview
    by_path: dict[str, list[Diagnostic]]
    linked: dict[str, frozenset[str]] = field(default_factory=dict)
    offered: dict[str, dict[tuple[str, str], OwnNumbers]] = field(default_factory=dict)

    @classmethod
    def of(cls, book: Book) -> Site:
        report = proof_book(book)
        by_path: dict[str, list[Diagnostic]] = {}
        for finding in report.findings:
            by_path.setdefault(finding.position.path, []).append(finding)
        return cls(Overview(book, report), by_path)

    def files_of(self, key: str) -> frozenset[str]:
        """The files that a page may lead to, where they are written once the site is built."""
        book = self.overview.book
        if key not in self.linked and key in book.pages:
            self.linked[key] = linked_files(book, key, self._will_be_there)
        return self.linked.get(key, frozenset())

    def _will_be_there(self, name: str) -> bool:
        """Whether a file under content is published: generators leave out nothing but what is hidden."""
        if ending_of(name):
            return without_ending(name) in self.overview.book.published
        return (self.overview.book.content / name).is_file() and not name.startswith(".")

    def own_numbers_of(self, key: str) -> dict[tuple[str, str], OwnNumbers]:
        """Which cards of a page take a reader's own numbers."""
        book = self.overview.book
        if key not in self.offered and key in book.pages:
            self.offered[key] = {(one.page, one.id): one.offer for one in described_blocks(book, key)}
        return self.offered.get(key, {})

    def refuse_errors(self) -> None:
        """Stop whoever builds the site where the proof has found errors, with where and what they are."""
        errors = self.overview.report.errors
        if errors:
            lines = findings_lines(replace(self.overview.report, findings=errors)).rstrip()
            raise SiteRefused(f"buildlog proof has found what does not hold; no page was made:\n{lines}")


class Shelf:
    """The site of a content folder, read again only when a file of it has changed."""

    def __init__(self) -> None:
        self._kept: tuple[Path, Path, object, Site] | None = None
        self._lock = Lock()

    def site(self, content: Path, root: Path) -> Site:
        """The site. `root` is the folder with its settings."""
        with self._lock:
            signature = tuple(_states(content, root))
            if self._kept is None or self._kept[:3] != (content, root, signature):
                self._kept = content, root, signature, Site.of(_open(content, root))
            return self._kept[3]


def _states(content: Path, root: Path) -> Iterator[tuple[str, int, int]]:
    paths = [
        path
        for path in content.rglob("*")
        if path.suffix in _READ or ending_of(path.name) or path == content / OWN_UNITS
    ]
    for path in sorted([*paths, *(root / name for name in _CONFIGURATIONS)]):
        if path.is_file():
            status = path.stat()
            yield path.as_posix(), status.st_mtime_ns, status.st_size


def _open(content: Path, root: Path) -> Book:
    """The book of a content folder, by the settings beside it if these are about it."""
    settings = read_settings(root)
    if settings.content.resolve() != content.resolve():
        settings = (
            replace(settings, content=content.resolve()) if settings.faults else Settings(content=content)
        )
    return Book.open(
        content,
        root=root,
        settings=replace(settings, content=content.resolve()),
        store=Store(root) if settings.cache else None,
    )


@dataclass(frozen=True, kw_only=True)
class Told:
    """What a generator says of the page that it renders, in a step of its own that Markdown runs."""

    path: str = ""
    address: str = ""
    root: Path | None = None
    content: Path | None = None


def told_by_generator(md: Markdown) -> Told:
    """What Zensical says; nothing where it is another generator."""
    if "rendering_context" not in md.preprocessors:
        return Told()
    context = md.preprocessors["rendering_context"]
    page, config = getattr(context, "page", None), getattr(context, "config", None)
    path, url = (str(getattr(page, name, "") or "") for name in ("path", "url"))
    if not isinstance(config, dict) or not config.get("root_dir") or not config.get("docs_dir"):
        return Told(path=path, address=url)
    root = Path(str(config["root_dir"]))
    site = str(config.get("site_url") or "")
    address = f"{site.rstrip('/')}/{url}" if site else url
    return Told(path=path, address=address, root=root, content=root / str(config["docs_dir"]))


def head_of(page: BookPage, words: Words, units: str) -> Rendered:
    """The style sheet and the scripts that stand in a page itself. The reader's units are known before a
    figure is drawn; the others look for what they are about when the page is there."""
    first, *others = page_scripts().values()
    if not words.is_english:
        others.insert(0, words_script(words))
    if not _SORTED.isdisjoint(marker.name for marker in read_markers(page.scanned)):
        others.append(ledger_script())
    said = "" if units == "written" else f' data-units="{units}"'
    later = "".join(f"<script>\n{script}</script>" for script in others)
    return Rendered((f"<style>\n{stylesheet()}</style><script{said}>\n{first}</script>{later}",))


def own_numbers_loader(key: str) -> Element:
    """What loads the script that takes a reader's numbers: a file, since it finds others beside itself."""
    address = posixpath.relpath(OWN_NUMBERS_SCRIPT, posixpath.dirname(key) or ".")
    return Element("script", {"src": address, "defer": "defer"})
