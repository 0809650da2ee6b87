"""Heat: what a short burst of slip does to a plate, as a whole and at its surface."""

from __future__ import annotations

from math import exp, pi, sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, Within, product_of, sum_of
from buildlog.physics.limits import not_negative, positive, within


def lumped_rise(
    slip_energy: Annotated[float, "E", "J"],
    heat_share: Annotated[float, "γ", "1"],
    plate_mass: Annotated[float, "m", "kg"],
    specific_heat: Annotated[float, "c", "J/(kg·K)"],
) -> Annotated[float, "ΔT", "K"]:
    """Temperature rise of a plate once its heat has spread through it.

    Formula: ΔT = γ E / (m c). Symbols: E heat of the event (J), γ share that goes into this plate (1),
    m mass of the plate (kg), c specific heat (J/(kg·K)), ΔT rise (K). Nothing is lost meanwhile.
    Range: all positive, γ up to 1. Errors: `OutOfRange`. Source: energy balance.
    """
    positive("slip_energy", slip_energy)
    within("heat_share", heat_share, 1e-6, 1.0)
    positive("plate_mass", plate_mass)
    positive("specific_heat", specific_heat)
    return heat_share * slip_energy / (plate_mass * specific_heat)


def flux_at_start(
    slip_power: Annotated[float, "P_0", "W"],
    ring_area: Annotated[float, "A_r", "m²"],
    faces: Annotated[float, "z", "1"],
) -> Annotated[float, "q_0", "W/m²"]:
    """Heat flux into the metal under one face at the start, spread over the ring that the facing sweeps.

    Formula: q_0 = P_0 / (z A_r). Symbols: P_0 slip power at the start (W), z friction faces (1), A_r area
    of the ring (m²), q_0 flux (W/m²). Pads pass over the whole ring many times a second, so the metal
    sees the ring's area and not the pads'.
    Range: all positive. Errors: `OutOfRange`. Source: equal torque and slip on every face.
    """
    positive("slip_power", slip_power)
    positive("ring_area", ring_area)
    positive("faces", faces)
    return slip_power / (faces * ring_area)


def surface_rise(
    flux_at_start: Annotated[float, "q_0", "W/m²"],
    conductivity: Annotated[float, "λ", "W/(m·K)"],
    density: Annotated[float, "ρ", "kg/m³"],
    specific_heat: Annotated[float, "c", "J/(kg·K)"],
    time: Annotated[float, "t", "s"],
    slip_duration: Annotated[float, "t_s", "s"],
) -> Annotated[float, "ΔT_0", "K"]:
    """Temperature rise at the surface of a thick plate under a heat flux that falls evenly to nothing.

    Formula: ΔT_0 = 2 q_0 √(t / (π λ ρ c)) (1 - 2 t / (3 t_s)), for the flux q_0 (1 - t / t_s). Symbols: q_0
    flux at the start (W/m²), λ conductivity (W/(m·K)), ρ density (kg/m³), c specific heat (J/(kg·K)), t time
    since the start (s), t_s time of slip, at which the flux ends (s), constant flux rise what a flux that
    stays would bring (K), ΔT_0 rise of the surface (K).
    Range: t from 0 to t_s, others positive. The plate is taken as a half-space: it holds while the heat
    has not reached the plate's back. Errors: `OutOfRange`.
    Source: Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. (1959), 2.9 for the constant flux,
    with Duhamel's theorem for the falling one (derived).
    """
    positive("flux_at_start", flux_at_start)
    positive("conductivity", conductivity)
    positive("density", density)
    positive("specific_heat", specific_heat)
    positive("slip_duration", slip_duration)
    within("time", time, low=0.0, high=slip_duration, why="the formula ends with the flux")
    constant_flux_rise = 2 * flux_at_start * sqrt(time / (pi * conductivity * density * specific_heat))
    return constant_flux_rise * (1 - 2 * time / (3 * slip_duration))


def hottest_moment(slip_duration: Annotated[float, "t_s", "s"]) -> Annotated[float, "t_h", "s"]:
    """When the surface is hottest under a flux that falls evenly to nothing.

    Formula: t_h = t_s / 2. Symbols: t_s time at which the flux ends (s), t_h hottest moment (s).
    Range: t_s positive. Errors: `OutOfRange`. Source: derivative of the rise set to nothing (derived).
    """
    positive("slip_duration", slip_duration)
    return slip_duration / 2


