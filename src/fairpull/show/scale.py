"""House values in the units a person chose: the one place where this room calls the converters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from fairpull.terms import units
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate

PER_CENT = "%"


@dataclass(frozen=True, slots=True)
class Scaled:
    """An Estimate in a shown unit. ``half_width`` is half of its interval."""

    value: float
    low: float
    high: float
    unit: str
    at_least: bool = False

    @property
    def half_width(self) -> float:
        """Half of the interval, in the shown unit."""
        return (self.high - self.low) / 2.0


def label(house_unit: str, system: str, quantity: str = "") -> str:
    """The unit symbol that a house unit is shown in: ``N m`` -> ``lb-ft`` in the US system.

    Args:
        house_unit: as on the records; a fraction ``"1"`` is shown in per cent unless its channel is shown otherwise;
            ``"W rpm"`` is shown as power times rpm, ``"N m/m3"`` as torque per displacement,
            ``"N/m"`` as force per length.
        system: ``"us"`` or ``"metric"``.
        quantity: glossary channel or quantity, where the house unit alone is not enough.
    """
    if house_unit == "1":
        own = units.shown_unit(quantity, system) if quantity else PER_CENT
        return "" if own == "1" else own
    if house_unit == "W rpm":
        return f"{label('W', system)} rpm"
    if house_unit == "N m/m3":
        return f"{label('N m', system)}/{label('m3', system)}"
    if house_unit == "N/m":
        return f"{label('N', system)}/{label('m', system)}"
    if house_unit in ("rpm", ""):
        return house_unit
    return units.shown_unit(quantity or house_unit, system)


def arrays(values: FloatArray, house_unit: str, system: str, quantity: str = "") -> FloatArray:
    """House values, shape (n,), in the shown unit."""
    house = np.asarray(values, dtype=np.float64)
    if house_unit == "1" and label(house_unit, system, quantity) == "":
        return house
    if house_unit in ("rpm", ""):
        return house
    if house_unit == "W rpm":
        return arrays(house, "W", system)
    if house_unit == "N m/m3":
        return arrays(house, "N m", system) / float(arrays(np.ones(1), "m3", system)[0])
    if house_unit == "N/m":
        return arrays(house, "N", system) / float(arrays(np.ones(1), "m", system)[0])
    converted = units.from_house(house, label(house_unit, system, quantity), house_unit)
    return cast("FloatArray", np.asarray(converted, dtype=np.float64))


def scalar(value: float | None, house_unit: str, system: str, quantity: str = "") -> float:
    """One house value in the shown unit; NaN for None."""
    if value is None:
        return float("nan")
    return float(arrays(np.array([value]), house_unit, system, quantity)[0])


def estimate(given: Estimate, system: str, quantity: str = "") -> Scaled:
    """An Estimate in the shown unit."""
    three = arrays(np.array([given.value, given.low, given.high]), given.unit, system, quantity)
    value, low, high = (float(one) for one in three)
    return Scaled(value, low, high, label(given.unit, system, quantity), given.at_least)
