"""The terms that a site explains: those of the definition lists of a page that calls itself a glossary.

    crush sleeve
    :   A thin tube between the pinion's bearings that …

Terms that stand on lines above one explanation are names of one thing. What stands in a fence is none.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from buildlog.diagnostics import Diagnostic, Position, declare, shorten
from buildlog.figures.labels import plain
from buildlog.reading.markdown.page import ScannedPage

GLOSSARY_TERM = declare(
    "glossary-term",
    "a glossary that explains a term twice, or none",
    why="A term leads its reader to one explanation, and a page that explains nothing leads nowhere.",
    mend="Explain each term once, in a definition list: the term on a line of its own, and below it a colon, "
    "three spaces and the explanation.",
    example="buildlog: {glossary: yes}        # and no definition list in the page",
)

_EXPLANATION = re.compile(r" {0,3}: {1,3}\S")
_NOT_WORDS = re.compile(r"[^\w]+")


@dataclass(frozen=True, kw_only=True)
class Term:
    """A term with the id of its explanation; `page` is the glossary's key."""

    words: str
    anchor: str
    page: str
    position: Position


def term_anchor(words: str) -> str:
    """The id of a term's explanation."""
    return "term-" + _NOT_WORDS.sub("-", words.casefold()).strip("-")


def read_terms(scanned: ScannedPage, page: str) -> tuple[Term, ...]:
    """The terms of a glossary, in order."""
    lines = scanned.lines.raw
    fenced = {line for fence in scanned.fences for line in range(fence.line, fence.end_line + 1)}
    first = scanned.front_matter.end_line if scanned.front_matter else 0
    terms: list[Term] = []
    for number in range(first, len(lines)):
        if number + 1 in fenced or not _EXPLANATION.match(lines[number]):
            continue
        above = number - 1
        if above >= first and not lines[above].strip():
            above -= 1
        found: list[Term] = []
        while above >= first and above + 1 not in fenced and _is_term(lines[above]):
            words = " ".join(plain(lines[above]).text.split())
            place = Position(scanned.path, above + 1, len(lines[above]) - len(lines[above].lstrip()) + 1)
            if words:
                found.append(Term(words=words, anchor=term_anchor(words), page=page, position=place))
            above -= 1
        terms += reversed(found)
    return tuple(terms)


def _is_term(line: str) -> bool:
    return (
        bool(line.strip())
        and not line.startswith(("    ", "\t", "#", ">", "|"))
        and not _EXPLANATION.match(line)
    )


def glossary_faults(glossaries: Iterable[tuple[Position, tuple[Term, ...]]]) -> list[Diagnostic]:
    """Findings on glossaries without terms, and on terms that are explained twice."""
    faults: list[Diagnostic] = []
    seen: dict[str, Term] = {}
    for place, terms in glossaries:
        if not terms:
            expected = "a definition list with the terms that the page explains"
            faults.append(GLOSSARY_TERM.at(place, found="a glossary without terms", expected=expected))
        for term in terms:
            first = seen.setdefault(term.anchor, term)
            if first is not term:
                faults.append(
                    GLOSSARY_TERM.at(
                        term.position,
                        found=f"“{shorten(term.words)}” for the second time",
                        expected="each term once",
                        second=first.position,
                        second_label="the other one is here",
                        length=len(term.words),
                    )
                )
    return faults
