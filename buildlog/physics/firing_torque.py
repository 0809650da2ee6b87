"""The torque of a piston engine over the crank angle, and how unevenly it lets a flywheel turn.

A four-stroke cylinder draws in, compresses, burns and expands, and pushes out. Its pressure is taken as two
polytropic processes with the burnt share between them; its torque is that pressure times the change of volume
with crank angle. Cylinders that fire evenly add up to a torque that repeats with each firing. What it has
more or less than its mean speeds the flywheel up and down.

The crankshaft is taken to be rigid, and the speed as nearly even, so that time goes with the crank angle.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import cos, hypot, pi, sin, sqrt
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import UpTo, Variable, Within, product_of, ratio_of, sum_of
from buildlog.physics.limits import positive, within

POINTS = 90
"""Crank angles in one firing interval at which the torque is worked out."""
_PANELS = 40
"""Panels of Simpson's rule for the work of the burnt gas; twice as many change it by less than 1e-6."""


@dataclass(frozen=True, kw_only=True)
class Cylinder:
    """One cylinder of a four-stroke engine, SI. `crank_ratio` is half the stroke over the connecting rod's
    length; the crank angle is 0 at top dead centre of firing. Burning begins at `burn_start` (negative before
    top dead centre) and takes `burn_duration` of crank angle."""

    swept_volume: float
    compression_ratio: float
    crank_ratio: float
    burn_start: float
    burn_duration: float
    polytropic_exponent: float

    @property
    def clearance(self) -> float:
        return self.swept_volume / (self.compression_ratio - 1)

    def volume(self, angle: float) -> float:
        """Volume at a crank angle."""
        λ = self.crank_ratio
        lift = 1 - cos(angle) + (1 - sqrt(1 - (λ * sin(angle)) ** 2)) / λ
        return self.clearance + self.swept_volume * lift / 2

    def slope(self, angle: float) -> float:
        """Change of volume with crank angle: the lever that pressure turns the crank with."""
        λ = self.crank_ratio
        side = λ * sin(angle) * cos(angle) / sqrt(1 - (λ * sin(angle)) ** 2)
        return self.swept_volume * (sin(angle) + side) / 2

    def burnt(self, angle: float) -> float:
        """Share of the charge that has burnt, by a cosine over the duration."""
        x = (angle - self.burn_start) / self.burn_duration
        return 0.0 if x <= 0 else 1.0 if x >= 1 else (1 - cos(pi * x)) / 2

    def compression(self, angle: float) -> float:
        """Pressure over that in the manifold along the compression."""
        most = self.clearance + self.swept_volume
        return float((most / self.volume(angle)) ** self.polytropic_exponent)

    def expansion(self, angle: float) -> float:
        """Pressure over that of a charge burnt at top dead centre along the expansion."""
        return float((self.clearance / self.volume(angle)) ** self.polytropic_exponent)

    def pressure(self, angle: float, manifold: float, outside: float, burnt: float) -> float:
        """Absolute pressure at a crank angle from -2π to 2π; `burnt` is that of a charge burnt at once."""
        return self.phase(angle).pressure(manifold, outside, burnt)

    def phase(self, angle: float) -> _Phase:
        """All that the pressure at a crank angle rests on but the pressures themselves."""
        between = -pi <= angle < pi
        return _Phase(
            angle=angle,
            slope=self.slope(angle),
            burnt=self.burnt(angle) if between else 0.0,
            compression=self.compression(angle) if between else 0.0,
            expansion=self.expansion(angle) if between else 0.0,
        )

    def works(self) -> tuple[float, float]:
        """Work of a cycle by unit pressure in the manifold during compression, and by unit burnt pressure."""

        def unburnt(angle: float) -> float:
            return (1 - self.burnt(angle)) * self.compression(angle) * self.slope(angle)

        def burnt(angle: float) -> float:
            return self.burnt(angle) * self.expansion(angle) * self.slope(angle)

        # The burning begins and ends at a kink, which Simpson's rule must not run over.
        ends = sorted({-pi, self.burn_start, min(self.burn_start + self.burn_duration, pi), pi})
        pieces = list(pairwise(ends))
        return (
            sum(_simpson(unburnt, low, high) for low, high in pieces),
            sum(_simpson(burnt, low, high) for low, high in pieces),
        )


