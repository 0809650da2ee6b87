"""A figure in the prose: its mark, its note, where it leads, and what it says when it is wrong."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest

from buildlog.book.book import Book
from buildlog.diagnostics import Position
from buildlog.kinds.results import row_anchor
from buildlog.proof.judging import Judged, Places, judge_figure
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.settings import Settings
from buildlog.render import LinkPiece, render_figure, render_findings, render_sources
from buildlog.render.note_lines import sentence_line
from buildlog.render.reporting import ReportsOf
from tests.parsed_html import Tag, parse, shape
from tests.render.blocks import GEARING, fence
from tests.render.test_card import HOSTILE, href

HERE = Position("episode.md", 1, 1)


def book(page: str = "episode") -> Book:
    made = Book(settings=Settings(content=Path("no-content")), root=Path.cwd()).with_page(
        page, fence(GEARING)
    )
    made.sources.update(
        manual=SourceEntry(
            id="manual", position=HERE, title="Workshop manual", edition="3rd edition", page="p. 12"
        ),
        owner=SourceEntry(id="owner", position=HERE, who="the last owner", when="spring"),
    )
    return made


def judged(label: str, address: str, title: str = "") -> Judged:
    return judge_figure(
        book(), "episode", label=label, address=address, title=title, places=Places.all_at(HERE)
    )


def figure(label: str, address: str, title: str = "", **options: int | bool | str | ReportsOf) -> Tag:
    rendered = render_figure(judged(label, address, title), "episode", "note-1", **options)  # type: ignore[arg-type]
    return parse(rendered.html(href))


ADDRESS = "calc:shorter-final.after.speed_at_limit.3"


def note(tree: Tag) -> list[str]:
    """What a note says in the author's units, to those who hear it too."""
    return [line.words for line in tree.by_id("note-1").all("span")]


def link_of(tree: Tag) -> Tag:
    return tree.one("a", "buildlog-figure")


def own(tag: Tag) -> str:
    """What a figure says in the author's units."""
    return tag.without("buildlog-other").words


@pytest.mark.parametrize(
    "written,shown",
    [
        ("7", "p. 7"),
        ("7–9", "pp. 7–9"),
        ("12, 14", "pp. 12, 14"),
        ("clause 5.2", "clause 5.2"),
        ("p. 12", "p. 12"),
        ("A-7", "A-7"),
        ("table 3, 7", "table 3, 7"),
    ],
)
def test_a_bare_number_is_a_page(written: str, shown: str) -> None:
    source = SourceEntry(
        id="manual", position=HERE, title="Workshop manual", edition="3rd edition", page=written
    )
    assert [one.replace("\u00a0", " ") for one in source.particulars] == ["3rd edition", shown]
    assert SourceEntry(id="manual", position=HERE, title="Workshop manual").particulars == ()


def test_an_agreeing_figure_leads_to_its_row_and_tells_what_was_computed() -> None:
    tree = figure("132.7 km/h", "calc:shorter-final.after.speed_at_limit.3")
    link = link_of(tree)
    assert own(link) == "132.7 km/h"
    assert link.attributes["href"] == "#" + row_anchor("shorter-final", "speed_at_limit", "3")
    assert link.attributes["aria-describedby"] == "note-1"
    assert "buildlog-computed" in link.attributes["class"]
    lines = note(tree)
    # The value to the place of its uncertainty (JCGM 100:2008, 7.2.6), which has its two parts.
    assert lines[0] == "Road speed at the rev limit, gear 3, after"
    assert lines[1].startswith("Computed: 132.7 ±")
    assert "from inputs" in lines[1]
    assert "of the method" in lines[1]
    assert lines[2] == "132.7 and 132.68 km/h: agrees, it rounds to it"
    assert lines[-1] == "From A shorter final drive"
    assert not tree.by_id("note-1").all("a"), "what is read aloud with the figure holds no controls"
    again = tree.one("span", "buildlog-leads").all("a")[0].attributes
    assert again["href"] == link.attributes["href"]
    assert again["tabindex"] == "-1", "the keyboard has the figure itself"
    assert tree.words.startswith("132.7 km/h"), "nothing stands between the label and the prose"


