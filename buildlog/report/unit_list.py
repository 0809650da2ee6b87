"""The list of units, for the command line and as a page of the manual, made from the list itself."""

from __future__ import annotations

from buildlog.figures import units
from buildlog.report.wording import cell

_GENERATED = "<!-- Made by `buildlog units --write`: change buildlog/figures/units.txt, not this page. -->"
_INTRODUCTION = """\
What is not on this list is not a unit here: a spelling that could mean anything is an error, with what is
near. Factors are those of NIST SP 811 (2008). Angle is a dimension of its own, so that torque is not energy
and revs are not hertz. A temperature and a difference of temperatures are two dimensions, and so is each
currency. A site may have [units of its own](figures.md#units-of-your-own) besides."""


def units_text(dimension: str | None = None) -> str:
    """Units by dimension; of one dimension only where it is named."""
    lines: list[str] = []
    for name, listed in units.DIMENSIONS.items():
        if dimension is not None and name != dimension:
            continue
        lines.append(f"{name}: {listed.about}")
        for unit in units.units_of(name):
            about = f" ({unit.about})" if unit.about else ""
            lines.append(f"  {unit.symbol or '(none)'}{about}: {', '.join(unit.spellings)}")
        lines.append("")
    return "\n".join(lines)


def units_page() -> str:
    """The page of the manual."""
    lines = [
        "---",
        "title: Units",
        "buildlog: {loose: off}",
        "---",
        "",
        _GENERATED,
        "",
        "# Units",
        "",
        _INTRODUCTION,
        "",
    ]
    for name, listed in units.DIMENSIONS.items():
        lines += [f"## {name[:1].upper()}{name[1:]}", "", f"{cell(listed.about)}.", ""]
        lines += ["| unit | is | also written |", "|---|---|---|"]
        for unit in units.units_of(name):
            spelt = (text for text in unit.spellings if text != unit.symbol and "|" not in text)
            others = ", ".join(f"`{text}`" for text in spelt)
            what = cell(unit.about or unit.name.replace("_", " "))
            lines.append(f"| `{unit.symbol or '(none)'}` | {what} | {others} |")
        lines.append("")
    return "\n".join(lines)
