"""Broken workbooks, parquet, MDF and JSON lines; paths that are no files; options and side files that do not fit."""

from __future__ import annotations

import io
import json
import os
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path

import polars as pl

from tests.logs.broken_log import READ, REFUSED, Case, good, lines, table, without, write

Sheet = Sequence[Sequence[object]]


def numbers() -> list[list[object]]:
    """The good log's header and rows as cells."""
    head, *rows = [line.split(",") for line in lines(good())]
    cells: list[list[object]] = [[float(cell) for cell in row] for row in rows]
    return [list(head), *cells]


def workbook(sheets: dict[str, Sheet], name: str = "pull.xlsx") -> Callable[[Path], Path]:
    """A builder of a workbook with these sheets; a cell that begins with "=" has no stored value."""

    def build(folder: Path) -> Path:
        import openpyxl

        book = openpyxl.Workbook()
        book.remove(book.worksheets[0])
        for title, rows in sheets.items():
            sheet = book.create_sheet(title)
            for row in rows:
                sheet.append(list(row))
        book.save(folder / name)
        return folder / name

    return build


def computed() -> list[list[object]]:
    """Torque worked out by formula, as a sheet made by a script has it: no value is stored."""
    head, *rows = numbers()
    return [head, *([*row[:2], f"=B{index}/20", *row[3:]] for index, row in enumerate(rows, 2))]


def zero_formulas(folder: Path) -> Path:
    """Torque by formula with 0 stored everywhere, as writers that do not calculate leave it."""
    import xlsxwriter

    path = folder / "pull.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("run")
        for at, row in enumerate(numbers()):
            for column, cell in enumerate(row):
                if column == 2 and at:
                    sheet.write_formula(at, column, f"=B{at + 1}/20")
                else:
                    sheet.write(at, column, cell)
    return path


def _cut(build: Callable[[Path], Path], share: float) -> Callable[[Path], Path]:
    def cut(folder: Path) -> Path:
        path = build(folder)
        whole = path.read_bytes()
        path.write_bytes(whole[: int(len(whole) * share)])
        return path

    return cut


