"""A part's file, ``content/parts/NAME.yml``: what the part is, and what happened to it.

Read by itself here; what it says of other parts, pages and drawings is compared in `buildlog.proof`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from buildlog.diagnostics import Diagnostic, Position, Refused, declare, did_you_mean, shorten
from buildlog.kinds.declaration import Number, Quantity
from buildlog.kinds.results import Value
from buildlog.reading.blocks import UNKNOWN_KEY
from buildlog.reading.inputs import FAILED, InputReader
from buildlog.reading.nodes import (
    YamlList,
    YamlMapping,
    YamlNode,
    YamlScalar,
    describe,
    read_yaml,
    whole_file,
)
from buildlog.reading.part_keys import (
    AS_BUILT,
    BESIDES,
    DAY,
    DIGEST,
    DRAWING_KEYS,
    HAPPENED,
    KEYS,
    MOST,
    NAME,
    NEEDED,
    TAKEN_BY,
    PartKey,
)

PART_SHAPE = declare(
    "part-shape",
    "a part's file is not laid out as one",
    why="What it is, what it weighs and where it lies is read from there, and nothing is guessed.",
    mend="A part has name and standard, and may have what the page Parts of the manual lists.",
    example="mass: 0.41 kg        # and no weighed: the day on which it was",
)
PART_HISTORY = declare(
    "part-history",
    "what happened to a part cannot have happened so",
    why="What is on the car today, and what has to go back, is read from it.",
    mend="Correct the day, or add what is missing between the two.",
    example="- {taken_off: 2024-01-20}        # and it was never fitted",
)
_MASS = Number(dimension="mass", unit="kg", low=0, high=500, why="parts of a car that people lift")
_PRICE = "write the number, a blank and the currency by its three letters: 6.50 EUR"
_DAY_OF_MONTH_FIRST = re.compile(r"([0-9]{1,2})\.([0-9]{1,2})\.([0-9]{4})")


@dataclass(frozen=True, kw_only=True)
class PartEvent:
    """What happened on a day. `what` is a word of `HAPPENED`; `day` is "" for what was there as built."""

    what: str
    day: str
    position: Position
    by: str = ""
    by_at: Position | None = None
    car: str = ""
    lies: str = ""
    why: str = ""


@dataclass(frozen=True, kw_only=True)
class PartDrawing:
    """What shows a part: `of` is PAGE#BLOCK, with .CASE, or a file; `digest` is what it carried, "" where the
    part's file does not say."""

    of: str
    digest: str
    position: Position
    digest_at: Position | None = None

    @property
    def block(self) -> tuple[str, str, str] | None:
        """Page, block and case; None for a file."""
        page, mark, path = self.of.rpartition("#")
        if not mark:
            return None
        block, _, case = path.partition(".")
        return page, block, case


@dataclass(frozen=True, kw_only=True)
class Part:
    """A part as its file says. `values` are its mass and price as written; `places` is where each key's value
    stands. `history` is in the order of days, those of one day as in the file. `unread` are the keys among
    mass, price and history of which something could not be read: what rests on them is not known."""

    id: str
    path: str
    name: str
    about: str = ""
    number: str = ""
    revision: str = ""
    standard: bool = False
    origin: str = ""
    cars: tuple[str, ...] = ()
    drawings: tuple[PartDrawing, ...] = ()
    mass: YamlScalar | None = None
    weighed: str = ""
    supplier: str = ""
    price: YamlScalar | None = None
    priced: str = ""
    replaces: tuple[str, ...] | None = None
    superseded_by: str = ""
    page: str = ""
    copying: str = ""
    licence: str = ""
    licence_text: str = ""
    history: tuple[PartEvent, ...] = ()
    places: tuple[tuple[str, Position], ...] = ()
    unread: tuple[str, ...] = ()
    faults: tuple[Diagnostic, ...] = ()

    def place(self, key: str) -> Position:
        """Where the value of a key stands, or the file."""
        return dict(self.places).get(key, Position(self.path))

    @property
    def values(self) -> dict[str, YamlScalar]:
        """Its mass and its price, as far as they are given."""
        given = {"mass": self.mass, "price": self.price}
        return {name: node for name, node in given.items() if node is not None}

    @property
    def last(self) -> PartEvent | None:
        return self.history[-1] if self.history else None

    @property
    def is_on(self) -> bool:
        """Whether it is on a car, by the last that is known."""
        return self.last is not None and self.last.what == "fitted"

    @property
    def is_gone(self) -> bool:
        return self.last is not None and self.last.what == "gone"

    @property
    def lies(self) -> str:
        """Where it lies, "" where nobody has said or it is on the car."""
        return self.last.lies if self.last is not None else ""

    def event(self, what: str) -> PartEvent | None:
        """The last event of a sort."""
        return next((one for one in reversed(self.history) if one.what == what), None)

    def was_on(self, day: str) -> bool:
        """Whether it was on a car at the end of a day ("" is as the car was built)."""
        before = [one for one in self.history if one.day <= day]
        return bool(before) and before[-1].what == "fitted"


