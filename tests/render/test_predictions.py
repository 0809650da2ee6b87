"""What was foretold beside what was found, as a reader sees it: in a card, and for the whole site."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.charts.data import System
from buildlog.charts.drawing import draw as real_draw
from buildlog.kinds.chart import BarSpec, Chart
from buildlog.page.extension import BuildlogExtension
from buildlog.proof.overview import Overview
from buildlog.proof.predicting import predictions_of
from buildlog.render import LinkPiece, render_card
from buildlog.render.lists import render_list
from tests.parsed_html import Tag, parse
from tests.proof.test_predicting import GUESS, SPEED, gearing, measured, with_cases
from tests.samples import open_site

HOSTILE = '<script>alert("x")</script>&amp;**{{ 7 }}'
BY_CASE = (
    "predicts: {speed_at_limit.1: calc:guess.speed_at_limit.1, overall_ratio.1: calc:guess.overall_ratio.1}"
)

RATIO = "predicts: {overall_ratio.1: calc:guess.overall_ratio.1}"


def href(link: LinkPiece) -> str:
    return f"{link.page or ''}#{link.anchor}"


def card(folder: Path, text: str, specs: list[Chart] | None = None, block: str = "watch") -> Tag:
    """The card of a block; its charts are kept as data."""

    def draw(spec: Chart, anchor: str, system: System) -> str:
        if specs is not None and system == "author":
            specs.append(spec)
        return f'<svg role="img" id="{anchor}"></svg>'

    book = open_site(folder, {"a.md": text})
    written = next(one for one in book.pages["a"].blocks if one.id == block)
    held, wrong = predictions_of(book, written)
    assert wrong == []
    tree = parse(render_card(book.results["a", block], draw=draw, foretold=held).html(href))
    assert len(tree.ids) == len(set(tree.ids))
    return tree


def part(tree: Tag) -> Tag:
    return next(one for one in tree.all("div") if one.attributes.get("class") == "buildlog-predicted")


def rows(tree: Tag) -> list[list[str]]:
    return [
        [cell.words.replace("\N{NO-BREAK SPACE}", " ") for cell in row.children if isinstance(cell, Tag)]
        for row in tree.all("tbody")[0].all("tr")
    ]


def words(tree: Tag) -> str:
    return tree.words.replace("\N{NO-BREAK SPACE}", " ")


def test_both_values_stand_with_their_uncertainties(tmp_path: Path) -> None:
    """162.0 and 163.8 km/h with U = 1.62 and 2.16 km/h; apart by 1.8 ± 2.7 km/h (3, 4, 5), En −0.67, as in
    test_predicting. −1.8 / 163.8 is −1.1 %. In mph, by 1.609344 (NIST SP 811, B.8): 100.7, 101.8 and 1.1."""
    (row,) = rows(part(card(tmp_path, GUESS + measured())))
    assert row[0] == "Road speed at the rev limit, gear 1"
    assert row[1].startswith("162.0 ± 1.6 km/h (100.7 ± 1.0 mph)")
    assert row[2].startswith("163.8 ± 2.2 km/h (101.8 ± 1.3 mph)")
    assert row[3].startswith("−1.8 ± 2.7 km/h (−1.1 ± 1.7 mph)")
    assert "−1.1 ± 1.6 %" in row[3]
    assert row[4].split() == ["agrees", "−0.67"]


def test_a_failed_prediction_says_so_in_words(tmp_path: Path) -> None:
    tree = part(card(tmp_path, GUESS + measured("1.840 ± 0.012 m")))
    (row,) = rows(tree)
    assert row[4].split() == ["does", "not", "agree", "−1.33"]
    assert tree.one("b").attributes["class"] == "buildlog-said buildlog-said-fails"


def test_each_comparison_says_what_it_cannot_tell(tmp_path: Path) -> None:
    exact = gearing("guess", "1.8 m")
    assert "the prediction has no uncertainty and counts as exact" in words(
        card(tmp_path, exact + measured())
    )
    shown = words(card(tmp_path, GUESS + measured("1.82 m")))
    assert "the measured value has no uncertainty and counts as exact" in shown
    tree = part(card(tmp_path, exact + measured("1.82 m")))
    assert "neither has an uncertainty" in words(tree)
    assert rows(tree)[0][4] == "cannot tell"


def test_which_formula_it_was(tmp_path: Path) -> None:
    apart = words(part(card(tmp_path, GUESS + measured())))
    assert "En is that over √(U² + U²), the expanded uncertainties (k = 2) of both." in apart
    assert "counts once" not in apart
    taken = gearing("watch", "calc:guess.rolling_circumference", "4.1", SPEED)
    shared = words(part(card(tmp_path, GUESS + taken)))
    assert "what both rest on counts once (JCGM 100:2008, F.1.2)" in shared
    assert "√" not in shared
    assert "wide uncertainties agree with much" in apart
    assert "wide uncertainties agree with much" in shared


def test_values_in_different_units_are_shown_in_that_of_the_measured_one(tmp_path: Path) -> None:
    """An input is shown as its author wrote it: 70.87 in is 1.800 m."""
    guess = GUESS.replace("1.800 ± 0.009 m", "70.87 ± 0.35 in")
    line = "predicts: {rolling_circumference: calc:guess.rolling_circumference}"
    (row,) = rows(part(card(tmp_path, guess + measured(more=line))))
    assert row[1].startswith("1.800 ± 0.018 m")
    assert row[2].startswith("1.820 ± 0.024 m")


def test_two_bars_with_whiskers_a_prediction(tmp_path: Path) -> None:
    specs: list[Chart] = []
    text = with_cases("guess", "1.8 ± 0.009 m") + with_cases("watch", "1.82 ± 0.012 m", more=BY_CASE)
    card(tmp_path, text, specs)
    speeds, ratios = [spec for spec in specs if isinstance(spec, BarSpec)]
    assert [bar.label for bar in speeds.bars] == [
        "old, gear 1, predicted",
        "old, gear 1, measured",
        "new, gear 1, predicted",
        "new, gear 1, measured",
    ]
    first = speeds.bars[0]
    # 45 m/s with u = 0.225 m/s
    assert first.low is not None
    assert first.high is not None
    assert (first.value, first.low, first.high) == pytest.approx((45.0, 44.55, 45.45))
    assert [bar.low for bar in ratios.bars] == [None] * 4
    assert speeds.description.startswith("The line at the end of a bar")
    assert ratios.description == "Neither value has an uncertainty."
    assert real_draw(speeds, anchor="x", system="author").startswith("<svg")


def test_without_predictions_nothing_is_added(tmp_path: Path) -> None:
    assert "buildlog-predicted" not in str(
        [one.attributes for one in card(tmp_path, GUESS, block="guess").all("div")]
    )


def test_the_card_of_a_page_has_them(tmp_path: Path) -> None:
    from markdown import Markdown

    book = open_site(tmp_path, {"a.md": GUESS + measured()})
    extension = BuildlogExtension()
    extension.book, extension.page = book, "a"
    html = Markdown(extensions=[extension]).convert(book.pages["a"].text)
    assert 'id="calc-watch.predicts"' in html
    assert 'href="#calc-guess.speed_at_limit.1"' in html
    assert html.count("Foretold and found") == 1


# --- the whole site ----------------------------------------------------------------------------


def listed(folder: Path, specs: list[Chart] | None = None, **pages: str) -> Tag:
    def draw(spec: Chart, anchor: str, system: System) -> str:
        if specs is not None:
            specs.append(spec)
        return f'<svg role="img" id="{anchor}"></svg>'

    files: dict[str, str | bytes] = {f"{name}.md": text for name, text in pages.items()}
    files["sources.yml"] = f"driver: {{who: '{HOSTILE}', when: after the run}}\n"
    overview = Overview(open_site(folder, files))
    tree = parse(render_list("predictions", overview, draw).html(href))
    assert len(tree.ids) == len(set(tree.ids))
    return tree


TOLD = (
    '\nShe said [170 km/h](told:driver "of calc:guess.speed_at_limit.1") and '
    '[162 km/h](told:driver "of calc:guess.speed_at_limit.1").\n'
)


def test_the_failed_ones_stand_first(tmp_path: Path) -> None:
    front = f"---\ntitle: '{HOSTILE}'\n---\n"
    tree = listed(
        tmp_path,
        a=GUESS + measured(),
        b=front + "# B\n" + TOLD + GUESS + measured("1.76 ± 0.012 m") + gearing("third", "1.8 m", more=RATIO),
    )
    titles = [one.words for one in tree.all("p") if one.attributes.get("class") == "buildlog-needs-title"]
    assert titles == ["Did not hold", "Cannot be told", "Held", "Told, and computed"]
    failed, untold, held, told = [
        rows(table) for table in tree.all("table") if "buildlog-foretold" in table.attributes["class"]
    ]
    assert [len(table) for table in (failed, untold, held, told)] == [1, 1, 1, 2]
    assert "does not agree" in failed[0][4]
    assert HOSTILE in failed[0][0]
    assert "does not agree" in told[0][3]
    assert (told[1][0].split()[0], told[1][3]) == ("162", "agrees")
    assert HOSTILE in told[0][1]
    assert tree.all("script") == []
    text = words(tree)
    assert "Of 3 predictions 1 held, 1 did not, of 1 it cannot be told." in text
    # −2/3 and +4/3, see test_predicting; of two the mean scatters by a half over √2, and twice that is 0.71
    assert "too high: the mean of En is +0.33" in text
    assert "off by 1.05 of it" in text
    assert "the mean of 2 lies within ± 0.71" in text
    assert "Of 2 claims that can be computed 1 agreed." in text


def test_the_list_leads_to_the_card_and_to_the_prediction(tmp_path: Path) -> None:
    tree = listed(
        tmp_path, a=GUESS, b=measured(more="predicts: {speed_at_limit.1: calc:a#guess.speed_at_limit.1}")
    )
    links = [one.attributes["href"] for one in tree.all("a")]
    assert links == ["b#calc-watch.predicts", "b#", "a#calc-guess.speed_at_limit.1"]


def test_the_chart_has_the_size_of_each_error(tmp_path: Path) -> None:
    specs: list[Chart] = []
    listed(tmp_path, specs, a=GUESS + measured("1.84 ± 0.012 m"))
    (spec,) = specs
    assert isinstance(spec, BarSpec)
    (bar,) = spec.bars
    assert (round(bar.value, 6), bar.tone) == (round(4 / 3, 6), "bad")
    assert bar.label == "low: gear 1, Road speed at the rev limit"


def test_a_site_that_foretold_nothing_says_so(tmp_path: Path) -> None:
    assert listed(tmp_path, a=GUESS).words == "Nothing on this site was foretold and then measured, yet."


def test_one_alone_has_no_mean(tmp_path: Path) -> None:
    text = words(listed(tmp_path, a=GUESS + measured()))
    assert "Of 1 prediction 1 held, 0 did not." in text
    assert "On average" not in text


def test_a_claim_about_a_change_says_against_what(tmp_path: Path) -> None:
    told = (
        '[10 km/h](told:driver "of calc:guess.new.speed_at_limit.1 vs old") and '
        '[2 km/h](told:driver "of calc:guess.new.speed_at_limit.1 vs guess2.old.speed_at_limit.1")\n\n'
    )
    pages = told + with_cases("guess", "1.8 m") + with_cases("guess2", "1.9 m", more="title: The other try")
    rows_of = rows(next(one for one in listed(tmp_path, a=pages).all("table")))
    assert [row[2].partition("Road")[2] for row in sorted(rows_of)] == [
        " speed at the rev limit, gear 1, new, against old",
        " speed at the rev limit, gear 1, new, against The other try, old",
    ]