def _spoiled_sheet(folder: Path) -> Path:
    """A workbook whose sheet stops in the middle of a cell; the container is in order."""
    source = zipfile.ZipFile(workbook({"run": numbers()})(folder))
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as out:
        for member in source.infolist():
            data = source.read(member)
            out.writestr(member, data[: len(data) // 2] if "worksheets/" in member.filename else data)
    (folder / "pull.xlsx").write_bytes(target.getvalue())
    return folder / "pull.xlsx"


def _swollen(folder: Path) -> Path:
    """A small workbook that unpacks to 400 MB of zeros."""
    path = workbook({"run": numbers()})(folder)
    source = {member.filename: zipfile.ZipFile(path).read(member) for member in zipfile.ZipFile(path).infolist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        for name, data in source.items():
            if "worksheets/" not in name:
                out.writestr(name, data)
        with out.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as stream:
            stream.write(b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>')
            block = b'<row><c t="n"><v>0</v></c><c t="n"><v>0</v></c></row>' * 20_000
            for _ in range(380):
                stream.write(block)
            stream.write(b"</sheetData></worksheet>")
    return path


def _encrypted() -> bytes:
    """The outer container of a workbook with a password (a compound file that names its content so)."""
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(1016) + "EncryptedPackage".encode("utf-16-le") + bytes(2048)


def _plain_zip(folder: Path) -> Path:
    with zipfile.ZipFile(folder / "pull.xlsx", "w") as out:
        out.writestr("readme.txt", "no workbook in here")
    return folder / "pull.xlsx"


def parquet(frame: pl.DataFrame, name: str = "pull.parquet") -> Callable[[Path], Path]:
    """A builder that writes a frame as parquet."""

    def build(folder: Path) -> Path:
        frame.write_parquet(folder / name)
        return folder / name

    return build


def frame(*left_out: str) -> pl.DataFrame:
    """The good log as a frame of floats."""
    columns = without(*left_out)
    return pl.DataFrame({name: [float(cell) for cell in cells] for name, cells in columns.items()})


def jsonl(rows: Sequence[object], name: str = "pull.jsonl", end: str = "\n") -> Callable[[Path], Path]:
    """A builder of JSON lines."""
    return write("\n".join(json.dumps(row) for row in rows) + end, name)


def records() -> list[dict[str, object]]:
    """The good log, one dict a row."""
    head, *rows = numbers()
    return [dict(zip(map(str, head), row, strict=True)) for row in rows]


def _changing_keys() -> list[dict[str, object]]:
    rows = records()
    return [
        row if i % 3 else {k: v for k, v in row.items() if "air" not in k} | {"Note": i} for i, row in enumerate(rows)
    ]


def mf4(names: Sequence[str]) -> Callable[[Path], Path]:
    """A builder of an MDF 4 file with these channels."""

    def build(folder: Path) -> Path:
        import asammdf
        import numpy as np

        clock = np.arange(0.0, 12.0, 0.05)
        shapes = {"Speed": (2000 + 250 * clock, "rpm"), "Torque": (200 + 5 * np.sin(clock), "Nm")}
        file = asammdf.MDF(version="4.10")
        file.append([asammdf.Signal(shapes[name][0], clock, name=name, unit=shapes[name][1]) for name in names])
        file.save(folder / "pull.mf4", overwrite=True)
        file.close()
        return folder / "pull.mf4"

    return build


def _fifo(folder: Path) -> Path:
    os.mkfifo(folder / "pull.csv")
    return folder / "pull.csv"


def _loop(folder: Path) -> Path:
    (folder / "pull.csv").symlink_to(folder / "other.csv")
    (folder / "other.csv").symlink_to(folder / "pull.csv")
    return folder / "pull.csv"


def _dangling(folder: Path) -> Path:
    (folder / "pull.csv").symlink_to(folder / "gone.csv")
    return folder / "pull.csv"


def _locked(folder: Path) -> Path:
    path = table(good())(folder)
    path.chmod(0)
    return path


def _beside(name: str, text: str) -> Callable[[Path], Path]:
    """A builder of a good log with a side file beside it."""

    def build(folder: Path) -> Path:
        (folder / name).write_text(text, "utf-8")
        return table(good())(folder)

    return build


_WORKBOOKS = (
    Case("a formula workbook, nothing stored", workbook({"run": computed()}), REFUSED, "workbook-no-values"),
    Case("a formula workbook, zeros stored", zero_formulas, REFUSED, "workbook-no-values"),
    Case("an empty workbook", workbook({"Sheet1": []}), REFUSED, "workbook-no-pull"),
    Case(
        "a workbook without a pull", workbook({"notes": [["jets", 72], ["plugs", "new"]]}), REFUSED, "workbook-no-pull"
    ),
    Case(
        "two sheets with pulls", workbook({"run 1": numbers(), "run 2": numbers()}), REFUSED, "workbook-several-pulls"
    ),
    Case(
        "a sheet that is not there",
        workbook({"run": numbers()}),
        REFUSED,
        "workbook-sheet-unknown",
        {"sheet": "run 9"},
        ("--sheet", "run 9"),
    ),
    Case("a workbook with a password", write(_encrypted(), "pull.xlsx"), REFUSED, "workbook-encrypted"),
    Case("a workbook cut off", _cut(workbook({"run": numbers()}), 0.6), REFUSED, "workbook-damaged"),
    Case("a workbook with a spoiled sheet", _spoiled_sheet, REFUSED, "workbook-damaged"),
    Case("a workbook that swells to 400 MB", _swollen, REFUSED, "workbook-too-large"),
    Case("a zip renamed to xlsx", _plain_zip, REFUSED, "not-a-log"),
    Case("a text log renamed to xlsx", table(good(), name="pull.xlsx"), READ, "name-misleads"),
    Case("a workbook renamed to csv", workbook({"run": numbers()}, name="pull.csv"), READ, "name-misleads"),
    Case(
        "headers twice in a workbook",
        workbook({"run": [[*row, row[2]] for row in numbers()]}),
        READ,
        "duplicate-column",
    ),
)
_TABLES = (
    Case("a parquet file cut off", _cut(parquet(frame()), 0.7), REFUSED, "parquet-damaged"),
    Case("a parquet file without torque", parquet(frame("Torque [Nm]")), REFUSED, "no-torque"),
    Case("a parquet file without rows", parquet(frame().head(0)), REFUSED, "no-rows"),
    Case(
        "a parquet file with lists in a column",
        parquet(frame().with_columns(pl.lit([1.0, 2.0]).alias("cylinder"))),
        READ,
        "columns-not-numeric",
    ),
    Case("an MDF file cut off", _cut(mf4(["Speed", "Torque"]), 0.5), REFUSED, "mdf-cut-off"),
    Case("an MDF file without torque", mf4(["Speed"]), REFUSED, "no-torque"),
    Case("an MDF name and nothing else", write(b"MDF     4.10    ", "pull.mf4"), REFUSED, "mdf-cut-off"),
)
_JSON = (
    Case("one JSON array instead of lines", write(json.dumps(records()), "pull.jsonl"), REFUSED, "json-not-lines"),
    Case("JSON numbers instead of rows", jsonl([1, 2, 3, 4]), REFUSED, "json-not-lines"),
    Case("JSON lines with changing keys", jsonl(_changing_keys()), READ, "json-keys-change"),
    Case(
        "the last JSON line cut off",
        write("\n".join(json.dumps(row) for row in records())[:-25], "pull.jsonl"),
        READ,
        "rows-dropped",
        samples=239,
    ),
    Case("JSON lines without torque", jsonl([{"rpm": 2000 + i, "time": i} for i in range(50)]), REFUSED, "no-torque"),
)
_PATHS = (
    Case("a file that is not there", lambda folder: folder / "gone.csv", REFUSED, "file-missing"),
    Case("a folder", lambda folder: folder, REFUSED, "not-a-file"),
    Case("a named pipe", _fifo, REFUSED, "not-a-file"),
    Case("a link in a circle", _loop, REFUSED, "file-missing"),
    Case("a link to nothing", _dangling, REFUSED, "file-missing"),
    Case("a file that may not be read", _locked, REFUSED, "file-unreadable"),
)
_SAID = (
    Case(
        "a format that does not exist", table(good()), REFUSED, "format-unknown", {"format": "wax"}, ("--format", "wax")
    ),
    Case(
        "a format that does not fit",
        table(good()),
        REFUSED,
        "parquet-damaged",
        {"format": "parquet"},
        ("--format", "parquet"),
    ),
    Case("split by a column that is not there", table(good()), REFUSED, "by-unknown", {"by": "car"}, ("--by", "car")),
    Case(
        "conditions that are no TOML", _beside("conditions.toml", "pressure = = 3\n"), REFUSED, "conditions-unreadable"
    ),
    Case(
        "conditions with humidity 45", _beside("conditions.toml", 'humidity = "45"\n'), REFUSED, "humidity-as-percent"
    ),
    Case(
        "channels mapped to nothing known", _beside("channels.toml", '"Torque" = "twist"\n'), REFUSED, "channel-unknown"
    ),
)

CASES = (*_WORKBOOKS, *_TABLES, *_JSON, *_PATHS, *_SAID)
