"""What readers see is what ran: printed formulae are read back and reckoned with, and must agree."""

from __future__ import annotations

import inspect
import math
import pkgutil
import random
import re
import typing
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from importlib import import_module
from typing import Annotated

import pytest
from hypothesis import given as given_any
from hypothesis import strategies as st

import buildlog.physics
from buildlog import notation
from buildlog.diagnostics import OutOfRange, Refused
from buildlog.expression import (
    Binary,
    Choice,
    Comparison,
    Literal,
    Negative,
    Node,
    Power,
    Symbol,
    evaluate,
    holds,
    negated,
)
from buildlog.formulae import Formula, formula_of
from buildlog.physics import air, compressible, drivetrain, friction, tyres
from tests.printed_formula import Reader, Unclear, mathml_as_text, reckon


def formula_functions() -> list[Callable[..., float]]:
    """Every public function of buildlog/physics whose result is annotated with a symbol and a unit."""
    found: list[Callable[..., float]] = []
    for listed in pkgutil.iter_modules(buildlog.physics.__path__):
        module = import_module(f"buildlog.physics.{listed.name}")
        for name, function in vars(module).items():
            if inspect.isfunction(function) and function.__module__ == module.__name__ and name[0] != "_":
                hint = typing.get_type_hints(function, include_extras=True).get("return")
                if hasattr(hint, "__metadata__"):
                    found.append(function)
    return found


FUNCTIONS = formula_functions()
PLAIN = [function for function in FUNCTIONS if not formula_of(function).in_words]
NAMED = [f"{function.__module__.rpartition('.')[2]}.{function.__name__}" for function in FUNCTIONS]
PLAIN_NAMED = [f"{function.__module__.rpartition('.')[2]}.{function.__name__}" for function in PLAIN]


# --- arguments that a formula takes ----------------------------------------------------

# Usual sizes of the quantities of the trade, SI, by unit: where to look for arguments first.
USUAL = {
    "K": (240, 1100), "Pa": (1e3, 3e5), "m": (1e-3, 2), "m²": (1e-4, 1), "m/s": (1, 90), "rad/s": (50, 900),
    "1": (0.05, 10), "kg": (0.1, 1500), "s": (0.01, 60), "kg/m³": (0.8, 8000), "N": (1, 2e4), "N·m": (1, 900),
    "J": (1, 1e6), "W": (1, 3e5), "Hz": (1, 1e3), "rad": (0.01, 1.5),
}  # fmt: skip


class Sampler:
    """Draws arguments until the function takes them, keeping to the ranges that its refusals name."""

    def __init__(self, function: Callable[..., float]) -> None:
        self.function = function
        self.chance = random.Random(function.__name__)
        units = {row.name: row.unit for row in formula_of(function).symbols}
        self.whole = {name: kind is int for name, kind in typing.get_type_hints(function).items()}
        self.ranges = {
            name: USUAL.get(units[name], (1e-2, 1e2)) for name in inspect.signature(function).parameters
        }

    def draw(self, name: str) -> float:
        low, high = self.ranges[name]
        if self.whole[name]:
            return self.chance.randint(math.ceil(low), math.floor(high))
        if low > 0 and self.chance.random() < 0.7:
            return math.exp(self.chance.uniform(math.log(low), math.log(high)))
        return self.chance.uniform(low, high)

    def arguments(self, wanted: int = 25, tries: int = 8000) -> list[dict[str, float]]:
        taken: list[dict[str, float]] = []
        drawn = {name: self.draw(name) for name in self.ranges}
        for _ in range(tries):
            if len(taken) == wanted:
                break
            try:
                self.function(**drawn)
            except OutOfRange as refusal:
                self.learn(refusal)
                for name in (
                    (refusal.name,) if refusal.name in drawn and self.chance.random() < 0.5 else drawn
                ):
                    drawn[name] = self.draw(name)
                continue
            except (Refused, ArithmeticError):
                pass
            else:
                taken.append(dict(drawn))
            drawn = {name: self.draw(name) for name in self.ranges}
        return taken

    def learn(self, refusal: OutOfRange) -> None:
        """Keep to a range that is the same each time; one that depends on other arguments only guides."""
        match = re.fullmatch(r"(-?[\d.e+-]+) to (-?[\d.e+-]+)", refusal.expected)
        if match and refusal.name in self.ranges:
            low, high = float(match[1]), float(match[2])
            if low < high:
                self.ranges[refusal.name] = (low, min(high, max(1e6, 2 * abs(low))))


