"""What pint makes of definitions of units, apart from pint, which is slow to load."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class WorkedOut:
    """Factors and offsets of some units, and the base dimensions of units by name, as text."""

    factors: dict[str, tuple[float, float]]
    bases: dict[str, str]
