"""Pages as authors write and mistype them: every container of a site inside others, then changed at random.

The same seed gives the same page. Each figure has a number of its own for a label, so that two that change
places are told apart.
"""

from __future__ import annotations

import re
from random import Random

FIGURES = (
    "[% mm](cite:sheet)", "[% mm](cite:sheet)", "[% kg](cite:manual)", "[% mm](told:owner)",
    "[*%* mm](cite:sheet)", "[**% mm**](cite:manual)", "[about % mm](told:owner)", "[% mm](<cite:sheet>)",
    "[% mm](cite:sheet 'for part %')", '[% mm](cite:manual "for piece %")', "[% mm][ref]", "[% mm][Other]",
    "[% mm] [ref]", "[% mm](cite:sheet){ .wide }", "[%–%9 mm](cite:sheet)",
    "[% mm](cite:sheet) / [%0 mm](cite:sheet)", "[103.3 km/h](calc:base#cruise.speed_at_limit.2)",
    "[103 km/h](calc:base#cruise.speed_at_limit.2)", "[130.% km/h](calc:base#cruise.speed_at_limit.2)",
    "[short]", "[%\nmm](cite:sheet)", "[% mm](cite:sheet\n'for part %')", "[-% mm](told:owner)",
    "[0.% mm](told:owner)",
)  # fmt: skip

LEAVES = (
    ["Set @ here."], ["Set @, @ and @."], ["Said: *@* and **@**, `[1 mm](cite:sheet)`."],
    ["Two lines with @", "and @."], ["# Heading"], ["## Heading with @ { #at }"], ["Under @", "-----"],
    ["| a | b |", "|---|---|", "| @ | @ |", "| x | @ |"], ["Term @", ":   Definition @"],
    ["Term", ":   One @", "", "    Two @"], ["Seen[^1] @"], ["Seen[^2], [^1] @"], ["<b>@</b> and <i>x</i>"],
    ["<!-- @ -->"], ["Text <!-- a --> @"], ["<hr>"], ["<div/>"], ["<section/> @"], ["<br> @"],
    ["    [1 mm](cite:sheet)"], ["```", "[1 mm](cite:sheet)", "```"],
    ["~~~text", "[1 mm](cite:sheet)", "~~~"], ["***"], ["[^6]: Note @."], ["[^7]: Other", "", "    more @"],
    ["[^3]: @", "[^4]: @"], ["Seen[^3] and[^4]"], ["*[mm]: millimetre"], ["[% mm][also] and @"],
    ["[% mm] [also]"], ["![x](image.png) @"], ["<https://a.example> @"], ["\\[1 mm\\](x) @"],
    ["Line", "{: .wide }"], ["@", "{: .wide }"], ["Em -- dash \"q\" @ 'r'"], ["a &amp; b @ &nbsp; c"],
    ["<p markdown>@</p>"], ["<span>@</span>"], ["1\\. @"],
)  # fmt: skip

DEFINITIONS = (
    "", "Also [% mm][ref], [% mm][Other], [short], [% mm][also], [% mm][solo].", "",
    "[solo]: cite:manual 'for one'", "[also]: cite:sheet",
    "[^1]: A note with @.", "", "[^2]: Another.", "", "    With @.", "", "[ref]: cite:sheet",
    "[other]: <told:owner>", "[short]: cite:manual", "",
)  # fmt: skip

TOKENS = (
    "", "", "", "[", "]", "(", ")", "`", "``", "*", "**", "_", "\\", "<", ">", "\"", "'", "|", ":", "!",
    "#", "{", "}", "&", "\n", "\n\n", "\n    ", "    ", "\t", " ", "<div>", "</div>", "<div markdown>",
    "<div/>", "<p/>", "<details/>", "<p>", "</p>", "<!--", "-->", "<b>", "</b>", "<b class=\"",
    "<div class=\"", "\u2028", "\f", "\u00a0", "```\n", "~~~\n", "> ", "- ", "1. ", "!!! note\n",
    "!!! note \"@\"\n", "??? tip \"@\"\n", "=== \"@\"\n", "[^1]", "[^1]: ", "[^9]: @\n", ":   ", "| ",
    "{: .c }", "{href=x}", "{ title=x }", "<?", "<!", "<![CDATA[", "]]>", "&#", "&lt;", "<span ", "/>",
    "<script>", "</script>", "<style>", "<summary>", "<table>", "</table>", "<h1>", "</h1>", "<pre>",
    "</pre>", "<math>", "<a href='x'>", "</a>", "*[it]: that\n", "[ref]: told:owner\n", "---\n", "===\n",
    "\r", "\x0b", "\x1c", "\x85", "\u2029", "\ufeff", "\u200b", "<hr/>", "<br/>", "<li markdown>",
    "<td markdown='span'>", "<details markdown='block'>", "<textarea>", "<p markdown=", "<section",
    "</section >",
)  # fmt: skip


