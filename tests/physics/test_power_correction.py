"""Corrections to reference air, torque on the road, and noise: against published sheets and by hand."""

from __future__ import annotations

from math import exp, log, pi, sqrt

import pytest
from scipy import stats

from buildlog.diagnostics import OutOfRange
from buildlog.physics import air, measured_curve, power_correction


def test_reference_air_corrects_nothing() -> None:
    """By definition: 99 kPa of dry air at 25 °C, 101.3 kPa at 20 °C."""
    assert power_correction.sae_j1349(99_000, 298.15) == pytest.approx(1, abs=1e-12)
    assert power_correction.iso_1585(99_000, 298.15) == pytest.approx(1, abs=1e-12)
    assert power_correction.din_70020(101_300, 293.15) == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize("dry", [92_000, 96_500, 99_000, 102_000])
@pytest.mark.parametrize("celsius", [15, 21, 30, 35])
def test_sae_j1349_is_an_engine_of_85_per_cent_whose_friction_the_air_leaves_alone(
    dry: float, celsius: float
) -> None:
    """Glenn Sanders' R package pwrcorr (github.com/glennSanders/pwrcorr, R/correction.R, read through the
    search tool) makes J1349 (2004) of a mechanical efficiency of 0.85: brake power = (α_i − 1 + η) / η,
    α_i = 990 hPa / p √(T / 298.15 K). The standard rounds 1/0.85 = 1.1765 to 1.18: 0.35 % of α_i − 1."""
    temperature = celsius + 273.15
    indicated = 99_000 / dry * sqrt(temperature / 298.15)
    theirs = (indicated - (1 - 0.85)) / 0.85
    assert power_correction.sae_j1349(dry, temperature) == pytest.approx(
        theirs, abs=0.004 * abs(indicated - 1) + 1e-9
    )


def test_sae_j1349_by_the_formula_as_it_is_printed() -> None:
    """CF = 1.180 [(990/Pd) ((Tc+273)/298)^0.5] − 0.18, hPa and °C (SAE J1349 JUN90, as quoted in a tuners'
    forum, passionford.com post 6282141, read through the search tool). 273.15 for 273 makes 1e-5."""
    for pressure, celsius in ((950.0, 33.0), (990.0, 25.0), (1010.0, 16.0)):
        printed = 1.180 * ((990 / pressure) * ((celsius + 273) / 298) ** 0.5) - 0.18
        assert power_correction.sae_j1349(100 * pressure, celsius + 273.15) == pytest.approx(
            printed, abs=2e-5
        )


def test_iso_1585_by_logarithms() -> None:
    """A public script (pastebin.com/H6YEfQre, read through the search tool) has ln α = 1.2 ln(99/p_d) +
    0.6 ln((273 + t)/298); its own inputs 100 kPa, 20 %, 21 °C, with its vapour pressure taken from the steam
    tables, 2.488 kPa saturated at 21 °C (IAPWS-95 by CoolProp elsewhere in these tests)."""
    dry = 100 - 0.2 * 2.488
    script = exp(1.2 * log(99 / dry) + 0.6 * log((273 + 21) / 298))
    vapour = air.vapour_pressure(
        relative_humidity=0.2, saturation_vapour_pressure=air.saturation_vapour_pressure(294.15)
    )
    ours = power_correction.iso_1585(
        power_correction.dry_pressure(ambient_pressure=100_000, vapour_pressure=vapour), 294.15
    )
    assert ours == pytest.approx(script, abs=2e-5)


def test_din_70020_as_testers_write_it() -> None:
    """“1013 geteilt durch den gemessenen Atmosphärendruck (mbar) multipliziert mit der Wurzel aus
    273+Temperatur geteilt durch 293” (corsa-d.de, thread 2830, read through the search tool)."""
    for pressure, celsius in ((960.0, 12.0), (1000.0, 28.0)):
        said = 1013 / pressure * sqrt((273 + celsius) / 293)
        assert power_correction.din_70020(100 * pressure, celsius + 273.15) == pytest.approx(said, abs=3e-5)


