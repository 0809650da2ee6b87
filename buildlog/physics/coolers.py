"""Coolers in an air stream: effectiveness by transfer units, and the air that wind and fan push through."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp
from typing import Annotated

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.physics.declared import Variable, Within, difference_of, product_of, ratio_of, sum_of
from buildlog.physics.fans import FanGroup, falling_root
from buildlog.physics.limits import not_negative, positive, within

MOST_UNITS = 100.0
"""Transfer units that no cooler has; up to there an effectiveness is looked for."""

_CAPACITY = Variable("C", "W/K", "heat capacity flow", positive)

face_area = product_of(
    "face_area",
    "Area of a core's face.",
    width=Variable("b", "m", "width", positive),
    height=Variable("h", "m", "height", positive),
    gives=Variable("A", "m²", "area"),
    source="geometry",
)

capacity_flow = product_of(
    "capacity_flow",
    "Heat that a flow takes up by degree.",
    mass_flow=Variable("ṁ", "kg/s", "mass flow", positive),
    specific_heat=Variable("c", "J/(kg·K)", "specific heat", positive),
    gives=_CAPACITY,
    source="energy equation of steady flow",
)

transfer_units = ratio_of(
    "transfer_units",
    "Number of transfer units of a cooler.",
    conductance=Variable("UA", "W/K", "conductance", positive),
    least_capacity=Variable("C_min", "W/K", "lesser heat capacity flow", positive),
    gives=Variable("NTU", "1", "number of transfer units"),
    source="definition (Kays and London, Compact Heat Exchangers)",
)

conductance_of = product_of(
    "conductance_of",
    "Conductance of a cooler from its transfer units.",
    transfer_units=Variable("NTU", "1", "number of transfer units", positive),
    least_capacity=Variable("C_min", "W/K", "lesser heat capacity flow", positive),
    gives=Variable("UA", "W/K", "conductance"),
    source="definition (Kays and London, Compact Heat Exchangers)",
)

capacity_ratio = ratio_of(
    "capacity_ratio",
    "Lesser heat capacity flow over the greater.",
    least_capacity=Variable("C_min", "W/K", "lesser heat capacity flow", positive),
    most_capacity=Variable("C_max", "W/K", "greater heat capacity flow", positive),
    gives=Variable("C_r", "1", "ratio of the heat capacity flows"),
    source="definition",
)


def unmixed_effectiveness(
    transfer_units: Annotated[float, "NTU", "1"],
    capacity_ratio: Annotated[float, "C_r", "1"],
) -> Annotated[float, "ε", "1"]:
    """Effectiveness of crossflow with both flows unmixed: finned tubes, louvred cores.

    Formula: ε = 1 - exp(NTU^0.22 (exp(-C_r NTU^0.78) - 1) / C_r). Symbols: NTU number of transfer units (1),
    C_r ratio of the heat capacity flows (1), x power of the transfer units (1), ε effectiveness (1).
    Range: NTU positive, C_r above 0 to 1; an approximation, within 1.1 % of the exact series up to NTU 6.
    Errors: `OutOfRange`. Source: Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table 11.3 (as
    the library ht 1.2.0 and S. K. Som, Introduction to Heat Transfer, example 10.7, have it).
    """
    positive("transfer_units", transfer_units)
    positive("capacity_ratio", capacity_ratio)
    within("capacity_ratio", capacity_ratio, high=1)
    x = exp(-capacity_ratio * transfer_units**0.78) - 1
    return 1 - exp(transfer_units**0.22 * x / capacity_ratio)


def least_mixed_effectiveness(
    transfer_units: Annotated[float, "NTU", "1"],
    capacity_ratio: Annotated[float, "C_r", "1"],
) -> Annotated[float, "ε", "1"]:
    """Effectiveness of crossflow where the flow with the lesser heat capacity is mixed, the other not.

    Formula: ε = 1 - exp(-(1 - exp(-C_r NTU)) / C_r). Symbols: NTU number of transfer units (1), C_r ratio of
    the heat capacity flows (1), ε effectiveness (1).
    Range: NTU positive, C_r above 0 to 1. Errors: `OutOfRange`. Source: Incropera and DeWitt, Fundamentals of
    Heat and Mass Transfer, table 11.3 (as the library ht 1.2.0 has it).
    """
    positive("transfer_units", transfer_units)
    positive("capacity_ratio", capacity_ratio)
    within("capacity_ratio", capacity_ratio, high=1)
    return 1 - exp(-(1 - exp(-capacity_ratio * transfer_units)) / capacity_ratio)


def most_mixed_effectiveness(
    transfer_units: Annotated[float, "NTU", "1"],
    capacity_ratio: Annotated[float, "C_r", "1"],
) -> Annotated[float, "ε", "1"]:
    """Effectiveness of crossflow where the flow with the greater heat capacity is mixed, the other not.

    Formula: ε = (1 - exp(-C_r (1 - exp(-NTU)))) / C_r. Symbols: NTU number of transfer units (1), C_r ratio
    of the heat capacity flows (1), ε effectiveness (1).
    Range: NTU positive, C_r above 0 to 1. Errors: `OutOfRange`. Source: Incropera and DeWitt, Fundamentals of
    Heat and Mass Transfer, table 11.3 (as the library ht 1.2.0 has it).
    """
    positive("transfer_units", transfer_units)
    positive("capacity_ratio", capacity_ratio)
    within("capacity_ratio", capacity_ratio, high=1)
    return (1 - exp(-capacity_ratio * (1 - exp(-transfer_units)))) / capacity_ratio


Effectiveness = Callable[[float, float], float]


def effectiveness_of(arrangement: str, air: float, hot: float) -> Effectiveness:
    """The formula of an arrangement: `unmixed`, `air_mixed` or `hot_mixed`, by the two heat capacity flows.

    Source: Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table 11.3.
    """
    if arrangement == "unmixed":
        return unmixed_effectiveness
    mixed_is_least = (air <= hot) == (arrangement == "air_mixed")
    return least_mixed_effectiveness if mixed_is_least else most_mixed_effectiveness


def tested_effectiveness(
    heat: Annotated[float, "Φ_t", "W"],
    least_capacity: Annotated[float, "C_min", "W/K"],
    hot_inlet: Annotated[float, "T_h", "K"],
    air_inlet: Annotated[float, "T_a", "K"],
) -> Annotated[float, "ε_t", "1"]:
    """Effectiveness at a maker's test point.

    Formula: ε_t = Φ_t / (C_min (T_h - T_a)). Symbols: Φ_t heat at the test point (W), C_min lesser heat
    capacity flow (W/K), T_h inlet temperature of what is cooled (K), T_a that of the air (K), ε_t
    effectiveness (1).
    Range: all positive, T_h above T_a, the result below 1. Errors: `OutOfRange`. Source: definition.
    """
    positive("heat", heat)
    positive("least_capacity", least_capacity)
    positive("air_inlet", air_inlet)
    positive("hot_inlet", hot_inlet - air_inlet)
    return heat / (least_capacity * (hot_inlet - air_inlet))


def units_for(
    formula: Effectiveness,
    effectiveness: Annotated[float, "ε_t", "1"],
    capacity_ratio: Annotated[float, "C_r", "1"],
) -> Annotated[float, "NTU_t", "1"]:
    """Number of transfer units that gives an effectiveness.

    Formula: ε(NTU_t, C_r) = ε_t, solved for NTU_t. Symbols: ε(NTU_t, C_r) effectiveness of the arrangement
    (1), ε_t effectiveness of the test (1), C_r ratio of the heat capacity flows (1), NTU_t transfer units
    (1).
    In words: found by halving.
    Range: ε_t above 0, below what the arrangement can reach. Errors: `OutOfRange`, `NoSolution`.
    Source: the effectiveness of the arrangement, which rises with the transfer units.
    """
    positive("effectiveness", effectiveness)
    most = formula(MOST_UNITS, capacity_ratio)
    if effectiveness >= most:
        raise NoSolution(
            "test_heat",
            f"an effectiveness of {effectiveness:.3f}",
            f"below {most:.3f}, which no cooler of this arrangement passes at these flows",
            help="check test_heat, the flows and the temperatures of the test",
        )
    return falling_root(lambda units: effectiveness - formula(units, capacity_ratio), 1e-9, MOST_UNITS)


def conductance_at(
    tested_conductance: Annotated[float, "UA_t", "W/K"],
    face_share: Annotated[float, "s", "1"],
    density: Annotated[float, "ρ", "kg/m³"],
    face_speed: Annotated[float, "v", "m/s"],
    tested_density: Annotated[float, "ρ_t", "kg/m³"],
    tested_speed: Annotated[float, "v_t", "m/s"],
    exponent: Annotated[float, "m", "1"],
) -> Annotated[float, "UA", "W/K"]:
    """Conductance of a share of a core at another speed of the air, from that at the test point.

    Formula: UA = s UA_t (ρ v / (ρ_t v_t))^m. Symbols: UA_t conductance at the test point (W/K), s share of
    the face (1), ρ density of the air (kg/m³), v speed of the air at the face (m/s), ρ_t density at the test
    (kg/m³), v_t speed at the test (m/s), m exponent (1), UA conductance (W/K).
    Range: all positive, s up to 1, m 0.2 to 0.9. Errors: `OutOfRange`.
    Source: heat transfer of fins in proportion to a power of the mass velocity; Chang and Wang (1997): 0.51.
    """
    positive("tested_conductance", tested_conductance)
    positive("face_share", face_share)
    within("face_share", face_share, high=1)
    positive("density", density)
    positive("face_speed", face_speed)
    positive("tested_density", tested_density)
    positive("tested_speed", tested_speed)
    within("exponent", exponent, 0.2, 0.9)
    return (  # type: ignore[no-any-return]
        face_share * tested_conductance * (density * face_speed / (tested_density * tested_speed)) ** exponent
    )


def ram_pressure(
    front_coefficient: Annotated[float, "c_1", "1"],
    rear_coefficient: Annotated[float, "c_2", "1"],
    density: Annotated[float, "ρ", "kg/m³"],
    road_speed: Annotated[float, "V", "m/s"],
) -> Annotated[float, "Δp_r", "Pa"]:
    """Pressure that the road speed drives the air through with.

    Formula: Δp_r = (c_1 - c_2) ρ V² / 2. Symbols: c_1 pressure coefficient ahead of the core (1), c_2 that
    where the air leaves (1), ρ density of the air (kg/m³), V road speed (m/s), Δp_r driving pressure (Pa).
    Range: c_1 above c_2, ρ positive, V zero or more. Errors: `OutOfRange`.
    Source: definition of the pressure coefficient.
    """
    positive("front_coefficient", front_coefficient - rear_coefficient)
    positive("density", density)
    not_negative("road_speed", road_speed)
    return (front_coefficient - rear_coefficient) * density * road_speed**2 / 2


@dataclass(frozen=True, kw_only=True)
class Core:
    """A core's resistance with that of the bay, and the air in front of it."""

    tested_loss: float
    tested_speed: float
    tested_density: float
    exponent: float
    bay_coefficient: float
    density: float

    def loss(self, speed: float) -> float:
        """What core and bay take at a speed of the air at the face."""
        core = self.tested_loss * (speed / self.tested_speed) ** self.exponent
        core *= (self.density / self.tested_density) ** (self.exponent - 1)
        return core + self.bay_coefficient * self.density * speed**2 / 2  # type: ignore[no-any-return]


