"""Results of blocks that an earlier run has left on disk, found by all that they rest on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from buildlog.diagnostics import Refused
from buildlog.files.text import digest_of
from buildlog.kept.packing import Unpackable, fingerprint, pack, unpack
from buildlog.kept.store import Store, key_for
from buildlog.kinds.results import BlockResult
from buildlog.reading.addresses import CARS, PARTS
from buildlog.reading.blocks import Block, CarSheet
from buildlog.reading.data import data_path
from buildlog.reading.log_rules import names_of_files
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode
from buildlog.reading.parts import Part

BlockName = tuple[str, str]
"""(page, id)."""


class KeptResults:
    """The results of one site. A block is known by its text, its car's sheet, its data, what it takes from
    other blocks and parts, and the program: whatever of these is another, the block is computed."""

    def __init__(
        self,
        store: Store,
        program: str,
        content: Path,
        cars: Mapping[str, CarSheet],
        parts: Mapping[str, Part],
    ) -> None:
        self.store = store
        self._program = program
        self._content = content
        self._cars = cars
        self._parts = parts
        self._keys: dict[BlockName, str] = {}
        self._digests: dict[str, str] = {}

    def key(self, block: Block, needed: Iterable[BlockName]) -> str:
        """What a result of the block is kept under, "" where it rests on what has no key. To be asked in the
        order in which blocks are computed."""
        self._keys.pop((block.page, block.id), None)  # what it rests on may have lost its own since
        if block.faults or (block.car and block.car not in self._cars):
            return ""
        try:
            place = block.position  # its file is in the origins of doubts
            parts: list[str | bytes] = [self._program, block.page, place.path, fingerprint(block, base=place)]
            parts += self._of_car(block.car) if block.car else ()
            for name in sorted(set(needed)):
                parts += self._of_needed(name)
            for file in sorted(files_in(_nodes_of(block))):
                parts += file, self.digest(file)
        except (Unpackable, Refused, OSError, KeyError):
            return ""
        made = self._keys[block.page, block.id] = key_for("block", *parts)
        return made

    def known(self, name: BlockName) -> str:
        """What a block's result is known by; "" where it is not."""
        return self._keys.get(name, "")

    def take_over(self, name: BlockName, key: str) -> None:
        """The key of a block that rests on nothing new."""
        self._keys[name] = key

    def has(self, key: str) -> bool:
        """Whether there is an entry, as far as one can see without reading it."""
        return bool(key) and self.store.has(key)

    def get(self, key: str, block: Block) -> tuple[BlockResult, set[str]] | None:
        """The block's result, as an earlier run computed it, and the data files that it read."""
        content = self.store.get(key) if key else None
        if content is None:
            return None
        try:
            result, files = unpack(content, block.position)
        except (Unpackable, TypeError, ValueError):
            return None
        return (result, set(files)) if isinstance(result, BlockResult) else None

    def put(self, key: str, result: BlockResult, files: Mapping[str, str]) -> None:
        """Keep a result, with the data files that it was computed from and their digests. One with faults is
        not kept: it is computed anew, and told anew. Nor is one whose data changed after its key was made,
        nor what rests on that."""
        if any(self._digests.get(file) != digest for file, digest in files.items()):
            self._keys.pop((result.page, result.id), None)
        elif key and not result.faults:
            with suppress(Unpackable):
                self.store.put(key, pack((result, sorted(files)), result.position))

    def digest(self, file: str) -> str:
        """The digest of a data file. Raises `Refused` or `OSError`."""
        if file not in self._digests:
            self._digests[file] = digest_of(data_path(self._content, file))
        return self._digests[file]

    def _of_needed(self, name: BlockName) -> tuple[str, ...]:
        """The key of what a block takes values from. Raises `KeyError` where it has none."""
        page, block = name
        if block.startswith(CARS):
            return "car", *self._of_car(block.removeprefix(CARS))
        if block.startswith(PARTS):
            return "part", block, fingerprint(self._parts[block.removeprefix(PARTS)])
        return page, block, self._keys[name]

    def _of_car(self, name: str) -> tuple[str, ...]:
        label = ("", CARS + name)
        if label not in self._keys:
            sheet = self._cars[name]
            files = sorted(files_in(_nodes_of_car(sheet)))
            digests = [part for file in files for part in (file, self.digest(file))]
            self._keys[label] = key_for("car", fingerprint(sheet), *digests)
        return name, self._keys[label]


def _nodes_of(block: Block) -> Iterator[YamlNode]:
    for named in (block.inputs, *block.cases.values()):
        yield from (node for _, node in named.values())


def _nodes_of_car(sheet: CarSheet) -> Iterator[YamlNode]:
    for state in (sheet.inputs, *(change.inputs for change in sheet.changes)):
        yield from (node for _, node in state.values())


def files_in(nodes: Iterable[YamlNode]) -> Iterator[str]:
    """Names of the data files that inputs are written with, at any depth."""
    for node in nodes:
        if isinstance(node, YamlMapping):
            yield from names_of_files(node)
            yield from files_in(value for _, value in node.entries)
        elif isinstance(node, YamlList):
            yield from files_in(node.items)
