"""Serving: what a build takes over from the one before, and that the pages are those of a fresh build."""

from __future__ import annotations

import json
import logging
import re
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.plugins import BasePlugin
from mkdocs.structure.pages import Page

import mkdocs_buildlog.rendered
from buildlog.kinds.results import BlockResult
from buildlog.page.insertion import DeferredHtml
from buildlog.render import Rendered, render_card
from mkdocs_buildlog import BuildlogPlugin
from mkdocs_buildlog.memory import BuildMemory
from tests.jobs import FILES
from tests.proof.test_drift import CSV
from tests.proof.test_drift import FILES as DRIVEN
from tests.samples import GEARING, calc, write_site

LISTS = "".join(
    f'# {name}\n\n<div data-buildlog="{name}"></div>\n\n'
    for name in ("ledger", "coverage", "sources", "series", "predictions", "cautions")
)
LOOKING = """\
# Looking

- [150.6 km/h](calc:episodes/final#then.speed_at_limit.3), **about
  [150 km/h](calc:episodes/final#then.speed_at_limit.3 "± 2 %")**, [240 hp](told:last-owner)
  and [](calc:shorter-final.after.speed_at_limit.3).

## At [135.5 km/h](calc:shorter-final.after.speed_at_limit.3)

!!! note

""" + "".join(f"    {line}\n" for line in GEARING.splitlines())
_BUILT_AT = re.compile("Build Date UTC : .*")
SEARCH = "search/search_index.json"
SITE: dict[str, str | bytes] = {**FILES, "lists.md": LISTS, "index.md": LOOKING}


class Served:
    """A site under a folder; `built` is what one build writes: path → text."""

    def __init__(
        self,
        folder: Path,
        *,
        command: str = "serve",
        theme: str = "material",
        more: str = "",
        changing: bool = False,
    ) -> None:
        self.folder = folder
        self.changing = changing
        self.command = command
        (folder / "mkdocs.yml").write_text(
            f"site_name: Test\ndocs_dir: content\ntheme: {{name: {theme}}}\nplugins: [search, buildlog]\n"
            f"markdown_extensions:\n  - admonition\n  - footnotes\n  - tables\n{more}\n"
        )
        self._config().plugins.on_startup(command=command, dirty=False)

    def _config(self) -> Any:
        return load_config(str(self.folder / "mkdocs.yml"), site_dir=str(self.folder / self.command))

    def built(self) -> dict[str, str]:
        config = self._config()
        self.plugin: BuildlogPlugin = config.plugins["buildlog"]
        if self.changing:
            config.plugins["changer"] = Changer()
        build(config, serve_url="http://127.0.0.1:8000/" if self.command == "serve" else None)
        return {
            path.relative_to(config.site_dir).as_posix(): _BUILT_AT.sub("", path.read_text("utf-8"))
            for path in Path(config.site_dir).rglob("*")
            if path.suffix in (".html", ".json", ".csv") and path.name != "404.html"
        }

    def built_afresh(self) -> dict[str, str]:
        """The same by a plugin that takes nothing over."""
        plugin = self.plugin
        memory = plugin.memory
        plugin.memory = BuildMemory()
        try:
            return self.built()
        finally:
            plugin.memory = memory


@pytest.fixture(autouse=True)
def _quiet(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.CRITICAL, "mkdocs")


@pytest.mark.parametrize("addresses", ["true", "false"])
def test_pages_are_what_they_are_when_everything_goes_through_markdown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, addresses: str
) -> None:
    """Cards and notes are put in at the very end; here against the way that a generator without our plugin
    takes, where MkDocs itself writes their addresses."""
    write_site(tmp_path, SITE)
    site = Served(tmp_path, more=f"use_directory_urls: {addresses}")
    late = site.built()
    never = _Never()
    # MkDocs hands the plugin that it has made to every later site of this process.
    monkeypatch.setattr(site.plugin, "memory", BuildMemory())
    site.plugin.memory.deferred = never
    through = site.built()
    assert never.finished == len(site.plugin.memory.files.documentation_pages())
    assert late.keys() == through.keys()
    page = "lists/index.html" if addresses == "true" else "lists.html"
    assert "buildlog-ledger" in late[page]
    assert "buildlog-card" in late["index.html"]
    for name in late.keys() - {SEARCH}:
        assert _in_order(late[name]) == _in_order(through[name]), name


def _in_order(html: str) -> str:
    """With the attributes of each element in order of the alphabet."""
    attribute = r'\s[\w:-]+(?:="[^"]*")?'
    return re.sub(
        rf"<[\w:-]+((?:{attribute})+)",
        lambda found: found[0].replace(found[1], "".join(sorted(re.findall(attribute, found[1])))),
        html,
    )


class _Never(DeferredHtml):
    """In place of what puts HTML in later: a false one."""

    def __init__(self) -> None:
        super().__init__()
        self.finished = 0

    def __bool__(self) -> bool:
        return False

    def finish(self, text: str, href: object) -> str:
        self.finished += 1
        assert super().finish(text, lambda page, link: "") == text
        return text


