"""Water drops in rising air: how fast they fall, and which are carried along.

Drops under about 1 mm are spheres. Larger ones flatten and fall more slowly than a sphere would, and
above 6 mm they break up: Beard's formulae follow all of that up to 7 mm.
"""

from __future__ import annotations

from math import exp, log
from typing import Annotated

from buildlog.diagnostics import NoSolution
from buildlog.physics.limits import positive, within

SMALLEST, SPHERICAL, LARGEST = 5e-5, 1.07e-3, 7e-3
_LIQUID = "the formula holds for liquid water, 0 to 40 °C"
_SIZES = "below 0.05 mm it is fog, above 7 mm drops break up"


def water_density(
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "ρ_w", "kg/m³"]:
    """Density of clean water at one atmosphere.

    Formula: ρ_w = 999.97495 (1 - (t - 3.983035)² (t + 301.797) / (522528.9 (t + 69.34881))), t = T - 273.15.
    Symbols: T temperature (K), t the same in degrees Celsius (°C), ρ_w density (kg/m³).
    Range: 273.15 to 313.15 K. Errors: `OutOfRange`.
    Source: Tanaka et al., Recommended table for the density of water, Metrologia 38 (2001) 301–309 (from
    memory).
    """
    within("temperature", temperature, low=273.15, high=313.15, why=_LIQUID)
    t = temperature - 273.15
    return 999.97495 * (1 - (t - 3.983035) ** 2 * (t + 301.797) / (522_528.9 * (t + 69.34881)))


def surface_tension(
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "σ", "N/m"]:
    """Surface tension of clean water against air. Soap and oil lower it by more than half.

    Formula: σ = 0.2358 x^1.256 (1 - 0.625 x), x = 1 - T / 647.096. Symbols: T temperature (K), x how far it
    is below the critical one, relative (1), σ surface tension (N/m).
    Range: 273.15 to 313.15 K. Errors: `OutOfRange`.
    Source: IAPWS R1-76 (2014), eq. 1.
    """
    within("temperature", temperature, low=273.15, high=313.15, why=_LIQUID)
    x = 1 - temperature / 647.096
    return 0.2358 * x**1.256 * (1 - 0.625 * x)  # type: ignore[no-any-return]


def reynolds_number_of_round_drop(
    diameter: Annotated[float, "d", "m"],
    air_density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
    water_density: Annotated[float, "ρ_w", "kg/m³"],
) -> Annotated[float, "Re", "1"]:
    """Reynolds number of a round drop at its terminal velocity.

    Formula: N = 4 ρ (ρ_w - ρ) g d³ / (3 μ²), X = ln N, Re = exp(-3.18657 + 0.992696 X - 0.00153193 X² -
    0.000987059 X³ - 0.000578878 X⁴ + 0.0000855176 X⁵ - 0.00000327815 X⁶). Symbols: d diameter (m), ρ density
    of air (kg/m³), ρ_w density of water (kg/m³), μ dynamic viscosity of air (Pa·s), N Davies number (1), X
    its natural logarithm (1), low terms up to X³ (1), Re Reynolds number (1); g = 9.80665 m/s².
    Range: d 0.05 to 1.07 mm. The slip correction, 0.3 % at 0.05 mm, is left out. Errors: `OutOfRange`.
    Source: K. V. Beard, Terminal velocity and shape of cloud and precipitation drops aloft, J. Atmos. Sci.
    33 (1976) 851–864, regime 2.
    """
    within("diameter", diameter, low=SMALLEST, high=SPHERICAL, why="a larger drop is no sphere")
    positive("air_density", air_density)
    positive("dynamic_viscosity", dynamic_viscosity)
    within("water_density", water_density, 2 * air_density)
    N = 4 * air_density * (water_density - air_density) * 9.80665 * diameter**3 / (3 * dynamic_viscosity**2)
    X = log(N)
    low = -3.18657 + 0.992696 * X - 0.153193e-2 * X**2 - 0.987059e-3 * X**3
    return exp(low - 0.578878e-3 * X**4 + 0.855176e-4 * X**5 - 0.327815e-5 * X**6)


