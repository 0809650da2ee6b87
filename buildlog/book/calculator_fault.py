"""When a calculator breaks down: a mistake of ours, told as a bug report and never as one of the author's."""

from __future__ import annotations

import re
from collections.abc import Mapping
from numbers import Real
from traceback import walk_tb
from types import FrameType

from buildlog.diagnostics import Diagnostic, Position, declare, shorten
from buildlog.kinds.declaration import Output, Outputs
from buildlog.kinds.kind import Kind

_OURS = re.compile(r"buildlog\.(?!book\.)")

CALCULATOR_FAULT = declare(
    "calculator-fault",
    "the calculator broke down: a fault of buildlog, not of the page",
    why="Nothing is known about a result that the calculator did not finish, so that none is published.",
    mend="Report it as a fault of buildlog, with this message and the block as it stands; until it is "
    "mended, other inputs may do, or leave the block out.",
    example="gearing: ZeroDivisionError: float division by zero, raised in …",
)


def calculator_fault(kind: Kind, error: Exception, position: Position) -> Diagnostic:
    """The finding for an exception of a calculator that is none of our refusals."""
    what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    return CALCULATOR_FAULT.at(
        position,
        found=f"{kind.name}: {shorten(what, 200)}, raised in {_raised_in(error)}",
        expected="a result, or a refusal that names an input",
        length=len("```yaml calc"),
    )


def check_outputs(outputs: Outputs, declared: Mapping[str, Output]) -> None:
    """Raise `TypeError` where `compute` gives what the kind does not declare: a mistake of ours, which would
    otherwise be a value that no figure can rest on."""
    for name, value in outputs.items():
        output = declared.get(name)
        if output is None:
            raise TypeError(f"compute gives {name}, which OUTPUTS does not declare")
        if isinstance(value, str) != (output.dimension == "text"):
            raise TypeError(f"{name} is {value!r}, and its dimension is {output.dimension}")
        if isinstance(value, dict) != bool(output.key):
            raise TypeError(f"{name} is {value!r}, and its key is {output.key or 'none'}")
        numbers = value.values() if isinstance(value, dict) else [value]
        if output.dimension != "text" and not all(isinstance(number, Real) for number in numbers):
            raise TypeError(f"{name} is {value!r}, which is no real number")


def _raised_in(error: Exception) -> str:
    """The function and line that raised, and those of the calculator that called it."""
    frames = [(frame, line) for frame, line in walk_tb(error.__traceback__)]
    # Not the frames of a package that was called, nor those of the book that runs every calculator.
    ours = [place for place in frames if _OURS.match(_module(place[0]))] or frames
    calculators = [place for place in ours if _module(place[0]).startswith("buildlog.calculators.")]
    raised = _place(*ours[-1])
    if not calculators or calculators[-1] == ours[-1]:
        return raised
    return f"{raised}, called from {_place(*calculators[-1])}"


def _module(frame: FrameType) -> str:
    return str(frame.f_globals.get("__name__", ""))


def _place(frame: FrameType, line: int) -> str:
    # From the module's name, so that the same fault reads the same wherever buildlog is installed.
    return f"{frame.f_code.co_qualname} ({_module(frame).replace('.', '/')}.py:{line})"
