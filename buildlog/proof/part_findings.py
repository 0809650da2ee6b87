"""What the files of parts say of each other, of pages and drawings, and what bills say of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice

from buildlog.book.book import UNKNOWN_CAR, Book
from buildlog.book.order import in_order
from buildlog.book.parts import COLUMN, Named, price_or_mass, unknown_part
from buildlog.diagnostics import Diagnostic, Position, Refused, Severity, declare, did_you_mean, shorten
from buildlog.figures import units
from buildlog.files.text import sha256_of
from buildlog.kinds.quantities import shown
from buildlog.kinds.results import BlockResult, GivenInput, Value
from buildlog.patterns.identity import DIGITS, origin_of
from buildlog.proof.drawings import DRAWING_OF_NOTHING, DRAWING_STALE
from buildlog.proof.parts_on_car import car_of, older_than
from buildlog.reading.blocks import Block
from buildlog.reading.data import data_path
from buildlog.reading.nodes import YamlList
from buildlog.reading.part_keys import FOLDER
from buildlog.reading.parts import PART_SHAPE, Part, PartDrawing, PartEvent

PART_CIRCLE = declare(
    "part-circle",
    "parts that replace each other in a circle",
    why="None of them is the newer one, so that nothing says what goes back for what.",
    mend="Take one of the names out of replaces or superseded_by.",
    example="replaces: [box-b]        # in box-a.yml, and box-b.yml has replaces: [box-a]",
)
PART_REPLACED_OTHERWISE = declare(
    "part-replaced-otherwise",
    "a part is superseded by one that does not replace it",
    why="Both files say what takes the place of what, and they do not say the same.",
    mend="Name the part in the other one's replaces, or correct superseded_by.",
    example="superseded_by: box-b        # in box-a.yml, and box-b.yml has replaces: [old-pipe]",
)
PART_NUMBER_TWICE = declare(
    "part-number-twice",
    "two parts with one number and one revision",
    why="Who orders or makes one by its number could get the other.",
    mend="Give one of them another number, or a revision of its own.",
    example="number: BR-021, revision: A        # in two files",
)
PART_IN_THE_WAY = declare(
    "part-in-the-way",
    "a part was fitted in place of one that is still on the car",
    why="Only one of the two can be there, so that the list of what is on the car is wrong.",
    mend="Say when the other one was taken off, or take it out of replaces.",
    example="- {fitted: 2024-03-02}        # in box.yml, which replaces old-pipe, and that is on still",
)
PART_PAGE = declare(
    "part-page",
    "a part names a page that is not there",
    why="A reader cannot find what tells of it.",
    mend="Correct the page, as its path under the content folder without .md.",
    example="by: episodes/exaust",
)
PART_STATED_OTHERWISE = declare(
    "part-stated-otherwise",
    "a part is stated otherwise than its file says",
    why="One of the two is wrong, and whoever makes or orders it by the other gets another part.",
    mend="Leave it out, so that it is taken from the file, or correct one of the two.",
    example="- {part: scoop, mass: 0.51 kg}        # and scoop.yml has 0.41 ± 0.01 kg",
)
PART_SUPERSEDED = declare(
    "part-superseded",
    "a superseded part is still on the car",
    why="A newer one is there, which its file names; perhaps nobody has written down that it was changed.",
    mend="Nothing, where that is so; otherwise say in its history when it was taken off.",
    severity=Severity.NOTE,
    example="superseded_by: box-b        # in box-a.yml, and box-a was never taken off",
)
_MOST_IN_THE_WAY = 3
"""Of the parts that are in the way of one that was fitted: of a row of many that were never taken off each
has all others in its way."""


def part_findings(book: Book) -> Iterator[Diagnostic]:
    """What is wrong between the files of parts, or between one and the rest of the site."""
    if not book.parts:
        return
    parts = book.parts
    for _, part in sorted(parts.items()):
        yield from _names(book, part)
        yield from _pages(book, part)
        yield from _drawings(book, part)
        yield from _superseded(part, parts)
    yield from _circles(book)
    yield from _numbers(parts.values())
    yield from _in_the_way(book)


def _names(book: Book, part: Part) -> Iterator[Diagnostic]:
    """Other parts and cars that a part names."""
    for key, names in (("replaces", part.replaces or ()), ("superseded_by", (part.superseded_by,))):
        for name in filter(None, names):
            if name not in book.parts:
                yield unknown_part(name, part.place(key), book.parts)
    for name in part.cars:
        if name not in book.cars:
            yield _unknown_car(book, name, part.place("cars"))
    for event in part.history:
        if event.car and event.car not in (part.cars or book.cars):
            yield _unknown_car(book, event.car, event.position)
        elif event.what == "fitted" and not car_of(book, part, event) and (book.cars or part.cars):
            yield PART_SHAPE.at(
                event.position,
                found="fitted, to one of several cars",
                expected="car: NAME beside it, or the one car that it fits in cars",
            )


def _unknown_car(book: Book, name: str, place: Position) -> Diagnostic:
    expected = "one of " + ", ".join(sorted(book.cars)) if book.cars else "a sheet in the folder cars"
    return UNKNOWN_CAR.at(
        place,
        found=f"“{shorten(name)}”",
        expected=expected,
        help=did_you_mean(name, book.cars),
        length=len(name),
    )


def _pages(book: Book, part: Part) -> Iterator[Diagnostic]:
    """Pages, and the licence's text, that a part names and that are not there."""
    named = [(event.by, event.by_at or event.position) for event in part.history if event.by]
    if part.page:
        named.append((part.page, part.place("page")))
    for name, place in named:
        if name not in book.pages:
            yield PART_PAGE.at(
                place,
                found=f"“{shorten(name)}”",
                expected="a page under the content folder",
                help=did_you_mean(name, book.pages),
                length=len(name),
            )
    if part.licence_text and file_digest(book, part.licence_text) is None:
        yield _no_file(book, part.licence_text, part.place("licence_text"))


