"""The console's export in shop units: words on top, a row of names, a row of units, then numbers.

Three varieties came out of the same console over the years: with tabs, with commas, and in 16-bit characters.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fairpull.demo.layouts.column import Column, Logged, numbered, present, text_rows
from fairpull.demo.scenario import ELEVATION, SHOP

COLUMNS: tuple[Column, ...] = (
    Column("time", "Time", "sec", "s", 2),
    Column("rpm", "Engine RPM", "rpm", "rpm", 0),
    Column("torque", "Torque", "lb-ft", "lb-ft", 2),
    Column("power", "Power", "hp", "hp", 1),
    Column("throttle", "Throttle", "%", "%", 1),
    Column("manifold_pressure", "MAP", "inHg abs", "inHg", 2),
    Column("boost", "Boost", "psig", "psi", 2),
    Column("barometer", "Baro", "inHg", "inHg", 2),
    Column("inlet_temperature", "Air Temp", "degF", "degF", 1),
    Column("relative_humidity", "Rel Hum", "%", "%", 1),
    Column("air_mass_flow", "Air Flow", "lb/hr", "lb/h", 1),
    Column("air_volume_flow", "Air CFM", "cfm", "cfm", 1),
    Column("fuel_mass_flow", "Fuel Flow", "lb/hr", "lb/h", 2),
    Column("fuel_mass_flow_1", "Fuel A", "lb/hr", "lb/h", 2),
    Column("fuel_mass_flow_2", "Fuel B", "lb/hr", "lb/h", 2),
    Column("fuel_density", "Fuel Density", "lb/gal", "lb/gal", 3),
    Column("fuel_temperature", "Fuel Temp", "degF", "degF", 1),
    Column("fuel_pressure", "Fuel Press", "psi", "psi", 2),
    Column("lambda", "Lambda", "", "1", 3),
    *numbered("lambda", "Lambda", "", "1", 3, 2),
    Column("spark_advance", "Spark", "deg", "deg", 1),
    Column("knock", "Knock", "", "1", 2),
    Column("injector_duty", "Inj Duty", "%", "%", 1),
    *numbered("exhaust_temperature", "EGT", "degF", "degF", 0, 6),
    Column("exhaust_pressure", "Back Pressure", "psig", "psi", 2, gauge=True),
    Column("oil_pressure", "Oil Press", "psi", "psi", 1),
    Column("oil_temperature", "Oil Temp", "degF", "degF", 1),
    Column("coolant_in", "Water In", "degF", "degF", 1),
    Column("coolant_out", "Water Out", "degF", "degF", 1),
    Column("charge_temperature_after_cooler", "Charge Temp", "degF", "degF", 1),
    Column("blower_rpm", "Blower Speed", "rpm", "rpm", 0),
    Column("crankcase_pressure", "Crankcase", "inH2O", "inH2O", 2),
    Column("blow_by", "Blowby", "cfm", "cfm", 2),
    Column("brake_outlet_temperature", "Brake Water Out", "degF", "degF", 1),
    Column("carbon_monoxide", "CO", "ppm", "ppm", 0),
    Column("battery", "Battery", "volts", "V", 2),
    Column("brake_valve", "Brake Valve", "%", "%", 1),
    Column("cell_fan", "Cell Fan", "%", "%", 1),
)


@dataclass(frozen=True, slots=True)
class Variety:
    """One age of the console.

    Attributes:
        ending: the file's ending.
        delimiter: between values.
        encoding: of the characters.
        missing: what stands where no value came.
        thousands: channels with thousands marks.
        trailing: True where every row ends with a delimiter too many.
    """

    ending: str
    delimiter: str
    encoding: str
    missing: str
    thousands: frozenset[str] = frozenset()
    trailing: bool = False


TABBED = Variety(".txt", "\t", "cp1252", "----")
COMMA = Variety(".csv", ",", "utf-8-sig", "", trailing=True)
WIDE = Variety(".log", "\t", "utf-16", "n/a", thousands=frozenset({"rpm", "blower_rpm"}))


def _preamble(logged: Logged) -> list[str]:
    run = logged.run
    return [
        f"{SHOP}  elev {ELEVATION}",
        f"Engine: {run.engine.capitalize()}    Build: {run.label.replace('-', ' ')}",
        f"Date: {logged.start:%m/%d/%Y}    Start: {logged.start:%I:%M:%S %p}    Pull {run.number:02d}",
        "Torque as read, arm 21.0 in, no inertia taken out",
        "",
    ]


def _rows_with_marker(rows: list[str], variety: Variety) -> list[str]:
    # The helper's button writes a line of its own into the tabbed log.
    if variety is not TABBED:
        return rows
    middle = len(rows) // 3
    return [*rows[:middle], "# marker: full load", *rows[middle:]]


def write(stem: Path, logged: Logged, variety: Variety) -> Path:
    """Write one pull as the console did.

    Args:
        stem: path without an ending.
        logged: the pull.
        variety: which age of the console.

    Returns:
        The file written.
    """
    columns = present(COLUMNS, logged)
    mark = variety.delimiter
    heads = [mark.join(column.name for column in columns), mark.join(column.unit for column in columns)]
    rows = text_rows(columns, logged, mark, variety.missing, variety.thousands)
    if variety.trailing:
        heads, rows = [head + mark for head in heads], [row + mark for row in rows]
    lines = [*_preamble(logged), *heads, *_rows_with_marker(rows, variety), ""]
    path = stem.with_name(stem.name + variety.ending)
    path.write_bytes("\r\n".join(lines).encode(variety.encoding))
    return path


def write_tabbed(stem: Path, logged: Logged) -> Path:
    """Write one pull with tabs; see ``write``."""
    return write(stem, logged, TABBED)


def write_comma(stem: Path, logged: Logged) -> Path:
    """Write one pull with commas and a byte-order mark; see ``write``."""
    return write(stem, logged, COMMA)


def write_wide(stem: Path, logged: Logged) -> Path:
    """Write one pull in 16-bit characters with thousands marks; see ``write``."""
    return write(stem, logged, WIDE)
