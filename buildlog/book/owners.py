"""What makes a decision doubtful, by its name in the block where it was written or modelled."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from buildlog.kinds.doubt import METHOD, Doubt
from buildlog.kinds.results import BENT, BlockResult, CaseResult
from buildlog.said import said


@dataclass
class _Owned:
    """What earlier blocks know of their doubts, by origin. `drawn` is how the origins begin of what their
    draws left unexplained."""

    words: dict[str, str] = field(default_factory=dict)
    stated: dict[str, str] = field(default_factory=dict)
    doubts: dict[str, Doubt] = field(default_factory=dict)
    drawn: tuple[str, ...] = ()


def named_by_owners(decision: BlockResult, earlier: Iterable[BlockResult]) -> BlockResult:
    """A decision whose doubts go by what they are in the blocks that it takes its values from; its own inputs
    are only where they arrive. Blocks come in the order in which they were computed, so that the first that
    knows an origin is the one where it was written, if not in a car's sheet or a data file."""
    owned = _Owned()
    for block in earlier:
        for case in block.cases.values():
            for origin, words in case.origins.items():
                written_here = origin.startswith(f"{block.position.path}#")
                called = said("{words} ({block})", words=words, block=_called(block))
                owned.words.setdefault(origin, called if written_here else words)
                owned.stated.setdefault(origin, case.stated.get(origin, ""))
            owned.doubts.update(
                (origin, doubt) for origin, doubt in case.doubted.items() if origin not in owned.doubts
            )
        owned.drawn += (f"{block.address}:",)
    cases = {name: _renamed(case, owned) for name, case in decision.cases.items()}
    return replace(decision, cases=cases)


def _called(block: BlockResult) -> str:
    """A block by the title that its author gave it, or by its id: that of its kind is a sentence."""
    titled = block.calculator is None or block.title != block.calculator.title
    return block.title if titled or not block.id else block.id


def _renamed(case: CaseResult, owned: _Owned) -> CaseResult:
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
        if plain not in method and not origin.removeprefix(METHOD).startswith(owned.drawn):
            origins[plain] = owned.words.get(plain, said("{input} given here", input=words.split(", ")[-1]))
    stated = {origin: owned.stated.get(origin, case.stated.get(origin, "")) for origin in origins}
    return replace(case, origins=origins, stated=stated, doubted={**case.doubted, **method})
