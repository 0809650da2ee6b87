"""Blocks as one graph: cars, cases, references over pages, loops, uncertainty."""

from math import pi, sqrt
from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.commands.site import chosen_pages, lines_of
from buildlog.diagnostics import Diagnostic
from buildlog.kinds.results import Value
from buildlog.proof.proof import proof_book
from buildlog.reading.addresses import read_address
from buildlog.report.text import findings_text
from tests.samples import GEARING, calc, open_site
from tests.systems import link, pipe

CAR = """\
name: Test car
about: Invented for the tests.
state: standard
inputs:
  gears: [3.3, 2.0, 1.4, 1.1, 1.0]
  tyre: 195/50R15
  rev_limit: 8200 rpm
  final_drive: 4.10
changes:
  - state: shorter-final
    since: the shorter final drive
    inputs: {final_drive: 41/9}
"""


def findings(book: Book, code: str | None = None) -> list[Diagnostic]:
    errors = proof_book(book).errors
    return [error for error in errors if code is None or error.code.name == code]


def value_of(book: Book, page: str, block: str, output: str, key: str) -> Value:
    """A value of a block without cases, which has to be there."""
    result = book.result(page, block)
    assert result is not None
    value = result.value("", output, key)
    assert isinstance(value, Value)
    return value


def test_block_takes_what_it_leaves_out_from_the_car(tmp_path: Path) -> None:
    text = calc("id: now\nkind: gearing\ncar: test") + calc(
        "id: then\nkind: gearing\ncar: test\nstate: standard"
    )
    book = open_site(tmp_path, {"a.md": text, "cars/test.yml": CAR})
    assert not findings(book)
    now, then = book.result("a", "now"), book.result("a", "then")
    assert now
    assert then
    assert now.cases[""].given["final_drive"].origin == "car"
    assert value_of(book, "a", "now", "overall_ratio", "5").si == pytest.approx(41 / 9)
    assert value_of(book, "a", "then", "overall_ratio", "5").si == pytest.approx(4.10)
    # exact kinematics: v = 2π r n / (60 i), as in references G13
    expected = 1.7568 * 8200 / 60 / (1.0 * 4.10)
    assert value_of(book, "a", "then", "speed_at_limit", "5").si == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("lines", "place"),
    [
        ("car: tset", "4:6"),
        ("car: test@3", "4:6"),
        ("car: test@0", "4:6"),
        ("car: test\nstate: standrad", "5:8"),
        ("car: test\ncases: {a: {state: standard}, b: {state: 41-9}}", "5:42"),
    ],
)
def test_unknown_car_or_state(tmp_path: Path, lines: str, place: str) -> None:
    book = open_site(tmp_path, {"a.md": calc(f"id: a\nkind: gearing\n{lines}"), "cars/test.yml": CAR})
    found = findings(book)  # and none about what would have come from the car
    assert [(one.code.name, str(one.position)) for one in found] == [("unknown-car", f"content/a.md:{place}")]


def test_an_unknown_state_is_told_with_the_names_that_there_are(tmp_path: Path) -> None:
    text = calc("id: a\nkind: gearing\ncar: test\nstate: standrad")
    (found,) = findings(open_site(tmp_path, {"a.md": text, "cars/test.yml": CAR}))
    assert found.expected == "one of standard, shorter-final"
    assert "“standard”" in found.help


@pytest.mark.parametrize(
    ("lines", "found", "place"),
    [
        ("state: standard", "a state without a car", "4:8"),
        ("cases: {a: {state: standard}}", "a state without a car", "4:20"),
        ("car: test@1\nstate: standard", "state: standard beside car: test@1", "5:8"),
        ("car: test\nstate: 2", "a state named “2”", "5:8"),
        ("car: test\nstate: the first", "a state named “the first”", "5:8"),
        ("car: test\nstate: [standard]", "a list", "5:8"),
        ("car: test\ncases: {a: {state: {}}}", "a mapping", "5:20"),
    ],
)
def test_a_state_that_cannot_be_meant(tmp_path: Path, lines: str, found: str, place: str) -> None:
    text = calc(f"id: a\nkind: gearing\n{lines}")
    errors = findings(open_site(tmp_path, {"a.md": text, "cars/test.yml": CAR}), "block-shape")
    assert [(one.found, str(one.position)) for one in errors] == [(found, f"content/a.md:{place}")]


