"""The gas of an exhaust made ready from the inputs of a block, for the kinds `header` and `exhaust`.

The formulae are those of ``buildlog.physics``; here stand only their order and the inputs and sources that
both kinds declare.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from typing import Any

from buildlog.diagnostics import InputsConflict, OutOfRange
from buildlog.kinds.declaration import Choice, Doubt, Input, Number, Output, Source, Working
from buildlog.kinds.models import filling
from buildlog.physics import air, compressible, engine_air, exhaust_flow, gas
from buildlog.said import said

GAS_TEMPERATURE = Number(
    dimension="temperature",
    unit="°C",
    low=230,
    high=1300,
    why="gas in exhausts; the viscosity fit begins at 500 K",
)
ENGINE_SPEED = Number(
    dimension="rotational speed", unit="rpm", low=500, high=20_000, why="piston engines of cars"
)
DISPLACEMENT = Number(dimension="volume", unit="l", low=0.05, high=9, why="car engines")
VOLUMETRIC_EFFICIENCY = Number(
    dimension="ratio", unit="%", low=30, high=140, why="engines without a supercharger"
)
AMBIENT_PRESSURE = Number(
    dimension="pressure", unit="hPa", low=450, high=1085, why="lowest to highest on any road"
)
AMBIENT_TEMPERATURE = Number(dimension="temperature", unit="°C", low=-40, high=50, why="weather")

FUELS: Mapping[str, tuple[str, float, float]] = {
    "petrol": ("petrol, CH1.87", 1.87, 0.0),
    "E10": ("petrol with a tenth of ethanol by volume, CH1.94O0.033", 1.94, 0.033),
    "E85": ("85 % ethanol by volume in petrol, CH2.76O0.39", 2.76, 0.39),
    "ethanol": ("ethanol, C2H5OH", 3.0, 0.5),
    "methanol": ("methanol, CH3OH", 4.0, 1.0),
}
"""Fuels by name: in words, hydrogen and oxygen atoms per carbon atom. Blends by volume, with 0.789 kg/l of
ethanol and 0.745 kg/l of petrol."""

GUESSED_GAS_TEMPERATURE = Doubt(
    name="guessed_gas_temperature",
    about="a mean along a pipe that nobody measured, or with one thermocouple, which radiates",
    source="practice",
    absolute=100.0,
    unit="K",
    range="gas at the port to the tail, full load",
)
BURNT_GAS = Doubt(
    name="burnt_gas",
    about="fits of the heat capacity, composition held, argon and damp air, against kinetic theory",
    source="cantera",
    formula="ideal-gas",
    relative=0.002,
    range="the fuels and mixtures that the block takes, 500 to 1600 K",
)
PUMPED_FUEL = Doubt(
    name="pumped_fuel",
    about="the air that a fuel of that name needs: petrol's hydrogen and a blend's share vary",
    source="practice",
    formula="heywood",
    relative=0.02,
)

MIXTURE = (
    Input(
        name="fuel",
        form=Choice({name: words for name, (words, _, _) in FUELS.items()}),
        about="what it burns",
        default="petrol",
        default_source="what most cars burn",
    ),
    Input(
        name="air_fuel_ratio",
        form=Number(
            dimension="ratio", unit="", low=4, high=24, why="mixtures on which an engine with plugs runs"
        ),
        about="air by mass over fuel by mass at that load (for power 12.5–13.2 of petrol, common practice, "
        "no source); each fuel has its own bounds, 0.6 to 1.6 of the fuel that the air could burn, and a "
        "caution beyond 0.75 to 1.1 of the air that it needs",
    ),
    Input(
        name="hydrogen_carbon_ratio",
        form=Number(dimension="ratio", unit="", low=1, high=4, why="benzene to methane"),
        about="hydrogen atoms per carbon atom of a hydrocarbon of your own, instead of petrol's 1.87",
        required=False,
    ),
)

SOURCES = (
    Source(
        id="heywood",
        title="Internal Combustion Engine Fundamentals",
        publisher="McGraw-Hill",
        edition="1988",
        where="2.10, 3.2, eq. 3.6, 4.2 and Table 4.3 (balances as read in MixtureRich, ME410, Rose-Hulman)",
        standing="from memory",
    ),
    Source(
        id="kyle",
        title="Chemical and Process Thermodynamics, B. G. Kyle",
        publisher="Prentice-Hall",
        edition="1984",
        where="as in Çengel and Boles, Thermodynamics, Table A-2c: all coefficients as public course code "
        "quotes them (read)",
    ),
    Source(
        id="afdc",
        title="Fuel property comparison for ethanol, gasoline and No. 2 diesel",
        publisher="U.S. Department of Energy, Alternative Fuels Data Center",
        where="stoichiometric air/fuel by weight: ethanol 9, gasoline 14.7 (as read in a copy of the table)",
    ),
    Source(
        id="cantera",
        title="GRI-Mech 3.0 in Cantera, burnt petrol equilibrated at 1740 K, then frozen",
        edition="Cantera 3.2.0",
        where="sound at four mixtures and two temperatures, computed",
    ),
    Source(
        id="practice",
        title="Gas temperatures that are guessed, and what pipes lose",
        standing="common practice, no source",
    ),
    filling.SOURCE,
    Source(id="ideal-gas", title="Ideal gas law and speed of sound in it", standing="derived"),
    Source(id="mass", title="Conservation of mass", standing="derived"),
)

RICH, LEAN = 0.75, 1.1
"""Excess-air ratios between which engines with plugs are run under load (common practice, no source)."""

EXCESS_AIR_RATIO = Output(
    name="excess_air_ratio",
    title="excess-air ratio",
    dimension="ratio",
    unit="",
    about="air over what the fuel needs to burn completely: lambda",
    decimals=2,
)

_PARTS = ("carbon_dioxide", "water", "carbon_monoxide", "hydrogen", "oxygen", "moles")


class BurntGas:
    """Burnt gas of one mixture: its `gas_constant` and `equivalence_ratio`, its sound and density."""

    def __init__(self, given: Mapping[str, Any], working: Working) -> None:
        self._working = working
        fuel = given["fuel"]
        _, hydrogen, oxygen = FUELS[fuel]
        if "hydrogen_carbon_ratio" in given and fuel != "petrol":
            raise InputsConflict(
                "hydrogen_carbon_ratio",
                f"fuel {fuel} as well",
                "one of the two",
                help="it is for a hydrocarbon of your own",
            )
        self._values = {
            "air_fuel_ratio": float(given["air_fuel_ratio"]),
            "hydrogen_carbon_ratio": float(given.get("hydrogen_carbon_ratio", hydrogen)),
            "oxygen_carbon_ratio": oxygen,
        }
        try:
            self.gas_constant = working.chain(self._values, "heywood", **gas.COMPOSITION)
        except OutOfRange as refused:
            if refused.name != "air_fuel_ratio":
                raise
            raise OutOfRange(
                "air_fuel_ratio",
                f"{refused.found} with fuel {fuel}",
                refused.expected,
                help="leaner or richer than an engine runs on it",
            ) from None
        self.equivalence_ratio = self._values["equivalence_ratio"]
        self.excess_air_ratio = working.step(
            "excess_air_ratio",
            gas.excess_air_ratio,
            source=PUMPED_FUEL,
            air_fuel_ratio=self._values["air_fuel_ratio"],
            stoichiometric_air_fuel_ratio=self._values["stoichiometric_air_fuel_ratio"],
        )
        self._limit(fuel, working)

    def _limit(self, fuel: str, working: Working) -> None:
        """Whether the mixture is one for load; petrol's ratio with another fuel in the tank is not."""
        needs = self._values["stoichiometric_air_fuel_ratio"]
        asks = said(
            "{fuel} burns completely with {complete} of air, is run under load with {least} to {most}, and "
            "the block takes {richest} to {leanest}.",
            fuel=fuel,
            complete=f"{needs:.1f}",
            least=f"{RICH * needs:.1f}",
            most=f"{LEAN * needs:.1f}",
            richest=f"{needs / gas.RICHEST:.1f}",
            leanest=f"{needs / gas.LEANEST:.1f}",
        )
        working.limit(
            "excess_air_ratio",
            most=LEAN,
            says=said("The mixture is lean for an engine under load: {asks}", asks=asks),
        )
        working.limit(
            "excess_air_ratio",
            least=RICH,
            says=said("The mixture is too rich for an engine under load: {asks}", asks=asks),
        )

    def beside(self, working: Working) -> BurntGas:
        """The same gas with another working."""
        other = copy(self)
        other._working = working
        return other

    def sound(self, temperature: float, key: str = "", name: str = "speed_of_sound") -> float:
        """Speed of sound at a temperature; the steps take the key of what they are about."""
        end = f".{key}" if key else ""
        capacity = self._working.step(
            f"molar_heat_capacity{end}",
            gas.molar_heat_capacity,
            source="kyle",
            temperature=temperature,
            **{part: self._values[part] for part in _PARTS},
        )
        self.heat_capacity_ratio = self._working.step(
            f"heat_capacity_ratio{end}",
            gas.heat_capacity_ratio,
            source="ideal-gas",
            molar_heat_capacity=capacity,
        )
        return self._working.step(
            f"{name}{end}",
            compressible.speed_of_sound,
            source=BURNT_GAS,
            temperature=temperature,
            heat_capacity_ratio=self.heat_capacity_ratio,
            gas_constant=self.gas_constant,
        )

    def density(self, pressure: float, temperature: float, name: str) -> float:
        """Density at a pressure and a temperature, as the step `name`."""
        return self._working.step(
            name,
            gas.density,
            source="ideal-gas",
            pressure=pressure,
            gas_constant=self.gas_constant,
            temperature=temperature,
        )

    def exhaust(self, air_mass_flow: float) -> float:
        """Mass flow of the exhaust that comes of a mass flow of air."""
        return self._working.step(
            "exhaust_mass_flow",
            exhaust_flow.exhaust_mass_flow,
            source="mass",
            air_mass_flow=air_mass_flow,
            air_fuel_ratio=self._values["air_fuel_ratio"],
        )


def air_drawn(given: Mapping[str, Any], working: Working) -> float:
    """Mass flow of dry air that the engine draws at its speed."""
    density = working.step(
        "ambient_density",
        air.dry_air_density,
        source="ideal-gas",
        pressure=given["ambient_pressure"],
        temperature=given["ambient_temperature"],
    )
    drawn = working.step(
        "air_drawn",
        engine_air.air_demand,
        source="heywood",
        displacement=given["engine_displacement"],
        engine_speed=given["engine_speed"],
        volumetric_efficiency=given["volumetric_efficiency"],
    )
    return working.step(
        "air_mass_flow", engine_air.mass_flow, source="mass", density=density, volume_flow=drawn
    )
