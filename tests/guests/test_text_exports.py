# ruff: noqa: F811  (the fixture of another file)
"""Feeds, and Markdown made of pages: text that reads by itself, tables as tables, whole addresses."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.guests.log_site import ADDRESS, log  # noqa: F401  (the fixture)
from tests.parsed_html import Tag, parse

# A letter of a word right behind a number or its unit, as in “4.10Computed”.
_GLUED = re.compile(r"\d(?!st|nd|rd|th)[A-Z][a-z]+|(?:km/h|mph|hp|kW|N·m)\)?[A-Z]")


def items(site: Path, name: str) -> Iterator[tuple[str, str]]:
    for item in ElementTree.parse(site / name).iter("item"):
        yield item.findtext("title", ""), item.findtext("description", "").replace("\u00a0", " ")


@pytest.fixture(scope="module")
def text(log: Path) -> str:
    return (log / "llms-full.txt").read_text("utf-8").replace("\u00a0", " ")


@pytest.fixture(scope="module")
def feed(log: Path) -> dict[str, Tag]:
    return {title: parse(html) for title, html in items(log, "feed_rss_created.xml")}


def test_a_text_export_has_figures_with_their_units_and_words_apart(text: str) -> None:
    assert "<!--" not in text
    assert not _GLUED.findall(text)
    assert re.search(r"Third ends at \[150\.6 km/h \(93\.57 mph\)]\(\S+\) before; bolts at", text)
    assert re.search(r"\[78 N·m \(58 lbf·ft\)]\(\S+\) \(source 1\), and it had", text)
    assert re.search(r"\[240 hp \(179 kW\)]\(\S+\) \(told\)\.", text)
    assert "To its row" not in text
    assert f"]({ADDRESS}episodes/gearing/#calc-shorter-final.speed_at_limit.3)" in text
    assert "](#" not in text


def test_a_text_export_has_tables_formulae_and_charts_by_their_words(text: str) -> None:
    row = r"\| Road speed at the rev limit, gear 3 \[km/h \(mph\)] +\| 150\.6 ± 2\.4 \(93\.6 ± 1\.5\) +\| 135"
    assert re.search(row, text)
    header = text[: re.search(row, text).start()].splitlines()[-2]  # type: ignore[union-attr]
    assert [cell.strip() for cell in header.strip("|").split("|")] == ["Result", "before", "after", "change"]
    assert (
        "**Road speed at the rev limit [km/h (mph)]**" in text
    )  # a table's caption, once it has rows of its own
    assert "`U = k_U·D`" in text
    assert "`r_e = U/(2·π)`" in text
    assert "Engine speed against road speed, a line for each gear" in text
    assert "The chart’s data" not in text
    lengths = [line.count("|") for line in text.splitlines() if line.startswith("|")]
    assert len(lengths) > 50


def test_a_feed_has_cards_and_whole_addresses(log: Path, feed: dict[str, Tag]) -> None:
    assert set(feed) == {
        "Gearing",
        "Driven",
        "Post of 2024-05-01",
        "Post of 2024-06-01",
        "Post of 2023-06-01",
    }
    for title, entry in feed.items():
        for tag in entry.walk():
            for name in ("href", "src"):
                assert tag.attributes.get(name, "http").startswith(("http", "mailto:")), title
        assert not _GLUED.findall(entry.text), title
        assert not entry.all("svg")
        assert not entry.all("details")
    gearing = feed["Gearing"]
    first = gearing.all("tr")[1]
    assert first.words == "Road speed at the rev limit, gear 3 [km/h (mph)] 150.6 ± 2.4 (93.6 ± 1.5) " + (
        "135.5 ± 2.1 (84.2 ± 1.3) −15.1 ± 0.2 (−9.4 ± 0.1), −10.0 %"
    )
    assert gearing.one("img").attributes["src"] == f"{ADDRESS}picture.png"
    assert "Working, step by step" not in gearing.text
    assert feed["Driven"].all("p")[0].words.startswith("Twice the same: 135.5 km/h (84.21 mph), and 240 hp")
    raw = (log / "feed_rss_created.xml").read_text("utf-8")
    assert "<!--" not in raw
    assert "&lt;!--" not in raw.replace("&lt;!-- more", "")  # the mark of the excerpt is its author's
    assert len(json.loads((log / "feed_json_created.json").read_text("utf-8"))["items"]) == len(feed)


def test_an_abstract_has_words_and_figures_but_no_blocks_and_addresses_of_ours(log: Path) -> None:
    short = dict(items(log, "short.xml"))
    assert "Third ends at 150.6 km/h before; bolts at 78 N·m, and it had 240 hp." in short["Gearing"]
    assert "Twice the same: 135.5" in short["Driven"]
    for abstract in short.values():
        assert not re.search("calc:|cite:|told:|caution:|yaml", abstract)
