"""A dead-weight table from a file: the brake's calibration line."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull.terms import units
from fairpull.terms.errors import FairpullError, Fault, ReadRefused

if TYPE_CHECKING:
    from fairpull.terms.calibration import Calibration

SPELLINGS = {
    "reference": ("reference", "hung", "true", "applied", "torque hung"),
    "indicated": ("indicated", "read", "reading", "shown", "torque read"),
    "mass": ("mass", "weight", "weights"),
    "arm": ("arm", "arm length", "lever"),
}
HOUSE = {"reference": "N m", "indicated": "N m", "mass": "kg", "arm": "m"}


def read_weights(path: Path, latitude: float | None = None, full_scale: str = "") -> Calibration:
    """Read a dead-weight table and draw the calibration line.

    Args:
        path: CSV with a header row; columns hung (or mass and arm) and read, each with its unit in brackets.
        latitude: of the place [deg]; gives the local gravity, standard gravity otherwise.
        full_scale: torque the limits refer to, e.g. "500 lb-ft"; the largest load otherwise.

    Returns:
        The calibration.

    Raises:
        ReadRefused: no such file, missing columns or units, text where numbers belong; all faults at once.
    """
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise ReadRefused(Fault("weights-file", str(path), str(error), "give a CSV file in UTF-8")) from error
    table = [row for row in csv.reader(line for line in lines if line.strip() and line[0] != "#")]
    if not table:
        raise ReadRefused(Fault("weights-file", str(path), "no rows", "give a header row and one row a load"))
    faults: list[Fault] = []
    columns = [_column(path, cell, faults) for cell in table[0]]
    faults += _missing(path, {key for key, _ in columns}) if not faults else []
    rows = [_row(path, number, row, columns, faults) for number, row in enumerate(table[1:], start=2)]
    if faults:
        raise ReadRefused(faults)
    from fairpull.pulls.calibration import calibrate_rows
    from fairpull.pulls.weights import STANDARD_GRAVITY, local_gravity

    return calibrate_rows(
        rows,
        gravity=STANDARD_GRAVITY if latitude is None else float(local_gravity(latitude)),
        full_scale=units.parse(full_scale, "N m") if full_scale else None,
    )


def _missing(path: Path, keys: set[str]) -> list[Fault]:
    """What the header lacks, once, not row by row."""
    faults = []
    if "indicated" not in keys:
        faults.append(Fault("weights-column", str(path), "no column of readings", "give a column read [lb-ft]"))
    if "reference" not in keys and not {"mass", "arm"} <= keys:
        remedy = "give a column hung [lb-ft], or mass [lb] and arm [in]"
        faults.append(Fault("weights-column", str(path), "no column of loads", remedy))
    return faults


def _column(path: Path, cell: str, faults: list[Fault]) -> tuple[str, str]:
    name, _, rest = cell.partition("[")
    word, unit = name.strip().lower(), rest.rstrip("] ").strip()
    key = next((key for key, words in SPELLINGS.items() if word in words), "")
    if not key:
        return "", ""
    if not units.same_dimension(unit, HOUSE[key]):
        remedy = f"write the unit in brackets, e.g. {word} [{'lb-ft' if HOUSE[key] == 'N m' else 'lb'}]"
        faults.append(Fault("weights-unit", f"{path}, column {cell!r}", f"unit {unit!r}", remedy))
        return "", ""
    return key, unit


def _row(
    path: Path, number: int, row: list[str], columns: list[tuple[str, str]], faults: list[Fault]
) -> dict[str, float]:
    values = {}
    for cell, (key, unit) in zip(row, columns, strict=False):
        if not key:
            continue
        try:
            values[key] = float(units.to_house(float(cell), unit, HOUSE[key]))
        except (ValueError, FairpullError):
            faults.append(Fault("weights-number", f"{path}, row {number}", repr(cell), "write a number with a point"))
    return values
