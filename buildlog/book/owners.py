"""What makes a decision doubtful, by its name in the block where it was written or modelled."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildlog.kinds.doubt import METHOD, Doubt
from buildlog.kinds.results import BENT, BlockResult, CaseResult


def named_by_owners(decision: BlockResult, earlier: Iterable[BlockResult]) -> BlockResult:
    """A decision whose doubts go by what they are in the blocks that it takes its values from; its own inputs
    are only where they arrive. Blocks come in the order in which they were computed, so that the first that
    knows an origin is the one where it was written, if not in a car's sheet or a data file."""
    owned: dict[str, str] = {}
    doubts: dict[str, Doubt] = {}
    for block in earlier:
        for case in block.cases.values():
            for origin, words in case.origins.items():
                written_here = origin.startswith(f"{block.position.path}:")
                owned.setdefault(origin, f"{words} ({_called(block)})" if written_here else words)
            doubts |= {origin: doubt for origin, doubt in case.doubted.items() if origin not in doubts}
    cases = {name: _renamed(case, owned, doubts) for name, case in decision.cases.items()}
    return replace(decision, cases=cases)


def _called(block: BlockResult) -> str:
    """A block by the title that its author gave it, or by its id: that of its kind is a sentence."""
    titled = block.calculator is None or block.title != block.calculator.title
    return block.title if titled or not block.id else block.id


def _renamed(case: CaseResult, owned: dict[str, str], doubts: dict[str, Doubt]) -> CaseResult:
    there = {origin.removesuffix(BENT) for origin in case.origins}
    method = {origin: doubts[origin] for origin in there if origin.startswith(METHOD) and origin in doubts}
    origins = {
        origin: owned.get(origin, f"{words.split(', ')[-1]} given here")
        for origin, words in case.origins.items()
        if origin not in method
    }
    return replace(case, origins=origins, doubted={**case.doubted, **method})
