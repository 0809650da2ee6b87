"""Front matter about a job: what is read of it, and what is said of what cannot be."""

from __future__ import annotations

import textwrap
from pathlib import Path

import pytest

from buildlog.diagnostics import Severity
from buildlog.proof.proof import proof_book
from buildlog.reading.front_matter_keys import KEYS
from buildlog.reading.howto import HowTo, series_faults
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
    """A page with this front matter."""
    return read_page("one", "content/one.md", f"---\n{front}\n---\n\n{body}")


def ours(own: str, body: str = "# Title\n") -> Page:
    """A page with this under our key."""
    return page("buildlog:\n" + textwrap.indent(own, "  "), body)


def fault(own: str, body: str = "# Title\n") -> tuple[str, str, str, str]:
    """Code, place, what was found and what was expected of the one finding."""
    (found,) = ours(own, body).faults
    place = f"{found.position.line}:{found.position.column}"
    return found.code.name, place, found.found, f"{found.expected} {found.help}".strip()


def test_a_figure_of_the_front_matter_keeps_its_title_and_where_it_stands() -> None:
    (link,) = ours("""time: 'about [14 h](calc:a.b "vs before"), alone'""").scanned.links
    assert (link.label, link.address, link.title) == ("14 h", "calc:a.b", "vs before")
    assert str(link.address_position) == "content/one.md:3:23"
    assert str(link.title_position) == "content/one.md:3:33"


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
    "front", ["title: Only a title", "tags: [a, b]\nhide: [toc]", "buildlog: {series: A, episode: 2}"]
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
        ("buildlog:\n  series: [\n  episode: 1", "5:1"),
        ("title: A: b\nbuildlog: {series: A, episode: 1}", "2:9"),
        ('buildlog:\n  time: "2 h', "4:1"),
        ("buildlog:\n  tools:\n\t- a hammer", "4:1"),
    ],
)
@pytest.mark.parametrize("body", ["# Title\n", BILL])
def test_what_was_meant_as_front_matter_and_cannot_be_read_is_said(front: str, place: str, body: str) -> None:
    (found,) = page(front, body).faults
    assert (found.code.name, found.severity) == ("front-matter-unreadable", Severity.WARNING)
    assert f"{found.position.line}:{found.position.column}" == place


def test_a_line_at_the_top_and_a_second_one_are_no_front_matter() -> None:
    for text in ("---\nThe car: quick.\n---\n", "---\n\ntitle: A: b\n", "---\nnote: [a\n---\n"):
        assert read_page("one", "content/one.md", text).faults == ()


def test_without_a_title_the_first_heading_names_the_page() -> None:
    assert ours("time: 2 h", "Some text.\n\n# A *quiet* duct\n").howto.title == "A quiet duct"


def test_figures_of_the_front_matter_are_proofed_where_they_stand(tmp_path: Path) -> None:
    wrong = FIRST.replace('time: "[14 h](cite:axle-sheet)"', 'time: "[14 h](cite:axel-sheet)"')
    (found,) = proof_book(open_site(tmp_path, {**FILES, "episodes/final.md": wrong})).errors
    assert (found.code.name, found.position.line, found.position.column) == ("unknown-source", 7, 17)
    assert "axle-sheet" in found.help


def test_a_loose_figure_of_the_front_matter_is_found(tmp_path: Path) -> None:
    loose = FIRST.replace('"[1.1 l](cite:axle-sheet) of axle oil"', "1.1 l of axle oil")
    entries = proof_book(open_site(tmp_path, {**FILES, "episodes/final.md": loose})).entries
    found = [one for one in entries if one.standing == "loose"]
    assert [(one.label, one.position.line, one.position.column) for one in found] == [("1.1 l", 12, 17)]


