"""What the plugin costs a site on which nothing is ours: its build over that of the same site without it.

Processor time of whole processes, which take turns; of the ratios of neighbours the median is told.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TIMES = 9
_PARAGRAPH = (
    "Words about a thing that is 12 mm long, of which a **few** are [linked](page-0.md) and `coded`. " * 6
)
_PAGE = (
    "# Page {number}\n\n"
    + f"{_PARAGRAPH}\n\n## Part\n\n{_PARAGRAPH}\n\n```python\nprint('calculate')\n```\n\n"
    "| a | b |\n|---|---|\n| 1 | 2 kg |\n\n!!! note\n    " + _PARAGRAPH + "\n"
)


def write_site(folder: Path, pages: int) -> None:
    """A site of plain pages, with the settings for either way."""
    (folder / "docs").mkdir(parents=True)
    for number in range(pages):
        text = _PAGE.replace("{number}", str(number))
        (folder / "docs" / (f"page-{number}.md" if number else "index.md")).write_text(text, "utf-8")
    (folder / "docs" / "page-0.md").write_text("# Zero\n", "utf-8")
    for name, ours in (("ours", ", buildlog"), ("bare", "")):
        (folder / f"{name}.yml").write_text(
            f"site_name: Plain\ntheme: {{name: material}}\nplugins: [search{ours}]\nsite_dir: {name}\n"
            "markdown_extensions: [admonition, tables, pymdownx.superfences, pymdownx.highlight]\n",
            "utf-8",
        )


def seconds(folder: Path, name: str) -> float:
    """Processor time of one build in a process of its own."""
    import resource  # Windows has none, and the tests import what else is here

    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "-q", "-f", f"{name}.yml"],
        cwd=folder,
        check=True,
        env={**os.environ, "PYTHONPATH": f"{ROOT}:{ROOT / 'plugins'}", "NO_MKDOCS_2_WARNING": "1"},
        capture_output=True,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    print("\nBuild of a site on which nothing is ours, with the plugin over without it, processor time")
    for pages in (20, 120):
        with tempfile.TemporaryDirectory() as made:
            folder = Path(made)
            write_site(folder, pages)
            seconds(folder, "bare")  # so that none of the two pays for what is read for the first time
            pairs = [(seconds(folder, "ours"), seconds(folder, "bare")) for _ in range(TIMES)]
        ratios = sorted(ours / bare for ours, bare in pairs)
        ours, bare = (statistics.median(times) for times in zip(*pairs, strict=True))
        print(
            f"  {pages} pages: {ours:.2f} s over {bare:.2f} s, ratio {statistics.median(ratios):.3f} "
            f"({ratios[0]:.3f} to {ratios[-1]:.3f})",
            flush=True,
        )


if __name__ == "__main__":
    main()
