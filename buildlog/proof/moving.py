"""Front matter of ours moved from the top, where it stood before, to under our key.

Whole lines move, in their order: a key with its value and with the comments right above it. All else stays
byte for byte. Where the moved text would not be read the same, nothing is moved and the reason is said.
"""

from __future__ import annotations

from collections import Counter

from buildlog.diagnostics import Refused
from buildlog.reading.front_matter_keys import KEY
from buildlog.reading.howto import FRONT_MATTER_MOVED
from buildlog.reading.nodes import (
    YAML_REFUSED,
    YamlList,
    YamlMapping,
    YamlNode,
    YamlScalar,
    read_yaml,
    whole_file,
)
from buildlog.reading.whole_page import Page, read_front_matter, read_page

_INDENT = "  "
# A page with one of these is a post of a blog, which reads the day of its posts at the top.
_OF_BLOGS = frozenset(("authors", "categories", "draft", "links", "pin", "readtime", "slug"))


def moved_text(page: Page) -> str:
    """The page's text with the keys in `page.howto.moved` under our own. Raises `Refused` where the author
    has to do it."""
    front = page.scanned.front_matter
    root, _ = read_front_matter(page.scanned)
    assert front is not None
    assert isinstance(root, YamlMapping)
    _, faults = read_yaml(front.text, whole_file(page.path))
    if any(fault.code == YAML_REFUSED for fault in faults):
        raise _refusal("it has anchors, aliases or tags")
    if any(key.position.column != 1 for key, _ in root.entries):
        raise _refusal("it is not written as a key on each line")
    moved = {key.text for key in page.howto.moved}
    kept = _kept_at_the_top(root)
    text = _with_lines_moved(page, root, moved, kept)
    after = read_page(page.key, page.path, text)
    if not _reads_alike(page, after, root, moved - kept):
        raise _refusal("moved, it would be read otherwise")
    return text


def _refusal(why: str) -> Refused:
    return Refused("", why, f"keys at the left edge, to be indented below “{KEY}:”", help="move it by hand")


def _kept_at_the_top(root: YamlMapping) -> set[str]:
    """Keys of ours that another program reads as well, and that stay where they are besides."""
    return {"date"} if any(key.text in _OF_BLOGS for key, _ in root.entries) else set()


def _with_lines_moved(page: Page, root: YamlMapping, moved: set[str], kept: set[str]) -> str:
    lines = page.scanned.lines
    front = page.scanned.front_matter
    assert front is not None
    starts = _starts(page, root)
    ends = [*starts[1:], front.end_line]
    others: list[str] = []
    ours: list[str] = []
    for (key, _), start, end in zip(root.entries, starts, ends, strict=True):
        part = [page.text[lines.starts[at - 1] : lines.starts[at]] for at in range(start, end)]
        if key.text in moved:
            if not ours:
                others.append("")  # here our key will stand
                at = len(others) - 1
            ours += [_INDENT + line if line.strip("\r\n") else line for line in part]
        if key.text not in moved or key.text in kept:
            others += part
    line_end = page.text[len(lines.raw[0]) : lines.starts[1]]
    others[at] = "".join([KEY, ":", line_end, *ours])
    first, last = lines.starts[starts[0] - 1], lines.starts[front.end_line - 1]
    return page.text[:first] + "".join(others) + page.text[last:]


def _starts(page: Page, root: YamlMapping) -> list[int]:
    """The line that each key begins at, comments right above it among them."""
    raw = page.scanned.lines.raw
    starts = []
    before = 1
    for key, _ in root.entries:
        start = key.position.line
        while start - 1 > before and raw[start - 2].startswith("#"):
            start -= 1
        starts.append(start)
        before = key.position.line
    return starts


def _reads_alike(page: Page, after: Page, root: YamlMapping, moved: set[str]) -> bool:
    """Whether a moved page has the same values, links and findings, but for the one that asked for it."""
    new_root, _ = read_front_matter(after.scanned)
    if not isinstance(new_root, YamlMapping) or page.howto.own is None or after.howto.own is None:
        return False
    others = [(key.text, _plain(value)) for key, value in root.entries if key.text not in moved]
    new_others = [(key.text, _plain(value)) for key, value in new_root.entries if key.text != KEY]
    links = [[(link.label, link.address, link.title) for link in one.scanned.links] for one in (page, after)]
    codes = Counter(fault.code.name for fault in page.faults)
    codes[FRONT_MATTER_MOVED.name] -= 1
    return (
        others == new_others
        and _plain(page.howto.own) == _plain(after.howto.own)
        and links[0] == links[1]
        and +codes == Counter(fault.code.name for fault in after.faults)
    )


def _plain(node: YamlNode) -> object:
    """What a node holds, without its places."""
    if isinstance(node, YamlMapping):
        return [(key.text, _plain(value)) for key, value in node.entries]
    if isinstance(node, YamlList):
        return [_plain(item) for item in node.items]
    return (node.text, node.quoted) if isinstance(node, YamlScalar) else None
