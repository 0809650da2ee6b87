"""What a site says about buildlog: the content folder and the options in mkdocs.yml.

Only the file's text is read, with our own YAML reader; the generator that the file belongs to is not
needed. Options stand under ``plugins: - buildlog:``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from buildlog.diagnostics import CODES, Diagnostic, Severity, declare, did_you_mean, shorten
from buildlog.files.text import read_text
from buildlog.reading.nodes import (
    Unread,
    YamlList,
    YamlMapping,
    YamlNode,
    YamlScalar,
    describe,
    read_yaml,
    whole_file,
)
from buildlog.reading.report_address import fault_of
from buildlog.reading.snippets import SnippetSettings, read_snippet_settings

LEVELS = ("off", "note", "warn", "fail")
_MOST_INHERITED = 10  # files that take over each other may do so in a circle
UNIT_SYSTEMS = ("written", "metric", "us")
_OPTIONS = ("loose", "nominal_nouns", "findings", "units", "report", "bundles", "enabled")
_SWITCH = {"on": True, "off": False, "true": True, "false": False, "yes": True, "no": False}

SETTING = declare(
    "setting",
    "a setting that buildlog does not know",
    why="A mistyped setting would be passed over and the site proofed by other rules than you meant.",
    mend="Correct it in mkdocs.yml; the manual lists the settings.",
    example="plugins: [{buildlog: {lose: fail}}]",
)


@dataclass(frozen=True, kw_only=True)
class Settings:
    """`loose` says how bad a loose figure is, `nominal_nouns` adds to the nouns of nominal sizes,
    `levels` sets single codes to off, note, warn or fail. `units` is the system that pages are shown in until
    a reader chooses another. `report` is where readers report a figure, "" where they cannot. `bundles` says
    whether a page's text and what it rests on are published to be repeated. `language` is that of the site's
    theme, "" where it says none. `snippets` is None where pages
    have none."""

    content: Path
    loose: str = "note"
    nominal_nouns: tuple[str, ...] = ()
    levels: dict[str, str] = field(default_factory=dict)
    units: str = "written"
    report: str = ""
    bundles: bool = True
    language: str = ""
    snippets: SnippetSettings | None = None
    faults: tuple[Diagnostic, ...] = ()


def read_settings(root: Path) -> Settings:
    """Settings of the site at `root`; without mkdocs.yml the content folder is ``content``."""
    path = root / "mkdocs.yml"
    if not path.is_file():
        return Settings(content=root / "content")
    text, unread = read_text(path, "mkdocs.yml")
    if unread:
        return Settings(content=root / "content", faults=tuple(unread))
    node, faults = read_yaml(text, whole_file("mkdocs.yml"), lenient=True)
    if not isinstance(node, YamlMapping):
        return Settings(content=root / "content", faults=tuple(faults))
    folder = node.get("docs_dir")
    name = "docs"  # MkDocs' own default
    if isinstance(folder, YamlScalar) and folder.text:
        name = folder.text
    settings = settings_from(root / name, _plugin_options(node), faults)
    files = list(_with_inherited(node, path))
    snippets = (read_snippet_settings(each, root, settings.content) for each in files)
    return replace(
        settings,
        language=next(filter(None, map(_theme_language, files)), ""),
        snippets=next((found for found in snippets if found is not None), None),
    )


def _theme_language(node: YamlMapping) -> str:
    """The language that a site's theme is set to."""
    theme = node.get("theme")
    language = theme.get("language") if isinstance(theme, YamlMapping) else None
    return language.text if isinstance(language, YamlScalar) else ""


def _with_inherited(node: YamlMapping, path: Path) -> Iterator[YamlMapping]:
    """A site's settings, and those that it takes over with MkDocs' INHERIT, as far as they can be read."""
    yield node
    for _ in range(_MOST_INHERITED):
        parent = node.get("INHERIT")
        if not isinstance(parent, YamlScalar) or not parent.text:
            return
        path = path.parent / parent.text
        inherited, _ = read_yaml(read_text(path, path.name)[0], whole_file(path.name), lenient=True)
        if not isinstance(inherited, YamlMapping):
            return
        node = inherited
        yield node


