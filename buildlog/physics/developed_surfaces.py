"""Sheet laid flat: surfaces of straight lines between two convex ends in parallel planes.

A sheet that is bent and not stretched touches a plane along a whole line. So the line that joins two ends of
a duct goes between places where their edges are parallel, and both are told by one angle: that of the edge's
outward normal. A corner has many normals at one place, a straight side one normal at many. Between two such
lines that are near to each other the sheet is flat, and it is laid down line after line. The surface has the
plane y = 0 as a mirror: one half is laid, from the middle to the seam.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import acos, atan2, ceil, cos, degrees, dist, hypot, pi, sin, sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, product_of, sum_of
from buildlog.physics.limits import not_negative, positive, within

Flat = tuple[float, float]
Place = tuple[float, float, float]

# --- sizes on the neutral surface ------------------------------------------------------------

neutral_depth = product_of(
    "neutral_depth",
    "How deep in the sheet the surface lies that bending neither stretches nor shortens.",
    neutral_share=Variable(
        "k", "1", "share of the thickness from the outside to the neutral surface", positive
    ),
    thickness=Variable("t", "m", "thickness of the sheet", positive),
    gives=Variable("c", "m", "depth of the neutral surface"),
    source="definition",
)


def size_from_outside(
    outside_size: Annotated[float, "b", "m"],
    neutral_depth: Annotated[float, "c", "m"],
) -> Annotated[float, "b_n", "m"]:
    """A size on the neutral surface, of one that was measured over the outside.

    Formula: b_n = b - 2 c. Symbols: b size over the outside (m), c depth of the neutral surface (m), b_n size
    on the neutral surface (m).
    Range: b positive, c up to 0.49 b. Errors: `OutOfRange`. Source: geometry.
    """
    positive("outside_size", outside_size)
    positive("neutral_depth", neutral_depth)
    within("neutral_depth", neutral_depth, high=0.49 * outside_size, why="a hollow piece has an inside")
    return outside_size - 2 * neutral_depth


def size_from_inside(
    inside_size: Annotated[float, "b_i", "m"],
    thickness: Annotated[float, "t", "m"],
    neutral_depth: Annotated[float, "c", "m"],
) -> Annotated[float, "b_n", "m"]:
    """A size on the neutral surface, of one that was measured within.

    Formula: b_n = b_i + 2 (t - c). Symbols: b_i size within (m), t thickness of the sheet (m), c depth of the
    neutral surface from the outside (m), b_n size on the neutral surface (m).
    Range: b_i and t positive, c above 0, up to t. Errors: `OutOfRange`. Source: geometry.
    """
    positive("inside_size", inside_size)
    positive("thickness", thickness)
    positive("neutral_depth", neutral_depth)
    within("neutral_depth", neutral_depth, high=thickness, why="it lies in the sheet")
    return inside_size + 2 * (thickness - neutral_depth)


# --- closed forms ----------------------------------------------------------------------------


def slant_height(
    diameter: Annotated[float, "d_1", "m"],
    diameter_after: Annotated[float, "d_2", "m"],
    length: Annotated[float, "L", "m"],
) -> Annotated[float, "s", "m"]:
    """Length of a straight cone's side.

    Formula: s = sqrt(L² + (d_1 - d_2)² / 4). Symbols: d_1 diameter of one end (m), d_2 diameter of the other
    (m), L distance of the ends' planes (m), s slant height (m).
    Range: all positive. Errors: `OutOfRange`. Source: Pythagoras.
    """
    positive("diameter", diameter)
    positive("diameter_after", diameter_after)
    positive("length", length)
    return sqrt(length**2 + (diameter - diameter_after) ** 2 / 4)


def pattern_radius(
    diameter: Annotated[float, "d", "m"],
    slant_height: Annotated[float, "s", "m"],
    large_diameter: Annotated[float, "d_l", "m"],
    small_diameter: Annotated[float, "d_s", "m"],
) -> Annotated[float, "r_p", "m"]:
    """Radius of the arc that an end of a straight cone becomes when it is laid flat: its side up to the apex.

    Formula: r_p = s d / (d_l - d_s). Symbols: d diameter of that end (m), s slant height from end to end (m),
    d_l diameter of the large end (m), d_s diameter of the small end (m), r_p radius of the arc (m).
    Range: all positive, d_s below d_l. Errors: `OutOfRange`. Source: similar triangles.
    """
    positive("diameter", diameter)
    positive("slant_height", slant_height)
    positive("small_diameter", small_diameter)
    positive("large_diameter", large_diameter)
    within("small_diameter", small_diameter, high=0.999 * large_diameter, why="a cone has two ends")
    return slant_height * diameter / (large_diameter - small_diameter)


def sector_angle(
    large_diameter: Annotated[float, "d_l", "m"],
    small_diameter: Annotated[float, "d_s", "m"],
    slant_height: Annotated[float, "s", "m"],
) -> Annotated[float, "β", "rad"]:
    """Angle of the sector that a straight cone is laid flat: a whole turn times the sine of half its angle.

    Formula: β = π (d_l - d_s) / s. Symbols: d_l diameter of the large end (m), d_s diameter of the small end
    (m), s slant height (m), β angle of the sector (rad).
    Range: all positive, d_s up to d_l. Errors: `OutOfRange`. Source: arc of the large end, geometry.
    """
    positive("large_diameter", large_diameter)
    positive("small_diameter", small_diameter)
    positive("slant_height", slant_height)
    within("small_diameter", small_diameter, high=large_diameter)
    return pi * (large_diameter - small_diameter) / slant_height


def lap_area(
    seam_length: Annotated[float, "s_s", "m"],
    lap: Annotated[float, "l", "m"],
) -> Annotated[float, "A_l", "m²"]:
    """Sheet in a lap along a seam, its ends cut at 45°.

    Formula: A_l = l (s_s - l). Symbols: s_s length of the seam (m), l width of the lap (m), A_l area of the
    lap (m²).
    Range: s_s positive, l 0 up to half of s_s. Errors: `OutOfRange`. Source: area of a trapezium.
    """
    positive("seam_length", seam_length)
    not_negative("lap", lap)
    within("lap", lap, high=seam_length / 2, why="its ends are cut at 45°, and something has to be left")
    return lap * (seam_length - lap)


sheet_area = sum_of(
    "sheet_area",
    "Sheet in a pattern with what is added along its edges.",
    surface_area=Variable("A", "m²", "area of the surface", positive),
    added_area=Variable("A_a", "m²", "area of laps and returns", not_negative),
    gives=Variable("A_s", "m²", "area of the sheet"),
    source="geometry",
)

mass_of_sheet = product_of(
    "mass_of_sheet",
    "Mass of a piece of sheet.",
    sheet_area=Variable("A_s", "m²", "area of the sheet", positive),
    thickness=Variable("t", "m", "thickness of the sheet", positive),
    density=Variable("ρ", "kg/m³", "density", positive),
    gives=Variable("m", "kg", "mass"),
    order=("density", "thickness", "sheet_area"),
    source="definition",
)

# --- two ends, and the lines between them ------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class End:
    """A convex end about its middle: an ellipse, or a rectangle with rounded corners, which a circle, a flat
    oval and a rectangle are as well."""

    width: float
    height: float
    corner_radius: float = 0.0
    is_ellipse: bool = False

    def at(self, angle: float, quarter: int) -> Flat:
        """The place where the outward normal has an angle, in a quarter of the turn (0 or 1)."""
        if self.is_ellipse:
            across, up = self.width / 2 * cos(angle), self.height / 2 * sin(angle)
            reach = hypot(across, up)
            return self.width / 2 * across / reach, self.height / 2 * up / reach
        side = (1, -1)[quarter] * (self.width / 2 - self.corner_radius)
        middle = self.height / 2 - self.corner_radius
        return side + self.corner_radius * cos(angle), middle + self.corner_radius * sin(angle)

    def radius(self, angle: float) -> float:
        """Radius of curvature there; 0 at a corner."""
        if not self.is_ellipse:
            return self.corner_radius
        across, up = self.width / 2, self.height / 2
        return float((across * up) ** 2 / hypot(across * cos(angle), up * sin(angle)) ** 3)

    @property
    def largest_radius(self) -> float:
        """The largest radius of curvature."""
        return max(self.radius(0.0), self.radius(pi / 2))

    def straight(self, turn: int) -> float:
        """Length of the straight side whose normal has 0°, 90° or 180° (`turn` 0, 1, 2)."""
        if self.is_ellipse:
            return 0.0
        return (self.width if turn == 1 else self.height) - 2 * self.corner_radius

    @property
    def perimeter(self) -> float:
        """Length of the edge, of an ellipse by Simpson's rule."""
        if not self.is_ellipse:
            return 2 * (self.straight(0) + self.straight(1)) + 2 * pi * self.corner_radius
        spans = 200
        rule = [self.radius(pi / 2 * span / spans) * (4 if span % 2 else 2) for span in range(1, spans)]
        return 4 * (pi / 2 / spans / 3) * (sum(rule) + self.radius(0.0) + self.radius(pi / 2))