def test_cases_have_states_of_their_own(tmp_path: Path) -> None:
    text = calc(
        "id: a\nkind: gearing\ncar: test\ncases: {old: {state: standard}, new: {}, tall: {tyre: 205/60R15}}"
    )
    book = open_site(tmp_path, {"a.md": text, "cars/test.yml": CAR})
    assert not findings(book)
    result = book.result("a", "a")
    assert result is not None
    ratios = {case: result.value(case, "overall_ratio", "5") for case in result.cases}
    assert {case: getattr(value, "si", None) for case, value in ratios.items()} == {
        "old": 4.10,
        "new": pytest.approx(41 / 9),
        "tall": pytest.approx(41 / 9),
    }
    assert result.cases["old"].given["final_drive"].reference == "test, standard"


def test_a_state_put_in_the_middle_gives_no_block_another_car(tmp_path: Path) -> None:
    text = "".join(
        calc(f"id: {state}\nkind: gearing\ncar: test\nstate: {state}")
        for state in ("standard", "shorter-final")
    )
    between = "  - {state: tall, since: tall tyres, inputs: {final_drive: 3.50}}\n"
    more = CAR.replace("changes:\n", f"changes:\n{between}")
    ratios = []
    for number, sheet in enumerate((CAR, more)):
        folder = tmp_path / str(number)
        folder.mkdir()
        book = open_site(folder, {"a.md": text, "cars/test.yml": sheet})
        assert not findings(book)
        ratios.append(
            [value_of(book, "a", block, "overall_ratio", "5").si for block in ("standard", "shorter-final")]
        )
    assert ratios == [[4.10, pytest.approx(41 / 9)]] * 2


def test_a_state_by_number_is_read_and_shown_by_its_name(tmp_path: Path) -> None:
    text = calc("id: a\nkind: gearing\ncar: test@1")
    book = open_site(tmp_path, {"a.md": text, "cars/test.yml": CAR})
    assert value_of(book, "a", "a", "overall_ratio", "5").si == 4.10
    (found,) = [one for one in proof_book(book).warnings if one.code.name == "state-by-number"]
    assert (str(found.position), found.found) == ("content/a.md:4:6", "“test@1”")
    assert found.expected == "car: test and state: standard"


def test_a_sheet_whose_states_have_no_names_is_read_and_told_how_to_name_them(tmp_path: Path) -> None:
    text = calc("id: a\nkind: gearing\ncar: test@1")
    nameless = CAR.replace("state: standard\n", "").replace("- state: shorter-final\n    since", "- since")
    book = open_site(tmp_path, {"a.md": text, "cars/test.yml": nameless})
    assert value_of(book, "a", "a", "overall_ratio", "5").si == 4.10
    told = [one for one in proof_book(book).warnings if one.code.name.startswith("state-")]
    assert [(one.code.name, str(one.position), one.expected) for one in told] == [
        ("state-by-number", "content/a.md:4:6", "car: test and state: NAME"),
        ("state-without-name", "content/cars/test.yml:3:1", "state: standard, say"),
        ("state-without-name", "content/cars/test.yml:9:5", "state: the-shorter-final-drive, say"),
    ]


def test_two_states_of_one_name_are_refused(tmp_path: Path) -> None:
    twice = CAR.replace("state: shorter-final", "state: standard")
    (found,) = findings(open_site(tmp_path, {"cars/test.yml": twice}))
    assert (found.code.name, str(found.position)) == ("car-shape", "content/cars/test.yml:10:12")
    assert str(found.second) == "content/cars/test.yml:3:8"


def test_none_leaves_a_car_value_out(tmp_path: Path) -> None:
    text = calc("id: a\nkind: gearing\ncar: test\ninputs: {tyre: none}")
    book = open_site(tmp_path, {"a.md": text, "cars/test.yml": CAR})
    assert [one.code.name for one in findings(book)] == ["missing-input"]


