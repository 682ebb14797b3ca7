"""One pull of an invented engine: every quantity where its sensor sits, in SI, before the sensor reads it."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from fairpull.demo import curves
from fairpull.demo.events import EVENTS, Event
from fairpull.demo.scenario import INERTIA_KG_M2, Run
from fairpull.demo.smooth import line, spline
from fairpull.demo.surroundings import surroundings
from fairpull.demo.sweep import BRAKE_DRAG_LBFT, Sweep, friction
from fairpull.demo.torque import GRID, corrected_curve, random_torque
from fairpull.demo.weather import Weather, weather_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.units import to_house

OVER_RPM = pi / 30.0  # rad/s per rpm


@dataclass(frozen=True, slots=True)
class Burning:
    """Torque and flows of one pull, every array of shape (n,), SI.

    Attributes:
        torque: at the brake, without what spins the rotating parts up [N m].
        air, fuel: mass flows [kg/s].
        mixture: lambda by those flows [-].
        loading: 0 to 1, how hard the engine works against full throttle at that speed.
    """

    torque: FloatArray
    air: FloatArray
    fuel: FloatArray
    mixture: FloatArray
    loading: FloatArray


def burn(run: Run, event: Event, weather: Weather, sweep: Sweep, rng: np.random.Generator) -> Burning:
    """Torque, air and fuel of one pull.

    Args:
        run: a line of the day sheet.
        event: what happened in it.
        weather: its air.
        sweep: its clock.
        rng: the pull's own random source.

    Returns:
        The burning.
    """
    rpm = sweep.rpm
    sound = np.interp(rpm, GRID, corrected_curve(run, event, weather, rng)) / weather.factor
    lost = 1.0 - line(event.torque, rpm)
    full = sound * (1.0 - lost) * (1.0 + random_torque(run, event, sweep, rng))
    torque = sweep.load * full - (1.0 - sweep.load) * friction(run.engine, rpm)
    # The emptied brake drags a little as soon as the load is off; while it coasts that is all it reads.
    per_power = spline(curves.table_of(curves.AIR_PER_POWER, run.build), rpm)
    breathing = sound * (1.0 - event.air_share * lost)
    air = to_house(per_power, "lb/hp h", "kg/J") * breathing * rpm * OVER_RPM * (0.12 + 0.88 * sweep.load)
    table = event.mixture or curves.table_of(curves.LAMBDA, run.build)
    mixture = line(table, rpm) + event.mixture_shift + 0.07 * (1.0 - sweep.load)
    return Burning(torque, air, air / (mixture * curves.STOICHIOMETRIC), mixture, sweep.load)


def brake_torque(run: Run, event: Event, sweep: Sweep, burning: Burning) -> FloatArray:
    """What reaches the torque cell: the engine's torque less what spins the rotating parts up, plus a false zero.

    Args:
        run: a line of the day sheet.
        event: what happened in the pull.
        sweep: its clock.
        burning: its torque.

    Returns:
        Torque [N m], shape (n,).
    """
    spun = INERTIA_KG_M2 * sweep.acceleration * OVER_RPM
    reached = burning.torque - spun
    least = to_house(BRAKE_DRAG_LBFT * sweep.rpm, "lb-ft", "N m")
    shut = sweep.load < 0.01
    return np.where(shut, least, reached) + to_house(event.zero, "lb-ft", "N m")


def _pressures(run: Run, weather: Weather, sweep: Sweep, burning: Burning) -> dict[str, FloatArray]:
    # A throttle body costs pressure with the square of the flow; the rest comes with closing it.
    rated = to_house(331.0 if run.engine == "anvil" else 420.0, "cfm", "m3/s")
    drop = to_house(1.5, "inHg", "Pa") * (burning.air / weather.density / rated) ** 2
    boost = np.zeros_like(sweep.rpm)
    if run.build in curves.BOOST_PSI:
        boost = to_house(line(curves.BOOST_PSI[run.build], sweep.rpm), "psi", "Pa") * burning.loading
        drop = np.zeros_like(drop)  # the table's boost is what reached the manifold
    choked = 0.30 + 0.70 * burning.loading
    manifold = (weather.pressure - drop) * choked + boost
    full = to_house(curves.BACK_PRESSURE_PSI[run.build.split("-")[1]], "psi", "Pa")
    flow = to_house(1000.0, "lb/h", "kg/s")
    return {
        "manifold_pressure": manifold,
        "exhaust_pressure": weather.pressure + full * (burning.air / flow) ** 2,
        "boost": boost,
    }


def _blower(run: Run, weather: Weather, sweep: Sweep, boost: FloatArray) -> dict[str, FloatArray]:
    if run.build not in curves.BOOST_PSI:
        return {}
    ratio = (weather.pressure + boost) / weather.pressure
    rise = weather.temperature * (ratio**0.283 - 1.0) / curves.BLOWER_EFFICIENCY[run.build]
    return {
        "boost": boost,
        "charge_temperature_after_cooler": weather.temperature + 4.0 + rise,
        "blower_rpm": curves.BLOWER_RATIO[run.build] * sweep.rpm,
    }


def _exhaust(run: Run, event: Event, sweep: Sweep, burning: Burning) -> dict[str, FloatArray]:
    mean = spline(curves.EXHAUST_DEGF[run.engine], sweep.rpm) + line(event.exhaust, sweep.rpm)
    cold, below = event.cold_cylinder
    channels = {}
    for index, habit in enumerate(curves.CYLINDERS_DEGF[run.engine], start=1):
        here = mean + habit - (below + habit if index == cold else 0.0)
        shown = 620.0 + (here - 620.0) * (0.35 + 0.65 * burning.loading)
        channels[f"exhaust_temperature_{index}"] = to_house(shown, "degF", "K")
    return channels


def _mixture(run: Run, event: Event, burning: Burning) -> dict[str, FloatArray]:
    if run.engine == "wren":
        return {"lambda": burning.mixture + 0.004}
    first, second = event.lambda_sensor
    return {"lambda_1": burning.mixture + first - 0.006, "lambda_2": burning.mixture + second + 0.007}


def run_machine(run: Run, sweep: Sweep, rng: np.random.Generator) -> dict[str, FloatArray]:
    """Every quantity of one pull, by glossary name (and the few that the glossary does not hold).

    Args:
        run: a line of the day sheet.
        sweep: its clock.
        rng: the pull's own random source.

    Returns:
        Channel -> values in SI, shape (n,), as they are where the sensor sits.
    """
    event, weather = EVENTS[run.event], weather_of(run)
    burning = burn(run, event, weather, sweep, rng)
    torque = brake_torque(run, event, sweep, burning)
    pressures = _pressures(run, weather, sweep, burning)
    boost = pressures.pop("boost")
    spark = spline(curves.table_of(curves.SPARK_DEG, run.build), sweep.rpm) + event.spark
    flows = {"air_mass_flow": burning.air, "air_volume_flow": burning.air / weather.density}
    if run.engine == "wren":
        # Four injectors of 29 lb/h; the valve needs a moment to open.
        rated = to_house(4 * 29.0, "lb/h", "kg/s")
        flows |= {"fuel_mass_flow": burning.fuel, "injector_duty": burning.fuel / rated + 0.0011 * sweep.rpm / 120.0}
    else:
        flows |= {"fuel_mass_flow_1": 0.53 * burning.fuel, "fuel_mass_flow_2": 0.47 * burning.fuel}
    return {
        "time": sweep.time,
        "rpm": sweep.rpm,
        "torque": torque,
        "power": torque * sweep.rpm * OVER_RPM,
        "throttle": sweep.throttle,
        **pressures,
        **_blower(run, weather, sweep, boost),
        **flows,
        **_mixture(run, event, burning),
        "spark_advance": to_house(spark, "deg", "rad"),
        "knock": 0.2 + 0.1 * sweep.rpm / 1000.0 + 4e-6 * boost,
        **_exhaust(run, event, sweep, burning),
        **surroundings(run, event, weather, sweep, burning.air, torque),
    }
