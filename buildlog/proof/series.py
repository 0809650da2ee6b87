"""Episodes in their series: what comes before and after, and what each did to the car's mass and the purse.

Mass and cost come from the pages' ``parts`` blocks, times from their front matter. What is not known is left
open: a sum says over how many episodes it goes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from buildlog.book.book import Book, Page
from buildlog.diagnostics import Refused
from buildlog.figures import units
from buildlog.figures.stated import parse
from buildlog.kinds.chart import Axis, Bar, BarSpec, Chart
from buildlog.kinds.money import CURRENCY
from buildlog.kinds.results import Value
from buildlog.proof.judging import judge_link
from buildlog.reading.front_matter import Words
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar

# A day's work has not the twenty-four hours that the unit has: only these are added up and drawn.
_WORKING_TIME = ("h", "min")


@dataclass(frozen=True, kw_only=True)
class Episode:
    """One page of a series. `mass` and `cost` are of what was fitted, `seconds` is the time it took; None
    where the page does not say. `currency` is the code of the cost's."""

    page: Page
    number: int
    mass: Value | None = None
    cost: Value | None = None
    currency: str = ""
    seconds: float | None = None


@dataclass(frozen=True)
class SeriesOfPages:
    """The episodes that share a series, by number."""

    name: str
    episodes: tuple[Episode, ...]

    def total_mass(self, last: int | None = None) -> tuple[Value | None, int]:
        """The change of the car's mass up to an episode, and over how many episodes that goes."""
        return total_of(episode.mass for episode in self._until(last))

    def total_cost(self, last: int | None = None) -> tuple[Value | None, int]:
        """The cost up to an episode; None where it was paid in several currencies."""
        return total_of(episode.cost for episode in self._until(last))

    def total_seconds(self) -> tuple[float, int]:
        """The working time of all episodes that give it in hours, and how many do."""
        known = [episode.seconds for episode in self.episodes if episode.seconds is not None]
        return sum(known), len(known)

    def _until(self, last: int | None) -> Iterable[Episode]:
        return (episode for episode in self.episodes if last is None or episode.number <= last)


@dataclass(frozen=True)
class Place:
    """Where a page stands: its series, and its neighbours there."""

    series: SeriesOfPages
    episode: Episode
    before: Episode | None
    after: Episode | None

    @property
    def shown(self) -> tuple[object, ...]:
        """What a page shows of its place: two with the same look the same."""
        around = [
            (episode.page.key, episode.page.title)
            for episode in (self.before, self.after)
            if episode is not None
        ]
        return self.series.name, self.episode.number, self.before is None, around

    @property
    def position(self) -> int:
        return self.series.episodes.index(self.episode) + 1


def all_series(book: Book) -> list[SeriesOfPages]:
    """Every series of the site, in order of its first page."""
    found: dict[str, list[Episode]] = {}
    for page in book.published.values():
        if page.howto.series and page.howto.episode:
            found.setdefault(page.howto.series, []).append(_episode(book, page))
    return [
        SeriesOfPages(name, tuple(sorted(episodes, key=lambda episode: (episode.number, episode.page.key))))
        for name, episodes in found.items()
    ]


def places(every: Iterable[SeriesOfPages]) -> dict[str, Place]:
    """The place of each page that is an episode, by the page's key."""
    found = {}
    for series in every:
        around = [None, *series.episodes, None]
        for at, episode in enumerate(series.episodes, start=1):
            found[episode.page.key] = Place(series, episode, around[at - 1], around[at + 1])
    return found


def _episode(book: Book, page: Page) -> Episode:
    masses: list[Value | None] = []
    costs: list[Value | None] = []
    currencies: set[str] = set()
    for name in page.howto.bill:
        block_id, _, case = name.partition(".")
        result = book.result(page.key, block_id)
        if result is not None and not case:
            # a single case may have a name of its own, which the bill then need not say
            case = next(iter(result.cases), "")
        if result is None or case not in result.cases:
            masses.append(None)
            costs.append(None)
            continue
        masses.append(_value(result.value(case, "mass_change")))
        costs.append(_value(result.value(case, "cost_total")))
        currencies.add(str(result.cases[case].inputs.get(CURRENCY, "")))
    mass, known = total_of(masses)
    cost, priced = total_of(costs)
    currency = currencies.pop() if len(currencies) == 1 else ""
    # A sum with bills left out, or of two currencies, would be no sum of the episode.
    if known < len(masses):
        mass = None
    if priced < len(costs) or not currency:
        cost = None
    return Episode(
        page=page,
        number=page.howto.episode,
        mass=mass,
        cost=cost,
        currency=currency,
        seconds=_seconds(book, page, page.howto.time),
    )


def _value(cell: Value | str | None) -> Value | None:
    return cell if isinstance(cell, Value) else None


