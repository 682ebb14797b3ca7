"""The bare machine: geometry, output, flows, fuels, and the engine file.

Everything is loaded when asked for: most comparisons are made without an engine file.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fairpull.engine.derived import Derived, DerivedColumn, derive
    from fairpull.engine.flows import (
        air_fuel_ratio_from_flows,
        bsac,
        bsfc,
        cycles_per_second,
        fuel_per_cycle,
        lambda_from_air_fuel_ratio,
        lambda_from_equivalence_ratio,
        lambda_from_flows,
        specific_consumption,
        swept_flow,
        thermal_efficiency,
        volumetric_efficiency,
    )
    from fairpull.engine.fuels import FUELS, FuelRow, blend, mass_share, stoichiometric_from_hydrogen
    from fairpull.engine.geometry import (
        bore_volume,
        clearance_volume,
        compression_ratio,
        displacement,
        displacement_of,
        mean_piston_speed,
        rpm_at_piston_speed,
    )
    from fairpull.engine.output import (
        bmep,
        inertia_torque,
        power_from_torque,
        torque_from_bmep,
        torque_from_power,
    )
    from fairpull.terms.engine import Engine

__all__ = [
    "FUELS",
    "Derived",
    "DerivedColumn",
    "FuelRow",
    "air_fuel_ratio_from_flows",
    "blend",
    "bmep",
    "bore_volume",
    "bsac",
    "bsfc",
    "clearance_volume",
    "compression_ratio",
    "cycles_per_second",
    "derive",
    "displacement",
    "displacement_of",
    "fuel_per_cycle",
    "inertia_torque",
    "lambda_from_air_fuel_ratio",
    "lambda_from_equivalence_ratio",
    "lambda_from_flows",
    "load",
    "mass_share",
    "mean_piston_speed",
    "power_from_torque",
    "rpm_at_piston_speed",
    "specific_consumption",
    "stoichiometric_from_hydrogen",
    "swept_flow",
    "thermal_efficiency",
    "torque_from_bmep",
    "torque_from_power",
    "volumetric_efficiency",
]


def load(path: Path | str) -> Engine:
    """Read an engine file (``engine.toml``).

    Args:
        path: of the file.

    Returns:
        The engine.

    Raises:
        ReadRefused: no such file, not text, or not TOML.
        ValueRefused: unknown, missing, impossible or contradicting entries; all at once.
    """
    from fairpull.engine.engine_file import load as load_file  # pydantic is heavy: only when a file is read

    return load_file(path)


def __getattr__(name: str) -> Any:
    """Hand on what is loaded late."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from fairpull.engine import derived, flows, fuels, geometry, output

    rooms = (derived, flows, fuels, geometry, output)
    return next(getattr(room, name) for room in rooms if hasattr(room, name))
