"""What is on a car today by the files of its parts, what came off and where it lies, and what brings the car
back to what its maker built.

Today is the newest day that any part's file tells of: a clock would make another page of the same files.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from buildlog.book.book import Book
from buildlog.book.parts import price_or_mass
from buildlog.kinds.results import Value, change_between
from buildlog.proof.series import total_of
from buildlog.reading.parts import Part, PartEvent


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step of the way back: `off` comes off the car (None where nothing has to), `back` goes on in its
    place. `mass` is what the car gains by it, None where a mass is not known."""

    off: Part | None
    back: tuple[Part, ...]
    mass: Value | None = None

    @property
    def lost(self) -> tuple[Part, ...]:
        """What should go back and cannot."""
        return tuple(part for part in self.back if part.is_gone)

    @property
    def fitted(self) -> PartEvent | None:
        """When what comes off went on."""
        return self.off.event("fitted") if self.off is not None else None


@dataclass(frozen=True, kw_only=True)
class CarOfParts:
    """A car by its parts. `car` is the sheet's name, "" where the site has no sheet. `on` is in the order in
    which the parts went on, `off` what is not on it, the last that came off first; `lost` are standard parts
    that cannot go back. `mass` is what all steps together do to the car."""

    car: str
    day: str
    on: tuple[Part, ...]
    off: tuple[Part, ...]
    steps: tuple[Step, ...]
    lost: tuple[Part, ...]
    mass: Value | None


def cars_of_parts(book: Book) -> list[CarOfParts]:
    """Every car that parts are of, by name."""
    day = newest_day(book)
    by_car: dict[str, list[Part]] = {}
    for _, part in sorted(book.parts.items()):
        for car in dict.fromkeys((*(event.car for event in part.history), *part.cars)):
            if car or not part.cars:
                by_car.setdefault(car or only_car(book), []).append(part)
        if not part.history and not part.cars:
            by_car.setdefault(only_car(book), []).append(part)
    return [_car(book, car, unique(parts), day) for car, parts in sorted(by_car.items())]


def unique(parts: Iterable[Part]) -> list[Part]:
    """Parts, each once."""
    return list({part.id: part for part in parts}.values())


def newest_day(book: Book) -> str:
    """The newest day that a part's history tells of, "" for none."""
    return max((event.day for part in book.parts.values() for event in part.history), default="")


def only_car(book: Book) -> str:
    """The car of parts that name none: the site's only one, or "" where there are none or several."""
    return next(iter(book.cars)) if len(book.cars) == 1 else ""


def car_of(book: Book, part: Part, event: PartEvent) -> str:
    """The car that a part was fitted to."""
    return event.car or (part.cars[0] if len(part.cars) == 1 else only_car(book))


def is_on(book: Book, part: Part, car: str) -> bool:
    """Whether a part is on a car, by the last that its file tells."""
    return part.last is not None and part.is_on and car_of(book, part, part.last) == car


# --- what replaces what --------------------------------------------------------------------------


def older_than(parts: Mapping[str, Part]) -> dict[str, frozenset[str]]:
    """By part, the parts that it replaces, and those that these replace, to the end."""
    found: dict[str, frozenset[str]] = {}
    for name in parts:
        waiting = [*(parts[name].replaces or ())]
        seen: set[str] = set()
        while waiting:
            other = waiting.pop()
            if other in seen or other not in parts:
                continue
            seen.add(other)
            if other in found:  # all of its own are known
                seen |= found[other]
            else:
                waiting += parts[other].replaces or ()
        found[name] = frozenset(seen - {name})
    return found


def _car(book: Book, car: str, parts: list[Part], day: str) -> CarOfParts:
    on = sorted((part for part in parts if is_on(book, part, car)), key=lambda part: _went_on(book, part))
    off = [part for part in parts if not part.is_on]
    off.sort(key=lambda part: _came_off(part), reverse=True)
    older = older_than(book.parts)
    steps = _steps(book, on, off, older)
    lost = tuple(part for step in steps for part in step.lost)
    known = [step.mass for step in steps]
    whole = bool(known) and all(value is not None for value in known)
    return CarOfParts(
        car=car,
        day=day,
        on=tuple(on),
        off=tuple(off),
        steps=tuple(steps),
        lost=lost,
        mass=total_of(known)[0] if whole else None,
    )


def _went_on(book: Book, part: Part) -> tuple[str, int, str]:
    """When a part last went on; those of one day in the order of their episodes, then by name."""
    event = part.event("fitted")
    if event is None:
        return "", 0, part.id
    page = book.pages.get(event.by)
    return event.day, page.howto.episode if page is not None else 0, part.id


def _came_off(part: Part) -> tuple[str, str]:
    event = part.event("taken_off") or part.last
    return (event.day if event is not None else "", part.id)


def _steps(book: Book, on: list[Part], off: list[Part], older: Mapping[str, frozenset[str]]) -> list[Step]:
    """What comes off, the last that went on first, each with what goes back for it. A standard part in whose
    place several stand goes back when the last of them has come off; one in whose place nothing stands goes
    back by itself, at the place of the day on which it came off."""
    changed = [part for part in on if not part.standard]
    back = _to_go_back(on, off, older)
    places: dict[str, list[Part]] = {part.id: [] for part in changed}
    alone: list[Part] = []
    for part in back:
        covered = older[part.id] | {part.id}
        over = [other for other in changed if not older[other.id].isdisjoint(covered)]
        if over:
            places[over[0].id].append(part)  # the first that went on is the last to come off
        else:
            alone.append(part)
    # Of one day what comes off goes first: the place of what went back alone may be under it.
    dated = [(_day_of(part.event("fitted")), 1, number, part) for number, part in enumerate(changed)]
    dated += [(_day_of(part.event("taken_off")), 0, number, part) for number, part in enumerate(alone)]
    dated.sort(key=lambda one: one[:3], reverse=True)
    return [
        _step(book, part, places[part.id]) if kind else _step(book, None, [part])
        for _, kind, _, part in dated
    ]


def _day_of(event: PartEvent | None) -> str:
    return event.day if event is not None else ""


def _to_go_back(on: list[Part], off: list[Part], older: Mapping[str, frozenset[str]]) -> list[Part]:
    """The standard parts that are to go back: not where another standard one stands in their place already,
    or is there to go back and replaces them. A part that cannot be fitted any more is no such other one."""
    candidates = [part for part in off if part.standard]
    instead = [part for part in (*on, *candidates) if part.standard and not part.is_gone]
    return [
        part
        for part in candidates
        if not any(part.id in older[other.id] for other in instead if other is not part)
    ]


def _step(book: Book, off: Part | None, back: list[Part]) -> Step:
    """A step with what it does to the car's mass. What is lost brings nothing back, and how heavy what is
    bought in its place will be nobody knows."""
    step = Step(off=off, back=tuple(back))
    masses = [_mass(book, part) for part in back]
    less = _mass(book, off) if off is not None else None
    if step.lost or any(mass is None for mass in masses) or (off is not None and less is None):
        return step
    gained, _ = total_of(masses)
    if gained is None:
        gained = replace(less, si=0.0, contributions={}) if less is not None else None
    if gained is None:
        return step
    nothing = replace(gained, si=0.0, contributions={})
    return replace(step, mass=change_between(less or nothing, gained))


def _mass(book: Book, part: Part) -> Value | None:
    result = book.part_result(part.id)
    return None if result is None else price_or_mass(result, "mass")
