"""All pages of a site: their blocks as a graph over pages, the cars, the sources, and every result."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from buildlog.book.addresses import RESTS_ON_FAULT, Target, in_case, no_change, same_quantity, within
from buildlog.book.ahead import Ahead, Cold
from buildlog.book.cores import cores
from buildlog.book.evaluation import Evaluation, references
from buildlog.book.kept_pages import kept_page, program_of
from buildlog.book.kept_results import KeptResults
from buildlog.book.kept_units import worked_out_once
from buildlog.book.named_values import UNKNOWN_ADDRESS, unknown
from buildlog.book.order import in_order
from buildlog.book.owners import Owners
from buildlog.book.parts import part_result, parts_named, with_parts
from buildlog.book.sheets import KIND as SHEET
from buildlog.book.sheets import sheet_result, with_state
from buildlog.book.sweep_rows import swept_input
from buildlog.diagnostics import MISSING_INPUT, Diagnostic, Position, Refused, declare, did_you_mean, shorten
from buildlog.figures import units
from buildlog.files.page_names import ENDINGS, without_ending
from buildlog.files.text import digest_of, read_text
from buildlog.kept.packing import pack
from buildlog.kept.store import Store
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import Table
from buildlog.kinds.results import BlockResult, Value
from buildlog.reading.addresses import CARS, PARTS, Address, called, read_address, read_other
from buildlog.reading.blocks import SOURCES, Block, CarSheet, SourceEntry, read_car, read_sources
from buildlog.reading.configuration import shown_from
from buildlog.reading.content_folder import OUTSIDE, outside, read_content_folder
from buildlog.reading.data import NO_HEADINGS, DataTable, Heading, data_path
from buildlog.reading.data_files import DataFiles
from buildlog.reading.decisions import KIND as DECISION
from buildlog.reading.glossary import glossary_faults, read_terms
from buildlog.reading.howto import series_faults
from buildlog.reading.included_files import asks_for_files
from buildlog.reading.log_file import LogRead, read_log, read_typed
from buildlog.reading.log_rules import LogRules
from buildlog.reading.markers import PARTS_LIST, read_markers
from buildlog.reading.nodes import YamlScalar, cut_key, read_yaml, whole_file
from buildlog.reading.own_units import NAME as OWN_UNITS
from buildlog.reading.own_units import own_units_in
from buildlog.reading.parts import PART_SHAPE, Part, read_part
from buildlog.reading.publication import Standing
from buildlog.reading.settings import Settings, read_settings
from buildlog.reading.snippets import asks_for_snippets
from buildlog.reading.whole_page import Page as Page
from buildlog.reading.whole_page import read_page as read_page
from buildlog.reading.whole_page import with_brought
from buildlog.reading.words import FOLDER as WORDS_FOLDER
from buildlog.reading.words import Words, read_words

BLOCK_LOOP = declare(
    "block-loop",
    "blocks that take their inputs from each other in a loop",
    why="None of them can be computed first.",
    mend="Give one of them a value of its own.",
    example="a takes a value of b, and b one of a",
)
SAME_PAGE_TWICE = declare(
    "same-page-twice",
    "two files that would be one page of the site",
    why="They differ in their endings only, so that both have one address: one of them would be published "
    "unproofed.",
    mend="Give one of the two another name, or take it out.",
    example="notes.md and notes.markdown",
)
UNKNOWN_CAR = declare(
    "unknown-car",
    "no such car, or no such state of it",
    why="The inputs that the block leaves out come from the car's sheet.",
    mend="Name a sheet of the folder cars, and a state that it has.",
    example="car: brindel",
)
UNKNOWN_CAR_INPUT = declare(
    "unknown-car-input",
    "a value in a car's sheet that no calculator takes",
    why="A mistyped name would never reach a block.",
    mend="Correct the spelling, or take the value out.",
    example="final_drvie: 4.10        # in cars/brindle.yml",
)


Progress = Callable[[str, int, int], None]
"""Told what is being worked through ("pages", "blocks"), how many are done, and of how many."""


@dataclass(kw_only=True)
class Book:
    """Everything under the content folder, computed. Make one with `Book.open`.

    `data_names` are the data files that each block reads, `data_used` their SHA-256, `logs_read` the logs by
    file, hash and rules, which blocks and cases share, as cases do `logs_refused`. `earlier` is a book of the
    same site, from which results are taken over where nothing that they rest on has changed; only while a
    book is being made. `left` are temporary files that a killed process has left under content, `drawings`
    files that may be drawings of parts. `store` has what earlier runs have kept on disk, if anything may be,
    and `keys` is what results are known by there.
    `blocks` are those with a name, and `owners` knows what doubts are called. `parts` are the files of parts
    by name, `part_results` what figures rest on of them, `parts_page` the page that lists them, "" for none.
    `cores` is on how many the blocks are computed.
    """

    settings: Settings
    root: Path
    pages: dict[str, Page] = field(default_factory=dict)
    cars: dict[str, CarSheet] = field(default_factory=dict)
    sheets: dict[str, BlockResult] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    part_results: dict[str, BlockResult] = field(default_factory=dict)
    parts_page: str = ""
    swept: dict[tuple[str, str, str], BlockResult] = field(default_factory=dict)
    sources: dict[str, SourceEntry] = field(default_factory=dict)
    words: dict[str, Words] = field(default_factory=dict)
    results: dict[tuple[str, str], BlockResult] = field(default_factory=dict)
    by_place: dict[Position, BlockResult] = field(default_factory=dict)
    owners: Owners = field(default_factory=Owners)
    blocks: dict[tuple[str, str], Block] = field(default_factory=dict)
    faults: list[Diagnostic] = field(default_factory=list)
    left: tuple[Path, ...] = ()
    drawings: tuple[Path, ...] = ()
    data_used: dict[str, str] = field(default_factory=dict)
    data_names: dict[tuple[str, str], set[str]] = field(default_factory=dict)
    logs_read: dict[tuple[Any, ...], LogRead] = field(default_factory=dict)
    logs_refused: dict[tuple[Any, ...], LogRead] = field(default_factory=dict)
    data_files: DataFiles = field(init=False)
    progress: Progress = lambda what, done, of: None
    earlier: Book | None = None
    store: Store | None = None
    keys: dict[tuple[str, str], str] = field(default_factory=dict)
    cores: int = 1

    def __post_init__(self) -> None:
        self.data_files = DataFiles(content=self.content, shown=self.shown)

    @property
    def content(self) -> Path:
        return self.settings.content

    @property
    def keys_of_ours(self) -> list[str]:
        """The pages that have something of ours."""
        return [key for key, page in self.pages.items() if page.is_ours]

    @property
    def published(self) -> dict[str, Page]:
        """The pages of the site; those that it does not publish are there for others to rest on."""
        return {key: page for key, page in self.pages.items() if page.published}

    @classmethod
    def open(
        cls,
        content: Path | None = None,
        *,
        root: Path | None = None,
        settings: Settings | None = None,
        earlier: Book | None = None,
        progress: Progress | None = None,
        store: Store | None = None,
    ) -> Book:
        """Read and compute a site. `root` is the folder that shown paths start from (the site's own).

        With the site's `earlier` book, every file is read again, but pages whose text is the same are not
        scanned, and blocks that rest on nothing new are not computed.
        """
        base = (root or (content.parent if content else Path.cwd())).resolve()
        if settings is None:
            settings = Settings(content=content.resolve()) if content else read_settings(base)
        book = cls(settings=settings, root=base, faults=list(settings.faults), store=store)
        book.progress = progress or book.progress
        place = settings.configuration or settings.content
        book.cores, faults = cores(book.shown(place))
        book.faults += faults
        book._read_own_units()
        if earlier is not None and _is_same_site(earlier, book):
            book.earlier = earlier
            book.logs_read = {
                key: read
                for key, read in earlier.logs_read.items()
                if key[1] == earlier.data_used.get(key[0])
            }
        folder = read_content_folder(settings.content, settings.publication, book.shown)
        book.faults += folder.faults
        book.left, book.drawings = tuple(folder.left), tuple(folder.drawings)
        for number, (path, standing) in enumerate(folder.pages):
            book.progress("pages", number, len(folder.pages))
            book._read_file(path, standing)
        book.faults += series_faults({key: page.howto for key, page in book.published.items()})
        book.faults += glossary_faults(
            (page.howto.glossary, read_terms(page.scanned, page.key))
            for page in book.published.values()
            if page.howto.glossary is not None
        )
        book._read_cars()
        book._read_parts()
        book._read_sources()
        book._read_words()
        book._compute(book.pages)
        book.earlier = None
        if store is not None:
            store.end()
        return book

    def use_units(self) -> None:
        """Bring the units of the site into force, where others may have been since the book was opened."""
        units.use(self.settings.own_units)

    def with_page(self, key: str, text: str) -> Book:
        """The same book with one page's text in place of what the file holds (or a page more)."""
        self.use_units()
        path = self.pages[key].path if key in self.pages else f"{key}.md"
        other = Book(
            settings=self.settings,
            root=self.root,
            pages=dict(self.pages),
            cars=self.cars,
            sheets=self.sheets,
            parts=self.parts,
            part_results=self.part_results,
            parts_page=self.parts_page,
            sources=self.sources,
            words=self.words,
            faults=list(self.faults),
            logs_read=self.logs_read,
            store=self.store,
        )
        page = read_page(key, path, text)
        if key in self.pages and page.scanned.front_matter is None:  # a generator has taken it off
            page = replace(page, howto=self.pages[key].howto)
        other.data_files = self.data_files
        other.pages[key] = page
        if key in self.pages and other.pages[key].blocks == self.pages[key].blocks:
            other.results, other.by_place, other.owners = self.results, self.by_place, self.owners
            other.blocks = self.blocks
            other.data_used, other.data_names = self.data_used, self.data_names
        else:
            other.earlier = self
            other._compute(other.pages)
            other.earlier = None
        return other

    def file_of(self, key: str) -> str:
        """The file of a page, as its path under content."""
        return self.pages[key].file if key in self.pages else key + ENDINGS[0]

    def shown(self, path: Path) -> str:
        """A path as people see it: from the site's root where it lies inside. A link is shown as itself."""
        for candidate in (path, Path(os.path.realpath(path))):
            if candidate.is_relative_to(self.root):
                return candidate.relative_to(self.root).as_posix()
        return shown_from(self.root, path)

    def _inside(self, path: Path) -> bool:
        """Whether a file lies in the content folder, links followed; nothing of one that does not is read."""
        if Path(os.path.realpath(path)).is_relative_to(os.path.realpath(self.content)):
            return True
        fault = outside(self.shown(path))
        told = [one.position.path for one in self.faults if one.code is OUTSIDE]
        if not any(f"{fault.position.path}/".startswith(f"{one}/") for one in told):
            self.faults.append(fault)
        return False

    def _read_file(self, path: Path, standing: Standing) -> None:
        key = without_ending(path.relative_to(self.content).as_posix())
        shown = self.shown(path)
        if key in self.pages:
            self.faults.append(
                SAME_PAGE_TWICE.at(
                    Position(shown),
                    found=f"{path.name} beside {Path(self.pages[key].path).name}",
                    expected="one file",
                    second=Position(self.pages[key].path),
                    second_label="the other one",
                )
            )
            return
        text, faults = read_text(path, shown)
        before = self.earlier.pages.get(key) if self.earlier is not None else None
        snippets, includes = self.settings.snippets, self.settings.includes
        snippets = snippets if includes or (snippets and asks_for_snippets(text, snippets)) else None
        includes = includes if includes and asks_for_files(text, includes) else None
        page = before
        if snippets or includes:
            page = with_brought(
                self._page(key, shown, text, faults),
                path,
                self.content,
                self.shown,
                includes=includes,
                snippets=snippets,
            )
        elif before is None or not text or (before.text, before.path) != (text, shown):
            page = self._page(key, shown, text, faults)  # a text that could not be read is empty
        assert page is not None
        published = self.settings.publishes(page.file, standing, page.is_draft)
        page = page if page.published == published else replace(page, published=published)
        self.pages[key] = before if before is not None and before == page else page

    def _read_own_units(self) -> None:
        """The site's own units, which whatever is read after them may have."""
        path = self.content / OWN_UNITS
        own, faults = own_units_in(self.content, self.shown(path), worked_out_once(self.store))
        self.faults.extend(faults)
        self.settings = replace(self.settings, own_units=own)
        self.use_units()

    def _page(self, key: str, shown: str, text: str, faults: list[Diagnostic]) -> Page:
        """A page by itself, as it is read or an earlier run has read it."""
        return (
            read_page(key, shown, text, faults)
            if faults
            else kept_page(self.store, self._program, key, shown, text)
        )

    def _program(self) -> str:
        """The program that reads and computes the site."""
        return program_of(self.settings.own_units)

    def _read_cars(self) -> None:
        for path in sorted((self.content / "cars").glob("*.yml")):
            if not self._inside(path):
                continue
            text, faults = read_text(path, self.shown(path))
            self.faults.extend(faults)
            if not faults:
                sheet = read_car(text, self.shown(path), path.stem)
                before = self.earlier.cars.get(path.stem) if self.earlier is not None else None
                sheet = before if before is not None and before == sheet else sheet
                self.faults.extend([*sheet.faults, *_unknown_inputs(sheet)])
                self.cars[path.stem] = sheet
                if sheet is before and self.earlier is not None and path.stem in self.earlier.sheets:
                    self.sheets[path.stem] = self.earlier.sheets[path.stem]

    def _read_parts(self) -> None:
        self.faults.extend(self._passed_over())
        for path in sorted((self.content / PARTS).glob("*.yml")):
            if not self._inside(path):
                continue
            text, faults = read_text(path, self.shown(path))
            self.faults.extend(faults)
            if not faults:
                part = read_part(text, self.shown(path), path.stem)
                before = self.earlier.parts.get(path.stem) if self.earlier is not None else None
                part = before if before is not None and before == part else part
                self.faults.extend(part.faults)
                self.parts[path.stem] = part
        if self.parts:
            self.parts_page = next(filter(self._lists_parts, self.published), "")
        if self.earlier is not None and self.earlier.parts_page == self.parts_page:
            self.part_results.update(
                (name, result)
                for name, result in self.earlier.part_results.items()
                if self.parts.get(name) is self.earlier.parts[name]
            )

    def _passed_over(self) -> Iterator[Diagnostic]:
        """Files that look like parts and are read as none: of another ending, or in a folder of their own."""
        folder = self.content / PARTS
        for path in sorted([*folder.glob("*.yaml"), *folder.glob("*/*.yml"), *folder.glob("*/*.yaml")]):
            if self._inside(path):
                found = path.relative_to(folder).as_posix()
                yield PART_SHAPE.at(
                    Position(self.shown(path)),
                    found=f"“{shorten(found)}”, which is not read",
                    expected=f"{PARTS}NAME.yml",
                    help=f"call it {PARTS}{shorten(path.stem, 40)}.yml; what is no part belongs elsewhere",
                )

    def _lists_parts(self, key: str) -> bool:
        """Whether a page shows the list of parts."""
        return any(marker.name == PARTS_LIST for marker in read_markers(self.pages[key].scanned))

    def _read_sources(self) -> None:
        path = self.content / SOURCES
        if path.is_file() and self._inside(path):
            text, faults = read_text(path, self.shown(path))
            if not faults:
                self.sources, faults = read_sources(text, self.shown(path))
            self.faults.extend(faults)

    def _read_words(self) -> None:
        """The site's own words of cards, by language."""
        for path in sorted((self.content / WORDS_FOLDER).glob("*.yml")):
            if not self._inside(path):
                continue
            text, faults = read_text(path, self.shown(path))
            self.faults.extend(faults)
            if not faults:
                words, found = read_words(text, self.shown(path), path.stem)
                self.faults.extend(found)
                if words is not None:
                    self.words[words.language] = words

    # --- the graph of blocks -----------------------------------------------------------

    def _compute(self, pages: Mapping[str, Page]) -> None:
        blocks = self.blocks
        nameless: list[Block] = []
        for page in pages.values():
            for block in page.blocks:
                if block.id and (page.key, block.id) not in blocks:
                    blocks[page.key, block.id] = block
                else:
                    nameless.append(block)
        needs = {
            name: {target for target in self.needed(block) if target in blocks}
            for name, block in blocks.items()
        }
        order, loops = in_order(needs)
        for loop in loops:
            self._keep_loop(loop, blocks)
        taken: set[tuple[str, str]] = set()
        kept = None
        if self.store is not None:
            kept = KeptResults(self.store, self._program(), self.content, self.cars, self.parts)
        ahead = self._ahead(blocks, order, needs, kept)
        try:
            for number, name in enumerate(order):
                self.progress("blocks", number, len(order))
                if name in self.results:
                    continue
                block = blocks[name]
                result = self._taken_over(block, taken)
                if result is not None:
                    taken.add(name)
                    self._take_key(name, kept)
                self._keep(block, result or self._named(self._kept_or_computed(block, kept, ahead)))
                ahead.go_on(name)
        finally:
            ahead.end()
        for block in nameless:
            self.by_place[block.position] = self._named(self.evaluated(block))

    def _ahead(
        self,
        blocks: Mapping[tuple[str, str], Block],
        order: Sequence[tuple[str, str]],
        needs: Mapping[tuple[str, str], set[tuple[str, str]]],
        kept: KeptResults | None,
    ) -> Ahead:
        """Who computes blocks on the other cores. Of a site that was read before little is new."""

        def is_kept(block: Block) -> bool:
            return kept is not None and kept.has(kept.key(block, self.needed(block)))

        def site() -> bytes:
            return pack((self.root, self.content, self.settings.own_units, self.cars, self.parts))

        cold = Cold(blocks=blocks, order=order, needs=needs, results=self.results, is_kept=is_kept, site=site)
        return Ahead(cold, self.cores - 1 if self.earlier is None else 0)

    def _keep_loop(self, loop: Sequence[tuple[str, str]], blocks: Mapping[tuple[str, str], Block]) -> None:
        """The blocks of a loop, none of which can be computed."""
        words = _in_a_circle([f"{page}#{block}" for page, block in loop])
        for index, name in enumerate(loop):
            before, after = blocks[name], blocks[loop[(index + 1) % len(loop)]]
            fault = BLOCK_LOOP.at(
                before.position,
                found=words,
                expected="blocks without a loop",
                second=after.position,
                second_label=f"{after.id} is here",
            )
            self._keep(
                before,
                BlockResult(
                    page=name[0],
                    id=name[1],
                    kind=before.kind,
                    title=before.title or name[1],
                    position=before.position,
                    calculator=None,
                    cases={},
                    show=(),
                    faults=(fault,),
                ),
            )

    def _take_key(self, name: tuple[str, str], kept: KeptResults | None) -> None:
        """Know a result that was taken over by the key that it had."""
        if kept is not None and self.earlier is not None and name in self.earlier.keys:
            self.keys[name] = self.earlier.keys[name]
            kept.take_over(name, self.keys[name])

    def _kept_or_computed(self, block: Block, kept: KeptResults | None, ahead: Ahead) -> BlockResult:
        """The result of a block from disk, or computed and put there."""
        if kept is None:
            return self._computed_block(block, ahead)
        name = (block.page, block.id)
        key = kept.key(block, self.needed(block))
        found = kept.get(key, block)
        if found is None:
            result = self._computed_block(block, ahead)
            kept.put(key, result, self.digests_of(block))
        else:
            result, files = found
            self.data_used.update({file: kept.digest(file) for file in files})
            if files:
                self.data_names[name] = files
        if known := kept.known(name):
            self.keys[name] = known
        return result

    def _computed_block(self, block: Block, ahead: Ahead) -> BlockResult:
        """The result of a block, computed here or ahead."""
        found = ahead.result(block)
        if found is None:
            return self.evaluated(block)
        result, digests = found
        self.data_used.update(digests)
        if digests:
            self.data_names[block.page, block.id] = set(digests)
        return result

    def digests_of(self, block: Block) -> dict[str, str]:
        """The data files that a block has read, with their digests."""
        names = self.data_names.get((block.page, block.id), set())
        return {file: self.data_used[file] for file in sorted(names)}

    def _named(self, result: BlockResult) -> BlockResult:
        """A result as it is shown. What doubts of a decision are called rests on all blocks before it."""
        return self.owners.named(result) if result.kind == DECISION else result

    def _taken_over(self, block: Block, taken: set[tuple[str, str]]) -> BlockResult | None:
        """The earlier result of a block, where the block, its car and its data are the same to the letter
        and the place, and all that it takes values from has been taken over too. Faults are found anew."""
        earlier = self.earlier
        name = (block.page, block.id)
        before = earlier.results.get(name) if earlier is not None else None
        if earlier is None or before is None or before.faults:
            return None
        if not all(other in taken or self._is_same_part(other[1]) for other in self.needed(block)):
            return None
        page = earlier.pages[block.page]
        same = page is self.pages[block.page] or block in page.blocks
        if not same or self.cars.get(block.car) is not earlier.cars.get(block.car):
            return None
        names = earlier.data_names.get(name, set())
        for data in names:
            try:
                if digest_of(data_path(self.content, data)) != earlier.data_used.get(data):
                    return None
            except (Refused, OSError):
                return None
        if names:
            self.data_used.update({data: earlier.data_used[data] for data in names})
            self.data_names[name] = names
        return before

    def _is_same_part(self, name: str) -> bool:
        """Whether a name is that of a part whose file says what it said in the earlier book."""
        part = self.parts.get(name.removeprefix(PARTS)) if name.startswith(PARTS) else None
        return part is not None and self.earlier is not None and self.earlier.parts.get(part.id) is part

    def _keep(self, block: Block, result: BlockResult) -> None:
        self.results[block.page, block.id] = result
        self.owners.add(result)
        self.by_place[block.position] = result

    def needed(self, block: Block) -> list[tuple[str, str]]:
        """(page, id) of the blocks that a block takes values from."""
        found = []
        for text, _ in references(block):
            try:
                address = read_address(text)
            except Refused:
                continue  # reported when the value is read
            found.append((address.page or block.page, address.block))
        return [*found, *((block.page, PARTS + name.text.strip()) for name in parts_named(block))]

    def evaluated(self, block: Block) -> BlockResult:
        """A block computed, from the results that the book has."""
        car: CarSheet | None = None
        faults: list[Diagnostic] = []
        if block.car:
            car = self.cars.get(block.car)
            faults += self._unknown_car(block, car)
            if faults:
                car = None

        def resolve(text: str, position: Position, case: str) -> Value:
            return self.resolved(block, text, position, case)

        def data(name: str, form: Table, mapped: Mapping[str, Heading] = NO_HEADINGS) -> DataTable:
            table = self.data_files.table(name, form, mapped)
            self.data_used[name] = table.digest
            self.data_names.setdefault((block.page, block.id), set()).add(name)
            return table

        def logs(written: YamlScalar, rules: LogRules, typed: bool) -> LogRead:
            return read_typed(written, rules, typed) if typed else self._log(block, written, rules)

        block, unknown = self.filled(block)
        faults += unknown
        evaluation = Evaluation(block, car, resolve, data, logs)
        evaluation.faults.extend(faults)
        result = evaluation.run()
        if faults:  # what the block leaves out would have come from the car, or a part
            left = tuple(fault for fault in result.faults if fault.code != MISSING_INPUT)
            result = replace(result, faults=left)
        return result

    def filled(self, block: Block) -> tuple[Block, list[Diagnostic]]:
        """A block with what the parts that it names say for it, and the findings on names of none."""
        car = self.cars.get(block.car)
        return with_parts(block, self.parts, car.at(block.car_state) if car else None)

    def resolved(self, block: Block, text: str, position: Position, case: str) -> Value:
        """The value that an address in a block stands for. `case` is the one that is meant of several where
        it names none, or "". Raises `Refused`."""
        address = read_address(text)
        other = self.result(address.page or block.page, address.block)
        if case and other is not None:
            address = in_case(other, address, case)
        return self.target(block.page, address).number

    def _log(self, block: Block, written: YamlScalar, rules: LogRules) -> LogRead:
        """The log of a file, read once for all that read it alike."""
        name = written.text
        try:
            digest = self.data_files.digest(name)
        except OSError:
            return read_log(self.content, written, rules, self.shown)  # which says why it cannot be read
        self.data_used[name] = digest
        self.data_names.setdefault((block.page, block.id), set()).add(name)
        key = (name, digest, *rules.key)
        here = (*key, written.position)
        if key not in self.logs_read and here not in self.logs_refused:
            read = read_log(self.content, written, rules, self.shown)
            if read.findings:  # some have their places in this block
                self.logs_refused[here] = read
            else:
                self.logs_read[key] = read
        return self.logs_read[key] if key in self.logs_read else self.logs_refused[here]

    def _unknown_car(self, block: Block, car: CarSheet | None) -> list[Diagnostic]:
        """That a block's car has no sheet, or its sheet no such state."""
        if car is None:
            return [
                UNKNOWN_CAR.at(
                    block.place("car"),
                    found=f"“{shorten(block.car)}”",
                    expected=self._cars_that_there_are(),
                    help=did_you_mean(block.car, self.cars),
                    length=len(block.car),
                )
            ]
        wanted = [(node.text.strip(), node.position) for node in block.case_states.values()]
        places: list[tuple[str | int | None, Position]] = [
            (block.car_state, block.place("car" if isinstance(block.car_state, int) else "state")),
            *wanted,
        ]
        return [
            _unknown_state(block.car, car, state, place)
            for state, place in places
            if car.number(state) is None
        ]

    def _cars_that_there_are(self) -> str:
        if self.cars:
            return "one of " + ", ".join(sorted(self.cars))
        return f"a sheet in {self.shown(self.content / CARS)}"

    def tried(self, page: str, block: str, changes: Mapping[str, str]) -> BlockResult:
        """A block with some inputs set to other values in every case, computed; nothing is kept or written.
        What is wrong with a value is placed at “--set”."""
        return self._named(self.evaluated(self._changed(page, block, changes)))

    def _changed(self, page: str, block: str, changes: Mapping[str, str]) -> Block:
        """A block with some inputs set to other values in every case."""
        written = next(candidate for candidate in self.pages[page].blocks if candidate.id == block)
        given = {}
        for name, text in changes.items():
            node, faults = read_yaml(text, whole_file(f"--set {name}"))
            if faults or node is None:
                node = YamlScalar(Position(f"--set {name}"), text)
            given[name] = (YamlScalar(Position(f"--set {name}"), name), node)
        return replace(
            written,
            inputs={**written.inputs, **given},
            cases={case: {**inputs, **given} for case, inputs in written.cases.items()},
        )

    def _at(self, target: Target, at: str) -> Target:
        """A value at a row of its block's sweep, computed with its uncertainty as that of a case is."""
        block = target.block
        name = swept_input(target, at)
        place = (block.page, block.id, at)
        if place not in self.swept:
            changed = self._changed(block.page, block.id, {name: at})
            self.swept[place] = self._named(self.evaluated(replace(changed, sweep=None)))
        value = None
        if not self.swept[place].faults:
            value = self.swept[place].value(target.case, target.output, target.key)
        if not isinstance(value, Value):
            raise unknown(f"“@{at}”, where the calculation refuses", "a row with a value", "", ())
        return replace(target, value=value, at=at)

    # --- looking things up --------------------------------------------------------------

    def result(self, page: str, block: str) -> BlockResult | None:
        if block.startswith(CARS):
            return self._sheet(block.removeprefix(CARS))
        if block.startswith(PARTS):
            return self.part_result(block.removeprefix(PARTS))
        return self.results.get((page, block))

    def part_result(self, name: str) -> BlockResult | None:
        """A part's values as a block; made when it is first asked for."""
        if name not in self.part_results and name in self.parts:
            self.part_results[name] = part_result(self.parts[name], self.parts_page)
        return self.part_results.get(name)

    def _sheet(self, name: str) -> BlockResult | None:
        """A car's sheet as a block with a case for each state; made when it is first asked for."""
        if name not in self.sheets and name in self.cars:
            self.sheets[name] = sheet_result(
                self.cars[name],
                lambda file, form, mapped=NO_HEADINGS: self.data_files.table(file, form, mapped),
            )
        return self.sheets.get(name)

    def target(self, page: str, address: Address) -> Target:
        """What a ``calc:`` address on a page means. Raises `Refused` with what is near."""
        block = self._computed(page, address)
        if block.kind == SHEET:
            address = with_state(address, self.cars[block.id.removeprefix(CARS)])
        target = within(block, address)
        return self._at(target, address.at) if address.at else target

    def other(self, page: str, target: Target, versus: str) -> Target:
        """What a value of a page is compared with: another case, or what `versus` is the address of.

        Where that names no quantity, it is the value's own. Raises `Refused`.
        """
        block = target.block
        other: Target | None
        if versus in block.cases:
            other = same_quantity(target, block, versus)
        else:
            address = read_other(versus)
            if address is None and (page, versus) not in self.results:
                cases = ", ".join(filter(None, map(called, block.cases))) or "it has none"
                hint = did_you_mean(versus, block.cases)
                raise no_change(versus, f"another case of the block: {cases}", hint)
            address = address or Address(scheme="calc", text=versus, page=None, block=versus)
            other = self._elsewhere(page, target, address)
        if target.at and (other.output, other.key) == (target.output, target.key):
            other = self._at(other, target.at)
        if other.name == target.name:
            raise no_change(versus, "a value other than the figure's own")
        return other

    def _elsewhere(self, page: str, target: Target, address: Address) -> Target:
        """A value of another block, or of a case of it."""
        block = self._computed(page, address)
        if not address.rest:
            return same_quantity(target, block, target.case)
        if len(address.rest) == 1 and address.rest[0] in block.cases:
            return same_quantity(target, block, address.rest[0])
        return within(block, address)

    def _computed(self, page: str, address: Address) -> BlockResult:
        """The block that an address names, computed. Raises `Refused` where there is none."""
        if address.block.startswith(CARS):
            name = address.block.removeprefix(CARS)
            sheet = self._sheet(name)
            if sheet is None:
                raise unknown(f"the car “{name}”", self._cars_that_there_are(), name, self.cars)
            return sheet
        if address.block.startswith(PARTS):
            name = address.block.removeprefix(PARTS)
            part = self.part_result(name)
            if part is None:
                there = "one of " + ", ".join(self.parts) if self.parts else f"a file {PARTS}{name}.yml"
                raise unknown(f"the part “{name}”", there, name, self.parts)
            return part
        where = address.page or page
        if where not in self.pages:
            raise unknown(f"the page “{where}”", "a page under the content folder", where, self.pages)
        block = self.results.get((where, address.block))
        if block is None:
            raise self._no_block(where, address.block)
        if block.faults or not block.cases:
            raise Refused(
                "address",
                f"“{address.text}”",
                "a block without faults",
                help="mend the block first",
                code=RESTS_ON_FAULT,
            )
        return block

    def _no_block(self, where: str, block: str) -> Refused:
        """That a page has no block of this name, and what was perhaps meant."""
        here = [candidate.id for candidate in self.pages[where].blocks if candidate.id]
        elsewhere = sorted(f"{key}#{name}" for key, name in self.results if name == block)
        nameless = next((candidate for candidate in self.pages[where].blocks if not candidate.id), None)
        hint = did_you_mean(block, here)
        if elsewhere:
            hint = f"it is on another page: calc:{elsewhere[0]}"
        elif not hint and nameless is not None:
            hint = f"a block whose id cannot be read stands at {nameless.position}: mend that first"
        expected = f"a block of {where}, which has none by name"
        if here:
            expected = f"a block of {where}: {', '.join(here)}"
        return Refused("address", f"the block “{block}”", expected, help=hint, code=UNKNOWN_ADDRESS)


_MOST_OF_A_CIRCLE = 12


def _in_a_circle(names: list[str]) -> str:
    """Names that lead to each other. Of many, all are told of all: the first and the last of them will do."""
    shown = names
    if len(names) > _MOST_OF_A_CIRCLE:
        more = len(names) - _MOST_OF_A_CIRCLE
        shown = [*names[: _MOST_OF_A_CIRCLE - 1], f"{more} more", names[-1]]
    return " → ".join([*shown, names[0]])


def _unknown_state(name: str, car: CarSheet, state: str | int | None, place: Position) -> Diagnostic:
    named = [known for known in car.states if known]
    shown = f"{name}@{state}" if isinstance(state, int) else str(state)
    expected = f"a state that {car.path} names"
    if named:
        expected = "one of " + ", ".join(named)
    return UNKNOWN_CAR.at(
        place,
        found=f"“{shorten(shown)}”",
        expected=expected,
        help=did_you_mean(shown, named),
        length=len(shown),
    )


def _unknown_inputs(sheet: CarSheet) -> list[Diagnostic]:
    """Values of a sheet that no calculator takes."""
    known = {
        declared.name for kind in catalogue.kind_names() for declared in catalogue.load_kind(kind).inputs
    }
    return [
        UNKNOWN_CAR_INPUT.at(
            key.position,
            found=f"“{shorten(name)}”",
            expected="an input of some kind",
            help=did_you_mean(name, known) or cut_key(state, name),
            length=len(name),
        )
        for state in (sheet.inputs, *(change.inputs for change in sheet.changes))
        for name, (key, _) in state.items()
        if name not in known
    ]


def _is_same_site(earlier: Book, book: Book) -> bool:
    """Whether what an earlier book has read means the same now."""
    before, now = earlier.settings, book.settings
    return (earlier.root, before.content, before.own_units) == (book.root, now.content, now.own_units)
