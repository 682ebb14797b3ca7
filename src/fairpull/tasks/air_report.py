"""The air, side by side: what `fairpull air` prints."""

from __future__ import annotations

from fairpull import air
from fairpull.terms.air_overview import AirOverview
from fairpull.terms.units import parse


def air_overview(
    pressure: str,
    temperature: str,
    humidity: str = "",
    dew_point: str = "",
    wet_bulb: str = "",
    vapour_pressure: str = "",
    induction: str = "natural",
    ignition: str = "spark",
) -> AirOverview:
    """Properties of an air and its factor under every standard.

    Args:
        pressure, temperature: words with units, e.g. "29.62inHg", "68degF".
        humidity, dew_point, wet_bulb, vapour_pressure: likewise, e.g. "56%"; one of them at least.
        induction, ignition: see ``air.correct``.

    Returns:
        The overview.

    Raises:
        UnitRefused, ValueRefused: a word that is no such quantity, or an air that cannot be.
    """
    reading = air.air_from(
        parse(pressure, "Pa"),
        parse(temperature, "K"),
        relative_humidity=parse(humidity, "1") if humidity else None,
        dew_point=parse(dew_point, "K") if dew_point else None,
        wet_bulb=parse(wet_bulb, "K") if wet_bulb else None,
        vapour_pressure=parse(vapour_pressure, "Pa") if vapour_pressure else None,
    )
    return air.overview(reading, induction=induction, ignition=ignition)
