"""Which pages a changed file bears on, by a table; and on what a page rests beyond its own text."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.affected import affected_pages
from buildlog.book.book import Book
from buildlog.book.repeating import computed_blocks, grounds_of, hash_lines, input_hash
from tests.samples import calc, write_site

GEARS = "{gears: [2.0, 1.0], final_drive: 4, rev_limit: 6000 rpm, rolling_circumference: CIRCUMFERENCE}"


def gears(name: str, circumference: str) -> str:
    return calc(f"id: {name}\nkind: gearing\ninputs: {GEARS.replace('CIRCUMFERENCE', circumference)}")


FILES: dict[str, str | bytes] = {
    "tyre.md": gears("tyre", "1.8 m"),
    "rests.md": gears("second", "calc:tyre#tyre.rolling_circumference"),
    "deep/further.md": gears("third", "calc:rests#second.rolling_circumference"),
    "by-figure.md": "It is [1.8 m](calc:deep/further#third.rolling_circumference).\n",
    "by-change.md": "[0 m](calc:alone#alone.rolling_circumference"
    ' "vs tyre#tyre.rolling_circumference; ± 9 m")\n',
    "alone.md": gears("alone", "1.8 m"),
    "car.md": calc("id: car\nkind: gearing\ncar: wren"),
    "sheet.md": "The limit is [6000 rpm](calc:cars/wren.rev_limit).\n",
    "data.md": calc("id: runs\nkind: measured\ninputs: {readings: {data: runs/hill.csv}}"),
    "of-data.md": "It takes [9.8 s](calc:data#runs.mean.x).\n",
    "cited.md": "It is [1 m](cite:manual).\n",
    "told.md": "It is [1 m](told:owner).\n",
    "words.md": "# Only words\n",
    "sources.yml": "manual: {title: A manual}\nowner: {who: the owner, when: May}\n",
    "cars/wren.yml": "name: Wren\nabout: invented\ninputs: {gears: [2.0, 1.0], final_drive: 4, "
    "rev_limit: 6000 rpm, rolling_circumference: 1.8 m}\n",
    "cars/other.yml": "name: Other\nabout: invented\ninputs: {final_drive: 4}\n",
    "runs/hill.csv": "condition,reading [s]\nx,9.8\nx,9.9\nx,9.7\n",
}
EVERY = sorted(name.removesuffix(".md") for name in FILES if name.endswith(".md"))


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    folder = tmp_path_factory.mktemp("site")
    content = write_site(folder, FILES)
    return Book.open(content, root=folder)


BEARS_ON = [
    ("content/tyre.md", ["by-change", "by-figure", "deep/further", "rests", "tyre"]),
    ("content/rests.md", ["by-figure", "deep/further", "rests"]),
    ("content/deep/further.md", ["by-figure", "deep/further"]),
    ("content/by-figure.md", ["by-figure"]),
    ("content/alone.md", ["alone", "by-change"]),
    ("content/cars/wren.yml", ["car", "sheet"]),
    ("content/cars/other.yml", []),
    ("content/runs/hill.csv", ["data", "of-data"]),
    ("content/data.md", ["data", "of-data"]),
    ("content/sources.yml", ["cited", "told"]),
    ("content/words.md", ["words"]),
    ("content/nowhere.md", []),
    ("content/tyre.csv", []),
    ("elsewhere.md", []),
    ("mkdocs.yml", EVERY),
    ("mkdocs.yaml", EVERY),
    ("content/own-units.txt", EVERY),
    ("content/figures.lock", EVERY),
]


@pytest.mark.parametrize(("changed", "pages"), BEARS_ON)
def test_which_pages_a_changed_file_bears_on(book: Book, changed: str, pages: list[str]) -> None:
    path = (book.root / changed).resolve()
    assert sorted(affected_pages(book, {path})) == pages


def test_of_several_files_all_that_each_bears_on(book: Book) -> None:
    changed = {(book.content / name).resolve() for name in ("words.md", "runs/hill.csv")}
    assert sorted(affected_pages(book, changed)) == ["data", "of-data", "words"]
    assert affected_pages(book, set()) == []


def test_a_page_that_is_gone_bears_on_what_rested_on_it(tmp_path: Path) -> None:
    content = write_site(tmp_path, {name: text for name, text in FILES.items() if name != "tyre.md"})
    book = Book.open(content, root=tmp_path)
    found = affected_pages(book, {(content / "tyre.md").resolve()})
    assert sorted(found) == ["by-change", "by-figure", "deep/further", "rests"]


@pytest.mark.parametrize(
    ("page", "blocks", "cars", "sheets", "data"),
    [
        ("tyre", {}, set(), set(), set()),
        ("rests", {"tyre": {"tyre"}}, set(), set(), set()),
        ("deep/further", {"tyre": {"tyre"}, "rests": {"second"}}, set(), set(), set()),
        (
            "by-figure",
            {"tyre": {"tyre"}, "rests": {"second"}, "deep/further": {"third"}},
            set(),
            set(),
            set(),
        ),
        ("by-change", {"alone": {"alone"}, "tyre": {"tyre"}}, set(), set(), set()),
        ("car", {}, {"wren"}, set(), set()),
        ("sheet", {}, {"wren"}, {"wren"}, set()),
        ("data", {}, set(), set(), {"runs/hill.csv"}),
        ("of-data", {"data": {"runs"}}, set(), set(), {"runs/hill.csv"}),
        ("words", {}, set(), set(), set()),
    ],
)
def test_on_what_a_page_rests_beyond_its_own_text(
    book: Book, page: str, blocks: dict[str, set[str]], cars: set[str], sheets: set[str], data: set[str]
) -> None:
    found = grounds_of(book, page)
    assert (found.blocks, found.cars, found.sheets, found.data) == (blocks, cars, sheets, data)


def test_the_hashes_of_a_page(book: Book) -> None:
    """A line for each block, its own first, and one for all of it; a page that computes nothing has none."""
    lines = hash_lines(book, "deep/further")
    assert [line.split("  ")[-1].strip() for line in lines] == [
        "block", "deep/further#third", "rests#second", "tyre#tyre", "deep/further, all of it",
    ]  # fmt: skip
    assert lines[0].split() == ["inputs", "calculator", "data", "block"]
    assert lines[-1].split()[0] == input_hash(book, "deep/further")
    assert all(len(word) == 16 for word in lines[1].split()[:2])
    assert hash_lines(book, "by-figure") == hash_lines(book, "words") == []
    assert input_hash(book, "words") == ""
    assert [block.id for block, _ in computed_blocks(book, "tyre")] == ["tyre"]
    assert computed_blocks(book, "words") == []


def test_the_hash_of_all_changes_with_what_a_page_rests_on(book: Book) -> None:
    before = {page: input_hash(book, page) for page in ("tyre", "rests", "deep/further", "alone")}
    changed = book.with_page("tyre", gears("tyre", "1.9 m"))
    after = {page: input_hash(changed, page) for page in before}
    assert {page for page in before if before[page] != after[page]} == {"tyre", "rests", "deep/further"}


def test_what_a_page_brings_in_bears_on_it(tmp_path: Path) -> None:
    """A file outside of the pages that the snippets extension puts into one of them."""
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "words.txt").write_text("Words of a part.\n")
    (tmp_path / "mkdocs.yml").write_text(
        "site_name: A\ndocs_dir: content\nmarkdown_extensions:\n  - pymdownx.snippets: {base_path: [parts]}\n"
    )
    write_site(tmp_path, {"a.md": '# A\n\n--8<-- "words.txt"\n', "b.md": "# B\n"})
    book = Book.open(root=tmp_path)
    assert affected_pages(book, {(tmp_path / "parts" / "words.txt").resolve()}) == ["a"]
    assert affected_pages(book, {(tmp_path / "parts" / "other.txt").resolve()}) == []
