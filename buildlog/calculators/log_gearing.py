"""Which gear a log was driven in, and the ratio of each gear by a line through its readings.

Give a log with engine speed and road speed, and what the car's sheet says of gears, final drive and tyre.
Every row is put to the gear whose line it lies by, and through the rows of each gear goes a straight line
of road speed against engine speed. Its slope is the gear; what the two speeds are off by together, a
receiver that is late, a speedometer that reads 3 km/h too much, is in its **offset**. A ratio of the means
has both in it: a log that only pulls, with a speed that comes half a second late, shows some 2 % too tall a
gear, as much as a tooth in 41.

**Which gear.** A row is in a gear where its road speed lies within `window` of the gear's line, and half of
the road speed's stated `quantum` beside. The first line is the declared one, the next the one through the
rows found, and so on until no row changes gear: the window goes with the car's own lines. A gear counts
from `held` on, and the first and last half of that time are not fitted, since the clutch slips there. Rows
in **no gear** are those of clutch and neutral, a stretch off the line of all others by half the window (a
coasting car whose engine slows down along with it), those below `lowest_revs`, where a coasting car crosses
the line of every gear, and those in which the engine is said to stand still while the car moves, which are
counted by themselves.

**The line** is that of road speed on engine speed: a speed in whole km/h, or from the sky, is the less sure
of the two. Noise and quantum of the engine speed make it flatter by their share in the variance of the
engine speeds. The line the other way round is too steep by the road speed's, and the truth lies between the
two: their distance, 1/r² − 1, is counted as the limit of an error. **Readings** are the independent ones
that the rows of a gear are worth, by the autocorrelation of what they are off the line by; from these is
the scatter of each slope, by Student's t. An instrument's own ± (`by:` of a column) is counted once: it
moves all gears together. Of several logs the one of the first is taken for all.

**What comes late.** A road speed that comes τ seconds late is off the lines by τ times the acceleration, so
that a drive of hard pulls has ratios some per cent off. By v = c + k ω − τ a, with a k for each gear and one
c and τ for all, the rows tell τ themselves: where it is more than its uncertainty it is taken out and told in
seconds, with what it would have done; where it is not, it is in the uncertainty of every slope, the same
error in all. A tyre that slips as it pushes looks like a speed that is late, and goes the same way. Fewer
than six stretches in gear tell nothing of it, and the card says so.

**Agreement.** `difference` is how much more the overall ratio found is than the declared one. Where it is not
within its uncertainty, the card says so. All gears off alike tell of the final drive, the circumference or
the scale of an instrument, which a log cannot tell apart: `final_drive` is what the gears agree on if the
circumference is right, and `among_gears` what a gear differs from that by, which has neither the size of the
tyre nor the scale of an instrument in it; but slip, of which low gears have more. Where another block has
foretold the same, give its address under `predicts`.

**Limits.** Driven tyres slip and grow: the road of one turn at speed is taken to be within ± 1 % of what was
measured at walking pace. A speed that comes late belongs lined up (`lag:`, see `instrument_lag`): a slope
bears what is late, but rows leave the window, those of hard pulls first, and what pulls more and more
flattens a line. Two gears nearer to each other than twice the window cannot be told apart and are refused.

```yaml
id: gears-driven
kind: log_gearing
inputs:
  gears: [2.92, 1.86, 1.39]
  final_drive: 41/10
  rolling_circumference: 1.812 ± 0.004 m
  log:
    time: {heading: time, unit: s}
    columns:
      engine_speed: {heading: engine, unit: rpm}
      road_speed: {heading: wheel, unit: km/h, quantum: 1 km/h}
    text: |
      time,engine,wheel
      0.0,1900,17
      0.5,2322,21
      1.0,2723,25
      1.5,3142,28
      2.0,3556,32
      2.5,3975,36
      3.0,4380,40
      3.5,0,44
      4.0,5207,47
      4.5,3224,47
      5.0,3199,46
      5.5,3426,49
      6.0,3670,52
      6.5,3885,56
      7.0,4130,59
      7.5,4355,62
      8.0,4607,66
      8.5,4827,69
      9.0,5072,72
      9.5,5304,76
      10.0,3286,76
      10.5,3898,74
      11.0,4033,77
      11.5,4169,79
      12.0,4285,82
      12.5,4406,84
      13.0,4554,87
      13.5,4691,89
      14.0,4815,92
      14.5,4948,94
      15.0,5075,97
      15.5,5186,99
      16.0,3224,99
      16.5,4698,67
      17.0,4441,63
      17.5,4192,60
      18.0,3938,56
      18.5,3682,52
      19.0,3431,49
      19.5,3165,45
      20.0,2921,42
      20.5,2643,38
      21.0,2404,34
      21.5,1488,34
      22.0,3592,33
      22.5,3347,31
      23.0,3125,28
      23.5,2869,26
      24.0,2631,24
      24.5,2402,21
      25.0,2138,20
      25.5,1913,17
      26.0,1178,17
```
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import hypot, log, pi
from typing import TYPE_CHECKING, Any

from buildlog.diagnostics import InputsConflict, NoSolution
from buildlog.kinds.declaration import (
    Axis,
    Bar,
    BarSpec,
    CaseView,
    ChartSpec,
    Doubt,
    Input,
    Listed,
    LogChannel,
    Logged,
    Number,
    Output,
    Outputs,
    Ratio,
    Series,
    Source,
    Working,
)
from buildlog.kinds.doubt import UNCERTAINTY
from buildlog.kinds.logs import Log
from buildlog.kinds.models.held_gears import (
    NONE,
    Drive,
    HeldGear,
    Lateness,
    Sorted,
    drive_of,
    evened,
    lateness_of,
    lined_up,
    sort_by_gear,
    with_accelerations,
)
from buildlog.physics import drivetrain, gears_in_logs
from buildlog.said import said

if TYPE_CHECKING:
    import numpy as np

KIND = "log_gearing"

_REDUCTION = Number(dimension="ratio", unit="", low=0.2, high=8.0, why="gears behind a gearbox")

INPUTS = (
    Input(
        name="log",
        form=Logged(
            channels=(
                LogChannel(
                    name="engine_speed", dimension="rotational speed", unit="rpm", about="of the crankshaft"
                ),
                LogChannel(name="road_speed", dimension="speed", unit="km/h", about="of the car, lined up"),
            )
        ),
        about="drives with all gears that matter, each over a wide range of engine speeds",
    ),
    Input(
        name="gears",
        form=Listed(
            Number(dimension="ratio", unit="", low=0.3, high=8.0, why="forward ratios of car gearboxes"),
            1,
            10,
            counted=True,
        ),
        about="gearbox ratios as declared, first gear first",
    ),
    Input(
        name="final_drive",
        form=Number(
            dimension="ratio",
            unit="",
            low=1.5,
            high=8.0,
            why="final drives of cars; write driven over driving teeth",
        ),
        about="final drive ratio as declared, or tooth counts: driven/driving",
    ),
    Input(
        name="second_reduction",
        form=Number(dimension="ratio", unit="", low=0.2, high=6.0, why="output, transfer and portal gears"),
        about="ratio of a second reduction, wherever it sits, or its tooth counts: driven/driving",
        required=False,
    ),
    Input(
        name="rolling_circumference",
        form=Number(
            dimension="length", unit="m", low=1.0, high=3.0, why="rolling circumferences of car tyres"
        ),
        about="road covered by one turn of a driven wheel, as measured, or the address of a gearing block's",
    ),
    Input(
        name="window",
        form=Number(
            dimension="ratio", unit="%", low=0.5, high=20, why="less tells no gear, more tells no two apart"
        ),
        about="how far a road speed may be off its gear's line",
        default="5 %",
        default_source="less than half a step of close gears; common practice",
    ),
    Input(
        name="held",
        title="least time in gear",
        form=Number(dimension="time", unit="s", low=0.2, high=20, why="shorter than a shift tells nothing"),
        about="how long a gear is held at least",
        default="1 s",
        default_source="longer than a shift; common practice",
    ),
    Input(
        name="slowest",
        title="slowest speed on the move",
        form=Number(dimension="speed", unit="km/h", low=0.5, high=100, why="where a wheel sensor begins"),
        about="from what road speed on the car is taken to move",
        default="5 km/h",
        default_source="where wheel sensors and receivers begin to be right; common practice",
    ),
    Input(
        name="lowest_revs",
        form=Number(
            dimension="rotational speed",
            unit="rpm",
            low=300,
            high=8000,
            why="from idle to the top of engines",
        ),
        about="from what engine speed on a gear is looked for",
        default="1500 rpm",
        default_source="above the idle of car engines; common practice",
    ),
)

OUTPUTS = (
    Output(
        name="speed_per_1000",
        title="road speed by engine speed",
        dimension="speed per rotational speed",
        unit="km/h/1000 rpm",
        about="slope of the line through the readings",
        decimals=3,
        key="gear",
    ),
    Output(
        name="offset",
        title="road speed of the line at engine standstill",
        dimension="speed",
        unit="km/h",
        about="late, or wrong by a constant",
        decimals=2,
        key="gear",
        is_change=True,
    ),
    Output(
        name="overall_ratio",
        title="overall gear ratio",
        dimension="ratio",
        unit="",
        about="engine turns per wheel turn, by the slope",
        decimals=3,
        key="gear",
    ),
    Output(
        name="difference",
        title="difference from the declared ratio",
        dimension="ratio",
        unit="%",
        about="of the overall ratio",
        decimals=2,
        key="gear",
        is_change=True,
    ),
    Output(
        name="among_gears",
        title="difference from the ratio all gears agree on",
        dimension="ratio",
        unit="%",
        about="of the overall ratio",
        decimals=2,
        key="gear",
        is_change=True,
    ),
    Output(
        name="final_drive",
        title="final drive ratio",
        dimension="ratio",
        unit="",
        about="by all gears together, at the given circumference",
        decimals=3,
    ),
    Output(
        name="readings",
        title="number of independent readings on the line",
        dimension="count",
        unit="",
        about="independent readings on the line",
        decimals=0,
        key="gear",
    ),
    Output(
        name="share",
        title="share of the moving rows in the gear",
        dimension="ratio",
        unit="%",
        decimals=1,
        key="gear",
    ),
    Output(
        name="share_in_none",
        title="share of the moving rows in no gear",
        dimension="ratio",
        unit="%",
        about="clutch, neutral, idle, engine at 0",
        decimals=1,
    ),
    Output(
        name="share_stopped",
        title="share of the moving rows with the engine stopped",
        dimension="ratio",
        unit="%",
        about="engine speed at 0",
        decimals=1,
    ),
    Output(
        name="without_line",
        title="gears without a line",
        dimension="text",
        unit="",
        about="too few readings",
    ),
)

SOURCES = (
    Source(id="kinematics", title="Kinematics of rigid gearing and rolling", standing="derived"),
    Source(
        id="gum",
        title="JCGM 100:2008, Guide to the expression of uncertainty in measurement",
        publisher="BIPM",
        where="H.3.2 and H.3.3, line by least squares; G.3.2, Student's t",
    ),
    Source(
        id="errors-in-both",
        title="W. A. Fuller, Measurement Error Models",
        publisher="Wiley",
        edition="1987",
        where="1.1, attenuation; the truth lies between the two regressions (R. Frisch, 1934): as "
        "HandWiki, Errors-in-variables models, has both (read)",
    ),
    Source(
        id="frisch-waugh",
        title="R. Frisch and F. V. Waugh, Partial time regressions as compared with individual trends",
        publisher="Econometrica 1",
        edition="1933",
        where="387, a regression on two variables by way of one, as Wikipedia, "
        "Frisch–Waugh–Lovell theorem, has it (read)",
    ),
    Source(
        id="effective-count",
        title="N. F. Zhang, Calculation of the uncertainty of the mean of autocorrelated measurements",
        publisher="Metrologia 43",
        edition="2006",
        where="S276, eq. 10 and the variance of the mean, as the source code of suncal has them (read)",
    ),
    Source(
        id="rolling-at-speed",
        title="Slip of driven tyres at part load and growth with speed, up to some 1 % each way",
        standing="common practice, no source",
    ),
)

_ROLLING_AT_SPEED = Doubt(
    name="rolling_at_speed",
    about="road of one turn of a driven wheel on the move, against walking pace",
    source="rolling-at-speed",
    formula="kinematics",
    relative=0.01,
    limits=True,
    range="radial tyres, no wheel spinning",
)

DOUBTS = (_ROLLING_AT_SPEED,)

HAZARDS = ("road-testing",)

_MOST_ROUNDS = 5
_LONGEST_LAG = 5.0
"""s; what comes later is no lag of a logger."""
_LATE = "how late one of the speeds comes, by the readings"
_READINGS = "scatter of the readings about the line, and how far their doubt may flatten it"


# --- reading the log ---------------------------------------------------------------------------


def _found(given: Mapping[str, Any], reduction: float) -> tuple[Drive, Sorted, Lateness, float]:
    """The rows of all logs, their gears, how late the road speed still is, and how much of that was taken
    out. The same for all that uncertainties move the inputs by."""
    logs: tuple[Log, ...] = given["log"]
    circumference: float = given["rolling_circumference"]
    declared = evened([circumference / (2 * pi * gear * reduction) for gear in given["gears"]])
    options = {name: float(given[name]) for name in ("window", "held", "slowest", "lowest_revs")}
    # The logs are in what is kept, so that the number of none of them can become another's.
    key = ("gears", declared, *options.values(), *map(id, logs))
    return logs[0].once(key, lambda: (logs, _sorted(logs, declared, **options)))[1]


def _sorted(
    logs: Sequence[Log],
    declared: Sequence[float],
    *,
    window: float,
    held: float,
    slowest: float,
    lowest_revs: float,
) -> tuple[Drive, Sorted, Lateness, float]:
    import numpy as np

    times, engine, speed, stretch = _rows(logs)
    quantum = max(log.quantum.get("road_speed", 0.0) for log in logs)
    taken_out = 0.0
    for rounds in range(_MOST_ROUNDS + 1):
        shown = lined_up(times, speed, stretch, taken_out) if taken_out else speed
        there = np.isfinite(shown)
        drive = drive_of(
            times[there],
            engine[there],
            shown[there],
            stretch[there],
            slowest=slowest,
            lowest_engine=lowest_revs,
        )
        if not len(drive.times):
            raise NoSolution(
                "log",
                f"{len(times)} rows with both readings, none of them on the move in a gear",
                "rows with slowest and lowest_revs or more",
            )
        found = sort_by_gear(drive, declared, window=window, quantum=quantum, held=held)
        late = lateness_of(drive, found)
        if not late.shows or rounds == _MOST_ROUNDS or abs(taken_out + late.lag) > _LONGEST_LAG:
            break
        taken_out += late.lag
    return drive, with_accelerations(drive, found), late, taken_out


def _rows(logs: Sequence[Log]) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Times, engine speed, road speed and the number of the stretch, of all rows with both readings."""
    import numpy as np

    parts = [
        (
            np.asarray(one.times)[span.start : span.stop],
            np.asarray(one.values["engine_speed"])[span.start : span.stop],
            np.asarray(one.values["road_speed"])[span.start : span.stop],
        )
        for one in logs
        for span in one.spans
    ]
    times, engine, speed = (np.concatenate([part[place] for part in parts]) for place in range(3))
    stretch = np.repeat(np.arange(len(parts)), [len(part[0]) for part in parts])
    both = np.isfinite(engine) & np.isfinite(speed)
    return times[both], engine[both], speed[both], stretch[both]


