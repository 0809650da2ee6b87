"""An exhaust pipe in time: one cylinder, a valve, a pipe, an open end. One-dimensional gas dynamics by finite
volumes, to hold the tuned length of `header` against. It shares nothing with the program.

Euler's equations for an ideal gas, MUSCL with Rusanov's flux (E. F. Toro, Riemann Solvers and Numerical
Methods for Fluid Dynamics, ch. 10 and 14; from memory). The cylinder is filled once with burnt gas at the
opening of the valve, whose flow is that of a nozzle (Heywood, appendix C; from memory); piston by crank and
rod. No friction and no heat to the wall; the pipe's gas is as warm as the block says.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

GAMMA, CONSTANT = 1.30, 293.0
AIR = 100_000.0
Field = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Engine:
    """SI; angles in degrees: `opens` before bottom, `closes` after top dead centre."""

    bore: float = 0.083
    stroke: float = 0.074
    rod: float = 0.13
    compression: float = 11.0
    opens: float = 62.0
    closes: float = 28.0
    lift: float = 0.0095
    valve: float = 0.030
    opening_pressure: float = 5.0e5
    opening_temperature: float = 1500.0
    pipe_bore: float = 0.038
    pipe_temperature: float = 1050.0

    def volume(self, angle: float) -> float:
        """Volume at degrees after the firing top dead centre."""
        a = angle * pi / 180
        crank = self.stroke / 2
        down = crank * (1 - cos(a)) + self.rod - sqrt(self.rod**2 - (crank * sin(a)) ** 2)
        area = pi / 4 * self.bore**2
        return area * (down + self.stroke / (self.compression - 1))

    def valve_area(self, angle: float) -> float:
        """Effective: curtain times 0.7, never more than 0.8 of the port."""
        first, last = 180 - self.opens, 360 + self.closes
        if not first < angle < last:
            return 0.0
        lift = self.lift * sin(pi * (angle - first) / (last - first)) ** 2
        return min(0.7 * pi * self.valve * lift, 0.8 * pi / 4 * (0.9 * self.valve) ** 2)


def _nozzle(p_up: float, t_up: float, p_down: float, area: float) -> float:
    """Mass flow of a nozzle."""
    g = GAMMA
    ratio = max(p_down / p_up, (2 / (g + 1)) ** (g / (g - 1)))
    flow = 2 * g / (g - 1) * (ratio ** (2 / g) - ratio ** ((g + 1) / g))
    return area * p_up / sqrt(CONSTANT * t_up) * sqrt(max(flow, 0.0))


def _primitive(u: Field) -> Field:
    v = u[1] / u[0]
    return np.array([u[0], v, (GAMMA - 1) * (u[2] - u[0] * v**2 / 2)])


def _conserved(w: Field) -> Field:
    return np.array([w[0], w[0] * w[1], w[2] / (GAMMA - 1) + w[0] * w[1] ** 2 / 2])


def _flux(w: Field) -> Field:
    rho, v, p = w
    energy = p / (GAMMA - 1) + rho * v**2 / 2
    return np.array([rho * v, rho * v**2 + p, v * (energy + p)])


def _slopes(w: Field) -> Field:
    d = np.diff(w, axis=1)
    left, right = d[:, :-1], d[:, 1:]
    return np.where(left * right > 0, np.sign(left) * np.minimum(abs(left), abs(right)), 0.0)


def port_pressure(
    engine: Engine, length: float, rpm: float, cells: int = 120, until: float = 400.0
) -> tuple[Field, Field]:
    """Crank angle after the firing top dead centre, and pressure at the valve's end of the pipe over AIR."""
    dx, area = length / cells, pi / 4 * engine.pipe_bore**2
    rho = AIR / (CONSTANT * engine.pipe_temperature)
    u = _conserved(np.array([np.full(cells, rho), np.zeros(cells), np.full(cells, AIR)]))
    angle = 180 - engine.opens
    omega = rpm * 6.0  # degrees a second
    gas = engine.opening_pressure * engine.volume(angle) / (CONSTANT * engine.opening_temperature)
    energy = engine.opening_pressure * engine.volume(angle) / (GAMMA - 1)
    angles, pressures = [], []
    while angle < until:
        w = _primitive(u)
        sound = np.sqrt(GAMMA * w[2] / w[0])
        dt = 0.45 * dx / float(np.max(abs(w[1]) + sound))
        volume = engine.volume(angle)
        p_cyl = (GAMMA - 1) * energy / volume
        t_cyl = p_cyl * volume / (CONSTANT * gas)
        # ghost cells: the valve's end mirrors, its flow is a source; the open end holds the air's pressure
        first = w[:, :1].copy()
        first[1] *= -1
        last = w[:, -1:].copy()
        if last[1, 0] < sound[-1]:
            last[0] *= (AIR / last[2]) ** (1 / GAMMA)
            jump = 2 / (GAMMA - 1) * (sound[-1] - np.sqrt(GAMMA * AIR / last[0]))
            last[1] += jump
            last[2] = AIR
        full = np.concatenate([first, first, w, last, last], axis=1)
        s = _slopes(full)
        inner = full[:, 1:-1]
        left, right = inner[:, :-1] + s[:, :-1] / 2, inner[:, 1:] - s[:, 1:] / 2
        fastest = np.maximum(
            abs(left[1]) + np.sqrt(GAMMA * left[2] / left[0]),
            abs(right[1]) + np.sqrt(GAMMA * right[2] / right[0]),
        )
        flux = (_flux(left) + _flux(right)) / 2 - fastest * (_conserved(right) - _conserved(left)) / 2
        u = u - dt / dx * (flux[:, 1:] - flux[:, :-1])
        # the valve
        opening = engine.valve_area(angle)
        p_pipe, t_pipe = float(w[2, 0]), float(w[2, 0] / (CONSTANT * w[0, 0]))
        if p_cyl >= p_pipe:
            flow = _nozzle(p_cyl, t_cyl, p_pipe, opening)
            carried = GAMMA / (GAMMA - 1) * CONSTANT * t_cyl
        else:
            flow = -_nozzle(p_pipe, t_pipe, p_cyl, opening)
            carried = GAMMA / (GAMMA - 1) * CONSTANT * t_pipe
        u[0, 0] += flow * dt / (area * dx)
        u[2, 0] += flow * carried * dt / (area * dx)
        gas -= flow * dt
        after = engine.volume(angle + omega * dt)
        energy -= flow * carried * dt + p_cyl * (after - volume)
        angle += omega * dt
        angles.append(angle)
        pressures.append(p_pipe / AIR)
    return np.array(angles), np.array(pressures)
