"""Addresses of figures and options of their titles, as the manual has them: `calc:page#block.case.quantity`,
`cite:source.fact`, `± 2 %`, `vs CASE`, `in UNIT`, `for WHAT`."""

from __future__ import annotations

from fractions import Fraction

import pytest

from buildlog.diagnostics import Refused
from buildlog.reading.addresses import Options, addressed, read_address, read_options, read_other


@pytest.mark.parametrize(
    ("text", "page", "block", "rest", "at"),
    [
        ("calc:a.speed", None, "a", ("speed",), ""),
        ("calc:a.after.speed.3", None, "a", ("after", "speed", "3"), ""),
        ("calc:episodes/one#a.speed", "episodes/one", "a", ("speed",), ""),
        ("calc:episodes/one.md#a.speed", "episodes/one", "a", ("speed",), ""),
        ("calc:cars/brindle.mass", None, "cars/brindle", ("mass",), ""),
        ("calc:a.speed@3600rpm", None, "a", ("speed",), "3600rpm"),
        ("calc:a.speed@3.5m", None, "a", ("speed",), "3.5m"),
        ("calc:a.loss.old-hose", None, "a", ("loss", "old-hose"), ""),
        ("calc:a.loss.Schläuche", None, "a", ("loss", "Schläuche"), ""),
        ("calc:a.loss.Schla\u0308uche", None, "a", ("loss", "Schläuche"), ""),
        ("cite:manual", None, "manual", (), ""),
        ("cite:manual.plug", None, "manual", ("plug",), ""),
        ("told:last-owner", None, "last-owner", (), ""),
    ],
)
def test_addresses(text: str, page: str | None, block: str, rest: tuple[str, ...], at: str) -> None:
    found = read_address(text)
    assert (found.page, found.block, found.rest, found.at) == (page, block, rest, at)
    assert (found.scheme, found.text) == (text.partition(":")[0], text)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a.speed", "calc:, cite: or told:"),
        ("call:a.speed", "calc:, cite: or told:"),
        ("calc", "calc:, cite: or told:"),
        ("calc:a", "a block and a quantity"),
        ("calc:", "calc:[page#]block"),
        ("calc:#a.speed", "calc:[page#]block"),
        ("calc:a..speed", "calc:[page#]block"),
        ("calc:ä.speed", "calc:[page#]block"),
        ("calc:a.speed@", "calc:[page#]block"),
        ("calc:a.sp(eed", "calc:[page#]block"),
        ("cite:", "cite: and the id"),
        ("cite:man ual", "cite: and the id"),
        ("cite:manual.", "cite: and the id"),
        ("cite:manual.a.b", "cite: and the id"),
        ("told:a#b", "told: and the id"),
    ],
)
def test_what_is_no_address(text: str, expected: str) -> None:
    with pytest.raises(Refused) as refused:
        read_address(text)
    assert refused.value.code.name == "address-unreadable"
    assert refused.value.expected.startswith(expected)
    assert refused.value.found == f"“{text}”"


@pytest.mark.parametrize(
    ("title", "options"),
    [
        ("", Options()),
        ("  ", Options()),
        ("± 2 %", Options(tolerance=Fraction(2), tolerance_unit="%")),
        ("+-0.5 km/h", Options(tolerance=Fraction(1, 2), tolerance_unit="km/h")),
        ("± 2", Options(tolerance=Fraction(2))),
        ("± 0 mm", Options(tolerance=Fraction(0), tolerance_unit="mm")),
        ("vs before", Options(versus="before")),
        ("vs other.before.speed", Options(versus="other.before.speed")),
        ("in km/h", Options(unit="km/h")),
        ("for  the crown wheel", Options(purpose="the crown wheel")),
        ("against a.speed", Options(against="calc:a.speed")),
        ("against calc:p#a.speed", Options(against="calc:p#a.speed")),
        ("of a.speed", Options(about="calc:a.speed")),
        ("of a.after.speed vs before", Options(about="calc:a.after.speed", about_versus="before")),
        (
            "vs before; ± 2 % ; in mph",
            Options(versus="before", tolerance=Fraction(2), tolerance_unit="%", unit="mph"),
        ),
        ("for " + "x" * 120, Options(purpose="x" * 120)),
    ],
)
def test_options(title: str, options: Options) -> None:
    assert read_options(title) == options


@pytest.mark.parametrize(
    ("title", "found"),
    [
        ("vs", "“vs”"),
        ("in", "“in”"),
        ("plus 2 %", "“plus 2 %”"),
        ("± fast", "“± fast”"),
        ("± -2 %", "“± -2 %”"),
        ("± 2 ± 1 %", "“± 2 ± 1 %”"),
        ("in mph;", "“in mph;”"),
        (";in mph", "“;in mph”"),
        ("in mph; in km/h", "“in” twice in “in mph; in km/h”"),
        ("± 2 %; ± 3 %", "“tolerance” twice in “± 2 %; ± 3 %”"),
        ("vs a#", "“vs a#”"),
        ("vs #a", "“vs #a”"),
        ("against a", "“a”"),
        ("of a", "“a”"),
        ("of a.speed vs a..b", "“vs a..b”"),
        ("for " + "x" * 121, "“for " + "x" * 121 + "”"),
    ],
)
def test_what_is_no_option(title: str, found: str) -> None:
    with pytest.raises(Refused) as refused:
        read_options(title)
    assert refused.value.code.name == "option-unreadable"
    assert refused.value.found == found
    assert refused.value.help


def test_what_a_change_is_against() -> None:
    """A name alone may be a case; with a dot or a page it is an address."""
    assert read_other("before") is None
    other = read_other("calc:one.md#a")
    assert other is not None
    assert (other.page, other.block, other.rest) == ("one", "a", ())
    other = read_other("a.before.speed")
    assert other is not None
    assert (other.page, other.block, other.rest) == (None, "a", ("before", "speed"))


def test_all_addresses_that_a_title_names() -> None:
    found = addressed(read_options("vs before; against b.speed; of c.d.speed vs e.f"))
    assert [(one.block, one.rest) for one in found] == [
        ("b", ("speed",)), ("c", ("d", "speed")), ("before", ()), ("e", ("f",)),
    ]  # fmt: skip
    assert addressed(read_options("in mph")) == []
