"""Definitions of units that would run as code, grow without end, or come out in a page as markup."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.files.text import Lines
from buildlog.reading import own_units
from buildlog.reading.own_units import NAME, read_own_units
from tests.house import ROOT

CODE = [
    "__import__('os').system('touch x')",
    "().__class__.__base__.__subclasses__()",
    "lambda: 1",
    "{{ 7 * 7 }}",
    "metre if 1 else foot",
    "metre; offset: __import__('os')",
    "metre\x00",
    "@alias metre = m",
    "@import /etc/passwd",
    "%s%s%n",
    "1e999 metre",
    "nan metre",
    "inf * metre",
    "-1 metre",
    "metre ** -1",
    "metre ** 0.5",
    "(metre)",
    "m\N{ZERO WIDTH SPACE}etre",
    "٣ metre",
    "metre per second",
    "square metre",
]
GROWING = [
    "9**9**9",
    "9 ** 6 metre",
    " * ".join(["9" * 30] * 12),
    " * ".join(["metre"] * 400),
    "9" * 900,
    "metre ** 6 * metre ** 6 * metre ** 6",
]


@pytest.mark.parametrize("definition", [*CODE, *GROWING])
def test_no_such_definition_comes_to_pint(definition: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object) -> None:
        raise AssertionError("pint was asked")

    monkeypatch.setattr(own_units, "work_out", never)
    own_units.read_own_units.cache_clear()
    own, faults = read_own_units(f"== length\nell = {definition} | ell | us", NAME)
    assert own.units == ()
    assert [fault.position.line for fault in faults] == [2]


def test_units_that_raise_each_other_to_powers_end_soon() -> None:
    """Each is the sixth power of the one before: the hundredth has more digits than there are atoms."""
    lines = ["== length", "u = 1.0000000000000000000000000001 metre | u0 | us"]
    lines += [f"u{number} = {'u' if number == 1 else f'u{number - 1}'} ** 6 / metre ** 5 | u{number} | us"
              for number in range(1, 400)]  # fmt: skip
    begun = time.process_time()
    own, faults = read_own_units("\n".join(lines), NAME)
    assert time.process_time() - begun < 30  # it would be hours
    assert len(own.units) < 5
    assert "digits" in faults[0].expected


def test_no_more_lines_are_read_than_there_may_be() -> None:
    lines = [f"x = {number} inches | x | us" for number in range(1, 100_000)]
    _, faults = read_own_units("\n".join(["== length", *lines]), NAME)
    assert len(faults) == own_units.MOST_LINES
    assert faults[-1].found == "100000 lines of units"


@pytest.mark.parametrize(
    "spelling",
    ["<script>", "a&b", '"><img', "[a](b)", "`a`", "a*b*c", "_a_", "{{a}}", "a\u202eb", "::error",
     "javascript:x", "=1+1", "@a", "+a", "-a", "a\tb", "a\x1b[31m"],
)  # fmt: skip
@pytest.mark.parametrize("place", ["ell = 45 inch | {} | us", "ell = 45 inch | ell | us | | {}"])
def test_a_spelling_is_letters_and_the_signs_of_units(spelling: str, place: str) -> None:
    own, faults = read_own_units(f"== length\n{place.format(spelling)}", NAME)
    assert own.units == ()
    assert [fault.code.name for fault in faults] == ["own-unit"]


_PARTS = st.sampled_from(
    "== length|== mass|== laps | lap | turns|ell|=|45|inch|metre|*|/|**|2|[lap]|; offset: 3|us|both|m| | |"
    ",|#|!!|é|٣|\N{NO-BREAK SPACE}|\x00|\u2028|\x0c|'|\\".split("|")
)


@given(st.one_of(st.text(), st.lists(_PARTS).map(" ".join), st.lists(_PARTS).map("\n".join)))
def test_any_text_is_read_to_units_and_findings(text: str) -> None:
    own, faults = read_own_units(text, NAME)
    lines = Lines(text).raw
    for fault in faults:
        assert 1 <= fault.position.line <= len(lines)
        assert 1 <= fault.position.column <= len(lines[fault.position.line - 1]) + 1
    for _, symbol, _, factor, *_ in own.units:
        assert symbol
        assert factor > 0


def test_a_site_without_units_of_its_own_loads_no_library_of_them(tmp_path: Path) -> None:
    """And one that has some loads it and runs nothing of the file."""
    (tmp_path / "content").mkdir()
    (tmp_path / "content" / "a.md").write_text("# A\n")
    assert "pint" not in _loaded(tmp_path)
    (tmp_path / "content" / NAME).write_text("== length\nell = 45 inch | ell | us\n")
    assert "pint" in _loaded(tmp_path)


def test_units_of_a_sites_own_are_worked_out_once(tmp_path: Path) -> None:
    content = tmp_path / "site" / "content"
    content.mkdir(parents=True)
    (content / "a.md").write_text("# A\n")
    (content / NAME).write_text("== length\nell = 45 inch | ell | us\n")
    state = str(tmp_path / "state")
    assert "pint" in _loaded(tmp_path / "site", state)
    assert "pint" not in _loaded(tmp_path / "site", state)
    (content / NAME).write_text("== length\nell = 46 inch | ell | us\n")
    assert "pint" in _loaded(tmp_path / "site", state)


def _loaded(folder: Path, state: str = os.devnull) -> set[str]:
    code = (
        f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
        "import atexit; atexit.register(lambda: print('loaded:', *sys.modules))\n"
        "from buildlog.cli import main; main(['proof'])"
    )
    environment = {**os.environ, "XDG_STATE_HOME": state}
    ran = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=folder,
        check=False,
        env=environment,
    )
    return set(ran.stdout.rpartition("loaded: ")[2].split())
