"""Where the arguments of steps come from, and which symbol stands for which thing."""

from __future__ import annotations

from typing import Annotated

import pytest

from buildlog.formulae.formula import formula_of
from buildlog.kinds.chain import Origin, origins_of_steps, way_to
from buildlog.kinds.declaration import Step
from buildlog.kinds.results import CaseResult, GivenInput
from buildlog.kinds.symbols import primed


def area(
    width: Annotated[float, "w", "m"], height: Annotated[float, "h", "m"]
) -> Annotated[float, "A", "m²"]:
    """Area. Formula: A = w h. Symbols: w width (m), h height (m), A area (m²)."""
    return width * height


def flow(
    area: Annotated[float, "A", "m²"], speed: Annotated[float, "v", "m/s"]
) -> Annotated[float, "Q", "m³/s"]:
    """Flow. Formula: Q = A v. Symbols: A area (m²), v speed (m/s), Q flow (m³/s)."""
    return area * speed


def case(*steps: Step) -> CaseResult:
    return CaseResult(name="", given={}, values={}, steps=steps)


def step(name: str, function: object, result: float, **arguments: float) -> Step:
    return Step(name=name, function=function, arguments=arguments, result=result, source="s")  # type: ignore[arg-type]


def test_an_argument_comes_from_the_step_that_gave_the_very_same_float() -> None:
    ran = case(
        step("area", area, 6.5, width=3.25, height=2.0),
        step("flow", flow, 19.5, area=6.5, speed=3.0),
        step("again", flow, 58.5, area=19.5, speed=3.0),
    )
    origins = origins_of_steps(ran)
    assert origins[1] == {"area": Origin(steps=(0,)), "speed": Origin()}
    assert origins[2]["area"] == Origin(steps=(1,)), "the only step with that result, by whatever name"
    assert way_to(2, origins) == [0, 1]
    assert way_to(0, origins) == []


def test_a_value_that_says_nothing_needs_a_name() -> None:
    ran = case(
        step("area", area, 1.0, width=1.0, height=1.0),
        step("flow", flow, 1.0, area=1.0, speed=1.0),
    )
    assert origins_of_steps(ran)[1] == {"area": Origin(steps=(0,)), "speed": Origin()}


def test_what_the_numbers_do_not_tell_apart_is_not_chosen() -> None:
    ran = case(
        step("inlet", flow, 6.5, area=3.25, speed=2.0),
        step("outlet", flow, 6.5, area=1.3, speed=5.0),
        step("both", area, 42.25, width=6.5, height=6.5),
    )
    origin = origins_of_steps(ran)[2]["width"]
    assert origin == Origin(steps=(0, 1))
    assert not origin.is_sure


def test_a_row_takes_what_its_own_key_gave() -> None:
    ran = case(
        step("area.1", area, 6.5, width=3.25, height=2.0),
        step("area.2", area, 6.5, width=3.25, height=2.0),
        step("flow.2", flow, 19.5, area=6.5, speed=3.0),
    )
    assert origins_of_steps(ran)[2]["area"] == Origin(steps=(1,))


def test_another_symbol_is_shown_in_the_formula_and_in_what_is_said() -> None:
    other = formula_of(flow).renamed({"area": "A′", "flow": "Q′_1"})
    assert other.text() == "Q′_1 = A′ v"
    assert [row.symbol for row in other.symbols] == ["A′", "v", "Q′_1"]
    assert "<mo>′</mo>" in other.equations()
    assert formula_of(flow).text() == "Q = A v"
    assert [primed(symbol) for symbol in ("K", "T_2", "T′_2", "R/d")] == ["K′", "T′_2", "T′′_2", "R′/d"]


