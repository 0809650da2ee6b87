"""Values of the front matter, read with their places: texts with figures, lists, units, cautions."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from buildlog.diagnostics import Diagnostic, Position, Refused, declare, did_you_mean, shorten
from buildlog.figures import units
from buildlog.kinds.hazards import HAZARDS
from buildlog.reading.front_matter_keys import KEYS, MEASURED, MOST_CELLS, MOST_ITEMS, FrontMatterKey
from buildlog.reading.markdown.inline import FoundLink, read_inlines, unescape
from buildlog.reading.markdown.page import MASK, SCHEMES, Link, ProseSpan, ScannedPage
from buildlog.reading.markdown.slips import addresses_in, find_slip
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, describe

_COUNTED = "two three four five six seven eight nine ten eleven twelve".split()
_COUNTS = tuple(str(count) for count in range(1, MOST_CELLS + 1))
_AT_PLACES = re.compile(f"(?:at|in) ({'|'.join(_COUNTED)}|[2-9]|1[0-2]) (?:places|points|spots|positions)")

HOW_TO_SHAPE = declare(
    "how-to-shape",
    "a key of the front matter does not hold what it should",
    why="What is not understood would be missing on the page and on the workshop sheet.",
    mend="The manual lists the keys and what each of them takes.",
    example="buildlog: {reversible: perhaps}",
)
FIGURE_IN_FRONT_MATTER = declare(
    "figure-in-front-matter",
    "the address of a figure stands in front matter that takes none",
    why="Site generators show such texts as written, in titles and in search results, and unproofed.",
    mend="Write the figure in the page's text, and words in the front matter. The manual lists the keys that "
    "take figures, as links.",
    example='title: "[14 h](cite:workshop-book) for a final drive"',
)
UNKNOWN_CAUTION = declare(
    "unknown-caution",
    "no such caution",
    why="A reader would not be warned of what the author had in mind.",
    mend="Name a caution of the list in the manual.",
    example="buildlog: {hazards: [liftng]}",
)


@dataclass(frozen=True)
class Words:
    """A text of the front matter. `start` is its offset in the page's text; `links` are its figures."""

    text: str
    position: Position
    start: int = 0
    links: tuple[Link, ...] = ()

    def pieces(self) -> list[str | Link]:
        """The text between the figures, and the figures, in order."""
        pieces: list[str | Link] = []
        at = 0
        for link in self.links:
            pieces += [unescape(self.text[at : link.start - self.start]), link]
            at = link.end - self.start
        return [piece for piece in [*pieces, unescape(self.text[at:])] if piece]


@dataclass(frozen=True)
class Measurement:
    """Something to measure before starting; `unit` is its symbol, "" where it is no number. `readings` are
    the names of its readings, "" for one that has none: one of them where nothing else is said."""

    what: Words
    unit: str = ""
    readings: tuple[str, ...] = ("",)


def counted_places(text: str) -> int:
    """4 for “at four places”; 0 for all else, since only so it is said how often something is read."""
    found = _AT_PLACES.fullmatch(" ".join(text.split()).casefold())
    if found is None:
        return 0
    if found[1] in _COUNTED:
        return _COUNTED.index(found[1]) + 2
    return int(found[1])


