"""The inputs that describe a car on the road, for the kinds that let one run (`acceleration`, `course`).

What is guessed where nobody measured it has a doubt; `source` is the id that the kinds give its source.
"""

from __future__ import annotations

from buildlog.kinds.declaration import Choice, Doubt, Input, Listed, Number, Table
from buildlog.physics import torque_curve

REVS = Number(dimension="rotational speed", unit="rpm", low=300, high=20_000, why="piston engines of cars")
SPEED = Number(dimension="speed", unit="km/h", low=0, high=450, why="road cars")
_INERTIA = Number(dimension="moment of inertia", unit="kg·m²", low=0, high=5, why="rotating parts of cars")


def _guess(name: str, about: str, *, relative: float = 0.0, absolute: float = 0.0) -> Doubt:
    return Doubt(
        name=name, about=about, source="common-practice", relative=relative, absolute=absolute, limits=True
    )


_ALL = (
    Input(
        name="torque_curve",
        form=Table(
            (
                Input(name="engine_speed", form=REVS, about="engine speed"),
                Input(
                    name="torque",
                    form=Number(dimension="torque", unit="N·m", low=0, high=2000, why="car engines"),
                    about="torque",
                ),
            ),
            2,
            torque_curve.MOST_ROWS,
        ),
        about="full-load torque at the clutch, rising in speed",
    ),
    Input(name="rev_limit", form=REVS, about="engine speed at which the limiter cuts in"),
    Input(
        name="gears",
        form=Listed(
            Number(dimension="ratio", unit="", low=0.3, high=8, why="forward ratios of car gearboxes"),
            1,
            10,
            counted=True,
        ),
        about="gearbox ratios, first gear first",
    ),
    Input(
        name="final_drive",
        form=Number(dimension="ratio", unit="", low=1.5, high=8, why="final drives of cars"),
        about="final drive ratio, or tooth counts: driven/driving",
    ),
    Input(
        name="rolling_circumference",
        form=Number(dimension="length", unit="m", low=1, high=3, why="car tyres"),
        about="road covered by one turn of a driven wheel, as measured",
    ),
    Input(
        name="driveline_efficiency",
        form=Number(dimension="ratio", unit="%", low=50, high=100, why="drivelines of cars"),
        about="power at the wheels over power at the clutch",
        doubt=_guess(
            "driveline_efficiency", "efficiency of a driveline that was not measured", absolute=0.02
        ),
    ),
    Input(
        name="vehicle_mass",
        form=Number(dimension="mass", unit="kg", low=200, high=3500, why="cars"),
        about="mass of the car with its load",
    ),
    Input(
        name="engine_inertia",
        form=_INERTIA,
        about="crankshaft and what turns with it, flywheel apart or included; estimated from the car's mass "
        "if left out",
        required=False,
        doubt=_guess("engine_inertia", "inertia of an engine that was not swung", relative=0.2),
    ),
    Input(
        name="wheel_inertia",
        form=_INERTIA,
        about="one wheel with tyre, disc and hub; the mean of the four; estimated from the car's mass if "
        "left out",
        required=False,
        doubt=_guess("wheel_inertia", "inertia of a wheel that was not swung", relative=0.15),
    ),
    Input(
        name="flywheel_inertia",
        form=_INERTIA,
        about="flywheel and clutch cover",
        default="0 kg·m²",
        default_source="counted in engine_inertia",
    ),
    Input(
        name="clutch_inertia",
        form=_INERTIA,
        about="clutch disc and gearbox input shaft",
        default="0 kg·m²",
        default_source="under a tenth of a flywheel's: left out",
    ),
    Input(
        name="gradient",
        form=Number(dimension="ratio", unit="%", low=-20, high=50, why="roads"),
        about="rise over level run",
        default="0 %",
        default_source="level road",
    ),
    Input(
        name="driven_axle",
        form=Choice({"rear": "rear wheels", "front": "front wheels"}),
        about="which wheels drive",
        default="rear",
        default_source="the cars that buildlog is made for",
    ),
    Input(
        name="drag_area",
        form=Number(dimension="area", unit="m²", low=0, high=3, why="cars"),
        about="drag coefficient times frontal area",
        required=False,
        doubt=_guess("drag_area", "drag area that was not measured", relative=0.1),
    ),
    Input(
        name="rolling_coefficient",
        form=Number(dimension="ratio", unit="", low=0, high=0.2, why="to soft ground"),
        about="resistance by weight",
        required=False,
        doubt=_guess("rolling_coefficient", "rolling coefficient out of a table", relative=0.25),
    ),
    Input(
        name="air_density",
        form=Number(dimension="density", unit="kg/m³", low=0.5, high=1.6, why="on any road"),
        about="or give the ambient air",
        required=False,
    ),
    Input(
        name="altitude",
        form=Number(dimension="length", unit="m", low=-430, high=5900, why="roads"),
        about="for the standard pressure",
        required=False,
    ),
    Input(
        name="ambient_pressure",
        form=Number(dimension="pressure", unit="hPa", low=450, high=1085, why="roads"),
        about="as read at the place, instead",
        required=False,
    ),
    Input(
        name="ambient_temperature",
        form=Number(dimension="temperature", unit="°C", low=-40, high=50, why="weather"),
        about="air temperature",
        required=False,
    ),
    Input(
        name="relative_humidity",
        form=Number(dimension="ratio", unit="%", low=0, high=100, why="by definition"),
        about="relative humidity",
        required=False,
    ),
    Input(
        name="coast_down_constant",
        form=Number(dimension="force", unit="N", low=0, high=2000, why="cars"),
        about="A, instead of drag area and so on",
        required=False,
    ),
    Input(
        name="coast_down_linear",
        form=Number(dimension="force per speed", unit="N·s/m", low=-20, high=50, why="cars"),
        about="B of a coast-down",
        required=False,
    ),
    Input(
        name="coast_down_quadratic",
        form=Number(dimension="force per speed squared", unit="N·s²/m²", low=0, high=3, why="cars"),
        about="C of it",
        required=False,
    ),
    Input(
        name="wheelbase",
        form=Number(dimension="length", unit="m", low=1.2, high=4, why="cars"),
        about="axle to axle",
        required=False,
    ),
    Input(
        name="centre_of_gravity_height",
        form=Number(dimension="length", unit="m", low=0.1, high=1.2, why="cars"),
        about="above the road",
        required=False,
    ),
    Input(
        name="drive_axle_share",
        form=Number(dimension="ratio", unit="%", low=20, high=80, why="cars"),
        about="weight on it, standing level",
        required=False,
    ),
    Input(
        name="tyre_friction",
        form=Number(dimension="ratio", unit="", low=0.05, high=2.5, why="ice to racing tyres"),
        about="of the driven tyres",
        required=False,
        doubt=_guess("tyre_friction", "friction of tyres that was not measured on the day", relative=0.1),
    ),
    Input(name="launch_speed", form=REVS, about="engine speed held at the start", required=False),
    Input(
        name="launch_torque",
        form=Number(dimension="torque", unit="N·m", low=1, high=2000, why="clutches of cars"),
        about="carried while it slips",
        required=False,
    ),
    Input(name="start_speed", form=SPEED, about="a rolling start at this speed instead", required=False),
    Input(
        name="shift_time",
        form=Number(dimension="time", unit="s", low=0, high=3, why="by hand or by machine"),
        about="time without torque",
        required=False,
        doubt=_guess("shift_time", "time of a shift that was not clocked", relative=0.3),
    ),
    Input(
        name="shift_revs",
        form=REVS,
        about="engine speed of all shifts, instead of the best",
        required=False,
    ),
)

BY_NAME = {declared.name: declared for declared in _ALL}
"""Each by its name."""
