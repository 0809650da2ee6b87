"""The codes of findings, and the exceptions that carry them."""

from __future__ import annotations

import ast
import pickle
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from buildlog.diagnostics import (
    CALCULATION_REFUSED,
    CODES,
    MISSING_INPUT,
    OUT_OF_RANGE,
    VALUE_UNREADABLE,
    InputsConflict,
    MissingInput,
    OutOfRange,
    Refused,
    declare,
)
from buildlog.figures.numbers import NUMBER_UNREADABLE, Unreadable
from buildlog.figures.stated import FIGURE_TWO_NUMBERS
from buildlog.figures.units import WRONG_DIMENSION, WrongDimension
from buildlog.report.codes import all_codes

ROOT = Path(__file__).parents[1]
TREES = [
    ast.parse(path.read_text("utf-8"))
    for folder in ("buildlog", "plugins")
    for path in sorted((ROOT / folder).rglob("*.py"))
    if path.name != "code_list.py"  # made of the declarations by `make generate`, which a test compares
]


def declarations() -> Iterator[tuple[str, str]]:
    """Constant and code of each declaration in the source."""
    for tree in TREES:
        for node in tree.body:
            call = node.value if isinstance(node, ast.Assign) else None
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "declare":
                assert isinstance(node, ast.Assign)
                target, name = node.targets[0], call.args[0]
                assert isinstance(target, ast.Name)
                assert isinstance(name, ast.Constant)
                assert isinstance(name.value, str)
                yield target.id, name.value


def test_every_code_is_declared_once_and_has_its_page() -> None:
    declared = Counter(name for _, name in declarations())
    assert set(declared.values()) == {1}
    assert set(declared) <= {code.name for code in all_codes()}  # tests declare some of their own
    pages = {path.stem for path in (ROOT / "content/manual/findings").glob("*.md")} - {"index"}
    assert set(declared) == pages
    assert max(Counter(constant for constant, _ in declarations()).values()) == 1


def test_every_code_is_used() -> None:
    used = {
        node.id if isinstance(node, ast.Name) else node.attr
        for tree in TREES
        for node in ast.walk(tree)
        if isinstance(node, ast.Name | ast.Attribute) and isinstance(node.ctx, ast.Load)
    }
    assert [constant for constant, _ in declarations() if constant not in used] == []


def test_no_code_is_told_by_a_string() -> None:
    """A misspelt constant fails the type check; a misspelt string would be another code, or none."""
    names = {name for _, name in declarations() if "-" in name}
    strings = [node.value for tree in TREES for node in ast.walk(tree) if isinstance(node, ast.Constant)]
    assert Counter(text for text in strings if text in names) == Counter(names)


def test_declaring_a_code_twice_is_a_mistake() -> None:
    before = dict(CODES)
    with pytest.raises(ValueError, match="'out-of-range' is declared twice"):
        declare("out-of-range", "another meaning", why="", mend="")
    assert before == CODES


def test_a_kind_of_refusal_has_its_code_and_a_single_one_another() -> None:
    assert Refused("", "1", "2").code is CALCULATION_REFUSED
    assert Refused("", "1", "2", code=VALUE_UNREADABLE).code is VALUE_UNREADABLE
    assert Refused("", "1", "2").code is CALCULATION_REFUSED  # the kind keeps its own
    assert OutOfRange("", "1", "2").code is OUT_OF_RANGE
    assert MissingInput("", "1", "2").code is MISSING_INPUT
    assert WrongDimension("", "1", "2").code is WRONG_DIMENSION
    assert Unreadable("", "1", "2").code is NUMBER_UNREADABLE
    assert Unreadable("", "1", "2", code=FIGURE_TWO_NUMBERS).code is FIGURE_TWO_NUMBERS


def test_a_refusal_in_words() -> None:
    assert str(Refused("mass", "0 kg", "more", help="weigh it")) == "mass: found 0 kg, expected more"
    assert str(Refused("", "0 kg", "more")) == "calculation: found 0 kg, expected more"


@pytest.mark.parametrize(
    "refused",
    [
        Refused("mass", "0 kg", "more", help="weigh it", code=VALUE_UNREADABLE),
        OutOfRange("mass", "0 kg", "more"),
        WrongDimension("mass", "m", "kg", found_dimensions=("length",), expected_dimension="mass"),
        Unreadable("", "x", "a number", help="write one", code=FIGURE_TWO_NUMBERS, offset=3, length=2),
    ],
)
def test_a_refusal_comes_whole_out_of_another_process(refused: Refused) -> None:
    again = pickle.loads(pickle.dumps(refused))  # noqa: S301 (our own)
    assert type(again) is type(refused)
    assert again.code == refused.code
    assert str(again) == str(refused)
    assert vars(again) == vars(refused)


@pytest.mark.parametrize(
    ("refused", "advice"),
    [
        (
            InputsConflict("gear", "engine_speed as well", "one of the two", help="leave one out"),
            "gear or engine_speed",
        ),
        (InputsConflict("gear", "engine_speed as well", "one of the two"), "gear or engine_speed"),
        (InputsConflict("legs", "radius and corner_speed", "one of the two"), "radius or corner_speed"),
        (
            InputsConflict("clamp_load", "the diaphragm's dimensions too", "one of them"),
            "the diaphragm's dimensions",
        ),
    ],
)
def test_inputs_that_exclude_each_other_are_named_in_the_advice(refused: InputsConflict, advice: str) -> None:
    assert refused.help.startswith("leave out ")
    assert refused.help.endswith(advice)


def test_advice_of_its_own_is_kept() -> None:
    assert InputsConflict("gear", "engine_speed as well", "one", help="two blocks").help == "two blocks"
    assert InputsConflict("gears", "gear 2 (3) not below gear 1 (3)", "falling").help == ""