def _no_file(book: Book, name: str, place: Position) -> Diagnostic:
    beside = f"{FOLDER}/{name}"
    help = "put the file there, or correct its path, which begins at the content folder"
    if file_digest(book, beside) is not None:
        help = f"write {beside}: the path begins at the content folder"
    return PART_SHAPE.at(
        place,
        found=f"“{shorten(name)}”",
        expected="a file under the content folder",
        help=help,
        length=len(name),
    )


def file_digest(book: Book, name: str) -> str | None:
    """The digest of a file under the content folder; None for what is none."""
    try:
        path = data_path(book.content, name)
        return sha256_of(path)[:DIGITS] if path.is_file() else None
    except (Refused, OSError, ValueError):
        return None


# --- drawings --------------------------------------------------------------------------------------


def _drawings(book: Book, part: Part) -> Iterator[Diagnostic]:
    """Whether a part's drawings are there, and are those that it was made by."""
    for drawing in part.drawings:
        now = digest_now(book, drawing)
        block = drawing.block
        if now is None and block is not None and _is_at_fault(book, block[0], block[1]):
            continue  # which the block says
        if now is None and block is None:
            yield _no_file(book, drawing.of, drawing.position)
        elif now is None:
            yield DRAWING_OF_NOTHING.at(
                drawing.position,
                found=f"“{shorten(drawing.of)}”",
                expected="a block of this site that draws a pattern, and its case where it has several",
                help=did_you_mean(drawing.of, _patterns_of(book))
                or "write PAGE#BLOCK, with .CASE where the block has cases",
                length=len(drawing.of),
            )
        elif drawing.digest and drawing.digest not in now:
            yield DRAWING_STALE.at(
                drawing.digest_at or drawing.position,
                found=f"drawing {drawing.digest} of {drawing.of}",
                expected=f"drawing {' or '.join(now)}",
                help="write the new digest once the part was made by it; until then it is a part of another "
                "revision",
                length=len(drawing.digest),
            )


def _patterns_of(book: Book) -> list[str]:
    """The addresses of all patterns of the site, as a part names them."""
    return [
        f"{page}#{name}" + (f".{pattern.case}" if pattern.case else "")
        for (page, name), block in book.results.items()
        for pattern in block.patterns
    ]


def _is_at_fault(book: Book, page: str, block: str) -> bool:
    result = book.results.get((page, block))
    return result is not None and not result.cases


def digest_now(book: Book, drawing: PartDrawing) -> tuple[str, ...] | None:
    """What a drawing carries now: that of each of its patterns, or of its file; None where there is none."""
    named = drawing.block
    if named is None:
        digest = file_digest(book, drawing.of)
        return None if digest is None else (digest,)
    page, name, case = named
    block = book.results.get((page, name))
    patterns = [] if block is None else [one for one in block.patterns if case in ("", one.case)]
    if block is None or not patterns or (not case and any(one.case for one in patterns)):
        return None
    try:
        return tuple(origin_of(block, pattern).digest for pattern in patterns)
    except Refused:
        return None