@dataclass
class FrontMatterReader:
    """Reads the values of one page's front matter; collects faults, figures and prose."""

    scanned: ScannedPage
    faults: list[Diagnostic] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    prose: list[ProseSpan] = field(default_factory=list)

    def wrong(self, node: YamlNode, expected: str, help: str = "") -> None:
        length = len(node.text) if isinstance(node, YamlScalar) else 1
        self.faults.append(
            HOW_TO_SHAPE.at(node.position, found=describe(node), expected=expected, help=help, length=length)
        )

    def word(self, node: YamlNode | None, expected: str) -> str:
        """A short text that is no prose."""
        if node is None:
            return ""
        if not isinstance(node, YamlScalar) or not node.text.strip():
            self.wrong(node, expected)
            return ""
        return " ".join(node.text.split())

    def one(self, own: YamlMapping, name: str) -> str:
        """A short text that is as its key takes it; "" where it is not there, or not so."""
        key, node = KEYS[name], own.get(name)
        text = self.word(node, key.expected)
        if text and node is not None and not key.takes(text):
            self.wrong(node, key.expected, did_you_mean(text, key.words))
            return ""
        return text

    def words_of(self, own: YamlMapping, name: str) -> Words | None:
        """The text of a key, with its figures."""
        return self.words(own.get(name), KEYS[name].expected)

    def list_of(self, own: YamlMapping, name: str) -> tuple[Words, ...]:
        """The texts of a key, with their figures."""
        texts = (self.words(item) for item in self.items(own.get(name), KEYS[name]))
        return tuple(words for words in texts if words is not None)

    def words(self, node: YamlNode | None, expected: str = "a text") -> Words | None:
        """A text, with its figures."""
        if node is None:
            return None
        if not isinstance(node, YamlScalar) or not node.text.strip():
            self.wrong(node, expected)
            return None
        text = node.text
        start = self._offset(node)
        if start is None:
            if any(sign.isdigit() for sign in text):
                self.wrong(
                    node,
                    "a text with a figure on one line, without escapes",
                    "long texts can be a list of lines",
                )
                return None
            return Words(" ".join(text.split()), node.position)
        # No definitions and no footnotes: those of the page do not reach into its front matter.
        inlines = read_inlines(text, {}, ())
        candidates = (self._link(text, start, found) for found in inlines.links)
        links = tuple(link for link in candidates if link is not None)
        self.links += links
        shown = list(text)
        for low, high in [*inlines.masked, *((link.start - start, link.end - start) for link in links)]:
            shown[low:high] = MASK * (high - low)
        place = self.scanned.offset_to_position(start)
        self.prose.append(ProseSpan(line=place.line, column=place.column, text="".join(shown)))
        return Words(text, place, start, links)

    def stray_addresses(self, node: YamlNode | None, *, in_links_only: bool) -> None:
        """Note the addresses of figures that stand in a node, or below it, in no link that is read. On a page
        that has nothing else of ours, what is no link may be another program's (`in_links_only`)."""
        if isinstance(node, YamlMapping):
            for key, value in node.entries:
                self.stray_addresses(key, in_links_only=in_links_only)
                self.stray_addresses(value, in_links_only=in_links_only)
        elif isinstance(node, YamlList):
            for item in node.items:
                self.stray_addresses(item, in_links_only=in_links_only)
        elif isinstance(node, YamlScalar):
            self._note_stray(node, in_links_only)

    def _note_stray(self, node: YamlScalar, in_links_only: bool) -> None:
        offset = self._offset(node)
        for start, end in addresses_in(node.text):
            if in_links_only and not node.text[:start].endswith("]("):
                continue
            place = node.position
            if offset is not None:
                at = offset + start
                if any(link.start <= at < link.end for link in self.links):
                    continue
                place = self.scanned.offset_to_position(at)
            if any(fault.position == place for fault in self.faults):
                continue
            found = shorten(node.text[start:end])
            self.faults.append(
                FIGURE_IN_FRONT_MATTER.at(
                    place,
                    found=found,
                    expected="words, or a link in a key that takes figures",
                    length=end - start,
                )
            )

    def _offset(self, node: YamlScalar) -> int | None:
        """Where the text of a scalar begins in the page; None where it is not written as it is read."""
        lines = self.scanned.lines
        start = lines.starts[node.position.line - 1] + node.position.column - 1
        start += node.quoted  # the quote; with an escape or a folded line the texts below differ
        there = self.scanned.text[start : start + len(node.text)]
        is_as_written = there == node.text and "\n" not in there
        return start if is_as_written else None

    def _link(self, text: str, start: int, found: FoundLink) -> Link | None:
        label, address, title = found.label, found.address, found.title
        written = unescape(text[slice(*address)].strip())
        if not written.startswith(SCHEMES):
            place = self.scanned.offset_to_position(start + address[0])
            slip = find_slip(written, text[slice(*label)], place)
            self.faults += [slip] if slip is not None else []
            return None
        return Link(
            form=found.form,
            label=text[slice(*label)],
            address=written,
            title=unescape(text[slice(*title)]) if title else None,
            start=start + found.start,
            end=start + found.end,
            label_start=start + label[0],
            label_end=start + label[1],
            address_start=start + address[0],
            address_end=start + address[1],
            title_start=start + title[0] if title else None,
            definition_start=None,
            path=self.scanned.path,
            lines=self.scanned.lines,
        )

    def items(self, node: YamlNode | None, key: FrontMatterKey) -> tuple[YamlNode, ...]:
        """The entries of a list; one text is a list of one."""
        if node is None:
            return ()
        if isinstance(node, YamlScalar) and node.text.strip():
            return (node,)
        if not isinstance(node, YamlList) or len(node.items) > MOST_ITEMS:
            self.wrong(node, key.expected)
            return ()
        return node.items

    def measurements(self, own: YamlMapping, name: str) -> tuple[Measurement, ...]:
        """“What: unit”, “what: {unit: …, readings: …}”, or a text alone for what is no number."""
        expected = KEYS[name].expected
        measurements: list[Measurement] = []
        for item in self.items(own.get(name), KEYS[name]):
            pairs = item.entries if isinstance(item, YamlMapping) else ((item, None),)
            for what, said in pairs:
                words = self.words(what, expected)
                unit, readings = said, None
                if isinstance(said, YamlMapping):
                    unit, readings = said.get("unit"), said.get("readings")
                    for key, _ in said.entries:
                        if key.text not in MEASURED:
                            self.wrong(key, ", ".join(MEASURED), did_you_mean(key.text, MEASURED))
                if words is not None:
                    measurements.append(
                        Measurement(words, self._unit(unit), self._readings(readings, words.text))
                    )
        return tuple(measurements)

    def _readings(self, node: YamlNode | None, text: str) -> tuple[str, ...]:
        """How many readings: as said, or as the words have it where they say “at four places” and no less."""
        if node is None:
            told = {counted_places(part) for part in re.split("[,;]", text)} - {0}
            return ("",) * told.pop() if len(told) == 1 else ("",)
        if isinstance(node, YamlList):
            names = tuple(self.word(item, "the name of a reading") for item in node.items)
            if 0 < len(names) <= MOST_CELLS:
                return names
        elif isinstance(node, YamlScalar) and node.text in _COUNTS:
            return ("",) * int(node.text)
        self.wrong(node, f"a whole number from 1 to {MOST_CELLS}, or a list of names")
        return ("",)

    def _unit(self, node: YamlNode | None) -> str:
        spelling = self.word(node, "a unit")
        if not spelling or node is None:
            return ""
        try:
            return units.find(spelling).symbol
        except Refused as error:
            self.faults.append(
                error.code.at(
                    node.position,
                    found=error.found,
                    expected=error.expected,
                    help=error.help,
                    length=len(spelling),
                )
            )
            return ""

    def hazards(self, own: YamlMapping, name: str) -> tuple[str, ...]:
        names: dict[str, None] = {}  # a set that keeps the author's order
        for item in self.items(own.get(name), KEYS[name]):
            caution = self.word(item, "the id of a caution")
            if caution in HAZARDS:
                names[caution] = None
            elif caution:
                self.faults.append(unknown_caution(caution, item.position))
        return tuple(names)


def unknown_caution(name: str, position: Position, length: int = 0) -> Diagnostic:
    """The finding on a caution that is not in the list."""
    return UNKNOWN_CAUTION.at(
        position,
        found=f"“{shorten(name)}”",
        expected="one of " + ", ".join(HAZARDS),
        help=did_you_mean(name, HAZARDS),
        length=length or len(name),
    )
