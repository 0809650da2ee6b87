"""Engagement: slip and heat of a clutch that brings a standing car to the engine's speed.

The launch is the one with a closed form: the engine is held at one speed and the clutch at one torque,
so the gearbox side runs up evenly and the slip falls in a straight line to nothing.
"""

from __future__ import annotations

from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within


def inertia_at_clutch(
    vehicle_mass: Annotated[float, "m", "kg"],
    rolling_radius: Annotated[float, "r_e", "m"],
    overall_ratio: Annotated[float, "i", "1"],
    wheel_inertia: Annotated[float, "J_1", "kg·m²"],
    driveline_efficiency: Annotated[float, "η", "1"],
) -> Annotated[float, "J_v", "kg·m²"]:
    """Inertia of the car and its four wheels at the gearbox's input shaft, with what the driveline loses.

    Formula: J_v = (m r_e² + 4 J_1) / (η i²). Symbols: m mass (kg), r_e rolling radius (m), i overall ratio
    (1), J_1 inertia of one wheel (kg·m²), η driveline efficiency (1), J_v inertia (kg·m²).
    Range: J_1 zero or more, η to 1, others positive. Errors: `OutOfRange`. Source: Newton's law for the
    wheels: η i T - F_R r_e = (m r_e + 4 J_1 / r_e) a, with a = r_e / i times the shaft's acceleration.
    """
    positive("vehicle_mass", vehicle_mass)
    positive("rolling_radius", rolling_radius)
    positive("overall_ratio", overall_ratio)
    not_negative("wheel_inertia", wheel_inertia)
    within("driveline_efficiency", driveline_efficiency, 1e-3, 1)
    return (vehicle_mass * rolling_radius**2 + 4 * wheel_inertia) / (driveline_efficiency * overall_ratio**2)


def resistance_torque(
    road_resistance: Annotated[float, "F_R", "N"],
    rolling_radius: Annotated[float, "r_e", "m"],
    overall_ratio: Annotated[float, "i", "1"],
    driveline_efficiency: Annotated[float, "η", "1"],
) -> Annotated[float, "T_R", "N·m"]:
    """Torque at the gearbox input that only holds the car against its resistance.

    Formula: T_R = F_R r_e / (η i). Symbols: F_R rolling, gradient and air resistance (N), r_e rolling
    radius (m), i overall ratio (1), η driveline efficiency (1), T_R torque (N·m).
    Range: F_R zero or more, η to 1, others positive. Errors: `OutOfRange`. Source: equilibrium.
    """
    not_negative("road_resistance", road_resistance)
    positive("rolling_radius", rolling_radius)
    positive("overall_ratio", overall_ratio)
    within("driveline_efficiency", driveline_efficiency, 1e-3, 1)
    return road_resistance * rolling_radius / (driveline_efficiency * overall_ratio)


def slip_duration(
    inertia_at_clutch: Annotated[float, "J_v", "kg·m²"],
    launch_speed: Annotated[float, "ω", "rad/s"],
    launch_torque: Annotated[float, "T", "N·m"],
    resistance_torque: Annotated[float, "T_R", "N·m"],
) -> Annotated[float, "t_s", "s"]:
    """Time until the gearbox side has reached the engine's speed.

    Formula: t_s = J_v ω / (T - T_R). Symbols: J_v inertia of the car at the clutch (kg·m²), ω engine
    speed (rad/s), T torque carried while slipping (N·m), T_R resistance (N·m), t_s time (s).
    Range: J_v, ω positive; T above T_R. Errors: `OutOfRange`. Source: Newton's law for rotation.
    """
    positive("inertia_at_clutch", inertia_at_clutch)
    positive("launch_speed", launch_speed)
    not_negative("resistance_torque", resistance_torque)
    if not launch_torque > resistance_torque:
        raise OutOfRange(
            "launch_torque", f"{launch_torque:g} N·m", f"more than the resistance, {resistance_torque:g} N·m"
        )
    return inertia_at_clutch * launch_speed / (launch_torque - resistance_torque)


def slip_energy(
    launch_torque: Annotated[float, "T", "N·m"],
    launch_speed: Annotated[float, "ω", "rad/s"],
    slip_duration: Annotated[float, "t_s", "s"],
) -> Annotated[float, "E", "J"]:
    """Heat of one launch: half of the engine's work while the clutch slips.

    Formula: E = T ω t_s / 2. Symbols: T torque carried (N·m), ω engine speed (rad/s), t_s time of slip
    (s), E heat (J). Without resistance this is J_v ω² / 2, and without losses the kinetic energy at the end.
    Range: all positive. Errors: `OutOfRange`. Source: energy balance.
    """
    positive("launch_torque", launch_torque)
    positive("launch_speed", launch_speed)
    positive("slip_duration", slip_duration)
    return launch_torque * launch_speed * slip_duration / 2


slip_power = product_of(
    "slip_power",
    "Slip power at the first moment, when the gearbox side still stands.",
    launch_torque=Variable("T", "N·m", "torque carried", positive),
    launch_speed=Variable("ω", "rad/s", "engine speed", positive),
    gives=Variable("P_0", "W", "power"),
    note="it falls in a straight line to nothing, so the mean is half of it",
    source="definition of power",
)


def lock_up_speed(
    launch_speed: Annotated[float, "ω", "rad/s"],
    rolling_radius: Annotated[float, "r_e", "m"],
    overall_ratio: Annotated[float, "i", "1"],
) -> Annotated[float, "v_l", "m/s"]:
    """Road speed at which the slip ends.

    Formula: v_l = ω r_e / i. Symbols: ω engine speed (rad/s), r_e rolling radius (m), i overall ratio
    (1), v_l road speed (m/s).
    Range: all positive. Errors: `OutOfRange`. Source: kinematics.
    """
    positive("launch_speed", launch_speed)
    positive("rolling_radius", rolling_radius)
    positive("overall_ratio", overall_ratio)
    return launch_speed * rolling_radius / overall_ratio


energy_per_area = ratio_of(
    "energy_per_area",
    "Heat of a launch by area of friction material.",
    slip_energy=Variable("E", "J", "heat", positive),
    friction_area=Variable("A", "m²", "friction area of all faces", positive),
    gives=Variable("w", "J/m²", "energy by area"),
    source="definition",
)

power_per_area = ratio_of(
    "power_per_area",
    "Slip power by area.",
    slip_power=Variable("P", "W", "slip power", positive),
    friction_area=Variable("A", "m²", "area of all faces", positive),
    gives=Variable("q", "W/m²", "power by area"),
    source="definition",
)

energy_share = ratio_of(
    "energy_share",
    "Energy by area as a share of a published limit.",
    energy_per_area=Variable("w", "J/m²", "energy by area", positive),
    published_energy=Variable("w_lim", "J/m²", "limit", positive),
    gives=Variable("u_w", "1", "share"),
    source="definition",
)

power_share = ratio_of(
    "power_share",
    "Power by area as a share of a published rating.",
    power_per_area=Variable("q", "W/m²", "power by area", positive),
    published_power=Variable("q_lim", "W/m²", "rating", positive),
    gives=Variable("u_q", "1", "share"),
    source="definition",
)
