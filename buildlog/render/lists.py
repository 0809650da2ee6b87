"""Lists of the whole site: all figures, how many of them rest on something, the sources, the series, the
cautions. An author puts a marker where one of them is to stand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from buildlog.book.book import Book
from buildlog.diagnostics import Refused
from buildlog.figures.labels import plain, write_number
from buildlog.figures.stated import parse
from buildlog.kinds.hazards import HAZARDS
from buildlog.kinds.results import Value, card_anchor, row_anchor
from buildlog.proof.judging import Entry
from buildlog.proof.overview import Overview
from buildlog.proof.series import CarState, Episode, SeriesOfPages, car_states, charts_of
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.markers import LISTS
from buildlog.render.conversion import OtherLabel, other_label
from buildlog.render.drawn import Draw, Drawn, drawn_charts
from buildlog.render.figure import what_in_words
from buildlog.render.howto import page_link
from buildlog.render.identity_cache import IdentityCache
from buildlog.render.pieces import LinkPiece, Rendered, render
from buildlog.render.quantities import other_of, shown

STANDINGS = ("computed", "cited", "told", "loose")


def render_list(name: str, overview: Overview, draw: Draw, kept: IdentityCache | None = None) -> Rendered:
    """The list of this name, one of `buildlog.reading.markers.LISTS`. `kept` has parts of an earlier one."""
    made: dict[str, Callable[[], Rendered]] = {
        "ledger": lambda: _ledger(overview, kept or IdentityCache()),
        "coverage": lambda: _coverage(overview),
        "sources": lambda: _sources(overview),
        "series": lambda: _series(overview, draw, kept or IdentityCache()),
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
    other: OtherLabel | None
    standing: str
    rests_on: LinkPiece | str
    computed: str
    computed_other: OtherLabel | None
    verdict: str
    by_figure: int = 0
    by_ground: int = 0
    number: tuple[int, float, str] = (1, 0.0, "")
    cells: Rendered | None = None


def _ledger(overview: Overview, kept: IdentityCache) -> Rendered:
    rows: list[LedgerRow] = []
    for page in overview.reading_order(overview.entries):
        entries = overview.entries[page]
        of = (overview.book.pages[page], *entries)
        rows += kept.get(("rows", page), of, partial(_rows, overview.book, entries))
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
    return row.rests_on if isinstance(row.rests_on, str) else row.rests_on.text


def _row(book: Book, entry: Entry) -> LedgerRow:
    judged = entry.judged
    label = plain(entry.label).text or (judged.text if judged else "")
    computed = judged.computed_text if judged else ""
    verdict = ""
    if judged is not None and not judged.agrees:
        verdict = "disagrees"
    elif entry.standing == "computed":
        verdict = "agrees"
    return LedgerRow(
        page=page_link(book.pages[entry.page]),
        line=entry.position.line,
        label=label,
        other=other_label(judged) if judged else None,
        standing=entry.standing,
        rests_on=_rests_on(entry),
        computed=computed,
        computed_other=other_label(replace(judged, text=computed)) if judged and computed else None,
        verdict=verdict,
    )


def _rests_on(entry: Entry) -> LinkPiece | str:
    judged = entry.judged
    if judged is None:
        return "nothing"
    if judged.source is not None:
        return _source_title(judged.source)
    block = judged.block
    if block is None:
        return judged.address
    anchor = (
        row_anchor(block.id, judged.output, judged.key)
        if judged.output and block.cases
        else card_anchor(block.id)
    )
    title = block.title or block.id
    words = f"{title}: {what_in_words(judged, block)}" if judged.output else title
    return LinkPiece(page=block.page, anchor=anchor, text=words)


def _source_title(source: SourceEntry) -> str:
    return source.who if source.hearsay else source.title


@dataclass(frozen=True)
class Covered:
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
        Covered(page_link(overview.book.pages[page]), tuple(counts[name] for name in STANDINGS))
        for page, counts in ((page, by_page[page]) for page in overview.reading_order(by_page))
    ]
    total = Covered(None, tuple(sum(row.counts[place] for row in rows) for place in range(len(STANDINGS))))
    return render("coverage.html.j2", rows=rows, total=total, standings=STANDINGS)


# --- sources ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Used:
    """A source, and how many figures of which pages name it."""

    source: SourceEntry
    pages: tuple[tuple[LinkPiece, int], ...]


def _sources(overview: Overview) -> Rendered:
    uses: dict[str, Counter[str]] = {}
    for entry in overview.report.entries:
        if entry.judged is not None and entry.judged.source is not None:
            uses.setdefault(entry.judged.source.id, Counter())[entry.page] += 1
    used = [
        Used(
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
            ("Cited", [one for one in used if not one.source.hearsay]),
            ("Told, and unverified", [one for one in used if one.source.hearsay]),
        ],
    )


# --- the series -------------------------------------------------------------------------------


@dataclass(frozen=True)
class LedgerCell:
    """A value of the series' table in both systems of units; empty where it is not known."""

    text: str = ""
    other: str = ""
    system: str = ""


