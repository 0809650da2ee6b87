"""What of our modules is needed to run a few of their names: worked out from the names that code uses.

A definition at the top of a module is kept where something kept uses its name, a method where something kept
uses an attribute of that name. What stands at the top of a module and defines nothing is kept with it.
Docstrings, comments and annotations are left out: the browser pays for every byte that it reads, and none of
them computes. What a function imports for itself is not followed: that is how a module says that it does
without in a browser.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

OURS = "buildlog"
_ROOT = Path(__file__).resolve().parent.parent.parent
_ALL = "*"


@dataclass(frozen=True)
class Imported:
    """What an imported name stands for: a module, or a name of one."""

    module: str
    name: str = ""


Use = tuple[str, str]


@dataclass(frozen=True, kw_only=True, eq=False)
class _Code:
    """A part of a file with what it uses: names, and modules that it imports for itself."""

    node: ast.stmt
    uses: tuple[Use, ...]
    imports: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class _Part:
    """A statement at the top of a file with the names that it binds; the methods of a class apart."""

    code: _Code
    names: tuple[str, ...]
    methods: tuple[tuple[str, _Code], ...] = ()


@dataclass(eq=False)
class _Method:
    """A method of a class that is kept: itself only once something uses its name."""

    module: str
    code: _Code
    kept: bool = False


@dataclass(eq=False)
class _Statement:
    part: _Part
    kept: bool = False
    methods: dict[str, list[_Method]] = field(default_factory=dict)


@dataclass(eq=False)
class _Module:
    name: str
    is_package: bool
    statements: list[_Statement]
    imports: Mapping[str, Imported]
    used_imports: set[str] = field(default_factory=set)
    by_name: dict[str, list[_Statement]] = field(default_factory=dict)

    def fill_names(self) -> None:
        for statement in self.statements:
            for bound in statement.part.names:
                self.by_name.setdefault(bound, []).append(statement)

    def defining(self, name: str) -> list[_Statement]:
        return self.by_name.get(name, [])


@cache
def _ours(module: str) -> Path | None:
    path = _ROOT.joinpath(*module.split("."))
    return next((file for file in (path.with_suffix(".py"), path / "__init__.py") if file.is_file()), None)


def file_of(module: str, stand_ins: Mapping[str, Path]) -> Path | None:
    """The file of one of our modules, or of what stands in for a module in a browser; None for others."""
    if module in stand_ins:
        return stand_ins[module]
    if module.split(".")[0] != OURS:
        return None
    return _ours(module)


class Shaken:
    """The parts of our modules that are needed. `outside` are the modules of others that they import, `later`
    all that functions import for themselves."""

    def __init__(self, stand_ins: Mapping[str, Path]) -> None:
        self.stand_ins = stand_ins
        self.modules: dict[str, _Module] = {}
        self.outside: set[str] = set()
        self.later: set[str] = set()
        self._attributes: set[str] = set()
        self._waiting: dict[str, list[_Method]] = {}

    def want(self, module: str, name: str = _ALL) -> None:
        """Keep a name of a module with all that it needs; without a name, all of the module."""
        found = self._module(module)
        if found is None:
            self.outside.add(module)
            return
        if name == _ALL:
            for statement in found.statements:
                self._keep(found, statement)
            return
        statements = found.defining(name)
        for statement in statements:
            self._keep(found, statement)
        if not statements and name in found.imports:
            self._keep_import(found, name)
        elif not statements:  # `__getattr__` of the module may give it
            for statement in found.defining("__getattr__"):
                self._keep(found, statement)

    def sources(self) -> dict[str, str]:
        """The source of each module that is needed, in as few characters as may be."""
        found = {}
        for name, module in sorted(self.modules.items()):
            file = file_of(name, self.stand_ins)
            assert file is not None
            found[name] = _written(module, file)
        return found

    def copy(self) -> Shaken:
        """The same, which may be shaken on without a change of this one."""
        made = Shaken(self.stand_ins)
        made.outside, made.later = set(self.outside), set(self.later)
        made._attributes = set(self._attributes)
        twins: dict[_Method, _Method] = {}
        for name, module in self.modules.items():
            made.modules[name] = _twin(module, twins)
        made._waiting = {name: [twins[one] for one in methods] for name, methods in self._waiting.items()}
        return made

    # --- following names -----------------------------------------------------------------

    def _module(self, name: str) -> _Module | None:
        if name in self.modules:
            return self.modules[name]
        file = file_of(name, self.stand_ins)
        if file is None:
            return None
        module = self.modules[name] = _read(name, file, self.stand_ins)
        parent = name.rpartition(".")[0]
        if parent:
            self._module(parent)
        for statement in module.statements:
            if not statement.part.names:
                self._keep(module, statement)
        return module

    def _keep(self, module: _Module, statement: _Statement) -> None:
        if statement.kept:
            return
        statement.kept = True
        for name, methods in statement.methods.items():
            for method in methods:
                if name in self._attributes:
                    self._keep_method(method)
                else:
                    self._waiting.setdefault(name, []).append(method)
        self._follow(module, statement.part.code)

    def _keep_method(self, method: _Method) -> None:
        method.kept = True
        self._follow(self.modules[method.module], method.code)

    def _follow(self, module: _Module, code: _Code) -> None:
        self.later.update(code.imports)
        for use in code.uses:
            self._use(module, *use)

    def _use(self, module: _Module, name: str, attribute: str) -> None:
        if attribute:
            self._use_attribute(attribute)
        if not name:
            return
        for statement in module.defining(name):
            self._keep(module, statement)
        if name in module.imports:
            self._keep_import(module, name, attribute)

    def _use_attribute(self, attribute: str) -> None:
        if attribute in self._attributes:
            return
        self._attributes.add(attribute)
        for method in self._waiting.pop(attribute, []):
            self._keep_method(method)

    def _keep_import(self, module: _Module, name: str, attribute: str = "") -> None:
        imported = module.imports[name]
        module.used_imports.add(name)
        if imported.name:
            self.want(imported.module, imported.name)
        elif file_of(imported.module, self.stand_ins) is None:
            self.outside.add(imported.module)
        else:
            self.want(imported.module, attribute or _ALL)


# --- reading -----------------------------------------------------------------------------------


def _read(name: str, file: Path, stand_ins: Mapping[str, Path]) -> _Module:
    parts, imports = _parsed(file, tuple(stand_ins.items()))
    module = _Module(name=name, is_package=file.name == "__init__.py", statements=[], imports=imports)
    for part in parts:
        statement = _Statement(part)
        for method, code in part.methods:
            statement.methods.setdefault(method, []).append(_Method(name, code))
        module.statements.append(statement)
    module.fill_names()
    return module


def _twin(module: _Module, twins: dict[_Method, _Method]) -> _Module:
    """A module with statements of its own; `twins` gets those of its methods."""
    statements = []
    for statement in module.statements:
        twin = _Statement(statement.part, statement.kept)
        for name, methods in statement.methods.items():
            twin.methods[name] = [replace(method) for method in methods]
            twins.update(zip(methods, twin.methods[name], strict=True))
        statements.append(twin)
    made = _Module(
        name=module.name,
        is_package=module.is_package,
        statements=statements,
        imports=module.imports,
        used_imports=set(module.used_imports),
    )
    made.fill_names()
    return made


@cache
def _parsed(
    file: Path, stand_ins: tuple[tuple[str, Path], ...]
) -> tuple[tuple[_Part, ...], Mapping[str, Imported]]:
    """The statements of a file and what it imports. Every kind is shaken out of the same ones."""
    imports: dict[str, Imported] = {}
    parts = []
    for node in ast.parse(file.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Import | ast.ImportFrom):
            imports.update(_imported(node, dict(stand_ins)))
        elif not _is_for_people(node):
            methods = [
                (part.name, _code(part))
                for part in (node.body if isinstance(node, ast.ClassDef) else ())
                if isinstance(part, ast.FunctionDef) and not _is_special(part.name)
            ]
            code = _code(node, shallow=bool(methods))
            parts.append(_Part(code=code, names=tuple(_names(node)), methods=tuple(methods)))
    return tuple(parts), imports


def _code(node: ast.stmt, *, shallow: bool = False) -> _Code:
    later = [part for part in ast.walk(node) if isinstance(part, ast.Import | ast.ImportFrom)]
    modules = [alias.name for part in later if isinstance(part, ast.Import) for alias in part.names]
    modules += [part.module or "" for part in later if isinstance(part, ast.ImportFrom)]
    return _Code(
        node=node,
        uses=tuple(dict.fromkeys(_uses(node, shallow=shallow))),
        imports=() if shallow else tuple(modules),
    )


def _imported(node: ast.Import | ast.ImportFrom, stand_ins: Mapping[str, Path]) -> dict[str, Imported]:
    if isinstance(node, ast.Import):
        return {alias.asname or alias.name.split(".")[0]: Imported(alias.name) for alias in node.names}
    source = node.module or ""
    if source == "__future__":
        return {}
    return {
        alias.asname or alias.name: Imported(f"{source}.{alias.name}")
        if file_of(f"{source}.{alias.name}", stand_ins)
        else Imported(source, alias.name)
        for alias in node.names
    }


def _is_for_people(node: ast.stmt) -> bool:
    """Docstrings, what only a type checker sees, and lists of what a module exports."""
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)
    if isinstance(node, ast.If):
        return isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"
    if isinstance(node, ast.Try):  # of ours nothing is tried; Python's own look there for a half in C
        return True
    if isinstance(node, ast.AnnAssign):
        return node.value is None
    return isinstance(node, ast.Assign) and _names(node) == ["__all__"]


def _names(node: ast.stmt) -> list[str]:
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        return [node.name]
    if isinstance(node, ast.Assign):
        return [
            part.id
            for target in node.targets
            for part in (target.elts if isinstance(target, ast.Tuple) else [target])
            if isinstance(part, ast.Name)
        ]
    if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
        return [node.target.id]
    if isinstance(node, ast.If):
        return [name for part in node.body for name in _names(part)]
    return []


def _is_special(name: str) -> bool:
    return name.startswith("__") and name.endswith("__")


def _uses(node: ast.AST, *, shallow: bool) -> Iterator[Use]:
    """(name, "") of every name that code uses, (name, attribute) where it takes an attribute of one, and
    ("", attribute) of anything else; not in annotations. `shallow` leaves out the methods of a class."""
    if isinstance(node, ast.Attribute):
        if isinstance(node.value, ast.Name):
            yield node.value.id, node.attr
            return
        yield "", node.attr
    elif isinstance(node, ast.Name):
        yield node.id, ""
    elif isinstance(node, ast.MatchClass):
        for keyword in node.kwd_attrs:
            yield "", keyword
    for part in _run_parts(node):
        if shallow and isinstance(part, ast.FunctionDef) and not _is_special(part.name):
            continue
        yield from _uses(part, shallow=False)


def _run_parts(node: ast.AST) -> Iterator[ast.AST]:
    """The parts of code that are run: no annotations, no imports."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns"):
            continue
        for part in value if isinstance(value, list) else [value]:
            if isinstance(part, ast.AST) and not isinstance(part, ast.Import | ast.ImportFrom):
                yield part