@dataclass(frozen=True, kw_only=True)
class Blown:
    """Fans on an `area` of a core. Beyond their free flow they neither help nor hinder."""

    fans: FanGroup
    area: float

    def speed(self, flow: float, core: Core) -> float:
        """Speed at the face by the volume flow at the fans, which are in air of their own density."""
        return flow * self.fans.density / (core.density * self.area)

    def pressure(self, speed: float, core: Core) -> float:
        flow = speed * self.area * core.density / self.fans.density
        if flow >= self.fans.most_flow:
            return 0.0
        return self.fans.pressure(flow)


_FASTEST = 60.0
"""Speed at a face that no core sees, m/s."""


def open_face_speed(core: Core, ram_pressure: Annotated[float, "Δp_r", "Pa"]) -> Annotated[float, "v", "m/s"]:
    """Speed of the air at a core's face by the road speed alone.

    Formula: Δp(v) = Δp_r, solved for v. Symbols: Δp(v) pressure that core and bay take (Pa), Δp_r driving
    pressure (Pa), v speed of the air at the face (m/s).
    In words: found by halving; the core takes its test point's pressure by its exponent and the similarity of
    densities, the bay its coefficient times the dynamic pressure at the face.
    Range: Δp_r zero or more. Errors: `NoSolution`. Source: balance of pressure.
    """
    return _speed(core, lambda speed: ram_pressure - core.loss(speed)) if ram_pressure > 0 else 0.0


