"""What a site says about buildlog: its content folder, which pages it has, and the options of our plugin.

All of it stands in the configuration of the site, which `configuration` reads as MkDocs does; MkDocs itself
is not needed. Options stand under ``plugins: - buildlog:``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from buildlog.diagnostics import Diagnostic, Position, Severity, declare, did_you_mean, shorten
from buildlog.figures.units import OwnUnits
from buildlog.reading import code_list
from buildlog.reading.configuration import (
    CONFIGURATION,
    Configuration,
    Scalar,
    is_null,
    text_of,
)
from buildlog.reading.included_files import INCLUDE_PLUGIN, IncludeSettings, read_include_settings
from buildlog.reading.nodes import (
    DUPLICATE_KEY,
    YamlList,
    YamlMapping,
    YamlNode,
    YamlScalar,
    describe,
)
from buildlog.reading.pages_folder import content_folder, read_any, settings_file
from buildlog.reading.plugin_options import LEVELS, OPTIONS, UNIT_SYSTEMS
from buildlog.reading.publication import Publication, Standing, read_publication
from buildlog.reading.report_address import fault_of
from buildlog.reading.snippets import SnippetSettings, read_snippet_settings

SERVED, ALL = "served", "all"
"""Which unpublished files are taken for pages: those that serving shows, or all."""
# Not what is declared: that depends on which checks are loaded.
_SEVERITIES = {name: Severity(severity) for name, severity, *_ in code_list.CODES}
_SWITCHES = [name for name, option in OPTIONS.items() if option.form == "switch"]
_OURS = "buildlog"
# What a theme is set to where the site says nothing; of the others nothing is known.
_LANGUAGES = {"material": "en"}

SETTING = declare(
    "setting",
    "a setting that buildlog does not know",
    why="A mistyped setting would be passed over and the site proofed by other rules than you meant.",
    mend="Correct it in the settings of the site; the manual lists them.",
    example="plugins: [{buildlog: {lose: fail}}]",
)


@dataclass(frozen=True, kw_only=True)
class Settings:
    """`loose` says how bad a loose figure is, `nominal_nouns` adds to the nouns of nominal sizes,
    `levels` sets single codes to off, note, warn or fail. `units` is the system that pages are shown in until
    a reader chooses another. `report` is where readers report a figure, "" where they cannot. `bundles` says
    whether a page's text and what it rests on are published to be repeated, `cache` whether a run keeps for
    the next one what it made. `language` is that of the site's
    theme, "" where it is not known. `snippets` and `includes` are None where pages have none.
    `configuration` is the file that all of this is from, `configuration_files` that one and those that it
    takes over. `plugins` are those that run, `hooks` whether code of the site's own does. `enabled` says
    whether our plugin runs, `is_switched_off` whether it is named and told not to.
    `own_units` are those of the site beside our list; a book reads them from its content folder.
    `publication` is which files are pages, and `drafts` which of the others are taken for pages too.
    """

    content: Path
    loose: str = "note"
    nominal_nouns: tuple[str, ...] = ()
    levels: dict[str, str] = field(default_factory=dict)
    units: str = "written"
    report: str = ""
    bundles: bool = True
    cache: bool = True
    language: str = ""
    snippets: SnippetSettings | None = None
    includes: IncludeSettings | None = None
    configuration: Path | None = None
    configuration_files: tuple[Path, ...] = ()
    plugins: tuple[str, ...] = ()
    hooks: bool = False
    enabled: bool = False
    is_switched_off: bool = False
    publication: Publication = field(default_factory=Publication)
    drafts: str = ""
    own_units: OwnUnits = field(default_factory=OwnUnits)
    faults: tuple[Diagnostic, ...] = ()

    def publishes(self, file: str, standing: Standing, is_draft: bool) -> bool:
        """Whether a file, by its path under content, is taken for a page of the site."""
        posts = self.publication.posts_with(file) if is_draft else None
        if standing is Standing.EXCLUDED:
            return self.drafts == ALL
        if posts is not None and not posts.on_serve:
            return self.drafts == ALL
        is_published = standing is Standing.PUBLISHED and posts is None
        return is_published or bool(self.drafts)


def read_settings(root: Path, file: Path | None = None) -> Settings:
    """Settings of the site at `root`, from the file that is named, or that MkDocs would find there. Without
    one the content folder is ``content``."""
    file = file or settings_file(root)
    if file is None:
        return Settings(content=root / "content")
    configuration = read_any(file, root)
    faults = list(configuration.faults)
    if faults:
        return Settings(
            content=root / "content",
            configuration=file,
            configuration_files=configuration.files,
            faults=tuple(faults),
        )
    content = content_folder(configuration, file.parent, faults)
    plugins = list(_plugins(configuration.root.get("plugins"), faults))
    ours = [options for name, options in plugins if name == _OURS]
    running = [options for options in ours if _is_enabled(options)]
    if len(running) > 1:
        node = running[1]
        found, expected = f"the plugin {_OURS} again", "the plugin once"
        faults.append(SETTING.at(node.position, found=found, expected=expected))
    running_plugins = [(name, options) for name, options in plugins if _is_enabled(options)]
    publication = read_publication(configuration.root, running_plugins, faults)
    settings = settings_from(content, next(iter(running or ours), None), faults, configuration)
    return replace(
        settings,
        configuration=file,
        configuration_files=configuration.files,
        enabled=bool(running),
        is_switched_off=bool(ours) and not running,
        plugins=tuple(name for name, _ in running_plugins),
        hooks=bool(_texts_of(configuration.root.get("hooks"))),
        language=_theme_language(configuration.root.get("theme")),
        snippets=read_snippet_settings(configuration.root, file.parent, content),
        includes=read_include_settings([node for name, node in running_plugins if name == INCLUDE_PLUGIN]),
        publication=publication,
        faults=tuple(faults),
    )


def _theme_language(theme: YamlNode | None) -> str:
    """The language that a site's theme is set to."""
    name, language = theme, None
    if isinstance(theme, YamlMapping):
        name, language = theme.get("name"), theme.get("language")
    if language is None:
        return _LANGUAGES.get(text_of(name) or "", "")
    return text_of(language) or ""


