"""The kind `development`, whole: sizes on the neutral surface, tables to mark from, patterns, refusals."""

from __future__ import annotations

from itertools import pairwise
from math import acos, cos, degrees, dist, hypot, pi, radians, sin, sqrt, tan
from typing import Any

import pytest
from scipy.special import ellipe

from buildlog.calculators import development
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import Working
from buildlog.kinds.pattern import Pattern
from tests.calculators.seen import seen

COMMON: dict[str, Any] = {"thickness": 0.001, "sizes_are": "outside", "divisions": 16}
SHAPES: dict[str, dict[str, Any]] = {
    "rectangle_to_round": {"width": 0.12, "height": 0.07, "diameter": 0.076, "length": 0.09, "offset": 0.015},
    "oval_to_round": {"width": 0.11, "height": 0.06, "oval": "flat", "diameter": 0.08, "length": 0.1},
    "cone": {"diameter": 0.11, "diameter_after": 0.076, "length": 0.06},
    "offset_cone": {"diameter": 0.076, "diameter_after": 0.11, "length": 0.06, "offset": -0.02},
    "square_scoop": {
        "width": 0.16,
        "height": 0.09,
        "width_after": 0.12,
        "height_after": 0.07,
        "length": 0.06,
        "return_width": 0.012,
        "returns": "inwards",
    },
    "tube_on_tube": {
        "diameter": 0.038,
        "main_diameter": 0.06,
        "angle": radians(60),
        "length": 0.08,
        "cut_from": "tube",
    },
    "tube_on_plane": {"diameter": 0.06, "angle": radians(60), "length": 0.1, "cut_from": "sheet"},
    "segmented_bend": {
        "diameter": 0.076,
        "bend_radius": 0.114,
        "angle": pi / 2,
        "segments": 5,
        "cut_from": "sheet",
    },
}


def given(shape: str, without: str = "", **changes: Any) -> dict[str, Any]:
    inputs = {**COMMON, "shape": shape, **SHAPES[shape], **changes}
    return {name: value for name, value in inputs.items() if name != without}


def run(shape: str, without: str = "", **changes: Any) -> dict[str, Any]:
    return dict(development.compute(given(shape, without, **changes), Working()))


def drawn(shape: str, **changes: Any) -> tuple[Pattern, ...]:
    return development.patterns({"": seen(development.compute, given(shape, **changes))})


# --- sizes and the neutral surface --------------------------------------------------------------


def test_a_rolled_edge_is_pi_times_the_mean_diameter() -> None:
    """110 mm over the outside of 1 mm sheet: π · 109 mm; within, π · 111 mm; to the middle, π · 110 mm."""
    for sizes, mean in (("outside", 0.109), ("inside", 0.111), ("middle", 0.110)):
        found = run("cone", sizes_are=sizes)
        assert found["edge_length"] == pytest.approx(pi * mean, rel=1e-12)
        assert found["edge_length_after"] == pytest.approx(pi * (mean - 0.034), rel=1e-12)


def test_a_cone_by_compass_and_protractor() -> None:
    """d 109 and 75 mm on the middle of the sheet, 60 mm high: by Pythagoras and similar triangles."""
    found = run("cone", density=2700.0)
    slant = hypot(0.017, 0.06)
    assert found["slant_height"] == pytest.approx(slant, rel=1e-12)
    assert found["seam_length"] == pytest.approx(slant, rel=1e-12)
    assert found["outer_radius"] == pytest.approx(slant * 0.0545 / 0.017, rel=1e-12)
    assert found["inner_radius"] == pytest.approx(slant * 0.0375 / 0.017, rel=1e-12)
    assert found["sector_angle"] == pytest.approx(2 * pi * 0.017 / slant, rel=1e-12)
    # Guldin: slant height times the way of its middle.
    area = slant * pi * 0.092
    assert found["surface_area"] == pytest.approx(area, rel=1e-9)
    assert found["sheet_area"] == found["surface_area"]
    assert found["mass"] == pytest.approx(2700 * 0.001 * area, rel=1e-9)
    # A sector of less than half a turn fits into its chord, and its outer radius less the inner's cosine.
    half = found["sector_angle"] / 2
    assert found["blank_length"] == pytest.approx(2 * found["outer_radius"] * sin(half), rel=1e-9)
    height = found["outer_radius"] - found["inner_radius"] * cos(half)
    assert found["blank_width"] == pytest.approx(height, rel=1e-9)


