"""What pint has made of a site's own units, on disk from one run to the next: pint is slow to load."""

from __future__ import annotations

from functools import partial

from buildlog.figures.worked_out import WorkedOut
from buildlog.kept.once import kept_or_made
from buildlog.kept.program import program_digest, version_of
from buildlog.kept.store import Store, key_for
from buildlog.reading.own_units import Definitions, WorkOut, work_out


def worked_out_once(store: Store | None) -> WorkOut:
    """Works units out, or takes what an earlier run has."""
    if store is None:
        return work_out

    def found_or_worked_out(definitions: Definitions, asked: tuple[str, ...]) -> WorkedOut:
        key = key_for("units", program_digest(), version_of("pint"), repr((definitions, asked)))
        return kept_or_made(store, key, WorkedOut, partial(work_out, definitions, asked))

    return found_or_worked_out
