"""The kind `log_gearing`: what `tests/kinds/models/test_held_gears.py` holds to known drives, as a block."""

from __future__ import annotations

from array import array
from typing import Any

import numpy as np
import pytest

from buildlog.book.limits import remarks_of_limits
from buildlog.calculators import gearing, log_gearing
from buildlog.diagnostics import InputsConflict, NoSolution
from buildlog.kinds.declaration import BarSpec, ChartSpec, Doubt, Outputs, Ratio, Working
from buildlog.kinds.doubt import Limit
from buildlog.kinds.logs import Log, LogAccount
from buildlog.kinds.results import Value
from tests.calculators.seen import seen
from tests.kinds.models.test_held_gears import FINAL, KMH, RATIOS, ROUND, RPM, driven

NAN = float("nan")


def log_of(times: Any, engine: Any, speed: Any, _: Any = None, **more: Any) -> Log:
    return Log(
        file="drive.csv",
        times=array("d", times),
        values={"engine_speed": array("d", engine), "road_speed": array("d", speed)},
        spans=(range(len(times)),),
        account=LogAccount(rows=len(times), kept=len(times)),
        quantum={"road_speed": KMH},
        **more,
    )


def given(*logs: Log, **changes: Any) -> dict[str, Any]:
    base: dict[str, Any] = {
        "log": logs,
        "gears": list(RATIOS),
        "final_drive": FINAL,
        "rolling_circumference": ROUND,
        "window": 0.05,
        "held": 1.0,
        "slowest": 5 * KMH,
        "lowest_revs": 1500 * RPM,
    }
    return {name: value for name, value in (base | changes).items() if value is not None}


def ran(*logs: Log, **changes: Any) -> tuple[Outputs, Working]:
    working = Working()
    return log_gearing.compute(given(*logs, **changes), working), working


def numbers(outputs: Outputs, name: str) -> dict[str, float]:
    value = outputs[name]
    assert isinstance(value, dict)
    return value


def standard(working: Working, name: str) -> float:
    (doubt,) = (one for origin, one in working.doubted.items() if origin.endswith(f":{name}"))
    return doubt.standard(0.0)


# --- against the outside ------------------------------------------------------------------------


def test_the_ratios_of_the_drive_come_back() -> None:
    outputs, working = ran(log_of(*driven(1)))
    for place, ratio in enumerate(RATIOS, start=1):
        key = str(place)
        slope = numbers(outputs, "speed_per_1000")[key]
        relative = 2 * standard(working, f"slope.{key}") / slope
        assert numbers(outputs, "overall_ratio")[key] == pytest.approx(ratio * FINAL, rel=relative)
        assert abs(numbers(outputs, "difference")[key]) < relative
        assert abs(numbers(outputs, "offset")[key]) < relative * slope * 6000 * RPM
    assert outputs["final_drive"] == pytest.approx(FINAL, rel=2e-3)
    assert outputs["without_line"] == "none"


def test_it_is_the_slope_that_gearing_foretells() -> None:
    """`gearing` has speed_per_1000 of the same car by its teeth: the two stand beside each other."""
    foretold = gearing.compute(
        {
            "gears": list(RATIOS),
            "final_drive": FINAL,
            "rolling_circumference": ROUND,
            "rev_limit": 7000 * RPM,
        },
        Working(),
    )
    found = numbers(ran(log_of(*driven(2)))[0], "speed_per_1000")
    assert found == pytest.approx(numbers(foretold, "speed_per_1000"), rel=5e-3)


def test_a_tooth_in_41_shows() -> None:
    """41/10 declared, 42/10 in the car: 2.4 %."""
    outputs, _ = ran(log_of(*driven(3)), final_drive=FINAL * 41 / 42)
    for difference in numbers(outputs, "difference").values():
        assert difference == pytest.approx(1 / 41, abs=0.004)
    for difference in numbers(outputs, "among_gears").values():
        assert abs(difference) < 0.004
    assert outputs["final_drive"] == pytest.approx(FINAL, rel=2e-3)


def test_one_gear_that_is_not_what_is_declared_shows_among_the_others() -> None:
    wrong = [RATIOS[0], RATIOS[1], RATIOS[2] * 1.03, RATIOS[3]]
    outputs, _ = ran(log_of(*driven(4)), gears=wrong)
    among = numbers(outputs, "among_gears")
    assert min(among, key=lambda key: among[key]) == "3"
    assert among["3"] < -0.015


def test_the_common_final_drive_is_the_weighted_mean() -> None:
    """numpy.average with weights 1/u²."""
    outputs, working = ran(log_of(*driven(5)))
    keys = [str(place) for place in range(1, 5)]
    each = [numbers(outputs, "overall_ratio")[key] / RATIOS[int(key) - 1] for key in keys]
    relative = [standard(working, f"slope.{key}") / numbers(outputs, "speed_per_1000")[key] for key in keys]
    assert outputs["final_drive"] == pytest.approx(
        np.average(each, weights=[1 / one**2 for one in relative]), rel=1e-9
    )


