"""What the front matter of a page says about a job: what it takes, what can hurt, which episode it is.

All else in the front matter belongs to the site generator. Texts may hold figures, which are links as in
the prose; they are handed on with exact positions, so that the proof reads them like any other.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from buildlog.diagnostics import Diagnostic, Position, Severity, declare, did_you_mean, shorten
from buildlog.figures.labels import plain
from buildlog.reading.blocks import Block
from buildlog.reading.front_matter import FrontMatterReader, Measurement, Words
from buildlog.reading.markdown.page import MASK, Link, ProseSpan, ScannedPage
from buildlog.reading.nodes import DUPLICATE_KEY, YamlMapping, YamlNode, YamlScalar, read_yaml
from buildlog.reading.steps import Step, read_steps
from buildlog.said import said

KEY = "buildlog"
"""Our own key of the front matter."""
KEYS = (
    "series",
    "episode",
    "date",
    "updated",
    "lang",
    "glossary",
    "time",
    "skill",
    "reversible",
    "hazards",
    "tools",
    "consumables",
    "measure",
    "steps",
    "undo",
    "bill",
)
REVERSIBLE = {
    "yes": said("Can be put back to what it was"),
    "in part": said("Can be put back in part"),
    "no": said("Cannot be put back"),
}
BILL_KIND = "parts"
# What generators read themselves and nobody means ours by. Besides these, a key is asked about only where
# it is nearly one of ours.
_GENERATORS = frozenset(
    "title description template hide tags icon status search subtitle authors categories slug draft links "
    "image social comments author summary template robots pin readtime revision_date loose".split()
)
_NEAR = 0.78
_MOST_LINES = 500  # a lone "---" at the top of a long page is looked for no further than this
# BCP 47 (RFC 5646), 2.1: a language, and what narrows it down, without tags for private use.
_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8}){0,4}")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")

FRONT_MATTER_KEY = declare(
    "front-matter-key",
    "a key of the front matter that is nearly one of buildlog's",
    why="A mistyped key would be missing on the page and on the workshop sheet.",
    mend="Correct the spelling, or set this code to off if the key is another program's.",
    severity=Severity.WARNING,
    example="consumeables: [axle oil]",
)
FRONT_MATTER_UNREADABLE = declare(
    "front-matter-unreadable",
    "front matter that cannot be read",
    why="Site generators then show it as text at the top of the page, and nothing that it says counts.",
    mend="Correct it where the finding points; quotes help where a text holds a colon or a bracket.",
    severity=Severity.WARNING,
    example="series: [The Brindle        # and no closing bracket",
)
SERIES_ORDER = declare(
    "series-order",
    "the episode's place in its series is not clear",
    why="Readers find the episode before and the episode after by the number.",
    mend="Give each page of a series a series and an episode number of its own.",
    example="series: The Brindle        # and no episode",
)


@dataclass(frozen=True, kw_only=True)
class HowTo:
    """The front matter of a page, as far as it is ours. `title` is the page's, for links to it; `at` is where
    our key stands."""

    title: str = ""
    at: Position | None = None
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
    root: YamlNode | None, duplicates: Sequence[Diagnostic], scanned: ScannedPage, blocks: Sequence[Block]
) -> HowTo:
    """What a page's front matter says about a job. `root` is it as YAML (None: there is none)."""
    if not isinstance(root, YamlMapping):
        return HowTo(title=_heading(scanned))
    reader = FrontMatterReader(scanned)
    ours = [key for key, _ in root.entries if key.text in KEYS]
    if ours:
        reader.faults += [fault for fault in duplicates if fault.code == DUPLICATE_KEY]
    _check_keys(root, reader.faults)
    day = _date(root, "date", reader)
    howto = HowTo(
        title=_title(root) or _heading(scanned),
        at=_place(root, KEY),
        series=reader.word(root.get("series"), "the name of the series"),
        episode=_episode(root, reader),
        episode_at=_place(root, "episode") or _place(root, "series"),
        date=day,
        updated=_updated(root, day, reader),
        lang=_language(root, reader),
        glossary=_glossary(root, reader),
        time=reader.words(root.get("time"), "how long it takes"),
        skill=reader.words(root.get("skill"), "who can do it"),
        reversible=_reversible(root.get("reversible"), reader),
        hazards=reader.hazards(root.get("hazards")),
        tools=reader.word_list(root.get("tools"), "a list of tools"),
        consumables=reader.word_list(root.get("consumables"), "a list of what is used up"),
        measure=reader.measurements(root.get("measure")),
        steps=_steps(root.get("steps"), reader),
        undo=reader.word_list(root.get("undo"), "how to put it back: a text, or a list of steps"),
        bill=_bill(root.get("bill"), reader, blocks),
    )
    reader.stray_addresses(root)
    if bool(howto.series) != (root.get("episode") is not None):
        there, missing = ("series", "episode") if howto.series else ("episode", "series")
        place = _place(root, there)
        if place is not None:
            found = f"{there} without {missing}"
            reader.faults.append(SERIES_ORDER.at(place, found=found, expected="both", length=6))
    return replace(howto, faults=tuple(reader.faults), links=tuple(reader.links), prose=tuple(reader.prose))