def blown_face_speed(
    core: Core, blown: Blown, ram_pressure: Annotated[float, "Δp_r", "Pa"]
) -> Annotated[float, "v", "m/s"]:
    """Speed of the air at a core's face by the road speed and a fan.

    Formula: Δp(v) = Δp_r + p_f(v), solved for v. Symbols: Δp(v) pressure that core and bay take (Pa), Δp_r
    driving pressure (Pa), p_f(v) pressure of the fans (Pa), v speed of the air at the face (m/s).
    In words: found by halving; the fans give what their maker's curve says at their flow and in their air,
    and nothing beyond their free flow.
    Range: a flow that the curve has. Errors: `NoSolution`. Source: balance of pressure.
    """
    slowest = blown.speed(blown.fans.least_flow, core)
    if ram_pressure + blown.pressure(slowest, core) < core.loss(slowest):
        raise NoSolution(
            "fan_curve",
            f"a core that takes {core.loss(slowest):.0f} Pa at the least flow of the curve",
            f"at most what drives the air there, {ram_pressure + blown.pressure(slowest, core):.0f} Pa",
            help="state the curve from a smaller flow",
        )
    return _speed(core, lambda speed: ram_pressure + blown.pressure(speed, core) - core.loss(speed), slowest)


def _speed(core: Core, excess: Callable[[float], float], slowest: float = 0.0) -> float:
    if excess(_FASTEST) > 0:
        raise OutOfRange(
            "core_pressure_loss",
            f"air faster than {_FASTEST:.0f} m/s at the face",
            "a core that holds back more",
            help="check the pressure loss and its unit, and the pressure coefficients",
        )
    return falling_root(excess, slowest, _FASTEST)


