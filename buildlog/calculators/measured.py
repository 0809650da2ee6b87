"""Readings of one thing: their mean, how sure it is, and whether it keeps to its limits.

One reading says nothing of how far the next would be off. Take several, each from the beginning: put the
gauge away and set it up again, drive the hill again. Write all of them down, and let the block say what they
are worth.

**Readings** are a list, such lists by the condition they belong to, rows, or a CSV file:

| what | how it is written |
|---|---|
| of one thing | `readings: [24.1 mm, 24.3 mm, 24.2 mm]` |
| before and after | `readings: {before: [9.84 s, 9.91 s], after: [9.71 s, 9.69 s]}`, with names of your own |
| rows | `readings: [{run: 1, condition: before, reading: 9.84 s, note: dry}]` |
| a file | `readings: {data: data/hill.csv}` |

A file has the headings `condition`, `reading [s]` with your unit and, if you like, `run` and `note`: it is
the sheet that `test_plan` prints, filled in. Other columns are passed over. A row without a reading was no
run; how many there are is said.

**How sure.** The mean of n readings has the interval x̄ ± t · s / √n, with Student's t for n − 1 degrees of
freedom: of three readings it is more than twice as wide as s / √n by itself would make it. It holds for
readings that are independent of each other. The instrument adds what the scatter does not show:

- `resolution` is the step in which it shows. Readings that are rounded the same way stay off the same way,
  so its q/√12 counts whole, however many readings there are. Readings that are all the same need it: they
  say that the step is coarser than the scatter.
- `correction` is what has to be added to each reading by the instrument's calibration, with its doubt: `0.0
  ± 0.5 mm limits` for one that is right to half a millimetre. All readings share it, so that it does not
  shrink with their number, and it cancels in what before and after differ by, as it should if both were
  taken with one instrument.

**Before and after.** Each condition is compared with the first; a case that names one `condition` is of that
one alone. The scatters need not be the same: the interval of the difference is Welch's. It shows a change
where it does not hold zero, and where it does, the block says how large a change could have hidden in it.
That the mean changed is all it shows, and not why: wind, tyres or a warmer day change it as well, so take
the readings by turns (`test_plan` gives the order). Where the rows have all readings of one condition before
those of the next, the card says so: a drift that goes on all the while is in the change, and not in its
interval. It also says how large a drift the readings leave room for: the slope along them that both
conditions have in common, with its interval by Student's t, times the places by which their means are apart.
The scatter of a change is that of its two means, the same errors: a mean, and a change that it is part of,
are not counted twice where both are used.

**Limits.** `at_least` and `at_most`, or `drawing` with `tolerance` both ways. The verdict on a mean is that
of a decision: it *holds* or *fails* where all of its interval does, and is *too close to call* in between.
It is a verdict on the mean and not on each piece: of parts that differ, look at the lowest and the highest
reading.

A reading that lies far off its fellows, and by more than one step, is named, and counted all the same: look
for its cause, and where you find one, take it again and say so. A drift is named as well. Both appear by
chance in one of twenty samples.

```yaml
id: hill
kind: measured
title: Seconds from the hairpin to the quarry
inputs:
  readings:
    before: [21.84 s, 21.97 s, 21.79 s, 21.91 s]
    after: [21.42 s, 21.55 s, 21.38 s, 21.51 s]
  resolution: 0.01 s
  correction: 0.00 ± 0.05 s limits
  at_most: 21.80 s
```
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, sqrt
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, did_you_mean
from buildlog.figures import units
from buildlog.figures.labels import write_figure
from buildlog.figures.spread import student_t
from buildlog.kinds.declaration import (
    OWN_DIMENSION,
    Axis,
    CaseView,
    ChartSpec,
    Input,
    Marker,
    Measure,
    Output,
    Outputs,
    Quantity,
    Series,
    Source,
    Table,
    Text,
    Working,
)
from buildlog.kinds.doubt import UNCERTAINTY
from buildlog.kinds.keys import address_key
from buildlog.kinds.models.readings import line_through
from buildlog.kinds.results import Value, of_differences
from buildlog.kinds.verdicts import CLOSE, FAILS, HOLDS, overall_verdict
from buildlog.physics import repeated, requirement
from buildlog.physics.repeated import Readings
from buildlog.said import said

KIND = "measured"

_MOST = 400
"""Readings, as many as a chart can show."""
INPUTS = (
    Input(
        name="readings",
        form=Table(
            (
                Input(
                    name="condition",
                    form=Text(40),
                    about="what the reading belongs to: before, after, a part, an axle",
                    required=False,
                ),
                Input(
                    name="reading",
                    form=Quantity(),
                    about="what the instrument showed, with its unit; empty where there was no run",
                    required=False,
                ),
                Input(name="run", form=Text(20), about="the number of the run", required=False),
                Input(name="note", form=Text(200), about="what was seen", required=False),
            ),
            longest=_MOST,
            plain="reading",
            grouped="condition",
        ),
        about="two readings or more of each condition, in the order in which they were taken",
    ),
    Input(
        name="condition",
        form=Text(40),
        about="the one condition that this case is of; all of them side by side if left out",
        required=False,
    ),
    Input(
        name="resolution",
        form=Quantity(like="readings", differs=True),
        about="the step in which the instrument shows",
        required=False,
    ),
    Input(
        name="correction",
        form=Quantity(like="readings", differs=True),
        about="what has to be added to each reading by the instrument's calibration, with its ±",
        required=False,
    ),
    Input(
        name="drawing",
        form=Quantity(like="readings"),
        about="what it should be, by the drawing or the book",
        required=False,
    ),
    Input(
        name="tolerance",
        form=Quantity(like="readings", differs=True),
        about="how far it may be off the drawing, either way",
        required=False,
    ),
    Input(
        name="at_least",
        title="lower limit",
        form=Quantity(like="readings"),
        about="the least it may be",
        required=False,
    ),
    Input(
        name="at_most",
        title="upper limit",
        form=Quantity(like="readings"),
        about="the most it may be",
        required=False,
    ),
)

OUTPUTS = (
    Output(name="mean", title="mean of all readings", dimension=OWN_DIMENSION, unit="", about="mean"),
    Output(
        name="deviation",
        title="standard deviation of all readings",
        dimension=OWN_DIMENSION,
        unit="",
    ),
    Output(
        name="lowest",
        title="lowest of all readings",
        dimension=OWN_DIMENSION,
        unit="",
    ),
    Output(
        name="highest",
        title="highest of all readings",
        dimension=OWN_DIMENSION,
        unit="",
    ),
    Output(
        name="off",
        title="mean of all readings less the drawing",
        dimension=OWN_DIMENSION,
        unit="",
        about="mean less drawing",
        is_change=True,
    ),
    Output(
        name="over_least",
        title="margin over the least allowed",
        dimension=OWN_DIMENSION,
        unit="",
        about="of the mean",
    ),
    Output(
        name="under_most",
        title="margin under the most allowed",
        dimension=OWN_DIMENSION,
        unit="",
        about="of the mean",
    ),
    Output(
        name="verdict",
        title="verdict on the mean of all readings",
        dimension="text",
        unit="",
        about="whether it keeps to its limits",
        leading=True,
    ),
    Output(
        name="mean_of",
        title="mean of the readings",
        dimension=OWN_DIMENSION,
        unit="",
        about="mean",
        key="condition",
        beside=True,
    ),
    Output(
        name="deviation_of",
        title="standard deviation of a reading",
        dimension=OWN_DIMENSION,
        unit="",
        about="standard deviation of a reading",
        key="condition",
        beside=True,
    ),
    Output(
        name="lowest_of",
        title="lowest reading",
        dimension=OWN_DIMENSION,
        unit="",
        about="lowest reading",
        key="condition",
        beside=True,
    ),
    Output(
        name="highest_of",
        title="highest reading",
        dimension=OWN_DIMENSION,
        unit="",
        about="highest reading",
        key="condition",
        beside=True,
    ),
    Output(
        name="off_of",
        title="mean less the drawing",
        dimension=OWN_DIMENSION,
        unit="",
        about="mean less drawing",
        is_change=True,
        key="condition",
        beside=True,
    ),
    Output(
        name="over_least_of",
        title="margin of the mean over the least",
        dimension=OWN_DIMENSION,
        unit="",
        about="margin of the mean over the least",
        key="condition",
        beside=True,
    ),
    Output(
        name="under_most_of",
        title="margin of the mean under the most",
        dimension=OWN_DIMENSION,
        unit="",
        about="margin of the mean under the most",
        key="condition",
        beside=True,
    ),
    Output(
        name="verdict_of",
        title="verdict on the mean",
        dimension="text",
        unit="",
        about="whether it keeps to its limits",
        key="condition",
        leading=True,
    ),
    Output(
        name="change",
        title="change from the first condition",
        dimension=OWN_DIMENSION,
        unit="",
        about="of the mean",
        is_change=True,
        key="condition",
        beside=True,
    ),
    Output(
        name="shown",
        title="finding on the change",
        dimension="text",
        unit="",
        about="what the readings show",
        leading=True,
        key="condition",
    ),
)

SOURCES = (
    Source(
        id="gum",
        title="Guide to the expression of uncertainty in measurement",
        publisher="JCGM 100",
        edition="2008",
        where="4.2 readings, F.2.2.1 resolution, G.3.2 Student's t (table G.2 read as NIST TN 1297, B.1)",
    ),
    Source(
        id="welch",
        title="The generalization of “Student's” problem when several population variances are involved",
        publisher="B. L. Welch, Biometrika 34",
        edition="1947",
        where="degrees of freedom of a difference, as the manuals of R's propagate and metRology name it "
        "(read); JCGM 100:2008, G.4.1",
    ),
    Source(
        id="grubbs",
        title="Procedures for detecting outlying observations in samples",
        publisher="F. E. Grubbs, Technometrics 11; ISO 5725-2",
        edition="1969; 1994",
        where="one outlier, 5 %: what is named, never dropped; the critical values as Chemistry "
        "LibreTexts, Analytic references, appendix 7, prints them (read)",
    ),
    Source(
        id="jcgm-106",
        title="JCGM 106, The role of measurement uncertainty in conformity assessment",
        publisher="JCGM",
        edition="2012",
        where="8.3 guarded decision rules, as ILAC-G8:09/2019, 4.1 and 4.2.3, has them (read)",
    ),
    Source(id="definition", title="Definition of a margin and of a change", standing="derived"),
)

HAZARDS = ("road-testing", "hot-parts", "spinning-parts")

_RISE, _FALL, _NOTHING = "a rise", "a fall", "no change shown"
_ROUNDING = 1e-12
_SUSPECT = 0.05
_FEWEST_FOR_A_DRIFT = 5
_MOST_SHOWN = 12
"""Samples in one chart: more are told apart by nobody."""
_TOLERANCED, _LIMITED = ("drawing", "tolerance"), ("at_least", "at_most")


@dataclass(frozen=True)
class _Scale:
    """What is measured, the unit it is shown in and the decimals."""

    dimension: str
    unit: str
    decimals: int

    @property
    def si(self) -> str:
        return units.si_unit(self.dimension).symbol

    def value(self, si: float) -> Measure:
        return Measure(si, self.dimension, self.unit, self.decimals)

    def change(self, si: float) -> Measure:
        return Measure(si, *of_differences(self.dimension, self.unit), self.decimals)

    def shown(self, si: float) -> str:
        return write_figure(units.find(self.unit, self.dimension).from_si(si), self.decimals - 1, self.unit)

    def shown_change(self, si: float) -> str:
        dimension, unit = of_differences(self.dimension, self.unit)
        return write_figure(units.find(unit, dimension).from_si(si), self.decimals, unit)


@dataclass(frozen=True, kw_only=True)
class _Sample:
    """The readings of one condition and what was made of them. `condition` and `key` are "" where there are
    none; `mean` is corrected, `rounded` by how much rounding is moved, `scattered` by how much the scatter of
    the readings is, which Student's t of its own condition has widened."""

    condition: str
    key: str
    readings: Readings
    mean: float
    deviation: float
    rounded: float
    scattered: float

    @property
    def freedom(self) -> int:
        return self.count - 1

    @property
    def count(self) -> int:
        return len(self.readings)


