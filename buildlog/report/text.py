"""Findings for people: the place, the words it is about, what was stated and computed below each other,
what to do. Nothing is longer than the room there is, but for paths and addresses, which stay whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable

from buildlog.diagnostics import Diagnostic, Position, Row, Severity
from buildlog.proof.proof import Report
from buildlog.report.codes import sentence
from buildlog.report.excerpt import CLOSES, OPENS, excerpt
from buildlog.report.following import fold, what_follows
from buildlog.report.layout import USUAL_WIDTH, width_of, wrap
from buildlog.report.printable import printable, printable_line, printable_path
from buildlog.report.wording import plural

_COLOURS = {Severity.ERROR: "31", Severity.WARNING: "33", Severity.NOTE: "36"}
_BOLD = "1"
_WORDS, _ROWS = " " * 4, " " * 6

Lines = Callable[[Position], str]


def findings_text(
    findings: Iterable[Diagnostic],
    line_of: Lines,
    *,
    colour: bool = False,
    width: int = USUAL_WIDTH,
    explained: set[str] | None = None,
) -> str:
    """Each finding as a paragraph that starts ``path:line:column  severity  code``; what only follows from it
    is a line of it.

    With `explained`, the codes of notes that a reader has had in full: a further note that says nothing but
    what its code says takes one line. Codes that are told here are added.
    """
    parts: list[str] = []
    is_brief = False
    for finding, following in fold(findings).items():
        was_brief, is_brief = is_brief, _says_no_more(finding) and finding.code.name in (explained or ())
        if parts and not (was_brief and is_brief):
            parts.append("\n")
        if is_brief:
            parts.append(_one_line(finding, following, colour))
        else:
            parts.append(_paragraph(finding, line_of, colour, width, what_follows(following)))
        if explained is not None and finding.severity is Severity.NOTE:
            explained.add(finding.code.name)
    return "".join(parts)


def _says_no_more(finding: Diagnostic) -> bool:
    """Whether a note says of its place only what was found there; the rest is what its code says."""
    code = finding.code
    same = finding.message == code.meaning and finding.help == code.mend
    return finding.severity is Severity.NOTE and bool(finding.found) and same and not finding.rows


def _one_line(finding: Diagnostic, following: tuple[Diagnostic, ...], colour: bool) -> str:
    """``path:line:column  note  loose-figure: “4.2 kg”, and 3 more on this page``"""
    line = f"{_place(finding, colour)}: {printable(finding.found)}"
    if following:
        line += f", and {len(following)} more on this page"
    return f"{printable_line(line)}\n"


def _painted(text: str, code: str, colour: bool) -> str:
    if not colour or not text:
        return text
    return f"\x1b[{code}m{text}\x1b[0m"


def _paragraph(finding: Diagnostic, line_of: Lines, colour: bool, width: int, following: str) -> str:
    lines = _heading(finding, colour, width)
    lines += _words(finding, line_of, colour, width)
    lines += _compared(finding, width)
    for said in filter(None, (finding.help, following)):
        lines += _wrapped(sentence(printable(said)), _WORDS, width)
    return "".join(f"{printable_line(line)}\n" for line in lines)


def _heading(finding: Diagnostic, colour: bool, width: int) -> list[str]:
    """The place, how bad it is, what it is called, and what that means unless the rows show it."""
    painted = _place(finding, colour)
    if finding.rows:
        return [painted]
    message = printable(finding.message)
    if width_of(f"{_place(finding, False)}: {message}") <= width:
        return [f"{painted}: {message}"]
    return [painted, *_wrapped(sentence(message), "  ", width)]


def _place(finding: Diagnostic, colour: bool) -> str:
    word = _painted(finding.severity.word, f"{_BOLD};{_COLOURS[finding.severity]}", colour)
    return f"{printable_path(str(finding.position))}  {word}  {finding.code.name}"


def _words(finding: Diagnostic, line_of: Lines, colour: bool, width: int) -> list[str]:
    """The author's own words around the place."""
    place = finding.position
    quoted = excerpt(line_of(place), place.column, finding.length, width - len(_WORDS))
    if quoted is None:
        return []
    marked = _painted(f"{OPENS}{quoted.marked}{CLOSES}", f"{_BOLD};{_COLOURS[finding.severity]}", colour)
    return [f"{_WORDS}{quoted.before}{marked}{quoted.after}"]


