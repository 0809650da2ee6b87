"""The scanner against Python-Markdown and pymdownx.superfences: what they see it sees, and the other
way round. `rendered.py` says which versions and which extensions.

Left out on purpose, and why:

- A link in the label of another link. Python-Markdown reads some texts twice, so that whether the
  inner link counts hangs on what stands before it in the label. The scanner reports `link-in-label`.
- An address that opens a quote and a bracket and closes neither: Python-Markdown then drops the rest
  of the paragraph. The scanner reports `address-unclosed`.
- Code spans, footnote marks and references inside an address or a title: Python-Markdown puts their
  rendered text into the address, which is never an address of ours.
- "&#" without a number: the standard library's HTML parser stops reading there, and all raw HTML
  after it is text.
- The characters U+0002 and U+0003, which Python-Markdown takes out of the text.
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from buildlog.reading.markdown.page import Fence, ScannedPage
from buildlog.reading.markdown.scanner import scan
from tests.examples import with_examples
from tests.reading.markdown.rendered import render

UNDECIDED = {"link-in-label", "address-unclosed"}
FIXTURES = Path(__file__).parent / "pages"


def body_as_rendered(fence: Fence) -> str:
    """A body with its tabs set, since Python-Markdown sets them; blank lines are empty there."""
    width = len(fence.prefix.expandtabs(4))
    lines = [(" " * width + line).expandtabs(4)[width:] for line in fence.body_lines]
    return "\n".join(line if line.strip(" ") else "" for line in lines)


def plain(label: str) -> str:
    """The letters and digits of a label: images, marks of emphasis and the like aside."""
    return re.sub(r"[^0-9A-Za-z]", "", re.sub(r"!\[.*?\]\(.*?\)", "", label))


def assert_same(text: str, page: ScannedPage, labels: bool = True) -> None:
    seen = render(text)
    ours = [body_as_rendered(fence) for fence in page.fences if fence.is_calc and fence.closed]
    theirs = ["\n".join(line if line.strip(" ") else "" for line in body.split("\n")) for body in seen.bodies]
    assert Counter(ours) == Counter(theirs)
    our_links = [(link.address, link.title or "", plain(link.label) if labels else "") for link in page.links]
    their_links = [
        (address, title or "", plain(label) if labels else "") for address, title, label in seen.links
    ]
    assert Counter(our_links) == Counter(their_links)


def check(text: str, labels: bool = True) -> None:
    page = scan(text, "page.md")
    assume(not UNDECIDED & {diagnostic.code.name for diagnostic in page.diagnostics})
    assert_same(text, page, labels)


@pytest.mark.parametrize(
    "cells",
    [
        r"\``x | y` | [L](calc:b)",  # the first tick is escaped, the second opens a code span to the third
        r"\`x | [L](calc:b)",
        r"\```x | y`` | [L](calc:b)",
        r"`x \` | [L](calc:b)",
        r"\\`x | y` | [L](calc:b)",
    ],
)
def test_backticks_and_pipes_of_a_table(cells: str) -> None:
    text = f"| a | b |\n|---|---|\n| {cells} |\n"
    assert_same(text, scan(text, "page.md"))


# Well-formed pages: containers inside each other, as an author would nest them.

MARGINS = st.sampled_from(["    ", "    ", "\t"])


def numbered(lines: list[str]) -> str:
    """One page of lines, with a number of its own in place of each %."""
    count = 0
    out = []
    for line in lines:
        while "%" in line:
            line = line.replace("%", str(count), 1)
            count += 1
        out.append(line)
    return "\n".join(out)


LEAVES = st.sampled_from(
    [
        ["Third runs out at [L%](calc:b%.speed) sooner."],
        ['[L%](calc:b%.speed "vs before") and [L%](cite:m%),', "[L%](told:o%) over two lines."],
        ["A label [L%", "over lines](calc:b%)."],
        ["`[no%](calc:no%)` and [L%](calc:b%)"],
        ["``two ` ticks [no%](calc:no%)`` [L%](calc:b%)"],
        ["Text <!-- [no%](calc:no%) --> [L%](calc:b%)"],
        ["*[L%](calc:b%)* and **[L%](<calc:b%> 'in km/h')**"],
        ["[L%][r1] and [r1] and [x][none]"],
        ["![L%](image%.png) [](calc:b%)"],
        ["\\[no%](calc:no%) [L\\*%](calc:b%)"],
        ["# Heading [L%](calc:b%)"],
        ["Heading [L%](calc:b%)", "-----"],
        ["| a | [L%](calc:b%) |", "|---|---|", "| 1 | [L%](calc:b% 'in mm') |", "| `a|b` | [L%](calc:b%) |"],
        ["Term [L%](calc:b%)", ":   Definition [L%](calc:b%)"],
        ["```yaml calc", "id: a%", "x: {y: 1}", "```"],
        ["~~~yaml calc", "id: a%", "", "inputs:", "  x: 1 mm", "~~~"],
        ["````yaml calc", "id: a%", "```", "````"],
        ["```yaml", "id: no%", "```"],
        ['```python hl_lines="1"', "id = %", "```"],
        ["````markdown", "```yaml calc", "id: no%", "```", "[no%](calc:no%)", "````"],
        ["", "    [no%](calc:no%)", "    ```yaml calc", "    id: no%", "    ```", ""],
        ["***"],
        ["See the note[^1] [L%](calc:b%)"],
        ["<b>[L%](calc:b%)</b> and <https://example.org>"],
        ["<!--", "[no%](calc:no%)", "", "```yaml calc", "id: no%", "```", "-->"],
    ]
)


@st.composite
def containers(draw: st.DrawFn, inner: st.SearchStrategy[list[list[str]]]) -> list[str]:
    blocks = draw(inner)
    margin = draw(MARGINS)
    kind = draw(st.sampled_from(["list", "numbers", "quote", "callout", "details", "tabs", "div"]))
    lines = [line for block in blocks for line in [*block, ""]]
    if kind == "quote":
        return [f"> {line}" if line else ">" for line in lines]
    if kind == "div":
        return ["<div markdown>", "", *lines, "</div>"]
    indented = [margin + line if line else "" for line in lines]
    if kind == "list":
        return ["- item [L%](calc:i%)", "", *indented, "- next [L%](calc:i%)"]
    if kind == "numbers":
        return ["1. item", *indented, "2. next"]
    if kind == "tabs":
        return ['=== "First [L%](calc:t%)"', "", *indented, "", '=== "Second"', "", "    text [L%](calc:t%)"]
    opening = "!!!" if kind == "callout" else draw(st.sampled_from(["???", "???+"]))
    return [f'{opening} note "Title [L%](calc:t%)"', "", *indented]


def _blocks(child: st.SearchStrategy[list[str]]) -> st.SearchStrategy[list[list[str]]]:
    return st.lists(child, min_size=1, max_size=3)


BLOCKS = st.recursive(LEAVES, lambda child: containers(_blocks(child)), max_leaves=8)
DEFINITIONS = ["", "[^1]: A note [L%](calc:n%).", "", "[r1]: calc:ref1 'vs before'", ""]


@st.composite
def pages(draw: st.DrawFn) -> str:
    lines = [line for block in draw(st.lists(BLOCKS, min_size=1, max_size=4)) for line in [*block, ""]]
    return numbered([*lines, *DEFINITIONS])


@with_examples(200)
@given(pages())
def test_well_formed_pages(text: str) -> None:
    check(text)


@with_examples(200)
@given(pages())
def test_a_line_put_in_place_of_each_block_is_rendered_once(text: str) -> None:
    """What the Markdown extension does: one line, behind the same prefix, for each block."""
    page = scan(text, "page.md")
    lines = text.split("\n")
    blocks = [fence for fence in page.fences if fence.is_calc and fence.closed]
    for number, fence in reversed(list(enumerate(blocks))):
        lines[fence.line - 1 : fence.end_line] = [f"{fence.prefix}MARK{number}KRAM"]
    html = render("\n".join(lines)).html
    for number in range(len(blocks)):
        assert html.count(f"MARK{number}KRAM") == 1


# Anything below anything, at any indent.

LINES = [
    "text 5 mm", "[L%](calc:a%)", 'more [L%](calc:b% "vs x") text', "- item", "- [L%](calc:c%)", "1. one",
    "2. [L%](calc:d%)", "> quote", "> [L%](calc:q%)", ">", "!!! note", '!!! note "T [L%](calc:t%)"',
    "??? tip", '??? "D [L%](calc:d%)"', '=== "A"', '=== "B [L%](calc:t%)"', "# H [L%](calc:h%)", "---",
    "===", "***", "* * *", "```yaml calc", "```", "````", "````text", "~~~", "~~~yaml calc", "```yaml",
    "id: x%", "", "", "", "", "", "| a | [L%](calc:t%) |", "|---|---|", "a | b", "--|--",
    "Term [L%](calc:t%)", ": def [L%](calc:d%)", ":   def", "[^1]: note [L%](calc:f%)", "[^2]: other",
    "see [^1] and [^2]", "[r1]: calc:ref%", "[r2]: calc:ref% 'tt'", "use [r1] and [x][r2]",
    "`code [no%](calc:no%)`", "`open", "<!-- c", "-->", "<!-- [no%](calc:no%) -->", "<div markdown>",
    "</div>", "<div>", '<div markdown="1">', "<b>", "</b>", "text <b>[L%](calc:b%)</b>", "<p markdown>",
    "</p>", "> - [L%](calc:q%)", "> ```yaml calc", "> ```", "> id: y%", "> > [L%](calc:q%)",
    "+ plus [L%](calc:p%)", "- - nested [L%](calc:n%)", "\t[L%](calc:tab%)", "- \titem",
    "\\[no%](calc:no%)", "![i](calc:img%)", "[a [L%](calc:nest%) b]", "<https://x> [L%](calc:u%)",
    "[L%](<calc:ang%>)", "{: .c }", "[un [L%](calc:un%)", "<hr>", "<br>", "</span>",
    "<details markdown>", "</details>", "<summary>[L%](calc:su%)</summary>", "```yaml calc extra", "``` calc",
]  # fmt: skip
INDENTS = ["", "", "", "", "  ", "   ", "    ", "    ", "        ", "            ", "\t"]
SOUP = st.lists(st.tuples(st.sampled_from(INDENTS), st.sampled_from(LINES)), min_size=3, max_size=14)


@with_examples(200)
@given(SOUP)
def test_lines_in_any_order(lines: list[tuple[str, str]]) -> None:
    # The first paragraph keeps a first line of hyphens from being front matter, which MkDocs takes off.
    check(numbered(["start", "", *(indent + line if line else "" for indent, line in lines)]))


# Anything after anything in one paragraph.

TOKENS = [
    "[", "]", "(", ")", "[a]", "(calc:x)", "[b](calc:y", "[c](calc:z)", '[d](cite:m "t")',
    "[e](told:n 't u')", "<", ">", "<calc:q>", '"', "'", "`", "``", "\\", "!", "![", "*", "**", "_", " ",
    "  ", "\n", "a", "5 mm", "calc:", "[r1]", "[x][r1]", "[r2]", "[x][]", "[^1]", "<b>", "</b>", "<!--",
    "-->", "<https://x.y>", "&amp;", "&", "{: .x }", "|", '<i a="', "<a href='calc:h'>", "<?", "?>",
    "<calc://z>", "<me@x.y>", '(<calc:w> "t")', "[](calc:e)", "[f](calc:\\_z)", "[g](calc:u(v))", "\\[",
    "\\]", "\\`", "\\\\", "\\(",
]  # fmt: skip
INLINE_DEFINITIONS = "\n\n[r1]: calc:ref1 'tt'\n[^1]: note\n"
NOT_IN_ADDRESSES = re.compile(r"\]\([^)]*(`|\[\^|\[r|\[x|\]\[)")


@with_examples(200)
@given(st.lists(st.sampled_from(TOKENS), min_size=3, max_size=16))
def test_signs_in_any_order(tokens: list[str]) -> None:
    text = "s " + "".join(tokens)
    assume(not NOT_IN_ADDRESSES.search(text))
    links = scan(text + INLINE_DEFINITIONS, "page.md").links
    assume(not any(set("[`") & set(link.address + (link.title or "")) for link in links))
    # Labels are left out: Python-Markdown's still hold its marks for what stands inside them.
    check(text + INLINE_DEFINITIONS, labels=False)


# Pages that once were read differently, or that stand for a rule of their own.


@pytest.mark.parametrize("path", sorted(FIXTURES.glob("*.md")), ids=lambda path: path.stem)
def test_kept_pages(path: Path) -> None:
    for text in path.read_text(encoding="utf-8").split("\n%%%\n"):
        assert_same(text, scan(text, path.name))
