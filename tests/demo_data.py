"""The log files of the demonstration: all of them invented, made here, and the same on every machine.

``python -m tests.demo_data`` writes them; ``tests/demonstration/test_demo_data.py`` holds the files to what
this writes. The car and its day are simulated by a small integration of their own, and not by the formulae
that the pages reckon with: readings that came out of the model under test would agree with it whatever it
said. Where the invented car differs from its sheet stands in `Car`, above all in how long its shifts take.

`random` of the standard library promises the same numbers from a seed on every version; numpy does not.
What loggers are known to do wrong is in the files on purpose, and stands beside the file that has it.
"""

from __future__ import annotations

import sys
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import atan, cos, exp, inf, pi, sin, sqrt
from pathlib import Path
from random import Random

FOLDER = Path(__file__).resolve().parents[1] / "content" / "data" / "logs"
INVENTED = "Invented for a demonstration by tests/demo_data.py"
GRAVITY = 9.81
STEP = 0.01  # s, of the integration

# --- the car and the hill ---------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Car:
    """The car as it is, which is not quite as its sheet has it. SI units; torque by revolutions a minute."""

    final_drive: float = 41 / 9
    gears: tuple[float, ...] = (2.846, 1.875, 1.423, 1.143, 1.000)
    circumference: float = 1.776
    mass: float = 646.0
    turning: float = 0.078  # kg·m² at the crankshaft
    wheels: float = 36.0  # kg that all wheels add
    efficiency: float = 0.895
    drag_area: float = 0.59
    rolling: float = 0.0145
    air_density: float = 1.17
    friction: float = 1.04
    rear_share: float = 0.54
    shift_gap: float = 0.55  # s from foot off to foot down; the film of the lever said 0.25 s
    shift_at: float = 8000.0  # rpm

    @property
    def radius(self) -> float:
        return self.circumference / (2 * pi)

    def revs(self, gear: int, speed: float) -> float:
        """Engine speed in rpm with the clutch in; gears count from 0."""
        return speed / self.circumference * self.gears[gear] * self.final_drive * 60

    def push(self, gear: int, speed: float, engine: Sequence[tuple[float, float]]) -> tuple[float, float]:
        """Force at the wheels at full throttle, and the mass that it moves."""
        ratio = self.gears[gear] * self.final_drive
        torque = between(engine, max(2600.0, self.revs(gear, speed)))
        force = torque * ratio * self.efficiency / self.radius
        moved = self.mass + self.wheels + self.efficiency * self.turning * (ratio / self.radius) ** 2
        return force, moved

    def drag(self, speed: float, gradient: float, wind: float) -> float:
        """What holds it back; the wind is against it where it is positive."""
        angle = atan(gradient)
        air = 0.5 * self.air_density * self.drag_area * (speed + wind) * abs(speed + wind)
        return air + self.mass * GRAVITY * (self.rolling * cos(angle) + sin(angle))

    def grip(self, gradient: float) -> float:
        """Force that the rear tyres pass on, with the load that moves back onto them."""
        return (
            self.friction
            * self.mass
            * GRAVITY
            * self.rear_share
            / (1 - self.friction * 0.43 / 2.28)
            * (1 - 0.2 * abs(gradient))
        )


CASTING = (
    (1500.0, 112.0), (2500.0, 131.0), (3200.0, 148.0), (4000.0, 157.0), (5000.0, 165.0), (5500.0, 168.0),
    (6000.0, 167.0), (6500.0, 164.0), (7000.0, 158.0), (7500.0, 150.0), (8100.0, 136.0),
)  # fmt: skip
"""Torque with the cast manifold, as the test bed had it."""
HEADER = (
    (1500.0, 111.0), (2500.0, 130.0), (3200.0, 146.0), (4000.0, 156.0), (5000.0, 166.0), (5500.0, 171.0),
    (6000.0, 173.0), (6500.0, 171.0), (7000.0, 164.0), (7500.0, 155.0), (8100.0, 140.0),
)  # fmt: skip
"""And with the header: a little less below, a little more above, as a long primary does it."""

