"""Episodes in their series: order and neighbours, and sums that say over how much they go."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.kinds.chart import BarSpec
from buildlog.kinds.results import Value
from buildlog.proof.proof import proof_book
from buildlog.proof.series import SeriesOfPages, all_series, car_states, charts_of, places, total_of
from tests.jobs import CAR, FILES, FIRST, SECOND
from tests.samples import calc, open_site


def series_of(folder: Path, **changed: str) -> SeriesOfPages:
    files: dict[str, str | bytes] = {
        **FILES,
        **{f"episodes/{name}.md": text for name, text in changed.items()},
    }
    (series,) = all_series(open_site(folder, files))
    return series


def test_the_site_of_these_tests_proofs_clean(tmp_path: Path) -> None:
    assert proof_book(open_site(tmp_path, FILES)).errors == ()


def test_episodes_stand_by_number_not_by_file(tmp_path: Path) -> None:
    series = series_of(tmp_path)
    assert [(one.number, one.page.key) for one in series.episodes] == [
        (1, "episodes/final"),
        (2, "episodes/duct"),
    ]


def test_each_knows_its_neighbours(tmp_path: Path) -> None:
    found = places(all_series(open_site(tmp_path, FILES)))
    assert found.keys() == {"episodes/final", "episodes/duct"}
    first, second = found["episodes/final"], found["episodes/duct"]
    assert first.before is None
    assert first.after is second.episode
    assert second.before is first.episode
    assert second.after is None
    assert (first.position, second.position) == (1, 2)


def test_mass_and_cost_by_hand(tmp_path: Path) -> None:
    series = series_of(tmp_path)
    first, second = series.episodes
    # 7.00 + 8 · 0.050 − 6.20 kg, and 400 + 8 · 2.50 EUR; 0.84 + 4 · 0.035 − 2.10 kg, 31 + 4 · 2.40 EUR
    assert first.mass is not None
    assert second.mass is not None
    assert (first.mass.si, second.mass.si) == pytest.approx((1.20, -1.12))
    assert first.cost is not None
    assert second.cost is not None
    assert (first.cost.si, second.cost.si) == pytest.approx((420.0, 40.60))
    mass, weighed = series.total_mass()
    cost, priced = series.total_cost()
    assert mass is not None
    assert cost is not None
    assert (mass.si, cost.si) == pytest.approx((0.08, 460.60))
    assert (weighed, priced) == (2, 2)
    so_far, known = series.total_mass(1)
    assert so_far is not None
    assert so_far.si == pytest.approx(1.20)
    assert known == 1
    # JCGM 100:2008, 5.1.2: what is not correlated combines as squares, 0.03 and 0.04 kg to 0.05 kg; k = 2
    assert mass.expanded_uncertainty == pytest.approx(0.10)


def test_times_are_added_up_where_they_are_plain_figures_of_hours_or_minutes(tmp_path: Path) -> None:
    assert series_of(tmp_path).total_seconds() == (14 * 3600 + 90 * 60, 2)
    for words in ("a weekend", "2 days", "10 to 14 h", "about a day", "14 h with a press"):
        series = series_of(tmp_path, duct=SECOND.replace("time: 90 min", f"time: {words}"))
        assert series.total_seconds() == (14 * 3600, 1), words


def test_what_is_not_known_is_left_open(tmp_path: Path) -> None:
    series = series_of(tmp_path, duct=SECOND.partition("```")[0])
    assert series.episodes[1].mass is None
    assert series.episodes[1].cost is None
    mass, known = series.total_mass()
    assert mass is not None
    assert mass.si == pytest.approx(1.20)
    assert known == 1


def test_an_unweighed_part_leaves_the_mass_of_its_episode_open(tmp_path: Path) -> None:
    series = series_of(tmp_path, duct=SECOND.replace(", mass: 35 g", ""))
    assert series.episodes[1].mass is None
    assert series.episodes[1].cost is not None


def test_a_block_at_fault_leaves_its_episode_open(tmp_path: Path) -> None:
    series = series_of(tmp_path, duct=SECOND.replace("0.84 kg", "0.84"))
    assert series.episodes[1].mass is None


def test_two_currencies_are_not_added(tmp_path: Path) -> None:
    pounds = SECOND.replace("currency: EUR", "currency: GBP").replace("0 EUR", "0 GBP")
    series = series_of(tmp_path, duct=pounds.replace("31 EUR", "31 GBP"))
    assert series.episodes[1].cost is not None
    assert series.total_cost() == (None, 0)
    assert "What it has cost so far" not in [chart.title for chart in charts_of(series)]


def test_of_several_cases_the_bill_says_which_was_fitted(tmp_path: Path) -> None:
    two = "---\nbuildlog:\n  series: The Test Car\n  episode: 2\n---\n\n# Duct\n\n" + calc(
        """
            id: duct
            kind: parts
            inputs: {currency: EUR}
            cases:
              steel: {parts: [{name: duct, mass: 3 kg, price: 10 EUR}]}
              aluminium: {parts: [{name: duct, mass: 1 kg, price: 30 EUR}]}
            """
    )
    assert series_of(tmp_path, duct=two).episodes[1].mass is None
    chosen = series_of(tmp_path, duct=two.replace("---\n\n#", "  bill: duct.aluminium\n---\n\n#"))
    assert chosen.episodes[1].mass is not None
    assert chosen.episodes[1].mass.si == pytest.approx(1.0)


def test_charts_have_a_bar_for_each_episode_from_where_the_one_before_ended(tmp_path: Path) -> None:
    """1.20 − 1.12 = 0.08 kg and 420.00 + 40.60 = 460.60 EUR, ±0.10 kg by the first (by hand)."""
    charts = charts_of(series_of(tmp_path))
    mass, cost, hours = charts
    assert isinstance(mass, BarSpec)
    assert [bar.label[:1] for bar in mass.bars] == ["1", "2", "i"]
    assert [bar.start for bar in mass.bars] == pytest.approx([0.0, 1.20, 0.0])
    assert [bar.value for bar in mass.bars] == pytest.approx([1.20, -1.12, 0.08])
    first, second, all_of_them = mass.bars
    assert (first.low, first.high) == pytest.approx((1.20 - 0.10, 1.20 + 0.10))
    assert second.low is None
    assert (all_of_them.low, all_of_them.high) == pytest.approx((0.08 - 0.10, 0.08 + 0.10))
    assert isinstance(cost, BarSpec)
    assert [bar.value for bar in cost.bars] == pytest.approx([420.0, 40.60, 460.60])
    assert cost.bars[0].low is None
    assert isinstance(hours, BarSpec)
    assert [bar.value for bar in hours.bars] == [14 * 3600, 90 * 60]


def test_one_value_makes_no_chart_and_a_gap_is_named(tmp_path: Path) -> None:
    third = SECOND.replace("episode: 2", "episode: 3")
    series = series_of(tmp_path, duct=SECOND.partition("```")[0], third=third)
    mass = charts_of(series)[0]
    assert mass.description.endswith("Not known, and left out: episode 2.")
    alone = series_of(tmp_path / "..", duct=SECOND.partition("```")[0], third="# Nothing\n")
    assert [chart.title for chart in charts_of(alone)] == ["Working time of each episode"]


def test_the_states_of_a_car(tmp_path: Path) -> None:
    (state,) = car_states(open_site(tmp_path, FILES), "test")
    assert (state.name, state.since, state.changed) == (
        "shorter-final",
        "the shorter final drive",
        (("final_drive", "41/9"),),
    )


def test_a_later_change_of_the_car_makes_an_unpinned_figure_wrong_there(tmp_path: Path) -> None:
    # 8200/60 · 3.05 · 0.576 m / (1.4 · 4.10) · 3.6 is 150.6 km/h; on 41/9 it is 135.5 km/h
    assert proof_book(open_site(tmp_path, FILES)).errors == ()
    loose = FIRST.replace("state: standard\n", "")
    (found,) = proof_book(open_site(tmp_path, {**FILES, "episodes/final.md": loose})).errors
    assert (found.code.name, found.position.path) == ("figure-disagrees", "content/episodes/final.md")
    before = CAR.partition("changes:")[0]
    still = open_site(tmp_path, {**FILES, "episodes/final.md": loose, "cars/test.yml": before})
    assert proof_book(still).errors == ()


def test_a_change_of_the_car_does_not_reach_an_episode_that_pins_its_state(tmp_path: Path) -> None:
    again = (
        CAR
        + "  - state: taller\n    since: taller tyres\n    inputs: {tyre: 205/60R15, rev_limit: 7000 rpm}\n"
    )
    assert proof_book(open_site(tmp_path, {**FILES, "cars/test.yml": again})).errors == ()


# --- several bills, and what is left open --------------------------------------------------------


def bills(*, hose: str = "currency: EUR", price: str = "10 EUR") -> str:
    """An episode with two bills, of 0.84 kg and 31 EUR and of 0.16 kg and `price`."""
    return (
        "---\nbuildlog:\n  series: The Test Car\n  episode: 2\n  bill: [duct, hose]\n---\n\n# Duct\n\n"
        + calc(
            "id: duct\nkind: parts\ninputs: {currency: EUR, parts: [{name: a, mass: 0.84 kg, price: 31 EUR}]}"
        )
        + calc(
            f"id: hose\nkind: parts\ninputs: {{{hose}, parts: [{{name: b, mass: 0.16 kg, price: {price}}}]}}"
        )
    )


def test_an_episode_with_two_bills_is_their_sum(tmp_path: Path) -> None:
    episode = series_of(tmp_path, duct=bills()).episodes[1]
    assert episode.mass is not None
    assert episode.cost is not None
    assert episode.mass.si == pytest.approx(1.00)
    assert episode.cost.si == pytest.approx(41.0)
    assert episode.currency == "EUR"


def test_a_sum_of_which_one_bill_is_at_fault_is_none(tmp_path: Path) -> None:
    """Neither mass nor cost of the other bill is that of the episode."""
    episode = series_of(tmp_path, duct=bills(price="ten euros")).episodes[1]
    assert (episode.mass, episode.cost) == (None, None)


def test_bills_of_two_currencies_have_a_mass_and_no_cost(tmp_path: Path) -> None:
    episode = series_of(tmp_path, duct=bills(hose="currency: GBP", price="10 GBP")).episodes[1]
    assert episode.mass is not None
    assert (episode.cost, episode.currency) == (None, "")


def test_a_single_case_need_not_be_named(tmp_path: Path) -> None:
    one = SECOND.partition("```")[0] + calc(
        """
        id: duct
        kind: parts
        inputs: {currency: EUR}
        cases:
          light: {parts: [{name: duct, mass: 0.84 kg}]}
        """
    )
    episode = series_of(tmp_path, duct=one).episodes[1]
    assert episode.mass is not None
    assert episode.mass.si == pytest.approx(0.84)


def a_mass(si: float, **contributions: float) -> Value:
    return Value(
        si=si,
        dimension="mass",
        unit="kg",
        decimals=2,
        contributions=contributions,
    )


def test_uncertainties_of_one_origin_add_up_and_others_combine() -> None:
    """JCGM 100:2008, 5.2.2, note 1: fully correlated ones add up; 5.1.2: others combine as squares. By hand:
    the same scales in both, 0.3 + 0.1 kg, and 0.3 kg of reading: √(0.4² + 0.3²) = 0.5 kg, k = 2."""
    total, known = total_of([a_mass(2.0, scales=0.3), None, a_mass(1.0, scales=0.1, reading=0.3)])
    assert known == 2
    assert total is not None
    assert total.si == pytest.approx(3.0)
    assert total.expanded_uncertainty == pytest.approx(1.0)


def test_what_comes_off_and_what_goes_on_share_an_error_that_cancels() -> None:
    total, _ = total_of([a_mass(2.0, scales=0.3), a_mass(-2.0, scales=-0.3)])
    assert total is not None
    assert total.expanded_uncertainty == 0.0


def test_a_page_that_says_no_episode_is_none_of_its_series(tmp_path: Path) -> None:
    about = "---\nbuildlog: {series: The Test Car}\n---\n\n# About the series\n"
    assert [one.page.key for one in series_of(tmp_path, about=about).episodes] == [
        "episodes/final",
        "episodes/duct",
    ]


# --- what a page shows of its place ----------------------------------------------------------------


def shown_of(folder: Path, key: str, **changed: str) -> object:
    files: dict[str, str | bytes] = {
        **FILES,
        **{f"episodes/{name}.md": text for name, text in changed.items()},
    }
    return places(all_series(open_site(folder, files)))[key].shown


def test_a_page_shows_another_place_where_its_neighbours_change(tmp_path: Path) -> None:
    """A page is kept as it was where its place shows the same: its own number, and who is beside it."""
    own = "episodes/final"
    before = shown_of(tmp_path, own)
    assert shown_of(tmp_path, own) == before
    text = SECOND.replace("time: 90 min", "time: 95 min")
    assert shown_of(tmp_path, own, duct=text) == before
    other = (
        SECOND.replace("title: A cold-air duct", "title: A duct"),  # the neighbour is called otherwise
        SECOND.replace("episode: 2", "episode: 7").replace("The Test Car", "Another"),  # it has gone
    )
    for changed in other:
        assert shown_of(tmp_path, own, duct=changed) != before
    numbered = FIRST.replace("episode: 1\n", "episode: 0.5\n").replace("episode: 0.5", "episode: 3")
    assert shown_of(tmp_path, own, final=numbered) != before  # from the first to the last: the same neighbour
    assert (
        shown_of(
            tmp_path,
            own,
            final=FIRST.replace("The Test Car", "Our Car"),
            duct=SECOND.replace("The Test Car", "Our Car"),
        )
        != before
    )


# --- working time of a figure ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "seconds"),
    [
        ("[14 h](cite:axle-sheet)", 14 * 3600),
        ("about [14 h](cite:axle-sheet)", None),  # words beside it say more than the figure
        ("[14 h](cite:axle-sheet) and [2 h](cite:axle-sheet)", None),
        ("[14 h](cite:nothing-of-that-name)", None),
        ("[78 N·m](cite:axle-sheet.crown)", None),
        ("1.5 h", 5400),
    ],
)
def test_the_time_of_a_figure_counts_where_it_holds_and_stands_alone(
    tmp_path: Path, words: str, seconds: float | None
) -> None:
    duct = SECOND.replace("time: 90 min", f'time: "{words}"')
    assert series_of(tmp_path, duct=duct).episodes[1].seconds == seconds


# --- states of a car -------------------------------------------------------------------------------


def test_a_state_without_a_name_has_its_number_and_lists_are_shown_as_written(tmp_path: Path) -> None:
    """The first state is that of the sheet; so the first change makes the second."""
    changed = CAR.partition("changes:")[0] + (
        "changes:\n"
        "  - since: the close gears\n"
        "    inputs:\n"
        "      gears: [3.1,  2.1,\n        1.5, 1.2, 1.0]\n"
        "  - since: the new curve\n"
        "    inputs: {torque_curve: [{at: 3000 rpm, torque: 120 N·m}, {at: 6000 rpm, torque: 140 N·m}]}\n"
    )
    close, curve = car_states(open_site(tmp_path, {**FILES, "cars/test.yml": changed}), "test")
    assert (close.name, close.since, close.changed) == (
        "2",
        "the close gears",
        (("gears", "3.1, 2.1, 1.5, 1.2, 1.0"),),
    )
    assert curve.name == "3"
    assert curve.changed == (("torque_curve", "at 3000 rpm, torque 120 N·m, at 6000 rpm, torque 140 N·m"),)


def test_what_is_in_all_looks_otherwise_and_amounts_start_at_nought(tmp_path: Path) -> None:
    """A cost or a time whose axis is cut off would look larger."""
    mass, cost, hours = charts_of(series_of(tmp_path))
    assert isinstance(mass, BarSpec)
    assert isinstance(cost, BarSpec)
    assert isinstance(hours, BarSpec)
    assert [bar.style for bar in mass.bars] == [0, 0, 1]
    assert (cost.x.from_zero, hours.x.from_zero) == (True, True)
    assert [bar.start for bar in hours.bars] == [0.0, 0.0]


def test_the_hours_of_one_episode_make_no_chart(tmp_path: Path) -> None:
    series = series_of(tmp_path, duct=SECOND.replace("time: 90 min", "time: a weekend"))
    assert "Working time of each episode" not in [chart.title for chart in charts_of(series)]


def test_several_gaps_are_named_together(tmp_path: Path) -> None:
    bare = SECOND.partition("```")[0]
    third = bare.replace("episode: 2", "episode: 3")
    fourth = SECOND.replace("episode: 2", "episode: 4")
    series = series_of(tmp_path, duct=bare, third=third, fourth=fourth)
    assert charts_of(series)[0].description.endswith("Not known, and left out: episodes 2, 3.")
