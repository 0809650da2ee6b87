"""JSON Schemas for editors: what is right passes, what is wrong fails, and the published copy is current.

Checked with the library jsonschema (Draft 7). Documents are read as YAML 1.2's core schema reads them
(YAML 1.2.2, 10.3.2), as editors do: ``yes`` is a word there.
"""

from __future__ import annotations

import json
import re
import textwrap
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.diagnostics import Refused
from buildlog.figures import units
from buildlog.kinds import catalogue
from buildlog.reading.front_matter_keys import KEYS, REVERSIBLE
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, read_yaml, whole_file
from buildlog.reading.plugin_options import LEVELS, OPTIONS, UNIT_SYSTEMS
from buildlog.reading.settings import read_settings
from buildlog.reading.whole_page import read_page
from buildlog.report.schema_names import NAMES
from buildlog.report.schemas import schema
from buildlog.report.value_pattern import value_pattern
from tests.samples import calc

ROOT = Path(__file__).resolve().parents[2]
CONTENT = ROOT / "content"
_NUMBER = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")


def core(node: YamlNode | None) -> Any:
    """A node as YAML 1.2's core schema has it."""
    if isinstance(node, YamlMapping):
        return {key.text: core(value) for key, value in node.entries}
    if isinstance(node, YamlList):
        return [core(item) for item in node.items]
    if not isinstance(node, YamlScalar):
        return None
    if node.quoted:
        return node.text
    if node.text in ("", "~", "null"):
        return None
    if node.text in ("true", "false"):
        return node.text == "true"
    if _NUMBER.fullmatch(node.text):
        return int(node.text) if node.text.lstrip("+-").isdigit() else float(node.text)
    return node.text


def loaded(text: str) -> Any:
    node, faults = read_yaml(text, whole_file("x"))
    assert faults == []
    return core(node)


@cache
def checker(name: str) -> jsonschema.Draft7Validator:
    made = schema(name)
    jsonschema.Draft7Validator.check_schema(made)
    return jsonschema.Draft7Validator(made)


def faults(name: str, document: Any) -> list[str]:
    return [f"{list(one.absolute_path)}: {one.message[:200]}" for one in checker(name).iter_errors(document)]


# --- what is right ------------------------------------------------------------------------


@pytest.mark.parametrize("kind", catalogue.kind_names())
def test_every_example_of_the_manual_passes(kind: str) -> None:
    assert faults("block", loaded(catalogue.load_kind(kind).examples[0])) == []


def demo_blocks() -> list[tuple[str, str]]:
    book = Book.open(CONTENT, root=ROOT)
    return [
        (f"{page.key}:{fence.line}", fence.body)
        for page in book.pages.values()
        for fence in page.scanned.fences
        if fence.is_calc and fence.closed
    ]


def test_every_block_of_the_demonstration_passes() -> None:
    blocks = demo_blocks()
    assert len(blocks) >= 20
    assert {place: found for place, body in blocks if (found := faults("block", loaded(body)))} == {}


def test_every_table_may_stand_in_a_data_file() -> None:
    for kind in catalogue.kind_names():
        for declared in catalogue.load_kind(kind).inputs:
            if declared.form.row:
                for source, allowed in (({"data": "runs/before.csv"}, True), ({"csv": "x"}, False)):
                    rows: dict[str, object] = {declared.name: source}
                    # A decision has its rows where others have their inputs.
                    given = rows if kind == "decision" else {"inputs": rows}
                    assert (faults("block", {"id": "x", "kind": kind, **given}) == []) is allowed


def test_a_decision_has_what_a_decision_has() -> None:
    rows = [{"name": "light", "value": {"old": "1210 kg", "new": "1195 kg"}, "at_most": "1200 kg"}]
    block = {"id": "x", "kind": "decision", "requires": rows, "options": ["old", "new"], "chosen": "new"}
    assert faults("block", block) == []
    assert faults("block", {**block, "inputs": {}})
    assert faults("block", {"id": "x", "kind": "gearing", "inputs": {}, "chosen": "new"})
    assert faults("block", {"id": "x", "kind": "decision"})


