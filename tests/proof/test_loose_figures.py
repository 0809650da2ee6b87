"""Loose figures on pages: where they stand, what is none, any text, and how long it takes."""

from __future__ import annotations

import time
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import Position
from buildlog.proof.loose_figures import LooseFigure, find_loose, loose_spans
from buildlog.proof.proof import proof_book
from buildlog.proof.table_cells import unit_of_heading
from buildlog.reading.markdown.scanner import scan
from tests.examples import with_examples
from tests.proof.labelled import sentences
from tests.samples import open_site


def loose(page: str, *nouns: str) -> list[LooseFigure]:
    return find_loose(scan(page, "page.md"), nouns)


LIST = '\n<div data-buildlog="sources"></div>\n'  # what makes a page one of ours


# --- pages ---------------------------------------------------------------------------


def test_where_a_figure_stands_is_where_an_editor_shows_it() -> None:
    page = (
        "# The 4.2 kg flywheel\n"
        "\n"
        "It weighs **4.2** kg, `3 mm` of code and [12 mm](calc:a.b) aside.\n"
        "\n"
        "| part | mass |\n"
        "|---|---|\n"
        "| ring | 0.7 kg |\n"
        "\n"
        "> - quoted: 5 mm\n"
    )
    assert loose(page) == [
        LooseFigure(Position("page.md", 1, 7), "4.2 kg"),
        LooseFigure(Position("page.md", 3, 13), "4.2** kg"),
        LooseFigure(Position("page.md", 7, 10), "0.7 kg"),
        LooseFigure(Position("page.md", 9, 13), "5 mm"),
    ]


def test_what_rests_on_something_or_is_no_prose_is_not_loose() -> None:
    page = (
        "---\nmass: 4 kg\n---\n\n"
        "[4 kg](calc:wheel.mass), [5 kg](cite:book), [6 kg](told:smith), `7 kg`, <!-- 8 kg -->.\n\n"
        "```yaml calc\nmass: 9 kg\n```\n\n    10 kg of code\n"
    )
    assert loose(page) == []


@pytest.mark.parametrize(
    "page,text,line,column",
    [
        ("It weighs 4.2\nkg now.", "4.2 kg", 1, 11),
        ("> It weighs 4.2\n> kg now.", "4.2 kg", 1, 13),
        ("- It weighs 4.2\n  kg now.", "4.2 kg", 1, 13),
        ("It weighs\n4.2 kg now.", "4.2 kg", 2, 1),
        ("Between 400\nand 450 hp.", "Between 400 and 450 hp", 1, 1),
        ("It weighs 4.2&nbsp;kg now.", "4.2&nbsp;kg", 1, 11),
        ("It weighs 4.2\u202fkg now.", "4.2\u202fkg", 1, 11),
        ("It is 12\\.5 mm deep.", "12\\.5 mm", 1, 7),
        ("It is 94\\% of it.", "94\\%", 1, 7),
    ],
)
def test_a_figure_over_a_line_end_or_with_markdown_in_it(
    page: str, text: str, line: int, column: int
) -> None:
    assert loose(page) == [LooseFigure(Position("page.md", line, column), text)]


@pytest.mark.parametrize(
    "page",
    [
        "Use a 10 mm\nsocket on it.",
        "Use a [10 mm](https://example.org) socket on it.",
        "- length 4\n- m for short",
        "| 4 | kg |\n|---|---|\n| 5 | kg |",
        "It says 4 `x` kg.",
    ],
)
def test_neither_names_nor_neighbours_make_a_figure(page: str) -> None:
    assert loose(page) == []


def test_a_site_adds_its_own_nouns() -> None:
    page = "We turned a 60 mm trunnion and two 2.5 kg Trunnions."
    assert [figure.text for figure in loose(page)] == ["60 mm", "2.5 kg"]
    assert loose(page, "Trunnion ") == []
    assert loose(page, "gudgeon") == loose(page)


@pytest.mark.parametrize(
    "text,expected",
    [
        ("a 12 V battery", []),
        ("a 3.1 kg battery", ["3.1 kg"]),
        ("a 76 mm (3 in) hose", []),
        ("10 mm, 13 mm and 17 mm sockets", []),
        ("10 mm, 13 mm and 1.7 kg", ["10 mm", "13 mm", "1.7 kg"]),
        ("a 3 mm bush wear", ["3 mm"]),
        ("Hose clamp, 76 mm, two off", []),
        ("The hose is 76 mm now", ["76 mm"]),
        ("a 5 litre can; 5 litres can spill", ["5 litres"]),
    ],
)
def test_nominal_sizes_are_known_by_noun_and_dimension(text: str, expected: list[str]) -> None:
    assert [text[start:end] for start, end in loose_spans(text)] == expected


