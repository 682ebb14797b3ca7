"""The room's air, and the factor a shop's desk would print for it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

GAS = 287.05  # dry air [J/(kg K)]
SEA_LEVEL = 101325.0  # [Pa]


@dataclass(frozen=True, slots=True)
class Room:
    """Air of one pull: station pressure [Pa], temperature at the inlet [K], relative humidity."""

    pressure: float
    temperature: float
    humidity: float

    @property
    def vapour(self) -> float:
        """Water-vapour pressure [Pa] (Magnus form)."""
        celsius = self.temperature - 273.15
        return float(self.humidity * 611.2 * np.exp(17.62 * celsius / (243.12 + celsius)))

    @property
    def dry(self) -> float:
        """Dry pressure [Pa]."""
        return self.pressure - self.vapour

    @property
    def moisture(self) -> float:
        """Water over dry air, by mass."""
        return 0.622 * self.vapour / self.dry


def factor(pressure: float, temperature: float, vapour: float) -> float:
    """The net factor of trade sheet 1.9 (99 kPa dry, 25 degC, 85 % mechanical efficiency)."""
    ratio = 99000.0 / (pressure - vapour) * np.sqrt(temperature / 298.15)
    return float(1.18 * ratio - 0.18)


def first_room(rng: np.random.Generator) -> Room:
    """A day's air somewhere between the coast and 1,500 m."""
    height = float(rng.choice([20.0, 120.0, 300.0, 600.0, 1000.0, 1500.0]))
    pressure = (SEA_LEVEL + rng.normal(0.0, 700.0)) * np.exp(-height / 8400.0)
    return Room(float(pressure), float(rng.uniform(286.0, 303.0)), float(rng.uniform(0.2, 0.75)))


def later_room(room: Room, rng: np.random.Generator) -> Room:
    """The same room some minutes to hours later: a healthy pull's change of weather."""
    pressure = room.pressure + rng.normal(0.0, 120.0)
    temperature = room.temperature + rng.normal(0.0, 2.0)
    humidity = float(np.clip(room.humidity + rng.normal(0.0, 0.03), 0.1, 0.85))
    return Room(float(pressure), float(temperature), humidity)