@pytest.mark.parametrize(
    ("predicts", "right"),
    [
        ({"speed_at_limit.3": "calc:a-page#block.case.speed.3"}, True),
        ({"after.speed_at_limit.3": "calc:block.speed", "other": " calc:block.speed@4.30 "}, True),
        ({"speed_at_limit.3": "told:driver"}, False),
        ({"calc:block.speed": "calc:block.speed"}, False),
        ({"speed_at_limit.3": ["calc:block.speed"]}, False),
        ({}, False),
        ("calc:block.speed", False),
    ],
)
def test_what_foretold_a_result_is_a_quantity_and_an_address(predicts: object, right: bool) -> None:
    assert (faults("block", {"id": "x", "kind": "gearing", "predicts": predicts}) == []) is right
    assert faults("block", {"id": "x", "kind": "decision", "requires": [], "predicts": predicts})


def test_the_demonstrations_car_and_sources_pass() -> None:
    assert faults("car", loaded((CONTENT / "cars" / "brindle.yml").read_text("utf-8"))) == []
    assert faults("sources", loaded((CONTENT / "sources.yml").read_text("utf-8"))) == []


def spellings() -> list[tuple[str, str]]:
    return [
        (unit.dimension, spelling)
        for unit in units.UNITS
        for spelling in unit.spellings
        if spelling and not spelling.startswith(":")
    ]


WRITTEN = [
    "5 {}",
    "5{}",
    "5.25 ± 0.1 {}",
    "(5 ± 1) {}",
    "5 {} ± 1 {}",
    "1 1/2 {}",
    "−5 {}",
    "5\u00a0{}",
    "5 ± 2 {} (k=2)",
]


def test_every_unit_in_every_spelling_passes_for_its_own_dimension() -> None:
    refused = []
    for dimension, spelling in spellings():
        pattern = re.compile(value_pattern(dimension))
        for text in (form.format(spelling, spelling) for form in WRITTEN):
            if not pattern.search(text):
                refused.append((dimension, text))
    assert refused == []


@pytest.mark.parametrize(
    ("dimension", "text"),
    [
        ("length", "5 ft 6 in"),
        ("length", "5′ 6″"),
        ("length", "5' 6\""),
        ("length", "3/8 in"),
        ("length", "½ in"),
        ("length", "5 μm"),
        ("torque", "39 N*m"),
        ("torque", "39 N m"),
        ("torque", "39 N-m"),
        ("torque", "39 N⋅m"),
        ("torque", "90 N·m ± 2 %"),
        ("density", "1.2 kg/m^3"),
        ("density", "1.2 kg / m**3"),
        ("area", "2 cm^2"),
        ("ratio", "41/9"),
        ("ratio", "4.56:1"),
        ("ratio", "0.96 ± 0.01"),
        ("ratio", "(96 ± 2) %"),
        ("ratio", "1.2e-3"),
        ("temperature", "20 ℃"),
        ("time", "1 min 23.4 s"),
        ("speed", "calc:a-page#block.case.speed.3"),
        ("mass", "calc:bill.line_mass.hose clamp"),
        ("money in USD", "$42"),
        ("money in USD", "USD 42 ± 2"),
    ],
)
def test_other_ways_to_write_a_value_pass(dimension: str, text: str) -> None:
    assert re.search(value_pattern(dimension), text)


def test_a_unit_of_another_dimension_fails() -> None:
    """Every spelling against every dimension that does not have it: `units.find` is the judge."""
    passed = []
    names = [
        name for name in units.DIMENSIONS if not name.startswith("money") and name not in ("ratio", "count")
    ]
    patterns = {name: re.compile(value_pattern(name)) for name in names}
    for _, spelling in spellings():
        if re.search(r"[0-9] ?[a-z]", spelling):
            continue  # “l/100 km” holds “100 km”: that is for the proof
        for name, pattern in patterns.items():
            try:
                units.find(spelling, name)
            except Refused:
                if pattern.search(f"5 {spelling}"):
                    passed.append((name, spelling))
    assert passed == []


# --- what is wrong ------------------------------------------------------------------------

