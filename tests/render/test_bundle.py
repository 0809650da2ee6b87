"""The bundle of a page: what is in it and what cannot get in, and that it proofs by itself."""

from __future__ import annotations

import csv
import importlib.metadata
import io
import json
import os
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path
from textwrap import indent

import pytest

from buildlog.book.book import Book
from buildlog.book.repeating import hash_lines
from buildlog.diagnostics import Refused
from buildlog.render import program as programs
from buildlog.render.archive import archive, can_be_packed
from buildlog.render.bundle import (
    bundle_commands,
    cut_down,
    page_bundle,
    powershell_commands,
    powershell_quote,
)
from buildlog.render.card import render_card
from buildlog.render.program import NEEDS, locked_versions, running_program
from buildlog.render.reproduce import page_record
from tests.jobs import FILES
from tests.packages import link_packages
from tests.parsed_html import parse
from tests.samples import GEARING, calc, open_site
from tests.systems import link

ROOT = Path(__file__).resolve().parents[2]
OTHER = f"""\
---
title: Other, with figures of its own
---

# Other

A figure that does not hold: [999 km/h](calc:shorter-final.after.speed_at_limit.3), and 3.7 kg of nothing.

{GEARING}
"""
RESTING = """\
# Resting

Third ends at [135.5 km/h](calc:other#shorter-final.after.speed_at_limit.3). The sheet says
[78 N·m](cite:axle-sheet.crown).

""" + calc(
    """
    id: own
    kind: gearing
    car: test
    state: standard
    inputs:
      rev_limit: 8200 rpm
    """
)
SITE: dict[str, str | bytes] = {
    "sources.yml": FILES["sources.yml"],
    "cars/test.yml": FILES["cars/test.yml"],
    "other.md": OTHER,
    "resting.md": RESTING,
}


def everything(name: str) -> bool:
    return True


def bundle(book: Book, key: str) -> zipfile.ZipFile:
    packed = page_bundle(book, key, running_program(), everything)
    assert packed is not None
    return zipfile.ZipFile(io.BytesIO(packed))


def unpacked(book: Book, key: str, folder: Path) -> Path:
    """The bundle in an empty folder, and the program beside it, as installing unpacks it."""
    there = folder / "elsewhere"
    there.mkdir()
    bundle(book, key).extractall(there)
    zipfile.ZipFile(io.BytesIO(running_program().content)).extractall(folder / "installed")
    return there


