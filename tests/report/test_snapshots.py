"""Regression: each format word for word, on one small site. The snapshots are our own output.

After a change that is meant: UPDATE_SNAPSHOTS=1 pytest tests/report/test_snapshots.py, then read the diff.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner

import buildlog
from buildlog.cli import main
from buildlog.commands.proof import FORMATS
from tests.samples import GEARING, write_site

SPARE = GEARING.replace("shorter-final", "spare").replace("8200 rpm", "8200")
SNAPSHOTS = Path(__file__).parent / "snapshots"
FILES: dict[str, str | bytes] = {
    "final-drive.md": f"""\
# Final drive

Third now runs out at [153.5 km/h](calc:shorter-final.after.speed_at_limit.3), or
[135.5 km/h](calc:shorter-final.after.speed_at_limit.3) as it should be, which is
[under 130 km/h](calc:shorter-final.after.speed_at_limit.3). The maker gives
[39 N·m](cite:gearbox-manul) and the last owner [240 hp](told:last-owner); the flywheel weighs 4.2 kg.

{GEARING}
""",
    "spare/index.md": f"# Spare\n\n{SPARE}\n```yml calc\n",
    "sources.yml": "gearbox-manual: {title: Gearbox manual}\nlast-owner: {who: the last owner, when: 2025}\n",
}
NAMES = {
    "text": "proof.txt",
    "lines": "lines.txt",
    "annotations": "annotations.txt",
    "json": "findings.json",
    "sarif": "findings.sarif",
    "code-quality": "code-quality.json",
    "markdown": "summary.md",
}


def test_every_format_has_a_snapshot() -> None:
    assert NAMES.keys() == set(FORMATS)


@pytest.mark.parametrize("form", NAMES)
def test_regression_each_format_word_for_word(tmp_path: Path, form: str) -> None:
    (tmp_path / ".git").mkdir()  # so that the folder above has no say in paths
    write_site(tmp_path, FILES)
    result = CliRunner().invoke(main, ["proof", "--format", form, "--site", str(tmp_path)])
    assert result.exit_code == 1
    text = result.output.replace(f'"{buildlog.__version__}"', '"VERSION"')
    path = SNAPSHOTS / NAMES[form]
    if os.environ.get("UPDATE_SNAPSHOTS"):
        path.write_text(text, "utf-8")
        pytest.fail(f"{path.name} is written; read it, and run again without UPDATE_SNAPSHOTS")
    assert text == path.read_text("utf-8"), (
        "if this is meant: UPDATE_SNAPSHOTS=1, as the top of this file says"
    )
