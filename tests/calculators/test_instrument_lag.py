"""The kind `instrument_lag`: what `tests/kinds/models/test_lagging.py` holds to known signals, as a block."""

from __future__ import annotations

from array import array
from typing import Any

import numpy as np
import pytest

from buildlog.calculators import instrument_lag
from buildlog.diagnostics import NoSolution
from buildlog.kinds.declaration import Outputs, Working
from buildlog.kinds.logs import Log, LogAccount
from tests.calculators.seen import seen
from tests.kinds.models.test_lagging import logged

NAN = float("nan")


def log_of(times: Any, leader: Any, follower: Any, spans: tuple[range, ...] = ()) -> Log:
    return Log(
        file="drive.csv",
        times=array("d", times),
        values={"leader": array("d", leader), "follower": array("d", follower)},
        spans=spans or (range(len(times)),),
        account=LogAccount(rows=len(times), kept=len(times)),
    )


def made(seed: int = 1, **options: Any) -> Log:
    stretch = logged(seed, **options)
    return log_of(stretch.times, stretch.leader, stretch.follower)


def given(*logs: Log, **changes: Any) -> dict[str, Any]:
    return {"log": logs, "search": 5.0, "sense": "with"} | changes


def ran(*logs: Log, **changes: Any) -> tuple[Outputs, Working]:
    working = Working()
    return instrument_lag.compute(given(*logs, **changes), working), working


def number(outputs: Outputs, name: str) -> float:
    value = outputs[name]
    assert isinstance(value, float)
    return value


def standard(working: Working, name: str) -> float:
    """The standard uncertainty that the scatter of a result was given."""
    (doubt,) = (one for origin, one in working.doubted.items() if origin.endswith(f":{name}"))
    return doubt.standard(0.0)


def test_a_known_lag_comes_back_with_its_uncertainty() -> None:
    outputs, working = ran(made(dead_time=1.7, time_constant=0.6))
    assert number(outputs, "dead_time") == pytest.approx(1.7, abs=2 * standard(working, "dead_time"))
    assert number(outputs, "time_constant") == pytest.approx(0.6, abs=2 * standard(working, "time_constant"))
    assert 2.1 < number(outputs, "lag") < 2.3
    assert number(outputs, "correlation_unshifted") < number(outputs, "correlation") <= 1
    assert working.remarks == []


def test_what_the_column_takes_is_the_lag_to_the_place_of_its_uncertainty() -> None:
    outputs, working = ran(made(dead_time=2.34))
    assert standard(working, "lag") == pytest.approx(0.003, abs=0.0005)
    assert outputs["column_takes"] == "lag: 2.3396 ± 0.0059 s"
    assert round(number(outputs, "lag"), 4) == 2.3396


def test_the_lag_taken_out_leaves_none() -> None:
    """The follower moved back by what was found, as the reader of logs moves it."""
    log = made(dead_time=2.34)
    lag = number(ran(log)[0], "lag")
    moved = np.interp(np.asarray(log.times) + lag, log.times, log.values["follower"])
    left, working = ran(log_of(log.times[:-30], log.values["leader"][:-30], moved[:-30]))
    assert number(left, "lag") == pytest.approx(0, abs=2 * standard(working, "lag"))


def test_several_logs_count_together() -> None:
    logs = [made(seed, seconds=40) for seed in range(4)]
    outputs, _ = ran(*logs)
    assert number(outputs, "lag") == pytest.approx(1.7, abs=0.02)
    assert str(outputs["compared"]).startswith("1148 of 1600 rows, 0.1 s apart")


