"""What the front matter of a page says about a job: what it takes, what can hurt, which episode it is.

What is ours stands under one key; all else in the front matter belongs to the site generator. Texts may
hold figures, which are links as in the prose; they are handed on with exact positions, so that the proof
reads them like any other.

Before 0.2 our keys stood at the top. That is read for this version still, on pages with a block, and only
where it cannot be another program's: see `_is_meant`.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from buildlog.diagnostics import Diagnostic, Position, Severity, declare, did_you_mean, shorten
from buildlog.figures.labels import plain
from buildlog.reading.blocks import Block
from buildlog.reading.front_matter import FrontMatterReader, Measurement, Words
from buildlog.reading.front_matter_keys import KEY, KEYS
from buildlog.reading.markdown.page import MASK, Link, ProseSpan, ScannedPage
from buildlog.reading.nodes import (
    DUPLICATE_KEY,
    YamlList,
    YamlMapping,
    YamlNode,
    YamlScalar,
    read_yaml,
)
from buildlog.reading.steps import Step, read_steps

BILL_KIND = "parts"
SHEET = "-sheet"
"""What the name of a page's workshop sheet has behind the page's own."""
# What generators read themselves. Lines at the top were meant as front matter where one of these is in them.
_GENERATORS = frozenset(
    "title description template hide tags icon status search subtitle authors categories slug draft links "
    "image social comments author summary robots pin readtime revision_date".split()
)
_NEAR = 0.85  # how like our key another one is to be asked about
_MOST_LINES = 500  # a lone "---" at the top of a long page is looked for no further than this

FRONT_MATTER_KEY = declare(
    "front-matter-key",
    "no such key in the front matter",
    why="A mistyped key would be missing on the page and on the workshop sheet.",
    mend=f"Correct the spelling. Keys of the site generator, as title, stand at the top, outside of {KEY}.",
    example="buildlog: {consumeables: [axle oil]}",
)
FRONT_MATTER_MOVED = declare(
    "front-matter-moved",
    f"keys of {KEY} at the top of the front matter, where they stood before 0.2",
    why="At the top it is in the way of other programs that call something of theirs so. It is read for this "
    "version still, on pages with a block, and no longer by the next.",
    mend="“buildlog amend” shows how it is moved, and with --write moves it.",
    severity=Severity.NOTE,
    example="series: The Brindle        # as buildlog 0.1 had it",
)
FRONT_MATTER_UNREADABLE = declare(
    "front-matter-unreadable",
    "front matter that cannot be read",
    why="Site generators then show it as text at the top of the page, and nothing that it says counts.",
    mend="Correct it where the finding points; quotes help where a text holds a colon or a bracket.",
    severity=Severity.WARNING,
    example="buildlog: {series: The Brindle        # and no closing brace",
)
SERIES_ORDER = declare(
    "series-order",
    "the episode's place in its series is not clear",
    why="Readers find the episode before and the episode after by the number.",
    mend="Give each page of a series a series and an episode number of its own.",
    example="buildlog: {series: The Brindle}        # and no episode",
)


@dataclass(frozen=True, kw_only=True)
class HowTo:
    """The front matter of a page, as far as it is ours. `title` is the page's, for links to it; `at` is where
    our key stands, `own` what is ours as YAML, and `moved` are the keys of ours that stand at the top as they
    did before. `loose` is the page's own level for loose figures, "" where it has none."""

    title: str = ""
    at: Position | None = None
    own: YamlMapping | None = None
    moved: tuple[YamlScalar, ...] = ()
    loose: str = ""
    series: str = ""
    episode: int = 0
    episode_at: Position | None = None
    date: str = ""
    updated: str = ""
    lang: str = ""
    glossary: Position | None = None
    time: Words | None = None
    skill: Words | None = None
    reversible: str = ""
    hazards: tuple[str, ...] = ()
    tools: tuple[Words, ...] = ()
    consumables: tuple[Words, ...] = ()
    measure: tuple[Measurement, ...] = ()
    steps: tuple[Step, ...] = ()
    undo: tuple[Words, ...] = ()
    bill: tuple[str, ...] = ()
    faults: tuple[Diagnostic, ...] = ()
    links: tuple[Link, ...] = ()
    prose: tuple[ProseSpan, ...] = ()

    @property
    def is_job(self) -> bool:
        """Whether the page tells of a job to be done: it then has a summary and a workshop sheet."""
        return bool(
            self.time
            or self.skill
            or self.reversible
            or self.hazards
            or self.tools
            or self.consumables
            or self.measure
            or self.steps
            or self.undo
        )