def values_by_symbol(formula: Formula, arguments: dict[str, float]) -> dict[str, float]:
    given = {**formula.defaults, **arguments}
    constants = {row.symbol: row.value for row in formula.symbols if row.value is not None}
    return {row.symbol: given[row.name] for row in formula.symbols if row.name in given} | constants


def symbols_of(formula: Formula) -> dict[str, float]:
    return {row.symbol: math.nan for row in formula.symbols if row.kind != "function"}


# --- every formula of the physics --------------------------------------------------------


def test_the_physics_is_found() -> None:
    assert len(FUNCTIONS) > 40
    assert len(PLAIN) > 0.8 * len(FUNCTIONS)


@pytest.mark.parametrize("function", FUNCTIONS, ids=NAMED)
def test_every_formula_is_made(function: Callable[..., float]) -> None:
    formula = formula_of(function)
    assert formula.text()
    ElementTree.fromstring(f"<page>{formula.mathml()}</page>")
    given = [row for row in formula.symbols if row.kind == "given"]
    assert [row.name for row in given] == list(inspect.signature(function).parameters)
    if formula.in_words:
        assert formula.stated, "a function that is no formula has to state its formula in the docstring"


@pytest.mark.parametrize("function", FUNCTIONS, ids=NAMED)
def test_no_symbol_means_two_things(function: Callable[..., float]) -> None:
    shown = [row.symbol for row in formula_of(function).symbols if row.kind != "result"]
    assert sorted(set(shown)) == sorted(shown)


@pytest.mark.parametrize("function", PLAIN, ids=PLAIN_NAMED)
def test_what_is_shown_is_what_ran(function: Callable[..., float]) -> None:
    formula = formula_of(function)
    cases = Sampler(function).arguments()
    assert len(cases) >= 5, f"no arguments found that {function.__name__} takes"
    for arguments in cases:
        result = function(**arguments)
        near = pytest.approx(result, rel=1e-8, abs=1e-12 * max([1.0, *map(abs, arguments.values())]))
        given = values_by_symbol(formula, arguments)
        values = {**symbols_of(formula), **given}
        assert reckon(formula.text(), values) == near, formula.text()
        ratios = {symbol: notation.symbol_mathml(symbol) for symbol in given if "/" in symbol}
        assert reckon(mathml_as_text(formula.mathml(), ratios), values) == near, formula.mathml()
        assert formula.evaluate(arguments) == pytest.approx(result, rel=1e-12, abs=1e-300)


@pytest.mark.parametrize("function", PLAIN, ids=PLAIN_NAMED)
def test_the_numbers_put_in_end_with_the_result(function: Callable[..., float]) -> None:
    formula = formula_of(function)
    for arguments in Sampler(function).arguments(wanted=3):
        result = function(**arguments)
        lines = formula.filled_text(arguments, result).split("\n")
        shown = lines[-1].partition(", since ")[0].rpartition(" = ")[2]
        unit = "" if formula.result.unit == "1" else formula.result.unit
        number = shown.removesuffix(unit).rstrip()
        assert Reader(number, {}).value() == pytest.approx(result, rel=1e-5), lines
        assert "worked out by" not in lines[-1]
        ElementTree.fromstring(f"<page>{formula.filled_mathml(arguments, result)}</page>")


# --- by hand -----------------------------------------------------------------------------

WRITTEN = [
    (drivetrain.road_speed, "v = ω U / (2 π i)"),
    (drivetrain.engine_speed, "ω = 2 π i v / U"),
    (drivetrain.speed_after_shift, "ω_2 = ω_1 i_2 / i_1"),
    (drivetrain.difference, "Δ = a − b"),
    (drivetrain.indicated_over_true, "k = U_0 i_s / (U i_s0)"),
    (tyres.overall_diameter, "D = d + 2 S a"),
    (tyres.rolling_radius, "r_e = U / (2 π)"),
    (compressible.speed_of_sound, "a = √(γ R T)"),
    (compressible.dynamic_pressure, "q = ρ v² / 2"),
    (air.standard_temperature, "T = 288.15 − 0.0065 H"),
    (air.dry_air_density, "ρ = p / (287.05287 T)"),
    (friction.radius_uniform_pressure, "r_p = (D³ − d³) / (3 (D² − d²))"),
]


