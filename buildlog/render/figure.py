"""A figure in the prose: its quiet mark, and what a reader learns of it on hover and focus.

Computed, cited and told are told apart by the line under the figure and by a word or number beside it,
never by colour alone. All of it works without a script: the note is a tooltip that the style sheet shows,
and it is bound to the link for those who hear the page.
"""

from __future__ import annotations

from buildlog.book.addresses import Target
from buildlog.book.parts import KIND as PART
from buildlog.book.parts import part_anchor
from buildlog.figures.labels import plain
from buildlog.kinds.key_texts import result_in_words
from buildlog.kinds.results import BlockResult, card_anchor, input_anchor, row_anchor, sweep_anchor
from buildlog.proof.judging import Judged
from buildlog.reading.addresses import PARTS, called
from buildlog.render.conversion import other_label
from buildlog.render.grounds import ground_of
from buildlog.render.note_lines import NoteLine, computed_line, sentence_line, verdict_line
from buildlog.render.pieces import LinkPiece, Rendered, render
from buildlog.render.reporting import ReportsOf, report_link
from buildlog.render.table import sentence
from buildlog.render.translated import translated
from buildlog.render.words import say, to_say

_SHORT = 18
"""Figures up to so many characters are not broken between number and unit."""

_WHERE = {"calc": to_say("To its row"), "cite": to_say("To its source"), "told": to_say("To its source")}
KINDS = {"calc": "computed", "cite": "cited", "told": "told"}


def source_anchor(source: str) -> str:
    """The id of a source in the page's list of sources."""
    return f"source-{source}"


def render_figure(
    judged: Judged,
    page: str,
    note_id: str,
    *,
    number: int = 0,
    in_heading: bool = False,
    anchor: str = "",
    reports: ReportsOf | None = None,
    language: str = "",
) -> Rendered:
    """A figure on a page. `note_id` and `anchor`, its own id, are unique on the page; `number` is that of its
    source in the page's list. `reports` is where readers may report it.

    In a heading it carries no note, which would end up in the table of contents; what disagrees says so
    there too. `language` is that of our words, where the page's is another.
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
        leads_to, row = target
        link = LinkPiece(
            page=leads_to,
            anchor=row,
            text=label,
            attributes=attributes,
            label=True,
            other=other.text if other else "",
        )
        # Who taps sees the note first: it leads on. The keyboard has the figure itself for that.
        again = LinkPiece(
            page=leads_to,
            anchor=row,
            text=say(_WHERE.get(judged.kind, _WHERE["calc"])),
            attributes={"class": "buildlog-to-row", "tabindex": "-1"},
            only=True,
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
        note_system=next((line.system for line in note if line.other), ""),
        language=language,
        other=other,
        again=again,
        ground=ground_of(judged, page),
        anchor=anchor,
        report=report_link(judged, reports, anchor) if reports and note else "",
        to_itself=_to_itself(anchor) if anchor and note else None,
    )


def _to_itself(anchor: str) -> LinkPiece:
    """A link to the figure, for readers to copy."""
    return LinkPiece(page=None, anchor=anchor, text=say("Link to this figure"))


def _target(judged: Judged, page: str) -> tuple[str | None, str] | None:
    """(page, anchor) that the figure leads to: its row, the card of a block at fault, or its source."""
    if judged.source is not None:
        return None, source_anchor(judged.source.id)
    block = judged.block
    leads_to = "" if block is None else block.page or block.shown_on
    if block is None or not leads_to:  # a car's sheet is on no page
        return None
    return leads_to if leads_to != page else None, anchor_in_card(judged, block)


def anchor_in_card(judged: Judged, block: BlockResult) -> str:
    """The id of what a figure leads to in a block's card: its row there, or the card."""
    if block.kind == PART:
        return part_anchor(block.id.removeprefix(PARTS))
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
    """What stands where a figure's line runs on: the number of its source, or that somebody told it."""
    if not judged.agrees:
        return ""
    if judged.kind == "told" and judged.comparison is not None:
        if judged.comparison.agrees:
            return say("told; agrees with {value}", value=judged.comparison.shown)
        return say("told; does not agree with {value}", value=judged.comparison.shown)
    if judged.kind == "told":
        return say("told")
    if judged.kind == "cite" and number:
        return str(number)
    return ""


