"""The working of a block as plain text: inputs with their origin, each step, the outputs."""

from __future__ import annotations

from textwrap import wrap

from buildlog.figures import units
from buildlog.figures.labels import write_figure, write_number
from buildlog.figures.spread import place_beside, rounded
from buildlog.formulae.formula import Formula
from buildlog.kinds.budget import budget, parts_in_words
from buildlog.kinds.declaration import Output
from buildlog.kinds.key_texts import result_in_words
from buildlog.kinds.log_account import accounts
from buildlog.kinds.results import BlockResult, CaseResult, Value, change_between, share_means_something
from buildlog.kinds.symbols import formulae_of, shown_symbols
from buildlog.report.printable import printable
from buildlog.report.wording import source_text

_ORIGINS = {
    "block": "given in the block",
    "case": "given in the case",
    "car": "from the car's sheet",
    "calc": "from",
    "data": "from the file",
    "default": "default",
    "found": "found so that",
}


def shown(value: Value) -> str:
    """A value in the unit that its block shows, with its expanded uncertainty where it has one."""
    unit = units.find(value.unit, value.dimension)
    number = unit.from_si(value.si)
    if value.is_whole:
        ends = "" if value.interval is None else " to ".join(write_number(end, 0) for end in value.interval)
        return f"{write_number(number, 0)} (95 % from {ends})" if ends else write_number(number, 0)
    spread = abs(unit.from_si_difference(value.expanded_uncertainty))
    if spread <= 1e-9 * abs(number):  # what is left of exact inputs is rounding
        return write_figure(number, value.decimals, unit.symbol)
    place = place_beside(spread, value.decimals)
    # To the same place (JCGM 100:2008, 7.2.6), be it tens or hundreds.
    written = f"{_to_place(number, place)} ± {_to_place(spread, place)}"
    told = f"{written} {unit.symbol}".rstrip()
    if value.interval is not None:
        low, high = (_to_place(unit.from_si(end), place) for end in value.interval)
        return f"{told} (k = 2; 95 % from {low} to {high})"
    parts = parts_in_words(value)
    return f"{told} (k = 2; {parts})" if parts else f"{told} (k = 2)"


def _to_place(number: float, place: int) -> str:
    return write_number(rounded(number, place), max(0, place))


def working_text(block: BlockResult) -> str:
    """The whole working of a block, case by case."""
    lines = [printable(block.title), f"{block.kind} “{block.id}”, {block.position}"]
    for case in block.cases.values():
        if case.name:
            lines += ["", f"Case {case.name}"]
        lines += [
            "",
            "Inputs",
            *_inputs(case, block),
            "",
            "Working",
            *_steps(case, block),
            "",
            "Results",
            *_outputs(case, block),
        ]
        lines += [f"  Note: {printable(remark)}" for remark in case.remarks]
        lines += _sureness(case, block)
    sources = block.calculator.sources if block.calculator else ()
    lines += [
        "",
        "Sources",
        *(f"  [{number}] {source_text(source, source.basis)}" for number, source in enumerate(sources, 1)),
    ]
    return "\n".join(lines) + "\n"


def _inputs(case: CaseResult, block: BlockResult) -> list[str]:
    rows = []
    for name, given in case.given.items():
        origin = _ORIGINS[given.origin]
        rows.append((name, printable(given.written), f"{origin} {printable(given.reference)}".strip()))
        sources = {source.id: source for source in block.calculator.sources} if block.calculator else {}
        for size, doubt in given.assumptions.items():
            where = sources[doubt.source].title if doubt.source in sources else doubt.source
            rows.append(("", size, f"assumed: {doubt.about}; {where}"))
        rows += [("", "as read", printable(account)) for account in accounts(given.value)]
    rows += [(printable(one.name), printable(one.words), "shared by several inputs") for one in block.common]
    widths = [max(len(row[column]) for row in rows) for column in (0, 1)]
    return [f"  {name:<{widths[0]}}  {text:<{min(widths[1], 60)}}  {origin}" for name, text, origin in rows]


def _symbols(formula: Formula) -> list[str]:
    """What the symbols of a formula stand for, where it is printed for the first time."""
    said = []
    for row in shown_symbols(formula):
        unit = "" if row.unit == "1" else f" ({row.unit})"
        said.append(f"{row.symbol} {row.about}{unit}")
    return wrap("; ".join(said), 100) if said else []


