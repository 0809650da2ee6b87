"""What a figure of the prose would be with other results: in its author's words, unit and decimals."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from buildlog.book.addresses import Target, within
from buildlog.diagnostics import Refused
from buildlog.figures.agreement import Computed, Verdict, judge, judge_pair, unit_of
from buildlog.figures.labels import plain
from buildlog.figures.stated import Stated, instead_of, parse, restated
from buildlog.kinds.results import BlockResult, Value
from buildlog.proof.figure_value import compared_value, is_change
from buildlog.proof.words import judge_direction, judge_word
from buildlog.reading.addresses import Address, Options
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.facts import Fact
from buildlog.render.conversion import other_label


@dataclass(frozen=True, kw_only=True)
class FigureThere:
    """A figure as it stands in a page: its label, the value that it names as ``block.output.key`` with its
    case, and where it is a change the value that it is compared with. `unit` is the label's."""

    label: str
    of: str
    case: str
    versus: str
    versus_case: str
    unit: str

    @classmethod
    def read(cls, written: Mapping[str, str]) -> FigureThere:
        """From the attributes of its element."""
        return cls(
            label=written["label"],
            of=written["of"],
            case=written["case"],
            versus=written["versus"],
            versus_case=written["versus_case"],
            unit=written["unit"],
        )


@dataclass(frozen=True, kw_only=True)
class Restated:
    """What a figure would be. `other` is the same in the other system of units than `system`, "" where there
    is none. `way` is more or less, of a change or of what is below zero. `holds` says whether the author's
    words would still do: with another number, or as they are where they state a limit, a range or a word."""

    text: str
    other: str = ""
    system: str = ""
    way: str = ""
    holds: bool = True


@dataclass(frozen=True, kw_only=True)
class _Labelled:
    """What the conversion of a label asks for."""

    text: str
    agrees: bool = True
    value: Value | None = None
    verdict: Verdict | None = None
    versus: str = ""
    title: str = ""
    source: SourceEntry | None = None
    fact: Fact | None = None


def restate(block: BlockResult, figure: FigureThere) -> Restated | None:
    """What a figure would be with the results of this block; None where it does not rest on them alone, or
    where there is no such value any more."""
    try:
        target = _target(block, figure.of, figure.case)
        other = _target(block, figure.versus, figure.versus_case) if figure.versus else None
        return _restated(figure, target, other)
    except Refused:
        return None


def _target(block: BlockResult, of: str, case: str) -> Target:
    """A value of the block. Raises `Refused` where the block has none, or it is another block's."""
    name, *path = of.split(".")
    if name != block.id or not path or case not in block.cases:
        raise Refused("address", of, f"a value of {block.id}")
    rest = (case, *path) if len(block.cases) > 1 else tuple(path)
    return within(block, Address(scheme="calc", text=of, page=None, block=name, rest=rest))


def _restated(figure: FigureThere, target: Target, other: Target | None) -> Restated:
    label = " ".join(plain(figure.label).text.split())
    if other is None and target.word and (target.value is None or not figure.unit):
        return Restated(text=target.word, holds=judge_word(label.lower(), target.word).agrees)
    stated = parse(label)
    if stated.form == "words":
        return _of_words(stated, target, other)
    options = Options(unit="" if stated.unit else figure.unit)
    if stated.form == "pair" and other is not None:
        return _of_pair(stated, target, other, options)
    value = compared_value(target, other, stated, options)
    unit = unit_of(stated, value.dimension, options.unit)
    verdict = judge(
        stated,
        Computed(value.si, value.dimension, value.expanded_uncertainty),
        unit,
        change=other is not None,
        of=target.number.dimension,
    )
    way = ""
    if other is not None or is_change(target) or value.si < 0:
        way = _way(value)
    again = restated(stated, verdict.computed)
    if verdict.wrong_way:
        said = Restated(text=f"{verdict.shown} {_way(value)}", way=way)
    elif again is not None:
        said = Restated(text=plain(again).text, way=way)
    else:  # the ends of a range and a limit are the author's
        holds = verdict.agrees or (stated.form == "plain" and stated.hedge in (None, "about"))
        said = Restated(text=instead_of(stated, verdict.shown), way=way, holds=holds)
    return _with_other(said, value, figure)


def _way(value: Value) -> str:
    return "more" if value.si > 0 else "less" if value.si < 0 else ""


def _of_words(stated: Stated, target: Target, other: Target | None) -> Restated:
    """A word of direction: what the change is, in numbers."""
    if other is not None:
        value = compared_value(target, other, None, Options())
        spoken = judge_direction(stated.words, value, target.number.dimension, other.number.si)
    else:
        value = target.number
        spoken = judge_direction(stated.words, value, value.dimension, value.si)
    return Restated(text=spoken.computed, holds=spoken.agrees)


def _of_pair(stated: Stated, target: Target, other: Target, options: Options) -> Restated:
    """Two values, before and after."""
    before, after = other.number, target.number
    unit = unit_of(stated, after.dimension, options.unit)
    ends = [Computed(each.si, each.dimension, each.expanded_uncertainty) for each in (before, after)]
    verdict = judge_pair(stated, ends[0], ends[1], unit)
    return Restated(text=plain(verdict.instead).text, holds=verdict.agrees)


def _with_other(said: Restated, value: Value, figure: FigureThere) -> Restated:
    """The same with the text in the other system of units."""
    try:
        stated = parse(said.text)
        unit = unit_of(stated, value.dimension, "" if stated.unit else figure.unit)
        computed = Computed(value.si, value.dimension, value.expanded_uncertainty)
        verdict = judge(stated, computed, unit, change=bool(figure.versus))
    except Refused:
        return said
    label = other_label(_Labelled(text=said.text, value=value, verdict=verdict, versus=figure.versus))
    return said if label is None else replace(said, other=label.text, system=label.system)
