"""The list of parts as readers see it, and the packs of parts that may be copied."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from hashlib import sha256
from pathlib import Path

import pytest
from ezdxf import bbox
from ezdxf.filemanagement import read

from buildlog.book.provenance import part_provenance
from buildlog.built.files import linked_files, pack_of, site_files
from buildlog.diagnostics import Refused
from buildlog.patterns.identity import origin_of, read_origin
from buildlog.proof.overview import Overview
from buildlog.proof.part_findings import file_digest
from buildlog.render.bundle import cut_down_part
from buildlog.render.card import render_card
from buildlog.render.lists import render_list
from buildlog.render.parts import pack_path
from buildlog.render.pattern import pattern_files
from buildlog.render.pieces import LinkPiece
from buildlog.render.sheet import workshop_sheet
from tests.parsed_html import Tag, parse
from tests.parts import BOX_A, BOX_B, SITE, with_part
from tests.render.test_lists import draw
from tests.samples import calc, open_site
from tests.systems import link

HOSTILE = "<script>alert('x')</script>&amp;**{{ 7 }}"
Files = dict[str, str | bytes]


def href(link: LinkPiece) -> str:
    return f"{link.file or link.page or ''}#{link.anchor}"


def shown(folder: Path, files: Files = SITE, published: tuple[str, ...] = ()) -> Tag:
    overview = Overview(open_site(folder, files))
    return parse(render_list("parts", overview, draw, published=published).html(href))


def pack(folder: Path, files: Files = SITE, name: str = "box-b") -> dict[str, bytes]:
    made = pack_of(open_site(folder, files), name, lambda path: True)
    assert made is not None
    with zipfile.ZipFile(io.BytesIO(made)) as packed:
        assert {one.date_time for one in packed.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert packed.namelist() == sorted(packed.namelist())
        return {one: packed.read(one) for one in packed.namelist()}


# --- the list ---------------------------------------------------------------------------------------


def test_what_is_on_what_is_off_and_the_way_back(tmp_path: Path) -> None:
    tree = shown(tmp_path, published=("second-sheet.html", pack_path("box-b")))
    on, off = tree.all("table")
    assert [row.one("th").words for row in on.one("tbody").all("tr")] == ["pipe", "box"]
    assert [row.all("td")[1].words for row in off.one("tbody").all("tr")] == [
        "shelf 4",
        "cannot be fitted any more: thrown away",
        "shelf 3",
    ]
    assert "As of 2024-05-04" in tree.words
    back = tree.one("ol")
    assert "Comes off: box BR-1, revision B" in back.words
    assert "Goes back: old box 10-1, lies: shelf 3" in back.words
    assert "Eight rivets." in back.words
    assert "Can be put back in part" in back.words
    assert "Cannot be brought back as it was: old pipe (thrown away)" in tree.words
    links = [one.attributes["href"] for one in tree.all("a")]
    assert "second-sheet.html#undo" in links
    assert f"{pack_path('box-b')}#" in links
    ids = {one.attributes["id"] for one in tree.all("div") if "id" in one.attributes}
    assert {f"part.{name}" for name in ("box-a", "box-b", "old-box", "old-pipe", "pipe")} == ids
    assert {link[1:] for link in links if link.startswith("#part.")} <= ids


def test_a_sheet_and_a_pack_that_are_not_published_are_not_led_to(tmp_path: Path) -> None:
    links = [one.attributes["href"] for one in shown(tmp_path).all("a")]
    assert not [one for one in links if ".zip" in one or "sheet" in one]


def test_a_part_that_nobody_says_where_it_lies_says_so(tmp_path: Path) -> None:
    text = str(SITE["parts/old-box.yml"]).replace(', lies: "shelf 3"', "")
    assert "nobody has said where it lies" in shown(tmp_path, with_part("old-box", text)).one("ol").words


def test_a_site_without_parts_says_so(tmp_path: Path) -> None:
    assert shown(tmp_path, {"index.md": "# A\n"}).words == "This site has no files of parts."


@pytest.mark.parametrize("key", ["name", "about", "number", "revision", "supplier", "licence"])
def test_authors_texts_are_text(tmp_path: Path, key: str) -> None:
    text = re.sub(rf"^{key}: .*\n", "", BOX_A, flags=re.M) + f'{key}: "{HOSTILE}"\n'
    text += "" if key != "licence" else "copying: ask\n"
    tree = shown(tmp_path, with_part("box-a", text))
    assert tree.all("script") == []
    assert HOSTILE in tree.words


@pytest.mark.parametrize("key", ["lies", "why"])
def test_texts_of_a_history_are_text(tmp_path: Path, key: str) -> None:
    text = re.sub(
        r'"(shelf 4|thrown away)"',
        f'"{HOSTILE}"',
        BOX_A if key == "lies" else str(SITE["parts/old-pipe.yml"]),
    )
    tree = shown(tmp_path, with_part("box-a" if key == "lies" else "old-pipe", text))
    assert tree.all("script") == []
    assert HOSTILE in tree.words


def test_cards_and_figures_lead_to_the_entry(tmp_path: Path) -> None:
    book = open_site(tmp_path, SITE)
    card = parse(render_card(book.results["box", "bill"], draw=draw, parts_page=book.parts_page).html(href))
    links = [one.attributes["href"] for one in card.all("a") if "part." in one.attributes["href"]]
    assert links == ["parts#part.box-a", "parts#part.old-box"]
    drawn = parse(
        render_card(book.results["second", "side"], draw=draw, parts_page=book.parts_page).html(href)
    )
    assert "parts#part.box-b" in [one.attributes["href"] for one in drawn.all("a")]
    without = parse(render_card(book.results["box", "bill"], draw=draw).html(href))
    assert not [one for one in without.all("a") if "part." in one.attributes["href"]]


def test_an_input_that_is_of_a_cars_sheet_leads_to_no_card(tmp_path: Path) -> None:
    block = calc(
        """
        id: axle
        kind: gearing
        inputs:
          gears: [2.1, 1.4]
          final_drive: calc:cars/test.final_drive
          rolling_circumference: 1.8 m
          rev_limit: 7000 rpm
        """
    )
    sheet = "name: Test\ninputs: {final_drive: 41/9}\n"
    book = open_site(tmp_path, {"a.md": block, "cars/test.yml": sheet})
    html = render_card(book.results["a", "axle"], draw=draw).html(href)
    assert "calc-cars" not in html
    assert "the car’s sheet, test" in parse(html).words


def test_the_workshop_sheet_names_parts_by_number_in_its_bills(tmp_path: Path) -> None:
    sheet = parse(workshop_sheet(open_site(tmp_path, SITE), "second"))
    fitted, removed = (one.one("li").one("small").words for one in sheet.all("ul", "ticks")[:2])
    assert (fitted, removed) == ("BR-1, revision B", "BR-1, revision A, shelf 4")
    assert "Parts by their numbers" not in sheet.words


def test_the_workshop_sheet_names_parts_that_no_bill_lists(tmp_path: Path) -> None:
    second = (
        str(SITE["second.md"])
        .replace("part: box-b, price", "price")
        .replace(", part: box-a,", ", mass: 1 kg,")
    )
    sheet = parse(workshop_sheet(open_site(tmp_path, {**SITE, "second.md": second}), "second"))
    assert "Parts by their numbers" in sheet.words
    rows = [[cell.words for cell in row.all("td")] for row in sheet.all("table")[0].one("tbody").all("tr")]
    assert rows == [["BR-1, revision B", "goes on", ""], ["BR-1, revision A", "comes off", "shelf 4"]]


def test_other_parts_elsewhere_change_no_other_page(tmp_path: Path) -> None:
    """Regression: the order of files and a thousand more parts leave an entry what it is."""
    first = shown(tmp_path)
    more: Files = {f"parts/x{number}.yml": "name: x\nstandard: no\n" for number in range(50)}
    (tmp_path / "more").mkdir()
    second = shown(tmp_path / "more", {**SITE, **more})
    for tree in (first, second):
        assert [one.words for one in tree.all("div") if one.attributes.get("id") == "part.box-b"]
    one, two = (
        next(div.words for div in tree.all("div") if div.attributes.get("id") == "part.box-b")
        for tree in (first, second)
    )
    assert one == two


# --- packs ------------------------------------------------------------------------------------------


def test_what_is_in_a_pack(tmp_path: Path) -> None:
    files = pack(tmp_path)
    assert sorted(files) == [
        "LICENCE.txt",
        "README.md",
        "bill.csv",
        "part.yml",
        "patterns/side-A4.pdf",
        "patterns/side-Letter.pdf",
        "patterns/side.dxf",
        "patterns/side.svg",
        "steps.html",
        "steps.txt",
    ]
    assert files["part.yml"].decode() == BOX_B
    assert files["LICENCE.txt"] == b"May be copied.\n"
    assert "1. Fold it.\n   - Check: it is square." in files["steps.txt"].decode()
    rows = list(csv.DictReader(io.StringIO(files["bill.csv"].decode())))
    assert [(row["name"], row["mass [kg]"], row["price [EUR]"], row["part"]) for row in rows] == [
        ("box", "1.03", "31", "box-b"),
        ("first box", "0.98", "", "box-a"),
    ]


def test_the_readme_has_the_digest_of_every_file_and_of_the_drawing(tmp_path: Path) -> None:
    files = pack(tmp_path)
    readme = files["README.md"].decode()
    listed = dict(re.findall(r"^- `(\S+)`  ([0-9a-f]{64})$", readme, re.M))
    assert listed == {
        name: sha256(content).hexdigest() for name, content in files.items() if name != "README.md"
    }
    block = open_site(tmp_path, SITE).results["second", "side"]
    digest = origin_of(block, block.patterns[0]).digest
    assert f"drawing {digest}" in readme
    for name in ("patterns/side.svg", "patterns/side.dxf"):
        line = next(line for line in files[name].decode().splitlines() if "buildlog_pattern" in line)
        origin = read_origin(line)
        assert origin is not None
        assert origin.digest == digest


def test_the_pattern_in_a_pack_is_the_pages_own_and_measures_what_its_block_says(tmp_path: Path) -> None:
    files = pack(tmp_path)
    block = open_site(tmp_path, SITE).results["second", "side"]
    made = {path.rpartition("/")[2]: content for path, content in pattern_files(block).items()}
    assert {f"patterns/{name}": content for name, content in made.items()} == {
        name: content for name, content in files.items() if name.startswith("patterns/")
    }
    drawing = read(io.StringIO(files["patterns/side.dxf"].decode("latin-1")))
    size = bbox.extents(drawing.modelspace().query("*[layer=='CUT']")).size
    length = block.value("", "flat_length").si * 1000  # type: ignore[union-attr]
    # In millimetres; the width is what the block was given.
    assert sorted((size.x, size.y)) == pytest.approx(sorted((length, 60)), abs=0.01)


def test_the_same_site_makes_the_same_pack(tmp_path: Path) -> None:
    (tmp_path / "again").mkdir()
    packs = [
        pack_of(open_site(folder, SITE), "box-b", lambda path: True)
        for folder in (tmp_path, tmp_path / "again")
    ]
    assert packs[0] == packs[1]


@pytest.mark.parametrize("copying", ["ask", "no", ""])
def test_a_part_that_must_not_be_copied_has_none(tmp_path: Path, copying: str) -> None:
    text = BOX_B.replace("copying: allowed\n", f"copying: {copying}\n" if copying else "")
    text = text if copying else re.sub("^licence.*\n", "", text, flags=re.M)
    assert pack_of(open_site(tmp_path, with_part("box-b", text)), "box-b", lambda path: True) is None


def test_a_part_whose_licence_has_no_text_has_its_name(tmp_path: Path) -> None:
    files = pack(tmp_path, with_part("box-b", BOX_B.replace("licence_text: parts/licence.txt\n", "")))
    assert "LICENCE.txt" not in files
    assert "**CC BY 4.0**; look its text up" in files["README.md"].decode()


@pytest.mark.parametrize("hidden", ["second.md", "parts/box-b.yml", "parts/licence.txt"])
def test_what_the_site_does_not_publish_goes_into_no_pack(tmp_path: Path, hidden: str) -> None:
    told: list[Refused] = []
    made = pack_of(open_site(tmp_path, SITE), "box-b", lambda path: path != hidden, told.append)
    assert made is None
    assert [one.found for one in told] == [f"“{hidden}”"]


@pytest.mark.parametrize(
    "way", ["../outside.txt", "/etc/hostname", "parts/link.txt", "parts/../../outside.txt"]
)
def test_nothing_outside_of_the_folder_gets_in(tmp_path: Path, way: str) -> None:
    (tmp_path / "outside.txt").write_text("secret")
    book = open_site(tmp_path, with_part("box-b", BOX_B.replace("parts/licence.txt", way)))
    link(tmp_path / "content/parts/link.txt", "../../outside.txt")
    assert pack_of(book, "box-b", lambda path: True) is None
    drawn = BOX_B.replace("{of: second#side}", way)
    book = open_site(tmp_path, with_part("box-b", drawn))
    assert pack_of(book, "box-b", lambda path: True) is None


def drawn(*names: str) -> Files:
    """The site, its box shown by these."""
    shown_by = ", ".join(f'"{name}"' for name in names)
    return with_part("box-b", BOX_B.replace("{of: second#side}", f"[{shown_by}]"))


def refusal(folder: Path, files: Files) -> str:
    told: list[Refused] = []
    assert pack_of(open_site(folder, files), "box-b", lambda path: True, told.append) is None
    (one,) = told
    return f"{one.found}: {one.expected}"


def test_a_file_that_is_too_large_goes_into_no_pack_by_half(tmp_path: Path) -> None:
    """And its digest is that of all of it."""
    large = b"x" * (4 * 1024**2 + 7)
    for files in ({**drawn("side.step"), "side.step": large}, {**SITE, "parts/licence.txt": large}):
        assert "at most 4 MiB" in refusal(tmp_path, files)
    book = open_site(tmp_path, {**SITE, "side.step": large})
    assert file_digest(book, "side.step") == sha256(large).hexdigest()[:12]
    assert "drawings/side.step" in pack(tmp_path, {**drawn("side.step"), "side.step": large[:-7]})


@pytest.mark.parametrize("names", [("side.dxf", "Side.DXF"), ("\xe9.dxf", "e\u0301.dxf")])
def test_two_names_that_are_one_elsewhere_make_no_pack(tmp_path: Path, names: tuple[str, str]) -> None:
    content = open_site(tmp_path, SITE).content
    for number, name in enumerate(names):
        (content / name).write_bytes(b"%d" % number)
    if (content / names[0]).read_bytes() != b"0":
        pytest.skip("this system takes the two names for one")
    assert "two on every system" in refusal(tmp_path, drawn(*names))


def test_blocks_of_one_name_on_two_pages_are_both_in_the_pack(tmp_path: Path) -> None:
    wider = str(SITE["second.md"]).replace("width: 60 mm", "width: 70 mm").replace("part: box-b\n", "", 1)
    files = pack(tmp_path, {**drawn("second#side", "third#side"), "third.md": wider})
    first, second = files["patterns/second/side.dxf"], files["patterns/third/side.dxf"]
    assert first != second
    assert b"patterns/third/side`: drawing" in files["README.md"]


def test_a_name_in_the_readme_is_no_markdown(tmp_path: Path) -> None:
    text = BOX_B.replace("name: box", 'name: "[x](http://a) `b` <i>"')
    assert r"# \[x\](http://a) \`b\` \<i\>" in pack(tmp_path, with_part("box-b", text))["README.md"].decode()


def test_the_files_of_a_site_have_the_packs_beside_the_list(tmp_path: Path) -> None:
    overview = Overview(open_site(tmp_path, SITE))
    made = site_files(overview, overview.book.pages, lambda path: True, lambda key: ("", ""))
    assert [path for path in made if path.endswith("box-b.zip")] == [pack_path("box-b")]
    assert list(linked_files(overview.book, "parts", lambda path: True)) == [pack_path("box-b")]


def test_in_a_bundle_a_part_is_what_figures_rest_on_and_nothing_more(tmp_path: Path) -> None:
    cut = cut_down_part(BOX_B)
    assert cut.splitlines()[:5] == BOX_B.splitlines()[:5]
    assert not [word for word in ("history", "second", "box-a", "licence", "copying") if word in cut]
    book, again = open_site(tmp_path, SITE), open_site(tmp_path, with_part("box-b", cut))
    assert again.parts["box-b"].faults == ()
    assert part_provenance(again, "box-b") == part_provenance(book, "box-b")
    assert cut_down_part("{name: a, standard: no}\n") == "{name: a, standard: no}\n"