@pytest.mark.parametrize(
    "text,expected",
    [
        ('He wrote "number 5" and cut 3" off.', ['3"']),
        ('It is 2" × 4" outside.', ['2" × 4"']),
        ('"It is 5" he said.', []),
        ("Tighten bolts 1 to 4 to 25 N·m.", ["25 N·m"]),
        ("−5 to 5 °C", ["−5 to 5 °C"]),
        ("from −10 °C to +5 °C", ["−10 °C to +5 °C"]),
        ("It fell from 5 °C to −10 °C", ["5 °C", "−10 °C"]),
        ("64 cc × 0.061", ["64 cc"]),
        ("a 10 mm × 1.25 bolt", []),
        (".006-.009 inch", [".006-.009 inch"]),
        ("It is 8 Kg and makes 10 KW at 12 Volts.", ["8 Kg", "10 KW", "12 Volts"]),
        ("16 ft. lbs. and 35 inch lbs", ["16 ft. lbs.", "35 inch lbs"]),
        ("13 lb in, then 5 lb in all", ["13 lb in", "5 lb"]),
        ("25mmx10mm", ["25mmx10mm"]),
        ("10.6 to 1", ["10.6 to 1"]),
        ("drops of 0.05 to 1 mm, or 1.5 to 1 mm", ["0.05 to 1 mm", "1.5 to 1 mm"]),
        ("it is 12.8V or 13.8v, the 16v head", ["12.8V", "13.8v"]),
        ("3k rpm and 20k miles", ["3k rpm", "20k miles"]),
        ("It is a sub-200 kg car.", ["200 kg"]),
        ("It took the K2sub-40 kg away.", []),  # a designation is passed over whole
        ("5 kg 3 m", ["5 kg", "3 m"]),
        ("5 lb 3 oz", ["5 lb 3 oz"]),
        ("17.4 mph per 1,000 rpm, 95 kg +/- 2 kg", ["17.4 mph per 1,000 rpm", "95 kg +/- 2 kg"]),
        ("0.3 of a second", ["0.3 of a second"]),
        ("1/3 more range, 3/8 whitworth, 1/4 of the load", ["1/3", "1/4"]),
        ("6½ times the load, 2× the flow, 2x washers, 3 times", ["6½ times", "2×"]),
    ],
)
def test_traps(text: str, expected: list[str]) -> None:
    assert [text[start:end] for start, end in loose_spans(text)] == expected


@pytest.mark.parametrize(
    "text,expected",
    [
        ("It cost £.50, then $.75 and €.20.", ["£.50", "$.75", "€.20"]),
        ("It is £.50/lap, and v.50 is older.", ["£.50/lap"]),
        ("5 kg/thing, 100 km/tank, 3 g/corner", ["5 kg/thing", "100 km/tank", "3 g/corner"]),
        ("4 in/out pipes, 2 A/B switches", []),
    ],
)
def test_prices_without_a_nought_and_rates_of_any_thing(text: str, expected: list[str]) -> None:
    assert [text[start:end] for start, end in loose_spans(text)] == expected


@pytest.mark.parametrize(
    "text,expected",
    [
        ("It is twice as fast; I measured it twice.", ["twice"]),
        ("double the torque, double valve springs, it is double.", ["double", "double"]),
        ("half the mass, half the garage, half an hour, half as much", ["half", "half"]),
        ("half the total mass, half the old clamping force, half the car at speed", ["half", "half"]),
        (
            "a third of the driver’s weight, half the engine's power, half the final drive",
            ["a third", "half"],
        ),
        ("half a second quicker, a second, a second slower", ["half a second", "a second"]),
        ("a third more, a third gear, a third of the load, a third of the bolts", ["a third", "a third"]),
        ("three times the power, three times we tried", ["three times"]),
        ("ten per cent, one hundred percent sure", ["ten per cent"]),
        ("five millimetres, five bolts, five minutes, five turns", ["five millimetres"]),
        ("a twelve volt battery of twelve volts", ["twelve volts"]),
        ("two in the boot, one in, one out", []),
        ("twenty-two psi and a hundred and ten kilos", ["twenty-two psi", "a hundred and ten kilos"]),
        ("cut by half, too clever by half", ["half"]),
        (
            "between two and three kilos, minus five degrees",
            ["between two and three kilos", "minus five degrees"],
        ),
        ("six foot two", ["six foot two"]),
    ],
)
def test_words_are_figures_where_they_measure_or_compare(text: str, expected: list[str]) -> None:
    assert [text[start:end] for start, end in loose_spans(text)] == expected


