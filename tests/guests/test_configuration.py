"""The configuration that the proof reads, against what MkDocs loads: both have to see the same site."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

import pytest
import yaml
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort, ConfigurationError

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.proof.proof import proof_book
from buildlog.reading.settings import Settings, read_settings
from mkdocs_buildlog import BuildlogPlugin
from mkdocs_buildlog.work import settings_of
from tests.house import ROOT
from tests.samples import GEARING

HEAD = "site_name: A\n"
ENVIRONMENT = {
    "B_LEVEL": "fail",
    "B_OFF": "off",
    "B_ON": "true",
    "B_EMPTY": "",
    "B_FOLDER": "pages",
    "B_FIVE": "5",
}
FOLDERS = ("docs", "pages", "deep/er")

# What a site may have in its settings, the file mkdocs.yml but for its head.
SITES = {
    "nothing": "",
    "a folder": "docs_dir: pages",
    "a deep folder": "docs_dir: deep/er",
    "a folder below and above": "docs_dir: deep/../pages",
    "a folder that is nothing": "docs_dir:",
    "a folder from the environment": "docs_dir: !ENV B_FOLDER",
    "a folder in quotation marks": "'docs_dir': \"pages\"",
    "a key twice": "docs_dir: docs\ndocs_dir: pages",
    "a plugin": "plugins: [buildlog]",
    "plugins that are nothing": "plugins:",
    "no plugins": "plugins: []",
    "plugins as a mapping": "plugins:\n  search: {}\n  buildlog: {loose: warn, units: us}",
    "a plugin without options": "plugins:\n  - buildlog:\n  - search",
    "a mapping of plugins without options": "plugins: {buildlog: , search: }",
    "a plugin by its full name": "plugins: [/buildlog, material/search]\ntheme: material",
    "options": "plugins:\n  - buildlog: {loose: fail, nominal_nouns: [standoff], units: metric, bundles: no}",
    "a plugin from a mapping twice": "plugins:\n  buildlog: {loose: warn}\n  buildlog: {loose: fail}",
    "options that are nothing": (
        "plugins:\n  - buildlog: {loose: , units: null, findings: , report: , bundles: , enabled: }"
    ),
    "levels": "plugins:\n  - buildlog: {loose: off, findings: {loose-figure: off, untranslated: warn}}",
    "a report": "plugins:\n  - buildlog: {report: 'mailto:a@b.example?subject={title}&body={body}'}",
    "a level from the environment": "plugins:\n  - buildlog: {loose: !ENV B_LEVEL}",
    "off from the environment": "plugins:\n  - buildlog: {loose: !ENV B_OFF}",
    "a level from the second variable": "plugins:\n  - buildlog: {loose: !ENV [B_NONE, B_LEVEL, warn]}",
    "a default": "plugins:\n  - buildlog: {loose: !ENV [B_NONE, warn], bundles: !ENV [B_NONE, false]}",
    "a variable that is not set": "plugins:\n  - buildlog: {loose: !ENV B_NONE, units: !ENV [B_NONE]}",
    "a variable that is empty": "plugins:\n  - buildlog: {loose: !ENV [B_EMPTY, fail]}",
    "all options from a default": "plugins:\n  - buildlog: !ENV [B_NONE, {loose: warn}]",
    "switched off": "plugins: [{buildlog: {enabled: false}}, search]",
    "switched on from the environment": "plugins: [{buildlog: {enabled: !ENV [B_ON, false]}}]",
    "switched off by a default": "plugins: [{buildlog: {enabled: !ENV [CI_OF_NOBODY, false], loose: warn}}]",
    "one off and one on": "plugins: [{buildlog: {enabled: false}}, {buildlog: {loose: warn}}]",
    "another one off": "plugins: [buildlog, {tags: {enabled: false}}]\ntheme: material",
    "an anchor": "extra: {o: &o {loose: warn}}\nplugins:\n  - buildlog: *o",
    "a merge": "extra: {o: &o {loose: warn, units: us}}\nplugins:\n  - buildlog: {<<: *o, units: metric}",
    "two merges": (
        "extra: {o: &o {loose: warn, units: us}, p: &p {loose: fail, bundles: no}}\n"
        "plugins:\n  - buildlog: {<<: [*o, *p]}"
    ),
    "a merge after its key": "extra: {o: &o {loose: warn}}\nplugins:\n  - buildlog: {loose: fail, <<: *o}",
    "a merge of the whole": "x: &x {docs_dir: pages}\n<<: *x",
    "tags of Python": (
        "theme: {name: material}\nmarkdown_extensions:\n  - toc: {slugify: !!python/name:os.path.basename }\n"
        "  - pymdownx.snippets: {base_path: [!relative $docs_dir]}\nplugins: [buildlog]"
    ),
    "a tag on a text": "docs_dir: !!str pages\nplugins: [buildlog: {loose: !!str off}]",
    "a theme's language": "theme: {name: material, language: de}",
    "a theme without one": "theme: material",
    "a language that is nothing": "theme: {name: material, language: }",
    "a language that is no": "theme: {name: material, language: no}",
    "another theme": "theme: {name: mkdocs, locale: de}",
    "no theme": "theme: {name: null, custom_dir: deep}",
    "files that are excluded": "exclude_docs: |\n  /private/\n  *.tmp.md\n  !keep.tmp.md",
    "drafts": "draft_docs: |\n  drafts/\n  # nothing\n\n  _*.md",
    "files beside the navigation": "not_in_nav: |\n  /side/*.md",
    "patterns in one line": "exclude_docs: '*.md'",
    "files that are brought in again": "exclude_docs: |\n  !.well-known\n  !/templates/",
    "patterns that are nothing": "exclude_docs:\ndraft_docs: ~\nnot_in_nav: ''",
    "a deep navigation": "nav: " + "".join(f"\n{'  ' * n}- S{n}:" for n in range(1, 25)) + " a.md",
    "all in one line": '{"docs_dir": "pages", "plugins": ["buildlog"]}',
    "a document's end": "docs_dir: pages\n...",
    "a text of several lines": "docs_dir: >-\n  pages\nsite_description: |\n  a: b\n  docs_dir: docs",
    "extensions as a mapping": "markdown_extensions: {tables: , pymdownx.snippets: {base_path: docs}}",
    "hooks": "hooks: [hook.py]",
}  # fmt: skip

INHERITED = {
    "a folder": ("INHERIT: base.yml", {"base.yml": "docs_dir: pages"}),
    "a folder of its own": ("INHERIT: base.yml\ndocs_dir: docs", {"base.yml": "docs_dir: pages"}),
    "the options of a mapping": (
        "INHERIT: base.yml\nplugins: {buildlog: {loose: fail}}",
        {"base.yml": "plugins: {search: {}, buildlog: {loose: warn, units: us}}"},
    ),
    "a list in place of a list": (
        "INHERIT: base.yml\nplugins: [search]",
        {"base.yml": "plugins: [{buildlog: {loose: warn}}]"},
    ),
    "a list in place of a mapping": (
        "INHERIT: base.yml\nplugins: [buildlog]",
        {"base.yml": "plugins: {search: , buildlog: {loose: warn}}"},
    ),
    "nothing in place of something": ("INHERIT: base.yml\ndocs_dir:", {"base.yml": "docs_dir: pages"}),
    "nouns replaced": (
        "INHERIT: base.yml\nplugins: {buildlog: {nominal_nouns: [a]}}",
        {"base.yml": "plugins: {buildlog: {nominal_nouns: [b, c]}}"},
    ),
    "a chain over folders": (
        "INHERIT: deep/one.yml",
        {"deep/one.yml": "INHERIT: er/two.yml\ntheme: {language: fr}",
         "deep/er/two.yml": "INHERIT: ../../base.yml",
         "base.yml": "docs_dir: pages\ntheme: {name: material, language: de}"},
    ),
    "a name from the environment": ("INHERIT: !ENV [B_NONE, base.yml]", {"base.yml": "docs_dir: pages"}),
    "an empty file": ("INHERIT: base.yml", {"base.yml": ""}),
    "a file above": ("INHERIT: ../base.yml\ndocs_dir: docs", {"../base.yml": "plugins: [buildlog]"}),
}  # fmt: skip

REFUSED = {
    "no YAML": "plugins: [buildlog",
    "a tab": "plugins:\n\t- buildlog",
    "a list": "- a\n- b",
    "two documents": "docs_dir: docs\n---\ndocs_dir: pages",
    "an unknown alias": "plugins: *nothing",
    "a mapping where a variable is named": "docs_dir: !ENV {a: b}",
    "a list where a variable is named": "docs_dir: !ENV [[a], b]",
    "a text merged in": "a: {<<: b}",
    "a folder that is a number": "docs_dir: 5",
    "a folder that is a list": "docs_dir: [docs]",
    "a number from the environment": "docs_dir: !ENV B_FIVE",
    "the folder of the settings": "docs_dir: .",
    "no name of a folder": "docs_dir: ''",
    "plugins that are a text": "plugins: buildlog",
    "a plugin that is a number": "plugins: [5]",
    "two plugins in one": "plugins: [{buildlog: {}, search: {}}]",
    "patterns as a list": "exclude_docs: [a, b]",
    "patterns that are a truth value": "draft_docs: yes",
    "a file to inherit that is not there": "INHERIT: gone.yml",
    "options that are a text": "plugins: [{buildlog: 'loose'}]",
    "options that are a list": "plugins: [{buildlog: [loose]}]",
    "a level that there is none of": "plugins: [{buildlog: {loose: 5}}]",
    "nouns that are no list": "plugins: [{buildlog: {nominal_nouns: standoff}}]",
    "nouns that are nothing": "plugins: [{buildlog: {nominal_nouns: }}]",
    "nouns that are numbers": "plugins: [{buildlog: {nominal_nouns: [5]}}]",
    "units that there are none of": "plugins: [{buildlog: {units: imperial}}]",
    "a switch that is a text": "plugins: [{buildlog: {bundles: 'on'}}]",
    "enabled by a text": "plugins: [{buildlog: {enabled: 'yes'}}]",
    "enabled by a variable that is a text": "plugins: [{buildlog: {enabled: !ENV B_LEVEL}}]",
}  # fmt: skip


@pytest.fixture(autouse=True)
def environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)


def site(folder: Path, text: str, others: dict[str, str] | None = None, name: str = "mkdocs.yml") -> Path:
    """A site with some settings."""
    for content in FOLDERS:
        (folder / content).mkdir(parents=True, exist_ok=True)
        (folder / content / "a.md").write_text("# A\n")
    (folder / "hook.py").write_text("")
    for other, its in (others or {}).items():
        (folder / other).parent.mkdir(parents=True, exist_ok=True)
        (folder / other).write_text(its)
    head = '{"site_name": "A", ' if text.startswith("{") else HEAD
    (folder / name).write_text(head + text.removeprefix("{") + "\n")
    return folder


def loaded(folder: Path, name: str = "mkdocs.yml") -> MkDocsConfig:
    return load_config(str(folder / name))


def ours(config: MkDocsConfig) -> BuildlogPlugin | None:
    """Our plugin as MkDocs runs it."""
    found = [plugin for plugin in config.plugins.values() if isinstance(plugin, BuildlogPlugin)]
    return next((plugin for plugin in found if plugin.config.enabled), None)


def assert_the_same(folder: Path, name: str = "mkdocs.yml") -> Settings:
    """What the proof reads is what MkDocs has; and all of it is what the plugin hands over."""
    read = read_settings(folder.resolve(), folder.resolve() / name)
    config = loaded(folder, name)
    assert read.faults == ()
    assert read.content.samefile(config.docs_dir)
    assert read.language == str(config.theme.get("language") or "")
    assert read.hooks == bool(config.hooks)
    plugin = ours(config)
    assert read.enabled == (plugin is not None)
    if plugin is not None:
        assert settings_of(config, plugin.config) == read
    for ours_, theirs in (("drafts", config.draft_docs), ("hidden", config.not_in_nav)):
        assert getattr(read.publication, ours_) == theirs
    assert list(read.publication.excluded.patterns)[2:] == list(
        config.exclude_docs.patterns if config.exclude_docs else []
    )
    return read


@pytest.mark.parametrize("name", SITES)
def test_the_proof_reads_what_mkdocs_reads(tmp_path: Path, name: str) -> None:
    assert_the_same(site(tmp_path, SITES[name]))


@pytest.mark.parametrize("name", INHERITED)
def test_files_that_take_over_others(tmp_path: Path, name: str) -> None:
    text, others = INHERITED[name]
    read = assert_the_same(site(tmp_path / "site", text, others))
    assert len(read.configuration_files) == 1 + len(others)


@pytest.mark.parametrize("name", REFUSED)
def test_what_mkdocs_refuses_is_one_clear_message(tmp_path: Path, name: str) -> None:
    site(tmp_path, REFUSED[name])
    with pytest.raises((Abort, ConfigurationError, TypeError)):
        loaded(tmp_path)
    (error,) = read_settings(tmp_path).faults
    assert error.code.name in ("configuration", "setting")
    assert (error.position.path, error.found != "", error.expected != "") == ("mkdocs.yml", True, True)
    result = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)])
    assert (result.exit_code, "Traceback" in result.output) == (1, False), result.output
    assert (
        f"mkdocs.yml:{error.position.line}:{error.position.column}  error  {error.code.name}: "
        in result.output
    )


def test_files_that_take_over_each_other_in_a_circle(tmp_path: Path) -> None:
    site(tmp_path, "INHERIT: base.yml", {"base.yml": "a: b\nINHERIT: mkdocs.yml"})
    with pytest.raises(RecursionError):
        loaded(tmp_path)
    (error,) = read_settings(tmp_path).faults
    assert (error.code.name, str(error.position)) == ("configuration", "base.yml:2:10")


def test_a_few_lines_that_stand_for_billions_of_values(tmp_path: Path) -> None:
    lines = ["a0: &a0 {x: y}"] + [
        f"a{n}: &a{n} {{<<: [*a{n - 1}, *a{n - 1}, *a{n - 1}]}}" for n in range(1, 40)
    ]
    site(tmp_path, "\n".join(lines))
    (error,) = read_settings(tmp_path).faults
    assert (error.code.name, error.found) == ("configuration", "more than 200000 values")


def test_the_plugin_named_twice_is_told_where(tmp_path: Path) -> None:
    site(tmp_path, "plugins:\n  - buildlog\n  - buildlog: {loose: fail}")
    (error,) = read_settings(tmp_path).faults
    assert (error.code.name, str(error.position), error.found) == (
        "setting",
        "mkdocs.yml:4:15",
        "the plugin buildlog again",
    )


def test_our_own_keys_twice_are_told_and_those_of_others_are_not(tmp_path: Path) -> None:
    site(tmp_path, "extra: {a: 1, a: 2}\nplugins:\n  - buildlog: {loose: warn, loose: fail}")
    (error,) = read_settings(tmp_path).faults
    assert (error.code.name, str(error.position)) == ("duplicate-key", "mkdocs.yml:4:29")
    assert str(error.second) == "mkdocs.yml:4:16"


def test_a_fault_in_a_file_that_is_taken_over_is_told_there(tmp_path: Path) -> None:
    site(
        tmp_path,
        "INHERIT: shared/base.yml",
        {"shared/base.yml": "# base\nplugins:\n  - buildlog: {loose: loud}"},
    )
    result = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)])
    assert "shared/base.yml:3:23  error  setting: " in result.output
    assert "  - buildlog: {loose: ›loud‹}" in result.output


def test_the_settings_of_the_demonstration() -> None:
    config = load_config(str(ROOT / "mkdocs.yml"))
    plugin = ours(config)
    assert plugin is not None
    assert settings_of(config, plugin.config) == read_settings(ROOT)


# --- which file ---------------------------------------------------------------------------------------


def proof(folder: Path, *options: str) -> Any:
    before = Path.cwd()
    os.chdir(folder)
    try:
        return CliRunner().invoke(main, ["proof", *options])
    finally:
        os.chdir(before)


def test_the_other_ending_of_the_settings(tmp_path: Path) -> None:
    site(tmp_path, "docs_dir: pages\nplugins: [{buildlog: {loose: loud}}]", name="mkdocs.yaml")
    assert "mkdocs.yaml:3:30  error  setting" in proof(tmp_path).output
    site(tmp_path, "docs_dir: docs")
    assert assert_the_same(tmp_path) == read_settings(tmp_path.resolve())


@pytest.mark.parametrize("option", ["-f", "--config-file"])
def test_a_file_of_settings_elsewhere(tmp_path: Path, option: str) -> None:
    """As MkDocs has it, paths in it start from its own folder."""
    site(tmp_path / "config", "docs_dir: ../docs\nplugins: [buildlog]", name="site.yml")
    (tmp_path / "docs").mkdir()
    (tmp_path / "docs" / "a.md").write_text("# A\n\n[9 mm](cite:nothing)\n")
    assert assert_the_same(tmp_path / "config", "site.yml").content == tmp_path.resolve() / "docs"
    result = proof(tmp_path, option, "config/site.yml")
    assert result.exit_code == 1
    assert "../docs/a.md:3:8  error  unknown-source" in result.output
    assert "[9 mm](›cite:nothing‹)" in result.output.splitlines()[1]


def test_a_file_of_settings_that_is_not_there(tmp_path: Path) -> None:
    result = proof(tmp_path, "-f", "gone.yml")
    assert (result.exit_code, result.output) == (
        2, "buildlog: there is no file gone.yml; --config-file takes the settings of the site.\n"
    )  # fmt: skip


@pytest.mark.parametrize("command", ["proof", "ledger", "amend", "working", "rename", "start"])
def test_every_command_takes_it(tmp_path: Path, command: str) -> None:
    site(tmp_path, "docs_dir: pages", name="other.yml")
    (tmp_path / "pages" / "a.md").write_text(GEARING)
    given_ = {"working": ["a#shorter-final"], "rename": ["a", "b"], "start": ["New"]}.get(command, [])
    result = CliRunner().invoke(main, [command, *given_, "-f", str(tmp_path / "other.yml")])
    assert result.exit_code == 0, result.output


# --- any settings -----------------------------------------------------------------------------------------

_LEVEL = st.sampled_from(
    ["off", "note", "warn", "fail", None, "!ENV B_LEVEL", "!ENV [B_NONE, note]", "!ENV B_NONE"]
)
_OPTIONS = st.fixed_dictionaries(
    {},
    optional={
        "loose": _LEVEL,
        "units": st.sampled_from(["us", "metric", "written", None]),
        "bundles": st.sampled_from([True, False, "!ENV B_ON", "!ENV [B_NONE, no]", None]),
        "enabled": st.sampled_from([True, False, "!ENV [B_NONE, B_ON, no]", "!ENV [B_NONE, off]"]),
        "nominal_nouns": st.lists(st.sampled_from(["standoff", "on", "5", "é", "a: b"]), max_size=2),
        "findings": st.dictionaries(st.sampled_from(["loose-figure"]), st.sampled_from(["off", "fail"])),
    },
)  # fmt: skip
_PATTERNS = st.lists(
    st.sampled_from(
        ["*.md", "!a.md", "/b/", "# no", "", "c/**/d.md", " e.md ", "\\#f", "[ab].md", "**", "!/templates/"]
    ),
    max_size=4,
).map("\n".join)  # fmt: skip
_SETTINGS = st.fixed_dictionaries(
    {},
    optional={
        "docs_dir": st.sampled_from(
            ["docs", "pages", "./deep/er/", None, "!ENV B_FOLDER", "!ENV [B_NONE, pages]"]
        ),
        "exclude_docs": _PATTERNS,
        "draft_docs": _PATTERNS,
        "not_in_nav": _PATTERNS,
        "theme": st.sampled_from([{"name": "material", "language": "de"}, {"name": "mkdocs"}, "material"]),
        "plugins": st.one_of(
            st.none(),
            _OPTIONS.map(lambda options: ["search", {"buildlog": options}]),
            _OPTIONS.map(lambda options: {"buildlog": options, "search": None}),
            st.just(["buildlog"]),
        ),
        "extra": st.dictionaries(st.text(max_size=5), st.text(max_size=9), max_size=2),
    },
)  # fmt: skip


class _Tagged(yaml.SafeDumper):
    """Writes texts that begin with !ENV as such tags."""


def _write_text(dumper: yaml.SafeDumper, text: str) -> yaml.Node:
    if not text.startswith("!ENV "):
        return dumper.represent_str(text)
    names = text.removeprefix("!ENV ")
    if not names.startswith("["):
        return dumper.represent_scalar("!ENV", names)
    resolve = cast(Any, dumper).resolve
    nodes = [
        yaml.ScalarNode(resolve(yaml.ScalarNode, one, (True, False)), one) for one in names[1:-1].split(", ")
    ]
    return yaml.SequenceNode("!ENV", nodes, flow_style=True)


_Tagged.add_representer(str, _write_text)
_Tagged.ignore_aliases = lambda *_: True  # type: ignore[method-assign]


@given(_SETTINGS, _SETTINGS, st.booleans())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_settings_are_read_as_mkdocs_reads_them(
    tmp_path_factory: pytest.TempPathFactory, own: dict[str, Any], below: dict[str, Any], inherits: bool
) -> None:
    own = {**own, **({"INHERIT": "base.yml"} if inherits else {})}
    text = yaml.dump(own, Dumper=_Tagged, allow_unicode=True) if own else ""
    base = yaml.dump(below, Dumper=_Tagged, allow_unicode=True)
    assert_the_same(site(tmp_path_factory.mktemp("site"), text, {"base.yml": base}))


def test_a_site_without_settings_has_its_pages_in_content(tmp_path: Path) -> None:
    (tmp_path / "content").mkdir()
    (tmp_path / "content" / "a.md").write_text("# A\n")
    book = Book.open(root=tmp_path)
    assert (list(book.pages), replace(book.settings, faults=())) == (
        ["a"],
        Settings(content=tmp_path / "content"),
    )
    assert proof_book(book).errors == ()
