"""Small sites of other people: written into a folder, and built with and without our plugin."""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from mkdocs.commands.build import build
from mkdocs.config import load_config

Files = Mapping[str, str | bytes]
PLUGIN = "  - buildlog\n"
"""The line of the plugin in a site's settings, which is left out to build it without."""

CALC = (
    "```yaml calc\nid: cruise\nkind: gearing\ninputs:\n  gears: [3.1, 1.85, 1.3]\n  final_drive: 4.1\n"
    "  tyre: 195/50R15\n  rev_limit: 7000 rpm\n```\n"
)
OUR_PAGE = f"# Ours\n\nBolts at [39 N·m](cite:manual.nut), and on.\n\n{CALC}\n## After\n\nMore of it.\n"
SOURCES = "manual: {title: Workshop manual, facts: {nut: 39 N·m}}\n"


def write(folder: Path, files: Files) -> None:
    """Files by their paths under a folder."""
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode())


def build_site(folder: Path, into: str = "site", *, settings: str = "mkdocs.yml", **given: Any) -> Path:
    """The site of a folder, built into another folder of it."""
    config = load_config(str(folder / settings), site_dir=str(folder / into), **given)
    config.plugins.on_startup(command="build", dirty=False)
    try:
        build(config)
    finally:
        config.plugins.on_shutdown()
    return folder / into


def build_both(folder: Path, files: Files, **given: Any) -> tuple[Path, Path]:
    """A site with our plugin, whose line its settings have, and the same without it."""
    write(folder, files)
    settings = (folder / "mkdocs.yml").read_text("utf-8")
    assert PLUGIN in settings
    (folder / "bare.yml").write_text(settings.replace(PLUGIN, ""), "utf-8")
    return build_site(folder, "ours", **given), build_site(folder, "bare", settings="bare.yml", **given)


def contents(folder: Path) -> dict[str, bytes]:
    """What a site has, by path. What is packed is unpacked: the hour of packing is in it."""
    return {
        path.relative_to(folder).as_posix(): gzip.decompress(path.read_bytes())
        if path.suffix == ".gz"
        else path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def different(first: Path, second: Path, but: Iterable[str] = ()) -> list[str]:
    """The files in which two sites differ, but for those whose paths begin as told."""
    one, other = contents(first), contents(second)
    return [
        name
        for name in sorted(one.keys() | other.keys())
        if one.get(name) != other.get(name) and not name.startswith(tuple(but))
    ]


def searched(folder: Path, but: str = "\0") -> list[dict[str, Any]]:
    """The entries of a site's search, but for those of pages whose address begins as told."""
    index = json.loads((folder / "search" / "search_index.json").read_text("utf-8"))
    return [entry for entry in index["docs"] if not entry["location"].startswith(but)]
