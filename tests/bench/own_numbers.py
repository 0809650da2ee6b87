"""What a reader's own numbers weigh and how long they take in Chromium, beside the proof in this Python."""

from __future__ import annotations

import gzip
import json
import statistics
import time
from pathlib import Path
from typing import Any

from buildlog.book.book import Book
from buildlog.browser.published import describe_page
from buildlog.kinds.results import BlockResult
from tests.bench.site_of_copies import ROOT
from tests.browser.test_packed import changed

TIMED = ("gearing", "clutch", "duct", "header", "exhaust", "acceleration")
# From the click until the form is there, from a change until the card says what it changed, and once more.
_CLICK = """
const [card, written, texts, done] = arguments;
const until = async (found) => { while (!found()) await new Promise((go) => setTimeout(go, 5)); };
const fold = document.querySelector(`[id="${card}"] .buildlog-yours`), took = [];
const refused = () => fold.querySelector("[role=alert]");
(async () => {
  let begin = performance.now();
  fold.querySelector("summary").click();
  await until(() => refused() || fold.querySelector(".buildlog-yours-form"));
  if (refused()) return done(refused().textContent);
  took.push(performance.now() - begin);
  const control = [...fold.querySelectorAll("input")].find((one) => one.value === written);
  const status = fold.querySelector(".buildlog-yours-status");
  for (const text of texts) {
    status.textContent = "asked";
    control.value = text;
    begin = performance.now();
    control.dispatchEvent(new Event("change", { bubbles: true }));
    await until(() => !/^(asked|Computing|$)/.test(status.textContent));
    took.push(performance.now() - begin);
  }
  done(took);
})().catch((error) => done(String(error)));
"""


def weigh(folder: Path) -> None:
    """Print what the first click of a reader loads, compressed, by part."""
    sizes = {
        path.name.removeprefix("own-").rpartition("-")[0]: len(gzip.compress(path.read_bytes(), mtime=0))
        / 1000
        for path in (folder / "assets/buildlog/own").glob("own-*.js")
    }
    blocks = [len(gzip.compress(path.read_bytes(), mtime=0)) / 1000 for path in _descriptions(folder)]
    first = {name: sizes.pop(name) for name in ("interpreter", "python", "common")}
    print("\nA reader's own numbers: what the first click loads, KB compressed; kept for every other page")
    print("  for every kind: " + ", ".join(f"{name} {size:.0f}" for name, size in first.items()), end="")
    print(f"; together {sum(first.values()):.0f}")
    for what, some in (
        (f"of {len(sizes)} kinds, each", list(sizes.values())),
        ("a block's description", blocks),
    ):
        print(
            f"  {what}: median {statistics.median(some):.0f}, {min(some):.0f} to {max(some):.0f}", flush=True
        )


def _descriptions(folder: Path) -> list[Path]:
    return [
        path for path in (folder / "assets/buildlog/own").rglob("*.js") if not path.name.startswith("own-")
    ]


def compare(browser: Any, address: str) -> None:
    """Print how long a click and a change take."""
    print(
        "\n  in Chromium, s: from the click to the form (scripts loaded, the author's computed), from a\n"
        "  changed value to the changed card, and for one more; beside the proof of it in this Python\n"
        "  block                          click   change   again   proof   ratio of the last two"
    )
    book = Book.open(root=ROOT)
    for kind in TIMED:
        block, written, field, texts = _example(book, kind)
        ours = []
        for text in texts * 2:
            begin = time.perf_counter()
            book.tried(block.page, block.id, {field: text})
            ours.append(time.perf_counter() - begin)
        browser.execute_cdp_cmd("Network.clearBrowserCache", {})
        browser.get(f"{address}/{block.page}.html")
        took = browser.execute_async_script(_CLICK, f"calc-{block.id}", written, texts)
        name = f"{kind} {block.id}"
        if isinstance(took, str):
            print(f"  {name:29} not measured: {took}", flush=True)
            continue
        click, change, again = (one / 1000 for one in took)
        proof = statistics.median(ours)
        print(
            f"  {name:29} {click:5.2f}    {change:5.2f}   {again:5.2f}   {proof:5.3f}   {again / proof:5.0f}",
            flush=True,
        )


def _example(book: Book, kind: str) -> tuple[BlockResult, str, str, list[str]]:
    """A block of a kind that readers may change: a field's text, its id, and two other texts for it."""
    for page in book.pages:
        for one in describe_page(book, page):
            if one.kind == kind and one.description:
                block, description = book.results[one.page, one.id], json.loads(one.description)
                if (found := changed(block, description)) is not None:
                    field, text = found
                    written = next(each["written"] for each in description["fields"] if each["id"] == field)
                    number, _, unit = text.partition(" ")
                    return block, written, field, [text, f"{float(number) * 1.01:.6g} {unit}".strip()]
    raise LookupError(f"no block of the demonstration that is of the kind {kind} takes numbers")
