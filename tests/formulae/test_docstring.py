"""What a docstring says of the symbols of its formula."""

from __future__ import annotations

from buildlog.formulae.docstring import Described, declared_words, described, section

DOCSTRING = """Speed after a shift.

    Formula: ω_2 = ω_1 i_2 / i_1. Symbols: ω_1 engine speed before (rad/s; not idling), i_1 and i_2 ratio
    (1), c_p specific heat (J/(kg·K)), θ_o opening and θ_c closing of the valve (rad), b slope; r is left out.
    In words: found by trying. Range: any. Source: definition.
    """


def test_symbols_have_what_is_said_of_them_and_their_unit() -> None:
    assert described(DOCSTRING, ["ω_1", "i_1", "i_2", "c_p", "θ_o", "θ_c", "b", "q"]) == {
        "ω_1": Described("engine speed before", "rad/s"),
        "i_1": Described("ratio", "1"),
        "i_2": Described("ratio", "1"),
        "c_p": Described("specific heat", "J/(kg·K)"),
        "θ_o": Described("opening", "rad"),
        "θ_c": Described("closing of the valve", "rad"),
        "b": Described("slope; r is left out", ""),
    }


def test_what_is_no_symbol_and_no_section_is_nothing() -> None:
    assert described("Speed.", ["v"]) == {}
    assert described(DOCSTRING, []) == {}
    assert section(DOCSTRING, "Formula:") == "ω_2 = ω_1 i_2 / i_1"
    assert section("Speed.", "Formula:") == ""
    assert declared_words(DOCSTRING) == "found by trying"
