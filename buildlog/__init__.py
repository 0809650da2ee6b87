"""buildlog: build write-ups in which every figure is computed, cited or marked as somebody's word."""

from buildlog.version import __version__

__all__ = ["__version__"]