def _name(name: str, key: str) -> str:
    return f"{name}_of.{key}" if key else name


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """The mean of each condition, against its limits and against the first; SI in, SI out."""
    groups = _chosen(given, _grouped(given["readings"]))
    scale = _scale(given["readings"])
    limits = _limits(given)
    samples = [_sample(given, working, scale, *group) for group in groups.items()]
    outputs: Outputs = {}
    for sample in samples:
        value = sample.mean + sample.scattered + sample.rounded
        found = {
            "mean": scale.value(value),
            "deviation": scale.change(sample.deviation),
            "lowest": scale.value(min(sample.readings)),
            "highest": scale.value(max(sample.readings)),
            **_held(given, working, scale, limits, sample, value),
        }
        for name, one in found.items():
            if sample.key:
                keyed = outputs.setdefault(f"{name}_of", {})
                assert isinstance(keyed, dict)
                keyed[sample.key] = one
            else:
                outputs[name] = one
    if len(samples) > 1:
        first, *others = samples
        outputs["change"] = {one.key: _change(working, scale, first, one) for one in others}
    _say(given, working, scale, samples)
    return outputs


# --- what was given -------------------------------------------------------------------------


def _grouped(rows: Sequence[Mapping[str, Any]]) -> dict[str, list[float]]:
    """The readings by condition, in the order in which conditions first appear; "" where there are none."""
    groups: dict[str, list[float]] = {}
    named: dict[str, str] = {}
    read = [(index, row) for index, row in enumerate(rows) if "reading" in row]
    for index, row in read:
        condition = row.get("condition", "")
        if bool(condition) != bool(read[0][1].get("condition")):
            raise InputsConflict(
                "readings", "rows with a condition and rows without", "one of the two", at=(index,)
            )
        key = address_key(condition)
        if (condition and not key) or named.setdefault(key, condition) != condition:
            raise InputsConflict(
                "readings",
                f"the condition “{condition}”",
                f"letters or digits in it, and not nearly the same as “{named.get(key, '')}”".replace(
                    ", and not nearly the same as “”", ""
                ),
                at=(index, "condition"),
            )
        groups.setdefault(condition, []).append(row["reading"])
    for condition, readings in groups.items():
        if len(readings) < 2:
            raise InputsConflict(
                "readings",
                f"1 reading of {condition}" if condition else "1 reading",
                "2 or more",
                help="one says nothing of how far the next would be off: take more, or write the one with "
                "its ± where it is needed",
            )
    if not groups:
        raise InputsConflict("readings", "rows without a reading", "2 readings or more")
    return groups


