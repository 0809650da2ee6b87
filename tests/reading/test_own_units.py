"""Units of a site's own: what they come to, what is refused and where; and all that reads units has them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.book.book import Book
from buildlog.book.provenance import provenance
from buildlog.browser.description import describe
from buildlog.browser.packing import modules_of
from buildlog.cli import main
from buildlog.figures import factors, units
from buildlog.figures.units import OwnUnits, UnknownUnit, find
from buildlog.figures.worked_out import WorkedOut
from buildlog.kinds.results import Value
from buildlog.proof.proof import proof_book
from buildlog.reading import own_units
from buildlog.reading.own_units import NAME, read_own_units
from buildlog.render.bundle import page_bundle
from buildlog.render.program import running_program
from tests.browser.test_packed import answers, differences
from tests.samples import calc, open_site, write_site
from tests.systems import link

UNITS = """\
# Of the lane, the dampers and the old workshop.
== length
furlong = 220 yard | furlong | us | km | furlongs
== mass
stone_of_14_pounds = 14 pound | imp st | us | kg | stones of 14 lb
== pressure
metre_of_water = 9806.65 pascal | mH₂O | metric | psi | m of water
== temperature
degree_Reaumur = 5 / 4 * kelvin; offset: 273.15 | °Ré | metric | °F | degrees Réaumur
== damper setting | click | how far a damper's screw is turned
click = [click] | click | both | | clicks | from fully closed
quarter_turn = 5 click | quarter turn | both | | quarter turns
== stiffness
pound_per_furlong = pound_force / furlong | lbf/furlong | us | N/mm
"""
LANE = calc(
    """
    id: lane
    kind: measured
    inputs:
      readings: [2.1 furlongs, 2.2 furlongs, 2.15 furlongs]
      resolution: 0.01 furlong
    """
)


def read(text: str) -> OwnUnits:
    own, faults = read_own_units(text, f"content/{NAME}")
    assert faults == ()
    units.use(own)
    return own


@pytest.mark.parametrize(
    ("number", "spelling", "si"),
    [
        # The definitions of SP 811 (2008), Appendix B, worked out by hand: yd 0.9144 m, lb 0.45359237 kg.
        (1, "furlong", 220 * 0.9144),
        (2, "stones of 14 lb", 28 * 0.45359237),
        (1, "m of water", 9806.65),  # the conventional metre of water, SP 811, B.8
        (0, "°Ré", 273.15),  # by definition of the scale: ice melts at 0 °Ré and water boils at 80 °Ré
        (80, "degrees Réaumur", 373.15),
        (3, "quarter turns", 15.0),
        (1, "lbf/furlong", 4.4482216152605 / 201.168),
    ],
)
def test_what_they_come_to(number: float, spelling: str, si: float) -> None:
    read(UNITS)
    assert find(spelling).to_si(number) == pytest.approx(si, rel=1e-15)


def test_they_are_units_like_ours() -> None:
    read(UNITS)
    furlong = find("furlong", "length")
    assert (furlong.name, furlong.system, furlong.counterpart) == ("furlong", "us", "km")
    assert units.counterpart(furlong) == find("km")
    assert units.si_unit("damper setting") == find("click")
    assert units.longest_at("over 2 furlongs of it", 7) == ("furlongs", 15)
    assert find("clicks").about == "from fully closed"
    units.use(OwnUnits())
    with pytest.raises(UnknownUnit):
        find("furlong")
    assert units.longest_at("over 2 furlongs of it", 7) is None


# Line and column of each finding, and what is in it; all lines stand below “== length” on line 1.
FAULTS = [
    ("ell = 45 inches | ell | us | m", 10, "own-unit", "by its name it is inch"),
    ("ell = 45 elbow | ell | us | m", 10, "own-unit", "the name of a unit of the list"),
    ("ell = 45 in | ell | us | m", 10, "own-unit", "by its name it is inch"),
    ("metre = 3 foot | ell | us | m", 1, "own-unit-clash", "not in buildlog's list yet"),
    ("ell = 45 inch | l | us | m", 17, "own-unit-clash", "the litre, a unit of volume"),
    ("ell = 45 inch | ell | us | m | L", 32, "own-unit-clash", "the litre, a unit of volume"),
    ("ell = 45 inch | ton | us | m", 17, "own-unit-clash", "a ton has several sizes"),
    ("ell = 45 inch", 14, "own-unit", "no symbol"),
    ("ell", 1, "own-unit", "name = definition"),
    ("ell = | ell | us | m", 1, "own-unit", "name = definition"),
    ("e-l = 45 inch | ell | us | m", 1, "own-unit", "a letter first"),
    ("ell = 45 inch | ell | imperial | m", 23, "own-unit", "metric, us or both"),
    ("ell = 45 inch | ell | both | m", 30, "own-unit", "serves both systems"),
    ("ell = 45 inch | ell | us | yd", 28, "own-unit", "in the other system"),
    ("ell = 45 inch | ell | us | mmm", 28, "own-unit", "did you mean “mm”?"),
    ("ell = 45 inch | <b>ell</b> | us | m", 17, "own-unit", "letters, ° or %"),
    ("ell = 45 inch | [ell](x) | us | m", 17, "own-unit", "letters, ° or %"),
    ("ell = 45 inch | ell | us | m | 5x", 32, "own-unit", "letters, ° or %"),
    ("ell = 9**9**9 | ell | us | m", 7, "own-unit", "with * and / between"),
    ("ell = 45 inch ** 7 | ell | us | m", 18, "own-unit", "the power “7”"),
    ("ell = 1,143 metre | ell | us | m", 8, "own-unit", "“,” in a definition"),
    ("ell = 0 metre | ell | us | m", 7, "own-unit", "not zero"),
    ("ell = 45 | ell | us | m", 1, "own-unit", "a unit of a plain number"),
    ("ell = 45 kilogram | ell | us | m", 1, "own-unit", "a unit of mass"),
    ("ell = 45 inch; offset: 3 | ell | us | m", 15, "own-unit", "only a temperature has"),
    ("ell = [ell] | ell | us | m", 7, "own-unit", "a dimension of your own"),
    ("ell = 45 inch | ell | us | m | ells | cloth | more", 47, "own-unit", "five parts at most"),
    ("== lenght", 4, "own-unit", "did you mean “length”?"),
    ("== mass | kg | how heavy", 11, "own-unit", "this dimension is known"),
    ("== money in NOK | NOK | a price", 4, "own-unit", "comes with buildlog"),
    ("== Laps | lap | turns", 4, "own-unit", "small letters"),
    ("== its own | lap | turns", 4, "own-unit", "small letters"),
    ("== laps | <lap> | turns", 11, "own-unit", "letters, ° or %"),
    ("!! ell, ells | write yards", 1, "own-unit", "name = definition"),
    ("x" * 1001, 1, "own-unit", "at most 1000"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "column", "code", "said"), FAULTS)
def test_what_is_refused(line: str, column: int, code: str, said: str) -> None:
    own, (fault,) = read_own_units(f"== length\n{line}\n", f"content/{NAME}")
    assert own == OwnUnits()
    assert str(fault.position) == f"content/{NAME}:2:{column}"
    assert fault.code.name == code
    assert said in f"{fault.found} {fault.expected} {fault.help}"
    assert fault.found
    assert fault.expected
    assert fault.help


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("ell = 45 inch | ell | us | m", 1, "under no dimension"),
        ("== length\nell = 45 inch | ell | us\nell = 46 inch | ell2x | us", 3, "not in this file yet"),
        ("== length\nell = 45 inch | ell | us\nalen = 1 ell | alen | us | | ell", 3, "the ell of this file"),
        ("== length\nell = 45 inch | ell | us\n\n#\nalen = ells | alen | us", 5, "did you mean “ell”?"),
        ("== length\nell = 4 inn | ell | us\nalen = 1 ell | alen | us", 3, "its line has a fault"),
        ("== laps | lap | turns\nhalf = [lap] | half lap | both", 2, "as the heading says"),
        ("== laps | lap | turns\nlap = [lap] | lap | both\nhalf = [half] | half lap | both", 3, "its base"),
        ("== slip | slip | a length\nslip = foot | slip | both", 2, "the one that buildlog computes in"),
        ("== slip | slip | a length\nslip = metre | slip | both\nslop = gram | slop | both", 3, "of mass"),
        ("== length\nell = " + "9" * 30 + " * 9 metre | ell | us", 2, "1e+30"),
        # 80 °Ré is 100 °C, 373.15 K: a multiple of a scale whose zero lies elsewhere would say 100 K
        ("== temperature\nreaumur = degree_Celsius * 5 / 4 | °Ré | metric", 2, "make it of kelvin"),
        ("== temperature\nq = degree_Celsius | °Q | metric", 2, "make it of kelvin"),
    ],
)
def test_what_is_refused_by_other_lines(text: str, line: int, said: str) -> None:
    _, faults = read_own_units(text, NAME)
    assert faults[-1].position.line == line
    assert said in f"{faults[-1].found} {faults[-1].expected} {faults[-1].help}"


# Each limit from both sides: what is still a unit, and one more of it, which is not.
LIMITS = [
    ("ell = 45 inch | {} | us", "x" * 60, "x" * 61, "letters, ° or %"),
    (
        "ell = {} | ell | us",
        " * ".join(["1"] * 11 + ["inch"]),
        " * ".join(["1"] * 12 + ["inch"]),
        "at most 12",
    ),
    ("ell = 45 inch | ell | us | m | ells | {}", "x" * 900, "x" * 1000, "at most 1000"),
    ("ell = 45 inch | ell | us | m | ells{} | cloth", "", " | more", "five parts at most"),
]


@pytest.mark.parametrize(("line", "most", "more", "said"), LIMITS)
def test_limits_from_both_sides(line: str, most: str, more: str, said: str) -> None:
    own, faults = read_own_units(f"== length\n{line.format(most)}\n", NAME)
    assert faults == ()
    assert len(own.units) == 1
    own, (fault,) = read_own_units(f"== length\n{line.format(more)}\n", NAME)
    assert own == OwnUnits()
    assert said in fault.expected


def test_so_many_lines_and_no_more() -> None:
    lines = [
        f"ell{number} = {number + 2} inch | ell{'x' * (number % 30)}q{'y' * (number // 30)} | us"
        for number in range(500)
    ]
    own, faults = read_own_units("\n".join(["== length", *lines[:499]]), NAME)
    assert faults == ()
    assert len(own.units) == 499
    own, faults = read_own_units("\n".join(["== length", *lines]), NAME)
    assert [fault.found for fault in faults] == ["501 lines of units"]
    assert [fault.position.line for fault in faults] == [501]
    assert len(own.units) == 499


def test_a_line_with_a_fault_leaves_the_others_as_they_are() -> None:
    own, faults = read_own_units(UNITS.replace("= 14 pound ", "= 14 pounds "), NAME)
    whole, _ = read_own_units(UNITS, NAME)
    assert len(faults) == 1
    assert own.units == tuple(row for row in whole.units if row[0] != "stone of 14 pounds")


# --- in a site ---------------------------------------------------------------------------------------


def mean_of(book: Book, name: tuple[str, str]) -> float:
    result = book.results[name]
    value = result.value(next(iter(result.cases)), "mean")
    assert isinstance(value, Value)
    return value.si


def test_they_are_read_and_proofed_wherever_units_are(tmp_path: Path) -> None:
    prose = (
        "The lane is [2.15 furlongs](calc:lane.mean), which is [432.5 m](calc:lane.mean), with "
        "[12 clicks](told:me) on the damper. Not [2.25 furlongs](calc:lane.mean). "
        "It is 3 furlongs or 3 furlong."
    )
    sources = "me: {who: the driver, when: 2026-05-01}\n"
    report = proof_book(
        open_site(tmp_path, {NAME: UNITS, "a.md": f"# A\n\n{LANE}\n{prose}\n", "sources.yml": sources})
    )
    assert [(one.standing, one.label, one.agrees) for one in report.entries] == [
        ("computed", "2.15 furlongs", True),
        ("computed", "432.5 m", True),
        ("told", "12 clicks", True),
        ("computed", "2.25 furlongs", False),
        ("loose", "3 furlongs", False),
        ("loose", "3 furlong", False),
    ]
    assert [finding.code.name for finding in report.errors] == ["figure-disagrees"]


def test_bad_lines_are_findings_of_the_proof(tmp_path: Path) -> None:
    report = proof_book(open_site(tmp_path, {NAME: UNITS + "ell = 45 inches | ell | us\n", "a.md": "# A\n"}))
    assert [str(finding.position) for finding in report.errors] == [f"content/{NAME}:15:10"]


def test_of_two_sites_each_has_its_own(tmp_path: Path) -> None:
    page = f"# A\n\n{LANE}\n[2.15 furlongs](calc:lane.mean)\n"
    (tmp_path / "one").mkdir()
    (tmp_path / "two").mkdir()
    one = open_site(tmp_path / "one", {NAME: UNITS, "a.md": page})
    two = open_site(tmp_path / "two", {"a.md": page})
    assert "unknown-unit" in {finding.code.name for finding in proof_book(two).errors}
    assert proof_book(one).errors == ()
    longer = open_site(tmp_path / "two", {NAME: UNITS.replace("220 yard", "221 yard"), "a.md": page})
    assert proof_book(longer).errors == ()
    lane = ("a", "lane")
    assert mean_of(longer, lane) > mean_of(one, lane)


def test_another_size_is_another_hash_and_forgets_what_was_kept(tmp_path: Path) -> None:
    in_km = LANE.replace("furlongs", "km").replace("furlong", "km")
    before = open_site(tmp_path, {NAME: UNITS, "a.md": f"# A\n\n{LANE}", "b.md": f"# B\n\n{in_km}"})
    write_site(tmp_path, {NAME: UNITS.replace("220 yard", "221 yard")})
    after = Book.open(before.content, root=tmp_path, earlier=before)
    assert mean_of(after, ("a", "lane")) == pytest.approx(mean_of(before, ("a", "lane")) * 221 / 220)
    assert mean_of(after, ("b", "lane")) == mean_of(before, ("b", "lane"))
    (of_a, of_a_after), (of_b, of_b_after) = (
        [provenance(book, book.pages[name].blocks[0]) for book in (before, after)] for name in "ab"
    )
    assert of_a.inputs != of_a_after.inputs
    assert of_b == of_b_after


def test_a_bundle_has_them(tmp_path: Path) -> None:
    book = open_site(tmp_path, {NAME: UNITS, "a.md": f"# A\n\n{LANE}"})
    packed = page_bundle(book, "a", running_program(), lambda name: True)
    assert packed is not None
    assert f"content/{NAME}".encode() in packed


def test_a_readers_browser_has_them(tmp_path: Path) -> None:
    result = open_site(tmp_path, {NAME: UNITS, "a.md": f"# A\n\n{LANE}"}).results["a", "lane"]
    book = Book.open(tmp_path / "content", root=tmp_path)
    description = describe(book, result)
    assert description is not None
    (answer,) = answers([(description, {})], ("measured",))
    assert differences(result, answer) == []
    units.use(OwnUnits())
    assert "furlong" not in "".join(modules_of(("measured",)).values())


def test_the_commands_list_them(tmp_path: Path) -> None:
    write_site(tmp_path, {NAME: UNITS})
    runner = CliRunner()
    listed = runner.invoke(main, ["units", "length", "--site", str(tmp_path)])
    assert "furlong: furlong, furlongs" in listed.output
    assert runner.invoke(main, ["units", "damper setting", "--site", str(tmp_path)]).exit_code == 0
    assert "furlong" in runner.invoke(main, ["schema", "block", "--site", str(tmp_path)]).output
    write_site(tmp_path, {NAME: "== lenght\n"})
    said = runner.invoke(main, ["units", "length", "--site", str(tmp_path)])
    assert said.stderr.startswith(f"buildlog: content/{NAME}:1:4: ")
    assert "furlong" not in said.output


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "private.txt").write_text(UNITS)
    content = write_site(tmp_path, {"a.md": "# A\n"})
    link(content / NAME, tmp_path / "private.txt")
    book = Book.open(content, root=tmp_path)
    assert book.settings.own_units == OwnUnits()
    assert "outside-content" in {fault.code.name for fault in book.faults}


# --- what pint is told ----------------------------------------------------------------------------------

_TOLD = re.compile(
    r"\[own_[a-z_]+\]|(?:[0-9.]+|own_[0-9]+|[A-Za-z_]+)(?: (?:\*|/|\*\*) (?:[0-9.]+|own_[0-9]+|[A-Za-z_]+))*"
    r"(?:; offset: -?[0-9.]+(?: [*/] [0-9.]+)*)?"
)


def test_pint_is_told_what_was_read_and_not_what_was_written(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[factors.Definition] = []
    work_out = factors.work_out_beside_ours

    def told_too(own: tuple[factors.Definition, ...], asked: tuple[str, ...]) -> WorkedOut:
        told.extend(own)
        return work_out(own, asked)

    monkeypatch.setattr(factors, "work_out_beside_ours", told_too)
    own_units.read_own_units.cache_clear()
    read(UNITS)
    assert [one.name for one in told] == [f"own_{number}" for number in range(len(told))]
    for one in told:
        assert _TOLD.fullmatch(one.definition), one
        assert not {"furlong", "click", "stone_of_14_pounds"} & set(re.findall(r"\w+", one.definition))
