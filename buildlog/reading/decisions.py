"""The shape of a decision: its options, what it requires of each, and the option that was chosen.

An option is a case of the block. What a row says for each option apart, as in ``value: {old: 1210 kg, new:
1195 kg}``, is put into that option's rows here, so that whoever computes meets a case like any other.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from buildlog.diagnostics import Diagnostic, declare, did_you_mean, shorten
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, describe

KIND = "decision"
REQUIRES = "requires"
KEYS = ("id", "kind", "title", "show", REQUIRES, "options", "chosen")
"""What a block of this kind may hold."""

SHOWN = ("table", "working", "inputs")
"""What its card shows where the author does not say."""

DECISION_SHAPE = declare(
    "decision-shape",
    "the decision is not laid out as one",
    why="Which option was held to which requirement must be plain.",
    mend="A decision has requires, rows of name, value and at_least or at_most; and may have options, names "
    "with the case that each stands for, and chosen, one of them.",
    example="chosen: newer        # where the options are old and new",
)
_NAME = re.compile(r"[A-Za-z0-9_\-]+")

Named = Mapping[str, tuple[YamlScalar, YamlNode]]


@dataclass(frozen=True, kw_only=True)
class Decision:
    """`options` maps each option to the case that it stands for in other blocks; `cases` are the block's own,
    one an option; `inputs` are the block's where it has no options."""

    options: Mapping[str, str] = field(default_factory=dict)
    chosen: str = ""
    inputs: Named = field(default_factory=dict)
    cases: Mapping[str, Named] = field(default_factory=dict)


def read_decision(root: YamlMapping, faults: list[Diagnostic]) -> Decision:
    """What a block of the kind decision asks."""
    options = _read_options(root.get("options"), faults)
    chosen = _read_chosen(root.get("chosen"), options, faults)
    key, rows = root.key(REQUIRES), root.get(REQUIRES)
    if key is None or rows is None:
        return Decision(options=options, chosen=chosen, cases={option: {} for option in options})
    if not options:
        return Decision(inputs={REQUIRES: (key, rows)})
    cases = {option: {REQUIRES: (key, _rows_of(option, rows, options, faults))} for option in options}
    return Decision(options=options, chosen=chosen, cases=cases)


def _read_options(node: YamlNode | None, faults: list[Diagnostic]) -> dict[str, str]:
    """Option to case, from ``{old: old, new: shorter}`` or, where both have one name, from ``[old, new]``."""
    pairs: list[tuple[YamlNode, YamlNode]] = []
    if isinstance(node, YamlMapping):
        pairs = [(key, case) for key, case in node.entries]
    elif isinstance(node, YamlList):
        pairs = [(item, item) for item in node.items]
    if node is not None and not pairs:
        faults.append(
            DECISION_SHAPE.at(
                node.position, found=describe(node), expected="options: {OPTION: CASE, …} or [OPTION, …]"
            )
        )
    options: dict[str, str] = {}
    for option, case in pairs:
        names = [_read_name(part, faults) for part in (option, case)]
        if names[0] in options:
            faults.append(
                DECISION_SHAPE.at(option.position, found=f"“{names[0]}” twice", expected="each option once")
            )
        elif all(names):
            options[names[0]] = names[1]
    return options


def _read_name(node: YamlNode, faults: list[Diagnostic]) -> str:
    if isinstance(node, YamlScalar) and _NAME.fullmatch(node.text):
        return node.text
    found = describe(node)
    faults.append(
        DECISION_SHAPE.at(node.position, found=found, expected="a name of letters, digits, - and _")
    )
    return ""


def _read_chosen(node: YamlNode | None, options: Iterable[str], faults: list[Diagnostic]) -> str:
    if node is None:
        return ""
    name = node.text if isinstance(node, YamlScalar) else ""
    if name in options:
        return name
    expected = "one of the options: " + ", ".join(options)
    if not options:
        expected = "options as well, to choose from"
    faults.append(
        DECISION_SHAPE.at(
            node.position,
            found=describe(node),
            expected=expected,
            help=did_you_mean(name, options),
            length=max(1, len(name)),
        )
    )
    return ""


def _rows_of(option: str, rows: YamlNode, options: Mapping[str, str], faults: list[Diagnostic]) -> YamlNode:
    """The rows as one option has them. What is no list of rows is left for the reader of values to refuse."""
    if not isinstance(rows, YamlList):
        return rows
    return replace(rows, items=tuple(_row_of(option, row, options, faults) for row in rows.items))


def _row_of(option: str, row: YamlNode, options: Mapping[str, str], faults: list[Diagnostic]) -> YamlNode:
    if not isinstance(row, YamlMapping):
        return row
    entries = ((key, _value_of(option, value, options, faults)) for key, value in row.entries)
    return replace(row, entries=tuple(entries))


def _value_of(option: str, node: YamlNode, options: Mapping[str, str], faults: list[Diagnostic]) -> YamlNode:
    """A value that the options share, or of ``{old: …, new: …}`` the option's own."""
    if not isinstance(node, YamlMapping):
        return node
    for key, _ in node.entries:
        if key.text not in options:
            faults.append(
                DECISION_SHAPE.at(
                    key.position,
                    found=f"“{shorten(key.text)}”",
                    expected="an option: " + ", ".join(options),
                    help=did_you_mean(key.text, options),
                    length=len(key.text),
                )
            )
    value = node.get(option)
    if value is None:
        faults.append(
            DECISION_SHAPE.at(node.position, found=f"no value for {option}", expected="one for each option")
        )
        return node.entries[0][1] if node.entries else node
    return value