def _place(root: YamlMapping, key: str) -> Position | None:
    node = root.key(key)
    return node.position if node is not None else None


def _title(root: YamlMapping) -> str:
    title = root.get("title")
    return " ".join(title.text.split()) if isinstance(title, YamlScalar) else ""


def _heading(scanned: ScannedPage) -> str:
    """The first heading of a page."""
    first = next((span.text for span in scanned.prose if span.is_heading), "")
    return " ".join(plain(first.replace(MASK, " ")).text.split())


def _check_keys(root: YamlMapping, faults: list[Diagnostic]) -> None:
    """Keys that are nearly ours. What is like no key of ours is the generator's."""
    for key, _ in root.entries:
        name = key.text
        if name in KEYS or name in _GENERATORS:
            continue
        near = difflib.get_close_matches(name.casefold(), KEYS, n=1, cutoff=_NEAR)
        if near:
            faults.append(
                FRONT_MATTER_KEY.at(
                    key.position,
                    found=f"“{shorten(name)}”",
                    expected=f"“{near[0]}”",
                    help=f"did you mean “{near[0]}”?",
                    length=len(name),
                )
            )


def _episode(root: YamlMapping, reader: FrontMatterReader) -> int:
    node = root.get("episode")
    text = reader.word(node, "a whole number")
    if not text or node is None:
        return 0
    if not (text.isascii() and text.isdigit() and len(text) <= 4 and int(text) and text[0] != "0"):
        reader.wrong(node, "a whole number from 1")
        return 0
    return int(text)


def _date(root: YamlMapping, key: str, reader: FrontMatterReader) -> str:
    """A day, which generators read as well: only where the page is an episode must it be one."""
    node = root.get(key)
    if not isinstance(node, YamlScalar):
        return ""
    text = node.text.strip()
    try:
        if _DATE.fullmatch(text) and text.isascii():
            return date.fromisoformat(text).isoformat()
    except ValueError:
        pass
    if root.get("series") is not None:
        reader.wrong(node, "a day as 2024-05-31")
    return ""


def _language(root: YamlMapping, reader: FrontMatterReader) -> str:
    """The language of a page's text, as HTML wants it."""
    node = root.get("lang")
    text = reader.word(node, "a language, as de or en-GB")
    if text and node is not None and not _LANGUAGE.fullmatch(text):
        reader.wrong(node, "a language, as de or en-GB")
        return ""
    return text


def _glossary(root: YamlMapping, reader: FrontMatterReader) -> Position | None:
    """Where a page says that it explains the site's terms; None where it does not."""
    node = root.get("glossary")
    text = reader.word(node, "yes or no")
    if text and node is not None and text not in ("yes", "no"):
        reader.wrong(node, "yes or no")
    return node.position if node is not None and text == "yes" else None


def _updated(root: YamlMapping, first: str, reader: FrontMatterReader) -> str:
    """The day of the last change, which cannot be before the page's own."""
    node, day = root.get("updated"), _date(root, "updated", reader)
    if node is not None and first and day and day < first:
        reader.wrong(node, f"a day from {first} on, the page's date")
        return ""
    return day if first else ""


def _reversible(node: YamlNode | None, reader: FrontMatterReader) -> str:
    text = reader.word(node, "one of " + ", ".join(REVERSIBLE))
    if text and text not in REVERSIBLE and node is not None:
        reader.wrong(node, "one of " + ", ".join(REVERSIBLE), did_you_mean(text, REVERSIBLE))
        return ""
    return text


def _steps(node: YamlNode | None, reader: FrontMatterReader) -> tuple[Step, ...]:
    """The numbered list under the heading that is named."""
    heading = reader.word(node, "a heading of this page")
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


def _bill(node: YamlNode | None, reader: FrontMatterReader, blocks: Sequence[Block]) -> tuple[str, ...]:
    """Which parts blocks, and which of their cases, were fitted; without the key, all of a single case."""
    bills = [block for block in blocks if block.kind == BILL_KIND and block.id]
    if node is None:
        return tuple(block.id for block in bills if len(block.cases) <= 1)
    known = [
        name for block in bills for name in ([f"{block.id}.{case}" for case in block.cases] or [block.id])
    ]
    chosen = []
    for item in reader.items(node, "a parts block of this page, with its case"):
        name = reader.word(item, "a parts block of this page")
        if name in known:
            chosen.append(name)
        elif name:
            expected = "a parts block of this page"
            if known:
                expected = "one of " + ", ".join(known)
            reader.wrong(item, expected, did_you_mean(name, known))
    return tuple(chosen)


def unread_front_matter(scanned: ScannedPage) -> list[Diagnostic]:
    """Findings on what was meant as front matter, and is none because it cannot be read as YAML."""
    lines = scanned.lines.raw
    if scanned.front_matter is not None or lines[0].rstrip() != "---":
        return []
    end = next((at for at, line in enumerate(lines[1:_MOST_LINES], 1) if line.rstrip() in ("---", "...")), 0)
    meant = [line.partition(":")[0] for line in lines[1:end] if ":" in line]
    if not any(key in KEYS or key in _GENERATORS for key in meant):
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
