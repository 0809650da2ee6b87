"""The feed, held to what RFC 4287 requires of it, and the heads of pages."""

from __future__ import annotations

import re
from collections import Counter
from urllib.parse import urlsplit
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import pytest

from buildlog.render.feed import Feed, FeedEntry, render_feed
from buildlog.render.head import PageHead, add_to_head, say_language
from buildlog.render.summary import LONGEST, first_sentence, paragraphs, shown_text

ATOM = "{http://www.w3.org/2005/Atom}"
# RFC 3339, 5.6, with the capital letters that RFC 4287, 3.3 asks for.
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)")
# RFC 4287, 4.1.1 and 4.1.2: how often each element may stand in a feed and in an entry.
ONCE = {"id", "title", "updated"}
AT_MOST_ONCE = {
    "generator",
    "icon",
    "logo",
    "rights",
    "subtitle",
    "content",
    "published",
    "source",
    "summary",
}


def check_atom(text: str) -> Element:
    """A feed by RFC 4287 as far as the elements go that it uses; says what is wrong by failing."""
    root = ElementTree.fromstring(text)
    assert root.tag == f"{ATOM}feed"  # 4.1.1
    entries = root.findall(f"{ATOM}entry")
    for element in (root, *entries):
        counts = Counter(child.tag.removeprefix(ATOM) for child in element)
        assert all(counts[name] == 1 for name in ONCE), counts
        assert all(counts[name] <= 1 for name in AT_MOST_ONCE), counts
        _check_links(element)
        identity = element.findtext(f"{ATOM}id") or ""
        assert urlsplit(identity).scheme, "4.2.6: an absolute IRI"
        for name in ("updated", "published"):
            for moment in element.findall(f"{ATOM}{name}"):
                assert MOMENT.fullmatch(moment.text or ""), "3.3: a date construct"
    authors = root.findall(f"{ATOM}author")
    assert authors or all(entry.find(f"{ATOM}author") is not None for entry in entries), "4.1.1: an author"
    for author in authors:
        assert len(author.findall(f"{ATOM}name")) == 1, "3.2.1"
    identities = [entry.findtext(f"{ATOM}id") for entry in entries]
    assert len(set(identities)) == len(identities), "4.1.1: entries of one id differ in their updated"
    return root


def _check_links(element: Element) -> None:
    links = element.findall(f"{ATOM}link")
    assert all(link.get("href") for link in links), "4.2.7.1"
    kinds = Counter((link.get("rel", "alternate"), link.get("type"), link.get("hreflang")) for link in links)
    assert all(count == 1 for kind, count in kinds.items() if kind[0] == "alternate"), "4.1.1, 4.1.2"
    if element.tag == f"{ATOM}entry" and element.find(f"{ATOM}content") is None:
        assert any(link.get("rel", "alternate") == "alternate" for link in links), "4.1.2"


def feed(*entries: FeedEntry) -> str:
    site = "https://build.example/log/"
    return render_feed(
        Feed(title="The <Brindle>", author="A & B", site=site, address=f"{site}feed.xml", entries=entries)
    )


def entry(name: str, published: str, updated: str = "", title: str = "") -> FeedEntry:
    address = f"https://build.example/log/{name}.html"
    return FeedEntry(
        title=title or name, address=address, published=published, updated=updated, summary="One & <all>."
    )


def test_a_feed_has_what_the_rfc_requires() -> None:
    root = check_atom(feed(entry("one", "2024-01-20"), entry("two", "2024-03-09")))
    assert root.findtext(f"{ATOM}title") == "The <Brindle>"
    assert root.findtext(f"{ATOM}author/{ATOM}name") == "A & B"
    assert root.findtext(f"{ATOM}entry/{ATOM}summary") == "One & <all>."


def test_the_newest_comes_first_by_the_last_change_that_is_stated() -> None:
    root = check_atom(
        feed(
            entry("one", "2024-01-20", "2025-09-01"), entry("two", "2024-03-09"), entry("three", "2023-01-01")
        )
    )
    titles = [one.findtext(f"{ATOM}title") for one in root.findall(f"{ATOM}entry")]
    assert titles == ["one", "two", "three"]
    assert root.findtext(f"{ATOM}updated") == "2025-09-01T00:00:00Z"
    assert root.findtext(f"{ATOM}entry/{ATOM}published") == "2024-01-20T00:00:00Z"


