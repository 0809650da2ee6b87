"""The demo site with each stated figure made wrong in turn: every one is caught where it stands.

Kinds of slip: digits swapped, the unit changed, another gear or case named, and a value gone stale because an
input of the block or of the car changed. Words, signs and slips of Markdown have files of their own,
`test_seeded_sentences` and `test_seeded_slips`. A slip that would leave the statement true is no slip and is
left out; the test counts what is left, so that it cannot pass by trying nothing.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.figures import units
from buildlog.figures.agreement import Computed, judge
from buildlog.figures.numbers import Unreadable
from buildlog.figures.stated import parse
from buildlog.proof.judging import Entry
from buildlog.proof.proof import proof_book
from buildlog.reading.addresses import read_address
from buildlog.reading.markdown.page import Link

ROOT = Path(__file__).resolve().parents[2]
_DIGITS = re.compile(r"\d")


@pytest.fixture(scope="module")
def book() -> Book:
    return Book.open(root=ROOT)


def computed(book: Book) -> Iterator[tuple[str, Link, Entry]]:
    """Every figure of the demo that rests on a calculation and states something."""
    report = proof_book(book)
    entries = {(entry.page, entry.position): entry for entry in report.entries}
    for key, page in book.pages.items():
        for link in page.scanned.links:
            if link.scheme == "calc" and link.label.strip():
                yield key, link, entries[key, link.label_position]


def still_true(entry: Entry, label: str) -> bool:
    """Whether a changed label would still state the computed value (then it is no error)."""
    judged = entry.judged
    assert judged is not None
    assert judged.value is not None
    assert judged.verdict is not None
    value = judged.value
    target = Computed(value.si, value.dimension, value.expanded_uncertainty)
    verdict = judge(parse(label), target, judged.verdict.unit, None, change=bool(judged.versus))
    slack = (judged.verdict.allowed_high - judged.verdict.allowed_low) / 2  # tolerance in the title, at most
    return verdict.agrees or (slack != float("inf") and abs(verdict.difference) <= slack * 1.5)


def swapped(label: str) -> Iterator[str]:
    """The label with two neighbouring digits exchanged."""
    places = [match.start() for match in _DIGITS.finditer(label)]
    for first, second in pairwise(places):
        a, b = label[first], label[second]
        if a != b and not (a == "0" and first == places[0]) and not (b == "0" and first == places[0]):
            wrong = label[:first] + b + label[first + 1 : second] + a + label[second + 1 :]
            try:
                parse(wrong)
            except Unreadable:  # a range from high to low, say
                continue
            yield wrong


def caught(book: Book, key: str, link: Link, start: int, end: int, text: str) -> list[str]:
    """Codes found at the figure's line, with the span [start, end) of its page replaced by `text`."""
    page = book.pages[key]
    changed = page.text[:start] + text + page.text[end:]
    findings = proof_book(book.with_page(key, changed), [key]).errors
    first, last = page.scanned.offset_to_position(link.start), page.scanned.offset_to_position(link.end)
    columns = range(first.column, first.column + (link.end - link.start) + len(text) + 1)
    return [
        one.code.name
        for one in findings
        if one.position.path == page.path
        and first.line <= one.position.line <= last.line
        and (one.position.column in columns or first.line != last.line)
    ]


def test_the_untouched_site_has_no_finding(book: Book) -> None:
    report = proof_book(book)
    assert [str(one) for one in report.errors + report.warnings] == []
    assert report.coverage == 1
    assert report.count("computed") > 60


def test_digits_swapped(book: Book) -> None:
    tried = 0
    for key, link, entry in computed(book):
        wrong = next((label for label in swapped(link.label) if not still_true(entry, label)), None)
        if wrong is None:
            continue
        tried += 1
        found = caught(book, key, link=link, start=link.label_start, end=link.label_end, text=wrong)
        assert found == ["figure-disagrees"], f"{entry.position}: [{wrong}] for [{link.label}]"
    assert tried > 40


def test_unit_changed(book: Book) -> None:
    tried = 0
    for key, link, entry in computed(book):
        if entry.judged is not None and entry.judged.value is None:
            continue  # a verdict in words has no unit
        stated = parse(link.label)
        if not stated.unit or not stated.unit_spans:
            continue
        start, end = stated.unit_spans[-1]
        dimension = entry.judged.value.dimension  # type: ignore[union-attr]
        own = units.find(stated.unit, dimension)
        others = (one for one in units.units_of(dimension) if one.factor != own.factor and one.symbol)
        like = next(others, None)
        for unit in filter(None, (like, units.find("N·m") if dimension != "torque" else units.find("km/h"))):
            wrong = link.label[:start] + unit.symbol + link.label[end:]
            if unit is like and abs(unit.factor / own.factor - 1) < 0.5 and stated.form != "plain":
                continue  # a wide range or comparison may hold in a unit of nearly the same size
            found = caught(book, key, link=link, start=link.label_start, end=link.label_end, text=wrong)
            if unit is like and not found:
                nothing = stated.low.value == 0
                assert stated.comparator or nothing, f"{entry.position}: [{wrong}] for [{link.label}]"
                continue  # “under 400 mm” for “under 400 m” may be as true, and nothing is 0 in any unit
            tried += 1
            kinds = ("figure-disagrees", "wrong-dimension", "figure-unreadable")  # the last for N·m419.60
            assert found[0] in kinds, f"{entry.position}: [{wrong}]"
    assert tried > 60