def test_a_disagreeing_figure_shows_both_values_in_words() -> None:
    tree = figure("123.6 km/h", "calc:shorter-final.after.speed_at_limit.3")
    assert "buildlog-wrong" in link_of(tree).attributes["class"]
    verdict = tree.one("strong").words
    assert verdict.startswith("disagrees: 132.68")
    assert verdict.endswith("km/h is computed")
    assert "123.6 and 132.68 km/h: does not agree" in note(tree)


def test_a_change_says_against_what() -> None:
    tree = figure("14.4 %", "calc:shorter-final.after.speed_at_limit.3", "vs before")
    assert not tree.all("strong")
    assert "change from before" in note(tree)[0]


# The speeds are 154.984 and 132.681 km/h, 96.302 and 82.444 mph; from 3.9 to 41/9 they fall by
# 1 − 3.9 · 9 / 41 = 14.390 %.
@pytest.mark.parametrize(
    "label,title,expected",
    [
        ("132.7 km/h", "", "132.7 and 132.68 km/h: agrees, it rounds to it"),
        ("82.4 mph", "", "82.4 and 82.44 mph: agrees, it rounds to it"),
        ("132.7", "in km/h", "132.7 and 132.68 km/h: agrees, it rounds to it"),
        ("about 130 km/h", "", "about 130 and 132.7 km/h: agrees, within the 5 % of “about”"),
        ("about 133 km/h", "", "about 133 and 132.7 km/h: agrees, it rounds to it"),
        ("nearly 135 km/h", "", "nearly 135 and 132.7 km/h: agrees, by no more than the 5 % of “nearly”"),
        ("over 130 km/h", "", "130 < 132.7 km/h: agrees"),
        ("at most 133 km/h", "", "133 ≥ 132.7 km/h: agrees"),
        ("under 130 km/h", "", "132.7 ≥ 130 km/h: does not agree"),
        ("well over 120 km/h", "", "120 < 132.7 km/h, by more than 5 %: agrees"),
        ("well over 130 km/h", "", "130 < 132.7 km/h, not by more than 5 %: does not agree"),
        ("130–135 km/h", "", "130–135 and 132.7 km/h: agrees, it is between them"),
        ("131 ± 2 km/h", "", "131 ± 2 and 132.7 km/h: agrees, within the ± that the author allows"),
        ("131 km/h", "± 2 %", "131 and 132.7 km/h: agrees, within the ± that the author allows"),
        ("131 km/h", "", "131 and 132.7 km/h: does not agree"),
        ("12 %", "vs before", "12 and 14.4 %: does not agree"),
        ("14 % less", "vs before", "14 % less and 14.4 %: agrees, it rounds to it"),
        ("14 % more", "vs before", "14 % more and 14.4 %: does not agree: it goes the other way"),
        ("0.86 times", "vs before", "0.86 times and 0.856 times: agrees, it rounds to it"),
        (
            "155 → 133 km/h",
            "vs before",
            "155 → 133 km/h and 155.0 km/h → 132.7 km/h: agrees, both round to it",
        ),
    ],
)
def test_a_note_says_whether_it_agrees_in_the_words_and_unit_of_the_label(
    label: str, title: str, expected: str
) -> None:
    found = [line.replace("\u00a0", " ") for line in note(figure(label, ADDRESS, title))]
    assert expected in found
    assert not [line for line in found if "stated" in line]


def test_a_note_has_the_gloss_below_the_name_where_it_says_more() -> None:
    lines = note(figure("6.378", "calc:shorter-final.after.overall_ratio.3"))  # 1.4 · 41/9
    assert lines[:2] == ["Overall gear ratio, gear 3, after", "Engine turns per wheel turn"]


