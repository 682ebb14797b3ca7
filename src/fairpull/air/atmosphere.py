"""The standard atmosphere below 11 km, and what it says about a barometer reading."""

from __future__ import annotations

from fairpull.terms.arrays import Number
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.units import from_house

SEA_LEVEL_PRESSURE = 101325.0  # [Pa]
SEA_LEVEL_TEMPERATURE = 288.15  # [K]
LAPSE = 0.0065  # [K/m]
GAS_CONSTANT = 287.05287  # [J/(kg K)]
GRAVITY = 9.80665  # [m/s2]
EARTH_RADIUS = 6356766.0  # [m], as the standard sets it
SEA_LEVEL_DENSITY = SEA_LEVEL_PRESSURE / (GAS_CONSTANT * SEA_LEVEL_TEMPERATURE)
_EXPONENT = GRAVITY / (GAS_CONSTANT * LAPSE)
WEATHER_SPREAD = 3500.0  # [Pa]: the sea-level barometer rarely strays further from standard; common practice


def standard_temperature(altitude: Number) -> Number:
    """Temperature of the standard atmosphere.

    Args:
        altitude: geopotential altitude, scalar or shape (n,) [m].

    Returns:
        Temperature [K], same shape.

    Valid range: -2 km to 11 km.

    Source: iso-2533, clause 2.3.
    """
    return SEA_LEVEL_TEMPERATURE - LAPSE * altitude


def standard_pressure(altitude: Number) -> Number:
    """Pressure of the standard atmosphere.

    Args:
        altitude: geopotential altitude, scalar or shape (n,) [m].

    Returns:
        Pressure [Pa], same shape.

    Valid range: -2 km to 11 km.

    Source: iso-2533, clause 2.5.
    """
    return SEA_LEVEL_PRESSURE * (standard_temperature(altitude) / SEA_LEVEL_TEMPERATURE) ** _EXPONENT


def standard_density(altitude: Number) -> Number:
    """Density of the standard atmosphere.

    Args:
        altitude: geopotential altitude, scalar or shape (n,) [m].

    Returns:
        Density [kg/m3], same shape.

    Valid range: -2 km to 11 km.

    Source: iso-2533, clause 2.6.
    """
    return standard_pressure(altitude) / (GAS_CONSTANT * standard_temperature(altitude))


def pressure_altitude(pressure: Number) -> Number:
    """Geopotential altitude at which the standard atmosphere has this pressure.

    Args:
        pressure: absolute pressure, scalar or shape (n,) [Pa].

    Returns:
        Altitude [m], same shape.

    Valid range: 22.6 kPa to 127 kPa.

    Source: iso-2533, clause 2.5 solved for altitude.
    """
    return SEA_LEVEL_TEMPERATURE / LAPSE * (1.0 - (pressure / SEA_LEVEL_PRESSURE) ** (1.0 / _EXPONENT))


def altitude_of_density(density: Number) -> Number:
    """Geopotential altitude at which the standard atmosphere has this density.

    Args:
        density: scalar or shape (n,) [kg/m3].

    Returns:
        Altitude [m], same shape.

    Valid range: 0.364 to 1.478 kg/m3.

    Source: iso-2533, clause 2.6 solved for altitude.
    """
    power = 1.0 / (_EXPONENT - 1.0)
    return SEA_LEVEL_TEMPERATURE / LAPSE * (1.0 - (density / SEA_LEVEL_DENSITY) ** power)


def geopotential_altitude(height: Number) -> Number:
    """Geopotential altitude of a geometric height (a map or a survey gives the latter).

    Args:
        height: geometric height above sea level, scalar or shape (n,) [m].

    Returns:
        Geopotential altitude [m], same shape; 0.16 m lower at 1 km.

    Source: iso-2533, clause 2.2.
    """
    return EARTH_RADIUS * height / (EARTH_RADIUS + height)


def station_from_sea_level(sea_level_pressure: Number, altitude: Number) -> Number:
    """Station pressure behind a barometer that was set to read sea-level pressure (an altimeter setting).

    Args:
        sea_level_pressure: what the weather report or a reduced barometer shows, scalar or shape (n,) [Pa].
        altitude: of the station, scalar or shape (n,) [m].

    Returns:
        Absolute station pressure [Pa], broadcast shape.

    Valid range: below 3 km. A weather service that reduces with the actual temperature differs by up to about
    0.3 kPa at 500 m.

    Source: iso-2533, clause 2.5, applied twice.
    """
    return standard_pressure(altitude + pressure_altitude(sea_level_pressure))


def check_station_pressure(pressure: float, altitude: float) -> Finding | None:
    """Say whether a pressure looks like a sea-level barometer where the station's own pressure is meant.

    Args:
        pressure: what was given as station pressure [Pa].
        altitude: of the station [m].

    Returns:
        A warning, or None where the pressure is plausible for the altitude. Below about 300 m the two cannot
        be told apart by size.
    """
    expected = standard_pressure(altitude)
    if pressure - expected <= WEATHER_SPREAD:
        return None
    station = station_from_sea_level(pressure, altitude)
    shown, usual, reduced = (from_house(value, "kPa", "Pa") for value in (pressure, expected, station))
    return Finding(
        "sea-level-barometer",
        Severity.WARNING,
        "barometer",
        f"{shown:.2f} kPa is {shown - usual:.1f} kPa above what is usual at {altitude:.0f} m ({usual:.1f} "
        "kPa); it looks "
        f"like a barometer reduced to sea level, and would then mean a station pressure of {reduced:.2f} "
        "kPa.",
        "Read a barometer that shows station pressure, or give the station pressure itself.",
    )
