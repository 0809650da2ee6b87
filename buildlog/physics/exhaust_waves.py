"""Waves in exhaust pipes: when one comes back, what a pipe is tuned to, and the order of the pulses."""

from __future__ import annotations

from math import asin, pi, sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, Within, product_of, sum_of
from buildlog.physics.limits import not_negative, positive, within

_TURN = "a working cycle is 720°"


# --- a wave that comes back ----------------------------------------------------------------


def ramp_of_lift(
    duration: Annotated[float, "θ_1", "rad"],
    timing_lift: Annotated[float, "l", "m"],
    valve_lift: Annotated[float, "l_0", "m"],
) -> Annotated[float, "θ_r", "rad"]:
    """Crank angle from where a valve leaves its seat to the lift at which a cam card reads its angles.

    Formula: θ_r = θ_1 s / (2 (1 - s)), s = (2/π) arcsin(√(l/l_0)). Symbols: θ_1 duration between the card's
    angles (rad), l lift at which it reads them and l_0 greatest lift (m), s share of the whole duration
    below l (1), θ_r angle of one ramp (rad).
    Range: θ_1 and l_0 positive, l 0 to 0.3 l_0. A lift like sin² of the angle; cams differ by a third.
    Errors: `OutOfRange`. Source: derived; that lifts are about so is common practice, no source.
    """
    positive("duration", duration)
    positive("valve_lift", valve_lift)
    within("timing_lift", timing_lift, low=0, high=0.3 * valve_lift, why="cards read near the seat")
    s = 2 / pi * asin(sqrt(timing_lift / valve_lift))
    return duration * s / (2 * (1 - s))


def duration_of_timing(
    opens: Annotated[float, "θ_o", "rad"],
    closes: Annotated[float, "θ_c", "rad"],
) -> Annotated[float, "θ_1", "rad"]:
    """Crank angle for which the exhaust valve is open, by the cam card.

    Formula: θ_1 = π + θ_o + θ_c. Symbols: θ_o opening before bottom dead centre and θ_c closing after top
    dead centre (rad), θ_1 duration (rad).
    Range: θ_o -30° to 120°, θ_c -60° to 120°. Errors: `OutOfRange`. Source: definition.
    """
    within("opens", opens, low=-pi / 6, high=2 * pi / 3, why=_TURN)
    within("closes", closes, low=-pi / 3, high=2 * pi / 3, why=_TURN)
    return pi + opens + closes


valve_overlap = sum_of(
    "valve_overlap",
    "Crank angle for which both valves are open; below 0 where they never are.",
    opens=Variable("θ_i", "rad", "opening of the inlet before top dead centre", Within()),
    closes=Variable("θ_c", "rad", "closing of the exhaust after it", Within()),
    gives=Variable("θ_v", "rad", "overlap"),
    source="definition",
)


def return_angle_of_timing(
    opens: Annotated[float, "θ_o", "rad"],
    ramp: Annotated[float, "θ_r", "rad"],
    suction_at: Annotated[float, "θ_s", "rad"],
    wave_start: Annotated[float, "θ_w", "rad"],
) -> Annotated[float, "θ", "rad"]:
    """Crank angle from where the strong part of the wave leaves the valve to where its suction is wanted.

    Formula: θ = π + θ_o + θ_r + θ_s - θ_w. Symbols: θ_o opening before bottom dead centre, θ_r ramp from the
    seat to there, θ_s where suction is wanted after top dead centre, θ_w where the wave leaves after the
    valve left its seat (rad), after from where the valve leaves its seat to where suction is wanted (rad), θ
    return angle (rad).
    Range: θ from 20°; θ_r zero or more. Errors: `OutOfRange`. Source: definition of the angles.
    """
    not_negative("ramp", ramp)
    after = pi + opens + ramp + suction_at
    within(
        "wave_start", wave_start, low=0, high=after - pi / 9, why="the wave must be gone before it is back"
    )
    return after - wave_start


