"""The word for a whole decision, and what its requirements are called by."""

from __future__ import annotations

import pytest

from buildlog.kinds.verdicts import CLOSE, FAILS, HOLDS, overall_verdict, requirement_key


@pytest.mark.parametrize(
    ("verdicts", "overall"),
    [
        ([HOLDS, HOLDS], HOLDS),
        ([HOLDS, CLOSE], CLOSE),
        ([CLOSE, FAILS, HOLDS], FAILS),
        ([FAILS], FAILS),
        ([], HOLDS),
    ],
)
def test_one_failure_fails_all_and_one_doubt_leaves_all_open(verdicts: list[str], overall: str) -> None:
    assert overall_verdict(verdicts) == overall


def test_a_requirement_goes_by_its_key_or_by_its_name() -> None:
    assert requirement_key({"name": "idles low", "key": "idle"}) == "idle"
    assert requirement_key({"name": "idles low"}) == "idles-low"
    assert requirement_key({"name": "idles low", "key": ""}) == "idles-low"
