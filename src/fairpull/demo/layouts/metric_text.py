"""The borrowed metric logger: semicolons, decimal commas, units in brackets, Latin-1, the time of day as its clock.

It has no barometer. Whenever its screen was cleared it wrote its header again, and it ends with a summary.
"""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import numpy as np

from fairpull.demo.layouts.column import Column, Logged, numbered, present, shown_values, text_rows
from fairpull.demo.scenario import SHOP

COLUMNS: tuple[Column, ...] = (
    Column("rpm", "Engine speed", "1/min", "rpm", 0),
    Column("throttle", "Throttle position", "%", "%", 1),
    Column("torque", "Torque", "Nm", "N m", 2),
    Column("power", "Power", "kW", "kW", 2),
    Column("inlet_temperature", "Intake air temperature", "°C", "degC", 1),
    Column("relative_humidity", "Relative humidity", "%", "%", 1),
    Column("manifold_pressure", "Manifold pressure", "kPa abs", "kPa", 2),
    Column("boost", "Boost pressure", "kPa rel", "kPa", 2),
    Column("charge_temperature_after_cooler", "Charge temp", "°C", "degC", 1),
    Column("blower_rpm", "Blower speed", "1/min", "rpm", 0),
    Column("air_mass_flow", "Air mass flow", "kg/h", "kg/h", 1),
    Column("fuel_mass_flow", "Fuel flow", "kg/h", "kg/h", 3),
    *numbered("fuel_mass_flow", "Fuel flow", "kg/h", "kg/h", 3, 2),
    Column("fuel_density", "Fuel density", "kg/m³", "kg/m3", 1),
    Column("fuel_temperature", "Fuel temperature", "°C", "degC", 1),
    Column("fuel_pressure", "Fuel pressure", "bar", "bar", 3),
    Column("lambda", "Lambda", "-", "1", 3),
    *numbered("lambda", "Lambda", "-", "1", 3, 2),
    Column("spark_advance", "Ignition advance", "°", "deg", 1),
    Column("injector_duty", "Injector duty", "%", "%", 1),
    Column("knock", "Knock level", "-", "1", 2),
    *numbered("exhaust_temperature", "Exhaust gas temp", "°C", "degC", 0, 6),
    Column("exhaust_pressure", "Exhaust pressure", "mbar rel", "mbar", 1, gauge=True),
    Column("oil_pressure", "Oil pressure", "bar", "bar", 2),
    Column("oil_temperature", "Oil temperature", "°C", "degC", 1),
    Column("coolant_in", "Coolant in", "°C", "degC", 1),
    Column("coolant_out", "Coolant out", "°C", "degC", 1),
    Column("crankcase_pressure", "Crankcase pressure", "mbar", "mbar", 2),
    Column("blow_by", "Blow-by", "l/min", "L/min", 1),
    Column("brake_outlet_temperature", "Brake water out", "°C", "degC", 1),
    Column("carbon_monoxide", "CO", "ppm", "ppm", 0),
    Column("battery", "Supply", "V", "V", 2),
    Column("brake_valve", "Brake valve", "%", "%", 1),
    Column("cell_fan", "Cell fan", "%", "%", 1),
)
CLOCK = "Clock [h:m:s]"


def _clock(logged: Logged) -> list[str]:
    start = logged.start
    hundredths = int(timedelta(hours=start.hour, minutes=start.minute, seconds=start.second).total_seconds()) * 100
    stamps = hundredths + np.round(logged.channels["time"] * 100).astype(int)
    return [
        f"{stamp // 360000:02d}:{stamp // 6000 % 60:02d}:{stamp // 100 % 60:02d}.{stamp % 100:02d}"
        for stamp in stamps.tolist()
    ]


def _summary(columns: tuple[Column, ...], logged: Logged, count: int) -> list[str]:
    peaks = ";".join(f"{np.nanmax(shown_values(column, logged)):.{column.decimals}f}" for column in columns)
    return ["", f"Maximum;{peaks}".replace(".", ","), f"Rows;{count}", "--- end of record ---"]


def write_semicolon(stem: Path, logged: Logged) -> Path:
    """Write one pull as the metric logger did.

    Args:
        stem: path without an ending.
        logged: the pull.

    Returns:
        The file written.
    """
    columns = present(COLUMNS, logged)
    head = ";".join([CLOCK, *(f"{column.name} [{column.unit}]" for column in columns)])
    rows = text_rows(columns, logged, ";", "")
    body = "\n".join(f"{stamp};{row}" for stamp, row in zip(_clock(logged), rows, strict=True)).replace(".", ",")
    lines = body.split("\n")
    middle = len(lines) * 4 // 7
    preamble = [
        f"Test bench;{SHOP}",
        f"Engine;{logged.run.engine.capitalize()};Build;{logged.run.label}",
        f"Date;{logged.start:%d.%m.%Y}",
        "",
    ]
    all_lines = [*preamble, head, *lines[:middle], head, *lines[middle:], *_summary(columns, logged, len(lines)), ""]
    path = stem.with_name(stem.name + ".csv")
    path.write_bytes("\n".join(all_lines).encode("latin-1"))
    return path
