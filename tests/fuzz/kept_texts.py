"""The texts that are tried again on every run, a line each, as JSON strings in ASCII.

`corpus/` has for each target those that together reach what the search has reached, as small a set as does;
`make fuzz KEEP=1` writes it anew. `crashes/` has those that once broke a promise, and stays.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

HERE = Path(__file__).parent
CORPUS = HERE / "corpus"
CRASHES = HERE / "crashes"


def read_texts(folder: Path, target: str) -> list[str]:
    path = folder / f"{target}.txt"
    if not path.is_file():
        return []
    return [json.loads(line) for line in path.read_text("ascii").splitlines()]


def write_texts(folder: Path, target: str, texts: Iterable[str]) -> None:
    folder.mkdir(exist_ok=True)
    lines = sorted({json.dumps(text) for text in texts}, key=lambda line: (len(line), line))
    (folder / f"{target}.txt").write_text("".join(f"{line}\n" for line in lines), "ascii", newline="\n")


def as_text(data: bytes) -> str:
    """What a target gets of the fuzzer's bytes. A file has no NUL, which no reader sees."""
    return data.decode("utf-8", "ignore").replace("\0", "")
