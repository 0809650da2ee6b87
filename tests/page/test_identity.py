"""A figure keeps its identity from the text to the page; what is rendered is compared with what was judged.

What a page must show is said in each test; the rules are those of the issue, “Nothing is published unread”.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

import markdown
import pytest
from markdown.extensions import Extension
from markdown.postprocessors import Postprocessor
from markdown.preprocessors import Preprocessor
from markdown.treeprocessors import Treeprocessor

from buildlog.diagnostics import Diagnostic
from buildlog.page.extension import BuildlogExtension
from buildlog.reading.markdown.scanner import scan
from tests.page.test_extension import BLOCK, FIGURE
from tests.parsed_html import Tag, parse

SITE = ["tables", "admonition", "attr_list", "md_in_html", "def_list", "footnotes", "abbr", "smarty"]
TABS = ["pymdownx.superfences", "pymdownx.details", "pymdownx.tabbed"]
SOURCES = (
    "sheet: {title: Axle sheet, facts: {bolts: 9 N·m}}\nmanual: {title: Workshop manual}\n"
    "caliper: {title: Record of the caliper}\nowner: {who: The last owner, when: 2024}\n"
)


def shown(folder: Path, text: str, *extensions: Any, file: str | None = None) -> tuple[Tag, list[Diagnostic]]:
    """A page as it is rendered, and what was met there. `file` is what was proofed, where it is another."""
    (folder / "page.md").write_text(text if file is None else file, encoding="utf-8")
    (folder / "sources.yml").write_text(SOURCES, encoding="utf-8")
    own = BuildlogExtension(style=False, content=str(folder), page="page")
    md = markdown.Markdown(
        extensions=[*SITE, *TABS, own, *extensions],
        extension_configs={"pymdownx.tabbed": {"alternate_style": True}},
    )
    html = md.convert(text)
    assert "\x02" not in html
    return parse(html), own.unexpected


def figures(tree: Tag) -> dict[str, str]:
    """Where each figure on a page leads, by its label."""
    return {
        (link.all(css="buildlog-own") or [link])[0].words: link.attributes["href"]
        for link in tree.all("a", "buildlog-figure")
    }


def codes(met: list[Diagnostic]) -> list[tuple[str, int]]:
    return sorted((finding.code.name, finding.position.line) for finding in met)


# --- the tree has another order than the text -----------------------------------------------------


def test_a_footnote_above_a_figure_of_the_same_address(tmp_path: Path) -> None:
    text = '[^a]: some [3 mm](cite:sheet) there.\n\nWe set [9 N·m](cite:sheet.bolts "for the bolts").[^a]\n'
    tree, met = shown(tmp_path, text)
    assert not met
    assert [link.words for link in tree.all("a", "buildlog-figure")] == [
        "9 N·m (80 lbf·in)",
        "3 mm (0.12 in)",
    ]


def test_titles_of_tabs_come_before_the_tabs(tmp_path: Path) -> None:
    text = (
        '=== "Old [1 mm](cite:sheet)"\n\n    Set [2 mm](cite:sheet) and [50 kg](cite:sheet).\n\n'
        '=== "New [3 mm](cite:sheet)"\n\n    Set [4 mm](cite:sheet).\n'
    )
    tree, met = shown(tmp_path, text)
    assert not met
    assert [link.words for link in tree.all("a", "buildlog-figure")] == [
        "1 mm (0.039 in)", "3 mm (0.12 in)", "2 mm (0.079 in)", "50 kg (110 lb)", "4 mm (0.16 in)",
    ]  # fmt: skip


def test_a_wrong_figure_is_the_wrong_one_wherever_the_tree_puts_it(tmp_path: Path) -> None:
    address = "calc:cruise.speed_at_limit.2"
    text = f"[^a]: [130.3 km/h]({address})\n\nIt is [103.3 km/h]({address}).[^a]\n\n{BLOCK}"
    tree, _ = shown(tmp_path, text)
    assert tree.one("a", "buildlog-wrong").words.startswith("130.3")
    assert tree.one("a", "buildlog-computed").words.startswith("103.3")


def test_every_form_of_link_is_numbered(tmp_path: Path) -> None:
    text = (
        f"[1 mm][a] and [2 mm][A], [3 mm]\n[b], [4 mm], [5 mm](<cite:sheet> 'for it'), [6 mm](cite:sheet\n"
        f'"for\nthem") and {FIGURE}.\n\n> [7 mm](cite:sheet\n> "for us") | {FIGURE}\n\n'
        f"[a]: cite:sheet\n[b]: <cite:manual> 'for b'\n[4 mm]: cite:caliper\n\n{BLOCK}"
    )
    tree, met = shown(tmp_path, text)
    assert not met
    leads_to = figures(tree)
    assert {leads_to[f"{number} mm"] for number in (1, 2, 5, 6, 7)} == {"#source-sheet"}
    assert leads_to["3 mm"] == "#source-manual"
    assert leads_to["4 mm"] == "#source-caliper"
    assert not any("title" in link.attributes for link in tree.all("a", "buildlog-figure"))


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("*[mm]: millimetre\n\nSet [3 mm](cite:sheet).", 1),
        ("Set [3 -- 4 mm](cite:sheet), [5'](cite:sheet) and [3&nbsp;mm](cite:sheet).", 3),
        ("# At [3 mm](cite:sheet) { #at }\n\n## And [4 mm](cite:sheet)", 2),
        ("Set [3 mm](cite:sheet){ .wide }", 1),
        ("| a | b |\n|---|---|\n| [3 mm](cite:sheet){ .c } | [4 mm][x] |\n\n[x]: cite:sheet", 2),
        ("[**3** *mm*](cite:sheet) and [`3` mm](told:owner)", 2),
        (r"[103.3 km/h](calc:cruise.speed\_at\_limit.2)" + f"\n\n{BLOCK}", 1),
        ("<div/>\n\nSet [3 mm](cite:sheet)", 1),
        (
            "<section/>\n[3 mm](cite:sheet)\n\n<p/>\n\n[4 mm](cite:sheet)\n\n<details/>[5 mm](cite:sheet)",
            3,
        ),
        ("\u2028<div>[3 mm](x)</div>\n\n[4 mm](cite:sheet)", 1),
        ("\f<div>[3 mm](x)</div> rest\n\n[4 mm](cite:sheet)", 1),
        ('<div class="a>\n\nSet [3 mm](cite:sheet) "so".\n', 1),
        ('A <b class="x>[3 mm](cite:sheet) "q" and [4 mm](cite:sheet)', 2),
        ("Text.[^a]\n\n[^a]: One\n\n    [3 mm](cite:sheet)\n\n[^a]: Two [4 mm](cite:sheet)", 1),
    ],
)
def test_what_is_right_is_rendered_without_a_finding(tmp_path: Path, text: str, count: int) -> None:
    tree, met = shown(tmp_path, text, "toc")
    assert not met
    assert not tree.all("a", "buildlog-wrong")
    assert len(tree.all("a", "buildlog-figure")) == count


# --- what is rendered is not what was judged -----------------------------------------------------


class Hook(Extension):
    """An extension that does one thing at one place."""

    def __init__(self, kind: str, do: Callable[[Any], Any], priority: int) -> None:
        super().__init__()
        self.kind, self.do, self.priority = kind, do, priority

    def extendMarkdown(self, md: markdown.Markdown) -> None:
        do = self.do
        bases: dict[str, Any] = {"text": Preprocessor, "tree": Treeprocessor, "html": Postprocessor}
        places: dict[str, Any] = {
            "text": md.preprocessors,
            "tree": md.treeprocessors,
            "html": md.postprocessors,
        }
        hook = type("Hooked", (bases[self.kind],), {"run": lambda self, given: do(given)})(md)
        places[self.kind].register(hook, "hook", self.priority)


PAGE = "# Title\n\nSet [3 mm](cite:sheet).\n\nAnd [4 mm](cite:manual).\n"


def test_another_text_than_the_file_is_a_finding_at_its_place(tmp_path: Path) -> None:
    def included(lines: list[str]) -> list[str]:
        return [line.replace("--here--", "[9 mm](cite:sheet)") for line in lines]

    text = f"{PAGE}\n--here--\n"
    _, met = shown(tmp_path, text, Hook("text", included, 32))
    assert codes(met) == [("figure-not-proofed", 7)]
    _, met = shown(tmp_path, PAGE.replace("4 mm", "5 mm"), file=f"---\ntitle: A\n---\n\n{PAGE}")
    assert codes(met) == [("figure-changed", 9)]
    assert met[0].found == "[5 mm](cite:manual)"
    assert met[0].expected == "[4 mm](cite:manual)"
    _, met = shown(tmp_path, PAGE.replace("Set [3 mm](cite:sheet).", ""), file=PAGE)
    assert codes(met) == [("figure-not-shown", 3)]


def _each_figure(change: Callable[[Element], None]) -> Callable[[Element], None]:
    def run(root: Element) -> None:
        for link in list(root.iter("a")):
            if link.text == "3 mm":
                change(link)

    return run


def _renamed(link: Element) -> None:
    link.text = "8 mm"


def _redirected(link: Element) -> None:
    link.set("href", "cite:manual")


def _retitled(link: Element) -> None:
    link.set("title", "for something else")


def _unlinked(link: Element) -> None:
    link.tag = "span"
    link.attrib.clear()


def _doubled(root: Element) -> None:
    root.append(root[1])


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (_each_figure(_renamed), [("figure-changed", 3)]),
        (_each_figure(_redirected), [("figure-changed", 3)]),
        (_each_figure(_retitled), [("figure-changed", 3)]),
        (_each_figure(_unlinked), [("figure-not-shown", 3)]),
        (_doubled, [("figure-not-proofed", 3)]),
    ],
)
def test_what_an_extension_does_to_the_tree_is_a_finding(
    tmp_path: Path, change: Callable[[Element], None], expected: list[tuple[str, int]]
) -> None:
    tree, met = shown(tmp_path, PAGE, Hook("tree", change, 7))
    assert codes(met) == expected
    assert tree.all(css="buildlog-page-findings"), "and the page says so at its top"
    _, met = shown(tmp_path, PAGE, Hook("tree", lambda root: None, 7))
    assert not met


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (lambda html: html.replace("3 mm", '<a href="c&#97;lc:x">3 mm</a>'), "figure-not-proofed"),
        (lambda html: html.partition("<p>Set")[0] + "</p>", "figure-changed"),
        (lambda html: html + html, "figure-changed"),
    ],
)
def test_what_an_extension_does_to_the_html_is_a_finding(
    tmp_path: Path, change: Callable[[str], str], code: str
) -> None:
    own = BuildlogExtension(style=False)
    text = PAGE.replace("cite:sheet", "told:nobody")
    md = markdown.Markdown(extensions=[own, Hook("html", change, -1)])
    assert "This page has" in md.convert(text)
    assert code in {finding.code.name for finding in own.unexpected}
    untouched = BuildlogExtension(style=False)
    markdown.Markdown(extensions=[untouched]).convert(text)
    assert code not in {finding.code.name for finding in untouched.unexpected}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[39 mm](told:owner){href=cite:manual}", [("figure-changed", 1)]),
        ("\n\nAn [ordinary link](other.md){href=cite:manual}", [("figure-not-proofed", 3)]),
        ('Text\n\n[39 mm](cite:manual){title="for it"}', [("figure-changed", 3)]),
        ("Text\n\n[3 m](CALC:a.b)", [("figure-not-proofed", 3)]),
        ("Text\n[3 m](c&#97;lc:a.b)", [("figure-not-proofed", 2)]),
        ("<a href='cite:manual'>3 m</a>", [("figure-not-proofed", 1)]),
        ("*[mm]: see [3 mm](cite:manual)", [("figure-not-shown", 1)]),
    ],
)
def test_what_was_not_proofed_is_a_finding_at_its_place(
    tmp_path: Path, text: str, expected: list[tuple[str, int]]
) -> None:
    _, met = shown(tmp_path, text)
    assert codes(met) == expected


def test_a_tag_behind_which_a_browser_reads_no_figures_is_a_finding(tmp_path: Path) -> None:
    own = BuildlogExtension(style=False)
    markdown.Markdown(extensions=[own]).convert("Text\n\nA <textarea> and [3 mm](told:nobody)\n")
    assert ("figure-changed", 3) in codes(own.unexpected)
    closed = BuildlogExtension(style=False)
    markdown.Markdown(extensions=[closed]).convert("A <textarea></textarea> and [3 mm](told:nobody)\n")
    assert {code for code, _ in codes(closed.unexpected)} == {"unknown-source"}


def test_a_figure_or_block_that_the_site_shows_as_code_is_a_finding(tmp_path: Path) -> None:
    """Without an extension for tabs, what is indented below one is code; its text is the author's again."""
    (tmp_path / "sources.yml").write_text(SOURCES, encoding="utf-8")
    block = "".join(f"    {line}\n" for line in BLOCK.splitlines())
    text = f'=== "Tab"\n\n    Set [3 mm](cite:sheet "for it").\n\n{block}\nEnd.\n'
    (tmp_path / "page.md").write_text(text, encoding="utf-8")
    own = BuildlogExtension(style=False, content=str(tmp_path), page="page", findings=False)
    tree = parse(markdown.markdown(text, extensions=[own]))
    assert codes(own.unexpected) == [("block-not-shown", 5), ("figure-not-shown", 3)]
    assert "id: cruise" in tree.text
    assert "cite:sheet" in tree.text


