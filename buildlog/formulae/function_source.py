"""Reads a formula function's source into equations, as far as it is a formula at all.

DEVELOPERS.md ("What a formula is read from") tells what is read and what to write instead of the rest. A
function that cannot be read says in its docstring how its value is found, "In words: found by iteration.";
`reading_fault` tells of one that does not, and a test asks it of every step of every kind.
"""

from __future__ import annotations

import ast
import inspect
import math
import sys
import textwrap
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, partial
from types import ModuleType
from typing import Any, get_type_hints

from buildlog.formulae.docstring import declared_words, described
from buildlog.formulae.expression import (
    ELEMENTARY,
    Assigned,
    Binary,
    Branch,
    Call,
    Comparison,
    Conditional,
    Constant,
    Expression,
    Literal,
    Logic,
    Negative,
    Not,
    Power,
    Refusal,
    Returned,
    Statement,
    Symbol,
    SymbolMeaning,
    rebuilt,
)
from buildlog.formulae.notation import is_word, local_symbol, name_in_words

_SIGNS: dict[type[ast.operator], str] = {ast.Add: "+", ast.Sub: "−", ast.Mult: "×", ast.Div: "/"}
_WORDS: dict[type[ast.boolop], str] = {ast.And: "and", ast.Or: "or"}
_COMPARED: dict[type[ast.cmpop], str] = {
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
    ast.Eq: "==",
    ast.NotEq: "!=",
}
_SIGN_NAMES: dict[type[ast.operator], str] = {ast.FloorDiv: "//", ast.Mod: "%", ast.MatMult: "@"}
_UNDECLARED = "worked out in steps that are no one formula"
"""What readers see of a function that is neither read nor says how its value is found."""

_CONSTRUCTS: dict[type[ast.AST], str] = {
    ast.For: "a for loop",
    ast.While: "a while loop",
    ast.ListComp: "a comprehension",
    ast.SetComp: "a comprehension",
    ast.DictComp: "a comprehension",
    ast.GeneratorExp: "a comprehension",
    ast.Lambda: "a lambda",
    ast.FunctionDef: "a function inside a function",
    ast.Try: "a try statement",
    ast.With: "a with statement",
    ast.Match: "a match statement",
    ast.AugAssign: "a variable that is changed",
    ast.Assign: "an assignment to anything but one name",
    ast.NamedExpr: "an assignment inside an expression",
    ast.Subscript: "an item of a list or a mapping",
    ast.Starred: "arguments from a list",
    ast.Return: "a return without a value",
    ast.Constant: "text or a truth value",
    ast.Name: "a name that is no number",
    ast.Attribute: "an attribute that is no number of a module",
    ast.Call: "a call of what is no formula, or with defaults left out",
    ast.Compare: "a comparison with in or is",
}
_KNOWN = {function: name for name, function in ELEMENTARY.items()} | {math.fabs: "abs"}


class NoFormula(Exception):
    """The function is not written as a formula: `construct` is not read, in that `line` of the function."""

    def __init__(self, node: ast.AST | None, name: str = "") -> None:
        self.construct, self.line = name, 1
        if node is not None:
            begin = ast.unparse(node).partition("\n")[0][:60]
            self.construct, self.line = f"{name or _construct(node)} (`{begin}`)", getattr(node, "lineno", 1)
        super().__init__(self.construct)


def _construct(node: ast.AST) -> str:
    """What a part of the syntax is called."""
    if isinstance(node, ast.BinOp):
        return f"the operator {_SIGN_NAMES.get(type(node.op), 'of bits')}"
    return _CONSTRUCTS.get(type(node), "what is no arithmetic")


@dataclass(frozen=True, kw_only=True)
class FunctionSource:
    """What a function's source says: its equations, or in words how its value is found where there are none.

    `unread` is the place and the construct that kept it from being read, "" where it was read.
    """

    name: str
    docstring: str
    result: Symbol
    symbols: tuple[SymbolMeaning, ...]
    body: tuple[Statement, ...]
    defaults: Mapping[str, float]
    in_words: str = ""
    unread: str = ""


def annotated(hint: Any) -> tuple[str, str] | None:
    """Symbol and unit of ``Annotated[float, symbol, unit]``."""
    match getattr(hint, "__metadata__", None):
        case (str(symbol), str(unit), *_):
            return symbol, unit
    return None


