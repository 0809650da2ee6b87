"""A calculator's file is checked when it is loaded: what does not hold together is refused with all of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import ModuleType
from typing import Any

import pytest

from buildlog.kinds.declaration import (
    CaseView,
    Input,
    Listed,
    Number,
    Output,
    Outputs,
    Source,
    Table,
    Whole,
    Working,
)
from buildlog.kinds.kind import RESERVED, Kind, KindError, read_kind
from buildlog.reading.blocks import BLOCK_KEYS

FILE = "buildlog/calculators/sample.py"
DOCSTRING = """Weight of a plate.

```yaml
id: plate
kind: sample
inputs: {thickness: 3 mm}
```
"""
THICKNESS = Input(
    name="thickness",
    form=Number(dimension="length", unit="mm", low=0.1, high=50, why="sheet"),
    about="of the plate",
)
MASS = Output(name="mass", title="mass of the plate", dimension="mass", unit="kg", about="of the plate")


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    return {"mass": 1000.0 * given["thickness"]}


def chart(cases: Mapping[str, CaseView]) -> None:
    return None


def sample(**changed: object) -> ModuleType:
    """A module that declares a sound kind, but for what is changed; None leaves a name out."""
    module = ModuleType("sample", DOCSTRING)
    declared: dict[str, object] = {
        "KIND": "sample",
        "INPUTS": (THICKNESS,),
        "OUTPUTS": (MASS,),
        "SOURCES": (Source(id="density", title="Mass is density times volume", standing="derived"),),
        "HAZARDS": ("lifting",),
        "compute": compute,
        "chart": chart,
    }
    for name, value in {**declared, **changed}.items():
        if value is not None:
            setattr(module, name, value)
    return module


def faults(**changed: object) -> tuple[str, ...]:
    with pytest.raises(KindError) as error:
        read_kind(sample(**changed), "sample", FILE)
    assert str(error.value).startswith(FILE)
    assert all(fault in str(error.value) for fault in error.value.faults)
    return error.value.faults


def number(dimension: str, unit: str, low: float | None = None, high: float | None = None) -> Input:
    return Input(
        name="stress", form=Number(dimension=dimension, unit=unit, low=low, high=high), about="in the plate"
    )


def output(**changed: Any) -> Output:
    declared: dict[str, Any] = {
        "name": "mass",
        "title": "mass of it",
        "dimension": "mass",
        "unit": "kg",
        "about": "of it",
    }
    return Output(**{**declared, **changed})


def test_a_sound_module_is_a_kind() -> None:
    kind = read_kind(sample(), "sample", FILE)
    assert isinstance(kind, Kind)
    assert (kind.name, kind.file, kind.title) == ("sample", FILE, "Weight of a plate")
    assert kind.examples == ("id: plate\nkind: sample\ninputs: {thickness: 3 mm}\n",)
    assert kind.inputs == (THICKNESS,)
    assert kind.compute({"thickness": 0.003}, Working()) == {"mass": 3.0}


@pytest.mark.parametrize(
    "declared,said",
    [
        (number("stress", "MPa"), ("input stress: the dimension “stress”", "a dimension of units.txt")),
        (number("pressure", "kN"), ("input stress: the unit “kN”, a unit of force", "a unit of pressure")),
        (number("pressure", "MPascals"), ("input stress: the unit “MPascals”", "a unit of pressure")),
        (number("pressure", "MPa", 9, 1), ("input stress: from 9 to 1", "the lower bound first")),
        (number("pressure", "MPa", float("nan")), ("input stress: a bound that is no number",)),
        (number("money", "money"), ("money without a currency", "an input currency")),
        (Input(name="count", form=Whole(9, 1), about="of it"), ("input count: from 9 to 1",)),
        (Input(name="sweep", form=Whole(1, 9), about="of it"), ("input sweep: a word that blocks use",)),
        (
            Input(name="at_speed", form=Whole(1, 9), about="of it"),
            ("input at_speed: the title “at speed” begins with “at”",),
        ),
        (Input(name="Weight", form=Whole(1, 9), about="of it"), ("input Weight: the name “Weight”",)),
        (
            Input(name="plates", form=Listed(Number(dimension="lenght", unit="mm"), 1, 3), about="of it"),
            ("input plates, each: the dimension “lenght”", "did you mean “length”?"),
        ),
        (
            Input(name="plates", form=Listed(Whole(1, 9), 3, 1), about="of it"),
            ("input plates: from 3 to 1",),
        ),
        (
            Input(
                name="curve",
                form=Table((number("torque", "rpm"), number("torque", "N·m"))),
                about="of it",
            ),
            (
                "input curve, column stress: declared twice",
                "input curve, column stress: the unit “rpm”, a unit of rotational speed",
            ),
        ),
        (THICKNESS, ("input thickness: declared twice, expected once",)),
        (
            Input(name="width", form=Whole(1, 9), about="of it", default="3"),
            ("input width: a default without default_source",),
        ),
    ],
)
def test_an_input_that_does_not_hold_together(declared: Input, said: tuple[str, ...]) -> None:
    told = "\n".join(faults(INPUTS=(THICKNESS, declared)))
    for part in said:
        assert part in told


@pytest.mark.parametrize(
    "declared,said",
    [
        (
            output(dimension="wieght"),
            "output mass: the dimension “wieght”, expected a dimension of units.txt",
        ),
        (output(unit="mm"), "output mass: the unit “mm”, a unit of length, expected a unit of mass"),
        (output(unit=""), "output mass: the unit no unit, expected a unit of mass"),
        (output(dimension="text"), "output mass: words with the unit “kg”, expected none"),
        (
            output(needs=("thicknes",)),
            "output mass: needs “thicknes”, expected an input; did you mean “thickness”?",
        ),
        (output(key="plate", of="plates"), "output mass: of “plates”, expected an input"),
        (output(key="plate", of="thickness"), "output mass: of “thickness”, expected a list, or a table"),
        (output(of="thickness"), "output mass: of without key"),
        (output(decimals=-1), "output mass: -1 decimals"),
        (output(name="mass of it"), "output mass of it: the name “mass of it”"),
        (output(title=""), "output mass: no title, expected a noun phrase"),
        (output(title="of the plate"), "output mass: the title “of the plate” begins with “of”"),
    ],
)
def test_an_output_that_does_not_hold_together(declared: Output, said: str) -> None:
    assert said in "\n".join(faults(OUTPUTS=(declared,)))


def test_outputs_are_declared_once() -> None:
    assert faults(OUTPUTS=(MASS, MASS)) == ("output mass: declared twice, expected once",)


def test_a_title_is_of_one_output() -> None:
    other = replace(MASS, name="weight")
    assert faults(OUTPUTS=(MASS, other)) == ("title mass of the plate: declared twice, expected once",)


def given_working(given: Mapping[str, Any]) -> Outputs:
    return {}


@pytest.mark.parametrize(
    "changed,said",
    [
        ({"KIND": "smaple"}, "KIND: “smaple”, expected the file's name, “sample”"),
        ({"KIND": None}, "KIND: missing"),
        ({"chart": None}, "chart: missing"),
        ({"compute": given_working}, "compute: takes given, expected given, working"),
        ({"INPUTS": THICKNESS}, "INPUTS: Input, expected a tuple of Input"),
        ({"OUTPUTS": [MASS]}, "OUTPUTS: list, expected a tuple of Output"),
        ({"HAZARDS": "lifting"}, "HAZARDS: str, expected a tuple of str"),
        ({"HAZARDS": ("liftin",)}, "HAZARDS: “liftin”, expected one of lifting, "),
        ({"HAZARDS": ("liftin",)}, "did you mean “lifting”?"),
        ({"HAZARDS": ("lifting", "lifting")}, "hazard lifting: declared twice"),
        ({"HAZARDS": ()}, "HAZARDS: none"),
        ({"SOURCES": ()}, "SOURCES: none"),
        (
            {"SOURCES": (Source(id="a", title="A", standing="publishd"),)},
            "source a: the standing “publishd”, expected one of published, from memory",
        ),
        ({"SOURCES": (Source(id="a", title="A"), Source(id="a", title="B"))}, "source a: declared twice"),
        ({"__doc__": ""}, "no docstring"),
        ({"__doc__": "Weight of a plate."}, "docstring: no example"),
        ({"__doc__": DOCSTRING.replace("kind: sample", "kind: other")}, "expected “kind: sample”"),
    ],
)
def test_a_file_that_does_not_hold_together(changed: dict[str, object], said: str) -> None:
    assert said in "\n".join(faults(**changed))


def test_all_that_is_wrong_is_told_at_once() -> None:
    told = faults(
        KIND="other", INPUTS=(number("stress", "MPa"),), OUTPUTS=(output(unit="mm"),), HAZARDS=("liftin",)
    )
    assert [fault.split(":")[0] for fault in told] == ["KIND", "input stress", "output mass", "HAZARDS"]


def test_what_blocks_say_themselves_is_reserved() -> None:
    assert set(BLOCK_KEYS) <= RESERVED
