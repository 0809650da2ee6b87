"""The result card: what stands in it, that nothing an author writes becomes markup, that ids are unique."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from buildlog.charts.data import NOT_DRAWN
from buildlog.diagnostics import Position, Refused, Severity, declare
from buildlog.figures.spread import decimals_of_uncertainty
from buildlog.figures.units import find, units_of
from buildlog.kinds import catalogue
from buildlog.kinds.chart import Chart
from buildlog.kinds.declaration import Axis, ChartSpec, Input, Marker, Series, Text
from buildlog.kinds.hazards import HAZARDS
from buildlog.kinds.results import BlockResult, Value, card_anchor, row_anchor
from buildlog.render import LinkPiece, render_card
from buildlog.render.card import cautions_of
from buildlog.render.table import sentence
from buildlog.report.working import working_text
from tests.house import ROOT
from tests.parsed_html import Tag, parse, shape
from tests.render.blocks import GEARING, compute, made_of, uncertain

HOSTILE = [
    "<script>alert(1)</script>",
    '"onload="alert(1)',
    "' onmouseover='alert(1)",
    "{{7*7}}{% raw %}",
    "</td></table></section><img src=x>",
    "]]></svg>",
    "\x02wzxhzdk:0\x03",
    "\x02link:0\x03",
    "&lt;b&gt;",
    "{#",
]


def href(link: LinkPiece) -> str:
    return f"{link.page or ''}#{link.anchor}"


def card(block: BlockResult, **options: object) -> Tag:
    return parse(render_card(block, **options).html(href))  # type: ignore[arg-type]


def own(tag: Tag) -> str:
    """What a cell says in the author's units."""
    return tag.without("buildlog-other").words


def drawn(spec: Chart, anchor: str, system: str) -> str:
    return f'<svg id="{anchor}" role="img"><title>drawn</title></svg>'


# --- the table ---------------------------------------------------------------------------


def read(text: str) -> Decimal:
    return Decimal(text.strip().replace("\u2212", "-").replace("\u202f", ""))


def test_every_output_of_every_case_stands_in_its_row_to_half_a_digit() -> None:
    block = compute(GEARING)
    tree = card(block)
    seen = 0
    for output, key in block.rows():
        if output.dimension == "text":
            continue
        row = tree.by_id(row_anchor(block.id, output.name, key))
        cells = row.all("td")
        flat = output.name in (
            "step",
            "rpm_after",
            "rpm_drop",
        )  # the gearbox stays: one column for both cases
        assert len(cells) == (1 if flat else len(block.cases) + 1)
        unit = find(output.unit, output.dimension) if output.unit else units_of(output.dimension)[0]
        for case, cell in zip(block.cases, cells, strict=False):
            value = block.value(case, output.name, key)
            if value is None:  # a gear in which that speed is beyond the limiter, say
                assert cell.words == "–"
                continue
            assert isinstance(value, Value)
            number = cell.without("buildlog-other").text.partition("±")[0]
            shown = read(number)
            # With ±, a value stands to the place of its uncertainty (JCGM 100:2008, 7.2.6).
            assert -int(shown.as_tuple().exponent) <= output.decimals
            spread = unit.from_si_difference(value.expanded_uncertainty)
            place = min(0, decimals_of_uncertainty(spread)) if spread > 0.5 else 0
            half = Decimal(10) ** (int(shown.as_tuple().exponent) - place) / 2
            assert abs(shown - Decimal(unit.from_si(value.si))) <= half + Decimal("1e-9")
            seen += 1
    assert seen > 40


def test_change_is_the_difference_and_the_percentage_against_the_first_case() -> None:
    block = compute(GEARING)
    cells = card(block).by_id(row_anchor(block.id, "overall_ratio", "1")).all("td")
    # 3.32 · 39/10 = 12.948 and 3.32 · 41/9 = 15.1244…; both by hand, so is the change.
    assert [cell.words for cell in cells] == ["12.948", "15.124", "+2.176 +16.8 %"]
    slower = card(block).by_id(row_anchor(block.id, "speed_at_limit", "3")).all("td")[2].words
    assert slower.startswith("\u2212")
    assert "\u221214.4 %" in slower
    assert card(block).by_id(row_anchor(block.id, "rolling_radius")).all("td")[2].words == "same"


