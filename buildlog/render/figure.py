"""A figure in the prose: its quiet mark, and what a reader learns of it on hover and focus.

Computed, cited and told are told apart by the line under the figure and by a word or number beside it,
never by colour alone. All of it works without a script: the note is a tooltip that the style sheet shows,
and it is bound to the link for those who hear the page.
"""

from __future__ import annotations

from buildlog.judging import Judged
from buildlog.labels import plain, write_figure
from buildlog.render.pieces import Link, Rendered, render
from buildlog.render.quantities import shown
from buildlog.render.table import in_words, sentence
from buildlog.results import card_anchor, row_anchor

_SHORT = 18
"""Figures up to so many characters are not broken between number and unit."""

KINDS = {"calc": "computed", "cite": "cited", "told": "told"}


def source_anchor(source: str) -> str:
    """The id of a source in the page's list of sources."""
    return f"source-{source}"


def render_figure(
    judged: Judged, page: str, note_id: str, *, number: int = 0, in_heading: bool = False
) -> Rendered:
    """A figure on a page. `note_id` is unique on the page; `number` is the source's in the page's list.

    In a heading it carries no note, which would end up in the table of contents; what disagrees says so
    there too.
    """
    kind = KINDS.get(judged.kind, "computed") if judged.agrees else "wrong"
    label = judged.text or judged.address
    note = [] if in_heading else _note(judged)
    target = _target(judged, page)
    short = " buildlog-short" if len(plain(label).text) <= _SHORT else ""
    attributes = {"class": f"buildlog-figure buildlog-{kind}{short}"}
    if note:
        attributes["aria-describedby"] = note_id
    link = Link(target[0], target[1], plain(label).text, attributes, label=True) if target else None
    return render(
        "figure.html.j2",
        kind=kind,
        label=plain(label).text,
        target=link,
        tag=_tag(judged, number),
        verdict=_verdict(judged),
        note=note,
        note_id=note_id,
    )


def _target(judged: Judged, page: str) -> tuple[str | None, str] | None:
    """(page, anchor) that the figure leads to: its row, the card of a block at fault, or its source."""
    if judged.source is not None:
        return None, source_anchor(judged.source.id)
    block = judged.block
    if block is None:
        return None
    other = block.page if block.page != page else None
    if judged.output and block.cases:
        return other, row_anchor(block.id, judged.output, judged.key)
    return other, card_anchor(block.id)


def _tag(judged: Judged, number: int) -> str:
    if not judged.agrees:
        return ""
    if judged.kind == "told":
        return "unverified"
    return f"S{number}" if judged.kind == "cite" and number else ""


def _verdict(judged: Judged) -> str:
    """What is wrong, in words that stand in the page."""
    if judged.agrees:
        return ""
    if judged.verdict is not None:
        return f"disagrees: {judged.verdict.shown} is computed"
    first = judged.diagnostics[0] if judged.diagnostics else None
    if first is None:
        return "cannot be checked"
    return f"{first.message}: {first.found}" if first.found else first.message


def _note(judged: Judged) -> list[str]:
    if judged.source is not None and judged.agrees:
        return _of_source(judged)
    if judged.block is None or judged.value is None:
        return [
            f"{one.message}. Found {one.found}; expected {one.expected}. {one.help}"
            for one in judged.diagnostics
        ]
    block, value = judged.block, judged.value
    exact = shown(value, more=0 if value.unit == "%" else 1)
    lines = [f"Computed: {exact.text}" + (" (k = 2)" if exact.uncertainty else "")]
    declared = block.outputs.get(judged.output)
    what = sentence(declared.about) if declared else judged.output
    if judged.key and declared:
        what += f", {declared.key} {in_words(judged.key)}"
    if judged.case:
        what += f", {judged.case}"
    if judged.versus:
        what += f", change from {judged.versus}"
    lines.append(what)
    if judged.verdict is not None and judged.verdict.difference:
        verdict = judged.verdict
        digits = max(0, value.decimals + 1)
        difference = write_figure(abs(verdict.difference), digits, verdict.unit.symbol)
        if any(digit in difference.split("\u00a0")[0] for digit in "123456789"):
            sign = "more" if verdict.difference > 0 else "less"
            lines.append(
                f"{difference} {sign} than stated" + ("" if judged.agrees else ", which is not allowed")
            )
    lines.append(f"From {block.title or block.id}")
    return lines


def _of_source(judged: Judged) -> list[str]:
    source = judged.source
    assert source is not None
    if judged.kind == "told":
        return [f"Unverified: {source.who}, {source.when}", *([source.about] if source.about else [])]
    parts = [part for part in (source.title, source.publisher, source.edition, source.page) if part]
    return ["Cited, not computed", ", ".join(parts)]
