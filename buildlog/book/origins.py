"""What the origins of an uncertainty are, for a reader: which input, and how far it was said to be off."""

from __future__ import annotations

from collections.abc import Container, Iterable

from buildlog.book.uncertainty import InputPath
from buildlog.figures import units
from buildlog.kinds.budget import amount_in_words
from buildlog.reading.common_errors import CommonError
from buildlog.reading.inputs import InputReader
from buildlog.said import listed, said


def origins_in_words(
    given: Container[object], reader: InputReader, common: Iterable[CommonError]
) -> dict[str, str]:
    """What each uncertain origin is, in words: the input, the row of a table and its column, or what several
    inputs share by the name that its author gave it."""
    words: dict[str, list[str]] = {}
    for path, parts in reader.uncertain.items():
        if path[0] in given:
            for origin in parts:
                words.setdefault(origin, []).append(_in_words(path, reader))
    named = {reader.origin_at(error.at.position): error.name.replace("_", " ") for error in common}
    return {
        origin: said("{name} (common)", name=named[origin]) if origin in named else _few(places)
        for origin, places in words.items()
    }


def stated_doubts(reader: InputReader, common: Iterable[CommonError]) -> dict[str, str]:
    """How far each uncertain origin is off, as its author wrote it; of what was assumed or came from another
    block in words of ours. What one number of another block rests on is stated by its whole ±."""
    stated: dict[str, dict[str, None]] = {}
    shared = {reader.origin_at(error.at.position): _with_sign(error.at.text) for error in common}
    for path, parts in reader.uncertain.items():
        for origin in parts:
            told = shared.get(origin) or _stated(path, reader)
            stated.setdefault(origin, {})[told] = None
    return {origin: _few(list(texts)) for origin, texts in stated.items()}


def _stated(path: InputPath, reader: InputReader) -> str:
    if path in reader.written:
        return reader.written[path]
    value = reader.numbers.get(path)
    if value is None:
        return ""
    if path in reader.assumed:
        size = reader.assumed[path].size(units.find(value.unit, value.dimension))
        return said("{size}, assumed", size=size)
    return f"± {amount_in_words(value, value.expanded_uncertainty)} (k = 2)"


def _with_sign(text: str) -> str:
    text = " ".join(text.split())
    return text if text.startswith("±") else f"± {text}"


def _in_words(path: InputPath, reader: InputReader) -> str:
    told = []
    for depth, part in enumerate(path, start=1):
        if isinstance(part, int):
            told.append(reader.words.get((*path[:depth], "name")) or str(part + 1))
        else:
            told.append(said(part.replace("_", " ")))
    return listed(told)


def _few(places: list[str]) -> str:
    if len(places) == 1:
        return places[0]
    return said("{first} and {count} more", first=places[0], count=len(places) - 1)