@pytest.mark.parametrize("function, text", WRITTEN, ids=[one.__name__ for one, _ in WRITTEN])
def test_text_of_known_formulae(function: Callable[..., float], text: str) -> None:
    assert formula_of(function).text() == text


def test_numbers_put_in() -> None:
    formula = formula_of(drivetrain.road_speed)
    arguments = {
        "engine_speed": 858.7019919812102,
        "overall_ratio": 41 / 9 * 1.43,
        "rolling_circumference": 1.82,
    }
    result = drivetrain.road_speed(**arguments)
    # 8200 rpm · 1.82 m / (41/9 · 1.43) = 2290.9 m/min = 38.1818 m/s, by hand
    assert formula.filled_text(arguments, result).replace("\u00a0", " ") == (
        "v = (858.702 rad/s) × 1.82 m / (2 π × 6.51444) = 38.1818 m/s"
    )
    mathml = formula.filled_mathml(arguments, result)
    assert "<mn>858.702</mn><mtext>\u00a0rad/s</mtext>" in mathml
    assert mathml.startswith('<math display="block" alttext="v = (858.702')


def test_symbols_of_a_formula() -> None:
    rows = [(row.name, row.symbol, row.unit, row.kind) for row in formula_of(drivetrain.road_speed).symbols]
    assert rows == [
        ("engine_speed", "ω", "rad/s", "given"),
        ("overall_ratio", "i", "1", "given"),
        ("rolling_circumference", "U", "m", "given"),
        ("road_speed", "v", "m/s", "result"),
    ]


def test_mathml_of_a_fraction_and_a_subscript() -> None:
    assert formula_of(tyres.rolling_radius).mathml() == (
        '<math display="block" alttext="r_e = U / (2 π)"><mrow>'
        '<msub><mi>r</mi><mi mathvariant="normal">e</mi></msub><mo>=</mo>'
        "<mrow><mfrac><mrow><mi>U</mi></mrow><mrow><mrow><mn>2</mn></mrow><mo>\u2062</mo>"
        "<mrow><mi>π</mi></mrow></mrow></mfrac></mrow></mrow></math>"
    )


# --- precedence ----------------------------------------------------------------------------

Number = Annotated[float, "y", "1"]
A = Annotated[float, "a", "1"]
B = Annotated[float, "b", "1"]
C = Annotated[float, "c", "1"]
X = Annotated[float, "x", "1"]


def _a_over_bc(a: A, b: B, c: C) -> Number:
    return a / (b * c)


def _a_over_b_times_c(a: A, b: B, c: C) -> Number:
    return a / b * c


def _a_times_b_over_c(a: A, b: B, c: C) -> Number:
    return a * (b / c)


def _a_over_b_over_c(a: A, b: B, c: C) -> Number:
    return a / b / c


def _minus_a_difference(a: A, b: B, c: C) -> Number:
    return a - (b - c)


def _minus_a_sum(a: A, b: B, c: C) -> Number:
    return a - (b + c)


def _difference_twice(a: A, b: B, c: C) -> Number:
    return a - b - c


def _negative_square(x: X) -> Number:
    return -(x**2)


def _square_of_negative(x: X) -> Number:
    return (-x) ** 2


def _square_of_sum(a: A, b: B) -> Number:
    return (a + b) ** 2


def _power_of_power(a: A, b: B, c: C) -> Number:
    return float(a**b**c)


def _power_raised(a: A, b: B, c: C) -> Number:
    return float((a**b) ** c)


def _times_negative(a: A, b: B) -> Number:
    return a * -b


def _minus_negative(a: A, b: B) -> Number:
    return a - -b


def _negative_quotient_times(a: A, b: B, c: C) -> Number:
    return -a / b * c


def _negative_sum(a: A, b: B) -> Number:
    return -(a + b)