@pytest.mark.parametrize(
    "inputs,line",
    [
        ("gears: [3.3]\n  final_drive: 4.1\n  rev_limit: 7000 rpm\n  tyre: 205/60-13", "  tyre: 205/60-13"),
        ("gears: [3.3]\n  final_drive: 4.1\n  rev_limit: 7000 rpm\n  tyre: 6.00-13", "  tyre: 6.00-13"),
    ],
)
def test_what_misses_something_is_pointed_at(tmp_path: Path, inputs: str, line: str) -> None:
    text = calc(f"id: a\nkind: gearing\ninputs:\n  {inputs}")
    (found,) = findings(open_site(tmp_path, {"a.md": text}))
    assert text.splitlines()[found.position.line - 1] == line, found
    assert "measured" in found.expected


def test_what_asks_for_another_input_is_pointed_at(tmp_path: Path) -> None:
    text = calc(
        """
        id: a
        kind: clutch
        inputs:
          outer_diameter: 200 mm
          inner_diameter: 134 mm
          sliding_friction_low: 0.27
          sliding_friction_high: 0.38
          engine_torque: 168 N·m
          plate_mass: 2 kg
        """
    )
    (found,) = findings(open_site(tmp_path, {"a.md": text}))
    assert (found.code.name, found.found) == ("missing-input", "plate_mass without plate_faces")
    assert text.splitlines()[found.position.line - 1].strip() == "plate_mass: 2 kg"


def test_all_faults_of_a_block_are_reported_with_their_places(tmp_path: Path) -> None:
    text = "# Episode\n\n" + calc(
        """
        id: bad
        kind: gearing
        inputs:
          gears: [3.3, 2.0 rpm, 1.4]
          final_drvie: 4.1
          rev_limit: 8200
          shift_revs: 82000 rpm
          tyre: 195/50R15
          cruise_speed: 100 N·m
          speed_sensor: gearbx
        """
    )
    found = findings(open_site(tmp_path, {"a.md": text}))
    by_code = {(one.code.name, one.position.line) for one in found}
    assert by_code == {
        ("missing-input", 7),
        ("wrong-dimension", 7),
        ("unknown-input", 8),
        ("missing-unit", 9),
        ("out-of-range", 10),
        ("wrong-dimension", 12),
        ("value-unreadable", 13),
    }
    columns = {(one.code.name, one.position.line): one.position.column for one in found}
    assert columns["wrong-dimension", 7] == 16
    assert columns["missing-unit", 9] == 14
    messages = {(one.code.name, one.position.line): one for one in found}
    assert "did you mean “final_drive”" in messages["unknown-input", 8].help
    assert "rpm" in messages["missing-unit", 9].expected
    assert "500 to 20000 rpm" in messages["out-of-range", 10].expected
    assert "did you mean “gearbox”?" in messages["value-unreadable", 13].help


def test_reference_over_pages_carries_value_and_uncertainty(tmp_path: Path) -> None:
    first = calc(
        """
        id: tyre
        kind: gearing
        inputs:
          gears: [1.0]
          final_drive: 4.0
          rev_limit: 6000 rpm
          rolling_circumference: 1.800 ± 0.009 m
        """
    )
    second = calc(
        """
        id: again
        kind: gearing
        inputs:
          gears: [1.0]
          final_drive: 4.0
          rev_limit: 6000 rpm
          rolling_circumference: calc:one/first#tyre.rolling_circumference
        """
    )
    book = open_site(tmp_path, {"one/first.md": first, "second.md": second})
    assert not findings(book)
    value = value_of(book, "second", "again", "speed_at_limit", "1")
    assert value.si == pytest.approx(6000 / 60 * 1.8 / 4, rel=1e-12)
    # v is proportional to U, so u(v)/v = u(U)/U (JCGM 100:2008, 5.1.6)
    assert value.standard_uncertainty / value.si == pytest.approx(0.009 / 1.8, rel=1e-9)
    again = book.result("second", "again")
    assert again is not None
    assert again.cases[""].given["rolling_circumference"].origin == "calc"


def test_shared_origin_cancels_in_a_change(tmp_path: Path) -> None:
    """A circumference that both cases share does not blur their relative change: x − x has no uncertainty
    (JCGM 100:2008, 5.2; uncertainties 3.2.3 gives 0 for (x − x).s)."""
    from buildlog.book.addresses import change

    text = GEARING.replace("tyre: 195/50R15", "rolling_circumference: 1.800 ± 0.009 m")
    book = open_site(tmp_path, {"a.md": text})
    target = book.target("a", read_address("calc:shorter-final.after.speed_at_limit.3"))
    before = book.other("a", target, "before")
    relative = change(target, before, "percent")
    assert relative.si == pytest.approx(4.10 / (41 / 9) - 1, rel=1e-12)
    assert relative.standard_uncertainty == pytest.approx(0, abs=1e-15)
    assert change(target, before, "difference").standard_uncertainty > 0


