"""The extension without a plugin of the generator: it finds the site, its settings, and what a page needs."""

from __future__ import annotations

import re
from pathlib import Path

import markdown
import pytest

from buildlog.page.alone import SiteRefused
from buildlog.page.extension import BuildlogExtension
from buildlog.render import page_scripts
from tests.built.built_sites import bare
from tests.jobs import FILES
from tests.parsed_html import Tag, parse
from tests.samples import write_site

SETTINGS = """\
site_name: Test
docs_dir: content
plugins:
  - buildlog:
      units: us
      report: "mailto:figures@test.example?subject={title}&body={body}"
"""
LEDGER = '# All\n\n<div data-buildlog="ledger"></div>\n'
WRONG = "# Wrong\n\nIt weighs [30 kg](calc:episodes/final#pair.mass_fitted).\n"


def shown(folder: Path, key: str, **options: object) -> str:
    content = folder / "content"
    own = BuildlogExtension(content=str(content), page=key, **options)
    text = bare((content / f"{key}.md").read_text("utf-8"))
    return markdown.markdown(text, extensions=["tables", "pymdownx.superfences", own])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_site(tmp_path, {**FILES, "ledger.md": LEDGER})
    return tmp_path


def scripts(html: str) -> list[Tag]:
    return parse(html).all("script")


def test_the_page_itself_has_style_sheet_and_scripts_and_fetches_nothing(folder: Path) -> None:
    html = shown(folder, "episodes/final")
    assert len(parse(html).all("style")) == 1
    assert len(scripts(html)) == len(page_scripts())
    assert not any("src" in script.attributes for script in scripts(html))
    assert not re.search(r"<script[^>]*>[^<]*</script[^>]", html)
    assert html.index("<style>") < html.index("buildlog-panel")  # before anything of ours is drawn


def test_only_the_list_of_figures_has_the_script_that_sorts_it(folder: Path) -> None:
    assert len(scripts(shown(folder, "ledger"))) == len(page_scripts()) + 1


def test_a_page_without_anything_of_ours_stays_as_it_is(folder: Path) -> None:
    plain = markdown.markdown(str(FILES["about.md"]), extensions=["tables", "pymdownx.superfences"])
    assert shown(folder, "about") == plain


def test_style_sheet_and_scripts_can_be_left_out(folder: Path) -> None:
    html = shown(folder, "episodes/final", style=False)
    assert "<style>" not in html
    assert "<script" not in html


def test_the_settings_beside_the_content_folder_hold(folder: Path) -> None:
    assert "data-units" not in shown(folder, "episodes/final")
    (folder / "mkdocs.yml").write_text(SETTINGS, encoding="utf-8")
    html = shown(folder, "episodes/final")
    assert scripts(html)[0].attributes["data-units"] == "us"
    assert "mailto:figures@test.example" in html


def test_settings_of_another_folder_do_not_hold(folder: Path) -> None:
    (folder / "mkdocs.yml").write_text(SETTINGS.replace("content", "docs"), encoding="utf-8")
    assert "data-units" not in shown(folder, "episodes/final")


def test_a_page_leads_to_files_only_where_it_is_said_that_they_will_be_there(folder: Path) -> None:
    html = shown(folder, "episodes/final")
    assert "final-sheet.html" not in html
    assert "final.json" not in html
    assert "data-own" not in html
    html = shown(folder, "episodes/final", files=True)
    assert 'href="final-sheet.html"' in html
    assert 'href="../assets/buildlog/episodes/final.json"' in html
    assert 'href="../assets/buildlog/episodes/final.zip"' in html
    assert "data-own" in html
    (loaded,) = (script for script in scripts(html) if "src" in script.attributes)
    assert loaded.attributes["src"] == "../assets/buildlog-yours.js"


def test_an_error_anywhere_on_the_site_stops_a_build_that_asks_for_it(folder: Path) -> None:
    assert "buildlog-card" in shown(folder, "episodes/final", refuse=True)
    (folder / "content" / "wrong.md").write_text(WRONG, encoding="utf-8")
    assert "buildlog-card" in shown(folder, "episodes/final")
    with pytest.raises(SiteRefused, match=r"content/wrong\.md:3:12: .*“30 kg” is stated"):
        shown(folder, "episodes/final", refuse=True)


def test_a_changed_file_of_the_site_is_read_again(folder: Path) -> None:
    assert "150.6 km/h" in shown(folder, "ledger")
    page = folder / "content" / "episodes" / "final.md"
    page.write_text(page.read_text("utf-8").replace("150.6 km/h", "151 km/h"), encoding="utf-8")
    assert "151 km/h" in shown(folder, "ledger")
