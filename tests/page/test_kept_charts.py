"""Charts that an earlier run has drawn are taken as they are, and drawn anew where anything is another."""

from __future__ import annotations

from pathlib import Path

import markdown
import pytest

from buildlog.book.book import Book
from buildlog.charts import drawing
from buildlog.kept.store import FOLDER, Store
from buildlog.page.extension import BuildlogExtension
from tests.samples import GEARING, write_site

SECRET = bytes(32)


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The ids of the charts that were drawn."""
    ids: list[str] = []
    real = drawing.draw

    def draw(spec: object, *, anchor: str, system: str = "author") -> str:
        ids.append(f"{anchor} {system}")
        return real(spec, anchor=anchor, system=system)  # type: ignore[arg-type]

    monkeypatch.setattr(drawing, "draw", draw)
    return ids


def page(folder: Path, text: str = GEARING, secret: bytes | None = SECRET) -> str:
    """A page of a site as HTML, in a run of its own."""
    content = write_site(folder, {"a.md": text})
    extension = BuildlogExtension(style=False)
    store = None if secret is None else Store(folder, secret)
    extension.book, extension.page = Book.open(content, root=folder, store=store), "a"
    return markdown.markdown(text, extensions=[extension])


def test_the_next_run_takes_what_was_drawn(tmp_path: Path, drawn: list[str]) -> None:
    first = page(tmp_path)
    assert "<svg" in first
    assert drawn
    drawn.clear()
    assert page(tmp_path) == first
    assert not drawn
    assert page(tmp_path, secret=None) == first
    assert drawn


@pytest.mark.parametrize(
    "changed",
    [
        GEARING.replace("41/9", "4.3"),
        GEARING.replace("id: shorter-final", "id: another"),
    ],
    ids=["data", "anchor"],
)
def test_what_has_changed_is_drawn_anew(tmp_path: Path, drawn: list[str], changed: str) -> None:
    assert changed != GEARING
    page(tmp_path)
    drawn.clear()
    made = page(tmp_path, changed)
    assert drawn
    assert made == page(tmp_path, changed, secret=None)


def test_a_damaged_or_forged_drawing_is_drawn_anew(tmp_path: Path, drawn: list[str]) -> None:
    first = page(tmp_path)
    for entry in (tmp_path / FOLDER).glob("??/*"):
        entry.write_bytes(entry.read_bytes()[:-20] + b"<script>alert(1)</script>")
    drawn.clear()
    assert page(tmp_path) == first
    assert drawn


def test_a_folder_that_cannot_be_made_does_not_matter(tmp_path: Path) -> None:
    (tmp_path / ".cache").write_text("not a folder")
    assert "<svg" in page(tmp_path)
