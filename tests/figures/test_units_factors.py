"""The factors of the unit list against published ones and against general libraries."""

from __future__ import annotations

import math
from typing import Any

import pytest

from buildlog.figures import factor_table, factors
from buildlog.figures.units import find

# NIST Special Publication 811 (2008 ed.), Appendix B.8 (alphabetical) and B.9 (by kind):
# the factors as printed, at most seven significant digits; `from memory`, held independently by
# the two tests below. An asterisk in the third column stands for the bold type of an exact factor.
SP_811 = [
    ("g", "acceleration", 9.80665, "*"),
    ("atm", "pressure", 1.01325e5, "*"),
    ("bar", "pressure", 1.0e5, "*"),
    ("BTU", "energy", 1.055056e3, ""),
    ("BTU/h", "power", 2.930711e-1, ""),
    ("BTU/(lb·°F)", "specific heat", 4.1868e3, "*"),
    ("BTU/lb", "specific energy", 2.326e3, "*"),
    ("BTU/(h·ft·°F)", "thermal conductivity", 1.730735, ""),
    ("BTU/(h·ft²·°F)", "heat transfer coefficient", 5.678263, ""),
    ("cP", "dynamic viscosity", 1.0e-3, "*"),
    ("cSt", "kinematic viscosity", 1.0e-6, "*"),
    ("ft", "length", 3.048e-1, "*"),
    ("ft/min", "speed", 5.08e-3, "*"),
    ("ft/s", "speed", 3.048e-1, "*"),
    ("ft/s²", "acceleration", 3.048e-1, "*"),
    ("ft·lbf", "energy", 1.355818, ""),
    ("cu ft", "volume", 2.831685e-2, ""),
    ("cfm", "volume flow", 4.719474e-4, ""),
    ("ft³/s", "volume flow", 2.831685e-2, ""),
    ("ft²", "area", 9.290304e-2, "*"),
    ("imp gal", "volume", 4.54609e-3, "*"),
    ("US gal", "volume", 3.785412e-3, ""),
    ("US gal/min", "volume flow", 6.309020e-5, ""),
    ("gr", "mass", 6.479891e-5, "*"),
    ("hp", "power", 7.456999e2, ""),
    ("PS", "power", 7.354988e2, ""),
    ("in", "length", 2.54e-2, "*"),
    ("cu in", "volume", 1.638706e-5, ""),
    ("in²", "area", 6.4516e-4, "*"),
    ("in⁴", "second moment of area", 4.162314e-7, ""),
    ("inHg", "pressure", 3.386389e3, ""),
    ("inH2O", "pressure", 2.490889e2, ""),
    ("kgf", "force", 9.80665, "*"),
    ("kgf·m", "torque", 9.80665, "*"),
    ("kgf/cm²", "pressure", 9.80665e4, "*"),
    ("kgf/mm²", "pressure", 9.80665e6, "*"),
    ("km/h", "speed", 2.777778e-1, ""),
    ("kn", "speed", 5.144444e-1, ""),
    ("kW·h", "energy", 3.6e6, "*"),
    ("mile", "length", 1.609344e3, "*"),
    ("mph", "speed", 4.4704e-1, "*"),
    ("thou", "length", 2.54e-5, "*"),
    ("mmH2O", "pressure", 9.80665, "*"),
    ("mmHg", "pressure", 1.333224e2, ""),
    ("Torr", "pressure", 1.333224e2, ""),
    ("oz", "mass", 2.834952e-2, ""),
    ("ozf·in", "torque", 7.061552e-3, ""),
    ("US fl oz", "volume", 2.957353e-5, ""),
    ("imp fl oz", "volume", 2.841306e-5, ""),
    ("US pt", "volume", 4.731765e-4, ""),
    ("US qt", "volume", 9.463529e-4, ""),
    ("lb", "mass", 4.535924e-1, ""),
    ("lb/ft", "mass per length", 1.488164, ""),
    ("lb/in", "mass per length", 1.785797e1, ""),
    ("lb/ft²", "mass per area", 4.882428, ""),
    ("oz/yd²", "mass per area", 3.390575e-2, ""),
    ("lb/ft³", "density", 1.601846e1, ""),
    ("lb/in³", "density", 2.767990e4, ""),
    ("lb·ft²", "moment of inertia", 4.214011e-2, ""),
    ("lb·in²", "moment of inertia", 2.926397e-4, ""),
    ("lb/h", "mass flow", 1.259979e-4, ""),
    ("lb/min", "mass flow", 7.559873e-3, ""),
    ("lb/s", "mass flow", 4.535924e-1, ""),
    ("lb/(ft·s)", "dynamic viscosity", 1.488164, ""),
    ("lbf", "force", 4.448222, ""),
    ("lbf·ft", "torque", 1.355818, ""),
    ("lbf·in", "torque", 1.129848e-1, ""),
    ("lbf/in", "stiffness", 1.751268e2, ""),
    ("psf", "pressure", 4.788026e1, ""),
    ("psi", "pressure", 6.894757e3, ""),
    ("ksi", "pressure", 6.894757e6, ""),
    ("rpm", "rotational speed", 1.047198e-1, ""),
    ("rev", "angle", 6.283185, ""),
    ("°", "angle", 1.745329e-2, ""),
    ("slug", "mass", 1.459390e1, ""),
    ("yd", "length", 9.144e-1, "*"),
    ("A·h", "electric charge", 3.6e3, "*"),
]


