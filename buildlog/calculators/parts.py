"""What a job takes: parts fitted and removed, their mass, their cost and the hours.

One row is one line of the bill: what it is, how many, the mass of one and the price of one. Figures in the
text call a line by its name, with hyphens for blanks: `line_mass.hose-clamp`. `action`
says whether the part goes on (`fitted`) or comes off (`removed`). Only what is fitted is paid for; a
removed part may carry a mass, and no price. `origin` tells bought parts from made ones, whose price is
what their material cost. `reversible` says whether the car can be put back: a part that needs a hole
where there was none is not.

**Quantities** may be decimal: 1.5 of a litre's mass and price. What is sold by length has `length`,
`mass_per_metre` and `price_per_metre` in place of mass and price; `quantity` then counts such pieces.

Weigh the parts rather than trust a catalogue, and give the scale's uncertainty with the mass
(`1.24 ± 0.01 kg`): the change in mass is a difference of two larger numbers, and is less certain than
either. What one scale weighed is off together: say so with `common`, of `parts.mass`. A part that two cases
have alike, with one name and the same words, is one part: its doubt cancels between them. Where the car gets
no lighter there is no price of a kilogram saved, and none is shown.

**Money.** Each currency is a dimension of its own, and a bill is in one. What was paid in another is a
`foreign_price`, and `rates` says what one of that currency was worth in the bill's, on which day: of your
bank's statement, if you have it, with its fee. No rate is ever looked up or guessed.

**For whoever builds it again** a row takes `part_number`, `supplier`, `link` (which the card shows), `date`,
and `working_time`, the hours of the line in all.

**A part of its own.** A row with `part: NAME` takes name, mass, price, number, supplier and origin from the
file of that part, `parts/NAME.yml`, as far as it does not say them itself: `{part: air-box, quantity: 1}`. A
mass or a price that is not the file's is a finding.

A shop's list serves as it came: `parts: {data: order.csv, columns: {name: Item, mass: "Weight [g]"}}`.

```yaml
id: duct-parts
kind: parts
inputs:
  currency: EUR
  rates:
    - {currency: GBP, worth: 1.17 EUR, date: 2025-03-14}
  parts:
    - {name: aluminium duct, mass: 0.84 ± 0.01 kg, price: 31 EUR, origin: made, working_time: 2.5 h}
    - {name: hose, length: 0.9 m, mass_per_metre: 0.62 ± 0.02 kg/m, price_per_metre: 14 EUR/m}
    - {name: hose clamp, quantity: 4, mass: 35 g, foreign_price: 2.10 GBP, part_number: HC-60}
    - {name: old air box, action: removed, mass: 2.10 ± 0.01 kg, working_time: 0.5 h}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
from buildlog.kinds.declaration import (
    Axis,
    Bar,
    BarSpec,
    CaseView,
    Choice,
    Flag,
    Input,
    Measure,
    Number,
    Output,
    Outputs,
    Quantity,
    Source,
    Table,
    Text,
    Working,
)
from buildlog.kinds.keys import row_keys
from buildlog.kinds.money import CURRENCIES
from buildlog.physics import bill
from buildlog.said import said

KIND = "parts"

_MASS = Number(dimension="mass", unit="kg", low=0, high=500, why="parts of a car that people lift")
_PRICE = Number(dimension="money", unit="", low=0, high=1_000_000, why="parts of a car")

_BARS = 24
"""As many lines as a waterfall shows apart."""

INPUTS = (
    Input(name="currency", form=Choice(CURRENCIES), about="currency of the bill (ISO 4217)"),
    Input(
        name="rates",
        form=Table(
            (
                Input(name="currency", form=Choice(CURRENCIES), about="another currency"),
                Input(
                    name="worth",
                    form=Number(dimension="money", unit="", low=1e-6, high=1e6, why="rates of exchange"),
                    about="what one of it is worth in the bill's",
                ),
                Input(name="date", form=Text(10, "date"), about="on which day"),
            )
        ),
        about="rates of exchange of prices in other currencies",
        required=False,
    ),
    Input(
        name="parts",
        form=Table(
            (
                Input(name="name", form=Text(80), about="what it is"),
                Input(
                    name="quantity",
                    form=Number(dimension="count", unit="", low=0.001, high=1000, why="one line of a bill"),
                    about="how many: pieces, litres",
                    default="1",
                    default_source="one piece",
                ),
                Input(name="mass", form=_MASS, about="mass of one", required=False),
                Input(name="price", form=_PRICE, about="price of one, or of its material", required=False),
                Input(
                    name="foreign_price",
                    form=Quantity(),
                    about="price of one in another currency, in place of price",
                    required=False,
                ),
                Input(
                    name="length",
                    form=Number(dimension="length", unit="m", low=0.001, high=100, why="hose, bar and cable"),
                    about="length of one, of what is sold by length",
                    required=False,
                ),
                Input(
                    name="mass_per_metre",
                    form=Number(dimension="mass per length", unit="kg/m", low=0, high=100, why="bar"),
                    about="mass of a metre, in place of mass",
                    required=False,
                ),
                Input(
                    name="price_per_metre",
                    form=Number(
                        dimension="money per length", unit="", low=0, high=100_000, why="hose, bar and cable"
                    ),
                    about="price of a metre, in place of price",
                    required=False,
                ),
                Input(
                    name="working_time",
                    form=Number(dimension="time", unit="h", low=0, high=1000, why="one line of a job"),
                    about="hours of work on the line in all",
                    required=False,
                ),
                Input(name="part", form=Text(80, "part"), about="the file of the part", required=False),
                Input(name="part_number", form=Text(60), about="the part's number", required=False),
                Input(name="supplier", form=Text(80), about="where it was bought", required=False),
                Input(name="link", form=Text(500, "link"), about="where it can be seen", required=False),
                Input(name="date", form=Text(10, "date"), about="when it was bought", required=False),
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
        title="mass of the line",
        dimension="mass",
        unit="kg",
        about="mass of each line",
        decimals=2,
        key="line",
        of="parts",
    ),
    Output(
        name="line_cost",
        title="cost of the line",
        dimension="money",
        unit="",
        about="cost of each line",
        decimals=2,
        key="line",
        of="parts",
    ),
    Output(
        name="line_working_time",
        title="working time of the line",
        dimension="time",
        unit="h",
        about="hours of work",
        decimals=1,
        key="line",
        of="parts",
    ),
    Output(
        name="mass_fitted",
        title="mass of the parts fitted",
        dimension="mass",
        unit="kg",
        about="what goes on",
        decimals=2,
    ),
    Output(
        name="mass_removed",
        title="mass of the parts removed",
        dimension="mass",
        unit="kg",
        about="what comes off",
        decimals=2,
    ),
    Output(
        name="mass_change",
        title="change of the car's mass",
        dimension="mass",
        unit="kg",
        about="known only where every line has one",
        decimals=2,
        is_change=True,
    ),
    Output(
        name="cost_bought",
        title="cost of the parts bought",
        dimension="money",
        unit="",
        about="cost of bought parts",
        decimals=2,
    ),
    Output(
        name="cost_made",
        title="material cost of the parts made",
        dimension="money",
        unit="",
        about="material of parts made",
        decimals=2,
    ),
    Output(
        name="cost_total",
        title="total cost of the parts fitted",
        dimension="money",
        unit="",
        decimals=2,
    ),
    Output(
        name="cost_per_kilogram_saved",
        title="cost of a kilogram saved",
        dimension="money per mass",
        unit="",
        about="cost of a kilogram saved",
        decimals=0,
    ),
    Output(
        name="working_time",
        title="total working time",
        dimension="time",
        unit="h",
        about="hours of work in all",
        decimals=1,
    ),
    Output(
        name="reversibility",
        title="reversibility of the job",
        dimension="text",
        unit="",
        about="whether the car can be put back",
    ),
)

SOURCES = (Source(id="arithmetic", title="Sums and products of the bill's lines", standing="derived"),)

HAZARDS = ("fasteners",)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Masses, costs and hours of the bill; money in the block's own currency."""
    rows: list[dict[str, Any]] = given["parts"]
    keys = row_keys("parts", rows)
    _check_rows(rows)
    lines = _lines(given, keys, working)
    outputs: Outputs = {name: dict(values) for name, values in lines.items() if values}
    masses, costs = lines["line_mass"], lines["line_cost"]
    by_key = dict(zip(keys, rows, strict=True))

    def chosen(values: dict[str, float], name: str, word: str) -> list[float]:
        return [value for key, value in values.items() if by_key[key][name] == word]

    for name, action in (("mass_fitted", "fitted"), ("mass_removed", "removed")):
        outputs[name] = working.step(
            name, bill.total_mass, chosen(masses, "action", action), source="arithmetic"
        )
    for name, origin in (("cost_bought", "bought"), ("cost_made", "made")):
        outputs[name] = working.step(
            name, bill.total_cost, chosen(costs, "origin", origin), source="arithmetic"
        )
    total = outputs["cost_total"] = working.step(
        "cost_total", bill.total_cost, list(costs.values()), source="arithmetic"
    )
    if hours := lines["line_working_time"]:
        outputs["working_time"] = working.step(
            "working_time", bill.total_time, list(hours.values()), source="arithmetic"
        )
    _missing(rows, working)
    if len(masses) == len(rows):  # a sum with lines left out would be no change of the car's mass
        _mass_change(total, working, outputs)
    outputs["reversibility"] = _reversibility(rows)
    return outputs


