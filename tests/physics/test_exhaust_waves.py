"""Waves and pulses of an exhaust: against kinematics, closed forms of acoustics, and known firing orders."""

from __future__ import annotations

from math import degrees, pi, radians

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.diagnostics import InputsConflict, OutOfRange
from buildlog.physics import acoustics, engine_air, exhaust_waves, firing

RPM = pi / 30


def test_return_of_a_wave_by_hand() -> None:
    # 6000 rpm is 36° a millisecond; 120° are 10/3 ms; sound at 600 m/s goes 2 m in it, there and back: 1 m
    assert exhaust_waves.effective_length(600.0, radians(120), 6000 * RPM, 1.0, 1.0) == pytest.approx(1.0)
    # the third return has gone there and back three times
    assert exhaust_waves.effective_length(600.0, radians(120), 6000 * RPM, 3.0, 1.0) == pytest.approx(1 / 3)
    assert exhaust_waves.primary_length(1.0, 0.085) == pytest.approx(0.915)


def test_the_trades_range() -> None:
    """Common practice, no source: 120° after opening, 6000–7500 rpm, primaries of 0.70–0.95 m."""
    for speed in (6500, 7000, 7500):
        length = exhaust_waves.effective_length(640.0, radians(120), speed * RPM, 1.0, 1.0) - 0.09
        assert 0.70 < length < 0.95


@for_all(st.floats(400, 750), st.floats(0.5, 8), st.floats(200, 1200), st.integers(1, 9))
def test_length_and_tuned_speed_undo_each_other(
    sound: float, angle: float, speed: float, reflection: int
) -> None:
    length = exhaust_waves.effective_length(sound, angle, speed, reflection, 1.0)
    time = exhaust_waves.travel_time(0.0, length, sound)
    assert exhaust_waves.tuned_speed(angle, time, reflection, 1.0) == pytest.approx(speed, rel=1e-12)
    assert exhaust_waves.length_of_even_sound(time, sound) == pytest.approx(length, rel=1e-12)
    # kinematics: the crank turns by the angle while sound goes 2 n L
    assert 2 * reflection * time * speed == pytest.approx(angle, rel=1e-12)
    shorter = exhaust_waves.effective_length(sound, angle, 2 * speed, reflection, 1.0)
    assert shorter == pytest.approx(length / 2, rel=1e-12)


def test_sections_add_up() -> None:
    time = exhaust_waves.travel_time(exhaust_waves.travel_time(0.0, 0.3, 600.0), 0.4, 500.0)
    assert time == pytest.approx(0.0005 + 0.0008)


def test_reflection_at_a_step() -> None:
    # Kinsler and Frey: (S1 − S2)/(S1 + S2) of the areas; −1 at an open end, 1 at a shut one
    assert exhaust_waves.pressure_reflection(0.04, 0.04) == 0
    assert exhaust_waves.pressure_reflection(0.04, 40.0) == pytest.approx(-1, abs=1e-5)
    assert exhaust_waves.pressure_reflection(40.0, 0.04) == pytest.approx(1, abs=1e-5)
    # areas 1 : 2
    assert exhaust_waves.pressure_reflection(0.03, 0.03 * 2**0.5) == pytest.approx(-1 / 3)


def test_quarter_wave_pipe() -> None:
    # Kinsler and Frey: c/(4 L), 580 m/s and 0.892 m
    assert acoustics.quarter_wave_frequency(580.0, 0.892, 1.0) == pytest.approx(162.556053812, rel=1e-9)


@for_all(st.floats(400, 700), st.floats(30, 400), st.floats(0.01, 0.08))
def test_a_side_branch_sounds_at_its_tone(sound: float, frequency: float, bore: float) -> None:
    end = acoustics.flanged_end_correction(bore)
    length = exhaust_waves.side_branch_length(sound, frequency, end)
    back = acoustics.quarter_wave_frequency(sound, length + end, 1.0)
    assert back == pytest.approx(frequency, rel=1e-12)


def test_orders() -> None:
    # A four fires twice a turn: 3000 rpm are 50 turns a second, 100 Hz (definition)
    assert exhaust_waves.order_of_frequency(100.0, 3000 * RPM) == pytest.approx(2)


def test_gas_speed_of_the_stroke_is_the_pistons() -> None:
    """Heywood (1988), eq. 2.9: 86 mm at 7000 rpm is 20.0667 m/s; times the areas, 86² to 40²."""
    piston = engine_air.mean_piston_speed(0.086, 7000 * RPM)
    assert piston == pytest.approx(20.0666666667, rel=1e-9)
    displacement = 4 * pi / 4 * 0.086**2 * 0.086
    found = exhaust_waves.stroke_gas_speed(displacement, 4.0, 7000 * RPM, 0.040)
    assert found == pytest.approx(piston * (86 / 40) ** 2, rel=1e-12)


# --- firing ---------------------------------------------------------------------------------


def even(cylinders: list[int]) -> firing.FiringOrder:
    step = firing.even_firing_interval(float(len(cylinders)))
    return firing.FiringOrder({one: step * place for place, one in enumerate(cylinders)})


