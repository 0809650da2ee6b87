"""The unit list: factors against published ones, look-up, spellings, and units in running text."""

from __future__ import annotations

import math
import time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildlog import units
from buildlog.units import UNITS, UnknownUnit, WrongDimension, find, longest_at, spelt, units_of

# --- factors, against the outside world -------------------------------------------------

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
        assert factor == pytest.approx(printed, rel=4e-16)
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
    }
    for symbol, definition in outside.items():
        theirs = float(full(definition).to_base_units().magnitude)
        assert find(symbol).factor == pytest.approx(theirs, rel=1e-9), symbol


def test_factors_against_the_constants_of_scipy() -> None:
    """Source: scipy 1.17, scipy.constants, whose table is written by hand from the definitions."""
    from scipy import constants  # type: ignore[import-untyped]

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


# --- the list is sound -----------------------------------------------------------------


def test_every_definition_has_the_base_dimensions_of_its_dimension() -> None:
    """A slip such as N·m/s under torque is caught by pint's dimensional analysis."""
    _, rows, _ = units._parse(units._own_text())
    registry = units._registry(rows)
    seen: dict[str, object] = {}
    for row in rows:
        assert seen.setdefault(row.dimension, registry.get_dimensionality(row.name)) == (
            registry.get_dimensionality(row.name)
        ), row.name
    assert seen["torque"] != seen["energy"]
    assert seen["rotational speed"] != seen["frequency"]
    assert seen["temperature"] != seen["temperature difference"]
    assert seen["money in EUR"] != seen["money in GBP"]
    # What has the same base dimensions and is told apart by its name alone.
    assert seen["stiffness"] == seen["energy per area"]


def test_every_dimension_has_one_coherent_si_unit_and_it_stands_first() -> None:
    for dimension in units.DIMENSIONS.values():
        unit = units.si_unit(dimension.name)
        assert (unit.factor, unit.offset, unit.symbol) == (1.0, 0.0, dimension.si), dimension.name
        assert units_of(dimension.name)[0] == unit, dimension.name
        assert dimension.about


def test_names_and_symbols_are_unique() -> None:
    assert len({unit.name for unit in UNITS}) == len(UNITS)
    assert len({(unit.dimension, unit.symbol) for unit in UNITS}) == len(UNITS)
    assert {unit.system for unit in UNITS} == {"metric", "us", "both"}
    assert all(math.isfinite(unit.factor) and unit.factor > 0 for unit in UNITS)


def test_a_spelling_means_one_unit_of_a_dimension() -> None:
    for form, meanings in units._table().by_form.items():
        assert len({unit.dimension for unit in meanings}) == len(meanings), form


def test_no_spelling_is_both_allowed_and_refused() -> None:
    assert not set(units._table().refused) & set(units._table().by_form)


def test_spellings_fit_the_limit() -> None:
    longest = max(len(spelling) for unit in UNITS for spelling in unit.spellings)
    assert longest <= units.LONGEST_SPELLING


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.name.replace(" ", "-"))
def test_each_unit_is_found_converts_and_has_its_like(unit: units.Unit) -> None:
    for spelling in unit.spellings:
        assert find(spelling, unit.dimension) is unit
    for value in (1.0, -40.0, 8200.0, 1e-3):
        back = unit.from_si(unit.to_si(value))
        assert back == pytest.approx(value, rel=1e-12, abs=1e-12 * abs(unit.offset or 1e-9))
    other = units.counterpart(unit)
    if unit.system == "both":
        assert other is None
    else:
        assert other is not None
        assert other.dimension == unit.dimension
        assert {unit.system, other.system} == {"metric", "us"}
        back_again = units.counterpart(other)
        assert back_again is not None
        assert back_again.system == unit.system


@given(st.sampled_from(UNITS), st.floats(-1e9, 1e9))
def test_round_trip(unit: units.Unit, value: float) -> None:
    back = unit.from_si(unit.to_si(value))
    # Through an offset, a value near the zero of its scale keeps only the digits of the sum.
    assert back == pytest.approx(value, rel=1e-12, abs=1e-300 + 1e-12 * abs(unit.offset / unit.factor))


