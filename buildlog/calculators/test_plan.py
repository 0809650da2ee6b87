"""How many runs a change takes to show, in which order, and the sheet to write them on.

Before the first run, say which change you want to see and how much single runs scatter under one
condition. The block says how many runs of each condition it takes for the change to stand out of that
scatter, in which order to drive them, and what the runs that you have time for would show at best. Made
before, a plan cannot be bent to the result.

**The scatter** is the standard deviation of single runs with nothing changed: of yours, from an evening of
five or ten of them, since drivers, roads and watches differ. An address of another block serves, with its
uncertainty. Without a ± it counts with the uncertainty that a deviation of ten readings has, 48 %, and the
number of runs goes with the square of it: take the upper end.

**The runs needed** are those of a two-sided t test of two means with equal scatter. `level` is how often
chance alone may look like a change, `power` how often the change that you look for shows if it is there: at
80 %, one plan in five misses it. Give `runs` when you know how many of each you will drive; the block then
says how often the change would show, and what the smallest change is that shows as often as you ask. Whether
the readings show one is said afterwards, by the kinds that read the sheet, with intervals of 95.45 %, which
are hardly stricter than a level of 5 %.

**The order** matters as much as the number. Tyres and engine warm, wind turns, a driver learns; driven one
condition after the other, all of that is in the difference.

| `order` | looks like | steady drift | for |
|---|---|---|---|
| alternating | A B B A B A A B | cancels, with an even number of each | what is changed in minutes |
| there and back | A A B B B B A A | cancels, with an even number of each | what takes an hour |
| one change | A A A A B B B B | is all in the difference | what cannot be put back |

The plan rounds up to an even number where the order wants one and you gave none. `drift` from one run to the
next gives what the order leaves of it in the difference. A drift that bends cancels in part only, but for one
along a parabola in alternating order with a multiple of four of each.

**The sheet** has a row a run in that order, with empty cells. What is written down once (`note_once`: tyre
pressures, fuel, wind) stands above it, what belongs to every run (`note_each`) has a column. The card prints
it, and has it as a file: fill in `reading` and give the file to `timed_run` or `measured`, `{data:
data/sheet.csv}`; a row without a reading was not driven. Write down every run, the bad ones too, with the
reason in `note`: what is left out afterwards, by who knows the result, makes any change come true.

What no number of runs shows is a cause. If fuel, tyres or the driver change along with the part, the readings
change and the part need not have done it.

```yaml
id: plan
kind: test_plan
inputs:
  conditions: [short axle, long axle]
  change: 0.35 s
  scatter: 0.22 s
  runs: 6
  drift: 0.03 s
  time_for_run: 4 min
  time_for_changeover: 90 min
  order: there and back
  note_once: [tyre pressures cold, fuel, wind and direction]
  note_each: [air temperature]
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
from buildlog.figures import units
from buildlog.kinds.blank_sheet import MOST_ROWS, BlankSheet
from buildlog.kinds.declaration import (
    OWN_DIMENSION,
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Doubt,
    Input,
    Listed,
    Marker,
    Measure,
    Number,
    Output,
    Outputs,
    Quantity,
    Series,
    Source,
    Text,
    Whole,
    Working,
)
from buildlog.kinds.results import of_differences
from buildlog.physics import trials
from buildlog.said import listed, said

KIND = "test_plan"

_SCATTER = Doubt(
    name="expected_scatter",
    about="of a standard deviation of ten readings",
    source="gum",
    relative=0.48,
)

INPUTS = (
    Input(
        name="conditions",
        form=Listed(Text(40), 2, 2),
        about="the two conditions, the one to start from first",
    ),
    Input(
        name="change",
        form=Quantity(differs=True),
        about="the smallest change that is to show, without its sign",
    ),
    Input(
        name="scatter",
        form=Quantity(differs=True),
        about="standard deviation of single runs under one condition, in the unit of the change",
        doubt=_SCATTER,
    ),
    Input(
        name="runs",
        form=Whole(trials.FEWEST_RUNS, 500, why="a day of driving; one run of each has no scatter"),
        about="runs of each condition that there is time for; as many as are needed if left out",
        required=False,
    ),
    Input(
        name="power",
        form=Number(
            dimension="ratio",
            unit="%",
            low=50,
            high=99.9,
            why="below half, rather missed than seen",
        ),
        about="how often the change shows, if it is there",
        default="80 %",
        default_source="Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed. (1988), 2.4",
    ),
    Input(
        name="level",
        form=Number(dimension="ratio", unit="%", low=1, high=20, why="levels that tests are made at"),
        about="how often chance alone may look like a change, either way",
        default="5 %",
        default_source="two-sided; near the 4.55 % that all intervals here leave out",
    ),
    Input(
        name="order",
        form=Choice(
            {
                "alternating": "A B B A B A A B: each pair and each four turned about",
                "there and back": "A A B B B B A A: the first condition before and after the second",
                "one change": "all of the first, then all of the second",
            }
        ),
        about="in which order the conditions are driven",
        default="alternating",
        default_source="a steady drift cancels, and one that bends does most",
    ),
    Input(
        name="drift",
        form=Quantity(differs=True),
        about="what a reading drifts by from one run to the next, with its sign",
        required=False,
    ),
    Input(
        name="time_for_run",
        title="time of a run",
        form=Number(dimension="time", unit="min", low=0.05, high=1440, why="one run with its way back"),
        about="time that a run takes, all told",
        required=False,
    ),
    Input(
        name="time_for_changeover",
        title="time of a changeover",
        form=Number(dimension="time", unit="min", low=0, high=43200, why="up to a month in the workshop"),
        about="time from one condition to the other; needs time_for_run",
        required=False,
    ),
    Input(
        name="note_once",
        title="notes before the first run",
        form=Listed(Text(60), 1, 12),
        about="what to write down before the first run",
        required=False,
    ),
    Input(
        name="note_each",
        title="notes with every run",
        form=Listed(Text(40), 1, 4),
        about="what else to write down with every run: a column each",
        required=False,
    ),
)

OUTPUTS = (
    Output(
        name="effect_size",
        title="change as a multiple of the scatter",
        dimension="ratio",
        unit="",
        about="change as a multiple of the scatter",
        decimals=2,
    ),
    Output(
        name="runs_needed",
        title="number of runs needed of each condition",
        dimension="count",
        unit="",
        about="for the change to show",
        decimals=0,
    ),
    Output(
        name="runs_planned",
        title="number of runs planned of each condition",
        dimension="count",
        unit="",
        decimals=0,
    ),
    Output(
        name="power_planned",
        title="chance that the planned runs show the change",
        dimension="ratio",
        unit="%",
        about="how often it shows, if it is there",
        decimals=0,
        needs=("runs",),
    ),
    Output(
        name="least_change",
        title="smallest change that the planned runs show",
        dimension=OWN_DIMENSION,
        unit="",
        about="as often as is asked",
        needs=("runs",),
    ),
    Output(
        name="expected_interval",
        title="expected interval of the difference",
        dimension=OWN_DIMENSION,
        unit="",
        about="± that it is to be expected with",
        needs=("runs",),
    ),
    Output(
        name="drift_in_difference",
        title="drift left in the difference",
        dimension=OWN_DIMENSION,
        unit="",
        needs=("drift",),
    ),
    Output(
        name="changeovers",
        title="number of changeovers",
        dimension="count",
        unit="",
        about="from one condition to the other",
        decimals=0,
    ),
    Output(
        name="session_time",
        title="length of the session",
        dimension="time",
        unit="h",
        about="all that is planned",
        decimals=1,
        needs=("time_for_run",),
    ),
    Output(
        name="driving_order", title="order of the runs", dimension="text", unit="", about="order of the runs"
    ),
)

SOURCES = (
    Source(
        id="cohen",
        title="Statistical Power Analysis for the Behavioral Sciences",
        publisher="J. Cohen",
        edition="2nd ed., 1988",
        where="2.2 effect size, 2.4 sample sizes and the convention of 80 %, 12.2 computation",
        standing="from memory",
    ),
    Source(
        id="gum",
        title="JCGM 100, Guide to the expression of uncertainty in measurement",
        publisher="JCGM",
        edition="2008",
        where="4.2.3, G.3.2; table E.1, 24 % for the deviation of ten readings",
        standing="from memory",
    ),
    Source(
        id="order", title="Means of a straight line over the places of either condition", standing="derived"
    ),
)

DOUBTS = (_SCATTER,)

DRAWS = 400

HAZARDS = ("road-testing",)

_WANTS_EVEN = ("alternating", "there and back")
_TURNS = (0, 1, 1, 0, 1, 0, 0, 1)
"""Each pair turned about, and each four: in eight, a drift along a parabola cancels too."""
_SHOWN = 12
"""Runs of the order that are written out."""


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Runs needed and planned, what they show, and the order; SI in, SI out."""
    _check(given)
    change, scatter = given["change"], given["scatter"]
    unit = units.si_unit(_difference(change)[0]).symbol
    effect = working.step(
        "effect_size", trials.effect_size(unit), source="cohen", change=float(change), scatter=float(scatter)
    )
    needed = working.step(
        "runs_needed",
        trials.runs_needed,
        source="cohen",
        effect=effect,
        power=given["power"],
        level=given["level"],
    )
    runs = _planned(given, needed, working)
    order = _order(given["order"], round(runs))
    outputs: Outputs = {
        "effect_size": effect,
        "runs_needed": needed,
        "runs_planned": runs,
        "changeovers": working.step(
            "changeovers", trials.changeovers, order, source="order", runs_in_all=2 * runs
        ),
        "driving_order": _in_words(order, given["conditions"]),
    }
    if "runs" in given:
        _shown(given, effect, unit, working, outputs)
    _drift(given, order, unit, working, outputs)
    _time(given, runs, working, outputs)
    return outputs


