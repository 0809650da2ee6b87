"""Uncertainty of results where first order holds, and by Monte Carlo where it does not.

Published examples: JCGM 101:2008 (GUM Supplement 1), clause 9.2, and NPL Report DEM-ES-011, 9.2, as the
tests of Sandia National Laboratories' uncertainty calculator quote them (sandialabs/suncal,
test/test_examples.py, read); everything else is exact, or from scipy 1.17 and uncertainties 3.2.3.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import exp, inf, isclose, log, pi, sqrt
from typing import Any

import numpy as np
import pytest
from scipy import stats
from scipy.integrate import quad
from uncertainties import ufloat, umath

from buildlog.book.monte_carlo import COVERAGE, coverage_interval, drawn_errors, strata
from buildlog.book.propagation import Propagated, propagate
from buildlog.book.uncertainty import Model
from buildlog.diagnostics import Refused
from buildlog.kinds.declaration import Doubt, Outputs
from buildlog.kinds.results import Value, change_between
from tests.render.blocks import GEARING, compute

TAIL = (1 - COVERAGE) / 2


def of(
    function: Callable[..., float],
    *,
    shape: str = "normal",
    ranges: Mapping[str, tuple[float, float]] | None = None,
    draws: int = 1000,
    **inputs: tuple[float, float],
) -> tuple[Propagated, Value]:
    """What a function of values with standard uncertainties comes to."""

    def compute(values: dict[str, Any], shifts: Mapping[str, float]) -> Outputs:
        return {"y": function(**values)}

    model = Model(
        compute=compute,
        values={name: value for name, (value, _) in inputs.items()},
        uncertain={(name,): {f"p.md:{name}": step} for name, (_, step) in inputs.items()},
        ranges={(name,): bounds for name, bounds in (ranges or {}).items()},
        shapes={f"p.md:{name}": shape for name in inputs},
    )
    outputs = compute(model.values, {})
    found = propagate(model, outputs, seed=1, draws=draws, rest="rest:p#b")
    low, high = found.intervals.get(("y", ""), (None, None))
    parts = found.parts.get("y", {}).get("", {})
    return found, Value(
        si=function(**model.values),
        dimension="ratio",
        unit="",
        decimals=3,
        contributions=parts,
        low=low,
        high=high,
    )


# --- to first order ------------------------------------------------------------------------


def test_a_straight_result_needs_no_draws() -> None:
    """JCGM 101:2008, 9.2.2, table 2: four standard normal values add up to 0 with u = 2.0."""
    found, value = of(lambda a, b, c, d: a + b + c + d, a=(0, 1), b=(0, 1), c=(0, 1), d=(0, 1))
    assert found.simulation is None
    assert value.standard_uncertainty == pytest.approx(2.0)
    assert value.interval is None


def test_a_product_agrees_with_the_uncertainties_library() -> None:
    """uncertainties 3.2.3."""
    force = ufloat(168, 3.4) * ufloat(4.1, 0.0001) * ufloat(0.92, 0.01) / ufloat(0.279, 0.002)
    _, value = of(
        lambda t, i, e, r: t * i * e / r, t=(168, 3.4), i=(4.1, 0.0001), e=(0.92, 0.01), r=(0.279, 0.002)
    )
    assert value.si == pytest.approx(force.nominal_value)
    assert value.standard_uncertainty == pytest.approx(force.std_dev, rel=1e-3)


def test_a_smooth_curve_agrees_with_the_uncertainties_library() -> None:
    root = umath.sqrt(ufloat(4.0, 0.2))  # uncertainties 3.2.3
    found, value = of(lambda x: sqrt(x), x=(4.0, 0.2))
    assert found.simulation is None
    assert value.standard_uncertainty == pytest.approx(root.std_dev, rel=2e-3)


def test_a_bend_that_is_small_in_all_of_the_uncertainty_needs_no_draws() -> None:
    """|x| at 0 is all bend, but here it is a thousandth of the whole."""
    found, value = of(lambda x, y: abs(x) + y, x=(0, 0.001), y=(1, 1))
    assert found.simulation is None
    assert value.standard_uncertainty == pytest.approx(1.0)


# --- by Monte Carlo ---------------------------------------------------------------------------


def test_the_square_of_a_value_near_zero() -> None:
    """JCGM 101:2008, 9.4 has such a sum of squares. Exact: (x₁² + x₂²) / u² is χ² with 2 degrees of freedom
    (scipy 1.17), of mean 2 and variance 4, where first order finds no uncertainty at all."""
    found, value = of(lambda a, b: a * a + b * b, a=(0, 0.005), b=(0, 0.005), draws=4000)
    assert found.simulation is not None
    assert value.standard_uncertainty == pytest.approx(2 * 0.005**2, rel=0.05)
    low, high = found.intervals["y", ""]
    assert low == 0.0  # the value itself
    assert high == pytest.approx(0.005**2 * stats.chi2(2).ppf(1 - TAIL), rel=0.05)


def test_the_logarithm_of_a_wide_rectangle() -> None:
    """NPL Report DEM-ES-011, table 9.2: ln x for x from 0.1 to 1.1 has u = 0.606, to first order 0.481."""
    found, value = of(lambda x: log(x), shape="rectangular", x=(0.6, 0.5 / sqrt(3)))
    assert value.standard_uncertainty == pytest.approx(0.606, rel=0.01)
    low, high = found.intervals["y", ""]
    # Exact: the quantiles of x are those of the rectangle, and ln is rising.
    assert low == pytest.approx(log(0.1 + TAIL), abs=0.01)
    assert high == pytest.approx(log(1.1 - TAIL), abs=0.01)


def test_four_rectangles() -> None:
    """JCGM 101:2008, 9.2.3, table 3: u = 2.0, 95 % between ±3.88."""
    model = Model(
        compute=lambda values, _: {"y": sum(values.values())},
        values=dict.fromkeys("abcd", 0.0),
        uncertain={(name,): {name: 1.0} for name in "abcd"},
        shapes=dict.fromkeys("abcd", "rectangular"),
    )
    sample = np.sum(list(drawn_errors(model, 1, 20_000).values()), axis=0)
    assert sample.std() == pytest.approx(2.0, rel=0.01)
    assert np.quantile(sample, [0.025, 0.975]) == pytest.approx([-3.88, 3.88], rel=0.01)
    assert coverage_interval(sample, 5.0)[1] == 5.0  # made wider where the value would lie outside


@pytest.mark.parametrize("draws", [100, 1000])  # with fewer, between moves of the error
def test_what_cannot_be_below_zero(draws: int) -> None:
    """Exact: max(x, 0) of a standard normal x has the mean 1/√(2π) and the variance 1/2 − 1/(2π), and its
    upper end is that of x."""
    found, value = of(lambda x: max(x, 0.0), x=(0.0, 1.0), draws=draws)
    assert value.standard_uncertainty == pytest.approx(sqrt(0.5 - 1 / (2 * pi)), rel=0.03)
    low, high = found.intervals["y", ""]
    assert low == 0.0
    assert high == pytest.approx(2.0, rel=0.1)
    assert value.interval == (low, high)  # and not ± 1.17


def test_a_size_without_its_sign() -> None:
    """Exact: |x| of a standard normal x has the variance 1 − 2/π (the half-normal distribution)."""
    found, value = of(lambda x: abs(x), x=(0.0, 1.0))
    assert value.standard_uncertainty == pytest.approx(stats.halfnorm.std(), rel=0.02)
    assert found.intervals["y", ""][1] == pytest.approx(stats.halfnorm.ppf(1 - TAIL), rel=0.03)


def test_an_exponential() -> None:
    """scipy 1.17, stats.lognorm: e^x of a normal x with u = 0.5."""
    exact = stats.lognorm(0.5)
    found, value = of(lambda x: exp(x), x=(0.0, 0.5))
    assert value.standard_uncertainty == pytest.approx(exact.std(), rel=0.05)
    low, high = found.intervals["y", ""]
    assert low == pytest.approx(exact.ppf(TAIL), rel=0.02)
    assert high == pytest.approx(exact.ppf(1 - TAIL), rel=0.05)


def test_a_kink_beyond_one_standard_uncertainty_is_seen() -> None:
    found, value = of(lambda x: max(x, -1.5), x=(0.0, 1.0))
    assert found.simulation is not None
    assert value.low == pytest.approx(-1.5)


def test_a_kink_of_which_one_standard_uncertainty_shows_nothing_is_seen() -> None:
    """Exact: the variance of max(x − 1.5, 0) of a standard normal x (scipy 1.17, integrated by quad)."""
    mean = quad(lambda x: (x - 1.5) * stats.norm.pdf(x), 1.5, 12.0)[0]
    square = quad(lambda x: (x - 1.5) ** 2 * stats.norm.pdf(x), 1.5, 12.0)[0]
    found, value = of(lambda x: max(x - 1.5, 0.0), x=(0.0, 1.0))
    assert found.simulation is not None
    assert value.standard_uncertainty == pytest.approx(sqrt(square - mean**2), rel=0.03)
    assert value.high == pytest.approx(stats.norm.ppf(1 - TAIL) - 1.5, rel=0.05)


def test_a_kink_beyond_the_limits_of_an_error_is_no_concern() -> None:
    """JCGM 101:2008, 6.4.2: an error between limits never exceeds √3 standard uncertainties."""
    found, value = of(lambda x: max(x, 1.8), shape="rectangular", x=(0.0, 1.0))
    assert found.simulation is None
    assert value.standard_uncertainty == 0.0


def test_what_is_on_a_floor_is_not_drawn_below_it() -> None:
    """Two errors that both make nothing of a result do not make less than nothing of it."""
    _, value = of(lambda a, b: 0.0 if a > 0.5 or b > 0.5 else 20.0, a=(0.0, 1.0), b=(0.0, 1.0), draws=100)
    assert value.low == 0.0


def test_a_humidity_near_saturation_is_cut_at_it() -> None:
    """Exact: a normal distribution cut at 100 % (scipy 1.17, stats.truncnorm)."""
    exact = stats.truncnorm(-inf, 2 / 3, loc=0.98, scale=0.03)
    found, value = of(lambda humidity: humidity, humidity=(0.98, 0.03), ranges={"humidity": (0.0, 1.0)})
    assert found.simulation is not None
    assert found.simulation.cut == ("humidity",)
    assert "cut there" in found.simulation.remarks[0]
    assert value.standard_uncertainty == pytest.approx(exact.std(), rel=0.03)
    assert value.low == pytest.approx(exact.ppf(TAIL), abs=0.002)
    assert value.high is not None
    assert value.high <= 1.0


def test_a_slow_calculation_is_run_for_moves_and_not_for_draws() -> None:
    """Exact: x² + 3 y of normal x around 1 and y has the variance 4 u² + 2 u⁴ + 9 v²."""
    calls = []

    def slow(x: float, y: float) -> float:
        calls.append(x)
        return x * x + 3 * y

    found, value = of(slow, x=(1.0, 0.5), y=(0.0, 0.1), draws=100)
    assert found.simulation is not None
    assert found.simulation.interpolated
    assert len(calls) < 25
    exact = sqrt(4 * 0.5**2 + 2 * 0.5**4 + 9 * 0.1**2)
    assert value.standard_uncertainty == pytest.approx(exact, rel=0.03)
    low, high = found.intervals["y", ""]
    assert low > 1 - 2 * exact, "x² has a floor"
    assert high == pytest.approx(stats.ncx2(1, 4).ppf(1 - TAIL) / 4, rel=0.05)  # the part of x, which governs


def test_a_value_at_its_very_limit_is_not_refused() -> None:
    """Exact: half of a normal distribution."""
    _, value = of(lambda share: share, share=(1.0, 0.1), ranges={"share": (0.0, 1.0)})
    assert value.standard_uncertainty == pytest.approx(0.1 * stats.halfnorm.std(), rel=0.03)
    assert value.high == 1.0


def test_draws_without_a_result_are_left_out_and_told() -> None:
    def root(x: float) -> float:
        if x < 0:
            raise Refused("x", f"{x}", "0 or more")
        return x

    found, _ = of(root, x=(1.0, 1.0))
    assert found.simulation is not None
    assert found.simulation.without_result == pytest.approx(1000 * stats.norm.cdf(-1), abs=2)
    told = found.simulation.remarks[-1]
    assert "of 1000 draws" in told
    assert "it would refuse such inputs" in told, "a reader learns why, and what it means"
    assert "that of the other draws" in told


def test_what_mostly_has_no_result_is_refused() -> None:
    def root(x: float) -> float:
        if not 0.99 < x < 1.01:
            raise Refused("x", f"{x}", "about 1")
        return x

    with pytest.raises(Refused, match="no result for"):
        of(root, x=(1.0, 1.0))


# --- what draws leave to other blocks -----------------------------------------------------------


def test_the_same_draws_whenever_they_are_made() -> None:
    first, second = (of(lambda x: max(x, 0.0), x=(0.0, 1.0))[1] for _ in range(2))
    assert first == second


def test_what_two_results_have_in_common_cancels() -> None:
    """Two results that are the same function of one error do not differ at all (JCGM 100:2008, F.1.2), and
    the difference of x² and x² + y is y."""
    _, one = of(lambda x, y: x * x + 0 * y, x=(0.0, 1.0), y=(0.0, 0.5))
    _, two = of(lambda x, y: x * x + y, x=(0.0, 1.0), y=(0.0, 0.5))
    assert change_between(one, two).standard_uncertainty == pytest.approx(0.5, rel=0.03)
    assert sqrt(one.standard_uncertainty**2 + two.standard_uncertainty**2) == pytest.approx(2.06, rel=0.03)


def test_shares_add_up_to_the_variance_of_the_draws() -> None:
    _, value = of(lambda x, y: max(x * y, 0.0), x=(0.2, 1.0), y=(0.1, 1.0))
    assert any(origin.startswith("rest:") for origin in value.contributions)
    assert isclose(value.standard_uncertainty**2, sum(part**2 for part in value.contributions.values()))


def test_a_doubt_of_the_method_is_drawn_too() -> None:
    """Exact: |1 + δ − 1| of a normal δ; all of it is of the method."""
    doubt = Doubt(name="loss", about="", source="x", relative=0.2)
    model = Model(
        compute=lambda _, shifts: {"y": abs(0.1 * shifts.get(doubt.origin, 0.0))},
        values={},
        doubted={doubt.origin: doubt},
    )
    found = propagate(model, {"y": 0.0}, seed=1, draws=1000, rest="rest")
    value = Value(si=0.0, dimension="ratio", unit="", decimals=3, contributions=found.parts["y"][""])
    assert value.expanded_of_method == pytest.approx(2 * 0.1 * stats.halfnorm.std(), rel=0.02)
    assert value.expanded_of_inputs == 0.0


@pytest.mark.parametrize(
    ("shape", "exact"),
    [
        ("normal", stats.norm()),
        ("rectangular", stats.uniform(-sqrt(3), 2 * sqrt(3))),  # JCGM 101:2008, 6.4.2
        ("triangular", stats.triang(0.5, -sqrt(6), 2 * sqrt(6))),  # JCGM 101:2008, 6.4.5 with equal halves
    ],
)
def test_draws_have_their_distribution(shape: str, exact: Any) -> None:
    """scipy 1.17; Kolmogorov's distance of so many strata is half of one."""
    drawn = strata(shape, 1000)
    assert stats.kstest(drawn, exact.cdf).statistic <= 0.5 / 1000 + 1e-9
    assert drawn.std() == pytest.approx(1.0, rel=0.01)