def _square_of_quotient(a: A, b: B) -> Number:
    return (a / b) ** 2


def _over_a_power(a: A, b: B) -> Number:
    return a / b**2


def _inverse(x: X) -> Number:
    return x**-1


def _fractional(x: X, a: A) -> Number:
    return float(x ** ((a - 1) / a))


def _numbers(x: X) -> Number:
    return 2 * 3 * x * 4


def _small_divisor(x: X) -> Number:
    return x / 2.1e11


def _bars(a: A, b: B) -> Number:
    return a * abs(b - a)


def _half_power(x: X) -> Number:
    return float(x**0.5)


def _functions(a: A, b: B) -> Number:
    return min(a, b) * math.tanh(a / b) + math.log10(a) - math.atan(b)


PRECEDENCE = [
    (_a_over_bc, "a / (b c)"),
    (_a_over_b_times_c, "(a / b) c"),
    (_a_times_b_over_c, "a (b / c)"),
    (_a_over_b_over_c, "(a / b) / c"),
    (_minus_a_difference, "a − (b − c)"),
    (_minus_a_sum, "a − (b + c)"),
    (_difference_twice, "a − b − c"),
    (_negative_square, "−x²"),
    (_square_of_negative, "(−x)²"),
    (_square_of_sum, "(a + b)²"),
    (_power_of_power, "a^(b^c)"),
    (_power_raised, "(a^b)^c"),
    (_times_negative, "a (−b)"),
    (_minus_negative, "a − (−b)"),
    (_negative_quotient_times, "(−a / b) c"),
    (_negative_sum, "−(a + b)"),
    (_square_of_quotient, "(a / b)²"),
    (_over_a_power, "a / b²"),
    (_inverse, "x⁻¹"),
    (_fractional, "x^((a − 1) / a)"),
    (_numbers, "2 × 3 x × 4"),
    (_small_divisor, "x / (2.1 × 10¹¹)"),
    (_bars, "a · |b − a|"),
    (_half_power, "√(x)"),
    (_functions, "min(a, b) tanh(a / b) + lg(a) − arctan(b)"),
]


@pytest.mark.parametrize("function, text", PRECEDENCE, ids=[one.__name__ for one, _ in PRECEDENCE])
def test_precedence(function: Callable[..., float], text: str) -> None:
    formula = formula_of(function)
    assert formula.text() == f"y = {text}"
    arguments = dict(zip(inspect.signature(function).parameters, (1.7, 2.3, 0.6), strict=False))
    for shown in (formula.text(), mathml_as_text(formula.mathml())):
        assert reckon(shown, values_by_symbol(formula, arguments)) == pytest.approx(function(**arguments))


LETTERS = [Symbol(name, name, "1") for name in ("a", "b_1", "ω")]
NODES: st.SearchStrategy[Node] = st.recursive(
    st.one_of(st.sampled_from(LETTERS), st.sampled_from([0.5, 2.0, 3.0, 1e-5, 12.25]).map(Literal)),
    lambda inner: st.one_of(
        st.builds(Negative, inner),
        st.builds(Binary, st.sampled_from("+−×/"), inner, inner),
        st.builds(Power, inner, st.one_of(inner, st.sampled_from([-2.0, 2.0, 3.0]).map(Literal))),
        # The reader works both values out, so neither may fail.
        st.builds(Choice, st.builds(Comparison, st.sampled_from([("<",), (">=",)]), st.tuples(inner, inner)),
                  *[st.sampled_from(LETTERS)] * 2),
    ),
    max_leaves=8,
)  # fmt: skip


@given_any(NODES)
def test_any_expression_is_printed_without_a_second_reading(node: Node) -> None:
    values = {"a": 1.3, "b_1": 0.7, "ω": 2.1}
    try:
        expected = evaluate(node, values)
    except (ArithmeticError, TypeError):
        return
    if isinstance(expected, complex) or not math.isfinite(expected):
        return
    near = pytest.approx(expected, rel=1e-6, abs=1e-9)
    assert Reader(notation.text(node), values).value() == near
    if "otherwise" not in notation.text(node):
        line = mathml_as_text(f"<math>{notation.mathml(node)}</math>")
        assert Reader(line, values).value() == near


