"""An input that may be nothing and is: the example of each kind with each such input in turn. It is computed
and shown, or refused with a finding."""

from __future__ import annotations

from typing import NoReturn

import pytest
import yaml

from buildlog.book.evaluation import Evaluation
from buildlog.diagnostics import Position
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import Doubt, Input, Number
from buildlog.reading.blocks import read_block
from buildlog.reading.nodes import whole_file
from buildlog.render.card import render_card

NOTHING = [
    (kind, declared.name)
    for kind in catalogue.kind_names()
    for declared in catalogue.load_kind(kind).inputs
    if isinstance(declared.form, Number) and declared.form.low == 0
]


def nothing(*_: object) -> NoReturn:
    raise AssertionError("an example rests on itself alone")


def _input(kind: str, name: str) -> Input:
    (declared,) = (one for one in catalogue.load_kind(kind).inputs if one.name == name)
    return declared


@pytest.mark.parametrize(("kind", "name"), NOTHING)
def test_an_input_that_is_nothing(kind: str, name: str) -> None:
    form = _input(kind, name).form
    assert isinstance(form, Number)
    written = yaml.load(catalogue.load_kind(kind).examples[0], yaml.BaseLoader)  # noqa: S506 (texts alone)
    zero = f"0 {form.unit}".strip()
    written.setdefault("inputs", {})[name] = zero
    for case in (written.get("cases") or {}).values():
        if name in case:
            case[name] = zero
    text = yaml.safe_dump(written, allow_unicode=True, sort_keys=False)
    block = read_block(text, whole_file("a.md"), "a", Position("a.md"))
    result = Evaluation(block, None, nothing, nothing).run()
    assert "calculator-fault" not in {fault.code.name for fault in result.faults}
    if result.cases:
        assert "buildlog" in render_card(result).html(lambda link: "#")


@pytest.mark.parametrize("limits", [True, False])
def test_a_doubt_of_nothing_has_a_size(limits: bool) -> None:
    doubt = Doubt(name="marking", about="a mark", source="practice", absolute=0.0, unit="m", limits=limits)
    assert doubt.size().startswith("± 0 m (")
