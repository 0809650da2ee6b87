"""The record of computed figures, ``content/figures.lock``: what each rested on when it was accepted.

One line a block with its three hashes, one line a value that a figure uses, in SI units; fields are parted
by tabs and the lines sorted, so that a change shows as the lines that changed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from buildlog.diagnostics import Diagnostic, Position, Severity, declare, shorten
from buildlog.files.text import read_text, split_lines

NAME = "figures.lock"
_FIRST = "# buildlog figures 1"
_ABOUT = "# What computed figures rested on (SI units). Made by “buildlog ledger --record”, not for editing."
_UNSAFE = re.compile(r"[%\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_ESCAPED = re.compile(r"%([0-9A-F]{2,4});")
_HASHES = ("inputs", "calculator", "data")

RECORD_UNREADABLE = declare(
    "record-unreadable",
    "a line of figures.lock cannot be read",
    why="What is not read from the record cannot be compared, and a published figure could move unseen.",
    mend="Bring figures.lock back from the repository, or make it anew with `buildlog ledger --record`.",
    severity=Severity.WARNING,
    example="<<<<<<< HEAD        # left over from a merge, in figures.lock",
)

BlockName = tuple[str, str]
ValueName = tuple[str, str, str, str, str]
"""(page, block, case, quantity, key)."""


@dataclass(frozen=True)
class Hashes:
    """What a block was computed from: its inputs as written, its calculator, its data ("-" for none)."""

    inputs: str
    calculator: str
    data: str


@dataclass(frozen=True)
class Record:
    """Hashes by block and SI values by name."""

    blocks: Mapping[BlockName, Hashes] = field(default_factory=dict)
    values: Mapping[ValueName, float] = field(default_factory=dict)


def record_text(record: Record) -> str:
    """The record as a file. The same record is the same text, byte for byte."""
    lines = [
        ["block", *name, *(f"{kind} {getattr(hashes, kind)}" for kind in _HASHES)]
        for name, hashes in record.blocks.items()
    ]
    lines += [["figure", *name, repr(value)] for name, value in record.values.items()]
    lines.sort(key=lambda line: (*line[1:3], *line[:1], *line[3:]))  # a block, then its figures
    body = ["\t".join(_escape(part) for part in line) for line in lines]
    return "\n".join([_FIRST, _ABOUT, *body, ""])


def _escape(text: str) -> str:
    return _UNSAFE.sub(lambda match: f"%{ord(match[0]):02X};", text)


def _unescape(text: str) -> str:
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), text)


def read_record(path: Path, shown: str) -> tuple[Record | None, list[Diagnostic]]:
    """The record of a site, None where it keeps none, and the lines that cannot be read."""
    if path.is_symlink():
        found = "a link"
        return None, [RECORD_UNREADABLE.at(Position(shown), found=found, expected="the file itself")]
    if not path.exists():
        return None, []
    text, faults = read_text(path, shown)
    if faults:
        return None, faults
    blocks: dict[BlockName, Hashes] = {}
    values: dict[ValueName, float] = {}
    first, *lines = split_lines(text)
    if first != _FIRST:
        place = Position(shown)
        return None, [RECORD_UNREADABLE.at(place, found=f"“{shorten(first)}”", expected=f"“{_FIRST}”")]
    for number, line in enumerate(lines, start=2):
        if not line or line.startswith("#"):
            continue
        parts = [_unescape(part) for part in line.split("\t")]
        if not (_block(parts, blocks) or _value(parts, values)):
            faults.append(
                RECORD_UNREADABLE.at(
                    Position(shown, number),
                    found=f"“{shorten(line)}”",
                    expected="a block with its hashes, or a figure with its value",
                    length=len(line),
                )
            )
    return Record(blocks, values), faults


def _block(parts: list[str], blocks: dict[BlockName, Hashes]) -> bool:
    if len(parts) != 6 or parts[0] != "block" or (parts[1], parts[2]) in blocks:
        return False
    words = [part.split(" ") for part in parts[3:]]
    if [word[0] for word in words] != list(_HASHES) or any(len(word) != 2 for word in words):
        return False
    blocks[parts[1], parts[2]] = Hashes(*(word[1] for word in words))
    return True


def _value(parts: list[str], values: dict[ValueName, float]) -> bool:
    if len(parts) != 7 or parts[0] != "figure":
        return False
    name = (parts[1], parts[2], parts[3], parts[4], parts[5])
    try:
        value = float(parts[6])  # our own writing, not an author's
    except ValueError:
        return False
    if name in values or not math.isfinite(value):
        return False
    values[name] = value
    return True
