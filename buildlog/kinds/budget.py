"""What the uncertainty of a result is made of: its two parts in words, and its budget, with what halving each
doubt would bring."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import sqrt

from buildlog.figures import units
from buildlog.figures.labels import write_number
from buildlog.figures.spread import decimals_of_uncertainty, rounded
from buildlog.kinds.results import BENT, CaseResult, Value
from buildlog.said import listed, said

LEAST = 0.05
"""Of the variance: what is too little to be named."""
SEVERAL = said("several together")
"""What a line is called that no single error explains: draws of a result that several bend together."""
_MOST_STATED = 2
_NOISE = 1e-9
"""Relative to the whole uncertainty: a part that small is made by the rounding of arithmetic."""


def amount_in_words(value: Value, expanded: float) -> str:
    """An expanded uncertainty, SI, in the value's unit, to two digits (JCGM 100:2008, 7.2.6); or ""."""
    unit = units.find(value.unit, value.dimension)
    amount = abs(unit.from_si_difference(expanded))
    if not amount:
        return ""
    place = decimals_of_uncertainty(amount)
    symbol = unit.difference_symbol()
    return f"{write_number(rounded(amount, place), max(0, place))}\u00a0{symbol}".rstrip()


def part_in_words(value: Value, part: float) -> str:
    """A part of the value's own expanded uncertainty, SI, as `amount_in_words`; "" where it is rounding."""
    return amount_in_words(value, part) if part > _NOISE * value.expanded_uncertainty else ""


def parts_in_words(value: Value) -> str:
    """The two parts of an uncertainty where there are two: ``from inputs 0.4 m, of the method 0.8 m``."""
    inputs = part_in_words(value, value.expanded_of_inputs)
    method = part_in_words(value, value.expanded_of_method)
    if not (inputs and method):
        return ""
    return said("from inputs {inputs}, of the method {method}", inputs=inputs, method=method)


@dataclass(frozen=True, kw_only=True)
class BudgetLine:
    """What one doubt, or several of one name, brings to the uncertainty of a value; amounts are SI.

    `stated` is how far it is off in its author's or the method's words, "" where there are none. `alone` is
    the expanded uncertainty that the value would have if nothing else were doubtful, `share` its part of the
    variance. `halved` is the expanded uncertainty that would be left of all if this doubt were half as large,
    None of what no single error explains. `together` is how many small ones a line sums up, else 0.
    """

    name: str
    stated: str
    alone: float
    share: float
    halved: float | None
    together: int = 0


@dataclass
class _Errors:
    """The variance that all errors of one name bring: what goes straight with them, what with their square,
    and what is left of draws that only several of them explain."""

    straight: float = 0.0
    bent: float = 0.0
    rest: float = 0.0
    stated: dict[str, None] = field(default_factory=dict)

    @property
    def variance(self) -> float:
        return self.straight + self.bent + self.rest

    @property
    def saved(self) -> float:
        """The variance that goes when each is half as large: an error's own part goes with its square, that
        of its square with the fourth power. What only several explain is nobody's to halve."""
        return 0.75 * self.straight + 0.9375 * self.bent


def budget_lines(case: CaseResult, value: Value) -> tuple[BudgetLine, ...]:
    """The budget of a value, the most first: what is below `LEAST` of its variance is one line, the last.

    Contributions are of errors, each independent of the others (JCGM 100:2008, 5.1.2); one that several
    inputs share is one error with all of its ways added up before they are squared (5.2.2, F.1.2).
    """
    errors = _errors(case, value)
    total = sum(one.variance for one in errors.values())
    ordered = sorted(errors.items(), key=lambda item: -item[1].variance)
    large = [(name, one) for name, one in ordered if one.variance >= LEAST * total]
    small = [(name, one) for name, one in ordered[len(large) :] if one.variance > _NOISE**2 * total]
    lines = [_line(name, one, total) for name, one in (large if len(small) > 1 else [*large, *small])]
    if len(small) > 1:
        summed = _Errors(
            straight=sum(one.straight for _, one in small),
            bent=sum(one.bent for _, one in small),
            rest=sum(one.rest for _, one in small),
        )
        lines.append(
            replace(_line(said("{count} smaller ones", count=len(small)), summed, total), together=len(small))
        )
    return tuple(lines)


def budget(case: CaseResult, value: Value) -> list[tuple[str, int]]:
    """What the uncertainty of a value mostly comes from, the most first, in percent of its variance."""
    return [
        (line.name, round(100 * line.share))
        for line in budget_lines(case, value)
        if not line.together and line.share >= LEAST
    ]


def _errors(case: CaseResult, value: Value) -> dict[str, _Errors]:
    found: dict[str, _Errors] = {}
    for contribution, part in value.contributions.items():
        bent = contribution.endswith(BENT) and contribution not in case.origins
        origin = contribution.removesuffix(BENT) if bent else contribution
        errors = found.setdefault(_name(case, origin), _Errors())
        if bent:
            errors.bent += part * part
        elif origin in case.doubted or origin in case.origins:
            errors.straight += part * part
        else:
            errors.rest += part * part
        if stated := _stated(case, origin):
            errors.stated[stated] = None
    return found


def _line(name: str, errors: _Errors, total: float) -> BudgetLine:
    stated = list(errors.stated)
    return BudgetLine(
        name=name,
        stated=listed(stated, "; ")
        if len(stated) <= _MOST_STATED
        else said("{first} and {count} more", first=stated[0], count=len(stated) - 1),
        alone=2 * sqrt(errors.variance),
        share=errors.variance / total,
        halved=2 * sqrt(total - errors.saved) if errors.saved else None,
    )


def _name(case: CaseResult, origin: str) -> str:
    if origin in case.doubted:
        doubt = case.doubted[origin]
        return said(doubt.about) if doubt.own else said("{about} (method)", about=said(doubt.about))
    return case.origins.get(origin, SEVERAL)


def _stated(case: CaseResult, origin: str) -> str:
    if origin in case.doubted:
        return case.doubted[origin].size()
    return case.stated.get(origin, "")
