"""Rows of rivets along laps: the holes put back on the piece as it is closed in space, the drawing measured
again, and what has no room."""

from __future__ import annotations

from dataclasses import dataclass, replace
from io import StringIO
from itertools import pairwise
from math import atan2, cos, dist, hypot, pi, sin, sqrt
from typing import Any

import numpy as np
import pytest
from ezdxf.filemanagement import read
from hypothesis import example, settings
from hypothesis import given as for_all
from hypothesis import strategies as st
from matplotlib.path import Path as MatplotlibPath
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from buildlog.calculators import development
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.pattern import Hole, Pattern
from buildlog.patterns.dxf import as_dxf
from buildlog.patterns.identity import Origin
from buildlog.patterns.layout import Written, lay_out
from tests.calculators.seen import Seen, seen
from tests.calculators.test_development import COMMON, SHAPES
from tests.examples import most_examples

ROW: dict[str, Any] = {
    "name": "row",
    "edge_distance": 0.0065,
    "end_distance": 0.016,
    "count": 4,
    "rivet_diameter": 0.003,
    "hole_diameter": 0.0032,
}
LAP: dict[str, Any] = {"lap": 0.0125, "rivet_rows": [ROW]}
ENDS = [
    ROW | {"name": "e", "piece": "end", "count": 2, "end_distance": 0.012},
    ROW | {"name": "s", "piece": "segment", "count": 2, "end_distance": 0.01},
]
EARLIER = [ROW | {"count": 3, "end_distance_after": 0.032}]
"""For a seam in a triangle, whose fold runs into it."""

PIECES: dict[str, dict[str, Any]] = {
    "rectangle to round": {"shape": "rectangle_to_round", "rivet_rows": EARLIER},
    "rounded rectangle": {"shape": "rectangle_to_round", "corner_radius": 0.01, "rivet_rows": EARLIER},
    "flat oval": {"shape": "oval_to_round"},
    "upright flat oval": {
        "shape": "oval_to_round",
        "width": 0.06,
        "height": 0.11,
        "offset": 0.01,
        "rivet_rows": EARLIER,
    },
    "ellipse": {"shape": "oval_to_round", "oval": "ellipse", "offset": 0.01},
    "cone": {"shape": "cone"},
    "cone that widens": {"shape": "cone", "diameter": 0.076, "diameter_after": 0.11},
    "offset cone": {"shape": "offset_cone"},
    "scoop": {"shape": "square_scoop"},
    "scoop with flanges": {"shape": "square_scoop", "returns": "outwards", "offset": -0.01},
    "saddle": {"shape": "tube_on_tube", "length": 0.11, "cut_from": "sheet"},
    "saddle beside the axis": {"shape": "tube_on_tube", "length": 0.11, "cut_from": "sheet", "offset": 0.008},
    "mitre": {"shape": "tube_on_plane"},
    "bend": {"shape": "segmented_bend", "end_length": 0.02, "rivet_rows": ENDS},
}


def inputs(name: str, **changes: Any) -> dict[str, Any]:
    piece = PIECES[name]
    return {**COMMON, **SHAPES[piece["shape"]], **LAP, **piece, **changes}


def drawn(given: dict[str, Any]) -> tuple[Seen, tuple[Pattern, ...]]:
    case = seen(development.compute, given)
    return case, development.patterns({"": case})


def pairs(given: dict[str, Any], pattern: Pattern) -> list[tuple[Hole, Hole]]:
    """Each hole of the lap with its partner: a row's holes, then those that they meet."""
    found, left = [], list(pattern.holes)
    for row in given["rivet_rows"]:
        if row.get("piece", pattern.name) == pattern.name:
            these, others = left[: row["count"]], left[row["count"] : 2 * row["count"]]
            found += list(zip(these, others, strict=True))
            left = left[2 * row["count"] :]
    assert not left
    return found


# --- closed in space -----------------------------------------------------------------------------


