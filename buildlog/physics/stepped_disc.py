"""A spinning disc whose width steps: rings of one material, joined, with the steps on one side or on both.

Between two steps the disc is a ring of even width, for which the stretching of its middle plane and the
bending of a plate have closed solutions. Both are carried from the bore outwards: over a step go
displacement, slope, force and moment. Where the steps are on one side the middle planes do not meet, and
the force bends the disc.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, NamedTuple

from buildlog.diagnostics import OutOfRange
from buildlog.physics.limits import not_negative, positive, within


class Band(NamedTuple):
    """What lies between two radii, m, and how wide it is along the axis, m."""

    inner: float
    outer: float
    width: float


@dataclass(frozen=True)
class SteppedDisc:
    """Bands from the bore outwards, each beginning where the one before ends. `one_sided` where one face is
    flat, so that all steps are on the other."""

    bands: tuple[Band, ...]
    one_sided: bool = True

    @staticmethod
    def bands_of(rings: Sequence[tuple[float, float, float]], bore: float) -> tuple[Band, ...]:
        """The bands of a profile of rings: (outer diameter, inner diameter, width), m, a hollow with a
        negative width. What lies within the bore is left out, and so are slits and laps of half a per cent of
        the outer diameter, which measuring makes. Empty where there is no body from bore to rim: where rings
        begin outside of the bore, or there is a gap between them.
        """
        edges = sorted({diameter for outer, inner, _ in rings for diameter in (outer, inner)} | {bore})
        slit = 0.005 * edges[-1]
        bands: list[Band] = []
        start = bore
        for inner, outer in pairwise(edges):
            if inner < bore or outer - inner < slit:
                continue
            width = sum(wide for high, low, wide in rings if low <= inner and outer <= high)
            if width <= 1e-9:
                return ()
            bands.append(Band(start / 2, outer / 2, width))
            start = outer
        return tuple(bands)


class _Ring(NamedTuple):
    """The solution in a band: σ_r = a - b/r² and so on of its middle plane, m = c - d/r² of its curvature."""

    band: Band
    a: float
    b: float
    c: float
    d: float


class _State(NamedTuple):
    """At a radius: displacement and slope times Young's modulus, force and moment by circumference."""

    displacement: float
    slope: float
    force: float
    moment: float


def _entered(band: Band, state: _State, load: float, poisson: float) -> _Ring:
    """The solution of a band from what comes in at its inner edge. `load` is ρ ω²."""
    r, h = band.inner, band.width
    s = state.force / h + (3 + poisson) * load * r**2 / 8
    stretch = state.displacement / r + (1 - poisson**2) * load * r**2 / 8
    b = r**2 * (stretch - (1 - poisson) * s) / 2
    m = 12 * state.moment / h**3
    d = r**2 * (state.slope / r - (1 - poisson) * m) / 2
    return _Ring(band, s + b / r**2, b, m + d / r**2, d)


def _left(ring: _Ring, load: float, poisson: float) -> _State:
    """What goes out at the outer edge of a band."""
    r, h = ring.band.outer, ring.band.width
    radial = ring.a - ring.b / r**2 - (3 + poisson) * load * r**2 / 8
    stretch = (1 - poisson) * ring.a * r + (1 + poisson) * ring.b / r - (1 - poisson**2) * load * r**3 / 8
    return _State(
        stretch,
        (1 - poisson) * ring.c * r + (1 + poisson) * ring.d / r,
        h * radial,
        h**3 / 12 * (ring.c - ring.d / r**2),
    )


def _carried(disc: SteppedDisc, start: _State, load: float, poisson: float) -> tuple[list[_Ring], _State]:
    """The solution outwards from the bore, and what is left at the rim."""
    rings: list[_Ring] = []
    state = start
    for band in disc.bands:
        if rings and disc.one_sided:
            # The faces of one side are level, so that the middle plane moves by half of what the width does.
            off = (band.width - rings[-1].band.width) / 2
            state = state._replace(
                displacement=state.displacement - off * state.slope, moment=state.moment + off * state.force
            )
        rings.append(_entered(band, state, load, poisson))
        state = _left(rings[-1], load, poisson)
    return rings, state


def _solved(disc: SteppedDisc, load: float, poisson: float) -> list[_Ring]:
    """The solution with bore and rim free of force and moment: two unknowns at the bore, two demands."""
    zero = _State(0.0, 0.0, 0.0, 0.0)
    _, rest = _carried(disc, zero, load, poisson)
    _, first = _carried(disc, zero._replace(displacement=1.0), 0.0, poisson)
    _, second = _carried(disc, zero._replace(slope=1.0), 0.0, poisson)
    whole = first.force * second.moment - second.force * first.moment
    displacement = (-rest.force * second.moment + second.force * rest.moment) / whole
    slope = (-first.force * rest.moment + rest.force * first.moment) / whole
    return _carried(disc, _State(displacement, slope, 0.0, 0.0), load, poisson)[0]


