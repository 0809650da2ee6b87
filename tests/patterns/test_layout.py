"""Where everything of a pattern's drawing lies."""

from __future__ import annotations

from dataclasses import replace
from math import dist, inf, nan

import pytest

from buildlog.diagnostics import Refused
from buildlog.kinds.pattern import Dimension, Hole, Line, Note, Pattern
from buildlog.patterns.layout import BAR, PATTERN_NOT_DRAWN, Tell, Written, control_bar, lay_out, with_bar
from tests.patterns.plates import CORNERS, PLATE, VALUES, WIDTH, tell


def test_lines_are_at_full_size_in_millimetres() -> None:
    drawing = lay_out(PLATE, tell)
    outline = next(one for one in drawing.strokes if one.kind == "cut")
    assert list(outline.points) == [(1000 * x, 1000 * y) for x, y in CORNERS]
    assert outline.closed
    (ring,) = drawing.rings
    assert ring.radius == pytest.approx(12.7)  # half an inch of 25.4 mm, by definition


def test_a_hole_has_the_cross_of_its_middle() -> None:
    crosses = [
        one for one in lay_out(replace(PLATE, lines=PLATE.lines[:1]), tell).strokes if one.kind == "centre"
    ]
    across, upwards = crosses
    assert [y for _, y in across.points] == pytest.approx([100, 100])
    assert [x for x, _ in upwards.points] == pytest.approx([100, 100])
    assert all(dist(*cross.points) > 25.4 for cross in crosses)


def _telling(value: Written) -> Tell:
    return lambda output, key: value


@pytest.mark.parametrize(
    ("start", "end", "along", "length"),
    [
        ((0.0, 0.0), (0.3, 0.4), "", 500.0),  # the 3-4-5 triangle
        ((0.0, 0.0), (0.3, 0.4), "horizontal", 300.0),
        ((0.0, 0.0), (0.3, 0.4), "vertical", 400.0),
        ((0.3, 0.4), (0.0, 0.0), "vertical", 400.0),
    ],
)
def test_a_dimension_is_as_long_as_its_value(
    start: tuple[float, float], end: tuple[float, float], along: str, length: float
) -> None:
    dimension = Dimension(start=start, end=end, output="width", along=along, away=0.01)  # type: ignore[arg-type]
    one = replace(PLATE, dimensions=(dimension,), notes=())
    right = Written(text="right", length=length, address="")
    drawing = lay_out(one, _telling(right))
    lines = [stroke for stroke in drawing.strokes if stroke.kind == "dimension"]
    assert dist(*lines[0].points) == pytest.approx(length)
    assert [words.text for words in drawing.words] == ["right"]
    for wrong in (length + 0.01, length - 0.01, None):
        with pytest.raises(Refused) as refused:
            lay_out(one, _telling(replace(right, length=wrong)))
        assert refused.value.code == PATTERN_NOT_DRAWN


@pytest.mark.parametrize("away", [0.012, -0.012])
def test_a_dimension_line_lies_beside_what_it_measures(away: float) -> None:
    """To the left of the way from start to end, or to the right where it is negative."""
    dimension = Dimension(start=(0.0, 0.0), end=(WIDTH, 0.0), output="width", away=away)
    drawing = lay_out(replace(PLATE, dimensions=(dimension,), notes=()), tell)
    line = next(one for one in drawing.strokes if one.kind == "dimension")
    assert [y for _, y in line.points] == pytest.approx([1000 * away] * 2)


@pytest.mark.parametrize(
    ("end", "turned"),
    [
        ((0.1, 0.0), 0),
        ((-0.1, 0.0), 0),
        ((0.0, 0.1), 90),
        ((0.0, -0.1), 90),
        ((0.1, -0.1), -45),
        ((-0.1, 0.1), -45),
    ],
)
def test_values_are_read_from_below_or_from_the_right(end: tuple[float, float], turned: float) -> None:
    told = Written(text="length", length=1000 * dist((0, 0), end), address="")
    one = Dimension(start=(0.0, 0.0), end=end, output="width")
    drawing = lay_out(replace(PLATE, dimensions=(one,), notes=()), lambda output, key: told)
    assert drawing.words[0].turned == pytest.approx(turned)


