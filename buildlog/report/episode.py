"""The text of a new episode: a block that computes, and figures whose labels are what it computes."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

from buildlog.book.addresses import change
from buildlog.book.book import Book
from buildlog.diagnostics import Position, Refused
from buildlog.figures import units
from buildlog.figures.labels import write_figure
from buildlog.kinds.kind import Kind
from buildlog.kinds.results import BlockResult, Value
from buildlog.proof.judging import Places, judge_figure
from buildlog.reading.addresses import read_address
from buildlog.reading.settings import Settings

_PLAIN = re.compile(r"[^\W\d_](?:[\w -]*\w)?")
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

# {title}

What was wrong, what you wanted, and what it may cost: two or three sentences.

## What we decided it on

The inputs are an example: put yours in, and correct the figures below as the proof tells you to. What each
one means is said by `buildlog kinds {kind}`.

```yaml calc
{block}
```

{figures}

<!-- Figures, and what they rest on (nobody sees this comment; take it out when you know it):

A computed figure is a link to a block. Its label must agree with what the block computes:
    {example}
An empty label is filled in with the computed value:
    [](calc:…)
“about”, “under”, “400 to 450 hp” and a tolerance in the title mean what they say:
    [about 5 %](calc:… "vs CASE")    [12.4 s](calc:… "± 0.2 s")
What you read somewhere is cited, and what somebody said is told:
    [39 N·m](cite:gearbox-sheet.filler-plug "for the filler plug")    [240 hp](told:last-owner)
The first one goes onto the workshop sheet too, since it says what it is for.
Both have an entry in sources.yml:
    gearbox-sheet: {{title: Five-speed gearbox, publisher: Quern Gearboxes, edition: 4th edition, page: "5"}}
    last-owner: {{who: the last owner, when: when we bought the car}}
-->

## How it goes in

1. Number the steps, so that a reader can say where they are.

**To undo it**, say what has to be kept.

## What came of it

What you measured afterwards, and whether you would do it again.
"""


def episode_text(title: str, kind: Kind) -> str:
    """An episode that proofs clean, with the example block of a kind's manual page."""
    block = kind.examples[0].strip()
    fence = f"# Page\n\n```yaml calc\n{block}\n```\n"
    book = Book(settings=Settings(content=Path(".no-content-folder")), root=Path.cwd()).with_page(
        "page", fence
    )
    result = next(iter(book.results.values()))
    figures = list(_figures(book, result))
    return _PAGE.format(
        title=title,
        quoted=title if _PLAIN.fullmatch(title) else json.dumps(title, ensure_ascii=False),
        kind=kind.name,
        block=block,
        figures="\n".join(f"- {line}" for line, _ in figures),
        example=figures[0][1],
    )


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
    """``, which is 5 % more than …``, where the change can be said so and is not nothing. Of a percentage,
    percentage points: 5 % more than 50 % could be either."""
    try:
        target = book.target("page", read_address(address))
        points = target.number.unit == "%"
        share = change(target, book.other("page", target, versus), "difference" if points else "percent").si
    except Refused:
        return ""
    number = f"{abs(share) * 100:.2g}"
    symbol = units.find("%").difference_symbol(number) if points else "%"
    label = f"{number} {symbol}"
    if not 0.001 < abs(share) < 10 or "e" in label or not _agrees(book, label, address, f"vs {versus}"):
        return ""
    direction = "more" if share > 0 else "less"
    return f', [{label}]({address} "vs {versus}") {direction} than {versus}'
