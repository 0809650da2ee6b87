"""By how much one channel of a log comes late after another, and how sluggish its instrument is.

A satellite receiver's speed comes seconds after the wheel's, an intake air sensor takes its time, and a log
puts both into one row. Give the log, with the prompt channel as `leader` and the late one as `follower`;
they need not be of one dimension, only roughly on a straight line with each other. Engine speed leads road
speed only as long as one gear is held: choose that part with `from` and `to`.

**Lag** is the shift that lines the two up best. It is what `lag:` of a column takes, in this log and in
those of the same instruments, and `column_takes` is that line to copy. A lag that a column already has is
taken out before, so that this block then shows what is left of it.

**Dead time and time constant** part it: an instrument of the first order shows a step 63 % of the way after
its time constant, and all of it is later by the dead time. Where things change slowly, their sum is the
lag. What is a delay, a reading held or a first-order lag, the log tells only by how the follower is rounded
off; the uncertainties show how well.

**How it is found.** For every shift within `search` the same rows of the follower are correlated with the
leader as it was so much earlier, in whole rows; between rows the correlation is interpolated, by a
polynomial through five of them. For the time constant the leader is first passed through first-order lags,
and the variance of its noise (by third differences) is taken out, since noise that is filtered correlates
better with anything. The uncertainty comes from the log: it is cut to blocks of half the search or more,
which are drawn anew at random 200 times, always the same draws, and Student's t for the number of blocks
widens it. To that comes what the interpolation may be off by, a twentieth of a row for the lag and an
eighth for the other two.

**Refused** is what a log cannot tell: a correlation below 0.5, one that still rises at the end of the
search, several peaks that the blocks do not decide between (a drive that repeats itself), a flat one, a
follower that is ahead by more than a quarter of the search.

**Limits.** A row has one time for readings that came at any moment of it: that part of a row is in the lag,
as is half of what a reading is held for. The lag is that of this log at its rate. What lies between leader
and follower besides instruments (a clutch, a tyre that slips) is in it too.

```yaml
id: late-speed
kind: instrument_lag
inputs:
  log:
    time: {heading: time, unit: s}
    columns:
      leader: {heading: wheel, unit: km/h}
      follower: {heading: receiver, unit: km/h}
    text: |
      time,wheel,receiver
      0,57.7,45.6
      1,62.6,52.7
      2,65.7,58.9
      3,66.4,63.2
      4,65.3,65.3
      5,63.2,65.7
      6,60.7,64.3
      7,58.9,62.3
      8,58.1,60.1
      9,58.7,58.8
      10,60.0,58.5
      11,61.8,59.3
      12,63.3,60.6
      13,63.6,62.3
      14,62.2,63.3
      15,58.8,62.9
      16,53.8,60.9
      17,47.7,56.9
      18,41.4,51.7
      19,36.0,45.6
      20,32.4,39.9
      21,31.4,35.2
      22,33.0,32.5
      23,37.0,32.3
      24,42.8,34.8
      25,49.4,39.3
      26,55.6,45.1
      27,60.3,51.3
      28,63.2,56.8
      29,64.1,60.9
      30,62.8,63.0
      31,60.4,63.2
      32,57.5,61.9
      33,54.9,59.3
      34,53.2,56.6
      35,52.9,54.5
      36,53.5,53.4
      37,55.1,53.4
      38,56.4,54.2
      39,56.9,55.5
      40,55.9,56.5
      41,53.0,56.5
      42,48.2,54.7
      43,42.0,51.1
      44,35.3,45.9
      45,29.1,39.8
      46,24.6,33.4
      47,22.3,28.0
      48,22.7,24.2
      49,26.0,22.9
      50,31.3,24.3
      51,38.0,28.1
      52,45.0,33.7
      53,51.1,40.4
      54,55.6,46.8
      55,58.2,52.3
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.figures.spread import decimals_of_uncertainty, rounded
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Input,
    LogChannel,
    Logged,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Working,
)
from buildlog.kinds.logs import Log
from buildlog.kinds.models.lagging import Lag, find_lag, held_share, stretches_of
from buildlog.physics import lags
from buildlog.said import said

KIND = "instrument_lag"

INPUTS = (
    Input(
        name="log",
        form=Logged(
            channels=(
                LogChannel(
                    name="leader",
                    dimension="",
                    unit="",
                    about="what is read promptly, or first; any dimension",
                ),
                LogChannel(name="follower", dimension="", unit="", about="what comes late; any dimension"),
            )
        ),
        about="one log or several of the same instruments; the longer and the livelier, the better",
    ),
    Input(
        name="search",
        form=Number(
            dimension="time",
            unit="s",
            low=0.05,
            high=60,
            why="what comes later than a minute is no instrument",
        ),
        about="the longest lag that is looked for",
        default="5 s",
        default_source="receivers and probes of cars are late by less",
    ),
    Input(
        name="sense",
        form=Choice(
            {
                "with": "the follower rises where the leader rises",
                "against": "the follower falls where the leader rises",
            }
        ),
        about="how the follower goes with the leader",
        default="with",
        default_source="two channels of one thing",
    ),
)

OUTPUTS = (
    Output(
        name="lag",
        title="lag between the channels",
        dimension="time",
        unit="s",
        about="the shift that lines up both best",
        decimals=3,
    ),
    Output(
        name="column_takes",
        title="lag entry for the follower's column",
        dimension="text",
        unit="",
        about="what to write there",
    ),
    Output(
        name="dead_time",
        title="dead time ahead of the first-order lag",
        dimension="time",
        unit="s",
        about="dead time ahead of a first-order lag",
        decimals=3,
    ),
    Output(
        name="time_constant",
        title="time constant of the first-order lag",
        dimension="time",
        unit="s",
        about="time constant of a first-order lag",
        decimals=3,
    ),
    Output(
        name="correlation",
        title="correlation with the channels lined up",
        dimension="ratio",
        unit="",
        about="correlation, lined up",
        decimals=4,
    ),
    Output(
        name="correlation_unshifted",
        title="correlation of the channels as logged",
        dimension="ratio",
        unit="",
        about="not lined up",
        decimals=4,
    ),
    Output(
        name="compared",
        title="part of the log compared",
        dimension="text",
        unit="",
        about="how much of it the result rests on",
    ),
)

SOURCES = (
    Source(
        id="correlation",
        title="Random Data: Analysis and Measurement Procedures",
        publisher="Wiley",
        edition="4th ed., 2010; J. S. Bendat and A. G. Piersol",
        where="5.1.4, time delay by the peak of a cross-correlation",
        standing="from memory",
    ),
    Source(
        id="first-order",
        title="Response of a first-order lag to straight pieces; its gain for white noise",
        standing="derived",
    ),
    Source(
        id="block-bootstrap",
        title="H. R. Künsch, The jackknife and the bootstrap for general stationary observations",
        publisher="Annals of Statistics 17",
        edition="1989",
        where="p. 1217: blocks drawn anew, since neighbours know of each other (summary read, "
        "zbMATH 0684.62035)",
    ),
)

DOUBTS = ()

HAZARDS = ("road-testing",)

_HELD = 0.5
"""Where a follower repeats itself in more rows than this, it is held or coarse."""


def _found(given: Mapping[str, Any]) -> tuple[Lag, float]:
    """The lag in these logs, and in which share of its rows the follower repeats its reading."""
    logs: tuple[Log, ...] = given["log"]
    stretches = [
        stretch
        for log in logs
        for stretch in log.once(
            "stretches",
            lambda log=log: stretches_of(  # type: ignore[misc]
                log.times, log.values["leader"], log.values["follower"], log.spans
            ),
        )
    ]
    search, sense = float(given["search"]), given["sense"]
    # The logs are in what is kept, so that the number of none of them can become another's.
    key = ("lag", search, sense, *map(id, logs))
    return logs[0].once(
        key, lambda: (logs, (find_lag(stretches, search, against=sense == "against"), held_share(stretches)))
    )[1]


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """The lag of one case; SI in, SI out."""
    found, held = _found(given)
    outputs: Outputs = {}
    for name, standard in (
        ("lag", found.lag_standard),
        ("dead_time", found.dead_time_standard),
        ("time_constant", found.time_constant_standard),
    ):
        shift = working.step(
            name,
            lags.shift_time,
            source="first-order" if name == "time_constant" else "correlation",
            rows=getattr(found, name) / found.spacing,
            row_spacing=found.spacing,
        )
        outputs[name] = shift + working.scatter(
            name, standard, about="blocks of the log, and its rows", source="block-bootstrap"
        )
    for name, shift in (("correlation", found.lag), ("correlation_unshifted", 0.0)):
        outputs[name] = working.step(name, lags.correlation, found, source="correlation", shift=shift)
    outputs["column_takes"] = _column(found)
    outputs["compared"] = (
        f"{found.used} of {found.rows} rows, {found.spacing:.3g} s apart, in {found.blocks} blocks of "
        f"{found.block_length:.2g} s"
    )
    _remarks(found, held, working)
    return outputs


def _column(found: Lag) -> str:
    """The lag as the map of a log's columns takes it."""
    expanded = 2 * found.lag_standard
    decimals = max(0, decimals_of_uncertainty(expanded))
    return f"lag: {rounded(found.lag, decimals):.{decimals}f} ± {rounded(expanded, decimals):.{decimals}f} s"


