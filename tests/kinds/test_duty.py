"""Parts that lives hang on are refused, whatever they are made of."""

from __future__ import annotations

import pytest

from buildlog.diagnostics import Refused
from buildlog.kinds.duty import LICENSED_PRACTICE, REFUSED, duty_input, refuse_duty

ALLOWED = {"cover": "a cover"}


def test_the_kinds_own_answers_stand_before_those_refused() -> None:
    words = list(duty_input(ALLOWED).form.meanings)
    assert words == ["cover", "person", "wheel", "brake", "steering", "fuel", "lifting"]
    assert duty_input(ALLOWED).required


@pytest.mark.parametrize("duty", REFUSED)
def test_a_part_that_lives_hang_on_is_refused(duty: str) -> None:
    with pytest.raises(Refused) as raised:
        refuse_duty({"duty": duty})
    assert raised.value.code is LICENSED_PRACTICE
    assert raised.value.name == "duty"
    assert duty in raised.value.found
    assert "licensed practice" in raised.value.help
    assert "refused" not in raised.value.found


def test_another_one_is_not() -> None:
    refuse_duty({"duty": "cover"})
