"""What a search of the site finds of our HTML: its words and values, not its drawings, notes and working."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from functools import cache

from buildlog.figures import units

UNSEARCHED = re.compile(r"\s*<(?:section|div)\b[^<>]*\sdata-search-exclude\b")
# What is left out of it, cut away before the rest is parsed: most of a card is its charts and its working.
_NO_FOLDS = r"[^<]*(?:<(?!/?details\b)[^<]*)*"
_CUT = re.compile(
    r"<(script|style)\b[^<]*(?:<(?!/\1)[^<]*)*</\1>|<svg\b[^<]*(?:<(?!/?svg\b)[^<]*)*</svg>"
    rf"|<details\b[^<>]*\sdata-search-exclude\b[^<>]*>{_NO_FOLDS}"
    rf"(?:<details\b[^<>]*>{_NO_FOLDS}</details>{_NO_FOLDS})*</details>"
)
_PARTS = re.compile(r"""<!--.*?-->|<(?:[^<>"']|"[^"]*"|'[^']*')*>|[^<]+""", re.DOTALL)
_ATTRIBUTES = re.compile(r"""\s([\w-]+)(?:="([^"]*)"|='([^']*)')?""")
_KEPT = frozenset(("p", "code", "pre", "li", "ol", "ul", "sub", "sup"))
_LEFT_OUT = frozenset(("style", "script", "object", "svg"))
# Signs of ours, units that stand apart from their numbers, and words that stand on every page that has a
# card: whoever looks for a sleeve does not want the caution about sleeves on each of them.
_LEFT_OUT_CLASSES = frozenset(
    (
        "buildlog-here",
        "buildlog-cautions",
        "buildlog-fold",
        "buildlog-caution-here",
        "buildlog-note-line",
        "buildlog-on-screen",
        "buildlog-unit",
        "buildlog-way-up",
    )
)
VOID = frozenset(("br", "col", "hr", "img", "input", "link", "meta", "source", "track", "wbr"))
# What stands in a line beside its neighbours; all else, a table's cells too, stands apart from them.
_IN_LINE = frozenset(
    "a abbr b bdi cite code data em i kbd mark q s small span strong sub sup time u var".split()
)

_PART_OF_KEY = re.compile(r"(?<=[^\W\d])\.(?=\w)")  # rows of one thing must not be as many rare words


def find_text(markup: str) -> str:
    """The text of HTML, escaped, with the few elements that show in what a search finds."""
    searched = _Searched()
    for part in _PARTS.findall(_CUT.sub("", markup)):
        if part[0] != "<":
            searched.handle_data(part)
        elif part[1] == "/":
            searched.handle_endtag(part[2:-1].rstrip())
        elif part[1] != "!":
            searched.handle_starttag(part)
    return "".join(searched.kept)


class _Searched:
    """Keeps text and some elements; leaves out what is marked so. What is no part of a line is set apart by
    spaces, since the cells of a table are otherwise found as one long word. It reads HTML that our own code
    wrote, whose every < begins a tag: a parser of anybody's HTML takes several times as long."""

    def __init__(self) -> None:
        self.kept: list[str] = []
        self.open: list[tuple[str, bool]] = []  # with whether it, or one around it, is left out
        self.of_numbers = False  # the table that it is in

    def handle_starttag(self, whole: str) -> None:
        tag = whole[1:-1].split(maxsplit=1)[0].rstrip("/")
        attributes = {name: double or single for name, double, single in _ATTRIBUTES.findall(whole)}
        self._set_apart(tag)
        if tag in VOID:
            return
        if tag == "table":
            self.of_numbers = "buildlog-values" in attributes.get("class", "").split()
        number = tag == "td" and self.of_numbers
        out = self._out or number or tag in _LEFT_OUT or _is_left_out(tag, attributes)
        self.open.append((tag, out))
        if tag in _KEPT and not out:
            self.kept.append(f"<{tag}>")
        if whole.endswith("/>"):
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open:  # it ends what began before these pieces
            self.kept.append(f"</{tag}>")
        elif self.open[-1][0] == tag:
            _, out = self.open.pop()
            if tag in _KEPT and not out:
                self.kept.append(f"</{tag}>")
            self._set_apart(tag)

    def handle_data(self, data: str) -> None:
        if self._out:
            return
        data = html.unescape(data)
        if any(tag == "th" for tag, _ in self.open):
            data = _PART_OF_KEY.sub(". ", data)
        self.kept.append(html.escape(data, quote=False))

    def _set_apart(self, tag: str) -> None:
        """A space between what stands apart. Elements that are kept set their text apart themselves."""
        if (
            not (tag in _IN_LINE or tag in _KEPT or self._out)
            and self.kept
            and self.kept[-1][-1:] not in " \n>"
        ):
            self.kept.append(" ")

    @property
    def _out(self) -> bool:
        return bool(self.open) and self.open[-1][1]


def _is_left_out(tag: str, attributes: dict[str, str]) -> bool:
    """Whether something is marked to be left out, or is the number of a table: the rows of cards are found
    by their names, and numbers where the text says them, which thousands of others would bury."""
    classes = attributes.get("class", "").split()
    if tag == "td" and "buildlog-value" in classes:
        return True
    if "buildlog-all" in classes:  # rows are found by their names, in sight or not
        return False
    return "data-search-exclude" in attributes or not _LEFT_OUT_CLASSES.isdisjoint(classes)


# --- units as readers type them ---------------------------------------------------------------


def plain_spellings(markup: str) -> Iterator[str]:
    """The figures of a stretch of HTML whose unit nobody types as we write it, as they are typed: 78 Nm for
    78 N·m. Each once."""
    pattern, spellings = _typographic()
    seen: set[str] = set()
    for number, symbol in pattern.findall(markup):
        for spelling in spellings[symbol]:
            typed = f"{number} {spelling}"
            if typed not in seen:
                seen.add(typed)
                yield typed


@units.forgotten_with_units
@cache
def _typographic() -> tuple[re.Pattern[str], dict[str, list[str]]]:
    """A pattern of numbers with such a unit, and the units' spellings by symbol."""
    spellings: dict[str, list[str]] = {}
    for dimension in units.DIMENSIONS:
        for unit in units.units_of(dimension):
            if typed := _typed(unit):
                spellings.setdefault(unit.symbol, typed)
    symbols = "|".join(map(re.escape, sorted(spellings, key=len, reverse=True)))
    # What follows ± is no figure that anybody looks for.
    return re.compile(rf"(?<!± )(?<![\d.,])(\d[\d.,]*)[ \u00a0\u202f]({symbols})(?![\w·/²³])"), spellings


def _typed(unit: units.Unit) -> list[str]:
    """How a unit of several factors is typed on a keyboard that has no middle dot: its first spelling for
    each letter that it may begin with, as lbft and ftlb."""
    if "·" not in unit.symbol:
        return []
    plain = (spelling for spelling in unit.spellings if spelling.isascii() and spelling.isalpha())
    by_letter: dict[str, str] = {}
    for spelling in plain:
        by_letter.setdefault(spelling[0], spelling)
    return list(by_letter.values())
