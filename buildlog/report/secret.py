"""Why nothing is kept for the next run, where that is the user's to mend."""

from __future__ import annotations

from buildlog.kept.store import Store
from buildlog.report.printable import printable_path


def told_of_secret(store: Store | None) -> str:
    """What to say of the secret by which results are kept; "" where all is well, or nothing is to be kept."""
    if store is None or store.refused is None:
        return ""
    return f"nothing is kept for the next run. {printable_path(str(store.refused))}: {store.why}."
