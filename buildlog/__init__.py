"""buildlog: build write-ups in which every figure is computed, cited or marked as somebody's word."""

__version__ = "0.1.0"
