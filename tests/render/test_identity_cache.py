"""What is kept is made anew as soon as one of the things it was made of is another."""

from __future__ import annotations

import pytest

from buildlog.render.identity_cache import IdentityCache


def test_kept_while_the_things_are_the_same_objects() -> None:
    kept, first, equal = IdentityCache(), [1], [1]
    made = kept.get(("a", "page"), (first,), lambda: object())
    assert kept.get(("a", "page"), (first,), lambda: object()) is made
    assert kept.get(("a", "page"), (equal,), lambda: object()) is not made, "equal is not the same"
    assert kept.get(("b", "page"), (first,), lambda: object()) is not made


def test_made_anew_when_there_are_more_or_fewer_things_or_others_like_them() -> None:
    kept, one, two = IdentityCache(), [1], [2]
    made = kept.get(("a", "page"), (one, two), lambda: object(), like=(1, "x"))
    assert kept.get(("a", "page"), (one, two), lambda: object(), like=(1, "x")) is made
    again = kept.get(("a", "page"), (one, two), lambda: object(), like=(2, "x"))
    assert again is not made
    assert kept.get(("a", "page"), (one,), lambda: object(), like=(2, "x")) is not again
    assert kept.get(("a", "page"), (two, one), lambda: object(), like=(2, "x")) is not again


def test_what_belongs_to_nothing_that_is_still_there_is_forgotten() -> None:
    kept = IdentityCache()
    made = {page: kept.get(("card", page, 1), (), lambda: object()) for page in ("one", "other")}
    kept.sweep({"other", "third"})
    assert len(kept) == 1
    assert kept.get(("card", "other", 1), (), lambda: object()) is made["other"]
    assert kept.get(("card", "one", 1), (), lambda: object()) is not made["one"]
    kept.forget(("card", "other", 1))
    assert kept.get(("card", "other", 1), (), lambda: object()) is not made["other"]


def test_nothing_is_kept_of_what_could_not_be_made() -> None:
    kept = IdentityCache()
    with pytest.raises(ZeroDivisionError):
        kept.get(("a", "page"), (), lambda: 1 / 0)
    assert kept.get(("a", "page"), (), lambda: 2.0) == 2.0