def value_of(node: YamlScalar, name: str, path: str, origin: str) -> tuple[Value | None, list[Diagnostic]]:
    """The mass or the price of a part, None where it cannot be read. `origin` is that of its doubt."""
    reader = InputReader(resolve=_no_reference, data=_no_data, origin_at=lambda place: origin)
    form = _MASS if name == "mass" else Quantity()
    value: Any = reader.read(node, form, (name,))
    faults = reader.faults
    number = reader.numbers.get((name,))
    if value is FAILED or number is None:
        if name == "price" and "," not in node.text:  # of a comma the reader of numbers says more
            faults = [replace(one, expected=KEYS["price"].expected, help=_PRICE) for one in faults]
        return None, faults
    if name == "price" and not number.dimension.startswith("money in "):
        is_bare = number.dimension == "ratio"
        found = f"{describe(node)} without a currency" if is_bare else f"{number.dimension}, as price"
        return None, [PART_SHAPE.at(node.position, found=found, expected=KEYS["price"].expected, help=_PRICE)]
    return number, faults


def _no_reference(text: str, position: Position) -> Value:
    raise Refused("", f"“{shorten(text)}”", "a value of the part's own", code=PART_SHAPE)


def _no_data(*given: Any) -> Any:
    raise Refused("", "data", "a value of the part's own", code=PART_SHAPE)


def read_part(text: str, path: str, name: str) -> Part:
    """Read a file of ``content/parts``."""
    root, faults = read_yaml(text, whole_file(path))
    if not re.fullmatch(NAME, name):
        expected = "a file name of a–z, 0–9 and -, by which others call it"
        faults.append(
            PART_SHAPE.at(Position(path), found=f"a part called “{shorten(name)}”", expected=expected)
        )
    if not isinstance(root, YamlMapping):
        if not faults:
            found = "nothing" if root is None else describe(root)
            faults.append(PART_SHAPE.at(Position(path), found=found, expected="name, standard and history"))
        return Part(id=name, path=path, name=name, faults=tuple(faults))
    reader = _Reader(root, path, faults)
    reader.check_keys()
    part = Part(
        id=name,
        path=path,
        name=reader.text("name") or name,
        about=reader.text("about"),
        number=reader.text("number"),
        revision=reader.text("revision"),
        standard=reader.text("standard") == "yes",
        origin=reader.text("origin"),
        cars=reader.names("cars") or (),
        drawings=tuple(reader.drawings()),
        mass=reader.value("mass"),
        weighed=reader.day("weighed"),
        supplier=reader.text("supplier"),
        price=reader.value("price"),
        priced=reader.day("priced"),
        replaces=reader.names("replaces"),
        superseded_by=reader.text("superseded_by"),
        page=reader.text("page").removesuffix(".md"),
        copying=reader.text("copying"),
        licence=reader.text("licence"),
        licence_text=reader.text("licence_text"),
        history=tuple(reader.history()),
        places=tuple((key.text, value.position) for key, value in root.entries),
    )
    if part.copying == "allowed" and not part.licence and root.get("licence") is None:
        reader.missing("copying", "licence")
    if "history" not in reader.unread:
        faults += _order_faults(part)
    return replace(part, unread=tuple(dict.fromkeys(reader.unread)), faults=tuple(faults))


