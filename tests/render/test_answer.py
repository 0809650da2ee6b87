"""What a card answers first: the rows in sight, what is folded, and what an author says of either."""

from __future__ import annotations

import pytest

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic
from buildlog.kinds.results import BlockResult, row_anchor
from buildlog.proof.judging import judge_link
from buildlog.proof.rows_in_use import rows_in_use
from buildlog.reading.settings import Settings
from buildlog.render.answer import Results, results_of
from tests.page.test_extension import page
from tests.parsed_html import Tag
from tests.render.blocks import GEARING, compute, fence

ID = "shorter-final"


def at(output: str, key: str = "") -> str:
    return row_anchor(ID, output, key)


def in_sight(results: Results) -> set[str]:
    return set(results.answer.anchors) if results.answer else set()


def folded(results: Results) -> set[str]:
    return set(results.others.anchors) if results.others else set()


def every_row(block: BlockResult) -> set[str]:
    return {at(output.name, key) for output, key in block.rows()}


@pytest.mark.parametrize(
    "in_use",
    [
        (),
        (("speed_at_limit", "3"),),
        (("speed_at_limit", "3"), ("speed_at_limit", "4"), ("step", "1-2")),
        (("rolling_radius", ""), ("overall_ratio", "1")),
    ],
)
def test_every_row_has_its_id_once(in_use: tuple[tuple[str, str], ...]) -> None:
    block = compute(GEARING)
    results = results_of(block, in_use)
    assert in_sight(results) | folded(results) == every_row(block)
    assert not in_sight(results) & folded(results)
    assert {at(*row) for row in in_use} <= in_sight(results)


def test_a_row_of_a_list_says_in_full_what_it_is_and_the_fold_has_the_list_whole() -> None:
    block = compute(GEARING)
    results = results_of(block, [("speed_at_limit", "3")])
    assert results.answer is not None
    (group,) = results.answer.groups
    (row,) = group.rows
    assert row.label == f"{block.outputs['speed_at_limit'].title[:1].upper()}" + (
        f"{block.outputs['speed_at_limit'].title[1:]}, gear 3"
    )
    assert [cell.case for cell in row.cells] == ["before", "after"]
    assert results.others is not None
    listed = next(
        group for group in results.others.groups if group.rows[0].anchor == at("speed_at_limit", "1")
    )
    assert [row.repeated for row in listed.rows] == [False, False, True, False, False]


def test_a_short_list_that_half_is_wanted_of_stands_as_a_table() -> None:
    results = results_of(compute(GEARING), [("speed_at_limit", gear) for gear in "345"])
    assert in_sight(results) == {at("speed_at_limit", gear) for gear in "12345"}


def test_where_nothing_is_named_the_first_rows_stand_for_the_answer() -> None:
    block = compute(GEARING)
    results = results_of(block)
    first = [at(output.name, key) for output, key in block.rows() if not key and output.dimension != "text"]
    assert in_sight(results) == set(first[:6])
    assert folded(results)


def test_few_rows_are_not_folded() -> None:
    block = compute(GEARING)
    most = [(output.name, key) for output, key in block.rows()][:-3]
    assert results_of(block, most).others is None


def test_what_was_asked_to_be_found_is_in_sight() -> None:
    sought = GEARING.split("cases:")[0] + (
        "find: final_drive\nso_that: {speed_at_limit.3: 140 km/h}\nbetween: [3.5, 5]\n"
    )
    assert at("final_drive") in in_sight(results_of(compute(sought), [("speed_at_limit", "3")]))


# --- what the author says ---------------------------------------------------------------------


@pytest.mark.parametrize(
    "show",
    [
        "{table: [rolling_radius, speed_at_limit.3]}",
        "[{table: [rolling_radius, speed_at_limit.3]}, chart]",
        "\n  table:\n    - rolling_radius\n    - speed_at_limit.3",
    ],
)
def test_rows_that_the_author_names_are_in_sight(show: str) -> None:
    block = compute(f"{GEARING}show: {show}\n")
    assert not block.faults
    assert in_sight(results_of(block)) == {at("rolling_radius"), at("speed_at_limit", "3")}
    assert at("step", "1-2") in in_sight(results_of(block, [("step", "1-2")])), "beside what is in use"


def test_a_quantity_without_a_key_means_all_of_its_rows() -> None:
    block = compute(f"{GEARING}show: {{table: speed_at_limit}}\n")
    assert in_sight(results_of(block)) == {at("speed_at_limit", gear) for gear in "12345"}


