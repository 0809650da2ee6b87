"""Fans: a maker's curve in other air, several of them together, and where they meet a circuit."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import nan
from typing import Annotated

from buildlog.diagnostics import InputsConflict, NoSolution
from buildlog.physics.declared import Variable, difference_of, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within


@dataclass(frozen=True, kw_only=True)
class FanCurve:
    """Points of a maker's curve, rising in flow and falling in static pressure; straight between them.

    `currents` is empty where the maker states none. `density` is that of the air it was measured in.
    """

    flows: tuple[float, ...]
    pressures: tuple[float, ...]
    currents: tuple[float, ...]
    density: float

    @classmethod
    def read(cls, table: Sequence[Mapping[str, float]], density: float, name: str) -> FanCurve:
        """The curve of a table's rows; `name` is the input, for what is wrong with it."""
        for index, (before, row) in enumerate(pairwise(table), start=1):
            if row["flow"] <= before["flow"]:
                raise InputsConflict(
                    name,
                    f"a flow of {row['flow']:.4g} m³/s after {before['flow']:.4g} m³/s",
                    "flows that rise from row to row",
                    at=(index, "flow"),
                )
            if row["pressure"] >= before["pressure"]:
                raise InputsConflict(
                    name,
                    f"a pressure of {row['pressure']:.4g} Pa after {before['pressure']:.4g} Pa",
                    "pressures that fall as the flow rises",
                    help="leave out what lies left of the stall: a fan is not to work there",
                    at=(index, "pressure"),
                )
        with_current = ["current" in row for row in table]
        if any(with_current) and not all(with_current):
            at = with_current.index(False)
            raise InputsConflict(
                name,
                "a current in some rows",
                "a current in every row or in none",
                at=(at,),
            )
        return cls(
            flows=tuple(row["flow"] for row in table),
            pressures=tuple(row["pressure"] for row in table),
            currents=tuple(row["current"] for row in table) if all(with_current) else (),
            density=density,
        )

    def at(self, flow: float, values: Sequence[float]) -> float:
        """A value of the curve at a flow within it, straight between its points."""
        place = min(max(bisect_right(self.flows, flow), 1), len(self.flows) - 1)
        low, high = self.flows[place - 1], self.flows[place]
        share = (flow - low) / (high - low)
        return values[place - 1] + share * (values[place] - values[place - 1])


@dataclass(frozen=True, kw_only=True)
class FanGroup:
    """Fans of one curve: `beside` each other they share the flow, `behind` each other the pressure. `factor`
    is by how much they are taken to give more than the curve."""

    curve: FanCurve
    beside: int = 1
    behind: int = 1
    density: float
    factor: float = 1.0

    @property
    def least_flow(self) -> float:
        return self.curve.flows[0] * self.beside

    @property
    def most_flow(self) -> float:
        return self.curve.flows[-1] * self.beside

    def pressure(self, flow: float) -> float:
        """What all of them together raise the static pressure by, in their air."""
        curve = self.curve
        each = curve.at(flow / self.beside, curve.pressures)
        return self.factor * self.behind * each * self.density / curve.density


