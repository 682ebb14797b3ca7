"""A day sheet: which log ran with which build, in running order, as the helper wrote it down."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull.tasks.bench.take import Order, TakeOptions, TakeReport, take_batch, take_files
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.bench import SET_ASIDE
from fairpull.terms.errors import Fault, ReadRefused

if TYPE_CHECKING:
    from fairpull.book import Book

COLUMNS = ("file", "build", "session", "set aside because", "remark")


@dataclass(frozen=True, slots=True)
class DayRow:
    """One line: the log, its build and session, why it does not count ("" where it may), a remark."""

    file: Path
    build: str
    session: str
    aside: str
    remark: str


def read_day_sheet(path: Path) -> tuple[DayRow, ...]:
    """Read a day sheet.

    Args:
        path: CSV with a header row: ``file`` and ``build``, and any of ``session``, ``set aside because``, ``remark``.
            Files are named from the sheet's folder.

    Returns:
        Its rows in order.

    Raises:
        ReadRefused: no such sheet, missing columns, rows without file or build; all faults at once.
    """
    rows, faults = _read(path)
    if faults:
        raise ReadRefused(faults)
    return tuple(rows)


def _read(path: Path) -> tuple[list[DayRow], list[Fault]]:
    """Rows of a day sheet as far as they can be understood, and all that is wrong with it."""
    lines, faults = _lines(path)
    head = [cell.strip().lower() for cell in lines[0]] if lines else []
    if not faults:
        faults = _header_faults(path, head)
    if faults:
        return [], faults
    found = []
    for number, row in enumerate(lines[1:], start=2):
        cells = {name: cell.strip() for name, cell in zip(head, row, strict=False)}
        if not cells.get("file") or not cells.get("build"):
            faults.append(Fault("day-sheet", f"{path}, row {number}", "no file or no build", "write both"))
            continue
        words = (cells.get(name, "") for name in COLUMNS[1:])
        found.append(DayRow(path.parent / cells["file"], *words))
    faults += [
        Fault("file-unreadable", f"{path}: {row.file}", "no such file", "name it from the sheet's folder")
        for row in found
        if not row.file.is_file()
    ]
    return found, faults


def _lines(path: Path) -> tuple[list[list[str]], list[Fault]]:
    """Rows of cells, whether commas, semicolons or tabs stand between them; remarks and empty rows left out."""
    where, remedy = str(path), "give a CSV file in UTF-8"
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return [], [Fault("day-sheet", where, "no such file", "name the day sheet, a CSV file")]
    except OSError as error:
        return [], [Fault("day-sheet", where, (error.strerror or "it cannot be read").lower(), remedy)]
    except UnicodeDecodeError:
        return [], [Fault("day-sheet", where, "it is no text in UTF-8", remedy)]
    lines = text.splitlines()
    head = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    try:
        rows = list(csv.reader(lines, delimiter=max(",;\t", key=head.count)))
    except csv.Error as error:
        return [], [Fault("day-sheet", where, f"it is no CSV: {error}", remedy)]
    return [row for row in rows if any(cell.strip() for cell in row) and not row[0].startswith("#")], []


def _header_faults(path: Path, head: Sequence[str]) -> list[Fault]:
    where, remedy = f"{path}, header", f"columns: {', '.join(COLUMNS)}"
    missing = [f"no column {name!r}" for name in ("file", "build") if name not in head]
    unknown = [f"unknown column {name!r}" for name in head if name not in COLUMNS]
    return [Fault("day-sheet", where, seen, remedy) for seen in (*missing, *unknown)]


def take_named(
    kept: Book,
    files: Sequence[Path],
    sheet: Path | None,
    build: str,
    options: TakeOptions | None = None,
    progress: Progress = silent,
) -> tuple[TakeReport, ...]:
    """Take in files that ran with one build, or a whole day from its sheet.

    Args:
        kept: the book.
        files: log files; none where a sheet is named.
        sheet: the day sheet; None for none.
        build: what the files ran with; "" takes what is said to be fitted.
        options, progress: as for ``take_files``.

    Returns:
        One report, or one a log of the sheet.

    Raises:
        ReadRefused: neither files nor a sheet, or both.
    """
    if bool(files) == (sheet is not None):
        seen = "log files and a day sheet" if files else "neither log files nor a day sheet"
        raise ReadRefused(Fault("nothing-to-take", "take", seen, "name log files, or the sheet with --list"))
    if sheet is not None:
        return take_day(kept, sheet, options, progress)
    return (take_files(kept, files, build, options, progress),)


def take_day(
    kept: Book, sheet: Path, options: TakeOptions | None = None, progress: Progress = silent
) -> tuple[TakeReport, ...]:
    """Take in a whole day from its sheet, in running order: all of it, or nothing.

    Each log is judged against those before it, as it would have been on the day.

    Args:
        kept: the book.
        sheet: the day sheet.
        options: reading and cleaning of all logs.
        progress: is told of each file.

    Returns:
        One report a log.

    Raises:
        ReadRefused: the sheet with its builds, sessions and files, all faults at once; then its logs, all at once.
    """
    asked = options or TakeOptions()
    rows, faults = _read(sheet)
    orders = [
        Order(row.file, row.build, replace(asked, session=row.session or asked.session), row.aside) for row in rows
    ]
    reports = take_batch(kept, orders, progress, as_listed=True, faults=faults)
    return tuple(_with_words(kept, report, row) for report, row in zip(reports, rows, strict=True))


def _with_words(kept: Book, report: TakeReport, row: DayRow) -> TakeReport:
    """What the person wrote beside the log goes into the book with it.

    Pulls that were there before get what is missing.
    """
    before = [kept.pull(name) for names in report.already.values() for name in names]
    for line in [*report.kept, *(line for line in before if line.build == row.build)]:
        about = ("pull", line.name)
        if row.remark and row.remark not in {remark.text for remark in kept.remarks(about)}:
            kept.remark(about, row.remark)
        judged = row.aside in line.reason or len(kept.marks(line.name)) > 1
        if not judged:  # it was taken in before the sheet was written
            reason = "; ".join(one for one in (row.aside, line.reason) if one)
            kept.mark(line.name, SET_ASIDE, reason, valid_to=line.valid_to)
    return report


def all_lines(reports: Sequence[TakeReport]) -> tuple[str, ...]:
    """Names of all pulls that were kept."""
    return tuple(line.name for report in reports for line in report.kept)