def _planned(given: Mapping[str, Any], needed: float, working: Working) -> float:
    """As many runs as there is time for, or as are needed, then an even number where the order wants one."""
    even = given["order"] in _WANTS_EVEN
    if "runs" not in given:
        formula = trials.planned_in_pairs if even else trials.planned
        return working.step("runs_planned", formula, source="order", runs=needed)
    runs = working.step("runs_planned", trials.planned, source="order", runs=float(given["runs"]))
    if even and runs % 2:
        working.remark(
            said(
                "With {runs} runs of each a steady drift does not cancel: it wants an even number.",
                runs=f"{runs:.0f}",
            )
        )
    return runs


def _shown(given: Mapping[str, Any], effect: float, unit: str, working: Working, outputs: Outputs) -> None:
    """What the runs that there is time for show. Without them there is no such answer: of a scatter that is
    larger than expected, more would be driven."""
    runs, level, power = float(given["runs"]), given["level"], given["power"]
    outputs["power_planned"] = working.step(
        "power_planned", trials.power, source="cohen", effect=effect, runs=runs, level=level
    )
    least = working.step(
        "least_effect", trials.least_effect, source="cohen", runs=runs, power=power, level=level
    )
    half = working.step("half_interval", trials.half_interval, source="gum", runs=runs, level=level)
    for name, effect_of in (("least_change", least), ("expected_interval", half)):
        found = working.step(
            name,
            trials.change_of_effect(unit),
            source="cohen",
            effect=effect_of,
            scatter=float(given["scatter"]),
        )
        outputs[name] = _like(given["change"], found)
    working.limit(
        "power_planned",
        least=power,
        says=said(
            "With {runs} runs of each the change [may be missed|will be missed] more often than you "
            "allow: look for a larger one, lessen the scatter, or find time for more.",
            runs=f"{runs:.0f}",
        ),
    )