def falling_root(
    excess: Callable[[float], float],
    low: Annotated[float, "x_1", "1"],
    high: Annotated[float, "x_2", "1"],
) -> Annotated[float, "x", "1"]:
    """Where a function that falls between two places is nothing.

    Formula: f(x) = 0, solved for x. Symbols: f(x) the function (1), x_1 one place (1), x_2 the other (1), x
    the root (1); the places may have a unit of their own.
    In words: by halving, to 1e-12 of the range; the nearer end, where it has one sign all along.
    Range: any. Errors: none. Source: bisection.
    """
    width = high - low
    while high - low > 1e-12 * width:
        middle = (low + high) / 2
        if excess(middle) > 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def circuit_loss(
    rated_loss: Annotated[float, "Δp_r", "Pa"],
    volume_flow: Annotated[float, "Q", "m³/s"],
    rated_flow: Annotated[float, "Q_r", "m³/s"],
    exponent: Annotated[float, "n", "1"],
    density: Annotated[float, "ρ", "kg/m³"],
    rated_density: Annotated[float, "ρ_r", "kg/m³"],
) -> Annotated[float, "Δp", "Pa"]:
    """Pressure that a core or a circuit takes at a flow, from one point of it.

    Formula: Δp = Δp_r (Q / Q_r)^n (ρ / ρ_r)^(n - 1). Symbols: Δp_r pressure loss at the rated flow (Pa), Q
    volume flow (m³/s), Q_r rated flow (m³/s), n exponent (1), ρ density of the air (kg/m³), ρ_r density at
    the rating (kg/m³), Δp pressure loss (Pa).
    Range: Δp_r, Q_r and densities positive, Q zero or more, n 1 to 2. Errors: `OutOfRange`.
    Source: similarity: a friction factor in proportion to Re^(n - 2) at one viscosity (derived).
    """
    positive("rated_loss", rated_loss)
    not_negative("volume_flow", volume_flow)
    positive("rated_flow", rated_flow)
    within("exponent", exponent, 1, 2)
    positive("density", density)
    positive("rated_density", rated_density)
    return rated_loss * (volume_flow / rated_flow) ** exponent * (density / rated_density) ** (exponent - 1)  # type: ignore[no-any-return]


def working_flow(
    fans: FanGroup,
    loss: Callable[[float], float],
    circuit_loss_at_least_flow: Annotated[float, "Δp_1", "Pa"],
    circuit_loss_at_most_flow: Annotated[float, "Δp_2", "Pa"],
) -> Annotated[float, "Q", "m³/s"]:
    """Flow at which fans raise the pressure by just what the circuit takes.

    Formula: p_f(Q) = Δp(Q), solved for Q. Symbols: p_f(Q) pressure of the fans at a flow (Pa), Δp(Q) pressure
    that the circuit takes (Pa), Δp_1 that at the least flow of the curve (Pa), Δp_2 that at the most (Pa), Q
    volume flow (m³/s).
    In words: where the curve of the fans, straight between its points, crosses that of the circuit; found by
    halving.
    Range: the crossing lies on the curve. Errors: `NoSolution`. Source: definition of the working point.
    """
    if fans.pressure(fans.least_flow) < circuit_loss_at_least_flow:
        raise NoSolution(
            "curve",
            f"a circuit that takes {circuit_loss_at_least_flow:.0f} Pa at the least flow of the curve",
            f"at most what the fan has there, {fans.pressure(fans.least_flow):.0f} Pa",
            help="it works left of the curve: state it from a smaller flow, or take another fan",
        )
    if fans.pressure(fans.most_flow) > circuit_loss_at_most_flow:
        raise NoSolution(
            "curve",
            f"a circuit that takes {circuit_loss_at_most_flow:.0f} Pa at the greatest flow of the curve",
            f"at least what the fan has there, {fans.pressure(fans.most_flow):.0f} Pa",
            help="it works right of the curve: state it down to no pressure",
        )
    return falling_root(lambda flow: fans.pressure(flow) - loss(flow), fans.least_flow, fans.most_flow)


def fan_pressure(
    fans: FanGroup,
    volume_flow: Annotated[float, "Q", "m³/s"],
    density: Annotated[float, "ρ", "kg/m³"],
    curve_density: Annotated[float, "ρ_c", "kg/m³"],
) -> Annotated[float, "p_f", "Pa"]:
    """Static pressure that fans raise the air by at a flow.

    Formula: p_f = p_c(Q) ρ / ρ_c. Symbols: p_c(Q) pressure of the curve at the flow (Pa), Q volume flow
    (m³/s), ρ density of the air (kg/m³), ρ_c density at which the curve was measured (kg/m³), p_f pressure
    (Pa).
    In words: read off the maker's curve, straight between its points, and brought to the density of the air;
    fans beside each other share the flow, fans behind each other add their pressures.
    Range: a flow on the curve. Errors: none. Source: fan laws, as Process Heating has them.
    """
    return fans.pressure(volume_flow)


