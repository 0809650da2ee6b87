"""Values of a block against their declaration: units, ranges, forms, uncertainty."""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from buildlog.book.named_values import UNKNOWN_ADDRESS
from buildlog.diagnostics import Position, Refused
from buildlog.figures import units
from buildlog.kinds.declaration import (
    Choice,
    Doubt,
    Flag,
    Input,
    InputForm,
    Listed,
    Number,
    Quantity,
    Ratio,
    Table,
    Text,
    Tyre,
    Whole,
)
from buildlog.kinds.results import Value
from buildlog.reading.data import NO_HEADINGS, DataTable, Heading
from buildlog.reading.inputs import FAILED, InputReader
from buildlog.reading.nodes import YamlMapping, read_yaml, whole_file

SPEED = Number(dimension="speed", unit="km/h", low=10, high=300, why="road cars")
FREE = Number(dimension="length", unit="m")
RATIO = Number(dimension="ratio", unit="", low=0.1, high=10)


def reader() -> InputReader:
    def resolve(text: str, position: Position) -> Value:
        if text != "calc:a.b":
            raise Refused("address", text, "calc:a.b", code=UNKNOWN_ADDRESS)
        return Value(si=25.0, dimension="speed", unit="km/h", decimals=1, contributions={"a.md:1:1": 0.5})

    def data(name: str, form: Table, mapped: Mapping[str, Heading] = NO_HEADINGS) -> DataTable:
        pytest.fail(f"no test of this file reads {name}")

    return InputReader(resolve=resolve, data=data)


def read(text: str, form: object, one: InputReader | None = None) -> tuple[object, InputReader]:
    node, findings = read_yaml(text, whole_file("p.md"))
    assert not findings
    assert node is not None
    one = one or reader()
    return one.read(node, form, ("x",)), one  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "form", "si"),
    [
        ("100 km/h", SPEED, 100 / 3.6),
        ("62.137 mph", SPEED, 62.137 * 0.44704),  # NIST SP 811 (2008), B.8: 1 mi/h = 0.44704 m/s exactly
        ("1 1/2 in", FREE, 0.0381),  # 25.4 mm, NIST SP 811
        ("5 ft 6 in", FREE, 1.6764),
        ("95 %", RATIO, 0.95),
        ("4.10", RATIO, 4.10),
        ("20 °C", Number(dimension="temperature", unit="°C"), 293.15),
        (
            "68 °F",
            Number(dimension="temperature", unit="°C"),
            293.15,
        ),  # NIST SP 811, B.8: T/K = (t/°F + 459.67)/1.8
        ("10 K", Number(dimension="temperature difference", unit="K"), 10.0),
        ("10 °C", Number(dimension="temperature difference", unit="K"), 10.0),
    ],
)
def test_numbers_become_si(text: str, form: Number, si: float) -> None:
    value, one = read(text, form)
    assert not one.faults
    assert value == pytest.approx(si, rel=1e-12)


def test_a_comma_in_braces_is_no_thousands_separator() -> None:
    node, findings = read_yaml("{x: 7,000 rpm}", whole_file("p.md"))
    assert isinstance(node, YamlMapping)
    assert not findings
    one = reader()
    one.read_all(
        {key.text: (key, value) for key, value in node.entries},
        (Input(name="x", form=RATIO, about=""),),
        (),
        Position("p.md"),
    )
    hint = "in brackets a comma ends a value: write 7000 rpm, or quotes around “7,000 rpm”"
    assert [fault.help for fault in one.faults if fault.code.name == "unknown-input"] == [hint]


@pytest.mark.parametrize("text", ["{x: 2,5}", "{x: 2,5 m}", "{x: 0,85 m}"])
def test_a_decimal_comma_in_braces_is_told_once_and_as_one(text: str) -> None:
    """Nobody is led to write 2 m of what was 2.5 m."""
    node, findings = read_yaml(text, whole_file("p.md"))
    assert isinstance(node, YamlMapping)
    assert not findings
    one = reader()
    length = Number(dimension="length", unit="m")
    given = {key.text: (key, value) for key, value in node.entries}
    one.read_all(given, (Input(name="x", form=length, about=""),), (), Position("p.md"))
    (fault,) = one.faults
    meant = text.removeprefix("{x: ").removesuffix("}").replace(",", ".")
    assert fault.help == f"in braces a comma ends a value, and the decimal sign is a point: write {meant}"


