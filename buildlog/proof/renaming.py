"""Giving a page, a block, a case or a row another name: where it is written, and every address that names it.

The new texts are worked out from the old ones and nothing is written here. A text is changed only where it
is a name of what is renamed, and whoever writes the texts first sees that the proof finds in them what it
found before, and that the name can be changed back.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from buildlog.book.book import Book, Page
from buildlog.diagnostics import Position, Refused, did_you_mean
from buildlog.files.page_names import without_ending
from buildlog.files.text import Lines, split_lines
from buildlog.kinds.keys import address_key
from buildlog.reading.blocks import Block
from buildlog.reading.markdown.page import Fence
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, read_yaml
from buildlog.reading.parts import Part
from buildlog.reading.record import BlockName, Record, ValueName

_ADDRESS = re.compile(r"(?<![\w-])calc:([^\s()<>\[\]{}\"'`;|]+)")
_VERSUS = re.compile(r"(?<![\w-])(vs\s+)(?!calc:)([^;]+?)(?=\s*(?:;|$))")
_LINK = re.compile(
    r"(?P<before>\]\(\s*<?|^ {0,3}\[[^\]\n]+\]:\s*<?|(?<=\s)(?:href|src)=[\"'])(?P<to>[^\s()<>\"'#?]+)", re.M
)
_PAGE = re.compile(r"[A-Za-z0-9_\-]+(?:[./ ]?[A-Za-z0-9_\-]+)*")
_BLOCK = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_CASE = re.compile(r"[A-Za-z0-9_\-]+")
_ROW_NAME = "name"


@dataclass(frozen=True, kw_only=True)
class Renaming:
    """What is renamed. `kind` is page, block, case or row; `old` and `new` are its name as addresses have it,
    and `words` the new name as its author writes it, in place of `old_words`."""

    kind: str
    page: str
    block: str = ""
    old: str
    new: str
    old_words: str
    words: str

    @property
    def back(self) -> Renaming:
        """The other way round, on the site that it makes."""
        page, block = self.page, self.block
        if self.kind == "page":
            page = self.new
        elif self.kind == "block":
            block = self.new
        return Renaming(
            kind=self.kind,
            page=page,
            block=block,
            old=self.new,
            new=self.old,
            old_words=self.words,
            words=self.old_words,
        )


def _plainly(kind: str, page: str, block: str, old: str, new: str) -> Renaming:
    """A renaming of what addresses call as its author does."""
    return Renaming(kind=kind, page=page, block=block, old=old, new=new, old_words=old, words=new)


@dataclass(frozen=True, kw_only=True)
class Change:
    """A file of the content folder with its text before and after, and its path there before and after."""

    path: str
    new_path: str
    before: str
    after: str


# --- what is meant ---------------------------------------------------------------------------


def read_renaming(book: Book, old: str, new: str) -> Renaming:
    """What ``PAGE``, ``PAGE#BLOCK``, ``PAGE#BLOCK.CASE`` or ``PAGE#BLOCK.ROW`` is. Raises `Refused` where it
    is nothing, or the new name is none or is taken."""
    page, mark, path = old.partition("#")
    page = without_ending(page)
    if page not in book.pages:
        raise Refused("", f"there is no page “{page}”", "a page", help=did_you_mean(page, book.pages))
    if not mark:
        return _page_renaming(book, page, without_ending(new))
    block_id, dot, name = path.partition(".")
    blocks = {block.id: block for block in book.pages[page].blocks if block.id}
    if block_id not in blocks:
        raise Refused(
            "", f"there is no block “{block_id}” on {page}", "a block", help=did_you_mean(block_id, blocks)
        )
    plain = new.removeprefix(f"{page}#").removeprefix(f"{block_id}." if dot else "")
    if not dot:
        _check_name(plain, _BLOCK, "a name of a–z, 0–9 and -", taken=blocks)
        return _plainly("block", page, block_id, block_id, plain)
    return _part_renaming(book.pages[page], blocks[block_id], name, plain)


def _page_renaming(book: Book, page: str, new: str) -> Renaming:
    _check_name(new, _PAGE, "a path under the content folder, of letters, digits, - and _", taken=book.pages)
    return _plainly("page", page, "", page, new)


def _part_renaming(page: Page, block: Block, name: str, new: str) -> Renaming:
    """The case or the row of a block that goes by a name."""
    rows = {address_key(node.text): node.text for node in _row_names(page, block)}
    key = address_key(name)
    if name in block.cases and key in rows:
        raise Refused("", f"“{name}” is a case and a row of {block.id}", "one of them")
    if name in block.cases:
        _check_name(new, _CASE, "a name of letters, digits, - and _", taken=block.cases)
        return _plainly("case", page.key, block.id, name, new)
    if key not in rows:
        known = [*block.cases, *rows]
        missing = f"{block.id} has no case and no row “{name}”"
        raise Refused("", missing, "a case or a row", help=did_you_mean(name, known))
    new_key = address_key(new)
    if not new_key or new_key in rows or "\n" in new:
        raise Refused("", f"“{new}” is no new name for a row", "a name that no row has")
    return Renaming(
        kind="row",
        page=page.key,
        block=block.id,
        old=key,
        new=new_key,
        old_words=rows[key],
        words=new,
    )


def _check_name(name: str, form: re.Pattern[str], wanted: str, *, taken: object) -> None:
    if not form.fullmatch(name):
        raise Refused("", f"“{name}” is no name", wanted)
    if name in taken:  # type: ignore[operator]
        raise Refused("", f"“{name}” is there already", "a name that is free")


# --- the texts ---------------------------------------------------------------------------------


def renamed_texts(book: Book, renaming: Renaming) -> list[Change]:
    """Every page whose text or path changes."""
    changes = []
    for page in book.pages.values():
        after = _renamed(book, page, renaming)
        new_path = page.file
        if renaming.kind == "page" and page.key == renaming.old:
            new_path = renaming.new + page.file.removeprefix(renaming.old)
        if (after, new_path) != (page.text, page.file):
            changes.append(Change(path=page.file, new_path=new_path, before=page.text, after=after))
    return changes


def _renamed(book: Book, page: Page, renaming: Renaming) -> str:
    """A page's text with the new name."""
    edits = {*_in_addresses(page, renaming), *_in_titles(page, renaming)}
    if renaming.kind == "page":
        edits |= set(_in_links(book, page, renaming))
    elif page.key == renaming.page:
        edits |= set(_where_it_is_named(page, renaming))
    return _edited(page.text, edits)