@pytest.mark.parametrize("theme", ["material", "mkdocs"])
def test_a_search_finds_results_and_none_of_what_explains_them(tmp_path: Path, theme: str) -> None:
    write_site(tmp_path, SITE)
    found = json.loads(Served(tmp_path, command="build", theme=theme).built()[SEARCH])["docs"]
    texts = [one["text"] for one in found if not one["location"].startswith("lists")]
    for words, there in (
        ("150.6", True),
        ("unverified", True),
        ("crown wheel and pinion", True),
        ("Road speed at the rev limit", True),  # a row of the table of results
        ("As written", False),  # a note's
        ("To its row", False),
        ("Working, step by step", False),
        ("buildlog proof", False),
    ):
        assert any(words in text.replace("\u00a0", " ") for text in texts) == there, words


# --- what is taken over from build to build ---------------------------------------------------

WATCHED = calc(
    """
    id: watched
    kind: gearing
    inputs: {gears: [1.4], rolling_circumference: 1.78 ± 0.01 m, rev_limit: 8200 rpm, final_drive: 4.10}
    predicts: {speed_at_limit.1: calc:episodes/final#then.speed_at_limit.3}
    """
)
DATA = {
    "watched.md": f"# Watched\n\n{WATCHED}",
    "runs/before.csv": CSV,
    "cars/brindle.yml": DRIVEN["cars/brindle.yml"],
    "a.md": str(DRIVEN["a.md"]),
    "b.md": f'{DRIVEN["b.md"]!s}\n[9 hp](told:last-owner)\n\n<div data-buildlog="ledger"></div>\n',
}
STEPS: list[
    tuple[str, str, str]
] = [  # the file, what is replaced in it, and by what; "" and "" takes it away
    ("about.md", "Nothing to do", "A great deal to do, and 3 kg of it,"),
    ("cars/brindle.yml", "8200", "8300"),
    ("runs/before.csv", "6000,167", "6000,168"),
    ("a.md", "41/9", "4.3"),
    ("a.md", "# A\n", "# A\n\nA line more, of 3 kg.\n"),
    ("sources.yml", "Axle sheet", "Another sheet"),
    ("sources.yml", "at the sale", "before the sale"),
    ("cars/test.yml", "final_drive: 4.10", "final_drive: 4.20"),
    ("episodes/duct.md", "episode: 2", "episode: 3"),
    ("episodes/duct.md", "title: A cold-air duct", "title: The duct"),
    ("episodes/final.md", "hazards: [lifting]", "hazards: []"),
    ("episodes/final.md", "id: then", "id: once"),
    ("../mkdocs.yml", "buildlog]", "buildlog: {loose: warn, nominal_nouns: [of it]}]"),
    ("../mkdocs.yml", "buildlog: {loose", "buildlog: {units: us, loose"),
    ("../mkdocs.yml", "use_directory_urls: true", "use_directory_urls: false"),
    ("episodes/duct.md", "", ""),
    ("runs/before.csv", "", ""),
    ("index.md", "41/9", "41/"),
    ("sources.yml", "", ""),
]


def test_after_any_change_pages_are_those_of_a_fresh_build(tmp_path: Path) -> None:
    """One change after another, each served on top of the last, against a plugin that knows nothing."""
    content = write_site(tmp_path, {**SITE, **DATA})
    site = Served(tmp_path, theme="mkdocs", more="use_directory_urls: true")
    before = site.built()
    for name, old, new in STEPS:
        path = content / name
        if old:
            text = path.read_text("utf-8")
            assert old in text, (name, old)
            path.write_text(text.replace(old, new), "utf-8")
        else:
            path.unlink()
        now = site.built()
        assert now == site.built_afresh(), (name, old)
        assert now != before, (name, old)
        before = now


EDITS = st.sampled_from(
    [
        ("41/9", "4.3"),
        ("135.5", "136.5"),
        ("id: ", "id: x"),
        ("# ", "\n# "),
        ("8200 rpm", "8300 rpm"),
        ("episode: 2", "episode: 1"),
        ("hazards: [lifting]", "hazards: []"),
        ("6000,167", "6000,170"),
        ("Axle", "Other"),
        ("calc:", "calc:a#"),
        ("last-owner", "first-owner"),
        ("4.10", "4.2"),
        ("inputs:", "input:"),
        ("title: ", "title: New "),
        ("\n", "\n\n"),
        ("[", "("),
        ("state: standard", ""),
    ]
)


@settings(max_examples=4, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(st.sampled_from(sorted({**SITE, **DATA})), EDITS), min_size=1, max_size=6))
def test_after_any_series_of_edits_pages_are_those_of_a_fresh_build(
    edits: list[tuple[str, tuple[str, str]]],
) -> None:
    with TemporaryDirectory() as made:
        content = write_site(Path(made), {**SITE, **DATA})
        site = Served(Path(made), theme="mkdocs")
        site.built()
        for name, (old, new) in edits:
            path = content / name
            path.write_text(path.read_text("utf-8").replace(old, new, 3), "utf-8")
            assert site.built() == site.built_afresh(), (name, old)


