"""Slips of Markdown that would publish the address of a figure: each is an error at its place, in every
container; and lines that only look a little like them are none.

Where a slip stands is marked in the text with ▲. That a page would publish it is asked of Python-Markdown.
"""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import Diagnostic, Severity
from buildlog.reading.markdown.scanner import scan
from buildlog.reading.markdown.slips import slips_of
from buildlog.reading.whole_page import read_page
from tests.examples import with_examples
from tests.reading.markdown.published import published

OUTSIDE, NEARLY, UNDEFINED = "address-outside-link", "nearly-a-figure", "reference-undefined"
UNUSED, HTML, IMAGE = "definition-unused", "figure-in-html", "figure-in-image"


def faults(text: str) -> list[Diagnostic]:
    return list(read_page("a", "a.md", text).faults)


def marked(text: str) -> tuple[str, str]:
    """A text without its mark, and where that stood."""
    before = text[: text.index("▲")]
    column = len(before) - (before.rfind("\n") + 1) + 1
    return text.replace("▲", ""), f"{before.count(chr(10)) + 1}:{column}"


def told(text: str) -> list[tuple[str, str]]:
    return [(f"{fault.position.line}:{fault.position.column}", fault.code.name) for fault in faults(text)]


# What stands in running text, wherever that is.
LINES = {
    "a blank before the address": ("does [999 rpm] (▲calc:a.b) now", OUTSIDE),
    "blanks in the brackets too": ("does [999 rpm] ( ▲calc: a.b ) now", OUTSIDE),
    "the brackets swapped": ("does (999 rpm)[▲calc:a.b] now", OUTSIDE),
    "square brackets twice": ("does [999 rpm][▲calc:a.b] now", OUTSIDE),
    "not closed": ("does [999 rpm](▲calc:a.b now", OUTSIDE),
    "not closed, with a title": ('does [999 rpm](▲calc:a.b "vs old" now', OUTSIDE),
    "an escaped bracket": (r"does \[999 rpm](▲calc:a.b) now", OUTSIDE),
    "bare": ("does 999 rpm, ▲calc:a.b, now", OUTSIDE),
    "emphasised": ("does **▲calc:a.b** now", OUTSIDE),
    "told, bare": ("does 999 rpm (▲told:owner) now", OUTSIDE),
    "cited, bare": ("does 999 rpm (▲cite:book) now", OUTSIDE),
    "capitals": ("does 999 rpm (▲CALC:a.b) now", OUTSIDE),
    "an entity": ("does 999 rpm (▲c&#97;lc:a.b) now", OUTSIDE),
    "an entity in base sixteen": ("does 999 rpm (▲&#x63;alc:a.b) now", OUTSIDE),
    "the colon an entity": ("does 999 rpm (▲calc&#58;a.b) now", OUTSIDE),
    "the colon a named entity": ("does 999 rpm (▲calc&colon;a.b) now", OUTSIDE),
    "an attribute list": ("does [999 rpm](b.md){href=▲cite:doc} now", OUTSIDE),
    "in the label of another link": ("does [999 ▲calc:a.b](b.md) now", OUTSIDE),
    "no definition": ("does ▲[999 rpm][fourth] now", UNDEFINED),
    "no definition, a blank between": ("does ▲[999 rpm] [fourth] now", UNDEFINED),
    "no definition, an empty name": ("does ▲[999 rpm][] now", UNDEFINED),
    "calculate": ("does [999 rpm](▲calculate:a.b) now", NEARLY),
    "clac": ("does [999 rpm](▲clac:a.b) now", NEARLY),
    "clac and a word": ("does [fast](▲clac:a.b) now", NEARLY),
    "citation": ("does [999 rpm](▲citation:book) now", NEARLY),
    "nobody's scheme": ("does [999 rpm](▲result:a.b) now", NEARLY),
    "capitals in a link": ("does [999 rpm](▲CALC:a.b) now", NEARLY),
    "one capital in a link": ("does [999 rpm](▲Calc:a.b) now", NEARLY),
    "an entity in a link": ("does [999 rpm](▲c&#97;lc:a.b) now", NEARLY),
    "per cent in a link": ("does [999 rpm](▲calc%3Aa.b) now", NEARLY),
    "a wide colon in a link": ("does [999 rpm](▲calc：a.b) now", NEARLY),
    "an HTML link": ('does <a href="▲calc:a.b">999 rpm</a> now', HTML),
    "an HTML link without quotes": ("does <a href=▲calc:a.b>999 rpm</a> now", HTML),
    "an HTML link in single quotes": ("does <a href='▲calc:a.b'>999 rpm</a> now", HTML),
    "an HTML link in capitals": ('does <A HREF="▲CALC:a.b">999 rpm</A> now', HTML),
    "an HTML link with an entity": ('does <a href="▲c&#97;lc:a.b">999 rpm</a> now', HTML),
    "an HTML link, misspelt": ('does <a href="▲clac:a.b">999 rpm</a> now', NEARLY),
    "a title in HTML": ('does <abbr title="▲told:owner">999 rpm</abbr> now', HTML),
    "an image's text": ("does ![ratio [9/9](▲calc:a.b)](x.png) now", IMAGE),
    "an image's text, bare": ("does ![ratio 9/9, ▲calc:a.b](x.png) now", IMAGE),
    "an image's address": ("does ![999 rpm](▲calc:a.b) now", IMAGE),
    "an image's title": ('does ![the pair](x.png "9/9, ▲cite:book") now', IMAGE),
}  # fmt: skip
# The same text in each of these; {} is its place.
CONTAINERS = {
    "paragraph": "It {} and on.\n",
    "list": "- one\n- it {}\n- three\n",
    "list in a list": "1. one\n    - it {}\n",
    "quote": "> It {}\n> and on.\n",
    "quote in a list": "- one\n\n    > It {}\n",
    "cell": "| what | how |\n|---|---|\n| it | {} |\n",
    "admonition": "!!! note\n\n    It {}\n",
    "admonition's title": '!!! note "It {}"\n\n    Text.\n',
    "details": "??? note\n    It {}\n",
    "footnote": "Text.[^n]\n\n[^n]: It {}\n",
    "tab": '=== "First"\n\n    It {}\n',
    "definition": "Speed\n:   It {}\n",
    "heading": "## It {}\n",
    "element": "<div markdown>\n\nIt {}\n\n</div>\n",
}  # fmt: skip
# A title stands in quotes, and holds none.
NOT_IN_TITLES = {name for name, (line, _) in LINES.items() if '"' in line}
# Of these the address itself is not shown: what is published is the label, or the brackets.
NOT_BY_ITS_ADDRESS = {"an image's text", "blanks in the brackets too"} | {
    name for name, (_, code) in LINES.items() if code in (UNDEFINED, NEARLY)
}


