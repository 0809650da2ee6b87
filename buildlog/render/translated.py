"""A block with what its kind declares in the language spoken now: the kind's title, and those of its results
and inputs. What its author wrote stays as it is, and so does what figures are addressed by."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from buildlog.kinds.chart import BarSpec, Chart
from buildlog.kinds.declaration import Input, Output
from buildlog.kinds.kind import Kind
from buildlog.kinds.results import BlockResult, CaseResult
from buildlog.reading.words import Words
from buildlog.render.words import say, speaking, spoken


def translated(block: BlockResult) -> BlockResult:
    """The block as it is shown; itself where English is spoken."""
    words = spoken()
    if words.is_english or block.calculator is None:
        return block
    kind = _kind(block.calculator, words)
    sweep = block.sweep
    if sweep is not None:
        columns = {column: (column[0], output_in_words(column[1]), column[2]) for column in sweep.columns}
        sweep = replace(
            sweep,
            label=say(sweep.label),
            columns=tuple(columns.values()),
            values={columns[column]: values for column, values in sweep.values.items()},
        )
    return replace(
        block,
        calculator=kind,
        title=kind.title if block.title == block.calculator.title else block.title,
        found=None if block.found is None else output_in_words(block.found),
        sweep=sweep,
        cases={name: _case(case) for name, case in block.cases.items()},
    )


def output_in_words(output: Output) -> Output:
    """An output with its title, its gloss and what it is listed by in the language spoken now."""
    return replace(
        output,
        title=say(output.title),
        about=say(output.gloss),
        key=say(output.key),
        of=output.of or output.key,  # which is an input's name, in any language
    )


def input_in_words(declared: Input) -> Input:
    """An input with its title in the language spoken now."""
    return replace(declared, title=say(declared.label), about=declared.gloss)


def chart_in_words(chart: Chart) -> Chart:
    """A chart with its words in the language spoken now, as far as they are translated."""
    if spoken().is_english:
        return chart
    chart = replace(
        chart,
        title=say(chart.title),
        description=say(chart.description),
        x=replace(chart.x, label=say(chart.x.label)),
        markers=tuple(replace(one, label=say(one.label)) for one in chart.markers),
        zones=tuple(replace(one, label=say(one.label)) for one in chart.zones),
    )
    if isinstance(chart, BarSpec):
        return replace(chart, bars=tuple(replace(one, label=say(one.label)) for one in chart.bars))
    return replace(
        chart,
        y=replace(chart.y, label=say(chart.y.label)),
        series=tuple(replace(one, label=say(one.label)) for one in chart.series),
        arrows=tuple(replace(one, label=say(one.label)) for one in chart.arrows),
    )


@cache
def _kind(kind: Kind, words: Words) -> Kind:
    with speaking(words):
        return replace(
            kind,
            title=say(kind.title),
            inputs=tuple(input_in_words(one) for one in kind.inputs),
            outputs=tuple(output_in_words(one) for one in kind.outputs),
        )


def _case(case: CaseResult) -> CaseResult:
    given = {name: replace(one, declared=input_in_words(one.declared)) for name, one in case.given.items()}
    return replace(case, given=given)
