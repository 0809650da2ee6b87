"""The card of a decision: options as columns, requirements as rows, verdicts in words, and its place."""

from __future__ import annotations

from pathlib import Path

import markdown

from buildlog.book.book import Book
from buildlog.kinds.results import BlockResult, row_anchor
from buildlog.page.extension import BuildlogExtension
from buildlog.render import LinkPiece, render_card
from buildlog.render.decision import decision_table
from tests.parsed_html import Tag, parse
from tests.render.blocks import compute, fence
from tests.samples import GEARING, write_site

CHOICE = """\
id: choice
kind: decision
title: Which springs
requires:
  - name: light <b>enough</b>
    key: light
    value: {old: 1210 kg, new: 1195 ± 1 kg, odd: 1199 ± 2 kg}
    at_most: 1200 kg
  - {name: quick, value: {old: 9 s, new: 8 s, odd: 8 s}, at_most: {old: 10 s, new: 9 s, odd: 9 s}, sure: 99 %}
options: [old, new, odd]
chosen: new
"""


def href(link: LinkPiece) -> str:
    return f"{link.page or ''}#{link.anchor}"


def card() -> Tag:
    return parse(render_card(compute(CHOICE)).html(href))


def words(tag: Tag) -> str:
    """What it says in the author's units."""
    return " ".join(tag.without("buildlog-other").text.replace("\xa0", " ").split())


def page(text: str) -> Tag:
    return parse(markdown.markdown(text, extensions=[BuildlogExtension(style=False)]))


def test_each_cell_says_verdict_value_and_margin() -> None:
    row = card().by_id(row_anchor("choice", "margin", "light"))
    assert words(row.one("th")).startswith("light <b>enough</b># at most 1200 kg")
    assert [words(cell) for cell in row.all("td")] == [
        "fails 1210 kg margin −10 kg",
        "holds 1195 ± 2 kg margin 5 ± 2 kg",
        "too close to call 1199 ± 4 kg margin 1 ± 4 kg",
    ]


def test_a_limit_that_options_do_not_share_stands_beside_each_value() -> None:
    row = card().by_id(row_anchor("choice", "margin", "quick"))
    assert "99 % sure" in words(row.one("th"))
    assert next(words(cell) for cell in row.all("td")) == "holds 9 s limit 10 s margin 1 s"


def test_an_option_that_was_rejected_says_by_what() -> None:
    table = card().one("table", css="buildlog-requirements")
    assert [words(head) for head in table.one("thead").all("th")] == ["Required", "old", "new chosen", "odd"]
    assert [words(cell) for cell in table.one("tbody", css="buildlog-overall").all("td")] == [
        "fails rejected by “light <b>enough</b>”",
        "holds",
        "too close to call by “light <b>enough</b>”",
    ]


def test_the_verdict_over_all_stands_before_what_it_was_made_of() -> None:
    """ "Answer first": the first row below the options is the verdict, and no second one follows."""
    table = card().one("table", css="buildlog-requirements")
    ids = [row.attributes.get("id", "") for row in table.all("tr")]
    assert ids == [
        "",
        *(row_anchor("choice", *of) for of in (("overall",), ("margin", "light"), ("margin", "quick"))),
    ]


def test_every_address_of_a_requirement_leads_to_its_row() -> None:
    tree = card()
    for name in ("value", "limit", "verdict"):
        parent = tree.by_id(row_anchor("choice", name, "light")).parent
        assert parent is not None
        assert parent.parent is tree.by_id(row_anchor("choice", "margin", "light"))
    assert tree.by_id(row_anchor("choice", "overall")).parent is tree.one("tbody", css="buildlog-overall")


def test_a_margin_of_next_to_nothing_shows_a_digit() -> None:
    body = CHOICE.replace("1210 kg", "1200.004 kg")
    row = parse(render_card(compute(body)).html(href)).by_id(row_anchor("choice", "margin", "light"))
    assert words(row.all("td")[0]) == "fails 1200.004 kg margin −0.004 kg"


def test_the_card_stands_first_and_leaves_a_way_to_it() -> None:
    text = f"# Springs\n\nSome words.\n\n- in a list\n\n{indented(fence(CHOICE))}\nMore words.\n"
    tree = page(text)
    names = [tag.name for tag in tree.children if isinstance(tag, Tag)]
    assert names[:2] == ["h1", "div"]
    first = [tag for tag in tree.children if isinstance(tag, Tag)][1]
    assert first.one("section").attributes["id"] == "calc-choice"
    way = tree.one("ul").one("a")
    assert (way.attributes["href"], way.text) == ("#calc-choice", "Which springs")
    assert len(tree.ids) == len(set(tree.ids))


def test_a_decision_at_fault_stands_first_too() -> None:
    tree = page("# Springs\n\nSome words.\n\n" + fence(CHOICE.replace("chosen: new", "chosen: newer")))
    assert "Not computed" in tree.by_id("calc-choice").text


def indented(text: str) -> str:
    return "".join(f"    {line}" for line in text.splitlines(keepends=True))


