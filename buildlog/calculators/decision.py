"""What the work had to achieve, and which option achieves it.

Write the requirements before the numbers are known, and let conclusions in words rest on them: the page then
cannot say *enough* of what is not. Each row of `requires` holds one value against one limit, the least that
is asked (`at_least`) or the most that is allowed (`at_most`). Value and limit are what any block of the site
has computed or was given, `calc:shorter-final.rpm_at.2`, or a value with its unit, measured ones with their
doubt: `1195 ± 2 kg`. Both have the same dimension, whichever that is.

**Options** are the things to choose from. `options: {old: before, new: after}` names each with the case of
other blocks that it stands for: an address that names no case, of a block that has several, means the
option's own; an address that names one means that one for every option. What differs otherwise is written
out, an option each: `value: {old: 1210 kg, new: 1195 ± 2 kg}`. `chosen` is the option you went for. It is an
error that it fails a requirement, and a warning that it is too close to call.

**Verdicts.** The margin is how far the value is on the good side of the limit; a negative one is a miss. Its
uncertainty is that of value and limit together, and what both rest on cancels. Where draws found that the
value may be off further to one side, the margin may too, and its end on the side of the limit counts.

| verdict | when |
|---|---|
| holds | the margin is zero or more, and no smaller than its expanded uncertainty |
| fails | it is a miss, and one no smaller than that |
| too close to call | the margin or the miss is smaller than its expanded uncertainty |

This is the guarded decision rule of JCGM 106, with guard bands of U = k·u on both sides of the limit and k =
2, as everywhere here: what holds, holds with 97.7 %. How sure you must be is yours to say, row by row: `sure:
99 %`. An option fails with its first requirement that fails, and is too close to call where none fails and
some are.

**Figures and words.** A row is addressed by its name, with hyphens for blanks, or by its `key`. For
`[](calc:ID.KEY)` a number is the row's margin, a word its verdict, of the chosen option; `calc:ID.OPTION.KEY`
is another's, and `calc:ID.OPTION` the verdict over all rows. So `[enough](calc:choice.second-gear)` is wrong
as soon as it is not.

**Limits.** All requirements count alike, and each by itself: this adds no marks up. A value without an
uncertainty counts as exact, so that the verdict is no surer than the block that it came from.

```yaml
id: choice
kind: decision
title: Steel flywheel or light one
requires:
  - name: idles no faster than the steward allows
    key: idle
    value: {steel: 780 ± 20 rpm, light: 905 ± 20 rpm}
    at_most: 950 rpm
  - name: saves mass at the crank
    key: mass
    value: {steel: 0 g, light: 3410 ± 10 g}
    at_least: 2.5 kg
  - name: stays within the budget
    key: cost
    value: {steel: 0 EUR, light: 389 ± 2 EUR}
    at_most: 400 EUR
    sure: 99 %
options: [steel, light]
chosen: light
```
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict
from buildlog.figures import units
from buildlog.kinds.declaration import (
    OWN_DIMENSION,
    Axis,
    CaseView,
    ChartSpec,
    Input,
    Marker,
    Measure,
    Number,
    Output,
    Outputs,
    Quantity,
    Series,
    Source,
    Table,
    Text,
    Working,
)
from buildlog.kinds.results import Value, of_differences
from buildlog.kinds.verdicts import CLOSE, FAILS, HOLDS, overall_verdict, requirement_key
from buildlog.physics import requirement

KIND = "decision"

INPUTS = (
    Input(
        name="requires",
        title="requirements",
        form=Table(
            (
                Input(name="name", form=Text(80), about="what has to be achieved, as a reader would say it"),
                Input(
                    name="key",
                    form=Text(40),
                    about="a shorter name for addresses; name if left out",
                    required=False,
                ),
                Input(name="value", form=Quantity(), about="what is held against the limit"),
                Input(
                    name="at_least",
                    title="lower limit",
                    form=Quantity(like="value"),
                    about="the least that is asked; this or at_most",
                    required=False,
                ),
                Input(
                    name="at_most",
                    title="upper limit",
                    form=Quantity(like="value"),
                    about="the most that is allowed; this or at_least",
                    required=False,
                ),
                Input(
                    name="sure",
                    title="required probability",
                    form=Number(
                        dimension="ratio",
                        unit="%",
                        low=60,
                        high=99.99,
                        why="near one half is a guess, and nothing measured is certain",
                    ),
                    about="one-sided probability with which it has to hold; 97.7 % (k = 2) if left out",
                    required=False,
                ),
            ),
            longest=40,
        ),
        about="the requirements, a row each",
    ),
)

OUTPUTS = (
    Output(
        name="margin",
        title="margin to the limit",
        dimension=OWN_DIMENSION,
        unit="",
        about="on the good side of the limit where it is above 0",
        key="requirement",
    ),
    Output(
        name="value",
        title="value held against the limit",
        dimension=OWN_DIMENSION,
        unit="",
        about="value",
        key="requirement",
    ),
    Output(
        name="limit",
        title="limit of the requirement",
        dimension=OWN_DIMENSION,
        unit="",
        about="limit",
        key="requirement",
    ),
    Output(
        name="verdict",
        title="verdict on the requirement",
        dimension="text",
        unit="",
        about="whether it holds",
        key="requirement",
    ),
    Output(
        name="overall",
        title="verdict on all requirements",
        dimension="text",
        unit="",
        about="whether all hold",
    ),
)

SOURCES = (
    Source(
        id="jcgm-106",
        title="JCGM 106, The role of measurement uncertainty in conformity assessment",
        publisher="JCGM",
        edition="2012",
        where="8.3 guarded decision rules, as ILAC-G8:09/2019, 4.1 and 4.2.3, has them (read); "
        "7.3.2 probability of conformity, from memory",
    ),
    Source(id="definition", title="Definition of the margin", standing="derived"),
)

HAZARDS = ("own-limits",)

_ROUNDING = 1e-12
_WORDS = ("margin", "value", "limit", "verdict", "overall")


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """The margin of every requirement; SI in, SI out."""
    margins: dict[str, float] = {}
    values: dict[str, float] = {}
    limits: dict[str, float] = {}
    for index, row in enumerate(given["requires"]):
        key = requirement_key(row)
        _check_key(key, margins, (index, "key" if "key" in row else "name"))
        formula, limit = _limit_of(row, index)
        value = row["value"]
        values[key], limits[key] = value, limit
        if "sure" in row:
            name = f"coverage_factor.{key}"
            working.step(name, requirement.coverage_factor, source="jcgm-106", probability=row["sure"])
        margin = working.step(
            f"margin.{key}", formula(_si_unit(value)), source="definition", value=value, limit=limit
        )
        margins[key] = _as_margin(margin, value, limit)
    return {"margin": margins, "value": values, "limit": limits}


def _check_key(key: str, taken: Mapping[str, float], at: tuple[int, str]) -> None:
    """Refuse a row that no address could name."""
    what = ""
    if not key:
        what = "a name without letters or digits"
    elif key in _WORDS:
        what = f"“{key}”, a word of the decision's own"
    elif key in taken:
        what = f"“{key}”, the name of two rows"
    if what:
        raise InputsConflict("requires", what, "a name of its own", help="give the row a key", at=at)


def _limit_of(row: Mapping[str, Any], index: int) -> tuple[Callable[[str], Callable[..., float]], float]:
    """The formula of a row's margin, and its limit."""
    if "at_least" in row and "at_most" in row:
        found = f"at_least and at_most of “{row['name']}”"
        help = "write two rows, one for each limit"
        raise InputsConflict("requires", found, "one of them", help=help, at=(index, "at_most"))
    if "at_least" in row:
        return requirement.margin_above, row["at_least"]
    if "at_most" in row:
        return requirement.margin_below, row["at_most"]
    raise InputsConflict("requires", f"no limit of “{row['name']}”", "at_least or at_most", at=(index,))