@dataclass(frozen=True, kw_only=True)
class EpisodeRow:
    """An episode: where it stands, what it changed, and how the car stands after it."""

    episode: Episode
    page: LinkPiece
    cars: tuple[str, ...]
    time: str
    mass: LedgerCell
    mass_so_far: LedgerCell
    cost: LedgerCell


@dataclass(frozen=True, kw_only=True)
class Told:
    """One series ready for the page."""

    series: SeriesOfPages
    rows: tuple[EpisodeRow, ...]
    total_time: str
    total_mass: LedgerCell
    total_cost: LedgerCell
    remarks: tuple[str, ...]
    cars: tuple[tuple[str, tuple[CarState, ...]], ...]
    charts: tuple[Drawn, ...]


def _series(overview: Overview, draw: Draw, kept: IdentityCache) -> Rendered:
    parts = []
    alone = len(overview.series) == 1
    for number, series in enumerate(overview.series, start=1):
        pages = [one.page.key for one in series.episodes]
        of = [one for page in pages if overview.made for one in overview.rests_on(page)]
        make = partial(_one_series, overview.book, series, draw, number, alone)
        cars = overview.book.cars.values()
        parts.append(kept.get(("series", pages[0]), (*of, *cars), make, like=(number, alone)))
    return render("all-series.html.j2", parts=parts)


def _one_series(book: Book, series: SeriesOfPages, draw: Draw, number: int, alone: bool) -> Rendered:
    return render("series.html.j2", told=_told(book, series, draw, number), alone=alone)


def _told(book: Book, series: SeriesOfPages, draw: Draw, number: int) -> Told:
    rows = tuple(
        EpisodeRow(
            episode=one,
            page=page_link(one.page),
            cars=_cars(one),
            time=_hours(one.seconds),
            mass=_cell(one.mass, signed=True),
            mass_so_far=_cell(series.total_mass(one.number)[0], signed=True) if one.mass else LedgerCell(),
            cost=_cell(one.cost),
        )
        for one in series.episodes
    )
    mass, weighed = series.total_mass()
    cost, priced = series.total_cost()
    seconds, timed = series.total_seconds()
    remarks = [
        f"The {what} is that of {known} of {len(series.episodes)} episodes."
        for what, known in (("time", timed), ("mass", weighed), ("cost", priced))
        if 0 < known < len(series.episodes)
    ]
    names = sorted({block.car for one in series.episodes for block in one.page.blocks if block.car})
    cars = [(name, tuple(car_states(book, name))) for name in names if name in book.cars]
    return Told(
        series=series,
        rows=rows,
        total_time=_hours(seconds) if timed else "",
        total_mass=_cell(mass, signed=True),
        total_cost=_cell(cost),
        remarks=tuple(remarks),
        cars=tuple((name, states) for name, states in cars if states),
        charts=tuple(drawn_charts(charts_of(series), draw, f"series_{number}")),
    )


_LATEST = "the latest"


def _cars(episode: Episode) -> tuple[str, ...]:
    """The states of cars that the episode's blocks compute with; none is said where all of a car's blocks
    follow its sheet."""
    found: dict[str, dict[str, None]] = {}
    for block in episode.page.blocks:
        if block.car:
            state = f"state {block.car_state}" if block.car_state is not None else _LATEST
            found.setdefault(block.car, {})[state] = None
    return tuple(
        car if list(states) == [_LATEST] else f"{car}, {' and '.join(states)}"
        for car, states in found.items()
    )


def _hours(seconds: float | None) -> str:
    return f"{write_number(seconds / 3600, 1).removesuffix('.0')}\u00a0h" if seconds is not None else ""


def _cell(value: Value | None, *, signed: bool = False) -> LedgerCell:
    if value is None:
        return LedgerCell()
    plus = "+" if signed and value.si > 0 else ""
    other = other_of([value])
    return LedgerCell(
        plus + shown(value).text,
        plus + other.shown(value).text if other else "",
        other.system if other else "",
    )