@cache
def read_function(function: Callable[..., Any]) -> FunctionSource:
    """Read a formula function; its source must be at hand."""
    hints = get_type_hints(function, include_extras=True)
    parameters = inspect.signature(function).parameters
    docstring = inspect.getdoc(function) or ""
    returned = annotated(hints.get("return")) or (name_in_words(function.__name__), "")
    result = Symbol("", *returned)
    given = {
        name: Symbol(name, *(annotated(hints.get(name)) or (local_symbol(name), ""))) for name in parameters
    }
    # A record, a run say, has no symbol: what is worked out from one is told in words.
    numbers = {name for name in given if hints.get(name) in (None, float, int) or annotated(hints[name])}
    reader = _Reader(function=function, names={name: given[name] for name in numbers}, taken={result.symbol})
    body: tuple[Statement, ...] = ()
    in_words = unread = ""
    try:
        body = reader.read(result)
    except NoFormula as reason:
        in_words = declared_words(docstring) or _UNDECLARED
        unread = f"{_place(function, reason.line)}: {function.__name__}: {reason.construct}"
        reader.used = {}
    symbols = [
        *(SymbolMeaning(name=name, symbol=at.symbol, unit=at.unit) for name, at in given.items()),
        *reader.used.values(),
        SymbolMeaning(name=function.__name__, symbol=result.symbol, unit=result.unit, kind="result"),
    ]
    return FunctionSource(
        name=function.__name__,
        docstring=docstring,
        result=result,
        symbols=_explained(symbols, docstring),
        body=body,
        defaults={
            name: parameter.default
            for name, parameter in parameters.items()
            if parameter.default is not parameter.empty
        },
        in_words=in_words,
        unread=unread,
    )


def _explained(symbols: list[SymbolMeaning], docstring: str) -> tuple[SymbolMeaning, ...]:
    """The symbols with what the docstring says of each. What is named by a word says so itself, and what
    another formula gives is told by that one."""
    said = described(docstring, {row.symbol for row in symbols})
    explained = []
    for row in symbols:
        told = said.get(row.symbol)
        about, unit = (told.about, told.unit) if told else ("", "")
        if not about and row.kind == "between" and is_word(row.symbol):
            about = row.symbol
        explained.append(replace(row, about=about or row.about, unit=row.unit or unit))
    return tuple(explained)


def reading_fault(function: Callable[..., Any]) -> str:
    """What is wrong with how a formula is written, for whoever writes it; "" where nothing is."""
    source = read_function(function)
    declared = declared_words(source.docstring)
    if source.unread and not declared:
        return (
            f"{source.unread} is not read, so readers would see no formula. DEVELOPERS.md tells what to "
            "write instead (“What a formula is read from”). Or let the docstring say how the value is found: "
            "“In words: found by iteration.”"
        )
    if declared and not source.unread:
        return f"{_place(function, 1)}: {source.name}: “In words: {declared}.” of what is read as a formula"
    return ""


def _place(function: Callable[..., Any], line: int) -> str:
    """File and line of a line of a function, as far as they are known."""
    try:
        first = inspect.getsourcelines(function)[1]
    except (OSError, TypeError):
        return function.__module__
    return f"{function.__module__.replace('.', '/')}.py:{first + line - 1}"


def _declared(function: Callable[..., Any]) -> Expression | None:
    """What a formula computes that says so itself instead of having a source to read."""
    expression = getattr(function, "expression", None)
    return expression if isinstance(expression, Expression) else None


def _returns(body: tuple[Statement, ...]) -> bool:
    """Whether every way through ends with a result."""
    if not body:
        return False
    last = body[-1]
    return isinstance(last, Returned | Refusal) or (
        isinstance(last, Branch) and _returns(last.chosen) and _returns(last.rest)
    )


def _only_refuses(body: list[ast.stmt]) -> bool:
    """Whether the statements only guard: they raise, or call and keep nothing."""
    return all(
        isinstance(statement, ast.Raise | ast.Expr | ast.Pass | ast.Assert)
        or (
            isinstance(statement, ast.If)
            and _only_refuses(statement.body)
            and _only_refuses(statement.orelse)
        )
        for statement in body
    )


