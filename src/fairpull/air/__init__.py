"""Humid air, the standard atmosphere, and corrections of torque and power to a reference air.

The standards and their factors are loaded at once, the rest when asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fairpull.air.correction import correct
from fairpull.air.registry import STANDARDS, standard
from fairpull.air.standard import IGNITIONS, INDUCTIONS, Case, Limit, Standard

if TYPE_CHECKING:
    from fairpull.air.adjustment import (
        Exponents,
        adjustment_to_site,
        fuel_adjustment,
        indicated_ratio,
        power_adjustment,
    )
    from fairpull.air.atmosphere import (
        altitude_of_density,
        check_station_pressure,
        geopotential_altitude,
        pressure_altitude,
        standard_density,
        standard_pressure,
        standard_temperature,
        station_from_sea_level,
    )
    from fairpull.air.factors import friction_kept
    from fairpull.air.friction import friction_torque
    from fairpull.air.humidity import (
        dry_pressure,
        humidity_ratio,
        relative_humidity,
        specific_humidity,
        vapour_mole_fraction,
        vapour_pressure_from_dew_point,
        vapour_pressure_from_relative_humidity,
        vapour_pressure_from_wet_bulb,
        vapour_pressure_from_wet_bulb_ferrel,
    )
    from fairpull.air.moist_air import density, density_altitude
    from fairpull.air.reading import AirReading, air_from, air_of_conditions
    from fairpull.air.saturation import (
        dew_point,
        dew_point_1065,
        saturation_pressure,
        saturation_pressure_1065,
        saturation_pressure_86344,
    )
    from fairpull.air.summary import overview

__all__ = [
    "IGNITIONS",
    "INDUCTIONS",
    "STANDARDS",
    "AirReading",
    "Case",
    "Exponents",
    "Limit",
    "Standard",
    "adjustment_to_site",
    "air_from",
    "air_of_conditions",
    "altitude_of_density",
    "check_station_pressure",
    "correct",
    "density",
    "density_altitude",
    "dew_point",
    "dew_point_1065",
    "dry_pressure",
    "friction_kept",
    "friction_torque",
    "fuel_adjustment",
    "geopotential_altitude",
    "humidity_ratio",
    "indicated_ratio",
    "overview",
    "power_adjustment",
    "pressure_altitude",
    "relative_humidity",
    "saturation_pressure",
    "saturation_pressure_1065",
    "saturation_pressure_86344",
    "specific_humidity",
    "standard",
    "standard_density",
    "standard_pressure",
    "standard_temperature",
    "station_from_sea_level",
    "vapour_mole_fraction",
    "vapour_pressure_from_dew_point",
    "vapour_pressure_from_relative_humidity",
    "vapour_pressure_from_wet_bulb",
    "vapour_pressure_from_wet_bulb_ferrel",
]


def __getattr__(name: str) -> Any:
    """Hand on what is loaded late."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    if name == "overview":
        from fairpull.air.summary import overview

        return overview
    from fairpull.air import adjustment, atmosphere, factors, friction, humidity, moist_air, reading, saturation

    rooms = (adjustment, atmosphere, factors, friction, humidity, moist_air, reading, saturation)
    return next(getattr(room, name) for room in rooms if hasattr(room, name))