@pytest.mark.parametrize(
    ("name", "container"),
    [
        (name, container)
        for name in LINES
        for container in CONTAINERS
        if container != "admonition's title" or name not in NOT_IN_TITLES
    ],
)
def test_a_slip_is_an_error_at_its_place(name: str, container: str) -> None:
    line, code = LINES[name]
    text, place = marked(CONTAINERS[container].format(line))
    assert told(text) == [(place, code)]
    assert faults(text)[0].severity is Severity.ERROR
    assert published(text) or name in NOT_BY_ITS_ADDRESS


PAGES = {
    "a caption": ("<figure>\n<figcaption>[999 rpm](▲calc:a.b)</figcaption>\n</figure>\n", HTML),
    "a caption of two lines": ("<figure>\n<figcaption>\n[999 rpm](▲calc:a.b)\n</figcaption></figure>", HTML),
    "a caption, misspelt": ("<figcaption>[999 rpm](▲clac:a.b)</figcaption>\n", NEARLY),
    "an element in an element": (
        "<div markdown>\n<p>[999 rpm](▲calc:a.b)</p>\n\n[9 rpm](calc:c.d)\n</div>\n",
        HTML,
    ),
    "the tag of an element": ('<div markdown title="▲told:owner">\n\ntext\n\n</div>\n', HTML),
    "a table of HTML": ("<table><tr><td>[999 rpm](▲cite:book)</td></tr></table>\n", HTML),
    "a link in a pre": ("<pre><a href='▲calc:a.b'>999</a></pre>\n", HTML),
    "behind a comment": ("<!-- one -->\n<p>[999 rpm](▲calc:a.b)</p>\n", HTML),
    "an unused definition": ("Text.\n\n▲[third]: calc:a.b\n", UNUSED),
    "a definition displaced": ("[9 rpm][a]\n\n▲[a]: calc:a.b\n[a]: calc:a.c\n", UNUSED),
    "an unused definition, misspelt": ("Text.\n\n[third]: ▲clac:a.b\n", NEARLY),
    "a definition, misspelt": ("[3 m][a] long\n\n[a]: <▲CALC:x.y>", NEARLY),
    "only an image uses it": ("![x][third]\n\n▲[third]: calc:a.b\n", UNUSED),
    "another name": ("▲[9 rpm][fourth]\n\n[third]: calc:a.b\n", UNDEFINED),
    "nearly the name": ("▲[it][thrid]\n\n[third]: calc:a.b\n", UNDEFINED),
    "no definition, over a line end": ("It does ▲[999\nrpm][fourth]\n", UNDEFINED),
    "a blank in the definition": ("[9 rpm][a]\n\n[a] : ▲calc:a.b\n", UNDEFINED),
    "a line end before the address": ("It does [999 rpm]\n(▲calc:a.b)\n", OUTSIDE),
    "a heading without a blank": ("#▲calc:a.b\n", OUTSIDE),
    "a cell too many": ("| a | b |\n|---|---|\n| 1 | 2 | [9 rpm](▲calc:a.b) |\n", OUTSIDE),
    "a note defined twice": ("Text.[^a]\n\n[^a]: [3 mm](▲cite:x)\n\n[^a]: none\n", OUTSIDE),
    "tabs before it": ("-\tone\n\n\tdoes [999 rpm] (▲calc:a.b)\n", OUTSIDE),
    "line ends of two signs": ("one\r\n\r\ndoes [999 rpm] (▲calc:a.b)\r\n", OUTSIDE),
    "below front matter": ("---\ntitle: A page\n---\n\ndoes [999 rpm] (▲calc:a.b)\n", OUTSIDE),
    "no front matter at all": ("---\ntitle: A: page (▲calc:a.b)\n---\n\ntext\n", OUTSIDE),
    "an unclosed fence": ("```text\n(▲calc:a.b)\n", OUTSIDE),
}  # fmt: skip


