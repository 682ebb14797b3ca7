"""What stands in a workbook's container: its kind, its size unpacked, and cells worked out by formula."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

from fairpull.terms.errors import Fault, ReadRefused

LARGEST_SHEET = 64 * 1024 * 1024  # bytes unpacked: some 1.9 million cells; a longer log belongs in parquet
_ZIP = b"PK\x03\x04"
_COMPOUND = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_SUFFIXES = (".xlsx", ".xlsm", ".xlsb", ".ods")
_OPEN_DOCUMENT = b"application/vnd.oasis.opendocument.spreadsheet"
_CELL = re.compile(rb'<(?:\w+:)?c\s[^>]*?r="([A-Z]+)\d+"[^>]*?(?:/>|>\s*(<(?:\w+:)?f[\s/>])?)')


def workbook_kind(path: Path, head: bytes) -> str:
    """What kind of workbook a file is, in a phrase for the person; "" when it is none.

    Args:
        path: the file.
        head: its first bytes.

    Returns:
        The phrase. A container cut off counts as a workbook when its name or its first bytes say so.
    """
    if head.startswith(_COMPOUND):
        return "the container of an old or locked workbook"
    if not head.startswith(_ZIP):
        return ""
    try:
        with zipfile.ZipFile(path) as container:
            names = set(container.namelist())
            if "xl/workbook.xml" in names or "xl/workbook.bin" in names:
                return "a zip container with an Office Open XML workbook in it"
            if "mimetype" in names and container.read("mimetype").startswith(_OPEN_DOCUMENT):
                return "a zip container with an OpenDocument spreadsheet in it"
    except (zipfile.BadZipFile, OSError, NotImplementedError, RuntimeError):
        if path.suffix.lower() in _SUFFIXES or b"xl/" in head or _OPEN_DOCUMENT in head:
            return "the beginning of a workbook's zip container"
    return ""


def refuse_container(path: Path) -> None:
    """Refuse locked, cut-off and swelling containers before anything is unpacked.

    Args:
        path: the file.

    Raises:
        ReadRefused: "workbook-encrypted", "workbook-damaged", "workbook-too-large".
    """
    with path.open("rb") as stream:
        head = stream.read(8)
        if head == _COMPOUND:
            _refuse_locked(path, head + stream.read(4 * 1024 * 1024))
            return
    if not head.startswith(_ZIP):
        remedy = "name the format that it is (delimited, parquet, jsonl, mdf), or leave it to be found"
        raise ReadRefused(Fault("workbook-damaged", path.name, "the file is no workbook", remedy))
    try:
        with zipfile.ZipFile(path) as container:
            largest = max((member.file_size for member in container.infolist()), default=0)
    except (zipfile.BadZipFile, OSError) as error:
        seen = f"the workbook is cut off or damaged ({error})"
        remedy = "copy the file again from where it was made, or save it anew in a spreadsheet"
        raise ReadRefused(Fault("workbook-damaged", path.name, seen, remedy)) from error
    if largest > LARGEST_SHEET:
        seen = f"a sheet of {largest / 1e6:.0f} MB when unpacked ({LARGEST_SHEET / 1e6:.0f} MB is accepted)"
        remedy = "save the sheet as CSV or parquet, or cut it to the pull"
        raise ReadRefused(Fault("workbook-too-large", path.name, seen, remedy))


def _refuse_locked(path: Path, content: bytes) -> None:
    if "EncryptedPackage".encode("utf-16-le") in content:
        remedy = "open it with its password and save a copy without one, or save the sheet as CSV"
        raise ReadRefused(Fault("workbook-encrypted", path.name, "the workbook is locked with a password", remedy))


def formula_columns(path: Path, sheet: int) -> frozenset[int]:
    """Columns of a sheet in which at least one cell is worked out by formula.

    Args:
        path: an .xlsx file; other kinds give nothing.
        sheet: index of the sheet in the workbook's order.

    Returns:
        Column numbers counted from the first used column of the sheet.
    """
    try:
        with zipfile.ZipFile(path) as container:
            member = _sheet_member(container, sheet)
            content = container.read(member) if member else b""
    except (zipfile.BadZipFile, KeyError, OSError):
        return frozenset()
    used: set[int] = set()
    worked_out: set[int] = set()
    for match in _CELL.finditer(content):
        place = _column_number(match[1])
        used.add(place)
        if match[2]:
            worked_out.add(place)
    first = min(used, default=0)
    return frozenset(place - first for place in worked_out)


def _sheet_member(container: zipfile.ZipFile, sheet: int) -> str:
    if "xl/workbook.xml" not in container.namelist():
        return ""
    ids = re.findall(rb'<(?:\w+:)?sheet\s[^>]*?r:id="([^"]+)"', container.read("xl/workbook.xml"))
    if sheet >= len(ids):
        return ""
    for relation in re.findall(rb"<Relationship\s[^>]*>", container.read("xl/_rels/workbook.xml.rels")):
        if b'Id="' + ids[sheet] + b'"' in relation:
            found = re.search(rb'Target="/?(?:xl/)?([^"]+)"', relation)
            return "xl/" + found[1].decode() if found else ""
    return ""


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number
