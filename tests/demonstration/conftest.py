"""The demo, built once for all tests of its pages."""

from __future__ import annotations

from pathlib import Path

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the built site."""
    folder = tmp_path_factory.mktemp("demo") / "site"
    config = load_config(str(ROOT / "mkdocs.yml"), site_dir=str(folder))
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    return folder
