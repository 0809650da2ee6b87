"""The folder of a site's pages, by its settings. Who wants no more of them does not wait for the rest."""

from __future__ import annotations

import os
from pathlib import Path

from buildlog.diagnostics import Diagnostic
from buildlog.reading.configuration import (
    CONFIGURATION,
    Configuration,
    find_configuration,
    is_null,
    read_configuration,
    text_of,
)
from buildlog.reading.nodes import describe
from buildlog.reading.toml_configuration import find_toml, read_toml


def settings_file(root: Path) -> Path | None:
    """The file of a site's settings, as its generator looks for it; None where there is none."""
    return find_configuration(root) or find_toml(root)


def read_any(file: Path, root: Path) -> Configuration:
    """A file of settings in the form that its name says. Paths are shown from `root`."""
    return read_toml(file, root) if file.suffix == ".toml" else read_configuration(file, root)


def find_content(root: Path) -> Path:
    """The content folder of a site, which may not be there."""
    file = settings_file(root)
    if file is None:
        return root / "content"
    configuration = read_any(file, root)
    return root / "content" if configuration.faults else content_folder(configuration, file.parent, [])


def content_folder(configuration: Configuration, folder: Path, faults: list[Diagnostic]) -> Path:
    """The folder of the pages."""
    node = configuration.root.get("docs_dir")
    name = "docs" if is_null(node) else text_of(node)
    if name is None and node is not None:
        found, expected = f"docs_dir: {describe(node)}", "the path of a folder"
        faults.append(CONFIGURATION.at(node.position, found=found, expected=expected))
    content = Path(os.path.abspath(folder / (name or "")))
    if name is not None and node is not None and content == folder:
        found, expected = "docs_dir is the folder of the settings themselves", "a folder beside them"
        faults.append(CONFIGURATION.at(node.position, found=found, expected=expected))
    return content
