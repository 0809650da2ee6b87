"""Chambers and blind pipes: against worked frequencies, an exact equation and closed forms."""

from __future__ import annotations

from math import pi, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from buildlog.diagnostics import OutOfRange
from buildlog.physics import acoustics

NECK = pi * 0.05**2 / 4


# Rayleigh, Theory of Sound; Kinsler and Frey, ch. 10: f = (c/2π)√(A/(V L)) at 343.2 m/s for 3 litres behind a
# neck of 50 mm, 100 mm long: 139.740318404 Hz without end corrections (to 1e-6).
def test_helmholtz_without_ends() -> None:
    found = acoustics.helmholtz_frequency(343.2, acoustics.neck_area(0.05, 1), 0.003, 0.1)
    assert found == pytest.approx(139.740318404, rel=1e-9)


# The same with a flanged end (Rayleigh, 8/3π) and a free one (Levine and Schwinger, 1948): 119.583387738 Hz.
def test_helmholtz_with_ends() -> None:
    length = acoustics.length_with_ends(
        0.1, acoustics.flanged_end_correction(0.05), acoustics.free_end_correction(0.05)
    )
    found = acoustics.helmholtz_frequency(343.2, NECK, 0.003, length)
    assert found == pytest.approx(119.583387738, rel=1e-5)


# Kinsler and Frey, ch. 10, with Levine and Schwinger's end: 0.40 m of 50 mm at 343.2 m/s: 206.581473879 Hz.
def test_quarter_wave() -> None:
    length = acoustics.length_with_ends(0.40, acoustics.free_end_correction(0.05), 0)
    found = acoustics.quarter_wave_frequency(343.2, length, 1)
    assert found == pytest.approx(206.581473879, rel=1e-9)
    assert acoustics.quarter_wave_frequency(343.2, length, 2) == pytest.approx(3 * found, rel=1e-12)
    assert acoustics.quarter_wave_frequency(343.2, length, 3) == pytest.approx(5 * found, rel=1e-12)


# Rayleigh's bounds for the flanged end: between π/4 = 0.785 (lower) and 8/3π = 0.849 (upper) of the radius;
# the exact value is 0.8217 (Nomura, 1960; from memory). Trade books round the free end to 0.6.
def test_end_corrections() -> None:
    flanged, free = acoustics.flanged_end_correction(2.0), acoustics.free_end_correction(2.0)
    assert flanged == pytest.approx(0.8488, abs=5e-5)
    assert pi / 4 < 0.8217 < flanged
    assert free == pytest.approx(0.6133, abs=5e-5)
    assert free == pytest.approx(0.6, abs=0.02)
    assert acoustics.no_end_correction() == 0


# An exact equation for a neck that is a pipe on a small volume, k L tan(k L) = A L/V, solved by scipy 1.17.1:
# the lumped frequency lies above it by what `error_of_lumping` says, to a tenth of that.
@pytest.mark.parametrize(("volume", "length"), [(0.003, 0.1), (0.01, 0.1), (0.003, 0.2), (0.001, 0.15)])
def test_error_of_lumping(volume: float, length: float) -> None:
    lumped = acoustics.helmholtz_frequency(343.2, NECK, volume, length)
    root = brentq(lambda x: x * tan(x) - NECK * length / volume, 1e-6, pi / 2 - 1e-9)
    exact = root / length * 343.2 / (2 * pi)
    error = acoustics.error_of_lumping(lumped, length, 343.2)
    assert lumped / exact - 1 == pytest.approx(error, rel=0.1)


# By hand: 3 litres are a cube of 0.144225 m; at 120 Hz the wave is 2.86 m long.
def test_chamber_in_wavelengths() -> None:
    assert acoustics.chamber_in_wavelengths(120, 0.003, 343.2) == pytest.approx(0.144225 / 2.86, rel=1e-5)


# By definition: a four-cylinder four-stroke fires twice a turn, so 120 Hz is 60 turns a second, 3600 rpm.
def test_orders() -> None:
    assert acoustics.order_of_events(4) == 2
    assert acoustics.order_of_events(1) == 0.5
    assert acoustics.revs_of_order(120, 2) * 30 / pi == pytest.approx(3600, rel=1e-12)
    assert acoustics.revs_of_order(120, 0.5) * 30 / pi == pytest.approx(14_400, rel=1e-12)


def test_two_necks_are_one_of_twice_the_area() -> None:
    assert acoustics.neck_area(0.05, 2) == pytest.approx(2 * NECK, rel=1e-12)


@given(
    st.floats(300, 400), st.floats(1e-4, 0.02), st.floats(1e-4, 0.05), st.floats(0.01, 1), st.floats(1.01, 4)
)
def test_larger_chambers_and_longer_necks_sound_lower(
    sound: float, area: float, volume: float, length: float, factor: float
) -> None:
    note = acoustics.helmholtz_frequency(sound, area, volume, length)
    for changed, power in (
        (acoustics.helmholtz_frequency(sound * factor, area, volume, length), 1),
        (acoustics.helmholtz_frequency(sound, area * factor, volume, length), 0.5),
        (acoustics.helmholtz_frequency(sound, area, volume * factor, length), -0.5),
        (acoustics.helmholtz_frequency(sound, area, volume, length * factor), -0.5),
    ):
        assert changed == pytest.approx(note * factor**power, rel=1e-9)


@pytest.mark.parametrize(
    ("call", "name", "expected"),
    [
        (lambda: acoustics.flanged_end_correction(0), "diameter", "more than 0"),
        (lambda: acoustics.free_end_correction(-1), "diameter", "more than 0"),
        (lambda: acoustics.length_with_ends(0, 0, 0), "length", "more than 0"),
        (lambda: acoustics.length_with_ends(0.1, -0.01, 0), "first_end", "0 or more"),
        (lambda: acoustics.length_with_ends(0.1, 0, -0.01), "second_end", "0 or more"),
        (lambda: acoustics.neck_area(0.05, 0), "necks", "1 to inf"),
        (lambda: acoustics.helmholtz_frequency(0, 1, 1, 1), "speed_of_sound", "more than 0"),
        (lambda: acoustics.helmholtz_frequency(1, 0, 1, 1), "neck_area", "more than 0"),
        (lambda: acoustics.helmholtz_frequency(1, 1, 0, 1), "volume", "more than 0"),
        (lambda: acoustics.helmholtz_frequency(1, 1, 1, 0), "acoustic_length", "more than 0"),
        (lambda: acoustics.quarter_wave_frequency(340, 1, 0), "mode", "1 to 20"),
        (lambda: acoustics.quarter_wave_frequency(340, 0, 1), "acoustic_length", "more than 0"),
        (lambda: acoustics.order_of_events(0), "events", "1 to 64"),
        (lambda: acoustics.revs_of_order(100, 0), "order", "more than 0"),
        (lambda: acoustics.revs_of_order(0, 2), "frequency", "more than 0"),
        (lambda: acoustics.error_of_lumping(0, 1, 1), "frequency", "more than 0"),
        (lambda: acoustics.chamber_in_wavelengths(1, 0, 1), "volume", "more than 0"),
    ],
)
def test_refusals(call: object, name: str, expected: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()  # type: ignore[operator]
    assert (caught.value.name, caught.value.expected) == (name, expected)
