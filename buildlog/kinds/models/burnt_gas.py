"""The gas of an exhaust made ready from the inputs of a block, for the kinds `header` and `exhaust`.

The formulae are those of ``buildlog.physics``; here stand only their order and the inputs and sources that
both kinds declare.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.kinds.declaration import Input, Number, Source, Working
from buildlog.physics import air, compressible, engine_air, exhaust_flow, gas

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

MIXTURE = (
    Input(
        name="air_fuel_ratio",
        form=Number(
            dimension="ratio", unit="", low=9.2, high=24, why="mixtures on which a petrol engine runs"
        ),
        about="air by mass over fuel by mass at that load (for power commonly 12.5–13.2, no source)",
    ),
    Input(
        name="hydrogen_carbon_ratio",
        form=Number(dimension="ratio", unit="", low=1, high=4, why="benzene to methane"),
        about="hydrogen atoms per carbon atom of the fuel, one without oxygen of its own",
        default="1.87",
        default_source="gasoline, Heywood (1988), Table D.4 (from memory)",
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
        where="as in Çengel and Boles, Thermodynamics, Table A-2c",
        standing="from memory",
    ),
    Source(id="ideal-gas", title="Ideal gas law and speed of sound in it", standing="derived"),
    Source(id="mass", title="Conservation of mass", standing="derived"),
)

_PARTS = ("carbon_dioxide", "water", "carbon_monoxide", "hydrogen", "oxygen", "moles")


class BurntGas:
    """Burnt gas of one mixture: its `gas_constant` and `equivalence_ratio`, its sound and density."""

    def __init__(self, given: Mapping[str, Any], working: Working) -> None:
        self._working = working
        self._values = {name: float(given[name]) for name in ("air_fuel_ratio", "hydrogen_carbon_ratio")}
        self.gas_constant = working.chain(self._values, "heywood", **gas.COMPOSITION)
        self.equivalence_ratio = self._values["equivalence_ratio"]

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
            source="ideal-gas",
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