def reynolds_number_of_flattened_drop(
    diameter: Annotated[float, "d", "m"],
    air_density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
    water_density: Annotated[float, "ρ_w", "kg/m³"],
    surface_tension: Annotated[float, "σ", "N/m"],
) -> Annotated[float, "Re", "1"]:
    """Reynolds number of a large, flattened drop at its terminal velocity.

    Formula: B = 4 (ρ_w - ρ) g d² / (3 σ), P = (σ³ ρ² / (μ⁴ (ρ_w - ρ) g))^(1/6), X = ln(B P), Re = P
    exp(-5.00015 + 5.23778 X - 2.04914 X² + 0.475294 X³ - 0.0542819 X⁴ + 0.00238449 X⁵). Symbols: d diameter
    of the sphere of equal volume (m), ρ density of air (kg/m³), ρ_w density of water (kg/m³), μ dynamic
    viscosity of air (Pa·s), σ surface tension (N/m), force weight less buoyancy of a unit of volume (N/m³), B
    Bond number (1), P sixth root of the physical property number (1), X natural logarithm of B P (1), low
    terms up to X³ (1), Re Reynolds number (1); g = 9.80665 m/s².
    Range: d 1.07 to 7 mm. Errors: `OutOfRange`.
    Source: K. V. Beard, J. Atmos. Sci. 33 (1976) 851–864, regime 3.
    """
    within("diameter", diameter, low=SPHERICAL, high=LARGEST, why=_SIZES)
    positive("air_density", air_density)
    positive("dynamic_viscosity", dynamic_viscosity)
    within("water_density", water_density, 2 * air_density)
    positive("surface_tension", surface_tension)
    B = 4 * (water_density - air_density) * 9.80665 * diameter**2 / (3 * surface_tension)
    force = (water_density - air_density) * 9.80665
    P = (surface_tension**3 * air_density**2 / (dynamic_viscosity**4 * force)) ** (1 / 6)
    X = log(B * P)
    low = -5.00015 + 5.23778 * X - 2.04914 * X**2 + 0.475294 * X**3
    return P * exp(low - 0.542819e-1 * X**4 + 0.238449e-2 * X**5)  # type: ignore[no-any-return]


def velocity_of_drop(
    reynolds_number: Annotated[float, "Re", "1"],
    diameter: Annotated[float, "d", "m"],
    air_density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
) -> Annotated[float, "v_t", "m/s"]:
    """Velocity of a drop of which the Reynolds number is known.

    Formula: v_t = μ Re / (ρ d). Symbols: μ dynamic viscosity of air (Pa·s), Re Reynolds number (1), ρ density
    of air (kg/m³), d diameter of the sphere of equal volume (m), v_t velocity (m/s).
    Range: all positive. Errors: `OutOfRange`. Source: definition of the Reynolds number.
    """
    positive("reynolds_number", reynolds_number)
    positive("diameter", diameter)
    positive("air_density", air_density)
    positive("dynamic_viscosity", dynamic_viscosity)
    return dynamic_viscosity * reynolds_number / (air_density * diameter)


