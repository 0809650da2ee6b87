"""A site of as many episodes as a bench asks for: the demonstration's, copied until there are enough.

Each set of copies is a folder and a series of its own, whose blocks take their values from each other and
from a car of their own. No two sets compute the same: their inputs differ in the twelfth digit or so, which
no figure shows, so that what a program found out for one set is of no use to the next, as on a site of
different episodes. The bare site is the same text, theme, extensions and style sheet without the plugin: the
blocks are code there, coloured as YAML, and the figures are ordinary links.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
EPISODES = 200
LISTS = ("ledger.md", "series.md", "sources.md")
CAR = "brindle"
_BLOCK = re.compile(r"^( *)```yaml calc\n.*?^\1```$", re.MULTILINE | re.DOTALL)
_INPUT = re.compile(r"^( +[a-z_]+: \d+)(\.\d+)?( (?:± \d[\d.]* )?(?!EUR)[a-zA-Z°%µ/·³²]+\b.*)$", re.MULTILINE)


def write_site(folder: Path, *, plugin: bool, episodes: int = EPISODES) -> list[Path]:
    """Write the site under `folder` and give its episodes. Without `plugin` it is the bare site."""
    originals = sorted((ROOT / "content" / "episodes").glob("*.md"))
    if episodes < len(originals):
        raise ValueError(f"{episodes} episodes: a site has at least the demonstration's {len(originals)}")
    content = folder / "content"
    content.mkdir(parents=True)
    for name in ("cars", "data", "assets", "parts"):
        shutil.copytree(ROOT / "content" / name, content / name)
    for part in (content / "parts").glob("*.yml"):  # of the first set, and the others are built with the same
        part.write_text(part.read_text("utf-8").replace("episodes/", f"{_group(0)}/"), "utf-8")
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
        _write_car(content / "cars", group)
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


def _write_car(folder: Path, group: str) -> None:
    """The set's own car; the first set has the demonstration's."""
    text = (folder / f"{CAR}.yml").read_text("utf-8")
    (folder / f"{_car(group)}.yml").write_text(_differing(text, group), "utf-8")


def _car(group: str) -> str:
    return CAR if group == _group(0) else f"{CAR}-{group}"


def _differing(text: str, group: str) -> str:
    """A block or a car's sheet whose first two inputs are a little more than they were, by so much a set."""
    head, inputs, rest = text.partition("inputs:\n")
    digits = group.removeprefix("set-").zfill(4)
    if not inputs or group == _group(0):
        return text
    rest = _INPUT.sub(lambda line: f"{line[1]}{line[2] or '.'}00000000{digits}{line[3]}", rest, count=2)
    return head + inputs + rest


def without_plugin(settings: str) -> str:
    """The settings of the bare site."""
    settings = re.sub(r"^  - buildlog:\n(?:      .*\n)+", "", settings, flags=re.MULTILINE)
    settings = re.sub(r"^extra:\n  theme_notices: .*\n", "", settings, flags=re.MULTILINE)
    assert "buildlog" not in settings
    return settings


def _copy(source: Path, group: str, number: int) -> str:
    """An episode's text for its set; each copy's title is its own."""
    text = source.read_text("utf-8").replace("calc:episodes/", f"calc:{group}/")
    text = text.replace(f"car: {CAR}\n", f"car: {_car(group)}\n")
    text = _BLOCK.sub(lambda block: _differing(block[0], group), text)
    text = re.sub(r"^( +series: .*)", rf"\1, {group}", text, count=1, flags=re.MULTILINE)
    return re.sub(r"^(title: .*)", rf"\1 ({number})", text, count=1, flags=re.MULTILINE)