# --- look-up ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("spelling", "symbol", "dimension"),
    [
        *(
            (each, "N·m", "torque")
            for each in ("Nm", "N·m", "N*m", "N m", "N-m", "N⋅m", "N•m", "N × m", "N.m")
        ),
        *((each, "N·m", "torque") for each in ("newton metres", "newton-metres", "newton\u00a0meters")),
        *((each, "lbf·ft", "torque") for each in ("lb-ft", "lb ft", "lb·ft", "lbft", "lbf·ft", "lbf-ft")),
        *(
            (each, "lbf·ft", "torque")
            for each in ("ft-lb", "ft·lb", "ft lb", "ft-lbf", "ft lbs", "pound-feet")
        ),
        *((each, "kgf·m", "torque") for each in ("kgm", "kgf-m", "kg-m", "kg·m", "kgf m", "kgf·m", "mkg")),
        *((each, "rpm", "rotational speed") for each in ("rpm", "RPM", "r.p.m.", "r/min", "rev/min")),
        *((each, "rpm", "rotational speed") for each in ("min⁻¹", "min^-1", "min-1", "min**-1", "1/min")),
        *((each, "km/h", "speed") for each in ("km/h", "kph", "kmh", "km/hr", "km / h", "km·h⁻¹")),
        *((each, "mph", "speed") for each in ("mph", "MPH", "miles per hour", "mi/h")),
        *(
            (each, "°C", "temperature")
            for each in ("°C", "degC", "deg C", "℃", "degrees C", "º C", "Celsius")
        ),
        *((each, "K", "temperature") for each in ("K", "\u212a", "kelvin")),
        *((each, "cm³", "volume") for each in ("cc", "ccm", "cm3", "cm^3", "cm³", "cm**3")),
        *((each, "in", "length") for each in ("in.", "in", "inch", "inches", "″", '"', "”")),
        *((each, "ft", "length") for each in ("ft", "′", "'", "’", "foot", "feet")),
        *((each, "psi", "pressure") for each in ("psi", "PSI", "lb/in²", "lbf/in^2", "lb/sq in")),
        *(
            (each, "inH2O", "pressure")
            for each in ("inH2O", "inH₂O", "in H2O", '"H2O', "in. of water"[:2] + "H2O")
        ),
        *((each, "l", "volume") for each in ("l", "L", "litre", "litres", "liter", "liters")),
        *((each, "s", "time") for each in ("sec", "secs", "seconds", "s")),
        *((each, "hp", "power") for each in ("hp", "HP", "h.p.")),
        *((each, "bhp", "power") for each in ("bhp", "BHP")),
        *((each, "PS", "power") for each in ("PS", "metric hp", "metric horsepower")),
        *((each, "%", "ratio") for each in ("per cent", "percent", "%", "per\u2009cent")),
        *((each, "kg", "mass") for each in ("kg", "kilograms", "kilos")),
        *((each, "lb", "mass") for each in ("lb", "lbs", "pounds")),
        *((each, "µm", "length") for each in ("\u00b5m", "\u03bcm", "um", "microns")),
        *((each, "Ω", "resistance") for each in ("\u03a9", "\u2126", "ohms")),
        *((each, "cu in", "volume") for each in ("cu in", "cu. in.", "in³", "in^3", "cubic inches", "cu-in")),
        *((each, "m/s²", "acceleration") for each in ("m/s²", "m/s^2", "m/s2", "m s⁻²", "m·s^-2")),
        *((each, "W/(m·K)", "thermal conductivity") for each in ("W/(m·K)", "W/(m K)", "W/mK", "W/m·K")),
        *((each, "dB(A)", "sound level") for each in ("dB(A)", "dBA", "dB A")),
        *((each, "EUR", "money in EUR") for each in ("€", "EUR", "euros")),
        *((each, "°", "angle") for each in ("°", "deg", "degrees")),
        ("", "", "ratio"),
    ],
)
def test_customary_spellings(spelling: str, symbol: str, dimension: str) -> None:
    unit = find(spelling)
    assert (unit.symbol, unit.dimension) == (symbol, dimension)
    assert find(f" {spelling} ", dimension) is unit


