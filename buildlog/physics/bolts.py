"""Bolts: metric and inch threads, what a tightening torque makes of preload, what bolt and joint can bear."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import pi, sqrt
from typing import Annotated

from buildlog.diagnostics import InputsConflict, OutOfRange, Refused
from buildlog.physics.declared import Variable, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within

# Pitches in mm, the coarse one first: ISO 261, the sizes and pitches in use for fasteners (as FreeCAD's
# PartDesign/App/FeatureHole.cpp lists them, read, and a chart of ISO 261 on a public page
# the usual ones). M9 and M11 are its third choice
# and M11x1.25 is outside it, but engines have them.
PITCHES: dict[int, tuple[float, ...]] = {
    3: (0.5,), 4: (0.7,), 5: (0.8,), 6: (1.0, 0.75), 7: (1.0,), 8: (1.25, 1.0, 0.75),
    9: (1.25, 1.0, 0.75), 10: (1.5, 1.25, 1.0, 0.75), 11: (1.5, 1.25, 1.0, 0.75), 12: (1.75, 1.5, 1.25, 1.0),
    14: (2.0, 1.5, 1.25), 16: (2.0, 1.5, 1.0),
    18: (2.5, 2.0, 1.5, 1.0), 20: (2.5, 2.0, 1.5, 1.0), 22: (2.5, 2.0, 1.5), 24: (3.0, 2.0, 1.5),
    27: (3.0, 2.0), 30: (3.5, 2.0), 33: (3.5, 2.0), 36: (4.0, 3.0), 39: (4.0, 3.0),
}  # fmt: skip

# Stress under proof load and least 0.2 % proof strength, in Pa, up to 16 mm and above: ISO 898-1:2009,
# table 3 (EN ISO 898-1:2013 as a supplier prints its table, read).
PROPERTY_CLASSES: dict[str, tuple[tuple[float, float], tuple[float, float]]] = {
    "8.8": ((580e6, 640e6), (600e6, 660e6)),
    "10.9": ((830e6, 940e6), (830e6, 940e6)),
    "12.9": ((970e6, 1100e6), (970e6, 1100e6)),
}

# Stress under proof load and least yield strength, in Pa, of stainless bolts: ISO 3506-1, which has no proof
# load, so that both are the 0.2 % proof strength (as a supplier's page prints classes 50, 70, 80, read).
STAINLESS: dict[str, tuple[float, float]] = {
    "A2-50": (210e6, 210e6), "A2-70": (450e6, 450e6), "A2-80": (600e6, 600e6),
    "A4-50": (210e6, 210e6), "A4-70": (450e6, 450e6), "A4-80": (600e6, 600e6),
}  # fmt: skip

_KSI = 6.894757293168e6
# The same of SAE J429 up to 3/4 in and above, to 1 in: as two suppliers publish them (read).
SAE_GRADES: dict[str, tuple[tuple[float, float], tuple[float, float]]] = {
    "SAE-2": ((55 * _KSI, 57 * _KSI), (33 * _KSI, 36 * _KSI)),
    "SAE-5": ((85 * _KSI, 92 * _KSI), (85 * _KSI, 92 * _KSI)),
    "SAE-8": ((120 * _KSI, 130 * _KSI), (120 * _KSI, 130 * _KSI)),
}

# Threads to an inch, the coarse series (UNC) and the fine one (UNF): ASME B1.1, as a supplier's table of
# SAE J429 has them (read).
INCH_THREADS: dict[str, tuple[int, int]] = {
    "1/4": (20, 28), "5/16": (18, 24), "3/8": (16, 24), "7/16": (14, 20), "1/2": (13, 20),
    "9/16": (12, 18), "5/8": (11, 18), "3/4": (10, 16), "7/8": (9, 14), "1": (8, 12),
}  # fmt: skip

_INCH = re.compile(r"(1|[1-9][0-9]?/[1-9][0-9]?)\s?[-–]\s?([0-9]{1,2})(?:\s?(UNC|UNF))?")
_SERIES_ALONE = re.compile(r"(1|[1-9][0-9]?/[1-9][0-9]?)(?:\s?IN(?:CH)?|\s?[\"″])?(?:\s?(UNC|UNF))?")
_DESIGNATION = re.compile(r"M\s?([0-9]{1,2})(?:\s?[x×X]\s?([0-9]{1,2}(?:\.[0-9]{1,2})?))?")


@dataclass(frozen=True)
class Thread:
    """A thread of 60°: nominal diameter and pitch in m; ISO metric, or unified inch."""

    designation: str
    diameter: float
    pitch: float
    inch: bool = False

    def strengths(self, property_class: str) -> tuple[float, float]:
        """Stress under proof load and least 0.2 % proof (or yield) strength of a bolt's class, in Pa.

        Raises `InputsConflict` where the class is not one of that system of threads.
        Source: ISO 898-1, table 3; ISO 3506-1; SAE J429.
        """
        if self.inch != (property_class in SAE_GRADES):
            known = SAE_GRADES if self.inch else (*PROPERTY_CLASSES, *STAINLESS)
            raise InputsConflict(
                "property_class",
                f"{property_class} for a thread {self.designation}",
                "one of " + ", ".join(known),
                help="inch bolts have grades of SAE J429, metric ones classes of ISO 898-1 or ISO 3506-1",
            )
        if self.inch:
            return SAE_GRADES[property_class][self.diameter > 0.01906]
        if property_class in STAINLESS:
            return STAINLESS[property_class]
        return PROPERTY_CLASSES[property_class][self.diameter > 0.0161]


def _read_inch(match: re.Match[str]) -> Thread:
    size, number, series = match[1], int(match[2]), match[3]
    if size not in INCH_THREADS:
        raise OutOfRange("thread", f"{size} in", "one of " + ", ".join(INCH_THREADS))
    coarse, fine = INCH_THREADS[size]
    allowed = {"UNC": (coarse,), "UNF": (fine,)}.get(series or "", (coarse, fine))
    if number not in allowed:
        raise OutOfRange(
            "thread",
            f"{number} threads to an inch for {size} in",
            " or ".join(f"{known}" for known in allowed),
            help=f"UNC has {coarse}, UNF {fine}",
        )
    parts = [float(part) for part in size.split("/")]
    diameter = parts[0] / (parts[1] if len(parts) > 1 else 1.0) * 0.0254
    return Thread(f"{size}-{number} {'UNC' if number == coarse else 'UNF'}", diameter, 0.0254 / number, True)


def _how_to_write(text: str) -> str:
    """What to write instead of a designation that cannot be read."""
    named = _SERIES_ALONE.fullmatch(text.strip().upper())
    if named and named[1] in INCH_THREADS:
        coarse, fine = INCH_THREADS[named[1]]
        number = fine if named[2] == "UNF" else coarse
        return f"write its threads to an inch: {named[1]}-{number} is the {named[2] or 'UNC'} one"
    return "write no length or class"


def _of_a_pitch(size: int, pitch: float) -> str:
    """What to do where a pitch is none of its size: some write the length of the bolt there."""
    if pitch > 2 * PITCHES[size][0]:
        return "no length stands here"
    return f"M{size} alone is the coarse thread, {PITCHES[size][0]:g} mm; measure with a thread gauge"


def read_thread(text: str) -> Thread:
    """The thread of a designation such as ``M8`` (coarse), ``M10x1.25`` or ``3/8-24 UNF``.

    Raises `Refused` where it cannot be read, and `OutOfRange` for a size or a pitch that is not listed.
    Source: ISO 965-1, designation; ISO 261, sizes and pitches; ASME B1.1, the same of inch threads.
    """
    if inch := _INCH.fullmatch(text.strip()):
        return _read_inch(inch)
    match = _DESIGNATION.fullmatch(text.strip())
    if match is None:
        raise Refused(
            "thread", f"“{text}”", "a thread such as M8, M10x1.25 or 3/8-24", help=_how_to_write(text)
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
            help=_of_a_pitch(size, pitch),
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


def stress_diameter_inch(
    diameter: Annotated[float, "d", "m"],
    pitch: Annotated[float, "P", "m"],
) -> Annotated[float, "d_0", "m"]:
    """Diameter of the round bar that is as strong as a unified inch thread.

    Formula: d_0 = d - 0.9743 P. Symbols: d nominal diameter (m), P pitch (m), d_0 stress diameter (m).
    Range: both positive, P below d / 2. Errors: `OutOfRange`.
    Source: ASME B1.1 and FED-STD-H28, A_t = 0.7854 (D - 0.9743 / n)² (as Engineers Edge
    has it; gives the areas of a published table, read).
    """
    positive("pitch", pitch)
    within("pitch", pitch, 0.0, diameter / 2)
    return diameter - 0.9743 * pitch


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

    Formula: F = T / (P / (2 π) + d_2 μ_th / √3 + D_b μ_b / 2). Symbols: T tightening torque (N·m), P pitch
    (m), d_2 pitch diameter (m), μ_th coefficient of friction in the thread (1), μ_b coefficient of friction
    under the head (1), in thread torque of the thread for each newton of preload (m), D_b mean diameter of
    the bearing face (m), F preload (N).
    Range: torque and lengths positive, coefficients 0 to 0.6; threads of 60°. The fuller form of ISO 16047
    gives up to 2 % less preload at coefficients up to 0.3. Errors: `OutOfRange`.
    Source: VDI 2230-1, T = F (0.159 P + 0.577 d_2 μ_th + 0.5 D_b μ_b): as JIS B 1083 and public code print
    the same relation (read); gives the torques of published VDI 2230 tables.
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
    Range: F, P, d_2 positive, μ_th 0 to 0.6. Errors: `OutOfRange`.
    Source: VDI 2230-1, as JIS B 1083 prints the same relation (read).
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
    area (m²), T_th torque in the thread (N·m), d_0 stress diameter (m), σ stress by the pull (Pa), τ stress
    by the twist (Pa), σ_red equivalent stress (Pa).
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


# --- what holds the bolt, and what the bolts hold ----------------------------------------


def stripping_load(
    pitch_diameter: Annotated[float, "d_2", "m"],
    thread_engagement: Annotated[float, "L", "m"],
    shear_strength: Annotated[float, "τ", "Pa"],
) -> Annotated[float, "F_s", "N"]:
    """Load at which the thread in a tapped hole is torn out, to design by.

    Formula: F_s = π d_2 τ L / 3. Symbols: d_2 pitch diameter (m), L length of full thread engagement (m), τ
    shear strength of the tapped material (Pa), F_s load (N). Threads that mated perfectly would have 1 / 2
    in place of the empirical 1 / 3.
    Range: all positive, L up to 3 d_2. Errors: `OutOfRange`.
    Source: R. T. Barrett, Fastener Design Manual, NASA RP-1228 (1990), pullout load for tapped holes (read).
    """
    positive("pitch_diameter", pitch_diameter)
    positive("thread_engagement", thread_engagement)
    within("thread_engagement", thread_engagement, 0.0, 3 * pitch_diameter, "further threads carry nothing")
    positive("shear_strength", shear_strength)
    return pi * pitch_diameter * shear_strength * thread_engagement / 3


stripping_share = ratio_of(
    "stripping_share",
    "Preload as a share of the load that strips the tapped thread.",
    preload=Variable("F", "N", "preload", positive),
    stripping_load=Variable("F_s", "N", "stripping load", positive),
    gives=Variable("u_s", "1", "share"),
    source="definition",
)


def least_engagement(
    proof_load: Annotated[float, "F_p", "N"],
    pitch_diameter: Annotated[float, "d_2", "m"],
    shear_strength: Annotated[float, "τ", "Pa"],
) -> Annotated[float, "L_p", "m"]:
    """Length of engagement with which the tapped thread bears as much as the bolt's proof load.

    Formula: L_p = 3 F_p / (π d_2 τ). Symbols: F_p proof load (N), d_2 pitch diameter (m), τ shear strength of
    the tapped material (Pa), L_p length (m).
    Range: all positive. Errors: `OutOfRange`. Source: NASA RP-1228, pullout load for tapped holes (read).
    """
    positive("proof_load", proof_load)
    positive("pitch_diameter", pitch_diameter)
    positive("shear_strength", shear_strength)
    return 3 * proof_load / (pi * pitch_diameter * shear_strength)


joint_clamp_load = product_of(
    "joint_clamp_load",
    "Load of all bolts together on the joint.",
    number_of_bolts=Variable("n", "1", "bolts", positive),
    preload=Variable("F", "N", "preload of one", positive),
    gives=Variable("F_j", "N", "load"),
    source="equilibrium; every bolt as tight as the others",
)


def slip_load(
    joint_clamp_load: Annotated[float, "F_j", "N"],
    joint_friction: Annotated[float, "μ_j", "1"],
    joint_faces: Annotated[float, "i", "1"],
) -> Annotated[float, "F_q", "N"]:
    """Force across the bolts at which a joint slips.

    Formula: F_q = i μ_j F_j. Symbols: i faces that rub (1), μ_j coefficient of friction between the parts
    (1), F_j clamp load (N), F_q force (N).
    Range: all positive, μ_j up to 1. Errors: `OutOfRange`. Source: Coulomb friction.
    """
    positive("joint_clamp_load", joint_clamp_load)
    within("joint_friction", joint_friction, 0.01, 1.0)
    within("joint_faces", joint_faces, 1.0, 10.0)
    return joint_faces * joint_friction * joint_clamp_load


def slip_torque(
    slip_load: Annotated[float, "F_q", "N"],
    bolt_circle: Annotated[float, "D_c", "m"],
) -> Annotated[float, "T_q", "N·m"]:
    """Torque at which a joint with its bolts on a circle slips.

    Formula: T_q = F_q D_c / 2. Symbols: F_q force at which it slips (N), D_c diameter of the bolts' circle
    (m), T_q torque (N·m).
    Range: both positive. Errors: `OutOfRange`. Source: the pressure sits about the bolts; equilibrium.
    """
    positive("slip_load", slip_load)
    positive("bolt_circle", bolt_circle)
    return slip_load * bolt_circle / 2


slip_reserve = ratio_of(
    "slip_reserve",
    "Torque at which the joint slips over the one that it has to carry.",
    slip_torque=Variable("T_q", "N·m", "torque at which it slips", positive),
    joint_torque=Variable("T_j", "N·m", "torque to carry", positive),
    gives=Variable("S_q", "1", "reserve"),
    source="definition",
)


# --- blind rivets ------------------------------------------------------------------------------


def rivet_share(
    joint_force: Annotated[float, "Q", "N"],
    number_of_rivets: Annotated[float, "n", "1"],
    rivet_load: Annotated[float, "F_1", "N"],
) -> Annotated[float, "u", "1"]:
    """Force on a row of rivets as a share of what they bear.

    Formula: u = Q / (n F_1). Symbols: Q force on the joint (N), n rivets (1), F_1 load that one bears (N), u
    share (1).
    Range: all positive; the force goes through the middle of the rivets. Errors: `OutOfRange`.
    Source: equilibrium, each rivet with the same share.
    """
    positive("joint_force", joint_force)
    positive("number_of_rivets", number_of_rivets)
    positive("rivet_load", rivet_load)
    return joint_force / (number_of_rivets * rivet_load)


def rivet_reserve(
    rivet_shear_share: Annotated[float, "u_s", "1"],
    rivet_tension_share: Annotated[float, "u_t", "1"],
) -> Annotated[float, "S", "1"]:
    """How many times the load a row of rivets bears, shear and tension added.

    Formula: S = 1 / (u_s + u_t). Symbols: u_s share of the shear load (1), u_t share of the tension load (1),
    S reserve (1).
    Range: neither below zero, one of them positive. Errors: `OutOfRange`.
    Source: a straight line between the two loads, on the safe side of u_s^x + u_t^y = 1 with x and y of 1 or
    more, the interaction of Barrett, Fastener Design Manual, NASA RP-1228 (1990) (from memory).
    """
    not_negative("rivet_shear_share", rivet_shear_share)
    not_negative("rivet_tension_share", rivet_tension_share)
    positive("rivet_shear_share", rivet_shear_share + rivet_tension_share)
    return 1 / (rivet_shear_share + rivet_tension_share)
