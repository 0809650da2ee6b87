"""Every title reads by itself: what of an output readers see wherever they meet it."""

from __future__ import annotations

import re

import pytest

from buildlog.figures import units
from buildlog.kinds.catalogue import kind_names, load_kind
from buildlog.kinds.declaration import Output
from buildlog.kinds.titles import LONGEST, title_faults

OUTPUTS = [(kind, output) for kind in kind_names() for output in load_kind(kind).outputs]

# What may begin with a capital: what is called by a person's name.
NAMED_AFTER = {"Reynolds", "Mach"}


@pytest.mark.parametrize("kind,output", OUTPUTS, ids=[f"{kind}.{output.name}" for kind, output in OUTPUTS])
def test_a_title_is_a_noun_phrase_that_reads_alone(kind: str, output: Output) -> None:
    title = output.title
    assert list(title_faults(title, output.dimension)) == []
    assert 2 <= len(title) <= LONGEST
    first = title.split()[0]
    assert first[0].islower() or first[0].isdigit() or first in NAMED_AFTER
    # Nothing that only the author of the block could read, and one space between words.
    assert re.fullmatch(r"[^\s_`<>{}]+(?: [^\s_`<>{}]+)*", title)


@pytest.mark.parametrize("kind", kind_names())
def test_titles_are_unique_within_a_kind(kind: str) -> None:
    titles = [output.title.lower() for output in load_kind(kind).outputs]
    assert sorted(set(titles)) == sorted(titles)


@pytest.mark.parametrize(
    "fragment,dimension",
    [
        # What cards had said before there were titles.
        ("at gas_temperature", "speed"),
        ("for primary_gas_speed", "length"),
        ("a rule of thumb", "length"),
        ("what the part adds to the front axle", "mass"),
        ("road speed at at_revs", "speed"),
        ("whether the logs show a change", "text"),
        ("how far a kilogram misread there moves the height", "length"),
        ("of its tube", "mass per length"),
        ("with what turns too", "moment of inertia"),
        ("is the mass of the plate", "mass"),
        ("mass of the plate.", "mass"),
        ("mass of the plate in kg", "mass"),
        ("length of the plate " + "and of the next one " * 3, "length"),
        ("", "mass"),
    ],
)
def test_a_fragment_is_refused(fragment: str, dimension: str) -> None:
    assert list(title_faults(fragment, dimension))


def test_what_ends_with_a_word_that_is_a_unit_of_something_else_is_a_title() -> None:
    assert units.spelt("mile")
    assert not list(title_faults("speed at the end of the quarter mile", "speed"))


@pytest.mark.parametrize(
    "about,gloss",
    [
        ("by its drawing", "by its drawing"),
        ("mass of a plate", ""),
        ("the plate's mass", ""),
        ("mass of the plate, painted", "mass of the plate, painted"),
    ],
)
def test_the_gloss_says_what_the_title_does_not(about: str, gloss: str) -> None:
    output = Output(name="mass", title="mass of the plate", dimension="mass", unit="kg", about=about)
    assert output.gloss == gloss


def test_the_label_of_an_input_is_its_name_in_words_or_its_title() -> None:
    gearing = {declared.name: declared for declared in load_kind("gearing").inputs}
    assert gearing["final_drive"].label == "final drive"
    assert gearing["at_revs"].label == "engine speed of interest"
