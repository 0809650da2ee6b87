"""Makers of formulae: one for each unit, which stands nowhere under a name and says who made it."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from typing import Any, TypeVar

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
