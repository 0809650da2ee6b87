"""The keys of a page's front matter that are ours, and what each of them takes.

The reader checks by these declarations, and the schema for editors is made of them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from buildlog.kinds.hazards import HAZARDS
from buildlog.reading.plugin_options import LEVELS
from buildlog.said import said

KEY = "buildlog"
"""Our own key, which all others stand below."""
MOST_ITEMS = 100  # of a list: what a page can show, and a workshop sheet can print
MOST_CELLS = 12  # of one thing to measure: what a line of a sheet has cells for
MEASURED = ("unit", "readings")
"""What can be said of one thing to measure."""
REVERSIBLE = {
    "yes": said("Can be put back to what it was"),
    "in part": said("Can be put back in part"),
    "no": said("Cannot be put back"),
}
# BCP 47 (RFC 5646), 2.1: a language, and what narrows it down, without tags for private use.
_LANGUAGE = r"[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8}){0,4}"
_DAY = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"

Shape = Literal["one", "list", "measured"]


@dataclass(frozen=True, kw_only=True)
class FrontMatterKey:
    """What a key takes: one text; a list of texts, or one of them alone; or a list of what is to be measured.
    Where there are `words`, each text is one of them; where there is a `pattern`, it is written so, and where
    there is a `most`, it is a whole number. `expected` says it to an author who wrote something else, `about`
    what it is for."""

    about: str
    expected: str
    shape: Shape = "one"
    words: tuple[str, ...] = ()
    pattern: str = ""
    most: int = 0

    def takes(self, text: str) -> bool:
        if self.words:
            return text in self.words
        return not self.pattern or re.fullmatch(self.pattern, text) is not None


KEYS: Mapping[str, FrontMatterKey] = MappingProxyType(
    {
        "series": FrontMatterKey(about="what the page is an episode of", expected="the name of the series"),
        "episode": FrontMatterKey(
            about="the page's number in its series",
            expected="a whole number from 1",
            pattern="[1-9][0-9]{0,3}",
            most=9999,
        ),
        "date": FrontMatterKey(about="the page's day", expected="a day as 2024-05-31", pattern=_DAY),
        "updated": FrontMatterKey(
            about="the day of the last change worth telling", expected="a day as 2024-05-31", pattern=_DAY
        ),
        "lang": FrontMatterKey(
            about="the language of the text, where it is not the site's",
            expected="a language, as de or en-GB",
            pattern=_LANGUAGE,
        ),
        "glossary": FrontMatterKey(
            about="whether the page explains the site's terms", expected="yes or no", words=("yes", "no")
        ),
        "time": FrontMatterKey(about="how long the job takes", expected="how long it takes"),
        "skill": FrontMatterKey(about="who can do the job", expected="who can do it"),
        "reversible": FrontMatterKey(
            about="whether it can be put back",
            expected="one of " + ", ".join(REVERSIBLE),
            words=tuple(REVERSIBLE),
        ),
        "hazards": FrontMatterKey(
            about="cautions besides those of the kinds that the page uses",
            expected="a list of cautions",
            shape="list",
            words=tuple(HAZARDS),
        ),
        "tools": FrontMatterKey(
            about="the tools that the job needs", expected="a list of tools", shape="list"
        ),
        "consumables": FrontMatterKey(
            about="what the job uses up", expected="a list of what is used up", shape="list"
        ),
        "measure": FrontMatterKey(
            about="what to measure before starting", expected="a list of “what: unit”", shape="measured"
        ),
        "steps": FrontMatterKey(
            about="the heading of the page under which its steps stand, as a numbered list",
            expected="a heading of this page",
        ),
        "undo": FrontMatterKey(
            about="how to put it back",
            expected="how to put it back: a text, or a list of steps",
            shape="list",
        ),
        "bill": FrontMatterKey(
            about="the parts blocks whose parts were fitted, with their case",
            expected="a parts block of this page",
            shape="list",
            pattern=r"[a-z0-9]+(?:-[a-z0-9]+)*(?:\.[A-Za-z0-9_-]+)?",
        ),
        "loose": FrontMatterKey(
            about="how bad a loose figure is on this page", expected=", ".join(LEVELS), words=LEVELS
        ),
    }
)
