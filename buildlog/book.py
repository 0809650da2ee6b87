"""All pages of a site: their blocks as a graph over pages, the cars, the sources, and every result."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from buildlog import catalogue
from buildlog.calculator import Table
from buildlog.diagnostics import Diagnostic, Position, Refused, declare, did_you_mean
from buildlog.evaluation import Evaluation, references
from buildlog.hazards import HAZARDS
from buildlog.order import in_order
from buildlog.reading.addresses import Address, read_address
from buildlog.reading.blocks import (
    DUPLICATE_BLOCK,
    Block,
    CarSheet,
    SourceEntry,
    read_block,
    read_car,
    read_sources,
)
from buildlog.reading.data import read_data
from buildlog.reading.front_matter import unknown_caution
from buildlog.reading.howto import HowTo, read_howto, series_faults
from buildlog.reading.markers import marker_faults
from buildlog.reading.nodes import Mapping as MappingNode
from buildlog.reading.nodes import Node, Scalar, read_yaml, shorten, whole_file
from buildlog.reading.page import Fence, FrontMatter, ScannedPage
from buildlog.reading.scanner import scan
from buildlog.reading.settings import LEVELS, SETTING, Settings, read_settings
from buildlog.reading.text import read_text
from buildlog.results import BlockResult, Value
from buildlog.targets import RESTS_ON_FAULT, Target, unknown, within

BLOCK_LOOP = declare(
    "block-loop",
    "blocks that take their inputs from each other in a loop",
    why="None of them can be computed first.",
    mend="Give one of them a value of its own.",
    example="a takes a value of b, and b one of a",
)
OUTSIDE = declare(
    "outside-content",
    "a page that lies outside the content folder",
    why="A link could publish any file of the machine that builds the site.",
    mend="Put the page itself into the content folder.",
    example="content/notes.md is a link to ../private/notes.md",
)
UNKNOWN_CAR = declare(
    "unknown-car",
    "no such car, or no such state of it",
    why="The inputs that the block leaves out come from the car's sheet.",
    mend="Name a sheet of content/cars, and a state that it has.",
    example="car: brindel",
)
UNKNOWN_CAR_INPUT = declare(
    "unknown-car-input",
    "a value in a car's sheet that no calculator takes",
    why="A mistyped name would never reach a block.",
    mend="Correct the spelling, or take the value out.",
    example="final_drvie: 4.10        # in content/cars/brindle.yml",
)


@dataclass(frozen=True)
class Page:
    """One Markdown file: `key` is its path under content without ``.md``, `path` as shown to people.

    `loose` is the page's own level for loose figures (front matter ``loose:``), "" where it has none.
    Figures and prose of the front matter are among those of `scanned`.
    """

    key: str
    path: str
    text: str
    scanned: ScannedPage
    blocks: tuple[Block, ...] = ()
    faults: tuple[Diagnostic, ...] = ()
    loose: str = ""
    howto: HowTo = field(default_factory=HowTo)


def read_page(key: str, path: str, text: str, faults: Iterable[Diagnostic] = ()) -> Page:
    """Scan one page's text and read its blocks."""
    scanned = scan(text, path)
    blocks = []
    found = [*faults, *scanned.diagnostics]
    seen: dict[str, Block] = {}
    for fence in scanned.fences:
        if not (fence.is_calc and fence.closed):
            continue

        def place(line: int, column: int, fence: Fence = fence) -> Position:
            return fence.position(path, line, column)

        block = read_block(fence.body, place, key, Position(path, fence.line, fence.column))
        if block.id in seen:
            found.append(
                DUPLICATE_BLOCK.at(
                    block.place("id"),
                    found=f"the id “{block.id}” again",
                    expected="an id of its own",
                    second=seen[block.id].place("id"),
                    second_label="first used here",
                    length=len(block.id),
                )
            )
        elif block.id:
            seen[block.id] = block
        blocks.append(block)
    root, duplicates = _front_matter(scanned.front_matter, path)
    loose = _loose(root, found)
    howto = read_howto(root, duplicates, scanned, blocks)
    for link in scanned.cautions:
        name = link.address.partition(":")[2]
        if name not in HAZARDS:
            found.append(unknown_caution(name, link.address_position, len(link.address)))
    found += [*howto.faults, *marker_faults(scanned)]
    scanned = replace(scanned, links=(*howto.links, *scanned.links), prose=(*howto.prose, *scanned.prose))
    return Page(key, path, text, scanned, tuple(blocks), tuple(found), loose, howto)


