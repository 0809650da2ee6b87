"""Whether a title can be read by itself: on a card, in a note, in the ledger, in a list of search results.

A title is the trade's own noun phrase, “road speed at the rev limit”. What makes one a fragment is the same
for every kind, so that the declarations are held to it where they are loaded.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from buildlog.figures import units

LONGEST = 60
"""Signs: what a note and a phone's card show in two lines at the most (house rule)."""

_PREPOSITIONS = frozenset(
    "about above across after against ahead along among around as at before behind below beneath beside "
    "between beyond by down during for from in into near of off on onto out over past per since than through "
    "till to towards under until up upon via with within without".split()
)
_ARTICLES = frozenset("a an the its his her their your our this that these those each every".split())
_QUESTIONS = frozenset("how what when where whether which who whose why if".split())
_VERBS = frozenset(
    "is are was were be been has have had do does did can may might must shall should will would adds asks "
    "bears brings carries catches costs draws fits gains gets gives goes holds keeps keep leaves lies loses "
    "lost makes meets moves passes reaches says sends shows sits slips takes tells turns wants weighs write "
    "wider spinning".split()
)


def words_of(text: str) -> frozenset[str]:
    """The words that say something, for whether one text says more than another."""
    return frozenset(re.findall(r"[^\W_]+", text.lower())) - _ARTICLES - {"of", "and", "s"}


def title_faults(title: str, dimension: str) -> Iterator[str]:
    """What keeps a title from being read by itself, and what was expected. `dimension` is that of what it
    stands for: a quarter mile may end a speed's title, and not a length's."""
    if not title:
        yield "no title, expected a noun phrase of the trade that can be read alone"
        return
    first, last = title.split()[0], title.split()[-1]
    if first.lower() in _PREPOSITIONS | _ARTICLES | _QUESTIONS | _VERBS:
        yield f"the title “{title}” begins with “{first}”, expected the noun itself first"
    if "_" in title:
        yield f"the title “{title}” has an identifier in it, expected words"
    if title.endswith((".", ":", ";", ",")):
        yield f"the title “{title}” ends with “{title[-1]}”, expected a noun phrase"
    if len(title) > LONGEST:
        yield f"the title “{title}” has {len(title)} signs, expected {LONGEST} or fewer"
    if any(unit.dimension == dimension for unit in units.spelt(last)):
        yield f"the title “{title}” ends with the unit “{last}”, expected none: the value has its own"
