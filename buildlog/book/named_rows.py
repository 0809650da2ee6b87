"""The rows of a card that its author names: ``show: {table: [speed_at_limit, rpm_after.2-3]}``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from buildlog.diagnostics import Diagnostic, did_you_mean, shorten
from buildlog.kinds.declaration import Output
from buildlog.kinds.keys import address_key
from buildlog.kinds.results import CaseResult
from buildlog.reading.blocks import UNKNOWN_KEY
from buildlog.reading.nodes import YamlScalar

Row = tuple[str, str]
"""An output and a key of it, "" for one that has a single value."""


def named_rows(
    names: Iterable[YamlScalar], declared: Mapping[str, Output], cases: Mapping[str, CaseResult]
) -> Iterator[Row | Diagnostic]:
    """Each row that is named, all of a listed quantity that is named without a key; and what is no row."""
    keys: dict[str, dict[str, None]] = {}
    for case in cases.values():
        for output, value in case.values.items():
            keys.setdefault(output, {}).update(dict.fromkeys(value if isinstance(value, dict) else ("",)))
    for name in names:
        output, _, key = name.text.strip().partition(".")
        key = address_key(key)
        if output not in keys:
            yield _no_quantity(name, output, declared, keys, cases)
        elif key in keys[output]:
            yield output, key
        elif not key:
            yield from ((output, one) for one in keys[output])
        else:
            yield _no_key(name, output, key, keys[output])


def _no_quantity(
    name: YamlScalar,
    output: str,
    declared: Mapping[str, Output],
    keys: Mapping[str, object],
    cases: Mapping[str, CaseResult],
) -> Diagnostic:
    if output in declared:
        needs = declared[output].needs
        wants = "the inputs it needs: " + ", ".join(needs) if needs else "one of " + ", ".join(keys)
        return _fault(name, f"“{output}”, which this block does not compute", wants, "")
    help = did_you_mean(output, keys)
    if output in cases and "." in name.text:
        help = f"a row has all cases: write {name.text.strip().partition('.')[2]}"
    return _fault(name, f"the result “{shorten(name.text)}”", "one of " + ", ".join(keys), help)


def _no_key(name: YamlScalar, output: str, key: str, keys: Mapping[str, None]) -> Diagnostic:
    if list(keys) == [""]:
        return _fault(name, f"“{shorten(name.text)}”", f"{output}, which has a single value", "")
    expected = f"{output} and one of " + ", ".join(keys)
    return _fault(name, f"“{shorten(name.text)}”", expected, did_you_mean(key, keys))


def _fault(name: YamlScalar, found: str, expected: str, help: str) -> Diagnostic:
    return UNKNOWN_KEY.at(
        name.position, found=found, expected=shorten(expected, 200), help=help, length=len(name.text)
    )