DOLLARS = Number(dimension="money in USD", unit="USD", low=0, high=1_000_000)


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("$42", 42.0),
        ("$ 42.50", 42.5),
        ("US$42", 42.0),
        ("USD 42", 42.0),
        ("42 USD", 42.0),
        ("42 $", 42.0),
        ("'$1,250'", 1250.0),
        ("$42 ± 2", 42.0),
        ("$42 ± 5 %", 42.0),
    ],
)
def test_a_currency_may_stand_before_its_price(text: str, amount: float) -> None:
    value, one = read(text, DOLLARS)
    assert not one.faults
    assert value == amount
    assert bool(one.uncertain) == ("±" in text)


def test_the_doubt_of_a_price_is_in_its_currency() -> None:
    for text, doubt in (("$42 ± 2", 2.0), ("$42 ± 5 %", 2.1)):
        _, one = read(text, DOLLARS)
        assert list(one.uncertain[("x",)].values()) == [pytest.approx(doubt)]


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("$", "value-unreadable", "write it as 42 USD"),
        ("cheap", "value-unreadable", "write it as 42 USD"),
        ("$4,2", "value-unreadable", "write it as 42 USD"),
        ("€42", "wrong-dimension", "EUR"),
        ("42", "missing-unit", "42 USD"),
    ],
)
def test_a_price_that_cannot_be_read_is_told_as_one(text: str, code: str, words: str) -> None:
    value, one = read(text, DOLLARS)
    assert value is FAILED
    (fault,) = one.faults
    assert fault.code.name == code
    assert words in f"{fault.found} {fault.expected} {fault.help}"
    assert "rpm" not in fault.help


@pytest.mark.parametrize(
    ("text", "form", "found"),
    [
        ("200 mph", SPEED, "200 mph, which is 321.869 km/h"),
        ("301 km/h", SPEED, "301 km/h"),
        ("41/9", Number(dimension="ratio", unit="", high=4), "41/9, which is 4.55556"),
        ("4 in", Number(dimension="length", unit="mm", high=100), "4 in, which is 101.6 mm"),
        ("248°", Number(dimension="angle", unit="°", high=90), "248°"),
        ("248 deg", Number(dimension="angle", unit="°", high=90), "248 deg"),
        ("8", Number(dimension="ratio", unit="", high=4), "8"),
        ("8", Number(dimension="ratio", unit="%", high=50), "8, which is 800 %"),
    ],
)
def test_a_value_out_of_range_comes_back_as_it_is_written(text: str, form: Number, found: str) -> None:
    """1 mph is 1.609344 km/h and 1 in 25.4 mm (NIST SP 811)."""
    _, one = read(text, form)
    assert [fault.found for fault in one.faults] == [found]


@pytest.mark.parametrize(
    ("text", "low", "high", "advice"),
    [
        ("267", 0.1, 1.0, "write it as “267 mm”"),
        ("0.267", 0.1, 1.0, "write it as “0.267 m”"),
        ("26.7", 0.1, 1.0, "write it as “26.7 cm”"),
        ("0", 0.1, 1.0, "Write the unit after the number"),
    ],
)
def test_a_value_without_a_unit_is_led_to_one_that_it_can_have(
    text: str, low: float, high: float, advice: str
) -> None:
    _, one = read(text, Number(dimension="length", unit="m", low=low, high=high))
    (fault,) = one.faults
    assert fault.code.name == "missing-unit"
    assert (fault.help or fault.code.mend).startswith(advice)