Edit = tuple[int, int, str]


def _edited(text: str, edits: Iterable[Edit]) -> str:
    for start, end, new in sorted(edits, reverse=True):
        text = text[:start] + new + text[end:]
    return text


def _in_addresses(page: Page, renaming: Renaming) -> Iterator[Edit]:
    """Wherever an address is written: in links, in definitions, in titles and in blocks."""
    for found in _ADDRESS.finditer(page.text):
        body = found[1].rstrip(",.:!?")  # of the sentence or the list around it
        new = _respelt(body, page.key, renaming)
        if new != body:
            yield found.start(1), found.start(1) + len(body), new


def _respelt(body: str, page: str, renaming: Renaming) -> str:
    """An address without its scheme, with the new name where it names what is renamed."""
    where, mark, path = body.rpartition("#")
    key = without_ending(where) if mark else page
    if renaming.kind == "page":
        return f"{renaming.new}{where[len(key) :]}#{path}" if mark and key == renaming.old else body
    if key != renaming.page:
        return body
    return where + mark + _respelt_path(path, renaming)


def _respelt_path(path: str, renaming: Renaming) -> str:
    block, dot, rest = path.partition(".")
    if block != renaming.block:
        return path
    if renaming.kind == "block":
        return renaming.new + dot + rest
    first, dot_after, last = rest.partition(".")
    if renaming.kind == "case":
        return f"{block}.{renaming.new}{dot_after}{last}" if first == renaming.old else path
    return f"{block}.{first}{dot_after}{_with_row(last, renaming)}"


def _with_row(keys: str, renaming: Renaming) -> str:
    """The parts behind a quantity, or behind a case and a quantity, with the row's new name."""
    pattern = rf"(?:(?<=\.)|^){re.escape(renaming.old)}(?=\.|$)"
    return re.sub(pattern, lambda _: renaming.new, keys)


def _in_titles(page: Page, renaming: Renaming) -> Iterator[Edit]:
    """Behind “vs” in the title of a figure: a case of the block that it rests on, or an address."""
    for link in page.scanned.links:
        start = link.title_start
        if not link.title or start is None or link.scheme != "calc":
            continue
        if page.text[start : start + len(link.title)] != link.title:
            continue
        for found in _VERSUS.finditer(link.title):
            new = _respelt_other(found[2], link.address, page.key, renaming)
            if new != found[2]:
                yield start + found.start(2), start + found.end(2), new


