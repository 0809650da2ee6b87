"""Chambers and pipes beside a duct: where they resonate, and at which revs an engine order meets that."""

from __future__ import annotations

from math import pi, sqrt
from typing import Annotated

from buildlog.physics.limits import not_negative, positive, within


def flanged_end_correction(
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "δ", "m"]:
    """What an opening flush with a wide wall adds to the length of the air that swings in it.

    Formula: δ = 8/(3 π) d/2. Symbols: d bore (m), δ end correction (m).
    Range: d positive; a wall several bores wide, and a bore small against the wavelength. The exact value for
    an endless wall is 0.8217 of the radius. Errors: `OutOfRange`.
    Source: Rayleigh, The Theory of Sound, vol. 2, § 307 and appendix A (from memory); Kinsler and Frey,
    Fundamentals of Acoustics, ch. 10 (from memory).
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
    Review 73 (1948) 383–406 (from memory).
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

    Formula: L_e = L + δ_1 + δ_2. Symbols: L length (m), δ_1 and δ_2 end corrections (m), L_e acoustic length
    (m).
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
    Source: Rayleigh, The Theory of Sound, vol. 2, ch. 16; Kinsler and Frey, Fundamentals of Acoustics, ch. 10
    (both from memory).
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
    Source: Kinsler and Frey, Fundamentals of Acoustics, ch. 10 (from memory).
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
