"""Whether a text has anything of ours, told before anything else of buildlog is loaded.

Most sites have few pages with figures, and some have none yet: finding that out must cost next to nothing. So
this imports nothing of buildlog, and what it lets through is looked at properly later.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path

from markdown import Extension, Markdown
from markdown.preprocessors import Preprocessor

# An address of ours, its colon written as one likes, and the marker of a list. Looking for a text in another
# is much quicker than looking for a pattern.
_SIGNS = (
    b"data-buildlog",
    *(scheme + colon for scheme in (b"calc", b"cite", b"told", b"caution") for colon in (b":", b"&", b"%3a")),
)
_CALC = re.compile(rb"calc(?![^\s},])")
_BEFORE = (b" ", b"\t", b"{", b".", b"`", b"~")
_FENCE = re.compile(rb"`{3}|~{3}")
_FRONT_MATTER = re.compile(rb"^[ \t]*[\"']?buildlog[\"']?[ \t]*:", re.MULTILINE)
# Below front matter (27), and before the extension itself, which looks for its fences at 26.
_PRIORITY = 26.5
_OF_THE_EXTENSION = "buildlog_blocks"


def has_signs(text: bytes) -> bool:
    """Whether something in a text looks as if it were ours; never false where something is."""
    small = text.lower()
    if any(sign in small for sign in _SIGNS):
        return True
    if b"buildlog" in small and _FRONT_MATTER.search(small):
        return True
    return b"calc" in small and any(
        _FENCE.search(small, small.rfind(b"\n", 0, word.start()) + 1, word.start())
        for word in _CALC.finditer(small)
        if small[word.start() - 1 : word.start()] in _BEFORE
    )


def folder_has_signs(folder: str, endings: tuple[str, ...]) -> bool:
    """Whether a page of a content folder has any. What cannot be read is left to whoever reads it in
    earnest."""
    for path in _pages_in(folder, endings):
        try:
            if has_signs(Path(path).read_bytes()):
                return True
        except OSError:
            continue
    return False


def _pages_in(folder: str, endings: tuple[str, ...]) -> Iterator[str]:
    for inner, folders, names in os.walk(folder, followlinks=True):
        folders[:] = [name for name in folders if not name.startswith(".")]
        yield from (os.path.join(inner, name) for name in names if name.endswith(endings))


class Lookout(Extension):
    """Stands in the site's list of Markdown extensions, and calls for ours on the pages that want it: all
    others are rendered as if the plugin were not there. `extension` gives it for a text, or says that there
    is nothing for it to do; `wanted` says that the page which is rendered next has something of ours though
    its text shows none, as front matter that was taken off."""

    def __init__(self, extension: Callable[[str], Extension | None]) -> None:
        super().__init__()
        self.extension = extension
        self.wanted = False

    def extendMarkdown(self, md: Markdown) -> None:
        md.preprocessors.register(_Look(md, self), "buildlog_look", _PRIORITY)


class _Look(Preprocessor):
    def __init__(self, md: Markdown, lookout: Lookout) -> None:
        super().__init__(md)
        self.lookout = lookout

    def run(self, lines: list[str]) -> list[str]:
        if _OF_THE_EXTENSION in self.md.preprocessors:
            return lines  # of an earlier text; it runs by itself
        text = "\n".join(lines)
        if not (self.lookout.wanted or has_signs(text.encode(errors="ignore"))):
            return lines
        extension = self.lookout.extension(text)
        if extension is None:
            return lines
        extension.extendMarkdown(self.md)
        return list(self.md.preprocessors[_OF_THE_EXTENSION].run(lines))
