"""Where no browser is found: the summary says what was not looked at, and CI fails."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
LOOKS_AT_A_PAGE = "tests/render/test_browser.py"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("asked", "code", "said"),
    [
        ("", 0, r"No browser was found, and (\d+) tests skipped: chromium and chromedriver are needed"),
        ("required", 1, r"Failed: chromium and chromedriver are needed"),
    ],
)
def test_a_missing_browser_is_said(asked: str, code: int, said: str, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-x", "-p", "no:cacheprovider", LOOKS_AT_A_PAGE],
        cwd=ROOT,
        env={**os.environ, "PATH": str(tmp_path), "BUILDLOG_BROWSER": asked},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == code, done.stdout
    assert re.search(said, done.stdout), done.stdout