# --- writing -------------------------------------------------------------------------------------


def _written(module: _Module, file: Path) -> str:
    """The source of what is kept, of the file read once more: other kinds are shaken out of it too."""
    fresh = {(node.lineno, node.col_offset): node for node in ast.parse(file.read_text("utf-8")).body}
    body: list[ast.stmt] = []
    for name in sorted(module.used_imports):
        body.append(_import_of(name, module.imports[name]))
    for statement in module.statements:
        if statement.kept:
            dropped = {
                (method.code.node.lineno, method.code.node.col_offset)
                for methods in statement.methods.values()
                for method in methods
                if not method.kept
            }
            place = statement.part.code.node
            node = fresh[place.lineno, place.col_offset]
            body.append(_Bare(dropped, module.name).visit(node))
    tree = ast.fix_missing_locations(ast.Module(body=body, type_ignores=[]))
    return _dense(ast.unparse(tree))


def _import_of(name: str, imported: Imported) -> ast.stmt:
    if imported.name:
        known = imported.name
        return ast.ImportFrom(imported.module, [ast.alias(known, name if name != known else None)], 0)
    package, _, last = imported.module.rpartition(".")
    if package and last == name:
        return ast.ImportFrom(package, [ast.alias(name)], 0)
    return ast.Import([ast.alias(imported.module, name if name != imported.module.split(".")[0] else None)])


