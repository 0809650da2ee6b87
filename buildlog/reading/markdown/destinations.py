"""What follows the label of a link: `(address "title")`, as Python-Markdown's LinkInlineProcessor reads it.

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
        # More than links need that a person wrote; for text of nothing but "](" the time stays linear.
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
    """Reads one destination that is not in angle brackets, sign by sign."""

    __slots__ = ("begin", "budget", "data", "depth", "depth_outside", "end_outside", "first", "second")

    def __init__(self, data: str, begin: int, budget: Budget) -> None:
        self.data = data
        self.begin = begin
        self.budget = budget
        self.first = _Quote()
        # Where the first quote does not resolve, as in (there'"title"), another kind may: the second.
        self.second = _Quote()
        self.depth = 1  # of round brackets; from the first quote on, of those that may end the title
        self.depth_outside = 1  # what it would be if the first quote began no title
        self.end_outside = -1  # and where the link would then end

    def read(self) -> Destination | None:
        data = self.data
        budget = self.budget
        previous = -1  # where the last sign stands
        for match in _SIGNS.finditer(data, self.begin):
            at = match.start()
            sign = data[at]
            budget.left -= 1
            if budget.left <= 0:
                return None
            if sign == "(":
                self._open()
            elif sign == ")":
                last = self._last_before(at, previous)
                self._close(at, last)
                if self.depth == 0:
                    return self._finish(at, last)
            else:
                self._quote(sign, at)
            previous = at
        return self._without_title()

    def _open(self) -> None:
        if not self.first.sign:
            self.depth += 1
        elif self.depth_outside > 0:
            # Python-Markdown counts down here as well, and we have to see what it sees.
            self.depth_outside -= 1

    def _close(self, at: int, last: str) -> None:
        if self._closes_title(self.first, last) or self._closes_title(self.second, last):
            self.depth = 0
        elif not self.first.sign:
            self.depth -= 1
        elif self.depth_outside > 0:
            self.depth_outside -= 1
            if self.depth_outside == 0:
                self.end_outside = at + 1

    def _closes_title(self, quote: _Quote, last: str) -> bool:
        """Whether a bracket follows the end of a quote, so that the quote is a title and the link ends."""
        return quote.close >= 0 and last == quote.sign

    def _quote(self, sign: str, at: int) -> None:
        first, second = self.first, self.second
        if not first.sign:
            # Taken for the beginning of a title, in which brackets do not nest.
            self.depth_outside = self.depth
            self.depth = 1
            first.sign, first.open = sign, at
        elif sign == first.sign:
            first.close = at
        elif not second.sign:
            second.sign, second.open = sign, at
        else:
            second.close = at

    def _last_before(self, at: int, previous: int) -> str:
        """The quote that stands before a bracket with nothing but spaces between, or ""."""
        if previous < 0 or self.data[previous] not in "'\"":
            return ""
        return self.data[previous] if not self.data[previous + 1 : at].strip(" ") else ""

    def _finish(self, at: int, last: str) -> Destination:
        for quote in (self.first, self.second):
            if self._closes_title(quote, last):
                return Destination((self.begin, quote.open), (quote.open + 1, quote.close), at + 1)
        return Destination((self.begin, at), None, at + 1)

    def _without_title(self) -> Destination | None:
        """The destination of a link whose quote began no title: (there"here)."""
        if self.depth_outside != 0:
            return None
        if self.end_outside < 0:
            # Python-Markdown takes the text's last character for the end here, and loses the rest.
            self.budget.unclosed = self.begin
            return None
        return Destination((self.begin, self.end_outside - 1), None, self.end_outside)