def fan_current(
    fans: FanGroup,
    volume_flow: Annotated[float, "Q", "m³/s"],
    density: Annotated[float, "ρ", "kg/m³"],
    curve_density: Annotated[float, "ρ_c", "kg/m³"],
) -> Annotated[float, "I", "A"]:
    """Current that all fans draw at a flow.

    Formula: I = I_c(Q) ρ / ρ_c. Symbols: I_c(Q) current of the curve at the flow (A), Q volume flow (m³/s), ρ
    density of the air (kg/m³), ρ_c density at which the curve was measured (kg/m³), I current (A).
    In words: read off the maker's table, straight between its points, and brought to the density of the air,
    as the power is at one speed and one voltage; of all fans together.
    Range: a flow on the curve. Errors: none. Source: fan laws, as Process Heating has them.
    """
    each = fans.curve.at(volume_flow / fans.beside, fans.curve.currents) if fans.curve.currents else nan
    return fans.beside * fans.behind * each * fans.density / fans.curve.density


air_power = product_of(
    "air_power",
    "Power that a pressure rise gives a flow.",
    volume_flow=Variable("Q", "m³/s", "volume flow", not_negative),
    pressure=Variable("p_f", "Pa", "static pressure rise", not_negative),
    gives=Variable("P_a", "W", "power"),
    source="definition, incompressible",
)

electric_power = product_of(
    "electric_power",
    "Electric power.",
    voltage=Variable("U", "V", "voltage", positive),
    current=Variable("I", "A", "current", not_negative),
    gives=Variable("P_e", "W", "electric power"),
    source="definition",
)

efficiency = ratio_of(
    "efficiency",
    "Power in the air over electric power.",
    air_power=Variable("P_a", "W", "power in the air", not_negative),
    electric_power=Variable("P_e", "W", "electric power", positive),
    gives=Variable("η", "1", "efficiency"),
    source="definition",
)

mass_flow = product_of(
    "mass_flow",
    "Mass flow of a volume flow.",
    density=Variable("ρ", "kg/m³", "density", positive),
    volume_flow=Variable("Q", "m³/s", "volume flow", not_negative),
    gives=Variable("ṁ", "kg/s", "mass flow"),
    source="continuity",
)

share_of_free_flow = ratio_of(
    "share_of_free_flow",
    "Flow over the flow without resistance.",
    volume_flow=Variable("Q", "m³/s", "volume flow", not_negative),
    most_flow=Variable("Q_0", "m³/s", "greatest flow of the curve", positive),
    gives=Variable("φ", "1", "share"),
    source="definition",
)


def clearance(
    distance: Annotated[float, "x", "m"],
    standoff: Annotated[float, "s", "m"],
    thickness: Annotated[float, "e", "m"],
) -> Annotated[float, "c", "m"]:
    """What is left between a fan and a part behind it; below nothing they overlap.

    Formula: c = x - s - e. Symbols: x distance of the part from the core's face (m), s standoff of the fan
    from that face (m), e thickness of the fan (m), c clearance (m).
    Range: all zero or more. Errors: `OutOfRange`. Source: geometry.
    """
    not_negative("distance", distance)
    not_negative("standoff", standoff)
    not_negative("thickness", thickness)
    return distance - standoff - thickness


spare_clearance = difference_of(
    "spare_clearance",
    "Clearance beyond what is wanted.",
    clearance=Variable("c", "m", "clearance"),
    least=Variable("c_min", "m", "clearance wanted", not_negative),
    gives=Variable("Δc", "m", "to spare"),
    source="definition",
)


def tip_clearance(
    ring_bore: Annotated[float, "D", "m"],
    blade_diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "c_t", "m"]:
    """Clearance between the blades' tips and the ring about them, centred.

    Formula: c_t = (D - d) / 2. Symbols: D bore of the ring (m), d diameter over the blades (m), c_t clearance
    (m).
    Range: both positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("ring_bore", ring_bore)
    positive("blade_diameter", blade_diameter)
    return (ring_bore - blade_diameter) / 2
