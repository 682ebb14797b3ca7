"""A shop with one engine on its brake: what it logs, how it sweeps, and its pulls as records."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.engine import Engine, Fuel
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Conditions, Origin
from simulations.health import noise, physics, sensors, weather
from simulations.health.machines import PSI, Machine
from simulations.health.physics import Body, Build
from simulations.health.trouble import Trouble
from simulations.health.weather import Room

SCATTER = (0.002, 0.007)  # pull to pull, standard deviation at one rpm
RATES = (100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 500.0, 600.0)  # [rpm/s]
HERTZ = (10.0, 20.0, 25.0, 50.0, 100.0, 200.0)
MOST_ROWS = 1600
FEWEST_ROWS = 60
ONLY_FULL = (
    "air_mass_flow",
    "knock",
    "exhaust_pressure",
    "crankcase_pressure",
    "coolant_in",
    "spark_advance",
    "carbon_monoxide",
    "charge_temperature_before_cooler",
    "blower_rpm",
)
WEATHER = ("barometer", "inlet_temperature", "relative_humidity")
SETS = ("full", "shop", "bare")


@dataclass(frozen=True, slots=True)
class Wish:
    """What a case needs of its shop.

    Attributes:
        channels: one of SETS. kinds: sweeps, step tests, or both to draw from.
        per_row: most rpm between two rows of a sweep.
        low_start: the pull starts as low as this [rpm] at most; None: no wish.
        quick: draw the sweep rate from this range instead [rpm/s]; None: usual rates.
        needs: channels that must be logged.
        early_end: the pull ends at this share of peak power's speed; None: well past the peak.
        wide: the pull starts so low that torque changes a lot along it.
    """

    channels: str = "full"
    kinds: tuple[str, ...] = ("sweep", "steps")
    per_row: float = 70.0
    low_start: float | None = None
    quick: tuple[float, float] | None = None
    needs: tuple[str, ...] = ()
    early_end: float | None = None
    wide: bool = False


@dataclass(frozen=True, slots=True)
class Shop:
    """One build on one brake with one set of instruments.

    start, end: planned speeds [rpm]. peak_power, peak_torque: speeds of the healthy peaks [rpm].
    logged: channels as they are logged. room: the day's air. scatter: pull-to-pull standard deviation.
    """

    machine: Machine
    build: Build
    sensors: sensors.Sensors
    kind: str
    hertz: float
    rate: float
    start: float
    end: float
    peak_power: float
    peak_torque: float
    logged: tuple[str, ...]
    weather_logged: bool
    channels: str
    room: Room
    scatter: float
    oil: float
    coolant: float
    brake_water: float

    @property
    def engine(self) -> Engine:
        """The machine as the project's record."""
        fuel = Fuel("petrol", self.machine.stoich, 42.5e6, 745.0)
        m = self.machine
        return Engine(
            m.name,
            m.bore,
            m.stroke,
            m.cylinders,
            compression_ratio=m.ratio,
            fuel=fuel,
            induction=m.induction,
            inertia=m.inertia,
        )


@dataclass(slots=True)
class Stage:
    """A pull about to be made: a fault may change ``trouble``, and say in ``size`` how large it came out.

    rpm is what the speed pickup will say, before its noise, shape (n,); time [s], shape (n,).
    """

    shop: Shop
    rpm: FloatArray
    time: FloatArray
    room: Room
    body: Body
    trouble: Trouble
    rng: np.random.Generator
    size: float | None = None


@dataclass(frozen=True, slots=True)
class Made:
    """A pull and the factor the desk printed for it."""

    pull: Pull
    factor: float


