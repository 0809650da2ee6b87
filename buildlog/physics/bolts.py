"""Bolts: ISO metric threads, what a tightening torque makes of preload, and what the bolt can bear."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import pi, sqrt
from typing import Annotated

from buildlog.diagnostics import OutOfRange, Refused
from buildlog.physics.declared import Variable, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within

# Pitches in mm, the coarse one first: ISO 261, the sizes and pitches in use for fasteners (from memory;
# those of ISO 898-1 and the fine ones of published ISO 724 tables were read). M9 and M11 are its third choice
# and M11x1.25 is outside it, but engines have them.
PITCHES: dict[int, tuple[float, ...]] = {
    3: (0.5,), 4: (0.7,), 5: (0.8,), 6: (1.0, 0.75), 7: (1.0,), 8: (1.25, 1.0, 0.75),
    9: (1.25, 1.0, 0.75), 10: (1.5, 1.25, 1.0, 0.75), 11: (1.5, 1.25, 1.0, 0.75), 12: (1.75, 1.5, 1.25, 1.0),
    14: (2.0, 1.5, 1.25), 16: (2.0, 1.5, 1.0),
    18: (2.5, 2.0, 1.5, 1.0), 20: (2.5, 2.0, 1.5, 1.0), 22: (2.5, 2.0, 1.5), 24: (3.0, 2.0, 1.5),
    27: (3.0, 2.0), 30: (3.5, 2.0), 33: (3.5, 2.0), 36: (4.0, 3.0), 39: (4.0, 3.0),
}  # fmt: skip

# Stress under proof load and least 0.2 % proof strength, in Pa, up to 16 mm and above: ISO 898-1:2009,
# table 3 (the proof loads that follow were read; the strengths are from memory, sure).
PROPERTY_CLASSES: dict[str, tuple[tuple[float, float], tuple[float, float]]] = {
    "8.8": ((580e6, 640e6), (600e6, 660e6)),
    "10.9": ((830e6, 940e6), (830e6, 940e6)),
    "12.9": ((970e6, 1100e6), (970e6, 1100e6)),
}

_DESIGNATION = re.compile(r"M\s?([0-9]{1,2})(?:\s?[x×X]\s?([0-9]{1,2}(?:\.[0-9]{1,2})?))?")


@dataclass(frozen=True)
class Thread:
    """An ISO metric thread: nominal diameter and pitch in m."""

    designation: str
    diameter: float
    pitch: float


def read_thread(text: str) -> Thread:
    """The thread of a designation such as ``M8`` (coarse) or ``M10x1.25``.

    Raises `Refused` where it cannot be read, and `OutOfRange` for a size or a pitch that is not listed.
    Source: ISO 965-1, designation; ISO 261, sizes and pitches.
    """
    match = _DESIGNATION.fullmatch(text.strip())
    if match is None:
        raise Refused(
            "thread", f"“{text}”", "a metric thread such as M8 or M10x1.25", help="write no length or class"
        )
    size = int(match[1])
    if size not in PITCHES:
        raise OutOfRange("thread", f"M{size}", "one of " + ", ".join(f"M{known}" for known in PITCHES))
    pitch = float(match[2]) if match[2] else PITCHES[size][0]
    if pitch not in PITCHES[size]:
        raise OutOfRange(
            "thread",
            f"a pitch of {pitch:g} mm for M{size}",
            "one of " + ", ".join(f"{known:g}" for known in PITCHES[size]),
            help="no length stands here",
        )
    coarse = pitch == PITCHES[size][0]
    return Thread(f"M{size}" if coarse else f"M{size}x{pitch:g}", size / 1000, pitch / 1000)


def pitch_diameter(
    diameter: Annotated[float, "d", "m"],
    pitch: Annotated[float, "P", "m"],
) -> Annotated[float, "d_2", "m"]:
    """Basic pitch diameter of a metric thread.

    Formula: d_2 = d - 3 √3 P / 8. Symbols: d nominal diameter (m), P pitch (m), d_2 pitch diameter (m).
    Range: both positive, P below d / 2. Errors: `OutOfRange`.
    Source: ISO 68-1, basic profile; ISO 724 lists the values to 0.001 mm.
    """
    positive("pitch", pitch)
    within("pitch", pitch, 0.0, diameter / 2)
    return diameter - 3 * sqrt(3) * pitch / 8


def root_diameter(
    diameter: Annotated[float, "d", "m"],
    pitch: Annotated[float, "P", "m"],
) -> Annotated[float, "d_3", "m"]:
    """Minor diameter of the external thread, at its rounded root.

    Formula: d_3 = d - 17 √3 P / 24. Symbols: d nominal diameter (m), P pitch (m), d_3 root diameter (m).
    Range: both positive, P below d / 2. Errors: `OutOfRange`.
    Source: ISO 898-1:2009, 9.1.6.1: d_3 = d_1 - H / 6, H = √3 P / 2; d_1 by ISO 724.
    """
    positive("pitch", pitch)
    within("pitch", pitch, 0.0, diameter / 2)
    return diameter - 17 * sqrt(3) * pitch / 24


def stress_diameter(
    pitch_diameter: Annotated[float, "d_2", "m"],
    root_diameter: Annotated[float, "d_3", "m"],
) -> Annotated[float, "d_0", "m"]:
    """Diameter of the round bar that is as strong as the thread.

    Formula: d_0 = (d_2 + d_3) / 2. Symbols: d_2 pitch diameter (m), d_3 root diameter (m), d_0 stress
    diameter (m). Range: both positive. Errors: `OutOfRange`. Source: ISO 898-1:2009, 9.1.6.1.
    """
    positive("pitch_diameter", pitch_diameter)
    positive("root_diameter", root_diameter)
    return (pitch_diameter + root_diameter) / 2


def stress_area(stress_diameter: Annotated[float, "d_0", "m"]) -> Annotated[float, "A_s", "m²"]:
    """Nominal stress area of the thread.

    Formula: A_s = π d_0² / 4. Symbols: d_0 stress diameter (m), A_s stress area (m²).
    Range: d_0 positive. Errors: `OutOfRange`. Source: ISO 898-1:2009, 9.1.6.1.
    """
    positive("stress_diameter", stress_diameter)
    return pi * stress_diameter**2 / 4


def bearing_mean_diameter(
    bearing_diameter: Annotated[float, "d_w", "m"],
    hole_diameter: Annotated[float, "d_h", "m"],
) -> Annotated[float, "D_b", "m"]:
    """Diameter at which friction under the turned head or nut acts.

    Formula: D_b = (d_w + d_h) / 2. Symbols: d_w outer diameter of the bearing face (m), d_h diameter of
    the hole (m), D_b mean diameter (m).
    Range: d_h below d_w, both positive. Errors: `OutOfRange`. Source: ISO 16047, D_b (from memory).
    """
    positive("hole_diameter", hole_diameter)
    if bearing_diameter <= hole_diameter:
        raise OutOfRange(
            "bearing_diameter",
            f"{bearing_diameter * 1000:g} mm",
            f"more than the hole, {hole_diameter * 1000:g} mm",
        )
    return (bearing_diameter + hole_diameter) / 2


def preload(
    tightening_torque: Annotated[float, "T", "N·m"],
    pitch: Annotated[float, "P", "m"],
    pitch_diameter: Annotated[float, "d_2", "m"],
    thread_friction: Annotated[float, "μ_th", "1"],
    bearing_mean_diameter: Annotated[float, "D_b", "m"],
    head_friction: Annotated[float, "μ_b", "1"],
) -> Annotated[float, "F", "N"]:
    """Preload that a tightening torque leaves in the bolt.

    Formula: F = T / (P / (2 π) + d_2 μ_th / √3 + D_b μ_b / 2). Symbols: T tightening torque (N·m), P
    pitch (m), d_2 pitch diameter (m), μ_th and μ_b coefficient of friction in the thread and under the
    head (1), D_b mean diameter of the bearing face (m), F preload (N).
    Range: torque and lengths positive, coefficients 0 to 0.6; threads of 60°. The fuller form of ISO 16047
    gives up to 2 % less preload at coefficients up to 0.3. Errors: `OutOfRange`.
    Source: VDI 2230-1 and ISO 16047, T = F (0.159 P + 0.577 d_2 μ_th + 0.5 D_b μ_b) (from memory; gives
    the torques of published VDI 2230 tables).
    """
    positive("tightening_torque", tightening_torque)
    positive("pitch", pitch)
    positive("pitch_diameter", pitch_diameter)
    within("thread_friction", thread_friction, 0.0, 0.6)
    positive("bearing_mean_diameter", bearing_mean_diameter)
    within("head_friction", head_friction, 0.0, 0.6)
    in_thread = pitch / (2 * pi) + pitch_diameter * thread_friction / sqrt(3)
    return tightening_torque / (in_thread + bearing_mean_diameter * head_friction / 2)


def clamping_share(
    preload: Annotated[float, "F", "N"],
    pitch: Annotated[float, "P", "m"],
    tightening_torque: Annotated[float, "T", "N·m"],
) -> Annotated[float, "η", "1"]:
    """Share of the torque's work that stretches the bolt; friction takes the rest.

    Formula: η = F P / (2 π T). Symbols: F preload (N), P pitch (m), T tightening torque (N·m), η share (1).
    Range: all positive. Errors: `OutOfRange`. Source: work of a turn, the first term of VDI 2230-1.
    """
    positive("preload", preload)
    positive("pitch", pitch)
    positive("tightening_torque", tightening_torque)
    return preload * pitch / (2 * pi * tightening_torque)


proof_load = product_of(
    "proof_load",
    "Load that a bolt of a property class bears without lasting stretch.",
    stress_area=Variable("A_s", "m²", "stress area", positive),
    proof_stress=Variable("S_p", "Pa", "stress under proof load", positive),
    gives=Variable("F_p", "N", "proof load"),
    source="ISO 898-1:2009, tables 5 and 7",
)

proof_share = ratio_of(
    "proof_share",
    "Preload as a share of the proof load.",
    preload=Variable("F", "N", "preload", positive),
    proof_load=Variable("F_p", "N", "proof load", positive),
    gives=Variable("u_p", "1", "share"),
    source="definition",
)


def thread_torque(
    preload: Annotated[float, "F", "N"],
    pitch: Annotated[float, "P", "m"],
    pitch_diameter: Annotated[float, "d_2", "m"],
    thread_friction: Annotated[float, "μ_th", "1"],
) -> Annotated[float, "T_th", "N·m"]:
    """Torque that twists the shank while it is being tightened.

    Formula: T_th = F (P / (2 π) + d_2 μ_th / √3). Symbols: F preload (N), P pitch (m), d_2 pitch diameter
    (m), μ_th coefficient of friction in the thread (1), T_th torque (N·m).
    Range: all positive, μ_th up to 0.6. Errors: `OutOfRange`. Source: VDI 2230-1 (from memory).
    """
    positive("preload", preload)
    positive("pitch", pitch)
    positive("pitch_diameter", pitch_diameter)
    within("thread_friction", thread_friction, 0.0, 0.6)
    return preload * (pitch / (2 * pi) + pitch_diameter * thread_friction / sqrt(3))


def tightening_stress(
    preload: Annotated[float, "F", "N"],
    stress_area: Annotated[float, "A_s", "m²"],
    thread_torque: Annotated[float, "T_th", "N·m"],
    stress_diameter: Annotated[float, "d_0", "m"],
) -> Annotated[float, "σ_red", "Pa"]:
    """Equivalent stress of pull and twist while the bolt is being tightened.

    Formula: σ = F / A_s, τ = 12 T_th / (π d_0³), σ_red = √(σ² + 3 τ²). Symbols: F preload (N), A_s stress
    area (m²), T_th torque in the thread (N·m), d_0 stress diameter (m), σ_red equivalent stress (Pa).
    Range: A_s, d_0 positive, others zero or more; the twist is that of a section yielding all over.
    Errors: `OutOfRange`.
    Source: VDI 2230-1:2003, 5.5.1 (from memory; gives the preloads of published VDI 2230 tables).
    """
    not_negative("preload", preload)
    positive("stress_area", stress_area)
    not_negative("thread_torque", thread_torque)
    positive("stress_diameter", stress_diameter)
    σ = preload / stress_area
    τ = 12 * thread_torque / (pi * stress_diameter**3)
    return sqrt(σ**2 + 3 * τ**2)


yield_share = ratio_of(
    "yield_share",
    "Equivalent stress as a share of the 0.2 % proof strength.",
    tightening_stress=Variable("σ_red", "Pa", "equivalent stress", positive),
    yield_strength=Variable("R_p", "Pa", "0.2 % proof strength", positive),
    gives=Variable("u_y", "1", "share"),
    source="definition",
)


def bearing_pressure(
    preload: Annotated[float, "F", "N"],
    bearing_diameter: Annotated[float, "d_w", "m"],
    hole_diameter: Annotated[float, "d_h", "m"],
) -> Annotated[float, "p", "Pa"]:
    """Pressure under the head or nut.

    Formula: p = 4 F / (π (d_w² - d_h²)). Symbols: F preload (N), d_w outer diameter of the bearing face
    (m), d_h diameter of the hole (m), p pressure (Pa).
    Range: all positive, d_h below d_w. Errors: `OutOfRange`. Source: equilibrium.
    """
    positive("preload", preload)
    positive("hole_diameter", hole_diameter)
    positive("bearing_diameter", bearing_diameter - hole_diameter, "the face is larger than its hole")
    return 4 * preload / (pi * (bearing_diameter**2 - hole_diameter**2))


preload_scatter = ratio_of(
    "preload_scatter",
    "Highest over lowest preload of one torque, by friction alone.",
    highest_preload=Variable("F_max", "N", "preload at the low end of the friction", positive),
    lowest_preload=Variable("F_min", "N", "preload at the high end", positive),
    gives=Variable("α", "1", "scatter"),
    source="definition of the tightening factor, VDI 2230-1, which also counts the tool's scatter",
)
