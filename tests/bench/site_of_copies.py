"""A site of as many episodes as a bench asks for: the demonstration's, copied until there are enough.

Each set of copies is a folder and a series of its own, whose blocks take their values from each other. The
bare site is the same text, theme, extensions and style sheet without the plugin: the blocks are code there,
coloured as YAML, and the figures are ordinary links.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
EPISODES = 200
LISTS = ("ledger.md", "series.md", "sources.md")


def write_site(folder: Path, *, plugin: bool, episodes: int = EPISODES) -> list[Path]:
    """Write the site under `folder` and give its episodes. Without `plugin` it is the bare site."""
    originals = sorted((ROOT / "content" / "episodes").glob("*.md"))
    if episodes < len(originals):
        raise ValueError(f"{episodes} episodes: a site has at least the demonstration's {len(originals)}")
    content = folder / "content"
    content.mkdir(parents=True)
    for name in ("cars", "data", "assets"):
        shutil.copytree(ROOT / "content" / name, content / name)
    shutil.copytree(ROOT / "theme", folder / "theme")
    for name in ("sources.yml", *LISTS):
        shutil.copyfile(ROOT / "content" / name, content / name)
    (content / "index.md").write_text(f"# A site of {episodes} episodes\n", "utf-8")
    written = []
    for number in range(episodes):
        source, group = originals[number % len(originals)], _group(number // len(originals))
        path = content / group / source.name
        path.parent.mkdir(exist_ok=True)
        path.write_text(_copy(source, group, number), "utf-8")
        written.append(path)
    over = episodes % len(originals)
    if over:  # the last set is cut short: what it rests on is in the one before
        sets = episodes // len(originals)
        last, before = f"calc:{_group(sets)}/", f"calc:{_group(sets - 1)}/"
        for path in written[-over:]:
            path.write_text(path.read_text("utf-8").replace(last, before), "utf-8")
    settings = (ROOT / "mkdocs.yml").read_text("utf-8").partition("\nnav:")[0]
    settings = settings if plugin else without_plugin(settings)
    (folder / "mkdocs.yml").write_text(settings + "\n", "utf-8")
    return written


def _group(number: int) -> str:
    return f"set-{number:02}"


def without_plugin(settings: str) -> str:
    """The settings of the bare site."""
    settings = re.sub(r"^  - buildlog:\n(?:      .*\n)+", "", settings, flags=re.MULTILINE)
    settings = re.sub(r"^extra:\n  theme_notices: .*\n", "", settings, flags=re.MULTILINE)
    assert "buildlog" not in settings
    return settings


def _copy(source: Path, group: str, number: int) -> str:
    """An episode's text for its set; each copy's title is its own."""
    text = source.read_text("utf-8").replace("calc:episodes/", f"calc:{group}/")
    text = re.sub(r"^( +series: .*)", rf"\1, {group}", text, count=1, flags=re.MULTILINE)
    return re.sub(r"^(title: .*)", rf"\1 ({number})", text, count=1, flags=re.MULTILINE)
