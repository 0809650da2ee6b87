"""An exhaust line, segment by segment: pressures against the flow, and mass and growth of the tube.

For the kind `exhaust`. The formulae are those of ``buildlog.physics``; the ids of sources are declared by the
kind.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import pi
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, in_row
from buildlog.kinds.declaration import Working
from buildlog.kinds.models.burnt_gas import BurntGas
from buildlog.physics import compressible, exhaust_flow, fittings, gas, pipes, tube
from buildlog.physics.tube import GAUGES, MATERIALS

COLUMNS: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "tube": (("length",), ("loss_coefficient", "roughness")),
    "bend": (("bend_radius", "angle"), ("loss_coefficient", "roughness")),
    "muffler": (("length", "loss_coefficient"), ("mass",)),
    "catalyst": (("length", "loss_coefficient"), ("mass",)),
    "tip": (("length",), ("loss_coefficient", "roughness")),
}
"""Kind of segment → the columns that it needs, and those that it may have besides `_ANY`."""
SAME_BORE = 0.01
"""Relative: bores that meet without a step."""

_ANY = (
    "name",
    "kind",
    "outer_diameter",
    "wall_thickness",
    "material",
    "pipes",
    "cone_angle",
    "gas_temperature",
    "wall_temperature",
)


@dataclass(frozen=True)
class LineSegment:
    """One row with what the block says for all of them filled in; lengths and temperatures in SI."""

    key: str
    row: Mapping[str, Any]
    wall_thickness: float
    gas_temperature: float

    @property
    def kind(self) -> str:
        return str(self.row["kind"])

    @property
    def bore(self) -> float:
        return tube.bore_of_tube(self.row["outer_diameter"], self.wall_thickness)

    @property
    def pipes(self) -> int:
        return int(self.row.get("pipes", 1))

    @property
    def length(self) -> float:
        """Along the middle."""
        if self.kind == "bend":
            return float(self.row["bend_radius"] * self.row["angle"])
        return float(self.row["length"])


def read(given: Mapping[str, Any]) -> list[LineSegment]:
    """The rows of `segments`, checked; faults name the input and the row."""
    if "gauge" in given and "wall_thickness" in given:
        raise InputsConflict("gauge", "wall_thickness as well", "one of the two", help="leave one out")
    wall = GAUGES[given["gauge"]] if "gauge" in given else given.get("wall_thickness")
    line: list[LineSegment] = []
    for index, row in enumerate(given["segments"]):
        with in_row(index):
            key = _key(index + 1, row, [segment.key for segment in line])
            line.append(_segment(key, row, wall, given["gas_temperature"]))
    return line


def _segment(key: str, row: Mapping[str, Any], wall: float | None, gas_temperature: float) -> LineSegment:
    """A row that has what its kind needs and nothing else."""
    needed, allowed = COLUMNS[row["kind"]]
    for column in needed:
        if column not in row:
            raise MissingInput("segments", f"segment {key} ({row['kind']}) without {column}", column)
    for column in row:
        if column not in (*needed, *allowed, *_ANY):
            raise InputsConflict(
                "segments",
                f"segment {key} ({row['kind']}) with {column}",
                "only " + ", ".join((*needed, *allowed, *_ANY[2:])),
                at=(column,),
            )
    thickness = row.get("wall_thickness", wall)
    if thickness is None:
        raise MissingInput(
            "wall_thickness",
            f"segment {key} without a wall",
            "wall_thickness or gauge, for all or in its row",
        )
    return LineSegment(key, row, thickness, row.get("gas_temperature", gas_temperature))


def _key(number: int, row: Mapping[str, Any], taken: Sequence[str]) -> str:
    name = str(row.get("name", number))
    if "name" in row and (
        not all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in name)
        or not any(letter.isalpha() for letter in name)
    ):
        raise InputsConflict(
            "segments",
            f"the name “{name}”",
            "letters, with digits, - and _",
            help="figures in the text name the segment by it",
            at=("name",),
        )
    if name in taken:
        raise InputsConflict("segments", f"two segments named {name}", "a name for each", at=("name",))
    return name


class ExhaustLine:
    """What comes of a line: values by segment in `by_segment`, and whole ones in `values`."""

    def __init__(self, given: Mapping[str, Any], segments: Sequence[LineSegment], working: Working) -> None:
        self.given, self.segments, self.working = given, segments, working
        self.by_segment: dict[str, dict[str, float]] = {}
        self.values: dict[str, float] = {}

    def note(
        self, name: str, segment: LineSegment, function: Callable[..., float], source: str, **arguments: float
    ) -> float:
        """A step of a segment, kept by its name and the segment's key."""
        result = self.working.step(f"{name}.{segment.key}", function, source=source, **arguments)
        self.by_segment.setdefault(name, {})[segment.key] = result
        return result

    # --- pressures ---------------------------------------------------------------------

    def pressures(self, burnt: BurntGas, mass_flow: float) -> None:
        """Pressure ahead of each segment, reckoned from the open air against the flow."""
        ambient = self.given["ambient_pressure"]
        last = self.segments[-1]
        self.one_pipe = {segment.key: self._share(segment, mass_flow) for segment in self.segments}
        density = burnt.density(ambient, last.gas_temperature, "exit_density")
        speed = self.working.step(
            "exit_speed",
            exhaust_flow.mean_gas_speed,
            source="continuity",
            mass_flow=self.one_pipe[last.key],
            density=density,
            bore=last.bore,
        )
        head = self.working.step(
            "exit_dynamic_pressure",
            compressible.dynamic_pressure,
            source="continuity",
            density=density,
            speed=speed,
        )
        coefficient = self.working.step(
            "exit_loss_coefficient", fittings.exit_loss_coefficient, source="crane"
        )
        loss = self.values["exit_loss"] = self.working.step(
            "exit_loss", pipes.loss, source="continuity", loss_coefficient=coefficient, dynamic_pressure=head
        )
        total = self.working.step(
            "exit_total_pressure",
            exhaust_flow.pressure_before,
            source="continuity",
            pressure_after=ambient,
            loss=loss,
        )
        for number in reversed(range(len(self.segments))):
            total = self._before(number, total, burnt)
        self.values["back_pressure"] = self.working.step(
            "back_pressure",
            exhaust_flow.gauge_pressure,
            source="continuity",
            pressure=total,
            ambient_pressure=ambient,
        )
        if (fastest := max(self.by_segment["mach_number"].values())) > 0.3:
            self.working.remark(
                f"The gas reaches Mach {fastest:.2f}. At 0.3 the loss comes out 5 % too small, at 0.5 "
                "11 %: read it as a warning, not as a figure."
            )
        parted = [segment.pipes for segment in self.segments]
        if len(set(parted)) > 1:
            self.working.remark(
                "Where pipes part or meet no loss is counted but what loss_coefficient says there."
            )

    def _share(self, segment: LineSegment, mass_flow: float) -> float:
        return self.note(
            "pipe_mass_flow",
            segment,
            exhaust_flow.flow_of_one,
            "continuity",
            exhaust_mass_flow=mass_flow,
            share=1 / segment.pipes,
        )

    def _before(self, number: int, total: float, burnt: BurntGas) -> float:
        """Absolute total pressure ahead of a segment, from that after it."""
        segment = self.segments[number]
        temperature, bore = segment.gas_temperature, segment.bore
        flux = self.note(
            "mass_flux",
            segment,
            exhaust_flow.mass_flux,
            "continuity",
            mass_flow=self.one_pipe[segment.key],
            bore=bore,
        )
        try:
            static = self.note(
                "static_pressure",
                segment,
                exhaust_flow.static_pressure,
                "ideal-gas",
                total_pressure=total,
                mass_flux=flux,
                gas_constant=burnt.gas_constant,
                temperature=temperature,
            )
        except OutOfRange as refused:
            raise OutOfRange(
                "segments",
                f"segment {segment.key}: a mass flux of {flux:.1f} kg/(m²·s)",
                f"at most {float(refused.expected.split()[-1]):.1f} kg/(m²·s)",
                help=refused.help,
            ) from None
        density = burnt.density(static, temperature, f"gas_density.{segment.key}")
        speed = self.note(
            "gas_speed",
            segment,
            exhaust_flow.mean_gas_speed,
            "continuity",
            mass_flow=self.one_pipe[segment.key],
            density=density,
            bore=bore,
        )
        sound = burnt.sound(temperature, segment.key)
        self.note(
            "mach_number", segment, compressible.mach_number, "ideal-gas", speed=speed, speed_of_sound=sound
        )
        head = self.note(
            "dynamic_pressure",
            segment,
            compressible.dynamic_pressure,
            "continuity",
            density=density,
            speed=speed,
        )
        coefficient = self.note(
            "loss_coefficient",
            segment,
            exhaust_flow.sum_of_loss_coefficients,
            "crane",
            wall=self._wall(segment, speed, density, burnt),
            fitting=segment.row.get("loss_coefficient", 0.0),
            narrowing=self._narrowing(number),
            widening=self._widening(number),
        )
        loss = self.note(
            "pressure_loss",
            segment,
            exhaust_flow.pressure_loss,
            "isothermal",
            loss_coefficient=coefficient,
            dynamic_pressure=head,
            pressure=static,
        )
        total = self.note(
            "total_pressure",
            segment,
            exhaust_flow.pressure_before,
            "continuity",
            pressure_after=total,
            loss=loss,
        )
        self.note(
            "pressure_ahead",
            segment,
            exhaust_flow.gauge_pressure,
            "continuity",
            pressure=total,
            ambient_pressure=self.given["ambient_pressure"],
        )
        return total

    def _wall(self, segment: LineSegment, speed: float, density: float, burnt: BurntGas) -> float:
        """Loss coefficient of friction, or of a bend with its friction; none where it is given whole."""
        if "roughness" not in COLUMNS[segment.kind][1]:
            return 0.0
        viscosity = self.note(
            "dynamic_viscosity",
            segment,
            gas.dynamic_viscosity,
            "mansouri",
            temperature=segment.gas_temperature,
            equivalence_ratio=burnt.equivalence_ratio,
        )
        reynolds = self.note(
            "reynolds_number",
            segment,
            pipes.reynolds_number,
            "continuity",
            velocity=speed,
            diameter=segment.bore,
            density=density,
            dynamic_viscosity=viscosity,
        )
        rough = self.note(
            "relative_roughness",
            segment,
            pipes.relative_roughness,
            "colebrook",
            roughness=segment.row.get("roughness", self.given["roughness"]),
            diameter=segment.bore,
        )
        factor = self.note(
            "friction_factor",
            segment,
            pipes.friction_factor,
            "colebrook",
            reynolds_number=reynolds,
            relative_roughness=rough,
        )
        if segment.kind != "bend":
            return self.note(
                "wall_loss_coefficient",
                segment,
                pipes.friction_loss_coefficient,
                "colebrook",
                friction_factor=factor,
                length=segment.length,
                diameter=segment.bore,
            )
        smooth = self.note(
            "smooth_friction_factor",
            segment,
            pipes.friction_factor,
            "colebrook",
            reynolds_number=reynolds,
            relative_roughness=0.0,
        )
        angle = segment.row["angle"]
        ratio = self.note(
            "radius_ratio",
            segment,
            fittings.radius_ratio,
            "ito",
            bend_radius=segment.row["bend_radius"],
            diameter=segment.bore,
        )
        shape = self.note(
            "bend_shape_factor", segment, fittings.bend_shape_factor, "ito", radius_ratio=ratio, angle=angle
        )
        constant = self.note(
            "bend_constant",
            segment,
            fittings.bend_constant,
            "ito",
            bend_shape_factor=shape,
            angle=angle,
            radius_ratio=ratio,
        )
        rougher = self.note("friction_ratio", segment, pipes.share, "ito", part=factor, whole=smooth)
        return self.note(
            "wall_loss_coefficient",
            segment,
            fittings.bend_loss_coefficient,
            "ito",
            bend_constant=constant,
            reynolds_number=reynolds,
            friction_ratio=rougher,
        )

    def _narrowing(self, number: int) -> float:
        """Loss coefficient of a narrowing before a segment, on the velocity in it."""
        if not number or not self._stepped(number - 1):
            return 0.0
        before, here = self.segments[number - 1 : number + 1]
        if before.bore < here.bore:
            return 0.0
        return self.note(
            "narrowing",
            here,
            fittings.contraction_loss_coefficient,
            "crane",
            diameter=before.bore,
            diameter_after=here.bore,
            angle=here.row.get("cone_angle", pi),
        )

    def _widening(self, number: int) -> float:
        """Loss coefficient of a widening after a segment, on the velocity in it."""
        if not self._stepped(number):
            return 0.0
        here, after = self.segments[number : number + 2]
        if here.bore > after.bore:
            return 0.0
        return self.note(
            "widening",
            here,
            fittings.expansion_loss_coefficient,
            "crane",
            diameter=here.bore,
            diameter_after=after.bore,
            angle=after.row.get("cone_angle", pi),
        )

    def _stepped(self, number: int) -> bool:
        """Whether the bore changes between a segment and the next."""
        if number + 1 == len(self.segments):
            return False
        before, after = self.segments[number], self.segments[number + 1]
        return before.pipes == after.pipes and abs(before.bore - after.bore) > SAME_BORE * before.bore

    # --- the tube ----------------------------------------------------------------------

    def masses(self) -> None:
        """Mass of each segment and of the line; silencers and catalysts as weighed."""
        mass, unknown = 0.0, []
        for segment in self.segments:
            if segment.kind in ("muffler", "catalyst"):
                if "mass" not in segment.row:
                    unknown.append(segment.key)
                    continue
                own_mass = self.note(
                    "segment_mass",
                    segment,
                    tube.mass_of_pieces,
                    "geometry",
                    mass=segment.row["mass"],
                    count=segment.pipes,
                )
            else:
                section = self.note(
                    "wall_section",
                    segment,
                    tube.wall_section,
                    "geometry",
                    outer_diameter=segment.row["outer_diameter"],
                    wall_thickness=segment.wall_thickness,
                )
                material = self._material(segment)
                by_length = self.note(
                    "mass_per_metre",
                    segment,
                    tube.mass_per_metre,
                    material.source,
                    wall_section=section,
                    density=material.density,
                )
                own_mass = self.note(
                    "segment_mass",
                    segment,
                    tube.mass_of_length,
                    "geometry",
                    mass_per_metre=by_length,
                    length=segment.length,
                    count=segment.pipes,
                )
            name = "mass" if segment is self.segments[-1] else f"mass_to_{segment.key}"
            mass = self.working.step(
                name, tube.mass_with, source="geometry", mass=mass, further_mass=own_mass
            )
        if unknown:
            self.working.remark(f"The mass is without {', '.join(unknown)}: no mass is given for it.")
        self.values["mass"] = mass

    def growth(self) -> None:
        """How much each segment and the line lengthen when hot."""
        total = 0.0
        for segment in self.segments:
            material = self._material(segment)
            hot = segment.row.get("wall_temperature", self.given["wall_temperature"])
            try:
                low, high, first, second = material.expansion_about(hot)
            except OutOfRange as refused:
                raise OutOfRange(
                    "wall_temperature",
                    f"{refused.found} at segment {segment.key}",
                    refused.expected,
                    help=refused.help,
                ) from None
            expansion = self.note(
                "mean_expansion",
                segment,
                tube.mean_expansion,
                material.source,
                temperature=hot,
                lower_temperature=low,
                upper_temperature=high,
                lower_coefficient=first,
                upper_coefficient=second,
            )
            own_growth = self.note(
                "thermal_growth",
                segment,
                tube.thermal_growth,
                "geometry",
                expansion=expansion,
                length=segment.length,
                temperature=hot,
                cold_temperature=self.given["fitting_temperature"],
            )
            name = "total_growth" if segment is self.segments[-1] else f"growth_to_{segment.key}"
            total = self.working.step(
                name, tube.total_growth, source="geometry", growth=total, further_growth=own_growth
            )
        self.values["total_growth"] = total

    def _material(self, segment: LineSegment) -> tube.Material:
        return MATERIALS[segment.row.get("material", self.given["material"])]

    def outputs(self, names: Sequence[str]) -> dict[str, dict[str, float]]:
        """Values by segment in the order of the line."""
        keys = [segment.key for segment in self.segments]
        made = {name: self.by_segment[name] for name in names if name in self.by_segment}
        return {name: {key: by[key] for key in keys if key in by} for name, by in made.items()}