def test_a_second_reduction_is_taken_out_of_the_final_drive() -> None:
    outputs, _ = ran(log_of(*driven(6)), final_drive=FINAL / 1.25, second_reduction=1.25)
    assert outputs["final_drive"] == pytest.approx(FINAL / 1.25, rel=2e-3)


def test_shares_are_those_of_the_drive() -> None:
    times, engine, speed, gear = driven(7)
    outputs, _ = ran(log_of(times, engine, speed))
    moving = speed >= 5 * KMH
    for place in range(4):
        true = (gear[moving] == place).mean()
        assert numbers(outputs, "share")[str(place + 1)] == pytest.approx(true, abs=0.01)
    total = sum(numbers(outputs, "share").values()) + float(str(outputs["share_in_none"]))
    assert total == pytest.approx(1, abs=1e-12)


def test_an_engine_at_0_on_the_move_is_in_no_gear_and_counted() -> None:
    times, engine, speed, _ = driven(8)
    engine = engine.copy()
    engine[::50] = 0.0
    zeros = int(((engine == 0) & (speed >= 5 * KMH)).sum())
    outputs, working = ran(log_of(times, engine, speed))
    assert outputs["share_stopped"] == pytest.approx(zeros / (speed >= 5 * KMH).sum(), abs=1e-12)
    assert f"In {zeros} rows the car moves while the engine speed is 0" in working.remarks[0]
    assert "no gear" in working.remarks[0]


def test_an_instruments_own_doubt_moves_all_gears_together() -> None:
    doubt = Doubt(name="receiver", about="", source="", relative=0.02, own="receiver")
    log = log_of(*driven(9), doubts={"road_speed": doubt})
    plain, moved = Working(), Working(shifts={"receiver": 1.0})
    before = log_gearing.compute(given(log), plain)
    after = log_gearing.compute(given(log), moved)
    for key, slope in numbers(before, "speed_per_1000").items():
        assert numbers(after, "speed_per_1000")[key] == pytest.approx(slope * 1.01, rel=1e-9)
    assert numbers(after, "among_gears") == pytest.approx(numbers(before, "among_gears"), abs=1e-9)
    assert after["final_drive"] == pytest.approx(float(str(before["final_drive"])) / 1.01, rel=1e-9)
    # An amount is a share of the mean speed, and of an engine speed it goes the other way.
    amount = Doubt(name="receiver", about="", source="", absolute=2.0, own="receiver")
    log = log_of(*driven(9), doubts={"engine_speed": amount, "road_speed": amount})
    before, after = (log_gearing.compute(given(log), Working(shifts=one)) for one in ({}, {"receiver": 1.0}))
    assert numbers(after, "offset")["4"] == pytest.approx(numbers(before, "offset")["4"] + 1.0, abs=1e-9)


def test_the_sum_of_slope_and_level_is_the_uncertainty_of_the_offset() -> None:
    """A line's offset is its level at the mean less its slope times the mean: JCGM 100:2008, H.3.3."""
    log = log_of(*driven(10))
    place = "slope.2"
    plain = Working()
    before = log_gearing.compute(given(log), plain)
    (origin,) = (one for one in plain.doubted if one.endswith(f":{place}"))
    after = log_gearing.compute(given(log), Working(shifts={origin: 1.0}))
    line = log_gearing._found(given(log), FINAL)[1].gears[1]
    moved = numbers(after, "offset")["2"] - numbers(before, "offset")["2"]
    assert moved == pytest.approx(-line.slope_standard * line.mean_engine, rel=1e-9)
    assert np.hypot(moved, standard(plain, "level.2")) == pytest.approx(line.offset_standard, rel=1e-9)


def test_several_logs_are_one_drive() -> None:
    whole = ran(log_of(*driven(11)), log_of(*driven(12)))[0]
    one, other = (ran(log_of(*driven(seed)))[0] for seed in (11, 12))
    for key, slope in numbers(whole, "speed_per_1000").items():
        apart = sorted(numbers(part, "speed_per_1000")[key] for part in (one, other))
        assert apart[0] * 0.998 < slope < apart[1] * 1.002
        assert numbers(whole, "readings")[key] > numbers(one, "readings")[key]


def test_the_log_is_sorted_once_whatever_uncertainties_move() -> None:
    """Where a step of the first slopes is crossed it is sorted again, to the same end."""
    log = log_of(*driven(13))
    first = log_gearing._found(given(log), FINAL)
    assert log_gearing._found(given(log), FINAL) is first
    moved = log_gearing._found(given(log, rolling_circumference=ROUND * 1.004), FINAL)
    assert moved[1].gears == first[1].gears


