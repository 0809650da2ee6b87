"""The Markdown extension alone, in plain Python-Markdown: cards and figures wherever they may stand."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any
from xml.etree.ElementTree import Element

import markdown
import pytest
from markdown.preprocessors import Preprocessor
from markdown.treeprocessors import Treeprocessor

from buildlog.page.extension import BuildlogExtension, makeExtension
from tests.parsed_html import Tag, parse
from tests.render.blocks import fence

SHORT = """\
id: cruise
kind: gearing
inputs:
  gears: [3.32, 2.04]
  tyre: 195/50R15
  rev_limit: 8200 rpm
  final_drive: 4.10
"""
# 8200 rpm · 1.7568 m / (2.04 · 4.10) with the circumference 3.05 · 576 mm, by hand: 103.34 km/h.
FIGURE = "[103.3 km/h](calc:cruise.speed_at_limit.2)"


def indented(text: str, blanks: int) -> str:
    return "".join(" " * blanks + line if line.strip() else line for line in text.splitlines(keepends=True))


def quoted(text: str) -> str:
    return "".join(f"> {line}" for line in text.splitlines(keepends=True))


def render(text: str, *extensions: Any, **options: Any) -> str:
    own = BuildlogExtension(**{"style": False, **options})
    return markdown.markdown(text, extensions=[own, *extensions])


def page(text: str, *extensions: Any, **options: Any) -> Tag:
    html = render(text, *extensions, **options)
    assert "\x02" not in html
    assert "wzxhzdk" not in html
    tree = parse(html)
    assert len(tree.ids) == len(set(tree.ids)), "ids are unique"
    for tag in tree.walk():
        if "aria-describedby" in tag.attributes:
            assert tag.attributes["aria-describedby"] in tree.ids
    return tree


# --- blocks in containers -----------------------------------------------------------------

BLOCK = fence(SHORT)
CONTAINERS: dict[str, tuple[str, list[str], list[str]]] = {
    # name: (page, extensions needed, elements that the card stands in, innermost last)
    "by itself": (BLOCK, [], []),
    "right after text": (f"Text\n{BLOCK}more text\n", [], []),
    "list": (f"- item\n\n{indented(BLOCK, 4)}\n- next\n", [], ["ul", "li"]),
    "numbered list": (f"1. item\n\n{indented(BLOCK, 4)}\n2. next\n", [], ["ol", "li"]),
    "list in a list": (f"- a\n\n    - b\n\n{indented(BLOCK, 8)}", [], ["ul", "li", "ul", "li"]),
    "tight list": (f"- item\n{indented(BLOCK, 4)}- next\n", [], ["ul", "li"]),
    "quote": (quoted(f"Said:\n\n{BLOCK}"), [], ["blockquote"]),
    "quote in a list": (f"- a\n\n{indented(quoted(BLOCK), 4)}", [], ["ul", "li", "blockquote"]),
    "admonition": (f"!!! note\n\n{indented(BLOCK, 4)}", ["admonition"], ["div"]),
    "details": (f"??? note\n\n{indented(BLOCK, 4)}", ["pymdownx.details"], ["details"]),
    "tab": (
        f'=== "One"\n\n{indented(BLOCK, 4)}\n=== "Two"\n\n    Text\n',
        ["pymdownx.tabbed"],
        ["div", "div"],
    ),
    "footnote": (f"Text[^1]\n\n[^1]:\n    Note\n\n{indented(BLOCK, 4)}", ["footnotes"], ["div", "ol", "li"]),
    "definition": (f"Word\n\n:   Meaning\n\n{indented(BLOCK, 4)}", ["def_list"], ["dl", "dd"]),
    "div with markdown": (f'<div markdown="1">\n\n{BLOCK}\n</div>\n', ["md_in_html"], ["div"]),
}


@pytest.mark.parametrize(
    "fences", [[], ["pymdownx.superfences"], ["fenced_code"]], ids=["bare", "super", "code"]
)
@pytest.mark.parametrize("name", CONTAINERS)
def test_a_block_becomes_a_card_in_every_container(name: str, fences: list[str]) -> None:
    text, extensions, inside = CONTAINERS[name]
    tree = page(f"{text}\n\nThe end: {FIGURE}.\n", *fences, *extensions)
    card = tree.by_id("calc-cruise")
    assert card.parent is not None
    around = [tag for tag in reversed(card.parent.ancestors) if tag and tag != "p"]
    assert around[: len(inside)] == inside
    assert "yaml calc" not in tree.text
    assert "```" not in tree.text
    assert "buildlog-computed" in tree.one("a", "buildlog-figure").attributes["class"]
    assert not tree.all(css="buildlog-page-findings"), "a clean page carries no list of findings"


def test_text_around_a_block_stays_text() -> None:
    tree = page(f"Before *it*\n{BLOCK}after **it**\n")
    assert [
        paragraph.words for paragraph in tree.children if isinstance(paragraph, Tag) and paragraph.name == "p"
    ] == [
        "Before it",
        "after it",
    ]
    assert tree.one("em").ancestors[0] == "p"


def test_a_fence_shown_as_an_example_stays_code() -> None:
    example = f"````markdown\n{BLOCK}````\n\nReal:\n\n{fence(SHORT.replace('cruise', 'other'))}"
    for fences in (["pymdownx.superfences"], ["fenced_code"]):
        tree = page(example, *fences)
        assert len(tree.all("section", "buildlog-card")) == 1
        assert "id: cruise" in "".join(code.text for code in tree.all("code"))


def test_other_yaml_fences_are_left_to_the_highlighter() -> None:
    tree = page(f"```yaml\na: 1\n```\n\n{BLOCK}", "pymdownx.superfences")
    assert any("a: 1" in code.text for code in tree.all("code"))
    tree.by_id("calc-cruise")


def test_an_unclosed_block_is_left_as_text_and_is_a_finding() -> None:
    tree = page("```yaml calc\nid: cruise\nkind: gearing\n\nText\n")
    assert not tree.all(css="buildlog-card")
    assert tree.all(css="buildlog-page-findings")


# --- figures -------------------------------------------------------------------------------


def test_figures_stand_in_prose_tables_lists_and_emphasis() -> None:
    text = f"A {FIGURE}.\n\n| a | b |\n|---|---|\n| 1 | {FIGURE} |\n\n- *so {FIGURE}*\n\n{BLOCK}"
    figures = page(text, "tables").all("a", "buildlog-figure")
    assert [figure.words for figure in figures] == ["103.3 km/h (64.21 mph)"] * 3
    assert {figure.attributes["href"] for figure in figures} == {"#calc-cruise.speed_at_limit.2"}
    assert len({figure.attributes["aria-describedby"] for figure in figures}) == 3


def test_emphasis_within_a_label_stays() -> None:
    tree = page(f"[**103.3** km/h](calc:cruise.speed_at_limit.2)\n\n{BLOCK}")
    link = tree.one("a", "buildlog-computed")
    assert link.one("strong").text == "103.3"
    assert link.words == "103.3 km/h (64.21 mph)"
    assert link.one(css="buildlog-own").words == "103.3 km/h"


def test_what_other_extensions_do_to_a_label_does_not_change_what_is_judged() -> None:
    """Smart symbols turn 1/2 into ½ and +/- into ±; the author's own text is what the proof read."""
    block = fence(SHORT.replace("4.10", "9/2"))
    tree = page(
        f"[9/2](calc:cruise.overall_ratio.2)\n[18.36/2](calc:cruise.overall_ratio.2)\n\n{block}",
        "pymdownx.smartsymbols",
        "smarty",
    )
    assert len(tree.all("a", "buildlog-wrong")) == 2
    right = page(
        f"[103.3 km/h](calc:cruise.speed_at_limit.2 '± 1/2 km/h')\n\n{BLOCK}", "pymdownx.smartsymbols"
    )
    right.one("a", "buildlog-computed")


