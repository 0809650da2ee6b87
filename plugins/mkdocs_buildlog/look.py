"""Whether a text has anything of ours, told before anything else of buildlog is loaded.

Most sites have few pages with figures, and some have none yet: finding that out must cost next to nothing. So
this imports nothing of buildlog, and what it lets through is looked at properly later.
"""

from __future__ import annotations

import os
import re
import stat
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
# The opening of a block, and what may be meant for one: "yaml calc", "yamlcalc", "yaml cal", "yml kalk".
_OPENING = re.compile(rb"(?:`{3}|~{3})[^`~\r\n]*(?:(?<![\"'])calc(?!\.)|ya?ml[^a-z\r\n]{0,2}[ck])")
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
    return (b"```" in small or b"~~~" in small) and _OPENING.search(small) is not None


def folder_has_signs(folder: str, endings: tuple[str, ...]) -> bool:
    """Whether a page of a content folder has any, or a link leads to a folder outside: the proof tells that.
    What cannot be read is left to whoever reads it in earnest."""
    return any(path is None or _file_has_signs(path) for path in _pages_in(folder, endings))


def _file_has_signs(path: str) -> bool:
    try:
        # A device would never end, and a pipe never begin.
        return stat.S_ISREG(os.stat(path).st_mode) and has_signs(Path(path).read_bytes())
    except OSError:
        return False


def _pages_in(folder: str, endings: tuple[str, ...]) -> Iterator[str | None]:
    """The pages of a folder, links to folders followed, each once; None for one that leads out."""
    inside = os.path.realpath(folder) + os.sep
    waiting, entered = [folder], set[str]()
    while waiting:
        try:
            with os.scandir(waiting.pop()) as listing:
                entries = list(listing)
        except OSError:
            continue
        for entry in entries:
            if entry.name.endswith(endings):
                yield entry.path
            if entry.name.startswith(".") or not _is_folder(entry):
                continue
            if not os.path.islink(entry.path):
                waiting.append(entry.path)
            elif not f"{(there := os.path.realpath(entry.path))}{os.sep}".startswith(inside):
                yield None
            elif there not in entered:
                entered.add(there)
                waiting.append(entry.path)


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False


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
