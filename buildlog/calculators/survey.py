"""Named points and gaps of a car against their drawing, and its left side against its right.

A survey answers two questions: is it where the drawing has it, and is one side the mirror image of the
other? Set up one line and one level, drop every point to them the same way, and take each coordinate from
the same zero: x runs backwards, y to the right and z up. A survey in the plane leaves out `z`.

**Points.** One row a point, with its measured place, and its place in the drawing where there is one. A
coordinate may be a list of readings: their mean counts, with the doubt of their scatter. `resolution` is the
step of the rule that all were read with; what one tape or one crooked line is off by in all of them goes
into `common`.

**Fit.** The measured zero is seldom that of the drawing. With `fit: translation` the survey is moved, not
turned, so that the squares of all offsets are least, and the block says by how much; with `fit: none` it
stays where it was measured. A survey that is turned against its drawing keeps what that makes: lay the line
along the car's own middle. A point that is bent far off pulls the fit a little, all others then look moved
the other way.

**Mirror image.** `mirror_of` names the fellow on the left side in the row of a right-hand point. The left
point is flipped about the plane of `mirror_axis`, y = 0 unless it says otherwise, moved as `fit` has it, and
compared. With a translation the shift across says that the middle is not where the line was: the plane of
the mirror stands half as far from it.

**Gaps.** One row a gap or a fit: as it was measured, several readings where it was, against the drawing.

**Verdicts.** With a `tolerance`, each coordinate of a point, or a gap, has to keep within that either way.
It *holds* where it does with all of its uncertainty, *fails* where it surely does not, and is *too close to
call* in between. The distance that a point is off in all is shown besides; it cannot be less than nothing,
so that of a good point most of it is the doubt of the reading.

**What it does not show.** Whether the car stood free of strain when it was measured: on its wheels it sags,
on stands it sags otherwise. Nor what the points between do.

```yaml
id: pick-ups
kind: survey
title: Lower wishbone pick-ups, against the drawing
inputs:
  points:
    - {name: front left, x: 151.0 mm, y: -312.0 mm, drawing_x: 150 mm, drawing_y: -310 mm}
    - {name: front right, x: 152.0 mm, y: 309 mm, drawing_x: 150 mm, drawing_y: 310 mm, mirror_of: front left}
    - {name: rear left, x: 481.5 mm, y: -336.0 mm, drawing_x: 480 mm, drawing_y: -335 mm}
    - {name: rear right, x: 485.0 mm, y: 335.5 mm, drawing_x: 480 mm, drawing_y: 335 mm, mirror_of: rear left}
  fit: translation
  resolution: 0.5 mm
  tolerance: 2 mm
  gaps:
    - {name: door left, gap: [4.1 mm, 4.3 mm, 4.2 mm], drawing: 4.0 mm, tolerance: 1.0 mm}
    - {name: door right, gap: [5.6 mm, 5.5 mm, 5.8 mm], drawing: 4.0 mm, tolerance: 1.0 mm}
```
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import floor, log10
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, did_you_mean
from buildlog.kinds.chart import Chart
from buildlog.kinds.declaration import (
    Arrow,
    Axis,
    Bar,
    BarSpec,
    CaseView,
    ChartSpec,
    Choice,
    Input,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Table,
    Text,
    Working,
    Zone,
)
from buildlog.kinds.keys import address_key, row_keys
from buildlog.kinds.results import Value
from buildlog.kinds.verdicts import CLOSE, FAILS, HOLDS, overall_verdict
from buildlog.physics import repeated, survey
from buildlog.physics.survey import Offsets

KIND = "survey"

_PLACE = Number(dimension="length", unit="mm", low=-20_000, high=20_000, why="cars and their trailers")
_TOLERANCE = Number(dimension="length", unit="mm", low=0.001, high=500, why="fits to bodywork")
_GAP = Number(dimension="length", unit="mm", low=-50, high=2000, why="fits, negative where parts overlap")
_AXES = ("x", "y", "z")
_WHERE = {
    "x": "behind the zero",
    "y": "to the right of the line, negative on the left",
    "z": "above the level",
}

INPUTS = (
    Input(
        name="points",
        form=Table(
            (
                Input(name="name", form=Text(40), about="what the point is called"),
                Input(name="x", form=_PLACE, about=f"measured, {_WHERE['x']}"),
                Input(name="y", form=_PLACE, about=f"measured, {_WHERE['y']}"),
                Input(name="z", form=_PLACE, about=f"measured, {_WHERE['z']}", required=False),
                Input(name="drawing_x", form=_PLACE, about="the same by the drawing", required=False),
                Input(name="drawing_y", form=_PLACE, about="the same by the drawing", required=False),
                Input(name="drawing_z", form=_PLACE, about="the same by the drawing", required=False),
                Input(
                    name="mirror_of",
                    title="fellow on the left side",
                    form=Text(40),
                    about="the name of its fellow on the left side",
                    required=False,
                ),
                Input(
                    name="tolerance",
                    form=_TOLERANCE,
                    about="this point's own, either way along each axis",
                    required=False,
                ),
            ),
            longest=60,
        ),
        about="the points, a row each",
        required=False,
    ),
    Input(
        name="fit",
        title="fit of the survey",
        form=Choice(
            {
                "none": "as it was measured, from the same zero as the drawing",
                "translation": "moved as a whole, not turned, for the least squares",
            }
        ),
        about="whether the survey is moved before it is compared",
        default="none",
        default_source="nothing is moved that nobody said",
    ),
    Input(
        name="mirror_axis",
        form=Choice({"x": "along the car", "y": "across the car", "z": "upwards"}),
        about="the axis that a mirror image flips",
        default="y",
        default_source="y runs across the car",
    ),
    Input(
        name="resolution",
        form=Number(dimension="length", unit="mm", low=0.001, high=20, why="rules, tapes and callipers"),
        about="the step in which every coordinate and gap was read",
        required=False,
    ),
    Input(
        name="tolerance",
        form=_TOLERANCE,
        about="how far points may be off the drawing, either way along each axis",
        required=False,
    ),
    Input(
        name="mirror_tolerance",
        form=_TOLERANCE,
        about="how far right may be off the mirror image of left, either way along each axis",
        required=False,
    ),
    Input(
        name="gaps",
        form=Table(
            (
                Input(name="name", form=Text(40), about="what the gap is called"),
                Input(
                    name="gap", form=_GAP, about="as measured; readings in brackets where there are several"
                ),
                Input(name="drawing", form=_GAP, about="what it should be"),
                Input(name="tolerance", form=_TOLERANCE, about="how far off, either way", required=False),
            ),
            longest=60,
        ),
        about="gaps and fits, a row each",
        required=False,
    ),
)


def _offset(name: str, title: str, about: str, key: str, of: str, needs: tuple[str, ...]) -> Output:
    return Output(
        name=name,
        title=title,
        dimension="length",
        unit="mm",
        about=about,
        decimals=1,
        key=key,
        of=of,
        needs=needs,
        is_change=True,
    )


def _shift(name: str, title: str) -> Output:
    return Output(
        name=name,
        title=title,
        dimension="length",
        unit="mm",
        decimals=1,
        needs=("points",),
        is_change=True,
    )


_POINT = ("point", "points", ("points",))
OUTPUTS = (
    *(_shift(f"shift_{axis}", f"shift of the survey along {axis}") for axis in _AXES),
    *(_offset(f"off_{axis}", f"offset from the drawing along {axis}", "", *_POINT) for axis in _AXES),
    Output(
        name="off",
        title="distance from the drawing",
        dimension="length",
        unit="mm",
        about="along all axes together",
        decimals=1,
        key="point",
        of="points",
        needs=("points",),
    ),
    Output(
        name="verdict",
        title="verdict on the point's tolerance",
        dimension="text",
        unit="",
        about="whether it keeps to it",
        key="point",
        of="points",
        needs=("points",),
    ),
    *(
        _shift(
            f"mirror_shift_{axis}",
            f"shift of the mirror image along {axis}",
        )
        for axis in _AXES
    ),
    *(
        _offset(
            f"mirror_{axis}",
            f"offset from the mirror image along {axis}",
            "",
            *_POINT,
        )
        for axis in _AXES
    ),
    Output(
        name="mirror_off",
        title="distance from the mirror image",
        dimension="length",
        unit="mm",
        about="along all axes together",
        decimals=1,
        key="point",
        of="points",
        needs=("points",),
    ),
    Output(
        name="mirror_verdict",
        title="verdict on the point's symmetry",
        dimension="text",
        unit="",
        about="whether right is the mirror image of left",
        key="point",
        of="points",
        needs=("points",),
    ),
    _offset(
        "gap_off", "excess of the gap over the drawing", "wider where it is above 0", "gap", "gaps", ("gaps",)
    ),
    Output(
        name="gap_verdict",
        title="verdict on the gap's tolerance",
        dimension="text",
        unit="",
        about="whether it keeps to it",
        key="gap",
        of="gaps",
        needs=("gaps",),
    ),
)

SOURCES = (
    Source(
        id="geometry", title="Offsets, reflections and distances in a plane or in space", standing="derived"
    ),
    Source(
        id="least-squares", title="The shift that leaves the least squares is the mean", standing="derived"
    ),
    Source(
        id="gum",
        title="Guide to the expression of uncertainty in measurement",
        publisher="JCGM 100",
        edition="2008",
        where="F.2.2.1 resolution; G.3.2 readings",
    ),
    Source(
        id="jcgm-106",
        title="JCGM 106, The role of measurement uncertainty in conformity assessment",
        publisher="JCGM",
        edition="2012",
        where="8.3 guarded decision rules, as ILAC-G8:09/2019, 4.1 and 4.2.3, has them (read)",
    ),
)

DRAWS = 300

HAZARDS = ("lifting", "own-limits")

_FEWEST_TO_FIT = 2


@dataclass(frozen=True, kw_only=True)
class _Point:
    """One point: its key, row and place in the table, and its coordinates, moved by what rounding does."""

    key: str
    index: int
    row: Mapping[str, Any]
    at: Mapping[str, float]


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Offsets of points, of mirror images and of gaps; SI in, SI out."""
    rows = given.get("points", ())
    if not rows and "gaps" not in given:
        raise MissingInput("points", "neither points nor gaps", "one of them")
    outputs: Outputs = {}
    if rows:
        axes = _axes(rows)
        points = [
            _Point(
                key=key,
                index=index,
                row=row,
                at={
                    axis: float(row[axis]) + _rounded(given, working, f"{key}-{axis}", row["name"])
                    for axis in axes
                },
            )
            for index, (key, row) in enumerate(zip(row_keys("points", rows), rows, strict=True))
        ]
        _against_drawing(given, working, axes, points, outputs)
        _against_mirror(given, working, axes, points, outputs)
        if not outputs:
            raise MissingInput(
                "points", "no point with a drawing or a mirror_of", "what they are compared with"
            )
    _gaps(given, working, outputs)
    return outputs


