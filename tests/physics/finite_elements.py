"""A spinning body of revolution by finite elements: quadratic elements of eight nodes, solved by scipy.

It knows nothing of plates or discs: rectangular sections in the plane of radius and axis, a body of linear
elasticity, edges free. Zienkiewicz and Taylor, The Finite Element Method, axisymmetric stress analysis
(from memory); held to the closed solution of the even disc in `test_stepped_disc.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import spsolve

Array = NDArray[np.float64]
_POINTS = tuple(zip((-np.sqrt(0.6), 0.0, np.sqrt(0.6)), (5 / 9, 8 / 9, 5 / 9), strict=True))
_CORNERS = ((0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1))


def _shapes(s: float, t: float) -> tuple[Array, Array]:
    """The eight shape functions and their derivatives by s and t."""
    corner = [(1 + s * a) * (1 + t * b) * (s * a + t * b - 1) / 4 for a, b in _SIGNS]
    middle = [(1 - s * s) * (1 - t) / 2, (1 + s) * (1 - t * t) / 2, (1 - s * s) * (1 + t) / 2]
    middle.append((1 - s) * (1 - t * t) / 2)
    by_s = [a * (1 + t * b) * (2 * s * a + t * b) / 4 for a, b in _SIGNS]
    by_s += [-s * (1 - t), (1 - t * t) / 2, -s * (1 + t), -(1 - t * t) / 2]
    by_t = [b * (1 + s * a) * (2 * t * b + s * a) / 4 for a, b in _SIGNS]
    by_t += [-(1 - s * s) / 2, -t * (1 + s), (1 - s * s) / 2, -t * (1 - s)]
    return np.array(corner + middle), np.array([by_s, by_t])


_SIGNS = ((-1, -1), (1, -1), (1, 1), (-1, 1))


def _strains(places: Array, s: float, t: float) -> tuple[Array, Array, float, float]:
    """Strain by displacements (radial, hoop, axial, shear), shape functions, radius, area by s and t."""
    shapes, derivatives = _shapes(s, t)
    jacobian = derivatives @ places
    by = np.linalg.solve(jacobian, derivatives)
    radius = float(shapes @ places[:, 0])
    strain = np.zeros((4, 16))
    strain[0, 0::2], strain[1, 0::2] = by[0], shapes / radius
    strain[2, 1::2], strain[3, 0::2], strain[3, 1::2] = by[1], by[1], by[0]
    return strain, shapes, radius, float(np.linalg.det(jacobian))


def _cut(edges: Sequence[float], size: float) -> Array:
    """Edges with lines between them, `size` apart or less, and their middles."""
    lines = [edges[0]]
    for low, high in pairwise(edges):
        lines += list(np.linspace(low, high, 2 * max(2, int(np.ceil((high - low) / size))) + 1)[1:])
    return np.array(lines)


def spun(
    sections: Sequence[tuple[float, float, float, float]],
    *,
    density: float,
    poisson: float,
    speed: float,
    size: float = 0.0022,
) -> Array:
    """Rows of radius, axial place, radial and hoop stress, at the corners of the elements, by element.

    `sections` are rectangles: inner and outer radius, and the two ends along the axis; together the body.
    """
    radii = _cut(sorted({edge for section in sections for edge in section[:2]}), size)
    axial = _cut(sorted({edge for section in sections for edge in section[2:]}), size)
    numbers: dict[tuple[int, int], int] = {}
    elements = []
    for i in range(0, len(radii) - 1, 2):
        for j in range(0, len(axial) - 1, 2):
            r, z = radii[i + 1], axial[j + 1]
            if any(a < r < b and c < z < d for a, b, c, d in sections):
                nodes = [(i + a, j + b) for a, b in _CORNERS]
                elements.append([numbers.setdefault(node, len(numbers)) for node in nodes])
    places = np.array([(radii[i], axial[j]) for i, j in numbers])
    law = np.diag([1 - poisson] * 3 + [(1 - 2 * poisson) / 2])
    law[:3, :3] += poisson * (1 - np.eye(3))
    law /= (1 + poisson) * (1 - 2 * poisson)
    rows, columns, entries = [], [], []
    force = np.zeros(2 * len(places))
    for element in elements:
        stiffness, freedoms = np.zeros((16, 16)), np.array([(2 * n, 2 * n + 1) for n in element]).ravel()
        for s, weight_s in _POINTS:
            for t, weight_t in _POINTS:
                strain, shapes, radius, area = _strains(places[element], s, t)
                volume = radius * area * weight_s * weight_t
                stiffness += strain.T @ law @ strain * volume
                force[freedoms[0::2]] += shapes * density * speed**2 * radius * volume
        rows.append(np.repeat(freedoms, 16))
        columns.append(np.tile(freedoms, 16))
        entries.append(stiffness.ravel())
    matrix: Any = csr_matrix(
        (np.concatenate(entries), (np.concatenate(rows), np.concatenate(columns))), shape=(len(force),) * 2
    )
    moved = np.zeros(len(force))
    free = np.setdiff1d(np.arange(len(force)), [1])  # one node is held along the axis
    moved[free] = spsolve(matrix[free][:, free], force[free])
    found = []
    for element in elements:
        freedoms = np.array([(2 * n, 2 * n + 1) for n in element]).ravel()
        for (s, t), node in zip(_SIGNS, element, strict=False):
            strain, _, _, _ = _strains(places[element], s, t)
            stress = law @ strain @ moved[freedoms]
            found.append((places[node, 0], places[node, 1], stress[0], stress[1]))
    return np.array(found)
