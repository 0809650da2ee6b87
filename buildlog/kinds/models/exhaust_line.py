"""An exhaust line, segment by segment: pressures against the flow, and mass and growth of the tube.

For the kind `exhaust`. The formulae are those of ``buildlog.physics``; the ids of sources are declared by the
kind.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import pi, sqrt
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange, in_row
from buildlog.kinds.declaration import Doubt, Working
from buildlog.kinds.models.burnt_gas import BurntGas
from buildlog.physics import (
    acoustics,
    compressible,
    exhaust_flow,
    exhaust_waves,
    fittings,
    gas,
    junctions,
    pipes,
    tube,
)
from buildlog.physics.tube import GAUGES, MATERIALS
from buildlog.said import said

COLUMNS: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "tube": (("length",), ("loss_coefficient", "roughness")),
    "bend": (("bend_radius", "angle"), ("loss_coefficient", "roughness")),
    "muffler": (("length", "loss_coefficient"), ("mass", "chamber_diameter")),
    "catalyst": (("length", "loss_coefficient"), ("mass",)),
    "tip": (("length",), ("loss_coefficient", "roughness")),
}
"""Kind of segment → the columns that it needs, and those that it may have besides `_ANY`."""
_SLOW = ("muffler", "catalyst")
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
    "path",
    "branch_angle",
)

FAST = 0.3
"""Mach number up to which one thinks of the gas as of a liquid; exhausts are built for less."""
ITO = (1e4, 1e6)
"""Reynolds numbers between which the formula of bends is used; Ito measured from 20 000 to 400 000."""

WALL = Doubt(
    name="friction_factor",
    about="what the Colebrook equation is held to be good to",
    source="colebrook",
    relative=0.15,
    range="turbulent flow",
)
SLOW_WALL = Doubt(
    name="slow_friction",
    about="neither laminar nor turbulent for sure, and never at rest behind an engine",
    source="practice",
    formula="colebrook",
    relative=0.5,
    range="Reynolds numbers below 4000",
)
BEND = Doubt(
    name="bend_loss",
    about="bends by Ito against those by Miller, and next to each other",
    source="ito",
    relative=0.25,
    range="Reynolds numbers 10 000 to 1 000 000",
)
FAR_BEND = Doubt(
    name="bend_loss_outside",
    about="bends at Reynolds numbers that nobody measured",
    source="practice",
    formula="ito",
    relative=0.6,
    range="outside of 10 000 to 1 000 000",
)
STEP = Doubt(
    name="step_loss",
    about="steps and cones by Crane against other handbooks, and close to the next part",
    source="crane",
    relative=0.25,
)
JUNCTION = Doubt(
    name="junction_loss",
    about="where pipes part or meet: handbooks differ by as much",
    source="practice",
    formula="crane",
    relative=0.3,
)
PULSES = Doubt(
    name="exhaust_pulses",
    about="the flow pulses where a steady one is reckoned: means that were measured differ by up to this",
    source="practice",
    formula="continuity",
    relative=0.2,
    limits=True,
)
STATED_LOSS = Doubt(
    name="stated_loss_coefficient",
    about="a loss coefficient from a table or a catalogue, not from a flow bench",
    source="practice",
    relative=0.25,
)
DOUBTS = (WALL, SLOW_WALL, BEND, FAR_BEND, STEP, JUNCTION, PULSES)


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


@dataclass(frozen=True)
class Path:
    """Segments one after the other. Of two paths side by side each has a name."""

    name: str
    segments: tuple[LineSegment, ...]

    def branch_angle(self) -> float | None:
        """The angle at which it leaves the straight run and meets it again; none of the run itself."""
        angles = [segment.row["branch_angle"] for segment in self.segments if "branch_angle" in segment.row]
        return float(angles[0]) if angles else None


def stretches(segments: Sequence[LineSegment]) -> list[tuple[Path, ...]]:
    """The line as it is passed: single paths, and pairs of paths side by side."""
    found: list[dict[str, list[LineSegment]]] = []
    parted = False
    for index, segment in enumerate(segments):
        name = str(segment.row.get("path", ""))
        with in_row(index):
            if "branch_angle" in segment.row and not name:
                raise InputsConflict(
                    "segments",
                    "branch_angle without path",
                    "the path that leaves at it",
                    at=("branch_angle",),
                )
            if not found or parted != bool(name):
                found.append({})
            parted = bool(name)
            found[-1].setdefault(name, []).append(segment)
            if len(found[-1]) > 2:
                raise InputsConflict(
                    "segments",
                    f"a third path, {name}",
                    "two paths side by side, with a segment without path before the next two",
                    help="of like pipes give the number as pipes",
                    at=("path",),
                )
    for stretch in found:
        if len(stretch) == 1 and "" not in stretch:
            (alone,) = stretch
            raise InputsConflict(
                "segments", f"path {alone} alone", "two paths side by side", help="leave path out"
            )
    return [tuple(Path(name, tuple(rows)) for name, rows in stretch.items()) for stretch in found]


class ExhaustLine:
    """What comes of a line: values by segment in `by_segment`, by path in `shares`, and whole ones in
    `values`."""

    def __init__(self, given: Mapping[str, Any], segments: Sequence[LineSegment], working: Working) -> None:
        self.given, self.segments, self.working = given, segments, working
        self.by_segment: dict[str, dict[str, float]] = {}
        self.values: dict[str, float] = {}
        self.shares: dict[str, float] = {}
        self.exit_losses: list[tuple[str, float, float]] = []
        self.stretches = stretches(segments)

    def note(
        self,
        name: str,
        segment: LineSegment,
        function: Callable[..., float],
        source: str | Doubt,
        **arguments: float,
    ) -> float:
        """A step of a segment, kept by its name and the segment's key."""
        result = self.working.step(f"{name}.{segment.key}", function, source=source, **arguments)
        self.by_segment.setdefault(name, {})[segment.key] = result
        return result

    # --- pressures ---------------------------------------------------------------------

    def pressures(self, burnt: BurntGas, mass_flow: float) -> None:
        """Pressure ahead of each segment, reckoned from the open air against the flow."""
        ambient = self.given["ambient_pressure"]
        self.burnt, self.mass_flow = burnt, mass_flow
        total: float | None = None
        for number in reversed(range(len(self.stretches))):
            stretch = self.stretches[number]
            if len(stretch) == 1:
                total = self._along(stretch[0], mass_flow, total)
            else:
                total = self._side_by_side(number, stretch, total)
        assert total is not None, "a line has segments"
        self._exit_loss()
        above = self.working.step(
            "pressure_above_ambient",
            exhaust_flow.gauge_pressure,
            source="continuity",
            pressure=total,
            ambient_pressure=ambient,
        )
        self.values["back_pressure"] = self.working.step(
            "back_pressure", exhaust_flow.with_pulses, source=PULSES, pressure=above
        )
        self._limits()
        parted = [segment.pipes for segment in self.segments]
        if len(set(parted)) > 1:
            self.working.remark(
                said("Where like pipes part or meet no loss is counted but what loss_coefficient says there.")
            )

    def _limits(self) -> None:
        """Where the gas nears choking, and where it is too slow for the formulae."""
        for key, mach in self.by_segment["mach_number"].items():
            if mach >= 1:
                self.working.remark(
                    said(
                        "Segment {key} chokes at its end: the gas cannot go faster, and what is ahead of it "
                        "takes whatever pressure drives the flow through.",
                        key=key,
                    )
                )
            else:
                self.working.limit(
                    "mach_number",
                    key,
                    most=FAST,
                    says=said(
                        "In segment {key} the gas [may go|goes] at more than Mach {mach}: a little more "
                        "flow costs much more pressure, and pulses choke it already.",
                        key=key,
                        mach=FAST,
                    ),
                )

    def _exit_loss(self) -> None:
        """Loss with the speed at the exit, or the mean of two exits by their flows."""
        mean = 0.0
        for number, (name, share, loss) in enumerate(self.exit_losses, start=1):
            if len(self.exit_losses) == 1:
                mean = loss
                break
            part = self.working.step(
                f"part_of_exit_loss.{name}",
                exhaust_flow.loss_of_share,
                source="continuity",
                flow_share=share,
                loss=loss,
            )
            mean = self.working.step(
                "exit_loss" if number == len(self.exit_losses) else f"exit_loss_with.{name}",
                exhaust_flow.mean_loss_with,
                source="continuity",
                mean_loss=mean,
                further_loss=part,
            )
        self.values["exit_loss"] = mean

    def _along(self, path: Path, mass_flow: float, total: float | None) -> float:
        """Absolute total pressure ahead of a path, from that after it; none after it is the open air."""
        segments = path.segments
        for number in reversed(range(len(segments))):
            segment = segments[number]
            flux = self._flux(segment, mass_flow)
            sound = self.burnt.sound(segment.gas_temperature, segment.key)
            self.by_segment.setdefault("speed_of_sound", {})[segment.key] = sound
            gas_of = {
                "gas_constant": self.burnt.gas_constant,
                "total_temperature": segment.gas_temperature,
                "heat_capacity_ratio": self.burnt.heat_capacity_ratio,
            }
            if total is None:
                mach, total = self._exit(path, segment, flux, mass_flow=mass_flow, gas_of=gas_of)
            else:
                mach = self.note(
                    "mach_number",
                    segment,
                    compressible.mach_number_at_total_pressure,
                    "fanno",
                    total_pressure=total,
                    mass_flux=flux,
                    **gas_of,
                )
            self._speed(segment, mach, sound, gas_of["heat_capacity_ratio"])
            ahead, total = self._before(segment, flux, total=total, mach=mach, gas_of=gas_of)
            before = self._segment_before(segment)
            if before is not None and before.gas_temperature != segment.gas_temperature:
                total = self._cooling(before, segment, flux, mach=ahead, total=total, gas_of=gas_of)
            self.note(
                "pressure_ahead",
                segment,
                exhaust_flow.gauge_pressure,
                "continuity",
                pressure=total,
                ambient_pressure=self.given["ambient_pressure"],
            )
        assert total is not None, "a path has segments"
        return total

    def _flux(self, segment: LineSegment, mass_flow: float) -> float:
        one = self.note(
            "pipe_mass_flow",
            segment,
            exhaust_flow.flow_of_one,
            "continuity",
            exhaust_mass_flow=mass_flow,
            share=1 / segment.pipes,
        )
        return self.note(
            "mass_flux", segment, exhaust_flow.mass_flux, "continuity", mass_flow=one, bore=segment.bore
        )

    def _exit(
        self, path: Path, segment: LineSegment, flux: float, mass_flow: float, gas_of: Mapping[str, float]
    ) -> tuple[float, float]:
        """Mach number and absolute total pressure at an open end."""
        ambient = self.given["ambient_pressure"]
        end = f".{path.name}" if path.name else ""
        mach = self.note(
            "mach_number",
            segment,
            compressible.mach_number_at_pressure,
            "naca-1135",
            mass_flux=flux,
            pressure=ambient,
            **gas_of,
        )
        total = self.working.step(
            f"exit_total_pressure{end}",
            compressible.total_pressure_of_flux,
            source="naca-1135",
            mass_flux=flux,
            mach_number=mach,
            **gas_of,
        )
        loss = self.working.step(
            f"exit_loss{end}",
            exhaust_flow.gauge_pressure,
            source="crane",
            pressure=total,
            ambient_pressure=ambient,
        )
        self.exit_losses.append((path.name, mass_flow / self.mass_flow, loss))
        return mach, total

    def _speed(self, segment: LineSegment, mach: float, sound: float, ratio: float) -> None:
        """Speed at the end of a segment: sound is slower in the gas that moves, since it is cooler."""
        temperature = self.note(
            "static_temperature",
            segment,
            compressible.static_temperature,
            "naca-1135",
            total_temperature=segment.gas_temperature,
            mach_number=mach,
            heat_capacity_ratio=ratio,
        )
        moving = self.note(
            "speed_of_sound_in_motion",
            segment,
            compressible.sound_at_temperature,
            "ideal-gas",
            speed_of_sound=sound,
            temperature=segment.gas_temperature,
            other_temperature=temperature,
        )
        self.note(
            "gas_speed",
            segment,
            compressible.speed_of_mach_number,
            "ideal-gas",
            mach_number=mach,
            speed_of_sound=moving,
        )

    def _before(
        self, segment: LineSegment, flux: float, total: float, mach: float, gas_of: Mapping[str, float]
    ) -> tuple[float, float]:
        """Mach number and absolute total pressure ahead of a segment, from those after it."""
        number = self.segments.index(segment)
        coefficient = self.note(
            "loss_coefficient",
            segment,
            exhaust_flow.sum_of_loss_coefficients,
            "crane",
            wall=self._wall(segment, flux),
            fitting=segment.row.get("loss_coefficient", 0.0),
            narrowing=self._narrowing(number),
            widening=self._widening(number),
        )
        ahead = self.note(
            "mach_number_ahead",
            segment,
            compressible.mach_number_before_friction,
            "fanno",
            mach_number_after=mach,
            loss_coefficient=coefficient,
            heat_capacity_ratio=gas_of["heat_capacity_ratio"],
        )
        before = self.note(
            "total_pressure",
            segment,
            compressible.total_pressure_of_flux,
            "naca-1135",
            mass_flux=flux,
            mach_number=ahead,
            **gas_of,
        )
        self.note(
            "pressure_loss",
            segment,
            exhaust_flow.pressure_loss,
            "continuity",
            total_pressure_before=before,
            total_pressure_after=total,
        )
        return ahead, before

    def _segment_before(self, segment: LineSegment) -> LineSegment | None:
        """The segment that the gas comes from; none at the start, and where paths meet."""
        last: LineSegment | None = None
        for paths in self.stretches:
            for path in paths:
                if segment in path.segments:
                    number = path.segments.index(segment)
                    return path.segments[number - 1] if number else last
            last = paths[0].segments[-1] if len(paths) == 1 else None
        return None

    def _cooling(
        self,
        before: LineSegment,
        here: LineSegment,
        flux: float,
        mach: float,
        total: float,
        gas_of: Mapping[str, float],
    ) -> float:
        """Absolute total pressure before the gas cooled from the mean of one segment to that of the next. In
        a silencer or a catalyst it is slow, and its cooling there gives nothing back."""
        boxes = sum(one.kind in _SLOW for one in (before, here))
        if boxes == 2:
            return total
        warm = self.note(
            "temperature_before",
            here,
            exhaust_flow.temperature_of_fall,
            "continuity",
            gas_temperature=here.gas_temperature,
            temperature_before=before.gas_temperature,
            share=1 - boxes / 2,
        )
        ratio = self.note(
            "temperature_ratio", here, pipes.share, "continuity", part=warm, whole=here.gas_temperature
        )
        warmer = self.note(
            "mach_number_before_cooling",
            here,
            compressible.mach_number_before_cooling,
            "rayleigh",
            mach_number_after=mach,
            temperature_ratio=ratio,
            heat_capacity_ratio=gas_of["heat_capacity_ratio"],
        )
        if warmer >= 1:
            self.working.remark(
                said(
                    "The gas chokes where it comes into segment {segment}, before it cools.", segment=here.key
                )
            )
        needed = self.note(
            "total_pressure_before_cooling",
            here,
            compressible.total_pressure_of_flux,
            "naca-1135",
            mass_flux=flux,
            mach_number=warmer,
            **{**gas_of, "total_temperature": warm},
        )
        self.note(
            "cooling_gain",
            here,
            exhaust_flow.cooling_gain,
            "continuity",
            total_pressure_after=total,
            total_pressure_before=needed,
        )
        return needed

    # --- two paths ---------------------------------------------------------------------

    def _side_by_side(self, number: int, paths: tuple[Path, ...], total: float | None) -> float:
        """Absolute total pressure where two paths part, which both lose to the same."""

        def off(share: float, line: ExhaustLine) -> tuple[float, float]:
            first, second = (
                line._path(number, paths, path, of_path, total)
                for path, of_path in zip(paths, (share, 1 - share), strict=True)
            )
            return first, second

        share = self._share(off)
        for path, of_path in zip(paths, (share, 1 - share), strict=True):
            self.shares[path.name] = self.working.step(
                f"path_share.{path.name}", exhaust_flow.found_share, source="continuity", share=of_path
            )
        return off(share, self)[0]

    def _share(self, off: Callable[[float, ExhaustLine], tuple[float, float]]) -> float:
        """The first path's share of the flow, by false position (Illinois)."""

        def missed(share: float) -> float:
            line = ExhaustLine(self.given, self.segments, Working(shifts=self.working.shifts))
            line.burnt, line.mass_flow = self.burnt.beside(line.working), self.mass_flow
            first, second = off(share, line)
            return first - second

        low, high = 1e-3, 1 - 1e-3
        at_low, at_high = missed(low), missed(high)
        if at_low > 0 or at_high < 0:
            raise NoSolution(
                "segments",
                "two paths of which one would have less than a thousandth of the flow",
                "paths that both carry gas forwards",
                help="check their bores and loss coefficients; a path that is shut is left out",
            )
        share = kept = 0.5
        for _ in range(80):
            share = (low * at_high - high * at_low) / (at_high - at_low)
            at = missed(share)
            if abs(at) < 1e-9 * self.given["ambient_pressure"] or high - low < 1e-13:
                break
            if at > 0:
                high, at_high = share, at
                at_low /= 2 if kept > 0 else 1
            else:
                low, at_low = share, at
                at_high /= 2 if kept < 0 else 1
            kept = at
        return share

    def _path(
        self, number: int, paths: tuple[Path, ...], path: Path, share: float, total: float | None
    ) -> float:
        """Absolute total pressure ahead of one of two paths that takes a share of the flow."""
        mass_flow = self.working.step(
            f"flow_of_path.{path.name}",
            junctions.flow_of_path,
            source="continuity",
            flow_share=share,
            exhaust_mass_flow=self.mass_flow,
        )
        if total is not None and number + 1 < len(self.stretches):
            whole = self.stretches[number + 1][0].segments[0]
            total = self._junction("meeting", paths, path, share=share, whole=whole, total=total)
        ahead = self._along(path, mass_flow, total)
        if number:
            whole = self.stretches[number - 1][0].segments[-1]
            ahead = self._junction("parting", paths, path, share=share, whole=whole, total=ahead)
        return ahead

    def _junction(
        self,
        what: str,
        paths: tuple[Path, ...],
        path: Path,
        share: float,
        whole: LineSegment,
        total: float,
    ) -> float:
        """Absolute total pressure ahead of where a path leaves or meets the other."""
        angles = [one.branch_angle() for one in paths]
        if angles == [None, None]:
            self.working.remark(
                said(
                    "Where the paths part and meet no loss is counted: give branch_angle to the one that "
                    "leaves."
                )
            )
            return total
        own = path.branch_angle()
        is_branch = own is not None
        angle = next(one for one in (own, *angles) if one is not None)
        side = path if is_branch else next(one for one in paths if one.branch_angle() is not None)
        end = side.segments[0 if what == "parting" else -1]
        part = share if is_branch else 1 - share
        own_end = path.segments[0 if what == "parting" else -1]
        if not is_branch and abs(own_end.bore - whole.bore) > SAME_BORE * whole.bore:
            self.working.remark(
                said(
                    "The straight run through {path} changes its bore where the paths part or meet, and no "
                    "step is counted there: give a short segment of that bore before or after them.",
                    path=path.name,
                )
            )
        name = f"{what}.{path.name}"
        ratio = self.working.step(
            f"area_ratio_{name}",
            junctions.area_ratio,
            source="geometry",
            diameter=end.bore * sqrt(end.pipes),
            other_diameter=whole.bore * sqrt(whole.pipes),
        )
        coefficient = self._junction_coefficient(what, path, is_branch, part, ratio=ratio, angle=angle)
        flux = self.working.step(
            f"mass_flux_{name}",
            exhaust_flow.mass_flux,
            source="continuity",
            mass_flow=self.mass_flow / whole.pipes,
            bore=whole.bore,
        )
        head = self.working.step(
            f"dynamic_pressure_{name}",
            junctions.head_of_flux,
            source="ideal-gas",
            mass_flux=flux,
            gas_constant=self.burnt.gas_constant,
            total_temperature=whole.gas_temperature,
            total_pressure=total,
        )
        return self.working.step(
            f"pressure_before_{name}",
            junctions.pressure_before_junction,
            source="continuity",
            pressure_after=total,
            loss_coefficient=coefficient,
            dynamic_pressure=head,
        )

    def _junction_coefficient(
        self, what: str, path: Path, is_branch: bool, part: float, ratio: float, angle: float
    ) -> float:
        name = f"junction_loss_{what}.{path.name}"
        arguments = {"flow_share": part, "area_ratio": ratio}
        if what == "meeting":
            arguments["meeting_factor"] = self.working.step(
                f"meeting_factor.{path.name}", junctions.meeting_factor, source="crane", angle=angle
            )
            formula: Callable[..., float] = junctions.meeting_branch if is_branch else junctions.meeting_run
        else:
            formula = junctions.parting_branch if is_branch else junctions.parting_run
            arguments |= {"angle": angle} if is_branch else {}
        return self.working.step(name, formula, source=JUNCTION.of(f"{what}-{path.name}"), **arguments)

    # --- loss coefficients -------------------------------------------------------------

    def _wall(self, segment: LineSegment, flux: float) -> float:
        """Loss coefficient of friction, or of a bend with its friction; none where it is given whole."""
        if "roughness" not in COLUMNS[segment.kind][1]:
            return 0.0
        viscosity = self.note(
            "dynamic_viscosity",
            segment,
            gas.dynamic_viscosity,
            "mansouri",
            temperature=segment.gas_temperature,
            equivalence_ratio=self.burnt.equivalence_ratio,
        )
        reynolds = self.note(
            "reynolds_number",
            segment,
            exhaust_flow.reynolds_number_of_flux,
            "continuity",
            mass_flux=flux,
            diameter=segment.bore,
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
            slow = reynolds < pipes.TURBULENT
            if slow:
                self.working.remark(
                    said(
                        "In segment {segment} the flow is not surely turbulent (Reynolds number "
                        "{reynolds}): its friction is doubtful by {share}.",
                        segment=segment.key,
                        reynolds=f"{reynolds:.0f}",
                        share=f"{SLOW_WALL.relative:.0%}",
                    )
                )
            return self.note(
                "wall_loss_coefficient",
                segment,
                pipes.friction_loss_coefficient,
                SLOW_WALL.of(segment.key) if slow else WALL,
                friction_factor=factor,
                length=segment.length,
                diameter=segment.bore,
            )
        return self._bend(segment, reynolds, rough, factor)

    def _bend(self, segment: LineSegment, reynolds: float, rough: float, factor: float) -> float:
        """Loss coefficient of a bend. Outside of what Ito measured that of the nearest end is taken, is said
        to be, and has more doubt."""
        inside = min(max(reynolds, ITO[0]), ITO[1])
        if inside != reynolds:
            self.working.remark(
                said(
                    "Segment {segment} has a Reynolds number of {reynolds}, and bends were measured "
                    "from {low} to {high}: its loss coefficient is that of {inside}, and "
                    "doubtful by {share}.",
                    segment=segment.key,
                    reynolds=f"{reynolds:.0f}",
                    low=f"{ITO[0]:.0f}",
                    high=f"{ITO[1]:.0f}",
                    inside=f"{inside:.0f}",
                    share=f"{FAR_BEND.relative:.0%}",
                )
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
            (BEND if inside == reynolds else FAR_BEND).of(segment.key),
            bend_constant=constant,
            reynolds_number=inside,
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
            STEP.of(f"before-{here.key}"),
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
            STEP.of(f"after-{here.key}"),
            diameter=here.bore,
            diameter_after=after.bore,
            angle=after.row.get("cone_angle", pi),
        )

    def _stepped(self, number: int) -> bool:
        """Whether the bore changes between a segment and the next of its path."""
        if number + 1 == len(self.segments):
            return False
        before, after = self.segments[number], self.segments[number + 1]
        together = before.pipes == after.pipes and before.row.get("path") == after.row.get("path")
        return together and abs(before.bore - after.bore) > SAME_BORE * before.bore

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
            self.working.remark(
                said("The mass is without {segments}: no mass is given for it.", segments=", ".join(unknown))
            )
        self.values["mass"] = mass

    def growth(self) -> None:
        """How much each segment and the line lengthen when hot; of two paths the first counts."""
        total, way = 0.0, self.way()
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
            if segment not in way:
                continue
            name = "total_growth" if segment is way[-1] else f"growth_to_{segment.key}"
            total = self.working.step(
                name, tube.total_growth, source="geometry", growth=total, further_growth=own_growth
            )
        self.values["total_growth"] = total

    def _material(self, segment: LineSegment) -> tube.Material:
        return MATERIALS[segment.row.get("material", self.given["material"])]

    # --- sound -------------------------------------------------------------------------

    def place(self, name: str) -> LineSegment:
        """The segment of a name."""
        for segment in self.segments:
            if segment.key == name:
                return segment
        raise InputsConflict(
            "branch_at", f"{name}", "one of the segments: " + ", ".join(one.key for one in self.segments)
        )

    def way(self, by: LineSegment | None = None) -> list[LineSegment]:
        """The segments from the collector to the tip, of two paths those of the one that a segment is on, or
        those of the first."""
        taken: list[LineSegment] = []
        for paths in self.stretches:
            own = [path for path in paths if by in path.segments]
            taken += (own or list(paths))[0].segments
        return taken

    def _behind(self, place: LineSegment, other: LineSegment) -> bool:
        return self.segments.index(other) > self.segments.index(place)

    def pressure_at(self, place: LineSegment, frequency: float, name: str) -> float:
        """Sound pressure at the head of a segment over the largest of the standing wave before the exit."""
        rest = [one for one in self.way(place) if one is place or self._behind(place, one)]
        last = rest[-1]
        time = 0.0
        for number, segment in enumerate(rest):
            length = segment.length
            if segment is last:
                end = self.working.step(
                    "tail_end_correction",
                    acoustics.free_end_correction,
                    source="acoustics",
                    diameter=segment.bore,
                )
                length = self.working.step(
                    "tail_acoustic_length",
                    acoustics.length_with_ends,
                    source="geometry",
                    length=length,
                    first_end=end,
                    second_end=0.0,
                )
            time = self.working.step(
                f"time_to_exit_past_{number + 1}",
                exhaust_waves.travel_time,
                source="acoustics",
                travel_time_before=time,
                length=length,
                speed_of_sound=self.by_segment["speed_of_sound"][segment.key],
            )
        if any(segment.kind in ("muffler", "catalyst") for segment in rest):
            self.working.remark(
                said(
                    "Between the branch and the exit there is a silencer or a catalyst, which sends sound "
                    "back itself: the share of the standing wave's pressure is then no more than a guess."
                )
            )
        return self.working.step(
            name,
            acoustics.standing_wave_pressure,
            source="acoustics",
            frequency=frequency,
            travel_time=time,
        )

    def outputs(self, names: Sequence[str]) -> dict[str, dict[str, float]]:
        """Values by segment in the order of the line."""
        keys = [segment.key for segment in self.segments]
        made = {name: self.by_segment[name] for name in names if name in self.by_segment}
        return {name: {key: by[key] for key in keys if key in by} for name, by in made.items()}