mean_of_parts = sum_of(
    "mean_of_parts",
    "Speed at the whole face: of its parts, each by its share.",
    shrouded=Variable("u_1", "m/s", "share under the shroud times the speed there", not_negative),
    open=Variable("u_2", "m/s", "the rest of the face times the speed there", not_negative),
    gives=Variable("v", "m/s", "mean speed"),
    source="continuity",
)

part_mass_flow = product_of(
    "part_mass_flow",
    "Mass flow of the air through a share of the face.",
    face_share=Variable("s", "1", "share of the face", Within(0, 1)),
    area=Variable("A", "m²", "area of the face", positive),
    density=Variable("ρ", "kg/m³", "density of the air", positive),
    face_speed=Variable("v", "m/s", "speed at the face", not_negative),
    gives=Variable("ṁ", "kg/s", "mass flow"),
    source="continuity",
)

heat_by_degree = product_of(
    "heat_by_degree",
    "Heat that a cooler rejects by degree between the two inlets.",
    effectiveness=Variable("ε", "1", "effectiveness", not_negative),
    least_capacity=Variable("C_min", "W/K", "lesser heat capacity flow", positive),
    gives=Variable("G", "W/K", "heat by degree"),
    source="definition of the effectiveness",
)

both_parts = sum_of(
    "both_parts",
    "Heat by degree of a core's two parts together.",
    shrouded=Variable("G_1", "W/K", "under the shroud", not_negative),
    open=Variable("G_2", "W/K", "beside it", not_negative),
    gives=Variable("G", "W/K", "heat by degree"),
    source="energy balance",
)

