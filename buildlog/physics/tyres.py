"""Tyres: size designations, the radii that must not be confused, and rolling circumference.

Three radii are kept apart: the *overall* (free) radius of the unloaded tyre, the
*static loaded* radius from the ground to the hub of a standing car, and the
*effective rolling* radius, rolling circumference / 2π, which alone sets the
speed for given revs.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import pi
from typing import Annotated

from buildlog.diagnostics import VALUE_UNREADABLE, OutOfRange, Refused
from buildlog.physics.declared import Variable, Within, product_of
from buildlog.physics.limits import positive, within

# Speed symbols: UN Regulation 30, paragraph 2.29 (and ISO 4000-1); km/h. Y and Z read with W below.
SPEED_SYMBOLS: dict[str, int] = {
    "L": 120, "M": 130, "N": 140, "P": 150, "Q": 160, "R": 170, "S": 180, "T": 190,
    "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}  # fmt: skip

# Load index 60 … 110 in kg: UN Regulation 30, Annex 4.
_LOADS = (
    250, 257, 265, 272, 280, 290, 300, 307, 315, 325, 335, 345, 355, 365, 375, 387, 400, 412, 425,
    437, 450, 462, 475, 487, 500, 515, 530, 545, 560, 580, 600, 615, 630, 650, 670, 690, 710, 730,
    750, 775, 800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030, 1060,
)  # fmt: skip
LOAD_INDEX: dict[int, int] = {60 + step: load for step, load in enumerate(_LOADS)}

_DESIGNATION = re.compile(
    r"(?P<service>P|LT)?\s?(?P<width>\d{3})\s?/\s?(?P<aspect>\d{2})\s?"
    r"(?P<construction>ZR|R|B|D|-)\s?(?P<rim>\d{2}(?:\.5)?)"
    r"(?:\s+\(?(?P<load>\d{2,3})(?P<speed>[A-Z])\)?)?(?:\s+(?P<extra>XL|RF|EXTRA LOAD|REINFORCED))?"
)


@dataclass(frozen=True, kw_only=True)
class TyreSize:
    """A metric tyre size designation (ISO 4000-1), such as 195/50R15 82V.

    `section_width` and `rim_diameter` are in m, `aspect_ratio` is height over width,
    `load` in kg and `speed_limit` in m/s where the designation carries the indices.
    """

    designation: str
    section_width: float
    aspect_ratio: float
    rim_diameter: float
    load: float | None = None
    speed_limit: float | None = None

    def __str__(self) -> str:
        return self.designation


def read_tyre(text: str) -> TyreSize:
    """Read a designation such as ``195/50R15``, ``205/45 ZR 17 88W`` or ``185/70-14``.

    Range: width 125 to 355 mm in steps of 5, aspect 25 to 85 in steps of 5, rim code 10 to 24.
    Errors: `Refused` where the text is no metric designation, `OutOfRange` outside the range.
    Source: ISO 4000-1, size designation; rim codes are inches of 25.4 mm. From memory.
    """
    match = _DESIGNATION.fullmatch(" ".join(text.upper().split()))
    if match is None:
        raise Refused(
            "tyre",
            f"“{text}”",
            "a metric size such as 195/50R15 or 205/45ZR17 88W",
            help="a size without a series, like 165R13, is about 165/80R13; for a tyre of no such size give "
            "rolling_circumference as measured",
            code=VALUE_UNREADABLE,
        )
    width, aspect, rim = int(match["width"]), int(match["aspect"]), float(match["rim"])
    for name, value, low, high, step in (
        ("section width", width, 125, 355, 5),
        ("aspect ratio", aspect, 25, 85, 5),
    ):
        if not low <= value <= high or value % step:
            raise OutOfRange("tyre", f"{name} {value} in “{text}”", f"{low} to {high} in steps of {step}")
    if not 10 <= rim <= 24:
        raise OutOfRange("tyre", f"rim code {rim:g} in “{text}”", "10 to 24")
    load = speed = None
    if match["load"]:
        index, symbol = int(match["load"]), match["speed"]
        if index not in LOAD_INDEX:
            raise OutOfRange("tyre", f"load index {index} in “{text}”", "60 to 110")
        if symbol not in SPEED_SYMBOLS:
            raise OutOfRange("tyre", f"speed symbol {symbol} in “{text}”", ", ".join(SPEED_SYMBOLS))
        load, speed = float(LOAD_INDEX[index]), SPEED_SYMBOLS[symbol] / 3.6
    return TyreSize(
        designation=" ".join(text.split()),
        section_width=width / 1000,
        aspect_ratio=aspect / 100,
        rim_diameter=rim * 0.0254,
        load=load,
        speed_limit=speed,
    )


def overall_diameter(
    section_width: Annotated[float, "S", "m"],
    aspect_ratio: Annotated[float, "a", "1"],
    rim_diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "D", "m"]:
    """Overall (free) diameter of the unloaded tyre, from its designation.

    Formula: D = d + 2 S a. Symbols: S section width (m), a nominal aspect ratio (1), d rim
    diameter (m), D overall diameter (m).
    Range: all positive; a up to 1. Errors: `OutOfRange`.
    Source: ISO 4000-1, design dimensions (from memory); agrees with the tables to 1 mm.
    """
    positive("section_width", section_width)
    within("aspect_ratio", aspect_ratio, 0.2, 1.0)
    positive("rim_diameter", rim_diameter)
    return rim_diameter + 2 * section_width * aspect_ratio


_ROLLING = Within(2.9, pi, "a rolling tyre never covers more than π D")

rolling_circumference = product_of(
    "rolling_circumference",
    "Rolling circumference: road covered by one turn of the loaded, rolling wheel.",
    overall_diameter=Variable("D", "m", "overall diameter", positive),
    rolling_factor=Variable(
        "k_U", "1", "circumference over D, 3.05 for a radial tyre, π for a rigid wheel", _ROLLING
    ),
    gives=Variable("U", "m", "rolling circumference"),
    order=("rolling_factor", "overall_diameter"),
    source="convention F = 3.05 for radial tyres of the ETRTO Standards Manual (from memory), borne out by "
    "three cars in the EPA test car data, 2013–2017: 3.052, 3.054, 3.055",
)


def rolling_radius(
    rolling_circumference: Annotated[float, "U", "m"],
) -> Annotated[float, "r_e", "m"]:
    """Effective rolling radius.

    Formula: r_e = U / (2 π). Symbols: U rolling circumference (m), r_e effective rolling radius (m).
    Range: U positive. Errors: `OutOfRange`.
    Source: definition (ISO 8855, effective rolling radius; from memory).
    """
    positive("rolling_circumference", rolling_circumference)
    return rolling_circumference / (2 * pi)


def overall_radius(overall_diameter: Annotated[float, "D", "m"]) -> Annotated[float, "r_0", "m"]:
    """Overall (free) radius.

    Formula: r_0 = D / 2. Symbols: D overall diameter (m), r_0 overall radius (m).
    Range: D positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("overall_diameter", overall_diameter)
    return overall_diameter / 2
