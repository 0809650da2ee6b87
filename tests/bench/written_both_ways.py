"""The same calculations and charts written twice, as blocks of ours and as code that is run, on copied pages.

The code is what somebody writes who takes the general-purpose `markdown-exec` instead: numpy and pint for the
numbers, matplotlib for the charts, the prose's figures printed by the code. It tells no ±, keeps no working
and checks nothing, and no sentence of it can differ from what was computed. A test holds its numbers to ours.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from tests.bench.site_of_copies import ROOT, without_plugin

PAGES = ROOT / "tests" / "bench" / "same_calculations"
BLOCKS, CODE, BARE = "blocks", "code", "bare"
_PLUGIN = re.compile(r"^  - buildlog:\n(?:      .*\n)+", re.MULTILINE)


def write_site(folder: Path, *, way: str, pages: int) -> None:
    """Write a site of so many copies of the page, with the demonstration's theme and extensions."""
    settings = (ROOT / "mkdocs.yml").read_text("utf-8").partition("\nnav:")[0]
    if way == BARE:
        settings = without_plugin(settings)
    if way == CODE:
        settings = without_plugin(_PLUGIN.sub("  - markdown-exec\n", settings, count=1))
    content = folder / "content"
    content.mkdir(parents=True)
    shutil.copytree(ROOT / "theme", folder / "theme")
    (folder / "mkdocs.yml").write_text(settings + "\n", "utf-8")
    (content / "index.md").write_text(f"# A site of {pages} pages\n", "utf-8")
    text = (PAGES / f"{CODE if way == CODE else BLOCKS}.md").read_text("utf-8")
    for number in range(pages):
        (content / f"page-{number}.md").write_text(_copy(text, number), "utf-8")


def _copy(text: str, number: int) -> str:
    """A page of its own: its title, and the session that its code is run in."""
    text = re.sub(r"^(title: .*)", rf"\1 ({number})", text, count=1, flags=re.MULTILINE)
    return text.replace('session="final-drive"', f'session="final-drive-{number}"')
