"""What the files of parts say of each other and what bills say of them: each finding, at its place."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.patterns.identity import origin_of
from buildlog.proof.proof import Report, proof_book
from tests.parts import BOX_A, BOX_B, BOX_PAGE, OLD_BOX, SECOND_PAGE, SITE, with_part
from tests.samples import calc, open_site, write_site
from tests.systems import link

Files = dict[str, str | bytes]


def proof(folder: Path, files: Files) -> Report:
    return proof_book(open_site(folder, files))


def told(folder: Path, files: Files) -> list[str]:
    """The findings: file, line, code and what was found."""
    return [
        f"{one.position.path.removeprefix('content/')}:{one.position.line} {one.code.name}: {one.found}"
        for one in proof(folder, files).findings
    ]


def plain(name: str, more: str = "") -> str:
    return f"name: {name}\nstandard: no\n{more}"


def test_the_site_itself_has_nothing_to_tell(tmp_path: Path) -> None:
    assert told(tmp_path, SITE) == []


def test_figures_rest_on_a_part_and_are_in_the_ledger(tmp_path: Path) -> None:
    report = proof(tmp_path, SITE)
    assert [(entry.label, entry.agrees) for entry in report.entries] == [
        ("0.98 kg", True),
        ("22 EUR", True),
        ("0.42 kg lighter", True),
    ]
    heavier = BOX_A.replace("0.98", "0.99")
    report = proof(tmp_path, with_part("box-a", heavier))
    wrong = [finding for finding in report.findings if finding.code.name == "figure-disagrees"]
    assert len(wrong) == 2
    assert wrong[0].help.endswith("or mend the part’s file at content/parts/box-a.yml:6:7")
    assert wrong[0].second is not None
    assert wrong[0].second.path == "content/parts/box-a.yml"


def test_a_row_takes_from_the_file_what_it_does_not_say(tmp_path: Path) -> None:
    book = open_site(tmp_path, SITE)
    bill = book.results["box", "bill"]
    assert not bill.faults
    change = bill.value("", "mass_change")
    assert round(change.si, 9) == round(0.98 - 1.40, 9)  # type: ignore[union-attr]
    # Two weighings of one scale's resolution each, ± 0.01 kg as standard uncertainties: √2 × 0.01.
    assert round(change.standard_uncertainty, 9) == round(2**0.5 * 0.01, 9)  # type: ignore[union-attr]
    assert round(bill.value("", "cost_total").si, 9) == 22  # type: ignore[union-attr]


def test_a_price_in_another_currency_is_changed_at_the_bills_rate(tmp_path: Path) -> None:
    rates = "currency: EUR\n      rates: [{currency: GBP, worth: 1.20 EUR, date: 2024-03-01}]"
    page = BOX_PAGE.replace("currency: EUR", rates)
    page = page.replace("  currency: EUR\n      rates", "  currency: EUR\n  rates").replace(
        "[22 EUR]", "[20 GBP]"
    )
    book = open_site(tmp_path, {**with_part("box-a", BOX_A.replace("22 EUR", "20 GBP")), "box.md": page})
    assert round(book.results["box", "bill"].value("", "cost_total").si, 9) == 24  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("name", "old", "new", "says"),
    [
        ("box.md", "part: box-a}", "part: box-c}", "box.md:23 unknown-part: “box-c”"),
        ("second.md", "part: box-b\n", "part: box-c\n", "second.md:24 unknown-part: “box-c”"),
        ("box.md", "parts/box-a.mass", "parts/box-c.mass", "box.md:14 unknown-address: the part “box-c”"),
        ("parts/box-b.yml", "[box-a]", "[box-a, box-c]", "parts/box-b.yml:9 unknown-part: “box-c”"),
        ("parts/box-a.yml", "by: box}", "by: bax}", "parts/box-a.yml:13 part-page: “bax”"),
        ("parts/box-b.yml", "page: second", "page: seconds", "parts/box-b.yml:10 part-page: “seconds”"),
        ("parts/box-b.yml", "licence.txt", "../../x", "parts/box-b.yml:13 part-shape: “parts/../../x”"),
        ("parts/box-b.yml", "second#side", "second#sid", "drawing-of-nothing: “second#sid”"),
        ("parts/box-b.yml", "second#side", "second#side.b", "drawing-of-nothing: “second#side.b”"),
        ("parts/box-b.yml", "second#side", "drawing.svg", "parts/box-b.yml:6 part-shape: “drawing.svg”"),
        ("parts/box-b.yml", "#side}", "#side, digest: 0123456789ab}", "drawing-stale: drawing 0123456789ab"),
        ("parts/box-b.yml", "[box-a]", "[box-b]", "part-circle: box-b replaces itself"),
        ("parts/box-b.yml", "[box-a]", "[old-pipe]", "part-replaced-otherwise: box-a, superseded by box-b"),
        ("parts/box-b.yml", "revision: B", "revision: a", "part-number-twice: BR-1 a of box-a and box-b"),
        (
            "parts/old-box.yml",
            "2024-03-02, by",
            "2024-03-03, by",
            "parts/box-a.yml:13 part-in-the-way: box-a",
        ),
        (
            "parts/box-a.yml",
            "  - {taken_off: 2024-05-04",
            "  # {",
            "parts/box-a.yml:13 part-superseded: box-a",
        ),
        ("box.md", "part: box-a}", "part: box-a, mass: 0.9 kg}", "part-stated-otherwise: mass 0.9"),
        ("box.md", "part: box-a}", "part: box-a, price: 23 EUR}", "part-stated-otherwise: price 23.00"),
        (
            "box.md",
            "part: old-box, action: removed}",
            "part: old-box}",
            "box.md:24 part-stated-otherwise: old-box fitted",
        ),
        ("box.md", "part: box-a}", "part: box-a, action: removed}", "box-a taken off in this bill"),
        ("second.md", "thickness: 1.5 mm", "thickness: 1.5 mm\n  revision: A", "a pattern of revision A"),
        (
            "parts/box-b.yml",
            "parts/licence.txt",
            "licence.txt",
            "parts/box-b.yml:13 part-shape: “licence.txt”",
        ),
        ("box.md", "parts/box-a.mass", "parts/box-a.weight", "box.md:14 unknown-address: “weight” of a part"),
        ("parts/box-b.yml", "standard: no", "standard: no\ncars: [other]", "unknown-car: “other”"),
    ],
)
def test_each_finding_at_its_place(tmp_path: Path, name: str, old: str, new: str, says: str) -> None:
    text = SITE[name]
    assert isinstance(text, str)
    assert old in text
    found = told(tmp_path, {**SITE, name: text.replace(old, new, 1)})
    assert [one for one in found if says in one], found


def test_a_mass_that_is_rounded_is_the_parts(tmp_path: Path) -> None:
    page = BOX_PAGE.replace("part: box-a}", "part: box-a, mass: 1.0 kg}")
    found = told(tmp_path, {**SITE, "box.md": page})
    assert not [one for one in found if "part-stated-otherwise" in one]


def test_a_bill_that_was_not_followed_says_nothing_of_the_car(tmp_path: Path) -> None:
    """What might have been fitted is no bill of the page, nor is a case of several that it has not chosen."""
    page = BOX_PAGE + calc(
        """
        id: other
        kind: parts
        inputs: {currency: EUR}
        cases:
          keep: {parts: [{name: old box, part: old-box}]}
          change: {parts: [{name: box, part: box-a}]}
        """
    )
    assert not [one for one in told(tmp_path, {**SITE, "box.md": page}) if "part-stated-otherwise" in one]
    chosen = page.replace("bill: bill", "bill: [bill, other.keep]")
    found = [one for one in told(tmp_path, {**SITE, "box.md": chosen}) if "part-stated-otherwise" in one]
    assert ["old-box fitted in this bill" in one for one in found] == [True]


def test_a_row_of_a_data_file_is_compared_as_well(tmp_path: Path) -> None:
    page = "# Bill\n\n" + calc(
        """
        id: bill
        kind: parts
        inputs: {currency: EUR, parts: {data: bill.csv}}
        """
    )
    rows = b"name,part,mass [kg]\nbox,box-a,0.98\nother,box-c,1\nheavy,box-a,2\n"
    found = told(tmp_path, {**SITE, "bill.md": page, "bill.csv": rows})
    assert [
        one.partition(" ")[2] for one in found if one.startswith("bill.md:") and " unused" not in one
    ] == [
        "part-stated-otherwise: mass 2\xa0kg in the row of box-a",
        "unknown-part: “box-c”",
    ]


def test_a_digest_that_is_the_drawings_is_no_finding(tmp_path: Path) -> None:
    block = open_site(tmp_path, SITE).results["second", "side"]
    digest = origin_of(block, block.patterns[0]).digest
    stated = BOX_B.replace("#side}", f"#side, digest: {digest}}}")
    assert told(tmp_path, with_part("box-b", stated)) == []
    thicker = SECOND_PAGE.replace("thickness: 1.5 mm", "thickness: 1.6 mm")
    found = told(tmp_path, {**with_part("box-b", stated), "second.md": thicker})
    assert [one for one in found if f"drawing-stale: drawing {digest}" in one]


def test_a_pattern_has_its_parts_revision(tmp_path: Path) -> None:
    book = open_site(tmp_path, SITE)
    assert [pattern.revision for pattern in book.results["second", "side"].patterns] == ["B"]


def test_a_superseded_part_on_the_car_is_a_note(tmp_path: Path) -> None:
    first = BOX_A.replace('  - {taken_off: 2024-05-04, by: second, lies: "shelf 4"}\n', "")
    other = BOX_B.replace(
        "  - {fitted: 2024-05-04, by: second}\n", '  - {stored: 2024-05-04, lies: "here"}\n'
    )
    report = proof(tmp_path, {**with_part("box-a", first), "parts/box-b.yml": other})
    assert [(one.code.name, one.severity.word) for one in report.findings] == [("part-superseded", "note")]


def test_two_cars_have_parts_of_their_own(tmp_path: Path) -> None:
    files: Files = {
        **SITE,
        "cars/other.yml": "name: Other\nabout: A.\nstate: a\ninputs: {}\n",
    }
    assert any("fitted, to one of several cars" in one for one in told(tmp_path, files))
    for name, text in SITE.items():
        if name.startswith("parts/") and name.endswith(".yml"):
            assert isinstance(text, str)
            files[name] = text + "cars: [test]\n"
    assert told(tmp_path, files) == []
    both = BOX_B + "cars: [test, other]\n"
    assert any(
        "fitted, to one of several" in one for one in told(tmp_path, {**files, "parts/box-b.yml": both})
    )
    on_other = both.replace("by: second}", "by: second, car: other}")
    assert told(tmp_path, {**files, "parts/box-b.yml": on_other}) == []


@pytest.mark.parametrize("size", [2, 3, 1000])
def test_a_circle_is_one_finding_however_long(tmp_path: Path, size: int) -> None:
    files: Files = {"index.md": "# A\n"}
    for number in range(size):
        files[f"parts/p{number}.yml"] = plain("p", f"replaces: [p{(number + 1) % size}]\n")
    found = told(tmp_path, files)
    assert [one for one in found if "part-circle" in one] == [found[0]]
    assert len(found) == 1
    assert len(found[0]) < 400


def test_a_thousand_parts_in_a_row(tmp_path: Path) -> None:
    files: Files = {"index.md": "# A\n"}
    for number in range(1000):
        older = f"replaces: [p{number - 1}]\n" if number else ""
        files[f"parts/p{number}.yml"] = plain("p", f"{older}history: [{{fitted: 2024-01-01}}]\n")
    # Each is in the way of what came before it; of those of one day at most three are told.
    assert 100 < len(told(tmp_path, files)) < 5000


def test_of_many_parts_in_the_way_three_are_told(tmp_path: Path) -> None:
    """Each of these has all others in its way."""
    text = "name: box\nstandard: no\n{}history:\n  - {{fitted: 2024-03-02}}\n"
    files = {
        f"parts/box-{number}.yml": text.format(f"replaces: [box-{number - 1}]\n" if number else "")
        for number in range(40)
    }
    report = proof_book(open_site(tmp_path, {**files}))
    told = [one for one in report.findings if one.code.name == "part-in-the-way"]
    assert 40 <= len(told) <= 3 * 40
    assert len({one.position.path for one in told}) >= 39


def test_no_drawing_is_dropped_in_silence(tmp_path: Path) -> None:
    names = ", ".join(["second#side"] * 101)
    book = open_site(tmp_path, with_part("box-b", BOX_B.replace("{of: second#side}", f"[{names}]")))
    (told,) = book.parts["box-b"].faults
    assert told.expected == "at most 100 drawings"


def test_the_order_in_which_files_were_written_says_nothing(tmp_path: Path) -> None:
    names = [name for name in SITE if name.startswith("parts/")]
    found = []
    for seed in range(3):
        folder = tmp_path / str(seed)
        folder.mkdir()
        random.Random(seed).shuffle(names)
        rest = {name: text for name, text in SITE.items() if name not in names}
        files = {**{name: SITE[name] for name in names}, **rest}
        files["parts/old-box.yml"] = OLD_BOX.replace("2024-03-02, by", "2024-03-03, by")
        found.append([str(one) for one in proof(folder, files).findings])
    assert found[0]
    assert found[0] == found[1] == found[2]


def test_a_part_that_leads_out_of_the_folder_is_not_read(tmp_path: Path) -> None:
    (tmp_path / "secret.yml").write_text("name: secret\nstandard: no\n")
    write_site(tmp_path, SITE)
    link(tmp_path / "content/parts/away.yml", "../../secret.yml")
    book = Book.open(tmp_path / "content", root=tmp_path)
    assert "away" not in book.parts
    assert [one.code.name for one in book.faults] == ["outside-content"]


def test_a_licence_that_is_a_link_out_is_no_file(tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text("secret")
    write_site(tmp_path, SITE)
    (tmp_path / "content/parts/licence.txt").unlink()
    link(tmp_path / "content/parts/licence.txt", "../../secret.txt")
    found = proof_book(Book.open(tmp_path / "content", root=tmp_path)).findings
    assert "part-shape" in [one.code.name for one in found]


def test_a_site_without_parts_reads_and_looks_at_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*given: object) -> None:
        raise AssertionError(given)

    for name in ("book.book.read_part", "book.book.read_markers", "proof.part_findings.older_than"):
        monkeypatch.setattr(f"buildlog.{name}", never)
    files: Files = {"index.md": '# A\n\n<div data-buildlog="parts"></div>\n', "parts/readme.txt": "none"}
    assert told(tmp_path, files) == []


def test_one_day_that_is_no_day_is_one_finding(tmp_path: Path) -> None:
    text = OLD_BOX.replace("2024-03-02, by", "02.03.2024, by")
    assert told(tmp_path, {**SITE, "parts/old-box.yml": text}) == [
        "parts/old-box.yml:8 part-shape: taken_off: “02.03.2024”"
    ]


def test_a_bill_rests_on_a_mass_that_can_be_read(tmp_path: Path) -> None:
    report = proof(tmp_path, with_part("box-a", BOX_A.replace("0.98 ± 0.01 kg", "0.98")))
    names = {finding.code.name for finding in report.findings}
    assert "missing-unit" in names
    assert any(
        one.code.name == "rests-on-fault" and "box-a, whose mass" in one.found for one in report.findings
    )
    assert not report.book.results["box", "bill"].cases


@pytest.mark.parametrize("name", ["bolts.yaml", "sub/bolts.yml", "sub/bolts.yaml"])
def test_a_file_that_looks_like_a_part_is_not_passed_over(tmp_path: Path, name: str) -> None:
    found = told(tmp_path, {**SITE, f"parts/{name}": plain("bolts")})
    assert found == [f"parts/{name}:1 part-shape: “{name}”, which is not read"]


def test_what_cannot_be_a_parts_name_is_one_finding(tmp_path: Path) -> None:
    page = BOX_PAGE.replace("part: box-a}", "part: box-a.yml}")
    found = [one for one in told(tmp_path, {**SITE, "box.md": page}) if "box-a.yml" in one]
    assert len(found) == 1
    assert "value-unreadable" in found[0]


def test_findings_on_files_and_drawings_say_what_was_perhaps_meant(tmp_path: Path) -> None:
    for old, new, help in (
        ("second#side", "second.md#side", "did you mean “second#side”?"),
        (
            "parts/licence.txt",
            "licence.txt",
            "write parts/licence.txt: the path begins at the content folder",
        ),
    ):
        folder = tmp_path / str(len(old))
        folder.mkdir()
        report = proof(folder, with_part("box-b", BOX_B.replace(old, new)))
        assert help in [finding.help for finding in report.findings]


def test_a_revision_that_is_another_is_told_where_it_stands(tmp_path: Path) -> None:
    page = SECOND_PAGE.replace("thickness: 1.5 mm", "thickness: 1.5 mm\n  revision: A")
    found = [one for one in told(tmp_path, {**SITE, "second.md": page}) if "pattern of revision A" in one]
    line = page.splitlines().index("  revision: A") + 1
    assert found[0].startswith(f"second.md:{line} ")
