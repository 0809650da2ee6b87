"""The forms of inputs: what each answers for itself, and that none is forgotten."""

from __future__ import annotations

import ast
from dataclasses import dataclass, replace
from pathlib import Path
from typing import get_args

import pytest

from buildlog.diagnostics import Position
from buildlog.kinds.declaration import (
    Choice,
    Flag,
    Input,
    InputForm,
    Listed,
    Number,
    Quantity,
    Table,
    Text,
    Tyre,
    Whole,
)
from buildlog.kinds.forms import Form
from buildlog.reading.inputs import InputReader
from buildlog.reading.nodes import YamlScalar
from buildlog.report.schemas import form_schema

ROOT = Path(__file__).resolve().parents[2]
LENGTH = Number(dimension="length", unit="mm", low=1, high=90, why="bolts")
BOLTS = Table(
    (
        Input(name="length", form=LENGTH, about="length"),
        Input(name="action", form=Choice({"kept": "stays", "new": "is bought"}), about="what becomes of it"),
    )
)


@dataclass(frozen=True)
class Colour(Form):
    """A form invented for this test, with nothing but what it must have."""

    @property
    def words(self) -> str:
        return "a colour, like #ff7700"


def test_a_new_form_must_say_what_it_takes_and_is_asked_the_rest_without_harm() -> None:
    with pytest.raises(TypeError, match="words"):
        type("Nameless", (Form,), {})()
    colour = Colour()
    assert colour.wanted == "a colour, like #ff7700"
    assert (colour.number, colour.item, colour.row, colour.numbers) == (None, None, (), ())
    assert not colour.meanings
    assert not any((colour.is_link, colour.is_counted, colour.has_unit, colour.sibling, colour.reason))
    assert colour.bounds == (None, None)
    assert colour.in_dimension("length") is colour
    assert colour.with_numbers(lambda number: replace(number, unit="in")) is colour


def test_what_each_form_is_besides() -> None:
    """A link is a text of its own sort; a number and a quantity have a unit; a list may be counted."""
    number = Number(dimension="length", unit="m", low=1, high=2, why="w")
    forms: tuple[InputForm, ...] = (
        number, Whole(1, 3), Choice({"a": "b"}), Text(), Text(20, "link"), Text(10, "date"), Flag(), Tyre(),
        Listed(number, 2, 4), Listed(number, 2, 4, counted=True), Table((), 1, 9), Quantity(),
    )  # fmt: skip
    assert [place for place, form in enumerate(forms) if form.is_link] == [4]
    assert [place for place, form in enumerate(forms) if form.is_counted] == [9]
    assert [place for place, form in enumerate(forms) if form.has_unit] == [0, 11]
    bounds = {place: form.bounds for place, form in enumerate(forms) if form.bounds != (None, None)}
    assert bounds == {0: (1, 2), 1: (1, 3), 8: (2, 4), 9: (2, 4), 10: (1, 9)}


def test_the_two_places_that_sort_forms_know_when_one_is_new() -> None:
    """Both end in `assert_never`: mypy fails there for a form that `InputForm` has and they have not."""
    reader = InputReader(
        resolve=lambda text, position: pytest.fail(text), data=lambda name, *_: pytest.fail(name)
    )
    with pytest.raises(AssertionError, match="Colour"):
        reader.read(YamlScalar(Position("p.md"), "#ff7700"), Colour(), ())  # type: ignore[arg-type]
    with pytest.raises(AssertionError, match="Colour"):
        form_schema(Colour())  # type: ignore[arg-type]


def test_every_form_is_in_the_union_that_mypy_checks() -> None:
    declared = {form for form in Form.__subclasses__() if form.__module__ == "buildlog.kinds.forms"}
    assert declared == set(get_args(InputForm))


def test_forms_are_asked_not_sorted() -> None:
    """No `isinstance` of a form: a new one would have to be added at each of them."""
    names = {form.__name__ for form in get_args(InputForm)}
    asked = []
    for file in sorted((ROOT / "buildlog").rglob("*.py")):
        tree = ast.parse(file.read_text("utf-8"))
        imported = {
            alias.asname or alias.name
            for node in ast.walk(tree)
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("buildlog.kinds.")
            for alias in node.names
        }
        for node in ast.walk(tree):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id == "isinstance"
            ):
                classes = {name.id for name in ast.walk(node.args[1]) if isinstance(name, ast.Name)}
                if classes & names & imported:
                    asked.append(f"{file.relative_to(ROOT)}:{node.lineno}")
    assert asked == []


@pytest.mark.parametrize(
    ("form", "words"),
    [
        (LENGTH, "length, 1 to 90 mm"),
        (replace(LENGTH, high=None), "length, 1 mm or more"),
        (replace(LENGTH, low=None), "length, 90 mm or less"),
        (Number(dimension="length", unit="mm"), "length, in mm"),
        (Number(dimension="ratio", unit=""), "number"),
        (Whole(1, 4), "whole number, 1 to 4"),
        (Choice({"kept": "stays", "new": "is bought"}), "one of kept, new"),
        (Flag(), "yes or no"),
        (Tyre(), "tyre size as it is stamped, like 195/50R15 82V or 165R13"),
        (Text(80), "text of up to 80 characters"),
        (Listed(Whole(1, 4), 2, 5), "list of 2 to 5, each: whole number, 1 to 4"),
    ],
)
def test_a_form_says_what_it_takes(form: InputForm, words: str) -> None:
    assert form.words == words


def test_the_reason_of_a_range_is_told_to_whom_it_refuses() -> None:
    assert LENGTH.wanted == "length, 1 to 90 mm (bolts)"
    assert Whole(1, 4, "wheels").wanted == "whole number, 1 to 4 (wheels)"
    assert Flag().wanted == "yes or no"


def test_numbers_are_found_and_changed_at_any_depth() -> None:
    listed = Listed(LENGTH, 1, 3)
    assert [form.numbers for form in (LENGTH, listed, BOLTS, Tyre())] == [(LENGTH,), (LENGTH,), (LENGTH,), ()]
    in_inches = replace(LENGTH, unit="in")

    def change(number: Number) -> Number:
        return replace(number, unit="in")

    assert listed.with_numbers(change) == Listed(in_inches, 1, 3)
    length, action = BOLTS.with_numbers(change).columns
    assert (length.form, action) == (in_inches, BOLTS.columns[1])
