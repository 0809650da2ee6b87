"""What tells one drawing of a pattern from another: a digest of all that is drawn, and where it came from.

Two drawings with the same digest show the same part. It stands on every drawing, so that one that was printed
or saved is known to be stale when its block gives another part.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import sha256

from buildlog.figures import units
from buildlog.figures.labels import write_figure
from buildlog.kinds.pattern import Pattern, Point
from buildlog.kinds.results import BlockResult, Value
from buildlog.patterns.layout import Tell, Written, check

DIGITS = 12
MARK = "buildlog_pattern"
"""What a file is known by to be a drawing of ours."""


@dataclass(frozen=True, kw_only=True)
class Origin:
    """Where a drawing came from: the block's address, case and name of the pattern, and its digest."""

    block: str
    case: str
    name: str
    digest: str

    def written(self) -> str:
        """The origin on one line, as drawings carry it."""
        told = {"block": self.block, "case": self.case, "name": self.name, "digest": self.digest}
        return json.dumps({MARK: told}, ensure_ascii=True, sort_keys=True)


def read_origin(line: str) -> Origin | None:
    """The origin that a line tells, whatever programs wrote around it; None where it is none."""
    try:
        start = line.rfind("{", 0, line.find(MARK))
        told = json.JSONDecoder().raw_decode(line, start)[0][MARK]
        values = {name: told[name] for name in ("block", "case", "name", "digest")}
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
    if not all(isinstance(value, str) for value in values.values()):
        return None
    return Origin(**values)


def digest_of(pattern: Pattern, tell: Tell, unkept: tuple[str, ...] = ()) -> str:
    """The digest of a pattern: its lines to a nanometre, the figures that it tells, its words, and what it
    says of limits that are `unkept`. Raises `Refused` (pattern-not-drawn)."""
    check(pattern)
    told: list[object] = [str(pattern.title), str(pattern.material), pattern.revision, str(pattern.use)]
    told += [["line", line.kind, line.closed, *map(_nanometres, line.points)] for line in pattern.lines]
    told += [["hole", _nanometres(one.centre), round(1e9 * one.diameter)] for one in pattern.holes]
    for one in pattern.dimensions:
        places = (_nanometres(one.start), _nanometres(one.end), round(1e9 * one.away))
        told.append(["dimension", *places, one.along, tell(one.output, one.key).text])
    for note in pattern.notes:
        value = tell(note.output, note.key).text if note.output else ""
        told.append(["note", _nanometres(note.place), round(1e9 * note.turned), str(note.text), value])
    told += [["unkept", str(text)] for text in unkept]
    return sha256(json.dumps(told).encode()).hexdigest()[:DIGITS]


def _nanometres(point: Point) -> tuple[int, int]:
    return round(1e9 * point[0]), round(1e9 * point[1])


def tell_of(block: BlockResult, case: str) -> Tell:
    """What a drawing tells of a case's results. A pattern that tells what is no result is our mistake."""

    def tell(output: str, key: str) -> Written:
        value = block.value(case, output, key)
        address = f"calc:{block.page}#{'.'.join(filter(None, (block.id, case, output, key)))}"
        if not isinstance(value, Value):
            return Written(text="" if value is None else str(value), length=None, address=address)
        unit = units.find(value.unit, value.dimension)
        text = write_figure(unit.from_si(value.si), value.decimals, unit.symbol)
        length = 1000 * value.si if value.dimension == "length" else None
        return Written(text=text, length=length, address=address)

    return tell


def origin_of(block: BlockResult, pattern: Pattern) -> Origin:
    """What the drawings of a pattern say of themselves. Raises `Refused` (pattern-not-drawn)."""
    unkept = block.cases[pattern.case].unkept
    digest = digest_of(pattern, tell_of(block, pattern.case), unkept)
    return Origin(block=block.address, case=pattern.case, name=pattern.name, digest=digest)