def test_the_cell_of_each_case_says_whose_it_is() -> None:
    tree = card(compute(GEARING))
    cells = tree.by_id(row_anchor("shorter-final", "overall_ratio", "1")).all("td")
    assert [cell.attributes.get("data-case") for cell in cells] == ["before", "after", None]
    flat = tree.by_id(row_anchor("shorter-final", "step", "1-2")).all("td")
    assert [cell.attributes.get("data-case") for cell in flat] == [None], "one cell of both cases"


def test_a_quantity_that_no_case_changes_has_one_column() -> None:
    tree = card(compute(GEARING))
    table = tree.by_id("calc-shorter-final.step.1-2")
    assert [cell.words for cell in table.all("td")] == ["1.627"]  # 3.32 / 2.04
    assert tree.one(css="buildlog-same").words.count("both cases") == 3
    changed = card(compute(GEARING.replace("39/10}", "39/10, gears: [3.32, 2.04, 1.43, 1.13, 0.95]}")))
    assert len(changed.by_id("calc-shorter-final.step.1-2").all("td")) == 3, "a later step changes"


def test_units_stand_in_the_caption_of_a_group_and_in_the_row_of_a_single_value() -> None:
    tree = card(compute(GEARING))
    captions = [caption.words for caption in tree.all("caption")]
    assert "Road speed at the rev limit km/h (mph) how" in captions
    row = tree.by_id("calc-shorter-final.rolling_radius").one("th")
    assert row.one(css="buildlog-unit").words == "mm (in)"


def test_uncertainty_is_shown_where_there_is_one_and_explained() -> None:
    plain, measured = card(compute(GEARING)), card(uncertain())
    assert "±" not in plain.by_id("calc-shorter-final.overall_ratio.1").text
    row = measured.by_id("calc-shorter-final.rolling_circumference")
    # u = 3 mm, so U = 6 mm with k = 2 (JCGM 100:2008, 6.2.1).
    assert own(row.all("td")[0]) == "1.752 ± 0.006"
    assert "k = 2" in measured.one("section").text
    # Both cases roll on the same tyre: the shared uncertainty cancels in the ratio, not in the speed.
    assert row.all("td")[2].words == "same"


def test_one_case_has_no_change_and_no_case_names() -> None:
    block = compute(GEARING.split("cases:")[0] + "  final_drive: 4.10\n")
    cells = card(block).by_id("calc-shorter-final.speed_at_limit.3").all("td")
    assert len(cells) == 1
    assert card(block).all(css="buildlog-results")
    assert not any("change" in part.words for part in card(block).all(css="buildlog-results"))


def test_three_cases_show_the_change_below_each_later_value() -> None:
    block = compute(GEARING + "  longest: {final_drive: 3.54}\n")
    tree = card(block)
    cells = tree.by_id("calc-shorter-final.overall_ratio.1").all("td")
    assert len(cells) == 3
    assert cells[0].words == "12.948"
    assert cells[1].one(css="buildlog-below").words == "+2.176 +16.8 %"
    assert "the change from before" in tree.text


def test_percent_of_a_temperature_or_of_a_percentage_is_not_shown() -> None:
    block = made_of("x")
    cases = {}
    for name, kelvin in (("a", 293.15), ("b", 303.15)):
        value = Value(si=kelvin, dimension="temperature", unit="°C", decimals=1)
        cases[name] = replace(next(iter(block.cases.values())), name=name, values={"mass": value})
    assert block.calculator is not None
    output = replace(block.calculator.outputs[0], dimension="temperature", unit="°C", key="")
    calculator = replace(block.calculator, outputs=(output,), inputs=(), sources=(), hazards=())
    tree = card(replace(block, calculator=calculator, cases=cases))
    assert [own(cell) for cell in tree.by_id("calc-made.mass").all("td")] == ["20.0", "30.0", "+10.0"]


# A pressure against ambient that goes from −2000 to 57 Pa: 57/(−2000) − 1 is −103 %, by the definition of a
# relative change, and says nothing.
def test_percent_across_nought_is_not_shown() -> None:
    block = made_of("x")
    cases = {}
    for name, pascal in (("a", -2000.0), ("b", 57.0), ("c", -500.0)):
        value = Value(si=pascal, dimension="pressure", unit="Pa", decimals=0)
        cases[name] = replace(next(iter(block.cases.values())), name=name, values={"mass": value})
    assert block.calculator is not None
    output = replace(block.calculator.outputs[0], dimension="pressure", unit="Pa", key="")
    calculator = replace(block.calculator, outputs=(output,), inputs=(), sources=(), hazards=())
    tree = card(replace(block, calculator=calculator, cases=cases))
    cells = [cell.words for cell in tree.by_id("calc-made.mass").all("td")]
    assert "2057" in cells[1].replace("\N{NARROW NO-BREAK SPACE}", "").replace("\N{NO-BREAK SPACE}", "")
    assert "%" not in cells[1]
    assert "−75.0 %" in cells[2].replace("\N{NO-BREAK SPACE}", " ")