@dataclass(kw_only=True)
class _Reader:
    function: Callable[..., Any]
    names: dict[str, Symbol]
    taken: set[str]
    used: dict[str, SymbolMeaning] = field(default_factory=dict)
    written_out: dict[Call, Symbol] = field(default_factory=dict)
    ahead: list[Assigned] = field(default_factory=list)
    locals: dict[str, tuple[str, str]] = field(default_factory=dict)
    chosen: int = 0

    def __post_init__(self) -> None:
        self.taken |= {symbol.symbol for symbol in self.names.values()}

    def read(self, result: Symbol) -> tuple[Statement, ...]:
        """The function's statements. A formula that was declared brings what it computes."""
        if (declared := _declared(self.function)) is not None:
            return (Returned(declared),)
        try:
            tree = ast.parse(textwrap.dedent(inspect.getsource(self.function))).body[0]
        except (OSError, TypeError):
            raise NoFormula(None, "a function whose source is not at hand") from None
        if not isinstance(tree, ast.FunctionDef):
            raise NoFormula(tree, "a function that no def makes")
        self.reserve(tree.body, result)
        body = self.block(tree.body)
        if not _returns(body):
            raise NoFormula(tree.body[-1], "an end without a return")
        return body

    # --- statements -------------------------------------------------------------------

    def block(self, statements: list[ast.stmt]) -> tuple[Statement, ...]:
        read: list[Statement] = []
        for position, statement in enumerate(statements):
            match statement:
                case ast.Expr() | ast.Assert() | ast.Pass():
                    continue
                case ast.If() if _only_refuses(statement.body) and _only_refuses(statement.orelse):
                    continue
                case ast.If(test, body, orelse):
                    return (*read, *self.branch(test, body, orelse, statements[position + 1 :]))
                case ast.Raise():
                    return (*read, Refusal())
                case ast.Return(value) if value is not None:
                    expression = self.expression(value)
                    return (*read, *self.written_ahead(), _spread(expression, Returned))
                case ast.Assign([ast.Name(name)], value) | ast.AnnAssign(ast.Name(name), _, value) if value:
                    expression = self.expression(value)
                    read += self.written_ahead()
                    if name in self.names:
                        raise NoFormula(statement, f"a variable that is assigned again ({name})")
                    symbol = self.bind(name)
                    read.append(_spread(expression, partial(Assigned, symbol)))
                case _:
                    raise NoFormula(statement)
        return tuple(read)

    def branch(
        self, test: ast.expr, body: list[ast.stmt], orelse: list[ast.stmt], rest: list[ast.stmt]
    ) -> tuple[Statement, ...]:
        """An if with all that comes after it: what follows an arm that has returned belongs to the other."""
        condition = self.condition(test)
        ahead = self.written_ahead()
        self.chosen += 1  # nothing inside an arm is written ahead of the choice
        before = dict(self.names)
        chosen = self.block(body)
        after_chosen, self.names = self.names, before
        if _returns(chosen):
            otherwise, rest = self.block([*orelse, *rest]), []
        else:
            otherwise = self.block(orelse)
            if _returns(otherwise):
                self.names = after_chosen
                chosen, rest = (*chosen, *self.block(rest)), []
        self.chosen -= 1
        # Only what both arms have given is known after them.
        self.names = {name: symbol for name, symbol in after_chosen.items() if name in self.names}
        return (*ahead, Branch(condition, chosen, otherwise), *self.block(rest))

    def reserve(self, body: list[ast.stmt], result: Symbol) -> None:
        """Give every local variable a symbol of its own; one that is returned may have the result's."""
        nodes = [node for statement in body for node in ast.walk(statement)]
        returned = {
            node.value.id
            for node in nodes
            if isinstance(node, ast.Return) and isinstance(node.value, ast.Name)
        }
        for node in nodes:
            match node:
                case ast.Assign([ast.Name(name)]):
                    shown, unit = local_symbol(name), ""
                case ast.AnnAssign(ast.Name(name)):
                    shown, unit = _annotation(node.annotation) or (local_symbol(name), "")
                case _:
                    continue
            if name in self.locals:
                continue
            if shown == result.symbol and name in returned:
                unit = result.unit
            elif shown in self.taken:
                shown = self.other_symbol(name, shown)
            self.locals[name] = shown, unit
            self.taken.add(shown)
        said = described(inspect.getdoc(self.function) or "", self.taken)
        for name, (shown, unit) in self.locals.items():
            if not unit and shown in said:
                self.locals[name] = shown, said[shown].unit

    def other_symbol(self, name: str, taken: str) -> str:
        """What a variable is called whose symbol another quantity has: its name in words, or a prime."""
        words = name_in_words(name)
        if words in self.taken:
            return f"{taken}′"
        return words

    def bind(self, name: str) -> Symbol:
        """A new local variable."""
        shown, unit = self.locals[name]
        symbol = Symbol(name, shown, unit)
        self.names[name] = symbol
        self.used[name] = SymbolMeaning(name=name, symbol=shown, unit=unit, kind="between")
        return symbol

    def written_ahead(self) -> list[Assigned]:
        ahead, self.ahead = self.ahead, []
        return ahead

    # --- conditions -------------------------------------------------------------------

    def condition(self, node: ast.expr) -> Expression:
        match node:
            case ast.Compare(left, signs, terms) if all(type(sign) in _COMPARED for sign in signs):
                return Comparison(
                    tuple(_COMPARED[type(sign)] for sign in signs),
                    tuple(self.expression(term) for term in (left, *terms)),
                )
            case ast.BoolOp(word, terms):
                return Logic(_WORDS[type(word)], tuple(self.condition(term) for term in terms))
            case ast.UnaryOp(ast.Not(), of):
                return Not(self.condition(of))
        raise NoFormula(node)

    # --- expressions ------------------------------------------------------------------

    def expression(self, node: ast.expr) -> Expression:
        match node:
            case ast.Constant(int() | float() as value) if not isinstance(value, bool):
                return Literal(float(value))
            case ast.Name(name) if name in self.names:
                return self.names[name]
            case ast.Name() | ast.Attribute():
                return self.constant(node)
            case ast.UnaryOp(ast.USub(), of):
                return Negative(self.expression(of))
            case ast.UnaryOp(ast.UAdd(), of):
                return self.expression(of)
            case ast.BinOp(left, ast.Pow(), right):
                return _power(self.expression(left), self.expression(right))
            case ast.BinOp(left, sign, right) if type(sign) in _SIGNS:
                return Binary(_SIGNS[type(sign)], self.expression(left), self.expression(right))
            case ast.IfExp(test, chosen, otherwise):
                condition = self.condition(test)
                self.chosen += 1
                parts = self.expression(chosen), self.expression(otherwise)
                self.chosen -= 1
                return Conditional(condition, *parts)
            case ast.Call():
                return self.call(node)
        raise NoFormula(node)

    def constant(self, node: ast.Name | ast.Attribute) -> Expression:
        number, name, module = self.resolve(node)
        if not isinstance(number, int | float) or isinstance(number, bool):
            raise NoFormula(node)
        for value, shown in ((math.pi, "π"), (math.e, "e"), (math.inf, "∞")):
            if number == value:
                return Constant(shown, value)
        declared = getattr(module, "__annotations__", {}).get(name)
        if isinstance(declared, str):
            declared = _annotation(ast.parse(declared, mode="eval").body)
        else:
            declared = annotated(declared)
        if declared is None or (declared[0] in self.taken and name not in self.used):
            return Literal(float(number))
        self.taken.add(declared[0])
        self.used[name] = SymbolMeaning(
            name=name, symbol=declared[0], unit=declared[1], kind="constant", value=float(number)
        )
        return Symbol(name, *declared)

    def resolve(self, node: ast.expr) -> tuple[Any, str, ModuleType | None]:
        """What a name of the module stands for, what it is called where it was made, and where that is."""
        module = inspect.getmodule(self.function)
        match node:
            case ast.Name(name):
                if name in (scope := getattr(self.function, "__globals__", {})):
                    return scope[name], *_origin(module, name)
                if name in ("abs", "min", "max", "float"):
                    return {"abs": abs, "min": min, "max": max, "float": float}[name], name, None
            case ast.Attribute(of, name):
                holder = self.resolve(of)[0]
                if isinstance(holder, ModuleType) and hasattr(holder, name):
                    return getattr(holder, name), *_origin(holder, name)
        raise NoFormula(node)

    def call(self, node: ast.Call) -> Expression:
        for argument in node.args:
            if isinstance(argument, ast.Starred | ast.Lambda | ast.GeneratorExp | ast.ListComp):
                raise NoFormula(argument)
        try:
            called = self.resolve(node.func)[0]
        except NoFormula:
            raise NoFormula(node) from None
        known = callable(called) and (called in _KNOWN or called is float)
        of_math = getattr(called, "__module__", None) == "math" and len(node.args) == 1
        if known or of_math:
            if node.keywords:
                raise NoFormula(node)
            terms = tuple(self.expression(argument) for argument in node.args)
            if called is float:
                return terms[0]
            return Call(_KNOWN.get(called, called.__name__), terms, called)
        formula = inspect.isfunction(called) or _declared(called) is not None
        if not formula or called is self.function:
            raise NoFormula(node)
        parameters = list(inspect.signature(called).parameters)
        given = dict(zip(parameters, node.args, strict=False)) | {
            keyword.arg: keyword.value for keyword in node.keywords if keyword.arg
        }
        if set(given) != set(parameters):
            raise NoFormula(node)
        return self.other_formula(called, {name: self.expression(given[name]) for name in parameters})

    def other_formula(self, called: Callable[..., float], given: dict[str, Expression]) -> Expression:
        """Another formula: written out ahead under its own symbol, or put in, or left as a function."""
        source = read_function(called)
        call = Call(name_in_words(source.name), tuple(given.values()), called, elementary=False)
        if call in self.written_out:
            return self.written_out[call]
        symbol = Symbol(source.name, source.result.symbol, source.result.unit)
        about = source.symbols[-1].about or source.docstring.partition("\n")[0].rstrip(".")
        # Its symbol can be used here unless another quantity has it.
        free = symbol.symbol not in self.taken and source.name not in self.names
        match source.body:
            case (Returned(expression),):

                def put_in(part: Expression) -> Expression | None:
                    if not isinstance(part, Symbol):
                        return None
                    return given.get(part.name)

                written = rebuilt(expression, put_in)
                self.used |= {row.name: row for row in source.symbols if row.kind == "constant"}
                # Inside a choice it is put in: an equation ahead would be shown where it does not hold.
                if not free or self.chosen:
                    return written
                self.taken.add(symbol.symbol)
                self.ahead.append(Assigned(symbol, written))
                self.used[source.name] = SymbolMeaning(
                    name=source.name, symbol=symbol.symbol, unit=symbol.unit, kind="between", about=about
                )
                self.written_out[call] = symbol
                return symbol
        # It has branches or is told in words: shown as a function, f(Re, k).
        if free and (source.name not in self.used):
            call = Call(symbol.symbol, call.arguments, called, elementary=False)
        self.taken.add(call.name)
        self.used[source.name] = SymbolMeaning(
            name=source.name, symbol=call.name, unit=symbol.unit, kind="function", about=about
        )
        return call


