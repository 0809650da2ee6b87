"""Heat from a hot pipe to a surface beside it: radiation, shields between, still and moving air."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import acos, atan, cos, pi, sin, sqrt
from typing import Annotated

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.physics import air
from buildlog.physics.declared import Variable, difference_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within

STEFAN_BOLTZMANN = 5.670374419e-8
"""W/(m²·K⁴), exact by the SI of 2019 to the digits given (CODATA 2018)."""


def strip_to_pipe(
    pipe_radius: Annotated[float, "r", "m"],
    width: Annotated[float, "w", "m"],
    distance: Annotated[float, "H", "m"],
) -> Annotated[float, "F", "1"]:
    """Share of what a long strip radiates that meets a long pipe, parallel to it over its middle.

    Formula: F = 2 r atan(w / (2 H)) / w. Symbols: r radius of the pipe (m), w width of the strip (m), H
    distance of the strip from the pipe's axis (m), F view factor (1).
    Range: all positive, H above r. Errors: `OutOfRange`.
    Source: view factor of an infinite strip and a parallel cylinder, as a public table of view factors has it
    (no. 7); Howell, A Catalog of Radiation Configuration Factors (from memory).
    """
    positive("pipe_radius", pipe_radius)
    positive("width", width)
    positive("distance", distance - pipe_radius)
    return 2 * pipe_radius * atan(width / (2 * distance)) / width


def plates_flux(
    hot: Annotated[float, "T_1", "K"],
    cold: Annotated[float, "T_2", "K"],
    hot_emissivity: Annotated[float, "ε_1", "1"],
    cold_emissivity: Annotated[float, "ε_2", "1"],
) -> Annotated[float, "q", "W/m²"]:
    """Radiant heat flux between two wide parallel plates.

    Formula: q = σ (T_1⁴ - T_2⁴) / (1 / ε_1 + 1 / ε_2 - 1), σ = 5.670374419e-8 W/(m²·K⁴). Symbols: T_1
    temperature of the one (K), T_2 of the other (K), ε_1 and ε_2 their emissivities (1), q heat flux (W/m²).
    Range: temperatures positive, emissivities above 0 to 1. Errors: `OutOfRange`.
    Source: Çengel, Heat Transfer, chapter on radiation, problem 12–100 (as a public page of it has it).
    """
    positive("hot", hot)
    positive("cold", cold)
    positive("hot_emissivity", hot_emissivity)
    positive("cold_emissivity", cold_emissivity)
    within("hot_emissivity", hot_emissivity, high=1)
    within("cold_emissivity", cold_emissivity, high=1)
    return 5.670374419e-8 * (hot**4 - cold**4) / (1 / hot_emissivity + 1 / cold_emissivity - 1)


def gap_nusselt_number(
    rayleigh_number: Annotated[float, "Ra", "1"],
) -> Annotated[float, "Nu", "1"]:
    """By how much the air in a tall narrow gap carries more heat than it conducts.

    Formula: Nu = max(1, 0.0605 Ra^(1/3)). Symbols: Ra Rayleigh number of the gap's width (1), Nu Nusselt
    number (1).
    Range: Ra zero or more. Errors: `OutOfRange`.
    Source: ElSherbiny, Raithby and Hollands, J. Heat Transfer 104 (1982) 96–102, for high cavities (from
    memory); below Ra 4500 the gap conducts.
    """
    not_negative("rayleigh_number", rayleigh_number)
    return max(1, 0.0605 * rayleigh_number ** (1 / 3))  # type: ignore[no-any-return]


def shadow_width(
    pipe_radius: Annotated[float, "r", "m"],
    surface_width: Annotated[float, "w", "m"],
    surface_distance: Annotated[float, "H", "m"],
    shield_distance: Annotated[float, "s", "m"],
) -> Annotated[float, "w_s", "m"]:
    """Width that a shield needs so that no place of the surface sees the pipe past it.

    Formula: a = w / 2, D = √(a² + H²), θ = atan(H / a) - acos(r / D), w_s = 2 (r - s sin(θ)) / cos(θ).
    Symbols: r radius of the pipe (m), w width of the surface (m), H its distance from the axis (m), s that of
    the shield (m), a half the width (m), D distance of the surface's edge from the axis (m),
    θ direction of the tangent's foot (rad), w_s width (m): the tangent from the surface's edge to the pipe,
    where it passes the shield.
    Range: r below s below H, w positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("pipe_radius", pipe_radius)
    positive("surface_width", surface_width)
    positive("shield_distance", shield_distance - pipe_radius)
    positive("surface_distance", surface_distance - shield_distance)
    a = surface_width / 2
    edge: Annotated[float, "D", "m"] = sqrt(a**2 + surface_distance**2)
    foot: Annotated[float, "θ", "rad"] = atan(surface_distance / a) - acos(pipe_radius / edge)
    return 2 * (pipe_radius - shield_distance * sin(foot)) / cos(foot)


