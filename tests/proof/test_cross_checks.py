"""Notes about the whole site: each with a site that has the fault and one that has not."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.kinds import catalogue
from buildlog.proof.proof import proof_book
from tests.samples import GEARING, open_site

CAR = "name: Test\nabout: Invented.\ninputs:\n  tyre: 195/50R15\n"
SOURCES = "driver: {who: the driver, when: once}\nsheet: {title: A sheet}\n"
TARGET = "calc:shorter-final.after.speed_at_limit.3"  # 135.5246 km/h, see tests/test_judging.py
USED = f"[135.5 km/h]({TARGET}) [1 m](cite:sheet) [fast](told:driver)"


def notes(tmp_path: Path, prose: str, block: str = GEARING) -> dict[str, str]:
    files: dict[str, str | bytes] = {
        "a.md": f"{prose}\n\n{block}",
        "sources.yml": SOURCES,
        "cars/test.yml": CAR,
    }
    with_car = block.replace("kind: gearing\n", "kind: gearing\ncar: test\n").replace(
        "  tyre: 195/50R15\n", ""
    )
    files["a.md"] = f"{prose}\n\n{with_car}"
    report = proof_book(open_site(tmp_path, files))
    assert report.errors == ()
    return {finding.code.name: finding.found for finding in report.findings}


def test_nothing_to_note(tmp_path: Path) -> None:
    assert notes(tmp_path, USED) == {}


def test_unused_things(tmp_path: Path) -> None:
    assert notes(tmp_path, "[1 m](cite:sheet) [fast](told:driver)") == {"unused-block": "“shorter-final”"}
    assert notes(tmp_path, f"[135.5 km/h]({TARGET})") == {"unused-source": "“sheet”"}


def test_unused_car_value(tmp_path: Path) -> None:
    files: dict[str, str | bytes] = {"a.md": f"[135.5 km/h]({TARGET})\n\n{GEARING}", "cars/test.yml": CAR}
    report = proof_book(open_site(tmp_path, files))
    assert [(one.code.name, str(one.position)) for one in report.findings] == [
        ("unused-car-value", "content/cars/test.yml:4:3")
    ]


def test_a_log_of_a_sheet_that_a_block_takes_is_used(tmp_path: Path) -> None:
    """It comes from a file, and is the sheet's all the same."""
    log = "{data: log.csv, time: {heading: t, unit: s}, columns: {road_speed: {heading: v, unit: km/h}}}"
    block = (
        "```yaml calc\nid: a\nkind: timed_run\ncar: van\n"
        "inputs: {spans: [{from_speed: 30 km/h, to_speed: 60 km/h}]}\n```\n"
    )
    rows = "".join(f"{row},{20 + row}\n" for row in range(60))
    files: dict[str, str | bytes] = {
        "a.md": block,
        "cars/van.yml": f"name: Van\nabout: A van.\nstate: new\ninputs:\n  log: {log}\n",
        "log.csv": "t,v\n" + rows,
    }
    report = proof_book(open_site(tmp_path, files))
    assert [one.code.name for one in report.findings] == ["unused-block"]


@pytest.mark.parametrize("fault", ["rev_limit: 7000", "rev_limit: [", "rev_limit: *limit"])
def test_nothing_is_called_unused_that_a_block_with_a_fault_may_take(tmp_path: Path, fault: str) -> None:
    block = f"```yaml calc\nid: a\nkind: gearing\ncar: test\ninputs:\n  {fault}\n```\n"
    report = proof_book(open_site(tmp_path, {"a.md": block, "cars/test.yml": CAR}))
    assert report.errors
    assert "unused-car-value" not in {finding.code.name for finding in report.findings}


@pytest.mark.parametrize("page", ["# B\n\n" + "x " * 20_000, b"# \xfc\n"])
def test_nothing_is_called_unused_while_a_page_is_not_read_in_full(tmp_path: Path, page: str | bytes) -> None:
    files: dict[str, str | bytes] = {"a.md": GEARING, "b.md": page, "sources.yml": SOURCES}
    report = proof_book(open_site(tmp_path, files))
    assert report.errors
    assert not {finding.code.name for finding in report.findings if finding.code.name.startswith("unused-")}


def test_told_could_be_computed(tmp_path: Path) -> None:
    found = notes(tmp_path, f"{USED} [135.5 km/h](told:driver)")
    assert found == {"told-could-be-computed": "“135.5 km/h” by told:driver"}
    assert notes(tmp_path, f"{USED} [135.5 N·m](told:driver) [about 136 km/h](told:driver)") == {}


def test_only_over_the_whole_site(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.md": GEARING})
    assert [one.code.name for one in proof_book(book).findings] == ["unused-block"]
    assert proof_book(book, ["a"]).findings == ()


def test_levels_of_codes_in_mkdocs_yml(tmp_path: Path) -> None:
    from buildlog.book.book import Book

    open_site(tmp_path, {"a.md": GEARING})
    levels = "docs_dir: content\nplugins: [search, {buildlog: {findings: {%s}}}]\n"
    (tmp_path / "mkdocs.yml").write_text(levels % "unused-block: fail, loose-figure: off")
    report = proof_book(Book.open(root=tmp_path))
    assert [one.code.name for one in report.errors] == ["unused-block"]
    (tmp_path / "mkdocs.yml").write_text(levels % "unused-blok: off")
    (finding,) = proof_book(Book.open(root=tmp_path)).errors
    assert finding.code.name == "setting"
    assert "did you mean “unused-block”" in finding.help


@pytest.mark.parametrize(
    ("front", "used"),
    [
        ("buildlog: {tools: [a jack]}", True),
        ("buildlog: {series: S, episode: 1}", True),
        ("title: Parts", False),
    ],
)
def test_a_bill_is_used_by_the_job_and_by_the_series(tmp_path: Path, front: str, used: bool) -> None:
    page = f"---\n{front}\n---\n\n# A\n\n```yaml calc\n{catalogue.load_kind('parts').examples[0]}```\n"
    report = proof_book(open_site(tmp_path, {"a.md": page}))
    assert report.errors == ()
    assert ("unused-block" in {finding.code.name for finding in report.findings}) is not used