@dataclass(frozen=True)
class Oval:
    """An end by its outward normal: the middle of its curve there and its radius, by its author's sizes."""

    width: float
    height: float
    corner: float
    ellipse: bool = False

    def at(self, angle: float, quarter: int) -> Any:
        if self.ellipse:
            a, b = self.width / 2, self.height / 2
            reach = hypot(a * cos(angle), b * sin(angle))
            return np.array([a * a * cos(angle) / reach, b * b * sin(angle) / reach])
        ways = ((1, 1), (-1, 1), (-1, -1), (1, -1))[quarter % 4]
        middle = np.array(
            [ways[0] * (self.width / 2 - self.corner), ways[1] * (self.height / 2 - self.corner)]
        )
        return middle + self.corner * np.array([cos(angle), sin(angle)])

    def radius(self, angle: float) -> float:
        if not self.ellipse:
            return self.corner
        a, b = self.width / 2, self.height / 2
        return float((a * b) ** 2 / ((a * cos(angle)) ** 2 + (b * sin(angle)) ** 2) ** 1.5)


def ends_of(given: dict[str, Any]) -> tuple[Oval, Oval]:
    """Both ends on the middle of the sheet, of sizes over the outside."""
    less = given["thickness"]

    def circle(name: str) -> Oval:
        size = given[name] - less
        return Oval(size, size, size / 2)

    if "cone" in given["shape"]:
        return circle("diameter"), circle("diameter_after")
    width, height = given["width"] - less, given["height"] - less
    if given["shape"] == "square_scoop":
        return Oval(width, height, 0.0), Oval(given["width_after"] - less, given["height_after"] - less, 0.0)
    if given["shape"] == "rectangle_to_round":
        corner = given["corner_radius"] - less / 2 if "corner_radius" in given else 0.0
        return Oval(width, height, corner), circle("diameter")
    ellipse = given["oval"] == "ellipse"
    return Oval(width, height, min(width, height) / 2, ellipse), circle("diameter")


@dataclass
class Walk:
    """A surface between two ends rolled off on the flat, from the middle of the pattern to the right: flat
    faces by their lengths and angles in space, curved ones by the equations of a line that rolls."""

    first: Oval
    second: Oval
    offset: float
    length: float
    foot: Any
    turn: float

    def line(self, angle: float, quarter: int) -> tuple[Any, Any]:
        begin = np.array([*self.first.at(angle, quarter), 0.0])
        end = np.array([*self.second.at(angle, quarter), self.length])
        return begin, end + np.array([self.offset, 0, 0])

    def rates(self, angle: float, state: Any, quarter: int) -> list[float]:
        begin, end = self.line(angle, quarter)
        reach = np.linalg.norm(end - begin)
        ruling = (end - begin) / reach
        along = ruling @ np.array([-sin(angle), cos(angle), 0])
        square = sqrt(1 - along**2)
        radii = self.first.radius(angle), self.second.radius(angle)
        turn = state[2]
        return [
            radii[0] * (along * cos(turn) + square * sin(turn)),
            radii[0] * (along * sin(turn) - square * cos(turn)),
            -(radii[1] - radii[0]) * square / reach,
        ]

    def rolled(self, start: float, angle: float, quarter: int) -> tuple[Any, float]:
        """Foot and turn of the flat line when it has rolled from one angle to another."""
        if angle == start:
            return self.foot, self.turn
        found = solve_ivp(
            self.rates,
            (start, angle),
            [*self.foot, self.turn],
            args=(quarter,),
            method="DOP853",
            rtol=1e-12,
            atol=1e-15,
        ).y[:, -1]
        return found[:2], float(found[2])

    def find(self, place: Any) -> Any:
        """Where in space a place of the flat comes to lie: in the first face or curve that has it."""
        for quarter in range(4):
            start = quarter * pi / 2
            opened, closed = self.line(start, quarter - 1), self.line(start, quarter)
            if not quarter:  # half a side, from the middle on
                opened = np.array([closed[0][0], 0, 0]), np.array([closed[1][0], 0, self.length])
            found = self.over_face(place, start, opened, closed)
            if found is None:
                found = self.over_curve(place, start, quarter)
            if found is not None:
                return found
        raise AssertionError("the place is not on the piece")

    def over_face(self, place: Any, angle: float, opened: Any, closed: Any) -> Any:
        """On a flat face between two lines, or the flat frame moved beyond it."""
        ruling = (opened[1] - opened[0]) / np.linalg.norm(opened[1] - opened[0])
        tangent = np.array([-sin(angle), cos(angle), 0])
        aside = tangent - (tangent @ ruling) * ruling
        aside /= np.linalg.norm(aside)
        frame = np.array([[cos(self.turn), sin(self.turn)], [sin(self.turn), -cos(self.turn)]])

        def flat(point: Any) -> Any:
            away = point - opened[0]
            return self.foot + (away @ ruling) * frame[0] + (away @ aside) * frame[1]

        foot, head = flat(closed[0]), flat(closed[1])
        turn = atan2(*(head - foot)[::-1])
        beyond = np.array([sin(turn), -cos(turn)]) @ (place - foot)
        if beyond <= 0 and max(dist(opened[0], closed[0]), dist(opened[1], closed[1])) > 1e-12:
            along, across = frame @ (place - self.foot)
            return opened[0] + along * ruling + across * aside
        self.foot, self.turn = foot, turn
        return None

    def over_curve(self, place: Any, start: float, quarter: int) -> Any:
        stop = start + pi / 2

        def beyond(angle: float) -> float:
            foot, turn = self.rolled(start, angle, quarter)
            return float(np.array([sin(turn), -cos(turn)]) @ (place - foot))

        if beyond(stop) > 0:
            self.foot, self.turn = self.rolled(start, stop, quarter)
            return None
        angle = brentq(beyond, start, stop, xtol=1e-13) if beyond(start) > 0 else start
        foot, turn = self.rolled(start, angle, quarter)
        begin, end = self.line(angle, quarter)
        along = np.array([cos(turn), sin(turn)]) @ (place - foot)
        return begin + along * (end - begin) / np.linalg.norm(end - begin)