BLOCK = (
    "id: a\nkind: gearing\n"
    "inputs: {gears: [3.3, 2.0], final_drive: 4.1, rev_limit: 8200 rpm, tyre: 195/50R15}\n"
)


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        ("id: a", "id: A b", "id"),
        ("id: a\n", "", "id"),
        ("kind: gearing", "kind: gearin", "kind"),
        ("inputs:", "imputs:", "imputs"),
        ("8200 rpm", "8200", "rev_limit"),
        ("8200 rpm", "8200 N·m", "rev_limit"),
        ("8200 rpm", "fast", "rev_limit"),
        ("[3.3, 2.0]", "3.3", "gears"),
        ("[3.3, 2.0]", "[]", "gears"),
        ("4.1", "-4.1", "final_drive"),
        ("195/50R15", "wide", "tyre"),
        ("final_drive", "final_drvie", "final_drvie"),
        ("kind: gearing", "kind: gearing\nshow: [picture]", "show"),
        ("kind: gearing", "kind: gearing\nfind: final_drive", "so_that"),
        ("kind: gearing", "kind: gearing\nsweep: rev_limit", "sweep"),
        ("kind: gearing", "kind: gearing\ncar: Brindle!", "car"),
        ("kind: gearing", "kind: gearing\nstate: standard", "car"),
        ("kind: gearing", "kind: gearing\ncar: test\nstate: 2", "state"),
        ("kind: gearing", "kind: gearing\ncases: {after: {state: the last}}", "state"),
        ("kind: gearing", "kind: gearing\ncases: {after: {tire: 195/50R15}}", "tire"),
        ("kind: gearing", "kind: gearing\ncases: {after sales: {final_drive: 4.3}}", "after sales"),
    ],
)
def test_a_wrong_block_fails_where_it_is_wrong(old: str, new: str, where: str) -> None:
    assert faults("block", loaded(BLOCK)) == []
    found = faults("block", loaded(BLOCK.replace(old, new)))
    assert found
    assert any(where in one for one in found)


@pytest.mark.parametrize(
    "text",
    [
        "- a list",
        "inputs: {rev_limit: 8200}",
        "inputs: {rev_limti: 8200 rpm}",
        "inputs: {rev_limit: 8200 N·m}",
        "changes: {since: may}",
        "changes: [{state: round, inputs: {tyre: round}}]",
        "changes: [{inputs: {tyre: 195/50R15}}]",
        "wheels: 4",
    ],
)
def test_a_wrong_car_fails(text: str) -> None:
    assert faults("car", loaded(text))


@pytest.mark.parametrize(
    "text",
    [
        "a: Workshop manual",
        "a: {publisher: Somebody}",
        "a: {who: Ines}",
        "a: {title: A sheet, who: Ines, when: in May}",
        "a: {title: A sheet, url: www.example.com}",
        "a: {titel: A sheet}",
        "a b: {title: A sheet}",
    ],
)
def test_wrong_sources_fail(text: str) -> None:
    assert faults("sources", loaded("a: {title: A sheet, edition: 2024}")) == []
    assert faults("sources", loaded(text))


# --- front matter and settings -------------------------------------------------------------------

PARTS = calc("id: pair\nkind: parts\ninputs: {currency: EUR, parts: [{name: a bolt}]}")


def read_front(own: str) -> list[str]:
    """The codes of what the reader says of this below our key, on a page with what it names."""
    body = f"# A\n\n## How it goes in\n\n1. Lift.\n\n{PARTS}"
    front = "---\nbuildlog:\n" + textwrap.indent(own, "  ") + "\n---\n\n"
    return [fault.code.name for fault in read_page("a", "a.md", front + body).faults]


def front_faults(own: str) -> list[str]:
    return faults("front-matter", loaded("title: A\nbuildlog:\n" + textwrap.indent(own, "  ")))


