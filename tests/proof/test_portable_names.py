"""Names that Windows or macOS cannot hold: only of pages that are ours and of what they rest on."""

from __future__ import annotations

import os
import unicodedata
from pathlib import Path

import pytest

from buildlog.diagnostics import Diagnostic
from buildlog.proof.proof import proof_book
from tests.samples import GEARING, calc, open_site

NAMES = ("name-refused-by-windows", "names-taken-for-one")
READS = calc(
    """
    id: hill
    kind: course
    inputs:
      legs: {data: "NAME"}
    """
)
LEGS = b"length [m],gradient [%]\n100,1\n200,2\n"
needs_such_names = pytest.mark.skipif(os.name != "posix", reason="Windows cannot hold the names it is about")


def found(tmp_path: Path, files: dict[str, str | bytes]) -> list[Diagnostic]:
    return [one for one in proof_book(open_site(tmp_path, files)).findings if one.code.name in NAMES]


def tells_capitals_apart(folder: Path) -> bool:
    (folder / "probe").touch()
    return not (folder / "PROBE").exists()


@needs_such_names
def test_pages_of_ours_and_what_they_rest_on(tmp_path: Path) -> None:
    pictures = "![The duct](pictures/duct?.svg)\n\n![Two](pictures/a%3Ab.svg)"
    page = f"{pictures}\n\n{READS.replace('NAME', 'com1.csv')}"
    files: dict[str, str | bytes] = {
        "nul/aux.md": page,
        "nul/other.md": GEARING,
        "nul/theirs?.md": "# Nothing of ours",
        "com1.csv": LEGS,
        "prn.csv": LEGS,
        "nul/pictures/a:b.svg": "<svg/>",
    }
    assert [(one.position.path, one.found, one.severity.word) for one in found(tmp_path, files)] == [
        ("content/com1.csv", "“com1.csv”, which Windows keeps for a device", "warning"),
        ("content/nul/aux.md", "“nul”, which Windows keeps for a device", "warning"),
        ("content/nul/aux.md", "“aux.md”, which Windows keeps for a device", "warning"),
        ("content/nul/pictures/a:b.svg", "“a:b.svg”, with “:”", "warning"),
    ]


def test_others_pages_are_theirs(tmp_path: Path) -> None:
    if not tells_capitals_apart(tmp_path):
        pytest.skip("this system takes the two names for one")
    assert found(tmp_path, {"A.md": "# A", "a.md": "# a", "b.md": GEARING}) == []


def test_two_names_that_are_one_elsewhere_are_told_once(tmp_path: Path) -> None:
    if not tells_capitals_apart(tmp_path):
        pytest.skip("this system takes the two names for one")
    apart = unicodedata.normalize("NFD", "kühler.csv")
    page = READS.replace("NAME", "kühler.csv")
    files: dict[str, str | bytes] = {"A/b.md": GEARING, "A/B.md": page, "a/c.txt": "", "kühler.csv": LEGS}
    told = found(tmp_path, {**files, apart: LEGS})
    assert [(one.position.path, one.found, str(one.second)) for one in told] == [
        ("content/A/B.md", "“A” beside “a”, which differs in capital letters", "content/a:1:1"),
        ("content/A/B.md", "“B.md” beside “b.md”, which differs in capital letters", "content/A/b.md:1:1"),
        (
            "content/kühler.csv",
            f"“kühler.csv” beside “{apart}”, which differs in how an accent is put together",
            f"content/{apart}:1:1",
        ),
    ]


@pytest.mark.parametrize("system", ["linux", "windows"])
def test_a_data_file_under_another_case(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, system: str) -> None:
    """A system that does not tell capital letters apart finds the file: the folder's list is asked."""
    if system == "windows":
        is_file = Path.is_file

        def finds_any_case(path: Path) -> bool:
            near = [
                other for other in path.parent.parent.rglob("*") if str(other).lower() == str(path).lower()
            ]
            return is_file(path) or any(map(is_file, near))

        monkeypatch.setattr(Path, "is_file", finds_any_case)
    files: dict[str, str | bytes] = {"a.md": READS.replace("NAME", "Runs/a.CSV"), "runs/a.csv": LEGS}
    findings = proof_book(open_site(tmp_path, files)).findings
    (one,) = [one for one in findings if one.code.name == "data-unreadable"]
    assert one.found == "“Runs/a.CSV”, which is not there"
    assert one.expected == "“runs/a.csv”, which differs in capital letters"
    assert one.help.startswith("write runs/a.csv: ")
    if system == "windows":
        assert (tmp_path / "content" / "Runs" / "a.CSV").is_file()
