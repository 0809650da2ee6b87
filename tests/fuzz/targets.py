"""What is tried with any text: one function for each reader, which raises where a promise is broken.

`tests.fuzz.run` looks for such texts, guided by which lines of the code they reach; `test_corpus.py` tries
those that were found before. A target takes a text, since a file that is no UTF-8 is refused before any
reader sees it (`files/text.py`, tried in tests/attacks).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from buildlog.book.book import Book
from buildlog.diagnostics import CODES, Diagnostic, Refused
from buildlog.figures.labels import plain
from buildlog.figures.numbers import Unreadable
from buildlog.figures.stated import Stated, parse, restated
from buildlog.files.text import Lines, decode
from buildlog.kinds.declaration import Input, Number, Table
from buildlog.kinds.declaration import Text as Words
from buildlog.proof.amending import amended_text, amendments
from buildlog.proof.proof import proof_book
from buildlog.reading.data import DataCell, read_data
from buildlog.reading.inputs import FAILED, InputReader
from buildlog.reading.markdown.scanner import scan
from buildlog.reading.nodes import (
    YamlList,
    YamlMapping,
    YamlNode,
    YamlScalar,
    read_yaml,
    whole_file,
)
from tests.page.test_mutated_pages import check, site
from tests.reading.markdown.places import every_place_slices_back
from tests.samples import GEARING, open_site

PATH = "page.md"


def scanner(text: str) -> None:
    """Every part of a page has the text that stands at its place."""
    page = scan(text, PATH)
    every_place_slices_back(page)
    _are_told_well(page.diagnostics, text)


def yaml(text: str) -> None:
    """Nothing but findings, and every plain value stands where its node says, or is dressed, which is one."""
    root, findings = read_yaml(text, whole_file(PATH))
    _are_told_well(findings, text)
    raw = Lines(text).raw
    for node in _nodes(root):
        line, column = node.position.line, node.position.column
        if not isinstance(node, YamlScalar) or node.quoted or not node.text:
            assert line <= len(raw) + 1  # nothing at the end stands on the line after it
            continue
        assert column <= len(raw[line - 1])
        if "\n" not in node.text:
            first = node.text.split(" ", 1)[0]
            there = raw[line - 1][column - 1 :].translate(_AS_BLANKS)
            assert there.startswith((first, "&", "!"))


_AS_BLANKS = str.maketrans("\x85\u2028\u2029", "   ")


def labels(text: str) -> None:
    """A label is read or refused at its place; with another number in it, it states that number."""
    stated = _stated_or_refused(text)
    if isinstance(stated, Unreadable):
        assert 0 <= stated.offset <= len(text)
        assert stated.length >= 1
        return
    for start, end in (*stated.number_spans, *stated.unit_spans):
        assert 0 <= start <= end <= len(text)
    value = stated.low.value
    for other in (value, value * Fraction(11, 10), value * 5, value / 7):
        _states(stated, other)


def _stated_or_refused(label: str) -> Stated | Unreadable:
    try:
        return parse(label)
    except Unreadable as refused:
        return refused


def _states(stated: Stated, value: Fraction) -> None:
    changed = restated(stated, value)
    if changed is None or stated.form == "words":
        return
    again = parse(changed)
    assert (again.unit, again.hedge, again.form) == (stated.unit, stated.hedge, stated.form)
    if stated.low.form == "words" or stated.multiple:
        return
    wanted = value if again.signed or not again.direction_word else abs(value)
    half = max(stated.half_unit_of("length"), stated.low.half(length=True), again.low.half(length=True))
    assert abs(again.low.value - wanted) <= half * Fraction(101, 100), (stated.label, changed)


_COLUMNS = Table(
    (
        Input(name="engine_speed", form=Number(dimension="rotational speed", unit="rpm"), about=""),
        Input(name="torque", form=Number(dimension="torque", unit="N·m"), about="", required=False),
        Input(name="note", form=Words(), about="", required=False),
    ),
    1,
    10_000,
)


def data(text: str) -> None:
    """A table is read or told of at its place, and a cell without quotes stands where it is said to."""
    with TemporaryDirectory() as folder:
        content = text.encode("utf-8", "surrogateescape")
        (Path(folder) / "run.csv").write_bytes(content)
        table = read_data(Path(folder), "run.csv", _COLUMNS, lambda path: path.name)
    _are_told_well(table.findings, text)
    if table.rows is None:
        assert table.findings
        return
    raw = Lines(decode(content, "run.csv")[0]).raw
    for node in _nodes(table.rows):
        if isinstance(node, DataCell) and not node.quoted:
            line, column = node.position.line, node.position.column
            assert raw[line - 1][column - 1 :].startswith(node.text)
    reader = InputReader(
        resolve=lambda words, position: (_ for _ in ()).throw(Refused("", words, "a number")),
        data=lambda *_: table,
    )
    values = reader.read(table.rows, _COLUMNS, ("table",))
    assert (values is FAILED) == bool(reader.faults)
    _are_told_well(reader.faults, text)


@cache
def _gearbox() -> Book:
    with TemporaryDirectory() as folder:
        return open_site(Path(folder), {"a.md": GEARING, "b.md": ""})


def amend(text: str) -> None:
    """What is amended agrees, nothing else changes, and nothing is amended twice."""
    book = _gearbox().with_page("b", text)
    changes, left = amendments(book, ["b"])
    changed = amended_text(text, changes)
    if not changes:
        assert changed == text
        return
    after = _gearbox().with_page("b", changed)
    again, still = amendments(after, ["b"])
    assert not again
    assert [one.label for one in still] == [one.label for one in left]
    wrong = [
        entry
        for entry in proof_book(after, ["b"]).entries
        if entry.judged and not entry.agrees and entry.address.startswith("calc:")
    ]
    assert len(wrong) <= len(left)
    kept = [
        piece for change in sorted(changes, key=lambda one: one.start) for piece in (change.start, change.end)
    ]
    before = [text[start:end] for start, end in zip([0, *kept[1::2]], [*kept[::2], len(text)], strict=True)]
    at = 0
    for piece in before:  # all that stands between the labels, in its order
        at = changed.index(piece, at) + len(piece)
    for change in changes:
        assert text[change.start : change.end] == change.old
        assert plain(change.new).text


def page(text: str) -> None:
    """A page shows the figures that were judged, or is stopped."""
    check(text)
    _are_told_well(proof_book(site().with_page("page", text), ("page",)).findings, text)


TARGETS: dict[str, Callable[[str], None]] = {
    target.__name__: target for target in (scanner, yaml, labels, data, amend, page)
}


def _nodes(node: YamlNode | None) -> Iterator[YamlNode]:
    waiting = [node] if node is not None else []
    while waiting:
        node = waiting.pop()
        yield node
        if isinstance(node, YamlList):
            waiting += node.items
        elif isinstance(node, YamlMapping):
            waiting += [part for entry in node.entries for part in entry]


def _are_told_well(findings: object, text: str) -> None:
    """Findings have a declared code, and a place that the text has."""
    last = len(Lines(text).raw)
    assert isinstance(findings, list | tuple)
    for finding in findings:
        assert isinstance(finding, Diagnostic)
        assert CODES[finding.code.name] is finding.code
        assert 1 <= finding.position.line <= last + 1
        assert finding.position.column >= 1
        assert str(finding)
