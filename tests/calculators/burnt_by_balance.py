"""Burnt gas by an atom balance and CoolProp, to hold `header` and `exhaust` against. It shares nothing with
the program.

Air is N2 78.084, O2 20.946, Ar 0.934 and CO2 0.04 % (U.S. Standard Atmosphere, 1976, table 3, rounded, from
memory); what is burnt rich has the water–gas balance of 1740 K, K = 3.5 (Heywood, Table 4.3, from memory);
heat capacities of the ideal gases by CoolProp 8.0.0, CP0MOLAR.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt

from CoolProp.CoolProp import PropsSI
from scipy.optimize import brentq

_MOLAR: Mapping[str, float] = {
    "Nitrogen": 28.0134,
    "Argon": 39.948,
    "CarbonDioxide": 44.0095,
    "Water": 18.0153,
    "CarbonMonoxide": 28.0101,
    "Hydrogen": 2.0159,
    "Oxygen": 31.9988,
}
_R = 8.314462618


class Burnt:
    """One mole of fuel C H_y O_z with `air_fuel_ratio` times its mass of dry air, burnt."""

    def __init__(self, y: float, z: float, air_fuel_ratio: float) -> None:
        nitrogen, argon, carbonic = 78.084 / 20.946, 0.934 / 20.946, 0.04 / 20.946
        of_air = _MOLAR["Oxygen"] + 28.0134 * nitrogen + 39.948 * argon + 44.0095 * carbonic
        of_fuel = 12.011 + 1.008 * y + 15.999 * z
        self.stoichiometric = (1 + y / 4 - z / 2) * of_air / of_fuel
        oxygen = air_fuel_ratio * of_fuel / of_air
        carbon, atoms = 1 + carbonic * oxygen, z + 2 * oxygen * (1 + carbonic)

        def parts(monoxide: float) -> tuple[float, float, float]:
            dioxide = carbon - monoxide
            water = atoms - 2 * dioxide - monoxide
            return dioxide, water, y / 2 - water

        def balance(monoxide: float) -> float:
            dioxide, water, hydrogen = parts(monoxide)
            return monoxide * water - 3.5 * dioxide * hydrogen

        monoxide, spare = 0.0, atoms - 2 * carbon - y / 2
        if spare < 0:
            least, most = max(0.0, 2 * carbon - atoms), min(carbon, -spare)
            monoxide = float(brentq(balance, least, most))
            dioxide, water, hydrogen = parts(monoxide)
        else:
            dioxide, water, hydrogen = carbon, y / 2, 0.0
        moles = {
            "Nitrogen": nitrogen * oxygen,
            "Argon": argon * oxygen,
            "CarbonDioxide": dioxide,
            "Water": water,
            "CarbonMonoxide": monoxide,
            "Hydrogen": hydrogen,
            "Oxygen": max(0.0, spare / 2),
        }
        whole = sum(moles.values())
        self._shares = {gas: part / whole for gas, part in moles.items()}
        self.constant = 1000 * _R / sum(part * _MOLAR[gas] for gas, part in self._shares.items())

    def gamma(self, temperature: float) -> float:
        """Ratio of the specific heats, composition held."""
        heat = sum(
            part * float(PropsSI("CP0MOLAR", "T", temperature, "P", 101_325, gas))
            for gas, part in self._shares.items()
        )
        return heat / (heat - _R)

    def sound(self, temperature: float) -> float:
        """Speed of sound, m/s."""
        return sqrt(self.gamma(temperature) * self.constant * temperature)