def _si_unit(value: float) -> str:
    """The coherent SI unit of a value, for the working. A value that is moved to find an uncertainty has
    none, and no reader."""
    return units.si_unit(value.dimension).symbol if isinstance(value, Measure) else ""


def _as_margin(margin: float, value: float, limit: float) -> float:
    """A margin in its value's unit, with the decimals of whichever of the two has more."""
    if not isinstance(value, Measure):
        return margin
    decimals = value.decimals
    if isinstance(limit, Measure) and limit.unit == value.unit:
        decimals = max(decimals, limit.decimals)
    return Measure(margin, *of_differences(value.dimension, value.unit), decimals)


def conclude(given: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, str | dict[str, str]]:
    """The verdict on each requirement, and over all."""
    verdicts = {}
    for row in given["requires"]:
        key = requirement_key(row)
        margin, sizes = values["margin"][key], [abs(values[name][key].si) for name in ("value", "limit")]
        factor = requirement.coverage_factor(row["sure"]) if "sure" in row else 2.0
        verdicts[key] = _verdict(margin, factor, _ROUNDING * max(sizes))
    return {"verdict": verdicts, "overall": overall_verdict(verdicts.values())}


def _verdict(margin: Value, factor: float, rounding: float) -> str:
    """`rounding` is what arithmetic alone may make of a margin of nothing."""
    low, high = margin.ends
    toward = margin.si - low if margin.si >= 0 else high - margin.si
    doubt = factor / 2 * toward
    if doubt > rounding and abs(margin.si) < doubt:
        return CLOSE
    return HOLDS if margin.si >= -rounding else FAILS


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """The margins as shares of their limits, in the order of the rows."""
    series = []
    for style, (name, case) in enumerate(cases.items()):
        margins, limits = case.outputs["margin"], case.outputs["limit"]
        numbered = [(number, key) for number, key in enumerate(margins, start=1) if limits[key]]
        if numbered:
            series.append(
                Series(
                    label=name or "margin",
                    x=[float(number) for number, _ in numbered],
                    y=[margins[key] / abs(limits[key]) for _, key in numbered],
                    style=style,
                    points_only=True,
                )
            )
    if not series:
        return None
    return ChartSpec(
        title="Margins, as shares of their limits",
        description="Each requirement by its number, in the order of the table; below zero it is missed.",
        x=Axis("requirement", "count", "", from_zero=True),
        y=Axis("margin of the limit", "ratio", "%"),
        series=tuple(series),
        markers=(Marker("limit", y=0.0),),
    )