def draw_build(machine: Machine, room: Room, rng: np.random.Generator) -> Build:
    """A build of a machine: its humps, mixture, losses, levels."""
    count = int(rng.integers(1, 4))
    sign = rng.choice([-1.0, 1.0], count) if machine.induction == "natural" else np.ones(count)
    sizes = sign * rng.uniform(0.01, 0.05 if machine.induction == "natural" else 0.025, count)
    humps = tuple((float(rng.uniform(0.4, 1.05)), float(size), float(rng.uniform(0.065, 0.14))) for size in sizes)
    spread = rng.uniform(-1.0, 1.0, machine.cylinders)
    spread = (spread - spread.mean()) * rng.uniform(4.0, 16.0)  # within 60 degF from coldest to hottest
    return Build(
        machine=machine,
        full=machine.full * float(rng.uniform(0.96, 1.04)),
        humps=humps,
        efficiency=float(rng.uniform(0.355, 0.385)) + 0.003 * (machine.ratio - 9.5),
        lam=machine.rich + float(rng.uniform(-0.02, 0.02)),
        lam_slope=float(rng.uniform(-0.04, 0.02)),
        lam_wave=float(rng.uniform(0.0, 0.006)),
        intake_drop=float(rng.uniform(0.3, 0.85)) * 3386.4,
        exhaust_rise=float(rng.uniform(0.4, 1.6)) * PSI,
        boost=machine.boost * float(rng.uniform(0.85, 1.1)),
        compressor=float(rng.uniform(0.58, 0.65) if machine.blower == "positive" else rng.uniform(0.68, 0.76)),
        spool=float(rng.uniform(0.30, 0.40)),
        egt=float(rng.uniform(1000.0, 1090.0)),
        spread=np.asarray(np.clip(spread, -16.5, 16.5), dtype=np.float64),
        oil_pressure=float(rng.uniform(55.0, 75.0)) * PSI,
        fuel_pressure=float(rng.uniform(5.5, 7.5) if machine.fuel == "carburettor" else rng.uniform(40.0, 58.0)) * PSI,
        knock=float(10.0 ** rng.uniform(-0.5, 2.0)),
        phase=float(rng.uniform(0.0, 6.28)),
        jetted=room.dry / (weather.GAS * room.temperature),
    )


def healthy_body(rpm: FloatArray, shop: Shop, rng: np.random.Generator) -> Body:
    """The engine's state in one healthy pull: inside the series' limits of trade sheet 1.7."""
    both = noise.curve_error(rng, rpm, np.sqrt(0.6) * shop.scatter)
    own = noise.curve_error(rng, rpm, np.sqrt(0.4) * shop.scatter)
    return Body(
        air=1.0 + 0.86 * both,  # friction takes its part first: a per cent of air is more than one of torque
        work=1.0 + 0.86 * own,
        oil=shop.oil + float(np.clip(rng.normal(0.0, 0.7), -1.3, 1.3)),
        coolant=shop.coolant + float(np.clip(rng.normal(0.0, 0.7), -1.3, 1.3)),
        brake_water=shop.brake_water + float(rng.normal(0.0, 1.0)),
        lam=float(np.clip(rng.normal(0.0, 0.004), -0.009, 0.009)),
        boost=float(np.clip(rng.normal(0.0, 0.05), -0.1, 0.1)) * PSI,
        warming=float(rng.uniform(0.5, 2.5)),
        brake_rise=float(rng.uniform(8.0, 16.0)),
    )


def _still(rpm: FloatArray) -> Body:
    one = np.ones(rpm.shape)
    return Body(one, one, 365.0, 350.0, 300.0, 0.0, 0.0, 0.0, 0.0)


def _peaks(build: Build, room: Room) -> tuple[FloatArray, FloatArray]:
    """Speed and healthy torque over a wide range, shape (g,) each."""
    grid = np.linspace(0.22, 1.5, 320) * build.machine.turn
    truth = physics.run(build, grid, grid / 300.0, room, _still(grid), Trouble())
    return grid, truth["torque"]


def _range(build: Build, room: Room, wish: Wish, rng: np.random.Generator) -> tuple[float, float, float, float]:
    """Start, end, speed of peak power and of peak torque [rpm]: both peaks inside, power falling at the end."""
    grid, torque = _peaks(build, room)
    power = torque * grid
    best = int(np.argmax(power))
    strong = int(np.argmax(torque[: best + 1]))
    past = grid[(np.arange(grid.size) > best) & (power < 0.985 * power[best])]
    end = max(float(past[0]), float(grid[best]) * float(rng.uniform(1.05, 1.10)))
    before = grid[(np.arange(grid.size) < strong) & (torque < 0.985 * torque[strong])]
    start = min(float(before[-1]) if before.size else grid[0], float(grid[strong]) * float(rng.uniform(0.5, 0.75)))
    if wish.wide:
        start = min(start, 0.4 * float(grid[strong]))
    if wish.low_start is not None:
        start = min(start, wish.low_start)
    if wish.early_end is not None:
        end = wish.early_end * float(grid[best])
    round_to = 50.0 if build.machine.turn < 8500.0 else 100.0
    return round(start / round_to) * round_to, end, float(grid[best]), float(grid[strong])


