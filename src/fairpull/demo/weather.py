"""The invented weather: how much torque that air cost.

Kept apart from the rooms that correct torque, on purpose: these logs are made by one formula and judged by another
room's code.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, sqrt

from fairpull.demo.scenario import Run
from fairpull.terms.units import to_house

DRY_AIR = 287.05  # J/(kg K)
VAPOUR = 461.5  # J/(kg K)


@dataclass(frozen=True, slots=True)
class Weather:
    """Air of one pull: station pressure [Pa], inlet temperature [K], relative humidity [-]."""

    pressure: float
    temperature: float
    humidity: float

    @property
    def vapour(self) -> float:
        """Partial pressure of the water vapour [Pa], from a Magnus-type line."""
        celsius = self.temperature - 273.15
        return self.humidity * 611.2 * exp(17.62 * celsius / (243.12 + celsius))

    @property
    def factor(self) -> float:
        """Corrected over observed torque [-]: net style, 99 kPa dry, 25 degC, 85 % mechanical efficiency."""
        dry = self.pressure - self.vapour
        return 1.180 * (99000.0 / dry) * sqrt(self.temperature / 298.15) - 0.180

    @property
    def density(self) -> float:
        """Density of the moist air [kg/m3]."""
        dry = (self.pressure - self.vapour) / (DRY_AIR * self.temperature)
        return dry + self.vapour / (VAPOUR * self.temperature)


def weather_of(run: Run) -> Weather:
    """The air of one pull.

    Args:
        run: a line of the day sheet.

    Returns:
        Its weather in SI.
    """
    return Weather(
        pressure=to_house(run.barometer, "inHg", "Pa"),
        temperature=to_house(run.inlet, "degF", "K"),
        humidity=to_house(run.humidity, "%", "1"),
    )
