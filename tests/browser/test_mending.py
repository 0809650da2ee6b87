"""What is mended in the interpreter: it does what Python does, and is the version that was looked at."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Any

import pytest

from buildlog.browser import packing
from buildlog.browser.mending import CHANGES, mended
from tests.browser.test_packed import KINDS

PROGRAM = Path(__file__).with_name("program.py.txt")
_RUN = """
const asked = arguments[0] + "\\nfrom browser import window\\nwindow.said = run()\\n";
__BRYTHON__.runPythonSource(asked, "program");
return window.said;
"""


def _run_here() -> str:
    names: dict[str, Any] = {}
    exec(compile(PROGRAM.read_text(encoding="utf-8"), PROGRAM.name, "exec"), names)  # noqa: S102 - our own
    said: str = names["run"]()
    return said


def test_another_version_of_the_interpreter_is_refused() -> None:
    interpreter = packing.brython_file("brython.js")
    assert mended(interpreter) != interpreter
    for there, _ in CHANGES:
        with pytest.raises(ValueError, match="was not looked at"):
            mended(interpreter.replace(there, ""))
        with pytest.raises(ValueError, match="was not looked at"):
            mended(interpreter + there)


def test_loops_and_generators_and_what_is_missing_are_as_in_python(browser: Any, tmp_path: Path) -> None:
    (tmp_path / "interpreter.js").write_text(mended(packing.brython_file("brython.js")), encoding="utf-8")
    page = tmp_path / "page.html"
    page.write_text('<!doctype html><meta charset="utf-8"><script src="interpreter.js"></script>')
    browser.get(page.as_uri())
    said = browser.execute_script(_RUN, PROGRAM.read_text(encoding="utf-8"))
    expected = _run_here()
    told = zip(said.splitlines(), expected.splitlines(), strict=True)
    assert [(one, other) for one, other in told if one != other] == []


def test_no_number_with_a_point_is_a_key_that_is_written_out() -> None:
    """The interpreter does not find it again: `{1.5: "a"}[1.5]`. One that is put in later it does find."""
    for name, source in packing.modules_of(KINDS).items():
        written = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Dict)]
        keys = [key.value for node in written for key in node.keys if isinstance(key, ast.Constant)]
        assert not [key for key in keys if isinstance(key, float)], name