# --- computing -----------------------------------------------------------------------------------


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Lines, ratios and shares of one case; SI in, SI out."""
    reduction = _reduction(given, working)
    _check_gears(given)
    drive, found, late, taken_out = _found(given, reduction)
    lines = {str(place): line for place, line in enumerate(found.gears, start=1)}
    if not any(line.has_line for line in lines.values()):
        raise NoSolution(
            "log",
            "no gear with readings enough for a line",
            "a gear held over a range of engine speeds",
            help="look at the units, at gears and final_drive, and at lowest_revs",
        )
    outputs: Outputs = {
        "speed_per_1000": {},
        "offset": {},
        "overall_ratio": {},
        "difference": {},
        "among_gears": {},
    }
    later = working.scatter("lag", hypot(late.lag, late.standard), about=_LATE, source="frisch-waugh")
    _say_how_late(late, taken_out, lines, working)
    slopes = {key: _slope(key, line, later, given, working) for key, line in lines.items() if line.has_line}
    for key, (slope, offset) in slopes.items():
        outputs["speed_per_1000"][key], outputs["offset"][key] = slope, offset  # type: ignore[index]
    _ratios(given, reduction, {key: slope for key, (slope, _) in slopes.items()}, lines, working, outputs)
    _shares(drive, found, lines, working, outputs)
    return outputs


def _reduction(given: Mapping[str, Any], working: Working) -> float:
    """All that reduces behind the gearbox, as declared."""
    final_drive: float = given["final_drive"]
    if "second_reduction" not in given:
        return final_drive
    return working.step(
        "both_reductions",
        drivetrain.overall_ratio,
        source="kinematics",
        gear_ratio=given["second_reduction"],
        final_drive=final_drive,
    )


def _check_gears(given: Mapping[str, Any]) -> None:
    """Refuse gears that do not fall, and gears that the window would not tell apart."""
    gears: list[float] = given["gears"]
    window: float = given["window"]
    for number, (gear, following) in enumerate(pairwise(gears), start=1):
        if following >= gear:
            raise InputsConflict(
                "gears",
                f"gear {number + 1} ({following:g}) not below gear {number} ({gear:g})",
                "ratios that fall from first gear to last",
                help="write them first gear first",
            )
        apart = log(gear / following)
        if apart <= 2 * window:
            raise InputsConflict(
                "window",
                f"± {100 * window:.3g} %, with gears {number} and {number + 1} {100 * apart:.3g} % apart",
                f"less than ± {50 * apart:.3g} %",
                help="narrow the window; where road speeds scatter more, no log tells these gears",
            )


def _say_how_late(late: Lateness, taken_out: float, lines: Mapping[str, HeldGear], working: Working) -> None:
    """What the rows tell of a speed that comes late, and what it would have done."""
    if not late.standard:
        working.remark(
            said(
                "{count} stretches in gear: too few to tell whether the road speed comes late. "
                "What a lag does is not in ±.",
                count=late.stretches,
            )
        )
        return
    if not taken_out:
        return
    which = said("road speed") if taken_out > 0 else said("engine speed")
    shares = {
        key: taken_out * line.acceleration_along / line.slope for key, line in lines.items() if line.has_line
    }
    worst = max(shares, key=lambda key: abs(shares[key]))
    way = said("large") if shares[worst] < 0 else said("small")
    # By r = n C / v a slope that is too flat makes a ratio too large.
    working.remark(
        said(
            "The {which} comes {late} s late, ± {doubt} s: rows are off their lines as the car gains "
            "and loses speed. So much is taken out here; left in, it would make the ratio of gear {gear} "
            "some {share} % too {way}. A tyre that slips as it pushes looks alike. Where it is the logger, "
            "line the channel up: lag in its map, by instrument_lag.",
            which=which,
            late=f"{abs(taken_out):.2f}",
            doubt=f"{2 * hypot(late.lag, late.standard):.1g}",
            gear=worst,
            share=f"{100 * abs(shares[worst]):.1f}",
            way=way,
        )
    )


def _slope(
    key: str, line: HeldGear, later: float, given: Mapping[str, Any], working: Working
) -> tuple[float, float]:
    """Slope and offset of one gear's line, with the scatter of its readings and its instruments' doubts, and
    with a road speed that comes `later` by so many seconds: nothing in the ordinary run."""
    slope = working.step(
        f"speed_per_1000.{key}", gears_in_logs.fitted_slope, line, source="gum", readings=float(line.fitted)
    )
    offset = working.step(
        f"offset.{key}",
        gears_in_logs.offset_of_line,
        source="gum",
        mean_speed=line.mean_speed,
        mean_engine_speed=line.mean_engine,
        speed_per_engine_speed=slope,
    )
    logged: Log = given["log"][0]
    of_speed, of_engine = 1.0, 1.0
    if doubt := logged.doubt("road_speed"):
        # What an instrument may be off by as an amount, it may be off by at one end and not at the other.
        of_speed = working.factor(doubt) + working.offset(doubt) / line.mean_speed
        offset += working.offset(doubt)
    if doubt := logged.doubt("engine_speed"):
        of_engine = working.factor(doubt) + working.offset(doubt) / line.mean_engine
    scatter = working.scatter(f"slope.{key}", line.slope_standard, about=_READINGS, source="errors-in-both")
    level = working.scatter(f"level.{key}", line.level_standard, about=_READINGS, source="effective-count")
    along = scatter + later * line.acceleration_along
    level += later * line.mean_acceleration
    return (slope + along) * of_speed / of_engine, offset + level - along * line.mean_engine


def _ratios(
    given: Mapping[str, Any],
    reduction: float,
    slopes: Mapping[str, float],
    lines: Mapping[str, HeldGear],
    working: Working,
    outputs: Outputs,
) -> None:
    """Overall ratio of each gear against the declared one and against what all gears agree on."""
    gears = {str(number): gear for number, gear in enumerate(given["gears"], start=1)}
    ratios = {
        key: working.step(
            f"overall_ratio.{key}",
            gears_in_logs.ratio_of_line,
            source=_ROLLING_AT_SPEED,
            rolling_circumference=given["rolling_circumference"],
            speed_per_engine_speed=slope,
        )
        for key, slope in slopes.items()
    }
    weighed = gears_in_logs.FoundRatios(
        tuple(
            (ratio, gears[key], lines[key].slope_standard / lines[key].slope) for key, ratio in ratios.items()
        )
    )
    second: float = given.get("second_reduction", 1.0)
    common = working.step(
        "common_reduction" if second != 1.0 else "final_drive",
        gears_in_logs.common_reduction,
        weighed,
        source="gum",
        gears=float(len(ratios)),
    )
    outputs["overall_ratio"] = dict(ratios)
    outputs["final_drive"] = common
    if second != 1.0:
        outputs["final_drive"] = working.step(
            "final_drive", gears_in_logs.without_second, source="kinematics", both=common, second=second
        )
    # What one gear alone differs from itself by is nothing, and says nothing.
    among = (("among_gears", common),) if len(ratios) > 1 else ()
    for name, behind in (("difference", reduction), *among):
        outputs[name] = {
            key: working.step(
                f"{name}.{key}",
                gears_in_logs.difference_of_ratios,
                source="kinematics",
                found=ratio,
                declared=gears[key] * behind,
            )
            for key, ratio in ratios.items()
        }
    _verdicts(given, tuple(ratios), working)


def _verdicts(given: Mapping[str, Any], keys: Sequence[str], working: Working) -> None:
    """Where the log and what is declared do not agree, and how well the log knows the final drive."""
    for key in keys:
        working.limit(
            "difference",
            key,
            least=0.0,
            most=0.0,
            surely=True,
            together="declared",
            says=said(
                "The log does not agree with what is declared: gear {key} is off by more than its whole "
                "uncertainty. Where all gears are off alike, it is the final drive, the circumference, an "
                "instrument or a speed that comes late; where one is, its ratio.",
                key=key,
            ),
        )
        if len(keys) > 1:
            working.limit(
                "among_gears",
                key,
                least=0.0,
                most=0.0,
                surely=True,
                together="among",
                says=said(
                    "The gears do not agree among themselves: by the others, the ratio of gear {key} is "
                    "not what is declared, or its tyres slipped more than in the others.",
                    key=key,
                ),
            )
    final_drive = given["final_drive"]
    if isinstance(final_drive, Ratio):
        driven, driving = final_drive.teeth
        working.how_sure(
            "final_drive",
            says=said(
                "The log knows the final drive to ± {uncertainty}; a tooth more on the crown wheel would be "
                "{tooth_more}, one on the pinion {tooth_less}.",
                tooth_more=f"{1 / driving:.3g}",
                tooth_less=f"{driven / driving - driven / (driving + 1):.2g}",
                uncertainty=UNCERTAINTY,
            ),
        )


def _shares(
    drive: Drive, found: Sorted, lines: Mapping[str, HeldGear], working: Working, outputs: Outputs
) -> None:
    """What was driven in which gear, and in none."""
    moving = float(drive.moving)

    def share(name: str, rows: int) -> float:
        return working.step(
            name, gears_in_logs.share_of_rows, source="kinematics", rows=float(rows), moving=moving
        )

    outputs["share"] = {key: share(f"share.{key}", line.rows) for key, line in lines.items()}
    none = int((found.gear == NONE).sum()) + drive.stopped + drive.idling
    outputs["share_in_none"] = share("share_in_none", none)
    outputs["share_stopped"] = share("share_stopped", drive.stopped)
    outputs["readings"] = {
        key: working.step(
            f"readings.{key}",
            gears_in_logs.independent_readings,
            source="effective-count",
            rows=float(line.fitted),
            worth=line.effective / line.fitted,
        )
        for key, line in lines.items()
        if line.has_line
    }
    without = [f"gear {key}" for key, line in lines.items() if not line.has_line]
    outputs["without_line"] = ", ".join(without) or "none"
    if drive.stopped:
        working.remark(
            said(
                "In {count} rows the car moves while the engine speed is 0: a reading that failed, or a car "
                "that rolls with its engine off. They are in no gear.",
                count=drive.stopped,
            )
            if drive.stopped > 1
            else said(
                "In {count} row the car moves while the engine speed is 0: a reading that failed, or a car "
                "that rolls with its engine off. They are in no gear.",
                count=drive.stopped,
            )
        )


# --- charts --------------------------------------------------------------------------------------------


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec | BarSpec, ...]:
    """The readings of each case with the lines of its gears; what was driven in which gear."""
    plans: list[ChartSpec | BarSpec] = [_readings_chart(name, case) for name, case in cases.items()]
    bars = [
        Bar(label=f"{name}, {what}" if name else what, value=share, style=style)
        for style, (name, case) in enumerate(cases.items())
        for what, share in _named_shares(case)
    ]
    if len(bars) <= _MOST_BARS:
        plans.append(
            BarSpec(
                title="What was driven in which gear",
                description="Shares of the rows in which the car moves. No gear: clutch, neutral, idle, or "
                "an engine speed of 0.",
                x=Axis("share of the rows on the move", "ratio", "%", from_zero=True),
                bars=tuple(bars),
            )
        )
    return tuple(plans)


_MOST_BARS = 30
_MOST_POINTS = 700
"""Of a chart: more are a stain, and make a page heavy."""


def _named_shares(case: CaseView) -> Iterator[tuple[str, float]]:
    for key, share in case.outputs["share"].items():
        yield f"gear {key}", share
    yield "no gear", case.outputs["share_in_none"]


def _readings_chart(name: str, case: CaseView) -> ChartSpec:
    given = case.inputs
    reduction = given["final_drive"] * given.get("second_reduction", 1.0)
    drive, found, _, _ = _found(given, reduction)
    every = max(1, -(-len(drive.times) // _MOST_POINTS))
    series = []
    for place in range(NONE, len(found.gears)):
        rows = (found.gear == place).nonzero()[0][::every]
        if len(rows):
            series.append(
                Series(
                    label="no gear" if place == NONE else f"gear {place + 1}",
                    x=drive.speed[rows].tolist(),
                    y=drive.engine[rows].tolist(),
                    style=place + 1,
                    points_only=True,
                )
            )
    for place, line in enumerate(found.gears):
        if line.has_line:
            engine = drive.engine[found.gear == place]
            ends = [float(engine.min()), float(engine.max())]
            series.append(
                Series(
                    label=f"line of gear {place + 1}",
                    x=[line.offset + line.slope * one for one in ends],
                    y=ends,
                    style=place + 1,
                )
            )
    shown = f"one row of {every}" if every > 1 else "every row"
    return ChartSpec(
        title=f"Readings and the line of each gear{f', {name}' if name else ''}",
        description=f"Engine speed against road speed, {shown} on the move, with the line through the rows "
        "of each gear. What lies between the lines is in no gear.",
        x=Axis("road speed", "speed", "km/h", from_zero=True),
        y=Axis("engine speed", "rotational speed", "rpm", from_zero=True),
        series=tuple(series),
    )
