"""Two thousand levels of anything: told, and no recursion without an end."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import markdown
import pytest
from click.testing import CliRunner

from buildlog.cli import main
from buildlog.page.extension import BuildlogExtension
from buildlog.reading.markdown.containers import DEEPEST
from tests.attacks.proofing import proof, proof_there
from tests.samples import GEARING, calc, write_site

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


FIGURE = "[135.5 km/h](calc:shorter-final.after.speed_at_limit.3)"


def below(opening: str, *, blank: bool) -> Callable[[int], str]:
    """What is opened on a line of its own, each inside the one before, and a figure in the innermost."""
    end = "\n\n" if blank else "\n"
    return lambda depth: (
        "".join("    " * at + opening + end for at in range(depth)) + "\n" + "    " * depth + FIGURE + "\n\n"
    )


CONTAINERS: dict[str, Callable[[int], str]] = {
    "quotes": lambda depth: "> " * depth + f"{FIGURE}\n\n",
    "lists": below("- a", blank=False),
    "lists with blank lines": below("- a", blank=True),
    "numbered lists": below("1. a", blank=True),
    "admonitions": below("!!! a", blank=True),
    "details": below("??? a", blank=True),
    "tabs": below('=== "a"', blank=True),
    "definitions": lambda depth: (
        "".join("    " * at + "a\n" + "    " * at + ":   b\n\n" for at in range(depth))
        + "    " * depth
        + f"{FIGURE}\n\n"
    ),
    "elements": lambda depth: "<div markdown>\n" * depth + f"\n{FIGURE}\n" + "</div>\n" * depth + "\n",
}
EXTENSIONS = [
    "admonition",
    "def_list",
    "fenced_code",
    "md_in_html",
    "pymdownx.details",
    "pymdownx.tabbed",
]


def shown(text: str) -> tuple[str, list[str]]:
    """A page by the extension alone, and the errors that it met."""
    extension = BuildlogExtension(style=False)
    extension.setConfig("findings", True)
    markdown_of_page = markdown.Markdown(
        extensions=[*EXTENSIONS, extension],
        extension_configs={"pymdownx.tabbed": {"alternate_style": True}},
    )
    html = markdown_of_page.convert(text)
    return html, [finding.code.name for finding in extension.unexpected]


@pytest.mark.parametrize("form", CONTAINERS)
def test_proof_and_page_have_one_limit_and_it_is_the_one_that_the_manual_names(
    tmp_path: Path, form: str
) -> None:
    told = proof(
        tmp_path,
        {
            "in.md": CONTAINERS[form](DEEPEST) + GEARING,
            "over.md": CONTAINERS[form](DEEPEST + 1) + GEARING,
        },
    )
    (finding,) = told.of("nested-too-deep")
    assert finding["path"].endswith("over.md")
    assert not [one for one in told.findings if one["path"].endswith("in.md")]


@pytest.mark.parametrize("form", CONTAINERS)
def test_the_page_alone_as_deep_as_it_may_be(form: str) -> None:
    html, errors = shown(CONTAINERS[form](DEEPEST) + GEARING)
    assert errors == []
    assert 'id="calc-shorter-final"' in html
    assert "buildlog-wrong" not in html


@pytest.mark.parametrize("depth", [DEEPEST + 1, 120])
@pytest.mark.parametrize("form", CONTAINERS)
def test_the_page_alone_puts_nothing_into_what_is_deeper(form: str, depth: int) -> None:
    """The Markdown of the page is the generator's to make; its figures are marked, its blocks are left as
    code, and a finding says why."""
    html, errors = shown(CONTAINERS[form](depth) + GEARING)
    assert errors == ["nested-too-deep"]
    assert "<code>nested-too-deep</code>" in html
    assert 'id="calc-shorter-final"' not in html
    assert "kind: gearing" in html
    assert html.count("buildlog-wrong") == 1


def test_no_list_of_known_findings_passes_it(tmp_path: Path) -> None:
    """The page was not read."""
    write_site(tmp_path, {"a.md": CONTAINERS["quotes"](DEEPEST + 1) + "[9 mm](cite:none)\n"})
    CliRunner().invoke(main, ["proof", "--start", "--site", str(tmp_path)])
    told = proof_there(tmp_path)
    assert told.codes == {"nested-too-deep"}
    assert told.exit_code == 1
