"""One air at a glance: its properties, and every correction standard's factor side by side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fairpull.terms.correction import Correction
from fairpull.terms.findings import Finding
from fairpull.terms.pull import Air


@dataclass(frozen=True, slots=True)
class AirOverview:
    """Properties of one humid air and its corrections, SI.

    Attributes:
        air: total absolute pressure, temperature, vapour pressure.
        dry_pressure, vapour_pressure: [Pa].
        relative_humidity: fraction of saturation.
        dew_point: [K] (frost point below 273.16 K); None in dry air.
        humidity_ratio: [kg water / kg dry air].
        density: of the moist air [kg/m3].
        density_altitude, pressure_altitude: geopotential altitude in the standard atmosphere [m].
        corrections: one for each standard that could be applied, in the order shown, "none" first.
        left_out: standards that could not be applied, key -> reason and remedy.
        findings: what else is to be known about this air; each correction carries its own.
    """

    air: Air
    dry_pressure: float
    vapour_pressure: float
    relative_humidity: float
    dew_point: float | None
    humidity_ratio: float
    density: float
    density_altitude: float
    pressure_altitude: float
    corrections: tuple[Correction, ...]
    left_out: Mapping[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