@pytest.mark.parametrize(
    ("spelling", "dimensions"),
    [
        ("°C", ("temperature", "temperature difference")),
        ("K", ("temperature", "temperature difference")),
        ("ft-lb", ("torque", "energy")),
        ("g", ("mass", "acceleration")),
        ("lb", ("mass",)),
        ("lb/in", ("mass per length", "stiffness")),
        ("", ("ratio", "count")),
        ("fathom", ()),
    ],
)
def test_one_spelling_may_have_several_meanings(spelling: str, dimensions: tuple[str, ...]) -> None:
    assert tuple(unit.dimension for unit in spelt(spelling)) == dimensions
    for dimension in dimensions:
        assert find(spelling, dimension).dimension == dimension


@pytest.mark.parametrize(
    ("spelling", "hint"),
    [
        ("KW", "“kW”"),
        ("Km/h", "“km/h”"),
        ("NM", "“Nm”"),
        ("Kg", "“kg”"),
        ("Rpm", "“rpm”"),
        ("mhp", "hp"),
        ("newtonmeters", "newton"),
        ("psig", "gauge or absolute"),
        ("psia", "gauge or absolute"),
        ("barg", "gauge or absolute"),
        ("bar(g)", "gauge or absolute"),
        ("C", "°C"),
        ("F", "°F"),
        ("M", "metres"),
        ("revs", "rpm"),
        ("gal", "US gal or imp gal"),
        ("mpg", "l/100 km"),
        ("nm", "N·m"),
        ("ton", "tonne"),
        ("dB(C)", "dB(A)"),
    ],
)
def test_unknown_units_are_refused_with_advice(spelling: str, hint: str) -> None:
    with pytest.raises(UnknownUnit) as caught:
        find(spelling, name="peak_torque")
    assert hint in caught.value.help
    assert caught.value.name == "peak_torque"
    assert f"“{spelling}”" in caught.value.found


@pytest.mark.parametrize(
    "spelling",
    [
        "9**9**9",
        "1,35 bar",
        "bar bar",
        "__import__('os')",
        "m" * 61,
        "(" * 5000,
        "*".join(["m"] * 20000),
        "{{7*7}}",
        "\x00",
        "\ud800",
        "5 mm",
        "m²²",
        "m/",
        "/m",
        "·",
        "µ",
    ],
)
def test_hostile_text_is_only_looked_up(spelling: str) -> None:
    """findings of trials with pint 0.25.3: as a pint expression `9**9**9` hangs, `1,35 bar` is 135 bar."""
    began = time.perf_counter()
    assert spelt(spelling) == ()
    with pytest.raises(UnknownUnit):
        find(spelling, "pressure")
    assert time.perf_counter() - began < 1.0


def test_the_traps_of_a_general_parser() -> None:
    """Each is something else, or nothing, to pint 0.25.3's default registry (tried in the project)."""
    assert find("Nm").dimension == "torque"  # there: nautical mile or nanometre by the case
    assert find("PS").to_si(1) == pytest.approx(735.49875)  # there: petasiemens
    assert find("cfm").dimension == "volume flow"  # there: centi-femtometre
    assert find("bhp").factor == find("hp").factor  # there: unknown
    assert find("rpm").dimension == "rotational speed"
    assert find("rpm").to_si(60) == pytest.approx(2 * math.pi)
    assert find("ft·lb").dimension == "torque"  # there: a foot times a pound of mass
    assert find("l/100km").to_si(2) == pytest.approx(2e-8)  # there: 0.02 l·km
    with pytest.raises(WrongDimension):
        find("Hz", "rotational speed")