# length in m, gradient, speed of the corner in m/s as the invented tyres hold it
HILL = (
    (165.0, 0.11, inf), (50.0, 0.10, 24.4), (160.0, 0.08, inf), (60.0, 0.09, 21.5), (360.0, 0.08, inf),
    (80.0, 0.10, 36.2), (90.0, 0.10, inf), (36.0, 0.10, 11.67), (190.0, 0.095, inf), (60.0, 0.09, 23.0),
    (229.0, 0.083, inf),
)  # fmt: skip
FINISH = sum(length for length, _, _ in HILL)


def between(points: Sequence[tuple[float, float]], at: float) -> float:
    """On the straight lines between points; level beyond their ends."""
    after = bisect_right([x for x, _ in points], at)
    if after == 0:
        return points[0][1]
    if after == len(points):
        return points[-1][1]
    (left, low), (right, high) = points[after - 1], points[after]
    return low + (high - low) * (at - left) / (right - left)


@dataclass(frozen=True)
class Moment:
    """The car at one time: seconds, metres, metres a second, gear from 0, rpm, throttle from 0 to 1."""

    time: float
    place: float
    speed: float
    gear: int
    revs: float
    throttle: float


def limits(corners: Sequence[float], braking: float) -> list[float]:
    """Highest speed at each metre of the hill, so that every corner is reached at its own."""
    allowed = [inf] * (int(FINISH) + 200)
    place = 0
    for (length, _, _), corner in zip(HILL, corners, strict=True):
        for metre in range(place, place + int(length)):
            allowed[metre] = corner
        place += int(length)
    for metre in range(len(allowed) - 2, -1, -1):
        allowed[metre] = min(allowed[metre], sqrt(allowed[metre + 1] ** 2 + 2 * braking))
    return allowed


def gradient_at(place: float) -> float:
    for length, gradient, _ in HILL:
        if place < length:
            return gradient
        place -= length
    return 0.08


def of_the_hour(car: Car, chance: Random) -> Car:
    """An engine pulls a little better or worse by its heat and the air; that is in the efficiency here."""
    return replace(car, efficiency=car.efficiency * chance.gauss(1.0, 0.007))


def hill_run(car: Car, chance: Random, lowest: int = 1) -> list[Moment]:
    """Up Larkfell from a standing start by a driver who is good and no machine; a little beyond the line."""
    corners = [corner * chance.gauss(1.0, 0.032) for _, _, corner in HILL]
    corners[7] = HILL[7][2] * chance.gauss(1.0, 0.01)  # the hairpin: everybody looks at the needle there
    allowed = limits(corners, 0.78 * car.friction * GRAVITY)
    launch = min(1.0, chance.gauss(0.88, 0.05))  # of what the tyres hold
    drive = _Drive(of_the_hour(car, chance), HEADER, chance, wind=chance.gauss(0, 1.0))
    while drive.place < FINISH + 40:
        cap = allowed[int(drive.place)]
        gradient = gradient_at(drive.place)
        share = launch if drive.place < 60 else 1.0
        drive.step(cap=cap, gradient=gradient, most=share * car.grip(gradient), lowest=lowest)
    return drive.moments


class _Drive:
    """A car that is driven, step by step."""

    def __init__(
        self,
        car: Car,
        engine: Sequence[tuple[float, float]],
        chance: Random,
        speed: float = 0.0,
        gear: int = 0,
        wind: float = 0.0,
    ) -> None:
        self.car, self.engine, self.chance, self.wind = car, engine, chance, wind
        self.time, self.place, self.speed, self.gear = 0.0, 0.0, speed, gear
        self.gap = 0.0
        self.moments: list[Moment] = []

    def step(self, *, cap: float, gradient: float, most: float, lowest: int = 0, hold: bool = False) -> None:
        """A hundredth of a second at full throttle, or in a shift, or at what the corner allows."""
        car = self.car
        drag = car.drag(self.speed, gradient, self.wind)
        throttle = 1.0
        if self.gap > 0:
            self.gap -= STEP
            throttle = 0.0
            change = -drag / (car.mass + car.wheels)
        else:
            force, moved = car.push(self.gear, self.speed, self.engine)
            change = (min(force, most) - drag) / moved
            throttle = 1.0 if force <= most else max(0.4, most / force)
        wanted = self.speed + change * STEP
        if wanted >= cap:
            throttle = 0.0 if cap < self.speed - 1e-4 else 0.35
            wanted = cap
        self.place += (self.speed + wanted) / 2 * STEP
        self.time += STEP
        self.speed = wanted
        if not hold:
            self._change(throttle, lowest)
        revs = max(car.revs(self.gear, self.speed), 3400.0 if self.speed < 9 and throttle else 900.0)
        self.moments.append(Moment(self.time, self.place, self.speed, self.gear, revs, throttle))

    def _change(self, throttle: float, lowest: int) -> None:
        car = self.car
        last = len(car.gears) - 1
        if self.gap <= 0 and self.gear < last and car.revs(self.gear, self.speed) >= car.shift_at:
            self.gear += 1
            self.gap = max(0.35, self.chance.gauss(car.shift_gap, 0.05))
        while throttle == 0.0 and self.gap <= 0 and self.gear > lowest:
            if car.revs(self.gear - 1, self.speed) > 7200:  # blipped on the brakes: it costs no time
                break
            self.gear -= 1