# --- what replaces what ------------------------------------------------------------------------------


def _circles(book: Book) -> Iterator[Diagnostic]:
    """Parts that are newer than themselves."""
    newer: dict[tuple[str, str], set[tuple[str, str]]] = {("", name): set() for name in sorted(book.parts)}
    for name, part in book.parts.items():
        for older in part.replaces or ():
            if older in book.parts:
                newer["", name].add(("", older))
        if part.superseded_by in book.parts:
            newer["", part.superseded_by].add(("", name))
    for loop in in_order(newer)[1]:
        names = sorted(name for _, name in loop)
        first = book.parts[names[0]]
        place = first.place("replaces" if first.replaces else "superseded_by")
        some = [*names[:10], f"{len(names) - 10} more"] if len(names) > 11 else names
        found = f"{names[0]} replaces itself" if len(names) == 1 else "a circle of " + ", ".join(some)
        yield PART_CIRCLE.at(place, found=found, expected="parts of which one is the newest")


def _superseded(part: Part, parts: dict[str, Part]) -> Iterator[Diagnostic]:
    """Where a part is superseded by one that says otherwise, or is superseded and on the car."""
    newer = parts.get(part.superseded_by)
    if newer is not None and newer.replaces is not None and part.id not in newer.replaces:
        replaced = ", ".join(newer.replaces) or "nothing"
        yield PART_REPLACED_OTHERWISE.at(
            part.place("superseded_by"),
            found=f"{part.id}, superseded by {newer.id}, which replaces {replaced}",
            expected=f"replaces with {part.id} in {newer.path}",
            second=newer.place("replaces"),
            second_label="what the other one says",
            length=len(newer.id),
        )
    if part.superseded_by and part.is_on and part.last is not None and "history" not in part.unread:
        yield PART_SUPERSEDED.at(
            part.last.position,
            found=f"{part.id}, on the car, and superseded by {shorten(part.superseded_by)}",
            expected="the newer one on the car, or nothing",
        )


def _numbers(parts: Iterable[Part]) -> Iterator[Diagnostic]:
    """Parts of one number and revision."""
    seen: dict[tuple[str, str], Part] = {}
    for part in sorted(parts, key=lambda one: one.id):
        if not part.number:
            continue
        key = (part.number.casefold(), part.revision.casefold())
        if key in seen:
            yield PART_NUMBER_TWICE.at(
                part.place("number"),
                found=f"{part.number} {part.revision}".strip() + f" of {seen[key].id} and {part.id}",
                expected="a number, or a revision, of its own",
                second=seen[key].place("number"),
                second_label="the other one",
                length=len(part.number),
            )
        seen.setdefault(key, part)


def _in_the_way(book: Book) -> Iterator[Diagnostic]:
    """Parts that were fitted in the place of one that was still there."""
    older = older_than(book.parts)
    near: dict[str, set[str]] = {name: set(others) for name, others in older.items()}
    for name, others in older.items():
        for other in others:
            near[other].add(name)
    told: set[tuple[str, str, str]] = set()
    known = {name: part for name, part in book.parts.items() if "history" not in part.unread}
    for name, part in sorted(known.items()):
        for event in part.history:
            if event.what != "fitted" or not part.was_on(event.day):
                continue
            nearby = sorted(near[name] & known.keys())
            there = (one for one in nearby if _is_there(book, part, event, book.parts[one]))
            for other in islice(there, _MOST_IN_THE_WAY):
                one, two = sorted((name, other))
                if (one, two, event.day) not in told:
                    told.add((one, two, event.day))
                    yield _way(part, event, book.parts[other])


def _is_there(book: Book, part: Part, event: PartEvent, other: Part) -> bool:
    """Whether another part is on the same car at the end of the day on which this one was fitted."""
    if not other.was_on(event.day):
        return False
    fitted = [one for one in other.history if one.what == "fitted" and one.day <= event.day]
    return car_of(book, other, fitted[-1]) == car_of(book, part, event)