def _chosen(given: Mapping[str, Any], groups: dict[str, list[float]]) -> dict[str, list[float]]:
    """The condition that a case is of, as the only one: then it goes without a name."""
    if "condition" not in given:
        return groups
    wanted = given["condition"]
    if wanted not in groups:
        known = [name for name in groups if name]
        raise InputsConflict(
            "condition",
            f"“{wanted}”",
            "one of " + ", ".join(known) if known else "no condition, since the readings have none",
            help=did_you_mean(wanted, known),
        )
    return {"": groups[wanted]}


def _scale(rows: Sequence[Mapping[str, Any]]) -> _Scale:
    """What is measured: all readings measure the same, in whichever of its units."""
    measures = [(index, row["reading"]) for index, row in enumerate(rows) if "reading" in row]
    first = measures[0][1]
    for index, one in measures:
        if one.dimension != first.dimension:
            raise InputsConflict(
                "readings",
                f"a {one.dimension} beside a {first.dimension}",
                first.dimension,
                help="readings of one thing are in units of one dimension",
                at=(index, "reading"),
            )
    alike = [one.decimals for _, one in measures if one.unit == first.unit]
    return _Scale(first.dimension, first.unit, max(alike) + 1)


def _limits(given: Mapping[str, Any]) -> dict[str, float]:
    """The least and the most, as far as they are given."""
    for name in ("resolution", "tolerance"):
        if name in given and not given[name] > 0:
            raise InputsConflict(name, "nothing or less", "more than 0")
    if "tolerance" in given and "drawing" not in given:
        raise MissingInput("drawing", "tolerance without drawing", "what the tolerance is about")
    limits = {name: float(given[name]) for name in _LIMITED if name in given}
    if "tolerance" in given:
        if limits:
            name = next(iter(limits))
            raise InputsConflict(name, f"{name} beside a tolerance", "one of the two")
        drawing, tolerance = float(given["drawing"]), float(given["tolerance"])
        limits = {"at_least": drawing - tolerance, "at_most": drawing + tolerance}
    if len(limits) > 1 and limits["at_least"] > limits["at_most"]:
        raise InputsConflict("at_most", "less than at_least", "at_least or more")
    return limits


