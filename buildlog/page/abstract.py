"""A page's Markdown for those that render it without our extension, such as a feed that wants a few words: no
blocks, no markers, and of a link of ours its label."""

from __future__ import annotations

import re
from collections.abc import Callable

from buildlog.kinds.hazards import HAZARDS
from buildlog.reading.markdown.page import Link
from buildlog.reading.markdown.scanner import CAUTION, scan
from buildlog.reading.markers import read_markers
from buildlog.render.words import say

_CAUTION = re.compile(rf"\[([^\[\]]*)\]\({CAUTION}([\w-]+)\)")


def without_ours(markdown: str, text_of: Callable[[Link], str]) -> str:
    """Markdown with words alone in place of what is ours. `text_of` gives the text of a figure whose label is
    empty."""
    scanned = scan(f"\n{markdown}", "")  # what looks like front matter is none any more
    starts, raw = scanned.lines.starts, scanned.lines.raw
    lines = [(fence.line, fence.end_line) for fence in scanned.fences if fence.is_calc and fence.closed]
    lines += [(marker.line, marker.line) for marker in read_markers(scanned)]
    replaced = [(starts[first - 1], starts[last - 1] + len(raw[last - 1]), "") for first, last in lines]
    replaced += [(link.start, link.end, link.label.strip() or text_of(link)) for link in scanned.links]
    kept: list[str] = []
    at = 1
    for start, end, text in sorted(replaced):
        if start >= at:
            kept += [scanned.text[at:start], text]
            at = end
    return _CAUTION.sub(_name_caution, "".join([*kept, scanned.text[at:]]))


def _name_caution(found: re.Match[str]) -> str:
    hazard = HAZARDS.get(found[2])
    return found[1] or (say(hazard.title) if hazard is not None else found[2])