def test_an_ellipse_s_edge() -> None:
    """4 a E(e²) by scipy.special.ellipe, on the middle of the sheet."""
    found = run("oval_to_round", oval="ellipse")
    assert found["edge_length"] == pytest.approx(4 * 0.0545 * ellipe(1 - (0.0295 / 0.0545) ** 2), rel=1e-9)


def test_a_flat_oval_s_edge() -> None:
    found = run("oval_to_round")
    assert found["edge_length"] == pytest.approx(2 * 0.05 + pi * 0.059, rel=1e-12)


def test_true_lengths_and_bends_of_a_transition() -> None:
    """By triangulation as in any book on sheet metal: plan length against height; the bend between the plane
    of a flat triangle and the first facet by their normals."""
    found = run("rectangle_to_round", sizes_are="middle", offset=0.0)
    corner = (0.06, 0.035)
    for count in range(5):
        angle = radians(22.5 * count)
        plan = hypot(0.038 * cos(angle) - corner[0], 0.038 * sin(angle) - corner[1])
        key = f"A-{22.5 * count:g}°"
        assert found["line_length"][key] == pytest.approx(hypot(plan, 0.09), rel=1e-12)
    # The wall over the short side leans by 22 mm in 90 mm; the facet goes through the corner, 0° and 22.5°.
    chord = (0.038 * (cos(radians(22.5)) - 1), 0.038 * sin(radians(22.5)), 0.0)
    line = (0.038 - corner[0], -corner[1], 0.09)
    normal = (chord[1] * line[2], -chord[0] * line[2], chord[0] * line[1] - chord[1] * line[0])
    wall = (0.09, 0.0, 0.022)
    cosine = sum(a * b for a, b in zip(normal, wall, strict=True)) / hypot(*normal) / hypot(*wall)
    assert found["bend_angle"]["A-0°"] == pytest.approx(acos(cosine), rel=1e-9)


def test_bends_of_a_tube_add_up_to_a_whole_turn() -> None:
    """Of a piece that is bent round once, whichever its ends: here 16 of 22.5°, less what a cone saves."""
    found = run("offset_cone", diameter=0.0760001, diameter_after=0.076, offset=0.0, sizes_are="middle")
    assert degrees(2 * sum(list(found["bend_angle"].values())[1:-1])) == pytest.approx(360 - 45, abs=0.01)


# --- tubes ---------------------------------------------------------------------------------------


def test_paper_and_sheet_round_a_tube() -> None:
    found = run("tube_on_plane")
    assert found["wrap_length"] == pytest.approx(pi * 0.06, rel=1e-12)
    assert found["rolled_length"] == pytest.approx(pi * 0.059, rel=1e-12)
    assert found["station_mark"]["90°"] == pytest.approx(pi * 0.059 / 4, rel=1e-12)
    assert run("tube_on_plane", cut_from="tube")["station_mark"]["90°"] == pytest.approx(
        pi * 0.015, rel=1e-12
    )


def test_a_mitre_s_table() -> None:
    """y = r tan α cos φ, with α from square: 60° between axis and plane are 30°."""
    found = run("tube_on_plane", cut_from="tube")
    for key, height in found["cut_height"].items():
        station = radians(float(key.removesuffix("°")))
        assert height == pytest.approx(0.1 - 0.03 * tan(radians(30)) * cos(station), rel=1e-12)
        assert found["cut_height_outside"][key] == height
    assert found["cut_depth"] == pytest.approx(2 * 0.03 * tan(radians(30)), rel=1e-9)
    assert found["surface_area"] == pytest.approx(pi * 0.059 * 0.1, rel=1e-12)  # Guldin