@pytest.mark.parametrize("name", PAGES)
def test_a_slip_of_a_whole_page_is_an_error_at_its_place(name: str) -> None:
    text, code = PAGES[name]
    text, place = marked(text)
    errors = [fault for fault in faults(text) if fault.severity is Severity.ERROR]
    if name == "a blank in the definition":  # a reference without a definition, and a text that was to be one
        assert [fault.code.name for fault in errors] == [UNDEFINED, OUTSIDE]
        assert str(errors[1].position) == f"a.md:{place}"
        return
    assert [(f"{fault.position.line}:{fault.position.column}", fault.code.name) for fault in errors] == [
        (place, code)
    ]


def test_help_shows_the_words_to_write() -> None:
    for text, expected in (
        ("[999 rpm] (calc:a.b)", "[999 rpm](calc:a.b)"),
        ("(999 rpm)[calc:a.b]", "[999 rpm](calc:a.b)"),
        ("[999 rpm][calc:a.b]", "[999 rpm](calc:a.b)"),
        ("[999 rpm](calc:a.b and on", "[999 rpm](calc:a.b)"),
        (r"\[999 rpm](calc:a.b)", "[999 rpm](calc:a.b)"),
        ("[999 rpm](calculate:a.b)", "“calc:”"),
    ):
        (fault,) = faults(text)
        assert fault.expected == expected


def test_an_unused_definition_is_told_with_the_reference_that_was_meant_for_it() -> None:
    (fault,) = faults("[9 rpm][thrid]\n\n[third]: calc:a.b\n")
    assert (str(fault.second), fault.help) == ("a.md:3:1", "did you mean “third”?")


