"""Facts of a source: what a document, or somebody, gives in figures, by name.

A fact is written as a label is: `39 N·m`, `39 ± 3 N·m`, `22–26 N·m`. What a limit is of (at most, at least)
is said in the fact's name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from buildlog.diagnostics import Code, Diagnostic, Position, Refused, shorten
from buildlog.figures import units
from buildlog.figures.stated import Stated, parse
from buildlog.reading.nodes import YamlMapping, YamlNode, YamlScalar, describe

_NAME = re.compile(r"[a-z0-9]+(?:[-_][a-z0-9]+)*")


@dataclass(frozen=True, kw_only=True)
class Fact:
    """`text` is the fact as written, `stated` the same read."""

    name: str
    text: str
    position: Position
    stated: Stated

    @property
    def dimensions(self) -> tuple[str, ...]:
        """What it can be a figure of, the commonest first."""
        return tuple(unit.dimension for unit in units.spelt(self.stated.unit))


def read_facts(node: YamlNode | None, code: Code, faults: list[Diagnostic]) -> dict[str, Fact]:
    """The facts of an entry of sources.yml by name; what cannot be read is a finding with `code`."""
    if node is None:
        return {}
    if not isinstance(node, YamlMapping):
        faults.append(code.at(node.position, found=describe(node), expected="facts: {name: figure}"))
        return {}
    facts: dict[str, Fact] = {}
    for key, value in node.entries:
        if not _NAME.fullmatch(key.text):
            faults.append(
                code.at(
                    key.position,
                    found=f"a fact named “{shorten(key.text)}”",
                    expected="a name of a–z, 0–9, - and _",
                    length=len(key.text),
                )
            )
            continue
        wrong = list(_faults(value, code))
        faults += wrong
        if not wrong and isinstance(value, YamlScalar):
            text = value.text.strip()
            facts[key.text] = Fact(name=key.text, text=text, position=value.position, stated=parse(text))
    return facts


def _faults(node: YamlNode, code: Code) -> Iterator[Diagnostic]:
    """Why a value is no fact."""
    if not isinstance(node, YamlScalar) or not node.text.strip():
        yield code.at(node.position, found=describe(node), expected="a figure, like 39 ± 3 N·m")
        return
    text = node.text.strip()
    found, expected, help = f"“{shorten(text)}”", "a figure, like 39 ± 3 N·m or 22–26 N·m", ""
    try:
        stated = parse(text)
        units.find(stated.unit)
    except Refused as error:
        found, expected, help = error.found, error.expected, error.help
    else:
        if stated.form in ("plain", "range") and not stated.hedge and not stated.direction_word:
            return
        help = "say what the figure limits in the fact's name"
    yield code.at(node.position, found=found, expected=expected, help=help, length=len(text))