def test_all_and_none_of_the_table() -> None:
    whole = results_of(compute(f"{GEARING}show: {{table: all}}\n"))
    none = results_of(compute(f"{GEARING}show: [inputs]\n"), [("rolling_radius", "")])
    assert whole.others is None
    assert none.answer is None
    assert folded(none) == in_sight(whole) == every_row(compute(GEARING))
    assert none.count == f"{len(folded(none))} rows"


def test_a_mapping_says_nothing_of_the_other_parts_and_a_list_does() -> None:
    assert compute(f"{GEARING}show: {{table: all}}\n").show == compute(GEARING).show
    assert compute(f"{GEARING}show: [{{table: all}}, chart]\n").show == ("table", "chart")
    assert compute(f"{GEARING}show: table\n").show == ("table",)


WRONG = [
    ("{table: [speed_at_limt]}", "speed_at_limt", "did you mean “speed_at_limit”"),
    ("{table: [speed_at_limit.7]}", "speed_at_limit.7", ""),
    ("{table: [rolling_radius.2]}", "rolling_radius.2", ""),
    ("{table: [after.speed_at_limit.3]}", "after.speed_at_limit.3", "write speed_at_limit.3"),
    ("{table: [gear_for_speed]}", "gear_for_speed", ""),
    ("{chart: yes}", "chart", "write show: [{table: [QUANTITY]}, chart]"),
    ("{tabel: all}", "tabel", "did you mean “table”"),
    ("{table: []}", "[", ""),
    ("{table: [[speed_at_limit]]}", "[speed_at_limit]", ""),
    ("{table: {a: b}}", "{a", ""),
    ("[tabel]", "tabel", "did you mean “table”"),
]


@pytest.mark.parametrize("show,where,help", WRONG)
def test_what_is_wrong_is_said_where_it_stands(show: str, where: str, help: str) -> None:
    block = compute(f"{GEARING}show: {show}\n")
    assert not block.cases
    fault: Diagnostic = block.faults[0]
    assert fault.code.name in ("unknown-key", "block-shape")
    line = f"show: {show}"
    assert fault.position.line == len(GEARING.splitlines()) + 2
    assert line[fault.position.column - 1 :].startswith(where)
    assert help.lower() in fault.help.lower()


# --- what the page rests on -------------------------------------------------------------------


def text_of(*blocks: str, text: str) -> Book:
    made = "\n\n".join((text, *map(fence, blocks)))
    from pathlib import Path

    return Book(settings=Settings(content=Path("no-content")), root=Path.cwd()).with_page("p", made)


def in_use(book: Book) -> dict[str, frozenset[tuple[str, str]]]:
    figures = [judge_link(book, "p", link) for link in book.pages["p"].scanned.links]
    return rows_in_use(book, "p", figures)


def test_figures_blocks_decisions_and_predictions_of_the_page_count() -> None:
    other = GEARING.replace(ID, "other").replace(
        "cases:", f"predicts: {{overall_ratio.1: calc:{ID}.overall_ratio.1}}\ncases:"
    )
    decision = f"""\
id: choice
kind: decision
requires:
  - {{name: fast, value: calc:{ID}.after.speed_at_limit.5, at_least: 150 km/h}}
"""
    book = text_of(
        GEARING,
        other,
        decision,
        text=f"It does [18.4 m/s](calc:{ID}.after.speed_at_limit.1), at "
        f'[more](calc:{ID}.after.rpm_at.3 "vs before") revs.',
    )
    found = in_use(book)
    assert {
        ("speed_at_limit", "1"),
        ("rpm_at", "3"),
        ("speed_at_limit", "5"),
        ("overall_ratio", "1"),
    } <= found[ID]
    assert found["other"] == {("overall_ratio", "1")}


def test_an_input_that_a_figure_restates_is_no_row() -> None:
    assert in_use(text_of(GEARING, text=f"[8200 rpm](calc:{ID}.rev_limit)")) == {}


def rows_seen(tree: Tag) -> set[str]:
    return {
        one.attributes["id"]
        for one in tree.walk()
        if one.name == "tr" and "id" in one.attributes and "details" not in one.ancestors
    }


def test_the_page_shows_the_rows_of_its_text() -> None:
    tree = page(f"[133.1 km/h](calc:{ID}.after.speed_at_limit.3)\n\n{fence(GEARING)}")
    assert rows_seen(tree) == {at("speed_at_limit", "3")}
    (fold,) = tree.all("details", "buildlog-all")
    rows = len(every_row(compute(GEARING))) - 1
    assert fold.one("summary").words == f"All results ({rows} more rows)"