def test_a_change_of_a_percentage_is_in_points() -> None:
    block = made_of("x")
    cases = {}
    for name, share in (("a", 0.52), ("b", 0.50)):
        value = Value(si=share, dimension="ratio", unit="%", decimals=1)
        cases[name] = replace(next(iter(block.cases.values())), name=name, values={"mass": value})
    assert block.calculator is not None
    output = replace(block.calculator.outputs[0], dimension="ratio", unit="%", key="")
    calculator = replace(block.calculator, outputs=(output,), inputs=(), sources=(), hazards=())
    tree = card(replace(block, calculator=calculator, cases=cases))
    assert [cell.words for cell in tree.by_id("calc-made.mass").all("td")] == ["52.0", "50.0", "−2.0 points"]


def test_words_are_said_once_where_the_cases_agree() -> None:
    tree = card(made_of("one and the same"))
    assert tree.by_id("calc-made.word").words == "One and the same said one and the same one and the same"
    apart = card(compute(GEARING)).by_id("calc-shorter-final.tooth_pairing").words
    assert "before" in apart
    assert "after" in apart


@pytest.mark.parametrize(
    "phrase,heading",
    [
        ("speed at cruise_speed", "Speed at cruise speed"),
        ("ρv²/2", "ρv²/2"),  # Ρ is another letter
        ("", ""),
    ],
)
def test_headings_take_a_capital_but_no_symbol_does(phrase: str, heading: str) -> None:
    assert sentence(phrase) == heading


def test_every_table_can_scroll_by_itself_and_by_keyboard() -> None:
    tree = card(uncertain(), draw=drawn)
    for table in tree.all("table"):
        if "buildlog-symbols" in table.attributes["class"].split():
            continue  # it wraps, so that it never has to
        box = table.parent
        assert box is not None
        assert "buildlog-scroll" in box.attributes["class"].split()
        assert box.attributes["tabindex"] == "0"
        assert box.attributes["aria-label"]
    for table in tree.all("table"):
        assert table.all("th"), "every table has headings"
        assert all(head.attributes.get("scope") in ("col", "row", "rowgroup") for head in table.all("th"))


# --- what else is on it -------------------------------------------------------------------


def test_inputs_say_what_was_written_and_where() -> None:
    rows = card(compute(GEARING)).one(css="buildlog-inputs").all("tr")
    words = [row.words for row in rows]
    assert "Rev limit engine speed at which the limiter cuts in8200 rpm this block" in words, "its name first"
    assert any("before 39/10 this case" in row for row in words)
    assert any("after 41/9 this case" in row for row in words)
    assert any(
        all(part in row for part in ("Rolling factor", "3.05 ±", "default: radial tyres", "assumed:"))
        for row in words
    )


def test_an_input_that_is_not_written_as_it_is_called_shows_what_is_written() -> None:
    block = compute(GEARING.replace("cruise_speed:", "at_revs: 3000 rpm\n  cruise_speed:"))
    heads = [
        row.one("th")
        for row in card(block).one(css="buildlog-inputs").one("tbody").all("tr")[:12]
        if row.all("th")
    ]
    called = {head.words.partition(" engine speed at which the speed")[0]: head for head in heads}
    assert called["Engine speed of interest at_revs"].one("code").words == "at_revs"
    assert [head.words for head in heads if head.all("code")] == [
        called["Engine speed of interest at_revs"].words
    ]


def test_an_input_whose_gloss_says_no_more_than_its_name_has_none() -> None:
    said = Input(name="relative_humidity", form=Text(), about="the relative humidity")
    assert said.gloss == ""
    assert replace(said, about="relative humidity of the intake air").gloss


def step_of(tree: Tag, name: str) -> Tag:
    """A step of the working."""
    return next(
        step
        for step in tree.all(css="buildlog-step")
        if step.all("div")[0].attributes["id"].endswith(f".working.{name}")
    )