def test_independent_inputs_add_in_quadrature(tmp_path: Path) -> None:
    """u²(y) = Σ (∂f/∂x · u(x))², JCGM 100:2008, 5.1.2; checked with the closed form of v = ωU/2πi."""
    text = calc(
        """
        id: a
        kind: gearing
        inputs:
          gears: [1.0]
          final_drive: 4.00 ± 0.04
          rev_limit: 6000 ± 30 rpm
          rolling_circumference: 1.800 ± 0.009 m
        """
    )
    value = value_of(open_site(tmp_path, {"a.md": text}), "a", "a", "speed_at_limit", "1")
    assert value.standard_uncertainty / value.si == pytest.approx(
        sqrt(0.01**2 + 0.005**2 + 0.005**2), rel=1e-4
    )
    assert value.si == pytest.approx(6000 * 2 * pi / 60 * 1.8 / (2 * pi * 4))


def test_loop_is_printed(tmp_path: Path) -> None:
    def block(name: str, other: str) -> str:
        return calc(
            f"""
            id: {name}
            kind: gearing
            inputs:
              gears: [1.0]
              final_drive: 4.0
              rev_limit: 6000 rpm
              rolling_circumference: calc:{other}.rolling_circumference
            """
        )

    text = (
        block("a", "b")
        + block("b", "c")
        + block("c", "a")
        + block("outside", "a")
        + block("further", "outside")
    )
    found = findings(open_site(tmp_path, {"p.md": text}))
    loops = [one for one in found if one.code.name == "block-loop"]
    assert {one.found for one in loops} == {"p#a → p#b → p#c → p#a"}
    assert [one.position.line for one in loops] == [1, 10, 19]
    assert [one.code.name for one in found if one.code.name != "block-loop"] == [
        "rests-on-fault",
        "rests-on-fault",
    ]


@pytest.mark.parametrize(
    ("address", "found", "help"),
    [
        ("calc:shorter-finale.after.speed_at_limit.3", "the block “shorter-finale”", "“shorter-final”"),
        ("calc:shorter-final.aftr.speed_at_limit.3", "the case “aftr”", "“after”"),
        ("calc:shorter-final.speed_at_limit.3", "no case in “calc:shorter-final.speed_at_limit.3”", ""),
        ("calc:shorter-final.after.sped_at_limit.3", "the quantity “sped_at_limit”", "“speed_at_limit”"),
        ("calc:shorter-final.after.speed_at_limit.9", "speed_at_limit.9", ""),
        ("calc:shorter-final.after.speed_at_limit", "“speed_at_limit” without a gear", ""),
        ("calc:shorter-final.after.rolling_radius.2", "“rolling_radius.2”", ""),
        ("calc:shorter-final.after.speed_at.2", "“speed_at”, which this block does not compute", ""),
        ("calc:shorter-final.after.tooth_pairing", "“tooth_pairing”, which is words", ""),
        ("calc:elsewhere#shorter-final.after.speed_at_limit.3", "the page “elsewhere”", ""),
    ],
)
def test_addresses_that_lead_nowhere(tmp_path: Path, address: str, found: str, help: str) -> None:
    text = f"# A\n\nSee [1 km/h]({address}).\n\n{GEARING}"
    reported = findings(open_site(tmp_path, {"a.md": text}))
    assert [(one.code.name, one.found) for one in reported] == [("unknown-address", found)]
    assert (reported[0].position.line, reported[0].position.column) == (3, 14)
    assert help in reported[0].help


def test_an_address_says_which_blocks_there_are(tmp_path: Path) -> None:
    """Those not computed yet too, and where one stands whose id cannot be read."""
    takes = "inputs: {gears: [3.3], final_drive: calc:nope.x, tyre: 195/50R15}"
    text = calc(f"id: first\nkind: gearing\n{takes}") + "\n" + GEARING
    (reported,) = findings(open_site(tmp_path, {"a.md": text}), "unknown-address")
    assert reported.expected == "a block of a: first, shorter-final"
    broken = calc("id: broken\nkind: gearing\ninputs: {gears: [3.3")
    book = open_site(tmp_path, {"a.md": f"[1 km/h](calc:broken.speed_at_limit.1)\n\n{broken}"})
    (reported,) = findings(book, "unknown-address")
    assert "stands at content/a.md:3:1" in reported.help


