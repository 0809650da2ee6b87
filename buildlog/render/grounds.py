"""What a figure rests on, as attributes of its element: scripts read there which row and cell it leads to,
and how it is worked out from them.

``data-of`` is ``block.output.key`` as addresses have it, with ``page#`` before it where the block is another
page's, and ``data-case`` the case ("" where the block has one without a name). A figure against another
value has that in ``data-versus`` and ``data-versus-case``, and in ``data-mode`` how: by difference, percent,
times or as a pair. ``data-unit`` is the label's unit as our list spells it and ``data-decimals`` how many it
shows; both are missing where the label states no number. ``data-at`` is the point of a sweep.
"""

from __future__ import annotations

from contextlib import suppress

from buildlog.book.addresses import Target
from buildlog.diagnostics import Refused
from buildlog.figures import units
from buildlog.figures.stated import parse
from buildlog.proof.judging import Judged
from buildlog.render.pieces import clean


def ground_of(judged: Judged, page: str) -> dict[str, str]:
    """The attributes of a figure on this page; none where it rests on no value of a block."""
    target = judged.target
    if target is None or not target.block.page:  # a car's sheet is on no page
        return {}
    found = {"data-of": _value_of(target, page), "data-case": target.case}
    if target.at:
        found["data-at"] = target.at
    if judged.other is not None:
        found["data-versus"] = _value_of(judged.other, page)
        found["data-versus-case"] = judged.other.case
        found["data-mode"] = _mode(judged)
    if (label := _unit_and_decimals(judged)) is not None:
        found["data-unit"], found["data-decimals"] = label
    return {name: str(clean(value)) for name, value in found.items()}


def _value_of(target: Target, page: str) -> str:
    block = target.block
    where = "" if block.page == page else f"{block.page}#"
    return where + ".".join(filter(None, (block.id, target.output, target.key)))


def _mode(judged: Judged) -> str:
    """How two values are compared."""
    stated, value = judged.stated, judged.value
    if stated is not None and stated.form == "pair":
        return "pair"
    if stated is not None and stated.multiple:
        return "times"
    return "percent" if value is not None and value.unit == "%" else "difference"


def _unit_and_decimals(judged: Judged) -> tuple[str, str] | None:
    """The unit of the label's number, and its decimals; None where it states none."""
    if judged.value is None or judged.spoken:
        return None
    stated = judged.stated
    if stated is None:  # filled in
        with suppress(Refused):
            stated = parse(judged.text)
    if stated is None:
        return None
    if judged.verdict is not None:
        unit = judged.verdict.unit.symbol
    else:
        unit = units.find(stated.unit or judged.value.unit, judged.value.dimension).symbol
    return unit, str(max(stated.low.decimals, stated.high.decimals))
