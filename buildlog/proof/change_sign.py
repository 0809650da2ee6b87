"""Whether an unsigned change against another case still goes the way that its sentence says.

“10 % less” is written without a sign, so the figure alone does not tell. The site's record of computed
figures does, where it has both values. Else the words of the sentence do, if all of them that say a
direction say the one that is computed. Nothing else is believed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from buildlog.book.book import Page
from buildlog.proof.judging import Judged
from buildlog.reading.markdown.page import Link, ProseSpan
from buildlog.reading.record import ValueName

# The common words of English for more and for less (common practice, no source). What is also a place
# or a manner, such as over, under or up, counts only before “by”.
_UP = frozenset(
    "more higher longer larger bigger greater heavier faster hotter warmer taller wider thicker stronger "
    "gain gains gained rise rises rose risen raise raises raised grow grows grew grown "
    "increase increases increased add adds added".split()
)
_DOWN = frozenset(
    "less lower shorter smaller lighter slower cooler colder narrower thinner weaker fewer "
    "lose loses lost loss drop drops dropped fall falls fell fallen save saves saved shed sheds "
    "decrease decreases decreased reduce reduces reduced shrink shrinks shrank".split()
)
_WORD = re.compile(r"[A-Za-z]+")
_BY = re.compile(r"\b(up|down) by\b", re.IGNORECASE)
_SENTENCE_END = re.compile(r"[.!?:;](?=\s)")
_FAR = 300
"""So many characters on either side are looked at; a sentence is seldom longer."""


def goes_the_same_way(page: Page, link: Link, judged: Judged, recorded: Mapping[ValueName, float]) -> bool:
    """Whether the record, or else the sentence, shows that the change still has the computed direction."""
    assert judged.value is not None
    now = judged.value.si
    before = _recorded_change(judged, recorded)
    if before is not None:
        return before * now > 0
    said = _said(_sentence(page, link))
    return said == {1 if now > 0 else -1}


def _recorded_change(judged: Judged, recorded: Mapping[ValueName, float]) -> float | None:
    if judged.block is None:
        return None
    values = [
        recorded.get((judged.block.page, judged.block.id, case, judged.output, judged.key))
        for case in (judged.case, judged.versus)
    ]
    own, other = values
    if own is None or other is None:
        return None
    return own - other


def _said(sentence: str) -> set[int]:
    """The directions that a sentence names: 1 for more, -1 for less."""
    words = {word.lower() for word in _WORD.findall(sentence)}
    said = {sign for sign, known in ((1, _UP), (-1, _DOWN)) if words & known}
    return said | {1 if word.lower() == "up" else -1 for word in _BY.findall(sentence)}


def _sentence(page: Page, link: Link) -> str:
    """The sentence that a figure stands in, or its cell of a table; links are left out."""
    place = link.label_position
    running: dict[int, ProseSpan] = {}
    own: ProseSpan | None = None
    for span in page.scanned.prose:
        if span.line == place.line and span.column <= place.column <= span.column + len(span.text):
            own = span
        if not (span.in_table or span.is_heading):
            running[span.line] = span
    if own is None:
        return ""
    at = place.column - own.column
    before, after = own.text[:at], own.text[at:]
    if own is running.get(place.line):
        line = place.line
        while len(before) < _FAR and (above := running.get(line := line - 1)):
            before = f"{above.text}\n{before}"
        line = place.line
        while len(after) < _FAR and (below := running.get(line := line + 1)):
            after += f"\n{below.text}"
    start = 0
    for end in _SENTENCE_END.finditer(before):
        start = end.end()
    rest = _SENTENCE_END.split(after, maxsplit=1)[0]
    return before[start:] + rest
