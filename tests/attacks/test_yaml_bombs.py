"""YAML that stands for more than is written, or for something else than values."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.attacks.proofing import proof
from tests.samples import GEARING, calc

BILLION = "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]\n" for n in range(1, 10)
)
CIRCLE = "a: &a {b: *a}\n"
# Where an author writes YAML: a block, its inputs, the front matter under our key, and the files of the site.
PLACES: dict[str, Callable[[str], dict[str, str | bytes]]] = {
    "a block": lambda text: {"a.md": calc(text)},
    "inputs": lambda text: {
        "a.md": "```yaml calc\nid: a\nkind: gearing\ninputs:\n" + _indented(text) + "```\n"
    },
    "front matter": lambda text: {"a.md": f"---\nbuildlog:\n{_indented(text)}---\n\n{GEARING}"},
    "sources": lambda text: {"sources.yml": text, "a.md": "[1 mm](cite:a0)\n"},
    "a car": lambda text: {"cars/a.yml": text, "a.md": calc("id: a\nkind: gearing\ncar: a")},
    "words": lambda text: {"words/fr.yml": text, "a.md": GEARING},
}


def _indented(text: str) -> str:
    return "".join(f"  {line}\n" for line in text.splitlines())


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("bomb", [BILLION, CIRCLE], ids=["a billion", "a circle"])
def test_no_alias_is_followed(tmp_path: Path, place: str, bomb: str) -> None:
    told = proof(tmp_path, PLACES[place](bomb))
    if place != "front matter":  # that is the generator's too, and aliases in it are passed over
        assert "yaml-refused" in told.codes
    assert told.exit_code == 1


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("<<: {final_drive: 4.10}", "the merge key <<"),
        ("a: !!python/object/apply:os.system ['touch owned']", "the tag tag:yaml.org,2002:python/object"),
        ("a: !include /etc/passwd", "the tag !include"),
        ("a: !!binary aGk=", "the tag tag:yaml.org,2002:binary"),
        ("? {a: b}\n: c", "a mapping as a key"),
        ("a: &x 1", "the anchor &x"),
        ("%YAML 9.9\n---\na: 1", ""),
        ("%TAG ! tag:x,2000:\n---\na: !y 1", "the tag tag:x,2000:y"),
    ],
)
@pytest.mark.parametrize("place", [place for place in PLACES if place != "front matter"])
def test_nothing_stands_for_anything_else(tmp_path: Path, place: str, text: str, found: str) -> None:
    told = proof(tmp_path, PLACES[place](text))
    assert told.exit_code == 1
    assert not (tmp_path / "owned").exists()
    if not text.startswith("%"):
        assert any(one["found"].startswith(found) for one in told.of("yaml-refused"))


@pytest.mark.parametrize("place", [place for place in PLACES if place != "front matter"])
def test_of_two_equal_keys_none_is_lost_in_silence(tmp_path: Path, place: str) -> None:
    told = proof(tmp_path, PLACES[place]("tyre: 195/50R15\nother: 1\ntyre: 185/60R14\n"))
    (twice,) = told.of("duplicate-key")
    assert twice["found"] == "“tyre” twice"


def test_front_matter_of_ours_has_each_key_once(tmp_path: Path) -> None:
    front = "---\nbuildlog:\n  series: {part: 1}\nbuildlog:\n  series: {part: 2}\n---\n"
    assert proof(tmp_path, {"a.md": f"{front}\n{GEARING}"}).of("duplicate-key")


def test_a_tag_in_front_matter_of_ours_makes_nothing(tmp_path: Path) -> None:
    front = "---\nbuildlog:\n  date: !!python/object/apply:os.system ['touch owned']\n---\n"
    assert proof(tmp_path, {"a.md": f"{front}\n{GEARING}"}).exit_code == 1
    assert not (tmp_path / "owned").exists()