@dataclass(frozen=True, kw_only=True)
class Ruling:
    """One straight line of the surface, from the first end to the second: in space, and laid flat. Along a
    `fold` it is bent; `key` is what that goes by."""

    angle: float
    first: Place
    second: Place
    flat_first: Flat
    flat_second: Flat
    fold: bool = False
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Fold:
    """A line that is bent along, with the outward normals of the flat faces on both sides of it."""

    ruling: Ruling
    before: Place
    after: Place


@dataclass(frozen=True)
class Outline:
    """The edge of a flat piece, closed."""

    points: tuple[Flat, ...]


@dataclass(frozen=True, kw_only=True)
class Laid:
    """Half of a surface laid flat, from the line in the middle, which stands upright on x = 0, to the seam at
    the right. `area` is that of the half."""

    rulings: tuple[Ruling, ...]
    area: float
    ends: tuple[End, End]

    @property
    def folds(self) -> tuple[Ruling, ...]:
        """The lines that it is bent along."""
        return tuple(ruling for ruling in self.rulings if ruling.fold)

    @property
    def seam(self) -> Ruling:
        """The line that the sheet is joined along."""
        return self.rulings[-1]

    @property
    def bends(self) -> tuple[Fold, ...]:
        """Each fold with the normals of the faces before and after it. Beyond the middle and beyond the seam
        lies the mirror image."""
        marks = self.folds
        faces = [_normal(one, other) for one, other in pairwise(marks)]
        before = _face_at_mirror(self.rulings[0], marks[0]) or _mirrored(faces[0])
        after = _face_at_mirror(marks[-1], self.seam) or _mirrored(faces[-1])
        between = pairwise([before, *faces, after])
        return tuple(
            Fold(ruling=ruling, before=one, after=other)
            for ruling, (one, other) in zip(marks, between, strict=True)
        )

    def edge(self, second: bool) -> tuple[Flat, ...]:
        """An edge laid flat, from the left seam to the right one."""
        right = _apart([ruling.flat_second if second else ruling.flat_first for ruling in self.rulings])
        # The middle is no corner where it is amid a straight side; else it stands once.
        ends = self.rulings[:2]
        amid = not ends[0].fold and dist(*(one.second if second else one.first for one in ends)) > _SAME
        left = [(-x, y) for x, y in reversed(right[1:])]
        return (*left, *right[1:]) if amid else (*left, *right)

    def outline(self, lap: float, returns: tuple[Flat, ...] = ()) -> Outline:
        """The cut line, closed: the first edge from left to right, or its returns instead, the seam at the
        right with its lap, and the second edge back."""
        first = returns or self.edge(second=False)
        return Outline((*first, *_lap_points(self, lap), *reversed(self.edge(second=True))))

    def return_points(self, width: float, mitred: bool) -> tuple[Flat, ...]:
        """The outer edge of returns along the first edge, a strip for each straight side, with the edge's own
        corners between them; the ends at corners cut at 45° where they are `mitred`."""
        points: list[Flat] = []
        sides = list(pairwise(self.edge(second=False)))
        for count, ((x, y), (x_2, y_2)) in enumerate(sides):
            reach = hypot(x_2 - x, y_2 - y)
            along, up = (x_2 - x) / reach * width, (y_2 - y) / reach * width
            begin = along if mitred and count else 0.0, up if mitred and count else 0.0
            last = count == len(sides) - 1
            end = (0.0, 0.0) if last or not mitred else (along, up)
            points += [(x, y), (x + up + begin[0], y - along + begin[1])]
            points += [(x_2 + up - end[0], y_2 - along - end[1]), (x_2, y_2)]
        return tuple(_apart(points))