def _power(base: Expression, exponent: Expression) -> Expression:
    """A power; one of a half as the root that a reader would write."""
    if exponent == Literal(0.5):
        return Call("sqrt", (base,), ELEMENTARY["sqrt"])
    return Power(base, exponent)


def _spread(expression: Expression, made: Callable[[Expression], Statement]) -> Statement:
    """A statement of one of two values as one of two statements."""
    if isinstance(expression, Conditional):
        chosen, otherwise = (_spread(part, made) for part in (expression.chosen, expression.otherwise))
        return Branch(expression.test, (chosen,), (otherwise,))
    return made(expression)


def _annotation(node: ast.expr) -> tuple[str, str] | None:
    """Symbol and unit of an ``Annotated[...]`` that is only source text."""
    match node:
        case ast.Subscript(_, ast.Tuple([_, ast.Constant(str(symbol)), ast.Constant(str(unit))])):
            return symbol, unit
    return None


@cache
def _imports(module: ModuleType) -> dict[str, tuple[str, str]]:
    """The names that a module imports from others: (module, name there)."""
    try:
        tree = ast.parse(inspect.getsource(module))
    except (OSError, TypeError):
        return {}
    return {
        alias.asname or alias.name: (statement.module, alias.name)
        for statement in tree.body
        if isinstance(statement, ast.ImportFrom) and statement.module
        for alias in statement.names
    }


def _origin(module: ModuleType | None, name: str) -> tuple[str, ModuleType | None]:
    """The name a thing was given where it was made, and that module."""
    if module is not None and name in (imports := _imports(module)):
        where, original = imports[name]
        return original, sys.modules.get(where)
    return name, module
