"""On a site that has nothing of ours the plugin looks over the pages, and that is all: nothing else is
loaded."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from mkdocs_buildlog.look import has_signs
from tests.bench.without_figures import write_site
from tests.guests.small_sites import OUR_PAGE
from tests.house import ROOT

BUILD = """\
import json, sys
from mkdocs.commands.build import build
from mkdocs.config import load_config
config = load_config(sys.argv[1])
config.plugins.on_startup(command="build", dirty=False)
build(config)
print("loaded", json.dumps(sorted(sys.modules)))
"""
OF_OURS = {
    "buildlog",
    "buildlog.files",
    "buildlog.files.page_names",
    "buildlog.reading",
    "buildlog.reading.plugin_options",
    "buildlog.version",
}


def loaded(folder: Path) -> set[str]:
    """The modules that a process has which builds a site."""
    done = subprocess.run(
        [sys.executable, "-c", BUILD, str(folder / "ours.yml")],
        env={"PYTHONPATH": f"{ROOT}:{ROOT / 'plugins'}", "NO_MKDOCS_2_WARNING": "1"},
        cwd=folder,
        capture_output=True,
        text=True,
        check=True,
    )
    line = next(one for one in done.stdout.splitlines() if one.startswith("loaded "))
    return set(json.loads(line.removeprefix("loaded ")))


def test_nothing_is_loaded_that_is_not_needed(tmp_path: Path) -> None:
    write_site(tmp_path, 3)
    plain = loaded(tmp_path)
    assert {name for name in plain if name.partition(".")[0] == "buildlog"} == OF_OURS
    assert "mkdocs_buildlog.work" not in plain
    assert plain.isdisjoint(("numpy", "matplotlib", "pint", "brython", "PIL"))
    (tmp_path / "docs" / "ours.md").write_text(OUR_PAGE.replace("(cite:manual.nut)", "(told:me)"), "utf-8")
    (tmp_path / "docs" / "sources.yml").write_text("me: {who: I, when: today}\n", "utf-8")
    assert {"mkdocs_buildlog.work", "buildlog.page.extension"} <= loaded(tmp_path)


@pytest.mark.parametrize(
    "text",
    [
        "[3 m](calc:a.b)",
        "[3 m](CITE:a)",
        "[3 m](told&#58;a)",
        "[3 m][a]\n\n[a]: calc:a.b",
        "see [it](caution:lifting)",
        "```yaml calc\nid: a",
        "> - ~~~ yaml   calc",
        "``` { .yaml .calc }",
        "```yamlcalc",
        "```yaml:calc",
        "```yml cal",
        "```yaml kalk",
        '<div data-buildlog="ledger"></div>',
        "---\nbuildlog: {loose: off}\n---\n",
        "---\na: 1\n'buildlog' :\n  loose: off\n---\n",
    ],
)
def test_what_may_be_ours_is_seen(text: str) -> None:
    assert has_signs(f"# A\n\n{text}\n".encode())


@pytest.mark.parametrize(
    "text",
    [
        "We calculate; a calc, cite and told. caution!",
        '```yaml title="calc.yml"',
        "```python\ncalc(1)\n```",
        "about buildlog and its uses",
        "width: calc(100% - 2px)",
    ],
)
def test_what_is_not_ours_is_passed_by(text: str) -> None:
    assert not has_signs(f"# A\n\n{text}\n".encode())
