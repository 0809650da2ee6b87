"""The order of blocks, against the standard library's sorter, and what a loop is."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.order import in_order
from buildlog.proof.proof import proof_book
from tests.samples import calc, open_site

Name = tuple[str, str]
_NAMES = [("p", letter) for letter in "abcdefg"]
GRAPHS = st.dictionaries(st.sampled_from(_NAMES), st.sets(st.sampled_from(_NAMES), max_size=3)).map(
    lambda needs: {name: {other for other in targets if other in needs} for name, targets in needs.items()}
)


def has_loop(needs: dict[Name, set[Name]]) -> bool:
    try:
        TopologicalSorter(needs).prepare()
    except CycleError:
        return True
    return False


@given(GRAPHS)
def test_each_block_comes_once_and_after_what_it_needs(needs: dict[Name, set[Name]]) -> None:
    order, loops = in_order(needs)
    assert sorted(order) == sorted(needs)
    assert bool(loops) == has_loop(needs)
    place = {name: at for at, name in enumerate(order)}
    looped = {name for loop in loops for name in loop}
    for name, targets in needs.items():
        for target in targets:
            assert place[target] < place[name] or name in looped


@given(GRAPHS)
def test_a_loop_goes_from_need_to_need_and_back(needs: dict[Name, set[Name]]) -> None:
    """What only needs a block in a loop is in none, and without the loops there is none left."""
    _, loops = in_order(needs)
    seen: set[Name] = set()
    for loop in loops:
        assert len(set(loop)) == len(loop)
        assert not seen & set(loop)
        seen |= set(loop)
        for name, following in zip(loop, [*loop[1:], loop[0]], strict=True):
            assert following in needs[name]
    assert not has_loop({name: targets - seen for name, targets in needs.items() if name not in seen})


@pytest.mark.parametrize(
    ("needs", "loops"),
    [
        ({"a": "a"}, [["a"]]),
        ({"a": "b", "b": "a", "c": "a"}, [["a", "b"]]),
        ({"a": "b", "b": "c", "c": "b"}, [["b", "c"]]),
        ({"a": "b", "b": "a", "c": "d", "d": "c"}, [["a", "b"], ["c", "d"]]),
        ({"a": "", "b": "a"}, []),
    ],
)
def test_loops_by_hand(needs: dict[str, str], loops: list[list[str]]) -> None:
    graph = {("p", name): {("p", other) for other in others} for name, others in needs.items()}
    order, found = in_order(graph)
    assert [sorted(name for _, name in loop) for loop in found] == loops
    assert len(order) == len(needs)


def test_a_long_chain_is_no_matter_of_depth() -> None:
    needs = {("p", str(number)): {("p", str(number + 1))} for number in range(5000)}
    needs["p", "5000"] = set()
    order, loops = in_order(needs)
    assert order == [("p", str(number)) for number in range(5000, -1, -1)]
    assert loops == []


def test_two_loops_of_which_one_needs_the_other_are_both_told(tmp_path: Path) -> None:
    def block(name: str, *needs: str) -> str:
        ratios = ", ".join(f"calc:{need}.overall_ratio.1" for need in needs)
        inputs = f"{{gears: [{ratios}], final_drive: 4.0, rolling_circumference: 1.8 m, rev_limit: 6000 rpm}}"
        return calc(f"id: {name}\nkind: gearing\ninputs: {inputs}")

    text = block("a", "b") + block("b", "a") + block("c", "a", "d") + block("d", "c")
    book = open_site(tmp_path, {"p.md": text})
    found = [one.found for one in proof_book(book).findings if one.code.name == "block-loop"]
    assert sorted(found) == 2 * ["p#a → p#b → p#a"] + 2 * ["p#c → p#d → p#c"]
    assert all(book.result("p", name) is not None for name in "abcd")