@pytest.mark.parametrize("sign", ["<", "<=", ">", ">=", "==", "!="])
def test_the_opposite_of_a_condition(sign: str) -> None:
    one = Comparison((sign,), (Symbol("x", "x"), Literal(2.0)))
    for x in (1.0, 2.0, 3.0):
        assert holds(negated(one), {"x": x}) is not holds(one, {"x": x})


def test_the_reader_refuses_what_is_unclear() -> None:
    for text in ("a / b c", "a / b / c", "a 2", "a − −b", "a^b^c"):
        with pytest.raises(Unclear):
            Reader(text, {"a": 1.0, "b": 2.0, "c": 3.0}).value()


# --- branches, constants, other functions ----------------------------------------------------

GAS_CONSTANT: Annotated[float, "R", "J/(kg·K)"] = 287.05
LAMINAR = 2300


def _friction_factor(
    reynolds_number: Annotated[float, "Re", "1"], roughness: Annotated[float, "k", "1"]
) -> Annotated[float, "f", "1"]:
    if reynolds_number <= 0:
        raise OutOfRange("reynolds_number", "0", "more")
    if reynolds_number < LAMINAR:
        return 64 / reynolds_number
    elif reynolds_number < 4000:
        return 0.03
    rough = (roughness / 3.7) ** 1.11 + 6.9 / reynolds_number
    return 1 / (1.8 * math.log10(rough)) ** 2


def _loss(
    reynolds_number: Annotated[float, "Re", "1"], dynamic_pressure: Annotated[float, "q", "Pa"]
) -> Annotated[float, "Δp", "Pa"]:
    return _friction_factor(reynolds_number, 0.01) * dynamic_pressure


def _density(
    pressure: Annotated[float, "p", "Pa"], temperature: Annotated[float, "T", "K"]
) -> Annotated[float, "ρ", "kg/m³"]:
    return pressure / (GAS_CONSTANT * temperature)


def _mass_flow(
    pressure: Annotated[float, "p", "Pa"], flow: Annotated[float, "V̇", "m³/s"]
) -> Annotated[float, "ṁ", "kg/s"]:
    return _density(pressure, 293.15) * flow


def _clipped(x: X) -> Number:
    top = 2.0 if x > 2 else x
    return top * 3


def _area_after(diameter: Annotated[float, "d", "m"]) -> Annotated[float, "F", "N"]:
    area: Annotated[float, "A", "m²"] = math.pi / 4 * diameter**2
    return 1000 * area


def test_branches_are_shown_with_their_conditions() -> None:
    formula = formula_of(_friction_factor)
    assert formula.text() == (
        "f = 64 / Re, if Re < 2300\n"
        "f = 0.03, otherwise if Re < 4000\n"
        "rough = (k / 3.7)^1.11 + 6.9 / Re, otherwise\n"
        "f = 1 / (1.8 lg(rough))², otherwise"
    )
    turbulent = {"reynolds_number": 1e5, "roughness": 0.01}
    assert (
        formula.text(turbulent).split("\n")[-1] == "f = 1 / (1.8 lg(rough))², since Re ≥ 2300 and Re ≥ 4000"
    )
    laminar = {"reynolds_number": 1600.0, "roughness": 0.01}
    assert formula.filled_text(laminar, 0.04) == "f = 64 / 1600 = 0.04, since 1600 < 2300"
    for reynolds_number in (100.0, 3000.0, 5e4):
        arguments = {"reynolds_number": reynolds_number, "roughness": 0.01}
        expected = pytest.approx(_friction_factor(**arguments))
        values = {**symbols_of(formula), **values_by_symbol(formula, arguments)}
        assert reckon(formula.text(), values) == expected
        assert reckon(mathml_as_text(formula.mathml()), values) == expected


def test_a_function_with_branches_is_shown_as_a_function() -> None:
    formula = formula_of(_loss)
    assert formula.text() == "Δp = f(Re, 0.01) q"
    assert ("_friction_factor", "f", "1", "function") in [
        (row.name, row.symbol, row.unit, row.kind) for row in formula.symbols
    ]
    arguments = {"reynolds_number": 1600.0, "dynamic_pressure": 100.0}
    assert reckon(
        formula.text(), values_by_symbol(formula, arguments), {"f": _friction_factor}
    ) == pytest.approx(4)
    assert formula.filled_text(arguments, 4.0).replace("\u00a0", " ") == "Δp = f(1600, 0.01) × 100 Pa = 4 Pa"


