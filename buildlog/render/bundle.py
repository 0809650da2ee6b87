"""The bundle of a page: a zip file with all that its figures rest on, which proofs by itself.

In it are the page as it was proofed, the blocks of other pages that it rests on, its cars, parts, data and
sources, settings, the versions, and what to do. Nothing comes from outside the content folder, and nothing
that the site does not publish: then there is no bundle.
"""

from __future__ import annotations

import json
import os
import platform
import posixpath
import re
import shlex
from collections.abc import Callable, Collection
from pathlib import Path

from buildlog.book.book import Book, Page
from buildlog.book.repeating import computed_blocks, grounds_of, hash_lines
from buildlog.diagnostics import Refused, shorten
from buildlog.files.text import digest_of, with_unix_line_ends
from buildlog.kept.store import key_for
from buildlog.proof.cross_checks import UNUSED_BLOCK, UNUSED_CAR_VALUE, UNUSED_SOURCE
from buildlog.reading.data import data_path
from buildlog.reading.known import NAME as KNOWN
from buildlog.reading.known import known_text, read_known
from buildlog.reading.nodes import YamlMapping, read_yaml, whole_file
from buildlog.reading.own_units import NAME as OWN_UNITS
from buildlog.reading.record import NAME as RECORD
from buildlog.render.archive import archive, can_be_packed
from buildlog.render.program import Program
from buildlog.version import __version__

FOLDER = "assets/buildlog"
"""Where the files of pages are published, under content."""
_CONTENT = "content"
_OF_OTHERS = frozenset(
    "cars drawing replaces superseded_by page copying licence licence_text history".split()
)
_SOURCES = "sources.yml"
_MARKER = re.compile("`{3,}|~{3,}")
_PLAIN = re.compile("[A-Za-z0-9_./][A-Za-z0-9_./-]*")
_CUT = (
    "<!-- Cut down to the blocks that another page rests on. Each stands at the line at which it stood. -->"
)


def bundle_path(key: str) -> str:
    """Where the bundle of a page is published, under content."""
    return f"{FOLDER}/{key}.zip"


def program_path(program: Program) -> str:
    """Where the program is published, under content."""
    return f"{FOLDER}/{program.file}"


def shared_by_bundles(book: Book) -> tuple[object, ...]:
    """What goes into all bundles besides what their pages rest on."""
    settings = book.settings
    files = book.content / _SOURCES, book.content / OWN_UNITS, book.content / RECORD, book.root / KNOWN
    return (
        settings.loose,
        settings.nominal_nouns,
        sorted(settings.levels.items()),
        *(_digest(book, path) for path in files),
    )


def packed_as_they_are(book: Book, key: str) -> tuple[str, ...]:
    """What goes into a page's bundle of other files, whose results may be the same though a comment is not:
    their digests."""
    grounds = grounds_of(book, key)
    files = [f"cars/{car}.yml" for car in sorted(grounds.cars & book.cars.keys())] + sorted(grounds.data)
    files += [f"parts/{part}.yml" for part in sorted(grounds.parts)]
    pages = [cut_down(book.pages[other], blocks) for other, blocks in sorted(grounds.blocks.items())]
    return (*map(key_for, pages), *(f"{name} {_digest(book, book.content / name)}" for name in files))


def _digest(book: Book, path: Path) -> str:
    """Of a file of the site; "" for what is none, or lies elsewhere, and so goes into no bundle."""
    try:
        there = path.resolve()
        inside = any(map(there.is_relative_to, (book.root, book.content.resolve())))
        return digest_of(there) if inside and there.is_file() else ""
    except (OSError, ValueError):  # a name with a zero byte is none
        return ""