@pytest.mark.parametrize(
    ("text", "si", "spread"),
    [
        ("1.82 m ± 3 mm", 1.82, 0.003),
        ("6 in ± 1 mm (k=2)", 0.1524, 0.0005),
        ("12 cm ± 1 mm limits", 0.12, 0.001 / sqrt(3)),
        ("1.82 m ± 0.1 in", 1.82, 0.00254),
        ("1.82 ± 0.02 m", 1.82, 0.02),
    ],
)
def test_an_uncertainty_may_be_in_a_unit_of_its_own(text: str, si: float, spread: float) -> None:
    """1 in is 25.4 mm (NIST SP 811, B.8)."""
    value, one = read(text, Number(dimension="length", unit="m"))
    assert value == pytest.approx(si)
    assert list(one.uncertain[("x",)].values()) == [pytest.approx(spread)]


def test_an_uncertainty_of_a_temperature_may_be_in_kelvin() -> None:
    value, one = read("20 °C ± 2 K", Number(dimension="temperature", unit="°C"))
    assert value == pytest.approx(293.15)
    assert list(one.uncertain[("x",)].values()) == [pytest.approx(2.0)]


def test_a_unit_with_brackets_may_stand_behind_an_uncertainty() -> None:
    value, _ = read("500 ± 20 J/(kg·K)", Number(dimension="specific heat", unit="J/(kg·K)"))
    assert value == 500.0


def test_an_uncertainty_of_another_kind_is_refused() -> None:
    value, one = read("1.82 m ± 3 kg", Number(dimension="length", unit="m"))
    assert value is FAILED
    assert [fault.code.name for fault in one.faults] == ["wrong-dimension"]


@pytest.mark.parametrize("text", ["*limit", "[1, *limit]"])
def test_an_alias_is_no_value(text: str) -> None:
    """The finding stands with the reader too: of an input that is not there nothing may be computed."""
    node, (refused,) = read_yaml(text, whole_file("p.md"))
    assert node is not None
    one = reader()
    form = Listed(RATIO, 1, 9) if text.startswith("[") else RATIO
    assert one.read(node, form, ("x",)) is FAILED
    assert one.faults == [refused]


def test_tooth_counts_keep_their_teeth() -> None:
    value, _ = read("41/9", RATIO)
    assert isinstance(value, Ratio)
    assert value.teeth == (41, 9)
    assert value == 41 / 9


@pytest.mark.parametrize(
    ("text", "form", "code", "words"),
    [
        ("100", SPEED, "missing-unit", "m/s"),
        ("100 N·m", SPEED, "wrong-dimension", "speed"),
        ("100 kmq", SPEED, "unknown-unit", ""),
        ("5 km/h", SPEED, "out-of-range", "10 to 300 km/h (road cars)"),
        ("301 km/h", SPEED, "out-of-range", "10 to 300 km/h"),
        ("1,5 m", FREE, "value-unreadable", ""),
        ("010 m", FREE, "value-unreadable", ""),
        ("12:30", RATIO, "value-unreadable", ""),
        ("on", RATIO, "value-unreadable", ""),
        (".inf", FREE, "value-unreadable", ""),
        ("nan m", FREE, "value-unreadable", ""),
        ("1e999 m", FREE, "value-unreadable", ""),
        ("9**9**9 m", FREE, "unknown-unit", ""),
        ("9" * 5000 + " m", FREE, "value-unreadable", ""),
        ("''", SPEED, "missing-input", "speed"),
        ("[1 m]", FREE, "value-unreadable", "length"),
        ("20 °C ± 2 %", Number(dimension="temperature", unit="°C"), "value-unreadable", ""),
        ("calc:c.d", SPEED, UNKNOWN_ADDRESS.name, ""),
        ("calc:a.b", FREE, "wrong-dimension", "length"),
        ("calc:a.b", Text(), "value-unreadable", ""),
        ("2.5", Whole(1, 9), "value-unreadable", ""),
        ("07", Whole(1, 9), "value-unreadable", ""),
        ("12", Whole(1, 9), "out-of-range", "1 to 9"),
        ("gearbx", Choice({"gearbox": "", "wheel": ""}), "value-unreadable", "gearbox, wheel"),
        ("true", Flag(), "value-unreadable", "yes or no"),
        ("195/50", Tyre(), "value-unreadable", "195/50R15"),
        ("1", Listed(RATIO), "value-unreadable", "a list"),
        ("[]", Listed(RATIO), "out-of-range", "1 to 100"),
        ("[1]", Listed(RATIO, 2, 2), "out-of-range", "2, neither more nor fewer"),
        ("a: 1", Table((Input(name="x", form=RATIO, about=""),)), "value-unreadable", "a list of rows"),
        ("[3]", Table((Input(name="x", form=RATIO, about=""),)), "value-unreadable", "a row"),
    ],
)
def test_faults(text: str, form: object, code: str, words: str) -> None:
    value, one = read(text, form)
    if not isinstance(form, Table | Listed):
        assert value is FAILED
    assert one.faults[0].code.name == code
    assert words in one.faults[0].expected
    assert one.faults[0].found


