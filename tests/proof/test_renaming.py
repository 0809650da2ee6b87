"""Where a name is written: each place follows a renaming, and whatever only looks like it stays."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.diagnostics import Refused
from buildlog.proof.renaming import (
    Renaming,
    read_renaming,
    renamed_in_known,
    renamed_in_settings,
    renamed_record,
    renamed_texts,
)
from buildlog.reading.record import Record
from tests.samples import GEARING, calc, open_site

RINGS = """
id: disc
kind: flywheel
inputs:
  rev_limit: 8000 rpm
  bore: 60 mm
  poisson_ratio: 0.3
  rings:
    - {name: outer rim, outer_diameter: 270 mm, inner_diameter: 210 mm, width: 11 mm, density: 7850 kg/m³}
    - {name: hub, outer_diameter: 210 mm, inner_diameter: 60 mm, width: 12 mm, density: 7850 kg/m³}
"""
PAGES = {
    "car/axle.md": "# Axle\n\n{}\n\n" + GEARING + calc(RINGS),
    "other.md": "# Other\n\n{}\n",
}


def renamed(folder: Path, old: str, new: str, here: str = "", there: str = "") -> dict[str, str]:
    """The texts of both pages after a renaming, less what the pages have besides; by their new paths."""
    pages: dict[str, str | bytes] = {
        "car/axle.md": PAGES["car/axle.md"].replace("{}", here),
        "other.md": PAGES["other.md"].replace("{}", there),
    }
    book = open_site(folder, pages)
    changes = renamed_texts(book, read_renaming(book, old, new))
    assert all(change.before == pages[change.path] for change in changes)
    after = {change.new_path: change.after for change in changes}
    return after


def one_line(folder: Path, old: str, new: str, line: str, page: str = "car/axle.md") -> str:
    """What becomes of a line of a page."""
    lines = {"here": line} if page == "car/axle.md" else {"there": line}
    return renamed(folder, old, new, **lines).get(page, f"\n\n{line}\n").split("\n\n")[1].rstrip("\n")


# --- addresses --------------------------------------------------


@pytest.mark.parametrize(
    ("line", "after"),
    [
        ("[1](calc:shorter-final.after.overall_ratio.5)", "[1](calc:ratio.after.overall_ratio.5)"),
        ("[1](<calc:shorter-final.after.overall_ratio.5>)", "[1](<calc:ratio.after.overall_ratio.5>)"),
        ("[1](calc:car/axle#shorter-final.after)", "[1](calc:car/axle#ratio.after)"),
        ("[1](calc:car/axle.md#shorter-final.after)", "[1](calc:car/axle.md#ratio.after)"),
        ("[1](calc:other#shorter-final.after)", None),
        ("[1](calc:shorter-finale.after)", None),
        ("[1](calc:disc.shorter-final)", None),
        ("see calc:shorter-final.", "see calc:ratio."),
        ("see calc:shorter-final, or calc:shorter-final!", "see calc:ratio, or calc:ratio!"),
        ("a re-calc:shorter-final is none", None),
        ("recalc:shorter-final is none", None),
        ('[1](calc:disc.mass "vs shorter-final.after")', '[1](calc:disc.mass "vs ratio.after")'),
        ('[1](calc:disc.mass "± 1; vs  shorter-final.after ; in kg")',
         '[1](calc:disc.mass "± 1; vs  ratio.after ; in kg")'),
        ("[1](calc:disc.mass 'vs calc:shorter-final.after')", "[1](calc:disc.mass 'vs calc:ratio.after')"),
        ("[r]: calc:shorter-final.after.overall_ratio.5", "[r]: calc:ratio.after.overall_ratio.5"),
    ],
)  # fmt: skip
def test_addresses_of_a_block(tmp_path: Path, line: str, after: str | None) -> None:
    assert one_line(tmp_path, "car/axle#shorter-final", "ratio", line) == (after or line)


@pytest.mark.parametrize(
    ("line", "after"),
    [
        ("[1](calc:car/axle#shorter-final.after)", "[1](calc:car/axle#ratio.after)"),
        ("[1](calc:shorter-final.after)", None),  # of this page, which has none
        ('[1](calc:car/axle#disc.ring_mass.hub "vs car/axle#shorter-final.after")',
         '[1](calc:car/axle#disc.ring_mass.hub "vs car/axle#ratio.after")'),
    ],
)  # fmt: skip
def test_addresses_of_a_block_on_another_page(tmp_path: Path, line: str, after: str | None) -> None:
    assert one_line(tmp_path, "car/axle#shorter-final", "ratio", line, "other.md") == (after or line)


@pytest.mark.parametrize(
    ("line", "after"),
    [
        ("[1](calc:shorter-final.after.overall_ratio.5)", "[1](calc:shorter-final.new.overall_ratio.5)"),
        ("[1](calc:shorter-final.after)", "[1](calc:shorter-final.new)"),
        ("[1](calc:shorter-final.before.overall_ratio.5)", None),
        ("[1](calc:shorter-final.rpm_at.after)", None),
        ("[1](calc:disc.after)", None),
        ('[1](calc:shorter-final.before.mass "vs after")', '[1](calc:shorter-final.before.mass "vs new")'),
        ('[1](calc:disc.mass "vs after")', None),
        ('[1](calc:car/axle#shorter-final.before.mass "vs after")',
         '[1](calc:car/axle#shorter-final.before.mass "vs new")'),
        ('[1](calc:shorter-final.before.mass "in after; vs after")',
         '[1](calc:shorter-final.before.mass "in after; vs new")'),
    ],
)  # fmt: skip
def test_addresses_of_a_case(tmp_path: Path, line: str, after: str | None) -> None:
    assert one_line(tmp_path, "car/axle#shorter-final.after", "new", line) == (after or line)


@pytest.mark.parametrize(
    ("line", "after"),
    [
        ("[1](calc:disc.ring_mass.hub)", "[1](calc:disc.ring_mass.boss)"),
        ("[1](calc:disc.ring_mass.hub-ring)", None),
        ("[1](calc:disc.hub)", None),  # in place of a quantity
        ("[1](calc:shorter-final.ring_mass.hub)", None),
        ("[1](calc:disc.ring_mass.a.hub.b)", "[1](calc:disc.ring_mass.a.boss.b)"),
    ],
)
def test_addresses_of_a_row(tmp_path: Path, line: str, after: str | None) -> None:
    assert one_line(tmp_path, "car/axle#disc.hub", "boss", line) == (after or line)


@pytest.mark.parametrize(
    ("page", "line", "after"),
    [
        ("other.md", "[1](calc:car/axle#disc.mass)", "[1](calc:wheel#disc.mass)"),
        ("other.md", "[1](calc:car/axle.md#disc.mass)", "[1](calc:wheel.md#disc.mass)"),
        ("other.md", "[1](calc:axle#disc.mass)", None),
        ("other.md", "[1](calc:car/axle.mass)", None),
        ("other.md", "[a](car/axle.md), [b](<car/axle.md#x>)", "[a](wheel.md), [b](<wheel.md#x>)"),
        ("other.md", '<a href="car/axle.md">a</a>', '<a href="wheel.md">a</a>'),
        ("other.md", "[a](/car/axle.md), [b](https://car/axle.md), [c](mailto:car/axle.md)", None),
        ("other.md", "[a](car/axles.md) car/axle.md", None),
        ("other.md", "[a]: car/axle.md", "[a]: wheel.md"),
        ("other.md", "[a](./car/../car/axle.md)", "[a](wheel.md)"),
    ],
)
def test_addresses_of_a_page_and_links_to_it(tmp_path: Path, page: str, line: str, after: str | None) -> None:
    assert one_line(tmp_path, "car/axle", "wheel", line, page) == (after or line)


@pytest.mark.parametrize(
    ("new", "line", "after"),
    [
        ("wheel", "[a](../other.md) ![b](b.png) [c](axle.md#x)",
         "[a](other.md) ![b](car/b.png) [c](wheel.md#x)"),
        ("car/wheel", "[a](../other.md) ![b](b.png) [c](axle.md)",
         "[a](../other.md) ![b](b.png) [c](wheel.md)"),
        ("a/b/wheel", "[a](../other.md) [c](#here)", "[a](../../other.md) [c](#here)"),
        ("wheel", "[1](calc:car/axle#disc.mass) [2](calc:disc.mass)",
         "[1](calc:wheel#disc.mass) [2](calc:disc.mass)"),
    ],
)  # fmt: skip
def test_a_page_takes_its_own_links_along(tmp_path: Path, new: str, line: str, after: str) -> None:
    assert renamed(tmp_path, "car/axle.md", new, here=line)[f"{new}.md"].split("\n\n")[1] == after


# --- where the name itself stands -------------------------------


def block_after(folder: Path, body: str, old: str, new: str, front: str = "") -> str:
    """A page with a block, after a renaming."""
    book = open_site(folder, {"a.md": f"{front}# A\n\n{calc(body)}"})
    (change,) = renamed_texts(book, read_renaming(book, old, new))
    return change.after


def test_a_block_goes_by_its_id_and_by_nothing_else_of_that_name(tmp_path: Path) -> None:
    body = RINGS.replace("name: hub", "name: disc")
    after = block_after(tmp_path, body, "a#disc", "plate")
    assert after.count("id: plate") == 1
    assert "name: disc" in after
    assert "id: 'plate'" in block_after(tmp_path, RINGS.replace("id: disc", "id: 'disc'"), "a#disc", "plate")


def test_a_row_is_renamed_wherever_its_block_names_it(tmp_path: Path) -> None:
    """In its list, in what is swept, in what a search is for and in what was foretold."""
    body = (
        RINGS
        + """sweep: rev_limit from 6000 rpm to 8000 rpm by 500 rpm
