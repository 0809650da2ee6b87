"""The link by which a reader reports a figure: what its note knows is filled in already."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.figures.labels import plain
from buildlog.proof.judging import Judged
from buildlog.reading.report_address import filled_in


@dataclass(frozen=True, kw_only=True)
class ReportsOf:
    """Where the reports on a page's figures go: the site's `address` for them. `page` is the page's own, in
    full where the site has said where it stands, and `version` the hash of its figures, "" where it has
    none."""

    address: str
    page: str
    version: str = ""


def report_link(judged: Judged, reports: ReportsOf, anchor: str) -> str:
    """The address of a report on one figure."""
    label = plain(judged.text or judged.address).text
    place = f"{reports.page}#{anchor}" if anchor else reports.page
    known = {
        "Page": place,
        "Figure": label,
        "Rests on": f'{judged.address} "{judged.title}"' if judged.title else judged.address,
        "Computed": judged.computed_text,
        "Hash of the page's inputs and calculators": reports.version,
    }
    lines = [f"{what}: {text}" for what, text in known.items() if text]
    title = f"{label} looks wrong"
    return filled_in(reports.address, title, [*lines, "", "What looks wrong, and why:", ""])