def test_equal_tubes_at_a_right_angle() -> None:
    """The deepest place of a saddle of equal tubes lies a radius above the crown; h = L - R |cos φ|."""
    found = run("tube_on_tube", diameter=0.06, angle=pi / 2, meets="outside")
    for key, height in found["cut_height"].items():
        station = radians(float(key.removesuffix("°")))
        assert height == pytest.approx(0.08 - 0.03 * abs(cos(station)), abs=1e-12)
    assert found["hole_length"] == pytest.approx(0.058, rel=1e-4)


def test_a_wall_that_is_cut_square_touches_first_where_the_main_tube_is_nearest() -> None:
    """At a right angle the main tube is nearest to the branch's square end at the inside of the wall, all
    round but at the crown: sqrt(R² - r² sin² φ) is the larger the less r."""
    found = run("tube_on_tube", angle=pi / 2)
    for key, height in found["cut_height"].items():
        station = radians(float(key.removesuffix("°")))
        assert height == pytest.approx(0.08 - sqrt(0.03**2 - (0.018 * sin(station)) ** 2), rel=1e-12)
    inside = run("tube_on_tube", angle=pi / 2, meets="inside")
    assert inside["cut_height"] == pytest.approx(found["cut_height"], rel=1e-12)


def test_a_branch_s_offset_turns_the_table_round() -> None:
    one, other = run("tube_on_tube", offset=0.008), run("tube_on_tube", offset=-0.008)
    assert one["cut_height"]["90°"] == pytest.approx(other["cut_height"]["270°"], rel=1e-12)
    assert one["cut_height"]["90°"] != pytest.approx(one["cut_height"]["270°"], rel=1e-3)


def test_a_bend_of_five_pieces() -> None:
    """Cuts at 11.25°; whole segments 2 (R ± r) tan α long at back and throat; wall by Guldin."""
    found = run("segmented_bend", end_length=0.02, lap=0.01)
    cut = radians(11.25)
    assert found["mitre_angle"] == pytest.approx(cut, rel=1e-12)
    assert found["segment_height"]["0°"] == pytest.approx(2 * (0.114 - 0.0375) * tan(cut), rel=1e-12)
    assert found["segment_height"]["180°"] == pytest.approx(2 * (0.114 + 0.0375) * tan(cut), rel=1e-12)
    assert found["cut_height"]["0°"] == pytest.approx(0.02 + (0.114 - 0.0375) * tan(cut), rel=1e-12)
    assert found["middle_length"] == pytest.approx(8 * 0.114 * tan(cut), rel=1e-12)
    area = pi * 0.075 * (8 * 0.114 * tan(cut) + 0.04)
    assert found["surface_area"] == pytest.approx(area, rel=1e-12)
    # Every seam lies at the throat.
    seams = 8 * (0.114 - 0.0375) * tan(cut) + 0.04
    assert found["sheet_area"] == pytest.approx(area + 0.01 * seams, rel=1e-12)


def test_two_pieces_are_a_mitre() -> None:
    found = run("segmented_bend", segments=2, cut_from="tube")
    assert "segment_height" not in found
    mitre = run("tube_on_plane", cut_from="tube", diameter=0.076, angle=pi / 4, length=0.114)
    assert found["cut_height"] == pytest.approx(mitre["cut_height"], rel=1e-12)


# --- patterns --------------------------------------------------------------------------------------


def measured(pattern: Pattern) -> list[tuple[float, str, str]]:
    found = []
    for one in pattern.dimensions:
        across, up = one.end[0] - one.start[0], one.end[1] - one.start[1]
        length = {"": hypot(across, up), "horizontal": abs(across), "vertical": abs(up)}[one.along]
        found.append((length, one.output, one.key))
    return found


EVERY = [
    *((shape, {}) for shape in SHAPES),
    *((shape, {"lap": 0.01}) for shape in SHAPES),
    ("square_scoop", {"returns": "outwards"}),
    ("oval_to_round", {"oval": "ellipse"}),
    ("rectangle_to_round", {"corner_radius": 0.01}),
    ("tube_on_tube", {"offset": 0.008, "hole_for": "outside", "cut_from": "sheet"}),
    ("segmented_bend", {"segments": 2}),
    ("segmented_bend", {"end_length": 0.02, "cut_from": "tube"}),
]