@pytest.mark.parametrize(
    "prose,found",
    [
        ("We set [9 N·m] (cite:doc) there.", []),
        ("We set (9 N·m)[cite:doc] there.", []),
        ("We set [9 N·m][nowhere] there.", []),
        ("We set [9 N·m](clac:doc) there.", []),
        ("We set [9 N·m](clac:doc) there, and 8 N·m here.", ["“8 N·m”"]),
        ("8 N·m here, and we set [9 N·m] (cite:doc) there.", ["“8 N·m”"]),
        ("| car | claimed, mph |\n|---|---|\n| a | 110 |", ["“110”, in mph by its heading"]),
    ],
)
def test_a_slip_and_its_loose_figure_are_one_finding(tmp_path: Path, prose: str, found: list[str]) -> None:
    report = proof_book(open_site(tmp_path, {"a.md": f"{prose}\n{LIST}"}))
    loose_ones = [finding for finding in report.findings if finding.code.name == "loose-figure"]
    assert [finding.found for finding in loose_ones] == found
    assert len(report.entries) == report.count("loose") == prose.count("N·m") + prose.count("110")


@pytest.mark.parametrize(
    "more,counted",
    [
        ("", 0),
        ("[the site](site:page), `[9 rpm](calc:a.b)`", 0),
        (LIST, 1),
        ("About [12 N·m](told:smith).", 1),
        ("Mind [its weight](caution:driveline).", 1),
        ("```yaml calc\nkind: parts\n```", 1),
    ],
)
def test_loose_figures_are_those_of_pages_that_have_something_of_ours(
    tmp_path: Path, more: str, counted: int
) -> None:
    """What others write on their pages is neither a finding nor in the ledger, nor does it lower coverage."""
    report = proof_book(open_site(tmp_path, {"a.md": f"It weighs 4.2 kg.\n\n{more}\n"}))
    assert report.count("loose") == counted
    assert sum(finding.code.name == "loose-figure" for finding in report.findings) == counted
    if not counted:
        assert report.coverage == 1


# --- any text ------------------------------------------------------------------------

PIECES = (
    *"0 1 5 12 195/50R15 4.2 1,35 010 .5 ½ 3/8 1:1 4.1:1 12:30 1.2.3".split(),
    *"kg mm in \" ' ° % W J s bars lb cc N·m psig £ € EUR US$ / - – ± × x to and between ( ) . , …".split(),
    *"twice half a third of the mass as ten percent times more inch seven".split(),
    *"M socket hose total the ï \u0663 \ufffc * _ \\ &nbsp; \u00a0".split(" "),
)


@with_examples(200)
@given(st.lists(st.sampled_from([*PIECES, " ", " "]), max_size=40).map("".join))
def test_any_text_is_read_without_an_exception(text: str) -> None:
    spans = loose_spans(text)
    assert all(0 <= start < end <= len(text) for start, end in spans)
    assert all(one[1] <= other[0] for one, other in pairwise(spans))


@with_examples(100)
@given(st.text(alphabet="0123456789.,:/x×-±£kgm in\"'½⁄e", max_size=60))
def test_any_run_of_digits_and_marks_is_read_without_an_exception(text: str) -> None:
    loose_spans(text)


