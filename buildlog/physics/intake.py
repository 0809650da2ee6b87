"""The box of an intake as a node: what each mouth brings at a pressure in the box, and the pressure at which
all of them together bring what the engine draws.

Each mouth brings less the higher the pressure in the box, and the engine draws more, so that there is one
root. It is found by regula falsi (Illinois form) and holds to 1e-9 of the pressures or better.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from math import copysign, sqrt
from typing import Annotated

from buildlog.diagnostics import NoSolution
from buildlog.physics import scoop
from buildlog.physics.declared import Variable, Within, ratio_of
from buildlog.physics.limits import positive, within
from buildlog.physics.network import FlowPath

_INNER, _OUTER = 1e-11, 1e-10
_UNBALANCED = 1e-6
"""Of what the engine draws: more than that is missing from the balance where there is no root."""


@dataclass(frozen=True, kw_only=True)
class Stream:
    """One way into the box, at one road speed. `area` is that of its mouth; `lip` its loss coefficient in
    still air, where it is not among the parts of the path; `speed` and `ram` are those of the wind against
    it, 0 where it does not face the wind. `temperature`, `density` and `viscosity` are those of its air at
    rest, at ambient pressure. SI units."""

    name: str
    path: FlowPath
    area: float
    recovery: float = 0.0
    recovery_stopped: float = 0.0
    lip: float = 0.0
    speed: float = 0.0
    ram: float = 0.0
    temperature: float
    density: float
    viscosity: float

    def brought(self, flow: float) -> float:
        """Total pressure above ambient before the path: what is recovered, less what the lip costs."""
        if self.speed == 0:
            return -scoop.lip_loss(self.lip, self.density, max(flow, 0.0) / self.area, 0.0)
        if flow <= 0:
            return self.recovery_stopped * self.ram
        asked = scoop.mass_flow_ratio(flow, self.area, self.speed)
        recovery = scoop.recovery_at(self.recovery, self.recovery_stopped, asked)
        return recovery * self.ram - scoop.lip_loss(self.lip, self.density, flow / self.area, self.speed)

    def in_box(self, flow: float) -> float:
        """Pressure above ambient that it brings to the box at a flow; air that flows out counts below 0."""
        if flow == 0:
            return self.brought(0.0)
        return self.brought(flow) - copysign(self.path.loss(abs(flow), self.density, self.viscosity), flow)

    def flow_at(self, pressure: float, scale: float) -> float:
        """Volume flow at its own density that it brings at a pressure in the box. `scale` is a usual flow.

        A mouth that recovers more the more it takes has a pressure at which it brings most; what it brings is
        then the greater of its two flows, which is the one that stays. Against more pressure it blows out.
        """

        # In x = Q|Q| losses are nearly straight lines.
        def excess(x: float) -> float:
            return self.in_box(copysign(sqrt(abs(x)), x)) - pressure

        still = excess(0.0)
        start = self.best_flow**2 if still < 0 else 0.0
        if start and (there := excess(start)) >= 0:
            still = there
        else:
            start = 0.0
        if still == 0:
            return sqrt(start)
        end = start + copysign(scale**2, still)
        for _ in range(60):
            if excess(end) * still <= 0:
                break
            end = start + (end - start) * 4
        low, high = sorted((start, end))
        x = _falling_root(excess, low, high, _INNER * (abs(still) + 1e-3))
        return copysign(sqrt(abs(x)), x)

    @cached_property
    def best_flow(self) -> float:
        """The flow at which it brings the greatest pressure to the box, 0 where the pressure only falls."""
        if self.speed == 0 or self.recovery <= self.recovery_stopped:
            return 0.0
        # By golden section: what is recovered rises in a straight line up to what the mouth meets, and losses
        # rise ever faster, so that there is one greatest pressure.
        low, high = 0.0, self.area * self.speed
        share = (sqrt(5) - 1) / 2
        while high - low > 1e-12 * self.area * self.speed:
            left, right = high - share * (high - low), low + share * (high - low)
            if self.in_box(left) < self.in_box(right):
                low = left
            else:
                high = right
        return (low + high) / 2


@dataclass(frozen=True, kw_only=True)
class Intake:
    """The ways into a box, what all the air passes behind it, and the volume that the engine draws (m³/s, at
    ambient pressure and the temperature of the mixture)."""

    streams: tuple[Stream, ...]
    behind: FlowPath
    drawn: float

    def flows(self, box: float) -> list[float]:
        """Volume flow of each at a pressure in the box, at its own density, where it flows out at that of the
        mixture. One way alone brings all."""
        if len(self.streams) == 1:
            return [self.drawn]
        flows = [stream.flow_at(box, self.drawn) for stream in self.streams]
        if min(flows) >= 0:
            return flows
        # At one loss a flow goes with 1/√ρ: what blows out is the mixture, not the air outside of that mouth.
        _, density, _ = self.mixed(flows)
        return [
            flow if flow >= 0 else flow * sqrt(stream.density / density)
            for flow, stream in zip(flows, self.streams, strict=True)
        ]

    def mixed(self, flows: list[float]) -> tuple[float, float, float]:
        """Temperature, density and viscosity of what flows in, mixed at ambient pressure.

        With one specific heat, the temperature is the mean weighted by mass; the density at one pressure then
        is all the mass over all the volume.
        """
        ins = [(flow, stream) for flow, stream in zip(flows, self.streams, strict=True) if flow > 0]
        ins = ins or [(1.0, stream) for stream in self.streams]
        mass = sum(flow * stream.density for flow, stream in ins)
        volume = sum(flow for flow, _ in ins)
        heat = sum(flow * stream.density * stream.temperature for flow, stream in ins)
        viscous = sum(flow * stream.viscosity for flow, stream in ins)
        return heat / mass, mass / volume, viscous / volume

    def lost_behind(self, flows: list[float]) -> float:
        _, density, viscosity = self.mixed(flows)
        return self.behind.loss(self.drawn, density, viscosity) if self.drawn > 0 else 0.0

    def excess(self, box: float) -> float:
        """Mass that the ways bring less what the engine draws, kg/s."""
        flows = self.flows(box)
        _, density, _ = self.mixed(flows)
        brought = sum(
            flow * (stream.density if flow > 0 else density)
            for flow, stream in zip(flows, self.streams, strict=True)
        )
        return brought - density * self.drawn


def _falling_root(falls: Callable[[float], float], low: float, high: float, near: float) -> float:
    """Where a falling function is 0 to within `near`, between bounds that enclose it."""
    above, below = falls(low), falls(high)
    if above <= 0:
        return low
    if below >= 0:
        return high
    side = 0
    middle = low
    for turn in range(1, 300):
        middle = (low * below - high * above) / (below - above)
        if turn % 5 == 0:
            middle = (low + high) / 2
        value = falls(middle)
        if abs(value) <= near or high - low <= 1e-15 * (abs(low) + abs(high)):
            break
        if value > 0:
            low, above = middle, value
            below = below / 2 if side > 0 else below
            side = 1
        else:
            high, below = middle, value
            above = above / 2 if side < 0 else above
            side = -1
    return middle


def box_pressure(
    intake: Intake,
    drawn: Annotated[float, "Q", "m³/s"],
    pressure: Annotated[float, "p", "Pa"],
) -> Annotated[float, "Δp_b", "Pa"]:
    """Pressure in a box above ambient, where the mouths bring what the engine draws.

    Formula: ∑ ṁ_i(Δp_b) - ρ_m Q = 0, solved for Δp_b. Symbols: ṁ_i(Δp_b) mass flow that
    mouth i brings at the pressure in the box (kg/s; below 0 where air flows out), ρ_m density of the mixture
    at ambient pressure (kg/m³), Q volume the engine draws (m³/s), p ambient pressure (Pa), Δp_b pressure in
    the box, above ambient (Pa).
    In words: found by iteration.
    Range: Q and p positive; Δp_b above half of -p; each mouth on the part of its curve that falls with its
    flow: where it rises, one of two mouths takes the air of the other.
    Errors: `OutOfRange`, `NoSolution`.
    Source: continuity at a node with the balance of total pressure along each way (H. Cross, Univ. Illinois
    Bulletin 286, 1936, as D. Brkić and P. Praks, Appl. Sci. 9 (2019) 2019, report it); reversal of the flow
    in one of two mouths: A. Beke, Criteria for initial flow reversal in symmetrical twin-intake air-induction
    systems, NACA (summary).
    """
    positive("drawn", drawn)
    positive("pressure", pressure)
    lowest = -pressure / 2
    if len(intake.streams) == 1:  # one way brings what the engine draws, and its pressure follows
        box = intake.streams[0].in_box(intake.drawn)
        if box < lowest:
            raise _choked()
        return box
    high = max(stream.in_box(stream.best_flow) for stream in intake.streams)
    low = high - 50.0
    while intake.excess(low) < 0:
        low = high - (high - low) * 4
        if low < lowest:
            raise _choked()
    scale = drawn * intake.streams[0].density
    box = _falling_root(intake.excess, low, high, _OUTER * scale)
    # A mouth whose curve rises jumps from its greatest pressure to blowing out: no steady flow is there.
    if abs(intake.excess(box)) > _UNBALANCED * scale:
        raise NoSolution(
            "segments",
            "mouths that have no steady flow together",
            "mouths of which each brings less against a higher pressure in the box",
            help="recovery above recovery_stopped makes a mouth bring more the more it takes, and of several "
            "such mouths one takes the air of the others: give recovery_stopped as it was read, or less area",
        )
    return box


def _choked() -> NoSolution:
    return NoSolution(
        "segments",
        "a box at less than half the ambient pressure",
        "a duct that the engine can draw its air through",
        help="no engine draws its full volume through such a duct",
    )


def inlet_pressure(
    intake: Intake,
    box_pressure_rise: Annotated[float, "Δp_b", "Pa"],
) -> Annotated[float, "Δp_e", "Pa"]:
    """Pressure that the engine's inlet has above ambient: that of the box less the loss behind it.

    Formula: Δp_e = Δp_b - Δp(Q). Symbols: Δp_b pressure in the box, above ambient (Pa), Δp(Q) loss of filter
    and hoses behind it at what the engine draws (Pa), Δp_e pressure at the engine's inlet, above ambient
    (Pa).
    In words: the loss added up over the pieces behind the box.
    Range: any. Source: balance of total pressure.
    """
    within("box_pressure_rise", box_pressure_rise)
    return box_pressure_rise - intake.lost_behind(intake.flows(box_pressure_rise))


def mixed_temperature(
    intake: Intake,
    box_pressure_rise: Annotated[float, "Δp_b", "Pa"],
) -> Annotated[float, "T_m", "K"]:
    """Temperature of the streams that flow into the box, mixed.

    Formula: T_m = ∑ ṁ_i T_i / ∑ ṁ_i over the mouths that bring air. Symbols: ṁ_i mass flow of a mouth at the
    pressure in the box (kg/s), T_i temperature of its air at rest (K), Δp_b pressure in the box, above
    ambient (Pa), T_m temperature of the mixture (K).
    In words: the mean of the streams, each counted by its mass.
    Range: any; without heat from the walls, specific heat of all the same (within 0.3 % up to 100 °C).
    Source: balance of enthalpy.
    """
    within("box_pressure_rise", box_pressure_rise)
    return intake.mixed(intake.flows(box_pressure_rise))[0]


def mass_flow_in(
    intake: Intake,
    mouth: Annotated[float, "i", "1"],
    box_pressure_rise: Annotated[float, "Δp_b", "Pa"],
) -> Annotated[float, "ṁ_i", "kg/s"]:
    """Mass flow that one mouth brings; below 0 it blows air out.

    Formula: Δp_i(ṁ_i) - Δp_b = 0, where Δp_i(ṁ_i) is what the mouth recovers, less the losses of its lip and
    of its duct, solved for ṁ_i. Symbols: i number of the mouth (1), Δp_b pressure in the box, above ambient
    (Pa), ṁ_i mass flow (kg/s).
    In words: found by iteration.
    Range: any. A mouth that blows out is taken to lose as much as if it drew. Source: balance of total
    pressure.
    """
    within("box_pressure_rise", box_pressure_rise)
    flows = intake.flows(box_pressure_rise)
    flow, stream = flows[int(mouth) - 1], intake.streams[int(mouth) - 1]
    return flow * (stream.density if flow > 0 else intake.mixed(flows)[1])


def engine_speed_as_given(
    engine_speed: Annotated[float, "ω_0", "rad/s"],
) -> Annotated[float, "ω", "rad/s"]:
    """Engine speed where it does not depend on the road speed.

    Formula: ω = ω_0. Symbols: ω_0 engine speed as given, ω as used (rad/s).
    Range: positive. Errors: `OutOfRange`. Source: the author of the block.
    """
    positive("engine_speed", engine_speed)
    return engine_speed


share_of_draw = ratio_of(
    "share_of_draw",
    "What one mouth brings over what the engine draws; below 0 where it blows out.",
    part=Variable("ṁ_i", "kg/s", "mass flow of the mouth", Within()),
    whole=Variable("ṁ", "kg/s", "mass flow of the engine", positive),
    gives=Variable("ṁ_i/ṁ", "1", "share"),
    source="definition",
)