GOOD_FRONT = {
    "series": ["series: The Brindle\nepisode: 3", "series: 7\nepisode: '12'"],
    "episode": ["series: A\nepisode: 9999"],
    "date": ["date: 2024-03-09", "date: '2024-03-09'"],
    "updated": ["date: 2024-03-09\nupdated: 2025-01-01"],
    "lang": ["lang: de", "lang: en-GB", "lang: zh-Hant-TW"],
    "glossary": ["glossary: yes", "glossary: 'no'"],
    "time": ["time: 14 h", "time: 3", "time: '[14 h](cite:sheet)'"],
    "skill": ["skill: somebody patient"],
    "reversible": [f"reversible: {word}" for word in REVERSIBLE],
    "hazards": ["hazards: [lifting, fuel]", "hazards: lifting", "hazards: []"],
    "tools": ["tools: [a jack, 12]", "tools: a jack"],
    "consumables": ["consumables:\n- oil\n- rags"],
    "measure": [
        "measure: [Gap: mm, A photograph]",
        "measure: Level",
        "measure: [{Gap: {unit: mm, readings: 4}}, {Base: {unit: mm, readings: [left, right]}, B: N}]",
        "measure: [{Gap: {unit: mm}}, {Level: {readings: '2'}}, 3]",
    ],
    "steps": ["steps: How it goes in"],
    "undo": ["undo: Lower it.", "undo: [Lower it., Lift it.]"],
    "bill": ["bill: pair", "bill: [pair]"],
    "loose": [f"loose: {level}" for level in LEVELS],
}
BAD_FRONT = [
    "seris: A",
    "title: A",
    "series: [A]\nepisode: 1",
    "series: A",
    "episode: 1",
    "series: A\nepisode: 0",
    "series: A\nepisode: 010x",
    "series: A\nepisode: 10000",
    "series: ' '\nepisode: 1",
    "date: 9.3.2024",
    "date: 2024",
    "date: [2024-03-09]",
    "updated: 2024-03-09",
    "lang: German please",
    "lang: [de]",
    "glossary: perhaps",
    "glossary: true",
    "time: [a]",
    "time:",
    "skill: {a: b}",
    "reversible: perhaps",
    "hazards: [liftng]",
    "hazards: liftng",
    "hazards: {lifting: yes}",
    "tools: {a: b}",
    "tools: [[a]]",
    "tools: [{a: b}]",
    f"tools: [{', '.join('a' * 101)}]",
    "measure: {Gap: mm}",
    "measure: [{Gap: [mm]}]",
    "measure: [{Gap: 3}]",
    "measure: [{Gap: {unit: mm, reading: 2}}]",
    "measure: [{Gap: {unit: mm, readings: 0}}]",
    "measure: [{Gap: {unit: mm, readings: 13}}]",
    "measure: [{Gap: {unit: mm, readings: []}}]",
    "steps: [a]",
    "undo: {a: b}",
    "bill: Pair!",
    "bill: {pair: yes}",
    "loose: loud",
    "loose: [off]",
]


def test_the_reader_and_the_schema_take_the_same_front_matter() -> None:
    assert GOOD_FRONT.keys() == KEYS.keys()
    for own in (text for texts in GOOD_FRONT.values() for text in texts):
        assert (own, read_front(own), front_faults(own)) == (own, [], [])


@pytest.mark.parametrize("own", BAD_FRONT)
def test_the_reader_and_the_schema_refuse_the_same_front_matter(own: str) -> None:
    assert read_front(own)
    assert front_faults(own)


@pytest.mark.parametrize(
    "own",
    [
        "date: 2024-02-30",
        "date: 2024-03-09\nupdated: 2024-03-08",
        "steps: Nowhere",
        "bill: duct",
        "measure: [A: mn]",
    ],
)
def test_what_only_the_proof_knows_of_front_matter(own: str) -> None:
    assert read_front(own)
    assert front_faults(own) == []


@pytest.mark.parametrize("own", ["", "yes", "[series]"])
def test_what_is_no_mapping_below_our_key_is_refused_by_both(own: str) -> None:
    text = f"buildlog: {own}"
    assert read_page("a", "a.md", f"---\n{text}\n---\n\n# A\n").faults
    assert faults("front-matter", loaded(text))


def test_what_others_say_in_front_matter_is_theirs() -> None:
    assert faults("front-matter", loaded("series: [A]\ndate: {created: 2024-01-01}\ntags: 3")) == []


def test_the_front_matter_of_the_demonstration_passes() -> None:
    told = 0
    for page in Book.open(CONTENT, root=ROOT).pages.values():
        if page.scanned.front_matter is not None:
            told += page.howto.own is not None
            assert faults("front-matter", loaded(page.scanned.front_matter.text)) == []
    assert told > 100


