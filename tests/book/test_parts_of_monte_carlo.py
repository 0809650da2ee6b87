"""What a Monte Carlo is made of: moves that are interpolated, draws that are cut, and what draws share."""

from __future__ import annotations

from collections.abc import Mapping
from math import isclose, sqrt
from typing import Any

import numpy as np
import pytest
from scipy import stats

from buildlog.book import monte_carlo
from buildlog.book.monte_carlo import Basis, drawn_errors, simulate, strata
from buildlog.book.uncertainty import FirstOrder, Model
from buildlog.diagnostics import Refused
from buildlog.kinds.declaration import Doubt, Outputs
from buildlog.kinds.doubt import METHOD
from buildlog.kinds.kind import MOST_DRAWS
from buildlog.kinds.results import BENT


def model_of(
    compute: Any,
    values: dict[str, Any],
    uncertain: Mapping[Any, Mapping[str, float]],
    **more: Any,
) -> Model:
    return Model(compute=lambda given, shifts: compute(given), values=values, uncertain=uncertain, **more)


# --- moves that are interpolated ---------------------------------------------------------------------


def test_a_line_through_points_goes_on_as_it_came() -> None:
    known = [(-2.0, 8.0), (0.0, 0.0), (1.0, 3.0), (2.0, 4.0)]
    places = np.array([-3.0, -2.0, -1.0, 0.0, 0.5, 1.5, 2.0, 4.0])
    assert monte_carlo._along(places, known).tolist() == [12, 8, 4, 0, 1.5, 3.5, 4, 6]


def test_where_errors_are_moved_to() -> None:
    """A straight one to ± u, a curved one to its end too: 2 u, or √3 u of limits (JCGM 100:2008, 4.3.7)."""
    model = model_of(
        lambda given: {},
        {"x": 1.0, "y": 1.0, "z": 1.0},
        {(n,): {n: 0.1} for n in "xyz"},
        shapes={"z": "rectangular"},
    )
    assert monte_carlo._places_of_moves(model, ["y", "z"]) == {
        "x": (-1.0, 1.0),
        "y": (-2.0, -1.0, 1.0, 2.0),
        "z": (-sqrt(3), -1.0, 1.0, sqrt(3)),
    }


def interpolated(
    function: Any, values: dict[str, float], wanted: list[tuple[str, str]] | None = None, **more: Any
) -> dict[tuple[str, str], list[float]]:
    """At draws of −3, −1.5, 0, 1 and 2.5 u of x with u = 1, beside half of that of y."""
    model = model_of(function, values, {(name,): {name: 1.0} for name in values}, **more)
    draws = np.array([-3.0, -1.5, 0.0, 1.0, 2.5])
    errors = {name: draws / (1 + place) for place, name in enumerate(values)}
    found = monte_carlo._interpolated(
        model, function(values), errors, monte_carlo._places_of_moves(model, values), wanted or [("y", "")]
    )
    return {place: sample.tolist() for place, sample in found.items()}


def test_what_each_error_does_alone_is_added_up() -> None:
    """Exact for straight lines; of a square the lines from move to move are 0, 1 and 4 at 0, 1, 2."""
    straight = interpolated(lambda given: {"y": 10 + 2 * given["a"] - 4 * given["b"]}, {"a": 0.0, "b": 0.0})
    assert straight["y", ""] == pytest.approx([10, 10, 10, 10, 10])
    square = interpolated(lambda given: {"y": 5 + given["a"] ** 2}, {"a": 0.0})
    assert square["y", ""] == pytest.approx([5 + 7, 5 + 2.5, 5, 5 + 1, 5 + 5.5])


def test_outputs_that_nobody_asks_for_are_left_out() -> None:
    def both(given: dict[str, float]) -> Outputs:
        return {"y": given["a"], "z": {"1": given["a"], "2": 2 * given["a"]}}

    assert list(interpolated(both, {"a": 0.0})) == [("y", "")]
    assert interpolated(both, {"a": 0.0}, [("z", "2")]) == {("z", "2"): pytest.approx([-6, -3, 0, 2, 5])}