of: [ring_mass.outer-rim, ring_mass.hub]
predicts:
  ring_mass.outer-rim: calc:b#c.d
"""
    )
    after = block_after(tmp_path, body, "a#disc.outer rim", "new ring")
    assert "{name: new ring, outer" in after
    assert "of: [ring_mass.new-ring, ring_mass.hub]" in after
    assert "ring_mass.new-ring: calc:b#c.d" in after
    goal = RINGS + "find: rev_limit\nso_that: {ring_mass.outer-rim: 2 kg}\nbetween: [6000 rpm, 8000 rpm]\n"
    assert "so_that: {ring_mass.new-ring: 2 kg}" in block_after(
        tmp_path, goal, "a#disc.outer-rim", "new ring"
    )
    assert "outer-rim" not in after


def test_a_case_is_renamed_where_it_is_declared_and_foretold(tmp_path: Path) -> None:
    cases = "cases:\n  old: {bore: 60 mm}\n  hub: {bore: 61 mm}\n"
    body = f"{RINGS}{cases}predicts:\n  old.mass: calc:b#c.d\n  mass: calc:b#c.old\n"
    after = block_after(tmp_path, body, "a#disc.old", "first")
    assert "  first: {bore: 60 mm}\n  hub: {bore" in after
    assert "  first.mass: calc:b#c.d\n  mass: calc:b#c.old" in after


def test_a_bill_that_was_fitted_follows(tmp_path: Path) -> None:
    front = "---\nbuildlog:\n  bill: [disc, other, disc.old]\n---\n"
    body = RINGS + "cases: {old: {bore: 60 mm}, new: {bore: 61 mm}}\n"
    assert "bill: [plate, other, plate.old]" in block_after(tmp_path, body, "a#disc", "plate", front)
    assert "bill: [disc, other, disc.first]" in block_after(tmp_path, body, "a#disc.old", "first", front)
    single = front.replace("[disc, other, disc.old]", "disc")
    assert "bill: plate" in block_after(tmp_path, body, "a#disc", "plate", single)


# --- what is meant ----------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "found", "expected"),
    [
        ("a#disc.hub", "x", "“hub” is a case and a row of disc", "one of them"),
        ("a#disc.none", "x", "disc has no case and no row “none”", "a case or a row"),
        ("a#disc.outer-rim", "hub", "“hub” is no new name for a row", "a name that no row has"),
        ("a#disc.outer-rim", "a\nb", "“a\nb” is no new name for a row", "a name that no row has"),
        ("a#disc.old", "a b", "“a b” is no name", "a name of letters, digits, - and _"),
        ("a#disc.old", "hub", "“hub” is there already", "a name that is free"),
        ("a#disc", "A", "“A” is no name", "a name of a–z, 0–9 and -"),
        ("a", "a", "“a” is there already", "a name that is free"),
        ("b", "c", "there is no page “b”", "a page"),
        ("a#disk", "c", "there is no block “disk” on a", "a block"),
    ],
)
def test_what_cannot_be_meant(tmp_path: Path, old: str, new: str, found: str, expected: str) -> None:
    body = RINGS + "cases: {old: {bore: 60 mm}, hub: {bore: 61 mm}}\n"
    book = open_site(tmp_path, {"a.md": f"# A\n\n{calc(body)}"})
    with pytest.raises(Refused) as refused:
        read_renaming(book, old, new)
    assert (refused.value.found, refused.value.expected) == (found, expected)


def test_a_new_name_may_be_an_address(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.md": f"# A\n\n{calc(RINGS)}"})
    assert read_renaming(book, "a#disc", "a#plate").new == "plate"
    row = read_renaming(book, "a#disc.hub", "a#disc.new boss")
    assert (row.kind, row.old, row.new, row.old_words, row.words) == (
        "row",
        "hub",
        "new-boss",
        "hub",
        "new boss",
    )
    page = read_renaming(book, "a.md", "b.md")
    assert (page.kind, page.old, page.new) == ("page", "a", "b")


def test_the_way_back_is_on_the_site_as_it_has_become() -> None:
    def of(kind: str, old: str, new: str) -> Renaming:
        return Renaming(
            kind=kind,
            page="a",
            block="disc",
            old=old,
            new=new,
            old_words=f"{old} words",
            words=f"{new} words",
        )

    for kind, page, block in (
        ("page", "b", "disc"),
        ("block", "a", "b"),
        ("case", "a", "disc"),
        ("row", "a", "disc"),
    ):
        back = of(kind, "a", "b").back
        assert (back.kind, back.page, back.block) == (kind, page, block)
        assert (back.old, back.new, back.old_words, back.words) == ("b", "a", "b words", "a words")


# --- settings, known findings, the record -----------------------


def test_settings_name_pages_by_their_files(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"car/axle.md": calc(RINGS)})
    nav = "nav: [car/axle.md, other/car/axle.md, car/axle.mdx, 'x-car/axle.md', car/axle]"
    page = read_renaming(book, "car/axle", "wheel")
    assert renamed_in_settings(nav, book, page) == nav.replace("[car/axle.md,", "[wheel.md,")
    block = read_renaming(book, "car/axle#disc", "plate")
    assert renamed_in_settings(nav, book, block) == nav


def test_known_findings_go_by_page_and_figure(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"car/axle.md": calc(RINGS), "b.md": "# B\n"})
    known = (
        '"content/car/axle.md":\n  loose-figure:\n    - "[9](calc:disc.mass)"\n'
        'content/b.md:\n  loose-figure:\n    - "[9](calc:disc.mass)"\n    - "[9](calc:car/axle#disc.mass)"\n'
    )
    assert renamed_in_known(known, book, read_renaming(book, "car/axle", "wheel")) == known.replace(
        "content/car/axle.md", "content/wheel.md"
    ).replace("calc:car/axle#", "calc:wheel#")
    plate = renamed_in_known(known, book, read_renaming(book, "car/axle#disc", "plate"))
    assert plate == known.replace("(calc:disc", "(calc:plate", 1).replace("axle#disc", "axle#plate")


def test_the_record_has_the_new_names() -> None:
    def renamed_by(kind: str, page: str, block: str, old: str, new: str) -> Record:
        record = Record(
            blocks={("a", "disc"): ("h1", "h2"), ("b", "disc"): ("h3", "h4")},  # type: ignore[dict-item]
            values={("a", "disc", "old", "mass", "hub"): 1.0, ("b", "disc", "old", "mass", "hub"): 2.0},
        )
        one = Renaming(kind=kind, page=page, block=block, old=old, new=new, old_words=old, words=new)
        return renamed_record(record, one)

    other = ("b", "disc", "old", "mass", "hub")
    for arguments, block, value in (
        (("page", "a", "", "a", "c"), ("c", "disc"), ("c", "disc", "old", "mass", "hub")),
        (("block", "a", "disc", "disc", "plate"), ("a", "plate"), ("a", "plate", "old", "mass", "hub")),
        (("case", "a", "disc", "old", "new"), ("a", "disc"), ("a", "disc", "new", "mass", "hub")),
        (("row", "a", "disc", "hub", "boss"), ("a", "disc"), ("a", "disc", "old", "mass", "boss")),
        (("case", "a", "disc", "hub", "boss"), ("a", "disc"), ("a", "disc", "old", "mass", "hub")),
    ):
        after = renamed_by(*arguments)
        assert after.values == {value: 1.0, other: 2.0}
        assert list(after.blocks) == [block, ("b", "disc")]
