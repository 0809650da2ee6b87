"""Sheet as it is bought: its strength, its stiffness, and how tightly it may be bent cold."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Annotated

from buildlog.diagnostics import OutOfRange

OVER = 1.05
"""Tables go by the thickness that was ordered: sheet of 1.5 mm that measures 1.56 is still of 1.5."""


@dataclass(frozen=True, kw_only=True)
class Reach:
    """Up to a thickness (m) the least inside radius, in thicknesses: of bends up to 90°, and of those beyond
    up to 180°; None where the source has none."""

    thickest: float
    square: float
    beyond: float | None = None


@dataclass(frozen=True, kw_only=True)
class SheetMetal:
    """One alloy and temper. Strengths and moduli in Pa, density in kg/m³. `least_yield` and `most_yield` are
    what a standard asks for; without a most, sheet as delivered is stronger by what common practice says.
    `source` is the id of the source of its radii; `grain_factor` is by how much a bend along the grain has
    to be wider."""

    words: str
    least_yield: float
    most_yield: float = 0.0
    elastic_modulus: float
    density: float
    reaches: tuple[Reach, ...]
    grain_factor: float
    source: str

    @property
    def yield_strength(self) -> float:
        """What is taken where the author gives none: the middle of the standard's range, or a fifth above
        its least value."""
        if self.most_yield:
            return (self.least_yield + self.most_yield) / 2
        return 1.2 * self.least_yield

    def reach(self, thickness: float) -> Reach:
        """The row of its table for a thickness."""
        for row in self.reaches:
            if thickness <= row.thickest * OVER:
                return row
        raise OutOfRange(
            "thickness",
            f"{1000 * thickness:g} mm",
            f"up to {1000 * self.reaches[-1].thickest:g} mm, as far as the table of this sheet goes",
            help="or give the least_radius that its supplier states",
        )


def _rows(*rows: tuple[float, float, float | None]) -> tuple[Reach, ...]:
    return tuple(
        Reach(thickest=thickest / 1000, square=square, beyond=beyond) for thickest, square, beyond in rows
    )


def _aluminium(words: str, least: float, source: str, *rows: tuple[float, float, float | None]) -> SheetMetal:
    return SheetMetal(
        words=words,
        least_yield=least * 1e6,
        elastic_modulus=70e9,
        density=2700.0,
        reaches=_rows(*rows),
        grain_factor=1.5,
        source=source,
    )


STEEL_ROWS = (
    (0.001, 0.001), (0.0015, 0.0016), (0.0025, 0.0025), (0.003, 0.003), (0.004, 0.005), (0.005, 0.006),
    (0.006, 0.008), (0.007, 0.010), (0.008, 0.012),
)  # fmt: skip
"""DIN 6935 (1975-10): least inside radius (m) up to a thickness (m), steel of a least tensile strength up to
390 MPa, bend up to 120° across the grain. Along the grain, or beyond 120°: the row of the next thickness."""

STEEL = "dc01"
TITANIUM = "titanium-grade-2"

METALS = {
    "1050A-H14": _aluminium(
        "aluminium EN AW-1050A, half hard", 85, "en-485-2-from-memory",
        (0.5, 0, 1), (1.5, 0.5, 1), (3, 1, 1), (6, 1.5, None),
    ),
    "1100-O": _aluminium(
        "aluminium 1100, soft", 25, "aluminum-association",
        (3.175, 0, None), (4.7625, 0.5, None), (6.35, 1, None),
    ),
    "1100-H14": _aluminium(
        "aluminium 1100, half hard", 95, "aluminum-association",
        (1.5875, 0, None), (4.7625, 1, None), (6.35, 1.5, None),
    ),
    "5052-O": _aluminium(
        "aluminium EN AW-5052, soft", 65, "en-485-2",
        (0.5, 0, 0), (1.5, 0, 0), (3, 0.5, 0.5), (6, 1, None),
    ),
    "5052-H32": _aluminium(
        "aluminium EN AW-5052, quarter hard (H22, H32)", 130, "en-485-2",
        (0.5, 0.5, 1.5), (1.5, 1, 1.5), (3, 1.5, 1.5), (6, 1.5, None),
    ),
    "5052-H34": _aluminium(
        "aluminium EN AW-5052, half hard (H24, H34)", 150, "en-485-2",
        (0.5, 0.5, 2), (1.5, 1.5, 2), (3, 2, 2), (6, 2.5, None),
    ),
    "5754-O": _aluminium(
        "aluminium EN AW-5754, soft (O, H111)", 80, "en-485-2",
        (0.5, 0, 0.5), (1.5, 0.5, 0.5), (3, 1, 1), (6, 1, 1),
    ),
    "5754-H22": _aluminium(
        "aluminium EN AW-5754, quarter hard (H22, H32)", 130, "en-485-2",
        (0.5, 0.5, 1.5), (1.5, 1, 1.5), (3, 1.5, 2), (6, 1.5, None),
    ),
    "5754-H24": _aluminium(
        "aluminium EN AW-5754, half hard (H24, H34)", 160, "en-485-2",
        (0.5, 1, 2.5), (1.5, 1.5, 2.5), (3, 2, 2.5), (6, 2.5, None),
    ),
    "6082-T4": _aluminium(
        "aluminium EN AW-6082, solution treated and aged cold", 110, "en-485-2",
        (1.5, 1, 3), (3, 1.5, 3), (6, 3, None),
    ),
    "6082-T6": _aluminium(
        "aluminium EN AW-6082, solution treated and aged warm", 260, "en-485-2",
        (1.5, 2.5, None), (3, 3.5, None), (6, 4.5, None),
    ),
    STEEL: SheetMetal(
        words="mild steel DC01, cold rolled",
        least_yield=140e6, most_yield=280e6, elastic_modulus=210e9, density=7850.0,
        reaches=(), grain_factor=1.0, source="din-6935-radii",
    ),
    "304-annealed": SheetMetal(
        words="stainless steel 304 (1.4301), annealed",
        least_yield=205e6, elastic_modulus=200e9, density=7900.0,
        reaches=_rows((6, 1, 1)), grain_factor=1.5, source="practice",
    ),
    "304-half-hard": SheetMetal(
        words="stainless steel 304, half hard",
        least_yield=758e6, elastic_modulus=200e9, density=7900.0,
        reaches=_rows((1.27, 2, 2), (4.76, 3, None)), grain_factor=1.5, source="practice",
    ),
    TITANIUM: SheetMetal(
        words="titanium grade 2, annealed",
        least_yield=275e6, most_yield=450e6, elastic_modulus=105e9, density=4510.0,
        reaches=_rows((1.8, 2, None), (4.75, 2.5, None)), grain_factor=1.0, source="astm-b265",
    ),
}  # fmt: skip
"""By their names in a block. The radii are those of their sources, which the kind `sheet_bend` names."""


def steel_radius(
    thickness: Annotated[float, "s", "m"], bend_angle: Annotated[float, "α", "rad"], along_the_grain: bool
) -> Annotated[float, "r_min", "m"]:
    """Least inside radius of mild steel that is bent cold.

    Formula: r_min of the row of s; of the next thicker row along the grain, or where α is more than 120°.
    Symbols: s thickness (m), α angle that it is bent by (rad), r_min least inside radius (m).
    In words: looked up in the table of the standard.
    Range: s up to 8 mm, or to 7 mm where the next row is taken. Errors: `OutOfRange`.
    Source: DIN 6935 (1975-10), table for a least tensile strength up to 390 MPa, and its footnote.
    """
    rows = [row for row, (thickest, _) in enumerate(STEEL_ROWS) if thickness <= thickest * OVER]
    row = rows[0] if rows else len(STEEL_ROWS)
    if along_the_grain or bend_angle > 2 * pi / 3 * (1 + 1e-9):
        row += 1
    if row >= len(STEEL_ROWS):
        raise OutOfRange("thickness", f"{1000 * thickness:g} mm", "up to 7 mm, as far as the table was read")
    return STEEL_ROWS[row][1]
