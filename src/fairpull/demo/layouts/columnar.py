"""The helper's own logger: a Parquet table whose column names end in their units, stamped with date and time."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from fairpull.demo.layouts.column import Column, Logged, numbered, present, shown_values
from fairpull.demo.scenario import SHOP

COLUMNS: tuple[Column, ...] = (
    Column("rpm", "engine_speed", "rpm", "rpm", 0),
    Column("torque", "brake_torque", "Nm", "N m", 2),
    Column("throttle", "throttle", "pct", "%", 1),
    Column("manifold_pressure", "manifold_pressure", "kPa", "kPa", 2),
    Column("boost", "boost", "kPa", "kPa", 2),
    Column("barometer", "barometer", "hPa", "hPa", 1),
    Column("inlet_temperature", "inlet_air_temp", "degC", "degC", 2),
    Column("relative_humidity", "relative_humidity", "pct", "%", 1),
    Column("air_mass_flow", "air_mass_flow", "gps", "g/s", 3),
    Column("fuel_mass_flow", "fuel_flow", "gps", "g/s", 4),
    *numbered("fuel_mass_flow", "fuel_flow", "gps", "g/s", 4, 2),
    Column("fuel_pressure", "fuel_pressure", "kPa", "kPa", 2),
    Column("fuel_density", "fuel_density", "kgm3", "kg/m3", 1),
    Column("fuel_temperature", "fuel_temp", "degC", "degC", 1),
    Column("lambda", "lambda", "", "1", 3),
    *numbered("lambda", "lambda", "", "1", 3, 2),
    Column("spark_advance", "spark_advance", "deg", "deg", 1),
    Column("injector_duty", "injector_duty", "pct", "%", 1),
    Column("knock", "knock_level", "", "1", 2),
    *numbered("exhaust_temperature", "egt", "degC", "degC", 0, 6),
    Column("exhaust_pressure", "exhaust_pressure", "kPa", "kPa", 2),
    Column("oil_pressure", "oil_pressure", "kPa", "kPa", 1),
    Column("oil_temperature", "oil_temp", "degC", "degC", 1),
    Column("coolant_in", "coolant_in", "degC", "degC", 1),
    Column("coolant_out", "coolant_out", "degC", "degC", 1),
    Column("charge_temperature_after_cooler", "charge_temp", "degC", "degC", 1),
    Column("blower_rpm", "blower_speed", "rpm", "rpm", 0),
    Column("crankcase_pressure", "crankcase_pressure", "Pa", "Pa", 0),
    Column("blow_by", "blow_by", "lpm", "L/min", 1),
    Column("brake_outlet_temperature", "brake_water_out", "degC", "degC", 1),
    Column("carbon_monoxide", "carbon_monoxide", "ppm", "ppm", 0),
    Column("battery", "battery", "V", "V", 2),
    Column("brake_valve", "brake_valve", "pct", "%", 1),
    Column("cell_fan", "cell_fan", "pct", "%", 1),
)


def heading(column: Column) -> str:
    """A column's name in this layout, e.g. "egt_3_degC".

    Args:
        column: the column.

    Returns:
        Name, number and unit joined with underscores.
    """
    return "_".join(part for part in (column.name.replace(" ", "_"), column.unit) if part)


def write_columns(stem: Path, logged: Logged) -> Path:
    """Write one pull as the helper's logger did.

    Args:
        stem: path without an ending.
        logged: the pull.

    Returns:
        The file written.
    """
    import polars as pl

    milliseconds = np.round(logged.channels["time"] * 1000).astype("timedelta64[ms]")
    stamps = np.datetime64(logged.start, "ms") + milliseconds
    series = [pl.Series("timestamp", stamps)]
    for column in present(COLUMNS, logged):
        values = shown_values(column, logged).astype(np.float32)
        series.append(pl.Series(heading(column), values, nan_to_null=True))
    notes = {"shop": SHOP, "engine": logged.run.engine, "build": logged.run.label, "pull": str(logged.run.number)}
    path = stem.with_name(stem.name + ".parquet")
    pl.DataFrame(series).write_parquet(path, compression="snappy", metadata=notes)
    return path