class PageMaker:
    """Makes one page from one seed."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        self.number = 10

    def page(self, mutations: int) -> str:
        """A page of nested containers, and as many random changes to it."""
        lines = ["Start.", ""]
        for _ in range(self.random.randint(1, 4)):
            lines += [*self._block(self.random.choice((0, 0, 1, 1, 2))), ""]
        text = self._fill("\n".join([*lines, *DEFINITIONS]))
        for _ in range(mutations):
            text = self._mutate(text)
        return text

    def _fill(self, text: str) -> str:
        """Figures in place of @, and in each a number of its own in place of %."""
        while "@" in text:
            before, _, after = text.partition("@")
            line = before[before.rfind("\n") + 1 :]
            prefix = re.match(r"[ >\t]*", line)
            assert prefix is not None
            figure = self.random.choice(FIGURES).replace("\n", f"\n{prefix[0]}")
            text = f"{before}{figure}{after}"
        while "%" in text:
            self.number += 1
            text = text.replace("%", str(self.number), 1)
        return text

    def _block(self, depth: int) -> list[str]:
        random = self.random
        if depth == 0:
            return list(random.choice(LEAVES))
        inner = [
            line for _ in range(random.randint(1, 3)) for line in [*self._block(random.randrange(depth)), ""]
        ]
        margin = random.choice(("    ", "    ", "\t"))
        indented = [margin + line if line else "" for line in inner]
        kind = random.choice(
            ("list", "numbers", "quote", "admonition", "details", "tabs", "div", "note", "term")
        )
        if kind == "quote":
            return [f"> {line}" if line else ">" for line in inner]
        if kind == "div":
            return [random.choice(("<div markdown>", '<section markdown="1">')), "", *inner, "</div>"]
        opening = {
            "list": ["- item @", ""],
            "numbers": ["1. item @"],
            "admonition": ['!!! note "Title @"', ""],
            "details": ['??? tip "Title @"', ""],
            "tabs": ['=== "First @"', ""],
            "note": ["Seen[^5].", "", "[^5]: Note @", ""],
            "term": ["Term @", ":   Meaning @", ""],
        }
        closing = {
            "list": ["- next @"],
            "numbers": ["2. next"],
            "tabs": ["", '=== "Second @"', "", "    text @"],
        }
        return [*opening[kind], *indented, *closing.get(kind, [])]

    def _mutate(self, text: str) -> str:
        """A sign put in, some taken out, or a line doubled, moved, indented or joined to the next."""
        random = self.random
        kind = random.choice(("insert", "insert", "insert", "delete", "double", "move", "indent", "join"))
        at = random.randrange(len(text) + 1)
        if kind == "insert":
            return text[:at] + self._fill(random.choice(TOKENS)) + text[at:]
        if kind == "delete":
            return text[:at] + text[at + random.choice((1, 1, 2, 5)) :]
        lines = text.split("\n")
        line = random.randrange(len(lines))
        if kind == "double":
            lines.insert(random.randrange(len(lines)), lines[line])
        elif kind == "move":
            taken = lines.pop(line)
            lines.insert(random.randrange(len(lines) + 1), taken)
        elif kind == "indent":
            lines[line] = random.choice((" ", "   ", "    ", "\t", "> ", "- ")) + lines[line]
        elif line + 1 < len(lines):
            lines[line : line + 2] = [lines[line] + random.choice(("", " ")) + lines[line + 1]]
        return "\n".join(lines)