def test_a_footnote_defined_twice_hides_the_block_in_the_first(tmp_path: Path) -> None:
    block = "".join(f"    {line}\n" for line in BLOCK.splitlines())
    tree, met = shown(tmp_path, f"Text.[^a]\n\n[^a]: One\n\n{block}\n[^a]: Two\n")
    assert not met
    assert not tree.all(css="buildlog-card")
    assert "footnote-twice" in tree.one(css="buildlog-page-findings").words


def test_a_link_that_ends_in_another_line_stays_in_two(tmp_path: Path) -> None:
    """Joined to the line above, its end would close a tab's title."""
    text = (
        '=== "Old"\n\n    [2 mm](cite:sheet)\n\n=== "New [3 mm](cite:sheet\n'
        "'for it')\"\n\n    [4 mm](cite:sheet)\n"
    )
    tree, met = shown(tmp_path, text)
    assert not met
    assert len(tree.all("label")) == 1
    assert len(tree.all("a", "buildlog-figure")) == 2


def test_a_finding_shows_no_number_of_ours(tmp_path: Path) -> None:
    _, met = shown(tmp_path, "Set [17 mm[ref]\n][ref].\n\n[ref]: cite:sheet\n")
    assert met
    assert not any("buildlog" in f"{finding.found}{finding.expected}" for finding in met)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("[3 <b>mm</b>](cite:sheet)", "html-in-label"),
        ("Seen[^1].\n\n[^1]: One\n\n    [^2]: Two\n", "footnote-in-footnote"),
        ('[3 mm](cite:sheet){title="for it"}', "attribute-of-figure"),
        ("[3 mm](cite:sheet){: .wide href=x.md }", "attribute-of-figure"),
        ("Seen[^1].\n\n[^1]: One\n[^1]: Two\n", "footnote-twice"),
    ],
)
def test_what_the_scanner_refuses(text: str, code: str) -> None:
    assert [finding.code.name for finding in scan(text, "page.md").diagnostics][:1] == [code]
    harmless = {
        "html-in-label": "<b>[3 mm](cite:sheet)</b>",
        "attribute-of-figure": "[3 mm](cite:sheet){ .wide }",
    }
    assert not scan(harmless.get(code, "Seen[^1].\n\n[^1]: One\n[^2]: Two\n"), "page.md").diagnostics