def pull(
    car: Car,
    chance: Random,
    *,
    gear: int,
    from_speed: float,
    to_speed: float,
    gradient: float,
    wind: float,
    hold: bool,
) -> list[Moment]:
    """A pull on the airstrip: held at the first speed for three seconds, then full throttle."""
    drive = _Drive(of_the_hour(car, chance), HEADER, chance, speed=from_speed, gear=gear, wind=wind)
    while drive.time < 3.0:
        drive.time += STEP
        drive.place += from_speed * STEP
        drive.moments.append(
            Moment(drive.time, drive.place, from_speed, gear, car.revs(gear, from_speed), 0.18)
        )
    while drive.speed < to_speed:
        drive.step(cap=inf, gradient=gradient, most=car.grip(gradient), hold=hold)
    coasting = drive.time + 4.0
    while drive.time < coasting:
        drive.gap = 1.0
        drive.step(cap=inf, gradient=gradient, most=0.0, hold=True)
    return drive.moments


def seen(moments: Sequence[Moment], time: float) -> Moment:
    """The car at a time; before and after the run as at its ends."""
    index = round(time / STEP) - 1
    return moments[min(max(index, 0), len(moments) - 1)]


# --- the files ---------------------------------------------------------------------------

Text = Iterator[str]
LAG = 2.3  # s by which the satellite receiver's speed comes late


def hill_log(name: str, moments: Sequence[Moment], chance: Random) -> Text:
    """Ten rows a second. The speed is the receiver's, and late; at times the engine speed is 0 for a row."""
    yield f"{INVENTED}: {name}\n"
    yield "time [s],speed [km/h],engine [rpm]\n"
    end = moments[-1].time + LAG + 1
    for tick in range(int((end + 3) * 10)):
        time = tick / 10
        now, late = seen(moments, time - 3), seen(moments, time - 3 - LAG)
        speed = late.speed if time - 3 - LAG > 0 else 0.0
        shown = max(0.0, speed * 3.6 + chance.gauss(0, 0.08)) if speed else 0.0
        revs = now.revs if time > 3 else 3400.0
        revs = 0 if chance.random() < 0.012 else revs + chance.gauss(0, 12)
        yield f"{time:.1f},{shown:.1f},{revs:.0f}\n"


def strip_log(name: str, moments: Sequence[Moment], chance: Random, start: float) -> Text:
    """Times in milliseconds since 1970, in exponent form, as a spreadsheet leaves them."""
    yield f"{INVENTED}: {name}\n"
    yield "t,v_sat,n_engine,throttle\n"
    yield "ms,km/h,rpm,%\n"
    for tick in range(int((moments[-1].time + LAG) * 10)):
        time = tick / 10
        now, late = seen(moments, time), seen(moments, time - LAG)
        stamp = (start + time) * 1000
        shown = late.speed * 3.6 + chance.gauss(0, 0.08)
        yield f"{stamp:.12E},{shown:.1f},{now.revs + chance.gauss(0, 12):.0f},{now.throttle * 100:.0f}\n"


