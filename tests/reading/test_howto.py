"""Front matter about a job: what is read of it, and what is said of what cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.diagnostics import Severity
from buildlog.proof.proof import proof_book
from buildlog.reading.howto import KEYS, series_faults
from buildlog.reading.whole_page import Page, read_page
from tests.jobs import FILES, FIRST
from tests.samples import calc, open_site

BILL = calc("id: pair\nkind: parts\ninputs: {currency: EUR, parts: [{name: a bolt}]}")
TWO_BILLS = calc(
    """
    id: duct
    kind: parts
    inputs: {currency: EUR}
    cases: {steel: {parts: [{name: a}]}, aluminium: {parts: [{name: b}]}}
    """
)


def page(front: str, body: str = "# Title\n") -> Page:
    return read_page("one", "content/one.md", f"---\n{front}\n---\n\n{body}")


def fault(front: str, body: str = "# Title\n") -> tuple[str, str, str, str]:
    """Code, place, what was found and what was expected of the one finding."""
    (found,) = page(front, body).faults
    place = f"{found.position.line}:{found.position.column}"
    return found.code.name, place, found.found, f"{found.expected} {found.help}".strip()


def test_a_figure_of_the_front_matter_keeps_its_title_and_where_it_stands() -> None:
    (link,) = page("""time: 'about [14 h](calc:a.b "vs before"), alone'""").scanned.links
    assert (link.label, link.address, link.title) == ("14 h", "calc:a.b", "vs before")
    assert str(link.address_position) == "content/one.md:2:21"
    assert str(link.title_position) == "content/one.md:2:31"


def test_everything_that_a_job_can_say() -> None:
    howto = read_page("first", "content/first.md", FIRST).howto
    assert (howto.title, howto.series, howto.episode, howto.date) == (
        "A shorter final drive",
        "The Test Car",
        1,
        "2024-03-09",
    )
    assert howto.time is not None
    assert [link.label for link in howto.time.links] == ["14 h"]
    assert howto.skill is not None
    assert howto.skill.text == "somebody who has set up a gear pair before"
    assert howto.reversible == "yes"
    assert howto.hazards == ("lifting",)
    assert [one.text for one in howto.tools] == ["dial gauge", "torque wrench"]
    assert [(one.what.text, one.unit) for one in howto.measure] == [
        ("Backlash of the old pair", "mm"),
        ("Photograph of the contact pattern", ""),
    ]
    assert [one.text for one in howto.undo] == ["Fit the old pair.", "Recalibrate the speedometer."]
    assert howto.bill == ("pair",)
    assert howto.is_job
    assert howto.faults == ()


@pytest.mark.parametrize(
    "front", ["title: Only a title", "tags: [a, b]\nhide: [toc]", "series: A\nepisode: 2"]
)
def test_other_front_matter_is_no_job(front: str) -> None:
    made = page(front)
    assert not made.howto.is_job
    assert made.faults == ()


@pytest.mark.parametrize(
    "text", ["", "just words", "- a\n- list", "key: [unclosed", "a: *b", "x: !!python/name:os.system"]
)
def test_front_matter_that_is_not_ours_to_judge_is_left_to_the_generator(text: str) -> None:
    assert page(text).faults == ()


@pytest.mark.parametrize(
    ("front", "place"),
    [
        ("series: [\nepisode: 1", "4:1"),
        ("title: A: b\nepisode: 1", "2:9"),
        ('time: "2 h', "3:1"),
        ("tools:\n\t- a hammer", "3:1"),
    ],
)
def test_what_was_meant_as_front_matter_and_cannot_be_read_is_said(front: str, place: str) -> None:
    (found,) = page(front).faults
    assert (found.code.name, found.severity) == ("front-matter-unreadable", Severity.WARNING)
    assert f"{found.position.line}:{found.position.column}" == place


def test_a_line_at_the_top_and_a_second_one_are_no_front_matter() -> None:
    for text in ("---\nThe car: quick.\n---\n", "---\n\ntitle: A: b\n", "---\nnote: [a\n---\n"):
        assert read_page("one", "content/one.md", text).faults == ()


def test_without_a_title_the_first_heading_names_the_page() -> None:
    assert page("time: 2 h", "Some text.\n\n# A *quiet* duct\n").howto.title == "A quiet duct"


def test_figures_of_the_front_matter_are_proofed_where_they_stand(tmp_path: Path) -> None:
    wrong = FIRST.replace('time: "[14 h](cite:axle-sheet)"', 'time: "[14 h](cite:axel-sheet)"')
    (found,) = proof_book(open_site(tmp_path, {**FILES, "episodes/final.md": wrong})).errors
    assert (found.code.name, found.position.line, found.position.column) == ("unknown-source", 6, 15)
    assert "axle-sheet" in found.help


def test_a_loose_figure_of_the_front_matter_is_found(tmp_path: Path) -> None:
    loose = FIRST.replace('"[1.1 l](cite:axle-sheet) of axle oil"', "1.1 l of axle oil")
    entries = proof_book(open_site(tmp_path, {**FILES, "episodes/final.md": loose})).entries
    found = [one for one in entries if one.standing == "loose"]
    assert [(one.label, one.position.line, one.position.column) for one in found] == [("1.1 l", 11, 15)]


@pytest.mark.parametrize(
    ("front", "code", "place", "found", "expected"),
    [
        ("reversible: perhaps", "how-to-shape", "2:13", "“perhaps”", "one of yes, in part, no"),
        ("hazards: [liftng]", "unknown-caution", "2:11", "“liftng”", "did you mean “lifting”?"),
        ("consumeables: [oil]", "front-matter-key", "2:1", "“consumeables”", "did you mean “consumables”?"),
        ("series: A", "series-order", "2:1", "series without episode", "both"),
        ("episode: 3", "series-order", "2:1", "episode without series", "both"),
        ("series: A\nepisode: third", "how-to-shape", "3:10", "“third”", "a whole number from 1"),
        ("series: A\nepisode: 0", "how-to-shape", "3:10", "“0”", "a whole number from 1"),
        ("series: A\nepisode: 010", "how-to-shape", "3:10", "“010”", "a whole number from 1"),
        ("series: A\nepisode: 1\ndate: 9.3.2024", "how-to-shape", "4:7", "“9.3.2024”", "a day as 2024-05-31"),
        (
            "date: 2024-03-09\nupdated: 2024-03-08",
            "how-to-shape",
            "3:10",
            "“2024-03-08”",
            "a day from 2024-03-09",
        ),
        ("lang: German please", "how-to-shape", "2:7", "“German please”", "a language, as de or en-GB"),
        ("series: A\nepisode: 1\nupdated: May", "how-to-shape", "4:10", "“May”", "a day as 2024-05-31"),
        ("series: A\nepisode: 1\ndate: 2024-02-30", "how-to-shape", "4:7", "“2024-02-30”", "a day as"),
        ("time: [a, b]", "how-to-shape", "2:7", "a list", "how long it takes"),
        ("skill:", "how-to-shape", "2:7", "", "who can do it"),
        ("tools: {a: b}", "how-to-shape", "2:8", "", "a list of tools"),
        ("measure: [{Backlash: mn}]", "unknown-unit", "2:22", "mn", ""),
        ("bill: pair", "how-to-shape", "2:7", "“pair”", "a parts block of this page"),
        ("time: 1 h\ntime: 2 h", "duplicate-key", "3:1", "“time” twice", "each key once"),
    ],
)
def test_what_cannot_be_read_is_said_with_its_place(
    front: str, code: str, place: str, found: str, expected: str
) -> None:
    said = fault(front)
    assert said[:2] == (code, place)
    assert found in said[2]
    assert expected in said[3]


def test_a_text_with_a_figure_stands_on_one_line_so_that_its_place_is_known() -> None:
    code, place, _, expected = fault('time: "[14 h](cite:sheet) and\n  a bit more"')
    assert (code, place) == ("how-to-shape", "2:7")
    assert "on one line" in expected
    assert page('skill: "somebody\n  patient"').faults == ()


def test_a_key_that_is_nearly_ours_is_a_warning_only() -> None:
    (found,) = page("tool: [hammer]").faults
    assert found.severity is Severity.WARNING
    assert page("template: home.html\nauthors: [me]\nstatus: new").faults == ()


def test_which_bill_was_fitted() -> None:
    assert page("time: 1 h", BILL).howto.bill == ("pair",)
    assert page("time: 1 h", TWO_BILLS).howto.bill == ()
    assert page("bill: duct.steel", TWO_BILLS).howto.bill == ("duct.steel",)
    assert page("bill: [pair, duct.steel]", BILL + TWO_BILLS).howto.bill == ("pair", "duct.steel")
    assert "did you mean “duct.steel”" in fault("bill: duct.stel", TWO_BILLS)[3]


def test_two_episodes_of_one_number() -> None:
    first, second = (
        read_page(name, f"content/{name}.md", "---\nseries: A\nepisode: 1\n---\n").howto for name in "ab"
    )
    (found,) = series_faults({"a": first, "b": second})
    assert (found.code.name, found.position.path, found.position.line) == ("series-order", "content/b.md", 3)
    assert found.second is not None
    assert found.second.path == "content/a.md"


def test_the_manual_tells_of_every_key() -> None:
    manual = Path(__file__).parents[2].joinpath("content/manual/how-to.md").read_text(encoding="utf-8")
    table = manual.partition("| key | what it takes |")[2].partition("\n\n")[0]
    assert {key for key in KEYS if f"`{key}`" in table} == set(KEYS)


@pytest.mark.parametrize(
    "front",
    [
        "title: '[9 rpm](▲calc:a.b)'",
        'description: "It does [9 rpm](▲cite:x)"',
        "description: It does 9 rpm (▲told:x)",
        "tags: [gearbox, ▲CALC:a.b]",
        "social: {cards_layout_options: {title: '[9 rpm](▲calc:a.b)'}}",
        "▲calc:a.b: a key",
        "series: ▲calc:a.b\nepisode: 1",
        "time: '[14 h] (▲cite:x)'",
        "time: '[14 h](cite:x), [2 h] (▲cite:y)'",
        "tools: ['[19 mm](▲cite:x']",
        "title: ▲>-\n  [9 rpm](calc:a.b) on\n  two lines",
    ],
)
def test_an_address_that_front_matter_shows_as_it_is_is_an_error_at_its_place(front: str) -> None:
    before = front[: front.index("▲")]
    line, column = before.count("\n") + 2, len(before) - (before.rfind("\n") + 1) + 1
    (found,) = page(front.replace("▲", "")).faults
    assert (found.code.name, found.severity) == ("figure-in-front-matter", Severity.ERROR)
    assert (found.position.line, found.position.column) == (line, column)


@pytest.mark.parametrize(
    "front",
    [
        "title: As I was told, it is fast",
        "description: 'He told: nothing. calc: it is not hard'",
        "title: One  # calc:a.b in a comment",
        "links: ['https://a.example/?q=calc:a.b', 'https://a.example/cite:x']",
        "time: '[14 h](cite:x) and [2 h](told:y)'",
        "tools: ['[19 mm](cite:x \"for calc:a.b\") spanner']",
    ],
)
def test_front_matter_that_shows_no_address(front: str) -> None:
    assert page(front).faults == ()


def test_a_misspelt_address_in_the_front_matter_is_an_error() -> None:
    (found,) = page("time: '[14 h](cites:x)'").faults
    assert (found.code.name, str(found.position)) == ("nearly-a-figure", "content/one.md:2:15")