# --- what is made of it ---------------------------------------------------------------------


def _sample(
    given: Mapping[str, Any], working: Working, scale: _Scale, condition: str, taken: Sequence[float]
) -> _Sample:
    """The statistics of one condition."""
    key, readings = address_key(condition), Readings(float(one) for one in taken)
    count = len(readings)
    shown_as = _name("shown_mean" if "correction" in given else "mean", key)
    mean = working.step(
        shown_as, repeated.in_unit(repeated.mean, scale.si), readings, source="gum", count=count
    )
    deviation = working.step(
        _name("deviation", key),
        repeated.in_unit(repeated.deviation, scale.si),
        readings,
        source="gum",
        count=count,
    )
    if min(readings) == max(readings) and "resolution" not in given:
        raise MissingInput(
            "resolution",
            f"readings{f' of {condition}' if condition else ''} that are all the same",
            "the step in which the instrument shows",
            help="it hides how far they scatter",
        )
    if "correction" in given:
        formula = repeated.in_unit(repeated.corrected, scale.si, "mean", "correction")
        mean = working.step(
            _name("mean", key), formula, source="gum", mean=mean, correction=float(given["correction"])
        )
    rounded = 0.0
    if "resolution" in given:
        standard = working.step(
            _name("rounding", key),
            repeated.in_unit(repeated.standard_of_rounding, scale.si, "step"),
            source="gum",
            step=float(given["resolution"]),
        )
        rounded = working.scatter(
            _name("rounding", key),
            standard,
            about=_about("rounding of the readings", condition),
            source="gum",
        )
    return _Sample(
        condition=condition,
        key=key,
        readings=readings,
        mean=mean,
        deviation=deviation,
        rounded=rounded,
        scattered=_scatter_of(working, scale, condition, count, deviation),
    )


