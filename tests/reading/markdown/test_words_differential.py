"""Where each word of a page ends up with Python-Markdown it ends up with us: in running text, a heading, a
cell of a table, in code, in raw HTML, or in none of them. `rendered.py` says which versions and extensions.

Every word is one of a kind, so that it is found again wherever it went. Left out is what
`test_scanner_differential.py` leaves out, and a ``<?`` or ``<!`` at a line's beginning that nothing closes:
there the standard library's HTML parser stops, and what it does with the rest hangs on the version of Python.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from xml.etree.ElementTree import Element

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from markdown.util import AtomicString

from buildlog.reading.markdown.page import ScannedPage
from buildlog.reading.markdown.scanner import scan
from tests.examples import with_examples
from tests.reading.markdown.places import every_place_slices_back
from tests.reading.markdown.rendered import Rendered, render

TEXT, HEADING, CODE, HTML, NOT_SHOWN = "text", "heading", "code", "HTML", "not shown as text"
_HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")
_WORD = re.compile(r"w\d+w")
UNDECIDED = {"link-in-label", "address-unclosed", "footnote-twice", "footnote-in-footnote"}


def cell(row: int, column: int) -> str:
    return f"cell {row}, {column}"


# --- what Python-Markdown made of each word


def roles_there(seen: Rendered) -> dict[str, str]:
    """Raw HTML and code of several lines are kept beside the tree; text in the tree is the author's."""
    roles: dict[str, str] = {}
    for role, text in _texts(seen.tree):
        roles |= dict.fromkeys(_WORD.findall(text), role)
    shown = _shown(seen.html)
    for kept in seen.beside:
        if "<!--" in kept or "<?" in kept or kept.startswith("&"):
            continue  # a comment, which nobody sees, or a name that HTML has for a sign
        of_code = 'class="highlight"' in kept or "<code" in kept
        for word in _WORD.findall(_shown(kept) if of_code else kept):
            if word not in shown:
                continue
            roles[word] = CODE if of_code else HTML
    return roles


def _shown(html: str) -> str:
    """The text of some HTML: highlighted code has its words cut up by tags."""
    texts: list[str] = []

    class Reader(HTMLParser):
        def handle_data(self, data: str) -> None:
            texts.append(data)

    reader = Reader()
    reader.feed(html)
    reader.close()
    return "".join(texts)


def _texts(tree: Element) -> Iterator[tuple[str, str]]:
    stack: list[tuple[str, Element]] = [(TEXT, tree)]
    while stack:
        role, node = stack.pop()
        if node.tag == "code":
            role = CODE
        elif isinstance(node.text, AtomicString):
            # Raw HTML in an element whose content is Markdown; or an address between angle brackets.
            role = HTML if node.tag != "a" else NOT_SHOWN
        elif node.tag in _HEADINGS and role == TEXT:
            role = HEADING
        yield role, node.text or ""
        if node.tag == "table":
            for number, row in enumerate(node.iter("tr")):
                stack += [(cell(number, column), inner) for column, inner in enumerate(row)]
            continue
        for child in node:
            yield role, child.tail or ""
            stack.append((role, child))


# --- what we make of it


def roles_here(page: ScannedPage) -> dict[str, str]:
    roles: dict[str, str] = {}
    for role, spans in ((CODE, page.surroundings.code), (HTML, page.surroundings.html)):
        for start, end in spans:
            roles |= dict.fromkeys(_WORD.findall(page.text[start:end]), role)
    for span in page.prose:
        role = HEADING if span.is_heading else TEXT
        if span.cell is not None:
            role = cell(span.cell.row, span.cell.column)
        for match in _WORD.finditer(span.text):
            at = span.column - 1 + match.start()
            assert page.lines.raw[span.line - 1].startswith(match[0], at)
            roles[match[0]] = role
    return roles


def check(text: str) -> None:
    page = scan(text, "page.md")
    assume(not UNDECIDED & {diagnostic.code.name for diagnostic in page.diagnostics})
    assert_same(page)


def assert_same(page: ScannedPage) -> None:
    text = page.text
    seen = render(text)
    there, here = roles_there(seen), roles_here(page)
    for word in _WORD.findall(text):
        if word in there:
            assert (word, here.get(word, NOT_SHOWN)) == (word, there[word])
        else:
            assert here.get(word, NOT_SHOWN) in (NOT_SHOWN, CODE, HTML), word
    every_place_slices_back(page)
    ours = {name.name: name.address for name in page.surroundings.definitions}
    assert ours == {name: address for name, (address, _) in seen.definitions.items()}


def numbered(lines: list[str]) -> str:
    """One page of lines, with a word of its own in place of each %."""
    count = 0
    out = []
    for line in lines:
        while "%" in line:
            line = line.replace("%", f"w{count}w", 1)
            count += 1
        out.append(line)
    return "\n".join(out)


