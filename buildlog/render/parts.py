"""The list of a site's parts: what is on the car, what came off and where it lies, what brings the car back
to what its maker built, and an entry for each part that figures and bills lead to."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from buildlog.book.book import Book
from buildlog.book.parts import part_anchor, price_or_mass
from buildlog.kinds.results import card_anchor
from buildlog.patterns.identity import DIGITS
from buildlog.proof.overview import Overview
from buildlog.proof.part_findings import digest_now
from buildlog.proof.parts_on_car import CarOfParts, Step, cars_of_parts
from buildlog.proof.series import total_of
from buildlog.reading.front_matter_keys import REVERSIBLE
from buildlog.reading.part_keys import AS_BUILT, COPYING, ORIGINS
from buildlog.reading.parts import Part, PartDrawing, PartEvent
from buildlog.render.bundle import FOLDER
from buildlog.render.cells import Cell, cell_of
from buildlog.render.needs import number_of, write_words
from buildlog.render.page_parts import page_link
from buildlog.render.pieces import HEADING, LinkPiece, Rendered, render
from buildlog.render.sheet import sheet_path
from buildlog.render.words import say, to_say

PACKS = f"{FOLDER}-parts"
"""Where packs are published, under content: no page's files are there."""

_HAPPENED = {
    "fitted": to_say("fitted"),
    "taken_off": to_say("taken off"),
    "stored": to_say("stored"),
    "gone": to_say("gone"),
}
_UNDO = "undo"
"""The id of the steps back in a workshop sheet."""


def pack_path(name: str) -> str:
    """Where the pack of a part is published, under content."""
    return f"{PACKS}/{name}.zip"


@dataclass(frozen=True, kw_only=True)
class PartRow:
    """A part in a table: what it is, since when and by which page, where it lies."""

    name: LinkPiece
    number: str
    day: str
    page: LinkPiece | None
    mass: Cell
    where: str = ""
    gone: bool = False
    standard: bool = False


@dataclass(frozen=True, kw_only=True)
class BackStep:
    """A step of the way back."""

    off: PartRow | None
    back: tuple[PartRow, ...]
    mass: Cell


@dataclass(frozen=True, kw_only=True)
class BackJob:
    """The steps that undo one day's work, and how the page that tells of it says it is undone."""

    page: LinkPiece | None
    day: str
    reversible: str
    undo: tuple[Markup, ...]
    sheet: LinkPiece | None
    steps: tuple[BackStep, ...]
    mass: Cell


@dataclass(frozen=True, kw_only=True)
class CarInParts:
    """A car ready for the page."""

    name: str
    day: str
    on: tuple[PartRow, ...]
    off: tuple[PartRow, ...]
    jobs: tuple[BackJob, ...]
    lost: tuple[PartRow, ...]
    mass: Cell


@dataclass(frozen=True, kw_only=True)
class Happening:
    """A day of a part's history."""

    day: str
    what: str
    page: LinkPiece | None
    more: str


@dataclass(frozen=True, kw_only=True)
class PartEntry:
    """All that a part's file says."""

    part: Part
    anchor: str
    row: PartRow
    origin: str
    price: Cell
    drawings: tuple[tuple[LinkPiece | str, str], ...]
    replaces: tuple[LinkPiece, ...]
    replaced_by: tuple[LinkPiece, ...]
    page: LinkPiece | None
    copying: str
    pack: LinkPiece | None
    history: tuple[Happening, ...]


def render_parts(overview: Overview, published: Collection[str]) -> Rendered:
    """The whole list."""
    book = overview.book
    return render(
        "parts.html.j2",
        cars=[_car(book, car, published) for car in cars_of_parts(book)],
        entries=[_entry(book, part, published) for _, part in sorted(book.parts.items())],
        level=HEADING,
    )


def _car(book: Book, car: CarOfParts, published: Collection[str]) -> CarInParts:
    sheet = book.cars.get(car.car)
    return CarInParts(
        name=sheet.name if sheet is not None else car.car,
        day=car.day,
        on=tuple(_row(book, part, part.event("fitted")) for part in car.on),
        off=tuple(_row(book, part, part.event("taken_off") or part.last) for part in car.off),
        jobs=tuple(_jobs(book, car.steps, published)),
        lost=tuple(_row(book, part, part.last) for part in car.lost),
        mass=cell_of(car.mass, signed=True),
    )


def _row(book: Book, part: Part, event: PartEvent | None) -> PartRow:
    result = book.part_result(part.id)
    return PartRow(
        name=part_link(part),
        number=number_of(part),
        day=_day(event),
        page=_page(book, event.by if event is not None else ""),
        mass=cell_of(price_or_mass(result, "mass") if result is not None else None),
        where=_where(part),
        gone=part.is_gone,
        standard=part.standard,
    )


