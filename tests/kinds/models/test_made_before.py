"""What was made of the same inputs is not made again."""

from __future__ import annotations

from collections.abc import Callable

from buildlog.kinds.models.made_before import MadeBefore, as_key


def counted(made: list[str], name: str) -> Callable[[], str]:
    def make() -> str:
        made.append(name)
        return name.upper()

    return make


def test_a_thing_is_made_once_and_the_one_not_asked_for_longest_goes_first() -> None:
    kept, made = MadeBefore(2), list[str]()
    for name in "abacab":
        assert kept.once(name, counted(made, name)) == name.upper()
    assert made == ["a", "b", "c", "b"], "b was not asked for longest when c came, and a never"


def test_what_fails_is_not_kept() -> None:
    kept = MadeBefore(2)
    for _ in range(2):
        try:
            kept.once("a", lambda: 1 // 0)
        except ZeroDivisionError:
            continue
        raise AssertionError("it was kept")


def test_keys_tell_inputs_apart_to_the_last_digit() -> None:
    given = {"mass": 900.0, "rows": [{"name": "a", "length": 1.0}, {"name": "b", "length": 2.0}]}
    same = {"mass": 900.0, "rows": [{"name": "a", "length": 1.0}, {"name": "b", "length": 2.0}]}
    assert as_key(given) == as_key(same)
    assert hash(as_key(given)) == hash(as_key(same))
    assert as_key({**given, "mass": 900.0000000000001}) != as_key(given)
    assert as_key({**given, "rows": [{"name": "a", "length": 1.0}]}) != as_key(given)
