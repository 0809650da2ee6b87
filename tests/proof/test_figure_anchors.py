"""The ids of figures: stable, one for each, and the same in the ledger and in the page."""

from __future__ import annotations

import json
from pathlib import Path

from markdown import Markdown

from buildlog.book.book import Book
from buildlog.page.extension import BuildlogExtension
from buildlog.proof.proof import proof_book
from buildlog.report.ledger import ledger_json
from tests.parsed_html import parse
from tests.render.blocks import GEARING, fence

SPEED = "calc:shorter-final.after.speed_at_limit"
TEXT = f"""# A page

Third ends at [132.7 km/h]({SPEED}.3), first at [57.0 km/h]({SPEED}.1), and third, again, at
[133 km/h]({SPEED}.3 "for nothing"), as [the owner](told:owner) says[^1].

## At the end [132.7 km/h]({SPEED}.3)

[^1]: A footnote has [132.7 km/h]({SPEED}.3) too.

{fence(GEARING)}
"""
THIRD, FIRST = (f"figure.shorter-final.after.speed_at_limit.{gear}" for gear in (3, 1))


def site(folder: Path, text: str) -> Book:
    content = folder / "content"
    content.mkdir()
    (content / "page.md").write_text(
        f"---\nbuildlog:\n  time: '[3 km/h]({SPEED}.3)'\n---\n{text}", encoding="utf-8"
    )
    (content / "sources.yml").write_text("owner: {who: the owner, when: spring}\n", encoding="utf-8")
    return Book.open(root=folder)


def ledger_anchors(book: Book) -> list[str]:
    rows = json.loads(ledger_json(proof_book(book)))["figures"]
    return [row["anchor"] for row in rows if row["standing"] != "loose"]


def test_every_figure_has_one_id_which_the_ledger_knows(tmp_path: Path) -> None:
    book = site(tmp_path, TEXT)
    anchors = ledger_anchors(book)
    assert anchors == [
        "figure.front.shorter-final.after.speed_at_limit.3",
        THIRD,
        FIRST,
        f"{THIRD}~2",
        "figure.told-owner",
        f"{THIRD}~3",
        f"{THIRD}~4",
    ]
    extension = BuildlogExtension(page="page", findings=False)
    extension.book = book
    page = parse(Markdown(extensions=["footnotes", "toc", extension]).convert(TEXT))
    assert sorted(name for name in page.ids if name.startswith("figure.")) == sorted(anchors)
    assert page.by_id(f"{THIRD}~2").one("a", "buildlog-figure").without("buildlog-other").words == "133 km/h"


def test_an_id_stays_where_other_lines_and_figures_come_before(tmp_path: Path) -> None:
    before = f"A line more, and [95.3 km/h]({SPEED}.2).\n\n"
    (tmp_path / "one").mkdir()
    (tmp_path / "other").mkdir()
    first = ledger_anchors(site(tmp_path / "one", TEXT))
    second = ledger_anchors(site(tmp_path / "other", TEXT.replace("Third ends", before + "Third ends")))
    assert [name for name in second if "_limit.2" not in name] == first


def test_an_address_that_no_id_can_hold_gives_one_that_can(tmp_path: Path) -> None:
    anchors = ledger_anchors(site(tmp_path, "[1](calc:a/b#c.d) [2](calc:a-b-c.d) [3](calc:)\n"))
    assert anchors[1:] == ["figure.a-b-c.d", "figure.a-b-c.d~2", "figure."]
