"""A part's file that changes, while serving and between runs: what rests on it is made anew."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any

import pytest

from buildlog.kinds.results import BlockResult
from buildlog.render import Rendered, render_card
from buildlog.render.parts import pack_path
from tests.parts import SITE
from tests.plugins.test_kept_pages import SETTINGS, built, change, differing, rendered
from tests.plugins.test_serving import Served
from tests.samples import GEARING, write_site

__all__ = ("rendered",)
WITH_ANOTHER: dict[str, str | bytes] = {
    **SITE,
    "another.md": f"# Another\n\nThird ends at [](calc:shorter-final.after.speed_at_limit.3).\n\n{GEARING}",
}
CHANGES = [  # the file, what is replaced in it, and by what
    ("parts/box-a.yml", "0.98 ±", "0.981 ±"),
    ("parts/box-a.yml", "price: 22 EUR", "price: 22.00 EUR"),
    ("parts/box-a.yml", "number: BR-1", "number: BR-2"),
    ("parts/box-a.yml", "shelf 4", "shelf 5"),
    ("parts/box-b.yml", "revision: B", "revision: C"),
    ("parts/box-b.yml", "name: box", "name: box & lid"),
    ("parts/box-b.yml", "CC BY 4.0", "CC BY-SA 4.0"),
    ("parts/licence.txt", "May be", "It may be"),
    ("parts/box-b.yml", "copying: allowed", "copying: ask"),
    ("parts/old-pipe.yml", "thrown away", "sold"),
    ("second.md", "Eight rivets.", "Nine rivets."),
    ("second.md", "title: The box again", "title: The other box"),
    ("parts.md", '<div data-buildlog="parts"></div>', "Nothing."),
    ("parts/pipe.yml", "name: pipe", "name: hose"),
]


@pytest.fixture(autouse=True)
def _quiet(tmp_path: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch) -> None:
    caplog.set_level(logging.CRITICAL, "mkdocs")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1790000000")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@pytest.fixture
def site(tmp_path: Path) -> Path:
    folder = tmp_path / "site"
    folder.mkdir()
    write_site(folder, WITH_ANOTHER)
    (folder / "mkdocs.yml").write_text(SETTINGS)
    return folder


def test_after_any_change_served_pages_are_those_of_a_fresh_build(tmp_path: Path) -> None:
    content = write_site(tmp_path, WITH_ANOTHER)
    served = Served(tmp_path, theme="mkdocs")
    before = served.built()
    for name, old, new in CHANGES:
        path = content / name
        text = path.read_text("utf-8")
        assert old in text, (name, old)
        path.write_text(text.replace(old, new), "utf-8")
        now = served.built()
        assert now == served.built_afresh(), (name, old)
        if name != "parts/licence.txt":  # which is in the pack alone
            assert now != before or "EUR" in old, (name, old)
        before = now


def test_only_what_rests_on_a_part_is_rendered_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    content = write_site(tmp_path, WITH_ANOTHER)
    served = Served(tmp_path, theme="mkdocs")
    served.built()
    cards: list[str] = []

    def noted(block: BlockResult, **more: Any) -> Rendered:
        cards.append(block.id)
        return render_card(block, **more)

    monkeypatch.setattr("buildlog.page.extension.render_card", noted)
    path = content / "parts/old-box.yml"
    path.write_text(path.read_text("utf-8").replace("1.40", "1.41"), "utf-8")
    served.built()
    assert cards == ["bill"]
    cards.clear()
    served.built()
    assert cards == []


def test_of_an_unchanged_site_only_the_list_is_rendered(site: Path, rendered: list[str]) -> None:
    first = built(site)
    assert pack_path("box-b") in first
    rendered.clear()
    assert built(site) == first
    assert rendered == []  # of what can be kept; a list of all is made each time


@pytest.mark.parametrize(("name", "old", "new"), CHANGES)
def test_what_was_kept_on_disk_is_what_is_built_afresh(site: Path, name: str, old: str, new: str) -> None:
    built(site)
    change(site, f"content/{name}", old, new)
    assert differing(site) == []


def test_a_page_that_names_a_part_is_rendered_where_its_file_changes(
    site: Path,
    rendered: list[str],
) -> None:
    built(site)
    change(site, "content/parts/old-box.yml", "1.40", "1.402")
    rendered.clear()
    built(site)
    assert {"box.md", "#bill"} <= set(rendered)
    assert "another.md" not in rendered
