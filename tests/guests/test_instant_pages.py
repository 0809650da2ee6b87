"""Pages that a theme brings in without loading them (``navigation.instant``), in a real browser."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from selenium.webdriver.support.ui import WebDriverWait

from tests.guests.small_sites import OUR_PAGE, SOURCES, build_site, write

pytestmark = [pytest.mark.browser, pytest.mark.slow]
SETTINGS = """\
site_name: Instant
site_url: {address}
theme:
  name: material
  features: [navigation.instant, navigation.instant.prefetch, content.code.copy]
extra_css: [own.css]
plugins: [search, buildlog]
markdown_extensions: [pymdownx.superfences, pymdownx.highlight]
"""
LEDGER = '# All\n\n<div data-buildlog="ledger"></div>\n'
OWN = ".buildlog-card { outline-style: dotted }\n"


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *arguments: Any) -> None:
        pass


@pytest.fixture
def site(tmp_path: Path) -> Iterator[str]:
    """The address of a served site with a page of ours, the ledger, and a page that has nothing of ours."""
    (tmp_path / "site").mkdir()
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(tmp_path / "site")))
    address = f"http://127.0.0.1:{server.server_port}/"
    write(
        tmp_path,
        {
            "mkdocs.yml": SETTINGS.replace("{address}", address),
            "docs/index.md": "# Home\n\n```yaml\na: 1\n```\n",
            "docs/ours.md": OUR_PAGE,
            "docs/ledger.md": LEDGER,
            "docs/own.css": OWN,
            "docs/sources.yml": SOURCES,
        },
    )
    build_site(tmp_path)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield address
    server.shutdown()
    server.server_close()


def test_to_a_page_of_ours_and_back(browser: Any, site: str) -> None:
    """The sheet stands before the site's own, units are chosen and stay, the ledger sorts, nothing is
    doubled; a page without anything of ours has no choice of units."""

    def wait(script: str) -> Any:
        return WebDriverWait(browser, 60).until(lambda driver: driver.execute_script(f"return {script}"))

    def go(title: str, heading: str) -> None:
        browser.execute_script(
            "[...document.querySelectorAll('.md-nav--primary a.md-nav__link')]"
            f".find((one) => one.textContent.trim() === {title!r} && one.href).click()"
        )
        wait(f"document.querySelector('article h1')?.textContent.includes({heading!r})")

    def look() -> dict[str, Any]:
        found: dict[str, Any] = browser.execute_script(
            "const sheets = [...document.querySelectorAll('link[rel=stylesheet]')].map((one) => one.href);"
            "const card = document.querySelector('.buildlog-card');"
            "return {ours: sheets.findIndex((one) => one.endsWith('assets/buildlog.css')),"
            "own: sheets.findIndex((one) => one.endsWith('own.css')),"
            "choices: document.querySelectorAll('.buildlog-units').length,"
            "units: document.documentElement.dataset.buildlogUnits,"
            "outline: card && getComputedStyle(card).outlineStyle,"
            "seen: card && getComputedStyle(card).visibility,"
            "same: window.kept === true}"
        )
        return found

    browser.get(site)
    browser.execute_script("window.kept = true; localStorage.removeItem('buildlog-units')")
    assert look()["ours"] == -1
    wait("!!document.querySelector('.md-nav--primary a.md-nav__link') && typeof document$ === 'object'")
    go("Ours", "Ours")
    wait("document.querySelectorAll('.buildlog-units').length")
    wait("getComputedStyle(document.querySelector('.buildlog-card')).visibility === 'visible'")
    wait("!![...document.querySelectorAll('link')].find((one) => one.href.endsWith('buildlog.css')).sheet")
    seen = look()
    assert seen["same"], "the page was brought in, not loaded"
    assert 0 <= seen["ours"] < seen["own"]
    assert (seen["choices"], seen["units"], seen["outline"]) == (1, "written", "dotted")
    browser.execute_script(
        "const one = document.querySelector('.buildlog-units select');"
        "one.value = 'us'; one.dispatchEvent(new Event('change'))"
    )
    assert look()["units"] == "us"
    go("Home", "Home")
    wait("document.querySelectorAll('.buildlog-units').length === 0")
    assert look()["ours"] == -1
    assert (
        wait("document.querySelectorAll('article .md-code__button, article button.md-clipboard').length") == 1
    )
    go("All", "All")
    wait("document.querySelectorAll('.buildlog-sort').length")
    rows = "[...document.querySelectorAll('table.buildlog-sortable tbody tr')].map((one) => one.textContent)"
    before = wait(rows)
    browser.execute_script("document.querySelector('.buildlog-sort').click()")
    browser.execute_script("document.querySelector('.buildlog-sort').click()")
    assert len(wait(rows)) == len(before)
    assert wait("document.querySelectorAll('.buildlog-sort').length") == wait(
        "document.querySelectorAll('table.buildlog-sortable thead th').length"
    )
    go("Ours", "Ours")
    wait("document.querySelectorAll('.buildlog-units').length")
    seen = look()
    assert seen["same"]
    assert 0 <= seen["ours"] < seen["own"]
    assert (seen["choices"], seen["units"], seen["seen"]) == (1, "us", "visible")
