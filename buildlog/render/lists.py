"""Lists of the whole site: all figures, how many of them rest on something, the sources, the series, what was
foretold, the cautions. An author puts a marker where one of them is to stand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from functools import partial

from buildlog.book.book import Book
from buildlog.diagnostics import Refused
from buildlog.figures.labels import plain, write_number
from buildlog.figures.stated import parse
from buildlog.kinds.hazards import HAZARDS
from buildlog.proof.judging import Entry
from buildlog.proof.overview import Overview
from buildlog.proof.series import CarState, Episode, SeriesOfPages, car_states, charts_of
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.markers import LISTS
from buildlog.render.cells import Cell, cell_of
from buildlog.render.chart import Draw, DrawnChart, draw_charts
from buildlog.render.conversion import OtherLabel, other_label
from buildlog.render.figure import anchor_in_card, what_in_words
from buildlog.render.identity_cache import IdentityCache
from buildlog.render.page_parts import page_link
from buildlog.render.parts import render_parts
from buildlog.render.pieces import LinkPiece, Rendered, render
from buildlog.render.predictions import render_predictions
from buildlog.render.translated import translated
from buildlog.render.words import say, to_say

STANDINGS = (to_say("computed"), to_say("cited"), to_say("told"), to_say("loose"))


def render_list(
    name: str,
    overview: Overview,
    draw: Draw,
    cache: IdentityCache | None = None,
    published: Collection[str] = (),
) -> Rendered:
    """The list of this name, one of `buildlog.reading.markers.LISTS`. `cache` has parts of an earlier one,
    `published` are the paths of files that the site has besides its pages."""
    if cache is None:
        cache = IdentityCache()
    made: dict[str, Callable[[], Rendered]] = {
        "ledger": lambda: _ledger(overview, cache),
        "coverage": lambda: _coverage(overview),
        "sources": lambda: _sources(overview),
        "series": lambda: _series(overview, draw, cache),
        "parts": lambda: render_parts(overview, published),
        "predictions": lambda: render_predictions(overview, draw),
        "cautions": lambda: render("cautions.html.j2", cautions=list(HAZARDS.values())),
    }
    assert made.keys() == set(LISTS)
    return made[name]()


# --- all figures ------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class LedgerRow:
    """A figure of the ledger. `verdict` is empty where there is nothing to agree with. `by_figure` and
    `by_ground` are its places when the rows are ordered by number, and by what they rest on."""

    page: LinkPiece
    line: int
    label: str
    standing: str
    rests_on: LinkPiece | str
    verdict: str
    other: OtherLabel | None = None
    computed: str = ""
    computed_other: OtherLabel | None = None
    by_figure: int = 0
    by_ground: int = 0
    number: tuple[int, float, str] = (1, 0.0, "")
    cells: Rendered | None = None


def _ledger(overview: Overview, cache: IdentityCache) -> Rendered:
    rows: list[LedgerRow] = []
    for page in overview.reading_order(overview.entries):
        entries = overview.entries[page]
        of = (overview.book.pages[page], *entries)
        rows += cache.get(("rows", page), of, partial(_rows, overview.book, entries))
    rows = _placed(rows)
    counts = Counter(row.standing for row in rows)
    return render(
        "ledger.html.j2",
        rows=rows,
        standings=[(name, counts[name]) for name in STANDINGS if counts[name]],
        wrong=sum(row.verdict == "disagrees" for row in rows),
    )


def _rows(book: Book, entries: Sequence[Entry]) -> list[LedgerRow]:
    """The rows of some entries with their cells, but for their places among all."""
    rows = [_row(book, entry) for entry in entries]
    return [replace(row, number=_number(row), cells=render("ledger-row.html.j2", row=row)) for row in rows]


def _placed(rows: list[LedgerRow]) -> list[LedgerRow]:
    """The rows with their places in the other orders, counted from 1."""
    figures = _places([row.number for row in rows])
    grounds = _places([(0, 0.0, _ground(row).casefold()) for row in rows])
    return [replace(row, by_figure=figures[at], by_ground=grounds[at]) for at, row in enumerate(rows)]


def _places(keys: list[tuple[int, float, str]]) -> list[int]:
    places = [0] * len(keys)
    for place, at in enumerate(sorted(range(len(keys)), key=lambda at: keys[at]), start=1):
        places[at] = place
    return places


def _number(row: LedgerRow) -> tuple[int, float, str]:
    """What a row is ordered by: its number, and after all numbers what has none."""
    try:
        return 0, float(parse(row.label).low.value), row.label
    except Refused:
        return 1, 0.0, row.label.casefold()


def _ground(row: LedgerRow) -> str:
    """What a row rests on, in words."""
    if isinstance(row.rests_on, str):
        return row.rests_on
    return row.rests_on.text


def _row(book: Book, entry: Entry) -> LedgerRow:
    row = LedgerRow(
        page=replace(page_link(book.pages[entry.page]), anchor=entry.anchor),
        line=entry.position.line,
        label=plain(entry.label).text,
        standing=entry.standing,
        rests_on=_rests_on(entry),
        verdict="agrees" if entry.standing == "computed" else "",
    )
    judged = entry.judged
    if judged is None:
        return row
    row = replace(row, label=row.label or judged.text, other=other_label(judged))
    if not judged.agrees:
        row = replace(row, verdict="disagrees")
    if computed := judged.fact.text if judged.fact is not None else judged.computed_text:
        row = replace(row, computed=computed, computed_other=other_label(replace(judged, text=computed)))
    return row


def _rests_on(entry: Entry) -> LinkPiece | str:
    judged = entry.judged
    if judged is None:
        return say("nothing")
    if judged.source is not None:
        return _source_title(judged.source)
    block = judged.block
    if block is None:
        return judged.address
    words = translated(block).title or block.id
    if judged.output:
        words += f": {what_in_words(judged)}"
    page = block.page or block.shown_on
    if not page:  # a car's sheet is on no page
        return words
    return LinkPiece(page=page, anchor=anchor_in_card(judged, block), text=words)


def _source_title(source: SourceEntry) -> str:
    if source.hearsay:
        return source.who
    return source.title


@dataclass(frozen=True)
class PageCoverage:
    """How many figures of a page (or of all, `page` None) rest on what."""

    page: LinkPiece | None
    counts: tuple[int, ...]

    @property
    def figures(self) -> int:
        return sum(self.counts)

    @property
    def share(self) -> str:
        """The part that rests on something, never rounded up to all of it."""
        if not self.figures:
            return "–"
        resting = self.figures - self.counts[STANDINGS.index("loose")]
        return f"{1000 * resting // self.figures / 10:g}\u00a0%"


def _coverage(overview: Overview) -> Rendered:
    by_page: dict[str, Counter[str]] = {}
    for entry in overview.report.entries:
        by_page.setdefault(entry.page, Counter())[entry.standing] += 1
    rows = [
        PageCoverage(page_link(overview.book.pages[page]), tuple(counts[name] for name in STANDINGS))
        for page, counts in ((page, by_page[page]) for page in overview.reading_order(by_page))
    ]
    total = PageCoverage(
        None, tuple(sum(row.counts[place] for row in rows) for place in range(len(STANDINGS)))
    )
    return render("coverage.html.j2", rows=rows, total=total, standings=STANDINGS)


# --- sources ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class SourceUse:
    """A source, and how many figures of which pages name it."""

    source: SourceEntry
    pages: tuple[tuple[LinkPiece, int], ...]


def _sources(overview: Overview) -> Rendered:
    uses: dict[str, Counter[str]] = {}
    for entry in overview.report.entries:
        if entry.judged is not None and entry.judged.source is not None:
            uses.setdefault(entry.judged.source.id, Counter())[entry.page] += 1
    used = [
        SourceUse(
            source,
            tuple(
                (page_link(overview.book.pages[page]), uses[source.id][page])
                for page in overview.reading_order(uses.get(source.id, ()))
            ),
        )
        for source in overview.book.sources.values()
    ]
    return render(
        "all-sources.html.j2",
        groups=[
            (to_say("Cited"), [use for use in used if not use.source.hearsay]),
            (to_say("Told, and unverified"), [use for use in used if use.source.hearsay]),
        ],
    )


# --- the series -------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class EpisodeRow:
    """An episode: where it stands, what it changed, and how the car stands after it."""

    episode: Episode
    page: LinkPiece
    cars: tuple[str, ...]
    time: str
    mass: Cell
    mass_so_far: Cell
    cost: Cell


@dataclass(frozen=True, kw_only=True)
class SeriesInWords:
    """One series ready for the page."""

    series: SeriesOfPages
    rows: tuple[EpisodeRow, ...]
    total_time: str
    total_mass: Cell
    total_cost: Cell
    remarks: tuple[str, ...]
    cars: tuple[tuple[str, tuple[CarState, ...]], ...]
    charts: tuple[DrawnChart, ...]


def _series(overview: Overview, draw: Draw, cache: IdentityCache) -> Rendered:
    parts = []
    alone = len(overview.series) == 1
    for number, series in enumerate(overview.series, start=1):
        pages = [episode.page.key for episode in series.episodes]
        of = [thing for page in pages if overview.made for thing in overview.rests_on(page)]
        make = partial(_render_series, overview.book, series, draw=draw, number=number, alone=alone)
        cars = overview.book.cars.values()
        parts.append(cache.get(("series", pages[0]), (*of, *cars), make, like=(number, alone)))
    return render("all-series.html.j2", parts=parts)


def _render_series(book: Book, series: SeriesOfPages, *, draw: Draw, number: int, alone: bool) -> Rendered:
    return render("series.html.j2", told=_told(book, series, draw, number), alone=alone)


def _told(book: Book, series: SeriesOfPages, draw: Draw, number: int) -> SeriesInWords:
    rows = tuple(_episode_row(series, episode) for episode in series.episodes)
    mass, weighed = series.total_mass()
    cost, priced = series.total_cost()
    seconds, timed = series.total_seconds()
    remarks = [
        say(text, known=known, count=len(series.episodes))
        for text, known in (
            (to_say("The time is that of {known} of {count} episodes."), timed),
            (to_say("The mass is that of {known} of {count} episodes."), weighed),
            (to_say("The cost is that of {known} of {count} episodes."), priced),
        )
        if 0 < known < len(series.episodes)
    ]
    names = sorted({block.car for episode in series.episodes for block in episode.page.blocks if block.car})
    cars = [(name, tuple(car_states(book, name))) for name in names if name in book.cars]
    return SeriesInWords(
        series=series,
        rows=rows,
        total_time=_hours(seconds if timed else None),
        total_mass=cell_of(mass, signed=True),
        total_cost=cell_of(cost),
        remarks=tuple(remarks),
        cars=tuple((name, states) for name, states in cars if states),
        charts=tuple(draw_charts(charts_of(series), draw, f"series_{number}")),
    )


def _episode_row(series: SeriesOfPages, episode: Episode) -> EpisodeRow:
    so_far = Cell()
    if episode.mass:
        so_far = cell_of(series.total_mass(episode.number)[0], signed=True)
    return EpisodeRow(
        episode=episode,
        page=page_link(episode.page),
        cars=_cars(episode),
        time=_hours(episode.seconds),
        mass=cell_of(episode.mass, signed=True),
        mass_so_far=so_far,
        cost=cell_of(episode.cost),
    )


_LATEST = to_say("the latest")


def _cars(episode: Episode) -> tuple[str, ...]:
    """The states of cars that the episode's blocks compute with; none is said where all of a car's blocks
    follow its sheet."""
    states_of: dict[str, dict[str, None]] = {}
    for block in episode.page.blocks:
        for state in block.states if block.car else ():
            states_of.setdefault(block.car, {})[_state_in_words(state)] = None
    between = f" {say('and')} "
    return tuple(
        car if list(states) == [_LATEST] else f"{car}, {between.join(map(say, states))}"
        for car, states in states_of.items()
    )


def _state_in_words(state: str | int | None) -> str:
    if state is None:
        return _LATEST
    return say("state {number}", number=state) if isinstance(state, int) else state


def _hours(seconds: float | None) -> str:
    if seconds is None:
        return ""
    return f"{write_number(seconds / 3600, 1).removesuffix('.0')}\u00a0h"