def _steps(case: CaseResult, block: BlockResult) -> list[str]:
    numbers = (
        {source.id: number for number, source in enumerate(block.calculator.sources, 1)}
        if block.calculator
        else {}
    )
    lines = []
    formulae = formulae_of(block)
    told = set()
    for step in case.steps:
        formula = formulae[step.function]
        lines.append(f"  {step.name}  [{numbers.get(step.source, '?')}]")
        written = formula.text(step.arguments)
        filled = formula.filled_text(step.arguments, step.result)
        lines += [f"      {line}" for line in written.splitlines()]
        if step.function not in told:
            told.add(step.function)
            lines += [f"        {line}" for line in _symbols(formula)]
        lines += [f"      {line}" for line in filled.splitlines()]
        name, _, key = step.name.partition(".")
        value = block.value(case.name, name, key)
        if isinstance(value, Value) and value.unit:
            lines[-1] += f" = {shown(value)}"
    return lines


def _outputs(case: CaseResult, block: BlockResult) -> list[str]:
    rows: list[tuple[str, str, str]] = []
    for output, key in block.rows():
        value = block.value(case.name, output.name, key)
        if value is None:
            continue
        about = result_in_words(block, output, key)
        rows.append((_name(output, key), _text(value), about))
    widths = [max((len(row[column]) for row in rows), default=0) for column in (0, 1)]
    return [f"  {name:<{widths[0]}}  {text:<{min(widths[1], 60)}}  {about}" for name, text, about in rows]


def _sureness(case: CaseResult, block: BlockResult) -> list[str]:
    """What the uncertainty of each result comes from, the doubts of the method, and what results have to
    keep to."""
    lines = []
    for output, key in block.rows():
        value = block.value(case.name, output.name, key)
        if isinstance(value, Value) and value.expanded_uncertainty > 1e-9 * abs(value.si):
            told = ", ".join(f"{printable(what)} {share} %" for what, share in budget(case, value))
            lines.append(f"  {_name(output, key)}: {told}")
    for doubt in {doubt.name: doubt for doubt in case.doubted.values() if not doubt.own}.values():
        lines.append("  " + ", ".join(filter(None, (f"{doubt.about}: {doubt.size()}", doubt.range))))
    for limit in case.limits:
        name = f"{limit.output}.{limit.key}" if limit.key else limit.output
        value = block.value(case.name, limit.output, limit.key)
        if isinstance(value, Value):
            unit = units.find(value.unit, value.dimension)
            if limit.surely and limit.least == limit.most:
                bounds: tuple[tuple[str, float | None], ...] = (("is held against", limit.least),)
            else:
                bounds = (("keeps to at least", limit.least), ("keeps to at most", limit.most))
            for word, bound in bounds:
                if bound is not None:
                    lines.append(f"  {name} {word} {unit.from_si(bound):.6g} {unit.symbol}".rstrip())
    if case.simulation is not None:
        lines.append(f"  {case.simulation.words}".replace("\u00a0", " "))
    return ["", "How sure (shares of the variance, the most first)", *lines] if lines else []


def trial_text(written: BlockResult, tried: BlockResult, changed: str) -> str:
    """A block as written and as tried, side by side: what a changed input would do, with nothing changed."""
    lines = [
        printable(written.title),
        f"{written.kind} “{written.id}”, {written.position}",
        f"Tried: {changed}",
    ]
    for case in written.cases:
        rows = [("", "as written", "as tried", "change")]
        for output, key in tried.rows():
            before = written.value(case, output.name, key) if output.name in written.outputs else None
            after = tried.value(case, output.name, key)
            rows.append((_name(output, key), _cell(before), _cell(after), _change(before, after)))
        widths = [max(len(row[column]) for row in rows) for column in range(3)]
        lines += ["", f"Case {case}" if case else "Results"]
        for name, before_text, after_text, change in rows:
            cells = f"  {name:<{widths[0]}}  {before_text:>{widths[1]}}  {after_text:>{widths[2]}}  {change}"
            lines.append(cells.rstrip())
    lines += ["", "Nothing was written."]
    return "\n".join(lines) + "\n"


def _name(output: Output, key: str) -> str:
    """How an address names the value, after its block and case."""
    return f"{output.name}.{key}" if key else output.name


def _text(value: Value | str) -> str:
    if isinstance(value, str):
        return printable(value)
    return shown(value)


def _cell(value: Value | str | None) -> str:
    if value is None:
        return "–"
    text = _text(value)
    if len(text) > 40:  # two such columns and the name still fit a terminal
        return text[:39] + "…"
    return text


def _change(before: Value | str | None, after: Value | str | None) -> str:
    if not isinstance(before, Value) or not isinstance(after, Value) or before.si == after.si:
        return ""
    if after.unit == "%":  # a share of a share would read as points
        number = f"{100 * change_between(before, after).si:+.2g}"
        return f"{number} {units.find('%').difference_symbol(number.lstrip('+-'))}".replace("-", "−")
    if not share_means_something(before, after):
        return "changed"
    return f"{100 * change_between(before, after, relative=True).si:+.2g} %".replace("-", "−")
