"""Where the arguments of steps come from, and which symbol stands for which thing."""

from __future__ import annotations

from typing import Annotated

from buildlog.formulae.formula import formula_of
from buildlog.kinds.chain import Origin, origins_of_steps, way_to
from buildlog.kinds.declaration import Step
from buildlog.kinds.results import CaseResult
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