def test_working_shows_each_formula_once_with_its_uses_and_its_source() -> None:
    block = compute(GEARING)
    tree = card(block)
    speed = step_of(tree, "speed_at_limit")
    rows = speed.one(css="buildlog-uses").one("tbody").all("tr")
    assert len(rows) == 10, "five gears, two cases"
    assert {row.all("th")[-1].words for row in rows} == {"before", "after"}
    assert len(speed.all(css="buildlog-equation")) == 1
    reference = speed.one(css="buildlog-reference")
    anchor = reference.attributes["href"].removeprefix("#")
    title = tree.by_id(anchor).one("cite").words
    assert "Kinematics" in title
    number = anchor.rpartition("-")[2]
    assert reference.words == f"{title} source {number}", "what the link leads to is seen and heard"
    assert not re.search(r"\[\d+\]", tree.text), "a mark of our own, not a number in brackets"
    shared = step_of(tree, "overall_diameter")
    assert not shared.all(css="buildlog-uses"), "the cases share the tyre, so it is worked once"
    assert not shared.one("summary").all("i"), "every case went through it"


def test_working_says_what_each_symbol_stands_for_and_where_it_comes_from() -> None:
    tree = card(compute(GEARING))
    speed = step_of(tree, "speed_at_limit")
    symbols = {row.one("th").words: row for row in speed.one(css="buildlog-symbols").all("tr")}
    assert set(symbols) == {"ω", "i", "U", "v"}
    assert symbols["ω"].all("td")[0].words.startswith("engine speed")
    assert symbols["ω"].all("td")[1].words == "858.702 rad/s"
    ratio = symbols["i"].one("a")
    assert tree.by_id(ratio.attributes["href"].removeprefix("#")).all(css="buildlog-equation")
    assert symbols["i"].all("td")[1].words == "see below"
    assert tree.by_id(symbols["ω"].one("a").attributes["href"].removeprefix("#")).name == "tr", "the input's"


@pytest.mark.parametrize("kind", ["side_chamber", "clutch", "duct", "weight_balance"])
def test_what_a_symbol_stands_for_is_said_once_in_its_row(kind: str) -> None:
    """Where a symbol is called as the step that gave it, one text is both."""
    tree = card(compute(catalogue.load_kind(kind).examples[0]))
    rows = [row for table in tree.all(css="buildlog-symbols") for row in table.all("tr")]
    linked = 0
    for row in rows:
        cell = row.all("td")[0]
        ways = [link.words.casefold() for link in cell.all("a")]
        linked += len(ways)
        assert len(ways) == len(set(ways))
        assert not any(cell.words.casefold() == f"{way} from {way}" for way in ways)
    assert linked


@pytest.mark.parametrize("kind", ["acceleration", "bolted_joint", "header", "side_chamber"])
def test_quantities_on_the_way_have_a_value_in_each_use(kind: str) -> None:
    """As in a step of one use: by the table where they differ, beside the symbol where they do not."""
    tree = card(compute(catalogue.load_kind(kind).examples[0]))
    columns = 0
    for step in tree.all(css="buildlog-step"):
        symbols = {
            row.one("th").words: row.all("td")[-1].words for row in step.one(css="buildlog-symbols").all("tr")
        }
        assert "–" not in symbols.values()
        for table in step.all(css="buildlog-uses"):
            heads = table.one("thead").all("th")
            asked = {symbol for symbol, value in symbols.items() if value == "see below"}
            named = [head.words for head in heads]
            assert all(any(name.startswith(symbol) for name in named) for symbol in asked)
            columns += len([head for head in heads if "data-of" not in head.attributes])
            for row in table.one("tbody").all("tr"):
                assert len([*row.all("th"), *row.all("td")]) == len(heads)
    assert columns


def test_a_row_leads_to_its_step() -> None:
    tree = card(compute(GEARING))
    ways = tree.all(css="buildlog-how")
    assert ways
    for way in ways:
        assert tree.by_id(way.attributes["href"].removeprefix("#")).all(css="buildlog-symbols")


