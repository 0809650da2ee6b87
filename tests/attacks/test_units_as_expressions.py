"""A unit is looked up in a list. It is never worked out, whatever it looks like."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from buildlog.figures import units
from buildlog.figures.units import UnknownUnit
from tests.attacks.proofing import proof
from tests.house import ROOT
from tests.samples import GEARING

EXPRESSIONS = [
    "9**9**9",
    "m**9**9**9",
    "km/h**2",
    "rpm*9**9",
    "(rpm)",
    "rpm+rpm",
    "2 rpm",
    "1/min/min",
    "__import__('os').system('touch owned')",
    "rpm;import os",
    "rpm # km/h",
    "{rpm}",
    "%(rpm)s",
    "${rpm}",
    "kilo" * 500 + "rpm",
    "rpm" * 2000,
    "µ" * 3000,
    "m" + "·s" * 1500,
    "rpm\\nrpm",
    "r\u200bpm",
    "\u202erpm",
    "ｒｐｍ",
    "rрm",  # its second letter is Cyrillic
    "",
]


@pytest.mark.parametrize("unit", EXPRESSIONS, ids=lambda text: ascii(text)[:16])
def test_in_a_block_a_label_and_a_heading(tmp_path: Path, unit: str) -> None:
    label = unit.replace("[", "").replace("]", "")
    told = proof(
        tmp_path,
        {
            "a.md": GEARING.replace("8200 rpm", f'"8200 {unit}"'),
            "b.md": f"[100 {label}](calc:c#shorter-final.after.rpm_at.3)\n",
            "c.md": GEARING,
            "d.md": "```yaml calc\nid: d\nkind: power-run\ninputs:\n  runs: {data: d.csv}\n```\n",
            "d.csv": f'"engine_speed [{unit}]",torque [N·m]\n2000,150\n',
        },
    )
    assert told.exit_code == 1
    assert {Path(one["path"]).name for one in told.findings if one["severity"] == "error"} >= {"a.md", "b.md"}
    assert not (tmp_path / "owned").exists()
    assert not (ROOT / "owned").exists()


@pytest.mark.parametrize("unit", [unit for unit in EXPRESSIONS if unit], ids=lambda text: ascii(text)[:16])
def test_none_is_found(unit: str) -> None:
    with pytest.raises(UnknownUnit):
        units.find(unit)


def test_what_reads_units_has_no_parser_of_expressions_loaded(tmp_path: Path) -> None:
    """Neither Python's own nor that of a package: what is not there cannot be reached."""
    code = (
        "import sys; from buildlog.figures import units, stated\n"
        "for text in ('9**9**9', 'm*m'):\n"
        "    try: units.find(text)\n"
        "    except units.UnknownUnit: pass\n"
        "assert 'numexpr' not in sys.modules and 'sympy' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, timeout=120)