HILL_ORDER = "ABBA" + "BAAB" + "ABBA"
AXLES = {"A": ("39-10", 39 / 10), "B": ("41-9", 41 / 9)}


def hill_runs() -> Iterator[tuple[str, str, list[Moment]]]:
    """The twelve runs in the order in which they were driven: number, axle, what the car did."""
    for number, letter in enumerate(HILL_ORDER, start=1):
        chance = Random(2700 + number)
        axle, ratio = AXLES[letter]
        # The road dries and the tyres come in over a morning: what an alternating order cancels.
        car = replace(Car(), final_drive=ratio, friction=1.03 + 0.006 * ((number - 1) % 4))
        yield f"{number}", axle, hill_run(car, chance)


def finish_time(moments: Sequence[Moment]) -> float:
    return next(moment.time for moment in moments if moment.place >= FINISH)


def hill_files() -> Iterator[tuple[str, Text]]:
    sheet = ["run,condition,reading [s],road,note\n"]
    notes = {"1": "damp under the trees", "7": "wide at the chapel", "10": "sun in her eyes at the finish"}
    for number, axle, moments in hill_runs():
        name = f"hill-{axle}-{number}.csv"
        road = "drying" if int(number) % 4 == 1 else "dry"
        yield name, hill_log(name, moments, Random(2200 + int(number)))
        sheet.append(
            f"{number},{axle.replace('-', '/')},{finish_time(moments):.2f},{road},{notes.get(number, '')}\n"
        )
    yield "hill-sheet.csv", iter(sheet)


def strip_files() -> Iterator[tuple[str, Text]]:
    """Six pulls through the gears and six in third, half of them down the strip and half of them back."""
    noon = 1_757_156_400.0  # 2025-09-06, 11:00 UTC
    for number in range(1, 13):
        chance = Random(3200 + number)
        way = 1 if number % 2 else -1
        gears = number <= 6
        moments = pull(
            Car(),
            chance,
            gear=1 if gears else 2,
            from_speed=(66 if gears else 55) / 3.6,
            to_speed=(146 if gears else 126) / 3.6,
            gradient=0.004 * way,
            wind=1.6 * way + chance.gauss(0, 0.4),
            hold=not gears,
        )
        what = "gears" if gears else "third"
        name = f"strip-{what}-{'out' if way > 0 else 'back'}-{(number - 1) % 6 // 2 + 1}.csv"
        yield name, strip_log(name, moments, chance, noon + number * 420)


# --- on the public road ------------------------------------------------------------------

# seconds and km/h: what the traffic allowed
FREE = (
    (20, 0), (60, 50), (90, 72), (150, 88), (40, 50), (120, 98), (100, 84), (60, 70), (50, 52), (90, 90),
    (30, 30),
)  # fmt: skip
BUSY = (
    (30, 0), (70, 30), (80, 48), (25, 0), (60, 32), (90, 70), (40, 20), (110, 52), (70, 86), (30, 0),
    (80, 50), (60, 30), (65, 72),
)  # fmt: skip


@dataclass(frozen=True)
class Second:
    """What the bus of the logger could say of half a second on the road."""

    speed: float  # km/h
    revs: float
    throttle: float  # %
    inlet: float  # °C, as the slow sensor has it
    ambient: float  # °C