def _about(what: str, condition: str) -> str:
    return f"{what} {condition}".rstrip()


def _scatter_of(working: Working, scale: _Scale, condition: str, count: int, deviation: float) -> float:
    """What the scatter of the readings adds to their mean: nothing in the ordinary run."""
    key = address_key(condition)
    standard = working.step(
        _name("standard", key),
        repeated.in_unit(repeated.standard_of_mean, scale.si, "deviation"),
        source="gum",
        deviation=deviation,
        count=count,
        t=student_t(count - 1),
    )
    about = _about("scatter of the readings", condition)
    return working.scatter(_name("scatter", key), standard, about=about, source="gum")


def _held(
    given: Mapping[str, Any],
    working: Working,
    scale: _Scale,
    limits: Mapping[str, float],
    sample: _Sample,
    value: float,
) -> dict[str, float]:
    """A mean against the drawing and the limits."""
    held = {}
    if "drawing" in given:
        formula = requirement.margin_above(scale.si)
        held["off"] = working.step(
            _name("off", sample.key), formula, source="definition", value=value, limit=float(given["drawing"])
        )
    for limit, name, formula in (
        ("at_least", "over_least", requirement.margin_above(scale.si)),
        ("at_most", "under_most", requirement.margin_below(scale.si)),
    ):
        if limit in limits:
            held[name] = working.step(
                _name(name, sample.key), formula, source="definition", value=value, limit=limits[limit]
            )
    return {name: scale.change(one) for name, one in held.items()}


