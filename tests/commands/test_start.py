"""Starting to write: a new episode, what a shell completes, and the hook that proofs before a commit."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.commands.completion import SHELLS
from buildlog.kinds import catalogue
from buildlog.proof.proof import proof_book
from buildlog.reading.addresses import read_address
from buildlog.reading.blocks import BLOCK_KEYS
from buildlog.reading.front_matter_keys import KEYS
from tests.samples import open_site, write_site
from tests.systems import link, on_unix

ROOT = Path(__file__).resolve().parents[2]


def start(folder: Path, *arguments: str) -> Result:
    """Run it in a site; where there is none yet, see test_new_site.py."""
    if not (folder / "mkdocs.yml").exists():
        (folder / "mkdocs.yml").write_text("docs_dir: content\n")
    return CliRunner().invoke(main, ["start", *arguments, "--site", str(folder)], catch_exceptions=False)


def episode(folder: Path, name: str) -> Path:
    return folder / "content" / "episodes" / f"{name}.md"


# --- buildlog start ---------------------------------------------------------------------------


_ALL_IN_DOUBT = ("header", "power_run", "sheet_bend")
"""Kinds between the cases of whose examples no change is more than its own uncertainty."""


@pytest.mark.parametrize("kind", catalogue.kind_names())
def test_a_new_episode_of_every_kind_proofs_clean_and_shows_the_idioms(tmp_path: Path, kind: str) -> None:
    result = start(tmp_path, "A first try", "--kind", kind)
    assert result.exit_code == 0, result.output
    assert "Wrote content/episodes/a-first-try.md" in result.output
    assert "buildlog proof" in result.output
    report = proof_book(open_site(tmp_path, {}))
    assert report.findings == ()
    assert report.count("computed") >= 3
    assert report.count("loose") == 0
    assert {entry.label == "" for entry in report.entries} == {True, False}
    text = episode(tmp_path, "a-first-try").read_text("utf-8")
    assert text.startswith("---\ntitle: A first try\n")
    assert "\n---\n\n# A first try\n" in text
    cases = next(iter(report.book.results.values())).cases
    states_changes = len(cases) > 1 and kind not in _ALL_IN_DOUBT
    assert ('"vs ' in text.partition("<!--")[0]) == states_changes
    for idiom in ("](cite:", "](told:", "sources.yml"):
        assert idiom in text


_CHANGE = re.compile(r'\[([^]]*)\]\((calc:\S+) "vs ([^"]+)"\) (more|less) than')


@pytest.mark.parametrize("kind", catalogue.kind_names())
def test_a_new_episode_tells_a_share_only_of_what_has_a_true_zero(tmp_path: Path, kind: str) -> None:
    start(tmp_path, "A first try", "--kind", kind)
    book = proof_book(open_site(tmp_path, {})).book
    page = "episodes/a-first-try"
    for label, address, versus, direction in _CHANGE.findall(
        episode(tmp_path, "a-first-try").read_text("utf-8")
    ):
        target = book.target(page, read_address(address))
        value, base = target.number, book.other(page, target, versus).number
        assert (direction == "more") == (value.si > base.si), (address, label)
        if label.endswith(" %"):
            assert min(value.si, base.si) > 0, (address, label)
            assert value.unit != "%", (address, label)
            assert not re.search("temperature|level", value.dimension), (address, label)


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("forced_induction", "[51.5 K]"),  # 71.5 °C is 18 % more than 20 °C of the kelvins alone
        ("ram_air", "[660 Pa]"),  # −138 Pa are no share of −798 Pa
        ("bolted_joint", "[24 percentage points]"),
    ],
)
def test_a_change_that_is_no_share_is_a_difference(tmp_path: Path, kind: str, told: str) -> None:
    start(tmp_path, "A first try", "--kind", kind)
    assert told in episode(tmp_path, "a-first-try").read_text("utf-8")


def test_what_the_episode_can_say_of_the_job_is_read(tmp_path: Path) -> None:
    """With the # taken away, every key that a page about a job has but for those below."""
    write_site(tmp_path, {})
    start(tmp_path, "Gears")
    path = episode(tmp_path, "gears")
    text = path.read_text("utf-8")
    head, rest = text.split("\n---\n", 1)
    path.write_text(re.sub(r"^# (?=buildlog:|  )", "", head, flags=re.M) + "\n---\n" + rest, "utf-8")
    book = Book.open(root=tmp_path)
    assert [one.code.name for one in proof_book(book).findings] == []
    howto = book.pages["episodes/gears"].howto
    missing = [name for name in KEYS if not getattr(howto, name)]
    assert missing == ["date", "updated", "lang", "glossary", "hazards", "bill", "loose"]
    assert howto.is_job


