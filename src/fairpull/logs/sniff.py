"""Which format a file is: every sniffer is asked, each gives a reason, exactly one may claim."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Protocol

from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable, Sniff
from fairpull.logs.text import what_binary
from fairpull.terms.errors import Fault, ReadRefused, UnknownName

FORMATS = ("delimited", "jsonlines", "parquet", "workbook", "mdf")
TEXT = ("delimited", "jsonlines")  # the others are known by the bytes they begin with
BEGINNINGS = (b"PAR1", b"PK", b"MDF ", b"UnFinMF ", b"\xd0\xcf\x11\xe0")
ENDINGS = {
    "delimited": ("csv", "tsv", "txt", "dat", "log", "text"),
    "jsonlines": ("json", "jsonl", "ndjson"),
    "parquet": ("pq", "arrow"),
    "workbook": ("xlsx", "xls", "ods", "excel", "sheet", "spreadsheet"),
    "mdf": ("mf4", "mdf4", "dat4"),
}


class Format(Protocol):
    """What each module in ``formats/`` offers."""

    NAME: str

    def sniff(self, path: Path, head: bytes) -> Sniff:
        """Say whether the file is this format, and why."""

    def load(self, path: Path, options: ReadOptions) -> RawTable:
        """Read the file as it stands."""


def format_named(name: str, where: str = "") -> Format:
    """The module of a format; imported only when asked for.

    Args:
        name: one of FORMATS.
        where: the file it is named for.

    Returns:
        The module.

    Raises:
        UnknownName: no such format; the remedy lists those that exist and the nearest.
    """
    if name == "delimited":
        from fairpull.logs.formats import delimited

        return delimited
    if name == "jsonlines":
        from fairpull.logs.formats import jsonlines

        return jsonlines
    if name == "parquet":
        from fairpull.logs.formats import parquet

        return parquet
    if name == "workbook":
        from fairpull.logs.formats import workbook

        return workbook
    if name == "mdf":
        from fairpull.logs.formats import mdf

        return mdf
    import difflib

    asked = name.lower().lstrip(".")
    meant = next((name for name, endings in ENDINGS.items() if asked in endings), "")
    near = [meant] if meant else difflib.get_close_matches(asked, FORMATS, n=1, cutoff=0.4)
    hint = f"nearest: {near[0]}; " if near else ""
    raise UnknownName(
        Fault("format-unknown", where or "format", f"format {name!r}", f"{hint}formats: {', '.join(FORMATS)}")
    )


def opinions(path: Path, head: bytes, formats: Sequence[str] = FORMATS) -> dict[str, Sniff]:
    """What every format says of a file.

    Args:
        path: the file.
        head: its first bytes.
        formats: those that are asked.

    Returns:
        Format name -> opinion.
    """
    return {name: format_named(name).sniff(path, head) for name in formats}


def choose(path: Path, head: bytes, named: str = "") -> tuple[Format, str]:
    """The format of a file, and the reason.

    Args:
        path: the file.
        head: its first bytes.
        named: a format named by the person; then nobody sniffs.

    Returns:
        The format module and the reason.

    Raises:
        UnknownName: the named format does not exist.
        ReadRefused: no format claims the file, or more than one does; all reasons are given.
    """
    if named:
        return format_named(named, path.name), "named by the person"
    said = opinions(path, head, FORMATS if head.startswith(BEGINNINGS) else TEXT)
    claims = [name for name, opinion in said.items() if opinion.claims]
    if not claims and len(said) < len(FORMATS):
        said = opinions(path, head)
        claims = [name for name, opinion in said.items() if opinion.claims]
    if len(claims) == 1:
        return format_named(claims[0]), said[claims[0]].reason
    if claims:
        seen = "; ".join(f"{name}: {said[name].reason}" for name in claims)
        raise ReadRefused(Fault("format-doubtful", path.name, seen, "name one of them with --format"))
    kind = what_binary(head)
    reasons = "; ".join(f"{name}: {opinion.reason}" for name, opinion in said.items())
    seen = f"{'it is ' + kind if kind else 'no format takes it'} ({reasons})"
    remedy = f"give a log in one of these formats, or name it with --format: {', '.join(FORMATS)}"
    raise ReadRefused(Fault("not-a-log", path.name, seen, remedy))