def _change(working: Working, scale: _Scale, first: _Sample, other: _Sample) -> Measure:
    """What one condition is above the first. Its scatter is that of both means, the same errors as theirs,
    each widened by the t of the difference in place of its own."""
    si = scale.si
    found = working.step(
        f"change.{other.key}",
        repeated.in_unit(repeated.change, si, "before", "after"),
        source="definition",
        before=first.mean,
        after=other.mean,
    )
    spread = {
        "deviation_before": first.deviation,
        "count_before": first.count,
        "deviation_after": other.deviation,
        "count_after": other.count,
    }
    if first.deviation or other.deviation:
        freedom = working.step(
            f"freedom.{other.key}",
            repeated.in_unit(repeated.freedom_of_change, "1", "deviation_before", "deviation_after"),
            source="welch",
            **spread,
        )
        working.step(
            f"standard_change.{other.key}",
            repeated.in_unit(repeated.standard_of_change, si, "deviation_before", "deviation_after"),
            source="welch",
            **spread,
            t=student_t(freedom),
        )
        for sample, sign in ((first, -1.0), (other, 1.0)):
            found += sign * sample.scattered * student_t(freedom) / student_t(sample.freedom)
    return scale.change(found + other.rounded - first.rounded)


# --- what is said of it ---------------------------------------------------------------------


def _say(given: Mapping[str, Any], working: Working, scale: _Scale, samples: Sequence[_Sample]) -> None:
    if "resolution" not in given and "correction" not in given:
        working.remark(
            said(
                "Nothing is said of the instrument (resolution, correction): the uncertainty is that of the "
                "scatter alone."
            )
        )
    if not scale.unit:
        working.remark(said("The readings have no unit: they count as plain numbers."))
    empty = sum("reading" not in row for row in given["readings"])
    if empty:
        working.remark(
            said("{count} rows without a reading, not counted.", count=empty)
            if empty > 1
            else said("{count} row without a reading, not counted.", count=empty)
        )
    for sample in samples:
        _say_of_outliers(working, scale, sample, float(given.get("resolution", 0.0)))
        _say_of_drift(working, scale, sample)
    if len(samples) > 1 and _one_after_the_other(given["readings"]):
        _say_of_order(working, scale, samples)
    for other in samples[1:]:
        working.how_sure(
            "change",
            other.key,
            says=said(
                "Between {first} and {other} these readings cannot tell a change "
                "smaller than {uncertainty} from none.",
                first=samples[0].condition,
                other=other.condition,
                uncertainty=UNCERTAINTY,
            ),
        )


def _one_after_the_other(rows: Sequence[Mapping[str, Any]]) -> bool:
    """Whether the rows have all readings of one condition before any of the next."""
    order = [row["condition"] for row in rows if "reading" in row]
    changes = sum(1 for one, following in pairwise(order) if one != following)
    return 1 + changes == len(set(order))