def page_bundle(book: Book, key: str, program: Program, publishes: Callable[[str], bool]) -> bytes | None:
    """The bundle of a page, or None where it computes nothing. `publishes` says whether the site publishes a
    file under content. Raises `Refused` where the page rests on what cannot go in."""
    if not computed_blocks(book, key):
        return None
    packing = _Packing(book, publishes)
    page = book.pages[key]
    packing.add(page.file, page.text.encode("utf-8", "surrogatepass"))
    grounds = grounds_of(book, key)
    for other, blocks in grounds.blocks.items():
        packing.add(book.pages[other].file, cut_down(book.pages[other], blocks).encode())
    for car in grounds.cars & book.cars.keys():
        packing.add_file(f"cars/{car}.yml")
    for part in grounds.parts:
        packing.add_part(f"parts/{part}.yml")
    for name in grounds.data:
        packing.add_file(name)
    if book.sources:
        packing.add_file(_SOURCES)
    if book.settings.own_units.units:
        packing.add_file(OWN_UNITS)
    if (book.content / RECORD).is_file() and publishes(RECORD):
        packing.add_file(RECORD)
    files = {f"{_CONTENT}/{name}": content for name, content in packing.files.items()}
    files["mkdocs.yml"] = _settings(book, page).encode()
    if known := _known(book, page):
        files[KNOWN] = known.encode()
    files["requirements.txt"] = program.requirements.encode()
    files["README.md"] = _readme(book, page, program, sorted(files), grounds.blocks.keys()).encode(
        "utf-8", "backslashreplace"
    )
    return archive(files)


def bundle_commands(page: Page, program: Program) -> list[str]:
    """What to type in the folder of a bundle on Linux, line by line."""
    path = shlex.quote(f"{_CONTENT}/{page.file}")
    return ["python3 -m venv tools", *_commands("tools/bin/", "pip", path, program)]


def powershell_commands(page: Page, program: Program) -> list[str]:
    """The same on Windows, in PowerShell: with the launcher that Python comes with there."""
    path = powershell_quote(f"{_CONTENT}/{page.file}")
    return ["py -m venv tools", *_commands("tools\\Scripts\\", "python -m pip", path, program)]


def _commands(programs: str, pip: str, path: str, program: Program) -> list[str]:
    """What follows when there is an environment: `programs` is where they are, `pip` what installs."""
    hashes = "--require-hashes " if program.hashed else ""
    return [
        f"{programs}{pip} install --no-deps {hashes}-r requirements.txt",
        f"{programs}buildlog proof {path}",
        f"{programs}buildlog ledger --hashes {path}",
    ]


def powershell_quote(text: str) -> str:
    """An argument as PowerShell takes it to the letter. It has more quotation marks than others."""
    if _PLAIN.fullmatch(text):
        return text
    return "'" + re.sub("['‘’‚‛]", r"\g<0>\g<0>", text) + "'"


class _Packing:
    """Collects the files under content, each checked; texts with LF, whatever the checkout has."""

    def __init__(self, book: Book, publishes: Callable[[str], bool]) -> None:
        self.book = book
        self.publishes = publishes
        self.files: dict[str, bytes] = {}

    def add(self, name: str, content: bytes) -> None:
        if not can_be_packed(name):
            raise Refused("", f"“{shorten(name)}”", "a name that can stand in a zip file")
        if not self.publishes(name):
            raise Refused("", f"“{shorten(name)}”", "a file that the site publishes")
        self.files[name] = with_unix_line_ends(content)

    def add_part(self, name: str) -> None:
        """The file of a part, as far as figures rest on it."""
        self.add_file(name)
        self.files[name] = cut_down_part(self.files[name].decode("utf-8", "surrogatepass")).encode()

    def add_file(self, written: str) -> None:
        """A file as it lies in the content folder, by the name that its author wrote."""
        there = data_path(self.book.content, written)  # inside of the folder, links followed, or refused
        name = posixpath.normpath(written)
        if Path(os.path.realpath(self.book.content / name)) != there:
            raise Refused("", f"“{shorten(written)}”", "a path without links and dots")
        try:
            self.add(name, there.read_bytes())
        except OSError as error:
            raise Refused("", f"“{shorten(written)}”", "a file that can be read") from error


def cut_down_part(text: str) -> str:
    """A part's file without what it says of other parts, pages and files, which no figure rests on; what is
    left stands at its lines."""
    root, _ = read_yaml(text, whole_file(""))
    if not isinstance(root, YamlMapping):
        return text
    lines = text.split("\n")
    begins = [key.position.line for key, _ in root.entries]
    ends = [*begins[1:], len(lines) + 1]
    for (key, _), first, end in zip(root.entries, begins, ends, strict=True):
        if key.text in _OF_OTHERS and first < end and key.position.column == 1:
            lines[first - 1 : end - 1] = [""] * (end - first)
    return "\n".join(lines).rstrip("\n") + "\n"