def _drift(
    given: Mapping[str, Any], order: trials.Order, unit: str, working: Working, outputs: Outputs
) -> None:
    if "drift" not in given:
        return
    apart = working.step("places_apart", trials.places_apart, order, source="order", runs_in_all=len(order))
    left = working.step(
        "drift_in_difference",
        trials.drift_left(unit),
        source="order",
        drift=float(given["drift"]),
        places_apart=apart,
    )
    outputs["drift_in_difference"] = _like(given["change"], left)
    change = float(given["change"])
    working.limit(
        "drift_in_difference",
        least=-change / 2,
        most=change / 2,
        says=said("By this order the drift alone [may look|looks] like half of the change or more."),
    )


def _time(given: Mapping[str, Any], runs: float, working: Working, outputs: Outputs) -> None:
    if "time_for_run" not in given:
        if "time_for_changeover" in given:
            raise MissingInput(
                "time_for_run",
                "time_for_changeover without it",
                "time_for_run as well",
                help="for the whole time",
            )
        return
    changeovers = outputs["changeovers"]
    assert isinstance(changeovers, float)
    outputs["session_time"] = working.step(
        "session_time",
        trials.session_time,
        source="order",
        runs=runs,
        time_for_run=given["time_for_run"],
        changeovers=changeovers,
        time_for_changeover=given.get("time_for_changeover", 0.0),
    )


# --- what a plan cannot be made of ------------------------------------------------------------


