"""Records as bytes and back: the same records, the program's own objects, and nothing else."""

from __future__ import annotations

import os
import pickle
import threading
from array import array
from types import MappingProxyType
from typing import Any

import numpy
import pytest

from buildlog.diagnostics import AsWritten, Position
from buildlog.files.text import Lines
from buildlog.kept.packing import Unpackable, pack, unpack
from buildlog.kinds import catalogue
from buildlog.kinds.forms import Measure, Ratio
from buildlog.physics import drivetrain, repeated, requirement
from buildlog.reading.blocks import BLOCK_SHAPE
from buildlog.said import said

HERE = Position("content/a.md", 10, 1)


@pytest.mark.parametrize(
    "thing",
    [
        None,
        -0.0,
        1e308,
        "a\u2028b\ud800",
        (1, [2, {"3": {4}}]),
        frozenset({"a"}),
        range(3),
        Position("content/b.md", 3, 4),
        array("d", [1.5, -2.5]),
        MappingProxyType({"a": 1}),
    ],
)
def test_plain_values_come_back(thing: object) -> None:
    found = unpack(pack(thing))
    assert (found, type(found)) == (thing, type(thing))
    assert repr(found) == repr(thing)


def test_numbers_that_remember_something_still_do() -> None:
    ratio, measure, written = Ratio(41, 9), Measure(2.5, "mass", "kg", 1), AsWritten(3.0, "about 3", "m")
    again = unpack(pack((ratio, measure, written)))
    assert again == (ratio, measure, written)
    assert [vars(one) for one in again] == [vars(one) for one in (ratio, measure, written)]
    words = unpack(pack(said("{a} and more", a="this")))
    assert (words, words.template, words.values) == ("this and more", "{a} and more", {"a": "this"})


def test_arrays_of_readings_come_back_with_their_gaps() -> None:
    readings = numpy.array([[1.0, numpy.nan], [2.0, numpy.inf]])
    again = unpack(pack(readings))
    assert numpy.array_equal(again, readings, equal_nan=True)
    again[0, 0] = 3  # as any other array


def test_what_the_program_holds_is_the_same_object() -> None:
    kind = catalogue.load_kind("gearing")
    held: list[Any] = [
        kind,
        kind.inputs[0],
        kind.outputs[-1],
        kind.sources[0],
        drivetrain.overall_ratio,
        requirement.margin_above("K"),
        repeated.in_unit(repeated.mean, "Pa"),
        BLOCK_SHAPE,
    ]
    for thing in held:
        assert unpack(pack(thing)) is thing


def test_places_of_the_page_go_with_the_block() -> None:
    places = [HERE, Position("content/a.md", 12, 5), Position("content/cars/b.yml", 2, 1)]
    moved = unpack(pack(places, HERE), Position("content/a.md", 110, 1))
    assert moved == [Position("content/a.md", 110, 1), Position("content/a.md", 112, 5), places[2]]


def test_lines_are_worked_out_again() -> None:
    lines = Lines("a\r\nb\rc\n")
    again = unpack(pack(lines))
    assert (again.text, again.starts, again.raw) == (lines.text, lines.starts, lines.raw)


def test_what_is_nobodys_by_name_is_not_packed() -> None:
    for thing in (lambda: 1, os.getcwd, threading.Lock()):
        with pytest.raises(Unpackable):
            unpack(pack(thing))


class Runs:
    """What a hostile file of bytes would be."""

    def __init__(self, function: Any, *arguments: Any) -> None:
        self.reduced = function, arguments

    def __reduce__(self) -> Any:
        return self.reduced


@pytest.mark.parametrize(
    "hostile",
    [
        Runs(os.system, "touch /tmp/buildlog-ran"),
        Runs(eval, "1 + 1"),
        Runs(getattr, HERE, "path"),
        Runs(__import__, "os"),
        Runs(open, "/dev/null"),
        Runs(catalogue.load_kind, "gearing"),
        Runs(drivetrain.overall_ratio, 1.0, 2.0),
    ],
)
def test_bytes_that_would_run_something_are_refused(hostile: Runs) -> None:
    """Signed or not: no function runs but our makers of records."""
    with pytest.raises(Unpackable):
        unpack(pickle.dumps(hostile))


def test_bytes_of_any_kind_are_refused_in_one_way() -> None:
    whole = pack([HERE, {"a": 1.5}, catalogue.load_kind("gearing").inputs])
    for length in range(len(whole)):
        with pytest.raises(Unpackable):
            unpack(whole[:length])
    for at in range(len(whole)):
        damaged = bytearray(whole)
        damaged[at] ^= 0x55
        try:
            unpack(bytes(damaged))
        except Unpackable:
            continue
