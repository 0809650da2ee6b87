"""A build by an author prints nothing about the future of the theme."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.samples import write_site

VARIABLE = "NO_MKDOCS_2_WARNING"
LINE = "extra:\n  theme_notices: !!python/name:mkdocs_buildlog.theme_notices.OFF\n"
NOTICE = "Material for MkDocs reaches end of life"


def printed(folder: Path, *, line: str) -> str:
    """What `mkdocs build` prints where nobody has set the theme's variable."""
    write_site(folder, {"index.md": "# A\n"})
    (folder / "mkdocs.yml").write_text(
        f"site_name: A\ndocs_dir: content\ntheme: {{name: material}}\n{line}plugins: [buildlog]\n"
    )
    environment = {name: value for name, value in os.environ.items() if name != VARIABLE}
    root = Path(__file__).resolve().parents[2]
    environment["PYTHONPATH"] = os.pathsep.join((str(root), str(root / "plugins")))
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build"],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert (folder / "site" / "index.html").is_file()
    return done.stdout + done.stderr


def test_the_line_of_the_manual_keeps_the_notice_out(tmp_path: Path) -> None:
    assert "reaches end of life" not in printed(tmp_path, line=LINE)


def test_the_notice_is_there_without_it(tmp_path: Path) -> None:
    """Else the test above could not fail. A theme that prints none needs no line."""
    if NOTICE not in printed(tmp_path, line=""):
        pytest.skip("this version of the theme prints no notice")


def test_a_value_that_somebody_has_set_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    import importlib

    from mkdocs_buildlog import theme_notices

    monkeypatch.setenv(VARIABLE, "")
    importlib.reload(theme_notices)
    assert os.environ[VARIABLE] == ""