def test_a_feed_holds_no_sign_that_xml_does_not_know() -> None:
    root = check_atom(feed(entry("one", "2024-01-20", title="\x00]]>&\x0b<script>\x1f")))
    assert root.findtext(f"{ATOM}entry/{ATOM}title") == "]]>&<script>"


@pytest.mark.parametrize("broken", ["id", "title", "updated", "link", "author"])
def test_the_check_of_the_feed_finds_what_is_missing(broken: str) -> None:
    root = ElementTree.fromstring(feed(entry("one", "2024-01-20")))
    parent = root if broken == "author" else root.find(f"{ATOM}entry")
    assert parent is not None
    found = parent.find(f"{ATOM}{broken}")
    assert found is not None
    parent.remove(found)
    with pytest.raises(AssertionError):
        check_atom(ElementTree.tostring(root, encoding="unicode"))


# --- heads of pages -----------------------------------------------------------------------------

PAGE = "<html><head><title>T</title>\n</head><body></body></html>"
HEAD = PageHead(title='A "B" <c>', site="S", address="https://build.example/a.html", published="2024-01-20")


def test_a_head_says_where_the_page_is_and_what_about_with_everything_escaped() -> None:
    page = add_to_head(PAGE, HEAD)
    assert '<link rel="canonical" href="https://build.example/a.html">' in page
    assert '<meta property="og:title" content="A &quot;B&quot; &lt;c&gt;">' in page
    assert '<meta property="og:type" content="article">' in page
    assert '<meta property="article:published_time" content="2024-01-20">' in page
    for absent in ("og:image", "og:description", "modified_time", "atom+xml"):
        assert absent not in page
    assert page.endswith("</head><body></body></html>")


def test_what_a_head_says_already_is_not_said_again() -> None:
    once = add_to_head(PAGE, HEAD)
    assert add_to_head(once, HEAD) == once
    theirs = PAGE.replace("</head>", '<meta property="og:title" content="Theirs"></head>')
    assert add_to_head(theirs, HEAD).count("og:title") == 1


def test_without_an_address_nothing_needs_one() -> None:
    assert add_to_head(PAGE, PageHead(title="T", site="S", description="D")) == PAGE
    assert add_to_head("no head at all", HEAD) == "no head at all"


@pytest.mark.parametrize(
    ("page", "said"),
    [
        (
            "<html lang='en'><main><article class='a'>x",
            "<html lang='en'><main lang=\"de\"><article class='a'>x",
        ),
        ("<body><article>x</article>", '<body><article lang="de">x</article>'),
        ('<div class="c" role="main">x', '<div lang="de" class="c" role="main">x'),
        ("<p>x</p>", "<p>x</p>"),
    ],
)
def test_the_text_says_its_language(page: str, said: str) -> None:
    assert say_language(page, "de") == said
    assert say_language(page, "") == page


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("One. Two.", "One."),
        ("No full stop", "No full stop"),
        ("It takes approx. 3 mm. Then more.", "It takes approx. 3 mm."),
        ("Sheet No. 4 says so. Yes.", "Sheet No. 4 says so."),
        ("At 4.56:1 it pulls. We think.", "At 4.56:1 it pulls."),
        ("“Why?” She knew. Why.", "“Why?”"),
        ("Ändert sich. Über alles.", "Ändert sich."),
        ("", ""),
    ],
)
def test_the_first_sentence(text: str, sentence: str) -> None:
    assert first_sentence(text) == sentence


def test_a_long_sentence_ends_at_a_word_and_says_so() -> None:
    sentence = first_sentence("word " * 200)
    assert len(sentence) <= LONGEST + 2
    assert sentence.endswith("word …")


def test_the_text_that_is_shown() -> None:
    figure = (
        '<span class="buildlog-mark"><a>78 N·m</a><sup class="buildlog-tag">S1</sup>'
        '<span class="buildlog-note">of ours</span></span>'
    )
    content = (
        f'<h1>T</h1><div class="buildlog"><div>a</div><p>ours</p></div><p>Up to {figure}\n&amp; <br>more.</p>'
    )
    (paragraph,) = paragraphs(content)
    assert shown_text(paragraph) == "Up to 78 N·m & more."