def test_two_blocks_with_one_id(tmp_path: Path) -> None:
    found = findings(open_site(tmp_path, {"a.md": GEARING + "\n" + GEARING}), "duplicate-block")
    assert [str(one.position) for one in found] == ["content/a.md:15:5"]
    assert str(found[0].second) == "content/a.md:2:5"


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("../secret.csv", "“../secret.csv”"),
        ("/etc/passwd", "“/etc/passwd”"),
        ("../content_secret/x.csv", "“../content_secret/x.csv”"),
        ("link.csv", "“link.csv”"),
        ("pipe.csv", "“pipe.csv”, which is not there"),
        ("runs", "“runs”, which is not there"),
    ],
)
def test_data_stays_in_the_content_folder(tmp_path: Path, name: str, found: str) -> None:
    from buildlog.diagnostics import Refused
    from buildlog.reading.data import data_path

    content = tmp_path / "content"
    (content / "runs").mkdir(parents=True)
    (tmp_path / "content_secret").mkdir()
    for secret in (tmp_path / "secret.csv", tmp_path / "content_secret" / "x.csv"):
        secret.write_text("a\n1\n")
    link(content / "link.csv", tmp_path / "secret.csv")
    pipe(content / "pipe.csv")
    with pytest.raises(Refused) as refused:
        data_path(content, name)
    assert refused.value.found == found


def test_a_file_that_links_out_is_neither_read_nor_quoted(tmp_path: Path) -> None:
    content = tmp_path / "content"
    (content / "cars").mkdir(parents=True)
    (tmp_path / "secret").write_text("secret: &x 1")
    for name in ("a.md", "cars/test.yml", "sources.yml"):
        link(content / name, tmp_path / "secret")
    link(content / "zero.md", "/dev/zero")  # reading it would never end
    book = open_site(tmp_path, {"b.md": "# B"})
    assert list(book.pages) == ["b"]
    assert [(one.code.name, str(one.position)) for one in findings(book)] == [
        ("outside-content", f"content/{name}:1:1")
        for name in ("a.md", "cars/test.yml", "sources.yml", "zero.md")
    ]
    assert "secret" not in findings_text(findings(book), lines_of(book))


def test_links_that_lead_nowhere_are_findings_at_the_link(tmp_path: Path) -> None:
    content = tmp_path / "content"
    content.mkdir()
    link(content / "round.md", "round.md")
    link(content / "gone.md", "nowhere.md")
    link(content / "other.md", "b.md")
    book = open_site(tmp_path, {"b.md": "# B"})
    assert [(one.code.name, str(one.position)) for one in findings(book)] == [
        ("file-unreadable", f"content/{name}.md:1:1") for name in ("gone", "round")
    ]
    assert book.pages["other"].path == "content/other.md"
    assert chosen_pages(book, (content / "round.md",)) == ["round"]


def test_thousands_in_the_braces_of_a_sheet_are_told_how_to_be_written(tmp_path: Path) -> None:
    sheet = "inputs: {final_drive: 4.1, rev_limit: 8,200 rpm}"
    (found,) = findings(open_site(tmp_path, {"cars/test.yml": sheet}))
    assert (found.code.name, str(found.position)) == ("unknown-car-input", "content/cars/test.yml:1:41")
    assert "write 8200 rpm, or quotes around “8,200 rpm”" in found.help


@pytest.mark.parametrize("written", ["2 K", "2 °C", "3.6 °F"])
def test_a_change_of_temperature_is_no_temperature(tmp_path: Path, written: str) -> None:
    """3.6 °F is 2 K of difference (NIST SP 811, Appendix B.8), and not 257 K."""
    book = open_site(tmp_path, {"a.md": calc(f"""
        id: plan
        kind: test_plan
        inputs: {{conditions: [old, new], change: {written}, scatter: 1 K}}
    """)})  # fmt: skip
    (result,) = book.by_place.values()
    (case,) = result.cases.values()
    value = case.given["change"].numbers[()]
    assert (value.dimension, round(value.si, 9)) == ("temperature difference", 2.0)
