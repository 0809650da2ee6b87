"""An episode that is started states no change between cases as a fact that may be none."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.kinds import catalogue
from buildlog.proof.proof import proof_book
from buildlog.report.episode import episode_text
from tests.samples import open_site


@pytest.mark.parametrize(
    ("kind", "in_doubt"),
    [
        (
            "power_run",
            ('"vs measured"',),
        ),  # a quarter of a per cent, of a power that is known to some per cent
        ("header", ('travel_time "vs', 'pipe_frequency.1 "vs')),
        ("course", ('course_time "vs',)),
    ],
)
def test_a_change_within_its_doubt_is_not_stated(
    tmp_path: Path, kind: str, in_doubt: tuple[str, ...]
) -> None:
    text = episode_text("Job", catalogue.load_kind(kind))
    for change in in_doubt:
        assert change not in text
    found = proof_book(open_site(tmp_path, {"a.md": text})).findings
    assert not [one for one in found if one.severity.word == "error"]


def test_one_beyond_it_is() -> None:
    assert '"vs before"' in episode_text("Job", catalogue.load_kind("gearing"))
