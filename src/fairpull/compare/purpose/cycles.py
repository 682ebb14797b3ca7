"""Published steady-state duty cycles as data, and a duty made from one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fairpull.terms.errors import Fault, UnknownName, ValueRefused
from fairpull.terms.purpose import Duty, LoadPoint


@dataclass(frozen=True, slots=True)
class CyclePoint:
    """One mode.

    speed: fraction of the rated speed (of the intermediate one where ``of`` says so), None for idle; torque: fraction
    of full torque at the speed that ``of`` names, or power: fraction of rated power; weight: in emissions and fuel.
    """

    speed: float | None
    weight: float
    torque: float | None = None
    power: float | None = None
    of: str = "rated"


@dataclass(frozen=True, slots=True)
class Cycle:
    """A published cycle; source: key of terms/sources.py; clause: where in it; for_: what it is meant for."""

    key: str
    for_: str
    source: str
    clause: str
    points: tuple[CyclePoint, ...]


def _torques(of: str, *rows: tuple[float, float]) -> tuple[CyclePoint, ...]:
    return tuple(CyclePoint(1.0, weight, torque=torque, of=of) for torque, weight in rows)


IDLE = "idle"
CYCLES: Mapping[str, Cycle] = {
    cycle.key: cycle
    for cycle in (
        Cycle(
            "E3",
            "marine compression ignition, fixed-pitch propeller",
            "40cfr1042",
            "appendix II (a)(1)",
            (
                CyclePoint(1.00, 0.20, power=1.00),
                CyclePoint(0.91, 0.50, power=0.75),
                CyclePoint(0.80, 0.15, power=0.50),
                CyclePoint(0.63, 0.15, power=0.25),
            ),
        ),
        Cycle(
            "E4",
            "marine spark ignition, propulsion",
            "40cfr1045",
            "appendix II (a)",
            (
                CyclePoint(1.00, 0.06, torque=1.000),
                CyclePoint(0.80, 0.14, torque=0.716),
                CyclePoint(0.60, 0.15, torque=0.465),
                CyclePoint(0.40, 0.25, torque=0.253),
                CyclePoint(None, 0.40, of=IDLE),
            ),
        ),
        Cycle(
            "D2",
            "constant speed, such as pumps and generators",
            "40cfr1039",
            "appendix II (a)(1)",
            _torques("rated", (1.00, 0.05), (0.75, 0.25), (0.50, 0.30), (0.25, 0.30), (0.10, 0.10)),
        ),
        Cycle(
            "G2",
            "small engines of variable speed, below 19 kW",
            "40cfr1039",
            "appendix II (b)(1)",
            (
                *_torques("rated", (1.00, 0.09), (0.75, 0.20), (0.50, 0.29), (0.25, 0.30), (0.10, 0.07)),
                CyclePoint(None, 0.05, of=IDLE),
            ),
        ),
        Cycle(
            "C1",
            "off-road engines of variable speed, 19 kW and above",
            "40cfr1039",
            "appendix II (c)(1), formerly appendix IV (a)",
            (
                *_torques("rated", (1.00, 0.15), (0.75, 0.15), (0.50, 0.15), (0.10, 0.10)),
                *_torques("intermediate", (1.00, 0.10), (0.75, 0.10), (0.50, 0.10)),
                CyclePoint(None, 0.15, of=IDLE),
            ),
        ),
    )
}


def cycle_duty(
    key: str,
    rated_rpm: float,
    rated_power: float,
    *,
    intermediate_rpm: float | None = None,
    intermediate_power: float | None = None,
    name: str = "",
    text: str = "",
) -> Duty:
    """A published cycle with its loads, for a declared rating.

    Args:
        key: one of CYCLES.
        rated_rpm: declared rated (or governed) speed at the output shaft [rpm].
        rated_power: declared full-load power there [W].
        intermediate_rpm: declared intermediate speed, for C1 only [rpm].
        intermediate_power: declared full-load power there [W].
        name: label; "" takes the cycle's.
        text: the person's words; "" says what the cycle is meant for.

    Returns:
        The duty: speed, power and weight of every point. A share of torque is one of the declared full-load torque at
        the rated speed, or at the intermediate one.

    Raises:
        UnknownName: no such cycle.
        ValueRefused: a rating that is missing or not positive; all faults at once.

    Source: 40cfr1039, 40cfr1042 and 40cfr1045, as CYCLES says.
    """
    if key not in CYCLES:
        raise UnknownName(Fault("duty-cycle", "cycle", repr(key), f"use one of {', '.join(CYCLES)}"))
    cycle = CYCLES[key]
    ratings: dict[str, tuple[float | None, float | None]] = {"rated": (rated_rpm, rated_power)}
    if any(point.of == "intermediate" for point in cycle.points):
        ratings["intermediate"] = (intermediate_rpm, intermediate_power)
    faults = [
        Fault(
            "duty-rating", f"cycle {key}, {of} point", f"{what} {value}", f"declare the {of} speed and power, above 0"
        )
        for of, pair in ratings.items()
        for what, value in zip(("speed", "power"), pair, strict=True)
        if value is None or not 0.0 < value < float("inf")
    ]
    if faults:
        raise ValueRefused(faults)
    points = tuple(_load(point, ratings) for point in cycle.points)
    told = text or f"cycle {key} ({cycle.for_}), {cycle.clause}"
    return Duty(name=name or f"cycle {key}", kind="cycle", text=told, points=points, source=cycle.source)


def _load(point: CyclePoint, ratings: Mapping[str, tuple[float | None, float | None]]) -> LoadPoint:
    if point.speed is None:
        return LoadPoint(0.0, 0.0, point.weight)
    rpm, power = ratings[point.of]
    assert rpm is not None, "refused before"
    assert power is not None, "refused before"
    share = point.power if point.power is not None else point.speed * (point.torque or 0.0)
    return LoadPoint(point.speed * rpm, share * power, point.weight)
