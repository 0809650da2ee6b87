"""A reader's own numbers on the built demonstration: computed in the browser, held to what the proof says."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from buildlog.book.book import Book
from buildlog.browser.shown import shown
from buildlog.kinds.results import BlockResult
from tests.demonstration.test_browser import AXE, FEWER, RUN, choose, look, seen
from tests.house import ROOT

PAGE = "episodes/final-drive"
WANTED = "#yours=shorter-final&rev_limit=7000+rpm"
SPEED = "#calc-shorter-final\\.speed_at_limit\\.3"


@pytest.fixture(scope="session")
def with_7000_rpm() -> BlockResult:
    """The block as its author would have it with another limiter: computed by the proof."""
    path = ROOT / "content" / f"{PAGE}.md"
    text = path.read_text(encoding="utf-8")
    begin = text.index("id: shorter-final")
    end = text.index("```", begin)
    body = text[begin:end].replace("inputs:\n", "inputs:\n  rev_limit: 7000 rpm\n", 1)
    assert body != text[begin:end]
    return (
        Book.open(root=ROOT).with_page(PAGE, text[:begin] + body + text[end:]).results[PAGE, "shorter-final"]
    )


@pytest.fixture
def served(demo: Path) -> Iterator[str]:
    """The site's address on a server."""

    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, *_: Any) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(demo)))
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_address[1]}"
    server.shutdown()
    thread.join()
    server.server_close()


def wait_for_own_numbers(browser: Any) -> None:
    """Until the card is computed. The interpreter takes seconds to start, minutes on a busy machine."""
    for _ in range(3000):
        if browser.execute_script("return Boolean(document.querySelector('.buildlog-changed'))"):
            return
        time.sleep(0.1)
    raise AssertionError(seen(browser, ".buildlog-yours-box"))


def cells(browser: Any) -> dict[str, str]:
    """By anchor and case, what each cell of the card says: the reader's where it is not the author's."""
    found: dict[str, str] = browser.execute_script(
        """const said = {};
        for (const row of document.querySelectorAll('#calc-shorter-final tr[id]'))
          for (const cell of row.querySelectorAll('td[data-case]')) {
            const mine = cell.querySelector('.buildlog-mine') || cell;
            const own = mine.cloneNode(true);
            for (const one of own.querySelectorAll('.buildlog-other, .buildlog-below')) one.remove();
            said[row.id + ' ' + cell.dataset.case] = own.textContent;
          }
        return said;"""
    )
    return {where: " ".join(text.split()) for where, text in found.items()}


def compare(browser: Any, expected: BlockResult) -> None:
    said, compared = cells(browser), 0
    for anchor, row in shown(expected)["rows"].items():
        for case, cell in row["cells"].items():
            if f"{anchor} {case}" in said and not cell.get("bent"):
                text = " ".join(f"{cell['number']} {cell['margin']}".split())
                assert said[f"{anchor} {case}"] == (text or "–"), f"{anchor} {case}"
                compared += 1
    assert compared > 20


def test_a_link_opens_the_card_with_its_numbers_as_the_proof_computes_them(
    browser: Any, demo: Path, with_7000_rpm: BlockResult
) -> None:
    look(browser, demo / f"{PAGE}.html")
    asked = "return performance.getEntriesByType('resource').map(one => one.name)"
    assert not [name for name in browser.execute_script(asked) if "/own/" in name], (
        "loaded on the first click"
    )
    browser.get((demo / f"{PAGE}.html").as_uri() + WANTED)
    browser.refresh()
    wait_for_own_numbers(browser)
    compare(browser, with_7000_rpm)
    # “just over 160 km/h”, says the page.
    assert "yours: 143.3 km/h, no longer so" in seen(browser, ".buildlog-would")
    assert [name for name in browser.execute_script(asked) if not name.startswith("file:")] == []


def test_from_a_server_too_and_every_page_asks_it_alone(
    browser: Any, served: str, with_7000_rpm: BlockResult
) -> None:
    browser.get(f"{served}/{PAGE}.html{WANTED}")
    wait_for_own_numbers(browser)
    compare(browser, with_7000_rpm)
    names = browser.execute_script("return performance.getEntriesByType('resource').map(one => one.name)")
    assert [name for name in names if not name.startswith((served, "data:"))] == []


def test_a_pattern_says_that_it_is_of_the_authors_numbers_and_charts_follow(browser: Any, demo: Path) -> None:
    """Who cuts by a pattern has to know whose part it is; it is not drawn again."""
    path = demo / "episodes/sheet-metal.html"
    look(browser, path)
    assert seen(browser, ".buildlog-pattern .buildlog-mine-only") == []
    browser.get(path.as_uri() + "#yours=box-side&thickness=1+mm")
    browser.refresh()
    wait_for_own_numbers(browser)
    said = seen(browser, "#calc-box-side .buildlog-pattern .buildlog-mine-only")
    assert len(said) >= 2
    assert set(said) == {"This pattern is of the author’s numbers, not of yours."}
    assert seen(browser, "#calc-box-side .buildlog-chart svg.buildlog-mine-only")


def test_the_other_system_of_units_follows(browser: Any, demo: Path) -> None:
    look(browser, demo / f"{PAGE}.html")
    choose(browser, "us")
    browser.get((demo / f"{PAGE}.html").as_uri() + WANTED)
    browser.refresh()
    wait_for_own_numbers(browser)
    assert any("mph" in text for text in seen(browser, ".buildlog-would"))
    drawn = seen(browser, "#calc-shorter-final svg.buildlog-mine-only text")
    assert any("mph" in text for text in drawn)
    choose(browser, "written")


@pytest.mark.parametrize("width,scheme", [(1280, "light"), (1280, "dark"), (360, "light"), (360, "dark")])
def test_axe_finds_nothing_in_the_form_and_what_it_changes(
    browser: Any, demo: Path, width: int, scheme: str
) -> None:
    browser.set_script_timeout(120)
    look(browser, demo / "index.html", width, scheme)
    look(browser, demo / f"{PAGE}.html", width, scheme)
    browser.get((demo / f"{PAGE}.html").as_uri() + WANTED)
    wait_for_own_numbers(browser)
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width
    browser.execute_script(FEWER)
    browser.execute_script(AXE)
    assert browser.execute_async_script(RUN) == []
