"""What is packed for a reader's browser: nothing is missing, and it computes what the proof computes."""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
from collections.abc import Sequence
from functools import cache
from math import isclose
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from buildlog.book.book import Book
from buildlog.browser import packing, published
from buildlog.browser.description import describe
from buildlog.browser.shown import SYSTEMS
from buildlog.browser.shown import shown as shown_there
from buildlog.kinds import catalogue
from buildlog.kinds.quantities import shown
from buildlog.kinds.results import BlockResult, Value
from tests.house import ROOT
from tests.samples import open_site

KINDS = tuple(name for name in catalogue.kind_names() if packing.runs_in_browser(name))
# What is offered to readers; a course takes a browser up to a minute.
OFFERED = tuple(name for name in KINDS if name not in published.TOO_LONG)
TOLERANCE = 1e-12


@cache
def demonstration() -> Book:
    return Book.open(root=ROOT)


@cache
def blocks() -> tuple[tuple[BlockResult, dict[str, Any]], ...]:
    """Every block of the demonstration that a browser can compute, with its description; and the manual's of
    those kinds whose blocks there read logs."""
    return _described(demonstration()) + _described(examples())


@cache
def examples() -> Book:
    """The manual's blocks of those kinds that no block of the demonstration stands for."""
    others = set(KINDS) - {block.kind for block, _ in _described(demonstration())}
    with TemporaryDirectory() as folder:
        pages: dict[str, str | bytes] = {f"{kind}.md": _example(kind) for kind in sorted(others)}
        book = open_site(Path(folder), pages)
        assert book.results
    return book


def tried(block: BlockResult, changes: dict[str, str]) -> BlockResult:
    """A block as the proof computes it with other numbers."""
    book = demonstration() if block.page in demonstration().pages else examples()
    return book.tried(block.page, block.id, changes)


def _described(book: Book) -> tuple[tuple[BlockResult, dict[str, Any]], ...]:
    described = ((one, describe(book, one)) for one in book.results.values() if one.kind in KINDS)
    return tuple((block, description) for block, description in described if description is not None)


def _example(kind: str) -> str:
    docstring = catalogue.load_kind(kind).docstring
    return docstring[docstring.index("```yaml\n") :].replace("```yaml\n", "```yaml calc\n")