def _plugins(node: YamlNode | None, faults: list[Diagnostic]) -> Iterator[tuple[str, YamlNode]]:
    """The plugins that a site names, with their options; where one has none, the node that names it."""
    if is_null(node):
        yield "search", Scalar(Position(""))  # MkDocs' own default
        return
    if isinstance(node, YamlMapping):
        items: tuple[YamlNode, ...] = tuple(
            YamlMapping(key.position, ((key, value),)) for key, value in node.entries
        )
    elif isinstance(node, YamlList):
        items = node.items
    else:
        assert node is not None
        found = f"plugins: {describe(node)}"
        faults.append(CONFIGURATION.at(node.position, found=found, expected="a list of plugins"))
        return
    for item in items:
        name: YamlNode = item
        options = item
        if isinstance(item, YamlMapping) and len(item.entries) == 1:
            name, options = item.entries[0]
            options = Scalar(name.position) if is_null(options) else options
        written = text_of(name)
        if written is None:
            found, expected = f"plugins: {describe(item)}", "the name of a plugin, alone or with its options"
            faults.append(CONFIGURATION.at(item.position, found=found, expected=expected))
        else:
            yield written.rpartition("/")[2], options  # before it stands the theme that brings it


def _is_enabled(options: YamlNode) -> bool:
    """Whether MkDocs runs a plugin, which every plugin's options may deny."""
    node = options.get("enabled") if isinstance(options, YamlMapping) else None
    return not (isinstance(node, Scalar) and node.switch is False)


def _texts_of(node: YamlNode | None) -> tuple[str, ...]:
    items = node.items if isinstance(node, YamlList) else ()
    return tuple(text for item in items if (text := text_of(item)) is not None)


def settings_from(
    content: Path, node: YamlNode | None, faults: list[Diagnostic], configuration: Configuration
) -> Settings:
    """Settings from the options' node; whatever is wrong becomes a fault."""
    if not isinstance(node, YamlMapping):
        _refuse_options(node, faults)
        return Settings(content=content, faults=tuple(faults))
    loose = "note"
    nouns: tuple[str, ...] = ()
    levels: dict[str, str] = {}
    units = "written"
    report = ""
    switches: dict[str, bool] = {}
    _refuse_repeated(node, configuration, faults)
    for key, value in node.entries:
        if is_null(value) and key.text in OPTIONS and key.text != "nominal_nouns":
            continue  # as MkDocs has it, nothing was said then; but it wants a list to be one
        if key.text == "loose":
            loose = _level(value, faults) or loose
        elif key.text == "nominal_nouns":
            nouns = _nouns(value, faults)
        elif key.text == "report":
            report = _report(value, faults)
        elif key.text == "findings" and isinstance(value, YamlMapping):
            _refuse_repeated(value, configuration, faults)
            levels |= _levels(value, faults)
        elif key.text == "units":
            units = _one_of(value, UNIT_SYSTEMS, faults) or units
        elif key.text in _SWITCHES:
            switches[key.text] = _switch(value, faults)
        else:
            hint = did_you_mean(key.text, OPTIONS) if key.text not in OPTIONS else ""
            faults.append(
                SETTING.at(
                    key.position,
                    found=f"“{shorten(key.text)}: {describe(value)}”",
                    expected=", ".join(OPTIONS),
                    help=hint,
                )
            )
    return Settings(
        content=content,
        loose=loose,
        nominal_nouns=nouns,
        levels=levels,
        units=units,
        report=report,
        bundles=switches.get("bundles", True),
        cache=switches.get("cache", True),
        faults=tuple(faults),
    )