def test_the_episode_is_built_with_its_figures(tmp_path: Path) -> None:
    import markdown

    from buildlog.page.extension import BuildlogExtension

    start(tmp_path, "Gears")
    text = episode(tmp_path, "gears").read_text("utf-8").split("---\n", 2)[2]
    extension = BuildlogExtension(content=str(tmp_path / "content"), page="episodes/gears")
    html = markdown.markdown(text, extensions=["tables", extension])
    assert 'id="calc-shorter-final"' in html
    assert extension.unexpected == []


def test_an_episode_that_is_there_is_left_alone(tmp_path: Path) -> None:
    write_site(tmp_path, {"episodes/clutch.md": "# Mine\n"})
    result = start(tmp_path, "Clutch")
    assert result.exit_code == 2
    assert "is there already" in result.output
    assert episode(tmp_path, "clutch").read_text() == "# Mine\n"


def test_a_link_in_the_way_is_not_followed(tmp_path: Path) -> None:
    write_site(tmp_path, {"episodes/index.md": "# Episodes\n"})
    link(episode(tmp_path, "clutch"), tmp_path / "elsewhere")
    assert start(tmp_path, "clutch").exit_code == 2
    assert not (tmp_path / "elsewhere").exists()
    outside = tmp_path / "outside"
    outside.mkdir()
    shutil.rmtree(tmp_path / "content" / "episodes")
    link(tmp_path / "content" / "episodes", outside)
    assert start(tmp_path, "clutch").exit_code == 2
    assert list(outside.iterdir()) == []


@pytest.mark.parametrize("name", ["", "  ", "../clutch", "a/b", "a\\b", ".hidden", "…", "x" * 101])
def test_a_name_is_no_path(tmp_path: Path, name: str) -> None:
    assert start(tmp_path, name).exit_code == 2
    assert not (tmp_path / "content").exists()


@pytest.mark.parametrize(
    ("name", "file", "title"),
    [
        ("shorter-final", "shorter-final", "Shorter final"),
        ("Shorter final.md", "shorter-final", "Shorter final"),
        ("Größere Düse", "grossere-duse", "Größere Düse"),
        ("Łódź Ærø", "lodz-aero", "Łódź Ærø"),
        ("Noise: less of it", "noise-less-of-it", '"Noise: less of it"'),
    ],
)
def test_the_title_and_the_file_come_from_the_name(tmp_path: Path, name: str, file: str, title: str) -> None:
    assert start(tmp_path, name).exit_code == 0
    text = episode(tmp_path, file).read_text("utf-8")
    assert text.splitlines()[1] == f"title: {title}"
    assert yaml.safe_load(text.split("---\n")[1])["title"] == title.strip('"')


def test_a_kind_that_is_not_there(tmp_path: Path) -> None:
    result = start(tmp_path, "Gears", "--kind", "gearin")
    assert result.exit_code == 2
    assert "did you mean “gearing” or “log_gearing”?" in result.output
    assert not (tmp_path / "content").exists()


def test_the_content_folder_is_that_of_the_settings(tmp_path: Path) -> None:
    (tmp_path / "mkdocs.yml").write_text("docs_dir: log\n")
    assert "Wrote log/episodes/gears.md" in start(tmp_path, "Gears").output
    assert (tmp_path / "log" / "episodes" / "gears.md").is_file()


# --- the manual of a kind at the command line -----------------------------------------------------


