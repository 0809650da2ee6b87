"""How many examples a property is tried with: fixed ones in `make test`, many new ones in `make search`."""

from __future__ import annotations

import os

from hypothesis import settings

SEARCHING = bool(os.environ.get("BUILDLOG_SEARCH"))
USUAL = 100
_MORE_IN_A_SEARCH = 10


def most_examples(count: int) -> int:
    """`count`, or as many times more as a search tries."""
    return count * _MORE_IN_A_SEARCH if SEARCHING else count


def with_examples(count: int) -> settings:
    """For a property that is slow, or that wants more than the usual number of examples."""
    return settings(max_examples=most_examples(count))
