"""On how many cores a site is computed, by what BUILDLOG_CORES says or does not."""

from __future__ import annotations

import os

import pytest

from buildlog.book import cores as module
from buildlog.book.cores import cores


@pytest.mark.parametrize(
    ("said", "number"),
    [("1", 1), ("2", 2), (" 8 ", 8), ("9", 9), ("64", 64), ("01", 1)],
)
def test_what_the_user_says_counts(monkeypatch: pytest.MonkeyPatch, said: str, number: int) -> None:
    monkeypatch.setenv("BUILDLOG_CORES", said)
    assert cores("mkdocs.yml") == (number, [])


@pytest.mark.parametrize("said", ["0", "65", "all", "-1", "1.5", "１", "²", "001", "9" * 5000])
def test_what_is_no_number_of_cores_is_told_and_one_is_used(
    monkeypatch: pytest.MonkeyPatch, said: str
) -> None:
    monkeypatch.setenv("BUILDLOG_CORES", said)
    number, (fault,) = cores("mkdocs.yml")
    assert number == 1
    assert (fault.code.name, fault.position.path) == ("cores-unreadable", "mkdocs.yml")
    assert fault.found.startswith("BUILDLOG_CORES=")
    assert len(fault.found) < 200
    assert fault.expected == "a number from 1 to 64"


@pytest.mark.parametrize(("there", "used"), [(1, 1), (2, 2), (8, 8), (9, 8), (96, 8)])
def test_where_nobody_says_those_of_the_machine_and_at_most_eight(
    monkeypatch: pytest.MonkeyPatch, there: int, used: int
) -> None:
    monkeypatch.setattr(module, "_there", lambda: there)
    for said in (None, "", "  "):
        if said is None:
            monkeypatch.delenv("BUILDLOG_CORES", raising=False)
        else:
            monkeypatch.setenv("BUILDLOG_CORES", said)
        assert cores("mkdocs.yml") == (used, [])


def test_the_cores_that_the_process_may_use(monkeypatch: pytest.MonkeyPatch) -> None:
    """As os says; where it knows of no affinity, those of the machine, and one where it knows nothing."""
    if hasattr(os, "sched_getaffinity"):
        assert module._there() == len(os.sched_getaffinity(0))
        monkeypatch.delattr(os, "sched_getaffinity")
    monkeypatch.setattr(os, "cpu_count", lambda: 6)
    assert module._there() == 6
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    assert module._there() == 1
