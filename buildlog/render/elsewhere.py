"""Our HTML of one page as another page shows it: an excerpt in a list, a chapter on a page that has them all.

Many pages have a block, a note or a source of the same name, and where they stand on one page each needs an
id of its own. What points at an id follows it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from html import escape, unescape

from buildlog.render.ours import replace_ours

_TAG = re.compile(r"<([a-zA-Z][\w:-]*)(\s[^<>]*)>")
_ATTRIBUTE = re.compile(r'\s([\w:-]+)="([^"]*)"')
_POINTING = frozenset(("aria-labelledby", "aria-describedby", "aria-controls", "for"))
_ADDRESSES = frozenset(("href", "xlink:href"))
_WITHIN_DRAWING = re.compile(r"url\(#")
# Its form is made by a script that knows the card by the id that it has on its own page.
_FORM = re.compile(r'<details class="[^"]*\bbuildlog-yours"[^<>]*>.*?</details>', re.DOTALL)


def shown_elsewhere(html: str, prefix: str, address: Callable[[str], str], *, quote: str = '"') -> str:
    """A page's HTML with a prefix before the ids of ours; `address` writes where a link of ours leads, from
    what leads there on its own page. Ids and addresses are in quotes of this sort."""

    def write(inside: str) -> str:
        return _TAG.sub(lambda tag: _moved(tag, prefix, address, quote), _FORM.sub("", inside))

    return replace_ours(html, write)


def _moved(tag: re.Match[str], prefix: str, address: Callable[[str], str], quote: str) -> str:
    def write(attribute: re.Match[str]) -> str:
        name, value = attribute[1], unescape(attribute[2])
        if name in ("id", "data-row"):
            moved = prefix + value
        elif name in _POINTING:
            moved = " ".join(prefix + one for one in value.split())
        elif name in _ADDRESSES and tag[1] == "a":
            moved = address(value)
        elif name in _ADDRESSES and value.startswith("#"):
            moved = f"#{prefix}{value[1:]}"
        else:
            moved = _WITHIN_DRAWING.sub(f"url(#{prefix}", value)
        if moved == value and name not in _ADDRESSES:
            return attribute[0]
        return f" {name}={quote}{escape(moved)}{quote}"

    return f"<{tag[1]}{_ATTRIBUTE.sub(write, tag[2])}>"
