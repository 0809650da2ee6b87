"""What stands around a page's text: the panel, cautions each once, lists at markers, the end of the page."""

from __future__ import annotations

import re
from pathlib import Path

import markdown
import pytest

from buildlog.book.repeating import hash_lines
from buildlog.kinds.hazards import HAZARDS
from buildlog.page.extension import BuildlogExtension
from buildlog.render.reproduce import page_files
from tests.jobs import FILES, FIRST
from tests.page.test_extension import page
from tests.parsed_html import Tag, parse
from tests.samples import open_site

EXTENSIONS = ["admonition", "md_in_html", "tables", "pymdownx.superfences"]


def bare(text: str) -> str:
    return text.partition("---\n\n")[2] if text.startswith("---") else text


def shown(
    folder: Path, key: str, published: tuple[str, ...] = (), extensions: list[str] = EXTENSIONS, **files: str
) -> Tag:
    """A page of the series as the extension puts it, front matter taken off as generators do."""
    book = open_site(
        folder, {**FILES, **{f"{name}.md".replace("__", "/"): text for name, text in files.items()}}
    )
    own = BuildlogExtension(style=False)
    own.book, own.page, own.published = book, key, published
    html = markdown.markdown(bare(book.pages[key].text), extensions=[*extensions, own])
    assert "\x02" not in html
    tree = parse(html)
    assert len(tree.ids) == len(set(tree.ids))
    return tree


def test_the_panel_says_what_the_job_takes_and_where_the_episode_stands(tmp_path: Path) -> None:
    panel = shown(tmp_path, "episodes/final").one("section", "buildlog-panel")
    assert panel.one("p", "buildlog-kicker").words.startswith("Episode 1 The Test Car 2024-03-09")
    said = {
        one.one("dt").words: one.one("dd").without("buildlog-note").words
        for one in panel.one("dl").all("div")
    }
    assert said == {
        "Time": "14 h source 1",
        "Skill": "somebody who has set up a gear pair before",
        "Way back": "Can be put back to what it was",
    }


def test_the_panel_stands_right_under_the_title(tmp_path: Path) -> None:
    tags = [one for one in shown(tmp_path, "episodes/final").children if isinstance(one, Tag)]
    assert tags[0].name == "h1"
    tags[1].one("section", "buildlog-panel")


def test_a_figure_of_the_panel_is_a_figure_like_any_other(tmp_path: Path) -> None:
    tree = shown(tmp_path, "episodes/final")
    figure = tree.one("section", "buildlog-panel").one("a", "buildlog-figure")
    assert figure.attributes["href"] == "#source-axle-sheet"
    note = tree.by_id(figure.attributes["aria-describedby"])
    assert "Axle sheet" in note.words
    assert tree.one("section", "buildlog-panel").one("span", "buildlog-tag").words == "source 1"
    assert len(tree.one("section", "buildlog-sources").all("li")) == 1


def test_a_page_that_tells_of_no_job_has_no_panel(tmp_path: Path) -> None:
    tree = shown(tmp_path, "about")
    assert [one.name for one in tree.walk()] == ["h1", "p"]


def test_each_caution_stands_once_a_line_under_the_title_or_at_its_step(tmp_path: Path) -> None:
    tree = shown(tmp_path, "episodes/final")
    cautions = tree.one("div", "buildlog-cautions")
    assert cautions.parent is not None
    assert "buildlog-panel" in cautions.parent.attributes["class"]
    lines = [one for one in cautions.walk() if one.name in ("details", "p") and one.parent is cautions]
    texts = [one.one("a" if one.name == "p" else "p").attributes for one in lines]
    named = [(text.get("id") or text["href"]).removeprefix("#").removeprefix("caution-") for text in texts]
    assert named[:3] == ["lifting", "driveline", "friction-dust"], "front matter, then links, then kinds"
    assert set(named) <= HAZARDS.keys()
    for name, line in zip(named, lines, strict=True):
        assert tree.text.count(HAZARDS[name].text) == 1
        at_step = name in ("driveline", "friction-dust")
        assert (line.name == "p") == at_step, "the panel leads to the text at the step"
        text = tree.by_id(f"caution-{name}").attributes
        assert ("buildlog-caution-here" in text.get("class", "")) == at_step
    # the cards do not repeat theirs
    assert not [
        one for one in tree.by_id("calc-then").all("a") if "#caution" in one.attributes.get("href", "")
    ]


