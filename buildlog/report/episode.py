"""The text of a new episode: a block that computes, and figures whose labels are what it computes."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from buildlog.book.addresses import change
from buildlog.book.book import Book
from buildlog.diagnostics import Position, Refused
from buildlog.figures import units
from buildlog.figures.labels import write_figure
from buildlog.kinds.kind import Kind
from buildlog.kinds.results import BlockResult, Value, has_shares
from buildlog.proof.judging import Places, judge_figure
from buildlog.reading.addresses import read_address
from buildlog.reading.nodes import YamlMapping, read_yaml, whole_file
from buildlog.reading.settings import Settings

_PLAIN = re.compile(r"[^\W\d_](?:[\w -]*\w)?")
_SPECIAL = re.compile(r"([\\`*\[\]|]|(?<![^\W_])_|_(?![^\W_]))")  # an underscore within a word is one
_SHOWN = 3
_PAGE = """\
---
title: {quoted}
# About the job. Take the # and the space behind it away, from “buildlog:” and from what you can say: the
# page then has a summary and a workshop sheet.
# buildlog:
#   series: The name of the series
#   episode: 1
#   time: 3 h
#   skill: who can do it
#   reversible: yes
#   tools: [torque wrench, two stands]
#   consumables: [gear oil]
#   measure:
#     - Backlash as it was: mm
#   steps: How it goes in
#   undo:
#     - How to put it back.
---

# {heading}

What was wrong, what you wanted, and what it may cost: two or three sentences.

## What we decided it on

The inputs are an example: put yours in, and correct the figures below as the proof tells you to. What each
one means is said by `buildlog kinds {kind}`.{from_sheet}

```yaml calc
{block}
```

{figures}
{decided}
<!-- Figures, and what they rest on (nobody sees this comment; take it out when you know it):

A computed figure is a link to a block. Its label must agree with what the block computes:
    {example}
An empty label is filled in with the computed value:
    [](calc:…)
“about”, “under”, “400 to 450 hp” and a tolerance in the title mean what they say:
    [about 5 %](calc:… "vs CASE")    [12.4 s](calc:… "± 0.2 s")
What you read somewhere is cited, and what somebody said is told:
    [90 N·m](cite:workshop-manual.wheel-nuts "for the wheel nuts")    [160 km/h](told:last-owner)
The first one goes onto the workshop sheet too, since it says what it is for.
Both have an entry in sources.yml:
    workshop-manual: {{title: Workshop manual, publisher: its maker, facts: {{wheel-nuts: 90 N·m}}}}
    last-owner: {{who: the last owner, when: when we bought the car}}
-->

## How it goes in

1. Number the steps, so that a reader can say where they are.
{cited}
**To undo it**, say what has to be kept.

## What came of it

What you measured afterwards, and whether you would do it again.{told}
"""
_CITED = """\
2. Put the wheels back on and tighten their nuts, in the order that the manual gives, to
   [90 N·m](cite:workshop-manual.wheel-nuts "for the wheel nuts").
"""
_TOLD = " The last owner had said\nthat it does [about 160 km/h](told:last-owner), which nobody can look up."
_FROM_SHEET = " What it leaves out is in the car's sheet,\n`content/cars/{car}.yml`."
_DECIDED = {
    "gearing": """
The price of a shorter drive is noise on the way there, so we said beforehand how much of it we would bear:

```yaml calc
id: choice
kind: decision
title: The shorter drive, or the one we have
requires:
  - name: fifth turns no faster than we bear at 100 km/h
    key: cruise
    value:
      before: calc:shorter-final.before.rpm_at.5
      after: calc:shorter-final.after.rpm_at.5
    at_most: 4500 rpm
options: [before, after]
chosen: after
```

The shorter one is [good enough](calc:choice.after).
"""
}
"""What the example of the kind that a site begins with is decided by."""
# fmt: off
_OF_THE_CAR = frozenset((
    "centre_of_gravity_height", "clutch_inertia", "cylinders", "displacement", "drag_area",
    "drive_axle_share", "driveline_efficiency", "engine_displacement", "engine_inertia", "engine_torque",
    "final_drive", "firing_order", "flywheel_inertia", "front_track", "gears", "rear_track", "rev_limit",
    "rolling_circumference", "rolling_coefficient", "rolling_radius", "shift_time", "standard_tyre",
    "static_radius", "torque_curve", "tyre", "tyre_friction", "vehicle_mass", "volumetric_efficiency",
    "wheel_inertia", "wheelbase",
))
# fmt: on
"""Inputs that are true of a car in every episode, and so belong into its sheet."""


@dataclass(frozen=True, kw_only=True)
class Episode:
    """`line` is the first line that states a figure; `of_the_car` are the lines of the car's sheet that its
    block takes inputs from, "" where the kind has none that are a car's."""

    text: str
    line: str
    of_the_car: str


def episode_text(title: str, kind: Kind) -> str:
    """An episode that proofs clean, with the example block of a kind's manual page."""
    return episode(title, kind, car="", cited=False).text


