"""Files that are written whole or not at all, where Windows refuses what Unix lets pass."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.cli import main
from buildlog.files.whole_file import write_whole
from buildlog.proof.amending import write_page
from tests.samples import GEARING, write_site

RIGHT = f"# A\n\nThird: [135.5 km/h](calc:shorter-final.after.speed_at_limit.3).\n\n{GEARING}"
WRONG = RIGHT.replace("135.5", "153.5")


def test_a_name_as_long_as_a_name_can_be(tmp_path: Path) -> None:
    path = tmp_path / ("n" * 251 + ".csv")
    write_whole(path, b"first")
    write_whole(path, b"second")
    assert path.read_bytes() == b"second"
    assert os.listdir(tmp_path) == [path.name]


def test_the_name_beside_it_makes_no_path_longer(tmp_path: Path) -> None:
    made: list[Path] = []
    write_whole(tmp_path / "record.lock", b"x", made.append)
    assert made[0].parent == tmp_path
    assert len(made[0].name) <= len("record.lock")


@pytest.fixture
def held_open(monkeypatch: pytest.MonkeyPatch) -> None:
    """What Windows says of a file that another program has open: error 5, which Python makes EACCES."""

    def refuse(source: Path, target: Path) -> None:
        raise PermissionError(13, "Access is denied", str(source), 5, str(target))

    monkeypatch.setattr(os, "replace", refuse)


@pytest.mark.usefixtures("held_open")
@pytest.mark.parametrize(
    "command,page",
    [
        ("amend --write", WRONG),
        ("ledger --record", RIGHT),
        ("proof --format json --output OUT", RIGHT),
        ("rename --write a#shorter-final a#longer-final", RIGHT),
    ],
)
def test_a_file_that_another_program_holds_open(tmp_path: Path, command: str, page: str) -> None:
    content = write_site(tmp_path, {"a.md": page})
    (tmp_path / "out.json").write_text("old", "utf-8")
    words = command.replace("OUT", str(tmp_path / "out.json")).split()
    result = CliRunner().invoke(main, [*words, "--site", str(tmp_path)])
    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1
    assert "Access is denied" in result.stderr
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["a.md", "content", "out.json"]
    assert (content / "a.md").read_text("utf-8") == page
    assert (tmp_path / "out.json").read_text("utf-8") == "old"


def test_what_is_synced_is_open_for_writing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Windows syncs nothing else (EBADF of _commit; from memory); Linux does."""

    def sync(handle: int) -> None:
        assert os.write(handle, b"") == 0

    monkeypatch.setattr(os, "fsync", sync)
    content = write_site(tmp_path, {"a.md": "text"})
    write_page(content / "a.md", "text", "other")
    assert (content / "a.md").read_bytes() == b"other"