def test_what_has_not_changed_is_not_rendered_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    content = write_site(tmp_path, SITE)
    site = Served(tmp_path, theme="mkdocs")
    site.built()
    rendered: list[str] = []

    def noted(block: BlockResult, **more: Any) -> Rendered:
        rendered.append(block.id)
        return render_card(block, **more)

    monkeypatch.setattr("buildlog.page.extension.render_card", noted)
    (content / "about.md").write_text("# Other\n")
    site.built()
    assert rendered == []
    path = content / "episodes/final.md"
    path.write_text(path.read_text().replace("state: standard", "state: shorter-final"))
    site.built()
    assert rendered == ["then"]
    size = len(site.plugin.memory.cache)
    path.unlink()
    site.built()
    assert 0 < len(site.plugin.memory.cache) < size, "what belonged to the page is forgotten"


@pytest.fixture
def rendered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The pages that MkDocs renders."""
    found: list[str] = []
    render = Page.render

    def counted(page: Page, *more: Any) -> None:
        found.append(page.file.src_uri)
        render(page, *more)

    monkeypatch.setattr(Page, "render", counted)
    # A page that another program's method renders is not kept.
    monkeypatch.setattr(mkdocs_buildlog.rendered, "_is_of_mkdocs", lambda render: True)
    return found


def test_only_pages_that_have_changed_or_list_the_whole_site_are_rendered(
    tmp_path: Path, rendered: list[str]
) -> None:
    content = write_site(tmp_path, SITE)
    site = Served(tmp_path, theme="mkdocs")
    site.built()
    rendered.clear()
    (content / "about.md").write_text("# Other\n")
    site.built()
    assert sorted(rendered) == ["about.md", "lists.md"]


@pytest.mark.parametrize(
    "extension", ["meta", "pymdownx.snippets", "pymdownx.superfences: {custom_fences: F}"]
)
def test_with_an_extension_that_may_read_other_things_all_pages_are_rendered(
    tmp_path: Path, rendered: list[str], extension: str
) -> None:
    fences = "[{name: a, class: a, format: !!python/name:textwrap.dedent }]"
    content = write_site(tmp_path, {"index.md": "# One\n", "two.md": "# Two\n"})
    site = Served(tmp_path, theme="mkdocs", more=f"  - {extension.replace('F', fences)}")
    site.built()
    rendered.clear()
    (content / "two.md").write_text("# Other\n")
    site.built()
    assert sorted(rendered) == ["index.md", "two.md"]


def test_what_mkdocs_says_of_a_page_it_says_each_time(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    write_site(tmp_path, {"index.md": "# One\n\n[gone](gone.md)\n", "two.md": "# Two\n"})
    caplog.set_level(logging.WARNING, "mkdocs")
    site = Served(tmp_path, theme="mkdocs")
    for _ in range(3):
        caplog.clear()
        site.built()
        assert sum("gone.md" in record.getMessage() for record in caplog.records) == 1


def test_a_save_tells_only_what_is_new_and_no_notes(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    wrong = "[1 km/h](calc:shorter-final.after.speed_at_limit.3)"
    write_site(tmp_path, {"a.md": "# A\n"})
    site = Served(tmp_path, theme="mkdocs")
    caplog.set_level(logging.INFO, "mkdocs.plugins")

    def told(change: str) -> list[str]:
        caplog.clear()
        write_site(tmp_path, {"a.md": f"# A\n\n{change}\n\n{GEARING}"})
        site.built()
        return [
            found[1]
            for record in caplog.records
            if (found := re.match(r"buildlog: (\S+:\d+:\d+  .+)", record.getMessage()))
        ]

    first = "content/a.md:3:2  error  figure-disagrees"
    assert told(f"{wrong} and 4 kg.") == [first]
    assert told(f"{wrong} and 5 kg.") == []
    second = wrong.replace("1 km/h", "2 km/h")
    assert told(f"So {wrong}, {second}.") == [
        f"content/a.md:3:{len(f'So {wrong}, [') + 1}  error  figure-disagrees"
    ]
    assert told("Nothing.") == []
    assert told(f"{wrong} once more.") == [first]


def test_a_page_that_another_plugin_changes_is_rendered_each_time(tmp_path: Path) -> None:
    """What it rests on then is in no file, and nobody has proofed it."""
    content = write_site(tmp_path, {"index.md": "# One\n\nX\n", "two.md": "# Two\n\n" + GEARING})
    site = Served(tmp_path, theme="mkdocs", changing=True)
    assert "135.5 km/h" in site.built()["index.html"].replace("\u00a0", " ")
    path = content / "two.md"
    path.write_text(path.read_text().replace("195/50R15", "195/60R15"))
    assert "135.5 km/h" not in site.built()["index.html"].replace("\u00a0", " ")


class Changer(BasePlugin):  # type: ignore[no-untyped-call,type-arg]
    def on_page_markdown(self, markdown: str, **_: Any) -> str:
        return markdown.replace("X", "[](calc:two#shorter-final.after.speed_at_limit.3)")