def test_a_note_has_the_units_of_its_label_only() -> None:
    tree = figure("82.4 mph", ADDRESS)
    assert any(line.startswith("Computed: 82.4 ± ") for line in note(tree))
    assert not [line for line in note(tree) if "km/h" in line]
    others = tree.by_id("note-1-other").words
    assert "km/h" in others
    assert "mph" not in others


def ground(tree: Tag) -> dict[str, str]:
    """What the element of a figure says for scripts."""
    mark = tree.one("span", "buildlog-mark").attributes
    return {name: value for name, value in mark.items() if name.startswith("data-")}


@pytest.mark.parametrize(
    "label,title,expected",
    [
        ("132.7 km/h", "", {}),
        ("", "", {}),
        ("82.45 mph", "", {"data-unit": "mph", "data-decimals": "2"}),
        ("14.4 %", "vs before", {"data-mode": "percent", "data-unit": "%"}),
        ("22.3 km/h", "vs before", {"data-mode": "difference"}),
        ("155 → 133 km/h", "vs before", {"data-mode": "pair", "data-decimals": "0"}),
        ("0.856 times", "vs before", {"data-mode": "times", "data-unit": "", "data-decimals": "3"}),
    ],
)
def test_a_figure_says_for_scripts_what_it_rests_on(label: str, title: str, expected: dict[str, str]) -> None:
    found = ground(figure(label, "calc:shorter-final.after.speed_at_limit.3", title))
    rests_on = "shorter-final.speed_at_limit.3"
    assert found.pop("data-of") == rests_on
    assert found.pop("data-case") == "after"
    if title:
        assert found.pop("data-versus") == rests_on
        assert found.pop("data-versus-case") == "before"
    assert found == {"data-unit": "km/h", "data-decimals": "1"} | expected


def test_what_rests_on_no_value_says_nothing_for_scripts() -> None:
    for address in ("cite:manual", "told:owner", "calc:nothing.at.all"):
        assert ground(figure("39 N·m", address)) == {}


def test_a_reader_reports_a_figure_with_what_its_note_knows() -> None:
    reports = ReportsOf(
        address="https://example.org/new?title={title}&body={body}",
        page="https://example.org/build/episode.html",
        version="0123456789abcdef",
    )
    tree = figure("132.7 km/h", ADDRESS, anchor="figure.x", reports=reports)
    link = tree.one("a", "buildlog-report")
    assert link.words == "This looks wrong"
    filled = parse_qs(urlsplit(link.attributes["href"]).query)
    assert filled["title"] == ["132.7 km/h looks wrong"]
    assert filled["body"][0].splitlines() == [
        "Page: https://example.org/build/episode.html#figure.x",
        "Figure: 132.7 km/h",
        f"Rests on: {ADDRESS}",
        "Computed: 132.68\u00a0km/h",
        "Hash of the page's inputs and calculators: 0123456789abcdef",
        "",
        "What looks wrong, and why:",
    ]
    assert not figure("132.7 km/h", ADDRESS, anchor="figure.x").all("a", "buildlog-report")


def test_computed_cited_and_told_differ_by_more_than_colour() -> None:
    told = figure("240 hp", "told:owner", number=2)
    assert told.one("span", "buildlog-tag").words == "told"
    assert note(told)[0] == "Unverified: the last owner, spring"
    assert link_of(told).attributes["href"] == "#source-owner"
    cited = figure("39 N·m", "cite:manual", number=1)
    assert cited.one("span", "buildlog-tag").words == "source 1"
    assert note(cited)[:2] == ["Cited, not computed", "Workshop manual, 3rd edition, p. 12"]
    assert not figure("132.7 km/h", "calc:shorter-final.after.speed_at_limit.3").all(css="buildlog-tag")
    classes = {link_of(tree).attributes["class"] for tree in (told, cited)}
    assert len(classes) == 2