def _respelt_other(other: str, address: str, page: str, renaming: Renaming) -> str:
    where, mark, path = address.removeprefix("calc:").rpartition("#")
    key = without_ending(where) if mark else page
    same = key == renaming.page and path.partition(".")[0] == renaming.block
    if renaming.kind == "case" and same and other == renaming.old:
        return renaming.new
    return _respelt(other, page, renaming)


# --- links from page to page -----------------------------------------------------------------------


def _in_links(book: Book, page: Page, renaming: Renaming) -> Iterator[Edit]:
    """Relative links to the page, and, where it changes its folder, those from it."""
    moved = book.pages[renaming.old]
    new_file = renaming.new + moved.file.removeprefix(renaming.old)
    here = posixpath.dirname(page.file)
    there = posixpath.dirname(new_file) if page is moved else here
    for found in _LINK.finditer(page.text):
        to = found["to"]
        if re.match(r"[A-Za-z][\w+.\-]*:|/", to):
            continue
        target = posixpath.normpath(posixpath.join(here, to))
        if target == moved.file:
            new = posixpath.relpath(new_file, there or ".")
        elif here != there:
            new = posixpath.relpath(target, there or ".")
        else:
            continue
        if new != to:
            yield found.start("to"), found.end("to"), new


def renamed_in_settings(text: str, book: Book, renaming: Renaming) -> str:
    """The text of mkdocs.yml, whose nav names pages by their files."""
    if renaming.kind != "page":
        return text
    file = book.pages[renaming.old].file
    new = renaming.new + file.removeprefix(renaming.old)
    return re.sub(rf"(?<![\w./\-]){re.escape(file)}(?![\w./\-])", lambda _: new, text)


def renamed_in_known(text: str, book: Book, renaming: Renaming) -> str:
    """The text of the list of known findings, which names pages by their paths, and figures."""
    content = book.shown(book.content)
    lines = []
    page = ""
    for line in split_lines(text, keepends=True):
        if head := re.match(r"(\"?)(?=\S)(.+?)(\.\w+)\1:", line):
            page = head[2].removeprefix(f"{content}/")
            if renaming.kind == "page" and page == renaming.old:
                line = line.replace(f"{content}/{page}{head[3]}", f"{content}/{renaming.new}{head[3]}", 1)
        lines.append(_with_addresses(line, page, renaming))
    return "".join(lines)


def renamed_in_part(text: str, part: Part, renaming: Renaming) -> str:
    """The text of a part's file, which names pages, and blocks that draw the part."""
    named = [(part.place("page"), part.page), *((event.by_at, event.by) for event in part.history)]
    named += [(drawing.position, drawing.of) for drawing in part.drawings if drawing.block is not None]
    lines = Lines(text)
    edits = []
    for position, written in named:
        new = _respelt(written, "", renaming) if "#" in written else _respelt_page(written, renaming)
        if position is None or new == written:
            continue
        start = lines.starts[position.line - 1] + position.column - 1
        start += text[start : start + 1] in ("'", '"')
        if text.startswith(written, start):
            edits.append((start, start + len(written), new))
    return _edited(text, edits)


def _respelt_page(page: str, renaming: Renaming) -> str:
    return renaming.new if renaming.kind == "page" and page == renaming.old else page


def _with_addresses(text: str, page: str, renaming: Renaming) -> str:
    return _ADDRESS.sub(lambda found: f"calc:{_respelt(found[1], page, renaming)}", text)


def renamed_record(record: Record, renaming: Renaming) -> Record:
    """The record of computed figures by the new name."""

    def block_name(page: str, block: str) -> BlockName:
        if renaming.kind == "page":
            return renaming.new if page == renaming.old else page, block
        same = renaming.kind == "block" and (page, block) == (renaming.page, renaming.old)
        return page, renaming.new if same else block

    def value_name(name: ValueName) -> ValueName:
        page, block, case, quantity, key = name
        if (page, block) == (renaming.page, renaming.block):
            case = renaming.new if renaming.kind == "case" and case == renaming.old else case
            key = renaming.new if renaming.kind == "row" and key == renaming.old else key
        return (*block_name(page, block), case, quantity, key)

    return Record(
        blocks={block_name(*name): hashes for name, hashes in record.blocks.items()},
        values={value_name(name): value for name, value in record.values.items()},
    )


