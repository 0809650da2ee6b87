"""The list of findings that were there when buildlog was taken up: ``known-findings.yml``.

Page → code → what each finding is about, once for each time it is there::

    "content/episodes/old.md":
      figure-disagrees:
        - "[153 km/h](calc:final.speed.3)"
      loose-figure:
        - "4.2 kg"
        - "4.2 kg"

No lines or columns: the list outlives edits elsewhere on the page.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import groupby
from pathlib import Path

from buildlog.diagnostics import Diagnostic, declare
from buildlog.files.text import read_text
from buildlog.reading.nodes import (
    YamlList,
    YamlMapping,
    YamlNode,
    YamlScalar,
    describe,
    read_yaml,
    whole_file,
)

NAME = "known-findings.yml"
_ABOUT = """\
# Findings that were here when buildlog was taken up. They stop nothing; others do.
# Made by “buildlog proof --start”. It only gets shorter: “buildlog proof --shrink” takes out what is mended.
"""
_UNSAFE = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")

KNOWN_UNREADABLE = declare(
    "known-unreadable",
    "the list of known findings cannot be read here",
    why="A list that is read in part would let some findings through and stop at others by accident.",
    mend="Bring the file back from the repository, or take out the lines at fault.",
    example="<<<<<<< HEAD        # left over from a merge, in known-findings.yml",
)

KNOWN_GROWN = declare(
    "known-grown",
    "the list of known findings has more in it than it had",
    why="The list is for what was there when buildlog was taken up. What is new is to be mended, not listed.",
    mend="Take the new lines out of known-findings.yml, and mend what they are about.",
    example="buildlog proof --since origin/main        # and known-findings.yml has a line more than there",
)

Key = tuple[str, str, str]
"""(path of the page, code, what the finding is about)."""


def known_text(known: Mapping[Key, int]) -> str:
    """The list as a file, sorted. The same list is the same text, byte for byte."""
    lines = [_ABOUT]
    every = sorted(key for key, count in known.items() for _ in range(count))
    for path, of_page in groupby(every, key=lambda key: key[0]):
        lines.append(f"{_quote(path)}:\n")
        for code, of_code in groupby(of_page, key=lambda key: key[1]):
            lines.append(f"  {code}:\n")
            lines += [f"    - {_quote(about)}\n" for _, _, about in of_code]
    return "".join(lines)


def _quote(text: str) -> str:
    """A double-quoted YAML scalar: JSON's, with what YAML refuses to read escaped as well."""
    written = json.dumps(text, ensure_ascii=False)
    return _UNSAFE.sub(lambda match: f"\\u{ord(match[0]):04x}", written)


def read_known(path: Path, shown: str) -> tuple[Counter[Key], list[Diagnostic]]:
    """The list in a file, and what cannot be read in it."""
    text, faults = read_text(path, shown)
    if faults:
        return Counter(), faults
    return parse_known(text, shown)


def parse_known(text: str, shown: str) -> tuple[Counter[Key], list[Diagnostic]]:
    """The list in a text, and what cannot be read in it."""
    root, faults = read_yaml(text, whole_file(shown))
    known: Counter[Key] = Counter()
    if root is None:
        return known, faults
    for page, codes in _entries(root, "pages", faults):
        for code, abouts in _entries(codes, "codes", faults):
            if not isinstance(abouts, YamlList):
                faults.append(_fault(abouts, "a list"))
                continue
            for about in abouts.items:
                if isinstance(about, YamlScalar):
                    known[page, code, about.text] += 1
                else:
                    faults.append(_fault(about, "what a finding is about, in quotation marks"))
    return known, faults


def _entries(node: YamlNode, what: str, faults: list[Diagnostic]) -> Iterator[tuple[str, YamlNode]]:
    if isinstance(node, YamlMapping):
        yield from ((key.text, value) for key, value in node.entries)
    else:
        faults.append(_fault(node, f"a mapping of {what}"))


def _fault(node: YamlNode, expected: str) -> Diagnostic:
    return KNOWN_UNREADABLE.at(node.position, found=describe(node), expected=expected)