@pytest.mark.parametrize(("shape", "changes"), EVERY)
def test_a_dimension_is_as_long_as_its_output_s_value(shape: str, changes: dict[str, Any]) -> None:
    found = run(shape, **changes)
    patterns = drawn(shape, **changes)
    assert len({pattern.name for pattern in patterns}) == len(patterns)
    for pattern in patterns:
        for length, output, key in measured(pattern):
            value = found[output][key] if key else found[output]
            assert length == pytest.approx(value, rel=1e-12), (pattern.name, output)
        for note in pattern.notes:
            assert ("{value}" in note.text) == bool(note.output)
            assert not note.output or note.key in found[note.output]


@pytest.mark.parametrize(("shape", "changes"), EVERY)
def test_a_cut_line_is_closed_and_does_not_cross_itself(shape: str, changes: dict[str, Any]) -> None:
    for pattern in drawn(shape, **changes):
        cuts = [line for line in pattern.lines if line.kind == "cut"]
        assert len(cuts) == 1
        assert cuts[0].closed
        points = cuts[0].points
        assert all(dist(one, other) > 1e-9 for one, other in pairwise((*points, points[0])))
        sides = list(pairwise((*points, points[0])))
        for i, side in enumerate(sides):
            for j in range(i + 2, len(sides)):
                if (i, j) != (0, len(sides) - 1):
                    assert not crosses(side, sides[j]), (pattern.name, side, sides[j])


def crosses(one: Any, other: Any) -> bool:
    def turn(a: Any, b: Any, c: Any) -> float:
        return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))

    (a, b), (c, d) = one, other
    return turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0


@pytest.mark.parametrize("shape", ["rectangle_to_round", "oval_to_round", "cone", "offset_cone"])
def test_a_sheet_s_cut_line_encloses_its_area(shape: str) -> None:
    found = run(shape, lap=0.012)
    points = drawn(shape, lap=0.012)[0].lines[0].points
    area = abs(sum(x * y_2 - x_2 * y for (x, y), (x_2, y_2) in pairwise((*points, points[0])))) / 2
    assert area == pytest.approx(found["sheet_area"], rel=4e-4)


def test_a_scoop_s_cut_line_encloses_its_area() -> None:
    for returns in ("outwards", "inwards", "hem"):
        found = run("square_scoop", returns=returns, lap=0.012)
        points = drawn("square_scoop", returns=returns, lap=0.012)[0].lines[0].points
        area = abs(sum(x * y_2 - x_2 * y for (x, y), (x_2, y_2) in pairwise((*points, points[0])))) / 2
        assert area == pytest.approx(found["sheet_area"], rel=1e-9), returns


@pytest.mark.parametrize("shape", ["tube_on_plane", "segmented_bend"])
def test_a_rolled_strip_encloses_its_piece_s_area(shape: str) -> None:
    """Of a bend the two ends and three whole segments."""
    found = run(shape)
    total = 0.0
    for pattern in drawn(shape):
        points = pattern.lines[0].points
        area = abs(sum(x * y_2 - x_2 * y for (x, y), (x_2, y_2) in pairwise((*points, points[0])))) / 2
        total += area * {"end": 2, "segment": 3}.get(pattern.name, 1)
    assert total == pytest.approx(found["surface_area"], rel=4e-4)


def test_bend_lines_are_as_long_as_the_table_says() -> None:
    found = run("rectangle_to_round")
    pattern = drawn("rectangle_to_round")[0]
    lengths = sorted(dist(*line.points) for line in pattern.lines if line.kind == "bend")
    table = sorted(found["line_length"].values())
    assert lengths == pytest.approx(sorted([*table, *table]), rel=1e-12)


def test_words_of_a_pattern() -> None:
    branch, hole = drawn("tube_on_tube", material="stainless tube", revision="B")
    assert branch.material == "stainless tube"
    assert branch.revision == "B"
    assert "Wrap it round the outside" in branch.use
    assert hole.name == "hole"
    # A flange to the outside comes towards whoever looks at the outside; all else is folded away.
    for returns, towards in (("outwards", True), ("inwards", False), ("hem", False)):
        assert drawn("square_scoop", returns=returns)[0].use.endswith("towards you.") == towards
    assert drawn("tube_on_plane")[0].use.startswith("Cut it from sheet and roll it")


