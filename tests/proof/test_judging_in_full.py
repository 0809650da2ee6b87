"""All that is said of a figure which does not agree: where, what was found and expected, what to do, on what
it rests. Numbers are by hand: 1.7568 m · 8200/60 / (1.4 · 41/9) is 135.5246 km/h, and 150.5829 with 4.10 for
41/9, which is 15.0583 km/h or 10.0 % more; in second gear 94.8672 km/h.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Position, Severity
from buildlog.proof.judging import Judged, Places, judge_figure
from buildlog.proof.proof import proof_book
from tests.samples import GEARING, calc, open_site

SOURCES = """\
manual: {title: Gearbox manual, facts: {plug: 39 N·m}}
owner: {who: the last owner, when: when we bought it}
leaflet: {title: A leaflet}
"""
AFTER = "calc:shorter-final.after"
THIRD = f"{AFTER}.speed_at_limit.3"
BLOCK = "content/a.md:3:1"
GEAR = "road speed at the rev limit, gear 3"


def book_of(folder: Path, prose: str) -> Book:
    return open_site(folder, {"a.md": f"{prose}\n\n{GEARING}", "sources.yml": SOURCES})


def judged_and_found(folder: Path, prose: str) -> tuple[Judged, list[Diagnostic]]:
    report = proof_book(book_of(folder, prose), ["a"])
    (entry,) = report.entries
    assert entry.judged is not None
    unused = ("unused-block", "unused-source")
    return entry.judged, [one for one in report.findings if one.code.name not in unused]


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


# The prose, then code, column and length, what was found, expected and helps.
IN_FULL = [
    (
        f"See [153.5 km/h]({THIRD}).",
        ("figure-disagrees", 6, 10),
        "153.5 km/h, which stands for 153.45 to 153.55 km/h",
        "135.52 km/h, 18 km/h or 12 % less (shorter-final.after.speed_at_limit.3)",
        f"write “135.5 km/h”, or mend the block at {BLOCK}",
    ),
    (
        f'See [138.3 km/h]({THIRD} "± 2").',
        ("figure-disagrees", 6, 10),
        "138.3 km/h, which stands for 136.25 to 140.35 km/h",  # half of the last digit, and the tolerance
        "135.52 km/h, 2.78 km/h or 2 % less (shorter-final.after.speed_at_limit.3)",
        f"write “135.5 km/h”, or mend the block at {BLOCK}",
    ),
    (
        f"See [over 140 km/h]({THIRD}).",
        ("figure-disagrees", 6, 13),
        "over 140 km/h, which stands for anything above 140 km/h",
        "135.5 km/h, 4.48 km/h or 3.2 % less (shorter-final.after.speed_at_limit.3)",
        f"write “135.5 km/h”, or mend the block at {BLOCK}",
    ),
    (
        f"See [under 130 km/h]({THIRD}).",
        ("figure-disagrees", 6, 14),
        "under 130 km/h, which stands for anything below 130 km/h",
        "135.5 km/h, 5.52 km/h or 4.2 % more (shorter-final.after.speed_at_limit.3)",
        f"write “135.5 km/h”, or mend the block at {BLOCK}",
    ),
    (
        f"See [1.2 km/h]({THIRD}).",  # a hundred times as much is told without a percentage
        ("figure-disagrees", 6, 8),
        "1.2 km/h, which stands for 1.15 to 1.25 km/h",
        "135.52 km/h, 134 km/h more (shorter-final.after.speed_at_limit.3)",
        f"write “135.5 km/h”, or mend the block at {BLOCK}",
    ),
    (
        f'See [11 %]({THIRD} "vs before").',
        ("figure-disagrees", 6, 4),
        "11 %, which stands for 10.5 to 11.5 %",
        "10.0 %, 1 percentage point less (shorter-final.after.speed_at_limit.3 against before)",
        f"write “10 %”, or mend the block at {BLOCK}",
    ),
    (
        f'It falls [from 150.6 to 136.5 km/h]({THIRD} "vs before").',
        ("figure-disagrees", 11, 24),
        "from 150.6 to 136.5 km/h, which stands for 136.45 to 136.55 km/h",
        "150.58 km/h → 135.52 km/h, 0.975 km/h or 0.71 % less "
        "(shorter-final.after.speed_at_limit.3 against before)",
        f"write “from 150.6 to 135.5 km/h”, or mend the block at {BLOCK}",
    ),
    (
        f'It is [10 %]({THIRD} "vs before") more.',
        ("direction-contradicts", 8, 4),
        "“more” with 10 %",
        "10.0 % less (shorter-final.after.speed_at_limit.3 against before)",
        "change the word, or swap the two: the address of before with “vs after”",
    ),
    (
        'It is [10 %](calc:shorter-final.before.speed_at_limit.3 "vs after") less.',
        ("direction-contradicts", 8, 4),
        "“less” with 10 %",
        "11.1 % more (shorter-final.before.speed_at_limit.3 against after)",  # 15.0583 of 135.5246
        "change the word, or swap the two: the address of after with “vs before”",
    ),
    (
        f'It is [faster]({THIRD} "vs before").',
        ("words-disagree", 8, 6),
        "“faster”",
        "−15.06 km/h ± 0.24 km/h (shorter-final.after.speed_at_limit.3 against before)",
        f"write “slower”, or mend the block at {BLOCK}",
    ),
    (
        f"It is [faster]({THIRD}).",
        ("figure-unreadable", 8, 6),
        "“faster”, and no other case",
        "a number, or a case to compare with",
        "name the other case in the title: “vs CASE”; the computed value is 135.5 km/h",
    ),
    (
        f"It is [15 km/h less]({THIRD}).",
        ("figure-unreadable", 8, 12),
        "“less” of what is no change",
        "a case to compare with",
        "name the other case in the title, “vs CASE”, or leave the word out of the brackets; "
        "the computed value is 135.5 km/h",
    ),
    (
        f"third ends at [94.9 km/h]({AFTER}.speed_at_limit.2)",
        ("other-gear", 16, 9),
        "“94.9 km/h”, of gear 2, where the sentence names gear 3",
        "the gear that the sentence names",
        "point the address at gear 3, or name gear 2 in the sentence",
    ),
    (
        f"third ends at []({AFTER}.speed_at_limit.2)",
        ("other-gear", 16, 1),
        "“94.9 km/h”, of gear 2, where the sentence names gear 3",
        "the gear that the sentence names",
        "point the address at gear 3, or name gear 2 in the sentence",
    ),
    (
        f"before it was [135.5 km/h]({THIRD})",
        ("other-case", 16, 10),
        "“135.5 km/h”, of the case “after”, where the sentence names “before”",
        "the case that the sentence names",
        "point the address at before, or name “after” in the sentence",
    ),
    (
        '[35 N·m](told:owner "for the drain plug")',
        ("torque-not-cited", 22, 18),
        "“35 N·m”, which is told",
        "a torque with cite:",
        "Cite the maker's document, or take “for …” out of the title, so that it stays off the sheet.",
    ),
    (
        "[40 N·m](cite:manual.plug)",
        ("cited-differently", 2, 6),
        "40 N·m",
        "39 N·m (manual.plug)",
        "write “39 N·m”, or mend the fact at content/sources.yml:1:47",
    ),
    (
        "[40 N·m](cite:manual.plugg)",
        ("unknown-fact", 10, 17),
        "“plugg”",
        "one of plug",
        "did you mean “plug”?",
    ),
    (
        "[40 mm](cite:leaflet.plug)",
        ("unknown-fact", 9, 17),
        "“plug”",
        "a fact of leaflet, which has none",
        "Correct the name, or add the fact to the source's entry in sources.yml.",
    ),
    (
        "[39 N·m](cite:manual)",
        ("torque-without-fact", 10, 11),
        "“39 N·m” of manual",
        "cite:source.fact",
        "add “facts: {name: 39 N·m}” to manual in sources.yml, and write cite:manual.name",
    ),
    (
        "[39 mm](cite:manul)",
        ("unknown-source", 9, 10),
        "“manul”",
        "one of manual, owner, leaflet",
        "did you mean “manual”?",
    ),
    (
        "[39 mm](cite:owner)",
        ("wrong-standing", 9, 10),
        "cite:owner, which is somebody's word",
        "told:owner",
        "Use cite: for documents (title) and told: for somebody's word (who).",
    ),
    (
        "[39 mm](told:manual)",
        ("wrong-standing", 9, 11),
        "told:manual, which is a document",
        "cite:manual",
        "Use cite: for documents (title) and told: for somebody's word (who).",
    ),
    ("[](told:owner)", ("empty-label", 2, 1), "nothing", "a figure", "Write the figure in the brackets."),
    (
        '[39 N·m](cite:manual.plug "± 2 N·m")',
        ("option-unreadable", 28, 7),
        "the title “± 2 N·m” on a cite: figure",
        "no title but “for WHAT” and “in UNIT”: the other options are for calc:",
        "say it in the label, as a range for a tolerance",
    ),
    (
        f'[135.5 km/h]({THIRD} "of calc:shorter-final.before")',
        ("option-unreadable", 57, 28),
        "“of calc:shorter-final.before” on a calc: figure",
        "“of” on a told: figure only",
        "two computed values are compared by “against”, a change by “vs”; the computed value is 135.5 km/h",
    ),
    (
        f'[150 km/h](told:owner "of {THIRD}")',
        ("claim-differs", 2, 8),
        "“150 km/h”",
        "135.5 km/h ± 2.12 km/h (shorter-final.after.speed_at_limit.3)",
        "Leave it, if it is what was said: the page says that they do not agree.",
    ),
]
WARNINGS = ("other-gear", "other-case", "torque-without-fact")


@pytest.mark.parametrize(("prose", "where", "found", "expected", "helps"), IN_FULL)
def test_a_finding_says_all_of_it(
    tmp_path: Path, prose: str, where: tuple[str, int, int], found: str, expected: str, helps: str
) -> None:
    judged, (finding,) = judged_and_found(tmp_path, prose)
    assert (finding.code.name, finding.position.column, finding.length) == where
    assert (plain(finding.found), plain(finding.expected), plain(finding.help)) == (found, expected, helps)
    wanted = Severity.WARNING if where[0] in WARNINGS else Severity.ERROR
    if where[0] == "claim-differs":  # people may be wrong: the page says so, and it is no fault of the page
        wanted = Severity.NOTE
    assert finding.severity is wanted
    assert judged.agrees is (wanted is not Severity.ERROR)


RESTS_ON = "shorter-final.after.speed_at_limit.3"


@pytest.mark.parametrize(
    ("figure", "second", "rows"),
    [
        (
            f"[153.5 km/h]({THIRD})",
            "computed by shorter-final (gearing)",
            [
                ("stated", "153.5 km/h", "stands for 153.45 to 153.55 km/h"),
                ("computed", "135.52 km/h", "18 km/h or 12 % less"),
                ("rests on", RESTS_ON, ""),
                ("which is", GEAR, ""),
            ],
        ),
        (
            f'[11 %]({THIRD} "vs before")',
            "computed by shorter-final (gearing)",
            [
                ("stated", "11 %", "stands for 10.5 to 11.5 %"),
                ("computed", "10.0 %", "1 percentage point less"),
                ("rests on", f"{RESTS_ON} against before", ""),
                ("which is", GEAR, ""),
            ],
        ),
        (
            f'[+10 %]({THIRD} "vs before")',
            "computed by shorter-final (gearing)",
            [
                ("stated", "+10 %", "stands for 9.5 to 10.5 %"),
                ("computed", "−10.0 %", "20 percentage points less"),
                ("rests on", f"{RESTS_ON} against before", ""),
                ("which is", GEAR, ""),
            ],
        ),
        (
            f'[faster]({THIRD} "vs before")',
            "computed by shorter-final (gearing)",
            [
                ("stated", "faster", ""),
                ("computed", "−15.06 km/h ± 0.24 km/h", ""),
                ("rests on", f"{RESTS_ON} against before", ""),
                ("which is", GEAR, ""),
            ],
        ),
        (
            f'[15 km/h more]({THIRD} "vs before")',
            "computed by shorter-final (gearing)",
            [
                ("stated", "15 km/h more, “more”", ""),
                ("computed", "15.1 km/h less", ""),
                ("rests on", f"{RESTS_ON} against before", ""),
                ("which is", GEAR, ""),
            ],
        ),
        (
            "[110 km/h](calc:shorter-final.after.cruise_speed)",
            "given by shorter-final (gearing)",
            [
                ("stated", "110 km/h", "stands for 109.5 to 110.5 km/h"),
                ("given", "100.0 km/h", "10 km/h or 9.1 % less"),
                ("rests on", "shorter-final.after.cruise_speed", ""),
            ],
        ),
        (
            "[40 N·m](cite:manual.plug)",
            "the fact",
            [("stated", "40 N·m", ""), ("cited", "39 N·m", ""), ("rests on", "manual.plug", "")],
        ),
    ],
)
def test_a_finding_shows_on_what_the_figure_rests(
    tmp_path: Path, figure: str, second: str, rows: list[tuple[str, str, str]]
) -> None:
    _, findings = judged_and_found(tmp_path, f"See {figure}.")
    (finding,) = findings
    assert finding.second_label == second
    assert [(row.name, plain(row.value), row.remark) for row in finding.rows] == rows


def judged_alone(book: Book, label: str, address: str, title: str = "") -> Judged:
    places = Places.all_at(Position("a.md"))
    return judge_figure(book, "a", label=label, address=address, title=title, places=places)


@pytest.mark.parametrize(
    ("label", "address", "title", "shown"),
    [
        ("", THIRD, "", "135.5 km/h"),
        ("", THIRD, "in mph", "84.2 mph"),
        ("", THIRD, "vs before", "−15.1 km/h"),
        ("", THIRD, "vs before; in %", "−10.0 %"),
        ("", "cite:manual.plug", "", "39 N·m"),
        ("135.5 km/h", THIRD, "", "135.5 km/h"),
        ("135.5  km/h", THIRD, "", "135.5  km/h"),
    ],
)
def test_what_a_figure_shows(tmp_path: Path, label: str, address: str, title: str, shown: str) -> None:
    judged = judged_alone(book_of(tmp_path, "x"), label, address, title)
    assert judged.agrees
    assert plain(judged.text) == shown


def test_sources_that_nobody_has_written_are_named_by_their_file(tmp_path: Path) -> None:
    report = proof_book(open_site(tmp_path, {"a.md": "[39 mm](cite:manual)\n"}), ["a"])
    (finding,) = report.errors
    assert finding.code.name == "unknown-source"
    assert finding.expected == "an entry of content/sources.yml"


# A mean of 9, 10 and 11 N·m, and a choice with a mass to save: 200 g of 150 g asked, so 50 g to spare.
BLOCKS = calc("""
    id: drag
    kind: measured
    inputs:
      readings: [9 N·m, 10 N·m, 11 N·m]