def test_attributes_given_to_a_figure_stay() -> None:
    link = page(f"{FIGURE}{{: .wide data-x=1 }}\n\n{BLOCK}", "attr_list").one("a", "buildlog-computed")
    assert link.attributes["data-x"] == "1"
    assert "wide" in link.attributes["class"].split()
    assert link.attributes["href"].startswith("#calc-")


def test_an_empty_label_is_filled_in_for_the_table_of_contents_too() -> None:
    md = markdown.Markdown(extensions=[BuildlogExtension(style=False), "toc"])
    html = md.convert(f"# At [](calc:cruise.speed_at_limit.2)\n\n{BLOCK}")
    tree = parse(html)
    assert tree.one("h1").words == "At 103.3 km/h (64.21 mph)"
    assert tree.one("h1").attributes["id"] == "at-1033-kmh"
    tokens: Any = md.toc_tokens  # type: ignore[attr-defined]
    assert tokens[0]["name"] == "At 103.3 km/h"
    assert not tree.one("h1").all(css="buildlog-note"), "a note would end up in the table of contents"


def test_headings_do_not_take_a_cards_id() -> None:
    tree = page(f"# calc cruise\n\n{BLOCK}", "toc")
    assert tree.one("h1").attributes["id"] == "calc-cruise_1"


