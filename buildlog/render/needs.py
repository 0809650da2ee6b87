"""What a job needs, gathered from a page: parts from its bills, settings from its figures, words from its
front matter. The panel, the list in the page and the workshop sheet are made of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup, escape

from buildlog.book.book import Book, Page
from buildlog.diagnostics import as_written
from buildlog.figures.labels import plain
from buildlog.figures.leads import limit_at_the_end, limit_at_the_start
from buildlog.kinds.hazards import HAZARDS, Hazard
from buildlog.proof.judging import Entry, Judged, judge_link
from buildlog.proof.proof import judge_page
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.front_matter import Words
from buildlog.reading.front_matter_keys import REVERSIBLE
from buildlog.reading.howto import BILL_KIND
from buildlog.reading.markdown.inline import read_inlines
from buildlog.reading.markdown.page import Link as FigureLink
from buildlog.reading.markdown.scanner import CAUTION
from buildlog.reading.parts import Part as FileOfPart
from buildlog.reading.parts import PartEvent
from buildlog.render.conversion import other_label
from buildlog.render.figure import verdict_words
from buildlog.render.pieces import clean
from buildlog.render.translated import translated
from buildlog.render.words import say

DOES_NOT_HOLD = "(does not hold: see the page)"
_NEAR = 40  # characters that the words of a limit are looked for in


@dataclass(frozen=True, kw_only=True)
class Part:
    """A line of a bill. `amount` is how many or how long, "" for one; `number` and `supplier` are where it
    can be had, `link` a web address, which the reader of inputs has checked; `file` is the name of its file,
    and `lies` where it lies since it came off."""

    name: str
    amount: str
    removed: bool
    made: bool
    number: str = ""
    supplier: str = ""
    link: str = ""
    file: str = ""
    lies: str = ""

    @property
    def where(self) -> str:
        """Its number, who sells it and where it lies."""
        return ", ".join(filter(None, (self.number, self.supplier, self.lies)))


@dataclass(frozen=True)
class Bill:
    """The parts of one case of a block; `title` tells several bills apart."""

    title: str
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class Setting:
    """A torque, a gap or a filling: what for, the figure with its other unit, what that rests on."""

    purpose: str
    figure: str
    rests_on: str
    agrees: bool = True


@dataclass(frozen=True)
class ToMeasure:
    """Something to measure before starting; `unit` "" where it is to be looked at or photographed. `readings`
    are the names of its readings, "" for one that has none."""

    what: str
    unit: str
    readings: tuple[str, ...] = ("",)


@dataclass(frozen=True)
class ToDo:
    """A step with its checks; `more` where the page has more of it than words."""

    number: int
    text: Markup
    checks: tuple[Markup, ...]
    more: bool


@dataclass(frozen=True, kw_only=True)
class FiledPart:
    """A part whose file says that this page fitted it or took it off, and which no bill of it lists; `number`
    has its revision, `where` is where it lies."""

    name: str
    number: str
    on: bool
    where: str = ""


@dataclass(frozen=True, kw_only=True)
class Needs:
    """All that a page says about a job, in words."""

    time: str
    skill: str
    reversible: str
    cautions: tuple[Hazard, ...]
    bills: tuple[Bill, ...]
    consumables: tuple[str, ...]
    tools: tuple[str, ...]
    measure: tuple[ToMeasure, ...]
    settings: tuple[Setting, ...]
    steps: tuple[ToDo, ...]
    undo: tuple[str, ...]
    files: tuple[FiledPart, ...] = ()


def needs_of(book: Book, page: Page) -> Needs:
    """What the page's job needs."""
    howto = page.howto

    def write(words: Words | None) -> Markup:
        if words is None:
            return Markup()
        return write_words(book, page, words)

    bills = tuple(bills_of(book, page))
    return Needs(
        time=write(howto.time),
        skill=write(howto.skill),
        reversible=REVERSIBLE.get(howto.reversible, ""),
        cautions=tuple(HAZARDS[name] for name in caution_ids(book, page)),
        bills=bills,
        consumables=tuple(map(write, howto.consumables)),
        tools=tuple(map(write, howto.tools)),
        measure=tuple(ToMeasure(write(item.what), item.unit, item.readings) for item in howto.measure),
        settings=tuple(settings_of(page, judge_page(book, page))),
        steps=tuple(
            ToDo(
                step.number,
                write_step(book, page, step.words),
                tuple(write_step(book, page, check) for check in step.checks),
                step.more,
            )
            for step in howto.steps
        ),
        undo=tuple(map(write, howto.undo)),
        files=tuple(_filed(book, page, {part.file for bill in bills for part in bill.parts})),
    )


