"""What follows the label of a link: `(address "title")`, as Python-Markdown reads it.

Round brackets nest, and the first quote is taken for the beginning of a title. Where that title is
never closed, the brackets are counted again as if it were none. Only brackets and quotes are looked
at, one after the other, and each look is taken from a budget that all links of a text share: without
it a text of unclosed links would take quadratic time.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_ANGLED = re.compile(r"\(\s*(<[^<>]*>)\s*(?:('[^']*'|\"[^\"]*\")\s*)?\)")
_OPENING = re.compile(r"\(\s*")
_SIGNS = re.compile(r"[()'\"]")


@dataclass(frozen=True)
class Destination:
    """Spans of the address and of the title (without its quotes), and where the link ends."""

    address: tuple[int, int]
    title: tuple[int, int] | None
    end: int


class Budget:
    """How many more signs may be looked at."""

    def __init__(self, length: int) -> None:
        self.left = 8 * length + 20_000
        self.unclosed = -1  # where an address opens a quote and a bracket and closes neither

    @property
    def spent(self) -> bool:
        return self.left <= 0


def read_destination(data: str, at: int, budget: Budget) -> Destination | None:
    """The destination that begins with the bracket at `at`, or None where there is none."""
    if not data.startswith("(", at) or budget.spent:
        return None
    opening = _OPENING.match(data, at)
    assert opening is not None
    begin = opening.end()
    if data.startswith("<", begin):
        angled = _ANGLED.match(data, at)
        if angled:
            title = None
            if angled.group(2):
                title = (angled.start(2) + 1, angled.end(2) - 1)
            return Destination((angled.start(1) + 1, angled.end(1) - 1), title, angled.end())
    return _Bracketed(data, begin, budget).read()


class _Quote:
    """The first quote of one kind, and the last one that could close it."""

    __slots__ = ("close", "open", "sign")

    def __init__(self) -> None:
        self.sign = ""
        self.open = -1
        self.close = -1


class _Bracketed:
    def __init__(self, data: str, begin: int, budget: Budget) -> None:
        self.data = data
        self.begin = begin
        self.budget = budget

    def read(self) -> Destination | None:
        data = self.data
        first, second = _Quote(), _Quote()
        depth = 1
        fallback_depth = 1
        fallback_end = -1
        in_title = False
        previous = -1  # where the last sign stands
        for match in _SIGNS.finditer(data, self.begin):
            at = match.start()
            sign = data[at]
            self.budget.left -= 1
            if self.budget.spent:
                return None
            if sign == "(":
                if not in_title:
                    depth += 1
                elif fallback_depth > 0:
                    fallback_depth -= 1
            elif sign == ")":
                last = self._last_before(at, previous)
                if (first.close >= 0 and last == first.sign) or (second.close >= 0 and last == second.sign):
                    depth = 0
                elif not in_title:
                    depth -= 1
                elif fallback_depth > 0:
                    fallback_depth -= 1
                    if fallback_depth == 0:
                        fallback_end = at + 1
                if depth == 0:
                    return self._finish(at, last, first, second)
            elif not first.sign:
                in_title = True
                fallback_depth = depth
                depth = 1
                first.sign, first.open = sign, at
            elif sign == first.sign:
                first.close = at
            elif not second.sign:
                second.sign, second.open = sign, at
            else:
                second.close = at
            previous = at
        if fallback_depth == 0:
            if fallback_end >= 0:
                return Destination((self.begin, fallback_end - 1), None, fallback_end)
            # Python-Markdown takes the text's last character for the end here, and loses the rest.
            self.budget.unclosed = self.begin
        return None

    def _last_before(self, at: int, previous: int) -> str:
        """The quote that stands before a bracket with nothing but spaces between, or ""."""
        if previous < 0 or self.data[previous] not in "'\"":
            return ""
        return self.data[previous] if not self.data[previous + 1 : at].strip(" ") else ""

    def _finish(self, at: int, last: str, first: _Quote, second: _Quote) -> Destination:
        for quote in (first, second):
            if quote.close >= 0 and last == quote.sign:
                return Destination((self.begin, quote.open), (quote.open + 1, quote.close), at + 1)
        return Destination((self.begin, at), None, at + 1)