@dataclass(frozen=True, kw_only=True)
class _Phase:
    """One cylinder at a crank angle: the lever of its piston, and the share burnt, the compression and the
    expansion, between the dead centres of the working strokes."""

    angle: float
    slope: float
    burnt: float
    compression: float
    expansion: float

    def pressure(self, manifold: float, outside: float, burnt: float) -> float:
        """Absolute pressure; `burnt` is that of a charge burnt at once."""
        if self.angle < -pi:
            return manifold
        if self.angle >= pi:
            return outside
        return (1 - self.burnt) * manifold * self.compression + self.burnt * burnt * self.expansion


@lru_cache(maxsize=8)
def _phases(cylinder: Cylinder, cylinders: int) -> tuple[tuple[_Phase, ...], ...]:
    """By point of the firing interval, every cylinder; the same at any load."""
    return tuple(
        tuple(
            cylinder.phase(-2 * pi + (number / POINTS + place) * 4 * pi / cylinders)
            for place in range(cylinders)
        )
        for number in range(POINTS)
    )


def _simpson(function: Callable[[float], float], low: float, high: float) -> float:
    step = (high - low) / _PANELS
    total = function(low) + function(high)
    for number in range(1, _PANELS):
        total += function(low + number * step) * (4 if number % 2 else 2)
    return total * step / 3


@dataclass(frozen=True)
class TorqueCurve:
    """Torque of a whole engine over one firing interval, at even steps of crank angle; SI."""

    torques: tuple[float, ...]
    interval: float

    @property
    def mean(self) -> float:
        return sum(self.torques) / len(self.torques)

    @property
    def excess(self) -> tuple[float, ...]:
        """Torque above its mean."""
        mean = self.mean
        return tuple(torque - mean for torque in self.torques)

    @property
    def energies(self) -> tuple[float, ...]:
        """Work of the excess from the first angle on, by the trapezoidal rule."""
        step = self.interval / len(self.torques)
        excess, energy, found = self.excess, 0.0, []
        for number, torque in enumerate(excess):
            found.append(energy)
            energy += (torque + excess[(number + 1) % len(excess)]) / 2 * step
        return tuple(found)


def torque_curve(
    cylinder: Cylinder,
    cylinders: int,
    manifold_pressure: float,
    outside_pressure: float,
    burnt_pressure: float,
    inertia_lever: float = 0.0,
) -> TorqueCurve:
    """The torque of an engine whose cylinders fire evenly, over one firing interval.

    Formula: T(θ) = Σ (p(θ_k) - p_0) dV/dθ + T_m c_i(θ_k), θ_k = θ + 4 π k / z. Symbols: z cylinders (1), p
    pressure in a cylinder, of its manifold, outside and of a charge burnt at once (Pa), V volume (m³), T_m
    the lever of the inertia (N·m), c_i its shape (1), T torque (N·m).
    Range: cylinders alike, a rigid crank. Errors: none. Source: virtual work.
    """
    torques = [0.0] * POINTS
    for number, phases in enumerate(_phases(cylinder, cylinders)):
        for phase in phases:
            pressure = phase.pressure(manifold_pressure, outside_pressure, burnt_pressure)
            torques[number] += (pressure - outside_pressure) * phase.slope
    if inertia_lever:
        for number, shape in enumerate(_inertia_shapes(cylinders, cylinder.crank_ratio)):
            torques[number] += inertia_lever * shape
    return TorqueCurve(tuple(torques), 4 * pi / cylinders)


@lru_cache(maxsize=8)
def _inertia_shapes(cylinders: int, crank_ratio: float) -> tuple[float, ...]:
    """The torque of all pistons' inertia over a firing interval, over m r² ω². It rests on few numbers."""
    return tuple(
        sum(
            inertia_torque_shape((number / POINTS + place) * 4 * pi / cylinders, crank_ratio)
            for place in range(cylinders)
        )
        for number in range(POINTS)
    )