# --- what was given -------------------------------------------------------------------------


def _axes(rows: Sequence[Mapping[str, Any]]) -> tuple[str, ...]:
    """The axes of a survey: z is measured of all points or of none."""
    with_height = ["z" in row for row in rows]
    if any(with_height) and not all(with_height):
        index = with_height.index(False)
        raise InputsConflict(
            "points", f"no z of {rows[index]['name']}", "z of all points, or of none", at=(index,)
        )
    return _AXES if all(with_height) else _AXES[:2]


def _rounded(given: Mapping[str, Any], working: Working, key: str, name: str) -> float:
    """By how much the rounding of one coordinate or gap is moved: nothing in the ordinary run."""
    if "resolution" not in given:
        return 0.0
    standard = repeated.standard_of_rounding(given["resolution"])
    return working.scatter(f"rounding.{key}", standard, about=f"rounding of {name}", source="gum")


def _drawn(points: Iterable[_Point], axes: tuple[str, ...]) -> list[_Point]:
    """The points that the drawing has; it has all coordinates of one, or none."""
    drawn = []
    for point in points:
        missing = [axis for axis in axes if f"drawing_{axis}" not in point.row]
        extra = [axis for axis in _AXES if axis not in axes and f"drawing_{axis}" in point.row]
        if extra:
            raise InputsConflict(
                "points",
                f"drawing_{extra[0]} of {point.row['name']} without {extra[0]}",
                "what was measured as well",
                at=(point.index, f"drawing_{extra[0]}"),
            )
        if missing and len(missing) < len(axes):
            raise InputsConflict(
                "points",
                f"no drawing_{missing[0]} of {point.row['name']}",
                "all coordinates of the drawing, or none",
                at=(point.index,),
            )
        if not missing:
            drawn.append(point)
    return drawn


