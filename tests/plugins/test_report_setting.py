"""The address for reports, as MkDocs gives it: from mkdocs.yml, or from a file that it inherits."""

from __future__ import annotations

from pathlib import Path

import pytest
from mkdocs.config import load_config
from mkdocs.exceptions import PluginError

from buildlog.reading.settings import Settings
from mkdocs_buildlog import BuildlogPlugin
from mkdocs_buildlog.work import settings_of

RIGHT = "https://example.org/new?title={title}&body={body}"


def settings(folder: Path, report: str, *, written: str) -> Settings:
    """The plugin's settings where MkDocs says `report`, and mkdocs.yml has `written`."""
    (folder / "content").mkdir()
    site = f"site_name: A site\ndocs_dir: content\nplugins:\n  - buildlog: {written}\n"
    (folder / "mkdocs.yml").write_text(site)
    plugin = BuildlogPlugin()
    assert plugin.load_config({"report": report}) == ([], [])
    config = load_config(str(folder / "mkdocs.yml"))
    return settings_of(config, plugin.config)


def test_an_inherited_address_holds(tmp_path: Path) -> None:
    assert settings(tmp_path, RIGHT, written="{}").report == RIGHT


def test_an_inherited_address_that_is_wrong_ends_the_build(tmp_path: Path) -> None:
    with pytest.raises(PluginError, match=r"the place “\{titel\}”.*No page was written"):
        settings(tmp_path, "https://example.org/?t={titel}", written="{}")


def test_what_is_wrong_in_the_file_is_a_finding_at_its_line(tmp_path: Path) -> None:
    wrong = "http://example.org/"
    made = settings(tmp_path, wrong, written=f'{{report: "{wrong}"}}')
    assert made.report == ""
    assert [fault.position.line for fault in made.faults] == [4]