@dataclass
class _Reader:
    """Reads the keys of one file; what is wrong goes to `faults`."""

    root: YamlMapping
    path: str
    faults: list[Diagnostic]
    unread: list[str] = field(default_factory=list)

    def check_keys(self) -> None:
        """Unknown keys, and keys that want another one."""
        _check(self.root, tuple(KEYS), self.faults)
        for name, key in KEYS.items():
            if key.required and self.root.get(name) is None:
                place = Position(self.path)
                self.faults.append(
                    PART_SHAPE.at(place, found=f"no {name}", expected=f"{name}: {key.expected}")
                )
            if self.root.get(name) is not None:
                for other in key.with_it:
                    if self.root.get(other) is None:
                        self.missing(name, other)

    def missing(self, name: str, other: str) -> None:
        """That a key stands without another one."""
        there = self.root.key(name)
        assert there is not None
        expected = f"{other} as well: {KEYS[other].expected}"
        self.faults.append(
            PART_SHAPE.at(
                there.position,
                found=f"{name} without {other}",
                expected=expected,
                help=f"write {other} in a line of its own",
                length=len(name),
            )
        )

    def text(self, name: str) -> str:
        """The text of a key, "" where there is none or it is not what the key takes."""
        node = self.root.get(name)
        return "" if node is None else self._text(node, name, KEYS[name])

    def _text(self, node: YamlNode, name: str, key: PartKey) -> str:
        text = node.text.strip() if isinstance(node, YamlScalar) else ""
        text = " ".join(text.split())
        if not text or not key.takes(text):
            self._wrong(node, name, key.expected, did_you_mean(text, key.words))
            return ""
        return text

    def _wrong(self, node: YamlNode, name: str, expected: str, help: str = "") -> None:
        length = len(shorten(node.text)) if isinstance(node, YamlScalar) else 1
        self.faults.append(
            PART_SHAPE.at(
                node.position, found=f"{name}: {describe(node)}", expected=expected, help=help, length=length
            )
        )

    def day(self, name: str) -> str:
        """The day of a key."""
        node = self.root.get(name)
        return "" if node is None else self._day(node, name)

    def _day(self, node: YamlNode, name: str) -> str:
        text = node.text.strip() if isinstance(node, YamlScalar) else ""
        if not _is_day(text):
            expected = "a day of the calendar, as 2024-05-31"
            if name == "fitted":
                expected += f", or {AS_BUILT}"
            self._wrong(node, name, expected, _day_meant(text, name))
            return ""
        return text

    def value(self, name: str) -> YamlScalar | None:
        """A value of a key, where it can be read."""
        node = self.root.get(name)
        if node is None:
            return None
        if not isinstance(node, YamlScalar):
            self._wrong(node, name, KEYS[name].expected)
            self.unread.append(name)
            return None
        value, faults = value_of(node, name, self.path, "")
        self.faults += faults
        if value is None:
            self.unread.append(name)
        return node if value is not None else None

    def names(self, name: str) -> tuple[str, ...] | None:
        """The names that a key lists, or the one that it says; None where it is not there."""
        node = self.root.get(name)
        if node is None:
            return None
        items = node.items if isinstance(node, YamlList) else (node,)
        if len(items) > MOST:
            self._wrong(node, name, f"at most {MOST} names")
            return ()
        listed = PartKey(about="", expected=KEYS[name].expected, pattern=NAME)
        found = [self._text(item, name, listed) for item in items]
        return tuple(dict.fromkeys(filter(None, found)))

    def drawings(self) -> Iterator[PartDrawing]:
        """What shows the part."""
        node = self.root.get("drawing")
        if node is None:
            return
        items = node.items if isinstance(node, YamlList) else (node,)
        if len(items) > MOST:
            self._wrong(node, "drawing", f"at most {MOST} drawings")
            return
        for item in items:
            if isinstance(item, YamlMapping):
                _check(item, tuple(DRAWING_KEYS), self.faults)
            of = item.get("of") if isinstance(item, YamlMapping) else item
            digest = item.get("digest") if isinstance(item, YamlMapping) else None
            text = self._text(of or item, "drawing", KEYS["drawing"])
            if not text:
                continue
            carried = ""
            if digest is not None:
                signs = PartKey(about="", expected=DRAWING_KEYS["digest"], pattern=DIGEST)
                carried = self._text(digest, "digest", signs)
            yield PartDrawing(
                of=text,
                digest=carried,
                position=(of or item).position,
                digest_at=None if digest is None else digest.position,
            )

    def history(self) -> list[PartEvent]:
        """What happened to the part, by day."""
        node = self.root.get("history")
        if node is None:
            return []
        items = node.items if isinstance(node, YamlList) else (node,)
        if len(items) > MOST:
            self._wrong(node, "history", f"at most {MOST} entries")
            self.unread.append("history")
            return []
        found = [event for item in items if (event := self._event(item)) is not None]
        if len(found) < len(items):
            self.unread.append("history")
        return sorted(found, key=lambda event: event.day)

    def _event(self, item: YamlNode) -> PartEvent | None:
        if not isinstance(item, YamlMapping):
            self._wrong(item, "history", KEYS["history"].expected)
            return None
        _check(item, (*HAPPENED, *BESIDES), self.faults)
        said = [name for name in HAPPENED if item.get(name) is not None]
        if len(said) != 1:
            found = " and ".join(said) if said else "an entry that does not say what happened"
            expected = "one of " + ", ".join(HAPPENED)
            help = "write a line for each" if said else "say what happened, and on which day"
            self.faults.append(PART_SHAPE.at(item.position, found=found, expected=expected, help=help))
            return None
        what = said[0]
        node = item.get(what)
        assert node is not None
        built = what == "fitted" and isinstance(node, YamlScalar) and node.text.strip() == AS_BUILT
        day = "" if built else self._day(node, what)
        if not day and not built:
            return None
        besides = self._besides(item, what)
        by = item.get("by")
        return PartEvent(
            what=what,
            day=day,
            position=node.position,
            by_at=None if by is None else by.position,
            **{**besides, "by": besides["by"].removesuffix(".md")},
        )

    def _besides(self, item: YamlMapping, what: str) -> dict[str, str]:
        """What an entry says besides, as far as its sort takes it."""
        texts = dict.fromkeys(BESIDES, "")
        for name, about in BESIDES.items():
            node = item.get(name)
            if node is not None and name not in TAKEN_BY[what]:
                expected = f"{' and '.join(TAKEN_BY[what])} with {what}"
                self.faults.append(
                    PART_SHAPE.at(node.position, found=f"{name} with {what}", expected=expected)
                )
            elif node is not None:
                texts[name] = self._text(node, name, PartKey(about="", expected=about))
            elif NEEDED.get(what) == name:
                expected, help = f"{name}: {about}", f"write {name} into the same entry"
                self.faults.append(
                    PART_SHAPE.at(item.position, found=f"{what} without {name}", expected=expected, help=help)
                )
        return texts