def test_every_fault_of_a_table_is_reported_at_its_cell() -> None:
    form = Table(
        (Input(name="speed", form=SPEED, about=""), Input(name="share", form=RATIO, about="", required=False))
    )
    text = "- {speed: 100 km/h}\n- {speed: 5 km/h, share: 99}\n- {sped: 1, share: 0.5}"
    value, one = read(text, form)
    assert value is FAILED
    places = {(fault.code.name, fault.position.line, fault.position.column) for fault in one.faults}
    assert places == {
        ("out-of-range", 2, 11),
        ("out-of-range", 2, 26),
        ("unknown-input", 3, 4),
        ("missing-input", 3, 3),
    }


def test_uncertainty_is_kept_by_place() -> None:
    value, one = read("0.289 ± 0.003 m", FREE)
    assert value == pytest.approx(0.289)
    assert one.uncertain == {("x",): {"p.md:1:1": pytest.approx(0.003)}}
    _, expanded = read("0.289 ± 0.006 m (k=2)", FREE)  # u = U/k, JCGM 100:2008, 6.2.1
    assert expanded.uncertain[("x",)] == {"p.md:1:1": pytest.approx(0.003)}
    _, fahrenheit = read("68 ± 1.8 °F", Number(dimension="temperature", unit="°C"))
    assert fahrenheit.uncertain[("x",)] == {"p.md:1:1": pytest.approx(1.0)}


def test_a_reference_brings_its_uncertainty() -> None:
    value, one = read("calc:a.b", SPEED)
    assert value == 25.0
    assert one.uncertain == {("x",): {"a.md:1:1": 0.5}}


GUESS = Doubt(name="roughness", about="a guess", source="handbook", relative=0.5)
ROUGH = Input(name="x", form=FREE, about="", doubt=GUESS)


def read_named(text: str, *declared: Input) -> InputReader:
    """Inputs by name, as a block gives them."""
    node, findings = read_yaml(text, whole_file("p.md"))
    assert not findings
    assert isinstance(node, YamlMapping)
    one = reader()
    one.read_all({key.text: (key, value) for key, value in node.entries}, declared, (), Position("p.md", 9))
    assert not one.faults
    return one


def test_a_guessed_input_has_the_doubt_of_its_declaration_where_its_author_says_nothing() -> None:
    """JCGM 100:2008, 6.2.1 u = U/k: 50 % with k = 2 of 40 mm is 10 mm."""
    one = read_named("x: 40 mm", ROUGH)
    assert one.uncertain == {("x",): {"p.md:1:4": pytest.approx(0.01)}}
    assert one.assumed == {("x",): GUESS}
    assert one.numbers[("x",)].expanded_uncertainty == pytest.approx(0.02)


