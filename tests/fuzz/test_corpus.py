"""Texts that a search found, tried again: those that reach much, and those that once broke a promise."""

from __future__ import annotations

import pytest

from tests.fuzz.kept_texts import CORPUS, CRASHES, read_texts
from tests.fuzz.run import LONGEST
from tests.fuzz.targets import TARGETS


@pytest.mark.parametrize("target", TARGETS)
def test_what_reaches_much_breaks_nothing(target: str) -> None:
    texts = read_texts(CORPUS, target)
    assert len(texts) >= 20
    for text in texts:
        TARGETS[target](text)


@pytest.mark.parametrize(
    ("target", "text"), [(target, text) for target in TARGETS for text in read_texts(CRASHES, target)]
)
def test_what_once_broke_a_promise_keeps_it(target: str, text: str) -> None:
    TARGETS[target](text)


def test_every_target_is_searched_and_the_corpus_is_small() -> None:
    assert set(LONGEST) == set(TARGETS)
    assert sum(path.stat().st_size for path in CORPUS.iterdir()) < 1024**2
