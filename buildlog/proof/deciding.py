"""The option that an author went for, against what the decision requires of it."""

from __future__ import annotations

from collections.abc import Iterator

from buildlog.diagnostics import Diagnostic, Position, Severity, declare
from buildlog.figures import units
from buildlog.figures.labels import write_figure, write_number
from buildlog.figures.spread import decimals_of_uncertainty, rounded
from buildlog.kinds.results import BlockResult, Value
from buildlog.kinds.verdicts import CLOSE, FAILS, HOLDS, requirement_key
from buildlog.reading.blocks import Block
from buildlog.reading.decisions import KIND, REQUIRES
from buildlog.reading.nodes import YamlList

CHOSEN_OPTION_FAILS = declare(
    "chosen-option-fails",
    "the option that was chosen fails a requirement of its decision",
    why="The page says that this is what to build, and its own numbers say that it does not do the job.",
    mend="Choose another option, change what is required, or mend the block that the value comes from.",
    example="chosen: old        # which misses 3200 rpm out of the hairpin by 318 rpm",
)
CHOSEN_OPTION_TOO_CLOSE = declare(
    "chosen-option-too-close",
    "the option that was chosen may fail a requirement: it is too close to call",
    why="The margin is smaller than its uncertainty, so that nobody knows on which side of the limit it is.",
    mend="Measure better what the value rests on, ask for less certainty with “sure”, or say so in the text.",
    severity=Severity.WARNING,
    example="chosen: new        # with a margin of 20 ± 30 rpm",
)


def decision_findings(block: Block, result: BlockResult) -> Iterator[Diagnostic]:
    """What the chosen option of a decision fails, and what is too close to call."""
    # A decision without options has one case without a name, and nothing is chosen.
    if block.kind != KIND or not block.chosen or block.chosen not in result.cases:
        return
    case = result.cases[block.chosen]
    for number, row in enumerate(case.inputs[REQUIRES]):
        key = requirement_key(row)
        verdict = result.value(block.chosen, "verdict", key)
        if verdict == HOLDS:
            continue
        code = CHOSEN_OPTION_FAILS if verdict == FAILS else CHOSEN_OPTION_TOO_CLOSE
        value, limit, margin = (_text(result.value(block.chosen, name, key)) for name in _NAMES)
        bound = "at least" if "at_least" in row else "at most"
        said = f"“{row['name']}” {_IS[str(verdict)]}"
        yield code.at(
            block.place("chosen"),
            found=f"{block.chosen}, where {said}: {value}, a margin of {margin}",
            expected=f"{bound} {limit}",
            second=_place(block, number),
            second_label="the requirement",
            length=len(block.chosen),
        )


_NAMES = ("value", "limit", "margin")
_IS = {FAILS: FAILS, CLOSE: f"is {CLOSE}"}


def _text(value: Value | str | None) -> str:
    """A value with its expanded uncertainty."""
    assert isinstance(value, Value)
    unit = units.find(value.unit, value.dimension)
    number = unit.from_si(value.si)
    spread = abs(unit.from_si_difference(value.expanded_uncertainty))
    if not any(digit in write_number(spread, value.decimals) for digit in "123456789"):
        return write_figure(number, value.decimals, unit.symbol)
    place = decimals_of_uncertainty(spread)
    place = min(value.decimals, place)
    told, doubt = (write_number(rounded(one, place), max(0, place)) for one in (number, spread))
    return f"{told} ± {doubt} {unit.symbol}".rstrip()


def _place(block: Block, number: int) -> Position:
    """Where a row of the chosen option was written."""
    _, rows = block.cases[block.chosen][REQUIRES]
    return rows.items[number].position if isinstance(rows, YamlList) else rows.position