def test_where_a_move_has_no_result_the_nearest_goes_on() -> None:
    def refuses(given: dict[str, float]) -> Outputs:
        if given["a"] > 1.5 or given["a"] < 0:
            raise Refused("a", "x", "y")
        return {"y": 3 * given["a"]}

    assert interpolated(refuses, {"a": 0.0})["y", ""] == pytest.approx([-9, -4.5, 0, 3, 7.5])

    def never(given: dict[str, float]) -> Outputs:
        if given["a"]:
            raise OverflowError
        return {"y": 7.0}

    assert interpolated(never, {"a": 0.0})["y", ""] == [7] * 5


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_sum_does_not_go_through_a_floor(sign: float) -> None:
    """max(a, 0) is exactly 0 at 0 and below; one that is 0 once only has no floor there."""
    floor = interpolated(lambda given: {"y": sign * max(given["a"], 0.0)}, {"a": 0.0})["y", ""]
    assert floor == pytest.approx([0, 0, 0, sign, 2.5 * sign])
    deeper = interpolated(
        lambda given: {"y": sign * max(given["a"] + given["b"], 0.0)}, {"a": 0.0, "b": 0.5}
    )["y", ""]
    assert min(sign * one for one in deeper) >= 0
    once = interpolated(lambda given: {"y": sign * (given["a"] + 2)}, {"a": 0.0})["y", ""]
    assert min(sign * one for one in once) == pytest.approx(-1)


# --- draws ----------------------------------------------------------------------------------------------


def test_draws_of_an_input_stay_within_what_it_may_be() -> None:
    """A normal distribution cut at 0, one standard deviation below its middle (scipy.stats.truncnorm)."""
    model = model_of(
        lambda given: {"y": given["x"]}, {"x": 1.0}, {("x",): {"x": 1.0}}, ranges={("x",): (0.0, 9.0)}
    )
    drawn = 1 + drawn_errors(model, 1, 1000)["x"]
    assert len(drawn) == 1000
    assert drawn.min() >= 0
    cut = stats.truncnorm(-1, 8, loc=1, scale=1)
    assert drawn.mean() == pytest.approx(cut.mean(), abs=0.05)
    assert drawn.std() == pytest.approx(cut.std(), rel=0.05)


def test_ends_of_a_range_are_within_it() -> None:
    """Of 1 ± 1 limits from 0 to 2 nothing is cut off, of two such errors what their sum takes beyond."""
    model = model_of(
        lambda given: {},
        {"x": 1.0},
        {("x",): {"a": 1 / sqrt(3)}},
        ranges={("x",): (0.0, 2.0)},
        shapes={"a": "rectangular"},
    )
    assert model.reaching == [("x",)]  # by k = 2
    assert drawn_errors(model, 1, 100)["a"].min() == pytest.approx(strata("rectangular", 100)[0])
    both = model_of(lambda given: {}, {"x": 1.0}, {("x",): {"a": 0.5, "b": 0.5}}, ranges={("x",): (0.0, 2.0)})
    errors = drawn_errors(both, 1, 400)
    total = 1 + 0.5 * errors["a"] + 0.5 * errors["b"]
    assert total.min() >= 0
    assert total.max() <= 2


def test_a_range_that_no_draw_meets_is_refused() -> None:
    model = model_of(lambda given: {}, {"x": 1.0}, {("x",): {"x": 1e-6}}, ranges={("x",): (5.0, 6.0)})
    with pytest.raises(Refused, match="an input whose uncertainty lies outside of what it may be"):
        drawn_errors(model, 1, 100)


