"""Thermoplastic filament as it is bought: where it softens, how heavy it is, how well its layers hold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, difference_of, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive

_ZERO = 273.15

LOW_STRESS: Annotated[float, "σ_B", "Pa"] = 0.45e6
HIGH_STRESS: Annotated[float, "σ_A", "Pa"] = 1.8e6
"""The bending stresses of ISO 75-2, methods B and A."""


@dataclass(frozen=True)
class Spread:
    """What data sheets have of one thing, from the lowest to the highest, SI."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2

    @property
    def half(self) -> float:
        return (self.high - self.low) / 2


@dataclass(frozen=True, kw_only=True)
class Plastic:
    """One family of filament. `deflection_b` and `deflection_a` are at 0.45 and 1.8 MPa (ISO 75), `vicat` by
    ISO 306, `layer_share` is tensile strength across the layers over that along them (ISO 527)."""

    words: str
    glass: Spread
    deflection_b: Spread
    deflection_a: Spread
    vicat: Spread
    density: Spread
    layer_share: Spread
    shrinkage: Spread


def _celsius(low: float, high: float) -> Spread:
    return Spread(low + _ZERO, high + _ZERO)


def _percent(low: float, high: float) -> Spread:
    return Spread(low / 100, high / 100)


PLASTICS = {
    "PLA": Plastic(
        words="polylactide, as printed",
        glass=_celsius(60, 63), deflection_b=_celsius(53, 60), deflection_a=_celsius(51, 58),
        vicat=_celsius(54, 63), density=Spread(1170, 1310), layer_share=Spread(0.3, 0.79),
        shrinkage=_percent(0.1, 0.5),
    ),
    "PETG": Plastic(
        words="polyethylene terephthalate with glycol",
        glass=_celsius(65.5, 81), deflection_b=_celsius(68, 78), deflection_a=_celsius(62, 75),
        vicat=_celsius(70, 84), density=Spread(1250, 1290), layer_share=Spread(0.38, 0.88),
        shrinkage=_percent(0.2, 0.6),
    ),
    "ABS": Plastic(
        words="acrylonitrile butadiene styrene",
        glass=_celsius(101, 105), deflection_b=_celsius(87, 100), deflection_a=_celsius(75, 98.2),
        vicat=_celsius(97.4, 104), density=Spread(1050, 1120), layer_share=Spread(0.12, 0.9),
        shrinkage=_percent(0.4, 0.9),
    ),
    "ASA": Plastic(
        words="acrylonitrile styrene acrylate",
        glass=_celsius(97.8, 100), deflection_b=_celsius(90, 103), deflection_a=_celsius(78, 100.2),
        vicat=_celsius(105, 105.3), density=Spread(1050, 1130), layer_share=Spread(0.73, 0.86),
        shrinkage=_percent(0.4, 0.7),
    ),
    "PC": Plastic(
        words="polycarbonate; most filament is a blend, and softens sooner than the neat one",
        glass=_celsius(113, 150), deflection_b=_celsius(110, 138), deflection_a=_celsius(99, 127),
        vicat=_celsius(116, 120), density=Spread(1190, 1220), layer_share=Spread(0.33, 0.78),
        shrinkage=_percent(0.6, 0.9),
    ),
    "PA": Plastic(
        words="polyamide, unfilled, dry: a copolymer of PA6 and PA66, to PA6",
        glass=_celsius(55, 66), deflection_b=_celsius(111, 170), deflection_a=_celsius(55, 85),
        vicat=_celsius(107, 127), density=Spread(1120, 1140), layer_share=Spread(0.4, 0.65),
        shrinkage=_percent(0.5, 2),
    ),
    "PA-CF": Plastic(
        words="polyamide with cut carbon fibre, dry to conditioned: PA6 to PA12",
        glass=_celsius(45, 70), deflection_b=_celsius(128, 215), deflection_a=_celsius(91, 196),
        vicat=_celsius(165, 221), density=Spread(1060, 1203), layer_share=Spread(0.18, 0.65),
        shrinkage=_percent(0.1, 0.5),
    ),
    "PP": Plastic(
        words="polypropylene",
        glass=_celsius(-15, -5), deflection_b=_celsius(80, 110), deflection_a=_celsius(65, 73),
        vicat=_celsius(142, 152), density=Spread(900, 910), layer_share=Spread(0.5, 1),
        shrinkage=_percent(1.2, 2),
    ),
}  # fmt: skip
"""By their names in a block. The sources are those of the kind `printed_part`; its tests have each value."""


def softening_temperature(
    stress: Annotated[float, "σ", "Pa"],
    deflection_b: Annotated[float, "T_B", "K"],
    deflection_a: Annotated[float, "T_A", "K"],
) -> Annotated[float, "T_s", "K"]:
    """Temperature at which a part under a bending stress sags as the bar of the test does.

    The next greater stress of the standard counts, with nothing between: the curve is the material's own.

    Formula: T_s = T_B up to σ_B, T_A beyond it. Symbols: σ stress in the part (Pa), T_B heat deflection
    temperature at 0.45 MPa (K), T_A heat deflection temperature at 1.8 MPa (K), σ_B stress of method B (Pa),
    T_s softening temperature (K).
    Range: σ 0 to 1.8e6, T_B and T_A positive. Errors: `OutOfRange`. Source: ISO 75-2:2013, methods A and B,
    as data sheets name their stresses.
    """
    not_negative("stress", stress)
    positive("deflection_b", deflection_b)
    positive("deflection_a", deflection_a)
    if stress > HIGH_STRESS * (1 + 1e-9):
        raise OutOfRange(
            "stress",
            f"{stress / 1e6:.3g} MPa",
            "up to 1.8 MPa, the greatest that data sheets of filament have a temperature for",
            help="make the section thicker, or the part of metal",
        )
    if stress <= LOW_STRESS:
        return deflection_b
    return deflection_a


temperature_margin = difference_of(
    "temperature_margin",
    "What is left from the temperature of a place to that at which a material gives way.",
    softening=Variable("T_s", "K", "softening temperature", positive),
    place=Variable("T_p", "K", "temperature of the place", positive),
    gives=Variable("ΔT", "K", "margin of temperature"),
    source="definition",
)


def middle_of(
    low: Annotated[float, "T_1", "K"],
    high: Annotated[float, "T_2", "K"],
) -> Annotated[float, "T_m", "K"]:
    """Middle of what was measured, half of whose spread is its doubt.

    Formula: T_m = (T_1 + T_2) / 2. Symbols: T_1 lower of what was measured (K), T_2 higher of what was
    measured (K), T_m temperature of the place in the sun (K).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("low", low)
    positive("high", high)
    return (low + high) / 2


strength_in_direction = product_of(
    "strength_in_direction",
    "Strength of a printed part in the direction of its load: all of it along the layers, a share across.",
    strength=Variable("R_t", "Pa", "tensile strength of the data sheet", positive),
    share=Variable("s", "1", "share that holds in this direction", positive),
    gives=Variable("R", "Pa", "strength in the direction of the load"),
    source="definition of the ratio",
)

strength_use = ratio_of(
    "strength_use",
    "Share of its cold strength that a part is loaded with.",
    stress=Variable("σ", "Pa", "stress in the part", not_negative),
    strength=Variable("R", "Pa", "strength in the direction of the load", positive),
    gives=Variable("u", "1", "share of the strength"),
    source="definition",
)