def _refuse_repeated(node: YamlMapping, configuration: Configuration, faults: list[Diagnostic]) -> None:
    """A fault on each of our own keys that stands twice, of which YAML would take the last."""
    for key, first in configuration.repeated.get(node.position, ()):
        faults.append(
            DUPLICATE_KEY.at(
                key.position,
                found=f"“{shorten(key.text)}” twice",
                expected="each key once",
                second=first,
                second_label="first written here",
                length=len(key.text),
            )
        )


def _refuse_options(node: YamlNode | None, faults: list[Diagnostic]) -> None:
    """A fault where options were written that are no mapping. To give none is no fault."""
    if node is None or (isinstance(node, Scalar) and node.text in ("", _OURS, f"/{_OURS}")):
        return
    expected = "settings: " + ", ".join(OPTIONS)
    faults.append(SETTING.at(node.position, found=describe(node), expected=expected))


def _levels(node: YamlMapping, faults: list[Diagnostic]) -> dict[str, str]:
    """Levels of single codes. What stops a site stops it on every site, so errors take none."""
    levels: dict[str, str] = {}
    for code, level in node.entries:
        if code.text not in _SEVERITIES:
            faults.append(
                SETTING.at(
                    code.position,
                    found=f"the code “{shorten(code.text)}”",
                    expected="a code of the manual",
                    help=did_you_mean(code.text, _SEVERITIES),
                )
            )
        elif _SEVERITIES[code.text] is Severity.ERROR:
            faults.append(
                SETTING.at(
                    code.position,
                    found=f"a level for {code.text}",
                    expected="codes of warnings and notes only",
                    help="what stops a site cannot be turned down: mend what it is about",
                )
            )
        elif word := _level(level, faults):
            levels[code.text] = word
    return levels


def _nouns(node: YamlNode, faults: list[Diagnostic]) -> tuple[str, ...]:
    items = node.items if isinstance(node, YamlList) else (node,)
    nouns = []
    for item in items:
        if isinstance(node, YamlList) and (text := text_of(item) or "").strip():
            nouns.append(text)
        else:
            faults.append(SETTING.at(item.position, found=describe(item), expected="a list of nouns"))
    return tuple(nouns)


def _report(node: YamlNode, faults: list[Diagnostic]) -> str:
    """The address for reports; "" where it is none, which is a fault."""
    if not text_of(node):
        expected = "an address, in quotation marks: it has braces"
        faults.append(SETTING.at(node.position, found=describe(node), expected=expected))
        return ""
    text = text_of(node) or ""
    fault = fault_of(text)
    if fault is None:
        return text
    faults.append(SETTING.at(node.position, found=shorten(fault[0]), expected=fault[1]))
    return ""


def _level(node: YamlNode, faults: list[Diagnostic]) -> str:
    return _one_of(node, LEVELS, faults)


def _one_of(node: YamlNode, words: tuple[str, ...], faults: list[Diagnostic]) -> str:
    """The word of a setting, "" where it is none of these, which is a fault then."""
    if isinstance(node, YamlScalar) and node.text in words:
        return node.text
    faults.append(SETTING.at(node.position, found=describe(node), expected=", ".join(words)))
    return ""


def _switch(node: YamlNode, faults: list[Diagnostic]) -> bool:
    """On or off, in the words that YAML has for it. What is neither publishes nothing."""
    if isinstance(node, Scalar) and node.switch is not None:
        return node.switch
    faults.append(SETTING.at(node.position, found=describe(node), expected="on, off"))
    return False
