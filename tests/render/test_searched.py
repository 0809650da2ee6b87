"""What a site's search finds of a card: its words and results, not its drawing or its working."""

from __future__ import annotations

import pytest

from buildlog.render import LinkPiece, Rendered, render_card
from buildlog.render.searched import plain_spellings
from tests.render.blocks import GEARING, compute


def searched(*parts: str | LinkPiece | Rendered) -> str:
    return Rendered(parts).searched


def test_text_and_the_elements_that_a_search_shows() -> None:
    assert searched('<section class="a"><p>A <b>bold</b> word</p><ul><li>x &amp; y</li></ul></section>') == (
        "<p>A bold word</p><ul><li>x &amp; y</li></ul>"
    )


@pytest.mark.parametrize(
    "left_out",
    [
        "<svg><title>b</title><text>c</text></svg>",
        "<details class='d' data-search-exclude><summary>b</summary><p>c</p></details>",
        "<details data-search-exclude><p>b</p><details><p>c</p></details> d</details>",
        "<details data-search-exclude><details data-search-exclude>b</details>c</details>",
        "<span data-search-exclude>b <b>c</b></span>",
        "<style>b {}</style>",
    ],
)
def test_what_is_left_out_wherever_it_stands(left_out: str) -> None:
    assert searched(f"<p>a</p>{left_out}<p>z</p>") == "<p>a</p><p>z</p>"
    assert searched(f"<div><p>a</p><div>{left_out}</div><p>z</p></div>") == "<p>a</p><p>z</p>"


def test_other_details_stay() -> None:
    assert searched("<details><summary>a</summary><p>b</p></details>") == "a <p>b</p>"


def test_where_the_first_element_is_left_out_all_is() -> None:
    assert (
        searched(
            '\n<section class="l" data-search-exclude><p>a</p>',
            LinkPiece(page=None, anchor="x", text="b"),
            "</section>",
        )
        == ""
    )


def test_links_and_parts_count_by_their_text() -> None:
    part = Rendered(("<p>b</p>",))
    assert (
        searched("<p>a ", LinkPiece(page="other", anchor="x", text="to <it>"), "</p>", part)
        == "<p>a to &lt;it&gt;</p><p>b</p>"
    )


def test_a_card_is_found_by_its_rows_and_not_by_its_numbers_or_its_working() -> None:
    found = render_card(compute(GEARING), draw=lambda *_: "<svg><text>drawn</text></svg>").searched
    assert "A shorter final drive" in found
    assert "Road speed at the rev limit" in found
    for word in ("drawn", "Working, step by step", "Sources of the formulae", "Inputs, and where", "132.7"):
        assert word not in found


@pytest.mark.parametrize(
    ("markup", "words"),
    [
        ("<table><tr><th>gear</th><th>before</th><td>after</td></tr></table>", "gear before after"),
        ("<dl><div><dt>Time</dt><dd>16 h</dd></div><div><dt>Skill</dt></div></dl>", "Time 16 h Skill"),
        ("<div>one<div>two</div>three</div>", "one two three"),
        ("one<br>two", "one two"),
        ("<span>16</span><span> h</span> <b>bo</b>th", "16 h both"),
        ('<th>Ratio<a class="buildlog-here" href="#r">#</a></th><th>of</th>', "Ratio of"),
        ("<th>60-120 km/h.out</th><th>60-120 km/h.back</th>", "60-120 km/h. out 60-120 km/h. back"),
        ('<p class="buildlog-caution-here">Mind: fingers</p><p>a</p>', "<p>a</p>"),
    ],
)
def test_words_of_neighbours_are_not_glued(markup: str, words: str) -> None:
    assert " ".join(searched(markup).split()) == words


@pytest.mark.parametrize(
    ("text", "typed"),
    [
        ("to 78 N·m (58 lbf·ft)", ["78 Nm", "58 lbft", "58 ftlb"]),
        ("to 78\u00a0N·m, 78\u202fN·m", ["78 Nm"]),
        ("1.0 to 1.4 N·m", ["1.4 Nm"]),
        ("188.5 ± 6.9 N·m", []),  # nobody looks for a margin
        ("165.8 km/h", []),  # typed as it stands
        ("5 N·m/rad, 3 kg·m²", []),
        ("x78 N·mm and 12 kN·m", ["78 Nmm", "12 kNm"]),
    ],
)
def test_figures_as_they_are_typed(text: str, typed: list[str]) -> None:
    assert list(plain_spellings(text)) == typed


def test_many_openings_take_linear_time() -> None:
    assert searched("<p>a</p>" + "<details data-search-exclude>" * 20_000) == "<p>a</p>"