whole_effectiveness = ratio_of(
    "whole_effectiveness",
    "Effectiveness of a whole cooler.",
    heat_by_degree=Variable("G", "W/K", "heat by degree", not_negative),
    least_capacity=Variable("C_min", "W/K", "lesser heat capacity flow", positive),
    gives=Variable("ε", "1", "effectiveness"),
    source="definition",
)


def heat_rejected(
    heat_by_degree: Annotated[float, "G", "W/K"],
    hot_inlet: Annotated[float, "T_h", "K"],
    air_inlet: Annotated[float, "T_a", "K"],
) -> Annotated[float, "Φ", "W"]:
    """Heat that a cooler rejects.

    Formula: Φ = G (T_h - T_a). Symbols: G heat by degree (W/K), T_h inlet temperature of what is cooled (K),
    T_a that of the air (K), Φ heat (W).
    Range: G and temperatures positive. Errors: `OutOfRange`. Source: definition of the effectiveness.
    """
    positive("heat_by_degree", heat_by_degree)
    positive("hot_inlet", hot_inlet)
    positive("air_inlet", air_inlet)
    return heat_by_degree * (hot_inlet - air_inlet)


def temperature_after(
    inlet: Annotated[float, "T_1", "K"],
    heat: Annotated[float, "Φ", "W"],
    capacity: Annotated[float, "C", "W/K"],
) -> Annotated[float, "T_2", "K"]:
    """Temperature of a flow after it took up a heat; a heat that it gives counts as negative.

    Formula: T_2 = T_1 + Φ / C. Symbols: T_1 temperature before (K), Φ heat (W), C heat capacity flow (W/K),
    T_2 temperature after (K).
    Range: T_1 and C positive. Errors: `OutOfRange`. Source: energy equation of steady flow.
    """
    positive("inlet", inlet)
    within("heat", heat)
    positive("capacity", capacity)
    return inlet + heat / capacity


def balance_temperature(
    air_inlet: Annotated[float, "T_a", "K"],
    heat_input: Annotated[float, "Φ_in", "W"],
    heat_by_degree: Annotated[float, "G", "W/K"],
) -> Annotated[float, "T_b", "K"]:
    """Inlet temperature at which a cooler rejects just what comes in.

    Formula: T_b = T_a + Φ_in / G. Symbols: T_a inlet temperature of the air (K), Φ_in heat that comes in (W),
    G heat by degree (W/K), T_b inlet temperature of what is cooled (K).
    Range: all positive. Errors: `OutOfRange`. Source: energy balance.
    """
    positive("air_inlet", air_inlet)
    positive("heat_input", heat_input)
    positive("heat_by_degree", heat_by_degree)
    return air_inlet + heat_input / heat_by_degree


def air_behind_part(
    air_inlet: Annotated[float, "T_a", "K"],
    hot_inlet: Annotated[float, "T_h", "K"],
    heat_by_degree: Annotated[float, "G_1", "W/K"],
    air_capacity: Annotated[float, "C_1", "W/K"],
) -> Annotated[float, "T_1", "K"]:
    """Temperature of the air behind a part of a core.

    Formula: T_1 = T_a + G_1 (T_h - T_a) / C_1. Symbols: T_a inlet temperature of the air (K), T_h that of
    what is cooled (K), G_1 heat by degree of the part (W/K), C_1 what the air through it takes up by degree
    (W/K), T_1 temperature behind (K).
    Range: G_1 zero or more; others positive. Errors: `OutOfRange`. Source: energy balance.
    """
    positive("air_inlet", air_inlet)
    positive("hot_inlet", hot_inlet)
    not_negative("heat_by_degree", heat_by_degree)
    positive("air_capacity", air_capacity)
    return air_inlet + heat_by_degree * (hot_inlet - air_inlet) / air_capacity


temperature_margin = difference_of(
    "temperature_margin",
    "What is left to a limit.",
    temperature_limit=Variable("T_max", "K", "limit", positive),
    balance_temperature=Variable("T_b", "K", "temperature in balance", positive),
    gives=Variable("ΔT", "K", "margin"),
    source="definition",
)
