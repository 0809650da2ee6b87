"""A line of exhaust tubes whose gas cools along it, integrated along the way by scipy, to hold `exhaust`
against. It shares nothing with the program.

Shapiro's influence coefficients (Compressible Fluid Flow, vol. 1 (1953), ch. 8, from memory): dp_t/p_t =
-γ M²/2 (f dx/d + dT_t/T_t). Friction by fluids 1.3.1, gas by CoolProp (burnt_by_balance.py), viscosity by
Cantera 3.2.0 at 900 K (3.8235e-5 Pa·s) and the 0.7th power.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
from fluids.friction import friction_factor
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from tests.calculators.burnt_by_balance import Burnt


@dataclass(frozen=True, kw_only=True)
class Tube:
    """SI; `temperature` is the total one in its middle, `loss` what a fitting in it costs besides."""

    bore: float
    length: float
    temperature: float
    loss: float = 0.0


def pressures_ahead(
    tubes: Sequence[Tube], flow: float, air: float, gas: Burnt, roughness: float, *, cools: bool = True
) -> list[float]:
    """Total pressure above the air's at the head of each tube; temperatures fall from middle to middle."""
    ends = np.cumsum([0.0, *(tube.length for tube in tubes)])
    middles = (ends[:-1] + ends[1:]) / 2
    means = [tube.temperature for tube in tubes]

    def warmth(x: float) -> float:
        return float(np.interp(x, middles, means))

    def total(mach: float, flux: float, temperature: float, g: float) -> float:
        rise = (1 + (g - 1) / 2 * mach**2) ** ((g + 1) / (2 * (g - 1)))
        return flux / mach * sqrt(gas.constant * temperature / g) * float(rise)

    found: list[float] = []
    pressure = 0.0
    for number in reversed(range(len(tubes))):
        tube = tubes[number]
        g, flux = gas.gamma(tube.temperature), flow / (pi / 4 * tube.bore**2)
        viscosity = 3.8235e-5 * (tube.temperature / 900) ** 0.7
        friction = friction_factor(Re=flux * tube.bore / viscosity, eD=roughness / tube.bore) / tube.bore
        by_length = friction + tube.loss / tube.length

        def slope(x: float, state: Sequence[float], tube: Tube = tube, k: float = by_length, g: float = g,
                  flux: float = flux) -> list[float]:  # fmt: skip
            here = warmth(x) if cools else tube.temperature
            mach = brentq(lambda m: total(m, flux, here, g) - state[0], 1e-4, 1)
            step = 1e-4
            falls = (warmth(x + step) - warmth(x - step)) / (2 * step) / here if cools else 0.0
            return [-state[0] * g * mach**2 / 2 * (k + falls)]

        if not found:
            here = warmth(ends[-1]) if cools else tube.temperature

            def missing(m: float, g: float = g, here: float = here, flux: float = flux) -> float:
                return flux - air * m * sqrt(g / (gas.constant * here) * (1 + (g - 1) / 2 * m**2))

            pressure = total(brentq(missing, 1e-4, 1), flux, here, g)
        run = solve_ivp(
            slope, (ends[number + 1], ends[number]), [pressure], rtol=1e-8, atol=1e-2, max_step=0.05
        )
        pressure = float(run.y[0, -1])
        found.append(pressure - air)
    return found[::-1]
