"""Which functions of the package each test reaches: what a changed function has to be tried with.

A plugin of pytest. It looks at calls alone, which costs a fraction of looking at lines.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Generator
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

from tests.mutants.changes import MODULE


class Reached:
    def __init__(self, root: Path) -> None:
        self.tests: dict[str, tuple[float, set[str]]] = {}
        """By test: how long it took, s of processor time, and `file:function` of all that it called."""
        self._root = f"{root}/"
        self._names: dict[CodeType, str | None] = {}
        self._now: set[str] = set()
        self._shared: set[str] = set()
        """What ran for all tests of the file: on import, and in fixtures wider than a test."""

    def name(self, code: CodeType) -> str | None:
        file = code.co_filename
        if not file.startswith((f"{self._root}buildlog/", f"{self._root}plugins/")):
            return None
        function = code.co_qualname.removesuffix("<module>")
        for inner in ("<lambda>", "<listcomp>", "<setcomp>", "<dictcomp>", "<genexpr>"):
            function = function.partition(f".<locals>.{inner}")[0] if inner in function else function
        return f"{file.removeprefix(self._root)}:{MODULE if function.startswith('<') else function}"

    def _called(self, frame: FrameType, event: str, argument: Any) -> None:
        code = frame.f_code
        try:
            name = self._names[code]
        except KeyError:
            name = self._names[code] = self.name(code)
        if name is not None:
            self._now.add(name)

    @pytest.hookimpl(wrapper=True)
    def pytest_collection(self) -> Generator[None, Any, Any]:
        sys.settrace(self._called)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            self._shared |= self._now

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Generator[None, Any, Any]:
        before = set(self._now)
        result = yield
        if fixturedef.scope != "function":
            self._shared |= self._now - before
        return result

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        self._now = set()
        begun = time.process_time()
        sys.settrace(self._called)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            self.tests[item.nodeid] = (time.process_time() - begun, self._now | self._shared)


class Chosen:
    """Keeps only these tests, in this order, and those whose names were not known: a change can make new ones
    of a test that is parametrised by the code."""

    def __init__(self, tests: list[str], known: set[str]) -> None:
        self._place = {test: place for place, test in enumerate(tests)}
        self._known = known

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        kept = [item for item in items if item.nodeid in self._place or item.nodeid not in self._known]
        items[:] = sorted(kept, key=lambda item: self._place.get(item.nodeid, len(self._place)))