def test_draws_go_by_the_input_and_not_by_its_place_in_a_file() -> None:
    def at(place: str, *others: str) -> dict[str, np.ndarray]:
        uncertain: dict[Any, Mapping[str, float]] = {
            ("tyre", "width"): {place: 1.0, **dict.fromkeys(others, 1.0)}
        }
        return drawn_errors(model_of(lambda given: {}, {"tyre": {"width": 1.0}}, uncertain), 3, 50)

    first, later = at("p.md:7"), at("p.md:99")
    assert first["p.md:7"].tolist() == later["p.md:99"].tolist()
    two = at("p.md:7", "p.md:8")
    assert two["p.md:7"].tolist() == first["p.md:7"].tolist()
    assert two["p.md:8"].tolist() != two["p.md:7"].tolist()
    assert sorted(two["p.md:8"]) == sorted(two["p.md:7"])
    other_seed = drawn_errors(model_of(lambda given: {}, {"x": 1.0}, {("x",): {"x": 1.0}}), 4, 50)
    assert (
        other_seed["x"].tolist()
        != drawn_errors(model_of(lambda given: {}, {"x": 1.0}, {("x",): {"x": 1.0}}), 3, 50)["x"].tolist()
    )


def test_doubts_are_drawn_by_their_own_names() -> None:
    doubt = Doubt(name="loss", about="", source="x", relative=0.2, limits=True)
    model = Model(compute=lambda *_: {}, values={}, doubted={doubt.origin: doubt})
    drawn = drawn_errors(model, 1, 300)[doubt.origin]
    assert np.abs(drawn).max() < sqrt(3)
    assert drawn.std() == pytest.approx(1, rel=0.01)


# --- what draws say ---------------------------------------------------------------------------------------


def test_a_basis_is_independent_and_of_variance_one() -> None:
    draws = np.random.default_rng(6)
    a, b = draws.standard_normal(500), draws.standard_normal(500)
    basis = Basis.of({"a": 3 * a + 7, "b": a + b, "same": 2 * a}, ["a"])
    assert basis.origins == ("a", "b", f"a{BENT}")  # what another explains wholly is none
    assert np.allclose(basis.columns.mean(axis=0), 0)
    assert np.allclose(basis.columns.T @ basis.columns / 500, np.eye(3))


def test_shares_are_the_coefficients_of_a_regression() -> None:
    """numpy.linalg.lstsq of the draws on the same columns; the rest is what it leaves."""
    draws = np.random.default_rng(7)
    a, b, rest = (draws.standard_normal(500) for _ in range(3))
    basis = Basis.of({"a": a, "b": b})
    sample = 3 * a - 2 * b + 0.5 * rest + 40
    shares = basis.shares(sample, rest="left")
    around = sample - sample.mean()
    fitted, squares, *_ = np.linalg.lstsq(basis.columns, around, rcond=None)
    assert [shares["a"], shares["b"]] == pytest.approx(fitted.tolist())
    assert shares["left"] == pytest.approx(sqrt(squares[0] / 500))
    assert isclose(sum(one * one for one in shares.values()), sample.var())
    assert list(basis.shares(3 * a, rest="left")) in (["a"], ["a", "b"])  # nothing is left
    only_method = Basis.of({f"{METHOD}x": a}).shares(sample, rest="left")
    assert f"{METHOD}left" in only_method


def test_of_draws_without_a_result_the_others_are_made_independent_again() -> None:
    draws = np.random.default_rng(8)
    basis = Basis.of({"a": draws.standard_normal(300), "b": draws.standard_normal(300)})
    there = basis.columns[:, 0] > 0
    rows = basis.rows(there)
    assert len(rows.columns) == there.sum()
    assert np.allclose(rows.columns.T @ rows.columns / there.sum(), np.eye(2))
    assert basis.rows(np.ones(300, dtype=bool)) is basis


# --- the whole --------------------------------------------------------------------------------------------