_CHORD = 0.02e-3
"""By how much the chord between two lines' ends may leave the edge, in m."""
_MOST_STEPS = 400


_SAME = 1e-9
"""Places that are nearer to each other than this, in m, are one."""


def _apart(points: Sequence[Flat]) -> list[Flat]:
    """Places without those that repeat the one before."""
    return [points[0], *(after for before, after in pairwise(points) if dist(before, after) > _SAME)]


class _Layer:
    """Lays lines down one after the other. `x`, `y` is where the flat line begins, `turn` its angle to x."""

    def __init__(self, first: End, second: End, offset: float, length: float) -> None:
        self.ends, self.offset, self.length = (first, second), offset, length
        self.x = self.y = self.area = 0.0
        self.turn = pi / 2
        self._begun: tuple[float, float, float, float] | None = None

    def line(self, angle: float, quarter: int) -> tuple[Place, Place]:
        (x_1, y_1), (x_2, y_2) = (end.at(angle, quarter) for end in self.ends)
        return (x_1, y_1, 0.0), (x_2 + self.offset, y_2, self.length)

    def begin(self) -> None:
        """A quarter of its own begins, with rates of its own."""
        self._begun = None

    def slope(self, angle: float, begin: Place, end: Place) -> tuple[float, float]:
        """Length of a line, and the cosine of its angle to the edges, which run at right angles to the
        normal."""
        reach = dist(begin, end)
        along = -sin(angle) * (end[0] - begin[0]) + cos(angle) * (end[1] - begin[1])
        return reach, along / reach

    def rates(self, angle: float, quarter: int) -> tuple[float, float, float, float]:
        """By the angle: how fast the flat line turns, how fast its foot goes along it and square to it, and
        how fast area is laid."""
        first, second = (end.radius(angle) for end in self.ends)
        reach, along = self.slope(angle, *self.line(angle, quarter))
        square = sqrt(1 - along**2)
        return (
            -(second - first) * square / reach,
            first * along,
            first * square,
            (first + second) * reach * square / 2,
        )

    def advance(self, angle: float, step: float, quarter: int) -> None:
        """One step of Runge and Kutta's rule, which is Simpson's where a rate rests on the angle alone."""
        begin = self._begun or self.rates(angle, quarter)
        middle, end = self.rates(angle + step / 2, quarter), self.rates(angle + step, quarter)
        self._begun = end
        turn = self.turn + step * (begin[0] + 4 * middle[0] + end[0]) / 6
        # The turn half-way, by the parabola through the three rates.
        half = self.turn + step * (5 * begin[0] + 8 * middle[0] - end[0]) / 24
        places = [
            (along * cos(at) + square * sin(at), along * sin(at) - square * cos(at))
            for (_, along, square, _), at in ((begin, self.turn), (middle, half), (end, turn))
        ]
        self.x += step * (places[0][0] + 4 * places[1][0] + places[2][0]) / 6
        self.y += step * (places[0][1] + 4 * places[1][1] + places[2][1]) / 6
        self.area += step * (begin[3] + 4 * middle[3] + end[3]) / 6
        self.turn = turn

    def flat_side(self, angle: float, begin: Place, end: Place, sides: tuple[float, float]) -> None:
        """Lay a flat triangle or trapezium down: along straight sides of one or both ends."""
        reach, along = self.slope(angle, begin, end)
        square = sqrt(1 - along**2)
        way = (
            along * cos(self.turn) + square * sin(self.turn),
            along * sin(self.turn) - square * cos(self.turn),
        )
        foot = self.x + sides[0] * way[0], self.y + sides[0] * way[1]
        head = (
            self.x + reach * cos(self.turn) + sides[1] * way[0],
            self.y + reach * sin(self.turn) + sides[1] * way[1],
        )
        self.area += (sides[0] + sides[1]) * reach * square / 2
        self.x, self.y = foot
        self.turn = atan2(head[1] - foot[1], head[0] - foot[0])

    def ruling(self, angle: float, begin: Place, end: Place, key: str = "") -> Ruling:
        reach = dist(begin, end)
        return Ruling(
            angle=angle,
            first=begin,
            second=end,
            flat_first=(self.x, self.y),
            flat_second=(self.x + reach * cos(self.turn), self.y + reach * sin(self.turn)),
            fold=bool(key),
            key=key,
        )


