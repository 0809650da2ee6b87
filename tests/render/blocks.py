"""Blocks for the tests: computed by the real calculators from the text an author would write."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from buildlog.book.book import Book
from buildlog.kinds.declaration import Input, Output, Source, Text
from buildlog.kinds.results import BlockResult, CaseResult, GivenInput, Value
from buildlog.reading.settings import Settings

GEARING = """\
id: shorter-final
kind: gearing
title: A shorter final drive
inputs:
  gears: [3.32, 2.04, 1.43, 1.13, 1.00]
  tyre: 195/50R15
  rev_limit: 8200 rpm
  cruise_speed: 100 km/h
cases:
  before: {final_drive: 39/10}
  after: {final_drive: 41/9}
"""


def fence(body: str) -> str:
    """A block as it stands in a page."""
    return f"```yaml calc\n{body}```\n"


def compute(body: str, page: str = "episode") -> BlockResult:
    """The computed block of a page that holds nothing else."""
    from pathlib import Path

    book = Book(settings=Settings(content=Path("no-content")), root=Path.cwd()).with_page(page, fence(body))
    return next(iter(book.by_place.values()))


def uncertain(body: str = GEARING) -> BlockResult:
    """The gearing block with a measured, uncertain rolling circumference."""
    return compute(body.replace("cruise_speed:", "rolling_circumference: 1.752 ± 0.003 m\n  cruise_speed:"))


def made_of(text: str, case: str = "only", other: str = "second") -> BlockResult:
    """A block whose every string is the author's: what a calculator with free text and named rows gives."""
    block = compute(GEARING)
    assert block.calculator is not None
    said = f"said {text}"  # more than the title, so that it shows
    note = Input(name="note", title=text, form=Text(), about=said)
    outputs = (
        Output(name="mass", title=text, dimension="mass", unit="kg", about=said, decimals=1, key="part"),
        Output(name="length", title=text, dimension="length", unit="m", about=said, decimals=2),
        Output(name="word", title=text, dimension="text", unit="", about=said),
    )
    source = Source(id="it", title=text, publisher=text, edition=text, where=text, standing=text)
    calculator = replace(
        block.calculator, inputs=(note,), outputs=outputs, sources=(source,), hazards=("lifting",)
    )
    given = {
        "note": GivenInput(
            declared=note, value=text, written=text, origin="block", position=None, reference=text
        ),
        "other": GivenInput(
            declared=note, value=text, written=text, origin="data", position=None, reference=text
        ),
    }
    length = Value(si=1.5, dimension="length", unit="m", decimals=2, contributions={text: 0.01})
    values: dict[str, Any] = {
        "mass": {text: Value(si=2.0, dimension="mass", unit="kg", decimals=1)},
        "length": length,
        "word": text,
    }
    cases = {
        name: CaseResult(
            name=name,
            given={**given, "note": replace(given["note"], origin=origin)},
            values=values,
            steps=(),
            remarks=(text,),
        )
        for name, origin in ((case, "car"), (other, "default"))
    }
    return replace(
        block, title=text, kind=text, car=text, calculator=calculator, cases=cases, charts=(), id="made"
    )
