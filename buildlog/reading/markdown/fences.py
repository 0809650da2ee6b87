"""Fenced code blocks, found by the rules of pymdownx.superfences.

They are found before anything else, at any indent and behind any number of quote marks, and each is
then replaced by one line, so that what reads the containers sees a single opaque line:

- the marker is three or more backticks or tildes; what follows it must be a language, and after it
  nothing, `{attributes}`, or options that are known. With an unknown word it opens no block, except
  that `yaml calc` is known to buildlog, and so is what nearly is that: a block of code, which a page
  shows as one (`page/extension.py`), or its closing line would open one that reaches to the next;
- the closing line is exactly the same marker, behind the same prefix;
- every line between them has the prefix too, or is empty. Otherwise the block is given up, and the
  lines so far are ordinary text.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass

PREFIX = " >"

_LANGUAGE = re.compile(r"[ \t]*\.?([\w#.+-]+)(?=[\t ]|$)")
_OPTION = re.compile(r"[ \t]*([a-zA-Z][a-zA-Z0-9_]*)")
_QUOTED = re.compile(r"=(?:\"[^\"]*\"|'[^']*')")
_LETTERS = re.compile("[a-z]+")
# The word by itself: a title of a file's name ("calc.yml") means no block.
_CALC = re.compile(r"(?<![^\s{.])calc(?![^\s},:])", re.IGNORECASE)
_CALC_IN_LETTERS = "yamlcalc"
_NEAR = 0.75  # of difflib's ratio: "yaml cal" and "yaml kalk" are near, "yaml title" is not
_LINES_OPTION = re.compile(r"\d+(?:-\d+)?(?:[ \t]+\d+(?:-\d+)?)*")


@dataclass(kw_only=True)
class FoundFence:
    """A fence, in indices of lines and of columns of expanded lines."""

    start: int
    end: int
    prefix_length: int
    marker: str
    info: str
    language: str
    is_calc: bool
    is_mistyped: bool  # was meant for a calculation, and is none
    closed: bool


@dataclass(kw_only=True)
class _Opening:
    start: int
    marker: str
    prefix: str
    info: str
    language: str
    is_calc: bool
    is_mistyped: bool
    quotes: int
    empty_lines: int = 0


def find_fences(lines: Sequence[str], first: int) -> list[FoundFence]:
    """All fences from line `first` on, and the `yaml calc` ones that are never closed."""
    fences: list[FoundFence] = []
    opening: _Opening | None = None
    for index in range(first, len(lines)):
        line = lines[index]
        if opening is None:
            if "```" in line or "~~~" in line:
                opening = _open(line, index)
            continue
        verdict = _judge(opening, line)
        if verdict == "body":
            continue
        if verdict == "close":
            fences.append(_finish(opening, index, closed=True))
        elif opening.is_calc:
            # Superfences shows it as text. An author who opened a calculation is told of it.
            fences.append(_finish(opening, index - 1, closed=False))
        opening = None
    if opening is not None and opening.is_calc:
        fences.append(_finish(opening, len(lines) - 1, closed=False))
    return fences


def _finish(opening: _Opening, end: int, closed: bool) -> FoundFence:
    return FoundFence(
        start=opening.start,
        end=end,
        prefix_length=len(opening.prefix),
        marker=opening.marker,
        info=opening.info,
        language=opening.language,
        is_calc=opening.is_calc,
        is_mistyped=opening.is_mistyped,
        closed=closed,
    )


def _judge(opening: _Opening, line: str) -> str:
    """Whether a line belongs to the body, closes the block, or shows that it was none."""
    taken = 0
    limit = min(len(opening.prefix), len(line))
    while taken < limit and line[taken] in PREFIX:
        taken += 1
    prefix, content = line[:taken], line[taken:]
    quotes = prefix.count(">")
    if opening.quotes:
        # Superfences forgives a quote mark left out, as Markdown does, but not below an empty line.
        if quotes > opening.quotes:
            return "give up"
        if content == "":
            opening.empty_lines += 1
            return "body"
        if len(prefix) < len(opening.prefix) or (opening.empty_lines and quotes < opening.quotes):
            return "give up"
    else:
        # Outside a quote only the indent counts, which an empty line need not have.
        if quotes:
            return "give up"
        if not content.strip():
            return "body"
        if len(prefix) != len(opening.prefix):
            return "give up"
    if content.startswith(opening.marker) and not content[len(opening.marker) :].strip(" \t"):
        return "close"
    opening.empty_lines = 0
    return "body"


def _open(line: str, index: int) -> _Opening | None:
    rest = line.lstrip(PREFIX)
    if not rest.startswith(("```", "~~~")):
        return None
    info = rest.lstrip(rest[0])
    header = _read_header(info)
    is_mistyped = header != ("yaml", True) and means_calculation(info)
    if header is None:
        if not is_mistyped:
            return None
        header = "", False
    prefix = line[: len(line) - len(rest)]
    marker = rest[: len(rest) - len(info)]
    language, is_calc = header
    return _Opening(
        start=index,
        marker=marker,
        prefix=prefix,
        info=info.strip(),
        language=language,
        is_calc=is_calc,
        is_mistyped=is_mistyped,
        quotes=prefix.count(">"),
    )


def means_calculation(info: str) -> bool:
    """Whether what follows a marker is `yaml calc`, or was meant for it."""
    if "`" in info or "~" in info:
        return False  # code within a line
    plain = _QUOTED.sub("", info)
    if _CALC.search(plain):
        return True
    letters = "".join(_LETTERS.findall(plain.lower())[:2])
    if letters.startswith((_CALC_IN_LETTERS, "ymlcalc")):
        return True
    return difflib.SequenceMatcher(None, letters, _CALC_IN_LETTERS).ratio() >= _NEAR


def _read_header(info: str) -> tuple[str, bool] | None:
    """Info string → language and whether it is a calculation, or None where it opens no block."""
    language = ""
    match = _LANGUAGE.match(info)
    rest = info
    if match:
        language = match.group(1)
        rest = info[match.end() :]
    rest = rest.strip(" \t")
    if not rest:
        return language, False
    if rest.startswith("{") and rest.endswith("}"):
        return language, False  # attributes, which superfences takes as they are
    options = _read_options(rest)
    if options is None:
        return None
    if language == "yaml" and options == {"calc": "calc"}:
        return language, True
    known = all(_is_highlight_option(name, value) for name, value in options.items())
    return (language, False) if known else None


def _is_highlight_option(name: str, value: str) -> bool:
    """What pymdownx.highlight takes; superfences opens no block when anything is left over."""
    if name == "hl_lines":
        return _LINES_OPTION.fullmatch(value) is not None
    if name == "linenums":
        return value[:1].isdecimal()
    return name in ("title", "title_mode")


def _read_options(rest: str) -> dict[str, str] | None:
    """`word` and `word="value"` separated by blanks, or None where it is anything else."""
    options: dict[str, str] = {}
    at = 0
    while at < len(rest):
        match = _OPTION.match(rest, at)
        if match is None:
            return None
        name = match.group(1)
        at = match.end()
        value = name
        if rest.startswith(('="', "='"), at):
            quote = rest[at + 1]
            begin = at + 2
            end = rest.find(quote, begin)
            # A quote within a word is part of the value: title="5" wheels".
            while end >= 0 and end + 1 < len(rest) and rest[end + 1] not in " \t":
                end = rest.find(quote, end + 1)
            if end < 0:
                return None
            value = rest[begin:end]
            at = end + 1
        if at < len(rest) and rest[at] not in " \t":
            return None
        options[name] = value
    return options
