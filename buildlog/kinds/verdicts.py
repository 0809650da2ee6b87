"""The words of a decision: what is said of a requirement, and how its row is addressed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from buildlog.kinds.keys import address_key
from buildlog.said import said

HOLDS: str = said("holds")
FAILS: str = said("fails")
CLOSE: str = said("too close to call")


def overall_verdict(verdicts: Iterable[str]) -> str:
    """One failing requirement fails all; then one that is too close to call leaves all open."""
    said = set(verdicts)
    return next((word for word in (FAILS, CLOSE) if word in said), HOLDS)


def requirement_key(row: Mapping[str, Any]) -> str:
    """What addresses a requirement: its key, or its name where it has none."""
    return address_key(str(row.get("key") or row["name"]))