@pytest.mark.parametrize(("symbol", "dimension", "printed", "exact"), SP_811)
def test_factor_is_the_one_that_nist_prints(symbol: str, dimension: str, printed: float, exact: str) -> None:
    factor = find(symbol, dimension).factor
    if exact:
        assert factor == printed  # to the last bit: pint reckons our definitions in exact fractions
    else:
        last_digit = 10.0 ** (math.floor(math.log10(printed)) - 6)
        assert abs(factor - printed) <= 0.5 * last_digit * (1 + 1e-6)


# The project's collected checks N01 to N11: NIST SP 811 (2008 ed.), Appendix B; the long forms computed
# with pint 0.25.3's own full registry, N02 and N05 products of defined constants.
@pytest.mark.parametrize(
    ("symbol", "expected"),
    [
        ("hp", 745.699871582),  # N01: 550 ft·lbf/s
        ("PS", 735.49875),  # N02: 75 kgf·m/s
        ("psi", 6894.75729317),  # N04
        ("inH2O", 249.08891),  # N05: conventional, 1000 kg/m³
        ("cfm", 0.0004719474432),  # N07
        ("mph", 0.44704),  # N08
        ("lbf/mph", 9.95038836628),  # N10
        ("lbf/mph²", 22.2583848566),  # N11
    ],
)
def test_collected_checks(symbol: str, expected: float) -> None:
    assert find(symbol).factor == pytest.approx(expected, rel=1e-11)


def test_factors_against_the_full_default_registry_of_pint() -> None:
    """Source: pint 0.25.3, its own default definitions, which share no line with ours."""
    import pint

    full: Any = pint.UnitRegistry()
    outside = {
        "hp": "horsepower",
        "PS": "metric_horsepower",
        "psi": "psi",
        "atm": "atm",
        "mmHg": "mmHg",
        "inHg": "inHg",
        "lbf": "lbf",
        "kgf": "kgf",
        "lbf·ft": "foot * lbf",
        "kgf·cm": "kgf * cm",
        "lbf·in": "inch * lbf",
        "BTU": "Btu_it",
        "cfm": "ft**3 / min",
        "l/min": "liter / minute",
        "lb/min": "lb / min",
        "g/s": "g / s",
        "mile": "mile",
        "kn": "knot",
        "yd": "yard",
        "thou": "thou",
        "slug": "slug",
        "oz": "ounce",
        "gr": "grain",
        "t": "metric_ton",
        "US gal": "gallon",
        "US qt": "quart",
        "US fl oz": "fluid_ounce",
        "imp gal": "imperial_gallon",
        "imp qt": "imperial_quart",
        "imp pt": "imperial_pint",
        "rpm": "rpm",
        "°": "degree",
        "lb·ft²": "lb * ft**2",
        "slug·ft²": "slug * ft**2",
        "lbf/in": "lbf / inch",
        "lb/ft³": "lb / ft**3",
        "g/(kW·h)": "g / (kW * hour)",
        "lb/(hp·h)": "lb / (horsepower * hour)",
        "l/100 km": "liter / (100 * km)",
        "mph/1000 rpm": "mile / hour / (1000 * rpm)",
        "rpm/mph": "rpm / (mile / hour)",
        "N/(km/h)": "N / (km / hour)",
        "N/(km/h)²": "N / (km / hour)**2",
        "W·h": "watt * hour",
        "hp/t": "horsepower / metric_ton",
        "hp/l": "horsepower / liter",
        "lbf·ft/cu in": "lbf * ft / inch**3",
        "ft·lbf/in²": "ft * lbf / inch**2",
        "hp/in²": "horsepower / inch**2",
        "lb/hp": "lb / horsepower",
        "J/mm²": "J / mm**2",
        "W/cm²": "W / cm**2",
        "inH2O/ft": "25.4 * 9.80665 * Pa / ft",
        "mPa·s": "cP",
        "mm²/s": "cSt",
        "oz/yd²": "ounce / yard**2",
        "µin": "microinch",
        "N·mm": "newton * millimeter",
        "daN·m": "decanewton * meter",
        "kgf/cm": "kgf / cm",
        "kN/mm": "kilonewton / millimeter",
        "mJ": "millijoule",
        "MΩ": "megaohm",
        "kN·m/°": "kilonewton * meter / degree",
        "N·s/mm": "newton * second / millimeter",
        "lbf·s/in": "lbf * second / inch",
        "g/(PS·h)": "g / (metric_horsepower * hour)",
        "g/(hp·h)": "g / (horsepower * hour)",
        "lbf·in·s²": "lbf * inch * second**2",
    }
    for symbol, definition in outside.items():
        theirs = float(full(definition).to_base_units().magnitude)
        assert find(symbol).factor == pytest.approx(theirs, rel=1e-9), symbol


