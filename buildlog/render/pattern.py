"""A block's patterns ready for its card, and the files to print and cut them from: SVG, DXF, and PDF on two
sizes of paper."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from hashlib import sha256
from itertools import count

from markupsafe import Markup

from buildlog.diagnostics import Refused
from buildlog.kinds.pattern import Pattern
from buildlog.kinds.results import BlockResult, card_anchor, row_anchor
from buildlog.patterns.identity import origin_of, tell_of
from buildlog.patterns.layout import WORDS, Drawing, StrokeKind, lay_out, with_bar
from buildlog.patterns.svg import as_file, in_page
from buildlog.render.bundle import FOLDER
from buildlog.render.pieces import LinkPiece, ready
from buildlog.render.words import say, say_count, say_plainly

_PAGE_WIDTH = 52
"""So many words high is a drawing wide in a page: lettering is then as large as that of a chart."""
_LONGEST_NAME = 100
_UNSAFE = re.compile(r"[^A-Za-z0-9_-]+")


@dataclass(frozen=True, kw_only=True)
class ShownPattern:
    """A pattern ready for a card, or `refusal`: why it is not drawn. `files` lead to what is printed,
    `unkept` says which limits its case does not keep to."""

    title: str
    details: tuple[str, ...]
    lines: str
    use: str
    unkept: tuple[str, ...] = ()
    svg: Markup | None = None
    files: tuple[LinkPiece, ...] = ()
    refusal: Refused | None = None


def shown_patterns(block: BlockResult, published: Collection[str]) -> list[ShownPattern]:
    """Every pattern of a block as its card shows it. `published` are the paths of files that the site has."""
    return [
        _shown(block, pattern, name, f"{card_anchor(block.id)}_pattern{number}", published)
        for number, (name, pattern) in enumerate(named_patterns(block), start=1)
    ]


def _shown(
    block: BlockResult, pattern: Pattern, name: str, anchor: str, published: Collection[str]
) -> ShownPattern:
    title = title_of(block, pattern)
    lines = say("Lines: {kinds}.", kinds="; ".join(_meanings(pattern).values()))
    shown = ShownPattern(
        title=title,
        details=(),
        lines=lines,
        use=say_plainly(pattern.use) if pattern.use else "",
        unkept=_unkept(block, pattern),
    )
    try:
        details = _details(block, pattern)
        tell = tell_of(block, pattern.case)
        at_full_size = lay_out(pattern, tell)
        words = max(WORDS, at_full_size.size[0] / _PAGE_WIDTH)
        drawing = with_bar(lay_out(_in_words(pattern), tell, words=words), say("100 mm"), words=words)
        svg = in_page(
            drawing,
            anchor=anchor,
            title=title,
            description=f"{lines} {' · '.join(details)}",
            words=words,
            href=lambda address: _row_in_page(block, address),
        )
        files = tuple(_links(block, name, at_full_size, published))
        return replace(shown, details=details, svg=ready(svg), files=files)
    except Refused as refusal:
        return replace(shown, refusal=refusal)


def _row_in_page(block: BlockResult, address: str) -> str:
    """Where a value of the drawing leads in its page: to the row of the card."""
    parts = address.partition("#")[2].split(".")
    parts = parts[2:] if any(block.cases) else parts[1:]
    return "#" + row_anchor(block.id, parts[0], ".".join(parts[1:]))


def title_of(block: BlockResult, pattern: Pattern) -> str:
    """What a pattern is called on its drawing: what it is, of which block, case and piece."""
    return ", ".join(
        dict.fromkeys(filter(None, (say(pattern.title), block.called, pattern.case, pattern.name)))
    )


def _details(block: BlockResult, pattern: Pattern) -> tuple[str, ...]:
    """What stands under the name on every drawing."""
    revision = say("revision {revision}", revision=pattern.revision) if pattern.revision else ""
    digest = say("drawing {digest}", digest=origin_of(block, pattern).digest)
    return tuple(filter(None, (say(pattern.material) if pattern.material else "", revision, digest)))


def _unkept(block: BlockResult, pattern: Pattern) -> tuple[str, ...]:
    """What a drawing says of its case's limits: whoever cuts by it may not have read the card."""
    return tuple(say("Limit: {says}", says=say_plainly(text)) for text in block.cases[pattern.case].unkept)