def _say_of_order(working: Working, scale: _Scale, samples: Sequence[_Sample]) -> None:
    """That a drift and a change cannot be told apart, and how large a drift the readings leave room for."""
    told = said(
        "The readings {first} stand before those {second}, and none between them. If they were taken so, "
        "what drifts all the while (wind, warmth, tyres, a driver who learns) is in the change, and these "
        "readings cannot tell the two apart; ± and the finding are by the scatter alone.",
        first=samples[0].condition,
        second=samples[1].condition,
    )
    drift = _pooled_slope(samples[:2])
    if drift is not None:
        slope, standard = drift
        apart = (samples[0].count + samples[1].count) / 2
        most = scale.shown_change((abs(slope) + standard) * apart)
        told = said(
            "{told} A drift that the readings leave room for would make up to {most} of it.",
            told=told,
            most=most,
        )
    working.remark(said("{told} Take them by turns: test_plan has the order.", told=told))


def _pooled_slope(samples: Sequence[_Sample]) -> tuple[float, float] | None:
    """How much readings change from one to the next within their conditions, with half of its interval."""
    spread = squares = along = 0.0
    for sample in samples:
        middle, mean = (sample.count - 1) / 2, fsum(sample.readings) / sample.count
        for place, one in enumerate(sample.readings):
            spread += (place - middle) ** 2
            along += (place - middle) * (one - mean)
            squares += (one - mean) ** 2
    freedom = sum(sample.count for sample in samples) - len(samples) - 1
    if freedom < 1 or not spread:
        return None
    slope = along / spread
    left = max(squares - slope * along, 0.0)
    return slope, student_t(freedom) * sqrt(left / freedom / spread)


def _say_of_outliers(working: Working, scale: _Scale, sample: _Sample, step: float) -> None:
    if sample.count < repeated.FEWEST_FOR_AN_OUTLIER or not sample.deviation:
        return
    middle = fsum(sample.readings) / sample.count
    index, furthest = max(enumerate(sample.readings), key=lambda item: abs(item[1] - middle))
    # One step from its next fellow it is as good as equal: of three readings any such one would be named.
    fellow = min(abs(one - furthest) for at, one in enumerate(sample.readings) if at != index)
    if fellow <= step * (1 + 1e-6):
        return
    limit = repeated.outlier_limit(sample.count, student_t(sample.count - 2, 1 - _SUSPECT / sample.count))
    if abs(furthest - middle) > limit * sample.deviation:
        working.remark(
            said(
                "Reading {number}, {value}, lies {off} standard deviations off the mean, further than one "
                "sample in twenty has by chance. It is counted: look for its cause.",
                number=f"{sample.condition} {index + 1}".lstrip(),
                value=scale.shown(furthest),
                off=f"{abs(furthest - middle) / sample.deviation:.1f}",
            )
        )


def _say_of_drift(working: Working, scale: _Scale, sample: _Sample) -> None:
    if sample.count < _FEWEST_FOR_A_DRIFT or not sample.deviation:
        return
    line = line_through(range(sample.count), sample.readings)
    if abs(line.slope) > student_t(line.freedom) * line.slope_standard:
        values = {
            "readings": said("The readings {condition}", condition=sample.condition)
            if sample.condition
            else said("The readings"),
            "amount": scale.shown_change(abs(line.slope) * (sample.count - 1)),
        }
        working.remark(
            said(
                "{readings} rise by {amount} from the first to the last, more than one sample in twenty does "
                "by chance: what was measured may have been changing.",
                **values,
            )
            if line.slope > 0
            else said(
                "{readings} fall by {amount} from the first to the last, more than one sample in twenty does "
                "by chance: what was measured may have been changing.",
                **values,
            )
        )


