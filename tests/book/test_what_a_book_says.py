"""What a book says of its files, pages and blocks: two files of one page, long loops, blocks that are not
there, how far the reading is, which data a block has read, and one page with another text.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.diagnostics import Refused
from buildlog.kinds.results import Value
from buildlog.reading.addresses import read_address
from tests.samples import GEARING, calc, open_site, write_site

GEARS = "inputs: {gears: [2.0, 1.0], final_drive: 4, rev_limit: 6000 rpm, rolling_circumference: {} }"


def gears(name: str, circumference: str = "1.8 m") -> str:
    return calc(f"id: {name}\nkind: gearing\n" + GEARS.replace("{}", circumference, 1))


def speed(book: Book, page: str, block: str) -> float:
    """In second gear at the limit, m/s: n U / i."""
    result = book.result(page, block)
    assert result is not None
    value = result.value("", "speed_at_limit", "2")
    assert isinstance(value, Value)
    return value.si


def test_two_files_of_one_page(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"notes.markdown": "# A", "notes.md": "# B", "other.md": "# C"})
    (fault,) = book.faults
    assert (fault.code.name, fault.expected, fault.second_label) == (
        "same-page-twice",
        "one file",
        "the other one",
    )
    assert fault.second is not None
    ends = {Path(fault.position.path).name, Path(fault.second.path).name}
    assert ends == {"notes.md", "notes.markdown"}
    assert fault.found == f"{Path(fault.position.path).name} beside {Path(fault.second.path).name}"
    assert sorted(book.pages) == ["notes", "other"]


@pytest.mark.parametrize(
    ("many", "found"),
    [
        (1, "a#b0 → a#b0"),
        (2, "a#b0 → a#b1 → a#b0"),
        (12, " → ".join(f"a#b{number}" for number in [*range(12), 0])),
        (13, " → ".join([*(f"a#b{number}" for number in range(11)), "1 more", "a#b12", "a#b0"])),
        (40, " → ".join([*(f"a#b{number}" for number in range(11)), "28 more", "a#b39", "a#b0"])),
    ],
)
def test_a_loop_of_many_blocks_is_told_by_its_first_and_last(tmp_path: Path, many: int, found: str) -> None:
    blocks = "\n".join(
        gears(f"b{number}", f"calc:b{(number + 1) % many}.rolling_circumference") for number in range(many)
    )
    book = open_site(tmp_path, {"a.md": blocks})
    for number in range(many):
        result = book.result("a", f"b{number}")
        assert result is not None
        (fault,) = result.faults
        assert (fault.code.name, fault.found, fault.expected) == (
            "block-loop",
            found,
            "blocks without a loop",
        )
        assert fault.second_label == f"b{(number + 1) % many} is here"
        assert fault.position == result.position
        after = book.result("a", f"b{(number + 1) % many}")
        assert after is not None
        assert fault.second == after.position
        assert (result.title, result.kind, result.cases) == (f"b{number}", "gearing", {})


@pytest.mark.parametrize(
    ("address", "found", "expected", "help"),
    [
        (
            "calc:frist.speed_at_limit.2",
            "the block “frist”",
            "a block of a: first, second",
            "did you mean “first”?",
        ),
        (
            "calc:third.speed_at_limit.2",
            "the block “third”",
            "a block of a: first, second",
            "it is on another page: calc:b#third",
        ),
        ("calc:c#first.x", "the block “first”", "a block of c, which has none by name", None),
        ("calc:d#first.x", "the page “d”", "a page under the content folder", None),
        ("calc:cars/x.mass", "the car “x”", "a sheet in content/cars", None),
    ],
)
def test_where_a_block_that_is_not_there_may_be(
    tmp_path: Path, address: str, found: str, expected: str, help: str | None
) -> None:
    files: dict[str, str | bytes] = {
        "a.md": gears("first") + gears("second"),
        "b.md": gears("third"),
        "c.md": "# C",
    }
    book = open_site(tmp_path, files)
    with pytest.raises(Refused) as refused:
        book.target("a", read_address(address))
    assert (refused.value.found, refused.value.expected) == (found, expected)
    if help is not None:
        assert refused.value.help == help
    elif "#first" in address and "c#" in address:
        assert refused.value.help == "it is on another page: calc:a#first"


def test_how_far_the_reading_is(tmp_path: Path) -> None:
    """Pages as they are read, then blocks as they are computed, each counted from nought."""
    content = write_site(
        tmp_path, {"a.md": gears("first", "calc:b#third.rolling_circumference"), "b.md": gears("third")}
    )
    told: list[tuple[str, int, int]] = []
    Book.open(content, root=tmp_path, progress=lambda *how: told.append(how))
    assert told == [("pages", 0, 2), ("pages", 1, 2), ("blocks", 0, 2), ("blocks", 1, 2)]


def test_one_page_with_another_text(tmp_path: Path) -> None:
    """What rests on the page is computed anew, and what does not is not; the book itself stays as it was."""
    files: dict[str, str | bytes] = {
        "a.md": gears("first"),
        "b.md": gears("second", "calc:a#first.rolling_circumference"),
        "c.md": gears("third"),
    }
    book = open_site(tmp_path, files)
    changed = book.with_page("a", gears("first", "2 m"))
    assert speed(changed, "a", "first") == speed(changed, "b", "second") == pytest.approx(100 * 2 / 4)
    assert speed(book, "b", "second") == pytest.approx(100 * 1.8 / 4)
    assert changed.result("c", "third") is book.result("c", "third")
    # with the same blocks in another text nothing is computed
    again = book.with_page("a", gears("first") + "\nMore words.\n")
    assert again.results == book.results
    assert again.pages["a"].text.endswith("More words.\n")
    assert not book.pages["a"].text.endswith("More words.\n")
    # a page more
    more = book.with_page("new/d", gears("fourth", "calc:b#second.rolling_circumference"))
    assert speed(more, "new/d", "fourth") == pytest.approx(100 * 1.8 / 4)
    assert more.file_of("new/d") == "new/d.md"
    assert "new/d" not in book.pages
    # a page whose front matter a generator has taken off keeps what it said
    titled = book.with_page("a", "---\nbuildlog: {series: {name: s, part: 1}}\n---\n# A\n")
    assert titled.pages["a"].howto == titled.with_page("a", "# A\n").pages["a"].howto


def test_the_file_of_a_page(tmp_path: Path) -> None:
    """As its path under content; of a page that is not there it is the one that it would have."""
    book = open_site(tmp_path, {"one/a.markdown": "# A", "b.md": "# B"})
    assert [book.file_of(key) for key in ("one/a", "b", "two/c")] == ["one/a.markdown", "b.md", "two/c.md"]
    assert book.shown(tmp_path / "content" / "b.md") == "content/b.md"


def test_the_data_that_blocks_have_read(tmp_path: Path) -> None:
    """SHA-256 of each file, as hashlib has it, and which block has read which."""
    from hashlib import sha256

    readings = {
        name: f"condition,reading [s]\nx,{value}\nx,9.9\n" for name, value in (("one", 9.8), ("two", 9.7))
    }
    pages = calc("id: none\nkind: gearing\n" + GEARS.replace("{}", "1.8 m", 1))
    for name in ("one", "two"):
        pages += calc(f"id: {name}\nkind: measured\ninputs: {{readings: {{data: runs/{name}.csv}}}}")
    files = {f"runs/{name}.csv": text for name, text in readings.items()}
    book = open_site(tmp_path, {"a.md": pages, **files})
    assert not [fault for result in book.results.values() for fault in result.faults]
    assert book.data_used == {name: sha256(text.encode()).hexdigest() for name, text in files.items()}
    assert book.data_names == {("a", name): {f"runs/{name}.csv"} for name in ("one", "two")}
    (block,) = [one for one in book.pages["a"].blocks if one.id == "two"]
    assert book.digests_of(block) == {"runs/two.csv": sha256(readings["two"].encode()).hexdigest()}


def test_a_nameless_or_second_block_is_computed_at_its_place(tmp_path: Path) -> None:
    """Nothing can rest on it, and its page shows it all the same."""
    nameless = gears("x").replace("id: x\n", "")
    book = open_site(tmp_path, {"a.md": f"{nameless}\n{gears('first')}\n{gears('first', '2 m')}"})
    assert list(book.results) == [("a", "first")]
    assert speed(book, "a", "first") == pytest.approx(100 * 1.8 / 4)
    shown = [book.by_place[block.position] for block in book.pages["a"].blocks]
    assert [result.id for result in shown] == ["", "first", "first"]
    second = shown[2].value("", "speed_at_limit", "2")
    assert not shown[2].cases or (isinstance(second, Value) and second.si == pytest.approx(50))


def test_what_cars_are_told_when_a_block_names_none_of_them(tmp_path: Path) -> None:
    sheet = "name: One\nabout: invented\ninputs: {final_drive: 4}\n"
    block = calc("id: a\nkind: gearing\ncar: onne")
    for files, expected in (
        ({"cars/one.yml": sheet, "cars/two.yml": sheet}, "one of one, two"),
        ({}, "a sheet in content/cars"),
    ):
        folder = tmp_path / str(len(files))
        folder.mkdir()
        result = open_site(folder, {"a.md": block, **files}).result("a", "a")
        assert result is not None
        (fault,) = result.faults
        assert (fault.code.name, fault.found, fault.expected) == ("unknown-car", "“onne”", expected)
        assert fault.length == len("onne")


def test_pages_of_ours_are_those_with_something_of_ours(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.md": f"# A\n\n{GEARING}", "b.md": "# B\n", "c.md": "[4 kg](cite:x)\n"})
    assert sorted(book.keys_of_ours) == ["a", "c"]
    assert sorted(book.published) == ["a", "b", "c"]


def test_a_sheet_without_any_quantity_says_so(tmp_path: Path) -> None:
    sheet = "name: One\nabout: invented\ninputs: {final_drvie: 4}\n"
    book = open_site(tmp_path, {"a.md": "# A", "cars/one.yml": sheet})
    with pytest.raises(Refused) as refused:
        book.target("a", read_address("calc:cars/one.final_drive"))
    assert refused.value.found == "the quantity “final_drive”"
    assert refused.value.expected == "a quantity, of which cars/one has none"
    with pytest.raises(Refused) as refused:
        book.target("a", read_address("calc:cars/onne.final_drive"))
    assert (refused.value.expected, refused.value.help) == ("one of one", "did you mean “one”?")