def read_howto(
    root: YamlNode | None,
    duplicates: Sequence[Diagnostic],
    scanned: ScannedPage,
    blocks: Sequence[Block],
    *,
    is_ours: bool,
) -> HowTo:
    """What a page's front matter says about a job. `root` is it as YAML (None: there is none). `is_ours` says
    whether the page has something of ours besides."""
    if not isinstance(root, YamlMapping):
        return HowTo(title=_heading(scanned))
    reader = FrontMatterReader(scanned)
    key = root.key(KEY)
    howto = None
    if key is not None:
        howto = _read_own(root, reader, blocks)
    elif blocks:
        howto, reader = _read_moved(root, reader, blocks)
    if howto is None:
        howto = HowTo(bill=_bill(None, reader, blocks))
    if is_ours and key is None:
        _ask_for_key(root, reader.faults)
    places = {key.position} if key is not None else set()
    places.update(_key_places(howto.own))
    reader.faults += [fault for fault in duplicates if fault.code == DUPLICATE_KEY and fault.second in places]
    reader.stray_addresses(root, in_links_only=not (is_ours or key is not None))
    return replace(
        howto,
        title=_title(root) or _heading(scanned),
        at=key.position if key is not None else None,
        faults=tuple(reader.faults),
        links=tuple(reader.links),
        prose=tuple(reader.prose),
    )


def _read_own(root: YamlMapping, reader: FrontMatterReader, blocks: Sequence[Block]) -> HowTo | None:
    """What stands under our key."""
    own = root.get(KEY)
    if not isinstance(own, YamlMapping):
        if own is not None:
            reader.wrong(own, "keys with values, as “series: The Brindle”, indented below it")
        return None
    _check_keys(own, reader.faults)
    return _read_keys(own, reader, blocks)


def _read_moved(
    root: YamlMapping, reader: FrontMatterReader, blocks: Sequence[Block]
) -> tuple[HowTo | None, FrontMatterReader]:
    """What stands at the top as it did before, where it is ours; with the reader that read it."""
    at_the_top = YamlMapping(root.position, tuple(pair for pair in root.entries if pair[0].text in KEYS))
    trial = FrontMatterReader(reader.scanned)
    howto = _read_keys(at_the_top, trial, blocks, is_moved=True)
    if not _is_meant(howto, trial):
        return None, reader
    days = {"date": howto.date, "updated": howto.updated}  # a day that was not read is another program's
    entries = tuple(
        (key, value)
        for key, value in at_the_top.entries
        if key.text not in days or days[key.text] or howto.series
    )
    names = [key.text for key, _ in entries]
    first = entries[0][0]
    trial.faults.append(
        FRONT_MATTER_MOVED.at(
            first.position,
            found=", ".join(names),
            expected=f"{'it' if len(names) == 1 else 'them'} below “{KEY}:”, indented",
            length=len(first.text),
        )
    )
    own = YamlMapping(root.position, entries)
    return replace(howto, own=own, moved=tuple(key for key, _ in entries)), trial


def _is_meant(howto: HowTo, reader: FrontMatterReader) -> bool:
    """Whether keys at the top say something that only we read: a figure, an episode of a series, one of our
    own words, a block or a heading of the page; or two of time, skill and tools. A series, a date, a time or
    tools alone are as likely to be another program's."""
    assert howto.own is not None
    return bool(
        reader.links
        or (howto.series and howto.episode)
        or howto.reversible
        or howto.hazards
        or howto.steps
        or howto.loose
        or (howto.bill and howto.own.get("bill"))
        or any(isinstance(howto.own.get(key), YamlList) for key in ("consumables", "measure", "undo"))
        or sum(map(bool, (howto.time, howto.skill, howto.tools))) > 1
    )