INNOCENT = [
    "As I was told: yes.",
    "He told: nothing.",
    "We cite: the book, the sheet.",
    "calc: it is not hard.",
    "The words calc:, cite: and told: begin an address.",
    "Write calc:… with an address behind it.",
    "told:",
    "(told: he said so)",
    "I was told, “calc: no”.",
    "A recalc:ulation of sorts.",
    "Use `calc:a.b` for it.",
    "Use `[9 rpm](calc:a.b)` for it.",
    "Use ``[9 rpm] (calc:a.b)`` for it.",
    "    [9 rpm] (calc:a.b)",
    "text\n\n    calc:a.b\n    cite:c\n\ntext",
    "```\n[9 rpm] (calc:a.b)\n```",
    "~~~text\n(9 rpm)[calc:a.b]\n~~~",
    "- one\n\n    ```\n    calc:a.b\n    ```",
    "> ```\n> calc:a.b\n> ```",
    "- one\n\n        calc:a.b",
    "<!-- [9 rpm] (calc:a.b) -->",
    "text <!-- calc:a.b --> text",
    "<!--\n[9 rpm](clac:a.b)\n\ncalc:a.b\n-->",
    "<div>\n<!-- calc:a.b -->\n</div>",
    "<pre>calc:a.b</pre>",
    "<pre><code>[9 rpm](calc:a.b)\ncite:x</code></pre>",
    "<p>Use <code>calc:a.b</code>.</p>",
    "<p>Use <kbd>told:x</kbd>.</p>",
    "<script>\nlet address = 'calc:a.b'\n</script>",
    "<style>\n/* calc:a.b */\n</style>",
    "See <https://a.example/?calc:a.b>.",
    "See <https://a.example/calc:a.b>.",
    "See [this](https://a.example/?q=calc:a.b).",
    "See [this](https://a.example/cite:book).",
    "See [this](other.md#calc:a.b).",
    "See [this](#calc:a.b).",
    "See [this](other.md?told:x).",
    "See https://a.example/told:x for it.",
    '<a href="https://a.example/?calc:a.b">this</a>',
    '<a href="https://a.example/cite:x">this</a>',
    "Write to calc@cite.example.",
    "See [this](mailto:calc@b.c).",
    "See [this](tel:+441234).",
    "See [this](urn:cite:b).",
    "See [this](data:text/csv,a.b).",
    "Call [40 12](callto:a.b).",
    "See [this](sms:4012).",
    "See [this](geo:51.5,0.1).",
    "See [this](calc.md), [that](told.md) and [those](cite/index.md).",
    "See [this](wiki:Dyno).",
    "The note [@cite:book] of another program.",
    "A namespace std::calc::told.",
    "The time 12:30, the ratio 4:1, the scale 1:43.",
    "key:value, path:to, C:folder",
    "A word [in brackets] (and a remark).",
    "A word [in brackets][and more].",
    "The cell a[1][j] and b[2][3].",
    "Two remarks, [1][2].",
    "Words, [one][two] and [half][way].",
    "A task:\n\n- [ ] [9 rpm](calc:a.b) of it\n- [x] done",
    'It does [9 rpm](calc:a.b "vs old; for calc:c.d").',
    "It does [9 rpm][third].\n\n[third]: calc:a.b",
    'It does [9 rpm] [Third].\n\n[third]: <calc:a.b> "vs old"',
    "It does [third].\n\n[third]: calc:a.b",
    "It does [9 rpm](<calc:a.b>).",
    "It does [9 rpm]( calc:a.b ).",
    "It does [**9 rpm**](calc:a.b).[^a]\n\n[^a]: So [3 mm](cite:x).",
    "[see] [9 rpm](calc:a.b)",
    "[1] [9 rpm](calc:a.b)",
    "[4] [39 N·m](cite:x)",
    "[^a]: A note.\n\nIt is [9 rpm][^a].",
    "| [9 rpm](calc:a.b) | `calc:a` |\n|---|---|\n| [9 rpm](calc:a.b) | `cite:x` |",
    "![a picture](calc.png)",
    "![a picture of [a link](b.md)](x.png)",
    "<figure markdown>\n<figcaption markdown>[9 rpm](calc:a.b)</figcaption>\n</figure>",
    "<span>[9 rpm](calc:a.b)</span> in a tag",
    "text {: #calc-a .told }",
    "```yaml calc\nid: a\nvalue: calc:b.c\n```",
    "[a caution](caution:lifting)",
    "A citation [Smith, told:](b.md) of it.",
]


