"""Two thousand levels of anything: told, and no recursion without an end."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.attacks.proofing import proof
from tests.samples import GEARING, calc

DEEP = 2000
YAML = {
    "lists": "a: " + "[" * DEEP + "]" * DEEP,
    "mappings": "a: " + "{a: " * DEEP + "1" + "}" * DEEP,
    "never closed": "a: " + "[" * DEEP,
    "keys": "? " * DEEP + "a",
    "dashes": "- " * DEEP + "a",
    "indents": "".join(" " * at + f"a{at}:\n" for at in range(DEEP)),
}


@pytest.mark.parametrize("form", YAML)
@pytest.mark.parametrize("place", ["block", "front matter", "sources", "car", "words"])
def test_yaml(tmp_path: Path, form: str, place: str) -> None:
    text = YAML[form]
    files = {
        "block": {"a.md": calc(f"id: a\nkind: gearing\n{text}")},
        "front matter": {"a.md": f"---\nbuildlog:\n  x: 1\n{text}\n---\n\n{GEARING}"},
        "sources": {"sources.yml": text, "a.md": GEARING},
        "car": {"cars/a.yml": text, "a.md": GEARING},
        "words": {"words/fr.yml": text, "a.md": GEARING},
    }[place]
    told = proof(tmp_path, files)
    if place == "front matter":  # what is none to the generator either; the page below it is read as ever
        assert "unused-block" in told.codes
        return
    assert told.exit_code == 1
    assert told.codes & {"yaml-refused", "yaml-unreadable"}


LINES = {
    "quotes": "> " * DEEP + "[9 mm](cite:x)\n",
    "lists": "".join("    " * at + "- a\n" for at in range(120)) + "[9 mm](cite:x)\n",
    "lists on a line": "- " * DEEP + "[9 mm](cite:x)\n",
    "admonitions": "".join("    " * at + "!!! a\n" for at in range(120)) + "[9 mm](cite:x)\n",
    "brackets": "[" * DEEP + "9 mm" + "](cite:x)" * DEEP + "\n",
    "brackets on lines": "[\n" * DEEP + "9 mm" + "\n](cite:x)" * DEEP + "\n",
    "pictures": "![" * DEEP + "](a.png)" * DEEP + "\n",
    "emphasis": "*a **b " * DEEP + "\n",
    "elements": "<div markdown>\n" * DEEP + "[9 mm](cite:x)\n" + "</div>\n" * DEEP,
    "elements on a line": "<b>" * DEEP + "[9 mm](cite:x)" + "</b>" * DEEP + "\n",
    "comments": "<!-- " * DEEP + "[9 mm](cite:x)\n",
    "footnotes": "".join(f"[^{at}]: see[^{at + 1}]\n\n" for at in range(DEEP)) + "[9 mm](cite:x)[^0]\n",
    "definitions": "".join(f"[{at}]: <#{at + 1}>\n" for at in range(DEEP)) + "[9 mm](cite:x)\n",
    "brackets in an address": "[9 mm](" + "(" * DEEP + "cite:x" + ")" * DEEP + ")\n",
    "fences": "".join("`" * (DEEP - at) + "\n" for at in range(DEEP - 3)) + "[9 mm](cite:x)\n",
    "tables": "|" * DEEP + "\n" + "|-" * DEEP + "\n" + "|[9 mm](cite:x)" * 20 + "\n",
}


@pytest.mark.parametrize("form", LINES)
def test_markdown(tmp_path: Path, form: str) -> None:
    """The page beside it is proofed as ever."""
    told = proof(tmp_path, {"a.md": LINES[form], "b.md": "[9 mm](cite:y)\n"})
    assert told.exit_code == 1
    assert [one["path"] for one in told.of("unknown-source") if one["path"].endswith("b.md")]


@pytest.mark.parametrize(
    "text", ["(" * DEEP + "1" + ")" * DEEP, "-" * DEEP + "1", "1/" * DEEP + "1", "calc:" * 300]
)
def test_a_value(tmp_path: Path, text: str) -> None:
    told = proof(tmp_path, {"a.md": GEARING.replace("8200 rpm", f'"{text} rpm"')})
    assert told.exit_code == 1
    assert told.codes & {"value-unreadable", "address-unreadable", "number-unreadable"}


@pytest.mark.parametrize(
    "label", ["(" * 250 + "9 mm" + ")" * 40, "*" * 140 + "9 mm" + "*" * 140, "about " * 40 + "9 mm"]
)
def test_a_label(tmp_path: Path, label: str) -> None:
    told = proof(tmp_path, {"a.md": f"[{label}](calc:shorter-final.after.speed_at_limit.3)\n\n{GEARING}"})
    assert told.exit_code == 1
