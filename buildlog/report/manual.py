"""The manual of a kind, made from the calculator's own declarations: as text and as Markdown."""

from __future__ import annotations

from buildlog.figures import units
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import Input, Output
from buildlog.kinds.forms import Form
from buildlog.kinds.hazards import HAZARDS
from buildlog.kinds.kind import Kind
from buildlog.report.wording import cell, source_text


def _needed(declared: Input) -> str:
    if declared.default is not None:
        said = [f"default {declared.default}", declared.default_source]
    else:
        said = ["required" if declared.required else "optional"]
    if declared.doubt is not None:
        said.append(f"without ± it counts with {declared.doubt.size(_unit(declared.form))}")
    return "; ".join(filter(None, said))


def _unit(form: Form) -> units.Unit | None:
    """The unit in which an input's doubt is said: its own, where it has one."""
    number = form.number or (form.item.number if form.item else None)
    return units.find(number.unit, number.dimension) if number else None


def _doubt_rows(kind: Kind) -> list[tuple[str, str, str, str]]:
    """What is doubted, how far it may be off, where that holds, and what says so."""
    numbers = {source.id: number for number, source in enumerate(kind.sources, 1)}
    of_inputs = [declared.doubt for declared in kind.inputs]
    return [
        (doubt.about, doubt.size(), doubt.range, f"source {numbers[doubt.source]}")
        for doubt in kind.doubts
        if doubt not in of_inputs  # which stand beside their inputs
    ]


def _rows(inputs: tuple[Input, ...], indent: str = "") -> list[tuple[str, str, str, str]]:
    rows = []
    for declared in inputs:
        form = declared.form
        about = f"{declared.about} ({form.reason})" if form.reason else declared.about
        rows.append((indent + declared.name, form.words, _needed(declared), about))
        rows.extend((f"{indent}  {word}", "", "", meaning) for word, meaning in form.meanings.items())
        rows.extend(_rows(form.row, indent + "  "))
    return rows


def _output_rows(outputs: tuple[Output, ...]) -> list[tuple[str, str, str, str]]:
    """Of each output its address, its title, what it is, and what else is to be said of it."""
    rows = []
    for output in outputs:
        name, about = output.name, output.gloss
        if output.key:
            name += f".{output.key.upper()}"
        if output.needs:
            about = f"{about} (needs {', '.join(output.needs)})".lstrip()
        rows.append((name, output.title, _measure(output), about))
    return rows


def _measure(output: Output) -> str:
    """What a quantity is: words, or a dimension and the unit that its card shows."""
    if output.dimension == "text":
        return "words"
    return ", ".join(filter(None, (output.dimension, output.unit)))


# What a page of the site says elsewhere: the terminal's reader may have no site at hand.
_BLOCK = """\
Writing the block
  It stands in a page of the content folder, in a fence that begins with ```yaml calc and ends with ```.
  id: its name on the page, of small letters, digits and hyphens
  kind: {kind}
  title: what its card is headed with; optional
  car: NAME of a sheet, cars/NAME.yml in the folder of the pages, for the inputs left out; optional
  state: the name of a state of that sheet, where it is not to be the last one; optional
  part: NAME of the file of the part that it draws, parts/NAME.yml in the folder of the pages; optional
  inputs: the inputs above; one with a dimension has its unit, as in 8200 rpm (“buildlog units” has them),
      and may have its doubt, as in 168 ± 3 N·m; instead of a value, calc:ID.QUANTITY takes another block's.
      Rows are a list of {{COLUMN: VALUE}}, or {{data: FILE.csv}} with columns headed as in torque [N·m],
      and columns: {{COLUMN: HEADING}} where the file calls them otherwise
  common: {{NAME: {{of: [INPUTS], by: ± 0.5 %}}}}, an error that several inputs share; optional
  cases: names, each with the inputs that it changes; optional
  find, so_that, between: an input to be found, {{QUANTITY: value}}, and its bounds [LOW, HIGH]; optional
  sweep, of: INPUT from LOW to HIGH by STEP, and [QUANTITY, …]; optional
  predicts: {{QUANTITY: calc:PAGE#ID.QUANTITY}}, what foretold a quantity that this block measured; the card
      sets both beside each other, and nothing is computed with it; optional
  show: any of table, chart, working, inputs; optional

Figures in the text
  [VALUE UNIT](calc:ID.CASE.QUANTITY.KEY), without CASE where there are no cases and without KEY where none
  is named above. An empty label, [](calc:…), shows the value. “buildlog working PAGE#ID” lists them all.
"""


