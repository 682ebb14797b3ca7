"""The engine controller's own log of one Wren pull: its own clock, a slower rate, no torque."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from fairpull.demo.layouts.column import Column, Logged, shown_values
from fairpull.terms.arrays import FloatArray

COLUMNS: tuple[Column, ...] = (
    Column("rpm", "RPM", "rpm", "rpm", 0),
    Column("throttle", "TPS", "%", "%", 1),
    Column("manifold_pressure", "MAP", "kPa abs", "kPa", 1),
    Column("inlet_temperature", "IAT", "degC", "degC", 0),
    Column("coolant_out", "Coolant Temp", "degC", "degC", 0),
    Column("lambda", "Lambda", "", "1", 2),
    Column("spark_advance", "Ignition Advance", "deg", "deg", 1),
    Column("injector_duty", "Injector Duty", "%", "%", 1),
    Column("battery", "Battery", "V", "V", 1),
)
RATE = 20.0
CLOCK_LEAD, CLOCK_DRIFT = 412.37, 400e-6  # its clock runs since the key was turned [s], and runs fast [-]
BUTTON = 0.31  # its log was started that much after the brake's [s]


def write_controller(stem: Path, logged: Logged) -> Path:
    """Write the controller's log of a pull that the brake logged as well.

    Args:
        stem: path without an ending.
        logged: the pull as the brake's logger has it.

    Returns:
        The file written.
    """
    brake_clock = logged.channels["time"]
    own = np.arange(0.0, brake_clock[-1] - 1.0, 1.0 / RATE)
    at = BUTTON + own / (1.0 + CLOCK_DRIFT)
    columns = [np.interp(at, brake_clock, _whole(shown_values(column, logged))) for column in COLUMNS]
    head = ["Time [s]", *(f"{column.name} [{column.unit}]" if column.unit else column.name for column in COLUMNS)]
    shape = ",".join(["%.3f", *(f"%.{column.decimals}f" for column in COLUMNS)])
    rows = [
        shape % row for row in zip((CLOCK_LEAD + own).tolist(), *(column.tolist() for column in columns), strict=True)
    ]
    path = stem.with_name(stem.name + ".csv")
    path.write_bytes(("\n".join([",".join(head), *rows]) + "\n").encode())
    return path


def _whole(values: FloatArray) -> FloatArray:
    return np.nan_to_num(values)
