"""The small changes that `make mutants` makes: what is changed, what is left alone."""

from __future__ import annotations

import ast
import contextlib
import os
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.mutants import run
from tests.mutants.changes import changes_in
from tests.mutants.run import _Batch, _End, _is_near, _Near, _sample, _tests_for, _Took, _within

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("source", "new"),
    [
        ("a < b", ["(a <= b)", "(a > b)"]),
        ("a == b", ["(a != b)"]),
        ("a is None", ["(a is not None)"]),
        ("a in b", ["(a not in b)"]),
        ("a + b", ["(a - b)"]),
        ("a // b", ["(a / b)"]),
        ("a**b", ["(a * b)"]),
        ("a and b", ["(a or b)"]),
        ("-a", ["(a)"]),
        ("not a", ["(a)"]),
        ("7", ["8"]),
        ("1", ["0", "2"]),
        ("2.0", ["2.02"]),
        ("0.0", ["1.0"]),
        ("True", ["False"]),
        ("f(a)", ["pass"]),
        ("a if b else c", ["(not (b))"]),
        ("[a for a in b if c]", ["(not (c))"]),
        ("if a:\n    b", ["(not (a))"]),
        ("def f():\n    return a", ["return None"]),
        ("def f():\n    return False", ["True"]),
        # what does nothing when it runs, or cannot be placed
        ("'text'", []),
        ("f'{a + 1}'", []),
        ("def f(a: A[1]) -> B[2]:\n    return None", []),
        ("a: A[1]", []),
        ("if TYPE_CHECKING:\n    import a", []),
    ],
)
def test_what_is_changed(source: str, new: list[str]) -> None:
    assert sorted(change.new for change in changes_in(source)) == new


def test_a_change_stands_where_it_is_said_to() -> None:
    source = "class A:\n    def f(self):\n        ü = 'ü'; return [g(1) for ü in self]\n"
    (one,) = [change for change in changes_in(source) if change.new == "2"]
    assert (one.line, one.function, one.old) == (3, "A.f", "1")
    assert one.made_in(source) == source.replace("g(1)", "g(2)")


@pytest.mark.parametrize("file", ["buildlog/figures/agreement.py", "buildlog/physics/tyre_sizes.py"])
def test_every_change_is_another_program(file: str) -> None:
    source = (ROOT / file).read_text("utf-8")
    before = ast.dump(ast.parse(source))
    for change in changes_in(source):
        assert ast.dump(ast.parse(change.made_in(source))) != before, change


def test_a_seed_gives_the_same_sample() -> None:
    sources = {"b.py": "a + 1 + 2\n", "a.py": "a - 3.0\n"}
    assert _sample(sources, seed=7, area="x", size=3) == _sample(sources, seed=7, area="x", size=3)
    found = {str(_sample(sources, seed=seed, area="x", size=2)) for seed in range(9)}
    assert len(found) > 1
    assert len(_sample(sources, seed=1, area="x", size=99)) == 7


def test_the_nearest_and_quickest_tests_that_reach_a_function_come_first() -> None:
    (change,) = changes_in("def f():\n    a + b\n")
    names = {"buildlog/x/bolts.py:f"}
    reached = {
        "tests/a/test_other.py": {
            "tests/a/test_other.py::a": (9.0, names),
            "tests/a/test_other.py::b": (1.0, names),
        },
        "tests/x/test_bolts.py": {
            "tests/x/test_bolts.py::c": (8.0, names),
            "tests/x/test_bolts.py::d": (7.0, set()),
        },
    }
    tests = _tests_for(reached, "buildlog/x/bolts.py", change)
    assert [test[-1] for test in tests] == ["c", "b", "a"]
    assert _is_near(tests[0], "buildlog/x/bolts.py")
    assert (
        _within(9.5, tests, {test: seconds for of in reached.values() for test, (seconds, _) in of.items()})
        == tests[:2]
    )


def _write(folder: Path, files: dict[str, str]) -> None:
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, "utf-8")


HOUSE = {
    "buildlog/x/gas.py": "",
    "buildlog/x/line.py": "from buildlog.x.gas import cool\n",
    "buildlog/y/exhaust.py": "from buildlog.x import line\n",
    "buildlog/y/header.py": "import buildlog.x.gas\n",
    "buildlog/y/worker.py": "",
    "buildlog/y/ahead.py": "PROGRAM = 'from buildlog.y.worker import work; work()'\n",
    "tests/x/test_other.py": "from buildlog.x import other\n",
    "tests/y/test_exhaust.py": "from buildlog.y import exhaust\n",
    "tests/y/test_ahead.py": "from buildlog.y import ahead\n",
    "tests/y/helper.py": "from buildlog.y.header import compute\n",
    "tests/y/test_header.py": "from tests.y.helper import compute\n",
    "tests/z/test_gas.py": "",
}