def in_space(given: dict[str, Any], place: tuple[float, float]) -> Any:
    """Where a place of the pattern lies when the piece is closed, the lap on what it covers."""
    if given["shape"].startswith(("tube", "segmented")):
        radius = (given["diameter"] - given["thickness"]) / 2
        angle = place[0] / radius
        return np.array([radius * cos(angle), radius * sin(angle), place[1]])
    first, second = ends_of(given)
    # The left half is the mirror image of the right one, in the flat and in space.
    walk = Walk(first, second, given.get("offset", 0.0), given["length"], np.zeros(2), pi / 2)
    found = walk.find(np.array([abs(place[0]), place[1]]))
    return found * np.array([1, 1 if place[0] > 0 else -1, 1])


def meetings(given: dict[str, Any], moved: float = 0.0) -> list[float]:
    """How far each hole of a lap is from its partner; with the holes of the lap moved along it."""
    _, patterns = drawn(given)
    return [
        dist(in_space(given, (one.centre[0], one.centre[1] + moved)), in_space(given, other.centre))
        for pattern in patterns
        if pattern.name != "hole"
        for one, other in pairs(given, pattern)
    ]


@pytest.mark.parametrize("name", PIECES)
def test_each_hole_of_a_lap_meets_its_partner_when_the_piece_is_closed(name: str) -> None:
    """The pattern rolled off in space by scipy's DOP853, from its middle to the seam and on over the lap, and
    the other way round to the partner: the whole piece lies between them."""
    found = meetings(inputs(name))
    assert len(found) == sum(row["count"] for row in inputs(name)["rivet_rows"])
    assert max(found) < 1e-8
    assert min(meetings(inputs(name), moved=1e-6)) > 0.9e-6, "a micrometre is seen"


