"""A duct followed segment by segment, as the air goes: coefficients, split of the flow, losses, pressures.

For the kinds whose air goes through pipes (`duct`, `ram_air`). The formulae are those of
``buildlog.physics``; here stand which of them a row leads to, the columns of a row, and how far each model
may be off. The kinds take `COLUMNS`, `DOUBTS` and `SOURCES` over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from math import degrees, pi, radians

from buildlog.diagnostics import OutOfRange
from buildlog.kinds.declaration import Choice, Doubt, Input, Number, Source, Text, Working
from buildlog.physics import compressible, fittings, network, pipes, scoop
from buildlog.physics.duct_segments import SECTIONS, DuctLayout, DuctSegment
from buildlog.said import said

_MACH = 0.3
_SLENDER, _SLENDEREST = 5, 2
"""Full angle of a cone in degrees, below which its friction counts, and below which it is a pipe."""
_LOWEST_BEND, _HIGHEST_BEND = 1e4, 1e6
_USUAL_BEND = radians(80), radians(120)
_FREE_BELLMOUTH = 0.2
_CORRUGATED = 0.01
"""Relative roughness from which a wall is a corrugation and no roughness."""

# --- how far the models may be off --------------------------------------------------------------

FRICTION = Doubt(
    name="friction_factor",
    about="Colebrook's equation for a wall of known roughness",
    source="moody",
    relative=0.15,
    range="pipes of commercial roughness",
    formula="colebrook",
)
CORRUGATION = Doubt(
    name="corrugation",
    about="a corrugated wall as a roughness; a hose that is not stretched loses far more still",
    source="abushakra",
    relative=0.4,
    range="roughness from 0.01 of the bore, hose fully stretched",
    formula="colebrook",
)
SLOW_FRICTION = Doubt(
    name="slow_friction",
    about="friction below Reynolds number 4000, in pipes too short for laminar flow to develop",
    source="transition",
    relative=0.5,
    range="Reynolds number below 4000",
    formula="colebrook",
)
SECTION = Doubt(
    name="hydraulic_diameter",
    about="the friction factor of a round pipe in a section that is not round",
    source="hydraulic-diameter",
    relative=0.1,
    range="rectangular and oval sections, turbulent",
)
MOUTH = Doubt(
    name="mouth_loss",
    about="loss coefficient of a mouth, from a handbook",
    source="handbooks",
    relative=0.25,
    range="mouths as drawn in the handbooks",
    formula="crane",
)
ROUNDED_MOUTH = Doubt(
    name="rounded_mouth_loss",
    about="loss coefficient of a rounded mouth, where handbooks differ by more than what is left",
    source="handbooks",
    absolute=0.1,
    range="mouths flush with a wall, edge rounded",
    formula="crane",
)
NARROWING = Doubt(
    name="narrowing_loss",
    about="loss coefficient of a narrowing cone",
    source="handbooks",
    relative=0.6,
    range="cones of 15° to 60°",
    formula="crane",
)
STEP = Doubt(
    name="step_loss",
    about="loss coefficient of a step or a widening cone, from a handbook",
    source="handbooks",
    relative=0.25,
    range="steps, and cones up to 60°",
    formula="crane",
)
BEND = Doubt(
    name="bend_loss",
    about="loss coefficient of a bend of about 90°",
    source="handbooks",
    relative=0.25,
    range="smooth bends of 80° to 120°, Reynolds number from 10 000",
    formula="ito",
)
OTHER_BEND = Doubt(
    name="other_bend_loss",
    about="loss coefficient of a bend of another angle, where the methods differ most",
    source="handbooks",
    relative=0.5,
    range="smooth bends below 80° and above 120°, Reynolds number from 10 000",
    formula="ito",
)
SLOW_BEND = Doubt(
    name="slow_bend_loss",
    about="loss coefficient of a bend below Reynolds number 10 000, where Ito did not measure",
    source="transition",
    relative=0.6,
    range="Reynolds number below 10 000",
    formula="ito",
)
EXIT = Doubt(
    name="exit_loss",
    about="velocity that is lost in a box: how uneven the profile is",
    source="handbooks",
    relative=0.1,
    range="turbulent flow",
    formula="borda",
)
FILTER = Doubt(
    name="filter_loss",
    about="scaling of a filter's rating to another flow",
    source="rating",
    relative=0.15,
    range="clean, from a fifth of the rated flow",
)
SLOW_FILTER = Doubt(
    name="slow_filter_loss",
    about="scaling of a filter's rating to less than a fifth of its flow",
    source="rating",
    relative=0.4,
    range="below a fifth of the rated flow",
)
DOUBTS = (
    FRICTION, CORRUGATION, SLOW_FRICTION, SECTION, MOUTH, ROUNDED_MOUTH, STEP, NARROWING, BEND,
    OTHER_BEND, SLOW_BEND, EXIT, FILTER, SLOW_FILTER,
)  # fmt: skip
LIP = Doubt(
    name="lip_loss",
    about="loss at the lip of a mouth in the wind that is asked for more than it meets",
    source="naca-1193",
    relative=0.3,
    range="low speed, lip square to the wind",
)
"""Of mouths in the wind only: a kind that has them declares it besides `DOUBTS`."""

ROUGHNESS = Doubt(
    name="roughness",
    about="roughness from a table; the classes of a table lie a factor of two or more apart",
    source="roughness-tables",
    relative=0.5,
    limits=True,
)
STATED_COEFFICIENT = Doubt(
    name="stated_loss_coefficient",
    about="a loss coefficient from a table or a sheet",
    source="handbooks",
    relative=0.25,
)

SOURCES = (
    Source(
        id="colebrook",
        title="Turbulent flow in pipes, with particular reference to the transition region",
        publisher="Institution of Civil Engineers",
        edition="J. Inst. C. E. 11 (1939) 133–156",
        where="as in fluids 1.3.1",
    ),
    Source(
        id="moody",
        title="Friction factors for pipe flow, L. F. Moody",
        publisher="ASME",
        edition="Trans. ASME 66 (1944) 671–684",
        where="accuracy of the chart, 15 %, as F. M. White, Fluid Mechanics, at fig. 6.13 puts it (read; a "
        "stored public extract)",
    ),
    Source(
        id="abushakra",
        title="Compression effects on pressure loss in flexible HVAC ducts, B. Abushakra, I. S. Walker, "
        "M. H. Sherman",
        publisher="Lawrence Berkeley National Laboratory",
        edition="2004",
        where="abstract: moderate compression raises the loss by a factor of four, more by close to ten",
    ),
    Source(
        id="transition",
        title="Below the range of the measurements: between laminar and turbulent flow any value is found",
        standing="common practice, no source",
    ),
    Source(
        id="hydraulic-diameter",
        title="On turbulent friction in straight ducts with complex cross section: the wall law and the "
        "hydraulic diameter",
        publisher="arXiv",
        edition="1804.02155 (2018)",
        where="abstract: corrections of a few per cent; an annulus in F. M. White, Fluid Mechanics, 6.8: 9 %",
    ),
    Source(
        id="handbooks",
        title="Spread of the methods of Crane, Idelchik, Rennels, Miller, Ito and Swamee for one piece",
        publisher="fluids",
        edition="1.3.1",
        where="fluids.fittings, computed in the tests",
    ),
    Source(
        id="roughness-tables",
        title="ASHRAE's roughness classes of duct walls, as listed on this page",
        where="limits of one class: half as much again either way",
        standing="common practice, no source",
    ),
    Source(id="darcy-weisbach", title="Darcy–Weisbach equation", standing="derived"),
    Source(
        id="crane",
        title="Flow of Fluids through Valves, Fittings, and Pipe",
        publisher="Crane",
        edition="Technical Paper 410",
        where="pp. A-26 and A-29; eq. 2-20; as in fluids 1.3.1",
    ),
    Source(
        id="ito",
        title="Pressure losses in smooth pipe bends, H. Ito",
        publisher="ASME",
        edition="J. Basic Engineering 82 (1960) 131–143",
        where="as in fluids 1.3.1",
    ),
    Source(id="borda", title="Borda–Carnot loss", standing="derived"),
    Source(id="rating", title="The filter's rating, scaled by the stated exponent", standing="derived"),
    Source(
        id="network",
        title="Analysis of flow in networks of conduits or conductors, H. Cross",
        publisher="University of Illinois",
        edition="Bulletin 286 (1936)",
        where="the method, as D. Brkić and P. Praks, Appl. Sci. 9 (2019) 2019, report it (abstract read)",
    ),
    Source(id="continuity", title="Continuity and the balance of total pressure", standing="derived"),
)

# --- a row ---------------------------------------------------------------------------------------

BORE = Number(dimension="length", unit="mm", low=10, high=500, why="ducts of car intakes")
_SIDE = Number(dimension="length", unit="mm", low=5, high=1000, why="ducts of car intakes")
KINDS = {
    "inlet": "mouth of a pipe in still air",
    "hose": "straight pipe or hose",
    "bend": "round bend",
    "expansion": "the bore widens",
    "contraction": "the bore narrows",
    "filter": "air filter",
    "fitting": "piece of a stated loss coefficient",
    "exit": "pipe that ends in a box",
}
COLUMNS = (
    Input(name="name", form=Text(24), about="what figures in the text call it", required=False),
    Input(
        name="path",
        form=Choice({letter: f"part of path {letter}" for letter in "abcd"}),
        about="one of several ways side by side",
        required=False,
    ),
    Input(name="diameter", form=BORE, about="bore", required=False),
    Input(
        name="diameter_after",
        title="diameter after the piece",
        form=BORE,
        about="bore after a step or cone",
        required=False,
    ),
    Input(
        name="section",
        form=Choice({"rectangular": "four straight sides", "oval": "two half circles and straight sides"}),
        about="of a piece that is not round, with width and height",
        required=False,
    ),
    Input(name="width", form=_SIDE, about="longer side of a section that is not round", required=False),
    Input(name="height", form=_SIDE, about="its shorter side", required=False),
    Input(
        name="length",
        form=Number(dimension="length", unit="m", low=0.005, high=10, why="ducts in cars"),
        about="length along the axis",
        required=False,
    ),
    Input(
        name="roughness",
        form=Number(dimension="length", unit="mm", low=0, high=20, why="from glass to deep corrugation"),
        about="equivalent sand roughness of the wall",
        required=False,
        doubt=ROUGHNESS,
    ),
    Input(
        name="bend_radius",
        form=Number(dimension="length", unit="mm", low=10, high=4000, why="bends that fit into a car"),
        about="radius of the centre line",
        required=False,
    ),
    Input(
        name="angle",
        form=Number(dimension="angle", unit="°", low=5, high=180, why="range of the formulae"),
        about="angle of a bend, full angle of a cone",
        required=False,
    ),
    Input(
        name="edge",
        form=Choice(
            {
                "sharp": "flush with a wall, sharp edge",
                "rounded": "flush, with edge_radius",
                "bellmouth": "rounded by 0.15 of the bore or more",
                "projecting": "stands out into the air, sharp edge",
            }
        ),
        about="edge of a mouth",
        required=False,
    ),
    Input(
        name="edge_radius",
        form=Number(dimension="length", unit="mm", low=0.1, high=200, why="trumpets of cars"),
        about="radius of a rounded edge",
        required=False,
    ),
    Input(
        name="loss_coefficient",
        form=Number(dimension="ratio", unit="", low=0, high=50, why="from a smooth joint to a closed flap"),
        about="of a fitting, on the velocity in its bore",
        required=False,
        doubt=STATED_COEFFICIENT,
    ),
    Input(
        name="rated_pressure",
        form=Number(dimension="pressure", unit="Pa", low=5, high=10_000, why="air filters"),
        about="loss at the rated flow",
        required=False,
    ),
    Input(
        name="rated_flow",
        form=Number(dimension="volume flow", unit="m³/s", low=0.001, high=2, why="air filters"),
        about="flow of the rating",
        required=False,
    ),
    Input(
        name="exponent",
        form=Number(dimension="ratio", unit="", low=1, high=2, why="paper alone to housing alone"),
        about="how loss goes with flow",
        required=False,
    ),
    Input(
        name="area",
        form=Number(dimension="area", unit="cm²", low=10, high=10_000, why="air filters"),
        about="face area, for the face velocity",
        required=False,
    ),
)


def kind_column(kinds: Mapping[str, str]) -> Input:
    """The column that says what a piece is."""
    return Input(name="kind", form=Choice(kinds), about="what the piece is")


@contextmanager
def _row(segment: DuctSegment) -> Iterator[None]:
    """A formula that refuses says in which row."""
    try:
        yield
    except OutOfRange as error:
        found = f"segment {segment.key} ({segment.kind}): {error.name.replace('_', ' ')} {error.found}"
        at = (segment.place, error.name)
        raise OutOfRange("segments", found, error.expected, help=error.help, at=at) from None


class Ducting:
    """The losses of one duct. `state` is density and dynamic viscosity; `tables` the outputs by segment."""

    def __init__(
        self, layout: DuctLayout, bend_rule: str, state: Mapping[str, float], sound: float, working: Working
    ) -> None:
        self.layout, self.bend_rule, self.state, self.sound = layout, bend_rule, dict(state), sound
        self.working = working
        self.tables: dict[str, dict[str, float]] = {}
        self.heads: dict[str, float] = {}
        self.lips: dict[str, float] = {}
        self.common = (*layout.before, *layout.after)
        self.parts: dict[str, network.FlowPart] = {}
        for segment in layout.segments:
            with _row(segment):
                self.parts[segment.key] = self._part(segment)
        # What does not depend on the flow, before any doubt moves it.
        self.given = dict(self.tables.get("loss_coefficient", {}))
        self.duct = network.Duct(
            self._path(self.common), tuple(self._path(members) for members in layout.paths.values())
        )

    def note(
        self, output: str, key: str, function: Callable[..., float], source: str, **arguments: float
    ) -> float:
        """Run a formula for one segment and keep its value under an output's name."""
        value = self.working.step(f"{output}.{key}", function, source=source, **arguments)
        self.tables.setdefault(output, {})[key] = value
        return value

    def _between(
        self, name: str, segment: DuctSegment, function: Callable[..., float], source: str, **arguments: float
    ) -> float:
        """A value on the way, which is no output."""
        return self.working.step(f"{name}.{segment.key}", function, source=source, **arguments)

    def _path(self, segments: tuple[DuctSegment, ...]) -> network.FlowPath:
        return network.FlowPath(tuple(self.parts[segment.key] for segment in segments))

    # --- what does not depend on the flow -----------------------------------------------------

    def _part(self, segment: DuctSegment) -> network.FlowPart:
        row, kind = segment.row, segment.kind
        doubt = self.working.factor
        if kind == "filter":
            return network.FlowPart(
                rated_pressure=row["rated_pressure"],
                rated_flow=row["rated_flow"],
                exponent=row["exponent"],
                factor=doubt(FILTER.of(segment.key)),
                low_factor=doubt(SLOW_FILTER.of(segment.key)),
            )
        self._section(segment)
        bore, hydraulic = segment["diameter"], float(row.get("hydraulic_diameter", 0.0))
        if kind == "hose":
            rough = pipes.relative_roughness(row["roughness"], hydraulic or bore)
            factor = doubt(FRICTION)
            factor *= doubt(CORRUGATION.of(segment.key)) if rough > _CORRUGATED else 1.0
            factor *= doubt(SECTION) if hydraulic else 1.0
            return network.FlowPart(
                bore=bore,
                hydraulic=hydraulic,
                friction_length=row["length"],
                roughness=row["roughness"],
                factor=factor,
                low_factor=doubt(SLOW_FRICTION.of(segment.key)),
                low_reynolds=pipes.TURBULENT,
            )
        if kind == "bend":
            return self._bend(segment)
        if kind in ("expansion", "contraction"):
            return self._cone(segment)
        if kind == "scoop":
            self.lips[segment.key] = self._lip(segment)
            return network.FlowPart(bore=bore)
        coefficient = self._mouth(segment)
        return network.FlowPart(
            bore=bore, coefficient=coefficient, factor=self._mouth_factor(segment, coefficient)
        )

    def _mouth_factor(self, segment: DuctSegment, coefficient: float) -> float:
        """What the doubt of a mouth makes of it. A stated coefficient has its own from author or column."""
        if segment.kind == "fitting":
            return 1.0
        if segment.kind == "exit":
            return self.working.factor(EXIT.of(segment.key))
        if segment.row["edge"] in ("rounded", "bellmouth"):
            return 1 + self.working.offset(ROUNDED_MOUTH.of(segment.key)) / coefficient
        return self.working.factor(MOUTH.of(segment.key))

    def _lip(self, segment: DuctSegment) -> float:
        """Loss coefficient in still air of a mouth in the wind, and what its doubt makes of it."""
        edge = segment.row["edge"]
        if edge == "sharp":
            step = self._between(
                "lip_loss_coefficient",
                segment,
                fittings.entrance_loss_coefficient,
                "crane",
                edge_radius_ratio=0.0,
            )
        else:
            ratio = {"projecting": 0.0, "bellmouth": _FREE_BELLMOUTH}.get(edge)
            if ratio is None:
                ratio = self._between(
                    "edge_radius_ratio",
                    segment,
                    fittings.edge_radius_ratio,
                    "continuity",
                    edge_radius=segment["edge_radius"],
                    diameter=segment["diameter"],
                )
            step = self._between(
                "lip_loss_coefficient",
                segment,
                scoop.free_lip_loss_coefficient,
                "idelchik",
                edge_radius_ratio=ratio,
            )
        return step * self.working.factor(LIP.of(segment.key))

    def _section(self, segment: DuctSegment) -> None:
        """The working of a section that is not round; the layout has worked it out already."""
        row = segment.row
        if "section" not in row:
            return
        area, perimeter = SECTIONS[row["section"]]
        sides = {"width": segment["width"], "height": segment["height"]}
        within = self._between("section_area", segment, area, "continuity", **sides)
        wall = self._between("perimeter", segment, perimeter, "continuity", **sides)
        self._between("equal_area_diameter", segment, scoop.equal_area_diameter, "continuity", area=within)
        self._between(
            "hydraulic_diameter",
            segment,
            scoop.hydraulic_diameter,
            "hydraulic-diameter",
            area=within,
            perimeter=wall,
        )

    def _bend(self, segment: DuctSegment) -> network.FlowPart:
        bore, angle, roughness = segment["diameter"], segment["angle"], segment["roughness"]
        hydraulic = float(segment.row.get("hydraulic_diameter", 0.0))
        pipes.relative_roughness(roughness, hydraulic or bore)
        usual = _USUAL_BEND[0] <= angle <= _USUAL_BEND[1]
        moved = self.working.factor((BEND if usual else OTHER_BEND).of(segment.key))
        if hydraulic:
            moved *= self.working.factor(SECTION)
        ratio = self._between(
            "radius_ratio",
            segment,
            fittings.radius_ratio,
            "continuity",
            bend_radius=segment["bend_radius"],
            diameter=bore,
        )
        if self.bend_rule == "ito":
            factor = self._between(
                "bend_shape_factor",
                segment,
                fittings.bend_shape_factor,
                "ito",
                radius_ratio=ratio,
                angle=angle,
            )
            constant = self._between(
                "bend_constant",
                segment,
                fittings.bend_constant,
                "ito",
                bend_shape_factor=factor,
                angle=angle,
                radius_ratio=ratio,
            )
            return network.FlowPart(
                bore=bore,
                hydraulic=hydraulic,
                roughness=roughness,
                bend_constant=constant,
                factor=moved,
                low_factor=self.working.factor(SLOW_BEND.of(segment.key)),
                low_reynolds=_LOWEST_BEND,
            )
        if angle < pi / 2 * (1 - 1e-9):
            raise OutOfRange(
                "angle",
                f"{degrees(angle):.1f}°",
                "90° to 180° with bend_rule: crane",
                help="Crane's rule adds to a bend of 90°; ito takes any angle",
            )
        bend = self._between(
            "crane_bend_ratio", segment, fittings.crane_bend_ratio, "crane", radius_ratio=ratio
        )
        friction = self._between(
            "crane_friction_factor", segment, fittings.crane_friction_factor, "crane", diameter=bore
        )
        coefficient = self.note(
            "loss_coefficient",
            segment.key,
            fittings.crane_bend_loss_coefficient,
            "crane",
            crane_bend_ratio=bend,
            crane_friction_factor=friction,
            radius_ratio=ratio,
            angle=angle,
        )
        return network.FlowPart(bore=bore, crane_bend=coefficient / friction, factor=moved)

    def _cone(self, segment: DuctSegment) -> network.FlowPart:
        bores = {name: segment[name] for name in ("diameter", "diameter_after")}
        if "angle" in segment.row:
            angle = segment["angle"]
        else:
            angle = self._between(
                "cone_angle", segment, fittings.cone_angle, "continuity", **bores, length=segment["length"]
            )
            if angle < radians(_SLENDER if "roughness" not in segment.row else _SLENDEREST):
                raise OutOfRange(
                    "angle",
                    f"{degrees(angle):.1f}°",
                    f"{_SLENDER}° or more, or {_SLENDEREST}° with roughness",
                    help="a cone so slender loses by friction: give the roughness of its wall",
                )
        formula = {
            "expansion": fittings.expansion_loss_coefficient,
            "contraction": fittings.contraction_loss_coefficient,
        }[segment.kind]
        narrow = min(bores.values())
        narrows = segment.kind == "contraction" and angle < pi
        factor = self.working.factor((NARROWING if narrows else STEP).of(segment.key))
        if "roughness" not in segment.row:
            loss = self.note("loss_coefficient", segment.key, formula, "crane", **bores, angle=angle)
            return network.FlowPart(bore=narrow, coefficient=loss, factor=factor)
        pipes.relative_roughness(segment["roughness"], narrow)
        loss = self._between("change_of_bore", segment, formula, "crane", **bores, angle=angle)
        along = self._between(
            "cone_friction_length",
            segment,
            fittings.cone_friction_length,
            "darcy-weisbach",
            **bores,
            angle=angle,
        )
        return network.FlowPart(
            bore=narrow,
            coefficient=loss,
            friction_bores=along,
            roughness=segment["roughness"],
            factor=factor,
        )

    def _mouth(self, segment: DuctSegment) -> float:
        key, kind = segment.key, segment.kind
        if kind == "fitting":
            return self.note(
                "loss_coefficient",
                key,
                fittings.stated_loss_coefficient,
                "darcy-weisbach",
                loss_coefficient=segment["loss_coefficient"],
            )
        if kind == "exit":
            return self.note("loss_coefficient", key, fittings.exit_loss_coefficient, "borda")
        if (edge := segment.row["edge"]) == "projecting":
            formula = fittings.projecting_entrance_loss_coefficient
            return self.note("loss_coefficient", key, formula, "crane")
        ratio = {"sharp": 0.0, "bellmouth": fittings.BELLMOUTH}.get(edge)
        if ratio is None:
            ratio = self._between(
                "edge_radius_ratio",
                segment,
                fittings.edge_radius_ratio,
                "continuity",
                edge_radius=segment["edge_radius"],
                diameter=segment["diameter"],
            )
        return self.note(
            "loss_coefficient", key, fittings.entrance_loss_coefficient, "crane", edge_radius_ratio=ratio
        )

    # --- with the flow ------------------------------------------------------------------------

    def follow(self, flow: float) -> float:
        """Every segment at its flow; total pressure above ambient at the end."""
        pressure = 0.0
        for segment in self.layout.before:
            pressure = self._segment(segment, flow, pressure)
        if self.layout.paths:
            pressure = self._abreast(flow, pressure)
        for segment in self.layout.after:
            pressure = self._segment(segment, flow, pressure)
        self._ends()
        return pressure

    def _abreast(self, flow: float, before: float) -> float:
        loss = self.working.step(
            "loss_side_by_side",
            network.loss_side_by_side,
            self.duct,
            source="network",
            volume_flow=flow,
            **self.state,
        )
        for (name, members), path in zip(self.layout.paths.items(), self.duct.paths, strict=True):
            part = self.tables.setdefault("path_flow", {})[name] = self.working.step(
                f"path_flow.{name}",
                network.flow_at_loss,
                path,
                source="network",
                loss=loss,
                highest_flow=flow,
                **self.state,
            )
            self.note("path_share", name, pipes.share, "continuity", part=part, whole=flow)
            pressure = before
            for segment in members:
                pressure = self._segment(segment, part, pressure)
        return self.working.step(
            "total_pressure_where_paths_meet",
            pipes.total_pressure_after,
            source="continuity",
            total_pressure_before=before,
            loss=loss,
        )

    def _segment(self, segment: DuctSegment, flow: float, before: float) -> float:
        with _row(segment):
            loss = self._filter(segment, flow) if segment.kind == "filter" else self._pipe(segment, flow)
            after = self.note(
                "total_pressure_after",
                segment.key,
                pipes.total_pressure_after,
                "continuity",
                total_pressure_before=before,
                loss=loss,
            )
            if not segment.after:
                head = 0.0
            elif segment.after == self.parts[segment.key].bore:
                head = self.heads[segment.key]
            else:
                head = self._head(segment, flow, segment.after, "_after")
            self.note(
                "static_pressure_after",
                segment.key,
                pipes.static_pressure,
                "continuity",
                total_pressure=after,
                dynamic_pressure=head,
            )
        return after

    def _velocity(self, segment: DuctSegment, flow: float, bore: float, name: str) -> float:
        area = self._between(
            name.replace("velocity", "area"), segment, scoop.circle_area, "continuity", diameter=bore
        )
        velocity = self._between(
            name, segment, scoop.mean_velocity, "continuity", volume_flow=flow, area=area
        )
        if velocity > (most := _MACH * self.sound):
            raise OutOfRange(
                "velocity",
                f"{velocity:.0f} m/s",
                f"at most Mach 0.3, {most:.0f} m/s",
                help="the loss is computed as incompressible; a duct this small chokes the engine",
            )
        return velocity

    def _head(self, segment: DuctSegment, flow: float, bore: float, where: str) -> float:
        velocity = self._velocity(segment, flow, bore, "velocity" + where)
        return self._between(
            "dynamic_pressure" + where,
            segment,
            compressible.dynamic_pressure,
            "continuity",
            density=self.state["density"],
            speed=velocity,
        )

    def _filter(self, segment: DuctSegment, flow: float) -> float:
        if "area" in segment.row:
            self.note(
                "face_velocity",
                segment.key,
                scoop.mean_velocity,
                "continuity",
                volume_flow=flow,
                area=segment["area"],
            )
        part = self.parts[segment.key]
        loss = self.note(
            "loss",
            segment.key,
            fittings.filter_loss,
            "rating",
            volume_flow=flow,
            rated_pressure=segment["rated_pressure"],
            rated_flow=segment["rated_flow"],
            exponent=segment["exponent"],
        )
        if flow < network.SLOW_FILTER * segment["rated_flow"]:
            self.working.remark(
                said(
                    "Through {segment} goes less than a fifth of the flow that it is rated at: its loss "
                    "has a wider doubt.",
                    segment=segment.key,
                )
            )
        return self._doubted("loss", segment.key, loss, part.filter_factor(flow))

    def _doubted(self, output: str, key: str, value: float, factor: float) -> float:
        """What a doubt makes of a value, which the network has made of it as well; the same as it stands."""
        value = self.tables[output][key] = value * factor
        return value

    def _pipe(self, segment: DuctSegment, flow: float) -> float:
        key, part = segment.key, self.parts[segment.key]
        velocity = self.tables.setdefault("velocity", {})[key] = self._velocity(
            segment, flow, part.bore, "velocity"
        )
        reynolds = self.note(
            "reynolds_number",
            key,
            pipes.reynolds_number,
            "continuity",
            velocity=velocity,
            diameter=part.hydraulic or part.bore,
            **self.state,
        )
        head = self.heads[key] = self._between(
            "dynamic_pressure",
            segment,
            compressible.dynamic_pressure,
            "continuity",
            density=self.state["density"],
            speed=velocity,
        )
        if segment.kind == "hose":
            friction = self._friction(segment, reynolds, part)
            coefficient = self.note(
                "loss_coefficient",
                key,
                pipes.friction_loss_coefficient,
                "darcy-weisbach",
                friction_factor=friction,
                length=part.friction_length,
                diameter=part.hydraulic or part.bore,
            )
        elif part.bend_constant:
            rough = self._friction(segment, reynolds, part)
            smooth = self._factor("smooth_friction_factor", segment, reynolds, 0.0)
            ratio = self._between(
                "friction_ratio", segment, pipes.share, "continuity", part=rough, whole=smooth
            )
            coefficient = self.note(
                "loss_coefficient",
                key,
                fittings.bend_loss_coefficient,
                "ito",
                bend_constant=part.bend_constant,
                reynolds_number=reynolds,
                friction_ratio=ratio,
            )
        elif part.friction_bores:
            wall = self._between(
                "wall_loss_coefficient",
                segment,
                pipes.friction_loss_coefficient,
                "darcy-weisbach",
                friction_factor=self._friction(segment, reynolds, part),
                length=part.friction_bores * part.bore,
                diameter=part.bore,
            )
            coefficient = self.note(
                "loss_coefficient",
                key,
                fittings.cone_loss_coefficient,
                "continuity",
                change_of_bore=part.coefficient,
                wall=wall,
            )
        else:
            coefficient = self.given[key]
        coefficient = self._doubted("loss_coefficient", key, coefficient, part.factor_at(reynolds))
        self._slow(segment, reynolds, part)
        return self.note(
            "loss", key, pipes.loss, "darcy-weisbach", loss_coefficient=coefficient, dynamic_pressure=head
        )

    def _slow(self, segment: DuctSegment, reynolds: float, part: network.FlowPart) -> None:
        """Say where the flow is slower than what the formula of a segment was measured in."""
        if reynolds < part.low_reynolds:
            self.working.remark(
                said(
                    "In {segment} the Reynolds number is {reynolds}, below the "
                    "{known_from} from which its loss is known: it has a wider doubt.",
                    segment=segment.key,
                    reynolds=f"{reynolds:.0f}",
                    known_from=f"{part.low_reynolds:.0f}",
                )
            )

    def _friction(self, segment: DuctSegment, reynolds: float, part: network.FlowPart) -> float:
        epsilon = self._between(
            "relative_roughness",
            segment,
            pipes.relative_roughness,
            "colebrook",
            roughness=part.roughness,
            diameter=part.hydraulic or part.bore,
        )
        return self._factor("friction_factor", segment, reynolds, epsilon)

    def _factor(self, name: str, segment: DuctSegment, reynolds: float, epsilon: float) -> float:
        # Called by itself, so that the working shows Colebrook's equation rather than its name.
        formula = pipes.friction_factor if reynolds < pipes.TURBULENT else pipes.turbulent_friction_factor
        return self._between(
            name, segment, formula, "colebrook", reynolds_number=reynolds, relative_roughness=epsilon
        )

    def _ends(self) -> None:
        """What is not in the loss at the two ends."""
        open_ends = [segment.key for segment in self.layout.first if segment.kind not in ("inlet", "filter")]
        if open_ends:
            self.working.remark(
                said(
                    "The loss of entry into {segments} is not counted: no inlet.",
                    segments=", ".join(open_ends),
                )
            )
        for last in self.layout.last:
            if last.after:
                self.working.remark(
                    said(
                        "After {segment} the air still has its velocity: what becomes of it is not counted.",
                        segment=last.key,
                    )
                )

    def in_order(self) -> dict[str, dict[str, float]]:
        """The tables, each in the order of the segments."""
        keys = [*self.layout.paths, *(segment.key for segment in self.layout.segments)]
        return {
            name: {key: table[key] for key in keys if key in table} for name, table in self.tables.items()
        }

    # --- other bores --------------------------------------------------------------------------

    @property
    def bores(self) -> dict[str, float]:
        """Bore of each segment that has one."""
        return {
            segment.key: segment["diameter"] for segment in self.layout.segments if "diameter" in segment.row
        }

    def lowest_factor(self, smallest: float) -> float:
        """Factor on the bores at which one of them is the smallest, or its wall the roughest there is."""
        rough = [part.roughness / (pipes.ROUGHEST * part.bore) for part in self.parts.values() if part.bore]
        return max(smallest / min(self.bores.values()), *rough, 0.0)

    def check_scaled(self, factor: float) -> None:
        """Refuse bores for which the formulae do not hold. The split between paths hardly changes by them."""
        for segment in self.layout.segments:
            if segment.key not in self.tables["velocity"]:
                continue
            velocity = self.tables["velocity"][segment.key] / factor**2
            reynolds = self.tables["reynolds_number"][segment.key] / factor
            if velocity > _MACH * self.sound:
                raise OutOfRange(
                    "allowed_loss",
                    f"{velocity:.0f} m/s in segment {segment.key} at its bores",
                    "at most Mach 0.3",
                    help="allow less loss",
                )
            if self.parts[segment.key].bend_constant and reynolds > _HIGHEST_BEND:
                raise OutOfRange(
                    "allowed_loss",
                    f"Reynolds number {reynolds:.0f} in segment {segment.key} at its bores",
                    f"up to {_HIGHEST_BEND:.0f}",
                    help="beyond it no bend was measured",
                )
