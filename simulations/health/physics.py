"""A four-stroke engine at full load, small enough to run thousands of pulls: air, fuel, work, heat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.terms.arrays import FloatArray
from simulations.health.machines import Machine
from simulations.health.trouble import Trouble
from simulations.health.weather import GAS, Room

HEATING = 43.0e6  # petrol [J/kg]
BEST_LAMBDA = 0.87
BASE = 298.15  # [K]
POLYTROPE = 0.283
PSI = 6894.757
Truth = dict[str, FloatArray]


@dataclass(frozen=True, slots=True)
class Build:
    """One build of a machine: what stays the same from pull to pull.

    Attributes:
        machine: the engine.
        full: best volumetric efficiency.
        humps: (place as a share of ``turn``, size, width as a share of ``turn``) of tuned lengths.
        efficiency: indicated.
        lam, lam_slope, lam_wave: mixture at mid range, its change over the range, a slow wave's size.
        intake_drop, exhaust_rise: pressure losses at full flow [Pa].
        boost: gauge at ``turn`` [Pa]. compressor: its efficiency.
        spool: speed where a turbo reaches half its boost, as a share of ``turn``.
        egt: level at full speed [K]. spread: each cylinder's natural offset [K], shape (cylinders,).
        oil_pressure, fuel_pressure: [Pa].
        knock: level of the knock instrument at full speed; noise of the valves and pistons, nothing else.
        phase: of the mixture's wave [rad]. jetted: density of the air a carburettor was set in [kg/m3].
    """

    machine: Machine
    full: float
    humps: tuple[tuple[float, float, float], ...]
    efficiency: float
    lam: float
    lam_slope: float
    lam_wave: float
    intake_drop: float
    exhaust_rise: float
    boost: float
    compressor: float
    spool: float
    egt: float
    spread: FloatArray
    oil_pressure: float
    fuel_pressure: float
    knock: float
    phase: float
    jetted: float


@dataclass(frozen=True, slots=True)
class Body:
    """The engine's state in one pull: what differs from pull to pull while it is healthy.

    Attributes:
        air, work: smooth factors, shape (n,): how well it breathes today, how well it works today.
        oil, coolant: temperatures at the start [K]. brake_water: at the start [K].
        lam: offset of the mixture. boost: offset of gauge boost [Pa].
        warming: oil's and coolant's rise over the pull [K].
        brake_rise: the brake water's rise over the pull [K].
    """

    air: FloatArray
    work: FloatArray
    oil: float
    coolant: float
    brake_water: float
    lam: float
    boost: float
    warming: float
    brake_rise: float


def breathing(build: Build, rpm: FloatArray) -> FloatArray:
    """Volumetric efficiency on manifold density at 25 degC, shape (n,)."""
    machine = build.machine
    place = rpm / machine.turn
    off = place - machine.where
    wide = np.where(off < 0.0, 1.05, machine.width)
    curve = build.full * np.exp(-((off / wide) ** 2)) / (1.0 + (place / 1.35) ** 8)
    for where, size, width in build.humps:
        curve = curve * (1.0 + size * np.exp(-0.5 * ((place - where) / width) ** 2))
    return np.asarray(curve, dtype=np.float64)


def compressed(build: Build, rpm: FloatArray, room: Room, inlet: float) -> FloatArray:
    """A healthy compressor's pressure ratio less one, shape (n,)."""
    machine = build.machine
    place = rpm / machine.turn
    top = build.boost / 101325.0
    if machine.blower == "centrifugal":
        extra = top * place**2 * (BASE / inlet)
    elif machine.blower == "positive":
        extra = top * (1.0 - 0.5 * np.exp(-(place - 0.2) / 0.13)) * (1.06 - 0.06 * place**2)
    else:
        held = 1.0 / (1.0 + np.exp(-(place - build.spool) / 0.045)) * (1.02 - 0.03 * place)
        gauge = build.boost if machine.induction == "turbo" else 101325.0 + build.boost - room.pressure
        extra = held * gauge / room.pressure
    return np.asarray(extra, dtype=np.float64)