def test_a_note_tells_the_value_of_its_output() -> None:
    note = lay_out(PLATE, tell).words[-1]
    assert (note.text, note.address) == ("up 90°", VALUES["angle"].address)


def test_the_drawing_takes_up_all_that_is_drawn() -> None:
    drawing = lay_out(PLATE, tell)
    for stroke in drawing.strokes:
        for x, y in stroke.points:
            assert drawing.low[0] <= x <= drawing.high[0]
            assert drawing.low[1] <= y <= drawing.high[1]
    assert drawing.low[0] < -12  # the words of the height are beyond its line


def test_words_that_are_larger_move_nothing_of_the_part() -> None:
    small, large = lay_out(PLATE, tell), lay_out(PLATE, tell, words=14)
    assert [one for one in small.strokes if one.kind != "dimension"][:4] == [
        one for one in large.strokes if one.kind != "dimension"
    ][:4]
    assert {one.size for one in large.words} == {14}


def test_the_bar_is_a_hundred_millimetres_and_lies_below() -> None:
    bar, *ticks = control_bar((5.0, 7.0))
    assert dist(*bar.points) == BAR == 100
    assert [tick.points[0][0] for tick in ticks] == [5.0 + at for at in range(0, 101, 10)]
    drawing = lay_out(PLATE, tell)
    measured = with_bar(drawing, "this bar")
    added = measured.strokes[len(drawing.strokes) :]
    assert max(y for one in added for _, y in one.points) < drawing.low[1]
    assert measured.low[1] < min(y for one in added for _, y in one.points)


def _line(*points: tuple[float, float]) -> Pattern:
    return replace(PLATE, lines=(Line(kind="cut", points=points),))


@pytest.mark.parametrize(
    "wrong",
    [
        replace(PLATE, lines=()),
        _line((0.0, 0.0)),
        _line((0.0, 0.0), (nan, 0.0)),
        _line((0.0, 0.0), (0.0, inf)),
        _line((0.0, 0.0), (10.5, 0.0)),
        replace(PLATE, lines=(Line(kind="cut", points=CORNERS * 13_000),)),
        replace(PLATE, holes=(Hole(centre=(0.1, 0.1), diameter=0.0),)),
        replace(PLATE, holes=(Hole(centre=(0.1, 0.1), diameter=-0.01),)),
        replace(PLATE, holes=(Hole(centre=(0.1, 0.1), diameter=nan),)),
        replace(PLATE, holes=(Hole(centre=(0.1, 0.1), diameter=1e300),)),
        replace(PLATE, notes=(Note(place=(0.1, 0.1), text="up", turned=nan),)),
        replace(PLATE, notes=(Note(place=(0.1, nan), text="up"),)),
        replace(PLATE, dimensions=(replace(PLATE.dimensions[0], away=nan),)),
        replace(PLATE, dimensions=(replace(PLATE.dimensions[0], away=-1e300),)),
        replace(_line((1e300, 0.0), (1e300, 1.0)), holes=(), dimensions=(), notes=()),
        replace(PLATE, dimensions=(Dimension(start=(0.1, 0.1), end=(0.1, 0.1), output="width"),)),
        replace(PLATE, dimensions=(Dimension(start=(0.0, 0.0), end=(0.41, 0.0), output="width"),)),
        replace(PLATE, dimensions=(Dimension(start=(0.0, 0.0), end=(0.42, 0.0), output="angle"),)),
    ],
    ids=[
        "no line", "one point", "no number", "infinite", "too large", "too many points", "no diameter",
        "negative diameter", "diameter no number", "large diameter", "turned by no number", "words nowhere",
        "away by no number", "far away", "far out", "no length", "another length", "not a length",
    ],
)  # fmt: skip
def test_what_cannot_be_drawn_honestly_is_refused(wrong: Pattern) -> None:
    with pytest.raises(Refused) as refused:
        lay_out(wrong, tell)
    assert refused.value.code == PATTERN_NOT_DRAWN
    assert refused.value.found
    assert refused.value.expected
