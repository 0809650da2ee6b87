"""A duct as a network: parts in series, and paths side by side that share one flow at one loss.

Every part loses more the more it carries, so that each equation here has one root. The roots are found
by regula falsi (Illinois form) on logarithms, where a power law is a straight line, and hold to 1e-10 of
the value or better.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import exp, log, pi
from typing import Annotated

from buildlog.diagnostics import NoSolution
from buildlog.physics.declared import Variable, product_of
from buildlog.physics.fittings import BEND_EXPONENT, crane_friction_factor
from buildlog.physics.limits import positive
from buildlog.physics.pipes import friction_factor

SLOW_FILTER = 0.2
"""Share of a filter's rated flow below which its rating is far away."""

# Each root is found among others: the outer one cannot be finer than those within.
_INNER, _OUTER, _OUTERMOST = 1e-13, 1e-12, 1e-11


@dataclass(frozen=True, kw_only=True)
class FlowPart:
    """How one part of a duct resists: loss coefficients on the velocity in `bore`, and a filter's rating.

    `coefficient` is constant, `friction_length` goes with the friction factor, `bend_constant` with the
    Reynolds number (see `fittings.bend_loss_coefficient`), `crane_bend` with Crane's friction factor.
    `friction_bores` is a friction length counted in bores: that of a cone, which keeps its shape. `hydraulic`
    is the hydraulic diameter where the section is not round; `bore` is then that of the round pipe of the
    same area. `factor` and, below a Reynolds number of `low_reynolds`, `low_factor` move what the part loses,
    to learn what a doubt does to the results; both are 1 in the ordinary run. SI units. What a part has not
    is 0.
    """

    bore: float = 0.0
    hydraulic: float = 0.0
    factor: float = 1.0
    low_factor: float = 1.0
    low_reynolds: float = 0.0
    coefficient: float = 0.0
    friction_length: float = 0.0
    roughness: float = 0.0
    bend_constant: float = 0.0
    crane_bend: float = 0.0
    rated_pressure: float = 0.0
    rated_flow: float = 0.0
    exponent: float = 2.0
    friction_bores: float = 0.0

    def loss(self, flow: float, density: float, viscosity: float) -> float:
        """Loss of total pressure at a flow. Ranges are left to whoever uses the result."""
        lost = 0.0
        if self.rated_flow:
            lost = self.rated_pressure * (flow / self.rated_flow) ** self.exponent
            if flow < SLOW_FILTER * self.rated_flow:
                lost *= self.low_factor
        if not self.bore:
            return lost * self.factor
        velocity = flow / (pi * self.bore**2 / 4)
        coefficient = self.coefficient
        if self.crane_bend:
            coefficient += self.crane_bend * crane_friction_factor(self.bore)
        if self.friction_length or self.friction_bores or self.bend_constant:
            wall = self.hydraulic or self.bore
            reynolds = density * velocity * wall / viscosity
            friction = friction_factor(reynolds, self.roughness / wall)
            coefficient += friction * (self.friction_length / wall + self.friction_bores)
            if self.bend_constant:
                ratio = friction / friction_factor(reynolds, 0.0)
                coefficient += self.bend_constant * reynolds**BEND_EXPONENT * ratio
            if reynolds < self.low_reynolds:
                coefficient *= self.low_factor
        return (lost + coefficient * density * velocity**2 / 2) * self.factor

    def filter_factor(self, flow: float) -> float:
        """The same of a filter, whose rating says little of far lower flows."""
        return self.factor * (self.low_factor if flow < SLOW_FILTER * self.rated_flow else 1.0)

    def factor_at(self, reynolds: float) -> float:
        """What a doubt makes of its loss; 1 in the ordinary run."""
        return self.factor * (self.low_factor if reynolds < self.low_reynolds else 1.0)

    def scaled(self, factor: float) -> FlowPart:
        """The same with another bore: shapes, lengths of wall, roughness and a filter's rating stay."""
        return replace(self, bore=self.bore * factor, hydraulic=self.hydraulic * factor)


