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
