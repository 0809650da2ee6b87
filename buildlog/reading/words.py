"""The words of cards in other languages: files that have for each English text its translation.

Those that come with us lie in ``languages``. A site adds a language, or words of its own, with a file of the
language's name in the folder ``words`` of its content: ``words/fr.yml``.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from importlib import resources

import yaml

from buildlog.diagnostics import Diagnostic, Position, Severity, declare, did_you_mean, shorten
from buildlog.reading.nodes import YamlMapping, YamlNode, YamlScalar, describe, read_yaml, whole_file
from buildlog.said import PLACEHOLDER, WORDINGS

ENGLISH_LANGUAGE = "en"
FOLDER = "words"
"""Where a site's own files are, under content."""
_SHIPPED = ("de",)
_NAME = re.compile(r"[a-z]{2,3}")
_ONE, _OTHER = "one", "other"

TRANSLATION = declare(
    "translation",
    "a translation that cannot be used",
    why="A reader would see a text without its values, or English where you meant your own words.",
    mend="Write the English text as the shipped files have it, and the same words in braces in both.",
    example='"Episode {number}": "Épisode"',
)
UNTRANSLATED = declare(
    "untranslated",
    "texts that a language has no translation for",
    why="They are shown in English, and say so to voices.",
    mend="Add them to the file of the language; the shipped file of another language has all of them.",
    severity=Severity.NOTE,
    example="words/fr.yml with half of the texts",
)


@dataclass(frozen=True, kw_only=True, eq=False)
class Words:
    """The words of one language. `texts` has translations by English text; `counted` those that a number
    decides over, for one and for any other number, by the English text for several."""

    language: str
    texts: Mapping[str, str] = field(default_factory=dict)
    counted: Mapping[str, tuple[str, str]] = field(default_factory=dict)

    @property
    def is_english(self) -> bool:
        return self.language == ENGLISH_LANGUAGE


ENGLISH = Words(language=ENGLISH_LANGUAGE)


@cache
def shipped(language: str) -> Words | None:
    """The words of a language that comes with us, None where it does not."""
    if language not in _SHIPPED:
        return None
    file = resources.files("buildlog.reading") / "languages" / f"{language}.yml"
    # Ours, and held to its form by a test: the quick loader will do.
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    entries: Mapping[str, str | Mapping[str, str]]
    entries = yaml.load(file.read_text(encoding="utf-8"), Loader=loader)  # noqa: S506
    texts = {text: said for text, said in entries.items() if isinstance(said, str)}
    counted = {
        text: (said[_ONE], said[_OTHER]) for text, said in entries.items() if not isinstance(said, str)
    }
    return Words(language=language, texts=texts, counted=counted)


@lru_cache(maxsize=8)
def read_words(text: str, path: str, language: str) -> tuple[Words | None, tuple[Diagnostic, ...]]:
    """A site's own words in a language, and what is wrong with them. They go before those that come with us.

    What was read once is the same object again, so that nothing is made anew that has these words in it.
    """
    start = Position(path, 1, 1)
    if not _NAME.fullmatch(language):
        expected = "the name of a language, as fr.yml"
        return None, (TRANSLATION.at(start, found=f"the name “{shorten(language)}”", expected=expected),)
    node, faults = read_yaml(text, whole_file(path))
    if not isinstance(node, YamlMapping):
        if not faults:
            expected = "a translation for each English text, “Results: Résultats”"
            found = "nothing" if node is None else describe(node)
            faults = [TRANSLATION.at(start, found=found, expected=expected)]
        return None, tuple(faults)
    known = shipped(_SHIPPED[0])
    assert known is not None
    texts: dict[str, str] = {}
    counted: dict[str, tuple[str, str]] = {}
    for key, value in node.entries:
        if key.text in known.counted:
            if (forms := _forms(key, value, faults)) is not None:
                counted[key.text] = forms
        elif key.text not in known.texts:
            faults.append(
                TRANSLATION.at(
                    key.position,
                    found=f"“{shorten(key.text)}”",
                    expected="an English text that cards have",
                    help=did_you_mean(key.text, [*known.texts, *known.counted]),
                )
            )
        elif (translated := _translated(key, value, faults)) is not None:
            texts[key.text] = translated
    own = shipped(language) or Words(language=language)
    words = Words(language=language, texts={**own.texts, **texts}, counted={**own.counted, **counted})
    faults += _untranslated(words, known, start)
    return words, tuple(faults)


def _forms(key: YamlScalar, value: YamlNode, faults: list[Diagnostic]) -> tuple[str, str] | None:
    """The translations for one and for any other number."""
    one, other = (value.get(_ONE), value.get(_OTHER)) if isinstance(value, YamlMapping) else (None, None)
    if one is None or other is None:
        expected = "a translation for one and for any other number: {one: …, other: …}"
        faults.append(TRANSLATION.at(value.position, found=describe(value), expected=expected))
        return None
    found = _translated(key, one, faults), _translated(key, other, faults)
    return (found[0], found[1]) if found[0] is not None and found[1] is not None else None


def _translated(key: YamlScalar, value: YamlNode, faults: list[Diagnostic]) -> str | None:
    """A translation with the placeholders of its text; None where it is none, which is a fault."""
    if not isinstance(value, YamlScalar) or not value.text.strip():
        faults.append(TRANSLATION.at(value.position, found=describe(value), expected="a text"))
        return None
    wanted, found = (Counter(PLACEHOLDER.findall(text)) for text in (key.text, value.text))
    if wanted == found and bool(WORDINGS.search(key.text)) != bool(WORDINGS.search(value.text)):
        two = "two wordings in brackets, [what may be|what is], where the English has them, and only there"
        faults.append(TRANSLATION.at(value.position, found=f"“{shorten(value.text)}”", expected=two))
        return None
    if wanted == found:
        return value.text
    faults.append(
        TRANSLATION.at(
            value.position, found=_listed(found, "no word in braces"), expected=_listed(wanted, "none")
        )
    )
    return None


def _listed(names: Iterable[str], none: str) -> str:
    return ", ".join(f"{{{name}}}" for name in sorted(names)) or none


def _untranslated(words: Words, known: Words, start: Position) -> list[Diagnostic]:
    """A note that a language has not all texts yet."""
    missing = [text for text in known.texts if text not in words.texts]
    missing += [text for text in known.counted if text not in words.counted]
    if not missing:
        return []
    found = f"{len(missing)} texts without a translation, the first “{shorten(missing[0])}”"
    return [UNTRANSLATED.at(start, found=found, expected="all of them")]


def words_for(language: str, own: Mapping[str, Words] | None = None) -> Words:
    """The words for a page in a language, English where there are no others. `own` are those of the site."""
    short = language.partition("-")[0].lower()
    return (own or {}).get(short) or shipped(short) or ENGLISH