def answers(asked: Sequence[tuple[Any, ...]], kinds: tuple[str, ...] = KINDS) -> list[Any]:
    """What the packed code of some kinds answers, run by this Python without the rest of buildlog."""
    program = Path(__file__).with_name("packed_python.py")
    given = json.dumps({"sources": packing.modules_of(kinds), "asked": asked})
    ran = subprocess.run(
        [sys.executable, "-S", "-P", str(program)],
        input=given,
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr[-3000:]
    answered: list[Any] = json.loads(ran.stdout)
    return answered


def differences(block: BlockResult, answer: dict[str, Any], *, in_order: bool = True) -> list[str]:
    """In what an answer differs from a block as it was computed. A browser has keys that are whole numbers
    before others, gears 2, 4, 1.5: there the rows are not `in_order`, and each goes to its place by its name.
    """
    found = [f"{block.address}: {fault['text']}" for fault in answer["faults"]]
    if found:
        return found
    rows = [f"{output.name}.{key}" if key else output.name for output, key in block.rows()]
    if rows != list(answer["rows"]) if in_order else sorted(rows) != sorted(answer["rows"]):
        found.append(f"{block.address}: rows {list(answer['rows'])}, expected {rows}")
        return found
    for output, key in block.rows():
        name = f"{output.name}.{key}" if key else output.name
        for case in block.cases:
            cell = answer["rows"][name]["cases"].get(case)
            found += _differences(f"{block.address} {case} {name}", block.value(case, output.name, key), cell)
    remarks = [remark for case in block.cases.values() for remark in case.remarks]
    if not any(case.simulation for case in block.cases.values()):
        ours = [remark for remark, _ in answer["remarks"]]
        if ours != list(dict.fromkeys(remarks)):
            found.append(f"{block.address}: remarks {ours}, expected {remarks}")
    if len(answer["charts"]) != len(block.charts):
        found.append(f"{block.address}: {len(answer['charts'])} charts, expected {len(block.charts)}")
    return found


def _differences(place: str, value: Value | str | None, cell: dict[str, Any] | None) -> list[str]:
    if value is None or isinstance(value, str):
        expected = None if value is None else {"words": value}
        return [] if cell == expected else [f"{place}: {cell}, expected {expected}"]
    if cell is None:
        return [f"{place}: nothing, expected {value.si}"]
    written = shown(value)
    found = []
    if not isclose(cell["si"], value.si, rel_tol=TOLERANCE):
        found.append(f"{place}: {cell['si']!r}, expected {value.si!r}")
    if cell["unit"] != written.unit:
        found.append(f"{place}: the unit {cell['unit']}, expected {written.unit}")
    if not cell["bent"]:  # what was drawn is to first order here
        own = (cell["number"], cell["margin"])
        if own != (written.number, written.margin):
            found.append(f"{place}: {own}, expected {(written.number, written.margin)}")
        if not isclose(cell["expanded"], value.expanded_uncertainty, rel_tol=1e-9, abs_tol=1e-300):
            found.append(f"{place}: U {cell['expanded']!r}, expected {value.expanded_uncertainty!r}")
    return found


def changed(block: BlockResult, description: dict[str, Any]) -> tuple[str, str] | None:
    """A field of a block that is one number for all cases, and a text for it a little off its author's."""
    in_cases = {field["input"] for field in description["fields"] if field["case"]}
    for field in description["fields"]:
        alone = field["form"] == "number" and field["row"] is None and field["input"] not in in_cases
        number, _, unit = field["written"].partition(" ")
        if alone and field["id"] == field["input"] and number.replace(".", "").isdigit() and "±" not in unit:
            return field["id"], f"{float(number) * 1.01:.6g} {unit}".strip()
    return None


# --- without a browser ------------------------------------------------------------------------


def imported_at_the_top(source: str) -> set[str]:
    found: set[str] = set()
    for node in ast.parse(source).body:
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add(node.module or "")
    return found


def test_the_packed_modules_import_nothing_that_is_not_sent() -> None:
    sources = packing.modules_of(KINDS)
    packages = {
        ".".join(name.split(".")[:depth]) for name in sources for depth in range(1, name.count(".") + 1)
    }
    there = sources.keys() | packages | packing.standard_modules(sources)
    missing = {
        (name, module) for name, source in sources.items() for module in imported_at_the_top(source) - there
    }
    assert missing <= {(name, module) for name, module in missing if module in ("browser", "collections.abc")}


def test_the_scripts_of_each_kind_hold_all_that_they_import() -> None:
    packed = packing.packed(KINDS)
    scripts = {script.name: script.text for script in packed.scripts}
    for kind in KINDS:
        sources: dict[str, str] = {}
        for name in packed.of(kind):
            for files in re.findall(r"update_VFS\((.*)\);", scripts[name]):
                sources |= {
                    module: entry[1] for module, entry in json.loads(files).items() if entry[0] == ".py"
                }
        ours = {name: source for name, source in sources.items() if name.startswith("buildlog.")}
        wanted = {module for source in ours.values() for module in imported_at_the_top(source)}
        assert {module for module in wanted if module.startswith("buildlog.")} <= ours.keys(), kind


@pytest.mark.parametrize("kind", ["log_compare", "power_run", "instrument_lag", "log_gearing"])
def test_a_kind_that_needs_numpy_is_not_offered(kind: str) -> None:
    assert not packing.runs_in_browser(kind)


def test_the_packed_code_gives_what_the_proof_gives() -> None:
    known = blocks()
    assert {block.kind for block, _ in known} == set(KINDS) - {"timed_run"}  # whose blocks read logs
    answered = answers([(description, {}) for _, description in known])
    assert [
        line
        for (block, _), answer in zip(known, answered, strict=True)
        for line in differences(block, answer)
    ] == []


def test_the_packed_code_shows_what_the_card_shows() -> None:
    known = [
        (block, description)
        for block, description in blocks()
        if not any(case.simulation for case in block.cases.values())
    ]
    answered = answers([(description, {}, {"figures": [], "systems": SYSTEMS}) for _, description in known])
    for (block, _), answer in zip(known, answered, strict=True):
        assert answer == {"faults": [], "shown": json.loads(json.dumps(shown_there(block)))}, block.address


def some_changed() -> list[tuple[BlockResult, dict[str, Any], str, str]]:
    """One block of each kind, as far as it has a number that can be changed, with the field and its text."""
    found: dict[str, tuple[BlockResult, dict[str, Any], str, str]] = {}
    for block, description in blocks():
        if block.kind not in found and (change := changed(block, description)) is not None:
            found[block.kind] = (block, description, *change)
    return list(found.values())


def test_a_changed_number_gives_what_the_proof_would_give() -> None:
    some = some_changed()
    assert len(some) > 10
    answered = answers([(description, {field: text}) for _, description, field, text in some])
    moved = 0
    for (block, _, field, text), answer in zip(some, answered, strict=True):
        expected = tried(block, {field: text})
        told = [(fault["code"], fault["found"]) for fault in answer["faults"]]
        if told:  # a number may leave what the calculation allows: then both say so
            assert told == [(fault.code.name, fault.found) for fault in expected.faults]
        else:
            assert differences(expected, answer) == [], f"{block.address}: {field} {text}"
            moved += bool(differences(block, answer))
    assert moved > len(some) // 2  # some change a chart alone, or a case that is not the one at hand


@pytest.mark.parametrize(
    ("field", "text", "code"),
    [
        ("rev_limit", "fast", "value-unreadable"),
        ("rev_limit", "8200", "missing-unit"),
        ("rev_limit", "8200 N·m", "wrong-dimension"),
        ("rev_limit", "820000 rpm", "out-of-range"),
        ("rev_limit", "", "missing-input"),
        ("rev_limit", "8.200,5 rpm", "value-unreadable"),
        ("rev_limit", "9**9**9 rpm", "unknown-unit"),
        ("rev_limit", "<b>8200</b> rpm", "value-unreadable"),
    ],
)
def test_a_fault_is_told_in_the_words_of_the_proof(field: str, text: str, code: str) -> None:
    block, description = next(one for one in blocks() if one[0].kind == "gearing")
    answer = answers([(description, {field: text})])[0]
    (fault,) = answer["faults"]
    (expected,) = demonstration().tried(block.page, block.id, {field: text or '""'}).faults
    assert (fault["field"], fault["code"]) == (field, code)
    told = (fault["code"], fault["found"], fault["expected"], fault["help"])
    assert told == (expected.code.name, expected.found, expected.expected, expected.help)
    assert answer["rows"] == {}


@pytest.mark.parametrize("text", ["calc:nope#x.y", "calc:x", "calc:", "calc:shorter-final.rpm_at.3"])
def test_an_address_that_a_reader_types_is_refused(text: str) -> None:
    description = next(one for block, one in blocks() if block.kind == "flywheel")
    answer = answers([(description, {"rev_limit": text})])[0]
    assert [(fault["field"], text in fault["found"]) for fault in answer["faults"]] == [("rev_limit", True)]


def test_a_change_flows_on_to_blocks_that_rest_on_it() -> None:
    book = demonstration()
    pairs = [
        (first, second)
        for second in book.results.values()
        if second.kind in KINDS and not second.faults
        for first in [book.results.get((second.page, address)) for address in _rests_on(second)]
        if first is not None and first.kind in KINDS and first.kind != "decision"
    ]
    first, second = next(
        (one, other)
        for one, other in pairs
        if (description := describe(book, one)) and changed(one, description) and describe(book, other)
    )
    described = describe(book, first), describe(book, second)
    assert described[0] is not None
    change = changed(first, described[0])
    assert change is not None
    alone, changed_too = answers([(list(described), {}), (list(described), {first.address: dict([change])})])
    assert differences(first, alone[0]) == []
    assert differences(second, alone[1]) == []
    assert alone[0]["rows"] != changed_too[0]["rows"]
    if not changed_too[0]["faults"]:
        assert alone[1] != changed_too[1]


def _rests_on(block: BlockResult) -> list[str]:
    references = {given.reference for case in block.cases.values() for given in case.given.values()}
    return [
        reference.removeprefix("calc:").split(".")[0]
        for reference in sorted(references)
        if reference.startswith("calc:") and "#" not in reference and "/" not in reference
    ]


# --- in a browser -----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def computing(browser_of_module: Any, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A page from a file with the scripts of all kinds, which take seconds each when they are first asked."""
    folder, packed = tmp_path_factory.mktemp("page"), packing.packed(KINDS)
    for script in packed.scripts:
        (folder / script.name).write_text(script.text, encoding="utf-8")
    scripts = "".join(f'<script src="{script.name}"></script>' for script in packed.scripts)
    page = folder / "page.html"
    page.write_text(f'<!doctype html><html lang="en"><meta charset="utf-8">{scripts}<title>x</title></html>')
    browser_of_module.set_script_timeout(600)
    browser_of_module.get(page.as_uri())
    return browser_of_module


def in_browser(browser: Any, description: Any, changes: Any) -> Any:
    program = "return window.buildlogAnswer(arguments[0], arguments[1]);"
    return json.loads(browser.execute_script(program, json.dumps(description), json.dumps(changes)))


def test_a_browser_gives_what_the_proof_gives(computing: Any) -> None:
    asked = [(block, description) for block, description in blocks() if block.kind in OFFERED]
    wrong = [
        line
        for block, description in asked
        for line in differences(block, in_browser(computing, description, {}), in_order=False)
    ]
    assert wrong == []
    assert len(asked) > 50


def test_a_browser_takes_a_changed_number_of_each_kind(computing: Any) -> None:
    for block, description, field, text in some_changed():
        if block.kind not in OFFERED:
            continue
        answer = in_browser(computing, description, {field: text})
        expected = tried(block, {field: text})
        if answer["faults"]:
            assert [one["found"] for one in answer["faults"]] == [one.found for one in expected.faults]
        else:
            assert differences(expected, answer, in_order=False) == [], f"{block.address}: {field} {text}"


def test_a_browser_tells_faults_as_the_packed_code_does_here(computing: Any) -> None:
    description = next(one for block, one in blocks() if block.kind == "gearing")
    texts = ["fast", "8200", "8200 N·m", "820000 rpm", "", "8.200,5 rpm", "9**9**9 rpm", "½ rpm", "٣ rpm"]
    texts += ["8 200 rpm", "8200 ± 50 rpm", "8200 ± rpm", "8200 Rpm", "(8200 ± 2) rpm (k=2)", "1/0 rpm"]
    numbers = [field["id"] for field in description["fields"] if field["form"] == "number"][:3]
    asked = [(description, {field: text}) for field in numbers for text in texts]
    for (_, changes), expected in zip(asked, answers(asked), strict=True):
        assert in_browser(computing, description, changes) == expected, changes
