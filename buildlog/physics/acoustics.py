"""Chambers and pipes beside a duct: where they resonate, and at which revs an engine order meets that."""

from __future__ import annotations

from math import atan, cos, log10, pi, sin, sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, ratio_of
from buildlog.physics.limits import not_negative, positive, within


def flanged_end_correction(
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "δ", "m"]:
    """What an opening flush with a wide wall adds to the length of the air that swings in it.

    Formula: δ = 8/(3 π) d/2. Symbols: d bore (m), δ end correction (m).
    Range: d positive; a wall several bores wide, and a bore small against the wavelength. The exact value for
    an endless wall is 0.8217 of the radius. Errors: `OutOfRange`.
    Source: Rayleigh, The Theory of Sound, vol. 2, § 307 and appendix A (from memory); as course work of the
    Politecnico di Milano on Helmholtz resonators has it.
    """
    positive("diameter", diameter)
    return 8 / (3 * pi) * diameter / 2


def free_end_correction(
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "δ", "m"]:
    """What the end of a thin pipe in the open adds to the length of the air that swings in it.

    Formula: δ = 0.6133 d/2. Symbols: d bore (m), δ end correction (m).
    Range: d positive, small against the wavelength; a thin wall. Errors: `OutOfRange`.
    Source: H. Levine and J. Schwinger, On the radiation of sound from an unflanged circular pipe, Physical
    Review 73 (1948) 383–406 (from memory); confirmed by measurement in Acta Acustica 9 (2025) 71 (abstract).
    """
    positive("diameter", diameter)
    return 0.6133 * diameter / 2


def no_end_correction() -> Annotated[float, "δ", "m"]:
    """End correction of an end whose length was measured with it, by ear or by microphone.

    Formula: δ = 0. Symbols: δ end correction (m).
    Range: a length that already is the acoustic one. Source: definition.
    """
    return 0.0


def length_with_ends(
    length: Annotated[float, "L", "m"],
    first_end: Annotated[float, "δ_1", "m"],
    second_end: Annotated[float, "δ_2", "m"],
) -> Annotated[float, "L_e", "m"]:
    """Acoustic length of a neck or pipe.

    Formula: L_e = L + δ_1 + δ_2. Symbols: L length (m), δ_1 end correction of one end (m), δ_2 end correction
    of the other (m), L_e acoustic length (m).
    Range: none negative, and together more than 0. Errors: `OutOfRange`. Source: definition.
    """
    not_negative("length", length)
    not_negative("first_end", first_end)
    not_negative("second_end", second_end)
    positive("length", length + first_end + second_end)
    return length + first_end + second_end


def neck_area(
    diameter: Annotated[float, "d", "m"],
    necks: Annotated[float, "n", "1"],
) -> Annotated[float, "A", "m²"]:
    """Area of all necks of a chamber together.

    Formula: A = n π d² / 4. Symbols: n number of like necks (1), d bore (m), A area (m²).
    Range: d positive, n 1 or more. Errors: `OutOfRange`. Source: geometry.
    """
    positive("diameter", diameter)
    within("necks", necks, 1)
    return necks * pi * diameter**2 / 4


def helmholtz_frequency(
    speed_of_sound: Annotated[float, "a", "m/s"],
    neck_area: Annotated[float, "A", "m²"],
    volume: Annotated[float, "V", "m³"],
    acoustic_length: Annotated[float, "L_e", "m"],
) -> Annotated[float, "f", "Hz"]:
    """Frequency at which the air of a neck swings on the spring of the chamber behind it.

    Formula: f = a / (2 π) √(A / (V L_e)). Symbols: a speed of sound (m/s), A area of the neck (m²), V volume
    of the chamber without the neck (m³), L_e acoustic length of the neck (m), f frequency (Hz).
    Range: all positive; neck and chamber short against the wavelength. Errors: `OutOfRange`.
    Source: J. Woodhouse, Euphonics (University of Cambridge), 4.2.1, eq. 8; Rayleigh, The Theory of Sound,
    vol. 2, ch. 16 (from memory).
    """
    positive("speed_of_sound", speed_of_sound)
    positive("neck_area", neck_area)
    positive("volume", volume)
    positive("acoustic_length", acoustic_length)
    return speed_of_sound / (2 * pi) * sqrt(neck_area / (volume * acoustic_length))