def _pairs(points: Sequence[_Point]) -> list[tuple[_Point, _Point]]:
    """(left, right) of each point that names its fellow."""
    known = {point.key: point for point in points}
    pairs = []
    for point in points:
        if "mirror_of" not in point.row:
            continue
        name = point.row["mirror_of"]
        fellow = known.get(address_key(name))
        if fellow is None or fellow is point:
            raise InputsConflict(
                "points",
                f"mirror_of: “{name}”",
                "the name of another point",
                help=did_you_mean(name, [other.row["name"] for other in points if other is not point]),
                at=(point.index, "mirror_of"),
            )
        pairs.append((fellow, point))
    return pairs


def _check_fit(given: Mapping[str, Any], count: int, what: str) -> bool:
    if given["fit"] != "translation":
        return False
    if count < _FEWEST_TO_FIT:
        raise InputsConflict(
            "fit", f"translation of {count} {what}", f"{_FEWEST_TO_FIT} or more", help="one would fit anyway"
        )
    return True


# --- what is made of it ---------------------------------------------------------------------


def _against_drawing(
    given: Mapping[str, Any],
    working: Working,
    axes: tuple[str, ...],
    points: Sequence[_Point],
    outputs: Outputs,
) -> None:
    drawn = _drawn(points, axes)
    if not drawn:
        if "tolerance" in given:
            raise MissingInput(
                "points", "a tolerance and no drawing", "drawing_x and drawing_y of the points"
            )
        return
    fitted = _check_fit(given, len(drawn), "points with a drawing")
    for axis in axes:
        offsets = Offsets(point.at[axis] - float(point.row[f"drawing_{axis}"]) for point in drawn)
        shift = _fitted(working, f"shift_{axis}", offsets, outputs) if fitted else 0.0
        outputs[f"off_{axis}"] = {
            point.key: working.step(
                f"off_{axis}.{point.key}",
                survey.off_drawing,
                source="geometry",
                measured=point.at[axis],
                drawing=float(point.row[f"drawing_{axis}"]),
                shift=shift,
            )
            for point in drawn
        }
    _distances(working, "off", "off_", axes, drawn, outputs)


