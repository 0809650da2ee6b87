"""What makes a decision doubtful, by its name in the block where it was written or modelled."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from buildlog.kinds.doubt import METHOD, Doubt
from buildlog.kinds.results import BENT, BlockResult, CaseResult
from buildlog.said import said

_COLON = re.compile(":")


@dataclass
class Owners:
    """What blocks know of their doubts, by origin, in the order in which they were computed: the first that
    knows an origin is the one where it was written, if not in a car's sheet or a data file. `drawn` is how
    the origins begin of what their draws left unexplained."""

    words: dict[str, str] = field(default_factory=dict)
    stated: dict[str, str] = field(default_factory=dict)
    doubts: dict[str, Doubt] = field(default_factory=dict)
    drawn: set[str] = field(default_factory=set)

    def add(self, block: BlockResult) -> None:
        """Take in what one more block knows."""
        for case in block.cases.values():
            for origin, words in case.origins.items():
                if origin in self.words:
                    continue
                written_here = origin.startswith(f"{block.position.path}#")
                called = said("{words} ({block})", words=words, block=block.called)
                self.words[origin] = called if written_here else words
                self.stated[origin] = case.stated.get(origin, "")
            for origin, doubt in case.doubted.items():
                self.doubts.setdefault(origin, doubt)
        self.drawn.add(f"{block.address}:")

    def named(self, decision: BlockResult) -> BlockResult:
        """A decision whose doubts go by what they are in the blocks that it takes its values from; its own
        inputs are only where they arrive."""
        cases = {name: _renamed(case, self) for name, case in decision.cases.items()}
        return replace(decision, cases=cases)

    def drew(self, origin: str) -> bool:
        """Whether an origin is what a block's draws left unexplained."""
        return any(origin[: colon.end()] in self.drawn for colon in _COLON.finditer(origin))


def _renamed(case: CaseResult, owned: Owners) -> CaseResult:
    """The case with its doubts by the names of their owners. The square of an error goes by the error, and
    what no single one explained in the block that drew it stays nobody's."""
    there = dict.fromkeys(origin.removesuffix(BENT) for origin in case.origins)  # in their order, always
    method = {
        origin: owned.doubts[origin]
        for origin in there
        if origin.startswith(METHOD) and origin in owned.doubts
    }
    origins: dict[str, str] = {}
    for origin, words in case.origins.items():
        plain = origin.removesuffix(BENT)
        if plain not in method and not owned.drew(origin.removeprefix(METHOD)):
            origins[plain] = owned.words.get(plain, said("{input} given here", input=words.split(", ")[-1]))
    stated = {origin: owned.stated.get(origin, case.stated.get(origin, "")) for origin in origins}
    return replace(case, origins=origins, stated=stated, doubted={**case.doubted, **method})
