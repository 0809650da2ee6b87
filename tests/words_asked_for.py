"""Every English text of ours that can be said in another language, as the code asks for it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from jinja2 import Environment, nodes

from buildlog.kinds.catalogue import kind_names, load_kind
from buildlog.kinds.declaration import Input
from buildlog.kinds.hazards import HAZARDS
from buildlog.render.pieces import script_texts
from buildlog.said import PLACEHOLDER

PACKAGE = Path(__file__).parent.parent / "buildlog"
_TO_SAY = re.compile(r"[^\s,;()]")
_FROM = ("buildlog.said", "buildlog.render.words")
_CHARTS = ("ChartSpec", "BarSpec", "Axis", "Series", "Marker", "Zone", "Arrow", "Bar")
_ONE = ("say", "said", "to_say", "_")
_SEVERAL = ("say_count", "_count")


@cache
def asked_for() -> frozenset[str]:
    """All of them."""
    return frozenset(
        [*in_python(), *in_templates(), *declared(), *in_charts(), *script_texts(), "percentage points"]
    )


def in_python() -> Iterator[str]:
    """The texts that Python says, or makes for others to say."""
    for file in sorted(PACKAGE.rglob("*.py")):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        imported = {
            name.name
            for node in ast.walk(tree)
            if isinstance(node, ast.ImportFrom) and node.module in _FROM
            for name in node.names
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in imported:
                yield from _texts(node.func.id, [_constant(argument) for argument in node.args])


def in_templates() -> Iterator[str]:
    """The texts that templates say."""
    environment = Environment(autoescape=True)  # nothing is rendered with it
    for file in sorted((PACKAGE / "render" / "templates").glob("*.j2")):
        for call in environment.parse(file.read_text(encoding="utf-8")).find_all(nodes.Call):
            if isinstance(call.node, nodes.Name):
                arguments = [one.value if isinstance(one, nodes.Const) else None for one in call.args]
                yield from _texts(call.node.name, arguments)


def _texts(function: str, arguments: list[object]) -> Iterator[str]:
    if function in _ONE:
        found = arguments[:1]
    elif function in _SEVERAL:
        found = arguments[2:3]
    else:
        return
    yield from (text for text in found if isinstance(text, str) and _TO_SAY.search(PLACEHOLDER.sub("", text)))


def _constant(node: ast.expr) -> object:
    return node.value if isinstance(node, ast.Constant) else None


def in_charts() -> Iterator[str]:
    """The constant words of charts; those with an author's words in them stay as they are."""
    for file in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            if node.func.id in _CHARTS:
                named = [one.value for one in node.keywords if one.arg in ("title", "description", "label")]
                for text in map(_constant, [*node.args[:1], *named]):
                    if isinstance(text, str) and text:
                        yield text


def declared() -> Iterator[str]:
    """What kinds declare and cards show: titles and what results are listed by, doubts; and the cautions."""
    for hazard in HAZARDS.values():
        yield from (hazard.title, hazard.text)
    for name in kind_names():
        kind = load_kind(name)
        yield kind.title
        for output in kind.outputs:
            yield from filter(None, (output.title, output.key, output.gloss))
        for one in kind.inputs:
            yield from _labels(one)
        yield from (doubt.about for doubt in kind.doubts)


def _labels(declared: Input) -> Iterator[str]:
    yield declared.label
    if declared.doubt is not None:
        yield declared.doubt.about
    for column in declared.form.row:
        yield from _labels(column)
