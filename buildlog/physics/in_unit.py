"""Formulae of readings of any quantity, told in the unit of the readings at hand.

Only who reads the working sees the difference: a reader's browser takes the formula as it is.
"""

from __future__ import annotations

from collections.abc import Callable
from types import FunctionType
from typing import Annotated, cast, get_type_hints

from buildlog.formulae.made_once import made_once


@made_once
def in_unit(formula: Callable[..., float], unit: str, *parts: str) -> Callable[..., float]:
    """The same formula for readings in a coherent SI unit, which its result has, and the parameters that
    `parts` name."""
    written = cast(FunctionType, formula)
    copy = FunctionType(written.__code__, written.__globals__, written.__name__)
    copy.__doc__, copy.__module__ = written.__doc__, written.__module__
    hints = get_type_hints(written, include_extras=True)
    for name in (*parts, "return"):
        hints[name] = Annotated[float, hints[name].__metadata__[0], unit]
    copy.__annotations__ = hints
    return copy
