"""A name for each finding that outlives moved lines: of its page, code and the text it is about."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

from buildlog.diagnostics import Diagnostic


def fingerprints(findings: Iterable[Diagnostic]) -> list[str]:
    """One fingerprint a finding, in order; equal findings of a page are told apart by their order."""
    seen: dict[tuple[str, ...], int] = {}
    names = []
    for finding in findings:
        about = (
            finding.found if finding.code != "figure-disagrees" else finding.message.split(" is stated")[0]
        )
        key = (finding.position.path, finding.code, about)
        seen[key] = seen.get(key, 0) + 1
        text = "\x1f".join((*key, str(seen[key])))
        names.append(hashlib.sha256(text.encode("utf-8", "backslashreplace")).hexdigest()[:32])
    return names