@pytest.mark.parametrize("text", ["x: 40 ± 0 mm", "x: 40 ± 1 mm"])
def test_what_an_author_says_of_a_guessed_input_holds(text: str) -> None:
    """± 0 is exact."""
    one = read_named(text, ROUGH)
    assert not one.assumed
    assert one.numbers[("x",)].standard_uncertainty == pytest.approx(0.001 * float(text.split()[3]))


def test_another_blocks_value_brings_its_own_doubt() -> None:
    one = read_named("x: calc:a.b", Input(name="x", form=SPEED, about="", doubt=GUESS))
    assert one.uncertain == {("x",): {"a.md:1:1": 0.5}}
    assert not one.assumed


def test_defaults_of_different_inputs_are_different_errors() -> None:
    """Both stand at the block's place, which would make one error of them."""
    first = Input(name="first", form=FREE, about="", default="1 m ± 0.1 m", default_source="x")
    second = Input(name="second", form=FREE, about="", default="1 m", default_source="x", doubt=GUESS)
    one = read_named("x: 40 mm", ROUGH, first, second)
    assert [list(shares) for shares in one.uncertain.values()] == [
        ["p.md:1:4"],
        ["default:first"],
        ["default:second"],
    ]
    assert list(one.assumed) == [("x",), ("second",)]


def test_columns_and_lists_have_the_doubt_too() -> None:
    """Each row is an error of its own, but the rows that take a default share its error."""
    column = Input(name="loss", form=FREE, about="", default="2 m", default_source="x", doubt=GUESS)
    listed = Input(name="list", form=Listed(FREE), about="", doubt=GUESS)
    table = Input(name="table", form=Table((Input(name="name", form=Text(), about=""), column)), about="")
    text = "table: [{name: a, loss: 1 m}, {name: b}, {name: c}]\nlist: [1 m, 2 ± 0 m]"
    one = read_named(text, table, listed)
    assert one.uncertain == {
        ("table", 0, "loss"): {"p.md:1:25": pytest.approx(0.25)},
        ("table", 1, "loss"): {"default:table.loss": pytest.approx(0.5)},
        ("table", 2, "loss"): {"default:table.loss": pytest.approx(0.5)},
        ("list", 0): {"p.md:2:8": pytest.approx(0.25)},
    }


@given(st.sampled_from([unit for unit in units.UNITS if unit.dimension == "speed"]), st.floats(20, 250))
def test_the_same_speed_in_any_unit(unit: units.Unit, kilometres_per_hour: float) -> None:
    si = kilometres_per_hour / 3.6
    value, one = read(f"{unit.from_si(si):.15g} {unit.symbol}", SPEED)
    assert not one.faults
    assert value == pytest.approx(si, rel=1e-9)


@given(
    st.text(max_size=60),
    st.sampled_from([SPEED, FREE, RATIO, Whole(), Tyre(), Flag(), Text(), Listed(RATIO)]),
)
def test_any_text_gives_a_value_or_a_fault(text: str, form: object) -> None:
    from buildlog.reading.nodes import YamlScalar

    one = reader()
    value = one.read(YamlScalar(Position("p.md"), text), form, ("x",))  # type: ignore[arg-type]
    assert (value is FAILED) == bool(one.faults)


@pytest.mark.parametrize(
    "text,form,advice",
    [
        ("gearbx", Choice({"gearbox": "", "wheel": ""}), "did you mean “gearbox”?"),
        ("hub", Choice({"gearbox": "", "wheel": ""}), "write one of these words, as it stands here"),
        ("true", Flag(), "write yes or no"),
    ],
)
def test_the_advice_on_a_word_is_about_words(text: str, form: InputForm, advice: str) -> None:
    """The code is that of numbers too, and its own advice would be to write a unit."""
    _, used = read(text, form)
    assert [fault.help for fault in used.faults] == [advice]


