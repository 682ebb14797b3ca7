"""Makes the workbook, MDF and two-clock samples of this folder: `python -m tests.samples.make_workbook_and_mdf`."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

FOLDER = Path(__file__).parent
STARTED = datetime(2026, 3, 4, 9, 40, tzinfo=UTC)


def sweep(rate: float, seed: int = 1) -> dict[str, NDArray[np.float64]]:
    """A 10 s sweep from 2000 to 5000 rpm at this rate [Hz], in house units but for the temperatures [degC]."""
    rng = np.random.default_rng(seed)
    time = np.arange(0.0, 10.0, 1.0 / rate)
    rpm = np.interp(time, [0.0, 1.0, 9.0, 10.0], [2000.0, 2050.0, 5000.0, 4800.0])
    share = (rpm - 2000.0) / 3000.0
    return {
        "time": time,
        "rpm": rpm + rng.normal(0.0, 3.0, time.size),
        "torque": 195.0 + 35.0 * np.sin(np.pi * share) + rng.normal(0.0, 0.8, time.size),
        "inlet": 21.0 + 0.5 * share + rng.normal(0.0, 0.05, time.size),
        "spark": 24.0 + 8.0 * share,
    }


Cells = list[list[str | float]]


def rows(rate: float) -> Cells:
    """Time, speed, torque [N m], inlet air [degC], barometer [mbar], rounded as a logger would."""
    held = sweep(rate)
    columns = (held["time"], held["rpm"], held["torque"], held["inlet"])
    return [[*(round(float(value), 3) for value in row), 993.4] for row in zip(*columns, strict=True)]


HEAD: Cells = [["Time", "Speed", "Torque", "Inlet air", "Barometer"], ["s", "rpm", "N m", "degC", "mbar"]]


def workbook(path: Path) -> None:
    """Notes on one sheet; on the other, names in row 5 from column C on."""
    import openpyxl

    book = openpyxl.Workbook()
    notes = book.worksheets[0]
    notes.title = "notes"
    notes.append(["jets", 72])
    notes.append(["plugs", "new"])
    sheet = book.create_sheet("run 3")
    table: Cells = [["Cell 2"], [], *HEAD, *rows(10.0)]
    for down, row in enumerate(table, 3):
        for across, cell in enumerate(row, 3):
            sheet.cell(down, across, cell)
    book.save(path)


def open_document(path: Path) -> None:
    """The same numbers as an OpenDocument spreadsheet."""
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    book = OpenDocumentSpreadsheet()
    sheet = Table(name="run 3")
    for row in [*HEAD, *rows(10.0)]:
        line = TableRow()
        for cell in row:
            held = TableCell(valuetype="string") if isinstance(cell, str) else TableCell(valuetype="float", value=cell)
            held.addElement(P(text=str(cell)))
            line.addElement(held)
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(path))


def measurement(path: Path) -> None:
    """An MDF 4 file with three rates and the barometer as a single sample."""
    from asammdf import MDF, Signal

    fast, slow = sweep(100.0), sweep(10.0)
    file = MDF(version="4.10")
    file.append([Signal(fast["rpm"], fast["time"], name="Speed", unit="1/min")])
    file.append([Signal(fast["torque"][::2], fast["time"][::2], name="Torque", unit="Nm")])
    file.append([Signal(slow["inlet"], slow["time"], name="Inlet air", unit="degC")])
    file.append([Signal(np.array([993.4]), np.array([0.0]), name="Barometer", unit="mbar")])
    file.header.start_time = STARTED
    file.save(path, overwrite=True, compression=2)
    file.close()


def two_clocks(brake: Path, controller: Path) -> None:
    """One pull seen by the brake (50 Hz) and by a controller whose clock reads 812.4 s at the brake's 0.85 s."""
    seen = sweep(50.0)
    lines = ["Time [s],Speed [rpm],Torque [N m]"]
    lines += [f"{t:.3f},{n:.1f},{m:.2f}" for t, n, m in zip(seen["time"], seen["rpm"], seen["torque"], strict=True)]
    brake.write_text("\n".join(lines) + "\n", "utf-8")
    own = sweep(25.0, seed=2)
    inside = own["time"] >= 0.85
    clock = own["time"][inside] - 0.85 + 812.4
    lines = ["Time [s];Speed [rpm];Spark [deg]"]
    pairs = zip(clock, own["rpm"][inside], own["spark"][inside], strict=True)
    lines += [f"{t:.3f};{round(n / 5) * 5};{a:.1f}" for t, n, a in pairs]
    controller.write_text("\n".join(lines) + "\n", "utf-8")


if __name__ == "__main__":
    workbook(FOLDER / "sweep.xlsx")
    open_document(FOLDER / "sweep.ods")
    measurement(FOLDER / "sweep_three_rates.mf4")
    two_clocks(FOLDER / "two_clocks_brake.csv", FOLDER / "two_clocks_controller.csv")
