"""The manual of the findings, made from the codes that the checks themselves declare."""

from __future__ import annotations

import importlib
import pkgutil
import re

from buildlog.diagnostics import CODES, Code, Severity
from buildlog.reading import code_list

# What publishes rather than checks: it declares no code, and the light install has not what it needs.
_NOT_CHECKS = (
    "buildlog.browser",
    "buildlog.built.files",
    "buildlog.charts.drawing",
    "buildlog.cli",
    "buildlog.files.picture_size",
    "buildlog.page",
    "buildlog.render",
)
_GENERATED = "<!-- Made by `buildlog findings --write`: change the code's declaration, not this page. -->"
_ADDRESS = re.compile(r"\b(?:calc|cite|told):(?:[\w\[…][^\s,;]*[\w\]…]|…)")
_LEVELS = {
    "error": "It stops the site from being published.",
    "warning": "It stops the site from being published with `--strict` only.",
    "note": "It stops nothing.",
}
_ALWAYS_COUNTS = "No list of known findings takes it up: what is not read is not proofed."
# Who looks for a torque wants the bolts, not a finding that has the word in its name.
_FOUND_LAST = "search: {boost: 0.00001}"
_LOOSE_OFF = "buildlog: {loose: off}"


def listed_codes() -> list[Code]:
    """Every code, by name, from the list that is made of `all_codes`: it loads no checks."""
    return [
        Code(name=name, severity=Severity(severity), meaning=meaning, why=why, mend=mend, example=example)
        for name, severity, meaning, why, mend, example in code_list.CODES
    ]


def code_list_module(codes: list[Code]) -> str:
    """The source of ``reading/code_list.py``."""
    rows = [
        (code.name, int(code.severity), code.meaning, code.why, code.mend, code.example) for code in codes
    ]
    return "\n".join(
        [
            '"""Made by `make generate` of what the checks declare: change those, not this file."""',
            "",
            "# fmt: off",
            "# ruff: noqa: E501",
            "CODES: tuple[tuple[str, int, str, str, str, str], ...] = (",
            *(f"    {row!r}," for row in rows),
            ")",
            '"""Name, severity, meaning, why, mend and example of each."""',
            "",
        ]
    )


def all_codes() -> list[Code]:
    """Every code that any check declares, by name. It loads them all."""
    package = importlib.import_module("buildlog")
    for module in pkgutil.walk_packages(package.__path__, "buildlog."):
        if not module.name.startswith((*_NOT_CHECKS, "buildlog.commands")):
            importlib.import_module(module.name)
    return [CODES[name] for name in sorted(CODES)]


def code_text(code: Code) -> str:
    """One code for a terminal."""
    lines = [
        f"{code.name} ({code.severity.word}): {code.meaning}",
        "",
        f"Why: {code.why}",
        f"Mend: {code.mend}",
    ]
    if code.always_counts:
        lines += ["", _ALWAYS_COUNTS]
    if code.example:
        lines += ["", "Example:", *(f"    {line}" for line in code.example.splitlines())]
    return "\n".join(lines) + "\n"


def codes_text(codes: list[Code]) -> str:
    """All codes, a line each."""
    width = max(len(code.name) for code in codes)
    lines = [f"  {code.name:<{width}}  {code.severity.word:<7}  {code.meaning}" for code in codes]
    return "\n".join([f"{len(codes)} kinds of finding:", *lines, "", "buildlog findings CODE shows one.", ""])


def code_markdown(code: Code) -> str:
    """The page of one code."""
    level = code.severity.word
    head = ["---", f"title: {code.name}", _LOOSE_OFF, _FOUND_LAST, "---"]
    lines = [*head, "", _GENERATED, "", f"# `{code.name}`", ""]
    lines += [
        f"{code.meaning[:1].upper()}{code.meaning[1:]}.",
        "",
        f"**Level:** {level}. {_LEVELS[level]}{f' {_ALWAYS_COUNTS}' if code.always_counts else ''}",
        "",
    ]
    lines += [
        f"**Why it matters:** {_addresses_as_code(sentence(code.why))}",
        "",
        f"**How to mend it:** {_addresses_as_code(sentence(code.mend))}",
        "",
    ]
    if code.example:
        lines += ["**Example:**", "", "```text", code.example, "```", ""]
    if code.severity is not Severity.ERROR:
        setting = f"      findings: {{{code.name}: off}} # off, note, warn or fail"
        lines += [
            "To change its level for a site, in its settings (`mkdocs.yml`):",
            "",
            "```yaml",
            "plugins:",
            "  - buildlog:",
        ]
        lines += [setting, "```", ""]
    return "\n".join(lines)


def _addresses_as_code(text: str) -> str:
    """Addresses that a text only names, marked as code: outside code the proof takes them for slips."""
    return _ADDRESS.sub(r"`\g<0>`", text)


def sentence(text: str) -> str:
    """With a capital and a full stop."""
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else text + "."


def codes_pages(codes: list[Code]) -> dict[str, str]:
    """The pages of all codes by file name, with an index."""
    pages = {f"{code.name}.md": code_markdown(code) for code in codes}
    head = ["---", "title: Findings", _LOOSE_OFF, "---", "", _GENERATED, "", "# Findings", ""]
    intro = "What a proof can say. Each has a stable code, which a site can set to another level."
    rows = ["| code | level | meaning |", "|---|---|---|"]
    rows += [f"| [`{code.name}`]({code.name}.md) | {code.severity.word} | {code.meaning} |" for code in codes]
    pages["index.md"] = "\n".join([*head, intro, "", *rows, ""])
    return pages
