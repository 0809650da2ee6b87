"""The MkDocs plugin: what it lets through, what it stops, and that stopping leaves nothing half-published."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any, Literal, cast

import pytest
from click.testing import CliRunner
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort
from mkdocs.plugins import BasePlugin

from buildlog.commands.proof import proof_command
from buildlog.render import stylesheet
from mkdocs_buildlog import BuildlogPlugin
from mkdocs_buildlog.assets import STYLESHEET
from tests.page.test_extension import BLOCK, FIGURE
from tests.parsed_html import Tag, parse

CLEAN = f"---\ntags: [gearbox]\n---\n\n# Final drive\n\nSecond runs out at {FIGURE}.\n\n{BLOCK}"
OTHER = "# Pipe\n\nSee [103.3 km/h](calc:gearbox/final#cruise.speed_at_limit.2), [39 N·m](cite:manual.nut).\n"
WRONG = OTHER.replace("103.3 km/h", "130.3 km/h")
SOURCES = "manual: {title: Workshop manual, facts: {nut: 39 N·m}}\n"
Site = Callable[..., Any]

Command = Literal["build", "gh-deploy", "serve"]


@pytest.fixture
def site(tmp_path: Path) -> Site:
    """Writes a site and gives its configuration; ``theme: null`` is the barest that MkDocs has."""

    def make(
        pages: dict[str, str] | None = None, settings: str = "", *, command: str = "build", **given: Any
    ) -> Any:
        files = {"index.md": "# Home\n", "gearbox/final.md": CLEAN, "pipe.md": OTHER, "sources.yml": SOURCES}
        for name, text in {**files, **(pages or {})}.items():
            path = tmp_path / "content" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        (tmp_path / "mkdocs.yml").write_text(
            f"site_name: Test\ndocs_dir: content\ntheme: {{name: null, custom_dir: theme}}\n"
            f"{settings or 'plugins: [buildlog]'}\n"
        )
        (tmp_path / "theme").mkdir(exist_ok=True)
        (tmp_path / "theme" / "main.html").write_text(
            "<html><head>{% for path in config.extra_css %}<link href='{{ path | url }}'>{% endfor %}</head>"
            "<body>{{ page.content }}</body></html>"
        )
        config = load_config(str(tmp_path / "mkdocs.yml"), **given)
        config.plugins.on_startup(command=cast(Command, command), dirty=False)
        return config

    return make


@pytest.fixture(autouse=True)
def _heard(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO, "mkdocs")


def run(config: Any) -> Path:
    serving = config.plugins["buildlog"].serving
    build(config, serve_url="http://127.0.0.1:8000/" if serving else None)
    return Path(config.site_dir)


def refused(config: Any, caplog: pytest.LogCaptureFixture) -> str:
    """What MkDocs prints when the plugin ends the build."""
    caplog.clear()
    with pytest.raises(Abort):
        run(config)
    errors = [record.getMessage() for record in caplog.records if record.levelno == logging.ERROR]
    assert len(errors) == 1, "one clear message"
    return errors[0]


def body(folder: Path, name: str) -> Tag:
    return parse((folder / name).read_text(encoding="utf-8")).one("body")


# --- building --------------------------------------------------------------------------------


def test_a_clean_site_is_built_with_cards_figures_and_the_style_sheet(site: Site) -> None:
    folder = run(site())
    page = body(folder, "gearbox/final/index.html")
    page.by_id("calc-cruise")
    assert page.one("a", "buildlog-computed").attributes["href"] == "#calc-cruise.speed_at_limit.2"
    assert not page.all(css="buildlog-page-findings")
    assert not page.all("style")
    assert (folder / STYLESHEET).read_text(encoding="utf-8") == stylesheet()
    head = (folder / "pipe" / "index.html").read_text(encoding="utf-8").partition("</head>")[0]
    assert f'"../{STYLESHEET}"' in head


def test_a_figure_of_another_page_gets_the_address_that_mkdocs_gives_it(site: Site) -> None:
    link = body(run(site()), "pipe/index.html").one("a", "buildlog-computed")
    assert link.attributes["href"] == "../gearbox/final/#calc-cruise.speed_at_limit.2"


def test_mkdocs_finds_every_anchor_that_figures_lead_to(site: Site) -> None:
    checks = "plugins: [buildlog]\nvalidation: {anchors: warn, links: {not_found: warn}}"
    run(site(settings=checks, strict=True))


@pytest.mark.parametrize("strict", [False, True])
@pytest.mark.parametrize("before", [False, True], ids=["new", "published before"])
def test_a_wrong_figure_stops_the_build_before_anything_is_touched(
    site: Site, caplog: pytest.LogCaptureFixture, strict: bool, before: bool
) -> None:
    folder = run(site()) if before else Path(site().site_dir)
    kept = {path: path.stat().st_mtime_ns for path in folder.rglob("*")} if before else {}
    message = refused(site({"pipe.md": WRONG}, strict=strict), caplog)
    column = WRONG.split("\n")[2].index("130.3") + 1
    assert f"content/pipe.md:3:{column}  error  figure-disagrees\n" in message
    assert re.search(r"^ +stated +130\.3 km/h .*\n +computed +103\.3", message, re.M)
    assert "1 finding" in message
    assert "no page was written" in message
    assert {path: path.stat().st_mtime_ns for path in folder.rglob("*")} == kept
    assert folder.exists() == before


def test_all_findings_come_in_one_message(site: Site, caplog: pytest.LogCaptureFixture) -> None:
    bad = CLEAN.replace("8200 rpm", "8200").replace("tyre:", "tire:")
    message = refused(site({"pipe.md": WRONG, "gearbox/final.md": bad}), caplog)
    for code in ("missing-unit", "unknown-input"):
        assert f"  error  {code}" in message
    assert "rest on it" in message, "the figures of both pages are told with what is at fault"


def test_positions_count_the_front_matter_that_mkdocs_takes_off(
    site: Site, caplog: pytest.LogCaptureFixture
) -> None:
    message = refused(site({"gearbox/final.md": CLEAN.replace("[103.3", "[130.3")}), caplog)
    assert "content/gearbox/final.md:7:21  error" in message


def test_a_warning_passes_but_not_in_strict_mode(
    site: Site, caplog: pytest.LogCaptureFixture, tmp_path: Path
) -> None:
    settings = "plugins:\n  - buildlog: {loose: warn}"
    loose = {"index.md": "# Home\n\nThe flywheel weighs 4.2 kg; [39 N·m](cite:manual.nut).\n"}
    assert run(site(loose, settings)).exists()
    warnings = [record for record in caplog.records if record.levelno == logging.WARNING]
    assert len(warnings) == 1
    assert warnings[0].name.startswith("mkdocs.plugins")
    assert "content/index.md: 1 warning (1 loose-figure), from line 3 on" in warnings[0].getMessage()
    message = refused(site(loose, settings, strict=True, site_dir=str(tmp_path / "elsewhere")), caplog)
    assert "4.2 kg" in message
    assert "strict" in message
    assert not (tmp_path / "elsewhere").exists()


@pytest.mark.parametrize("level,stops", [("off", False), ("note", False), ("fail", True)])
def test_levels_of_the_settings_hold_here_too(
    site: Site, caplog: pytest.LogCaptureFixture, level: str, stops: bool
) -> None:
    loose = {"index.md": "# Home\n\nThe flywheel weighs 4.2 kg; [39 N·m](cite:manual.nut).\n"}
    config = site(loose, f"plugins:\n  - buildlog: {{loose: {level}}}", strict=True)
    if stops:
        assert "loose-figure" in refused(config, caplog)
    else:
        run(config)


def test_notes_are_relayed_quietly(site: Site, caplog: pytest.LogCaptureFixture) -> None:
    """A line a page; what it is about, where the log is asked for more."""
    caplog.set_level(logging.DEBUG, "mkdocs")
    run(site({"index.md": "# Home\n\nThe flywheel weighs 4.2 kg; [39 N·m](cite:manual.nut).\n"}, strict=True))
    told = [record for record in caplog.records if "content/index.md:" in record.getMessage()]
    assert [record.levelno for record in told] == [logging.DEBUG, logging.INFO]
    assert "4.2 kg" in told[0].getMessage()
    assert "1 note (1 loose-figure)" in told[1].getMessage()


def test_an_extension_that_the_site_names_is_ours_then(site: Site) -> None:
    settings = "plugins: [buildlog]\nmarkdown_extensions:\n  - buildlog: {content: nowhere}\n  - admonition"
    page = body(run(site(settings=settings)), "gearbox/final/index.html")
    assert len(page.all("section", "buildlog-card")) == 1


class Changer(BasePlugin):  # type: ignore[no-untyped-call,type-arg]
    """Another plugin, which changes a page before it is rendered."""

    def on_page_markdown(self, markdown: str, **_: Any) -> str:
        return markdown.replace("103.3", "130.3")


def test_what_another_plugin_makes_wrong_is_stopped_before_a_page_is_written(
    site: Site, caplog: pytest.LogCaptureFixture
) -> None:
    config = site()
    config.plugins["changer"] = Changer()
    assert "another plugin made or changed" in refused(config, caplog)
    assert not list(Path(config.site_dir).rglob("*.html"))


def test_the_content_folder_is_only_read(site: Site, tmp_path: Path) -> None:
    config = site()
    before = {path: path.stat().st_mtime_ns for path in (tmp_path / "content").rglob("*")}
    run(config)
    assert {path: path.stat().st_mtime_ns for path in (tmp_path / "content").rglob("*")} == before


# --- serving ----------------------------------------------------------------------------------


def test_serving_shows_a_wrong_figure_in_its_page_and_in_the_log(
    site: Site, caplog: pytest.LogCaptureFixture
) -> None:
    folder = run(site({"pipe.md": WRONG}, command="serve"))
    page = body(folder, "pipe/index.html")
    assert page.one(css="buildlog-verdict").words.startswith("disagrees: 103.3")
    listed = page.one(css="buildlog-page-findings").words
    assert "This page has 1 finding" in listed
    assert "content/pipe.md:3:" in listed
    assert not body(folder, "gearbox/final/index.html").all(css="buildlog-page-findings")
    assert any(
        record.levelno == logging.ERROR and "130.3" in record.getMessage() for record in caplog.records
    )


def test_serving_again_reads_the_files_again(site: Site) -> None:
    config = site({"pipe.md": WRONG}, command="serve")
    run(config)
    Path(config.docs_dir, "pipe.md").write_text(OTHER, encoding="utf-8")
    assert not body(run(config), "pipe/index.html").all(css="buildlog-verdict")


def test_serving_again_computes_only_what_rests_on_a_change(site: Site) -> None:
    config = site({"pipe.md": OTHER + BLOCK.replace("cruise", "other")}, command="serve")
    run(config)
    plugin = config.plugins["buildlog"]
    before = dict(plugin.memory.book.results)
    Path(config.docs_dir, "pipe.md").write_text(OTHER, encoding="utf-8")
    run(config)
    assert plugin.memory.book.results == {("gearbox/final", "cruise"): before["gearbox/final", "cruise"]}
    assert plugin.memory.book.results["gearbox/final", "cruise"] is before["gearbox/final", "cruise"]


def test_the_plugin_is_installed_under_its_name() -> None:
    from importlib.metadata import entry_points

    (found,) = entry_points(group="mkdocs.plugins", name="buildlog")
    assert found.load() is BuildlogPlugin


# --- known findings ----------------------------------------------------------------------------


@pytest.mark.parametrize("strict", [False, True])
def test_what_is_known_stops_no_build_and_what_is_new_does(
    site: Site, tmp_path: Path, caplog: pytest.LogCaptureFixture, strict: bool
) -> None:
    """With the list that `buildlog proof --start` makes; readers are told of it all the same."""
    broken = "```yaml calc\nid: broken\nkind: gearing\ninputs: {fnal_drive: 4.1}\n```\n"
    pages = {"pipe.md": WRONG, "old.md": broken}
    refused(site(pages, strict=strict), caplog)
    begun = CliRunner().invoke(proof_command, ["--start", "--site", str(tmp_path)])
    assert begun.exit_code == 0, begun.output
    caplog.clear()
    folder = run(site(pages, strict=strict))
    assert "known findings do not count." in caplog.text
    assert "disagrees: 103.3" in body(folder, "pipe/index.html").text.replace("\u00a0", " ")
    new = {**pages, "index.md": WRONG.replace("130.3", "140.3")}
    message = refused(site(new, strict=strict), caplog)
    assert "140.3" in message
    assert "130.3" not in message


def test_a_list_that_cannot_be_read_stops_the_build(
    site: Site, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "known-findings.yml").write_text("<<<<<<< HEAD\n")
    assert "known-findings.yml:1:1  error  " in refused(site(), caplog)


def test_a_page_of_another_ending_is_proofed_and_gets_its_cards(site: Site) -> None:
    see = "# See\n\n[103.3 km/h](calc:gearbox/more#cruise.speed_at_limit.2)\n"
    config = site({"gearbox/more.markdown": CLEAN, "see.mkd": see})
    build(config)
    built = Path(config.site_dir)
    assert "buildlog-card" in (built / "gearbox/more/index.html").read_text()
    assert 'href="../gearbox/more/#' in (built / "see/index.html").read_text()
    with pytest.raises(Abort):
        build(site({"see.mkd": see.replace("103.3", "130.3")}))


def test_what_snippets_bring_is_what_the_proof_saw(site: Site, tmp_path: Path) -> None:
    settings = (
        "plugins: [buildlog]\nmarkdown_extensions: "
        f"[pymdownx.snippets: {{base_path: ['{tmp_path / 'parts'}']}}, admonition]"
    )
    (tmp_path / "parts").mkdir()
    part = tmp_path / "parts" / "note.md"
    part.write_text("!!! note\n    Words of many pages.\n")
    page = {
        "notes.md": f'--8<-- "note.md"\n\nIt does [103.3 km/h]({FIGURE.partition("](")[2][:-1]}).\n\n{BLOCK}'
    }
    config = site(page, settings)
    build(config)
    assert "Words of many pages." in (Path(config.site_dir) / "notes" / "index.html").read_text()
    part.write_text(f"!!! note\n    It does {FIGURE.replace('103.3', '130.3')}.\n")
    with pytest.raises(Abort):
        build(site(page, settings))


class Includer(BasePlugin):  # type: ignore[no-untyped-call,type-arg]
    """Another plugin, which adds a figure to a page that agrees with what it rests on."""

    def on_page_markdown(self, markdown: str, **_: Any) -> str:
        return markdown.replace("See [103.3", "See [12 mm](cite:manual), [103.3")


def test_a_figure_that_nobody_proofed_stops_the_build_though_it_agrees(
    site: Site, caplog: pytest.LogCaptureFixture
) -> None:
    config = site()
    config.plugins["includer"] = Includer()
    message = refused(config, caplog)
    assert re.search(r"content/pipe\.md:3:1\W+error\W+figure-not-proofed", message)
    assert not list(Path(config.site_dir).rglob("*.html"))


def test_a_footnote_swaps_no_figures(site: Site) -> None:
    text = "[^a]: some [3 mm](cite:manual) there.\n\nWe set [9 mm](cite:manual 'for the bolts').[^a]\n"
    settings = "plugins: [buildlog]\nmarkdown_extensions: [footnotes]"
    page = body(run(site({"index.md": f"# Home\n\n{text}"}, settings)), "index.html")
    shown = [link.one(css="buildlog-own").words for link in page.all("a", "buildlog-figure")]
    assert shown == ["9 mm", "3 mm"]


@pytest.mark.parametrize("entry", ["- buildlog", "- buildlog: {files: true, refuse: true, style: true}"])
def test_the_extension_named_in_the_settings_changes_nothing(site: Site, tmp_path: Path, entry: str) -> None:
    """A generator that passes over plugins needs the entry."""
    build(site())
    without = {path.name: path.read_bytes() for path in (tmp_path / "site").rglob("*.html")}
    build(site(settings=f"plugins: [buildlog]\nmarkdown_extensions:\n  {entry}"))
    assert without == {path.name: path.read_bytes() for path in (tmp_path / "site").rglob("*.html")}
