"""Messages that whoever meets them for the first time can act on."""

from __future__ import annotations

from pathlib import Path

import markdown
import pytest
from click.testing import CliRunner

from buildlog.cli import main
from buildlog.diagnostics import Diagnostic
from buildlog.page.extension import BuildlogExtension
from buildlog.proof.proof import proof_book
from tests.parsed_html import parse
from tests.samples import GEARING, calc, open_site

LOG = """\
id: compared
kind: log_gearing
inputs:
  log:
    {table}
    time: {{heading: Time, unit: s}}
    columns:
      engine_speed: {{heading: RPM, unit: rpm}}
      road_speed: {{heading: Speed, unit: km/h}}
  final_drive: 4.10
  gears: [3.3, 2.0]
  rolling_circumference: 1800 mm
"""


def findings(folder: Path, files: dict[str, str | bytes]) -> list[Diagnostic]:
    return list(proof_book(open_site(folder, files)).findings)


def test_what_is_wrong_with_own_units_comes_before_what_follows_from_it(tmp_path: Path) -> None:
    page = GEARING.replace("100 km/h", "100 furlong/h")
    found = findings(
        tmp_path, {"own-units.txt": "== length\nfurlong = 220 yerd | furlong | us\n", "a.md": page}
    )
    assert [one.code.name for one in found][:2] == ["own-unit", "unknown-unit"]


@pytest.mark.parametrize(
    ("table", "said"), [("", "a log without its table"), ("data:", "no table"), ("text:", "no table")]
)
def test_a_log_without_its_table(tmp_path: Path, table: str, said: str) -> None:
    (found,) = findings(tmp_path, {"a.md": calc(LOG.format(table=table or "# nothing"))})
    assert found.found == said
    assert "data: runs/morning.csv" in found.help
    assert "text: |" in found.help
    assert "unit" not in found.help


@pytest.mark.parametrize(
    ("written", "file"),
    [("mine.csv", "data: mine.csv"), ("[mine.csv]", "data: mine.csv"), ("", "data: runs/")],
)
def test_a_log_that_is_only_named(tmp_path: Path, written: str, file: str) -> None:
    before, after = LOG.split("  log:\n")[0], LOG.split("unit: km/h}}\n")[1]
    (found,) = findings(tmp_path, {"a.md": calc(f"{before}  log: {written}\n{after}")})
    assert found.position.line == 5
    assert file in found.help
    assert "time: and columns:" in found.help
    assert "number" not in found.help


@pytest.mark.parametrize(
    ("settings", "found"),
    [
        ("site_name: a\n# one\u2028 two\nplugins: [buildlog]\n", "U+2028, which ends a line for YAML"),
        ("site_name: a # one\x85 two\nplugins: [buildlog]\n", "U+0085, which ends a line for YAML"),
        ("plugins:\n  - buildlog\n  loose: off\n", "a line that continues nothing above it"),
    ],
)
def test_settings_that_no_parser_takes_are_told_in_plain_words(
    tmp_path: Path, settings: str, found: str
) -> None:
    (tmp_path / "docs").mkdir()
    (tmp_path / "mkdocs.yml").write_text(settings, "utf-8")
    told = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)]).output
    assert found in " ".join(told.split())
    assert "<block end>" not in told
    assert "<scalar>" not in told


@pytest.mark.parametrize("kind", ["", "[gearing]", "{gearing: 1}"])
def test_a_kind_that_is_no_word_is_one_finding(tmp_path: Path, kind: str) -> None:
    (found,) = findings(tmp_path, {"a.md": calc(f"id: a\nkind: {kind}\n")})
    assert (found.code.name, found.position.line) == ("block-shape", 3)
    assert found.expected == "the name of a calculator"


def test_the_mean_of_a_single_run(tmp_path: Path) -> None:
    block = calc(
        """
        id: t
        kind: timed_run
        inputs:
          stopwatch: [{run: 1, reading: 9.4 s}]
          timed_by: hand
          spans: [{name: sprint}]
        """
    )
    found = findings(tmp_path, {"a.md": f"{block}\nIt took [9.4 s](calc:t.mean_time.sprint).\n"})
    (one,) = [one for one in found if one.code.name == "unknown-address"]
    assert "One run: the scatter of one run is not known, so that it has no mean" in one.help


@pytest.mark.parametrize("mark", ["yaml Calc", "yaml CALC", "YAML calc", "Yaml Calc"])
def test_a_fence_in_another_case_is_told_as_no_block(tmp_path: Path, mark: str) -> None:
    found = findings(tmp_path, {"a.md": GEARING.replace("yaml calc", mark) + "\n[9 mm](cite:none)\n"})
    (one,) = [one for one in found if one.code.name == "block-not-read"]
    assert one.position.line == 1
    assert mark in one.found


MISTYPED = [
    *(
        "yaml Calc",
        "yamlcalc",
        "yaml-calc",
        "yaml_calc",
        "yaml:calc",
        "yaml cal",
        "yml calc",
        "calc",
        "yaml, calc",
    ),
    *(
        "yaml calculate",
        "yaml calc:",
        "calc yaml",
        "yamml calc",
        "yaml kalk",
        "yaml calc id=x",
        "{yaml calc}",
    ),
]


@pytest.mark.parametrize("mark", MISTYPED)
@pytest.mark.parametrize("around", ["", "> "])
def test_a_mistyped_fence_is_told_and_leaves_the_block_below_it_alone(
    tmp_path: Path, mark: str, around: str
) -> None:
    page = f"```{mark}\nid: first\nkind: gearing\n```\n\n{GEARING}\n"
    page = "".join(f"{around}{line}\n" for line in page.splitlines())
    found = findings(
        tmp_path, {"a.md": f"# A\n\n{page}\n[9 km/h](calc:shorter-final.after.speed_at_limit.3)\n"}
    )
    told = [one for one in found if one.code.name == "block-not-read"]
    assert [(one.position.line, one.found, one.expected) for one in told] == [
        (3, f"```{mark}", "```yaml calc")
    ]
    assert "unknown-address" not in [one.code.name for one in found]
    shown = parse(markdown.markdown(page, extensions=["pymdownx.superfences", BuildlogExtension()]))
    assert [code.text for code in shown.all("pre")][:1] == ["id: first\nkind: gearing\n"]
    assert shown.by_id("calc-shorter-final").name == "section"


@pytest.mark.parametrize(
    "mark", ["yaml", "yaml title='calc'", 'yaml title="a calc b"', "yamllint", "calcium", "{.yaml}"]
)
def test_another_fence_is_told_as_no_block(tmp_path: Path, mark: str) -> None:
    found = findings(tmp_path, {"a.md": f"# A\n\n```{mark}\na: 1\n```\n\n{GEARING}\n"})
    assert "block-not-read" not in [one.code.name for one in found]


def test_renaming_says_that_it_is_all_or_nothing() -> None:
    assert "all files or none" in " ".join(CliRunner().invoke(main, ["rename", "--help"]).output.split())
