"""Budgets: each error's part of an uncertainty, and what halving it brings.

Worked examples: JCGM 100:2008 (GUM), H.1, end-gauge calibration, table H.1; the library uncertainties 3.2.3,
`AffineScalarFunc.error_components`; and computing again with the halved doubt.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import pi, sqrt
from typing import Any

import pytest
from uncertainties import ufloat

from buildlog.book.propagation import propagate
from buildlog.book.uncertainty import InputPath, Model
from buildlog.kinds.budget import SEVERAL, BudgetLine, budget, budget_lines
from buildlog.kinds.declaration import Doubt, Outputs, Working
from buildlog.kinds.results import BENT, CaseResult, Value
from tests.render.blocks import compute

MILLIMETRES = 1e-3
NANOMETRES = 1e-9
GAUGE = {
    # JCGM 100:2008, H.1.2 to H.1.3: values and standard uncertainties.
    "length of the standard": (50.000623 * MILLIMETRES, 25 * NANOMETRES),
    "difference": (215 * NANOMETRES, 9.7 * NANOMETRES),
    "expansion": (11.5e-6, 1.2e-6),
    "temperature": (-0.1, 0.41),
    "difference of expansions": (0.0, 0.58e-6),
    "difference of temperatures": (0.0, 0.029),
}


def end_gauge(values: Mapping[str, float]) -> float:
    """JCGM 100:2008, H.1, equation (H.3): l = l_S + d − l_S (δα θ + α_S δθ)."""
    standard, difference, expansion, temperature, expansions, temperatures = values.values()
    return standard + difference - standard * (expansions * temperature + expansion * temperatures)


def case_of(
    function: Callable[[Mapping[str, float]], float],
    inputs: Mapping[str, tuple[float, float]],
    *,
    draws: int = 1000,
    of: Mapping[str, Mapping[str, float]] | None = None,
) -> tuple[CaseResult, Value]:
    """A case whose only result is a function of values with standard uncertainties, as a block has it. `of`
    gives inputs the errors that they share, by name."""

    def compute(values: dict[str, Any], shifts: Mapping[str, float]) -> Outputs:
        return {"y": function(values)}

    uncertain: dict[InputPath, Mapping[str, float]] = {
        (name,): {f"p.md:{name}": step} for name, (_, step) in inputs.items() if step
    }
    for name, shared in (of or {}).items():
        uncertain[name,] = {**uncertain.get((name,), {}), **shared}
    model = Model(
        compute=compute, values={name: value for name, (value, _) in inputs.items()}, uncertain=uncertain
    )
    outputs = compute(model.values, {})
    found = propagate(model, outputs, seed=1, draws=draws, rest="p#b")
    origins = {origin: origin.removeprefix("p.md:") for parts in uncertain.values() for origin in parts}
    value = Value(
        si=function(model.values),
        dimension="length",
        unit="m",
        decimals=3,
        contributions=found.parts.get("y", {}).get("", {}),
    )
    case = CaseResult(
        name="", given={}, values={"y": value}, steps=(), origins=origins, simulation=found.simulation
    )
    return case, value


def by_name(lines: tuple[BudgetLine, ...]) -> dict[str, BudgetLine]:
    return {line.name: line for line in lines}


def test_the_end_gauge_of_the_guide() -> None:
    """JCGM 100:2008, table H.1: 25, 9.7, 0, 0, 2.9 and 16.6 nm; combined 32 nm (H.1.4)."""
    case, value = case_of(end_gauge, GAUGE)
    assert case.simulation is None
    assert value.standard_uncertainty == pytest.approx(32 * NANOMETRES, abs=0.5 * NANOMETRES)
    lines = by_name(budget_lines(case, value))
    printed = {"length of the standard": 25, "difference": 9.7, "difference of temperatures": 16.6}
    for name, nanometres in printed.items():
        assert lines[name].alone / 2 == pytest.approx(nanometres * NANOMETRES, abs=0.1 * NANOMETRES)
    # 2.9 nm of 32 are 0.8 % of the variance; where one alone is small it keeps its name.
    assert lines["difference of expansions"].alone / 2 == pytest.approx(
        2.9 * NANOMETRES, abs=0.05 * NANOMETRES
    )
    assert [line.name for line in budget_lines(case, value)] == [
        "length of the standard",
        "difference of temperatures",
        "difference",
        "difference of expansions",
    ]
    assert sum(line.share for line in lines.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("name", list(GAUGE))
def test_halving_is_what_computing_again_gives(name: str) -> None:
    """The whole propagation of H.1 again, with one standard uncertainty half as large."""
    case, value = case_of(end_gauge, GAUGE)
    middle, step = GAUGE[name]
    _, again = case_of(end_gauge, {**GAUGE, name: (middle, step / 2)})
    line = by_name(budget_lines(case, value)).get(name)
    expected = value.expanded_uncertainty if line is None else line.halved
    assert again.expanded_uncertainty == pytest.approx(expected, rel=1e-9)


def test_shares_are_the_error_components_of_the_uncertainties_library() -> None:
    """uncertainties 3.2.3: a torque of two forces that one scale reads, whose error is common."""
    inputs = {"left": (412.0, 1.5), "right": (388.0, 2.5), "arm": (0.61, 0.004)}
    scale = 3.0
    case, value = case_of(
        lambda of: (of["left"] - 0.4 * of["right"]) * of["arm"],
        inputs,
        of={"left": {"p.md:scale": scale}, "right": {"p.md:scale": scale}},
    )
    parts = {name: ufloat(middle, step) for name, (middle, step) in inputs.items()}
    common = ufloat(0, scale)
    result = (parts["left"] + common - 0.4 * (parts["right"] + common)) * parts["arm"]
    theirs = result.error_components()
    assert value.standard_uncertainty == pytest.approx(result.std_dev, rel=1e-6)
    lines = by_name(budget_lines(case, value))
    for name, variable in {**parts, "scale": common}.items():
        assert lines[name].alone == pytest.approx(2 * theirs[variable], rel=1e-6)
        assert lines[name].share == pytest.approx((theirs[variable] / result.std_dev) ** 2, rel=1e-6)


def test_small_ones_are_summed_in_a_last_line() -> None:
    """Five errors of 1 beside one of 10: 5 of 105, halved 101.25 (JCGM 100:2008, 5.1.2)."""
    inputs = {"large": (0.0, 10.0), **{f"small {n}": (0.0, 1.0) for n in range(5)}}
    case, value = case_of(lambda of: sum(of.values()), inputs)
    large, small = budget_lines(case, value)
    assert (small.name, small.together) == ("5 smaller ones", 5)
    assert small.alone == pytest.approx(2 * sqrt(5))
    assert small.share == pytest.approx(5 / 105)
    assert small.halved == pytest.approx(2 * sqrt(101.25))
    assert large.halved == pytest.approx(2 * sqrt(30))


def test_halving_what_a_result_goes_with_the_square_of() -> None:
    """Exact: of a normal error of 1, y = 3 x + x² has the variance 9 + 2; of half of it 9/4 + 2/16."""
    case, value = case_of(lambda of: 3 * of["x"] + of["x"] ** 2, {"x": (0.0, 1.0)}, draws=4000)
    (line,) = budget_lines(case, value)
    assert value.standard_uncertainty == pytest.approx(sqrt(11), rel=0.02)
    assert line.halved == pytest.approx(2 * sqrt(9 / 4 + 2 / 16), rel=0.02)


def test_what_only_several_explain_is_nobodys_to_halve() -> None:
    """Exact: 3 x y of two normal errors about 0 has the variance 9, of which neither alone explains any;
    4 z + |z| has 16 + 1 − 2/π, nearly all of which z and z² explain."""
    case, value = case_of(
        lambda of: 4 * of["z"] + abs(of["z"]) + 3 * of["x"] * of["y"],
        {"x": (0.0, 1.0), "y": (0.0, 1.0), "z": (0.0, 1.0)},
        draws=4000,
    )
    line = by_name(budget_lines(case, value))[SEVERAL]
    assert line.halved is None
    assert line.share == pytest.approx(9 / (9 + 17 - 2 / pi), abs=0.02)


def test_a_drawn_result_halved_is_near_to_drawing_again() -> None:
    """A kink, max(x, y), drawn once more with x half as doubtful."""
    inputs = {"x": (1.0, 0.5), "y": (1.0, 0.3)}
    case, value = case_of(lambda of: max(of["x"], of["y"]), inputs, draws=4000)
    _, again = case_of(lambda of: max(of["x"], of["y"]), {**inputs, "x": (1.0, 0.25)}, draws=4000)
    assert case.simulation is not None
    halved = by_name(budget_lines(case, value))["x"].halved
    assert halved == pytest.approx(again.expanded_uncertainty, rel=0.25)


def test_the_doubts_of_the_method_are_stated_as_their_source_has_them() -> None:
    doubt = Doubt(name="slip", about="slip of the tyre", source="etrto", relative=0.04)
    value = Value(si=1.0, dimension="length", unit="m", decimals=3, contributions={doubt.origin: 0.02})
    case = CaseResult(name="", given={}, values={}, steps=(), doubted={doubt.origin: doubt})
    (line,) = budget_lines(case, value)
    assert (line.name, line.stated) == ("slip of the tyre (method)", "± 4 % (k = 2)")


def test_scatter_is_stated_by_its_readings_and_is_no_doubt_of_the_method() -> None:
    """What is added to a result of readings has its unit, and the amount stands in the same line already."""
    working = Working(place="p#b", shifts={})
    working.scatter("mean", 0.02, about="scatter of laps", source="gum")
    (origin,) = working.doubted
    value = Value(si=1.0, dimension="time", unit="s", decimals=3, contributions={origin: 0.02})
    case = CaseResult(name="", given={}, values={}, steps=(), doubted=working.doubted)
    (line,) = budget_lines(case, value)
    assert (line.name, line.stated) == ("scatter of laps", "by the readings")


def test_the_square_of_an_error_that_another_block_brings_is_halved_with_its_value() -> None:
    origin = f"p.md:1:1{BENT}"
    value = Value(si=1.0, dimension="length", unit="m", decimals=3, contributions={origin: 0.02})
    case = CaseResult(name="", given={}, values={}, steps=(), origins={origin: "mass"})
    (line,) = budget_lines(case, value)
    assert line.halved == pytest.approx(0.02)


BLOCK = """\
id: it
kind: gearing
inputs:
  gears: [3.32, 2.04]
  final_drive: 4.10
  rolling_circumference: 1.752 ± 0.003 m (k=2)
  rev_limit: [8150 rpm, 8250 rpm, 8210 rpm]
  cruise_speed: 100 km/h ± 1.2 %