def _difference(value: float) -> tuple[str, str]:
    """Dimension and unit of differences of such values; a value that was moved keeps what it measures."""
    assert isinstance(value, Measure)
    return of_differences(value.dimension, value.unit)


def _like(change: float, si: float) -> Measure:
    """A value in the unit of the change, with a digit more than it was written with."""
    assert isinstance(change, Measure)
    return Measure(si, *_difference(change), change.decimals + 1)


def _check(given: Mapping[str, Any]) -> None:
    """Refuse values that cannot be compared, and words that would mix up the sheet."""
    wanted = _difference(given["change"])[0]
    for name in ("change", "scatter", "drift"):
        if name not in given:
            continue
        value = given[name]
        if _difference(value)[0] != wanted:
            raise InputsConflict(
                name,
                f"{_difference(value)[0]}, beside a change of {wanted}",
                wanted,
                help="change, scatter and drift are of one reading, and of one dimension",
            )
    for name in ("change", "scatter"):
        if not given[name] > 0:
            raise InputsConflict(
                name, f"{float(given[name]):g}", "more than 0", help="a plan is for either direction"
            )
    first, second = given["conditions"]
    if first.casefold() == second.casefold():
        raise InputsConflict("conditions", f"“{first}” twice", "two conditions with names of their own")
    _check_columns(given)


def _check_columns(given: Mapping[str, Any]) -> None:
    taken = ["run", "condition", "reading", "note"]
    for index, name in enumerate(given.get("note_each", ())):
        if name.casefold() in taken:
            raise InputsConflict(
                "note_each", f"“{name}”, which the sheet has already", "another name", at=(index,)
            )
        taken.append(name.casefold())


# --- the order and the sheet --------------------------------------------------------------------


def _order(how: str, runs: int) -> trials.Order:
    """Which condition each run is of, so many of each."""
    if how == "alternating":
        return trials.Order(_TURNS[place % len(_TURNS)] for place in range(2 * runs))
    before = (runs + 1) // 2 if how == "there and back" else runs
    return trials.Order([0] * before + [1] * runs + [0] * (runs - before))


def _in_words(order: trials.Order, conditions: list[str]) -> str:
    shown = [conditions[one] for one in order[:_SHOWN]]
    more = f" and so on, {len(order)} runs in all" if len(order) > _SHOWN else ""
    return ", ".join(shown) + more


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """How often a change shows, over its size, with the runs as planned."""
    first = next(iter(cases.values()))
    change = first.inputs["change"]
    sizes = [float(change) * part / 20 for part in range(1, 51)]
    series = []
    for style, (name, case) in enumerate(cases.items()):
        runs, scatter = case.outputs["runs_planned"], float(case.inputs["scatter"])
        level = case.inputs["level"]
        label = f"{runs:.0f} runs of each"
        series.append(
            Series(
                label=f"{name}: {label}" if name else label,
                x=sizes,
                y=[trials.power(size / scatter, runs, level) for size in sizes],
                style=style,
            )
        )
    return ChartSpec(
        title="How often a change shows",
        description="Share of such plans that show a change if it is there, over the size of the change.",
        x=Axis("change", *_difference(change), from_zero=True),
        y=Axis("shows", "ratio", "%", from_zero=True),
        series=tuple(series),
        markers=(
            Marker("change to be seen", x=float(change)),
            Marker("as often as asked", y=first.inputs["power"]),
        ),
    )


def sheets(cases: Mapping[str, CaseView]) -> tuple[BlankSheet, ...]:
    """The empty sheet of each case; none where nobody would fill in so many rows."""
    made = []
    for name, case in cases.items():
        inputs = case.inputs
        order = _order(inputs["order"], round(case.outputs["runs_planned"]))
        if len(order) > MOST_ROWS:
            continue
        each = list(inputs.get("note_each", ()))
        unit = _difference(inputs["change"])[1]
        reading = f"reading [{unit}]" if unit else "reading"
        made.append(
            BlankSheet(
                name=name,
                title=listed(filter(None, (said("Sheet for the runs"), name))),
                headings=(said("run"), said("condition"), reading, *each, said("note")),
                rows=tuple(
                    (str(number), inputs["conditions"][condition], "", *("" for _ in each), "")
                    for number, condition in enumerate(order, start=1)
                ),
                once=(said("date"), *inputs.get("note_once", ())),
            )
        )
    return tuple(made)
