"""Tyre sizes as they are stamped: what one says of width, height, rim, construction, load and speed.

Four ways of writing a size are in use on cars. Metric ones say width in millimetres, height as a share of it
and the rim's code: ``205/60VR13 87V``, ``LT245/75R16``, ``190/65R390``. Those without a series, ``165R13``,
are of the time before the share was written. Flotation sizes begin with the overall diameter in inches:
``31x10.50R15``. Inch sizes of diagonal tyres, ``6.00-13``, say width and rim, and nothing of the height.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from buildlog.diagnostics import VALUE_UNREADABLE, OutOfRange, Refused, shorten

_INCH = 0.0254

SPEED_SYMBOLS: dict[str, int] = {
    "J": 100, "K": 110, "L": 120, "M": 130, "N": 140, "P": 150, "Q": 160, "R": 170, "S": 180, "T": 190,
    "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}  # fmt: skip
"""km/h. UN Regulation No. 30, 2.29, as public lists of the trade print it; J and K: Regulation No. 54."""

_SPEED_IN_SIZE = {"S": 180, "H": 210}
"""km/h, of a letter before the R. V and Z stand there for *over* 210 and *over* 240, with no end: UN
Regulation No. 30, 2.29.3 and 3.1.5 (from memory)."""

# Load index 60 … 126 in kg: UN Regulation No. 30, Annex 4, and No. 54, Annex 4, as public lists of the trade
# print them (read, see the tests).
_LOADS = (
    250, 257, 265, 272, 280, 290, 300, 307, 315, 325, 335, 345, 355, 365, 375, 387, 400, 412, 425,
    437, 450, 462, 475, 487, 500, 515, 530, 545, 560, 580, 600, 615, 630, 650, 670, 690, 710, 730,
    750, 775, 800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030, 1060, 1090, 1120, 1150, 1180, 1215,
    1250, 1285, 1320, 1360, 1400, 1450, 1500, 1550, 1600, 1650, 1700,
)  # fmt: skip
LOAD_INDEX: dict[int, int] = {60 + step: load for step, load in enumerate(_LOADS)}

ASSUMED_SERIES = 0.80
"""Height over width of a radial size without a series. The trade calls these the 82 series; the diameters
that the ETRTO Standards Manual prints for them (from memory) are those of 80 to 0.3 %, and of 82 to 1.4 %."""

_MARKS = (
    r"(?:\s+(?:XL|RF|EXTRA LOAD|REINFORCED|REINF|M\s?[+&]\s?S|3PMSF|TL|TT|TUBELESS|TUBE TYPE|"
    r"\d{1,2}\s?PR|C))*"
)
_SERVICE = r"(?:\s+\(?(?P<load>\d{2,3})(?:\s?/\s?(?P<twin>\d{2,3}))?\s?(?P<speed>[A-Z])\)?)?" + _MARKS
_METRIC = re.compile(
    r"(?P<use>P|LT|T)?\s?(?P<width>\d{3})(?:\s?/\s?(?P<aspect>\d{2,3}))?\s?(?P<inside>[SHVZ])?"
    r"(?P<construction>R|B|D|-)\s?(?P<rim>\d{3}|\d{2}(?:\.5)?)\s?(?P<after>C|LT)?" + _SERVICE
)
_FLOTATION = re.compile(
    r"(?P<overall>\d{2}(?:\.\d{1,2})?)\s?[X/]\s?(?P<width>\d{1,2}(?:\.\d{1,2})?)\s?"
    r"(?P<construction>R|B|D|-)\s?(?P<rim>\d{2}(?:\.5)?)\s?(?P<after>C|LT)?" + _SERVICE
)
_IN_INCHES = re.compile(
    r"(?P<width>\d{1,2}\.\d{1,2})\s?(?P<inside>[SHV])?(?P<construction>R|B|D|-|X)\s?(?P<rim>\d{2})" + _SERVICE
)
_EXAMPLES = "a size as it is stamped, such as 195/50R15, 205/45ZR17 88W, 165R13, LT245/75R16 or 31x10.50R15"
_CONSTRUCTIONS = {"R": "radial", "B": "bias-belted", "D": "diagonal", "-": "diagonal", "X": "diagonal"}


_LONGEST = 80
"""Signs, with every mark that a sidewall carries."""


@dataclass(frozen=True, kw_only=True)
class TyreSize:
    """A tyre size as designated.

    `section_width` and `rim_diameter` are in m. `series` is height over width; it is assumed where
    `series_assumed`, and None where the size says nothing of the height. `stamped_diameter` is the overall
    diameter in m where the size begins with it. `construction` is "radial", "bias-belted" or "diagonal".
    `load` is in kg and `speed_limit` in m/s where the designation says them.
    """

    designation: str
    section_width: float
    series: float | None
    rim_diameter: float
    stamped_diameter: float | None = None
    construction: str = "radial"
    series_assumed: bool = False
    load: float | None = None
    speed_limit: float | None = None

    def __str__(self) -> str:
        return self.designation

    @property
    def aspect_ratio(self) -> float:
        """Height over width. Raises `Refused` where the size does not say it."""
        if self.series is None:
            raise Refused(
                "tyre",
                f"{self}, which says no height",
                "a size that does, or what was measured on the tyre",
                help="the size of a diagonal tyre is width and rim alone: roll it, and measure it",
            )
        return self.series

    @property
    def measures(self) -> tuple[float, float | None, float, float | None, str]:
        """What makes two sizes the same size, whatever load and speed they carry."""
        return (
            self.section_width,
            self.series,
            self.rim_diameter,
            self.stamped_diameter,
            self.construction,
        )


def read_tyre(text: str) -> TyreSize:
    """Read a designation such as ``195/50R15``, ``205/45 ZR 17 88W``, ``165R13`` or ``31x10.50R15 109Q``.

    Range: metric widths 125 to 355 mm in steps of 5, series 25 to 100 in steps of 5 and 82, rim codes 8 to
    24 and rims of 315 to 540 mm; overall diameters of 15 to 54 in on widths of 3 to 20 in. Errors: `Refused`
    where the text is no designation, `OutOfRange` outside the range. Source: ISO 4000-1 and UN Regulations
    No. 30, 2.17 and 3.1, and No. 54 (from memory); rim codes are inches of 25.4 mm, those of three digits
    millimetres.
    """
    written = " ".join(text.replace("×", "X").replace(",", ".").replace("–", "-").split())
    # Digits of other scripts are digits too, and some letters of theirs become Latin ones as capitals.
    plain = written.upper() if written.isascii() and len(written) <= _LONGEST else ""
    if (match := _METRIC.fullmatch(plain)) is not None:
        return _metric(text, match)
    if (match := _FLOTATION.fullmatch(plain)) is not None:
        return _flotation(text, match)
    if (match := _IN_INCHES.fullmatch(plain)) is not None:
        return _in_inches(text, match)
    raise Refused(
        "tyre",
        f"“{shorten(text)}”",
        _EXAMPLES,
        help="for a tyre of another size give its rolling circumference as measured",
        code=VALUE_UNREADABLE,
    )


def _metric(text: str, match: re.Match[str]) -> TyreSize:
    width = int(match["width"])
    _in_steps("section width", width, 125, 355, 5, text)
    construction = _CONSTRUCTIONS[match["construction"]]
    aspect: float | None = None
    if match["aspect"]:
        if int(match["aspect"]) > 400:  # no share of the width, but the overall diameter of a slick, in mm
            raise OutOfRange(
                "tyre",
                f"an aspect ratio of {match['aspect']} in “{text}”",
                "25 to 100 in steps of 5",
                help="a slick's second number is its overall diameter in millimetres: leave the size out "
                "and give what you measured, overall_diameter in wheel_fit, rolling_circumference elsewhere",
            )
        if match["aspect"] != "82":
            _in_steps("aspect ratio", int(match["aspect"]), 25, 100, 5, text)
        aspect = int(match["aspect"]) / 100
    elif construction == "radial":
        aspect = ASSUMED_SERIES
    return TyreSize(
        designation=" ".join(text.split()),
        section_width=width / 1000,
        series=aspect,
        rim_diameter=_rim(match["rim"], text),
        construction=construction,
        series_assumed=aspect is not None and not match["aspect"],
        load=_load(match, text),
        speed_limit=_speed(match, text),
    )


def _flotation(text: str, match: re.Match[str]) -> TyreSize:
    overall, width, rim = (
        float(match["overall"]) * _INCH,
        float(match["width"]) * _INCH,
        _rim(match["rim"], text),
    )
    # A metric size without its first digit, 95/50R15, would be a tyre of 2.4 m.
    for what, code, low, high in (
        ("overall diameter", match["overall"], 15, 54),
        ("section width", match["width"], 3, 20),
    ):
        if not low <= float(code) <= high:
            raise OutOfRange("tyre", f"{what} {float(code):g} in in “{shorten(text)}”", f"{low} to {high} in")
    height = (overall - rim) / 2
    if not 0.2 * width <= height <= 1.1 * width:
        raise OutOfRange(
            "tyre",
            f"{match['overall']} in over a rim of {match['rim']} in, {match['width']} in wide, "
            f"in “{shorten(text)}”",
            "an overall diameter that leaves a sidewall of 20 to 110 % of the width",
        )
    return TyreSize(
        designation=" ".join(text.split()),
        section_width=width,
        series=height / width,
        rim_diameter=rim,
        stamped_diameter=overall,
        construction=_CONSTRUCTIONS[match["construction"]],
        load=_load(match, text),
        speed_limit=_speed(match, text),
    )


def _in_inches(text: str, match: re.Match[str]) -> TyreSize:
    width = float(match["width"])
    if not 3 <= width <= 13:
        raise OutOfRange("tyre", f"section width {width:g} in in “{shorten(text)}”", "3 to 13 in")
    return TyreSize(
        designation=" ".join(text.split()),
        section_width=width * _INCH,
        series=None,
        rim_diameter=_rim(match["rim"], text),
        construction=_CONSTRUCTIONS[match["construction"]],
        load=_load(match, text),
        speed_limit=_speed(match, text),
    )


def _in_steps(what: str, value: int, low: int, high: int, step: int, text: str) -> None:
    if not low <= value <= high or value % step:
        raise OutOfRange(
            "tyre", f"{what} {value} in “{shorten(text)}”", f"{low} to {high} in steps of {step}"
        )


def _rim(code: str, text: str) -> float:
    """Nominal diameter of the rim, m."""
    value = float(code)
    if len(code) == 3:
        _in_steps("rim diameter", int(code), 315, 540, 5, text)
        return value / 1000
    if not 8 <= value <= 24:
        raise OutOfRange(
            "tyre", f"rim code {value:g} in “{shorten(text)}”", "8 to 24, or millimetres from 315"
        )
    return value * _INCH


def _load(match: re.Match[str], text: str) -> float | None:
    if not match["load"]:
        return None
    for index in (int(code) for code in (match["load"], match["twin"]) if code):
        if index not in LOAD_INDEX:
            raise OutOfRange("tyre", f"load index {index} in “{shorten(text)}”", f"60 to {max(LOAD_INDEX)}")
    return float(LOAD_INDEX[int(match["load"])])


def _speed(match: re.Match[str], text: str) -> float | None:
    """The greatest speed of the symbol, m/s; of the letter before the R where there is none."""
    symbol = match["speed"]
    if symbol:
        if symbol not in SPEED_SYMBOLS:
            raise OutOfRange("tyre", f"speed symbol {symbol} in “{shorten(text)}”", ", ".join(SPEED_SYMBOLS))
        return SPEED_SYMBOLS[symbol] / 3.6
    inside = match.groupdict().get("inside")
    return _SPEED_IN_SIZE[inside] / 3.6 if inside in _SPEED_IN_SIZE else None
