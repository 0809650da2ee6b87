"""Pages, lines, blocks and circles of a size that nobody writes: told, or worked through, and soon."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import markdown
import pytest

from buildlog.book.book import Book
from buildlog.files.text import LARGEST_FILE
from buildlog.page import extension
from buildlog.proof.proof import proof_book
from buildlog.reading import whole_page
from buildlog.reading.blocks import MOST_BLOCKS
from tests.attacks.proofing import proof
from tests.samples import GEARING, calc, write_site

MILLION = 1_000_000
CHEAP = (
    "id: b{at}\nkind: gearing\n"
    "inputs: {{gears: [3.1], final_drive: {drive}, tyre: 195/50R15, rev_limit: 7000 rpm}}"
)


@pytest.mark.parametrize(
    "unit",
    [
        "a",
        " ",
        "\t",
        "[",
        "](calc:a)",
        "[9 mm](cite:none) ",
        "`",
        "*",
        "<b>",
        "|",
        "> ",
        "1",
        "1,",
        "9 mm ",
        "é",
        "😀",
        "&amp;",
        "\\",
    ],
)
def test_a_line_of_a_million_signs(tmp_path: Path, unit: str) -> None:
    told = proof(tmp_path, {"a.md": (unit * MILLION)[:MILLION], "b.md": "[9 mm](cite:none)\n"})
    assert [one["path"] for one in told.of("line-too-long")] == ["content/a.md"]
    assert [one["path"] for one in told.of("unknown-source")] == ["content/b.md"]


@pytest.mark.parametrize("name", ["sources.yml", "cars/a.yml", "words/fr.yml", "run.csv", "figures.lock"])
@pytest.mark.parametrize("unit", ["a", "[", '"', "a: ", ",", "9", "'"])
def test_such_a_line_in_another_file(tmp_path: Path, name: str, unit: str) -> None:
    block = calc("id: d\nkind: parts\ninputs: {currency: EUR, parts: {data: run.csv}}")
    files = {
        "b.md": f"[9 mm](cite:none)\n\n{block}",
        "run.csv": "name\nx\n",
        name: (unit * MILLION)[:MILLION],
    }
    told = proof(tmp_path, files)
    assert told.exit_code == 1
    assert any(one["path"].endswith(name) for one in told.findings)


@pytest.mark.parametrize(
    "text", ["a" * MILLION, "9" * MILLION, "[" * MILLION, "x " * (MILLION // 2)], ids=lambda one: one[:2]
)
@pytest.mark.parametrize("key", ["id", "kind", "title", "car", "show", "predicts", "inputs"])
def test_such_a_value(tmp_path: Path, key: str, text: str) -> None:
    told = proof(tmp_path, {"a.md": f"```yaml calc\nid: a\nkind: gearing\n{key}: {text}\n```\n"})
    assert told.exit_code == 1
    assert all(len(one["found"]) < 1000 for one in told.findings)


def test_a_page_of_the_largest_size_and_one_more(tmp_path: Path) -> None:
    line = "words and words and words and words.\n"
    full = line * (LARGEST_FILE // len(line))
    told = proof(tmp_path, {"a.md": full, "b.md": full + line, "c.md": "[9 mm](cite:none)\n"})
    assert [one["path"] for one in told.of("file-too-large")] == ["content/b.md"]
    assert told.of("unknown-source")


def test_a_thousand_blocks_on_a_page(tmp_path: Path) -> None:
    blocks = "\n".join(calc(CHEAP.format(at=at, drive=f"{3 + at / 1000:.3f}")) for at in range(1000))
    told = proof(tmp_path, {"a.md": blocks + "\n[9 km/h](calc:b999.speed_at_limit.1)\n"})
    assert [one["severity"] for one in told.findings if one["severity"] == "error"] == ["error"]
    assert told.of("figure-disagrees")


def blocks_with_figures(first: int, count: int) -> str:
    return "\n".join(
        calc(CHEAP.format(at=at, drive=f"{3 + at / 1000:.3f}")) + f"\n[9 km/h](calc:b{at}.speed_at_limit.1)\n"
        for at in range(first, first + count)
    )


def test_one_block_more_than_a_page_may_have(tmp_path: Path) -> None:
    """It is told where it stands, and what rests on it follows from that; the others are computed."""
    over = calc(CHEAP.format(at="-over", drive="4.1")) + "\n[9 km/h](calc:b-over.speed_at_limit.1)\n"
    allowed = blocks_with_figures(0, MOST_BLOCKS) + "\n"
    told = proof(tmp_path, {"a.md": allowed + over + over})
    (finding,) = told.of("too-many-blocks")
    assert finding["found"] == f"{MOST_BLOCKS + 2} blocks"
    assert finding["line"] == allowed.count("\n") + 1
    assert len(told.of("figure-disagrees")) == MOST_BLOCKS
    report = proof_book(Book.open(tmp_path / "content", root=tmp_path))
    follow = [one.follows for one in report.findings if one.code.name == "unknown-address"]
    assert {one.code for one in follow if one} == {"too-many-blocks"}
    assert all(follow)
    assert not told.of("duplicate-block")


def test_the_page_alone_has_the_same_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of the blocks beyond it nothing is shown; a finding heads the page."""
    monkeypatch.setattr(whole_page, "MOST_BLOCKS", 2)
    monkeypatch.setattr(extension, "MOST_BLOCKS", 2)
    own = extension.BuildlogExtension(style=False)
    html = markdown.markdown(blocks_with_figures(0, 4), extensions=[own])
    assert [at for at in range(4) if f'id="calc-b{at}"' in html] == [0, 1]
    assert "<code>too-many-blocks</code>" in html
    assert "kind: gearing" not in html