def stated_return_angle(
    stated: Annotated[float, "θ_0", "rad"],
) -> Annotated[float, "θ", "rad"]:
    """Return angle as its author has it.

    Formula: θ = θ_0. Symbols: θ_0 stated and θ used crank angle from the wave's start to its return (rad).
    Range: above 0 to 4π. Errors: `OutOfRange`. Source: the author of the block.
    """
    positive("stated", stated)
    within("stated", stated, low=0, high=4 * pi, why=_TURN)
    return stated


def effective_length(
    speed_of_sound: Annotated[float, "a", "m/s"],
    return_angle: Annotated[float, "θ", "rad"],
    engine_speed: Annotated[float, "ω", "rad/s"],
    reflection: Annotated[float, "n", "1"],
    wave_time_ratio: Annotated[float, "k", "1"],
) -> Annotated[float, "L_e", "m"]:
    """Length from the valve to the open end from which a wave's n-th return takes a crank angle.

    Formula: L_e = a θ / (2 n k ω). Symbols: a speed of sound (m/s), θ crank angle from the wave's start to
    the return (rad), ω engine speed (rad/s), n which return (1; 1 the first), k time of the strong wave's
    round trip over that of sound (1), L_e length (m).
    Range: a, ω positive, θ above 0 to 4π, n 1 to 12, k 0.8 to 2. Errors: `OutOfRange`.
    Source: kinematics of a wave in a pipe: 2 n k L_e = a t, θ = ω t.
    """
    positive("speed_of_sound", speed_of_sound)
    positive("return_angle", return_angle)
    within("return_angle", return_angle, low=0, high=4 * pi, why=_TURN)
    positive("engine_speed", engine_speed)
    within("reflection", reflection, low=1, high=12, why="later returns are spent")
    within("wave_time_ratio", wave_time_ratio, low=0.8, high=2, why="waves of exhausts")
    return speed_of_sound * return_angle / (2 * reflection * wave_time_ratio * engine_speed)


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
    """Time of a sound wave, one way, to the end of a section.

    Formula: t = t_0 + L / a. Symbols: t_0 time to its start (s), L its length (m), a speed of sound in
    it (m/s), t time to its end (s).
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
    wave_time_ratio: Annotated[float, "k", "1"],
) -> Annotated[float, "ω", "rad/s"]:
    """Engine speed at which a wave's n-th return takes a crank angle.

    Formula: ω = θ / (2 n k t). Symbols: θ crank angle (rad), t time of sound one way (s), n which return (1),
    k time of the strong wave's round trip over that of sound (1), ω engine speed (rad/s).
    Range: θ above 0 to 4π, t positive, n 1 to 12, k 0.8 to 2. Errors: `OutOfRange`. Source: kinematics.
    """
    positive("return_angle", return_angle)
    within("return_angle", return_angle, low=0, high=4 * pi, why=_TURN)
    positive("travel_time", travel_time)
    within("reflection", reflection, low=1, high=12, why="later returns are spent")
    within("wave_time_ratio", wave_time_ratio, low=0.8, high=2, why="waves of exhausts")
    return return_angle / (2 * reflection * wave_time_ratio * travel_time)


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


def impedance_ratio_of_branch(
    bore: Annotated[float, "d", "m"],
    temperature: Annotated[float, "T", "K"],
    other_bore: Annotated[float, "D", "m"],
    other_temperature: Annotated[float, "T_p", "K"],
) -> Annotated[float, "m", "1"]:
    """Wave impedance of a pipe over that of a branch at its side, whose gas is cooler.

    It is the ratio of the areas where both are as hot: ρ a goes with 1/√T.

    Formula: m = (d / D)² √(T / T_p). Symbols: d bore of the branch and D of the pipe (m), T temperature in
    the branch and T_p in the pipe (K), m ratio of the wave impedances ρ a / S (1).
    Range: all positive. Errors: `OutOfRange`. Source: Kinsler and Frey, Fundamentals of Acoustics, ch. 8
    (from memory): impedance ρ a / S; the heat capacities held.
    """
    positive("bore", bore)
    positive("temperature", temperature)
    positive("other_bore", other_bore)
    positive("other_temperature", other_temperature)
    return (bore / other_bore) ** 2 * sqrt(temperature / other_temperature)


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
