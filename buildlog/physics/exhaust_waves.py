"""Waves in exhaust pipes: when one comes back, what a pipe is tuned to, and the order of the pulses."""

from __future__ import annotations

from math import pi, sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, product_of
from buildlog.physics.limits import not_negative, positive, within

_TURN = "a working cycle is 720°"


# --- a wave that comes back ----------------------------------------------------------------


def effective_length(
    speed_of_sound: Annotated[float, "a", "m/s"],
    return_angle: Annotated[float, "θ", "rad"],
    engine_speed: Annotated[float, "ω", "rad/s"],
    reflection: Annotated[float, "n", "1"],
) -> Annotated[float, "L_e", "m"]:
    """Length from the valve to the open end from which a wave's n-th return takes a crank angle.

    Formula: L_e = a θ / (2 n ω). Symbols: a speed of sound (m/s), θ crank angle from the wave's start to the
    return (rad), ω engine speed (rad/s), n which return (1; 1 the first), L_e length (m).
    Range: a, ω positive, θ above 0 to 4π, n 1 to 12. Errors: `OutOfRange`.
    Source: kinematics of a sound wave in a pipe: 2 n L_e = a t, θ = ω t.
    """
    positive("speed_of_sound", speed_of_sound)
    positive("return_angle", return_angle)
    within("return_angle", return_angle, low=0, high=4 * pi, why=_TURN)
    positive("engine_speed", engine_speed)
    within("reflection", reflection, low=1, high=12, why="later returns are spent")
    return speed_of_sound * return_angle / (2 * reflection * engine_speed)


def primary_length(
    effective_length: Annotated[float, "L_e", "m"],
    port_length: Annotated[float, "L_p", "m"],
) -> Annotated[float, "L", "m"]:
    """Length of the pipe from the flange to the open end.

    Formula: L = L_e - L_p. Symbols: L_e from the valve to the open end (m), L_p from the valve to the flange
    (m), L from the flange to the open end (m).
    Range: L_p zero or more and below L_e. Errors: `OutOfRange`. Source: geometry.
    """
    positive("effective_length", effective_length)
    within(
        "port_length",
        port_length,
        low=0,
        high=0.999 * effective_length,
        why="something must be left for the pipe",
    )
    return effective_length - port_length


def travel_time(
    travel_time_before: Annotated[float, "t_0", "s"],
    length: Annotated[float, "L", "m"],
    speed_of_sound: Annotated[float, "a", "m/s"],
) -> Annotated[float, "t", "s"]:
    """Time of a sound wave, one way, from the valve to the end of a section.

    Formula: t = t_0 + L / a. Symbols: t_0 time to the section's start (s), L its length (m), a speed of sound
    in it (m/s), t time to its end (s).
    Range: t_0 and L zero or more, a positive. Errors: `OutOfRange`. Source: kinematics.
    """
    not_negative("travel_time_before", travel_time_before)
    not_negative("length", length)
    positive("speed_of_sound", speed_of_sound)
    return travel_time_before + length / speed_of_sound


length_of_even_sound = product_of(
    "length_of_even_sound",
    "Length of a pipe of one temperature in which sound takes as long.",
    travel_time=Variable("t", "s", "time one way", positive),
    speed_of_sound=Variable("a", "m/s", "speed of sound in it", positive),
    gives=Variable("L_e", "m", "length"),
    order=("speed_of_sound", "travel_time"),
    source="kinematics",
)


def tuned_speed(
    return_angle: Annotated[float, "θ", "rad"],
    travel_time: Annotated[float, "t", "s"],
    reflection: Annotated[float, "n", "1"],
) -> Annotated[float, "ω", "rad/s"]:
    """Engine speed at which a wave's n-th return takes a crank angle.

    Formula: ω = θ / (2 n t). Symbols: θ crank angle (rad), t time of the wave one way (s), n which return
    (1), ω engine speed (rad/s).
    Range: θ above 0 to 4π, t positive, n 1 to 12. Errors: `OutOfRange`. Source: kinematics.
    """
    positive("return_angle", return_angle)
    within("return_angle", return_angle, low=0, high=4 * pi, why=_TURN)
    positive("travel_time", travel_time)
    within("reflection", reflection, low=1, high=12, why="later returns are spent")
    return return_angle / (2 * reflection * travel_time)


