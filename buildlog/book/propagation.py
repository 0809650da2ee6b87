"""From uncertain inputs and doubtful models to uncertain outputs.

To first order, as the *Guide to the expression of uncertainty in measurement* has it (JCGM 100:2008, 5.1),
where the result goes nearly along a straight line over the uncertainty, which is checked; where it does not
(a kink, a limit of an input, a value that the calculation refuses), by `buildlog.book.monte_carlo`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from buildlog.book.uncertainty import Contributions, FirstOrder, Leaf, Model
from buildlog.kinds.declaration import Outputs
from buildlog.kinds.results import Simulation


@dataclass(frozen=True, kw_only=True)
class Propagated:
    """The uncertainty of the outputs. `intervals` are coverage intervals of the outputs that a Monte Carlo
    was made for, `simulation` how it was made; `bent` the outputs that none was made for though they need
    one."""

    parts: Contributions
    intervals: Mapping[Leaf, tuple[float, float]] = field(default_factory=dict)
    simulation: Simulation | None = None
    bent: frozenset[Leaf] = frozenset()


def propagate(model: Model, outputs: Outputs, *, seed: int, draws: int, rest: str) -> Propagated:
    """The uncertainty of every output. `rest` begins the origins of what no single error explains. Raises
    `Refused` where the calculation mostly has no result within the uncertainty of its inputs. Without draws,
    as in a browser, all is to first order."""
    first = FirstOrder(model, outputs)
    if not first.bent or not draws:
        return Propagated(parts=first.parts, bent=frozenset(first.bent))
    # Only where it is needed: most blocks are computed without it, and the proof is to start light.
    from buildlog.book.monte_carlo import simulate

    simulated = simulate(model, outputs, first.bent, curved=first.curved, seed=seed, draws=draws, rest=rest)
    parts = first.parts
    for (name, key), shares in simulated.shares.items():
        parts.setdefault(name, {})[key] = shares
    return Propagated(parts=parts, intervals=simulated.intervals, simulation=simulated.made)