@settings(max_examples=most_examples(40))
@for_all(
    shape=st.sampled_from(["rectangle_to_round", "oval_to_round", "cone", "offset_cone", "square_scoop"]),
    sizes=st.lists(st.floats(0.05, 0.2), min_size=4, max_size=4),
    length=st.floats(0.05, 0.2),
    offset=st.floats(-0.03, 0.03),
    lap=st.floats(0.004, 0.02),
    share=st.floats(0.1, 0.9),
    ends=st.tuples(st.floats(0.004, 0.04), st.floats(0.004, 0.04)),
    count=st.integers(2, 6),
)
@example("rectangle_to_round", [0.11, 0.048, 0.08, 0.06], 0.085, 0.012, 0.012, 0.5, (0.016, 0.03), 4)
@example("rectangle_to_round", [0.11, 0.048, 0.08, 0.06], 0.085, 0.012, 0.012, 0.5, (0.016, 0.016), 4)
def test_a_row_of_any_piece_meets_or_is_refused(
    shape: str,
    sizes: list[float],
    length: float,
    offset: float,
    lap: float,
    share: float,
    ends: tuple[float, float],
    count: int,
) -> None:
    """What is drawn meets in space, lies within the cut line and beside the folds; what does not is refused
    with what to do."""
    names = ("width", "height", "width_after", "height_after")
    if shape != "square_scoop":
        names = ("width", "height", "diameter", "diameter_after")
    needed, allowed = development._SIZES[shape]
    given: dict[str, Any] = {
        name: size for name, size in zip(names, sizes, strict=True) if name in (*needed, *allowed)
    }
    given |= {"length": length, "lap": lap} | ({"offset": offset} if shape != "cone" else {})
    given |= {"oval": "flat"} if shape == "oval_to_round" else {}
    row = ROW | {"edge_distance": share * lap, "count": count}
    row |= {"end_distance": ends[0], "end_distance_after": ends[1]}
    given = {**COMMON, "shape": shape, "rivet_rows": [row], **given}
    refused: Refused | None = None
    try:
        case, (pattern,) = drawn(given)
    except (InputsConflict, OutOfRange) as error:
        refused = error
    if refused:
        assert refused.found
        assert refused.expected
        assert refused.name != "rivet_rows" or refused.help
        return
    assert max(meetings(given)) < 1e-7
    apart = [dist(one.centre, other.centre) for one, other in pairwise(pattern.holes[:count])]
    assert apart == pytest.approx([case.outputs["rivet_pitch"]["row"]] * (count - 1), rel=1e-9)
    middles = [hole.centre for hole in pattern.holes]
    cut = pattern.lines[0].points
    assert MatplotlibPath([*cut, cut[0]]).contains_points(middles).all()
    margin = case.outputs["rivet_margin"]["row"]
    assert margin > ROW["hole_diameter"] / 2
    # The many places are never nearer than the line, and no further than half of a step between two.
    step = max(dist(one, other) for one, other in pairwise([*cut, cut[0]])) / 399
    over = nearest(middles, [*cut, cut[0]]) - margin
    assert -1e-12 < over <= (step / 2) ** 2 / (2 * margin) + 1e-12
    folds = [line.points for line in pattern.lines if line.kind == "bend" and len(line.points) == 2]
    assert min(nearest(middles[count:], fold) for fold in folds) > ROW["hole_diameter"] / 2


def nearest(places: Any, line: Any) -> float:
    """The least distance of places from a line, which is taken as many places itself."""
    ends = np.array(line)
    shares = np.linspace(0, 1, 400)[:, None]
    many = np.concatenate([one + shares * (other - one) for one, other in pairwise(ends)])
    return float(min(np.hypot(*(many - np.array(place)).T).min() for place in places))


# --- measured again ------------------------------------------------------------------------------

ORIGIN = Origin(block="page#block", case="", name="", digest="0" * 12)


@pytest.mark.parametrize("name", PIECES)
def test_the_rows_are_measured_again_in_the_drawing(name: str) -> None:
    """ezdxf: circles in two rows, as far from the cut line's seam edges and from each other as is told."""
    given = inputs(name)
    case, patterns = drawn(given)

    def told(output: str, key: str) -> Written:
        value = case.outputs[output][key] if key else case.outputs[output]
        return Written(text=f"{1000 * value:.1f} mm", length=1000 * value, address=output)

    for pattern in patterns:
        if pattern.name == "hole":
            continue
        drawing = lay_out(replace(pattern, notes=()), told)
        model = read(StringIO(as_dxf(drawing, ORIGIN).decode("ascii"))).modelspace()
        circles = [
            (one.dxf.center.x, one.dxf.center.y)
            for one in model.query('CIRCLE[layer=="CUT"]')
            if one.dxf.radius == pytest.approx(1.6)
        ]
        (row,) = (row for row in given["rivet_rows"] if row.get("piece", pattern.name) == pattern.name)
        key, count = row["name"], row["count"]
        assert len(circles) == 2 * count
        for these in (circles[:count], circles[count:]):
            steps = [dist(one, other) for one, other in pairwise(these)]
            assert steps == pytest.approx([1000 * case.outputs["rivet_pitch"][key]] * (count - 1), abs=1e-6)
        # From the free edge of the lap and from the sheet's edge at the other side: lines of the cut.
        (cut,) = model.query('POLYLINE[layer=="CUT"]')
        corners = [tuple(one.dxf.location)[:2] for one in cut.vertices]  # type: ignore[attr-defined]
        sides = list(pairwise([*corners, corners[0]]))
        for these, far in ((circles[:count], 6.5), (circles[count:], 6.0)):
            assert any(
                [square(one, side) for one in these] == pytest.approx([far] * count, abs=1e-6)
                for side in sides
            )