def run_there(there: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """A command in the folder of a bundle, by the program that is published with it and by no other."""
    program = (
        "import buildlog, sys; print(buildlog.__file__, file=sys.stderr)\n"
        "from buildlog.cli import main\nmain()"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program, *arguments],
        cwd=there,
        env={"PYTHONPATH": str(there.parent / "installed"), "PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8"},
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert ran.stderr.splitlines()[0] == str(there.parent / "installed/buildlog/__init__.py")
    return ran


# --- that it proofs by itself ------------------------------------------------------------------


def test_a_bundle_proofs_clean_alone_and_has_the_hashes_of_the_page(tmp_path: Path) -> None:
    book = open_site(tmp_path, SITE)
    there = unpacked(book, "resting", tmp_path)
    proof = run_there(there, "proof", "content/resting.md")
    assert (proof.returncode, proof.stdout.splitlines()[-1]) == (0, "The computed figure agrees.")
    whole = run_there(there, "proof")
    assert (whole.returncode, whole.stdout.splitlines()[-1]) == (0, "The computed figure agrees."), "no notes"
    ledger = run_there(there, "ledger", "--hashes", "content/resting.md")
    assert ledger.stdout.splitlines() == hash_lines(book, "resting")
    assert [line.split()[-1] for line in ledger.stdout.splitlines()[1:-1]] == [
        "resting#own",
        "other#shorter-final",
    ]


def test_a_change_anywhere_below_is_told_by_the_hashes(tmp_path: Path) -> None:
    before = hash_lines(open_site(tmp_path, SITE), "resting")
    changed = {**SITE, "other.md": OTHER.replace("8200 rpm", "8100 rpm")}
    after = hash_lines(open_site(tmp_path, changed), "resting")
    differing = [new.split()[-1] for new, old in zip(after, before, strict=True) if new != old]
    assert differing == ["other#shorter-final", "it"]


def test_values_of_a_car_that_are_named_have_a_line_of_their_own(tmp_path: Path) -> None:
    page = RESTING + "\nIt turns to [8200 rpm](calc:cars/test.standard.rev_limit).\n"
    lines = hash_lines(open_site(tmp_path, {**SITE, "resting.md": page}), "resting")
    assert lines[-2].endswith("  cars/test")


def test_a_page_that_computes_nothing_has_none(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.md": "# A\n\nWords.\n"})
    assert page_bundle(book, "a", running_program(), everything) is None
    assert hash_lines(book, "a") == []


def test_known_findings_settings_and_the_record_go_along(tmp_path: Path) -> None:
    wrong = RESTING.replace("135.5 km/h", "153.5 km/h")
    (tmp_path / "mkdocs.yml").write_text(
        "docs_dir: content\nplugins: [{buildlog: {loose: fail, nominal_nouns: [jet], findings: "
        "{state-by-number: off}}}]\n"
    )
    (tmp_path / "known-findings.yml").write_text(
        '"content/resting.md":\n  figure-disagrees:\n'
        '    - "[153.5 km/h](calc:other#shorter-final.after.speed_at_limit.3)"\n'
        '"content/other.md":\n  figure-disagrees:\n'
        '    - "[999 km/h](calc:shorter-final.after.speed_at_limit.3)"\n'
    )
    open_site(tmp_path, {**SITE, "resting.md": wrong, "figures.lock": "# buildlog figures 1\n"})
    book = Book.open(root=tmp_path)
    there = unpacked(book, "resting", tmp_path)
    known = (there / "known-findings.yml").read_text()
    assert "resting.md" in known
    assert "other.md" not in known, "another page's findings are not this one's"
    settings = (there / "mkdocs.yml").read_text()
    assert "loose: fail" in settings
    assert 'nominal_nouns: ["jet"]' in settings
    assert "state-by-number: off" in settings
    assert (there / "content/figures.lock").is_file()
    assert run_there(there, "proof", "content/resting.md").returncode == 0


# --- other pages ------------------------------------------------------------------------------


def test_of_another_page_there_is_nothing_but_the_blocks_at_their_lines(tmp_path: Path) -> None:
    book = open_site(tmp_path, SITE)
    text = bundle(book, "resting").read("content/other.md").decode()
    assert "999" not in text
    assert "title" not in text
    number = next(at for at, line in enumerate(OTHER.split("\n")) if line == "```yaml calc")
    assert text.split("\n")[number] == "```yaml calc"
    (tmp_path / "cut").mkdir()
    cut = open_site(tmp_path / "cut", {**SITE, "other.md": text})
    assert cut.results["other", "shorter-final"] == book.results["other", "shorter-final"], "to the last bit"


NESTED = {
    "a list": "1. A step\n\n" + indent(GEARING, "    ") + "\n2. Another\n",
    "a quote": "".join(f"> {line}\n" for line in GEARING.splitlines()),
    "an admonition": "!!! note\n\n" + indent(GEARING, "    "),
    "a tab": '=== "One"\n\n' + indent(GEARING, "    ") + '\n=== "Two"\n\n    Words\n',
    "tildes": GEARING.replace("```", "~~~~"),
    "a list, with tabs": "-\tA step\n\n" + indent(GEARING, "\t"),
    "no end of line": GEARING.rstrip("\n"),
    "old line ends": GEARING.replace("\n", "\r\n"),
}


@pytest.mark.parametrize("name", NESTED)
def test_blocks_within_other_things_are_cut_out_of_them(tmp_path: Path, name: str) -> None:
    page = f"# Other\n\nWords [1 km/h](calc:x.y).\n\n{NESTED[name]}"
    book = open_site(tmp_path, {**SITE, "other.md": page.encode()})
    assert ("other", "shorter-final") in book.results
    text = cut_down(book.pages["other"], {"shorter-final"})
    (tmp_path / "cut").mkdir()
    cut = open_site(tmp_path / "cut", {**SITE, "other.md": text})
    assert hash_lines(cut, "resting") == hash_lines(book, "resting")
    (block,), (written,) = cut.pages["other"].blocks, book.pages["other"].blocks
    assert block.position.line == written.position.line
    assert not cut.pages["other"].faults
    for case in ("before", "after"):
        now, then = (one.results["other", "shorter-final"].cases[case].values for one in (cut, book))
        assert now == then, "to the last bit"


# --- what gets in -----------------------------------------------------------------------------


def test_the_same_content_is_the_same_bytes(tmp_path: Path) -> None:
    book = open_site(tmp_path, SITE)
    first = page_bundle(book, "resting", running_program(), everything)
    for path in (tmp_path / "content").rglob("*"):
        os.utime(path, (1, 1))
    assert page_bundle(open_site(tmp_path, SITE), "resting", running_program(), everything) == first
    packed = bundle(book, "resting")
    assert packed.namelist() == sorted(packed.namelist())
    assert {(one.date_time, one.create_system, one.external_attr) for one in packed.infolist()} == {
        ((1980, 1, 1, 0, 0, 0), 3, 0o100644 << 16)
    }
    assert packed.namelist() == [
        "README.md",
        "content/cars/test.yml",
        "content/other.md",
        "content/resting.md",
        "content/sources.yml",
        "mkdocs.yml",
        "requirements.txt",
    ]


def test_the_readme_says_what_to_type_and_what_is_printed(tmp_path: Path) -> None:
    book = open_site(tmp_path, SITE)
    text = bundle(book, "resting").read("README.md").decode()
    for line in hash_lines(book, "resting"):
        assert f"    {line}\n" in text
    assert "    tools/bin/pip install --no-deps --require-hashes -r requirements.txt\n" in text
    assert "- `content/other.md` (blocks only)\n" in text
    page, program = book.pages["resting"], running_program()
    for line in (*bundle_commands(page, program), *powershell_commands(page, program)):
        assert f"    {line}\n" in text, "on either system each line is told to the letter"
    assert running_program().file in text


def test_the_lines_for_powershell_do_what_the_others_do(tmp_path: Path) -> None:
    """Step for step the same arguments: a folder for the tools, what is required, the page, its hashes."""
    page, program = open_site(tmp_path, SITE).pages["resting"], running_program()
    linux, windows = bundle_commands(page, program), powershell_commands(page, program)
    assert windows[0].split()[1:] == linux[0].split()[1:]
    assert windows[1].split()[3:] == linux[1].split()[1:]
    assert [line.split()[1:] for line in windows[2:]] == [line.split()[1:] for line in linux[2:]]
    assert all(line.startswith("tools\\Scripts\\") for line in windows[1:])


@pytest.mark.parametrize(
    ("text", "quoted"),
    [
        ("content/a-b_c.md", "content/a-b_c.md"),
        ("content/my page.md", "'content/my page.md'"),
        ("content/it's.md", "'content/it''s.md'"),
        ("content/it’s.md", "'content/it’’s.md'"),
        ("content/$HOME `x`.md", "'content/$HOME `x`.md'"),
    ],
)
def test_powershell_takes_a_path_to_the_letter(text: str, quoted: str) -> None:
    """A verbatim string: everything stands for itself but quotation marks, which are doubled, curved ones too
    (PowerShell language specification 3.0, 2.3.5.2, single-quote-character; read)."""
    assert powershell_quote(text) == quoted


COURSE = "# D\n\n" + calc(
    """
    id: hill
    kind: course
    inputs:
      legs: {data: "NAME"}
    """
)


def test_nothing_from_outside_the_content_folder(tmp_path: Path) -> None:
    (tmp_path / "secret.csv").write_text("password [1]\n42\n")
    (tmp_path / "content").mkdir()
    link(tmp_path / "content/link.csv", tmp_path / "secret.csv")
    for name in ("../secret.csv", str(tmp_path / "secret.csv"), "link.csv", "data/../../secret.csv"):
        page = f"{COURSE.replace('NAME', name)}\n{GEARING}"
        book = open_site(tmp_path, {"d.md": page})
        with pytest.raises(Refused) as refused:
            page_bundle(book, "d", running_program(), everything)
        assert refused.value.found.startswith("“")


def test_a_page_that_rests_on_what_is_not_published_has_none(tmp_path: Path) -> None:
    book = open_site(tmp_path, SITE)
    for hidden in ("cars/test.yml", "other.md", "sources.yml", "resting.md"):
        with pytest.raises(Refused, match="publishes"):
            page_bundle(book, "resting", running_program(), lambda name, hidden=hidden: name != hidden)  # type: ignore[misc]


@pytest.mark.parametrize(
    "name",
    ["épée/a page", "it's #1 & 100 % [x]", "-rf", "a;b$(c)`d`", "日本/頁", "x" * 200, "two  blanks "],
)
def test_odd_names_go_through(tmp_path: Path, name: str) -> None:
    book = open_site(tmp_path, {**SITE, f"{name}.md": RESTING})
    there = unpacked(book, name, tmp_path)
    proof = run_there(there, "proof", f"./content/{name}.md")
    assert (proof.returncode, proof.stdout.splitlines()[-1]) == (0, "The computed figure agrees.")


@pytest.mark.parametrize(
    "name", ["x\\..\\evil", "bell\x07", "line\nend", "no text \udcff"], ids=["back", "bell", "line", "bytes"]
)
def test_names_that_could_lead_elsewhere_are_refused(tmp_path: Path, name: str) -> None:
    book = open_site(tmp_path, SITE)
    page = book.pages["resting"]
    path = tmp_path / "content" / os.fsdecode(os.fsencode(f"{name}.md"))
    path.write_text(page.text)
    book = Book.open(tmp_path / "content", root=tmp_path)
    with pytest.raises(Refused, match="zip"):
        page_bundle(book, name, running_program(), everything)


def test_what_can_be_packed() -> None:
    assert all(map(can_be_packed, ("a", "a/b.md", "ä", "...", "a..b")))
    assert not any(
        map(can_be_packed, ("", "/a", "a/../b", "..", "a//b", "a/", "a\\b", "a\x00", "\udc80", "."))
    )


# --- the program ------------------------------------------------------------------------------


def test_the_program_is_a_package_that_pip_installs(tmp_path: Path) -> None:
    program = running_program()
    (tmp_path / program.file).write_bytes(program.content)
    command = [sys.executable, "-m", "pip", "install", "-q", "--no-index", "--no-deps", "--no-compile"]
    target = tmp_path / "target"
    subprocess.run(
        [*command, "--disable-pip-version-check", "--target", str(target), program.file],
        cwd=tmp_path,
        check=True,
        timeout=120,
    )
    assert (target / "bin/buildlog").is_file()
    packed = zipfile.ZipFile(io.BytesIO(program.content))
    names = {name for name in packed.namelist() if name.startswith("buildlog/")}
    installed = {path.relative_to(target).as_posix() for path in (target / "buildlog").rglob("*")}
    assert {name for name in installed if (target / name).is_file()} == names
    for name in names:
        assert (target / name).read_bytes() == (ROOT / name).read_bytes()
    (record,) = (name for name in packed.namelist() if name.endswith("RECORD"))
    rows = list(csv.reader(packed.read(record).decode().splitlines()))
    assert [row[0] for row in rows] == [*(name for name in packed.namelist() if name != record), record]
    assert any(
        "Permission is hereby granted" in packed.read(name).decode()
        for name in packed.namelist()
        if name.endswith("LICENSE")
    )


def test_the_program_is_all_of_the_package_and_nothing_that_lies_beside_it() -> None:
    packed = zipfile.ZipFile(io.BytesIO(running_program().content))
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard", "buildlog"],
        cwd=ROOT,
        capture_output=True,
        check=True,
        text=True,
    ).stdout.split("\0")
    kept = {name for name in listed if name and (ROOT / name).is_file()}
    assert {name for name in packed.namelist() if name.startswith("buildlog/")} == kept


def test_what_the_program_needs_is_what_the_project_says() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert set(NEEDS) == {text.partition(">")[0] for text in project["dependencies"]}
    metadata = next(
        zipfile.ZipFile(io.BytesIO(running_program().content)).read(name).decode()
        for name in zipfile.ZipFile(io.BytesIO(running_program().content)).namelist()
        if name.endswith("METADATA")
    )
    assert f"Requires-Python: {project['requires-python']}\n" in metadata


def test_a_proof_needs_nothing_but_what_is_locked(tmp_path: Path) -> None:
    """With the packages of the lock and no others: what pip would have put there."""
    there = unpacked(open_site(tmp_path, SITE), "resting", tmp_path)
    packages = tmp_path / "packages"
    packages.mkdir()
    link_packages(packages, locked_versions())
    assert not (packages / "mkdocs").exists()
    for command in (["proof", "content/resting.md"], ["ledger", "--hashes"], ["working", "resting#own"]):
        ran = subprocess.run(
            [sys.executable, "-S", "-c", "from buildlog.cli import main\nmain()", *command],
            cwd=there,
            env={"PYTHONPATH": f"{tmp_path / 'installed'}:{packages}", "LC_ALL": "C.UTF-8"},
            capture_output=True,
            text=True,
            timeout=120,
        )
        assert ran.returncode == 0, ran.stderr


def test_other_versions_than_the_locked_ones_are_told_without_hashes(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    real = importlib.metadata.version
    monkeypatch.setattr(importlib.metadata, "version", lambda name: "99.0" if name == "click" else real(name))
    running_program.cache_clear()
    try:
        program = programs.running_program()
        assert not program.hashed
        assert "click==99.0\n" in program.requirements
        assert "--hash" not in program.requirements
        book = open_site(tmp_path, SITE)
        packed = page_bundle(book, "resting", program, everything)
        assert packed is not None
        text = zipfile.ZipFile(io.BytesIO(packed)).read("README.md").decode()
        assert "--require-hashes" not in text
        assert "without hashes" in text
    finally:
        running_program.cache_clear()


def test_an_archive_has_its_files() -> None:
    packed = zipfile.ZipFile(io.BytesIO(archive({"b": b"2", "a/ä": b"1"})))
    assert {name: packed.read(name) for name in packed.namelist()} == {"a/ä": b"1", "b": b"2"}


# --- nothing is cut ---------------------------------------------------------------------------


def test_a_long_input_is_whole_in_the_record_and_on_the_page(tmp_path: Path) -> None:
    """JSON had its first four hundred signs, and of a list sixty items."""
    parts = "".join(
        f"    - {{name: part number {number} of many, mass: 1 kg, price: 1 EUR}}\n" for number in range(70)
    )
    text = f"```yaml calc\nid: bill\nkind: parts\ninputs:\n  currency: EUR\n  parts:\n{parts}```\n"
    book = open_site(tmp_path, {"a.md": text})
    (block,) = json.loads(page_record(book, "a"))["blocks"]
    written = block["cases"][0]["inputs"]["parts"]["written"]
    assert written.startswith(
        "[{name: part number 0 of many, mass: 1 kg, price: 1 EUR}, {name: part number 1 of"
    )
    assert written.endswith("{name: part number 69 of many, mass: 1 kg, price: 1 EUR}]")
    assert "…" not in written
    result = book.result("a", "bill")
    assert result is not None
    (long,) = parse(render_card(result).html(lambda link: link.anchor)).all("span", "buildlog-long")
    assert long.words == " ".join(written.split())
    assert long.attributes["tabindex"] == "0"
