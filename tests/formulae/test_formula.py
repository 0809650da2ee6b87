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

import pytest

import buildlog.physics
from buildlog.diagnostics import OutOfRange, Refused
from buildlog.formulae import notation
from buildlog.formulae.formula import formula_of
from buildlog.formulae.function_source import reading_fault
from buildlog.physics import air, compressible, drivetrain, friction, tyres
from buildlog.physics.declared import DeclaredFormula
from tests.formulae.printed_formula import Reader, mathml_as_text, reckon, symbols_of, values_by_symbol


def formula_functions() -> dict[str, Callable[..., float]]:
    """Every public formula of buildlog/physics whose result has a symbol and a unit, by file and name."""
    named: dict[str, Callable[..., float]] = {}
    for listed in pkgutil.iter_modules(buildlog.physics.__path__):
        module = import_module(f"buildlog.physics.{listed.name}")
        for name, function in list(vars(module).items()):
            formula = inspect.isfunction(function) or isinstance(function, DeclaredFormula)
            if formula and function.__module__ == module.__name__ and name[0] != "_":
                hint = typing.get_type_hints(function, include_extras=True).get("return")
                if hasattr(hint, "__metadata__"):
                    named[f"{listed.name}.{name}"] = function
    return named


FORMULAE = formula_functions()
FUNCTIONS = list(FORMULAE.values())


def takes_numbers(function: Callable[..., float]) -> bool:
    """Whether it can be a step of the working, and be tried with numbers."""
    hints = typing.get_type_hints(function)
    return all(hints[name] in (float, int) for name in inspect.signature(function).parameters)


PLAIN = [one for one in FUNCTIONS if not formula_of(one).in_words and takes_numbers(one)]
NAMED = list(FORMULAE)
PLAIN_NAMED = [name for name, function in FORMULAE.items() if function in PLAIN]


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
        if low > 0 and self.chance.random() < 0.15:
            return -self.chance.uniform(low, high)  # a difference may be a fall
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


# --- every formula of the physics --------------------------------------------------------


def test_the_physics_is_found() -> None:
    assert len(FUNCTIONS) > 40
    assert len(PLAIN) > 0.8 * sum(map(takes_numbers, FUNCTIONS))


@pytest.mark.parametrize("function", FUNCTIONS, ids=NAMED)
def test_every_formula_is_read_or_says_how_its_value_is_found(function: Callable[..., float]) -> None:
    assert not reading_fault(function), reading_fault(function)


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
        others = {
            row.symbol: function.__globals__[row.name] for row in formula.symbols if row.kind == "function"
        }
        assert reckon(formula.text(), values, others) == near, formula.text()
        ratios = {symbol: notation.symbol_mathml(symbol) for symbol in given if "/" in symbol}
        assert reckon(mathml_as_text(formula.mathml(), ratios), values, others) == near, formula.mathml()
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


@pytest.mark.parametrize("function", FUNCTIONS, ids=NAMED)
def test_the_pieces_of_an_equation_say_what_the_whole_says(function: Callable[..., float]) -> None:
    formula = formula_of(function)
    page = ElementTree.fromstring(f"<page>{formula.equations()}</page>")
    whole = ElementTree.fromstring(f"<page>{formula.mathml()}</page>")

    def signs(element: ElementTree.Element) -> str:
        return "".join(element.itertext()).replace(" ", "").replace(",", "").replace("\u00a0", "")

    assert [signs(line) for line in page] == [signs(line) for line in whole]


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


@pytest.mark.parametrize("function, text", WRITTEN, ids=[text for _, text in WRITTEN])
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
    assert formula.values(arguments, result)["engine_speed"] == 858.7019919812102


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
