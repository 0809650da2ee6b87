"""What is ours in the HTML of a page: the boxes that were put into it, and the figures in its text."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

BOX = "buildlog"
"""The class of an element that a block of ours stands in."""
FIGURE_PLACE = "buildlog-figure-place"
"""The class of what a figure stands in."""

_BEGINNING = re.compile(rf'<(div|span) class="(?:{BOX}|{FIGURE_PLACE})"[^<>]*>')
_TAGS = {tag: re.compile(rf"<(/?){tag}(?=[\s>])") for tag in ("div", "span")}


@dataclass(frozen=True, kw_only=True)
class OurPart:
    """Where a part of ours stands in HTML: what it holds is from `start` up to `end`. None is in another."""

    opening: int
    start: int
    end: int
    closing: int
    is_box: bool


def our_parts(html: str) -> Iterator[OurPart]:
    """The parts of ours, in order."""
    at = 0
    while (begun := _BEGINNING.search(html, at)) is not None:
        at, depth = begun.end(), 1
        for tag in _TAGS[begun[1]].finditer(html, at):
            depth += -1 if tag[1] else 1
            if depth == 0:
                at = html.index(">", tag.end()) + 1
                yield OurPart(
                    opening=begun.start(),
                    start=begun.end(),
                    end=tag.start(),
                    closing=at,
                    is_box=begun[1] == "div",
                )
                break


def replace_ours(html: str, replacement: Callable[[str], str]) -> str:
    """HTML with something else in each part of ours."""
    kept: list[str] = []
    at = 0
    for part in our_parts(html):
        kept += [html[at : part.start], replacement(html[part.start : part.end])]
        at = part.end
    return "".join([*kept, html[at:]]) if kept else html
