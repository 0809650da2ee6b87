"""A text with values in it that remembers what it was made of, so that it can be said in another language.

It is an English text like any other for all that do not ask.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

PLACEHOLDER = re.compile(r"\{([a-z_0-9]+)\}")
WORDINGS = re.compile(r"\[([^\[\]|]*)\|([^\[\]|]*)\]")
"""Two wordings within a text, of which one is chosen: “it [may slip|slips]”."""


class Said(str):
    """A text made of a `template`, with `values` in its placeholders. Of the values those that are texts of
    this kind can be said in another language too; the others are numbers, units and authors' words."""

    template: str
    values: Mapping[str, object]
    wording: int = 0
    """Which of the wordings in its template was chosen, the first or the second; 0 while none is."""


def said(template: str, /, **values: object) -> Said:
    """A text of ours, which is shown to readers somewhere."""
    made = Said(fill(template, values))
    made.template, made.values = template, values
    return made


def worded(text: Said, wording: int) -> Said:
    """A text with the first or the second of its two wordings."""
    made = Said(fill(choose(text.template, wording), text.values))
    made.template, made.values, made.wording = text.template, text.values, wording
    return made


def completed(text: Said, known: Mapping[str, str]) -> Said:
    """A text whose values are told at last where something stands for them."""
    return said(text.template, **{name: known.get(str(one), one) for name, one in text.values.items()})


def choose(template: str, wording: int) -> str:
    """A template, or a translation of it, with one of its wordings; as it is where none is chosen."""
    return WORDINGS.sub(rf"\{wording}", template) if wording else template


def listed(parts: Iterable[str], between: str = ", ") -> Said:
    """Several texts as one."""
    values = {f"part_{number}": part for number, part in enumerate(parts)}
    return said(between.join(f"{{{name}}}" for name in values), **values)


def fill(template: str, values: Mapping[str, object]) -> str:
    """A text with values in its placeholders."""
    return PLACEHOLDER.sub(lambda place: str(values[place[1]]), template) if values else template
