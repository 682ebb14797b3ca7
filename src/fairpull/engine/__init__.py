"""Engines, parts and builds: their sheets, what follows from them, and how two builds differ.

Everything is loaded when asked for: most comparisons are made without an engine file.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fairpull.engine.cams import (
        closing_after_bottom,
        curtain_area,
        duration_at,
        exhaust_centreline,
        installed_advance,
        lift_over_diameter,
        lobe_separation,
        net_lift,
        opening_before_top,
        overlap,
        valve_lift,
    )
    from fairpull.engine.changes import (
        CIRCUMSTANCES,
        SETTING,
        build_changes,
        part_details,
        same_text,
    )
    from fairpull.engine.compression import (
        dynamic_compression_ratio,
        effective_stroke,
        piston_travel,
    )
    from fairpull.engine.derived import (
        Derived,
        DerivedColumn,
        derive,
    )
    from fairpull.engine.drives import (
        boost_after_pulley_change,
        compressor_speed,
        delivery_ratio,
        pulley_ratio,
        tip_speed,
    )
    from fairpull.engine.flows import (
        air_fuel_ratio_from_flows,
        bsac,
        bsfc,
        cycles_per_second,
        fuel_per_cycle,
        lambda_from_air_fuel_ratio,
        lambda_from_equivalence_ratio,
        lambda_from_flows,
        power_of_injectors,
        specific_consumption,
        swept_flow,
        thermal_efficiency,
        volumetric_efficiency,
    )
    from fairpull.engine.fuels import (
        FUELS,
        FuelRow,
        blend,
        mass_share,
        stoichiometric_from_hydrogen,
    )
    from fairpull.engine.geometry import (
        bore_volume,
        clearance_volume,
        compression_ratio,
        displacement,
        displacement_of,
        mean_piston_speed,
        rod_ratio,
        rpm_at_piston_speed,
    )
    from fairpull.engine.output import (
        bmep,
        inertia_torque,
        power_from_torque,
        torque_from_bmep,
        torque_from_power,
    )
    from fairpull.engine.ports import (
        BENCH_DEPRESSION,
        CARBURETTOR_DEPRESSION,
        exhaust_share,
        flow_at_lift,
        flow_at_pressure_drop,
        flow_coefficient,
        flow_per_area,
        flow_table_at,
        inlet_mach_index,
        mean_flow,
        power_ceiling,
        rpm_of_peak_power,
    )
    from fairpull.engine.sheet_text import (
        build_text,
        part_text,
        table_text,
    )
    from fairpull.engine.tuned_lengths import (
        header_area,
        header_length,
        pipe_area,
        rpm_of_header_area,
        rpm_of_header_length,
        rpm_of_runner_length,
    )
    from fairpull.engine.valve_springs import (
        coil_bind_margin,
        spring_load,
        spring_rate,
    )
    from fairpull.terms.build import Build, Part
    from fairpull.terms.engine import Engine

__all__ = [
    "BENCH_DEPRESSION",
    "CARBURETTOR_DEPRESSION",
    "CIRCUMSTANCES",
    "FUELS",
    "SETTING",
    "Derived",
    "DerivedColumn",
    "FuelRow",
    "air_fuel_ratio_from_flows",
    "blend",
    "bmep",
    "boost_after_pulley_change",
    "bore_volume",
    "bsac",
    "bsfc",
    "build_changes",
    "build_from_table",
    "build_text",
    "clearance_volume",
    "closing_after_bottom",
    "coil_bind_margin",
    "compression_ratio",
    "compressor_speed",
    "curtain_area",
    "cycles_per_second",
    "delivery_ratio",
    "derive",
    "displacement",
    "displacement_of",
    "duration_at",
    "dynamic_compression_ratio",
    "effective_stroke",
    "engine_from_table",
    "exhaust_centreline",
    "exhaust_share",
    "flow_at_lift",
    "flow_at_pressure_drop",
    "flow_coefficient",
    "flow_per_area",
    "flow_table_at",
    "fuel_per_cycle",
    "header_area",
    "header_length",
    "inertia_torque",
    "inlet_mach_index",
    "installed_advance",
    "lambda_from_air_fuel_ratio",
    "lambda_from_equivalence_ratio",
    "lambda_from_flows",
    "lift_over_diameter",
    "load",
    "lobe_separation",
    "mass_share",
    "mean_flow",
    "mean_piston_speed",
    "net_lift",
    "opening_before_top",
    "overlap",
    "part_details",
    "part_from_table",
    "part_text",
    "pipe_area",
    "piston_travel",
    "power_ceiling",
    "power_from_torque",
    "power_of_injectors",
    "pulley_ratio",
    "rod_ratio",
    "rpm_at_piston_speed",
    "rpm_of_header_area",
    "rpm_of_header_length",
    "rpm_of_peak_power",
    "rpm_of_runner_length",
    "same_text",
    "specific_consumption",
    "spring_load",
    "spring_rate",
    "stoichiometric_from_hydrogen",
    "swept_flow",
    "table_text",
    "thermal_efficiency",
    "tip_speed",
    "torque_from_bmep",
    "torque_from_power",
    "valve_lift",
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


def engine_from_table(raw: Mapping[str, Any], *, where: str, name: str) -> Engine:
    """Read an engine from a table, as it stands in an engine file or in a bench book.

    Args:
        raw: entry -> what was written.
        where: what to call the file in a refusal.
        name: of the engine where the table gives none.

    Returns:
        The engine.

    Raises:
        ValueRefused: unknown, missing, impossible or contradicting entries; all at once.
    """
    from fairpull.engine.engine_file import engine_from_table as read

    return read(raw, where=where, name=name)


def part_from_table(raw: Mapping[str, Any], *, where: str, name: str) -> Part:
    """Read a part's data sheet from a table.

    Args:
        raw: entry -> what was written; ``kind`` says which sheet it is.
        where: what to call the file in a refusal.
        name: of the part where the table gives none.

    Returns:
        The part with its entries in house units and the facts that follow from them alone.

    Raises:
        ValueRefused: unknown kind; unknown, missing, impossible or contradicting entries; all at once.
    """
    from fairpull.engine.part_file import part_from_table as read

    return read(raw, where=where, name=name)


def build_from_table(
    raw: Mapping[str, Any],
    *,
    where: str,
    name: str,
    engine: Engine | Mapping[str, Engine],
    parts: Mapping[str, Part],
) -> Build:
    """Read a build's sheet from a table.

    Args:
        raw: entry -> what was written.
        where: what to call the file in a refusal.
        name: of the build where the table gives none.
        engine: the engine that the sheet names, or all engines there are by name.
        parts: all parts there are, by name.

    Returns:
        The build with the facts that need engine and parts together.

    Raises:
        ValueRefused: an engine or part that is not there, a part of another kind, unknown, missing or impossible
            entries; all at once, with the nearest names.
    """
    from fairpull.engine.build_file import build_from_table as read

    return read(raw, where=where, name=name, engine=engine, parts=parts)


def __getattr__(name: str) -> Any:
    """Hand on what is loaded late."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from fairpull.engine import (
        cams,
        changes,
        compression,
        derived,
        drives,
        flows,
        fuels,
        geometry,
        output,
        ports,
        sheet_text,
        tuned_lengths,
        valve_springs,
    )

    rooms = (
        cams,
        changes,
        compression,
        derived,
        drives,
        flows,
        fuels,
        geometry,
        output,
        ports,
        sheet_text,
        tuned_lengths,
        valve_springs,
    )
    return next(getattr(room, name) for room in rooms if hasattr(room, name))