def test_a_lap_that_stands_above_its_cut_says_so() -> None:
    """At right angles a branch of 38 mm whose axis passes that of a main tube of 60 mm by 8 mm reaches to
    √(30² - 8²) mm of it at the seam, and to 30 mm where it is deepest, under the lap on one side: it has to
    end 1.086 mm earlier there. On the other side the cut rises, and the lap stays below it."""
    sizes: dict[str, Any] = {"angle": pi / 2, "cut_from": "sheet", "length": 0.09, "lap": 0.012}
    sizes["meets"] = "outside"
    told = []
    for offset in (0.008, -0.008):
        working = Working()
        development.compute(given("tube_on_tube", offset=offset, **sizes), working)
        told.append([remark for remark in working.remarks if remark.startswith("The lap stands up to")])
    assert sorted(map(len, told)) == [0, 1]
    assert (told[0] or told[1])[0].startswith(f"The lap stands up to {30 - sqrt(30**2 - 8**2):.1f} mm above")


# --- refusals --------------------------------------------------------------------------------------


@pytest.mark.parametrize("shape", SHAPES)
def test_a_shape_asks_for_each_of_its_sizes(shape: str) -> None:
    needed, _ = development._SIZES[shape]
    for name in needed:
        with pytest.raises(MissingInput) as refused:
            run(shape, name)
        assert refused.value.name == name


@pytest.mark.parametrize(
    ("shape", "changes", "error", "name"),
    [
        ("cone", {"width": 0.1}, InputsConflict, "width"),
        ("cone", {"diameter_after": 0.11}, InputsConflict, "diameter_after"),
        ("cone", {"divisions": 18}, OutOfRange, "divisions"),
        ("cone", {"lap": 0.04}, OutOfRange, "lap"),
        ("cone", {"diameter": 0.001, "diameter_after": 0.0015}, OutOfRange, "thickness"),
        ("rectangle_to_round", {"corner_radius": 0.036}, OutOfRange, "corner_radius"),
        ("rectangle_to_round", {"corner_radius": 0.0004}, OutOfRange, "corner_radius"),
        ("square_scoop", {"return_width": 0.05}, OutOfRange, "return_width"),
        # two returns over each other at a corner of the mouth, and all of them on walls that flare
        ("square_scoop", {"returns": "outwards", "offset": -0.0349, "lap": 0.01}, OutOfRange, "return_width"),
        ("square_scoop", {"returns": "outwards", "width_after": 1.0}, OutOfRange, "return_width"),
        # 99.8 % of a whole disc: its lap would lie over its beginning
        ("cone", {"diameter": 0.45, "diameter_after": 0.06, "length": 0.012, "lap": 0.01}, OutOfRange, "lap"),
        ("tube_on_plane", {"sizes_are": "inside"}, InputsConflict, "sizes_are"),
        ("tube_on_plane", {"angle": radians(9)}, OutOfRange, "angle"),
        ("tube_on_plane", {"angle": radians(91)}, OutOfRange, "angle"),
        ("tube_on_plane", {"length": 0.01}, OutOfRange, "length"),
        ("tube_on_plane", {"thickness": 0.03}, OutOfRange, "thickness"),
        ("tube_on_tube", {"main_diameter": 0.037}, OutOfRange, "main_diameter"),
        ("tube_on_tube", {"offset": 0.012}, OutOfRange, "main_diameter"),
        ("tube_on_tube", {"length": 0.03}, OutOfRange, "length"),
        ("segmented_bend", {"bend_radius": 0.038}, OutOfRange, "bend_radius"),
        ("segmented_bend", {"segments": 2, "angle": pi}, OutOfRange, "segments"),
    ],
)
def test_what_cannot_be_made_is_refused(
    shape: str, changes: dict[str, Any], error: type[Refused], name: str
) -> None:
    with pytest.raises(error) as refused:
        run(shape, **changes)
    assert refused.value.name == name


@pytest.mark.parametrize("name", ["returns", "return_width"])
def test_a_return_has_a_width_and_a_way(name: str) -> None:
    with pytest.raises(MissingInput) as refused:
        run("square_scoop", name)
    assert refused.value.name == name
