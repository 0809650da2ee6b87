"""Air that is compressed and cooled on its way to an engine, and what that does to the engine's torque."""

from __future__ import annotations

from math import pi
from typing import Annotated

from buildlog.physics.declared import Variable, difference_of, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within


def heat_capacity_ratio(
    specific_heat: Annotated[float, "c_p", "J/(kg·K)"],
) -> Annotated[float, "γ", "1"]:
    """Ratio of the specific heats of dry air.

    Formula: γ = c_p / (c_p - R), R = 287.05287 J/(kg·K). Symbols: c_p specific heat at constant pressure
    (J/(kg·K)), γ ratio of the specific heats (1).
    Range: c_p 900 to 1200 J/(kg·K). Errors: `OutOfRange`. Source: Mayer's relation, ideal gas.
    """
    within("specific_heat", specific_heat, 900, 1200, "dry air from a cold day to a hot exhaust")
    return specific_heat / (specific_heat - 287.05287)


def isentropic_rise(
    inlet_temperature: Annotated[float, "T_1", "K"],
    pressure_ratio: Annotated[float, "π", "1"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "ΔT_s", "K"]:
    """How much warmer air gets that is compressed without loss and without cooling.

    Formula: ΔT_s = T_1 (π^((γ - 1)/γ) - 1). Symbols: T_1 temperature at the inlet (K), π pressure ratio (1),
    γ ratio of the specific heats (1), exponent that of the pressure ratio (1), ΔT_s rise without loss (K).
    Range: T_1 positive, π 1 to 5, γ 1.2 to 1.7. Errors: `OutOfRange`.
    Source: NASA Glenn Research Center, Compressor Thermodynamics.
    """
    positive("inlet_temperature", inlet_temperature)
    within("pressure_ratio", pressure_ratio, 1, 5, "one stage of compression")
    within("heat_capacity_ratio", heat_capacity_ratio, 1.2, 1.7)
    exponent = (heat_capacity_ratio - 1) / heat_capacity_ratio
    return inlet_temperature * (pressure_ratio**exponent - 1)  # type: ignore[no-any-return]


compressor_rise = ratio_of(
    "compressor_rise",
    "How much warmer air gets in a compressor.",
    isentropic_rise=Variable("ΔT_s", "K", "rise without loss", not_negative),
    isentropic_efficiency=Variable("η_s", "1", "isentropic efficiency", positive),
    gives=Variable("ΔT", "K", "rise"),
    source="definition of the isentropic efficiency; NASA Glenn Research Center, Compressor Thermodynamics",
)


pressure_after = product_of(
    "pressure_after",
    "Pressure behind a compressor.",
    inlet_pressure=Variable("p_1", "Pa", "pressure at the inlet", positive),
    pressure_ratio=Variable("π", "1", "pressure ratio", positive),
    gives=Variable("p_2", "Pa", "pressure"),
    source="definition of the pressure ratio",
)


def cooled_temperature(
    temperature: Annotated[float, "T_2", "K"],
    cooling_temperature: Annotated[float, "T_c", "K"],
    effectiveness: Annotated[float, "ε", "1"],
) -> Annotated[float, "T_3", "K"]:
    """Temperature behind a charge cooler.

    Formula: T_3 = T_2 - ε (T_2 - T_c). Symbols: T_2 temperature before the cooler (K), T_c temperature of
    what it is cooled by (K), ε effectiveness (1), T_3 temperature behind it (K).
    Range: temperatures positive, ε 0 to 1. Errors: `OutOfRange`.
    Source: definition of the effectiveness of a cooler whose other side has the greater heat capacity flow.
    """
    positive("temperature", temperature)
    positive("cooling_temperature", cooling_temperature)
    within("effectiveness", effectiveness, 0, 1)
    return temperature - effectiveness * (temperature - cooling_temperature)


pressure_behind = difference_of(
    "pressure_behind",
    "Pressure behind what takes a part of it.",
    pressure=Variable("p_2", "Pa", "pressure before", positive),
    loss=Variable("Δp", "Pa", "pressure loss", not_negative),
    gives=Variable("p_3", "Pa", "pressure behind"),
    source="definition",
)


boost = difference_of(
    "boost",
    "Pressure of the charge above that at the inlet, as a gauge reads it.",
    charge_pressure=Variable("p_3", "Pa", "pressure of the charge", positive),
    inlet_pressure=Variable("p_1", "Pa", "pressure at the inlet", positive),
    gives=Variable("Δp_b", "Pa", "boost"),
    source="definition",
)


density_ratio = ratio_of(
    "density_ratio",
    "Density of the charge over that of the air at the inlet.",
    charge_density=Variable("ρ_3", "kg/m³", "density of the charge", positive),
    inlet_density=Variable("ρ_1", "kg/m³", "density at the inlet", positive),
    gives=Variable("D", "1", "density ratio"),
    source="definition",
)


drive_power = ratio_of(
    "drive_power",
    "Power that an engine gives to drive its compressor.",
    compressor_power=Variable("P_c", "W", "power into the air", not_negative),
    drive_efficiency=Variable("η_d", "1", "efficiency of the drive", positive),
    gives=Variable("P_d", "W", "power at the crank"),
    source="definition",
)


drive_torque = ratio_of(
    "drive_torque",
    "Torque that the drive of a compressor takes from the crank.",
    drive_power=Variable("P_d", "W", "power at the crank", not_negative),
    engine_speed=Variable("ω", "rad/s", "engine speed", positive),
    gives=Variable("T_d", "N·m", "torque"),
    source="definition",
)


def intake_stroke_torque(
    boost: Annotated[float, "Δp_b", "Pa"],
    displacement: Annotated[float, "V_d", "m³"],
) -> Annotated[float, "T_p", "N·m"]:
    """Indicated torque by which the charge pushes the pistons down on their intake strokes.

    Formula: T_p = Δp_b V_d / (4 π). Symbols: Δp_b pressure of the charge above that in the exhaust (Pa), V_d
    displacement of all cylinders (m³), T_p torque of a four-stroke engine (N·m).
    Range: V_d positive, Δp_b finite; exhaust at the pressure of the inlet. Errors: `OutOfRange`.
    Source: work p V of one stroke in two turns; as in the worked examples on supercharging of the textbook
    companions of FOSSEE (Indian Institute of Technology Bombay).
    """
    within("boost", boost)
    positive("displacement", displacement)
    return boost * displacement / (4 * pi)


def gain_by_charge(
    engine_torque: Annotated[float, "T_0", "N·m"],
    density_ratio: Annotated[float, "D", "1"],
) -> Annotated[float, "ΔT_ρ", "N·m"]:
    """Brake torque gained by a denser charge, friction growing with it.

    Formula: ΔT_ρ = T_0 (D - 1). Symbols: T_0 brake torque without the compressor (N·m), D density of the
    charge over that at the inlet (1), ΔT_ρ gain (N·m).
    Range: both positive; the same volumetric, thermal and mechanical efficiency. Errors: `OutOfRange`.
    Source: power in proportion to the air that is drawn, as in the worked examples on supercharging of the
    textbook companions of FOSSEE (Indian Institute of Technology Bombay).
    """
    positive("engine_torque", engine_torque)
    positive("density_ratio", density_ratio)
    return engine_torque * (density_ratio - 1)


def boosted_torque(
    engine_torque: Annotated[float, "T_0", "N·m"],
    gain_by_charge: Annotated[float, "ΔT_ρ", "N·m"],
    intake_stroke_torque: Annotated[float, "T_p", "N·m"],
    mechanical_efficiency: Annotated[float, "η_m", "1"],
    drive_torque: Annotated[float, "T_d", "N·m"],
) -> Annotated[float, "T", "N·m"]:
    """Brake torque of an engine with a compressor.

    Formula: T = T_0 + ΔT_ρ + η_m T_p - T_d. Symbols: T_0 brake torque without the compressor (N·m), ΔT_ρ gain
    by the denser charge (N·m), T_p indicated torque of the intake strokes (N·m), η_m mechanical efficiency
    (1), T_d torque that the drive takes (N·m), T brake torque (N·m).
    Range: T_0 positive, T_d zero or more, η_m 0.5 to 1. Errors: `OutOfRange`.
    Source: as in the worked examples on supercharging of the textbook companions of FOSSEE (Indian
    Institute of Technology Bombay).
    """
    positive("engine_torque", engine_torque)
    within("gain_by_charge", gain_by_charge, -engine_torque)
    within("intake_stroke_torque", intake_stroke_torque)
    within("mechanical_efficiency", mechanical_efficiency, 0.5, 1)
    not_negative("drive_torque", drive_torque)
    return engine_torque + gain_by_charge + mechanical_efficiency * intake_stroke_torque - drive_torque


brake_power = product_of(
    "brake_power",
    "Power of a torque at an engine speed.",
    torque=Variable("T", "N·m", "torque", positive),
    engine_speed=Variable("ω", "rad/s", "engine speed", positive),
    gives=Variable("P", "W", "power"),
    source="definition",
)


margin = difference_of(
    "margin",
    "What a part can carry beyond what it is asked to.",
    capacity=Variable("T_max", "N·m", "what it can carry", positive),
    torque=Variable("T", "N·m", "what it is asked to carry", positive),
    gives=Variable("ΔT", "N·m", "margin"),
    source="definition",
)


def relative_change(
    changed: Annotated[float, "T", "N·m"],
    before: Annotated[float, "T_0", "N·m"],
) -> Annotated[float, "ΔT/T_0", "1"]:
    """Relative change of a torque.

    Formula: ΔT/T_0 = T / T_0 - 1. Symbols: T torque after (N·m), T_0 torque before (N·m), ΔT/T_0 relative
    change (1).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("changed", changed)
    positive("before", before)
    return changed / before - 1
