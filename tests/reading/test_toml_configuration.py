"""A site's settings in TOML, as Zensical has them: the same settings, with places in the file."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.reading.settings import Settings, read_settings

SETTINGS = """\
[project]
site_name = "Test"
docs_dir = "pages"

[project.theme]
language = "de"

[project.markdown_extensions.buildlog]
files = true

[project.plugins.buildlog]
units = "us"
loose = "fail"
bundles = false
nominal_nouns = ["hose"]
"""


def read(folder: Path, text: str) -> Settings:
    (folder / "zensical.toml").write_text(text, encoding="utf-8")
    return read_settings(folder)


def test_the_settings_are_those_of_mkdocs_by_the_same_names(tmp_path: Path) -> None:
    settings = read(tmp_path, SETTINGS)
    assert not settings.faults
    assert settings.content == tmp_path / "pages"
    assert (settings.units, settings.loose, settings.bundles) == ("us", "fail", False)
    assert (settings.nominal_nouns, settings.language) == (("hose",), "de")


def test_the_folder_of_pages_is_called_docs_unless_it_is_said(tmp_path: Path) -> None:
    assert read(tmp_path, '[project]\nsite_name = "Test"\n').content == tmp_path / "docs"


def test_the_settings_of_mkdocs_come_first(tmp_path: Path) -> None:
    (tmp_path / "mkdocs.yml").write_text("site_name: Test\ndocs_dir: other\n", encoding="utf-8")
    assert read(tmp_path, SETTINGS).content == tmp_path / "other"


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (SETTINGS.replace("loose =", "lose ="), "zensical.toml:13:1"),
        (SETTINGS.replace('"us"', '"feet"'), "zensical.toml:12:1"),
        (SETTINGS.replace('"de"', "de"), "zensical.toml:6:12"),
        ("project = 1\n", "zensical.toml:1:1"),
    ],
)
def test_what_is_wrong_is_told_at_its_place(tmp_path: Path, text: str, place: str) -> None:
    (fault,) = read(tmp_path, text).faults
    assert str(fault.position) == place
    assert fault.found


def test_snippets_are_found_by_the_name_that_toml_gives_them(tmp_path: Path) -> None:
    settings = read(
        tmp_path, SETTINGS + '\n[project.markdown_extensions.pymdownx.snippets]\nbase_path = ["parts"]\n'
    )
    assert settings.snippets is not None
