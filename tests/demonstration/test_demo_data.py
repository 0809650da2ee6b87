"""The demonstration's log files are what their generator writes, say they are invented, and stay small."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

import pytest

from buildlog.book.book import Book
from tests.demo_data import FOLDER, INVENTED, files
from tests.house import ROOT

MADE = files()


def test_the_folder_has_the_files_of_the_generator_and_no_others() -> None:
    assert {path.name for path in FOLDER.iterdir()} == set(MADE)


@pytest.mark.parametrize("name", MADE)
def test_a_file_is_what_the_generator_writes(name: str) -> None:
    """Byte for byte. After a change of the generator: ``python -m tests.demo_data``."""
    assert (FOLDER / name).read_bytes() == MADE[name]


@pytest.mark.parametrize("name", [name for name in MADE if name != "hill-sheet.csv"])
def test_a_log_says_first_that_it_is_invented(name: str) -> None:
    first = MADE[name].split(b"\n")[0].decode("utf-8-sig")
    assert first.startswith(INVENTED)


def test_a_reader_downloads_little() -> None:
    assert sum(map(len, MADE.values())) < 600_000


def shifts_of(name: str) -> Iterator[float]:
    """How long the throttle is shut between two stretches with it open, s, at ten rows a second."""
    throttle = [float(row.split(",")[3]) for row in MADE[name].decode().splitlines()[3:]]
    stretches = [(pressed, len(list(rows))) for pressed, rows in groupby(throttle, lambda one: one > 40)]
    # Before the pull the car is held at a speed, and after it coasts: only what lies between is a shift.
    return (rows / 10 for pressed, rows in stretches[1:-1] if not pressed)


def test_the_shifts_of_the_episode_are_those_of_its_logs() -> None:
    """Its author read them off the throttle's trace, in the order of the runs."""
    block = next(
        found
        for found in Book.open(root=ROOT).results.values()
        if (str(found.page), found.id) == ("episodes/before-and-after", "shifts")
    )
    read = [row["reading"] for row in block.cases[""].inputs["readings"]]
    order = [f"strip-gears-{way}-{number}.csv" for number in (1, 2, 3) for way in ("out", "back")]
    assert read == pytest.approx([shift for name in order for shift in shifts_of(name)])
