"""A car made ready to drive from the inputs of a block: resistance, gears, tyres, launch and shifts.

For the kinds that let a car run (`acceleration`, `course`). The formulae are those of ``buildlog.physics``;
here stands only which of them a set of inputs leads to. The ids of sources are declared by the kinds.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange
from buildlog.kinds.declaration import Doubt, Outputs, Source, Working, given_together
from buildlog.physics import air, drivetrain, gear_run, inertia_mass, road_load, torque_curve, traction, tyres
from buildlog.physics.motion import Pull, Resistance, Span
from buildlog.physics.torque_curve import TorqueCurve
from buildlog.said import said

COAST_DOWN = ("coast_down_constant", "coast_down_linear", "coast_down_quadratic")
AMBIENT = ("altitude", "ambient_pressure", "ambient_temperature", "relative_humidity")
WHEEL_INERTIA = Doubt(
    name="usual_wheel_inertia",
    about="inertia of the wheels where nobody measured it: 3 % of the mass as against 2 to 4 %",
    source="common-practice",
    formula="eu-2017-1151",
    relative=0.3,
    limits=True,
    range="passenger cars",
)
ENGINE_INERTIA = Doubt(
    name="usual_engine_inertia",
    about="inertia of engine and flywheel where nobody measured it; light and heavy flywheels",
    source="common-practice",
    formula="mass-factor",
    relative=0.5,
    limits=True,
    range="passenger cars with piston engines",
)
DOUBTS = (WHEEL_INERTIA, ENGINE_INERTIA)
INERTIA_SOURCES = (
    Source(
        id="eu-2017-1151",
        title="Commission Regulation (EU) 2017/1151, emissions of light passenger and commercial vehicles",
        publisher="Official Journal of the European Union",
        where="Annex XXI, Sub-Annex 4, 2.5.1: rotating mass",
    ),
    Source(
        id="mass-factor",
        title="Mass factor 1.04 + 0.0025 i², as public course code quotes Gillespie and Wong",
        where="second term, for engine and flywheel",
    ),
)
"""Of what stands for inertias that nobody measured; for the SOURCES of a kind."""
GRIP = ("wheelbase", "centre_of_gravity_height", "drive_axle_share", "tyre_friction")
_ABC = ("constant_resistance", "linear_resistance", "quadratic_resistance")
_AXLES = {"rear": traction.traction_limit_rear, "front": traction.traction_limit_front}


@dataclass(frozen=True, kw_only=True)
class Build:
    """What a case comes to: resistance, force by road speed in each gear, the tyres' limit, and the car.

    `car` is None where the inputs name no start. `held` are the pulls of the gears within what the tyres
    allow, `masses` what is accelerated in them, `rolling_mass` is the car's with its wheels alone. `outputs`
    are what is known before anything moves.
    """

    resistance: Resistance
    forces: tuple[tuple[tuple[float, float], ...], ...]
    traction: float | None
    car: gear_run.Car | None
    held: tuple[Pull, ...]
    masses: tuple[float, ...]
    rolling_mass: float
    outputs: Outputs


def build(given: Mapping[str, Any], working: Working) -> Build:
    """Everything that can be said of a car before it moves; faults in the inputs are raised."""
    gears: list[float] = given["gears"]
    for number, (first, second) in enumerate(pairwise(gears), start=1):
        if second >= first:
            raise InputsConflict(
                "gears",
                f"gear {number + 1} ({second:g}) not below gear {number} ({first:g})",
                "ratios that fall from first gear to last",
                help="write them first gear first",
            )
    return Builder(given, working).build()


class Builder:
    def __init__(self, given: Mapping[str, Any], working: Working) -> None:
        self.given, self.working = given, working
        self.values = {n: float(value) for n, value in given.items() if isinstance(value, int | float)}
        self.outputs: Outputs = {}
        self.curve = TorqueCurve.read(given["torque_curve"], given["rev_limit"])
        self.ratios: list[float] = []
        self.masses: list[float] = []
        self.rolling: float | None = None
        self.turning: list[dict[str, float]] = []

    def build(self) -> Build:
        resistance = self.resistance()
        self.curve_peaks()
        forces, pulls = self.gears(resistance)
        shift_speeds = self.shifts(pulls)
        tyres_allow = self.tyres(resistance)
        held = tuple(pull.under(tyres_allow) if tyres_allow else pull for pull in pulls)
        self.top_speed(held)
        car = self.start(resistance, held, shift_speeds, tyres_allow)
        return Build(
            resistance=resistance,
            forces=forces,
            traction=self.values.get("traction_limit"),
            car=car,
            held=held,
            masses=tuple(self.masses),
            rolling_mass=self.rolling_mass(),
            outputs=self.outputs,
        )

    def each(
        self,
        name: str,
        key: int,
        function: Callable[..., float],
        *records: object,
        source: str,
        **arguments: float,
    ) -> float:
        """One value of an output that is listed by gear or shift."""
        found = self.working.step(f"{name}.{key}", function, *records, source=source, **arguments)
        listed = self.outputs.setdefault(name, {})
        assert isinstance(listed, dict)
        listed[f"{key}"] = found
        return found

    # --- what holds the car back ----------------------------------------------------------

    def resistance(self) -> Resistance:
        """The coefficients A, B and C, from a coast-down or from drag area, air and rolling coefficient."""
        given, values, chain = self.given, self.values, self.working.chain
        chain(values, "mechanics", gradient_angle=road_load.gradient_angle)
        parts = [n for n in ("drag_area", "rolling_coefficient", "air_density", *AMBIENT) if n in given]
        if given_together(given, COAST_DOWN, "a coast-down has three coefficients"):
            if parts:
                raise InputsConflict(parts[0], "a coast-down as well", "one of the two", help="leave one out")
            values.update({name: values[given_as] for name, given_as in zip(_ABC, COAST_DOWN, strict=True)})
            values["rolling_resistance"] = values["coast_down_constant"]
        else:
            for name in ("drag_area", "rolling_coefficient"):
                if name not in given:
                    raise MissingInput(name, f"no {name}", f"{name}, or the three coast_down coefficients")
            self.air()
            chain(values, "wong", rolling_resistance=road_load.rolling_resistance)
            values["linear_resistance"] = 0.0
            chain(values, "mechanics", quadratic_resistance=road_load.drag_factor)
        chain(
            values,
            "mechanics",
            gradient_force=road_load.gradient_force,
            constant_resistance=road_load.constant_resistance,
        )
        if "at_speed" in given:
            at = values | {"road_speed": values["at_speed"]}
            at["resistance"] = self.outputs["resistance_at"] = chain(
                at, "epa", resistance_at=road_load.resistance
            )
            self.outputs["resistance_power_at"] = chain(
                at, "mechanics", resistance_power_at=road_load.resistance_power
            )
        return Resistance(*(values[name] for name in _ABC))

    def air(self) -> None:
        """Density as given, or from the ambient air."""
        given, values, chain = self.given, self.values, self.working.chain
        around = [name for name in AMBIENT if name in given]
        if "air_density" in given:
            if around:
                raise InputsConflict(around[0], "air_density as well", "one of the two", help="leave one out")
            return
        if not around:
            raise MissingInput("air_density", "neither it nor the ambient air", "one of them")
        if "altitude" in given and "ambient_pressure" in given:
            raise InputsConflict(
                "altitude", "ambient_pressure as well", "one of the two", help="leave one out"
            )
        place = "altitude" if "altitude" in given else "ambient_pressure"
        given_together(given, (place, "ambient_temperature", "relative_humidity"), "density needs them all")
        if place == "altitude":
            chain(
                values,
                "us-1976",
                geopotential_altitude=air.geopotential_altitude,
                standard_temperature=air.standard_temperature,
                ambient_pressure=air.standard_pressure,
            )
        values |= {"temperature": values["ambient_temperature"], "pressure": values["ambient_pressure"]}
        chain(
            values,
            "buck",
            saturation_vapour_pressure=air.saturation_vapour_pressure,
            vapour_pressure=air.vapour_pressure,
        )
        chain(values, "mechanics", air_density=air.humid_air_density)

    # --- what drives it -------------------------------------------------------------------

    def mass(self, name: str, function: Callable[..., float], source: str, **arguments: float) -> float:
        """A mass of the car with some of its parts turning."""
        values = self.values
        return self.working.step(
            name,
            function,
            source=source,
            vehicle_mass=values["vehicle_mass"],
            rolling_radius=values["rolling_radius"],
            **arguments,
        )

    def wheels(self, name: str, count: float) -> float:
        return self.working.step(
            name,
            inertia_mass.inertia_of_wheels,
            source="mechanics",
            wheel_inertia=self.values["wheel_inertia"],
            wheels=count,
        )

    def rolling_mass(self) -> float:
        """Mass of the car with all its wheels and nothing else turning: in a shift, and coasting."""
        if self.rolling is None:
            self.rolling = self.mass(
                "mass_in_shift",
                inertia_mass.mass_with_wheels,
                "mechanics",
                wheel_inertia=self.values["all_wheels"],
            )
        return self.rolling

    def force(self, name: str, torque: float, gear: int) -> float:
        return self.working.step(
            name,
            traction.wheel_force,
            source="gillespie",
            engine_torque=torque,
            overall_ratio=self.ratios[gear],
            driveline_efficiency=self.values["driveline_efficiency"],
            rolling_radius=self.values["rolling_radius"],
        )

    def torque(self, name: str, speed: float, fault: str) -> float:
        arguments = self.curve.around(speed, fault)
        return self.working.step(name, traction.torque_between, source="mechanics", **arguments)

    def gears(
        self, resistance: Resistance
    ) -> tuple[tuple[tuple[tuple[float, float], ...], ...], tuple[Pull, ...]]:
        """Force and mass in every gear, and what they make of the car without regard to the tyres."""
        given, values = self.given, self.values
        circumference, vehicle_mass = values["rolling_circumference"], values["vehicle_mass"]
        self.working.chain(values, "mechanics", rolling_radius=tyres.rolling_radius)
        self.inertias()
        forces, pulls = [], []
        for gear, gear_ratio in enumerate(given["gears"]):
            key = gear + 1
            ratio = self.working.step(
                f"overall_ratio.{key}",
                drivetrain.overall_ratio,
                source="mechanics",
                gear_ratio=gear_ratio,
                final_drive=given["final_drive"],
            )
            self.ratios.append(ratio)
            self.turning.append({"overall_ratio": ratio, "rolling_circumference": circumference})
            self.each(
                "wheel_force",
                key,
                traction.wheel_force,
                source="gillespie",
                engine_torque=self.curve.peak,
                overall_ratio=ratio,
                driveline_efficiency=values["driveline_efficiency"],
                rolling_radius=values["rolling_radius"],
            )
            mass = self.mass(
                f"accelerated_mass.{key}",
                inertia_mass.accelerated_mass,
                "mechanics",
                overall_ratio=ratio,
                driveline_efficiency=values["driveline_efficiency"],
                wheel_inertia=values["all_wheels"],
                shaft_inertia=values["crankshaft_inertia"],
            )
            for name, function in (
                ("effective_mass", inertia_mass.effective_mass_of_parts),
                ("mass_factor", inertia_mass.mass_factor),
            ):
                self.each(
                    name, key, function, source="mechanics", accelerated_mass=mass, vehicle_mass=vehicle_mass
                )
            forces.append(self.curve.forces(ratio, circumference, values["driveline_efficiency"]))
            self.masses.append(mass)
            pulls.append(resistance.pull(forces[-1], mass, "engine"))
        return tuple(forces), tuple(pulls)

    def inertias(self) -> None:
        """What turns: as given, or as it usually is with a car of this mass."""
        given, values, working = self.given, self.values, self.working
        usual = {"vehicle_mass": values["vehicle_mass"], "rolling_radius": values["rolling_radius"]}
        if "engine_inertia" not in given:
            for name in ("flywheel_inertia", "clutch_inertia"):
                if values[name]:
                    raise MissingInput("engine_inertia", f"{name} without it", "engine_inertia as well")
            values["engine_inertia"] = working.step(
                "usual_engine_inertia", inertia_mass.usual_engine_inertia, source=ENGINE_INERTIA, **usual
            )
        if "wheel_inertia" not in given:
            values["wheel_inertia"] = working.step(
                "usual_wheel_inertia", inertia_mass.usual_wheel_inertia, source=WHEEL_INERTIA, **usual
            )
        working.chain(values, "mechanics", crankshaft_inertia=inertia_mass.crankshaft_inertia)
        values["all_wheels"] = self.wheels("all_wheels", 4.0)

    def curve_peaks(self) -> None:
        """The greatest torque and the greatest power of the curve, and where they are."""
        rows, working = self.curve.rows, self.working
        speed, _ = max(rows, key=lambda row: row[1])
        self.outputs["peak_torque"] = self.torque("peak_torque", speed, "torque_curve")
        self.outputs["peak_torque_revs"] = working.step(
            "peak_torque_revs", torque_curve.speed_of_peak_torque, self.curve, source="mechanics"
        )
        best = 0.0
        for (low, first), (high, last) in pairwise(rows):
            at = traction.speed_of_greatest_power(low, first, high, last)
            power = at * traction.torque_between(at, low, first, high, last)
            if power > best:
                best = power
                between = (low, first, high, last)
        names = ("lower_speed", "lower_torque", "upper_speed", "upper_torque")
        ends = dict(zip(names, between, strict=True))
        revs = working.step("peak_power_revs", traction.speed_of_greatest_power, source="mechanics", **ends)
        there = working.step(
            "torque_at_peak_power", traction.torque_between, source="mechanics", engine_speed=revs, **ends
        )
        self.outputs["peak_power_revs"] = revs
        self.outputs["peak_power"] = working.step(
            "peak_power", traction.power, source="mechanics", engine_torque=there, engine_speed=revs
        )

    def shifts(self, pulls: tuple[Pull, ...]) -> tuple[float, ...]:
        """Road speed of every shift: the best one, or at `shift_revs`."""
        chosen = []
        for key, (lower, higher) in enumerate(pairwise(pulls), start=1):
            turning, wanted = self.turning[key - 1], "shift_revs" in self.given
            name = f"best_shift_speed.{key}" if wanted else f"shift_speed.{key}"
            speed = self.working.step(name, gear_run.best_shift_speed, lower, higher, source="mechanics")
            self.each(
                "best_shift_revs",
                key,
                drivetrain.engine_speed,
                source="mechanics",
                road_speed=speed,
                **turning,
            )
            if wanted:
                revs = self.curve.around(self.given["shift_revs"], "shift_revs")["engine_speed"]
                speed = self.working.step(
                    f"shift_speed.{key}",
                    drivetrain.road_speed,
                    source="mechanics",
                    engine_speed=revs,
                    **turning,
                )
                if speed < higher.low:
                    raise OutOfRange(
                        "shift_revs",
                        f"gear {key + 1} below the torque curve after the shift",
                        "a later shift, or torque measured further down",
                    )
            chosen.append(speed)
        self.outputs["shift_speed"] = {f"{key}": speed for key, speed in enumerate(chosen, start=1)}
        return tuple(chosen)

    def tyres(self, resistance: Resistance) -> Span | None:
        """What the driven tyres allow, where what it takes to know is given."""
        values = self.values
        if not given_together(self.given, GRIP, "the tyres' limit needs all four"):
            self.working.remark(
                said(
                    "Without {inputs} the tyres are taken to hold everything: a powerful car starts "
                    "more slowly than said here.",
                    inputs=", ".join(GRIP),
                )
            )
            return None
        axle = _AXLES[self.given["driven_axle"]]
        self.outputs["traction_limit"] = self.working.chain(values, "wong", traction_limit=axle)
        undriven = self.wheels("undriven_wheels", 2.0)
        mass = self.mass(
            "mass_at_tyre_limit", inertia_mass.mass_with_wheels, "mechanics", wheel_inertia=undriven
        )
        return resistance.span(values["traction_limit"], mass, "tyres")

    def top_speed(self, held: tuple[Pull, ...]) -> None:
        """The highest speed of each gear and of the car, with the balance of forces there."""
        highest = [
            self.each("highest_speed", key, gear_run.balance_speed, pull, source="mechanics")
            for key, pull in enumerate(held, start=1)
        ]
        top = max(highest)
        if top <= 0:
            raise NoSolution(
                "gradient",
                "a car that holds no speed in any gear",
                "a road that it can climb",
                help="a gentler gradient, more torque or more grip",
            )
        gear = max(number for number, speed in enumerate(highest) if speed == top)
        pull = held[gear]
        self.outputs["top_speed"] = self.working.step(
            "top_speed", gear_run.balance_speed, pull, source="mechanics"
        )
        limit = pull.spans[max(0, pull.index(top * (1 - 1e-9)))].limit
        by = {"engine": "engine and resistance in balance", "tyres": "tyres and resistance in balance"}[limit]
        self.outputs["top_speed_limit"] = f"gear {gear + 1}: {'the limiter' if top == pull.high else by}"
        if limit == "engine":
            speed = min(drivetrain.engine_speed(top, **self.turning[gear]), self.curve.rows[-1][0])
            torque = self.torque("torque_at_top_speed", speed, "rev_limit")
            self.working.chain(
                {
                    "wheel_force": self.force("wheel_force_at_top_speed", torque, gear),
                    "resistance": self.working.step(
                        "resistance_at_top_speed",
                        road_load.resistance,
                        source="epa",
                        road_speed=top,
                        **{name: self.values[name] for name in _ABC},
                    ),
                },
                "mechanics",
                surplus_at_top_speed=road_load.surplus_force,
            )

    # --- how it starts --------------------------------------------------------------------

    def start(
        self,
        resistance: Resistance,
        held: tuple[Pull, ...],
        shift_speeds: tuple[float, ...],
        grip: Span | None,
    ) -> gear_run.Car | None:
        """The car at its start, standing or rolling; None where neither is given."""
        given, values = self.given, self.values
        given_together(given, ("launch_torque",), upon="launch_speed")
        if "launch_speed" in given and "start_speed" in given:
            raise InputsConflict(
                "start_speed", "launch_speed as well", "one of the two", help="leave one out"
            )
        if "launch_speed" not in given and "start_speed" not in given:
            return None
        if shift_speeds and "shift_time" not in given:
            raise MissingInput("shift_time", "a run through the gears without it", "shift_time")
        coasting = Pull((resistance.span(0.0, self.rolling_mass(), "shift"),))
        shift_time = values.get("shift_time", 0.0)
        if "start_speed" in given:
            speed = values["start_speed"]
            if not held[0].low <= speed < held[-1].high:
                raise OutOfRange(
                    "start_speed",
                    f"{speed * 3.6:.1f} km/h",
                    f"{held[0].low * 3.6:.1f} km/h or more, where first gear's torque begins, and less than "
                    f"{held[-1].high * 3.6:.1f} km/h",
                )
            return gear_run.Car(
                launch=None,
                gears=held,
                coasting=coasting,
                shift_speeds=shift_speeds,
                shift_time=shift_time,
                start_speed=speed,
            )
        launch = self.launch(resistance, grip)
        if shift_speeds and launch.high >= shift_speeds[0]:
            raise InputsConflict(
                "launch_speed",
                f"slip up to {launch.high * 3.6:.1f} km/h",
                f"less than the first shift, {shift_speeds[0] * 3.6:.1f} km/h",
            )
        return gear_run.Car(
            launch=launch, gears=held, coasting=coasting, shift_speeds=shift_speeds, shift_time=shift_time
        )

    def launch(self, resistance: Resistance, grip: Span | None) -> Pull:
        """The pull of a slipping clutch, the engine held at one speed."""
        force, mass, speed = self.launch_force()
        pull = Pull((resistance.span(force, mass, "clutch slip", 0.0, speed),))
        return pull.under(grip) if grip else pull

    def launch_force(self) -> tuple[float, float, float]:
        """Wheel force and mass while the clutch slips, and the road speed at which that ends."""
        given, values = self.given, self.values
        held_at = self.curve.around(given["launch_speed"], "launch_speed")["engine_speed"]
        name = "torque_at_launch" if "launch_torque" in values else "launch_torque"
        most = self.torque(name, held_at, "launch_speed")
        carried = values.get("launch_torque", most)
        if carried > most * (1 + 1e-9):
            raise InputsConflict(
                "launch_torque",
                f"{carried:.1f} N·m",
                f"at most {most:.1f} N·m, what the engine gives at launch_speed",
                help="with more the engine slows down; what its flywheel gives off is not in here",
            )
        self.outputs["launch_torque"] = carried
        slipping = self.mass(
            "mass_in_slip",
            inertia_mass.accelerated_mass,
            "mechanics",
            overall_ratio=self.ratios[0],
            driveline_efficiency=values["driveline_efficiency"],
            wheel_inertia=values["all_wheels"],
            shaft_inertia=values["clutch_inertia"],
        )
        force = self.force("launch_force", carried, 0)
        speed = self.outputs["lock_up_speed"] = self.working.step(
            "lock_up_speed",
            drivetrain.road_speed,
            source="mechanics",
            engine_speed=held_at,
            **self.turning[0],
        )
        return force, slipping, speed
