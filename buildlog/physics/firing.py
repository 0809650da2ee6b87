"""The order in which the cylinders of a four-stroke engine fire, and which of them go well together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import degrees, pi
from typing import Annotated

from buildlog.diagnostics import InputsConflict
from buildlog.physics.declared import UpTo, Variable, Within, sum_of
from buildlog.physics.limits import within

_TURN = "a working cycle is 720°"
Groups = tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class FiringOrder:
    """The cylinders as they fire, each with its crank angle (rad) within 720°."""

    angles: dict[int, float]

    @staticmethod
    def check(cylinders: Sequence[int], intervals: Sequence[float] | None) -> None:
        """Refuse an order that leaves a cylinder out, and intervals (rad) that do not make 720°."""
        number = len(cylinders)
        if sorted(cylinders) != list(range(1, number + 1)):
            raise InputsConflict(
                "firing_order", ", ".join(map(str, cylinders)), f"each of the cylinders 1 to {number} once"
            )
        if intervals is None:
            return
        if len(intervals) != number:
            raise InputsConflict(
                "firing_intervals",
                f"{len(intervals)} intervals for {number} cylinders",
                "one after each cylinder of the order",
            )
        if abs(degrees(sum(intervals)) - 720) > 0.01:
            raise InputsConflict(
                "firing_intervals",
                f"{degrees(sum(intervals)):g}° in all",
                "720° in all",
                help="the last one leads back to the first cylinder",
            )

    def check_group(self, name: str, group: Sequence[int]) -> None:
        """Refuse a group, the input `name`, that is not of different cylinders of this order."""
        if len(set(group)) < len(group) or not set(group) <= set(self.angles):
            raise InputsConflict(name, ", ".join(map(str, group)), "different cylinders of firing_order")

    def intervals(self, group: tuple[int, ...]) -> dict[int, float]:
        """Crank angle (rad) from each cylinder of a group to the next of it that fires."""
        order = sorted(group, key=self.angles.__getitem__)
        following = (*order[1:], order[0])
        return {
            cylinder: interval_between(self.angles[cylinder], self.angles[following_cylinder])
            for cylinder, following_cylinder in zip(order, following, strict=True)
        }

    def unevenness(self, group: tuple[int, ...]) -> float:
        """How far the worst interval of a group lies from an even one (rad)."""
        even = 4 * pi / len(group)
        return max(abs(interval - even) for interval in self.intervals(group).values())

    def most_even_groups(self, size: int) -> Groups:
        """All cylinders in groups of a size whose pulses come as evenly as can be.

        Of several equally good ones, the first as the cylinders fire.
        """
        ways = self._ways(tuple(self.angles), size)
        # Rounded, so that ways that only rounding tells apart are equally good, and the first one is taken.
        return min(ways, key=lambda way: round(max(self.unevenness(group) for group in way), 9))

    def _ways(self, cylinders: tuple[int, ...], size: int) -> Iterator[Groups]:
        if not cylinders:
            yield ()
            return
        # The first cylinder is in some group: begun with it, no way comes up twice in another order.
        first, rest = cylinders[0], cylinders[1:]
        for others in combinations(rest, size - 1):
            left = tuple(cylinder for cylinder in rest if cylinder not in others)
            for way in self._ways(left, size):
                yield ((first, *others), *way)


def even_firing_interval(
    cylinders: Annotated[float, "z", "1"],
) -> Annotated[float, "Δφ", "rad"]:
    """Crank angle between one firing and the next in a four-stroke engine that fires evenly.

    Formula: Δφ = 4 π / z. Symbols: z cylinders (1), Δφ crank angle (rad).
    Range: z 1 to 16. Errors: `OutOfRange`. Source: definition of the four-stroke cycle, 720°.
    """
    within("cylinders", cylinders, low=1, high=16, why="piston engines of cars")
    return 4 * pi / cylinders


next_firing_angle = sum_of(
    "next_firing_angle",
    "Crank angle at which the next cylinder fires, from the first one of the order.",
    firing_angle=Variable("φ_1", "rad", "angle of the one before", Within(0, 4 * pi, _TURN)),
    firing_interval=Variable("Δφ", "rad", "interval", UpTo(4 * pi, _TURN)),
    gives=Variable("φ_2", "rad", "angle of the next"),
    source="definition",
)


def interval_between(
    firing_angle: Annotated[float, "φ_1", "rad"],
    later_firing_angle: Annotated[float, "φ_2", "rad"],
) -> Annotated[float, "Δφ", "rad"]:
    """Crank angle from one cylinder's pulse to another's, into the next cycle where need be.

    Formula: Δφ = φ_2 - φ_1, and 4 π more where that is not above 0. Symbols: φ_1 firing angle of the one
    before (rad), φ_2 firing angle of the next (rad), x difference of the two (rad), Δφ interval (rad).
    Range: both 0 to 4π. Errors: `OutOfRange`. Source: definition of the four-stroke cycle, 720°.
    """
    within("firing_angle", firing_angle, low=0, high=4 * pi, why=_TURN)
    within("later_firing_angle", later_firing_angle, low=0, high=4 * pi, why=_TURN)
    x = later_firing_angle - firing_angle
    return x if x > 0 else x + 4 * pi


def first_firing_angle() -> Annotated[float, "θ_1", "rad"]:
    """Crank angle at which the first cylinder of the order fires: the others are counted from it.

    Formula: θ_1 = 0. Symbols: θ_1 firing angle (rad). Range: any engine. Source: definition.
    """
    return 0.0