def error_of_lumping(
    frequency: Annotated[float, "f", "Hz"],
    acoustic_length: Annotated[float, "L_e", "m"],
    speed_of_sound: Annotated[float, "a", "m/s"],
) -> Annotated[float, "e", "1"]:
    """How much too high the Helmholtz frequency is because the neck is taken as a plug of air, relative.

    Formula: e = (2 π f L_e / a)² / 6. Symbols: f Helmholtz frequency (Hz), L_e acoustic length of the neck
    (m), a speed of sound (m/s), e relative error (1).
    Range: all positive; the first term of a series, good to a tenth of itself up to e = 0.05. Errors:
    `OutOfRange`.
    Source: derived, from k L tan(k L) = A L / V for a neck that is a pipe.
    """
    positive("frequency", frequency)
    positive("acoustic_length", acoustic_length)
    positive("speed_of_sound", speed_of_sound)
    return (2 * pi * frequency * acoustic_length / speed_of_sound) ** 2 / 6


def frequency_of_neck_as_pipe(
    plug_frequency: Annotated[float, "f_0", "Hz"],
    lumping_error: Annotated[float, "e", "1"],
) -> Annotated[float, "f", "Hz"]:
    """Helmholtz frequency with the neck as a pipe and not as a plug of air.

    Formula: f = f_0 / (1 + e). Symbols: f_0 frequency with a plug of air (Hz), e how much too high that is,
    relative (1), f frequency (Hz).
    Range: f_0 positive, e 0 to 0.1, where it is within 0.2 % of k L tan(k L) = A L / V. Errors: `OutOfRange`.
    Source: derived, see `error_of_lumping`; that known errors are to be corrected: JCGM 100:2008, 3.2.4.
    """
    positive("plug_frequency", plug_frequency)
    within("lumping_error", lumping_error, 0, 0.1, "longer necks are pipes")
    return plug_frequency / (1 + lumping_error)


