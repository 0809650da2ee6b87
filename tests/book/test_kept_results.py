"""A site read with what an earlier run has kept is the same as one that is read afresh, whatever changed."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from buildlog.book.book import Book
from buildlog.book.evaluation import Evaluation
from buildlog.book.kept_results import KeptResults
from buildlog.kept import packing
from buildlog.kept.packing import fingerprint, pack, unpack
from buildlog.kept.store import FOLDER, Store
from buildlog.reading.whole_page import read_page
from tests.book.test_reopening import ALL, SITE, fresh, same
from tests.house import ROOT
from tests.proof.test_drift import CAR, CSV, A, B
from tests.samples import GEARING, write_site

SECRET = bytes(32)


def kept(folder: Path, secret: bytes = SECRET) -> Book:
    return Book.open(folder / "content", root=folder, store=Store(folder, secret))


@pytest.fixture
def computed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The blocks that were computed, in their order."""
    names: list[str] = []
    real = Evaluation.run

    def run(self: Evaluation) -> object:
        names.append(self.block.id)
        return real(self)

    monkeypatch.setattr(Evaluation, "run", run)
    return names


@pytest.mark.parametrize(
    ("name", "text", "anew"),
    [
        ("a.md", A, set()),
        ("c.md", "# C\n", set()),
        ("a.md", A + "\nOne line more.\n", set()),
        ("a.md", A.replace("# A\n", "# A\n\nOne line more, above.\n"), set()),
        ("a.md", A.replace("41/9", "4.3"), {"shorter-final", "launch"}),
        ("b.md", B.replace("100.0", "1"), set()),
        ("runs/before.csv", CSV.replace("6000,167", "6000,168"), {"launch"}),
        ("cars/brindle.yml", CAR.replace("8200", "8300"), {"shorter-final", "launch"}),
        ("sources.yml", "sheet: {title: Another sheet}\n", set()),
    ],
)
def test_only_what_rests_on_the_change_is_computed(
    tmp_path: Path, computed: list[str], name: str, text: str, anew: set[str]
) -> None:
    folder = write_site(tmp_path, SITE).parent
    kept(folder)
    assert set(computed) == ALL
    (folder / "content" / name).write_text(text, "utf-8")
    computed.clear()
    again = kept(folder)
    assert set(computed) == anew
    same(again, fresh(folder))


def test_a_kept_result_is_placed_where_its_block_now_stands(tmp_path: Path, computed: list[str]) -> None:
    folder = write_site(tmp_path, SITE).parent
    before = kept(folder)
    page = folder / "content" / "a.md"
    page.write_text("# A\n\n" + "More.\n\n" * 50 + page.read_text("utf-8").partition("# A\n")[2], "utf-8")
    computed.clear()
    after = kept(folder)
    assert not computed
    block = ("a", "shorter-final")
    assert after.results[block].position.line == before.results[block].position.line + 101
    same(after, fresh(folder))


@pytest.mark.parametrize("seed", range(6))
def test_any_row_of_changes_gives_what_is_computed_afresh(tmp_path: Path, seed: int) -> None:
    folder = write_site(tmp_path, SITE).parent
    rng = random.Random(seed)
    changes: list[Callable[[], object]] = [
        lambda: page("a.md", A.replace("41/9", rng.choice(["41/9", "4.3", "nonsense"]))),
        lambda: page("a.md", A.replace("# A\n", "# A\n" + "\nMore.\n" * rng.randrange(3))),
        lambda: page("b.md", B.replace("shorter-final", rng.choice(["shorter-final", "nothing"]))),
        lambda: page("c.md", str(SITE["c.md"]).replace("alone", rng.choice(["alone", "apart"]))),
        lambda: page("cars/brindle.yml", CAR.replace("8200", rng.choice(["8200", "8300", "x"]))),
        lambda: page("runs/before.csv", CSV.replace("6000,167", rng.choice(["6000,167", "6000,168", ""]))),
    ]

    def page(name: str, text: str) -> None:
        (folder / "content" / name).write_text(text, "utf-8")

    for _ in range(8):
        rng.choice(changes)()
        same(kept(folder), fresh(folder))


def test_what_somebody_else_put_into_the_folder_is_not_read(tmp_path: Path, computed: list[str]) -> None:
    folder = write_site(tmp_path, SITE).parent
    kept(folder, bytes(31) + b"x")
    computed.clear()
    kept(folder)
    assert set(computed) == ALL


