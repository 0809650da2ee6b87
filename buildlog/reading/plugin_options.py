"""The options of our plugin in a site's settings, and what each of them takes.

The settings are read by these declarations, and the schema for editors is made of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

LEVELS = ("off", "note", "warn", "fail")
UNIT_SYSTEMS = ("written", "metric", "us")


@dataclass(frozen=True, kw_only=True)
class PluginOption:
    """One of the `words`, a list of nouns, levels of findings by code, an address, or on or off."""

    about: str
    form: Literal["word", "nouns", "levels", "address", "switch"]
    words: tuple[str, ...] = ()


OPTIONS: Mapping[str, PluginOption] = MappingProxyType(
    {
        "loose": PluginOption(about="how bad a loose figure is", form="word", words=LEVELS),
        "nominal_nouns": PluginOption(
            about="nouns after which a number with a unit is a nominal size", form="nouns"
        ),
        "findings": PluginOption(about="the level of single kinds of findings", form="levels", words=LEVELS),
        "units": PluginOption(
            about="the units that pages are shown in until a reader chooses others",
            form="word",
            words=UNIT_SYSTEMS,
        ),
        "report": PluginOption(
            about="where readers report a figure: an address with https: or mailto:, and {title} and {body}",
            form="address",
        ),
        "bundles": PluginOption(
            about="whether the bundles of pages are published, with which a reader repeats their figures",
            form="switch",
        ),
        "cache": PluginOption(
            about="whether results are kept for the next run, in .cache/buildlog beside the settings",
            form="switch",
        ),
        "enabled": PluginOption(about="whether the plugin does anything", form="switch"),
    }
)
