"""Runs what is packed for a browser in this Python, and nothing else of buildlog: what was not packed is not
there. Reads sources, descriptions and changes as JSON, and writes the answers.

``re``, ``unicodedata``, ``json`` and ``html`` are this Python's own: what stands in for them asks the
browser.
"""

from __future__ import annotations

import importlib.util
import json
import sys
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from types import ModuleType
from typing import Any

OF_THE_BROWSER = {"re", "unicodedata", "json", "html"}


class Packed(MetaPathFinder, Loader):
    """Gives packed modules, and refuses any other of ours."""

    def __init__(self, sources: dict[str, str]) -> None:
        self.sources = sources
        self.packages = {
            ".".join(name.split(".")[:depth]) for name in sources for depth in range(1, name.count(".") + 1)
        }

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> ModuleSpec | None:
        if name in self.sources or name in self.packages:
            return ModuleSpec(name, self, is_package=name in self.packages)
        if name.split(".")[0] == "buildlog":
            raise ImportError(f"{name} is not packed")
        return None

    def create_module(self, spec: ModuleSpec) -> None:
        return None

    def exec_module(self, module: ModuleType) -> None:
        code = compile(self.sources.get(module.__name__, ""), f"packed/{module.__name__}", "exec")
        exec(code, module.__dict__)  # noqa: S102 - our own packed source


def main() -> None:
    asked = json.load(sys.stdin)
    finder = Packed({name: text for name, text in asked["sources"].items() if name not in OF_THE_BROWSER})
    sys.meta_path.insert(0, finder)
    import fractions  # noqa: F401 - what Python's own modules need is loaded before stand-ins take over
    import inspect  # noqa: F401

    for name in finder.sources:
        if "." not in name:
            spec = finder.find_spec(name)
            assert spec is not None
            sys.modules[name] = module = importlib.util.module_from_spec(spec)
            finder.exec_module(module)
    from buildlog.browser.answer import answer

    answers = [answer(*(json.dumps(one) for one in arguments)) for arguments in asked["asked"]]
    sys.stdout.write(json.dumps([json.loads(text) for text in answers]))


if __name__ == "__main__":
    main()