def test_wrong_gear_or_case(book: Book) -> None:
    tried = 0
    for key, link, entry in computed(book):
        judged = entry.judged
        assert judged is not None
        block = judged.block
        assert block is not None
        if judged.spoken:
            continue  # words, which are tried in test_words
        others = [
            (case, name, other)
            for case in block.cases
            for name, value in block.cases[case].values.items()
            if name == judged.output
            for other in (value if isinstance(value, dict) else [""])
            if (case, other) != (judged.case, judged.key) and case != judged.versus
        ]
        page_part = link.address.removeprefix("calc:").rpartition("#")[0]
        for case, name, other in others:
            path = ".".join(filter(None, (block.id, case, name, other)))
            address = f"calc:{page_part + '#' if page_part else ''}{path}"
            if judged.versus:
                continue
            target = book.target(key, read_address(address))
            assert judged.verdict is not None
            assert judged.value is not None
            if target.number.dimension != judged.value.dimension:
                continue  # a decision's rows are of any dimension
            value = Computed(target.number.si, target.number.dimension, target.number.expanded_uncertainty)
            assert judged.stated is not None
            stays = judge(judged.stated, value, judged.verdict.unit, None)
            slack = (judged.verdict.allowed_high - judged.verdict.allowed_low) / 2
            if stays.agrees or (slack != float("inf") and abs(stays.difference) <= slack * 1.5):
                continue
            tried += 1
            found = caught(book, key, link=link, start=link.address_start, end=link.address_end, text=address)
            assert found == ["figure-disagrees"], f"{entry.position}: {address} for [{link.label}]"
            break
    assert tried > 25


@pytest.mark.parametrize(
    ("old", "new", "page", "words"),
    [
        ("rolling_circumference: 1.776", "rolling_circumference: 1.746", "episodes/final-drive", []),
        ("rev_limit: 8100 rpm", "rev_limit: 8050 rpm", "episodes/final-drive", []),
        ("vehicle_mass: 662 kg", "vehicle_mass: 762 kg", "episodes/clutch", []),
        # An eighth more air through the same mouth: what was too close to call on the catch now fails.
        (
            "engine_displacement: 1598 cm³",
            "engine_displacement: 1798 cm³",
            "episodes/cold-air-duct",
            ["“too close to call” is said, and what is computed is: fails"],
        ),
    ],
)
def test_a_stale_value(tmp_path: Path, old: str, new: str, page: str, words: list[str]) -> None:
    """A figure stated before an input of the car changed is caught on its own page, and every word that rests
    on it; nothing else is."""
    content = tmp_path / "content"
    shutil.copytree(ROOT / "content", content)
    sheet = content / "cars" / "brindle.yml"
    text = sheet.read_text("utf-8")
    assert old in text
    sheet.write_text(text.replace(old, new), "utf-8")
    findings = proof_book(Book.open(content, root=tmp_path), [page]).errors
    assert {one.position.path for one in findings} == {f"content/{page}.md"}
    figures = [one for one in findings if one.code.name == "figure-disagrees"]
    assert len(figures) >= 3
    others = [one for one in findings if one not in figures]
    assert [(one.code.name, one.message) for one in others] == [("words-disagree", said) for said in words]


_INPUT_LINE = re.compile(r"  (?P<name>[a-z_]+): (?P<number>[0-9]+(?:\.[0-9]+)?)(?P<rest> [^#\n±]*|$)")


def input_lines(book: Book) -> Iterator[tuple[str, str, str, int, int]]:
    """Numbers on a line of their own in a block: page, block, input, and where the number stands."""
    for key, page in book.pages.items():
        if not key.startswith("episodes/"):
            continue
        starts = [0, *(match.end() for match in re.finditer("\n", page.text))]
        for source in page.blocks:
            block = book.by_place[source.position]
            shared = {
                name
                for name in block.cases[next(iter(block.cases))].given
                if len({repr(case.given[name].value) for case in block.cases.values() if name in case.given})
                == 1
            }
            fence = next(fence for fence in page.scanned.fences if fence.line == source.position.line)
            for number, body in enumerate(fence.body_lines):
                line = _INPUT_LINE.match(body)
                if line and line["name"] in shared:
                    at = starts[fence.line + number] + fence.body_columns[number] - 1
                    yield key, block.id, line["name"], at + line.start("number"), at + line.end("number")


def test_a_stale_input(book: Book) -> None:
    """A sentence that states an input of a block is caught when the input is changed after it was written."""
    tried = 0
    for key, block, name, start, end in input_lines(book):
        page = book.pages[key]
        address = f"calc:{block}.{name}"
        filled = book.with_page(key, f"{page.text}\n\nIt is []({address}).\n")
        entry = proof_book(filled, [key]).entries[-1]
        if entry.judged is None or not entry.judged.agrees or not entry.judged.text:
            continue  # a choice among names, say
        sentence = f"\n\nIt is [{entry.judged.text}]({address}).\n"
        number = page.text[start:end]
        digit = "1" if number[0] != "1" else "2"
        changed = page.text[:start] + digit + number[1:] + page.text[end:]
        last_line = (changed + sentence).count("\n")
        errors = proof_book(book.with_page(key, changed + sentence), [key]).errors
        tried += 1
        found = [error.code.name for error in errors if error.position.line == last_line]
        assert found in (["figure-disagrees"], ["rests-on-fault"]), f"{key}: {address} was {number}: {found}"
    print(f"\nstale inputs: {tried} of {tried} caught")
    assert tried > 40
