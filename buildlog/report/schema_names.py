"""The schemas that there are, for who does not want what they are made of loaded."""

from __future__ import annotations

NAMES = ("block", "car", "part", "sources", "front-matter", "mkdocs")