def laid(first: End, second: End, offset: float, length: float, divisions: int) -> Laid:
    """Half of the surface between two ends laid flat; `divisions` is into how many parts of one angle a whole
    turn of a curve is divided by folds.

    Source: geometry; a surface of lines that join places of parallel edges is developable, and a line of it
    turns in the flat by what the edges go apart, (ρ_2 - ρ_1) sin ψ / l_l of the angle of the normal.
    """
    layer = _Layer(first, second, offset, length)
    ends = first, second
    rulings: list[Ruling] = []
    flat_above = any(end.straight(1) for end in ends)
    for quarter in (0, 1):
        angle = quarter * pi / 2
        sides = tuple(end.straight(quarter) / (1 if quarter else 2) for end in ends)
        rulings += _side(layer, angle, quarter, (sides[0], sides[1]))
        # A line that closes the quarter before and opens this one is one line.
        again = bool(quarter) and not flat_above
        rulings += _quarter(layer, quarter, divisions // 4, flat_above, again)
    sides = tuple(end.straight(2) / 2 for end in ends)
    if any(sides):
        layer.flat_side(pi, rulings[-1].first, rulings[-1].second, (sides[0], sides[1]))
        begin, end = rulings[-1].first, rulings[-1].second
        rulings.append(layer.ruling(pi, (begin[0], 0.0, 0.0), (end[0], 0.0, length)))
    return Laid(rulings=tuple(rulings), area=layer.area, ends=ends)


def _side(layer: _Layer, angle: float, quarter: int, sides: tuple[float, float]) -> Iterator[Ruling]:
    """The straight sides before a quarter; before the first one their halves, from the middle on."""
    if not any(sides):
        if not quarter:
            begin, end = layer.line(angle, quarter)
            layer.turn = pi / 2
        return
    begin, end = layer.line(angle, quarter)
    if quarter:
        begin, end = layer.line(angle, 0)
    else:
        begin, end = (begin[0], 0.0, 0.0), (end[0], 0.0, layer.length)
        yield layer.ruling(angle, begin, end)
    layer.flat_side(angle, begin, end, sides)


def _quarter(layer: _Layer, quarter: int, folds: int, lettered: bool, again: bool) -> Iterator[Ruling]:
    """The lines of a curved quarter; of two corners the one fold between them."""
    start, letter = quarter * pi / 2, "AB"[quarter]
    layer.begin()
    largest = max(end.largest_radius for end in layer.ends)
    if not largest:
        yield layer.ruling(start, *layer.line(start, quarter), letter)
        return
    # A chord over the angle δ leaves an arc by r (1 - cos δ/2).
    widest = 2 * acos(1 - min(_CHORD / largest, 1.0))
    fine = min(max(ceil(pi / 2 / widest / folds), ceil(24 / folds)), _MOST_STEPS)
    steps = folds * fine
    for count in range(steps + 1):
        angle = start + pi / 2 * count / steps
        if count:
            layer.advance(angle - pi / 2 / steps, pi / 2 / steps, quarter)
        if again and not count:
            continue
        number = f"{degrees(angle):.4g}°"
        key = "" if count % fine else f"{letter}-{number}" if lettered else number
        yield layer.ruling(angle, *layer.line(angle, quarter), key)


# --- what is read off --------------------------------------------------------------------------


def edge_length(end: End) -> Annotated[float, "U", "m"]:
    """Length of an end's edge.

    In words: its straight sides and arcs are added up; an ellipse is integrated.
    Formula: U = ∫ ρ dν + sides. Symbols: ρ radius of curvature (m), ν angle of the normal (rad), U length of
    the edge (m).
    Range: any end. Source: geometry.
    """
    return end.perimeter


def line_length(ruling: Ruling) -> Annotated[float, "l_l", "m"]:
    """True length of a line of the surface.

    In words: by Pythagoras, from where it begins and ends in space.
    Formula: l_l = sqrt(Δx² + Δy² + L²). Symbols: Δx and Δy how far its ends are apart across (m), L distance
    of the ends' planes (m), l_l true length of the line (m).
    Range: any line. Source: Pythagoras.
    """
    return dist(ruling.first, ruling.second)


def surface_area(half: Laid) -> Annotated[float, "A", "m²"]:
    """Area of the surface between two ends.

    In words: the narrow strips between its lines are added up, and both halves.
    Formula: A = 2 ∫ l_l (ρ_1 + ρ_2) / 2 sin ψ dν + flat sides. Symbols: l_l true length of a line (m), ρ_1
    and ρ_2 radii of curvature at its ends (m), ψ angle between line and edges (rad), ν angle of the normal
    (rad), A area of the surface (m²).
    Range: any surface. Source: geometry.
    """
    return 2 * half.area


def width_of(outline: Outline) -> Annotated[float, "b_f", "m"]:
    """Extent of a flat piece across.

    In words: from its leftmost to its rightmost place.
    Formula: b_f = max x - min x. Symbols: x place across (m), b_f extent of the flat piece across (m).
    Range: any outline. Source: definition.
    """
    return max(x for x, _ in outline.points) - min(x for x, _ in outline.points)


def height_of(outline: Outline) -> Annotated[float, "h_f", "m"]:
    """Extent of a flat piece upwards.

    In words: from its lowest to its highest place.
    Formula: h_f = max y - min y. Symbols: y place upwards (m), h_f extent of the flat piece upwards (m).
    Range: any outline. Source: definition.
    """
    return max(y for _, y in outline.points) - min(y for _, y in outline.points)


def bend_angle(fold: Fold) -> Annotated[float, "δ", "rad"]:
    """Angle that a sheet is bent by along a fold, out of the flat.

    In words: between the normals of the flat faces on both sides of it.
    Formula: δ = arctan(|n_1 × n_2| / n_1 · n_2). Symbols: n_1 and n_2 the normals of the faces (1), δ angle
    of the bend, out of the flat (rad).
    Range: any fold. Source: geometry.
    """
    turned = sum(one * other for one, other in zip(fold.before, fold.after, strict=True))
    return atan2(hypot(*_cross(fold.before, fold.after)), turned)


def _face_at_mirror(one: Ruling, other: Ruling) -> Place | None:
    """The flat face that a mirror cuts in half; None where a line lies in the mirror."""
    return None if one == other else _normal(one, other)


def _mirrored(normal: Place) -> Place:
    """The normal of the face beyond the mirror."""
    return normal[0], -normal[1], normal[2]


def _normal(one: Ruling, other: Ruling) -> Place:
    """Outward normal of the face between two lines, through the middles of the chords of its edges."""
    chord = tuple(
        b - a + d - c for a, b, c, d in zip(one.first, other.first, one.second, other.second, strict=True)
    )
    rise = tuple(
        c + d - a - b for a, b, c, d in zip(one.first, other.first, one.second, other.second, strict=True)
    )
    across = _cross((chord[0], chord[1], chord[2]), (rise[0], rise[1], rise[2]))
    size = hypot(*across)
    return across[0] / size, across[1] / size, across[2] / size


def _cross(one: Place, other: Place) -> Place:
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


# --- what is added -------------------------------------------------------------------------------


def _lap_points(half: Laid, lap: float) -> tuple[Flat, ...]:
    """Two corners of the lap beyond the right seam, its ends cut at 45°."""
    if not lap:
        return ()
    (x, y), (x_2, y_2) = half.seam.flat_first, half.seam.flat_second
    reach = hypot(x_2 - x, y_2 - y)
    along, up = (x_2 - x) / reach * lap, (y_2 - y) / reach * lap
    return (x + up + along, y - along + up), (x_2 + up - along, y_2 - along - up)


def returns_area(
    edge_length: Annotated[float, "U", "m"],
    return_width: Annotated[float, "r_w", "m"],
    corners: Annotated[float, "k_c", "1"],
) -> Annotated[float, "A_r", "m²"]:
    """Sheet in the returns along an end with sharp corners, a strip for each side.

    Formula: A_r = r_w (U - k_c r_w). Symbols: U length of the edge (m), r_w width of the return (m), k_c
    corners at which both neighbours are cut at 45° (1), A_r area of the returns (m²).
    Range: U and r_w positive, k_c zero or more, r_w up to 0.1 U. Errors: `OutOfRange`. Source: geometry.
    """
    positive("edge_length", edge_length)
    positive("return_width", return_width)
    not_negative("corners", corners)
    within("return_width", return_width, high=0.1 * edge_length, why="a return is narrower than its side")
    return return_width * (edge_length - corners * return_width)