def pressure_reflection(
    bore: Annotated[float, "d_1", "m"],
    bore_after: Annotated[float, "d_2", "m"],
) -> Annotated[float, "r", "1"]:
    """Share of a wave's pressure that a step in bore sends back; below 0 with its sign turned.

    Formula: r = (d_1² - d_2²) / (d_1² + d_2²). Symbols: d_1 bore before and d_2 after the step, as the wave
    runs (m), r pressure of the reflected wave over that of the arriving one (1).
    Range: both positive; small waves, no flow. An open end is r = -1, a closed one 1. Errors: `OutOfRange`.
    Source: Kinsler and Frey, Fundamentals of Acoustics, 2nd ed. (Wiley, 1962), 8.3 (from memory); continuity
    of pressure and of flow.
    """
    positive("bore", bore)
    positive("bore_after", bore_after)
    return (bore**2 - bore_after**2) / (bore**2 + bore_after**2)


def length_uncertainty(
    effective_length: Annotated[float, "L_e", "m"],
    speed_of_sound: Annotated[float, "a", "m/s"],
    speed_of_sound_uncertainty: Annotated[float, "u_a", "m/s"],
    return_angle: Annotated[float, "θ", "rad"],
    return_angle_uncertainty: Annotated[float, "u_θ", "rad"],
) -> Annotated[float, "u_L", "m"]:
    """Standard uncertainty of a tuned length.

    Formula: u_L = L_e √((u_a / a)² + (u_θ / θ)²). Symbols: L_e length from the valve (m), a speed of sound
    and u_a its standard uncertainty (m/s), θ crank angle and u_θ its standard uncertainty (rad), u_L standard
    uncertainty (m).
    Range: L_e, a, θ positive, the others zero or more. Errors: `OutOfRange`.
    Source: JCGM 100:2008 (GUM), 5.1.2, applied to L_e = a θ / (2 n ω).
    """
    positive("effective_length", effective_length)
    positive("speed_of_sound", speed_of_sound)
    not_negative("speed_of_sound_uncertainty", speed_of_sound_uncertainty)
    positive("return_angle", return_angle)
    not_negative("return_angle_uncertainty", return_angle_uncertainty)
    sound = speed_of_sound_uncertainty / speed_of_sound
    return effective_length * sqrt(sound**2 + (return_angle_uncertainty / return_angle) ** 2)


def length_uncertainty_by_temperature(
    effective_length: Annotated[float, "L_e", "m"],
    temperature: Annotated[float, "T", "K"],
    temperature_uncertainty: Annotated[float, "u_T", "K"],
) -> Annotated[float, "u_L,T", "m"]:
    """Part of a tuned length's standard uncertainty that comes of the gas temperature alone.

    Formula: u_L,T = L_e u_T / (2 T). Symbols: L_e length from the valve (m), T gas temperature (K), u_T its
    standard uncertainty (K), u_L,T standard uncertainty of the length (m).
    Range: L_e, T positive, u_T zero or more. Errors: `OutOfRange`.
    Source: JCGM 100:2008 (GUM), 5.1.3, applied to L_e in proportion to √T.
    """
    positive("effective_length", effective_length)
    positive("temperature", temperature)
    not_negative("temperature_uncertainty", temperature_uncertainty)
    return effective_length * temperature_uncertainty / (2 * temperature)