def test_a_disagreeing_figure_shows_both_values_and_heads_the_page_with_a_list() -> None:
    tree = page(f"# Title\n\n[130.3 km/h](calc:cruise.speed_at_limit.2)\n\n{BLOCK}")
    assert tree.one(css="buildlog-verdict").words.startswith("disagrees: 103.3")
    first, second = [child for child in tree.children if isinstance(child, Tag)][:2]
    assert first.name == "h1"
    assert "This page has 1 finding" in second.words
    assert "130.3 km/h" in second.words
    assert not page(f"[130.3 km/h](calc:cruise.speed_at_limit.2)\n\n{BLOCK}", findings=False).all(
        css="buildlog-page-findings"
    )


def test_ordinary_links_are_left_alone() -> None:
    tree = page("[a](b.md) [c](https://example.org 'vs x') [d](#e)\n")
    assert [link.attributes["href"] for link in tree.all("a")] == ["b.md", "https://example.org", "#e"]
    assert not tree.all("span")


# --- several blocks ------------------------------------------------------------------------


def test_cautions_are_shown_by_the_first_card_alone() -> None:
    tree = page(f"{BLOCK}\n{fence(SHORT.replace('cruise', 'other'))}")
    texts = tree.one(css="buildlog-cautions")
    assert "caution-lifting" in texts.ids
    assert "calc-cruise" in {one.attributes.get("id") for one in tree.walk() if texts in list(one.walk())}
    assert not [link for link in tree.all("a") if "#caution" in link.attributes.get("href", "")]


@pytest.mark.parametrize(
    "before,level",
    [
        ("", 2),
        ("# Title\n\n", 2),
        ("# Title\n\n## Part\n\n", 3),
        ("# Title\n\n## Part\n\n### Piece\n\ntext\n\n", 4),
        ("# Title\n\n## Part\n\n### Piece\n\n## Part\n\n", 3),
        ("# Title\n\n###### Deep\n\n", 6),
        ("# Title\n\nPart\n----\n\n", 3),
        ("# Title\n\n## Part\n\n- item\n\n", 3),
    ],
)
def test_the_title_of_a_card_is_a_heading_under_the_one_around_it(before: str, level: int) -> None:
    for block in (BLOCK, BLOCK.replace("8200 rpm", "8200"), BLOCK.replace("id: cruise", "")):
        tree = page(before + block)
        titles = [one for one in tree.walk() if "buildlog-title" in one.attributes.get("class", "")]
        assert [one.name for one in titles] == [f"h{level}"]


def test_a_card_between_headings_is_under_the_nearest_before_it() -> None:
    second = fence(SHORT.replace("cruise", "other"))
    tree = page(f"# Title\n\n{BLOCK}\n\n## Part\n\n### Piece\n\n{second}\n\n## End\n")
    found = [one.name for one in tree.walk() if "buildlog-title" in one.attributes.get("class", "")]
    assert found == ["h2", "h4"]


def test_cautions_of_a_block_at_fault_do_not_count_as_shown() -> None:
    bad = fence(SHORT.replace("cruise", "bad").replace("8200 rpm", "8200"))
    tree = page(f"{bad}\n{BLOCK}")
    assert "caution-lifting" in tree.by_id("calc-cruise").ids


def test_a_block_with_an_id_already_taken_says_so_and_repeats_no_id() -> None:
    tree = page(f"{BLOCK}\n{BLOCK}")
    assert len(tree.all("section", "buildlog-card")) == 2
    assert "duplicate-block" in tree.all("section", "buildlog-card")[1].words


def test_a_block_at_fault_is_a_box_where_it_stands() -> None:
    tree = page(f"- item\n\n{indented(fence('id: x' + chr(10) + 'kind: gearin' + chr(10)), 4)}")
    card = tree.by_id("calc-x")
    assert "li" in card.ancestors
    assert "did you mean “gearing”" in card.words


# --- which page this is ---------------------------------------------------------------------

