"""Sentences with the loose figures that people have marked in them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

DATA = Path(__file__).parents[1] / "data" / "loose"
Span = tuple[int, int]


@dataclass(frozen=True)
class Sentence:
    text: str
    spans: tuple[Span, ...]
    subject: str


@dataclass(frozen=True)
class MarkedPage:
    """A page with marks taken out, and where they stood: the line and the column, and what they held."""

    text: str
    figures: frozenset[tuple[int, int, str]]


@cache
def marked_page(name: str) -> MarkedPage:
    """A page of tables."""
    lines: list[str] = []
    figures = set()
    for number, line in enumerate((DATA / name).read_text(encoding="utf-8").splitlines(), 1):
        plain = ""
        for index, part in enumerate(line.replace("⟧", "⟦").split("⟦")):
            if index % 2 and part.strip():
                figures.add((number, len(plain) + 1, part))
            plain += part
        lines.append(plain)
    return MarkedPage("\n".join(lines) + "\n", frozenset(figures))


@cache
def sentences(name: str) -> tuple[Sentence, ...]:
    """The labelled sentences of a file."""
    found = []
    for row in (DATA / name).read_text(encoding="utf-8").splitlines():
        if not row or row.startswith("#"):
            continue
        marked, subject = row.split("\t")[:2]
        text, spans = "", []
        for number, part in enumerate(marked.replace("⟧", "⟦").split("⟦")):
            if number % 2:
                spans.append((len(text), len(text) + len(part)))
            text += part
        assert marked.count("⟦") == marked.count("⟧") == len(spans), row
        found.append(Sentence(text, tuple(spans), subject))
    return tuple(found)
