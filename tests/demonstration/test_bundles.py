"""Every page of the demonstration that computes, repeated from its bundle with nothing else at hand."""

from __future__ import annotations

import re
import zipfile
from functools import cache
from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.book.repeating import computed_blocks
from tests.parsed_html import parse
from tests.render.test_bundle import run_there

ROOT = Path(__file__).resolve().parents[2]


@cache
def computing() -> tuple[str, ...]:
    book = Book.open(root=ROOT)
    return tuple(key for key in book.pages if computed_blocks(book, key))


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "key" in metafunc.fixturenames:
        metafunc.parametrize("key", computing())


def test_a_page_repeated_in_an_empty_folder(demo: Path, tmp_path: Path, key: str) -> None:
    there = tmp_path / "empty"
    there.mkdir()
    zipfile.ZipFile(demo / f"assets/buildlog/{key}.zip").extractall(there)
    (program,) = (demo / "assets/buildlog").glob("*.whl")
    zipfile.ZipFile(program).extractall(tmp_path / "installed")
    assert program.name in (there / "requirements.txt").read_text("utf-8")
    page = parse((demo / f"{key}.html").read_text("utf-8")).one("section", "buildlog-reproduce")
    commands, on_windows, hashes = (one.text.strip().splitlines() for one in page.all("pre"))
    proof, ledger = (line.removeprefix("tools/bin/buildlog ").split() for line in commands[-2:])
    there_too = [line.removeprefix(r"tools\Scripts\buildlog ").split() for line in on_windows[-2:]]
    assert there_too == [proof, ledger]
    ran = run_there(there, *proof)
    assert ran.returncode == 0, ran.stdout
    assert not re.search(r"^[0-9]+ (?:error|warning)s?", ran.stdout, re.MULTILINE)
    assert re.search(
        r"^(?:All [0-9]+ computed figures agree|The computed figure agrees)", ran.stdout, re.MULTILINE
    )
    assert run_there(there, *ledger).stdout.splitlines() == hashes
    whole = run_there(there, "proof")
    assert (whole.returncode, ran.stdout.splitlines()[-1]) == (0, whole.stdout.splitlines()[-1])


def test_every_episode_is_among_them() -> None:
    episodes = {f"episodes/{path.stem}" for path in (ROOT / "content/episodes").glob("*.md")}
    assert episodes
    assert episodes <= set(computing())