common: {trip meter: {of: [rolling_circumference], by: 0.2 %}}
"""


def test_every_doubt_is_stated_as_its_author_wrote_it() -> None:
    (case,) = compute(BLOCK).cases.values()
    told = {case.origins[origin]: words for origin, words in case.stated.items()}
    assert told == {
        "rolling factor": "± 0.02 (limits), assumed",
        "rolling circumference": "1.752 ± 0.003 m (k=2)",
        "rev limit": "3 readings",
        "cruise speed": "100 km/h ± 1.2 %",
        "trip meter (common)": "± 0.2 %",
    }


@pytest.mark.parametrize(
    ("stated", "told"),
    [(1, "± 1 mm"), (2, "± 1 mm; ± 2 mm"), (3, "± 1 mm and 2 more"), (4, "± 1 mm and 3 more")],
)
def test_two_statements_of_one_name_are_told_and_more_are_counted(stated: int, told: str) -> None:
    origins = {f"p.md:{number}": "width" for number in range(1, stated + 1)}
    value = Value(
        si=1.0, dimension="length", unit="m", decimals=3, contributions=dict.fromkeys(origins, 0.02)
    )
    case = CaseResult(
        name="",
        given={},
        values={},
        steps=(),
        origins=origins,
        stated={origin: f"± {origin[-1]} mm" for origin in origins},
    )
    (line,) = budget_lines(case, value)
    assert line.stated == told
    assert line.alone == pytest.approx(2 * sqrt(stated) * 0.02)


@pytest.mark.parametrize(("small", "together"), [(1.0, [0, 0, 0, 0, 0]), (0.99, [0, 4])])
def test_a_part_of_a_twentieth_has_a_line_of_its_own(small: float, together: list[int]) -> None:
    """By squares: 16 and four times 1 are 20; of four times a little less none is a twentieth."""
    parts = {"a": 4.0, **dict.fromkeys("bcde", small)}
    value = Value(si=1.0, dimension="length", unit="m", decimals=3, contributions=parts)
    case = CaseResult(name="", given={}, values={}, steps=(), origins={name: name for name in parts})
    assert [line.together for line in budget_lines(case, value)] == together
    named = [("a", 80), ("b", 5), ("c", 5), ("d", 5), ("e", 5)]
    assert budget(case, value) == (named if small == 1.0 else [("a", 80)])
