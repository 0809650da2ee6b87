"""What other programs may use: there, typed, and no burden on who only imports the package."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import buildlog
from tests.house import ROOT
from tests.samples import GEARING, write_site


@pytest.mark.parametrize("name", buildlog.__all__)
def test_every_public_name_is_there_and_is_explained(name: str) -> None:
    thing = getattr(buildlog, name)
    if name != "__version__":
        assert thing.__doc__, f"{name} has no docstring"


def test_types_and_homes_are_those_of_the_list() -> None:
    """What a type checker is told, what is loaded, and what is listed are the same names."""
    tree = ast.parse((ROOT / "buildlog" / "__init__.py").read_text("utf-8"))
    typed = {
        alias.name: node.module
        for block in tree.body
        if isinstance(block, ast.If)
        for node in block.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert typed == buildlog._HOMES
    assert sorted(typed) == sorted(set(buildlog.__all__) - {"__version__"})


def test_what_is_not_public_is_not_there() -> None:
    with pytest.raises(AttributeError, match="no attribute 'Planter'"):
        _ = buildlog.Planter


def test_the_package_alone_loads_nothing_heavy() -> None:
    program = (
        "import sys, buildlog; heavy = ('yaml', 'markdown', 'numpy', 'pint', 'click', 'buildlog.book');"
        "print(*[name for name in heavy if name in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert ran.stdout.split() == []


def test_a_site_is_proofed_with_public_names_alone(tmp_path: Path) -> None:
    page = f"[999 km/h](calc:shorter-final.after.speed_at_limit.3)\n\n{GEARING}"
    write_site(tmp_path, {"index.md": page})
    report = buildlog.proof_book(buildlog.Book.open(root=tmp_path))
    (finding,) = report.findings
    assert finding.severity is buildlog.Severity.ERROR
    assert str(finding.position) == "content/index.md:1:2"