def _lines(given: Mapping[str, Any], keys: list[str], working: Working) -> dict[str, dict[str, float]]:
    """Mass, cost and hours of each line that has them."""
    rates = _rates(given)
    masses: dict[str, float] = {}
    costs: dict[str, float] = {}
    hours: dict[str, float] = {}
    for index, (key, row) in enumerate(zip(keys, given["parts"], strict=True)):
        quantity = float(row["quantity"])
        if (mass := _mass_of_one(row, working)) is not None:
            masses[key] = working.step(
                f"line_mass.{key}", bill.line_mass, source="arithmetic", quantity=quantity, mass=mass
            )
        if (price := _price_of_one(index, row, rates, str(given["currency"]), working)) is not None:
            costs[key] = working.step(
                f"line_cost.{key}", bill.line_cost, source="arithmetic", quantity=quantity, price=price
            )
        if "working_time" in row:
            hours[key] = working.step(
                f"line_working_time.{key}", bill.total_time, [row["working_time"]], source="arithmetic"
            )
    return {"line_mass": masses, "line_cost": costs, "line_working_time": hours}


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


def _check_rows(rows: list[dict[str, Any]]) -> None:
    """Refuse rows that say a mass or a price twice, half, or of what is not paid for."""
    for index, row in enumerate(rows):
        prices = [name for name in ("price", "foreign_price", "price_per_metre") if name in row]
        masses = [name for name in ("mass", "mass_per_metre") if name in row]
        if row["action"] == "removed" and prices:
            raise InputsConflict(
                "parts",
                f"a price for “{row['name']}”, which is removed",
                "prices of fitted parts only",
                help="what a sold part brings in is no cost of the job; leave the price out",
                at=(index, prices[0]),
            )
        for named in (prices, masses):
            if len(named) > 1:
                raise InputsConflict(
                    "parts", " and ".join(named), "one of them", at=(index, named[1]), help="make two lines"
                )
        by_length = [name for name in ("mass_per_metre", "price_per_metre") if name in row]
        if by_length and "length" not in row:
            raise MissingInput("parts", f"{by_length[0]} without length", "length", at=(index, by_length[0]))
        if "length" in row and not by_length:
            raise MissingInput(
                "parts",
                "a length without mass_per_metre or price_per_metre",
                "one of them",
                help="where mass and price are those of the piece, the length can stand in its name",
                at=(index, "length"),
            )


