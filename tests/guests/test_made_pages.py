"""Pages that only the build knows: there the build is the gate, and the proof says so."""

from __future__ import annotations

import gc
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort

from buildlog.cli import main
from tests.samples import GEARING

pytestmark = pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")

RIGHT = "[105.4 km/h](calc:gears#shorter-final.before.speed_at_limit.2)"
WRONG = RIGHT.replace("105.4", "150.4")
HEAD = "site_name: A\ntheme: {name: mkdocs}\nuse_directory_urls: false\n"


@pytest.fixture(autouse=True)
def tidy() -> Iterator[None]:
    """gen-files leaves its temporary folder to Python to remove, which must not happen in a later test."""
    yield
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        gc.collect()


def site(folder: Path, plugins: str, figure: str, page: str, others: dict[str, str] | None = None) -> Path:
    """A site with a block, and a figure that reaches a page only when it is built."""
    files = {
        "docs/index.md": "# Home\n",
        "docs/gears.md": f"# Gears\n\n{GEARING}",
        "docs/page.md": page,
        "make.py": "import mkdocs_gen_files\n\nwith mkdocs_gen_files.open('made.md', 'w') as page:\n"
        f"    page.write('# Made\\n\\nIt runs to {figure}.\\n')\n",
        "docs/figures/figure.md": f"It runs to {figure}.\n",
        "outside.md": f"It runs to {figure}.\n",
        "main.py": "def define_env(env):\n    @env.macro\n    def speed():\n        "
        f"return '{figure}'\n",
        "hook.py": "def on_page_markdown(markdown, page, **_):\n"
        f"    return markdown.replace('SPEED', '{figure}')\n",
        "mkdocs.yml": f"{HEAD}exclude_docs: figures/\n{plugins}\n",
        **(others or {}),
    }  # fmt: skip
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    return folder


MADE = {
    "gen-files": ("plugins: [{gen-files: {scripts: [make.py]}}, buildlog]", "# A\n", "made.md"),
    "macros": (
        "plugins: [{macros: {module_name: main}}, buildlog]",
        "# A\n\nIt runs to {{ speed() }}.\n",
        "page.md",
    ),
    "include-markdown": (
        "plugins: [include-markdown, buildlog]",
        "# A\n\n{% include-markdown '../outside.md' %}\n",
        "page.md",
    ),
    "hooks": ("plugins: [buildlog]\nhooks: [hook.py]", "# A\n\nIt runs to SPEED.\n", "page.md"),
}  # fmt: skip


def built(folder: Path, *, strict: bool) -> str:
    config: Any = load_config(str(folder / "mkdocs.yml"), strict=strict)
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    return "".join(path.read_text() for path in (folder / "site").glob("*.html"))


@pytest.mark.parametrize("strict", [False, True])
@pytest.mark.parametrize("name", MADE)
def test_a_wrong_figure_that_only_the_build_knows_stops_it(
    tmp_path: Path,
    name: str,
    strict: bool,
    capsys: pytest.CaptureFixture[str],
    caplog: pytest.LogCaptureFixture,
) -> None:
    plugins, page, where = MADE[name]
    site(tmp_path, plugins, WRONG, page)
    with pytest.raises(Abort):
        built(tmp_path, strict=strict)
    told = capsys.readouterr().err + caplog.text
    assert "150.4 km/h" in told
    assert where.partition(".")[0] in told
    assert "another plugin made or changed them" in told
    assert "Traceback" not in told
    assert not (tmp_path / "site" / "index.html").exists()


def test_a_right_figure_on_a_made_page_is_shown(tmp_path: Path) -> None:
    plugins, page, _ = MADE["gen-files"]
    assert "buildlog-computed" in built(site(tmp_path, plugins, RIGHT, page), strict=True)


@pytest.mark.parametrize("name", ["macros", "hooks", "include-markdown"])
def test_a_figure_that_is_brought_into_a_page_of_ours_stops_the_build(
    tmp_path: Path, name: str, caplog: pytest.LogCaptureFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    """Right or not: the page that was proofed is not the page that would be published."""
    plugins, page, _ = MADE[name]
    with pytest.raises(Abort):
        built(site(tmp_path, plugins, RIGHT, page), strict=False)
    assert "docs/page.md:3:1  error  figure-not-proofed" in capsys.readouterr().err + caplog.text


@pytest.mark.parametrize("name", MADE)
def test_the_proof_says_what_it_could_not_read(tmp_path: Path, name: str) -> None:
    plugins, page, _ = MADE[name]
    output = CliRunner().invoke(main, ["proof", "--site", str(site(tmp_path, plugins, RIGHT, page))]).output
    assert output.endswith(
        f"What makes or changes pages in the build: {name}. "
        "The build proofs what comes of that; this proof has not read it.\n"
    )


SNIPPETS = "plugins: [buildlog]\nmarkdown_extensions: [{pymdownx.snippets: {base_path: docs}}]"


def test_a_figure_in_a_snippet_is_judged_where_it_stands(
    tmp_path: Path, caplog: Any, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)  # what base_path starts from
    page = '# A\n\n- Item\n\n    --8<-- "figures/figure.md"\n'
    site(tmp_path, SNIPPETS, WRONG, page)
    output = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)]).output
    assert "docs/figures/figure.md:1:13  error  figure-disagrees" in output
    assert "It runs to ›150.4 km/h‹" in output.replace("[", "").replace("]", "")
    with pytest.raises(Abort):
        built(tmp_path, strict=False)
    assert "docs/figures/figure.md:1:13  error  figure-disagrees" in capsys.readouterr().err + caplog.text
    site(tmp_path, SNIPPETS, RIGHT, page)
    html = built(tmp_path, strict=True)
    assert html.count('class="buildlog-figure buildlog-computed') == 1


def test_without_such_plugins_it_says_nothing_of_them(tmp_path: Path) -> None:
    output = CliRunner().invoke(
        main, ["proof", "--site", str(site(tmp_path, "plugins: [search, buildlog]", RIGHT, "# A\n"))]
    )
    assert "build" not in output.output.splitlines()[-1]


def test_a_plugin_that_is_switched_off_proofs_nothing(tmp_path: Path) -> None:
    site(tmp_path, "plugins: [{buildlog: {enabled: false}}]", WRONG, f"# A\n\n{WRONG}\n")
    output = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)]).output
    assert "figure-disagrees" in output
    assert output.endswith("The plugin is switched off in mkdocs.yml: a build proofs nothing.\n")


def test_the_settings_that_another_generator_would_take_are_named(tmp_path: Path) -> None:
    site(tmp_path, "plugins: [search, buildlog]", RIGHT, f"# A\n\n{RIGHT}\n")
    (tmp_path / "zensical.toml").write_text('[project]\nsite_name = "S"\ndocs_dir = "other"\n', "utf-8")
    run = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)])
    assert run.output.splitlines()[-1].startswith("zensical.toml was not read, mkdocs.yml was.")
    (tmp_path / "mkdocs.yml").unlink()
    assert "was not read" not in CliRunner().invoke(main, ["proof", "--site", str(tmp_path)]).output
