"""The pack of a part: a zip file with what somebody needs who makes one, or has one made.

In it are the part's file, its drawings and patterns, the bill and the steps of the page that tells of it, the
licence, and a list of all of them with their digests. Only a part that may be copied has one, and nothing is
in it that the site does not publish.
"""

from __future__ import annotations

import html
import posixpath
import re
from collections.abc import Callable, Iterator
from hashlib import sha256

from buildlog.book.book import Book, Page
from buildlog.diagnostics import Refused, shorten
from buildlog.files.text import LARGEST_FILE, read_data, with_unix_line_ends
from buildlog.kinds.money import CURRENCY, inputs_in
from buildlog.kinds.results import BlockResult
from buildlog.patterns.identity import origin_of
from buildlog.proof.part_findings import file_digest
from buildlog.proof.series import Place
from buildlog.reading.addresses import PARTS
from buildlog.reading.data import data_path
from buildlog.reading.parts import Part
from buildlog.render.archive import archive, can_be_packed, same_elsewhere
from buildlog.render.download import table_csv
from buildlog.render.needs import needs_of
from buildlog.render.pattern import named_patterns, pattern_files
from buildlog.render.sheet import has_sheet, workshop_sheet
from buildlog.render.words import say
from buildlog.version import __version__

_TAGS = re.compile("<[^>]*>")
_README = "README.md"
_LICENCE = "LICENCE.txt"


def may_be_handed_over(part: Part) -> bool:
    """Whether a part may be copied by others, under a licence that is named."""
    return part.copying == "allowed" and bool(part.licence)


def files_of_part(book: Book, part: Part) -> tuple[str, ...]:
    """The digests of the files that go into a pack as they are."""
    names = [f"{PARTS}{part.id}.yml", part.licence_text, *(one.of for one in part.drawings if not one.block)]
    return tuple(f"{name} {file_digest(book, name)}" for name in names if name)


def part_pack(
    book: Book, part: Part, publishes: Callable[[str], bool], place: Place | None = None
) -> bytes | None:
    """The pack of a part, or None where it may not be copied. `place` is that of its page in its series.
    Raises `Refused` where what belongs into it cannot go in."""
    if not may_be_handed_over(part):
        return None
    files: dict[str, bytes] = {}
    name = f"{PARTS}{part.id}.yml"
    _published(publishes, name)
    files["part.yml"] = _file(book, name)
    if part.licence_text:
        _published(publishes, part.licence_text)
        files[_LICENCE] = _file(book, part.licence_text)
    told: list[str] = []
    drawn_on = {drawing.block[0] for drawing in part.drawings if drawing.block}
    for drawing in part.drawings:
        named = drawing.block
        if named is None:
            _published(publishes, drawing.of)
            files[f"drawings/{posixpath.normpath(drawing.of)}"] = _file(book, drawing.of, text=False)
            continue
        where, block, case = named
        _published(publishes, _page(book, where).file)
        result = book.result(where, block)
        if result is not None and result.cases:
            # Blocks of two pages may have one name.
            folder = "patterns" if len(drawn_on) == 1 else f"patterns/{where}"
            files |= _patterns(result, case, folder)
            told += _told(result, case, folder)
    page = book.pages.get(part.page)
    if page is not None:
        _published(publishes, page.file)
        files |= _of_page(book, page, place)
    files[_README] = _readme(part, page, files, told).encode("utf-8", "backslashreplace")
    if twice := same_elsewhere(files):
        found = " and ".join(f"“{shorten(name)}”" for name in twice)
        raise Refused("", found, "names that are two on every system, whatever it makes of capitals")
    return archive(files)


def _page(book: Book, key: str) -> Page:
    if key not in book.pages:
        raise Refused("", f"“{shorten(key)}”", "a page of the site")
    return book.pages[key]


def _published(publishes: Callable[[str], bool], name: str) -> None:
    if not can_be_packed(posixpath.normpath(name)):
        raise Refused("", f"“{shorten(name)}”", "a name that can stand in a zip file")
    if not publishes(name):
        raise Refused("", f"“{shorten(name)}”", "a file that the site publishes")


def _file(book: Book, name: str, *, text: bool = True) -> bytes:
    """A file of the content folder, links followed or refused; a text with LF."""
    there = data_path(book.content, name)
    try:
        data = read_data(there)
    except OSError as error:
        raise Refused("", f"“{shorten(name)}”", "a file that can be read") from error
    if len(data) > LARGEST_FILE:
        raise Refused("", f"“{shorten(name)}”", f"a file of at most {LARGEST_FILE // 1024**2} MiB")
    return with_unix_line_ends(data) if text else data