# --- what is told --------------------------------------------------------------------------------------


def told(limits: list[Limit], value: float, uncertainty: float) -> list[str]:
    """The remarks on a difference, in every gear, of this size and this expanded uncertainty."""
    single = Value(
        si=value, dimension="ratio", unit="%", decimals=2, contributions={"readings": uncertainty / 2}
    )
    values = {name: {str(gear): single for gear in range(1, 5)} for name in ("difference", "among_gears")}
    return list(remarks_of_limits(limits, values))


def test_that_log_and_sheet_do_not_agree_is_told_only_where_it_is_sure() -> None:
    limits = ran(log_of(*driven(14)))[1].limits
    assert told(limits, 0.01, 0.02) == []
    assert told(limits, -0.01, 0.02) == []
    declared, among = told(limits, 0.03, 0.02)
    assert declared.startswith("The log does not agree with what is declared: gear 1")
    assert among.startswith("The gears do not agree among themselves")
    # By r = n C / v, a late v of a car that speeds up, and a tyre that slips, make r too large as well.
    assert "a speed that comes late" in declared
    assert "slipped" in among


def test_how_well_the_log_knows_the_final_drive_is_told_in_teeth() -> None:
    (says,) = (one.says for one in ran(log_of(*driven(14)), final_drive=Ratio(41, 10))[1].sureness)
    assert "on the crown wheel would be 0.1, one on the pinion 0.37" in says
    assert ran(log_of(*driven(14)))[1].sureness == []


def test_a_gear_with_few_readings_has_no_line_and_is_named() -> None:
    times, engine, speed, gear = driven(15)
    kept = (gear != 3) | (np.arange(len(gear)) < 20)
    outputs, _ = ran(log_of(times[kept], engine[kept], speed[kept]))
    assert outputs["without_line"] == "gear 4"
    assert set(numbers(outputs, "speed_per_1000")) == {"1", "2", "3"}
    assert set(numbers(outputs, "share")) == {"1", "2", "3", "4"}


def test_one_gear_alone_is_not_compared_with_itself() -> None:
    times, engine, speed, gear = driven(15)
    outputs, _ = ran(log_of(times[gear == 2], engine[gear == 2], speed[gear == 2]))
    assert len(numbers(outputs, "difference")) == 1
    assert numbers(outputs, "among_gears") == {}


# --- refusals --------------------------------------------------------------------------------------------


def test_gears_that_do_not_fall() -> None:
    with pytest.raises(InputsConflict, match="not below gear 1"):
        ran(log_of(*driven(1)), gears=[2.0, 2.5])


def test_gears_that_the_window_does_not_tell_apart() -> None:
    with pytest.raises(InputsConflict, match=r"gears 1 and 2 8\.34 % apart") as refused:
        ran(log_of(*driven(1)), gears=[2.0, 1.84])
    assert refused.value.name == "window"
    assert "4.17 %" in refused.value.expected


def test_a_log_in_which_nothing_moves() -> None:
    times = np.arange(0, 60, 0.2)
    with pytest.raises(NoSolution, match="none of them on the move"):
        ran(log_of(times, np.full(300, 900 * RPM), np.zeros(300)))


def test_a_log_in_no_declared_gear() -> None:
    with pytest.raises(NoSolution, match="no gear with readings enough"):
        ran(log_of(*driven(1)), gears=[7.5], final_drive=7.9)


def test_rows_without_a_reading_are_left_out() -> None:
    times, engine, speed, _ = driven(16)
    whole = ran(log_of(times, engine, speed))[0]
    holed = speed.copy()
    holed[5::11] = NAN
    found = ran(log_of(times, engine, holed))[0]
    assert numbers(found, "speed_per_1000") == pytest.approx(numbers(whole, "speed_per_1000"), rel=2e-3)


# --- charts -----------------------------------------------------------------------------------------------


def test_the_charts_have_readings_lines_and_shares() -> None:
    case = seen(log_gearing.compute, given(log_of(*driven(17))))
    plan, bars = log_gearing.chart({"": case})
    assert isinstance(plan, ChartSpec)
    assert isinstance(bars, BarSpec)
    assert [one.label for one in plan.series if not one.points_only] == [
        f"line of gear {gear}" for gear in range(1, 5)
    ]
    assert sum(len(one.x) for one in plan.series if one.points_only) <= 710
    assert [bar.label for bar in bars.bars] == ["gear 1", "gear 2", "gear 3", "gear 4", "no gear"]
    assert sum(bar.value for bar in bars.bars) == pytest.approx(1, abs=1e-12)
    assert len(log_gearing.chart({"a": case, "b": case})) == 3