def inertia_torque_shape(
    crank_angle: Annotated[float, "θ", "rad"],
    crank_ratio: Annotated[float, "λ", "1"],
) -> Annotated[float, "c_i", "1"]:
    """Torque of a piston's inertia on an evenly turning crank, over m r² ω².

    Formula: c_i = -x' x'' with x' = sin θ + λ sin θ cos θ / w, x'' = cos θ + λ (cos² θ - sin² θ) / w +
    λ³ sin² θ cos² θ / w³, w = √(1 - λ² sin² θ). Symbols: θ crank angle from top dead centre (rad), λ half the
    stroke over the rod's length (1), c_i torque over m r² ω² (1).
    Range: λ above 0, up to 0.6. Errors: `OutOfRange`.
    Source: d'Alembert's principle; to first orders λ/4 sin θ - 1/2 sin 2θ - 3λ/4 sin 3θ (Den Hartog,
    Mechanical Vibrations, from memory).
    """
    positive("crank_ratio", crank_ratio)
    within("crank_ratio", crank_ratio, 0.0, 0.6)
    w = sqrt(1 - (crank_ratio * sin(crank_angle)) ** 2)
    s = sin(crank_angle)
    c = cos(crank_angle)
    x1 = s + crank_ratio * s * c / w
    x2 = c + crank_ratio * (c**2 - s**2) / w + crank_ratio**3 * s**2 * c**2 / w**3
    return -x1 * x2


# --- what the kind shows -----------------------------------------------------------------

_PRESSURE = UpTo(5e6, "manifolds and friction of piston engines")

friction_work = product_of(
    "friction_work",
    "Work of the engine's own friction in a cycle of all cylinders.",
    friction_mean_pressure=Variable("p_f", "Pa", "mean effective pressure of the friction", _PRESSURE),
    displacement=Variable("V_d", "m³", "displacement", positive),
    gives=Variable("W_f", "J", "work"),
    source="definition of mean effective pressure",
)


def friction_torque(friction_work: Annotated[float, "W_f", "J"]) -> Annotated[float, "T_f", "N·m"]:
    """Mean torque of the engine's own friction.

    Formula: T_f = W_f / (4 π). Symbols: W_f work in a cycle (J), T_f torque (N·m).
    Range: positive. Errors: `OutOfRange`. Source: a four-stroke cycle is two turns.
    """
    positive("friction_work", friction_work)
    return friction_work / (4 * pi)


indicated_torque = sum_of(
    "indicated_torque",
    "Mean torque that the gas makes: what leaves the crank and what friction takes.",
    brake_torque=Variable("T_b", "N·m", "torque at the clutch", Within(0, 1e5)),
    friction_torque=Variable("T_f", "N·m", "torque of friction", positive),
    gives=Variable("T_i", "N·m", "indicated torque"),
    source="balance of torques",
)


def crank_ratio(
    stroke: Annotated[float, "s", "m"], rod_length: Annotated[float, "l", "m"]
) -> Annotated[float, "λ", "1"]:
    """Half the stroke over the connecting rod's length.

    Formula: λ = s / (2 l). Symbols: s stroke (m), l length of the rod between centres (m), λ ratio (1).
    Range: both positive, λ up to 0.6. Errors: `OutOfRange`. Source: definition.
    """
    positive("stroke", stroke)
    positive("rod_length", rod_length)
    within("rod_length", stroke / (2 * rod_length), 0.0, 0.6, "half the stroke over the rod's length")
    return stroke / (2 * rod_length)


swept_volume = ratio_of(
    "swept_volume",
    "Displacement of one cylinder.",
    displacement=Variable("V_d", "m³", "displacement of all", positive),
    cylinders=Variable("z", "1", "cylinders", positive),
    gives=Variable("V_h", "m³", "swept volume"),
    source="definition",
)


def burnt_pressure(
    cylinder: Cylinder,
    cylinders: Annotated[float, "z", "1"],
    indicated_torque: Annotated[float, "T_i", "N·m"],
    manifold_pressure: Annotated[float, "p_m", "Pa"],
    outside_pressure: Annotated[float, "p_0", "Pa"],
) -> Annotated[float, "p_b", "Pa"]:
    """Pressure of a charge that burns at once at top dead centre, such that the cycle makes a given torque.

    Formula: T_i = z / (4 π) ∮ (p - p_0) dV with p = (1 - x) p_m (V_1 / V)^n + x p_b (V_c / V)^n between the
    dead centres, p = p_m drawing in, p = p_0 pushing out. Symbols: z cylinders (1), T_i mean torque (N·m),
    p_m pressure in the manifold (Pa), p_0 outside (Pa), V volume, V_1 its greatest and V_c its least (m³),
    n polytropic exponent (1), x burnt share (1), p_b pressure (Pa).
    In words: found by integration.
    Range: more pressure than compression alone makes. Errors: `OutOfRange`.
    Source: pressure between the two polytropic processes, as L. Eriksson and I. Andersson, SAE 2002-01-0371
    (abstract read); burnt share by a cosine (Heywood, 1988, 9.2, from memory).
    """
    positive("indicated_torque", indicated_torque)
    unburnt, burnt = cylinder.works()
    wanted = 4 * pi * indicated_torque / cylinders
    # Drawing in and pushing out make (p_m - p_0) V_h; what the outside does over a whole turn cancels.
    rest = (manifold_pressure - outside_pressure) * cylinder.swept_volume + manifold_pressure * unburnt
    found = (wanted - rest) / burnt
    alone = manifold_pressure * cylinder.compression(0.0)
    if found <= alone:
        raise OutOfRange(
            "friction_mean_pressure",
            f"a cycle of {indicated_torque:.3g} N·m, for which compression alone is enough",
            "more torque, or less pressure in the manifold",
        )
    return found