@pytest.mark.parametrize("text", INNOCENT)
def test_innocent_lines_are_no_slips(text: str) -> None:
    assert slips_of(read_page("a", "a.md", text).scanned) == []
    assert [code for _, code in told(text) if code in (NEARLY, OUTSIDE)] == []


def test_there_are_innocent_lines_enough() -> None:
    assert len(set(INNOCENT)) >= 60


@pytest.mark.parametrize(
    ("text", "place", "written", "meant"),
    [
        ("It does [125 km/h](clac:a.b).", "1:20+5", "“clac:”", "“calc:”"),
        ("It does [125 km/h](Calc:a.b).", "1:20+5", "“Calc:”", "“calc:”"),
        ('It does [125 km/h](clc:a.b "vs c").', "1:20+4", "“clc:”", "“calc:”"),
        ("- an item\n- [39 N·m](cites:manual)", "2:12+6", "“cites:”", "“cite:”"),
        ("[240 hp](tolld:owner)", "1:10+6", "“tolld:”", "“told:”"),
        ("[hot](causion:hot-parts)", "1:7+8", "“causion:”", "“caution:”"),
        ("[3 m][a] long\n\n[a]: <CALC:x.y>", "3:7+5", "“CALC:”", "“calc:”"),
        ("It does [125 km/h](calculation:a.b).", "1:20+12", "“calculation:”", "“calc:”"),
    ],
)
def test_a_misspelt_scheme_is_told_with_the_one_that_was_meant(
    text: str, place: str, written: str, meant: str
) -> None:
    (fault,) = faults(text)
    found = f"{fault.position.line}:{fault.position.column}+{fault.length}"
    assert (found, fault.found, fault.expected) == (place, written, meant)


PIECES = (
    "[9 rpm](calc:a.b)", "[9 rpm] (calc:a.b)", "(9 rpm)[cite:c]", "[9 rpm](told:d", "calc:a.b", "cite:c",
    "`", "``", "[", "]", "(", ")", "<b>", "</b>", "<div>", "</div>", "<div markdown>", "<!--", "-->",
    "<pre>", "</pre>", "<code>", "</code>", '<a href="calc:a.b">', "</a>", "![x](", "![", "\n", "\n\n",
    "\n    ", "\n- ", "\n> ", "| ", "\n|---|---|\n", "\n[^n]: ", "[^n]", "\n[d]: calc:a.b\n", "[9 rpm][d]",
    "\n!!! note\n    ", "\n```\n", "\\", "*", "**", " ", "text", "{: title=", '"', "'", "\n# ", "\n: ",
    "c&#97;lc:a.b", "CALC:a.b", '\n=== "tab"\n    ', "</a >", "<br/>",
)  # fmt: skip


@with_examples(600)
@given(st.lists(st.sampled_from(PIECES), min_size=1, max_size=14).map("".join))
def test_no_page_publishes_an_address_without_an_error(text: str) -> None:
    if published(text):
        assert any(fault.severity is Severity.ERROR for fault in faults(text))


@pytest.mark.parametrize(
    "unit",
    [
        "x calc:a.b y\n", "calc:a,", "[9 rpm][x] \n", "<div><!-- a\n", "<pre>\n", "####calc:a\n",
        "[9 rpm][x{0}]\n\n[y{0}]: calc:a.b\n\n", "[9 rpm](calc:a.b\n\n", "![9 calc:a.b](x.png) ",
        "<div>\n<p>calc:a.b</p>\n</div>\n\n",
    ],
)  # fmt: skip
def test_the_time_grows_with_the_length(unit: str) -> None:
    def seconds(count: int) -> float:
        page = scan("\n".join(unit.format(number) for number in range(count)), "a.md")
        begin = time.perf_counter()
        slips_of(page)
        return time.perf_counter() - begin

    short = min(seconds(150) for _ in range(3))
    assert min(seconds(1200) for _ in range(2)) < 8 * 4 * short + 0.2