def test_sources_are_numbered_with_edition_place_and_standing() -> None:
    """Whether we have read a source stands in the manual; that there is none stands on the card too."""
    listed = [item.words for item in card(compute(GEARING)).one("ol").all("li")]
    assert any("ISO 4000-1" in item for item in listed)
    assert any("derived" in item or "common practice" in item for item in listed)
    assert not any("from memory" in item for item in listed)
    assert "from memory" not in working_text(compute(GEARING))
    assert "from memory" in (ROOT / "content/manual/kinds/gearing.md").read_text("utf-8")
    assert any("5.3: 0 ≤ V1" in item for item in listed)


def test_each_caution_is_a_line_with_its_text_behind_it_and_stands_once() -> None:
    block = compute(GEARING)
    first = card(block)
    names = block.calculator.hazards  # type: ignore[union-attr]
    assert names
    for name in names:
        text = first.by_id(f"caution-{name}")  # in the fold, so that a link to it opens that
        fold = text.parent
        assert fold is not None
        assert (fold.name, fold.one("summary").words) == ("details", HAZARDS[name].title)
        assert text.words == HAZARDS[name].text
        assert first.text.index(HAZARDS[name].title) < first.text.index("All results")
    second = card(block, cautioned=cautions_of(block))
    assert not second.all(css="buildlog-cautions")
    for name in names:
        assert HAZARDS[name].title not in second.text


@pytest.mark.parametrize(
    "shown,inside,outside",
    [
        ("[table, chart, working, inputs]", ["results", "chart", "inputs", "step"], []),
        ("[table]", ["results"], ["chart", "inputs", "step"]),
        ("[chart]", ["chart"], ["inputs", "step"]),
        ("[working]", ["step"], ["chart", "inputs"]),
    ],
)
def test_show_says_what_is_in_the_card(shown: str, inside: list[str], outside: list[str]) -> None:
    tree = card(compute(GEARING + f"show: {shown}\n"), draw=drawn)
    for part in inside:
        assert tree.all(css=f"buildlog-{part}"), part
    for part in outside:
        assert not tree.all(css=f"buildlog-{part}"), part
    # Figures lead to the rows, so the table is folded away, never left out.
    folded = ["details" in table.ancestors for table in tree.all(css="buildlog-results")]
    assert all(folded) == ("table" not in shown)


def test_chart_comes_with_its_data_and_a_refused_one_says_why() -> None:
    block = compute(GEARING)
    tree = card(block, draw=drawn)
    names = [svg.attributes["id"] for svg in tree.all("svg")]
    assert names == [f"{card_anchor(block.id)}_chart", f"{card_anchor(block.id)}_chart_us"]
    curves = tree.all(css="buildlog-data")[0].all("table")
    assert {curve.one("caption").words for curve in curves} == {"before", "after"}
    assert [head.words for head in curves[0].all("th")] == ["road speed, km/h", "engine speed, rpm"]

    def refuse(spec: Chart, anchor: str, system: str) -> str:
        raise Refused("", "an infinite speed", "finite values", help="look at the inputs", code=NOT_DRAWN)

    refused = card(block, draw=refuse)
    assert not refused.all("svg")
    assert "The chart is not drawn an infinite speed; expected finite values. look at" in refused.words


def test_long_curves_are_thinned_in_the_table_and_it_says_so() -> None:
    points = [float(number) for number in range(1000)]
    spec = ChartSpec(
        title="t",
        description="d",
        x=Axis("x", "length", "m"),
        y=Axis("y", "length", "m"),
        series=(Series(label="s", x=points, y=points),),
        markers=(Marker("here", 3.0, float("inf")), Marker("there", y=2.0)),
    )
    tree = card(replace(compute(GEARING), charts=(spec,)), draw=drawn)
    cells = [[cell.words for cell in row.all("td")] for row in tree.all(css="buildlog-data")[0].all("tr")]
    assert len(cells) < 70
    assert cells[-1] == ["999.0", "999.0"]
    assert "points are left out" in tree.words
    assert "here: x 3.0 m, y – m" in tree.words


def test_a_block_with_faults_shows_them_whole_and_nothing_computed() -> None:
    block = compute(GEARING.replace("8200 rpm", "8200").replace("tyre:", "tire:"))
    tree = card(block)
    box = tree.one(css="buildlog-box")
    assert box.one(css="buildlog-box-title").words == "This block is not computed"
    found = box.all(css="buildlog-finding")
    assert len(found) == len(block.faults) >= 2
    for fault, shown in zip(block.faults, found, strict=True):
        for part in (
            fault.message,
            str(fault.position),
            fault.found,
            fault.expected,
            fault.help,
            fault.code.name,
        ):
            assert " ".join(part.split()) in shown.words
    assert not tree.all("table")
    assert not tree.all(css="buildlog-cautions")