def read_options(folder: Path, options: str) -> list[str]:
    (folder / "mkdocs.yml").write_text(f"site_name: A\nplugins:\n- buildlog: {options}\n", "utf-8")
    return [fault.code.name for fault in read_settings(folder).faults]


@pytest.mark.parametrize(
    "options",
    [
        "",
        "{}",
        *(f"{{loose: {level}}}" for level in LEVELS),
        *(f"{{units: {system}}}" for system in UNIT_SYSTEMS),
        "{loose: null, units: null, report: null, findings: null, bundles: null, enabled: null}",
        "{nominal_nouns: [jet, standoff]}",
        "{nominal_nouns: []}",
        "{findings: {unused-block: off, loose-figure: fail}}",
        "{report: 'https://a.example/new?title={title}&body={body}'}",
        "{report: 'mailto:us@a.example?subject={title}'}",
        *(f"{{bundles: {word}, enabled: {word}}}" for word in ("on", "off", "yes", "no", "true", "false")),
    ],
)
def test_the_settings_and_the_schema_take_the_same_options(tmp_path: Path, options: str) -> None:
    assert read_options(tmp_path, options) == []
    assert faults("mkdocs", loaded(f"plugins:\n- search\n- buildlog: {options}\n")) == []
    assert faults("mkdocs", loaded(f"plugins:\n  search: {{}}\n  buildlog: {options}\n")) == []


@pytest.mark.parametrize(
    "options",
    [
        "{lose: fail}",
        "{loose: loud}",
        "{loose: [off]}",
        "{units: imperial}",
        "{nominal_nouns: jet}",
        "{nominal_nouns: null}",
        "{nominal_nouns: ['']}",
        "{findings: [unused-block]}",
        "{findings: {unused-blok: off}}",
        "{findings: {unused-block: loud}}",
        "{findings: {figure-disagrees: off}}",
        "{report: 'http://a.example/'}",
        "{report: here}",
        "{bundles: perhaps}",
        "{bundles: 3}",
        "[loose]",
        "loose",
    ],
)
def test_the_settings_and_the_schema_refuse_the_same_options(tmp_path: Path, options: str) -> None:
    assert read_options(tmp_path, options) != []
    assert faults("mkdocs", loaded(f"plugins:\n- buildlog: {options}\n"))
    assert faults("mkdocs", loaded(f"plugins:\n  buildlog: {options}\n"))


def test_the_plugin_declares_the_same_options() -> None:
    from mkdocs_buildlog import BuildlogConfig

    assert {name for name, _ in BuildlogConfig()._schema} == set(OPTIONS)


def test_the_settings_of_the_demonstration_pass() -> None:
    node, _ = read_yaml((ROOT / "mkdocs.yml").read_text("utf-8"), whole_file("mkdocs.yml"), lenient=True)
    assert faults("mkdocs", core(node)) == []


# --- what is published -------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_the_command_prints_a_schema(name: str) -> None:
    result = CliRunner().invoke(main, ["schema", name])
    assert result.exit_code == 0
    assert json.loads(result.output) == schema(name)


def test_the_command_lists_and_refuses() -> None:
    assert "block, car, part, sources, front-matter, mkdocs" in CliRunner().invoke(main, ["schema"]).output
    assert CliRunner().invoke(main, ["schema", "page"]).exit_code == 2


def test_an_editors_regular_expressions_read_every_pattern(browser: Any) -> None:
    """ECMAScript with the flag u, as editors' YAML support compiles them."""
    patterns: list[str] = []
    waiting: list[Any] = [schema(name) for name in NAMES]
    while waiting:
        part = waiting.pop()
        if isinstance(part, dict):
            patterns += [part["pattern"]] if isinstance(part.get("pattern"), str) else []
            waiting += part.values()
        elif isinstance(part, list):
            waiting += part
    script = (
        "return arguments[0].filter("
        "p => { try { new RegExp(p, 'u'); return false } catch (e) { return true } })"
    )
    assert browser.execute_script(script, patterns) == []
    tried = "return new RegExp(arguments[0], 'u').test(arguments[1])"
    assert browser.execute_script(tried, value_pattern("torque"), "39 N·m")
    assert not browser.execute_script(tried, value_pattern("length"), "39 N·m")
