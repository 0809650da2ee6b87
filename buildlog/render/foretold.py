"""What was foretold beside what was found, as rows of a table, and in the card of the block that measured.

Both values with their uncertainties, how far they are apart, and whether that is more than the uncertainties
allow, in words; in a card as bars too, whose whiskers say how far each may be.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from buildlog.figures import units
from buildlog.figures.comparison import write_error
from buildlog.kinds.chart import Axis, Bar, BarSpec
from buildlog.kinds.key_texts import key_text
from buildlog.kinds.quantities import Change, OtherUnit, Shown, change, other_of, shown
from buildlog.kinds.results import BlockResult, Value, prediction_anchor
from buildlog.proof.predicting import AGREES, DISAGREES, UNTOLD, Foretold
from buildlog.reading.addresses import called
from buildlog.render.chart import Draw, DrawnChart, draw_charts
from buildlog.render.figure import target_anchor, target_in_words
from buildlog.render.pieces import LinkPiece, Rendered, render
from buildlog.render.table import in_words, sentence
from buildlog.render.translated import translated
from buildlog.render.words import say, to_say

MARKS = {AGREES: "holds", DISAGREES: "fails", UNTOLD: "close"}
_BARS_IN_A_CHART = 24
_WHISKERS = to_say("The line at the end of a bar is how far the value may be, by its expanded uncertainty.")
_EXACT = to_say("Neither value has an uncertainty.")


@dataclass(frozen=True, kw_only=True)
class PredictionRow:
    """A prediction beside what was measured. `other_…` are in the other system of units than `system`, the
    author's. `error` is the normalised error, "" where there is none. `remarks` are what a reader has to know
    of the comparison. `page`, `to_predicted` and `to_measured` lead to where they come from."""

    what: str
    predicted: Shown
    measured: Shown
    off: Change
    unit: str
    error: str
    verdict: str
    mark: str
    remarks: tuple[str, ...]
    page: LinkPiece | None
    to_predicted: LinkPiece | None
    to_measured: LinkPiece | None
    other_predicted: Shown | None = None
    other_measured: Shown | None = None
    system: str = ""


def prediction_row(one: Foretold, page: LinkPiece | None = None) -> PredictionRow:
    measured = one.measured.number
    # Both in the unit and with the decimals of what was measured, so that they can be compared by eye.
    predicted = replace(one.predicted.number, unit=measured.unit, decimals=measured.decimals)
    other = other_of([measured, predicted])
    off = change(measured, predicted, other)
    block = one.predicted.block
    what = target_in_words(one.measured)
    if page is not None and (title := own_title(one.measured.block)):
        what = f"{title}: {what}"  # away from its card, a mean is of nobody knows what
    row = PredictionRow(
        what=what,
        predicted=shown(predicted),
        measured=shown(measured),
        off=off,
        unit=_unit_of_difference(measured),
        error="" if one.error is None else write_error(one.error),
        verdict=one.verdict,
        mark=MARKS[one.verdict],
        remarks=tuple(_remarks(one)),
        page=page,
        to_predicted=link_into(block, target_anchor(one.predicted), block.title or block.id),
        to_measured=link_into(one.measured.block, _measured_anchor(one), what),
    )
    return _in_both(row, predicted, measured, other)


def own_title(block: BlockResult) -> str:
    """The title that its author gave a block, "" where it has that of its kind."""
    kind = block.calculator
    return "" if kind is not None and block.title == kind.title else block.title


def _in_both(row: PredictionRow, predicted: Value, measured: Value, other: OtherUnit | None) -> PredictionRow:
    if other is None:
        return row
    return replace(
        row,
        other_predicted=other.shown(predicted),
        other_measured=other.shown(measured),
        system=other.system,
    )


def _unit_of_difference(value: Value) -> str:
    unit = units.find(value.unit, value.dimension)
    return "" if unit.symbol == "%" else unit.difference_symbol()  # points are said with the number


def _measured_anchor(one: Foretold) -> str:
    return prediction_anchor(one.measured.block.id) if one.by_block else target_anchor(one.measured)


def link_into(block: BlockResult, anchor: str, text: str) -> LinkPiece | None:
    """A link into a block's card; a car's sheet is on no page."""
    return LinkPiece(page=block.page, anchor=anchor, text=text) if block.page else None


def _remarks(one: Foretold) -> Iterable[str]:
    """What a reader has to know of a comparison, so that its verdict does not say more than it can."""
    predicted, measured = one.predicted.number, one.measured.number
    sure = [value.expanded_uncertainty <= 1e-9 * abs(value.si) for value in (predicted, measured)]
    if one.error is None and all(sure):
        yield to_say("neither has an uncertainty")
    elif one.error is None:
        yield to_say("all that is uncertain is the same in both")
    elif sure[0]:
        yield to_say("the prediction has no uncertainty and counts as exact")
    elif sure[1]:
        yield to_say("the measured value has no uncertainty and counts as exact")
    elif one.shared:
        yield to_say("what both rest on counts once")
    if one.error is not None and one.logs:
        files = f" {say('and')} ".join(one.logs)
        yield say("both rest on {files}; the scatter of its readings is taken as independent", files=files)
    if one.error is not None and (predicted.interval or measured.interval):
        yield to_say("the interval is lopsided, and En takes ± as it is")


# --- a card -----------------------------------------------------------------------------------


def render_foretold(block: BlockResult, foretold: Sequence[Foretold], draw: Draw | None) -> Rendered | None:
    """What stands in the card of a block that measured; None where nothing was foretold."""
    if not foretold:
        return None
    charts: list[DrawnChart] = []
    if draw is not None:
        charts = draw_charts(list(_bars(foretold)), draw, f"{prediction_anchor(block.id)}_chart")
    return render(
        "foretold.html.j2",
        anchor=prediction_anchor(block.id),
        rows=[prediction_row(one) for one in foretold],
        charts=charts,
        shared=any(one.shared for one in foretold),
        apart=any(not one.shared for one in foretold),
    )


def _bars(foretold: Sequence[Foretold]) -> Iterable[BarSpec]:
    """Two bars a prediction; those of one quantity share an axis."""
    groups: dict[tuple[str, str, str], list[Foretold]] = {}
    for one in foretold:
        value = one.measured.number
        groups.setdefault((one.measured.output, value.dimension, value.unit), []).append(one)
    for group in groups.values():
        for start in range(0, len(group), _BARS_IN_A_CHART // 2):
            yield _pairs_of_bars(group[start : start + _BARS_IN_A_CHART // 2])


def _pairs_of_bars(group: Sequence[Foretold]) -> BarSpec:
    first = group[0].measured
    value = first.number
    alone = len(group) == 1
    declared = translated(first.block).outputs.get(first.output)
    about = target_in_words(first) if alone or declared is None else sentence(declared.title)
    bars = []
    for one in group:
        name = "" if alone else f"{short_name(one)}, "
        for word, number, style in (
            (say("predicted"), one.predicted.number, 0),
            (say("measured"), one.measured.number, 1),
        ):
            label = f"{name}{word}" if name else word.capitalize()
            low, high = number.ends if number.expanded_uncertainty else (None, None)
            bars.append(Bar(label=label, value=number.si, low=low, high=high, style=style))
    return BarSpec(
        title=say("{what}: predicted and measured", what=about),
        description=say(_WHISKERS if any(bar.low is not None for bar in bars) else _EXACT),
        x=Axis("" if declared is None else sentence(declared.title), value.dimension, value.unit, True),
        bars=tuple(bars),
    )


def short_name(one: Foretold) -> str:
    """What tells a prediction from others of its quantity, its case and its key; else the quantity's name."""
    target = one.measured
    key = target.key
    if key and (declared := translated(target.block).outputs.get(target.output)) is not None:
        key = f"{declared.key} {say(key_text(target.block, declared, target.key).text)}"
    return ", ".join(filter(None, (called(target.case), key))) or in_words(target.output)