@pytest.mark.parametrize("value", [0.0, 1.0, -1.0, 2.0])
def test_a_number_that_many_things_have_needs_a_name(value: float) -> None:
    """By the number and the same symbol alone it is nothing; called as the argument is, it is."""
    ran = case(
        step("throat", area, value, width=value, height=1.0),
        step("flow", flow, 5.0, area=value, speed=7.0),
        step("more", fast, 9.0, section=value),
    )
    origins = origins_of_steps(ran)
    assert origins[1]["area"] == Origin(steps=(0,))
    assert origins[2]["section"] == Origin()
    other = case(step("throat", area, 2.5, width=2.5, height=1.0), step("more", fast, 9.0, section=2.5))
    assert origins_of_steps(other)[1]["section"] == Origin(steps=(0,))


def fast(section: Annotated[float, "A", "m²"]) -> Annotated[float, "v", "m/s"]:
    """Speed. Formula: v = 3/A. Symbols: A area (m²), v speed (m/s)."""
    return 3 / section


def test_three_that_it_may_be_are_named_and_four_are_not() -> None:
    def ran(count: int) -> Origin:
        ones = [step(f"flow{number}", flow, 6.5, area=3.25, speed=2.5) for number in range(count)]
        return origins_of_steps(case(*ones, step("last", area, 9.0, width=6.5, height=3.0)))[-1]["width"]

    assert ran(3) == Origin(steps=(0, 1, 2))
    assert ran(4) == Origin()


def test_a_step_that_ran_again_stands_for_both() -> None:
    ran = case(
        step("inlet", flow, 6.5, area=3.25, speed=2.5),
        step("inlet", flow, 6.5, area=3.25, speed=2.5),
        step("last", area, 9.0, width=6.5, height=3.0),
    )
    assert origins_of_steps(ran)[2]["width"] == Origin(steps=(1,))


def test_the_same_symbol_comes_before_another_and_before_an_input() -> None:
    given = {"width": GivenInput(value=6.5, written="6.5 m", declared=None, origin="")}  # type: ignore[arg-type]
    ran = CaseResult(
        name="",
        given=given,
        values={},
        steps=(
            step("a", flow, 6.5, area=3.25, speed=2.5),
            step("b", area, 6.5, width=3.25, height=2.5),
            step("c", fast, 9.0, section=6.5),
            step("d", area, 9.0, width=6.5, height=7.0),
            step("e", flow, 9.0, area=4.0, speed=6.5),
        ),
    )
    origins = origins_of_steps(ran)
    assert origins[2]["section"] == Origin(steps=(1,))
    assert origins[3]["width"] == Origin(inputs=("width",)), "called so"
    assert origins[4]["speed"] == Origin(steps=(0, 1), inputs=("width",))


def test_numbers_within_an_input_are_its_own() -> None:
    values: dict[str, object] = {
        "rows": [{"width": 3.5, "name": "3.5"}, {"width": 4.5}],
        "pair": (5.5, 6.5),
        "count": 7,
        "yes": True,
        "twice": [8.5, 8.5],
    }
    given = {
        name: GivenInput(value=value, written="", declared=None, origin="")  # type: ignore[arg-type]
        for name, value in values.items()
    }
    for number, name in (
        (3.5, "rows"),
        (4.5, "rows"),
        (5.5, "pair"),
        (6.5, "pair"),
        (7.0, "count"),
        (8.5, "twice"),
    ):
        ran = CaseResult(name="", given=given, values={}, steps=(step("x", fast, 9.0, section=number),))
        assert origins_of_steps(ran)[0]["section"] == Origin(inputs=(name,))


def test_the_way_to_a_step_goes_through_all_that_led_to_it() -> None:
    ran = case(
        step("a", area, 6.5, width=3.25, height=2.0),
        step("other", area, 8.5, width=4.25, height=2.0),
        step("b", flow, 19.5, area=6.5, speed=3.0),
        step("c", area, 390.0, width=19.5, height=20.0),
        step("d", flow, 2535.0, area=390.0, speed=6.5),
    )
    assert way_to(4, origins_of_steps(ran)) == [0, 2, 3]
    assert way_to(3, origins_of_steps(ran)) == [0, 2]
