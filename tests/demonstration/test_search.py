"""What a reader finds first: the site's own search, with its own index, in a browser over HTTP."""

from __future__ import annotations

import functools
import http.server
import re
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.demonstration.test_browser import AXE, RUN, look, seen

# The theme's worker, spoken to as the theme does: 0 sets it up, 2 asks, 3 answers.
_ASK = """
const [queries, done] = arguments;
(async () => {
  const settings = JSON.parse(document.getElementById("__config").textContent);
  const index = await (await fetch("search/search_index.json")).json();
  const worker = new Worker(settings.search);
  const said = (message) => new Promise((resolve) => {
    worker.onmessage = (event) => resolve(event.data);
    worker.postMessage(message);
  });
  await said({type: 0, data: {config: index.config, docs: index.docs, options: {suggest: false}}});
  const found = [];
  for (const query of queries) {
    const answer = await said({type: 2, data: query});
    found.push(answer.data.items.map((group) => group.map((one) => ({
      location: one.location, text: one.text, score: one.score}))));
  }
  done(found);
})();
"""


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        pass


@pytest.fixture
def served(demo: Path) -> Iterator[str]:
    """The address at which the built site is served."""
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(_Quiet, directory=str(demo)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def ask(browser: Any, address: str, queries: list[str]) -> dict[str, list[list[dict[str, Any]]]]:
    """For each query what is found, page by page, each page's sections, all in order."""
    browser.set_script_timeout(120)
    browser.get(address + "index.html")
    return dict(zip(queries, browser.execute_async_script(_ASK, queries), strict=True))


def pages_of(found: list[list[dict[str, Any]]]) -> list[str]:
    return [group[0]["location"].partition("#")[0] for group in found]


# What a reader types, and the page that has to come first.
FIRST = {
    "78 N·m": "episodes/final-drive.html",
    "78 Nm": "episodes/final-drive.html",
    "58 lbft": "episodes/final-drive.html",
    "165.8 km/h": "episodes/final-drive.html",
    "crush sleeve": "episodes/final-drive.html",
    "backlash": "episodes/final-drive.html",
    "clutch judder": "episodes/clutch.html",
    "weight": "episodes/wheels-and-scales.html",
    "hoop stress": "episodes/flywheel.html",
    "final drive": "episodes/final-drive.html",
    "boom": "episodes/intake-boom.html",
    "scoop": "episodes/cold-air-duct.html",
}


def test_readers_find_the_episode_first_and_codes_of_findings_last(
    browser: Any, demo: Path, served: str
) -> None:
    found = ask(browser, served, ["torque", "unit", *FIRST])
    assert {query: pages_of(found[query])[0] for query in FIRST} == FIRST
    for query in ("torque", "unit"):
        pages = pages_of(found[query])
        ranks = [_rank(page) for page in pages]
        assert ranks == sorted(ranks), f"{query}: {pages}"
        assert set(ranks) == {0, 1, 2}


def _rank(page: str) -> int:
    if page.startswith("episodes/"):
        return 0
    return 2 if page.startswith("manual/findings/") and not page.endswith("index.html") else 1


def test_a_finding_is_found_by_its_whole_name(browser: Any, demo: Path, served: str) -> None:
    found = ask(browser, served, ['"torque-not-cited"'])['"torque-not-cited"']
    assert "manual/findings/torque-not-cited.html" in pages_of(found)


def test_every_start_of_a_word_finds_something(browser: Any, demo: Path, served: str) -> None:
    """The search joins the ends of words into one graph, and may join too many where there are very many
    numbers: it then fails for all words of one beginning, "20" for one. If this fails, that has happened;
    fewer numbers in the index mend it (`render/searched.py`)."""
    import json

    docs = json.loads((demo / "search" / "search_index.json").read_text("utf-8"))["docs"]
    text = re.sub("<[^>]*>", " ", " ".join(f"{doc['title']} {doc['text']}" for doc in docs)).lower()
    words = set(re.split(r"[\s\-]+", text))
    starts = sorted({word[:2] for word in words if word[:1].isalnum() and word[1:2] not in (":", "~", "^")})
    found = ask(browser, served, starts)
    stop_words = {
        "a",
        "an",
        "as",
        "at",
        "be",
        "by",
        "do",
        "he",
        "if",
        "in",
        "is",
        "it",
        "me",
        "my",
        "no",
        "of",
    }
    assert [start for start in starts if not found[start] and start not in stop_words] == []


@pytest.mark.parametrize(("width", "where"), [(1280, ".md-header"), (360, ".md-footer")])
def test_where_the_search_cannot_run_it_says_so(
    browser: Any, demo: Path, served: str, width: int, where: str
) -> None:
    for page in ("episodes/clutch.html", "ledger.html"):  # others are as they were without us
        look(browser, demo / page, width)
        assert seen(browser, f"{where} .buildlog-no-search") == ["Search needs a web server"]
        assert seen(browser, ".md-search, label.md-header__button[for='__search']") == []
        assert browser.execute_script("return document.documentElement.scrollWidth") <= width
    browser.get(served + "index.html")
    assert seen(browser, ".buildlog-no-search") == []
    assert seen(browser, ".md-search__form" if width == 1280 else "label.md-header__button[for='__search']")


@pytest.mark.parametrize("width", [360, 1280])
def test_an_address_that_leads_nowhere_has_ways_on(browser: Any, demo: Path, served: str, width: int) -> None:
    size = {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    browser.get(served + "404.html")
    browser.set_script_timeout(120)
    browser.execute_script(AXE)
    assert browser.execute_async_script(RUN) == []
    ways = browser.execute_script(
        "return [...document.querySelectorAll('.md-content li a')].map(one => one.href)"
    )
    paths = [way.removeprefix(served) for way in ways]
    assert "index.html" in paths
    assert all((demo / path).is_file() for path in paths)
