"""The keys of a part's file, ``content/parts/NAME.yml``, and what each of them takes.

The reader checks by these declarations, and the schema for editors is made of them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from buildlog.said import said

FOLDER = "parts"
NAME = r"[a-z0-9]+(?:-[a-z0-9]+)*"
"""What a part's file is called, without its ending: figures, bills and other parts name it so."""
DAY = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
AS_BUILT = "as built"
"""In place of the day on which a part was fitted: it was on the car when its maker built it."""
LONGEST = 300
MOST = 100
"""Of a list: more parts than one replaces, more events than one has."""

ORIGINS: Mapping[str, str] = MappingProxyType(
    {
        "made": said("made in the workshop"),
        "bought": said("bought"),
        "car": said("came with the car"),
    }
)
COPYING: Mapping[str, str] = MappingProxyType(
    {
        "allowed": said("may be copied"),
        "ask": said("ask before copying"),
        "no": said("must not be copied"),
    }
)

Shape = Literal["text", "day", "value", "names", "drawings", "history"]


@dataclass(frozen=True, kw_only=True)
class PartKey:
    """What a key takes: a text, which is one of `words` or written as `pattern` says where there are any; a
    day; a value with the unit of a `dimension`; names of parts; drawings; or what happened to the part.
    `with_it` are keys without which it says too little. A text has at most `longest` signs, as many as
    a bill takes."""

    about: str
    expected: str
    shape: Shape = "text"
    words: Mapping[str, str] = field(default_factory=dict)
    pattern: str = ""
    dimension: str = ""
    longest: int = LONGEST
    required: bool = False
    with_it: tuple[str, ...] = ()

    def takes(self, text: str) -> bool:
        if len(text) > self.longest:
            return False
        if self.words:
            return text in self.words
        return not self.pattern or re.fullmatch(self.pattern, text) is not None


_TEXT = f"a text of up to {LONGEST} characters"
_LONGEST_NAME = 80
_LONGEST_NUMBER = 60
_A_DAY = "a day as 2024-05-31"
_PAGE = r"[^\s#]+"

KEYS: Mapping[str, PartKey] = MappingProxyType(
    {
        "name": PartKey(
            about="what the part is called",
            expected=f"a text of up to {_LONGEST_NAME} characters",
            longest=_LONGEST_NAME,
            required=True,
        ),
        "about": PartKey(about="what a reader should know of it", expected=_TEXT),
        "number": PartKey(
            about="its number, of the maker or of your own",
            expected=f"a text of up to {_LONGEST_NUMBER} characters",
            longest=_LONGEST_NUMBER,
        ),
        "revision": PartKey(about="which version of it this is", expected=_TEXT),
        "standard": PartKey(
            about="whether it belongs to the car as its maker built it",
            expected="yes or no",
            words={"yes": "", "no": ""},
            required=True,
        ),
        "origin": PartKey(
            about="where it comes from", expected="one of " + ", ".join(ORIGINS), words=ORIGINS
        ),
        "cars": PartKey(
            about="the sheets of the cars that it fits", expected="names of sheets in cars", shape="names"
        ),
        "drawing": PartKey(
            about="what shows it at full size: PAGE#BLOCK, PAGE#BLOCK.CASE or a file, or a list of these; "
            "with the digest of what it showed, {of: PAGE#BLOCK, digest: 0123456789ab}",
            expected="PAGE#BLOCK, a file, or {of: one of these, digest: …}",
            shape="drawings",
        ),
        "mass": PartKey(
            about="its mass on the scale, with ±",
            expected="a mass, like 0.41 ± 0.01 kg",
            shape="value",
            dimension="mass",
            with_it=("weighed",),
        ),
        "weighed": PartKey(
            about="on which day it was weighed", expected=_A_DAY, shape="day", with_it=("mass",)
        ),
        "supplier": PartKey(
            about="who sells it",
            expected=f"a text of up to {_LONGEST_NAME} characters",
            longest=_LONGEST_NAME,
        ),
        "price": PartKey(
            about="what one costs, or its material where it is made, with the currency",
            expected="a price, like 22 EUR",
            shape="value",
            dimension="money",
            with_it=("priced",),
        ),
        "priced": PartKey(
            about="of which day the price is", expected=_A_DAY, shape="day", with_it=("price",)
        ),
        "replaces": PartKey(
            about="the parts in whose place it goes", expected="names of parts", shape="names"
        ),
        "superseded_by": PartKey(
            about="the part that is made or bought in its stead now",
            expected="the name of a part",
            pattern=NAME,
        ),
        "page": PartKey(
            about="the page that tells how it is made and fitted, whose steps and bill are handed over",
            expected="a page, as episodes/cold-air-duct",
            pattern=_PAGE,
        ),
        "copying": PartKey(
            about="whether others may make one", expected="one of " + ", ".join(COPYING), words=COPYING
        ),
        "licence": PartKey(
            about="the licence under which it may be copied", expected=_TEXT, with_it=("copying",)
        ),
        "licence_text": PartKey(
            about="the file with the licence's text",
            expected="a path under the content folder",
            with_it=("licence",),
        ),
        "history": PartKey(
            about="what happened to it: a list of days",
            expected="a list of {fitted: DAY, by: PAGE}, {taken_off: DAY, by: PAGE, lies: WHERE}, "
            "{stored: DAY, lies: WHERE} and {gone: DAY, why: TEXT}",
            shape="history",
        ),
    }
)

HAPPENED: Mapping[str, str] = MappingProxyType(
    {
        "fitted": f"the day on which it went onto the car, or “{AS_BUILT}”",
        "taken_off": "the day on which it came off",
        "stored": "the day since which it lies elsewhere",
        "gone": "the day since which it cannot be fitted any more: worn out, sold, thrown away",
    }
)
"""What can happen to a part; each entry of its history says one of these."""
BESIDES: Mapping[str, str] = MappingProxyType(
    {
        "by": "the page that tells of it",
        "car": "the sheet of the car, where the part fits several",
        "lies": "where it lies now",
        "why": "why it is gone",
    }
)
"""What an entry may say besides."""
NEEDED: Mapping[str, str] = MappingProxyType({"stored": "lies", "gone": "why"})
TAKEN_BY: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "fitted": ("by", "car"),
        "taken_off": ("by", "lies"),
        "stored": ("by", "lies"),
        "gone": ("by", "why"),
    }
)
DRAWING_KEYS: Mapping[str, str] = MappingProxyType(
    {
        "of": "PAGE#BLOCK, PAGE#BLOCK.CASE, or a file under the content folder",
        "digest": "what the drawing carried when the part was made: twelve signs, 0–9 and a–f",
    }
)
DIGEST = r"[0-9a-f]{12}"