def operations(work: Callable[[], object]) -> int:
    """How many functions are called: the same number on a busy machine and on an idle one."""
    count = 0

    def see(frame: object, event: str, argument: object) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    sys.setprofile(see)
    try:
        work()
    finally:
        sys.setprofile(None)
    return count


@pytest.mark.parametrize("place", ["proof", "page"])
def test_work_grows_as_the_number_of_blocks(place: str) -> None:
    """A fixed share, and so much a block."""

    def work(count: int) -> int:
        text = blocks_with_figures(0, count)
        if place == "page":
            own = extension.BuildlogExtension(style=False)
            return operations(lambda: markdown.markdown(text, extensions=[own]))
        with TemporaryDirectory() as folder:
            site = write_site(Path(folder), {"a.md": text})
            return operations(lambda: proof_book(Book.open(site, root=Path(folder))))

    work(1)  # what is loaded and kept is loaded now
    few, some, many = (work(count) for count in ((25, 50, 100) if place == "page" else (100, 200, 400)))
    assert many - some < 2.1 * (some - few)


def test_ten_thousand_figures_on_a_page(tmp_path: Path) -> None:
    """Told each in its place, and no more than once."""
    figures = "".join(f"[{at}.5 mm](cite:none)\n" for at in range(10_000))
    told = proof(tmp_path, {"a.md": figures})
    assert sorted(one["line"] for one in told.of("unknown-source")) == list(range(1, 10_001))


@pytest.mark.parametrize("count", [1, 2, 3, 1000])
def test_a_circle_of_blocks(tmp_path: Path, count: int) -> None:
    """None of them can be computed first; what rests on one of them is told so, and all ends."""
    pages: dict[str, str | bytes] = {}
    for at in range(count):
        drive = f"calc:p{(at + 1) % count}#b{(at + 1) % count}.overall_ratio.1"
        pages[f"p{at}.md"] = calc(CHEAP.format(at=at, drive=drive)) + f"\n[9](calc:b{at}.overall_ratio.1)\n"
    told = proof(tmp_path, pages)
    assert len(told.of("block-loop")) == count
    assert sum(len(str(one)) for one in told.findings) < 2000 * count


def test_a_chain_of_a_thousand_blocks(tmp_path: Path) -> None:
    pages: dict[str, str | bytes] = {"p0.md": calc(CHEAP.format(at=0, drive="4.1").replace("3.1]", "1.0]"))}
    for at in range(1, 1000):
        pages[f"p{at}.md"] = calc(
            CHEAP.format(at=at, drive=f"calc:p{at - 1}#b{at - 1}.overall_ratio.1").replace("3.1]", "1.0]")
        )
    pages["p999.md"] += "\n[9](calc:b999.overall_ratio.1)\n"  # type: ignore[operator]
    told = proof(tmp_path, pages)
    assert told.of("figure-disagrees")
    assert not told.of("block-loop")


def test_a_thousand_cases(tmp_path: Path) -> None:
    cases = "".join(f"  c{at}: {{final_drive: {3 + at / 1000:.3f}}}\n" for at in range(1000))
    head, _, _ = GEARING.partition("cases:")
    told = proof(tmp_path, {"a.md": f"{head}cases:\n{cases}```\n"})
    assert told.exit_code in (0, 1)


def test_each_of_many_mistakes_costs_the_same(tmp_path: Path) -> None:
    """Each is told what was perhaps meant, and is not compared with every name that there is."""
    count = 2500
    files = {
        "a.md": "".join(f"[9 mm](cite:sorces-{at})\n\n" for at in range(count)),
        "sources.yml": "".join(f"source-{at}: {{title: T}}\n" for at in range(count)),
    }
    told = proof(tmp_path, files).of("unknown-source")
    assert len(told) == count
    assert told[7]["help"].startswith("did you mean “source-7”")
    assert sum(len(str(one)) for one in told) < 2000 * count


def test_a_thousand_pages_of_one_address(tmp_path: Path) -> None:
    """Figures that all rest on what is not there are one cause, told with how many rest on it."""
    told = proof(tmp_path, {f"p{at}.md": "[9 mm](calc:none#a.b)\n" for at in range(1000)})
    assert told.exit_code == 1