@dataclass(frozen=True)
class FlowPath:
    """Parts one after the other."""

    parts: tuple[FlowPart, ...]

    def loss(self, flow: float, density: float, viscosity: float) -> float:
        return sum(part.loss(flow, density, viscosity) for part in self.parts)

    def scaled(self, factor: float) -> FlowPath:
        return FlowPath(tuple(part.scaled(factor) for part in self.parts))


@dataclass(frozen=True)
class Duct:
    """What all the air passes (`common`) and the `paths` side by side, none where there is one duct."""

    common: FlowPath
    paths: tuple[FlowPath, ...] = ()

    def scaled(self, factor: float) -> Duct:
        return Duct(self.common.scaled(factor), tuple(path.scaled(factor) for path in self.paths))


def _root(rise: Callable[[float], float], low: float, high: float, near: float) -> float:
    """Where a rising function of ln x is 0 to within `near`, between bounds that enclose it or meet it."""
    # In ln x, since flows and losses span decades.
    left, right = log(low), log(high)
    below, above = rise(low), rise(high)
    if below >= -near:
        return low
    if above <= near:
        return high
    side = 0
    # Illinois: an end that stays twice running counts half. The plain halving every fourth time bounds it.
    for turn in range(1, 400):
        middle = (left * above - right * below) / (above - below)
        if turn % 4 == 0:
            middle = (left + right) / 2
        value = rise(exp(middle))
        if abs(value) <= near or right - left <= near:
            break
        if value > 0:
            right, above = middle, value
            below = below / 2 if side > 0 else below
            side = 1
        else:
            left, below = middle, value
            above = above / 2 if side < 0 else above
            side = -1
    return exp(middle)


def flow_at_loss(
    path: FlowPath,
    loss: Annotated[float, "Δp", "Pa"],
    highest_flow: Annotated[float, "Q_m", "m³/s"],
    density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
) -> Annotated[float, "Q", "m³/s"]:
    """Flow of a path at a given loss.

    Formula: Δp(Q) - Δp = 0, where Δp(Q) is the sum over the parts of the path, solved for Q to 1e-12.
    Symbols: Δp loss of total pressure (Pa), Q_m a flow that loses at least as much (m³/s), ρ density
    (kg/m³), μ dynamic viscosity (Pa·s), Q volume flow (m³/s).
    In words: found by iteration.
    Range: all positive; Δp up to the loss at Q_m. Errors: `OutOfRange`, `NoSolution`.
    Source: Darcy–Weisbach and the loss coefficients of the parts.
    """
    positive("loss", loss)
    positive("highest_flow", highest_flow)

    def excess(flow: float) -> float:
        return log(path.loss(flow, density, dynamic_viscosity) / loss)

    most = path.loss(highest_flow, density, dynamic_viscosity)
    if loss > most * (1 + 1e-12):
        raise NoSolution("loss", f"{loss:g} Pa", f"at most {most:g} Pa, the loss at {highest_flow:g} m³/s")
    # Loss grows at least in proportion to the flow: the share of the loss is a flow that is low enough.
    return _root(excess, highest_flow * min(1.0, loss / most), highest_flow, _INNER)