def _against_mirror(
    given: Mapping[str, Any],
    working: Working,
    axes: tuple[str, ...],
    points: Sequence[_Point],
    outputs: Outputs,
) -> None:
    pairs = _pairs(points)
    flipped = given["mirror_axis"]
    if not pairs:
        if "mirror_tolerance" in given:
            raise MissingInput("points", "a mirror_tolerance and no pair", "mirror_of in a row")
        return
    if flipped not in axes:
        raise InputsConflict("mirror_axis", f"{flipped}, which was not measured", "one of " + ", ".join(axes))
    fitted = _check_fit(given, len(pairs), "pairs")
    for axis in axes:
        sign = -1.0 if axis == flipped else 1.0
        offsets = Offsets(sign * left.at[axis] - right.at[axis] for left, right in pairs)
        shift = _fitted(working, f"mirror_shift_{axis}", offsets, outputs) if fitted else 0.0
        outputs[f"mirror_{axis}"] = {
            right.key: working.step(
                f"mirror_{axis}.{right.key}",
                survey.off_mirror,
                source="geometry",
                right=right.at[axis],
                left=left.at[axis],
                sign=sign,
                shift=shift,
            )
            for left, right in pairs
        }
    _distances(working, "mirror_off", "mirror_", axes, [right for _, right in pairs], outputs)