@pytest.mark.parametrize(
    ("order", "size", "groups"),
    [
        # Usual practice of the trade (common practice, no source): 4–2–1 headers join 1 and 4, 2 and 3 …
        ([1, 3, 4, 2], 2, {(1, 4), (2, 3)}),
        ([1, 2, 4, 3], 2, {(1, 4), (2, 3)}),
        # … the front three and the back three of an in-line six …
        ([1, 5, 3, 6, 2, 4], 3, {(1, 2, 3), (4, 5, 6)}),
        ([1, 5, 3, 6, 2, 4], 2, {(1, 6), (2, 5), (3, 4)}),
        # … and of an eight the cylinders 360° apart, opposite in the order.
        ([1, 8, 4, 3, 6, 5, 7, 2], 2, {(1, 6), (5, 8), (4, 7), (2, 3)}),
        ([1, 8, 4, 3, 6, 5, 7, 2], 4, {(1, 4, 6, 7), (2, 3, 5, 8)}),
    ],
)
def test_groups_of_known_engines(order: list[int], size: int, groups: set[tuple[int, ...]]) -> None:
    found = even(order).most_even_groups(size)
    assert {tuple(sorted(group)) for group in found} == groups
    assert max(even(order).unevenness(group) for group in found) == pytest.approx(0, abs=1e-9)


def test_uneven_engine() -> None:
    """A V6 of 90° with common crankpins fires 90° and 150° apart in turn (geometry)."""
    angles = {1: 0.0, 6: 90.0, 5: 240.0, 4: 330.0, 3: 480.0, 2: 570.0}
    order = firing.FiringOrder({one: radians(angle) for one, angle in angles.items()})
    pairs = order.most_even_groups(2)
    worst = max(order.unevenness(pair) for pair in pairs)
    assert degrees(worst) == pytest.approx(30)  # 330° and 390°
    # by hand: the alternate cylinders 1-5-3 and 6-4-2 each come at 240° and are even
    assert {tuple(sorted(half)) for half in order.most_even_groups(3)} == {(1, 3, 5), (2, 4, 6)}


@for_all(st.permutations([1, 2, 3, 4, 5, 6]))
def test_intervals_of_a_group_make_a_cycle(cylinders: list[int]) -> None:
    order = even(cylinders)
    for group in order.most_even_groups(2):
        assert sum(order.intervals(group).values()) == pytest.approx(4 * pi)
    assert sum(order.intervals((1, 2, 5)).values()) == pytest.approx(4 * pi)


def test_firing_intervals() -> None:
    # 720° over four cylinders
    assert degrees(firing.even_firing_interval(4.0)) == pytest.approx(180)
    assert degrees(firing.next_firing_angle(radians(180), radians(180))) == pytest.approx(360)
    assert degrees(firing.interval_between(radians(540), radians(180))) == pytest.approx(360)
    assert degrees(firing.interval_between(0.0, 0.0)) == pytest.approx(720)


@pytest.mark.parametrize(
    ("cylinders", "intervals", "message"),
    [
        ([1, 3, 3, 2], None, "firing_order: found 1, 3, 3, 2, expected each of the cylinders 1 to 4 once"),
        ([1, 3, 5, 2], None, "firing_order"),
        ([1, 3, 4, 2], [pi] * 3, "firing_intervals: found 3 intervals for 4 cylinders"),
        ([1, 3, 4, 2], [pi] * 3 + [3.0], "firing_intervals: found 711.887° in all, expected 720° in all"),
    ],
)
def test_orders_that_are_none(cylinders: list[int], intervals: list[float] | None, message: str) -> None:
    with pytest.raises(InputsConflict, match=message):
        firing.FiringOrder.check(cylinders, intervals)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: exhaust_waves.effective_length(0.0, 2.0, 700.0, 1.0, 1.0), "speed_of_sound"),
        (lambda: exhaust_waves.effective_length(600.0, 13.0, 700.0, 1.0, 1.0), "return_angle"),
        (lambda: exhaust_waves.effective_length(600.0, 2.0, 700.0, 0.5, 1.0), "reflection"),
        (lambda: exhaust_waves.primary_length(0.3, 0.4), "port_length"),
        (lambda: exhaust_waves.travel_time(-1.0, 0.4, 600.0), "travel_time_before"),
        (lambda: exhaust_waves.length_of_even_sound(0.0, 600.0), "travel_time"),
        (lambda: exhaust_waves.tuned_speed(2.0, 0.0, 1.0, 1.0), "travel_time"),
        (lambda: exhaust_waves.pressure_reflection(0.0, 0.04), "bore"),
        (lambda: exhaust_waves.effective_length(600.0, 2.0, 700.0, 1.0, 0.5), "wave_time_ratio"),
        (lambda: exhaust_waves.ramp_of_lift(4.0, 0.005, 0.009), "timing_lift"),
        (lambda: exhaust_waves.return_angle_of_timing(1.0, 0.0, 0.0, 4.0), "wave_start"),
        (lambda: exhaust_waves.duration_of_timing(3.0, 0.5), "opens"),
        (lambda: exhaust_waves.impedance_ratio_of_branch(0.04, 0.0, 0.05, 900.0), "temperature"),
        (lambda: exhaust_waves.side_branch_length(500.0, 900.0, 0.2), "end_correction"),
        (lambda: exhaust_waves.order_of_frequency(100.0, 0.0), "engine_speed"),
        (lambda: exhaust_waves.stroke_gas_speed(0.002, 0.0, 700.0, 0.04), "cylinders"),
        (lambda: firing.even_firing_interval(20.0), "cylinders"),
        (lambda: firing.next_firing_angle(13.0, 1.0), "firing_angle"),
        (lambda: firing.interval_between(0.0, 13.0), "later_firing_angle"),
    ],
)
def test_ranges(call: object, name: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        call()  # type: ignore[operator]
    assert refused.value.name == name