def episode(title: str, kind: Kind, *, car: str, cited: bool) -> Episode:
    """The same on a site whose sheet `car` gives what its block leaves out, "" where there is none; `cited`
    where the sources of a new site are there to rest on."""
    block = kind.examples[0].strip()
    fence = f"# Page\n\n```yaml calc\n{block}\n```\n"
    book = Book(settings=Settings(content=Path(".no-content-folder")), root=Path.cwd()).with_page(
        "page", fence
    )
    result = next(iter(book.results.values()))
    figures = list(_figures(book, result))
    of_the_car = ""
    if car:
        of_the_car, block = _without_the_car(block, car)
    text = _PAGE.format(
        heading=as_text(title),
        quoted=title if _PLAIN.fullmatch(title) else json.dumps(title, ensure_ascii=False),
        kind=kind.name,
        from_sheet=_FROM_SHEET.format(car=car) if of_the_car else "",
        block=block,
        figures="\n".join(f"- {line}" for line, _ in figures),
        decided=_DECIDED.get(kind.name, "") if cited else "",
        example=figures[0][1],
        cited=_CITED if cited else "",
        told=_TOLD if cited else "",
    )
    return Episode(text=text, line=figures[0][0], of_the_car=of_the_car)


def as_text(title: str) -> str:
    """A title as Markdown that shows it as it is."""
    return _SPECIAL.sub(r"\\\1", title).replace("&", "&amp;").replace("<", "&lt;")


def _without_the_car(block: str, car: str) -> tuple[str, str]:
    """Those lines of a block's inputs that are the car's; and the block without them, naming the sheet."""
    root, _ = read_yaml(block, whole_file(""))
    inputs = root.get("inputs") if isinstance(root, YamlMapping) else None
    if not isinstance(inputs, YamlMapping) or not any(key.text in _OF_THE_CAR for key, _ in inputs.entries):
        return "", block
    lines = block.split("\n")
    begins = [key.position.line - 1 for key, _ in inputs.entries]
    after = [
        *begins[1:],
        next((n for n in range(begins[-1] + 1, len(lines)) if lines[n][:1] != " "), len(lines)),
    ]
    moved = {
        number
        for (key, _), begin, end in zip(inputs.entries, begins, after, strict=True)
        if key.text in _OF_THE_CAR
        for number in range(begin, end)
    }
    kept = [line for number, line in enumerate(lines) if number not in moved]
    kept.insert(next(number for number, line in enumerate(kept) if line.startswith("inputs:")), f"car: {car}")
    return "\n".join(lines[number] for number in sorted(moved)), "\n".join(kept)


def _figures(book: Book, result: BlockResult) -> Iterator[tuple[str, str]]:
    """Lines on a few quantities of the last case, those first that the cases differ in: (the line, its first
    figure). The second has an empty label, and changes against the first case are figures too."""
    first, last = next(iter(result.cases)), list(result.cases)[-1]
    found: dict[str, tuple[bool, str, str, str]] = {}
    for output, key in result.rows():
        value = result.value(last, output.name, key)
        if output.name in found or not isinstance(value, Value) or not value.unit:
            continue
        if any(sign.isdigit() for sign in output.title):
            continue  # a number there would be a figure that rests on nothing
        address = "calc:" + ".".join(part for part in (result.id, last, output.name, key) if part)
        about = f"{output.title}, {output.key} `{key}`" if key else output.title
        unit = units.find(value.unit, value.dimension)
        label = write_figure(unit.from_si(value.si), value.decimals, unit.symbol).replace("\u00a0", " ")
        if _agrees(book, label, address):
            changed = ""
            if first != last:
                changed = _change(book, address, first)
            found[output.name] = (not changed, about[:1].upper() + about[1:], label, address + " " + changed)
    chosen = sorted(found.values(), key=lambda line: line[0])[:_SHOWN]  # False first: it has a change
    for number, (_, about, label, rest) in enumerate(chosen):
        address, _, changed = rest.partition(" ")
        if number == 1:  # the second one shows that an empty label is filled in
            label = ""
        figure = f"[{label}]({address})"
        yield f"{about}: {figure}{changed}.", figure


def _agrees(book: Book, label: str, address: str, title: str = "") -> bool:
    return judge_figure(
        book, "page", label=label, address=address, title=title, places=Places.all_at(Position("page"))
    ).agrees


def _change(book: Book, address: str, versus: str) -> str:
    """``, which is 5 % more than …``, where the change can be said so and is more than its doubt. Where a
    share would mislead it is a difference: 5 % more than 50 % could be either, and than 20 °C or −80 Pa it
    is neither."""
    try:
        target = book.target("page", read_address(address))
        other = book.other("page", target, versus)
        as_share = _is_told_in_shares(target.number) and _is_told_in_shares(other.number)
        changed = change(target, other, "percent" if as_share else "difference")
    except Refused:
        return ""
    if abs(changed.si) <= changed.expanded_uncertainty:
        return ""  # smaller than its doubt: nobody knows that there is one
    unit = units.find(changed.unit, changed.dimension)
    size = abs(unit.from_si_difference(changed.si))
    in_percent = changed.unit in ("%", "percentage points")
    number = f"{size:.2g}" if in_percent else write_figure(size, changed.decimals, "")
    label = f"{number} {'%' if as_share else unit.difference_symbol(number)}".rstrip()
    is_told = 0.1 < size < 1000 if in_percent else round(size, changed.decimals) > 0
    if not is_told or "e" in number or not _agrees(book, label, address, f"vs {versus}"):
        return ""
    direction = "more" if changed.si > 0 else "less"
    return f', [{label}]({address} "vs {versus}") {direction} than {versus}'


def _is_told_in_shares(value: Value) -> bool:
    """Whether “5 % more” says one thing: on a scale with a true zero, above it, and not of a percentage; of
    kelvins that lie between two temperatures a reader wants the kelvins."""
    is_between = value.dimension == "temperature difference"
    return has_shares(value) and not is_between and value.unit != "%" and value.si > 0
