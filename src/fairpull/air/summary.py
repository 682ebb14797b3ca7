"""One air, everything that is said of it side by side."""

from __future__ import annotations

from fairpull.air.atmosphere import check_station_pressure, pressure_altitude
from fairpull.air.correction import correct
from fairpull.air.humidity import humidity_ratio, relative_humidity
from fairpull.air.moist_air import density, density_altitude
from fairpull.air.registry import STANDARDS
from fairpull.air.saturation import dew_point
from fairpull.terms.air_overview import AirOverview
from fairpull.terms.correction import Correction
from fairpull.terms.errors import ValueRefused
from fairpull.terms.pull import Air


def overview(
    air: Air,
    *,
    induction: str = "natural",
    ignition: str = "spark",
    fuel_per_cycle: float | None = None,
    pressure_ratio: float | None = None,
    mechanical_efficiency: float | None = None,
    coolant_temperature: float | None = None,
    altitude: float | None = None,
) -> AirOverview:
    """Humid-air properties and every standard's factor for one air.

    Args:
        air: at the inlet.
        induction, ignition: of the engine, as in ``correct``.
        fuel_per_cycle: as in ``correct`` [kg/m3].
        pressure_ratio, mechanical_efficiency: as in ``correct`` [1].
        coolant_temperature: as in ``correct`` [K].
        altitude: of the place, if known [m]; then a sea-level barometer is looked for.

    Returns:
        The overview; a standard that cannot be applied stands in ``left_out`` with its reason.

    Raises:
        UnknownName: unknown induction or ignition.
    """
    corrections: list[Correction] = []
    left_out: dict[str, str] = {}
    for key in STANDARDS:
        try:
            corrections.append(
                correct(
                    key,
                    air,
                    induction=induction,
                    ignition=ignition,
                    fuel_per_cycle=fuel_per_cycle,
                    pressure_ratio=pressure_ratio,
                    mechanical_efficiency=mechanical_efficiency,
                    coolant_temperature=coolant_temperature,
                )
            )
        except ValueRefused as refusal:
            left_out[key] = "; ".join(f"{fault.seen} -> {fault.remedy}" for fault in refusal.faults)
    suspicion = None if altitude is None else check_station_pressure(air.pressure, altitude)
    return AirOverview(
        air=air,
        dry_pressure=air.pressure - air.vapour_pressure,
        vapour_pressure=air.vapour_pressure,
        relative_humidity=float(relative_humidity(air.temperature, air.vapour_pressure)),
        dew_point=float(dew_point(air.vapour_pressure)) if air.vapour_pressure > 0.0 else None,
        humidity_ratio=float(humidity_ratio(air.pressure, air.vapour_pressure)),
        density=float(density(air.pressure, air.temperature, air.vapour_pressure)),
        density_altitude=float(density_altitude(air.pressure, air.temperature, air.vapour_pressure)),
        pressure_altitude=float(pressure_altitude(air.pressure)),
        corrections=tuple(corrections),
        left_out=left_out,
        findings=() if suspicion is None else (suspicion,),
    )
