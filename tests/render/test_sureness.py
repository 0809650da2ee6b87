"""What a card, a note and the working say of uncertainty: two parts, two digits, the draws, the limits."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildlog.kinds.budget import amount_in_words, budget, parts_in_words
from buildlog.kinds.declaration import Doubt, Limit
from buildlog.kinds.quantities import shown
from buildlog.kinds.results import BlockResult, CaseResult, Simulation, Value
from buildlog.render.sureness import sureness
from buildlog.report.working import shown as in_working
from buildlog.report.working import working_text
from buildlog.said import said
from tests.render.blocks import GEARING, compute, uncertain
from tests.render.test_card import card

SLIP = Doubt(name="slip", about="slip of the tyre", source="etrto", relative=0.04, range="below half grip")
PLACE = "p.md:1:1"


def made(**changes: float) -> Value:
    """100 m/s with U = 2 √(3² + 4²) = 10 (JCGM 100:2008, 5.1.2): 6 of the inputs, 8 of the method."""
    parts = {PLACE: 3.0, SLIP.origin: 4.0}
    return Value(si=100.0, dimension="speed", unit="m/s", decimals=1, contributions=parts, **changes)


def block(most: float = 105.0, **changes: float) -> BlockResult:
    plain = compute(GEARING.split("cases:")[0] + "  final_drive: 4.10\n")
    (case,) = plain.cases.values()
    values = {name: value for name, value in case.values.items() if name == "speed_at_limit"}
    one: CaseResult = replace(
        case,
        values={**values, "speed_at_limit": {"1": made(**changes)}},
        doubted={SLIP.origin: SLIP},
        origins={PLACE: "rolling circumference"},
        stated={PLACE: "1.752 ± 0.003 m"},
        limits=(Limit(output="speed_at_limit", key="1", most=most, says=said("It may be too fast.")),),
        simulation=Simulation(draws=1000, seed=42) if changes else None,
    )
    return replace(plain, cases={case.name: one})


def test_an_uncertainty_is_shown_in_its_two_parts() -> None:
    (shown_budget,) = sureness(block()).budgets
    (result,) = shown_budget.of
    assert result.label == "Road speed at the rev limit"
    (told,) = result.amounts
    assert told.amount == "±\u00a010\u00a0m/s (from inputs 6.0\u00a0m/s, of the method 8.0\u00a0m/s)"


def test_a_budget_has_bars_and_what_halving_brings() -> None:
    """U = 2 √(3² + 4²) = 10; with 4 halved 2 √(3² + 2²) = 7.2, with 3 halved 2 √(1.5² + 4²) = 8.5
    (JCGM 100:2008, 5.1.2)."""
    (shown_budget,) = sureness(block()).budgets
    lines = [
        [row.name, row.stated, row.alone, row.share, row.bar, row.halved, row.less]
        for row in shown_budget.rows
    ]
    assert [[text.replace("\u00a0", " ") for text in line] for line in lines] == [
        ["slip of the tyre (method)", "± 4 % (k = 2)", "± 8.0 m/s", "64 %", "3.2", "± 7.2 m/s", "−28 %"],
        ["rolling circumference", "1.752 ± 0.003 m", "± 6.0 m/s", "36 %", "1.8", "± 8.5 m/s", "−15 %"],
    ]


def test_results_in_proportion_have_one_budget() -> None:
    """The speed in every gear goes with the one rolling circumference: in proportion, in each case."""
    found = sureness(uncertain()).budgets
    speeds = next(
        result for one in found for result in one.of if result.label.startswith("Road speed at the")
    )
    names = [name for one in speeds.amounts for name in one.names]
    assert {"gear 2 (before)", "gear 2 (after)"} <= set(names)


def test_a_result_whose_uncertainty_is_not_shown_has_no_budget() -> None:
    plain = block()
    (case,) = plain.cases.values()
    tiny = replace(made(), contributions={PLACE: 0.001})
    assert not sureness(
        replace(plain, cases={"": replace(case, values={"speed_at_limit": {"1": tiny}})})
    ).budgets


def test_the_doubts_of_the_method_are_listed_once_with_their_source() -> None:
    (doubt,) = sureness(block()).doubts
    assert (doubt.about, doubt.size, doubt.range) == ("Slip of the tyre", "± 4 % (k = 2)", SLIP.range)
    assert doubt.reference > 0


def test_a_doubt_that_moves_nothing_is_not_listed() -> None:
    plain = block()
    (case,) = plain.cases.values()
    exact = replace(made(), contributions={PLACE: 3.0})
    assert not sureness(
        replace(plain, cases={"": replace(case, values={"speed_at_limit": {"1": exact}})})
    ).doubts


def test_a_card_says_what_the_uncertainty_is_of_and_claims_no_95_percent() -> None:
    tree = card(block())
    words = tree.one("section").words
    assert "k = 2, from your inputs and of the method together" in words
    assert "about 95" not in words
    assert "How sure" in words
    cell = tree.by_id("calc-shorter-final.speed_at_limit.1").one("td")
    assert "near its limit" in cell.one(css="buildlog-near").words, "100 + 10 is beyond 105"


def test_a_value_beyond_its_limit_with_all_of_its_uncertainty_is_marked_as_such() -> None:
    """100 ± 10 is above 85, whatever it is; above 95 it need not be."""
    words = card(block(most=85.0)).one("section").words
    assert "beyond its limit" in words
    assert "is beyond what it has to keep to, with all of its uncertainty" in words
    assert "near its limit" not in words
    assert "may be beyond what it has to keep to" in card(block(most=95.0)).one("section").words


def test_a_lopsided_interval_is_shown_as_its_ends_with_the_seed() -> None:
    tree = card(block(low=99.0, high=112.0))
    assert "(99 to 112)" in tree.by_id("calc-shorter-final.speed_at_limit.1").one("td").words
    words = tree.one("section").words
    assert "1000 stratified draws from the seed 42" in words
    assert "Two values in brackets are the ends of the 95 % interval" in words


def test_the_working_has_the_parts_the_budget_the_limit_and_the_draws() -> None:
    text = working_text(block(low=99.0, high=112.0)).replace("\u00a0", " ")
    assert "100 ± 10 m/s (k = 2; 95 % from 99 to 112)" in text
    assert "speed_at_limit.1: slip of the tyre (method) 64 %, rolling circumference 36 %" in text
    assert "slip of the tyre: ± 4 % (k = 2), below half grip" in text
    assert "speed_at_limit.1 keeps to at most 105 m/s" in text
    assert "from the seed 42" in text
    assert "from inputs 6.0 m/s, of the method 8.0 m/s" in in_working(made()).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("si", "standard", "decimals", "text"),
    [
        # JCGM 100:2008, 7.2.6: two digits of the uncertainty at most, the value to the same place.
        (10.05762, 0.0135, 5, "10.058 ± 0.027"),
        (6.6312, 0.6, 2, "6.6 ± 1.2"),
        (745.26, 104.9, 2, "750 ± 210"),
        (14408.0, 700.0, 0, "14\u202f400 ± 1400"),
        (0.0996, 0.0498, 3, "0.10 ± 0.10"),
        (6.63, 0.0001, 2, "6.63"),
    ],
)
def test_two_digits_and_the_value_to_the_same_place(
    si: float, standard: float, decimals: int, text: str
) -> None:
    value = Value(si=si, dimension="ratio", unit="", decimals=decimals, contributions={"x": standard})
    assert shown(value).text == text


def test_a_count_is_whole_with_what_it_may_be() -> None:
    """Nobody changes gear ten and a half times: ± 0.5 of them says nothing, from 10 to 12 does."""
    count = Value(
        si=10.0, dimension="count", unit="", decimals=0, contributions={PLACE: 0.7}, low=10.0, high=12.0
    )
    for text in (shown(count).text, shown(count, 1).text):
        assert text == "10 (10 to 12)"
    assert in_working(count) == "10 (95 % from 10 to 12)"
    certain = replace(count, high=10.0)
    assert (shown(certain, 1).text, in_working(certain), certain.ends) == ("10", "10", (10.0, 10.0))


def test_the_tail_of_a_monte_carlo_is_told() -> None:
    """√(p (1 − p) / n) / φ(2) / 2 with p = 2.275 % is 4.4 % of U for 1000 draws (order statistics; scipy)."""
    from scipy import stats

    share = stats.norm.sf(2.0)
    assert Simulation(draws=1000, seed=1).tail == pytest.approx(
        (share * (1 - share) / 1000) ** 0.5 / stats.norm.pdf(2.0) / 2, rel=1e-3
    )


def test_a_budget_adds_the_bend_of_an_error_to_it() -> None:
    value = replace(made(), contributions={PLACE: 3.0, f"{PLACE}²": 4.0})
    (case,) = block().cases.values()
    assert budget(case, value) == [("rolling circumference", 100)]
    assert parts_in_words(value) == ""
    assert amount_in_words(value, 0.0) == ""


def test_what_arithmetic_rounds_is_no_part_of_an_uncertainty() -> None:
    # A float carries 53 bits (IEEE 754-2019, table 3.5): 1e-15 beside 3 is its last digit, 1e-3 is not.
    rounding = replace(made(), contributions={PLACE: 3.0, SLIP.origin: 1e-15})
    assert (
        parts_in_words(rounding)
        == ""
        != parts_in_words(replace(rounding, contributions={PLACE: 3.0, SLIP.origin: 1e-3}))
    )
