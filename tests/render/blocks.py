"""Blocks for the tests: computed by the real calculators from the text an author would write."""

from __future__ import annotations

from dataclasses import replace
from types import ModuleType
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

    book = Book(Settings(Path("no-content")), Path.cwd()).with_page(page, fence(body))
    return next(iter(book.by_place.values()))


def uncertain(body: str = GEARING) -> BlockResult:
    """The gearing block with a measured, uncertain rolling circumference."""
    return compute(body.replace("cruise_speed:", "rolling_circumference: 1.752 ± 0.003 m\n  cruise_speed:"))


def made_of(text: str, case: str = "only", other: str = "second") -> BlockResult:
    """A block whose every string is the author's: what a calculator with free text and named rows gives."""
    module: Any = ModuleType("calculator")
    module.INPUTS = (Input("note", Text(), text),)
    module.OUTPUTS = (
        Output("mass", "mass", "kg", text, 1, key="part"),
        Output("length", "length", "m", text, 2),
        Output("word", "text", "", text),
    )
    module.SOURCES = (Source("it", text, text, text, text, standing=text),)
    module.HAZARDS = ("lifting",)
    given = {
        "note": GivenInput(module.INPUTS[0], text, text, "block", None, text),
        "other": GivenInput(module.INPUTS[0], text, text, "data", None, text),
    }
    length = Value(1.5, "length", "m", 2, {text: 0.01})
    values: dict[str, Any] = {"mass": {text: Value(2.0, "mass", "kg", 1)}, "length": length, "word": text}
    cases = {
        name: CaseResult(name, {**given, "note": replace(given["note"], origin=origin)}, values, (), (text,))
        for name, origin in ((case, "car"), (other, "default"))
    }
    block = compute(GEARING)
    return replace(
        block, title=text, kind=text, car=text, calculator=module, cases=cases, charts=(), id="made"
    )
