# ruff: noqa: F811  (the fixture of another file)
"""A blog's lists show the beginnings of posts: with cards, ids of their own, and links that lead right."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.guests.log_site import dead_links, log  # noqa: F401  (the fixture)
from tests.parsed_html import Tag, parse

LISTS = ("blog/index.html", "blog/archive/2024/index.html", "blog/page/2/index.html")
POST = "2024/05/01/post-of-2024-05-01/"


def excerpts(site: Path, page: str) -> list[Tag]:
    return parse((site / page).read_text("utf-8")).all("article", "md-post--excerpt")


@pytest.mark.parametrize("page", LISTS)
def test_no_id_twice_no_comment_and_no_link_that_leads_nowhere(log: Path, page: str) -> None:
    html = (log / page).read_text("utf-8")
    ids = [one for one in parse(html).ids if one]
    assert len(ids) == len(set(ids))
    assert "<!--" not in "".join(html.split("<article")[1:])
    assert dead_links(log, page) == set()


def test_a_card_before_the_cut_is_there_as_on_its_page_and_none_after_it(log: Path) -> None:
    before, after = excerpts(log, "blog/index.html")
    assert not before.all("section", "buildlog-card")
    assert before.one(css="buildlog-told").text.startswith("240 hp")
    (card,) = after.all("section", "buildlog-card")
    own = parse((log / "blog" / POST / "index.html").read_text("utf-8")).one("section", "buildlog-card")
    rows, rows_there = ([row.words for row in one.all("tr")] for one in (card, own))
    assert len(rows) > 10
    assert rows == rows_there
    assert card.all("svg")[0].one("title").text
    # A level below the heading that it stands under, which the list has moved down by one.
    headings = [one.name for one in after.walk() if one.name in ("h2", "h3", "h4")]
    assert headings == ["h2", "h3", "h4"]


def test_what_points_within_a_card_points_there_and_links_lead_to_the_post(log: Path) -> None:
    _, after = excerpts(log, "blog/index.html")
    ids = set(after.ids)
    pointing = [
        name
        for tag in after.walk()
        for attribute in ("aria-labelledby", "aria-describedby")
        for name in tag.attributes.get(attribute, "").split()
    ]
    assert len(pointing) > 3
    assert ids.issuperset(pointing)
    (figure,) = (one for one in after.all("a", "buildlog-computed") if one.text.startswith("150.6"))
    assert figure.attributes["href"] == f"{POST}#calc-shorter-final.speed_at_limit.3"
    in_heading = after.one("h3").one("a", "buildlog-computed")
    assert in_heading.attributes["href"] == f"{POST}#calc-shorter-final.speed_at_limit.3"
    assert not after.all(css="buildlog-yours")  # the form is the page's own


def test_posts_are_read_as_long_as_their_words_take(log: Path) -> None:
    """Not as long as the working of a card would."""
    items = parse((log / "blog/index.html").read_text("utf-8")).all(css="md-meta__item")
    times = [int(one.words.removesuffix(" min read")) for one in items if "min read" in one.words]
    own = parse((log / "blog" / POST / "index.html").read_text("utf-8")).one("article")
    assert 1 <= max(times) <= 2 < len(own.words.split()) / 265  # words a minute, as the plugin has them
