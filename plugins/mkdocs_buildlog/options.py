"""The options of the plugin, as MkDocs reads them."""

from __future__ import annotations

from mkdocs.config import base
from mkdocs.config import config_options as option

from buildlog.reading.plugin_options import UNIT_SYSTEMS


class BuildlogConfig(base.Config):  # type: ignore[no-untyped-call]
    """Options under ``plugins: - buildlog:``. `buildlog.reading.settings` reads and checks the same ones."""

    loose = option.Type((str, bool), default="note")
    """How bad a loose figure is: off, note, warn or fail."""
    nominal_nouns = option.ListOfItems(option.Type(str), default=[])
    """Nouns that make a number before them a nominal size."""
    findings = option.Type(dict, default={})
    """Code of a finding → off, note, warn or fail."""
    units = option.Choice(UNIT_SYSTEMS, default="written")
    """The system of units that pages are shown in until a reader chooses another."""
    report = option.Type(str, default="")
    """Where readers report a figure: an https or mailto address with {title} and {body}."""
    bundles = option.Type(bool, default=True)
    """Whether the bundles of pages are published, with which a reader repeats their figures."""
    cache = option.Type(bool, default=True)
    """Whether results are kept on disk for the next build."""
    enabled = option.Type(bool, default=True)
    """Off: the plugin does nothing at all."""


def sets_something(options: BuildlogConfig) -> bool:
    """Whether a site sets an option of ours besides whether we do anything; what it sets is then checked."""
    return any(options[name] != default for name, default in BuildlogConfig().items() if name != "enabled")
