"""Workbooks (.xlsx, .ods, old .xls): the sheet with a pull in it, wherever its names, units and numbers start."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import fastexcel
import numpy as np
import polars as pl

from fairpull.logs.grid import GridTable, read_grid
from fairpull.logs.headers import Header, find_header
from fairpull.logs.names import match
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable, Sniff
from fairpull.logs.workbook_parts import formula_columns, refuse_container, workbook_kind
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, ReadRefused

NAME = "workbook"

_HEAD_ROWS = 400  # a header further down than this is not looked for
_NO_HEADER = Header((), {}, -1, 0, ())
_SOURCES_OF_TORQUE = frozenset(("torque", "power", "bmep"))


@dataclass(frozen=True, slots=True)
class _Sheet:
    """One sheet as text cells, and where its table stands; ``header`` is None where there is none."""

    name: str
    cells: pl.DataFrame
    header: Header | None
    channels: frozenset[str]

    @property
    def pull(self) -> bool:
        return "rpm" in self.channels and bool(self.channels & _SOURCES_OF_TORQUE)

    @property
    def table(self) -> bool:
        return self.header is not None and self.header.row >= 0


def sniff(path: Path, head: bytes) -> Sniff:
    """Take zip containers that hold a workbook, and the compound files of old or locked ones."""
    kind = workbook_kind(path, head)
    if kind:
        return Sniff(True, kind)
    return Sniff(False, "no container of a workbook")


def load(path: Path, options: ReadOptions) -> RawTable:
    """Read the one sheet that holds a pull, or the one that was named.

    Args:
        path: the file.
        options: ``sheet`` names a sheet; ``columns`` tells own names of channels.

    Returns:
        One table; dates and times of day stay text.

    Raises:
        ReadRefused: "workbook-encrypted", "workbook-damaged", "workbook-too-large", "workbook-sheet-unknown",
            "workbook-no-pull", "workbook-several-pulls", "workbook-no-values".
    """
    refuse_container(path)
    try:
        reader = fastexcel.read_excel(path)
        chosen, why = _choose(path, reader, options)
        numbers = _numbers(reader, chosen)
    except fastexcel.FastExcelError as error:
        seen = f"the workbook is cut off or damaged ({str(error).splitlines()[0][:120]})"
        remedy = "open it in a spreadsheet and save it anew, or copy it again from where it was made"
        raise ReadRefused(Fault("workbook-damaged", path.name, seen, remedy)) from error
    where = f"{path.name}, sheet {chosen.name!r}"
    header = chosen.header or _NO_HEADER
    grid = read_grid(chosen.cells, header, numbers, where)
    _refuse_formulas(path, chosen, reader.sheet_names.index(chosen.name), grid)
    return _table(chosen, header, grid, why)


def sheet_names(path: Path) -> tuple[str, ...]:
    """The sheets of a workbook by name, whatever stands in them.

    Args:
        path: the file.

    Returns:
        Their names in order; none where it cannot be opened.

    Raises:
        ReadRefused: as by ``load``, for its container.
    """
    refuse_container(path)
    try:
        return tuple(fastexcel.read_excel(path).sheet_names)
    except fastexcel.FastExcelError:
        return ()


def _choose(path: Path, reader: fastexcel.ExcelReader, options: ReadOptions) -> tuple[_Sheet, str]:
    """The sheet to read, and why this one."""
    names = reader.sheet_names
    if options.sheet:
        if options.sheet not in names:
            seen = f"no sheet is called {options.sheet!r}"
            remedy = f"name one of: {', '.join(names)}"
            raise ReadRefused(Fault("workbook-sheet-unknown", path.name, seen, remedy))
        sheet = _sheet(reader, options.sheet, options, path.name)
        if not sheet.table:
            _refuse_no_pull(path, [sheet])
        return sheet, "named by the person"
    sheets = [_sheet(reader, name, options, path.name) for name in names]
    pulls = [sheet for sheet in sheets if sheet.pull]
    if len(pulls) == 1:
        return pulls[0], "the only one with speed and torque" if len(sheets) > 1 else "the only one"
    if len(pulls) > 1:
        listed = ", ".join(f"{sheet.name!r} ({sheet.cells.height} rows)" for sheet in pulls)
        seen = f"{len(pulls)} sheets hold a pull: {listed}"
        remedy = "name one of them with the sheet option, or save each as a file of its own"
        raise ReadRefused(Fault("workbook-several-pulls", path.name, seen, remedy))
    tables = [sheet for sheet in sheets if sheet.table]
    if len(tables) != 1:
        _refuse_no_pull(path, sheets)
    return tables[0], "the only one with a table"


def _refuse_no_pull(path: Path, sheets: list[_Sheet]) -> None:
    parts = []
    for sheet in sheets:
        if sheet.header is None or sheet.header.row < 0:
            parts.append(f"{sheet.name!r}: no row of names with numbers below")
        else:
            parts.append(f"{sheet.name!r}: {', '.join([name for name in sheet.header.names if name][:8])}")
    seen = f"no sheet holds speed with torque, power or BMEP ({'; '.join(parts)})"
    remedy = "name the sheet, and say which columns are speed and torque (column option or channels.toml)"
    raise ReadRefused(Fault("workbook-no-pull", path.name, seen, remedy))


def _sheet(reader: fastexcel.ExcelReader, name: str, options: ReadOptions, file: str) -> _Sheet:
    frame = reader.load_sheet(name, header_row=None, skip_rows=0, dtypes="string").to_polars()
    # A bare time of day comes with the day zero of workbooks before it.
    frame = frame.select(pl.all().str.replace(r"^1899-12-3[01] ", ""))
    head = [[cell or "" for cell in row] for row in frame.head(_HEAD_ROWS).rows()]
    header = find_header(head, f"{file}, sheet {name!r}")
    named = header.names if header is not None and header.row >= 0 else ()
    told = {options.columns.get(column, "") for column in named}
    found = {known.channel for column in named if (known := match(column)) is not None}
    return _Sheet(name, frame, header, frozenset(told | found) - {""})


def _numbers(reader: fastexcel.ExcelReader, sheet: _Sheet) -> FloatArray:
    """All cells that the workbook holds as numbers, full precision, NaN elsewhere, shape (rows, width)."""
    width = sheet.cells.width
    result = np.full(sheet.cells.shape, np.nan)
    first = sheet.header.data_row if sheet.header is not None else 0
    # Read below the header only: a float column would otherwise have to swallow its own name.
    frame = reader.load_sheet(
        sheet.name, header_row=None, skip_rows=first, dtypes={place: "float" for place in range(width)}
    ).to_polars()
    for place, column in enumerate(frame.iter_columns()):
        values = column.cast(float, strict=False).to_numpy().astype(np.float64)
        result[first : first + values.size, place] = values
    return result


def _refuse_formulas(path: Path, sheet: _Sheet, index: int, grid: GridTable) -> None:
    """Refuse columns that are worked out by formula and whose results were never stored."""
    bare = {name for name, values in grid.values.items() if not np.any(np.nan_to_num(values))}
    if not bare or sheet.header is None:
        return
    formulas = formula_columns(path, index)
    faults = [
        Fault(
            "workbook-no-values",
            f"{path.name}, sheet {sheet.name!r}, column {name!r}",
            "the cells are formulas, and their results are not stored in the file",
            "open the workbook in a spreadsheet and save it there (that stores the results), or save it as CSV",
        )
        for place, name in enumerate(sheet.header.names)
        if name in bare and place in formulas
    ]
    if faults:
        raise ReadRefused(faults)


def _table(sheet: _Sheet, header: Header, grid: GridTable, why: str) -> RawTable:
    first = header.data_row + 1 + (grid.kept[0] if grid.kept else 0)
    return RawTable(
        columns=tuple(name for name in header.names if name in grid.values or name in grid.texts),
        units=header.units,
        values=grid.values,
        texts=grid.texts,
        preamble=header.preamble,
        detail=f"sheet {sheet.name!r}, names in row {header.row + 1}, data from row {first}",
        findings=header.findings + grid.findings,
        first_data_row=first,
        choices={"sheet": f"{sheet.name} ({why})"},
    )