def test_another_formula_is_written_out_and_a_constant_keeps_its_symbol() -> None:
    formula = formula_of(_mass_flow)
    assert formula.text() == "ρ = p / (R × 293.15)\nṁ = ρ V̇"
    assert [(row.symbol, row.value) for row in formula.symbols if row.kind == "constant"] == [("R", 287.05)]
    assert "<mover" in formula.mathml()
    arguments = {"pressure": 101325.0, "flow": 0.1}
    result = _mass_flow(**arguments)
    assert formula.filled_text(arguments, result).replace("\u00a0", " ") == (
        "ρ = 101325 Pa / ((287.05 J/(kg·K)) × 293.15) = 1.20412 kg/m³\n"
        "ṁ = (1.20412 kg/m³) × (0.1 m³/s) = 0.120412 kg/s"
    )


def test_a_choice_for_a_quantity_on_the_way() -> None:
    formula = formula_of(_clipped)
    assert formula.text() == "top = 2, if x > 2\ntop = x, otherwise\ny = top × 3"
    assert formula.filled_text({"x": 5.0}, 6.0) == "top = 2, since 5 > 2\ny = 2 × 3 = 6, since 5 > 2"


def test_a_local_quantity_may_have_a_symbol_and_a_unit() -> None:
    formula = formula_of(_area_after)
    assert formula.text() == "A = (π / 4) d²\nF = 1000 A"
    shown = formula.filled_text({"diameter": 0.1}, _area_after(0.1)).replace("\u00a0", " ")
    assert shown.startswith("A = (π / 4) × (0.1 m)² = 0.00785398 m²\n")


# --- what is no formula ------------------------------------------------------------------------


def _iterated(x: X) -> Number:
    """Fixed point.

    Formula: y = cos y, found from x.
    Symbols: x start (1).
    """
    for _ in range(100):
        x = math.cos(x)
    return x


def _changing(x: X) -> Number:
    """Formula: y = 3 x. Symbols: x, y."""
    x *= 3
    return x


def _looked_up(x: X) -> Number:
    return {1.0: 2.0}.get(x, 0.0)


def test_iteration_is_told_in_words() -> None:
    formula = formula_of(_iterated)
    assert formula.text() == "y = cos y, found from x (found by iteration; see _iterated)"
    assert formula.filled_text({"x": 1.0}, 0.739085) == "y = 0.739085, found by iteration from x = 1"
    assert formula.mathml().startswith("<p>")


@pytest.mark.parametrize("function", [_changing, _looked_up])
def test_other_statements_are_told_in_words(function: Callable[..., float]) -> None:
    assert "worked out in steps" in formula_of(function).text()


def test_numbers_are_not_put_into_a_formula_that_gave_another_value() -> None:
    shown = formula_of(_a_over_bc).filled_text({"a": 6.0, "b": 2.0, "c": 3.0}, 1.5)
    assert shown == "y = 1.5, worked out by _a_over_bc from a = 6, b = 2, c = 3"


# --- numbers -------------------------------------------------------------------------------------

NUMBERS = [
    (0.0, "0"), (-0.0, "0"), (1.0, "1"), (-2.5, "−2.5"), (101325.0, "101325"), (1234567.0, "1.23457 × 10⁶"),
    (1e6, "10⁶"), (0.00012345678, "0.000123457"), (0.0000123, "1.23 × 10⁻⁵"), (2 / 3, "0.666667"),
    (1e-7, "10⁻⁷"), (-1e9, "−10⁹"), (math.inf, "∞"),
]  # fmt: skip


@pytest.mark.parametrize("value, text", NUMBERS)
def test_numbers(value: float, text: str) -> None:
    assert notation.number(value) == text


@given_any(st.floats(-1e12, 1e12, allow_nan=False))
def test_a_number_is_right_to_six_digits(value: float) -> None:
    assert Reader(notation.number(value), {}).value() == pytest.approx(value, rel=5.1e-6)