@pytest.mark.parametrize(
    "address,found",
    [
        ("calc:nothing.speed", "the block “nothing”"),
        ("calc:shorter-final.after.speed", "the quantity “speed”"),
        ("calc:shorter-final.after.speed_at_limit.9", "speed_at_limit.9"),
        ("cite:nobody", "“nobody”"),
        ("told:manual", "told:manual, which is a document"),
        ("calc:", "“calc:”"),
    ],
)
def test_an_address_that_leads_nowhere_says_so_beside_the_label(address: str, found: str) -> None:
    tree = figure("1 km/h", address)
    assert "buildlog-wrong" in tree.all(css="buildlog-figure")[0].attributes["class"]
    assert found in tree.one("strong").words
    assert "expected" in " ".join(note(tree))


def test_an_empty_label_is_filled_in() -> None:
    assert own(link_of(figure("", "calc:shorter-final.after.speed_at_limit.3"))) == "132.7 km/h"


def test_in_a_heading_there_is_no_note_but_the_verdict_stays() -> None:
    tree = figure("123.6 km/h", "calc:shorter-final.after.speed_at_limit.3", in_heading=True)
    assert not tree.ids
    assert "aria-describedby" not in tree.one("a").attributes
    assert tree.one("strong").words.startswith("disagrees")


def test_a_figure_of_another_page_is_a_link_for_the_site_to_address() -> None:
    other = judge_figure(
        book("gearbox/final"),
        "elsewhere",
        label="132.7 km/h",
        address="calc:gearbox/final#shorter-final.after.speed_at_limit.3",
        title="",
        places=Places.all_at(HERE),
    )
    links = [piece for piece in render_figure(other, "elsewhere", "n").pieces if isinstance(piece, LinkPiece)]
    assert {link.page for link in links} == {"gearbox/final"}


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_an_author_writes_becomes_markup(text: str) -> None:
    tame, wild = book(), book()
    for made, words in ((tame, "tame"), (wild, text)):
        made.sources["manual"] = SourceEntry(
            id="manual",
            position=HERE,
            title=words,
            publisher=words,
            edition=words,
            page=words,
            url="https://x.test/" + words,
        )
        made.sources["owner"] = SourceEntry(id="owner", position=HERE, who=words, when=words, about=words)
    for address in ("cite:manual", "told:owner", "calc:nothing.at.all"):
        html = [
            render_figure(
                judge_figure(
                    made, "p", label=words, address=address, title=words, places=Places.all_at(HERE)
                ),
                "p",
                "n",
            )
            for made, words in ((tame, "tame"), (wild, text))
        ]
        assert shape(html[0].html(href)) == shape(html[1].html(href))
    lists = [render_sources(list(made.sources.values())).html(href) for made in (tame, wild)]
    assert shape(lists[0]) == shape(lists[1])
    assert "\x02" not in lists[1]


def test_findings_are_counted_in_the_title() -> None:
    found = judged("123.6 km/h", "calc:shorter-final.after.speed_at_limit.3").diagnostics
    assert len(found) == 1
    one, two = (parse(render_findings(list(found) * count).html(href)) for count in (1, 2))
    assert "This page has 1 finding" in one.words
    assert "This page has 2 findings" in two.words
    assert "figure-disagrees" in one.words
    assert "episode.md:1:1" in one.words


def test_a_comparison_is_said_in_the_units_of_its_note() -> None:
    """162.0 and 1.6 km/h are 100.66 and 0.99 mph (1 mile = 1.609 344 km)."""
    metric = "Compared with the mean, 162.0 ± 1.6 km/h: En = 0.40, not more than 1"
    us = "Compared with the mean, 100.66 ± 0.99 mph: En = 0.40, not more than 1"
    line = sentence_line(metric)
    assert (line.text, line.other.replace("\u00a0", " "), line.system) == (metric, us, "metric")
    turned = sentence_line(metric, "us")
    assert (turned.text.replace("\u00a0", " "), turned.other, turned.system) == (us, metric, "us")
    mixed = sentence_line("From 162 km/h to 100 mph")
    assert (mixed.text, mixed.other) == ("From 162 km/h to 100 mph", ""), "nothing to turn it all to"