def test_a_caution_stands_behind_the_words_of_its_step_and_before_what_is_under_it() -> None:
    def at_step(text: str) -> Tag:
        (box,) = page(text).all(css="buildlog-caution-here")
        holder = box.parent
        assert holder is not None
        return holder

    item = at_step("1. Lift it, [by its rules](caution:lifting).\n    - *Check:* it stands.\n").parent
    assert item is not None
    assert item.name == "li"
    assert [one.name for one in item.children if not isinstance(one, str)] == ["a", "div", "ul"]
    after = at_step("Lift it, [so](caution:lifting) and so.\n\nThen go on.\n").parent
    assert after is not None
    assert [one.name for one in after.children if not isinstance(one, str)][:3] == ["div", "p", "div"]
    assert not page("| a |\n|---|\n| [x](caution:lifting) |\n", "tables").all(css="buildlog-caution-here")


def test_a_step_names_a_caution(tmp_path: Path) -> None:
    tree = shown(tmp_path, "episodes/final")
    its, empty = tree.all("a", "buildlog-caution-link")
    assert (its.attributes["href"], its.words) == ("#caution-driveline", "its weight")
    assert (empty.attributes["href"], empty.words) == ("#caution-friction-dust", "Friction dust")
    assert its.ancestors[:2] == ["li", "ol"]


def test_an_unknown_caution_leads_nowhere(tmp_path: Path) -> None:
    tree = shown(tmp_path, "about", about="# About\n\nMind [the vapours](caution:vapours).\n")
    assert tree.all("a") == []
    assert "Mind the vapours." in tree.words


@pytest.mark.parametrize("extensions", [EXTENSIONS, [], ["pymdownx.superfences", "pymdownx.blocks.html"]])
def test_the_marker_becomes_what_the_job_needs(tmp_path: Path, extensions: list[str]) -> None:
    needs = shown(tmp_path, "episodes/final", extensions=extensions).one("div", "buildlog-needs")
    groups = {one.one("p").words: [item.words for item in one.all("li")] for one in needs.all("div")}
    assert groups == {
        "Parts": ["crown wheel and pinion", "8 × crown wheel bolt"],
        "What comes off": ["old pair"],
        "Used up": ["1.1 l (1.2 US qt) of axle oil"],
        "Tools": ["dial gauge", "torque wrench"],
        "Measure before you start": ["Backlash of the old pair, in mm", "Photograph of the contact pattern"],
        # 78 N·m / 1.355818 (NIST SP 811, B.8) = 57.5
        "Torques and settings": [
            "the crown wheel bolts: 78 N·m (58 lbf·ft), Axle sheet, Test Axles, 2nd edition, p. 7"
        ],
        "To undo it": ["Fit the old pair.", "Recalibrate the speedometer."],
    }


def test_a_torque_that_does_not_hold_is_not_to_be_used(tmp_path: Path) -> None:
    wrong = FIRST.replace('[78 N·m](cite:axle-sheet.crown "for', '[78 N·m](told:last-owner "for')
    (item,) = (
        one
        for one in shown(tmp_path, "episodes/final", episodes__final=wrong).all("li")
        if "78" in one.words and "crown wheel bolts:" in one.words
    )
    assert "not to be used" in item.words


