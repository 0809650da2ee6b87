"""What each sort of page costs a reader: bytes, requests, how far it moves while it loads, and time, beside
the same page without the plugin; and what own numbers cost. Alone: ``python -m tests.bench.pages``.
"""

from __future__ import annotations

import logging
import statistics
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mkdocs.commands.build import build
from mkdocs.config import load_config

from tests.bench import own_numbers
from tests.bench.browsing import chromium, served
from tests.bench.site_of_copies import ROOT, without_plugin
from tests.systems import link

PAGES = {
    "home": "index.html",
    "episode, short": "episodes/final-drive.html",
    "episode, long": "episodes/before-and-after.html",
    "series": "series.html",
    "ledger": "ledger.html",
    "sources": "sources.html",
    "predictions": "predictions.html",
    "manual": "manual/figures.html",
    "kind": "manual/kinds/clutch.html",
    "finding": "manual/findings/torque-not-cited.html",
    "no such page": "404.html",
    "sheet": "episodes/final-drive-sheet.html",
}
ROUNDS = 5
NOTICED = 0.1
"""A layout shift up to which a page is called good: web.dev, "Cumulative Layout Shift" (read)."""
WIDTHS = {"wide": (1280, 900), "phone": (360, 740)}
_SHIFTS = """
window.shifts = [];
new PerformanceObserver((list) => {
  for (const one of list.getEntries()) if (!one.hadRecentInput)
    window.shifts.push([one.value, one.sources.map((source) => source.node ?
      (source.node.nodeType === 1 ? source.node.tagName + "." + source.node.className :
        source.node.parentNode && source.node.parentNode.className) : "gone")]);
}).observe({ type: "layout-shift", buffered: true });
"""
_SEEN = """
const done = arguments[0];
const settled = () => setTimeout(() => {
  const [page] = performance.getEntriesByType("navigation");
  const asked = performance.getEntriesByType("resource").filter((one) => !one.name.startsWith("data:"));
  done({
    bytes: [page, ...asked].reduce((sum, one) => sum + one.encodedBodySize, 0),
    page: page.encodedBodySize,
    requests: 1 + asked.length,
    shift: window.shifts.reduce((sum, [value]) => sum + value, 0),
    moved: window.shifts,
    seconds: page.loadEventEnd / 1000,
  });
}, 400);
document.readyState === "complete" ? settled() : addEventListener("load", settled);
"""


@dataclass(frozen=True, kw_only=True)
class Seen:
    """A page as it was loaded with nothing kept from before."""

    bytes: int
    page: int
    requests: int
    shift: float
    seconds: float
    moved: tuple[Any, ...] = ()


def main() -> None:
    logging.getLogger("mkdocs").setLevel(logging.CRITICAL)
    with tempfile.TemporaryDirectory() as made:
        ours = _built(Path(made) / "ours", plugin=True)
        own_numbers.weigh(ours)
        with chromium() as browser, served(ours) as here:
            if browser is None:
                print(
                    "\nPages and own numbers in a browser: not measured, there is no Chromium; to install it:"
                )
                print("  apt-get install chromium chromium-driver")
                return
            own_numbers.compare(browser, here)
            with served(bare := _built(Path(made) / "bare", plugin=False)) as there:
                compare(browser, here, there, bare)


def compare(browser: Any, here: str, there: str, bare: Path) -> None:
    """Print the table of pages."""
    print(
        "\nPages of the demonstration as Chromium loads them, with buildlog and bare: the same text, theme,\n"
        "  extensions and search without the plugin. Nothing is kept from before; compressed as hosts do;\n"
        f"  median of {ROUNDS}; layout shift (CLS) at {WIDTHS['wide'][0]} and {WIDTHS['phone'][0]} px.\n"
        "  Bare, there are no sheets, and series, ledger, sources and predictions are empty.\n\n"
        "  page             KB  bare   requests  bare   shift, phone   bare          s   bare  ratio",
        flush=True,
    )
    for name, path in PAGES.items():
        alone = (bare / path).is_file()
        first = [_load(browser, f"{here}/{path}", way) for way in WIDTHS]
        second = [_load(browser, f"{there}/{path}", way) for way in WIDTHS] if alone else []
        times: list[tuple[float, float]] = []
        for _ in range(ROUNDS):
            took = _load(browser, f"{here}/{path}", "wide").seconds
            times.append((took, _load(browser, f"{there}/{path}", "wide").seconds if alone else 0))
        print(_line(name, first, second, times), flush=True)
        for one in first:
            if one.shift > NOTICED:
                print(f"    moved: {one.moved}")


def _line(name: str, ours: list[Seen], bare: list[Seen], times: list[tuple[float, float]]) -> str:
    took, beside = (statistics.median(column) for column in zip(*times, strict=True))
    shifts = "  ".join(f"{one.shift:5.3f}" for one in ours)
    line = f"  {name:14} {ours[0].bytes / 1000:5.0f}"
    if not bare:
        return f"{line}    –   {ours[0].requests:8}     –   {shifts}      –     –  {took:5.2f}      –      –"
    theirs = "  ".join(f"{one.shift:5.3f}" for one in bare)
    ratio = statistics.median(one / other for one, other in times)
    return (
        f"{line} {bare[0].bytes / 1000:5.0f}   {ours[0].requests:7}  {bare[0].requests:4}"
        f"   {shifts}   {theirs}   {took:5.2f}  {beside:5.2f}  {ratio:5.1f}"
    )


def _built(folder: Path, *, plugin: bool) -> Path:
    """The folder of the built demonstration."""
    folder.mkdir()
    settings = (ROOT / "mkdocs.yml").read_text("utf-8")
    for name in ("content", "theme"):
        link(folder / name, ROOT / name)
    (folder / "mkdocs.yml").write_text(settings if plugin else without_plugin(settings), "utf-8")
    config = load_config(str(folder / "mkdocs.yml"))
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    return folder / "site"


def _load(browser: Any, address: str, way: str) -> Seen:
    width, height = WIDTHS[way]
    size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": way == "phone"}
    browser.get("about:blank")
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    browser.execute_cdp_cmd("Network.clearBrowserCache", {})
    added = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": _SHIFTS})
    browser.get(address)
    seen = browser.execute_async_script(_SEEN)
    browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)
    return Seen(**{**seen, "moved": tuple(seen["moved"])})


if __name__ == "__main__":
    main()
