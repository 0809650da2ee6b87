"""Small changes to a source file, one at a time, each of which some test should notice.

A change replaces the text of one node of the syntax tree. Left alone is what does nothing when it runs:
texts, annotations, and what stands inside an f-string, whose places Python 3.11 does not tell.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from typing import NamedTuple

MODULE = ""
"""Where a change is that stands in no function: it is made when the file is imported."""


class Change(NamedTuple):
    line: int
    function: str
    """As the code object calls it, `Class.method` or `outer.<locals>.inner`."""
    start: int
    end: int
    """Of the text that is replaced, in bytes of the source as UTF-8."""
    old: str
    new: str

    def made_in(self, source: str) -> str:
        text = source.encode()
        return (text[: self.start] + self.new.encode() + text[self.end :]).decode()


_COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
_REVERSED = {ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE}
_CALCULATED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Div,
    ast.Mod: ast.Mult, ast.Pow: ast.Mult,
}  # fmt: skip
_JOINED = {ast.And: ast.Or, ast.Or: ast.And}
_A_LITTLE = 1.01
_NOTHING = (None, False)


def changes_in(source: str) -> list[Change]:
    """All changes that can be made in a file, in the order of its text."""
    finder = _Finder(source)
    finder.visit(ast.parse(source))
    return sorted(set(finder.changes), key=lambda change: (change.start, change.end, change.new))


class _Finder(ast.NodeVisitor):
    def __init__(self, source: str) -> None:
        self.changes: list[Change] = []
        self._text = source.encode()
        self._starts = [0]
        for line in self._text.splitlines(keepends=True):
            self._starts.append(self._starts[-1] + len(line))
        self._within: list[str] = []
        self._in_function = False

    def _change(self, node: ast.expr | ast.stmt, new: str) -> None:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        start = self._starts[node.lineno - 1] + node.col_offset
        end = self._starts[node.end_lineno - 1] + node.end_col_offset
        old = " ".join(self._text[start:end].decode().split())
        function = ".".join(self._within) if self._in_function else MODULE
        self.changes.append(Change(node.lineno, function, start, end, old, new))

    # --- where it stands

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for child in [*node.decorator_list, *node.args.defaults, *filter(None, node.args.kw_defaults)]:
            self.visit(child)
        outer, within = self._in_function, self._within
        self._within = [*within, *(["<locals>"] if outer else []), node.name]
        self._in_function = True
        for statement in node.body:
            self.visit(statement)
        self._in_function, self._within = outer, within

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        within = self._within
        self._within = [*within, node.name]
        for statement in node.body:
            self.visit(statement)
        self._within = within

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        pass

    def visit_If(self, node: ast.If) -> None:
        if not _of_types_only(node.test):
            self._negated(node.test)
            self.generic_visit(node)

    # --- what is changed

    def visit_Compare(self, node: ast.Compare) -> None:
        for place, operator in enumerate(node.ops):
            for other in (_COMPARED, _REVERSED):
                if type(operator) in other:
                    ops = [*node.ops]
                    ops[place] = other[type(operator)]()
                    self._change(node, _written(ast.Compare(node.left, ops, node.comparators)))
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        text = any(isinstance(side, ast.JoinedStr) or _is_text(side) for side in (node.left, node.right))
        if type(node.op) in _CALCULATED and not text:
            self._change(node, _written(ast.BinOp(node.left, _CALCULATED[type(node.op)](), node.right)))
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        self._change(node, _written(ast.BoolOp(_JOINED[type(node.op)](), node.values)))
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, (ast.USub, ast.Not)):
            self._change(node, _written(node.operand))
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        value = node.value
        if isinstance(value, bool):
            self._change(node, str(not value))
        elif isinstance(value, int):
            self._change(node, str(value + 1))
            if value == 1:
                self._change(node, "0")
        elif isinstance(value, float):
            self._change(node, repr(value * _A_LITTLE if value else 1.0))

    def visit_IfExp(self, node: ast.IfExp) -> None:
        self._negated(node.test)
        self.generic_visit(node)

    def visit_While(self, node: ast.While) -> None:
        self._negated(node.test)
        self.generic_visit(node)

    def visit_comprehension(self, node: ast.comprehension) -> None:
        for condition in node.ifs:
            self._negated(condition)
        self.generic_visit(node)

    def visit_Expr(self, node: ast.Expr) -> None:
        if isinstance(node.value, ast.Call):
            self._change(node, "pass")
        self.generic_visit(node)

    def visit_Return(self, node: ast.Return) -> None:
        value = node.value
        # Whoever asks whether it is so meets no difference between False and None.
        if value is not None and not (
            isinstance(value, ast.Constant) and any(value.value is one for one in _NOTHING)
        ):
            self._change(node, "return None")
        self.generic_visit(node)

    def _negated(self, condition: ast.expr) -> None:
        if not isinstance(condition, (ast.Constant, ast.Compare, ast.UnaryOp)):
            self._change(condition, f"(not {_written(condition)})")


def _written(node: ast.expr) -> str:
    return f"({ast.unparse(node)})"


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, (str, bytes))


def _of_types_only(condition: ast.expr) -> bool:
    return isinstance(condition, ast.Name) and condition.id == "TYPE_CHECKING"


def of_files(sources: dict[str, str]) -> Iterator[tuple[str, Change]]:
    for file, source in sorted(sources.items()):
        for change in changes_in(source):
            yield file, change
