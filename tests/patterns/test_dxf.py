"""The drawing as DXF, opened and measured again with ezdxf, a general library for that format."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO

import pytest
from ezdxf import bbox
from ezdxf.document import Drawing as Document
from ezdxf.filemanagement import read

from buildlog.kinds.pattern import Note
from buildlog.patterns.dxf import LAYERS, as_dxf
from buildlog.patterns.identity import read_origin
from buildlog.patterns.layout import lay_out
from tests.patterns.plates import ORIGIN, PLATE, tell


def _open(content: bytes) -> Document:
    document = read(StringIO(content.decode("ascii")))
    assert not document.audit().errors
    return document


def test_it_is_of_release_12() -> None:
    assert _open(as_dxf(lay_out(PLATE, tell), ORIGIN)).dxfversion == "AC1009"


def test_the_outline_is_measured_again() -> None:
    model = _open(as_dxf(lay_out(PLATE, tell), ORIGIN)).modelspace()
    box = bbox.extents(model.query('POLYLINE[layer=="CUT"]'))
    assert tuple(box.size)[:2] == pytest.approx((420, 310))
    (outline,) = model.query('POLYLINE[layer=="CUT"]')
    assert outline.is_closed  # type: ignore[attr-defined]
    (hole,) = model.query("CIRCLE")
    assert (hole.dxf.radius, hole.dxf.layer) == (pytest.approx(12.7), "CUT")
    assert tuple(hole.dxf.center)[:2] == pytest.approx((100, 100))
    (bend,) = model.query('POLYLINE[layer=="BEND"]')
    assert bend.dxf.linetype == "DASHED"
    assert [tuple(one.dxf.location)[:2] for one in bend.vertices] == [(20, 0), (20, 310)]  # type: ignore[attr-defined]


def test_each_kind_of_line_has_its_layer() -> None:
    model = _open(as_dxf(lay_out(PLATE, tell), ORIGIN)).modelspace()
    assert {one.dxf.layer for one in model} == {*LAYERS.values(), "TEXT"}


def test_words_are_in_the_signs_of_the_release() -> None:
    strange = replace(PLATE, notes=(replace(PLATE.notes[0], text="⌀ ± ° × − „ä“\nEOF", output=""),))
    model = _open(as_dxf(lay_out(strange, tell), ORIGIN)).modelspace()
    assert [one.dxf.text for one in model.query("TEXT")][-1] == "%%c %%p %%d x - ??? EOF"


def test_its_first_line_says_where_it_came_from() -> None:
    comment, told = as_dxf(lay_out(PLATE, tell), ORIGIN).decode("ascii").split("\n")[:2]
    assert comment == "999"
    assert read_origin(told) == ORIGIN


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("up\n  0\nEOF", "up 0 EOF"),
        ("up\r  0\rLINE", "up 0 LINE"),
        ("up\u2028 0\x0b0\x1c0", "up 0 0 0"),
        ("\x00\x1a\x1b[31m\x7f", "???[31m?"),
        ("50 %%c and 100 %%%", "50 % %c and 100 % % %"),
        ("^J^M", "^ J^ M"),
        ("\u202e\ud800é", "???"),
    ],
)
def test_words_of_an_author_are_words(written: str, shown: str) -> None:
    """A line that is one more would be a group code; `%%` and `^` begin orders in texts of a DXF."""
    hostile = replace(PLATE, notes=(Note(place=(0.1, 0.1), text=written),))
    document = _open(as_dxf(lay_out(hostile, tell), replace(ORIGIN, name=written)))
    assert [one.dxf.text for one in document.modelspace().query("TEXT")][-1] == shown
    assert not document.modelspace().query("LINE")