def terminal_velocity(
    diameter: Annotated[float, "d", "m"],
    air_density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
    water_density: Annotated[float, "ρ_w", "kg/m³"],
    surface_tension: Annotated[float, "σ", "N/m"],
) -> Annotated[float, "v_t", "m/s"]:
    """Velocity at which a water drop falls through still air, or hangs in air that rises as fast.

    Formula: v_t = μ Re / (ρ d), Re by Beard's formula for round drops below 1.07 mm and for flattened ones
    above. Symbols: d diameter of the sphere of equal volume (m), ρ and ρ_w density of air and water (kg/m³),
    μ dynamic viscosity of air (Pa·s), σ surface tension (N/m), v_t terminal velocity (m/s).
    Range: d 0.05 to 7 mm. Against the measurements of Gunn and Kinzer (1949): within 2.2 % from 0.3 to
    5.8 mm, 4 % below them at 0.2 mm and 8 % at 0.1 mm, where Beard follows later ones (from
    memory). Errors: `OutOfRange`.
    Source: K. V. Beard, J. Atmos. Sci. 33 (1976) 851–864.
    """
    within("diameter", diameter, low=SMALLEST, high=LARGEST, why=_SIZES)
    if diameter < SPHERICAL:
        Re = reynolds_number_of_round_drop(diameter, air_density, dynamic_viscosity, water_density)
    else:
        Re = reynolds_number_of_flattened_drop(
            diameter,
            air_density,
            dynamic_viscosity=dynamic_viscosity,
            water_density=water_density,
            surface_tension=surface_tension,
        )
    return velocity_of_drop(Re, diameter, air_density, dynamic_viscosity)


def excess_of_fall(
    diameter: Annotated[float, "d", "m"],
    updraught: Annotated[float, "u", "m/s"],
    air_density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
    water_density: Annotated[float, "ρ_w", "kg/m³"],
    surface_tension: Annotated[float, "σ", "N/m"],
) -> Annotated[float, "Δv", "m/s"]:
    """How much faster a drop falls than the air rises: 0 for the drop that hangs.

    Formula: Δv = v_t(d) - u. Symbols: d diameter (m), u updraught (m/s), ρ and ρ_w density of air and water
    (kg/m³), μ dynamic viscosity of air (Pa·s), σ surface tension (N/m), Δv excess (m/s).
    Range: as `terminal_velocity`. Errors: `OutOfRange`. Source: definition.
    """
    fall = terminal_velocity(
        diameter,
        air_density,
        dynamic_viscosity=dynamic_viscosity,
        water_density=water_density,
        surface_tension=surface_tension,
    )
    return fall - updraught


def largest_drop_carried(
    updraught: Annotated[float, "u", "m/s"],
    air_density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
    water_density: Annotated[float, "ρ_w", "kg/m³"],
    surface_tension: Annotated[float, "σ", "N/m"],
) -> Annotated[float, "d", "m"]:
    """Diameter of the drop that just hangs in the updraught; all smaller ones are carried up.

    Formula: v_t(d) - u = 0, solved for d by bisection to 1e-12 m. Symbols: d diameter (m), u updraught (m/s),
    ρ density of air (kg/m³), ρ_w density of water (kg/m³), μ dynamic viscosity of air (Pa·s), σ surface
    tension (N/m).
    In words: found by iteration.
    Range: u between the terminal velocities of drops of 0.05 and 5.5 mm; larger ones fall hardly faster.
    Errors: `NoSolution` outside.
    Source: Beard (1976), see `terminal_velocity`.
    """
    # Bisection, since the fall has a kink where the formulae of round and flattened drops meet.
    low = SMALLEST
    high = 5.5e-3
    while high - low > 1e-12:
        middle = (low + high) / 2
        if (
            excess_of_fall(
                middle,
                updraught,
                air_density=air_density,
                dynamic_viscosity=dynamic_viscosity,
                water_density=water_density,
                surface_tension=surface_tension,
            )
            > 0
        ):
            high = middle
        else:
            low = middle
    if low == SMALLEST:
        raise NoSolution(
            "updraught",
            f"{updraught:.3g} m/s",
            "more than the fall of a drop of 0.05 mm",
            help="such slow air carries fog only",
        )
    if high == 5.5e-3:
        raise NoSolution(
            "updraught",
            f"{updraught:.3g} m/s",
            "less than the fall of a drop of 5.5 mm",
            help="in air this fast no drop falls back, whatever its size",
        )
    return (low + high) / 2