overlap = difference_of(
    "overlap",
    "By how much a shield is wider than the shadow it has to throw.",
    width=Variable("w", "m", "width of the shield", positive),
    shadow_width=Variable("w_s", "m", "width that is needed"),
    gives=Variable("Δw", "m", "overlap, both sides together"),
    source="geometry",
)


@dataclass(frozen=True, kw_only=True)
class Pipe:
    """A hot pipe, long and at one temperature, in surroundings of another."""

    radius: float
    temperature: float
    emissivity: float
    around: float


@dataclass(frozen=True, kw_only=True)
class Layer:
    """A shield, or the surface at last: `front` and `back` are emissivities; a shield has air behind it."""

    distance: float
    width: float
    front: float
    back: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Stack:
    """What stands before a pipe, the surface last, and the air about it. `inward` is the heat that passes
    from the surface's face into what is behind it, by area and degree; `radiant` is by how much radiation is
    taken to exchange more than the formulae say. In `still` gaps the air between two layers is shut in."""

    pipe: Pipe
    layers: tuple[Layer, ...]
    film: float
    inward: float
    inside: float
    still: bool
    radiant: float = 1.0

    @cached_property
    def _seen(self) -> tuple[float, float]:
        """Radiant flux onto the first layer as a - b T⁴: two grey surfaces in black surroundings."""
        pipe, layer = self.pipe, self.layers[0]
        to_pipe = strip_to_pipe(pipe.radius, layer.width, layer.distance)
        to_layer = to_pipe * layer.width / (2 * pi * pipe.radius)
        around, hot = pipe.around**4, pipe.temperature**4
        rest = 1 - pipe.emissivity
        back = to_pipe * rest * to_layer
        share = 1 - back * (1 - layer.front)
        onto = to_pipe * (pipe.emissivity * hot + rest * (1 - to_layer) * around) + (1 - to_pipe) * around
        times = self.radiant * STEFAN_BOLTZMANN * layer.front / share
        return times * onto, times * (share - back * layer.front)

    def onto_first(self, temperature: float) -> float:
        """Radiant flux that the first layer takes up."""
        steady, falling = self._seen
        return steady - falling * temperature**4

    def between(self, place: int, hot: float, cold: float) -> float:
        """Radiant flux from a layer to the next."""
        back, front = self.layers[place].back, self.layers[place + 1].front
        return self.radiant * plates_flux(hot, cold, back, front)

    def carried(self, place: int, hot: float, cold: float) -> float:
        """Flux that the still air of a gap carries from a layer to the next."""
        gap = self.layers[place + 1].distance - self.layers[place].distance
        mean = (hot + cold) / 2
        if not 200 <= mean <= 1000:
            raise OutOfRange(
                "gap_air",
                f"still air of {mean - 273.15:.0f} °C in a gap",
                "air of −73 to 727 °C, whose properties are known",
                help="let the air move behind that shield, or look at the pipe's temperature",
            )
        viscosity = air.dynamic_viscosity(mean) / air.dry_air_density(101_325, mean)
        rayleigh = 9.80665 * abs(hot - cold) * gap**3 * 0.7 / (mean * viscosity**2)
        return gap_nusselt_number(rayleigh) * air.thermal_conductivity(mean) / gap * (hot - cold)

    def _gains(self, temperatures: list[float]) -> list[float]:
        """Heat that each layer gains by area, nothing where all are in balance."""
        bay, last = self.pipe.around, len(self.layers) - 1
        gains = [0.0] * len(self.layers)
        gains[0] += self.onto_first(temperatures[0]) + self.film * (bay - temperatures[0])
        for place in range(last):
            hot, cold = temperatures[place], temperatures[place + 1]
            passed = self.between(place, hot, cold)
            if self.still:
                passed += self.carried(place, hot, cold)
            else:
                gains[place] += self.film * (bay - hot)
                gains[place + 1] += self.film * (bay - cold)
            gains[place] -= passed
            gains[place + 1] += passed
        gains[last] -= self.inward * (temperatures[last] - self.inside)
        return gains

    @cached_property
    def temperatures(self) -> tuple[float, ...]:
        """Of each layer's face in balance: by Newton's method, from the mean of pipe and bay."""
        found = [(self.pipe.temperature + self.pipe.around) / 2] * len(self.layers)
        for _ in range(60):
            gains = self._gains(found)
            slopes = []
            for place, temperature in enumerate(found):
                moved = [*found]
                moved[place] = temperature + 1e-4
                slopes.append(
                    [(after - gain) / 1e-4 for after, gain in zip(self._gains(moved), gains, strict=True)]
                )
            steps = _solved([list(row) for row in zip(*slopes, strict=True)], [-gain for gain in gains])
            found = [max(temperature + step, 150.0) for temperature, step in zip(found, steps, strict=True)]
            if max(map(abs, steps)) < 1e-7:
                return tuple(found)
        raise NoSolution(
            "film_coefficient", "no balance", "temperatures that settle", help="check the units of the inputs"
        )