def test_an_engine_has_more_by_din_than_by_iso() -> None:
    """In dry air of 25 °C and 99 kPa ISO 1585 corrects nothing, and DIN 70020 by 101.3 / 99 = 1.0232 times
    √(298.15 / 293.15) = 1.0085, which is 1.0319: by hand."""
    dry = 99_000.0
    more = power_correction.din_70020(dry, 298.15) / power_correction.iso_1585(dry, 298.15)
    assert more == pytest.approx(1.0319, abs=5e-5)


@pytest.mark.parametrize(
    ("formula", "pressure", "temperature", "name"),
    [
        (power_correction.sae_j1349, 89_900, 298.15, "dry_pressure"),
        (power_correction.sae_j1349, 105_100, 298.15, "dry_pressure"),
        (power_correction.sae_j1349, 99_000, 288.0, "ambient_temperature"),
        (power_correction.sae_j1349, 99_000, 308.3, "ambient_temperature"),
        (power_correction.iso_1585, 79_900, 298.15, "dry_pressure"),
        (power_correction.iso_1585, 99_000, 288.0, "ambient_temperature"),
        (power_correction.din_70020, 79_900, 298.15, "ambient_pressure"),
        (power_correction.din_70020, 99_000, 313.3, "ambient_temperature"),
    ],
)
def test_each_correction_ends_where_its_range_does(
    formula: object, pressure: float, temperature: float, name: str
) -> None:
    with pytest.raises(OutOfRange) as refused:
        formula(pressure, temperature)  # type: ignore[operator]
    assert refused.value.name == name


def test_a_step_of_1_km_h_at_2_hz_is_18_kw() -> None:
    """By hand: 1 km/h in half a second is 0.5556 m/s²; times 1200 kg and 27.78 m/s, 18.5 kW. As a standard
    uncertainty (q/√12 of each of two readings, JCGM 100:2008, 4.3.7): √2 · 0.0802 m/s / 0.5 s = 0.2268 m/s²,
    7.56 kW, and twice that 15.1 kW."""
    step, interval, speed = 1 / 3.6, 0.5, 100 / 3.6
    assert 1200 * step / interval * speed == pytest.approx(18_519, abs=1)
    slope = power_correction.slope_uncertainty(step / sqrt(12), interval, 2)
    assert slope == pytest.approx(0.2268, abs=5e-5)
    assert measured_curve.noise_of_power(1200, 1.0, slope, speed) == pytest.approx(15_120, abs=10)


@pytest.mark.parametrize("rows", [3, 7, 21])
def test_the_uncertainty_of_a_slope(rows: int) -> None:
    """scipy.stats.linregress has the slope's standard error from residuals; with the residuals' own standard
    deviation put in, the formula gives the same."""
    t = [0.1 * row for row in range(rows)]
    v = [3 * one + (0.02 if row % 2 else -0.03) * (1 + row % 3) for row, one in enumerate(t)]
    line = stats.linregress(t, v)
    residual = sqrt(
        sum((y - line.intercept - line.slope * x) ** 2 for x, y in zip(t, v, strict=True)) / (rows - 2)
    )
    assert power_correction.slope_uncertainty(residual, 0.1, rows) == pytest.approx(line.stderr, rel=1e-9)


def test_torque_on_the_road_is_a_balance_of_power() -> None:
    """By hand: 1000 kg with 6 % turning parts at 3 m/s² is 3180 N, with 300 N of resistance and 98 N of hill
    3578 N; at 25 m/s 89.45 kW; at 5000 rpm (523.6 rad/s) 170.8 N·m. With 22 N of wind 3600 N, 90 kW."""
    torque = power_correction.road_torque(1000, 1.06, 3.0, 300, 98, 0, 25, 5000 * pi / 30)
    assert torque * 5000 * pi / 30 == pytest.approx(89_450)
    assert torque == pytest.approx(170.84, abs=0.01)
    windy = power_correction.road_torque(1000, 1.06, 3.0, 300, 98, 22, 25, 5000 * pi / 30)
    assert windy * 5000 * pi / 30 == pytest.approx(90_000)


def test_a_stated_loss() -> None:
    """By hand: 150 N·m at the wheels, 12 % lost: 150/0.88 = 170.45 at the clutch; with α = 1.02 173.86."""
    assert power_correction.torque_before_the_driveline(150, 1.02, 0.12) == pytest.approx(173.864, abs=1e-3)
    with pytest.raises(OutOfRange):
        power_correction.torque_before_the_driveline(150, 1.02, 0.6)