class _Bare(ast.NodeTransformer):
    """Leaves out what is for people and what is not kept. The fields of a class stand in `__fields__`: they
    are annotations, which go."""

    def __init__(self, dropped: set[tuple[int, int]], module: str) -> None:
        self.dropped = dropped
        # `Working.chain` finds the parameters of a formula among its annotations.
        self.names_parameters = module.startswith(f"{OURS}.physics.")

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.stmt:
        arguments = node.args
        for argument in [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs]:
            named = self.names_parameters and argument.annotation is not None
            argument.annotation = ast.Constant(0) if named else None
        for single in (arguments.vararg, arguments.kwarg):
            if single is not None:
                single.annotation = None
        node.returns = None
        self.generic_visit(node)
        node.body = _without_words(node.body)
        return node

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.stmt:
        fields = [
            part.target.id
            for part in node.body
            if isinstance(part, ast.AnnAssign) and isinstance(part.target, ast.Name)
        ]
        node.body = [part for part in node.body if (part.lineno, part.col_offset) not in self.dropped]
        self.generic_visit(node)
        body = [part for part in node.body if not isinstance(part, ast.AnnAssign)]
        if fields:
            names = ast.Tuple([ast.Constant(name) for name in fields], ast.Load())
            body.insert(0, ast.Assign([ast.Name("__fields__", ast.Store())], names))
            body += _beginning(node, fields)
        node.body = _without_words(body)
        return node

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.stmt | None:
        self.generic_visit(node)
        if node.value is None:
            return node if isinstance(node.target, ast.Name) else None
        return ast.Assign([node.target], node.value)