def greatest_pressure(
    cylinder: Cylinder,
    manifold_pressure: Annotated[float, "p_m", "Pa"],
    outside_pressure: Annotated[float, "p_0", "Pa"],
    burnt_pressure: Annotated[float, "p_b", "Pa"],
) -> Annotated[float, "p_max", "Pa"]:
    """Greatest pressure in the cylinder, absolute.

    Formula: p_max = max p(θ). Symbols: p_m pressure in the manifold, p_0 outside and p_b of a charge burnt at
    once (Pa), θ crank angle (rad), p_max pressure (Pa).
    In words: found by search, to a degree.
    Range: any. Errors: none. Source: definition.
    """
    angles = (pi * (number - 60) / 180 for number in range(181))
    return max(
        cylinder.pressure(angle, manifold_pressure, outside_pressure, burnt_pressure) for angle in angles
    )


def torque_swing(curve: TorqueCurve, cylinders: Annotated[float, "z", "1"]) -> Annotated[float, "ΔT", "N·m"]:
    """Highest less lowest torque of the engine in a firing interval.

    Formula: ΔT = max T(θ) - min T(θ). Symbols: z cylinders, which fire evenly (1), θ crank angle (rad), ΔT
    swing (N·m).
    In words: found by integration.
    Range: any. Errors: none. Source: definition.
    """
    return max(curve.torques) - min(curve.torques)


def firing_torque(
    curve: TorqueCurve, firing_events: Annotated[float, "h", "1"]
) -> Annotated[float, "T_h", "N·m"]:
    """Amplitude of the torque at the firing frequency.

    Formula: T_h = 2 / Δφ |∫ T(θ) e^(-i h θ) dθ| over a firing interval. Symbols: h events in a turn (1), T
    torque (N·m), θ crank angle and Δφ firing interval (rad), T_h amplitude (N·m).
    In words: found by integration.
    Range: any. Errors: none. Source: Fourier; of evenly firing cylinders only multiples of half their number
    are left, and add up (as in a torque analysis of 1923, Sir Henry Royce Memorial Foundation, read).
    """
    step = curve.interval / len(curve.torques)
    real = sum(torque * cos(firing_events * step * at) for at, torque in enumerate(curve.torques))
    imaginary = sum(torque * sin(firing_events * step * at) for at, torque in enumerate(curve.torques))
    return 2 * hypot(real, imaginary) / len(curve.torques)


def greatest_excess(
    curve: TorqueCurve, indicated_torque: Annotated[float, "T_i", "N·m"]
) -> Annotated[float, "T_x", "N·m"]:
    """Greatest departure of the torque from its mean, up or down.

    Formula: T_x = max |T(θ) - T_i|. Symbols: T torque and T_i its mean (N·m), θ crank angle (rad), T_x
    departure (N·m).
    In words: found by search over the firing interval.
    Range: any. Errors: none. Source: definition.
    """
    return max(abs(torque) for torque in curve.excess)


def energy_swing(
    curve: TorqueCurve, indicated_torque: Annotated[float, "T_i", "N·m"]
) -> Annotated[float, "ΔE", "J"]:
    """Work that the flywheel takes up and gives back in a firing interval.

    Formula: ΔE = max E(θ) - min E(θ), E(θ) = ∫ (T - T_i) dθ. Symbols: T torque and T_i its mean (N·m), θ
    crank angle (rad), ΔE work (J).
    In words: found by integration.
    Range: any. Errors: none. Source: turning moment diagram, CodeCogs, Theory of machines (read).
    """
    return max(curve.energies) - min(curve.energies)