# --- where the name itself is written ----------------------------------------------------------------


def _where_it_is_named(page: Page, renaming: Renaming) -> Iterator[Edit]:
    for block in page.blocks:
        root = _root(page, block)
        if block.id == renaming.block and root is not None:
            yield from _in_block(page, root, renaming)
    if renaming.kind in ("block", "case"):
        yield from _in_front_matter(page, renaming)


def _in_block(page: Page, root: YamlMapping, renaming: Renaming) -> Iterator[Edit]:
    if renaming.kind == "block" and isinstance(node := root.get("id"), YamlScalar):
        yield from _edit(page, node, lambda text: renaming.new if text == renaming.old else text)
    if renaming.kind == "case" and isinstance(cases := root.get("cases"), YamlMapping):
        for key, _ in cases.entries:
            yield from _edit(page, key, lambda text: renaming.new if text == renaming.old else text)
    if renaming.kind == "case":
        for node in _foretold(root):
            yield from _edit(page, node, lambda text: _of_case(text, renaming))
    if renaming.kind == "row":
        for node in _names_in(root):
            if address_key(node.text) == renaming.old:
                yield from _edit(page, node, lambda _: renaming.words)
        for node in _quantities(root):
            yield from _edit(page, node, lambda text: _of_row(text, renaming))


def _of_row(text: str, renaming: Renaming) -> str:
    name, dot, keys = text.partition(".")
    return f"{name}{dot}{_with_row(keys, renaming)}"


def _of_case(text: str, renaming: Renaming) -> str:
    case, dot, rest = text.partition(".")
    return f"{renaming.new}{dot}{rest}" if case == renaming.old and rest else text


def _foretold(root: YamlMapping) -> Iterator[YamlScalar]:
    """The quantities that a block names beside what foretold them."""
    predicts = root.get("predicts")
    if isinstance(predicts, YamlMapping):
        yield from (key for key, _ in predicts.entries)


def _quantities(root: YamlMapping) -> Iterator[YamlScalar]:
    """The quantities that a block names for its own search, its own sweep and what foretold them."""
    yield from _foretold(root)
    goal, swept = root.get("so_that"), root.get("of")
    if isinstance(goal, YamlMapping):
        yield from (key for key, _ in goal.entries)
    if isinstance(swept, YamlList):
        yield from (item for item in swept.items if isinstance(item, YamlScalar))


def _in_front_matter(page: Page, renaming: Renaming) -> Iterator[Edit]:
    """The bills that the front matter says were fitted: a block, or a block and its case."""
    own = page.howto.own
    fitted = own.get("bill") if own is not None else None
    nodes = fitted.items if isinstance(fitted, YamlList) else (fitted,)
    for node in nodes:
        if isinstance(node, YamlScalar):
            yield from _edit(page, node, lambda text: _respelt_path(text, renaming))


def _edit(page: Page, node: YamlScalar, new: Callable[[str], str]) -> Iterator[Edit]:
    """The edit of a value where it is written as it is read; what is not is left, and then noticed."""
    text = node.text
    start = page.scanned.lines.starts[node.position.line - 1] + node.position.column - 1
    start += page.text[start : start + 1] in ("'", '"')
    after = new(text)
    if after != text and page.text.startswith(text, start):
        yield start, start + len(text), after


def _row_names(page: Page, block: Block) -> list[YamlScalar]:
    root = _root(page, block)
    return _names_in(root) if root is not None else []


def _names_in(root: YamlNode) -> list[YamlScalar]:
    """The names of all rows in a block: values of `name` in lists."""
    names: list[YamlScalar] = []
    waiting: list[YamlNode] = [root]
    while waiting:
        node = waiting.pop()
        if isinstance(node, YamlMapping):
            waiting += [value for _, value in node.entries]
        elif isinstance(node, YamlList):
            waiting += node.items
            rows = [item for item in node.items if isinstance(item, YamlMapping)]
            names += [name for row in rows if isinstance(name := row.get(_ROW_NAME), YamlScalar)]
    return names


def _root(page: Page, block: Block) -> YamlMapping | None:
    """A block's YAML, with the place of each value."""
    for fence in page.scanned.fences:
        if (fence.line, fence.column) == (block.position.line, block.position.column):

            def place(line: int, column: int, fence: Fence = fence) -> Position:
                return fence.position(page.path, line, column)

            root, _ = read_yaml(fence.body, place)
            return root if isinstance(root, YamlMapping) else None
    return None
