"""The command line as a stranger meets it: what is printed, and the exit codes 0, 1 and 2."""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from buildlog.book.book import Book
from buildlog.book.repeating import hash_lines
from buildlog.cli import COMMANDS, main
from buildlog.kinds import catalogue
from buildlog.report.codes import all_codes, codes_pages
from tests.samples import GEARING, write_site

ROOT = Path(__file__).resolve().parents[2]
RIGHT = f"# A\n\nThird: [135.5 km/h](calc:shorter-final.after.speed_at_limit.3).\n\n{GEARING}"
WRONG = RIGHT.replace("135.5", "153.5")


def run(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, [*arguments, "--site", str(folder)], catch_exceptions=False)


def test_all_agrees(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": RIGHT})
    result = run(tmp_path, "proof")
    assert result.exit_code == 0
    assert result.output.splitlines() == [
        "1 page, 1 calculation block, 1 figure: "
        "1 computed, 0 cited, 0 told, 0 loose (100 % rest on something).",
        "The computed figure agrees.",
    ]


def test_a_disagreement_is_shown_with_its_line(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": WRONG})
    result = run(tmp_path, "proof")
    assert result.exit_code == 1
    lines = result.output.splitlines()
    assert lines[:3] == [
        "content/a.md:3:9  error  figure-disagrees",
        "    Third: ›153.5 km/h‹.",
        "      stated    153.5 km/h   stands for 153.45 to 153.55 km/h",
    ]
    assert lines[3].startswith("      computed  135.52\u00a0km/h  ")
    assert "1 error." in lines


def test_a_page_is_named_as_figures_name_it_and_a_mistyped_one_by_its_path(tmp_path: Path) -> None:
    write_site(tmp_path, {"b/clutch.md": RIGHT, "b/other.md": WRONG})
    assert run(tmp_path, "proof", "b/clutch").exit_code == 0
    assert "b/clutch: 1 figure" in run(tmp_path, "ledger", "b/clutch").output
    missing = run(tmp_path, "proof", "b/cluch.md")
    assert (missing.exit_code, missing.output) == (
        2,
        "buildlog: b/cluch.md is no page and no folder of pages of this site; "
        "did you mean “content/b/clutch.md”?\n",
    )


def test_the_hashes_of_pages_are_printed_as_the_pages_show_them(tmp_path: Path) -> None:
    content = write_site(tmp_path, {"a.md": RIGHT, "b/c.md": RIGHT, "words.md": "# Words\n"})
    lines = run(tmp_path, "ledger", "--hashes").output.split("\n")
    book = Book.open(root=tmp_path)
    assert lines == [*hash_lines(book, "a"), "", *hash_lines(book, "b/c"), ""]
    assert re.fullmatch(r"[0-9a-f]{16}  [0-9a-f]{16}  -{1} {15}  a#shorter-final", lines[1])
    alone = run(tmp_path, "ledger", "--hashes", str(content / "a.md")).output
    assert alone.splitlines() == hash_lines(book, "a")
    for option in (["--format", "csv"], ["--record"], ["--at-least", "90%"]):
        refused = run(tmp_path, "ledger", "--hashes", *option)
        assert (refused.exit_code, "leave --format" in refused.output) == (2, True)


def test_only_the_pages_that_were_named(tmp_path: Path) -> None:
    content = write_site(tmp_path, {"a.md": WRONG, "more/b.md": RIGHT})
    assert run(tmp_path, "proof", str(content / "more")).exit_code == 0
    assert run(tmp_path, "proof", str(content / "a.md")).exit_code == 1
    missing = run(tmp_path, "proof", str(content / "c.md"))
    assert missing.exit_code == 2
    assert "is no page" in missing.output


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("working", "a#shorter"), "did you mean “a#shorter-final”?"),
        (("working", "a"), "The blocks of this site:"),
        (("ledger", "nowhere.md"), "is no page"),
    ],
)
def test_could_not_run(tmp_path: Path, arguments: tuple[str, ...], words: str) -> None:
    write_site(tmp_path, {"a.md": RIGHT})
    result = run(tmp_path, *arguments)
    assert result.exit_code == 2
    assert words in result.output