# --- anything below anything, at any indent

LINES = [
    "%", "% %", "%  ", "- %", "* %", "+ %", "1. %", "12. %", "-%", "1.%", "- - %", "- 1. %", "-     %",
    "> %",
    ">%", "> - %", "> > %", ">     %", "> 1. %", ">", "> # %", "> | % | % |", "> |---|---|", "!!! note",
    '!!! note "%"', "!!! note %", '!!! note ""', "??? tip", '???+ tip "%"', '??? "%"', "???", '=== "%"',
    '===! "%"', '===+ "%"', "=== %", "# %", "## % ##", "####### %", "#%", "# % \\#", "# %\\", "#", "---",
    "===", "=", "-", "- - -", "***", "*  *  *", "*   * *", "__", "```yaml calc", "```", "````", "~~~",
    "~~~text", "| % | % |", "|---|---|", "% | %", "--|--", "| % |", "|---|", "| `% | %` | % |",
    "| % \\| % | % |", ": %", ":   %", ":    %", ":%", "[^1]: %", "% [^1] %", "[^1]:", "[%]: x%",
    '[%]: x% "%"', "[%]: x% %", "[%", "[%] %", "![%](x%) %", "[%](https://x%) %", "[5](calc:%) %",
    "<https://x> %", "`%` %", "`` % ` `` %", "`%", "% ` %", "\\`%` %", "<!-- % -->", "<!-- %", "--> %",
    "% <!-- % --> %", "<div>%", "</div> %", "<div>%</div> %", "<div markdown>", '<div markdown="span">',
    "<p markdown>", "</p>", "<hr> %", "<br> %", "<b>%</b> %", "<b>", "</b>", "<i a='%'>% ", "<pre>%</pre>",
    "<?php % ?>", "<!DOCTYPE %>", "<![CDATA[%]]>", "<details markdown>", "</details>", "< %", "<%",
    "% < % > %",
    "% & %", "{: .c }", "% { .c } %", "*%* **%** _%_", "\\* %",
]  # fmt: skip
INDENTS = [
    "",
    "",
    "",
    "",
    "",
    " ",
    "  ",
    "   ",
    "    ",
    "    ",
    "     ",
    "        ",
    "            ",
    "\t",
    " \t",
]


def soup(lines: list[str]) -> st.SearchStrategy[list[str]]:
    line = st.tuples(st.sampled_from(INDENTS), st.sampled_from(lines)).map("".join)
    return st.lists(st.one_of(st.just(""), line, line), min_size=2, max_size=14)


@with_examples(400)
@given(soup(LINES))
def test_lines_in_any_order(lines: list[str]) -> None:
    check(numbered(["start", "", *lines]))


# Of few sorts, so that what hangs on several lines together comes about.
SUBJECTS = {
    "lists": ["- %", "- %", "1. %", "* %", "%", "# %", "---", "    %", "    - %", "        - %", "```",
        "> %"],
    "quotes": ["> %", ">", "> - %", ">     %", "> > %", "%", "- %", ">%", "> # %", "    %"],
    "terms": ["%", ":   %", ": %", ":    %", ":   - %", ":   # %", "    %", "        %", "# %", "- %",
        "    # %"],
    "headings": ["%", "# %", "## % #", "-----", "===", "    %", "- # %", "%\\", "# % \\#", "#", "- %"],
    "tables": [
        "| % | % |", "|---|---|", "% | %", "---|---", "| % |", "|---|", "| `% | %` | % |",
        "| % \\| % | % |",
        "|:--|--:|", "| % | % | % |", "%", "| \\`% | %` |", "| % | % \\\\|", "|", "%|", "|% %",
    ],
    "callouts": [
        '!!! note "%"', "!!! note", '??? tip "%"', '=== "%"', '===! "%"', "    %", "        %", "    - %",
        "        - %", "            %", "%", "    :   %", "    # %",
    ],
    "footnotes": ["[^1]: %", "[^2]: %", "[^3]:", "% [^1] [^2]", "    %", "        %", "%", "- %",
        "    - %", "# %"],
    "names": [
        "[%]: x%", '[%]: x% "%"', "[%]: x% '%'", "[%]: x% (%)", "[%]: <x%>", "[%]:", "x%", '"%"',
        "[%]: x% %",
        "[%", "%]: x%", '[%]: x%"%"', "[%] %", "[% %] : x", "[%]: x% \"%' %", "(%)", "%", "# %",
        "- [%]: x%",
        "[%]: x%'%)", "[%]: x%(%) ", "[%]: x% \"", "[%]: ()",
    ],
    "elements": [
        "<div>", "<div>%", "</div>", "</div> %", "<div markdown>", '<div markdown="span">',
        "<div markdown>%",
        "<p markdown>", "</p>%", "<section markdown='block'>", "</section>", "<p>", "%", "    %",
        "<b>%</b>",
        "<hr> %", "<hr/>%", "%<div>%</div>", "<p>%</p>%", "<td markdown>%", "</td>", "<div/>%",
        "<DIV>%</Div>",
    ],
    "comments": [
        "<!-- %", "-->", "--> %", "<!-- % -->", "% <!-- % --> %", "<!-- % -->%", "%", "<b>%", "</b>", "<b>",
        "<!-- % --!>", "<div markdown>", "</div>", "```", "    %", "<!--%--><!--%-->", "<i>%",
    ],
    "declarations": [
        "<?php % ?>", "?>", "% ?> %", "<!DOCTYPE %>", "<![CDATA[%]]>", "]]> %", "<!% %>",
        "%", "<div>", "</div>", "<div markdown>", "<script>", "</script>", "<style>% <b>", "</style> %",
        "%<? % ?>",
        "<pre>%", "</pre>", "<!>%",
    ],
    "fences": [
        "```", "```", "```text", "~~~", "````", "```yaml calc", "%", "    ```", "> ```", "> %", "- ```",
        "  ```",
        "    %", "<!-- %", "-->", "``` % %", "> > ```",
    ],
    "code": ["`%`", "`", "``", "% ` %", "`` % ` % ``", "\\`%` %", "\\``% %`", "    %", "% `%", "%` %",
        "\t%", "- %"],
    "tags": [
        "<b>%</b> %", "<i a='%'>% ", '<i a="% > %">%', "<i %=%>%", "<%", "% < % > %", "<b", ">",
        "<b\n%>", "<%>%",
        "<a@b.c>%", "<https://x%> %", "&%; %", "</%> %", "<b %/>%", "<b>`%`</b>", "<1>%", "\\<b>%",
    ],
}  # fmt: skip