def heated_depth(
    conductivity: Annotated[float, "λ", "W/(m·K)"],
    density: Annotated[float, "ρ", "kg/m³"],
    specific_heat: Annotated[float, "c", "J/(kg·K)"],
    slip_duration: Annotated[float, "t_s", "s"],
) -> Annotated[float, "x", "m"]:
    """Depth that heat reaches while the clutch slips.

    Formula: x = 2 √(λ t_s / (ρ c)). Symbols: λ conductivity (W/(m·K)), ρ density (kg/m³), c specific heat
    (J/(kg·K)), t_s duration of the slip (s), x depth (m), at which a constant
    flux brings a tenth of the surface's rise.
    Range: all positive. Errors: `OutOfRange`.
    Source: Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. (1959), 2.9: ierfc(1) / ierfc(0) = 0.09.
    """
    positive("conductivity", conductivity)
    positive("density", density)
    positive("specific_heat", specific_heat)
    positive("slip_duration", slip_duration)
    return 2 * sqrt(conductivity * slip_duration / (density * specific_heat))


def plate_thickness(
    plate_mass: Annotated[float, "m", "kg"],
    density: Annotated[float, "ρ", "kg/m³"],
    ring_area: Annotated[float, "A_r", "m²"],
) -> Annotated[float, "e", "m"]:
    """Thickness the plate's mass would have, spread under the facing's ring.

    Formula: e = m / (ρ A_r). Symbols: m mass (kg), ρ density (kg/m³), A_r area of the ring (m²), e
    thickness (m).
    Range: all positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("plate_mass", plate_mass)
    positive("density", density)
    positive("ring_area", ring_area)
    return plate_mass / (density * ring_area)


def repeated_rise(
    plate_rise: Annotated[float, "ΔT_1", "K"],
    launches: Annotated[float, "n", "1"],
    launch_interval: Annotated[float, "t_i", "s"],
    cooling_time_constant: Annotated[float, "τ", "s"],
) -> Annotated[float, "ΔT_n", "K"]:
    """Rise of a lumped plate just after the last of several equal launches with cooling between them.

    Formula: x = t_i / τ, ΔT_n = ΔT_1 (1 - e^(-n x)) / (1 - e^(-x)). Symbols: ΔT_1 rise by one launch (K), n
    number of launches (1), t_i time from one to the next (s), τ time constant of cooling (s), x interval over
    time constant (1), ΔT_n rise above the surroundings (K).
    Range: all positive, n from 1. Errors: `OutOfRange`.
    Source: Newton's law of cooling and the sum of a geometric series (derived).
    """
    positive("plate_rise", plate_rise)
    within("launches", launches, 1.0)
    positive("launch_interval", launch_interval)
    positive("cooling_time_constant", cooling_time_constant)
    x = launch_interval / cooling_time_constant
    return plate_rise * (1 - exp(-launches * x)) / (1 - exp(-x))


uncooled_rise = product_of(
    "uncooled_rise",
    "Rise of a lumped plate after several equal launches without any cooling: the worst case.",
    plate_rise=Variable("ΔT_1", "K", "rise by one", positive),
    launches=Variable("n", "1", "number of launches", Within(1.0)),
    gives=Variable("ΔT_n", "K", "rise"),
    order=("launches", "plate_rise"),
    source="energy balance",
)


def share_of_faces(
    plate_faces: Annotated[float, "z_p", "1"],
    faces: Annotated[float, "z", "1"],
) -> Annotated[float, "γ", "1"]:
    """Share of the slip heat that goes into one metal plate.

    Formula: γ = z_p / z. Symbols: z_p friction faces that rub on this plate, z faces of the whole
    clutch, γ share (1). Every face makes the same heat, and the metal takes all of it: facings conduct
    little. The metal's rise comes out high; the facing's face is about as hot as the metal it rubs on.
    Range: z_p from 1 to z / 2: flywheel and pressure plate have one face, a plate between two driven plates
    has two. Errors: `OutOfRange`.
    Source: equal torque and slip on every face; the rest is common practice, no source.
    """
    within(
        "plate_faces",
        plate_faces,
        low=1.0,
        high=faces / 2,
        why="only a plate between two driven plates has two faces",
    )
    return plate_faces / faces


face_temperature = sum_of(
    "face_temperature",
    "Temperature of a rubbing face at its hottest moment.",
    start_temperature=Variable("T_s", "K", "temperature before", positive),
    surface_rise=Variable("ΔT_0", "K", "rise", not_negative),
    gives=Variable("T_f", "K", "temperature"),
    source="definition",
)
