"""Regression: the files made from the code are those that are committed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.generated import FOLDERS, PLACES, files_at, files_of, write_generated


@pytest.mark.parametrize("place", PLACES)
def test_what_is_generated_is_current(place: str) -> None:
    assert files_at(place) == files_of(place), f"{place} is not what the code says now: run `make generate`"


@pytest.mark.parametrize("place", PLACES)
def test_writing_it_twice_changes_nothing(tmp_path: Path, place: str) -> None:
    assert sorted(write_generated(place, tmp_path)) == sorted(files_of(place))
    assert write_generated(place, tmp_path) == []
    assert files_at(place, tmp_path) == files_of(place)


@pytest.mark.parametrize("place", FOLDERS)
def test_what_is_made_no_more_is_removed(tmp_path: Path, place: str) -> None:
    write_generated(place, tmp_path)
    (tmp_path / place / "left-over.md").write_text("A kind that is gone.\n")
    assert write_generated(place, tmp_path) == [f"{place}/left-over.md"]
