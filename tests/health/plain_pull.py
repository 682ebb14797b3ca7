"""A plain full-load pull written by hand, with every channel that the supply, boost and temperature detectors read."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from fairpull.health.view import View, make_view
from fairpull.terms.arrays import FloatArray
from fairpull.terms.engine import Engine, Fuel
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Origin
from fairpull.terms.units import to_house

PETROL = Fuel("petrol", 14.6, 43.5e6, 745.0)
LOW, HIGH = 2000.0, 5200.0
BAROMETER = 100.0e3


def engine(induction: str = "natural") -> Engine:
    """A four-cylinder of two litres."""
    return Engine("plain", 0.086, 0.086, 4, fuel=PETROL, induction=induction)


def speeds(kind: str = "sweep") -> FloatArray:
    """Rows of a sweep at 200 rpm/s and 20 Hz, or of a test in steps."""
    return np.linspace(LOW, HIGH, 17 if kind == "steps" else 321)


def share(rpm: FloatArray) -> FloatArray:
    """Place in the range, 0 at its start and 1 at its end."""
    return (rpm - LOW) / (HIGH - LOW)


def channels(seed: int, kind: str = "sweep") -> dict[str, FloatArray]:
    """A sound engine: lambda 0.87, fuel at 6.2 psi, back-pressure 1.2 psi and depression 0.8 inHg at the top."""
    random = np.random.default_rng(seed)
    rpm = speeds(kind)
    x = share(rpm)

    def rough(value: FloatArray | float, noise: float) -> FloatArray:
        return np.asarray(value + noise * random.standard_normal(rpm.size))

    square = np.square(rpm / HIGH)
    torque = 160.0 * (1.0 - 0.5 * np.square(x - 0.45))
    air = 0.078 * rpm / HIGH * torque / 155.0
    return {
        "time": np.arange(rpm.size) / 20.0,
        "rpm": rpm,
        "torque": rough(torque, 0.4),
        "lambda": rough(0.87 - 0.01 * x, 0.002),
        "air_mass_flow": rough(air, 1e-4),
        "fuel_mass_flow": rough(air / (14.6 * (0.87 - 0.01 * x)), 1e-5),
        "fuel_pressure": rough(to_house(6.2, "psi", "Pa"), 150.0),
        "barometer": np.full(rpm.size, BAROMETER),
        "manifold_pressure": rough(BAROMETER - to_house(0.8, "inHg", "Pa") * square, 100.0),
        "exhaust_pressure": rough(BAROMETER + to_house(1.2, "psi", "Pa") * square, 100.0),
        "exhaust_temperature_1": rough(900.0 + 120.0 * x, 0.5),
        "inlet_temperature": np.full(rpm.size, 293.0),
        "relative_humidity": np.full(rpm.size, 0.4),
        "knock": rough(0.4 + 0.3 * x, 0.03),
        "oil_temperature": to_house(195.0, "°F", "K") + 2.0 * x,
        "coolant_out": to_house(172.0, "°F", "K") + 0.5 * x,
        "brake_outlet_temperature": to_house(95.0, "°F", "K") + 10.0 * x,
    }


def pull(
    changed: Mapping[str, FloatArray] | None = None,
    *,
    seed: int = 1,
    kind: str = "sweep",
    without: tuple[str, ...] = (),
) -> Pull:
    """A pull with some channels left out and others put in the place of the sound ones."""
    table = {**channels(seed, kind), **(changed or {})}
    kept = {name: values for name, values in table.items() if name not in without}
    rate = 0.0 if kind == "steps" else 200.0
    return Pull(f"plain-{seed}", Origin("hand", "", "table", "written by hand"), kind, kept, sweep_rate=rate)


def view(one: Pull, *, references: int = 0, induction: str = "natural", others: tuple[Pull, ...] = ()) -> View:
    """The pull as detectors see it, beside sound ones (or the ones given)."""
    kind = one.kind
    beside = others or tuple(pull(seed=100 + n, kind=kind) for n in range(references))
    found = make_view(one, engine=engine(induction), references=beside)
    assert found is not None
    return found
