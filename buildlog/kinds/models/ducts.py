"""A duct followed segment by segment, as the air goes: coefficients, split of the flow, losses, pressures.

For the kinds whose air goes through pipes (`duct`). The formulae are those of ``buildlog.physics``; here
stands only which of them a row leads to. The ids of sources are declared by the kinds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from math import degrees, pi, radians

from buildlog.diagnostics import OutOfRange
from buildlog.kinds.declaration import Working
from buildlog.physics import compressible, fittings, network, pipes, scoop
from buildlog.physics.duct_segments import DuctLayout, DuctSegment

_MACH = 0.3
_SLENDER, _SLENDEREST = 5, 2
"""Full angle of a cone in degrees, below which its friction counts, and below which it is a pipe."""
_LOWEST_BEND, _HIGHEST_BEND = 1e4, 1e6


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
        self.common = (*layout.before, *layout.after)
        self.parts: dict[str, network.FlowPart] = {}
        for segment in layout.segments:
            with _row(segment):
                self.parts[segment.key] = self._part(segment)
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
        if kind == "filter":
            return network.FlowPart(
                rated_pressure=row["rated_pressure"], rated_flow=row["rated_flow"], exponent=row["exponent"]
            )
        bore = segment["diameter"]
        if kind == "hose":
            pipes.relative_roughness(row["roughness"], bore)
            return network.FlowPart(bore=bore, friction_length=row["length"], roughness=row["roughness"])
        if kind == "bend":
            return self._bend(segment)
        if kind in ("expansion", "contraction"):
            return self._cone(segment)
        return network.FlowPart(bore=bore, coefficient=self._mouth(segment))

    def _bend(self, segment: DuctSegment) -> network.FlowPart:
        bore, angle, roughness = segment["diameter"], segment["angle"], segment["roughness"]
        pipes.relative_roughness(roughness, bore)
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
            return network.FlowPart(bore=bore, roughness=roughness, bend_constant=constant)
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
        return network.FlowPart(bore=bore, crane_bend=coefficient / friction)

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
        if "roughness" not in segment.row:
            loss = self.note("loss_coefficient", segment.key, formula, "crane", **bores, angle=angle)
            return network.FlowPart(bore=narrow, coefficient=loss)
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
            bore=narrow, coefficient=loss, friction_bores=along, roughness=segment["roughness"]
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
        return self.note(
            "loss",
            segment.key,
            fittings.filter_loss,
            "rating",
            volume_flow=flow,
            rated_pressure=segment["rated_pressure"],
            rated_flow=segment["rated_flow"],
            exponent=segment["exponent"],
        )

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
            diameter=part.bore,
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
                diameter=part.bore,
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
            coefficient = self.tables["loss_coefficient"][key]
        return self.note(
            "loss", key, pipes.loss, "darcy-weisbach", loss_coefficient=coefficient, dynamic_pressure=head
        )

    def _friction(self, segment: DuctSegment, reynolds: float, part: network.FlowPart) -> float:
        epsilon = self._between(
            "relative_roughness",
            segment,
            pipes.relative_roughness,
            "colebrook",
            roughness=part.roughness,
            diameter=part.bore,
        )
        if pipes.LAMINAR < reynolds < pipes.TURBULENT:
            self.working.remark(
                f"In {segment.key} the flow is between laminar and turbulent: its friction is a guess."
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
            self.working.remark(f"The loss of entry into {', '.join(open_ends)} is not counted: no inlet.")
        for last in self.layout.last:
            if last.after:
                self.working.remark(
                    f"After {last.key} the air still has its velocity: what becomes of it is not counted."
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
            if self.parts[segment.key].bend_constant and not _LOWEST_BEND <= reynolds <= _HIGHEST_BEND:
                raise OutOfRange(
                    "allowed_loss",
                    f"Reynolds number {reynolds:.0f} in segment {segment.key} at its bores",
                    f"{_LOWEST_BEND:.0f} to {_HIGHEST_BEND:.0f}",
                    help="beyond them no bend was measured",
                )
