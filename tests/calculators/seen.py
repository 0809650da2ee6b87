"""A case as a calculator's chart sees it, without a page around it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import sqrt
from typing import Any

from buildlog.kinds.declaration import CaseView, Limit, Outputs, Working


@dataclass(frozen=True, kw_only=True)
class Seen:
    """`uncertainties` are expanded, SI, by (output, key)."""

    inputs: Mapping[str, Any]
    outputs: Mapping[str, Any]
    limits: tuple[Limit, ...] = ()
    uncertainties: Mapping[tuple[str, str], float] = field(default_factory=dict)
    covariances: Mapping[tuple[str, str], float] = field(default_factory=dict)

    def covariance(self, first: str, second: str) -> float:
        return self.covariances.get((first, second), self.covariances.get((second, first), 0.0))

    def uncertainty_of_change(self, base: CaseView, output: str, key: str = "") -> float:
        """As of two results that have nothing in common."""
        return sqrt(self.uncertainty(output, key) ** 2 + base.uncertainty(output, key) ** 2)

    def uncertainty(self, output: str, key: str = "") -> float:
        return self.uncertainties.get((output, key), 0.0)


def seen(compute: Callable[[Mapping[str, Any], Working], Outputs], inputs: Mapping[str, Any]) -> Seen:
    """What a chart sees of inputs and what is computed from them."""
    working = Working()
    outputs = compute(inputs, working)
    return Seen(inputs=inputs, outputs=outputs, limits=tuple(working.limits))