def _compared(finding: Diagnostic, width: int) -> list[str]:
    """The values below each other, each with its remark where there is room for it."""
    rows = list(finding.rows) or _found_and_expected(finding)
    place = str(finding.second)
    if finding.second is not None and place not in finding.help:
        rows.append(Row("see", place, finding.second_label))
    names = max((len(row.name) for row in rows), default=0)
    values = max((width_of(printable(row.value)) for row in rows if row.remark), default=0)
    lines = []
    for row in rows:
        begins = f"{_ROWS}{row.name:<{names}}  "
        value = printable(row.value)
        space = " " * max(values - width_of(value), 0)
        aligned = f"{value}{space}  {printable(row.remark)}"
        if not row.remark:
            lines += _wrapped(value, begins, width)
        elif width_of(begins + aligned) <= width:
            lines.append(begins + aligned)
        else:
            lines += _wrapped(value, begins, width)
            lines += _wrapped(printable(row.remark), " " * width_of(begins), width)
    return lines


def _found_and_expected(finding: Diagnostic) -> list[Row]:
    """What was found and expected; what the message tells already is not said again."""
    rows = []
    if finding.found and finding.found not in finding.message:
        rows.append(Row("found", finding.found))
    if finding.expected:
        rows.append(Row("expected", finding.expected))
    return rows


def _wrapped(text: str, begins: str, width: int) -> list[str]:
    """Lines of a text behind a beginning, the later ones below where the text begins."""
    first, *more = wrap(text, width - width_of(begins)) or [""]
    return [begins + first, *(" " * width_of(begins) + line for line in more)]


def summary_text(report: Report) -> str:
    """The proof in a few lines: what was looked at, what rests on what, what was found."""
    if not report.pages and not report.findings:
        return "No page to proof."
    computed, cited, told, loose = (report.count(name) for name in ("computed", "cited", "told", "loose"))
    lines = [
        f"{plural(len(report.pages), 'page')}, {plural(report.blocks, 'calculation block')}, "
        f"{plural(len(report.entries), 'figure')}: "
        f"{computed} computed, {cited} cited, {told} told, {loose} loose "
        f"({percent(report.coverage)} rest on something)."
    ]
    if computed:
        disagreeing = sum(entry.standing == "computed" and not entry.agrees for entry in report.entries)
        where = " of the pages" if any(_in_drawing(finding) for finding in report.findings) else ""
        lines.append(_agreement(computed, disagreeing, where))
    if report.findings:
        lines += _counted(report.findings)
    if report.known:
        lines.append(f"{plural(len(report.known), 'known finding')} {do(len(report.known))} not count.")
    return "\n".join(lines)


def _counted(findings: Iterable[Diagnostic]) -> list[str]:
    """How many there are of each severity, and how many only follow from those."""
    folded = fold(findings)
    severities = Counter(finding.severity for finding in folded)
    counts = [plural(severities[severity], severity.word) for severity in Severity if severities[severity]]
    lines = [", ".join(counts) + "."]
    if following := sum(map(len, folded.values())):
        follow, them = ("follows", "it") if following == 1 else ("follow", "them")
        lines.append(
            f"{plural(following, 'finding')} more {follow} from these; “buildlog proof --all” lists {them}."
        )
    return lines


def _in_drawing(finding: Diagnostic) -> bool:
    """Figures of drawings are judged and not counted, so that what is counted is that of the pages."""
    return finding.position.path.lower().endswith((".svg", ".dxf"))


def _agreement(computed: int, disagreeing: int, where: str) -> str:
    if disagreeing:
        return f"{plural(disagreeing, 'computed figure')} of {computed}{where} {do(disagreeing)} not hold."
    if computed == 1:
        return f"The computed figure{where} agrees."
    return f"All {plural(computed, 'computed figure')}{where} agree."


def do(count: int) -> str:
    """The verb that goes with so many: one does, two do."""
    return "does" if count == 1 else "do"


def percent(share: float) -> str:
    """A share in percent; never rounded up to 100, which says that nothing is missing."""
    if share == 1:
        return "100 %"
    return f"{min(int(share * 1000) / 10, 99.9):g} %"