def _timing(span: float, wish: Wish, rng: np.random.Generator) -> tuple[float, float]:
    """Samples a second and sweep rate [rpm/s] that give a sensible number of rows."""
    for _ in range(40):
        rate = float(rng.uniform(*wish.quick)) if wish.quick else float(rng.choice(RATES))
        hertz = float(rng.choice(HERTZ))
        rows = span / rate * hertz
        if FEWEST_ROWS <= rows <= MOST_ROWS and rate / hertz <= wish.per_row:
            return hertz, rate
    return 50.0, max(wish.quick[0] if wish.quick else 0.0, min(span / 8.0, 600.0))


def _logged(machine: Machine, wish: Wish, rng: np.random.Generator) -> tuple[str, ...]:
    """Names of the channels this shop logs, beside clock, speed and torque."""
    if wish.channels == "bare":
        return ()
    names = ["manifold_pressure", "fuel_mass_flow", "lambda", "oil_pressure", "oil_temperature", "fuel_pressure"]
    names += ["brake_outlet_temperature", "throttle", *ONLY_FULL]
    names += ["coolant_out"] if machine.water else []
    names += ["charge_temperature_after_cooler"] if machine.boosted else []
    drop: set[str] = set()
    if wish.channels == "shop":
        drop |= set(ONLY_FULL)
        drop |= {name for name in names if rng.random() < 0.15}
    drop |= set() if machine.oil_gauge else {"oil_pressure"}
    drop |= set() if machine.induction == "belt" else {"blower_rpm"}
    drop |= set() if machine.boosted else {"charge_temperature_before_cooler"}
    drop |= set() if machine.water else {"coolant_in"}
    pressure = ["boost"] if machine.boosted and rng.random() < 0.4 else []
    logged = [name for name in [*names, *pressure] if name not in drop or name in wish.needs]
    if wish.channels == "full" or rng.random() < 0.7 or "exhaust_temperature" in wish.needs:
        logged += [f"exhaust_temperature_{n + 1}" for n in range(machine.cylinders)]
    return tuple(logged)


def open_shop(machine: Machine, wish: Wish, rng: np.random.Generator) -> Shop:
    """Draw a shop for a machine."""
    room = weather.first_room(rng)
    build = draw_build(machine, room, rng)
    start, end, power, strong = _range(build, room, wish, rng)
    kind = str(rng.choice(wish.kinds, p=[0.85, 0.15] if len(wish.kinds) == 2 else [1.0]))
    hertz, rate = _timing(end - start, wish, rng)
    return Shop(
        machine=machine,
        build=build,
        sensors=sensors.draw(machine, hertz, rate, rng),
        kind=kind,
        hertz=hertz,
        rate=rate,
        start=start,
        end=end,
        peak_power=power,
        peak_torque=strong,
        logged=_logged(machine, wish, rng),
        weather_logged=bool(rng.random() < 0.7),
        channels=wish.channels,
        room=room,
        scatter=float(np.exp(rng.uniform(*np.log(SCATTER)))),
        oil=float(rng.uniform(356.0, 370.0)),
        coolant=float(rng.uniform(347.0, 357.0)),
        brake_water=float(rng.uniform(297.0, 306.0)),
    )


