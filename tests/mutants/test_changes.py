"""The small changes that `make mutants` makes: what is changed, what is left alone."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.mutants.changes import changes_in
from tests.mutants.run import _is_near, _sample, _tests_for, _within

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