def square(place: Any, side: Any) -> float:
    """How far a place is from a line without ends."""
    (x, y), (x_2, y_2) = side
    across, up = x_2 - x, y_2 - y
    return float(abs(across * (place[1] - y) - up * (place[0] - x)) / hypot(across, up))


@pytest.mark.parametrize("name", PIECES)
def test_a_row_in_a_lap_has_its_measures_on_the_pattern(name: str) -> None:
    case, patterns = drawn(inputs(name))
    for pattern in patterns:
        if pattern.name == "hole":
            continue
        told = {one.output for one in pattern.dimensions}
        assert told >= {"rivet_pitch", "rivet_edge", "rivet_end", "rivet_edge_matching"}
        assert len([line for line in pattern.lines if line.kind == "centre" and len(line.points) == 2]) >= 2
        for one in pattern.dimensions:
            if one.output.startswith("rivet"):
                assert dist(one.start, one.end) == pytest.approx(case.outputs[one.output][one.key], rel=1e-9)


def test_a_piece_without_rows_is_as_it_was() -> None:
    given = inputs("cone")
    del given["rivet_rows"]
    case, (pattern,) = drawn(given)
    assert not pattern.holes
    assert not [name for name in case.outputs if name.startswith("rivet")]


# --- by hand -------------------------------------------------------------------------------------


def test_a_row_along_a_cone_s_seam_by_hand() -> None:
    """Slant height √(60² + 17²) = 62.36 mm: (62.36 - 16 - 16)/3 between the holes, 12.5 - 6.5 on the other
    side. At the lap's end, cut at 45° from the seam's end, (16 - 6)/√2 to the cut."""
    case, _ = drawn(inputs("cone"))
    found = {name: case.outputs[name]["row"] for name in case.outputs if name.startswith("rivet")}
    assert found["rivet_pitch"] == pytest.approx((hypot(0.06, 0.017) - 0.032) / 3, rel=1e-9)
    assert found["rivet_edge_matching"] == pytest.approx(0.006, rel=1e-9)
    assert found["rivet_margin"] == pytest.approx(0.006, rel=1e-9)
    near = drawn(inputs("cone", rivet_rows=[ROW | {"end_distance": 0.013}]))[0].outputs
    assert near["rivet_margin"]["row"] == pytest.approx(0.007 / sqrt(2), rel=1e-9)


def test_the_thickness_of_a_lap_moves_its_holes() -> None:
    """Two tubes in each other, of 37 and of 38 mm radius on the middles of their walls: 6 mm round the inner
    one are 6/37 rad, and of the outer one's 38 mm 6 · 38/37 - 6 mm are too much."""
    case, _ = drawn(inputs("mitre", diameter=0.077, length=0.12))
    assert case.outputs["rivet_shift"]["row"] == pytest.approx(0.006 * 38 / 37 - 0.006, rel=1e-9)
    assert not any("shift" in name for name in drawn(inputs("scoop"))[0].outputs)
    assert not any("shift" in name for name in drawn(inputs("rectangle to round"))[0].outputs)


def unmet(given: dict[str, Any]) -> set[str]:
    case, _ = drawn(given)
    found = set()
    for limit in case.limits:
        value = case.outputs[limit.output][limit.key]
        if not (limit.least or 0.0) <= value <= (limit.most or 1.0):
            found.add(limit.output)
    return found


