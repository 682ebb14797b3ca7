"""Sheets as TOML files: engines, parts, builds, sessions, checks, questions and duties, in and out."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fairpull import engine
from fairpull.tasks.bench import builds
from fairpull.tasks.bench.adding import adding_faults
from fairpull.tasks.bench.check_file import check_from_table
from fairpull.tasks.bench.session_file import session_from_table
from fairpull.terms.bench import SHEET_KINDS, Sheet
from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import FairpullError, Fault, ReadRefused, ValueRefused
from fairpull.terms.findings import Finding, Severity

if TYPE_CHECKING:
    from fairpull.book import Book

ORDER = ("engine", "part", "build", "session", "check", "question", "duty")
FOLDERS = {
    "engines": "engine",
    "parts": "part",
    "builds": "build",
    "sessions": "session",
    "checks": "check",
    "questions": "question",
    "duties": "duty",
}
TELLING = (
    ("check", ("what",)),
    ("part", ("kind",)),
    ("build", ("engine",)),
    ("engine", ("bore",)),
    ("engine", ("displacement",)),
    ("question", ("question",)),
    ("question", ("expectation",)),
    ("question", ("planned_pulls",)),
    ("session", ("brake",)),
    ("session", ("dead_weights",)),
    ("session", ("operator",)),
    *(("duty", (key,)) for key in ("line", "time", "gears", "cycle", "duty", "site", "limit")),
)
"""Entries that only one kind of sheet has, the most telling first; a ``band`` alone is a duty's or a question's."""
KINDS = f"KIND is one of: {', '.join(SHEET_KINDS)}"
LARGEST = 1_000_000  # bytes; a sheet is a page of text


def read_sheets(files: Sequence[Path], kind: str = "") -> tuple[Sheet, ...]:
    """Read sheets from TOML files, or from folders of them.

    Args:
        files: TOML files, or folders whose TOML files (and those of their folders) are taken.
        kind: what they are; "" recognises each by its ``sheet`` entry, its folder's name or its entries.

    Returns:
        The sheets, engines first, so that each can lean on those before it.

    Raises:
        ReadRefused: nothing there, not text, not TOML, or a sheet of no known kind; all faults at once.
    """
    faults: list[Fault] = []
    found: list[Sheet] = []
    for path in _spread(files, faults):
        try:
            found.append(_sheet(path, kind))
        except FairpullError as error:
            faults += error.faults
    if faults:
        raise ReadRefused(faults)
    return tuple(sorted(found, key=lambda sheet: ORDER.index(sheet.kind)))


def _spread(files: Sequence[Path], faults: list[Fault]) -> list[Path]:
    paths: list[Path] = []
    for path in files:
        inside = sorted(path.rglob("*.toml")) if path.is_dir() else [path]
        if not inside or not all(one.is_file() for one in inside):
            faults.append(Fault("no-such-sheet", str(path), "no sheet there", "name a TOML file, or a folder of them"))
        else:
            paths += inside
    return paths


def _sheet(path: Path, kind: str) -> Sheet:
    try:
        if path.stat().st_size > LARGEST:
            raise ReadRefused(Fault("file-too-large", str(path), f"{path.stat().st_size} bytes", "a sheet is a page"))
        body = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        remedy = 'write lines such as lash = "0.016 in" or cylinders = 4, in UTF-8'
        raise ReadRefused(Fault("not-toml", str(path), str(error), remedy)) from error
    except OSError as error:
        raise ReadRefused(Fault("file-unreadable", str(path), error.strerror or str(error), "name a file")) from error
    said = kind or str(body.pop("sheet", "")) or _kind(path, body)
    if said not in SHEET_KINDS:
        remedy = f'write sheet = "KIND" at its top, use --kind KIND, or add it from a folder such as duties; {KINDS}'
        raise ReadRefused(Fault("sheet-kind", str(path), said or "it does not say what it is", remedy))
    return Sheet(said, str(body.pop("name", "") or path.stem), body)


def _kind(path: Path, body: Mapping[str, Any]) -> str:
    if body.get("kind") in PART_KINDS:
        return "part"
    folder = FOLDERS.get(path.parent.name.lower(), "")
    if folder:
        return folder
    told = next((kind for kind, keys in TELLING if all(key in body for key in keys)), "")
    if not told and "band" in body:
        return "question" if isinstance(body["band"], str) else "duty"
    return told


def keep_sheets(kept: Book, sheets: Sequence[Sheet]) -> tuple[Sheet, ...]:
    """Check sheets and keep them; all or nothing.

    Args:
        kept: the book.
        sheets: as read.

    Returns:
        The sheets as kept, with their versions.

    Raises:
        ValueRefused: entries that are wrong, or a build whose engine or parts are nowhere; all faults at once.
    """
    faults: list[Fault] = []
    shelf = builds.Shelf(kept, sheets)
    for sheet in sheets:
        faults += _faults(sheet, shelf)
        faults += adding_faults(sheet, shelf)
    faults += [
        Fault("sheet-twice", f"{kind} {name}", "two sheets of this name", "give each a name of its own")
        for kind, name in sorted({(s.kind, s.name) for s in sheets if _count(sheets, s) > 1})
    ]
    if faults:
        raise ValueRefused(faults)
    return kept.keep(sheets)


def _faults(sheet: Sheet, shelf: builds.Shelf) -> list[Fault]:
    try:
        CHECKS[sheet.kind](sheet, shelf)
    except FairpullError as error:
        return list(dict.fromkeys(error.faults))
    return []


def sheet_findings(kept: Book) -> tuple[Finding, ...]:
    """Newest sheets that no longer pass what ``keep_sheets`` asks of them.

    Args:
        kept: the book.

    Returns:
        A fault for each sheet that cannot be read any more, a warning for each that would not be taken today.
    """
    shelf = builds.Shelf(kept)
    found = []
    for sheet in (one for kind in ORDER for one in kept.sheets(kind)):
        wrong = _faults(sheet, shelf)
        worse = Severity.FAULT if wrong else Severity.WARNING
        wrong += adding_faults(sheet, shelf)
        if wrong:
            text = "; ".join(f"{fault.where}: {fault.seen}" for fault in wrong)
            remedy = f"Correct it and add it again ({wrong[0].remedy})."
            found.append(Finding("sheet-does-not-read", worse, f"{sheet.kind} {sheet.name}", text, remedy))
    return tuple(found)


def _count(sheets: Sequence[Sheet], one: Sheet) -> int:
    return sum((sheet.kind, sheet.name) == (one.kind, one.name) for sheet in sheets)


def _check_engine(sheet: Sheet, shelf: builds.Shelf) -> None:
    del shelf
    engine.engine_from_table(sheet.body, where=f"engine {sheet.name}", name=sheet.name)


def _check_part(sheet: Sheet, shelf: builds.Shelf) -> None:
    del shelf
    engine.part_from_table(sheet.body, where=f"part {sheet.name}", name=sheet.name)


def _check_build(sheet: Sheet, shelf: builds.Shelf) -> None:
    shelf.build_of(sheet)


def _check_session(sheet: Sheet, shelf: builds.Shelf) -> None:
    del shelf
    session_from_table(sheet.body, where=f"session {sheet.name}")


def _check_check(sheet: Sheet, shelf: builds.Shelf) -> None:
    del shelf
    check_from_table(sheet.body, where=f"check {sheet.name}")


def _check_question(sheet: Sheet, shelf: builds.Shelf) -> None:
    from fairpull.tasks.question_file import question_from_table

    del shelf
    question_from_table({k: v for k, v in sheet.body.items() if k != "builds"}, where=f"question {sheet.name}")


def _check_duty(sheet: Sheet, shelf: builds.Shelf) -> None:
    from fairpull.tasks.duty_file import duty_from_table

    del shelf
    duty_from_table(sheet.body, where=f"duty {sheet.name}", name=sheet.name)


CHECKS: Mapping[str, Callable[[Sheet, builds.Shelf], None]] = {
    "engine": _check_engine,
    "part": _check_part,
    "build": _check_build,
    "session": _check_session,
    "check": _check_check,
    "question": _check_question,
    "duty": _check_duty,
}


def sheet_text(sheet: Sheet) -> str:
    """A sheet as the text of its TOML file, which reads back to the same sheet.

    Args:
        sheet: as kept.

    Returns:
        TOML.
    """
    return engine.table_text({"sheet": sheet.kind, "name": sheet.name, **sheet.body}, order=("sheet", "name"))


def write_sheets(kept: Book, folder: Path, kind: str = "") -> tuple[Path, ...]:
    """Write the newest sheets as TOML files, one folder a kind.

    Args:
        kept: the book.
        folder: where; made if missing. Files of the same name are not overwritten.
        kind: only these; "" for all.

    Returns:
        The files.

    Raises:
        ValueRefused: a file of that name is there already; nothing is written.
    """
    sheets = [sheet for one in ([kind] if kind else ORDER) for sheet in kept.sheets(one)]
    names = {one: name for name, one in FOLDERS.items()}
    targets = [folder / names[sheet.kind] / f"{_file_name(sheet.name)}.toml" for sheet in sheets]
    faults = [
        Fault("file-there", str(path), "a file of this name is there", "name another folder")
        for path in targets
        if path.exists()
    ]
    faults += [
        Fault("file-there", str(path), "two sheets would go into this file", "give one another name")
        for path in sorted({path for path in targets if targets.count(path) > 1})
    ]
    if faults:
        raise ValueRefused(faults)
    for sheet, path in zip(sheets, targets, strict=True):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(sheet_text(sheet), encoding="utf-8", newline="\n")
    return tuple(targets)


def _file_name(name: str) -> str:
    """A sheet's name without what a file's name cannot hold."""
    kept = "".join(one if one.isalnum() or one in "-_. " else "_" for one in name).strip(" .")
    return kept or "sheet"