def _filed(book: Book, page: Page, listed: set[str]) -> Iterator[FiledPart]:
    """The parts that the page fitted, then those that it took off, by their files, without those listed."""
    for what in ("fitted", "taken_off"):
        for name, part in sorted(book.parts.items()):
            event = _of_page(part, page, what) if name not in listed else None
            if event is not None:
                yield FiledPart(name=part.name, number=number_of(part), on=what == "fitted", where=event.lies)


def _of_page(part: FileOfPart, page: Page, what: str) -> PartEvent | None:
    """What a page did to a part, by its file."""
    return next((one for one in part.history if one.by == page.key and one.what == what), None)


def number_of(part: FileOfPart) -> str:
    """A part's number with its revision."""
    revision = say("revision {revision}", revision=part.revision) if part.revision else ""
    return ", ".join(filter(None, (part.number, revision)))


def caution_ids(book: Book, page: Page) -> list[str]:
    """The cautions of a page: those of its front matter, of its links, and of the kinds that it uses."""
    names = dict.fromkeys(page.howto.hazards)
    names.update(dict.fromkeys(link.address.partition(":")[2] for link in page.scanned.cautions))
    for block in page.blocks:
        result = book.by_place.get(block.position)
        if result is not None and result.calculator is not None and result.cases:
            names.update(dict.fromkeys(result.calculator.hazards))
    return [name for name in names if name in HAZARDS]


def write_words(book: Book, page: Page, words: Words) -> Markup:
    """A text of the front matter without links: figures with their other unit, and with what is wrong."""
    made = Markup()
    for piece in words.pieces():
        if isinstance(piece, str):
            made += escape(clean(piece))
            continue
        judged = judge_link(book, page.key, piece)
        made += escape(clean(figure_text(judged)))
        if wrong := verdict_words(judged):
            made += Markup(' <strong class="buildlog-verdict">({})</strong>').format(clean(wrong))
    return made


_PLACE = "\ue000"
"""Stands for a figure while emphasis is taken off the words around it; no author's text keeps one."""


def write_step(book: Book, page: Page, words: Words) -> Markup:
    """A text of the page's own without what Markdown adds to it; figures with their other unit."""
    figures = [judge_link(book, page.key, link) for link in words.links]
    pieces = [piece if isinstance(piece, str) else _PLACE for piece in _raw_pieces(words)]
    text = plain(_without_links("".join(pieces))).text
    made = Markup()
    for number, piece in enumerate(" ".join(text.split()).split(_PLACE)):
        if number:
            judged = figures[number - 1]
            shown = figure_text(judged) if judged.agrees else DOES_NOT_HOLD
            made += Markup("<b>{}</b>").format(clean(shown))
        made += escape(clean(piece))
    return made


def _raw_pieces(words: Words) -> Iterator[str | FigureLink]:
    """The text between the figures as it is written, and the figures."""
    at = 0
    for link in words.links:
        yield words.text[at : link.start - words.start].replace(_PLACE, "")
        yield link
        at = link.end - words.start
    yield words.text[at:].replace(_PLACE, "")