def _front_matter(front: FrontMatter | None, path: str) -> tuple[Node | None, list[Diagnostic]]:
    """The front matter as YAML. Only some of its keys are ours; the rest belongs to the generator."""
    if front is None:
        return None, []
    return read_yaml(
        front.text, lambda line, column: Position(path, front.line + line, column + 1), lenient=True
    )


def _loose(root: Node | None, found: list[Diagnostic]) -> str:
    """The page's own level for loose figures."""
    node = root.get("loose") if isinstance(root, MappingNode) else None
    if node is None:
        return ""
    if isinstance(node, Scalar) and node.text in LEVELS:
        return node.text
    found.append(SETTING.at(node.position, found="loose: of another kind", expected=", ".join(LEVELS)))
    return ""


@dataclass
class Book:
    """Everything under the content folder, computed. Make one with `Book.open`."""

    settings: Settings
    root: Path
    pages: dict[str, Page] = field(default_factory=dict)
    cars: dict[str, CarSheet] = field(default_factory=dict)
    sources: dict[str, SourceEntry] = field(default_factory=dict)
    results: dict[tuple[str, str], BlockResult] = field(default_factory=dict)
    by_place: dict[Position, BlockResult] = field(default_factory=dict)
    faults: list[Diagnostic] = field(default_factory=list)
    data_used: dict[str, bytes] = field(default_factory=dict)

    @property
    def content(self) -> Path:
        return self.settings.content

    @classmethod
    def open(
        cls, content: Path | None = None, *, root: Path | None = None, settings: Settings | None = None
    ) -> Book:
        """Read and compute a site. `root` is the folder that shown paths start from (the site's own)."""
        base = (root or (content.parent if content else Path.cwd())).resolve()
        if settings is None:
            settings = Settings(content.resolve()) if content else read_settings(base)
        book = cls(settings, base, faults=list(settings.faults))
        for path in sorted(settings.content.rglob("*.md")):
            if not any(part.startswith(".") for part in path.relative_to(settings.content).parts):
                book._read_file(path)
        book.faults += series_faults({key: page.howto for key, page in book.pages.items()})
        book._read_cars()
        book._read_sources()
        book._compute(book.pages)
        return book

    def with_page(self, key: str, text: str) -> Book:
        """The same book with one page's text in place of what the file holds (or a page more)."""
        path = self.pages[key].path if key in self.pages else f"{key}.md"
        other = Book(
            self.settings, self.root, dict(self.pages), self.cars, self.sources, faults=list(self.faults)
        )
        page = read_page(key, path, text)
        if key in self.pages and page.scanned.front_matter is None:  # a generator has taken it off
            page = replace(page, howto=self.pages[key].howto)
        other.pages[key] = page
        if key in self.pages and other.pages[key].blocks == self.pages[key].blocks:
            other.results, other.by_place, other.data_used = self.results, self.by_place, self.data_used
        else:
            other._compute(other.pages)
        return other

    def shown(self, path: Path) -> str:
        """A path as people see it: from the site's root where it lies inside."""
        try:
            return path.resolve().relative_to(self.root).as_posix()
        except ValueError:
            return path.as_posix()

    def _read_file(self, path: Path) -> None:
        key = path.relative_to(self.content).with_suffix("").as_posix()
        if not path.resolve().is_relative_to(self.content.resolve()):
            place = Position(f"{self.shown(self.content)}/{key}.md")
            self.faults.append(
                OUTSIDE.at(place, found="a link that leads out", expected="a file in the folder")
            )
            return
        shown = self.shown(path)
        text, faults = read_text(path, shown)
        self.pages[key] = read_page(key, shown, text, faults)

    def _read_cars(self) -> None:
        for path in sorted((self.content / "cars").glob("*.yml")):
            text, faults = read_text(path, self.shown(path))
            self.faults.extend(faults)
            if not faults:
                sheet = read_car(text, self.shown(path), path.stem)
                self.faults.extend([*sheet.faults, *_unknown_inputs(sheet)])
                self.cars[path.stem] = sheet

    def _read_sources(self) -> None:
        path = self.content / "sources.yml"
        if path.is_file():
            text, faults = read_text(path, self.shown(path))
            if not faults:
                self.sources, faults = read_sources(text, self.shown(path))
            self.faults.extend(faults)

    # --- the graph of blocks -----------------------------------------------------------

    def _compute(self, pages: Mapping[str, Page]) -> None:
        blocks: dict[tuple[str, str], Block] = {}
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
            words = " → ".join(f"{page}#{block}" for page, block in [*loop, loop[0]])
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
                        name[0],
                        name[1],
                        before.kind,
                        before.title or name[1],
                        before.position,
                        None,
                        {},
                        (),
                        faults=(fault,),
                    ),
                )
        for name in order:
            if name not in self.results:
                self._keep(blocks[name], self._evaluate(blocks[name]))
        for block in nameless:
            self.by_place[block.position] = self._evaluate(block)

    def _keep(self, block: Block, result: BlockResult) -> None:
        self.results[block.page, block.id] = result
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
        return found

    def _evaluate(self, block: Block) -> BlockResult:
        car: CarSheet | None = None
        faults: list[Diagnostic] = []
        if block.car:
            car = self.cars.get(block.car)
            wrong = car is None or (block.car_state is not None and not 1 <= block.car_state <= car.states)
            if wrong:
                expected = (
                    "one of " + ", ".join(sorted(self.cars))
                    if car is None and self.cars
                    else "a sheet in content/cars"
                    if car is None
                    else f"a state from 1 to {car.states}"
                )
                shown = block.car + (f"@{block.car_state}" if block.car_state is not None else "")
                faults.append(
                    UNKNOWN_CAR.at(
                        block.place("car"),
                        found=f"“{shown}”",
                        expected=expected,
                        help=did_you_mean(block.car, self.cars) if car is None else "",
                        length=len(shown),
                    )
                )
                car = None

        def resolve(text: str, position: Position) -> Value:
            return self.target(block.page, read_address(text)).value

        def data(name: str, form: Table, position: Position) -> list[dict[str, Any]]:
            rows, raw = read_data(self.content, name, form)
            self.data_used[name] = raw
            return rows

        evaluation = Evaluation(block, car, resolve, data)
        evaluation.faults.extend(faults)
        return evaluation.run()

    def tried(self, page: str, block: str, changes: Mapping[str, str]) -> BlockResult:
        """A block with some inputs set to other values in every case, computed; nothing is kept or written.
        What is wrong with a value is placed at “--set”."""
        written = next(one for one in self.pages[page].blocks if one.id == block)
        given = {}
        for name, text in changes.items():
            node, faults = read_yaml(text, whole_file(f"--set {name}"))
            if faults or node is None:
                node = Scalar(Position(f"--set {name}"), text)
            given[name] = (Scalar(Position(f"--set {name}"), name), node)
        changed = replace(
            written,
            inputs={**written.inputs, **given},
            cases={case: {**inputs, **given} for case, inputs in written.cases.items()},
        )
        return self._evaluate(changed)

    # --- looking things up --------------------------------------------------------------

    def result(self, page: str, block: str) -> BlockResult | None:
        return self.results.get((page, block))

    def block_at(self, page: str, line: int) -> BlockResult | None:
        """The result of the block whose fence opens on a line of a page."""
        path = self.pages[page].path if page in self.pages else ""
        return next(
            (one for place, one in self.by_place.items() if place.path == path and place.line == line), None
        )

    def target(self, page: str, address: Address) -> Target:
        """What a ``calc:`` address on a page means. Raises `Refused` with what is near."""
        where = address.page or page
        if where not in self.pages:
            raise unknown(f"the page “{where}”", "a page under the content folder", where, self.pages)
        here = {name: result for (key, name), result in self.results.items() if key == where}
        block = here.get(address.block)
        if block is None:
            elsewhere = sorted(f"{key}#{name}" for key, name in self.results if name == address.block)
            hint = (
                f"it is on another page: calc:{elsewhere[0]}"
                if elsewhere
                else did_you_mean(address.block, here)
            )
            raise Refused(
                "address",
                f"the block “{address.block}”",
                f"a block of {where}" + (": " + ", ".join(here) if here else ", which has none"),
                hint,
                "unknown-address",
            )
        if block.faults or not block.cases:
            raise Refused(
                "address",
                f"“{address.text}”",
                "a block without faults",
                "mend the block first",
                RESTS_ON_FAULT.name,
            )
        return within(block, address)


def _unknown_inputs(sheet: CarSheet) -> list[Diagnostic]:
    """Values of a sheet that no calculator takes."""
    known = {one.name for kind in catalogue.kinds() for one in catalogue.calculator(kind).INPUTS}
    keys = [
        key
        for state in (sheet.inputs, *(changed for _, changed in sheet.changes))
        for key, _ in state.values()
    ]
    return [
        UNKNOWN_CAR_INPUT.at(
            key.position,
            found=f"“{shorten(key.text)}”",
            expected="an input of some kind",
            help=did_you_mean(key.text, known),
            length=len(key.text),
        )
        for key in keys
        if key.text not in known
    ]
