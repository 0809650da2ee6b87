"""Where a pipe parts into two or two meet: loss coefficients of the straight run and of the branch.

All are on the velocity in the pipe that carries all of the flow, whose bore the run has too.
"""

from __future__ import annotations

from math import cos, pi, radians
from typing import Annotated

from buildlog.physics.declared import UpTo, Variable, product_of
from buildlog.physics.limits import positive, within

_SHARE = "a share of the flow"
_SIZES = "branches that are no wider than the run"
_ANGLES = "15° to 90°, the table's with a margin"
_LOW, _HIGH = radians(15) * (1 - 1e-9), pi / 2 * (1 + 1e-9)


def _check(flow_share: float, area_ratio: float, angle: float) -> None:
    within("flow_share", flow_share, 0, 1, why=_SHARE)
    positive("area_ratio", area_ratio)
    within("area_ratio", area_ratio, 0, 1.5, why=_SIZES)
    within("angle", angle, _LOW, _HIGH, why=_ANGLES)


def parting_branch(
    flow_share: Annotated[float, "x", "1"],
    area_ratio: Annotated[float, "m", "1"],
    angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of the branch where a pipe parts.

    Formula: K = G (1 + H (x/m)² - J x/m cos θ), H = 1 and J = 2 below 60° or where m is up to 4/9, otherwise
    0.3 and 0. G below 75°: where m is up to 0.35, 1.1 - 0.7 x for x up to 0.4 and 0.85 above; otherwise 1 -
    0.6 x for x up to 0.6 and 0.6 above. From 75° on 1, and 1 + 0.3 x² where m is above 2/3. Symbols: x share
    of the flow that the branch takes (1), m area of the branch over that of the run (1), θ angle between them
    (rad), H first coefficient (1), J second coefficient (1), shape the bracket (1), K loss coefficient (1).
    Range: x 0 to 1, m above 0 to 1.5, θ 15° to 90°. Errors: `OutOfRange`.
    Source: Crane TP-410 (2009), ch. 2, as in fluids 1.3.1, K_branch_diverging_Crane.
    """
    _check(flow_share, area_ratio, angle)
    H = 1.0 if angle < pi / 3 or area_ratio <= 4 / 9 else 0.3
    J = 2.0 if angle < pi / 3 or area_ratio <= 4 / 9 else 0.0
    shape = 1 + H * (flow_share / area_ratio) ** 2 - J * flow_share / area_ratio * cos(angle)
    if angle >= 5 * pi / 12 and area_ratio <= 2 / 3:
        return shape
    if angle >= 5 * pi / 12:
        return (1 + 0.3 * flow_share**2) * shape
    if area_ratio <= 0.35 and flow_share <= 0.4:
        return (1.1 - 0.7 * flow_share) * shape
    if area_ratio <= 0.35:
        return 0.85 * shape
    if flow_share <= 0.6:
        return (1 - 0.6 * flow_share) * shape
    return 0.6 * shape


def parting_run(
    flow_share: Annotated[float, "x", "1"],
    area_ratio: Annotated[float, "m", "1"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of the straight run where a pipe parts; below 0 where the slow gas goes aside.

    Formula: K = M x², M = 0.4 where m is up to 0.4, otherwise 2 (2 x - 1) for x up to 0.5 and 0.3 (2 x - 1)
    above. Symbols: x share of the flow that the branch takes (1), m area of the branch over that of the run
    (1), K loss coefficient (1).
    Range: x 0 to 1, m above 0 to 1.5. Errors: `OutOfRange`.
    Source: Crane TP-410 (2009), ch. 2, as in fluids 1.3.1, K_run_diverging_Crane.
    """
    _check(flow_share, area_ratio, pi / 4)
    if area_ratio <= 0.4:
        return 0.4 * flow_share**2
    if flow_share <= 0.5:
        return 2 * (2 * flow_share - 1) * flow_share**2
    return 0.3 * (2 * flow_share - 1) * flow_share**2


def meeting_factor(
    angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "F", "1"]:
    """Crane's factor for the angle at which a branch meets a run.

    Formula: F from a table, straight lines between: 1.74 up to 30°, 1.41 at 45°, 1 at 60°, 0 at 90°. Symbols:
    θ angle (rad), degrees the same in degrees (°), F factor (1).
    Range: θ 15° to 90°. Errors: `OutOfRange`.
    Source: Crane TP-410 (2009), ch. 2, as in fluids 1.3.1, K_branch_converging_Crane.
    """
    within("angle", angle, _LOW, _HIGH, why=_ANGLES)
    degrees = angle * 180 / pi
    if degrees <= 30:
        return 1.74
    if degrees <= 45:
        return 1.74 - 0.33 * (degrees - 30) / 15
    if degrees <= 60:
        return 1.41 - 0.41 * (degrees - 45) / 15
    return 1 - (degrees - 60) / 30


def meeting_branch(
    flow_share: Annotated[float, "x", "1"],
    area_ratio: Annotated[float, "m", "1"],
    meeting_factor: Annotated[float, "F", "1"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of the branch where two pipes meet; below 0 where the run draws it along.

    Formula: K = C (1 + (x/m)² - 2 (1 - x)² - F x² / m), C = 1 where m is up to 0.35, otherwise 0.9 (1 - x)
    for x up to 0.4 and 0.55 above. Symbols: x share of the flow that comes through the branch (1), m area of
    the branch over that of the run (1), F factor of the angle (1), shape the bracket (1), K loss coefficient
    (1).
    Range: x 0 to 1, m above 0 to 1.5, F 0 to 1.74. Errors: `OutOfRange`.
    Source: Crane TP-410 (2009), ch. 2, as in fluids 1.3.1, K_branch_converging_Crane.
    """
    _check(flow_share, area_ratio, pi / 4)
    within("meeting_factor", meeting_factor, -1e-9, 1.74)
    shape = (
        1
        + (flow_share / area_ratio) ** 2
        - 2 * (1 - flow_share) ** 2
        - meeting_factor * flow_share**2 / area_ratio
    )
    if area_ratio <= 0.35:
        return shape
    return 0.9 * (1 - flow_share) * shape if flow_share <= 0.4 else 0.55 * shape


def meeting_run(
    flow_share: Annotated[float, "x", "1"],
    area_ratio: Annotated[float, "m", "1"],
    meeting_factor: Annotated[float, "F", "1"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of the straight run where two pipes meet.

    Formula: K = 1 - (1 - x)² - F x² / m, and 1.55 x - x² where F is up to 0.5 (75° or more). Symbols: x share
    of the flow that comes through the branch (1), m area of the branch over that of the run (1), F factor of
    the angle (1), K loss coefficient (1).
    Range: x 0 to 1, m above 0 to 1.5, F 0 to 1.74. Errors: `OutOfRange`.
    Source: Crane TP-410 (2009), ch. 2, as in fluids 1.3.1, K_run_converging_Crane.
    """
    _check(flow_share, area_ratio, pi / 4)
    within("meeting_factor", meeting_factor, -1e-9, 1.74)
    if meeting_factor <= 0.5:
        return 1.55 * flow_share - flow_share**2
    return 1 - (1 - flow_share) ** 2 - meeting_factor * flow_share**2 / area_ratio


def area_ratio(
    diameter: Annotated[float, "d", "m"],
    other_diameter: Annotated[float, "D", "m"],
) -> Annotated[float, "m", "1"]:
    """Area of a branch over that of the run.

    Formula: m = (d / D)². Symbols: d bore of the branch and D of the run (m), m area ratio (1).
    Range: both positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("diameter", diameter)
    positive("other_diameter", other_diameter)
    return (diameter / other_diameter) ** 2


def head_of_flux(
    mass_flux: Annotated[float, "G", "kg/(m²·s)"],
    gas_constant: Annotated[float, "R", "J/(kg·K)"],
    total_temperature: Annotated[float, "T_t", "K"],
    total_pressure: Annotated[float, "p_t", "Pa"],
) -> Annotated[float, "q", "Pa"]:
    """Dynamic pressure of a gas that has a mass flux.

    Formula: q = G² R T_t / (2 p_t). Symbols: G mass flux (kg/(m²·s)), R gas constant (J/(kg·K)), T_t total
    temperature (K), p_t total pressure (Pa), q dynamic pressure (Pa).
    Range: all positive; slow against sound: it is M²/2 of itself too small. Errors: `OutOfRange`.
    Source: definition, with the ideal gas law at the total state.
    """
    positive("mass_flux", mass_flux)
    positive("gas_constant", gas_constant)
    positive("total_temperature", total_temperature)
    positive("total_pressure", total_pressure)
    return mass_flux**2 * gas_constant * total_temperature / (2 * total_pressure)


def pressure_before_junction(
    pressure_after: Annotated[float, "p_2", "Pa"],
    loss_coefficient: Annotated[float, "K", "1"],
    dynamic_pressure: Annotated[float, "q", "Pa"],
) -> Annotated[float, "p_1", "Pa"]:
    """Total pressure ahead of a place where pipes part or meet.

    Formula: p_1 = p_2 + K q. Symbols: p_2 total pressure after it (Pa), K loss coefficient (1; below 0 where
    gas is drawn along), q dynamic pressure of all the flow (Pa), p_1 total pressure before it (Pa).
    Range: p_2, q positive. Errors: `OutOfRange`. Source: definition of the loss coefficient.
    """
    positive("pressure_after", pressure_after)
    positive("dynamic_pressure", dynamic_pressure)
    return pressure_after + loss_coefficient * dynamic_pressure


flow_of_path = product_of(
    "flow_of_path",
    "Part of the exhaust that goes through one of two paths, so that both lose as much.",
    flow_share=Variable("x", "1", "its share", UpTo(1, "a share")),
    exhaust_mass_flow=Variable("ṁ", "kg/s", "flow of both", positive),
    gives=Variable("ṁ_x", "kg/s", "flow of the path"),
    source="conservation of mass; equal total pressure where the paths part",
)