def manual_text(kind: Kind) -> str:
    """The manual page of a kind for a terminal."""
    page = kind.docstring.replace("```yaml\n", "```yaml calc\n")
    lines = [f"{kind.name}: {page}", "", "Inputs"]
    for name, form, needed, about in _rows(kind.inputs):
        # A word that a choice takes has neither: it stands below its input with its meaning.
        takes = f": {form}; {needed}" if form else ""
        lines += [f"  {name}{takes}", f"      {about}"]
    lines += ["", "Quantities that figures can rest on"]
    for name, title, what, about in _output_rows(kind.outputs):
        lines += [f"  {name}: {what}", f"      {'; '.join(filter(None, (title, about)))}"]
    doubts = _doubt_rows(kind)
    if doubts:
        lines += ["", "How far the models may be off"]
    for about, size, place, source in doubts:
        lines += [f"  {size}: {about}", f"      {'; '.join(filter(None, (place, source)))}"]
    lines += ["", *_BLOCK.format(kind=kind.name).splitlines()]
    lines += [
        "",
        "Sources",
        *(
            f"  {number}. {source_text(source, source.standing)}"
            for number, source in enumerate(kind.sources, 1)
        ),
    ]
    if kind.hazards:
        lines += [
            "",
            "Cautions",
            *(f"  - {HAZARDS[hazard].title}: {HAZARDS[hazard].text}" for hazard in kind.hazards),
        ]
    return "\n".join(lines) + "\n"


def manual_markdown(kind: Kind) -> str:
    """The manual page of a kind for the site."""
    head, _, body = kind.docstring.partition("\n")
    lines = [f"# `{kind.name}`", "", f"{head.rstrip('.')}.", "", body.strip(), "", "## Inputs", ""]
    lines += ["| input | takes | needed | meaning |", "|---|---|---|---|"]
    for name, form, needed, about in _rows(kind.inputs):
        inside = "– " if name.startswith("  ") else ""  # a column of a table, or a word of a choice
        lines.append(f"| {inside}`{name.strip()}` | {cell(form)} | {cell(needed)} | {cell(about)} |")
    lines += ["", "## Quantities", "", "| quantity | called | is | besides |", "|---|---|---|---|"]
    lines += [
        f"| `{name}` | {cell(title)} | {cell(what)} | {cell(about)} |"
        for name, title, what, about in _output_rows(kind.outputs)
    ]
    doubts = _doubt_rows(kind)
    if doubts:
        lines += [
            "",
            "## How far the models may be off",
            "",
            "| by | what | where | source |",
            "|---|---|---|---|",
        ]
        lines += [
            f"| {cell(size)} | {cell(about)} | {cell(place)} | {source} |"
            for about, size, place, source in doubts
        ]
    lines += [
        "",
        "## Sources",
        "",
        *(
            f"{number}. {source_text(source, source.standing)}"
            for number, source in enumerate(kind.sources, 1)
        ),
    ]
    if kind.hazards:
        lines += [
            "",
            "## Cautions",
            "",
            *(f"- **{HAZARDS[hazard].title}.** {HAZARDS[hazard].text}" for hazard in kind.hazards),
        ]
    return "\n".join(lines) + "\n"


_GENERATED = "<!-- Made by `buildlog kinds --write`: change the calculator, not this page. -->"


def kinds_pages() -> dict[str, str]:
    """The manual pages of all kinds by file name, with an index. Ranges and examples are no figures of a
    build, so that loose ones are not looked for."""
    pages = {}
    rows = ["| kind | what it decides |", "|---|---|"]
    for kind in map(catalogue.load_kind, catalogue.kind_names()):
        head = f"---\ntitle: {kind.name}\nbuildlog: {{loose: off}}\n---\n\n{_GENERATED}\n\n"
        pages[f"{kind.name}.md"] = head + manual_markdown(kind)
        rows.append(f"| [`{kind.name}`]({kind.name}.md) | {cell(kind.title)} |")
    intro = "One kind of calculation is one page. `buildlog kinds KIND` prints the same at the command line."
    pages["index.md"] = "\n".join(
        [
            "---",
            "title: Kinds",
            "buildlog: {loose: off}",
            "---",
            "",
            _GENERATED,
            "",
            "# Kinds of calculation",
            "",
            intro,
            "",
            *rows,
            "",
        ]
    )
    return pages