""") + "\n" + calc("""
    id: choice
    kind: decision
    requires:
      - name: saves mass
        key: mass
        value: {steel: 0 g, light: 200 g}
        at_least: 150 g
    options: [steel, light]
    chosen: light
""")  # fmt: skip


def test_a_computed_torque_stays_off_the_workshop_sheet(tmp_path: Path) -> None:
    """TORQUE_NOT_CITED: a torque that is computed explains, and does not instruct."""
    for title, agrees in (('"for the drain plug"', False), ("", True)):
        book = open_site(tmp_path, {"a.md": f"It takes [10 N·m](calc:drag.mean {title}).\n\n{BLOCKS}"})
        report = proof_book(book, ["a"])
        found = [one.found for one in report.errors]
        assert found == ([] if agrees else ["“10 N·m”, which is computed"])
        assert [entry.agrees for entry in report.entries] == [agrees]


@pytest.mark.parametrize(
    ("label", "address", "title", "text", "spoken", "agrees"),
    [
        ("", "calc:choice.mass", "", "holds", "holds", True),
        ("", "calc:choice.steel.mass", "", "fails", "fails", True),
        ("Holds", "calc:choice.mass", "", "Holds", "holds", True),
        ("fails", "calc:choice.mass", "", "fails", "holds", False),
        ("", "calc:choice.mass", "in kg", "0.050 kg", "", True),
        ("50 g", "calc:choice.mass", "", "50 g", "50.0 g", True),
    ],
)
def test_words_of_a_decision(
    tmp_path: Path, label: str, address: str, title: str, text: str, spoken: str, agrees: bool
) -> None:
    """The manual of the kind: a number is the row's margin, a word its verdict, of the chosen option."""
    book = open_site(tmp_path, {"a.md": BLOCKS})
    judged = judged_alone(book, label, address, title)
    assert (plain(judged.text), judged.agrees) == (text, agrees)
    assert plain(judged.computed_text) == spoken


@pytest.mark.parametrize(
    ("unit", "decimals"),
    [
        # 1.7568 m is shown with three decimals, to the millimetre; another unit keeps about as much
        ("m", 3),
        ("mm", 0),
        ("cm", 1),
        ("km", 6),
        ("in", 2),  # a hundredth of an inch is a quarter of a millimetre, a tenth more than two
        ("ft", 3),
        ("mile", 6),
    ],
)
def test_another_unit_has_about_the_digits_of_the_card(tmp_path: Path, unit: str, decimals: int) -> None:
    judged = judged_alone(book_of(tmp_path, "x"), "", f"{AFTER}.rolling_circumference", f"in {unit}")
    number = plain(judged.text).split()[0]
    assert len(number.partition(".")[2]) == decimals
    assert float(number) == pytest.approx(
        1.7568
        / {"m": 1, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "in": 0.0254, "ft": 0.3048, "mile": 1609.344}[unit],
        abs=0.51 * 10**-decimals,
    )