def _rates(given: Mapping[str, Any]) -> dict[str, float]:
    """What one of each other currency is worth in the bill's."""
    rates: dict[str, float] = {}
    for index, row in enumerate(given.get("rates", ())):
        code = row["currency"]
        if code == given["currency"] or code in rates:
            found = f"{code} twice" if code in rates else f"{code}, which the bill is in"
            raise InputsConflict("rates", found, "each other currency once", at=(index, "currency"))
        rates[code] = row["worth"]
    return rates


def _mass_of_one(row: dict[str, Any], working: Working) -> float | None:
    """The mass of one of a line, or None where it was not weighed."""
    if "mass_per_metre" not in row:
        return row.get("mass")
    return working.step(
        f"mass of one {row['name']}",
        bill.mass_of_length,
        source="arithmetic",
        length=row["length"],
        mass_per_metre=row["mass_per_metre"],
    )


def _price_of_one(
    index: int, row: dict[str, Any], rates: Mapping[str, float], currency: str, working: Working
) -> float | None:
    """The price of one of a line in the bill's currency, or None where it has none."""
    if "price_per_metre" in row:
        return working.step(
            f"price of one {row['name']}",
            bill.price_of_length,
            source="arithmetic",
            length=row["length"],
            price_per_metre=row["price_per_metre"],
        )
    if "foreign_price" not in row:
        return row.get("price")
    paid = row["foreign_price"]
    assert isinstance(paid, Measure)
    code = paid.dimension.removeprefix("money in ")
    if code not in rates:
        raise InputsConflict(
            "parts",
            f"{paid:g} {paid.unit}",
            f"a price in {' or '.join(rates) or 'a currency that rates has'}",
            help=f"add it to rates: {{currency: {code}, worth: … {currency}, date: …}}"
            if code in CURRENCIES and code != currency
            else f"a price in {currency} is written as price",
            at=(index, "foreign_price"),
        )
    return working.step(
        f"price of one {row['name']} in {currency}",
        bill.price_exchanged,
        source="arithmetic",
        foreign_price=float(paid),
        rate=rates[code],
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
    unweighed = [row["name"] for row in rows if not {"mass", "mass_per_metre"} & row.keys()]
    prices = {"price", "foreign_price", "price_per_metre"}
    unpriced = [row["name"] for row in rows if not prices & row.keys() and row["action"] == "fitted"]
    if unweighed:
        working.remark(said("Not weighed, and not in the masses: {rows}.", rows=", ".join(unweighed)))
    if unpriced:
        working.remark(said("Without a price, and not in the costs: {rows}.", rows=", ".join(unpriced)))


def chart(cases: Mapping[str, CaseView]) -> tuple[BarSpec, ...]:
    """Two waterfalls a case: from line to line to the change in mass, and to the cost."""
    return tuple(
        spec for name, case in cases.items() for spec in (_masses(name, case), _costs(name, case)) if spec
    )


def _masses(name: str, case: CaseView) -> BarSpec | None:
    masses = case.outputs.get("line_mass", {})
    signs = {
        key: 1 if row["action"] == "fitted" else -1
        for key, row in zip(row_keys("parts", case.inputs["parts"]), case.inputs["parts"], strict=True)
    }
    if len(masses) < 2 or "mass_change" not in case.outputs:
        return None
    names = _names(case)
    steps = [
        (names[key], signs[key] * mass, case.uncertainty("line_mass", key)) for key, mass in masses.items()
    ]
    total = case.outputs["mass_change"], case.uncertainty("mass_change")
    return BarSpec(
        title=", ".join(filter(None, ("Change in mass, line by line", name))),
        description="Each line of the bill from where the one before ended: what goes on to the right, what "
        "comes off to the left. The last bar is the change in all.",
        x=Axis("change in mass", "mass", "kg"),
        bars=_waterfall(steps, total),
    )


def _names(case: CaseView) -> dict[str, str]:
    """The name of each line as its author wrote it, by its key."""
    rows = case.inputs["parts"]
    return {key: str(row["name"]) for key, row in zip(row_keys("parts", rows), rows, strict=True)}


def _costs(name: str, case: CaseView) -> BarSpec | None:
    costs = {key: cost for key, cost in case.outputs.get("line_cost", {}).items() if cost}
    if len(costs) < 2:
        return None
    code = case.inputs["currency"]
    names = _names(case)
    steps = [(names[key], cost, case.uncertainty("line_cost", key)) for key, cost in costs.items()]
    total = case.outputs["cost_total"], case.uncertainty("cost_total")
    return BarSpec(
        title=", ".join(filter(None, ("Cost, line by line", name))),
        description="Each line of the bill that costs something, from where the one before ended. The last "
        "bar is the cost in all.",
        x=Axis("cost", f"money in {code}", code, from_zero=True),
        bars=_waterfall(steps, total),
    )


def _waterfall(steps: list[tuple[str, float, float]], total: tuple[float, float]) -> tuple[Bar, ...]:
    """Bars of (label, value, U), each from where the one before ended, and the whole from zero. Of a long
    bill the smallest lines are one bar."""
    small: set[str] = set()
    if len(steps) > _BARS:
        by_size = sorted(steps, key=lambda step: abs(step[1]))
        small = {label for label, _, _ in by_size[: len(steps) - _BARS + 1]}
    bars: list[Bar] = []
    at = 0.0
    for label, value, spread in steps:
        if label not in small:
            bars.append(_bar(label, value, start=at, spread=spread))
            at += value
    if small:
        rest = sum(value for label, value, _ in steps if label in small)
        bars.append(Bar(label=f"{len(small)} small lines", value=rest, start=at))
    return (*bars, _bar("in all", total[0], start=0.0, spread=total[1], style=1))


def _bar(label: str, value: float, start: float, spread: float, style: int = 0) -> Bar:
    if not spread:
        return Bar(label=label, value=value, start=start, style=style)
    end = start + value
    return Bar(label=label, value=value, start=start, low=end - spread, high=end + spread, style=style)