def gauge_boost(build: Build, rpm: FloatArray, room: Room, inlet: float, body: Body, trouble: Trouble) -> FloatArray:
    """Manifold pressure above the room's [Pa], shape (n,)."""
    healthy = compressed(build, rpm, room, inlet)
    if build.machine.blower == "positive":  # displaces: the pressure ratio follows its speed
        extra = (1.0 + healthy) * trouble.blower_ratio - 1.0
    else:  # throws: pressure follows the square of its speed
        extra = healthy * np.asarray(trouble.blower_ratio) ** 2
    share = healthy / float(np.max(healthy))
    more = (body.boost + trouble.boost_more) * share
    return np.asarray(room.pressure * extra * trouble.boost + more, dtype=np.float64)


def charge(
    build: Build, rpm: FloatArray, room: Room, body: Body, trouble: Trouble
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Manifold pressure [Pa], temperature before and after the cooler [K], gauge boost [Pa], each shape (n,)."""
    machine = build.machine
    inlet = room.temperature + trouble.inlet
    flow = (rpm / machine.turn) ** 2 * np.clip(breathing(build, rpm) / build.full * trouble.air, 0.2, 2.0) ** 2
    drop = (build.intake_drop + trouble.intake_drop) * flow
    if not machine.boosted:
        hot = np.full(rpm.shape, inlet) + trouble.charge
        return room.pressure - drop, hot, hot, -drop
    boost = gauge_boost(build, rpm, room, inlet, body, trouble)
    ratio = np.clip((room.pressure + boost) / room.pressure, 1.0, None)
    hot = inlet * (1.0 + (ratio**POLYTROPE - 1.0) / build.compressor) + trouble.charge
    cool = hot - machine.cooler * (hot - inlet)
    return room.pressure + boost, np.asarray(hot), np.asarray(cool), boost


def mixture(build: Build, rpm: FloatArray, map_: FloatArray, room: Room, body: Body, trouble: Trouble) -> FloatArray:
    """Lambda in the cylinder, shape (n,); a carburettor was jetted for the air of its first day."""
    place = rpm / build.machine.turn
    lam = build.lam + build.lam_slope * (place - 0.7) + build.lam_wave * np.sin(7.0 * place + build.phase) + body.lam
    if build.machine.fuel == "carburettor":
        choked = np.minimum(map_ / room.pressure, 1.0)
        lam = lam * (room.dry / (GAS * room.temperature) / build.jetted * choked) ** 0.4
    return np.asarray((lam + trouble.mixture) / trouble.delivery, dtype=np.float64)


def burning(lam: FloatArray) -> FloatArray:
    """Work for the same air against lambda; 1 at best. Shape (n,)."""
    rich = 1.0 - 3.5 * (np.minimum(lam, 1.0) - BEST_LAMBDA) ** 2
    lean = np.clip(1.0 - 1.1 * (lam - 1.0), 0.2, 1.0)
    return np.asarray(rich * np.where(lam > 1.0, lean, 1.0), dtype=np.float64)


def friction(build: Build, rpm: FloatArray, oil: FloatArray) -> FloatArray:
    """Friction mean effective pressure [Pa], shape (n,)."""
    speed = 2.0 * build.machine.stroke * rpm / 60.0
    cold = 1.0 - 0.003 * (oil - 365.0)
    return np.asarray(1e5 * (0.50 + 0.020 * speed + 0.0026 * speed**2) * cold, dtype=np.float64)


def run(build: Build, rpm: FloatArray, time: FloatArray, room: Room, body: Body, trouble: Trouble) -> Truth:
    """What really happened in one pull: every channel before any instrument, shape (n,) each."""
    machine = build.machine
    place = rpm / machine.turn
    done = (time - time[0]) / max(float(time[-1] - time[0]), 1e-9)
    map_, hot, cool, boost = charge(build, rpm, room, body, trouble)
    oil = body.oil + body.warming * done + trouble.oil
    coolant = body.coolant + 0.6 * body.warming * done + trouble.coolant
    density = (map_ - room.vapour * map_ / room.pressure) / (GAS * cool)
    flow = place**2 * (breathing(build, rpm) / build.full) ** 2 * (density / 1.16)
    back = (build.exhaust_rise + trouble.exhaust_rise) * flow
    ve = breathing(build, rpm) * np.sqrt(cool / BASE) * body.air * trouble.air
    ve = ve * (1.0 - 0.008 * trouble.exhaust_rise * flow / PSI)
    per_volume = ve * density
    lam = mixture(build, rpm, map_, room, body, trouble)
    indicated = per_volume * HEATING / 14.6 * build.efficiency * burning(lam) * body.work * trouble.burn
    belt = 1005.0 * (hot - room.temperature - trouble.inlet) / 0.92 if machine.induction == "belt" else 0.0
    mean_pressure = indicated - friction(build, rpm, oil) - back - per_volume * belt
    torque = mean_pressure * machine.swept / (4.0 * np.pi)  # two turns a cycle
    air = per_volume * machine.swept * rpm / 120.0 * trouble.fresh
    truth: Truth = {
        "torque": torque,
        "manifold_pressure": map_,
        "boost": boost,
        "air_mass_flow": air * (1.0 + room.moisture),
        "fuel_mass_flow": per_volume * machine.swept * rpm / 120.0 / (machine.stoich * lam),
        "lambda": lam * trouble.lean,
        "charge_temperature_before_cooler": hot,
        "charge_temperature_after_cooler": cool,
        "oil_temperature": oil,
        "coolant_out": coolant,
        "coolant_in": coolant - 4.0 - 2.0 * place,
        "exhaust_pressure": room.pressure + back,
        "brake_outlet_temperature": body.brake_water + body.brake_rise * done + trouble.brake_water,
    }
    return truth | _gauges(build, rpm, room, trouble) | _exhaust(build, rpm, lam, trouble)


def _gauges(build: Build, rpm: FloatArray, room: Room, trouble: Trouble) -> Truth:
    machine = build.machine
    place = rpm / machine.turn
    n = np.ones(rpm.shape)
    top = rpm / 1000.0 * 12.0 * PSI + 12.0 * PSI
    oil = np.maximum(np.minimum(build.oil_pressure * n, top), rpm / 1000.0 * 10.8 * PSI)
    return {
        "oil_pressure": oil,
        "fuel_pressure": build.fuel_pressure * n * trouble.fuel_pressure,
        "knock": build.knock * (0.3 + 0.7 * place**1.5) * trouble.knock,
        "spark_advance": np.deg2rad(20.0 + (0.0 if machine.boosted else 8.0) + 8.0 * np.clip(place, 0.0, 0.7)) * n,
        "blower_rpm": machine.ratio_blower * rpm * trouble.blower_ratio,
        "throttle": n,
        "crankcase_pressure": 300.0 + 500.0 * place**2,
        "carbon_monoxide": 6e-6 * n,
        "barometer": room.pressure * n + trouble.barometer,
        "inlet_temperature": (room.temperature + trouble.inlet) * n,
        "relative_humidity": room.humidity * n,
    }


def _exhaust(build: Build, rpm: FloatArray, lam: FloatArray, trouble: Trouble) -> Truth:
    place = np.clip(rpm / build.machine.turn, 0.0, 1.4)
    mean = build.egt - 170.0 * (1.0 - place)
    mean = mean - 2000.0 * ((lam - 1.02) ** 2 - (build.lam - 1.02) ** 2)
    mean = mean + 5.0 * trouble.exhaust_rise * place**2 / PSI + trouble.egt_all
    return {
        f"exhaust_temperature_{n + 1}": mean + build.spread[n] * (0.6 + 0.4 * place) + trouble.egt.get(n, 0.0)
        for n in range(build.machine.cylinders)
    }
