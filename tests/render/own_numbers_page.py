"""A page with a form for own numbers, opened from its folder, whose answers were computed beforehand.

The form is tested alone here: what the interpreter computes in a browser is tested where it runs.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import markdown

from buildlog.browser.shown import shown
from buildlog.diagnostics import Severity
from buildlog.page.extension import BuildlogExtension
from buildlog.render import page_scripts, stylesheet
from buildlog.render.own_numbers import OwnNumbers
from buildlog.render.pieces import own_numbers_script
from tests.render.blocks import GEARING, compute, fence

SCRIPTS = "".join(page_scripts().values())

BLOCK = GEARING.replace("cruise_speed:", "rolling_circumference: 1.752 ± 0.003 m\n  cruise_speed:")
SPEED = "shorter-final.speed_at_limit.3"
PROSE = (
    f"Third ends at [132.3 km/h](calc:{SPEED.replace('.', '.after.', 1)}), "
    f'[14.4 %](calc:{SPEED.replace(".", ".after.", 1)} "vs before") less, and the limiter stands at '
    "[8200 rpm](calc:shorter-final.before.rev_limit)."
)
FIGURES = [
    {"label": "132.3 km/h", "of": SPEED, "case": "after", "versus": "", "versus_case": ""},
    {"label": "14.4 %", "of": SPEED, "case": "after", "versus": SPEED, "versus_case": "before"},
    {"label": "8200 rpm", "of": "shorter-final.rev_limit", "case": "before", "versus": "", "versus_case": ""},
]


def field(name: str, case: str, label: str, written: str, limits: str) -> dict[str, Any]:
    return {
        "id": f"{case}.{name}" if case else name,
        "case": case,
        "label": label,
        "unit": "",
        "written": written,
        "range": limits,
        "choices": [],
        "origin": "this block",
    }


FIELDS = [
    field("rev_limit", "", "Engine speed at the limiter", "8200 rpm", "500 to 20000 rpm"),
    field("cruise_speed", "", "Road speed", "100 km/h", "1 to 450 km/h"),
    field("gears", "", "Gear ratios", "[3.32, 2.04, 1.43, 1.13, 1.00]", "list of 1 to 12"),
    field("final_drive", "before", "Final drive", "39/10", "1 to 12"),
    field("final_drive", "after", "Final drive", "41/9", "1 to 12"),
]
WRITTEN = {
    "rev_limit": "8200 rpm",
    "gears": "1.13, 1.00]",
    "after.final_drive": "41/9",
}
ASKED: tuple[dict[str, str], ...] = (
    {},
    {"rev_limit": "4100 rpm"},
    {"rev_limit": "4100"},
    {"rev_limit": "<img src=x onerror=alert(1)>"},
    {"after.final_drive": "39/20"},
    {"after.final_drive": "4.5 ± 0.7"},
    {"gears": "[3.32, 2.04, 1.43, 1.13, 1.00, 0.80]"},
)


def answer(changes: Mapping[str, str]) -> dict[str, Any]:
    """What the block computes with these changes, or what the proof says of them."""
    body = BLOCK
    for name, text in changes.items():
        body = body.replace(WRITTEN[name], text.partition("1.43, ")[2] or text)
    block = compute(body)
    faults = [fault for fault in block.faults if fault.severity is Severity.ERROR]
    if faults:
        said = [f"{one.message}: found {one.found}; expected {one.expected}." for one in faults]
        return {"faults": [{"field": next(iter(changes)), "text": text} for text in said]}
    figures = [{**one, "unit": ""} for one in FIGURES]
    answered = shown(block, figures)
    if any("±" in text for text in changes.values()):  # which a browser does not draw
        for row in answered["rows"].values():
            for cell in row["cells"].values():
                cell["bent"] = True
    return {"faults": [], "shown": answered}


def write_page(folder: Path, scheme: str = "light") -> Path:
    """The page with its scripts, as a site has them; the page's path."""
    extension = BuildlogExtension(style=False, page="episode")
    extension.own_numbers = {("episode", "shorter-final"): OwnNumbers("shorter-final.js")}
    html = markdown.markdown(f"# A page\n\n{PROSE}\n\n{fence(BLOCK)}", extensions=[extension])
    own = folder / "buildlog" / "own"
    own.mkdir(parents=True)
    page = folder / "page.html"
    page.write_text(
        f"<!doctype html><html lang='en' style='color-scheme: {scheme}'><meta charset='utf-8'>"
        "<title>A page</title><meta name='viewport' content='width=device-width'>"
        f"<style>body {{ margin: 1rem; font: 16px/1.5 sans-serif }} {stylesheet()}</style>"
        f"<script>{SCRIPTS}</script><script src='buildlog-yours.js'></script><main>{html}</main>",
        encoding="utf-8",
    )
    (folder / "buildlog-yours.js").write_text(own_numbers_script(), encoding="utf-8")
    answers = {
        json.dumps(changes, separators=(",", ":"), ensure_ascii=False): answer(changes) for changes in ASKED
    }
    (own / "answers.js").write_text(
        f"const ANSWERS = {json.dumps(answers)};\n"
        "window.buildlogAnswer = (description, asked, page) => {\n"
        "  const answer = ANSWERS[asked];\n"
        "  if (!answer) throw new Error('not computed beforehand: ' + asked);\n"
        "  return JSON.stringify(answer);\n};\n",
        encoding="utf-8",
    )
    made = {"description": {"fields": FIELDS}, "scripts": ["answers.js"]}
    (own / "shorter-final.js").write_text(
        f"buildlogOwn.take('shorter-final', {json.dumps(made)});\n", encoding="utf-8"
    )
    return page
