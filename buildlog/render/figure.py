"""A figure in the prose: its quiet mark, and what a reader learns of it on hover and focus.

Computed, cited and told are told apart by the line under the figure and by a word or number beside it,
never by colour alone. All of it works without a script: the note is a tooltip that the style sheet shows,
and it is bound to the link for those who hear the page.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from buildlog.book.addresses import Target
from buildlog.figures.labels import plain, write_figure
from buildlog.figures.systems import FEWEST_DIGITS, decimals_of, other_unit, system_of, write_rounded
from buildlog.kinds.budget import parts_in_words
from buildlog.kinds.quantities import other_of, shown
from buildlog.kinds.results import BlockResult, Value, card_anchor, input_anchor, row_anchor, sweep_anchor
from buildlog.proof.judging import Judged
from buildlog.render.conversion import other_label
from buildlog.render.grounds import ground_of
from buildlog.render.keys import key_text
from buildlog.render.pieces import LinkPiece, Rendered, render
from buildlog.render.table import sentence

_SHORT = 18
"""Figures up to so many characters are not broken between number and unit."""

_WHERE = {"calc": "To its row", "cite": "To its source", "told": "To its source"}
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
    kind = KINDS.get(judged.kind, "computed")
    if not judged.agrees:
        kind = "wrong"
    label = plain(judged.text or judged.address).text
    note = [] if in_heading else _note(judged)
    target = _target(judged, page)
    other = other_label(judged)
    classes = ["buildlog-figure", f"buildlog-{kind}"]
    if len(label) <= _SHORT:
        classes.append("buildlog-short")
    if other is not None:
        classes.append(f"buildlog-in-{other.system}")
    attributes = {"class": " ".join(classes)}
    if note:
        attributes["aria-describedby"] = note_id
    link = again = None
    if target:
        leads_to, anchor = target
        link = LinkPiece(
            page=leads_to,
            anchor=anchor,
            text=label,
            attributes=attributes,
            label=True,
            other=other.text if other else "",
        )
        # Who taps sees the note first: it leads on. The keyboard has the figure itself for that.
        again = LinkPiece(
            page=leads_to,
            anchor=anchor,
            text=_WHERE.get(judged.kind, _WHERE["calc"]),
            attributes={"tabindex": "-1"},
        )
    return render(
        "figure.html.j2",
        kind=kind,
        label=label,
        target=link,
        tag=_tag(judged, number),
        verdict=verdict_words(judged),
        note=note,
        note_id=note_id,
        other=other,
        again=again,
        ground=ground_of(judged, page),
    )


def _target(judged: Judged, page: str) -> tuple[str | None, str] | None:
    """(page, anchor) that the figure leads to: its row, the card of a block at fault, or its source."""
    if judged.source is not None:
        return None, source_anchor(judged.source.id)
    block = judged.block
    if block is None or not block.page:  # a car's sheet is on no page
        return None
    other = block.page if block.page != page else None
    return other, anchor_in_card(judged, block)


def anchor_in_card(judged: Judged, block: BlockResult) -> str:
    """The id of what a figure leads to in a block's card: its row there, or the card."""
    if judged.target is None or not block.cases:
        return card_anchor(block.id)
    return target_anchor(judged.target)


def target_anchor(target: Target) -> str:
    """The id of what an address leads to in its block's card."""
    block = target.block
    if target.at:
        return sweep_anchor(block.id)
    if target.given is None:
        return row_anchor(block.id, target.output, target.key)
    if "inputs" in block.show:
        return input_anchor(block.id, target.output)
    return card_anchor(block.id)


def _tag(judged: Judged, number: int) -> str:
    if not judged.agrees:
        return ""
    if judged.kind == "told" and judged.comparison is not None:
        how = "agrees with" if judged.comparison.agrees else "does not agree with"
        return f"told; {how} {judged.comparison.shown}"
    if judged.kind == "told":
        return "unverified"
    if judged.kind == "cite" and number:
        return f"S{number}"
    return ""


def verdict_words(judged: Judged) -> str:
    """What is wrong, in words that stand in the page."""
    if judged.agrees:
        return ""
    if judged.fact is not None and judged.verdict is not None:
        return f"disagrees: the source gives {judged.fact.text}"
    if judged.verdict is not None and not judged.verdict.wrong_way:
        return f"disagrees: {judged.verdict.shown} is {judged.found_how}"
    if judged.spoken:
        return f"disagrees: computed is {judged.spoken}"
    if not judged.diagnostics:
        return "cannot be checked"
    first = judged.diagnostics[0]
    return ": ".join(filter(None, (first.message, first.found)))