def road(
    car: Car,
    chance: Random,
    sections: Sequence[tuple[int, int]],
    inlet: Inlet,
    ambient: float,
    warming: float,
) -> Iterator[Second]:
    """A drive in traffic, two moments a second. The bay is slow to warm and to cool, and so is the sensor."""
    speed, air, sensor, wobble = 0.0, ambient + inlet.excess(0), ambient + inlet.excess(0), 0.0
    # No two drives have the same traffic, and something is left of what the car did before each.
    driven = [(round(length * chance.uniform(0.8, 1.2)), target) for length, target in sections]
    first, rest = driven[0], driven[1:]
    chance.shuffle(rest)
    driven = [(length, round(target * chance.uniform(0.93, 1.07))) for length, target in [first, *rest]]
    warm = chance.gauss(0, 0.5)
    total = sum(length for length, _ in driven)
    elapsed = 0.0
    for length, target in driven:
        for _ in range(length * 2):
            elapsed += 0.5
            outside = ambient + warming * elapsed / total + 0.3 * sin(elapsed / 70)
            wobble += -0.04 * wobble + chance.gauss(0, 0.28)
            wanted = max(0.0, target + wobble) if target else 0.0
            change = max(-2.2, min(1.5, (wanted - speed) / 3.6 / 2.5)) * 3.6
            speed = max(0.0, speed + change * 0.5)
            gear = max(0, min(4, int(speed / 17)))
            force = car.drag(speed / 3.6, 0.0, 0.0) + car.mass * change / 3.6
            throttle = 4 + max(0.0, force) * speed / 3.6 / 600 + abs(chance.gauss(0, 1))
            air += (outside + warm + inlet.excess(speed) - air) * 0.5 / inlet.settles
            sensor += (air - sensor) * 0.5 / 7
            revs = max(900.0, car.revs(gear, speed / 3.6))
            yield Second(speed, revs, throttle, sensor + chance.gauss(0, 0.15), outside)


@dataclass(frozen=True)
class Inlet:
    """How much warmer than the weather an inlet breathes, standing and at speed."""

    standing: float  # K
    moving: float  # K
    fades: float  # km/h
    settles: float  # s

    def excess(self, speed: float) -> float:
        return self.moving + (self.standing - self.moving) * exp(-speed / self.fades)


PIPE = Inlet(42, 22.5, 32, 45)
OVAL = Inlet(23, 2.8, 20, 35)


def pipe_log(chance: Random, ambient: float, hour: str, tunnel: tuple[int, int]) -> Text:
    """As the logger wrote at first: semicolons, decimal commas, Windows-1252, and a clock of whole seconds
    under two rows a second. It lost itself in a tunnel, and its plug shook: a cell has dashes in it."""
    yield f"{INVENTED}\n"
    yield "Uhrzeit;Geschw. (km/h);Drehzahl;Drossel (%);Ansaugluft (°C);Außen (°C)\n"
    start = int(hour[:2]) * 3600 + int(hour[3:]) * 60
    for index, now in enumerate(road(Car(), chance, FREE, PIPE, ambient, 2.0)):
        if tunnel[0] <= index < tunnel[1]:
            continue
        clock = start + index // 2
        inlet = "---" if chance.random() < 0.006 else f"{now.inlet:.1f}".replace(".", ",")
        outside = f"{round(now.ambient * 2) / 2:.1f}".replace(".", ",")
        stamp = f"{clock // 3600:02d}:{clock // 60 % 60:02d}:{clock % 60:02d}"
        yield f"{stamp};{now.speed:.0f};{now.revs:.0f};{now.throttle:.0f};{inlet};{outside}\n"


def oval_log(chance: Random, ambient: float) -> Text:
    """As the same logger wrote with its new firmware: commas and points, seconds since it was switched on."""
    yield f"{INVENTED}\n"
    yield "t [s],speed [km/h],engine [rpm],throttle [%],inlet [°C],ambient [°C]\n"
    for index, now in enumerate(road(Car(), chance, BUSY, OVAL, ambient, 1.5)):
        if index % 2:
            continue
        outside = round(now.ambient * 2) / 2
        engine = f"{now.revs:.0f},{now.throttle:.0f}"
        yield f"{index / 2:.0f},{now.speed:.0f},{engine},{now.inlet:.1f},{outside:.1f}\n"


# seconds, gear from 0 or none for the clutch in, km/h at the end: on the perimeter road of the airstrip
THROUGH = (
    (6, 0, 18), (8, 0, 45), (1, None, 44), (8, 1, 70), (8, 1, 74), (1, None, 73), (8, 2, 98), (10, 2, 92),
    (1, None, 91), (8, 3, 112), (12, 3, 104), (1, None, 104), (10, 4, 122), (16, 4, 116), (14, 4, 82),
    (1, None, 81), (10, 2, 60), (8, 2, 84), (1, None, 83), (12, 3, 70), (10, 3, 96), (8, None, 76),
    (10, 1, 48), (10, 1, 62), (1, None, 61), (14, 4, 74), (12, 4, 100), (1, None, 99), (12, 3, 86),
    (10, 2, 58), (10, 1, 36), (8, 0, 22), (6, 0, 30), (8, None, 12),
)  # fmt: skip


