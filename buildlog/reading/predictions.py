"""What foretold the results of a block: ``predicts: {seconds.first: calc:final-drive#run.short.time}``.

The block that measures names beside each of its results the value that was computed before. Nothing of it
goes into the calculation: the two are only set beside each other.
"""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.diagnostics import Diagnostic, Refused, declare, shorten
from buildlog.reading.addresses import read_address
from buildlog.reading.nodes import YamlMapping, YamlNode, YamlScalar, describe

KEY = "predicts"
MOST = 40
_SHAPE = f"{KEY}: {{QUANTITY: calc:PAGE#BLOCK.QUANTITY}}, a quantity of this block and what foretold it"

PREDICTS_SHAPE = declare(
    "predicts-shape",
    "what foretold a result is not said fully",
    why="A prediction is held to one measured value: which of the two is which has to be plain.",
    mend="Write predicts: {QUANTITY: calc:PAGE#BLOCK.QUANTITY}, the quantity of this block first; a line for "
    "each.",
    example="predicts: calc:final-drive#hill.new.time        # and not of which quantity of this block",
)


@dataclass(frozen=True)
class Prediction:
    """`own` names a quantity of the block, ``[case.]quantity[.key]``; `by` has the address of what foretold
    it."""

    own: YamlScalar
    by: YamlScalar

    @property
    def address(self) -> str:
        """The address of what foretold it."""
        return self.by.text.strip()


def read_predictions(node: YamlNode | None, faults: list[Diagnostic]) -> tuple[Prediction, ...]:
    """What stands under ``predicts`` of a block."""
    if node is None:
        return ()
    if not isinstance(node, YamlMapping) or not node.entries:
        faults.append(PREDICTS_SHAPE.at(node.position, found=describe(node), expected=_SHAPE))
        return ()
    if len(node.entries) > MOST:
        found = f"{len(node.entries)} predictions"
        faults.append(PREDICTS_SHAPE.at(node.position, found=found, expected=f"at most {MOST} in a block"))
        return ()
    read = (_read_one(key, value, faults) for key, value in node.entries)
    return tuple(one for one in read if one is not None)


def _is_own(text: str) -> bool:
    """Whether a key can name a quantity of the block itself."""
    try:
        return read_address(f"calc:block.{text}").page is None and ":" not in text and "@" not in text
    except Refused:
        return False


def _read_one(key: YamlScalar, node: YamlNode, faults: list[Diagnostic]) -> Prediction | None:
    if not _is_own(key.text):
        help = "the address stands behind the colon" if key.text.startswith("calc:") else ""
        faults.append(
            PREDICTS_SHAPE.at(
                key.position,
                found=f"“{shorten(key.text)}”",
                expected="a quantity of this block, as in speed.first or after.speed.first",
                help=help,
                length=len(key.text),
            )
        )
        return None
    if not isinstance(node, YamlScalar):
        faults.append(PREDICTS_SHAPE.at(node.position, found=describe(node), expected="one calc: address"))
        return None
    try:
        address = read_address(node.text.strip())
    except Refused as error:
        faults.append(
            error.code.at(
                node.position,
                found=error.found,
                expected=error.expected,
                help=error.help,
                length=len(node.text),
            )
        )
        return None
    if address.scheme != "calc":
        faults.append(
            PREDICTS_SHAPE.at(
                node.position,
                found=f"“{shorten(node.text)}”",
                expected="a calc: address",
                help="what somebody told stands in the text, and what it is about in its title: "
                '[LABEL](told:SOURCE "of calc:…")',
                length=len(node.text),
            )
        )
        return None
    return Prediction(own=key, by=node)