def test_damaged_entries_are_computed_anew(tmp_path: Path, computed: list[str]) -> None:
    folder = write_site(tmp_path, SITE).parent
    kept(folder)
    entries = list((folder / FOLDER).glob("??/*"))
    assert len(entries) == len(ALL) + len(SITE_PAGES)
    for entry in entries:
        entry.write_bytes(entry.read_bytes()[:-3] + b"xyz")
    computed.clear()
    again = kept(folder)
    assert set(computed) == ALL
    same(again, fresh(folder))
    computed.clear()
    kept(folder)
    assert not computed


SITE_PAGES = [name for name in SITE if name.endswith(".md")]


def test_a_result_that_cannot_be_packed_is_computed(
    tmp_path: Path, computed: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def unpackable(*things: object) -> bytes:
        raise packing.Unpackable("no")

    monkeypatch.setattr("buildlog.book.kept_results.pack", unpackable)
    folder = write_site(tmp_path, SITE).parent
    same(kept(folder), fresh(folder))


def test_a_result_with_faults_is_not_kept(tmp_path: Path, computed: list[str]) -> None:
    folder = write_site(tmp_path, {"a.md": GEARING.replace("kind: gearing", "kind: gearign")}).parent
    first = kept(folder)
    computed.clear()
    again = kept(folder)
    assert computed
    assert [one.faults for one in again.results.values()] == [one.faults for one in first.results.values()]


FOUND = """\
```yaml calc
id: {id}
kind: gearing
inputs:
  gears: [3.32, 2.04, 1.43, 1.13, 1.00]
  tyre: 195/50R15
  rev_limit: {limit} rpm
  cruise_speed: 100 km/h
{more}
```
"""
OWN = "find: final_drive\nso_that: {rpm_at.4: TARGET}\nbetween: [3.0, 5.0]"


@pytest.mark.parametrize(
    "resting",
    [
        'find: final_drive\nso_that: {rpm_at.4: 3500 rpm}\nbetween: [3.0, "calc:aa.final_drive"]',
        'find: final_drive\nso_that: {rpm_at.4: 3500 rpm}\nbetween: ["calc:aa.final_drive", 5.2]',
        'find: final_drive\nso_that: {rpm_at.4: "calc:aa.rpm_at.4"}\nbetween: [2.0, 6.0]',
        '  final_drive: " calc:aa.final_drive"',
    ],
)
def test_a_block_rests_on_whatever_it_names(tmp_path: Path, resting: str) -> None:
    """In what it seeks too, and behind a blank."""
    for target in ("3700 rpm", "3300 rpm", "3900 rpm", "3700 rpm"):
        own = FOUND.format(id="aa", limit=8200, more=OWN.replace("TARGET", target))
        content = write_site(tmp_path, {"a.md": FOUND.format(id="b", limit=8000, more=resting) + "\n" + own})
        same(kept(content.parent), fresh(content.parent))


def test_data_that_changes_while_it_is_read_is_kept_by_nobody(
    tmp_path: Path, computed: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A result of other data than its key tells of would come back as that of the first data."""
    folder = write_site(tmp_path, SITE).parent
    data = folder / "content" / "runs" / "before.csv"
    key = KeptResults.key

    def changed_after(self: KeptResults, *block: Any) -> str:
        made = key(self, *block)
        data.write_text(CSV.replace("6000,167", "6000,168"), "utf-8")
        return made

    with monkeypatch.context() as patched:
        patched.setattr(KeptResults, "key", changed_after)
        kept(folder)
    data.write_text(CSV, "utf-8")
    same(kept(folder), fresh(folder))


def test_a_block_has_one_digest_whether_it_was_read_or_kept() -> None:
    """Which of its texts are one object in memory is nothing that it says."""
    for path in sorted((ROOT / "content" / "episodes").glob("*.md")):
        page = read_page(f"episodes/{path.stem}", f"content/episodes/{path.name}", path.read_text("utf-8"))
        again = unpack(pack(page))
        assert page.blocks
        for block, kept_block in zip(page.blocks, again.blocks, strict=True):
            assert fingerprint(kept_block, base=block.position) == fingerprint(block, base=block.position)
