"""The rows of a duct: what each kind needs, what joins what, and how far a row brings the air."""

from __future__ import annotations

from math import pi, radians
from typing import Any

import pytest

from buildlog.diagnostics import InputsConflict, MissingInput, Refused
from buildlog.physics.duct_segments import DuctLayout

Row = dict[str, Any]
INLET: Row = {"kind": "inlet", "name": "mouth", "diameter": 0.07, "edge": "sharp"}
HOSE: Row = {"kind": "hose", "name": "hose", "diameter": 0.07, "length": 1.0, "roughness": 0.0035}
BEND: Row = {
    "kind": "bend",
    "name": "bend",
    "diameter": 0.07,
    "bend_radius": 0.105,
    "angle": pi / 2,
    "roughness": 0.0,
}
CONE: Row = {"kind": "expansion", "name": "cone", "diameter": 0.07, "diameter_after": 0.08, "length": 0.06}
EXIT: Row = {"kind": "exit", "name": "dump", "diameter": 0.07}
FILTER: Row = {
    "kind": "filter", "name": "panel", "rated_pressure": 500.0, "rated_flow": 0.12, "exponent": 1.5,
    "area": 0.05,
}  # fmt: skip


def path(letter: str, *rows: Row) -> list[Row]:
    return [row | {"path": letter, "name": f"{row['name']}-{letter}"} for row in rows]


OLD, NEW = path("a", INLET, EXIT), path("b", INLET, EXIT)


def refused(kind: type[Refused], *rows: Row) -> tuple[str, str, str]:
    with pytest.raises(kind) as caught:
        DuctLayout.read(rows)
    return caught.value.name, caught.value.found, caught.value.expected


def test_order_and_keys() -> None:
    last = {"kind": "inlet", "diameter": 0.06, "edge": "sharp"}
    layout = DuctLayout.read([FILTER, *OLD, *NEW, last])
    assert [one.key for one in layout.segments] == ["panel", "mouth-a", "dump-a", "mouth-b", "dump-b", "6"]
    assert [one.key for one in layout.first] == ["panel"]
    assert [one.key for one in layout.last] == ["6"]
    assert [one.after for one in layout.segments] == [0, 0.07, 0, 0.07, 0, 0.06]
    assert [one.key for one in DuctLayout.read([*OLD, *NEW]).first] == ["mouth-a", "mouth-b"]


# Geometry: a bend is an arc, R θ; a cone of 45° a side is as long as the radius grows.
def test_lengths_along_the_axis() -> None:
    cone = {key: value for key, value in CONE.items() if key != "length"} | {"angle": radians(90)}
    layout = DuctLayout.read([INLET, HOSE, BEND, cone])
    lengths = [one.length for one in layout.segments]
    assert lengths == pytest.approx([0, 1.0, 0.105 * pi / 2, 0.005])


@pytest.mark.parametrize(
    "kind,columns",
    [
        ("inlet", ["diameter", "edge"]),
        ("hose", ["diameter", "length", "roughness"]),
        ("bend", ["diameter", "bend_radius", "angle", "roughness"]),
        ("expansion", ["diameter", "diameter_after"]),
        ("filter", ["rated_pressure", "rated_flow", "exponent"]),
        ("fitting", ["diameter", "loss_coefficient"]),
        ("exit", ["diameter"]),
    ],
)
def test_columns_that_a_kind_needs(kind: str, columns: list[str]) -> None:
    rows = {row["kind"]: row for row in (INLET, HOSE, BEND, CONE, EXIT, FILTER)}
    whole = rows.get(kind, {"kind": "fitting", "diameter": 0.07, "loss_coefficient": 1.0, "name": "piece"})
    for column in columns:
        name, found, expected = refused(MissingInput, {k: v for k, v in whole.items() if k != column})
        assert (name, expected) == ("segments", column)
        assert found == f"segment {whole['name']} ({kind}) without {column}"


@pytest.mark.parametrize(
    ("rows", "found", "expected"),
    [
        ([HOSE | {"angle": 1.0}], "segment hose (hose) with angle", "only diameter, length, roughness"),
        (
            [INLET | {"edge_radius": 0.01}],
            "segment mouth (inlet) sharp with edge_radius",
            "edge_radius with edge: rounded only",
        ),
        ([CONE | {"angle": 1.0}], "segment cone (expansion) with angle and length", "one of them"),
        (
            [CONE | {"diameter_after": 0.06}],
            "segment cone (expansion) from 70 mm to 60 mm",
            "an expansion that widens, a contraction that narrows",
        ),
        ([HOSE, HOSE], "two segments named hose", "a name for each"),
        ([HOSE | {"name": "a.b"}], "the name “a.b”", "letters, with digits, - and _"),
        ([HOSE | {"name": "12"}], "the name “12”", "letters, with digits, - and _"),
        (
            [HOSE, EXIT | {"diameter": 0.08}],
            "segment dump (exit) of 80 mm after a bore of 70 mm",
            "an expansion or a contraction between them",
        ),
        ([HOSE, INLET], "segment mouth (inlet) on a bore of 70 mm", "still air before it: an exit"),
        ([HOSE, FILTER], "segment panel (filter) on a bore of 70 mm", "still air before it: an exit"),
        ([FILTER, HOSE], "segment hose (hose) in still air", "an inlet before it"),
        (OLD, "one path, a", "two paths or more, or none"),
        ([*OLD, *path("b", INLET)], "path b, which ends with inlet", "an exit at the end of each path"),
        ([HOSE, *OLD, *NEW], "paths that part from the bore of hose", "paths that begin outside or in a box"),
        (
            [*OLD, FILTER, *NEW],
            "segment mouth-b of path b after one of no path",
            "the rows of all paths together",
        ),
    ],
)
def test_rows_that_do_not_fit(rows: list[Row], found: str, expected: str) -> None:
    assert refused(InputsConflict, *rows) == ("segments", found, expected)


def test_cone_without_angle_or_length() -> None:
    row = {key: value for key, value in CONE.items() if key != "length"}
    name, found, expected = refused(MissingInput, row)
    assert (name, found) == ("segments", "segment cone (expansion) without angle or length")
    assert expected == "one of them: angle: 180° for a step"
    name, found, expected = refused(MissingInput, INLET | {"edge": "rounded"})
    assert (name, found, expected) == ("segments", "segment mouth (inlet) without edge_radius", "edge_radius")


def test_a_small_difference_of_bores_is_no_step() -> None:
    assert DuctLayout.read([HOSE, EXIT | {"diameter": 0.0717}]).segments[1].after == 0
    assert refused(InputsConflict, HOSE, EXIT | {"diameter": 0.0723})[0] == "segments"