def temperature_share(
    length_uncertainty_by_temperature: Annotated[float, "u_L,T", "m"],
    primary_length_uncertainty: Annotated[float, "u_L", "m"],
) -> Annotated[float, "w_T", "1"]:
    """Share of the gas temperature in the variance of a length: what would go if it were known exactly.

    Formula: w_T = (u_L,T / u_L)². Symbols: u_L,T standard uncertainty from the temperature alone (m), u_L
    from all causes (m), w_T share (1).
    Range: u_L positive, u_L,T 0 to u_L. Errors: `OutOfRange`. Source: JCGM 100:2008 (GUM), 5.1.3.
    """
    positive("primary_length_uncertainty", primary_length_uncertainty)
    within(
        "length_uncertainty_by_temperature",
        length_uncertainty_by_temperature,
        low=0,
        high=1.000001 * primary_length_uncertainty,
        why="a part",
    )
    return (length_uncertainty_by_temperature / primary_length_uncertainty) ** 2


# --- pipes that sound ----------------------------------------------------------------------


def side_branch_length(
    speed_of_sound: Annotated[float, "a", "m/s"],
    frequency: Annotated[float, "f", "Hz"],
    end_correction: Annotated[float, "δ", "m"],
) -> Annotated[float, "L", "m"]:
    """Length of a closed side branch that takes a tone out of a pipe: a quarter of the wavelength.

    Formula: L = a / (4 f) - δ. Symbols: a speed of sound in the branch (m/s), f frequency (Hz), δ end
    correction (m), L length from its mouth to its end (m).
    Range: a, f positive, δ 0 to below a/(4 f); less than a flanged end's where the branch is as wide as its
    pipe. It works at 3 f, 5 f … too. Errors: `OutOfRange`.
    Source: Kinsler and Frey, Fundamentals of Acoustics, ch. 8 (from memory).
    """
    positive("speed_of_sound", speed_of_sound)
    positive("frequency", frequency)
    within(
        "end_correction",
        end_correction,
        low=0,
        high=0.225 * speed_of_sound / frequency,
        why="the branch is too wide",
    )
    return speed_of_sound / (4 * frequency) - end_correction


def order_frequency(
    order: Annotated[float, "N", "1"],
    engine_speed: Annotated[float, "ω", "rad/s"],
) -> Annotated[float, "f", "Hz"]:
    """Frequency of an engine order: so many times a turn.

    Formula: f = N ω / (2 π). Symbols: N order (1), ω engine speed (rad/s), f frequency (Hz).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("order", order)
    positive("engine_speed", engine_speed)
    return order * engine_speed / (2 * pi)


def order_of_frequency(
    frequency: Annotated[float, "f", "Hz"],
    engine_speed: Annotated[float, "ω", "rad/s"],
) -> Annotated[float, "N", "1"]:
    """Engine order that a tone belongs to.

    Formula: N = 2 π f / ω. Symbols: f frequency (Hz), ω engine speed (rad/s), N order (1).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("frequency", frequency)
    positive("engine_speed", engine_speed)
    return 2 * pi * frequency / engine_speed


# --- gas that the piston pushes --------------------------------------------------------------


def stroke_gas_speed(
    displacement: Annotated[float, "V_d", "m³"],
    cylinders: Annotated[float, "z", "1"],
    engine_speed: Annotated[float, "ω", "rad/s"],
    bore: Annotated[float, "d", "m"],
) -> Annotated[float, "v_s", "m/s"]:
    """Speed at which the piston pushes its own volume through a pipe during the exhaust stroke.

    Formula: v_s = 4 V_d ω / (π² z d²). Symbols: V_d displacement of all cylinders (m³), z cylinders (1), ω
    engine speed (rad/s), d bore of the pipe (m), v_s speed (m/s).
    Range: all positive. It is the mean piston speed times the ratio of the areas. Errors: `OutOfRange`.
    Source: continuity; half a turn takes π/ω.
    """
    positive("displacement", displacement)
    positive("cylinders", cylinders)
    positive("engine_speed", engine_speed)
    positive("bore", bore)
    return 4 * displacement * engine_speed / (pi**2 * cylinders * bore**2)