@pytest.mark.parametrize("kind", catalogue.kind_names())
def test_a_block_can_be_written_from_buildlog_kinds_alone(kind: str) -> None:
    """The page has an example, each input with what it takes, each choice, each column, each quantity."""
    page = CliRunner().invoke(main, ["kinds", kind]).output
    known = catalogue.load_kind(kind)
    assert f"kind: {kind}" in page
    for one in known.inputs:
        counted = "; without ± it counts with ± .+" if one.doubt else ""
        row = rf"^  {one.name}: .+; (required|optional|default .+){counted}$"
        assert re.search(row, page, re.M), one.name
        for word in getattr(one.form, "options", ()):
            assert re.search(rf"^    {re.escape(word)}$", page, re.M), word
        for column in getattr(one.form, "columns", ()):
            assert re.search(rf"^    {column.name}: ", page, re.M), column.name
    for output in known.outputs:
        assert re.search(rf"^  {output.name}(\.{output.key.upper()})?: ", page, re.M), output.name


@pytest.mark.parametrize("kind", catalogue.kind_names())
def test_the_block_on_the_terminal_can_be_put_into_a_page_as_it_stands(tmp_path: Path, kind: str) -> None:
    page = CliRunner().invoke(main, ["kinds", kind]).output
    fence = re.search(r"^```yaml calc\n.*?^```$", page, re.M | re.S)
    assert fence is not None
    report = proof_book(open_site(tmp_path, {"a.md": fence[0]}))
    assert (report.blocks, report.errors) == (1, ())
    about = page.partition("\nWriting the block\n")[2].partition("\n\n")[0]
    told = {word for line in re.findall(r"^  (\w[^:.\n]*):", about, re.M) for word in line.split(", ")}
    assert told >= set(BLOCK_KEYS), "each key of a block is said to what end it is there"


# --- completion ---------------------------------------------------------------------------------


@pytest.mark.parametrize("shell", SHELLS)
def test_the_completion_script_is_for_this_command(shell: str) -> None:
    result = CliRunner().invoke(main, ["completion", shell])
    assert result.exit_code == 0
    assert f"_BUILDLOG_COMPLETE={shell}_complete" in result.output
    if shutil.which(shell):
        subprocess.run([shell, "-n"], input=result.output, text=True, check=True, timeout=60)


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("buildlog led", {"ledger"}),
        ("buildlog kinds fly", {"flywheel"}),
        ("buildlog start x --kind acc", {"acceleration"}),
        ("buildlog units freq", {"frequency"}),
        ("buildlog findings moved-by-d", {"moved-by-data"}),
        ("buildlog ledger --at", {"--at-least"}),
    ],
)
@on_unix
def test_what_bash_completes(words: str, found: set[str]) -> None:
    script = CliRunner().invoke(main, ["completion", "bash"]).output
    name = re.search(r"^(_buildlog_completion)\(\)", script, re.M)
    assert name, "click's script defines one function"
    command = Path(sys.executable).parent / "buildlog"
    typed = words.split(" ")
    program = (
        f"{script}\nCOMP_WORDS=({' '.join(map(shlex.quote, typed))})\nCOMP_CWORD={len(typed) - 1}\n"
        f"{name[1]} {shlex.quote(str(command))}\n"
        'printf "%s\\n" "${COMPREPLY[@]}"\n'
    )
    ran = subprocess.run(["bash", "-c", program], capture_output=True, text=True, check=True, timeout=60)
    assert set(ran.stdout.split()) == found


# --- the hook --------------------------------------------------------------------------------------


def test_the_hook_runs_the_proof_of_the_whole_site(tmp_path: Path) -> None:
    """Keys as pre-commit's documentation has them ("Creating new hooks"); the program itself is not here."""
    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8"))
    assert {"id", "name", "entry", "language"} <= hook.keys()
    assert hook["pass_filenames"] is False
    assert hook["language"] == "python"  # installed from this repository, whose script the entry names
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    program, *arguments = hook["entry"].split()
    assert program in project["scripts"]
    assert hook["types"] == ["text"]  # a page may include a file of any name
    assert "files" not in hook
    write_site(tmp_path, {"a.md": "[5 kg](calc:nothing.mass)\n"})
    command = [str(Path(sys.executable).parent / program), *arguments]
    ran = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, check=False, timeout=60)
    assert (ran.returncode, ran.stderr) == (1, "")
    write_site(tmp_path, {"a.md": "# Nothing\n"})
    environment = {**os.environ, "NO_COLOR": "1"}
    ran = subprocess.run(
        command, capture_output=True, text=True, cwd=tmp_path, check=False, timeout=60, env=environment
    )
    assert (ran.returncode, ran.stdout) == (0, "")