def test_the_wrong_dimension_says_what_it_is_and_what_is_wanted() -> None:
    with pytest.raises(WrongDimension) as caught:
        find("ft-lb", "power", name="peak_power")
    fault = caught.value
    assert (fault.name, fault.code) == ("peak_power", "wrong-dimension")
    assert fault.found_dimensions == ("torque", "energy")
    assert fault.expected_dimension == "power"
    assert "torque or energy" in fault.found
    assert "kW" in fault.expected
    assert "hp" in fault.help
    with pytest.raises(WrongDimension) as caught:
        find("lb", "force")
    assert "“lbf”" in caught.value.help
    with pytest.raises(WrongDimension) as caught:
        find("", "speed")
    assert caught.value.found == "no unit"


def test_an_unknown_dimension_is_our_own_mistake() -> None:
    with pytest.raises(KeyError, match="torque"):
        find("Nm", "torqe")


# --- in running text ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("km/h.", "km/h"),
        ("ft lb of torque", "ft lb"),
        ("lb in total", "lb"),
        ("lb-in of torque", "lb-in"),
        ("cu in of air", "cu in"),
        ("per cent sooner", "per cent"),
        ("kgf m)", "kgf m"),
        ("N m, hot", "N m"),
        ("N\u202fm", "N\u202fm"),
        ("mm-thick", "mm"),
        ("mm² of", "mm²"),
        ("mm^2 of", "mm^2"),
        ("mm2", "mm2"),
        ("mm (0.5 in)", "mm"),
        ("m/s² and", "m/s²"),
        ("°C|", "°C"),
        ("°", "°"),
        ('" hose', '"'),
        ('"x5"', '"'),
        ("'6\"", "'"),
        ("%.", "%"),
        ("rpm** and", "rpm"),
        ("psi/2 bar", "psi"),
        ("€5", "€"),
        ("m-10 m", "m"),
        ("mph per 1000 rpm", "mph per 1000 rpm"),
        ("W/(m K) for steel", "W/(m K)"),
        ("ft    lb", "ft"),
        ("kmx", None),
        ("km/day", None),
        ("m⁵", None),
        ("m^5", None),
        ("m_1", None),
        ("mm5", None),
        ("psig", None),
        ("dB(C)", None),
        ("Nmx", None),
        ("gal", None),
        ("revs", None),
        ("’s", None),
        ("°x", None),
        ("", None),
        (" km", None),
        ("KW", None),
    ],
)
def test_the_longest_unit_at_a_place(text: str, written: str | None) -> None:
    before = "at 5"
    found = longest_at(before + text, len(before))
    assert found == (None if written is None else (written, len(before) + len(written)))


@settings(max_examples=60)
@given(
    st.sampled_from([(unit, spelling) for unit in UNITS for spelling in unit.spellings if spelling]),
    st.sampled_from(["", " ", ".", ",", ")", "; ", "\n", "|", " — so", " and more", "]"]),
)
def test_every_spelling_is_found_in_text(pair: tuple[units.Unit, str], after: str) -> None:
    unit, spelling = pair
    found = longest_at(f"5 {spelling}{after}", 2)
    assert found is not None
    written, end = found
    assert end >= 2 + len(spelling) or spelling.endswith(".")
    assert find(written) in spelt(spelling)
    assert unit in spelt(written)


@given(st.text(max_size=60), st.integers(0, 60))
def test_never_raises_and_slices_back(text: str, start: int) -> None:
    found = longest_at(text, start)
    if found is not None:
        written, end = found
        assert text[start:end] == written
        assert spelt(written)


@pytest.mark.parametrize("filler", [" ", "m", "N·", "*", "^", "-", "/", "5 km/h ", "(", "°"])
def test_scanning_is_linear(filler: str) -> None:
    def seconds(length: int) -> float:
        text = filler * (length // len(filler))
        began = time.process_time()
        for start in range(len(text)):
            longest_at(text, start)
        return time.process_time() - began

    seconds(2_000)
    short, long = min(seconds(10_000) for _ in range(3)), min(seconds(40_000) for _ in range(3))
    assert long < 8 * short + 0.05  # four times the text; a quadratic scan takes sixteen times as long


# --- what it costs ---------------------------------------------------------------------


def test_importing_the_list_does_not_import_pint() -> None:
    import subprocess
    import sys

    code = "import sys, buildlog.units; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