def _remarks(found: Lag, held: float, working: Working) -> None:
    if found.skipped:
        working.remark(
            said("{count} stretch is too short for the search and left out.", count=1)
            if found.skipped == 1
            else said("{count} stretches are too short for the search and left out.", count=found.skipped)
        )
    if found.lag < -2 * found.lag_standard:
        working.remark(
            said(
                "The follower is ahead of the leader: it is the leader that comes late. Exchange the two for "
                "the lag of its column."
            )
        )
    if found.time_constant <= 2 * found.time_constant_standard:
        working.remark(
            said(
                "The time constant is not told from none: a plain delay fits these readings as well, within "
                "the uncertainty."
            )
        )
    if held > _HELD:
        working.remark(
            said(
                "In {share} % of the rows the follower repeats its reading. What is held, or comes in "
                "coarse steps, is late by half of that on average, which is in the lag; the time constant is "
                "then one of the holding and not of an instrument.",
                share=f"{100 * held:.0f}",
            )
        )


def chart(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Correlation against the shift, a curve a case, with each lag."""
    series = []
    markers = []
    for style, (name, case) in enumerate(cases.items()):
        found = _found(case.inputs)[0]
        every = -(-len(found.shifts) // _MOST_POINTS)
        series.append(
            Series(
                label=name or "correlation",
                x=found.shifts[::every],
                y=found.correlations[::every],
                style=style,
            )
        )
        markers.append(Marker(f"lag, {name}" if name else "lag", x=case.outputs["lag"]))
    return ChartSpec(
        title="Correlation by shift",
        description="Correlation of the follower with the leader as it was so much earlier. A sharp peak is "
        "a lag that is well known; a flat one or several are not.",
        x=Axis("shift of the leader", "time", "s"),
        y=Axis("correlation", "ratio", ""),
        series=tuple(series),
        markers=tuple(markers),
    )


_MOST_POINTS = 300