@pytest.mark.parametrize(
    "piece",
    [
        *(
            "1",
            "1 ",
            "1:",
            "1:1",
            "1,",
            "1.",
            "1/",
            "1/1/",
            "1x",
            "1 x ",
            "1-",
            "1 to ",
            "1 mm ",
            "1 mm, ",
            "1 mm x ",
        ),
        *(
            '1"',
            '"',
            "1'",
            "£1 ",
            "1 £",
            "1±",
            "½",
            "1½",
            "-1",
            "between 1 and ",
            "M8x",
            "1 000 ",
            "100 mm and ",
        ),
        *(
            "word ",
            "*1*",
            "1 lb 1 oz ",
            "EUR",
            "e1",
            "1e",
            "1 in ",
            "\ufffc",
            "1 mm (1 in) ",
            "10 mm a-",
            "1W-",
            "twice ",
            "half the ",
            "two hundred ",
            "a ",
            "one and ",
            "three times ",
            "seven-",
        ),
    ],
)
@pytest.mark.bench
def test_a_long_line_takes_time_in_proportion(piece: str) -> None:
    """Twice the text takes about twice the time; a scan that goes back would take four times."""

    def taken(length: int) -> float:
        text = piece * (length // len(piece))
        best = 9.0
        for _ in range(2):
            start = time.process_time()
            loose_spans(text)
            best = min(best, time.process_time() - start)
        return best

    taken(1000)
    short = taken(10_000)
    assert taken(40_000) < max(9 * short, 0.2)


@pytest.mark.bench
@pytest.mark.parametrize("plain_words,seconds", [(100, 1.0), (0, 5.0)])
def test_a_megabyte_in_one_line(plain_words: int, seconds: float) -> None:
    """Of prose with a figure now and then; and of figures alone, which nobody writes (some 1.2 s)."""
    filling = " and then it was bolted down again" * (plain_words // 7)
    text = " ".join(case.text + filling for case in sentences("sentences.tsv"))
    text *= 1_000_000 // len(text) + 1
    start = time.process_time()
    found = loose_spans(text[:1_000_000])
    taken = time.process_time() - start
    print(f"\n1 MB in one line: {taken:.2f} s, {len(found)} figures")
    assert len(found) > 500
    assert taken < seconds


@pytest.mark.parametrize(
    "heading,unit",
    [
        ("claimed, mph", "mph"),
        ("mass (kg)", "kg"),
        ("gap [mm]", "mm"),
        ("torque / N·m", "N·m"),
        ("speed in km/h", "km/h"),
        ("rpm", "rpm"),
        ("**mph**", "mph"),
        ("km/h at the limit", "km/h"),
        ("weight kg", "kg"),
        ("pressure, psi cold", "psi"),
        ("cost (£)", "£"),
        ("toe (in)", "in"),
        ("share, %", "%"),
        ("min", ""),
        ("second", ""),
        ("in", ""),
        ("out", ""),
        ("part no.", ""),
        ("hours", ""),
        ("time (min)", ""),
        ("torque (3000 rpm)", ""),
        ("10 mm bolts", ""),
        ("at 3000 rpm", ""),
        ("teeth", ""),
        ("", ""),
    ],
)
def test_the_unit_of_a_heading(heading: str, unit: str) -> None:
    assert unit_of_heading(heading) == unit


@pytest.mark.parametrize(
    "cell,expected",
    [
        ("110", ["110"]),
        ("about 110", ["110"]),
        ("−1.5", ["−1.5"]),
        ("+2", ["+2"]),
        ("0.9–1.1", ["0.9–1.1"]),
        ("47 ± 3", ["47 ± 3"]),
        ("1.5 to 1.7", ["1.5 to 1.7"]),
        ("5 000", ["5 000"]),
        ("**110**", ["110"]),
        ("110[^a]", ["110"]),
        ("162 (wet 170)", ["162", "170"]),
        ("110 mph", ["110 mph"]),
        ("DNF", []),
        ("4411-2", []),
        ("M8", []),
        ("4 bolts", []),
        ("2nd", []),
        ("[110](calc:a.b)", []),
        ("`110`", []),
        ("", []),
    ],
)
def test_a_cell_under_a_heading_with_a_unit(cell: str, expected: list[str]) -> None:
    page = f"| car | claimed, mph | no. |\n|---|---|---|\n| Mk 1 | {cell} | 110 |\n"
    found = loose(page)
    assert [figure.text for figure in found] == expected
    for figure in found:
        line = page.splitlines()[figure.position.line - 1]
        assert line[figure.position.column - 1 :].startswith(figure.text)


def test_the_first_cell_of_a_row_or_the_corner_gives_the_unit_too() -> None:
    rows = "| | old | new |\n|---|---|---|\n| mass (kg) | 12 | 11 |\n| bolts | 4 | 4 |\n"
    corner = "| mph | 2nd | 3rd |\n|---|---|---|\n| before | 62 | 91 |\n"
    curve = "| rpm | 3000 | 4000 |\n|---|---|---|\n| plugs | 3 | 4 |\n"
    assert [figure.text for figure in loose(rows)] == ["12", "11"]
    assert [figure.text for figure in loose(corner)] == ["62", "91"]
    assert [figure.text for figure in loose(curve)] == ["3000", "4000"]
    assert [figure.text for figure in loose(f"{rows}\nand\n\n{corner}")] == ["12", "11", "62", "91"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("15 Prozent leichter", ["15 Prozent"]),
        ("um 2 Prozentpunkte", ["2 Prozentpunkte"]),
        ("20 Grad wärmer", ["20 Grad"]),
        ("auf 90 Grad Celsius", ["90 Grad Celsius"]),
        ("in 6,2 Sekunden", ["6,2 Sekunden"]),
        ("bei 4.500 U/min", ["4.500 U/min"]),
        ("aus 5 Litern", ["5 Litern"]),
        ("3 Millimeter dick", ["3 Millimeter"]),
        ("2 Kilo zu viel", ["2 Kilo"]),
        ("mit 9 Newtonmetern", ["9 Newtonmetern"]),
        ("kostet 1.200,50 €", ["1.200,50 €"]),
        ("wiegt 12.345,6 g", ["12.345,6 g"]),
        ("Version 1.2.3,4 kg", ["4 kg"]),  # no number in groups of three
        ("nach 3 Umdrehungen", []),  # counted, as turns are
        ("5 Gramma", []),
        ("7 Graduierte", []),
    ],
)
def test_german_words_for_units_and_numbers_with_points_and_a_comma(text: str, expected: list[str]) -> None:
    """A figure with a comma is refused in a link, and so it is loose outside of one."""
    assert [figure.text for figure in loose(text)] == expected
