"""Formulae of readings of any quantity, told in the unit of the readings at hand.

Only who reads the working sees the difference: a reader's browser takes the formula as it is.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from types import FunctionType
from typing import Annotated, Any, TypeVar, cast, get_type_hints

Formula = TypeVar("Formula", bound=Callable[..., float])

MADE_BY = "made_by"
"""Where such a formula holds who made it, and of what: it stands nowhere under a name."""


def made_once(maker: Callable[..., Formula]) -> Callable[..., Formula]:
    """A maker of formulae that makes one for each unit, and lets it say what it was made of."""

    @cache
    @wraps(maker)
    def made(*parts: Any) -> Formula:
        formula = maker(*parts)
        vars(formula)[MADE_BY] = (maker.__module__, maker.__qualname__, *parts)
        return formula

    return made


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