def _check(node: YamlMapping, known: tuple[str, ...], faults: list[Diagnostic]) -> None:
    for key, _ in node.entries:
        if key.text not in known:
            faults.append(
                UNKNOWN_KEY.at(
                    key.position,
                    found=f"“{shorten(key.text)}”",
                    expected="one of " + ", ".join(known),
                    help=did_you_mean(key.text, known),
                    length=len(key.text),
                )
            )


def _is_day(text: str) -> bool:
    try:
        return bool(re.fullmatch(DAY, text)) and bool(date.fromisoformat(text))
    except ValueError:
        return False


def _day_meant(text: str, name: str) -> str:
    """How a day is written that stands there as 31.05.2024; of a day that was fitted, “as built”."""
    if found := _DAY_OF_MONTH_FIRST.fullmatch(text):
        day, month, year = found.groups()
        written = f"{year}-{month:0>2}-{day:0>2}"
        return f"write {written}" if _is_day(written) else ""
    return did_you_mean(text, (AS_BUILT,)) if name == "fitted" else ""


def _order_faults(part: Part) -> Iterator[Diagnostic]:
    """What cannot have happened one after the other."""
    before: PartEvent | None = None
    for event in part.history:
        is_on = before is not None and before.what == "fitted"
        found = expected = ""
        if before is not None and before.what == "gone":
            found, expected = f"{_told(event)} after {_told(before)}", "nothing after it is gone"
        elif event.what == "fitted" and is_on:
            found, expected = f"{_told(event)}, and it is on the car already", "taken_off between the two"
        elif event.what == "taken_off" and not is_on:
            found, expected = f"{_told(event)}, and it is not on the car", "fitted before it"
        elif event.what in ("stored", "gone") and is_on:
            found, expected = f"{_told(event)}, and it is on the car", "taken_off before it"
        if found:
            second = None if before is None else before.position
            yield PART_HISTORY.at(
                event.position,
                found=found,
                expected=expected,
                second=second,
                second_label="" if second is None else "what was before it",
                length=len(event.day) or len(AS_BUILT),
            )
        before = event


def _told(event: PartEvent) -> str:
    return f"{event.what} {event.day or AS_BUILT}"
