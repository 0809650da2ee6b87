"""What a reader is told of results that may be beyond what they have to keep to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import floor, log10

from buildlog.figures import units
from buildlog.figures.labels import write_figure
from buildlog.figures.spread import place_beside, rounded
from buildlog.kinds.doubt import DIGIT, UNCERTAINTY, Limit, Sureness
from buildlog.kinds.results import Value
from buildlog.said import Said, completed, said


def remarks_of_limits(limits: Iterable[Limit], values: Mapping[str, object]) -> Iterator[Said]:
    """One remark for each limit that a result may not keep to, by its expanded uncertainty; of those that are
    told together, for the one that is passed furthest."""
    passed: dict[object, tuple[Limit, Value]] = {}
    for place, limit in enumerate(limits):
        value = _value(values, limit)
        if value is None or limit.holds(*value.ends):
            continue
        if limit.surely and not limit.is_broken(*value.ends):
            continue
        name = limit.together or place
        if name not in passed or limit.beyond(*value.ends) > passed[name][0].beyond(*passed[name][1].ends):
            passed[name] = limit, value
    for limit, value in passed.values():
        yield _told(limit, value)


def remarks_of_sureness(told: Iterable[Sureness], values: Mapping[str, object]) -> Iterator[Said]:
    """One remark for each result whose uncertainty a kind has something to say of; none where it has none."""
    for one in told:
        value = _value(values, one)
        if value is not None and value.expanded_uncertainty > 0:
            yield _filled(one.says, value)


def _value(values: Mapping[str, object], about: Limit | Sureness) -> Value | None:
    value = values.get(about.output)
    if isinstance(value, dict):
        value = value.get(about.key)
    return value if isinstance(value, Value) else None


def _filled(says: Said, value: Value) -> Said:
    unit = units.find(value.unit, value.dimension)
    spread = abs(unit.from_si_difference(value.expanded_uncertainty))
    place = place_beside(spread, value.decimals)
    shown = rounded(spread, place)
    first = floor(log10(shown))
    told = {
        UNCERTAINTY: write_figure(shown, max(0, place), unit.difference_symbol()),
        DIGIT: write_figure(10.0**first, max(0, -first), unit.difference_symbol()),
    }
    return completed(says, told)


def _told(limit: Limit, value: Value) -> Said:
    """What a limit says; where only the uncertainty reaches it, how sure the value is."""
    says = limit.sentence(*value.ends)
    if not limit.is_met(value.si, 0.0):
        return says
    unit = units.find(value.unit, value.dimension)
    spread = abs(unit.from_si_difference(value.expanded_uncertainty))
    place = place_beside(spread, value.decimals)
    decimals = max(0, place)
    shown = write_figure(rounded(unit.from_si(value.si), place), decimals, unit.symbol)
    if value.interval is not None:
        low, high = (
            write_figure(rounded(unit.from_si(end), place), decimals, unit.symbol) for end in value.interval
        )
        return said(
            "{says} It is {shown}, somewhere from {low} to {high}, and the uncertainty counts.",
            says=says,
            shown=shown,
            low=low,
            high=high,
        )
    wide = write_figure(rounded(spread, place), max(0, place), unit.difference_symbol())
    return said(
        "{says} It is {shown} with ± {wide}, and the uncertainty counts.", says=says, shown=shown, wide=wide
    )
