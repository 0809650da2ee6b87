# ruff: noqa: F811  (the fixture of another file)
"""Files that the MkDocs plugin publishes for its pages: workshop sheets, inputs and results."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.jobs import FILES, FIRST
from tests.parsed_html import parse
from tests.plugins.test_plugin import SOURCES, Site, body, refused, run, site  # noqa: F401  (the fixture)

PAGES = {name: str(text) for name, text in FILES.items()}
PAGES["sources.yml"] += SOURCES


def test_each_job_has_its_sheet_and_the_page_leads_to_it(site: Site) -> None:
    folder = run(site(PAGES, use_directory_urls=False, strict=True))
    assert sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*-sheet.html")) == [
        "episodes/duct-sheet.html",
        "episodes/final-sheet.html",
    ]
    panel = body(folder, "episodes/final.html").one("section", "buildlog-panel")
    assert "final-sheet.html" in {one.attributes.get("href") for one in panel.all("a")}
    sheet = parse((folder / "episodes/final-sheet.html").read_text("utf-8").partition("\n")[2])
    assert sheet.one("footer").one("a").attributes["href"] == "final.html"


def test_with_folders_for_pages_the_links_are_right_too(site: Site) -> None:
    folder = run(site(PAGES, use_directory_urls=True, strict=True))
    panel = body(folder, "episodes/final/index.html").one("section", "buildlog-panel")
    assert "../final-sheet.html" in {one.attributes.get("href") for one in panel.all("a")}
    sheet = parse((folder / "episodes/final-sheet.html").read_text("utf-8").partition("\n")[2])
    assert sheet.one("footer").one("a").attributes["href"] == "final/"


def test_results_and_inputs_to_take_away(site: Site) -> None:
    folder = run(site(PAGES, use_directory_urls=False))
    record = json.loads((folder / "assets/buildlog/episodes/final.json").read_text("utf-8"))
    assert record["page"] == "episodes/final"
    then, pair = record["blocks"]
    assert (then["id"], then["kind"], pair["id"]) == ("then", "gearing", "pair")
    (case,) = then["cases"]
    assert case["inputs"]["final_drive"]["written"] == "4.10"
    third = next(one for one in case["results"] if (one["quantity"], one["key"]) == ("speed_at_limit", "3"))
    # 8200/60 · 3.05 · 0.576 m / (1.4 · 4.10): metres a second, and 3.6 times that in km/h
    assert third["si"] == pytest.approx(41.83, abs=0.005)
    assert (third["unit"], third["value"]) == ("km/h", pytest.approx(150.58, abs=0.02))
    page = body(folder, "episodes/final.html").one("section", "buildlog-reproduce")
    led_to = {one.attributes["href"] for one in page.all("a")}
    assert "../assets/buildlog/episodes/final.json" in led_to
    assert record["hash"] in page.words


def test_the_same_content_gives_the_same_bytes(site: Site, tmp_path: Path) -> None:
    def made() -> dict[str, bytes]:
        folder = run(site(PAGES))
        paths = [*folder.glob("assets/buildlog/**/*.*"), *folder.rglob("*-sheet.html")]
        assert len(paths) == 5
        return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}

    assert made() == made()


def test_the_hash_follows_the_inputs_and_nothing_else(site: Site) -> None:
    def made(text: str) -> str:
        folder = run(site({**PAGES, "episodes/final.md": text}))
        return str(json.loads((folder / "assets/buildlog/episodes/final.json").read_text())["hash"])

    first = made(FIRST)
    assert made(FIRST.replace("Third ends", "Third gear ends")) == first
    assert made(FIRST.replace("price: 400 EUR", "price: 401 EUR")) != first


def test_a_draft_publishes_nothing(site: Site) -> None:
    settings = "plugins: [buildlog]\nexclude_docs: episodes/duct.md"
    folder = run(site(PAGES, settings))
    assert not list(folder.rglob("duct*"))
    assert (folder / "episodes/final-sheet.html").is_file()


def test_a_file_in_the_way_is_said_and_nothing_is_written(
    site: Site,
    caplog: pytest.LogCaptureFixture,
) -> None:
    config = site({**PAGES, "episodes/final-sheet.html": "<p>mine</p>"})
    message = refused(config, caplog)
    assert "episodes/final-sheet.html" in message
    assert "another name" in message
    assert not Path(config.site_dir).exists() or not list(Path(config.site_dir).rglob("*.html"))


def test_lists_of_the_site_lead_to_its_pages(site: Site) -> None:
    markers = "".join(f'<div data-buildlog="{name}"></div>\n\n' for name in ("series", "ledger", "sources"))
    folder = run(
        site({**PAGES, "all/lists.md": f"# Lists\n\n{markers}"}, use_directory_urls=False, strict=True)
    )
    page = body(folder, "all/lists.html")
    series = {one.attributes["href"] for one in page.one("section", "buildlog-series").all("a")}
    assert {"../episodes/final.html", "../episodes/duct.html"} <= series
    ledger = {one.attributes["href"] for one in page.one("section", "buildlog-ledger").all("a")}
    for address in ledger:
        path, _, anchor = address.partition("#")
        assert (folder / "all" / path).is_file(), address
        assert not anchor or anchor in body(folder, f"all/{path}").ids, address