def conclude(given: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, str | dict[str, str]]:
    """The verdict on each mean, and what each change shows."""
    said: dict[str, str | dict[str, str]] = {}
    for name, suffix in (("verdict", ""), ("verdict_of", "_of")):
        margins = [values[one + suffix] for one in ("over_least", "under_most") if one + suffix in values]
        if not margins:
            continue
        if suffix:
            said[name] = {key: _verdict([one[key] for one in margins]) for key in margins[0]}
        else:
            said[name] = _verdict(margins)
    if "change" in values:
        said["shown"] = {key: _shown(change) for key, change in values["change"].items()}
    return said


def _verdict(margins: Sequence[Value]) -> str:
    return overall_verdict(_verdict_on(margin) for margin in margins)


def _verdict_on(margin: Value) -> str:
    low, high = margin.ends
    slack = _ROUNDING * max(abs(low), abs(high))
    if low >= -slack:
        return HOLDS
    return FAILS if high < 0 else CLOSE


def _shown(change: Value) -> str:
    low, high = change.ends
    if low > 0:
        return _RISE
    return _FALL if high < 0 else _NOTHING


# --- the chart ------------------------------------------------------------------------------


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    """Every reading in its order, with the mean of its condition and what it is sure to."""
    by_dimension: dict[str, list[tuple[str, CaseView]]] = {}
    for name, case in cases.items():
        by_dimension.setdefault(_scale(case.inputs["readings"]).dimension, []).append((name, case))
    return tuple(_chart(group[:_MOST_SHOWN]) for group in by_dimension.values())


def _chart(cases: Sequence[tuple[str, CaseView]]) -> ChartSpec:
    scale = _scale(cases[0][1].inputs["readings"])
    series: list[Series] = []
    markers: dict[float, Marker] = {}
    for name, case in cases:
        conditions = _in_order(case.inputs)
        for condition, points in list(conditions.items())[: _MOST_SHOWN - len(series) // 2]:
            key, style = address_key(condition), len(series) // 2
            mean = case.outputs["mean_of"][key] if key else case.outputs["mean"]
            sure = case.uncertainty("mean_of", key) if key else case.uncertainty("mean")
            label = " ".join(filter(None, (name, condition))) or "readings"
            x = [float(number) for number, _ in points]
            ends = [x[0], x[-1]]
            series.append(
                Series(label=label, x=x, y=[one for _, one in points], style=style, points_only=True)
            )
            series.append(
                Series(
                    label=f"mean, {label}",
                    x=ends,
                    y=[mean, mean],
                    low=[mean - sure] * 2,
                    high=[mean + sure] * 2,
                    style=style,
                )
            )
        for word, limit in zip(("least", "most"), _limit_lines(case.inputs), strict=True):
            if limit is not None:
                markers.setdefault(limit, Marker(word, y=limit))
    return ChartSpec(
        title="Readings and their means",
        description="Every reading in the order in which it was taken; a band is how sure the mean is."
        + (f" The first {_MOST_SHOWN} samples." if len(series) == 2 * _MOST_SHOWN else ""),
        x=Axis("reading", "count", ""),
        y=Axis(scale.dimension, scale.dimension, scale.unit),
        series=tuple(series),
        markers=tuple(markers.values()),
    )


def _in_order(given: Mapping[str, Any]) -> dict[str, list[tuple[int, float]]]:
    """The readings by condition, each with its place among all; of the chosen one without a name."""
    found: dict[str, list[tuple[int, float]]] = {}
    read = [row for row in given["readings"] if "reading" in row]
    for number, row in enumerate(read, start=1):
        found.setdefault(row.get("condition", ""), []).append((number, float(row["reading"])))
    return {"": found[given["condition"]]} if "condition" in given else found


def _limit_lines(given: Mapping[str, Any]) -> tuple[float | None, float | None]:
    limits = _limits(given)
    return limits.get("at_least"), limits.get("at_most")
