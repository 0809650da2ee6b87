"""Terms lead to their explanation once a page, and nowhere where a link would be in the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.page.test_extension import BLOCK, FIGURE, render
from tests.parsed_html import Tag, parse

GLOSSARY = (
    "---\nbuildlog: {glossary: yes}\n---\n\n# Words\n\n"
    "hoop stress\n:   Of a ring.\n\nstress\n:   Of anything.\n\n"
    "k = 2\n:   Two.\n"
)
TITLED = BLOCK.replace("kind:", "title: stress\nkind:")


def shown(folder: Path, text: str, page: str = "notes/a") -> Tag:
    if not text.startswith("---"):  # terms are linked on pages that have something of ours
        text = f"---\nbuildlog: {{loose: note}}\n---\n\n{text}"
    files = {"words.md": GLOSSARY, f"{page}.md": text} if page != "words" else {"words.md": text}
    for name, content in files.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(content, "utf-8")
    body = text.split("---\n", 2)[2]
    options = {"content": str(folder), "page": page, "style": False}
    return parse(
        render(body, "pymdownx.superfences", "def_list", "tables", "attr_list", "md_in_html", **options)
    )


def links(tree: Tag) -> list[tuple[str, str]]:
    return [(tag.attributes["href"], tag.words) for tag in tree.all("a", "buildlog-term")]


def test_the_first_mention_leads_to_the_explanation(tmp_path: Path) -> None:
    tree = shown(tmp_path, "# A\n\nHoop\nstress is stress. Hoop stress, stress: k = 2 and K\u00a0=\u00a02.\n")
    assert links(tree) == [
        ("../words.md#term-hoop-stress", "Hoop stress"),
        ("../words.md#term-stress", "stress"),
        ("../words.md#term-k-2", "k = 2"),
    ]


@pytest.mark.parametrize("code", ["```\nx = 1\n```", "```yaml calc\nid: a\nkind: measured\n```"])
def test_code_above_an_explanation_is_no_term(tmp_path: Path, code: str) -> None:
    lists = f"{code}\n:   Shown.\n\nA <b>bold</b> term\n:   Told.\n"
    text = f"---\nbuildlog: {{glossary: yes}}\n---\n\n# Words\n\n{lists}"
    ids = [tag.attributes.get("id") for tag in shown(tmp_path, text, "words").all("dt")]
    assert ids == [None, "term-a-bold-term"]


def test_a_page_that_has_nothing_of_ours_is_left_alone(tmp_path: Path) -> None:
    assert links(shown(tmp_path, "---\nauthor: me\n---\n\n# A\n\nHoop stress.\n")) == []


@pytest.mark.parametrize(
    "text",
    [
        "# Stress\n\n## Hoop stress\n",
        "`stress` and <code>stress</code>\n",
        "[stress](b.md) and ![stress](b.png) and <a href='b'>stress</a>\n",
        "    stress\n",
        "distressed stresses stress_area prestress\n",
        "<figure markdown><figcaption markdown>stress</figcaption></figure>\n",
        "<p>stress in raw HTML</p>\n",
        f"A [stress of 103.3 km/h](calc:cruise.speed_at_limit.2).\n\n{TITLED}",
    ],
)
def test_where_no_term_is_linked(tmp_path: Path, text: str) -> None:
    assert links(shown(tmp_path, f"# A\n\n{text}")) == []


def test_terms_in_lists_tables_quotes_and_beside_emphasis(tmp_path: Path) -> None:
    text = "# A\n\n| a | b |\n|---|---|\n| 1 | *hoop stress* there |\n\n> - k = 2 **so** stress\n"
    assert [words for _, words in links(shown(tmp_path, text))] == ["hoop stress", "k = 2", "stress"]
    assert "hoop stress there" in shown(tmp_path, text).words


def test_the_glossary_has_the_ids_and_no_links_to_itself(tmp_path: Path) -> None:
    tree = shown(tmp_path, GLOSSARY, "words")
    assert [tag.attributes.get("id") for tag in tree.all("dt")] == [
        "term-hoop-stress",
        "term-stress",
        "term-k-2",
    ]
    assert links(tree) == []


def test_figures_are_what_they_were(tmp_path: Path) -> None:
    text = f"# A\n\nUp to {FIGURE}, with stress, to {FIGURE.replace('103.3', '103.3')}.\n\n{BLOCK}"
    tree = shown(tmp_path, text)
    assert len(tree.all("span", "buildlog-mark")) == 2
    assert not tree.all("a", "buildlog-wrong")
    assert [words for _, words in links(tree)] == ["stress"]
