"""Changes the code a little, again and again, and tells what no test notices. Run by `make mutants`.

    make mutants SEED=7 SIZE=40 AREA=physics

takes SIZE of the changes that can be made in an area, the same ones for the same seed and code, makes each in
a copy of the tree and runs the tests that reach the changed function, the nearest and quickest first, until
one fails. A test that hangs has noticed too; one that fails without the change, or is ended from outside, has
not. Which test reaches what is found by running each test file once, which takes long the first time
(`.cache/mutants`); tests that need a browser are left out. What is told as unnoticed wants a look: some
changes make no difference to anybody.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import hashlib
import importlib
import json
import os
import random
import re
import shutil
import signal
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from enum import Enum
from functools import partial
from math import ceil
from multiprocessing import get_context
from pathlib import Path
from typing import Any, NamedTuple

from tests.house import ROOT
from tests.mutants.changes import MODULE, Change, of_files

AREAS = ("physics", "calculators", "kinds", "reading", "figures", "proof", "book", "render", "charts")
# Where the tests of an area are. The rest of the suite is asked with --rest, which takes many times as long.
TESTS = {
    "physics": ("tests/physics/", "tests/calculators/"),
    "calculators": ("tests/calculators/",),
    "kinds": ("tests/kinds/", "tests/calculators/"),
    "reading": ("tests/reading/", "tests/book/"),
    "figures": ("tests/figures/", "buildlog/figures/", "tests/proof/"),
    "proof": ("tests/proof/", "buildlog/proof/", "tests/report/"),
    "book": ("tests/book/", "tests/proof/"),
    "render": ("tests/render/", "tests/page/"),
    "charts": ("tests/charts/", "tests/render/"),
}
# Quick to run beside all others, but minutes when each call is looked at, and near no file of its own.
LONG_TO_LOOK_AT = ("tests/calculators/test_all_kinds.py", "tests/calculators/test_rederived.py")
# These take kinds by their names from the catalogue, so that they import no file of theirs.
OF_EVERY_KIND = tuple(f"tests/calculators/test_{name}.py" for name in ("declared", "charts_again", "charts"))
KEPT = ROOT / ".cache" / "mutants" / "reached"
TOOK = ROOT / ".cache" / "mutants" / "took.json"
COPIED = ("buildlog", "plugins", "content", "theme", "tests", ".github", ".ci", "*.*", "Makefile", "LICENSE")
# What takes a while to import and is never changed.
PRELOADED = ("pytest", "hypothesis", "numpy", "scipy.integrate", "scipy.optimize", "scipy.stats", "pint",
             "matplotlib.figure", "mkdocs.commands.build", "jinja2", "jsonschema", "markdown")  # fmt: skip
PASSED = (0, 5)
"""Exit codes of pytest: all have passed; none was left to run."""
FAILED = (1, 2, 4)
"""A test has failed; a test file, or what all share, cannot be imported."""
BROKEN_DOWN = 70
"""Exit code of ours: pytest itself has come to an end."""
MOST_NEAR = 12
"""So many test files are asked at most where only those near a change are."""
LONGEST = 120.0
LONGEST_NEAR = 60.0
"""So long may the tests of a change take, s of processor time; the nearest file is asked in any case."""
MOST_STEPS = 4
"""From a test file by what it imports to the changed file, where fewer steps do not lead to so many."""
WHOLE_FILE = 3.0
"""A test file that takes no longer, s, is run whole: its tests may share what the first of them made."""
PATIENCE = 60.0
"""How much longer than usual the tests may take before they count as hanging, s of processor time."""
Reach = dict[str, dict[str, tuple[float, set[str]]]]
"""By test file, by test: how long it takes, s of processor time, and the functions that it calls."""
NOTICED, SURVIVED, NOT_REACHED = "noticed", "unnoticed", "reached by no test"
NOT_TRIED = "not tried, since a test fails as it is or was ended from outside:"


class _Batch(NamedTuple):
    """Test files that are run together, which of their tests, and how long they may take before they count as
    hanging, s of processor time."""

    files: list[str]
    chosen: Any
    patience: float


def main() -> None:
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))  # so that the copy is cleared away
    wanted = _arguments()
    for name in PRELOADED:
        importlib.import_module(name)
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    with tempfile.TemporaryDirectory(prefix="buildlog-mutants-") as made:
        copy = Path(made).resolve() / "tree"
        _copy_tree(copy)
        took = _Took()
        for area in wanted.area or AREAS:
            among = ("tests/", "buildlog/") if wanted.rest else TESTS[area]
            if wanted.near:
                every = _test_files(copy, ("tests/", f"buildlog/{area}/"), slow=True)
                every = [file for file in every if file not in LONG_TO_LOOK_AT]
                wider = _test_files(copy, TESTS[area], wanted.slow) if wanted.wider else []
                _try_area(copy, _Near(copy, every, wider, took, wanted.seconds), took, area, wanted)
            else:
                reaching = _Reaching(copy, _test_files(copy, among, wanted.slow), wanted.seconds)
                _try_area(copy, reaching, took, area, wanted)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--size", type=int, default=20, help="changes an area")
    parser.add_argument("--area", action="append", help="a folder of buildlog/; all nine if left out")
    parser.add_argument(
        "--near",
        action="store_true",
        help="only the few test files nearest by what they import: quick to begin with",
    )
    parser.add_argument(
        "--wider",
        action="store_true",
        help="with --near: what they do not notice meets the area's other tests",
    )
    parser.add_argument("--rest", action="store_true", help="all tests, not only those of the area")
    parser.add_argument("--slow", action="store_true", help="the tests that take seconds too")
    parser.add_argument("--only", help="no others than those in a file or at a file:line")
    parser.add_argument(
        "--seconds",
        type=float,
        help="of tests for a change, 120, or 60 with --near; of more, the quickest are run",
    )
    wanted = parser.parse_args()
    wanted.seconds = wanted.seconds or (LONGEST_NEAR if wanted.near else LONGEST)
    return wanted


def _copy_tree(copy: Path) -> None:
    copy.mkdir()
    for pattern in COPIED:
        for path in ROOT.glob(pattern):
            target = copy / path.name
            if path.is_dir():
                if not target.exists() and pattern == path.name:
                    shutil.copytree(path, target, symlinks=True)
            else:
                shutil.copy2(path, target)


# --- running tests in a process of their own


class _End(Enum):
    """How tests have ended that ran in a process of their own."""

    PASSED, FAILED, HUNG, FROM_OUTSIDE = range(4)


def _in_child(copy: Path, seconds: float, work: Callable[[], int]) -> _End:
    """How work ends in a forked process that reads the copy."""
    child = get_context("fork").Process(target=_child, args=(copy, seconds, work))
    child.start()
    child.join(20 * seconds)
    code = child.exitcode
    with contextlib.suppress(ProcessLookupError, PermissionError):
        assert child.pid
        os.killpg(child.pid, 9)  # what the tests have started and left
    child.join()
    return _end(code)


def _end(code: int | None) -> _End:
    """By the exit code of multiprocessing, None where it waits for ever: a signal is a negative number."""
    if code is None or code == -signal.SIGXCPU:
        return _End.HUNG
    if code in PASSED:
        return _End.PASSED
    return _End.FAILED if code in FAILED else _End.FROM_OUTSIDE


def _child(copy: Path, seconds: float, work: Callable[[], int]) -> None:
    import resource  # Unix has it

    code = BROKEN_DOWN
    try:
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        resource.setrlimit(resource.RLIMIT_CPU, (ceil(seconds), ceil(seconds) + 5))
        os.setsid()
        os.chdir(copy)
        silent = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(silent, stream)
        sys.path[:] = [str(copy), str(copy / "plugins"), *(path for path in sys.path if path not in _OURS)]
        os.environ["PYTHONPATH"] = f"{copy}{os.pathsep}{copy / 'plugins'}"
        for name in [name for name in sys.modules if name.partition(".")[0] in ("tests", "buildlog")]:
            del sys.modules[name]
        code = work()
    finally:
        os._exit(code)


_OURS = ("", str(ROOT), str(ROOT / "plugins"), os.getcwd())
_OPTIONS = ("-p", "no:cacheprovider", "-p", "no:xdist", "-m", "not bench and not browser")


def _pytest(arguments: Iterable[str], plugin: Any) -> int:
    import pytest

    return int(pytest.main([*_OPTIONS, *arguments], plugins=[plugin] if plugin else []))


# --- which tests a change is tried with


class _Near:
    """The test files that import the changed one, the one of its name first; where they are few, those that
    import what imports it, and so on; then the `wider` ones."""

    def __init__(self, copy: Path, files: list[str], wider: list[str], took: _Took, most: float) -> None:
        self._wider = wider
        self._most = most
        self._took = took

        def imports(file: str) -> set[str]:
            names = _imported(ast.parse((copy / file).read_text("utf-8")))
            helpers = (f"{name.replace('.', '/')}.py" for name in names if name.startswith("tests."))
            return names.union(*(imports(one) for one in helpers if (copy / one).is_file() and one != file))

        self._imports = {file: imports(file) for file in files}
        ours = (path.relative_to(copy).as_posix() for path in (copy / "buildlog").rglob("*.py"))
        self._within = {file: imports(file) for file in ours}

    def batches(self, file: str, change: Change) -> list[_Batch]:
        files: list[str] = []
        total = 0.0
        for one in self.nearest(file):
            if not files or total + self._took.seconds(one) <= self._most:
                files.append(one)
                total += self._took.seconds(one)
        files.sort(key=lambda one: (not _is_own(one, file), self._took.seconds(one)))
        if file.startswith(("buildlog/calculators/", "buildlog/kinds/models/")):
            files += [one for one in OF_EVERY_KIND if one not in files]
        if change.function == MODULE:  # a declaration: its range is in the manual, which is made of it
            files.append("tests/test_generated.py")
        files += [one for one in self._wider if one not in files]
        return [_Batch([one], None, PATIENCE + 3 * self._took.seconds(one)) for one in files]

    def nearest(self, file: str) -> list[str]:
        """At most MOST_NEAR test files, the nearest first."""
        changed, near = {file}, dict.fromkeys(one for one in self._imports if _is_own(one, file))
        for _ in range(MOST_STEPS):
            importing = [one for one, names in self._imports.items() if _imports_one_of(names, changed)]
            near |= dict.fromkeys(sorted(importing, key=partial(self._order, file, changed)))
            if len(near) >= MOST_NEAR:
                break
            changed = {one for one, names in self._within.items() if _imports_one_of(names, changed)}
        return list(near)[:MOST_NEAR]

    def _order(self, file: str, changed: set[str], test: str) -> tuple[object, ...]:
        beside = test.startswith(_tests_of(file))
        named_for = any(_is_near(test, one) for one in changed)  # what is private to it has its tests there
        return not named_for, not beside, test.startswith(_slow()), len(self._imports[test]), test


def _imports_one_of(names: set[str], files: set[str]) -> bool:
    modules = (file.removesuffix(".py").replace("/", ".") for file in files)
    # whoever imports a package as a whole goes through all of its files
    return any(
        module in names or {package, package.rpartition(".")[0]} <= names
        for module in modules
        for package in [module.rpartition(".")[0]]
    )


def _tests_of(file: str) -> str:
    """The folder where the tests of a file of the package are."""
    return f"tests/{Path(file).parent.relative_to('buildlog').as_posix()}/"


def _is_own(test: str, file: str) -> bool:
    """Whether a test file is that of a file: two rooms may have files of one name."""
    return test.startswith((_tests_of(file), file)) and _is_near(test, file)


class _Took:
    """How long each test file takes, s of processor time, as far as it was seen: the quick ones go first."""

    def __init__(self) -> None:
        self._seen: dict[str, float] = json.loads(TOOK.read_text()) if TOOK.exists() else {}

    def seconds(self, file: str) -> float:
        return self._seen.get(file, 30.0 if file.startswith(_slow()) else 5.0)

    def note(self, file: str, seconds: float) -> None:
        self._seen[file] = round(seconds, 1)
        TOOK.parent.mkdir(parents=True, exist_ok=True)
        TOOK.write_text(json.dumps(self._seen, indent=0, sort_keys=True))


def _imported(tree: ast.Module) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            names.update(re.findall(r"\bbuildlog(?:\.\w+)+", node.value))  # what another process runs
    return names


class _Reaching:
    """The tests that reach the changed function, those of the same name as its file first, then the quick
    ones. Each file is run once to find out, when it is new or changed."""

    def __init__(self, copy: Path, files: list[str], most: float) -> None:
        self.reached: Reach = {}
        self._most = most
        for file in files:
            version = hashlib.sha256(file.encode() + b"\0" + (copy / file).read_bytes()).hexdigest()[:24]
            kept = KEPT / f"{version}.json"
            if not kept.exists():
                kept.parent.mkdir(parents=True, exist_ok=True)
                print(f"looking at what {file} reaches", file=sys.stderr, flush=True)
                end = _in_child(copy, 1800, partial(_trace, copy, file, kept))
                if end is not _End.PASSED:
                    print(f"  {file} is left out: {end.name.lower()}", file=sys.stderr)
                    kept.write_text("{}")
            if kept.exists():
                told = json.loads(kept.read_text())
                self.reached[file] = {test: (seconds, set(names)) for test, (seconds, names) in told.items()}
        self._usual = {test: s for tests in self.reached.values() for test, (s, _) in tests.items()}

    def batches(self, file: str, change: Change) -> list[_Batch]:
        tests = _within(self._most, _tests_for(self.reached, file, change), self._usual)
        near = [test for test in tests if _is_near(test, file)]
        found = []
        for some in filter(None, (near, [test for test in tests if test not in near])):
            from tests.mutants.reached import Chosen

            files = list(dict.fromkeys(test.partition("::")[0] for test in some))
            patience = PATIENCE + 3 * sum(self._usual[test] for test in some)
            found.append(_Batch(files, Chosen(some, set(self._usual)), patience))
        return found


def _slow() -> tuple[str, ...]:
    from tests.conftest import _SLOW

    return _SLOW


def _test_files(copy: Path, among: tuple[str, ...], slow: bool) -> list[str]:
    tests = [path.relative_to(copy).as_posix() for path in (copy / "tests").rglob("test_*.py")]
    doctests = [
        path.relative_to(copy).as_posix()
        for path in (copy / "buildlog").rglob("*.py")
        if ">>> " in path.read_text("utf-8")
    ]
    return sorted(
        file
        for file in [*tests, *doctests]
        if file.startswith(among) and (slow or not file.startswith((*_slow(), *LONG_TO_LOOK_AT)))
    )


def _trace(copy: Path, file: str, kept: Path) -> int:
    from tests.mutants.reached import Reached

    plugin = Reached(copy)
    code = _pytest([file], plugin)
    if code in PASSED:
        told = {test: (seconds, sorted(names)) for test, (seconds, names) in plugin.tests.items()}
        kept.with_suffix(".new").write_text(json.dumps(told))
        kept.with_suffix(".new").replace(kept)
    return code


def _tests_for(reached: Reach, file: str, change: Change) -> list[str]:
    """The tests that reach the changed function, those of the same name as its file first, then the quick."""

    def touches(names: set[str]) -> bool:
        if change.function == MODULE:
            return any(name.startswith(f"{file}:") for name in names)
        return f"{file}:{change.function}" in names

    chosen = []
    for tests in reached.values():
        touching = [test for test, (_, names) in tests.items() if touches(names)]
        whole = sum(seconds for seconds, _ in tests.values()) <= WHOLE_FILE
        for test in tests if touching and whole else touching:
            chosen.append((not _is_near(test, file), tests[test][0], test))
    return [test for *_, test in sorted(chosen)]


def _is_near(test: str, file: str) -> bool:
    """Whether a test stands where a reader looks for those of a file."""
    of = Path(test.partition("::")[0])
    return of.stem == f"test_{Path(file).stem}" or str(of) == file


# --- the changes


def _try_area(
    copy: Path, tests: _Near | _Reaching, took: _Took, area: str, wanted: argparse.Namespace
) -> None:
    sources = {
        path.relative_to(copy).as_posix(): path.read_text("utf-8")
        for path in (copy / "buildlog" / area).rglob("*.py")
    }
    sample = _sample(sources, seed=wanted.seed, area=area, size=wanted.size)
    if wanted.only:
        sample = [(f, c) for f, c in of_files(sources) if wanted.only in (f, f"{f}:{c.line}")]
    trying = _Trying(copy, took)
    noticed = tried = 0
    for number, (file, change) in enumerate(sorted(sample)):
        print(f"\r{area}: {noticed} of {number} noticed", end="", file=sys.stderr, flush=True)
        said = trying.said_of(tests.batches(file, change), file, sources[file], change)
        tried += said != NOT_TRIED
        noticed += said == NOTICED
        if said != NOTICED:
            where = f"{file}:{change.line} ({change.function or 'module'})"
            print(f"\r{said} {where} {change.old} ▸ {change.new}", flush=True)
    share = f"{100 * noticed / max(1, tried):.0f} %"
    others = f", {len(sample) - tried} not tried" if tried < len(sample) else ""
    print(f"\r{area}: {noticed} of {tried} noticed, {share}{others} (seed {wanted.seed})", flush=True)


def _sample(sources: dict[str, str], seed: int, area: str, size: int) -> list[tuple[str, Change]]:
    changes = list(of_files(sources))
    return random.Random(f"{seed} {area}").sample(changes, min(size, len(changes)))


class _Trying:
    """Runs the tests of a change until some notice. What fails without the change, or is ended from outside,
    has noticed nothing."""

    def __init__(self, copy: Path, took: _Took) -> None:
        self._copy = copy
        self._took = took
        self._sound: dict[str, bool] = {}
        """Whether tests pass as the tree is, once that has been asked."""

    def said_of(self, batches: list[_Batch], file: str, source: str, change: Change) -> str:
        in_doubt = False
        for batch in batches:
            if not self._sound.get(repr(batch.files), True):
                in_doubt = True
                continue
            with _changed(self._copy / file, source, change):
                end = self._end_of(batch)
                if end is _End.FROM_OUTSIDE:  # once may be by chance
                    end = self._end_of(batch)
            if end in (_End.FAILED, _End.HUNG) and self._passes(batch):
                return NOTICED
            in_doubt |= end is not _End.PASSED
        if in_doubt:
            return NOT_TRIED
        return SURVIVED if batches else NOT_REACHED

    def _passes(self, batch: _Batch) -> bool:
        name = repr(batch.files)
        if name not in self._sound:
            self._sound[name] = self._end_of(batch) is _End.PASSED
            if not self._sound[name]:
                print(f"\rleft out, fails as the tree is: {' '.join(batch.files)}", flush=True)
        return self._sound[name]

    def _end_of(self, batch: _Batch) -> _End:
        begun = _seconds_of_children()
        work = partial(_pytest, ["-x", *batch.files], batch.chosen)
        end = _in_child(self._copy, batch.patience, work)
        if end is _End.PASSED and len(batch.files) == 1 and batch.chosen is None:
            self._took.note(batch.files[0], _seconds_of_children() - begun)
        return end


@contextlib.contextmanager
def _changed(file: Path, source: str, change: Change) -> Iterator[None]:
    try:
        file.write_text(change.made_in(source), "utf-8")
        _forget_bytecode(file)
        yield
    finally:
        file.write_text(source, "utf-8")
        _forget_bytecode(file)


def _seconds_of_children() -> float:
    import resource  # Unix has it

    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _within(most: float, tests: list[str], usual: dict[str, float]) -> list[str]:
    kept: list[str] = []
    total = 0.0
    for test in tests:
        total += usual[test]
        if kept and total > most:
            break
        kept.append(test)
    return kept


def _forget_bytecode(source: Path) -> None:
    for made in (source.parent / "__pycache__").glob(f"{source.stem}.*"):
        made.unlink()


if __name__ == "__main__":
    main()
