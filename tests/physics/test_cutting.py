"""Cutting plans: against all partitions of few pieces, and the bounds of bin packing."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.physics.cutting import CutPlan, cut_plan, least_number, number_bought


def partitions(pieces: list[int]) -> Iterator[list[list[int]]]:
    """Every way to put pieces into lengths, by brute force."""
    if not pieces:
        yield []
        return
    first, rest = pieces[0], pieces[1:]
    for found in partitions(rest):
        for at in range(len(found)):
            yield [*found[:at], [first, *found[at]], *found[at + 1 :]]
        yield [[first], *found]


def fits(stock: float, kerf: float, sizes: list[float], ends: list[int], plan: list[list[int]]) -> bool:
    return all(
        sum(sizes[piece] for piece in one) + kerf * (len(one) - 1) <= stock * (1 + 1e-9)
        and sum(ends[piece] for piece in one) <= 2
        for one in plan
    )


def fewest(stock: float, kerf: float, sizes: list[float], ends: list[int]) -> int:
    return min(
        len(plan) for plan in partitions(list(range(len(sizes)))) if fits(stock, kerf, sizes, ends, plan)
    )


@for_all(
    st.lists(st.tuples(st.integers(1, 100), st.integers(0, 1)), min_size=1, max_size=7),
    st.sampled_from([0.0, 2.0, 3.0]),
)
def test_the_plan_is_the_best_of_all(pieces: list[tuple[int, int]], kerf: float) -> None:
    sizes, ends = [float(size) for size, _ in pieces], [end for _, end in pieces]
    plan = cut_plan(100.0, kerf, tuple(sizes), tuple(ends))
    assert sorted(piece for one in plan.stocks for piece in one) == list(range(len(sizes)))
    assert fits(100.0, kerf, sizes, ends, [list(one) for one in plan.stocks])
    assert len(plan.stocks) == fewest(100.0, kerf, sizes, ends)
    assert plan.is_proven


# Where first fit decreasing needs one length too many, by hand: 6 · 44, 6 · 30, 6 · 26 of 100 go into six
# ({44, 30, 26} each); put the largest first and two 44 lie together, so that it ends with seven.
def test_the_search_finds_what_first_fit_does_not() -> None:
    plan = cut_plan(100.0, 0.0, (44.0, 30.0, 26.0) * 6)
    assert len(plan.stocks) == 6
    assert plan.is_proven
    assert all(sorted(one) == list(one) for one in plan.stocks)


def test_pieces_that_add_up_to_the_stock_fit_with_their_cuts() -> None:
    assert len(cut_plan(1.0, 0.002, (0.332,) * 3).stocks) == 1  # 3 · 332 + 2 · 2 = 1000
    assert len(cut_plan(1.0, 0.002, (0.3321, 0.332, 0.332)).stocks) == 2
    assert len(cut_plan(0.9, 0.0, (0.3, 0.3, 0.3)).stocks) == 1  # floats that add up to a little more
    assert len(cut_plan(1.0, 0.002, (1.0,)).stocks) == 1  # the whole of it, and no cut


def test_a_bend_has_two_ends() -> None:
    assert len(cut_plan(90.0, 2.0, (20.0, 20.0, 20.0), (0, 0, 0)).stocks) == 1
    assert len(cut_plan(90.0, 2.0, (20.0, 20.0, 20.0), (1, 1, 0)).stocks) == 1
    assert len(cut_plan(90.0, 2.0, (20.0, 20.0, 20.0), (1, 1, 1)).stocks) == 2
    assert cut_plan(90.0, 2.0, (20.0, 20.0, 20.0), (1, 1, 1)).is_proven


def test_what_was_given_up_says_so() -> None:
    """Many pieces of sizes that hardly go together: the search ends, and the bound is still a bound."""
    sizes = tuple(float(251 + 7 * (number * 37 % 41)) for number in range(60))
    plan = cut_plan(1000.0, 3.0, sizes)
    assert sorted(piece for one in plan.stocks for piece in one) == list(range(60))
    assert ceil(sum(size + 3 for size in sizes) / 1003) <= plan.least <= len(plan.stocks)
    assert len(plan.stocks) <= 11 / 9 * plan.least + 6 / 9  # first fit decreasing: Dósa 2007
    assert number_bought(plan) == len(plan.stocks)
    assert least_number(plan) == plan.least
    assert plan.is_proven == (number_bought(plan) == least_number(plan))


def test_a_plan_of_one_too_many_is_not_proven() -> None:
    assert not CutPlan(stocks=((0,), (1,)), least=1).is_proven


@pytest.mark.parametrize("number", [1, 2, 5, 30])
def test_pieces_larger_than_half_the_stock_have_one_each(number: int) -> None:
    plan = cut_plan(1.0, 0.002, (0.51,) * number)
    assert len(plan.stocks) == plan.least == number