def _solved(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Of linear equations, by elimination: the diagonal leads in a balance of heat."""
    size = len(right)
    for row in range(size):
        for below in range(row + 1, size):
            factor = matrix[below][row] / matrix[row][row]
            matrix[below] = [a - factor * b for a, b in zip(matrix[below], matrix[row], strict=True)]
            right[below] -= factor * right[row]
    found = [0.0] * size
    for row in reversed(range(size)):
        known = sum(matrix[row][column] * found[column] for column in range(row + 1, size))
        found[row] = (right[row] - known) / matrix[row][row]
    return found


def layer_temperature(
    stack: Stack,
    layer: Annotated[float, "i", "1"],
    pipe_temperature: Annotated[float, "T_p", "K"],
    bay_temperature: Annotated[float, "T_b", "K"],
) -> Annotated[float, "T_i", "K"]:
    """Temperature of a layer between a pipe and what is behind the surface.

    Formula: Σ q_i(T_1, …, T_n) = 0, solved for all T_i. Symbols: q_i(T_1, …, T_n) heat fluxes into a layer
    (W/m²), i number of the layer from the pipe (1), T_p temperature of the pipe (K), T_b of the bay (K), T_i
    of the layer (K).
    In words: where each layer gives off as much as it gets: from the pipe and the bay by radiation between
    grey surfaces, from layer to layer as between wide plates, to moving air by the film coefficient, through
    still air by what it conducts or carries, and from the last one inwards; found by Newton's method.
    Range: a pipe above 150 K. Errors: `NoSolution`. Source: energy balance.
    """
    return stack.temperatures[int(layer) - 1]


def radiant_flux(
    stack: Stack,
    face_temperature: Annotated[float, "T_n", "K"],
) -> Annotated[float, "q_r", "W/m²"]:
    """Radiant heat flux that a surface takes up on the side of the pipe.

    Formula: q_r = q(T_(n-1), T_n). Symbols: q(T_(n-1), T_n) net exchange with what it sees (W/m²), T_n
    temperature of its face (K), q_r flux (W/m²).
    In words: from the pipe and the bay, or from the shield before it, as in the balance.
    Range: any. Errors: none. Source: radiation between grey surfaces.
    """
    if len(stack.layers) == 1:
        return stack.onto_first(face_temperature)
    return stack.between(len(stack.layers) - 2, stack.temperatures[-2], face_temperature)


def inward_coefficient(
    inside_coefficient: Annotated[float, "h_i", "W/(m²·K)"],
    insulation_thickness: Annotated[float, "e", "m"],
    insulation_conductivity: Annotated[float, "λ", "W/(m·K)"],
) -> Annotated[float, "U", "W/(m²·K)"]:
    """Heat that passes from the face of a surface to the air behind it, by area and degree.

    Formula: U = 1 / (1 / h_i + e / λ). Symbols: h_i film coefficient inside (W/(m²·K)), e thickness of the
    insulation (m), λ its thermal conductivity (W/(m·K)), U coefficient (W/(m²·K)). The wall itself is thin.
    Range: h_i and λ positive, e zero or more. Errors: `OutOfRange`. Source: resistances in series.
    """
    positive("inside_coefficient", inside_coefficient)
    not_negative("insulation_thickness", insulation_thickness)
    positive("insulation_conductivity", insulation_conductivity)
    return 1 / (1 / inside_coefficient + insulation_thickness / insulation_conductivity)


def inward_flux(
    inward_coefficient: Annotated[float, "U", "W/(m²·K)"],
    face_temperature: Annotated[float, "T_n", "K"],
    inside_temperature: Annotated[float, "T_i", "K"],
) -> Annotated[float, "q_i", "W/m²"]:
    """Heat flux from the face of a surface into what is behind it.

    Formula: q_i = U (T_n - T_i). Symbols: U coefficient (W/(m²·K)), T_n temperature of the face (K), T_i of
    the air inside (K), q_i flux (W/m²).
    Range: all positive. Errors: `OutOfRange`. Source: definition of the coefficient.
    """
    positive("inward_coefficient", inward_coefficient)
    positive("face_temperature", face_temperature)
    positive("inside_temperature", inside_temperature)
    return inward_coefficient * (face_temperature - inside_temperature)


def wall_temperature(
    inside_temperature: Annotated[float, "T_i", "K"],
    inward_flux: Annotated[float, "q_i", "W/m²"],
    inside_coefficient: Annotated[float, "h_i", "W/(m²·K)"],
) -> Annotated[float, "T_w", "K"]:
    """Temperature of the wall itself, behind its insulation if it has one.

    Formula: T_w = T_i + q_i / h_i. Symbols: T_i temperature inside (K), q_i flux inwards (W/m²), h_i film
    coefficient inside (W/(m²·K)), T_w temperature of the wall (K).
    Range: T_i, h_i positive. Errors: `OutOfRange`. Source: definition of the coefficient.
    """
    positive("inside_temperature", inside_temperature)
    within("inward_flux", inward_flux)
    positive("inside_coefficient", inside_coefficient)
    return inside_temperature + inward_flux / inside_coefficient


share_let_through = ratio_of(
    "share_let_through",
    "Radiant flux behind shields over that without.",
    shielded=Variable("q_r", "W/m²", "radiant flux with the shields"),
    bare=Variable("q_0", "W/m²", "radiant flux without", positive),
    gives=Variable("τ", "1", "share"),
    source="definition",
)

share_kept_off = difference_of(
    "share_kept_off",
    "Share of the radiant heat that shields keep off.",
    whole=Variable("1", "1", "all of it", positive),
    share_let_through=Variable("τ", "1", "share that passes"),
    gives=Variable("κ", "1", "share kept off"),
    source="definition",
)

limit_margin = difference_of(
    "limit_margin",
    "What is left to what a material stands.",
    surface_limit=Variable("T_max", "K", "limit", positive),
    wall=Variable("T_w", "K", "temperature of the wall", positive),
    gives=Variable("ΔT", "K", "margin"),
    source="definition",
)