def _fitted(working: Working, name: str, offsets: Offsets, outputs: Outputs) -> float:
    shift = working.step(name, survey.best_shift, offsets, source="least-squares", count=len(offsets))
    outputs[name] = shift
    return shift


def _distances(
    working: Working,
    name: str,
    along: str,
    axes: tuple[str, ...],
    points: Sequence[_Point],
    outputs: Outputs,
) -> None:
    found = {}
    for point in points:
        parts = [_of(outputs, along + axis)[point.key] if axis in axes else 0.0 for axis in _AXES]
        found[point.key] = working.step(
            f"{name}.{point.key}",
            survey.distance_off,
            source="geometry",
            along=parts[0],
            across=parts[1],
            upwards=parts[2],
        )
    outputs[name] = found


def _of(outputs: Mapping[str, Any], name: str) -> Mapping[str, float]:
    found: Mapping[str, float] = outputs[name]
    return found


def _gaps(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    rows = given.get("gaps", ())
    if rows:
        outputs["gap_off"] = {
            key: working.step(
                f"gap_off.{key}",
                survey.gap_off,
                source="geometry",
                gap=float(row["gap"]) + _rounded(given, working, f"gap-{key}", row["name"]),
                drawing=float(row["drawing"]),
            )
            for key, row in zip(row_keys("gaps", rows), rows, strict=True)
        }


# --- verdicts -------------------------------------------------------------------------------


def conclude(given: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, str | dict[str, str]]:
    """Whether each point, pair and gap keeps to its tolerance."""
    points = _by_key("points", given)
    own = {key: row.get("tolerance", given.get("tolerance")) for key, row in points.items()}
    pairs = dict.fromkeys(points, given.get("mirror_tolerance"))
    gaps = {key: row.get("tolerance") for key, row in _by_key("gaps", given).items()}
    said = {
        "verdict": _verdicts(values, [f"off_{axis}" for axis in _AXES], own),
        "mirror_verdict": _verdicts(values, [f"mirror_{axis}" for axis in _AXES], pairs),
        "gap_verdict": _verdicts(values, ["gap_off"], gaps),
    }
    return {name: verdicts for name, verdicts in said.items() if verdicts}


def _by_key(name: str, given: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    rows = given.get(name, ())
    return dict(zip(row_keys(name, rows), rows, strict=True))


def _verdicts(
    values: Mapping[str, Any], names: Sequence[str], tolerances: Mapping[str, float | None]
) -> dict[str, str]:
    verdicts = {}
    for key, tolerance in tolerances.items():
        offsets = [values[name][key] for name in names if key in values.get(name, {})]
        if tolerance is not None and offsets:
            verdicts[key] = overall_verdict(_verdict(offset, tolerance) for offset in offsets)
    return verdicts


def _verdict(offset: Value, tolerance: float) -> str:
    low, high = offset.ends
    slack = 1e-12 * tolerance
    if -tolerance - slack <= low and high <= tolerance + slack:
        return HOLDS
    return FAILS if low > tolerance + slack or high < -tolerance - slack else CLOSE


# --- charts ---------------------------------------------------------------------------------

_LONGEST_ARROW = 0.15
"""Of the larger side of the drawing: offsets are drawn longer than they are, or nobody would see one."""


def chart(cases: Mapping[str, CaseView]) -> tuple[Chart, ...]:
    """The survey from above, and from the side where it has heights, with its offsets enlarged; the gaps."""
    charts: list[Chart] = []
    for name, case in cases.items():
        prefix = f"{name}: " if name else ""
        for across, upwards, words in (("x", "y", "from above"), ("x", "z", "from the side")):
            plan = _plan(case, across, upwards, prefix, words)
            if plan is not None:
                charts.append(plan)
        bars = _bars(case, prefix)
        if bars is not None:
            charts.append(bars)
    return tuple(charts)


def _plan(case: CaseView, across: str, upwards: str, prefix: str, words: str) -> ChartSpec | None:
    rows = _by_key("points", case.inputs)
    if not rows or any(upwards not in row for row in rows.values()):
        return None
    offset, start = _compared(case.inputs, case.outputs, rows)
    axes = (across, upwards)
    starts = {key: tuple(start(key, axis) for axis in axes) for key in _of(case.outputs, offset + across)}
    offsets = {key: tuple(_of(case.outputs, offset + axis)[key] for axis in axes) for key in starts}
    factor = _enlarged(starts.values(), offsets.values())
    return ChartSpec(
        title=f"{prefix}The survey {words}",
        description=f"Where each point belongs, with its offset drawn {factor:g} times as long as it is.",
        x=Axis(across, "length", "mm"),
        y=Axis(upwards, "length", "mm"),
        series=(
            Series(
                label="where it belongs",
                x=[place[0] for place in starts.values()],
                y=[place[1] for place in starts.values()],
                points_only=True,
            ),
        ),
        arrows=tuple(
            Arrow(
                label=str(rows[key]["name"]),
                start=(place[0], place[1]),
                end=(place[0] + factor * offsets[key][0], place[1] + factor * offsets[key][1]),
            )
            for key, place in starts.items()
            if any(offsets[key])
        ),
        equal_scale=True,
    )


def _compared(
    given: Mapping[str, Any], outputs: Mapping[str, Any], rows: Mapping[str, Mapping[str, Any]]
) -> tuple[str, Callable[[str, str], float]]:
    """What is drawn, by the beginning of its outputs, and where a point belongs along an axis."""
    if "off_x" in outputs:
        return "off_", lambda key, axis: float(rows[key][f"drawing_{axis}"])

    def image(key: str, axis: str) -> float:
        sign = -1.0 if axis == given["mirror_axis"] else 1.0
        left = rows[address_key(rows[key]["mirror_of"])][axis]
        return float(sign * left + outputs.get(f"mirror_shift_{axis}", 0.0))

    return "mirror_", image


def _enlarged(starts: Iterable[tuple[float, ...]], offsets: Iterable[tuple[float, ...]]) -> float:
    """By how much offsets are drawn too long: 1, 2, 5, 10 and so on."""
    places = list(starts)
    side = max(max(one) - min(one) for one in zip(*places, strict=True))
    longest = max(abs(part) for offset in offsets for part in offset)
    if not longest or not side:
        return 1.0
    wanted = _LONGEST_ARROW * side / longest
    if wanted <= 1:
        return 1.0
    power = 10.0 ** floor(log10(wanted))
    return max(step * power for step in (1, 2, 5) if step * power <= wanted)


def _bars(case: CaseView, prefix: str) -> BarSpec | None:
    rows = _by_key("gaps", case.inputs)
    if not rows:
        return None
    bars = []
    for key, row in rows.items():
        off, sure = case.outputs["gap_off"][key], case.uncertainty("gap_off", key)
        bars.append(Bar(label=str(row["name"]), value=off, low=off - sure, high=off + sure))
    tolerances = {float(row["tolerance"]) for row in rows.values() if "tolerance" in row}
    zones: tuple[Zone, ...] = ()
    if len(tolerances) == 1:
        (tolerance,) = tolerances
        zones = (Zone(label="tolerance", low=-tolerance, high=tolerance, tone="good"),)
    return BarSpec(
        title=f"{prefix}Gaps against the drawing",
        description="How much wider each gap is than the drawing has it, with its uncertainty.",
        x=Axis("wider than the drawing", "length", "mm"),
        bars=tuple(bars[:40]),
        zones=zones,
    )
