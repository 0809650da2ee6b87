"""Predictions beside what was measured, and claims beside what was computed: as lines and as JSON rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from buildlog.book.addresses import Target
from buildlog.figures import units
from buildlog.figures.comparison import write_error
from buildlog.figures.labels import plain
from buildlog.kinds.results import Value
from buildlog.proof.predicting import AGREES, DISAGREES, Claim, Foretold, tally
from buildlog.proof.proof import Report
from buildlog.report.printable import printable
from buildlog.report.wording import plural
from buildlog.report.working import shown

_AGREES = {AGREES: True, DISAGREES: False}


def prediction_rows(report: Report) -> list[dict[str, object]]:
    """Every prediction and every claim that was compared, for programs; numbers in the unit that is named,
    uncertainties with k = 2."""
    return [_of_claim(one) if isinstance(one, Claim) else _of_prediction(one) for one in report.predictions]


def _of_prediction(one: Foretold) -> dict[str, object]:
    measured = one.measured.number
    predicted = replace(one.predicted.number, unit=measured.unit)
    unit = units.find(measured.unit, measured.dimension)
    return {
        **_place(one),
        "standing": "predicted" if one.by_block else "compared",
        "prediction": _address(one.predicted),
        "measurement": _address(one.measured),
        "predicted": _number(predicted),
        "measured": _number(measured),
        "unit": unit.symbol,
        "off_by": {
            "value": unit.from_si_difference(one.difference.si),
            "uncertainty": abs(unit.from_si_difference(one.difference.expanded_uncertainty)),
        },
        "normalised_error": one.error,
        "shared": one.shared,
        "logs": list(one.logs),
        "agrees": _AGREES.get(one.verdict),
    }


def _of_claim(one: Claim) -> dict[str, object]:
    comparison = one.judged.comparison
    assert comparison is not None
    return {
        **_place(one),
        "standing": "told",
        "claim": plain(one.judged.text).text,
        "by": one.judged.source.id if one.judged.source is not None else "",
        "about": _address(comparison.target),
        "against": _address(comparison.other) if comparison.other is not None else "",
        "computed": comparison.shown,
        "agrees": _AGREES.get(one.verdict),
    }


def _place(one: Foretold | Claim) -> dict[str, object]:
    return {"page": one.page, "line": one.position.line, "column": one.position.column}


def _address(target: Target) -> str:
    """The address of a value from any page."""
    where = f"{target.block.page}#" if target.block.page else ""
    return f"calc:{where}{target.words}"


def _number(value: Value) -> dict[str, float]:
    unit = units.find(value.unit, value.dimension)
    spread = abs(unit.from_si_difference(value.expanded_uncertainty))
    return {"value": unit.from_si(value.si), "uncertainty": spread}


# --- for people -------------------------------------------------------------------------------


def predictions_text(report: Report) -> str:
    """The same as lines, with how they came out; "" where nothing was foretold."""
    if not report.predictions:
        return ""
    found = tally(one for one in report.predictions if isinstance(one, Foretold))
    heads = []
    if found.count:
        untold = f", {found.untold} cannot be told" if found.untold else ""
        mean = f", mean En {write_error(found.mean)}" if found.mean is not None and found.known > 1 else ""
        heads.append(
            f"{plural(found.count, 'prediction')}: {found.agreed} held, {found.failed} did not{untold}{mean}"
        )
    claims = [one for one in report.predictions if isinstance(one, Claim)]
    if claims:
        agreed = sum(one.verdict == AGREES for one in claims)
        heads.append(f"{plural(len(claims), 'claim')} that can be computed: {agreed} agreed")
    lines = [_line(one) for one in report.predictions]
    return "\n".join(["; ".join(heads), *lines, "", ""])


def foretold_text(foretold: Sequence[Foretold]) -> str:
    """What foretold a block's results, beside them; "" where nothing did."""
    if not foretold:
        return ""
    lines = [f"    by {printable(_address(one.predicted))}" for one in foretold]
    pairs = [row for one, by in zip(foretold, lines, strict=True) for row in (_line(one), by)]
    return "\n".join(["", "Foretold and found (En from −1 to 1 agrees)", *pairs, ""])


def _line(one: Foretold | Claim) -> str:
    where = f"{one.position}"
    if isinstance(one, Claim):
        comparison = one.judged.comparison
        assert comparison is not None
        told = printable(plain(one.judged.text).text)
        return f"  {where}  “{told}” told, {comparison.shown} computed: {_loud(one.verdict)}"
    predicted = replace(one.predicted.number, unit=one.measured.number.unit)
    error = f", En {write_error(one.error)}" if one.error is not None else ""
    return (
        f"  {where}  {printable(one.measured.words)}: {_short(predicted)} predicted, "
        f"{_short(one.measured.number)} measured{error}: {_loud(one.verdict)}"
    )


def _short(value: Value) -> str:
    """A value with its uncertainty, without what that is made of."""
    return shown(value).partition(" (k = 2")[0]


def _loud(verdict: str) -> str:
    return verdict.upper() if verdict == DISAGREES else verdict