def _meanings(pattern: Pattern) -> dict[StrokeKind, str]:
    """What the lines of a drawing mean, by the kinds that it has."""
    kinds = {line.kind for line in pattern.lines} | ({"cut", "centre"} if pattern.holes else set())
    meanings: dict[StrokeKind, str] = {
        "cut": say("wide: cut"),
        "bend": say("dashed: bend"),
        "centre": say("dashed and dotted: centre line"),
        "mark": say("dotted: mark, do not cut"),
    }
    return {kind: text for kind, text in meanings.items() if kind in kinds}


def _in_words(pattern: Pattern) -> Pattern:
    """The pattern with its words in the language spoken now."""
    return replace(pattern, notes=tuple(replace(note, text=say(note.text)) for note in pattern.notes))


# --- files ----------------------------------------------------------------------------------


def named_patterns(block: BlockResult) -> Iterator[tuple[str, Pattern]]:
    """The patterns of a block, each with the name that its files have."""
    seen: set[str] = set()
    for pattern in block.patterns:
        safe = _safe_name(block.id, pattern.case, pattern.name)
        names = (safe if number == 1 else f"{safe}.{number}" for number in count(1))
        name = next(one for one in names if one.lower() not in seen)
        seen.add(name.lower())
        yield name, pattern


def _safe_name(*names: str) -> str:
    """A name for a file. A dot is in no block's name, so that no two blocks have the same; one
    that is too long for a file system is cut, and ends with a digest of what it was."""
    parts = (_UNSAFE.sub("-", name).strip("-") for name in dict.fromkeys(filter(None, names)))
    safe = ".".join(filter(None, parts))
    if len(safe) <= _LONGEST_NAME:
        return safe
    return f"{safe[:_LONGEST_NAME]}-{sha256(safe.encode()).hexdigest()[:8]}"


def pattern_paths(block: BlockResult) -> list[str]:
    """The paths under content of the files that a block's patterns are published as."""
    return [path for name, _ in named_patterns(block) for path, _ in _paths(block, name)]


def _paths(block: BlockResult, name: str) -> list[tuple[str, str]]:
    """The paths of a pattern's files, and what each is."""
    stem = f"{FOLDER}/{block.page}/{name}"
    return [
        (f"{stem}-A4.pdf", "A4"),
        (f"{stem}-Letter.pdf", "Letter"),
        (f"{stem}.dxf", "DXF"),
        (f"{stem}.svg", "SVG"),
    ]


def _links(
    block: BlockResult, name: str, drawing: Drawing, published: Collection[str]
) -> Iterator[LinkPiece]:
    """Links to the files of a pattern that the site has, and how much paper it takes."""
    from buildlog.patterns.paper import sheets_of  # PDF is not wanted where there is no pattern

    sheets = dict(sheets_of(drawing))
    for path, what in _paths(block, name):
        if path not in published:
            continue
        text = what
        if what in sheets:
            number = say_count(sheets[what], "{count} sheet", "{count} sheets")
            text = say("PDF on {paper}, {sheets}", paper=what, sheets=number)
        yield LinkPiece(
            page=None, anchor="", text=text, file=path, attributes={"download": path.rpartition("/")[2]}
        )


def pattern_files(block: BlockResult) -> dict[str, bytes]:
    """The files of a block's patterns by path under content; of one that cannot be drawn none."""
    made: dict[str, bytes] = {}
    for name, pattern in named_patterns(block):
        try:
            drawing = lay_out(_in_words(pattern), tell_of(block, pattern.case))
            contents = list(_contents(block, pattern, drawing))
        except Refused:
            continue
        made.update(zip((path for path, _ in _paths(block, name)), contents, strict=True))
    return made


def _contents(block: BlockResult, pattern: Pattern, drawing: Drawing) -> Iterator[bytes]:
    """The files of one drawing, as `_paths` has them."""
    from buildlog.patterns.dxf import as_dxf  # programs that are not wanted where there is no pattern
    from buildlog.patterns.paper import SIZES, Told, as_pdf

    origin, title = origin_of(block, pattern), title_of(block, pattern)
    unkept, use = _unkept(block, pattern), (say_plainly(pattern.use),) if pattern.use else ()
    measure = say("Print at 100 %: this bar is 100 mm long.")
    told = Told(
        title=title,
        details=(*_details(block, pattern), *use),
        unkept=unkept,
        measure=measure,
        join=say("Cut along the dotted line at an edge and lay it on the same line of the neighbour."),
        lines=tuple(_meanings(pattern).items()),
    )
    for size in SIZES:
        yield as_pdf(drawing, size, told, origin)
    measured = with_bar(drawing, " · ".join((title, *_details(block, pattern), measure)), *use, *unkept)
    yield as_dxf(measured, origin)
    yield as_file(measured, title=title, origin=origin).encode("utf-8", "xmlcharrefreplace")
