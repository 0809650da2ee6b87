"""One page as a whole: scanned, its blocks and its front matter read, and all that is wrong with these."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from buildlog.diagnostics import Diagnostic, Position
from buildlog.files.page_names import ENDINGS, ending_of
from buildlog.kinds.hazards import HAZARDS
from buildlog.reading.blocks import DUPLICATE_BLOCK, MOST_BLOCKS, TOO_MANY_BLOCKS, Block, read_block
from buildlog.reading.front_matter import unknown_caution
from buildlog.reading.howto import HowTo, read_howto, unread_front_matter
from buildlog.reading.included_files import IncludeSettings, read_included
from buildlog.reading.markdown.page import Fence, ScannedPage
from buildlog.reading.markdown.scanner import scan
from buildlog.reading.markdown.slips import slips_of
from buildlog.reading.markers import marker_faults, read_markers
from buildlog.reading.nodes import YamlMapping, YamlNode, YamlScalar, read_yaml
from buildlog.reading.pictures import picture_faults, words_of_pictures
from buildlog.reading.snippets import Snippets, SnippetSettings, WholeLines, read_snippets


@dataclass(frozen=True, kw_only=True)
class Page:
    """One Markdown file: `key` is its path under content without the ending, `path` as shown to people.

    Figures and prose of the front matter are among those of `scanned`. `snippets` are files whose text comes
    into the page when it is built; `whole` is the page with them, where they bring any, and its lines are
    `whole_lines`. `is_read_whole` is false where it includes what only a build reads. `is_draft` is what its
    front matter says; `published` is whether it is a page of the site: others may rest on one that is not,
    but it is neither judged nor listed nor linked.
    """

    key: str
    path: str
    text: str
    scanned: ScannedPage
    blocks: tuple[Block, ...] = ()
    faults: tuple[Diagnostic, ...] = ()
    howto: HowTo = field(default_factory=HowTo)
    snippets: tuple[Path, ...] = ()
    whole: ScannedPage | None = None
    whole_lines: WholeLines | None = None
    is_read_whole: bool = True
    is_draft: bool = False
    published: bool = True

    @property
    def file(self) -> str:
        """Its path under content."""
        return self.key + (ending_of(self.path) or ENDINGS[0])

    @property
    def read(self) -> ScannedPage:
        """The page as it is published, as far as files tell: with its snippets."""
        return self.whole or self.scanned

    def place(self, position: Position) -> Position:
        """Where a place of what was `read` stands in its file."""
        return self.whole_lines.place(position) if self.whole_lines is not None else position

    @property
    def is_ours(self) -> bool:
        """Whether it has something of ours: a block, a figure, a caution, a list, or our key in its front
        matter. What has nothing of ours is left as it is, by the proof and on the site."""
        return self.howto.at is not None or _has_ours(self.read)

    @property
    def title(self) -> str:
        """What links to the page say."""
        return self.howto.title or self.key


def read_page(key: str, path: str, text: str, faults: Iterable[Diagnostic] = ()) -> Page:
    """Scan one page's text and read its blocks."""
    scanned = scan(text, path)
    blocks = []
    all_faults = [*faults, *scanned.diagnostics]
    seen: dict[str, Block] = {}
    fences = [fence for fence in scanned.fences if fence.is_calc and fence.closed]
    for fence in fences[MOST_BLOCKS:][:1]:
        found, expected = f"{len(fences)} blocks", f"at most {MOST_BLOCKS}; this is the first beyond them"
        beyond = Position(path, fence.line, fence.column)
        all_faults.append(TOO_MANY_BLOCKS.at(beyond, found=found, expected=expected))
    for fence in fences[:MOST_BLOCKS]:

        def place(line: int, column: int, fence: Fence = fence) -> Position:
            return fence.position(path, line, column)

        block = read_block(fence.body, place, key, Position(path, fence.line, fence.column))
        if block.id in seen:
            all_faults.append(
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
    root, duplicates = read_front_matter(scanned)
    is_ours = _has_ours(scanned)
    howto = read_howto(root, duplicates, scanned, blocks, is_ours=is_ours)
    for link in scanned.cautions:
        name = link.address.partition(":")[2]
        if name not in HAZARDS:
            all_faults.append(unknown_caution(name, link.address_position, len(link.address)))
    all_faults += [*howto.faults, *marker_faults(scanned)]
    all_faults += [*unread_front_matter(scanned, is_ours=is_ours), *slips_of(scanned)]
    if blocks or howto.links or scanned.links:  # a page that has nothing of ours is left alone
        all_faults += picture_faults(scanned)
    prose = (*howto.prose, *scanned.prose, *words_of_pictures(scanned))
    scanned = replace(scanned, links=(*howto.links, *scanned.links), prose=prose)
    return Page(
        key=key,
        path=path,
        text=text,
        scanned=scanned,
        blocks=tuple(blocks),
        faults=tuple(all_faults),
        howto=howto,
        is_draft=_says_draft(root),
    )


def _says_draft(root: YamlNode | None) -> bool:
    """Whether a blog's post says ``draft: true``."""
    node = root.get("draft") if isinstance(root, YamlMapping) else None
    return isinstance(node, YamlScalar) and not node.quoted and node.text.lower() in ("true", "yes", "on")


def _has_ours(scanned: ScannedPage) -> bool:
    """Whether a page's text has a block, a figure, a caution or a list."""
    if scanned.links or scanned.cautions or read_markers(scanned):
        return True
    return any(fence.is_calc for fence in scanned.fences)


def with_brought(
    page: Page,
    file: Path,
    content: Path,
    shown: Callable[[Path], str] = Path.as_posix,
    *,
    includes: IncludeSettings | None,
    snippets: SnippetSettings | None,
) -> Page:
    """A page with the files that it includes and then with its snippets, in the order of a build, and the
    findings on them. It stands in `file`; paths are as they are `shown` to people."""
    before = scan(page.text, page.path)
    brought = Snippets()
    faults: list[Diagnostic] = []
    unread: tuple[Diagnostic, ...] = ()
    files: tuple[Path, ...] = ()
    lines_before = None
    if includes is not None:
        included = read_included(before, includes, file, content, shown)
        unread, files = included.unread, included.files
        faults += included.faults
        if included.whole is not None:
            lines_before, before = included.raw, included.whole
            brought = Snippets((), (), included.whole, included.lines)
    if snippets is not None:
        found = read_snippets(before, snippets, file.parent, shown, lines_before)
        faults += found.faults
        files += found.files
        brought = found if found.whole is not None else brought
    whole = brought.whole
    if whole is not None:
        prose = (*page.howto.prose, *whole.prose, *words_of_pictures(whole))
        whole = replace(whole, links=(*page.howto.links, *whole.links), prose=prose)
    page = replace(
        page,
        snippets=files,
        faults=(*page.faults, *faults),
        whole=whole,
        whole_lines=brought.lines,
        is_read_whole=not unread,
    )
    # Elsewhere it is not ours to speak of files.
    return replace(page, faults=(*page.faults, *unread)) if unread and page.is_ours else page


def read_front_matter(scanned: ScannedPage) -> tuple[YamlNode | None, list[Diagnostic]]:
    """The front matter as YAML. Only some of its keys are ours; the rest belongs to the generator."""
    front = scanned.front_matter
    if front is None:
        return None, []

    def place(line: int, column: int) -> Position:
        return Position(scanned.path, front.line + line, column + 1)

    return read_yaml(front.text, place, lenient=True)