@dataclass(frozen=True, kw_only=True)
class NoteLine:
    """A line of a note: a value between words, and the value in the other system of units than `system`."""

    text: str
    other: str = ""
    system: str = ""
    before: str = ""
    after: str = ""


def _note(judged: Judged) -> list[NoteLine]:
    if judged.source is not None and judged.agrees:
        return [NoteLine(text=line) for line in _of_source(judged)]
    if judged.spoken and judged.block is not None:
        said = NoteLine(text=judged.spoken, before="Computed: ")
        source = NoteLine(text=f"From {judged.block.title or judged.block.id}")
        return [said, NoteLine(text=what_in_words(judged)), source]
    if judged.block is None or judged.value is None:
        return [
            NoteLine(
                text=f"{finding.message}. Found {finding.found}; expected {finding.expected}. {finding.help}"
            )
            for finding in judged.diagnostics
        ]
    lines = [_computed(judged.value, judged), NoteLine(text=what_in_words(judged))]
    if (difference := _difference(judged, judged.value)) is not None:
        lines.append(difference)
    if judged.comparison is not None:
        lines.append(NoteLine(text=judged.comparison.sentence))
    return [*lines, NoteLine(text=f"From {judged.block.title or judged.block.id}")]


def _computed(value: Value, judged: Judged) -> NoteLine:
    """The computed value with its uncertainty, to a digit more than the card shows; a given one as it is."""
    more = 0 if value.unit == "%" or judged.is_given else 1
    own, other = shown(value, more), other_of([value], more)
    line = NoteLine(text=own.text, before=f"{judged.found_how.capitalize()}: ")
    if own.margin:
        parts = parts_in_words(value)
        line = replace(line, after=f" (k = 2; {parts})" if parts else " (k = 2)")
    if other is not None:
        line = replace(line, other=other.shown(value).text, system=other.system)
    return line


def what_in_words(judged: Judged) -> str:
    """Which result of a block a figure names, as its row in the card does."""
    what = judged.output if judged.target is None else target_in_words(judged.target)
    if judged.versus:
        what += f", change from {judged.versus}"
    return what


def target_in_words(target: Target) -> str:
    """What an address leads to, as its row in the card names it."""
    block, what = target.block, target.output
    if (declared := block.outputs.get(target.output)) is not None:
        what = sentence(declared.about)
        if target.key:
            what += f", {declared.key} {key_text(block, declared, target.key).text}"
    elif target.given is not None:
        what = sentence(target.given.declared.about.partition(";")[0])  # behind it is when it is needed
        if target.key:
            what += f", {target.key.replace('_', ' ').replace('.', ', ')}"
    if target.at and block.sweep is not None:
        what += f", at {block.sweep.label} {target.at}"
    if target.case:
        what += f", {target.case}"
    return what


def _difference(judged: Judged, value: Value) -> NoteLine | None:
    """By how much the computed value differs from the stated one, where any digit shows it."""
    verdict = judged.verdict
    if verdict is None or not verdict.difference:
        return None
    size = abs(verdict.difference)
    difference = write_figure(size, max(0, value.decimals + 1), verdict.unit.difference_symbol())
    if not any(digit in difference.split("\u00a0")[0] for digit in "123456789"):
        return None
    words = " more than stated" if verdict.difference > 0 else " less than stated"
    if not judged.agrees:
        words += ", which is not allowed"
    unit = other_unit(verdict.unit)
    if unit is None:
        return NoteLine(text=difference, after=words)
    converted = unit.from_si_difference(verdict.unit.to_si_difference(size))
    other = f"{write_rounded(converted, decimals_of(converted, FEWEST_DIGITS))}\u00a0{unit.symbol}"
    return NoteLine(text=difference, other=other, system=system_of(verdict.unit), after=words)


def _of_source(judged: Judged) -> list[str]:
    source = judged.source
    assert source is not None
    given = []
    if judged.fact is not None:
        given = [f"{sentence(judged.fact.name.replace('-', ' '))}: {judged.fact.text}"]
    if judged.kind == "told":
        standing = "Unverified" if judged.comparison is None else "Told"
        lines = [f"{standing}: {source.who}, {source.when}", *given]
        if judged.comparison is not None:
            lines.append(judged.comparison.sentence)
        if source.about:
            lines.append(source.about)
        return lines
    return ["Cited, not computed", *given, ", ".join((source.title, *source.particulars))]
