"""A log as a calculator gets it: its steps, its spans and the rows that have a reading, by hand."""

from __future__ import annotations

from array import array
from math import nan

import pytest

from buildlog.diagnostics import Refused
from buildlog.kinds.doubt import Doubt
from buildlog.kinds.logs import Log, LogAccount, logs_in

DOUBT = Doubt(name="gauge", about="", source="practice", absolute=1.0, unit="K")


def log(times: list[float], *spans: range, **values: list[float]) -> Log:
    return Log(
        file="a.csv",
        times=array("d", times),
        values={name: array("d", column) for name, column in values.items()},
        spans=spans or (range(len(times)),),
        account=LogAccount(rows=len(times), kept=len(times)),
        doubts={"heat": DOUBT},
    )


def test_the_interval_is_the_median_of_the_steps_without_the_gaps() -> None:
    """Steps of 1, 1, 2 and 1 s, and one of 96 s between the spans."""
    gapped = log([0.0, 1.0, 2.0, 4.0, 100.0, 101.0], range(0, 4), range(4, 6))
    assert gapped.interval == 1.0
    assert gapped.rate == 1.0
    assert gapped.duration == 5.0
    assert log([0.0, 1.0, 4.0]).interval == 2.0
    assert log([0.0, 0.5]).rate == 2.0


def test_a_log_of_single_rows_has_no_interval() -> None:
    with pytest.raises(Refused) as refused:
        _ = log([0.0, 9.0], range(0, 1), range(1, 2)).interval
    assert refused.value.found == "no two rows of a.csv without a gap between them"


def test_rows_that_have_every_reading() -> None:
    one = log([0.0, 1.0, 2.0, 3.0], speed=[1.0, nan, 3.0, 4.0], heat=[nan, 2.0, 3.0, 0.0])
    assert list(one.rows_with("speed")) == [0, 2, 3]
    assert list(one.rows_with("speed", "heat")) == [2, 3]
    assert list(one.rows_with()) == [0, 1, 2, 3]
    assert (one.has("speed"), one.has("torque")) == (True, False)
    assert (one.doubt("heat"), one.doubt("speed")) == (DOUBT, None)


def test_what_is_made_of_a_log_is_made_once() -> None:
    one, made = log([0.0, 1.0]), list[int]()

    def make() -> int:
        made.append(1)
        return 7

    assert [one.once("sum", make) for _ in range(3)] == [7, 7, 7]
    assert made == [1]
    assert one.once("other", lambda: 8) == 8


def test_the_logs_of_an_input() -> None:
    one = log([0.0, 1.0])
    assert logs_in((one, "a", one)) == (one, one)
    assert logs_in([one]) == ()
    assert logs_in(one) == ()