def cut_down(page: Page, blocks: set[str]) -> str:
    """A page with nothing but some of its blocks, at the lines at which they stand."""
    raw = page.scanned.lines.raw
    lines = [""] * len(raw)
    lines[0] = _CUT
    wanted = {block.position.line for block in page.blocks if block.id in blocks}
    for fence in page.scanned.fences:
        if fence.line not in wanted:
            continue
        first = fence.line - 1
        lines[first : fence.end_line] = raw[first : fence.end_line]
        if fence.prefix:  # in a list, a quote or an admonition, which are not there any more
            found = _MARKER.search(raw[first])
            marker = found[0] if found else "```"
            lines[first] = f"{marker}{fence.info}"
            lines[first + 1 : fence.end_line - 1] = fence.body_lines
            lines[fence.end_line - 1] = marker
    return "\n".join(lines).rstrip("\n") + "\n"


def _settings(book: Book, page: Page) -> str:
    """The site's settings, as far as they are ours. A page is proofed as its file is written, so that nothing
    is needed of what its generator makes of it."""
    settings = book.settings
    lines = [
        "site_name: " + json.dumps(page.title, ensure_ascii=True),
        f"docs_dir: {_CONTENT}",
        "plugins:",
        "  - buildlog:",
        f"      loose: {settings.loose}",
    ]
    if settings.nominal_nouns:
        lines.append("      nominal_nouns: " + json.dumps(settings.nominal_nouns, ensure_ascii=True))
    # What only a look over the whole site shows is not asked of a part of it.
    levels = settings.levels | {code.name: "off" for code in (UNUSED_BLOCK, UNUSED_SOURCE, UNUSED_CAR_VALUE)}
    lines.append("      findings:")
    lines += [f"        {code}: {level}" for code, level in sorted(levels.items())]
    return "\n".join(lines) + "\n"


def _known(book: Book, page: Page) -> str:
    """Of the site's list of known findings what is about the page, "" for nothing."""
    path = book.root / KNOWN
    if not path.is_file():
        return ""
    known, _ = read_known(path, KNOWN)
    own = {
        (f"{_CONTENT}/{page.file}", code, about): count
        for (of, code, about), count in known.items()
        if of == page.path
    }
    return known_text(own) if own else ""


def _readme(book: Book, page: Page, program: Program, files: list[str], cut: Collection[str]) -> str:
    others = sorted(f"{_CONTENT}/{book.pages[key].file}" for key in cut)
    commands = "\n".join(f"    {line}" for line in bundle_commands(page, program))
    on_windows = "\n".join(f"    {line}" for line in powershell_commands(page, program))
    block = f"{page.key}#BLOCK"
    printed = "\n".join(f"    {line}" for line in hash_lines(book, page.key))
    listed = "\n".join(f"- `{name}`{' (blocks only)' if name in others else ''}" for name in files)
    title = " ".join(page.title.split())
    said = "with the hashes that buildlog is tried with"
    if not program.hashed:
        said = "without hashes, since they are not those that buildlog is tried with"
    return f"""\
# To repeat the figures of “{title}”

This is all that the figures of the page `{page.key}` rest on. They were computed by buildlog {__version__}
with Python {platform.python_version()}; any Python from 3.11 will do.

1. Put `{program.file}` into this folder. It is the program that computed the page, and lies where this
   bundle is from.
2. In this folder, on Linux:

{commands}

   On Windows, in PowerShell (our tests run the lines above, not these):

{on_windows}

   The second line installs the program and what it needs into the folder `tools`; `requirements.txt` has
   the versions that ran, {said}.
3. The proof says whether every figure of the page agrees with what it rests on. The last line prints this,
   if all is as it was:

{printed}

   The same lines stand at the end of the page. Where one differs, an input, the calculator or a data file
   is not what it was.

`tools/bin/buildlog working {shlex.quote(block)}` prints how a block is computed, on Windows
`tools\\Scripts\\buildlog working {powershell_quote(block)}`.

## What is in it

{listed}

The page is as its author wrote it. What is said to have blocks only is another page, cut down to those that
this one takes values from.
"""