def part_link(part: Part) -> LinkPiece:
    """A link to a part's entry on the page that has the list."""
    return LinkPiece(page=None, anchor=part_anchor(part.id), text=part.name)


def _day(event: PartEvent | None) -> str:
    if event is None:
        return ""
    return event.day or say("as built")


def _page(book: Book, name: str) -> LinkPiece | None:
    return page_link(book.pages[name]) if name in book.pages else None


def _where(part: Part) -> str:
    """Where a part lies, or why it cannot be fitted any more."""
    last = part.last
    if last is None or last.what == "fitted":
        return ""
    return last.why if last.what == "gone" else last.lies


# --- the way back ---------------------------------------------------------------------------------------


def _jobs(book: Book, steps: Sequence[Step], published: Collection[str]) -> Iterator[BackJob]:
    """Steps by the job that they undo: those of one day and one page that follow each other."""

    def of(step: Step) -> tuple[str, str]:
        event = step.fitted or step.back[0].event("taken_off")
        return (event.by, event.day) if event is not None else ("", "")

    for (name, day), together in groupby(steps, key=of):
        of_job = list(together)
        page = book.pages.get(name)
        masses = [step.mass for step in of_job]
        undo: tuple[Markup, ...] = ()
        if page is not None:
            undo = tuple(write_words(book, page, words) for words in page.howto.undo)
        yield BackJob(
            page=_page(book, name),
            day=day,
            reversible=REVERSIBLE.get(page.howto.reversible, "") if page is not None else "",
            undo=undo,
            sheet=_sheet(name, published),
            steps=tuple(_step(book, step) for step in of_job),
            mass=cell_of(total_of(masses)[0] if None not in masses else None, signed=True),
        )


def _sheet(name: str, published: Collection[str]) -> LinkPiece | None:
    path = sheet_path(name) if name else ""
    if path not in published:
        return None
    return LinkPiece(page=None, anchor=_UNDO, text=say("Workshop sheet, to print"), file=path)


def _step(book: Book, step: Step) -> BackStep:
    return BackStep(
        off=_row(book, step.off, step.fitted) if step.off is not None else None,
        back=tuple(_row(book, part, part.event("taken_off")) for part in step.back),
        mass=cell_of(step.mass, signed=True),
    )


# --- entries --------------------------------------------------------------------------------------------


def _entry(book: Book, part: Part, published: Collection[str]) -> PartEntry:
    result = book.part_result(part.id)
    pack = pack_path(part.id)
    offered = None
    if pack in published:
        text = say("Hand-over pack (zip)")
        name = f"{part.id}.zip"
        offered = LinkPiece(page=None, anchor="", text=text, file=pack, attributes={"download": name})
    newer = [one for _, one in sorted(book.parts.items()) if part.id in (one.replaces or ())]
    return PartEntry(
        part=part,
        anchor=part_anchor(part.id),
        row=_row(book, part, part.last),
        origin=ORIGINS.get(part.origin, ""),
        price=cell_of(price_or_mass(result, "price") if result is not None else None),
        drawings=tuple(_drawing(book, drawing, published) for drawing in part.drawings),
        replaces=tuple(_links(book, part.replaces or ())),
        replaced_by=tuple(map(part_link, newer)),
        page=_page(book, part.page),
        copying=COPYING.get(part.copying, ""),
        pack=offered,
        history=tuple(_happening(book, event) for event in part.history),
    )


def _links(book: Book, names: Sequence[str]) -> Iterator[LinkPiece]:
    yield from (part_link(book.parts[name]) for name in names if name in book.parts)


def _drawing(book: Book, drawing: PartDrawing, published: Collection[str]) -> tuple[LinkPiece | str, str]:
    """What shows a part, and the digest that it has now."""
    digests = ", ".join(digest_now(book, drawing) or ())
    named = drawing.block
    if named is None:
        name = drawing.of.rpartition("/")[2]
        link = LinkPiece(page=None, anchor="", text=name, file=drawing.of)
        return (link if drawing.of in published else name), digests[:DIGITS]
    page, block, case = named
    result = book.result(page, block)
    text = ", ".join(filter(None, (result.called if result is not None else block, case)))
    return LinkPiece(page=page, anchor=card_anchor(block), text=text), digests


def _happening(book: Book, event: PartEvent) -> Happening:
    more = event.why
    if event.lies:
        more = say("lies: {where}", where=event.lies)
    return Happening(
        day=event.day or say(AS_BUILT),
        what=say(_HAPPENED[event.what]) if event.day else "",
        page=_page(book, event.by),
        more=more,
    )