def speed_irregularity(
    energy_swing: Annotated[float, "ΔE", "J"],
    inertia: Annotated[float, "J", "kg·m²"],
    rotational_speed: Annotated[float, "ω", "rad/s"],
) -> Annotated[float, "δ", "1"]:
    """Highest less lowest speed over the mean: the coefficient of fluctuation of speed.

    Formula: δ = ΔE / (J ω²). Symbols: ΔE work of the flywheel (J), J moment of inertia (kg·m²), ω mean speed
    (rad/s), δ irregularity (1).
    Range: all positive; small against 1. Errors: `OutOfRange`.
    Source: kinetic energy; turning moment diagrams, CodeCogs, Theory of machines (read).
    """
    positive("energy_swing", energy_swing)
    positive("inertia", inertia)
    positive("rotational_speed", rotational_speed)
    return energy_swing / (inertia * rotational_speed**2)


speed_ripple = product_of(
    "speed_ripple",
    "Highest less lowest speed in a firing interval.",
    speed_irregularity=Variable("δ", "1", "irregularity", positive),
    rotational_speed=Variable("ω", "rad/s", "mean speed", positive),
    gives=Variable("Δω", "rad/s", "ripple"),
    source="definition",
)

angular_acceleration = ratio_of(
    "angular_acceleration",
    "Greatest angular acceleration of the crank, flywheel and gearbox input.",
    greatest_excess=Variable("T_x", "N·m", "greatest departure of the torque from its mean", positive),
    inertia=Variable("J", "kg·m²", "moment of inertia", positive),
    gives=Variable("α", "rad/s²", "acceleration"),
    source="Newton's law for rotation",
)

firing_acceleration = ratio_of(
    "firing_acceleration",
    "Amplitude of the angular acceleration at the firing frequency.",
    firing_torque=Variable("T_h", "N·m", "amplitude of the torque", positive),
    inertia=Variable("J", "kg·m²", "moment of inertia", positive),
    gives=Variable("α_h", "rad/s²", "acceleration"),
    source="Newton's law for rotation",
)

loose_gear_torque = product_of(
    "loose_gear_torque",
    "Torque that it takes to make the loose gears follow the input shaft.",
    angular_acceleration=Variable("α", "rad/s²", "acceleration", positive),
    gear_inertia=Variable("J_g", "kg·m²", "inertia of the loose gears at the input shaft", positive),
    gives=Variable("T_g", "N·m", "torque"),
    source="Newton's law for rotation",
)

rattle_ratio = ratio_of(
    "rattle_ratio",
    "Torque that the loose gears need over the drag that keeps their teeth in contact; above 1 they part.",
    loose_gear_torque=Variable("T_g", "N·m", "torque of their inertia", positive),
    drag_torque=Variable("T_d", "N·m", "drag at the input shaft", positive),
    gives=Variable("R", "1", "ratio"),
    source="equilibrium of a loose gear: it is driven until its inertia asks for more than the drag",
)

firing_events = ratio_of(
    "firing_events",
    "Firings in one turn of the crank.",
    cylinders=Variable("z", "1", "cylinders", positive),
    turns_in_a_cycle=Variable("n_c", "1", "turns in a cycle", positive),
    gives=Variable("h", "1", "events in a turn"),
    source="a four-stroke cycle is two turns",
)


def inertia_lever(
    reciprocating_mass: Annotated[float, "m", "kg"],
    stroke: Annotated[float, "s", "m"],
    rotational_speed: Annotated[float, "ω", "rad/s"],
) -> Annotated[float, "T_m", "N·m"]:
    """Torque by which the inertia of a piston scales.

    Formula: T_m = m s² ω² / 4. Symbols: m reciprocating mass of one cylinder (kg), s stroke (m), ω speed
    (rad/s), T_m torque (N·m).
    Range: all positive. Errors: `OutOfRange`. Source: d'Alembert's principle.
    """
    positive("reciprocating_mass", reciprocating_mass)
    positive("stroke", stroke)
    positive("rotational_speed", rotational_speed)
    return reciprocating_mass * stroke**2 * rotational_speed**2 / 4