@pytest.mark.parametrize(
    "written,wrong",
    [
        ("tools: [dial gauge,", 'tools: ["a hoist for [9 kg](calc:pair.mass_fitted)",'),
        ("undo: [Fit the old pair.,", 'undo: ["Fit the old [9 kg](calc:pair.mass_fitted)",'),
        ("- Backlash of the old pair: mm", '- "Weight, was [9 kg](calc:pair.mass_fitted): kg"'),
    ],
)
def test_a_figure_of_the_needs_that_disagrees_shows_both_values(
    tmp_path: Path, written: str, wrong: str
) -> None:
    assert written in FIRST
    tree = shown(tmp_path, "episodes/final", episodes__final=FIRST.replace(written, wrong))
    needs = tree.one("div", "buildlog-needs")
    # 7.00 + 8 · 0.050 = 7.40 kg
    assert re.search(r"9 kg \(disagrees: 7\.40? kg is computed\)", needs.words)
    assert needs.one("strong", "buildlog-verdict").words.startswith("(disagrees")


def test_a_marker_twice_shows_its_list_once(tmp_path: Path) -> None:
    marker = '<div data-buildlog="cautions"></div>\n\n'
    tree = shown(tmp_path, "about", about=f"# About\n\n{marker}{marker}")
    assert len(tree.all("dl", "buildlog-all-cautions")) == 1


def test_a_marker_in_a_fence_stays_an_example(tmp_path: Path) -> None:
    tree = shown(tmp_path, "about", about='# A\n\n```html\n<div data-buildlog="series"></div>\n```\n')
    assert tree.one("code").words == '<div data-buildlog="series"></div>'


def test_the_end_of_a_page_repeats_its_figures(tmp_path: Path) -> None:
    files = page_files(open_site(tmp_path, FILES), "episodes/final")
    tree = shown(tmp_path, "episodes/final", tuple(files))
    end = tree.one("section", "buildlog-reproduce")
    commands, hashes = (one.text for one in end.all("pre"))
    assert commands == (
        "buildlog proof content/episodes/final.md\nbuildlog ledger --hashes content/episodes/final.md\n"
    )
    assert hashes.splitlines() == hash_lines(open_site(tmp_path, FILES), "episodes/final")
    assert "buildlog working 'episodes/final#then'" in end.words.replace('"', "'")
    assert [one.attributes["aria-label"] for one in end.all("button", "buildlog-copy")] == [
        "Copy the commands",
        "Copy the hashes",
    ]
    assert all("hidden" in one.attributes for one in end.all("button")), "until a script shows it"
    links = {one.attributes["href"] for one in end.all("a")}
    assert "../assets/buildlog/episodes/final.json" in links
    assert {"#calc-then", "#calc-pair"} <= links


def test_files_that_are_not_published_are_not_led_to(tmp_path: Path) -> None:
    links = shown(tmp_path, "episodes/final").one("section", "buildlog-reproduce").all("a")
    assert {one.attributes["href"] for one in links} == {"#calc-then", "#calc-pair"}


def test_a_page_that_computes_nothing_has_nothing_to_repeat(tmp_path: Path) -> None:
    assert not shown(tmp_path, "about").all("section")


def test_an_episode_leads_to_the_ones_before_and_after(tmp_path: Path) -> None:
    first = shown(tmp_path, "episodes/final").one("nav", "buildlog-neighbours")
    assert [(one.attributes["href"], one.words) for one in first.all("a")] == [("duct.md", "A cold-air duct")]
    second = shown(tmp_path, "episodes/duct").one("nav", "buildlog-neighbours")
    assert [(one.attributes["href"], one.words) for one in second.all("a")] == [
        ("final.md", "A shorter final drive")
    ]


def test_what_an_author_writes_in_front_matter_is_text(tmp_path: Path) -> None:
    hostile = FIRST.replace("somebody who", "<img src=x onerror=alert(1)> {{ 7*7 }} **who")
    hostile = hostile.replace("[dial gauge,", '["<b>bold</b> & \\x02wzxhzdk:0\\x03", ')
    tree = shown(tmp_path, "episodes/final", episodes__final=hostile)
    assert tree.all("img") == []
    assert [one for one in tree.all("b") if one.words == "bold"] == []
    assert "<img src=x onerror=alert(1)> {{ 7*7 }} **who has" in tree.words
    assert "<b>bold</b> & wzxhzdk:0" in tree.words
