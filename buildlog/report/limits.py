"""The page of the manual that lists every limit to what buildlog reads, made from the limits themselves.

Each stands beside the check that holds it; here they are only gathered, so that an author, and whoever lets
strangers propose pages, finds them in one place.
"""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.book.goals import MOST_POINTS
from buildlog.diagnostics import OUT_OF_RANGE, Code
from buildlog.figures.numbers import MOST_DIGITS, MOST_EXPONENT, NUMBER_UNREADABLE
from buildlog.figures.spread import MOST_READINGS
from buildlog.figures.stated import FIGURE_UNREADABLE, LONGEST_LABEL
from buildlog.figures.units import LONGEST_SPELLING, UNKNOWN_UNIT
from buildlog.files.text import FILE_TOO_LARGE, LARGEST_FILE
from buildlog.kinds import catalogue
from buildlog.reading import (
    configuration,
    content_folder,
    data,
    included_files,
    log_file,
    log_rows,
    nodes,
    own_units,
    snippets,
)
from buildlog.reading.blocks import GOAL_SHAPE, MOST_BLOCKS, TOO_MANY_BLOCKS
from buildlog.reading.front_matter import HOW_TO_SHAPE
from buildlog.reading.front_matter_keys import MOST_ITEMS
from buildlog.reading.log_reading import LONGEST_LINE
from buildlog.reading.markdown import containers, scanner
from buildlog.reading.predictions import MOST as MOST_PREDICTIONS
from buildlog.reading.predictions import PREDICTS_SHAPE

_GENERATED = "<!-- Made by `make generate` from the limits in the code: change those, not this page. -->"
_INTRODUCTION = """\
What one file can cost is bounded: beyond these limits buildlog reads no further and says so, with the
finding that stands beside each. No log of a build comes near them. Nothing is cut off in silence."""
_MIB = 1024**2


@dataclass(frozen=True)
class Limit:
    """The most that there may be of something, and the finding where there is more."""

    about: str
    most: str
    code: Code


def _bytes(count: int) -> str:
    return f"{count // _MIB} MiB"


def _count(count: int) -> str:
    """A count with its thousands set apart, as the manual writes them."""
    return f"{count:,}" if count >= 10_000 else str(count)


def _longest_table() -> int:
    """The most rows that any kind takes."""
    kinds = (catalogue.load_kind(name) for name in catalogue.kind_names())
    forms = (declared.form for kind in kinds for declared in kind.inputs)
    return max(int(form.bounds[1] or 0) for form in forms if form.row)


def limits() -> dict[str, tuple[Limit, ...]]:
    """Every limit to what is read, by what it is of."""
    rows = f"as many as its kind says, never more than {_count(_longest_table())}"
    return {
        "Pages": (
            Limit(
                "a page, a car's sheet, a list of sources or of words", _bytes(LARGEST_FILE), FILE_TOO_LARGE
            ),
            Limit(
                "quotes, lists, callouts, definitions and the like inside each other",
                _count(containers.DEEPEST),
                scanner.NESTED_TOO_DEEP,
            ),
            Limit("snippets inside each other", _count(snippets.DEEPEST), snippets.PAGE_NOT_VOUCHED),
            Limit(
                "lines of a page with its snippets", _count(snippets.MOST_LINES), snippets.PAGE_NOT_VOUCHED
            ),
            Limit(
                "included files inside each other",
                _count(snippets.DEEPEST),
                included_files.INCLUDE_NOT_READ,
            ),
            Limit(
                "directives that include files, of a page with all that comes in",
                _count(included_files.MOST_DIRECTIVES),
                included_files.INCLUDE_NOT_READ,
            ),
            Limit(
                "characters of a page with the files that it includes",
                _count(included_files.MOST_TEXT),
                included_files.INCLUDE_NOT_READ,
            ),
            Limit(
                "folders that are entered through links",
                _count(content_folder.MOST_LINKED_FOLDERS),
                content_folder.LINKS_WITHOUT_END,
            ),
            Limit("items of a list in front matter", _count(MOST_ITEMS), HOW_TO_SHAPE),
        ),
        "Blocks, sheets and settings": (
            Limit("calculation blocks of a page", _count(MOST_BLOCKS), TOO_MANY_BLOCKS),
            Limit("values and names of a block or a sheet", _count(nodes.MOST_NODES), nodes.YAML_REFUSED),
            Limit("lists and mappings inside each other", _count(nodes.DEEPEST), nodes.YAML_REFUSED),
            Limit(
                "values of a site's settings, with those merged in",
                _count(configuration.MOST_NODES),
                configuration.CONFIGURATION,
            ),
            Limit("units and headings of a site's own", _count(own_units.MOST_LINES), own_units.OWN_UNIT),
            Limit("characters of such a line", _count(own_units.LONGEST_LINE), own_units.OWN_UNIT),
            Limit("factors of such a unit", _count(own_units.MOST_FACTORS), own_units.OWN_UNIT),
            Limit("digits that its factors may come to", _count(own_units.MOST_DIGITS), own_units.OWN_UNIT),
            Limit("points of a sweep", _count(MOST_POINTS), GOAL_SHAPE),
            Limit("predictions of a block", _count(MOST_PREDICTIONS), PREDICTS_SHAPE),
            Limit("readings of which a doubt is made", _count(MOST_READINGS), OUT_OF_RANGE),
        ),
        "Figures": (
            Limit("characters of a figure", _count(LONGEST_LABEL), FIGURE_UNREADABLE),
            Limit("digits in a row", _count(MOST_DIGITS), NUMBER_UNREADABLE),
            Limit("power of ten", f"±{MOST_EXPONENT}", NUMBER_UNREADABLE),
            Limit("characters of a unit", _count(LONGEST_SPELLING), UNKNOWN_UNIT),
        ),
        "Data files": (
            Limit("a table", _bytes(data.LARGEST), data.DATA_UNREADABLE),
            Limit("its columns", _count(data.MOST_COLUMNS), data.DATA_UNREADABLE),
            Limit("cells of a line, with empty ones", _count(data.MOST_CELLS), data.DATA_UNREADABLE),
            Limit("its rows", rows, data.DATA_UNREADABLE),
            Limit("a log", _bytes(log_file.LARGEST_LOG), data.DATA_UNREADABLE),
            Limit("its rows", _count(log_rows.MOST_ROWS), data.DATA_UNREADABLE),
            Limit("characters of a line of it", _count(LONGEST_LINE), data.DATA_UNREADABLE),
        ),
    }


def limits_page() -> str:
    """The page of the manual."""
    lines = [
        "---",
        "title: Limits",
        "buildlog: {loose: off}",
        "---",
        "",
        _GENERATED,
        "",
        "# Limits",
        "",
        _INTRODUCTION,
        "",
    ]
    for title, listed in limits().items():
        lines += [f"## {title}", "", "| what | at most | finding beyond it |", "|---|---|---|"]
        for limit in listed:
            name = limit.code.name
            lines.append(f"| {limit.about} | {limit.most} | [`{name}`](findings/{name}.md) |")
        lines.append("")
    return "\n".join(lines)