def total_of(values: Iterable[Value | None]) -> tuple[Value | None, int]:
    """The sum of the values that are known, and how many those are. Uncertainties of one origin add up, and
    those of different origins combine (JCGM 100:2008, 5.2.2). It is told in the unit of the largest of them.
    None where their dimensions differ."""
    known = [value for value in values if value is not None]
    if not known or len({value.dimension for value in known}) > 1:
        return None, 0
    shares: dict[str, float] = {}
    for value in known:
        for origin, share in value.contributions.items():
            shares[origin] = shares.get(origin, 0.0) + share
    total = sum(value.si for value in known)
    largest = max(known, key=lambda value: abs(value.si))
    return replace(largest, si=total, contributions=shares, low=None, high=None), len(known)


def _seconds(book: Book, page: Page, words: Words | None) -> float | None:
    """The working time where it is one plain figure in hours or minutes."""
    if words is None:
        return None
    label = words.text
    if words.links:
        if len(words.pieces()) != 1 or not judge_link(book, page.key, words.links[0]).agrees:
            return None
        label = words.links[0].label
    with suppress(Refused):
        stated = parse(label)
        unit = next((unit for unit in units.spelt(stated.unit) if unit.symbol in _WORKING_TIME), None)
        if unit is not None and stated.form == "plain":
            return unit.to_si(float(stated.low.value))
    return None


# --- the car --------------------------------------------------------------------------------


@dataclass(frozen=True)
class CarState:
    """A state of a car's sheet: its name (its number where it has none), since when, and which values it
    changed, as written."""

    name: str
    since: str
    changed: tuple[tuple[str, str], ...]


def car_states(book: Book, car: str) -> list[CarState]:
    """The states of a car after the first."""
    return [
        CarState(
            change.state or str(number),
            change.since,
            tuple((name, written(node)) for name, (_, node) in change.inputs.items()),
        )
        for number, change in enumerate(book.cars[car].changes, start=2)
    ]


def written(node: YamlNode) -> str:
    """A value of a sheet as it was written, on one line."""
    if isinstance(node, YamlScalar):
        return " ".join(node.text.split())
    if isinstance(node, YamlList):
        return ", ".join(written(item) for item in node.items)
    if isinstance(node, YamlMapping):
        return ", ".join(f"{key.text} {written(value)}" for key, value in node.entries)
    return ""


# --- charts ---------------------------------------------------------------------------------


def charts_of(series: SeriesOfPages) -> tuple[Chart, ...]:
    """How mass, cost and working time went, a bar for each episode; nothing from fewer than two values."""
    charts: list[Chart] = []
    masses = [(episode, episode.mass) for episode in series.episodes if episode.mass is not None]
    if len(masses) > 1:
        charts.append(
            BarSpec(
                title="The car’s mass since the series began",
                description="What each episode whose parts were weighed added or took away, and what it "
                "comes to." + _left_out(series, [episode for episode, _ in masses]),
                x=Axis("change of mass", "mass", "kg"),
                bars=_waterfall(masses),
            )
        )
    costs = [(episode, episode.cost) for episode in series.episodes if episode.cost is not None]
    if len(costs) > 1 and len({episode.currency for episode, _ in costs}) == 1:
        code = costs[0][0].currency
        charts.append(
            BarSpec(
                title="What it has cost so far",
                description="Cost of parts and material of each episode that gives it, and what it comes to."
                + _left_out(series, [episode for episode, _ in costs]),
                x=Axis("cost", f"money in {code}", code, from_zero=True),
                bars=_waterfall(costs),
            )
        )
    times = [episode for episode in series.episodes if episode.seconds is not None]
    if len(times) > 1:
        charts.append(
            BarSpec(
                title="Working time of each episode",
                description="Hours that each job took." + _left_out(series, times),
                x=Axis("working time", "time", "h", from_zero=True),
                bars=tuple(Bar(label=_called(episode), value=episode.seconds or 0.0) for episode in times),
            )
        )
    return tuple(charts)


def _waterfall(changes: Sequence[tuple[Episode, Value]]) -> tuple[Bar, ...]:
    """A bar for each episode, from where the one before ended, and one for all of them."""
    bars: list[Bar] = []
    at = 0.0
    for episode, change in changes:
        bars.append(_bar(_called(episode), change, start=at))
        at += change.si
    total, _ = total_of(change for _, change in changes)
    return (*bars, _bar("in all", total, style=1)) if total is not None else tuple(bars)


def _bar(label: str, value: Value, *, start: float = 0.0, style: int = 0) -> Bar:
    """A bar whose end is as unsure as its value."""
    end, doubt = start + value.si, value.expanded_uncertainty
    low, high = (end - doubt, end + doubt) if doubt else (None, None)
    return Bar(label=label, value=value.si, start=start, low=low, high=high, style=style)


def _called(episode: Episode) -> str:
    return f"{episode.number} · {episode.page.title}"


def _left_out(series: SeriesOfPages, shown: Sequence[Episode]) -> str:
    missing = [str(episode.number) for episode in series.episodes if episode not in shown]
    if not missing:
        return ""
    return f" Not known, and left out: episode{'s' if len(missing) > 1 else ''} {', '.join(missing)}."
