"""Looks that the package `buildlog` is ours and whole, before anything of it is imported: when this is."""

from __future__ import annotations

from mkdocs.exceptions import PluginError

try:
    from buildlog_installed import in_the_way
except ModuleNotFoundError as error:
    raise PluginError(
        "buildlog: the package buildlog-proof, which computes and proofs, is not installed. "
        "Type: python -m pip install mkdocs-buildlog"
    ) from error

if _fault := in_the_way():
    raise PluginError(f"buildlog: {_fault}")
