"""Tube of exhausts: wall section and mass by gauge and material, and how it grows when hot."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import pi
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, product_of, sum_of
from buildlog.physics.limits import not_negative, positive, within

GAUGES: dict[str, float] = {
    "14-SWG": 0.080 * 0.0254, "16-SWG": 0.064 * 0.0254, "17-SWG": 0.056 * 0.0254, "18-SWG": 0.048 * 0.0254,
    "19-SWG": 0.040 * 0.0254, "20-SWG": 0.036 * 0.0254, "22-SWG": 0.028 * 0.0254,
    "14-BWG": 0.083 * 0.0254, "16-BWG": 0.065 * 0.0254, "17-BWG": 0.058 * 0.0254, "18-BWG": 0.049 * 0.0254,
    "19-BWG": 0.042 * 0.0254, "20-BWG": 0.035 * 0.0254, "22-BWG": 0.028 * 0.0254,
}  # fmt: skip
"""Wall thickness in m by gauge number: SWG of BS 3737:1964 (withdrawn), BWG of tubes; both as read in public
tables. A gauge number without its system means little: 16 is 1.63, 1.65 or 1.52 mm."""


@dataclass(frozen=True)
class Material:
    """A tube material: density in kg/m³ and mean expansion coefficients by the upper temperature in °C."""

    name: str
    density: float
    expansion: tuple[tuple[float, float], ...]
    source: str

    def expansion_about(self, temperature: float) -> tuple[float, float, float, float]:
        """Two published temperatures (K) and their mean coefficients (1/K), about a temperature (K).

        Below the first temperature its coefficient holds. Above the last there are no data: `OutOfRange`.
        """
        celsius = round(temperature - 273.15, 9)  # 925 °C is 1198.15 K, less 273.15 a little over 925
        first, last = self.expansion[0], self.expansion[-1]
        if celsius > last[0]:
            raise OutOfRange(
                "wall_temperature",
                f"{celsius:.0f} °C",
                f"at most {last[0]:g} °C for {self.name}",
                help="the data sheet gives no expansion above it",
            )
        steps = pairwise(((0.0, first[1]), *self.expansion))
        low, high = next(pair for pair in steps if celsius <= pair[1][0])
        return low[0] + 273.15, high[0] + 273.15, low[1], high[1]


MATERIALS: dict[str, Material] = {
    "stainless-304": Material(
        "stainless steel 304 (1.4301)",
        8000.0,
        ((100, 17.3e-6), (315, 17.8e-6), (538, 18.4e-6), (650, 18.7e-6)),
        "asm-304",
    ),
    "stainless-321": Material(
        "stainless steel 321 (1.4541)",
        8000.0,
        ((100, 16.7e-6), (315, 17.1e-6), (540, 18.5e-6), (925, 20.5e-6)),
        "asm-321",
    ),
    "stainless-409": Material(
        "stainless steel 409 (1.4512)",
        7800.0,
        ((100, 11.0e-6), (315, 11.7e-6), (538, 12.4e-6)),
        "tube-409",
    ),
    "titanium-2": Material(
        "titanium grade 2",
        4510.0,
        ((93, 8.6e-6), (315, 9.2e-6), (540, 9.7e-6)),
        "asm-titanium",
    ),
    "mild-steel": Material(
        "mild steel",
        7850.0,
        ((100, 12.5e-6), (300, 13.3e-6), (500, 14.1e-6), (700, 14.9e-6)),
        "en-1993-1-2",
    ),
}
"""From the data sheets that the kind `exhaust` names; `expansion` is the mean from 0 or 20 °C."""


def bore_of_tube(
    outer_diameter: Annotated[float, "D", "m"],
    wall_thickness: Annotated[float, "s", "m"],
) -> Annotated[float, "d", "m"]:
    """Bore of a tube.

    Formula: d = D - 2 s. Symbols: D outer diameter (m), s wall thickness (m), d bore (m).
    Range: D positive, s above 0 to 0.45 D. Errors: `OutOfRange`. Source: geometry.
    """
    positive("outer_diameter", outer_diameter)
    positive("wall_thickness", wall_thickness)
    within("wall_thickness", wall_thickness, low=0, high=0.45 * outer_diameter, why="a tube has a bore")
    return outer_diameter - 2 * wall_thickness


def wall_section(
    outer_diameter: Annotated[float, "D", "m"],
    wall_thickness: Annotated[float, "s", "m"],
) -> Annotated[float, "A_w", "m²"]:
    """Area of a tube's wall, cut across.

    Formula: A_w = π (D - s) s. Symbols: D outer diameter (m), s wall thickness (m), A_w area of metal (m²).
    Range: D positive, s above 0 to 0.45 D. Errors: `OutOfRange`. Source: geometry.
    """
    positive("outer_diameter", outer_diameter)
    positive("wall_thickness", wall_thickness)
    within("wall_thickness", wall_thickness, low=0, high=0.45 * outer_diameter, why="a tube has a bore")
    return pi * (outer_diameter - wall_thickness) * wall_thickness


mass_per_metre = product_of(
    "mass_per_metre",
    "Mass of a tube by its length.",
    wall_section=Variable("A_w", "m²", "area of metal", positive),
    density=Variable("ρ", "kg/m³", "density of the metal", positive),
    gives=Variable("m′", "kg/m", "mass by length"),
    order=("density", "wall_section"),
    source="definition",
)

mass_of_length = product_of(
    "mass_of_length",
    "Mass of so many tubes of a length.",
    mass_per_metre=Variable("m′", "kg/m", "mass by length", positive),
    length=Variable("L", "m", "length on the centre line", positive),
    count=Variable("k", "1", "how many", positive),
    gives=Variable("m", "kg", "mass"),
    order=("count", "mass_per_metre", "length"),
    source="definition",
)

mass_of_pieces = product_of(
    "mass_of_pieces",
    "Mass of so many like pieces, as weighed.",
    mass=Variable("m_1", "kg", "mass of one", positive),
    count=Variable("k", "1", "how many", positive),
    gives=Variable("m", "kg", "mass"),
    order=("count", "mass"),
    source="definition",
)

mass_with = sum_of(
    "mass_with",
    "Mass of two parts together.",
    mass=Variable("m_1", "kg", "mass of one", not_negative),
    further_mass=Variable("m_2", "kg", "mass of the other", not_negative),
    gives=Variable("m", "kg", "sum"),
    source="conservation of mass",
)

bend_length = product_of(
    "bend_length",
    "Length of a bend on its centre line.",
    bend_radius=Variable("R", "m", "radius of the centre line", positive),
    angle=Variable("θ", "rad", "angle", positive),
    gives=Variable("L", "m", "length"),
    source="geometry",
)


def mean_expansion(
    temperature: Annotated[float, "T", "K"],
    lower_temperature: Annotated[float, "T_1", "K"],
    upper_temperature: Annotated[float, "T_2", "K"],
    lower_coefficient: Annotated[float, "α_1", "1/K"],
    upper_coefficient: Annotated[float, "α_2", "1/K"],
) -> Annotated[float, "α", "1/K"]:
    """Mean expansion coefficient from room temperature up to a temperature, between two published ones.

    Formula: α = α_1 + (α_2 - α_1) (T - T_1) / (T_2 - T_1). Symbols: T temperature (K), T_1 lower published
    temperature (K), T_2 upper published temperature (K), α_1 mean coefficient up to the lower one (1/K), α_2
    mean coefficient up to the upper one (1/K), share how far it is from the one to the other (1), α mean
    coefficient up to T (1/K).
    Range: all positive, T_1 below T_2, T up to T_2. Errors: `OutOfRange`.
    Source: linear interpolation of data sheet values, which agree among sheets within 3 %.
    """
    positive("lower_coefficient", lower_coefficient)
    positive("upper_coefficient", upper_coefficient)
    positive("lower_temperature", lower_temperature)
    within("upper_temperature", upper_temperature, lower_temperature + 1)
    positive("temperature", temperature)
    within("temperature", temperature, low=0, high=upper_temperature, why="between two published values")
    share = (temperature - lower_temperature) / (upper_temperature - lower_temperature)
    return lower_coefficient + (upper_coefficient - lower_coefficient) * share


def thermal_growth(
    expansion: Annotated[float, "α", "1/K"],
    length: Annotated[float, "L", "m"],
    temperature: Annotated[float, "T", "K"],
    cold_temperature: Annotated[float, "T_0", "K"],
) -> Annotated[float, "ΔL", "m"]:
    """What a free pipe grows by when it warms.

    Formula: ΔL = α L (T - T_0). Symbols: α mean expansion coefficient (1/K), L length when cold (m), T wall
    temperature hot and T_0 cold (K), ΔL growth (m).
    Range: α, L, T_0 positive, T from T_0. Errors: `OutOfRange`. Source: definition of the mean coefficient.
    """
    positive("expansion", expansion)
    positive("length", length)
    positive("cold_temperature", cold_temperature)
    within("temperature", temperature, cold_temperature, why="hot is not colder than cold")
    return expansion * length * (temperature - cold_temperature)


total_growth = sum_of(
    "total_growth",
    "Growth of two pieces in line.",
    growth=Variable("ΔL_1", "m", "growth of one piece", not_negative),
    further_growth=Variable("ΔL_2", "m", "growth of the other", not_negative),
    gives=Variable("ΔL", "m", "of both"),
    source="geometry",
)
