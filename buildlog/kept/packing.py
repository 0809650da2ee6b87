"""Records as bytes and back, for what is kept on disk.

What the program itself holds (a kind, what it declares, a formula) goes by its name and comes back as the
same object. Places in a block's own page go by their distance from the block, so that a block is found again
wherever it now stands. Nothing but records of ours and plain values is ever made of bytes.
"""

from __future__ import annotations

import builtins
import copyreg
import io
import pickle
import sys
from array import array
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from hashlib import sha256
from importlib import import_module
from types import FunctionType, MappingProxyType
from typing import Any

from buildlog.diagnostics import CODES, Code, Position
from buildlog.files.text import Lines
from buildlog.formulae.made_once import MADE_BY
from buildlog.kinds import catalogue
from buildlog.kinds.kind import Kind

_PROTOCOL = 5
_OURS = "buildlog."
_PLAIN = {
    ("builtins", "set"),
    ("builtins", "frozenset"),
    ("builtins", "range"),
    ("collections", "OrderedDict"),
    ("datetime", "date"),
    ("decimal", "Decimal"),
    ("fractions", "Fraction"),
}
_PATHS = {("pathlib", name) for name in ("Path", "PosixPath", "WindowsPath", "PurePosixPath")}
_DECLARED = ("inputs", "outputs", "sources", "doubts")


class Unpackable(Exception):
    """Something cannot be kept as bytes, or bytes are not what was kept."""


def pack(thing: object, base: Position | None = None) -> bytes:
    """A thing as bytes. Places in the file of `base` are counted from its line. Raises `Unpackable`."""
    made = io.BytesIO()
    try:
        _Packer(made, base).dump(thing)
    except Exception as error:  # what cannot be kept is made again, whatever the reason
        raise Unpackable(str(error)) from error
    return made.getvalue()


def fingerprint(
    thing: object, known: Callable[[Any], str | None] = lambda thing: None, *, base: Position | None = None
) -> str:
    """A digest of what a thing says, which is the same in every run; what is `known` goes by its own, and
    places in the file of `base` by their distance. Raises `Unpackable`."""
    made = io.BytesIO()
    packer = _Packer(made, base, known)
    packer.fast = True  # what is equal may be one object or two
    try:
        packer.dump(thing)
    except Exception as error:
        raise Unpackable(str(error)) from error
    return sha256(made.getvalue()).hexdigest()


def unpack(content: bytes, base: Position | None = None) -> Any:
    """The thing that was packed, its places in the file of `base` counted from there. Raises `Unpackable`."""
    try:
        return _Unpacker(io.BytesIO(content), base).load()
    except Exception as error:  # bytes that were signed for another program can fail in any way
        raise Unpackable(str(error)) from error


class _Packer(pickle.Pickler):
    def __init__(
        self,
        file: io.BytesIO,
        base: Position | None,
        known: Callable[[Any], str | None] = lambda thing: None,
    ) -> None:
        super().__init__(file, _PROTOCOL)
        self._base = base
        self._known = known

    def reducer_override(self, thing: Any) -> Any:
        """How a thing is made again: a maker and what it takes. What is not ours to say is packed as ever."""
        kind = type(thing)
        if (known := self._known(thing)) is not None:
            return _code, (known,)
        if isinstance(thing, type) or (kind is FunctionType and thing in _MAKERS):
            return NotImplemented
        if kind is Position:
            return self._place(thing)
        if kind in _REDUCED:
            return _REDUCED[kind](thing)
        if isinstance(thing, float):  # a number that remembers something more
            return _number, (kind, float(thing)), vars(thing)
        if callable(thing) and hasattr(thing, "__qualname__"):
            made_by = vars(thing).get(MADE_BY)
            return (_made, made_by) if made_by else (_named, _name_of(thing))
        if kind.__module__ == "numpy" and hasattr(thing, "tobytes"):
            return _numbers, (thing.dtype.str, thing.shape, thing.tobytes())
        if (place := _declared_places().get(id(thing))) is not None:
            return _declared, place
        return _fields_of(thing) if is_dataclass(kind) else NotImplemented

    def _place(self, position: Position) -> Any:
        if self._base is None or position.path != self._base.path:
            return Position, (position.path, position.line, position.column)
        return _moved, (position.line - self._base.line, position.column)


