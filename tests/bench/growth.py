"""How proof and build grow with a site, over its bare build: the table of ``content/speed.md``.

Alone: ``python -m tests.bench.growth --episodes 20 100``. The whole, to a thousand episodes, may take hours
on a machine that has other work. ``--again`` writes the page from what was measured last.
"""

from __future__ import annotations

import argparse
import datetime
import json
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from tests.bench import machine, measurements, speed_page, written_both_ways
from tests.bench.measurements import (
    BARE,
    BLOCKS_COLD,
    BLOCKS_WARM,
    CODE,
    PAGE_BARE,
    PROOF_COLD,
    PROOF_WARM,
    SITE_CHANGED,
    SITE_COLD,
    SITE_WARM,
    Measurements,
)
from tests.bench.one_process import Taken, environment, prepare, run
from tests.bench.site_of_copies import write_site

SIZES = (20, 100, 400, 1000)
_BUILD = ("-m", "mkdocs", "build", "--quiet")
_PROOF = ("-m", "buildlog.cli", "proof")
_PROFILED_UP_TO = 100
"""Of larger sites a profile says nothing new, and takes long."""


def main() -> None:
    asked = _arguments()
    if not asked.again:
        _measure(sorted(set(asked.episodes)), asked.rounds)
    measured = measurements.read()
    speed_page.PAGE.write_text(speed_page.page(measured), "utf-8")
    print(f"\n{speed_page.table(measured)}\n\nWritten to {speed_page.PAGE}")


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.growth", description=__doc__)
    parser.add_argument(
        "--episodes", type=int, nargs="+", default=SIZES, metavar="N", help="sizes of the site"
    )
    parser.add_argument(
        "--rounds", type=int, help="of each size; otherwise five of a small one, one of a large"
    )
    parser.add_argument(
        "--again", action="store_true", help="only write the page from what was measured last"
    )
    return parser.parse_args()


def _measure(sizes: list[int], rounds: int | None) -> None:
    """What is measured is written after each size, since a large one may take an hour."""
    described = machine.describe(prepare())
    with tempfile.TemporaryDirectory() as made:
        _compile_and_warm(Path(made) / "first")
        profiled = max((size for size in sizes if size <= _PROFILED_UP_TO), default=sizes[0])
        shares = _shares(Path(made) / "profiled", profiled)
        taken = {}
        for size in sizes:
            folder = Path(made) / str(size)
            taken[size] = _rounds(folder, size, rounds or max(1, min(5, 300 // size)))
            shutil.rmtree(folder)
            measurements.write(
                Measurements(
                    date=datetime.date.today().isoformat(),
                    machine=described,
                    rounds=taken,
                    shares_of=profiled,
                    shares=shares,
                )
            )


def _compile_and_warm(folder: Path) -> None:
    """So that nobody pays for what is read or compiled for the first time."""
    for way in (written_both_ways.BARE, written_both_ways.BLOCKS, written_both_ways.CODE):
        written_both_ways.write_site(folder / way, way=way, pages=1)
        run(folder / way, *_BUILD)
    run(folder / written_both_ways.BLOCKS, *_PROOF)


def _rounds(folder: Path, size: int, rounds: int) -> dict[str, list[Taken]]:
    """Each program in its turn, so often."""
    bare, ours, pages = folder / "bare", folder / "ours", folder / "pages"
    write_site(bare, plugin=False, episodes=size)
    episodes = write_site(ours, plugin=True, episodes=size)
    for way in (written_both_ways.BARE, written_both_ways.BLOCKS, written_both_ways.CODE):
        written_both_ways.write_site(pages / way, way=way, pages=size)
    blocks = pages / written_both_ways.BLOCKS
    taken: dict[str, list[Taken]] = {}
    for number in range(rounds):
        changed = episodes[number * 37 % len(episodes)]
        steps: tuple[tuple[str, Callable[[], Taken]], ...] = (
            (BARE, lambda: run(bare, *_BUILD)),
            (PROOF_COLD, lambda: run(_cold(ours), *_PROOF)),
            (PROOF_WARM, lambda: run(ours, *_PROOF)),
            (SITE_COLD, lambda: run(_cold(ours), *_BUILD)),
            (SITE_WARM, lambda: run(ours, *_BUILD)),
            (SITE_CHANGED, lambda changed=changed: run(_changed(ours, changed), *_BUILD)),  # type: ignore[misc]
            (PAGE_BARE, lambda: run(pages / written_both_ways.BARE, *_BUILD)),
            (BLOCKS_COLD, lambda: run(_cold(blocks), *_BUILD)),
            (BLOCKS_WARM, lambda: run(blocks, *_BUILD)),
            (CODE, lambda: run(pages / written_both_ways.CODE, *_BUILD)),
        )
        for what, step in steps:
            one = step()
            taken.setdefault(what, []).append(one)
            print(
                f"{size} episodes, round {number + 1} of {rounds}, {what}: {one.processor:.2f} s of the "
                f"processor, {one.clock:.2f} s by the clock, {one.megabytes:.0f} MB",
                flush=True,
            )
    return taken


def _cold(folder: Path) -> Path:
    """The site with nothing kept from before."""
    shutil.rmtree(folder / ".cache" / "buildlog", ignore_errors=True)
    return folder


def _changed(folder: Path, episode: Path) -> Path:
    """The site with a line more in one episode."""
    with episode.open("a", encoding="utf-8") as file:
        file.write("\nOne line more.\n")
    return folder


def _shares(folder: Path, size: int) -> dict[str, dict[str, float]]:
    """Whose work the builds are, in seconds of the processor."""
    write_site(folder / "bare", plugin=False, episodes=size)
    write_site(folder / "ours", plugin=True, episodes=size)
    sites = {BARE: folder / "bare", SITE_COLD: folder / "ours", SITE_WARM: folder / "ours"}
    shares = {}
    for what, site in sites.items():
        said = subprocess.run(
            [sys.executable, "-W", "ignore", "-m", "tests.bench.shares"],
            cwd=site,
            env=environment(),
            check=True,
            capture_output=True,
            text=True,
        )
        shares[what] = {name: round(seconds, 3) for name, seconds in json.loads(said.stdout).items()}
    return shares


if __name__ == "__main__":
    main()