OTHER = f"---\ntitle: Gearbox\n---\n\n# Gearbox\n\n{FIGURE}\n\n{BLOCK}"
PROSE = "See [103.3 km/h](calc:gearbox/final#cruise.speed_at_limit.2) and [39 N·m](cite:manual).\n"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    folder = tmp_path / "content"
    (folder / "gearbox").mkdir(parents=True)
    (folder / "gearbox" / "final.md").write_text(OTHER)
    (folder / "exhaust").mkdir()
    (folder / "exhaust" / "pipe.md").write_text(PROSE)
    (folder / "sources.yml").write_text("manual: {title: Workshop manual, edition: 2nd}\n")
    return folder


def test_a_figure_of_another_page_links_to_its_source_file(content: Path) -> None:
    tree = page(PROSE, content=str(content), page="exhaust/pipe")
    computed = tree.one("a", "buildlog-computed")
    assert computed.attributes["href"] == "../gearbox/final.md#calc-cruise.speed_at_limit.2"
    assert tree.one("a", "buildlog-cited").attributes["href"] == "#source-manual"
    assert "Workshop manual, 2nd" in tree.by_id("source-manual").words


def test_a_pages_text_without_its_front_matter_is_still_that_page(content: Path) -> None:
    stripped = OTHER.split("---\n", 2)[2].lstrip()
    for text in (stripped, "---\n\n" + stripped):
        tree = page(text, content=str(content), page="gearbox/final")
        tree.by_id("calc-cruise")
        tree.one("a", "buildlog-computed")


def test_a_generators_own_context_names_the_page(content: Path) -> None:
    class Context(Preprocessor):
        page = SimpleNamespace(path="exhaust/pipe.md")

        def run(self, lines: list[str]) -> list[str]:
            return lines

    md = markdown.Markdown(extensions=[makeExtension(content=str(content), style=False)])
    md.preprocessors.register(Context(md), "rendering_context", 100)
    assert "../gearbox/final.md#" in md.convert(PROSE)


def test_blocks_that_another_extension_changed_are_computed_as_they_are_now(content: Path) -> None:
    tree = page(
        OTHER.split("---\n", 2)[2].replace("4.10", "4.30"), content=str(content), page="gearbox/final"
    )
    assert tree.by_id("calc-cruise.overall_ratio.2").one("td").words == "8.772"  # 2.04 · 4.30
    tree.one("a", "buildlog-wrong")


def test_a_changed_file_is_read_again(content: Path) -> None:
    options = {"content": str(content), "page": "exhaust/pipe"}
    assert page(PROSE, **options).all("a", "buildlog-computed")
    (content / "gearbox" / "final.md").write_text(OTHER.replace("4.10", "4.300"))
    assert page(PROSE, **options).all("a", "buildlog-wrong")


def test_one_converter_renders_page_after_page() -> None:
    md = markdown.Markdown(extensions=[BuildlogExtension(style=False)])
    texts = [f"{FIGURE}\n\n{BLOCK}", "nothing here\n", f"{FIGURE}\n\n{BLOCK}"]
    first, nothing, again = (md.reset().convert(text) for text in texts)
    assert first == again
    assert nothing == "<p>nothing here</p>"


# --- what must not happen ----------------------------------------------------------------------


def test_links_are_elements_of_the_tree_for_others_to_see(content: Path) -> None:
    """A site generator makes links relative in a tree processor of its own, the last to run."""
    seen: list[str] = []

    class Last(Treeprocessor):
        def run(self, root: Element) -> None:
            seen.extend(link.get("href", "") for link in root.iter("a"))

    own = BuildlogExtension(style=False, content=str(content), page="exhaust/pipe")
    md = markdown.Markdown(extensions=[own])
    md.treeprocessors.register(Last(md), "last", 0)
    md.convert("# [](calc:gearbox/final#cruise.speed_at_limit.2)\n\n" + PROSE)
    # In the heading, in the text, and in the note of the latter.
    assert seen.count("../gearbox/final.md#calc-cruise.speed_at_limit.2") == 3


def test_ids_of_cards_are_seen_by_whoever_checks_anchors() -> None:
    seen: set[str] = set()

    class Anchors(Treeprocessor):
        def run(self, root: Element) -> None:
            seen.update(tag.get("id", "") for tag in root.iter())

    md = markdown.Markdown(extensions=[BuildlogExtension(style=False)])
    md.treeprocessors.register(Anchors(md), "anchors", 5)
    html = md.convert(BLOCK)
    assert "calc-cruise.speed_at_limit.2" in seen
    ids = parse(html).ids
    assert len(ids) == len(set(ids)), "and the stand-ins are gone again"


