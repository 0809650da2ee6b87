"""What a reader is told of limits, at the ends of what a value may be. The sentences are worded by hand from
what `Limit` and `Sureness` promise."""

from __future__ import annotations

import pytest

from buildlog.book.limits import remarks_of_limits, remarks_of_sureness
from buildlog.kinds.doubt import DIGIT, UNCERTAINTY, Limit, Sureness
from buildlog.kinds.results import Value
from buildlog.said import said


def torque(si: float, expanded: float = 0.0, **more: float) -> Value:
    """A torque of `si` N·m ± `expanded` (k = 2)."""
    parts = {"a": expanded / 2} if expanded else {}
    return Value(si=si, dimension="torque", unit="N·m", decimals=1, contributions=parts, **more)


def told(value: object, **limit: object) -> list[str]:
    declared = {"output": "y", "says": said("It [may slip|slips]."), **limit}
    remarks = remarks_of_limits([Limit(**declared)], {"y": value})  # type: ignore[arg-type]
    return [remark.replace("\u00a0", " ").replace("\u202f", " ") for remark in remarks]


@pytest.mark.parametrize(
    ("si", "expanded", "remark"),
    [
        (12.0, 2.0, ""),  # its lower end is the limit itself
        (10.0, 0.0, ""),
        (11.99, 2.0, "It may slip. It is 12.0 N·m with ± 2.0 N·m, and the uncertainty counts."),
        (10.0, 1.0, "It may slip. It is 10.0 N·m with ± 1.0 N·m, and the uncertainty counts."),
        (9.0, 2.0, "It may slip."),  # the value itself is beyond: nothing is to be said of its uncertainty
        (9.0, 1.0, "It may slip."),  # the upper end still keeps to it
        (8.9, 1.0, "It slips."),
        (9.9, 0.0, "It slips."),
    ],
)
def test_a_least(si: float, expanded: float, remark: str) -> None:
    assert told(torque(si, expanded), least=10.0) == ([remark] if remark else [])
    # The same, seen in a mirror.
    mirrored = remark.replace("It is 1", "It is −1")
    assert told(torque(-si, expanded), most=-10.0) == ([mirrored] if remark else [])


@pytest.mark.parametrize(
    ("si", "expanded", "is_told"),
    [(10.0, 2.0, False), (8.0, 2.0, False), (7.9, 2.0, True), (12.1, 2.0, True), (10.0, 0.0, False)],
)
def test_what_is_surely_to_be_passed_is_told_where_it_cannot_be_kept_to(
    si: float, expanded: float, is_told: bool
) -> None:
    """A limit of one point: two values that are to agree."""
    assert bool(told(torque(si, expanded), least=10.0, most=10.0, surely=True)) == is_told


def test_what_a_monte_carlo_found_counts_by_its_interval() -> None:
    value = torque(12.0, 2.0, low=9.0, high=12.5)
    assert told(value, least=10.0) == [
        "It may slip. It is 12.0 N·m, somewhere from 9.0 N·m to 12.5 N·m, and the uncertainty counts."
    ]
    assert told(torque(12.0, 2.0, low=11.0, high=15.0), least=10.5) == []


def test_of_several_together_the_one_furthest_beyond_is_told() -> None:
    limits = [Limit(output=name, least=10.0, says=said("{name}.", name=name), together="t") for name in "abc"]
    values = {"a": torque(9.5), "b": torque(7.0), "c": torque(9.0)}
    assert list(remarks_of_limits(limits, values)) == ["b."]
    apart = [Limit(output=name, least=10.0, says=said("{name}.", name=name)) for name in "abc"]
    assert list(remarks_of_limits(apart, values)) == ["a.", "b.", "c."]
    assert list(remarks_of_limits(limits, {"c": torque(9.0), "b": torque(9.0)})) == ["b."]


@pytest.mark.parametrize("values", [{}, {"y": "words"}, {"y": {"1": torque(1.0)}}, {"y": {"2": "words"}}])
def test_what_is_not_there_keeps_to_everything(values: dict[str, object]) -> None:
    limit = Limit(output="y", key="2", least=10.0, says=said("It slips."))
    assert list(remarks_of_limits([limit], values)) == []
    assert list(remarks_of_limits([limit], {"y": {"2": torque(1.0)}})) == ["It slips."]


@pytest.mark.parametrize(
    ("expanded", "words"),
    [
        (0.0, ""),
        (2.34, "known to 2.3 N·m, by 1 N·m"),
        (0.234, "known to 0.2 N·m, by 0.1 N·m"),
        (23.4, "known to 23 N·m, by 10 N·m"),
    ],
)
def test_how_well_a_result_is_known(expanded: float, words: str) -> None:
    sureness = Sureness(
        output="y", says=said("known to {uncertainty}, by {digit}", uncertainty=UNCERTAINTY, digit=DIGIT)
    )
    remarks = list(remarks_of_sureness([sureness], {"y": torque(100.0, expanded)}))
    assert [remark.replace("\u00a0", " ") for remark in remarks] == ([words] if words else [])
    assert list(remarks_of_sureness([sureness], {})) == []
