"""What a job needs, gathered from a page: parts from its bills, settings from its figures, words from its
front matter. The panel, the list in the page and the workshop sheet are made of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from buildlog.book.book import Book, Page
from buildlog.figures.labels import plain
from buildlog.kinds.hazards import HAZARDS, Hazard
from buildlog.kinds.results import BlockResult
from buildlog.proof.judging import Entry, Judged, judge_link
from buildlog.proof.proof import judge_page
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.front_matter import Measurement, Words
from buildlog.reading.howto import BILL_KIND, REVERSIBLE
from buildlog.render.conversion import other_label
from buildlog.render.figure import verdict_words
from buildlog.render.pieces import clean


@dataclass(frozen=True)
class Part:
    """A line of a bill."""

    name: str
    quantity: int
    removed: bool
    made: bool


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
    """Something to measure before starting; `unit` "" where it is to be looked at or photographed."""

    what: str
    unit: str


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
    undo: tuple[str, ...]


def needs_of(book: Book, page: Page) -> Needs:
    """What the page's job needs."""
    howto = page.howto

    def text(words: Words | None) -> Markup:
        return in_words(book, page, words) if words is not None else Markup()

    def measured(one: Measurement) -> ToMeasure:
        return ToMeasure(text(one.what), one.unit)

    return Needs(
        time=text(howto.time),
        skill=text(howto.skill),
        reversible=REVERSIBLE.get(howto.reversible, ""),
        cautions=tuple(HAZARDS[name] for name in caution_ids(book, page)),
        bills=tuple(bills_of(book, page)),
        consumables=tuple(text(one) for one in howto.consumables),
        tools=tuple(text(one) for one in howto.tools),
        measure=tuple(measured(one) for one in howto.measure),
        settings=tuple(settings_of(judge_page(book, page))),
        undo=tuple(text(one) for one in howto.undo),
    )


def caution_ids(book: Book, page: Page) -> list[str]:
    """The cautions of a page: those of its front matter, of its links, and of the kinds that it uses."""
    found = dict.fromkeys(page.howto.hazards)
    found.update(dict.fromkeys(link.address.partition(":")[2] for link in page.scanned.cautions))
    for block in page.blocks:
        result = book.by_place.get(block.position)
        if result is not None and result.calculator is not None and result.cases:
            found.update(dict.fromkeys(result.calculator.HAZARDS))
    return [name for name in found if name in HAZARDS]


def in_words(book: Book, page: Page, words: Words) -> Markup:
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


def figure_text(judged: Judged) -> str:
    """A figure as plain text, with the value in the other system of units in brackets."""
    label = plain(judged.text or judged.address).text
    other = other_label(judged)
    return f"{label} ({other.text})" if other else label


def source_words(source: SourceEntry) -> str:
    """A source on one line."""
    if source.hearsay:
        return f"unverified: {source.who}, {source.when}"
    return ", ".join((source.title, *source.particulars))


def settings_of(entries: Iterable[Entry]) -> list[Setting]:
    """The figures that the page marks as being for something (“for …” in the title), in its order."""
    found: dict[Setting, None] = {}
    for entry in entries:
        judged = entry.judged
        if judged is None or not judged.purpose:
            continue
        rests_on = source_words(judged.source) if judged.source else _computed_by(judged)
        found[Setting(judged.purpose, figure_text(judged), rests_on, judged.agrees)] = None
    return list(found)


def _computed_by(judged: Judged) -> str:
    """The block that computes a setting, as its card is headed."""
    block = judged.block
    return f"computed: {block.title or block.id}" if block else "computed"


def bills_of(book: Book, page: Page) -> list[Bill]:
    """The parts that were fitted; where the page does not choose among the cases of a bill, all of them."""
    chosen = list(page.howto.bill)
    for block in page.blocks:
        if block.kind == BILL_KIND and not any(name.partition(".")[0] == block.id for name in chosen):
            chosen += [f"{block.id}.{case}" for case in block.cases]
    found = []
    for name in chosen:
        block_id, _, case = name.partition(".")
        result = book.result(page.key, block_id)
        case = case or next(iter(result.cases), "") if result is not None else ""
        if result is not None and case in result.cases:
            title = f"{result.title}, {case}" if case else result.title
            found.append(Bill(title, _parts(result, case)))
    return found


def _parts(result: BlockResult, case: str) -> tuple[Part, ...]:
    rows: Sequence[dict[str, object]] = result.cases[case].inputs.get("parts", ())
    return tuple(
        Part(str(row["name"]), int(str(row["quantity"])), row["action"] == "removed", row["origin"] == "made")
        for row in rows
    )