def _beginning(node: ast.ClassDef, fields: list[str]) -> list[ast.stmt]:
    """The `__init__` of a record that has no fields but its own, written out: in a browser a loop over them
    costs ten times as much. Others get one when they are loaded."""
    ast.fix_missing_locations(node)
    record = next((one for one in node.decorator_list if "dataclass" in ast.unparse(one)), None)
    has_own = any(isinstance(part, ast.FunctionDef) and part.name == "__init__" for part in node.body)
    if record is None or has_own or not {ast.unparse(base) for base in node.bases} <= _WITHOUT_FIELDS:
        return []
    said = ast.unparse(record)
    defaults = {name for part in node.body if isinstance(part, ast.Assign) for name in _names(part)}
    made = {
        name
        for part in node.body
        if isinstance(part, ast.Assign) and "field(" in ast.unparse(part.value)
        for name in _names(part)
    }
    if any("init=False" in ast.unparse(part) for part in node.body if isinstance(part, ast.Assign)):
        return []
    taken = [f"{name}={name}" if name in defaults else name for name in fields]
    put = "object.__setattr__(self, {0!r}, {1})" if "frozen=True" in said else "self.{0} = {1}"
    lines = [put.format(name, f"field.given({name})" if name in made else name) for name in fields]
    if any(isinstance(part, ast.FunctionDef) and part.name == "__post_init__" for part in node.body):
        lines.append("self.__post_init__()")
    star = "*, " if "kw_only=True" in said else ""
    source = f"def __init__(self, {star}{', '.join(taken)}):\n " + "\n ".join(lines)
    return ast.parse(source).body


_WITHOUT_FIELDS = frozenset({"Form", "Expression", "Protocol"})
"""Classes that records are made of and that have no fields."""


def _without_words(body: list[ast.stmt]) -> list[ast.stmt]:
    bare = [
        part
        for part in body
        if not (isinstance(part, ast.Expr) and isinstance(part.value, ast.Constant))
        and not (isinstance(part, ast.AnnAssign) and part.value is None)
    ]
    return bare or [ast.Pass()]


def _dense(source: str) -> str:
    """One blank in place of four at the beginning of a line. No line is inside of a string: docstrings, the
    only strings that are written over several lines, are gone."""
    lines = []
    for line in source.splitlines():
        text = line.lstrip(" ")
        if text:
            lines.append(" " * ((len(line) - len(text)) // 4) + text)
    return "\n".join(lines) + "\n"
