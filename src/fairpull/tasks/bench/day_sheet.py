"""A day sheet: which log ran with which build, in running order, as the helper wrote it down."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull.tasks.bench.take import TakeOptions, TakeReport, take_files
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
    try:
        rows = list(csv.reader(path.read_text(encoding="utf-8-sig").splitlines()))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise ReadRefused(Fault("day-sheet", str(path), str(error), "give a CSV file in UTF-8")) from error
    rows = [row for row in rows if any(cell.strip() for cell in row) and not row[0].startswith("#")]
    head = [cell.strip().lower() for cell in rows[0]] if rows else []
    faults = [
        Fault("day-sheet", f"{path}, header", f"no column {name!r}", f"columns: {', '.join(COLUMNS)}")
        for name in ("file", "build")
        if name not in head
    ]
    faults += [
        Fault("day-sheet", f"{path}, header", f"unknown column {name!r}", f"columns: {', '.join(COLUMNS)}")
        for name in head
        if name not in COLUMNS
    ]
    if faults:
        raise ReadRefused(faults)
    found = []
    for number, row in enumerate(rows[1:], start=2):
        cells = {name: cell.strip() for name, cell in zip(head, row, strict=False)}
        if not cells.get("file") or not cells.get("build"):
            faults.append(Fault("day-sheet", f"{path}, row {number}", "no file or no build", "write both"))
            continue
        found.append(
            DayRow(
                path.parent / cells["file"],
                cells["build"],
                cells.get("session", ""),
                cells.get("set aside because", ""),
                cells.get("remark", ""),
            )
        )
    faults += [
        Fault("file-unreadable", f"{path}: {row.file}", "no such file", "name it from the sheet's folder")
        for row in found
        if not row.file.is_file()
    ]
    if faults:
        raise ReadRefused(faults)
    return tuple(found)


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
    """Take in a whole day from its sheet, log by log in running order.

    Each log is judged against those before it, as it would have been on the day. A log that is refused ends the taking
    in; those before it are kept, and taking the sheet in again goes on from there.

    Args:
        kept: the book.
        sheet: the day sheet.
        options: reading and cleaning of all logs.
        progress: is told of each file.

    Returns:
        One report a log.

    Raises:
        ReadRefused: the sheet, or a log of it.
    """
    rows = read_day_sheet(sheet)
    reports: list[TakeReport] = []
    for number, row in enumerate(rows, start=1):
        progress(row.file, number, len(rows))
        asked = options or TakeOptions()
        asked = replace(asked, session=row.session or asked.session)
        report = take_files(kept, [row.file], row.build, asked)
        reports.append(_with_words(kept, report, row))
    return tuple(reports)


def _with_words(kept: Book, report: TakeReport, row: DayRow) -> TakeReport:
    """What the person wrote beside the log goes into the book with it.

    Pulls that were there before get what is missing: the taking in may have been cut off before their words were kept.
    """
    before = [kept.pull(name) for names in report.already.values() for name in names]
    for line in [*report.kept, *(line for line in before if line.build == row.build)]:
        about = ("pull", line.name)
        if row.remark and row.remark not in {remark.text for remark in kept.remarks(about)}:
            kept.remark(about, row.remark)
        if row.aside and len(kept.marks(line.name)) == 1:  # nobody has judged it since
            kept.mark(line.name, SET_ASIDE, _joined(row.aside, line.reason))
    return replace(report, kept=tuple(kept.pull(line.name) for line in report.kept))


def _joined(*reasons: str) -> str:
    return "; ".join(reason for reason in reasons if reason)


def all_lines(reports: Sequence[TakeReport]) -> tuple[str, ...]:
    """Names of all pulls that were kept."""
    return tuple(line.name for report in reports for line in report.kept)