@pytest.mark.parametrize("doubt", ["± 0.4 m", "± 40 % limits"])
def test_equal_cases_differ_by_nothing_where_they_are_drawn_too(doubt: str) -> None:
    """What both cases share cancels (JCGM 100:2008, F.1.2), with what the draws leave unexplained."""
    body = GEARING.replace("  tyre: 195/50R15\n", f"  rolling_circumference: 1.75 m {doubt}\n")
    block = compute(body.replace("41/9", "39/10"))
    before, after = (block.cases[name].values["rpm_at"] for name in ("before", "after"))
    assert block.cases["before"].simulation is not None
    assert isinstance(before, dict)
    assert isinstance(after, dict)
    for gear, value in before.items():
        other = after[gear]
        assert isinstance(value, Value)
        assert isinstance(other, Value)
        assert value.low is not None, "it was drawn"
        change = change_between(value, other)
        assert (change.si, change.expanded_uncertainty) == (0, 0)


def test_what_rests_on_nothing_that_was_drawn_has_no_uncertainty_by_rounding() -> None:
    """A result without the uncertain input, beside one that has none where that is moved up by u: both are
    drawn, and one of them comes to the same each time."""

    def calculate(values: dict[str, Any], shifts: Mapping[str, float]) -> Outputs:
        if values["x"] > 1.5:
            raise Refused("x", "too much", "less")
        return {"y": values["x"] ** 2, "z": 0.1 + 0.2}

    model = Model(compute=calculate, values={"x": 1.0}, uncertain={("x",): {"p.md:x": 0.6}})
    found = propagate(model, calculate(model.values, {}), seed=1, draws=1000, rest="rest")
    assert found.simulation is not None
    assert found.parts["y"][""]
    assert not found.parts.get("z", {}).get("")
