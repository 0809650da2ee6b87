"""Friction in a round pipe: Reynolds number, Darcy friction factor and the pressure lost along the wall."""

from __future__ import annotations

from math import log10, sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, Within, difference_of, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within

LAMINAR = 2300.0
"""Below this Reynolds number flow in a pipe is taken as laminar."""
TURBULENT = 4000.0
"""From this Reynolds number it is taken as turbulent."""
ROUGHEST = 0.05
"""The roughest pipe of Moody's chart, as roughness over bore."""

_MOODY = "Moody's chart ends there; state a rougher piece as a fitting with its loss coefficient"


def reynolds_number(
    velocity: Annotated[float, "v", "m/s"],
    diameter: Annotated[float, "d", "m"],
    density: Annotated[float, "ρ", "kg/m³"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
) -> Annotated[float, "Re", "1"]:
    """Reynolds number in a round pipe.

    Formula: Re = ρ v d / μ. Symbols: ρ density (kg/m³), v mean velocity (m/s), d bore (m), μ dynamic
    viscosity (Pa·s), Re Reynolds number (1).
    Range: v zero or more, the others positive. Errors: `OutOfRange`. Source: definition.
    """
    not_negative("velocity", velocity)
    positive("diameter", diameter)
    positive("density", density)
    positive("dynamic_viscosity", dynamic_viscosity)
    return density * velocity * diameter / dynamic_viscosity


def relative_roughness(
    roughness: Annotated[float, "k", "m"],
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "ε", "1"]:
    """Roughness of the wall over the bore.

    Formula: ε = k / d. Symbols: k equivalent sand roughness (m), d bore (m), ε relative roughness (1).
    Range: k zero or more, d positive, ε up to 0.05. Errors: `OutOfRange`.
    Source: definition; the limit is that of L. F. Moody, Friction factors for pipe flow, Trans. ASME 66
    (1944) 671–684.
    """
    not_negative("roughness", roughness)
    positive("diameter", diameter)
    within("relative_roughness", roughness / diameter, low=0, high=ROUGHEST * (1 + 1e-12), why=_MOODY)
    return roughness / diameter


def laminar_friction_factor(
    reynolds_number: Annotated[float, "Re", "1"],
) -> Annotated[float, "f", "1"]:
    """Darcy friction factor of developed laminar flow, whatever the roughness.

    Formula: f = 64 / Re. Symbols: Re Reynolds number (1), f Darcy friction factor (1).
    Range: Re above 0 to 2300. Errors: `OutOfRange`. Source: Hagen–Poiseuille.
    """
    positive("reynolds_number", reynolds_number)
    within("reynolds_number", reynolds_number, low=0, high=LAMINAR, why="laminar flow")
    return 64 / reynolds_number


def colebrook_residual(
    friction_factor: Annotated[float, "f", "1"],
    reynolds_number: Annotated[float, "Re", "1"],
    relative_roughness: Annotated[float, "ε", "1"],
) -> Annotated[float, "r", "1"]:
    """What is left of the Colebrook equation: 0 for the friction factor that solves it.

    Formula: r = 1/√f + 2 lg(ε / 3.7 + 2.51 / (Re √f)). Symbols: f Darcy friction factor (1), Re Reynolds
    number (1), ε relative roughness (1), r residual (1).
    Range: f, Re positive, ε 0 to 0.05. Errors: `OutOfRange`.
    Source: C. F. Colebrook, J. Inst. Civil Engineers 11 (1939) 133–156.
    """
    positive("friction_factor", friction_factor)
    positive("reynolds_number", reynolds_number)
    within("relative_roughness", relative_roughness, low=0, high=ROUGHEST, why=_MOODY)
    x = sqrt(friction_factor)
    return 1 / x + 2 * log10(relative_roughness / 3.7 + 2.51 / (reynolds_number * x))


def turbulent_friction_factor(
    reynolds_number: Annotated[float, "Re", "1"],
    relative_roughness: Annotated[float, "ε", "1"],
) -> Annotated[float, "f", "1"]:
    """Darcy friction factor of turbulent flow by the Colebrook equation.

    Formula: 1/√f + 2 lg(ε / 3.7 + 2.51 / (Re √f)) = 0, solved for f by Newton's method to 1e-13. Symbols: Re
    Reynolds number (1), ε relative roughness (1), f Darcy friction factor (1).
    In words: found by iteration.
    Range: Re 4000 to 1e8, ε 0 to 0.05. The equation itself is held to be good to 10 or 15 %. Errors:
    `OutOfRange`.
    Source: C. F. Colebrook, J. Inst. Civil Engineers 11 (1939) 133–156; L. F. Moody, Trans. ASME 66 (1944).
    """
    within("reynolds_number", reynolds_number, low=TURBULENT, high=1e8, why="turbulent flow")
    within("relative_roughness", relative_roughness, low=0, high=ROUGHEST * (1 + 1e-12), why=_MOODY)
    roughness = relative_roughness / 3.7
    smooth = 2.51 / reynolds_number
    # In x = 1/√f the left side rises and is concave, so that Newton's method cannot miss from below.
    x = 1.0
    while True:
        inside = roughness + smooth * x
        step = (x + 2 * log10(inside)) / (1 + 2 * smooth / (inside * 2.302585092994046))
        x -= step
        if abs(step) <= 1e-13 * x:
            return 1 / x**2


def transition_friction_factor(
    reynolds_number: Annotated[float, "Re", "1"],
    laminar_end: Annotated[float, "f_l", "1"],
    turbulent_end: Annotated[float, "f_t", "1"],
) -> Annotated[float, "f", "1"]:
    """Darcy friction factor between laminar and turbulent flow: a straight line, so that it is continuous.

    Formula: f = f_l + (f_t - f_l) (Re - 2300) / (4000 - 2300). Symbols: Re Reynolds number (1), f_l laminar
    friction factor at Re 2300 (1), f_t turbulent one at Re 4000 (1), f Darcy friction factor (1).
    Range: Re 2300 to 4000, where measured values scatter between both. Errors: `OutOfRange`.
    Source: common practice, no source.
    """
    within("reynolds_number", reynolds_number, low=LAMINAR, high=TURBULENT, why="the transition range")
    positive("laminar_end", laminar_end)
    positive("turbulent_end", turbulent_end)
    return laminar_end + (turbulent_end - laminar_end) * (reynolds_number - 2300) / (4000 - 2300)


def friction_factor(
    reynolds_number: Annotated[float, "Re", "1"],
    relative_roughness: Annotated[float, "ε", "1"],
) -> Annotated[float, "f", "1"]:
    """Darcy friction factor: laminar to Re 2300, Colebrook from Re 4000, a straight line between.

    Formula: f = 64/Re, or the Colebrook equation, or between them. Symbols: Re Reynolds number (1), ε
    relative roughness (1), f_l laminar friction factor at Re 2300 (1), f_t turbulent friction factor at Re
    4000 (1), f Darcy friction factor (1).
    Range: Re above 0 to 1e8, ε 0 to 0.05. Errors: `OutOfRange`.
    Source: `laminar_friction_factor`, `transition_friction_factor`, `turbulent_friction_factor`.
    """
    positive("reynolds_number", reynolds_number)
    within("relative_roughness", relative_roughness, low=0, high=ROUGHEST * (1 + 1e-12), why=_MOODY)
    if reynolds_number <= LAMINAR:
        return laminar_friction_factor(reynolds_number)
    if reynolds_number < TURBULENT:
        f_l = laminar_friction_factor(LAMINAR)
        f_t = turbulent_friction_factor(TURBULENT, relative_roughness)
        return transition_friction_factor(reynolds_number, f_l, f_t)
    return turbulent_friction_factor(reynolds_number, relative_roughness)


def friction_loss_coefficient(
    friction_factor: Annotated[float, "f", "1"],
    length: Annotated[float, "L", "m"],
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of a straight pipe: the Darcy–Weisbach equation is Δp = f (L/d) ρv²/2.

    Formula: K = f L / d. Symbols: f Darcy friction factor (1), L length (m), d bore (m), K loss coefficient
    on the velocity in the pipe (1).
    Range: f, d positive, L zero or more. Errors: `OutOfRange`.
    Source: Darcy–Weisbach (J. Weisbach, Lehrbuch der Ingenieur- und Maschinen-Mechanik, 1845; from memory).
    """
    positive("friction_factor", friction_factor)
    not_negative("length", length)
    positive("diameter", diameter)
    return friction_factor * length / diameter


loss = product_of(
    "loss",
    "Loss of total pressure in a part of a duct.",
    loss_coefficient=Variable("K", "1", "loss coefficient on the velocity that q belongs to", not_negative),
    dynamic_pressure=Variable("q", "Pa", "dynamic pressure", not_negative),
    gives=Variable("Δp", "Pa", "loss of total pressure"),
    note="incompressible",
    source="definition of the loss coefficient; with K = f L/d the Darcy–Weisbach equation",
)

total_pressure_after = difference_of(
    "total_pressure_after",
    "Total pressure after a part of a duct, above ambient (below it when negative).",
    total_pressure_before=Variable("p_1", "Pa", "total pressure before it, above ambient", Within()),
    loss=Variable("Δp", "Pa", "loss of total pressure", not_negative),
    gives=Variable("p_2", "Pa", "total pressure after it, above ambient"),
    source="definition of the loss",
)


def total_loss(
    total_pressure_before: Annotated[float, "p_1", "Pa"],
    total_pressure_after: Annotated[float, "p_2", "Pa"],
) -> Annotated[float, "Δp", "Pa"]:
    """Loss of total pressure from one end of a duct to the other.

    Formula: Δp = p_1 - p_2. Symbols: p_1 total pressure at the start, above ambient (Pa), p_2 total pressure
    at the end, above ambient (Pa), Δp loss (Pa).
    Range: p_2 up to p_1. Errors: `OutOfRange`. Source: definition of the loss.
    """
    within("total_pressure_before", total_pressure_before)
    within("total_pressure_after", total_pressure_after, high=total_pressure_before)
    return total_pressure_before - total_pressure_after


static_pressure = difference_of(
    "static_pressure",
    "Pressure that a hole in the wall feels, above ambient (below it when negative).",
    total_pressure=Variable("p_t", "Pa", "total pressure above ambient", Within()),
    dynamic_pressure=Variable("q", "Pa", "dynamic pressure", not_negative),
    gives=Variable("p", "Pa", "static pressure above ambient"),
    note="incompressible",
    source="Bernoulli",
)

share = ratio_of(
    "share",
    "A part over the whole, both in the same unit.",
    part=Variable("x", "1", "part", not_negative),
    whole=Variable("X", "1", "whole, in the same unit", positive),
    gives=Variable("x/X", "1", "share"),
    source="definition",
)