def _points(shop: Shop, rng: np.random.Generator, rate: float) -> tuple[FloatArray, FloatArray]:
    """Clock [s] and speed [rpm] of one pull, shape (n,) each."""
    start = shop.start + float(rng.normal(0.0, 8.0))
    end = shop.end + float(rng.normal(0.0, 20.0))
    if shop.kind == "steps":
        spacing = float(rng.choice([100.0, 200.0, 250.0])) * (2.0 if shop.machine.turn > 8500.0 else 1.0)
        rpm = np.arange(shop.start, end + 1.0, spacing, dtype=np.float64)
        rpm = rpm + rng.normal(0.0, 3.0, rpm.size)
        return np.arange(rpm.size, dtype=np.float64) * float(rng.uniform(4.0, 7.0)), np.asarray(rpm, dtype=np.float64)
    n = max(int(np.ceil((end - start) / rate * shop.hertz)) + 1, FEWEST_ROWS)
    time = np.arange(n) / shop.hertz
    done = time / time[-1]
    bend = float(rng.uniform(-0.04, 0.04))  # the ramp is never quite straight
    return time, start + (end - start) * (done + bend * done * (1.0 - done))


def _channels(stage: Stage) -> dict[str, FloatArray]:
    """Everything that is logged, read through the instruments."""
    shop, trouble = stage.shop, stage.trouble
    true_rpm = stage.rpm / trouble.rpm_gain
    truth = physics.run(shop.build, true_rpm, stage.time, stage.room, stage.body, trouble)
    truth["torque"] = truth["torque"] * trouble.torque_gain + trouble.torque_zero
    truth["air_mass_flow"] = truth["air_mass_flow"] * trouble.air_gain
    truth["fuel_mass_flow"] = truth["fuel_mass_flow"] * trouble.fuel_gain
    truth["lambda"] = truth["lambda"] * trouble.lambda_gain
    names = ["torque", *(WEATHER if shop.weather_logged else ()), *shop.logged]
    logged = {"rpm": stage.rpm} | {name: truth[name] for name in names}
    lags = {"torque": trouble.torque_lag, "lambda": trouble.lambda_lag}
    how = sensors.Readings(
        steps=shop.kind == "steps",
        lags={name: tau for name, tau in lags.items() if tau is not None},
        hash=np.broadcast_to(np.asarray(trouble.hash, dtype=np.float64), stage.rpm.shape),
        map_hash=np.broadcast_to(np.asarray(trouble.map_hash, dtype=np.float64), stage.rpm.shape),
    )
    return {"time": stage.time} | sensors.read(logged, stage.time, shop.sensors, how, stage.rng)


def make_pull(
    shop: Shop,
    name: str,
    rng: np.random.Generator,
    *,
    number: int = 0,
    drift: float = 0.0,
    fault: Callable[[Stage, np.random.Generator], None] | None = None,
    rate: float | None = None,
) -> Made:
    """Make one pull.

    Args:
        shop: where.
        name: its label.
        rng: generator.
        number: its place in the series, for clock and drift.
        drift: change of level from pull to pull, a fraction.
        fault: changes the stage before the engine runs; None for a healthy pull.
        rate: sweep rate instead of the shop's [rpm/s].

    Returns:
        The pull and the factor of its air as the desk read it.
    """
    usual = rate or shop.rate
    used = min(usual * float(rng.uniform(0.97, 1.03)), max(usual, RATES[-1] * 0.99))
    time, rpm = _points(shop, rng, used)
    body = healthy_body(rpm, shop, rng)
    body = replace(body, air=body.air * (1.0 + drift * number))
    stage = Stage(shop, rpm, time, weather.later_room(shop.room, rng), body, Trouble(), rng)
    own = rng.spawn(1)[0]  # a fault draws from its own, so that the healthy twin is the same pull
    if fault is not None:
        fault(stage, own)
    channels = _channels(stage)
    pressure = stage.room.pressure + stage.trouble.barometer
    temperature = stage.room.temperature + stage.trouble.inlet
    held = shop.machine.induction == "turbo-held"
    given = Conditions()
    if not shop.weather_logged:
        given = Conditions(round(pressure, -1), round(temperature, 1), round(stage.room.humidity, 2))
    pull = Pull(
        name=name,
        origin=Origin(f"{name}.csv", "", "made", "invented"),
        kind=shop.kind,
        channels=channels,
        last_row=rpm.size - 1,
        started_at=1.7e9 + 900.0 * number,
        sweep_rate=0.0 if shop.kind == "steps" else float((rpm[-1] - rpm[0]) / (time[-1] - time[0])),
        given=given,
    )
    return Made(pull, 1.0 if held else weather.factor(pressure, temperature, stage.room.vapour))