def chamber_in_wavelengths(
    frequency: Annotated[float, "f", "Hz"],
    volume: Annotated[float, "V", "m³"],
    speed_of_sound: Annotated[float, "a", "m/s"],
) -> Annotated[float, "s", "1"]:
    """Edge of a cube as large as the chamber, in wavelengths.

    Formula: s = f V^(1/3) / a. Symbols: f frequency (Hz), V volume (m³), a speed of sound (m/s), s size (1).
    Range: all positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("frequency", frequency)
    positive("volume", volume)
    positive("speed_of_sound", speed_of_sound)
    return frequency * volume ** (1 / 3) / speed_of_sound  # type: ignore[no-any-return]


def quarter_wave_frequency(
    speed_of_sound: Annotated[float, "a", "m/s"],
    acoustic_length: Annotated[float, "L_e", "m"],
    mode: Annotated[float, "m", "1"],
) -> Annotated[float, "f", "Hz"]:
    """Natural frequency of a pipe that is closed at one end.

    Formula: f = (2 m - 1) a / (4 L_e). Symbols: a speed of sound (m/s), L_e acoustic length (m), m mode (1; 1
    the lowest), f frequency (Hz).
    Range: a, L_e positive, m 1 to 20; even bore, narrow against the wavelength. Errors: `OutOfRange`.
    Source: OpenStax, College Physics, 17.5.
    """
    positive("speed_of_sound", speed_of_sound)
    positive("acoustic_length", acoustic_length)
    within("mode", mode, 1, 20)
    return (2 * mode - 1) * speed_of_sound / (4 * acoustic_length)


def order_of_events(
    events: Annotated[float, "n", "1"],
) -> Annotated[float, "N", "1"]:
    """Engine order of what happens n times in the two turns of a four-stroke cycle.

    Formula: N = n / 2. Symbols: n events in two turns (1), N order, events a turn (1).
    Range: n 1 to 64. Errors: `OutOfRange`. Source: definition of the four-stroke cycle.
    """
    within("events", events, 1, 64)
    return events / 2


def revs_of_order(
    frequency: Annotated[float, "f", "Hz"],
    order: Annotated[float, "N", "1"],
) -> Annotated[float, "ω", "rad/s"]:
    """Engine speed at which an order has a frequency.

    Formula: ω = 2 π f / N. Symbols: f frequency (Hz), N order, events a turn (1), ω engine speed (rad/s).
    Range: both positive. Errors: `OutOfRange`. Source: definition of the order.
    """
    positive("frequency", frequency)
    positive("order", order)
    return 2 * pi * frequency / order


def frequency_of_order(
    engine_speed: Annotated[float, "ω", "rad/s"],
    order: Annotated[float, "N", "1"],
) -> Annotated[float, "f", "Hz"]:
    """Frequency of an order at an engine speed.

    Formula: f = N ω / (2 π). Symbols: ω engine speed (rad/s), N order, events a turn (1), f frequency (Hz).
    Range: both positive. Errors: `OutOfRange`. Source: definition of the order.
    """
    positive("engine_speed", engine_speed)
    positive("order", order)
    return order * engine_speed / (2 * pi)


area_ratio = ratio_of(
    "area_ratio",
    "Area of what hangs at the side over that of the duct.",
    area=Variable("S_b", "m²", "area of the mouth", positive),
    duct_area=Variable("S", "m²", "area of the duct", positive),
    gives=Variable("m", "1", "area ratio"),
    source="geometry",
)


def attenuation_by_walls(
    frequency: Annotated[float, "f", "Hz"],
    diameter: Annotated[float, "d", "m"],
    speed_of_sound: Annotated[float, "a", "m/s"],
    kinematic_viscosity: Annotated[float, "ν", "m²/s"],
) -> Annotated[float, "α", "1/m"]:
    """What a plane wave loses along a smooth pipe to friction and heat at its wall: exp(-α) of its pressure
    a metre is left.

    Formula: α = 2 √(π f ν) / (d a) (1 + (γ - 1) √(5/(3 γ))), γ = 1.4. Symbols: f frequency (Hz), d bore (m),
    a speed of sound (m/s), ν kinematic viscosity (m²/s), γ ratio of the specific heats of air (1), heat what
    heat adds to friction, relative (1), α attenuation of the pressure (1/m).
    Range: all positive; the layer at the wall thin against the bore. Errors: `OutOfRange`.
    Source: Kirchhoff's, with Eucken's Prandtl number, as D. A. Bies and others, Engineering Noise Control,
    6th ed. (2024), eq. 8.34 has it (read as course code that cites it).
    """
    positive("frequency", frequency)
    positive("diameter", diameter)
    positive("speed_of_sound", speed_of_sound)
    positive("kinematic_viscosity", kinematic_viscosity)
    heat = 0.4 * sqrt(5 / (3 * 1.4))
    return 2 * sqrt(pi * frequency * kinematic_viscosity) / (diameter * speed_of_sound) * (1 + heat)


def resistance_of_branch(
    attenuation: Annotated[float, "α", "1/m"],
    acoustic_length: Annotated[float, "L_e", "m"],
    grazing_speed: Annotated[float, "v", "m/s"],
    speed_of_sound: Annotated[float, "a", "m/s"],
) -> Annotated[float, "r", "1"]:
    """Loss resistance at the mouth of a blind pipe, in units of the pipe's own wave impedance: its wall, and
    the air that blows past its mouth.

    Formula: r = α L_e + 0.7 v/a. Symbols: α attenuation by the wall (1/m), L_e acoustic length (m), v air
    speed in the duct past the mouth (m/s), a speed of sound (m/s), r loss resistance (1).
    Range: α, L_e, a positive; v zero or more, below 0.3 a; at and about resonance; small amplitudes. Errors:
    `OutOfRange`.
    Source: wall: tanh(α L) of a quarter-wave line; air: Bies and others, Engineering Noise Control, 6th ed.
    (2024), eq. 8.34, term 0.7 M (read as course code that cites it).
    """
    positive("attenuation", attenuation)
    positive("acoustic_length", acoustic_length)
    positive("speed_of_sound", speed_of_sound)
    within("grazing_speed", grazing_speed, 0, 0.3 * speed_of_sound, "air in a duct, slow against sound")
    return attenuation * acoustic_length + 0.7 * grazing_speed / speed_of_sound


def resistance_of_neck(
    attenuation: Annotated[float, "α", "1/m"],
    acoustic_length: Annotated[float, "L_e", "m"],
    grazing_speed: Annotated[float, "v", "m/s"],
    speed_of_sound: Annotated[float, "a", "m/s"],
) -> Annotated[float, "r", "1"]:
    """Loss resistance of a chamber's neck, in units of the neck's own wave impedance. All of the neck's air
    moves, where that of a blind pipe stands still at the bottom: its wall takes twice as much.

    Formula: r = 2 α L_e + 0.7 v/a. Symbols: α attenuation by the wall (1/m), L_e acoustic length of the neck
    (m), v air speed in the duct past the mouth (m/s), a speed of sound (m/s), r loss resistance (1).
    Range: α, L_e, a positive; v zero or more, below 0.3 a; small amplitudes. Errors: `OutOfRange`.
    Source: Bies and others, Engineering Noise Control, 6th ed. (2024), eq. 8.34, without its terms of edge
    and radiation (read as course code that cites it).
    """
    positive("attenuation", attenuation)
    positive("acoustic_length", acoustic_length)
    positive("speed_of_sound", speed_of_sound)
    within("grazing_speed", grazing_speed, 0, 0.3 * speed_of_sound, "air in a duct, slow against sound")
    return 2 * attenuation * acoustic_length + 0.7 * grazing_speed / speed_of_sound


def transmission_loss_side_branch(
    frequency: Annotated[float, "f", "Hz"],
    acoustic_length: Annotated[float, "L_e", "m"],
    speed_of_sound: Annotated[float, "a", "m/s"],
    area_ratio: Annotated[float, "m", "1"],
    resistance: Annotated[float, "r", "1"],
) -> Annotated[float, "TL", "dB"]:
    """Sound that a blind pipe at the side of a duct keeps back; nothing comes back from the duct's ends.

    Formula: TL = 10 log10(((r + m/2)² sin² kL + cos² kL) / (r² sin² kL + cos² kL)), kL = 2 π f L_e / a.
    Symbols: f frequency (Hz), L_e acoustic length of the pipe (m), a speed of sound (m/s), m area of the pipe
    over that of the duct (1), r loss resistance at its mouth in units of its own wave impedance (1), angle
    kL, phase along the pipe (rad), s sin² kL (1), c cos² kL (1), TL transmission loss (dB).
    Range: all positive; plane waves: pipe and duct narrow against the wavelength; slow air. Errors:
    `OutOfRange`.
    Source: L. L. Beranek, I. L. Vér, Noise and Vibration Control Engineering (1992), eqs. 10.10, 10.20 and
    10.21 (read in the scripts to C. Q. Howard, B. S. Cazzolato, Acoustic Analyses Using MATLAB and ANSYS,
    2015); with a loss resistance, derived: impedance r - j cot kL.
    """
    positive("frequency", frequency)
    positive("acoustic_length", acoustic_length)
    positive("speed_of_sound", speed_of_sound)
    positive("area_ratio", area_ratio)
    positive("resistance", resistance, why="without any loss it would be endless at resonance")
    angle = 2 * pi * frequency * acoustic_length / speed_of_sound
    s = sin(angle) ** 2
    c = cos(angle) ** 2
    return 10 * log10(((resistance + area_ratio / 2) ** 2 * s + c) / (resistance**2 * s + c))


def transmission_loss_resonator(
    frequency: Annotated[float, "f", "Hz"],
    resonance: Annotated[float, "f_0", "Hz"],
    acoustic_length: Annotated[float, "L_e", "m"],
    speed_of_sound: Annotated[float, "a", "m/s"],
    area_ratio: Annotated[float, "m", "1"],
    resistance: Annotated[float, "r", "1"],
) -> Annotated[float, "TL", "dB"]:
    """Sound that a chamber behind a neck at the side of a duct keeps back; nothing comes back from the duct's
    ends.

    Formula: TL = 10 log10(((r + m/2)² + x²) / (r² + x²)), x = (2 π f_0 L_e / a) (f/f_0 - f_0/f). Symbols: f
    frequency (Hz), f_0 Helmholtz frequency (Hz), L_e acoustic length of the neck (m), a speed of sound (m/s),
    m area of the neck over that of the duct (1), r loss resistance in units of the neck's own wave impedance
    (1), detuning f/f_0 - f_0/f (1), x reactance in the same units (1), TL transmission loss (dB).
    Range: all positive; neck and chamber short against the wavelength; plane waves, slow air. Errors:
    `OutOfRange`.
    Source: Beranek and Vér (1992), eqs. 10.10 and 10.20 (read in the scripts to Howard and Cazzolato, 2015),
    with the impedance r + j x of a plug of air on a spring, derived.
    """
    positive("frequency", frequency)
    positive("resonance", resonance)
    positive("acoustic_length", acoustic_length)
    positive("speed_of_sound", speed_of_sound)
    positive("area_ratio", area_ratio)
    positive("resistance", resistance, why="without any loss it would be endless at resonance")
    detuning = frequency / resonance - resonance / frequency
    x = 2 * pi * resonance * acoustic_length / speed_of_sound * detuning
    return 10 * log10(((resistance + area_ratio / 2) ** 2 + x**2) / (resistance**2 + x**2))


def transmission_loss_expansion_chamber(
    frequency: Annotated[float, "f", "Hz"],
    length: Annotated[float, "L", "m"],
    speed_of_sound: Annotated[float, "a", "m/s"],
    area_ratio: Annotated[float, "m", "1"],
) -> Annotated[float, "TL", "dB"]:
    """Sound that a wide piece between two like pipes keeps back, where nothing comes back from beyond them.

    Formula: TL = 10 log10(1 + (m - 1/m)² sin²(2 π f L / a) / 4). Symbols: f frequency (Hz), L length of the
    chamber (m), a speed of sound in it (m/s), m area of the chamber over that of the pipe (1), TL
    transmission loss (dB).
    Range: all positive; plane waves: the chamber is narrower than 0.586 of a wavelength (1.22 where all is
    on one axis); slow gas. Errors: `OutOfRange`.
    Source: F. Jacobsen, Propagation of sound waves in ducts (Technical University of Denmark, note 31260,
    2011), and Beranek and Vér, 2nd ed. (2006), eq. 9.25 (both read in the scripts to Howard and Cazzolato,
    2015); NACA Report 1192 (1954), single expansion chamber (abstract read).
    """
    positive("frequency", frequency)
    positive("length", length)
    positive("speed_of_sound", speed_of_sound)
    positive("area_ratio", area_ratio)
    wave = sin(2 * pi * frequency * length / speed_of_sound)
    return 10 * log10(1 + (area_ratio - 1 / area_ratio) ** 2 * wave**2 / 4)


def largest_transmission_loss(
    area_ratio: Annotated[float, "m", "1"],
    resistance: Annotated[float, "r", "1"],
) -> Annotated[float, "TL_0", "dB"]:
    """Transmission loss of a side branch or a side chamber at its own frequency.

    Formula: TL_0 = 20 log10(1 + m / (2 r)). Symbols: m area of its mouth over that of the duct (1), r loss
    resistance in units of the mouth's own wave impedance (1), TL_0 transmission loss (dB).
    Range: both positive. Errors: `OutOfRange`.
    Source: derived, a resistance at the side of a line.
    """
    positive("area_ratio", area_ratio)
    positive("resistance", resistance, why="without any loss it would be endless")
    return 20 * log10(1 + area_ratio / (2 * resistance))


def reactance_of_half_power(
    area_ratio: Annotated[float, "m", "1"],
    resistance: Annotated[float, "r", "1"],
) -> Annotated[float, "x_3", "1"]:
    """How large a side branch's reactance may be while half of the sound power is kept back (3.01 dB).

    Formula: x_3 = √((r + m/2)² - 2 r²). Symbols: m area of its mouth over that of the duct (1), r loss
    resistance in units of the mouth's own wave impedance (1), x_3 reactance in the same units (1).
    Range: both positive; r less than 1.2 m, so that half of the power is kept back at all. Errors:
    `OutOfRange`.
    Source: derived, from a transmission loss of 10 log10 2.
    """
    positive("area_ratio", area_ratio)
    positive("resistance", resistance)
    within(
        "resistance", resistance, 0, 1.2 * area_ratio, "with more loss half of the power is never kept back"
    )
    return sqrt((resistance + area_ratio / 2) ** 2 - 2 * resistance**2)


def bandwidth_of_side_branch(
    frequency: Annotated[float, "f_0", "Hz"],
    reactance: Annotated[float, "x_3", "1"],
) -> Annotated[float, "B", "Hz"]:
    """Width of the band about its frequency in which a blind pipe keeps back half of the sound power.

    Formula: B = (4/π) f_0 arctan(x_3). Symbols: f_0 frequency of the pipe (Hz), x_3 reactance of half power
    (1), B bandwidth (Hz).
    Range: both positive. Errors: `OutOfRange`. Source: derived, |cot kL| = x_3.
    """
    positive("frequency", frequency)
    positive("reactance", reactance)
    return 4 / pi * frequency * atan(reactance)


def bandwidth_of_resonator(
    acoustic_length: Annotated[float, "L_e", "m"],
    speed_of_sound: Annotated[float, "a", "m/s"],
    reactance: Annotated[float, "x_3", "1"],
) -> Annotated[float, "B", "Hz"]:
    """Width of the band about its frequency in which a side chamber keeps back half of the sound power.

    Formula: B = x_3 a / (2 π L_e). Symbols: L_e acoustic length of the neck (m), a speed of sound (m/s), x_3
    reactance of half power (1), B bandwidth (Hz).
    Range: all positive. Errors: `OutOfRange`.
    Source: derived: the two roots of x = (2 π f_0 L_e / a) (f/f_0 - f_0/f) lie that far apart.
    """
    positive("acoustic_length", acoustic_length)
    positive("speed_of_sound", speed_of_sound)
    positive("reactance", reactance)
    return reactance * speed_of_sound / (2 * pi * acoustic_length)


def standing_wave_pressure(
    frequency: Annotated[float, "f", "Hz"],
    travel_time: Annotated[float, "t", "s"],
) -> Annotated[float, "p/p_max", "1"]:
    """Sound pressure at a place of a duct, over the largest of the standing wave before its open end.

    What sits at the side of a duct acts by the pressure there: a quarter of a wave from the open end it has
    all of it, at the end and half a wave from it none.

    Formula: p/p_max = |sin(2 π f t)|. Symbols: f frequency (Hz), t time that sound takes from there to the
    open end, its correction included (s), p/p_max sound pressure over the largest (1).
    Range: f positive, t zero or more; an open end that sends almost all back, one bore. Errors:
    `OutOfRange`. Source: derived, a standing wave with no pressure at the open end.
    """
    positive("frequency", frequency)
    not_negative("travel_time", travel_time)
    return abs(sin(2 * pi * frequency * travel_time))
