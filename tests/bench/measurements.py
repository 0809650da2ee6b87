"""What the bench of growth has measured: kept as JSON beside the code, from which the page is written."""

from __future__ import annotations

import json
import math
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from tests.bench.one_process import Taken

KEPT = Path(__file__).with_name("measured.json")

BARE, PROOF_COLD, PROOF_WARM = "bare", "proof cold", "proof warm"
SITE_COLD, SITE_WARM, SITE_CHANGED = "site cold", "site warm", "site changed"
PAGE_BARE, BLOCKS_COLD, BLOCKS_WARM, CODE = "page bare", "blocks cold", "blocks warm", "code"
OVER_BARE = {
    **dict.fromkeys((PROOF_COLD, PROOF_WARM, SITE_COLD, SITE_WARM, SITE_CHANGED), BARE),
    **dict.fromkeys((BLOCKS_COLD, BLOCKS_WARM, CODE), PAGE_BARE),
}


@dataclass(frozen=True, kw_only=True)
class Measurements:
    """Of each size what each program took, round by round; and whose work a build is, in seconds."""

    date: str
    machine: Mapping[str, str]
    rounds: Mapping[int, Mapping[str, Sequence[Taken]]]
    shares_of: int
    shares: Mapping[str, Mapping[str, float]]

    @property
    def sizes(self) -> tuple[int, ...]:
        return tuple(sorted(self.rounds))

    def ratios(self, size: int, what: str, unit: str = "processor") -> list[float]:
        """Over the bare build of the same round."""
        pairs = zip(self.rounds[size][what], self.rounds[size][OVER_BARE[what]], strict=True)
        return [float(getattr(ours, unit) / getattr(bare, unit)) for ours, bare in pairs]

    def median(self, size: int, what: str, unit: str = "processor") -> float:
        return statistics.median(float(getattr(one, unit)) for one in self.rounds[size][what])

    def memory_beyond(self, size: int, what: str) -> float:
        """Megabytes beyond the bare build's."""
        return self.median(size, what, "megabytes") - self.median(size, OVER_BARE[what], "megabytes")

    def memory_an_episode(self, what: str) -> float | None:
        """By how much that grows with an episode, by least squares; None of fewer than two sizes."""
        if len(self.sizes) < 2:
            return None
        return statistics.linear_regression(
            self.sizes, [self.memory_beyond(size, what) for size in self.sizes]
        ).slope

    def exponent(self, what: str, sizes: Sequence[int] = ()) -> float | None:
        """The slope of log time over log size, by least squares; None of fewer than two sizes."""
        sizes = sizes or self.sizes
        if len(sizes) < 2:
            return None
        x = [math.log(size) for size in sizes]
        y = [math.log(self.median(size, what)) for size in sizes]
        return statistics.linear_regression(x, y).slope


def write(measured: Measurements, path: Path = KEPT) -> None:
    path.write_text(json.dumps(asdict(measured), indent=1, ensure_ascii=False) + "\n", "utf-8")


def read(path: Path = KEPT) -> Measurements:
    kept = json.loads(path.read_text("utf-8"))
    rounds = {
        int(size): {what: [Taken(**one) for one in taken] for what, taken in by_what.items()}
        for size, by_what in kept["rounds"].items()
    }
    return Measurements(**{**kept, "rounds": rounds})