def gears_log(chance: Random) -> Text:
    """Five rows a second, tabs, and a mark of bytes ahead of all. The front wheel's speed comes in whole km/h
    at once, the receiver's in tenths and late; at times the engine stands still for a row."""
    car = Car()
    yield f"\ufeff{INVENTED}\n"
    yield "time\tengine\twheel\tsatellite\n"
    yield "s\trpm\tkm/h\tkm/h\n"
    truth: list[tuple[float, float]] = []
    speed, revs = 8.0, 2000.0
    for length, gear, target in THROUGH:
        first = speed
        for tick in range(length * 5):
            share = (tick + 1) / (length * 5)
            speed = first + (target - first) * (1 - cos(pi * share)) / 2 + 0.4 * sin(tick / 4)
            if gear is None:
                revs += (1100 - revs) * 0.08
            else:
                revs = car.revs(gear, speed / 3.6)
            truth.append((speed, revs))
    for tick, (speed, revs) in enumerate(truth):
        place = max(0.0, tick - LAG * 5)
        left = int(place)
        late = truth[left][0] + (truth[min(left + 1, len(truth) - 1)][0] - truth[left][0]) * (place - left)
        shown = 0 if chance.random() < 0.015 else revs + chance.gauss(0, 10)
        wheel = speed + chance.gauss(0, 0.1)
        yield f"{tick / 5:.1f}\t{shown:.0f}\t{wheel:.0f}\t{late + chance.gauss(0, 0.08):.1f}\n"


# --- on the rollers ----------------------------------------------------------------------


def rollers_log(chance: Random, engine: Sequence[tuple[float, float]], air: float) -> Text:
    """One pull: engine speed and power at the rollers, ten rows a second. The air of the day takes its share,
    chance another, and the brake of the rollers lets the engine gain about 400 rpm in a second."""
    share = air * chance.gauss(1.0, 0.004)
    yield f"{INVENTED}\n"
    yield "time [s],engine [rpm],power [kW]\n"
    revs = 2450.0
    for tick in range(145):
        torque = between(engine, revs) * share * 0.88 + chance.gauss(0, 0.6)
        shown = revs + chance.gauss(0, 3)
        yield f"{tick / 10:.1f},{shown:.0f},{torque * revs * pi / 30 / 1000:.2f}\n"
        revs += 40 - 8 * (revs / 8000) ** 2
        if revs > 7950:
            return


# --- all of them -------------------------------------------------------------------------


def road_files() -> Iterator[tuple[str, Text]]:
    yield "inlet-pipe-1.csv", pipe_log(Random(41), 16.0, "08:41", (700, 790))
    yield "inlet-pipe-2.csv", pipe_log(Random(42), 19.5, "11:05", (1010, 1082))
    yield "inlet-pipe-3.csv", pipe_log(Random(43), 18.0, "09:12", (300, 366))
    yield "inlet-oval-1.csv", oval_log(Random(44), 17.0)
    yield "inlet-oval-2.csv", oval_log(Random(45), 20.5)
    yield "inlet-oval-3.csv", oval_log(Random(46), 18.5)
    yield "gears.csv", gears_log(Random(47))


def rollers_files() -> Iterator[tuple[str, Text]]:
    for name, engine, air, seed in (("casting", CASTING, 0.9988, 51), ("header", HEADER, 0.959, 61)):
        for number in range(1, 5):
            yield f"rollers-{name}-{number}.csv", rollers_log(Random(seed + number), engine, air)


def files() -> dict[str, bytes]:
    """Every file: its name under content/data/logs, and its bytes."""
    made: dict[str, bytes] = {}
    for group in (hill_files, strip_files, road_files, rollers_files):
        for name, lines in group():
            encoding = "windows-1252" if name.startswith("inlet-pipe") else "utf-8"
            made[name] = "".join(lines).encode(encoding)
    return made


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, text in files().items():
        (FOLDER / name).write_bytes(text)
        sys.stdout.write(f"{name} {len(text)}\n")


if __name__ == "__main__":
    main()