def _fields_of(thing: Any) -> Any:
    """A record without what it has worked out of its fields and remembers."""
    held = getattr(thing, "__dict__", None)
    named = {one.name for one in fields(thing)}
    if held is None or held.keys() <= named:
        return NotImplemented
    return copyreg.__newobj__, (type(thing),), {name: held[name] for name in held if name in named}  # type: ignore[attr-defined]


class _Unpacker(pickle.Unpickler):
    def __init__(self, file: io.BytesIO, base: Position | None) -> None:
        super().__init__(file)
        self._base = base

    def find_class(self, module: str, name: str) -> Any:
        if module == __name__ and name == "_moved":
            return self._place
        if module == __name__ and name in {maker.__name__ for maker in _MAKERS}:
            return globals()[name]
        if (module, name) in _PLAIN or (module, name) in _PATHS:
            return getattr(builtins if module == "builtins" else import_module(module), name)
        if module.startswith(_OURS):
            found = getattr(import_module(module), name, None)
            if isinstance(found, type) and (
                is_dataclass(found) or issubclass(found, Enum | tuple | float | int | str)
            ):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no record of ours")

    def _place(self, lines: int, column: int) -> Position:
        if self._base is None:
            raise pickle.UnpicklingError("a place without a base")
        return Position(self._base.path, self._base.line + lines, column)


def _moved(lines: int, column: int) -> Position:
    """Stands for a place that is counted from a base; each reader has its own."""
    raise pickle.UnpicklingError("a place without a base")


def _name_of(function: Callable[..., Any]) -> tuple[str, str]:
    """Module and name of a function that the program holds under that name."""
    module, name = function.__module__, function.__qualname__
    if not module.startswith(_OURS) or getattr(sys.modules.get(module), name, None) is not function:
        raise pickle.PicklingError(f"{module}.{name} is not held under its name")
    return module, name


def _named(module: str, name: str) -> Callable[..., Any]:
    found = getattr(import_module(module), name, None) if module.startswith(_OURS) else None
    if not callable(found) or isinstance(found, type):
        raise pickle.UnpicklingError(f"no function {module}.{name}")
    return found  # type: ignore[no-any-return]


@cache
def _declared_places() -> dict[int, tuple[str, str, int]]:
    """Where kinds declare things, by the identity of these; kinds are never let go of."""
    return {
        id(thing): (name, where, number)
        for name in catalogue.kind_names()
        for where in _DECLARED
        for number, thing in enumerate(getattr(catalogue.load_kind(name), where))
    }


def _declared(kind: str, where: str, number: int) -> Any:
    if where not in _DECLARED:
        raise pickle.UnpicklingError(f"kinds declare no {where}")
    return getattr(catalogue.load_kind(kind), where)[number]


def _kind(name: str) -> Kind:
    return catalogue.load_kind(name)


def _number(kind: type[float], value: float) -> float:
    return float.__new__(kind, value)


def _lines(text: str) -> Lines:
    return Lines(text)


def _code(name: str) -> Code:
    return CODES[name]


def _unchanging(mapping: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(mapping)


def _array(code: str, content: bytes) -> array[Any]:
    return array(code, content)


def _numbers(form: str, shape: tuple[int, ...], content: bytes) -> Any:
    import numpy  # only where logs are read

    return numpy.frombuffer(content, numpy.dtype(form)).reshape(shape).copy()


def _made(module: str, maker: str, *parts: Any) -> Callable[..., float]:
    """A formula that is made for a unit."""
    made = _named(module, maker)(*parts)
    if MADE_BY not in vars(made):
        raise pickle.UnpicklingError(f"{module}.{maker} makes no formulae")
    return made  # type: ignore[no-any-return]


_MAKERS = (_unchanging, _moved, _named, _declared, _kind, _number, _array, _numbers, _made, _lines, _code)
_REDUCED: dict[type, Callable[[Any], Any]] = {
    array: lambda thing: (_array, (thing.typecode, thing.tobytes())),
    Code: lambda thing: (_code, (thing.name,)),
    Kind: lambda thing: (_kind, (thing.name,)),
    Lines: lambda thing: (_lines, (thing.text,)),
    MappingProxyType: lambda thing: (_unchanging, (dict(thing),)),
}