def _plugin_options(node: YamlMapping) -> YamlNode | None:
    plugins = node.get("plugins")
    items = plugins.items if isinstance(plugins, YamlList) else (plugins,)
    for item in items:
        if isinstance(item, YamlMapping) and (options := item.get("buildlog")) is not None:
            return options
    return None


def settings_from(content: Path, node: YamlNode | None, faults: list[Diagnostic]) -> Settings:
    """Settings from the options' node; whatever is wrong becomes a fault."""
    if not isinstance(node, YamlMapping):
        _refuse_options(node, faults)
        return Settings(content=content, faults=tuple(faults))
    loose = "note"
    nouns: tuple[str, ...] = ()
    levels: dict[str, str] = {}
    units = "written"
    report = ""
    bundles = True
    for key, value in node.entries:
        if key.text == "loose":
            loose = _level(value, faults) or loose
        elif key.text == "nominal_nouns":
            nouns = _nouns(value, faults)
        elif key.text == "report":
            report = _report(value, faults)
        elif key.text == "findings" and isinstance(value, YamlMapping):
            levels |= _levels(value, faults)
        elif key.text == "units":
            units = _one_of(value, UNIT_SYSTEMS, faults) or units
        elif key.text == "bundles":
            bundles = _switch(value, faults)
        elif key.text == "enabled":
            pass  # whether the generator's plugin does anything: the proof is asked for by name
        else:
            hint = did_you_mean(key.text, _OPTIONS) if key.text not in _OPTIONS else ""
            faults.append(
                SETTING.at(
                    key.position,
                    found=f"“{shorten(key.text)}: {describe(value)}”",
                    expected=", ".join(_OPTIONS),
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
        bundles=bundles,
        faults=tuple(faults),
    )


def _refuse_options(node: YamlNode | None, faults: list[Diagnostic]) -> None:
    """A fault where options were written that are no mapping. To give none is no fault."""
    if node is None or isinstance(node, Unread):  # an alias is a finding already
        return
    if isinstance(node, YamlScalar) and node.text in ("", "~", "null"):
        return
    expected = "settings: " + ", ".join(_OPTIONS)
    faults.append(SETTING.at(node.position, found=describe(node), expected=expected))


def _levels(node: YamlMapping, faults: list[Diagnostic]) -> dict[str, str]:
    """Levels of single codes. What stops a site stops it on every site, so errors take none."""
    levels: dict[str, str] = {}
    for code, level in node.entries:
        if code.text not in CODES:
            faults.append(
                SETTING.at(
                    code.position,
                    found=f"the code “{shorten(code.text)}”",
                    expected="a code of the manual",
                    help=did_you_mean(code.text, CODES),
                )
            )
        elif CODES[code.text].severity is Severity.ERROR:
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
        if isinstance(node, YamlList) and isinstance(item, YamlScalar) and item.text.strip():
            nouns.append(item.text)
        else:
            faults.append(SETTING.at(item.position, found=describe(item), expected="a list of nouns"))
    return tuple(nouns)


def _report(node: YamlNode, faults: list[Diagnostic]) -> str:
    """The address for reports; "" where it is none, which is a fault."""
    if not isinstance(node, YamlScalar) or not node.text:
        expected = "an address, in quotation marks: it has braces"
        faults.append(SETTING.at(node.position, found=describe(node), expected=expected))
        return ""
    fault = fault_of(node.text)
    if fault is None:
        return node.text
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
    if isinstance(node, YamlScalar) and node.text.casefold() in _SWITCH:
        return _SWITCH[node.text.casefold()]
    faults.append(SETTING.at(node.position, found=describe(node), expected="on, off"))
    return False
