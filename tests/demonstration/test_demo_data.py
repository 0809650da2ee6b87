"""The demonstration's log files are what their generator writes, say they are invented, and stay small."""

from __future__ import annotations

import pytest

from tests.demo_data import FOLDER, INVENTED, files

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