def simulated(function: Any, draws: int = MOST_DRAWS, **more: Any) -> monte_carlo.Simulated:
    model = model_of(function, {"x": 1.0}, {("x",): {"x": 0.5}}, **more)
    outputs = function(model.values)
    wanted = [(name, "") for name in [*outputs, "none"]]
    return simulate(model, outputs, wanted, curved=["x"], seed=11, draws=draws, rest="rest:p#b")


def test_what_is_told_of_the_draws() -> None:
    quick = simulated(lambda given: {"y": given["x"] ** 2})
    assert (quick.made.draws, quick.made.interpolated, quick.made.seed) == (MOST_DRAWS, False, 11)
    assert (quick.made.without_result, quick.made.cut) == (0, ())
    slow = simulated(lambda given: {"y": given["x"] ** 2}, draws=MOST_DRAWS - 1)
    assert (slow.made.draws, slow.made.interpolated) == (MOST_DRAWS, True)
    cut = simulated(lambda given: {"y": given["x"] ** 2}, ranges={("x",): (0.5, 9.0)})
    assert cut.made.cut == ("x",)


def test_an_interval_is_that_of_the_drawn_results() -> None:
    """x² of a normal x: P(x² < t) by scipy.stats.norm at both ends of 95.45 %."""
    low, high = simulated(lambda given: {"y": given["x"] ** 2}).intervals["y", ""]
    normal = stats.norm(1.0, 0.5)
    for end, below in ((low, 0.02275), (high, 0.97725)):
        assert normal.cdf(sqrt(end)) - normal.cdf(-sqrt(end)) == pytest.approx(below, abs=0.006)


def test_an_output_that_nothing_moves_has_no_share_and_no_interval() -> None:
    found = simulated(lambda given: {"y": given["x"] ** 2, "z": 3.0})
    assert found.shares["z", ""] == {}
    assert ("z", "") not in found.intervals
    assert ("none", "") not in found.shares


@pytest.mark.parametrize(("least", "told"), [(1.0, False), (1.01, True)])
def test_half_of_the_draws_need_a_result(least: float, told: bool) -> None:
    def refuses(given: dict[str, float]) -> Outputs:
        if given["x"] < least and given["x"] != 1.0:
            raise Refused("x", "x", "y")
        return {"y": given["x"]}

    if not told:
        assert simulated(refuses).made.without_result == MOST_DRAWS // 2
        return
    with pytest.raises(Refused) as refused:
        simulated(refuses)
    share = round(MOST_DRAWS * stats.norm.cdf(0.02))
    without = int(refused.value.found.split()[3])
    assert without == pytest.approx(share, abs=2)
    assert f"of {MOST_DRAWS} values drawn" in refused.value.found


@pytest.mark.parametrize("bounds", [(0.0, 1.0), (1.0, 9.0), (0.0, 9.0)])
def test_an_input_at_its_limit_is_moved_to_the_other_side_alone(bounds: tuple[float, float]) -> None:
    """y = 10 − 3 x at x = 1 ± 0.2: −0.6 for a standard uncertainty upwards, whichever side there is."""
    model = model_of(
        lambda given: {"y": 10 - 3 * given["x"]}, {"x": 1.0}, {("x",): {"x": 0.2}}, ranges={("x",): bounds}
    )
    found = FirstOrder(model, {"y": 7.0})
    assert found.parts == {"y": {"": {"x": pytest.approx(-0.6)}}}


def test_what_an_error_does_not_move_rests_on_nothing_of_it() -> None:
    """At nothing every move counts; beside 10⁶ what arithmetic rounds does not."""
    model = model_of(
        lambda given: {"y": given["x"], "z": 5.0, "far": 1e6 + 1e-9 * given["x"]},
        {"x": 0.0},
        {("x",): {"x": 1e-12}},
    )
    found = FirstOrder(model, {"y": 0.0, "z": 5.0, "far": 1e6})
    assert found.parts == {"y": {"": {"x": pytest.approx(1e-12)}}}
