"""What a job takes: parts fitted and removed, their mass and their cost.

One row is one line of the bill: what it is, how many, the mass of one and the price of one. Figures in the
text call a line by its name, with hyphens for blanks: `line_mass.hose-clamp`. `action`
says whether the part goes on (`fitted`) or comes off (`removed`). Only what is fitted is paid for; a
removed part may carry a mass, and no price. `origin` tells bought parts from made ones, whose price is
what their material cost. `reversible` says whether the car can be put back: a part that needs a hole
where there was none is not.

Weigh the parts rather than trust a catalogue, and give the scale's uncertainty with the mass
(`1.24 ± 0.01 kg`): the change in mass is a difference of two larger numbers, and is less certain than
either. Where the car gets no lighter there is no price of a kilogram saved, and none is shown.

Each currency is a dimension of its own. A bill is in one; convert foreign invoices first, at the rate of
the day, and say so.

```yaml
id: duct-parts
kind: parts
inputs:
  currency: EUR
  parts:
    - {name: aluminium duct, mass: 0.84 ± 0.01 kg, price: 31 EUR, origin: made}
    - {name: hose clamp, quantity: 4, mass: 35 g, price: 2.40 EUR}
    - {name: old air box, action: removed, mass: 2.10 ± 0.01 kg}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Flag,
    Input,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Table,
    Text,
    Whole,
    Working,
)
from buildlog.kinds.keys import row_keys
from buildlog.kinds.money import CURRENCIES
from buildlog.physics import bill

KIND = "parts"

_MASS = Number(dimension="mass", unit="kg", low=0, high=500, why="parts of a car that people lift")
_PRICE = Number(dimension="money", unit="", low=0, high=1_000_000, why="parts of a car")

INPUTS = (
    Input(
        name="currency",
        form=Choice(CURRENCIES),
        about="currency of all prices of the bill (ISO 4217)",
    ),
    Input(
        name="parts",
        form=Table(
            (
                Input(name="name", form=Text(80), about="what it is"),
                Input(
                    name="quantity",
                    form=Whole(1, 1000, "pieces in one line"),
                    about="how many",
                    default="1",
                    default_source="one piece",
                ),
                Input(name="mass", form=_MASS, about="mass of one", required=False),
                Input(name="price", form=_PRICE, about="price of one, or of its material", required=False),
                Input(
                    name="action",
                    form=Choice({"fitted": "goes on the car", "removed": "comes off the car"}),
                    about="which way it goes",
                    default="fitted",
                    default_source="most lines of a bill",
                ),
                Input(
                    name="origin",
                    form=Choice({"bought": "bought", "made": "made in the workshop"}),
                    about="where it comes from",
                    default="bought",
                    default_source="most lines of a bill",
                ),
                Input(
                    name="reversible",
                    form=Flag(),
                    about="whether the car can be put back to what it was",
                    default="yes",
                    default_source="bolt-on parts",
                ),
            )
        ),
        about="the lines of the bill",
    ),
)

OUTPUTS = (
    Output(
        name="line_mass",
        dimension="mass",
        unit="kg",
        about="mass of each line",
        decimals=2,
        key="line",
        of="parts",
    ),
    Output(
        name="line_cost",
        dimension="money",
        unit="",
        about="cost of each line",
        decimals=2,
        key="line",
        of="parts",
    ),
    Output(name="mass_fitted", dimension="mass", unit="kg", about="mass of what goes on", decimals=2),
    Output(name="mass_removed", dimension="mass", unit="kg", about="mass of what comes off", decimals=2),
    Output(
        name="mass_change",
        dimension="mass",
        unit="kg",
        about="change of the car's mass; known only where every line has one",
        decimals=2,
        is_change=True,
    ),
    Output(name="cost_bought", dimension="money", unit="", about="cost of bought parts", decimals=2),
    Output(name="cost_made", dimension="money", unit="", about="material of parts made", decimals=2),
    Output(name="cost_total", dimension="money", unit="", about="cost of all that is fitted", decimals=2),
    Output(
        name="cost_per_kilogram_saved",
        dimension="money per mass",
        unit="",
        about="cost of a kilogram saved",
        decimals=0,
    ),
    Output(name="reversibility", dimension="text", unit="", about="whether the car can be put back"),
)

SOURCES = (Source(id="arithmetic", title="Sums and products of the bill's lines", standing="derived"),)

HAZARDS = ("fasteners",)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Masses and costs of the bill; money in the block's own currency."""
    rows: list[dict[str, Any]] = given["parts"]
    masses: dict[str, float] = {}
    costs: dict[str, float] = {}
    keys = row_keys("parts", rows)
    _check_prices(rows)
    for key, row in zip(keys, rows, strict=True):
        quantity = float(row["quantity"])
        if "mass" in row:
            masses[key] = working.step(
                f"line_mass.{key}", bill.line_mass, source="arithmetic", quantity=quantity, mass=row["mass"]
            )
        if "price" in row:
            costs[key] = working.step(
                f"line_cost.{key}", bill.line_cost, source="arithmetic", quantity=quantity, price=row["price"]
            )
    outputs: Outputs = {}
    if masses:
        outputs["line_mass"] = dict(masses)
    if costs:
        outputs["line_cost"] = dict(costs)

    by_key = dict(zip(keys, rows, strict=True))

    def chosen(values: dict[str, float], **wanted: str) -> list[float]:
        return [
            value
            for key, value in values.items()
            if all(by_key[key][name] == word for name, word in wanted.items())
        ]

    for name, action in (("mass_fitted", "fitted"), ("mass_removed", "removed")):
        outputs[name] = working.step(
            name, bill.total_mass, chosen(masses, action=action), source="arithmetic"
        )
    for name, origin in (("cost_bought", "bought"), ("cost_made", "made")):
        outputs[name] = working.step(name, bill.total_cost, chosen(costs, origin=origin), source="arithmetic")
    total = outputs["cost_total"] = working.step(
        "cost_total", bill.total_cost, list(costs.values()), source="arithmetic"
    )
    _missing(rows, working)
    if len(masses) == len(rows):  # a sum with lines left out would be no change of the car's mass
        _mass_change(total, working, outputs)
    outputs["reversibility"] = _reversibility(rows)
    return outputs