@pytest.mark.parametrize(
    ("front", "code", "place", "found", "expected"),
    [
        ("reversible: perhaps", "how-to-shape", "3:15", "“perhaps”", "one of yes, in part, no"),
        ("hazards: [liftng]", "unknown-caution", "3:13", "“liftng”", "did you mean “lifting”?"),
        ("consumeables: [oil]", "front-matter-key", "3:3", "“consumeables”", "did you mean “consumables”?"),
        ("series: A", "series-order", "3:3", "series without episode", "both"),
        ("episode: 3", "series-order", "3:3", "episode without series", "both"),
        ("series: A\nepisode: third", "how-to-shape", "4:12", "“third”", "a whole number from 1"),
        ("series: A\nepisode: 0", "how-to-shape", "4:12", "“0”", "a whole number from 1"),
        ("series: A\nepisode: 010", "how-to-shape", "4:12", "“010”", "a whole number from 1"),
        ("series: A\nepisode: 1\ndate: 9.3.2024", "how-to-shape", "5:9", "“9.3.2024”", "a day as 2024-05-31"),
        (
            "date: 2024-03-09\nupdated: 2024-03-08",
            "how-to-shape",
            "4:12",
            "“2024-03-08”",
            "a day from 2024-03-09",
        ),
        ("updated: 2024-03-08", "how-to-shape", "3:12", "“2024-03-08”", "a date beside it"),
        ("loose: loud", "how-to-shape", "3:10", "“loud”", "off, note, warn, fail"),
        ("glossary: true", "how-to-shape", "3:13", "“true”", "yes or no"),
        ("lang: German please", "how-to-shape", "3:9", "“German please”", "a language, as de or en-GB"),
        ("series: A\nepisode: 1\nupdated: May", "how-to-shape", "5:12", "“May”", "a day as 2024-05-31"),
        ("series: A\nepisode: 1\ndate: 2024-02-30", "how-to-shape", "5:9", "“2024-02-30”", "a day as"),
        ("time: [a, b]", "how-to-shape", "3:9", "a list", "how long it takes"),
        ("skill:", "how-to-shape", "3:9", "", "who can do it"),
        ("tools: {a: b}", "how-to-shape", "3:10", "", "a list of tools"),
        ("measure: [{Backlash: mn}]", "unknown-unit", "3:24", "mn", ""),
        ("bill: pair", "how-to-shape", "3:9", "“pair”", "a parts block of this page"),
        ("time: 1 h\ntime: 2 h", "duplicate-key", "4:3", "“time” twice", "each key once"),
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
    assert (code, place) == ("how-to-shape", "3:9")
    assert "on one line" in expected
    assert ours('skill: "somebody\n  patient"').faults == ()


def test_a_key_below_ours_that_we_do_not_know_is_an_error() -> None:
    (found,) = ours("tool: [hammer]").faults
    assert (found.severity, found.help) == (Severity.ERROR, "did you mean “tools”?")
    (found,) = ours("title: A duct").faults
    assert "Keys of the site generator, as title, stand at the top" in found.help
    assert page("template: home.html\ntool: [hammer]\nstatus: new", BILL).faults == ()


@pytest.mark.parametrize("value", ["", "yes", "[series, episode]", "3", "'series: A'"])
def test_our_key_with_no_keys_below_it_is_an_error(value: str) -> None:
    (found,) = page(f"buildlog: {value}").faults
    assert (found.code.name, found.position.line) == ("how-to-shape", 2)


@pytest.mark.parametrize("key", ["buildlogs", "build-log", "Buildlog", "build_log", "builldog", "biuldlog"])
def test_a_key_that_is_nearly_our_own_is_asked_about_on_a_page_of_ours(key: str) -> None:
    (found,) = page(f"{key}: {{time: 2 h}}", BILL).faults
    assert (found.code.name, found.severity) == ("front-matter-key", Severity.WARNING)
    assert (found.position.line, found.help) == (2, "did you mean “buildlog”?")
    assert page(f"{key}: {{time: 2 h}}").faults == (), "it may be another program's"
    assert page(f"{key}: {{time: 2 h}}\nbuildlog: {{time: 2 h}}", BILL).faults == ()


@pytest.mark.parametrize("key", ["blog", "build", "building", "log", "builder", "buildinfo", "changelog"])
def test_other_keys_are_not(key: str) -> None:
    assert page(f"{key}: yes", BILL).faults == ()


def test_keys_that_stand_twice_are_our_business_below_our_key_only() -> None:
    assert page("title: A\nbuildlog: {time: 2 h}\nx: {a: 1, a: 2}\ntitle: B").faults == ()
    (found,) = page("buildlog: {measure: [{Gap: mm, Gap: m}]}").faults
    assert found.code.name == "duplicate-key"
    (found,) = page("buildlog: {time: 2 h}\nbuildlog: {time: 3 h}").faults
    assert (found.code.name, found.position.line) == ("duplicate-key", 3)


# --- as it stood before ------------------------------------------------------------------------

BEFORE = "series: A\nepisode: 2\ndate: 2024-03-09\ntime: 2 h\nbill: pair"


def test_before_0_2_the_keys_stood_at_the_top() -> None:
    old, new = page(BEFORE, BILL).howto, ours(BEFORE, BILL).howto
    (found,) = old.faults
    assert (found.code.name, found.severity) == ("front-matter-moved", Severity.NOTE)
    assert (found.position.line, found.found) == (2, "series, episode, date, time, bill")
    assert new.faults == ()
    told = ("title", "series", "episode", "date", "bill", "is_job")
    assert [getattr(old, name) for name in told] == [getattr(new, name) for name in told]
    assert old.time is not None
    assert old.time.text == "2 h"


def test_they_are_not_read_on_a_page_without_a_block_or_beside_our_key() -> None:
    assert page(BEFORE).howto == HowTo(title="Title")
    made = page(f"{BEFORE}\nbuildlog: {{skill: none}}", BILL)
    assert made.faults == ()
    assert (made.howto.series, made.howto.date, made.howto.time, made.howto.moved) == ("", "", None, ())


@pytest.mark.parametrize(
    "front",
    [
        "series: A\nepisode: 1",
        "reversible: in part",
        "hazards: [lifting]",
        "bill: pair",
        "loose: off",
        "steps: How it goes in",
        "consumables: [oil]",
        "measure: [Backlash: mm]",
        "undo: [Fit the old one.]",
        "time: 2 h\ntools: [a hoist]",
        "time: '[14 h](cite:sheet)'",
    ],
)
def test_what_only_we_read_is_meant_for_us(front: str) -> None:
    made = page(front, f"# A\n\n## How it goes in\n\n1. Lift.\n\n{BILL}")
    assert [fault.code.name for fault in made.faults] == ["front-matter-moved"]
    assert [key.text for key in made.howto.moved] == [line.split(":")[0] for line in front.split("\n")]


@pytest.mark.parametrize(
    "front",
    [
        "date: 2024-05-31\nauthors: [me]\ncategories: [axles]\ntags: [a]\nslug: x",
        "date: {created: 2024-05-31, updated: 2024-06-01}",
        "date: 2024-05-31 10:00:00\nupdated: 2024-06-01T10:00:00Z",
        "time: 20:15",
        "time: {from: '20:15'}\ntools: {wrench: yes}",
        "series: [A podcast, another]",
        "series: A podcast",
        "episode: S01E02",
        "lang: [de, en]\nglossary: {shim: a ring}",
        "steps: 5",
        "steps: {one: a}\nmeasure: 4/4\nundo: false\nbill: 12 EUR\nreversible: true\nloose: true",
        "hazards: {fire: yes}\nconsumables: 3\nskill: {welding: 3}",
    ],
)
def test_what_others_call_so_is_theirs_on_a_page_with_a_block_too(front: str) -> None:
    made = page(front, BILL)
    assert made.faults == ()
    assert made.howto == HowTo(title=made.howto.title, bill=("pair",))


def test_a_date_of_another_program_is_left_at_the_top() -> None:
    made = page("date: 2024-05-31 10:00\nreversible: yes", BILL)
    assert [(fault.code.name, fault.found) for fault in made.faults] == [("front-matter-moved", "reversible")]
    made = page("series: A\nepisode: 1\ndate: 9.3.2024", BILL)
    assert [fault.code.name for fault in made.faults] == ["how-to-shape", "front-matter-moved"]


@pytest.mark.parametrize(
    "text",
    [
        "---\ntitle: A: b\ntags: [x\n---\n\nText.\n",
        "---\ntitle: A\ntitle: B\nx: &a [1]\ny: *a\ntime: 1\ntime: 2\n---\n\nText.\n",
        "---\ndescription: see cite:smith2020 and (told:us), tool:x\n---\n\nText.\n",
        "---\nseries: [\nepisode: 1\n---\n\nText.\n",
    ],
)
def test_others_front_matter_is_none_of_our_business(text: str) -> None:
    assert read_page("one", "content/one.md", text).faults == ()


def test_which_bill_was_fitted() -> None:
    assert ours("time: 1 h", BILL).howto.bill == ("pair",)
    assert ours("time: 1 h", TWO_BILLS).howto.bill == ()
    assert ours("bill: duct.steel", TWO_BILLS).howto.bill == ("duct.steel",)
    assert ours("bill: [pair, duct.steel]", BILL + TWO_BILLS).howto.bill == ("pair", "duct.steel")
    assert "did you mean “duct.steel”" in fault("bill: duct.stel", TWO_BILLS)[3]


def test_two_episodes_of_one_number() -> None:
    first, second = (
        read_page(name, f"content/{name}.md", "---\nbuildlog: {series: A,\n episode: 1}\n---\n").howto
        for name in "ab"
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
        "buildlog: {series: A, episode: 1}\ndescription: It does 9 rpm (▲told:x)",
        "buildlog: {series: A, episode: 1}\ntags: [gearbox, ▲CALC:a.b]",
        "social: {cards_layout_options: {title: '[9 rpm](▲calc:a.b)'}}",
        "buildlog: {time: 1 h}\n▲calc:a.b: a key",
        "buildlog:\n  series: ▲calc:a.b\n  episode: 1",
        "buildlog:\n  time: '[14 h] (▲cite:x)'",
        "buildlog:\n  time: '[14 h](cite:x), [2 h] (▲cite:y)'",
        "buildlog:\n  tools: ['[19 mm](▲cite:x']",
        "time: '[14 h](▲cite:x)'",
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
        "buildlog:\n  time: '[14 h](cite:x) and [2 h](told:y)'",
        "buildlog:\n  tools: ['[19 mm](cite:x \"for calc:a.b\") spanner']",
    ],
)
def test_front_matter_that_shows_no_address(front: str) -> None:
    assert page(front).faults == ()


def test_a_misspelt_address_in_the_front_matter_is_an_error() -> None:
    (found,) = ours("time: '[14 h](cites:x)'").faults
    assert (found.code.name, str(found.position)) == ("nearly-a-figure", "content/one.md:3:17")