@pytest.mark.parametrize("lines", SUBJECTS.values(), ids=list(SUBJECTS))
def test_lines_of_one_subject_in_any_order(lines: list[str]) -> None:
    @with_examples(200)
    @given(soup([*lines, *lines, "%"]))
    def tried(order: list[str]) -> None:
        check(numbered(["start", "", *order]))

    tried()


@pytest.mark.parametrize(
    "lines",
    [
        ["[%]: x%", "[%]: x%", '"%"', "%"],  # the title of the second stands on a line of its own
        ["[%]: x%", "[%]:", "x%", "%"],
        ["[%]: x%", "[%]: x%", "---"],  # no heading: a name is read before it
        ["% <!-- % --!> %"],  # what HTML, but not XML, takes for the end of a comment
        [
            "%",
            "",
            ":   %",
            "",
            "    %",
            "",
            ":   # %",
            "        %",
            "",
            "%",
        ],  # a heading in a loose definition
        ["%", ":   # %", "        %"],
        ["- %", "", "- # %", "        %"],
        ["[^1]: %", "", "    # %", "        %"],
    ],
)
def test_kept_pages(lines: list[str]) -> None:
    assert_same(scan(numbered(["start", "", *lines]), "page.md"))


@pytest.mark.parametrize(
    ("text", "undefined"),
    [
        ("see [%][none] and [%][a]", [("w0w", "none")]),
        ("[%][none](https://x) y", []),  # the name is the label of a link
        ("[%][none] (https://x) y", [("w0w", "none")]),
        ("[%][none]", [("w0w", "none")]),
        ("`[%][none]` \\[%][none]", []),
        ("[%][none][%][other]", [("w0w", "none"), ("w1w", "other")]),
    ],
)
def test_names_that_nothing_defines(text: str, undefined: list[tuple[str, str]]) -> None:
    """They stand on the page as they are written."""
    text = numbered([text, "", "[a]: https://y"])
    page = scan(text, "page.md")
    found = page.surroundings.undefined
    assert [(one.label, one.name) for one in found] == undefined
    shown = "".join(render(text).tree.itertext())
    for one in found:
        assert text[one.start : one.end] == f"[{one.label}][{one.name}]"
        assert text[one.start : one.end] in shown


@pytest.mark.parametrize(
    "text",
    ["a ![%](x) b", "![%](x)![%][a]", "`![%](x)` \\![%](x)", "![%][none] ![](x)", "![%](x 'w') and [%](y)"],
)
def test_images(text: str) -> None:
    text = numbered([text, "", "[a]: https://y"])
    page = scan(text, "page.md")
    written = [text[start:end] for start, end in page.surroundings.images]
    pictures = [picture.get("alt") or "" for picture in render(text).tree.iter("img")]
    assert [_WORD.findall(one) for one in written] == [_WORD.findall(alt) for alt in pictures]
    assert all(one.startswith("![") and one[-1] in ")]" for one in written)
