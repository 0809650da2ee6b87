"""Sites built by the Markdown extension alone, with no generator but Python-Markdown."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import markdown

from buildlog.page.extension import BuildlogExtension

EXTENSIONS = ["tables", "pymdownx.superfences"]


def bare(text: str) -> str:
    """A page as generators hand it on, without its front matter."""
    return text.partition("---\n\n")[2] if text.startswith("---") else text


def build_site(folder: Path, **options: Any) -> Path:
    """Build the pages of `folder`/content into `folder`/site, at addresses of files."""
    content, site = folder / "content", folder / "site"
    for page in sorted(content.rglob("*.md")):
        key = page.relative_to(content).with_suffix("").as_posix()
        own = BuildlogExtension(content=str(content), page=key, **options)
        html = markdown.markdown(bare(page.read_text("utf-8")), extensions=[*EXTENSIONS, own])
        at = site / f"{key}.html"
        at.parent.mkdir(parents=True, exist_ok=True)
        for other in content.rglob("*.md"):  # what a generator does with links between pages
            html = html.replace(f"{other.stem}.md", f"{other.stem}.html")
        at.write_text(f"<!doctype html><title>{key}</title>{html}", encoding="utf-8")
    for file in content.rglob("*"):
        if file.is_file() and file.suffix != ".md":
            to = site / file.relative_to(content)
            to.parent.mkdir(parents=True, exist_ok=True)
            to.write_bytes(file.read_bytes())
    return site