def _without_links(text: str) -> str:
    """A text with links as their words, and without images, tags and comments. A caution that has no words
    goes by its title."""
    found = read_inlines(text, {}, ())
    cuts = [(span, "") for span in (*found.comments, *found.tags, *found.images)]
    for link in found.links:
        label, address = text[slice(*link.label)], text[slice(*link.address)].strip()
        if not label.strip() and address.startswith(CAUTION):
            hazard = HAZARDS.get(address.removeprefix(CAUTION))
            label = say(hazard.title) if hazard is not None else ""
        cuts.append(((link.start, link.end), label))
    for (start, end), label in sorted(cuts, reverse=True):
        text = text[:start] + label + text[end:]
    return text


def figure_text(judged: Judged) -> str:
    """A figure as plain text, with the value in the other system of units in brackets."""
    label = plain(judged.text or judged.address).text
    other = other_label(judged)
    if other is None:
        return label
    return f"{label} ({other.text})"


def source_words(source: SourceEntry) -> str:
    """A source on one line."""
    if source.hearsay:
        return say("unverified: {who}, {when}", who=source.who, when=source.when)
    return ", ".join((source.title, *source.particulars))


def settings_of(page: Page, entries: Iterable[Entry]) -> list[Setting]:
    """The figures that the page marks as being for something (“for …” in the title), in its order, each with
    the words of a limit that stand before it or behind."""
    links = {link.label_position: link for link in page.scanned.links}
    settings: dict[Setting, None] = {}
    for entry in entries:
        judged = entry.judged
        if judged is None or not judged.purpose:
            continue
        figure = figure_text(judged)
        if (link := links.get(entry.position)) is not None:
            before = limit_at_the_end(page.text[max(0, link.start - _NEAR) : link.start])
            behind = limit_at_the_start(page.text[link.end : link.end + _NEAR])
            figure = " ".join(filter(None, (before, figure, behind)))
        settings[Setting(judged.purpose, figure, _ground_of(judged), judged.agrees)] = None
    return list(settings)


def _ground_of(judged: Judged) -> str:
    """What a setting rests on: its source, or the block that computes it, as its card is headed."""
    if judged.source is not None:
        return source_words(judged.source)
    if judged.block is None:
        return say("computed")
    return say("computed: {where}", where=translated(judged.block).title or judged.block.id)


def bills_of(book: Book, page: Page) -> list[Bill]:
    """The parts that were fitted; where the page does not choose among the cases of a bill, all of them."""
    chosen = list(page.howto.bill)
    for block in page.blocks:
        if block.kind == BILL_KIND and not any(name.partition(".")[0] == block.id for name in chosen):
            chosen += [f"{block.id}.{case}" for case in block.cases]
    bills = []
    for name in chosen:
        block_id, _, case = name.partition(".")
        result = book.result(page.key, block_id)
        if result is None:  # the proof tells the author; here there is nothing to list
            continue
        case = case or next(iter(result.cases), "")
        if case in result.cases:
            title = translated(result).title
            if case:
                title += f", {case}"
            rows: Sequence[dict[str, Any]] = result.cases[case].inputs.get("parts", ())
            bills.append(Bill(title, tuple(_part(book, page, row) for row in rows)))
    return bills


def _part(book: Book, page: Page, row: dict[str, Any]) -> Part:
    file = book.parts.get(row.get("part", ""))
    number = row.get("part_number", "")
    off = _of_page(file, page, "taken_off") if file is not None else None
    return Part(
        name=str(row["name"]),
        amount=_amount(row),
        removed=row["action"] == "removed",
        made=row["origin"] == "made",
        number=number_of(file) if file is not None and number == file.number else number,
        supplier=row.get("supplier", ""),
        link=row.get("link", ""),
        file=file.id if file is not None else "",
        lies=off.lies if off is not None else "",
    )


def _amount(row: dict[str, Any]) -> str:
    """How much of a line is wanted: ``4 ×``, ``0.9 m``, ``2 × 0.45 m``."""
    count = f"{float(row['quantity']):g} ×" if row["quantity"] != 1 else ""
    length = as_written(row["length"], f"{row['length']:g} m") if "length" in row else ""
    return " ".join(filter(None, (count, length)))