def verdict_words(judged: Judged) -> str:
    """What is wrong, in words that stand in the page."""
    if judged.agrees:
        return ""
    if judged.fact is not None and judged.verdict is not None:
        return say("disagrees: the source gives {value}", value=judged.fact.text)
    if judged.verdict is not None and not judged.verdict.wrong_way:
        if judged.found_how == "computed":
            return say("disagrees: {value} is computed", value=judged.verdict.shown)
        return say("disagrees: {value} is given", value=judged.verdict.shown)
    if judged.spoken:
        return say("disagrees: computed is {value}", value=judged.spoken)
    if not judged.diagnostics:
        return say("cannot be checked")
    first = judged.diagnostics[0]
    return ": ".join(filter(None, (first.message, first.found)))


def _note(judged: Judged) -> list[NoteLine]:
    if judged.source is not None and judged.agrees:
        return _of_source(judged)
    if judged.block is None or (judged.value is None and not judged.spoken):
        return [
            NoteLine(
                text=f"{finding.message}. Found {finding.found}; expected {finding.expected}. {finding.help}"
            )
            for finding in judged.diagnostics
        ]
    block = translated(judged.block)
    lines = [NoteLine(text=what_in_words(judged))]
    declared = block.outputs.get(judged.output)
    if declared is not None and declared.gloss:
        lines.append(NoteLine(text=sentence(declared.gloss)))
    if judged.spoken:
        lines.append(NoteLine(text=judged.spoken, before=say("Computed:") + " "))
    elif judged.value is not None:
        lines.append(computed_line(judged.value, judged))
    if (verdict := verdict_line(judged)) is not None:
        lines.append(verdict)
    if judged.comparison is not None:
        system = next((line.system for line in lines if line.other), "")
        lines.append(sentence_line(say(judged.comparison.sentence), system))
    return [*lines, NoteLine(text=say("From {block}", block=block.title or block.id))]


def what_in_words(judged: Judged) -> str:
    """Which result of a block a figure names, as its row in the card does."""
    what = judged.output if judged.target is None else target_in_words(judged.target)
    if judged.versus:
        what = say("{what}, change from {case}", what=what, case=judged.versus)
    return what


def target_in_words(target: Target) -> str:
    """What an address leads to, as its row in the card names it."""
    block, what = translated(target.block), target.output
    if (declared := block.outputs.get(target.output)) is not None:
        what = sentence(say(result_in_words(block, declared, target.key)))
    elif target.given is not None:
        what = sentence(say(target.given.declared.label))
        if target.key:
            what += f", {target.key.replace('_', ' ').replace('.', ', ')}"
    if target.at and block.sweep is not None:
        what = say("{what}, at {input} {value}", what=what, input=block.sweep.label, value=target.at)
    if case := called(target.case):
        what += f", {case}"
    return what


def _of_source(judged: Judged) -> list[NoteLine]:
    source = judged.source
    assert source is not None
    given = []
    if judged.fact is not None:
        given = [f"{sentence(judged.fact.name.replace('-', ' '))}: {judged.fact.text}"]
    if judged.kind == "told":
        standing = say("Unverified:") if judged.comparison is None else say("Told:")
        lines = [NoteLine(text=line) for line in (f"{standing} {source.who}, {source.when}", *given)]
        if judged.comparison is not None:
            lines.append(sentence_line(say(judged.comparison.sentence)))
        if source.about:
            lines.append(NoteLine(text=source.about))
        return lines
    said = [say("Cited, not computed"), *given, ", ".join((source.title, *source.particulars))]
    return [NoteLine(text=line) for line in said]
