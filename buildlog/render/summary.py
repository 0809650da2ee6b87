"""The first sentence of a page as a reader sees it, without marks and notes: for previews and feeds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser

from buildlog.render.ours import our_parts
from buildlog.render.searched import VOID

LONGEST = 300
"""So many characters a preview has at most; what is longer ends at a word, and says so."""

_PARAGRAPH = re.compile(r"<p>(.*?)</p>", re.DOTALL)
# A full stop, and then a sentence that begins: not the one of “approx. 3 mm” or “No. 4”.
_END = re.compile(r"(?<=[.!?])(?<!\b[A-Za-z]\.)(?<!\bNo\.)[\"”’)]*(?=\s+[\"“‘(]*[^\W\d_a-z])")
_HIDDEN = frozenset(("buildlog-note", "buildlog-tag", "buildlog-other", "buildlog-hidden", "headerlink"))


def paragraphs(content: str) -> Iterator[str]:
    """The paragraphs of a page's content as HTML, without those of what is put into it."""
    for stretch in _around_boxes(content):
        yield from (found[1] for found in _PARAGRAPH.finditer(stretch))


def _around_boxes(content: str) -> Iterator[str]:
    """The content up to the first box of ours, from it to the next one, and so on."""
    at = 0
    for part in our_parts(content):
        if part.is_box:
            yield content[at : part.opening]
            at = part.closing
    yield content[at:]


def shown_text(markup: str) -> str:
    """What a reader sees of HTML in a line, without notes, marks and the other system of units."""
    reader = _Shown()
    reader.feed(markup)
    reader.close()
    return " ".join("".join(reader.kept).split())


def first_sentence(text: str) -> str:
    """The first sentence of a text."""
    end = _END.search(text)
    sentence = text[: end.end()] if end else text
    if len(sentence) <= LONGEST:
        return sentence
    return sentence[:LONGEST].rpartition(" ")[0].rstrip(",;:") + " …"


class _Shown(HTMLParser):
    """Keeps the text of what is shown."""

    def __init__(self) -> None:
        super().__init__()
        self.kept: list[str] = []
        self.open: list[tuple[str, bool]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in VOID:
            self.kept.append(" ")
            return
        classes = (dict(attrs).get("class") or "").split()
        hidden = bool(self.open) and self.open[-1][1]
        self.open.append((tag, hidden or tag in ("script", "style") or not _HIDDEN.isdisjoint(classes)))

    def handle_endtag(self, tag: str) -> None:
        if self.open and self.open[-1][0] == tag:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if not (self.open and self.open[-1][1]):
            self.kept.append(data)
