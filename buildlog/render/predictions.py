"""All predictions of a site, those that failed first; how they were off on the whole; what was claimed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt

from buildlog.book.addresses import Target
from buildlog.figures.comparison import write_error
from buildlog.figures.labels import plain, write_number
from buildlog.kinds.chart import Axis, Bar, BarSpec, Zone
from buildlog.proof.overview import Overview
from buildlog.proof.predicting import AGREES, DISAGREES, UNTOLD, Claim, Foretold, Tally, tally
from buildlog.reading.addresses import called
from buildlog.render.chart import Draw, draw_charts
from buildlog.render.figure import target_anchor, target_in_words
from buildlog.render.foretold import MARKS, PredictionRow, link_into, own_title, prediction_row, short_name
from buildlog.render.page_parts import page_link
from buildlog.render.pieces import LinkPiece, Rendered, render
from buildlog.render.table import sentence
from buildlog.render.translated import translated
from buildlog.render.words import say, say_count, to_say

_MOST_BARS = 40
_SCATTER = 0.5
"""Of normalised errors where the uncertainties are right: their unit is U, and their scatter u = U / 2."""


@dataclass(frozen=True, kw_only=True)
class ClaimRow:
    """Somebody's word beside what is computed of it."""

    label: str
    who: str
    computed: str
    about: str
    verdict: str
    mark: str
    page: LinkPiece
    to_computed: LinkPiece | None


@dataclass(frozen=True)
class Group:
    """Predictions of one verdict."""

    title: str
    rows: tuple[PredictionRow, ...]


_TITLES = (
    (DISAGREES, to_say("Did not hold")),
    (UNTOLD, to_say("Cannot be told")),
    (AGREES, to_say("Held")),
)


def render_predictions(overview: Overview, draw: Draw) -> Rendered:
    """All predictions of a site: those that failed first, then how they were off on the whole."""
    foretold = [one for one in overview.report.predictions if isinstance(one, Foretold)]
    claims = [one for one in overview.report.predictions if isinstance(one, Claim)]
    order = {page: place for place, page in enumerate(overview.reading_order(overview.book.pages))}
    foretold.sort(key=lambda one: order[one.page])
    claims.sort(key=lambda one: (one.verdict == AGREES, order[one.page]))
    groups = [
        Group(
            say(title), tuple(prediction_row(one, page_link(overview.book.pages[one.page])) for one in found)
        )
        for verdict, title in _TITLES
        if (found := [one for one in foretold if one.verdict == verdict])
    ]
    return render(
        "predictions.html.j2",
        summary=list(_summary(tally(foretold))),
        claimed=_claimed(claims),
        groups=groups,
        claims=[_claim(overview, one) for one in claims],
        charts=draw_charts(list(_errors(foretold)), draw, "all-predictions"),
        shared=any(one.shared for one in foretold),
        apart=any(not one.shared for one in foretold),
    )


def _summary(found: Tally) -> Iterable[str]:
    """How predictions came out, in sentences; with what honest uncertainties would give, to compare with."""
    if not found.count:
        yield say("Nothing on this site was foretold and then measured, yet.")
        return
    if found.untold:
        yield say_count(
            found.count,
            "Of {count} prediction {held} held, {failed} did not, of {untold} it cannot be told.",
            "Of {count} predictions {held} held, {failed} did not, of {untold} it cannot be told.",
            held=found.agreed,
            failed=found.failed,
            untold=found.untold,
        )
    else:
        yield say_count(
            found.count,
            "Of {count} prediction {held} held, {failed} did not.",
            "Of {count} predictions {held} held, {failed} did not.",
            held=found.agreed,
            failed=found.failed,
        )
    if found.mean is None or found.size is None or found.known < 2:
        return
    way = say("neither high nor low")
    if round(found.mean, 2):
        way = say("too high") if found.mean > 0 else say("too low")
    yield say(
        "On average they were {way}: the mean of En is {mean}, in units of their uncertainty. By their size, "
        "whichever way, they were off by {size} of it (root of the mean square).",
        way=way,
        mean=write_error(found.mean),
        size=write_number(found.size, 2),
    )
    lean = 2 * _SCATTER / sqrt(found.known)
    yield say(
        "Where the uncertainties are right and the predictions do not lean, some 19 of 20 hold, the size is "
        "about {size}, and the mean of {number} lies within ±\u00a0{lean}, as long as they have no error in "
        "common. A mean beyond that leans; a much smaller size says that the uncertainties were stated too "
        "wide.",
        size=_SCATTER,
        number=found.known,
        lean=write_number(lean, 2),
    )


def _claimed(claims: Sequence[Claim]) -> str:
    if not claims:
        return ""
    agreed = sum(one.verdict == AGREES for one in claims)
    return say_count(
        len(claims),
        "Of {count} claim that can be computed {agreed} agreed.",
        "Of {count} claims that can be computed {agreed} agreed.",
        agreed=agreed,
    )


def _claim(overview: Overview, one: Claim) -> ClaimRow:
    judged, comparison = one.judged, one.judged.comparison
    assert comparison is not None
    target, source = comparison.target, judged.source
    about = target_in_words(target)
    if comparison.other is not None:
        about = say("{what}, against {other}", what=about, other=_against(target, comparison.other))
    return ClaimRow(
        label=plain(judged.text).text,
        who=", ".join(filter(None, (source.who, source.when))) if source is not None else "",
        computed=comparison.shown,
        about=about,
        verdict=one.verdict,
        mark=MARKS[one.verdict],
        page=page_link(overview.book.pages[one.page]),
        to_computed=link_into(target.block, target_anchor(target), about),
    )


def _in_short(one: Foretold) -> str:
    """What was foretold, with what tells it from others of its quantity first: a chart cuts the end."""
    name, target = short_name(one), one.measured
    declared = translated(target.block).outputs.get(target.output)
    about = sentence(declared.title if declared is not None else target.output)
    about = own_title(target.block) or about
    return f"{name}, {about}" if called(target.case) or target.key else about


def _against(target: Target, other: Target) -> str:
    """What a change is against: the case or the block alone where that is all the two differ in."""
    if (other.output, other.key) != (target.output, target.key):
        return target_in_words(other)
    block = "" if other.block is target.block else other.block.title or other.block.id
    return ", ".join(filter(None, (block, called(other.case))))


def _errors(foretold: Sequence[Foretold]) -> Iterable[BarSpec]:
    """The normalised errors of all predictions, as bars to either side."""
    bars = [
        Bar(
            label=f"{say('high') if one.error > 0 else say('low')}: {_in_short(one)}",
            value=abs(one.error),
            tone="good" if one.verdict == AGREES else "bad",
        )
        for one in foretold
        if one.error is not None
    ]
    if not bars:
        return
    more = len(bars) - _MOST_BARS
    yield BarSpec(
        title=say("How far each prediction was off, in units of its uncertainty"),
        description=say("The size of En, and whether the prediction was high or low. Up to 1 the two agree.")
        + (" " + say("The last {count} are in the table alone.", count=more) if more > 0 else ""),
        x=Axis(say("size of En"), "ratio", "", True),
        bars=tuple(bars[:_MOST_BARS]),
        zones=(Zone(label=say("agrees"), low=0.0, high=1.0),),
    )
