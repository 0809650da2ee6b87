"""What is shown of results: held to the card itself, which the templates make of the same block."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from buildlog.browser.shown import shown
from buildlog.kinds.chart import ChartSpec
from buildlog.kinds.results import BlockResult
from buildlog.proof.overview import Overview
from buildlog.render import render_card
from buildlog.render.decision import decision_table
from tests.parsed_html import Tag, parse
from tests.render.blocks import GEARING, compute, uncertain
from tests.render.test_card import href, own

THREE = GEARING + "  longest: {final_drive: 3.54}\n"


def card(block: BlockResult) -> Tag:
    return parse(render_card(block).html(href))


def texts(said: dict[str, Any] | None) -> str:
    """A cell's number as it reads, in the author's units."""
    if not said or not said.get("number"):
        return "same" if said and said.get("same") else "–"
    limit = f" {said['limit']} its limit" if "limit" in said else ""
    parts = (said["number"], said["margin"], said.get("unit", ""), said.get("percent", ""))
    return " ".join((" ".join(filter(None, parts)) + limit).split())


def in_other(said: dict[str, Any]) -> str:
    return " ".join(" ".join((said["other"]["number"], said["other"]["margin"])).split())


def cells_of(tree: Tag, anchor: str, cases: list[str]) -> dict[str, Tag]:
    row = tree.by_id(anchor)
    if row.name == "td":
        return {cases[0]: row}
    named = {cell.attributes["data-case"]: cell for cell in row.all("td") if "data-case" in cell.attributes}
    return named or {cases[0]: row.all("td")[0]}


def compare_with_card(block: BlockResult) -> int:
    """How many cells are the same in both."""
    tree, said, seen = card(block), json.loads(json.dumps(shown(block))), 0
    for anchor, row in said["rows"].items():
        for case, cell in cells_of(tree, anchor, said["cases"]).items():
            value = row["cells"][case]
            assert own(cell.without("buildlog-below")) == texts(value), f"{anchor}, {case}"
            for other in cell.without("buildlog-below").all(css="buildlog-other"):
                assert other.words == f"({in_other(value)})"
            for below in cell.all(css="buildlog-below"):
                assert own(below).replace("\u00a0", " ") == texts(value["change"])
            seen += 1
        for change in tree.by_id(anchor).all("td", "buildlog-change"):
            assert own(change).replace("\u00a0", " ") == texts(row["cells"][said["cases"][-1]].get("change"))
    for anchor, words in said["words"].items():
        for case, text in words:
            assert f"{case} {text}".strip() in own(tree.by_id(anchor))
    remarks = [own(remark) for remark in tree.all("p", "buildlog-remark")]
    assert remarks == [" ".join(f"{', '.join(cases)} {text}".split()) for text, cases in said["remarks"]]
    return seen


@pytest.mark.parametrize("block", [compute(GEARING), uncertain(), compute(THREE)], ids=["two", "±", "three"])
def test_the_script_has_what_the_card_has(block: BlockResult) -> None:
    assert compare_with_card(block) > 40


def test_the_script_has_what_every_card_of_the_demonstration_has(site: Overview) -> None:
    seen = 0
    for block in site.book.by_place.values():
        if block.cases and decision_table(block) is None:
            seen += compare_with_card(block)
    assert seen > 500


def test_a_figure_that_rests_on_nothing_here_is_null() -> None:
    figure = {"label": "9", "of": "other.one", "case": "", "versus": "", "versus_case": "", "unit": ""}
    assert shown(compute(GEARING), [figure])["figures"] == [None]


def test_a_chart_is_shapes_of_two_sorts_with_the_words_of_its_axes() -> None:
    (chart,) = shown(uncertain())["charts"]
    assert [view["system"] for view in chart["views"]] == ["author", "us"]
    metric, us = ({text for _, _, text in view["shapes"]} for view in chart["views"])
    assert {"road speed, km/h", "engine speed, rpm"} <= metric
    assert "road speed, mph" in us
    assert {tag for view in chart["views"] for tag, _, _ in view["shapes"]} == {"path", "text"}


def test_a_chart_that_cannot_be_drawn_says_why() -> None:
    block = uncertain()
    (chart,) = block.charts
    assert isinstance(chart, ChartSpec)
    curve = replace(chart.series[0], x=(0.0, float("inf")), y=(0.0, 1.0))
    (said,) = shown(replace(block, charts=(replace(chart, series=(curve,)),)))["charts"]
    assert "views" not in said
    assert said["refusal"]