def _read_keys(
    own: YamlMapping, reader: FrontMatterReader, blocks: Sequence[Block], *, is_moved: bool = False
) -> HowTo:
    """The values of our keys. Where they stand at the top (`is_moved`), a `date` may be another program's."""
    sure = not is_moved or own.get("series") is not None
    day = _date(own, "date", reader, sure)
    howto = HowTo(
        own=own,
        series=reader.one(own, "series"),
        episode=int(reader.one(own, "episode") or 0),
        episode_at=_place(own, "episode") or _place(own, "series"),
        date=day,
        updated=_updated(own, day, reader, sure),
        lang=reader.one(own, "lang"),
        glossary=_glossary(own, reader),
        time=reader.words_of(own, "time"),
        skill=reader.words_of(own, "skill"),
        reversible=reader.one(own, "reversible"),
        hazards=reader.hazards(own, "hazards"),
        tools=reader.list_of(own, "tools"),
        consumables=reader.list_of(own, "consumables"),
        measure=reader.measurements(own, "measure"),
        steps=_steps(own, reader),
        undo=reader.list_of(own, "undo"),
        bill=_bill(own, reader, blocks),
        loose=reader.one(own, "loose"),
    )
    if bool(howto.series) != (own.get("episode") is not None):
        there, missing = ("series", "episode") if howto.series else ("episode", "series")
        place = _place(own, there)
        if place is not None:
            found = f"{there} without {missing}"
            reader.faults.append(SERIES_ORDER.at(place, found=found, expected="both", length=6))
    return howto


def _key_places(node: YamlNode | None) -> Iterator[Position]:
    """Where the keys of a mapping stand, and those of all that it holds."""
    if isinstance(node, YamlMapping):
        for key, value in node.entries:
            yield key.position
            yield from _key_places(value)
    elif isinstance(node, YamlList):
        for item in node.items:
            yield from _key_places(item)


def _place(own: YamlMapping, key: str) -> Position | None:
    node = own.key(key)
    return node.position if node is not None else None


def _title(root: YamlMapping) -> str:
    title = root.get("title")
    return " ".join(title.text.split()) if isinstance(title, YamlScalar) else ""


def _heading(scanned: ScannedPage) -> str:
    """The first heading of a page."""
    first = next((span.text for span in scanned.prose if span.is_heading), "")
    return " ".join(plain(first.replace(MASK, " ")).text.split())


def _check_keys(own: YamlMapping, faults: list[Diagnostic]) -> None:
    """Nothing below our key is another program's: what we do not know there is a mistake."""
    for key, _ in own.entries:
        name = key.text
        if name not in KEYS:
            faults.append(
                FRONT_MATTER_KEY.at(
                    key.position,
                    found=f"“{shorten(name)}”",
                    expected="one of " + ", ".join(KEYS),
                    help="" if name in _GENERATORS else did_you_mean(name, KEYS),
                    length=len(name),
                )
            )


def _ask_for_key(root: YamlMapping, faults: list[Diagnostic]) -> None:
    """Ask about a key that is nearly our own one, on a page that has something of ours and not that key."""
    for key, _ in root.entries:
        letters = "".join(filter(str.isalpha, key.text.casefold()))
        if difflib.SequenceMatcher(a=letters, b=KEY).ratio() >= _NEAR:
            faults.append(
                FRONT_MATTER_KEY.at(
                    key.position,
                    f"a key of the front matter that is nearly “{KEY}”",
                    found=f"“{shorten(key.text)}”",
                    expected=f"“{KEY}”",
                    help=f"did you mean “{KEY}”?",
                    length=len(key.text),
                    severity=Severity.WARNING,
                )
            )


def _date(own: YamlMapping, key: str, reader: FrontMatterReader, sure: bool) -> str:
    """A day. Only where it is surely ours must it be one."""
    node = own.get(key)
    if node is None:
        return ""
    text = node.text.strip() if isinstance(node, YamlScalar) else ""
    try:
        if KEYS[key].takes(text):
            return date.fromisoformat(text).isoformat()
    except ValueError:
        pass
    if sure:
        reader.wrong(node, KEYS[key].expected)
    return ""