def loss_side_by_side(
    duct: Duct,
    volume_flow: Annotated[float, "Q", "m³/s"],
    density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
) -> Annotated[float, "Δp", "Pa"]:
    """Loss of paths side by side: the one at which their flows add up to the whole.

    Formula: ∑ Q_i(Δp) - Q = 0, solved for Δp to 1e-11. Symbols: Q volume flow through all (m³/s), Q_i(Δp)
    flow of a path at the loss, ρ density (kg/m³), μ dynamic viscosity (Pa·s), Δp loss of total pressure, the
    same in each (Pa).
    In words: found by iteration.
    Range: all positive; two paths or more, each of which loses something. Errors: `OutOfRange`.
    Source: continuity, with one total pressure where paths part and one where they meet (H. Cross, Analysis
    of flow in networks of conduits or conductors, Univ. Illinois Bulletin 286, 1936, as D. Brkić and P.
    Praks, Appl. Sci. 9 (2019) 2019, report it).
    """
    positive("volume_flow", volume_flow)
    positive("density", density)
    positive("dynamic_viscosity", dynamic_viscosity)

    def excess(loss: float) -> float:
        flows = [
            flow_at_loss(
                path, loss, highest_flow=volume_flow, density=density, dynamic_viscosity=dynamic_viscosity
            )
            for path in duct.paths
        ]
        return log(sum(flows) / volume_flow)

    alone = [path.loss(volume_flow, density, dynamic_viscosity) for path in duct.paths]
    for lost in alone:
        positive("loss", lost, "a path that loses nothing takes all the air")
    # At the least loss of an even share no path passes more than that share; at the least loss of all the
    # air in one path, that path alone passes all. So the loss sought lies between.
    evenly = [path.loss(volume_flow / len(duct.paths), density, dynamic_viscosity) for path in duct.paths]
    return _root(excess, min(evenly), min(alone), _OUTER)


def loss_of_duct(
    duct: Duct,
    volume_flow: Annotated[float, "Q", "m³/s"],
    density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
) -> Annotated[float, "Δp", "Pa"]:
    """Loss of total pressure from the air outside to the end of a duct.

    Formula: Δp = ∑ Δp_i(Q) + Δp_p(Q). Symbols: Δp_i(Q) loss of each part that all the air passes, Δp_p(Q)
    loss of the paths side by side, Q volume flow (m³/s), ρ density (kg/m³), μ dynamic viscosity (Pa·s), Δp
    loss (Pa).
    In words: added up over the parts of the duct.
    Range: all positive. Errors: `OutOfRange`. Source: definition; `loss_side_by_side`.
    """
    lost = duct.common.loss(volume_flow, density, dynamic_viscosity)
    if duct.paths:
        lost += loss_side_by_side(duct, volume_flow, density, dynamic_viscosity)
    return lost


def bore_factor(
    duct: Duct,
    allowed_loss: Annotated[float, "Δp", "Pa"],
    volume_flow: Annotated[float, "Q", "m³/s"],
    density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
    lowest: Annotated[float, "s_1", "1"],
    highest: Annotated[float, "s_2", "1"],
) -> Annotated[float, "s", "1"]:
    """Factor on every bore of a duct that makes it lose a given pressure.

    Formula: Δp(s) - Δp = 0, where Δp(s) is the loss with every bore s times as large, solved for s to 1e-10.
    Symbols: Δp allowed loss (Pa), Q volume flow (m³/s), ρ density (kg/m³), μ dynamic viscosity (Pa·s), s_1
    least factor tried (1), s_2 greatest factor tried (1), s factor (1).
    In words: found by iteration.
    Range: all positive. Errors: `NoSolution` where no factor between the bounds does it.
    Source: `loss_of_duct`, which falls when the bores grow.
    """
    positive("allowed_loss", allowed_loss)

    def spared(factor: float) -> float:
        return log(allowed_loss / loss_of_duct(duct.scaled(factor), volume_flow, density, dynamic_viscosity))

    # `_root` would hand back the nearer bound, which would pass for an answer.
    beyond = (highest, "more", spared(highest) < 0), (lowest, "less", spared(lowest) > 0)
    for factor, wanted, out in beyond:
        if out:
            lost = loss_of_duct(duct.scaled(factor), volume_flow, density, dynamic_viscosity)
            raise NoSolution(
                "allowed_loss",
                f"{allowed_loss:.1f} Pa",
                f"{wanted} than {lost:.1f} Pa, the loss with bores {factor:.2f} times as large",
            )
    return _root(spared, lowest, highest, _OUTERMOST)


scaled_bore = product_of(
    "scaled_bore",
    "Bore of a duct whose bores are all scaled alike.",
    diameter=Variable("d", "m", "bore as it is", positive),
    bore_factor=Variable("s", "1", "factor", positive),
    gives=Variable("d_s", "m", "bore as scaled"),
    order=("bore_factor", "diameter"),
    source="definition of the factor",
)