def test_factors_against_the_constants_of_scipy() -> None:
    """Source: scipy 1.17, scipy.constants, whose table is written by hand from the definitions."""
    from scipy import constants

    for symbol, theirs in {
        "hp": constants.hp,
        "psi": constants.psi,
        "mph": constants.mph,
        "km/h": constants.kmh,
        "kn": constants.knot,
        "lb": constants.lb,
        "oz": constants.oz,
        "gr": constants.grain,
        "lbf": constants.lbf,
        "kgf": constants.kgf,
        "in": constants.inch,
        "ft": constants.foot,
        "yd": constants.yard,
        "mile": constants.mile,
        "thou": constants.mil,
        "atm": constants.atm,
        "bar": constants.bar,
        "Torr": constants.torr,
        "US gal": constants.gallon_US,
        "imp gal": constants.gallon_imp,
        "US fl oz": constants.fluid_ounce_US,
        "imp fl oz": constants.fluid_ounce_imp,
        "BTU": constants.Btu_IT,
        "°": constants.degree,
        "slug": constants.slug,
    }.items():
        assert find(symbol).factor == pytest.approx(theirs, rel=1e-14), symbol


@pytest.mark.parametrize(
    ("symbol", "value", "kelvin"),
    [
        # Fixed points: NIST SP 811 (2008 ed.), B.8 and B.9: t/°C = T/K - 273.15, t/°F = 1.8 T/K - 459.67.
        ("°C", 0.0, 273.15),
        ("°F", 32.0, 273.15),
        ("°F", 212.0, 373.15),
        ("°C", -40.0, 233.15),
        ("°F", -40.0, 233.15),
        ("°F", -459.67, 0.0),
        ("°R", 491.67, 273.15),
        ("K", 300.0, 300.0),
    ],
)
def test_temperatures(symbol: str, value: float, kelvin: float) -> None:
    unit = find(symbol)
    assert unit.dimension == "temperature"
    assert unit.to_si(value) == pytest.approx(kelvin, abs=1e-12 * 500)
    assert unit.from_si(kelvin) == pytest.approx(value, abs=1e-12 * 500)


def test_a_difference_of_temperatures_has_no_offset() -> None:
    assert find("°F", "temperature difference").to_si(18.0) == pytest.approx(10.0)
    assert find("°F", "temperature").to_si_difference(18.0) == pytest.approx(10.0)
    assert find("°C", "temperature difference").offset == 0
    assert find("°C").from_si_difference(10.0) == 10.0


def test_the_table_is_what_pint_works_out_of_the_list() -> None:
    """Source: pint, in exact fractions; to the last bit."""
    dimensions, rows, refused = factors.factor_table()
    assert dimensions == factor_table.DIMENSIONS
    assert rows == factor_table.UNITS
    assert refused == dict(factor_table.REFUSED)