def _patterns(result: BlockResult, case: str, folder: str) -> dict[str, bytes]:
    """The files of the patterns of a case, of all where none is named."""
    wanted = {name for name, pattern in named_patterns(result) if case in ("", pattern.case)}
    made = pattern_files(result)
    return {
        f"{folder}/{path.rpartition('/')[2]}": content
        for path, content in made.items()
        if any(_is_of(path.rpartition("/")[2], name) for name in wanted)
    }


def _is_of(file: str, name: str) -> bool:
    """Whether a file is one of a pattern's: its name, a paper and an ending."""
    return file.removeprefix(name) in ("-A4.pdf", "-Letter.pdf", ".dxf", ".svg")


def _told(result: BlockResult, case: str, folder: str) -> Iterator[str]:
    for name, pattern in named_patterns(result):
        if case in ("", pattern.case):
            yield f"`{folder}/{name}`: drawing {origin_of(result, pattern).digest}"


def _of_page(book: Book, page: Page, place: Place | None) -> dict[str, bytes]:
    """Bill and steps of a page."""
    made: dict[str, bytes] = {}
    for name in page.howto.bill:
        block, _, case = name.partition(".")
        result = book.result(page.key, block)
        if result is None or not result.cases or result.calculator is None:
            continue
        case = case or next(iter(result.cases))
        if case not in result.cases:
            continue
        given = result.cases[case].inputs
        declared = inputs_in(result.calculator.inputs, str(given.get(CURRENCY, "EUR")))
        table, rows = next((one for one in declared if one.name == "parts"), None), given.get("parts")
        if table is not None and rows:
            file = "bill.csv" if len(page.howto.bill) == 1 else f"bill-{name}.csv"
            made[file] = table_csv(table.form.row, rows).encode("utf-8", "backslashreplace")
    if has_sheet(book, page.key):
        sheet = workshop_sheet(book, page.key, place)
        made["steps.html"] = sheet.encode("utf-8", "backslashreplace")
        made["steps.txt"] = _steps(book, page).encode("utf-8", "backslashreplace")
    return made


def _steps(book: Book, page: Page) -> str:
    """The steps of a page, cautions first, as plain text."""
    needs = needs_of(book, page)
    lines = [_plain(page.title), ""]
    lines += [f"! {_plain(one.title)}. {_plain(one.text)}" for one in needs.cautions]
    lines += ["", *(line for step in needs.steps for line in _step(step.number, step.text, step.checks))]
    lines += ["", *(f"{one.purpose}: {one.figure} ({one.rests_on})" for one in needs.settings)]
    if needs.undo:
        lines += ["", f"{say('To undo it')}:", *(f"- {_plain(one)}" for one in needs.undo)]
    return re.sub("\n{3,}", "\n\n", "\n".join(lines)).strip("\n") + "\n"


def _step(number: int, text: str, checks: tuple[str, ...]) -> list[str]:
    return [f"{number}. {_plain(text)}", *(f"   - {_plain(check)}" for check in checks)]


def _plain(text: object) -> str:
    """Text of ours without its tags."""
    return html.unescape(_TAGS.sub("", str(text)))


def _readme(part: Part, page: Page | None, files: dict[str, bytes], told: list[str]) -> str:
    number = " ".join(filter(None, (part.number, part.revision and f"revision {part.revision}")))
    listed = "\n".join(f"- `{name}`  {sha256(files[name]).hexdigest()}" for name in sorted(files))
    drawings = "\n".join(f"- {line}" for line in told)
    text = f"its text is in `{_LICENCE}`" if _LICENCE in files else "look its text up by that name"
    steps = ""
    if "steps.html" in files:
        steps = (
            "\n`steps.html` prints; `steps.txt` is the same in plain text, `bill.csv` what the job took.\n"
        )
    elif page is None:
        steps = "\nThe part's file names no page with its steps.\n"
    return f"""\
# {_line(part.name)}

{_line(number) or "It has no number."}

May be copied under this licence: **{_line(part.licence)}**; {text}.

Before anything is cut: print patterns at 100 %, and measure the bar of 100 mm on every sheet. A drawing
carries a digest of what it shows; hold it against the list below and against the page that this came from.
Whoever makes one or fits it answers for it. What the maker of the car says, and local law, come first;
welding, brakes and whatever else is licensed work are for those who are.
{steps}
## Drawings

{drawings or "There is none that a block draws."}

## What is in it, with its SHA-256

{listed}

Packed by buildlog {__version__} of the file `parts/{part.id}.yml`.
"""


def _line(text: str) -> str:
    """A text of an author's on one line, without what Markdown would make of it."""
    return re.sub(r"([\\`*_\[\]<>#|])", r"\\\1", " ".join(text.split()))