def _nearest(folder: Path, file: str, more: dict[str, str]) -> list[str]:
    _write(folder, HOUSE | more)
    tests = [path.relative_to(folder).as_posix() for path in sorted(folder.rglob("test_*.py"))]
    return _Near(folder, tests, [], _Took(), run.LONGEST_NEAR).nearest(file)


def test_what_imports_what_imports_the_changed_file_is_near_where_nothing_is_nearer(tmp_path: Path) -> None:
    assert _nearest(tmp_path, "buildlog/x/gas.py", {}) == [
        "tests/y/test_header.py",
        "tests/y/test_exhaust.py",
    ]
    assert _nearest(tmp_path, "buildlog/y/worker.py", {}) == ["tests/y/test_ahead.py"]


def test_a_file_that_many_tests_import_has_no_farther_ones(tmp_path: Path) -> None:
    many = {
        f"tests/z/test_{number + 10}.py": "from buildlog.x.gas import warm\n"
        for number in range(run.MOST_NEAR)
    }
    own = {"tests/x/test_gas.py": ""}
    near = _nearest(tmp_path, "buildlog/x/gas.py", many | own)
    assert (
        near
        == [
            "tests/x/test_gas.py",
            *(f"tests/z/test_{number}.py" for number in range(10, run.MOST_NEAR + 10)),
        ][: run.MOST_NEAR]
    )


def _killed() -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


def _raises() -> int:
    raise RuntimeError


def _hangs() -> int:
    while True:
        pass


@pytest.mark.parametrize(
    ("work", "end"),
    [
        (lambda: 0, _End.PASSED),
        (lambda: 5, _End.PASSED),
        (lambda: 1, _End.FAILED),
        (lambda: 2, _End.FAILED),
        (lambda: 3, _End.FROM_OUTSIDE),  # an internal error of pytest
        (lambda: 4, _End.FAILED),
        (_raises, _End.FROM_OUTSIDE),
        (_killed, _End.FROM_OUTSIDE),
        (_hangs, _End.HUNG),
    ],
)
@pytest.mark.skipif(os.name != "posix", reason="processes are forked")
def test_how_tests_end(work: Callable[[], int], end: _End, tmp_path: Path) -> None:
    assert run._in_child(tmp_path, 1, work) is end


class _Told(run._Trying):
    """Ends as a table tells, by the test file and whether the change is made."""

    def __init__(self, copy: Path, ends: dict[str, tuple[_End, _End]]) -> None:
        super().__init__(copy, _Took())
        self._ends = ends

    def _end_of(self, batch: _Batch) -> _End:
        with_change, without = self._ends[batch.files[0]]
        return without if (self._copy / "a.py").read_text() == "1" else with_change


P, F, H, X = _End.PASSED, _End.FAILED, _End.HUNG, _End.FROM_OUTSIDE


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        ([], "reached by no test"),
        ([(P, P)], "unnoticed"),
        ([(P, P), (F, P)], "noticed"),
        ([(P, P), (H, P)], "noticed"),
        ([(F, F)], "not tried"),  # fails as it is
        ([(F, F), (F, P)], "noticed"),
        ([(H, H), (P, P)], "not tried"),
        ([(X, P), (P, P)], "not tried"),
        ([(X, P), (F, P)], "noticed"),
    ],
)
def test_what_fails_as_it_is_or_is_ended_from_outside_has_not_noticed(
    ends: list[tuple[_End, _End]], said: str, tmp_path: Path
) -> None:
    _write(tmp_path, {"a.py": "1"})
    (change, *_) = changes_in("1")
    trying = _Told(tmp_path, {str(number): end for number, end in enumerate(ends)})
    batches = [_Batch([str(number)], None, 1.0) for number in range(len(ends))]
    for _ in range(2):  # what is remembered of a test file says the same
        assert trying.said_of(batches, "a.py", "1", change).startswith(said)


def test_a_change_is_taken_back_whatever_happens(tmp_path: Path) -> None:
    _write(tmp_path, {"a.py": "1"})
    (change, *_) = changes_in("1")
    with contextlib.suppress(RuntimeError), run._changed(tmp_path / "a.py", "1", change):
        assert (tmp_path / "a.py").read_text() == change.new
        raise RuntimeError
    assert (tmp_path / "a.py").read_text() == "1"
