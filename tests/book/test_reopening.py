"""A site read again takes over what has not changed, and is then the same as one that is read afresh."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.proof.proof import Report, proof_book
from tests.proof.test_drift import CAR, CSV, FILES, A, B
from tests.samples import GEARING, write_site

SITE: dict[str, str | bytes] = {
    **FILES,
    "c.md": "# C\n\n[135.5 km/h](calc:a#shorter-final.after.speed_at_limit.3), [39 N·m](cite:sheet), 4.2 kg."
    "\n\n" + GEARING.replace("shorter-final", "alone"),
    "sources.yml": "sheet: {title: A sheet}\n",
}


def reopened(folder: Path, book: Book) -> Book:
    return Book.open(folder / "content", root=folder, earlier=book)


def fresh(folder: Path) -> Book:
    return Book.open(folder / "content", root=folder)


def same(one: Book, other: Book) -> None:
    assert one.pages == other.pages
    assert one.results == other.results
    assert one.by_place == other.by_place
    assert one.faults == other.faults
    assert one.data_used == other.data_used
    assert one.data_names == other.data_names


def taken_over(before: Book, after: Book) -> set[str]:
    """Blocks whose result is the very one that was there."""
    return {block for (page, block), one in after.results.items() if one is before.results.get((page, block))}


ALL = {"shorter-final", "launch", "alone"}


@pytest.mark.parametrize(
    ("name", "text", "kept"),
    [
        ("c.md", "# C\n", {"shorter-final", "launch"}),
        ("a.md", A + "\nOne line more.\n", ALL),
        ("a.md", A.replace("# A\n", "# A\n\nOne line more, above.\n"), {"alone"}),
        ("a.md", A.replace("41/9", "4.3"), {"alone"}),
        ("a.md", "# A\n", {"alone"}),
        ("b.md", B.replace("100.0", "1"), ALL),
        ("runs/before.csv", CSV.replace("6000,167", "6000,168"), {"shorter-final", "alone"}),
        ("cars/brindle.yml", CAR.replace("8200", "8300"), {"alone"}),
        ("cars/brindle.yml", CAR + "# a remark\n", ALL),
        ("sources.yml", "sheet: {title: Another}\n", ALL),
    ],
)
def test_only_what_rests_on_a_change_is_computed_again(
    tmp_path: Path, name: str, text: str, kept: set[str]
) -> None:
    write_site(tmp_path, SITE)
    before = fresh(tmp_path)
    write_site(tmp_path, {name: text})
    after = reopened(tmp_path, before)
    same(after, fresh(tmp_path))
    assert taken_over(before, after) == kept


def test_a_file_that_is_gone_or_cannot_be_read_is_no_longer_there(tmp_path: Path) -> None:
    content = write_site(tmp_path, SITE)
    before = fresh(tmp_path)
    (content / "runs" / "before.csv").unlink()
    first = reopened(tmp_path, before)
    same(first, fresh(tmp_path))
    assert first.results["b", "launch"].faults
    (content / "a.md").write_bytes(b"\xff\xfe")
    second = reopened(tmp_path, first)
    same(second, fresh(tmp_path))
    (content / "a.md").write_bytes(b"")
    same(reopened(tmp_path, second), fresh(tmp_path))


def test_a_book_of_another_site_gives_nothing(tmp_path: Path) -> None:
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        write_site(tmp_path / name, SITE)
    other = Book.open(tmp_path / "other" / "content", earlier=fresh(tmp_path / "one"))
    assert taken_over(fresh(tmp_path / "one"), other) == set()
    assert other.results["a", "shorter-final"].position.path == "content/a.md"


def _edits(chance: random.Random) -> list[Callable[[str], str]]:
    return [
        lambda text: text.replace("# ", "\n# ", 1),
        lambda text: text.replace("41/9", f"{chance.randint(35, 49)}/9"),
        lambda text: text.replace("8200 rpm", "8200"),
        lambda text: text.replace("id: ", "id: x-", 1),
        lambda text: text.replace("calc:a#", "calc:c#"),
        lambda text: text + "\nA line.\n",
        lambda text: text[: chance.randrange(len(text) + 1)],
        lambda text: "",
    ]


def test_any_series_of_changes_gives_what_a_fresh_reading_gives(tmp_path: Path) -> None:
    chance = random.Random(20250412)
    content = write_site(tmp_path, SITE)
    book, report = fresh(tmp_path), None
    for step in range(120):
        name = chance.choice(sorted(SITE))
        now = (content / name).read_text("utf-8") if chance.random() < 0.6 else str(SITE[name])
        (content / name).write_text(chance.choice(_edits(chance))(now), "utf-8")
        book = reopened(tmp_path, book)
        anew = fresh(tmp_path)
        same(book, anew)
        report = proof_book(book, earlier=report)
        _same_reports(report, proof_book(anew), step)


def _same_reports(one: Report, other: Report, step: int) -> None:
    assert one.findings == other.findings, step
    assert one.entries == other.entries, step


def test_a_page_that_a_generator_changed_computes_no_more_than_itself(tmp_path: Path) -> None:
    write_site(tmp_path, SITE)
    before = fresh(tmp_path)
    after = before.with_page("a", A.replace("41/9", "4.3"))
    assert taken_over(before, after) == {"alone"}
    assert before.with_page("c", "# C\n").results.keys() == {("a", "shorter-final"), ("b", "launch")}


def test_progress_is_told_page_by_page_and_block_by_block(tmp_path: Path) -> None:
    write_site(tmp_path, SITE)
    told: list[tuple[str, int, int]] = []
    Book.open(tmp_path / "content", root=tmp_path, progress=lambda *one: told.append(one))
    assert told == [
        *(("pages", number, 3) for number in range(3)),
        *(("blocks", number, 3) for number in range(3)),
    ]