def _way(part: Part, event: PartEvent, other: Part) -> Diagnostic:
    there = [one for one in other.history if one.what == "fitted" and one.day <= event.day][-1]
    return PART_IN_THE_WAY.at(
        event.position,
        found=f"{part.id}, fitted {event.day or 'as built'}, and {other.id} is on the car",
        expected=f"taken_off for {other.id} by that day",
        second=there.position,
        second_label="when the other one went on",
        length=max(len(event.day), 1),
    )


# --- what bills and patterns say -----------------------------------------------------------------------


def stated_findings(book: Book, written: Block, block: BlockResult) -> Iterator[Diagnostic]:
    """Where a row of a bill, or the pattern of a part, says otherwise than the part's file."""
    for case in block.cases.values():
        for given in case.given.values():
            if any(column.form.is_part for column in given.declared.form.row):
                named = written.cases.get(case.name, {}) or written.inputs
                yield from _rows(book, given, named)
                if _was_done(book, block, case.name):
                    yield from _ways(book, block.page, given, named)
    part = book.parts.get(block.part)
    if part is None or not part.revision:
        return
    for pattern in block.patterns:
        if pattern.revision != part.revision:
            named = {**written.inputs, **written.cases.get(pattern.case, {})}
            yield PART_STATED_OTHERWISE.at(
                named["revision"][1].position if "revision" in named else block.position,
                found=f"a pattern of revision {shorten(pattern.revision) or '–'}",
                expected=f"{part.revision}, the revision of {part.id}",
                second=part.place("revision"),
                second_label="what the part’s file says",
            )
            return


def _rows(book: Book, given: GivenInput, written: Named) -> Iterator[Diagnostic]:
    for path, name in given.words.items():
        if len(path) != 2 or path[1] != COLUMN or given.position is None:
            continue
        part = book.parts.get(name.strip())
        if part is None:  # a row of a data file; what is written in the block is told where it is computed
            yield unknown_part(name.strip(), given.position, book.parts)
            continue
        place = _place_of_row(written, given, path[0])
        result = book.part_result(part.id)
        for column in ("mass", "price"):
            stated = given.numbers.get((path[0], column))
            value = None if result is None else price_or_mass(result, column)
            if stated is not None and value is not None and not _restates(stated, value):
                yield PART_STATED_OTHERWISE.at(
                    place,
                    found=f"{column} {shown(stated).text} in the row of {part.id}",
                    expected=f"{shown(value).text}, or no {column}, which is then taken from the file",
                    second=part.place(column),
                    second_label="what the part’s file says",
                )


def _was_done(book: Book, block: BlockResult, case: str) -> bool:
    """Whether a bill says what a page did, and not what it might have done."""
    page = book.pages.get(block.page)
    bills = page.howto.bill if page is not None else ()
    return f"{block.id}.{case}" in bills or (block.id in bills and len(block.cases) == 1)


def _ways(book: Book, page: str, given: GivenInput, written: Named) -> Iterator[Diagnostic]:
    """Rows of a bill by which a part went the other way than its file says of the page."""
    for path, name in given.words.items():
        part = book.parts.get(name.strip()) if len(path) == 2 and path[1] == COLUMN else None
        said = {} if part is None else {one.what: one for one in part.history if one.by == page}
        said = {what: event for what, event in said.items() if what in ("fitted", "taken_off")}
        way = "taken_off" if given.words.get((path[0], "action")) == "removed" else "fitted"
        if part is not None and said and way not in said:
            (event,) = said.values()
            yield PART_STATED_OTHERWISE.at(
                _place_of_row(written, given, path[0]),
                found=f"{part.id} {way.replace('_', ' ')} in this bill",
                expected=f"{event.what.replace('_', ' ')}, as its file says of this page",
                help="correct the row’s action, or the history of the part",
                second=event.position,
                second_label="what the part’s file says",
            )


def _place_of_row(written: Named, given: GivenInput, row: str | int) -> Position:
    """Where a row stands in its block; of a data file where that is named."""
    node = written[given.declared.name][1] if given.declared.name in written else None
    if isinstance(node, YamlList) and isinstance(row, int) and row < len(node.items):
        return node.items[row].position
    assert given.position is not None
    return given.position


def _restates(stated: Value, value: Value) -> bool:
    """Whether a value is another one, rounded to as many decimals as it has."""
    if stated.dimension != value.dimension:
        return False
    unit = units.find(stated.unit, stated.dimension)
    off = abs(unit.from_si(stated.si) - unit.from_si(value.si))
    return off <= 0.5 * 10.0**-stated.decimals * (1 + 1e-9)