def _updated(own: YamlMapping, first: str, reader: FrontMatterReader, sure: bool) -> str:
    """The day of the last change, which cannot be before the page's own."""
    node, day = own.get("updated"), _date(own, "updated", reader, sure)
    if node is not None and day and sure and own.get("date") is None:
        reader.wrong(node, "a date beside it, from which on it was changed")
    if node is not None and first and day and day < first:
        reader.wrong(node, f"a day from {first} on, the page's date")
        return ""
    return day if first else ""


def _glossary(own: YamlMapping, reader: FrontMatterReader) -> Position | None:
    """Where a page says that it explains the site's terms; None where it does not."""
    node = own.get("glossary")
    return node.position if node is not None and reader.one(own, "glossary") == "yes" else None


def _steps(own: YamlMapping, reader: FrontMatterReader) -> tuple[Step, ...]:
    """The numbered list under the heading that is named."""
    node, heading = own.get("steps"), reader.one(own, "steps")
    if not heading or node is None:
        return ()
    found = read_steps(reader.scanned, heading)
    if found is None:
        known = [
            " ".join(plain(span.text.replace(MASK, " ")).text.split())
            for span in reader.scanned.prose
            if span.is_heading
        ]
        reader.wrong(node, "a heading of this page", did_you_mean(heading, known))
    elif not found:
        reader.wrong(node, "a heading with a numbered list under it")
    return found or ()


def _bill(own: YamlMapping | None, reader: FrontMatterReader, blocks: Sequence[Block]) -> tuple[str, ...]:
    """Which parts blocks, and which of their cases, were fitted; without the key, all of a single case."""
    bills = [block for block in blocks if block.kind == BILL_KIND and block.id]
    key, node = KEYS["bill"], own.get("bill") if own is not None else None
    if node is None:
        return tuple(block.id for block in bills if len(block.cases) <= 1)
    known = [
        name for block in bills for name in ([f"{block.id}.{case}" for case in block.cases] or [block.id])
    ]
    chosen = []
    for item in reader.items(node, key):
        name = reader.word(item, key.expected)
        if name in known:
            chosen.append(name)
        elif name:
            expected = "one of " + ", ".join(known) if known else key.expected
            reader.wrong(item, expected, did_you_mean(name, known))
    return tuple(chosen)


def unread_front_matter(scanned: ScannedPage, *, is_ours: bool) -> list[Diagnostic]:
    """Findings on what was meant as front matter, and is none because it cannot be read as YAML. Only where
    the page has something of ours, if only our key, is that our business."""
    lines = scanned.lines.raw
    if scanned.front_matter is not None or lines[0].rstrip() != "---":
        return []
    end = next((at for at, line in enumerate(lines[1:_MOST_LINES], 1) if line.rstrip() in ("---", "...")), 0)
    meant = [line.partition(":")[0] for line in lines[1:end] if ":" in line]
    if KEY not in meant and not (is_ours and any(key in KEYS or key in _GENERATORS for key in meant)):
        return []
    _, faults = read_yaml(
        "\n".join(lines[1:end]) + "\n",
        lambda line, column: Position(scanned.path, line + 2, column + 1),
        lenient=True,
    )
    return [
        FRONT_MATTER_UNREADABLE.at(
            fault.position, found=fault.found, expected=fault.expected, help=fault.help
        )
        for fault in faults[:1]  # what follows the first is a consequence of it
    ]


def series_faults(pages: Mapping[str, HowTo]) -> list[Diagnostic]:
    """Findings on episodes of one series that share a number."""
    seen: dict[tuple[str, int], HowTo] = {}
    faults = []
    for howto in pages.values():
        if not (howto.series and howto.episode):
            continue
        first = seen.setdefault((howto.series, howto.episode), howto)
        if first is not howto and howto.episode_at is not None:
            faults.append(
                SERIES_ORDER.at(
                    howto.episode_at,
                    found=f"episode {howto.episode} of “{shorten(howto.series)}” for the second time",
                    expected="a number of its own",
                    second=first.episode_at,
                    second_label="the other one is here",
                    length=len("episode"),
                )
            )
    return faults
