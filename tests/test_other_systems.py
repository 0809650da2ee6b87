"""What keeps buildlog usable on Windows and macOS, as far as it can be asked of the source on any system."""

from __future__ import annotations

import ast
import codecs
import ntpath
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path, PureWindowsPath
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from buildlog.cli import main
from buildlog.diagnostics import Refused
from buildlog.files.file_names import as_listed
from buildlog.reading import configuration
from buildlog.reading.data import data_path
from buildlog.report.printable import plainer
from tests.samples import GEARING, write_site

ROOT = Path(__file__).resolve().parents[1]
SOURCES = sorted([*(ROOT / "buildlog").rglob("*.py"), *(ROOT / "plugins").rglob("*.py")])
TESTS = sorted((ROOT / "tests").rglob("*.py"))
ONLY_ON_UNIX = frozenset("curses fcntl grp posix pty pwd readline resource termios tty".split())
_OF_TEXT = ("read_text", "write_text")


def calls(tree: ast.AST) -> Iterator[tuple[ast.Call, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            function = node.func
            yield node, function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")


def without_encoding(tree: ast.AST) -> list[int]:
    """Lines that open or read a text and leave the encoding to the system."""
    lines = []
    for call, name in calls(tree):
        if any(word.arg in ("encoding", "mode") or word.arg is None for word in call.keywords):
            continue
        plain = isinstance(call.func, ast.Name)
        is_binary = any(isinstance(one, ast.Constant) and "b" in str(one.value) for one in call.args)
        if name == "open" and plain and not is_binary:
            lines.append(call.lineno)
        # Of Path; our own read_text(path, shown) reads UTF-8, and a distribution's files are UTF-8.
        if name in _OF_TEXT and not plain and len(call.args) < (1 if name == "read_text" else 2):
            lines.append(call.lineno)
    return lines


def test_the_sweep_finds_what_it_looks_for() -> None:
    found = ast.parse("open(p)\np.read_text()\np.write_text(t)\nopen(p, 'rb')\np.read_text('utf-8')\n")
    assert without_encoding(found) == [1, 2, 3]
    assert without_encoding(ast.parse("p.read_text(encoding='utf-8')\nopen(p, encoding='utf-8')")) == []


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_text_names_its_encoding_and_no_module_is_of_unix_alone(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert without_encoding(tree) == []
    imported = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    imported |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not imported & ONLY_ON_UNIX


# --- paths ---


def test_paths_are_shown_from_the_site_and_whole_from_another_drive(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the path functions of Windows, which know no way from one drive to another."""
    monkeypatch.setattr(configuration, "Path", PureWindowsPath)
    monkeypatch.setattr(configuration, "os", SimpleNamespace(path=ntpath))
    site = PureWindowsPath(r"C:\site")
    with pytest.raises(ValueError):
        ntpath.relpath(r"D:\pages\a.md", site)
    for path, shown in [
        (r"C:\site\content\a.md", "content/a.md"),
        (r"C:\shared\base.yml", "../shared/base.yml"),
        (r"D:\pages\a.md", "D:/pages/a.md"),
        (r"\\host\share\a.md", "//host/share/a.md"),
    ]:
        assert configuration.shown_from(site, PureWindowsPath(path)) == shown  # type: ignore[arg-type]


def test_only_one_function_asks_for_the_way_from_a_folder_to_a_file() -> None:
    """The others would break down over two drives."""
    asking = [
        (path.relative_to(ROOT).as_posix(), ast.unparse(call.func))
        for path in SOURCES
        for call, name in calls(ast.parse(path.read_text(encoding="utf-8")))
        if name in ("relpath", "commonpath") and not ast.unparse(call.func).startswith("posixpath.")
    ]
    assert asking == [("buildlog/reading/configuration.py", "os.path.relpath")]


@pytest.mark.parametrize(
    "name", ["runs\\a.csv", "C:runs/a.csv", "C:\\runs\\a.csv", "RUNS~1/a.csv", "runs/a.csv.", "runs/a.csv "]
)
def test_a_data_file_is_named_as_on_every_system(tmp_path: Path, name: str) -> None:
    """Windows takes each of these for a path of the file: by backslash, drive, short name, trailing signs."""
    (tmp_path / "runs").mkdir()
    (tmp_path / "runs" / "a.csv").write_bytes(b"a\n1\n")
    assert as_listed(tmp_path, name) is None
    with pytest.raises(Refused):
        data_path(tmp_path, name)


def test_a_site_where_links_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As Windows refuses them to most users: nothing of ours makes one."""

    def refuse(*arguments: object, **more: object) -> None:
        raise OSError(1314, "A required privilege is not held by the client")

    monkeypatch.setattr(os, "symlink", refuse)
    monkeypatch.setattr(os, "link", refuse)
    for command in ("start", "proof", "ledger --record", "amend --write"):
        result = CliRunner().invoke(main, [*command.split(), "--site", str(tmp_path)])
        assert result.exit_code == 0, result.output


# --- the tests themselves ---

MAKES_WHAT_IT_NEEDS = "tests/systems.py"  # with a reason to skip the test where the system has it not
_OF_UNIX = frozenset("symlink symlink_to mkfifo getuid geteuid getgid fork openpty".split())


def of_unix_alone(tree: ast.Module) -> list[int]:
    """Lines that stop a file of tests from being collected on Windows, or a test from running there: modules
    imported before a test has begun, and calls that Windows lacks or refuses."""
    lines = []
    for node in tree.body:
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = [node.module or ""]
        if ONLY_ON_UNIX.intersection(names):
            lines.append(node.lineno)
    for call, name in calls(tree):
        owner = call.func.value if isinstance(call.func, ast.Attribute) else None
        is_skipping = isinstance(owner, ast.Call) and "importorskip" in ast.dump(owner.func)
        if name in _OF_UNIX and not is_skipping:
            lines.append(call.lineno)
    return sorted(lines)


def test_that_sweep_finds_what_it_looks_for() -> None:
    found = "import os, fcntl\nfrom pty import openpty\nos.mkfifo(p)\np.symlink_to(q)\nopenpty()\n"
    assert of_unix_alone(ast.parse(found)) == [1, 2, 3, 4, 5]
    fine = "def test():\n    import resource\n    pytest.importorskip('pty').openpty()\n    link(p, q)\n"
    assert of_unix_alone(ast.parse(fine)) == []


@pytest.mark.parametrize("path", TESTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_windows_can_collect_every_test_and_skips_what_it_lacks(path: Path) -> None:
    if path.relative_to(ROOT).as_posix() != MAKES_WHAT_IT_NEEDS:
        assert of_unix_alone(ast.parse(path.read_text(encoding="utf-8"))) == []


# --- a console that lacks signs ---


@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "ascii"])
@pytest.mark.parametrize(
    "command", ["--help", "proof", "units", "kinds gearing", "working a#shorter-final", "ledger"]
)
def test_a_console_of_windows_takes_every_command(tmp_path: Path, command: str, encoding: str) -> None:
    write_site(tmp_path, {"a.md": f"It weighs 4.2 kg, “so”.\n\n{GEARING}"})
    (tmp_path / "mkdocs.yml").write_text("docs_dir: content\nplugins: [buildlog]\n", encoding="utf-8")
    paths = os.pathsep.join(str(folder) for folder in (ROOT, ROOT / "plugins"))
    environment = os.environ | {"PYTHONIOENCODING": encoding, "PYTHONUTF8": "0", "PYTHONPATH": paths}
    line = [sys.executable, "-m", "buildlog.cli", *command.split()]
    ran = subprocess.run(line, cwd=tmp_path, env=environment, capture_output=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert ran.stderr == b""
    if command == "proof" and encoding == "cp437":
        assert b"id: >shorter-final<" in ran.stdout
        assert b"\\u" not in ran.stdout


@pytest.mark.parametrize(
    "text,encoding,written",
    [
        ("“it’s” … 5 − 3 × 2 ≥ 1", "ascii", b'"it\'s" ... 5 - 3 x 2 >= 1'),
        ("“it’s” …", "cp1252", "“it’s” …".encode("cp1252")),
        ("ω", "ascii", b"\\u03c9"),
        ("\udcff", "ascii", b"\\udcff"),
    ],
)
def test_signs_that_an_encoding_lacks(text: str, encoding: str, written: bytes) -> None:
    codecs.register_error("plainer-here", plainer)
    assert text.encode(encoding, "plainer-here") == written
