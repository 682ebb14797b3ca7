"""Workbooks: the sheet with a pull is found wherever it starts; what cannot be read is refused with the reason."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import openpyxl
import pytest

from fairpull.logs.formats import workbook
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable
from fairpull.terms.errors import ReadRefused
from tests.logs import broken_other
from tests.logs.broken_log import Case, good, table

Cells = Sequence[Sequence[object]]


def rows(count: int = 40) -> list[list[object]]:
    """Time, speed, torque of a sweep, full precision."""
    return [[i * 0.05, 2000.0 + 70.0 * i + 1.0 / 3.0, 200.0 + i / 7.0] for i in range(count)]


def write(path: Path, cells: Cells, *, right: int = 0, title: str = "run") -> Path:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = title
    for down, row in enumerate(cells, 1):
        for across, cell in enumerate(row, 1 + right):
            sheet.cell(down, across, cell)
    book.save(path)
    return path


def write_ods(path: Path, cells: Cells, title: str = "run") -> Path:
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    book = OpenDocumentSpreadsheet()
    sheet = Table(name=title)
    for row in cells:
        line = TableRow()
        for cell in row:
            if isinstance(cell, float):
                held = TableCell(valuetype="float", value=repr(cell))
                held.addElement(P(text=f"{cell:.2f}"))
            else:
                held = TableCell(valuetype="string")
                held.addElement(P(text=str(cell)))
            line.addElement(held)
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(path))
    return path


def load(path: Path, **said: str) -> RawTable:
    return workbook.load(path, ReadOptions(**said))  # type: ignore[arg-type]


def codes(found: RawTable) -> set[str]:
    return {finding.code for finding in found.findings}


def fault(path: Path, **said: str) -> tuple[str, str, str]:
    with pytest.raises(ReadRefused) as error:
        load(path, **said)
    first = error.value.faults[0]
    return first.code, first.seen, first.remedy


HEAD: list[list[object]] = [["Time", "Speed", "Torque"], ["s", "rpm", "lb-ft"]]


def test_names_units_and_data_at_the_top_left(tmp_path: Path) -> None:
    found = load(write(tmp_path / "a.xlsx", [*HEAD, *rows()]))
    assert found.columns == ("Time", "Speed", "Torque")
    assert found.units == {"Time": "s", "Speed": "rpm", "Torque": "lb-ft"}
    assert found.first_data_row == 3
    expected = np.array(rows(), dtype=np.float64)
    for place, name in enumerate(found.columns):
        assert np.allclose(found.values[name], expected[:, place], rtol=1e-14, atol=0), "every stored digit is kept"


@pytest.mark.parametrize("down", [0, 1, 7])
@pytest.mark.parametrize("right", [0, 3])
@pytest.mark.parametrize("gap", [0, 1])
def test_the_table_may_start_anywhere(tmp_path: Path, down: int, right: int, gap: int) -> None:
    title: Cells = [["Cell 2, run of the day"], *([[]] * down)] if down else []
    path = write(tmp_path / "a.xlsx", [*title, *HEAD, *([[]] * gap), *rows()], right=right)
    found = load(path)
    assert found.columns == ("Time", "Speed", "Torque")
    assert found.rows == 40
    assert found.values["Speed"][0] == pytest.approx(rows()[0][1], rel=1e-14)
    assert found.first_data_row == len(title) + 2 + gap + 1
    assert bool(found.preamble) == bool(down)


def test_open_document_sheets_are_read_alike(tmp_path: Path) -> None:
    found = load(write_ods(tmp_path / "a.ods", [["Cell 2"], *HEAD, *rows()]))
    assert found.units["Torque"] == "lb-ft"
    assert np.array_equal(found.values["Torque"], np.array(rows(), dtype=np.float64)[:, 2])


def test_the_sheet_with_the_pull_is_found_and_said(tmp_path: Path) -> None:
    build = broken_other.workbook({"notes": [["jets", 72]], "run": broken_other.numbers(), "parts": [["cam", "B"]]})
    found = load(build(tmp_path))
    assert found.choices["sheet"].startswith("run (")
    assert "'run'" in found.detail


def test_a_named_sheet_wins(tmp_path: Path) -> None:
    build = broken_other.workbook({"run 1": broken_other.numbers(), "run 2": broken_other.numbers()[:100]})
    found = load(build(tmp_path), sheet="run 2")
    assert found.rows == 99
    assert "named" in found.choices["sheet"]


def test_several_pulls_are_listed(tmp_path: Path) -> None:
    build = broken_other.workbook({"run 1": broken_other.numbers(), "run 2": broken_other.numbers()})
    code, seen, remedy = fault(build(tmp_path))
    assert code == "workbook-several-pulls"
    assert "'run 1'" in seen
    assert "'run 2'" in seen
    assert "sheet" in remedy


def test_an_unknown_sheet_lists_those_that_exist(tmp_path: Path) -> None:
    code, _, remedy = fault(write(tmp_path / "a.xlsx", [*HEAD, *rows()]), sheet="run 9")
    assert code == "workbook-sheet-unknown"
    assert remedy.endswith("run")


def test_own_names_said_by_option_make_a_pull(tmp_path: Path) -> None:
    cells: list[list[object]] = [["a", "n1", "md"], *rows()]
    other: list[list[object]] = [["x", "y"], [1, 2], [3, 4]]
    path = tmp_path / "a.xlsx"
    book = openpyxl.Workbook()
    for title in ("first", "second"):
        sheet = book.create_sheet(title)
        for row in cells if title == "second" else other:
            sheet.append(row)
    book.save(path)
    assert fault(path)[0] == "workbook-no-pull"
    found = workbook.load(path, ReadOptions(columns={"n1": "rpm", "md": "torque"}))
    assert found.choices["sheet"].startswith("second")


def test_formulas_without_stored_results_are_refused(tmp_path: Path) -> None:
    for build in (broken_other.workbook({"run": broken_other.computed()}), broken_other.zero_formulas):
        code, seen, remedy = fault(build(tmp_path))
        assert code == "workbook-no-values"
        assert "formula" in seen
        assert "save" in remedy


def test_formulas_with_stored_results_are_read(tmp_path: Path) -> None:
    import xlsxwriter

    with xlsxwriter.Workbook(tmp_path / "a.xlsx") as book:
        sheet = book.add_worksheet("run")
        sheet.write_row(0, 0, HEAD[0])
        for at, row in enumerate(rows(), 1):
            sheet.write_row(at, 0, row[:2])
            sheet.write_formula(at, 2, f"=B{at + 1}/10", value=row[2])
    assert load(tmp_path / "a.xlsx").values["Torque"][3] == rows()[3][2]


def test_a_column_that_really_is_zero_is_no_formula(tmp_path: Path) -> None:
    path = write(tmp_path / "a.xlsx", [["Time", "Speed", "Torque", "Boost"], *([*row, 0.0] for row in rows())])
    assert not np.any(load(path).values["Boost"])


def test_times_of_day_and_dates_stay_text(tmp_path: Path) -> None:
    cells = [
        [datetime.time(10, 5, 6, 500000), datetime.datetime(2026, 1, 2, 3, 4, 5 + i % 50), *row[1:]]
        for i, row in enumerate(rows())
    ]
    found = load(write(tmp_path / "a.xlsx", [["Time", "Stamp", "Speed", "Torque"], *cells]))
    assert found.texts["Time"][0] == "10:05:06.500"
    assert found.texts["Stamp"][0].startswith("2026-01-02 03:04:05")


def test_numbers_stored_as_text_are_read_by_their_marks(tmp_path: Path) -> None:
    cells = [[row[0], row[1], f"{row[2]:.3f}".replace(".", ",")] for row in rows()]
    found = load(write(tmp_path / "a.xlsx", [*HEAD, *cells]))
    assert found.values["Torque"][7] == pytest.approx(201.0, abs=5e-4)


def test_what_is_no_data_is_left_out_and_said(tmp_path: Path) -> None:
    data = rows()
    data[5][2] = "jammed"
    cells = [*HEAD, *data[:20], [], HEAD[0], *data[20:], [], ["Average", 3500.0, 203.0], ["Peak", 4800.0, 205.6]]
    found = load(write(tmp_path / "a.xlsx", cells))
    assert found.rows == 40
    assert np.isnan(found.values["Torque"][5])
    assert codes(found) >= {"header-repeated", "rows-dropped", "cells-not-numeric"}


@pytest.mark.parametrize(
    ("case", "code"),
    [(case, case.code) for case in broken_other.CASES if case.code.startswith("workbook-")],
    ids=lambda value: getattr(value, "name", ""),
)
def test_broken_workbooks_are_refused_with_their_reason(
    tmp_path: Path, case: Case, code: str, capfd: pytest.CaptureFixture[str]
) -> None:
    path = case.build(tmp_path)
    with pytest.raises(ReadRefused) as error:
        workbook.load(path, ReadOptions(**case.options))
    assert error.value.faults[0].code == code
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize("name", ["a.xlsx", "a.ods", "a.csv"])
def test_the_sniffer_goes_by_content(tmp_path: Path, name: str) -> None:
    writer = write_ods if name == "a.ods" else write
    path = writer(tmp_path / name, [*HEAD, *rows()])
    taken = workbook.sniff(path, path.read_bytes()[:4096])
    assert taken.claims
    assert "workbook" in taken.reason or "spreadsheet" in taken.reason


def test_the_sniffer_leaves_other_files_alone(tmp_path: Path) -> None:
    path = table(good(), name="pull.xlsx")(tmp_path)
    assert not workbook.sniff(path, path.read_bytes()[:4096]).claims
