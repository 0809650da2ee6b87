# ruff: noqa: F811  (the fixture of another file)
"""Files that the MkDocs plugin publishes for its pages: workshop sheets, inputs and results."""

from __future__ import annotations

import json
import logging
import zipfile
from pathlib import Path
from typing import Any

import pytest

from buildlog.book.book import Book
from buildlog.render.bundle import page_bundle
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
        computing = [path for path in paths if "own" in path.parts]
        assert len(paths) - len(computing) == 9  # three records and bundles, two sheets, the program
        # Of four blocks, what describes each; the interpreter, Python, what all kinds need, and theirs.
        assert len(computing) > 5
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


def bundles(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.glob("assets/buildlog/**/*")
        if path.suffix in (".zip", ".whl")
    }


def test_each_page_that_computes_has_its_bundle_and_leads_to_it(site: Site) -> None:
    folder = run(site(PAGES, use_directory_urls=False, strict=True))
    made = bundles(folder)
    (program,) = (name for name in made if name.endswith(".whl"))
    assert set(made) - {program} == {
        "assets/buildlog/episodes/final.zip",
        "assets/buildlog/episodes/duct.zip",
        "assets/buildlog/gearbox/final.zip",
    }
    page = body(folder, "episodes/final.html").one("section", "buildlog-reproduce")
    led_to = {one.attributes["href"] for one in page.all("a")}
    assert {"../assets/buildlog/episodes/final.zip", f"../{program}"} <= led_to
    commands, on_windows, hashes = (one.text for one in page.all("pre"))
    assert "tools\\Scripts\\buildlog ledger --hashes content/episodes/final.md\n" in on_windows
    assert "tools/bin/buildlog ledger --hashes content/episodes/final.md\n" in commands
    packed = zipfile.ZipFile(folder / "assets/buildlog/episodes/final.zip")
    assert packed.read("content/episodes/final.md").decode() == FIRST, "whole, its front matter too"
    assert hashes.splitlines()[-1].endswith("  episodes/final, all of it")
    assert all(
        f"    {line}\n" in packed.read("README.md").decode() for line in hashes.splitlines() if line.strip()
    )


def test_an_owner_who_wants_none_has_none(site: Site) -> None:
    folder = run(site(PAGES, "plugins: [{buildlog: {bundles: off}}]", strict=True))
    assert bundles(folder) == {}
    page = body(folder, "episodes/final/index.html").one("section", "buildlog-reproduce")
    assert "buildlog ledger --hashes content/episodes/final.md" in page.all("pre")[0].text
    assert "In a copy of this log" in page.words


@pytest.mark.parametrize("hidden", ["cars/test.yml", "*.yml"])
def test_what_the_owner_does_not_publish_is_in_no_bundle(
    site: Site, caplog: pytest.LogCaptureFixture, hidden: str
) -> None:
    caplog.set_level(logging.INFO, "mkdocs")
    folder = run(site(PAGES, f"plugins: [buildlog]\nexclude_docs: '{hidden}'"))
    assert "assets/buildlog/episodes/final.zip" not in bundles(folder)
    said = [one.getMessage() for one in caplog.records if "has no bundle" in one.getMessage()]
    assert any(
        "content/episodes/final.md" in one and "cars/test.yml" in one and "publishes" in one for one in said
    )


def test_a_draft_is_in_no_bundle_and_has_none(site: Site, caplog: pytest.LogCaptureFixture) -> None:
    resting = (
        "# Resting\n\nThird: [150.6 km/h](calc:episodes/final#then.speed_at_limit.3).\n\n"
        "```yaml calc\nid: own\nkind: gearing\ncar: test\nstate: standard\n```\n"
    )
    settings = "plugins: [buildlog]\ndraft_docs: episodes/final.md"
    caplog.set_level(logging.INFO, "mkdocs")
    folder = run(site({**PAGES, "resting.md": resting}, settings))
    assert {"assets/buildlog/episodes/final.zip", "assets/buildlog/resting.zip"}.isdisjoint(bundles(folder))
    assert "resting.md has no bundle: it rests on “episodes/final.md”" in caplog.text


def test_while_serving_a_bundle_is_made_anew_only_where_its_page_rests_on_a_change(
    site: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[str] = []

    def noted(book: Book, key: str, *more: Any) -> bytes | None:
        made.append(key)
        return page_bundle(book, key, *more)

    monkeypatch.setattr("mkdocs_buildlog.published.page_bundle", noted)
    config = site(PAGES, command="serve")
    first = bundles(run(config))
    assert "episodes/duct" in made
    content = Path(config.docs_dir)
    made.clear()
    again = bundles(run(config))
    assert (made, again) == ([], first)
    (content / "about.md").write_text("# About\n\nOther words.\n")
    run(config)
    assert set(made) <= {"about"}, "which has none"
    made.clear()
    (content / "episodes/final.md").write_text(FIRST.replace("Third ends", "Third gear ends"))
    changed = bundles(run(config))
    assert made == ["episodes/final"]
    assert {name for name in changed if changed[name] != first[name]} == {
        "assets/buildlog/episodes/final.zip"
    }
    made.clear()
    (content / "sources.yml").write_text((content / "sources.yml").read_text() + "# a word\n")
    assert bundles(run(config)) != changed
    assert "episodes/final" in made
