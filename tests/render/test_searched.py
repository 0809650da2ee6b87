"""What a site's search finds of a card: its words and results, not its drawing or its working."""

from __future__ import annotations

import pytest

from buildlog.render import LinkPiece, Rendered, render_card
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
    assert searched("<details><summary>a</summary><p>b</p></details>") == "a<p>b</p>"


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


def test_a_card_is_found_by_its_results_and_not_by_its_working() -> None:
    found = render_card(compute(GEARING), draw=lambda *_: "<svg><text>drawn</text></svg>").searched
    assert "A shorter final drive" in found
    assert "132.7" in found, "the speed in third gear: 8200/60 · 3.05 · 0.576 m / (1.43 · 41/9) · 3.6 km/h"
    for word in ("drawn", "Working, step by step", "Sources of the formulae", "Inputs, and where"):
        assert word not in found


def test_many_openings_take_linear_time() -> None:
    assert searched("<p>a</p>" + "<details data-search-exclude>" * 20_000) == "<p>a</p>"