# --- hostile text, ids --------------------------------------------------------------------


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_an_author_writes_becomes_markup(text: str) -> None:
    html = render_card(made_of(text, case=text, other=text + "2"), draw=drawn).html(href)
    tame = render_card(made_of("tame", case="tame", other="tame2"), draw=drawn).html(href)
    assert shape(html) == shape(tame)
    assert "\x02" not in html
    assert "\x03" not in html
    assert "49" not in re.sub(r'id="[^"]*"', "", html)
    visible = "".join(sign for sign in text if sign >= " ")
    assert parse(html).one(css="buildlog-title").text == visible


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_in_a_finding_or_a_chart_becomes_markup(text: str) -> None:
    def made(words: str) -> BlockResult:
        block = made_of("x")
        fault = _CODE.at(
            Position(words, 1, 2),
            words,
            found=words,
            expected=words,
            help=words,
            second=Position(words),
            second_label=words,
            severity=Severity.WARNING,
        )
        axis = Axis(words, "length", "m")
        spec = ChartSpec(
            title=words,
            description=words,
            x=axis,
            y=axis,
            series=(Series(label=words, x=[0.0], y=[1.0]),),
            markers=(Marker(words, 1.0),),
        )
        return replace(block, faults=(fault,), charts=(spec,))

    assert shape(render_card(made(text), draw=drawn).html(href)) == shape(
        render_card(made("tame"), draw=drawn).html(href)
    )


_CODE = declare("test-card", "a finding of a test", why="test", mend="test")


def test_ids_are_unique_and_every_link_within_the_card_leads_somewhere() -> None:
    for block in (uncertain(), made_of("wörd & <b>")):
        tree = card(block, draw=drawn)
        assert len(tree.ids) == len(set(tree.ids))
        assert not any(re.search(r"\s", name) for name in tree.ids)
        for link in tree.all("a"):
            target = link.attributes["href"]
            if target.startswith("data:text/csv;"):
                continue  # a download that lies in the page itself
            assert target.startswith("#")
            assert target[1:] in tree.ids
        assert set(render_card(block, draw=drawn).ids) == set(tree.ids)
        for tag in tree.walk():
            for name in ("aria-labelledby", "aria-describedby"):
                if name in tag.attributes:
                    assert tag.attributes[name] in tree.ids


def test_ids_of_two_blocks_never_meet() -> None:
    """Block x with an output "step" and block x-step, say: neither card nor row may share an id."""
    first = compute(GEARING.replace("shorter-final", "x"))
    second = compute(GEARING.replace("shorter-final", "x-step"))
    assert not set(card(first).ids) & {name for name in card(second).ids if not name.startswith("caution-")}


def test_a_key_in_an_authors_words_makes_an_id_without_blanks() -> None:
    assert row_anchor("b", "mass", "front cone") != row_anchor("b", "mass", "front-cone")
    assert re.fullmatch(r"[^\s\"<>]+", row_anchor("b", "mass", 'a "b" <c>'))


def test_nothing_is_fetched_and_nothing_runs() -> None:
    html = render_card(uncertain(), draw=drawn).html(href)
    for tag in parse(html).walk():
        assert tag.name not in ("script", "link", "img", "iframe", "object", "style")
        assert not any(name.startswith("on") or name in ("src", "srcset") for name in tag.attributes)


def test_a_link_to_another_page_is_kept_apart_for_the_site_to_address() -> None:
    block = made_of("x")
    given = next(iter(block.cases.values())).given["note"]
    moved = replace(given, origin="calc", reference="calc:other/page#run.after.peak_torque")
    cases = {name: replace(one, given={"note": moved}) for name, one in block.cases.items()}
    links = [
        piece for piece in render_card(replace(block, cases=cases)).pieces if isinstance(piece, LinkPiece)
    ]
    assert [(link.page, link.anchor) for link in links] == [("other/page", "calc-run")]
    assert links[0].text == "other/page#run.after.peak_torque"
    written = replace(moved, written=moved.reference)
    cases = {name: replace(one, given={"note": written}) for name, one in block.cases.items()}
    (link,) = (one for one in render_card(replace(block, cases=cases)).pieces if isinstance(one, LinkPiece))
    assert link.text == "computed", "the address stands beside it, as it was written"


