"""Whether a card takes a reader's own numbers, and where what computes it with them is."""

from __future__ import annotations

from dataclasses import dataclass

FOLDER = "assets/buildlog/own"
"""Where the scripts are published that compute blocks in a browser, under content. `yours.js` looks there."""


@dataclass(frozen=True)
class OwnNumbers:
    """`script` is the address in `FOLDER` of what describes the block, "" where it takes no numbers of a
    reader's; `refused` says then why, where there are numbers that a reader might want to change."""

    script: str = ""
    refused: str = ""


NO_OWN_NUMBERS = OwnNumbers()