def test_no_site(tmp_path: Path) -> None:
    assert run(tmp_path / "nothing", "proof").exit_code == 2
    result = run(tmp_path, "proof")
    assert result.exit_code == 2
    assert "there is no folder content" in result.output


def test_a_block_that_fails_shows_its_faults(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": RIGHT.replace("8200 rpm", "8200")})
    result = run(tmp_path, "working", "a#shorter-final")
    assert result.exit_code == 1
    assert "missing-unit" in result.output


@pytest.mark.parametrize("page", ["a", "a.md", "content/a.md", "content/a", "{site}/content/a.md"])
def test_a_page_may_be_named_as_a_shell_completes_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, page: str
) -> None:
    write_site(tmp_path, {"a.md": RIGHT})
    address = f"{page.format(site=tmp_path)}#shorter-final"
    assert run(tmp_path, "working", address).exit_code == 0
    monkeypatch.chdir(tmp_path)
    assert run(Path(), "working", address).exit_code == 0


def test_working_shows_formula_numbers_result_and_source(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": RIGHT})
    text = run(tmp_path, "working", "a#shorter-final").output.replace("\u00a0", " ")
    assert "v = ω U / (2 π i)" in text
    assert "2 π × 6.37778) = 37.6457 m/s = 135.5 ± 2.1 km/h" in text
    assert "[1] Kinematics of rigid gearing and rolling" in text
    assert "given in the case" in text


def test_ledger_in_three_formats(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": WRONG})
    assert "DISAGREES" in run(tmp_path, "ledger").output
    document = json.loads(run(tmp_path, "ledger", "--format", "json").output)
    assert document["figures"][0]["agrees"] is False
    (row,) = csv.DictReader(io.StringIO(run(tmp_path, "ledger", "--format", "csv").output))
    assert (row["page"], row["line"], row["label"], row["agrees"]) == ("a", "3", "153.5 km/h", "no")


def test_a_cell_that_a_spreadsheet_would_run_is_disarmed(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": "[=1+1](told:x)", "sources.yml": "x: {who: somebody, when: once}"})
    (row,) = csv.DictReader(io.StringIO(run(tmp_path, "ledger", "--format", "csv").output))
    assert row["label"] == "'=1+1"


def test_terminal_escapes_and_annotations_in_content_are_disarmed(tmp_path: Path) -> None:
    hostile = "[\x1b[31m9 km/h\u202e](calc:shorter-final.after.speed_at_limit.3)"
    write_site(tmp_path, {"a.md": f"{hostile}\n\n{GEARING}"})
    result = run(tmp_path, "proof")
    assert result.exit_code == 1
    assert "\x1b" not in result.output
    assert "\u202e" not in result.output


def test_kinds() -> None:
    runner = CliRunner()
    assert "gearing" in runner.invoke(main, ["kinds"]).output
    page = runner.invoke(main, ["kinds", "gearing"]).output
    assert "rolling_circumference" in page
    assert "speed_at_limit.GEAR" in page
    wrong = runner.invoke(main, ["kinds", "gearng"])
    assert wrong.exit_code == 2
    assert "did you mean “gearing” or “log_gearing”?" in wrong.output


def loaded_by(folder: Path, *arguments: str) -> tuple[str, set[str]]:
    """What a command prints, and the modules that are loaded when it ends."""
    code = (
        "import sys, atexit; atexit.register(lambda: print('loaded:', *sys.modules));"
        "from buildlog.cli import main; main(sys.argv[1:])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, cwd=folder, check=False
    )
    output, _, loaded = done.stdout.rpartition("loaded: ")
    return output, set(loaded.split())


def test_the_proof_needs_no_drawing_no_site_generator_and_no_library_of_units() -> None:
    output, loaded = loaded_by(ROOT, "proof")
    assert "calculation blocks" in output
    assert not loaded & {"matplotlib", "mkdocs", "markdown", "jinja2", "pint", "uncertainties", "scipy"}


def test_numpy_waits_until_something_is_drawn_or_read_from_a_log(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": GEARING})
    output, loaded = loaded_by(tmp_path, "proof")
    assert "1 calculation block" in output
    assert "numpy" not in loaded


# What each command may load of ours, besides what all do. The others read pages, and load what it takes.
BY_ALL = """
    buildlog buildlog.cli buildlog.commands buildlog.commands.stop buildlog.report buildlog.report.printable
    buildlog.version buildlog_installed
""".split()
OF_OWN_UNITS = """
    commands.own_units diagnostics figures.factor_table figures.spellings figures.units
    figures.worked_out files.text reading.code_list reading.configuration reading.nodes
    reading.own_units reading.pages_folder reading.toml_configuration
"""
LIGHT: dict[tuple[str, ...], str] = {
    ("--version",): "",
    ("--help",): "",
    ("completion", "bash"): "commands.completion",
    ("schema",): f"commands.schema commands.writing files.whole_file report.schema_names {OF_OWN_UNITS}",
    ("kinds",): """
        commands.kinds commands.completion commands.writing calculators diagnostics files.whole_file
        kinds kinds.catalogue reading.code_list report.codes report.kind_list report.wording
    """,
    ("findings", "loose-figure"): """
        commands.findings commands.completion commands.writing diagnostics files.whole_file reading.code_list
        report.codes
    """,
    ("units", "torque"): f"""
        commands.units commands.completion commands.writing diagnostics figures figures.factor_table
        figures.spellings figures.units files.whole_file reading.code_list report.codes report.unit_list
        report.wording {OF_OWN_UNITS}
    """,
}


@pytest.mark.parametrize("arguments", LIGHT)
def test_a_command_loads_what_it_needs_and_no_more(arguments: tuple[str, ...]) -> None:
    """To start is most of what these take. Of other packages they need the command line's and YAML."""
    output, loaded = loaded_by(ROOT, *arguments)
    assert output
    ours = {name for name in loaded if name.split(".")[0] in ("buildlog", "buildlog_installed")}
    allowed = {*BY_ALL, *(f"buildlog.{name}" for name in LIGHT[arguments].split())}
    # The rooms that are folders, which hold nothing to load.
    assert {name for name in ours - allowed if name.count(".") > 1} == set()
    packages = {name.split(".")[0] for name in loaded if not name.startswith("_")} - sys.stdlib_module_names
    known = {"click", "yaml", "cython_runtime", "buildlog", "buildlog_installed"}
    assert packages - known <= BY_PYTHON


# What an interpreter loads before it begins: files of installed packages that say where those are.
BY_PYTHON = {
    name.split(".")[0]
    for name in subprocess.run(
        [sys.executable, "-c", "import sys; print(*sys.modules)"], capture_output=True, text=True, check=True
    ).stdout.split()
}


def test_the_titles_of_kinds_are_those_that_their_files_declare() -> None:
    assert catalogue.kind_titles() == [
        (name, catalogue.load_kind(name).title) for name in catalogue.kind_names()
    ]


def test_every_finding_has_its_page() -> None:
    codes = [code for code in all_codes() if not code.name.startswith("test-")]  # declared by other tests
    for code in codes:
        assert code.example, f"{code.name} has no example"
        assert code.why
        assert code.mend
    assert {f"{code.name}.md" for code in codes} <= codes_pages(codes).keys()


def test_findings() -> None:
    runner = CliRunner()
    assert "figure-disagrees" in runner.invoke(main, ["findings"]).output
    assert "Mend: " in runner.invoke(main, ["findings", "loose-figure"]).output
    wrong = runner.invoke(main, ["findings", "figure-disagree"])
    assert wrong.exit_code == 2
    assert "did you mean “figure-disagrees”" in wrong.output


def test_what_stops_a_site_cannot_be_turned_down(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": WRONG})
    levels = "docs_dir: content\nplugins: [{buildlog: {findings: {figure-disagrees: off}}}]\n"
    (tmp_path / "mkdocs.yml").write_text(levels)
    result = run(tmp_path, "proof")
    assert result.exit_code == 1
    assert "cannot be turned down" in result.output
    assert "  error  figure-disagrees\n" in result.output


@pytest.mark.parametrize(
    ("share", "code"),
    [("50%", 0), ("0.5", 0), ("51 %", 1), ("100%", 1), ("120%", 2), ("half", 2), ("50 kg", 2), ("50", 2)],
)
def test_coverage_as_a_gate(tmp_path: Path, share: str, code: int) -> None:
    """One figure of two rests on something; a share is never rounded up to pass."""
    write_site(tmp_path, {"a.md": RIGHT.replace("Third:", "The plug takes 39 N·m. Third:")})
    result = run(tmp_path, "ledger", "--at-least", share)
    assert result.exit_code == code
    if code < 2:
        assert "a: 2 figures, 50 % rest on something" in result.output


def test_units() -> None:
    """The manual says what the trade means by hp, PS and bhp."""
    runner = CliRunner()
    power = runner.invoke(main, ["units", "power"]).output
    for word in ("mechanical horsepower", "metric horsepower", "bhp"):
        assert word in power
    assert "speed:" not in power
    wrong = runner.invoke(main, ["units", "powr"])
    assert wrong.exit_code == 2
    assert "did you mean “power”" in wrong.output


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ["findings", "unused-sorce"],
            "buildlog: no finding has the code “unused-sorce”; did you mean “unused-s",
        ),
        (["findings", "zzz"], "buildlog: no finding has the code “zzz”; “buildlog findings” lists them\n"),
        (["kinds", "gearng"], "buildlog: no kind “gearng”; did you mean “gearing” or “log_gearing”?\n"),
        (["units", "zzz"], "buildlog: no dimension “zzz”; “buildlog units” lists them\n"),
    ],
)
def test_a_name_that_is_not_there_is_told_in_one_line(arguments: list[str], said: str) -> None:
    result = CliRunner().invoke(main, arguments)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith(said)
    assert result.stderr.count("\n") == 1


def test_a_site_without_blocks_has_no_list_of_them(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": "# A\n"})
    result = run(tmp_path, "working", "a#x")
    assert (result.exit_code, result.stderr) == (2, "buildlog: no block “a#x”: this site has none\n")


def test_a_command_that_missed_says_what_was_near(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": RIGHT})
    said = run(tmp_path, "ledger", "--at-least", "95").stderr
    assert said == "buildlog: --at-least takes a share like 95%: did you mean 95%?\n"
    said = run(tmp_path, "working", "shorter-final").stderr
    assert said.startswith("buildlog: no block “shorter-final”; did you mean “a#shorter-final”?\n")


# --- help, and faults of our own -------------------------------------------------------------


def test_the_help_of_every_command_is_whole_sentences() -> None:
    runner = CliRunner()
    listed = runner.invoke(main, ["--help"]).output
    assert "..." not in listed.partition("Commands:")[2]
    context = click.Context(main)
    for name in main.list_commands(context):
        command = main.get_command(context, name)
        assert command is not None
        assert command.name == name
        assert COMMANDS[name].endswith("."), name
        for option in command.params:
            if isinstance(option, click.Option) and option.name != "help":
                assert option.help, f"{name}: {option.name} is not explained"
                assert option.help.partition(" [")[0].endswith("."), f"{name}: {option.name}"


@pytest.mark.parametrize("debug", [False, True])
def test_a_fault_of_ours_is_told_as_one(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, debug: bool) -> None:
    """A mistake in a command is no finding and no bare traceback; with --debug the traceback comes too."""

    def broken(*_: object, **__: object) -> None:
        raise KeyError("stress")

    monkeypatch.setattr("buildlog.commands.proof.proof_book", broken)
    write_site(tmp_path, {"index.md": "# A page\n"})
    arguments = [*(["--debug"] if debug else []), "proof", "--site", str(tmp_path)]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 2
    assert "buildlog: this is a fault of buildlog, not of your pages: KeyError: 'stress'" in result.output
    assert "It happened in broken, line " in result.output
    assert ("Traceback (most recent call last)" in result.output) is debug
    assert ("buildlog --debug proof …" in result.output) is not debug