def _mass_change(cost: float, working: Working, outputs: Outputs) -> None:
    """What the whole bill does to the car's mass, and what a kilogram less costs by it."""
    change = outputs["mass_change"] = working.step(
        "mass_change",
        bill.mass_change,
        source="arithmetic",
        mass_fitted=_number(outputs["mass_fitted"]),
        mass_removed=_number(outputs["mass_removed"]),
    )
    if change < 0 and cost > 0:
        outputs["cost_per_kilogram_saved"] = working.step(
            "cost_per_kilogram_saved",
            bill.cost_per_mass_saved,
            source="arithmetic",
            cost=cost,
            mass_change=change,
        )


def _check_prices(rows: list[dict[str, Any]]) -> None:
    for index, row in enumerate(rows):
        if row["action"] == "removed" and "price" in row:
            raise InputsConflict(
                "parts",
                f"a price for “{row['name']}”, which is removed",
                "prices of fitted parts only",
                help="what a sold part brings in is no cost of the job; leave the price out",
                at=(index, "price"),
            )


def _reversibility(rows: list[dict[str, Any]]) -> str:
    lasting = [row["name"] for row in rows if not row["reversible"]]
    if lasting:
        return "cannot be undone: " + ", ".join(lasting)
    return "all of it can be put back to what it was"


def _number(value: float | str | dict[str, float]) -> float:
    assert isinstance(value, float)
    return value


def _missing(rows: list[dict[str, Any]], working: Working) -> None:
    """Say which lines have no mass or no price: a total that leaves some out is not the whole."""
    unweighed = [row["name"] for row in rows if "mass" not in row]
    unpriced = [row["name"] for row in rows if "price" not in row and row["action"] == "fitted"]
    if unweighed:
        working.remark("Not weighed, and not in the masses: " + ", ".join(unweighed) + ".")
    if unpriced:
        working.remark("Without a price, and not in the costs: " + ", ".join(unpriced) + ".")


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Cost and change in mass as the lines of the bill are added, one after the other: one curve a case."""
    series = []
    code = "EUR"
    for style, (name, case) in enumerate(cases.items()):
        code = case.inputs["currency"]
        masses, costs = case.outputs.get("line_mass", {}), case.outputs.get("line_cost", {})
        x, y = [0.0], [0.0]
        rows = case.inputs["parts"]
        for key, row in zip(row_keys("parts", rows), rows, strict=True):
            sign = 1 if row["action"] == "fitted" else -1
            x.append(x[-1] + costs.get(key, 0.0))
            y.append(y[-1] + sign * masses.get(key, 0.0))
        if len(x) > 2:
            series.append(Series(label=name or "line by line", x=x, y=y, style=style))
    if not series or all(max(line.x) == 0 for line in series):
        return None
    return ChartSpec(
        title="Cost and mass, line by line",
        description="How the car's mass changes and the cost adds up as the lines of the bill are "
        "taken in their order.",
        x=Axis("cost so far", f"money in {code}", code, from_zero=True),
        y=Axis("change in mass so far", "mass", "kg"),
        series=tuple(series),
    )