def test_the_rules_of_a_row_in_a_lap() -> None:
    """U.S. Army, TM 10-5410-229-13&P: 2 diameters to the edge, 3 between; J. Cox, 1999: 10 at the most."""
    assert unmet(inputs("cone")) == set()
    for changes, output in (
        ({"edge_distance": 0.0059}, "rivet_edge"),
        ({"edge_distance": 0.0066}, "rivet_edge_matching"),
        ({"edge_distance": 0.0066}, "rivet_margin"),
        ({"end_distance": 0.014}, "rivet_margin"),
        ({"count": 2}, "rivet_pitch"),
        ({"count": 5}, "rivet_pitch"),
        ({"hole_diameter": 0.0031}, "rivet_shift"),
    ):
        assert output in unmet(inputs("cone", rivet_rows=[ROW | changes])), changes
    # The fold of the corner comes nearer to the seam: two thicknesses are 2 mm.
    late = [EARLIER[0] | {"end_distance_after": 0.026}]
    assert "rivet_clearance" in unmet(inputs("rectangle to round", rivet_rows=late))
    assert unmet(inputs("rectangle to round")) == set()


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "changes", "column", "says"),
    [
        ("cone", {"edge_distance": 0.0015}, "edge_distance", "a lap of 4 rivet diameters, 12 mm"),
        ("cone", {"edge_distance": 0.011}, "edge_distance", "a lap of 4 rivet diameters, 12 mm"),
        ("cone", {"end_distance": 0.0015}, "end_distance", "correct the distance"),
        ("cone", {"end_distance": 0.04}, "end_distance", "correct the distance"),
        ("cone", {"end_distance_after": 0.05}, "end_distance_after", "correct the distance"),
        ("cone", {"end_distance": 0.007}, "end_distance", "14.49 mm is two diameters"),
        ("cone", {"end_distance_after": 0.007}, "end_distance_after", "14.49 mm is two diameters"),
        ("cone", {"hole_diameter": 0.0029}, "hole_diameter", ""),
        ("cone", {"count": 20}, "count", "fewer holes"),
        ("rectangle to round", {"end_distance_after": 0.02}, "end_distance_after", "end the row before"),
        ("rectangle to round", {"end_distance_after": 0.012}, "end_distance_after", "end the row before"),
        ("scoop", {"end_distance": 0.0016}, "end_distance", ""),
        ("cone", {"piece": "end"}, "piece", "write one of them"),
    ],
)
def test_a_row_without_room_is_refused(name: str, changes: dict[str, Any], column: str, says: str) -> None:
    with pytest.raises(InputsConflict) as refused:
        drawn(inputs(name, rivet_rows=[inputs(name)["rivet_rows"][0] | changes]))
    assert (refused.value.name, refused.value.at) == ("rivet_rows", (0, column))
    assert says in str(refused.value.help)


def test_a_lap_that_is_narrower_than_a_hole_is_told() -> None:
    with pytest.raises(InputsConflict) as refused:
        drawn(inputs("cone", lap=0.003))
    assert "a lap wider than a hole" in str(refused.value.expected)


def test_rivets_want_a_lap_of_sheet() -> None:
    with pytest.raises(MissingInput) as missing:
        drawn(inputs("cone", lap=0.0))
    assert missing.value.name == "lap"
    with pytest.raises(InputsConflict) as refused:
        drawn(inputs("mitre", cut_from="tube"))
    assert refused.value.name == "rivet_rows"


def test_a_bend_is_asked_whose_seam() -> None:
    with pytest.raises(MissingInput) as missing:
        drawn(inputs("bend", rivet_rows=[ROW]))
    assert (missing.value.name, missing.value.at) == ("rivet_rows", (0,))
    # Of two pieces both are ends.
    _, (pattern,) = drawn(inputs("bend", segments=2, rivet_rows=[ROW | {"count": 2}]))
    assert len(pattern.holes) == 4


def test_rows_that_run_into_each_other_are_refused() -> None:
    with pytest.raises(InputsConflict) as refused:
        drawn(inputs("cone", rivet_rows=[ROW, ROW | {"name": "again"}]))
    assert refused.value.at == (1,)
