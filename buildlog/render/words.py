"""Our own words in the language of a page: each English text is the key to its translation.

`buildlog.reading.words` reads them. A text that a language has not stays English, and says so to voices
(`english`). What an author wrote is never translated.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar

from markupsafe import Markup, escape

from buildlog.book.book import Book, Page
from buildlog.reading.words import ENGLISH, Words, words_for
from buildlog.said import PLACEHOLDER, Said, choose, fill

_ENGLISH_MARK = Markup(' lang="en"')
_LETTER = re.compile(r"[^\W\d_]")
_UNIT = "percentage points"
"""The one unit that is written as words."""


_SPOKEN: ContextVar[Words] = ContextVar("words", default=ENGLISH)


@contextmanager
def speaking(words: Words) -> Iterator[None]:
    """All that is rendered inside has its words in this language."""
    before = _SPOKEN.set(words)
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def spoken() -> Words:
    """The words of what is rendered now."""
    return _SPOKEN.get()


def to_say(text: str) -> str:
    """Marks a text that `say` is given later, so that its translation is asked for."""
    return text


def say(text: str, /, **values: object) -> str:
    """One of our texts in the language spoken now, with the values of its placeholders; a text that remembers
    what it was made of needs none."""
    texts = _SPOKEN.get().texts
    if isinstance(text, Said):
        if text.template not in texts and _LETTER.search(PLACEHOLDER.sub("", text.template)):
            return foreign(text)
        return _filled(choose(texts.get(text.template, text.template), text.wording), text.values)
    return _filled(texts.get(text, text), values)


def say_plainly(text: str) -> str:
    """The same for what is no page and marks no language, a drawing or a file: what is not translated stays
    English."""
    if not isinstance(text, Said):
        return say(text)
    template = _SPOKEN.get().texts.get(text.template, text.template)
    values = {
        name: say_plainly(value) if isinstance(value, Said) else value for name, value in text.values.items()
    }
    return fill(choose(template, text.wording), values)


def say_count(count: int, one: str, several: str, /, **values: object) -> str:
    """A text that is another for one than for several; `{count}` stands for the number."""
    forms = _SPOKEN.get().counted.get(several, (one, several))
    return _filled(forms[count != 1], {"count": count, **values})


def _filled(text: str, values: Mapping[str, object]) -> str:
    """A text with values in its placeholders; where one is HTML of ours, all else is escaped."""
    values = {name: say(value) if isinstance(value, Said) else value for name, value in values.items()}
    if any(isinstance(value, Markup) for value in values.values()):
        return Markup(PLACEHOLDER.sub(lambda place: str(escape(values[place[1]])), str(escape(text))))
    return fill(text, values)


def english(text: str = "") -> Markup:
    """The attribute of an element that stays English among other words; "" where a text is translated, or
    English is spoken."""
    words = _SPOKEN.get()
    known = text.template if isinstance(text, Said) else text
    return Markup("") if words.is_english or known in words.texts else _ENGLISH_MARK


def foreign(text: str) -> str:
    """A text that is English in any language, marked where another one is spoken."""
    if not text or _SPOKEN.get().is_english:
        return text
    return Markup('<span lang="en">{}</span>').format(text)


def units_in_words(text: str) -> str:
    """A text with the units in it that are words in the language spoken now."""
    words = _SPOKEN.get()
    if words.is_english or _UNIT not in text:
        return text
    return text.replace(_UNIT, words.texts.get(_UNIT, _UNIT))


def words_mark(page: str, words: Words) -> str:
    """The language that our words say on a page in another one, "" where there is nothing to say: a voice
    that reads the page aloud would speak them wrongly."""
    return words.language if page and page.partition("-")[0].lower() != words.language else ""


def words_of_page(book: Book, page: Page) -> Words:
    """The words of what is shown of a page: in the language that it says, or in that of the site's theme."""
    return words_for(page.howto.lang or book.settings.language, book.words)