def _faces(ring: _Ring) -> Iterator[tuple[float, float]]:
    """The constants of the stress at either face of a band."""
    for side in (-0.5, 0.5):
        yield ring.a + side * ring.band.width * ring.c, ring.b + side * ring.band.width * ring.d


def _radii(band: Band, fourth_power: float) -> Iterator[float]:
    """Where a stress may be greatest: both edges, and where it is level between them."""
    yield band.inner
    yield band.outer
    if band.inner**4 < fourth_power < band.outer**4:
        yield fourth_power**0.25


def _checked(disc: SteppedDisc, density: float, rotational_speed: float, poisson_ratio: float) -> float:
    positive("density", density)
    positive("rotational_speed", rotational_speed)
    within("poisson_ratio", poisson_ratio, 0.0, 0.5)
    if not disc.bands or disc.bands[0].inner <= 0:
        raise OutOfRange("bore", "no bore", "more than 0 and less than the outer diameter")
    return density * rotational_speed**2


def stepped_hoop_stress(
    disc: SteppedDisc,
    density: Annotated[float, "ρ", "kg/m³"],
    rotational_speed: Annotated[float, "ω", "rad/s"],
    poisson_ratio: Annotated[float, "ν", "1"],
) -> Annotated[float, "σ", "Pa"]:
    """Greatest hoop stress of a disc whose width steps, at either of its faces: mostly around the bore.

    Formula: σ = max(a + b / r² - (1 + 3 ν) ρ ω² r² / 8 ± h (c + d / r²) / 2). Symbols: ρ density (kg/m³), ω
    rotational speed (rad/s), ν Poisson's ratio (1), r radius (m), h width there (m), a to d constants of each
    ring, σ stress (Pa).
    In words: found by joining rings; over a step go displacement, slope, force, moment; the edges are free.
    Range: one material throughout, ω positive, ν 0 to 0.5; widths small against the radius, no holes but the
    bore, no heat, small deflections; corners not counted. Errors: `OutOfRange`.
    Source: Lamé's solution of a rotating ring in plane stress, as Shigley and Mischke have it, and a plate's
    in bending; derived.
    """
    load = _checked(disc, density, rotational_speed, poisson_ratio)
    level = (1 + 3 * poisson_ratio) * load / 8
    return max(
        a + b / r**2 - level * r**2
        for ring in _solved(disc, load, poisson_ratio)
        for a, b in _faces(ring)
        for r in _radii(ring.band, -b / level)
    )


def stepped_radial_stress(
    disc: SteppedDisc,
    density: Annotated[float, "ρ", "kg/m³"],
    rotational_speed: Annotated[float, "ω", "rad/s"],
    poisson_ratio: Annotated[float, "ν", "1"],
) -> Annotated[float, "σ_r", "Pa"]:
    """Greatest radial stress of a disc whose width steps, at either of its faces: mostly in a thin web.

    Formula: σ_r = max(a - b / r² - (3 + ν) ρ ω² r² / 8 ± h (c - d / r²) / 2). Symbols: ρ density (kg/m³), ω
    rotational speed (rad/s), ν Poisson's ratio (1), r radius (m), h width there (m), a to d constants of each
    ring, σ_r stress (Pa).
    In words: found by joining rings; over a step go displacement, slope, force, moment; the edges are free.
    Range: as that of the hoop stress. Errors: `OutOfRange`. Source: as that of the hoop stress.
    """
    load = _checked(disc, density, rotational_speed, poisson_ratio)
    level = (3 + poisson_ratio) * load / 8
    return max(
        a - b / r**2 - level * r**2
        for ring in _solved(disc, load, poisson_ratio)
        for a, b in _faces(ring)
        for r in _radii(ring.band, b / level)
    )


def stepped_average_stress(
    disc: SteppedDisc,
    density: Annotated[float, "ρ", "kg/m³"],
    rotational_speed: Annotated[float, "ω", "rad/s"],
) -> Annotated[float, "σ_m", "Pa"]:
    """Hoop stress of a disc whose width steps on average over its section: what a tough one bursts by.

    Formula: σ_m = ρ ω² Σ h (r_2³ - r_1³) / (3 Σ h (r_2 - r_1)). Symbols: ρ density (kg/m³), ω rotational
    speed (rad/s), r_1 and r_2 inner and outer radius of each ring (m), h its width (m), σ_m stress (Pa).
    In words: found by adding up the rings.
    Range: one material throughout, ω zero or more. Errors: `OutOfRange`. Source: balance of half a disc.
    """
    positive("density", density)
    not_negative("rotational_speed", rotational_speed)
    pull = sum(band.width * (band.outer**3 - band.inner**3) / 3 for band in disc.bands)
    return (
        density
        * rotational_speed**2
        * pull
        / sum(band.width * (band.outer - band.inner) for band in disc.bands)
    )