@pytest.mark.parametrize("title", [r'"\x02wzxhzdk:0\x03"', r'"\x02wzxhzdk:1\x03"', r'"\x02klzzwxh:0000\x03"'])
def test_a_title_cannot_stand_for_another_part_of_the_page(title: str) -> None:
    """In place of itself it would never end, in place of another part it would repeat that."""
    tree = parse(render(f"{FIGURE}\n\n{fence(SHORT + 'title: ' + title + chr(10))}\n<b>raw</b>\n"))
    assert len(tree.all("section", "buildlog-card")) == 1


def test_hostile_text_in_a_page_stays_text() -> None:
    text = '<script>alert(1)</script>"onload=x{{7*7}}'
    block = SHORT + f"title: '{text}'\n"
    html = render(f"[1 km/h](calc:cruise.{'x' * 30}) [1 hp](told:nobody '{{{{7*7}}}}')\n\n{fence(block)}")
    tree = parse(html)
    assert not tree.all("script")
    assert tree.one(css="buildlog-title").text == text
    assert not any(name.startswith("on") for tag in tree.walk() for name in tag.attributes)


def test_style_is_put_in_once_and_only_where_it_is_wanted() -> None:
    parse(render(BLOCK, style=True)).one("style")
    assert "<style>" not in render("Nothing of ours\n", style=True)
    assert "url(" not in render(BLOCK, style=True)


# --- keys of an author's words ------------------------------------------------------------

BILL = """\
id: bill
kind: parts
inputs:
  currency: EUR
  parts:
    - {name: hose clamp, quantity: 4, mass: 35 g, price: 2.40 EUR}
    - {name: M8×40 bolt (long), mass: 20 g, price: 1.50 EUR}
"""


@pytest.mark.parametrize(
    ("figure", "row"),
    [
        ("[9.60 EUR](calc:bill.line_cost.hose-clamp)", "hose-clamp"),
        ("[9.60 EUR](calc:bill.line_cost.hose clamp)", "hose-clamp"),
        ("[9.60 EUR](<calc:bill.line_cost.hose clamp>)", "hose-clamp"),
        ('[9.60](calc:bill.line_cost.hose clamp "in EUR")', "hose-clamp"),
        ("[9.60 EUR][clamps]\n\n[clamps]: calc:bill.line_cost.hose-clamp", "hose-clamp"),
        ("a | b\n--|--\n[9.60 EUR](calc:bill.line_cost.hose-clamp) | b", "hose-clamp"),
        ("[1.50 EUR](calc:bill.line_cost.M8×40-bolt-long)", "M8~d7~40-bolt-long"),
    ],
)
def test_a_figure_leads_to_a_row_by_the_words_of_its_author(figure: str, row: str) -> None:
    tree = page(f"{figure}\n\n{fence(BILL)}", "tables")
    target = f"calc-bill.line_cost.{row}"
    words = [tag.words for tag in tree.all("a") if tag.attributes.get("href") == f"#{target}"]
    assert any(text.startswith(("9.60", "1.50")) for text in words), words
    assert tree.by_id(target).name == "tr"


def test_our_words_say_their_language_in_a_page_of_another_one(tmp_path: Path) -> None:
    def shown(front: str) -> Tag:
        (tmp_path / "a.md").write_text(f"---\n{front}\n---\n\n# A\n\nBis {FIGURE}.\n\n{BLOCK}", "utf-8")
        body = (tmp_path / "a.md").read_text("utf-8").split("---\n", 2)[2]
        return parse(render(body, content=str(tmp_path), page="a"))

    french = shown("buildlog: {lang: fr-CA}")  # for which there are no words
    assert {box.attributes.get("lang") for box in french.all("div", "buildlog")} == {"en"}
    assert french.one("span", "buildlog-note").attributes["lang"] == "en"
    assert "lang" not in french.one("a", "buildlog-figure").attributes  # its label is the author's
    german = shown("buildlog: {lang: de-AT}")  # for which there are
    assert {box.attributes.get("lang") for box in german.all("div", "buildlog")} == {None}
    for front in ("buildlog: {lang: en-GB}", "title: A", "lang: de"):
        assert not [tag for tag in shown(front).walk() if "lang" in tag.attributes]
