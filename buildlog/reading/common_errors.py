"""An error that several readings share: four scales read through one indicator, lengths by one tape.

A block states it once, under ``common``: ``indicator: {of: [left_front, right_front], by: ± 0.5 %}``.
Whatever it names is then off together, by the same share or by the same amount: in a share of the whole it
cancels, in the whole it does not (JCGM 100:2008, 5.2.2 and F.1.2).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from buildlog.diagnostics import VALUE_UNREADABLE, Diagnostic, Refused, declare, did_you_mean, shorten
from buildlog.figures import units
from buildlog.figures.numbers import Unreadable
from buildlog.figures.values import WrittenValue, parse_doubt
from buildlog.kinds.declaration import Input
from buildlog.kinds.results import Value
from buildlog.reading.inputs import InputPath, InputReader
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, describe

KEY = "common"
_KEYS = ("of", "by")
_SHAPE = f"{KEY}: {{indicator: {{of: [left_front, right_front], by: ± 0.5 %}}}}"

COMMON_SHAPE = declare(
    "common-shape",
    "what several readings share is not said fully",
    why="An error that readings share cancels in their ratio and adds up in their sum: which readings share "
    "it, and by how much they may be off, has to be plain.",
    mend="Write common: {NAME: {of: [inputs], by: ± 0.5 %}}, or an amount with its unit; a column of a table "
    "is changes.mass.",
    example="common: {indicator: {of: left_front}}        # and not by how much",
)


@dataclass(frozen=True, kw_only=True)
class CommonError:
    """`of` are inputs, or columns as ``changes.mass``; `by` has the error as its uncertainty, in percent of
    each value where it is relative and else in its unit."""

    name: str
    of: tuple[YamlScalar, ...]
    by: WrittenValue
    at: YamlScalar


def read_common(node: YamlNode | None, faults: list[Diagnostic]) -> tuple[CommonError, ...]:
    """What stands under ``common`` of a block."""
    if node is None:
        return ()
    if not isinstance(node, YamlMapping):
        faults.append(COMMON_SHAPE.at(node.position, found=describe(node), expected=_SHAPE))
        return ()
    read = (_read_one(key, value, faults) for key, value in node.entries)
    return tuple(one for one in read if one is not None)


def _read_one(key: YamlScalar, node: YamlNode, faults: list[Diagnostic]) -> CommonError | None:
    before = len(faults)
    if not isinstance(node, YamlMapping):
        faults.append(COMMON_SHAPE.at(node.position, found=describe(node), expected=_SHAPE))
        return None
    for name, _ in node.entries:
        if name.text not in _KEYS:
            found = f"“{shorten(name.text)}”"
            faults.append(COMMON_SHAPE.at(name.position, found=found, expected="of and by"))
    of, by = node.get("of"), node.get("by")
    names = of.items if isinstance(of, YamlList) else (of,)
    written = tuple(name for name in names if isinstance(name, YamlScalar) and name.text.strip())
    if not written or len(written) < len(names):
        place = of.position if of else key.position
        faults.append(COMMON_SHAPE.at(place, found="no list of inputs", expected=_SHAPE))
    if not isinstance(by, YamlScalar):
        place = by.position if by else key.position
        faults.append(COMMON_SHAPE.at(place, found="no by", expected=_SHAPE))
        return None
    try:
        size = parse_doubt(by.text)
    except Unreadable as error:
        faults.append(
            COMMON_SHAPE.at(
                by.position,
                found=f"“{shorten(by.text)}”",
                expected=f"by: ± and how far they may be off ({error.expected})",
                length=len(by.text),
            )
        )
        return None
    if len(faults) > before:
        return None
    return CommonError(name=key.text, of=written, by=size, at=by)


def share(
    reader: InputReader,
    errors: Iterable[CommonError],
    inputs: Mapping[str, Input],
    given: Iterable[str],
) -> None:
    """Add common errors to what a reader has read of a case. `given` are all inputs that the block gives, in
    whichever of its cases; faults are the reader's."""
    known = set(given)
    for error in errors:
        for target in error.of:
            try:
                _share_with(reader, error, target.text.strip(), inputs, known)
            except Refused as refused:
                reader.fault(refused, target.position, len(target.text))


def _share_with(
    reader: InputReader, error: CommonError, target: str, inputs: Mapping[str, Input], given: set[str]
) -> None:
    name, _, column = target.partition(".")
    declared = inputs.get(name)
    if declared is None or name not in given:
        hint = did_you_mean(name, sorted(given))
        raise Refused("", f"“{shorten(target)}”", "an input that the block has", help=hint, code=COMMON_SHAPE)
    columns = [part.name for part in declared.form.row if part.form.numbers]
    if declared.form.row and column not in columns:
        wanted = " or ".join(f"{name}.{one}" for one in columns)
        raise Refused("", f"“{shorten(target)}”", wanted or "an input with numbers", code=COMMON_SHAPE)
    if not declared.form.numbers or (column and not declared.form.row):
        raise Refused("", f"“{shorten(target)}”", "an input that is a number", code=COMMON_SHAPE)
    for path, value in list(reader.numbers.items()):
        if path[0] == name and (not column or path[-1] == column):
            _move(reader, error, path, value)


def _move(reader: InputReader, error: CommonError, path: InputPath, value: Value) -> None:
    """Let one number share the error."""
    if path in reader.taken:
        raise Refused(
            "",
            f"{path[0]}, which another block gives",
            "readings of this block",
            help="state what they share in the block that has them: its results bring it along",
            code=COMMON_SHAPE,
        )
    uncertainty = float(error.by.standard_uncertainty or 0)
    if not error.by.relative:
        step = units.find(error.by.unit, value.dimension).to_si_difference(uncertainty)
    elif value.unit == "%" or value.dimension == "temperature":
        raise Refused(
            "",
            f"“{error.at.text}” of {path[0]}",
            "an amount, which can be read in one way only",
            help="write ± 0.01 of a ratio, or the degrees",
            code=VALUE_UNREADABLE,
        )
    else:
        step = value.si * uncertainty
    if not step:
        return
    origin = reader.origin_at(error.at.position)
    shares = {**reader.uncertain.get(path, {}), origin: step}
    reader.uncertain[path] = shares
    reader.numbers[path] = replace(value, contributions={**value.contributions, origin: step})
    if error.by.shape != "normal":
        reader.shapes[origin] = error.by.shape