def test_a_channel_that_is_read_less_often_gives_the_rows() -> None:
    """A receiver of 2 Hz in a log of 10 Hz whose other cells are empty."""
    log = made(dead_time=1.7, seconds=300)
    sparse = [value if row % 5 == 0 else NAN for row, value in enumerate(log.values["follower"])]
    outputs, working = ran(log_of(log.times, log.values["leader"], sparse))
    assert "0.5 s apart" in str(outputs["compared"])
    assert number(outputs, "lag") == pytest.approx(1.7, abs=2 * standard(working, "lag"))
    # And so where the leader is the one.
    sparse = [value if row % 5 == 0 else NAN for row, value in enumerate(log.values["leader"])]
    outputs, working = ran(log_of(log.times, sparse, log.values["follower"]))
    assert number(outputs, "lag") == pytest.approx(1.7, abs=2 * standard(working, "lag"))


def test_gaps_and_holes_are_not_joined() -> None:
    log = made(dead_time=1.7, seconds=300)
    whole = ran(log)[0]["compared"]
    half = len(log.times) // 2
    parted = log_of(
        log.times, log.values["leader"], log.values["follower"], (range(half), range(half, len(log.times)))
    )
    assert str(whole).startswith("2887 of 3000")
    assert str(ran(parted)[0]["compared"]).startswith("2774 of 3000")
    holed = list(log.values["leader"])
    holed[half : half + 20] = [NAN] * 20
    assert str(ran(log_of(log.times, holed, log.values["follower"]))[0]["compared"]).startswith("27")
    # One or two readings that fail are bridged.
    holed = list(log.values["leader"])
    holed[half : half + 2] = [NAN] * 2
    assert str(ran(log_of(log.times, holed, log.values["follower"]))[0]["compared"]).startswith("2887")


def test_a_short_stretch_is_counted() -> None:
    log = made(seconds=200)
    parted = log_of(log.times, log.values["leader"], log.values["follower"], (range(50), range(50, 2000)))
    assert ran(parted)[1].remarks[0] == "1 stretch is too short for the search and left out."


def test_the_reader_is_told_of_a_plain_delay_of_holding_and_of_the_wrong_way_round() -> None:
    assert "not told from none" in ran(made(noise=(0.5, 0.5)))[1].remarks[0]
    log = made(dead_time=2.0, seconds=300)
    held = np.repeat(np.asarray(log.values["follower"])[::10], 10)[: len(log.times)]
    (told,) = (
        one
        for one in ran(log_of(log.times, log.values["leader"], held))[1].remarks
        if one.startswith("In 90 % of the rows")
    )
    assert "late by half of that" in told
    log = made(dead_time=0.5)
    turned = log_of(log.times, log.values["follower"], log.values["leader"])
    assert "Exchange the two" in ran(turned)[1].remarks[0]


def test_the_sense_is_stated_and_not_guessed() -> None:
    log = made()
    falling = log_of(log.times, log.values["leader"], [-one for one in log.values["follower"]])
    assert ran(falling, sense="against")[0]["lag"] == ran(log)[0]["lag"]
    with pytest.raises(NoSolution) as refused:
        ran(falling)
    assert refused.value.help == "the follower goes the other way: sense: against"
    with pytest.raises(NoSolution) as refused:
        ran(log, sense="against")
    assert refused.value.help == "the follower goes the other way: sense: with"


def test_the_log_is_reduced_once() -> None:
    """A calculation runs many times for its uncertainty."""
    log = made()
    first = instrument_lag._found(given(log))
    assert instrument_lag._found(given(log)) is first
    assert instrument_lag._found(given(log, search=4.0)) is not first


def test_a_log_without_rows_of_both_is_refused() -> None:
    with pytest.raises(NoSolution, match="no two rows"):
        ran(log_of([0, 1, 2, 3], [1, 2, NAN, NAN], [NAN, NAN, 1, 2]))


def test_the_chart_has_the_curve_of_each_case_and_its_lag() -> None:
    spec = instrument_lag.chart(
        {"": seen(instrument_lag.compute, given(made())), "b": seen(instrument_lag.compute, given(made(2)))}
    )
    assert [one.label for one in spec.series] == ["correlation", "b"]
    for one, marker in zip(spec.series, spec.markers, strict=True):
        top = max(range(len(one.x)), key=lambda place: one.y[place])
        assert marker.x == pytest.approx(one.x[top], abs=0.1)