def deciding(block: BlockResult) -> dict[tuple[str, str], tuple[str, str]]:
    """(requirement, option) → verdict, what would turn it."""
    table = decision_table(block)
    assert table is not None
    return {
        (row.requirement.split(" ")[0], row.option): (
            row.verdict,
            row.turned_by.replace("\u00a0", " "),
        )
        for row in table.deciding
    }


def budgeted(block: BlockResult) -> list[tuple[str, str, str]]:
    """Each line of the margins' budgets: name, what was stated, share."""
    table = decision_table(block)
    assert table is not None
    rows = [row for budget in table.budgets for row in budget.rows]
    return [(row.name, row.stated, row.share.replace("\u00a0", " ")) for row in rows]


def test_what_decides_says_what_would_turn_it() -> None:
    """Of 5 ± 2 kg (k = 2) the margin is 2.5 times its ±; 1 ± 4 kg is settled by less than ± 1 kg."""
    rows = deciding(compute(CHOICE))
    assert rows["light", "new"][:2] == ("holds", "5.0 kg less, 2.5 times its ±")
    assert rows["light", "odd"][:2] == ("too close to call", "± of less than 1.0 kg")
    assert rows["light", "old"][:2] == ("fails", "10 kg more; nothing in it is doubtful")
    assert ("quick", "odd") not in rows, "what an option keeps to did not reject it"
    assert rows["quick", "new"][:2] == ("holds", "1.0 s less; nothing in it is doubtful")


def test_what_is_asked_for_more_surely_is_settled_by_less() -> None:
    """JCGM 106:2012, 7.3.2: 99 % one-sided is 2.326 standard uncertainties, so 1 kg asks for ± 0.86 kg."""
    sure = CHOICE.replace("    at_most: 1200 kg\n", "    at_most: 1200 kg\n    sure: 99 %\n", 1)
    assert deciding(compute(sure))["light", "odd"][1] == "± of less than 0.86 kg"


def test_the_card_of_a_decision_has_what_decides() -> None:
    text = words(card())
    assert "How sure: what decides, and what would turn it" in text
    assert "2.5 times its ±" in text


def test_what_decides_goes_by_its_name_in_the_block_it_comes_from(tmp_path: Path) -> None:
    choice = "\n```yaml calc\nid: choice\nkind: decision\nrequires:\n  - name: fast enough\n    key: fast\n"
    choice += "    value: {new: calc:shorter-final.after.speed_at_limit.3}\n    at_least: 130 km/h\n"
    choice += "options: [new]\n"
    write_site(tmp_path, {"a.md": f"# A\n\n{GEARING}{choice}```\n"})
    block = Book.open(root=tmp_path).result("a", "choice")
    assert block is not None
    rows = budgeted(block)
    assert "(method)" in rows[0][0]
    assert not any("requires" in name for name, _, _ in rows)
    rolled = GEARING.replace("tyre: 195/50R15", "rolling_circumference: 1.82 ± 0.02 m")
    for title, called in (("", "shorter-final"), ("title: Gears\n", "Gears")):
        text = rolled.replace("kind: gearing\n", f"kind: gearing\n{title}")
        write_site(tmp_path, {"a.md": f"# A\n\n{text}{choice}```\n"})
        block = Book.open(root=tmp_path).result("a", "choice")
        assert block is not None
        assert budgeted(block) == [(f"rolling circumference ({called})", "1.82 ± 0.02 m", "100 %")]
    weighed = choice.replace("calc:shorter-final.after.speed_at_limit.3", "131 ± 1 km/h")
    write_site(tmp_path, {"a.md": f"# A\n\n{GEARING}{weighed}```\n"})
    block = Book.open(root=tmp_path).result("a", "choice")
    assert block is not None
    assert budgeted(block) == [("value given here", "131 ± 1 km/h", "100 %")]


def test_a_budget_says_which_halving_settles_what_is_too_close_to_call(tmp_path: Path) -> None:
    """1199 kg of two wheels with u = 0.8 and 0.2 kg: U = 1.65 kg is more than the margin of 1 kg. With the
    first halved it is 2 √(0.4² + 0.2²) = 0.89 kg, which is less; with the other 2 √(0.8² + 0.1²) = 1.61 kg
    (JCGM 100:2008, 5.1.2)."""
    scales = """\
id: scales
kind: weight_balance
inputs:
  wheelbase: 2500 mm
  front_track: 1.4 m
  rear_track: 1.4 m
  left_front: 300 ± 0.8 kg
  right_front: 299 ± 0.2 kg
  left_rear: 300 ± 0 kg
  right_rear: 300 ± 0 kg
"""
    choice = CHOICE.replace("1199 ± 2 kg", "calc:scales.total_mass")
    write_site(tmp_path, {"a.md": f"# A\n\n{fence(scales)}\n{fence(choice)}"})
    book = Book.open(root=tmp_path)
    block = book.result("a", "choice")
    assert block is not None
    table = decision_table(block)
    assert table is not None
    assert [result.label for budget in table.budgets for result in budget.of] == ["light <b>enough</b>"] * 2
    then = {row.name: row.then for budget in table.budgets for row in budget.rows}
    assert then == {
        "value given here": "",
        "left front (scales)": "then it holds",
        "right front (scales)": "",
    }