def test_readings_in_a_list_are_their_mean() -> None:
    # scipy.stats.sem is s/√n (JCGM 100:2008, 4.2.3); t as scipy has it (G.3.2).
    readings = [154.2, 153.8, 154.0]
    value, one = read("[154.2 kg, 153.8 kg, 154.0 kg]", Number(dimension="mass", unit="kg"))
    wide = stats.t.ppf(0.5 + 0.9545 / 2, 2) / 2
    assert value == pytest.approx(154.0)
    assert one.uncertain == {("x",): {"p.md:1:1": pytest.approx(float(stats.sem(readings)) * wide)}}
    assert one.numbers[("x",)].decimals == 1
    assert not one.faults


def test_readings_that_agree_have_no_spread() -> None:
    value, one = read("[20 °C, 20 °C]", Number(dimension="temperature", unit="°C"))
    assert value == pytest.approx(293.15)
    assert one.uncertain == {}


@pytest.mark.parametrize(
    "text, said",
    [
        ("[5 mm]", "list of one reading"),
        ("[5 mm ± 1 mm, 5 mm]", "a reading, without a doubt of its own"),
        ("[[5 mm, 4 mm], 5 mm]", "a reading, without a doubt of its own"),
        ("[5 mm, 4]", "without a unit"),
    ],
)
def test_lists_that_are_no_readings(text: str, said: str) -> None:
    value, one = read(text, FREE)
    assert value is FAILED
    assert said in f"{one.faults[0].found} {one.faults[0].expected}"


def test_shapes_are_kept_by_origin() -> None:
    _, one = read("5 mm ± 1 mm limits", FREE)
    assert one.shapes == {"p.md:1:1": "rectangular"}


def test_exact_by_its_author() -> None:
    _, one = read("5 mm ± 0 mm", FREE)
    assert one.uncertain == {}


# --- a table in fewer words ---------------------------------------------------------------------

READINGS = Table(
    (
        Input(name="condition", form=Text(40), about="what it belongs to", required=False),
        Input(name="reading", form=Quantity(), about="what was shown", required=False),
    ),
    longest=5,
    plain="reading",
    grouped="condition",
)


@pytest.mark.parametrize(
    "written, expected",
    [
        ("[9.8 s, 9.9 s]", [{"reading": 9.8}, {"reading": 9.9}]),
        ("{before: [9.8 s], after: [9.6 s]}", [("before", 9.8), ("after", 9.6)]),
        ("[{condition: before, reading: 9.8 s}, {reading: 9.9 s}]", [("before", 9.8), {"reading": 9.9}]),
    ],
)
def test_rows_in_fewer_words(written: str, expected: list[object]) -> None:
    value, one = read(written, READINGS)
    assert not one.faults
    rows = [
        row if isinstance(row, dict) else {"condition": row[0], "reading": row[1]}  # type: ignore[index]
        for row in expected
    ]
    assert value == rows


def test_each_of_them_keeps_its_place_and_its_doubt() -> None:
    _, one = read("{before: [9.8 ± 0.1 s, 9.9 s]}", READINGS)
    assert one.uncertain.keys() == {("x", 0, "reading")}
    assert (one.places["x", 1, "reading"].line, one.places["x", 1, "reading"].column) == (1, 24)


@pytest.mark.parametrize(
    "written, said",
    [
        ("{before: 9.8 s}", "a list of"),
        ("[9.8 s, {pressure: 3}]", "a row"),
        ("[9.8 s, 9.9 blips]", "blips"),
        ("[1 s, 2 s, 3 s, 4 s, 5 s, 6 s]", "6 entries"),
        ("{data: [9.8 s]}", "data: the path"),
    ],
)
def test_fewer_words_that_are_refused(written: str, said: str) -> None:
    value, one = read(written, READINGS)
    assert value is FAILED
    assert said in " ".join(f"{fault.found} {fault.expected}" for fault in one.faults)


def test_a_difference_of_temperatures_is_no_temperature() -> None:
    _, one = read("[20 °C, 21 °C]", READINGS)
    assert not one.faults
    step = Quantity(like="x", differs=True)
    assert step.in_dimension("temperature").dimension == "temperature difference"
    assert step.in_dimension("length").dimension == "length"
    assert Quantity(like="x").in_dimension("temperature").dimension == "temperature"
