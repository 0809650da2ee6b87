"""How many examples a property is tried with: fixed ones in `make test`, a tenth of them in `make check`, and
many new ones in `make search`."""

from __future__ import annotations

import os

from hypothesis import settings

SEARCHING = bool(os.environ.get("BUILDLOG_SEARCH"))
QUICK = bool(os.environ.get("BUILDLOG_QUICK"))
USUAL = 100
_MORE_IN_A_SEARCH = 10
_FEWER_IN_A_LOOK = 10


def most_examples(count: int) -> int:
    """`count`, or as many times more as a search tries, or a tenth of it where a look has to do."""
    if SEARCHING:
        return count * _MORE_IN_A_SEARCH
    if QUICK:
        return max(1, count // _FEWER_IN_A_LOOK)
    return count


def with_examples(count: int) -> settings:
    """For a property that is slow, or that wants more than the usual number of examples."""
    return settings(max_examples=most_examples(count))