# --- results abreast ----------------------------------------------------------------------------


def compared_text() -> str:
    """The example of a kind with several results for each bin, as its manual has it."""
    return catalogue.load_kind("log_compare").examples[0]


def compared() -> BlockResult:
    return compute(compared_text())


def captioned(tree: Tag, caption: str) -> Tag:
    (table,) = [one for one in tree.all("table") if [own.words for own in one.all("caption")] == [caption]]
    return table


def test_what_a_name_does_not_say_stands_beside_it_once() -> None:
    tree = card(compute(GEARING))
    told = {
        own(one.one(css="buildlog-besides")) for one in tree.all("caption") if one.all(css="buildlog-besides")
    }
    assert "engine turns per wheel turn" in told
    assert not any("rev limit" in text for text in told)  # whose name says it all


def test_results_of_one_key_stand_abreast_and_each_has_its_place() -> None:
    block = compared()
    tree = card(block)
    bins = captioned(tree, "Results by bin")
    headings = [own(cell) for cell in bins.one("thead").all("th")]
    assert [
        heading.removesuffix(" how").partition(" [")[0].partition(" K")[0].partition(" %")[0]
        for heading in headings
    ][:5] == [
        "bin",
        "Difference in the bin, after less before",
        "Weight of the bin",
        "Number of rows before",
        "Number of rows after",
    ]
    rows = bins.one("tbody").all("tr")
    assert [own(row.one("th")) for row in rows] == ["30-60 km/h", "60-90 km/h"]
    for output, key in block.rows():
        if not key:
            continue
        cell = tree.by_id(row_anchor(block.id, output.name, key))
        value = block.value("", output.name, key)
        assert isinstance(value, Value)
        number = read(own(cell).partition("±")[0])
        unit = find(value.unit, value.dimension) if value.unit else units_of(value.dimension)[0]
        assert number == pytest.approx(Decimal(unit.from_si(value.si)), abs=Decimal("0.5"))
        assert cell.name == "td"


def test_where_a_quantity_has_no_value_of_a_key_its_cell_says_so() -> None:
    block = compared()
    case = block.cases[""]
    found: Any = case.values["speed_correlation"]
    drives = dict(found)
    drives.pop("after-1")
    offsets = {"after-1": next(iter(drives.values()))}
    less = replace(case, values={**case.values, "speed_correlation": drives, "drive_offset": offsets})
    tree = card(replace(block, cases={"": less}))
    table = captioned(tree, "Results by drive")
    assert [[own(cell) for cell in row.all("td")] for row in table.one("tbody").all("tr")] == [
        ["−0.97", "–"],
        ["–", "−0.97"],
    ]


def test_of_several_cases_each_quantity_has_a_table_of_its_own() -> None:
    bins = "speed_bins: [30 km/h, 60 km/h, 90 km/h]"
    cases = f"cases:\n  wide: {{speed_bins: [30 km/h, 90 km/h]}}\n  fine: {{{bins}}}\n"
    text = compared_text().replace(f"  {bins}\n", "")
    tree = card(compute(text + cases))
    captions = [table.one("caption").words for table in tree.all("table") if table.all("caption")]
    assert not any(caption.startswith("Results by") for caption in captions)
    assert sum(caption.startswith("Weight") for caption in captions) == 1


def test_a_leading_word_stands_over_the_numbers() -> None:
    html = render_card(compared()).html(href)
    assert html.index("The logs of two drives show a fall") < html.index("buildlog-results")
    assert html.count("The logs of two drives show a fall") == 1


def test_the_heading_of_a_step_says_its_value_or_how_many_there_are() -> None:
    """One tyre for all gears and both cases, 3.05 times 576 mm (by hand). Each of
    five gears has a ratio of its own in each case."""
    summaries = [
        summary.words.replace("\N{NO-BREAK SPACE}", " ")
        for fold in card(compute(GEARING)).all("details")
        if "buildlog-step" in (fold.attributes.get("class") or "")
        for summary in fold.all("summary")[:1]
    ]
    (around,) = (one for one in summaries if one.casefold().startswith("rolling circumference"))
    assert around.endswith("1.757 m")
    (overall,) = (one for one in summaries if one.casefold().startswith("overall gear ratio"))
    assert overall.endswith("10 values")
